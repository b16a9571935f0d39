"""What people keep off, drawn around a wire seen from the side."""

import numpy as np

from antlab.antenna.plan import HEAD_M
from antlab.antenna.tape import rounded_down


def clear_said_m(clear_m):
    """Below what height others may be anywhere, as it is said and drawn, metres; 0: nobody stands there."""
    said = rounded_down(clear_m, 0.1) if np.isfinite(clear_m) else 0.0
    return said if said >= HEAD_M else 0.0


def zone(left, feed, right, distance, *, clear=0.0, deep=0.0):
    """All that is no farther than a distance from a wire fed in the middle, as it is drawn and as it sags.

    left, feed, right: x and y of both ends and of the middle, metres. distance: in the same units. clear:
    below what height others may be anywhere: nothing of it lies lower; where that is less than a head,
    nobody stands under the wire, and it goes down to the ground. deep: how far the wire may hang below the
    straight lines. Returns x and y of its edge, closed, shape (points,).
    """
    above = clear_said_m(clear)
    deep = deep if above else max(end[1] for end in (left, feed, right))
    left, feed, right = (np.asarray(one, dtype=float) for one in (left, feed, right))
    rises, falls = (np.arctan2(*(b - a)[::-1]) for a, b in ((left, feed), (feed, right)))
    over, under = np.pi / 2, -np.pi / 2

    def arc(at, start, stop, radius=distance):
        turn = np.linspace(start, stop, 13)[:, None]
        return at + radius * np.hstack([np.cos(turn), np.sin(turn)])

    bend, inside = under + (rises + falls) / 2, distance / np.cos((rises - falls) / 2)
    upper = [arc(left, -np.pi, under + rises - np.pi)]
    upper += [arc(feed, over + rises, over + falls), arc(right, over + falls, 0)]
    lower = [arc(right, 0, under + falls), arc(feed, bend, bend, inside)[:1]]
    lower += [arc(left, under + rises, -np.pi)]
    edge = np.concatenate([*upper, *(one - (0, deep) for one in lower)])
    edge = np.concatenate([edge, edge[:1]])
    return edge[:, 0], np.maximum(edge[:, 1], above)
