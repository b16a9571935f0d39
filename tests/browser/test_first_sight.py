"""JupyterLab as a student first sees it."""

import pytest
from conftest import KERNEL_READY

pytestmark = pytest.mark.browser


def test_first_sight(lab, tab):
    """The first lesson is open, readable from the last row; no news, update or question is in the way."""
    tab.goto(f"{lab.url}&reset")  # whatever a test before left open
    tab.wait_for_selector(".jp-MarkdownOutput h1", timeout=60_000)
    tab.wait_for_function(f"({KERNEL_READY})()", timeout=60_000)
    tab.wait_for_load_state("networkidle")  # what a pop-up would tell has been asked for
    tab.wait_for_timeout(500)
    assert tab.locator(".jp-Dialog, .Toastify__toast").count() == 0
    assert tab.locator(".jp-NotebookPanel").count() == 1
    sizes = tab.evaluate(
        """["code", "content"].map(kind => parseInt(getComputedStyle(document.documentElement)
            .getPropertyValue(`--jp-${kind}-font-size${kind === "code" ? "" : 1}`)))"""
    )
    assert min(sizes) >= 18
    code = tab.locator(".jp-CodeCell .cm-content").first
    assert code.evaluate("cell => parseInt(getComputedStyle(cell).fontSize)") >= 18
