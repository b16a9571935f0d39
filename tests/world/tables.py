"""Published tables as columns of numbers, for the tests of the formula rooms."""

import numpy as np
from reference import read_table


def columns(name):
    """The CSV tests/world/published/name.csv as a dict of arrays; an empty cell is NaN."""
    rows = read_table(name)
    return {key: np.array([np.nan if row[key] == "" else row[key] for row in rows]) for key in rows[0]}


def grid(name):
    """A table with a row heading: the headings down, the headings across, the cells."""
    table = columns(name)
    down, *across = table
    return table[down], np.array(across, dtype=float), np.stack([table[key] for key in across], axis=1)
