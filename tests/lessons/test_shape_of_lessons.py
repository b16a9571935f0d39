"""How much a lesson asks of who reads it: the toy early, few words, little code, and code to change."""

import nbformat
import pytest
from test_notebooks import COURSE

from antlab.classroom import live
from antlab.classroom.tags import CHANGE_ME, GUESS_ENTERED, LIVE, tags
from antlab.files import ROOT

MOST_WORDS, MOST_CODE, SHARE_BEFORE = 1800, 9, 0.20
TWO_LINES = 185  # letters
FORMS = 2  # code cells of the guess: where it is entered, and where it is laid beside the answer

every_lesson = pytest.mark.parametrize("number", [name[:2] for name in COURSE])


def cells(number):
    """The cells of a lesson."""
    (path,) = (ROOT / "notebooks").glob(f"{number}-*.ipynb")
    return nbformat.read(path, as_version=4).cells


def words(cells):
    """How many words Markdown cells have: all that stands between white space, formulas and tables too."""
    return sum(len(cell.source.split()) for cell in cells if cell.cell_type == "markdown")


def views(cells):
    """The places of the cells that show a live view."""
    calls = [f"live.{name}(" for name in live.VIEWS]
    return [
        i for i, one in enumerate(cells) if one.cell_type == "code" and any(c in one.source for c in calls)
    ]


@every_lesson
def test_words(number):
    """A lesson of 45 minutes is read in ten."""
    assert words(cells(number)) <= MOST_WORDS


@every_lesson
def test_the_view_comes_early(number):
    """At most a fifth of the words stand before the first live view, and its words are tagged as such."""
    found = cells(number)
    place = views(found)[0]
    assert words(found[:place]) <= SHARE_BEFORE * words(found)
    before = [tag for cell in found[:place] for tag in tags(cell)]
    assert LIVE in before or LIVE in tags(found[place])


@every_lesson
def test_tasks_in_sight(number):
    """What follows a view fits under it at 1366 x 625: two lines of a notebook's page (seen in Chromium)."""
    found = cells(number)
    for place in views(found):
        tasks = found[place + 1]
        assert tasks.cell_type == "markdown" and len(tasks.source.replace("*", "")) <= TWO_LINES, tasks.source


@every_lesson
def test_code(number):
    """Nine code cells, the guess's two counted whether they are there yet or not."""
    code = [cell for cell in cells(number) if cell.cell_type == "code"]
    assert len([cell for cell in code if GUESS_ENTERED not in tags(cell)]) <= MOST_CODE - FORMS


@every_lesson
def test_there_is_code_to_change(number):
    """Two cells at least are for the student to change and to run again."""
    changed = [cell for cell in cells(number) if CHANGE_ME in tags(cell)]
    assert len(changed) >= 2 and all(cell.cell_type == "code" for cell in changed)
