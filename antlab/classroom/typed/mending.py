"""A homework cell as it was typed, made one that Python reads; where that is a guess, a sentence instead.

A cell that Python reads as it is meant stays as it is, to the letter.
"""

import ast
import builtins
import json
import re
import warnings
from dataclasses import dataclass, replace
from functools import lru_cache

from antlab.classroom.typed.formulas import WORDS, python
from antlab.classroom.typed.known import CHOICE, FORMULA, NUMBER
from antlab.classroom.typed.letters import plain, tokens, unbalanced
from antlab.classroom.typed.quantities import Unread, number_in, unit_of

LONGEST = 4000  # letters of a cell that is looked at
_BUILTINS = frozenset(dir(builtins)) | {"display", "get_ipython", "_", "__"}
_SHEET = re.compile(r"^(?P<head>\s*\w+\s*=\s*homework\s*\.\s*sheet\s*\()(?P<inside>.*?)\)?\s*;?\s*$")
_LESSON = re.compile(r"\s*[\"']?\s*(\d{1,2})\s*[\"']?\s*(?:[,;]\s*)?")
_PROBLEM = re.compile(
    r"\s*[\"']?\s*(?P<lesson>\d{1,2})\s*[.,]\s*(?P<place>\d)\s*[\"']?\s*(?P<comma>[,;]?)\s*"
)
_ASSIGNED = re.compile(r"^\s*(?P<name>[A-Za-z_]\w*)\s*(?P<sign>=(?!=)|:=|:(?!=))\s*(?P<rest>.*)$", re.DOTALL)
_PLAIN = (  # what a statement may be made of, to be looked at: all else is left to Python
    ast.Module, ast.Assign, ast.AnnAssign, ast.AugAssign, ast.Expr, ast.Name, ast.Attribute, ast.Call,
    ast.keyword, ast.BinOp, ast.UnaryOp, ast.BoolOp, ast.Compare, ast.Constant, ast.Subscript, ast.Slice,
    ast.Tuple, ast.List, ast.Starred, ast.expr_context, ast.operator, ast.unaryop, ast.boolop, ast.cmpop,
    ast.Import, ast.ImportFrom, ast.alias,
)  # fmt: skip
FIRST = (
    "This sheet is not open yet: run its first code cell, the one with homework.sheet, with Shift and Enter; "
    "then run this one again."
)


@dataclass(frozen=True)
class Mended:
    """cell: what Python is to read. says: for the student beforehand. problem: which it is about."""

    cell: str
    says: tuple = ()
    problem: str = ""


def mended(cell, known):
    """The Mended for a cell as it was typed; the cell is empty where only a sentence can be given."""
    problem = ""
    if len(cell) > LONGEST or re.search(r"^\s*[%!]|^\s*\w*\?+\s*$|\"\"\"|'''", cell, re.MULTILINE):
        return Mended(cell)
    if not known.sheet and not re.search(r"\bhw\b|homework", cell):
        return Mended(cell)
    try:
        work = _Cell(cell if _reads(cell) else _parted(cell), known)
        problem = work.problem
        made = "\n".join(work.lines())
    except Unread as unread:
        return Mended("", (str(unread),), problem or _problem_in(cell))
    if work.says or not _reads(cell) and _reads(made):
        says = work.says or [" and ".join(made.strip().split("\n"))]
        return Mended(made, ("Read as " + "; ".join(says),), problem)
    return Mended(cell, problem=problem)


def _parted(text):
    """A cell in which each check begins a line of its own."""
    lines = []
    for line in text.split("\n"):
        at = re.search(r"(?<=[^\s;#(=.])\s+(?=\w+\s*\.\s*check\s*\()", line)
        if at and "#" not in line[: at.start()]:
            lines += [line[: at.start()], line[at.end() :]]
        else:
            lines.append(line)
    return "\n".join(lines)


def _problem_in(cell):
    found = re.search(r"\.check\s*\(" + _PROBLEM.pattern, plain(cell))
    return f"{found['lesson']:0>2}.{found['place']}" if found else ""


@lru_cache(maxsize=128)
def _reads(text):
    """Whether Python can read a text."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            compile(text, "cell", "exec", dont_inherit=True)
        return True
    except (SyntaxError, ValueError, MemoryError, RecursionError):
        return False


class _Cell:
    """One cell, statement by statement."""

    def __init__(self, text, known):
        self._known, self.says, self._prelude = known, [], []
        self._made = {*known.names}
        self._statements = _statements(text, known.sheet or "hw")
        self.problem, self._results = "", {}
        for one in self._statements:
            if (call := self._call(one)) and call[0] in known.asks:
                self.problem = self.problem or call[0]
                name = call[1].rstrip(") ;").strip()
                if name.isidentifier():
                    self._results[name] = call[0]

    def lines(self):
        """The statements as Python is to read them. Raises Unread."""
        return [self._one(statement) for statement in self._statements]

    def _call(self, statement):
        """(problem, what is typed behind it, what before) of a check, or None."""
        text = plain(statement)
        head = re.match(rf"\s*{re.escape(self._known.sheet or 'hw')}\s*\.\s*(?i:check)\s*\(", text)
        found = head and _PROBLEM.match(text, head.end())
        if not found:
            return None
        name = f"{found['lesson']:0>2}.{found['place']}"
        rest = re.sub(r"\s*(?<!\w)#[^\n\"']*$", "", text[found.end() :]).rstrip().rstrip(";")
        return name, rest, head[0]

    def _one(self, statement):
        if not statement.strip() or statement.lstrip().startswith("#"):
            return statement
        if found := _SHEET.match(plain(statement)):
            return self._opened(statement, found)
        if not self._known.sheet:
            if re.search(r"\bhw\b", statement) and "hw" not in self._made:
                raise Unread(FIRST)
            self._remember(statement)
            return statement
        call = self._call(statement)
        if call and (asked := self._known.asks.get(call[0])):
            return self._checked(statement, call, asked)
        return self._assigned(statement)

    # the first cell

    def _opened(self, statement, found):
        """The line that opens a sheet, with the name in quotation marks whatever was typed around it."""
        self._made |= {found["head"].split("=")[0].strip()}
        inside = found["inside"]
        number = _LESSON.match(inside)
        if not number:
            return statement
        if _reads(statement.strip()):
            given = ast.parse(statement.strip()).body[0].value.keywords
            one = given[0].value if given else None
            if isinstance(one, ast.Constant) and isinstance(one.value, str):
                return statement
            if not given and not inside[number.end() :].strip():
                return statement
            if isinstance(one, ast.Name) and one.id in self._made:
                return statement
        name = re.sub(r"^\s*student\s*[=:]?\s*", "", inside[number.end() :])
        name = " ".join(re.sub(r"[\"'\\()]", " ", name).split()).rstrip(",;")
        line = f'{found["head"].strip()}"{number[1]:0>2}", student={json.dumps(name, ensure_ascii=False)})'
        self.says.append(line)
        return line

    # hw.check("01.2", …)

    def _checked(self, statement, call, asked):
        name, rest, head = call
        answer, outside = _inside(rest)
        if asked.kind == CHOICE:
            return self._told(statement, head, name, self._letter(answer + outside, asked))
        if outside.strip():
            number = number_in(answer + outside, asked.unit)
            if number is None or asked.kind == FORMULA:
                raise Unread(
                    "Behind the last bracket of the check stands nothing: "
                    + (unbalanced(tokens(answer)) or "take away what you typed there.")
                )
            return self._told(statement, head, name, number)
        if not answer.strip(" ,"):
            if not answer.strip() and _reads(statement.strip()):
                return statement
            raise Unread(_empty(asked))
        if re.fullmatch(r"\s*[-+]?\d+,\d+\s*", answer):
            point = answer.strip().replace(",", ".")
            raise Unread(f"In brackets a comma parts two things: type {point} if that is what you mean.")
        if answer.strip().isidentifier() and answer.strip() not in self._made:
            result = answer.strip()
            if result not in self._known.symbols and result not in WORDS:
                raise Unread(
                    f"{result[:24]} has no value: type {result[:24]} = and your result behind it, in a "
                    "line above the check."
                )
        return self._told(statement, head, name, self._answer(answer, asked))

    def _told(self, statement, head, name, answer):
        line = f'{" ".join(head.split()).replace(" ", "")}"{name}", {answer})'
        line = re.sub(r"\.check\(", ".check(", line, flags=re.IGNORECASE)
        return self._set(statement, line)

    def _letter(self, text, asked):
        """The letter of an option, in quotation marks."""
        if re.fullmatch(r"\s*([\"'])\1\s*\)?\s*", text) or text.strip() in ("...", "None"):
            return text.strip().rstrip(")")
        whole = text.strip()
        if whole in self._made and whole not in self._known.symbols and whole not in asked.letters:
            return whole
        bare = re.sub(
            r"\b(?:option|answer|letter|the|is)\b", " ", re.sub(r"[^\w]", " ", text), flags=re.IGNORECASE
        )
        bare = "".join(bare.split()).casefold()
        if len(bare) == 1 and bare in asked.letters:
            quoted = re.fullmatch(r"\s*([\"'])\s*\w\s*\1\s*", text)
            return text.strip() if quoted else f'"{bare}"'
        if not bare:
            raise Unread(_empty(asked))
        first, *others = asked.letters
        raise Unread(
            f'Type one letter between the quotation marks, such as "{first}": the options are '
            f"{', '.join([first, *others])}."
        )

    # name = …

    def _assigned(self, statement):
        found = _ASSIGNED.match(plain(statement))
        twice = re.match(r"\s*(\w+)\s*==\s*", plain(statement))
        if twice and twice[1] in self._results and twice[1] not in self._made:
            found = _ASSIGNED.match(f"{twice[1]} = {plain(statement)[twice.end() :]}")
        problem = found and self._results.get(found["name"])
        asked = self._known.asks.get(problem)
        if found and (asked or found["sign"] == "=" and not re.match(r"\s*=", found["rest"])):
            rest, comment = _commented(found["rest"])
            answer = self._answer(rest, asked) if asked else self._formula(statement, rest, found["name"])
            sign = "=" if asked else found["sign"]
            line = f"{found['name']} {sign} {answer}{comment}"
        else:
            line = self._formula(statement, plain(statement), "")
        return self._set(statement, line)

    def _answer(self, text, asked):
        """What stands for the answer to a problem, as Python is to read it."""
        bare = re.sub(r"^\s*(?:=|is\b)\s*", "", text).strip()
        lead = re.match(r"(\w+)\s*=(?!=)\s*", bare)  # C = 1/(…), for what C is
        if lead and lead[1] in {asked.unknown, *self._known.symbols}:
            bare = bare[lead.end() :]
        if bare in ("...", "None"):
            return bare
        if not bare or not bare.strip(".?,;:_- "):
            raise Unread(_empty(asked))
        if asked.kind == CHOICE:
            return self._letter(bare, asked)
        if asked.kind == NUMBER and not re.fullmatch(r"[\"'].*[\"']", bare):
            number = number_in(bare, asked.unit)
            if number is not None:
                return number
            if number := self._with_unit(bare, asked):
                bare = number
        unit = re.search(r"[)\w] +([A-Za-zµΩ%°]+)$", bare)
        if asked.kind == FORMULA and unit and unit_of(unit[1]) and unit[1] not in self._known.symbols:
            raise Unread(f"A formula is wanted, without a unit behind it: take {unit[1]} away.")
        return self._formula(bare, bare, "", asked)

    def _with_unit(self, text, asked):
        """A formula with the unit that is asked for behind it, without the unit."""
        if asked.unit and text.endswith(asked.unit):
            head = text[: -len(asked.unit)]
            if asked.unit in self._known.symbols and not head.endswith(" "):
                return None
            apart = head.endswith(" ") or not asked.unit.isalpha() or head[-1:] in tuple(")0123456789")
            if apart and re.search(r"[\w)]\s*$", head):
                return head.rstrip()
        return None

    def _formula(self, statement, text, name, asked=None):
        """A text as Python is to read it: as it is where that is what Python reads, or mended."""
        if not text.strip():
            raise Unread("Behind the = stands nothing yet: put your result there.")
        if self._is_plain(statement, text):
            return text.strip() if asked or name else text
        tilde = text.lstrip()
        text = tilde[1:] if tilde[:1] in "~≈" else text
        known = self._known
        fetched = {}
        seen = replace(
            known, names=self._made | _BUILTINS, factors=known.factors | (self._made - known.names),
            results=tuple(self._results), parts_commas=not asked,
        )  # fmt: skip
        made = python(tokens(text), seen, fetched)
        if seen.wants_sympy and "sp" not in self._made:
            self._before("import sympy as sp", {"sp"})
        if fetched:
            names = ", ".join(fetched)
            self._before(f'{names} = {known.sheet}.symbols("{" ".join(fetched.values())}")', set(fetched))
        if not _reads(made):
            raise Unread(
                "Python can't read this as a formula: put a star between what is multiplied, brackets in "
                "pairs, and no words."
            )
        return made

    def _before(self, line, names):
        self._prelude.append(line)
        self._made |= names

    def _set(self, statement, line):
        prelude, self._prelude = self._prelude, []
        self._remember(line)
        if not prelude and _same(statement, line):
            return statement
        if re.sub(r"\s", "", plain(statement)) != re.sub(r"\s", "", line):
            self.says.append(line.split("  #")[0])
        elif not prelude:
            self.says.append(line)
        else:
            self.says += prelude
        return "\n".join([*prelude, line])

    def _is_plain(self, statement, text):
        """Whether Python reads a statement as it stands, and as its writer means it."""
        whole = statement.strip()
        if not _reads(whole) or re.search(r"\^|^\s*~", text):
            return False
        tree = ast.parse(whole)
        if not all(isinstance(node, _PLAIN) for node in ast.walk(tree)):
            return True
        code = "".join(one.typed for one in tokens(whole) if one.kind not in ("string", "comment"))
        if not code.isascii():
            return False
        return not any(map(self._is_odd, ast.walk(tree)))

    def _is_odd(self, node):
        """Whether Python would stumble over a node: a name that is none, a number that is called."""
        if isinstance(node, ast.Name):
            return isinstance(node.ctx, ast.Load) and node.id not in self._made | _BUILTINS
        if isinstance(node, ast.Attribute):
            return getattr(node.value, "id", "") == "sp" and node.attr not in self._known.words
        called = getattr(node, "func", None)
        return (
            isinstance(called, ast.Constant | ast.BinOp)
            or called is not None
            and (ast.unparse(called) in self._known.factors | {"sp.pi"})
        )

    def _remember(self, statement):
        if _reads(statement.strip()):
            for node in ast.walk(ast.parse(statement.strip())):
                if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store):
                    self._made.add(node.id)
                elif isinstance(node, ast.Name) and isinstance(node.ctx, ast.Del):
                    self._made.discard(node.id)
                elif isinstance(node, ast.alias):
                    self._made |= self._known.words if node.name == "*" else {
                        (node.asname or node.name).split(".")[0]
                    }  # fmt: skip
                elif isinstance(node, ast.FunctionDef | ast.ClassDef):
                    self._made.add(node.name)


def _empty(asked):
    if asked.kind == CHOICE:
        return 'Not answered yet: type one letter between the last two quotation marks, such as "a".'
    what = f"a number{' in ' if asked.unit else ''}{asked.unit}" if asked.kind == NUMBER else "a formula"
    return f"Not answered yet: put {what} in place of the dots."


def _inside(rest):
    """What stands inside the bracket of a check, and what behind it."""
    depth, at = 0, 0
    for token in tokens(rest):
        if token.text == "(":
            depth += 1
        elif token.text == ")":
            if not depth:
                return rest[:at], rest[at + 1 :]
            depth -= 1
        at += len(token.typed)
    if depth or re.search(r"\(", rest):
        raise Unread("A bracket is opened and never closed: each ( needs its ).")
    return rest, ""


def _commented(text):
    """A text and the comment behind it."""
    at = 0
    for token in tokens(text):
        if token.kind == "comment":
            return text[:at].strip(), "  " + token.typed
        at += len(token.typed)
    return text.strip(), ""


def _same(statement, line):
    """Whether Python reads the same in both."""
    if not _reads(statement.strip()):
        return False
    return ast.dump(ast.parse(statement.strip())) == ast.dump(ast.parse(line.strip()))


def _statements(text, sheet):
    """The cell in statements: a line each, or several where brackets hold them together."""
    if ";" in text:
        text = "".join("\n" if one.text == ";" else one.typed for one in tokens(text))
        text = "\n".join(line.lstrip() if _reads(line.strip()) else line for line in text.split("\n"))
    if _reads(text):
        lines, nodes = text.split("\n"), ast.parse(text).body
        starts = sorted({0, *(node.lineno - 1 for node in nodes)})
        return ["\n".join(lines[a:b]) for a, b in zip(starts, [*starts[1:], len(lines)], strict=True)]
    begins = re.compile(rf"\s*(?:[A-Za-z_]\w*\s*=(?!=)|{re.escape(sheet)}\s*\.|#|import |from |$)")
    made = []
    for line in text.split("\n"):
        held = made and not begins.match(line) and unbalanced(tokens(plain(made[-1])))
        if held and "opened" in held:
            made[-1] += "\n" + line
        else:
            made.append(line)
    return [line.strip() if not line.startswith("#") else line for line in made]
