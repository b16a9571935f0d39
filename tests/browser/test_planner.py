"""The planner in JupyterLab: each position of its sliders is solved by the kernel, and nothing queues."""

import json

import pytest
from conftest import opened
from film import said

from antlab.classroom import live

pytestmark = pytest.mark.browser
# counts the pictures that the kernel sends from now on
COUNT = """() => {
  const { kernel } = jupyterapp.shell.currentWidget.sessionContext.session;
  window.pictures = 0;
  kernel.iopubMessage.connect((_, { content }) => { if (content.data?.state?.frames) pictures += 1; });
}"""
# sixty positions, faster than any hand
SWEPT = """one => {
  for (let k = 0; k < 60; k++) {
    one.value = Number(one.value) - 1;
    one.dispatchEvent(new Event("input"));
  }
  one.dispatchEvent(new Event("change"));
}"""


# it stands before all words, at the height of the picture's top; seen at one instant, as pages scroll
ASKED = """() => {
  const of = name => document.querySelector(name).getBoundingClientRect();
  const asked = [...document.querySelectorAll(".antlab-choices .widget-dropdown")].find(
    one => one.textContent.includes("power line")).getBoundingClientRect();
  return asked.bottom <= of(".antlab-says").top + 4 && Math.abs(asked.top - of(".antlab-picture").top) < 20;
}"""


# the words and the choices beside them end with the picture, and whoever uses keys can scroll the words
INSIDE = """() => {
  const of = name => document.querySelector(name).getBoundingClientRect();
  const says = document.querySelector(".antlab-says"), more = says.scrollHeight > says.clientHeight + 1;
  const ends = [".antlab-says", ".antlab-choices"].map(name => of(name).bottom);
  return Math.max(...ends) < of(".antlab-picture").bottom + 8 && (says.tabIndex === 0) === more;
}"""
BELOW = "one => one.getBoundingClientRect().bottom - one.closest('.antlab-view').getBoundingClientRect().top"
TOLD = "one.dispatchEvent(new Event('input')); one.dispatchEvent(new Event('change'));"


def test_planner(lab, tab):
    """Keys and mouse bring what the engine says there; too little room brings buttons that mend it."""
    code = {"cell_type": "code", "metadata": {}, "outputs": [], "execution_count": None, "id": "code"}
    source = 'from antlab.classroom import live\nlive.planner(low="20m", high="10m", height_m=7.5, room_m=14)'
    kernel = {"kernelspec": {"name": "python3", "display_name": "Python 3", "language": "python"}}
    title = {"cell_type": "markdown", "metadata": {}, "source": "# Planner", "id": "title"}
    book = {
        "cells": [title, code | {"source": source}],
        "metadata": kernel,
        "nbformat": 4,
        "nbformat_minor": 5,
    }
    (lab.folder / "notebooks" / "planner.ipynb").write_text(json.dumps(book), encoding="utf-8")
    tab.set_viewport_size({"width": 1280, "height": 720})
    opened(lab, tab, "notebooks/planner.ipynb")
    tab.locator(".jp-MarkdownOutput h1").click()
    tab.keyboard.press("Shift+Enter")
    tab.keyboard.press("Shift+Enter")
    view = tab.locator(".antlab")
    height, room = (view.get_by_role("slider", name=f"{name} (m)", exact=True) for name in ("Height", "Room"))
    height.wait_for(timeout=60_000)

    def shows(**places):
        """The words that the engine has for a place, within ten seconds."""
        says = live.planner(low="20m", high="10m", **places).player.frames["says"][0]
        for line in says.split("\n")[1:4]:  # the last of them when the hand rests
            view.locator(".antlab-says").filter(has_text=line).wait_for(timeout=10_000)
        assert said(view) == says

    shows(height_m=7.5, room_m=14)
    assert view.bounding_box()["height"] < 610, "all of it is on the screen at once"
    tabs, name = (
        tab.locator(".antlab-tabs").bounding_box(),
        view.locator(".antlab-many output").first.bounding_box(),
    )
    assert name["y"] - tabs["y"] - tabs["height"] > 3.5, "tabs do not touch the sliders' names"
    assert not tab.locator(".jp-Notebook-ExecutionIndicator, .jp-StatusBar-Widget :text('Idle')").count()
    height.focus()
    for _ in range(12):
        tab.keyboard.press("ArrowRight")
    shows(height_m=8.7, room_m=14)
    box = height.bounding_box()
    x, y = box["x"], box["y"] + box["height"] / 2
    tab.mouse.move(x + box["width"] * (height.evaluate("one => one.value / one.max") * 0.9 + 0.05), y)
    tab.mouse.down()
    tab.mouse.move(x + box["width"] * 0.8, y, steps=20)
    tab.mouse.up()
    metres = float(height.get_attribute("aria-valuetext").split()[0])
    assert metres > 17
    shows(height_m=metres, room_m=14)
    tab.evaluate(COUNT)
    height.evaluate(SWEPT)
    metres = float(height.get_attribute("aria-valuetext").split()[0])
    assert metres > 11
    shows(height_m=metres, room_m=14)
    # the first, the last, and that once more as the hand rests, or twice
    assert 2 <= tab.evaluate("pictures") <= 4, "positions passed by are not solved one after another"

    room.focus()
    tab.keyboard.press("Home")
    too_little = view.locator(".antlab-says").filter(has_text="there is room for 4.0 m")
    too_little.wait_for(timeout=10_000)
    assert view.locator(".antlab-picture").is_visible(), "it shows what sticks out"
    room.evaluate(f"one => {{ one.value = 40; {TOLD} }}")  # nothing mends so little; 9 m do
    short = live.planner(low="20m", high="10m", height_m=metres, room_m=9)
    mends = [one.words for one in live.planner.offers(short.positions, short.choices) if one]
    assert len(mends) > 1
    view.locator(".antlab-offers button").nth(len(mends) - 1).wait_for(timeout=20_000)
    offers, desk = view.locator(".antlab-offers").bounding_box(), tab.locator(".jp-Notebook").bounding_box()
    assert view.locator(".antlab-told").is_visible(), "and words on what they are"
    below = offers["y"] + offers["height"] - desk["y"] - desk["height"]
    assert below < 1, "they are seen without scrolling, to a part of a pixel"
    for spaced in ("letterSpacing", "wordSpacing"):
        squeezed = view.locator(".antlab-offers button div").first.evaluate(
            "(one, of) => getComputedStyle(one)[of]", spaced
        )
        assert squeezed in ("normal", "0px"), "what a mend changes is not squeezed"
    room.press("End")
    shows(height_m=metres, room_m=60)
    lower = view.get_by_role("slider", name="Ends lower (m)", exact=True)
    for slider, step in (
        (height, 0),
        (lower, 20),
    ):  # ends in the ground: a mend moves both
        slider.evaluate("(one, to) => { one.value = to; one.dispatchEvent(new Event('input')); }", step)
    higher = view.locator(".antlab-offers button").filter(has_text="Hang all of it")
    higher.click(timeout=20_000)
    moved = "() => document.querySelector('.antlab input').getAttribute('aria-valuetext').startsWith('5.0 m')"
    tab.wait_for_function(moved, timeout=20_000)
    assert lower.get_attribute("aria-valuetext").startswith("2.0 m")

    tab.locator(".antlab-tabs button", has_text="Garden").click()  # the question that must not be missed
    asked = tab.locator(".antlab-choices .widget-dropdown", has_text="power line")
    asked.wait_for(timeout=10_000)
    view.locator(".antlab-says").filter(has_text="power line").wait_for(timeout=10_000)
    tab.wait_for_function(ASKED, timeout=10_000)
    assert view.locator(".antlab-message").is_hidden()

    # On a small laptop all tabs have one size; what is longer is scrolled to beside the picture.
    tab.set_viewport_size({"width": 1366, "height": 625})
    tab.locator(".antlab-tabs button", has_text="Supports").click()
    height.evaluate(f"one => {{ one.value = 75; {TOLD} }}")
    lower.evaluate(f"one => {{ one.value = 0; {TOLD} }}")
    bottoms = {}
    for name in live.planner.groups:
        tab.locator(".antlab-tabs button", has_text=name).click()
        tab.wait_for_function(INSIDE, timeout=10_000)
        bottoms[name] = view.locator(".antlab-picture").evaluate(BELOW)
    assert max(bottoms.values()) - min(bottoms.values()) < 3, bottoms
