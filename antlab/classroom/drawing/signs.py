"""The signs of a wire drawing: a trap is a short pipe with turns, the feed a gap with an eye on each side.

Sizes count in widths of the letter m (em), so that a sign is as large as the words around it, on a phone as
on a page. Nothing else draws a trap or a feed: `wire` puts these outlines into every picture.
"""

import matplotlib as mpl
import numpy as np

from antlab.classroom.drawing.looks import BLACK, ORANGE, stroke
from antlab.classroom.drawing.parts import Part, Pen

LONG, THICK = 0.46, 0.21  # of a pipe, half of each
TURNS, LEAN, OVER = (-0.24, 0.0, 0.24), 0.07, 0.09  # on a pipe: places, half a lean, what stands out
EYE, ASIDE = 0.16, 0.36  # radius of an eye; from the middle of the gap to the middle of an eye, on the level
FREE = 0.15  # wire that is seen between two signs, at least
SIGN = 1.4  # of a wire that has a picture to itself, in widths of the letter m

_ROUND = np.radians(np.linspace(0, 360, 25))


def wire(ax, feed, end, *, trap_at=None, pen=None, size=1.0, straight=False):
    """A wire fed in the middle, with the signs of the house for the feed and for a trap in each leg.

    feed, end: x and y of the middle and of the right end, numbers or (rows, 1); the left leg mirrors the
    right one, or, straight, goes on its way. trap_at: share of a leg that is inside its trap, one or (rows,),
    or None. pen: of the wire. size: of the signs, in times a letter m, less where a leg has no room. Returns
    the parts: wire, the feed's eyes and, with traps, their pipes and turns.
    """
    corners = np.broadcast_arrays(*(np.atleast_2d(np.asarray(one, dtype=float)) for one in (*feed, *end)))
    middle, tip = np.split(np.concatenate(corners, axis=1), 2, axis=1)
    start, stop = ax.transData.transform(middle), ax.transData.transform(tip)
    long = np.hypot(*(stop - start).T)
    along = (stop - start) / long[:, None]
    em = np.full(len(long), size * mpl.rcParams["font.size"] / 72 * ax.figure.dpi)
    if trap_at is not None:
        em = np.minimum(em, long / shortest(along[:, 0], trap_at))
    looks = {"wire": pen or Pen(BLACK, width=1.2), "turns": Pen(ORANGE, width=0.5)}
    tip_em = 0.4 * stroke(looks["wire"].width) / 72 * ax.figure.dpi / em.min()  # its ends are round
    axes = em[:, None, None] * np.stack([along, along[:, ::-1] * [-1, 1]], axis=1)  # along a leg, across it
    parts = []
    for name, outline in leg(long / em, along[:, 0], trap_at, tip_em).items():
        pixels = start[:, None, :] + outline @ axes
        points = ax.transData.inverted().transform(pixels.reshape(-1, 2)).reshape(pixels.shape)
        x, y, gap = points[..., 0], points[..., 1], np.full((len(long), 1), np.nan)
        other = 2 * middle[:, 1:] - y if straight else y
        both = (
            np.concatenate([x, gap, 2 * middle[:, :1] - x], axis=1),
            np.concatenate([y, gap, other], axis=1),
        )
        parts.append(Part(ax, "line", *both, looks.get(name, Pen(BLACK, width=0.5))))
    return parts


def eyes_in(size):
    """How far the feed's eye and a trap's end lie from their middles, inches. size: as wire() has it."""
    return size * mpl.rcParams["font.size"] / 72 * np.array([ASIDE, LONG])


def shortest(level, trap_at):
    """The length of a leg, em, that has room for its signs. level, trap_at: see leg. Shape of level."""
    inside = ASIDE / level + EYE + FREE + LONG
    return np.maximum(inside / trap_at, (LONG + FREE) / (1 - trap_at))


def leg(long, level, trap_at=None, wire=0.0):
    """One leg of a wire fed in the middle, laid along an axis that begins at the feed.

    long: its length, em, (rows,). level: cosine of its slope, (rows,). trap_at: the share of the leg inside
    its trap, or None. wire: what a round end adds to it, em. Returns outlines by name, each of shape (rows,
    points, 2): em along the leg and across it, NaN where a line is interrupted: "wire", "feed", and with a
    trap "pipe" and "turns".
    """
    eye = ASIDE / level  # the eyes of a steep vee stay as far apart
    start = eye + EYE + wire
    ring = EYE * np.column_stack([np.cos(_ROUND), np.sin(_ROUND)])
    if trap_at is None:
        return {"wire": _line(start, long), "feed": _placed(ring, eye)}
    middle, reach = trap_at * long, LONG + wire
    gap = np.full((len(long), 1, 2), np.nan)
    pieces = _line(start, middle - reach), gap, _line(middle + reach, long)
    pipe = np.array([(-1, -1), (-1, 1), (1, 1), (1, -1), (-1, -1)]) * (LONG, THICK)
    turns = [((at - LEAN, -THICK - OVER), (at + LEAN, THICK + OVER), (np.nan, np.nan)) for at in TURNS]
    return {
        "wire": np.concatenate(pieces, axis=1),
        "feed": _placed(ring, eye),
        "pipe": _placed(pipe, middle),
        "turns": _placed(np.concatenate(turns)[:-1], middle),
    }


def _placed(shape, along):
    """A shape, (points, 2), at a place along each leg."""
    return shape + np.stack([along, 0 * along], axis=1)[:, None, :]


def _line(start, stop):
    """A line from place to place along each leg."""
    return np.stack([np.stack([at, 0 * at], axis=1) for at in (start, stop)], axis=1)
