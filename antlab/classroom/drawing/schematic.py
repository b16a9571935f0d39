"""Outlines of what a circuit is drawn with, upright: the usual signs of a coil and of a capacitor.

In the axes' own units; each function returns x and y of one line, NaN where it is interrupted.
"""

import numpy as np

BOWS = 5  # of a coil


def coil(x, low, high, deep):
    """A coil from low to high, its bows deep to the right. x, low, high, deep: one number, or (rows, 1)."""
    turn = np.linspace(0, np.pi, 13)
    down = (np.arange(BOWS)[:, None] + (1 - np.cos(turn)) / 2).ravel() / BOWS
    return x + deep * np.tile(np.sin(turn), BOWS), low + (high - low) * down


def capacitor(x, middle, half, gap):
    """Two plates, half wide to each side and gap apart. x, middle, half, gap: one number, or (rows, 1)."""
    aside, up = np.array([-1, 1, np.nan, -1, 1]), np.array([1, 1, np.nan, -1, -1]) / 2
    return x + half * aside, middle + gap * up
