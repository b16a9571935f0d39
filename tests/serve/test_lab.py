"""The student's work folder, the port and JupyterLab's command line."""

import json
import os
import re
import socket
from pathlib import Path

import nbformat
import pytest
from jupyter_client.kernelspec import KernelSpecManager
from jupyterlab_server.config import get_static_page_config

from antlab.classroom import course, typed
from antlab.serve import jupyter, ports, work
from antlab.serve.kernels import TYPED, HomeworkKernels
from antlab.trouble import Trouble


@pytest.fixture
def source(tmp_path):
    """A small course."""
    for name in (
        "notebooks/07-height.ipynb",
        "notebooks/01-circuit.ipynb",
        "notebooks/homework/07.ipynb",
        "notebooks/sources.md",
        "notebooks/.ipynb_checkpoints/x.ipynb",
        "figures/lobes.png",
    ):
        path = tmp_path / "source" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(f"first {name}")
    return tmp_path / "source"


@pytest.fixture
def folder(tmp_path):
    """A work folder that isn't there yet, in one that isn't either."""
    return tmp_path / "documents" / "my lessons"


def listing(folder):
    """Return the course's files in the work folder, without what is ours."""
    files = {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}
    return {name for name in files if not name.startswith(".antlab/")}


def test_lays_out_the_course(source, folder):
    """Notebooks and figures keep their places beside each other; editor's leavings stay behind."""
    assert work.lay_out(source, folder) == []
    assert listing(folder) == {
        "notebooks/01-circuit.ipynb",
        "notebooks/07-height.ipynb",
        "notebooks/homework/07.ipynb",
        "notebooks/sources.md",
        "figures/lobes.png",
    }
    assert (folder / "figures/lobes.png").read_text() == "first figures/lobes.png"


def test_never_overwrites_what_the_student_changed(source, folder):
    """A changed lesson stays byte for byte; a newer version is laid beside it, once, and said in one line."""
    work.lay_out(source, folder)
    mine, newer = folder / "notebooks/07-height.ipynb", folder / "notebooks/07-height.new.ipynb"
    mine.write_text("my answer")
    assert work.lay_out(source, folder) == []
    assert not newer.exists()

    (source / "notebooks/07-height.ipynb").write_text("second")
    (note,) = work.lay_out(source, folder)
    assert note.startswith("Kept your") and "07-height.new.ipynb" in note
    assert (mine.read_text(), newer.read_text()) == ("my answer", "second")

    newer.unlink()  # seen and thrown away: it doesn't come again until there is a third
    assert work.lay_out(source, folder) == []
    assert not newer.exists()
    (source / "notebooks/07-height.ipynb").write_text("third")
    work.lay_out(source, folder)
    assert (mine.read_text(), newer.read_text()) == ("my answer", "third")

    newer.write_text("my notes in it")
    (source / "notebooks/07-height.ipynb").write_text("fourth")
    (note,) = work.lay_out(source, folder)
    assert "beside" not in note
    assert (mine.read_text(), newer.read_text()) == ("my answer", "my notes in it")


def test_a_lesson_comes_unrun(tmp_path):
    """What a cell answers is seen to come: no outputs, no counts; all else is as in the course."""
    assert work.lay_out(course.course(), tmp_path) == []
    name = course.first_lesson(course.course())
    ours, theirs = (nbformat.read(folder / name, as_version=4) for folder in (course.course(), tmp_path))
    answered = [cell for cell in ours.cells if cell.cell_type == "code" and cell.outputs]
    assert any(cell.outputs[0].output_type == "error" for cell in answered)
    for cell in ours.cells:
        if cell.cell_type == "code":
            cell.outputs, cell.execution_count = [], None
    assert theirs == ours
    assert work.lay_out(course.course(), tmp_path) == [], "and none counts as changed"


def test_updates_what_the_student_left_alone(source, folder):
    """Unchanged files follow the course, deleted ones come back, the student's own are not touched."""
    work.lay_out(source, folder)
    (folder / "notebooks/mine.ipynb").write_text("mine")
    (folder / "notebooks/01-circuit.ipynb").unlink()
    (source / "figures/lobes.png").write_text("second")
    (source / "notebooks/08-new.ipynb").write_text("eight")
    assert work.lay_out(source, folder) == []
    assert (folder / "figures/lobes.png").read_text() == "second"
    assert (folder / "notebooks/01-circuit.ipynb").read_text() == "first notebooks/01-circuit.ipynb"
    assert (folder / "notebooks/08-new.ipynb").read_text() == "eight"
    assert (folder / "notebooks/mine.ipynb").read_text() == "mine"


def test_an_update_taken_over_by_hand_counts_as_laid(source, folder):
    """A student who copies the newer version over the old one gets the next update as usual."""
    work.lay_out(source, folder)
    mine = folder / "notebooks/07-height.ipynb"
    for text in ("second", "third"):
        mine.write_text("second")
        (source / "notebooks/07-height.ipynb").write_text(text)
        work.lay_out(source, folder)
    assert mine.read_text() == "third"


@pytest.mark.parametrize("manifest", ["", "{broken", "[1]", None])
def test_a_spoilt_manifest_overwrites_nothing(source, folder, manifest):
    """Without its memory every differing file counts as the student's."""
    work.lay_out(source, folder)
    (folder / work.MANIFEST).unlink()
    if manifest is not None:
        (folder / work.MANIFEST).write_text(manifest)
    (source / "figures/lobes.png").write_text("second")
    work.lay_out(source, folder)
    assert (folder / "figures/lobes.png").read_text() == "first figures/lobes.png"
    assert (folder / "figures/lobes.new.png").read_text() == "second"


def test_settings_ship_with_the_package(source, folder):
    """News and updates are off and fonts are large; a student's other choice is kept."""
    work.lay_out(source, folder)
    ours = folder / ".antlab/settings/@jupyterlab/apputils-extension"
    news = json.loads((ours / "notification.jupyterlab-settings").read_text())
    assert news == {"checkForUpdates": False, "fetchNews": "false"}
    fonts = ours / "themes.jupyterlab-settings"
    assert '"content-font-size1": "19px"' in fonts.read_text()
    fonts.write_text("{}")
    work.lay_out(source, folder)
    assert fonts.read_text() == "{}"


def test_projector_has_settings_of_its_own(source, folder, monkeypatch):
    """Larger fonts, no news either; they lie apart, so a student's own choice holds for one look alone."""
    monkeypatch.setenv(course.LOOK, "projector")
    work.lay_out(source, folder)
    ours = folder / work.settings() / "@jupyterlab/apputils-extension"
    plain = (work.SETTINGS / "plain/@jupyterlab/apputils-extension/themes.jupyterlab-settings").read_text()
    sizes = [
        [int(size) for size in re.findall(r'"(\d+)px"', text)]
        for text in (plain, (ours / "themes.jupyterlab-settings").read_text())
    ]
    assert len(sizes[0]) == 3 and all(b >= 1.25 * a for a, b in zip(*sizes, strict=True))
    assert "checkForUpdates" in (ours / "notification.jupyterlab-settings").read_text()
    assert any(str(folder / work.settings()) in word for word in jupyter.common_arguments(folder, lesson=""))
    monkeypatch.setenv(course.LOOK, "plain")
    assert work.settings() == course.OURS / "settings" and not (folder / work.settings()).exists()


def test_pictures_change_with_the_look(source, folder, monkeypatch):
    """There and back the stills are the look's own; one that the student changed stays, without a word."""
    for name in ("lobes", "hop"):
        for look in ("", "projector"):
            path = source / "figures" / look / f"{name}.svg"
            path.parent.mkdir(exist_ok=True)
            path.write_text(f"{look or 'plain'} {name}")
    work.lay_out(source, folder)
    lobes, mine = folder / "figures/lobes.svg", folder / "figures/hop.svg"
    mine.write_text("mine")
    for look in ("projector", "plain", "projector"):
        monkeypatch.setenv(course.LOOK, look)
        assert work.lay_out(source, folder) == []
        assert (lobes.read_text(), mine.read_text()) == (f"{look} lobes", "mine")
    assert (folder / "figures/projector/lobes.svg").read_text() == "projector lobes"
    (source / "figures/same.svg").write_text("in both looks")
    assert work.lay_out(source, folder) == []  # a page's switch asks for either
    assert (folder / "figures/projector/same.svg").read_text() == "in both looks"
    (source / "figures/hop.svg").write_text("newer plain hop")
    (source / "figures/projector/hop.svg").write_text("newer projector hop")
    (note,) = work.lay_out(source, folder)
    assert "Kept your figures/hop.svg" in note.replace("\\", "/")
    assert (folder / "figures/hop.new.svg").read_text() == "newer projector hop"
    monkeypatch.setenv(course.LOOK, "plain")
    assert work.lay_out(source, folder) == [] and mine.read_text() == "mine"


def test_the_command_switches_all(monkeypatch):
    """`antlab --projector`, with or without `lessons`, sets the one variable that kernels and pages read."""
    from antlab.cli import main as cli

    monkeypatch.setattr(cli, "settle", lambda extra, argv: None)
    looks = []
    monkeypatch.setattr(jupyter, "open_lessons", lambda folder, **how: looks.append(course.look()) or 0)
    for words in (["--no-browser"], ["--projector"], ["lessons", "--projector"]):
        monkeypatch.setenv(course.LOOK, "")
        assert cli.main(words) == 0
    assert looks == ["plain", "projector", "projector"]


def test_read_only_folder(source, tmp_path):
    """A folder that can't be had is a sentence with the mend."""
    (tmp_path / "file").write_text("")
    with pytest.raises(Trouble, match="can't be written .*: choose a folder .* with --folder"):
        work.lay_out(source, tmp_path / "file" / "lessons")


def test_first_lesson(source, tmp_path):
    """The lowest-numbered notebook, and a sentence when there is none."""
    assert course.first_lesson(source) == "notebooks/01-circuit.ipynb"
    with pytest.raises(Trouble, match="no lessons in .*: fetch a fresh copy"):
        course.first_lesson(tmp_path)


@pytest.fixture
def taken():
    """A port on which another program listens."""
    with socket.create_server(("127.0.0.1", 0)) as server:
        yield server.getsockname()[1]


def test_port_taken(taken, monkeypatch):
    """Asked for: a sentence. Not asked for: the next free one."""
    with pytest.raises(Trouble, match=f"port {taken} is taken by another program: choose another"):
        ports.choose_port(taken)
    monkeypatch.setattr(ports, "FIRST_PORT", taken)
    assert taken < ports.choose_port() < taken + 100


def test_ports_all_taken(monkeypatch):
    """The search ends with a sentence."""

    def refuse(self, address):
        raise OSError(ports.errno.EADDRINUSE, "in use")

    monkeypatch.setattr(ports.socket.socket, "bind", refuse)
    with pytest.raises(Trouble, match="8888 to 8987 are all taken: choose another with --port"):
        ports.choose_port()


def test_port_forbidden(monkeypatch):
    """A port that only an administrator may use is not called taken."""

    def refuse(self, address):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(ports.socket.socket, "bind", refuse)
    with pytest.raises(Trouble, match="port 80 may not be used on this machine"):
        ports.choose_port(80)


@pytest.fixture
def launched(source, monkeypatch):
    """Catch JupyterLab's command line instead of starting it."""
    from jupyterlab.labapp import LabApp

    lines = []
    monkeypatch.setattr(LabApp, "launch_instance", lines.append)
    monkeypatch.setattr(course, "course", lambda: source)
    monkeypatch.setattr(os, "geteuid", lambda: 1000, raising=False)
    monkeypatch.setenv("JUPYTER_CONFIG_PATH", "")
    return lines


def test_lab_is_for_this_machine_only(launched, folder, capsys):
    """On 127.0.0.1, with a token that differs each time, at the first lesson, in the work folder."""
    for _ in range(2):
        assert jupyter.open_lessons(folder, browser=False) == 0
    first, second = (dict(word.split("=", 1) for word in line) for line in launched)
    assert first["--ServerApp.ip"] == "127.0.0.1"
    assert first["--ServerApp.root_dir"] == str(folder)
    assert first["--ServerApp.open_browser"] == "False"
    assert first["--LabApp.default_url"] == "/lab/tree/notebooks/01-circuit.ipynb"
    assert len(first["--IdentityProvider.token"]) >= 32
    assert first["--IdentityProvider.token"] != second["--IdentityProvider.token"]
    address = f"http://127.0.0.1:{first['--ServerApp.port']}/lab/tree/notebooks/01-circuit.ipynb?token="
    said = capsys.readouterr().out
    assert address + first["--IdentityProvider.token"] in said
    assert "You are root" not in said


def test_kernels_read_homework(launched, folder):
    """The lessons' Python is the machine's own, with its encryption, and has one argument more."""
    jupyter.open_lessons(folder, browser=False)
    words = dict(word.split("=", 1) for word in launched[0])
    assert words["--ServerApp.kernel_spec_manager_class"] == "antlab.serve.kernels.HomeworkKernels"
    plain, ours = (manager().get_kernel_spec("python3") for manager in (KernelSpecManager, HomeworkKernels))
    assert ours.argv == [*plain.argv, TYPED] and ours.metadata == plain.metadata
    assert TYPED.endswith(typed.__name__) and callable(typed.load_ipython_extension)


@pytest.mark.parametrize("look", ["plain", "projector"])
def test_what_blinks_is_left_out(launched, folder, monkeypatch, look):
    """JupyterLab reads that the signs of a busy kernel are off, and for the projector the debugger, too."""
    monkeypatch.setenv(course.LOOK, look)
    jupyter.open_lessons(folder, browser=False)
    off = {name.partition("/")[2] for name in get_static_page_config(level="all")["disabledExtensions"]}
    assert off >= {"application-extension:faviconbusy", "apputils-extension:kernel-status"}
    panel = (
        folder / work.settings() / "@jupyterlab/notebook-extension/panel.jupyterlab-settings"
    ).read_text()
    assert re.search(r'"executionProgress",\s+"disabled": true', panel)
    assert ("debugger-extension" in off) == (look == "projector")


def test_root_is_told(launched, folder, monkeypatch, capsys):
    """As root JupyterLab's own flag is added, and said."""
    monkeypatch.setattr(os, "geteuid", lambda: 0, raising=False)
    jupyter.open_lessons(folder)
    assert "--allow-root" in launched[0]
    assert "--ServerApp.open_browser=True" in launched[0]
    assert "You are root" in capsys.readouterr().out


def test_next_port_is_said(launched, folder, taken, monkeypatch, capsys):
    """A student with another notebook open reads why the port differs."""
    monkeypatch.setattr(ports, "FIRST_PORT", taken)
    jupyter.open_lessons(folder)
    assert f"Port {taken} is taken, so this uses " in capsys.readouterr().out


def test_folder_is_expanded(launched, monkeypatch, tmp_path):
    """~ is understood where the shell leaves it alone, as on Windows."""
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("USERPROFILE", str(tmp_path))
    jupyter.open_lessons(Path("~") / "lessons")
    assert f"--ServerApp.root_dir={tmp_path / 'lessons'}" in launched[0]


def test_small_messages_are_sent_at_once(monkeypatch):
    """The kernel's line to the page turns TCP_NODELAY on before it is used."""
    from antlab.serve.channel import PromptConnection, ZMQChannelsWebsocketConnection

    done = []
    monkeypatch.setattr(ZMQChannelsWebsocketConnection, "connect", lambda self: done.append("connect"))
    connection = PromptConnection.__new__(PromptConnection)
    handler = type("Handler", (), {"set_nodelay": lambda self, value: done.append(value)})()
    monkeypatch.setattr(PromptConnection, "websocket_handler", handler)
    connection.connect()
    assert done == [True, "connect"]
