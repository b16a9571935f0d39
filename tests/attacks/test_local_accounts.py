"""What other accounts of the same machine can see and do."""

import os
import re
import signal
import stat
import subprocess
import sys
import time
from pathlib import Path

import pytest

from antlab.cli.firstrun import missing
from antlab.files import ROOT

HAS_PROC = Path("/proc/self/cmdline").exists()
BROWSER = """#!{python}
import os, shutil, sys, urllib.parse
page = urllib.parse.unquote(urllib.parse.urlsplit(sys.argv[1]).path)
shutil.copy2(page, {seen!r})
open({said!r} + ".part", "w").write(sys.argv[1])
os.replace({said!r} + ".part", {said!r})
"""


def command_lines():
    """What every account can read of every running program."""
    for path in Path("/proc").glob("[0-9]*/cmdline"):
        try:
            yield path.read_bytes()
        except OSError:  # it has ended
            continue


@pytest.mark.skipif(not HAS_PROC or bool(missing(ROOT)), reason="looks into /proc, and starts the lessons")
def test_no_other_account_sees_the_token(tmp_path):
    """Protects a student's kernel: whoever has the token runs code as the student.

    The browser gets it in a file of the owner's alone, gone when the server ends; no command line has it.
    """
    seen, said, browser = tmp_path / "seen.html", tmp_path / "said", tmp_path / "browser"
    browser.write_text(BROWSER.format(python=sys.executable, seen=str(seen), said=str(said)))
    browser.chmod(0o755)
    stale = tmp_path / "antlab-lessons" / ".antlab" / "open-0.html"
    stale.parent.mkdir(parents=True)
    stale.write_text("left by a server that was killed")
    clean = {name: value for name, value in os.environ.items() if not name.startswith("JUPYTER")}
    home = {"HOME": str(tmp_path), "BROWSER": str(browser), "PYTHONUNBUFFERED": "1"}
    command = [sys.executable, "-m", "antlab"]
    with subprocess.Popen(command, cwd=ROOT, env=clean | home, stdout=subprocess.PIPE, text=True) as process:
        try:
            token = next(found[1] for line in process.stdout if (found := re.search(r"\?token=(\w+)", line)))
            until = time.monotonic() + 60
            while not said.exists() and time.monotonic() < until:
                assert token.encode() not in b"\n".join(command_lines())
                time.sleep(0.05)
            assert token.encode() not in b"\n".join(command_lines())
            assert token not in said.read_text()
            page = Path(said.read_text().removeprefix("file://"))
            assert stat.S_IMODE(page.stat().st_mode) == 0o600 and page.parent == stale.parent
            assert token in page.read_text() == seen.read_text()
            assert list(page.parent.glob("*.html")) == [page]
        finally:
            process.send_signal(signal.SIGTERM)
            process.stdout.close()
            process.wait(timeout=20)
    assert not list(stale.parent.glob("*.html"))
