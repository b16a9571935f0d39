"""Every live view of the course, one function each: call it for the widget, `.draw(…)` prints it for paper.

Each is the physics of a picture for all positions of its sliders at once; `draw` makes the picture and
`player` moves it.
"""

from dataclasses import replace
from functools import lru_cache

import numpy as np

from antlab.classroom.drawing import draw
from antlab.classroom.drawing.draw import projector  # noqa: F401  (a lesson's switch)
from antlab.classroom.views.player import Slider, view
from antlab.classroom.views.traps import coax_trap, trap_choice  # noqa: F401  (live views too)
from antlab.classroom.views.trimming import trimming  # noqa: F401
from antlab.classroom.views.yard import planner  # noqa: F401
from antlab.engine import heights
from antlab.engine.dipole import Dipole
from antlab.engine.shapes import FlatTop
from antlab.physics import cable, circuit, lengths, sky
from antlab.physics.bands import BANDS, PERFECT_GROUND, SOILS, band
from antlab.physics.bands import soil as named_soil
from antlab.physics.ground import reflection_horizontal
from antlab.physics.trap import Trap
from antlab.units import decibels, feet, wavelength_m


@view(Slider("Frequency", "MHz", 3.5, 30, 266, 14.2), size=((9.0, 3.8), (3.9, 1.75)))
def one_wave(fig, f_mhz):
    """How long is a wave?"""
    whole = wavelength_m(f_mhz)
    says = [
        f"At {f:.1f} MHz, {f:.1f} million waves leave in a second\n"
        f"One is {w:.1f} m ({feet(w):.0f} ft) long, half of it {w / 2:.1f} m ({feet(w / 2):.0f} ft)"
        for f, w in zip(f_mhz, whole, strict=True)
    ]
    alt = (
        "To scale: a person, a car, a bus and a house; above them one wave and a wire half as long. The "
        "higher the frequency, the shorter both."
    )
    return draw.Scene(draw.one_wave(fig, whole), says, alt)


@view(
    Slider("Coil", "µH", 0.5, 8, 9, 4, log=True),
    Slider("Capacitor", "pF", 25, 400, 33, 100, log=True, digits=0),
    Slider("Coil's Q", "", 25, 400, 5, 200, log=True, digits=0),
    work="winding",
)
def tuned_circuit(fig, inductance_uh, capacitance_pf, q):
    """A coil and a capacitor pick one frequency."""
    parts = {"inductance_uh": inductance_uh, "capacitance_pf": capacitance_pf}
    f0 = circuit.resonance_mhz(**parts)
    x0 = circuit.coil_reactance_ohm(f_mhz=f0, inductance_uh=inductance_uh)
    width = circuit.bandwidth_mhz(f_mhz=f0, q=q)
    # Points crowd at the peak: evenly spaced within it, and far away evenly on the logarithmic axis.
    steep = np.sinh(np.linspace(-1, 1, 61) * np.arcsinh(40 * q)[:, None]) / q[:, None]
    f = np.clip(f0[:, None] * (steep / 2 + np.sqrt(steep**2 / 4 + 1)), 0.9, 70)
    z = np.abs(
        circuit.parallel_impedance(f_mhz=f, q=q[:, None], **{name: v[:, None] for name, v in parts.items()})
    )
    says = [
        f"{'Resonance' if c >= 10 else 'By the rules: resonance'} {a:.2f} MHz, where coil and capacitor have "
        f"{b:.0f} Ω each\nImpedance there {b * c / 1e3:.1f} kΩ, half-power width {d * 1e3:.0f} kHz"
        for a, b, c, d in zip(f0, x0, q, width, strict=True)
    ]
    alt = (
        "Impedance against frequency, both logarithmic. The coil's reactance rises, the capacitor's falls; "
        "where they cross, the impedance of the pair rises to a peak Q times as high. Two dots mark half "
        "power by the rule."
    )
    return draw.Scene(draw.tuned_circuit(fig, f, z, f0, x0, q), says, alt)


def _ohms(z):
    scale, digits, unit = (1e3, 1, "kΩ") if abs(z) >= 1e4 else (1, 0, "Ω")
    sign = "+" if z.imag >= 0 else "−"
    return f"{z.real / scale:.{digits}f} {sign} j{abs(z.imag) / scale:.{digits}f} {unit}"


WIRES_MM = (0.5, 1.0, 2.0, 4.0)


def _about_half_a_wave(f_mhz, wire_mm):
    whole = wavelength_m(f_mhz)
    return [Slider("Length", "m", 0.4 * whole, 0.6 * whole, 201, 0.5 * whole, digits=2)]


@view(_about_half_a_wave, f_mhz=(3.6, 7.1, 14.2, 21.2, 28.4), wire_mm=WIRES_MM, work="trimming")
def half_wave_wire(fig, length_m, *, f_mhz=14.2, wire_mm=2.0):
    """A wire of about half a wave."""
    k = 2 * np.pi / wavelength_m(f_mhz)
    place = np.linspace(-0.5, 0.5, 81) * length_m[:, None]
    inward = k * (length_m[:, None] / 2 - np.abs(place))
    current = np.sin(inward) / np.max(np.sin(inward), axis=1, keepdims=True)
    voltage = np.sign(place) * np.cos(inward)
    z = lengths.induced_emf_impedance(length_m=length_m, f_mhz=f_mhz, wire_diameter_mm=wire_mm)
    over = _about_half_a_wave(f_mhz, wire_mm)[0].values
    curves = lengths.induced_emf_impedance(length_m=over, f_mhz=f_mhz, wire_diameter_mm=wire_mm)
    swr = circuit.swr(z, 50)
    says = [
        f"{a:.2f} m ({feet(a):.1f} ft) is {a * k / 2 / np.pi:.3f} wavelength\n"
        f"Feed {_ohms(b)}, SWR {c:.1f} on 50 Ω, in free space"
        for a, b, c in zip(length_m, z, swr, strict=True)
    ]
    alt = (
        "Left: along the wire the current is largest at the feed and nothing at the ends, the voltage "
        "the other way round. Right: resistance and reactance at the feed against length; the reactance is "
        "zero a little short of half a wave."
    )
    return draw.Scene(
        draw.half_wave_wire(fig, place, current, voltage, length_m, z, (over, curves)), says, alt
    )


GROUNDS = (*SOILS, PERFECT_GROUND.name)


@view(
    Slider("Elevation", "°", 2, 90, 45, 30, digits=0),
    Slider("Height", "m", 2, 30, 29, 10),
    band_name=BANDS,
    soil=GROUNDS,
    work="transmitting",
)
def soil_and_mirror(fig, elevation_deg, height_m, *, band_name="40m", soil="average"):
    """The mirror in the ground.

    A level wire broadside: the direct wave, the one that the ground sends after it, and their sum far away.
    """
    f, soil = band(band_name).middle_mhz, named_soil(soil)
    lag = 4 * np.pi / wavelength_m(f) * height_m * np.sin(np.radians(elevation_deg))
    echo = reflection_horizontal(elevation_deg=elevation_deg, f_mhz=f, soil=soil) * np.exp(-1j * lag)
    total = np.abs(1 + echo)
    says = [
        f"Echo {abs(e):.2f} of the direct wave, {-np.degrees(np.angle(e)) % 360:.0f}° late\n"
        f"Together {t:.2f} times direct ({2 * decibels(t):+.1f} dB)".replace("-", "−")
        for e, t in zip(echo, np.maximum(total, 1e-3), strict=True)
    ]
    alt = (
        f"Left: a wire over {soil.name or 'your own soil'} and its image below; a direct ray and one by "
        "way of the ground leave side by side. Right: the direct wave (dashed), its echo (dotted), their sum "
        "(solid)."
    )
    return draw.Scene(draw.soil_and_mirror(fig, height_m, elevation_deg, echo), says, alt)


STEP_DEG = 0.25  # as Pattern looks for lobes
FLAT_DB = 0.5  # a top that falls by less up to overhead has no angle that anybody would hear


@view(
    Slider("Height", "m", heights.LOWEST_M, heights.HIGHEST_M, 281, 10),
    size=((9.0, 4.4), (3.9, 2.4)),
    low=BANDS,
    high=BANDS,
    soil=GROUNDS,
    work="hanging",
)
def height(fig, height_m, *, low="40m", high="20m", soil="average"):
    """Height and takeoff angle.

    A level half-wave dipole for the middle of each band (468 / f feet), 2 mm copper, seen broadside.
    """
    soil = named_soil(soil)
    elevation = np.arange(0, 90 + STEP_DEG, STEP_DEG)
    gains, takeoffs, lines, names = [], [], [], []
    for one in (band(low), band(high)):
        gain = heights.half_wave_gain_dbi(elevation, height_m, f_mhz=one.middle_mhz, soil=soil)
        takeoff, low_edge, high_edge, count = heights.lobe_figures(elevation, gain)
        names.append(one.label)
        lines.append(
            [
                f"{names[-1]}: takeoff {t:.0f}°, {n} {'lobe' if n == 1 else 'lobes'}, "
                f"beamwidth {b - a:.0f}° ({a:.0f}° to {b:.0f}°)"
                + (", flat on top" if overhead > -FLAT_DB and t < 85 else "")
                for t, a, b, n, overhead in zip(
                    takeoff, low_edge, high_edge, count, gain[:, -1] - gain.max(axis=1), strict=True
                )
            ]
        )
        half = gain[:, :: round(1 / STEP_DEG)]
        gains.append(np.concatenate([half, half[:, -2::-1]], axis=1))
        takeoffs.append(takeoff)
    says = ["\n".join(both) for both in zip(*lines, strict=True)]
    alt = (
        f"Gain against elevation, broadside, ground {soil.name or 'your own'}: {names[0]} (solid, filled) "
        f"and {names[1]} (dashed). As the wire rises the lobes lean towards the ground and split."
    )
    return draw.Scene(draw.lobes(fig, np.arange(181.0), gains, names, takeoffs), says, alt)


@view(
    Slider("Takeoff angle", "°", 0, 90, 91, 20, digits=0),
    Slider("Layer height", "km", 100, 400, 13, 300, digits=0),
    size=((9.0, 2.6), (3.9, 1.5)),
)
def hop(fig, elevation_deg, layer_km):
    """One hop by the sky."""
    distance = sky.hop_km(elevation_deg, layer_km)
    factor = sky.secant_factor(elevation_deg, layer_km)
    says = [
        f"Lands {a:.0f} km ({a / draw.MILE_KM:.0f} miles) away\n"
        f"Comes back up to {b:.1f} times the critical frequency"
        for a, b in zip(distance, factor, strict=True)
    ]
    alt = (
        "The round earth from the side: a ray leaves at the takeoff angle, the layer turns it, and it lands."
    )
    return draw.Scene(draw.hop(fig, elevation_deg, layer_km, distance, sky.EARTH_KM), says, alt)


# The course's running example, solved on the engine 9 m over average soil for 14.175 and 28.5 MHz.
EXAMPLE = Dipole(
    inner_m=2.53,
    outer_m=2.15,
    trap=Trap(inductance_uh=1.25, capacitance_pf=25, q=200),
    shape=FlatTop(height_m=9),
)


def _about_the_trap(dipole):
    tuned = dipole.trap.resonance_mhz
    low, high, step = round(0.42 * tuned, 1), round(1.08 * tuned, 1), 0.1 if tuned > 15 else 0.05
    return [Slider("Frequency", "MHz", low, high, round((high - low) / step) + 1, 0.5 * tuned, digits=2)]


@view(_about_the_trap, dipole=(EXAMPLE,), work="transmitting")
def trap_dipole(fig, f_mhz, *, dipole=EXAMPLE):
    """One wire, two antennas.

    Current along the wire of a trap dipole of your own, or of the course's example.
    """
    place, current = dipole.current(f_mhz)
    size = np.abs(current)
    share = size / size.max(axis=1, keepdims=True)
    beyond = share[:, np.abs(place) > 1.02 * dipole.inner_m].max(axis=1)
    swr, trap = dipole.swr(f_mhz), dipole.trap.impedance(f_mhz)
    says = [
        f"Trap {_ohms(t)}; beyond it the current is {100 * b:.0f} % of the largest\n"
        f"SWR {'over 20' if s > 20 else format(s, '.1f')} on 50 Ω"
        for t, b, s in zip(trap, beyond, swr, strict=True)
    ]
    over = _about_the_trap(dipole)[0].values
    alt = (
        "Left: current along the wire with a trap in each leg. On the upper band it stops at the traps, on "
        "the lower it runs to the ends. Right: the trap's impedance against frequency, with its resonance."
    )
    parts = draw.trap_dipole(
        fig, dipole, place, share, f_mhz, np.abs(trap), (over, np.abs(dipole.trap.impedance(over)))
    )
    return draw.Scene(parts, says, alt)


@lru_cache(maxsize=16)
def _engine_at(dipole, drag, f_mhz):
    """Impedance from a few values of what is dragged, as Chebyshev coefficients over its range."""
    slider = _leg_or_height(dipole, drag)[0]
    count = 17 if drag == "height" else 9
    at = np.cos(np.pi * (np.arange(count) + 0.5) / count)
    values = slider.start + (at + 1) / 2 * (slider.stop - slider.start)
    solved = [_changed(dipole, drag, value).impedance(np.array(f_mhz)) for value in values]
    return np.polynomial.chebyshev.chebfit(at, np.array(solved), count - 1)


def _changed(dipole, drag, value):
    if drag != "height":
        return replace(dipole, **{"inner_m" if drag == "inner wire" else "outer_m": value})
    return replace(dipole, shape=dipole.shape.lifted(value - dipole.shape.top_m))


def _leg_or_height(dipole, drag, **_):
    if drag == "height":
        shape = dipole.shape
        lowest = 2.0 + shape.top_m - shape.ends_m
        return [Slider("Height", "m", lowest, lowest + 18, 181, min(max(shape.top_m, lowest), lowest + 18))]
    length = dipole.inner_m if drag == "inner wire" else dipole.outer_m
    return [
        Slider(drag.capitalize() + ", each side", "m", 0.92 * length, 1.08 * length, 161, length, digits=3)
    ]


@view(
    _leg_or_height,
    drag=("inner wire", "outer wire", "height"),
    dipole=(EXAMPLE,),
    low=("20m",),
    high=("10m",),
    work="trimming",
)
def swr_bands(fig, value, *, drag="outer wire", dipole=EXAMPLE, low="20m", high="10m"):
    """SWR of both bands.

    Of a trap dipole of your own, with its bands, or of the course's example.
    """
    slider = _leg_or_height(dipole, drag)[0]
    sides = [band(low), band(high)]
    f = [one.frequencies(41) for one in sides]
    at = (value - slider.start) / (slider.stop - slider.start) * 2 - 1
    z = np.polynomial.chebyshev.chebval(at, _engine_at(dipole, drag, tuple(np.concatenate(f)))).T
    swr = circuit.swr(np.maximum(z.real, 0) + 1j * z.imag)
    sweeps, names, lines = [], [], []
    for one, here, there in zip(sides, f, np.split(swr, 2, axis=1), strict=True):
        names.append(one.label)
        sweeps.append((here, there))
        lines.append(
            [
                f"{names[-1]}: lowest SWR {row.min():.1f} at {here[row.argmin()]:.2f} MHz, "
                f"2 or less over {100 * np.mean(row <= 2):.0f} % of the band"
                for row in there
            ]
        )
    alt = (
        f"SWR against frequency, {names[0]} and {names[1]}. A longer wire moves the dip down in frequency; "
        "the inner wire moves both bands, the outer one hardly touches the upper band."
    )
    return draw.Scene(
        draw.swr_bands(fig, sweeps, names), ["\n".join(both) for both in zip(*lines, strict=True)], alt
    )


REACH_M = 60.0


@view(
    Slider("Line", "m", 1, REACH_M, 60, 25, digits=0),
    Slider("Loss", "dB per 100 m", 0, 20, 21, 6, digits=0),
    swr_at_antenna=(1.5, 2.0, 3.0, 5.0),
    work="feeding",
)
def feed_line(fig, line_m, loss_db, *, swr_at_antenna=3.0):
    """What the line hides."""
    antenna_ohm = 50 * swr_at_antenna
    along = np.linspace(0, 1, 61) * line_m[:, None]
    there = np.empty_like(along)
    arrive = np.empty(line_m.shape)  # whole metres would cut the watts to whole ones
    for loss in np.unique(loss_db):
        rows = loss_db == loss
        line = replace(cable.cable("RG-58"), name="the line", loss_k0_db=loss, loss_k1_db=0, loss_k2_db=0)
        there[rows] = cable.swr_along_line(antenna_ohm, cable=line, distance_m=along[rows], f_mhz=14.2)
        lost = cable.total_loss_db(antenna_ohm, cable=line, length_m=line_m[rows], f_mhz=14.2)
        arrive[rows] = 100 * 10 ** (-lost / 10)
    says = [
        f"SWR {a:.1f} at the antenna, {b:.1f} in the shack\n"
        f"Of 100 W into the line {w:.0f} W reach the antenna"
        for a, b, w in zip(there[:, 0], there[:, -1], arrive, strict=True)
    ]
    alt = (
        "SWR against distance along the line: highest at the antenna, and the lower the nearer to the shack."
    )
    return draw.Scene(draw.feed_line(fig, along, there, REACH_M), says, alt)
