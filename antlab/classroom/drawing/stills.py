"""Pictures that never move: panels of a scene for paper, plain curves, bars."""

import textwrap
from dataclasses import replace

import matplotlib as mpl
import numpy as np
from matplotlib import patheffects
from matplotlib import pyplot as plt

from antlab.classroom.drawing.axes import legend, plot_axes
from antlab.classroom.drawing.looks import BLACK, GREEN, GREY, ORANGE, PAPER, small, still_figure
from antlab.classroom.drawing.parts import FIRST, PENS, Part
from antlab.classroom.drawing.signs import SIGN, wire
from antlab.units import MILE_KM, feet


def to_draw_upon(task, x, y, true=None):
    """Axes to draw a curve upon by pencil, or with the true one.

    task: what to draw. x, y: (share of the axis, word) of each mark. true: places and heights, 0 to 1.
    Returns fig and its axes.
    """
    with still_figure(7.2, 3.1) as fig:
        letters = int(0.95 * fig.get_figwidth() * 72 / mpl.rcParams["font.size"] / 0.6)
        title = textwrap.fill(task, letters)
        above = 1.4 + 1.2 * (title.count("\n") + 1)
        ax = plot_axes(fig, x=(0, 1), y=(0, 1), margins_em=(5, 4, above, 2), title=title)
        for axis, marks in ((ax.xaxis, x), (ax.yaxis, y)):
            axis.set_ticks(*zip(*marks, strict=True))
        if true is not None:
            ax.plot(*true, color=ORANGE, clip_on=False)
        return fig, [ax]


def paper(scene, settings, titles, size, instants=((0.0,),), **choices):
    """The same picture for paper, one panel for each setting; what it says stands in its marks.

    scene: a function (fig, *positions, **choices) -> Scene. settings: one tuple of slider positions a panel.
    titles: what to write above each, or "". size: of a panel, inches. instants: of what swings, in turns:
    a panel for each tuple, in which all its instants are drawn.
    Returns fig and the list of each panel's first axes.
    """
    titles = [title + _when(turns, instants) for title in titles for turns in instants]
    turns_of = list(instants) * len(settings)
    settings = [setting for setting in settings for _ in instants]
    with still_figure(size[0] * len(settings), size[1]) as fig:
        wide, high = fig.get_size_inches()
        letters = int(wide / len(settings) * 72 / mpl.rcParams["font.size"] / 0.6)
        titles = [_in_lines(title, letters) for title in titles]
        lines = max(title.count("\n") + bool(title) for title in titles)
        line_inch = 1.22 * mpl.rcParams["font.size"] / 72
        head_inch = (lines + 0.5) * line_inch
        fig.set_size_inches(wide, high + head_inch)
        heads, panels = fig.subfigures(2, len(settings), height_ratios=(head_inch, high), squeeze=False)
        axes = []
        for head, panel, setting, title, turns in zip(heads, panels, settings, titles, turns_of, strict=True):
            head.text(0.03, 1 - 0.3 * line_inch / head_inch, title, va="top", fontweight="bold")
            here = scene(panel, *(np.array([value]) for value in setting), **choices)
            here.draw(*turns)
            axes.append(here.parts[0].ax)
    return fig, axes


def _in_lines(title, letters):
    """A title in lines of so many letters, what is set by each slider in lines of its own if need be."""
    if len(title) <= letters:
        return title
    return "\n".join(textwrap.fill(part, letters) for part in title.replace(", ", ",\n").split("\n"))


def _when(turns, instants):
    if len(instants) < 2:
        return ""
    return f", {turns[0]:g} of a turn later" if turns[0] else ", at one moment"


def against_height(height_m, panels, size=(4.7, 3.9)):
    """Plain curves against height, for paper, feet below metres: a panel for each quantity.

    height_m: (points,). panels: (what is drawn, its limits, and a title or not) -> curves, as
    {name: (points,)}.
    size: of a panel, inches. Returns fig and the panels' axes.
    """
    ticks = np.arange(0, height_m[-1] + 1, 5)
    words = ["" if tick % 10 else f"{tick:.0f}\n({feet(tick):.0f} ft)" for tick in ticks]
    return _plain_curves(height_m, "height, m", (ticks, words), panels, size)


def against_distance(distance_km, panels, size=(4.7, 3.9)):
    """Plain curves against distance, for paper, miles below kilometres; the rest as against_height."""
    ticks = np.arange(0, distance_km[-1] + 1, 1000)
    words = [f"{tick:.0f}\n{tick / MILE_KM:.0f} mi" for tick in ticks]
    return _plain_curves(distance_km, "distance, km", (ticks, words), panels, size)


def _plain_curves(x, xlabel, ticks, panels, size):
    with still_figure(size[0] * len(panels), size[1]) as fig:
        above = 2.4 if max(map(len, panels.values())) < 4 else 3.6  # the legend has one row, or two
        for i, ((quantity, limits, *title), curves) in enumerate(panels.items()):
            roof = above + 1.6 * len(title)
            ax = plot_axes(
                fig, x=(0, x[-1]), y=limits, xlabel=xlabel, ylabel=quantity,
                span=(i / len(panels), (i + 1) / len(panels)), margins_em=(4.4, 1.6, roof, 4.8),
            )  # fmt: skip
            ax.set_xticks(*ticks)
            over = {"xytext": (0, above * mpl.rcParams["font.size"]), "textcoords": "offset points"}
            for words in title:
                ax.annotate(words, (0, 1), xycoords="axes fraction", fontweight="bold", **over)
            for curve, pen in zip(curves.values(), PENS, strict=False):
                ax.plot(x, curve, color=pen.color, linestyle=(0, pen.dashes) if pen.dashes else "-")
            legend(ax, **dict(zip(curves, PENS, strict=False)))
    return fig, fig.axes


def along_wire(place_m, currents, size=(4.7, 3.5)):
    """Size of the current along a wire, for paper: a panel for each setting.

    place_m: (points,). currents: what is set -> (points,), amperes, complex. size: of a panel, inches.
    Returns fig and the panels' axes.
    """
    with still_figure(size[0] * len(currents), size[1]) as fig:
        for i, (title, current) in enumerate(currents.items()):
            ax = plot_axes(
                fig, x=(1.1 * place_m[0], 1.1 * place_m[-1]), y=(-0.1, 1.3), xlabel="along the wire, m",
                ylabel="share of largest", span=(i / len(currents), (i + 1) / len(currents)),
                yticks=[0, 0.5, 1],
            )  # fmt: skip
            share = np.abs(current) / np.abs(current).max()
            Part(ax, "line", place_m, share, replace(FIRST, fill=0.13)).draw()
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
