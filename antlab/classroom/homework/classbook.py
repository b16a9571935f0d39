"""What the class did not get: the instructor's table from a folder of progress files."""

import csv
import html
import io
import re
from collections import Counter
from functools import lru_cache

from matplotlib import pyplot as plt

from antlab import files
from antlab.classroom.drawing.stills import class_results
from antlab.classroom.guess.counted import read_hands, right_letter, share_words
from antlab.classroom.homework.judging import labels_of
from antlab.classroom.homework.problems import lesson
from antlab.classroom.homework.progress import Record, read_class

NEW = Record()
_FORMULA = re.compile(r"(^\s*|[;,|\t\r\n\"']\s*)(?=[=+@-])")
_ALLOWED = "default-src 'none'; style-src 'unsafe-inline'"  # no script, whatever a student's file holds
_STYLE = """
body { font: 16px/1.4 sans-serif; margin: 2em; color: #1a1a1a; }
table { border-collapse: collapse; }
th, td { border: 1px solid #ccc; padding: .2em .45em; text-align: center; }
th:first-child, td.name { text-align: left; white-space: nowrap; background: #fff; }
.right { background: #e3efe9; }
.open { background: #fbe6d9; font-weight: bold; }
svg { max-width: 100%; height: auto; }
"""


class ClassBook:
    """The results of a class.

    records: student -> problem id -> Record. notes: (file, what about it). asked: what the room answered by
    show of hands, a list of Asked.
    """

    def __init__(self, records, notes=(), asked=()):
        self.records, self.notes, self.asked = records, notes, asked
        touched = sorted({name.split(".")[0] for one in records.values() for name in one})
        lessons = {number: lesson(number) for number in touched}
        self.lessons = {number: list(one.problems) for number, one in lessons.items()}
        self.problems = {name: one for given in lessons.values() for name, one in given.problems.items()}
        self._ids = {name: id_ for given in lessons.values() for name, id_ in given.ids.items()}
        self._labels = {name: labels_of(one) for name, one in self.problems.items()}

    def of(self, student, problem):
        """One student's Record of one problem. problem: as they call it, "01.1"."""
        return self.records[student].get(self._ids[problem], NEW)

    def label(self, problem, record):
        """What the last hint of a Record was about; keys from nobody knows where mean nothing."""
        return self._labels[problem].get(record.hint, "")

    def column(self, problem):
        """All Records of one problem."""
        return [self.of(student, problem) for student in self.records]

    def missed(self):
        """The problems that some tried and did not get, or took three tries or more for, the worst first.

        Returns a list of (id, students who have not got it, who took long, their most frequent hint).
        """
        found = []
        for name in self.problems:
            column = self.column(name)
            open_ = [one for one in column if one.tries and not one.right]
            long = [one for one in column if one.right and one.tries >= 3]
            hints = Counter(self.label(name, one) for one in open_ + long) - Counter({"": len(column)})
            if open_ or long:
                found.append((name, len(open_), len(long), max(hints, key=hints.get, default="")))
        return sorted(found, key=lambda one: (-one[1], -one[2], one[0]))

    def missed_in_words(self):
        """The same as lines of text."""
        lines = []
        for name, open_, long, hint in self.missed():
            why = f"; most often: {hint}" if hint else ""
            title = self.problems[name].title.rstrip("?")
            lines.append(f"{name}  {title}: {open_} not yet, {long} after three tries or more{why}")
        return lines

    def picture(self):
        """A figure with a bar for each problem: right at once, right later, not yet right, not tried."""
        parts = []
        for name in self.problems:
            column = self.column(name)
            at_once = sum(one.right and one.tries == 1 for one in column)
            right = sum(one.right for one in column)
            tried = sum(bool(one.tries) for one in column)
            parts.append((at_once, right - at_once, tried - right, len(column) - tried))
        names = [f"{name}  {problem.title}" for name, problem in self.problems.items()]
        return class_results(names, parts)

    def text(self):
        """The table for a terminal: a letter for each problem, a line for each student."""
        width = max([len("student"), *map(len, self.records)])
        lines = ["student".ljust(width) + "".join(f"  {number:<5}" for number in self.lessons)]
        for student in self.records:
            line = student.ljust(width)
            for names in self.lessons.values():
                line += "  " + "".join(_letter(self.of(student, name)) for name in names).ljust(5)
            lines.append(line.rstrip())
        lines += ["+ right, 1 to 9 that many tries and not yet right, . not tried", ""]
        if not self.records:
            lines = []
        if missed := self.missed_in_words():
            lines += ["What the class did not get:", *(f"  {line}" for line in missed[:8])]
        if self.asked:
            lines += ["", "What the room believed:"] if lines and lines[-1] else ["What the room believed:"]
            lines += [f"  {one.in_words(right_letter(one.lesson))}" for one in self.asked]
        lines += [f"Not counted, or worth a look: {name} {why}." for name, why in self.notes]
        return "\n".join(lines).rstrip()

    def csv(self):
        """One line for each student and problem, for a spreadsheet."""
        file = io.StringIO()
        table = csv.writer(file, lineterminator="\n")
        table.writerow(("student", "problem", "about", "right", "tries", "last hint"))
        for student in self.records:
            name = _plain(student)
            for problem, about in self.problems.items():
                one = self.of(student, problem)
                hint = _plain(self.label(problem, one))
                table.writerow((name, problem, about.title, "yes" if one.right else "no", one.tries, hint))
        return file.getvalue()

    def html(self):
        """The table and the picture as a page that needs nothing else."""
        svg = self._svg() if self.problems else ""
        problems = self.problems.items()
        heads = "".join(f'<th title="{html.escape(one.title)}">{name}</th>' for name, one in problems)
        rows = []
        for student in self.records:
            cells = "".join(self._cell(name, self.of(student, name)) for name in self.problems)
            rows.append(f"<tr><td class=name>{html.escape(student)}</td>{cells}</tr>\n")
        missed = "".join(f"<li>{html.escape(line)}</li>" for line in self.missed_in_words())
        notes = "".join(f"<li>{html.escape(name)} {html.escape(why)}</li>" for name, why in self.notes)
        return (
            "<!doctype html>\n<html lang=en><meta charset=utf-8><title>Homework of the class</title>\n"
            f'<meta http-equiv=Content-Security-Policy content="{_ALLOWED}">\n'
            f"<style>{_STYLE}</style>\n<h1>Homework of the class</h1>\n<h2>What the class did not get</h2>\n"
            f'<div role=img aria-label="A bar for each problem; the list below says the same.">'
            f"{svg}</div>\n<ul>{missed}</ul>\n<h2>Students and problems</h2>\n"
            "<p>✓ right, ✗ not yet right, with the number of tries; point at a cell for its last hint.</p>\n"
            f"<table><tr><th>student</th>{heads}</tr>\n{''.join(rows)}</table>\n"
            + self._believed()
            + (f"<h2>Files that are worth a look</h2>\n<ul>{notes}</ul>\n" if notes else "")
        )

    def _believed(self):
        """What the room answered, before and after it talked, as a table; nothing where it was not asked."""
        rows = []
        for one in self.asked:
            right = right_letter(one.lesson)
            cells = "".join(f"<td>{_hands(counts, right)}</td>" for counts in one.rounds)
            cells += "<td></td>" * (2 - len(one.rounds))
            rows.append(f"<tr><td class=name>{one.lesson}</td><td>{one.at}</td>{cells}</tr>\n")
        if not rows:
            return ""
        return (
            "<h2>What the room believed</h2>\n<p>Answers by show of hands; ✓ is the right one.</p>\n"
            "<table><tr><th>lesson</th><th>asked</th><th>before talking</th><th>after</th></tr>\n"
            f"{''.join(rows)}</table>\n"
        )

    def _svg(self):
        fig, _ = self.picture()
        file = io.StringIO()
        fig.savefig(file, format="svg", bbox_inches="tight", metadata={"Date": None})
        plt.close(fig)
        return file.getvalue()[file.getvalue().index("<svg") :]

    def _cell(self, problem, record):
        if not record.tries and not record.right:
            return "<td></td>"
        kind, sign = ("right", "✓") if record.right else ("open", "✗")
        hint = html.escape(self.label(problem, record))
        return f'<td class={kind} title="{hint}">{sign} {record.tries}</td>'


@lru_cache(maxsize=1024)
def _plain(words):
    """A cell that no spreadsheet takes for a formula, at whichever sign it parts the line into cells."""
    return _FORMULA.sub(r"\1'", words)


def _hands(counts, right):
    """How many hands each letter had, the right one marked, and its share."""
    hands = ", ".join(
        f"<b>{letter}✓ {count}</b>" if letter == right else f"{letter} {count}"
        for letter, count in sorted(counts.items())
    )
    return f"{hands or 'nobody'}{share_words(counts, right)}"


def _letter(record):
    if record.right:
        return "+"
    return str(min(record.tries, 9)) if record.tries else "."


def write_class(folder, target):
    """Write class.csv and class.html into target from what students and room answered; return the ClassBook.

    folder: with the progress files, and those of shows of hands. What is written names students, so it is for
    its owner alone. Raises OSError where target can't be written.
    """
    (records, notes), (asked, more) = read_class(folder), read_hands(folder)
    book = ClassBook(records, [*notes, *more], asked)
    if book.records or book.asked:
        files.write(target / "class.csv", book.csv().encode("utf-8-sig"), private=True)
        files.write(target / "class.html", book.html().encode(), private=True)
    return book
