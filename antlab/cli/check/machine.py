"""The machine around the lessons: room on the disk, the line to itself, a browser, the clock."""

import contextlib
import http.client
import os
import secrets
import shutil
import sys
import threading
import time
import urllib.request
import webbrowser
from pathlib import Path

from antlab.classroom.paper.chromium import find_chromium
from antlab.cli.check.finding import good, mend, note
from antlab.files import ROOT
from antlab.serve import ports
from antlab.serve.page_server import PageServer
from antlab.trouble import Trouble

WORK_MB, ENVIRONMENT_MB = 200, 1000
TEXT_BROWSERS = {"w3m", "lynx", "links", "elinks", "www-browser"}  # JupyterLab needs more than they do
PROXY_WAY = (
    "If the lessons' page stays empty: set the variable no_proxy to 127.0.0.1,localhost, or name both as "
    "exceptions where the proxy is set."
)


def room(folder, place):
    """Whether the disks have room for a student's work, and for an environment that is still to be made."""
    wanted = [(folder, WORK_MB)] + ([(ROOT, ENVIRONMENT_MB)] if place.wrong else [])
    for path, megabytes in wanted:
        free = shutil.disk_usage(nearest(path)).free
        if free < 1e6 * megabytes:
            yield mend(f"The disk is full: {free / 1e6:.0f} MB free for {path}", f"Free {megabytes} MB.")
        else:
            yield good(f"The disk has room: {free / 1e9:.1f} GB free for {path}")


def nearest(path):
    """Return path, or the nearest folder above it that is there."""
    return next((above for above in (path, *path.parents) if os.path.exists(above)), path)


def port(asked):
    """Whether the lessons' port is free."""
    try:
        chosen = ports.choose_port(asked)
    except Trouble as trouble:
        what, _, way = str(trouble).partition(": ")
        yield mend(f"{what[0].upper()}{what[1:]}.", f"{way[0].upper()}{way[1:]}")
        return
    if asked or chosen == ports.FIRST_PORT:
        yield good(f"Port {chosen} is free")
    else:
        yield note(
            f"Port {ports.FIRST_PORT} is taken, so the lessons would use {chosen}.",
            "That is no harm; perhaps lessons are open already.",
        )


def line_to_itself():
    """Whether a browser on this machine would get an answer from this machine."""
    word = secrets.token_hex(16).encode()
    got = b""
    with PageServer({"word": word}, "127.0.0.1", 0) as server:
        thread = threading.Thread(target=server.serve_forever)
        thread.start()
        try:
            with contextlib.suppress(OSError, http.client.HTTPException):
                line = http.client.HTTPConnection("127.0.0.1", server.server_port, timeout=5)
                with contextlib.closing(line):
                    line.request("GET", "/word")
                    got = line.getresponse().read()
        finally:
            server.shutdown()
            thread.join()
    if got == word:
        yield good("This machine answers itself at 127.0.0.1")
    else:
        yield mend(
            "This machine does not answer itself at 127.0.0.1: something blocks Python.",
            "Let Python through in the firewall or virus scanner, for this machine itself.",
        )


def proxy():
    """Whether a proxy is set that a browser might ask for the lessons."""
    set_here = {"http", "all"} & set(urllib.request.getproxies())
    if set_here and not urllib.request.proxy_bypass("127.0.0.1"):
        yield note("A proxy is set without exception for this machine: a browser may ask it.", PROXY_WAY)


def browser():
    """Whether there is a browser for the lessons, and one that prints handouts."""
    try:
        name = Path(getattr(webbrowser.get(), "name", "")).name
    except webbrowser.Error:
        name = None
    needs_screen = os.name == "posix" and sys.platform != "darwin"
    if name is not None and name not in TEXT_BROWSERS:
        yield good(f"A browser opens the lessons{f': {name}' if name else ''}")
    elif needs_screen and not (os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")):
        yield note(
            "There is no screen here that a browser could open on.",
            "Start with --no-browser, and open the address that it prints where there is one.",
        )
    else:
        yield mend(
            "No browser was found.",
            "Install one, such as Firefox; or start with --no-browser and open the address that it prints.",
        )
    if path := find_chromium():
        yield good(f"Handouts can be made into PDF with {path}")
    else:
        yield note(
            "There is no Chromium, Chrome or Edge to make handouts into PDF.",
            "Lessons don't need one; a handout can be printed from any browser.",
        )


def clock():
    """Whether the clock is older than antlab itself: then no secure site would be trusted."""
    now = time.time()
    if now < Path(__file__).stat().st_mtime - 86400:
        yield mend(
            f"The clock says {time.strftime('%d %B %Y', time.localtime(now))}, before antlab was put here.",
            "Set date and time: the first run needs them right, and files of the class are sorted by them.",
        )
