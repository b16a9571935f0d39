"""What people keep off, drawn around a wire seen from the side."""

import numpy as np


def zone(feed, end, distance, above=0.0):
    """All that is no farther than a distance from a wire fed in the middle and hung above the ground.

    feed, end: x and y of the middle and of the right end, the middle at x = 0. distance: in the same units.
    above: lower than that nothing belongs to it. Returns x and y of its edge, closed, shape (points,).
    """
    (_, top), (x, y) = feed, end
    slope = np.arctan2(top - y, x)
    over = np.linspace(np.pi / 2, np.pi / 2 - slope, 9)  # the bend's, then the end's
    round_ = np.linspace(np.pi / 2 - slope, -np.pi / 2 - slope, 25)
    right = np.concatenate([
        [[0 + distance * np.cos(turn), top + distance * np.sin(turn)] for turn in over],
        [[x + distance * np.cos(turn), y + distance * np.sin(turn)] for turn in round_],
        [[0, top - distance / np.cos(slope)]],
    ])  # fmt: skip
    edge = np.concatenate([right, right[::-1] * [-1, 1]])
    return edge[:, 0], np.maximum(edge[:, 1], above)
