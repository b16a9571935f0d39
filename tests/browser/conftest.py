"""Pages in Chromium, and JupyterLab started by the project's own command, for the tests in this folder."""

import contextlib
import json
import os
import re
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path
from types import SimpleNamespace
from weakref import WeakKeyDictionary

import pytest

from antlab.cli.firstrun import missing
from antlab.files import ROOT
from tests.browsing import do_without

FOLDER = Path(__file__).parent

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


_tabs = WeakKeyDictionary()  # of each Chromium


@pytest.fixture
def tab(lab, chromium):
    """A tab at projector size, watched, in which `opened` shows a notebook.

    JupyterLab stays in it from test to test: to load it takes as long as to run a lesson.
    """
    if chromium not in _tabs:  # test_player has motion
        _tabs[chromium] = chromium.new_context(viewport=SIZE, reduced_motion="reduce").new_page()
    kept = _tabs[chromium]
    kept.set_viewport_size(SIZE)
    with watched(kept):
        yield kept
    if not kept.evaluate(EMPTIED):  # a test failed before a question of JupyterLab's
        kept.goto(f"{lab.site}/api")


EMPTIED = """async () => {  // no notebook is open, no kernel runs; false where that can't be had
    const { shell, serviceManager } = globalThis.jupyterapp ?? {};
    if (!shell || document.querySelector(".jp-Dialog")) return false;
    await serviceManager.sessions.shutdownAll();
    for (const one of [...shell.widgets("main")]) {
        if (one.context) one.context.model.dirty = false;
        one.close();
    }
    return true;
}"""


KERNEL_READY = """async () => {  // what is asked of a kernel sooner may get lost, though it is called idle
    const { sessionContext } = globalThis.jupyterapp?.shell.currentWidget ?? {};
    await sessionContext?.ready;
    const { kernel } = sessionContext?.session ?? {};
    await kernel?.info;
    return kernel?.connectionStatus === "connected" && kernel.status === "idle";
}"""


def opened(lab, tab, path):
    """Show a notebook of the student's folder, once its kernel is ready."""
    if not tab.url.startswith(f"{lab.site}/lab"):
        tab.goto(f"{lab.site}/lab/tree/{path}?token={lab.token}&reset")
    else:
        tab.evaluate(
            "async path => { await jupyterapp.commands.execute('docmanager:open', { path }); }", path
        )
    tab.wait_for_selector(".jp-MarkdownOutput h1", timeout=60_000)
    tab.wait_for_function(f"({KERNEL_READY})()", timeout=60_000)


@pytest.fixture(scope="package")
def lab(tmp_path_factory):
    """JupyterLab as the project starts it in a fresh home; .url, with its token, is the first lesson's."""
    home = tmp_path_factory.mktemp("home")
    (home / ".jupyter").mkdir()
    told = {"LabApp": {"expose_app_in_browser": True}}  # so that a test can open a notebook
    (home / ".jupyter" / "jupyter_lab_config.json").write_text(json.dumps(told), encoding="utf-8")
    with started(home) as lab:
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
