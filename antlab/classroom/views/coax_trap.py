"""Turns on a pipe: a trap of coax, to scale, and two ways to join its ends."""

from dataclasses import replace

import matplotlib as mpl
import numpy as np
from matplotlib import pyplot as plt

from antlab.classroom.drawing.axes import label, two_axes
from antlab.classroom.drawing.looks import BLACK, BLUE, GREY, ORANGE, inches, on_paper, small, stroke
from antlab.classroom.drawing.parts import FIRST, FOURTH, SECOND, Part, Pen, Scene, column
from antlab.classroom.views.player import Slider, view
from antlab.physics.bands import band
from antlab.physics.cable import IN_COAX_TRAP
from antlab.physics.cable import cable as known_cable
from antlab.physics.trap import GENTLE_FORM, OFFERED_FORM, CoaxTrap
from antlab.units import feet


def _pipe_and_turns(cable, **_):
    thinnest = np.ceil(1.1 * OFFERED_FORM * known_cable(cable).outer_mm)
    step = max(round(thinnest / 18), 1)
    return [
        Slider("Pipe", "mm", thinnest, thinnest + 30 * step, 31, thinnest),
        Slider("Cable", "turns", 2.5, 14, 24, 4),
    ]


@view(
    _pipe_and_turns,
    size=((9.0, 3.3), (3.9, 4.2)),
    cable=IN_COAX_TRAP,
    hookup=("series", "braid"),
    work="winding",
)
def coax_trap(fig, form_diameter_mm, turns, *, cable="RG-58", hookup="series"):
    """Turns on a pipe.

    A trap of coax wound on a pipe, drawn to scale, and its resonance.
    """
    pipes, counts = _pipe_and_turns(cable)
    kind = {"cable": cable, "hookup": hookup}
    wound = [
        CoaxTrap(form_diameter_mm=pipe, turns=n, **kind)
        for pipe, n in zip(form_diameter_mm, turns, strict=True)
    ]
    resonance = np.array([one.resonance_mhz for one in wound])
    wider = [replace(one, form_diameter_mm=one.form_diameter_mm + 1).resonance_mhz for one in wound]
    says = [
        f"{f:.2f} MHz: {one.trap.inductance_uh:.2f} µH with {one.trap.capacitance_pf:.1f} pF; a pipe 1 mm "
        f"thicker lowers it by {1e3 * (f - other):.0f} kHz\n"
        f"Cable {one.cable_length_m:.2f} m ({feet(one.cable_length_m):.1f} ft) with pigtails, wound over "
        f"{one.winding_length_mm:.0f} mm{_warning(one)}"
        for one, f, other in zip(wound, resonance, wider, strict=True)
    ]
    curve = {
        pipe: [CoaxTrap(form_diameter_mm=pipe, turns=n, **kind).resonance_mhz for n in counts.values]
        for pipe in np.unique(form_diameter_mm)
    }
    over = counts.values, np.array([curve[pipe] for pipe in form_diameter_mm])
    parts = _picture(fig, form_diameter_mm, turns, (wound[0].pitch_mm, pipes.stop), over, resonance)
    alt = (
        "Left: a pipe with turns of cable side by side, drawn to scale. Right: the resonance falls as the "
        "turns grow, with the middle of four bands marked."
    )
    return Scene(parts, says, alt)


def _warning(wound):
    """What to mind of a bend and of foam, in few words."""
    said = []
    if wound.bend < GENTLE_FORM:
        said.append(f"! tight: {wound.bend:.1f} cable diameters, {GENTLE_FORM:g} are safe")
    if wound.cable.is_foam:
        said.append("! foam: soft when bent or warm")
    return "".join(f"; {words}" for words in said)


def _picture(fig, form_mm, turns, size_mm, over, resonance_mhz):
    """A pipe with turns of coax on it, to scale, and the resonance against the turns on that pipe.

    form_mm, turns, resonance_mhz: (rows,). size_mm: thickness of the cable, and of the thickest pipe. over:
    turns (points,), and their resonance on each pipe, MHz (rows, points). Returns the parts.
    """
    thick, thickest = size_mm
    most = int(over[0][-1])
    long, high = (most + 4) * thick, thickest + 7 * thick
    ticks = [3, 5, 10, 20, 30, 50]
    pipe, curve = two_axes(
        fig,
        {"x": (-2 * thick, long - 2 * thick), "y": (-high / 2 - thick, high / 2 - thick),
         "aspect": "equal", "margins_em": (0.3, 0.3, 0.3, 0.3)},
        {"x": (over[0][0], over[0][-1]), "y": (2.5, 60), "yscale": "log", "yticks": ticks,
         "yticklabels": [str(f) for f in ticks], "xlabel": "turns", "ylabel": "resonance, MHz",
         "margins_em": (4.8, 5.6, 1.6, 3.4)},
        share=0.45,
    )  # fmt: skip
    pipe.set_axis_off()
    foot = -thickest / 2 - 2 * thick
    pipe.plot([0, 20], [foot, foot], color=BLACK, linewidth=stroke(0.8))
    label(pipe, 10, foot - 0.4 * thick, "20 mm", ha="center", va="top", fontsize=small())
    curve.minorticks_off()
    for one in map(band, ("80m", "40m", "20m", "10m")):
        f_mhz = one.middle_mhz
        curve.axhline(f_mhz, color=GREY, linewidth=stroke(0.4))
        label(curve, over[0][-1], f_mhz, f" {one.label}", va="center", fontsize=small())
    radius, n = column(form_mm) / 2, column(turns)
    # of each turn the front half is seen: it climbs half a pitch across the pipe
    at = np.arange(most) + 0 * n
    x = np.stack([at + 0.25, at + 0.75, at], axis=2) * thick
    y = np.stack([-1 + 0 * at, 1 + 0 * at, at + np.nan], axis=2) * (radius + thick / 2)[:, :, None]
    y[at >= n] = np.nan
    width = 0.85 * thick / long * pipe.bbox.width * 72 / fig.dpi / mpl.rcParams["lines.linewidth"]
    ends = np.array([-1.5, -1.5, most + 1.5, most + 1.5, -1.5]) * thick
    return [
        Part(pipe, "line", ends, radius * [-1, 1, 1, -1, -1], Pen(BLACK, width=0.5, fill=0.1)),
        Part(pipe, "line", x.reshape(len(n), -1), y.reshape(len(n), -1), Pen(BLUE, width)),
        Part(curve, "line", *over, FIRST),
        Part(curve, "dots", n, column(resonance_mhz), Pen(BLACK)),
    ]


def hookups():
    """The cable of a trap rolled out straight, joined both ways, with the volts at its four ends.

    Returns fig and the two axes.
    """
    with mpl.rc_context(on_paper()):
        fig, axes = plt.subplots(2, figsize=inches(7.8, 4.6), layout="constrained")
        for ax, title, volts, antenna, between in (
            (axes[0], "in series", ("0", "½", "½", "1"), ((0, 1), (1, 0)), "½ of the volts between them"),
            (
                axes[1],
                "across the braid",
                ("−1", "0", "0", "1"),
                ((0, 0), (1, 0)),
                "all of the volts between them",
            ),
        ):
            ax.set(xlim=(-0.28, 1.28), ylim=(-0.75, 2.0))
            ax.set_axis_off()
            ax.set_title(title, loc="left", fontweight="bold", y=0.9)
            ax.plot([0, 1], [1, 1], color=BLUE)
            braid = {"color": ORANGE, "linestyle": (0, SECOND.dashes)}
            ax.plot([0, 1], [0, 0], linewidth=stroke(1.8), **braid)
            label(ax, 0.2, 1.08, "centre", FIRST, ha="center", va="bottom")
            label(ax, 0.2, -0.1, "braid", SECOND, ha="center", va="top")
            label(ax, 0.5, 0.5, f"{between}, all along", ha="center", va="center")
            for (x, y), volt in zip(((0, 1), (1, 1), (0, 0), (1, 0)), volts, strict=True):
                ax.plot(x, y, "o", color=BLACK, markersize=stroke(2.3))
                label(
                    ax, x + (0.02 if x else -0.02), y + 0.1, volt, FOURTH, ha="left" if x else "right",
                    va="bottom", fontweight="bold",
                )  # fmt: skip
            joint = [1, 1.1, 1.1, -0.1, -0.1, 0], [1, 1, -0.55, -0.55, 0, 0]
            ax.plot(*joint, color=BLACK, linewidth=stroke(0.55))
            label(ax, 0.5, -0.5, "the joint", ha="center", va="bottom", fontsize=small())
            for x, y in antenna:
                side = 1 if x else -1
                crosses = x == 1  # the joint's wire runs there too: go out a little lower
                lead = [x, x + 0.24 * side], [y, y - 0.28 * crosses]
                ax.plot(*lead, color=GREY, linewidth=stroke(1.4))
                label(ax, x + 0.27 * side, y - 0.28 * crosses + 0.12, "antenna", ha="center", va="bottom")
    return fig, list(axes)
