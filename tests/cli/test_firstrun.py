"""The first run: an environment by the standard library alone, and each usual failure in a sentence."""

import ast
import errno
import json
import os
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace

import pytest

from antlab import files
from antlab.cli import firstrun
from antlab.files import ROOT
from antlab.trouble import Trouble

# What pip printed, shortened, when it failed in that way.
OFFLINE = """\
WARNING: Retrying (Retry(total=0, connect=None)) after connection broken by 'NewConnectionError(
'Failed to establish a new connection: [Errno -3] Temporary failure in name resolution')': /simple/numpy/
ERROR: Could not find a version that satisfies the requirement numpy>=2.0 (from versions: none)
ERROR: No matching distribution found for numpy>=2.0
"""
FULL = "ERROR: Could not install packages due to an OSError: [Errno 28] No space left on device\n"
CONFLICT = "Collecting numpy\nERROR: ResolutionImpossible: see the guide to dependency resolution\n"


def run(*arguments, **options):
    """Run this Python in the checkout; return its exit status and what it printed and complained."""
    done = subprocess.run([sys.executable, *arguments], capture_output=True, cwd=ROOT, text=True, **options)
    return done.returncode, done.stdout, done.stderr


def test_standard_library_is_enough_to_start():
    """On a fresh machine --help needs no package (-S: site-packages are out of sight)."""
    code, said, complained = run("-S", "-m", "antlab", "--help")
    assert (code, complained) == (0, "")
    assert "lessons" in said and "test" in said


def test_old_python_is_told_so():
    """A Python before 3.11 gets the sentence and exit status 2."""
    program = "import runpy, sys; sys.version_info = (3, 9, 2, 'final', 0); runpy.run_module('antlab')"
    code, _, complained = run("-c", program)
    assert code == 2
    assert complained.startswith("antlab: Python 3.9 is too old: install Python 3.11 or newer")


@pytest.mark.parametrize("name", ["__init__.py", "__main__.py"])
def test_old_python_gets_as_far_as_being_told(name):
    """What an old Python reads before the version check is written in its grammar."""
    ast.parse((ROOT / "antlab" / name).read_text(encoding="utf-8"), feature_version=(3, 7))


@pytest.fixture
def project(tmp_path, monkeypatch):
    """A checkout that asks for what this environment has, is too old in, and lacks."""
    (tmp_path / "pyproject.toml").write_text(
        '[project]\nname = "antlab"\ndependencies = ["pytest>=1.0", "nbval"]\n'
        '[project.optional-dependencies]\ntest = ["mpmath >= 999.1", "no-such-package>=1"]\n'
    )
    monkeypatch.setattr(firstrun, "is_installed_from", lambda root: True)
    return tmp_path


def test_missing(project):
    """Only what is absent or too old is named, and the extra only when asked for."""
    assert firstrun.missing(project) == []
    assert firstrun.missing(project, "test") == ["mpmath 999.1", "no-such-package"]


def test_antlab_itself_must_be_installed_from_here(tmp_path, monkeypatch):
    """Kernels would import another checkout's antlab, or none."""

    class Installed:
        def read_text(self, name):
            return json.dumps({"url": (tmp_path / "my antlab").as_uri(), "dir_info": {"editable": True}})

    monkeypatch.setattr(firstrun.importlib.metadata, "distribution", lambda name: Installed())
    assert firstrun.is_installed_from((tmp_path / "my antlab").resolve())
    assert not firstrun.is_installed_from((tmp_path / "elsewhere").resolve())


def test_versions_compare_as_numbers():
    """4.10 is newer than 4.9, and a release candidate counts as its release."""
    assert firstrun.release("4.10") > firstrun.release("4.9.1")
    assert firstrun.release("9.0.0rc1") == (9, 0, 0)


def test_works(tmp_path):
    """Only a Python that runs and is of a virtual environment will do."""
    assert firstrun.works(sys.executable) == (sys.prefix != sys.base_prefix)
    assert not firstrun.works(tmp_path / "python")


@pytest.fixture
def steps(project, monkeypatch):
    """Record in order what settle does, without doing it."""
    steps = []
    monkeypatch.setattr(firstrun, "ROOT", project)
    monkeypatch.setattr(firstrun, "works", lambda python: False)
    monkeypatch.setattr(firstrun, "make", lambda venv, lock: steps.append("make"))
    monkeypatch.setattr(firstrun, "install", lambda python, root, extra, lock: steps.append("install"))
    monkeypatch.setattr(firstrun, "run_again", lambda *given: steps.append(given))
    return steps


def test_settle_does_nothing_where_all_is_there(steps):
    """An environment of the user's own is used as it is."""
    firstrun.settle("", ["lessons"])
    assert steps == []


def test_settle_makes_an_environment_and_goes_there(steps, project):
    """From a bare Python: .venv is made, and the same command line runs in it."""
    firstrun.settle("test", ["test", "-q"])
    inside = "Scripts/python.exe" if os.name == "nt" else "bin/python"
    assert steps == ["make", "install", (project / ".venv" / inside, ["test", "-q"])]
    assert [path.name for path in (project / ".venv").iterdir()] == [], "and no mark is left"


def test_python_on_windows(tmp_path, monkeypatch):
    """There an environment keeps its Python elsewhere."""
    monkeypatch.setattr(firstrun, "os", SimpleNamespace(name="nt"))
    assert firstrun.python_in(tmp_path) == tmp_path / "Scripts" / "python.exe"


def test_settle_keeps_a_working_environment(steps, project, monkeypatch):
    """The second run from a bare Python goes straight to .venv."""
    monkeypatch.setattr(firstrun, "works", lambda python: True)
    firstrun.settle("test", [])
    assert [step[1] for step in steps] == [[]]


def test_settle_installs_in_its_own_environment(steps, project, monkeypatch):
    """Inside .venv what lacks is installed, and a second lack is an error rather than an endless loop."""
    monkeypatch.setattr(sys, "prefix", str(project / ".venv"))
    with pytest.raises(Trouble, match="still lacks mpmath 999.1, no-such-package: .* --fresh makes"):
        firstrun.settle("test", [])
    assert steps == ["install"]


def test_settle_inside_leaves_a_fresh_environment_to_the_python_outside(steps, project, monkeypatch):
    """Asked for, or needed since a run was ended: that one is told where antlab lies, and what to do."""
    monkeypatch.setattr(sys, "prefix", str(project / ".venv"))
    firstrun.settle("", ["lessons", "--fresh"])
    (project / ".venv").mkdir()
    (project / ".venv" / firstrun.MARK).touch()
    firstrun.settle("", ["lessons"])
    outside = [step[1:] for step in steps if step[0] == sys._base_executable]
    assert outside == [(["lessons", "--fresh"], project), (["lessons"], project)]


def test_a_fresh_environment_is_not_for_ones_own(steps):
    """Packages of the user's own choice are the user's: the sentence says how to mend them."""
    with pytest.raises(Trouble, match="is yours: install antlab there again, with pip's --force-reinstall"):
        firstrun.settle("", ["lessons", "--fresh"])
    assert steps == []


def test_settle_leaves_a_wheel_alone(steps, project):
    """Where antlab came by pip there is no checkout to put a .venv beside."""
    (project / "pyproject.toml").unlink()
    firstrun.settle("test", [])
    assert steps == []


def test_no_venv_module(tmp_path, monkeypatch):
    """Debian ships venv's other half in a package of its own."""
    monkeypatch.setattr(firstrun.importlib.util, "find_spec", lambda name: name != "ensurepip")
    with pytest.raises(Trouble, match="lacks its venv module: .* apt install python3-venv"):
        firstrun.make(tmp_path / ".venv")


@pytest.mark.parametrize(
    ("error", "sentence"),
    [
        (PermissionError(13, "Permission denied"), r"\(Permission denied\): close the .* copy .* to"),
        (OSError(28, "No space left on device"), "the disk is full: free about 1 GB"),
    ],
)
def test_what_cant_be_written(tmp_path, monkeypatch, error, sentence):
    """A checkout that belongs to somebody else and a full disk have different mends."""

    def refuse(self, **options):
        raise error

    monkeypatch.setattr(Path, "mkdir", refuse)
    with pytest.raises(Trouble, match=sentence):
        firstrun.renew(tmp_path / ".venv", "")


def test_half_an_environment_is_cleared_away(tmp_path, monkeypatch):
    """A failed venv leaves nothing that the next run would take for good."""
    failed = subprocess.CompletedProcess([], 1, "Traceback\nError: the plug was pulled\n")
    monkeypatch.setattr(firstrun.subprocess, "run", lambda *arguments, **options: failed)
    with pytest.raises(Trouble, match="1 GB of room .* Error: the plug was pulled"):
        firstrun.renew(tmp_path / ".venv", "")
    assert list(tmp_path.iterdir()) == []


def test_an_environment_in_use_stays_whole(tmp_path, monkeypatch):
    """Windows lets nobody rename a folder whose Python runs: nothing has been touched by then."""
    venv = tmp_path / ".venv"
    venv.mkdir()
    (venv / "pyvenv.cfg").touch()

    def refuse(self, target):
        raise PermissionError(13, "Access is denied", str(self))

    monkeypatch.setattr(Path, "rename", refuse)
    with pytest.raises(Trouble, match=r"changed \(Access is denied\): close the lessons and whatever else"):
        firstrun.renew(venv, "")
    assert [path.name for path in venv.iterdir()] == ["pyvenv.cfg"]


def test_clearing_that_is_ended_leaves_a_mark(tmp_path, monkeypatch):
    """Half a folder, even the one set aside, is never taken for an environment later."""
    (tmp_path / "lib").mkdir()

    def pulled(path):
        raise OSError("the plug was pulled")

    monkeypatch.setattr(firstrun.shutil, "rmtree", pulled)
    with pytest.raises(OSError, match="plug"):
        firstrun.clear(tmp_path)
    assert firstrun.is_marked(tmp_path)


@pytest.mark.skipif(os.name == "nt", reason="Windows has locks of its own")
def test_a_disk_without_locks(tmp_path, monkeypatch):
    """Some network disks lock nothing: a run goes on there, rather than wait for ever."""
    import fcntl

    def refuse(file, how):
        raise OSError(errno.ENOLCK, "No locks available")

    with open(tmp_path / "file", "wb") as file, open(tmp_path / "file", "wb") as other:
        assert files.is_locked(file) and not files.is_locked(other)
        monkeypatch.setattr(fcntl, "flock", refuse)
        assert files.is_locked(other)


def test_windows_locks(tmp_path, monkeypatch):
    """The same by Windows's own call, far behind the end of a file that others go on reading."""
    taken, asked = [], []

    def locking(file, how, length):
        asked.append((os.lseek(file, 0, os.SEEK_CUR), how, length))
        if taken:
            raise PermissionError(13, "Permission denied")
        taken.append(file)

    monkeypatch.setitem(sys.modules, "msvcrt", SimpleNamespace(LK_NBLCK=2, locking=locking))
    monkeypatch.setattr(files, "os", SimpleNamespace(name="nt"))
    with open(__file__, "rb") as file:
        assert files.is_locked(file) and not files.is_locked(file)
    assert asked == [(1 << 30, 2, 1)] * 2


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (OFFLINE, "connect this machine to the internet .* No matching distribution found for numpy"),
        (OFFLINE.splitlines()[-2], "connect this machine to the internet"),
        (FULL, "the disk is full: free about 1 GB"),
        ("/x/python: No module named pip\n", "has no pip: .* --fresh makes it afresh"),
        (CONFLICT, "pip could not install .* ERROR: ResolutionImpossible"),
    ],
)
def test_pip_fails(monkeypatch, words, sentence):
    """Each way in which pip fails gives its own mend."""
    monkeypatch.setattr(firstrun, "follow", lambda *given: (1, words))
    with pytest.raises(Trouble, match=sentence):
        firstrun.install(sys.executable, ROOT, "test")


def test_pip_is_asked_for_an_editable_project(monkeypatch):
    """With the extra, in the checkout, by this very Python."""
    asked = []
    monkeypatch.setattr(firstrun, "follow", lambda *arguments: asked.append(arguments) or (0, ""))
    firstrun.install(sys.executable, ROOT, "test")
    firstrun.install(sys.executable, ROOT, "")
    (with_extra, folder, *_), (without, *_) = asked
    assert folder == ROOT
    assert with_extra[:4] == [sys.executable, "-m", "pip", "install"]
    assert with_extra[-2:] == ["--editable", ".[test]"]
    assert without[-2:] == ["--editable", "."]


def test_follow(tmp_path, capsys):
    """All that a program prints, on either stream, is kept; its exit status and a closing line are shown."""
    program = "import os, sys; print(os.getcwd()); print('café', file=sys.stderr); sys.exit(3)"
    code, words = firstrun.follow([sys.executable, "-X", "utf8", "-c", program], tmp_path, "Trying")
    assert code == 3
    assert sorted(words.splitlines()) == sorted([str(tmp_path.resolve()), "café"])
    assert capsys.readouterr().out.splitlines()[-1].startswith("Trying: failed after")


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("Collecting jupyterlab-widgets~=3.0 (from ipywidgets)", "collecting jupyterlab-widgets"),
        ("  Downloading numpy-2.1.0-cp311-manylinux.whl (18 MB)", "downloading numpy"),
        ("Installing collected packages: numpy, sympy, anywidget", "unpacking 3 packages"),
        ("  Getting requirements to build editable: started", ""),
    ],
)
def test_progress_names_the_package(line, words):
    """Pip's line in two or three words."""
    assert firstrun.at_work_on(line) == words


@pytest.mark.skipif(os.name == "nt", reason="Windows waits for a child instead")
def test_run_again(monkeypatch):
    """The environment's Python takes this process's place."""
    called = []
    monkeypatch.setattr(os, "execv", lambda *arguments: called.append(arguments))
    firstrun.run_again(Path("/v/bin/python"), ["test", "-q"])
    assert called == [(Path("/v/bin/python"), ["/v/bin/python", "-m", "antlab", "test", "-q"])]


def test_run_again_on_windows(monkeypatch):
    """There the first process stays, leaves Ctrl-C to the one that works, and ends with its exit status."""
    monkeypatch.setattr(firstrun, "os", SimpleNamespace(name="nt"))  # and has no exec
    called, waits = [], iter([KeyboardInterrupt, KeyboardInterrupt, 130])

    class Process:
        def __init__(self, command):
            called.append(command)

        def wait(self):
            if (end := next(waits)) is KeyboardInterrupt:
                raise KeyboardInterrupt
            return end

    monkeypatch.setattr(firstrun.subprocess, "Popen", Process)
    with pytest.raises(SystemExit) as end:
        firstrun.run_again(Path("v", "python.exe"), ["lessons"])
    assert end.value.code == 130
    assert called == [[str(Path("v", "python.exe")), "-m", "antlab", "lessons"]]


def test_run_again_hands_the_exit_status_on():
    """The same with a true child, in the way of Windows."""
    program = (
        "import types; from antlab.cli import firstrun; firstrun.os = types.SimpleNamespace(name='nt'); "
        "import sys; firstrun.run_again(sys.executable, ['--no-such-option'])"
    )
    code, _, complained = run("-c", program)
    assert code == 2 and "no-such-option" in complained
