"""Homework 10: it does not measure as planned."""

from dataclasses import replace

import numpy as np

from antlab.antenna import design as planning
from antlab.classroom.homework.problems import Choice, Expression, Given, Mistake, Number, Option, symbols
from antlab.engine.shapes import FlatTop

f_1, f_2, C_a, f, f_a, f_b, y = symbols("f_1 f_2 C_a f f_a f_b y")
PAIRS = (("40m", "20m"), ("20m", "10m"))


def lesson(pick):
    """A student's numbers and problems: see problems."""
    made = planning.design(*pick("pair", *PAIRS), shape=FlatTop(height_m=pick("height", 7.5, 9.0, 10.5)))
    trap = made.dipole.trap
    added = pick("C_a", 22, 33, 47, 68)
    loaded_trap = replace(trap, capacitance_pf=trap.capacitance_pf + added)
    alone, loaded = (round(one.resonance_mhz, 3) for one in (trap, loaded_trap))
    cut_cm, extra_m = pick("y", 3, 4, 5), pick("extra", 0.1, 0.12, 0.15, 0.18)
    before, after = (round(resonance_with(made, m), 3) for m in (extra_m, extra_m - cut_cm / 100))
    wanted = round(made.high.f_mhz, 3)
    givens = (
        Given(f_1, "resonance of the trap alone, on the bench", alone, "MHz", 20, 30),
        Given(C_a, "capacitor that you put across it", added, "pF", 10, 100),
        Given(f_2, "resonance with that capacitor", loaded, "MHz", 10, 18),
        Given(f, f"frequency wanted on {made.high.band.label}", wanted, "MHz", 28, 29),
        Given(f_a, "resonance as it was hung", before, "MHz", 26, 27),
        Given(y, "what you then folded back on each inner wire", cut_cm, "cm", 2, 10),
        Given(f_b, "resonance after that", after, "MHz", 27.1, 27.9),
    )
    capacitance = C_a / ((f_1 / f_2) ** 2 - 1)
    traps = (
        Mistake("not-squared", "ratio not squared", C_a / (f_1 / f_2 - 1),
                "C goes with one over the square of f. Square the ratio."),
        Mistake("no-one", "the trap's own C counted in", C_a / (f_1 / f_2) ** 2,
                "(f_1/f_2)² is (C + C_a)/C, which is 1 + C_a/C. Where did the 1 go?"),
        Mistake("both", "trap and capacitor together", capacitance + C_a,
                "That is the trap and the capacitor together. The question is the trap alone."),
    )  # fmt: skip
    more = y * (f - f_b) / (f_b - f_a)
    cuts = (
        Mistake("from-start", "counted from the first measurement", y * (f - f_a) / (f_b - f_a),
                "That is the fold from the start on, the first part included. How much more is it now?"),
        Mistake("whole-way", "share of the whole way", y * (f - f_b) / (f - f_a),
                "Divide by what the first fold did, f_b − f_a, not by the whole way."),
        Mistake("upside", "upside down", y * (f_b - f_a) / (f - f_b),
                "The farther there is to go, the more must be folded: f − f_b belongs above the line."),
    )  # fmt: skip
    return "it does not measure as planned", givens, {
        "own-capacitance": Expression(
            "The trap's own capacitance", "C", capacitance, traps,
            "The coil is the same both times: f_1²·C = f_2²·(C + C_a).",
            "C·(f_1² − f_2²) = f_2²·C_a. Divide by f_2² and by what stands with C.",
        ),
        "own-capacitance-pf": Number(
            "The trap in picofarads", lambda: added / ((alone / loaded) ** 2 - 1), "pF", traps,
            "Put your numbers into the formula.",
            f"(f_1/f_2)² is {(alone / loaded) ** 2:.4f}. Take off 1, and divide {added} pF by what is left.",
        ),
        "more-fold": Expression(
            "What more to fold back", "x", more, cuts,
            "The first fold told you what a centimetre does. What does the rest of the way need?",
            "y centimetres moved it by f_b − f_a. It has f − f_b still to go: a simple proportion.",
        ),
        "more-fold-cm": Number(
            "Centimetres to fold back", lambda: cut_cm * (wanted - after) / (after - before), "cm", cuts,
            "Put your numbers into the formula: that gives metres.",
            f"{cut_cm} cm made {1e3 * (after - before):.0f} kHz, and {1e3 * (wanted - after):.0f} kHz are to "
            "go.",
            tolerance=0.02,
        ),
        "which-first": Choice(
            "Which wire first?", lambda: _order(made),
            "Which band feels the inner wire, and which the outer?",
            "The traps cut off the outer wires on the upper band only. So what you do to the inner wires is "
            "felt on "
            "both bands, and what you do to the outer ones on the lower band alone.",
            pick.shuffled,
        ),
    }  # fmt: skip


def resonance_with(made, more_m):
    """Where the upper band of a Design is resonant, MHz, when each inner wire is so much longer, metres."""
    dipole = replace(made.dipole, inner_m=made.dipole.inner_m + more_m)
    f = made.high.f_mhz * np.linspace(0.95, 1.005, 56)
    x = dipole.impedance(f).imag
    (up,) = np.flatnonzero((x[:-1] < 0) & (x[1:] >= 0))
    return float(f[up] - x[up] * (f[1] - f[0]) / (x[up + 1] - x[up]))


def _order(made):
    inner = [abs(khz) for khz in made.tolerance["inner"]]
    outer = [abs(khz) for khz in made.tolerance["outer"]]
    low, high = (aim.band.label for aim in made.aims)
    return "", (
        Option(
            f"{high} first, by the inner wires; then measure {low} again and trim it by the outer wires.",
            remark=f"A centimetre of inner wire moves {high} by {inner[1]:.0f} kHz and {low} by "
            f"{inner[0]:.0f} kHz; a centimetre of outer wire moves {low} by {outer[0]:.0f} kHz and {high} by "
            f"{outer[1]:.0f} kHz."
        ),
        Option(
            f"{low} first, by the outer wires, and then {high} by the inner ones: from the outside inwards.",
            f"Then the inner wires undo your work on {low}: each of their centimetres moves it by "
            f"{inner[0]:.0f} kHz.",
            "outside-in", "the lower band first",
        ),
        Option(
            f"{high} by the outer wires, for the traps let that band through; then {low} by the inner ones.",
            "On the upper band the trap is the wall. The outer wires hardly feel that band, nor it them.",
            "outer-for-upper", "the trap's part mistaken",
        ),
        Option(
            "Both bands at once, by turns put on the traps or taken off: then no wire has to be cut.",
            "The traps only part the wires. What makes a wire resonant is its length.",
            "by-traps", "traps taken for the tuning",
        ),
    )  # fmt: skip
