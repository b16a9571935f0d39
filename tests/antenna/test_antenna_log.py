"""antenna_log, log_json, json_fields: what a line of the log comes to; kept and read back it is the same."""

import json
from dataclasses import dataclass, replace
from types import SimpleNamespace

import numpy as np
import pytest

import antlab as al
from antlab.antenna.antenna_log import (
    Changed,
    KeptAdvice,
    ReadOff,
    Swept,
    TrapsMeasured,
    Undone,
    measured_again,
    replayed,
)
from antlab.antenna.bench import Advice, MeasuredTrap
from antlab.antenna.json_fields import (
    fields_of,
    list_of,
    made,
    maybe_number,
    number_of,
    numbers_of,
    plain,
    record_of,
    text_of,
)
from antlab.antenna.log_json import line_of, line_values
from antlab.units import Slip

DAY = "2026-05-01 10:00"
CHANGED = Changed(date=DAY, inner_m=-0.06, outer_m=0.02)
LEARNED = {
    "mean": [0.01, 0.03, -0.007], "covariance": [[2.0, 1.0, 0.0], [1.0, 2.0, 0.0], [0.0, 0.0, 0.0]],
    "ohms": [0.4, -0.3], "loss_db": [0.0, 0.1], "misfit": [0.001, 0.002],
}  # fmt: skip
ADVICE = KeptAdvice(low_mhz=7.1, high_mhz=None, inner_m=-0.05, because=("The trap is low.",), learned=LEARNED)
TRAP = MeasuredTrap(al.Trap(inductance_uh=2.5, capacitance_pf=50, q=150), 0.0, 0.03)

# --- numbers and names of a file


@pytest.mark.parametrize("value", [0, -3, 1e6, -1e6, 7.1])
def test_a_number_is_kept(value):
    """Whole or not, of either sign, up to a million; always a float."""
    assert number_of("f", value) == value and type(number_of("f", value)) is float
    assert maybe_number("f", value) == value and maybe_number("f", None) is None


@pytest.mark.parametrize("value", [True, "3", None, 1_000_001, -1_000_001, float("nan"), float("inf"), [3]])
def test_what_is_no_number(value):
    """Nor is what is too large, or none."""
    with pytest.raises(Slip, match="f is a number; got"):
        number_of("f", value)


def test_fields():
    """All that must be there, in that order, what may be there, and nothing else."""
    assert list(fields_of("x", {"c": 3, "a": 1, "b": 2}, ["a", "b"], ["c", "d"]).items()) == [
        ("a", 1), ("b", 2), ("c", 3)
    ]  # fmt: skip
    for value, said in (
        ({"a": 1}, "x lacks b"),
        ({"a": 1, "b": 2, "e": 3}, "x has 'e', which"),
        ([1], "named"),
    ):
        with pytest.raises(Slip, match=said):
            fields_of("x", value, ["a", "b"], ["c"])
    assert numbers_of("x", {"b": 2, "a": 1}, "a", "b") == (1.0, 2.0)
    with pytest.raises(Slip, match="b of x is a number"):
        numbers_of("x", {"b": "2", "a": 1}, "a", "b")
    for value in ([], (1,), {}, None):
        with pytest.raises(Slip, match="points are a list of one or more"):
            list_of("points", value)
    assert list_of("points", [0]) == [0]


def test_text_that_people_read():
    """A field a line, a point a line, a name a line; JSON reads the same back, and no NaN is written."""
    value = {"a": {}, "b": [], "c": [1, 2.5], "d": ["µ", "x"], "e": [[1, 2], [3]], "f": {"g": [{"h": None}]}}
    assert text_of(value).splitlines() == [
        "{", ' "a": {},', ' "b": [],', ' "c": [1, 2.5],', ' "d": [', '  "µ",', '  "x"', " ],", ' "e": [',
        "  [1, 2],", "  [3]", " ],", ' "f": {', '  "g": [', "   {", '    "h": null', "   }", "  ]", " }", "}",
    ]  # fmt: skip
    assert json.loads(text_of(value)) == value
    with pytest.raises(ValueError, match="JSON"):
        text_of({"a": float("nan")})


def test_a_cable_of_the_table_is_its_name_and_another_is_all_it_is():
    """One's own cable comes back by its data, though it is called as one of the table."""
    trap = al.design_coax_trap(f_mhz=14.1, form_diameter_mm=50)
    assert plain(trap)["cable"] == "RG-58"
    own = replace(trap, cable=replace(trap.cable, outer_mm=5.5))
    assert plain(own)["cable"]["outer_mm"] == 5.5
    assert record_of("trap", al.trap.CoaxTrap, json.loads(text_of(plain(own)))) == own
    yard = al.Yard(hung="level", heights_m=(9, 8))
    assert record_of("yard", al.Yard, {"hung": "level", "heights_m": [9, 8]}) == yard
    with pytest.raises(Slip, match="yard lacks hung"):
        record_of("yard", al.Yard, {"heights_m": [9, 8]})
    assert plain(yard)["heights_m"] == [9.0, 8.0] and record_of("yard", al.Yard, plain(yard)) == yard


def test_what_cannot_be_made_is_said_once():
    """A sentence of ours ends in one full stop; any other error is told by what it is not."""
    with pytest.raises(Slip, match=r"^hung is .* got 'x'\.$"):
        made("a yard", al.Yard, {"hung": "x", "heights_m": (9, 9)})
    for error in (TypeError, ValueError, ZeroDivisionError, AttributeError, KeyError):

        def fails(error=error):
            raise error("inside")

        with pytest.raises(Slip, match="^the values do not make a yard.$"):
            made("a yard", fails, {})


# --- lines of the log, there and back

SWEEP = al.Sweep([7.12345678, 7.2], [50 + 3j, 80 - 10j])
LINES = [
    CHANGED, Undone(date=DAY), ReadOff(date=DAY, low_mhz=None, high_mhz=14.1, advice=ADVICE),
    Swept(date=DAY, sweeps=(SWEEP, SWEEP), files=("a.s1p", "b.s1p"), advice=None),
    Swept(date=DAY, sweeps=(al.Sweep([7.0, 7.1], [50, 90], phase=False, z0_ohm=75),), advice=ADVICE),
    TrapsMeasured(date=DAY, traps=(TRAP, TRAP), advice=ADVICE), TrapsMeasured(date=DAY, traps=(TRAP,)),
]  # fmt: skip


@pytest.mark.parametrize("line", LINES, ids=lambda line: type(line).__name__)
def test_a_line_there_and_back(line):
    """Nothing is lost, and what is kept again is the same to the letter."""
    values = line_values(line)
    back = line_of("line 1", json.loads(text_of(values)))
    assert type(back) is type(line) and line_values(back) == values and back.date == DAY
    if isinstance(line, Swept):
        assert back.files == line.files and len(back.sweeps) == len(line.sweeps)
        for one, other in zip(back.sweeps, line.sweeps, strict=True):
            assert one.phase == other.phase and one.z0_ohm == other.z0_ohm
            np.testing.assert_allclose(one.f_mhz, other.f_mhz, atol=6e-7)
            assert np.abs(one.reflection) == pytest.approx(np.abs(other.reflection), abs=2e-6)
    else:
        assert back == line


def test_points_have_six_digits():
    """Of MHz and of a reflection: 1 Hz, and less than any meter's noise; a size alone has no third column."""
    values = line_values(LINES[3])["sweeps"][0]
    assert values["points"][0] == [7.123457, 0.000899, 0.029973], "(z - 50)/(z + 50) of 50 + 3j, by hand"
    bare = line_values(LINES[4])["sweeps"][0]
    assert bare["points"] == [[7.0, 0.2], [7.1, 0.090909]] and bare["z0_ohm"] == 75


SWEPT, TRAPS = line_values(LINES[3]), line_values(LINES[6])


def learned(**changes):
    return advised(learned=LEARNED | changes)


def advised(**changes):
    values = line_values(LINES[2])
    return {**values, "advice": values["advice"] | changes}


def swept(**changes):
    return {**SWEPT, "sweeps": [SWEPT["sweeps"][0] | changes]}


def traps(count=1, **changes):
    return {**TRAPS, "traps": [TRAPS["traps"][0] | changes] * count}


SPREAD = LEARNED["covariance"]
SPOILT = [
    (learned(mean=[1, 2]), "mean of learned .* has numbers in 3"), (learned(ohms=[1, "2"]), "ohms of"),
    (learned(covariance=SPREAD[:2]), "in 3 x 3"), (learned(misfit=[1, float("nan")]), "misfit"),
    (learned(covariance=[[2, 1, 0], [0, 2, 0], [0, 0, 0]]), "covariance of .* is none"),
    (learned(covariance=[[1, 2, 0], [2, 1, 0], [0, 0, 1]]), "covariance of .* is none"),
    (learned(covariance=[[1], [2, 3], [4]]), "in 3 x 3"), (learned(loss_db=[True, False]), "loss_db"),
    (swept(z0_ohm=0), "z0_ohm"), (swept(z0_ohm=-50), "z0_ohm"), (swept(points=[]), "points .* list of one"),
    (swept(points=[[7.0, 0.8, 0.6], [7.1, 0.9, 0.6]]), "reflects more than it gets"),
    (swept(points=[[7.0, 0.8]]), "have 3 numbers"), (swept(points=[[7, 1, 0, 1]]), "have 3 numbers"),
    (swept(columns=["f_mhz", "reflection_size"]), "have 2 numbers"), (swept(columns=["f_mhz"]), "columns of"),
    (swept(points=[[7.0, 0.1, 0.1], [7.0, 0.1, 0.1]]), "rise|order|sweep"), (traps(3), "are one or two"),
    (traps(0), "list of one or more"), (traps(inductance_error=-0.01), "part of 1"),
    (traps(capacitance_error=-0.01), "part of 1"), (traps(q=-1), "q|Q"),
    (learned(covariance=[[2, 1, 0], [0.8, 2, 0], [0, 0, 0]]), "covariance of"),
    (advised(low_mhz="7"), "low_mhz of advice"), (advised(high_mhz=True), "high_mhz of advice"),
    (advised(inner_m=None), "inner_m of advice"), (advised(outer_m="0"), "outer_m of advice"),
    ({"date": "today", "what": "undone"}, "date of line 1"), ({"date": 3, "what": "undone"}, "date of line"),
    ({"date": DAY, "what": "painted"}, "what it is, one of"), ({"date": DAY, "what": [1]}, "what it is"),
    ([], "what it is"), ({"date": DAY, "what": "undone", "more": 1}, "line 1 has 'more'"),
    ({**SWEPT, "files": "a.s1p"}, "files of"), ({**SWEPT, "files": [1]}, "files of"),
    ({**line_values(CHANGED), "outer_m": None}, "outer_m of line 1"),
]  # fmt: skip


@pytest.mark.parametrize(("value", "said"), SPOILT, ids=[said for _, said in SPOILT])
def test_a_line_that_is_none(value, said):
    """Each field that hands spoilt is named, and nothing is made of it."""
    with pytest.raises(Slip, match=said):
        line_of("line 1", value)


def test_an_open_end_reflects_all():
    """1 is no more than it gets, though a last digit be over; a trap may be known to the last digit."""
    points = [[7.0, 0.6, 0.8], [7.1, 0.0, -1.0], [7.2, 1.0 + 5e-10, 0.0]]
    back = line_of("line 1", swept(points=points))
    assert np.abs(back.sweeps[0].reflection) == pytest.approx([1, 1, 1])
    known = line_of("line 1", traps(inductance_error=0, capacitance_error=0)).traps[0]
    assert (known.inductance_error, known.capacitance_error) == (0, 0)


@pytest.mark.parametrize("name", ["done", "nearest", "measure_traps", "measure_again", "fault", "because"])
def test_an_advice_in_other_kinds(name):
    """Yes or no is no number, and words are no list of numbers."""
    for value in (1, [1], None):
        with pytest.raises(Slip, match=name if name not in ("fault", "because") else "in words"):
            line_of(
                "line 1", {**line_values(LINES[2]), "advice": line_values(LINES[2])["advice"] | {name: value}}
            )


# --- what lines come to


@dataclass(frozen=True)
class Wires:
    """Stands for a Trimming: it keeps what it is told."""

    told: tuple = ()
    aims_mhz: tuple = (7.1, 14.2)

    def done(self, advice, *, inner_m, outer_m):
        return replace(self, told=(*self.told, (advice.fault, advice.fit, inner_m, outer_m)))

    def with_traps(self, trap):
        return replace(self, told=(*self.told, trap.trap.inductance_uh))

    def advise(self, *, low_mhz, high_mhz):
        return Advice(low_mhz=low_mhz, high_mhz=high_mhz, inner_m=0.01 * len(self.told))

    def advise_sweep(self, *sweeps):
        return Advice(low_mhz=0.0, high_mhz=float(len(sweeps)))


READ = ReadOff(date=DAY, low_mhz=7.0, high_mhz=14.0)
FIT = SimpleNamespace(name="a fit")


def read(**advice):
    return replace(READ, advice=Advice(low_mhz=7.0, high_mhz=14.0, fit=FIT, **advice))


def test_a_change_is_a_step_once_something_was_measured():
    """Before that it belongs to the start; after it no advice is left, and a second is a step without."""
    log, advice = replayed((CHANGED, read(), CHANGED), Wires())
    assert log.told == (("", FIT, -0.06, 0.02),) and advice is None
    log, _ = replayed((read(), CHANGED, CHANGED), Wires())
    assert log.told == (("", FIT, -0.06, 0.02), ("", None, -0.06, 0.02))


def test_measured_twice_is_a_step_of_nothing():
    """But a curve with a fault says nothing of the wires, neither alone nor under a change."""
    log, advice = replayed((read(), read()), Wires())
    assert log.told == (("", FIT, 0.0, 0.0),) and advice.fit is FIT
    assert replayed((read(fault="open"), read()), Wires())[0].told == ()
    again = read(fault="strange", measure_again=True)
    assert replayed((again, read()), Wires())[0].told == (("strange", FIT, 0.0, 0.0),)
    assert replayed((read(fault="open"), CHANGED), Wires())[0].told == (("open", None, -0.06, 0.02),)
    assert replayed((again, CHANGED), Wires())[0].told == (("strange", FIT, -0.06, 0.02),)
    assert measured_again("log", None) == "log"


def test_traps_measured_are_reckoned_with_at_once():
    """The advice is asked anew on what was measured, unless it was kept; after a change there is none."""
    measured = TrapsMeasured(date=DAY, traps=(TRAP,))
    log, advice = replayed((READ, measured), Wires())
    assert log.told == (2.5,) and advice.inner_m == pytest.approx(0.01)
    kept = replace(measured, advice=Advice(low_mhz=1, high_mhz=2))
    assert replayed((READ, kept), Wires())[1] is kept.advice
    assert replayed((READ, CHANGED, kept), Wires())[1] is None and replayed((kept,), Wires())[1] is None
    assert replayed((READ, measured), Wires())[1].low_mhz == 7.0


def test_both_legs_traps_are_one_in_the_middle():
    """Geometric means, since a resonance goes by products; the worse of the errors."""
    one = MeasuredTrap(al.Trap(inductance_uh=1, capacitance_pf=20, q=100), 0.01, 0.04)
    other = MeasuredTrap(al.Trap(inductance_uh=4, capacitance_pf=80, q=400), 0.03, 0.02)
    mean = TrapsMeasured(date=DAY, traps=(one, other)).mean
    assert (mean.trap.inductance_uh, mean.trap.capacitance_pf, mean.trap.q) == pytest.approx((2, 40, 200))
    assert (mean.inductance_error, mean.capacitance_error) == (0.03, 0.04)


def around(aim, count, at):
    """An SWR that is lowest at a part of an aim."""
    f = aim * np.linspace(0.97, 1.03, count)
    return al.Sweep(f, 50 * (1 + 40 * np.abs(f / aim - at)), phase=False)


@pytest.mark.parametrize(
    ("low", "high", "fitted"), [(11, 11, False), (12, 12, True), (11, 30, False), (30, 11, False)]
)
def test_few_points_are_read_off(low, high, fitted):
    """Below a dozen on either band the lowest points are taken; else a curve is fitted to all sweeps."""
    swept = Swept(date=DAY, sweeps=(around(7.1, low, 0.99), around(14.2, high, 1.01)))
    advice = swept.asked(Wires())
    if fitted:
        assert (advice.low_mhz, advice.high_mhz) == (0.0, 2.0)
    else:
        assert advice.low_mhz == pytest.approx(0.99 * 7.1, rel=4e-3)
        assert advice.high_mhz == pytest.approx(1.01 * 14.2, rel=4e-3)


def test_of_two_sweeps_of_a_band_the_fuller_counts():
    """One band alone, or another's sweep, is for the fit to refuse."""
    few, many = around(7.1, 5, 0.99), around(7.1, 9, 1.01)
    advice = Swept(date=DAY, sweeps=(few, many, around(14.2, 9, 1.0))).asked(Wires())
    assert advice.low_mhz == pytest.approx(1.01 * 7.1, rel=4e-3)
    for sweeps in ((few,), (around(21.2, 9, 1.0), few)):
        assert Swept(date=DAY, sweeps=sweeps).asked(Wires()).low_mhz == 0.0
