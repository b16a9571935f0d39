"""The finder of Chromium, and printing with one that fails; real prints are in tests/browser."""

import sys
import time
from pathlib import Path

import pytest

from antlab.classroom.paper import chromium as browser
from antlab.trouble import Trouble


def program(folder, name, text):
    """A program of that name; returns its path."""
    path = folder / name
    path.write_text(f"#!{sys.executable}\n{text}\n", encoding="utf-8")
    path.chmod(0o755)
    return str(path)


def test_any_of_the_usual_names_is_found(tmp_path, monkeypatch):
    """A machine with Edge alone can print too; one without any gets None, not an error."""
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.setattr(browser, "usual_places", lambda platform, environment: [])
    assert browser.find_chromium() is None
    edge = program(tmp_path, "microsoft-edge", "")
    assert browser.find_chromium() == edge
    assert browser.find_chromium() != program(tmp_path, "firefox", "")


def test_mac_and_windows_keep_it_in_folders():
    """There the path lists no browser; it is looked for where installers put it."""
    mac = [path.as_posix() for path in browser.usual_places("darwin", {"HOME": "/Users/ann"})]
    assert "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome" in mac
    assert "/Users/ann/Applications/Chromium.app/Contents/MacOS/Chromium" in mac
    places = {"PROGRAMFILES": r"C:\Programs", "LOCALAPPDATA": r"C:\Local"}
    windows = [str(path) for path in browser.usual_places("win32", places)]
    assert any(path.endswith("msedge.exe") for path in windows) and len(windows) == 6
    assert not list(browser.usual_places("linux", places))


def test_a_browser_that_fails_is_said_in_a_sentence(tmp_path):
    """No PDF, half a PDF or no browser at all: one sentence, and an older PDF stays whole."""
    pdf = tmp_path / "page.pdf"
    pdf.write_bytes(b"%PDF of yesterday")
    for text, words in (("raise SystemExit(3)", "exit status was 3"), ("", "exit status was 0")):
        with pytest.raises(Trouble, match=words):
            browser.print_pdf("<p>words", pdf, chromium=program(tmp_path, "chromium", text))
    half = "import sys; open(sys.argv[-2].split('=', 1)[1], 'w').write('oops')"
    with pytest.raises(Trouble, match="made no page.pdf"):
        browser.print_pdf("<p>words", pdf, chromium=program(tmp_path, "chromium", half))
    with pytest.raises(Trouble, match="can't be started"):
        browser.print_pdf("<p>words", pdf, chromium=str(tmp_path / "nowhere"))
    assert pdf.read_bytes() == b"%PDF of yesterday"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["chromium", "page.pdf"]


@pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="looks for the child in /proc")
def test_a_browser_that_hangs_is_ended_with_its_children(tmp_path):
    """Nothing is left behind that would eat the laptop's battery."""
    note = tmp_path / "child"
    child = f"{sys.executable!r}, '-c', 'import time; time.sleep(60)'"
    text = (
        f"import subprocess, time; child = subprocess.Popen([{child}])\n"
        f"open({str(note)!r}, 'w').write(str(child.pid)); time.sleep(60)"
    )
    began = time.monotonic()
    with pytest.raises(Trouble, match="still at a.pdf after 3 s"):
        browser.print_pdf("", tmp_path / "a.pdf", chromium=program(tmp_path, "chromium", text), seconds=3)
    assert time.monotonic() - began < 20
    state = Path(f"/proc/{note.read_text()}/stat")
    while state.exists() and state.read_text().split()[2] != "Z":  # dead, if not yet buried
        assert time.monotonic() - began < 20
