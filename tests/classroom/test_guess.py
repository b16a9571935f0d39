"""The guess of a lesson: read by tags, kept safely, beside the answer only at the end."""

import json

import numpy as np
import pytest

import antlab as al
from antlab.classroom.course import OURS
from antlab.classroom.guess import entry
from antlab.classroom.guess.curves import HIGHEST_SWR, TRUE
from antlab.classroom.guess.question import plain, read_guess
from antlab.classroom.homework.judging import Verdict
from antlab.classroom.homework.problems import lesson
from antlab.classroom.homework.progress import (
    NAMELESS,
    Guessed,
    Progress,
    Store,
    Unreadable,
    file_name,
    guesses_in,
    read,
)
from antlab.classroom.views.shared import EXAMPLE
from antlab.physics import cable
from antlab.trouble import Slip

LESSONS = [f"{number:02}" for number in range(11)]
DRAWN = (0, 20, None, 60, 80, 100, 80, 60, 40, 20, 0)
every_lesson = pytest.mark.parametrize("number", LESSONS)


@pytest.fixture
def work(tmp_path, monkeypatch):
    """A work folder, as a lesson's kernel finds it."""
    (tmp_path / OURS).mkdir()
    (tmp_path / "notebooks").mkdir()
    monkeypatch.chdir(tmp_path / "notebooks")
    return tmp_path


# what is asked


@every_lesson
def test_every_option_has_its_sentence(number):
    """Whoever guessed wrong hears what was wrong about it; the right letter is one of those offered."""
    guess = read_guess(number)
    assert list(guess.options) == list("ABCD")[: len(guess.options)] and len(guess.options) >= 3
    assert list(guess.sentences) == list(guess.options) and guess.right in guess.options
    assert len(set(guess.sentences.values())) == len(guess.sentences)
    assert guess.question and bool(guess.curve) == bool(guess.after) == (number in TRUE)


def test_the_right_letter_does_not_betray_itself():
    """No letter is right more than a third of the time, and neither length nor place tells it."""
    guesses = [read_guess(number) for number in LESSONS]
    right = [guess.right for guess in guesses]
    assert max(map(right.count, "ABCD")) <= 4
    longest = [max(one.options, key=lambda letter, one=one: len(one.options[letter])) for one in guesses]
    assert sum(map(str.__eq__, right, longest)) <= 4
    for guess in guesses:
        lengths = [len(words) for words in guess.options.values()]
        assert max(lengths) <= 2 * min(lengths) or max(lengths) < 25, guess.lesson


@pytest.mark.parametrize("number", ["11", "3", None, 77, ["03"]])
def test_no_such_lesson(number):
    """The sentence says which lessons have one."""
    with pytest.raises(Slip, match="00, 01"):
        al.guess(number)


# entering


@every_lesson
def test_nothing_tells_before_the_end(number):
    """What the browser gets with the buttons has neither the right letter nor a sentence about any."""
    guess = read_guess(number)
    widget = al.guess(number).widget()
    sent = json.dumps([widget.about, widget.letter, widget.drawn, widget.says], ensure_ascii=False)
    assert widget.about["answer"] is None
    assert not [one for one in guess.sentences.values() if plain(one) in sent]
    for letter in guess.options:
        widget.letter = letter
    assert entry.WORDS["right"].split()[0] not in " ".join(widget.says)
    entry._here.clear()


def test_a_guess_is_there_again(work):
    """Before homework it lies with what is ours; another kernel finds it, and it may be changed."""
    widget = al.guess("03").widget()
    widget.letter = "A"
    widget.drawn = list(DRAWN)
    widget.letter = "C"
    assert guesses_in(work) == {"03": Guessed("C", DRAWN)}
    again = al.guess("03").widget()
    assert (again.letter, tuple(again.drawn)) == ("C", DRAWN) and "C" in again.says[0]
    assert al.guess("04").widget().letter == ""
    assert [path.name for path in work.iterdir() if path.is_file()] == []


def test_homework_takes_the_guesses_up(work):
    """With the first answer they move into the student's file, and later ones go there; results stay."""
    al.guess("01").widget().letter = "B"
    first = lesson("01").ids["01.1"]
    Store(work, "juniper").add(first, Verdict("right", "yes", "", "1"))
    assert not (work / NAMELESS).exists()
    al.guess("02").widget().letter = "D"
    Store(work, "juniper").add(first, Verdict("wrong", "no", "", "2"))
    kept = read(work / file_name("juniper"))
    assert {one: guessed.letter for one, guessed in kept.guesses.items()} == {"01": "B", "02": "D"}
    assert kept.records[first].right and guesses_in(work) == kept.guesses


def test_of_two_students_nobody_gets_the_other_s(work):
    """Where two share a folder nothing tells who guesses: it stays without a name."""
    for name in ("juniper", "red oak"):
        Store(work, name).add(lesson("01").ids["01.1"], Verdict("right", "yes", "", "1"))
    al.guess("03").widget().letter = "B"
    Store(work, "juniper").add(lesson("01").ids["01.2"], Verdict("right", "yes", "", "1"))
    assert read(work / NAMELESS).guesses == guesses_in(work) == {"03": Guessed("B")}
    assert not read(work / file_name("juniper")).guesses


def test_without_a_work_folder_a_guess_lives_as_long_as_the_kernel(tmp_path, monkeypatch):
    """In a checkout nothing is written; the end of the lesson still knows it."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(entry, "_here", {})
    al.guess("01").widget().letter = "A"
    assert "A" in al.guess("01").beside_answer().widget().says[0]
    assert list(tmp_path.iterdir()) == []


def test_what_cannot_be_kept_is_said(work, monkeypatch):
    """A full disk is told in the widget's own line, and the choice stands."""

    def full(*_, **__):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("antlab.files.write", full)
    widget = al.guess("01").widget()
    widget.letter = "A"
    assert "No space left on device" in widget.says[1] and widget.letter == "A"


@pytest.mark.parametrize(
    "guesses",
    [
        [], {"03": "B"}, {"three": {"letter": "B", "drawn": []}}, {"03": {"letter": "BB", "drawn": []}},
        {"03": {"letter": "<b>", "drawn": []}}, {"03": {"letter": "B", "drawn": [101]}},
        {"03": {"letter": "B", "drawn": [True]}}, {"03": {"letter": "B", "drawn": [0.5]}},
        {"03": {"letter": "B", "drawn": [1] * 41}}, {"03": {"letter": "B"}}, {"03": {"drawn": []}},
        {f"{i}": {"letter": "", "drawn": []} for i in range(10, 111)},
    ],
)  # fmt: skip
def test_a_strange_file_is_put_aside(work, guesses):
    """A file is data from anybody: what makes no sense is no guess, and the next one begins afresh."""
    content = {"antlab": "homework", "format": 2, "numbers": 1, "student": None, "problems": {}}
    (work / NAMELESS).write_text(json.dumps(content | {"guesses": guesses}))
    with pytest.raises(Unreadable):
        read(work / NAMELESS)
    al.guess("05").widget().letter = "D"
    assert guesses_in(work) == {"05": Guessed("D")} and len(list((work / OURS).glob("*.spoilt"))) == 1


def test_a_file_without_a_name_is_nobody_s_homework(work):
    """Somebody copies it among the class's files: it names no student, and is said so."""
    Store(work, None)._write(Progress(None, {}, {"03": Guessed("B")}))
    (work / "homework-x.json").write_bytes((work / NAMELESS).read_bytes())
    al.guess("04").widget().letter = "A"
    assert read(work / NAMELESS).guesses == {"03": Guessed("B"), "04": Guessed("A")}


# beside the answer


@every_lesson
def test_the_answer_takes_up_what_was_said(number):
    """Each letter meets its own sentence, and a wrong one the right option too."""
    guess = read_guess(number)
    for letter in guess.options:
        said = entry.answered(guess, letter)
        assert plain(guess.options[letter]).rstrip(".") in said[0] and said[1] == plain(
            guess.sentences[letter]
        )
        assert (len(said) == 2) == (letter == guess.right)
    assert plain(guess.sentences[guess.right]) in entry.answered(guess, "")


def test_who_guesses_too_late_is_told_how(work):
    """Whoever ran the last cell before a letter was pressed hears that it wants to be run again."""
    assert al.guess("01").beside_answer().widget().says[1] == entry.WORDS["again"]
    al.guess("01").widget().letter = "A"
    assert entry.WORDS["again"] not in al.guess("01").beside_answer().widget().says


def test_both_curves_in_words():
    """Who can't see the picture hears both at its marks; who drew nothing hears the true one alone."""
    guess = read_guess("02")
    said = entry.compared(guess, DRAWN)
    assert "the meter: yours 100 of 100, as it is 100 of 100" in said
    assert "yours" not in entry.compared(guess, [None] * 11) and entry.compared(read_guess("01"), []) == ""


def test_the_current_of_the_half_wave_wire():
    """As every book draws it: a half sine between the ends, within 5 % of the most."""
    places, heights = TRUE["02"]()
    assert (places[0], places[-1]) == (0, 1) and np.all(np.diff(places) > 0)
    assert np.abs(heights - np.sin(np.pi * places)).max() < 0.05


def test_the_current_of_the_trap_dipole():
    """On 20 metres it goes on beyond the trap to the very end, falling faster there: the coil bends it."""
    places, heights = TRUE["03"]()
    ((trap, _),) = (mark for mark in read_guess("03").curve.x if 0 < mark[0] < 1)
    assert trap == pytest.approx(EXAMPLE.inner_m / (EXAMPLE.inner_m + EXAMPLE.outer_m), abs=0.005)
    before, at, after = np.interp([trap - 0.05, trap, trap + 0.05], places, heights)
    assert at > 0.6 and heights[-1] < 0.02 and at - after > 1.25 * (before - at)


def test_what_the_meter_shows():
    """Against the cable's own arithmetic, for 0.5 to 10 dB of it; a cable that eats all shows 1.0."""
    places, heights = TRUE["05"]()
    line = cable.cable("RG-58")
    for length_m in (10, 50, 120):
        there = {"cable": line, "f_mhz": 28.5}
        eaten = 1 - 10 ** (-cable.loss_db(length_m=length_m, **there) / 10)
        swr = cable.swr_along_line(150, distance_m=length_m, **there)
        assert 1 + (HIGHEST_SWR - 1) * np.interp(eaten, places, heights) == pytest.approx(swr, abs=0.04)
    assert 1 + (HIGHEST_SWR - 1) * heights[[0, -1]] == pytest.approx([3, 1])


def test_a_saved_lesson_shows_words_for_its_guess():
    """A notebook opened again has no widget yet: it shows the text, which says what to do."""
    for shown in (entry.guess("03"), entry.guess("03").beside_answer()):
        bundle = shown._repr_mimebundle_()
        data = bundle[0] if isinstance(bundle, tuple) else bundle
        assert "run this cell in JupyterLab" in data["text/plain"]
