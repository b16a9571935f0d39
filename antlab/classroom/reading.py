"""What a student hands in, looked at without running any of it.

Only types that are known here by name are opened; nothing is asked of an object of another class, not even
its name by its own methods. Text is never evaluated. Formulas are evaluated by this room, node by node, in
mpmath, within bounds of size and work, so that every answer is read or refused in a moment.
"""

import decimal
import fractions
import time
from dataclasses import dataclass

import numpy as np
import sympy
from mpmath import MPContext

MP = MPContext()
MP.dps = 30
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
_FUNCTIONS = {
    sympy.Add: lambda *terms: MP.fsum(terms), sympy.Mul: lambda *factors: MP.fprod(factors),
    sympy.UnevaluatedExpr: lambda x: x, sympy.Abs: abs, sympy.re: MP.re, sympy.im: MP.im, sympy.arg: MP.arg,
    sympy.conjugate: MP.conj, sympy.sign: MP.sign, sympy.floor: MP.floor, sympy.ceiling: MP.ceil,
    sympy.exp: MP.exp, sympy.log: MP.log, sympy.atan2: MP.atan2,
    sympy.Max: lambda *values: max(values), sympy.Min: lambda *values: min(values),
} | {
    getattr(sympy, name): getattr(MP, name)
    for name in (
        "sin cos tan cot sec csc asin acos atan acot asec acsc sinh cosh tanh coth sech csch asinh acosh "
        "atanh acoth"
    ).split()
}  # fmt: skip
_INNER = {sympy.Pow, sympy.Integral, sympy.Derivative, *_FUNCTIONS}
_LEAVES = {sympy.Float, *_WHOLE, *_RATIOS, *_SYMBOLS, *_CONSTANTS}
_METACLASSES = {type(kind) for kind in (*_INNER, *_LEAVES, *_LISTS, *_NUMBERS)}


class Refusal(Exception):
    """An answer that cannot be read. key: for the class table. The message: why, and what to hand in."""

    def __init__(self, key, sentence):
        super().__init__(sentence)
        self.key = key


@dataclass(frozen=True)
class Reading:
    """An answer as a formula that is safe to evaluate. notes: what was understood on the way."""

    tree: sympy.Basic
    notes: tuple = ()

    @property
    def symbols(self):
        """The symbols in it, without those that an integral or a derivative binds."""
        return self.tree.free_symbols

    @property
    def is_unfinished(self):
        """Whether an integral or a derivative was left standing."""
        return self.tree.has(sympy.Integral, sympy.Derivative)

    def along(self, points):
        """The values at points, each a dict: name -> number. Raises Refusal, after a second at most."""
        walk = _Walk()
        return [walk.value(self.tree, {name: MP.mpf(x) for name, x in point.items()}) for point in points]


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
    if _kind(answer) is not str:
        raise Refusal("letter", 'Hand in the letter of one option between quotation marks, such as "a".')
    return answer[:20].strip().rstrip(".)").lower()


def read(answer, unknown=None):
    """An answer as a Reading, or an equation as sympy.Eq of two such trees. Raises Refusal.

    unknown: name of the symbol that is solved for; `Eq(unknown, …)` is as good as what stands for it.
    """
    notes = []
    for _ in range(4):  # a list in a dictionary in a list is as far as it goes
        kind = _kind(answer)
        if kind is np.ndarray and answer.size == 1 and answer.dtype.kind in "biufc":
            answer = answer.reshape(-1)[0]
        elif kind is dict or kind is sympy.Dict:
            answer = list(answer.values())
        elif kind in _LISTS:
            answer = _only(list(answer.args if kind in (sympy.Tuple, sympy.FiniteSet) else answer), notes)
        elif kind is sympy.Equality:
            sides = answer.args
            lone = [one for one in sides if _kind(one) in _SYMBOLS and unknown in (None, one.name)]
            if not lone:
                return sympy.Eq(*(_checked(side) for side in sides), evaluate=False)
            answer = sides[1] if lone[0] is sides[0] else sides[0]
        else:
            break
    return Reading(_checked(_number(answer)), tuple(notes))


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
            _check_bits(answer)
            return sympy.Integer(answer)
        if kind is fractions.Fraction:
            _check_bits(answer.numerator * answer.denominator)
            return sympy.Rational(answer.numerator, answer.denominator)
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
    return Refusal("infinite",
                   "That is infinite, or no number at all. Is something divided by zero on the way?")


def _check_bits(whole):
    if whole.bit_length() > MOST_BITS:
        raise Refusal("size",
                      f"A whole number of {whole.bit_length() * 0.30103:.0f} digits is in there. No antenna "
                      "needs it.")  # fmt: skip


def _checked(tree):
    """A tree all of whose nodes are known here, and not too many. Raises Refusal."""
    ahead, seen = [(tree, 0)], 0
    while ahead:
        node, depth = ahead.pop()
        seen += 1
        if seen > MOST_NODES or depth > DEEPEST:
            raise Refusal("large",
                          "This formula is too long to be looked through. Try sp.simplify on it first.")
        kind = _kind(node)
        if kind in _WHOLE:
            _check_bits(int(node))
        elif kind in _RATIOS:
            _check_bits(node.p * node.q)
        elif kind in _INFINITE:
            raise _infinite()
        elif kind in _UNSOLVED:
            raise Refusal("unfinished",
                          f"A {kind_of(node)} is left, which is a task and not yet its result. Try "
                          ".doit(), or solve it another way.")  # fmt: skip
        elif kind in (sympy.Integral, sympy.Derivative):
            bound = [limit for limit in node.args[1:] if _kind(limit) is sympy.Tuple]
            if kind is sympy.Integral:
                fit = all(len(one.args) == 3 for one in bound)
            else:
                times = [one.args[1] for one in bound]
                fit = all(_kind(one) in _WHOLE for one in times) and sum(times) < 3
            if not fit or len(bound) != len(node.args) - 1:
                raise Refusal("unfinished",
                              f"A {kind_of(node)} is left, which I can't work out. Try .doit().")
            ahead += [(part, depth + 1) for part in (node.args[0], *(one for b in bound for one in b.args))]
        elif kind in _INNER:
            ahead += [(part, depth + 1) for part in node.args]
        elif kind not in _LEAVES:
            raise Refusal("kind",
                          f"That holds a {kind_of(node)}, which I can't judge. Hand in a formula of sympy's, "
                          "or "
                          "a plain number.")  # fmt: skip
    return tree


class _Walk:
    """Evaluates a tree, counting work and time: an integral of integrals ends before the lesson does."""

    def __init__(self):
        self._work, self._until = 0, time.monotonic() + MOST_SECONDS

    def value(self, node, names):
        """The node's number, an mpf or mpc; names: the symbols' values."""
        self._work += 1
        if self._work > MOST_WORK or time.monotonic() > self._until:
            raise Refusal("large",
                          "This takes too long to work out. Try .doit() or sp.simplify on it first.")
        try:
            number = self._value(node, names)
        except ZeroDivisionError:
            raise Refusal("zero", "With numbers put in, it divides by zero.") from None
        except (ValueError, TypeError, OverflowError, MP.NoConvergence):
            raise Refusal("unworkable", "With numbers put in, it can't be worked out.") from None
        if not MP.isfinite(number):
            raise _infinite()
        if number and abs(MP.mag(number)) > MOST_BITS:
            raise Refusal("size", "With numbers put in, it grows beyond all bounds. Look at the powers.")
        return number

    def _value(self, node, names):
        kind = _kind(node)
        if kind in _SYMBOLS:
            return names[node.name]
        if kind is sympy.Float:
            return MP.make_mpf(node._mpf_)
        if kind in _WHOLE:
            return MP.mpf(int(node))
        if kind in _RATIOS:
            return MP.mpf(node.p) / node.q
        if kind in _CONSTANTS:
            return _CONSTANTS[kind]()
        if kind is sympy.Pow:
            base, power = (self.value(part, names) for part in node.args)
            return MP.power(base, power)
        if kind is sympy.Integral:
            return self._integral(node.args[0], node.args[1:], names)
        if kind is sympy.Derivative:
            return self._derivative(node.args[0], node.args[1:], names)
        return _FUNCTIONS[kind](*(self.value(part, names) for part in node.args))

    def _integral(self, body, limits, names):
        if not limits:
            return self.value(body, names)
        *inner, (name, low, high) = limits

        def at(x):
            return self._integral(body, inner, {**names, name.name: x})

        return MP.quad(at, [self.value(low, names), self.value(high, names)], maxdegree=5)

    def _derivative(self, body, by, names):
        if not by:
            return self.value(body, names)
        *inner, (name, times) = by
        x = names[name.name]
        return MP.diff(lambda x: self._derivative(body, inner, {**names, name.name: x}), x, int(times))
