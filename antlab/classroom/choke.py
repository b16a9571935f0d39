"""The choke at the feed point, on paper: the feed line itself, wound through a ring of ferrite."""

import numpy as np
from matplotlib.patches import Wedge
from matplotlib.patheffects import withStroke

from antlab.antenna.feeding import CHOKES
from antlab.classroom.drawing.axes import label, plot_axes
from antlab.classroom.drawing.looks import BLACK, EARTH, GREY, still_figure, stroke
from antlab.classroom.drawing.parts import Pen
from antlab.physics import cable

HOLE = 0.58  # of the ring's width, as many such rings have it (value from memory)
FIRST_DEG, STEP_DEG = 48.0, 22.0  # where the first turn begins, and how far on each of the others does
FEED, FOOT = 1.75, -1.5  # how far over and below the ring's middle it is drawn, half rings


def choke():
    """The middle of a dipole, and its line with the ring on it, both to scale. Returns fig and its axes."""
    ferrite = CHOKES[0]
    thick = 2 * cable.cable(ferrite.cable).outer_mm / ferrite.across_mm
    out, into = 1 + 0.3 * thick, HOLE - 0.5 * thick
    places = np.radians(FIRST_DEG + STEP_DEG * np.arange(0, ferrite.turns + 0.5, 0.5))
    radii = np.where(np.arange(len(places)) % 2, into, out)
    x, y = radii * np.cos(places), radii * np.sin(places)
    with still_figure(4.7, 3.2) as fig:
        ax = plot_axes(fig, x=(-1.6, 3.1), y=(FOOT, FEED + 0.25), margins_em=(0, 0, 0, 0), aspect="equal")
        ax.set_axis_off()
        wide_pt = thick * 72 / fig.dpi * ax.bbox.width / np.ptp(ax.get_xlim())

        def lead(x, y, order):
            """A piece of the line, with a rim, so that each turn is told from the next."""
            rim = [withStroke(linewidth=wide_pt + stroke(0.7), foreground="white")]
            looks = {"color": BLACK, "linewidth": wide_pt, "solid_capstyle": "round"}
            ax.plot(x, y, **looks, zorder=order, path_effects=rim)

        for place in range(1, len(places) - 1, 2):  # behind the ring, from its hole on
            lead(x[place : place + 2], y[place : place + 2], 2)
        lead([x[-1], x[-1]], [y[-1], FOOT - 1], 2)
        ring = {"facecolor": EARTH, "edgecolor": GREY, "linewidth": stroke(0.7)}
        ax.add_patch(Wedge((0, 0), 1, 0, 360, width=1 - HOLE, zorder=3, **ring))
        for place in range(0, len(places) - 1, 2):
            lead(x[place : place + 2], y[place : place + 2], 4)
        lead([x[0], x[0]], [FEED - 0.12, y[0]], 4)
        for side in (-1, 1):
            ax.plot([x[0] + 0.09 * side, 5 * side], [FEED, FEED], color=BLACK, linewidth=stroke(0.7))
        turns = f"{ferrite.turns:.0f} turns through\na ferrite ring"
        for up, words, ink, weight in (
            (1.45, "feed point", GREY, "normal"), (-1.25, "to the shack", GREY, "normal"),
            (0.45, "choke", BLACK, "bold"), (-0.1, turns, BLACK, "normal"),
        ):  # fmt: skip
            label(ax, 1.25, up, words, Pen(ink), va="center", fontweight=weight)
    return fig, [ax]
