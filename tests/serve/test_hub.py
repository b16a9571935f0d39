"""A class on a JupyterHub: our files of configuration, and what a student's server is started with.

JupyterHub itself need not be installed: tests/bench/load_hub.py runs it.
"""

import ast
import os
import re
import shutil
import stat
import tempfile
import tomllib
from pathlib import Path

import psutil
import pytest
from jupyter_client.manager import KernelManager
from jupyter_server.serverapp import ServerApp
from jupyter_server.services.contents.manager import ContentsManager
from jupyter_server.services.kernels.kernelmanager import MappingKernelManager
from jupyterlab.labapp import LabApp
from traitlets.config import Application
from traitlets.config.loader import PyFileConfigLoader

from antlab.classroom import course
from antlab.files import ROOT
from antlab.serve import jupyter, singleuser, work
from antlab.serve.kernels import HomeworkKernels

HERE = Path(singleuser.__file__).parent
CLASSES = {one.__name__: one for one in (Application, ContentsManager, KernelManager, LabApp,
                                         MappingKernelManager, ServerApp)}  # fmt: skip
PAGES = Path("notebooks")
pytestmark = pytest.mark.skipif(os.name == "nt", reason="a JupyterHub runs on Unix")


@pytest.fixture
def load(tmp_path):
    """Load a file of configuration as JupyterHub does, copied as README says."""
    folder = tmp_path / "config"
    folder.mkdir()

    def load(name):
        for one in ("hub_students.py", "hub_config.py"):
            shutil.copy(HERE / one, folder)
        return PyFileConfigLoader(str(folder / name)).load_config()

    return load


def test_a_hub_that_is_there_keeps_its_own(load):
    """The file to copy there says how a student's server starts: cullers, limits, logins are not ours."""
    config = load("hub_students.py")
    assert set(config) == {"Spawner"}
    assert set(config.Spawner) == {"cmd", "args", "disable_user_config", "start_timeout", "http_timeout"}
    assert config.Spawner.disable_user_config is True
    assert 60 < config.Spawner.http_timeout == config.Spawner.start_timeout


@pytest.mark.parametrize("name", ["hub_students.py", "hub_config.py"])
def test_nothing_of_antlab_is_imported_by_the_hub(name):
    """The Littlest JupyterHub runs in an environment that has no antlab."""
    tree = ast.walk(ast.parse((HERE / name).read_text(encoding="utf-8")))
    names = {n.name for node in tree if isinstance(node, ast.Import) for n in node.names}
    assert names <= {"sys"}


def test_the_command_is_installed(load):
    """What the hub starts is what the package puts on the PATH."""
    scripts = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["scripts"]
    (command,) = load("hub_students.py").Spawner.cmd
    module, function = scripts[command].split(":")
    assert (module, getattr(singleuser, function)) == (singleuser.__name__, singleuser.main)


def test_a_hub_of_its_own(load):
    """It loads the other beside it, listens on this machine only, and lets nobody in by itself."""
    config = load("hub_config.py")
    assert config.Spawner.cmd == load("hub_students.py").Spawner.cmd
    assert config.JupyterHub.bind_url.startswith("http://127.0.0.1:")
    assert config.Spawner.mem_limit == "1G"
    assert "Authenticator" not in config


def test_the_culler_may_cull_and_no_more(load):
    """Its one role has the rights that its documentation names; it is no administrator."""
    hub = load("hub_config.py").JupyterHub
    (service,), (role,) = hub.services, hub.load_roles
    assert role["services"] == [service["name"]] and "admin" not in service
    assert set(role["scopes"]) == {"list:users", "read:users:activity", "read:servers", "delete:servers"}
    assert service["command"][1:3] == ["-m", "jupyterhub_idle_culler"]
    assert int(service["command"][3].removeprefix("--timeout=")) > 330  # its documentation: ping and interval


@pytest.fixture
def become(tmp_path, monkeypatch):
    """Run antlab-singleuser as a hub does, until it becomes JupyterHub's server; return that command."""
    monkeypatch.setenv("HOME", str(tmp_path))
    for name in ("JUPYTERHUB_DEFAULT_URL", "JUPYTER_RUNTIME_DIR", "JUPYTER_PREFER_ENV_PATH", "JUPYTER_PATH"):
        monkeypatch.setenv(name, "as the hub has it")
    monkeypatch.delenv("OPENBLAS_NUM_THREADS", raising=False)
    monkeypatch.setenv("JUPYTERHUB_SERVICE_URL", "http://127.0.0.1:1/user/juniper/")
    monkeypatch.setattr(singleuser.importlib.util, "find_spec", lambda name: name)
    before = os.umask(0o022)
    commands = []
    monkeypatch.setattr(os, "execv", lambda path, words: commands.append((path, words)))

    def become(*arguments):
        assert singleuser.main(list(arguments)) is None
        return commands[-1]

    yield become
    os.umask(before)


def test_a_students_server(become, tmp_path, load):
    """The lessons lie in the home, and JupyterHub's server is told what antlab tells its own."""
    args = load("hub_students.py").Spawner.args
    path, words = become(*args)
    folder, lesson = tmp_path / "antlab-lessons", course.first_lesson(course.course())
    assert words[:4] == [path, "-P", "-m", "jupyterhub.singleuser"]
    common = jupyter.common_arguments(folder, lesson=lesson)
    assert set(common) < set(jupyter.lab_arguments(folder, port=1, lesson=lesson, token="x"))
    assert words[4:] == [*common, "--KernelManager.transport=ipc", *args]
    assert (folder / lesson).read_bytes() == work.as_laid(course.course() / lesson)
    assert os.environ["JUPYTERHUB_DEFAULT_URL"] == f"/lab/tree/{lesson}"
    assert os.environ["OPENBLAS_NUM_THREADS"] == os.environ["JUPYTER_PREFER_ENV_PATH"] == "1"


def test_every_option_is_one(become, load):
    """Jupyter only warns of an option that it does not know: a slip of the pen would go unseen."""
    _, words = become(*load("hub_students.py").Spawner.args)
    for word in words[4:]:
        name, option = word.removeprefix("--").split("=")[0].split(".")
        assert CLASSES[name].class_traits(config=True).get(option), word


def test_a_students_work_is_private(become, tmp_path):
    """On a server with open homes nobody else reads the lessons, nor reaches the sockets of a kernel."""
    become()
    assert stat.S_IMODE((tmp_path / "antlab-lessons").stat().st_mode) == 0o700
    for lesson in (tmp_path / "antlab-lessons" / PAGES).glob("*.ipynb"):
        assert stat.S_IMODE(lesson.stat().st_mode) == 0o600
    sockets = Path(os.environ["JUPYTER_RUNTIME_DIR"])
    assert sockets.parent == tmp_path and stat.S_IMODE(sockets.stat().st_mode) == 0o700
    sockets.chmod(0o755)  # as somebody's umask had it
    become()
    assert stat.S_IMODE(sockets.stat().st_mode) == 0o700


def test_sockets_go_nowhere_else(become, tmp_path, capsys):
    """A link in the place of the sockets' folder is not followed: one line says what to remove."""
    (tmp_path / "elsewhere").mkdir(mode=0o755)
    sockets = tmp_path / singleuser.SOCKETS
    sockets.symlink_to("elsewhere")
    assert singleuser.main([]) == 2
    assert one_line(capsys).endswith(f"{sockets} is a link, or another account's: remove it.")
    assert stat.S_IMODE((tmp_path / "elsewhere").stat().st_mode) == 0o755
    sockets.unlink()
    sockets.write_text("")
    assert singleuser.main([]) == 2
    assert "can't be had for the kernels' sockets" in one_line(capsys)


def test_sockets_fit_their_paths():
    """A Unix socket's path has at most 107 letters: the longest user name of Linux must leave room."""
    kernel = "kernel-" + "-".join("x" * n for n in (8, 4, 4, 4, 12)) + "-ipc-1"
    assert len(f"/home/{'w' * 32}/{singleuser.SOCKETS}/{kernel}") <= 107


CELL = """
import multiprocessing
child = multiprocessing.get_context("fork").Process(target=print, args=["from a forked process"], daemon=True)
child.start()
child.join()
"""


@pytest.fixture
def kernel(become, monkeypatch):
    """The kernel's process and a client of it, started as a student's server on a hub would."""
    with tempfile.TemporaryDirectory(prefix="a-") as home:  # a short path, for the sockets
        monkeypatch.setenv("HOME", home)
        _, words = become()
        assert "--KernelManager.transport=ipc" in words
        file = Path(os.environ["JUPYTER_RUNTIME_DIR"], "kernel-x.json")
        specs = HomeworkKernels()  # as common_arguments has it
        manager = KernelManager(
            kernel_name="python3", transport="ipc", connection_file=str(file), kernel_spec_manager=specs
        )
        # ipykernel leaves the streams alone where it sees this variable of pytest's
        clean = {name: value for name, value in os.environ.items() if name != "PYTEST_CURRENT_TEST"}
        manager.start_kernel(cwd=home, env=clean, extra_arguments=["--HistoryManager.enabled=False"])
        client = manager.client()
        try:
            client.start_channels()
            client.wait_for_ready(timeout=60)
            yield psutil.Process(manager.provisioner.pid), client
        finally:
            client.stop_channels()
            manager.shutdown_kernel(now=True)


def test_a_kernel_listens_at_no_port(kernel):
    """Protects students from each other, as README has it: every account may connect to a port of 127.0.0.1.

    ipykernel opens one for the words of forked processes, which come without it too; and one that runs
    whatever comes in once the debugger is switched on, which therefore can't be.
    """
    process, client = kernel
    said = []
    for cell in ("import antlab, matplotlib.pyplot, ipywidgets", CELL):
        client.execute_interactive(
            cell, timeout=60, output_hook=lambda message: said.append(message["content"].get("text", ""))
        )
    assert "from a forked process" in "".join(said)
    said.clear()
    client.execute_interactive(
        'hw.check("01.1", 1/(2πf))', timeout=60,
        output_hook=lambda message: said.append(message["content"].get("text", "")),
    )  # fmt: skip
    assert "run its first code cell" in "".join(said)  # homework is read before the sheet is open
    request = {"type": "request", "seq": 1, "command": "initialize", "arguments": {"clientID": "x"}}
    client.control_channel.send(client.session.msg("debug_request", request))
    assert client.get_control_msg(timeout=20)["content"] == {}
    assert not client.kernel_info(reply=True, timeout=20)["content"].get("debugger")
    connections = getattr(process, "net_connections", None) or process.connections  # the older name
    assert len(connections("unix")) >= 5 and not connections("inet")
    sockets = list(Path(os.environ["JUPYTER_RUNTIME_DIR"]).glob("kernel-x-ipc-*"))
    assert len(sockets) == 5 and {stat.S_IMODE(path.stat().st_mode) for path in sockets} == {0o700}
    (text,) = [p for p in (ROOT / "README.md").read_text(encoding="utf-8").split("\n\n") if "debugger" in p]
    assert "kernels listen at no port" in " ".join(text.split())


def test_what_readme_copies():
    """Protects the hub, which is root: it reads no file that lies where students' packages are installed."""
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    assert "ln -s" not in text
    (source,) = re.findall(r"sudo install -m 644 PATH-OF-THIS-FOLDER/(\S+) ", text)
    assert (ROOT / source) == HERE / "hub_students.py"
    (loaded,) = re.findall(r'load_subconfig\("(.+)"\)', text)
    assert loaded == f"/etc/jupyterhub/{HERE.joinpath('hub_config.py').name}"


def test_coming_again_to_a_newer_course(become, tmp_path, monkeypatch, capsys):
    """The next evening's server keeps what the student changed, and lays the newer lesson beside it."""
    source = tmp_path / "course"
    lesson = source / PAGES / "07-height.ipynb"
    lesson.parent.mkdir(parents=True)
    (source / "figures").mkdir()
    monkeypatch.setattr(course, "course", lambda: source)
    lesson.write_text("old")
    become()
    mine = tmp_path / "antlab-lessons" / PAGES / "07-height.ipynb"
    mine.write_text("my own")
    lesson.write_text("new")
    become()
    assert mine.read_text() == "my own"
    assert mine.with_suffix(".new.ipynb").read_text() == "new"
    assert "Kept your" in capsys.readouterr().out  # in the hub's log


def one_line(capsys):
    """Return the only line that was said, on stderr."""
    said = capsys.readouterr()
    (line,) = said.err.splitlines()
    assert not said.out
    return line


def test_outside_a_hub(monkeypatch, capsys):
    """Somebody tries the command by hand: one line says what to run."""
    monkeypatch.delenv("JUPYTERHUB_SERVICE_URL", raising=False)
    assert singleuser.main([]) == 2
    assert one_line(capsys).endswith("for a JupyterHub to start; for lessons of your own run antlab.")


def test_without_jupyterhub(become, monkeypatch, capsys):
    """The students' environment needs JupyterHub too: one line in the hub's log."""
    monkeypatch.setattr(singleuser.importlib.util, "find_spec", lambda name: None)
    assert singleuser.main([]) == 2
    assert "lacks jupyterhub: install there the version that the hub has" in one_line(capsys)


def test_a_home_that_cannot_be_written(become, tmp_path, capsys):
    """One line names the folder and the option to choose another with."""
    (tmp_path / "file").write_text("")
    assert singleuser.main(["--folder", str(tmp_path / "file" / "lessons")]) == 2
    line = one_line(capsys)
    assert str(tmp_path / "file") in line and "can't be written" in line and "--folder" in line
