"""What a lesson asks of its view is answered in the picture, large, where the eye is.

asked_NN.py beside this file lists, for each question: some of its words as they stand in the notebook, the
view, its settings by name, and a pattern that a large text in the picture matches there.
"""

import importlib
import re
from pathlib import Path

import pytest
from test_notebooks import LESSONS, prose

from antlab.classroom import live
from antlab.classroom.views.player import SCREEN

LARGE = 1.2  # share of plain type's
FILES = sorted(path.stem for path in Path(__file__).parent.glob("asked_*.py"))
QUESTIONS = [(name[-2:], *question) for name in FILES for question in importlib.import_module(name).ASKED]


def test_each_lesson_has_its_list():
    """A lesson that asks nothing of its view, or forgets where the answer stands, is found."""
    assert [name[-2:] for name in FILES] == [path.stem[:2] for path in LESSONS]


@pytest.mark.parametrize(
    ("number", "words", "name", "settings", "answer"),
    QUESTIONS, ids=[f"{number}-{words}" for number, words, *_ in QUESTIONS],
)  # fmt: skip
def test_the_picture_answers(number, words, name, settings, answer):
    """The question stands in the lesson; at its settings a large mark in the picture answers it."""
    (lesson,) = (path for path in LESSONS if path.stem.startswith(number))
    assert words in prose(lesson)
    view = live.VIEWS[name]
    wanted, choices = view.settings(settings)
    _, frames = view.film(SCREEN, choices, view.places(wanted, choices), still=False)
    plain = SCREEN[0]["font.size"]
    large = [
        text
        for part in frames["parts"]
        for text in part["texts"]
        if part["kind"] == "text" and part["size"] >= LARGE * plain * 100 / 72 * 16
    ]
    assert any(re.search(answer, text) for text in large), large
