"""Homework by keyboard alone: a name, an answer, the check's reply, and what is saved."""

import pytest
from conftest import opened

pytestmark = pytest.mark.browser


def test_homework_by_keyboard(lab, tab):
    """From the open page on: arrow keys and Enter into a cell, Shift and Enter, Ctrl and S. No mouse."""
    opened(lab, tab, "notebooks/homework/01-tuned-circuit.ipynb")

    def press(*keys):
        for key in keys:
            tab.keyboard.press(key)

    def active(words):
        tab.locator(".jp-Cell.jp-mod-active", has_text=words).wait_for(timeout=10_000)

    for words in ("Caution", "homework.sheet"):
        press("ArrowDown")
        active(words)
    press("Enter", "Control+End", "ArrowUp", "End", "ArrowLeft", "ArrowLeft")
    tab.keyboard.type("juniper")
    press("Shift+Enter")
    tab.locator(".jp-CodeCell", has_text='student="juniper"').locator("table", has_text="yours").wait_for()
    for words in ("The capacitor as a formula", "hw.symbols", "Work here"):
        active(words)
        press("Shift+Enter") if words != "Work here" else press("Enter")
    press("Control+End", "ArrowUp", "End", "Backspace", "Backspace", "Backspace")
    tab.keyboard.type("1/(4*sp.pi**2*f**2*L)")
    press("Shift+Enter")
    work = tab.locator(".jp-CodeCell", has_text="4*sp.pi**2")
    work.locator(".jp-OutputArea-output", has_text="01.1  Right").wait_for(timeout=30_000)
    press("Control+s")
    book = lab.folder / "notebooks" / "homework" / "01-tuned-circuit.ipynb"
    for _ in range(50):
        if "4*sp.pi**2*f**2*L" in (text := book.read_text(encoding="utf-8")):
            break
        tab.wait_for_timeout(100)
    assert r"""student=\"juniper\"""" in text and "4*sp.pi**2*f**2*L)" in text
    assert list(lab.folder.glob("homework-*.json"))
