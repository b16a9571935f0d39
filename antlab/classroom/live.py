"""Every live view of the course, one function each: call it for the widget, `.draw(…)` prints it for paper.

Each is the physics of a picture for all positions of its sliders at once; `draw` makes the picture, `player` moves it.
"""

from functools import lru_cache

import numpy as np

from .. import circuit, lengths, sky
from ..bands import BANDS, PERFECT_GROUND, SOILS, band
from ..bands import soil as named_soil
from ..dipole import Dipole
from ..ground import reflection_horizontal
from ..units import decibels, feet, wavelength_m
from ..wire import FlatTop
from . import draw
from .player import Slider, view


@view(
    Slider("Coil", "µH", 0.5, 10, 9, 4, log=True),
    Slider("Capacitor", "pF", 20, 400, 31, 100, log=True, digits=0),
    Slider("Coil's Q", "", 25, 400, 5, 200, log=True, digits=0),
)
def tuned_circuit(fig, inductance_uh, capacitance_pf, q):
    """A coil and a capacitor pick one frequency."""
    parts = {"inductance_uh": inductance_uh, "capacitance_pf": capacitance_pf}
    f0 = circuit.resonance_mhz(**parts)
    x0 = circuit.coil_reactance_ohm(f_mhz=f0, inductance_uh=inductance_uh)
    width = circuit.bandwidth_mhz(f_mhz=f0, q=q)
    # Points crowd where the curve is steep: evenly spaced far away on the logarithmic axis, and within the peak.
    steep = np.sinh(np.linspace(-1, 1, 61) * np.arcsinh(40 * q)[:, None]) / q[:, None]
    f = np.clip(f0[:, None] * (steep / 2 + np.sqrt(steep**2 / 4 + 1)), 0.9, 70)
    z = np.abs(
        circuit.parallel_impedance(f_mhz=f, q=q[:, None], **{name: v[:, None] for name, v in parts.items()})
    )
    says = [
        f"Resonance {a:.2f} MHz, where coil and capacitor have {b:.0f} Ω each\n"
        f"Impedance there {b * c / 1e3:.1f} kΩ, half-power width {d * 1e3:.0f} kHz"
        for a, b, c, d in zip(f0, x0, q, width, strict=True)
    ]
    alt = (
        "Impedance against frequency, both logarithmic. The coil's reactance rises, the capacitor's falls; where "
        "they cross, the impedance of the pair rises to a peak Q times as high. Dots mark half power."
    )
    return draw.Scene(draw.tuned_circuit(fig, f, z, f0, x0, q), says, alt)


WIRES_MM = (0.5, 1.0, 2.0, 4.0)


def _about_half_a_wave(f_mhz, wire_mm):
    whole = wavelength_m(f_mhz)
    return [Slider("Length", "m", 0.4 * whole, 0.6 * whole, 201, 0.5 * whole, digits=2)]


@view(_about_half_a_wave, f_mhz=(3.6, 7.1, 14.2, 21.2, 28.4), wire_mm=WIRES_MM)
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
        f"Feed {b.real:.0f} Ω {'+' if b.imag >= 0 else '−'} j{abs(b.imag):.0f} Ω, SWR {c:.1f} on 50 Ω, in free space"
        for a, b, c in zip(length_m, z, swr, strict=True)
    ]
    alt = (
        "Left: along the wire the current is largest at the feed and nothing at the ends, the voltage the other way "
        "round. Right: resistance and reactance at the feed against length; the reactance is zero a little short of "
        "half a wave."
    )
    return draw.Scene(draw.half_wave_wire(fig, place, current, voltage, length_m, z, (over, curves)), says, alt)


LOWEST_M, HIGHEST_M = 2.0, 30.0
STEP_DEG = 0.25  # as Pattern looks for lobes


@view(
    Slider("Height", "m", LOWEST_M, HIGHEST_M, 281, 10),
    size=((9.0, 4.0), (3.9, 2.0)),
    low=BANDS,
    high=BANDS,
    soil=(*SOILS, PERFECT_GROUND.name),
)
def height(fig, height_m, *, low="40m", high="20m", soil="average"):
    """Height and takeoff angle.

    A level half-wave dipole for the middle of each band (468 / f feet), 2 mm copper, seen broadside.
    """
    soil = named_soil(soil)
    elevation = np.arange(0, 90 + STEP_DEG, STEP_DEG)
    gains, takeoffs, lines, names = [], [], [], []
    for one in (band(low), band(high)):
        gain = half_wave_gain_dbi(elevation, height_m, f_mhz=one.middle_mhz, soil=soil)
        takeoff, low_edge, high_edge, count = lobe_figures(elevation, gain)
        names.append(one.name.replace("m", " m"))
        lines.append(
            [
                f"{names[-1]}: takeoff {t:.0f}°, {n} {'lobe' if n == 1 else 'lobes'}, beamwidth {b - a:.0f}° ({a:.0f}° to {b:.0f}°)"
                for t, a, b, n in zip(takeoff, low_edge, high_edge, count, strict=True)
            ]
        )
        half = gain[:, :: round(1 / STEP_DEG)]
        gains.append(np.concatenate([half, half[:, -2::-1]], axis=1))
        takeoffs.append(takeoff)
    says = ["\n".join(both) for both in zip(*lines, strict=True)]
    alt = (
        f"Gain against elevation over {soil.name or 'your'} soil, seen broadside: {names[0]} (solid, filled) and "
        f"{names[1]} (dashed). As the wire rises the lobes lean towards the ground and split."
    )
    return draw.Scene(draw.lobes(fig, np.arange(181.0), gains, names, takeoffs), says, alt)


def half_wave_gain_dbi(elevation_deg, height_m, *, f_mhz, soil):
    """Gain broadside of a level half-wave dipole, for many heights at once.

    elevation_deg: (points,), degrees. height_m: (rows,), metres, 2 to 30. f_mhz: MHz. soil: a Soil.
    Returns dBi, (rows, points), within 0.1 dB of al.Dipole at each height (tested). Direct and reflected wave are
    exact; the power fed is the engine's at a few heights, carried to the others by `_power_of_height`.
    """
    h = np.asarray(height_m)[:, None]
    turn = 2 * np.pi / wavelength_m(f_mhz) * h * np.sin(np.radians(elevation_deg))
    echo = reflection_horizontal(elevation_deg=elevation_deg, f_mhz=f_mhz, soil=soil)
    wave = np.abs(1 + echo * np.exp(-2j * turn)) ** 2
    return decibels(wave / (_mirror_terms(height_m, f_mhz, soil) @ _power_of_height(f_mhz, soil))[:, None])


TERMS = 7


def _mirror_terms(height_m, f_mhz, soil):
    """What the power fed for one unit of far field depends on: free space, and the mirror's echo at the wire.

    Over a perfect mirror the echo is the mutual impedance of the wire and its image. Soil weakens and turns it,
    near the ground more than high up: a short series in wavelengths over height. Shape (rows, TERMS).
    """
    away = reflection_horizontal(elevation_deg=90.0, f_mhz=f_mhz, soil=soil)
    echo = away * lengths.mutual_impedance(spacing_m=2 * height_m, f_mhz=f_mhz) / 73
    terms = [np.ones_like(height_m)]
    for power in range(TERMS // 2):
        term = echo * (wavelength_m(f_mhz) / (2 * np.pi * height_m)) ** power
        terms += [term.real, term.imag]
    return np.stack(terms, axis=1)


@lru_cache(maxsize=64)
def _power_of_height(f_mhz, soil):
    """Weights of the mirror terms, from the engine at as many heights."""
    heights = np.geomspace(LOWEST_M, HIGHEST_M, TERMS)
    leg = lengths.rule_length_m(f_mhz) / 2
    up = np.exp(-4j * np.pi / wavelength_m(f_mhz) * heights)
    wave = np.abs(1 + reflection_horizontal(elevation_deg=90.0, f_mhz=f_mhz, soil=soil) * up) ** 2
    gain = [
        Dipole(inner_m=leg, shape=FlatTop(height_m=one), soil=soil).pattern(f_mhz).gain_dbi(90.0) for one in heights
    ]
    return np.linalg.solve(_mirror_terms(heights, f_mhz, soil), wave / 10 ** (np.array(gain) / 10))


def lobe_figures(elevation_deg, gain_dbi):
    """Takeoff angle, half-power edges and number of lobes, as al.Pattern finds them, for many rows at once.

    elevation_deg: evenly spaced from 0 to 90. gain_dbi: (rows, points), the same on the other side of 90.
    Returns takeoff, low edge and high edge in degrees and the count, each (rows,).
    """
    step = elevation_deg[1] - elevation_deg[0]
    both = np.concatenate([gain_dbi, gain_dbi[:, -2::-1]], axis=1)
    left, middle, right = both[:, :-2], both[:, 1:-1], both[:, 2:]
    peak = ((middle > left) & (middle >= right))[:, : len(elevation_deg) - 1]
    with np.errstate(invalid="ignore", divide="ignore"):
        shift = (left - right) / (2 * (left - 2 * middle + right))
        top = np.where(peak, (middle - (left - right) * shift / 4)[:, : peak.shape[1]], -np.inf)
    best = top.max(axis=1, keepdims=True)
    at = np.argmax(top > best - 0.01, axis=1)
    rows = np.arange(len(both))
    takeoff = elevation_deg[at + 1] + shift[rows, at] * step
    above = both - (best - 10 * np.log10(2))
    place = np.arange(both.shape[1])
    lower = np.where((above < 0) & (place < (at + 1)[:, None]), place, -1).max(axis=1)
    upper = np.where((above < 0) & (place > (at + 1)[:, None]), place, place[-1] + 1).min(axis=1)

    def edge(outside, inside, horizon):
        there = (outside >= 0) & (outside < len(place))
        a, b = above[rows, inside], above[rows, np.clip(outside, 0, place[-1])]
        share = np.where(np.isinf(b), 0, a / (a - np.where(np.isinf(b), -1, b)))
        return np.where(there, (inside + share * (outside - inside)) * step, horizon)

    return takeoff, edge(lower, lower + 1, 0.0), edge(upper, upper - 1, 180.0), peak.sum(axis=1)


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
        f"Lands {a:.0f} km ({a / 1.609344:.0f} miles) away\n"
        f"Comes back up to {b:.1f} times the frequency that comes back straight down"
        for a, b in zip(distance, factor, strict=True)
    ]
    alt = "The round earth from the side: a ray leaves at the takeoff angle, is turned by the layer and lands again."
    return draw.Scene(draw.hop(fig, elevation_deg, layer_km, distance, sky.EARTH_KM), says, alt)
