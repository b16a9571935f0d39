"""What may be typed into a homework cell: anything. It is read or left alone, soon, and never worked out."""

import random
import time

import nbformat
import pytest
from IPython.core.interactiveshell import InteractiveShell
from test_typed import SHEET, Notebook

from antlab.classroom.homework.naming import LESSONS
from antlab.classroom.tags import ANSWER, tags
from antlab.classroom.typed.known import Known
from antlab.classroom.typed.mending import LONGEST, mended
from antlab.classroom.typed.quantities import Unread, number_in
from antlab.classroom.typed.shell import known_in
from antlab.files import ROOT

PIECES = (
    "f L C theta 2 0.5 1e3 π pi sqrt √ ² ⁻¹ ½ θ ° % + - * / ^ ** = == , . ... ( ) [ ] { } ' \" “ ” : ; # ? ! "
    "\\ $ ~ | _ __import__ os eval exec open lambda for if not None hw hw.check sp sp. math. MHz pF µ Ω "
    'Z₀ x j e 3,5 1.2.3 "01.1" "a" \x00 \x1b \ud800 ≈ é 中 \u202e \n \t'
).split(" ")


@pytest.fixture(scope="module")
def dice():
    """The same throws each time."""
    return random.Random(20)


@pytest.fixture(scope="module")
def notebook():
    """One shell for all cells."""
    yield Notebook()
    InteractiveShell.clear_instance()


def test_random_cells_are_read_or_left_alone(dice):
    """300 cells of odd pieces: nothing raised, and what is changed is said."""
    for _ in range(300):
        typed = "".join(dice.choice(PIECES) + dice.choice(("", " ")) for _ in range(dice.randrange(1, 12)))
        cell = f'result = {typed}\nhw.check("01.1", result)'
        for known in (SHEET, Known()):
            made = mended(cell, known)
            assert all(len(one) < 600 for one in made.says)
            assert made.cell in ("", cell) or made.says


@pytest.mark.parametrize(
    "typed",
    ["(" * 3000, "f" * 3900, "2" * 3900, "√" * 3900, "f " * 1900, "1,1" * 1200, "((((f))))²" * 390,
     "pi" * 1900, "fLC" * 1000, " " * 3900, "'" * 3900, "e" * LONGEST,
     "9" * 300 + "e" + "9" * 300 + " pF", "~" * 3000],
)  # fmt: skip
def test_long_cells_take_no_time(typed):
    """As long as a cell may be, of what is worst to take apart: answered within the second."""
    start = time.process_time()
    for problem in ("01.1", "01.2"):
        mended(f'result = {typed}\nhw.check("{problem}", result)', SHEET)
        mended(f'hw.check("{problem}", {typed})', SHEET)
    assert time.process_time() - start < 1.5


def test_text_is_taken_apart_and_never_worked_out():
    """What stands in quotation marks stays text, whatever it says; a number in it is found by its letters."""
    for text in (
        "__import__('os').system('x')",
        "1/(f*L)",
        "2**9**9",
        "sp.pi",
        "104.7 + 1",
        "0x10",
        "1_0 pF pF",
    ):
        try:
            assert number_in(text, "pF") is None
        except Unread:
            pass
        cell = f'result = "{text}"\nhw.check("01.1", result)'
        made = mended(cell, SHEET)
        assert not made.cell or f'"{text}"' in made.cell


@pytest.mark.parametrize("number", LESSONS)
def test_the_answers_stay_to_the_letter(number, notebook):
    """What Python reads as it is meant is not touched: each cell of the worked answers."""
    (path,) = (ROOT / "notebooks" / "answers").glob(f"{number}-*.ipynb")
    notebook.new()
    for cell in nbformat.read(path, as_version=4).cells:
        if cell.cell_type == "code":
            assert mended(cell.source, known_in(notebook.shell.user_ns)).cell == cell.source
            if ANSWER not in tags(cell):  # the others compute antennas
                notebook.run(cell.source)


def test_other_notebooks_are_left_alone():
    """Where no sheet is open a cell is handed on as it is, with all its mistakes."""
    for cell in ("1/(2πf)", "live.height(", "x = 3,5", "print(25 pF)", "%matplotlib inline", "?", "!ls"):
        assert mended(cell, Known()).cell == cell
