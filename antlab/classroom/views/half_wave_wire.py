"""A wire of about half a wave in free space: current, voltage and the feed."""

from dataclasses import replace
from functools import lru_cache

import numpy as np

from antlab.classroom.drawing.axes import legend, two_axes
from antlab.classroom.drawing.looks import GREY, stroke
from antlab.classroom.drawing.parts import FIRST, FOURTH, SECOND, THIRD, Part, Pen, Scene, column, words
from antlab.classroom.drawing.signs import SIGN, wire
from antlab.classroom.views.knots import Between
from antlab.classroom.views.player import Slider, view
from antlab.classroom.views.shared import ohms
from antlab.engine.dipole import Dipole
from antlab.physics import circuit
from antlab.physics.bands import FREE_SPACE
from antlab.units import feet, wavelength_m

WIRES_MM = (0.5, 1.0, 2.0, 4.0)
KNOTS = 7  # of the length


def _about_half_a_wave(f_mhz, wire_mm):
    whole = wavelength_m(f_mhz)
    return [Slider("Length", "m", 0.4 * whole, 0.6 * whole, 201, 0.5 * whole, digits=2)]


@view(_about_half_a_wave, f_mhz=(3.6, 7.1, 14.2, 21.2, 28.4), wire_mm=WIRES_MM, work="trimming", turn_s=4.0,
      instants=((0.0, 0.25),))  # fmt: skip
def half_wave_wire(fig, length_m, *, f_mhz=14.2, wire_mm=2.0):
    """A wire of about half a wave."""
    k = 2 * np.pi / wavelength_m(f_mhz)
    place = np.linspace(-0.5, 0.5, 81) * length_m[:, None]
    inward = k * (length_m[:, None] / 2 - np.abs(place))
    current = np.sin(inward) / np.max(np.sin(inward), axis=1, keepdims=True)
    voltage = np.sign(place) * np.cos(inward)
    over = _about_half_a_wave(f_mhz, wire_mm)[0].values
    feed = _feed(f_mhz, wire_mm)
    z, curves = feed(length_m), feed(over)
    swr = circuit.swr(z, 50)
    says = [
        f"{a:.2f} m ({feet(a):.1f} ft) is {a * k / 2 / np.pi:.3f} wavelength\n"
        f"Feed {ohms(b)}, SWR {c:.1f} on 50 Ω, in free space"
        for a, b, c in zip(length_m, z, swr, strict=True)
    ]
    alt = (
        "Left: along the wire the current is largest at the feed and nothing at the ends, the voltage "
        "the other way round. Right: resistance and reactance at the feed against length; the reactance is "
        "zero a little short of half a wave."
    )
    return Scene(_picture(fig, place, current, voltage, length_m, z, (over, curves)), says, alt)


@lru_cache(maxsize=32)
def _feed(f_mhz, wire_mm):
    """The engine's ohms at the feed in free space, between knots: a function of length_m, (rows,)."""

    def solve(length_m):
        return Dipole(inner_m=length_m / 2, soil=FREE_SPACE, wire_diameter_mm=wire_mm).impedance(f_mhz)

    return Between(solve, _about_half_a_wave(f_mhz, wire_mm), (KNOTS,))


def _picture(fig, place_m, current, voltage, length_m, impedance_ohm, over):
    """Current and voltage along a wire, and its feed impedance against its length.

    place_m, current, voltage: (rows, points), the last two as shares of their largest. length_m: (rows,).
    impedance_ohm: (rows,) complex. over: (lengths_m, impedances_ohm) of the curves that stay.
    Returns the parts.
    """
    lengths, impedances = over
    edge = 0.55 * lengths[-1]
    along, ohms = two_axes(
        fig,
        {"x": (-edge, edge), "y": (-1.15, 1.5), "xlabel": "along the wire, m", "ylabel": "share of largest"},
        {"x": lengths[[0, -1]], "y": (-250, 350), "xlabel": "length, m", "ylabel": "ohms at the feed"},
        share=0.53,
    )
    for curve, pen in ((impedances.real, THIRD), (impedances.imag, FOURTH)):
        ohms.plot(lengths, curve, color=pen.color, linestyle=(0, pen.dashes))
    legend(ohms, resistance=THIRD, reactance=FOURTH)
    ohms.axhline(0, color=GREY, linewidth=stroke(0.4))
    half = column(length_m) / 2
    zero = np.zeros_like(half)
    return [
        # How far they swing, and where they are: what has run to the ends stands there a quarter turn later.
        *(Part(along, "line", place_m, up * current, replace(FIRST, width=0.4)) for up in (1, -1)),
        *(Part(along, "line", place_m, up * voltage, replace(SECOND, width=0.4)) for up in (1, -1)),
        Part(along, "line", place_m, current.astype(complex), replace(FIRST, fill=0.13)),
        Part(along, "line", place_m, -1j * voltage, SECOND),
        *wire(along, (0, 0), (half, 0), size=SIGN),
        *words(along, zero - 0.1 * edge, zero + 1.26, "current", FIRST),
        *words(along, half * 0.92, zero + 1.26, "voltage", SECOND),
        Part(ohms, "line", column(length_m) + [0, 0], np.array([-250, 350]), Pen(GREY, width=0.5)),
        Part(ohms, "dots", column(length_m), column(impedance_ohm.real), THIRD),
        Part(ohms, "dots", column(length_m), column(impedance_ohm.imag), FOURTH),
    ]
