"""The one drawing of a worksheet: a picture of the lesson without what a pencil shall add, and complete.

What it is stands in the metadata of a lesson's cell, `antlab.draw`: `task`, in words, and either what is left
out of the view that the cell calls, `without` (and `at`, its positions), or the name of one of DRAWINGS. A
lesson whose guess asks for a curve has that one.
"""

import re
from functools import partial

import numpy as np

from antlab.classroom import live
from antlab.classroom.drawing import looks
from antlab.classroom.drawing.axes import em_of, plot_axes
from antlab.classroom.drawing.parts import FIRST, Part, Pen
from antlab.classroom.drawing.signs import wire
from antlab.classroom.drawing.stills import to_draw_upon
from antlab.classroom.drawing.wound_trap import hookups
from antlab.classroom.figures import drawn
from antlab.classroom.guess.entry import true_curve
from antlab.classroom.paper.pages import live_call
from antlab.classroom.two_rays import two_rays
from antlab.classroom.views.planner import THREE, seen_in
from antlab.classroom.views.player import SCREENS
from antlab.units import feet

INKS = {
    "blue": looks.BLUE, "orange": looks.ORANGE, "green": looks.GREEN, "black": looks.BLACK,
    "grey": looks.GREY,
}  # fmt: skip
BESIDE_M, OVER_M = 1.5, 2.0  # of the squares, what is more than the yard needs


def task(cell):
    """What a cell of a notebook says that is to be drawn: its metadata, or None."""
    return cell.metadata.get("antlab", {}).get("draw")


def of_cell(cell, *, complete):
    """The drawing that a cell asks for. cell: with a task. Returns SVG text, and for what it is drawn."""
    asked = task(cell)
    if name := asked.get("drawing"):
        return drawn(partial(DRAWINGS[name], complete=complete)), ""
    name, given = live_call(cell)
    view = live.VIEWS[name]
    wanted, choices = view.settings(given | asked.get("at", {}))
    without = None if complete else partial(is_left_out, asked["without"])
    sliders = view.sliders(**choices)
    places = zip(sliders, view.places(wanted, choices), strict=True)
    here = ", ".join(_named(slider, slider.values[at], sliders) for slider, at in places if slider.shown)
    return drawn(lambda: view.still(SCREENS["plain"], wanted, choices, without=without)), here


def _named(slider, value, sliders):
    """A position in words: names, such as noon, speak for themselves. A number's unit stays on its line."""
    told = slider.text(value) if slider.words else slider.titled(value, sliders)
    return re.sub(r"(?<=\d) (?=\w)", "\N{NO-BREAK SPACE}", told)


def of_guess(guess, *, complete):
    """The axes of a Guess that asks for a curve, as SVG text; complete with the true one."""
    true = true_curve(guess) if complete else None
    return drawn(lambda: to_draw_upon("", guess.curve.x, guess.curve.y, true))


def is_left_out(inks, part):
    """Whether a Part is left out. inks: names of INKS, each alone or with a kind of Part: "black dots"."""
    return any(
        part.pen.color == INKS[ink] and kind in ("", part.kind)
        for ink, _, kind in (one.partition(" ") for one in inks)
    )


def yard(*, complete):
    """Corner Lot from the side, a square to the metre: its poles, or complete with the antenna that it gets.

    Returns the figure and its axes.
    """
    made, (_, (up, _, room)) = seen_in("Corner Lot").made, THREE["Corner Lot"]
    foot = room / 2
    side, roof = foot + BESIDE_M, up + OVER_M
    with looks.still_figure(9.2, 4.2) as fig:
        ax = plot_axes(
            fig, x=(-side, side), y=(0, roof), margins_em=(0.3, 0.3, 0.4, 2.6), aspect="equal",
            xlabel=f"{room:g} m ({feet(room):.0f} ft) apart",
        )  # fmt: skip
        ax.set_xticks(np.arange(np.ceil(-side), side), [])
        ax.set_yticks(np.arange(0, roof), [])
        ax.tick_params(length=0)
        for at in (-foot, foot):
            ax.plot([at, at], [0, up], color=looks.GREY, linewidth=looks.stroke(2))
        words = f"{up:g} m\n({feet(up):.0f} ft)"
        ax.text(-foot + 0.4, up / 2, words, va="center", color=looks.quiet())
        if complete:
            _antenna(ax, made, up, foot)
        return fig, [ax]


def _antenna(ax, made, up, foot):
    em, half, inner_m, outer_m = em_of(ax), made.width_m / 2, made.dipole.inner_m, made.dipole.outer_m
    for side in (-1, 1):
        rope = [side * half, side * foot]
        ax.plot(rope, [up, up], color=looks.BLACK, linestyle=(0, (2, 1.5)), linewidth=looks.stroke(0.5))
    ax.plot([0, 0], [up, 0], color=looks.GREY, linewidth=looks.stroke(0.7))
    share = inner_m / (inner_m + outer_m)
    for part in wire(ax, (0, up), (half, up), trap_at=share, pen=FIRST):
        part.draw()
    named = [
        (share * half / 2, 1.9, f"inner {inner_m:.2f} m\n({feet(inner_m):.1f} ft)"),
        ((1 + share) * half / 2, 1.9, f"outer {outer_m:.2f} m\n({feet(outer_m):.1f} ft)"),
        (share * half, -1.4, "trap"),
        (foot - 1.2 * em, -1.4, "rope"),
    ]
    for x, ems, words in named:
        for side in (-1, 1):
            at = np.array([side * x]), np.array([up + ems * em])
            Part(ax, "text", *at, Pen(looks.BLACK, size=0.95), (words,)).draw()
    at = np.array([0.5 * em]), np.array([up / 2])
    Part(ax, "text", *at, Pen(looks.BLACK, size=0.95, align="left"), ("feed line",)).draw()


DRAWINGS = {
    "joints": lambda *, complete: hookups(soldered=complete),
    "image": two_rays,
    "yard": yard,
}
