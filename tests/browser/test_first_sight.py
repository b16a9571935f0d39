"""JupyterLab as a student first sees it."""

import pytest

pytestmark = pytest.mark.browser


def test_first_sight(lab, page):
    """The first lesson is open, readable from the last row; no news, update or question is in the way."""
    page.goto(lab.url)
    page.wait_for_selector(".jp-MarkdownOutput h1", timeout=60_000)
    page.wait_for_timeout(4_000)  # time for a pop-up to come
    assert page.locator(".jp-Dialog, .Toastify__toast").count() == 0
    assert page.locator(".jp-NotebookPanel").count() == 1
    sizes = page.evaluate(
        """["code", "content"].map(kind => parseInt(getComputedStyle(document.documentElement)
            .getPropertyValue(`--jp-${kind}-font-size${kind === "code" ? "" : 1}`)))"""
    )
    assert min(sizes) >= 18
    code = page.locator(".jp-CodeCell .cm-content").first
    assert code.evaluate("cell => parseInt(getComputedStyle(cell).fontSize)") >= 18
