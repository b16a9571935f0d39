"""A trap of coax as it is wound: pipe, holes, turns, both ends of the cable, and what is soldered to what.

Pipe, turns and cable are to scale, in millimetres. What is soldered lies spread out under the pipe, in widths
of the letter m, to be read however thin the pipe is; in truth the joint is as short as the winding.
The centre is a thin line, the braid a thick one of short dashes, a black dot is solder, and a ring a hole.
Near is the cable's end toward the feed, far the other one.
"""

from dataclasses import replace

import matplotlib as mpl
import numpy as np

from antlab.classroom.drawing.axes import em_of, plot_axes
from antlab.classroom.drawing.looks import BLACK, GREY, still_figure
from antlab.classroom.drawing.parts import FIRST, SECOND, Part, Pen, column
from antlab.physics.cable import cable

WRONG = "wrong joint"  # both conductors of one end together, and the antenna on both of the other
OPEN = "open ends"  # nothing is soldered yet: for a pencil
CENTRE, BRAID = replace(FIRST, width=0.7), replace(SECOND, width=1.9, dashes=(0.7, 0.3))
WIRE, EDGE, SOLDER = Pen(BLACK, width=0.8), Pen(BLACK, width=0.35), Pen(BLACK, width=0.85)
HOLE = 0.22  # of the pipe's thickness: how far up its front the cable goes into it
# In widths of the letter m, sideways: from the middle to the joint's end, at least; from one conductor to the
# other; from there to the antenna's wire, and on to the pipe's end.
JOINT, APART, ASIDE, PAST = 2.9, 3.7, 3.1, 0.6
BESIDE = 2.7  # from the jacket's end to the middle of the cable end's name
# Downwards from the pipe: to the jacket's end, to what ends before the joint, to the joint, to all words.
JACKET, SHORT, LEVEL, UNDER = 0.9, 1.8, 4.4, 5.8
ABOVE = 1.9  # for the words over the pipe
# Which way the current runs that comes from the feed, at one moment: in each conductor from the jacket to its
# end, in the joint from the near braid on; where none is named none runs.
RUNS = {
    "series": {"near centre": -1, "far centre": 1, "joint": -1, "near braid": -1, "far braid": 1},
    "braid": {"near braid": -1, "far braid": 1},
    WRONG: {"near centre": -1, "far centre": 1, "far braid": -1, "near braid": 1},
}
LEAST_PT = 8.0  # the smallest type on paper


def to_scale(fig, *, pipe_mm, winding_mm, **place):
    """Axes in millimetres, as large as a pipe, turns and all, and a winding of that size allow.

    place: see plot_axes.
    """
    ax = plot_axes(fig, x=(-1, 1), y=(0, 1), margins_em=(0.2, 0.2, 0.2, 0.2), **place)
    ax.set_axis_off()
    scaled(ax, pipe_mm=pipe_mm, winding_mm=winding_mm)
    return ax


def scaled(ax, *, pipe_mm, winding_mm):
    """Give axes equal scales in millimetres that hold such a trap and its words."""
    em = mpl.rcParams["font.size"] / 72 * ax.figure.dpi
    wide, high = ax.bbox.width, ax.bbox.height
    aside = APART + ASIDE + PAST + 0.2
    scale = min((high - (UNDER + ABOVE) * em) / pipe_mm, (wide - 2 * aside * em) / winding_mm)
    ax.set(
        xlim=(-wide / scale / 2, wide / scale / 2), ylim=(-UNDER * em / scale, (high - UNDER * em) / scale)
    )


def wound_trap(ax, pipe_mm, turns, *, cable_mm, called, joined, most=None, thick_words="{:.4g} mm".format):
    """Parts for traps of one cable, a row each, on axes that are `scaled`.

    pipe_mm, turns: (rows,). cable_mm: thickness of the cable; called: its name. joined: "series" or "braid",
    the hook-ups of CoaxTrap, or WRONG, or OPEN. most: turns that any of them may have. thick_words: of a
    pipe's thickness, millimetres, the words. The pipe's lower edge lies at 0, the middle of the winding at
    x = 0.
    """
    em, thick = em_of(ax), cable_mm
    said = (
        [f"{round(float(n), 2):g} turns of {called}" for n in turns],
        [
            thick_words(wide) + ("\n" if wide > 3 * em else " ") + "pipe" for wide in pipe_mm
        ],  # two lines' room
    )
    pipe, turns = column(pipe_mm), column(turns)
    half = turns * thick / 2
    inner = np.maximum(half, JOINT * em)
    outer, wire = inner + APART * em, inner + (APART + ASIDE) * em
    top = pipe + thick + 0.85 * em
    edge, tied = wire + PAST * em, pipe - np.minimum(0.5 * em, pipe / 4)
    parts = [
        _line(ax, replace(EDGE, fill=0.07), -edge, 0, edge, 0, edge, pipe, -edge, pipe, -edge, 0),
        *_turns(ax, pipe, turns, thick, int(most or turns.max())),
    ]
    split, reach = (inner + outer) / 2, 0.98 * ax.get_xlim()[1]
    for side in (-1, 1):
        x, hidden = side * half, turns % 1 if side > 0 else 0 * turns
        front = np.where((hidden + HOLE / 2) % 1 < 0.5, 1, np.nan)  # else it is behind the pipe
        up = _height(pipe, hidden)
        parts += [
            _line(ax, replace(EDGE, dashes=(3, 2)), x, up, x, 0),
            _ring(ax, x * front, up, thick / 2, 0.0),
            _cable(ax, x, -0.1 * thick, side * split, -JACKET * em, thick),
            _line(
                ax, replace(WIRE, runs=0 if joined == OPEN else -side), side * reach, tied, side * wire, tied
            ),
            _ring(ax, side * wire, tied, 0.2 * em, 0.0),
        ]
    ends = {
        "near centre": -outer, "near braid": -inner, "far centre": inner, "far braid": outer,
        "feed": -wire, "outward": wire, "near": -split, "far": split,
    }  # fmt: skip
    parts += _open(ax, ends, tied, em) if joined == OPEN else _joined(ax, joined, ends, tied, em)
    for words, x, align in (("to the feed", -reach, "left"), ("outward", reach, "right")):
        parts.append(_words(ax, x, top, words, Pen(BLACK, align=align)))
    for end in ("near", "far"):  # between the jacket's end and the antenna's wire
        x = ends[end] + np.sign(ends[end]) * BESIDE * em
        parts.append(_words(ax, x, -0.7 * em, end, Pen(BLACK, bold=True)))
    beside, less = (wire + half + thick / 2) / 2, max(0.96, LEAST_PT / mpl.rcParams["font.size"])
    for x, y, size, texts in (
        (0 * pipe, top, 1.0, said[0]), (-beside, 0.36 * pipe, less, said[1]),
        (beside, 0.36 * pipe, less, ["● = solder"] * len(pipe)),
    ):  # fmt: skip
        parts.append(Part(ax, "text", x, y, Pen(BLACK, size=size), tuple(texts)))
    return parts


def _open(ax, ends, tied, em):
    """All ends of the cable and of the antenna's wires, as they hang down before anything is soldered."""
    level = -LEVEL * em
    parts = [_line(ax, WIRE, ends[name], tied, ends[name], level) for name in ("feed", "outward")]
    for name in ("near centre", "near braid", "far centre", "far braid"):
        end, what = name.split()
        pen = {"centre": CENTRE, "braid": BRAID}[what]
        parts.append(_line(ax, pen, ends[end], -JACKET * em, ends[name], level))
        parts.append(_words(ax, ends[name], level - 0.85 * em, what, pen))
    return parts


def _joined(ax, joined, ends, tied, em):
    """What is soldered to what. ends: where each conductor comes down, x by its name. Returns the parts."""
    level, short = -LEVEL * em, -SHORT * em
    run = RUNS[joined]
    pens = {
        f"{end} {what}": replace(pen, runs=run.get(f"{end} {what}", 0))
        for what, pen in (("centre", CENTRE), ("braid", BRAID))
        for end in ("near", "far")
    }
    feed, outward = {
        "series": ("near centre", "far braid"), "braid": ("near braid", "far braid"),
        WRONG: ("near centre", "near braid"),
    }[joined]  # fmt: skip
    parts, soldered = [], [feed, outward]
    if joined != WRONG:
        joint = replace(WIRE, runs=run.get("joint", 0))
        parts.append(_line(ax, joint, ends["near braid"], level, ends["far centre"], level))
        parts.append(_words(ax, 0 * tied, level + 0.75 * em, "the joint", Pen(BLACK, bold=True)))
        soldered += ["near braid", "far centre"]
    for name, to, way in (("feed", feed, 1), ("outward", outward, -1)):
        parts.append(_line(ax, replace(WIRE, runs=way), ends[name], tied, ends[name], level, ends[to], level))
    for name in ("near centre", "near braid", "far centre", "far braid"):
        end, what = name.split()
        x, start = ends[name], (ends[end], -JACKET * em)
        if name in soldered:
            parts.append(_line(ax, pens[name], *start, x, level))
            parts.append(_words(ax, x, level - 0.85 * em, what, pens[name]))
        elif joined == WRONG:
            aside, out = (x + ends[end]) / 2, -1 if what == "centre" else 1
            parts.append(_line(ax, pens[name], *start, aside, short, ends[end], short - 0.6 * em))
            pen = replace(pens[name], align="right" if out < 0 else "left")
            parts.append(_words(ax, aside + 0.6 * out * em, short, what, pen))
        else:  # the open end
            parts.append(_line(ax, pens[name], *start, x, short))
            parts.append(_line(ax, Pen(GREY, width=2.4), x, short + 0.25 * em, x, short - 0.25 * em))
            for i, words in enumerate(("centre:", "cover it")):
                parts.append(_words(ax, x - 0.3 * em, short - (0.75 + 1.05 * i) * em, words, pens[name]))
    if joined == WRONG:
        parts.append(_dots(ax, ends["far"], short - 0.6 * em))
        parts.append(_words(ax, ends["far"], short - 1.4 * em, "joined", Pen(BLACK, bold=True)))
    return parts + [_dots(ax, ends[name], level) for name in dict.fromkeys(soldered)]


def _height(pipe, turned):
    """How high on the pipe the cable is that began at HOLE, after a share of a turn; up the front first."""
    round_ = (turned + HOLE / 2) % 1
    return pipe * np.where(round_ < 0.5, 2 * round_, 2 - 2 * round_)


def _turns(ax, pipe, turns, thick, most):
    """The front half of each turn, which climbs half a cable: the cable, and its centre within."""
    k = np.arange(most + 1.0)
    begin = np.where(k == 0, HOLE, 0.0) + 0 * turns
    end = np.clip(2 * (turns + HOLE / 2 - k), 0, 1)
    begin, end = (np.where(end > begin + 0.01, one, np.nan) for one in (begin, end))
    a, b = (-turns * thick / 2 + thick * (k + share / 2 - HOLE / 2) for share in (begin, end))
    low, high = (share * (pipe + thick) - thick / 2 for share in (begin, end))
    gap = np.nan * a
    x = [a - thick / 2, a, a + thick / 2, b + thick / 2, b, b - thick / 2, a - thick / 2, gap]
    y = [low, low - thick / 2, low, high, high + thick / 2, high, low, gap + low]
    inside = [a, b, gap], [low, high, gap]
    pens = replace(BRAID, width=0.3, dashes=(), fill=0.35), replace(CENTRE, width=0.35)
    return [
        Part(ax, "line", *(np.stack(one, axis=2).reshape(len(turns), -1) for one in places), pen)
        for places, pen in zip(((x, y), inside), pens, strict=True)
    ]


def _cable(ax, x0, y0, x1, y1, thick):
    """A piece of cable from place to place, to scale."""
    long = np.hypot(x1 - x0, y1 - y0)
    across, up = (y0 - y1) / long * thick / 2, (x1 - x0) / long * thick / 2
    return _line(
        ax, replace(BRAID, width=0.3, dashes=(), fill=0.35),
        *(x0 + across, y0 + up, x1 + across, y1 + up, x1 - across, y1 - up, x0 - across, y0 - up),
        *(x0 + across, y0 + up),
    )  # fmt: skip


def _ring(ax, x, y, radius, fill):
    """A hole."""
    turn = np.radians(np.linspace(0, 360, 9))
    return Part(ax, "line", x + radius * np.cos(turn), y + radius * np.sin(turn), replace(EDGE, fill=fill))


def _line(ax, pen, *places):
    """A line through x, y, x, y …, each one number or (rows, 1)."""
    rows = max(np.size(one) for one in places)
    x, y = (np.concatenate([np.broadcast_to(one, (rows, 1)) for one in places[i::2]], axis=1) for i in (0, 1))
    return Part(ax, "line", x, y, pen)


def _dots(ax, x, y):
    return Part(ax, "dots", *np.broadcast_arrays(np.atleast_2d(x), y), SOLDER)


def _words(ax, x, y, text, pen):
    x, y = np.broadcast_arrays(np.atleast_2d(np.asarray(x, dtype=float)), np.asarray(y, dtype=float))
    return Part(ax, "text", x, y, replace(pen, size=1.0, dashes=()), (text,) * len(x))


def hookups(*joints, soldered=True):
    """The club's trap of lesson 04 on paper, a panel for each joint; both hook-ups unless told otherwise.

    soldered: or, for a pencil, with all ends open.
    """
    joints = joints or ("series", "braid")
    cable_mm = cable("RG-58").outer_mm
    with still_figure(4.7 * len(joints), 3.3) as fig:
        axes = []
        for i, joined in enumerate(joints):
            at = {"span": (i / len(joints), (i + 1) / len(joints))}
            axes.append(to_scale(fig, pipe_mm=50, winding_mm=25, **at))
            title = {"series": "in series", "braid": "across the braid", WRONG: "wrong: no coil left"}[joined]
            axes[-1].set_title(title, fontweight="bold", y=0.91)
            how = {"cable_mm": cable_mm, "called": "RG-58", "joined": joined if soldered else OPEN}
            for part in wound_trap(axes[-1], [33.4], [4], **how):
                part.draw()
    return fig, axes


def wrong_joint():
    """The same with the wrong joint."""
    return hookups(WRONG)
