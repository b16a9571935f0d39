"""What a picture is made of: axes and words that stay, and parts with a row for each setting.

A picture that can move is a function of a figure and of data with one row for each setting. It draws what
stays (axes, grid, words) and returns the rest as `Part`s. The player shows their rows under the student's
hand; `stills.paper` prints two or three of them side by side, the very same parts.
"""

from dataclasses import dataclass, field, replace

import matplotlib as mpl
import numpy as np
from matplotlib import patheffects

from antlab.classroom.drawing.looks import BLACK, BLUE, GREEN, ORANGE

# What runs along a line: how large and how far apart, in widths of a curve; its core, of its size, and inks.
BEAD, APART, CORE, AMBER = 2.3, 7.0, 0.65, "#ffc233"


@dataclass(frozen=True)
class Pen:
    """How a part is drawn.

    color; width: share of a curve's; dashes: in widths; fill: of what it encloses;
    size: share of plain text's; align: the side of the text that is held; bold. runs: along a line, how many
    beads pass in a turn, which paper does not show; less than 0 towards its beginning.
    """

    color: str
    width: float = 1.0
    dashes: tuple = ()
    fill: float = 0.0
    size: float = 1.0
    align: str = "center"
    bold: bool = False
    runs: int = 0


FIRST = Pen(BLUE)
SECOND = Pen(ORANGE, dashes=(3.0, 1.3))
THIRD = Pen(GREEN, dashes=(1.0, 1.0))
FOURTH = Pen(BLACK, dashes=(4.0, 1.0, 1.0, 1.0))
PENS = (FIRST, SECOND, THIRD, FOURTH)


@dataclass(frozen=True, eq=False)
class Part:
    """Something that moves: a "line", "dots" or "text", with a row of x, y (and text) for each setting.

    x, y: shape (rows, points) or (points,) if they stay; NaN leaves a gap. texts: one for each row.
    y may be complex, on an axis of even steps: then it swings, and at a time it is
    about + (level + Re(y e^(j order turn))) left^order, where left is what a Ring has left, or 1.
    about: as x, y, or one number. level: as x, y. order: 2 for what goes by squares, as an energy.
    smooth: a line is curved through its points, as film.py has it. until: at which x it ends, (rows, 1).
    """

    ax: object
    kind: str
    x: np.ndarray
    y: np.ndarray
    pen: Pen
    texts: tuple = ()
    about: np.ndarray | float = 0.0
    level: np.ndarray | float = 0.0
    order: int = 1
    smooth: bool = False
    until: np.ndarray | None = None
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

    @property
    def beads_pt(self):
        """Of the beads that run along it: width, distance, and how far they come in a turn; or nothing."""
        apart = APART * self.unit_pt
        return [BEAD * self.unit_pt, apart, self.pen.runs * apart] if self.pen.runs else []

    def draw_beads(self, row=0, turn=0.0):
        """Add what runs along this part, as it is in one row and at a time, in turns."""
        x, y = (np.atleast_2d(v)[row if np.ndim(v) > 1 else 0] for v in (self.x, self.y))
        for width, apart, far in [self.beads_pt] if self.pen.runs else []:
            for size, ink in ((width, BLACK), (CORE * width, AMBER)):
                dashes = -turn * far / size % (apart / size), (0.01, apart / size - 0.01)
                self.ax.plot(x, y, linewidth=size, linestyle=dashes, dash_capstyle="round", color=ink)

    def draw(self, row=0, turn=0.0, left=1.0):
        """Add this part to its axes as it is in one row. turn: the time, in turns. left: of a Ring."""
        given = self.x, self.y, self.level, self.about
        x, y, level, about = (np.atleast_2d(v)[row if np.ndim(v) > 1 else 0] for v in given)
        if self.swings:
            y = about + (level + (y * np.exp(2j * np.pi * self.order * turn)).real) * left**self.order
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
            until = None if self.until is None else self.until[row, 0]
            x, y = curved(x, y, until=until) if self.smooth else (x, y)
            if pen.fill:
                self.ax.fill(x, y, color=pen.color, alpha=pen.fill, linewidth=0)
            dashes = (0, pen.dashes) if pen.dashes else "solid"
            self.ax.plot(x, y, linewidth=self.width_pt, linestyle=dashes, solid_capstyle="round", color=color)


def curved(x, y, steps=8, until=None):
    """Points of the smooth curve through points, so many to each piece; NaN parts it. Shapes (points,).

    until: at which x it ends, on its way to its last point.
    """
    points = np.stack([x, y], axis=1)
    gap = np.isnan(points).any(axis=1)
    runs = [run[np.isfinite(run).all(axis=1)] for run in np.split(points, np.flatnonzero(gap))]
    x, y = np.concatenate([part for run in runs for part in (_path(run, steps), [[np.nan] * 2])])[:-1].T
    if until is not None:
        there = np.isfinite(x)
        way = np.sign(x[there][-1] - x[there][0])
        beyond, end = way * (x - until) >= 0, np.interp(way * until, way * x[there], y[there])
        x, y = np.where(beyond, until, x), np.where(beyond, end, y)
    return x, y


def _path(run, steps):
    """Points of the curve through a run of four or more, shape (points, 2); of fewer none."""
    if len(run) < 4:
        return run[:0]
    for _ in range(2):
        before, after = ([4, -6, 4, -1] @ end[:4] for end in (run, run[::-1]))
        run = np.concatenate([[before], run, [after]])
    slope = (8 * (run[3:-1] - run[1:-3]) - (run[4:] - run[:-4])) / 12
    b, c = run[2:-3], run[3:-2]
    t = np.linspace(0, 1, steps, endpoint=False)[:, None]
    shares = (1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t**2 * (1 - t), t**3
    ways = b, b + slope[:-1] / 3, c - slope[1:] / 3, c
    path = sum(share * way[:, None] for share, way in zip(shares, ways, strict=True))
    return np.concatenate([path.reshape(-1, 2), c[-1:]])


@dataclass(frozen=True, eq=False)
class Waves:
    """A field over the ground that swings, under all parts; a wire hangs in the middle, seen from its end.

    step_m: between points of the lattice. up: how many, from the ground. direct: what the wire sends,
    complex, shape (steps above or below the wire, steps to the side). echo: what the ground sends after it,
    complex, shape (steps above ground and those of the wire, steps to the side). high, drive, direct_on,
    echo_on: (rows,): steps up to the wire, a factor, 0 where other waves are shown, and 1 for what is shown.
    full: where the color is full.
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
        wave = self.direct_on[row] * self.direct[np.abs(place - high)]
        wave = wave + self.echo_on[row] * self.echo[place + high]
        return self.drive[row] * (wave * np.exp(2j * np.pi * turn)).real

    def draw(self, row=0, turn=0.0):
        """Add it to its axes as it is in one row and at one moment."""
        if not self.drive[row]:
            return
        half = self.side(row, turn)
        whole = np.concatenate([half[:, :0:-1], half], axis=1) / self.full
        shades = mpl.colors.LinearSegmentedColormap.from_list("waves", [ORANGE, "white", BLUE])
        self.ax.imshow(whole, shades, vmin=-1, vmax=1, extent=self.extent, origin="lower",
                       aspect=self.ax.get_aspect(), interpolation="bilinear", zorder=0)  # fmt: skip


@dataclass(frozen=True, eq=False)
class Handle:
    """Where what a slider moves is taken hold of in the picture. On paper it is nothing.

    moves: the position's name, as the scene takes it. x, y: where it stands in each row, (rows,); or for each
    place of its slider while the others stay, (rows, places), which a view needs that asks for each row.
    One number where it stays. NaN where it cannot be held. reach_px: how far around it the hand may take
    hold, pixels of the screen, where that is farther than usual. color: of a dot and its arrows, where
    nothing in the picture shows what is held; or nothing. along: lines along which it is held too, of points
    (axes, x, y) in these axes' units, where x is from the handle's own; they go with it.
    """

    moves: str
    ax: object
    x: np.ndarray
    y: np.ndarray
    reach_px: int = 0
    color: str = ""
    along: tuple = ()

    def at_stops(self, places):
        """The same with these places of its slider alone. x, y: for each place, or one number."""
        x, y = (one[:, places] if np.ndim(one) == 2 else one for one in (self.x, self.y))
        return replace(self, x=x, y=y)


@dataclass(frozen=True, eq=False)
class Ring:
    """Something that has its own clock in each row: plucked, it rings down; without a loss it runs on.

    pace: its turns in one turn of the view's clock, (rows,). loss: in one turn of its own what swings falls
    to e^-loss, (rows,). pitch_hz: how it is heard where its pace is 1.
    """

    pace: np.ndarray
    loss: np.ndarray
    pitch_hz: float


@dataclass(frozen=True, eq=False)
class Scene:
    """A picture: its moving parts, what it says in words for each row, and alt text for who cannot see it.

    only: of what lies over a picture, {a position's name: its value} at which alone it is seen; or nothing.
    """

    parts: list
    says: list
    alt: str
    waves: tuple[Waves, ...] = ()
    handles: list = field(default_factory=list)
    ring: Ring | None = None
    only: dict = field(default_factory=dict)

    def draw(self, *turns):
        """Add all that moves to the picture, in its first row, what swings at each of the turns."""
        first, *later = turns or (0.0,)
        for waves in self.waves:
            for turn in turns or (0.0,):
                waves.draw(turn=turn)
        for part in self.parts:
            for turn in [first, *(later if part.swings else ())]:
                part.draw(turn=turn, left=np.exp(-self.ring.loss[0] * turn) if self.ring else 1.0)


def column(values):
    """One value a row, as points to draw: shape (rows, 1)."""
    return np.asarray(values, dtype=float)[:, None]


def words(ax, x, y, text, pen):
    """A curve's name that moves with it; x, y: (rows, 1). Returns a list of one part."""
    return [Part(ax, "text", x, y, Pen(pen.color), (text,) * len(x))]


def marks(ax, *lines, sizes=(1.8, 1.1), aside_em=0.0):
    """Large words over axes, in bold, the first the largest: the numbers that a task asks for.

    lines: from top to bottom, each (rows,) texts. sizes: of each, shares of plain text's. The axes need a
    margin of 1.4 times all sizes above, and a little, in widths of the letter m. aside_em: from their middle
    to that of the words. Returns a part for each line.
    """
    em, high, parts = mpl.rcParams["font.size"] / 72 * ax.figure.dpi, 0.4, []
    for texts, size in reversed(list(zip(lines, sizes, strict=True))):
        middle = ax.bbox.x0 + ax.bbox.width / 2 + aside_em * em, ax.bbox.y1 + (high + 0.75 * size) * em
        x, y = (np.full((len(texts), 1), one) for one in ax.transData.inverted().transform(middle))
        parts.append(Part(ax, "text", x, y, Pen(BLACK, size=size, bold=True), tuple(texts)))
        high += 1.4 * size
    return parts
