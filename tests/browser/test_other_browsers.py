"""The pages in three browsers, from disk and by the room's network, each by its own mouse, finger and keys.

One start for each browser. JupyterLab is tried in Chromium by the other files here, in Firefox by this one.
"""

from itertools import islice
from pathlib import Path

import axe_playwright_python
import pytest
from conftest import KERNEL_READY
from other_browsers import NAMES, lacking, started
from test_hands_seen import served

import antlab as al
from antlab.antenna.lawn import taken_along
from antlab.classroom.paper import handouts, hands, lesson_pages, pages
from antlab.classroom.paper.lawn import lawn_page
from antlab.classroom.tags import GUESS_ENTERED, tags
from antlab.classroom.views.player import PHONE
from antlab.serve.hands import Room
from tests.browsing import do_without

pytestmark = pytest.mark.browser

LESSON = "02"  # it has a curve to guess, lists and a clock
VIEWS = ("height", "feed_line", "ringing")  # a slider; buttons of names and a clock; what is plucked
PHONE_SIZE, LAPTOP, PROJECTOR = (390, 844), (1366, 625), (1280, 720)
AXE = Path(axe_playwright_python.__file__).with_name("axe.min.js")
ROW = "() => Number(document.querySelector('.antlab').dataset.row)"
TURN = "() => Number(document.querySelector('.antlab').dataset.turn)"
SAYS = ".antlab-says"
# JupyterLab keeps no cell in the page that is out of sight: the one in hand is held there.
IN_SIGHT = """what => {
    document.activeElement.scrollIntoView({ block: "center" });
    return document.querySelector(what) !== null;
}"""


@pytest.fixture(scope="module", params=NAMES)
def browser(request):
    """Each browser in turn, started once."""
    if missing := lacking(request.param):
        do_without(f"needs {request.param} and its driver (Debian: apt install {missing})")
    with started(request.param) as browser:
        yield browser


@pytest.fixture(autouse=True)
def no_errors(browser):
    """No script failed, as far as the browser's driver tells."""
    browser.size(*PHONE_SIZE)
    yield
    assert not browser.errors()


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """Single views, a lesson with the films that its test chooses, its slides, and a page for the lawn."""
    folder = tmp_path_factory.mktemp("pages")
    for name in VIEWS:
        (folder / f"{name}.html").write_text(pages._of_lesson(name), encoding="utf-8")
    text, films = lesson_pages.lesson_page(LESSON)
    (folder / "lesson.html").write_text(text, encoding="utf-8")
    (folder / lesson_pages.FILMS).mkdir()
    for film in islice(films(), 3):
        (folder / film[0]).write_text(lesson_pages.script_of(film), encoding="utf-8")
    list(handouts.Press(folder).write([LESSON]))
    antenna = al.Antenna(
        name="lawn", yard=al.Yard(hung="level", heights_m=(9, 9)), planned_m=(5.136, 3.317),
        planned_mhz=(7.151, 14.191), trap=al.Trap(inductance_uh=2.5, capacitance_pf=50.25),
    )  # fmt: skip
    lawn = lawn_page(antenna, taken_along(antenna, knots=(1, 3)))
    (folder / "lawn.html").write_text(lawn, encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def films():
    """What each view says in each row, by its name."""
    views, calls = pages.views(), pages.calls()
    return {name: views[name].film(PHONE, views[name].settings(calls[name])[1])[1]["says"] for name in VIEWS}


def opened(browser, folder, name):
    """A page from disk, once its pictures are there."""
    browser.open((folder / f"{name}.html").as_uri())
    browser.until("() => [...document.images].every(one => one.complete && one.naturalWidth)")
    browser.until("() => [...document.querySelectorAll('.antlab')].every(one => one.dataset.row)")
    assert browser.run("() => document.documentElement.scrollWidth <= innerWidth"), name


def accessible(browser, within="body"):
    """axe-core finds nothing in what a selector names; one browser's word is enough for the pages."""
    if browser.name != "chromium" and within == "body":
        return
    browser.run(f"() => {{ {AXE.read_text(encoding='utf-8')}\n }}")
    found = browser.run(
        """async within => (await axe.run(within, { resultTypes: ["violations"] })).violations
            .map(({ id, nodes }) => [id, nodes.map(({ html }) => html.slice(0, 300))])""",
        within,
    )
    assert found == []


def take_handle(browser, hand, by):
    """Take hold of the first sign in the picture and lead it aside, so many pixels."""
    left, top, wide, high = browser.box(".antlab-handle circle")
    x, y = left + wide / 2, top + high / 2
    browser.drag((x, y), (x + by[0] / 2, y + by[1] / 2), (x + by[0], y + by[1]), hand=hand)


@pytest.mark.parametrize(("name", "by"), [("height", (40, -60)), *((one, (40, 0)) for one in VIEWS[1:])])
def test_a_view_follows_each_hand(browser, folder, films, name, by):
    """Keys at both ends, a press on the track and the sign in the picture: words are those of the row."""
    opened(browser, folder, name)
    slider = ".antlab-slider input"

    def moves(act, *given, **how):
        before = browser.run(ROW)
        act(*given, **how)
        row = browser.run(ROW)
        assert row != before
        said = browser.run("css => document.querySelector(css).textContent", SAYS)
        assert said.replace("\xa0", " ") == films[name][row]
        return row

    for hand in browser.hands:
        browser.click(slider, at=(0.6, 0.5))
        browser.focus(slider)
        end, before, first = (moves(browser.press, key) for key in ("End", "ArrowLeft", "Home"))
        assert end > before > first
        middle, high = (moves(browser.click, slider, hand=hand, at=(at, 0.5)) for at in (0.5, 0.8))
        assert first < middle < high < end
        moves(browser.click, slider, hand=hand)
        for way in (1, -1):
            moves(take_handle, browser, hand, (way * by[0], way * by[1]))
        if name == "feed_line":
            for words in ("old and wet", "new and dry"):
                moves(browser.click, ".antlab-named label", words, hand=hand)


def test_time_runs_stops_and_steps(browser, folder):
    """Space stops it, the buttons step it and let it run; what is plucked rings, and is heard."""
    opened(browser, folder, "ringing")
    browser.until(f"before => ({TURN})() > before", browser.run(TURN))
    browser.focus(".antlab-slider input")
    browser.press(" ")
    stood = browser.run(TURN)
    browser.click(".antlab-clock button", "Step")
    assert browser.run(TURN) > stood
    for words in ("Pluck", "Hear it"):
        browser.click(".antlab-clock button", words, hand=browser.hands[-1])
        browser.until(f"() => ({TURN})() > 0.1 && document.querySelector('.antlab').dataset.left < 1")
    assert "Pause" in browser.text(".antlab-clock")


def test_a_lesson_is_read_guessed_and_answered(browser, folder):
    """Guess and curve are kept, code unfolds, an answer opens after a try, a list brings its own film."""
    opened(browser, folder, "lesson")
    browser.until("() => document.documentElement.dataset.ready")
    accessible(browser)
    browser.click("[data-letter=B]", hand=browser.hands[-1])
    browser.until("() => document.querySelector('[data-letter=B]').ariaChecked === 'true'")
    browser.press("ArrowRight")
    left, top, wide, high = browser.box("svg.antlab-open")
    sweep = [(left + at * wide, top + (0.6 - at / 3) * high) for at in (0.4, 0.6, 0.8)]
    browser.drag(*sweep, hand=browser.hands[-1])
    drawn = browser.until("() => document.querySelectorAll('svg.antlab-open circle.set').length")
    assert drawn >= 3
    opened(browser, folder, "lesson")
    browser.until("() => document.documentElement.dataset.ready")
    assert browser.run("() => document.querySelector('[aria-checked=true]').dataset.letter") == "C"
    assert browser.run("() => document.querySelectorAll('svg.antlab-open circle.set').length") == drawn
    browser.focus("details.told summary")
    browser.press("Enter")
    assert "You said C" in browser.text("details.told")
    is_open = "css => document.querySelector(css).open"
    browser.click("details.code summary")
    assert browser.run(is_open, "details.code")
    browser.click("details.answer summary")
    assert lesson_pages.SAID["try"] in browser.text("details.answer summary")
    assert not browser.run(is_open, "details.answer")
    browser.click("details.answer summary")
    assert browser.run(is_open, "details.answer")
    said = browser.text(SAYS)
    browser.focus(".choices select")
    browser.press("Home")
    browser.until(f"said => document.querySelector({SAYS!r}).textContent !== said", said)
    assert browser.run("() => document.querySelector('.choices select').selectedIndex") == 0
    browser.size(*LAPTOP)
    browser.until("() => document.querySelector('.antlab-picture img').width > 600")


def test_slides_go_on_and_back(browser, folder):
    """By keys and by a press, one slide at a time on the screen."""
    browser.size(*PROJECTOR)
    opened(browser, folder, f"{LESSON}-slides")
    for act, at in (
        (lambda: browser.press("ArrowRight"), 2), (lambda: browser.press(" "), 3),
        (lambda: browser.press("PageUp"), 2), (lambda: browser.drag((1000, 300), hand=browser.hands[-1]), 3),
        (lambda: browser.press("Home"), 1), (lambda: browser.press("End"), None),
    ):  # fmt: skip
        act()
        shown, count = browser.run(
            """() => {
                const all = [...document.querySelectorAll(".slide")];
                return [all.filter(one => one.checkVisibility()).map(one => Number(one.id)), all.length];
            }"""
        )
        assert shown == [at or count]
    accessible(browser)
    opened(browser, folder, f"{LESSON}-handout")
    accessible(browser)


def test_the_lawn_answers_and_keeps_its_log(browser, folder):
    """Two numbers typed, an answer; the log is there after a reload."""
    opened(browser, folder, "lawn")
    accessible(browser)
    for box, words in (("#low-mhz", "7,05"), ("#high-mhz", "14.1")):
        browser.click(box, hand=browser.hands[-1])
        browser.type(words)
    browser.press("Enter")
    answer = browser.text("#answer-text")
    assert answer.startswith("Shorten each inner wire by")
    accessible(browser)
    opened(browser, folder, "lawn")
    assert browser.text("#answer-text") == answer
    assert browser.run("() => document.querySelectorAll('#log li').length") == 1


def test_a_show_of_hands(browser, tmp_path):
    """A phone answers, changes that, leaves and returns, and is told when it is closed; once it counts."""
    room = Room(tmp_path, hands.guesses())
    with served(room.door) as door, served(room.desk) as desk:
        site = door + room.door_path
        desk_page = hands.desk_page(site, room.guesses)
        room.pages = {"door": hands.phone_page().encode(), "desk": desk_page.encode()}
        browser.size(*PROJECTOR)
        browser.open(desk + room.desk_path)
        browser.until("() => document.querySelector('#count').textContent")
        accessible(browser)
        browser.click("button", "Put it up")
        browser.click("button", "Open it")
        browser.until("() => document.body.dataset.phase === 'open'")
        accessible(browser)
        browser.size(*PHONE_SIZE)
        browser.open(site)
        told = "words => document.querySelector('#words').textContent.includes(words)"
        browser.click("[data-letter=A]", hand=browser.hands[-1])
        browser.until(told, "A is counted.")
        browser.press("ArrowDown")
        browser.until(told, "B is counted.")
        accessible(browser)
        browser.open(site)
        browser.until(told, "B is counted.")
        room.desk("POST", f"{room.desk_path}/do", "what=close", "")
        browser.until(told, "You said B. Look to the front.")
        browser.size(*PROJECTOR)
        browser.open(desk + room.desk_path)
        browser.click("button", "Show the bars")
        browser.until("() => document.querySelectorAll('.bar').length === 4")
        browser.click("button", "Show which is right")
        browser.until("() => document.querySelector('.right') !== null")
        accessible(browser)
        browser.open("about:blank")  # the desk asks how many have answered as long as it is open
        assert room.asked[0].counts() == [{"B": 1}]


@pytest.mark.parametrize("browser", ["firefox"], indirect=True)
def test_a_live_view_in_jupyterlab(browser, lab):
    """Run by Shift+Enter, dragged in the picture, stopped by Space, as large as the screen; Escape leaves."""
    browser.size(*LAPTOP)
    lesson = handouts.lessons()[LESSON].name
    browser.open(f"{lab.site}/lab/tree/notebooks/{lesson}?token={lab.token}&reset")
    browser.until("() => document.querySelector('.jp-MarkdownOutput h1') !== null", seconds=60)
    browser.until(KERNEL_READY, seconds=60)
    browser.until("() => document.activeElement.matches('.jp-Cell')", seconds=60)
    for cell in lesson_pages._cells(LESSON):
        browser.run("() => { window.ran = document.activeElement; }")
        browser.press("Shift+Enter")
        browser.until(
            "() => document.activeElement.matches('.jp-Cell') && document.activeElement !== window.ran"
        )
        if GUESS_ENTERED in tags(cell):
            browser.press("ArrowUp")
            browser.until(IN_SIGHT, ".antlab-guess", seconds=90)
            accessible(browser, ".antlab-guess")
            browser.press("ArrowDown")
        if pages.live_call(cell):
            break
    browser.press("ArrowUp")
    browser.until(IN_SIGHT, ".antlab-picture img", seconds=90)
    browser.until(KERNEL_READY, seconds=60)
    row = browser.until("() => document.querySelector('.antlab').dataset.row")
    accessible(browser, ".antlab-view")
    for hand, by in zip(browser.hands, (-30, 20), strict=True):
        take_handle(browser, hand, (by, 0))
        assert row != (row := browser.run("() => document.querySelector('.antlab').dataset.row"))
    browser.until(f"before => ({TURN})() > before", browser.run(TURN))
    browser.press(" ")  # the slider has the focus, whose handle was held
    stood = browser.run(TURN)
    browser.press("ArrowLeft")
    assert browser.run(TURN) == stood
    browser.click(".antlab-bar button", "Full screen")
    browser.until("() => document.fullscreenElement?.matches('.antlab-view')")
    browser.press("Escape")
    browser.until("() => document.fullscreenElement === null")
    browser.press("Escape")  # the first one is Firefox's own, this one leads back to the cell
    browser.until("() => document.activeElement.matches('.jp-Cell')")


def test_full_screen_and_back(browser, folder):
    """The button fills the screen, Escape leaves. Last, since MiniBrowser's bar of tools returns by it."""
    opened(browser, folder, "height")
    browser.click(".antlab-bar button", "Full screen")
    browser.until("() => document.fullscreenElement?.matches('.antlab')")
    browser.until("() => document.querySelector('.antlab-bar').textContent.includes('Leave full screen')")
    browser.press("Escape")
    browser.until("() => !document.fullscreenElement")
