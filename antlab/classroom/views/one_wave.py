"""How long is a wave? One wave and half of it, beside things that everybody knows."""

from dataclasses import replace

import matplotlib as mpl
import numpy as np
from matplotlib.patches import Circle, Rectangle

from antlab.classroom.drawing.axes import label, plot_axes
from antlab.classroom.drawing.looks import BLACK, BLUE, EARTH, GREY, ORANGE, stroke
from antlab.classroom.drawing.parts import FIRST, SECOND, Handle, Part, Pen, Ring, Scene, column
from antlab.classroom.views.player import Slider, view
from antlab.physics.bands import BANDS, band
from antlab.units import feet, wavelength_m

TURN_S, SLOW = 5.0, 50  # seconds that a turn of 10 MHz takes, so many million times as long as it is


@view(
    Slider("Frequency", "MHz", 3.5, 30, 266, 14.2),
    size=((9.0, 4.5), (3.9, 2.9), (4.7, 3.4)),
    turn_s=TURN_S,
    headed=False,
)
def one_wave(fig, f_mhz):
    """How long is a wave?"""
    whole = wavelength_m(f_mhz)
    says = [
        f"At {f:.1f} MHz, {f:.1f} million waves leave in a second.\n"
        f"One is {_metres(w)} long, half of it {_metres(w / 2)}.\n"
        f"They run as fast as light, seen {SLOW} million times slower."
        for f, w in zip(f_mhz, whole, strict=True)
    ]
    alt = (
        "To scale: a house with a bus before it, another bus, a car and a person; above them a wire, and a "
        "wave twice as long, which runs to the right, and others after it. The wire and the wave begin where "
        "the house and the bus do. The higher the frequency, the shorter both."
    )
    parts, handles = _picture(fig, f_mhz, whole)
    return Scene(parts, says, alt, handles=handles, ring=Ring(f_mhz / 10, 0 * f_mhz, 0.0))


def _band_words(f_mhz):
    """A frequency, and which band it is in, or between which two."""
    bands = [band(name) for name in BANDS]
    for one in bands:
        if one.low_mhz <= f_mhz <= one.high_mhz:
            return f"{f_mhz:.1f} MHz, {one.name.removesuffix('m')}-metre band"
    below = [one for one in bands if one.high_mhz < f_mhz]
    above = [one for one in bands if one.low_mhz > f_mhz]
    if not above:
        return f"{f_mhz:.1f} MHz, beyond the {below[-1].name.removesuffix('m')}-metre band"
    return f"{f_mhz:.1f} MHz, between {below[-1].name.removesuffix('m')} and {above[0].label}"


WIDE = 47.0  # metres across; the longest half wave has room, and a whole one from 6.7 MHz on
WIRE = 7.7  # height of the wire in the picture
BUS, SECOND_BUS, CAR, YOU = 0.0, 12.0, 27.5, 36.5  # where they begin; the house and the wire do at 0
TO_SCALE = {  # outlines, metres
    "house": ((0, 0, 5.5, 11, 11), (0, 3.7, 6.6, 3.7, 0)),
    "bus": ((0, 0, 0.4, 11.7, 12, 12), (0.4, 2.7, 3, 3, 2.3, 0.4)),
    "car": ((0, 0.1, 0.9, 1.6, 3.1, 3.8, 4.5, 4.5), (0.3, 0.8, 0.9, 1.5, 1.5, 0.9, 0.8, 0.3)),
}
HOUSE = 5.5, 4.55  # where its name stands
AS_LONG = {"the house": 11.0, "the bus": 12.0, "two buses": 24.0}
NEAR, LITTLE = 0.03, 0.1  # shares within which a wire is as long as something, and a little off


def _compared(wire_m):
    """What a wire's length is, compared to what is nearest to it."""
    what = min(AS_LONG, key=lambda one: abs(np.log(wire_m / AS_LONG[one])))
    off = wire_m / AS_LONG[what] - 1
    if abs(off) <= NEAR:
        return f"as long as {what}"
    return f"{'a bit ' if abs(off) < LITTLE else ''}{'longer' if off > 0 else 'shorter'} than {what}"


def _street(ax):
    """House, buses, car and person, which stay, and the ground that they stand on."""

    def wheels(*x):
        for one in x:
            ax.add_patch(Circle((one, 0.45), 0.45, facecolor=BLACK, linewidth=0))

    def outline(name, begin, color):
        x, y = TO_SCALE[name]
        ax.fill(begin + np.array(x), y, facecolor=color, edgecolor=GREY, linewidth=stroke(0.4))

    def panes(begins, y, wide, high):
        for x in begins:
            ax.add_patch(Rectangle((x, y), wide, high, facecolor="white", linewidth=0))

    outline("house", 0, EARTH)
    for begin, color in ((BUS, GREY), (SECOND_BUS, "#9aa3af")):
        outline("bus", begin, color)
        panes(begin + 0.5 + 1.75 * np.arange(6), 1.45, 1.4, 1.0)
        panes([begin + 11.0], 1.2, 0.8, 1.25)
        wheels(begin + 2.2, begin + 9.6)
    outline("car", CAR, GREY)
    panes([CAR + 1.25], 0.92, 0.95, 0.45)
    panes([CAR + 2.35], 0.92, 0.85, 0.45)
    wheels(CAR + 0.95, CAR + 3.55)
    # A head, a body with legs, and arms: 1.8 m tall.
    ax.add_patch(Circle((YOU, 1.6), 0.2, facecolor=BLACK, linewidth=0))
    ax.plot(
        YOU + np.array([-0.3, 0, 0, np.nan, 0, 0.3]),
        [0, 0.75, 1.35, np.nan, 0.75, 0],
        color=BLACK,
        lw=stroke(0.6),
    )
    ax.plot(YOU + np.array([-0.45, 0, 0.5]), [0.85, 1.25, 1.6], color=BLACK, lw=stroke(0.6))
    ax.plot([-1, WIDE - 1], [0, 0], color=BLACK, linewidth=stroke(0.7))
    label(ax, *HOUSE, "house", ha="center", va="center", color=BLACK)
    for x, name in ((BUS + 6, "bus"), (SECOND_BUS + 6, "another bus"), (CAR + 2.25, "car"), (YOU, "you")):
        label(
            ax, x, 0, name, color=BLACK, ha="center", va="top", xytext=(0, -0.3), textcoords="offset fontsize"
        )


def _picture(fig, f_mhz, wavelength_m):
    """A wave, and a wire of half of it, above things that everybody knows, true to scale.

    f_mhz, wavelength_m: (rows,). Returns parts and handles.
    """
    margin = 0.3
    inner = fig.bbox.size - 2 * margin * mpl.rcParams["font.size"] / 72 * fig.dpi
    em = mpl.rcParams["font.size"] / 72 * fig.dpi * WIDE / inner[0]
    foot, top = -1.6 * em, WIDE * inner[1] / inner[0] - 1.6 * em
    ax = plot_axes(fig, x=(-1, WIDE - 1), y=(foot, top), margins_em=(margin,) * 4, aspect="equal")
    ax.set_axis_off()
    _street(ax)
    broad = WIDE / em > 40  # then both words about the wire stand on one line
    size = 1.2 if broad else 1.1
    line = 1.33 * size * em
    whole, zero = column(wavelength_m), 0 * column(wavelength_m)
    long, compared = (
        [f"half-wave wire {one}" for one in map(_metres, wavelength_m / 2)],
        [*map(_compared, wavelength_m / 2)],
    )
    left = replace(FIRST, align="left", bold=True, size=size)
    lines = [top - 0.5 * line, top - 1.5 * line]  # frequency, and wave
    over = WIRE + 0.85 * line
    if broad:
        beside, above = column([0.57 * size * em * len(words) for words in long]) + 0.8 * em, over
    else:
        beside, above = zero, over + line
    low, high = above + 0.7 * line, lines[1] - 0.7 * line
    middle, reach = (low + high) / 2, (high - low) / 2
    turns = np.arange(0, 78) / 16  # of the wave, as many as there ever are
    runs = reach * np.exp(-2j * np.pi * (turns - 0.25))
    stop, waves = np.array([-1, 1, np.nan, -1, 1]), tuple(f"one wave {_metres(one)}" for one in wavelength_m)
    # From the half of the wave to the wire's end and on to the ground, past the words.
    named = 0.7 * em * (np.abs(whole / 2 - HOUSE[0]) < 2.1 * em)
    down = (middle, low, np.nan, WIRE, HOUSE[1] + named, np.nan, HOUSE[1] - named, 0)
    halved = Pen(GREY, width=0.5, dashes=(3.0, 2.0))
    on = np.where(whole > WIDE - 1, WIDE - 1, np.nan)  # where it goes on beyond the picture
    ends_at = tuple(f"ends at {one:.1f} m" for one in wavelength_m)
    parts = [
        Part(ax, "line", whole * turns, runs, Pen(BLUE, width=0.45), about=middle, smooth=True),
        Part(ax, "line", whole * turns[:17], runs[:17], replace(FIRST, width=1.3), about=middle, smooth=True),
        Part(ax, "line", whole * [0, 1], np.full(2, middle), Pen(GREY, width=0.5)),
        Part(ax, "line", whole * [0, 0, np.nan, 1, 1], middle + reach * stop, Pen(GREY, width=0.5)),
        Part(ax, "line", whole * np.full(8, 0.5), np.hstack([zero + one for one in down]), halved),
        Part(ax, "line", on - [0.6 * em, 0, 0.6 * em], zero + middle + [0.4 * em, 0, -0.4 * em], Pen(GREY)),
        Part(ax, "text", on, zero + lines[1], replace(FIRST, align="right"), ends_at),
        Part(ax, "line", whole * [0, 0.5], np.full(2, WIRE), replace(SECOND, dashes=(), width=1.8)),
        Part(ax, "text", zero, zero + lines[0], replace(left, color=BLACK), tuple(map(_band_words, f_mhz))),
        Part(ax, "text", zero, zero + lines[1], left, waves),
        Part(ax, "text", zero, zero + above, replace(left, color=ORANGE), tuple(long)),
        Part(ax, "text", beside, zero + over, replace(left, color=ORANGE), tuple(compared)),
    ]  # fmt: skip
    aside = 1.6 * em
    ends = np.where(wavelength_m + aside < WIDE - 2, wavelength_m + aside, np.nan)
    return parts, [
        Handle("f_mhz", ax, wavelength_m / 2 + aside, WIRE, reach_px=40),
        Handle("f_mhz", ax, ends, middle, reach_px=40),
    ]


def _metres(metres):
    """A length as it is read out."""
    return f"{metres:.1f} m ({feet(metres):.0f} ft)"
