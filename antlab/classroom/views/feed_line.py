"""What the line hides: SWR from the antenna to the shack."""

from dataclasses import replace

import matplotlib as mpl
import numpy as np

from antlab.classroom.drawing.axes import plot_axes
from antlab.classroom.drawing.looks import BLACK
from antlab.classroom.drawing.parts import FIRST, SECOND, Part, Pen, Scene
from antlab.classroom.views.player import Slider, view
from antlab.physics import cable
from antlab.units import feet

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
    return Scene(_picture(fig, along, there, REACH_M), says, alt)


def _picture(fig, distance_m, swr, reach_m):
    """SWR along a line, from the antenna to the shack.

    distance_m, swr: (rows, points), from the antenna on. reach_m: length of the scale. Returns the parts.
    """
    ax = plot_axes(
        fig,
        x=(-0.04 * reach_m, 1.06 * reach_m),
        y=(1, 6.4),
        xlabel="line from the antenna, m",
        ylabel="SWR",
        margins_em=(4.8, 1.2, 1.6, 4.8),
    )
    ticks = np.arange(0, reach_m + 1, 20)
    ax.set_xticks(ticks, [f"{tick:.0f}\n({feet(tick):.0f} ft)" for tick in ticks])
    antenna, shack, far = swr[:, :1], swr[:, -1:], distance_m[:, -1:]
    # the shack's words beside its dot; where they would leave the picture they climb above it
    beside, em = far + 0.035 * reach_m, mpl.rcParams["font.size"] / 72 * fig.dpi
    place = np.minimum(beside, ax.get_xlim()[1] - 6.2 * em / ax.bbox.width * np.ptp(ax.get_xlim()))
    climb = 1.5 * em / ax.bbox.height * np.ptp(ax.get_ylim()) * np.clip((beside - place) / 3, 0, 1)
    return [
        Part(ax, "line", distance_m, swr, FIRST),
        Part(ax, "dots", np.zeros(1), antenna, SECOND),
        Part(ax, "dots", far, shack, Pen(BLACK)),
        Part(ax, "text", 0 * antenna, antenna + 0.55, replace(SECOND, align="left", bold=True),
             tuple(f"antenna {s:.1f}" for s in antenna[:, 0])),
        Part(ax, "text", place, shack + climb, Pen(BLACK, align="left", bold=True),
             tuple(f"shack {s:.1f}" for s in shack[:, 0])),
    ]  # fmt: skip
