"""The lessons' shape: what LESSONS asks of each, held by code. Outputs are compared by nbval.

Each number quoted in a lesson's words has its line in quoted_NN.py beside this file, in the guide's words in
quoted_guide.py: QUOTED maps a piece of the text, its numbers as format fields, to what computes them; GIVEN
lists pieces whose numbers are set.
"""

import importlib
import re
from string import Formatter

import nbformat
import pytest
import wording

from antlab.classroom import live
from antlab.classroom.figures import with_alt
from antlab.classroom.paper.slides import listed
from antlab.classroom.refresh import IGNORED
from antlab.classroom.tags import CAUTION, NEXT, STEPS, TITLE, tags
from antlab.files import ROOT
from antlab.units import metres

COURSE = (
    "00-start-here", "01-tuned-circuit", "02-half-wave-wire", "03-trap", "04-coax-trap", "05-feed-line",
    "06-mirror-in-the-ground", "07-height-and-takeoff", "08-where-it-lands", "09-your-antenna",
    "10-build-and-trim",
)  # fmt: skip
CAUTIOUS = ("03", "04", "09", "10")

LESSONS = [path for name in COURSE for path in (ROOT / "notebooks").glob(f"{name}.ipynb")]
GUIDE = ROOT / "notebooks" / "teach" / "guide.ipynb"  # for who teaches; what else it owes is in test_guide
every_lesson = pytest.mark.parametrize("lesson", LESSONS, ids=lambda path: path.stem)
lessons_and_guide = pytest.mark.parametrize("lesson", [*LESSONS, GUIDE], ids=lambda path: path.stem)


def cells(lesson, kind):
    """The sources of a lesson's cells of one kind."""
    return [cell.source for cell in nbformat.read(lesson, as_version=4).cells if cell.cell_type == kind]


def tagged(lesson, tag):
    """The sources of a lesson's cells with a tag."""
    return [cell.source for cell in nbformat.read(lesson, as_version=4).cells if tag in tags(cell)]


def prose(lesson):
    """A lesson's words in one line, those of its slides too, without code, addresses, pictures' own words.

    One kind of minus.
    """
    notebook = nbformat.read(lesson, as_version=4)
    on_slides = [about.get("says", "") for cell in notebook.cells for about in listed(cell)]
    text = "\n".join([*cells(lesson, "markdown"), *on_slides])
    text = re.sub(r"```.*?```|`[^`\n]*`|!\[[^\]]*\]\([^)]*\)|\]\([^)]*\)", " ", text, flags=re.DOTALL)
    return re.sub(r"\s+", " ", text.replace("*", "").replace("−", "-"))


def headings(lesson):
    """A lesson's headings in order: level, text."""
    text = re.sub(r"```.*?```", "", "\n".join(cells(lesson, "markdown")), flags=re.DOTALL)
    return [(len(marks), words) for marks, words in re.findall(r"^(#+) +(.+)$", text, re.MULTILINE)]


def test_the_course_is_whole():
    """Eleven lessons and no other notebook beside them; homework for all but the first."""
    assert sorted(path.stem for path in (ROOT / "notebooks").glob("*.ipynb")) == list(COURSE)
    assert {path.stem for path in (ROOT / "notebooks" / "homework").glob("*.ipynb")} >= set(COURSE[1:])


@every_lesson
def test_shape(lesson):
    """One title, no level skipped; the steps of a lesson in their order, each under a heading of its own."""
    levels, _ = zip(*headings(lesson), strict=True)
    assert levels[0] == 1 and levels.count(1) == 1
    assert all(deeper - level <= 1 for level, deeper in zip(levels, levels[1:], strict=False))
    found = [cell for cell in nbformat.read(lesson, as_version=4).cells if {*tags(cell)} & {*STEPS}]
    assert all(cell.source.startswith("## ") for cell in found[1:])
    rest = iter(found)
    for step in STEPS:
        assert any(step in tags(cell) for cell in rest), f"no cell tagged {step!r} in its place"
    (title,) = tagged(lesson, TITLE)
    assert title.startswith("# ") and re.search(wording.MINUTES, title)


@lessons_and_guide
def test_cells(lesson):
    """Words before code; one to five lines a code cell; a live view is tagged, for its output varies."""
    notebook = nbformat.read(lesson, as_version=4)
    assert notebook.cells[0].cell_type == "markdown"
    for cell in notebook.cells:
        if cell.cell_type == "code":
            lines = [line for line in cell.source.splitlines() if line.strip()]
            assert 1 <= len(lines) <= 5, cell.source
            assert max(map(len, lines)) <= 77, f"too wide for a projector: {cell.source}"
            if any(f"live.{name}(" in cell.source for name in live.VIEWS):
                assert IGNORED in cell.metadata.get("tags", ()), f"tag {IGNORED}: {cell.source}"


def test_a_slip_is_one_line_as_the_lesson_says():
    """Lesson 00 shows what a slip looks like: its sentence alone, in one line."""
    text = "\n".join(cells(LESSONS[0], "markdown"))
    outputs = [
        one for cell in nbformat.read(LESSONS[0], as_version=4).cells for one in cell.get("outputs", ())
    ]
    (shown,) = [one for one in outputs if one.output_type == "error"]
    assert shown.traceback == [shown.evalue] and "\n" not in shown.evalue
    assert "The computer refuses, in one line:" in text


@every_lesson
def test_pictures_have_their_words(lesson):
    """Each lesson shows still pictures, all of figures/, with the registry's words."""
    text = "\n".join(cells(lesson, "markdown"))
    pictures = re.findall(r"!\[[^\]]*\]\(([^)]*)\)", text)
    assert pictures and all((lesson.parent / path).is_file() for path in pictures)
    assert all(path.startswith("../figures/") for path in pictures)
    assert text == with_alt(text), f"run: antlab refresh {lesson.stem}"
    assert "<img" not in text


@lessons_and_guide
def test_no_colour_is_named(lesson):
    """Curves go by their labels: the next style may have other colours, and some readers see none."""
    text = "\n".join(cells(lesson, "markdown"))
    assert not re.search(rf"\b({wording.COLOURS})\b", text, re.IGNORECASE)


@every_lesson
def test_links(lesson):
    """One cell leads on; every link is to a file that is there, so the lesson needs no network."""
    text = "\n".join(cells(lesson, "markdown"))
    links = re.findall(r"(?<!!)\[[^\]]*\]\(([^)#]*)[^)]*\)", text)
    assert not re.search(r"https?:|www\.", text), "sources' addresses belong in sources.md"
    following = COURSE[COURSE.index(lesson.stem) + 1 :]
    if following:
        (leading,) = tagged(lesson, NEXT)
        assert f"({following[0]}.ipynb)" in leading
    coming = {f"{name}.ipynb" for name in COURSE} | {f"homework/{lesson.name}"}  # see the first test
    assert not [link for link in links if link not in coming and not (lesson.parent / link).exists()]


def computed_lengths(lesson):
    """Lengths that code gives, as they are said, with their feet; and in metres, before they are rounded."""
    for template, compute in quoted_by(lesson).QUOTED.items():
        pieces = list(Formatter().parse(template))
        after = [words for words, *_ in pieces[1:]] + [""]
        beside = [re.match(r" m \([\d.]+ ft\)", words) for words in after]
        if any(beside):
            values = compute()
            values = values if isinstance(values, tuple) else (values,)
            for value, (_, _, digits, _), feet in zip(values, pieces, beside, strict=False):
                if feet:
                    yield format(value, digits) + feet[0], float(value)


def quoted_by(lesson):
    """The module that tells where a lesson's numbers come from."""
    return importlib.import_module(f"quoted_{lesson.stem.partition('-')[0]}")


@lessons_and_guide
def test_feet_beside_metres(lesson):
    """A length in metres is followed by its feet, rightly; a band is "the 20-metre band", or "20 metres"."""
    text, unrounded = prose(lesson), dict(computed_lengths(lesson))
    for found in re.finditer(r"(\d+(?:\.\d+)?) m\b(?: \((?:[\d.]+ (?:and|or|to) )*([\d.]+) ft\))?", text):
        length, beside = found.groups()
        around = text[max(found.start() - 30, 0) : found.end() + 20]
        assert beside, f"no feet beside metres: …{around}…"
        slack = 0.5 * 10 ** -len(beside.partition(".")[2]) + 1e-9
        length_m = unrounded.get(found[0], float(length))
        assert abs(metres(float(beside)) - length_m) <= metres(slack), f"wrong feet: …{around}…"


@lessons_and_guide
def test_quoted_numbers_are_computed(lesson):
    """Each number with a unit in a lesson's words is what the code gives, or is given and listed as such."""
    quoted = quoted_by(lesson)
    rest = prose(lesson)
    for template, compute in quoted.QUOTED.items():
        values = compute()
        said = template.format(*values) if isinstance(values, tuple) else template.format(values)
        assert said.replace("−", "-") in rest, f"the code gives: {said}"
        rest = rest.replace(said.replace("−", "-"), " ")
    for said in quoted.GIVEN:
        assert said in rest, f"not in the lesson: {said}"
        rest = rest.replace(said, " ")
    left = [
        rest[max(m.start() - 40, 0) : m.end() + 10]
        for m in re.finditer(rf"\d ?(?:{wording.UNITS})(?!\w)", rest)
    ]
    assert not left, f"neither QUOTED nor GIVEN in {quoted.__name__}.py: {left}"


@every_lesson
def test_cautions(lesson):
    """Where the work can hurt someone the lesson says so before it is begun."""
    if lesson.stem[:2] in CAUTIOUS:
        assert any(len(said) > 200 for said in tagged(lesson, CAUTION))


@every_lesson
def test_published_check_has_its_source(lesson):
    """What a lesson is checked against is listed in sources.md, under the lesson's number."""
    listed = (ROOT / "notebooks" / "sources.md").read_text(encoding="utf-8")
    assert re.search(rf"^\|.*\b{lesson.stem[:2]}\b[^|]*\|$", listed, re.MULTILINE)
