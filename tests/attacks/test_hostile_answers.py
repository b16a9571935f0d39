"""What a student may hand in, made by hand to break the check: each is answered by a sentence, soon."""

import decimal
import fractions
import time

import numpy as np
import pytest
import sympy as sp
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from antlab.classroom import homework
from antlab.classroom.homework import judging, reading
from antlab.classroom.homework.problems import Choice, Expression, Number, lesson, symbols

SHEET = lesson("01", "juniper")
FORMULA, NUMBER, CHOICE = (SHEET.problems[name] for name in ("01.1", "01.2", "01.5"))
L, f, C = symbols("L f C")
SECONDS = 1.5  # of work: the walk through a formula ends after 0.8


def made(kind, *parts, **slots):
    """One of sympy's nodes with any parts and slots, which no call of sympy's would make."""
    node = sp.Basic.__new__(kind, *parts)
    for name, value in slots.items():
        setattr(node, name, value)
    return node


def bare(kind):
    """A thing of a class without anything that its maker would have given it."""
    return object.__new__(kind)


def around_itself(kind=sp.sin):
    """A node that is its own part."""
    node = made(kind)
    node._args = (node,)
    return node


def deep(n, kind=sp.sin):
    """A formula of n functions in each other, too deep for Python to walk down into."""
    tree = f
    for _ in range(n):
        tree = made(kind, tree)
    return tree


def forged(kind, **slots):
    """A number or symbol with other things in its slots."""
    thing = bare(kind)
    for name, value in slots.items():
        setattr(thing, name, value)
    return thing


class Loud:
    """Raises whatever is asked of it, and says so."""

    def __getattribute__(self, name):
        raise RuntimeError(name)

    __eq__ = __hash__ = __len__ = __iter__ = __bool__ = __str__ = __repr__ = __format__ = __getattribute__


class FalseClass:
    """Says that it is a number of sympy's, a text, or whatever is asked for."""

    __class__ = sp.Integer

    def __eq__(self, other):
        return True

    def __hash__(self):
        return hash("a")

    def __len__(self):
        return 0


class Whole(sp.Integer):
    """A whole number with a size of its own."""

    def __int__(self):
        raise RuntimeError


class Endless(list):
    """A list that never ends."""

    def __iter__(self):
        return iter(int, 1)

    def __len__(self):
        return 1


class Unsaid(sp.Function):
    """A function whose symbols can't be asked for."""

    @property
    def free_symbols(self):
        raise RuntimeError


class Wide(int):
    """A whole number that has no bits to count."""

    def bit_length(self):
        raise RuntimeError


def array_of(thing):
    """An array of NumPy's that holds a thing, which isn't asked what it is."""
    array = np.empty(1, dtype=object)
    array[0] = thing
    return array


def nan_with_payload():
    return np.frombuffer(b"\x01\x02\x03\x04\x05\x06\xf8\x7f", dtype=float)[0]


TINY = sp.Rational(1, 10**6)
PARTS_WRONG = {
    f"{kind.__name__} of {what}": made(kind, *parts)
    for kind in (sp.Pow, sp.sin, sp.log, sp.atan2, sp.Abs, sp.Max, sp.Add, sp.Mul, sp.exp, sp.floor, sp.Eq,
                 sp.Integral, sp.Derivative, sp.Tuple, sp.Dict, sp.FiniteSet, sp.UnevaluatedExpr)
    for what, parts in {
        "nothing": (), "three": (f, L, f), "text": ("f", "L"), "None": (None,), "two ints": (1, 2),
        "a list": ([f],),
        "pairs": (f, sp.Tuple(L, 2)), "half pairs": (f, sp.Tuple(L)), "no pairs": (f, sp.Tuple()),
        "a bare tuple": (f, (L, 1, 2)), "limits of text": (f, made(sp.Tuple, "L", "1", "2")),
        "limits of numbers": (f, sp.Tuple(sp.S(1), sp.S(2), sp.S(3))), "truth": (sp.true, sp.false),
        "Basic": (sp.Basic(f), sp.Basic()), "loud things": (Loud(), Loud()), "classes": (sp.Symbol, type),
    }.items()
}  # fmt: skip
ATTACKS = PARTS_WRONG | {
    "a derivative of a number": sp.Derivative(3, L),
    "a derivative of nothing": made(sp.Derivative),
    "a derivative by a number": made(sp.Derivative, f, sp.Tuple(sp.S(3), sp.S(1))),
    "a derivative by a formula": made(sp.Derivative, f**2, sp.Tuple(f**2, sp.S(1))),
    "a derivative of order -1": made(sp.Derivative, f**2, sp.Tuple(f, sp.S(-1))),
    "a derivative of orders -5 and 6": made(
        sp.Derivative, f * L, sp.Tuple(f, sp.S(-5)), sp.Tuple(L, sp.S(6))
    ),
    "a derivative of order 0": made(sp.Derivative, f**2, sp.Tuple(f, sp.S(0))),
    "a derivative of order n": sp.Derivative(f**2, (f, sp.Symbol("n", integer=True, positive=True))),
    "a derivative of order 1/2": made(sp.Derivative, f**2, sp.Tuple(f, sp.Rational(1, 2))),
    "a derivative of huge order": made(sp.Derivative, f**2, sp.Tuple(f, sp.S(10**400))),
    "derivatives of derivatives": made(
        sp.Derivative, sp.Derivative(sp.Derivative(f**9, (f, 2)), (L, 2)), sp.Tuple(f, sp.S(2))
    ),
    "an angle of a root below zero": sp.atan2(sp.sqrt(-L), L),
    "the largest of roots below zero": sp.Max(sp.sqrt(-1 - TINY * 2), L, evaluate=False),
    "the least of I": made(sp.Min, sp.I, f),
    "the whole part of I": sp.floor(f * sp.I),
    "a sign of something huge": sp.sign(f * 10**890),
    "an angle of something huge": sp.arg(f * 10**890 * sp.I - 10**880),
    "an integral over everything": sp.Integral(sp.exp(-(C**2)) * f, (C, -sp.oo, sp.oo)),
    "integrals over everything": sp.Integral(f * C, (C, 0, sp.oo), (f, -sp.oo, sp.oo)),
    "an integral over a number": made(sp.Integral, f, sp.Tuple(sp.S(3), sp.S(0), sp.S(1))),
    "an integral to itself": made(sp.Integral, f, sp.Tuple(f, f, f)),
    "an integral between functions": sp.Integral(f * C, (C, f, f**2)),
    "a wild integral": sp.Integral(sp.tan(C**9 * f), (C, 0, 10**6)),
    "four integrals": sp.Integral(sp.sin(f * C) + L, (C, 0, f), (L, 0, f), (f, 0, C), (C, 0, 1)),
    "itself": around_itself(),
    "itself in a list": around_itself(sp.Tuple),
    "itself as an equation": around_itself(sp.Eq),
    "itself as a set": around_itself(sp.FiniteSet),
    "a million terms": made(sp.Add, *[f] * 10**6),
    "5,000 functions": deep(5000),
    "5,000 tuples": deep(5000, sp.Tuple),
    "5,000 terms in each other": deep(5000, sp.Add),
    "a number of text": forged(sp.Float, _mpf_="3", _prec=53),
    "a number of None": forged(sp.Float, _mpf_=None, _prec=53),
    "a number without size": bare(sp.Float),
    "a number with a wrong count of bits": forged(sp.Float, _mpf_=(0, 5, 0, 77), _prec=53),
    "a number of floats": forged(sp.Float, _mpf_=(0, 5.0, 0.5, 3), _prec=53),
    "a number of huge power": forged(sp.Float, _mpf_=(0, 5, 10**800, 3), _prec=53),
    "a number of endless power": forged(sp.Float, _mpf_=(0, 5, 10**5000, 3), _prec=53),
    "a number of many bits": forged(sp.Float, _mpf_=(0, 3**10**5, -150_000, 3), _prec=53),
    "a number below zero inside": forged(sp.Float, _mpf_=(0, -5, 0, 3), _prec=53),
    "a number of two signs": forged(sp.Float, _mpf_=(7, 5, 0, 3), _prec=53),
    "a number that is infinite": forged(sp.Float, _mpf_=(0, 0, -456, -2), _prec=53),
    "a number that is none": forged(sp.Float, _mpf_=(0, 0, -123, -1), _prec=53),
    "a number of true": forged(sp.Float, _mpf_=(False, True, False, True), _prec=53),
    "a whole number of text": forged(sp.Integer, p="3"),
    "a whole number without size": bare(sp.Integer),
    "a whole number of its own": Whole(3),
    "a ratio by zero": forged(sp.Rational, p=1, q=0),
    "a ratio of None": forged(sp.Rational, p=None, q=None),
    "a ratio of huge numbers": forged(sp.Rational, p=7**9999, q=3**9999),
    "a symbol without a name": bare(sp.Symbol),
    "a symbol of a number": forged(sp.Symbol, name=3, _assumptions=f._assumptions),
    "a symbol of None": forged(sp.Symbol, name=None, _assumptions=f._assumptions),
    "a symbol of a list": forged(sp.Symbol, name=["f"], _assumptions=f._assumptions),
    "a symbol of loud facts": forged(sp.Symbol, name="f", _assumptions=Loud()),
    "a symbol of no facts": forged(sp.Symbol, name="f", _assumptions=None),
    "a symbol that steers a terminal": sp.Symbol("\x1b[2J\x07\u202e"),
    "a symbol of blanks": sp.Symbol(" "),
    "an empty name": sp.Symbol(""),
    "half a letter": sp.Symbol("\udcff"),
    "an unknown function": sp.Function("f")(L),
    "a function of its own": Unsaid(f),
    "pieces": sp.Piecewise((made(sp.Pow), f > 1), (f, True)),
    "pieces by hand": made(sp.Piecewise, f, L),
    "a matrix": sp.MatrixSymbol("M", 2, 2),
    "part of a matrix": sp.MatrixSymbol("M", 2, 2)[0, 0],
    "a matrix by hand": made(sp.ImmutableDenseMatrix, f),
    "an equation of truths": sp.Eq(sp.true, sp.false, evaluate=False),
    "an equation of equations": sp.Eq(sp.Eq(f, L), sp.Eq(L, C), evaluate=False),
    "an equation in an equation": made(
        sp.Eq, C, made(sp.Eq, C, made(sp.Eq, C, made(sp.Eq, C, made(sp.Eq, C, f))))
    ),
    "an equation of texts": made(sp.Eq, "C", "1/f"),
    "an equation of C and text": made(sp.Eq, C, "1/f"),
    "an equation with a nameless symbol": made(sp.Eq, bare(sp.Symbol), f),
    "an equation that takes long": sp.Eq(C * sp.Integral(sp.tan(L**9 * f), (L, 0, 10**6)), f, evaluate=False),
    "an equation of C in an integral": sp.Eq(C + 1, sp.Integral(f * L * C, (L, 0, C))),
    "a dictionary of sympy's": sp.Dict({C: f}),
    "an empty dictionary of sympy's": sp.Dict(),
    "a dictionary of loud things": {1: Loud()},
    "an order of terms": sp.Order(f),
    "a power of powers": sp.Pow(10, sp.Pow(10, 6, evaluate=False), evaluate=False) * f,
    "a tower": made(sp.Pow, f, made(sp.Pow, f, made(sp.Pow, f, made(sp.Pow, f, made(sp.Pow, f, f))))),
    "zero to the power of I": sp.Pow(0, sp.I, evaluate=False),
    "a logarithm of zero": sp.log(0, evaluate=False),
    "a logarithm on zero": made(sp.log, f, sp.S(0)),
    "a logarithm on one": made(sp.log, f, sp.S(1)),
    "a hyperbola of something huge": sp.sinh(f * 10**890),
    "a tangent at its pole": sp.tan(sp.pi / 2, evaluate=False),
    "the reverse of sine, far out": sp.acsc(TINY**100 * f),
    "loud": Loud(),
    "a false class": FalseClass(),
    "an endless list": Endless([f]),
    "a wide int": Wide(3),
    "a set of loud things": {object()},
    "no number with a payload": nan_with_payload(),
    "an array of no number": np.array([nan_with_payload()]),
    "a thing of NumPy's": np.array([None], dtype=object),
    "one thing of NumPy's": array_of(Loud()),
    "a date of NumPy's": np.datetime64("2020-01-01"),
    "a record of NumPy's": np.zeros(1, dtype=[("f", float)]),
    "a text of NumPy's": np.str_("a"),
    "a masked array": np.ma.masked_array([1.0], mask=[True]),
    "an empty array": np.zeros((0, 3)),
    "a fraction of text": forged(fractions.Fraction, _numerator="x" * 999, _denominator=10**12),
    "a fraction by zero": forged(fractions.Fraction, _numerator=1, _denominator=0),
    "a fraction of nothing": bare(fractions.Fraction),
    "a long decimal": decimal.Decimal("1" * 10**6),
    "a dot": ...,
    "a slice": slice(None),
    "a complex without number": complex("nan+infj"),
    "a class": sp.Symbol,
    "a kind": type,
}  # fmt: skip
KNOWN = ("a derivative of a number", "an angle of a root below zero")  # these were raised at a student


def said_of(problem, answer):
    """The Verdict, without the net under it, and soon."""
    start = time.process_time()
    try:
        verdict = judging._judged(SHEET, problem, answer)
    except reading.Refusal as refusal:
        verdict = judging.Verdict(judging.UNREAD, str(refusal), refusal.key)
    assert time.process_time() - start < SECONDS
    assert len(verdict.words) < 400 and verdict.words.isprintable()
    return verdict


@pytest.mark.parametrize("what", ATTACKS)
def test_whatever_is_handed_in_is_answered(what):
    """A formula made by hand, a number with forged insides: read or refused, nothing raised, no hang."""
    for problem in (FORMULA, NUMBER, CHOICE):
        verdict = said_of(problem, ATTACKS[what])
        assert verdict.status != judging.RIGHT
        assert verdict.words or verdict.key == "other"


@pytest.mark.parametrize("what", [*KNOWN, "itself", "loud"])
def test_the_sheet_says_it(what, capsys):
    """As a student meets it: hw.check prints a sentence of its own for each kind of problem."""
    hw = homework.sheet("01", student="juniper")
    for name in ("01.1", "01.2", "01.5"):
        hw.check(name, ATTACKS[what])
        said = capsys.readouterr().out
        assert said.startswith(name) and len(said) < 600


def test_every_lesson_holds():
    """The same attacks on a formula and a number of each other lesson."""
    for number in ("03", "06", "08", "10"):
        sheet = lesson(number, "juniper")
        for problem in sheet.problems.values():
            for what in (*KNOWN, "the whole part of I", "itself"):
                assert judging.judge(sheet, problem, ATTACKS[what]).status != judging.RIGHT


def test_the_last_net(monkeypatch):
    """What nobody foresaw is a sentence too, and owned as ours; Ctrl-C is still Ctrl-C."""

    def fail(answer, unknown=None):
        raise fail.error

    monkeypatch.setattr(judging, "read", fail)
    for fail.error in (KeyError("x"), RecursionError(), MemoryError(), AssertionError()):
        verdict = judging.judge(SHEET, NUMBER, 3)
        assert verdict.status == judging.UNREAD and verdict.words.startswith("This is a mistake in antlab")
    fail.error = KeyboardInterrupt()
    with pytest.raises(KeyboardInterrupt):
        judging.judge(SHEET, NUMBER, 3)


# --- what is well made is still read


@pytest.mark.parametrize(
    ("answer", "value"),
    [
        (made(sp.Add, sp.S(2), sp.Float(0.5)), 2.5),
        (sp.Derivative(C**3, C, C).subs(C, C), None),
        (sp.Integral(C**2, (C, 0, 3)), 9),
        (sp.Integral(sp.Derivative(C**3, C), (C, 1, 2)), 7),
        (sp.atan2(sp.Integer(1), -1, evaluate=False), 3 * np.pi / 4),
        (sp.Max(sp.sqrt(2), sp.Rational(3, 2), evaluate=False), 1.5),
        (made(sp.log, sp.S(8), sp.S(2)), 3),
        (sp.Float("1.25", 2000), 1.25),
        (sp.Abs(3 + 4 * sp.I, evaluate=False), 5),
        (made(sp.Eq, sp.Symbol("x"), sp.S(7)), 7),
        (sp.Dict({C: sp.S(7)}), 7),
        (sp.FiniteSet(7), 7),
        ([(7,)], 7),
        (fractions.Fraction(7, 2), 3.5),
        (sp.E + sp.EulerGamma + sp.GoldenRatio, np.e + 0.57721566490153286 + (1 + 5**0.5) / 2),
    ],
)  # fmt: skip
def test_numbers_are_worked_out(answer, value):
    """The copy of a formula has its value; a derivative at no given point has none."""
    it = reading.read(answer)
    if value is None:
        assert it.names == {"C"}
    else:
        assert it.names == set() and float(it.along([{}])[0]) == pytest.approx(value, rel=1e-12)


def test_bound_symbols_are_not_asked_for():
    """Those of an integral are its own; those of its limits, and those of a derivative, are not."""
    assert reading.read(sp.Integral(C * f, (C, 0, 1))).names == {"f"}
    assert reading.read(sp.Integral(C, (C, 0, C))).names == {"C"}
    assert reading.read(sp.Integral(C * L, (C, 0, L), (L, 0, f))).names == {"f"}
    assert reading.read(sp.Derivative(C * f, C)).names == {"C", "f"}
    assert reading.read(sp.Derivative(3, L)).names == {"L"}


# --- trees that nobody thought of


def one_of(things):
    """One of things that hypothesis must not look at."""
    return st.integers(0, len(things) - 1).map(lambda i: things[i])


OTHERS = {sp.Tuple, sp.Eq, sp.Piecewise, sp.FiniteSet, sp.Sum, sp.factorial}
KINDS = sorted(reading._INNER | OTHERS, key=str)
ODD = one_of(
    [None, 7, "f", [], (f, 1), Loud(), sp.true, sp.oo, sp.nan, sp.Tuple(), sp.Basic(), bare(sp.Symbol),
     bare(sp.Float), forged(sp.Integer, p="x"), forged(sp.Rational, p=1, q=0), sp.Symbol,
     nan_with_payload(), around_itself()]
)  # fmt: skip
EVEN = one_of(
    [f, L, C, sp.S(0), sp.S(1), sp.S(-1), sp.S(2), sp.S(-7), sp.I, sp.pi, sp.Float(0.3), sp.E,
     sp.Rational(-1, 3), sp.Float("1e300"), sp.S(10**80), sp.Dummy("f"), sp.Symbol("x")]
)  # fmt: skip


def grown(parts):
    bind = st.builds(lambda *ends: made(sp.Tuple, *ends), EVEN, parts) | st.builds(sp.Tuple, EVEN, EVEN, EVEN)
    task = st.builds(made, st.sampled_from([sp.Integral, sp.Derivative]), parts, bind)
    several = st.lists(parts, min_size=1, max_size=3)
    return task | st.builds(lambda kind, parts: made(kind, *parts), st.sampled_from(KINDS), several)


TREES = st.recursive(EVEN, grown, max_leaves=12) | st.recursive(EVEN | ODD, grown, max_leaves=8)


@settings(max_examples=60, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
@given(st.lists(TREES, min_size=10, max_size=10))
def test_random_trees(trees):
    """600 trees of kinds and parts that fit or don't: none raises, none takes long, none is right."""
    for tree in trees:
        for problem in (FORMULA, NUMBER):
            assert said_of(problem, tree).status != judging.RIGHT


# --- what else of a sheet is handed things


@pytest.mark.parametrize("what", ["loud", "a false class", "itself", "an endless list", "a dot", "a kind"])
def test_names_of_problems_and_symbols(what, capsys):
    """Asked for problems, options and symbols that are none, the sheet says which it has."""
    hw, thing = homework.sheet("01", student="juniper"), ATTACKS[what]
    hw.check(thing, thing)
    hw.options(thing)
    assert "The problems of this sheet are 01.1" in capsys.readouterr().out
    for names in (thing, "x" * 10**6, ", " * 10**5, "\x1b[2J"):
        with pytest.raises(ValueError, match="this sheet has f L Q C R") as error:
            hw.symbols(names)
        assert len(str(error.value)) < 200
    for refused in (lambda: homework.sheet(thing), lambda: homework.sheet("01", student=thing)):
        with pytest.raises(ValueError, match="number is that of the lesson|student is your call sign"):
            refused()


def test_numbers_of_lessons():
    """A lesson that is none is refused in one short line."""
    for number in (10**5000, -1, True, "\x1b[2J", "0" * 10**6, "\udcff", 1.0, "1", None, [1]):
        with pytest.raises(ValueError, match="01") as error:
            homework.sheet(number)
        assert len(str(error.value)) < 120 and str(error.value).isprintable()


def test_letters():
    """A decision takes a letter of the sheet's, and nothing that looks like it."""
    for answer in ("A", "b) ", " c. ", "D"):
        assert said_of(CHOICE, answer).status in (judging.RIGHT, judging.WRONG)
    for answer in ("d" * 10**6, "\x1b[2J", "\uff41", "", " ", b"a", ["a"], ("a",), "a\0"):
        assert said_of(CHOICE, answer).status in (judging.UNREAD, judging.BLANK)


def test_three_kinds_of_problems():
    """These attacks meet a formula, a number and a decision."""
    assert (type(FORMULA), type(NUMBER), type(CHOICE)) == (Expression, Number, Choice)
