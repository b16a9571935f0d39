"""A few antennas of tests/bench/closed_loops.py: home in four changes, no fault answered by a length."""

import importlib.util

import pytest

from antlab.files import ROOT

_SPEC = importlib.util.spec_from_file_location("closed_loops", ROOT / "tests" / "bench" / "closed_loops.py")
loops = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(loops)


@pytest.mark.parametrize("number", [11, 22, 27])
def test_healthy_antennas_come_home(number):
    """Pairs that had no wire once or were refused: obeyed word for word, both bands come home."""
    outcome = loops.one((number, 1, ""))
    assert outcome.end == "home" and outcome.changes <= loops.GOOD, outcome


@pytest.mark.parametrize(
    ("fault", "words"),
    [
        ("30 ohm in a joint", "bad joint"),
        ("wet traps", "a wet or bad trap"),
        ("3 dB lost in the line", "3 dB or so were lost in the line"),
        ("traps 6 % off", "Measure the traps first"),
        ("below the sweep", "below what you measured"),
        ("above the sweep", "above what you measured"),
        ("trap shorted", "shorted"),
        ("trap open", "open"),
    ],
)
def test_no_fault_is_answered_by_a_length(fault, words):
    """Each is told by its name, and nothing is cut for it."""
    truth = loops.antenna(18, seed=1, fault=fault)
    advice = truth.log.advise_sweep(*truth.sweeps(truth.log.lengths_m))
    assert words in advice.fault, advice.text
    assert advice.text.startswith("Do not cut.") and not (advice.inner_m or advice.outer_m or advice.done)
