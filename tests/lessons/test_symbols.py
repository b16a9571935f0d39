"""The pages of reference: one symbol for one thing, and lesson 00's rules that keep people alive."""

import inspect
import re

import nbformat
import pytest

import antlab as al
from antlab.antenna.safety import CAUTIONS
from antlab.files import ROOT

LESSONS = sorted((ROOT / "notebooks").glob("[0-9][0-9]-*.ipynb"))
SPELLED = dict(
    zip("ωλℓρφθεσ₀₁₂ᵣₛ", "omega lambda ell rho phi theta epsilon sigma _0 _1 _2 _r _s".split(), strict=True)
)


def cells(path, kind):
    """The sources of a notebook's cells of one kind, as one text."""
    notebook = nbformat.read(path, as_version=4)
    return "\n".join(cell.source for cell in notebook.cells if cell.cell_type == kind)


def of_lesson_00(name):
    """The words of lesson 00's cell of that id."""
    notebook = nbformat.read(ROOT / "notebooks" / "00-start-here.ipynb", as_version=4)
    return next(cell.source for cell in notebook.cells if cell.id == name)


def symbols_page():
    """Rows of the page's table: symbols as sympy spells them, unit, names in the code, what it is."""
    page = (ROOT / "notebooks" / "symbols.md").read_text(encoding="utf-8")
    lines = [line for line in page.splitlines() if line.startswith("|")]
    rows = [line.strip("|").split("|") for line in lines[2:]]
    for symbol, unit, names, what in rows:
        for letter, spelling in SPELLED.items():
            symbol = symbol.replace(letter, spelling)
        yield [part.strip() for part in symbol.split(",")], unit.strip(), re.findall(r"`(\w+)`", names), what


def test_one_symbol_for_one_thing():
    """No symbol stands for two things, and no name of the code goes by two symbols."""
    symbols, _, names, _ = zip(*symbols_page(), strict=True)
    for listed in (sum(symbols, []), sum(names, [])):
        assert len(listed) == len(set(listed)) > 20


def test_the_code_knows_the_page_s_names():
    """Each name in the column "in our code" is an argument, an attribute or a function of the package."""
    known = {"j"}
    for room in al._PATH_OF:
        for name, thing in vars(getattr(al, room)).items():
            known |= {name, *dir(thing)}
            ours = getattr(thing, "__module__", "").startswith("antlab")
            if ours and (
                inspect.isfunction(thing) or inspect.isclass(thing) and not issubclass(thing, Exception)
            ):
                known |= set(inspect.signature(thing).parameters)
    page = {name for row in symbols_page() for name in row[2]} - {"1j"}
    assert not page - known


@pytest.mark.parametrize("lesson", LESSONS, ids=lambda path: path.stem)
def test_lessons_use_the_page_s_symbols(lesson):
    """Every symbol that a lesson makes with sympy is on the page."""
    made = " ".join(re.findall(r"symbols\(\s*\"([^\"]+)\"", cells(lesson, "code")))
    page = {symbol for row in symbols_page() for symbol in row[0]}
    assert not set(made.replace(",", " ").split()) - page


def test_every_caution_has_its_rule():
    """Lesson 00 has a rule for each thing that the package warns of, and no rule without one."""
    text = of_lesson_00("ten-rules-before-you")
    rules = re.findall(r"^\d+\. \*\*(.+?)\.\*\*", text, re.MULTILINE)
    assert [rule.lower() for rule in rules] == list(CAUTIONS)
