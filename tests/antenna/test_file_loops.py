"""Closed loops by files and words alone: tests/bench/file_loops.py runs fifty, here are two."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "bench"))
import file_loops  # noqa: E402


def test_home_by_words_alone():
    """Plan, file, falling tables with decimal commas, no phase, antlab trim, home: by its words alone."""
    _, end, changes, off, words, _ = file_loops.one((10, 1))
    assert end == "home", words
    assert 1 <= changes <= 4 and max(abs(off)) <= file_loops.loops.HOME


def test_two_minima_run_together():
    """SWR of 1.8 to 2.1 over three percent, to two digits: home, and the flat valley is said."""
    _, end, _, off, words, _ = file_loops.one((34, 1))
    assert end == "home" and max(abs(off)) <= file_loops.loops.HOME, words
    assert "the SWR is flat: from 28." in words
