"""Chromium, and JupyterLab started by the project's own command, for the tests in this folder."""

import contextlib
import os
import re
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from types import SimpleNamespace

import pytest
from playwright.sync_api import sync_playwright

from antlab.classroom.paper.chromium import find_chromium
from antlab.cli.firstrun import missing
from antlab.files import ROOT

QUIET = ["--disable-background-networking", "--disable-component-update", "--disable-sync", "--no-first-run"]


def do_without(reason):
    """Skip on a contributor's machine, fail on CI: there a missing browser must not pass for a good one."""
    (pytest.fail if os.environ.get("CI") else pytest.skip)(reason)


@pytest.fixture(scope="module")
def chromium():
    """One Chromium for the tests of a file: while it is here, no other loop may run in this process."""
    path = find_chromium()
    if path is None:
        do_without("needs Chromium (Debian: apt install chromium)")
    root = ["--no-sandbox"] if hasattr(os, "geteuid") and os.geteuid() == 0 else []
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=[*QUIET, *root])
        yield browser
        browser.close()


SIZE = {"width": 1280, "height": 800}  # a projector's


@pytest.fixture
def page(chromium):
    """A page of its own at projector size, watched."""
    with chromium.new_context(viewport=SIZE) as context, watched(context.new_page()) as page:
        yield page


@contextlib.contextmanager
def watched(page):
    """Afterwards: no console error, and nothing was asked of another machine."""
    errors, outside = [], []
    listeners = {
        "console": lambda message: errors.append(message.text) if message.type == "error" else None,
        "pageerror": lambda error: errors.append(str(error)),
        "request": lambda request: outside.append(request.url),
    }
    for event, listener in listeners.items():
        page.on(event, listener)
    yield page
    page.evaluate("1")  # what is still under way has been heard by then
    for event, listener in listeners.items():
        page.remove_listener(event, listener)
    assert not errors
    assert not [url for url in outside if not re.match(r"(http|ws)://127\.0\.0\.1:|data:|blob:|file:", url)]


@pytest.fixture(scope="module")
def kept(chromium):
    """A tab that stays: JupyterLab's scripts, which take seconds, are compiled in it once."""
    with chromium.new_context(viewport=SIZE) as context:
        yield context.new_page()


@pytest.fixture
def tab(lab, kept):
    """The tab in which JupyterLab is opened anew for each test, at projector size, watched."""
    kept.set_viewport_size(SIZE)
    with watched(kept):
        yield kept
    kept.goto(f"{lab.site}/api")  # nothing of the lesson goes on behind the next test


@pytest.fixture(scope="package")
def lab(tmp_path_factory):
    """JupyterLab as the project starts it in a fresh home; .url, with its token, is the first lesson's."""
    with started(tmp_path_factory.mktemp("home")) as lab:
        yield lab


@contextlib.contextmanager
def started(home, *words):
    """JupyterLab as the project starts it, in a home folder and with more words on the command line."""
    if missing(ROOT):
        do_without("needs antlab installed: run python3 -m antlab test")
    with socket.socket() as free:  # two processes of tests start at once: each has a port of its own
        free.bind(("127.0.0.1", 0))
        port = str(free.getsockname()[1])
    clean = {name: value for name, value in os.environ.items() if not name.startswith("JUPYTER")}
    process = subprocess.Popen(
        [sys.executable, "-m", "antlab", "--no-browser", "--port", port, *words],
        cwd=ROOT,
        env=clean | {"HOME": str(home), "USERPROFILE": str(home), "PYTHONUNBUFFERED": "1"},
        stdout=subprocess.PIPE,
        encoding="utf-8",
    )
    try:
        said, found = [], None
        for line in process.stdout:
            said.append(line)
            if found := re.search(r"((http://127\.0\.0\.1:\d+)/lab/tree/\S+)\?token=(\w+)", line):
                break
        assert found, "".join(said)
        wait_for(f"{found[2]}/api")
        yield SimpleNamespace(url=found[0], site=found[2], token=found[3], folder=home / "antlab-lessons")
    finally:
        process.terminate()
        process.wait(timeout=20)
        process.stdout.close()


def wait_for(url, seconds=60):
    """Return once url answers."""
    end = time.monotonic() + seconds
    while True:
        try:
            urllib.request.urlopen(url, timeout=5).close()
            return
        except urllib.error.URLError:
            if time.monotonic() > end:
                raise
            time.sleep(0.2)
