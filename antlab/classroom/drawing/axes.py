"""Axes whose type always fits, and the words on them that stay."""

import matplotlib as mpl
import numpy as np
from matplotlib.lines import Line2D

from antlab.classroom.drawing.looks import quiet, small, stroke

KILOHMS = {"yticks": [10, 100, 1e3, 1e4, 1e5], "yticklabels": ["10", "100", "1 k", "10 k", "100 k"]}


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


def two_axes(fig, first, second, share=0.5, widest=1.2, over_em=0.0):
    """Two axes, beside each other on a wide figure, stacked on one no wider than `widest` times its height.

    first, second: each a dict for plot_axes. share: of the width, for the first. over_em: room over both.
    """
    roof = 1 - over_em * mpl.rcParams["font.size"] / 72 * fig.dpi / fig.bbox.height
    if fig.bbox.width > fig.bbox.height * widest:
        spans = [{"span": span, "rows": (0, roof)} for span in ((0, share), (share, 1))]
    else:
        spans = [{"rows": (roof / 2, roof)}, {"rows": (0, roof / 2)}]
    return [plot_axes(fig, **span, **given) for span, given in zip(spans, (first, second), strict=True)]


def legend(ax, *, right=False, **pens):
    """Name curves that cross too often to carry their names, by their dashes, above the axes.

    right: at their right end, where something else stands at the left.
    """
    lines = [
        Line2D([], [], color=p.color, linewidth=stroke(p.width), linestyle=(0, p.dashes) if p.dashes else "-")
        for p in pens.values()
    ]
    em = mpl.rcParams["font.size"] / 72 * ax.figure.dpi / ax.bbox.width
    ax.legend(
        lines, pens, loc="lower right" if right else "lower center",
        bbox_to_anchor=(1 + 0.6 * em if right else 0.5 - 1.8 * em, 0.97),  # the middle with its ylabel
        ncols=len(pens) if len(pens) < 4 else 2, frameon=False, fontsize=small(),
        handlelength=1.3 if right else 1.8, handletextpad=0.5, columnspacing=0.8,
    )  # fmt: skip


def label(ax, x, y, text, pen=None, **looks):
    """A word that stays, in a curve's own colour."""
    ax.annotate(text, (x, y), **{"color": pen.color if pen else quiet()} | looks)


def dbi(gain):
    """A gain as it is written: one decimal, a minus that is one, no minus before nothing; NaN is no gain."""
    if np.isnan(gain):
        return ""
    return f"{gain:z.1f} dBi".replace("-", "−")


def em_of(ax):
    """The width of the letter m along an axis of equal scales, in its own units."""
    return mpl.rcParams["font.size"] / 72 * ax.figure.dpi * np.ptp(ax.get_xlim()) / ax.bbox.width


_NARROW_EM = {".": 0.38, " ": 0.35, "f": 0.44, "t": 0.48, "m": 1.04}  # of the course's type, else 0.7


def wide_em(words):
    """How wide words are in bold type, in ems: of numbers and units."""
    return sum(_NARROW_EM.get(letter, 0.7) for letter in words)


_AT_ONCE = 16  # places that are asked together


def free_place(ax, words, wanted, taken, *, aside=1.0):
    """Where words stand clear of what is drawn: there, or as near to it as they can, over the ground.

    ax: of equal scales. words: in one line, put by the middle of their left edge. wanted: x and y. taken:
    of what is drawn, as `filled` has it. aside: how many times farther a place to a side counts. Returns x
    and y; as wanted where there is no clear place.
    """
    em = em_of(ax)
    wide, high = (wide_em(words) + 0.15) * em, 0.62 * em
    points = np.concatenate(taken)
    (left, right), (_, roof) = ax.get_xlim(), ax.get_ylim()
    x, y = np.meshgrid(np.arange(left, right - wide, 0.4 * em), np.arange(high, roof - high, 0.3 * em))
    places = np.stack([x.ravel(), y.ravel()], axis=1)
    far = np.hypot(*(places - wanted).T * [[aside], [1]])
    places = np.concatenate([[wanted], places[np.argsort(far, kind="stable")]])
    inside = (places[:, 0] >= left) & (places[:, 0] + wide <= right)
    places = places[inside]
    for some in np.split(places, range(_AT_ONCE, len(places), _AT_ONCE)):
        x, y = np.moveaxis(points - some[:, None], 2, 0)
        clear = ~np.any((x > -0.15 * em) & (x < wide) & (np.abs(y) < high), axis=1)
        if clear.any():
            return tuple(some[np.argmax(clear)])
    return tuple(wanted)


def filled(ax, *lines):
    """Points along lines with gaps, so close that no words pass between them, shape (points, 2).

    ax: of equal scales. lines: each (x, y), arrays or numbers.
    """
    step, gap = 0.25 * em_of(ax), np.full((1, 2), np.nan)
    all_of_them = [np.stack(np.broadcast_arrays(*np.atleast_1d(*one)), axis=1) for one in lines]
    ends = np.concatenate([part for one in all_of_them for part in (one, gap)])
    long = np.nan_to_num(np.hypot(*np.diff(ends, axis=0).T))
    count = (long / step).astype(int) + 1
    within = np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count)
    at = np.repeat(np.arange(len(long)), count) + within / np.repeat(count, count)
    points = np.stack([np.interp(at, np.arange(len(ends)), one) for one in ends.T], axis=1)
    points = np.concatenate([points, ends])
    return points[np.isfinite(points).all(axis=1)]
