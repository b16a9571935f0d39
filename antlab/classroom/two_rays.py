"""Why an echo is late: a wire, its image, and the way that one ray has more than the other, on paper."""

import numpy as np

from antlab.classroom.drawing.axes import label, plot_axes
from antlab.classroom.drawing.looks import BLACK, EARTH, GREY, still_figure, stroke
from antlab.classroom.drawing.parts import FIRST, SECOND, Pen

HIGH, ELEVATION_DEG = 1.0, 30  # of the wire, in heights, and of both rays


def two_rays(*, complete=True):
    """A wire seen from its end and its image as far below, with a ray of each. Returns fig and the axes.

    complete: or, for a pencil, without the image and its echo.
    """
    drawn = 2 if complete else 1
    up = np.radians(ELEVATION_DEG)
    along, across = np.array([np.cos(up), np.sin(up)]), np.array([np.sin(up), -np.cos(up)])
    wire, image = np.array([0, HIGH]), np.array([0, -HIGH])
    foot = image + 2 * HIGH * np.sin(up) * along  # as far on its way as the other ray is where it begins
    with still_figure(4.0, 3.85) as fig:
        ax = plot_axes(fig, x=(-0.9, 3.05), y=(-1.5, 2.35), margins_em=(0.1, 0.1, 0.1, 0.1), aspect="equal")
        ax.set_axis_off()
        ax.axhspan(-1.5, 0, color=EARTH, zorder=0)
        ax.axhline(0, color=BLACK, linewidth=stroke(0.7))
        for start, long, pen in ((wire, 2.5, FIRST), (image, 3.4, SECOND))[:drawn]:
            dashes = (0, pen.dashes) if pen.dashes else "-"
            ax.plot(*zip(start, start + long * along, strict=True), color=pen.color, linestyle=dashes)
        if complete:
            bounce = np.array([HIGH / np.tan(up), 0])  # where what is sent down meets the ground
            ax.plot(*zip(wire, bounce, strict=True), color=SECOND.color, linestyle=(0, SECOND.dashes))
            ax.plot(*zip(wire, foot, strict=True), color=GREY, linewidth=stroke(0.4))
            square = foot + 0.13 * np.array([along, along - across, -across])
            ax.plot(*square.T, color=GREY, linewidth=stroke(0.4))
            ax.plot(*zip(image, foot, strict=True), color=BLACK, linewidth=stroke(2.0), solid_capstyle="butt")
        for point, words in ((wire, "wire"), (image, "image"))[:drawn]:
            ax.plot(*point, "o", color=BLACK, markersize=stroke(3.3))
            label(ax, -0.12, point[1], words, ha="right", va="center")
        for low, high in ((0, HIGH), (-HIGH, 0))[:drawn]:
            ax.plot([0, 0], [low, high], color=GREY, linewidth=stroke(0.4))
            label(ax, -0.08, (low + high) / 2, "h", ha="right", va="center")
        if complete:
            middle = (image + foot) / 2 + 0.12 * across
            label(
                ax, *middle, "extra way:\n2 · h · sin θ", Pen(BLACK), ha="left", va="top", fontweight="bold"
            )
        label(ax, *(wire + 2.0 * along + [-0.1, 0.1]), "direct wave", FIRST, ha="right", va="bottom")
        if complete:
            label(ax, *(image + 3.1 * along + [-0.1, 0.1]), "echo", SECOND, ha="right", va="bottom")
        turn = np.linspace(0, up, 20)
        ax.plot(0.9 * np.cos(turn), HIGH + 0.9 * np.sin(turn), color=GREY, linewidth=stroke(0.4))
        ax.plot([0, 1.1], [HIGH, HIGH], color=GREY, linewidth=stroke(0.4))
        label(ax, 1.0, HIGH + 0.27, "θ", ha="left", va="center")
    return fig, fig.axes
