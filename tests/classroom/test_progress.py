"""Progress files and the class table: nothing is lost, nothing is run, every file is accounted for."""

import csv
import io
import json
import math
import multiprocessing
import os
import re
import threading
import time
from dataclasses import replace
from html.parser import HTMLParser

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from matplotlib import pyplot as plt

from antlab.classroom import homework
from antlab.classroom.drawing.stills import class_results
from antlab.classroom.homework import former, progress
from antlab.classroom.homework.classbook import ClassBook, write_class
from antlab.classroom.homework.judging import Verdict
from antlab.classroom.homework.naming import LESSONS
from antlab.classroom.homework.problems import lesson
from antlab.classroom.homework.progress import (
    Progress,
    Record,
    Store,
    Unreadable,
    file_name,
    read,
    read_class,
    work_folder,
)
from antlab.cli import main as cli
from tests.letters import LETTERS

WRONG = Verdict("wrong", "no", "two-pi", "1")
RIGHT = Verdict("right", "yes", "", "2")
FIRST, SECOND, THIRD, DECISION = (lesson("01").ids[place] for place in ("01.1", "01.2", "01.3", "01.5"))


def content(**changes):
    """A progress file as it should be, with changes."""
    record = {"right": True, "tries": 2, "hint": "two-pi", "mark": "1"}
    whole = {"antlab": "homework", "format": 2, "numbers": 1, "student": "juniper"}
    return whole | {"problems": {FIRST: record}} | changes


# keeping


def test_a_record_counts_tries_until_right():
    """The same answer again is no try; what can't be read is none; what was right stays right."""
    record = Record().after(WRONG).after(WRONG)
    assert (record.right, record.tries, record.hint) == (False, 1, "two-pi")
    record = record.after(Verdict("unread", "?", "text")).after(Verdict("blank", ""))
    assert (record.tries, record.hint) == (1, "text")
    record = record.after(RIGHT)
    assert (record.right, record.tries, record.hint) == (True, 2, "text")
    assert record.after(Verdict("wrong", "", "x", "9")) == record


def test_what_is_kept_comes_back(tmp_path):
    """Each verdict is in the file at once, as small readable JSON."""
    store = Store(tmp_path, "Red Oak")
    store.add(FIRST, WRONG)
    store.add(FIRST, RIGHT)
    store.add("02.power-back", WRONG)
    (path,) = tmp_path.iterdir()
    assert path.name.startswith("homework-red-oak-") and path.stat().st_size < 1000
    assert read(path).student == "Red Oak"
    assert Store(tmp_path, "red oak").records() == {
        FIRST: Record(True, 2, "two-pi", "2"), "02.power-back": Record(False, 1, "two-pi", "1")
    }  # fmt: skip


def test_a_file_by_places_still_reads(tmp_path):
    """What format 1 called 01.1 is known by its id; with the next answer the file is written anew."""
    path = tmp_path / file_name("juniper")
    old = {place: {"right": True, "tries": 2, "hint": "", "mark": "1"} for place in ("01.1", "10.5")}
    path.write_text(json.dumps(content(format=1, problems=old)))
    ours = {"01.capacitor-formula": Record(True, 2, "", "1"), "10.which-first": Record(True, 2, "", "1")}
    assert read(path).records == ours
    assert "Right so far: 01.1." in repr(homework.sheet("01", student="juniper", folder=tmp_path))
    Store(tmp_path, "juniper").add(SECOND, WRONG)
    assert json.loads(path.read_text())["format"] == 2
    assert read(path).records == ours | {SECOND: Record(False, 1, "two-pi", "1")}
    path.write_text(json.dumps(content(format=1, problems={"01.9": old["01.1"]})))
    with pytest.raises(Unreadable, match="01.9"):
        read(path)


def test_every_problem_of_format_1_is_known():
    """The table of former places names problems that there are, save for one that went since then."""
    now = {id_ for number in LESSONS for id_ in lesson(number).ids.values()}
    assert set(former.IDS.values()) <= now and len(former.IDS) == len(set(former.IDS.values())) == 49


def test_a_record_follows_its_problem(tmp_path):
    """When a lesson's problems change places, what a student got right stays right."""
    Store(tmp_path, "juniper").add(FIRST, RIGHT)
    now = lesson("01", "juniper")
    turned = replace(now, named=dict(reversed(now.named.items())))
    assert "Right so far: 01.5." in repr(homework.Sheet(turned, "juniper", Store(tmp_path, "juniper")))


def test_a_problem_of_a_newer_course_is_kept(tmp_path):
    """A result that this version has no problem for stays in the file, and is left out of the table."""
    store = Store(tmp_path, "juniper")
    store.add("01.not-yet-written", RIGHT)
    store.add(FIRST, RIGHT)
    assert set(read(store.path).records) == {"01.not-yet-written", FIRST}
    assert ClassBook(*read_class(tmp_path)).text().splitlines()[1].split() == ["juniper", "+...."]


ODD_NAMES = (
    "../../etc/passwd", "C:\\con", "a/b", "..", ".", "CON", "\x00x", "é" * 40, "\u202egnp.exe", "a" * 40,
    "'\"<&>",
)  # fmt: skip


@pytest.mark.parametrize("name", ODD_NAMES)
def test_a_name_is_never_a_path(tmp_path, name):
    """Whatever a student is called, the file is a plain one in the work folder, and reads back."""
    work = tmp_path / "work"
    work.mkdir()
    Store(work, name).add(FIRST, RIGHT)
    (path,) = work.iterdir()
    assert re.fullmatch(r"homework-[a-z0-9-]{1,42}-[0-9a-f]{6}\.json", path.name)
    assert list(tmp_path.iterdir()) == [work]
    assert read(path).records[FIRST].right


def test_names_alike_do_not_share_a_file():
    """The name is shortened to plain letters, so a hash keeps students apart."""
    assert len({file_name(name) for name in ("a/b", "a b", "a-b", "é", "è", "")}) == 6
    assert file_name("Red Oak") == file_name("red oak")


def add_many(folder, number, count):
    store = Store(folder, "juniper")
    for i in range(count):
        store.add(f"{number:02}.{'abcde'[i % 5]}", Verdict("wrong", "", "other", str(i)))


def test_two_open_notebooks_lose_nothing(tmp_path):
    """Two processes and two threads write at the same time; every try is in the file at the end."""
    work = [(tmp_path, number, 20) for number in (1, 2, 3, 4)]
    spawn = multiprocessing.get_context("fork" if hasattr(os, "fork") else "spawn")
    hands = [spawn.Process(target=add_many, args=one) for one in work[:2]]
    hands += [threading.Thread(target=add_many, args=one) for one in work[2:]]
    for hand in hands:
        hand.start()
    for hand in hands:
        hand.join()
    (path,) = tmp_path.iterdir()
    records = read(path).records
    assert len(records) == 20 and {one.tries for one in records.values()} == {4}


def test_a_crash_leaves_the_last_whole_file(tmp_path, monkeypatch):
    """A plug pulled while writing: the file as it was is still there, and the next answer is kept."""
    store = Store(tmp_path, "juniper")
    store.add(FIRST, RIGHT)

    def crash(*args):
        raise KeyboardInterrupt

    with monkeypatch.context() as patch:
        patch.setattr("antlab.files.os.replace", crash)
        with pytest.raises(KeyboardInterrupt):
            store.add(SECOND, RIGHT)
    assert set(read(store.path).records) == {FIRST}
    store.add(THIRD, RIGHT)
    assert set(read(store.path).records) == {FIRST, THIRD}


def test_a_lock_left_behind_is_broken(tmp_path, monkeypatch):
    """A crash between lock and file does not lock the student out for good, nor for long."""
    store = Store(tmp_path, "juniper")
    lock = store.path.with_suffix(".lock")
    lock.touch()
    os.utime(lock, (1, 1))
    with monkeypatch.context() as patch:
        patch.setattr(time, "sleep", (slept := []).append)
        store.add(FIRST, RIGHT)
    assert len(slept) <= 1 and not lock.exists()
    lock.touch()
    monkeypatch.setattr(progress, "_PATIENCE_S", 0.1)
    store.add(SECOND, RIGHT)
    assert set(read(store.path).records) == {FIRST, SECOND}


def test_a_damaged_file_is_put_aside(tmp_path, capsys):
    """Nothing is thrown away: the student is told, and begins afresh."""
    path = Store(tmp_path, "juniper").path
    path.write_bytes(b"{half a fi")
    hw = homework.sheet("01", student="juniper", folder=tmp_path)
    assert "is damaged" in repr(hw).replace("\n", " ") and ".spoilt" in repr(hw)
    (aside,) = tmp_path.glob("*.spoilt")
    assert aside.read_bytes() == b"{half a fi"
    hw.check("01.5", lesson("01", "juniper").problems["01.5"].right)
    assert read(path).records[DECISION].right


def test_a_folder_that_cannot_be_written(tmp_path, monkeypatch, capsys):
    """The answer is judged all the same, and the trouble said."""

    def full(*args):
        raise OSError(28, "No space left on device")

    hw = homework.sheet("01", student="juniper", folder=tmp_path)
    monkeypatch.setattr(progress.files, "write", full)
    hw.check("01.2", 1)
    hw.check("01.2", 2)
    shown = " ".join(capsys.readouterr().out.split())
    assert "No space left" in shown and shown.count("Not yet.") == 2


def test_only_a_work_folder_keeps_anything(tmp_path, monkeypatch):
    """In a checkout, and for the example, nothing is written; in a work folder it is, from anywhere in it."""
    place = tmp_path / "notebooks" / "homework"
    place.mkdir(parents=True)
    monkeypatch.chdir(place)
    assert work_folder() is None
    homework.sheet("01", student="juniper").check("01.2", 1)
    (tmp_path / ".antlab").mkdir()
    homework.sheet("01").check("01.2", 1)
    homework.sheet("01", student=" Example ").check("01.2", 1)
    assert not list(tmp_path.glob("*.json"))
    homework.sheet("01", student="juniper").check("01.2", 1)
    assert read(tmp_path / file_name("juniper")).records[SECOND].tries == 1
    again = homework.sheet("01", student="junper")
    assert "by another name" in repr(again).replace("\n", " ")
    homework.sheet("01", student="juniper").check("01.1", lesson("01", "juniper").problems["01.1"].right)
    assert "Right so far: 01.1." in repr(homework.sheet("01", student="juniper")).replace("\n", " ")


# reading


RECORD = {"right": False, "tries": 1, "hint": "", "mark": ""}
CHANGES = {
    "another format": {"format": 3},
    "a format that is none": {"format": [1]},
    "other numbers": {"numbers": 99},
    "no student": {"student": None},
    "a student in two lines": {"student": "a\nb"},
    "a long student": {"student": "x" * 41},
    "a list of students": {"student": ["x"]},
    "an empty student": {"student": ""},
    "problems in a list": {"problems": [RECORD]},
    "many problems": {"problems": {str(i): RECORD for i in range(999)}},
    "a path for a problem": {"problems": {"../../x": RECORD}},
    "an unknown lesson": {"problems": {"77.1": RECORD}},
    "a record that is none": {"problems": {FIRST: 5}},
    **{
        f"{part} {value!r:.20}": {"problems": {FIRST: RECORD | {part: value}}}
        for part, values in {
            "right": ("yes", 1, None), "tries": (-1, True, 10**30, 0.5, "1", math.nan),
            "hint": ("<script>", None, "x" * 31), "mark": ("x" * 41, 7),
        }.items()
        for value in values
    },
}  # fmt: skip
HOSTILE = {
    "empty": b"",
    "binary": bytes(range(256)) * 9,
    "ten megabytes": b"[" + b"1," * 5_000_000 + b"1]",
    "a list": b"[]",
    "deep": b"[" * 100_000,
    "deep and closed": b'{"a":' * 5000 + b"1" + b"}" * 5000,
    "another encoding": "ä".encode("utf-16"),
    "a pickle": b"cos\nsystem\n(S'touch owned'\ntR.",
    "python": b"__import__('os').system('touch owned')",
    "a number of many digits": b'{"antlab": ' + b"9" * 10_000 + b"}",
    "NaN": b"NaN",
    "text": b'"homework"',
    "nothing in it": b"{}",
    "another program": b'{"antlab": 1}',
    **{name: json.dumps(content(**changes)).encode() for name, changes in CHANGES.items()},
}


@pytest.mark.parametrize("what", HOSTILE)
def test_hostile_files_are_survived_and_named(what, tmp_path):
    """Whatever is in a file: it is not run, the others count, and the instructor is told which and why."""
    (tmp_path / "bad.json").write_bytes(HOSTILE[what])
    (tmp_path / "good.json").write_text(json.dumps(content()))
    start = time.process_time()
    records, notes = read_class(tmp_path)
    assert time.process_time() - start < 1
    assert list(records) == ["juniper"]
    ((name, why),) = notes
    assert name == "bad.json" and len(why) > 8
    assert not (tmp_path / "owned").exists()


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no such files here")
def test_odd_things_called_json(tmp_path):
    """A folder, a pipe, a link to nowhere or to a device is no progress file, and nobody waits for it."""
    (tmp_path / "folder.json").mkdir()
    os.mkfifo(tmp_path / "pipe.json")
    (tmp_path / "nowhere.json").symlink_to(tmp_path / "missing")
    (tmp_path / "device.json").symlink_to("/dev/zero")
    records, notes = read_class(tmp_path)
    assert records == {} and len(notes) == 4
    whys = {why.removeprefix("can't be read: ") for _, why in notes}
    assert whys == {"it is a link", "it is no plain file"}


@settings(max_examples=200, deadline=None, derandomize=True)
@given(st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(LETTERS, max_size=8),
    lambda inner: st.lists(inner, max_size=3)
    | st.dictionaries(st.sampled_from([*content(), FIRST]) | st.text(LETTERS, max_size=3), inner, max_size=6),
    max_leaves=12,
))  # fmt: skip
def test_any_json_is_understood_or_refused(thing):
    """No shape of data gets further than a sentence."""
    try:
        found = progress._understood(thing)
    except Unreadable as why:
        assert str(why)
    else:
        assert isinstance(found.student, str)


# the class


def fill(folder, count, seed=5):
    """A class of count students, who got some problems and not others."""
    dice = np.random.default_rng(seed)
    numbers = ("01", "03", "07")
    for i in range(count):
        records = {}
        for name in (name for number in numbers for name in lesson(number).ids.values()):
            if dice.random() < 0.8:
                right = bool(dice.random() < (0.2 if name == "03.coil-formula" else 0.9))
                hint = "not-squared" if name == "03.coil-formula" else ""
                records[name] = Record(right, int(dice.integers(1, 4)), hint)
        Store(folder, f"student {i}")._write(Progress(f"student {i}", records))


def test_two_hundred_files_in_two_seconds(tmp_path):
    """Reading, table, spreadsheet, picture and page of a large class."""
    fill(tmp_path, 200)
    lesson("01"), plt.figure(), plt.close()  # sympy and matplotlib are there already
    start = time.process_time()  # of this process alone, however busy the machine
    book = write_class(tmp_path, tmp_path)
    book.text()
    assert time.process_time() - start < 2
    assert len(book.records) == 200 and not book.notes


def test_what_the_class_did_not_get(tmp_path):
    """The problem that most did not get comes first, with the hint that was given most often."""
    fill(tmp_path, 12)
    book = ClassBook(*read_class(tmp_path))
    name, open_, _, hint = book.missed()[0]
    assert (name, hint) == ("03.3", "ratio not squared") and open_ >= 6
    text = book.text()
    assert "03.3  The coil that the trap looks like" in text and "ratio not squared" in text
    assert text.splitlines()[0].split() == ["student", "01", "03", "07"]
    assert re.fullmatch(r"student 0( +[+.1-9]{4,5}){3}", text.splitlines()[1])


def test_copies_of_a_file_count_once(tmp_path):
    """Two files of one student are joined: of each problem the better result, and it is said."""
    for folder, right in (("", False), ("juniper", True)):
        (tmp_path / folder).mkdir(exist_ok=True)
        record = {"right": right, "tries": 3, "hint": "", "mark": ""}
        (tmp_path / folder / "a.json").write_text(json.dumps(content(problems={FIRST: record})))
    (tmp_path / ".antlab").mkdir()
    (tmp_path / ".antlab" / "laid.json").write_text("{}")
    records, notes = read_class(tmp_path)
    assert records == {"juniper": {FIRST: Record(True, 3)}}
    assert [name for name, _ in notes] == ["juniper/a.json"]


class Tags(HTMLParser):
    """Collects the tags and the text of a page."""

    def __init__(self):
        super().__init__()
        self.tags, self.words, self.links = [], [], []

    def handle_starttag(self, tag, attrs):
        self.tags.append(tag)
        self.links += [value for name, value in attrs if name in ("src", "href") and value[0] != "#"]

    def handle_data(self, data):
        self.words.append(data.strip())


NASTY = "<script>alert(1)</script>"


def test_the_page_needs_nothing_and_runs_nothing(tmp_path):
    """One file, no link to fetch, no script, whatever a student is called."""
    Store(tmp_path, NASTY).add(FIRST, WRONG)
    Store(tmp_path, "=HYPERLINK(1)").add(FIRST, RIGHT)
    write_class(tmp_path, tmp_path)
    page = (tmp_path / "class.html").read_text()
    tags = Tags()
    tags.feed(page)
    assert "script" not in tags.tags and "img" not in tags.tags and "link" not in tags.tags
    assert NASTY in tags.words and not tags.links
    (missed,) = (words for words in tags.words if words.startswith("01.1  The capacitor as a formula: "))
    assert missed.endswith("1 not yet, 0 after three tries or more; most often: 2π left out")
    assert {"svg", "table"} <= set(tags.tags) and "✗ 1" in tags.words and "✓ 1" in tags.words


def test_the_spreadsheet_takes_no_name_for_a_formula(tmp_path):
    """A line for each student and problem; a name that begins like a formula is marked as text."""
    Store(tmp_path, "=HYPERLINK(1)").add(FIRST, WRONG)
    Store(tmp_path, 'a, "b"').add(SECOND, RIGHT)
    book = write_class(tmp_path, tmp_path)
    rows = list(csv.DictReader(io.StringIO((tmp_path / "class.csv").read_text("utf-8-sig"))))
    assert len(rows) == 2 * len(book.problems) == 10
    assert rows[0] == {
        "student": "'=HYPERLINK(1)", "problem": "01.1", "about": "The capacitor as a formula", "right": "no",
        "tries": "1", "last hint": "2π left out",
    }  # fmt: skip
    assert {row["student"] for row in rows} == {"'=HYPERLINK(1)", 'a, "b"'}


def test_the_picture_counts_every_student():
    """A bar for each problem; its parts add up to the class."""
    counts = [(3, 2, 1, 0), (0, 0, 6, 0), (0, 0, 0, 6)]
    fig, ax = class_results(["one", "two", "three"], counts)
    widths = np.array([[bar.get_width() for bar in bars] for bars in ax.containers])
    assert (widths.T == counts).all()
    assert [label.get_text() for label in ax.get_yticklabels()] == ["one", "two", "three"]
    assert ax.yaxis_inverted() and ax.get_xlim() == (0, 6)
    plt.close(fig)


@pytest.fixture
def command(monkeypatch):
    """The command line, on an environment that is settled."""
    monkeypatch.setattr(cli, "settle", lambda extra, argv: None)
    return cli.main


def test_class_command(command, tmp_path, capsys):
    """`antlab class FOLDER` prints the table, names what it could not read, and writes both files."""
    folder, target = tmp_path / "files", tmp_path / "table"
    folder.mkdir()
    fill(folder, 3)
    (folder / "bad.json").write_text("[")
    assert command(["class", str(folder), "--to", str(target)]) == 0
    shown = capsys.readouterr().out
    assert "student 2" in shown and "bad.json is damaged" in shown
    assert sorted(path.name for path in target.iterdir()) == ["class.csv", "class.html"]
    assert command(["class", str(folder)]) == 0 and (folder / "class.html").is_file()


def test_class_command_in_trouble(command, tmp_path, capsys):
    """No such folder, nothing in it, and a place that can't be written end in a sentence."""
    assert command(["class", str(tmp_path / "no")]) == 2
    assert "there is no folder" in capsys.readouterr().err
    assert command(["class", str(tmp_path)]) == 2
    assert "no progress file" in capsys.readouterr().err
    fill(tmp_path, 1)
    (tmp_path / "file").touch()
    assert command(["class", str(tmp_path), "--to", str(tmp_path / "file")]) == 2
    assert "can't be written" in capsys.readouterr().err
