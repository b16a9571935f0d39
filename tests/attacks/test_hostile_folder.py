"""A folder in which somebody laid links, pipes and others' names before us, and a disk that fills up."""

import json
import os
import stat
import subprocess
import sys
import time

import pytest

from antlab import files
from antlab.classroom import homework
from antlab.classroom.homework.classbook import ClassBook, write_class
from antlab.classroom.homework.progress import Progress, Record, Store, file_name, read_class
from antlab.classroom.paper import pages
from antlab.cli import main as cli
from antlab.cli.firstrun import missing
from antlab.files import ROOT
from antlab.serve import work
from antlab.trouble import Trouble

pytestmark = pytest.mark.skipif(os.name == "nt", reason="links and pipes as Unix has them")
MINE = "my start-up file"


@pytest.fixture
def victim(tmp_path):
    """A file of somebody's, outside of the folder that is attacked."""
    path = tmp_path / "home" / ".profile"
    path.parent.mkdir()
    path.write_text(MINE)
    return path


@pytest.fixture
def folder(tmp_path):
    """The folder that is attacked."""
    path = tmp_path / "folder"
    path.mkdir()
    return path


# one safe write


def test_a_link_is_replaced_and_not_followed(folder, victim):
    """Protects what a link leads to, wherever we write: the name becomes our file, the other stays."""
    aims = {"to-a-file": victim, "to-nothing": victim.with_name("new"), "to-itself": "to-itself"}
    for name, aim in aims.items():
        (folder / name).symlink_to(aim)
        files.write(folder / name, b"ours")
        assert not (folder / name).is_symlink() and (folder / name).read_bytes() == b"ours"
    assert victim.read_text() == MINE and not victim.with_name("new").exists()


def test_nobody_can_guess_the_temporary_file(folder, victim, monkeypatch):
    """Protects against a file laid in wait: the temporary one has a fresh name each time, and must be new."""
    seen = []
    monkeypatch.setattr(files.os, "replace", lambda fresh, path: seen.append(os.path.basename(fresh)))
    files.write(folder / "a", b"")
    files.write(folder / "a", b"")
    assert len(set(seen)) == 2 and all(len(name) > 30 for name in seen)
    monkeypatch.setattr(files.secrets, "token_hex", lambda count: "known")
    (folder / ".antlab-known").symlink_to(victim)
    with pytest.raises(FileExistsError):
        files.write(folder / "a", b"ours")
    assert victim.read_text() == MINE


def test_a_private_file_is_never_open_to_others(folder):
    """Protects students' names: private from the first byte on, also over a file that was open to all."""
    was_open = folder / "open"
    was_open.write_text("x")
    was_open.chmod(0o666)
    for name in ("open", "new"):
        files.write(folder / name, b"ours", private=True)
        assert stat.S_IMODE((folder / name).stat().st_mode) == 0o600
    was_open.chmod(0o640)
    files.write(was_open, b"ours")  # not private: the rights that somebody chose are kept
    assert stat.S_IMODE(was_open.stat().st_mode) == 0o640


def test_what_exists_is_kept_unless_it_may_be_lost(folder, victim):
    """Protects a file, and a link to nothing, that nobody gave up."""
    (folder / "dangling").symlink_to(victim.with_name("new"))
    (folder / "there").write_text(MINE)
    for name in ("there", "dangling"):
        with pytest.raises(FileExistsError):
            files.write(folder / name, b"ours", force=False)
    assert (folder / "there").read_text() == MINE and sorted(os.listdir(folder)) == ["dangling", "there"]
    assert files.write(folder / "new", b"ours", force=False).read_bytes() == b"ours"


def test_it_is_on_the_disk_before_it_has_its_name(folder, monkeypatch):
    """Protects against a pulled plug: the bytes are settled first, then the name, then the folder."""
    done = []
    monkeypatch.setattr(files.os, "fsync", lambda handle: done.append(stat.S_ISDIR(os.fstat(handle).st_mode)))
    real = os.replace
    monkeypatch.setattr(files.os, "replace", lambda *names: (done.append("named"), real(*names)))
    files.write(folder / "a", b"ours")
    assert done == [False, "named", True]


FULL = """
import resource, signal, sys
from antlab.__main__ import main
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (20_000, 20_000))  # as a disk with 20 kB left answers
sys.exit(*{main(["plan", "--height=9m", "--force", "--save", name]) for name in sys.argv[1:]})
"""


@pytest.mark.skipif(bool(missing(ROOT)), reason="needs antlab installed from here")
def test_a_full_disk_costs_no_sheet(folder):
    """Protects the old build sheet where `plan --save --force` finds no room: one line, no half file."""
    names = ["sheet.pdf", "sheet.png", "sheet.svg"]
    for name in names:
        (folder / name).write_text("the sheet of last week")
    done = subprocess.run([sys.executable, "-c", FULL, *names], capture_output=True, text=True, cwd=folder)
    assert done.returncode == 2 and done.stdout == ""
    said = done.stderr.splitlines()
    assert len(said) == len(names), done.stderr
    for name, line in zip(names, said, strict=True):
        assert line.startswith(f"antlab: {name} can't be written (") and line.endswith("choose another name")
        assert (folder / name).read_text() == "the sheet of last week"
    assert sorted(os.listdir(folder)) == names


# the class table


def a_class(folder):
    Store(folder, "juniper")._write(Progress("juniper", {"01.capacitor-formula": Record(True, 1)}))


def test_the_table_goes_nowhere_else(folder, victim):
    """Protects the instructor's start-up file from a link named as the table, or as its temporary file."""
    for name in ("class.csv", "class.html", "class.csv.part", "class.html.part"):
        (folder / name).symlink_to(victim)
    a_class(folder)
    write_class(folder, folder)
    assert victim.read_text() == MINE
    for name in ("class.csv", "class.html"):
        assert stat.S_IMODE((folder / name).lstat().st_mode) == 0o600 and not (folder / name).is_symlink()


def test_a_students_own_part_file_stays(folder):
    """Protects a file that happens to be called X.part, for every X that we write."""
    for name in ("class.csv.part", "class.html.part", file_name("juniper") + ".part"):
        (folder / name).write_text(MINE)
    a_class(folder)
    write_class(folder, folder)
    assert {path.read_text() for path in folder.glob("*.part")} == {MINE}


def test_a_table_that_cannot_be_written(folder, monkeypatch, capsys):
    """Protects from a traceback: a folder in the table's place is one line, and nothing is left behind."""
    monkeypatch.setattr(cli, "settle", lambda extra, argv: None)
    a_class(folder)
    (folder / "class.csv").mkdir()
    assert cli.main(["class", str(folder)]) == 2
    assert f"{folder / 'class.csv'} can't be written (" in capsys.readouterr().err
    assert sorted(os.listdir(folder)) == ["class.csv", file_name("juniper")]


def test_progress_files_are_no_links(folder, victim):
    """Protects what a link leads to from being read into the class's table, and from being put aside."""
    a_class(victim.parent)
    (folder / "homework-x-123456.json").symlink_to(victim.parent / file_name("juniper"))
    assert read_class(folder) == ({}, [("homework-x-123456.json", "can't be read: it is a link")])
    (folder / file_name("juniper")).symlink_to(victim)
    hw = homework.sheet("01", student="juniper", folder=folder)
    hw.check("01.2", 1)
    assert victim.read_text() == MINE and not (folder / file_name("juniper")).is_symlink()
    (aside,) = folder.glob("*.spoilt")
    assert aside.is_symlink() and aside.resolve() == victim


def test_an_earlier_spoilt_file_is_not_lost(folder):
    """Protects what was put aside before: each goes to a name of its own."""
    store = Store(folder, "juniper")
    for words in ("first", "second"):
        store.path.write_text(words)
        assert store.records() == {}
    assert {path.read_text() for path in folder.glob("*.spoilt")} == {"first", "second"}


CELLS = ("=1+1", " =1+1", "a;=1+1", "a, =1+1", "a;;@SUM(1)", "a|-1+1", 'a"=1', "x;\u2028+1", "'=1")


@pytest.mark.parametrize("name", CELLS)
def test_no_cell_is_a_formula_at_any_separator(name):
    """Protects the instructor's spreadsheet, whichever of , ; | or tab it takes for the end of a cell."""
    book = ClassBook({name: {"01.capacitor-formula": Record(True, 1)}})
    for line in book.csv().splitlines():
        for separator in ",;|\t":
            for cell in line.split(separator):
                assert not cell.strip(" \"'\u2028").startswith(tuple("=+-@")) or cell.strip(' "')[0] == "'"


def test_classes_of_all_sizes(folder):
    """Protects from a traceback: no problems at all, a name of 5,000 letters, a mark before the text."""
    entry = {"antlab": "homework", "format": 1, "numbers": 1, "student": "juniper", "problems": {}}
    (folder / "a.json").write_text(json.dumps(entry))
    (folder / "b.json").write_text(json.dumps(entry | {"student": 5000 * "x"}))
    (folder / "c.json").write_text(json.dumps(entry | {"student": "ann"}), encoding="utf-8-sig")
    book = write_class(folder, folder)
    assert list(book.records) == ["ann", "juniper"] and book.notes == [("b.json", "names no student")]
    assert "juniper" in book.text() and "juniper" in (folder / "class.html").read_text()


def test_ten_thousand_files(folder):
    """Protects the instructor's evening: a heap of files takes some seconds, not minutes."""
    entry = {"antlab": "homework", "format": 1, "numbers": 1}
    record = {"right": False, "tries": 2, "hint": "two-pi", "mark": "1"}
    for number in range(10_000):
        whole = entry | {"student": f"student {number}", "problems": {"01.1": record, "01.2": record}}
        (folder / f"{number}.json").write_text(json.dumps(whole))
    start = time.process_time()  # of this process alone, however busy the machine
    book = write_class(folder, folder)
    book.text()
    assert time.process_time() - start < 10
    assert len(book.records) == 10_000


# the work folder


@pytest.fixture
def course(tmp_path):
    """A small course."""
    for name in ("notebooks/01-circuit.ipynb", "notebooks/data/a.s1p", "figures/lobes.svg"):
        path = tmp_path / "course" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(f"first {name}")
    return tmp_path / "course"


@pytest.mark.parametrize("place", ["notebooks", "notebooks/data", "figures", ".antlab", ".antlab/settings"])
def test_no_lesson_leaves_the_work_folder(place, course, folder, victim):
    """Protects whatever a link in place of a folder of the course leads to."""
    (folder / place).parent.mkdir(exist_ok=True)
    (folder / place).symlink_to(victim.parent)
    before = sorted(os.listdir(victim.parent))
    with pytest.raises(Trouble, match=f"{folder / place} can't be written .it is a link.: choose a folder"):
        work.lay_out(course, folder)
    assert sorted(os.listdir(victim.parent)) == before and victim.read_text() == MINE


def test_odd_things_in_place_of_lessons(course, folder, victim):
    """Protects the start of an evening: a link, a pipe, a folder there is kept and named, not waited for."""
    (folder / "notebooks" / "data").mkdir(parents=True)
    (folder / "figures" / "lobes.svg").mkdir(parents=True)
    (folder / "notebooks" / "01-circuit.ipynb").symlink_to(victim)
    os.mkfifo(folder / "notebooks" / "data" / "a.s1p")
    for _ in range(2):
        notes = work.lay_out(course, folder)
        assert len(notes) == 3 and all("no plain file" in note for note in notes)
    assert victim.read_text() == MINE and (folder / "notebooks" / "01-circuit.ipynb").is_symlink()
    assert (folder / "notebooks" / "01-circuit.new.ipynb").read_text() == "first notebooks/01-circuit.ipynb"


def test_an_emptied_lesson_is_named(course, folder):
    """Protects a student from a page that does not open: kept, since it may be meant, and said each time."""
    work.lay_out(course, folder)
    (folder / "notebooks" / "01-circuit.ipynb").write_text("")
    for _ in range(2):
        (note,) = work.lay_out(course, folder)
        assert "Kept your notebooks/01-circuit.ipynb as it is, which is empty" in note
    assert (folder / "notebooks" / "01-circuit.ipynb").read_text() == ""


MANIFESTS = "[]", "[" * 100_000, '{"a":' * 9000, '{"figures/lobes.svg": ["x"]}', "5", "\xff"


@pytest.mark.parametrize("manifest", MANIFESTS)
def test_any_manifest_is_survived(manifest, course, folder):
    """Protects the student's changes: a manifest that is none overwrites nothing and stops nothing."""
    work.lay_out(course, folder)
    (folder / work.MANIFEST).write_text(manifest, encoding="latin-1")
    (folder / "figures" / "lobes.svg").write_text("mine")
    work.lay_out(course, folder)
    assert (folder / "figures" / "lobes.svg").read_text() == "mine"
    (folder / work.MANIFEST).unlink()
    os.mkfifo(folder / work.MANIFEST)
    work.lay_out(course, folder)
    assert files.is_plain(folder / work.MANIFEST)


# pages


def test_pages_are_written_over_pages_of_ours_alone(folder, victim, monkeypatch):
    """Protects a file, link or pipe in the folder for phone pages: named before anything is written."""
    monkeypatch.setattr(pages, "views", dict)
    for make in (lambda path: path.symlink_to(victim), os.mkfifo, os.mkdir):
        (folder / "index.html").unlink(missing_ok=True)
        make(folder / "index.html")
        with pytest.raises(FileExistsError, match="is not one of antlab's pages"):
            pages.write_pages(folder)
    (folder / "index.html").rmdir()
    assert [path.name for path in pages.write_pages(folder)] == ["index.html"]
    assert victim.read_text() == MINE


# reading


def test_nothing_but_plain_files_is_read(folder, victim):
    """Protects from waiting for ever and from a full memory, wherever a file of somebody's is read."""
    os.mkfifo(folder / "pipe")
    (folder / "link").symlink_to(victim)
    (folder / "device").symlink_to("/dev/zero")
    for name, why in (("pipe", "plain"), ("link", "link"), (".", "plain"), ("device", "link")):
        with pytest.raises(OSError, match=f"it is (a|no) .*{why}"):
            files.read(folder / name, most=100)
    with pytest.raises(OSError, match="no plain file"):
        files.read(folder / "device", most=100, follow=True)
    assert files.read(folder / "link", most=100, follow=True) == MINE.encode()
    with pytest.raises(OSError, match="more than 3 bytes"):
        files.read(victim, most=3)
    with pytest.raises(OSError, match="somebody else"):
        files.read(victim, most=100, owner=os.getuid() + 1)
