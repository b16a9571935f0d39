"""Cautions stand wherever somebody works alone: sheet, homework, phone pages, lessons, all from safety.py."""

import html
import re

import nbformat
import pytest

import antlab as al
from antlab.antenna import safety
from antlab.classroom.paper import pages
from antlab.classroom.paper.sheet import build, build_sheet
from antlab.classroom.tags import CAUTION, tags
from antlab.classroom.views.player import View
from antlab.files import ROOT

MUST = {  # what a caution may not leave unsaid
    "tools": ("saw", "drill", "cut", "solder", "eyes", "burn", "fumes", "wash your hands", "clipped end"),
    "throwing a line": (
        "thrown or shot", "eyes", "far side is clear", "people", "power line", "road", "weight falls",
        "nobody below",
    ),
    "tension": ("pulleys", "weight", "nobody below"),
    "lightning": ("ask what is buried", "ground rod", "local electrical code", "licensed electrician"),
    "falls": ("alone", "throw a line"),  # and how is the next caution
    "last word": ("local codes", "regulator", "licensed"),
}  # fmt: skip
SHEETS = {  # homework -> the work that it leads to
    "01": ("winding",), "02": ("trimming",), "03": ("winding",), "04": ("winding",), "05": ("feeding",),
    "06": ("transmitting",), "07": ("hanging",), "08": ("transmitting",), "09": ("hanging", "transmitting"),
    "10": ("trimming",),
}  # fmt: skip
UNDER = {  # a view -> what its page has to warn of
    "ringing": {"tools", "high voltage"},
    "tuned_circuit": {"tools", "high voltage"}, "half_wave_wire": {"tools", "transmitting", "power lines"},
    "trap_dipole": {"high voltage", "transmitting"}, "trap_choice": {"tools", "high voltage"},
    "coax_trap": {"tools", "high voltage"}, "feed_line": {"lightning", "transmitting"},
    "soil_and_mirror": {"high voltage", "exposure"},
    "height": {"power lines", "falls", "throwing a line", "tension", "lightning"},
    "wave_over_soil": {"power lines", "falls", "throwing a line", "tension", "lightning"},
    "trimming": {"tools", "transmitting", "power lines"},
    "swr_bands": {"tools", "transmitting", "power lines"},
    "where_it_lands": {"power lines", "falls", "throwing a line", "tension", "lightning"},
    "one_wave": set(),
}  # fmt: skip
HANDS_ON = {  # a lesson -> what its own cautions say of the work that it sets
    "00": ("cover your eyes", "fumes", "wash your hands", "what is buried", "nobody stand below", "far side"),
    "04": ("cover your eyes", "clamp", "clip off", "fumes", "wash your hands"),
    "09": ("eyes covered", "far side is clear", "road", "weight on a pulley", "what is buried"),
    "10": ("cover your eyes", "clip off", "fumes", "wash your hands", "far side is clear", "on the pulley"),
    "teach/guide": ("eyes are covered", "clipped off", "fumes", "what is buried", "on a pulley"),
}  # fmt: skip


@pytest.mark.parametrize("name", MUST)
def test_what_a_caution_must_say(name):
    """Eyes, burns, fumes, hands and clipped ends; the far side of a throw; the weight; what is buried."""
    assert not [words for words in MUST[name] if words not in safety.CAUTIONS[name].lower()]


def test_each_work_has_its_cautions():
    """A part of CAUTIONS in its order, with the last word; who might climb is told how to throw a line."""
    assert list(safety.CAUTIONS)[-1] == "last word"
    assert set().union(*safety.WORK.values()) == set(safety.CAUTIONS) - {"last word"}
    for work in [*((one,) for one in safety.WORK), tuple(safety.WORK)]:
        found = safety.cautions_for(*work)
        assert list(found)[-1] == "last word" and found.items() <= safety.CAUTIONS.items()
        assert list(found) == [name for name in safety.CAUTIONS if name in found]
        assert ("falls" in found) == ("throwing a line" in found)
    assert safety.cautions_for(*safety.WORK) == safety.CAUTIONS


@pytest.mark.parametrize("work", [(), ("painting",), ("winding", "painting")])
def test_work_that_nobody_knows(work):
    """A slip in the name of a work would leave a page without its cautions."""
    with pytest.raises(ValueError, match="winding, hanging"):
        safety.cautions_for(*work)


@pytest.mark.parametrize("folder", ["answers", "homework"])
@pytest.mark.parametrize("number", SHEETS)
def test_homework_has_its_cautions(folder, number):
    """Before the first problem, in words of safety.py, for the student who works at home alone."""
    (path,) = (ROOT / "notebooks" / folder).glob(f"{number}-*.ipynb")
    cells = nbformat.read(path, as_version=4).cells
    (cell,) = (one for one in cells if CAUTION in tags(one))
    assert cells.index(cell) < [one.cell_type for one in cells].index("code")
    listed = re.findall(r"^- \*\*(.+)\.\*\* (.+)$", cell.source, re.MULTILINE)
    assert [(name.lower(), words) for name, words in listed] == [
        *safety.cautions_for(*SHEETS[number]).items()
    ]


@pytest.mark.parametrize("name", UNDER)
def test_pages_have_their_cautions(name, monkeypatch):
    """Under the picture of each view that leads to work stand its cautions, word for word."""
    monkeypatch.setattr(View, "film", lambda *_: ({}, {}))  # the picture itself, which takes longest
    monkeypatch.setattr(pages, "light", lambda *_: {})
    monkeypatch.setattr(pages, "squeezed", lambda film: "")
    view = pages.views()[name]
    text = pages.page(view, **pages.calls().get(name, {})).partition('<script type="module">')[0]
    text = html.unescape(text)
    assert view.cautions.keys() >= UNDER[name]
    assert bool(view.cautions) == bool(UNDER[name]) == ("last word" in view.cautions)
    for caution, words in view.cautions.items():
        assert words == safety.CAUTIONS[caution]
        assert text.index(words) > text.index('<div id="view">')


def test_every_page_was_thought_of():
    """A new view says which work it leads to, or that it leads to none."""
    assert set(pages.views()) == set(UNDER)


@pytest.mark.parametrize("lesson", HANDS_ON)
def test_lessons_with_tools_say_so(lesson):
    """Where a lesson or the guide has somebody cut, solder or throw, its cautions say what hurts."""
    (path,) = (ROOT / "notebooks").glob(f"{lesson}*.ipynb")
    cells = (cell.source for cell in nbformat.read(path, as_version=4).cells if cell.cell_type == "markdown")
    text = "\n".join(cells).lower()
    assert not [words for words in HANDS_ON[lesson] if words not in text]


# --- a wire within reach


@pytest.fixture(scope="module")
def low():
    """A plan with everything else to note as well: a level wire at 0.9 m is also outside what is checked."""
    with pytest.warns(UserWarning, match="checked"):
        return al.design("20m", "10m", shape=al.FlatTop(height_m=0.9), z0_ohm=300).plan


def test_within_reach_comes_first(low):
    """Before what the engine and the trap have to say, in the notes and in the text."""
    assert low.within_reach and len(low.notes) >= 5
    assert low.notes[0].key == "reach" and "high voltage" in low.notes[0].words
    first = low.text().partition("\nNOTES\n")[2].strip()
    assert first.startswith(low.notes[0].words.partition(":")[0][:40])
    assert not al.design(shape=al.FlatTop(height_m=safety.LOWEST_END_M)).plan.within_reach


def test_within_reach_is_never_left_out(low, monkeypatch):
    """However little room the sheet has, that note stays, ahead of all other sentences."""
    monkeypatch.setattr(build, "SHORTEST_DRAWING", 99)
    pages = build_sheet(low).axes
    words = re.sub(r"\s+", " ", " ".join(text.get_text() for page in pages for text in page.texts))
    assert "within reach" in words and low.notes[1].words[:30] not in words
    assert words.index("within reach") < words.index("Longer than from eye to eye")
