"""The feed line: a wave runs to the antenna, a part of it comes back, and two meters see two things."""

from dataclasses import replace

import matplotlib as mpl
import numpy as np

from antlab.classroom.drawing.axes import em_of, label, legend, plot_axes
from antlab.classroom.drawing.looks import BLACK, BLUE, ORANGE, quiet, stroke
from antlab.classroom.drawing.parts import FIRST, FOURTH, SECOND, Handle, Part, Pen, Scene, column
from antlab.classroom.views.player import Slider, view
from antlab.physics import cable as lines
from antlab.physics import circuit
from antlab.units import feet, power_ratio, wavelength_m

REACH_M = 40
ANTENNAS = {"SWR 1": 50.0, "SWR 1.5": 75.0, "SWR 3": 150.0, "SWR 5": 250.0, "fallen off": np.inf}  # ohms
WEATHER = ("new and dry", "old and wet")
WET = 2.0  # times the loss in dB when it rained into an old cable (common practice, no source)
NO_LOSS = replace(lines.cable("RG-58"), name="cable without loss", loss_k0_db=0, loss_k1_db=0, loss_k2_db=0)
TOGETHER = replace(FOURTH, dashes=())
POINTS = (
    12  # to a wave in the cable: at an antenna of plain ohms its largest and smallest volts are among them
)


@view(
    Slider("Line", "m", 10, REACH_M, REACH_M - 9, 30, digits=0),
    Slider("Antenna", "", 0, len(ANTENNAS) - 1, len(ANTENNAS), 2, words=tuple(ANTENNAS)),
    Slider("Condition", "", 0, 1, 2, 0, words=WEATHER),
    size=((9.0, 4.9), (3.9, 5.6)), work="feeding", turn_s=3.0, instants=((0.0,), (0.25,)),
    cable=("RG-58", "RG-213", NO_LOSS), f_mhz=(28.5, 14.2, 7.1),
)  # fmt: skip
def feed_line(fig, line_m, antenna, weather, *, cable="RG-58", f_mhz=28.5):
    """The feed line, and what two meters see."""
    line, names = lines.cable(cable), [tuple(ANTENNAS)[round(one)] for one in antenna]
    load = np.array([ANTENNAS[name] for name in names])
    wave_m = line.velocity_factor * float(wavelength_m(f_mhz))
    place_m = np.arange(0, REACH_M + wave_m / POINTS, wave_m / POINTS)
    whole_m = (
        wave_m / POINTS * np.floor(line_m * POINTS / wave_m)
    )  # and where the line ends, and half way there
    place_m = np.column_stack([np.tile(place_m, (len(line_m), 1)), (whole_m + line_m) / 2, line_m])
    volts = np.empty((2, *place_m.shape), complex)
    swr, watts, seen = np.empty((len(line_m), 2)), np.empty((len(line_m), 3)), np.empty(len(line_m), complex)
    for wet in (0, 1):
        some = np.round(weather) == wet
        as_it_is = _worse(line, WET if wet else 1.0)
        volts[:, some], swr[some], watts[some] = _waves(
            as_it_is, f_mhz, place_m[some], line_m[some], load[some]
        )
        seen[some] = lines.line_impedance(load[some], cable=as_it_is, length_m=line_m[some], f_mhz=f_mhz)
    state = ["" if line == NO_LOSS else f", {WEATHER[round(w)]}" for w in weather]
    called = [
        f"{m:.0f} m ({feet(m):.0f} ft) of {line.name}{how}" for m, how in zip(line_m, state, strict=True)
    ]
    says = [
        f"SWR {_swr(s[0])} in the shack, {_swr(s[1])} at the antenna. The radio sees {_parts(z)}\n"
        f"Of 100 W forward {w[2]:.0f} W come back. "
        f"Of the {100 - w[2]:.0f} W fed in {w[0]:.0f} W reach the antenna, {w[0] / max(100 - w[2], 1e-9):.0%}"
        for s, w, z in zip(swr, watts, seen, strict=True)
    ]
    alt = (
        "A cable from the shack, on the left, to the antenna, on the right. A wave runs to the antenna and "
        "fades on its way; a part of it comes back and fades too. Both together make volts that swing more "
        "at some places than at others. Above, a meter shows the SWR at either end, and a bar where 100 W "
        "go: into the antenna, into the cable's warmth, and back into the shack."
    )
    ohms = [f"radio sees {_ohms(abs(one))}" for one in seen]
    picture, sums = _picture(fig, place_m, volts, line_m, names, swr, watts, called, ohms)
    return Scene(picture, says, alt, handles=[Handle("line_m", sums, -line_m, 0.0)])


def _worse(line, times):
    """The same cable with so many times its loss."""
    losses = ("loss_k0_db", "loss_k1_db", "loss_k2_db")
    return replace(line, **{name: times * getattr(line, name) for name in losses})


def _waves(line, f_mhz, place_m, line_m, load):
    """What is on lines of one cable, 100 W forward.

    place_m: (rows, points), from the antenna. line_m, load: (rows,), metres and ohms. Returns complex volts
    there and back, (2, rows, points), at their peak; SWR in the shack and at the antenna, (rows, 2); watts
    into the antenna, into warmth and back into the shack, (rows, 3).
    """
    on = {"cable": line, "f_mhz": f_mhz}
    volts = lines.volts_along_line(load[:, None], length_m=line_m[:, None], distance_m=place_m, **on)
    swr = [lines.swr_along_line(load, distance_m=distance, **on) for distance in (line_m, 0 * line_m)]
    returned = 100 * circuit.reflection_of_swr(swr[0]) ** 2
    arrives = (100 - returned) * power_ratio(-lines.total_loss_db(load, length_m=line_m, **on))
    watts = np.stack([arrives, 100 - returned - arrives, returned], axis=1)
    return 2**0.5 * volts, np.stack(swr, axis=1), watts


def _swr(swr):
    """An SWR as a meter has it."""
    return "∞" if swr > 99 else f"{swr:.1f}"


def _ohms(size):
    """Ohms as they are said, three digits of them at most."""
    if size < 1000:
        return f"{size:.0f} Ω"
    return f"{size / 1e3:.1f} kΩ" if size < 1e5 else "∞ Ω"


def _parts(z):
    """An impedance in words: its resistance, and what it is like beyond that."""
    beyond = round(z.imag)
    like = "a coil" if beyond > 0 else "a capacitor"
    return _ohms(z.real) + (f" and {_ohms(abs(z.imag))} like {like}" if beyond else "")


def _em(fig):
    """The width of the letter m, in dots."""
    return mpl.rcParams["font.size"] / 72 * fig.dpi


def _picture(fig, place_m, volts, line_m, antennas, swr, watts, called, ohms):
    """Two meters and a bar of watts above, the waves on the line below.

    What each of them is stands with _waves. antennas: of ANTENNAS. called: the line's name, and
    ohms: what the radio sees, a row each. Returns the parts, and the axes of both waves together.
    """
    wide = fig.bbox.width > 1.2 * fig.bbox.height
    top, middle, low = (0.7, 0.69, 0.335) if wide else (0.81, 0.61, 0.32)
    side = 0.27 if wide else 0.5
    shack, far = (_dial(fig, span, (top, 1)) for span in ((0, side), (1 - side, 1)))
    span, rows = ((side, 1 - side), (top, 1)) if wide else ((0.04, 0.96), (middle, top))
    bar = plot_axes(fig, x=(0, 100), y=(0, 5), span=span, rows=rows, margins_em=(0.2, 0.2, 0.2, 0.2))
    bar.set_axis_off()
    ends = {"x": (-REACH_M - 1, 1), "ylabel": "volts", "margins_em": (4.4, 0.8, 1.6, 0.2)}
    moving = plot_axes(fig, y=(-115, 190 if wide else 205), yticks=[-100, 0, 100], rows=(low, middle), **ends)
    ends["margins_em"] = (4.4, 0.8, 0.4, 1.9 if wide else 3.2)
    sums = plot_axes(fig, y=(-215, 215), yticks=[-200, 0, 200], rows=(0, low), **ends)
    legend(moving, right=wide, **{"there": FIRST, "back": SECOND, "together": TOGETHER})
    ticks = np.arange(10, REACH_M + 1, 10 if wide else 20)
    between = " " if wide else "\n"
    sums.set_xticks([*-ticks, 0], [*(f"{tick} m{between}({feet(tick):.0f} ft)" for tick in ticks), "0"])
    moving.set_xticks([*-ticks, 0], [])
    end, (there, back), both = -column(line_m), volts, volts.sum(axis=0)
    room = 3.8 * em_of(moving)
    for ax in (moving, sums):
        ax.set_xlim(-REACH_M - room, 1)
        ax.axvline(0, color=BLACK, linewidth=stroke(1.2))
    thin = replace(TOGETHER, width=0.4)
    row = 155.0 if wide else 165.0
    name = np.array([-REACH_M - 0.8 * room]), np.array([row])
    ax, row = (moving, row) if wide else (sums, -185.0)
    if wide:  # below the shack's meter
        left = moving.transData.inverted().transform((0.4 * _em(fig), 0))[0]
        sees = (
            moving,
            np.array([left]),
            np.array([190 + 0.75 * _em(fig) * np.ptp(moving.get_ylim()) / moving.bbox.height]),
            "left",
        )
    else:
        sees = bar, np.array([100.0]), np.array([0.4]), "right"
    open_end = ["open end" if name == "fallen off" else "antenna" for name in antennas]
    return (
        [
            *_along(moving, place_m, there, FIRST),
            *_along(moving, place_m, back, SECOND),
            *_along(sums, place_m, np.abs(both), thin),
            *_along(sums, place_m, -np.abs(both), thin),
            *_along(sums, place_m, both, TOGETHER),
            *(
                Part(one, "line", end + [0, 0], np.array([one.get_ylim()[0], top]), Pen(BLACK, width=1.2))
                for one, top in ((moving, 120), (sums, sums.get_ylim()[1]))  # below the line's name
            ),
            Part(moving, "text", end - 0.5, 0 * end, Pen(quiet(), align="right"), ("shack",) * len(end)),
            Part(moving, "text", *name, Pen(BLACK, align="left", size=0.95), tuple(called)),
            Part(ax, "text", np.array([-0.6]), np.array([row]), Pen(quiet(), align="right"), tuple(open_end)),
            Part(*sees[:1], "text", *sees[1:3], Pen(BLACK, align=sees[3], bold=True, size=1.2), tuple(ohms)),
            *_needle(shack, "shack", swr[:, 0]),
            *_needle(far, "antenna", swr[:, 1]),
            *_bar(bar, watts),
        ],
        sums,
    )


def _along(ax, place_m, volts, pen):
    """A curve along the line: its points from the antenna on, and a last short piece to the line's end."""
    grid, end = place_m[:, :-2], place_m[:, -2:]
    inside = grid <= end[:, 1:]
    last = np.arange(len(grid)), inside.sum(axis=1) - 1
    x, y = (np.column_stack([v[:, :-2][last], v[:, -2:]]) for v in (-place_m, volts))
    return [
        Part(ax, "line", -grid[0], np.where(inside, volts[:, :-2], np.nan), pen, smooth=True),
        Part(ax, "line", x, y, pen, smooth=True),
    ]


def _bar(ax, watts):
    """Where 100 W forward go, from the left: antenna, warmth, back; above it what is fed in."""
    arrives, fed = watts[:, :1], 100 - watts[:, 2:]
    whole, none = np.full_like(fed, 100), 0 * fed
    label(ax, 100, 4.6, "forward 100 W", Pen(BLACK), ha="right", va="center")
    ax.plot([0, 0, 100, 100], [3.75, 4.0, 4.0, 3.75], color=quiet(), linewidth=stroke(0.35))
    thin = Pen(quiet(), width=0.35)

    def block(start, stop, pen):
        x = np.concatenate([start, stop, stop, start, start], axis=1)
        return Part(ax, "line", x, np.array([2.25, 2.25, 3.1, 3.1, 2.25]), pen)

    def said(x, y, words, numbers, **look):
        texts = tuple(f"{words} {one:.0f} W" for one in numbers)
        return Part(ax, "text", np.array([x]), np.array([y]), Pen(**look), texts)

    return [
        Part(
            ax, "line", np.concatenate([none, none, fed, fed], axis=1), np.array([3.25, 3.5, 3.5, 3.25]), thin
        ),
        block(none, arrives, replace(FIRST, width=0.4, fill=0.8)),
        block(arrives, fed, Pen(ORANGE, width=0.4, fill=0.25)),
        block(fed, whole, Pen(BLACK, width=0.4)),
        said(0.0, 4.6, "fed in", fed[:, 0], color=BLACK, align="left"),
        said(0.0, 0.4, "antenna", watts[:, 0], color=BLUE, align="left", bold=True, size=1.25),
        said(100.0, 1.5, "back", watts[:, 2], color=BLACK, align="right", size=0.87),
        said(45.0, 1.5, "warmth", watts[:, 1], color=ORANGE, size=0.87),
    ]


def _dial(fig, span, rows):
    """A meter: an arc with the SWRs on it."""
    ax = plot_axes(
        fig,
        x=(-1.5, 1.5),
        y=(-0.6, 1.35),
        span=span,
        rows=rows,
        margins_em=(0.1, 0.1, 0.1, 0.1),
        aspect="equal",
    )
    ax.set_axis_off()
    turn = np.radians(np.arange(0, 181, 3))
    ax.plot(np.cos(turn), np.sin(turn), color=BLACK, linewidth=stroke(0.6))
    for swr in (1, 1.5, 2, 3, 5, np.inf):
        x, y = _pointing(circuit.reflection_of_swr(swr))
        ax.plot([0.9 * x, x], [0.9 * y, y], color=BLACK, linewidth=stroke(0.5))
        label(ax, 1.33 * x, 1.2 * y, _swr(swr).removesuffix(".0"), Pen(BLACK), ha="center", va="center")
    return ax


def _pointing(rho):
    """Where the needle of a meter points: evenly by the share of the volts that comes back."""
    return -np.cos(np.pi * rho), np.sin(np.pi * rho)


def _needle(ax, name, swr):
    """A meter's needle, and what it shows."""
    x, y = _pointing(circuit.reflection_of_swr(swr))
    zero = 0 * column(x)
    return [
        Part(ax, "line", column(x) * [0, 0.95], column(y) * [0, 0.95], Pen(BLACK, width=1.2)),
        Part(
            ax,
            "text",
            zero,
            zero - 0.46,
            Pen(BLACK, bold=True, size=1.25),
            tuple(f"{name} {_swr(one)}" for one in swr),
        ),
    ]
