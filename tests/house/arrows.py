"""Who imports whom under antlab/, read from the sources: the level of a room is its folder.

python tests/house/arrows.py      prints the graph by folder
"""

import ast
import re
import sys
from collections import Counter
from functools import cache
from pathlib import Path

PACKAGE = Path(__file__).parents[2] / "antlab"
GROUND = "ground floor"  # facts.py, files.py, hooks.py, trouble.py, units.py, beside the folders
FOLDERS = (GROUND, "physics", "engine", "antenna", "classroom", "serve", "cli", "front door")
CLASSROOM = {"IPython", "anywidget", "ipywidgets", "matplotlib", "sympy"}  # what nothing below it imports
FUNCTIONS = ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda
ALLOWED_UPWARD = ()  # (importing module, imported one); may an heir find it as empty as this


def modules(package):
    """Every module of a package, by its dotted name: its path. A package is its __init__."""
    found = {}
    for path in sorted(package.rglob("*.py")):
        parts = ("antlab", *path.relative_to(package).with_suffix("").parts)
        found[".".join(parts[:-1] if parts[-1] == "__init__" else parts)] = path
    return found


def folder_of(module):
    """The folder that a module lies in, which is its level; antlab itself and __main__ are the front door."""
    parts = module.split(".")
    if len(parts) == 1 or parts[1] == "__main__":
        return "front door"
    return parts[1] if parts[1] in FOLDERS else GROUND


def imports(module, path, known):
    """What a module imports, wherever in it, as (dotted name, at once): names of ours are those of modules.

    A name in a string counts, since import_module and JupyterLab's options take one. at once: not only when a
    function is called.
    """
    package = module if path.name == "__init__.py" else module.rpartition(".")[0]
    for level, base, names, now in spelled(path.read_text(encoding="utf-8")):
        parts = package.split(".")
        start = ".".join(parts[: len(parts) + 1 - level]) if level else ""
        for name in names:
            whole = ".".join(part for part in (start, base, name) if part)
            yield (nearest(whole, known) if whole.split(".")[0] == "antlab" else whole), now


@cache
def spelled(text):
    """What a source imports, as it stands there: (dots, from what, names, at once). Copies cost nothing."""
    tree, found = ast.parse(text), []
    functions = [node for node in ast.walk(tree) if isinstance(node, FUNCTIONS)]
    late = {inner for node in functions for inner in ast.walk(node)}
    for node in ast.walk(tree):
        now = node not in late
        if isinstance(node, ast.Import):
            found.append((0, "", [one.name for one in node.names], now))
        elif isinstance(node, ast.ImportFrom):
            names = [one.name for one in node.names if not one.name.startswith("__")]
            found.append((node.level, node.module, names, now))
        elif isinstance(node, ast.Constant) and isinstance(node.value, str):
            found.append((0, "", in_words(node.value), now))
    return found


def in_words(text):
    """The names of ours in a string; antlab.configuration and its like are files of somebody's."""
    return re.findall(rf"\bantlab\.(?:{'|'.join(FOLDERS[1:-1])})(?:\.\w+)*", text)


def named(path):
    """The names of ours in all strings of a file."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    texts = [node.value for node in ast.walk(tree) if isinstance(node, ast.Constant)]
    return [name for text in texts if isinstance(text, str) for name in in_words(text)]


def nearest(name, known):
    """The module that a dotted name of ours is in: itself, or what it is a name of."""
    while name not in known:
        name = name.rpartition(".")[0]
    return name


def upward(package=PACKAGE):
    """Every import that points to a higher floor, as (importing module, imported one)."""
    known = modules(package)
    level = {module: FOLDERS.index(folder_of(module)) for module in known}
    return sorted({
        (module, name) for module, path in known.items() for name, _ in imports(module, path, known)
        if level.get(name, 0) > level[module] and (module, name) not in ALLOWED_UPWARD
    })  # fmt: skip


def foreign(package=PACKAGE):
    """Below the classroom: every import of what belongs there, or is neither ours, Python's nor numpy."""
    known, classroom = modules(package), FOLDERS.index("classroom")
    fine = {"antlab", "numpy", *sys.stdlib_module_names}
    return sorted({
        (module, name) for module, path in known.items() if FOLDERS.index(folder_of(module)) < classroom
        for name, _ in imports(module, path, known) if name.split(".")[0] not in fine
    })  # fmt: skip


def at_once(start, package=PACKAGE):
    """What importing a module of ours imports at once, of ours and of others, as dotted names."""
    known, seen, ahead = modules(package), set(), [start]
    while ahead:
        name = ahead.pop()
        if name not in seen:
            seen.add(name)
            inner = [one for one, now in imports(name, known[name], known) if now] if name in known else []
            ahead += inner + [name.rpartition(".")[0]] * (name in known and "." in name)
    return seen


def by_folder(package=PACKAGE):
    """How many imports lead from folder to folder: Counter of (from, to)."""
    known = modules(package)
    pairs = ((module, name) for module, path in known.items() for name, _ in imports(module, path, known))
    return Counter((folder_of(one), folder_of(other)) for one, other in pairs if other in known)


def table(package=PACKAGE):
    """The graph by folder as text: a line for each folder, with how many imports lead where."""
    count = by_folder(package)
    lines = []
    for folder in reversed(FOLDERS):
        aims = ", ".join(f"{aim} {count[folder, aim]}" for aim in FOLDERS if count[folder, aim])
        lines.append(f"{folder:>12} -> {aims or 'nothing'}")
    return "\n".join(lines)


if __name__ == "__main__":
    print(table())
