"""Homework 04: a trap wound from coax."""

from dataclasses import replace

from sympy import pi, sqrt

from antlab.antenna import design as planning
from antlab.antenna import safety
from antlab.classroom.homework.problems import Choice, Expression, Given, Mistake, Number, Option, symbols
from antlab.engine.shapes import FlatTop
from antlab.physics.trap import CoaxTrap, design_coax_trap

f, e, N, D, d, p, L, C, V = symbols("f e N D d p L C V")
TRAPS = (
    ("40m", "20m", "RG-58", 40), ("40m", "20m", "RG-58", 50), ("40m", "20m", "RG-223", 50),
    ("20m", "10m", "RG-58", 32), ("20m", "10m", "RG-58", 40), ("20m", "10m", "RG-174", 25),
    ("40m", "20m", "RG-8X", 50), ("80m", "40m", "RG-58", 50), ("80m", "40m", "RG-8X", 50),
)  # fmt: skip
PIGTAIL_MM = 50
NEAR_END = 0.53  # of a trap's volts, in series; none of TRAPS has more


def lesson(pick):
    """A student's numbers and problems: see problems."""
    low, high, cable, form_mm = pick("trap", *TRAPS)
    mhz = {"40m": 7.1, "20m": 14.2, "10m": 28.4}[high]
    tuned = design_coax_trap(f_mhz=mhz, cable=cable, form_diameter_mm=form_mm, pigtail_mm=PIGTAIL_MM)
    wound = tuned.rounded(0.5)
    plain = replace(wound, hookup="braid").trap
    watts = pick("power", 100, 400, 1000, 1500)
    made = planning.design(low, high, shape=FlatTop(height_m=7.5), trap=tuned, power_w=watts, high_mhz=mhz)
    volts = round(float(made.stress(made.high).volts_peak) / 2**0.5, -1)
    outer_mm = wound.cable.outer_mm
    more = pick("e", 2, 3, 4, 5)
    givens = (
        Given(L, "inductance of the winding, across the braid", round(plain.inductance_uh, 3), "µH", 0.3, 3),
        Given(C, "capacitance of its cable, centre to braid", round(plain.capacitance_pf, 1), "pF", 50, 300),
        Given(N, f"turns of {wound.cable.name}", wound.turns, "", 2, 20),
        Given(D, "diameter of the pipe, outside", form_mm, "mm", 20, 60),
        Given(d, "diameter of the cable, over the jacket", outer_mm, "mm", 2, 7),
        Given(p, "free cable at each end", PIGTAIL_MM, "mm", 30, 100),
        Given(f, "frequency that the trap was meant for", mhz, "MHz", 7, 30),
        Given(e, "what the cable has more of C than its data sheet says", more, "%", 1, 10),
        Given(V, f"voltage across the trap at {watts} W, as a meter shows it (rms)", volts, "V", 100, 5000),
    )
    turn = sqrt((pi * (D + d)) ** 2 + d**2)
    return "a trap wound from coax", givens, {
        "series-hookup": Expression(
            "The series hook-up", "X", 4 * sqrt(L / C),
            (
                Mistake("plain", "the braid hook-up", sqrt(L / C),
                        "That is the reactance across the braid. In the series hook-up L becomes 4·L and C "
                        "becomes C/4."),
                Mistake("one-of-two", "only one of the two changed", 2 * sqrt(L / C),
                        "You changed L or C, not both. In the series hook-up L becomes 4·L and C becomes "
                        "C/4."),
                Mistake("no-root", "the root left out", 16 * L / C,
                        "4·L over C/4 is 16·L/C, and the reactance is the root of that."),
            ),
            "At resonance the reactance of either part is √(L/C). What are L and C in the series hook-up?",
            "√(4L/(C/4)) = √(16·L/C). The root of 16 comes out in front.",
        ),
        "cable-length": Number(
            "Cable to cut", wound.cable_length_m, "m",
            (
                Mistake("pipe-only", "the cable's own thickness left out",
                        N * sqrt((pi * D) ** 2 + d**2) + 2 * p,
                        "The middle of the cable runs half its thickness outside the pipe, all around. So "
                        "the "
                        "circle is D + d wide."),
                Mistake("no-ends", "free ends left out", N * turn,
                        "Now you have the cable on the pipe. The free ends need cable too."),
                Mistake("one-end", "one free end for two", N * turn + p, "The cable has two ends."),
                Mistake("radius", "diameter for radius", N * sqrt((2 * pi * (D + d)) ** 2 + d**2) + 2 * p,
                        "Around a circle it is π times the diameter, or 2π times the radius."),
            ),
            "Unroll one turn: a right triangle, as high as the cable is thick, as long as the circle around.",
            f"One turn is √((π·({form_mm} + {outer_mm:g}))² + {outer_mm:g}²) millimetres. Times "
            f"{wound.turns:g} turns, and two free ends of {PIGTAIL_MM} mm.",
            tolerance=0.005,
        ),
        "more-capacitance": Expression(
            "A cable with more capacitance", "f_1", f / sqrt(1 + e),
            (
                Mistake("no-root", "the root left out", f / (1 + e),
                        "f goes with one over the root of C. Twice the C does not mean half the f."),
                Mistake("up", "the wrong way", f * sqrt(1 + e), "More capacitance tunes lower, not higher."),
                Mistake("first-order", "a good guess, not the formula", f * (1 - e / 2),
                        "Good for a small e, and quick in the head. The question asks for the formula "
                        "itself."),
            ),
            "f is 1/(2π√(LC)). Put C·(1 + e) in the place of C and divide by the old f.",
            "1/(2π√(L·C·(1 + e))) = f/√(1 + e): all else is in f already.",
        ),
        "cable-volts": Number(
            "Volts inside the cable", 2**0.5 * volts * NEAR_END, "V",
            (
                Mistake("whole", "the whole trap's voltage", sqrt(2) * V,
                        "Right for the whole trap, peak. In the series hook-up the cable bears a little over "
                        "half of it between centre and braid."),
                Mistake("half", "an even half", sqrt(2) * V / 2,
                        "That is the mean along the cable. Its near end bears a little more: the share is in "
                        "the question."),
                Mistake("rms", "rms for peak", V * NEAR_END,
                        "That is rms. The insulation feels the peak, √2 times as much."),
                Mistake("untouched", "the trap's voltage, rms", V,
                        "Two things are still to do: from rms to peak, and from the whole trap to its "
                        "cable."),
            ),
            "From rms to peak, and from the whole trap to what lies between centre and braid.",
            f"Peak is √2·{volts:g} V. In the series hook-up the near end bears {NEAR_END} of that.",
        ),
        "cable-rating": Choice(
            "Will the cable stand it?", lambda: _stands(wound, volts, watts),
            "Compare peak with peak, and ask what is left for rain and a tight bend.",
            "The rating in volts rms times √2 is the peak that is allowed. Divide it by the peak in the "
            "cable; "
            "two or more is wise.",
            pick.shuffled,
        ),
    }  # fmt: skip


def _stands(wound: CoaxTrap, volts, watts):
    rated = 2**0.5 * wound.cable.max_volts_rms
    check = safety.VoltsCheck(volts_peak=2**0.5 * volts * NEAR_END, allowed_peak=rated)
    task = f"{wound.cable.name} is rated for {wound.cable.max_volts_rms:g} V rms."
    wind = (
        f"Wind it for {watts} W. The margin is two or more, enough for wet weather and tight bends.",
        "Divide the rating by the voltage, peak by peak. Is two left, for rain and tight bends?",
        "too-close", "margin below two accepted",
    )  # fmt: skip
    wait = (
        f"Not for {watts} W: the margin is under two. Less power, or a cable with a higher rating.",
        "Divide the rating by the voltage, peak by peak. The margin is better than you say.",
        "too-careful", "a good margin refused",
    )  # fmt: skip
    right, wrong = (wind, wait) if check.margin >= 2 else (wait, wind)
    return task, (
        Option(right[0]),
        Option(*wrong),
        Option(
            "Wind it for any power: it is the jacket that is rated, and that is far from the current.",
            "The rating is for the insulation between centre and braid. That is where the trap's voltage "
            "lies.",
            "jacket", "rating taken for the jacket's",
        ),
        Option(
            f"Wind it for {watts} W and fill the pipe with foam: that insulates the turns better.",
            "The voltage that counts lies inside the cable, between centre and braid. Foam does nothing "
            "there.",
            "foam", "insulation in the wrong place",
        ),
    )  # fmt: skip
