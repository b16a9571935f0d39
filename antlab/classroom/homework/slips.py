"""Slips that are made everywhere: what an answer is off by, and the hint that it deserves."""

from dataclasses import dataclass
from math import pi

from antlab.classroom.homework.problems import LENGTHS


@dataclass(frozen=True)
class Slip:
    """A mistake made everywhere. factors: what the answer is off by. units: where a number may have it."""

    key: str
    label: str
    hint: str
    factors: tuple
    units: tuple | None = None


SLIPS = (
    Slip("sign", "sign", "The size is right and the sign is not. Which way does it go?", (-1,)),
    Slip("db", "10 for 20, or 20 for 10",
         "Decibels of a power are 10·log10, of a voltage or a field 20·log10. "
         "Which is it here?", (2, 1 / 2), ("dB",)),
    Slip("degrees", "degrees and radians", "It is off by 180/π: radians and degrees have changed places.",
         (180 / pi, pi / 180)),
    Slip("feet", "feet and metres",
         "It is off by 3.28: feet and metres have changed places. The answer is wanted in "
         "metric units.", (1 / 0.3048, 0.3048), LENGTHS),
    Slip("percent", "a factor of 100",
         "It is off by 100: metres and centimetres, or a ratio and per cent, have changed places.",
         (100, 1 / 100)),
    Slip("thousand", "a factor of 1000",
         "It is off by 1000: a unit with the wrong prefix, like kilo for none or mega "
         "for kilo.", (1e3, 1e-3)),
    Slip("million", "a factor of a million",
         "It is off by a million: a unit with the wrong prefix, like MHz for Hz or "
         "µH for H.", (1e6, 1e-6)),
    Slip("prefix", "a factor of 10⁹ or 10¹²", "It is off by 10⁹ or 10¹².",
         (1e9, 1e-9, 1e12, 1e-12)),
    Slip("double", "twice too much",
         "It is twice too much: the whole where half is asked, both legs for one, the way "
         "there and back for one way?", (2,)),
    Slip("half", "half of it",
         "It is half of the right one: one leg for the whole, one way for there and back, radius "
         "for diameter?", (1 / 2,)),
    Slip("four", "a factor of four",
         "It is off by four: a 2 that should be squared, or should not be?", (4, 1 / 4)),
    Slip("two-pi", "2π", "It is off by 2π: f and ω = 2πf have changed places somewhere.",
         (2 * pi, 1 / (2 * pi))),
    Slip("two-pi-squared", "(2π)²",
         "It is off by (2π)²: 2π is to be squared with its f, or should not be there.",
         (4 * pi**2, 1 / (4 * pi**2))),
    Slip("root-two", "peak and rms", "It is off by √2: peak and rms have changed places.",
         (2**0.5, 2**-0.5), ("V", "A")),
    Slip("ten", "a factor of 10", "It is off by 10: a decimal point, or centimetres and millimetres?",
         (10, 1 / 10)),
)  # fmt: skip
OTHERS = {
    "root": "root or square", "inverse": "upside down", "rounded": "rounded on the way",
    "other": "none of the usual slips",
    "symbols": "symbols not wanted", "own-symbols": "symbols of their own", "unsolved": "equation not solved",
    "unfinished": "left unevaluated", "letter": "no letter", "text": "text", "truth": "yes or no",
    "several": "several results", "empty": "no result", "infinite": "infinite", "size": "too large",
    "large": "too long", "kind": "not a formula", "zero": "divides by zero", "unworkable": "can't be worked",
    "numbers": "numbers not put in", "complex": "a complex number", "comma": "a comma for the point",
    "formula": "a number for a formula", "given": "a number of the sheet",
    "ours": "a mistake in antlab",
}  # fmt: skip
