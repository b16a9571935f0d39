"""Homework 07: how high should it hang?"""

import numpy as np
from sympy import cos, log, pi, sin

from antlab.classroom.homework.problems import Choice, Expression, Given, Mistake, Number, Option, symbols
from antlab.engine.heights import half_wave_gain_dbi
from antlab.physics.bands import soil
from antlab.units import C_M_S, feet, wavelength_m

f, theta, h, c = symbols("f theta h c")
# lower and upper band, MHz; elevation, at which the course's noon returns both; four heights: at one of the
# middle ones the weaker band does best
YARDS = (
    (14.2, 28.4, 15, (5, 7.5, 12, 20)), (14.2, 28.4, 17, (5, 10, 15, 18)), (14.2, 28.4, 12, (5, 9, 14, 24)),
    (7.1, 14.2, 20, (7.5, 12, 20, 30)), (7.1, 14.2, 25, (7.5, 15, 24, 27)),
    (14.2, 21.2, 20, (5, 7.5, 12, 20)), (18.12, 28.4, 16, (4, 9, 15, 20)),
)  # fmt: skip


def lesson(pick):
    """A student's numbers and problems: see problems."""
    mhz = pick("f", 7.1, 10.12, 14.2, 18.12, 21.2)
    angle = pick("theta", 12, 15, 18, 20, 25)
    best = float(wavelength_m(mhz)) / (4 * np.sin(np.radians(angle)))
    pole = round(pick("h", 0.3, 0.35, 0.4, 0.45) * best, 1)
    givens = (
        Given(f, "frequency", mhz, "MHz", 7, 30),
        Given(theta, "elevation that your friends are reached at", angle, "°", 10, 40),
        Given(h, "height that you have", pole, "m", 1, 4),
        Given(c, "speed of light", C_M_S / 1e3, "km/s", C_M_S / 1e3, C_M_S / 1e3),
    )
    field = sin(2 * pi * f * h * sin(theta) / c)
    slips = (
        Mistake("gap", "the gap for the lobe", c / (2 * f * sin(theta)),
                "That height leaves θ dark: echo and direct wave cancel there. The lobe needs half of it."),
        Mistake("cosine", "cosine for sine", c / (4 * f * cos(theta)),
                "θ counts from the horizon, so the detour of the echo is 2·h·sin θ."),
        Mistake("degrees", "degrees for radians", c / (4 * f * sin(theta * 180 / pi)),
                "sin wants radians, and got degrees. hw.values has θ in radians."),
        Mistake("quarter", "the angle left out", c / (4 * f),
                "A quarter of a wave is the height for straight up. Low angles ask for more: divide by sin "
                "θ."),
    )  # fmt: skip
    ratio = float(np.sin(np.pi / 2 * pole / best))
    return "how high should it hang", givens, {
        "height-formula": Expression(
            "Height for an angle", "h", c / (4 * f * sin(theta)), slips,
            "The lowest lobe points where sin θ = λ/(4h). What is λ, in terms of f?",
            "λ = c/f. From sin θ = c/(4·f·h), solve for h.",
        ),
        "height-m": Number(
            "That height in metres", best, "m", slips,
            "Put your numbers in: hw.values has f in hertz and θ in radians.",
            f"λ is {C_M_S / 1e6 / mhz:.3f} m and sin {angle}° is {np.sin(np.radians(angle)):.4f}. Divide λ "
            "by four "
            "times that.",
        ),
        "short-pole": Number(
            "What the short pole costs", 20 * np.log10(ratio), "dB",
            (
                Mistake("ten-log", "10 for 20", 10 * np.log10(ratio),
                        "A ratio of fields is a ratio of voltages: 20·log10, not 10·log10."),
                Mistake("ratio", "the ratio, not decibels", ratio,
                        "That is the ratio of the fields. Now into decibels."),
                Mistake("natural", "natural logarithm", 20 * log(field),
                        "sp.log(x) is the natural logarithm. Decibels want sp.log(x, 10)."),
                Mistake("heights", "ratio of heights", 20 * np.log10(pole / best),
                        "The field does not grow in step with the height. It goes with the sine."),
            ),
            "At the best height the sine is 1. At yours it is sin(2π·f·h·sin θ/c).",
            f"sin(2π·{pole:g}·sin({angle}°)/{C_M_S / 1e6 / mhz:.3f}), then 20·log10. Less than the best: "
            "below zero.",
            slack=0.15,
        ),
        "four-heights": Choice(
            "Four heights, two bands", lambda: _poles(*pick("yard", *YARDS)),
            "Ask for both bands' gain at that angle, at each height, and look at the weaker one.",
            "al.Dipole(…).pattern(f).gain_dbi(angle) or the live view of lesson 07 gives eight numbers. Of "
            "each "
            "height keep the weaker band, and take the best of these.",
            pick.shuffled,
        ),
    }, {"lambda": c / f}  # fmt: skip


def weaker_dbi(low_mhz, high_mhz, angle, heights):
    """Gain at an elevation of the weaker of two half-wave dipoles over average soil, dBi, for each height."""
    at = {"elevation_deg": [float(angle)], "height_m": np.array(heights, float), "soil": soil("average")}
    return np.min([half_wave_gain_dbi(**at, f_mhz=one)[:, 0] for one in (low_mhz, high_mhz)], axis=0)


def _poles(low_mhz, high_mhz, angle, heights):
    best = int(np.argmax(weaker_dbi(low_mhz, high_mhz, angle, heights)))
    other = 3 - best  # the other of the middle ones
    names = [f"{one:g} m ({feet(one):.0f} ft)" for one in heights]
    task = (
        f"You want {angle}° on {low_mhz:g} and on {high_mhz:g} MHz, over average soil. Heights that can be "
        "had: " + ", ".join(names) + "."
    )
    return task, (
        Option(f"{names[best]}. No other of the four leaves the weaker band so strong at that angle."),
        Option(
            f"{names[3]}. It is the highest, and more height never costs anything at a low angle.",
            "Look at the upper band from there: with height the lobes split, and between them it is dark.",
            "highest", "the highest taken for the best",
        ),
        Option(
            f"{names[0]}. What goes straight up comes down everywhere, so height hardly matters.",
            "What goes straight up comes down near by, if at all. At a low angle that height is weak.",
            "lowest", "a low wire taken as good enough",
        ),
        Option(
            f"{names[other]}. One band is strong there at that angle, and the other will do anyhow.",
            "You want both. How strong is the weaker one at that height?",
            "one-band", "only one band looked at",
        ),
    )  # fmt: skip
