"""What is new in the course: its page, and that a start says it once."""

import re
from datetime import datetime

import pytest

from antlab.cli.main import COMMANDS
from antlab.files import ROOT
from antlab.serve import news, work

PAGE = """# New

## 3 March 2027

* Third.

## 2 February 2027

* Second, one.
* Second, two.

## 1 January 2027

* First.
"""


@pytest.fixture
def lay(tmp_path):
    """Lay out a course whose page of changes is text, into one folder; return what is said."""

    def laid(text):
        page = tmp_path / "course" / news.CHANGES
        page.parent.mkdir(parents=True, exist_ok=True)
        page.with_name("01-circuit.ipynb").write_text("{}")
        page.unlink(missing_ok=True)
        if text:
            page.write_text(text, encoding="utf-8")
        return [line.strip(" *") for line in work.lay_out(tmp_path / "course", tmp_path / "lessons")]

    return laid


def older(sections):
    """The page as it was so many sections ago."""
    parts = PAGE.split("## ")
    return "## ".join([parts[0], *parts[1 + sections :]])


def test_what_is_new_is_said_once(lay):
    """Who skipped an evening hears of both, the newest first; whoever starts again hears nothing."""
    assert lay(older(2)) == [], "nothing is new to who never had it"
    said = lay(PAGE)
    assert said[0].startswith("New in the lessons") and said[1:4] == [
        "Third.",
        "Second, one.",
        "Second, two.",
    ]
    assert said[4:] == ["All of it is in notebooks/changes.md."]
    assert lay(PAGE) == []


def test_a_folder_from_before_the_page(lay):
    """Nobody knows how old it is: the newest is said, not the whole history."""
    assert lay("") == []
    assert lay(PAGE)[1:-1] == ["Third."]
    assert lay(PAGE) == []


def test_the_page_may_be_changed_or_an_older_course_come_back(lay, tmp_path):
    """What was told is known by itself, not by the student's copy; the older course has nothing new."""
    lay(older(1))
    (tmp_path / "lessons" / news.CHANGES).write_text("mine")
    said = lay(PAGE)
    assert said[1] == "Third." and "Kept your" in said[-1]
    assert lay(PAGE) == []


def test_a_start_says_a_few_lines(lay):
    """The line that leads to the lesson must not be pushed off the screen."""
    lay("## 1\n* Old.\n")
    assert len(lay("## 2\n" + "* New.\n" * 50 + "## 1\n* Old.\n")) == news.MOST + 2


def test_the_page_itself():
    """One page, newest first by date, a line each that a terminal shows, and every command is one."""
    text = (ROOT / news.CHANGES).read_text(encoding="utf-8")
    found = news.sections(text)
    dates = [datetime.strptime(heading, "%d %B %Y") for heading in found]
    assert dates == sorted(set(dates), reverse=True) and all(found.values())
    lines = [line for part in found.values() for line in part]
    assert len(lines) <= 40, "one page: let the oldest go"
    assert not [line for line in lines if len(line) > 105 or not line.endswith(".")]
    commands = re.findall(r"`(?:python3 -m )?antlab (\w+)", text)
    assert commands and set(commands) <= set(COMMANDS)
