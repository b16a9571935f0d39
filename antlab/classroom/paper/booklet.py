"""The volunteer's guide as a booklet: contents, each evening on pages of its own, no foreign address.

It shows the guide as it is stored, its outputs are not made anew, and beside each evening's plan what the
lesson itself has: its question, where its slides belong, what each letter of its guess means, and what is
asked and answered at its views. A browser numbers the pages; on which one a section begins is read off a PDF
that was printed before, since a style sheet cannot tell.
"""

import re
from dataclasses import dataclass

import nbformat

from antlab.classroom import course
from antlab.classroom.guess.question import Guess, read_guess
from antlab.classroom.paper.lesson_pages import ANSWER, at_views, told_in
from antlab.classroom.paper.slides import listed
from antlab.classroom.tags import EVENING, TITLE, tags

_ASKED = re.compile(r"(?:^|\s)(\d)\. (.+?)(?=\s\d\. |\n\n|\Z)", re.DOTALL)


def guide():
    """The guide of the installed course, a notebook of nbformat."""
    return nbformat.read(course.course() / "notebooks" / "teach" / "guide.ipynb", as_version=4)


def is_evening(section):
    """Whether a Section of pieces is an evening."""
    return EVENING in section.pieces[0].tags


@dataclass(frozen=True)
class Evening:
    """What an evening's lesson has of its own. Words are Markdown.

    opening: its question and what one learns. slides: (first, last, heading of the step that they belong to).
    guess: a Guess. asked: (number, question at a view, answer).
    """

    opening: str
    slides: tuple
    guess: Guess
    asked: tuple


def evenings(notebook):
    """An Evening for each one of a guide, in order."""
    lessons = {path.name[:2]: path for path in course.lessons(course.course())}
    numbers = [cell.id[-2:] for cell in notebook.cells if EVENING in tags(cell)]
    return [_evening(number, nbformat.read(lessons[number], as_version=4)) for number in numbers]


def _evening(number, lesson):
    (title,) = (cell.source for cell in lesson.cells if TITLE in tags(cell))
    told, asked = dict(ANSWER.findall(told_in(lesson))), {}
    for cell in at_views(lesson):
        asked |= {one: words for one, words in _ASKED.findall(cell.source) if one in told}
    return Evening(
        opening=title.partition("\n")[2].strip(),
        slides=tuple(_slides(lesson)),
        guess=read_guess(number),
        asked=tuple(
            (one, " ".join(asked.get(one, "").split()), words.strip()) for one, words in told.items()
        ),
    )


def _slides(lesson):
    """Yield which slides belong to each step of a lesson: numbers of the first and the last, its heading."""
    heading, first, last = "The question", 1, 0
    for cell in lesson.cells:
        step = re.search(r"^## (.+)$", cell.source, re.MULTILINE) if cell.cell_type == "markdown" else None
        if step:
            if first <= last:
                yield first, last, heading
            heading, first = step[1], last + 1
        last += len(listed(cell))
    if first <= last:
        yield first, last, heading


def begins(pdf):
    """On which page each part of a booklet begins: its number -> the page, 1 for the first.

    pdf: bytes of one that Chromium printed; empty where it does not tell.
    """
    pages = [int(number) for number in re.findall(rb"(\d+) 0 obj\s*<<\s*/Type /Page\b", pdf)]
    parts = re.findall(rb"/part-(\d+) \[(\d+) 0 R", pdf)
    return {int(part): pages.index(int(page)) + 1 for part, page in parts if int(page) in pages}
