"""`antlab refresh`: what it stores in a notebook, and that a second run changes nothing."""

import re
import tomllib
from importlib.metadata import PackageNotFoundError
from types import SimpleNamespace

import nbformat
import pytest
from nbformat.v4 import new_code_cell, new_markdown_cell, new_notebook, new_output
from packaging.requirements import Requirement

from antlab.classroom import refresh
from antlab.classroom.figures import FIGURES, with_alt
from antlab.cli import main as cli
from antlab.cli import refresh as refresh_command
from antlab.files import ROOT, VERSIONS
from antlab.trouble import Trouble


@pytest.mark.parametrize("path", refresh.notebooks(ROOT), ids=lambda path: path.stem)
def test_notebooks_are_tidy(path):
    """Stored as refresh stores them: kernel python3, words of pictures, nothing volatile."""
    text = path.read_text(encoding="utf-8")
    assert refresh.tidy(nbformat.reads(text, as_version=4)) == text, f"run: antlab refresh {path.stem}"
    most = 120_000 if path.stem == "guide" else 100_000
    assert len(text) < most, "words, no pictures"


@pytest.mark.parametrize("path", sorted(ROOT.glob("*.md")), ids=lambda path: path.stem)
def test_pages_have_the_words_of_their_pictures(path):
    """README's first picture was redrawn for two heights, and its words still told of three."""
    text = path.read_text(encoding="utf-8")
    assert with_alt(text) == text, f"run: antlab refresh {path.name}"


@pytest.fixture
def checkout(tmp_path, monkeypatch):
    """A checkout with one small notebook and no figures."""
    monkeypatch.setattr(refresh, "stored", lambda: [])
    monkeypatch.setattr(refresh, "MEASUREMENTS", ())
    cells = [
        new_markdown_cell("# Lesson\n![](../figures/lobes-split.svg)", id="words"),
        new_code_cell("import antlab as al\nprint('one')\nprint('two')\nal.hop_km(90)", id="calls"),
        new_code_cell("al.FlatTop(height_m=-1)", id="fails", metadata={"tags": ["raises-exception"]}),
        new_code_cell("print(id(al))", id="varies", metadata={"tags": [refresh.IGNORED], "trusted": True}),
    ]
    (tmp_path / "notebooks").mkdir()
    nbformat.write(new_notebook(cells=cells, metadata={"widgets": {}}), tmp_path / "notebooks" / "00-a.ipynb")
    return tmp_path


def test_refresh(checkout):
    """Outputs come from a fresh kernel, without what varies; the second run finds nothing to do."""
    (path,) = refresh.refresh(checkout)
    notebook = nbformat.read(path, as_version=4)
    nbformat.validate(notebook)
    words, calls, fails, varies = notebook.cells
    assert words.source == f"# Lesson\n![{FIGURES['lobes-split'].alt}](../figures/lobes-split.svg)"
    assert [calls.outputs[0].text, calls.outputs[1].data] == ["one\ntwo\n", {"text/plain": "np.float64(0.0)"}]
    assert fails.outputs[0].traceback == [fails.outputs[0].evalue], "as JupyterLab shows a slip when it runs"
    assert "height_m" in fails.outputs[0].evalue
    assert varies.outputs == [] and varies.metadata == {"tags": [refresh.IGNORED]}
    assert [cell.execution_count for cell in (calls, fails, varies)] == [1, 2, 3]
    assert notebook.metadata == refresh.ABOUT
    assert list(refresh.refresh(checkout)) == []


def test_refresh_what_is_named(checkout, monkeypatch):
    """Parts of paths pick, written as Windows does too; nothing else is run, wherever the checkout lies."""
    path, other = checkout / "notebooks" / "00-a.ipynb", checkout / "README.md"
    monkeypatch.setattr(
        refresh, "makers", lambda root: {path: lambda old: "made", other: lambda old: "made too"}
    )
    assert list(refresh.refresh(checkout, ["notebooks\\00"])) == [path]
    assert list(refresh.refresh(checkout, ["./README", "00"])) == [other]
    with pytest.raises(Trouble):
        list(refresh.refresh(checkout, [checkout.name]))


def test_what_is_read_is_made_first(tmp_path, monkeypatch):
    """Pictures show measurements, and notebooks show both: one refresh is enough."""
    (tmp_path / "notebooks" / "data").mkdir(parents=True)
    (tmp_path / "figures").mkdir()
    order = ["notebooks/data/shack.s1p", "figures/trim-log.svg", "notebooks/04.ipynb"]
    makers = {tmp_path / name: lambda old, name=name: name for name in reversed(order)}
    monkeypatch.setattr(refresh, "makers", lambda root: makers)
    assert list(refresh.refresh(tmp_path)) == [tmp_path / name for name in order]


def test_versions_are_refreshed_by_name_alone(checkout, monkeypatch):
    """A contributor with a newer NumPy refreshes a lesson, not what every first run installs."""
    path = checkout / VERSIONS
    monkeypatch.setattr(refresh, "makers", lambda root: {path: lambda old: "numpy==9.9"})
    assert list(refresh.refresh(checkout)) == []
    assert list(refresh.refresh(checkout, ["constraints"])) == [path]


@pytest.mark.parametrize("names", [["01-b"], ["00", "01-b"], ["01-b", "00"], ["00-a.ipynb.bak"], [""]])
def test_a_name_that_picks_nothing(checkout, monkeypatch, capsys, names):
    """A slip of the keys must not look like work that was done: it is named, it fails, nothing is made."""
    monkeypatch.setattr(cli, "settle", lambda extra, argv: None)
    monkeypatch.setattr(refresh_command, "ROOT", checkout)
    monkeypatch.setattr(refresh, "executed", lambda path: pytest.fail("made"))
    assert cli.main(["refresh", *names]) == 2
    said = capsys.readouterr()
    assert said.out == "" and said.err.startswith("antlab: ") and said.err.count("\n") == 1
    assert repr([name for name in names if name != "00"][0]) in said.err and "such as 07" in said.err


def test_constraints_hold_for_what_is_asked_for():
    """The first run would fall back to untried versions if a line were missing or below what is needed."""
    lines = (ROOT / VERSIONS).read_text(encoding="utf-8").splitlines()
    assert lines == sorted(set(lines), key=lambda line: line.split("==")[0])
    assert all(re.fullmatch(r"[a-z0-9-]+==[a-z0-9.]+", line) for line in lines), "names and versions alone"
    tried = dict(line.split("==") for line in lines)
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    for wanted in map(Requirement, project["dependencies"] + project["optional-dependencies"]["test"]):
        assert wanted.specifier.contains(tried[wanted.name]), f"{wanted}: run antlab refresh constraints"
    assert {"ipykernel", "pyzmq", "tornado"} <= set(tried), "what is needed indirectly too"


def test_versions(tmp_path, monkeypatch):
    """Of what is installed only what antlab needs, indirectly and by extras too, for this kind of machine."""
    (tmp_path / "pyproject.toml").write_text(
        '[project]\ndependencies = ["A_b[fast]>=1"]\n[project.optional-dependencies]\ntest = ["tool"]\n'
    )
    here = {
        "A_b": ("1.5+cpu", ["c", "d; extra == 'fast'", "x; extra == 'slow'", "x; sys_platform == 'none'"]),
        "c": ("2.0", ["A_b"]),
        "d": ("0.1", None),
        "tool": ("3", []),
    }

    def distribution(name):
        if name not in here:
            raise PackageNotFoundError(name)
        return SimpleNamespace(version=here[name][0], requires=here[name][1])

    monkeypatch.setattr(refresh.importlib.metadata, "distribution", distribution)
    assert refresh.versions(tmp_path) == "a-b==1.5\nc==2.0\nd==0.1\ntool==3\n"
    del here["d"]
    with pytest.raises(Trouble, match="d is not installed here: run .* test first"):
        refresh.versions(tmp_path)


def test_no_heavy_output():
    """A picture or page stored in a notebook is refused, with the mend."""
    picture = new_output("display_data", {"image/png": "iVBO", "text/plain": "<Figure>"})
    cell = new_code_cell("draw()", outputs=[picture], id="heavy")
    with pytest.raises(ValueError, match="cell heavy shows image/png: .* tag the cell nbval-ignore-output"):
        refresh.tidy(new_notebook(cells=[cell]))


def test_command(monkeypatch, tmp_path, capsys):
    """The command refreshes the checkout and says what changed; a wheel has nothing to refresh."""
    monkeypatch.setattr(cli, "settle", lambda extra, argv: None)
    monkeypatch.setattr(refresh, "refresh", lambda root, names: [root / "notebooks" / f"{names[0]}.ipynb"])
    assert cli.main(["refresh", "07"]) == 0
    assert capsys.readouterr().out.replace("\\", "/") == "Refreshed notebooks/07.ipynb\n"
    monkeypatch.setattr(refresh_command, "ROOT", tmp_path)
    assert cli.main(["refresh"]) == 2
    assert "run this in a checkout" in capsys.readouterr().err
