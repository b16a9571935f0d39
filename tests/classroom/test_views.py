"""A view is one new file: it is found by its name, by pages and by tests, and nothing else knows of it."""

import os
import shutil
import subprocess
import sys

import pytest

from antlab.classroom import live
from antlab.classroom.paper import pages
from antlab.files import PACKAGE, ROOT

NEW = '''"""How heavy is a wire? Its length on a slider, its weight in words."""

from antlab.classroom.drawing.axes import plot_axes
from antlab.classroom.drawing.parts import FIRST, Part, Scene, column
from antlab.classroom.views.player import Slider, view

GRAMS_PER_M = 28.0


@view(Slider("Length", "m", 5, 40, 36, 20))
def heavy_wire(fig, length_m):
    """How heavy is a wire?"""
    ax = plot_axes(fig, x=(0, 45), y=(0, 2), xlabel="length, m", ylabel="weight, kg")
    kg = length_m * GRAMS_PER_M / 1e3
    says = [f"{m:.0f} m weigh {one:.2f} kg" for m, one in zip(length_m, kg, strict=True)]
    alt = "Weight against length: a dot that climbs a straight line."
    return Scene([Part(ax, "dots", column(length_m), column(kg), FIRST)], says, alt)
'''
ASK = """
from antlab.classroom import live
from antlab.classroom.paper import pages
print("heavy_wire" in live.VIEWS, live.heavy_wire.title, "heavy_wire" in pages.views(), live.plan_of.__name__)
print(len(pages.page(live.heavy_wire)) > 10_000)
"""


@pytest.mark.parametrize("name", live.VIEWS)
def test_a_view_has_a_file_of_its_own_name(name):
    """Whoever wants to change a view finds it at once, with its physics, its picture and its words."""
    view = live.VIEWS[name]
    assert view.__module__ == f"antlab.classroom.views.{name}" and getattr(live, name) is view
    text = (PACKAGE / "classroom" / "views" / f"{name}.py").read_text(encoding="utf-8")
    assert text.count("\n@view(") == 1 and view.title in text


def test_the_registry_is_what_pages_show():
    """Pages have every view that needs no kernel, in the order of the lessons that call them first."""
    shown = list(pages.views())
    assert set(shown) == {name for name, view in live.VIEWS.items() if not view.ask}
    called = [name for name in pages.calls() if name in shown]
    assert shown[: len(called)] == called


def test_a_new_view_is_one_new_file(tmp_path):
    """Put into a copy of the package it is in live, on a page for phones and in the tests of all views."""
    shutil.copytree(PACKAGE, tmp_path / "antlab", ignore=shutil.ignore_patterns("course", "__pycache__"))
    shutil.copytree(ROOT / "tests" / "classroom", tmp_path / "tests" / "classroom")
    for name in ("notebooks", "figures", "pyproject.toml"):
        (tmp_path / name).symlink_to(ROOT / name)
    (tmp_path / "antlab" / "classroom" / "views" / "heavy_wire.py").write_text(NEW, encoding="utf-8")

    def run(*words):
        here = os.environ | {"PYTHONPATH": str(tmp_path), "PYTHONDONTWRITEBYTECODE": "1"}
        return subprocess.run(
            [sys.executable, *words], cwd=tmp_path, env=here, capture_output=True, text=True, check=True
        ).stdout

    assert run("-c", ASK).splitlines() == ["True How heavy is a wire? True plan_of", "True"]
    files = [f"tests/classroom/test_{name}.py" for name in ("film", "live", "looks", "views")]
    spare = ("-p", "no:cacheprovider", "-p", "no:nbval")  # which loads for seconds
    listed = run("-m", "pytest", "--collect-only", "-q", *spare, "--rootdir", ".", *files)
    for test in ("protocol", "table_holds", "words_of_views", "projected_view", "own_name"):
        assert [line for line in listed.splitlines() if test in line and "heavy_wire" in line], test
