"""The one Chromium that a process of tests drives, and what is done where a browser is missing."""

import os

import pytest

from antlab.classroom.paper.chromium import find_chromium

QUIET = ["--disable-background-networking", "--disable-component-update", "--disable-sync", "--no-first-run"]
_open = {}  # by what it is: "playwright", "browser"


def do_without(reason):
    """Skip on a contributor's machine, fail on CI: there a missing browser must not pass for a good one."""
    (pytest.fail if os.environ.get("CI") else pytest.skip)(reason)


def chromium():
    """The one that is open, or a new one."""
    from playwright.sync_api import sync_playwright

    if "browser" not in _open:
        path = find_chromium()
        if path is None:
            do_without("needs Chromium (Debian: apt install chromium)")
        root = ["--no-sandbox"] if hasattr(os, "geteuid") and os.geteuid() == 0 else []
        _open["playwright"] = sync_playwright().start()
        _open["browser"] = _open["playwright"].chromium.launch(executable_path=path, args=[*QUIET, *root])
    return _open["browser"]


def end():
    """Close it, if it is open."""
    if browser := _open.pop("browser", None):
        browser.close()
    if playwright := _open.pop("playwright", None):
        playwright.stop()
