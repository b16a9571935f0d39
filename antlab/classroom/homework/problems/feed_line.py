"""Homework 05: what the line hides."""

from itertools import product

from sympy import I, tan

from antlab.classroom.homework.problems import Choice, Expression, Given, Mistake, Number, Option, symbols
from antlab.physics import cable as lines
from antlab.physics.circuit import reflection_of_swr, swr_of_reflection
from antlab.units import C_M_S, power_ratio

S, A, R, Z_0, VF, f, c = symbols("S A R Z_0 VF f c")
COSTLY_DB, CHEAP_DB = 0.7, 0.3  # what the SWR costs: clearly worth mending, or clearly not


def _lines():
    """Cable, metres, MHz and SWR at the antenna: those whose SWR costs little, and those where it is much."""
    found = {"cheap": [], "costly": []}
    for name, mhz in product(lines.IN_HOMEWORK, (3.7, 7.1, 14.2, 21.2, 28.4)):
        for metres, swr in product((15, 20, 25, 30, 40, 50), (1.8, 2.2, 2.5, 3.0, 4.0, 5.0)):
            extra = _extra_db(name, metres, mhz, swr)
            usual = 0.2 < lines.loss_db(cable=name, length_m=metres, f_mhz=mhz) < 4
            if usual and not CHEAP_DB < extra < COSTLY_DB:
                found["cheap" if extra < 0.5 else "costly"].append((name, metres, mhz, swr))
    return found


def _extra_db(name, metres, mhz, swr):
    """What an SWR costs on a line beyond what it loses when it is matched, dB."""
    line = {"cable": name, "length_m": metres, "f_mhz": mhz}
    total = lines.total_loss_db(swr * lines.cable(name).z0_ohm, **line)
    return float(total - lines.loss_db(**line))


LINES = _lines()


def lesson(pick):
    """A student's numbers and problems: see problems."""
    name, metres, mhz, swr = pick("line", *LINES[pick("cost", *LINES)])
    line = lines.cable(name)
    loss = round(float(lines.loss_db(cable=name, length_m=metres, f_mhz=mhz)), 2)
    ohms = swr * line.z0_ohm
    givens = (
        Given(S, "SWR at the antenna", swr, "", 1.2, 6),
        Given(A, f"loss of your {metres} m of {line.called} when it is matched", loss, "dB", 0.1, 4),
        Given(R, "resistance of the antenna", ohms, "Ω", 20, 300),
        Given(Z_0, "impedance of the line", line.z0_ohm, "Ω", 40, 100),
        Given(VF, "velocity factor of the line", line.velocity_factor, "", 0.6, 0.95),
        Given(f, "frequency", mhz, "MHz", 3, 30),
        Given(c, "speed of light", C_M_S / 1e3, "km/s", C_M_S / 1e3, C_M_S / 1e3),
    )
    rho = (S - 1) / (S + 1)
    shown = float(reflection_of_swr(swr) * power_ratio(-loss))
    one_way, twice = (float(reflection_of_swr(swr) * power_ratio(-loss * k)) for k in (0.5, 2))
    wave = VF * c / (2 * f)
    extra = _extra_db(name, metres, mhz, swr)
    return "what the line hides", givens, {
        "shack-reflection": Expression(
            "Reflection that the shack sees", "rho", rho * 10 ** (-A / 10),
            (
                Mistake("one-way", "the way back left out", rho * 10 ** (-A / 20),
                        "That is one way. The wave goes up the line and its reflection comes back down: "
                        "2·A."),
                Mistake("power-db", "10 for 20", rho * 10 ** (-A / 5),
                        "ρ is a voltage: 20 decibels are a factor of 10 here, not 10 decibels."),
                Mistake("grows", "the wrong sign", rho * 10 ** (A / 10),
                        "The line weakens the reflection. Yours grows on its way."),
                Mistake("at-antenna", "the line left out", rho,
                        "That is ρ at the antenna. How much of it arrives in the shack?"),
            ),
            "From the SWR to ρ at the antenna; then there and back through the line, 2·A decibels of "
            "voltage.",
            "ρ at the antenna is (S − 1)/(S + 1). A voltage loses 2·A decibels by a factor of 10^(−2A/20).",
        ),
        "shack-swr": Number(
            "SWR that the meter shows", swr_of_reflection(shown), "",
            (
                Mistake("one-way", "the way back left out", swr_of_reflection(one_way),
                        "You took the loss once. The reflection comes back down the same line."),
                Mistake("power-db", "10 for 20", swr_of_reflection(twice),
                        "ρ is a voltage: divide the decibels by 20, not by 10."),
                Mistake("rho", "the reflection itself", shown,
                        "That is ρ in the shack. SWR is (1 + ρ)/(1 − ρ)."),
                Mistake("at-antenna", "the line left out", swr,
                        "That is the SWR at the antenna. The line hides some of it from the meter."),
            ),
            "Take ρ from the formula before, and turn it back into an SWR.",
            f"ρ at the antenna is ({swr:g} − 1)/({swr:g} + 1) = {reflection_of_swr(swr):.4f}. Multiply it by "
            f"10^(−{loss:g}/10), then (1 + ρ)/(1 − ρ).",
            tolerance=0.005,
        ),
        "eighth-wave": Expression(
            "An eighth of a wave of line", "Z", Z_0 * (R + I * Z_0) / (Z_0 + I * R),
            (
                Mistake("minus-j", "−j for j", Z_0 * (R - I * Z_0) / (Z_0 - I * R),
                        "The size is right and the sign of j is not: the line adds +j·Z_0·tan φ to the "
                        "load."),
                Mistake("degrees", "degrees for radians",
                        Z_0 * (R + I * Z_0 * tan(45)) / (Z_0 + I * R * tan(45)),
                        "sp.tan wants radians, and got degrees: 45° is sp.pi/4."),
                Mistake("quarter", "a quarter wave", Z_0**2 / R,
                        "That is a quarter of a wave, where the tangent is endless. At an eighth it is 1."),
                Mistake("swapped", "load and line exchanged", R * (Z_0 + I * R) / (R + I * Z_0),
                        "Load and line have changed places in your formula."),
            ),
            "tan φ of an eighth of a wave, 45°, is 1. Put that into the line's formula.",
            "Z = Z_0·(R + j·Z_0·tan φ)/(Z_0 + j·R·tan φ), and tan 45° = 1. In sympy j is written sp.I.",
        ),
        "half-wave-line": Number(
            "A line that repeats its load", C_M_S * line.velocity_factor / (2e6 * mhz), "m",
            (
                Mistake("no-velocity", "velocity factor left out", c / (2 * f),
                        "That is half a wave in empty space. In the cable the wave is slower, and shorter."),
                Mistake("over-velocity", "divided by the velocity factor", c / (2 * f * VF),
                        "The wave in a cable is shorter than in space, so the factor multiplies."),
                Mistake("quarter", "a quarter wave", wave / 2,
                        "That is a quarter of a wave, which turns the load round. Half a wave repeats it."),
            ),
            "A load repeats every half wave, and in the cable waves are shorter.",
            f"Half a wave in space is {C_M_S / 2e6 / mhz:.2f} m; the velocity factor of {line.called} is "
            f"{line.velocity_factor:g}.",
        ),
        "tuner": Choice(
            "A tuner in the shack", lambda: _tuner(extra, loss, float(swr_of_reflection(shown)), swr),
            "How many decibels does the SWR cost on this line, beyond what it loses anyway?",
            f"The SWR adds {extra:.2f} dB to the {loss:g} dB that the line loses when it is matched. A tuner "
            "in "
            "the shack gives none of that back.",
            pick.shuffled,
        ),
    }  # fmt: skip


def _tuner(extra, loss, shack, antenna):
    task = (
        f"The meter shows {shack:.1f} and the antenna has {antenna:g}, which costs {extra:.1f} dB on top of "
        f"the line's {loss:.1f} dB."
    )
    keep = (
        "Leave it as it is: a tuner in the shack for the radio's sake, and then on the air.",
        f"The SWR alone takes {1 - power_ratio(-extra):.0%} of what would arrive without it, and what the "
        "line loses anyway comes on top. That can be mended.",
        "waste", "loss by SWR not seen",
    )  # fmt: skip
    mend = (
        "Mend it at the antenna, or use better cable: a tuner would bring nothing back.",
        "It is a small fraction of a decibel. A new antenna for that is much work for nothing.",
        "needless", "work for a loss that nobody hears",
    )  # fmt: skip
    right, wrong = (keep, mend) if extra < 0.5 else (mend, keep)
    return task, (
        Option(right[0]),
        Option(*wrong),
        Option(
            "A tuner in the shack: it brings the SWR on the whole line to 1, and with it the loss.",
            "The tuner stands between radio and line. Up the line the waves go to and fro as before.",
            "tuner-mends", "a tuner taken to mend the line",
        ),
        Option(
            "A longer line: the SWR in the shack gets better with every metre of it.",
            "So it does, and so does a dummy load. What the meter no longer shows has gone into heat.",
            "longer", "a good meter taken for a good antenna",
        ),
    )  # fmt: skip
