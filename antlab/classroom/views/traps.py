"""Traps to drag and to print: which one for two bands, turns on a pipe, two ways to join a cable's ends."""

from dataclasses import replace
from functools import lru_cache
from itertools import product

import matplotlib as mpl
import numpy as np
from matplotlib import pyplot as plt

from antlab.antenna.design import design, span_under
from antlab.classroom.drawing import draw
from antlab.classroom.views.player import Slider, view
from antlab.engine.shapes import FlatTop
from antlab.physics import circuit
from antlab.physics.bands import band
from antlab.physics.cable import cable as known_cable
from antlab.physics.trap import TIGHTEST_FORM, CoaxTrap, Trap
from antlab.units import feet

HANGS = FlatTop(height_m=9)  # as the course's example, and its frequencies:
AIMS = {"low": "20m", "high": "10m", "low_mhz": 14.175, "high_mhz": 28.5}
COIL_UH, TUNED_MHZ = (1.0, 5.0), (26.5, 28.5)
NEAR_MHZ = np.linspace(13.6, 14.75, 47), np.linspace(27.8, 29.7, 41)
KNOTS = 5, 3  # coils and tunings that are truly solved; between them within 1 % in SWR


@lru_cache(maxsize=1)
def _solved_anew():
    """The course's example solved for a few other traps: Chebyshev coefficients over coil and tuning.

    Columns: inner and outer wire, loss on either band, volts on either band, impedance over both bands.
    """
    knots = list(product(*(np.cos(np.pi * (np.arange(n) + 0.5) / n) for n in KNOTS)))
    rows = []
    for coil, tuned in knots:
        uh = COIL_UH[0] * (COIL_UH[1] / COIL_UH[0]) ** ((coil + 1) / 2)
        f = np.interp(tuned, (-1, 1), TUNED_MHZ)
        trap = Trap(inductance_uh=uh, capacitance_pf=circuit.capacitance_for_pf(f_mhz=f, inductance_uh=uh))
        made = design(shape=HANGS, trap=trap, **AIMS)
        lost = [1 - made.efficiency(aim) for aim in made.aims]
        volts = [made.stress(aim).volts_peak for aim in made.aims]
        z = made.dipole.impedance(np.concatenate(NEAR_MHZ))
        rows.append(np.r_[made.dipole.inner_m, made.dipole.outer_m, lost, volts, z])
    basis = np.polynomial.chebyshev.chebvander2d(*np.transpose(knots), [n - 1 for n in KNOTS])
    return np.linalg.solve(basis, np.array(rows))


@view(
    Slider("Coil", "µH", *COIL_UH, 37, 1.25, log=True, digits=2),
    Slider("Trap tuned to", "MHz", *TUNED_MHZ, 21, 28.5),
    size=((9.0, 3.3), (3.9, 4.2)),
    work="winding",
)
def trap_choice(fig, inductance_uh, tuned_mhz):
    """Which trap for two bands.

    The course's example solved anew for each trap of Q 200: 9 m up, resonant on 14.175 and 28.5 MHz.
    """
    coil = 2 * np.log(inductance_uh / COIL_UH[0]) / np.log(COIL_UH[1] / COIL_UH[0]) - 1
    tuned = np.interp(tuned_mhz, TUNED_MHZ, (-1, 1))
    solved = np.polynomial.chebyshev.chebvander2d(coil, tuned, [n - 1 for n in KNOTS]) @ _solved_anew()
    z = np.maximum(solved[:, 6:].real, 0) + 1j * solved[:, 6:].imag
    low, high = np.split(circuit.swr(z), [len(NEAR_MHZ[0])], axis=1)
    widths = [span_under(NEAR_MHZ[0], row, 2).width_khz for row in low]
    names = [band(AIMS[side]).label for side in ("low", "high")]
    says = [
        f"Each side {a:.2f} + {b:.2f} m ({feet(a):.1f} + {feet(b):.1f} ft); {names[0]}: SWR 2 or less over "
        f"{w:.0f} kHz\nLost as heat: {names[0]} {100 * c:.1f} %, {names[1]} {100 * d:.1f} %; on a trap at "
        f"100 W: {e:.0f} and {f:.0f} V peak"
        for (a, b, c, d, e, f), w in zip(solved[:, :6].real, widths, strict=True)
    ]
    alt = (
        f"SWR against frequency, {names[0]} and {names[1]}, of a trap dipole solved anew for each trap. A "
        "larger coil narrows the lower band and widens the upper one."
    )
    sweeps = list(zip(NEAR_MHZ, (low, high), strict=True))
    return draw.Scene(draw.swr_bands(fig, sweeps, names), says, alt)


ON_PIPES = ("RG-58", "RG-174", "RG-8X", "RG-213", "RG-59")


def _pipe_and_turns(cable, **_):
    thinnest = np.ceil(1.1 * TIGHTEST_FORM * known_cable(cable).outer_mm)
    step = max(round(thinnest / 18), 1)
    return [
        Slider("Pipe", "mm", thinnest, thinnest + 30 * step, 31, thinnest),
        Slider("Cable", "turns", 2.5, 14, 24, 4),
    ]


@view(
    _pipe_and_turns, size=((9.0, 3.3), (3.9, 4.2)), cable=ON_PIPES, hookup=("series", "braid"), work="winding"
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
        f"{one.winding_length_mm:.0f} mm"
        for one, f, other in zip(wound, resonance, wider, strict=True)
    ]
    curve = {
        pipe: [CoaxTrap(form_diameter_mm=pipe, turns=n, **kind).resonance_mhz for n in counts.values]
        for pipe in np.unique(form_diameter_mm)
    }
    over = counts.values, np.array([curve[pipe] for pipe in form_diameter_mm])
    parts = _on_a_pipe(fig, form_diameter_mm, turns, (wound[0].pitch_mm, pipes.stop), over, resonance)
    alt = (
        "Left: a pipe with turns of cable side by side, drawn to scale. Right: the resonance falls as the "
        "turns grow, with the middle of four bands marked."
    )
    return draw.Scene(parts, says, alt)


def _on_a_pipe(fig, form_mm, turns, size_mm, over, resonance_mhz):
    """A pipe with turns of coax on it, to scale, and the resonance against the turns on that pipe.

    form_mm, turns, resonance_mhz: (rows,). size_mm: thickness of the cable, and of the thickest pipe. over:
    turns (points,), and their resonance on each pipe, MHz (rows, points). Returns the parts.
    """
    thick, thickest = size_mm
    most = int(over[0][-1])
    long, high = (most + 4) * thick, thickest + 7 * thick
    ticks = [3, 5, 10, 20, 30, 50]
    pipe, curve = draw.two_axes(
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
    pipe.plot([0, 20], [foot, foot], color=draw.BLACK, linewidth=draw.stroke(0.8))
    draw.label(pipe, 10, foot - 0.4 * thick, "20 mm", ha="center", va="top", fontsize=draw.small())
    curve.minorticks_off()
    for one in map(band, ("80m", "40m", "20m", "10m")):
        f_mhz = one.middle_mhz
        curve.axhline(f_mhz, color=draw.GREY, linewidth=draw.stroke(0.4))
        draw.label(curve, over[0][-1], f_mhz, f" {one.label}", va="center", fontsize=draw.small())
    radius, n = draw.column(form_mm) / 2, draw.column(turns)
    # of each turn the front half is seen: it climbs half a pitch across the pipe
    at = np.arange(most) + 0 * n
    x = np.stack([at + 0.25, at + 0.75, at], axis=2) * thick
    y = np.stack([-1 + 0 * at, 1 + 0 * at, at + np.nan], axis=2) * (radius + thick / 2)[:, :, None]
    y[at >= n] = np.nan
    width = 0.85 * thick / long * pipe.bbox.width * 72 / fig.dpi / mpl.rcParams["lines.linewidth"]
    ends = np.array([-1.5, -1.5, most + 1.5, most + 1.5, -1.5]) * thick
    return [
        draw.Part(pipe, "line", ends, radius * [-1, 1, 1, -1, -1], draw.Pen(draw.BLACK, width=0.5, fill=0.1)),
        draw.Part(pipe, "line", x.reshape(len(n), -1), y.reshape(len(n), -1), draw.Pen(draw.BLUE, width)),
        draw.Part(curve, "line", *over, draw.FIRST),
        draw.Part(curve, "dots", n, draw.column(resonance_mhz), draw.Pen(draw.BLACK)),
    ]


def hookups():
    """The cable of a trap rolled out straight, joined both ways, with the volts at its four ends.

    Returns fig and the two axes.
    """
    with mpl.rc_context(draw.on_paper()):
        fig, axes = plt.subplots(2, figsize=draw.inches(7.8, 4.6), layout="constrained")
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
            ax.plot([0, 1], [1, 1], color=draw.BLUE)
            braid = {"color": draw.ORANGE, "linestyle": (0, draw.SECOND.dashes)}
            ax.plot([0, 1], [0, 0], linewidth=draw.stroke(1.8), **braid)
            draw.label(ax, 0.2, 1.08, "centre", draw.FIRST, ha="center", va="bottom")
            draw.label(ax, 0.2, -0.1, "braid", draw.SECOND, ha="center", va="top")
            draw.label(ax, 0.5, 0.5, f"{between}, all along", ha="center", va="center")
            for (x, y), volt in zip(((0, 1), (1, 1), (0, 0), (1, 0)), volts, strict=True):
                ax.plot(x, y, "o", color=draw.BLACK, markersize=draw.stroke(2.3))
                draw.label(
                    ax, x + (0.02 if x else -0.02), y + 0.1, volt, draw.FOURTH, ha="left" if x else "right",
                    va="bottom", fontweight="bold",
                )  # fmt: skip
            joint = [1, 1.1, 1.1, -0.1, -0.1, 0], [1, 1, -0.55, -0.55, 0, 0]
            ax.plot(*joint, color=draw.BLACK, linewidth=draw.stroke(0.55))
            draw.label(ax, 0.5, -0.5, "the joint", ha="center", va="bottom", fontsize=draw.small())
            for x, y in antenna:
                side = 1 if x else -1
                crosses = x == 1  # the joint's wire runs there too: go out a little lower
                lead = [x, x + 0.24 * side], [y, y - 0.28 * crosses]
                ax.plot(*lead, color=draw.GREY, linewidth=draw.stroke(1.4))
                draw.label(
                    ax, x + 0.27 * side, y - 0.28 * crosses + 0.12, "antenna", ha="center", va="bottom"
                )
    return fig, list(axes)
