"""What every test stands on."""

import gc
import os

import hypothesis
import pytest

from tests import browsing

os.environ["MPLBACKEND"] = "agg"  # no test opens a window
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # as in the lessons: threads fight over small matrices

# Figures and formulas are many small things that stay: to look through them seldom saves a fifth of the time.
gc.set_threshold(50_000, 20, 100)

# No deadline: a loaded laptop is slow, not wrong. The same examples each time: a red run can be repeated.
hypothesis.settings.register_profile("antlab", deadline=None, derandomize=True)
hypothesis.settings.load_profile("antlab")

SLOW = (  # 10 s of processor time and more
    *("browser/", "test_looks.py", "test_yard.py", "test_homework.py", "test_sheet.py", "test_live.py"),
    *("test_lesson_pages.py", "test_notebooks.py", "test_plan_command.py", "test_bench.py"),
    *("test_figures.py", "test_killed_runs.py", "test_hostile_folder.py", "test_arrows.py"),
    *("test_closed_loops.py", "test_planning.py", "test_handouts.py", "test_pack.py"),
    *("test_signs.py", "test_views.py"),
)


def pytest_collection_modifyitems(items):
    """Begin with the files that take long: two processes that share them out then end together."""
    first = {name: place for place, name in enumerate(SLOW)}
    items.sort(key=lambda item: next((first[name] for name in SLOW if name in item.nodeid), len(SLOW)))


@pytest.fixture(scope="module")
def chromium():
    """One Chromium for the tests marked `browser` that follow each other in a process."""
    return browsing.chromium()


@pytest.hookimpl(wrapper=True)
def pytest_runtest_teardown(nextitem):
    """End it before a test without the mark: while it is here, no other loop may run in this process."""
    try:
        return (yield)
    finally:
        if not (nextitem and nextitem.get_closest_marker("browser")):
            browsing.end()
