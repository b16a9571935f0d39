"""Turns on a pipe: a trap of coax as it is wound, to scale, with its ends joined in three ways."""

from dataclasses import replace
from functools import lru_cache

import matplotlib as mpl
import numpy as np

from antlab.classroom.drawing.axes import em_of, label, plot_axes
from antlab.classroom.drawing.looks import BLACK, GREY, small, stroke
from antlab.classroom.drawing.parts import Handle, Part, Pen, Scene, column
from antlab.classroom.drawing.wound_trap import WRONG, to_scale, wound_trap
from antlab.classroom.views.player import Slider, view
from antlab.physics.bands import BANDS, band
from antlab.physics.cable import IN_COAX_TRAP, line_impedance
from antlab.physics.cable import cable as known_cable
from antlab.physics.trap import GENTLE_FORM, OFFERED_FORM, CoaxTrap
from antlab.units import feet

LONGEST_MM = 105.0  # of any winding
PIPES = 26  # a millimetre apart; with more of them a page weighs over a megabyte
LINES = ("80m", "40m", "20m", "10m")  # bands whose middles are drawn


def _pipe_and_turns(cable, **_):
    thick = known_cable(cable).outer_mm
    thinnest = np.ceil(1.1 * OFFERED_FORM * thick)
    most = min(12, int(LONGEST_MM / thick))
    return [
        Slider(
            "Pipe",
            "mm",
            thinnest,
            thinnest + PIPES - 1,
            PIPES,
            thinnest,
            past=("bends this cable too tightly", "is more than is drawn for this cable"),
        ),
        Slider("Cable", "turns", 2.5, most, 2 * most - 4, 4),
    ]


@view(
    _pipe_and_turns,
    size=((9.0, 4.5), (3.9, 5.4)),
    cable=IN_COAX_TRAP,
    hookup=("series", "braid", WRONG),
    work="winding",
    turn_s=1.0,
    instants=((0.0, 0.25),),
)
def coax_trap(fig, form_diameter_mm, turns, *, cable="RG-58", hookup="series"):
    """Turns on a pipe.

    A trap of coax as it is wound, drawn to scale, what is soldered to what, and its resonance.
    """
    kind = cable, "series" if hookup == WRONG else hookup
    wound = [_wound(*kind, *size) for size in zip(form_diameter_mm, turns, strict=True)]
    circuits = [_circuit(one) for one in wound]
    resonance = np.array([one.resonance_mhz for one in circuits])
    if hookup == WRONG:
        marks = _without_a_coil(wound, resonance)
        says = [
            f"{_to_mind(one)}{big}, no trap: {left} {where}, where the right joint blocks\n{_size(one)}"
            for big, left, where, one in zip(*marks[:3], wound, strict=True)
        ]
    else:
        marks = _resonant(circuits)
        wider = [_wound(*kind, one.form_diameter_mm + 1, one.turns).resonance_mhz for one in wound]
        says = [
            f"{_to_mind(one)}{f:.2f} MHz: {here.inductance_uh:.2f} µH with {here.capacitance_pf:.1f} pF; "
            f"a pipe 1 mm thicker lowers it by {1e3 * (f - other):.0f} kHz\n{_size(one)}"
            for one, here, f, other in zip(wound, circuits, resonance, wider, strict=True)
        ]
    ax, raised, parts = _picture(fig, wound, hookup, resonance, marks)
    alt = (
        "A pipe with turns of cable side by side, drawn to scale. Both ends of the cable are split into "
        "centre and braid, and lines lead to what each is soldered to; beads run along them as the current "
        "does at one moment. Beside it the resonance on a dial "
        "with four bands."
    )
    half = column([one.winding_length_mm / 2 for one in wound])[:, 0]
    between = (ax.get_xlim()[1] + 1.5 * em_of(ax)) / 2  # the words over the turns and "outward"
    handles = [
        Handle("form_diameter_mm", ax, between, raised + form_diameter_mm),
        Handle("turns", ax, 1.3 * half, raised + form_diameter_mm * 0.6),
    ]
    return Scene(parts, says, alt, handles=handles)


@lru_cache(maxsize=8192)
def _wound(cable, hookup, form_diameter_mm, turns):
    return CoaxTrap(cable=cable, hookup=hookup, form_diameter_mm=form_diameter_mm, turns=turns)


@lru_cache(maxsize=8192)
def _circuit(wound):
    return wound.trap


def _resonant(circuits):
    """The marks of a right joint: large its frequency, beneath it the band, and the trap as a circuit."""
    bands = [band(name) for name in BANDS]
    tuned = [one.resonance_mhz for one in circuits]
    inside = [
        next((one.label for one in bands if one.low_mhz <= f <= one.high_mhz), "in no band") for f in tuned
    ]
    sizes = [f"{one.inductance_uh:.2f} µH, {one.capacitance_pf:.1f} pF" for one in circuits]
    block = [
        f"blocks with {abs(one.impedance(f)) / 1e3:.0f} kΩ" for one, f in zip(circuits, tuned, strict=True)
    ]
    return [f"{f:.2f} MHz" for f in tuned], inside, sizes, block


def _without_a_coil(wound, resonance_mhz):
    """The marks of a wrong joint: what runs out along the centre comes back in the braid right around it.

    Outside of the cable nothing is left of the field, and so of the coil; what is left is a line shorted at
    its far end (tested against a ladder of coils and capacitors).
    """
    long = [one.wound_length_m for one in wound]
    left = line_impedance(0, cable=wound[0].cable, length_m=long, f_mhz=resonance_mhz)
    here = [f"{abs(z):.0f} Ω" for z in left]
    where = [f"on {f:.2f} MHz" for f in resonance_mhz]
    return ["no coil left"] * len(wound), here, where, ["it blocks nothing"] * len(wound)


def _to_mind(wound):
    """What to mind of a bend and of foam, in few words, a line each, before all others."""
    said = ""
    if wound.bend < GENTLE_FORM:
        said += f"! tight: {wound.bend:.1f} cable diameters, {GENTLE_FORM:g} are safe\n"
    if wound.cable.is_foam:
        said += "! foam: soft when bent or warm\n"
    return said


def _size(wound):
    """What to cut, in few words."""
    return (
        f"Cable {wound.cable_length_m:.2f} m ({feet(wound.cable_length_m):.1f} ft) with pigtails, winding "
        f"{wound.winding_length_mm:.0f} mm long"
    )


def _picture(fig, wound, hookup, resonance_mhz, marks):
    """A trap as it is wound, what it is in large type, and its resonance on a dial.

    wound: the traps, a row each. resonance_mhz: (rows,). marks: words from large to small, each (rows,).
    Returns the drawing's axes, how far up each pipe is moved, towards their middle, and the parts.
    """
    wide = fig.bbox.width > 1.2 * fig.bbox.height
    places = ({"span": (0, 0.68)}, {"span": (0.68, 1)}) if wide else ({"rows": (0.5, 1)}, {"rows": (0, 0.5)})
    cable = wound[0].cable
    pipe, most = _pipe_and_turns(cable)
    # one scale for all that the sliders reach
    ax = to_scale(fig, pipe_mm=pipe.stop + cable.outer_mm, winding_mm=most.stop * cable.outer_mm, **places[0])
    ticks = [2, 5, 10, 20, 50]
    dial = plot_axes(
        fig, x=(-1, 1), y=(2, 60), yscale="log", yticks=ticks, yticklabels=[str(f) for f in ticks],
        xscale="linear", ylabel="MHz", margins_em=(4.2, 5.6, 7.4, 0.6), **places[1],
    )  # fmt: skip
    dial.set_xticks([])
    dial.minorticks_off()
    dial.spines.bottom.set_visible(False)
    for one in map(band, LINES):
        dial.axhline(one.middle_mhz, color=GREY, linewidth=stroke(0.4))
        label(dial, 1, one.middle_mhz, f" {one.label}", va="center", fontsize=small())
    zero = np.zeros((len(wound), 1))
    em = mpl.rcParams["font.size"] / 72 * fig.dpi / dial.bbox.height * np.log(60 / 2)
    sizes = ([getattr(one, name) for one in wound] for name in ("form_diameter_mm", "turns"))
    parts = wound_trap(
        ax, *sizes, cable_mm=cable.outer_mm, called=cable.name, joined=hookup,
        most=most.stop,
    )  # fmt: skip
    raised = (pipe.stop - column([one.form_diameter_mm for one in wound])) / 4
    parts = [replace(part, y=part.y + raised) for part in parts]
    for up, size, said in zip((6.0, 4.1, 2.5, 1.2), (1.7, 1.3, 1.0, 1.0), marks, strict=True):
        at = zero + 60 * np.exp(up * em)
        parts.append(Part(dial, "text", zero, at, Pen(BLACK, size=size, bold=size > 1), tuple(said)))
    there = np.where(hookup == WRONG, np.nan, column(resonance_mhz))
    return (
        ax,
        raised[:, 0],
        [
            *parts,
            Part(dial, "line", zero + [-1, 1], there + [0, 0], Pen(BLACK, width=0.5)),
            Part(dial, "dots", zero, there, Pen(BLACK)),
        ],
    )
