"""Finds the signs of trap and feed among all the lines of a picture, however they got there."""

import numpy as np
from matplotlib.lines import Line2D

from antlab.classroom.drawing import signs

_LEG = {name: shape[0] for name, shape in signs.leg(np.array([9.0]), np.array([1.0]), 0.5).items()}


def pieces(points):
    """A line cut where it has gaps, each piece of shape (points, 2)."""
    whole = np.isfinite(points).all(axis=1)
    return [run for run in np.split(points, np.flatnonzero(~whole)) if np.isfinite(run).all(axis=1).sum() > 1]


def likeness(points, outline):
    """How many times larger points are than an outline, turned or mirrored, or None if they are not alike."""
    ours, theirs = (one[np.isfinite(one).all(axis=1)] @ [1, 1j] for one in (points, outline))
    if ours.shape != theirs.shape:
        return None
    ours, theirs = ours - ours.mean(), theirs - theirs.mean()
    for mirrored in (theirs, theirs.conj()):
        factor = np.vdot(mirrored, ours) / np.vdot(mirrored, mirrored)
        if np.abs(ours - factor * mirrored).max() < 0.05 * np.abs(factor):
            return abs(factor)
    return None


def signs_in(lines):
    """The signs among lines of points, (n, 2): name -> centres, (signs, 2), and their em, (signs,)."""
    found = {}
    for name in ("feed", "pipe", "turns"):
        want = _LEG[name]
        count = len(pieces(want))
        hits = []
        for points in lines:
            runs = pieces(points)
            for i in range(0, len(runs) - count + 1, count):
                run = np.concatenate(runs[i : i + count])
                em = likeness(run, want)
                if em:
                    run = run[np.isfinite(run).all(axis=1)]
                    hits.append(((run.min(axis=0) + run.max(axis=0)) / 2, em))
        if hits:
            found[name] = tuple(map(np.array, zip(*hits, strict=True)))
    return found


def lines_of(fig):
    """Every line of a figure, in points of type from its lower left corner."""
    fig.canvas.draw()
    return [line.get_transform().transform(line.get_xydata()) * 72 / fig.dpi for line in fig.findobj(Line2D)]
