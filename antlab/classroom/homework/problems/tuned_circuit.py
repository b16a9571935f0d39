"""Homework 01: a coil, a capacitor, one frequency."""

from sympy import pi, sqrt

from antlab.classroom.homework.problems import Choice, Expression, Given, Mistake, Number, Option, symbols
from antlab.physics import circuit

f, L, Q = symbols("f L Q")
DRAWER_PF = (22, 27, 33, 39, 47, 56, 68, 82, 100, 120, 150, 180, 220, 270)  # the E12 row, IEC 60063


def lesson(pick):
    """A student's numbers and problems: see problems."""
    mhz, microhenries = pick("circuit", *_CIRCUITS)
    q = pick("Q", 120, 150, 180, 200, 220, 250)
    needed_pf = float(circuit.capacitance_for_pf(f_mhz=mhz, inductance_uh=microhenries))
    givens = (
        Given(f, "frequency that the circuit is to pick", mhz, "MHz", 3, 30),
        Given(L, "inductance of the coil", microhenries, "µH", 0.5, 10),
        Given(Q, "quality factor of the coil", q, "", 50, 300),
    )
    slips = (
        Mistake("two-pi", "2π left out", 1 / (f**2 * L),
                "The reactances hold 2πf, not f alone: ω = 2πf. Look for the place where 2π got lost."),
        Mistake("not-squared", "2πf not squared", 1 / (2 * pi * f * L),
                "2πf stands on both sides of the equation, once in each reactance. So it comes out squared."),
        Mistake("coil-lost", "the coil left out", 1 / (2 * pi * f) ** 2,
                "Your answer would be the same for every coil. Where did L go?"),
        Mistake("rooted", "a root where none belongs", 1 / (2 * pi * f * sqrt(L)),
                "The root belongs to the formula for f. Solved for C it is gone again: square both sides."),
    )  # fmt: skip
    resistance = Expression(
        "Resistance of the pair at resonance", "R", Q * 2 * pi * f * L,
        (
            Mistake("series-loss", "series loss for parallel resistance", 2 * pi * f * L / Q,
                    "That is the small loss resistance inside the coil. The pair turns it round: it shows Q "
                    "times the reactance, not a Q-th of it."),
            Mistake("reactance", "Q left out", 2 * pi * f * L,
                    "That is the reactance of the coil alone. At resonance the pair shows Q times as much."),
        ),
        "First the reactance of the coil at f, then what Q does to it.",
        "The coil's reactance is 2πfL. Across the pair you meet Q times that.",
    )  # fmt: skip
    width = Number(
        "Width of the circuit", lambda: 1e3 * circuit.bandwidth_mhz(f_mhz=mhz, q=q), "kHz",
        (
            Mistake("one-side", "half the width", f / (2 * Q),
                    "That is how far the edge lies from the middle. The width goes from edge to edge."),
            Mistake("times", "multiplied by Q", f * Q,
                    "A better circuit is narrower: Q divides."),
        ),
        "A high Q picks sharply: the width shrinks as Q grows.",
        f"The width between the half-power points is f/Q. Your f is {mhz:g} MHz = {1e3 * mhz:g} kHz; divide "
        "it "
        f"by {q}.",
    )  # fmt: skip
    return "a coil, a capacitor, one frequency", givens, {
        "capacitor-formula": Expression(
            "The capacitor as a formula", "C", 1 / ((2 * pi * f) ** 2 * L), slips,
            "At resonance coil and capacitor have the same reactance. Write that as an equation and solve "
            "for C.",
            "2πfL = 1/(2πfC). Multiply both sides by C, then divide both sides by 2πfL.",
        ),
        "capacitor-pf": Number(
            "The capacitor in picofarads", lambda: needed_pf, "pF", slips,
            "Put your numbers into the formula: expression.subs(hw.values) gives farads.",
            f"With f = {1e6 * mhz:g} Hz, 2πf = {2e6 * float(pi) * mhz:.4g}; square it, multiply by "
            f"L = {1e-6 * microhenries:g} H, take one over that, and turn farads into picofarads: times "
            "10¹².",
        ),
        "resistance": resistance,
        "width": width,
        "drawer": Choice(
            "The capacitor from the drawer", lambda: _drawer(mhz, microhenries, q, needed_pf),
            "What does f do when the coil is stretched, and L gets smaller?",
            "Stretching lowers L, and f = 1/(2π√(LC)) goes up. So begin with a circuit that is tuned too "
            "low.",
            pick.shuffled,
        ),
    }, {"f_0": f, "omega": 2 * pi * f}  # fmt: skip


def _neighbours(needed_pf):
    return max(c for c in DRAWER_PF if c <= needed_pf), min(c for c in DRAWER_PF if c > needed_pf)


def _circuits():
    """Pairs of a frequency and a coil whose capacitor is no value of the drawer."""
    for mhz in (7.1, 10.1, 14.2, 18.1, 21.2, 24.9, 28.4):
        for microhenries in (0.82, 1.0, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3, 3.9, 4.7, 5.6, 6.8):
            needed = circuit.capacitance_for_pf(f_mhz=mhz, inductance_uh=microhenries)
            if 24 < needed < 260:
                below, above = _neighbours(needed)
                if min(needed / below, above / needed) > 1.04:
                    yield mhz, microhenries


_CIRCUITS = tuple(_circuits())


def _drawer(mhz, microhenries, q, needed_pf):
    below, above = _neighbours(needed_pf)
    low, high = (circuit.resonance_mhz(inductance_uh=microhenries, capacitance_pf=c) for c in (above, below))
    nearest = below if needed_pf / below < above / needed_pf else above
    off = abs((high if nearest == below else low) - mhz)
    return "", (
        Option(
            f"The {above} pF. With the coil as it is the circuit sits at {low:.2f} MHz, too low, and "
            "stretching "
            "the coil brings it up."
        ),
        Option(
            f"The {below} pF. With the coil as it is the circuit sits at {high:.2f} MHz, too high, and "
            "stretching the coil brings it down.",
            "A stretched coil has less inductance. Which way does f go when L shrinks?",
            "wrong-way", "stretching taken for more inductance",
        ),
        Option(
            f"The {nearest} pF, with the coil left alone: it is the nearest, and the circuit is wide enough "
            "to reach your frequency all the same.",
            f"The circuit would be {1e3 * off:.0f} kHz off, and it is {1e3 * mhz / q:.0f} kHz wide. Is that "
            "near enough?",
            "wide-enough", "width not compared with the error",
        ),
        Option(
            f"The {below} pF and the {above} pF side by side: together they make the mean of the two, and "
            "nothing has to be stretched.",
            "Capacitors side by side add up. What you would get is more than either, not between them.",
            "mean", "capacitors in parallel taken for a mean",
        ),
    )  # fmt: skip
