"""What a student hands in, looked at without running any of it.

Only types that are known here by name are opened; nothing is asked of an object of another class, not even
its name by its own methods. Text is never evaluated. A formula is copied node by node into nodes of our own,
and each must have the parts that its kind has: sympy builds no others, but a hand can. Copies alone are
evaluated, in mpmath, within bounds of size and work, so that every answer is read or refused in a moment.
"""

import decimal
import fractions
import time
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import sympy
from mpmath import MPContext

from antlab.classroom.typed.quantities import Unread, number_in
from antlab.units import Slip

MP = MPContext()
MP.dps = 30
LONGEST_NUMBER = 60  # letters, with its unit
MOST_NODES, DEEPEST, MOST_BITS, MOST_WORK, MOST_SECONDS = 600, 60, 3000, 20_000, 0.8
_NUMBERS = {int, float, complex, fractions.Fraction, decimal.Decimal}
_NUMPY = {np.dtype(code).type for code in "bBhHiIlLqQefdFD"}
_LISTS = {list, tuple, set, frozenset, sympy.Tuple, sympy.FiniteSet}
_SYMBOLS = {sympy.Symbol, sympy.Dummy}
_WHOLE = {type(n) for n in (sympy.Integer(5), sympy.S.One, sympy.S.Zero, sympy.S.NegativeOne)}
_RATIOS = {sympy.Rational, type(sympy.S.Half)}
_INFINITE = {type(n) for n in (sympy.oo, -sympy.oo, sympy.zoo, sympy.nan)}
_UNSOLVED = {
    sympy.Sum, sympy.Product, sympy.Limit, sympy.Subs, sympy.ConditionSet, sympy.CRootOf, sympy.ImageSet,
    sympy.Complement, sympy.Intersection, sympy.Union,
}  # fmt: skip
_CONSTANTS = {
    type(sympy.pi): lambda: +MP.pi, type(sympy.E): lambda: +MP.e, type(sympy.I): lambda: MP.j,
    type(sympy.EulerGamma): lambda: +MP.euler, type(sympy.GoldenRatio): lambda: +MP.phi,
}  # fmt: skip


def _of_reals(function):
    """A function of numbers on a line; mpmath's own is not made for others."""

    def on(*values):
        if any(MP.im(value) for value in values):
            raise Slip
        return function(*map(MP.re, values))

    return on


_ONE_OR_MORE = range(1, MOST_NODES)
_FUNCTIONS = {  # kind: how it is worked out, and how many parts it has
    sympy.Add: (lambda *terms: MP.fsum(terms), _ONE_OR_MORE),
    sympy.Mul: (lambda *factors: MP.fprod(factors), _ONE_OR_MORE),
    sympy.Pow: (MP.power, (2,)), sympy.log: (MP.log, (1, 2)), sympy.atan2: (_of_reals(MP.atan2), (2,)),
    sympy.Max: (_of_reals(max), _ONE_OR_MORE), sympy.Min: (_of_reals(min), _ONE_OR_MORE),
} | {
    kind: (function, (1,)) for kind, function in {
        sympy.UnevaluatedExpr: lambda x: x, sympy.Abs: abs, sympy.re: MP.re, sympy.im: MP.im,
        sympy.arg: MP.arg, sympy.conjugate: MP.conj, sympy.sign: MP.sign, sympy.floor: MP.floor,
        sympy.ceiling: MP.ceil, sympy.exp: MP.exp,
    }.items()
} | {
    getattr(sympy, name): (getattr(MP, name), (1,))
    for name in (
        "sin cos tan cot sec csc asin acos atan acot asec acsc sinh cosh tanh coth sech csch asinh acosh "
        "atanh acoth"
    ).split()
}  # fmt: skip
_TASKS = {sympy.Integral, sympy.Derivative}
_INNER = {*_TASKS, *_FUNCTIONS}
_FACTS = type(sympy.Symbol("x")._assumptions)
_INTEGERS = {int, type(sympy.Float(3)._mpf_[1])}  # the second is another one where gmpy2 is installed


class Refusal(Exception):
    """An answer that cannot be read. key: for the class table. The message: why, and what to hand in."""

    def __init__(self, key, sentence):
        super().__init__(sentence)
        self.key = key


@dataclass(frozen=True)
class Symbol:
    """A symbol by its name. is_ours: it is known to be positive, as those of the sheet are."""

    name: str
    is_ours: bool


@dataclass(frozen=True)
class Node:
    """A function, integral or derivative: its kind, a class of sympy's, and its parts.

    parts: Nodes, Symbols, numbers of mpmath; after the first, an Integral has (Symbol, low, high) and a
    Derivative (Symbol, times).
    """

    kind: type
    parts: tuple


@dataclass(frozen=True)
class Reading:
    """An answer as a formula that is safe to evaluate. notes: what was understood on the way."""

    tree: object
    notes: tuple = ()

    @cached_property
    def symbols(self):
        """The Symbols in it, without those that an integral binds: a set."""
        return _free(self.tree)

    @cached_property
    def names(self):
        """The names of those."""
        return {symbol.name for symbol in self.symbols}

    @cached_property
    def is_unfinished(self):
        """Whether an integral or a derivative was left standing."""
        return any(node.kind in _TASKS for node in _nodes(self.tree))

    @cached_property
    def operations(self):
        """How many operations it takes."""
        return sum(max(1, len(node.parts) - 1) for node in _nodes(self.tree))

    def along(self, points):
        """The values at points, each a dict: name -> number. Raises Refusal, after a second at most."""
        return along([self], points)[0]


@dataclass(frozen=True)
class Equation:
    """An equation that is still to be solved: two Readings."""

    left: Reading
    right: Reading

    @property
    def names(self):
        """The names of the symbols in it."""
        return self.left.names | self.right.names


def along(readings, points):
    """For each of readings, its values at points. Raises Refusal, after a second at most for all of them."""
    walk = _Walk()
    points = [{name: MP.mpf(x) for name, x in point.items()} for point in points]
    return [[walk.value(one.tree, point) for point in points] for one in readings]


def _nodes(tree):
    """All Nodes of a tree."""
    if type(tree) is tuple:
        return [node for part in tree for node in _nodes(part)]
    return [tree, *_nodes(tree.parts)] if type(tree) is Node else []


def _free(tree):
    """The Symbols in a tree that have to be given for it to be worked out."""
    if type(tree) is not Node:
        return {tree} if type(tree) is Symbol else set()
    first, *binds = tree.parts
    if tree.kind not in _TASKS:
        return set().union(*map(_free, tree.parts))
    free = _free(first)
    for symbol, *others in binds:
        if tree.kind is sympy.Integral:
            free = {one for one in free if one.name != symbol.name}.union(*map(_free, others))
        else:
            free = free | {symbol}  # where its slope is wanted
    return free


class _Strange:
    """Stands for every class whose own class could answer for it, when it is compared or looked up."""


def _kind(thing):
    """The class of a thing, or _Strange."""
    kind = type(thing)
    return kind if any(type(kind) is plain for plain in _METACLASSES) else _Strange


def is_blank(answer):
    """Whether nothing was handed in yet."""
    return answer is None or answer is Ellipsis or (_kind(answer) in (str, tuple, dict) and len(answer) == 0)


def kind_of(answer):
    """The name of an answer's class, asked of Python itself and not of the class."""
    name = type.__dict__["__name__"].__get__(type(answer))
    return "".join(letter for letter in name[:40] if letter.isprintable())


def letter_of(answer):
    """The letter that chooses an option. Raises Refusal."""
    if _kind(answer) in _SYMBOLS:  # d of the sheet, for "d"
        answer = _symbol(answer).name
    if _kind(answer) is not str:
        raise Refusal("letter", 'Hand in the letter of one option between quotation marks, such as "a".')
    return answer[:20].strip(" ()[].:;\"'").lower()


def number_of(answer, unit):
    """A number that was handed in as text, as a number; anything else as it is. Raises Refusal.

    unit: in which it is wanted. The text is taken apart by its letters; a formula in it stays text.
    """
    if _kind(answer) is not str or len(answer) > LONGEST_NUMBER:
        return answer
    try:
        number = number_in(answer, unit)
    except Unread as unread:
        raise Refusal("text", str(unread)) from None
    return answer if number is None else float(number)


def read(answer, unknown=None):
    """An answer as a Reading, or as an Equation. Raises Refusal.

    unknown: name of the symbol that is solved for; `Eq(unknown, …)` is as good as what stands for it.
    """
    notes = []
    for _ in range(4):  # a list in a dictionary in a list is as far as it goes
        kind = _kind(answer)
        if kind is np.ndarray and answer.size == 1 and answer.dtype.kind in "biufc":
            answer = answer.reshape(-1)[0]
        elif kind is dict:
            answer = list(answer.values())
        elif kind is sympy.Dict:
            answer = [_parts(pair, (2,), sympy.Tuple)[1] for pair in _parts(answer)]
        elif kind in _LISTS:
            answer = _only(list(_parts(answer) if kind in (sympy.Tuple, sympy.FiniteSet) else answer), notes)
        elif kind is sympy.Equality:
            sides = _parts(answer, (2,))
            lone = [one for one in sides if _kind(one) in _SYMBOLS and unknown in (None, _symbol(one).name)]
            if not lone:
                return Equation(*(Reading(_copied(side)) for side in sides))
            answer = sides[1] if lone[0] is sides[0] else sides[0]
        else:
            break
    return Reading(_copied(_number(answer)), tuple(notes))


def _only(results, notes):
    if not results:
        raise Refusal("empty", "The list is empty: sp.solve found nothing. Look at the equation again.")
    if len(results) == 2 and all(_kind(one) is int for one in results):
        raise Refusal("comma",
                      "A comma parts two numbers. Is it meant as a decimal point? Write a point, and nothing "
                      "between thousands: 1234.5.")  # fmt: skip
    if len(results) > 1:
        raise Refusal(
            "several",
            f"There are {len(results)} results. Decide which one can be real, and hand in that one: [0] "
            "behind "
            "the list takes its first, [1] its second.",
        )
    if "list" not in notes:
        notes.append("list")
    return results[0]


def _number(answer):
    """Python's and NumPy's numbers as sympy's; sympy's own are left alone."""
    kind = _kind(answer)
    if kind in _NUMPY:
        answer = answer.item()
        kind = _kind(answer)
    if kind is str or kind is bytes:
        raise Refusal("text",
                      "That is text, and text is never worked out here. Take off the quotation marks, and "
                      "hand in a number without its unit.")  # fmt: skip
    if kind is bool or kind is np.bool_ or kind in (type(sympy.true), type(sympy.false)):
        raise Refusal("truth",
                      f"That is {bool(answer)}: it answers yes or no, not the question. Is there a == or an "
                      "equation that fell together?")  # fmt: skip
    if kind not in _NUMBERS:
        return answer
    try:
        if kind is int:
            return sympy.Integer(_whole(answer))
        if kind is fractions.Fraction:
            ratio = [getattr(answer, name, None) for name in ("_numerator", "_denominator")]
            return sympy.Rational(*map(_whole, ratio))
        if kind is complex:
            return sympy.Add(_float(answer.real), sympy.Mul(sympy.I, _float(answer.imag)))
        return _float(float(answer))
    except (OverflowError, ValueError):  # a Decimal that is no float: too large, or no number at all
        raise _infinite() from None


def _float(number):
    if not np.isfinite(number):
        raise _infinite()
    return sympy.Float(number)


def _infinite():
    return Refusal(
        "infinite", "That is infinite, or no number at all. Is something divided by zero on the way?"
    )


def _broken(thing):
    return Refusal("kind",
                   f"That holds a {kind_of(thing)} without its parts, as sympy makes none. Build "
                   "the formula from the sheet's symbols.")  # fmt: skip


def _parts(node, counts=None, kind=None):
    """The parts of one of sympy's nodes. counts: how many it may have. kind: what it has to be."""
    parts = getattr(node, "_args", None) if kind in (None, _kind(node)) else None
    if type(parts) is not tuple or (counts is not None and len(parts) not in counts):
        raise _large() if type(parts) is tuple and len(parts) >= MOST_NODES else _broken(node)
    return parts


def _whole(number):
    """A whole number of Python's, if it is one and not too long."""
    if type(number) is not int:
        raise _broken(number)
    if number.bit_length() > MOST_BITS:
        raise Refusal("size",
                      f"A whole number of {number.bit_length() * 0.30103:.0f} digits is in there. No antenna "
                      "needs it.")  # fmt: skip
    return number


def _symbol(node):
    """A Symbol for one of sympy's."""
    name, facts = getattr(node, "name", None), getattr(node, "_assumptions", None)
    if type(name) is not str or type(facts) is not _FACTS:
        raise _broken(node)
    return Symbol(name, dict.get(facts, "positive") is True and type(node) is sympy.Symbol)


def _decimal(node):
    """A number of mpmath for one of sympy's Floats: sign, whole number, power of two, bits of the number."""
    made = getattr(node, "_mpf_", None)
    if type(made) is not tuple or len(made) != 4:
        raise _broken(node)
    sign, bits, power, _ = made
    if type(sign) is not int or type(power) is not int or type(bits) not in _INTEGERS or sign not in (0, 1):
        raise _broken(node)
    if not bits and power:  # how mpmath writes what is infinite or no number
        raise _infinite()
    surplus = max(0, int(bits).bit_length() - MOST_BITS)
    return MP.ldexp(MP.mpf((-1) ** sign * (int(bits) >> surplus)), _whole(power) + surplus)


def _ratio(node):
    """A number of mpmath for one of sympy's fractions."""
    above, below = (_whole(getattr(node, name, None)) for name in "pq")
    if not below:
        raise _infinite()
    return MP.mpf(above) / below


def _large():
    return Refusal("large", "This formula is too long to be looked through. Try sp.simplify on it first.")


def _copied(tree):
    """A tree of our own nodes for one of sympy's, if each is known here and not too many. Raises Refusal."""
    seen = 0

    def copy(node, depth):
        nonlocal seen
        seen += 1
        if seen > MOST_NODES or depth > DEEPEST:
            raise _large()
        kind = _kind(node)
        if kind in _LEAVES:
            return _LEAVES[kind](node)
        if kind in _TASKS:
            return Node(kind, tuple(_task(kind, node, lambda part: copy(part, depth + 1))))
        if kind in _FUNCTIONS:
            return Node(kind, tuple(copy(part, depth + 1) for part in _parts(node, _FUNCTIONS[kind][1])))
        if kind in _INFINITE:
            raise _infinite()
        if kind in _UNSOLVED:
            raise Refusal("unfinished",
                          f"{kind_of(node)}(…) is left, which is a task and not yet its result. Try "
                          ".doit(), or solve it another way.")  # fmt: skip
        raise Refusal("kind",
                      f"That holds a {kind_of(node)}, which I can't judge. Hand in a formula of sympy's, or "
                      "a plain number.")  # fmt: skip

    return copy(tree, 0)


def _task(kind, node, copy):
    """The parts of an integral between limits, or of a derivative of first or second order, copied."""
    body, *binds = _parts(node, range(1, MOST_NODES))
    yield copy(body)
    orders = 0
    for bind in binds:
        if _kind(bind) is not sympy.Tuple or len(_parts(bind)) != (3 if kind is sympy.Integral else 2):
            raise _unworked(node)
        symbol, *others = _parts(bind)
        if _kind(symbol) not in _SYMBOLS:
            raise _unworked(node)
        if kind is sympy.Integral:
            yield (_symbol(symbol), *map(copy, others))
            continue
        if _kind(others[0]) not in _WHOLE:
            raise _unworked(node)
        times = _whole(getattr(others[0], "p", None))
        orders += times
        if times < 1 or orders > 2:
            raise _unworked(node)
        yield (_symbol(symbol), times)


def _unworked(node):
    return Refusal("unfinished", f"{kind_of(node)}(…) is left, which I can't work out. Try .doit().")


def _worked(function, *numbers, **options):
    """A number by mpmath, whose errors are about the numbers that it was given, and so the answer's."""
    try:
        return function(*numbers, **options)
    except ZeroDivisionError:
        raise Refusal("zero", "With numbers put in, it divides by zero.") from None
    except (ValueError, TypeError, OverflowError, MP.NoConvergence):
        raise Refusal("unworkable", "With numbers put in, it can't be worked out.") from None


class _Walk:
    """Evaluates a tree, counting work and time: an integral of integrals ends before the lesson does."""

    def __init__(self):
        self._work, self._until = 0, time.monotonic() + MOST_SECONDS

    def value(self, node, names):
        """The node's number, an mpf or mpc; names: the symbols' values."""
        self._work += 1
        if self._work > MOST_WORK or time.monotonic() > self._until:
            raise Refusal("large", "This takes too long to work out. Try .doit() or sp.simplify on it first.")
        number = self._value(node, names)
        if not MP.isfinite(number):
            raise _infinite()
        if number and abs(MP.mag(number)) > MOST_BITS:
            raise Refusal("size", "With numbers put in, it grows beyond all bounds. Look at the powers.")
        return number

    def _value(self, node, names):
        if type(node) is Symbol:
            return names[node.name]
        if type(node) is not Node:
            return node
        if node.kind is sympy.Integral:
            return self._integral(*node.parts, names=names)
        if node.kind is sympy.Derivative:
            return self._derivative(*node.parts, names=names)
        return _worked(_FUNCTIONS[node.kind][0], *(self.value(part, names) for part in node.parts))

    def _integral(self, body, *limits, names):
        if not limits:
            return self.value(body, names)
        *inner, (symbol, low, high) = limits

        def at(x):
            return self._integral(body, *inner, names={**names, symbol.name: x})

        return _worked(MP.quad, at, [self.value(low, names), self.value(high, names)], maxdegree=5)

    def _derivative(self, body, *by, names):
        if not by:
            return self.value(body, names)
        *inner, (symbol, times) = by

        def at(x):
            return self._derivative(body, *inner, names={**names, symbol.name: x})

        return _worked(MP.diff, at, names[symbol.name], times)


_LEAVES = {sympy.Float: _decimal} | {
    kind: reader
    for kinds, reader in (
        (_WHOLE, lambda node: MP.mpf(_whole(getattr(node, "p", None)))), (_RATIOS, _ratio),
        (_SYMBOLS, _symbol),
    ) for kind in kinds
} | {kind: lambda node, make=make: make() for kind, make in _CONSTANTS.items()}  # fmt: skip
_METACLASSES = {type(kind) for kind in (*_INNER, *_LEAVES, *_LISTS, *_NUMBERS)}
