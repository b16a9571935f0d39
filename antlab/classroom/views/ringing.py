"""A coil and a capacitor, plucked: charge, current and energy go to and fro, and it rings down by its Q."""

from dataclasses import replace

import matplotlib as mpl
import numpy as np

from antlab.classroom.drawing.axes import label, plot_axes
from antlab.classroom.drawing.looks import BLACK, GREY, small, stroke
from antlab.classroom.drawing.parts import FIRST, SECOND, THIRD, Handle, Part, Pen, Ring, Scene, column
from antlab.classroom.drawing.schematic import BOWS, capacitor, coil
from antlab.classroom.views.player import Slider, view
from antlab.physics import circuit

SLOW_EYE, SLOW_EAR = 10_000_000, 10_000  # times slower than it is, for the eye and for the ear
LONGEST = 150  # turns, of the chart


@view(
    Slider("Coil", "µH", 0.5, 8, 9, 4, log=True),
    Slider("Capacitor", "pF", 25, 400, 17, 100, log=True, digits=0),
    Slider("Coil's Q", "", 25, 400, 5, 200, log=True, digits=0),
    size=((9.0, 4.6), (3.9, 4.6)), work="winding", turn_s=1.0, instants=((0.0,), (0.25,)),
)  # fmt: skip
def ringing(fig, inductance_uh, capacitance_pf, q):
    """A coil and a capacitor, plucked."""
    f0 = circuit.resonance_mhz(inductance_uh=inductance_uh, capacitance_pf=capacitance_pf)
    loss = -np.log(circuit.ring_left(turns=1, q=q))
    half = np.log(2) / loss
    creeps = np.sqrt(1 - 1 / (4 * q**2))  # its turn is so much slower for its loss
    charge = 1 - 1j * loss / (2 * np.pi)  # it begins full and without a current, also where the loss counts
    current = 1j / creeps
    says = [
        f"{f:.2f} MHz: half the swing (a quarter of the energy) is left after {turns(n)} swings, "
        f"a hundredth of the swing after {turns(m)}.\n"
        f"Seen {SLOW_EYE / 1e6:.0f} million times slower, heard ten thousand times: {hz:.0f} Hz."
        for f, n, m, hz in zip(f0, half, np.log(100) / loss, 1e6 * f0 / SLOW_EAR, strict=True)
    ]
    alt = (
        "A coil beside a capacitor, joined above and below. Charge runs from plate to plate through the coil "
        "and back; a bar shows how energy changes between the two, and sinks. A chart of the swing left "
        "against swings falls off, the faster the smaller the coil's Q; a dashed line shows what is left now."
    )
    parts, handles = _picture(fig, charge, current, f0, loss, half, (inductance_uh, capacitance_pf))
    ring = Ring(f0 * creeps * 1e6 / SLOW_EYE, loss, float(SLOW_EYE / SLOW_EAR))
    return Scene(parts, says, alt, ring=ring, handles=handles)


def turns(number):
    """So many swings, as they are read out."""
    return f"{number:.{0 if number >= 10 else 1}f}"


INK = Pen(BLACK)
ACROSS, UP = np.array([-1, -1, 1, 1, -1]), np.array([0, 1, 1, 0, 0])  # round a bar, from its foot
LEFT, RIGHT, TOP, FLOOR, MIDDLE = 0.28, 0.70, 0.84, 0.06, 0.45  # of the loop, shares of its axes
GAP, REACH, BARS = 0.09, 0.24, (0.06, 0.93)  # between the plates; of what swings; where bars stand
LEADS = np.array([0.13, 0.21, 0.29, 0.61, 0.69, 0.77])  # of the capacitor: where charges rest
ABOVE = np.array([0.46, 0.54, 0.62, 0.70, 0.78])  # of the coil's upper lead, as far as there is one
ASIDE = 0.09  # from the coil to where its end is taken hold of
LOW, DEEP, SWAY = 0.16, 0.06, 0.05  # the coil's lower end, how deep its bows are, how far charges run


def _picture(fig, charge, current, f0_mhz, loss, half, sizes):
    """The circuit, where its energy is, and how long it rings.

    charge, current: of a swing, complex shares of the largest. f0_mhz; loss: nepers a turn; half: turns until
    half is left; sizes: (inductance_uh, capacitance_pf). Each (rows,). Returns parts and handles.
    """
    wide = fig.bbox.width > 1.2 * fig.bbox.height
    spans = ((0, 0.46), (0.46, 0.60), (0.60, 1)) if wide else ((0, 1), (0, 0.3), (0.3, 1))
    rows = ((0, 1),) * 3 if wide else ((0.46, 1), (0, 0.46), (0, 0.46))
    drawn = plot_axes(fig, x=(0, 1), y=(0, 1), span=spans[0], rows=rows[0], margins_em=(0.4, 0.4, 0.2, 0.2))
    drawn.set_axis_off()
    energy = plot_axes(
        fig, x=(0, 1), y=(0, 1.03), span=spans[1], rows=rows[1], yticks=[], margins_em=(0.8, 0.4, 2.9, 3.4),
    )  # fmt: skip
    energy.set_xticks([])
    em = mpl.rcParams["font.size"] / 72 * fig.dpi
    beside = {"textcoords": "offset fontsize", "ha": "center", "va": "center"}
    if energy.bbox.width < 4.5 * em:
        beside["fontsize"] = small()
    for high, word, pen, up in (
        (1, "energy", INK, 2.3),
        (1, "coil", SECOND, 0.9),
        (0, "capacitor", THIRD, -0.9),
    ):
        label(energy, 0.5, high, word, pen, xytext=(0, up), **beside)
    chart = plot_axes(
        fig, x=(0, LONGEST), y=(-1.1, 1.1), xlabel="swings", span=spans[2], rows=rows[2], yticks=[-1, 0, 1],
        yticklabels=["", "", ""], margins_em=(1.4, 1.2, 0.8, 3.4),
    )  # fmt: skip
    chart.grid(visible=False)
    chart.axhline(0, color=GREY, linewidth=stroke(0.4))
    chart.spines["left"].set_bounds(-1.1, 1.1)  # the words above it may be as wide as the chart
    label(chart, LONGEST, -1.05, "dashed:\nwhat is left now", ha="right", va="bottom", fontsize=small())
    over = 3.6 * em  # two lines of words
    chart.set_ylim(-1.1, 1.1 + 2.2 * over / (chart.bbox.height - over))
    parts = [
        *_circuit(drawn, charge, current, f0_mhz, sizes), *_energy(energy, charge, current),
        *_chart(chart, loss, half),
    ]  # fmt: skip
    return parts, [*_grips(drawn, sizes), Handle("q", chart, half, 0.5)]


def _shapes(sizes):
    """Half the width of the plates and the top of the coil, drawn larger for more of it; each (rows, 1)."""
    inductance_uh, capacitance_pf = map(column, sizes)
    share = np.log(capacitance_pf / 25) / np.log(16), np.log(inductance_uh / 0.5) / np.log(16)
    return 0.04 + 0.115 * share[0], 0.38 + 0.34 * share[1]


def _grips(ax, sizes):
    """The upper plate's end is taken hold of, and the coil's upper one, beside it and clear of charges."""
    half, high = _shapes(sizes)
    return [
        Handle("capacitance_pf", ax, LEFT + half[:, 0], MIDDLE + GAP / 2),
        Handle("inductance_uh", ax, RIGHT + ASIDE, high[:, 0], reach_px=40),
    ]


def _circuit(ax, charge, current, f0_mhz, sizes):
    """Both parts and the wires between them, charges that run, and how full and how quick: two bars."""
    half, high = _shapes(sizes)
    wire = Pen(BLACK, width=0.7)
    up, down = MIDDLE + GAP / 2, MIDDLE - GAP / 2
    x = [LEFT, LEFT, RIGHT, RIGHT, np.nan, RIGHT, RIGHT, LEFT, LEFT]
    corners = (up, TOP, TOP, high, 0, LOW, FLOOR, FLOOR, down)
    y = np.concatenate([np.broadcast_to(one, high.shape) for one in corners], axis=1)
    for at, word, ends in ((BARS[0], "charge", "+−"), (BARS[1], "current", "↑↓")):
        edge = {"x": 0.0, "ha": "left"} if at < 0.5 else {"x": 1.0, "ha": "right"}
        label(ax, edge["x"], MIDDLE - REACH - 0.13, word, INK, ha=edge["ha"], va="center")
        for end, sign in zip(ends, (1, -1), strict=True):
            label(ax, at, MIDDLE + sign * (REACH + 0.05), end, INK, ha="center", va="center")
    label(ax, LEFT + 0.04, 0.27, "capacitor", THIRD, va="center")
    label(ax, RIGHT - 0.05, 0.66, "coil", SECOND, ha="right", va="center")
    parts = [
        Part(ax, "line", np.array(x), y, wire),
        Part(ax, "line", *capacitor(LEFT, MIDDLE, half, GAP), replace(THIRD, width=1.6, dashes=())),
        Part(ax, "line", *coil(RIGHT, LOW, high, DEEP), replace(SECOND, dashes=())),
    ]
    # Where the upper plate is full, all charges have run towards it.
    # On the coil they keep to its bows, where these stand upright.
    bow = (high - LOW) / BOWS
    free = np.where(ABOVE > high + SWAY, ABOVE, np.nan)
    for at, places, way in (
        (LEFT, LEADS, -SWAY), (RIGHT, np.hstack([0 * high + (LOW + FLOOR) / 2, free]), SWAY),
        (RIGHT + DEEP, LOW + bow * (0.5 + np.arange(BOWS)), bow / 4),
    ):  # fmt: skip
        y = way + 0j * places
        parts.append(
            Part(ax, "dots", np.full(places.shape[-1], at), y, replace(FIRST, width=0.7), about=places)
        )
    for at, what, pen in ((BARS[0], charge, THIRD), (BARS[1], current, SECOND)):
        x, y = at + 0.03 * ACROSS, REACH * what[:, None] * UP
        filled = replace(pen, dashes=(), fill=0.4, width=0.7)
        parts.append(Part(ax, "line", at + np.array([-0.06, 0.06]), np.full(2, MIDDLE), Pen(GREY, width=0.4)))
        parts.append(Part(ax, "line", x, y, filled, about=MIDDLE))
    said = tuple(f"{f:.2f} MHz" for f in f0_mhz)
    mark = replace(FIRST, bold=True, size=1.7)
    return [*parts, Part(ax, "text", 0 * half + (LEFT + RIGHT) / 2, 0 * half + 0.93, mark, said)]


def _energy(ax, charge, current):
    """A bar: what the capacitor has, and upon it what the coil has. A square swings twice in a turn."""

    def filled(low, high, pen, fill):
        (a, level_a), (b, level_b) = (
            (sum(one[:, None] ** 2 / 2 for one in some), sum(np.abs(one[:, None]) ** 2 / 2 for one in some))
            for some in (low, high)
        )
        pen = replace(pen, dashes=(), fill=fill, width=0.7)
        y, level = a * (1 - UP) + b * UP, level_a * (1 - UP) + level_b * UP
        return Part(ax, "line", 0.5 + 0.4 * ACROSS, y, pen, level=level, order=2)

    nothing = (0 * charge,)
    return [filled(nothing, (charge,), THIRD, 0.4), filled((charge,), (charge, current), SECOND, 0.15)]


def _chart(ax, loss, half):
    """How much of the swing is left, and where half of it is."""
    n = np.linspace(0, 1, 30) ** 2 * LONGEST
    left = np.exp(-loss[:, None] * n)
    at, now = column(half), np.ones((len(loss), 2))
    said = ("half after",) * len(half), tuple(f"{turns(one)} swings" for one in half)
    both = np.concatenate([left, -left[:, ::-1]], axis=1)
    dashed = Pen(BLACK, width=0.6, dashes=(3.0, 1.5))
    return [
        Part(ax, "line", np.r_[n, n[::-1]], both, replace(FIRST, fill=0.25, width=0.7)),
        Part(ax, "line", np.array([0, LONGEST]), 0j * now, dashed, level=now),
        Part(ax, "line", at * [1, 1], np.array([-0.5, 0.5]), Pen(GREY, width=0.5)),
        Part(ax, "dots", at, 0 * at + 0.5, FIRST),
        *(
            Part(ax, "text", 0 * at + LONGEST / 2, 0 * at + up, replace(FIRST, bold=True, size=1.4), words)
            for up, words in zip(np.linspace(1.1, ax.get_ylim()[1], 5)[3::-2], said, strict=True)
        ),
    ]
