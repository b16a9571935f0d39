"""What every test stands on."""

import os

import hypothesis

os.environ["MPLBACKEND"] = "agg"  # no test opens a window
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # as in the lessons: threads fight over small matrices

# No deadline: a loaded laptop is slow, not wrong. The same examples each time: a red run can be repeated.
hypothesis.settings.register_profile("antlab", deadline=None, derandomize=True)
hypothesis.settings.load_profile("antlab")

SLOW = (
    "browser/",
    "test_looks.py",
    "test_homework.py",
    "test_handouts.py",
    "test_figures.py",
)  # 20 s and more


def pytest_collection_modifyitems(items):
    """Begin with the files that take long: two processes that share them out then end together."""
    items.sort(key=lambda item: not any(name in item.nodeid for name in SLOW))
