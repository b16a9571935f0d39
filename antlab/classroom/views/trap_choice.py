"""Which trap for two bands: the course's example solved anew for each."""

from dataclasses import replace
from functools import lru_cache

import matplotlib as mpl
import numpy as np

from antlab.antenna.design import design, span_under
from antlab.classroom.drawing.axes import plot_axes
from antlab.classroom.drawing.looks import BLACK
from antlab.classroom.drawing.parts import THIRD, Handle, Part, Pen, Scene, column, marks
from antlab.classroom.drawing.signs import SIGN, wire
from antlab.classroom.drawing.two_bands import swr_curves
from antlab.classroom.fieldday import AIMS
from antlab.classroom.views.knots import Between, passive
from antlab.classroom.views.player import Slider, view
from antlab.engine.shapes import FlatTop
from antlab.physics import circuit
from antlab.physics.bands import band
from antlab.physics.trap import Trap
from antlab.units import feet

HANGS = FlatTop(height_m=9)  # as the course's example
SLIDERS = (
    Slider("Coil", "µH", 1.0, 5.0, 37, 1.25, log=True, digits=2),
    Slider("Trap tuned to", "MHz", 26.902, 28.96, 22, 28.47, digits=2),  # with 25 pF, below and above that
)
NEAR_MHZ = np.linspace(13.6, 14.75, 93), np.linspace(26.9, 29.7, 281)  # so fine that widths are true
DRAWN = 2, 5  # of these points every so many
MIDDLE_MHZ = 28.6  # of the dip on the upper band: the trap's name stands inside
FROM_MHZ = 26.7  # the upper band's picture begins below all that a trap can be tuned to
WIRE_EM, WIRE_M = 4.2, 9.9  # room for the wire above both, in widths of the letter m, and its longest
KNOTS = 5, 4  # coils and tunings that are truly solved; between them within 1 % in SWR


@lru_cache(maxsize=1)
def _solved_anew():
    """The course's example solved for a few other traps, over coil and tuning.

    Columns: inner and outer wire, loss on either band, volts on either band, impedance over both bands.
    """

    def solve(inductance_uh, f_mhz):
        capacitance_pf = circuit.capacitance_for_pf(f_mhz=f_mhz, inductance_uh=inductance_uh)
        made = design(
            shape=HANGS, trap=Trap(inductance_uh=inductance_uh, capacitance_pf=capacitance_pf), **AIMS
        )
        lost = [1 - made.efficiency(aim) for aim in made.aims]
        volts = [made.stress(aim).volts_peak for aim in made.aims]
        z = made.dipole.impedance(np.concatenate(NEAR_MHZ))
        return np.r_[made.dipole.inner_m, made.dipole.outer_m, lost, volts, z]

    return Between(solve, SLIDERS, KNOTS)


@view(*SLIDERS, size=((9.0, 4.4), (3.9, 5.9), (4.68, 4.8)), work="winding")
def trap_choice(fig, inductance_uh, tuned_mhz):
    """Which trap for two bands.

    The course's example solved anew for each trap of Q 200: 9 m up, resonant on 14.175 and 28.5 MHz.
    """
    solved = _solved_anew()(inductance_uh, tuned_mhz)
    low, high = np.split(circuit.swr(passive(solved[:, 6:])), [len(NEAR_MHZ[0])], axis=1)
    widths, high_widths = (
        [span_under(f, row, 2).width_khz for row in rows]
        for f, rows in zip(NEAR_MHZ, (low, high), strict=True)
    )
    names = [band(AIMS[side]).label for side in ("low", "high")]
    wide = [[f"{w:.0f} kHz" for w in np.nan_to_num(row)] for row in (widths, high_widths)]
    best = [[f"{one:.1f}" for one in rows.min(axis=1)] for rows in (low, high)]
    matched = [zip(*both, strict=True) for both in (best, wide)]  # a row of both bands after the other
    says = [
        f"Each side {a:.2f} + {b:.2f} m ({feet(a):.1f} + {feet(b):.1f} ft); volts at 100 W"
        + "".join(
            f"\n{name}: SWR {swr} at best, 2 or less over {khz}; {100 * share:.1f} % lost as heat, "
            f"{volts:.0f} V peak on a trap"
            for name, share, volts, swr, khz in zip(names, (c, d), (e, f), *told, strict=True)
        )
        for (a, b, c, d, e, f), *told in zip(solved[:, :6].real, *matched, strict=True)
    ]
    alt = (
        f"SWR against frequency, {names[0]} and {names[1]}, of a trap dipole solved anew for each trap. A "
        "larger coil narrows the lower band and widens the upper one. Above, the wire to scale."
    )
    sweeps = [(f[::n], row[:, ::n]) for f, row, n in zip(NEAR_MHZ, (low, high), DRAWN, strict=True)]
    parts = swr_curves(fig, sweeps, names, above_em=3.9, over_em=WIRE_EM)
    axes = fig.axes[:2]
    axes[1].set_xlim(FROM_MHZ, NEAR_MHZ[1][-1])
    heat, peaks = solved[:, 2:4].real.T, solved[:, 4:6].real.T
    for ax, least, row, lost, volts in zip(axes, best, wide, heat, peaks, strict=True):
        found = [f"best SWR {one}, {w}" for one, w in zip(least, row, strict=True)]
        told = [f"{100 * share:.1f} W of heat, {peak:.0f} V" for share, peak in zip(lost, volts, strict=True)]
        parts += marks(ax, found, told, sizes=(1.2, 1.2), aside_em=-1.8)
    tuned, word = column(tuned_mhz), ("trap",) * len(says)
    parts += [
        Part(axes[1], "line", tuned + [0, 0], np.array([1.0, 5.0]), replace(THIRD, width=0.7)),
        *(
            Part(axes[1], "text", np.where(there, tuned + aside, np.nan), 0 * tuned + 4.6, pen, word)
            for there, aside, pen in (
                (tuned < MIDDLE_MHZ, 0.06, Pen(THIRD.color, align="left")),
                (tuned >= MIDDLE_MHZ, -0.06, Pen(THIRD.color, align="right")),
            )
        ),
    ]
    held, drawn = _wire(fig, *solved[:, :2].real.T)
    handles = [held, Handle("tuned_mhz", axes[1], tuned_mhz, 3.6)]
    return Scene([*parts, *drawn], says, alt, handles=handles)


def _wire(fig, inner_m, outer_m):
    """The wire above all, from its left end on, and how long it is. Returns its handle, and the parts."""
    leg = np.round(inner_m + outer_m, 3)
    share = 1 - WIRE_EM * mpl.rcParams["font.size"] / 72 * fig.dpi / fig.bbox.height
    ax = plot_axes(fig, x=(-0.3, WIRE_M), y=(0, 1), rows=(share, 1), margins_em=(0.4, 0.4, 0.2, 0.2))
    ax.set_axis_off()
    level, whole_m = 0 * column(leg) + 0.2, np.round(2 * leg, 2)  # its feet are those of what is shown
    said = tuple(f"{one:.2f} m ({feet(one):.1f} ft) long" for one in whole_m)
    return Handle("inductance_uh", ax, 2 * leg, 0.2), [
        *wire(ax, (column(leg), level), (column(2 * leg), level), trap_at=inner_m / leg, size=SIGN),
        Part(ax, "text", column(leg), level + 0.55, Pen(BLACK, size=1.5, bold=True), said),
    ]
