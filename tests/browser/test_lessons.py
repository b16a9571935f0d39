"""Whole lessons in JupyterLab on a projector of 1280 by 720, from the first cell to the last by keyboard."""

import nbformat
import pytest
from conftest import KERNEL_READY, opened

from antlab.files import ROOT

pytestmark = pytest.mark.browser

INSIDE = """cell => {  // what sticks out of its place, in words
    const out = [], wide = (what, name) => {
        const more = what.scrollWidth - what.clientWidth;
        if (more > 1) out.push(`${name} is ${more} px too wide`);
    };
    cell.querySelectorAll(".cm-scroller").forEach(one => wide(one, "code"));
    cell.querySelectorAll(".jp-OutputArea-output, .jp-MarkdownOutput").forEach(one => wide(one, "output"));
    cell.querySelectorAll(".jp-MarkdownOutput img").forEach(one => {
        if (!one.complete || !one.naturalWidth) out.push(`picture ${one.src} is missing`);
    });
    const room = cell.getBoundingClientRect();
    cell.querySelectorAll(".antlab").forEach(view => {
        const picture = view.querySelector(".antlab-picture").getBoundingClientRect();
        if (picture.width < 300 || picture.right > room.right + 1) out.push("the view is off the page");
        const labels = [...view.querySelectorAll("svg text")].filter(one => one.textContent.trim())
            .map(one => [one.textContent, one.getBoundingClientRect()]).filter(([, box]) => box.width);
        labels.forEach(([text, a], i) => {
            if (a.left < picture.left - 2 || a.right > picture.right + 2 || a.top < picture.top - 2 ||
                a.bottom > picture.bottom + 2) out.push(`label ${text} is clipped`);
            labels.slice(i + 1).forEach(([other, b]) => {
                if (other !== text && Math.min(a.right, b.right) - Math.max(a.left, b.left) > 3 &&
                    Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top) > 5)
                    out.push(`${text} lies on ${other}`);
            });
        });
    });
    return out;
}"""

# a stored output is there; a browser breaks lines where it likes
SHOWN = """([cell, text]) => [...cell.querySelectorAll(".jp-OutputArea-output")]
    .some(one => one.textContent.replace(/\\s/g, "").includes(text))"""


# 01 has LaTeX, a clock and what is plucked; 09 asks its kernel. 07 is seen by test_projector; no word lies on
# another in any view by test_looks; every slider of every view is moved by test_phone_pages.
@pytest.mark.parametrize("name", ["01-tuned-circuit", "09-your-antenna"])
def test_lesson_by_keyboard(lab, tab, name):
    """Outputs are the stored ones, views move, nothing overlaps, is clipped or off the page. No mouse."""
    tab.set_viewport_size({"width": 1280, "height": 720})
    cells = nbformat.read(ROOT / "notebooks" / f"{name}.ipynb", as_version=4).cells
    opened(lab, tab, f"notebooks/{name}.ipynb")
    views = 0
    for cell in cells:
        here = tab.locator(".jp-Notebook .jp-Cell.jp-mod-active")
        here.evaluate("one => { window.ran = one; }")
        tab.keyboard.press("Shift+Enter")
        ran = tab.evaluate_handle("window.ran").as_element()
        if cell.cell_type != "code":
            assert ran.evaluate(INSIDE) == [], cell.id
            continue
        if "guess-entered" in cell.metadata.get("tags", ()):
            ran.wait_for_selector(".antlab-guess", timeout=60_000)
        elif "nbval-ignore-output" in cell.metadata.get("tags", ()):
            ran.wait_for_selector(".antlab input[type=range]", timeout=60_000)
            tab.wait_for_function(f"({KERNEL_READY})()", timeout=60_000)
            views += follows_keys(tab, ran)
        else:
            for output in cell.outputs:
                if "text/latex" in output.get("data", {}):
                    ran.wait_for_selector(".jp-RenderedLatex mjx-container", timeout=30_000)
                    continue
                stored = output.get("text") or output.get("evalue") or output.data["text/plain"]
                tab.wait_for_function(SHOWN, arg=[ran, "".join(stored.split())], timeout=30_000)
        assert ran.evaluate(INSIDE) == [], cell.id
        tab.wait_for_selector(".jp-Notebook .jp-Cell.jp-mod-active")
    assert views


FOCUSED = """() => {
    const one = document.activeElement, look = getComputedStyle(one);
    return { slider: one.matches(".antlab input[type=range]"), button: one.matches(".antlab-look"),
             cell: one.matches(".jp-Cell.jp-mod-active"),
             outline: look.outlineStyle === "none" ? 0 : parseFloat(look.outlineWidth) };
}"""


SWITCHED = """([cell, pressed, old]) => cell.querySelector(".antlab-look").ariaPressed === pressed &&
    cell.querySelector(".antlab").matches(".antlab-projector") === (pressed === "true") &&
    cell.querySelector(".antlab-picture img").src !== old"""


def tab_to(tab, kind):
    """Press Tab until the focus is on that kind of control; each one on the way shows that it has it."""
    for _ in range(12):
        tab.keyboard.press("Tab")
        focused = tab.evaluate(FOCUSED)
        assert focused["outline"] >= 3 and not focused["cell"]
        if focused[kind]:
            return
    pytest.fail(f"no {kind} within reach")


def follows_keys(tab, cell):
    """Up to a view's cell and by Tab into it: a slider, both looks; by Escape out and on. Returns 1."""
    cell.wait_for_selector(".antlab-picture", state="visible")
    says = cell.query_selector(".antlab-says")
    before = says.inner_text()
    assert not cell.query_selector(".antlab-message").is_visible(), before
    tab.keyboard.press("ArrowUp")
    tab_to(tab, "slider")
    for key in ("PageUp", "Shift+M", "PageUp", "x", "ArrowLeft"):  # no shortcut of the notebook gets through
        tab.keyboard.press(key)
    tab.wait_for_function("([now, before]) => now.innerText !== before", arg=[says, before], timeout=10_000)
    for key in ("ArrowRight", "PageDown", "PageDown"):  # back, since later cells may ask where it stands
        tab.keyboard.press(key)
    tab.wait_for_function("([now, before]) => now.innerText === before", arg=[says, before], timeout=10_000)
    tab.wait_for_timeout(500)
    tab_to(tab, "button")
    for pressed in ("true", "false"):
        old = cell.query_selector(".antlab-picture img").get_attribute("src")
        tab.keyboard.press("Space")
        tab.wait_for_function(SWITCHED, arg=[cell, pressed, old], timeout=30_000)
        assert cell.evaluate(INSIDE) == [], f"projector: {pressed}"
    tab.keyboard.press("Escape")
    assert tab.evaluate(FOCUSED)["cell"] and cell.evaluate("one => one.matches('.jp-mod-active')")
    tab.keyboard.press("j")
    return 1
