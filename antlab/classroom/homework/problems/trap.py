"""Homework 03: a trap below its resonance."""

from sympy import pi

from antlab.antenna import design as planning
from antlab.classroom.homework.problems import Choice, Expression, Given, Mistake, Number, Option, symbols
from antlab.engine.shapes import FlatTop
from antlab.physics.bands import band
from antlab.physics.circuit import capacitance_for_pf
from antlab.physics.trap import Trap
from antlab.units import feet

f, f_0, L, C, r, R_t, R_a = symbols("f f_0 L C r R_t R_a")
PAIRS = (("80m", "40m"), ("40m", "20m"), ("20m", "10m"))
COILS_UH = {"40m": (4.7, 5.6, 6.8), "20m": (2.7, 3.3, 3.9), "10m": (1.2, 1.5, 1.8)}
AIMS_MHZ = {"80m": 3.7, "40m": 7.1, "20m": 14.2, "10m": 28.4}
SMALL = 0.45  # of the large trap's coil


def lesson(pick):
    """A student's numbers and problems: see problems."""
    low, high = pick("pair", *PAIRS)
    mhz, trap_mhz = AIMS_MHZ[low], AIMS_MHZ[high]
    microhenries = pick("L", *COILS_UH[high])
    picofarads = round(float(capacitance_for_pf(f_mhz=trap_mhz, inductance_uh=microhenries)))
    trap = Trap(inductance_uh=microhenries, capacitance_pf=picofarads, q=pick("Q", 100, 130, 160, 200))
    ohms = trap.impedance(mhz)
    heat_ohm, share, feed_ohm = (
        round(float(ohms.real), 2), pick("r", 0.55, 0.6, 0.65, 0.7), pick("R_a", 45, 52, 58, 65)
    )  # fmt: skip
    givens = (
        Given(f, f"frequency on the lower band, {band(low).label}", mhz, "MHz", 3, 8),
        Given(
            f_0,
            f"what the trap is tuned to, on {band(high).label}",
            round(trap.resonance_mhz, 3),
            "MHz",
            14,
            28,
        ),
        Given(L, "inductance of the trap's coil", microhenries, "µH", 1, 8),
        Given(C, "capacitance of the trap", picofarads, "pF", 10, 30),
        Given(R_t, "loss resistance that the trap shows at f", heat_ohm, "Ω", 0.5, 5),
        Given(R_a, "resistance at the feed", feed_ohm, "Ω", 40, 70),
        Given(r, "current in the trap, over the current at the feed", share, "", 0.4, 0.9),
    )
    w = 2 * pi * f
    slips = (
        Mistake("plus", "plus for minus", w * L / (1 + w**2 * L * C),
                "The capacitor's reactance has the other sign, so the denominator is a difference."),
        Mistake("series", "in series, not side by side", w * L - 1 / (w * C),
                "You added the two reactances, as if they were one behind the other. In a trap they lie side "
                "by "
                "side, so what adds up is one over each of them."),
        Mistake("coil-only", "the capacitor left out", w * L,
                "That is the coil alone. The capacitor across it makes it look larger."),
    )  # fmt: skip
    return "a trap below its resonance", givens, {
        "reactance-formula": Expression(
            "Reactance of the trap", "X", w * L / (1 - w**2 * L * C), slips,
            "Coil and capacitor lie side by side: 1/X = 1/X_coil + 1/X_capacitor, and X_capacitor is "
            "negative.",
            "1/X = 1/(2πfL) − 2πfC. Bring both over 2πfL: (1 − (2πf)²LC)/(2πfL). X is that turned over.",
        ),
        "reactance-ohms": Number(
            "The trap in ohms", lambda: ohms.imag, "Ω", slips,
            "Put your numbers into the formula: expression.subs(hw.values).",
            f"2πfL is {6.2832 * mhz * microhenries:.1f} Ω, and (f/f_0)² is "
            f"{(mhz / trap.resonance_mhz) ** 2:.3f}. "
            "Divide the first by one minus the second.",
            tolerance=0.02,
        ),
        "coil-formula": Expression(
            "The coil that the trap looks like", "L_e", L / (1 - (f / f_0) ** 2),
            (
                Mistake("not-squared", "ratio not squared", L / (1 - f / f_0),
                        "(2πf)²·LC is (f/f_0)², with the square."),
                Mistake("ratio-over", "ratio upside down", L / (1 - (f_0 / f) ** 2),
                        "Below resonance f/f_0 is less than one. Yours would make a negative coil."),
                Mistake("times", "multiplied, not divided", L * (1 - (f / f_0) ** 2),
                        "That makes the coil look smaller. Below resonance a trap looks like a larger coil."),
            ),
            "LC is 1/(2πf_0)²: put that into the reactance, and divide it by 2πf.",
            "X = 2πfL/(1 − (2πf)²LC), and (2πf)²LC = (f/f_0)². A coil's inductance is its reactance over "
            "2πf.",
        ),
        "heat": Number(
            "Power that warms the traps", 200 * share**2 * heat_ohm / feed_ohm, "%",
            (
                Mistake("one-trap", "one trap for both", r**2 * R_t / R_a,
                        "That is the heat of one trap. There is one in each leg."),
                Mistake("current-only", "current not squared", 2 * r * R_t / R_a,
                        "Heat goes with the square of the current: I²·R."),
                Mistake("full-current", "the feed's current for the trap's", 2 * R_t / R_a,
                        "The current has grown weaker on its way to the trap. That is what r tells."),
            ),
            "The power fed is I²·R_a. A trap turns (r·I)²·R_t of it into heat.",
            f"Both traps: 2·{share:g}²·{heat_ohm:g} over {feed_ohm}. Times 100 for per cent.",
            tolerance=0.02,
        ),
        "large-or-small": Choice(
            "A large coil or a small one", lambda: _coils(pick, low, high, microhenries),
            "A trap's coil makes the wire shorter on the lower band. What does it do on the upper one? And "
            "is there room?",
            "First see which antenna fits between the supports at all. Of two that fit, look at both bands, "
            "and ask what each loses on its worse one.",
            pick.shuffled,
        ),
    }, {"omega": 2 * pi * f, "omega_0": 2 * pi * f_0}  # fmt: skip


def _coils(pick, low, high, microhenries):
    tight, yard = pick("yard", (True, "Corner Lot"), (False, "Long Acre"))
    tuned = [
        (one, capacitance_for_pf(f_mhz=AIMS_MHZ[high], inductance_uh=one))
        for one in (microhenries, SMALL * microhenries)
    ]
    long_, short = sorted(
        (
            planning.design(
                low, high, low_mhz=AIMS_MHZ[low], high_mhz=AIMS_MHZ[high], shape=FlatTop(height_m=7.5),
                trap=Trap(inductance_uh=one, capacitance_pf=float(c)),
            )
            for one, c in tuned
        ),
        key=lambda made: -made.width_m,
    )  # fmt: skip
    between = (long_.width_m + short.width_m) / 2
    room = between if tight else long_.width_m * 1.15
    coils = [f"{one.dipole.trap.inductance_uh:.3g} µH" for one in (short, long_)]
    task = (
        f"At {yard} the supports are {room:.1f} m ({feet(room):.0f} ft) apart, and you want both bands. "
        + " ".join(_told(coil, made) for coil, made in zip(coils[::-1], (long_, short), strict=True))
    )
    large = Option(
        f"Take {coils[0]}: it must fit, and the price is a narrower lower band."
        if tight
        else f"Take {coils[0]}: the upper band gets much, for a little of the lower.",
        "Compare what is lost on the worse band of each. There is room for both.",
        "needless", "shortened without need",
    )  # fmt: skip
    small = Option(
        f"Take {coils[1]}: there is room enough, and the lower band gets wider.",
        "Compare the length with the distance of the supports. Does it fit?"
        if tight
        else "That is so on the lower band. Look at the upper one too: how much is lost there?",
        *(("too-long", "length not compared with the room") if tight else ("one-band", "one band for both")),
    )
    right, wrong = (large, small) if tight or _worse_band(short) < _worse_band(long_) else (small, large)
    return task, (
        Option(right.words),
        wrong,
        Option(
            f"Take {coils[0]}: the larger coil makes the lower band a good deal wider.",
            "More coil stores more energy in the trap. That makes the lower band narrower, not wider.",
            "coil-widens", "a larger coil taken for a wider band",
        ),
        Option(
            f"Take {coils[1]}: the smaller coil makes the antenna a good deal shorter.",
            "It is the coil that stands in for wire. Less coil, more wire.",
            "coil-lengthens", "a smaller coil taken for a shorter wire",
        ),
    )  # fmt: skip


def _told(coil, made):
    """What an antenna is on both its bands, in a sentence."""
    each = (
        f"{made.span(aim, 3).width_khz:.0f} kHz under SWR 3 and {100 * (1 - made.efficiency(aim)):.0f} % "
        f"lost on {aim.band.label}"
        for aim in made.aims
    )
    return f"With a coil of {coil} in each trap the antenna is {made.width_m:.1f} m long: {', '.join(each)}."


def _worse_band(made):
    """Share of the power that wire and traps keep on that band on which they keep more."""
    return max(1 - made.efficiency(aim) for aim in made.aims)
