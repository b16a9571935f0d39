"""Rules of the house that each room's own tests ask, so that a change in a room is noticed beside it."""

import dataclasses
import inspect
import itertools
import warnings

import numpy as np
import pytest
from arrows import folder_of
from test_house import TRIED, public_functions
from test_ranges import ROWS

POSITIONAL = {  # records that are made by place: few values, whose order everybody knows, and results
    "TrapStress", "MeasuredTrap", "Step", "Aim", "Span", "HeightRow", "Cut", "Note", "Exposure",
    "VoltsCheck", "Dip", "Sweep", "PowerShares", "Fields", "Usual", "Fit", "Verdict",
    "Coil", "Fault", "Figures", "Mend", "OnForm", "Wires",
}  # fmt: skip


def _in(room, thing):
    return folder_of(thing.__module__) == room


def ranges(room):
    """The rows of the table of ranges whose formula lies in a room."""
    known = {one.id: one.values[0] for one in public_functions()}
    return [pytest.param(*row[2:], id=f"{row[0]}, {row[1]}, {row[4]}")
            for row in ROWS if _in(room, known[row[0]])]  # fmt: skip


def holds(ask, inside, outside, told, words):
    """Silent just inside a range, never silent just outside."""
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        if inside is not None:
            ask(inside)
        with pytest.raises(told, match=words) as said:
            ask(outside)
    assert type(said.value) is told


def broadcasting(room):
    """The formulas of a room that take several arrays, by their mark or by their words."""
    return [one for one in public_functions() if _in(room, one.values[0]) and promises(one.values[0])]


def promises(thing):
    """Whether a function's words promise broadcasting, or any shape of two arguments, or its mark does."""
    words = inspect.getdoc(thing)
    said = "broadcast" in words or words.count("any shape") > 1
    return inspect.isfunction(thing) and (said or hasattr(thing, "__wrapped__"))


def shapes_fit(formula):
    """Any two arguments, two of one against three of the other: a sentence that names both, or a table."""
    given = {name: TRIED[name] for name in inspect.signature(formula).parameters}
    assert formula(**given) is not None
    numbers = [name for name, value in given.items() if type(value) in (int, float)]
    assert len(numbers) > 1
    for one, other in itertools.combinations(numbers, 2):
        shapes = {one: [given[one]] * 2, other: [given[other]] * 3}
        with pytest.raises(ValueError, match=rf"{one} of shape \(2,\) and {other} of shape \(3,\).*column"):
            formula(**given | shapes)
        column = formula(**given | shapes | {one: np.reshape(shapes[one], (-1, 1))})
        assert np.shape(getattr(column, "watts", getattr(column, "distance_m", column)))[-2:] == (2, 3)


def records(room):
    """The classes of a room that keep values."""
    return [
        one
        for one in public_functions()
        if dataclasses.is_dataclass(one.values[0]) and _in(room, one.values[0])
    ]


def keeps(record):
    """Frozen, made by name, and compared by value only where no array makes that ambiguous."""
    fields, name = dataclasses.fields(record), record.__name__
    assert record.__dataclass_params__.frozen
    by_name = all(one.kw_only for one in fields)
    assert by_name == (name not in POSITIONAL), "kw_only=True, or its name in rules.POSITIONAL"
    arrays = any(one.type in (np.ndarray, "np.ndarray") for one in fields)
    assert (record.__eq__ is object.__eq__) == arrays
