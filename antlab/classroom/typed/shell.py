"""In IPython: homework cells are mended before they run, and what goes wrong in them ends in a sentence."""

import sys
import textwrap
from functools import cache
from types import ModuleType

from antlab.classroom.typed.known import CHOICE, FORMULA, NUMBER, Asked, Asking, Known
from antlab.classroom.typed.mending import mended
from antlab.classroom.typed.telling import told
from antlab.trouble import Slip

WIDTH = 75  # as that of the checks
_OURS = "antlab."


def attach(shell):
    """Do so from the next cell on. shell: an InteractiveShell, told once however often it is asked."""
    if not any(isinstance(one, Reader) for one in shell.input_transformers_cleanup):
        reader = Reader(shell)
        shell.input_transformers_cleanup.append(reader)
        shell.set_custom_exc((Exception,), reader.went_wrong)


def attach_here():
    """The same for the shell that this runs in, if there is one."""
    ipython = sys.modules.get("IPython")
    if ipython and (shell := ipython.get_ipython()):
        attach(shell)


class Reader:
    """Looks at each cell of one shell before Python does."""

    def __init__(self, shell):
        self._shell, self._problem = shell, ""

    def __call__(self, lines):
        """The lines of a cell as Python is to read them: what IPython calls a transformer."""
        cell = "".join(lines)
        try:
            made = mended(cell, known_in(self._shell.user_ns))
        except Exception:  # the last net: Python says what it has to say
            return lines
        self._problem = made.problem
        if not made.says:
            return lines
        said = "".join(f"print({wrapped(made.problem, one)!r})\n" for one in made.says)
        return (said + made.cell).splitlines(keepends=True)

    def went_wrong(self, shell, kind, error, trace, tb_offset=None):
        """Say in a sentence what went wrong in a cell of the homework; leave all else to IPython."""
        namespace = shell.user_ns
        sentence = None
        if not _is_ours(trace, error, namespace):
            sentence = told(error, trace, namespace, known_in(namespace))
        if sentence is None:
            shell.showtraceback((kind, error, trace), tb_offset=tb_offset, running_compiled_code=True)
        else:
            print(wrapped(self._problem, sentence))


def _is_ours(trace, error, namespace):
    """Whether an error is none of the student's: it comes from within antlab, and is no Slip."""
    name = ""
    while trace:
        frame, trace = trace.tb_frame, trace.tb_next
        name = frame.f_globals.get("__name__", "")
    return str(name).startswith(_OURS) and not isinstance(error, Slip)


def known_in(namespace):
    """The Known of a notebook's names."""
    sympy = sys.modules.get("sympy")
    sheets = [
        (name, one) for name, one in namespace.items() if Asking in type(one).__mro__ and name[:1] != "_"
    ]
    if not sheets:
        return Known(names=frozenset(namespace))
    name, sheet = next((pair for pair in sheets if pair[0] == "hw"), sheets[-1])
    return Known(
        sheet=name,
        asks={number: _asked(problem) for number, problem in sheet.asks.items()},
        symbols={_python(one): one for one in (*sheet.names, *sheet.also)},
        listed=tuple(map(_python, sheet.names)),
        names=frozenset(namespace),
        factors=frozenset(one for one, value in namespace.items() if _multiplies(value, sympy)),
        own=tuple(
            one
            for one, value in namespace.items()
            if one[:1] != "_" and not isinstance(value, ModuleType) and not callable(value)
        ),
        words=_words(),
    )


@cache
def _words():
    """The words of sympy."""
    return frozenset(vars(sys.modules["sympy"]))


def _python(name):
    return "lam" if name == "lambda" else name


def _asked(problem):
    kind = {"Expression": FORMULA, "Number": NUMBER, "Choice": CHOICE}[type(problem).__name__]
    letters = "".join(problem.options) if kind == CHOICE else ""
    return Asked(kind, getattr(problem, "unit", ""), getattr(problem, "unknown", ""), letters)


def _multiplies(value, sympy):
    return type(value) in (int, float, complex) or sympy.Expr in type(value).__mro__


def wrapped(head, sentence):
    """A sentence as the checks say theirs."""
    text = f"{head}  {sentence}" if head else sentence
    return textwrap.fill(text, WIDTH, subsequent_indent=" " * (len(head) + 2) if head else "")
