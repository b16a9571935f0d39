"""The guess in a browser: large buttons, a curve by hand and by keys, and nothing that tells too soon."""

import json
from itertools import combinations

import pytest

import antlab as al
from antlab.classroom.guess import entry
from antlab.classroom.guess.question import plain

pytestmark = pytest.mark.browser

PAGE = """<!doctype html><meta charset="utf-8"><meta name="viewport" content="width=device-width">
<div id="here"></div><script type="module">{script}
const state = {state}, heard = {{}};
globalThis.state = state;
const model = {{ get: (name) => state[name], save_changes() {{}}, off() {{}},
  on(name, tell) {{ (heard[name] ??= []).push(tell); }},
  set(name, value) {{ state[name] = value; heard["change:" + name].forEach((tell) => tell()); }} }};
render({{ model, el: document.getElementById("here") }});
</script>"""


@pytest.fixture
def shown(page, monkeypatch):
    """Shows a widget of a lesson on a page, as anywidget would; returns the page."""
    monkeypatch.setattr(entry, "_here", {})

    def show(widget, wide=1280):
        page.set_viewport_size({"width": wide, "height": 800})
        state = {name: getattr(widget, name) for name in ("about", "letter", "drawn", "says")}
        script = entry.SCRIPT.replace("export default { render };", "")
        page.set_content(PAGE.format(script=script, state=json.dumps(state)))
        page.wait_for_selector(".antlab-guess p")
        return page

    return show


def drawn(page):
    """What the kernel would be told of the curve."""
    return page.evaluate("state.drawn")


@pytest.mark.parametrize("wide", [1280, 390])
def test_buttons_are_large_and_named(shown, wide):
    """A thumb hits them; a reader hears the option and not a letter alone; nothing sticks out."""
    page = shown(al.guess("03").widget(), wide)
    group = page.get_by_role("radiogroup")
    for letter, words in al.guess("03").guess.options.items():
        button = group.get_by_role("radio", name=f"{letter}: {plain(words)}", exact=True)
        box = button.bounding_box()
        assert box["height"] >= 44 and box["width"] >= 44
        button.click()
        assert button.bounding_box()["height"] == box["height"], "its sign stands beside the letter"
        assert button.get_attribute("aria-checked") == "true" and page.evaluate("state.letter") == letter
    assert group.locator("[aria-checked=true]").count() == 1
    sign = group.locator("[aria-checked=true]").evaluate("one => getComputedStyle(one, '::after').content")
    assert sign == '" ●"', "what is chosen is not yet right, as a tick would say"
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")


@pytest.mark.parametrize("look", ["plain", "projector"])
def test_words_at_the_axes_stand_apart(shown, monkeypatch, look):
    """On a phone too, upright or on its side: none runs into another, or out of the picture."""
    monkeypatch.setenv("ANTLAB_LOOK", look)
    for lesson in ("02", "03", "05"):
        page = shown(al.guess(lesson).widget())
        for wide, high in ((844, 390), (390, 844), (330, 844)):  # and in a lesson, which has a margin
            page.set_viewport_size({"width": wide, "height": high})
            svg, *words = page.evaluate(
                """async () => {
                    for (let i = 0; i < 2; i++) await new Promise(requestAnimationFrame);
                    return [...document.querySelectorAll("svg.antlab-open, svg.antlab-open text")]
                        .map(one => one.getBoundingClientRect())
                        .map(at => [at.left, at.top, at.right, at.bottom]);
                }"""
            )
            assert len(words) >= 5, "of both axes"
            for one, other in combinations(words, 2):
                beside = one[0] > other[2] + 4 or other[0] > one[2] + 4
                assert beside or one[1] >= other[3] - 2 or other[1] >= one[3] - 2, (lesson, wide)
            for left, top, right, bottom in words:
                assert svg[0] <= left and right <= svg[2] and svg[1] - 2 <= top and bottom <= svg[3] + 2


@pytest.mark.parametrize("look", ["plain", "projector"])
def test_the_axes_stay_when_a_letter_is_chosen(shown, monkeypatch, look):
    """Whoever goes on to draw finds them where they were: what is said of the letter has its room kept."""
    monkeypatch.setenv("ANTLAB_LOOK", look)
    widget, tops = al.guess("05").widget(), []
    for says in (widget.says, ["You chose B.", entry.WORDS["kept"]]):
        widget.says = says
        page = shown(widget)
        assert page.locator(".antlab-said p").count() == len(says)
        tops.append(page.locator("svg.antlab-open").bounding_box()["y"])
    assert tops[0] == tops[1]


def test_letters_by_keys(shown):
    """One stop of the Tab key; arrows go round; a letter typed is a letter chosen."""
    page = shown(al.guess("01").widget())
    page.keyboard.press("Tab")
    page.keyboard.press("ArrowLeft")
    assert page.evaluate("state.letter") == "D"
    page.keyboard.press("ArrowRight")
    assert page.evaluate("state.letter") == "A"
    page.keyboard.press("c")
    assert page.evaluate("[state.letter, document.activeElement.dataset.letter]") == ["C", "C"]
    assert page.locator("[role=radio][tabindex='0']").count() == 1


def test_a_curve_by_hand(shown):
    """A quick stroke leaves no dot out between its ends; another one changes only where it goes."""
    page = shown(al.guess("02").widget())
    box = page.locator("svg.antlab-open").bounding_box()

    def stroke(*points):
        for i, (x, y) in enumerate(points):
            page.mouse.move(box["x"] + x * box["width"], box["y"] + y * box["height"])
            if not i:
                page.mouse.down()
        page.mouse.up()

    stroke((0.2, 0.7), (0.6, 0.2))
    first = drawn(page)
    places = [i for i, height in enumerate(first) if height is not None]
    assert len(places) >= 5 and places == list(range(places[0], places[-1] + 1))
    assert [first[i] for i in places] == sorted(first[i] for i in places)
    stroke((0.6, 0.8))
    assert drawn(page)[places[0]] == first[places[0]] and drawn(page)[places[-1]] < first[places[-1]]
    page.get_by_role("button", name=entry.WORDS["clear"]).click()
    assert drawn(page) == []


def test_a_curve_by_keys(shown):
    """Each dot is a slider with a name; up and down move it, left and right go to the next one."""
    page = shown(al.guess("03").widget())
    dots = page.get_by_role("slider")
    assert dots.count() == entry.PLACES and page.locator("[role=slider][tabindex='0']").count() == 1
    assert dots.first.get_attribute("aria-valuetext") == entry.WORDS["empty"]
    dots.first.focus()
    for key in ("End", "PageDown", "ArrowUp", "ArrowRight", "PageUp", "Home"):
        page.keyboard.press(key)
    assert drawn(page)[:3] == [85, 0, None]
    assert dots.first.get_attribute("aria-valuetext") == "85 of 100"
    assert "the trap" in " ".join(
        dots.evaluate_all("all => all.map((one) => one.getAttribute('aria-label'))")
    )


@pytest.mark.parametrize("look", ["plain", "projector"])
def test_beside_the_answer(shown, monkeypatch, look):
    """Both curves, told apart by dashes; nothing can be changed; words for who can't see them."""
    monkeypatch.setenv("ANTLAB_LOOK", look)
    entry._here["02"] = entry.Guessed("B", (0, 50, 100, 100, 100, None, None, 100, 100, 50, 0))
    page = shown(al.guess("02").beside_answer().widget())
    assert page.get_by_role("radio").count() == page.get_by_role("slider").count() == 0
    mine, true = page.locator("svg[role=img] .mine"), page.locator("svg[role=img] .true")
    assert mine.get_attribute("d").count("M") == 2 and len(true.get_attribute("points").split()) > 40
    dashes = [one.evaluate("one => getComputedStyle(one).strokeDasharray") for one in (mine, true)]
    assert dashes[0] != "none" and dashes[1] == "none"
    assert "yours" in page.locator("svg[role=img]").get_attribute("aria-label")
    assert (page.locator(".antlab-projector").count() == 1) == (look == "projector")


@pytest.mark.parametrize("heights", [(), (0, 50, None, None, None, None, None, None, None, None, None)])
def test_the_key_names_what_is_there(shown, heights):
    """Where nothing was drawn, nothing is called yours."""
    entry._here["02"] = entry.Guessed("B", heights)
    page = shown(al.guess("02").beside_answer().widget())
    assert page.locator(".mine-key").is_visible() == bool(heights) and page.locator(".true-key").is_visible()
