"""Every picture of the course: takes data, returns what matplotlib drew. Style, moving parts, and the pictures.

A picture that can move is a function of a figure and of data with one row for each setting. It draws what stays
(axes, grid, words) and returns the rest as `Part`s, a row for each setting. The player shows the rows under the
student's hand; `paper` prints two or three of them side by side, the very same parts.
"""

from dataclasses import dataclass, field, replace

import matplotlib as mpl
import numpy as np
from matplotlib import patheffects
from matplotlib import pyplot as plt

# Dark inks that stay apart for colour-blind readers and hold on a pale projector (after M. Okabe and K. Ito,
# "Color Universal Design", 2008, darkened). Each has its own dashes, so no curve is known by colour alone.
BLUE, ORANGE, GREEN, BLACK, GREY = "#0b3d91", "#c14400", "#00664f", "#1a1a1a", "#5f6670"
STYLE = {
    "font.family": "DejaVu Sans",
    "font.size": 15,
    "axes.titlesize": "medium",
    "axes.labelsize": "medium",
    "xtick.labelsize": "small",
    "ytick.labelsize": "small",
    "axes.edgecolor": GREY,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.grid": True,
    "grid.color": "#d5d8dc",
    "grid.linewidth": 1.0,
    "axes.axisbelow": True,
    "lines.linewidth": 3.0,
    "figure.facecolor": "white",
    "figure.dpi": 100,
}
PHONE = STYLE | {"font.size": 10.5, "lines.linewidth": 2.2, "grid.linewidth": 0.7}


@dataclass(frozen=True)
class Pen:
    """How a part is drawn: colour, width as a share of a curve's, dashes in widths, how opaque the line and what it
    encloses are; size and side of text."""

    color: str
    width: float = 1.0
    dashes: tuple = ()
    opacity: float = 1.0
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
        return self.unit_pt * self.pen.width * (4.0 if self.kind == "dots" else 1.0)

    def draw(self, row=0):
        """Add this part to its axes as it is in one row."""
        x, y = (np.atleast_2d(v)[row if np.ndim(v) > 1 else 0] for v in (self.x, self.y))
        pen, look = self.pen, {"color": self.pen.color, "alpha": self.pen.opacity}
        if self.kind == "text":
            if np.isfinite(x[0] + y[0]):
                self.ax.text(
                    x[0], y[0], self.texts[row], color=pen.color, ha=pen.align, va="center",
                    fontsize=self.font_pt * pen.size, fontweight="bold" if pen.bold else "normal",
                    path_effects=[patheffects.withStroke(linewidth=0.25 * self.font_pt, foreground="white")],
                )  # fmt: skip
        elif self.kind == "dots":
            self.ax.plot(x, y, "o", markersize=self.width_pt, markeredgewidth=0, **look)
        else:
            if pen.fill:
                self.ax.fill(x, y, color=pen.color, alpha=pen.fill, linewidth=0)
            dashes = (0, pen.dashes) if pen.dashes else "solid"
            self.ax.plot(x, y, linewidth=self.width_pt, linestyle=dashes, solid_capstyle="round", **look)


@dataclass(frozen=True, eq=False)
class Scene:
    """What a picture function returns: the moving parts, a line of text for each row, words for who cannot see."""

    parts: list
    says: list
    alt: str


def paper(scene, settings, **choices):
    """The same picture for paper, one panel for each setting.

    scene: a function (fig, *positions, **choices) -> Scene. settings: one tuple of slider positions a panel.
    Returns fig and the list of each panel's first axes.
    """
    with mpl.rc_context(PHONE):
        fig = plt.figure(figsize=(3.9 * len(settings), 5.1))
        heads, panels = fig.subfigures(2, len(settings), height_ratios=(1, 5.4), squeeze=False)
        for head, panel, setting in zip(heads, panels, settings, strict=True):
            made = scene(panel, *(np.array([value]) for value in setting), **choices)
            for part in made.parts:
                part.draw()
            head.text(0.04, 0.95, made.says[0], va="top")
    return fig, [panel.axes[0] for panel in panels]


def plot_axes(fig, *, x, y, xlabel="", ylabel="", span=(0, 1), margins_em=(4.4, 1.2, 1.2, 3.4), **looks):
    """Axes whose margins (left, right, top, bottom) count in widths of the letter m, so type always fits.

    x, y: limits. span: the share of the figure's width. looks: passed to matplotlib's Axes.set.
    """
    em = mpl.rcParams["font.size"] / 72 * fig.dpi
    left, right, top, bottom = (m * em for m in margins_em)
    wide, high = fig.bbox.width, fig.bbox.height
    start, stop = (share * wide for share in span)
    place = ((start + left) / wide, bottom / high, (stop - start - left - right) / wide, (high - bottom - top) / high)
    ax = fig.add_axes(place)
    ax.set(xlim=x, ylim=y, xlabel=xlabel, ylabel=ylabel, autoscale_on=False, **looks)
    return ax


SKY_DBI = (-20.0, 10.0)  # gain at the centre and at the rim of a picture of the sky


def sky(fig, span=(0, 1)):
    """Half a sky seen along the ground: rings of gain in dBi, rays of elevation. Returns axes; see `on_sky`."""
    ax = plot_axes(fig, x=(-1.5, 1.5), y=(-0.14, 1.16), span=span, margins_em=(0.3, 0.3, 0.3, 0.3), aspect="equal")
    ax.set_axis_off()
    grid = {"color": mpl.rcParams["grid.color"], "linewidth": mpl.rcParams["grid.linewidth"], "zorder": 0}
    turn = np.radians(np.arange(0, 181))
    for gain in (-10, 0, 10):
        r = (gain - SKY_DBI[0]) / (SKY_DBI[1] - SKY_DBI[0])
        ax.plot(r * np.cos(turn), r * np.sin(turn), **(grid | {"color": GREY} if gain == 10 else grid))
        ax.text(r, -0.02, f"{gain:g}".replace("-", "−"), ha="center", va="top", fontsize="small", color=GREY)
    for elevation in range(15, 180, 15):
        angle = np.radians(elevation)
        ax.plot([0, np.cos(angle)], [0, np.sin(angle)], **grid)
        if elevation % 30 == 0:
            ax.text(
                1.07 * np.cos(angle), 1.07 * np.sin(angle), f"{min(elevation, 180 - elevation)}°", ha="center",
                va="center", fontsize="small", color=GREY,
            )  # fmt: skip
    ax.axhline(0, color=BLACK, linewidth=mpl.rcParams["lines.linewidth"] * 0.7)
    ax.text(-1.48, -0.02, "ground", ha="left", va="top", fontsize="small", color=GREY)
    ax.text(0, -0.02, "gain, dBi", ha="center", va="top", fontsize="small", color=GREY)
    return ax


def on_sky(elevation_deg, gain_dbi):
    """Where a gain at an elevation lies on `sky`; x, y of the shape both broadcast to."""
    r = np.clip((gain_dbi - SKY_DBI[0]) / (SKY_DBI[1] - SKY_DBI[0]), 0, 1.05)
    angle = np.radians(elevation_deg)
    return r * np.cos(angle), r * np.sin(angle)


def lobes(fig, elevation_deg, gains_dbi, names, takeoffs_deg):
    """Elevation patterns over the ground, broadside: a curve a band, and a ray where it is strongest.

    elevation_deg: (points,), 0 to 180. gains_dbi: one (rows, points) a band; names: the bands.
    takeoffs_deg: one (rows,) a band. Returns the parts.
    """
    ax, parts = sky(fig), []
    for name, gain, takeoff, pen, right in zip(names, gains_dbi, takeoffs_deg, PENS, (True, False), strict=False):
        x, y = on_sky(elevation_deg, gain)
        parts.append(Part(ax, "line", x, y, pen if parts else replace(pen, fill=0.13)))
        angle = np.radians(takeoff if right else 180 - takeoff)
        ray = [np.stack([np.full_like(angle, 0.0), f(angle)], axis=1) for f in (np.cos, np.sin)]
        parts.append(Part(ax, "line", *ray, Pen(pen.color, width=0.6, dashes=pen.dashes)))
        words = tuple(f"{name} {t:.0f}°" for t in takeoff)
        place = (1.03 * np.cos(angle)[:, None], 1.05 * np.sin(angle)[:, None])
        side = "left" if right else "right"
        parts.append(Part(ax, "text", *place, Pen(pen.color, align=side, bold=True), words))
    return parts
