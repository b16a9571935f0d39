"""A student's progress as a small file, and those of a whole class. Files are data: nothing is run."""

import hashlib
import json
import os
import re
import secrets
import time
from collections import Counter
from contextlib import contextmanager
from dataclasses import asdict, dataclass, field, replace
from pathlib import Path

from antlab import files
from antlab.classroom.course import LARGEST_HOMEWORK, OURS
from antlab.classroom.guess.counted import hands_in
from antlab.classroom.homework import former
from antlab.classroom.homework.naming import LESSONS, LONGEST_NAME, NUMBERS_VERSION, clean_name
from antlab.trouble import Slip

FORMAT = 2
BY_PLACE = 1  # the format that named problems by their place, "01.1"
COLLECTED = re.compile(r"(?P<account>.+)\.homework-[a-z0-9-]+\.json")  # as `antlab collect` names a file
_ID = re.compile(r"(\d\d)\.[a-z][a-z0-9-]{0,39}")
_KEY = re.compile(r"[a-z0-9-]{0,30}")
_LESSON, _LETTER, _MOST_PLACES = re.compile(r"\d\d"), re.compile(r"[A-Z]?"), 40
NAMELESS = OURS / "guesses.json"  # in a work folder: what was guessed before anybody gave a name
_MOST_TRIES = 9999
_STALE_S, _PATIENCE_S = 10.0, 2.0


@dataclass(frozen=True)
class Record:
    """What became of one problem. tries: until right. hint: key of the last one. mark: the last answer."""

    right: bool = False
    tries: int = 0
    hint: str = ""
    mark: str = ""

    def after(self, verdict):
        """The Record after one more Verdict: the same answer again counts once, and right stays right."""
        if verdict.status == "blank" or self.right:
            return self
        counts = verdict.status in ("right", "wrong") and verdict.mark != self.mark
        return Record(
            right=verdict.status == "right",
            tries=min(self.tries + counts, _MOST_TRIES),
            hint=verdict.key or self.hint,
            mark=verdict.mark[:40] or self.mark,
        )

    def joined(self, other):
        """The better of two Records of one problem, from two files of the same student."""
        first, second = sorted((self, other), key=lambda one: (one.right, one.tries), reverse=True)
        return replace(first, hint=first.hint or second.hint)


@dataclass(frozen=True)
class Guessed:
    """What was guessed in one lesson.

    letter: of an option, or nothing. drawn: heights of a curve from left to right, per cent of the axes, None
    where nothing was drawn; or nothing.
    """

    letter: str = ""
    drawn: tuple = ()


@dataclass(frozen=True)
class Progress:
    """One student's file.

    student: None before a name was given. records: problem id -> Record. guesses: lesson -> Guessed.
    """

    student: str | None
    records: dict = field(default_factory=dict)
    guesses: dict = field(default_factory=dict)


class Unreadable(Exception):
    """A file that is no progress file; the message says why."""


def read(path):
    """Read a progress file. Raises Unreadable, whatever is in it."""
    try:
        content = json.loads(files.read(path, most=LARGEST_HOMEWORK).decode("utf-8-sig"))
    except OSError as error:
        raise Unreadable(f"can't be read: {error.strerror}") from None
    except RecursionError:
        raise Unreadable("is nested too deeply") from None
    except ValueError:  # no UTF-8, no JSON, a number of thousands of digits
        raise Unreadable("is damaged, or of another program: no JSON") from None
    return _understood(content)


def _read_named(path):
    """A progress file that names its student."""
    progress = read(path)
    if progress.student is None:
        raise Unreadable("names no student")
    return progress


def _understood(content):
    if not isinstance(content, dict) or content.get("antlab") != "homework":
        raise Unreadable("is of another program: no homework of antlab")
    if content.get("format") not in (BY_PLACE, FORMAT):
        raise Unreadable("was written by another version of antlab: open it there, or update")
    if content.get("numbers") != NUMBERS_VERSION:
        raise Unreadable("belongs to other numbers than this version of antlab deals out")
    student, problems, guesses = content.get("student"), content.get("problems"), content.get("guesses", {})
    try:
        named = student is None or isinstance(student, str) and clean_name(student) == student
    except Slip:
        named = False
    if not named:
        raise Unreadable("names no student")
    if not isinstance(problems, dict) or len(problems) > 200:
        raise Unreadable("has no list of problems")
    if content["format"] == BY_PLACE:
        problems = {former.IDS.get(place, place): one for place, one in problems.items()}
    if not isinstance(guesses, dict) or len(guesses) > 100:
        raise Unreadable("has no list of guesses")
    records = {name: _record(name, one) for name, one in problems.items()}
    return Progress(student, records, {lesson: _guessed(lesson, one) for lesson, one in guesses.items()})


def _guessed(lesson, one):
    letter, drawn = (one.get(part) for part in ("letter", "drawn")) if isinstance(one, dict) else (None, None)
    sound = (
        _LESSON.fullmatch(lesson)
        and isinstance(letter, str) and _LETTER.fullmatch(letter)
        and isinstance(drawn, list) and len(drawn) <= _MOST_PLACES
        and all(at is None or type(at) is int and 0 <= at <= 100 for at in drawn)
    )  # fmt: skip
    if not sound:
        raise Unreadable(f"has a guess that makes no sense, {ascii(lesson[:20])}")
    return Guessed(letter, tuple(drawn))


def _record(name, one):
    parts = one if isinstance(one, dict) else {}
    right, tries, hint, mark = (parts.get(part) for part in ("right", "tries", "hint", "mark"))
    is_id = _ID.fullmatch(name)
    sound = (
        is_id and is_id[1] in LESSONS
        and isinstance(right, bool)
        and type(tries) is int and 0 <= tries <= _MOST_TRIES
        and isinstance(hint, str) and _KEY.fullmatch(hint)
        and isinstance(mark, str) and len(mark) <= 40
    )  # fmt: skip
    if not sound:
        raise Unreadable(f"has an entry that makes no sense, {ascii(name[:20])}")
    return Record(right, tries, hint, mark)


def file_name(student):
    """The name of a student's file: readable, the same for "Red Oak" and "red oak", and never a path.

    student: a clean name.
    """
    letters = re.sub(r"[^a-z0-9]+", "-", student.casefold()).strip("-")[:LONGEST_NAME]
    return f"homework-{letters or 'of'}-{hashlib.sha256(student.casefold().encode()).hexdigest()[:6]}.json"


def work_folder(start=None):
    """The work folder that a notebook lies in, as `antlab` laid it out; elsewhere None: nothing is kept."""
    here = Path(start or Path.cwd()).absolute()
    return next((folder for folder in (here, *here.parents) if (folder / OURS).is_dir()), None)


class Store:
    """A student's file in a work folder. Two notebooks may have it open: each change reads it afresh.

    student: None for what is guessed before anybody gave a name; the first student's file takes that up.
    """

    def __init__(self, folder, student):
        self.folder = Path(folder)
        self.student = student if student is None else clean_name(student)
        self.path = self.folder / (NAMELESS if student is None else file_name(self.student))
        self.note = self._first_look()

    def _first_look(self):
        """What a student should know about the file before the first answer, or nothing."""
        if self.student is None or self.path.exists():
            return ""
        others = ", ".join(sorted(path.name for path in _files(self.folder))[:3])
        return f"There is {others} already: are you in it by another name?" if others else ""

    def progress(self):
        """What is in the file, a Progress; a damaged one is put aside. Raises OSError."""
        try:
            return read(self.path)
        except Unreadable as why:
            if os.path.lexists(self.path):
                aside = self.path.with_suffix(f".{secrets.token_hex(3)}.spoilt")  # over no earlier one
                os.replace(self.path, aside)
                self.note = f"The file {self.path.name} {why}. It is now {aside.name}, and I began afresh."
            return Progress(self.student)

    def records(self):
        """What is in the file of homework, problem id -> Record. Raises OSError, as progress does."""
        return self.progress().records

    def add(self, problem_id, verdict):
        """Keep one more Verdict; return the Record. Raises OSError when the folder can't be written."""
        with _alone(self.path):
            before = self._taken_up(self.progress())
            record = before.records.get(problem_id, Record()).after(verdict)
            if record != before.records.get(problem_id):
                self._write(replace(before, records=before.records | {problem_id: record}))
        return record

    def guess(self, lesson, guessed):
        """Keep a Guessed of a lesson in place of the one before. Raises OSError, as add does."""
        with _alone(self.path):
            before = self._taken_up(self.progress())
            self._write(replace(before, guesses=before.guesses | {lesson: guessed}))

    def _taken_up(self, progress):
        """A Progress with what was guessed without a name, where this student is the only one here."""
        nameless = self.folder / NAMELESS
        if self.student is not None and nameless.exists() and _files(self.folder) in ([], [self.path]):
            with _alone(nameless):
                guesses = Store(self.folder, None).progress().guesses | progress.guesses
                self._write(progress := replace(progress, guesses=guesses))
                nameless.unlink(missing_ok=True)
        return progress

    def _write(self, progress):
        content = {
            "antlab": "homework", "format": FORMAT, "numbers": NUMBERS_VERSION, "student": self.student,
            "problems": {name: asdict(one) for name, one in sorted(progress.records.items())},
        }  # fmt: skip
        if progress.guesses:
            content["guesses"] = {lesson: asdict(one) for lesson, one in sorted(progress.guesses.items())}
        files.write(self.path, json.dumps(content, indent=1, ensure_ascii=False).encode())


def store_of_guesses(folder):
    """The Store for what is guessed in a work folder: its only student's, else one without a name."""
    try:
        (path,) = _files(Path(folder))
        return Store(folder, _read_named(path).student)
    except (ValueError, Unreadable):  # none or several, or a spoilt one, which its homework puts aside
        return Store(folder, None)


def guesses_in(folder):
    """What was guessed in a work folder, lesson -> Guessed. Raises OSError, as Store.progress does."""
    named = store_of_guesses(folder).progress().guesses
    return Store(folder, None).progress().guesses | named


def _files(folder):
    """The progress files of students in a work folder."""
    return sorted(folder.glob("homework-*.json"))


@contextmanager
def _alone(path):
    """One writer at a time; a lock that a crash left behind is broken after a while."""
    lock, until = path.with_suffix(".lock"), time.monotonic() + _PATIENCE_S
    while True:
        try:
            os.close(os.open(lock, os.O_CREAT | os.O_EXCL | os.O_WRONLY))
            break
        except FileExistsError:
            try:
                old = time.time() - lock.stat().st_mtime > _STALE_S
            except OSError:
                continue  # just let go
            if old or time.monotonic() > until:
                lock.unlink(missing_ok=True)
                until = time.monotonic() + _PATIENCE_S
            time.sleep(0.02)
    try:
        yield
    finally:
        lock.unlink(missing_ok=True)


def read_class(folder):
    """All progress files in a folder and the folders right below it.

    Returns (records, notes): records: student -> problem id -> Record, by name; notes: (file, what about it).
    A collected file belongs to its account: two accounts with one nickname are two students.
    """
    found, notes = {}, []
    paths = {*Path(folder).glob("*.json"), *Path(folder).glob("[!.]*/*.json")}
    for path in sorted(paths - set(hands_in(folder))):
        try:
            progress = _read_named(path)
        except Unreadable as why:
            notes.append((_shown(path, folder), str(why)))
            continue
        account = COLLECTED.fullmatch(path.name)
        key = progress.student.casefold(), account["account"] if account else ""
        if key not in found:
            found[key] = progress.student, dict(progress.records)
            continue
        student, records = found[key]
        better = f"is one more file of {student}: of each problem the better result counts"
        notes.append((_shown(path, folder), better))
        for problem, record in progress.records.items():
            records[problem] = record.joined(records.get(problem, Record()))
    return _by_name(found), notes


def _shown(path, folder):
    return ascii(path.relative_to(folder).as_posix())[1:-1]


def _by_name(found):
    """Students by their nickname, with the account behind it where others have it too."""
    named, times = {}, Counter(nickname for nickname, _ in found)
    for (nickname, account), (student, records) in sorted(found.items()):
        name = student if times[nickname] == 1 else f"{student} ({account or 'no account'})"
        while name in named:  # somebody's nickname looks just like that
            name += "*"
        named[name] = records
    return named
