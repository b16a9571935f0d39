"""Homework 02: the half-wave wire, trimmed and measured."""

from antlab.classroom.homework.problems import Choice, Expression, Given, Mistake, Number, Option, symbols
from antlab.physics import circuit
from antlab.physics.lengths import rule_length_m
from antlab.units import feet

f, f_1, ell, S, R, X = symbols("f f_1 ell S R X")


def lesson(pick):
    """A student's numbers and problems: see problems."""
    mhz = pick("f", 7.1, 10.12, 14.2, 18.12, 21.25, 28.4)
    metres = round(float(rule_length_m(mhz, constant_ft=pick("cut", 470.0, 475.0, 480.0))), 2)
    low_mhz = round(mhz * pick("low", 0.96, 0.965, 0.97, 0.975), 2)
    ohms = pick("R", 38, 42, 60, 66, 72)
    reactance = pick("X", 22, 27, 31, 36, 40)
    ratio = pick("S", 1.6, 1.8, 2.2, 2.5, 3.0)
    givens = (
        Given(f, "frequency wanted", mhz, "MHz", 14, 15),
        Given(f_1, "frequency at which the wire is resonant now", low_mhz, "MHz", 13, 14),
        Given(ell, "length of the whole wire now, end to end", metres, "m", 5, 40),
        Given(S, "SWR at the antenna of a neighbour", ratio, "", 1.2, 5),
        Given(R, "resistance of your antenna at the edge of the band", ohms, "Ω", 20, 100),
        Given(X, "its reactance there", reactance, "Ω", 10, 60),
    )
    off = ell / 2 * (1 - f_1 / f)
    off_cm = 50 * (metres - float(rule_length_m(mhz, constant_ft=float(feet(metres)) * low_mhz)))
    slips = (
        Mistake("both-legs", "the whole wire for one leg", ell * (1 - f_1 / f),
                "That is what the whole wire has too much. It has two legs."),
        Mistake("ratio-over", "ratio of frequencies upside down", ell / 2 * (1 - f / f_1),
                "Length times frequency stays the same. So the new length is ℓ·f_1/f: higher f, shorter "
                "wire."),
        Mistake("new-leg", "the new leg, not what comes off", ell / 2 * f_1 / f,
                "That is how long a leg is to be. How much comes off the one that you have?"),
    )  # fmt: skip
    z = complex(ohms, reactance)
    rho = float(abs(circuit.reflection_coefficient(z)))
    return "a wire, trimmed and measured", givens, {
        "cut-formula": Expression(
            "What to take off each leg", "x", off, slips,
            "Resonant length times frequency stays the same, or nearly so. What is the new length?",
            "The new wire is ℓ·f_1/f long. Take it from ℓ, and share what is left between two legs.",
        ),
        "cut-cm": Number(
            "Centimetres to take off", lambda: off_cm, "cm", slips,
            "Put your numbers into the formula: that gives metres.",
            f"The whole wire should be {metres:g} m times {low_mhz:g}/{mhz:g}. Half of the difference, times "
            "100.",
            tolerance=0.02,
        ),
        "power-back": Expression(
            "Power that comes back", "p", ((S - 1) / (S + 1)) ** 2,
            (
                Mistake("voltage", "voltage for power", (S - 1) / (S + 1),
                        "That is the share of the voltage. Power goes with the square of the voltage."),
                Mistake("goes-on", "what goes on, not what comes back", 1 - ((S - 1) / (S + 1)) ** 2,
                        "That is the share which goes on into the antenna. The question is what comes back."),
            ),
            "Solve S = (1 + ρ)/(1 − ρ) for ρ, the share of the voltage. Then think of power.",
            "S·(1 − ρ) = 1 + ρ gives ρ = (S − 1)/(S + 1). Power is voltage squared.",
        ),
        "edge-swr": Number(
            "SWR at the edge of the band", lambda: circuit.swr(z), "",
            (
                Mistake("rho", "the reflection itself", rho,
                        "That is ρ, the share of the voltage that comes back. SWR is (1 + ρ)/(1 − ρ)."),
                Mistake("resistance-only", "the reactance left out", max(ohms / 50, 50 / ohms),
                        "R/50 is the SWR only where X is nothing. Here it is not."),
                Mistake("size-only", "size of Z over 50", max(abs(z) / 50, 50 / abs(z)),
                        "The size of Z is not enough: the way it leans counts too. Go by ρ = |Z − 50|/|Z + "
                        "50|."),
            ),
            "With Z = R + jX, find ρ = |Z − 50|/|Z + 50| first.",
            f"|Z − 50| = √(({ohms} − 50)² + {reactance}²) and |Z + 50| = √(({ohms} + 50)² + {reactance}²); "
            "their "
            "ratio is ρ. Then (1 + ρ)/(1 − ρ).",
        ),
        "first-cut": Choice(
            "The first cut", lambda: _first_cut(off_cm),
            "Is the wire too long or too short? And what if the rule is not quite right here?",
            "It is resonant too low, so it is too long. Cut wire does not grow back: take less than "
            "computed.",
            pick.shuffled,
        ),
    }  # fmt: skip


def _first_cut(off_cm):
    return "", (
        Option(
            f"Shorten each leg by about {off_cm / 2:.0f} cm, measure, and come nearer step by step: an "
            "end that is cut off does not grow back.",
            remark="And near the ground the rule is only about right."
        ),
        Option(
            f"Lengthen each leg by {off_cm:.0f} cm: the resonance is too low, so the wire is too short, and "
            "wire can be added.",
            "Think of a guitar string: the longer, the lower. Which way must this wire go?",
            "wrong-way", "longer for higher",
        ),
        Option(
            f"Shorten one leg by {2 * off_cm:.0f} cm and leave the other as it is: only the length of the "
            "whole counts.",
            "Then the feed is no longer in the middle: the feed line joins in, and impedance and lobes "
            "change.",
            "one-leg", "one leg for both",
        ),
        Option(
            f"Shorten each leg by {2 * off_cm:.0f} cm at once, since the wire has two legs, and have the "
            "work done in one go.",
            "That takes off twice what the computed answer says, and it can't be put back.",
            "twice", "too much at once",
        ),
    )  # fmt: skip
