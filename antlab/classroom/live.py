"""Every live view of the course, one function each: call it for the widget, `.draw(…)` prints it for paper.

Each is the physics of a picture for all positions of its sliders at once; `draw` makes the picture, `player` moves it.
"""

import numpy as np

from .. import circuit, lengths, sky
from ..units import feet, wavelength_m
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
