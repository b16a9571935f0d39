"""Closed loops by files and words alone: tests/bench/file_loops.py runs fifty, here are two."""

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "bench"))
import file_loops  # noqa: E402


@pytest.mark.parametrize("number", [2, 10])
def test_home_by_words_alone(number):
    """Plan, file, sweeps as tables without phase, antlab trim, home: nothing but its words is read."""
    _, end, changes, off, words, _ = file_loops.one((number, 1))
    assert end == "home", words
    assert 1 <= changes <= 4 and max(abs(off)) <= file_loops.loops.HOME
