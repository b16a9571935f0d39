"""One wire, two antennas: where the current runs on a wire with traps."""

from dataclasses import replace

import numpy as np

from antlab.classroom.drawing.axes import KILOHMS, label, two_axes
from antlab.classroom.drawing.looks import GREY, ORANGE, stroke
from antlab.classroom.drawing.parts import FIRST, SECOND, Part, Pen, Scene, column
from antlab.classroom.drawing.signs import SIGN, wire
from antlab.classroom.views.player import Slider, view
from antlab.classroom.views.shared import EXAMPLE, ohms


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
        f"Trap {ohms(t)}; beyond it the current is {100 * b:.0f} % of the largest\n"
        f"SWR {'over 20' if s > 20 else format(s, '.1f')} on 50 Ω"
        for t, b, s in zip(trap, beyond, swr, strict=True)
    ]
    over = _about_the_trap(dipole)[0].values
    alt = (
        "Left: current along the wire with a trap in each leg. On the upper band it stops at the traps, on "
        "the lower it runs to the ends. Right: the trap's impedance against frequency, with its resonance."
    )
    parts = _picture(
        fig, dipole, place, share, f_mhz, np.abs(trap), (over, np.abs(dipole.trap.impedance(over)))
    )
    return Scene(parts, says, alt)


def _picture(fig, dipole, place_m, current, f_mhz, trap_ohm, over):
    """Current along a wire with traps, and what the traps are at that frequency.

    place_m: (points,). current: (rows, points), share of the largest. f_mhz: (rows,). trap_ohm: (rows,), size
    of the impedance. over: (f_mhz, ohms) of the curve that stays. Returns the parts.
    """
    half = place_m[-1]
    along, trap = two_axes(
        fig,
        {"x": (-1.08 * half, 1.08 * half), "y": (-0.12, 1.25), "xlabel": "along the wire, m",
         "ylabel": "share of largest"},
        {"x": (over[0][0], over[0][-1]), "y": (10, 1e5), "xlabel": "frequency, MHz", "ylabel": "trap, Ω",
         "yscale": "log", **KILOHMS},
        share=0.6,
    )  # fmt: skip
    trap.minorticks_off()
    trap.plot(*over, color=ORANGE, linestyle=(0, SECOND.dashes))
    for part in wire(along, (0, 0), (half, 0), trap_at=dipole.inner_m / half, size=SIGN):
        part.draw()
    for side in (-1, 1):
        label(along, side * dipole.inner_m, 1.12, "trap", SECOND, ha="center")
        along.plot(
            [side * dipole.inner_m] * 2, [0.1, 1.1], color=ORANGE, linestyle=(0, SECOND.dashes),
            linewidth=stroke(0.4),
        )  # fmt: skip
    return [
        Part(along, "line", place_m, current, replace(FIRST, fill=0.13)),
        Part(trap, "line", column(f_mhz) + [0, 0], np.array([10.0, 1e5]), Pen(GREY, width=0.5)),
        Part(trap, "dots", column(f_mhz), column(trap_ohm), SECOND),
    ]
