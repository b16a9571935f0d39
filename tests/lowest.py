"""Run the tests that need no browser with the lowest versions that pyproject.toml allows.

    python3 tests/lowest.py [--python 3.11] [what goes to pytest]

uv makes an environment for it in a temporary folder and picks the versions; the checkout's own is left alone.
"""

import argparse
import os
import shutil
import subprocess
import sys
import tempfile
import venv
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
PROGRAMS = "Scripts" if os.name == "nt" else "bin"


def find_uv(folder):
    """Return the path of uv: the one on the path, or one installed in folder."""
    if not (found := shutil.which("uv")):
        venv.create(folder, with_pip=True)
        subprocess.run([folder / PROGRAMS / "python", "-m", "pip", "install", "--quiet", "uv"], check=True)
        found = folder / PROGRAMS / "uv"
    return found


def main():
    """Make the environment and run the tests in it; return pytest's exit status."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0], allow_abbrev=False)
    parser.add_argument("--python", default="3.11", help="the Python to run with (%(default)s)")
    args, rest = parser.parse_known_args()
    with tempfile.TemporaryDirectory(prefix="antlab-lowest-", ignore_cleanup_errors=True) as own:
        uv, there = find_uv(Path(own, "uv")), Path(own, "lowest")
        python = there / PROGRAMS / "python"
        lowest = ["--resolution", "lowest-direct", "--editable", f"{ROOT}[test]"]
        subprocess.run([uv, "venv", "--quiet", "--python", args.python, there], check=True)
        subprocess.run([uv, "pip", "install", "--python", python, *lowest], check=True)
        tests = [python, "-m", "antlab", "test", "-m", "not browser", *rest]
        return subprocess.run(tests, cwd=ROOT).returncode


if __name__ == "__main__":
    sys.exit(main())
