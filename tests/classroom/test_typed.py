"""Homework cells as new users type them: read as they are meant, or answered with one sentence that mends."""

import contextlib
import csv
import io
import random
import warnings
from collections import Counter
from functools import lru_cache
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
import sympy as sp
from IPython.core.interactiveshell import InteractiveShell
from traitlets.config import Config

from antlab.classroom import homework
from antlab.classroom.homework import problems
from antlab.classroom.typed import load_ipython_extension
from antlab.classroom.typed.known import Asked, Known
from antlab.classroom.typed.mending import mended

TRIES = list(csv.DictReader(Path(__file__).with_name("tries.csv").read_text(encoding="utf-8").splitlines()))
DOTS = '# Work here. Put your result in place of the dots.\nresult = {}\nhw.check("{}", result)'
LETTER = '# Put your letter between the last two quotation marks.\nhw.check("{1}", {0})'
lesson = lru_cache(maxsize=None)(problems.lesson)


class Notebook:
    """A notebook's kernel without the kernel: cells are run, what they say is kept."""

    def __init__(self):
        config = Config()
        config.HistoryManager.enabled = False
        config.InteractiveShell.colors = "nocolor"
        self.shell = InteractiveShell.instance(config=config)
        self._names, self._opened = dict(self.shell.user_ns), {}
        load_ipython_extension(self.shell)

    def run(self, cell):
        """What a cell says, errors too."""
        said = io.StringIO()
        with contextlib.redirect_stdout(said), contextlib.redirect_stderr(said), warnings.catch_warnings():
            warnings.simplefilter("error")
            self.shell.run_cell(cell)
        return " ".join(said.getvalue().split())

    def opened(self, number, *, symbols=True):
        """A new kernel in which the sheet of a lesson was opened, and its symbols fetched."""
        self.new()
        if (number, symbols) in self._opened:
            self.shell.user_ns.update(self._opened[number, symbols] | {"hw": homework.sheet(number)})
            return
        self.run(
            f'import sympy as sp\nfrom antlab.classroom import homework\nhw = homework.sheet("{number}")'
        )
        if symbols:
            names = self.shell.user_ns["hw"].names
            made = ["lam" if one == "lambda" else one for one in names]
            self.run(f'{", ".join(made)} = hw.symbols("{" ".join(names)}")')
        self._opened[number, symbols] = dict(self.shell.user_ns)

    def new(self):
        """A new kernel: the shell's own way collects garbage for a sixth of a second."""
        self.shell.user_ns.clear()
        self.shell.user_ns.update(self._names)


@pytest.fixture(scope="module")
def notebook():
    """One shell for all tries: each begins with an empty kernel."""
    yield Notebook()
    InteractiveShell.clear_instance()


def test_a_slip_in_a_lesson_is_its_sentence_alone(notebook):
    """A refusal shows no calls that led there; any other error shows them."""
    notebook.new()
    notebook.run("import antlab as al")
    said = notebook.run('al.trim("none.json", "sweep.s1p")')
    assert said == "cannot read none.json: No such file or directory"
    assert "Traceback" in notebook.run("al.trim(none)")


def filled(one):
    """What was typed in a try, with the right number or letter where the table leaves it open."""
    problem = lesson(one["problem"][:2]).problems.get(one["problem"])
    right = getattr(problem, "right", "") if isinstance(problem, problems.Choice) else ""
    value = f"{problem.value:.5g}" if isinstance(problem, problems.Number) else right
    typed = one["typed"].replace("⏎", "\n")
    for name, text in (
        ("{v}", value),
        ("{V}", value.upper()),
        ("{comma}", value.replace(".", ",")),
        ("{minus}", value.replace("-", "−")),
    ):
        typed = typed.replace(name, text)
    return typed


def tried(notebook, one):
    """What is said to a try."""
    where, typed, problem = one["where"], filled(one), one["problem"]
    if where == "first":
        notebook.new()
        return notebook.run(
            "import sympy as sp\nfrom antlab.classroom import homework\n\n"
            f'hw = homework.sheet("{problem}", {typed})\nhw'
        )
    if where.startswith("before"):
        notebook.new()
    else:
        notebook.opened(problem[:2], symbols=where != "no symbols")
    if where.endswith("letter"):
        return notebook.run(LETTER.format(typed, problem))
    return notebook.run(typed if where.endswith("cell") else DOTS.format(typed, problem))


@pytest.mark.parametrize("where", sorted({one["where"] for one in TRIES}))
def test_tries_of_new_users(notebook, where):
    """Each is read as it is meant, or told in one sentence what to type; no traceback, no wrong reading."""
    wrong = []
    for one in TRIES:
        if one["where"] != where:
            continue
        said = tried(notebook, one)
        is_right = "Right" in said.replace("Right so far", "")
        ends = {
            "right": is_right,
            "wrong": "Not yet" in said,
            "says": not is_right and "Not yet." not in said,
            "numbers": "numbers of" in said and "example" not in said,
        }[one["ends"]]
        raw = "Traceback" in said or "Error" in said.replace("(TypeError)", "") or "Warning" in said
        if raw or not ends or not said or one["says"] not in said or len(said) > 700:
            wrong.append((one["problem"], filled(one), said[:300]))
    assert not wrong, "\n".join(map(str, wrong))


# nothing is read that was not meant

f, L, C, theta = (np.array(pair, complex) for pair in ((1.3, 0.6), (0.7, 1.9), (2.1, 0.8), (0.4, 1.1)))
WORDS = frozenset(vars(sp))
SHEET = Known(
    "hw",
    {"01.1": Asked("formula", "", "R"), "01.2": Asked("number", "pF")},
    {"f": "f", "L": "L", "C": "C", "theta": "theta"},
    frozenset({"hw", "sp", "f", "L", "C", "theta"}),
    frozenset({"f", "L", "C", "theta"}),
    (),
    WORDS,
    ("f", "L", "C", "theta"),
)


def root(x):
    """A root on one branch, whatever the sign of a zero beside it."""
    return np.sqrt(abs(x))


NUMPY = SimpleNamespace(pi=np.pi + 0j, sqrt=root, sin=np.sin)
NAMES = {"sp": NUMPY, "f": f, "L": L, "C": C, "theta": theta}


def read(typed):
    """The values of what a formula is read as; None where a sentence is given."""
    made = mended(f'result = {typed}\nhw.check("01.1", result)', SHEET)
    return eval(made.cell.split("\n")[0].split("=", 1)[1], dict(NAMES)) if made.cell else None


LEAVES = [("f", f), ("L", L), ("C", C), ("θ", theta), ("π", np.pi + 0j), ("2", 2 + 0j), ("4", 4 + 0j)]
KINDS = ("sum", "beside", "star", "over", "square", "caret", "root", "sine")


def formula(dice, depth=3):
    """As people write it, what they mean by it, and how tight it is: 0 a sum, 1 a product, 2 a factor."""
    if depth == 0 or dice.random() < 0.2:
        return (*dice.choice(LEAVES), 2)
    kind = dice.choice(KINDS)
    text, value, tight = formula(dice, depth - 1)
    if kind in ("square", "caret"):
        power = dice.choice([("²", "^2", 2), ("³", "^3", 3), ("⁻¹", "^-1", -1)])
        held = text if len(text) == 1 else f"({text})"
        return held + power[kind == "caret"], 1 / value if power[2] < 0 else value ** power[2], 2
    if kind in ("root", "sine"):
        sign, of = {"root": ("√", root), "sine": ("sin", np.sin)}[kind]
        return f"{sign}({text})", of(value), 2
    other, second, other_tight = formula(dice, depth - 1)
    if kind == "sum":
        return f"{text} + {other}", value + second, 0
    left = text if tight else f"({text})"
    right = other if other_tight == 2 else f"({other})"
    if kind == "over":  # what people do: 1/2πf for 1/(2πf)
        loose = other_tight == 1 and not {*"/*·"} & {*other} and dice.random() < 0.7
        return f"{left}/{other if loose else right}", value / second, 1
    between = "*" if kind == "star" else dice.choice(["", " ", "·", " · "])
    if between.strip() == "" and right[:1].isdigit():
        right = f"({right})"
    return f"{left}{between}{right}", value * second, 1


def test_no_formula_is_read_wrongly():
    """400 formulas as people write them: read as they are meant, or asked about, and the most are read."""
    dice, read_or_not = random.Random(20), Counter()
    with np.errstate(all="ignore"):
        for _ in range(400):
            typed, meant, _ = formula(dice)
            got = read(typed)
            read_or_not[got is not None] += 1
            if got is not None and np.all((abs(meant) > 1e-6) & (abs(meant) < 1e6)):
                assert np.allclose(got, meant, rtol=1e-6), (typed, got, meant)
    assert read_or_not[True] > 300 and read_or_not[False] > 3, read_or_not
