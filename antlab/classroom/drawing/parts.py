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
    y may be complex, on an axis of even steps: then it swings, and at a time it is about + Re(y e^(j turn)).
    """

    ax: object
    kind: str
    x: np.ndarray
    y: np.ndarray
    pen: Pen
    texts: tuple = ()
    about: float = 0.0
    unit_pt: float = field(default_factory=lambda: mpl.rcParams["lines.linewidth"])
    font_pt: float = field(default_factory=lambda: mpl.rcParams["font.size"])

    @property
    def width_pt(self):
        """Width of the line, or of a dot."""
        return self.unit_pt * self.pen.width * (3.3 if self.kind == "dots" else 1.0)

    @property
    def swings(self):
        """Whether it moves of itself."""
        return np.iscomplexobj(self.y)

    def draw(self, row=0, turn=0.0):
        """Add this part to its axes as it is in one row. turn: the time, in turns of the wave."""
        x, y = (np.atleast_2d(v)[row if np.ndim(v) > 1 else 0] for v in (self.x, self.y))
        if self.swings:
            y = self.about + (y * np.exp(2j * np.pi * turn)).real
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
        elif np.isfinite(x + y).any():
            if pen.fill:
                self.ax.fill(x, y, color=pen.color, alpha=pen.fill, linewidth=0)
            dashes = (0, pen.dashes) if pen.dashes else "solid"
            self.ax.plot(x, y, linewidth=self.width_pt, linestyle=dashes, solid_capstyle="round", color=color)


@dataclass(frozen=True, eq=False)
class Waves:
    """A field over the ground that swings, under all parts; a wire hangs in the middle, seen from its end.

    step_m: between points of the lattice. up: how many, from the ground. direct: what the wire sends, times
    the root of the steps, complex, shape (steps above or below the wire, steps to the side). echo: what the
    ground sends after it, complex, shape (steps above ground and those of the wire, steps to the side). high,
    drive, direct_on, echo_on: (rows,): steps up to the wire, a factor, and 1 for what is shown. full: where
    the color is full.
    """

    ax: object
    step_m: float
    up: int
    direct: np.ndarray
    echo: np.ndarray
    high: np.ndarray
    drive: np.ndarray
    direct_on: np.ndarray
    echo_on: np.ndarray
    full: float
    swings = True

    @property
    def extent(self):
        """Left, right, bottom and top of the lattice's outermost cells, in the axes' units."""
        side = (self.direct.shape[1] - 0.5) * self.step_m
        return -side, side, -0.5 * self.step_m, (self.up - 0.5) * self.step_m

    def side(self, row, turn=0.0):
        """One side of what is shown, shape (up, steps to the side), from the ground up."""
        high, place = self.high[row], np.arange(self.up)
        away = np.hypot(*np.meshgrid(np.arange(self.direct.shape[1]), place - high)).clip(1)
        wave = self.direct_on[row] * self.direct[np.abs(place - high)]
        wave = wave + self.echo_on[row] * self.echo[place + high] * np.sqrt(away)
        return self.drive[row] * (wave * np.exp(2j * np.pi * turn)).real

    def draw(self, row=0, turn=0.0):
        """Add it to its axes as it is in one row and at one moment."""
        half = self.side(row, turn)
        whole = np.concatenate([half[:, :0:-1], half], axis=1) / self.full
        shades = mpl.colors.LinearSegmentedColormap.from_list("waves", [ORANGE, "white", BLUE])
        self.ax.imshow(whole, shades, vmin=-1, vmax=1, extent=self.extent, origin="lower", aspect="auto",
                       interpolation="bilinear", zorder=0)  # fmt: skip


@dataclass(frozen=True, eq=False)
class Scene:
    """A picture: its moving parts, what it says in words for each row, and alt text for who cannot see it."""

    parts: list
    says: list
    alt: str
    waves: Waves | None = None

    def draw(self, *turns):
        """Add all that moves to the picture, in its first row, what swings at each of the turns."""
        first, *later = turns or (0.0,)
        for part in [self.waves] * bool(self.waves) + self.parts:
            part.draw(turn=first)
            for turn in later if part.swings else ():
                part.draw(turn=turn)


def column(values):
    """One value a row, as points to draw: shape (rows, 1)."""
    return np.asarray(values, dtype=float)[:, None]


def words(ax, x, y, text, pen):
    """A curve's name that moves with it; x, y: (rows, 1). Returns a list of one part."""
    return [Part(ax, "text", x, y, Pen(pen.color), (text,) * len(x))]
