"""One wire, two antennas: the current that swings along a wire with traps."""

from dataclasses import replace

import matplotlib as mpl
import numpy as np

from antlab.classroom.drawing.axes import KILOHMS, em_of, label, two_axes
from antlab.classroom.drawing.looks import BLACK, EARTH, GREY, ORANGE, small, stroke
from antlab.classroom.drawing.parts import FIRST, SECOND, Handle, Part, Pen, Scene, column, marks
from antlab.classroom.drawing.signs import SIGN, wire
from antlab.classroom.views.player import Slider, view
from antlab.classroom.views.shared import EXAMPLE
from antlab.physics.bands import BANDS, band

TENTH = 0.1  # of the largest current: what is drawn as a line
TOP, NAMES = 1.5e6, 4e5  # ohms of the chart: its upper end, and where the bands have their names
BETWEEN = 30.0  # ohms between two of its ticks, below the curve: there it is taken hold of
WIDE_BAND = 0.02  # of its frequency: narrower ones are not named
EXACT = 0.2  # a smaller share is told in tenths of a per cent, since a task asks where it is a tenth


def _about_the_trap(dipole):
    tuned = dipole.trap.resonance_mhz
    low, high, step = round(0.42 * tuned, 1), round(1.08 * tuned, 1), 0.1 if tuned > 15 else 0.05
    return [Slider("Frequency", "MHz", low, high, round((high - low) / step) + 1, 0.5 * tuned, digits=2)]


@view(_about_the_trap, dipole=(EXAMPLE,), size=((9.0, 4.6), (3.9, 5.4), (4.68, 5.3)),
      work="transmitting", turn_s=4.0, instants=((0.0, 0.25),))  # fmt: skip
def trap_dipole(fig, f_mhz, *, dipole=EXAMPLE):
    """One wire, two antennas.

    Current along the wire of a trap dipole of your own, or of the course's example.
    """
    place, current = dipole.current(f_mhz)
    most = np.abs(current).argmax(axis=1)
    share = current / np.take_along_axis(current, most[:, None], axis=1)
    beyond = np.abs(share)[:, np.abs(place) > 1.02 * dipole.inner_m].max(axis=1)
    swr, trap = dipole.swr(f_mhz), dipole.trap.impedance(f_mhz)
    match = [f"SWR {'over 20' if s > 20 else format(s, '.1f')}" for s in swr]
    shares = [f"{100 * b:.{1 if b < EXACT else 0}f} %" for b in beyond]
    says = [
        f"The trap is like a {_like(t)}; beyond it the current is {b} of the largest\n{s} on 50 Ω"
        for t, b, s in zip(trap, shares, match, strict=True)
    ]
    alt = (
        "Left: current that swings along the wire, a trap in each leg, and lines at a tenth of the largest. "
        "On the upper band it stops at the traps, on the lower it runs to the ends. Right: the trap's ohms "
        "against frequency, with its resonance and the bands."
    )
    over = _about_the_trap(dipole)[0].values
    along, chart = _axes(fig, dipole, place[-1], (over, np.abs(dipole.trap.impedance(over))))
    digits = 1 if dipole.trap.resonance_mhz > 15 else 2
    parts = [
        *_current(along, place, share, np.abs(place[most])),
        Part(chart, "line", column(f_mhz) + [0, 0], np.array([5.0, 1e5]), Pen(GREY, width=0.5)),
        Part(chart, "dots", column(f_mhz), column(np.abs(trap)), SECOND),
        *marks(
            along, [f"beyond: {b}" for b in shares], [f"of the most, on {f:.{digits}f} MHz" for f in f_mhz]
        ),
        *marks(chart, match, [f"trap {_ohms(t)}" for t in np.abs(trap)], sizes=(1.5, 1.1), aside_em=-1.8),
    ]
    line = [(chart, 0, 5), (chart, 0, 1e5)]  # the dot on the curve is on it
    return Scene(parts, says, alt, handles=[Handle("f_mhz", chart, f_mhz, BETWEEN, along=(line,))])


def _ohms(size):
    return f"{size / 1e3:.0f} kΩ" if size >= 1e4 else f"{size:.0f} Ω"


def _like(z):
    """What a trap is like, in words, and of how many ohms."""
    kind = "resistor" if abs(z.imag) < z.real else "coil" if z.imag > 0 else "capacitor"
    return f"{kind} of {_ohms(abs(z))}"


def _axes(fig, dipole, half_m, over):
    """What stays: the wire's axes with its traps and the lines at a tenth; the trap's ohms, and the bands.

    over: (f_mhz, ohms) of the curve.
    """
    room = {"margins_em": (4.8, 3.4, 5.0, 3.4)}
    along, chart = two_axes(
        fig,
        {"x": (-1.08 * half_m, 1.08 * half_m), "y": (-1.5, 1.45), "xlabel": "along the wire, m",
         "ylabel": "share of largest", "yticks": [-1, 0, 1], **room},
        {"x": (over[0][0], over[0][-1]), "y": (5, TOP), "xlabel": "frequency, MHz", "ylabel": "trap, Ω",
         "yscale": "log", **KILOHMS, "margins_em": (4.8, 1.2, 5.0, 3.4)},
        share=0.51,
    )  # fmt: skip
    chart.minorticks_off()
    chart.plot(*over, color=ORANGE, linestyle=(0, SECOND.dashes))
    wide = []
    for one in map(band, BANDS):
        low, high = np.clip((one.low_mhz, one.high_mhz), *chart.get_xlim())
        if high > low and one.high_mhz - one.low_mhz > WIDE_BAND * one.middle_mhz:
            chart.axvspan(low, high, ymax=0.8, color=EARTH, linewidth=0, zorder=0)
            wide.append(one)
    for one in wide:  # the last of them says metres, and ends with the axis
        at = (
            {"x": chart.get_xlim()[1], "ha": "right"}
            if one == wide[-1]
            else {"x": one.middle_mhz, "ha": "center"}
        )
        words = one.label if one == wide[-1] else one.label.split()[0]
        label(chart, at["x"], NAMES, words, ha=at["ha"], va="center", fontsize=small(), annotation_clip=False)
    for part in wire(along, (0, 0), (half_m, 0), trap_at=dipole.inner_m / half_m, size=SIGN):
        part.draw()
    along.grid(visible=False)  # it would cross the words
    for side in (-1, 1):
        label(along, side * dipole.inner_m, -1.26, "trap", SECOND, ha="center", va="center")
        along.plot(
            [side * dipole.inner_m] * 2, [-0.15, -1.1], color=ORANGE, linestyle=(0, SECOND.dashes),
            linewidth=stroke(0.4),
        )  # fmt: skip
        along.axhline(side * TENTH, color=BLACK, linewidth=stroke(0.3), linestyle=(0, (1, 2)))
    label(along, 1.08 * half_m, TENTH, " 10 %", va="center", fontsize=small(), annotation_clip=False)
    return along, chart


def _current(ax, place_m, share, most_m):
    """The current as it swings, how far it swings, and where it is largest.

    place_m: (points,). share: (rows, points), complex, the largest is 1. most_m: (rows,).
    """
    size, x = np.abs(share), np.stack([-most_m, most_m], axis=1)
    em = mpl.rcParams["font.size"] / 72 * ax.figure.dpi * np.ptp(ax.get_ylim()) / ax.bbox.height
    return [
        *(Part(ax, "line", place_m, side * size, replace(FIRST, width=0.4)) for side in (1, -1)),
        Part(ax, "line", place_m, share, replace(FIRST, fill=0.13)),
        Part(ax, "dots", x, np.ones_like(x), Pen(BLACK)),
        Part(
            ax,
            "text",
            x[:, 1:] + 0.6 * em_of(ax),  # aside, where the curve has fallen
            np.full((len(x), 1), 1 + 0.6 * em),
            Pen(BLACK, bold=True, align="left"),
            ("most",) * len(x),
        ),
    ]
