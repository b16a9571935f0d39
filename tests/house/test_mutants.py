"""The list of changes that change nothing (tests/bench/mutants.py) speaks of lines that are there."""

import csv

import pytest
from arrows import PACKAGE

with (PACKAGE.parent / "tests/bench/equivalent_mutants.csv").open(encoding="utf-8", newline="") as file:
    ROWS = list(csv.DictReader(file))


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['file']}: {row['becomes']}")
def test_a_change_without_effect_is_of_a_line_that_stands(row):
    """Who changes the line takes the row out, or proves it anew; each says why nothing changes."""
    lines = (PACKAGE.parent / row["file"]).read_text(encoding="utf-8").splitlines()
    assert row["line"] in [line.strip() for line in lines] and row["becomes"] != row["line"]
    assert len(row["reason"].split()) > 3
