"""Is an answer right, and if not, what slip made it? A verdict with a hint, never with the answer."""

import random
import sys
from dataclasses import dataclass
from functools import lru_cache

from antlab.classroom.homework.problems import BASE_UNITS, SCALES, Choice, Expression, quantity
from antlab.classroom.homework.reading import (
    MP,
    Equation,
    Refusal,
    along,
    is_blank,
    letter_of,
    number_of,
    read,
)
from antlab.classroom.homework.slips import OTHERS, SLIPS
from antlab.trouble import our_mistake, traced
from antlab.units import shown

POINTS, SAME, NEAR = 12, 1e-12, 0.01
ONE = 1.5  # a right number nearer to 1 than this is no witness: its root and its inverse look like itself
LEVELS = ("dB", "dBi")  # one over them, their squares and roots mean nothing
RIGHT, UNFINISHED, WRONG, UNREAD, BLANK = "right", "unfinished", "wrong", "unread", "blank"


@dataclass(frozen=True)
class Verdict:
    """status: one of the five above. key: which slip, for the class table. words: for the student.

    mark: tells this answer from another one, so that the same one handed in again counts once.
    """

    status: str
    words: str
    key: str = ""
    mark: str = ""


def labels_of(problem):
    """What the keys of a problem's hints mean, for the class table."""
    own = problem.options.values() if isinstance(problem, Choice) else problem.mistakes
    return OTHERS | {slip.key: slip.label for slip in SLIPS} | {one.key: one.label for one in own}


def judge(lesson, problem, answer):
    """The Verdict on an answer. lesson: the Lesson of problem. Never raises, whatever the answer is."""
    try:
        return _judged(lesson, problem, answer)
    except Refusal as refusal:
        return Verdict(UNREAD, str(refusal), refusal.key)
    except Exception as error:  # the last net: a lesson goes on, even after what nobody foresaw
        print(traced(error), file=sys.stderr)
        return Verdict(UNREAD, our_mistake(error), "ours")


def _judged(lesson, problem, answer):
    """The Verdict on an answer, without a net. Raises Refusal for what can't be read."""
    if is_blank(answer):
        return Verdict(BLANK, "Not answered yet.")
    if isinstance(problem, Choice):
        return _judge_choice(problem, letter_of(answer))
    if isinstance(problem, Expression):
        return _judge_formula(lesson, problem, read(answer, problem.unknown))
    return _judge_number(lesson, problem, read(number_of(answer, problem.unit)))


def _judge_choice(problem, letter):
    if letter not in problem.options:
        letters = ", ".join(problem.options)
        raise Refusal("letter", f'The options are {letters}: hand in one letter, such as "a".')
    option = problem.options[letter]
    if option.hint:
        return Verdict(WRONG, option.hint, option.key, letter)
    return Verdict(RIGHT, f"Right. {option.words} {option.remark}".rstrip(), mark=letter)


def _judge_formula(lesson, problem, reading):
    spans = lesson.spans(problem)
    points, rights = _points(spans), _values(problem.right, spans)
    if isinstance(reading, Equation):
        return _judge_equation(problem, reading, points, rights)
    _check_symbols(lesson, problem, reading)
    count = 3 if reading.is_unfinished else POINTS
    points = points[:count]
    values = reading.along(lesson.also_at(points) if reading.names & {*lesson.also} else points)
    mark = MP.nstr(values[0], 9)
    if _same(values, rights):
        return _right(lesson, problem, reading, mark)
    for mistake in problem.mistakes:
        if _same(values, _values(mistake.wrong, spans)):
            return Verdict(WRONG, mistake.hint, mistake.key, mark)
    ratios = [value / right for value, right in zip(values, rights, strict=False)]
    for slip in SLIPS:
        if slip.units != ("dB",) and any(_same(ratios, [MP.mpf(k)] * count) for k in slip.factors):
            return Verdict(WRONG, slip.hint, slip.key, mark)
    pairs = list(zip(values, rights, strict=False))
    if _same([v * r for v, r in pairs], [MP.mpf(1)] * count):
        return Verdict(WRONG, "It is upside down: one over the right answer.", "inverse", mark)
    if _same([v * v for v, _ in pairs], rights) or _same(values, [r * r for _, r in pairs]):
        return Verdict(WRONG, "A root or a square is missing, or one too many.", "root", mark)
    if all(abs(ratio - 1) < NEAR for ratio in ratios):
        return Verdict(
            WRONG, "Nearly: a constant in it is rounded. Write sp.pi, sp.sqrt(2), sp.Rational(1, 3) "
            "and the sheet's symbols, and let sympy keep them exact.", "rounded", mark,
        )  # fmt: skip
    return Verdict(WRONG, "", "other", mark)


def _right(lesson, problem, reading, mark):
    if reading.is_unfinished:
        return Verdict(
            UNFINISHED, "Equal to the right answer, but a task is left standing in it. Finish it: .doit().",
            "unfinished", mark,
        )  # fmt: skip
    notes = []
    if "list" in reading.notes:
        notes.append("It was the only result of the list; [0] behind the list takes it out.")
    notes += [
        f"{shown(name)} is taken for {lesson.also[name]}." for name in sorted(reading.names & {*lesson.also})
    ]
    strangers = {one.name for one in reading.symbols if not one.is_ours} - {*lesson.also}
    if strangers:
        notes.append(
            f"You made {_listed(strangers)} yourself. I took it for the sheet's, which is known to be "
            "positive: "
            "hw.symbols fetches that one, and then sympy simplifies better."
        )
    if reading.operations > 2 * read(problem.right).operations + 6:
        notes.append("It can be written shorter: see what sp.simplify makes of it.")
    return Verdict(RIGHT, " ".join(["Right.", *notes]), mark=mark)


def _check_symbols(lesson, problem, reading):
    there = reading.names
    if not there:
        raise Refusal("formula",
                      f"That is a number. Here a formula is wanted, in {_listed(problem.names)}: the "
                      "letters, before any numbers are put in.")  # fmt: skip
    if problem.unknown in there:
        raise Refusal("unsolved",
                      f"{problem.unknown} is what we look for, and it still stands in your answer. Solve "
                      f"for it: sp.solve(equation, {problem.unknown}).")  # fmt: skip
    wanted = set(problem.names)
    also = {
        name for name, formula in lesson.also.items() if {one.name for one in formula.free_symbols} <= wanted
    }
    if strange := there - wanted - also:
        is_given = strange <= {one.name for one in lesson.values}
        raise Refusal(
            "symbols" if is_given else "own-symbols",
            f"{'Not wanted here' if is_given else 'Not on this sheet'}: {_listed(strange)}. Write the answer "
            "in "
            f"{_listed(wanted)}.",
        )


def _judge_equation(problem, equation, points, rights):
    """An equation that was handed in before it was solved: does the right answer solve it?"""
    unknown = problem.unknown
    if unknown in equation.names and equation.names <= {unknown, *problem.names}:
        at = [{**point, unknown: right} for point, right in zip(points, rights, strict=True)]
        left, right = along([equation.left, equation.right], at)
        if _same(left, right):
            return Verdict(UNFINISHED,
                           f"The equation is right. Now solve it: sp.solve(equation, {unknown}).",
                           "unsolved", "equation")  # fmt: skip
    raise Refusal(
        "unsolved", f"That is an equation. Hand in what {unknown} is, when it is solved for {unknown}."
    )


def _judge_number(lesson, problem, reading):
    if isinstance(reading, Equation):
        raise Refusal("unsolved", "That is an equation. Hand in the number that comes out of it.")
    if own := {one.name for one in reading.symbols if not one.is_ours} & {one.name for one in lesson.values}:
        raise Refusal("numbers",
                      f"You made {_listed(own)} yourself, so hw.values does not know it. Fetch the sheet's, "
                      f'hw.symbols("{min(own)}"), and build the formula again.')  # fmt: skip
    if reading.names:
        raise Refusal("numbers",
                      f"Symbols are left in it: {_listed(reading.names)}. Put your "
                      "numbers in: expression.subs(hw.values).")  # fmt: skip
    (value,) = reading.along([{}])
    if abs(MP.im(value)) > 1e-9 * abs(value):
        raise Refusal("complex",
                      "That is a complex number. Is its size wanted, or one of its parts? Or did a "
                      "logarithm or a root get something below zero, as when sin gets degrees?")  # fmt: skip
    if abs(value) > 1e100:
        return Verdict(WRONG, "", "other", MP.nstr(value, 9))
    number = float(MP.re(value))
    mark, right = f"{number:.9g}", problem.value
    if problem.is_close(number, right):
        words = f"Right: {quantity(right, problem.unit, 4)}, within {problem.within}. {problem.remark}"
        return Verdict(RIGHT, words.rstrip(), mark=mark)
    for mistake in problem.mistakes:
        if problem.is_close(number, lesson.wrong_number(problem, mistake)):
            return Verdict(WRONG, mistake.hint, mistake.key, mark)
    for given in lesson.givens:
        if number == given.shown:
            words = f"That is {given.symbol.name} of the sheet: {given.meaning}."
            return Verdict(WRONG, words, "given", mark)
    if problem.is_close(number, right, ease=4):
        return Verdict(WRONG,
                       f"Close, but not within {problem.within}. Carry all digits to the end, and round only "
                       "there.", "rounded", mark)  # fmt: skip
    for slip in SLIPS:
        if slip.units is None or problem.unit in slip.units:
            for factor in slip.factors:
                if problem.is_close(number / factor, right):
                    return Verdict(WRONG, slip.hint + _base_unit(problem, factor), slip.key, mark)
    if 1 / ONE < abs(right) < ONE or problem.unit in LEVELS:
        return Verdict(WRONG, "", "other", mark)
    if problem.is_close(number, 1 / right if right else 0):
        return Verdict(WRONG, "It is upside down: one over the right answer.", "inverse", mark)
    if right > 0 and (problem.is_close(number, right**2) or problem.is_close(number, right**0.5)):
        return Verdict(WRONG, "A root or a square is missing, or one too many.", "root", mark)
    return Verdict(WRONG, "", "other", mark)


def _base_unit(problem, factor):
    """What a power of ten says, where it is the one between base unit and unit asked for."""
    base = BASE_UNITS.get(problem.unit)
    in_base = base and factor in (1e-2, 1e-3, 1e-6, 1e-12) and factor == SCALES[problem.unit]
    return f" Is it in {base}, not in {problem.unit}?" if in_base else ""


def _listed(names):
    return " and ".join(sorted(shown(name[:20]) for name in names))


@lru_cache(maxsize=64)
def _points(spans):
    """A dozen points, the same each time, in the ranges that the problems state. spans: see Lesson.spans."""
    dice = random.Random(20)
    return [{name: low * (high / low) ** dice.random() for name, (low, high) in spans} for _ in range(POINTS)]


@lru_cache(maxsize=1024)
def _values(formula, spans):
    """One of our own formulas at the points."""
    return read(formula).along(_points(spans))


def _same(values, others):
    return all(abs(a - b) <= SAME * max(abs(a), abs(b)) for a, b in zip(values, others, strict=False))
