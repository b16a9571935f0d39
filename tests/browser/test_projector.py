"""A lesson on a projector of 1280 by 720, as `antlab --projector` starts it."""

import re

import pytest
from conftest import started

pytestmark = pytest.mark.browser


@pytest.fixture
def projected(tmp_path):
    """JupyterLab for the projector."""
    with started(tmp_path, "--projector") as lab:
        yield lab


def test_lesson_on_the_projector(projected, page):
    """Page, stills and views come large from the start; no line sticks out; the view's button leads back."""
    page.set_viewport_size({"width": 1280, "height": 720})
    page.goto(projected.url.replace("00-start-here", "07-height-and-takeoff"))
    page.wait_for_selector(".jp-MarkdownOutput h1", timeout=60_000)
    assert page.locator("#jp-left-stack").is_hidden(), "no list of files"
    assert page.locator(".jp-NotebookPanel-toolbar").bounding_box()["height"] < 12, "and no toolbar"
    for kind, least in ((".jp-MarkdownOutput p", 24), (".jp-MarkdownOutput td", 19), (".cm-content", 23)):
        size = page.locator(kind).first.evaluate("one => parseFloat(getComputedStyle(one).fontSize)")
        assert size >= least, kind
    assert page.locator(".jp-StatusBar-Widget").is_hidden()
    wide = page.locator(".jp-MarkdownOutput img").first
    wide.scroll_into_view_if_needed()
    drawn = (projected.folder / "figures" / "projector" / "lobes-split.svg").read_text(encoding="utf-8")
    inches = float(re.search(r'<svg [^>]*width="([\d.]+)pt"', drawn)[1]) / 72
    assert wide.evaluate("one => one.naturalWidth") == pytest.approx(96 * inches, abs=1)
    assert (projected.folder / "figures" / "lobes-split.svg").read_text(encoding="utf-8") == drawn
    wide.click()
    assert page.locator(".antlab-large img").bounding_box()["width"] >= 1260, "before any cell was run"
    assert page.locator(".antlab-large").evaluate("one => one.scrollHeight <= one.clientHeight"), "all of it"
    page.keyboard.press("Escape")
    page.locator(".antlab-large").wait_for(state="detached")
    page.locator(".jp-MarkdownOutput h1").click()
    tenth = "one => { one.textContent = '[10]:'; return one.scrollWidth <= one.clientWidth; }"
    assert page.locator(".jp-CodeCell .jp-InputPrompt").first.evaluate(tenth), "a cell's number is not cut"
    view = page.locator(".jp-CodeCell", has_text="live.height").locator(".antlab")
    for _ in range(30):
        page.keyboard.press("Shift+Enter")
        if view.count():
            break
        page.wait_for_timeout(300)
    view.get_by_role("slider").wait_for(timeout=60_000)
    button = view.get_by_role("button", name="Projector", pressed=True)
    says = view.locator(".antlab-says")
    large = says.evaluate("one => parseFloat(getComputedStyle(one).fontSize)")
    left = """one => innerHeight - one.closest(".jp-Notebook").getBoundingClientRect().top
      - (one.getBoundingClientRect().bottom - one.closest(".jp-Cell").getBoundingClientRect().top)"""
    picture = view.locator(".antlab-picture")
    page.wait_for_timeout(500)
    assert picture.evaluate(left) >= 0, "slider, words and the whole picture stand on one screen"
    assert picture.bounding_box()["height"] >= 0.54 * 720 and view.bounding_box()["width"] > 1000
    button.press("Enter")
    view.get_by_role("button", name="Projector", pressed=False).wait_for()
    assert large >= 1.25 * says.evaluate("one => parseFloat(getComputedStyle(one).fontSize)")
