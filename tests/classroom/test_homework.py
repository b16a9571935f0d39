"""Homework: each student's numbers, right answers in any form, slips, and what may be handed in."""

import cmath
import decimal
import fractions
import math
import re
import sys
import time
from collections import Counter
from functools import lru_cache

import numpy as np
import pytest
import sympy as sp
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import antlab as al
from antlab.classroom import homework
from antlab.classroom.homework import judging, problems
from antlab.classroom.homework.judging import judge
from antlab.classroom.homework.naming import LESSONS
from antlab.classroom.homework.problems import SCALES, Choice, Expression, Number, coax_trap, symbols
from antlab.classroom.homework.problems.build_and_trim import resonance_with
from antlab.classroom.homework.problems.height_and_takeoff import YARDS
from antlab.cli import main as cli
from antlab.physics.bands import BANDS, band
from antlab.physics.trap import design_coax_trap
from tests.letters import LETTERS

lesson = lru_cache(maxsize=None)(problems.lesson)  # a sheet is frozen, and many tests ask for the same

STUDENTS = ("example", "juniper", "Red Oak", "Ärger/../é", "a fox", "no. 9", "zed", "kilo")
ALL = [(number, name) for number in LESSONS for name in lesson(number).problems]
every_problem = pytest.mark.parametrize(("number", "name"), ALL, ids=[name for _, name in ALL])
FORMULAS = [pair for pair in ALL if isinstance(lesson(pair[0]).problems[pair[1]], Expression)]
NUMBERS = [pair for pair in ALL if isinstance(lesson(pair[0]).problems[pair[1]], Number)]
every_formula = pytest.mark.parametrize(("number", "name"), FORMULAS, ids=[name for _, name in FORMULAS])
every_number = pytest.mark.parametrize(("number", "name"), NUMBERS, ids=[name for _, name in NUMBERS])


def found(number, name, student="example"):
    sheet = lesson(number, student)
    return sheet, sheet.problems[name]


# the problems


@pytest.mark.parametrize("number", LESSONS)
def test_a_formula_a_number_and_a_decision(number):
    """Three to five problems a lesson, of all three kinds, and each says what to hand in, and how exactly."""
    kinds = Counter(type(one) for one in lesson(number).problems.values())
    assert 3 <= kinds.total() <= 5 and set(kinds) == {Expression, Number, Choice} and kinds[Choice] == 1
    for problem in lesson(number).problems.values():
        assert problem.title and problem.nudge and problem.step
        if isinstance(problem, Number):
            assert "within" in problem.wanted and 0 < max(problem.tolerance, problem.slack) <= 0.2


@pytest.mark.parametrize("number", LESSONS)
def test_a_band_is_no_length(number):
    """A band is "40 metres", never "40 m": metres as a unit are for lengths, and these have their feet."""
    said = []
    for sheet in (lesson(number, student) for student in STUDENTS):
        said += [one.meaning for one in sheet.givens]
        for problem in sheet.problems.values():
            said += [problem.nudge, problem.step]
            if isinstance(problem, Choice):
                said += [problem.task, *(f"{one.words} {one.hint}" for one in problem.options.values())]
    names = "|".join(name.removesuffix("m") for name in BANDS)
    assert not re.search(rf"\b({names}) m\b(?! \(| of )", "\n".join(said))


@pytest.mark.parametrize("number", LESSONS)
def test_numbers_are_the_students_own(number):
    """Neighbours' numbers differ; capitals, blanks and accents composed or not make no other student."""
    shown = {tuple(one.shown for one in lesson(number, f"student {i}").givens) for i in range(12)}
    assert len(shown) >= 8
    for name in ("Red Oak", " red  oak ", "RED\toak"):
        assert lesson(number, name).values == lesson(number, "red oak").values
    assert lesson(number, "e\u0301cole").values == lesson(number, "\u00e9cole").values


def test_no_trap_of_the_homework_has_more_at_its_near_end():
    """04.4 gives a share of the trap's volts for all of them: it is on the safe side, by little."""
    mhz = {"40m": 7.1, "20m": 14.2, "10m": 28.4}
    for _, high, cable, form_mm in coax_trap.TRAPS:
        wound = design_coax_trap(f_mhz=mhz[high], cable=cable, form_diameter_mm=form_mm)
        assert 0.95 * coax_trap.NEAR_END < wound.volts_share < coax_trap.NEAR_END


def test_an_instructor_can_reproduce_them():
    """The same on every machine and in every year: changing how numbers are dealt needs a new version."""
    assert [one.shown for one in lesson("01", "juniper").givens] == [10.1, 1.5, 220]
    assert [one.shown for one in lesson("08", "juniper").givens] == [350, 12, 6371, 6.5, 4]


@pytest.mark.parametrize("student", STUDENTS)
def test_numbers_are_real(student):
    """Frequencies to be used lie in bands, and nothing given is zero or below."""
    for number in LESSONS:
        sheet = lesson(number, student)
        for one in sheet.givens:
            assert one.value > 0 and one.low <= one.high
            if one.symbol.name == "f":
                assert any(b.low_mhz <= one.shown <= b.high_mhz for b in map(band, BANDS)), (number, one)


@every_number
def test_mistakes_of_numbers_can_be_told_apart(number, name):
    """With nearly all students who can make it a foreseen mistake makes a number of its own."""
    told, made = Counter(), Counter()
    for i in range(25):
        sheet, problem = found(number, name, f"student {i}")
        for mistake in problem.mistakes:
            verdict = judge(sheet, problem, sheet.wrong_number(problem, mistake))
            told[mistake.key] += verdict.key == mistake.key
            made[mistake.key] += 1
    assert all(told[key] >= 0.88 * made[key] and made[key] > 5 for key in made), (told, made)


@every_problem
def test_each_foreseen_mistake_gets_its_own_hint(number, name):
    """What can be foreseen is recognised, says something of its own, and has a label for the class table."""
    sheet, problem = found(number, name)
    words = Counter()
    if isinstance(problem, Choice):
        slips = {letter: one for letter, one in problem.options.items() if one.hint}
        assert len(slips) == 3
    else:
        slips = {
            sheet.wrong_number(problem, one) if isinstance(problem, Number) else one.wrong: one
            for one in problem.mistakes
        }
        assert len(slips) >= 2
    for answer, slip in slips.items():
        verdict = judge(sheet, problem, answer)
        assert (verdict.status, verdict.key, verdict.words) == ("wrong", slip.key, slip.hint)
        assert judging.labels_of(problem)[slip.key] == slip.label != ""
        words[verdict.words] += 1
    assert max(words.values()) == 1


@pytest.mark.parametrize("student", STUDENTS)
def test_one_option_is_right(student):
    """Four options that differ, one of them right, and no student always finds it at the same letter."""
    letters = set()
    for number in LESSONS:
        sheet = lesson(number, student)
        (problem,) = (one for one in sheet.problems.values() if isinstance(one, Choice))
        assert [one.hint for one in problem.options.values()].count("") == 1
        assert len({one.words for one in problem.options.values()}) == 4
        for answer in (problem.right, f" {problem.right.upper()}) "):
            assert judge(sheet, problem, answer).status == "right"
        letters.add(problem.right)
    assert len(letters) >= 3


def test_the_coil_is_chosen_for_both_bands():
    """03.5: what fits, and of two that fit the one that loses less on its worse band, by its own task."""
    yards = set()
    for student in STUDENTS:
        problem = lesson("03", student).named["large-or-small"]
        room = float(re.search(r"supports are ([\d.]+) m", problem.task)[1])
        told = re.findall(
            r"a coil of ([\d.]+) µH in each trap the antenna is ([\d.]+) m long: (.*?metres.*?metres)",
            problem.task,
        )
        assert len(told) == 2
        lost = {
            uh: max(map(int, re.findall(r"(\d+) % lost", rest))) for uh, m, rest in told if float(m) < room
        }
        yards.add(len(lost))
        assert problem.options[problem.right].words.startswith(f"Take {min(lost, key=lost.get)} µH")
    assert yards == {1, 2}


# right answers, in any form


def forms(right):
    """One formula in shapes that sympy does not take for the same."""
    x = min(right.free_symbols, key=str)
    own = {one: sp.Symbol(one.name) for one in right.free_symbols}
    return {
        "as it is": right,
        "expanded": sp.expand(right),
        "one over one over": sp.Pow(sp.Pow(right, -1, evaluate=False), -1, evaluate=False),
        "logarithm": sp.Mul(sp.exp(sp.log(right, evaluate=False), evaluate=False), 1),
        "pythagoras": right * sp.sin(x) ** 2 + right * sp.cos(x) ** 2,
        "own symbols": right.subs(own),
        "in a list": [right],
        "decimals": right * sp.Float(6.283185307179586) / (2 * sp.pi),
    }


@every_formula
def test_a_right_formula_is_right_in_any_form(number, name):
    """The check looks at what a formula does, not at how it is written."""
    sheet, problem = found(number, name)
    shapes = forms(problem.right)
    assert len({sp.srepr(shape) for shape in shapes.values() if isinstance(shape, sp.Basic)}) >= 5
    for shape, answer in shapes.items():
        verdict = judge(sheet, problem, answer)
        assert verdict.status == "right", (shape, verdict)
    equation = sp.Eq(sp.Symbol(problem.unknown), problem.right)
    assert judge(sheet, problem, equation).status == "right"
    assert judge(sheet, problem, sp.Eq(problem.right, sp.Symbol(problem.unknown))).status == "right"


@every_number
def test_a_right_number_is_right_in_any_type(number, name):
    """A number may come from Python, NumPy or sympy, and anywhere within the tolerance that is stated."""
    sheet, problem = found(number, name)
    value = problem.value
    edge = 0.99 * max(problem.slack, problem.tolerance * abs(value) * (not problem.slack))
    for answer in (
        value, value + edge, value - edge, np.float64(value), np.array([value]), [value], {"x": value},
        fractions.Fraction(value), decimal.Decimal(value), complex(value, 0), sp.Float(value),
        sp.sqrt(2) * (sp.Float(value) / sp.sqrt(2)), sp.Eq(sp.Symbol("x"), sp.Float(value)),
    ):  # fmt: skip
        assert judge(sheet, problem, answer).status == "right", repr(answer)
    for wrong in (value + 1.02 * edge / 0.99, value - 1.02 * edge / 0.99):
        assert judge(sheet, problem, wrong).status == "wrong"


@pytest.mark.parametrize("student", STUDENTS)
def test_numbers_follow_from_the_formulas_before_them(student):
    """The package's number is what the student's own formula gives with the sheet's values."""
    for formula, number in (
        ("01.1", "01.2"), ("02.1", "02.2"), ("03.1", "03.2"), ("07.1", "07.2"), ("09.1", "09.2"),
        ("09.3", "09.4"), ("10.1", "10.2"), ("10.3", "10.4"),
    ):  # fmt: skip
        sheet = lesson(formula[:2], student)
        problem = sheet.problems[number]
        by_hand = float(sheet.problems[formula].right.subs(sheet.values)) / SCALES[problem.unit]
        assert by_hand == pytest.approx(problem.value, rel=problem.tolerance / 2)


@pytest.mark.parametrize("student", STUDENTS[:4])
def test_numbers_agree_with_the_engine(student):
    """Closed forms of the homework against antennas solved by the moment method."""
    sheet, problem = found("06", "06.2", student)
    wave, height = (one.shown for one in sheet.givens[:2])
    wire = al.Dipole(inner_m=wave / 4, shape=al.FlatTop(height_m=height), soil="perfect ground")
    assert wire.pattern(299.792458 / wave).lobes()[0][0] == pytest.approx(problem.value, rel=0.005)


@pytest.mark.parametrize("height", [7.5, 10.5])
def test_the_proportion_finds_the_cut(height):
    """Lesson 10's way, two measurements and a proportion, ends near the length that the engine wants."""
    made = al.design("20m", "10m", shape=al.FlatTop(height_m=height))
    f_a, f_b = resonance_with(made, 0.15), resonance_with(made, 0.11)
    more_cm = 4 * (made.high.f_mhz - f_b) / (f_b - f_a)
    assert more_cm == pytest.approx(11, rel=0.08)


# slips


@pytest.mark.parametrize(
    ("factor", "key"),
    [
        (-1, "sign"), (1000, "thousand"), (sp.Rational(1, 1000), "thousand"), (10**6, "million"), (1e-6,
                                                                                                   "million"),
        (10**12, "prefix"), (2, "double"), (sp.Rational(1, 2), "half"), (2 * sp.pi, "two-pi"),
        (1 / (2 * sp.pi), "two-pi"), (4, "four"), (sp.sqrt(2), "root-two"), (180 / sp.pi, "degrees"),
        (100, "percent"), (10, "ten"), (1 / sp.Float(0.3048), "feet"), (sp.Float("3.1416") / sp.pi,
                                                                        "rounded"),
    ],
)  # fmt: skip
def test_slips_of_a_factor_in_a_formula(factor, key):
    """Right formula, wrong unit, and the like: the hint says which."""
    sheet, problem = found("01", "01.1")
    verdict = judge(sheet, problem, problem.right * factor)
    assert (verdict.status, verdict.key) == ("wrong", key) and verdict.words


@pytest.mark.parametrize(
    ("name", "change", "key"),
    [
        ("01.4", lambda v: v * 1000, "thousand"), ("01.4", lambda v: v * 2, "double"),
        ("01.2", lambda v: v * 1e-12, "prefix"), ("07.2", lambda v: v / 0.3048, "feet"),
        ("07.3", lambda v: 2 * v, "db"), ("03.4", lambda v: v / 100, "percent"), ("08.4", lambda v: v * 1e6,
                                                                                  "million"),
        ("06.2", lambda v: math.radians(v), "degrees"), ("09.2", lambda v: 1 / v, "inverse"),
        ("09.2", lambda v: v**2, "root"), ("09.2", lambda v: v**0.5, "root"), ("05.4", lambda v: 1.02 * v,
                                                                               "rounded"),
        ("04.4", lambda v: 2 * math.pi * v, "two-pi"), ("01.4", lambda v: -v, "sign"),
    ],
)  # fmt: skip
def test_slips_in_a_number(name, change, key):
    """The same for numbers, in the unit of the problem."""
    sheet, problem = found(name[:2], name)
    verdict = judge(sheet, problem, change(problem.value))
    assert (verdict.status, verdict.key) == ("wrong", key) and verdict.words


def test_farads_for_picofarads_is_named():
    """Where the slip is the base unit itself, the hint names both units."""
    sheet, problem = found("01", "01.2")
    assert "in F, not in pF" in judge(sheet, problem, problem.value * 1e-12).words


def test_metres_for_centimetres_are_named():
    """Off by 100 in a length is no matter of per cent: the hint says metres, and of which unit it is."""
    sheet, problem = found("10", "10.4")
    words = judge(sheet, problem, problem.value / 100).words
    assert "metres and centimetres" in words and "in m, not in cm" in words
    assert "in m, not" not in judge(sheet, problem, problem.value / 1000).words


@pytest.mark.parametrize(
    ("name", "change"),
    [("09.2", lambda v: v * 2**0.5), ("04.2", lambda v: 1.002 / v), ("04.2", lambda v: v**1.9)],
)
def test_no_slip_is_named_that_is_none(name, change):
    """Metres have no peak, and near 1 the inverse and the square of a number are like any other wrong one."""
    sheet, problem = found(name[:2], name, "alder")
    verdict = judge(sheet, problem, change(problem.value))
    assert (verdict.status, verdict.words, verdict.key) == ("wrong", "", "other")


@pytest.mark.parametrize("student", ("example", *(f"student {i}" for i in range(12))))
def test_no_decibels_are_upside_down(student):
    """Nothing lost is wrong like any other number: one over a level, its square and its root mean nothing."""
    for number, name in NUMBERS:
        sheet, problem = found(number, name, student)
        if problem.unit == "dB":
            for answer in (0, 1 / problem.value):
                verdict = judge(sheet, problem, answer)
                assert verdict.status == "wrong" and verdict.key not in ("inverse", "root"), verdict


def test_homework_has_the_sky_of_the_lessons():
    """Each angle asked for is one at which noon returns the band; 08's layer is one of that day's hours."""
    noon, night = al.sky.at("noon"), al.sky.at("night")
    for low_mhz, high_mhz, angle, _ in YARDS:
        assert noon.returns([low_mhz, high_mhz], elevation_deg=angle).all(), (high_mhz, angle)
    for i in range(60):
        given = {one.symbol.name: one.shown for one in lesson("07", f"student {i}").givens}
        assert noon.returns(given["f"], elevation_deg=given["theta"]), given
        given = {one.symbol.name: one.shown for one in lesson("08", f"student {i}").givens}
        assert night.critical_mhz <= given["f_c"] <= noon.critical_mhz
        assert (1 - al.sky.LOWER) * noon.layer_km <= given["H"] <= (1 + al.sky.HIGHER) * noon.layer_km


def test_a_number_of_the_sheet_is_no_answer_yet():
    """Whoever hands in what the table gives is told which of its lines that was."""
    sheet, problem = found("10", "10.4")
    given = {one.symbol.name: one for one in sheet.givens}["y"]
    verdict = judge(sheet, problem, given.shown)
    assert (verdict.status, verdict.key) == ("wrong", "given") and given.meaning in verdict.words


@pytest.mark.parametrize(
    ("name", "answer", "key", "words"),
    [
        ("10.4", (6, 9), "comma", "decimal point"), ("10.2", (21, 570), "comma", "thousands"),
        ("10.4", "6.9 kg", "text", "without its unit"), ("10.4", "6.9 MHz", "text", "is in MHz"),
        ("05.1", 0.238, "formula", "a formula is wanted, in A and S"),
        ("06.4", 20 * sp.log(2 * sp.sin(10 * sp.sin(25)), 10), "complex", "degrees"),
    ],
)  # fmt: skip
def test_slips_of_typing_are_told_from_wrong_answers(name, answer, key, words):
    """A decimal comma, a unit, a number where a formula is wanted, degrees in a sine: unread, and why."""
    sheet, problem = found(name[:2], name)
    verdict = judge(sheet, problem, answer)
    assert (verdict.status, verdict.key) == ("unread", key) and words in verdict.words
    assert judging.labels_of(problem)[key]


def test_a_number_in_quotation_marks_is_read():
    """With its unit, another unit of the same kind or a decimal comma: what can be meant in one way only."""
    sheet, problem = found("10", "10.4")
    for text in (f"{problem.value:.4g}", f"{problem.value:.4g} cm", f"{problem.value / 100:.6g} m",
                 f"{problem.value:.4g}".replace(".", ","), f"{problem.value / 2.54:.5g} inches"):  # fmt: skip
        assert judge(sheet, problem, text).status == "right", text
    assert judge(sheet, problem, "1,234").key == "text"


@pytest.mark.parametrize(
    ("name", "answer"),
    [
        ("01.1", "1/((2*pi*f_0)**2*L)"), ("01.1", "1/(omega**2*L)"), ("01.3", "Q*omega*L"),
        ("03.1", "omega*L/(1 - omega**2*L*C)"), ("03.3", "L/(1 - omega**2/omega_0**2)"),
        ("07.1", "lambda/(4*sin(theta))"),
    ],
)  # fmt: skip
def test_what_the_lesson_writes_is_accepted(name, answer):
    """The lesson's own letters, where the sheet has others: f_0 for f, ω for 2πf, λ for c/f."""
    sheet, problem = found(name[:2], name)
    letters = symbols("f f_0 L C Q theta omega omega_0 lam")
    formula = sp.sympify(answer.replace("lambda", "lam"), {str(one): one for one in letters})
    formula = formula.subs(letters[-1], symbols("lambda"))
    verdict = judge(sheet, problem, formula)
    assert verdict.status == "right" and "is taken for" in verdict.words
    assert judge(sheet, problem, 2 * formula).status == "wrong"


def test_own_letters_and_values(capsys):
    """Values go by the lesson's letters too, and a symbol of one's own is told from the sheet's."""
    hw = homework.sheet("01")
    f, omega = hw.symbols("f_0 omega")
    assert float((omega / f).subs(hw.values)) == pytest.approx(2 * math.pi)
    hw.check("01.2", 1e12 / ((2 * sp.pi * sp.Symbol("f")) ** 2 * sp.Symbol("L")))
    assert "made L and f yourself" in capsys.readouterr().out.replace("\n      ", " ")


def test_the_check_is_called_as_it_comes(capsys):
    """A problem without its quotation marks, a decimal comma that makes two answers: read, or told."""
    hw = homework.sheet("01")
    hw.check(1.4, 56.8)
    hw.check("1.4", 56.8)
    hw.check("01.4", 56, 8)
    said = capsys.readouterr().out
    assert said.count("01.4  Right") == 2 and "comma parts two" in said


def test_a_distance_nearer_than_a_wave_is_not_left_standing():
    """Where the formula does not hold, which is so for every student, the right number comes with a word."""
    for i in range(40):
        sheet, problem = found("09", "09.4", f"student {i}")
        wave_m = 299.79 / float(re.search(r"at ([\d.]+) MHz", sheet.givens[-1].meaning)[1])
        assert problem.value < wave_m
        assert f"begins at about a wave, {wave_m:.1f} m" in judge(sheet, problem, problem.value).words


f, L, C, Q = symbols("f L C Q")


@pytest.mark.parametrize(
    ("answer", "status", "key"),
    [
        (sp.sqrt(1 / ((2 * sp.pi * f) ** 2 * L)), "wrong", "rooted"),
        ((2 * sp.pi * f) ** 2 * L, "wrong", "inverse"),
        (1 / ((2 * sp.pi * f) ** 2 * L) ** 2, "wrong", "root"),
        (1 / ((2 * 3.14 * f) ** 2 * L), "wrong", "rounded"),
        (sp.Eq(2 * sp.pi * f * L, 1 / (2 * sp.pi * f * C)), "unfinished", "unsolved"),
        (sp.Eq(f * L, 1 / (2 * sp.pi * f * C)), "unread", "unsolved"),
        (C / (f * L), "unread", "unsolved"),
        (Q / (f * L), "unread", "symbols"),
        (sp.Symbol("kappa") * L, "unread", "own-symbols"),
        (sp.Integral(2 * C, (C, 0, 1)) / ((2 * sp.pi * f) ** 2 * L), "unfinished", "unfinished"),
        (sp.Derivative(C / ((2 * sp.pi * f) ** 2 * L), C).subs(C, C), "unread", "unsolved"),
        ([f, L], "unread", "several"), ([], "unread", "empty"), (None, "blank", ""), (..., "blank", ""),
        ("", "blank", ""), ({}, "blank", ""), ("1/(f*L)", "unread", "text"), (True, "unread", "truth"),
        (sp.true, "unread", "truth"), (sp.zoo, "unread", "infinite"), (sp.Sum(C, (C, 1, 9)), "unread",
                                                                       "unfinished"),
        (sp.Matrix([f]), "unread", "kind"), (sp.gamma(f), "unread", "kind"), (f / (L - L * 1), "unread",
                                                                              "infinite"),
        (sp.ConditionSet(C, sp.Eq(sp.cos(C), C), sp.S.Reals), "unread", "unfinished"),
        (sp.Function("g")(f), "unread", "kind"),
    ],
)  # fmt: skip
def test_what_is_not_quite_a_formula(answer, status, key):
    """Each kind of half-done or odd answer gets the sentence that helps on."""
    sheet, problem = found("01", "01.1")
    verdict = judge(sheet, problem, answer)
    assert (verdict.status, verdict.key) == (status, key) and verdict.words
    if key:
        assert judging.labels_of(problem)[key]


def test_symbols_of_ones_own_are_explained():
    """A student's own L is taken for the sheet's; the student is told why the sheet's is better."""
    sheet, problem = found("01", "01.1")
    words = judge(sheet, problem, 1 / ((2 * sp.pi * f) ** 2 * sp.Symbol("L"))).words
    assert words.startswith("Right. You made L yourself.") and "positive" in words


def test_long_right_answers_are_right_and_could_be_shorter():
    """Equal but not simplified: right, with a word about it."""
    sheet, problem = found("01", "01.1")
    long = sum(problem.right * (sp.sin(f * i) ** 2 + sp.cos(f * i) ** 2) for i in range(1, 5)) / 4
    verdict = judge(sheet, problem, long)
    assert verdict.status == "right" and "shorter" in verdict.words


# nothing wrong passes


def leaf(names):
    return st.sampled_from(names) | st.integers(1, 9) | st.just("pi")


def trees(names):
    """Formulas as nested tuples, so that this file can evaluate them without sympy."""
    pair = st.sampled_from("+-*/^")
    return st.recursive(
        leaf(names),
        lambda inner: st.tuples(pair, inner, inner) | st.tuples(st.sampled_from(["sqrt", "sin"]), inner),
        max_leaves=7,
    )


def as_sympy(tree, table):
    if not isinstance(tree, tuple):
        return sp.pi if tree == "pi" else table.get(tree, tree)
    parts = [as_sympy(part, table) for part in tree[1:]]
    if tree[0] in ("sqrt", "sin"):
        return getattr(sp, tree[0])(parts[0], evaluate=False)
    a, b = map(sp.sympify, parts)  # put together as they are: sympy alone takes its time over odd powers
    if tree[0] == "^":
        return sp.Pow(a, sp.Rational(1 + len(str(tree[2])) % 4, 2), evaluate=False)
    if tree[0] in "-/":
        b = sp.Mul(-1, b, evaluate=False) if tree[0] == "-" else sp.Pow(b, -1, evaluate=False)
    return (sp.Add if tree[0] in "+-" else sp.Mul)(a, b, evaluate=False)


def by_hand(tree, values):
    """The same in complex floats: knows neither sympy nor mpmath."""
    if not isinstance(tree, tuple):
        return cmath.pi if tree == "pi" else complex(values.get(tree, tree if isinstance(tree, int) else 0))
    parts = [by_hand(part, values) for part in tree[1:]]
    if tree[0] in ("sqrt", "sin"):
        return getattr(cmath, tree[0])(parts[0])
    a, b = parts
    if tree[0] == "^":
        return a ** ((1 + len(str(tree[2])) % 4) / 2)
    return {"+": a + b, "-": a - b, "*": a * b}[tree[0]] if tree[0] != "/" else a / b


CAPACITOR = ("/", 1, ("*", ("*", 4, ("*", "pi", "pi")), ("*", ("*", "f", "f"), "L")))
POINT = {"f": 7.123, "L": 2.345}  # in MHz and µH: a formula is right or wrong at any point


def changed(draw_at, tree, part):
    """The right formula with one of its nodes replaced."""
    if draw_at == 0 or not isinstance(tree, tuple):
        return part
    kept = list(tree)
    kept[1 + draw_at % (len(tree) - 1)] = changed(draw_at // 2, kept[1 + draw_at % (len(tree) - 1)], part)
    return tuple(kept)


near_misses = st.builds(changed, st.integers(0, 60), st.just(CAPACITOR), trees(["f", "L"]))


@settings(max_examples=100, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
@given(st.lists(trees(["f", "L"]) | near_misses, min_size=25, max_size=25))
def test_no_wrong_formula_passes(drawn):
    """2,500 random formulas, half of them the right one with a part exchanged: right if and only if equal."""
    sheet, problem = found("01", "01.1")
    for tree in drawn:
        try:
            difference = abs(by_hand(tree, POINT) / by_hand(CAPACITOR, POINT) - 1)
            answer = as_sympy(tree, {"f": f, "L": L})
        except (ZeroDivisionError, OverflowError):
            continue
        verdict = judge(sheet, problem, answer)
        assert (verdict.status == "right") == (difference < 1e-7), (answer, verdict)


@every_formula
def test_no_formula_passes_with_a_part_exchanged(number, name):
    """Each node replaced in four ways: right if and only if NumPy finds the same values."""
    sheet, problem = found(number, name)
    names = sorted(problem.right.free_symbols, key=str)
    spans = {one.symbol: one.span(in_base_units=False) for one in sheet.givens}
    points = [np.geomspace(*spans[one], 5)[[3, 1, 2]] * (1 + 0j) for one in names]
    wanted = sp.lambdify(names, problem.right, "numpy")(*points)
    seen = Counter()
    for node in set(sp.preorder_traversal(problem.right)):
        for other in (2 * node, node**2, node + names[0], names[-1]):
            answer = problem.right.xreplace({node: other})
            if answer.has(sp.zoo, sp.nan):
                continue
            with np.errstate(all="ignore"):
                values = sp.lambdify(names, answer, "numpy")(*points)
            same = bool(np.all(np.abs(values - wanted) <= 1e-7 * np.abs(wanted)))
            assert (judge(sheet, problem, answer).status == "right") == same, answer
            seen[same] += 1
    assert seen[False] >= 12


@pytest.mark.parametrize("wrong", [f + L, f - L, f * (1 + L), f + L**2])
def test_a_henry_too_many_is_seen(wrong):
    """A term of another unit is wrong, even where it is smaller than the rounding of the other."""
    sheet, problem = found("01", "01.1")
    assert judge(sheet, problem, problem.right.subs(f, wrong)).status == "wrong"


def test_constants_may_be_typed():
    """The speed of light as a number is as good as the sheet's symbol, and 3e8 is taken for what it is."""
    sheet, problem = found("07", "07.1")
    f, theta = symbols("f theta")
    assert judge(sheet, problem, 299_792_458 / (4 * f * sp.sin(theta))).status == "right"
    assert judge(sheet, problem, 3e8 / (4 * f * sp.sin(theta))).key == "rounded"


@settings(max_examples=100, deadline=None, derandomize=True)
@given(
    st.lists(
        st.floats() | st.integers() | st.fractions() | st.decimals() | st.complex_numbers()
        | st.floats(0.9, 1.1) | st.floats(0.98, 1.02),
        min_size=25, max_size=25,
    ),
    st.sampled_from(NUMBERS),
)  # fmt: skip
def test_no_wrong_number_passes(drawn, pair):
    """2,500 random numbers of all types, many of them near: right if and only if within the tolerance."""
    sheet, problem = found(*pair)
    for number in drawn:
        if isinstance(number, float) and 0.9 <= number <= 1.1:
            number *= problem.value
        verdict = judge(sheet, problem, number)
        try:
            z = complex(number)
        except (OverflowError, ValueError):
            z = complex("nan")
        near = abs(z.real - problem.value) <= max(
            problem.slack, problem.tolerance * abs(problem.value) * (not problem.slack)
        )
        assert (verdict.status == "right") == (near and abs(z.imag) <= 1e-9 * abs(z)), (number, verdict)


@settings(max_examples=100, deadline=None, derandomize=True)
@given(
    st.lists(
        st.text(LETTERS, max_size=3) | st.sampled_from("abcdefABCD") | st.integers() | st.none()
        | st.binary(max_size=2),
        min_size=25, max_size=25,
    ),
    st.sampled_from(sorted(LESSONS)),
)  # fmt: skip
def test_no_wrong_letter_passes(drawn, number):
    """2,500 random answers to a decision: right if and only if it is the right letter."""
    sheet = lesson(number)
    (problem,) = (one for one in sheet.problems.values() if isinstance(one, Choice))
    for answer in drawn:
        cleaned = answer.strip().rstrip(".)").lower() if isinstance(answer, str) else None
        assert (judge(sheet, problem, answer).status == "right") == (cleaned == problem.right)


# hostile answers


class Meta(type):
    """A class whose own class answers for it."""

    def __hash__(cls):
        raise SystemError

    def __eq__(cls, other):
        raise SystemError

    def __instancecheck__(cls, thing):
        raise SystemError


class Hostile(metaclass=Meta):
    """Raises at whatever is asked of it."""

    def __getattribute__(self, name):
        raise SystemError(name)

    def __len__(self):
        while True:
            pass


class Sly(sp.Symbol):
    """A symbol that runs its owner's code."""

    @property
    def free_symbols(self):
        raise SystemError

    def _eval_evalf(self, digits):
        raise SystemError


class LongText(str):
    """Text with methods of its own."""

    def strip(self, *letters):
        raise SystemError


def deep(n):
    tree = f
    for _ in range(n):
        tree = sp.sin(tree, evaluate=False)
    return tree


def doubled(n):
    tree = f
    for _ in range(n):
        tree = sp.sin(tree) * sp.cos(tree)
    return tree


def endless():
    """A list that holds itself."""
    one = []
    one.append(one)
    return one


HOSTILE = {
    "a class of its own": Hostile,
    "a thing of that class": Hostile(),
    "a symbol with code": Sly("f"),
    "that symbol inside": Sly("f") + 1,
    "text with code": LongText("a"),
    "long text": "a" * 10**7,
    "bytes": b"1",
    "code": "__import__('os').abort()",
    "a power tower": sp.Pow(sp.Pow(f, 9**99, evaluate=False), 9**99, evaluate=False),
    "a huge whole number": 10**200_000,
    "a huge power": sp.Pow(10, 10**9, evaluate=False),
    "a huge exponent": f ** (10**900),
    "exponents of exponents": sp.exp(sp.exp(sp.exp(sp.exp(1000 * f)))),
    "a huge decimal": decimal.Decimal("1e999999999"),
    "no decimal": decimal.Decimal("sNaN"),
    "a huge fraction": fractions.Fraction(10**5000, 7),
    "a tiny number": sp.Float("1e-100000"),
    "nan": float("nan"),
    "inf": -math.inf,
    "zoo": sp.zoo,
    "oo": sp.oo,
    "sympy's nan": sp.nan,
    "a matrix": sp.eye(3),
    "a huge matrix": sp.MatrixSymbol("M", 10**6, 10**6),
    "an array": np.zeros((1000, 1000)),
    "an array of things": np.array([Hostile], dtype=object),
    "an array of text": np.array(["f"]),
    "a deep formula": deep(200),
    "one formula many times": doubled(60),
    "itself in a list": endless(),
    "nested lists": [[[[[f]]]]],
    "a long list": list(range(10**6)),
    "a function": len,
    "a module": math,
    "a generator": (i for i in range(3)),
    "an integral of integrals": sp.Integral(sp.exp(f * L * C), (f, 0, 1), (L, 0, 1), (C, 0, 1)),
    "an endless integral": sp.Integral(sp.sin(1 / C) / C, (C, 0, sp.oo)),
    "an open integral": sp.Integral(f, f),
    "many derivatives": sp.Derivative(sp.sin(f * L), (f, 900), evaluate=False),
    "a pole": sp.Pow(sp.sin(sp.pi, evaluate=False), -1, evaluate=False),
    "a sum": sp.Sum(1 / f, (f, 1, sp.oo)),
    "a set": {1, 2},
    "a lambda": lambda x: x,
    "an equation of huge powers": sp.Eq(C, f ** (10**900)),
    "an inequality": f < L,
    "logic": sp.And(f < 1, L < 1),
    "a wild symbol": sp.Wild("f"),
    "a huge name": sp.Symbol("f" * 10**6),
    "a big angle": sp.cos(sp.Integer(10**880)) * f,
    "many big angles": sum(sp.cos(10**880 * f + i) for i in range(120)),
    "an integral of big angles": sp.Integral(sum(sp.cos(10**880 * C + i) for i in range(9)), (C, 0, 1)),
    "a factorial": sp.factorial(10**9, evaluate=False),
    "piecewise": sp.Piecewise((1, f > 1), (2, True)),
    "an exception": ValueError("x"),
    "a date": time.localtime(),
    "a NumPy bool": np.bool_(True),
    "a long double": np.longdouble(3),
    "a memory view": memoryview(b"abc"),
}


@pytest.mark.parametrize("what", HOSTILE)
def test_hostile_answers_are_refused_in_a_moment(what):
    """Whatever is handed in: no crash, no hang, nothing of it is run, and an answer within 2 s."""
    for name in ("01.1", "01.2", "01.5"):
        sheet, problem = found("01", name)
        start = time.process_time()
        verdict = judge(sheet, problem, HOSTILE[what])
        assert time.process_time() - start < 2
        assert verdict.status in ("unread", "wrong") and len(verdict.words) < 300
        assert verdict.words or verdict.key == "other"


def test_no_text_is_evaluated(monkeypatch):
    """An answer typed as text meets no eval, no exec and no sympify."""

    def forbidden(*args, **named):
        raise AssertionError("text was evaluated")

    sheet = lesson("01")
    monkeypatch.setattr("builtins.eval", forbidden)
    monkeypatch.setattr("builtins.exec", forbidden)
    monkeypatch.setattr(sp, "sympify", forbidden)
    monkeypatch.setattr(sys.modules["sympy.core.sympify"], "sympify", forbidden)
    for name in ("01.1", "01.2"):
        assert judge(sheet, sheet.problems[name], "1/(4*pi**2*f**2*L)").key == "text"


# the student's face


def said(capsys):
    return " ".join(capsys.readouterr().out.split())


def test_first_a_hint_then_a_step(capsys):
    """A nudge at the first try, a worked step at the third; the same answer again is no try."""
    hw = homework.sheet("01", student="juniper")
    problem = lesson("01", "juniper").problems["01.2"]
    tries = []
    for answer in (1.0, 1.0, 3.0, 5.0):
        hw.check("01.2", answer)
        tries.append(said(capsys))
    assert tries[0] == tries[1] == f"01.2 Not yet. {problem.nudge}"
    assert "A step:" not in tries[2] and "A step: With f =" in tries[3]
    hw.check("01.2", problem.value)
    assert said(capsys).startswith("01.2 Right:")
    hw.check("01.2", 7.0)
    assert "the right one is kept" in said(capsys)


@every_problem
def test_no_hint_is_the_answer(number, name, capsys):
    """Six wrong tries show hints and a step, and never the number or the letter itself."""
    sheet, problem = found(number, name)
    hw = homework.sheet(number)
    wrongs = [-7.123, 77.123e5, sp.Float(123456), sp.Rational(1, 7), 3e-9, 1]
    if isinstance(problem, Choice):
        wrongs = [letter for letter in problem.options if letter != problem.right]
    if isinstance(problem, Expression):
        wrongs = [one * symbols(problem.names[0]) for one in wrongs]
    for answer in wrongs:
        hw.check(name, answer)
    shown = said(capsys)
    assert "A step:" in shown and "Right" not in shown
    if isinstance(problem, Number):
        assert f" {problem.value:.4g}" not in shown
    if isinstance(problem, Expression):
        assert str(problem.right) not in shown


def test_check_never_raises(capsys):
    """An unknown problem, a problem that is none, and nothing at all are answered in words."""
    hw = homework.sheet(1)
    for name in ("01.9", "", None, 7.7, Hostile(), ["01.1"]):
        hw.check(name, 1)
        hw.options(name)
    hw.check("01.1")
    hw.options("01.1")
    shown = said(capsys)
    assert shown.count("The problems of this sheet are") == 6 and "01.1 Not answered yet." in shown
    assert shown.count("There are options for 01.5.") == 7


def test_the_sheet_shows_symbols_units_and_tolerance():
    """As a table in JupyterLab, and as aligned text elsewhere."""
    hw = homework.sheet("02", student="juniper")
    for text in (repr(hw), hw._repr_markdown_().replace("\\", "")):
        assert "f_1" in text and "MHz" in text and "right within 2 %" in text and "juniper" in text
        assert " ft)" in text and "Hz" in text
    assert "| --- |" in hw._repr_markdown_()
    assert "<b>" not in homework.sheet("02", student="<b>*x*")._repr_markdown_().replace("\\<", "")


def test_symbols_come_from_the_sheet():
    """They are positive, one name gives one symbol, and an unknown name is answered with those that exist."""
    hw = homework.sheet("03")
    r, unknown = hw.symbols("r, X")
    assert r.is_positive and unknown.name == "X" and r in hw.values
    assert hw.symbols("L") == symbols("L")
    for names in ("kappa", "", None, ["L"]):
        with pytest.raises(ValueError, match="f_0"):
            hw.symbols(names)


def test_a_name_that_is_none_is_refused_kindly():
    """The sheet says what a name is."""
    for student in (7, None, b"x", ["x"], "x" * 41, Hostile(), LongText("x")):
        with pytest.raises(ValueError, match="call sign"):
            homework.sheet("01", student=student)


@pytest.mark.parametrize("number", ["00", "99", "", None, 1.5, 99, "x" * 1000])
def test_a_lesson_that_is_none_is_refused_kindly(number):
    """The sheet says which lessons there are."""
    with pytest.raises(ValueError, match="01"):
        homework.sheet(number)


def test_numbers_and_answers_for_the_instructor(monkeypatch, capsys):
    """`antlab homework NAME` prints what the student sees, and what is expected."""
    monkeypatch.setattr(cli, "settle", lambda extra, argv: None)
    assert cli.main(["homework", "Red Oak", "--lesson", "1"]) == 0
    one = capsys.readouterr().out
    assert "C = 1/(4*pi**2*L*f**2)" in one and "L = 1.8 µH" in one and "31.311 pF, within 1 %" in one
    assert cli.main(["homework", "red oak"]) == 0
    everything = capsys.readouterr().out
    assert one.strip() in everything and all(name in everything for _, name in ALL)
    assert cli.main(["homework", "x", "--lesson", "12"]) == 2
    assert cli.main(["homework", "x" * 50]) == 2
    assert "Traceback" not in capsys.readouterr().err
