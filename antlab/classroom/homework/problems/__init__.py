"""The problems of the homework: what is given, what is right, and the mistakes that can be foreseen.

Each lesson has a module here. Its `lesson(pick)` chooses a student's numbers, asks the package for the right
answers, and returns the title, the Givens and the problems, each under a name that it keeps whatever its
place. Formulas hold in base units (henries, hertz, metres, radians); numbers are asked for in the unit that
an operator speaks.
"""

import hashlib
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from importlib import import_module

import sympy

from antlab.classroom.homework.naming import EXAMPLE, LESSONS, NUMBERS_VERSION, clean_name
from antlab.units import Slip, feet

SCALES = {
    "": 1, "µH": 1e-6, "pF": 1e-12, "MHz": 1e6, "kHz": 1e3, "Ω": 1, "kΩ": 1e3, "V": 1, "W": 1, "A": 1, "m": 1,
    "cm": 1e-2, "mm": 1e-3, "km": 1e3, "°": float(sympy.pi / 180), "%": 1e-2, "dB": 1, "dBi": 1, "km/s": 1e3,
    "S/m": 1, "F/m": 1, "mW/cm²": 10,
}  # fmt: skip
BASE_UNITS = {
    "µH": "H", "pF": "F", "MHz": "Hz", "kHz": "Hz", "kΩ": "Ω", "cm": "m", "mm": "m", "km": "m", "km/s": "m/s",
    "°": "radians", "%": "", "mW/cm²": "W/m²",
}  # fmt: skip
LENGTHS = ("m", "cm", "mm", "km")


@dataclass(frozen=True)
class Given:
    """A quantity that the sheet gives. shown: in unit. low, high: where a formula in it is tried, in unit."""

    symbol: sympy.Symbol
    meaning: str
    shown: float
    unit: str
    low: float
    high: float

    @property
    def value(self):
        """The quantity in base units, as a student substitutes it."""
        return float(f"{self.shown * SCALES[self.unit]:.12g}")

    @property
    def is_constant(self):
        """Whether it is the same for everybody, and may be typed as a number."""
        return self.low == self.high

    def span(self, *, in_base_units):
        """Both ends of the range in which a formula is tried.

        In base units a henry beside a hertz would vanish among the digits, and a formula with one too many
        could pass. So MHz, µH and pF are taken as they are; angles and shares are in base units anyhow.
        """
        scale = SCALES[self.unit] if in_base_units or self.unit in ("°", "%") else 1
        return self.low * scale, self.high * scale


@dataclass(frozen=True)
class Mistake:
    """A wrong answer that can be foreseen. key, label: for the class table. hint: for the student.

    wrong: a formula in base units, or for a Number also the number itself, in the problem's unit.
    """

    key: str
    label: str
    wrong: object
    hint: str


@dataclass(frozen=True)
class Expression:
    """A problem whose answer is a formula. unknown: name of the symbol that it is solved for."""

    title: str
    unknown: str
    right: sympy.Expr
    mistakes: tuple
    nudge: str
    step: str

    @property
    def names(self):
        """Names of the symbols that the answer is written in, as a sentence has them."""
        return sorted(symbol.name for symbol in self.right.free_symbols)

    @property
    def wanted(self):
        """What to hand in."""
        return f"a formula for {self.unknown}, in {' and '.join(self.names)}"


@dataclass(frozen=True)
class Number:
    """A problem whose answer is a number. right: in unit, or a function that returns it.

    tolerance: share of the right answer. slack: absolute, in unit, for decibels and angles.
    remark: what must be said about the right answer once it is found.
    """

    title: str
    right: float | Callable
    unit: str
    mistakes: tuple
    nudge: str
    step: str
    tolerance: float = 0.01
    slack: float = 0.0
    remark: str = ""

    @cached_property
    def value(self):
        """The right number, in unit."""
        return float(self.right() if callable(self.right) else self.right)

    @property
    def within(self):
        """The tolerance in words."""
        return quantity(self.slack, self.unit) if self.slack else f"{100 * self.tolerance:g} %"

    @property
    def wanted(self):
        """What to hand in."""
        return f"a number{' in ' if self.unit else ''}{self.unit}, right within {self.within}"

    def is_close(self, number, other, ease=1.0):
        """Whether a number is another one within the tolerance, times ease."""
        return abs(number - other) <= ease * max(self.tolerance * abs(other) * (not self.slack), self.slack)


@dataclass(frozen=True)
class Option:
    """One decision with its reason. hint: why it is not the one; empty for the right one.

    remark: what is to be said of the right one once it is found, so that its words are not the longest.
    """

    words: str
    hint: str = ""
    key: str = ""
    label: str = ""
    remark: str = ""


@dataclass(frozen=True)
class Choice:
    """A design decision with a reason.

    make: returns what is to be decided, in a sentence, and the Options, the right one first.
    shuffled: puts them into the student's order.
    """

    title: str
    make: Callable
    nudge: str
    step: str
    shuffled: Callable

    @cached_property
    def _made(self):
        return self.make()

    @property
    def task(self):
        """What is to be decided, with the student's numbers; empty where the sheet says it all."""
        return self._made[0]

    @cached_property
    def options(self):
        """Letter -> Option."""
        return dict(zip("abcdef", self.shuffled(self._made[1]), strict=False))

    @property
    def right(self):
        """The right letter."""
        return next(letter for letter, option in self.options.items() if not option.hint)

    @property
    def wanted(self):
        """What to hand in."""
        return 'the letter of one option, such as "a"'


@dataclass(frozen=True)
class Lesson:
    """One student's homework for a lesson. named: name -> problem, in order.

    also: what the lesson calls something that the sheet writes otherwise, name -> formula in its symbols.
    """

    number: str
    title: str
    givens: tuple
    named: dict
    also: dict = field(default_factory=dict)

    @cached_property
    def problems(self):
        """What a student calls a problem, by its place, "01.1" -> problem."""
        return {f"{self.number}.{place}": one for place, one in enumerate(self.named.values(), start=1)}

    @cached_property
    def ids(self):
        """What a student calls a problem -> what it is at any place, "01.capacitor-formula"."""
        return dict(zip(self.problems, (f"{self.number}.{name}" for name in self.named), strict=True))

    @cached_property
    def values(self):
        """Symbol -> number in base units."""
        return {given.symbol: given.value for given in self.givens}

    def also_at(self, points):
        """Points, dictionaries of name -> number, with what the lesson calls otherwise added to each."""
        return [
            point | {name: float(one.subs({symbol: point[symbol.name] for symbol in one.free_symbols}))
                     for name, one in self.also.items()} for point in points
        ]  # fmt: skip

    def spans(self, problem):
        """((name, (low, high)), …): where the formulas of an Expression are tried.

        Only where a constant stands in one must it be base units, for the constant may be typed as a number.
        """
        typed = any(one.is_constant and one.symbol in problem.right.free_symbols for one in self.givens)
        return tuple((one.symbol.name, one.span(in_base_units=typed)) for one in self.givens)

    def wrong_number(self, problem, mistake):
        """What a mistake makes of this student's numbers, in the problem's unit."""
        if not isinstance(mistake.wrong, sympy.Basic):
            return float(mistake.wrong)
        return float(mistake.wrong.subs(self.values)) / SCALES[problem.unit]


class Pick:
    """Chooses a student's numbers: the same ones for the same name, each time and on every machine."""

    def __init__(self, number, student):
        self._seed = f"{NUMBERS_VERSION}|{number}|{clean_name(student).casefold()}"

    def _draw(self, what):
        digest = hashlib.sha256(f"{self._seed}|{what}".encode()).digest()
        return int.from_bytes(digest[:8], "big")

    def __call__(self, what, *options):
        """One of the options; what: names the choice, so that each is made apart."""
        return options[self._draw(what) % len(options)]

    def shuffled(self, items):
        """The items in an order that is this student's."""
        items = list(items)
        return [items[i] for i in sorted(range(len(items)), key=lambda i: self._draw(f"order {i}"))]


@lru_cache(maxsize=256)
def lesson(number, student=EXAMPLE):
    """The homework of a lesson with one student's numbers.

    number: "01" to "10". student: call sign or nickname. Returns a Lesson.
    Raises Slip for another number and for a name that is none.
    """
    if number not in LESSONS:
        raise Slip(
            f'there is homework for the lessons "{min(LESSONS)}" to "{max(LESSONS)}"; '
            f"got {str(number)[:20]!r}"
        )
    module = import_module(f"{__name__}.{LESSONS[number]}")
    return Lesson(number, *module.lesson(Pick(number, student)))


def symbols(names):
    """Positive symbols: every quantity of the homework is one."""
    return sympy.symbols(names, positive=True)


def quantity(number, unit, digits=6):
    """A number with its unit as it is written; metres given to six digits have their feet beside them."""
    gap = "" if unit in ("", "°", "%") else " "
    beside = f" ({feet(number):.1f} ft)" if unit == "m" and digits == 6 else ""
    return f"{number:.{digits}g}{gap}{unit}{beside}"
