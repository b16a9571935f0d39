"""The student's face of the homework: a sheet of numbers, and a check that hints before it tells.

    from antlab.classroom import homework
    hw = homework.sheet("01", student="juniper")
    L, f = hw.symbols("L f")
    hw.check("01.1", 1 / ((2 * sp.pi * f) ** 2 * L))

In a work folder that `antlab` laid out, what came of each problem is kept in a small file for the instructor.
"""

import textwrap

from antlab.classroom.homework import judging
from antlab.classroom.homework.naming import EXAMPLE, clean_name
from antlab.classroom.homework.problems import BASE_UNITS, Choice, Expression, Number, quantity, symbols
from antlab.classroom.homework.problems import lesson as lesson_of
from antlab.classroom.homework.progress import Record, Store, work_folder
from antlab.classroom.typed.known import Asking
from antlab.classroom.typed.shell import attach_here
from antlab.trouble import Slip, owned

WIDTH = 75  # fits a notebook on a projector


def sheet(number, *, student="", folder=None):
    """A lesson's homework with a student's own numbers.

    number: of the lesson, "01" to "10". student: call sign or nickname; without one, the numbers of the
    example, and nothing is kept. folder: where the progress file goes; the work folder when left out.
    Returns a Sheet. Raises Slip, saying the mend, for another number and for a name that is none.
    """
    name = clean_name(student)
    number = f"{number:02}" if type(number) is int and 0 < number < 100 else number
    if type(number) is not str:
        raise Slip('number is that of the lesson, such as "01"')
    folder = folder or work_folder()
    keeps = folder is not None and name.casefold() != EXAMPLE
    attach_here()
    with owned():
        return Sheet(lesson_of(number, name), name, Store(folder, name) if keeps else None)


class Sheet(Asking):
    """One student's homework for one lesson: shows it, gives symbols and values, checks answers."""

    def __init__(self, lesson, student, store=None):
        self._lesson, self._student, self._store = lesson, student, store
        self._records, self._trouble = {}, ""
        if store:
            try:
                self._records = store.records()
            except OSError as error:
                self._trouble = f" They can't be kept: {error.strerror}."

    @property
    def asks(self):
        """What a student calls a problem -> the problem."""
        return dict(self._lesson.problems)

    @property
    def names(self):
        """The names of the symbols on the sheet: those given, and those asked for."""
        return [name for name in self._known() if name not in self._lesson.also]

    @property
    def also(self):
        """What the lesson calls otherwise, and `symbols` knows too."""
        return list(self._lesson.also)

    @property
    def values(self):
        """Symbol -> number in base units (henries, hertz, metres, radians): what to substitute."""
        values = dict(self._lesson.values)
        return values | {symbols(name): float(one.subs(values)) for name, one in self._lesson.also.items()}

    def symbols(self, names):
        """The sheet's symbols by their names, as sympy.symbols gives them. Raises Slip for others.

        names: text, names with blanks between. Also what a problem asks for is there, such as "C".
        """
        known = self._known()
        found = names.replace(",", " ").split() if type(names) is str else []
        if not found or set(found) - set(known):
            raise Slip(f'this sheet has {" ".join(known)}; ask for some of them, like "{min(known)}"')
        return known[found[0]] if len(found) == 1 else tuple(known[name] for name in found)

    def _known(self):
        """Name -> symbol."""
        given = {symbol.name: symbol for symbol in self._lesson.values}
        formulas = [one for one in self._lesson.problems.values() if isinstance(one, Expression)]
        asked = {one.unknown: symbols(one.unknown) for one in formulas}
        return given | asked | {name: symbols(name) for name in self._lesson.also if name not in given}

    def check(self, problem_id, answer=None, *others):
        """Say what is to be said about an answer; keep it where there is a work folder. Returns nothing.

        problem_id: such as "05.2". answer: what the problem wants, an expression, a number or the letter of
        an option; three dots and None do not count. Whatever was typed is answered with a sentence; nothing
        is raised, not for a decimal comma either, which makes two answers of one number.
        """
        if type(problem_id) is float:  # 01.2 without its quotation marks
            problem_id = f"{problem_id:.1f}"
        if type(problem_id) is str:
            problem_id = problem_id[:9].strip().zfill(4)
        problem = self._lesson.problems.get(problem_id) if type(problem_id) is str else None
        if others:
            comma = "A comma parts two answers, and one is wanted: a number has a decimal point, like 35.5."
            return _say(problem_id if problem else "", comma)
        if problem is None:
            return _say("", f"The problems of this sheet are {', '.join(self._lesson.problems)}.")
        verdict = judging.judge(self._lesson, problem, answer)
        before = self._record(problem_id)
        record, trouble = self._kept(problem_id, verdict)
        _say(problem_id, *_told(problem, verdict, record, was_right=before.right), trouble)

    def options(self, problem_id):
        """Print the options of a problem that asks for a decision. problem_id: such as "05.5"."""
        problem = self._lesson.problems.get(problem_id) if type(problem_id) is str else None
        if not isinstance(problem, Choice):
            choices = [name for name, one in self._lesson.problems.items() if isinstance(one, Choice)]
            return _say("", f"There are options for {', '.join(choices)}.")
        stop = "." if problem.title[-1].isalnum() else ""
        _say(problem_id, f"{problem.title}{stop} {problem.task}")
        for letter, option in problem.options.items():
            _say(f"  {letter} ", option.words)

    def _record(self, problem_id):
        return self._records.get(self._lesson.ids[problem_id], Record())

    def _kept(self, problem_id, verdict):
        """The Record after a Verdict, and a sentence about what went wrong in keeping it, or nothing."""
        trouble = ""
        try:
            record = self._store.add(self._lesson.ids[problem_id], verdict) if self._store else None
        except OSError as error:
            record, trouble = None, f"(This could not be kept in {self._store.path.name}: {error.strerror}.)"
        if record is None:
            record = self._record(problem_id).after(verdict)
        self._records[self._lesson.ids[problem_id]] = record
        return record, trouble

    def _tables(self):
        givens = [("symbol", "what it is", "yours", "in hw.values")] + [
            (one.symbol.name, one.meaning, quantity(one.shown, one.unit),
             quantity(one.value, BASE_UNITS.get(one.unit, one.unit), digits=8))
            for one in self._lesson.givens
        ]  # fmt: skip
        asked = [("problem", "what it is about", "what to hand in")] + [
            (name, one.title, one.wanted) for name, one in self._lesson.problems.items()
        ]
        return givens, asked

    def _head(self):
        whose = "the example" if self._student == EXAMPLE else self._student
        words = f"Homework {self._lesson.number}: {self._lesson.title}. These are the numbers of {whose}."
        if self._student == EXAMPLE:
            return f"{words} Type your call sign or a nickname between the quotation marks to get your own."
        if not self._store:
            return words
        right = [name for name in self._lesson.problems if self._record(name).right]
        so_far = f" Right so far: {', '.join(right)}." if right else ""
        words += f" Results go to {self._store.path.name} in your lessons folder.{so_far}"
        return f"{words} {self._store.note}{self._trouble}".rstrip()

    def __repr__(self):
        parts = [textwrap.fill(self._head(), WIDTH)]
        for table in self._tables():
            widths = [max(map(len, column)) for column in zip(*table, strict=True)]
            rows = (zip(row, widths, strict=True) for row in table)
            parts.append("\n".join("  ".join(cell.ljust(w) for cell, w in row).rstrip() for row in rows))
        return "\n\n".join(parts)

    def _repr_markdown_(self):
        parts = [_escaped(self._head())]
        for head, *rows in self._tables():
            lines = [head, ["---"] * len(head), *([_escaped(cell) for cell in row] for row in rows)]
            parts.append("\n".join("| " + " | ".join(line) + " |" for line in lines))
        return "\n\n".join(parts)


def expected(lesson):
    """A student's numbers and the answers that are expected.

    lesson: a Lesson, which is one student's. Returns text for the instructor.
    """
    lines = [f"{lesson.number} {lesson.title}"]
    for one in lesson.givens:
        lines.append(f"      {one.symbol.name} = {quantity(one.shown, one.unit)}  ({one.meaning})")
    for name, problem in lesson.problems.items():
        if isinstance(problem, Choice):
            words = [f'"{problem.right}"', *([problem.task] if problem.task else [])]
            words.append(problem.options[problem.right].words)
            answer = " ".join(words)
        elif isinstance(problem, Number):
            answer = f"{quantity(problem.value, problem.unit, digits=5)}, within {problem.within}"
        else:
            answer = f"{problem.unknown} = {problem.right}"
        line = f"{name}  {problem.title.rstrip('?')}: {answer}"
        lines += textwrap.wrap(line, WIDTH, subsequent_indent=" " * 6, break_long_words=False)
    return "\n".join(lines)


def _told(problem, verdict, record, was_right):
    """The sentences about a Verdict: first a hint, at the second try a nudge too, at the third a step."""
    if verdict.status != judging.WRONG:
        return [verdict.words]
    words = ["Not yet." if not was_right else "Not this one; the right one is kept."]
    words.append(verdict.words or problem.nudge)
    if record.tries > 1 and verdict.words:
        words.append(problem.nudge)
    if record.tries > 2:
        words.append(f"A step: {problem.step}")
    return words


def _say(head, *sentences):
    text = " ".join(sentence for sentence in sentences if sentence)
    print(textwrap.fill(f"{head}  {text}" if head else text, WIDTH, subsequent_indent=" " * (len(head) + 2)))


def _escaped(text):
    return "".join("\\" + letter if letter in "\\`*_|<>[]#~$" else letter for letter in text)
