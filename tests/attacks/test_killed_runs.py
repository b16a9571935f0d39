"""Attacks on the first run: killed in the middle, started twice, without a network, something in its way.

Each has a checkout of its own with this project's firstrun.py and a pip that fetches nothing. Stopped, it
leaves behind what the real one does while it unpacks: packages that look installed and are not.
"""

import os
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path
from types import SimpleNamespace

import pytest

from antlab.cli.firstrun import MARK, python_in
from antlab.files import ROOT

pytestmark = pytest.mark.skipif(os.name == "nt", reason="processes are killed by signals here")

MAIN = """
import sys
from antlab.trouble import Trouble
from antlab.cli.firstrun import settle, take_utf8
take_utf8(sys.argv[1:])
try:
    settle("test" if "test" in sys.argv else "", sys.argv[1:])
    import jupyterlab
    print("The lessons open,", *jupyterlab.PAGES, *sys.argv[1:])
except Trouble as trouble:
    sys.exit(f"antlab: {trouble}")
"""
PIP = """
import json, os, sys, sysconfig, time
from pathlib import Path
how = Path(os.environ["PIP_HOW"]).read_text()
with open(os.environ["PIP_HOW"] + ".asked", "a") as file:
    print(*sys.argv[1:], file=file)
if how == "offline":
    sys.exit("ERROR: Failed to establish a new connection: [Errno -3] Temporary failure in name resolution")
if how == "unmet" and "--constraint" in sys.argv:
    sys.exit("ERROR: Could not find a version that satisfies the requirement jupyterlab==4.3.0")
site = Path(sysconfig.get_path("purelib"))
(site / "jupyterlab").mkdir(exist_ok=True)
(site / "_editable_impl_antlab.pth").write_text(str(Path.cwd()), encoding="utf-8")
for name in ("antlab", "jupyterlab", *(["pytest"] if sys.argv[-1] == ".[test]" else [])):
    info = site / f"{name}-9.0.dist-info"
    info.mkdir(exist_ok=True)
    (info / "METADATA").write_text(f"Metadata-Version: 2.1\\nName: {name}\\nVersion: 9.0\\n")
    (info / "direct_url.json").write_text(json.dumps({"url": Path.cwd().as_uri()}))
if how == "hang":
    Path(os.environ["PIP_HOW"] + ".unpacking").touch()
    time.sleep(60)
(site / "jupyterlab" / "__init__.py").write_text("PAGES = ['as', 'they', 'should']")
"""
VENV = """
import sys
sys.path = [path for path in sys.path if path != {fakes!r}]
del sys.modules["venv"]
import venv
venv.create(sys.argv[1], symlinks=True)
"""
WHOLE = "The lessons open, as they should"


@pytest.fixture
def checkout(tmp_path):
    """A small checkout: .run(*words) waits for its end, .start(*words) doesn't, .how() tells its pip how."""
    root, fakes = (tmp_path / "antlab").resolve(), tmp_path / "fakes"
    (root / "antlab" / "cli").mkdir(parents=True)
    for name in ("cli/firstrun.py", "cli/__init__.py", "files.py", "trouble.py"):
        shutil.copy(ROOT / "antlab" / name, root / "antlab" / name)
    (root / "antlab" / "__init__.py").touch()
    (root / "antlab" / "__main__.py").write_text(MAIN)
    (root / "pyproject.toml").write_text(
        '[project]\nname = "antlab"\ndependencies = ["jupyterlab>=4"]\n'
        '[project.optional-dependencies]\ntest = ["pytest>=8"]\n'
    )
    venv = VENV.format(fakes=str(fakes))  # the real one, without the seconds that the real pip takes
    for name, program in {"pip": PIP, "venv": venv}.items():  # found before the real ones
        (fakes / name).mkdir(parents=True)
        (fakes / name / "__init__.py").touch()
        (fakes / name / "__main__.py").write_text(program)
    how = tmp_path / "how"
    kept = {name: value for name, value in os.environ.items() if not name.startswith("PYTHON")}
    env = kept | {"PYTHONPATH": str(fakes), "PIP_HOW": str(how)}
    pipes = {"stdout": subprocess.PIPE, "stderr": subprocess.STDOUT, "encoding": "utf-8", "cwd": root}
    started = []

    def start(*words, python=sys._base_executable, **more):
        command = [python, "-m", "antlab", *words]
        process = subprocess.Popen(command, start_new_session=True, env=env | more, **pipes)
        started.append(process)
        return process

    def run(*words, **how):
        process = start(*words, **how)
        said, _ = process.communicate(timeout=60)
        return process.returncode, said

    def move(to):
        pipes["cwd"] = root.rename(to)

    how.write_text("")
    yield SimpleNamespace(
        root=root, venv=root / ".venv", start=start, run=run, move=move, how=how.write_text,
        unpacking=how.with_name("how.unpacking"), asked=how.with_name("how.asked"),
    )  # fmt: skip
    for process in started:
        kill(process)


def kill(process, everything=True):
    """End a run as a pulled plug does, with or without what it has started."""
    try:
        (os.killpg if everything else os.kill)(process.pid, signal.SIGKILL)
    except ProcessLookupError:
        pass
    process.wait()
    process.stdout.close()


def until(path):
    """Wait until a file is there."""
    end = time.monotonic() + 30
    while not path.exists():
        assert time.monotonic() < end, f"{path.name} never came"
        time.sleep(0.02)


def killed(checkout, *words, **how):
    """Kill a run while its pip unpacks."""
    checkout.how("hang")
    process = checkout.start(*words, **how)
    until(checkout.unpacking)
    kill(process)
    checkout.unpacking.unlink()
    checkout.how("")


def test_first_run_killed_while_pip_unpacks(checkout):
    """A student who pulls the plug in the first run would have JupyterLab without its pages ever after."""
    killed(checkout)
    assert (checkout.venv / MARK).is_file()
    (checkout.venv / "half").touch()
    code, said = checkout.run("--port", "9")
    assert (code, said.splitlines()[-1]) == (0, f"{WHOLE} --port 9")
    assert not (checkout.venv / MARK).exists() and not (checkout.venv / "half").exists(), "made afresh"
    assert sorted(path.name for path in checkout.root.iterdir()) == [".venv", "antlab", "pyproject.toml"]
    code, said = checkout.run()
    assert (code, said) == (0, f"{WHOLE}\n"), "and the next start has nothing to do"


def test_tests_killed_while_they_are_installed(checkout):
    """What `antlab test` adds to an environment that was whole can break it just as well."""
    assert checkout.run()[0] == 0
    killed(checkout, "test")
    assert (checkout.venv / MARK).is_file()
    assert checkout.run("test")[1].endswith(f"{WHOLE} test\n")
    assert not (checkout.venv / MARK).exists()


def test_started_from_within_after_a_killed_run(checkout):
    """Whoever activated the environment runs its Python, which can't replace itself: the one outside does."""
    killed(checkout)
    (checkout.venv / "half").touch()
    code, said = checkout.run("-x", python=python_in(checkout.venv))
    assert code == 0 and said.endswith(f"{WHOLE} -x\n")
    assert not (checkout.venv / "half").exists()


def test_two_first_runs_at_once(checkout):
    """Two terminals: the second neither tears down what the first makes nor uses it before it is whole."""
    checkout.how("hang")
    first = checkout.start()
    until(checkout.unpacking)
    second = checkout.start()
    assert "waiting for its end" in second.stdout.readline()
    (checkout.venv / "first").touch()
    checkout.how("")
    kill(first)  # and it doesn't wait for a dead one
    said, _ = second.communicate(timeout=60)
    assert second.returncode == 0 and said.endswith(f"{WHOLE}\n")
    assert not (checkout.venv / "first").exists()
    checkout.asked.unlink()
    both = [checkout.start("--fresh"), checkout.start()]
    assert [process.communicate(timeout=60)[0].splitlines()[-1] for process in both] == [WHOLE] * 2
    assert len(checkout.asked.read_text().splitlines()) == 1, "the work was done once"


def test_pip_that_outlives_its_run(checkout):
    """Killed alone, a run leaves its pip at work; nobody may clear the folder under it."""
    checkout.how("hang")
    first = checkout.start()
    until(checkout.unpacking)
    kill(first, everything=False)
    second = checkout.start()
    assert "waiting for its end" in second.stdout.readline()
    checkout.how("")
    os.killpg(first.pid, signal.SIGKILL)  # now the pip too
    assert second.communicate(timeout=60)[0].endswith(f"{WHOLE}\n")


def test_fresh_without_a_network(checkout):
    """Who follows the advice of `antlab check` in a hall without internet keeps the environment there was."""
    assert checkout.run()[0] == 0
    (checkout.venv / "mine").touch()
    checkout.how("offline")
    code, said = checkout.run("--fresh")
    assert code and "connect this machine to the internet" in said
    assert (checkout.venv / "mine").exists() and not (checkout.venv / MARK).exists()
    assert checkout.run() == (0, f"{WHOLE}\n")
    code, said = checkout.run("test")
    assert code and "connect this machine to the internet" in said
    assert checkout.run() == (0, f"{WHOLE}\n"), "a pip that fetched nothing has broken nothing"


def test_fresh_killed_then_without_a_network(checkout):
    """Even a run for a fresh environment that is killed in the middle gives the old one back."""
    assert checkout.run()[0] == 0
    (checkout.venv / "mine").touch()
    killed(checkout, "--fresh")
    assert not (checkout.venv / "mine").exists()
    checkout.how("offline")
    assert "connect this machine" in checkout.run()[1]
    assert checkout.run() == (0, f"{WHOLE}\n")
    assert (checkout.venv / "mine").exists()
    checkout.how("")
    assert checkout.run("--fresh")[1].endswith(f"{WHOLE}\n")
    assert not (checkout.venv / "mine").exists()
    assert sorted(path.name for path in checkout.root.iterdir()) == [".venv", "antlab", "pyproject.toml"]


def test_fresh_mends_what_is_broken_inside(checkout):
    """A spoilt module in an environment that lacks nothing by its names."""
    assert checkout.run()[0] == 0
    (module,) = checkout.venv.glob("lib/*/site-packages/jupyterlab/__init__.py")
    module.write_text("raise ImportError('spoilt')")
    assert "spoilt" in checkout.run()[1]
    assert checkout.run("--fresh")[1].endswith(f"{WHOLE}\n")
    assert checkout.run() == (0, f"{WHOLE}\n")


def test_versions_that_cant_be_had(checkout):
    """Where the tested versions don't exist others are taken, and that is said; else pip is told them."""
    checkout.how("unmet")
    code, said = checkout.run()
    assert code == 0 and "last tested with can't all be had here" in said
    with_them, without = checkout.asked.read_text().splitlines()
    assert "--constraint antlab/constraints.txt --editable ." in with_them
    assert "--constraint" not in without and without.endswith("--editable .")


def in_the_way(checkout, kind, tmp_path):
    """Put something of the student's where the environment belongs; return what must still be there after."""
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    (elsewhere / "notes.txt").write_text("mine")
    if kind == "file":
        checkout.venv.write_text("mine")
        return checkout.venv
    if kind == "folder":
        return elsewhere.rename(checkout.venv) / "notes.txt"
    aim = {"dangling": tmp_path / "gone", "loop": checkout.venv, "link": elsewhere}[kind]
    checkout.venv.symlink_to(aim)
    return elsewhere / "notes.txt"


@pytest.mark.parametrize(
    ("kind", "sentence"),
    [
        ("file", ".venv is a file: rename it and run this again"),
        ("folder", ".venv is a folder of something else: rename it and run this again"),
        ("dangling", "gone, which is not there: bring that back, or rename the link and run this again"),
        ("loop", ".venv, which is not there: bring that back, or rename the link and run this again"),
        ("link", "elsewhere, where antlab changes nothing: rename the link and run this again"),
    ],
)
def test_something_of_the_students_in_the_way(checkout, tmp_path, kind, sentence):
    """What is named .venv and isn't ours is neither removed nor written to; doing as told then helps."""
    mine = in_the_way(checkout, kind, tmp_path)
    for words in ([], ["--fresh"]):
        code, said = checkout.run(*words)
        assert code and sentence in said
        assert mine.read_text() == "mine" and not (mine.parent / MARK).exists()
    checkout.venv.rename(checkout.root / "renamed")
    assert checkout.run()[1].endswith(f"{WHOLE}\n")


def test_environment_on_another_disk(checkout, tmp_path):
    """A link to an empty folder is a wish, and is kept; what lies there later isn't cleared through it."""
    (tmp_path / "disk").mkdir()
    checkout.venv.symlink_to(tmp_path / "disk")
    checkout.how("offline")
    assert "connect this machine" in checkout.run()[1]
    checkout.how("")
    assert checkout.run()[1].endswith(f"{WHOLE}\n")
    assert checkout.venv.is_symlink() and (tmp_path / "disk" / "pyvenv.cfg").is_file()
    assert checkout.run() == (0, f"{WHOLE}\n")
    killed(checkout, "test")
    code, said = checkout.run()
    assert code and "where antlab changes nothing: rename the link" in said
    assert (tmp_path / "disk" / "pyvenv.cfg").is_file()


def test_no_room_beside_for_somebody_elses_folder(checkout):
    """A folder that only has the name of the one set aside is not cleared either."""
    assert checkout.run()[0] == 0
    mine = checkout.root / ".venv-before" / "notes.txt"
    mine.parent.mkdir()
    mine.write_text("mine")
    code, said = checkout.run("--fresh")
    assert code and ".venv-before is a folder of something else: rename it" in said
    assert mine.read_text() == "mine"
    assert checkout.run() == (0, f"{WHOLE}\n")


ASCII = {"LC_ALL": "C", "PYTHONCOERCECLOCALE": "0", "PYTHONUTF8": "0"}


@pytest.mark.parametrize("name", ["Jörg", "無線", "a b;#%41"])
def test_path_that_the_locale_cant_write(checkout, tmp_path, name):
    """Below such a folder an ASCII locale, with Python's own remedies off, would not find antlab again."""
    checkout.move(tmp_path / name)
    code, said = checkout.run("ü", **ASCII)
    assert code == 0 and said.endswith(f"{WHOLE} ü\n")
    assert f"environment of its own in {tmp_path / name / '.venv'}" in said


@pytest.mark.parametrize("name", ["Jörg", "無線"])
def test_every_command_says_such_a_path(tmp_path, name):
    """The command line itself takes care of it, before it does anything."""
    root = tmp_path / name
    shutil.copytree(ROOT / "antlab", root / "antlab", ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copy(ROOT / "pyproject.toml", root / "pyproject.toml")
    (root / ".venv").touch()
    command = [sys._base_executable, "-S", "-m", "antlab", "plan"]
    done = subprocess.run(command, cwd=root, env=os.environ | ASCII, capture_output=True)
    assert done.stderr.decode().startswith(f"antlab: {root / '.venv'} is a file: rename it")


def test_path_that_is_no_utf8(checkout, tmp_path):
    """A folder named by an old system's letters: no environment could write such a path down."""
    strange = Path(os.fsdecode(os.fsencode(tmp_path) + b"/J\xf6rg"))
    try:
        strange.mkdir()
    except OSError:
        pytest.skip("this disk takes no such name")
    checkout.move(strange / "antlab")
    code, said = checkout.run()
    assert code and "is not UTF-8: rename that folder with plain letters" in said
    assert not (strange / "antlab" / ".venv").exists()
