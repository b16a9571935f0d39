"""How large a picture stands on a laptop and on a phone turned either way; all of the screen for it."""

import json

import pytest
from conftest import opened
from test_phone_pages import telephone

from antlab.classroom.paper import pages

pytestmark = pytest.mark.browser

CALLS = (
    "live.wave_over_soil()",
    "live.height()",
    "live.half_wave_wire()",
    'live.planner(low="40m", high="20m", height_m=7.5, room_m=18)',
)
TASKS = (
    "**Two tasks.** 1. How high must it hang so that little goes straight up? 2. Which height has two lobes?"
)


def book(lab, calls=CALLS):
    """A notebook of views, each with its tasks in the cell after it."""
    kernel = {"kernelspec": {"name": "python3", "display_name": "Python 3", "language": "python"}}
    code = {"cell_type": "code", "metadata": {}, "outputs": [], "execution_count": None}
    words = {"cell_type": "markdown", "metadata": {}}
    cells = [words | {"source": "# Sizes"}, code | {"source": "from antlab.classroom import live"}]
    cells += [one for call in calls for one in (code | {"source": call}, words | {"source": TASKS})]
    cells = [cell | {"id": f"c{i}"} for i, cell in enumerate(cells)]
    text = json.dumps({"cells": cells, "metadata": kernel, "nbformat": 4, "nbformat_minor": 5})
    (lab.folder / "notebooks" / "sizes.ipynb").write_text(text, encoding="utf-8")
    return "notebooks/sizes.ipynb"


def test_on_a_laptop(lab, tab):
    """At 1366 x 625 it has 55 % of the height, it and its tasks are on the screen, its lists on no words."""
    tab.set_viewport_size({"width": 1366, "height": 625})
    opened(lab, tab, book(lab))
    tab.locator(".jp-MarkdownOutput h1").click()
    tab.keyboard.press("Shift+Enter")
    tab.keyboard.press("Shift+Enter")
    screen = tab.locator(".jp-Notebook").bounding_box()
    for i, call in enumerate(CALLS):
        tab.keyboard.press("Shift+Enter")
        view = tab.locator(".antlab").nth(i)
        view.locator("img").wait_for(timeout=60_000)
        tab.wait_for_timeout(300)  # it scrolls
        picture, tasks = view.locator(".antlab-picture"), tab.locator(".jp-MarkdownOutput").nth(i + 1)
        box = picture.bounding_box()
        assert box["height"] >= 0.55 * 625, call
        assert box["y"] >= screen["y"] and box["y"] + box["height"] <= screen["y"] + screen["height"], call
        left = tasks.bounding_box()
        assert left["y"] + left["height"] <= screen["y"] + screen["height"] + 1, call
        if i == 0:
            takes_hold(tab, view)
            fills(tab, view)
        tasks.click()
        tab.keyboard.press("Shift+Enter")
    for width in (1100, 1366):  # while most of the views are out of sight
        tab.set_viewport_size({"width": width, "height": 625})
        tab.wait_for_timeout(300)
    short = tab.evaluate(SHORT_OF_ROOM)
    assert short and max(short) <= 1, "lists lie on what the view says"


SHORT_OF_ROOM = """() => [...document.querySelectorAll(".antlab-aside")].map((view) => {
    const high = (name) => view.querySelector(name).getBoundingClientRect().height;
    return high(".antlab-choices") - high(".antlab-place");
})"""


def takes_hold(tab, view):
    """The wire is drawn up by the mouse: slider and words follow, and it stays where it is let go."""
    slider, handle = (
        view.get_by_role("slider", name="Height (m)", exact=True),
        view.locator(".antlab-handle").first,
    )
    before, says = int(slider.input_value()), view.locator(".antlab-says").inner_text()
    box = handle.locator("circle").bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    tab.mouse.move(x, y)
    tab.mouse.down()
    tab.mouse.move(x + 30, y - 34, steps=5)
    tab.mouse.up()
    assert int(slider.input_value()) > before + 5
    assert view.locator(".antlab-says").inner_text() != says
    there = handle.locator("circle").bounding_box()
    assert there["y"] + there["height"] / 2 == pytest.approx(y - 34, abs=3), "it is under the hand"
    assert slider.evaluate("one => one === document.activeElement")


def fills(tab, view):
    """A button makes the picture as large as the screen, and Escape leads back."""
    small = view.locator(".antlab-picture").bounding_box()
    view.get_by_role("button", name="Full screen").press("Enter")
    view.get_by_role("button", name="Leave full screen").wait_for()
    tab.wait_for_timeout(300)
    large, clock = view.locator(".antlab-picture").bounding_box(), view.locator(".antlab-clock button").first
    if clock.is_visible():
        for then in ("Pause", "Play"):  # it begins paused, as reduced motion asks
            tab.keyboard.press(" ")
            clock.filter(has_text=then).wait_for()
    assert large["width"] > 1.3 * small["width"] and large["y"] + large["height"] <= 625
    tab.keyboard.press("Escape")
    view.get_by_role("button", name="Full screen").wait_for()
    tab.wait_for_timeout(300)
    assert view.locator(".antlab-picture").bounding_box()["width"] == pytest.approx(small["width"], abs=2)


def test_a_ray_is_turned(lab, tab):
    """Drawn to the left it grows steeper, step by step; on a hall's full screen all its controls are seen."""
    tab.set_viewport_size({"width": 1280, "height": 720})
    opened(lab, tab, book(lab, ["live.projector(); live.where_it_lands(elevation_deg=15)"]))
    tab.locator(".jp-MarkdownOutput h1").click()
    for _ in range(3):
        tab.keyboard.press("Shift+Enter")
    view = tab.locator(".antlab")
    view.locator("img").wait_for(timeout=60_000)
    tab.wait_for_timeout(300)
    slider, box = view.get_by_role("slider"), view.locator(".antlab-handle circle").first.bounding_box()
    x, y, angles = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2, []
    tab.mouse.move(x, y)
    tab.mouse.down()
    for step in range(1, 31):
        tab.mouse.move(x - 3 * step, y - step / 2)
        angles.append(int(slider.input_value()))
    tab.mouse.up()
    assert angles == sorted(angles) and angles[-1] > angles[0] + 25
    assert max(b - a for a, b in zip(angles, angles[1:], strict=False)) <= 4
    view.get_by_role("button", name="Full screen").press("Enter")
    view.get_by_role("button", name="Leave full screen").wait_for()
    tab.wait_for_timeout(300)
    shown = tab.locator(".antlab-view").locator("select, input, .antlab-picture, .antlab-bar button").all()
    boxes = [one.bounding_box() for one in shown]
    assert len(boxes) > 9 and all(box["y"] >= 0 and box["y"] + box["height"] <= 720 for box in boxes)
    tab.keyboard.press("Escape")


@pytest.mark.parametrize("size", [(390, 844), (844, 390)])
def test_on_a_phone(chromium, tmp_path, size):
    """Upright or turned: picture and slider on one screen, and a finger draws the wire up."""
    path = tmp_path / "wave.html"
    path.write_text(pages.page(pages.views()["wave_over_soil"]), encoding="utf-8")
    with telephone(chromium, offline=True, local=["file:"]) as phone:
        phone.set_viewport_size({"width": size[0], "height": size[1]})
        phone.goto(path.as_uri())
        view = phone.locator(".antlab")
        view.locator("img").wait_for()
        assert phone.evaluate("document.documentElement.scrollWidth <= innerWidth")
        box, slider = view.locator(".antlab-picture").bounding_box(), view.get_by_role("slider").first
        assert slider.bounding_box()["y"] >= 0 and box["y"] + box["height"] <= size[1]
        assert box["height"] >= 0.55 * size[1] or box["width"] >= 0.9 * size[0]
        before = int(slider.input_value())
        handle = view.locator(".antlab-handle circle").first.bounding_box()
        assert min(handle["width"], handle["height"]) >= 44
        x, y = handle["x"] + handle["width"] / 2, handle["y"] + handle["height"] / 2
        session = phone.context.new_cdp_session(phone)
        for kind, up in (("touchStart", 0), ("touchMove", 12), ("touchMove", 40), ("touchEnd", None)):
            points = [] if up is None else [{"x": x, "y": y - up}]
            session.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})
        assert int(slider.input_value()) > before + 5
        assert phone.evaluate("scrollY") == 0, "the page stays where it is"
