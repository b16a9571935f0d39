"""A coil and a capacitor pick one frequency: impedance by the formulas and by the rules."""

from dataclasses import replace

import matplotlib as mpl
import numpy as np

from antlab.classroom.drawing.axes import KILOHMS, two_axes
from antlab.classroom.drawing.looks import BLACK, GREY
from antlab.classroom.drawing.parts import FIRST, SECOND, THIRD, Handle, Part, Pen, Scene, column, words
from antlab.classroom.views.player import Slider, view
from antlab.physics import circuit

START = 4, 100, 200  # µH, pF and Q with which it begins
LARGE = 1.5  # how much larger marks are than plain type
OFF = np.sinh(np.linspace(-4.5, 4.5, 61)) / np.sinh(4.5)  # shares of either side: crowding at the top
Q_LEAST, RULED = 25, 10  # of the slider; from where on the rules hold
SPREAD = (10, 25), (0.2, 0.5, 1.0)  # from so many MHz on the top's chart goes farther, MHz to each side
FAR_RIGHT = 26  # MHz: from there on no word has room right of the needle
TALL = (100e3,), (100e3, 250e3)  # over so many ohms its scale is larger, ohms
ROUND = np.array([1, 1.5, 2, 3, 4, 5, 6, 8, 10])
HELD_OHM, HELD_MHZ = 75, 50  # where the coil's line, and the capacitor's, is taken hold of
WIDE = {
    "x": (1, 60), "y": (5, 1e6), "xlabel": "frequency, MHz", "ylabel": "impedance, Ω", "xscale": "log",
    "yscale": "log", **KILOHMS,
}  # fmt: skip
CLOSE = {
    "x": (-1, 1), "y": (0, 1), "xlabel": "kHz off the resonance", "yticks": [0, 0.5, 1],
    "yticklabels": [""] * 3, "margins_em": (2.6, 0.9, 1.6, 3.4),
}  # fmt: skip
LOW = (  # the same where there is little height: no decade that nothing reaches, and words on one line
    {"y": (5, 1.5e5), "margins_em": (4.8, 1.2, 0.5, 3.2)},
    {"margins_em": (2.6, 0.9, 0.3, 3.2)},
)  # fmt: skip


@view(
    Slider("Coil", "µH", 0.5, 8, 9, START[0], log=True),
    Slider("Capacitor", "pF", 25, 400, 17, START[1], log=True, digits=0),
    Slider("Coil's Q", "", Q_LEAST, 400, 5, START[2], log=True, digits=0),
    size=((9.0, 4.6), (3.9, 5.0), (4.68, 4.15)), work="winding",
)  # fmt: skip
def tuned_circuit(fig, inductance_uh, capacitance_pf, q):
    """A coil and a capacitor pick one frequency."""
    parts = {"inductance_uh": inductance_uh, "capacitance_pf": capacitance_pf}
    f0 = circuit.resonance_mhz(**parts)
    x0 = circuit.coil_reactance_ohm(f_mhz=f0, inductance_uh=inductance_uh)
    # bandwidth_mhz by its rule, also where it fails: the words say so, and the curve by how much
    width = f0 / q
    # Points crowd at the peak: evenly spaced within it, and far away evenly on the logarithmic axis.
    steep = np.sinh(np.linspace(-1, 1, 61) * np.arcsinh(40 * q)[:, None]) / q[:, None]
    f = np.clip(f0[:, None] * (steep / 2 + np.sqrt(steep**2 / 4 + 1)), 0.9, 70)
    side, scale, other = _scales(f0, x0, q)
    near, began = _top(f0, side, q, parts) / scale[:, None], _top(*_began(len(q), side)) / scale[:, None]
    began[q < Q_LEAST] = np.nan
    began[np.isclose(np.stack([inductance_uh, capacitance_pf, q], axis=1), START).all(axis=1)] = np.nan
    says = [
        f"{'Resonance' if c >= RULED else 'By the rules: resonance'} {a:.2f} MHz, where coil and capacitor "
        f"have {b:.0f} Ω each.\nImpedance there {b * c / 1e3:.1f} kΩ, half-power width {d * 1e3:.0f} kHz."
        for a, b, c, d in zip(f0, x0, q, width, strict=True)
    ]
    alt = (
        "Impedance against frequency, twice. First, both axes logarithmic: the coil's reactance rises, the "
        "capacitor's falls; where they cross, the impedance of the pair rises to a peak Q times as high. "
        "Then the peak alone: two dots mark half power by the rule; dashed, to the same scale, the peak "
        "as it was at the start."
    )
    em = mpl.rcParams["font.size"] / 72 * fig.dpi
    low = fig.bbox.width < 1.2 * fig.bbox.height < 34 * em  # one over the other on little paper
    wide, close = two_axes(
        fig, *((one | LOW[i] if low else one) for i, one in enumerate((WIDE, CLOSE))), share=0.52
    )
    drawn = _all(wide, f, _ohms(f, q, parts), f0, x0, q) + _peak(
        close, near, began, side, scale, x0, q, width, other, low
    )
    handles = [
        # On the coil's line, on the capacitor's at its right end, and at half the power.
        Handle("inductance_uh", wide, HELD_OHM * f0 / x0, HELD_OHM),
        Handle("capacitance_pf", wide, HELD_MHZ, f0 * x0 / HELD_MHZ),
        Handle("q", close, width / 2 / side, np.sqrt(0.5) * x0 * q / scale),
    ]
    return Scene(drawn, says, alt, handles=handles)


def _began(rows, side_mhz):
    """What _top takes of the pair with which the view begins, to a side of now."""
    inductance_uh, capacitance_pf, q = (np.full(rows, float(one)) for one in START)
    parts = {"inductance_uh": inductance_uh, "capacitance_pf": capacitance_pf}
    return circuit.resonance_mhz(**parts), side_mhz, q, parts


def _scales(f0_mhz, reactance_ohm, q):
    """How far the chart of the top goes to each side, MHz, its scale, ohms, each (rows,), and words on them.

    They stay while Q is dragged, so that what is narrower or higher looks so; a pair poorer than the slider
    has is shown for its form.
    """
    top, width = reactance_ohm * q, f0_mhz / q
    side, scale = (
        np.array(sizes)[np.searchsorted(edges, one * (1 - 1e-9))]
        for one, (edges, sizes) in ((f0_mhz, SPREAD), (top, TALL))
    )
    poor = q < Q_LEAST
    wide, high = np.where(poor, np.ceil(5 * width), side), np.where(poor, _round(1.25 * top), scale)
    ratios = zip(np.round(scale / high), np.round(wide / side), strict=True)
    other = [("other scale:", f"{a:.0f} × as tall", f"1/{b:.0f} as wide") for a, b in ratios]
    return wide, high, [words if one else ("",) * 3 for words, one in zip(other, poor, strict=True)]


def _top(f0_mhz, side_mhz, q, parts):
    """The pair's impedance OFF a side from its resonance, ohms; NaN below 0.1 MHz."""
    there = f0_mhz[:, None] + OFF * side_mhz[:, None]
    return np.where(there > 0.1, _ohms(np.maximum(there, 0.1), q, parts), np.nan)


def _ohms(f_mhz, q, parts):
    """The pair's impedance, its size, (rows, points)."""
    rows = {name: value[:, None] for name, value in parts.items()}
    return np.abs(circuit.parallel_impedance(f_mhz=f_mhz, q=q[:, None], **rows))


def _all(ax, f_mhz, impedance_ohm, resonance_mhz, reactance_ohm, q):
    """Impedance over all frequencies, and the reactance of either part; returns the parts.

    f_mhz, impedance_ohm: (rows, points). resonance_mhz, reactance_ohm (of either part there), q: (rows,).
    """
    ax.minorticks_off()
    ax.set_xticks([1, 2, 5, 10, 20, 50], ["1", "2", "5", "10", "20", "50"])
    x, y = np.array(ax.get_xlim()), ax.get_ylim()
    f0, x0, peak = column(resonance_mhz), column(reactance_ohm), column(reactance_ohm * q)
    said = [f"{_rule(one)}{f:.2f} MHz" for f, one in zip(resonance_mhz, q, strict=True)]
    em = LARGE * mpl.rcParams["font.size"] / 72 * ax.figure.dpi * np.log10(x[1] / x[0]) / ax.bbox.width
    edge = em * (0.36 * np.array([len(text) for text in said]))  # within it the mark has room
    # Right of the needle, over its line where that is near; where no room is, over the line's beginning.
    named = np.where(f0 < FAR_RIGHT, np.clip(2.2 * f0, 30, 46), 4)
    lifted = np.where(2.2 * f0 < 30, 1, np.where(f0 < FAR_RIGHT, 2, 3))
    place = np.clip(f0, column(x[0] * 10**edge), column(x[1] / 10**edge))
    return [
        Part(ax, "line", x, x0 * x / f0, replace(SECOND, width=0.7)),
        Part(ax, "line", x, x0 * f0 / x, replace(THIRD, width=0.7)),
        *words(ax, named, x0 * named / f0 * lifted, "coil", SECOND),
        # Left of the needle, or where that stands far to the left between the two lines.
        *words(
            ax,
            np.where(f0 < 6, 24, 2.7),
            x0 * np.where(f0 < 6, 1.1, f0 / 2.7),
            "capacitor",
            THIRD,
        ),
        Part(ax, "line", f0 + [0, 0], peak ** [0, 1] * y[0] ** np.array([1, 0]), Pen(GREY, width=0.5)),
        Part(ax, "line", f_mhz, impedance_ohm, FIRST),
        Part(ax, "text", place, 0 * place + 11, replace(FIRST, bold=True, size=LARGE), tuple(said)),
    ]


def _peak(ax, near, began, side_mhz, scale_ohm, reactance_ohm, q, width_mhz, other, low):
    """The peak alone, and by the rule how high it is and where half the power is; returns the parts.

    near, began: impedance as share of the scale, now and at the start, (rows, points at OFF), NaN where the
    two are the same. side_mhz, scale_ohm: how far the axes go. other: words on these, where they are others
    than usual, then the axis counts megahertz: three for each row. low: whether there is little height.
    The rest (rows,), as in _all.
    """
    ax.set_xticks([0], [""])
    poor = q < Q_LEAST  # on paper alone
    unit = 1.0 if poor.all() else 1e3
    if unit == 1:
        ax.set_xlabel("MHz off the resonance")
    ax.xaxis.labelpad = 1.1 * mpl.rcParams["font.size"]  # room for numbers that move
    zero, half = column(0 * q), np.sqrt(0.5) * column(reactance_ohm * q / scale_ohm)
    dots = column(width_mhz / side_mhz) * [-0.5, 0.5]
    ends = column(_round(0.75 * unit * side_mhz))  # where words have room
    at = ends / column(unit * side_mhz) * [-1, 1]
    em = mpl.rcParams["font.size"] / 72 * ax.figure.dpi / ax.bbox.height
    marks = [
        [f"{_rule(one)}{x * one / 1e3:.1f} kΩ" for x, one in zip(reactance_ohm, q, strict=True)],
        [f"{_width(width)} wide" for width in width_mhz],
    ]
    aside, pens = (0.0, 0.0), [replace(FIRST, bold=True, size=LARGE)] * 2
    if low:  # beside each other, as large as they have room
        room, longest = ax.bbox.width / ax.bbox.height / em, max(map(len, sum(marks, [])))
        size = min(LARGE, room / 1.32 / (longest + 0.5))
        aside = -0.03, 0.03
        pens = [replace(pens[0], size=size, align=side) for side in ("right", "left")]
    top = 1.05 / (1 - (2.2 if low else 4.2) * em)  # room for the lines over the scale
    ax.set_ylim(0, top)
    em *= top
    beside = 0.95 - 0.9 * em  # of the words left and right, under those lines
    over = top - 1.1 * em, top - (1.1 if low else 3.1) * em
    differ = np.where(np.isfinite(began).any(axis=1), 0, np.nan)[:, None]
    kilo = scale_ohm / 1e3
    quiet = Pen(GREY, align="left")
    dotted = ("dots: half", "the power") if (q >= RULED).all() else ("dots: what", "the rule says")
    return [
        Part(ax, "line", dots[:, [0, 0, 1, 1]], half * np.array([0, 1, 1, 0]), Pen(GREY, width=0.5)),
        Part(ax, "line", OFF, near, FIRST),
        Part(ax, "line", OFF, began, Pen(BLACK, width=0.6, dashes=(4.0, 2.5))),
        *(
            Part(ax, "text", zero + x, y + up * em, pen, (said,) * len(q))
            for x, y, pen, lines in (
                (-0.97, differ + beside, quiet, ("dashed: at", "the start")),
                (0.98, zero + beside, replace(quiet, align="right"), dotted),
            )
            for up, said in zip((0.6, -0.6), lines, strict=True)
        ),
        *(
            Part(ax, "text", zero - 0.98, zero + beside + up * em, quiet, said)
            for up, said in zip((0.6, -0.5, -1.6), zip(*other, strict=True), strict=True)
            if any(said)
        ),
        Part(ax, "dots", dots, half + 0 * dots, replace(FIRST, width=0.8)),
        *(
            Part(ax, "text", zero + x, zero + y, pen, tuple(said))
            for x, y, pen, said in zip(aside, over, pens, marks, strict=True)
        ),
        *(
            Part(ax, "line", x, em * np.array([0, 0.3]), Pen(BLACK, width=0.3))
            for x in (at[:, :1] * [1, 1], at[:, 1:] * [1, 1])
        ),
        *(
            Part(ax, "text", x, zero - 0.8 * em, Pen(BLACK, size=0.96), tuple(said))
            for x, said in (
                (at[:, :1], [f"−{one:.0f}" for one in ends[:, 0]]),
                (zero, ["0"] * len(q)),
                (at[:, 1:], [f"+{one:.0f}" for one in ends[:, 0]]),
            )
        ),
        *(
            Part(ax, "text", zero - 1.04, zero + y, Pen(BLACK, size=0.96, align="right"), tuple(said))
            for y, said in (
                (0.0, ["0"] * len(q)),
                (0.5, [f"{one / 2:g}" for one in kilo]),
                (1.0, [f"{one:g}" for one in kilo]),
                (1.0 + 1.3 * em, ["kΩ"] * len(q)),
            )
        ),
    ]


def _round(khz):
    """The largest of the ROUND numbers, with their noughts, that is not over a number; shape as khz."""
    ten = 10 ** np.floor(np.log10(khz))
    return ten * ROUND[np.searchsorted(ROUND, khz / ten, side="right") - 1]


def _width(mhz):
    """A width, as it is read out."""
    return f"{mhz:.1f} MHz" if mhz >= 1 else f"{1e3 * mhz:.0f} kHz"


def _rule(q):
    """What stands before a number that is the rule's alone."""
    return "" if q >= RULED else "rule: "
