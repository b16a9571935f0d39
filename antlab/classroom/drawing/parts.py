"""What a picture is made of: axes and words that stay, and parts with a row for each setting.

A picture that can move is a function of a figure and of data with one row for each setting. It draws what
stays (axes, grid, words) and returns the rest as `Part`s. The player shows their rows under the student's
hand; `stills.paper` prints two or three of them side by side, the very same parts.
"""

from dataclasses import dataclass, field

import matplotlib as mpl
import numpy as np
from matplotlib import patheffects

from antlab.classroom.drawing.looks import BLACK, BLUE, GREEN, ORANGE


@dataclass(frozen=True)
class Pen:
    """How a part is drawn.

    color; width: share of a curve's; dashes: in widths; fill: of what it encloses;
    size: share of plain text's; align: the side of the text that is held; bold.
    """

    color: str
    width: float = 1.0
    dashes: tuple = ()
    fill: float = 0.0
    size: float = 1.0
    align: str = "center"
    bold: bool = False


FIRST = Pen(BLUE)
SECOND = Pen(ORANGE, dashes=(3.0, 1.3))
THIRD = Pen(GREEN, dashes=(1.0, 1.0))
FOURTH = Pen(BLACK, dashes=(4.0, 1.0, 1.0, 1.0))
PENS = (FIRST, SECOND, THIRD, FOURTH)


@dataclass(frozen=True, eq=False)
class Part:
    """Something that moves: a "line", "dots" or "text", with a row of x, y (and text) for each setting.

    x, y: shape (rows, points) or (points,) if they stay; NaN leaves a gap. texts: one for each row.
    """

    ax: object
    kind: str
    x: np.ndarray
    y: np.ndarray
    pen: Pen
    texts: tuple = ()
    unit_pt: float = field(default_factory=lambda: mpl.rcParams["lines.linewidth"])
    font_pt: float = field(default_factory=lambda: mpl.rcParams["font.size"])

    @property
    def width_pt(self):
        """Width of the line, or of a dot."""
        return self.unit_pt * self.pen.width * (3.3 if self.kind == "dots" else 1.0)

    def draw(self, row=0):
        """Add this part to its axes as it is in one row."""
        x, y = (np.atleast_2d(v)[row if np.ndim(v) > 1 else 0] for v in (self.x, self.y))
        pen, color = self.pen, self.pen.color
        if self.kind == "text":
            if np.isfinite(x[0] + y[0]):
                self.ax.text(
                    x[0], y[0], self.texts[row], color=pen.color, ha=pen.align, va="center",
                    fontsize=self.font_pt * pen.size, fontweight="bold" if pen.bold else "normal",
                    path_effects=[patheffects.withStroke(linewidth=0.25 * self.font_pt, foreground="white")],
                )  # fmt: skip
        elif self.kind == "dots":
            self.ax.plot(x, y, "o", markersize=self.width_pt, markeredgewidth=0, color=color)
        else:
            if pen.fill:
                self.ax.fill(x, y, color=pen.color, alpha=pen.fill, linewidth=0)
            dashes = (0, pen.dashes) if pen.dashes else "solid"
            self.ax.plot(x, y, linewidth=self.width_pt, linestyle=dashes, solid_capstyle="round", color=color)


@dataclass(frozen=True, eq=False)
class Scene:
    """A picture: its moving parts, what it says in words for each row, and alt text for who cannot see it."""

    parts: list
    says: list
    alt: str


def column(values):
    """One value a row, as points to draw: shape (rows, 1)."""
    return np.asarray(values, dtype=float)[:, None]


def words(ax, x, y, text, pen):
    """A curve's name that moves with it; x, y: (rows, 1). Returns a list of one part."""
    return [Part(ax, "text", x, y, Pen(pen.color), (text,) * len(x))]
