"""Homework notebooks: exercises agree with the answers they are made from, and both have their shape."""

import re

import nbformat
import pytest
import wording

from antlab.classroom.homework.exercises import exercises, starter
from antlab.classroom.homework.naming import LESSONS
from antlab.classroom.homework.problems import Choice, lesson
from antlab.classroom.refresh import IGNORED
from antlab.classroom.tags import ANSWER, SOLUTION, tags
from antlab.files import ROOT

ANSWERS = sorted((ROOT / "notebooks" / "answers").glob("*.ipynb"))
EXERCISES = sorted((ROOT / "notebooks" / "homework").glob("*.ipynb"))
every_answer = pytest.mark.parametrize("path", ANSWERS, ids=lambda path: path.stem)
every_notebook = pytest.mark.parametrize(
    "path", ANSWERS + EXERCISES, ids=lambda path: f"{path.parent.name}/{path.stem}"
)


def opened(path):
    return nbformat.read(path, as_version=4)


def said(notebook):
    """What its cells printed."""
    outputs = (output for cell in notebook.cells for output in cell.get("outputs", ()))
    return "\n".join(output.text for output in outputs if output.output_type == "stream")


def test_each_lesson_has_its_homework():
    """Answers and exercises for lessons 01 to 10, named as the lessons are."""
    stems = [f"{number}-{module.replace('_', '-')}" for number, module in LESSONS.items()]
    assert [path.stem for path in ANSWERS] == [path.stem for path in EXERCISES] == stems


@every_answer
def test_exercises_are_made_from_the_answers(path):
    """Nobody edits an exercise by hand: run `antlab refresh homework`."""
    made, stored = exercises(opened(path)), opened(ROOT / "notebooks" / "homework" / path.name)
    parts = [[(cell.id, cell.cell_type, cell.source) for cell in one.cells] for one in (made, stored)]
    assert parts[0] == parts[1], f"stale: run antlab refresh homework/{path.stem}"


@every_answer
def test_answers_pass_their_checks(path):
    """Each problem is answered, and right; a wrong answer shown on purpose comes after it."""
    shown = said(opened(path))
    for name, problem in lesson(path.stem[:2]).problems.items():
        assert re.search(rf"^{name}  Right", shown, re.MULTILINE), name
        assert f"## {name} {problem.title}" in "\n".join(cell.source for cell in opened(path).cells)
    assert "Not answered" not in shown and "A step:" not in shown


@every_answer
def test_exercises_ask_and_do_not_tell(path):
    """Unanswered the exercise runs from top to bottom, says so of each problem, and holds no answer."""
    answers, asked = opened(path), exercises(opened(path))
    source = "\n".join(cell.source for cell in asked.cells)
    stored = opened(ROOT / "notebooks" / "homework" / path.name)
    problems = lesson(path.stem[:2]).problems
    assert said(stored).count("Not answered yet.") == len(problems)
    assert 'student=""' in source
    for cell in answers.cells:
        if {ANSWER, SOLUTION} & {*tags(cell)}:
            assert cell.source not in source
    letters = [one.right for one in problems.values() if isinstance(one, Choice)]
    assert not re.search(rf'check\("\d\d\.\d", "{letters[0]}"\)', source)
    assert not any(cell.get("outputs") for cell in asked.cells)


@every_notebook
def test_shape(path):
    """One title, problems a level below; short cells in plain words, no colour named, all links good."""
    cells = opened(path).cells
    text = "\n".join(cell.source for cell in cells if cell.cell_type == "markdown")
    levels = [len(marks) for marks in re.findall(r"^(#+) ", text, re.MULTILINE)]
    assert levels[0] == 1 and levels.count(1) == 1 and set(levels) == {1, 2}
    assert cells[0].cell_type == "markdown" and re.search(r"\b[34]\d minutes", cells[0].source)
    assert len({cell.id for cell in cells}) == len(cells)
    for cell in cells:
        if cell.cell_type == "code":
            lines = [line for line in cell.source.splitlines() if line.strip()]
            assert 1 <= len(lines) <= 5 and max(map(len, lines)) <= 77, cell.source
            assert IGNORED not in cell.metadata.get("tags", ())
    assert not re.search(rf"\b({wording.COLOURS})\b", text)
    for link in re.findall(r"\]\(([^)]*)\)", text):
        assert (path.parent / link).is_file(), link


@every_answer
def test_answers_explain(path):
    """Likely mistakes are discussed for every problem."""
    text = "\n".join(cell.source for cell in opened(path).cells)
    sections = re.split(r"^## ", text, flags=re.MULTILINE)[1:]
    for section in sections:
        assert wording.MISTAKES in section or len(section) > 400, section[:40]
    assert sum(wording.MISTAKES in section for section in sections) >= len(sections) - 1


def test_starters():
    """The result's name is kept; a letter is left empty; a solution without a check is our mistake."""
    assert starter('a = 1\nhw.check("01.1", a)').endswith('a = ...\nhw.check("01.1", a)')
    assert starter('hw.check("01.1", 2 * a)').endswith('result = ...\nhw.check("01.1", result)')
    assert starter('hw.check("01.5", "b")').endswith('hw.check("01.5", "")')
    with pytest.raises(ValueError, match="hw.check"):
        starter("a = 1")
