"""Homework out of the students' homes: whoever collects may read every file of the server, no student may."""

import os
import stat
import threading
import time

import pytest

from antlab.classroom.homework.classbook import write_class
from antlab.classroom.homework.progress import Progress, Record, Store, read
from antlab.cli import collect as collect_command
from antlab.cli import main as cli

pytestmark = pytest.mark.skipif(
    not hasattr(os, "geteuid") or os.geteuid() != 0, reason="gives files to accounts, which only root may"
)
ANN, BEN, TEACHER = 4001, 4002, 4003


@pytest.fixture
def homes(tmp_path):
    """Two homes with a work folder and one homework each, both by a student who is called juniper."""
    for name, uid in (("jupyter-ann", ANN), ("jupyter-ben", BEN)):
        work = tmp_path / "homes" / name / "antlab-lessons"
        work.mkdir(parents=True, mode=0o700)
        Store(work, "juniper")._write(
            Progress("juniper", {"01.capacitor-formula": Record(True, 1 + uid - ANN)})
        )
        for path in (work.parent, work, *work.iterdir()):
            os.chown(path, uid, uid)
    (tmp_path / "homes" / "nobody").mkdir()
    (tmp_path / "homes" / "README").touch()
    return tmp_path / "homes"


@pytest.fixture
def collect(homes, tmp_path, monkeypatch, capsys):
    """The command; returns exit status, what it printed, and the collected files by name."""
    monkeypatch.setattr(cli, "settle", lambda extra, argv: None)
    folder = tmp_path / "collected"

    def run(*words, to=folder):
        status = cli.main(["collect", str(to), "--homes", str(homes), *words])
        said = capsys.readouterr()
        there = to.is_dir() and not to.is_symlink()
        return status, said.out + said.err, {path.name: path for path in to.iterdir()} if there else {}

    return run


def test_one_nickname_in_two_accounts_are_two_students(collect, tmp_path):
    """Protects the second student's work: both arrive, closed to others, and count as two."""
    status, said, found = collect()
    assert status == 0 and "Collected 2 files" in said and "Left out" not in said
    assert [name.split(".homework-")[0] for name in found] == ["jupyter-ann", "jupyter-ben"]
    assert {stat.S_IMODE(path.stat().st_mode) for path in found.values()} == {0o600}
    assert stat.S_IMODE((tmp_path / "collected").stat().st_mode) == 0o700
    book = write_class(tmp_path / "collected", tmp_path)
    tries = {name: records["01.capacitor-formula"].tries for name, records in book.records.items()}
    assert tries == {"juniper (jupyter-ann)": 1, "juniper (jupyter-ben)": 2}
    assert collect()[0] == 0 and len(collect()[2]) == 2  # a second evening lies over the first


def test_who_called_sudo_gets_the_files(collect, tmp_path, monkeypatch):
    """An instructor who is no root can work with what was collected, and nobody else can."""
    monkeypatch.setenv("SUDO_UID", str(TEACHER))
    monkeypatch.setenv("SUDO_GID", str(TEACHER))
    _, _, found = collect()
    assert {path.stat().st_uid for path in [*found.values(), tmp_path / "collected"]} == {TEACHER}


LINKS = {
    "a link to a file of root's": lambda path, secret: path.symlink_to(secret),
    "a hard link to one": lambda path, secret: os.link(secret, path),
    "a link to a device without end": lambda path, secret: path.symlink_to("/dev/zero"),
    "a pipe that nobody writes to": lambda path, secret: os.mkfifo(path),
    "a folder": lambda path, secret: path.mkdir(),
    "a file of gigabytes": lambda path, secret: (path.touch(), os.truncate(path, 5 * 2**30)),
}


@pytest.mark.parametrize("what", LINKS)
def test_what_lies_in_wait_is_left_out(what, collect, homes, tmp_path):
    """Protects every file of the server, its disk and the collector's time: it stays there, and is said."""
    secret = tmp_path / "secret"
    secret.write_text("for root alone")
    secret.chmod(0o600)
    trap = homes / "jupyter-ann" / "antlab-lessons" / "homework-a-123456.json"
    LINKS[what](trap, secret)
    if not trap.is_symlink() and trap.stat().st_uid == 0 and trap.stat().st_nlink == 1:
        os.chown(trap, ANN, ANN)
    start = time.monotonic()
    status, said, found = collect()
    assert time.monotonic() - start < 5
    assert status == 0 and len(found) == 2
    assert "Left out jupyter-ann/antlab-lessons/homework-a-123456.json: " in said
    assert not any(b"root alone" in path.read_bytes() for path in found.values())


def test_a_work_folder_that_is_a_link(collect, homes):
    """Protects another student's homework and root's folders, where the whole folder is a link to them."""
    work = homes / "jupyter-ann" / "antlab-lessons"
    work.rename(homes / "jupyter-ann" / "elsewhere")
    work.symlink_to(homes / "jupyter-ben" / "antlab-lessons")
    _, said, found = collect()
    assert len(found) == 1 and "Left out jupyter-ann/antlab-lessons: it is a link" in said


def test_folders_that_change_under_the_reader(collect, homes):
    """Protects against a race: while the collector reads, the folder becomes a link, over and over."""
    home, goal = homes / "jupyter-ann", homes / "secrets"
    goal.mkdir()
    (goal / "homework-s-123456.json").write_text("root's")
    work, real, link = home / "antlab-lessons", home / "real", home / "link"
    link.symlink_to(goal)
    stop = threading.Event()

    def swap():
        while not stop.is_set():
            os.rename(work, real), os.rename(link, work), os.rename(work, link), os.rename(real, work)

    thread = threading.Thread(target=swap)
    thread.start()
    try:
        for _ in range(30):
            _, _, found = collect()
            assert not any("-s-" in name for name in found)
    finally:
        stop.set()
        thread.join()


def test_names_and_numbers_are_bounded(collect, homes):
    """Protects the terminal and the disk: odd names are said in plain letters, no heaps are carried off."""
    work = homes / "jupyter-ann" / "antlab-lessons"
    for name in ["homework-\x1b[2J.json", "homework-\u202e.json", *(f"homework-{i}.json" for i in range(60))]:
        (work / name).write_text("{}")
        os.chown(work / name, ANN, ANN)
    _, said, found = collect()
    assert len(found) <= collect_command.MOST_FILES + 1 and "too much in it" in said
    assert "\x1b" not in said and "\u202e" not in said


def test_the_folder_is_the_collectors_own(collect, homes, tmp_path):
    """Protects the collected files: nowhere that a student could have laid links or could read along."""
    shared = tmp_path / "shared"
    shared.mkdir()
    shared.chmod(0o777)
    status, said, _ = collect(to=shared)
    assert status == 2 and f"others may write to {shared}: close it to them (chmod go-w)" in said
    link = tmp_path / "link"
    link.symlink_to(homes)
    assert collect(to=link)[0] == 2
    theirs = tmp_path / "theirs"
    theirs.mkdir()
    os.chown(theirs, ANN, ANN)
    assert collect(to=theirs)[0] == 2 and not list(theirs.iterdir())
    assert "no name of a folder" in collect("--work", "../jupyter-ben/antlab-lessons")[1]


def test_what_was_collected_is_still_only_read(collect, homes, tmp_path):
    """A file of the student's own with anything in it arrives, and the class table names it."""
    spoilt = homes / "jupyter-ann" / "antlab-lessons" / "homework-x-123456.json"
    spoilt.write_bytes(b"\xff" * 1000)
    os.chown(spoilt, ANN, ANN)
    assert len(collect()[2]) == 3
    book = write_class(tmp_path / "collected", tmp_path)
    assert len(book.records) == 2
    ((name, why),) = book.notes
    assert name == "jupyter-ann.homework-x-123456.json" and why.startswith("is damaged")
    assert read(next((tmp_path / "collected").glob("jupyter-ben.*"))).student == "juniper"
