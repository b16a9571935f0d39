"""A lesson's worksheet: one page with guess, drawing, blanks and caution; and the teacher's copy, filled in.

All of it is the lesson's own, read from its notebook, so that it cannot go stale. The blanks are words of the
summary, named in the metadata of its cell, `antlab.blanks`, with a few words around them: "[half] the wave".
"""

import re
from dataclasses import dataclass, replace

import nbformat

from antlab.classroom import course
from antlab.classroom.guess.question import Guess, alone, read_guess
from antlab.classroom.paper import to_complete
from antlab.classroom.tags import CAUTION, SUMMARY, tags
from antlab.trouble import Slip

GAP = "\N{WHITE SQUARE}"  # in Markdown, around the words that are left out
_ITEM, _GAP = re.compile(r"^\d+\. (.+)$", re.MULTILINE), re.compile(f"{GAP}([^{GAP}]+){GAP}")


@dataclass(frozen=True)
class Worksheet:
    """What stands on one. Words are Markdown.

    guess: a Guess. task: what to draw; here: for which setting. drawing: SVG text. sentences: of the summary;
    what is left out stands between two GAPs. cautions: of the lesson. complete: whether it is the teacher's
    copy.
    """

    guess: Guess
    task: str
    here: str
    drawing: str
    sentences: tuple
    cautions: tuple
    complete: bool


def read_worksheet(lesson, *, complete=False):
    """The Worksheet of a lesson, or the teacher's copy. lesson: its number, "03". Raises Slip for another."""
    guess = read_guess(lesson)
    (path,) = (one for one in course.lessons(course.course()) if one.name.startswith(guess.lesson))
    cells = nbformat.read(path, as_version=4).cells
    (summary,) = (cell for cell in cells if SUMMARY in tags(cell))
    asked = [cell for cell in cells if to_complete.task(cell)]
    if asked:
        task = to_complete.task(asked[0])["task"]
        drawing, here = to_complete.of_cell(asked[0], complete=complete)
    else:
        task, here = guess.curve.task, ""
        drawing = to_complete.of_guess(guess, complete=complete)
    options = {letter: alone(words) for letter, words in guess.options.items()}
    return Worksheet(
        guess=replace(guess, options=options), task=task, here=here, drawing=drawing, complete=complete,
        sentences=sentences(summary.source, summary.metadata.antlab.blanks),
        cautions=tuple(cell.source for cell in cells if CAUTION in tags(cell)),
    )  # fmt: skip


def sentences(summary, blanks):
    """The sentences of a summary, Markdown, with a GAP before and after what each of the blanks leaves out.

    blanks: words of the summary, what is left out in square brackets. Raises Slip where they do not stand
    there just once.
    """
    for blank in blanks:
        words = re.sub(r"[][]", "", blank)
        if summary.count(words) != 1 or blank.count("[") != 1 or not re.search(r"\[[^]]+\]", blank):
            raise Slip(
                f"the blank {blank!r} names no words that stand once in the summary: write them as they "
                "stand there, and what is left out in square brackets"
            )
        summary = summary.replace(words, re.sub(r"[][]", GAP, blank))
    return tuple(_ITEM.findall(summary))


def gaps(text, show):
    """HTML in which what stands between two GAPs is what show makes of it."""
    return _GAP.sub(lambda found: show(found[1]), text)
