"""How code is written here: ruff says nothing, every public thing has an example, every example runs."""

import doctest
import importlib
import importlib.util
import inspect
import subprocess
import sys

import numpy as np
import pytest
from test_house import public_functions

import antlab as al
from antlab.files import ROOT

FLAGS = doctest.NORMALIZE_WHITESPACE | doctest.ELLIPSIS
PUBLIC = list(public_functions())


@pytest.mark.skipif(not importlib.util.find_spec("ruff"), reason="ruff is not installed")
@pytest.mark.parametrize("how", [["check"], ["format", "--check"]], ids=" ".join)
def test_ruff_says_nothing(how):
    """Whoever changes a line sees that line in the difference, and not how somebody else breaks lines."""
    said = subprocess.run([sys.executable, "-m", "ruff", *how, "."], cwd=ROOT, capture_output=True, text=True)
    assert not said.returncode, said.stdout + said.stderr


@pytest.mark.parametrize("thing", PUBLIC)
def test_every_public_thing_has_an_example(thing):
    """What a formula takes and about what it returns is seen at a glance; an example asks for something."""
    assert doctest.DocTestParser().get_examples(inspect.getdoc(thing)), "its docstring lacks a line >>> …"


@pytest.mark.parametrize("module", sorted({one.values[0].__module__ for one in PUBLIC}))
def test_every_example_runs(module, tmp_path, monkeypatch):
    """An example is what a reader copies first: in a plain notebook, with al and np alone, it says that."""
    monkeypatch.chdir(tmp_path)  # files are an example's own
    runner = doctest.DocTestRunner(verbose=False, optionflags=FLAGS)
    said = []
    for test in doctest.DocTestFinder().find(importlib.import_module(module), globs={"al": al, "np": np}):
        runner.run(test, out=said.append)
    assert not runner.failures, "".join(said)
