"""Every picture of the course: takes data, returns what matplotlib drew.

A picture that can move is a function of a figure and of data with one row for each setting. It draws what
stays (axes, grid, words) and returns the rest as `Part`s. The player shows their rows under the student's
hand; `paper` prints two or three of them side by side, the very same parts.
"""

import contextlib
import os
import textwrap
from dataclasses import dataclass, field, replace

import matplotlib as mpl
import numpy as np
from matplotlib import patheffects
from matplotlib import pyplot as plt
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from antlab.classroom.course import LOOK, look
from antlab.classroom.drawing import signs
from antlab.units import feet

# Dark inks that stay apart for colour-blind readers and hold on a pale projector (after M. Okabe and K. Ito,
# "Color Universal Design", 2008, darkened to the contrast with white of 7 that WCAG 2.2 asks of text, 1.4.6).
# Each has its own dashes, so no curve is known by colour alone.
BLUE, ORANGE, GREEN, BLACK, GREY = "#0b3d91", "#993300", "#005f49", "#1a1a1a", "#4f5660"
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
EARTH = "#e4e0d8"  # the ground, and what else is plain filling
MILE_KM = 1.609344  # by the foot of 0.3048 m
PHONE = STYLE | {"font.size": 10.5, "lines.linewidth": 2.2, "grid.linewidth": 0.7}
PAPER = PHONE | {"xtick.labelsize": 9.8, "ytick.labelsize": 9.8}

# For the last row of a hall: larger type, thicker lines, black axes and words, a grid that a pale lamp shows.
_STARK = {
    "axes.edgecolor": BLACK,
    "axes.linewidth": 1.5,
    "xtick.major.width": 1.5,
    "xtick.major.pad": 7,
    "ytick.major.width": 1.5,
    "grid.color": "#a3abb5",
}
PROJECTOR = STYLE | _STARK | {"font.size": 19.5, "lines.linewidth": 4.2, "grid.linewidth": 1.6}
PROJECTED_PAPER = (
    PAPER
    | _STARK
    | {
        "font.size": 13.3,
        "lines.linewidth": 3.0,
        "grid.linewidth": 1.1,
        "xtick.labelsize": 12.4,
        "ytick.labelsize": 12.4,
    }
)
WIDEST = 8.6  # inches of a still: a wider one is shrunk to the page, 820 of 1280 pixels, with its type
# By name: the style on the screen, that of a still, and how much larger than plain a still is.
LOOKS = {"plain": (STYLE, PAPER, 1.0), "projector": (PROJECTOR, PROJECTED_PAPER, 1.1)}


def projector(on=True):
    """Switch the look of all pictures and views made from now on: for the projector, or (False) plain."""
    os.environ[LOOK] = "projector" if on else "plain"


@contextlib.contextmanager
def looking(name):
    """Draw in the look of that name for a while."""
    before = look()
    projector(name == "projector")
    try:
        yield
    finally:
        projector(before == "projector")


def on_paper():
    """The style of a still picture in the look of now."""
    return LOOKS[look()][1]


def inches(wide, high):
    """The size of a still picture in the look of now, from its plain one; no wider than a page has room."""
    scale = LOOKS[look()][2]
    return min(wide * scale, max(wide, WIDEST)), high * scale


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


def paper(scene, settings, titles, size, **choices):
    """The same picture for paper, one panel for each setting.

    scene: a function (fig, *positions, **choices) -> Scene. settings: one tuple of slider positions a panel.
    titles: what to write above each. size: of a panel, inches.
    Returns fig and the list of each panel's first axes.
    """
    with mpl.rc_context(on_paper()):

        def made(panel, setting):
            return scene(panel, *(np.array([value]) for value in setting), **choices)

        wide, high = inches(size[0] * len(settings), size[1])
        wide /= len(settings)
        letters = int(wide * 72 / mpl.rcParams["font.size"] / 0.62)
        titles = [textwrap.fill(title, int(0.9 * letters)) for title in titles]  # bold is wider
        words = [  # drawn twice, for the words must be known before there is room for them
            "\n".join(textwrap.fill(line, letters) for line in made(draft, setting).says[0].split("\n"))
            for draft, setting in zip(map(Figure, [(wide, high)] * len(settings)), settings, strict=True)
        ]
        above, below = (max(text.count("\n") + 1 for text in texts) for texts in (titles, words))
        line_inch = 1.22 * mpl.rcParams["font.size"] / 72
        head_inch = (above + below + 1.2) * line_inch
        fig = plt.figure(figsize=(wide * len(settings), high + head_inch))
        heads, panels = fig.subfigures(2, len(settings), height_ratios=(head_inch, high), squeeze=False)
        axes = []
        for head, panel, setting, title, said in zip(heads, panels, settings, titles, words, strict=True):
            down = line_inch / head_inch
            head.text(0.03, 1 - 0.3 * down, title, va="top", fontweight="bold")
            head.text(0.03, 1 - (above + 0.6) * down, said, va="top")
            scene_here = made(panel, setting)
            for part in scene_here.parts:
                part.draw()
            axes.append(scene_here.parts[0].ax)
    return fig, axes


def stroke(share):
    """A width, points, as a share of a curve's."""
    return share * mpl.rcParams["lines.linewidth"]


def small():
    """The size of small type, that of the numbers at the axes."""
    return mpl.rcParams["xtick.labelsize"]


def quiet():
    """The ink of words that stay behind the curves."""
    return mpl.rcParams["axes.edgecolor"]


def plot_axes(
    fig, *, x, y, xlabel="", ylabel="", span=(0, 1), rows=(0, 1), margins_em=(4.8, 1.2, 1.6, 3.4), **looks
):
    """Axes whose margins (left, right, top, bottom) count in widths of the letter m, so type always fits.

    x, y: limits. span, rows: the shares of the figure's width and height. looks: for matplotlib's Axes.set.
    """
    em = mpl.rcParams["font.size"] / 72 * fig.dpi
    left, right, top, bottom = (m * em for m in margins_em)
    wide, high = fig.bbox.width, fig.bbox.height
    (start, stop), (floor, roof) = (share * wide for share in span), (share * high for share in rows)
    width, height = stop - start - left - right, roof - floor - bottom - top
    ax = fig.add_axes(((start + left) / wide, (floor + bottom) / high, width / wide, height / high))
    ax.set(xlim=x, ylim=y, xlabel=xlabel, ylabel=ylabel, autoscale_on=False, **looks)
    if "xscale" not in looks:
        ax.locator_params(axis="x", nbins=int(np.clip(width / em / 2.9, 3, 6)), steps=[1, 2, 5, 10])
    ax.apply_aspect()  # now, since the parts ask for pixels before anything is drawn
    return ax


def two_axes(fig, first, second, share=0.5):
    """Two axes, beside each other on a wide figure, stacked on a tall one; each a dict for plot_axes."""
    wide = fig.bbox.width > fig.bbox.height * 1.2
    spans = ({"span": (0, share)}, {"span": (share, 1)}) if wide else ({"rows": (0.5, 1)}, {"rows": (0, 0.5)})
    return [plot_axes(fig, **span, **given) for span, given in zip(spans, (first, second), strict=True)]


def column(values):
    """One value a row, as points to draw: shape (rows, 1)."""
    return np.asarray(values, dtype=float)[:, None]


def words(ax, x, y, text, pen):
    """A curve's name that moves with it; x, y: (rows, 1). Returns a list of one part."""
    return [Part(ax, "text", x, y, Pen(pen.color), (text,) * len(x))]


def legend(ax, **pens):
    """Name curves that cross too often to carry their names, by their dashes, above the axes."""
    lines = [
        Line2D([], [], color=p.color, linewidth=stroke(p.width), linestyle=(0, p.dashes) if p.dashes else "-")
        for p in pens.values()
    ]
    em = mpl.rcParams["font.size"] / 72 * ax.figure.dpi / ax.bbox.width
    ax.legend(
        lines, pens, loc="lower center", bbox_to_anchor=(0.5 - 1.8 * em, 0.97),  # the middle with its ylabel
        ncols=len(pens) if len(pens) < 4 else 2, frameon=False, fontsize=small(),
        handlelength=1.8, handletextpad=0.5, columnspacing=0.8,
    )  # fmt: skip


def label(ax, x, y, text, pen=None, **looks):
    """A word that stays, in a curve's own colour."""
    ax.annotate(text, (x, y), color=pen.color if pen else quiet(), **looks)


def wire(ax, feed, end, *, trap_at=None, pen=None, size=1.0):
    """A wire fed in the middle, with the signs of the house for the feed and for a trap in each leg.

    feed, end: x and y of the middle and of the right end, numbers or (rows, 1); the left leg mirrors the
    right one. trap_at: share of a leg that is inside its trap, or None. pen: of the wire. size: of the signs,
    in times a letter m, less where a leg has no room. Returns the parts: wire, the feed's eyes and, with
    traps, their pipes and turns.
    """
    corners = np.broadcast_arrays(*(np.atleast_2d(np.asarray(one, dtype=float)) for one in (*feed, *end)))
    middle, tip = np.split(np.concatenate(corners, axis=1), 2, axis=1)
    start, stop = ax.transData.transform(middle), ax.transData.transform(tip)
    long = np.hypot(*(stop - start).T)
    along = (stop - start) / long[:, None]
    em = np.full(len(long), size * mpl.rcParams["font.size"] / 72 * ax.figure.dpi)
    if trap_at is not None:
        em = np.minimum(em, long / signs.shortest(along[:, 0], trap_at))
    looks = {"wire": pen or Pen(BLACK, width=1.2), "turns": Pen(ORANGE, width=0.5)}
    tip_em = 0.4 * stroke(looks["wire"].width) / 72 * ax.figure.dpi / em.min()  # its ends are round
    axes = em[:, None, None] * np.stack([along, along[:, ::-1] * [-1, 1]], axis=1)  # along a leg, across it
    parts = []
    for name, outline in signs.leg(long / em, along[:, 0], trap_at, tip_em).items():
        pixels = start[:, None, :] + outline @ axes
        points = ax.transData.inverted().transform(pixels.reshape(-1, 2)).reshape(pixels.shape)
        x, y, gap = points[..., 0], points[..., 1], np.full((len(long), 1), np.nan)
        both = np.concatenate([x, gap, 2 * middle[:, :1] - x], axis=1), np.concatenate([y, gap, y], axis=1)
        parts.append(Part(ax, "line", *both, looks.get(name, Pen(BLACK, width=0.5))))
    return parts


KILOHMS = {"yticks": [10, 100, 1e3, 1e4, 1e5], "yticklabels": ["10", "100", "1 k", "10 k", "100 k"]}
SIGN = 1.4  # of a wire that has a picture to itself, in widths of the letter m
SKY_DBI = (-20.0, 10.0)  # gain at the centre and at the rim of a picture of the sky


def sky(fig, span=(0, 1)):
    """Half a sky seen along the ground: rings of gain in dBi, rays of elevation. See `on_sky`."""
    em = mpl.rcParams["font.size"] / 72 * fig.dpi / fig.bbox.width
    side = 1.2 / (1 - 6 * em)  # room for an angle beside the rim
    top = max(1.36, 1.07 + 3.2 * em * 2 * side)  # and for one below a band's name
    ax = plot_axes(
        fig, x=(-side, side), y=(-0.14, top), span=span, margins_em=(0.3, 0.3, 0.3, 0.3), aspect="equal"
    )
    ax.set_axis_off()
    grid = {"color": mpl.rcParams["grid.color"], "linewidth": mpl.rcParams["grid.linewidth"], "zorder": 0}
    words = {"fontsize": small(), "color": quiet()}
    turn, rays = np.radians(np.arange(181)), np.radians(np.arange(15, 180, 15))
    rings = np.array([(gain - SKY_DBI[0]) / (SKY_DBI[1] - SKY_DBI[0]) for gain in (-10, 0, 10)])
    ax.plot(np.outer(np.cos(turn), rings), np.outer(np.sin(turn), rings), **grid)
    ax.plot(np.outer([0, 1], np.cos(rays)), np.outer([0, 1], np.sin(rays)), **grid)
    roomy = em_of(ax) < 0.2
    for r, word in zip(rings, ("−10", "0" if roomy else "", "10"), strict=True):
        ax.text(r, -0.02, word, va="top", ha="center", **words)
    rim = 1 + 0.6 * em_of(ax)
    for elevation in (30, 60, 90, 120, 150):
        x, y = rim * np.cos(np.radians(elevation)), rim * np.sin(np.radians(elevation))
        ax.text(x, y, f"{min(elevation, 180 - elevation)}°", va="center", ha="center", **words)
    ax.axhline(0, color=BLACK, linewidth=stroke(0.7))
    ax.text(0.98 * ax.get_xlim()[0], -0.02, "ground" if roomy else "", va="top", ha="left", **words)
    ax.text(-0.05, -0.02, "gain, dBi", va="top", ha="right", **words)
    return ax


def em_of(ax):
    """The width of the letter m along an axis of equal scales, in its own units."""
    return mpl.rcParams["font.size"] / 72 * ax.figure.dpi * np.ptp(ax.get_xlim()) / ax.bbox.width


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
    ax, parts = fig.axes[0] if fig.axes else sky(fig), []
    em = em_of(ax)
    for name, gain, takeoff, pen, right in zip(
        names, gains_dbi, takeoffs_deg, PENS, (True, False), strict=False
    ):
        x, y = on_sky(elevation_deg, gain)
        parts.append(Part(ax, "line", x, y, pen if parts else replace(pen, fill=0.13)))
        angle = np.radians(takeoff if right else 180 - takeoff)
        ray = [np.stack([0 * angle, f(angle)], axis=1) for f in (np.cos, np.sin)]
        parts.append(Part(ax, "line", *ray, Pen(pen.color, width=0.6, dashes=pen.dashes)))
        words = tuple(f"{t:.0f}°" for t in takeoff)
        place = ((1.07 + 2.5 * em) * np.cos(angle)[:, None], (1.07 + 1.4 * em) * np.sin(angle)[:, None])
        parts.append(Part(ax, "text", *place, Pen(pen.color, bold=True), words))
        edge, side = (0.98, "right") if right else (-0.98, "left")
        corner = np.array([edge * ax.get_xlim()[1]]), np.array([ax.get_ylim()[1] - 0.6 * em])
        parts.append(Part(ax, "text", *corner, Pen(pen.color, align=side, bold=True), (name,) * len(takeoff)))
    return parts


def tuned_circuit(fig, f_mhz, impedance_ohm, resonance_mhz, reactance_ohm, q):
    """Impedance of a coil with a capacitor across it, and the reactance of each, on logarithmic axes.

    f_mhz, impedance_ohm: (rows, points). resonance_mhz, reactance_ohm (of either part there), q: (rows,).
    Returns the parts.
    """
    x, y = np.array([1.0, 60.0]), np.array([5.0, 2e5])
    ax = plot_axes(
        fig, x=x, y=y, xlabel="frequency, MHz", ylabel="impedance, Ω", xscale="log", yscale="log",
        xticks=[1, 2, 5, 10, 20, 50], xticklabels=["1", "2", "5", "10", "20", "50"],
        **KILOHMS,
    )  # fmt: skip
    ax.minorticks_off()
    f0, x0, peak = column(resonance_mhz), column(reactance_ohm), column(reactance_ohm * q)
    half = f0 * (1 + np.array([-0.5, 0.5]) / column(q))
    said = [f"{'' if one >= 10 else 'rule: '}{f:.2f} MHz" for f, one in zip(resonance_mhz, q, strict=True)]
    em = mpl.rcParams["font.size"] / 72 * fig.dpi * np.log10(x[1] / x[0]) / ax.bbox.width
    last = column(x[1] / 10 ** (em * (0.34 * np.array([len(text) for text in said]) - 1)))  # within the edge
    above = np.minimum(x0 * np.maximum(1.7 * column(q), 9), 0.8 * y[1])  # the peak, and the lines' names
    return [
        Part(ax, "line", x, x0 * x / f0, replace(SECOND, width=0.7)),
        Part(ax, "line", x, x0 * f0 / x, replace(THIRD, width=0.7)),
        *words(ax, 30 + 0 * f0, x0 * 30 / f0, "coil", SECOND),
        *words(ax, 2 + 0 * f0, x0 * f0 / 2, "capacitor", THIRD),
        Part(ax, "line", f0 + [0, 0], peak ** [0, 1] * y[0] ** np.array([1, 0]), Pen(GREY, width=0.5)),
        Part(ax, "line", f_mhz, impedance_ohm, FIRST),
        Part(ax, "dots", half, peak / np.sqrt(2) + 0 * half, FIRST),
        Part(ax, "text", np.minimum(f0, last), above, replace(FIRST, bold=True), tuple(said)),
    ]


TO_SCALE = {  # outlines, metres
    "you": ((2, 2, 2.6, 2.6), (0, 1.8, 1.8, 0)),
    "car": ((7, 7, 8.2, 9, 10.5, 11.5, 11.5), (0, 0.8, 0.9, 1.5, 1.5, 0.8, 0)),
    "bus": ((16, 16, 28, 28), (0, 3, 3, 0)),
    "house": ((33, 33, 38.5, 44, 44), (0, 4.8, 8, 4.8, 0)),
}


def one_wave(fig, wavelength_m):
    """A wave, and a wire of half of it, above things that everybody knows, true to scale.

    wavelength_m: (rows,). Returns the parts.
    """
    ax = plot_axes(fig, x=(-1, 89), y=(-5, 33), margins_em=(0.3, 0.3, 0.3, 0.3), aspect="equal")
    ax.set_axis_off()
    ax.plot([-1, 89], [0, 0], color=BLACK, linewidth=stroke(0.7))
    for name, (x, y) in TO_SCALE.items():
        ax.fill(x, y, color=GREY, alpha=0.5)
        label(ax, (x[0] + x[-1]) / 2, -0.6, name, ha="center", va="top", fontsize=small())
    whole = column(wavelength_m)
    turn = np.linspace(0, 1, 97)
    waves, wires = (
        tuple(f"{word} {m:.1f} m ({feet(m):.0f} ft)" for m in metres)
        for word, metres in (("one wave", wavelength_m), ("half-wave wire", wavelength_m / 2))
    )
    left = replace(FIRST, align="left", bold=True)
    return [
        Part(ax, "line", whole * turn, 22 + 4 * np.sin(2 * np.pi * turn), FIRST),
        Part(ax, "line", whole * [0, 1], np.array([22.0, 22.0]), Pen(GREY, width=0.4)),
        Part(ax, "text", 0 * whole, 29.5 + 0 * whole, left, waves),
        Part(ax, "line", whole * [0, 0.5], np.array([10.0, 10.0]), replace(SECOND, dashes=(), width=1.6)),
        Part(ax, "text", 0 * whole, 13.2 + 0 * whole, replace(left, color=ORANGE), wires),
    ]


def half_wave_wire(fig, place_m, current, voltage, length_m, impedance_ohm, over):
    """Current and voltage along a wire, and its feed impedance against its length.

    place_m, current, voltage: (rows, points), the last two as shares of their largest. length_m: (rows,).
    impedance_ohm: (rows,) complex. over: (lengths_m, impedances_ohm) of the curves that stay.
    Returns the parts.
    """
    lengths, impedances = over
    edge = 0.55 * lengths[-1]
    along, ohms = two_axes(
        fig,
        {"x": (-edge, edge), "y": (-1.15, 1.5), "xlabel": "along the wire, m", "ylabel": "share of largest"},
        {"x": lengths[[0, -1]], "y": (-250, 350), "xlabel": "length, m", "ylabel": "ohms at the feed"},
        share=0.53,
    )
    for curve, pen in ((impedances.real, THIRD), (impedances.imag, FOURTH)):
        ohms.plot(lengths, curve, color=pen.color, linestyle=(0, pen.dashes))
    legend(ohms, resistance=THIRD, reactance=FOURTH)
    ohms.axhline(0, color=GREY, linewidth=stroke(0.4))
    half = column(length_m) / 2
    zero = np.zeros_like(half)
    return [
        Part(along, "line", place_m, current, replace(FIRST, fill=0.13)),
        Part(along, "line", place_m, voltage, SECOND),
        *wire(along, (0, 0), (half, 0), size=SIGN),
        *words(along, zero - 0.1 * edge, zero + 1.26, "current", FIRST),
        *words(along, half * 0.92, zero + 1.26, "voltage", SECOND),
        Part(ohms, "line", column(length_m) + [0, 0], np.array([-250, 350]), Pen(GREY, width=0.5)),
        Part(ohms, "dots", column(length_m), column(impedance_ohm.real), THIRD),
        Part(ohms, "dots", column(length_m), column(impedance_ohm.imag), FOURTH),
    ]


def hop(fig, elevation_deg, layer_km, distance_km, earth_km):
    """The round earth from the side, true to scale, and one ray's way to the layer and back.

    elevation_deg, layer_km, distance_km: (rows,). earth_km: the radius. Returns the parts.
    """
    tilt = np.radians(19)  # the middle of the picture, seen from the antenna

    def place(along_km, high_km):
        angle = along_km / earth_km - tilt
        return (earth_km + high_km) * np.sin(angle), (earth_km + high_km) * np.cos(angle) - earth_km

    ax = plot_axes(fig, x=(-2300, 2300), y=(-600, 640), margins_em=(0.3, 0.3, 0.3, 0.3), aspect="equal")
    ax.set_axis_off()
    along = np.linspace(-300, 4500, 200)
    ground = place(along, 0)
    ax.fill_between(*ground, -600, color=EARTH, zorder=0)
    ax.plot(*ground, color=BLACK)
    for km in range(1000, 4001, 1000):
        ax.plot(*place(np.array([km, km]), np.array([0, -40])), color=BLACK, linewidth=stroke(0.4))
        lean = {"rotation": np.degrees(tilt - km / earth_km), "rotation_mode": "anchor"}  # as the ground does
        label(ax, *place(km, -75), f"{km} km", ha="center", va="top", fontsize=small(), **lean)
    top, far = column(layer_km), column(distance_km)
    here, there = place(0 * far, 0), place(far, 0)
    apex = place(far / 2, top)
    ray = [np.concatenate([a, b, c], axis=1) for a, b, c in zip(here, apex, there, strict=True)]
    sky_line = place(along[::4], top)
    level = [here[0] + np.array([0, 700]) * np.cos(tilt), here[1] + np.array([0, 700]) * np.sin(tilt)]
    ends = [np.concatenate(pair, axis=1) for pair in zip(here, there, strict=True)]
    return [
        Part(ax, "line", *sky_line, replace(THIRD, width=0.8)),
        *words(ax, *place(0 * far + tilt * earth_km, top + 130), "reflecting layer", THIRD),
        Part(ax, "line", *level, Pen(GREY, width=0.5)),
        Part(ax, "line", *ray, FIRST),
        Part(ax, "dots", *ends, Pen(BLACK)),
        Part(ax, "text", here[0], here[1] - 160, replace(FIRST, bold=True),
             tuple(f"{e:.0f}°" for e in elevation_deg)),
    ]  # fmt: skip


def soil_and_mirror(fig, height_m, elevation_deg, echo):
    """A wire and its image seen from the end, two rays of one elevation, and the waves they bring far away.

    height_m, elevation_deg: (rows,). echo: the reflected wave as a share of the direct one, complex, (rows,).
    Returns the parts.
    """
    rays, waves = two_axes(
        fig,
        {"x": (-16, 64), "y": (-40, 46), "xlabel": "along the ground, m", "ylabel": "height, m"},
        {"x": (0, 2), "y": (-2.1, 2.1), "xlabel": "turns of the wave", "ylabel": "strength"},
        share=0.55,
    )
    rays.set_xlim(-16, 86 * rays.bbox.width / rays.bbox.height - 16)  # angles as they are
    direct, echoed, both = replace(SECOND, width=0.8), replace(THIRD, width=0.8), FIRST
    legend(waves, direct=direct, echo=echoed, total=both)
    rays.axhspan(-40, 0, color=EARTH, zorder=0)
    rays.axhline(0, color=BLACK)
    waves.axhline(0, color=GREY, linewidth=stroke(0.4))
    h, angle = column(height_m), np.radians(column(elevation_deg))
    slope, zero, edge = np.tan(angle), np.zeros_like(h), 1.1 * rays.get_xlim()[1]
    # Rays end just outside the frame: a player's coordinates go no farther than some frames.
    out, rise = 1.1 * np.hypot(edge, 86) * np.cos(angle), 1.1 * np.hypot(edge, 86) * np.sin(angle)
    touch = np.minimum(h / slope, edge)
    low = np.where(touch < edge, 0, h - edge * slope)  # where the frame cuts a ray before it bounces
    back = np.where(touch < edge, rise, low)
    turn = np.linspace(0, 2, 65)
    spin = np.exp(2j * np.pi * turn)
    gone = np.where(touch < edge, touch + out, touch)
    bounced = (np.hstack([zero, touch, gone]), np.hstack([h, low, back]))
    return [
        Part(rays, "line", np.hstack([zero, out]), np.hstack([h, h + rise]), SECOND),
        Part(rays, "line", *bounced, THIRD),
        Part(rays, "line", np.hstack([zero, touch]), np.hstack([-h, -low]), replace(THIRD, width=0.5)),
        Part(rays, "dots", zero, h, Pen(BLACK)),
        Part(rays, "dots", zero, -h, Pen(GREY)),
        Part(rays, "text", zero - 2, h + 8, Pen(BLACK), ("wire",) * len(h)),
        Part(rays, "text", zero + 4, -h - 8, Pen(GREY, align="left"), ("image",) * len(h)),
        Part(waves, "line", turn, np.broadcast_to(spin.imag, (len(h), len(turn))), direct),
        Part(waves, "line", turn, (echo[:, None] * spin).imag, echoed),
        Part(waves, "line", turn, ((1 + echo[:, None]) * spin).imag, both),
    ]


def trap_dipole(fig, dipole, place_m, current, f_mhz, trap_ohm, over):
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


def feed_line(fig, distance_m, swr, reach_m):
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


def swr_bands(fig, sweeps, names):
    """SWR across two bands.

    sweeps: one (f_mhz, swr) a band, (points,) and (rows, points). names: the bands. Returns the parts.
    """
    axes = fig.axes or two_axes(
        fig, *({"x": f[[0, -1]], "y": (1, 5), "xlabel": f"{name}, MHz", "ylabel": "SWR on 50 Ω",
                "yticks": [1, 2, 3, 4, 5], "margins_em": (4.8, 1.2, 0.9, 3.4)}
               for (f, _), name in zip(sweeps, names, strict=True))
    )  # fmt: skip
    parts = []
    for ax, (f, swr), pen in zip(axes, sweeps, PENS, strict=False):
        if not ax.lines:
            ax.axhline(2, color=GREY, linewidth=stroke(0.4))
            if ax.bbox.height < 6.5 * mpl.rcParams["font.size"] / 72 * fig.dpi:
                ax.set_ylabel("SWR")
        best = np.argmin(swr, axis=1)
        seen = np.where(swr <= 5, swr, np.nan)
        parts.append(Part(ax, "line", f, np.clip(swr, 1, 50), pen))
        parts.append(Part(ax, "dots", column(f[best]), seen[np.arange(len(swr)), best][:, None], pen))
    return parts


def against_height(height_m, panels, size=(4.6, 3.6)):
    """Plain curves against height, for paper, feet below metres: a panel for each quantity.

    height_m: (points,). panels: (what is drawn, its limits) -> curves, as {name: (points,)}.
    size: of a panel, inches. Returns fig and the panels' axes.
    """
    ticks = np.arange(0, height_m[-1] + 1, 5)
    words = [f"{tick:.0f}\n({feet(tick):.0f} ft)" for tick in ticks]
    return _plain_curves(height_m, "height, m", (ticks, words), panels, size)


def against_distance(distance_km, panels, size=(4.6, 3.6)):
    """Plain curves against distance, for paper, miles below kilometres; the rest as against_height."""
    ticks = np.arange(0, distance_km[-1] + 1, 1000)
    words = [f"{tick:.0f}\n{tick / MILE_KM:.0f} mi" for tick in ticks]
    return _plain_curves(distance_km, "distance, km", (ticks, words), panels, size)


def _plain_curves(x, xlabel, ticks, panels, size):
    with mpl.rc_context(on_paper()):
        fig = plt.figure(figsize=inches(size[0] * len(panels), size[1]))
        above = 2.4 if max(map(len, panels.values())) < 4 else 3.6  # the legend has one row, or two
        for i, ((quantity, limits), curves) in enumerate(panels.items()):
            ax = plot_axes(
                fig, x=(0, x[-1]), y=limits, xlabel=xlabel, ylabel=quantity,
                span=(i / len(panels), (i + 1) / len(panels)), margins_em=(4.4, 1.6, above, 4.8),
            )  # fmt: skip
            ax.set_xticks(*ticks)
            for curve, pen in zip(curves.values(), PENS, strict=False):
                ax.plot(x, curve, color=pen.color, linestyle=(0, pen.dashes) if pen.dashes else "-")
            legend(ax, **dict(zip(curves, PENS, strict=False)))
    return fig, fig.axes


def along_wire(place_m, currents, size=(4.4, 3.2)):
    """Size of the current along a wire, for paper: a panel for each setting.

    place_m: (points,). currents: what is set -> (points,), share of the largest. size: of a panel, inches.
    Returns fig and the panels' axes.
    """
    with mpl.rc_context(on_paper()):
        fig = plt.figure(figsize=inches(size[0] * len(currents), size[1]))
        for i, (title, current) in enumerate(currents.items()):
            ax = plot_axes(
                fig, x=(1.1 * place_m[0], 1.1 * place_m[-1]), y=(-0.1, 1.3), xlabel="along the wire, m",
                ylabel="share of largest", span=(i / len(currents), (i + 1) / len(currents)),
                yticks=[0, 0.5, 1],
            )  # fmt: skip
            Part(ax, "line", place_m, current, replace(FIRST, fill=0.13)).draw()
            for part in wire(ax, (0, 0), (place_m[-1], 0), size=SIGN):
                part.draw()
            ax.text(place_m[0], 1.17, title, va="center", fontweight="bold")
    return fig, fig.axes


OUTCOMES = ("right at once", "right later", "not yet right", "not tried")


def class_results(problems, counts):
    """How far a class got, a bar for each problem.

    problems: their names, (n,). counts: students by OUTCOMES, (n, 4). Returns fig and the axes.
    """
    counts = np.asarray(counts)
    looks = ((GREEN, "", "white"), (GREEN, "////", BLACK), (ORANGE, "", "white"), (GREY, "....", BLACK))
    with mpl.rc_context(PAPER):
        fig, ax = plt.subplots(figsize=(9, 1.1 + 0.3 * len(problems)), layout="constrained")
        rows, left = np.arange(len(problems)), np.zeros(len(problems))
        for outcome, share, (color, hatch, ink) in zip(OUTCOMES, counts.T, looks, strict=True):
            face = "white" if hatch else color
            bars = ax.barh(
                rows, share, left=left, height=0.75, label=outcome, facecolor=face, edgecolor=color,
                hatch=hatch,
            )  # fmt: skip
            words = ["" if number == 0 else f"{number:d}" for number in share]
            halo = [patheffects.withStroke(linewidth=3, foreground=face)]
            ax.bar_label(bars, words, label_type="center", color=ink, fontweight="bold", path_effects=halo)
            left = left + share
        ax.set(ylim=(len(problems) - 0.4, -0.6), xlim=(0, max(1, left.max(initial=0))), xlabel="students")
        ax.set_yticks(rows, problems)
        ax.grid(axis="y", visible=False)
        ax.legend(loc="lower left", bbox_to_anchor=(0, 1), ncols=4, frameon=False, fontsize=small())
    return fig, ax
