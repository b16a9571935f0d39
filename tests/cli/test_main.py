"""The command line, and what a wheel carries."""

import dataclasses
import importlib
import os
import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path

import pytest

import antlab
from antlab.cli import main as cli
from antlab.cli import tests
from antlab.files import ROOT
from antlab.serve import jupyter
from antlab.trouble import Trouble


@pytest.fixture
def opened(monkeypatch):
    """Catch what `lessons` asks of the lab; settle does nothing."""
    calls = []

    def open_lessons(folder, **options):
        calls.append((folder, options))
        return 0

    monkeypatch.setattr(cli, "settle", lambda extra, argv: calls.append((extra, argv)))
    monkeypatch.setattr(jupyter, "open_lessons", open_lessons)
    return calls


def test_lessons_are_the_default(opened, tmp_path):
    """No command, or only its options: the lessons."""
    assert cli.main([]) == 0
    assert cli.main(["--no-browser", "--port", "9000", "--folder", str(tmp_path)]) == 0
    assert opened[0] == ("", ["lessons"])
    assert str(opened[1][0]).replace("\\", "/") == "~/antlab-lessons"
    assert opened[1][1] == {"port": None, "browser": True}
    assert opened[3] == (tmp_path, {"port": 9000, "browser": False})


@pytest.mark.parametrize(
    "argv", [["no-such"], ["lessons", "more"], ["--no-such"], ["--port=0"], ["--port=x"], ["--port=70000"]]
)
def test_wrong_command_line(opened, argv, capsys):
    """Exit status 2 and one line with the way to the mend, before anything is made."""
    with pytest.raises(SystemExit) as stop:
        cli.main(argv)
    assert stop.value.code == 2
    assert opened == []
    said = capsys.readouterr().err
    assert said.startswith("antlab: ") and "antlab" in said[8:] and "--help tells" in said
    assert said.count("\n") == 1


def test_no_command_waits_for_a_grammar(opened, monkeypatch):
    """JupyterLab is there sooner: jsonschema does without a parser whose grammars take seconds to build."""
    monkeypatch.delitem(sys.modules, "rfc3987_syntax", raising=False)
    cli.main([])
    with pytest.raises(ImportError):
        importlib.import_module("rfc3987_syntax")


def test_check_makes_nothing_first(opened, monkeypatch):
    """The check runs where the environment is still to be made; it takes the lessons' folder and port."""
    asked = []
    check = dataclasses.replace(
        cli.COMMANDS["check"], run=lambda args, rest: asked.append((args.folder, args.port)) or 2
    )
    monkeypatch.setitem(cli.COMMANDS, "check", check)
    assert cli.main(["check", "--folder", "here", "--port", "8890"]) == 2
    assert opened == [] and asked == [(Path("here"), 8890)]


@pytest.mark.parametrize("name", [name for name in cli.COMMANDS if name != "check"])
def test_every_other_command_has_its_environment(name):
    """On a fresh machine it is made before anything that needs it."""
    assert cli.COMMANDS[name].settles


def test_trouble_is_a_sentence(monkeypatch, capsys):
    """What the user can mend ends in its sentence and exit status 2."""

    def fail(extra, argv):
        raise Trouble("the disk is full.")

    monkeypatch.setattr(cli, "settle", fail)
    assert cli.main([]) == 2
    assert capsys.readouterr().err == "antlab: the disk is full.\n"


@pytest.mark.parametrize(
    "words",
    [
        ["--no-browser", "--folder"], ["check", "--folder"], ["pages", "--folder"], ["handouts", "--folder"],
        ["class"], ["plan", "--save"],
    ],
)  # fmt: skip
def test_no_such_home(monkeypatch, capsys, words):
    """A ~ that stands for nobody, or for who has no home, is a sentence for every command."""
    monkeypatch.setattr(cli, "settle", lambda extra, argv: None)
    assert cli.main([*words, "~no-such-user/there.pdf"]) == 2
    said = capsys.readouterr().err
    assert said.startswith("antlab: ") and said.count("\n") == 1
    assert "no home folder for ~no-such-user" in said and "whole path" in said


@pytest.mark.skipif(os.name == "nt", reason="an account without a home is a matter of Unix")
@pytest.mark.parametrize("words", [["--no-browser"], ["handouts"]])
def test_nobody_s_account(monkeypatch, capsys, tmp_path, words):
    """Where the account has no home at all, Jupyter would end in many lines, whatever the folder."""
    monkeypatch.setattr(cli, "settle", lambda extra, argv: None)
    monkeypatch.setattr(os.path, "expanduser", str)
    assert cli.main([*words, "--folder", str(tmp_path)]) == 2
    said = capsys.readouterr().err
    assert "no home folder for ~: set the variable HOME" in said and said.count("\n") == 1
    assert not list(tmp_path.iterdir())


def test_ctrl_c_is_quiet(monkeypatch, capsys):
    """No traceback for who had enough."""

    def interrupt(extra, argv):
        raise KeyboardInterrupt

    monkeypatch.setattr(cli, "settle", interrupt)
    assert cli.main([]) == 130
    assert capsys.readouterr().err.strip() == ""


@pytest.fixture
def pytest_run(opened, monkeypatch):
    """Catch the command line given to pytest, which ends with status 5."""
    calls = []

    def run(command, cwd, env):
        assert "PYTHONDONTWRITEBYTECODE" not in env and env["PATH"] == os.environ["PATH"]
        calls.append((command, cwd))
        return subprocess.CompletedProcess(command, 5)

    monkeypatch.setattr(subprocess, "run", run)
    return calls


def test_test_runs_everything(opened, pytest_run):
    """With the extra, tests and notebooks; other arguments are passed on and the exit status comes back."""
    assert cli.main(["test", "-x", "-k", "height and not sky"]) == 5
    assert opened == [("test", ["test", "-x", "-k", "height and not sky"])]
    ((command, folder),) = pytest_run
    assert command[:4] == [sys.executable, "-m", "pytest", "--nbval"]
    assert command[-4:] == ["tests", "-x", "-k", "height and not sky"]
    assert folder == ROOT


def test_test_runs_what_is_named(pytest_run):
    """A path among the arguments stands in place of everything."""
    cli.main(["test", "tests/cli/test_main.py::test_ctrl_c_is_quiet"])
    ((command, _),) = pytest_run
    assert command[-1] == "tests/cli/test_main.py::test_ctrl_c_is_quiet"
    assert "tests" not in command and "notebooks" not in command


@pytest.mark.parametrize(
    ("words", "cores", "workers"),
    [
        ([], 8, 2),
        (["-k", "trap"], 8, 2),
        ([], 1, 0),
        (["tests/cli"], 8, 0),
        (["--pdb"], 8, 0),
        (["-s"], 8, 0),
    ],
    ids=str,
)
def test_tests_are_shared_out(pytest_run, monkeypatch, words, cores, workers):
    """All of them to two processes, a file to one; what is named or looked into runs in one."""
    monkeypatch.setattr(tests.os, "cpu_count", lambda: cores)
    cli.main(["test", *words])
    ((command, _),) = pytest_run
    assert f"--numprocesses={workers}" in command and "--dist=loadfile" in command


def test_tests_stay_in_the_checkout(opened, monkeypatch, tmp_path, capsys):
    """From a wheel, which carries no tests, the sentence says where they are."""
    monkeypatch.setattr(tests, "ROOT", tmp_path)
    assert cli.main(["test"]) == 2
    assert "run this in a checkout" in capsys.readouterr().err


def test_one_version():
    """pyproject.toml and the package say the same."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert project["version"] == antlab.__version__


@pytest.fixture(scope="module")
def wheel(tmp_path_factory):
    """The wheel, unpacked as pip would."""
    folder = tmp_path_factory.mktemp("wheel")
    build = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(folder)]
    subprocess.run(build, cwd=ROOT, check=True, capture_output=True)
    (path,) = folder.glob("*.whl")
    with zipfile.ZipFile(path) as archive:
        archive.extractall(folder / "site")
    return folder / "site"


def test_wheel_carries_the_course(wheel):
    """Every notebook and figure, beside the code with its settings and scripts; no tests."""
    for part in ("notebooks", "figures"):
        ours = {path.relative_to(ROOT) for path in (ROOT / part).rglob("*") if path.is_file()}
        ours = {path for path in ours if not any(name.startswith(".") for name in path.parts)}
        assert ours, f"{part}/ is empty"
        assert all((wheel / "antlab" / "course" / path).is_file() for path in ours)
    package = {path.relative_to(ROOT) for path in (ROOT / "antlab").rglob("*") if path.is_file()}
    package = {path for path in package if "__pycache__" not in path.parts}
    assert all((wheel / path).is_file() for path in package)
    assert not (wheel / "tests").exists()


def test_installed_wheel_lays_out_its_own_course(wheel, tmp_path):
    """Without a checkout the course comes from the wheel."""
    program = (
        "import sys; from antlab.serve import work; "
        "work.lay_out(work.course.course(), work.Path(sys.argv[1]))"
    )
    command = [sys.executable, "-S", "-c", program, str(tmp_path / "work")]
    subprocess.run(command, cwd=wheel, check=True, capture_output=True)
    assert list((tmp_path / "work" / "notebooks").glob("*.ipynb"))
    assert (tmp_path / "work" / "figures").is_dir()
