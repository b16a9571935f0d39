"""Arrows run downwards: what a module may import follows from the folder that it lies in, not from a list."""

import graphlib
import pkgutil
import shutil
import sys

import pytest
from arrows import (
    ALLOWED_UPWARD,
    CLASSROOM,
    FOLDERS,
    PACKAGE,
    at_once,
    foreign,
    imports,
    modules,
    named,
    table,
    upward,
)


def test_no_arrow_points_upward(capsys):
    """Physics knows no antenna, an antenna no student, a student's room no server. Prints the graph."""
    with capsys.disabled():
        print("\n" + table())
    assert upward() == [] and ALLOWED_UPWARD == ()


def test_nothing_foreign_below_the_classroom():
    """Formulas, engine and antenna run where there is numpy and nothing else."""
    assert foreign() == []


def test_names_in_strings_are_there():
    """What is named in a string is found when it is asked for, though no import would complain before."""
    for module, path in modules(PACKAGE).items():
        for name in named(path):
            assert pkgutil.resolve_name(name) is not None, f"{module} names {name}"


def test_no_circle():
    """Whoever reads a module can read what it stands on first."""
    known = modules(PACKAGE)
    graph = {module: {name for name, _ in imports(module, path, known) if name in known and name != module}
             for module, path in known.items()}  # fmt: skip
    for package in [name for name in graph if known[name].name == "__init__.py"]:
        del graph[package]  # a package's face is not what its rooms stand on
    graph = {module: names & graph.keys() for module, names in graph.items()}
    list(graphlib.TopologicalSorter(graph).static_order())  # raises CycleError


def test_every_folder_has_its_level():
    """A new folder is given a place in the order before anything can be built in it."""
    folders = {path.parent.relative_to(PACKAGE).parts[0] for path in PACKAGE.glob("*/**/*.py")}
    assert folders == set(FOLDERS[1:-1])


def test_first_run_and_check_need_the_standard_library_alone():
    """The command line starts where nothing is installed yet."""
    names = {name.split(".")[0] for name in at_once("antlab.__main__")}
    assert names <= {"antlab", *sys.stdlib_module_names}


INTRUDERS = {
    "an import": "import antlab.classroom.course",
    "a relative one": "from ..serve import work",
    "one in a function": "def f():\n    from antlab.engine import dipole",
    "import_module": "from importlib import import_module\nimport_module('antlab.cli.main')",
    "a string": "NAME = 'antlab.classroom.paper.sheet'",
    "a name in an option": "OPTION = '--hook=antlab.serve.saved.in_words'",
    "the front door": "import antlab as al",
    "a name through the front door": "from antlab import design",
}


@pytest.mark.parametrize("what", INTRUDERS)
def test_an_intruder_is_found(what, tmp_path):
    """A module put anywhere that imports upward makes the test above fail, however it does so."""
    copy = shutil.copytree(PACKAGE, tmp_path / "antlab", ignore=shutil.ignore_patterns("course", "*.pyc"))
    (copy / "physics" / "intruder.py").write_text(INTRUDERS[what])
    assert [module for module, _ in upward(copy)] == ["antlab.physics.intruder"]


@pytest.mark.parametrize("library", sorted(CLASSROOM))
def test_a_foreign_library_is_found(library, tmp_path):
    """So does one that draws, or does algebra, below the classroom."""
    copy = shutil.copytree(PACKAGE, tmp_path / "antlab", ignore=shutil.ignore_patterns("course", "*.pyc"))
    (copy / "antenna" / "intruder.py").write_text(f"def f():\n    import {library}")
    assert foreign(copy) == [("antlab.antenna.intruder", library)]
