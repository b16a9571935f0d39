"""The volunteer's guide as a booklet: contents, each evening on pages of its own, no foreign address.

It shows the guide as it is stored, its outputs are not made anew, and beside each evening's plan what the
lesson itself has: what each letter of its guess means, and the answers to the questions at its views. A
browser numbers the pages; on which one a section begins is read off a PDF that was printed before, since a
style sheet cannot tell.
"""

import re

import nbformat

from antlab.classroom import course
from antlab.classroom.guess.question import read_guess
from antlab.classroom.paper.lesson_pages import told_in
from antlab.classroom.tags import EVENING, tags


def guide():
    """The guide of the installed course, a notebook of nbformat."""
    return nbformat.read(course.course() / "notebooks" / "teach" / "guide.ipynb", as_version=4)


def is_evening(section):
    """Whether a Section of pieces is an evening."""
    return EVENING in section.pieces[0].tags


def evenings(notebook):
    """For each evening of a guide, in order: its lesson's Guess, and its answers at the views, Markdown."""
    lessons = {path.name[:2]: path for path in course.lessons(course.course())}
    numbers = [cell.id[-2:] for cell in notebook.cells if EVENING in tags(cell)]
    return [(read_guess(number), told_in(nbformat.read(lessons[number], as_version=4))) for number in numbers]


def begins(pdf):
    """On which page each part of a booklet begins: its number -> the page, 1 for the first.

    pdf: bytes of one that Chromium printed; empty where it does not tell.
    """
    pages = [int(number) for number in re.findall(rb"(\d+) 0 obj\s*<<\s*/Type /Page\b", pdf)]
    parts = re.findall(rb"/part-(\d+) \[(\d+) 0 R", pdf)
    return {int(part): pages.index(int(page)) + 1 for part, page in parts if int(page) in pages}
