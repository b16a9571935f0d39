"""The command `antlab test`: all tests, each lesson included."""

import subprocess
import sys
from pathlib import Path

from antlab.files import ROOT
from antlab.trouble import Trouble


def run_tests(args, rest):
    """Run pytest on the tests and, cell by cell, on the notebooks; rest goes to pytest."""
    if not (ROOT / "tests").is_dir():
        raise Trouble("the tests are not part of an installed antlab: run this in a checkout.")
    named = any(Path(ROOT, word.split("::")[0]).exists() for word in rest if not word.startswith("-"))
    paths = [] if named else [name for name in ("notebooks", "tests") if (ROOT / name).is_dir()]
    command = [sys.executable, "-m", "pytest", "--nbval", "--nbval-current-env", "--nbval-cell-timeout=120"]
    return subprocess.run([*command, *paths, *rest], cwd=ROOT).returncode
