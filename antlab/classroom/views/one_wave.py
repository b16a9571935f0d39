"""How long is a wave? One wave and half of it, beside things that everybody knows."""

from dataclasses import replace

import numpy as np

from antlab.classroom.drawing.axes import em_of, label, plot_axes
from antlab.classroom.drawing.looks import BLACK, GREY, ORANGE, small, stroke
from antlab.classroom.drawing.parts import FIRST, SECOND, Handle, Part, Pen, Scene, column
from antlab.classroom.views.player import Slider, view
from antlab.physics.bands import BANDS, band
from antlab.units import feet, wavelength_m


@view(Slider("Frequency", "MHz", 3.5, 30, 266, 14.2), size=((9.0, 4.5), (3.9, 2.05)))
def one_wave(fig, f_mhz):
    """How long is a wave?"""
    whole = wavelength_m(f_mhz)
    says = [
        f"At {f:.1f} MHz, {f:.1f} million waves leave in a second\n"
        f"One is {w:.1f} m ({feet(w):.0f} ft) long, half of it {w / 2:.1f} m ({feet(w / 2):.0f} ft)"
        for f, w in zip(f_mhz, whole, strict=True)
    ]
    alt = (
        "To scale: a house, a bus, a car and a person; above them one wave and a wire half as long. The wire "
        "begins where the house does, and is drawn once more, thin, where the bus begins. The higher the "
        "frequency, the shorter all of them."
    )
    parts = _picture(fig, f_mhz, whole)
    ax = parts[0].ax
    return Scene(parts, says, alt, handles=[Handle("f_mhz", ax, whole / 2 + 1.6 * em_of(ax), WIRE)])


def _beside(f_mhz):
    """A frequency, and which band it is in or next to."""
    near = min(map(band, BANDS), key=lambda one: max(one.low_mhz - f_mhz, f_mhz - one.high_mhz))
    how = "" if near.low_mhz <= f_mhz <= near.high_mhz else "next to the "
    return f"{f_mhz:.1f} MHz, {how}{near.name.removesuffix('m')}-metre band"


WIRE = 10.0  # height of the wire in the picture
BUS = 18.0  # where it begins; the house begins where the wire does
LAID = 4.2  # height of the wire laid at the bus
TO_SCALE = {  # outlines, metres
    "house": ((0, 0, 5.5, 11, 11), (0, 4.8, 8, 4.8, 0)),
    "bus": ((BUS, BUS, BUS + 12, BUS + 12), (0, 3, 3, 0)),
    "car": ((37, 37, 38.2, 39, 40.5, 41.5, 41.5), (0, 0.8, 0.9, 1.5, 1.5, 0.8, 0)),
    "you": ((50, 50, 50.6, 50.6), (0, 1.8, 1.8, 0)),
}


def _picture(fig, f_mhz, wavelength_m):
    """A wave, and a wire of half of it, above things that everybody knows, true to scale.

    f_mhz, wavelength_m: (rows,). Returns the parts.
    """
    ax = plot_axes(fig, x=(-1, 89), y=(-5, 40), margins_em=(0.3, 0.3, 0.3, 0.3), aspect="equal")
    ax.set_axis_off()
    ax.plot([-1, 89], [0, 0], color=BLACK, linewidth=stroke(0.7))
    for name, (x, y) in TO_SCALE.items():
        ax.fill(x, y, color=GREY, alpha=0.5)
        label(ax, (x[0] + x[-1]) / 2, -0.6, name, ha="center", va="top", fontsize=small())
    whole = column(wavelength_m)
    turn = np.linspace(0, 1, 97)
    waves, wires = (
        tuple(f"{word} {m:.1f} m ({feet(m):.0f} ft)" for m in metres)
        for word, metres in (("one wave", wavelength_m), ("half-wave wire", wavelength_m / 2))
    )
    left, near = replace(FIRST, align="left", bold=True, size=1.2), tuple(map(_beside, f_mhz))
    return [
        Part(ax, "text", 0 * whole, 36.5 + 0 * whole, replace(left, color=BLACK), near),
        Part(ax, "line", whole * turn, 22 + 4 * np.sin(2 * np.pi * turn), FIRST),
        Part(ax, "line", whole * [0, 1], np.array([22.0, 22.0]), Pen(GREY, width=0.4)),
        Part(ax, "text", 0 * whole, 29.5 + 0 * whole, left, waves),
        Part(ax, "line", whole * [0, 0.5], np.array([WIRE, WIRE]), replace(SECOND, dashes=(), width=1.6)),
        Part(ax, "line", BUS + whole * [0, 0.5], np.array([LAID, LAID]), Pen(ORANGE, width=0.7)),
        Part(ax, "text", 0 * whole, 13.6 + 0 * whole, replace(left, color=ORANGE), wires),
    ]
