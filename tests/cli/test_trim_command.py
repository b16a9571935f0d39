"""antlab trim: what was done and measured goes into the file, one page of words comes out."""

import json
import re
import shutil
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import antlab as al
from antlab.cli import main as cli
from tests.copies import from_copy

KEPT = Path(__file__).parents[1] / "antenna" / "antennas" / "version-1.json"


@pytest.fixture(scope="module")
def fresh(tmp_path_factory):
    """An antenna without a log in its file, and a sweep of it hung 2 % too long."""
    folder = tmp_path_factory.mktemp("lawn")
    antenna = replace(from_copy(KEPT), log=())
    dipole = antenna.trimming.dipole
    f = np.r_[np.linspace(6.6, 7.7, 56), np.linspace(13.2, 15.2, 56)]
    al.write_sweep(
        folder / "one.s1p", f, replace(dipole, sections=1.02 * np.array(dipole.sections)).impedance(f)
    )
    return antenna.save(folder / "mine.json")


@pytest.fixture
def run(fresh, tmp_path, monkeypatch, capsys):
    """Run `antlab trim` in a folder with that antenna; returns its status, what it says and complains."""
    shutil.copytree(fresh.parent, tmp_path, dirs_exist_ok=True)
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(cli, "settle", lambda extra, argv: None)

    def words(*given):
        status = cli.main(["trim", *given])
        said = capsys.readouterr()
        return status, " ".join(said.out.split()), said.err

    return words


def kinds():
    return [line["what"] for line in json.loads(Path("mine.json").read_text())["log"]]


def test_from_a_sweep_to_the_change_and_back(run):
    """Measured, told, confirmed, undone: each a line of the log; the same sweep is never written twice."""
    status, said, _ = run("mine.json", "one.s1p")
    assert status == 0 and "Swept, one.s1p" in said and "Power" not in kinds()
    assert re.search(r"Shorten each inner wire by [\d.]+ cm", said) and "Disconnect the transmitter" in said
    made = re.search(r"--made inner=(-[\d.]+)cm", said)
    assert made and "Alone? Tell somebody" in said
    assert "in the log already" in run("mine.json", "one.s1p")[1] and kinds() == ["swept"]
    al.write_sweep("two.s1p", [7, 7.1], [50, 50])
    assert "what became of the last advice" in run("mine.json", "two.s1p")[2]
    status, said, _ = run("mine.json", "--made", f"inner={made[1]}cm", "outer=0")
    assert status == 0 and f"each inner wire {made[1]} cm" in said and kinds() == ["swept", "changed"]
    assert "something was changed since" in run("mine.json", "one.s1p")[2]
    assert run("mine.json", "--undo")[0] == 0 and kinds() == ["swept", "changed", "undone"]
    assert "Shorten each inner wire" in run("mine.json")[1]
    _, said, _ = run("mine.json", "--made", "inner=+9cm")
    assert "the other way. If that is a slip, undo it" in said
    antenna = al.read_antenna("mine.json")
    assert antenna.cut_m[0] == pytest.approx(antenna.hung_m[0] + 0.09)


def test_a_meter_and_traps(run):
    """Frequencies read off, and traps measured alone: with a capacitor, and without."""
    _, said, _ = run(
        "mine.json", "--trap", "alone=14.2MHz", "lower=10.3", "added=20pF", "--trap", "alone=13.9"
    )
    assert "traps measured: 14.20 MHz, 13.90 MHz" in said and kinds() == ["traps measured"]
    low, high = al.read_antenna("mine.json").planned_mhz
    _, said, _ = run("mine.json", "--low-mhz", f"{low:.4f}MHz", "--high-mhz", f"{high:.4f}")
    assert "Leave it alone" in said and "not alike" in said and kinds() == ["traps measured", "read off"]


SLIPS = [
    (("no.json",), "cannot read no.json"), (("mine.json", "no.s1p"), "cannot read no.s1p"),
    (("mine.json", "--made", "inner=5"), "5 has no unit: write 5cm"), (("x.s1p",), "x.s1p is no"),
    (("mine.json", "--made", "middle=5cm"), "--made wants inner=…, outer=…"),
    (("mine.json", "--made", "inner=-9m"), "nothing of the wire"), (("mine.json", "--undo"), "no line"),
    (("mine.json", "--trap", "alone=low"), "--trap alone wants a number of MHz"),
    (("mine.json", "--trap", "lower=12"), "resonance of the trap alone"),
    (("mine.json", "--low-mhz", "x"), "--low-mhz wants"),
    (("mine.json", "--trap", "alone=14", "lower=12"), "give both, or neither"),
    (("mine.json", "one.s1p", "--low-mhz", "7"), "not both at once"),
]  # fmt: skip


@pytest.mark.parametrize(("words", "sentence"), SLIPS, ids=[" ".join(words) for words, _ in SLIPS])
def test_slips(run, words, sentence):
    """One line, exit status 2, and nothing is written."""
    before = Path("mine.json").read_bytes()
    status, said, complaint = run(*words)
    assert status == 2 and not said and complaint.count("\n") == 1 and sentence in complaint
    assert Path("mine.json").read_bytes() == before
