"""What a lesson asks at its beginning and answers at its end, read from its notebook by tags: plain data.

The widget, paper and a page for phones read the same. A translated course is a folder of notebooks.
"""

import json
import re
from dataclasses import dataclass
from textwrap import fill

from antlab.classroom import course
from antlab.classroom.tags import BACK_TO_GUESS, GUESS, TITLE
from antlab.trouble import Slip

OPTION = re.compile(r"^- \*\*([A-Z])\.\*\* (.+)$", re.MULTILINE)


@dataclass(frozen=True)
class Curve:
    """Empty axes to draw upon. task: in words. x, y: (share of the axis, word) of each mark on it."""

    task: str
    x: tuple
    y: tuple


@dataclass(frozen=True)
class Guess:
    """One lesson's guess. Words are Markdown.

    lesson: its number, "03". question: in words. options, sentences: letter -> words of the option, and what
    is said of it at the end. right: the letter. curve: a Curve, or None. after: what is said of the curve.
    title: of the lesson.
    """

    lesson: str
    question: str
    options: dict
    right: str
    sentences: dict
    curve: Curve | None = None
    after: str = ""
    title: str = ""


def read_guess(lesson):
    """The Guess of a lesson. lesson: its number, "00" to "10". Raises Slip for another."""
    lesson = f"{lesson:02}" if type(lesson) is int else lesson
    found = {path.name[:2]: path for path in course.lessons(course.course())}
    if type(lesson) is not str or lesson not in found:
        raise Slip(
            f'there is a guess in the lessons {", ".join(found)}; ask for one by its number, like "03"'
        )
    asked, about = _cell(found[lesson], GUESS)
    told, answer = _cell(found[lesson], BACK_TO_GUESS)
    curve = about.get("curve")
    return Guess(
        lesson=lesson,
        question=re.sub(r"^#+ .*\n", "", OPTION.split(asked)[0]).strip(),
        options=dict(OPTION.findall(asked)),
        right=answer["right"],
        sentences=dict(OPTION.findall(told)),
        curve=curve and Curve(curve["task"], *(tuple(map(tuple, curve[axis])) for axis in "xy")),
        after=OPTION.split(told)[-1].strip(),
        title=re.search(r"^# (.+)$", _cell(found[lesson], TITLE)[0], re.MULTILINE)[1],
    )


def _cell(path, tag):
    """The words of the one cell of a notebook with a tag, and what its metadata say to antlab."""
    cells = json.loads(path.read_text(encoding="utf-8"))["cells"]  # nbformat takes a second to be loaded
    (cell,) = (cell for cell in cells if tag in cell["metadata"].get("tags", ()))
    return "".join(cell["source"]), cell["metadata"].get("antlab", {})


def plain(markdown):
    """Words without the signs of Markdown, for a button or a screen reader."""
    return re.sub(r"[*`]", "", markdown).strip().rstrip(",")


def alone(option):
    """An option that ends the question's sentence, without the comma or stop that it has as one of a list."""
    return option.rstrip(",.") if option[:1].islower() else option


def meanings(lesson):
    """What each letter of a lesson's guess means, for who teaches: lines of text, ✓ at the right one.

    lesson: its number, "00" to "10". Raises Slip for another.
    """
    guess = read_guess(lesson)
    lines = [f"Lesson {guess.lesson}"]
    for letter, sentence in guess.sentences.items():
        mark = "✓" if letter == guess.right else " "
        lines.append(
            fill(plain(sentence), 76, initial_indent=f" {letter} {mark} ", subsequent_indent=5 * " ")
        )
    return "\n".join(lines)
