"""own_antenna.py: what an antenna may be, and what its log comes to; nothing is solved, nothing fitted."""

from dataclasses import fields, replace
from datetime import datetime, timedelta
from inspect import signature
from types import SimpleNamespace

import numpy as np
import pytest

import antlab as al
from antlab.antenna.antenna_log import Changed, ReadOff, Swept, TrapsMeasured, Undone
from antlab.antenna.bench import Advice, MeasuredTrap
from antlab.units import Slip

TRAP = al.Trap(inductance_uh=2.5, capacitance_pf=50.25)
LAWN = {
    "name": "lawn", "yard": al.Yard(hung="level", heights_m=(9, 9)), "trap": TRAP,
    "planned_m": (5.136, 3.317), "planned_mhz": (7.151, 14.191),
}  # fmt: skip
DATE = "2026-05-01 14:30"
NOTHING = Advice(low_mhz=None, high_mhz=None)
READ = ReadOff(date=DATE, low_mhz=7.0, high_mhz=14.1, advice=NOTHING)
SWEPT = Swept(date=DATE, sweeps=(al.Sweep([7.0, 7.1], [60, 50]),), advice=NOTHING)
CUT = Changed(date=DATE, inner_m=-0.05, outer_m=0.02)
UNDONE = Undone(date=DATE)
ONE, TWO = MeasuredTrap(TRAP, 0.01, 0.02), MeasuredTrap(TRAP, 0.03, 0.04)
TRAPS = TrapsMeasured(date=DATE, traps=(ONE,), advice=NOTHING)


@pytest.fixture(scope="module")
def lawn():
    """One whose trap and lengths are told, with an empty log."""
    return al.Antenna(**LAWN)


@pytest.mark.parametrize(
    ("name", "inside", "outside", "words"),
    [
        ("z0_ohm", (10, 1000), (9.99, 1000.1), "10 to 1000 ohms"),
        # a tenth beside the band: 7.0 / 1.1 is 6.364, 7.3 * 1.1 8.03; 14 / 1.1 12.727, 14.35 * 1.1 15.785
        ("planned_mhz", ((6.364, 14.2), (8.03, 14.2)), ((6.363, 14.2), (8.031, 14.2)), "the lower aim is"),
        ("planned_mhz", ((7.1, 12.728), (7.1, 15.785)), ((7.1, 12.727), (7.1, 15.786)), "the upper aim is"),
        ("low_mhz", (None, 7.0, 7.3), (6.99, 7.31), "outside the 40m band, 7 to 7.3 MHz"),
        ("high_mhz", (None, 14.0, 14.35), (13.99, 14.36), "outside the 20m band, 14 to 14.35 MHz"),
        ("high", ("20m",), ("1m",), "1m"),
        ("aim", ("segment",), ("best",), "aim is"),
        ("mode", ("phone",), ("songs",), "mode is"),
        ("licence", ("extra",), ("driver",), "licence is one of"),
        ("region", (1, 3), (2.0, True, "2"), "region"),
        ("name", ("a", "a" * 80), ("", "a" * 81, "a/b", "a\nb", 7), "name is a short one"),
        ("yard", (), (None, (9, 9)), "yard is a Yard"),
        ("wire", (al.Wire(),), (None, "copper"), "wire is a Wire"),
        ("trap", (TRAP,), ("RG-58", 3), "trap is a CoaxTrap"),
        ("power_w", (0.1,), (0, -5, float("nan"), (5, 6)), "power_w"),
        ("feed_line", (None, ("RG-58", 1000)), (("RG-58",), ("RG-58", 20, 3), 20), "feed_line is a pair"),
        ("log", ([CUT] * 1000,), ([CUT, 3],), "log has lines of Swept, ReadOff, Ch"),
        ("log", (), ([CUT, UNDONE] * 500 + [CUT],), "the log has 1,001 lines; 1,000 are kept"),
        ("log", ([CUT, UNDONE],), ([UNDONE], [CUT, UNDONE, UNDONE]), "no line in the log to undo"),
    ],
)  # fmt: skip
def test_how_far_each_field_goes(lawn, name, inside, outside, words):
    """Just inside is taken, just outside is a slip that names the field."""
    for value in inside:
        if name == "log":
            value = [replace(one, inner_m=0.0) if isinstance(one, Changed) else one for one in value]
        assert getattr(replace(lawn, **{name: value}), name) is not None or value is None
    for value in outside:
        with pytest.raises(Slip, match=words):
            replace(lawn, **{name: value})


def test_what_was_not_told_is_as_design_takes_it():
    """100 W of a carrier into 50 ohms over average soil, the widest of the general licence of region 2."""
    mine = {field.name: field.default for field in fields(al.Antenna)}
    theirs = {name: one.default for name, one in signature(al.design).parameters.items()}
    known = {
        "low": "40m", "high": "20m", "power_w": 100, "z0_ohm": 50, "sends": "carrier", "soil": "average",
        "aim": "widest", "mode": None, "licence": "general", "region": 2, "low_mhz": None, "high_mhz": None,
    }  # fmt: skip
    for name, value in known.items():
        assert mine[name] == theirs[name] == value, name


def test_what_was_not_told_is_as_planned(lawn):
    """It hangs as it was planned until somebody says otherwise; what was told stays as told."""
    assert lawn.hung_m == lawn.planned_m == (5.136, 3.317) and lawn.planned_mhz == (7.151, 14.191)
    hung = replace(lawn, hung_m=[5.3, 3.4])
    assert hung.hung_m == hung.cut_m == (5.3, 3.4) and hung.planned_m == (5.136, 3.317)
    assert tuple(hung.trimming.lengths_m) == (5.3, 3.4)
    assert lawn.line is None and lawn.measured is None and lawn.measured_traps == () and lawn.advice is None
    line = replace(lawn, feed_line=["rg58", 20]).line
    assert (line.cable.name, line.length_m) == ("RG-58", 20)


@pytest.mark.parametrize("missing", ["trap", "planned_m", "planned_mhz"])
def test_what_is_missing_is_taken_from_the_design(monkeypatch, missing):
    """Any of the three alone has it solved: lengths to 0.1 mm, aims to 0.1 kHz."""
    solved = SimpleNamespace(
        wound=None, dipole=SimpleNamespace(trap=TRAP, sections=np.array([5.12344, 3.30006])),
        aims=(7.15006, 14.19004), lowest_mhz=lambda aim: aim,
    )  # fmt: skip
    monkeypatch.setattr(al.Antenna, "design", solved)
    made = al.Antenna(**LAWN | {missing: None})
    assert (made.trap, made.planned_m, made.planned_mhz) == (TRAP, (5.1234, 3.3001), (7.1501, 14.19))
    solved.wound = al.design_coax_trap(f_mhz=14.1, form_diameter_mm=50)
    assert al.Antenna(**LAWN | {missing: None}).trap == solved.wound, "the recipe, where there is one"
    assert al.Antenna(**LAWN).planned_m == LAWN["planned_m"], "all told, nothing is solved"


@pytest.mark.parametrize(
    ("log", "stands", "measured", "cut_m"),
    [
        ((CUT, CUT), (CUT, CUT), None, (5.036, 3.357)),
        ((READ, CUT), (READ, CUT), None, (5.086, 3.337)),
        ((READ, CUT, UNDONE), (READ,), READ, (5.136, 3.317)),
        ((CUT, READ, SWEPT), (CUT, READ, SWEPT), SWEPT, (5.086, 3.337)),
        ((SWEPT, READ, TRAPS), (SWEPT, READ, TRAPS), READ, (5.136, 3.317)),
        ((READ, CUT, CUT, UNDONE, UNDONE), (READ,), READ, (5.136, 3.317)),
        ((READ, UNDONE, CUT), (CUT,), None, (5.086, 3.337)),
    ],
)
def test_what_a_log_comes_to(lawn, log, stands, measured, cut_m):
    """Each undone line takes back the last that stood; a change makes stale what was measured before it."""
    antenna = replace(lawn, log=log)
    assert antenna.standing == stands and antenna.measured is measured
    assert antenna.cut_m == pytest.approx(cut_m) and antenna.log == log


def test_only_what_was_cut_after_a_measurement_is_a_step(lawn):
    """What was cut before the first one belongs to the wires that were measured then."""
    trimming = replace(lawn, log=(CUT, CUT, READ, CUT)).trimming
    assert len(trimming.steps) == 1 and (trimming.steps[0].inner_m, trimming.steps[0].outer_m) == (
        -0.05,
        0.02,
    )
    assert tuple(trimming.lengths_m) == pytest.approx((4.986, 3.377))
    assert tuple(trimming.dipole.sections) == pytest.approx((5.036, 3.357))


def test_the_traps_measured_last_count(lawn):
    """Of two times the later one; a plain Trap is taken as measured without an error."""
    other = replace(TRAPS, traps=(TWO, ONE))
    assert replace(lawn, log=(TRAPS, other)).measured_traps == (TWO, ONE)
    assert replace(lawn, log=(TRAPS, other, UNDONE)).measured_traps == (ONE,)
    assert replace(lawn, log=(TRAPS, CUT)).measured_traps == (ONE,), "a cut leaves the traps as they are"
    taken = lawn.with_traps(TRAP, TWO, date=DATE)
    assert taken.measured_traps == (MeasuredTrap(TRAP, 0.0, 0.0), TWO) and taken.log[0].advice is None
    assert taken.trimming.traps.capacitance_error == 0.04, "the worse of both"
    for wrong in ((), (ONE, ONE, ONE), (3,), (ONE, "RG-58")):
        with pytest.raises(Slip, match="traps are one or two"):
            lawn.with_traps(*wrong)


@pytest.mark.parametrize(("which", "length"), [("inner_m", 5.136), ("outer_m", 3.317)])
def test_five_centimetres_of_a_wire_are_left(lawn, which, length):
    """So much can be cut off at once, a millimetre more is a slip; the other wire stays."""
    with pytest.raises(Slip, match="nothing of the wire"):
        lawn.changed(**{which: 0.049 - length})
    thin = replace(lawn, wire=al.Wire(diameter_mm=0.5))  # the engine warns of a stub of thick wire
    cut = thin.changed(**{which: 0.051 - length}, date=DATE)
    assert sorted(cut.cut_m)[0] == pytest.approx(0.051) and set(cut.cut_m) & set(lawn.cut_m)
    for wrong in (float("nan"), "5 cm", (0.1, 0.2)):
        with pytest.raises(Slip, match=which):
            lawn.changed(**{which: wrong})


def test_each_line_has_its_date(lawn, monkeypatch):
    """The one that was told, else now; what is none is refused before it is in the file."""
    made = {
        "changed": lambda **date: lawn.changed(outer_m=-0.01, **date),
        "with_traps": lambda **date: lawn.with_traps(ONE, **date),
        "undone": lambda **date: replace(lawn, log=(CUT,)).undone(**date),
        "read_off": lambda **date: lawn.read_off(low_mhz=7.0, high_mhz=14.1, **date),
        "swept": lambda **date: lawn.swept(*SWEPT.sweeps, files=["one.s1p"], **date),
    }
    for line in (ReadOff, Swept):
        monkeypatch.setattr(line, "asked", lambda self, trimming: NOTHING)  # or it is fitted
    for name, make in made.items():
        assert make(date=DATE).log[-1].date == DATE, name
        today = datetime.fromisoformat(make().log[-1].date)
        assert abs(datetime.now() - today) < timedelta(minutes=2), name
        with pytest.raises(Slip, match="date is like"):
            make(date="yesterday")
    swept = made["swept"](date=DATE).log[0]
    assert (swept.files, swept.sweeps, swept.advice) == (("one.s1p",), SWEPT.sweeps, NOTHING)


def test_it_is_kept_under_its_name(lawn, tmp_path, monkeypatch):
    """NAME.json in the current folder, and not over one that is there."""
    monkeypatch.chdir(tmp_path)
    assert lawn.save().name == "lawn.json" and (tmp_path / "lawn.json").exists()
    with pytest.raises(Slip, match="exists"):
        lawn.save()
    assert lawn.save(force=True).name == "lawn.json"


@pytest.mark.parametrize("name", ["planned_m", "hung_m"])
def test_a_digit_too_many_in_a_length_is_said(name):
    """Not later, by a sweep that seems to have no point."""
    sound = al.Antenna(name="lawn", yard=al.Yard(hung="level", heights_m=(9, 9)))
    with pytest.raises(
        ValueError, match=rf"{name} is 54\.\d+ m of wire to each side, and for 7\.\d+ MHz none"
    ):
        replace(sound, **{name: (50.745, sound.planned_m[1])})
