"""What went wrong while a homework cell ran, in a sentence: told from the place and the values there."""

import ast
import builtins
import difflib
import linecache
import sys
from types import BuiltinFunctionType, FunctionType, ModuleType

from antlab.classroom.typed.formulas import RENAMED, unknown
from antlab.classroom.typed.mending import FIRST
from antlab.trouble import Slip

LONGEST = 60
_FIRST_NAMES = {"sp", "hw", "homework", "sympy"}


def told(error, trace, namespace, known):
    """The sentence about an error of a homework cell; None where it is none, and IPython has the word.

    error, trace: the exception and its traceback. namespace: names of the notebook. known: its Known.
    """
    if not known.sheet and not (isinstance(error, NameError) and error.name in _FIRST_NAMES):
        return str(error) if isinstance(error, Slip) and _in_homework(trace) else None
    if isinstance(error, Slip):
        return f"{str(error)[:1].upper()}{str(error)[1:].rstrip('.')}."
    if isinstance(error, NameError):
        return _no_name(str(error.name), known)
    piece = _piece(trace, namespace)
    if isinstance(error, ImportError):
        return f"There is no {str(error.name)[:24]} here: a sheet needs nothing but sympy."
    if isinstance(error, ZeroDivisionError):
        return f"In {piece} something is divided by zero: look at what stands below the line."
    if isinstance(error, RecursionError | MemoryError | OverflowError):
        return f"{piece} grows beyond all bounds: look at its powers."
    about = _about(error, piece, namespace, known)
    return about or (
        f"Python can't work out {piece}: compare it with the formula on your paper, piece by piece. "
        f"({type(error).__name__})"
    )


def _in_homework(trace):
    while trace:
        if trace.tb_frame.f_globals.get("__name__", "").startswith("antlab.classroom.homework"):
            return True
        trace = trace.tb_next
    return False


def _no_name(name, known):
    if name in _FIRST_NAMES:
        return FIRST
    return unknown(name, known)


def _piece(trace, namespace):
    """The piece of the cell that failed, as it was typed; the whole line where that can't be told."""
    frame = line = None
    at = -1
    while trace:
        if trace.tb_frame.f_globals is namespace:
            frame, line, at = trace.tb_frame, trace.tb_lineno, trace.tb_lasti
        trace = trace.tb_next
    if frame is None:
        return "this"
    code = frame.f_code
    text = linecache.getline(code.co_filename, line).rstrip("\n")
    places = list(code.co_positions())
    start, end, first, last = places[at // 2] if 0 <= at // 2 < len(places) else (None,) * 4
    if first is not None and start == end:
        text = text.encode()[first:last].decode(errors="replace")
    text = " ".join(text.split())
    return text if len(text) <= LONGEST else text[: LONGEST - 1] + "…"


def _about(error, piece, namespace, known):
    """What is wrong with the things in a piece of code, from what they are; None where nothing is seen."""
    try:
        tree = ast.parse(piece.strip(), mode="eval").body
    except (SyntaxError, ValueError):
        tree = None
    names = [node for node in ast.walk(tree) if isinstance(node, ast.Name)] if tree else []
    values = {node.id: namespace[node.id] for node in names if node.id in namespace}
    for name, value in values.items():
        if value is Ellipsis:
            return f"{name} still has its three dots: answer that problem first, and run its cell."
    if isinstance(tree, ast.Subscript):
        held = values.get(getattr(tree.value, "id", ""))
        if isinstance(error, KeyError) and ast.unparse(tree.value) == f"{known.sheet}.values":
            return (
                f"{known.sheet}.values is asked by symbol, without quotation marks: {known.sheet}.values[f]."
            )
        if isinstance(error, IndexError):
            return f"{ast.unparse(tree.value)} has fewer results than that: [0] takes its first."
        if held is not None and not isinstance(held, list | tuple | dict):
            return f"{tree.value.id} is no list: take away what stands in square brackets behind it."
    if isinstance(tree, ast.Attribute) or isinstance(error, AttributeError):
        return _no_attribute(error, tree, values, known)
    if isinstance(tree, ast.Call):
        called = tree.func
        if isinstance(called, ast.Attribute) and getattr(called.value, "id", "") == known.sheet:
            if called.attr == "check":
                return (
                    f"The check takes the problem and one result, with a comma between: "
                    f'{known.sheet}.check("01.2", 35.5), and a number has a point.'
                )
            return f'{ast.unparse(called)} wants text, as in {known.sheet}.symbols("f L").'
        if _factor(called, values):
            return f"Behind {ast.unparse(called)} a star is missing: {ast.unparse(called)}*(…)."
        if isinstance(called, ast.Attribute) and getattr(called.value, "id", "") in ("math", "np", "numpy"):
            return f"{ast.unparse(called)} works on numbers alone: for formulas type sp.{called.attr}(…)."
        if isinstance(called, ast.Name | ast.Attribute):
            wrong = [
                ast.unparse(one)
                for one in tree.args
                if isinstance(one, ast.Constant) and type(one.value) is str
            ]
            if wrong:
                return f"{wrong[0]} is text: take off its quotation marks."
    for node in ast.walk(tree) if tree else ():
        if isinstance(node, ast.List | ast.Set | ast.Dict):
            return "Square and curly brackets make lists: in a formula all brackets are round."
        if isinstance(node, ast.Constant) and type(node.value) is str:
            return f"{node.value[:24]!r} is text: take off its quotation marks to work with it."
    called = {id(node.func) for node in ast.walk(tree) if isinstance(node, ast.Call)} if tree else set()
    for node in ast.walk(tree) if tree else ():
        if (
            isinstance(node, ast.Attribute)
            and getattr(node.value, "id", "") == "sp"
            and id(node) not in called
        ):
            held = getattr(sys.modules["sympy"], node.attr, None)
            if callable(held) and not hasattr(held, "free_symbols"):
                return f"What sp.{node.attr} is taken of stands in brackets behind it: sp.{node.attr}(…)."
    return next((one for one in (_odd(name, value) for name, value in values.items()) if one), None)


def _odd(name, value):
    """What is said of a thing that nothing can be worked out with."""
    if isinstance(value, list | tuple | set | dict):
        return f"{name} is a list of results: {name}[0] takes its first."
    if isinstance(value, str):
        return f"{name} is text: give it a number or a formula, without quotation marks."
    if value is None:
        return f"{name} holds nothing: what was put there gives no result."
    if isinstance(value, ModuleType):
        return f"Behind {name} a point and a word are missing: {name}.pi, or {name}.sqrt(…)."
    if isinstance(value, BuiltinFunctionType | FunctionType):
        return f"{name} wants brackets behind it: {name}(…)."
    return None


def _factor(node, values):
    """Whether something that is called is a number or a formula."""
    if isinstance(node, ast.Name):
        return (
            node.id in values
            and not callable(values[node.id])
            or hasattr(values.get(node.id), "free_symbols")
        )
    return isinstance(node, ast.Constant | ast.BinOp | ast.Call) or (
        isinstance(node, ast.Attribute) and ast.unparse(node) in ("sp.pi", "sp.I", "sp.E")
    )


def _no_attribute(error, tree, values, known):
    owner = getattr(error, "obj", None)
    name = str(getattr(error, "name", "") or "")
    where = "it"
    for node in ast.walk(tree) if tree else ():
        if isinstance(node, ast.Attribute) and node.attr == name:
            where = ast.unparse(node.value)[:LONGEST]
    if type(owner).__module__.startswith("antlab.classroom.homework"):
        near = difflib.get_close_matches(name, ("values", "symbols", "options", "check"), 1)
        if near:
            return f"The sheet has no {name[:24]}: type {known.sheet}.{near[0]}."
        return (
            f"The sheet has no {name[:24]}: it has {known.sheet}.values, {known.sheet}.symbols(…), "
            f"{known.sheet}.options(…) and {known.sheet}.check(…)."
        )
    if isinstance(owner, int | float | complex) and name in ("subs", "evalf", "doit", "n", "simplify"):
        return f"{where} is a number already: take away .{name}(…)."
    if isinstance(owner, list | tuple):
        return f"{where} is a list of results: [0] behind it takes the first."
    if isinstance(owner, str):
        return f"{where} is text: take off its quotation marks."
    if owner is Ellipsis:
        return f"{where} still has its three dots: answer that problem first, and run its cell."
    if isinstance(owner, ModuleType) and owner.__name__ == "sympy":
        word = RENAMED.get(name, name)
        return f"sympy has no {name[:24]}" + (
            f": type sp.{word}." if word != name else ": its words are like sp.sqrt(…)."
        )
    if hasattr(owner, "free_symbols"):
        return f"A formula has no {name[:24]}: .subs(hw.values) puts your numbers in, .evalf() works it out."
    if callable(owner) and owner in vars(builtins).values():
        return f"{where} wants brackets behind it: {where}(…)."
    return None
