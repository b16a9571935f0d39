"""The feed line: a wave runs to the antenna, a part of it comes back, and two meters see two things."""

from dataclasses import replace

import matplotlib as mpl
import numpy as np
from matplotlib.font_manager import FontProperties

from antlab.classroom.drawing.axes import em_of, label, legend, plot_axes
from antlab.classroom.drawing.looks import BLACK, BLUE, ORANGE, quiet, small, stroke
from antlab.classroom.drawing.parts import FIRST, FOURTH, SECOND, Handle, Part, Pen, Scene, column
from antlab.classroom.views.player import Slider, view
from antlab.physics import cable as lines
from antlab.physics import circuit
from antlab.units import feet, power_ratio, wavelength_m

REACH_M = 60
ANTENNAS = {"1": 50.0, "1.5": 75.0, "3": 150.0, "5": 250.0, "fallen off": np.inf}  # ohms, by their SWR
# Times the loss in dB of a new cable; that of an old one into which it rained is common practice, no source.
CONDITIONS = {"new and dry": 1.0, "old and wet": 2.0, "no loss": 0.0}
TOGETHER = replace(FOURTH, dashes=())
# Points of a curve to a wave of 28.5 MHz in the cable, to a longer one more. Of how far it swings, which
# comes twice as often, there are two for each where there is room. Of eight the largest and smallest volts
# at an antenna of plain ohms are among them.
POINTS = 8


@view(
    Slider("Line", "m", 10, REACH_M, REACH_M - 9, 30, digits=0),
    Slider("Antenna SWR", "", 0, len(ANTENNAS) - 1, len(ANTENNAS), 2, words=tuple(ANTENNAS)),
    Slider("Condition", "", 0, len(CONDITIONS) - 1, len(CONDITIONS), 0, words=tuple(CONDITIONS)),
    size=((9.0, 4.7), (3.9, 5.6)), hall=(9.0, 5.6), work="feeding", turn_s=3.0, instants=((0.0,), (0.25,)),
    heard=True, cable=("RG-58", "RG-213"), f_mhz=(28.5, 14.2, 7.1),
)  # fmt: skip
def feed_line(fig, line_m, antenna, condition, *, cable="RG-58", f_mhz=28.5):
    """The feed line, and what two meters see."""
    line, names = lines.cable(cable), [tuple(ANTENNAS)[round(one)] for one in antenna]
    load = np.array([ANTENNAS[name] for name in names])
    wave_m = line.velocity_factor * float(wavelength_m(f_mhz))
    finer = 2 if f_mhz > 20 and _wide(fig) else 1
    step_m = wave_m / (POINTS * max(round(28.5 / f_mhz), finer))
    place_m = step_m * np.arange(REACH_M // step_m + 2 * finer + 1)
    volts = np.empty((2, len(line_m), len(place_m)), complex)
    swr, watts, seen = np.empty((len(line_m), 2)), np.empty((len(line_m), 3)), np.empty(len(line_m), complex)
    for number, times in enumerate(CONDITIONS.values()):
        some = np.round(condition) == number
        as_it_is = losing(line, times)
        volts[:, some], swr[some], watts[some] = _waves(as_it_is, f_mhz, place_m, line_m[some], load[some])
        seen[some] = lines.line_impedance(load[some], cable=as_it_is, length_m=line_m[some], f_mhz=f_mhz)
    watts, ohms = _whole(watts), [_parts(one) for one in seen]
    says = [
        f"SWR {_swr(s[0])} in the shack, {_swr(s[1])} at the antenna. The radio sees {z}\n"
        f"Of 100 W forward {w[2]} W come back. Of the {100 - w[2]} W fed in {w[0]} W reach the antenna"
        for s, w, z in zip(swr, watts, map(" ".join, ohms), strict=True)
    ]
    alt = (
        "A cable from the shack, on the left, to the antenna, on the right. A wave runs to the antenna and "
        "fades on its way; a part of it comes back and fades too. Both together make volts that swing more "
        "at some places than at others. Above, a meter shows the SWR at either end, and a bar where 100 W "
        "go: into the antenna, into the cable's warmth, and back into the shack."
    )
    volts[:, place_m > line_m[:, None] + 2 * finer * step_m] = (
        np.nan
    )  # two points beyond the end lead the curve
    runs = slice(None, None, finer)
    curves = place_m[runs], volts[:, :, runs], place_m, _swing(volts.sum(axis=0))
    picture, handle = _picture(fig, curves, line_m, names, swr, watts, ohms)
    return Scene(picture, says, alt, handles=[handle])


def losing(line, times):
    """The same cable with so many times its loss."""
    losses = ("loss_k0_db", "loss_k1_db", "loss_k2_db")
    return replace(line, **{name: times * getattr(line, name) for name in losses})


def _waves(line, f_mhz, place_m, line_m, load):
    """What is on lines of one cable, 100 W forward.

    place_m: (points,), from the antenna. line_m, load: (rows,), metres and ohms. Returns complex volts
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


def _swing(volts):
    """How far volts swing along each line, (rows, points); with its sign where all of them swing in step.

    Of such a line the curves above and below cross where it is still, and have no corner there.
    """
    turned = volts * np.exp(-1j * np.angle(volts[:, :1]))
    in_step = np.nanmax(np.abs(turned.imag), axis=1, keepdims=True) < 1e-6
    return np.where(in_step, turned.real, np.abs(volts))


def _whole(watts):
    """Watts as they are said: whole ones, whose sum is 100. What the antenna gets takes the rounding.

    watts: (rows, 3), as _waves has them. Returns integers of that shape.
    """
    warmth, back = np.round(watts[:, 1:]).astype(int).T
    return np.stack([100 - back - warmth, warmth, back], axis=1)


def _swr(swr):
    """An SWR as a meter has it."""
    return "∞" if swr > 99 else f"{swr:.1f}"


def _ohms(size):
    """Ohms as they are said, three digits of them at most."""
    if size < 1000:
        return f"{size:.0f} Ω"
    return f"{size / 1e3:.1f} kΩ" if size < 1e5 else "∞ Ω"


def _parts(z):
    """An impedance in words: its resistance, and what it is like beyond that, if it is."""
    beyond = round(z.imag)
    like = "a coil" if beyond > 0 else "a capacitor"
    return (_ohms(abs(z.real)), *([f"and {_ohms(abs(z.imag))} like {like}"] if beyond else []))


def _wide(fig):
    """Whether it is a picture for a wide window."""
    return fig.bbox.width > 1.2 * fig.bbox.height


def _picture(fig, curves, line_m, antennas, swr, watts, ohms):
    """Two meters and a bar of watts above, the waves on the line below.

    curves: places from the antenna and volts there and back, then finer ones and how far both together swing.
    What each of them is stands with _waves. antennas: of ANTENNAS. ohms: what the radio sees, as _parts has
    it. A row each. Returns the parts, and the handle.
    """
    wide = _wide(fig)
    em = mpl.rcParams["font.size"] / 72 * fig.dpi
    tight = wide and fig.bbox.width < 36 * em
    top, middle, low = (0.81, 0.61, 0.31)
    if wide:
        top = middle = 1 - max(0.27, 5.2 * em / fig.bbox.height)
        low = middle / 2 + 0.01
    side = 0.27 if wide else 0.5
    shack, far = (_dial(fig, span, (top, 1)) for span in ((0, side), (1 - side, 1)))
    span, rows = ((side, 1 - side), (top, 1)) if wide else ((0.04, 0.96), (middle, top))
    bar = plot_axes(fig, x=(0, 100), y=(0, 5), span=span, rows=rows, margins_em=(0.2, 0.2, 0.2, 0.2))
    bar.set_axis_off()
    ends = {"x": (-REACH_M - 1, 1), "margins_em": (4.4, 0.8, 1.8 if wide else 3.2, 0.2)}
    moving = plot_axes(fig, y=(-115, 115), yticks=[-100, 0, 100], rows=(low, middle), ylabel="volts", **ends)
    ends["margins_em"] = (4.4, 0.8, 0.4, 1.9 if wide else 3.2)
    sums = plot_axes(fig, y=(-215, 215), yticks=[-200, 0, 200], rows=(0, low), ylabel="together", **ends)
    legend(moving, right=wide, there=FIRST, back=SECOND)
    ticks = np.arange(20, REACH_M + 1, 20)
    between = " " if wide else "\n"
    sums.set_xticks([*-ticks, 0], [*(f"{tick} m{between}({feet(tick):.0f} ft)" for tick in ticks), ""])
    moving.set_xticks([*-ticks, 0], [])
    place_m, (there, back), finer_m, swing = curves
    end = -column(line_m)
    room = 3.8 * em_of(moving)
    for ax in (moving, sums):
        ax.set_xlim(-REACH_M - room, 1)
        ax.axvline(0, color=BLACK, linewidth=stroke(1.2))
    thin = replace(TOGETHER, width=0.4)

    def at(ax, x_em, y_em):
        """A place in an axes' units: x_em from the picture's left side, y_em from the axes' foot or top."""
        y = ax.bbox.y1 if y_em > 0 else ax.bbox.y0
        return (np.array([one]) for one in ax.transData.inverted().transform((x_em * em, y + y_em * em)))

    sees, also = (at(moving, x, 0.85 if wide else 2.2) for x in (12.3, 12.6))
    as_ticks = FontProperties(size=small()).get_size_in_points() / mpl.rcParams["font.size"]
    foot = np.array([1.0]), [*at(sums, 0, -1.0)][1]
    open_end = ["open end" if name == "fallen off" else "antenna" for name in antennas]
    plain = Pen(BLACK, align="left", size=0.82 if tight else 1.0)
    parts = [
        Part(moving, "line", -place_m, there, FIRST, smooth=True, until=end),
        Part(moving, "line", -place_m, back, SECOND, smooth=True, until=end),
        Part(sums, "line", -finer_m, swing, thin, smooth=True, until=end),
        Part(sums, "line", -finer_m, -swing, thin, smooth=True, until=end),
        Part(sums, "line", -place_m, there + back, TOGETHER, smooth=True, until=end),
        *(
            Part(one, "line", end + [0, 0], np.array(one.get_ylim()), Pen(BLACK, width=1.2))
            for one in (moving, sums)
        ),
        Part(moving, "text", end - 0.5, 0 * end, Pen(quiet(), align="right"), ("shack",) * len(end)),
        Part(sums, "text", *foot, Pen(quiet(), align="right", size=as_ticks), tuple(open_end)),
        Part(
            moving, "text", *sees, Pen(BLACK, align="right", bold=True, size=1.2),
            tuple(f"radio sees {plainly}" for plainly, *_ in ohms),
        ),
        Part(moving, "text", *also, plain, tuple("".join(beyond) for _, *beyond in ohms)),
        *_needle(shack, "shack", swr[:, 0]),
        *_needle(far, "antenna", swr[:, 1]),
        *_bar(bar, watts),
    ]  # fmt: skip
    # Held in both charts, by the whole of the shack's line and by its word.
    along = [(moving, 0, 115), (sums, 0, -215)], [(moving, -room, 0), (moving, 0, 0)]
    return parts, Handle("line_m", sums, -line_m, 0.0, along=along)


def _bar(ax, watts):
    """Where 100 W forward go, from the left: antenna, warmth, back; above it what is fed in.

    watts: whole ones, (rows, 3).
    """
    arrives, fed = watts[:, :1], 100 - watts[:, 2:]
    whole, none = np.full_like(fed, 100), 0 * fed
    label(ax, 100, 4.6, "forward 100 W", Pen(BLACK), ha="right", va="center")
    ax.plot([0, 0, 100, 100], [3.75, 4.0, 4.0, 3.75], color=quiet(), linewidth=stroke(0.35))
    thin = Pen(quiet(), width=0.35)

    def block(start, stop, pen):
        x = np.concatenate([start, stop, stop, start, start], axis=1)
        return Part(ax, "line", x, np.array([2.25, 2.25, 3.1, 3.1, 2.25]), pen)

    def said(x, y, words, numbers, **look):
        texts = tuple(f"{words} {one} W" for one in numbers)
        return Part(ax, "text", np.atleast_1d(x), np.array([y]), Pen(**look), texts)

    def wide(words, numbers):
        """How wide such words are at the size of small ones."""
        return 0.53 * em_of(ax) * column([len(f"{words} {one} W") for one in numbers])

    half, room = wide("warmth", watts[:, 1]) / 2, wide("back", watts[:, 2]) + em_of(ax) / 2
    under = np.clip((arrives + fed) / 2, half, 100 - room - half)  # its own piece, as far as there is room

    return [
        Part(
            ax, "line", np.concatenate([none, none, fed, fed], axis=1), np.array([3.25, 3.5, 3.5, 3.25]), thin
        ),
        block(none, arrives, replace(FIRST, width=0.4, fill=0.8)),
        block(arrives, fed, Pen(ORANGE, width=0.4, fill=0.25)),
        block(fed, whole, Pen(BLACK, width=0.4)),
        said(0.0, 4.6, "fed in", fed[:, 0], color=BLACK, align="left"),
        said(0.0, 0.4, "antenna", watts[:, 0], color=BLUE, align="left", bold=True, size=1.2),
        said(100.0, 1.5, "back", watts[:, 2], color=BLACK, align="right", size=0.87),
        said(under, 1.5, "warmth", watts[:, 1], color=ORANGE, size=0.87),
    ]


def _dial(fig, span, rows):
    """A meter: an arc with the SWRs on it."""
    ax = plot_axes(
        fig,
        x=(-1.5, 1.5),
        y=(-0.68, 1.35),
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
        side = "center" if abs(x) < 0.6 else "right" if x < 0 else "left"  # what is beside it keeps off it
        out = 1.33 if side == "center" else 1.16
        label(ax, out * x, 1.2 * y, _swr(swr).removesuffix(".0"), Pen(BLACK), ha=side, va="center")
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
            Pen(BLACK, bold=True, size=1.2),
            tuple(f"{name} {_swr(one)}" for one in swr),
        ),
    ]
