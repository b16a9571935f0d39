"""The volunteer's guide: an evening can be run from it. test_notebooks holds its numbers, feet and cells."""

import re
import shlex

import nbformat
import pytest
from test_notebooks import COURSE, GUIDE, cells, headings, prose

from antlab.antenna.safety import CAUTIONS
from antlab.cli.main import build_parser
from antlab.files import ROOT

PARTS = (
    "Plan", "At the guess", "Misunderstandings to expect", "Bring", "Demonstration with real parts",
    "Group work", "In 30 minutes",
)  # fmt: skip
WHOLE = ("guess", "by hand", "fail", "drag", "published", "limits", "caution", "guess", "summary")
SHORT = ("guess", "by hand", "drag", "caution", "guess", "summary")
ROLES = ("hand", "voice", "pen", "doubter")
COMMAND = re.compile(r"`((?:python3 -m |py -m )?antlab(?: [^`]*)?)`")

WORDS = "\n\n".join(cells(GUIDE, "markdown"))
EVENINGS = dict(re.findall(r"^## Evening (\d\d): (.+?)(?=^## |\Z)", WORDS, re.S | re.M))
every_evening = pytest.mark.parametrize("number", [name[:2] for name in COURSE])
both_tables = pytest.mark.parametrize("table", ["Plan", "In 30 minutes"])


def lesson(number):
    """The path of the lesson of an evening."""
    (path,) = (ROOT / "notebooks").glob(f"{number}-*.ipynb")
    return path


def part(number, name):
    """The text below one heading of an evening."""
    return re.search(rf"^### {name}\n(.+?)(?=^### |\Z)", EVENINGS[number], re.S | re.M)[1]


def rows(text):
    """The rows of the first table in a text, without its head: lists of cells."""
    table = re.search(r"(?:^\|.*\|$\n?)+", text, re.M)[0].splitlines()
    return [[one.strip() for one in line.strip("|").split("|")] for line in table[2:]]


def minutes(number, name):
    """The rows of one of an evening's time tables: (from, to, what happens, what to say or do)."""
    return [(*map(int, when.split("–")), what, say) for when, what, say in rows(part(number, name))]


def minutes_of_lesson(number):
    """The time that the lesson itself names in its first lines."""
    return int(re.search(r"\b(\d\d) minutes", prose(lesson(number))[:300])[1])


def test_an_evening_for_each_lesson():
    """Eleven lessons, eleven evenings, each with all its parts in the same order."""
    assert list(EVENINGS) == [name[:2] for name in COURSE]
    for number, text in EVENINGS.items():
        assert tuple(re.findall(r"^### (.+)$", text, re.M)) == PARTS, f"evening {number}"


def test_headings():
    """One title, no level skipped; the field day and the large class have a place of their own."""
    levels, words = zip(*headings(GUIDE), strict=True)
    assert levels[0] == 1 and levels.count(1) == 1
    assert all(deeper - level <= 1 for level, deeper in zip(levels, levels[1:], strict=False))
    assert {"Field day", "When the class is large", "Before the first evening"} <= set(words)


@every_evening
@both_tables
def test_the_clock_adds_up(number, table):
    """From 0 without a gap to the time that the lesson names, or to 30; every row says what to do."""
    starts, ends, happens, says = zip(*minutes(number, table), strict=True)
    assert starts[0] == 0
    assert starts[1:] == ends[:-1], "a gap, or two things at once"
    assert all(start < end for start, end in zip(starts, ends, strict=True))
    assert ends[-1] == (30 if table == "In 30 minutes" else minutes_of_lesson(number))
    assert all(re.search(r"\w{2}", words) for words in (*happens, *says)), "a row without words"
    assert all(end - start <= 11 for start, end in zip(starts, ends, strict=True)), "that long is no plan"


@every_evening
@both_tables
def test_the_plan_follows_the_lesson(number, table):
    """The lesson's steps in the lesson's order; in 30 minutes guess, view and caution are still there."""
    steps = WHOLE if table == "Plan" else SHORT
    rest = " | ".join(what for _, _, what, _ in minutes(number, table)).lower()
    assert table != "Plan" or ("picture" in rest and "demonstration" in rest)
    if number == "00":  # its cautions are the ten rules, before the limits
        steps = tuple(step for step in steps if step != "limits")
    for step in steps:
        before, found, rest = rest.partition(step)
        assert found, f"no {step!r} after {before!r}"


@every_evening
@both_tables
def test_the_answer_is_the_lesson_s(number, table):
    """Where the guess comes back stands the letter that the lesson gives."""
    text = "\n".join(cells(lesson(number), "markdown"))
    answer = re.search(r"^## Back to your guess.*?\*\*([A-D])\b", text, re.S | re.M)[1]
    (said,) = (say for _, _, what, say in minutes(number, table) if "guess comes back" in what)
    assert re.match(rf"{answer}\b", said)


@every_evening
def test_short_says_what_is_left(number):
    """What 30 minutes leave out is named, so that students find it at home."""
    assert re.search(r"^Left for home: \w.+\.$", part(number, "In 30 minutes"), re.M)


@every_evening
def test_the_guess_is_kept(number):
    """What to say, what not to give away, and when the answer comes."""
    text = part(number, "At the guess")
    assert 'Say: "' in text and re.search(r"\b[Dd]on't (?:say|show|mention|smile)", text)
    assert re.search(r"\bcomes? back\b", text)


@every_evening
def test_misunderstandings_are_cured_by_questions(number):
    """Two to four, each with what a student says, a question, and what is found."""
    table = rows(part(number, "Misunderstandings to expect"))
    assert 2 <= len(table) <= 4
    for says, ask, find in table:
        assert says.startswith('"') and says.endswith('"')
        assert ask.startswith('"') and "?" in ask, f"no question: {ask}"
        assert find and "?" not in find


@every_evening
def test_real_parts_come_with_a_caution(number):
    """Where hands touch something the evening says what can hurt, what is seen and what goes wrong."""
    text = part(number, "Demonstration with real parts")
    assert re.search(r"^\*\*Caution\.\*\* \w", text, re.M)
    assert "*Should be seen:*" in text and "*Can go wrong:*" in text


@every_evening
def test_demonstrations_are_computed(number):
    """Each demonstration has a cell, so that the volunteer can put in the parts at hand."""
    named = [cell.id for cell in nbformat.read(GUIDE, as_version=4).cells if cell.cell_type == "code"]
    assert f"evening-{number}-numbers" in named


@every_evening
def test_groups_have_roles_and_minutes(number):
    """A task of five to ten minutes, and something to do for each of the four."""
    text = part(number, "Group work")
    assert all(re.search(rf"\b{role}\b", text) for role in ROLES)
    assert re.match(r"(?:Five|Six|Seven|Eight|Nine|Ten) minutes, ", text.strip())
    assert "Task" in text


def test_the_ten_rules_stand_in_full():
    """The field day prints the package's own cautions, every one."""
    (cell,) = (one for one in nbformat.read(GUIDE, as_version=4).cells if one.id == "field-day-cautions")
    shown = " ".join(cell.outputs[0].text.split())
    assert not [words for words in CAUTIONS.values() if words not in shown]
    field = WORDS.partition("## Field day")[2].partition("## When the class")[0]
    named = "has the say,power line,ladder,throw-line,thunder,rope off,disconnect,licensed,local code"
    assert not [words for words in named.split(",") if words not in field.lower()]


@pytest.mark.parametrize("command", sorted(set(COMMAND.findall(WORDS))))
def test_commands_exist(command):
    """Every command that the volunteer is told to type is one, options and all."""
    words = shlex.split(command.partition("antlab")[2]) or ["lessons"]
    try:
        build_parser().parse_args(words)
    except SystemExit:
        pytest.fail(f"the command line does not take: {command}")


def test_links():
    """Every link is to a file that is there, for there is no network; each evening leads to its lesson."""
    assert not re.search(r"https?:|www\.", WORDS)
    links = re.findall(r"(?<!!)\[[^\]]*\]\(([^)#]*)[^)]*\)", WORDS)
    assert not [link for link in links if not (GUIDE.parent / link).exists()]
    for number, text in EVENINGS.items():
        assert f"(../{lesson(number).name})" in text
        assert number == "00" or f"(../homework/{lesson(number).name})" in text


@every_evening
def test_homework_time_is_the_homework_s(number):
    """The minutes of homework are those that the homework names."""
    if number == "00":
        assert "No homework" in EVENINGS[number]
        return
    (named,) = re.findall(r"\[Homework\]\([^)]*\), (\d\d) minutes", EVENINGS[number])
    homework = "\n".join(cells(ROOT / "notebooks" / "homework" / lesson(number).name, "markdown"))
    assert f"About {named} minutes" in homework


def test_an_hour_is_enough():
    """The whole in an hour, an evening in five minutes or so, at 200 words a minute."""
    words = {number: len(re.findall(r"\w+", text)) for number, text in EVENINGS.items()}
    assert max(words.values()) <= 1100, words
    assert len(re.findall(r"\w+", WORDS)) <= 12_500
