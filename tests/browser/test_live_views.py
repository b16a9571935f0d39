"""A live view in JupyterLab: it follows keys and mouse, tells the truth, and does not outlive its kernel."""

import json
import time

import pytest
from conftest import opened
from film import agrees, wait_said

from antlab.classroom import live
from antlab.classroom.views.player import SCREEN

pytestmark = pytest.mark.browser
# of the last cell: the kernel may be "idle" meanwhile, as it answers widgets beside a cell that runs
RUNNING = "jupyterapp.shell.currentWidget.content.widgets.at(-1).model.executionState === 'running'"


CELLS = (
    "from antlab.classroom import live\nfrom antlab.classroom.views.player import View",
    "live.height()",
    "live.height(low='41m')",
    "one = live.one_wave\nView(one.scene, one.sliders, one.choices, one.size, ask=True)()",
    "import os, time\nwhile not os.path.exists('let-go'):\n    time.sleep(0.1)",
)


def lesson(lab):
    """A notebook with views in the student's folder; its name."""
    code = {"cell_type": "code", "metadata": {}, "outputs": [], "execution_count": None}
    cells = [{"cell_type": "markdown", "metadata": {}, "source": "# Views", "id": "c0"}]
    cells += [code | {"source": text, "id": f"c{i + 1}"} for i, text in enumerate(CELLS)]
    kernel = {"kernelspec": {"name": "python3", "display_name": "Python 3", "language": "python"}}
    book = {"cells": cells, "metadata": kernel, "nbformat": 4, "nbformat_minor": 5}
    (lab.folder / "notebooks" / "live-views.ipynb").write_text(json.dumps(book), encoding="utf-8")
    return "notebooks/live-views.ipynb"


def wait_until(true, seconds=10):
    """Return once true() is; fail when it never is."""
    end = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < end
        time.sleep(0.1)


def test_height_view(lab, tab):
    """Run by keyboard; dragged by keys and mouse, even while the kernel works; choices, slips, a restart."""
    opened(lab, tab, lesson(lab))
    tab.locator(".jp-MarkdownOutput h1").click()
    for _ in range(5):
        tab.keyboard.press("Shift+Enter")
    height, refused, asking = (tab.locator(".antlab").nth(i) for i in range(3))
    slider = height.get_by_role("slider", name="Height (m)", exact=True)
    slider.wait_for(timeout=60_000)
    still, frames = live.height.film(SCREEN, live.height.defaults)
    assert height.get_by_role("img").get_attribute("alt") == still["alt"]
    assert height.locator(".antlab-says").get_attribute("aria-live") == "polite"

    slider.focus()
    for key, row in (("ArrowRight", 81), ("ArrowDown", 80), ("PageUp", 108), ("Home", 0), ("End", 280)):
        tab.keyboard.press(key)
        agrees(height, still, frames, row)
    assert slider.get_attribute("aria-valuetext") == "30.0 m (98 ft)"

    # a slip of the band: its sentence in the picture's place, and back
    assert "no band I know" in refused.locator(".antlab-message").inner_text()
    assert not refused.locator(".antlab-picture").is_visible()
    tab.get_by_label("lower band", exact=True).nth(1).select_option("40m")
    refused.locator(".antlab-picture").wait_for()
    assert not refused.locator(".antlab-message").is_visible()

    # a view that asks the kernel at each position
    asking.get_by_role("slider", name="Frequency (MHz)").focus()
    tab.keyboard.press("ArrowRight")
    (begin,) = live.one_wave.places({}, {})
    row = live.one_wave.film(SCREEN, {}, [begin + 1], still=False)[1]
    wait_said(tab, row["says"][0], view=2)

    # a choice makes the kernel send a new table; the slider stays where it was
    tab.get_by_label("soil", exact=True).first.select_option("sea water")
    still, frames = live.height.film(SCREEN, live.height.defaults | {"soil": "sea water"})
    wait_said(tab, frames["says"][280])

    # what is saved says in words what was there, for the day when this kernel is gone
    tab.keyboard.press("Control+s")
    book = lab.folder / "notebooks" / "live-views.ipynb"
    wait_until(lambda: "Run this cell again to drag it." in book.read_text(encoding="utf-8"))
    assert "widget-view" not in book.read_text(encoding="utf-8")

    # the mouse, while the kernel is at work on something else
    tab.locator(".jp-CodeCell").last.locator(".cm-content").click()
    tab.keyboard.press("Control+Enter")
    tab.wait_for_function(RUNNING)
    slider.scroll_into_view_if_needed()
    box = slider.bounding_box()
    y, low = box["y"] + box["height"] / 2, box["x"]
    tab.mouse.move(low + box["width"] * 0.98, y)
    tab.mouse.down()
    rows = set()
    for share in (0.9, 0.7, 0.5, 0.3, 0.2):
        tab.mouse.move(low + box["width"] * share, y, steps=4)
        rows.add(int(slider.input_value()))
        agrees(height, still, frames, int(slider.input_value()))
    tab.mouse.up()
    assert len(rows) == 5 and max(rows) - min(rows) > 150
    assert tab.evaluate(RUNNING)
    (lab.folder / "notebooks" / "let-go").touch()

    # a restarted kernel leaves a message and no slider that pretends; running the cell again mends it
    tab.wait_for_function(f"!({RUNNING})")
    tab.locator(".jp-MarkdownOutput h1").click()
    tab.keyboard.press("0")
    tab.keyboard.press("0")
    tab.locator(".jp-Dialog button.jp-mod-accept").click()
    for view in (height, refused, asking):
        view.locator(".antlab-message", has_text="The kernel was restarted: run this cell again").wait_for()
        assert view.get_by_role("slider").first.is_disabled()
    for _ in range(3):
        tab.keyboard.press("Shift+Enter")
    tab.wait_for_function("() => !document.querySelector('.antlab input').disabled", timeout=60_000)
    height.get_by_role("slider").focus()
    tab.keyboard.press("ArrowRight")
    agrees(height, *live.height.film(SCREEN, live.height.defaults), 81)
