"""The wording of the course can change without the code noticing: it goes by tags and ids, never by words."""

import codecs
import re
from html.parser import HTMLParser

import nbformat
import pytest

from antlab.classroom.homework.exercises import exercises
from antlab.classroom.paper import handouts, slides
from antlab.classroom.paper.pieces import pieces, sections
from antlab.classroom.tags import CAUTION
from antlab.files import ROOT

ANSWERS = sorted((ROOT / "notebooks" / "answers").glob("*.ipynb"))
KEPT = re.compile(
    r"(```.*?```|`[^`\n]*`|\$\$.*?\$\$|\$[^$\n]*\$|\]\([^)]*\)|^[|:\- ]+$)", re.DOTALL | re.MULTILINE
)


def foreign(path):
    """A notebook in a language that nobody speaks, with other signs; links, code and formulas are kept."""
    notebook = nbformat.read(path, as_version=4)
    for cell in notebook.cells:
        if cell.cell_type == "markdown":
            parts = KEPT.split(cell.source)
            parts[::2] = (
                codecs.encode(part, "rot13").translate(str.maketrans(":?", ";!")) for part in parts[::2]
            )
            cell.source = "".join(parts)
    return notebook


class Bones(HTMLParser):
    """A page without its words: its tags, with what a style sheet and a reader's device go by."""

    def __init__(self, text):
        super().__init__()
        self.tags = []
        self.feed(text)

    def handle_starttag(self, tag, attributes):
        self.tags.append((tag, [pair for pair in attributes if pair[0] in ("class", "id", "src", "display")]))


def laid(notebook):
    """A lesson on paper and as slides, without its words."""
    on_paper = [
        (one.about, [(piece.kind, piece.about, piece.tags) for piece in one.pieces])
        for one in sections(pieces(notebook))
    ]
    return on_paper, [(one.kind, one.shows, one.letter, len(one.options)) for one in slides.deck(notebook)]


@pytest.mark.parametrize("number", handouts.lessons())
def test_pages_and_slides_do_not_read(number):
    """The same frames, leads, slides and formulas, whatever a lesson says; else a translation is a fork."""
    path = handouts.lessons()[number]
    notebook = nbformat.read(path, as_version=4)
    assert laid(notebook) == laid(foreign(path))
    framed = [about for _, parts in laid(notebook)[0] for _, about, *_ in parts]
    cautions = sum(CAUTION in cell.metadata.get("tags", ()) for cell in notebook.cells)
    assert framed.count("caution") >= cautions and (cautions or number == "00")


def test_a_page_in_another_language():
    """Lesson 04, which has everything: tag by tag the same page."""
    path = handouts.lessons()["04"]
    ours, theirs = nbformat.read(path, as_version=4), foreign(path)
    assert handouts.title_of(ours) != handouts.title_of(theirs)
    assert Bones(handouts.export(ours)).tags == Bones(handouts.export(theirs)).tags


@pytest.mark.parametrize("path", ANSWERS, ids=lambda path: path.stem)
def test_exercises_do_not_read(path):
    """The same cells are left out, and the others ask the same, in whatever words the answers are."""
    made = [exercises(one).cells for one in (nbformat.read(path, as_version=4), foreign(path))]
    ours, theirs = (
        [(cell.id, cell.metadata, cell.source if cell.cell_type == "code" else "") for cell in one]
        for one in made
    )
    assert ours == theirs and len(ours) < len(nbformat.read(path, as_version=4).cells)
