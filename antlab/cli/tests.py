"""The command `antlab test`: all tests, each lesson included."""

import os
import subprocess
import sys
from pathlib import Path

from antlab.files import ROOT
from antlab.trouble import Trouble

ALONE = {"--pdb", "--trace", "-s"}  # who asks for one of these wants to see the tests, not to share them out


def run_tests(args, rest):
    """Run pytest on the tests and, cell by cell, on the notebooks; rest goes to pytest.

    All of them are shared out to two processes, a whole file to one; what a path names runs in this one.
    """
    if not (ROOT / "tests").is_dir():
        raise Trouble("the tests are not part of an installed antlab: run this in a checkout.")
    named = any(Path(ROOT, word.split("::")[0]).exists() for word in rest if not word.startswith("-"))
    paths = [] if named else [name for name in ("notebooks", "tests") if (ROOT / name).is_dir()]
    command = [sys.executable, "-m", "pytest", "--nbval", "--nbval-current-env", "--nbval-cell-timeout=120"]
    workers = 0 if named or ALONE & set(rest) or os.cpu_count() == 1 else 2
    command += [f"--numprocesses={workers}", "--dist=loadfile", "--no-loadscope-reorder"]
    # Hundreds of processes, such as kernels, begin anew: compiled modules are kept, whatever this shell says.
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    return subprocess.run([*command, *paths, *rest], cwd=ROOT, env=kept).returncode
