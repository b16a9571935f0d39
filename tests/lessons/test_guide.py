"""The volunteer's guide: an evening can be run from it. test_notebooks holds its numbers, feet and cells."""

import re
import shlex

import nbformat
import pytest
import wording
from test_notebooks import COURSE, GUIDE, cells, headings, tagged

from antlab.antenna.safety import CAUTIONS
from antlab.classroom import tags
from antlab.cli.main import build_parser
from antlab.files import ROOT

PARTS = "plan", "at-the-guess", "misunderstandings", "bring", "demonstration", "group-work", "short"
TABLES = "plan", "short"
WHOLE = (
    tags.GUESS, tags.LIVE, tags.BY_HAND, tags.FAIL, tags.PUBLISHED, tags.LIMITS, tags.CAUTION,
    tags.BACK_TO_GUESS, tags.SUMMARY,
)  # fmt: skip
SHORT = tags.GUESS, tags.LIVE, tags.BY_HAND, tags.CAUTION, tags.BACK_TO_GUESS, tags.SUMMARY
COMMAND = re.compile(r"`((?:python3 -m |py -m )?antlab(?: [^`]*)?)`")

CELLS = nbformat.read(GUIDE, as_version=4).cells
WORDS = "\n\n".join(cell.source for cell in CELLS if cell.cell_type == "markdown")


def evenings():
    """An evening's number -> its cells: from the one with that tag to the next heading of its level."""
    found, here = {}, []
    for cell in CELLS:
        if cell.cell_type == "markdown" and cell.source.startswith("## "):
            here = found.setdefault(cell.id[-2:], []) if "evening" in tags.tags(cell) else []
        here.append(cell)
    return found


EVENINGS = evenings()
every_evening = pytest.mark.parametrize("number", [name[:2] for name in COURSE])
both_tables = pytest.mark.parametrize("table", TABLES)


def lesson(number):
    """The path of the lesson of an evening."""
    (path,) = (ROOT / "notebooks").glob(f"{number}-*.ipynb")
    return path


def text_of(cells):
    """The words of cells."""
    return "\n\n".join(cell.source for cell in cells if cell.cell_type == "markdown")


def part(number, name):
    """The cells of one part of an evening: from the one with its tag to the next part."""
    found, now = [], None
    for cell in EVENINGS[number]:
        now = next((tag for tag in tags.tags(cell) if tag in PARTS), now)
        if now == name:
            found.append(cell)
    return found


def rows(text):
    """The rows of the first table in a text, without its head: lists of cells."""
    table = re.search(r"(?:^\|.*\|$\n?)+", text, re.M)[0].splitlines()
    return [[one.strip() for one in line.strip("|").split("|")] for line in table[2:]]


def minutes(number, name):
    """The rows of one of an evening's time tables: (from, to, what happens, what to say or do)."""
    return [(*map(int, when.split("–")), what, say) for when, what, say in rows(text_of(part(number, name)))]


def minutes_of_lesson(number):
    """The time that the lesson itself names in its first lines."""
    (title,) = tagged(lesson(number), tags.TITLE)
    return int(re.search(wording.MINUTES, title)[1])


def test_an_evening_for_each_lesson():
    """Eleven lessons, eleven evenings, each with all its parts in the same order."""
    assert list(EVENINGS) == [name[:2] for name in COURSE]
    for number, evening in EVENINGS.items():
        parts = [(tag, cell.source[:4]) for cell in evening for tag in tags.tags(cell) if tag in PARTS]
        assert parts == [(name, "### ") for name in PARTS], f"evening {number}"


def test_headings():
    """One title, no level skipped; the field day and the large class have a place of their own."""
    levels, _ = zip(*headings(GUIDE), strict=True)
    assert levels[0] == 1 and levels.count(1) == 1
    assert all(deeper - level <= 1 for level, deeper in zip(levels, levels[1:], strict=False))
    assert {"field-day", "large-class", "guide-before"} <= {cell.id for cell in CELLS}


@every_evening
@both_tables
def test_the_clock_adds_up(number, table):
    """From 0 without a gap to the time that the lesson names, or to 30; every row says what to do."""
    starts, ends, happens, says = zip(*minutes(number, table), strict=True)
    assert starts[0] == 0
    assert starts[1:] == ends[:-1], "a gap, or two things at once"
    assert all(start < end for start, end in zip(starts, ends, strict=True))
    assert ends[-1] == (30 if table == "short" else minutes_of_lesson(number))
    assert all(re.search(r"\w{2}", words) for words in (*happens, *says)), "a row without words"
    assert all(end - start <= 11 for start, end in zip(starts, ends, strict=True)), "that long is no plan"


@every_evening
@both_tables
def test_the_plan_follows_the_lesson(number, table):
    """The lesson's steps in the lesson's order; in 30 minutes guess, view and caution are still there."""
    steps = WHOLE if table == "plan" else SHORT
    rest = " | ".join(what for _, _, what, _ in minutes(number, table)).lower()
    assert table != "plan" or all(wording.ROWS[step] in rest for step in ("picture", "demonstration"))
    if number == "00":  # its cautions are the ten rules, before the limits
        steps = tuple(step for step in steps if step != tags.LIMITS)
    for step in steps:
        before, found, rest = rest.partition(wording.ROWS[step])
        assert found, f"no {step!r} after {before!r}"


@every_evening
@both_tables
def test_the_answer_is_the_lesson_s(number, table):
    """Where the guess comes back stands the letter that the lesson gives."""
    answers = nbformat.read(lesson(number), as_version=4).cells
    (answer,) = (one.metadata.antlab.right for one in answers if tags.BACK_TO_GUESS in tags.tags(one))
    comes_back = wording.ROWS[tags.BACK_TO_GUESS]
    (said,) = (say for _, _, what, say in minutes(number, table) if comes_back in what)
    assert re.match(rf"{answer}\b", said)


@every_evening
def test_short_says_what_is_left(number):
    """What 30 minutes leave out is named, so that students find it at home."""
    assert re.search(wording.LEFT, text_of(part(number, "short")), re.M)


@every_evening
def test_the_guess_is_kept(number):
    """What to say, what not to give away, and when the answer comes."""
    text = text_of(part(number, "at-the-guess"))
    assert wording.SAY in text and re.search(wording.KEEP, text) and re.search(wording.LATER, text)


@every_evening
def test_misunderstandings_are_cured_by_questions(number):
    """Two to four, each with what a student says, a question, and what is found."""
    table = rows(text_of(part(number, "misunderstandings")))
    assert 2 <= len(table) <= 4
    for says, ask, find in table:
        assert says.startswith('"') and says.endswith('"')
        assert ask.startswith('"') and "?" in ask, f"no question: {ask}"
        assert find and "?" not in find


@every_evening
def test_real_parts_come_with_a_caution(number):
    """Where hands touch something the evening says what can hurt, what is seen and what goes wrong."""
    cells = part(number, "demonstration")
    (caution,) = (cell.source for cell in cells if tags.CAUTION in tags.tags(cell))
    assert len(caution) > 80
    assert wording.SEEN in text_of(cells) and wording.WRONG in text_of(cells)


@every_evening
def test_demonstrations_are_computed(number):
    """Each demonstration has a cell, so that the volunteer can put in the parts at hand."""
    named = [cell.id for cell in part(number, "demonstration") if cell.cell_type == "code"]
    assert f"evening-{number}-numbers" in named


@every_evening
def test_groups_have_roles_and_minutes(number):
    """A task of as many minutes as the plan has for it, and something to do for each of the four."""
    text = text_of(part(number, "group-work"))
    assert all(re.search(rf"\b{role}\b", text) for role in wording.ROLES)
    said = re.match(wording.GROUP_MINUTES, text.partition("\n\n")[2])[1]
    (planned,) = (
        end - start for start, end, what, _ in minutes(number, "plan")
        if wording.ROWS[tags.LIVE] in what.lower()
    )  # fmt: skip
    assert wording.FROM_FIVE.index(said) + 5 == planned
    assert wording.TASK in text


def test_when_to_ask_the_room():
    """The minutes at which to ask by show of hands are those of the guess in each plan, both times."""
    (cell,) = (one for one in CELLS if one.id == "show-of-hands")
    told = [(number, *when) for number, *when in rows(cell.source)]
    planned = []
    for number in EVENINGS:
        plan = [(f"{start}–{end}", what.lower()) for start, end, what, _ in minutes(number, "plan")]
        comes_back = wording.ROWS[tags.BACK_TO_GUESS]
        (back,) = (when for when, what in plan if comes_back in what)
        first = next(when for when, what in plan if wording.ROWS[tags.GUESS] in what)
        planned.append((number, first, back))
    assert told == planned


def test_the_ten_rules_stand_in_full():
    """The field day prints the package's own cautions, every one."""
    (cell,) = (one for one in CELLS if one.id == "field-day-cautions")
    shown = " ".join(cell.outputs[0].text.split())
    assert not [words for words in CAUTIONS.values() if words not in shown]
    ids = [one.id for one in CELLS]
    field = text_of(CELLS[ids.index("field-day") : ids.index("large-class")]).lower()
    assert not [words for words in wording.FIELD_RULES if words not in field]


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
    for number, evening in EVENINGS.items():
        text = text_of(evening)
        assert f"(../{lesson(number).name})" in text
        assert number == "00" or f"(../homework/{lesson(number).name})" in text


@every_evening
def test_homework_time_is_the_homework_s(number):
    """The minutes of homework are those that the homework names."""
    if number == "00":
        assert wording.NO_HOMEWORK in text_of(EVENINGS[number])
        return
    (named,) = re.findall(wording.HOMEWORK, text_of(EVENINGS[number]))
    homework = "\n".join(cells(ROOT / "notebooks" / "homework" / lesson(number).name, "markdown"))
    assert wording.ABOUT.format(named) in homework


def test_an_hour_is_enough():
    """The whole in an hour, an evening in five minutes or so, at 200 words a minute."""
    words = {number: len(re.findall(r"\w+", text_of(cells))) for number, cells in EVENINGS.items()}
    assert max(words.values()) <= 1100, words
    assert len(re.findall(r"\w+", WORDS)) <= 12_500
