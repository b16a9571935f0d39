"""antlab sheet: an antenna out of its file goes to paper as it is now, and what to buy to the screen."""

import pytest

import antlab as al
from antlab.classroom.paper import sheet
from antlab.cli import main as cli


@pytest.fixture(scope="module")
def lawn(tmp_path_factory):
    """The file of an antenna that was shortened once."""
    antenna = al.Antenna(
        name="lawn", yard=al.Yard(hung="vee", heights_m=(8, 4), runs_deg=30), feed_line=("RG-213", 18)
    )
    path = tmp_path_factory.mktemp("work") / "lawn.json"
    antenna.changed(outer_m=-0.05, date="2026-11-27").save(path)
    return path


@pytest.fixture
def run(monkeypatch, capsys):
    """Run `antlab sheet` with some words; returns its exit status, what it printed, complained and drew."""
    jobs = []
    monkeypatch.setattr(cli, "settle", lambda extra, argv: None)
    monkeypatch.setattr(sheet, "write_pages", lambda job, path, *, force: jobs.append((job, path, force)))

    def run(*words):
        status = cli.main(["sheet", *map(str, words)])
        said = capsys.readouterr()
        return status, said.out, said.err, jobs

    return run


def test_an_antenna_as_it_is_now(run, lawn, tmp_path):
    """Yard, line, name and the lengths of today; paper, units and the class as asked."""
    path = tmp_path / "a.pdf"
    words = ("--save", path, "--paper", "letter", "--first", "feet", "--class-of", 12, "--force")
    status, out, err, [(job, where, force)] = run(lawn, *words)
    assert (status, err) == (0, f"Saved the sheet: {path}\n") and (where, force) == (path, True)
    antenna = al.read_antenna(lawn)
    assert (job.name, job.yard, job.now_m) == ("lawn", antenna.yard, antenna.cut_m)
    assert (job.line.cable.name, job.line.length_m, job.line.told) == ("RG-213", 18, True)
    assert (job.paper, job.first, job.antennas) == ("letter", "feet", 12)
    assert job.now_m[1] == pytest.approx(job.plan.outer_m - 0.05, abs=1e-3)
    assert "buy for 12" in out and "antenna wire: 2 mm copper" in out


@pytest.mark.parametrize(
    ("words", "complaint"),
    [
        (["--paper", "A5"], "paper is A4 or Letter; got 'A5'"),
        (["--first", "yards"], "metres or feet"),
        (["--class-of", "0"], "1 to 1000 antennas"),
        (["--class-of", "many"], "1 to 1000 antennas; got 'many'"),
        (["--save", "lawn.doc"], "ends in none of"),
        (["--save", "nowhere/lawn.pdf"], "no folder"),
    ],
)
def test_slips_are_one_line(run, lawn, words, complaint):
    """What the user can mend is a sentence, told before the work."""
    status, out, err, jobs = run(lawn, *words)
    assert (status, out, jobs) == (2, "", []) and err.count("\n") == 1 and complaint in err


def test_no_such_antenna(run, tmp_path):
    """A name that is no file's."""
    status, out, err, _ = run(tmp_path / "none.json")
    assert (status, out) == (2, "") and err.startswith("antlab: ") and err.count("\n") == 1
