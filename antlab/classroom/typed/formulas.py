"""A formula as people write it, made one that Python reads; Unread, with a sentence, where that is a guess.

Nothing is evaluated. A star is set where two things stand side by side, save where it is not certain what is
divided or raised; names get their sp. in front; signs become what Python has for them.
"""

import difflib
import keyword

from antlab.classroom.typed.letters import Token, unbalanced
from antlab.classroom.typed.quantities import Unread, unit_of

RENAMED = {
    "Pi": "pi",
    "PI": "pi",
    "arcsin": "asin",
    "arccos": "acos",
    "arctan": "atan",
    "ln": "log",
    "squrt": "sqrt",
    "sqr": "sqrt",
    "Sqrt": "sqrt",
    "squareroot": "sqrt",
    "degrees": "deg",
    "radians": "rad",
    "abs": "Abs",
    "fabs": "Abs",
    "j": "I",
    "deg2rad": "rad",
    "rad2deg": "deg",
}
WORDS = frozenset(
    "pi sqrt sin cos tan cot asin acos atan sinh cosh tanh exp Abs rad deg Eq solve simplify Symbol symbols "
    "Rational diff integrate expand factor nsimplify im re arg N".split()
)
OF_SOMETHING = WORDS - {"pi"} | {"log"}
_TENS = {"log10", "lg"}
_LIBRARIES = {"math", "np", "numpy", "sympy", "cmath", "Sp", "SP", "sym"}
_STARTS = {"number", "name", "pi", "part", "root", "string"}
_BELOW = (
    "It is not certain what stands below the line: put it in brackets and a star between what is multiplied, "
    "like 1/(2*sp.pi*f)."
)
_FAR = (
    "It is not certain how far the root or the exponent goes: put brackets and stars, like sp.sqrt(2)*f or "
    "f**2*L."
)
_STARS = "Put a star between what is multiplied, like 2*f*L, and brackets where something is not certain."
_LATEX = "This is typed without $ and \\: like 1/(2*sp.pi*f), with sp.sqrt(L*C) for a root."


def unknown(name, known):
    """The sentence about a name that stands for nothing."""
    shown = name[:24]
    if name in known.results:
        return f"{shown} has no value yet: type {shown} = and your result behind it."
    if name == "I":
        return "The j of the books is typed sp.I, and a plain I has no value here."
    other = [one for one in (*known.symbols, *known.own) if one.casefold() == name.casefold() and one != name]
    if other:
        return f"{shown} is not there and {other[0]} is: capital and small letters are different letters."
    if unit_of(name) and name not in ("a", "A"):
        return (
            f"{shown} looks like a unit, and units are not typed: numbers in a formula are in base units, "
            "like 14.2e6 for 14.2 MHz."
        )
    near = difflib.get_close_matches(name, [*known.symbols, *known.own], 1, 0.75)
    if near:
        return f"{shown} has no value here: is it {near[0]}?"
    return (
        f"{shown} has no value here: the sheet has {' '.join(known.listed)}, and what another cell makes is "
        "there once that cell was run."
    )


def python(found, known, fetched):
    """The formula of Tokens as a text for Python. Raises Unread.

    known: a Known. fetched: a dictionary, to which each symbol of the sheet that has to be fetched first is
    added: name in Python -> name on the sheet.
    """
    if wrong := unbalanced(found):
        raise Unread(wrong)
    return _Line(found, known, fetched).text()


class _Line:
    """One formula on its way. What was set last is remembered: whether it ends a factor, and how certain."""

    def __init__(self, found, known, fetched):
        self._tokens, self._known, self._fetched = list(found), known, fetched
        self._out, self._at = [], 0
        self._levels = [{"divided": False, "call": False}]
        self._ended = ""  # what the last piece is: "" (an operator), "value", "call" (wants brackets)
        self._bare = False  # it is an exponent or stands under a root, without brackets
        self._raised = ""  # "**" or "^" where the next piece is an exponent
        self._ten = []  # at which depth a logarithm to ten is to be closed

    def text(self):
        while self._at < len(self._tokens):
            token = self._tokens[self._at]
            self._at += 1
            getattr(self, f"_on_{token.kind}", self._on_other)(token)
        if self._ended == "call" and self._of_something():
            raise Unread(self._brackets())
        return "".join(self._out).strip()

    # what stands around

    def _next(self, skip=True):
        at = self._at
        while skip and at < len(self._tokens) and self._tokens[at].kind in ("blank", "comment"):
            at += 1
        return self._tokens[at] if at < len(self._tokens) else Token("end", "", "")

    def _starts(self, token):
        return token.kind in _STARTS or token.text == "("

    def _of_something(self):
        return "".join(self._out).rstrip().rpartition("sp.")[2] in OF_SOMETHING

    def _brackets(self):
        word = "".join(self._out).rstrip().rpartition("sp.")[2] or "sqrt"
        return f"What sp.{word} is taken of stands in brackets: sp.{word}(…)."

    def _set(self, text, ended="value", bare=False):
        self._out.append(text)
        self._ended, self._bare, self._raised = ended, bare, ""

    def _star(self):
        """A star, if something that is multiplied comes right behind what ends a factor."""
        if not self._ended:
            return
        if self._ended == "call":
            raise Unread(self._brackets() if self._of_something() else _STARS)
        if self._levels[-1]["divided"]:
            raise Unread(_BELOW)
        if self._bare and not (self._bare == "number" and self._out[-1] == " "):
            raise Unread(_FAR)
        while self._out and self._out[-1] == " ":
            self._out.pop()
        self._out.append("*")

    # one token each

    def _on_blank(self, token):
        if self._out:
            self._out.append(" ")

    def _on_comment(self, token):
        self._out.append(token.typed)

    def _on_number(self, token):
        before = self._tokens[self._at - 2] if self._at > 1 else None
        if (
            self._ended == "value"
            and before
            and before.kind == "blank"
            and self._at > 2
            and self._tokens[self._at - 3].kind == "number"
        ):
            raise Unread(
                "Two numbers stand side by side: a number has no blanks, like 1234.5, and a star multiplies."
            )
        self._star()
        exponent = self._raised
        unit = self._next()
        if unit.text == "°":
            self._at = self._tokens.index(unit, self._at) + 1
            return self._set(f"sp.rad({token.text})", bare=bool(exponent))
        if unit.text == "%" and not self._starts(self._after(unit)):
            self._at = self._tokens.index(unit, self._at) + 1
            return self._set(f"({token.text}/100)", bare=bool(exponent))
        word = token.text
        if word.isdigit() and len(word) > 1 and word[0] == "0":
            word = word.lstrip("0") or "0"
        self._set(word, bare="number" if exponent else "")

    def _after(self, token):
        at = self._tokens.index(token, self._at) + 1
        while at < len(self._tokens) and self._tokens[at].kind == "blank":
            at += 1
        return self._tokens[at] if at < len(self._tokens) else Token("end", "", "")

    def _on_pi(self, token):
        self._star()
        self._set(self._sp("pi"), bare=bool(self._raised))

    def _on_part(self, token):
        if self._ended:
            raise Unread(f"Type {token.text[1:-1]} in brackets and a sign before it, like 3 + {token.text}.")
        self._set(token.text)

    def _on_high(self, token):
        if self._ended == "call" and self._of_something():
            raise Unread("The square of a sine is typed behind its brackets: sp.sin(theta)**2.")
        power = token.text
        if self._ended != "value" or self._bare or not power.lstrip("+-").isdigit():
            raise Unread("An exponent stands behind what it raises: f**2, and (2*f)**2 for all of it.")
        while self._out[-1] == " ":
            self._out.pop()
        self._set(f"**({power})" if power[0] in "+-" else f"**{power}")

    def _on_root(self, token):
        self._star()
        follows = self._next()
        if follows.text == "(":
            return self._set(f"{self._sp('sqrt')}", ended="call")
        if follows.kind not in ("number", "name", "pi"):
            raise Unread("What stands under the root goes in brackets: sp.sqrt(L*C).")
        self._at = self._tokens.index(follows, self._at) + 1
        if self._next(skip=False).kind == "high":
            raise Unread("What stands under the root goes in brackets: sp.sqrt(f**2) or sp.sqrt(f)**2.")
        inner = {"number": lambda: follows.text, "pi": lambda: self._sp("pi")}.get(
            follows.kind, lambda: self._value(follows.text)
        )()
        if "*" in inner:
            raise Unread("What stands under the root goes in brackets: sp.sqrt(L*C).")
        self._set(f"{self._sp('sqrt')}({inner})", bare=True)

    def _on_string(self, token):
        if self._ended:
            raise Unread(
                "Text in quotation marks stands beside something else: a formula has no quotation marks."
            )
        self._set(token.text)

    def _on_dots(self, token):
        raise Unread("Put your result in place of the three dots, so that none of them is left.")

    def _on_name(self, token):
        name = token.text
        if name == "x" and self._ended and self._next().kind == "number" and self._number_before():
            return self._on_op(Token("op", "*", "x"))
        if keyword.iskeyword(name) and name not in ("lambda", "None", "True", "False"):
            raise Unread(
                f"“{name}” is a word of Python's own and no part of a formula: type letters of the sheet, "
                "numbers, stars and brackets."
            )
        follows = self._next()
        if follows.text == "=" and self._levels[-1]["call"]:  # a keyword, such as positive=True
            self._out.append(name)
            self._ended = ""
            return None
        if follows.text == "." and (name == "sp" or name in _LIBRARIES and name not in self._known.names):
            return self._of_sympy(name)
        self._star()
        exponent = bool(self._raised)
        text = self._value(name)
        if "*" in text and self._levels[-1]["divided"]:
            raise Unread(_BELOW)
        if "*" in text and exponent:
            raise Unread(_FAR)
        if exponent and self._raised == "^" and follows.text == "/":
            raise Unread(
                "It is not certain how far the exponent goes: put brackets round it, like 10**(-A/20)."
            )
        self._set(text, "call" if self._is_called(text) else "value", bare=exponent)

    def _number_before(self):
        return "".join(self._out).rstrip()[-1:].isdigit()

    def _is_called(self, text):
        return (
            text.removeprefix("sp.") in OF_SOMETHING
            and text.startswith("sp.")
            or (text in self._known.names and text not in self._known.factors)
        )

    def _value(self, name):
        """The text for a name: as it is where it has a value, the sheet's symbol, a word of sympy's."""
        known = self._known
        if name in known.names:
            return name
        for one in _variants(name):
            if one in known.symbols:
                if one not in known.names:
                    self._fetched[one] = known.symbols[one]
                return one
            if one in known.names:
                return one
        word = RENAMED.get(name, name)
        if name in _TENS:
            return self._logarithm()
        if name == "log" and self._next().text == "(":
            raise Unread(
                "Which logarithm? The natural one is typed sp.log(x), the one to ten, as for decibels, "
                "sp.log(x, 10)."
            )
        if (
            name in ("j", "J", "ln")
            or word in WORDS
            and (
                word == "pi"
                or self._next().text == "("
                or word != name
                or word not in ("N", "re", "im", "arg")
            )
        ):
            return self._sp("I" if name == "J" else word)
        pieces = _pieces(name, known)
        if len(pieces) == 1:
            for piece in pieces[0]:
                if piece in known.symbols and piece not in known.names:
                    self._fetched[piece] = known.symbols[piece]
            words = {"pi": "pi", "j": "I"}
            return "*".join(
                self._sp(words[piece]) if piece in words and piece not in known.names else piece
                for piece in pieces[0]
            )
        raise Unread(unknown(name, known))

    def _sp(self, word):
        self._known.wants_sympy = True
        return f"sp.{word}"

    def _logarithm(self):
        if self._next().text != "(":
            raise Unread("A logarithm has brackets: sp.log(x, 10).")
        self._ten.append(len(self._levels))
        return self._sp("log")

    def _of_sympy(self, library):
        """sp.word, with the word put right where it is nearly one."""
        self._star()
        bare = bool(self._raised)
        while self._tokens[self._at].text != ".":
            self._at += 1
        self._at += 1
        token = self._next()
        word = token.text if token.kind in ("name", "pi") else ""
        if not word:
            raise Unread("Behind sp. comes a word of sympy's, such as sp.pi or sp.sqrt(…).")
        self._at = self._tokens.index(token, self._at) + 1
        word = "pi" if word == "π" else word
        if word in _TENS:
            text = self._logarithm()
        elif word in self._known.words or not self._known.words:
            text = self._sp(word)
        elif RENAMED.get(word, word) in self._known.words:
            text = self._sp(RENAMED[word])
        else:
            same = [one for one in sorted(WORDS) if one.casefold() == word.casefold()]
            if not same:
                near = difflib.get_close_matches(word, sorted(WORDS), 1, 0.6)
                raise Unread(
                    f"sympy has no word {word[:24]}"
                    + (
                        f": is it sp.{near[0]}?"
                        if near
                        else ": its usual ones are sp.pi, sp.sqrt(…), sp.sin(…), sp.solve(…)."
                    )
                )
            text = self._sp(same[0])
        self._set(text, "value" if text in ("sp.pi", "sp.I", "sp.E", "sp.oo") else "call", bare=bare)

    def _on_op(self, token):
        sign, level = token.text, self._levels[-1]
        if sign == "(":
            call = self._ended == "call"
            if not call:
                self._star()
            self._set("(", "")
            self._levels.append({"divided": False, "call": call})
        elif sign == "[" and self._ended:
            self._set("[", "")
            self._levels.append({"divided": False, "call": True})
        elif sign == "[":
            self._set("[", "")
            self._levels.append({"divided": False, "call": False})
        elif sign in ")]":
            if len(self._levels) > 1:
                self._levels.pop()
            if self._ten and self._ten[-1] == len(self._levels):
                self._ten.pop()
                self._out.append(", 10")
            self._set(sign)
        elif sign == "." and self._ended and self._next().kind == "name":
            self._out.append(".")
            name = self._next()
            self._at = self._tokens.index(name, self._at) + 1
            self._set(name.typed, "call" if self._next(skip=False).text == "(" else "value")
        elif sign in ("^", "**"):
            self._out.append("**")
            self._ended, self._raised = "", sign
        elif sign in ("+", "-") and self._raised:
            self._out.append(sign)
        elif sign == ",":
            level["divided"] = False
            if not self._levels[1:] and not self._known.parts_commas:
                raise Unread(
                    "A comma parts two things, so this is two answers: a number has a point, like 35.5."
                )
            self._set(",", "")
        elif sign in ("+", "-", "*", "/", "//", "==", "<", ">", "<=", ">=", "!=", "%", ":"):
            if sign == ":" and not (level["call"] or self._known.parts_commas):
                raise Unread("A colon does not divide here: type a stroke, like 3/2.")
            level["divided"] = sign == "/" if sign != "//" else True
            self._set(sign, "")
        elif sign == "=" and level["call"]:
            self._set("=", "")
        else:
            self._on_other(token)

    def _on_other(self, token):
        if token.text == "=":
            raise Unread(
                "An equation is typed sp.Eq(left side, right side); a result stands behind one single =."
            )
        if token.text == "|":
            raise Unread("The size of something is typed sp.Abs(…), without strokes.")
        if token.text in "$\\":
            raise Unread(_LATEX)
        if token.text in "{}":
            raise Unread("Use round brackets, ( and ), in formulas.")
        if token.text in "\"'":
            raise Unread("A quotation mark is opened and never closed: a formula has none, and text has two.")
        if token.text == "°":
            raise Unread(
                "The angles of the sheet are in radians already, and a number gets sp.rad(…): no ° is typed."
            )
        if token.text in "?!~≈±":
            raise Unread(f"Take the {token.text} away: here stands one formula or one number.")
        shown = token.text if token.text.isprintable() else "a letter that can't be seen"
        raise Unread(f"Python has no {shown} in a formula: {_STARS[0].lower()}{_STARS[1:]}")


def _variants(name):
    """What a name may be short for: f1 is f_1, lambda is lam, l is ell."""
    yield {"lambda": "lam", "l": "ell", "len": "ell", "r_e": "r_E", "R_E": "r_E"}.get(name, name)
    if len(name) > 1 and "_" not in name:
        yield f"{name[0]}_{name[1:]}"


def _pieces(name, known, most=4):
    """The ways to part a name into symbols of the sheet and pi, none of them twice."""
    names = {*known.symbols, "pi", "j"}

    def parted(rest, left):
        if not rest:
            return [[]]
        return [
            [one, *more]
            for one in sorted(names)
            if left and rest.startswith(one) and one
            for more in parted(rest[len(one) :], left - 1)
        ]

    return [one for one in parted(name[:24], most) if len(one) > 1 and len({*one}) == len(one)]
