"""antenna_file.py: an antenna comes back as it was kept, of every version; nothing measured is lost."""

import json
from dataclasses import fields, replace
from pathlib import Path

import numpy as np
import pytest

import antlab as al
from antlab.antenna import antenna_file, antenna_json
from antlab.antenna.antenna_log import Changed, ReadOff, Swept, TrapsMeasured, Undone
from antlab.antenna.log_json import line_values
from antlab.units import Slip
from tests.copies import from_copy

KEPT = Path(__file__).parent / "antennas"  # a file of every version, as antlab of its day wrote it
YARD = al.Yard(hung="vee", heights_m=(9, 3.5), span_m=30, garden_m=(15, 40), runs_deg=10)


@pytest.fixture(scope="module")
def antenna():
    """One that has seen everything, solved once."""
    made = al.Antenna(
        name="lawn", yard=YARD, high_mhz=14.2, soil="average",
        wire=al.Wire(diameter_mm=1.8, jacket_mm=0.8, jacket_permittivity=3.5), feed_line=("rg58", 20),
        trap=al.design_coax_trap(f_mhz=14.1, form_diameter_mm=50), power_w=400,
    )  # fmt: skip
    f = np.r_[np.linspace(6.7, 7.6, 40), np.linspace(13.4, 15.0, 40)]
    dipole = made.trimming.dipole
    swept = al.Sweep(f, replace(dipole, sections=np.array(dipole.sections) * 1.02).impedance(f))
    made = made.swept(swept, files=["one.s1p"], date="2026-05-01 10:00")
    made = made.changed(inner_m=0.5, date="2026-05-01 10:10").undone(date="2026-05-01 10:11")
    alone = al.bench.trap_from_two(f_mhz=14.1, lower_mhz=10.2, added_pf=20)
    made = made.with_traps(alone, date="2026-05-01 10:20")
    made = made.changed(inner_m=-0.06, outer_m=-0.02, date="2026-05-01 10:30")
    advice, bare = made.log[3].advice, al.Sweep(f[:3], [50, 60, 70], phase=False)
    last = Swept(date="2026-05-01 10:50", sweeps=(bare,), advice=advice)
    read = ReadOff(date="2026-05-01 11:00", low_mhz=7.1, high_mhz=14.1, advice=advice)
    return replace(made, log=(*made.log, last, read))


def same(one, other):
    """Whether two antennas are alike, arrays and all."""
    kept = [field.name for field in fields(one) if field.name not in ("log", "name")]
    assert [getattr(one, name) for name in kept] == [getattr(other, name) for name in kept]
    assert [line_values(line) for line in one.log] == [line_values(line) for line in other.log]
    assert one.cut_m == other.cut_m and [type(line) for line in one.log] == [type(line) for line in other.log]


def test_there_and_back(antenna, tmp_path):
    """Yard, wire, traps, lengths and every line of the log; what was learned of the wires with it."""
    path = antenna.save(tmp_path / "lawn.json")
    back = al.read_antenna(path)
    same(back, antenna)
    now, before = back.trimming, antenna.trimming
    assert now.traps == before.traps and now.lengths_m == pytest.approx(before.lengths_m, abs=1e-12)
    assert now._usual.mean == pytest.approx(before._usual.mean)
    assert np.allclose(now._usual.covariance, before._usual.covariance)
    assert path.read_bytes() == back.save(tmp_path / "again.json").read_bytes()


def test_the_log_counts(antenna):
    """What was undone counts no more, a change before any measurement belongs to the start."""
    assert [type(line) for line in antenna.standing] == [Swept, TrapsMeasured, Changed, Swept, ReadOff]
    assert antenna.cut_m == pytest.approx((antenna.hung_m[0] - 0.06, antenna.hung_m[1] - 0.02))
    assert antenna.measured_traps[0].trap.resonance_mhz == pytest.approx(14.1)
    fresh = replace(antenna, log=(Changed(date="2026-05-01 10:00", inner_m=0.3, outer_m=0.1),))
    assert fresh.trimming.steps == () and fresh.trimming.lengths_m == pytest.approx(fresh.cut_m)
    with pytest.raises(Slip, match="no line in the log to undo"):
        replace(antenna, log=()).undone()
    with pytest.raises(Slip, match="nothing of the wire"):
        antenna.changed(inner_m=-20)


def test_a_person_can_read_it(antenna, tmp_path):
    """Named fields with units, a field a line, a point a line."""
    text = antenna.save(tmp_path / "lawn.json").read_text()
    for words in (
        '"span_m": 30.0',
        '"jacket_mm": 0.8',
        '"cable": "RG-58"',
        '"what": "changed"',
        '"length_m": 20.0',
    ):
        assert f"{words}\n" in text.replace(",\n", "\n"), words
    assert max(map(len, text.splitlines())) < 250


@pytest.mark.parametrize("path", sorted(KEPT.glob("*.json")), ids=lambda path: path.stem)
def test_every_version_is_read(path, tmp_path):
    """A file of an earlier day says today what it said then; written again it is of this version."""
    old = from_copy(path)
    assert (
        old.yard.hung == "vee" and len(old.log) == 7 and old.cut_m[0] == pytest.approx(old.hung_m[0] - 0.06)
    )
    again = al.read_antenna(old.save(tmp_path / "again.json"))
    same(again, old)
    assert json.loads((tmp_path / "again.json").read_text())["version"] == antenna_json.VERSION


def test_this_version_is_kept():
    """Whoever raises the version leaves a file of the one before: then the test above reads both."""
    kept = {json.loads(path.read_text())["version"] for path in KEPT.glob("*.json")}
    assert kept == set(range(1, antenna_json.VERSION + 1))


def test_nothing_measured_is_written_over(antenna, tmp_path):
    """Not without asking, and never a longer log by a shorter or another one."""
    path = antenna.save(tmp_path / "lawn.json")
    with pytest.raises(Slip, match="exists; choose another name"):
        antenna.save(path)
    with pytest.raises(Slip, match="exists; choose another name"):
        antenna_file.keep_antenna(antenna, path)
    assert antenna.save(tmp_path / "new.json", force=True).exists(), "nothing is there to be lost"
    with pytest.raises(Slip, match="has 7 lines in its log, and not all are in this one"):
        replace(antenna, log=antenna.log[:3]).save(path, force=True)
    longer = antenna.changed(outer_m=-0.01)
    assert longer.save(path, force=True) == path and len(al.read_antenna(path).log) == 8
    (tmp_path / "spoilt.json").write_text('{\n "antlab": "antenna",\n "version": 1,')
    with pytest.raises(Slip, match="spoilt.json is damaged"):
        antenna.save(tmp_path / "spoilt.json", force=True)
    (aside,) = tmp_path.glob("spoilt.*.spoilt")
    for _ in range(2):  # whoever comes back later is told where it is
        with pytest.raises(Slip, match=f"no spoilt.json: it was damaged, and is put aside as {aside.name}"):
            al.read_antenna(tmp_path / "spoilt.json")
    with pytest.raises(Slip, match="cannot read other.json"):
        al.read_antenna(tmp_path / "other.json")
    with pytest.raises(Slip, match="no such folder"):
        antenna.save(tmp_path / "no" / "lawn.json")


def test_north_is_kept(antenna, tmp_path):
    """0 degrees is a direction, no missing one."""
    for runs in (0.0, None):
        north = replace(antenna, yard=replace(antenna.yard, runs_deg=runs, garden_m=None), log=())
        assert al.read_antenna(north.save(tmp_path / f"{runs}.json")).yard.runs_deg == runs


def test_which_antennas_are_here(antenna, tmp_path, monkeypatch):
    """By their content's beginning: other JSON is none, and never put aside; a long file isn't read whole."""
    read, asked = antenna_file.files.read, []
    monkeypatch.setattr(
        antenna_file.files, "read", lambda *a, **how: asked.append(len(it := read(*a, **how))) or it
    )
    for name in "ab":
        antenna.save(tmp_path / f"{name}.json")
    (tmp_path / "other.json").write_text('{"antlab": "homework"}')
    assert [path.name for path in antenna_file.antenna_files(tmp_path)] == ["a.json", "b.json"]
    assert max(asked) <= 200
    (tmp_path / "aa.json").mkdir()  # what cannot be read hides none of the others
    for n in (200, 201):  # where the mark ends
        (tmp_path / f"at_{n}.json").write_text("{" + '"antlab": "antenna"'.rjust(n - 1) + "}")
    names = [path.name for path in antenna_file.antenna_files(tmp_path)]
    assert names == ["a.json", "at_200.json", "b.json"]
    with pytest.raises(Slip, match="other.json is no antenna"):
        al.read_antenna(tmp_path / "other.json")
    assert (tmp_path / "other.json").exists() and al.read_antenna(tmp_path / "a.json").name == "a"


NOT_ONE = [
    ({"name": "a/b"}, "name is a short one"), ({"name": ""}, "name is a short one"), ({"yard": 3}, "a Yard"),
    ({"wire": "copper"}, "wire is a Wire"), ({"trap": "RG-58"}, "trap is a CoaxTrap"), ({"low": "1m"}, "1m"),
    ({"soil": "cheese"}, "cheese"), ({"power_w": 0}, "power_w"), ({"sends": "songs"}, "no mode"),
    ({"feed_line": "RG-58"}, "feed_line is a pair"), ({"feed_line": ("RG-58", 0)}, "length of the feed"),
    ({"feed_line": ("string", 2)}, "string"), ({"planned_m": (1, 2, 3)}, "planned_m is a pair"),
    ({"feed_line": ("RG-58", 2000)}, "was it to be 20 m"), ({"z0_ohm": 1e-9}, "10 to 1000 ohms"),
    ({"planned_mhz": (3.7, 14.2)}, "the lower aim is 3.7 MHz, and 40 metres is 7 to 7.3"),
    ({"planned_mhz": (14.2, 7.1)}, "lower aim"), ({"hung_m": (-1, 2)}, "hung_m"), ({"log": (3,)}, "has l"),
]  # fmt: skip


@pytest.mark.parametrize(("changed", "sentence"), NOT_ONE, ids=[next(iter(one)) for one, _ in NOT_ONE])
def test_what_is_none(antenna, changed, sentence):
    """Each in a sentence that names it."""
    with pytest.raises(Slip, match=sentence):
        replace(antenna, **{"log": ()} | changed)


def test_a_few_points_are_read_off(antenna):
    """Of five frequencies typed for each band the lowest are taken, and no curve is fitted to them."""
    low, high = antenna.planned_mhz
    text = "\n".join(f"{aim * (0.98 + d):.3f} {1.2 + 2000 * d * d:.2f}" for aim in (low, high) for d in
                     (-0.02, -0.01, 0, 0.01, 0.02))  # fmt: skip
    advice = replace(antenna, log=()).swept(al.typed_sweep(text)).advice
    assert advice.low_mhz == pytest.approx(0.98 * low, rel=1e-3)
    assert advice.high_mhz == pytest.approx(0.98 * high, rel=1e-3)
    assert isinstance(antenna.read_off(low_mhz=7.0, high_mhz=None).measured, ReadOff)
    assert isinstance(antenna.undone().log[-1], Undone)


def test_the_sheet_and_the_trimming_want_one_frequency():
    """A wire as planned, measured without an error, is told that it is where the sheet has it."""
    antenna = al.Antenna(name="lawn", yard=al.Yard(hung="level", heights_m=(7.5, 7.5)))
    said = [band.lowest_mhz for band in (antenna.plan.low, antenna.plan.high)]
    assert antenna.planned_mhz == pytest.approx(said, abs=1e-4)
    assert abs(antenna.planned_mhz[1] - antenna.design.high.f_mhz) > 0.01, "another one than the resonance"
    for aim, there in zip(antenna.design.aims, said, strict=True):
        f = np.linspace(0.998 * there, 1.002 * there, 41)
        assert f[np.argmin(antenna.design.dipole.swr(f))] == pytest.approx(there, abs=0.002), aim
    f = np.concatenate([np.linspace(0.93 * one, 1.07 * one, 141) for one in said])
    measured = antenna.swept(al.Sweep(f, antenna.design.dipole.impedance(f)))
    assert measured.advice.done and abs(measured.advice.inner_m) < 0.001


def test_a_number_of_absurd_length_is_none(tmp_path):
    """Fifteen digits are a number, as of a later version; sixteen are damage, and said so."""
    path = tmp_path / "lawn.json"
    for digits, said in ((15, "later antlab"), (16, "is damaged: 1234567890123456 stands where a number b")):
        path.write_text(f'{{"antlab": "antenna", "version": {"1234567890123456"[:digits]}}}')
        with pytest.raises(Slip, match=said):
            al.read_antenna(path)
    assert not path.exists() and len(list(tmp_path.glob("lawn.*.spoilt"))) == 1


@pytest.mark.parametrize("begin", ['{"antlab":"antenna",', '{%s"antlab": "antenna", ' % (" " * 250)])
def test_an_antenna_that_another_program_wrote(tmp_path, begin):
    """One without our spaces, or with many before its mark, is an antenna: damaged, it is put aside."""
    path = tmp_path / "lawn.json"
    path.write_text(begin + '"version": 0}')
    with pytest.raises(Slip, match="lawn.json is damaged: version is a whole number"):
        al.read_antenna(path)
    assert not path.exists() and len(list(tmp_path.glob("lawn.*.spoilt"))) == 1


def test_a_damaged_one_that_stays_where_it_is(tmp_path, monkeypatch):
    """Where nothing may be renamed the damage is told all the same, and the file is as it was."""

    def refused(path, other):
        raise OSError(13, "Permission denied")

    monkeypatch.setattr(antenna_file.os, "replace", refused)
    path = tmp_path / "lawn.json"
    path.write_text('{"antlab": "antenna", "version": 0}')
    with pytest.raises(Slip, match=r"is damaged: .* It could not be put aside \(Permission denied\)\."):
        al.read_antenna(path)
    assert [one.name for one in tmp_path.iterdir()] == ["lawn.json"]
