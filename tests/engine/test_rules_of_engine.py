"""The rules of the house, kept in this room: ranges hold, records are frozen."""

import pytest
import rules


@pytest.mark.parametrize(("ask", "inside", "outside", "told", "words"), rules.ranges("engine"))
def test_a_range_holds(ask, inside, outside, told, words):
    """Silent just inside, never silent just outside."""
    rules.holds(ask, inside, outside, told, words)


@pytest.mark.parametrize("record", rules.records("engine"))
def test_a_record_keeps_its_values(record):
    """Nobody changes a result by accident, nor swaps two of its values by their place."""
    rules.keeps(record)
