"""Chromium and its kin on this machine: where it is, and how it prints a page to PDF."""

import contextlib
import os
import shutil
import signal
import subprocess
import sys
from pathlib import Path
from tempfile import TemporaryDirectory

from antlab import files
from antlab.trouble import Trouble

LARGEST_PDF = 100_000_000
ON_PATH = (
    "chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome", "microsoft-edge",
    "microsoft-edge-stable", "msedge",
)  # fmt: skip
ON_A_MAC = ("Google Chrome", "Chromium", "Microsoft Edge")
ON_WINDOWS = (
    r"Google\Chrome\Application\chrome.exe", r"Chromium\Application\chrome.exe",
    r"Microsoft\Edge\Application\msedge.exe",
)  # fmt: skip
# No request but for the page that is to be opened; the proxy is one that nobody listens at.
QUIET = (
    "--headless", "--disable-gpu", "--no-first-run", "--no-default-browser-check", "--disable-extensions",
    "--disable-background-networking", "--disable-component-update", "--disable-sync", "--disable-quic",
    "--proxy-server=127.0.0.1:9", "--proxy-bypass-list=<-loopback>",
)  # fmt: skip


def find_chromium():
    """Return the path of Chromium, Chrome or Edge as a string; None where there is none."""
    for name in ON_PATH:
        if path := shutil.which(name):
            return path
    return next((str(path) for path in usual_places(sys.platform, os.environ) if path.is_file()), None)


def usual_places(platform, environment):
    """Yield where the browser is installed on a machine that does not list it on the path."""
    if platform == "darwin":
        for folder in (Path("/Applications"), Path(environment.get("HOME", "/")) / "Applications"):
            yield from (folder / f"{name}.app" / "Contents" / "MacOS" / name for name in ON_A_MAC)
    if platform == "win32":
        for variable in ("PROGRAMFILES", "PROGRAMFILES(X86)", "LOCALAPPDATA"):
            if folder := environment.get(variable):
                yield from (Path(folder, place) for place in ON_WINDOWS)


def print_pdf(text, pdf, *, chromium, seconds=60):
    """Print a page, text of HTML, to the file pdf in the size that its style sheet asks for.

    Raises Trouble when the browser fails, or takes longer than that.
    """
    by_hand = f"open {pdf.stem}.html in a browser and print it to PDF from there."
    own = {"prefix": "antlab-", "ignore_cleanup_errors": True}
    # The page lies in pdf's own folder: a browser packed in a sandbox sees little else.
    with TemporaryDirectory(**own) as profile, TemporaryDirectory(dir=pdf.parent.absolute(), **own) as desk:
        page, printed = Path(desk, "page.html"), Path(desk, "page.pdf")
        page.write_text(text, encoding="utf-8")
        command = [chromium, *QUIET, f"--user-data-dir={profile}", "--no-pdf-header-footer"]
        if hasattr(os, "geteuid") and os.geteuid() == 0:
            command.append("--no-sandbox")  # which root must do without
        ended = _run([*command, f"--print-to-pdf={printed}", page.as_uri()], seconds)
        if ended is None:
            took = f"was still at {pdf.name} after {seconds:.0f} s and was ended"
            raise Trouble(f"{chromium} {took}: {by_hand}")
        try:
            content = files.read(printed, most=LARGEST_PDF)
        except OSError:
            content = b""
        if not content.startswith(b"%PDF"):
            raise Trouble(f"{chromium} made no {pdf.name} (its exit status was {ended}): {by_hand}")
        files.write(pdf, content)


def _run(command, seconds):
    """Exit status of a command; None when it was ended for taking too long, its children with it."""
    own_group = {} if os.name == "nt" else {"start_new_session": True}
    quiet = {"stdin": subprocess.DEVNULL, "stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
    try:
        process = subprocess.Popen(command, **quiet, **own_group)
    except OSError as error:
        raise Trouble(f"{command[0]} can't be started ({error.strerror}): mend or reinstall it.") from None
    with process:
        try:
            return process.wait(timeout=seconds)
        except subprocess.TimeoutExpired:
            return None
        finally:
            if own_group:
                with contextlib.suppress(ProcessLookupError, PermissionError):
                    os.killpg(process.pid, signal.SIGKILL)
            else:
                process.kill()
