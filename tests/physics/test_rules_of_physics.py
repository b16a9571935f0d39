"""The rules of the house, kept in this room: ranges hold, shapes fit or are a slip, records are frozen."""

import pytest
import rules


@pytest.mark.parametrize(("ask", "inside", "outside", "told", "words"), rules.ranges("physics"))
def test_a_range_holds(ask, inside, outside, told, words):
    """Silent just inside, never silent just outside."""
    rules.holds(ask, inside, outside, told, words)


@pytest.mark.parametrize("formula", rules.broadcasting("physics"))
def test_shapes_that_do_not_go_together(formula):
    """Two of one argument against three of another: a sentence that names both."""
    rules.shapes_fit(formula)


@pytest.mark.parametrize("record", rules.records("physics"))
def test_a_record_keeps_its_values(record):
    """Nobody changes a result by accident, nor swaps two of its values by their place."""
    rules.keeps(record)
