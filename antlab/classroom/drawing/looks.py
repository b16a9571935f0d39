"""In which inks, sizes and styles everything is drawn: on the screen, for a phone, on paper, in a hall.

A look is named by ANTLAB_LOOK and read in course.look() alone; a picture takes its sizes from here.
"""

import contextlib
import contextvars
import os

import matplotlib as mpl
from matplotlib import pyplot as plt

from antlab.classroom.course import LOOK, look

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
PHONE = STYLE | {"font.size": 10.5, "lines.linewidth": 2.2, "grid.linewidth": 0.7}
# A still stands in the notebook as large as it is; 12 points are 16 pixels, which no type on it goes below.
PAPER = PHONE | {"font.size": 12.6, "xtick.labelsize": 12.0, "ytick.labelsize": 12.0}
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
        "font.size": 15.8,
        "lines.linewidth": 3.0,
        "grid.linewidth": 1.1,
        "xtick.labelsize": 15.1,
        "ytick.labelsize": 15.1,
    }
)
# A slide is 1280 by 720 pixels, a hundred to an inch: its picture has this room, and no smaller type.
SLIDE_INCHES, SLIDE_PX, SLIDE_DPI = (11.68, 4.92), 28, 100
_SLIDE_PT = SLIDE_PX * 72 / SLIDE_DPI
SLIDE = PROJECTOR | {"font.size": _SLIDE_PT, "xtick.labelsize": _SLIDE_PT, "ytick.labelsize": _SLIDE_PT}
WIDEST = 9.4  # inches of a still: a wider one is shrunk to the page, 907 of 1366 pixels, with its type
# By name: the style on the screen, that of a still, and how much larger than plain a still is.
LOOKS = {"plain": (STYLE, PAPER, 1.0), "projector": (PROJECTOR, PROJECTED_PAPER, 1.1)}
_room = contextvars.ContextVar("room", default=None)  # of a still on a slide, inches


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


@contextlib.contextmanager
def on_a_slide(room=SLIDE_INCHES):
    """Draw stills of this size, inches, in the style of a slide, for a while."""
    token = _room.set(room)
    try:
        yield
    finally:
        _room.reset(token)


def on_paper():
    """The style of a still picture in the look of now."""
    return SLIDE if _room.get() else LOOKS[look()][1]


def inches(wide, high):
    """The size of a still picture in the look of now, from its plain one; no wider than a page has room.

    On a slide it is the slide's room.
    """
    if room := _room.get():
        return room
    scale = LOOKS[look()][2]
    return min(wide * scale, max(wide, WIDEST)), high * scale


@contextlib.contextmanager
def still_figure(wide, high):
    """A figure of a still that is plain so large, inches, to be drawn upon in the look of now.

    None is left half drawn, for a notebook to show, where what draws upon it fails.
    """
    with mpl.rc_context(on_paper()):
        fig = plt.figure(figsize=inches(wide, high))
        try:
            yield fig
        except BaseException:
            plt.close(fig)
            raise


def stroke(share):
    """A width, points, as a share of a curve's."""
    return share * mpl.rcParams["lines.linewidth"]


def small():
    """The size of small type, that of the numbers at the axes."""
    return mpl.rcParams["xtick.labelsize"]


def quiet():
    """The ink of words that stay behind the curves."""
    return mpl.rcParams["axes.edgecolor"]
