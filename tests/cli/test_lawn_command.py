"""antlab pages --antenna: one page out of an antenna's file, over no file that is not ours."""

import pytest

import antlab as al
from antlab.classroom.paper import lawn, pages
from antlab.cli import main as cli


@pytest.fixture
def run(monkeypatch, capsys):
    """Run `antlab pages` with some words; a page is quickly made here. Returns status, output, complaint."""
    monkeypatch.setattr(cli, "settle", lambda extra, argv: None)
    monkeypatch.setattr(
        lawn, "lawn_page", lambda antenna, first: f"{pages.OURS}<h1>{antenna.name}, {first}</h1>"
    )

    def run(*words):
        status = cli.main(["pages", *map(str, words)])
        said = capsys.readouterr()
        return status, said.out, said.err

    return run


def test_a_page_out_of_a_file(run, tmp_path):
    """Written, and again; somebody else's file of that name stays; no antenna is one sentence."""
    yard = al.Yard(hung="level", heights_m=(9, 9))
    trap = al.Trap(inductance_uh=2.5, capacitance_pf=50.25)
    antenna = al.Antenna(
        name="two trees", yard=yard, trap=trap, planned_m=(5.136, 3.317), planned_mhz=(7.151, 14.191)
    )
    file, folder = antenna.save(tmp_path / "two trees.json"), tmp_path / "pages"
    for _ in range(2):
        status, out, err = run("--antenna", file, "--folder", folder)
        assert (status, err) == (0, "") and str(folder / "antenna-two-trees.html") in out
    page = folder / "antenna-two-trees.html"
    assert page.read_text(encoding="utf-8").endswith("<h1>two trees, metres</h1>")
    assert run("--antenna", file, "--folder", folder, "--first", "Feet")[0] == 0
    assert page.read_text(encoding="utf-8").endswith("<h1>two trees, feet</h1>")
    status, out, err = run("--antenna", file, "--folder", folder, "--first", "yards")
    assert status == 2 and "metres or feet; got 'yards'" in err
    page.write_text("mine", encoding="utf-8")
    status, out, err = run("--antenna", file, "--folder", folder)
    assert status == 2 and "not one of antlab's pages" in err and page.read_text(encoding="utf-8") == "mine"
    status, out, err = run("--antenna", tmp_path / "none.json", "--folder", folder)
    assert status == 2 and "none.json" in err and err.count("\n") == 1
