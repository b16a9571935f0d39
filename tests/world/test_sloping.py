"""What it costs to count supports of two heights as level at their mean, by the second solver."""

import numpy as np
import pytest
from make_sloping import ANGLES, row_from
from reference import read_table

from antlab.antenna.yard import MEAN_ERRS

ROWS = read_table("sloping", folder="converged")


def slope(row):
    """Rise over the wire's length."""
    return (row["high_m"] - row["low_m"]) / (2 * (row["inner_m"] + row["outer_m"]))


def test_a_row_is_what_the_second_solver_gives():
    """One row of the table, computed anew."""
    row = min(ROWS, key=lambda row: row["inner_m"])
    for name, value in row_from(row).items():
        assert value == pytest.approx(row[name], abs=0.02), name


def test_no_row_errs_by_more_than_is_said():
    """In the class of slopes that a row belongs to, gain broadside and resonance stay within its bounds."""
    for row in ROWS:
        decibels, percent = next(bounds[1:] for bounds in MEAN_ERRS if slope(row) <= bounds[0])
        assert max(abs(row[f"gain_{angle}"]) for angle in ANGLES) <= decibels
        assert abs(row["moved_percent"]) <= percent
        assert row["lower_end_db"] > 0, "more goes out beyond the lower end"
    assert max(map(slope, ROWS)) > 0.9 * MEAN_ERRS[-1][0], "the steepest class was looked at"


def test_each_bound_is_needed():
    """No bound is larger than twice what was found: words that frighten for nothing help nobody."""
    gentle = 0.0
    for steepest, decibels, percent in MEAN_ERRS:
        rows = [row for row in ROWS if gentle < slope(row) <= steepest]
        found = np.array(
            [[max(abs(row[f"gain_{a}"]) for a in ANGLES), abs(row["moved_percent"])] for row in rows]
        )
        assert np.all(2 * found.max(axis=0) >= [decibels, percent])
        gentle = steepest
