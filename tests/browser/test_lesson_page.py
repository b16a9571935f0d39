"""A lesson's page on a phone, from disk without network: lists, guess and answers, by touch and keys."""

import re
from itertools import islice

import pytest
from film import said, wait_said

from antlab.classroom.paper import lesson_pages
from antlab.classroom.views.player import PHONE

pytestmark = pytest.mark.browser

LESSON, VIEW = "02", lesson_pages.live.VIEWS["half_wave_wire"]


MORE = """[...document.querySelectorAll("figure.picture")].map((one) =>
  [one.scrollWidth > one.clientWidth, getComputedStyle(one, "::before").content])"""


@pytest.fixture(scope="module")
def lesson(tmp_path_factory):
    """The page, with the films for a wide window and for the first entry of its first list alone."""
    folder = tmp_path_factory.mktemp("course")
    text, films = lesson_pages.lesson_page(LESSON)
    (folder / "lesson.html").write_text(text, encoding="utf-8")
    whole = re.sub(' data-panels="."', "", text)  # pictures that are not cut between their panels
    (folder / "whole.html").write_text(whole, encoding="utf-8")
    (folder / lesson_pages.FILMS).mkdir()
    for film in islice(films(), 3):
        (folder / film[0]).write_text(lesson_pages.script_of(film), encoding="utf-8")
    return (folder / "lesson.html").as_uri()


@pytest.fixture
def phone(chromium, lesson):
    """The page on a phone, once its views are there; afterwards no error but for the film that is missing."""
    size = {"width": 390, "height": 844}
    with chromium.new_context(viewport=size, has_touch=True, is_mobile=True, offline=True) as context:
        page, errors = context.new_page(), []
        page.on("pageerror", lambda error: errors.append(str(error)))
        page.on("console", lambda message: errors.append(message.text) if message.type == "error" else None)
        page.on(
            "request",
            lambda r: None if r.url.startswith(("file:", "blob:", "data:")) else errors.append(r.url),
        )
        page.goto(lesson)
        page.locator("html[data-ready]").wait_for(state="attached")
        yield page
        assert not [error for error in errors if "ERR_FILE_NOT_FOUND" not in error]


def test_panels_stand_one_below_the_other(phone, lesson):
    """A broad picture of two panels is cut between them, all of each in sight, its words told once.

    One that is not cut keeps words that can be read; it is pushed sideways alone, and says so.
    """
    assert not any(more for more, _ in phone.evaluate(MORE))
    figure = phone.locator("figure.broad").first
    windows, pictures = figure.locator(".panel").all(), figure.locator(".panel img").all()
    assert len(windows) == 2 and not figure.locator("> img").is_visible()
    first, second = (one.bounding_box() for one in windows)
    assert second["y"] > first["y"] + first["height"] and first["height"] == second["height"] > 100
    for i, (window, picture) in enumerate(zip((first, second), pictures, strict=True)):
        box = picture.bounding_box()
        assert box["width"] == pytest.approx(2 * window["width"]) and box["width"] > 600
        assert box["x"] == pytest.approx(window["x"] - i * window["width"], abs=1)
        assert box["y"] == pytest.approx(window["y"]) and box["height"] == pytest.approx(window["height"])
    assert [bool(one.get_attribute("alt")) for one in pictures] == [True, False]
    phone.goto(lesson.replace("lesson.html", "whole.html"))
    phone.locator("html[data-ready]").wait_for(state="attached")
    assert phone.locator("figure.broad img").first.bounding_box()["width"] > 600
    broad = [hint for more, hint in phone.evaluate(MORE) if more]
    assert broad and {*broad} == {f'"{lesson_pages.WORDS["swipe"]}"'}
    picture, hint = phone.locator("figure.broad").first, "one => getComputedStyle(one, '::before').visibility"
    for left, seen in ((9999, "hidden"), (0, "visible")):
        picture.evaluate("(one, left) => { one.scrollLeft = left; }", left)
        phone.wait_for_timeout(200)
        assert picture.evaluate(hint) == seen


def test_lists_come_from_files_beside_the_page(phone):
    """A list brings its own film, another one sets the first back, a missing file is a sentence."""
    _, choices = VIEW.settings({})
    root, lists = phone.locator(".antlab"), phone.get_by_role("combobox")
    begins = VIEW.film(PHONE, choices, VIEW.places({}, choices))[1]["says"][0]
    assert said(root) == begins
    other = choices | {"f_mhz": VIEW.choices["f_mhz"][0]}
    lists.first.select_option(index=0)
    then = VIEW.film(PHONE, other, VIEW.places({}, choices))[1]["says"][0]
    wait_said(phone, then)
    was = lists.first.input_value()
    lists.nth(1).select_option(index=0)
    phone.get_by_text(lesson_pages.SAID["lost"]).wait_for()
    assert lists.first.input_value() != was
    back = phone.locator("label", has_text=lesson_pages.SAID["back"])
    assert back.count() == 1 and back.locator("select").input_value() == lists.first.input_value()
    lists.nth(1).select_option(label=str(choices["wire_mm"]))
    wait_said(phone, begins)
    phone.get_by_role("slider", name="Length (m)").press("ArrowRight")
    assert said(root) != begins
    assert phone.evaluate("document.documentElement.scrollWidth <= innerWidth")
    phone.set_viewport_size({"width": 1366, "height": 625})
    phone.locator(".antlab img[width='900']").wait_for()
    assert {*map(tuple, phone.evaluate(MORE))} == {(False, "none")}, "a wide screen shows all of it"


def test_guess_is_kept_and_laid_beside_the_answer(phone):
    """By keys: a letter is there again after a reload, and is answered only where the lesson does so."""
    assert not phone.get_by_text("Right is A").is_visible()
    phone.get_by_role("radio", name="A:").focus()
    phone.keyboard.press("ArrowRight")
    phone.get_by_text(lesson_pages.KEPT).wait_for()
    phone.wait_for_timeout(300)  # a browser writes down what it keeps a moment later
    phone.reload()
    phone.locator("html[data-ready]").wait_for(state="attached")
    assert phone.get_by_role("radio", checked=True).get_attribute("data-letter") == "B"
    phone.locator("details.told summary").first.press("Enter")
    for words in ("You said B", "Right is A"):
        assert phone.get_by_text(words).is_visible()


def test_an_answer_opens_after_a_try(phone):
    """Untouched, the first press asks for a try; once the view was dragged, one press opens."""
    first, second = (phone.locator("details.answer").nth(i) for i in (0, 1))
    first.locator("summary").tap()
    assert phone.get_by_text(lesson_pages.SAID["try"]).is_visible()
    assert first.get_attribute("open") is None
    first.locator("summary").tap()
    assert first.get_attribute("open") is not None
    phone.get_by_role("slider", name="Length (m)").press("ArrowLeft")
    second.locator("summary").tap()
    assert second.get_attribute("open") is not None


def test_a_planner_goes_in_steps(chromium, monkeypatch, tmp_path):
    """Protects lesson 09 on a phone: by keys, in the picture and with other watts it answers as a kernel."""
    planner = lesson_pages.live.planner
    monkeypatch.setattr(planner, "stops", {"height_m": (6, 7.5, 9), "power_w": (100, 1500)})
    text, films = lesson_pages.lesson_page("09")
    (tmp_path / "lesson.html").write_text(text, encoding="utf-8")
    (tmp_path / lesson_pages.FILMS).mkdir()
    for film in films():
        (tmp_path / film[0]).write_text(lesson_pages.script_of(film), encoding="utf-8")

    def words(height_m, **choices):
        given = {"low": "40m", "high": "20m", "height_m": height_m, "room_m": 18} | choices
        return planner(**given).player.frames["says"][0]

    size = {"width": 390, "height": 844}
    with chromium.new_context(viewport=size, has_touch=True, is_mobile=True, offline=True) as context:
        page, errors = context.new_page(), []
        page.on("pageerror", lambda error: errors.append(str(error)))
        page.goto((tmp_path / "lesson.html").as_uri())
        page.locator("html[data-ready]").wait_for(state="attached")
        wait_said(page, words(7.5))
        slider = page.get_by_role("slider", name="Height")
        slider.press("ArrowRight")
        wait_said(page, words(9))
        page.get_by_role("combobox").select_option(label="1500")
        wait_said(page, words(9, power_w=1500))
        assert slider.get_attribute("aria-valuetext") == "9.0 m (30 ft)", "other watts leave the height"
        grip = page.locator(".antlab-handle").first.bounding_box()
        x, y = grip["x"] + grip["width"] / 2, grip["y"] + grip["height"] / 2
        page.mouse.move(x, y)
        page.mouse.down()
        page.mouse.move(x, y + 200, steps=5)
        page.mouse.up()
        wait_said(page, words(6, power_w=1500))
        page.set_viewport_size({"width": 1366, "height": 625})
        page.locator(".antlab img[width='900']").wait_for()
        assert said(page.locator(".antlab")) == words(6, power_w=1500)
        assert not errors
