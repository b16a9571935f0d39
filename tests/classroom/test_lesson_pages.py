"""A lesson as a page: all of it is there, it is light, and it knows of no other machine."""

import json
import re
from html import unescape

import nbformat
import pytest
from films import unsqueezed

from antlab.classroom.guess.question import read_guess
from antlab.classroom.paper import lesson_pages, pages
from antlab.classroom.tags import CAUTION, INSTRUCTOR, tags
from antlab.classroom.views.film import squeezed

MOST_BYTES = 1_000_000  # of a lesson's page before anything is chosen
LESSON = "02"  # it has lists, a curve to draw and a formula


@pytest.fixture(scope="module")
def made():
    """The page of a lesson, and what yields its films."""
    return lesson_pages.lesson_page(LESSON)


@pytest.fixture(scope="module")
def outline():
    """Words of every lesson's page; one small film stands for all."""
    view = lesson_pages.live.VIEWS["one_wave"]
    choices = view.settings({})[1]
    still, frames = view.film(lesson_pages.PHONE, choices)
    film = squeezed(pages.light({"still": still, "frames": frames, "at": [0], "asked": []}))

    def short(name, given, place, films):
        return {"name": name, "about": {"title": name, "lists": []}, "film": film}

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(lesson_pages, "_view", short)
        return {number: lesson_pages.lesson_page(number)[0] for number in ("03", "06", "09")}


def about(text, kind):
    """What the page says to its scripts of each view, or of each place of its guess."""
    found = re.findall(rf'class="{kind}" data-about="([^"]*)"', text)
    return [json.loads(unescape(one)) for one in found]


def test_light_and_alone(made):
    """Protects a phone, and a stick: page and first film are light, and nothing lies elsewhere."""
    text, films = made
    name, film, message = next(films())
    assert name == about(text, "antlab-view")[0]["wide"] and not message
    assert len(text) + len(film) < MOST_BYTES
    led = set(re.findall(r'\b(?:src|href)="([^"]*)"', text))
    assert all(re.fullmatch(r"data:[^ ]*|[\w-]+\.html", one) for one in led)
    written = {f"{name}.html" for name in ["index", *lesson_pages.page_names([*lesson_pages.lessons()])]}
    assert {one for one in led if one.endswith(".html")} - {
        f"{name}.html" for name in pages.views()
    } <= written
    assert pages.OURS in text and "default-src 'none'" in text


def test_each_list_says_what_is_offered(made):
    """Protects a choice without a film, and the bound on their number: one list is changed at a time."""
    (view,) = about(made[0], "antlab-view")
    assert [one["name"] for one in view["lists"]] == ["f (MHz)", "wire (mm)", "hangs"]
    for one in view["lists"]:
        assert [k for k, film in enumerate(one["films"]) if film is None] == [one["begins"]]
        assert len(one["films"]) == len(one["options"])
    assert lesson_pages.WORDS["lists"] in made[0]


def test_all_of_the_lesson(made):
    """Protects words, formulas, code, outputs and cautions, and the answer from being told too early."""
    text, cells = made[0], nbformat.read(lesson_pages.lessons()[LESSON], as_version=4).cells
    for cell in cells:
        if cell.cell_type == "code" and cell.outputs:
            assert all(one.text.strip() in unescape(text) for one in cell.outputs if "text" in one)
            assert cell.source in unescape(text)
        if CAUTION in tags(cell):
            assert 'class="caution"' in text and cell.source.split("**")[2].strip() in unescape(text)
        assert INSTRUCTOR not in tags(cell) or cell.source not in unescape(text)
    entered, told = about(text, "entered")
    guess = read_guess(LESSON)
    assert set(entered["chosen"]) == set(guess.options) and entered["about"]["answer"] is None
    assert guess.sentences[guess.right][:20] in str(told["chosen"][guess.right])
    assert all(words[:20] not in str(entered) for words in guess.sentences.values())


def test_every_question_has_its_answer(outline):
    """Protects the numbers of questions and answers, which stand far apart in a lesson."""
    for number, text in outline.items():
        answers = [int(one) for one in re.findall(r"<summary>Answer to (\d+)</summary>", text)]
        assert answers == [*range(1, len(answers) + 1)] and len(answers) >= 3, number
        assert "$$" not in text.partition("<script")[0], number
        assert text.index("Answer to 1<") < text.index('<details class="told">')
    assert "<math" in outline["03"]


def test_what_needs_a_kernel_goes_in_steps():
    """Protects lesson 09 on a phone: its planner goes to a few heights, drops and powers, and says so."""
    text, films = lesson_pages.lesson_page("09")
    (view,) = about(text, "antlab-view in-steps")
    assert lesson_pages.WORDS["steps"] in text and len(text) < MOST_BYTES
    assert [one["name"] for one in view["lists"]] == ["units", "watts"]
    assert all(len(one["films"]) == len(one["options"]) == 2 for one in view["lists"])
    film = unsqueezed(re.search('<script type="text/plain">([^<]+)<', text)[1])
    heights, drops = (dial["texts"] for dial in film["still"]["sliders"])
    assert {"3.0 m (10 ft)", "7.5 m (25 ft)", "10.6 m (35 ft)"} <= {*heights}, (
        "where tasks are answered it stops"
    )
    assert "4.5 m (15 ft)" in drops and len(film["asked"]) == len(heights) * len(drops)


def test_a_caution_of_many_points_has_one_frame(outline):
    """Protects lesson 09, where the points are a list: what hurts does not stand outside its frame."""
    frame = re.search(r'<div class="caution">(.*?)</div>', outline["09"], re.DOTALL)[1]
    assert "<strong>Caution.</strong>" in frame and frame.count("<li>") == 5 and "<ul>" in frame


def test_one_list_alone_says_nothing_of_others():
    """Protects lesson 08, where band and hour stay as they are: only lists set each other back."""
    for number, said in (("02", True), ("08", False)):
        assert (f'"one">{lesson_pages.WORDS["lists"]}' in lesson_pages.lesson_page(number)[0]) == said


def test_homework_and_the_course():
    """Protects the ways of a reader: from the front page to each lesson and sheet, and back."""
    front = lesson_pages.front(["02", "03"])
    for page in ("02-half-wave-wire.html", "homework-02.html", "03-trap.html", "symbols.html"):
        assert f'href="{page}"' in front
    sheet = lesson_pages.sheet_page("03", ["02", "03"])
    assert 'href="03-trap.html"' in sheet and 'href="index.html"' in sheet and "<script" not in sheet
    assert lesson_pages.WORDS["sheet"] in sheet and "Caution." in sheet


def test_one_lesson_made_anew_leaves_the_way_to_the_others(tmp_path, monkeypatch):
    """Protects the front page of a folder in which more lessons lie; what is served names its own alone."""
    monkeypatch.setattr(pages, "views", dict)
    for with_earlier, leads in ((True, True), (False, False)):
        (tmp_path / "03-trap.html").write_text(pages.OURS)
        first, *_ = lesson_pages.write_course(tmp_path, ["00"], with_earlier=with_earlier)
        front = first.read_text("utf-8")
        assert "00-start-here.html" in front and ("03-trap.html" in front) == leads
        assert "02-half-wave-wire.html" not in front


def test_nothing_of_yours_is_written_over(tmp_path):
    """Protects a file or a link in the way: it is named before anything is made."""
    (tmp_path / "homework-02.html").write_text("mine")
    with pytest.raises(FileExistsError, match="homework-02.html is not one of antlab's pages"):
        lesson_pages.write_course(tmp_path, ["02"])
    assert [path.name for path in tmp_path.iterdir()] == ["homework-02.html"]
    (tmp_path / "homework-02.html").unlink()
    (tmp_path / "films").symlink_to(tmp_path.parent)
    with pytest.raises(FileExistsError, match="films is not antlab's"):
        lesson_pages.write_course(tmp_path, ["02"])
