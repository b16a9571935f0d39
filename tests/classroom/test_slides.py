"""Slides before any browser sees them: what each lesson shows an audience, and what it may not leave out."""

import re
from collections import Counter

import nbformat
import pytest
from nbformat.v4 import new_code_cell, new_markdown_cell, new_notebook

from antlab.antenna import safety
from antlab.classroom import live, two_hookups
from antlab.classroom.drawing.looks import SLIDE_INCHES, SLIDE_PX
from antlab.classroom.figures import FIGURES
from antlab.classroom.guess.question import alone, plain, read_guess
from antlab.classroom.paper import handouts, pages, slides
from antlab.classroom.tags import SLIDES, tags

every_lesson = pytest.mark.parametrize("number", handouts.lessons())
WORK = {  # lesson -> the work that it leads to; 00 has the rules for all of it
    "00": tuple(safety.WORK), "01": ("winding",), "02": ("trimming",), "03": ("winding",), "04": ("winding",),
    "05": ("feeding",), "06": ("transmitting",), "07": ("hanging",), "08": ("transmitting",),
    "09": ("hanging", "transmitting"), "10": ("trimming",),
}  # fmt: skip
SQUARE = slides.Picture('<svg viewBox="0 0 10 10"></svg>', 'a "curve"', (1168, 480), 28.0)


def lesson(number):
    """A lesson as it is stored."""
    return nbformat.read(handouts.lessons()[number], as_version=4)


@every_lesson
def test_a_deck(number):
    """8 to 12 slides: title, guess, the views, thoughts, cautions, the guess answered, and what stays."""
    deck = slides.deck(lesson(number))
    kinds = [one.kind for one in deck]
    assert slides.FEWEST <= len(deck) <= slides.MOST
    assert kinds[:2] == ["title", "guess"] and kinds[-1] == "summary" and "live" in kinds[2:5]
    once = Counter(kinds)
    assert once["guess"] == once["answer"] == once["title"] == once["summary"] == 1
    assert 3 <= once["thought"] <= 7 and once["caution"]
    assert kinds.index("caution") < kinds.index("answer") or number in ("09", "10")
    (guess,), (answer,) = ([one for one in deck if one.kind == kind] for kind in ("guess", "answer"))
    assert len(guess.options) == 4 and answer.letter in guess.options
    assert deck[-1].leads or number == "10"


@every_lesson
def test_one_thought_and_one_picture(number):
    """At most 25 words, and a picture; only a guess and cautions may have more words, and do without one."""
    for one in slides.deck(lesson(number)):
        if one.kind not in slides.UNMEASURED:
            assert one.words and one.shows
        if one.kind != "caution":
            words = len(f"{one.heading} {plain(one.words)}".split())
            assert 3 <= words <= slides.MOST_WORDS, one.words
            assert not re.search(r"[\[\]`|#]", one.words)


@every_lesson
def test_what_is_shown_is_there(number):
    """Every picture can be drawn: its name is known, and its sliders go as far as the slide says."""
    for shows in (one.shows for one in slides.deck(lesson(number)) if one.shows):
        if "view" in shows:
            view = live.VIEWS[shows["view"]]
            view.places(*slides.setting(**shows))
        elif "figure" in shows:
            assert shows["figure"] in {**slides.DRAWINGS, **FIGURES}
        else:
            assert read_guess(shows["curve"]).curve and shows["curve"] == number
        assert set(shows) <= {"view", "at", "figure", "curve", "true"}


@every_lesson
def test_no_picture_comes_twice(number):
    """What a slide shows says what its own line says: no other slide of the lesson shows the same."""
    shown = []
    for shows in (one.shows for one in slides.deck(lesson(number)) if one.shows):
        if "view" in shows:
            wanted, choices = slides.setting(**shows)
            places = live.VIEWS[shows["view"]].places(wanted, choices)
            shows = {"view": shows["view"], "places": places, "choices": choices}
        assert shows not in shown, shows
        shown.append(shows)


def test_the_two_hookups(monkeypatch):
    """As the bars and their words say: four times the coil, and only across the braid is it too much."""
    bars, draw = [], two_hookups._bars
    monkeypatch.setattr(
        two_hookups, "_bars", lambda values, *rest, **more: bars.append(values) or draw(values, *rest, **more)
    )
    two_hookups.inductances()
    _, (ax,) = two_hookups.cable_volts()
    coils, volts = bars
    assert coils["series"] == pytest.approx(4 * coils["braid"])
    limit = ax.lines[0].get_xdata()[0]
    assert limit == pytest.approx(2**0.5 * 1400) and volts["series"] < limit < volts["braid"]


def test_an_option_alone():
    """Without the comma of a list; a sentence keeps its stop."""
    assert [alone(one) for one in ("a bus,", "two buses.", "3. As it was.")] == [
        "a bus",
        "two buses",
        "3. As it was.",
    ]


@every_lesson
def test_each_view_has_its_code(number):
    """Whatever the lesson has to drag stands on a slide once, with the way there for a phone."""
    called = [call for cell in lesson(number).cells if (call := pages.live_call(cell))]
    shown = [one for one in slides.deck(lesson(number)) if one.view]
    assert {one.view for one in shown} == {name for name, _ in called}
    assert all(one.kind == "live" for one in shown)


@every_lesson
def test_tags_and_metadata_agree(number):
    """A cell with slides is tagged so, and nothing is kept under a name that nobody reads."""
    for cell in lesson(number).cells:
        assert (SLIDES in tags(cell)) == bool(slides.listed(cell))
        for about in slides.listed(cell):
            assert set(about) <= {"says", "shows", "caution"}


@every_lesson
def test_no_caution_is_left_out(number):
    """Word for word as safety.py has them: those of the work that the lesson leads to, the last word last."""
    said = [pair for one in slides.deck(lesson(number)) for pair in one.cautions.items()]
    assert dict(said).items() >= safety.cautions_for(*WORK[number]).items()
    assert said[-1][0] == "last word"


def test_a_picture_for_the_last_row():
    """As large as a slide has room, no type too small, the same each time; its words say what it shows."""
    shows = {"view": "where_it_lands", "at": {"elevation_deg": 15}}  # whose numbers are small on a screen
    found = slides.picture(shows)
    assert found.size == tuple(round(100 * inches) for inches in SLIDE_INCHES)
    assert SLIDE_PX <= found.least_px < SLIDE_PX + 1
    fig, scene = live.where_it_lands.still(slides.LOOK, *live.where_it_lands.settings(shows["at"]))
    assert found.alt == f"{scene.alt} {scene.says[0]}" and slides.picture(dict(shows)) is found
    assert slides.picture({"curve": "03"}).size == tuple(round(100 * one) for one in slides.CURVE_INCHES)
    told = slides.picture({"curve": "03", "true": True})
    assert told.alt != slides.picture({"curve": "03"}).alt and told.size == found.size
    assert "choke" in slides.picture({"figure": "third-wire"}).alt


@pytest.mark.parametrize(
    "shows, error",
    [({"view": "nobody"}, KeyError), ({"figure": "nothing"}, KeyError),
     ({"view": "one_wave", "at": {"f_mhz": 90}}, ValueError),
     ({"view": "one_wave", "at": {"f": 9}}, TypeError)],
)  # fmt: skip
def test_a_slip_in_the_metadata(shows, error):
    """What is not there is no empty slide."""
    with pytest.raises(error):
        slides.picture(shows)


def test_a_page_of_slides():
    """Words are text and not tags, numbers keep their units, the code leads to the view's own page."""
    about = {"antlab": {SLIDES: [{"says": "At 7 m: $\\sqrt{2}$ & more", "shows": {"view": "height"}}]}}
    dragged = {"antlab": {SLIDES: [{"says": "Drag it.", "shows": {"at": {"height_m": 7}}}]}}
    cells = [
        new_markdown_cell(
            "# 07 · High & low\n\n**How <b> high?** x", metadata=about | {"tags": ["title", SLIDES]}
        ),
        new_code_cell("live.height(low='20m')", metadata=dragged | {"tags": [SLIDES]}),
        new_markdown_cell("", metadata={"antlab": {SLIDES: [{"caution": ["last word"]}]}, "tags": [SLIDES]}),
        new_markdown_cell("[08, far](08-far.ipynb)", metadata=about | {"tags": ["summary", "next", SLIDES]}),
    ]
    notebook = new_notebook(cells=cells)
    deck = slides.deck(notebook)
    assert deck[1].shows == {"view": "height", "at": {"low": "20m", "height_m": 7}}
    deck = [slides.replace(one, picture=SQUARE) if one.shows else one for one in deck]
    text = handouts.project(
        notebook, deck, phones="http://192.168.1.20:8000/hall/", links={"08-far.ipynb": "n"}
    )
    address = "http://192.168.1.20:8000/hall/height.html"
    assert text.count(f'<a href="{address}">') == text.count("<svg role") == 1
    assert "07 · High &amp; low" in text and "7\N{NO-BREAK SPACE}m: <math" in text and "<script>" not in text
    assert '<a href="n">08, far</a>' in text and 'alt="a &#34;curve&#34;"' in text
    assert safety.CAUTIONS["last word"].replace("'", "&#39;") in text
    offline = handouts.project(notebook, deck)
    assert not re.search(r"\bhttps?:[^\s\"'<>]*", offline) and "href" not in offline
    assert pages.OURS in offline and "default-src 'none'" in offline


def test_a_wave_runs_out_in_circles():
    """On a slide, which is wider than the view, a metre up is as long as one to the side."""
    fig, _ = live.wave_over_soil.still(slides.LOOK, {}, live.wave_over_soil.defaults)
    (wide, _, _), (_, tall, _), _ = fig.axes[0].transData.get_matrix()
    assert wide == pytest.approx(tall)
