"""Make the environment on a fresh machine, with nothing but Python's standard library.

A checkout gets a `.venv` beside it and the project installed there in editable form. Every usual failure ends
in `Trouble`: a sentence that says what is wrong and how to mend it.
"""

import contextlib
import importlib
import importlib.metadata
import importlib.util
import json
import os
import queue
import re
import shutil
import subprocess
import sys
import threading
import time
import tomllib
from pathlib import Path
from urllib.parse import urlsplit
from urllib.request import url2pathname

ROOT = Path(__file__).resolve().parent.parent


class Trouble(Exception):
    """Something that the user can mend; its text says how."""


def print_safely(text, **how):
    """Print, also where the letters are few and where the reader of a pipe leaves early."""
    if hasattr(sys.stdout, "reconfigure"):
        sys.stdout.reconfigure(errors="replace")
    try:
        print(text, flush=True, **how)
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def expanded(path):
    """Return path with its "~" read as a home; raise Trouble where there is no such home."""
    try:
        return Path(path).expanduser()
    except RuntimeError:
        raise Trouble(
            f"this machine knows no home folder for {path}: set the variable HOME, or write the whole path."
        ) from None


@contextlib.contextmanager
def writing(folder, option="--folder"):
    """Make Trouble of what stops a file from being written; option: the way to another folder."""
    try:
        yield
    except OSError as error:
        if error.errno is None:  # our own sentence: a file in the way is not ours
            raise Trouble(str(error)) from None
        where = error.filename or folder
        raise Trouble(f"{where} can't be written ({error.strerror}): choose another with {option}") from None


def settle(extra, argv):
    """Return once this interpreter has what antlab needs; if need be, make `.venv` and run again there."""
    if not (ROOT / "pyproject.toml").is_file():
        return  # installed as a wheel: whoever installed it brought what it needs
    lacking = missing(ROOT, extra)
    if not lacking:
        return
    venv = ROOT / ".venv"
    if Path(sys.prefix).resolve() == venv.resolve():
        install(ROOT, extra)
        lacking = missing(ROOT, extra)
        if lacking:
            raise Trouble(f"{venv} still lacks {', '.join(lacking)}: delete that folder and run this again.")
        return
    python = python_in(venv)
    if not works(python):
        make(venv)
    run_again(python, argv)


def missing(root, extra=""):
    """List the distributions named in root's pyproject.toml that this interpreter lacks or has too old."""
    project = tomllib.loads((root / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    wanted = project["dependencies"] + (project["optional-dependencies"][extra] if extra else [])
    return ([] if is_installed_from(root) else [project["name"]]) + unmet(wanted)


def unmet(requirements):
    """List those of requirements ("numpy>=2.0") that this interpreter lacks, or with the version it needs."""
    lacking = []
    for requirement in requirements:
        name, least = re.match(r"([\w.-]+)\s*(?:>=\s*([\d.]+))?", requirement).groups()
        try:
            have = importlib.metadata.version(name)
        except importlib.metadata.PackageNotFoundError:
            lacking.append(name)
        else:
            if least and release(have) < release(least):
                lacking.append(f"{name} {least}")
    return lacking


def release(version):
    """Turn "4.2.0rc1" into (4, 2, 0), which compares as versions do."""
    return tuple(int(part) for part in re.match(r"[\d.]*\d", version).group().split("."))


def is_installed_from(root):
    """Tell whether antlab is installed in editable form from root, since kernels import what is installed."""
    try:
        origin = importlib.metadata.distribution("antlab").read_text("direct_url.json")
    except importlib.metadata.PackageNotFoundError:
        return False
    url = json.loads(origin or "{}").get("url", "")
    return Path(url2pathname(urlsplit(url).path)).resolve() == root


def python_in(venv):
    """Return the path of the Python of a virtual environment."""
    return venv / ("Scripts/python.exe" if os.name == "nt" else "bin/python")


def works(python):
    """Tell whether python runs, is of a virtual environment and is new enough."""
    check = "import sys; sys.exit(sys.prefix == sys.base_prefix or sys.version_info < (3, 11))"
    try:
        return subprocess.run([python, "-c", check], capture_output=True).returncode == 0
    except OSError:
        return False


def make(venv):
    """Make a virtual environment in the folder venv, in place of whatever broken one is there."""
    if not (importlib.util.find_spec("venv") and importlib.util.find_spec("ensurepip")):
        raise Trouble(
            "this Python lacks its venv module: install it (on Debian and its kin: sudo apt install "
            "python3-venv) and run this again."
        )
    print_safely(f"First run: making an environment of its own in {venv}")
    try:
        venv.mkdir(exist_ok=True)
        (venv / "pyvenv.cfg").unlink(missing_ok=True)  # what can't be written to shows here
    except OSError as error:
        raise Trouble(
            f"{venv} can't be made ({error.strerror}): copy {ROOT.name} to a folder that you may write "
            "to, such as one in your home folder, and run this again there."
        ) from None
    done = subprocess.run([sys.executable, "-m", "venv", "--clear", venv], capture_output=True, text=True)
    if done.returncode == 0:
        return
    shutil.rmtree(venv, ignore_errors=True)  # half an environment would only confuse the next run
    raise Trouble(
        f"the environment {venv} could not be made; see that there is 1 GB of room for it and run this "
        f"again. Python said: {last_words(done.stdout + done.stderr)}"
    )


def install(root, extra):
    """Install root in editable form with its dependencies into this interpreter, showing what pip is at."""
    if importlib.util.find_spec("pip") is None:
        subprocess.run([sys.executable, "-m", "ensurepip"], capture_output=True)
    command = [sys.executable, "-m", "pip", "install", "--no-input", "--disable-pip-version-check"]
    command += ["--progress-bar", "off", "--editable", f".[{extra}]" if extra else "."]
    code, words = follow(command, root, "Installing (once, some minutes)")
    importlib.invalidate_caches()
    if code == 0:
        return
    if "No module named pip" in words:
        raise Trouble(f"{sys.prefix} has no pip: delete that folder and run this again.")
    if "No space left" in words or "not enough space" in words:
        raise Trouble(f"the disk is full: free about 1 GB where {root} is, and run this again.")
    if re.search(r"connection|name resolution|getaddrinfo|timed out|unreachable|proxy", words, re.IGNORECASE):
        raise Trouble(
            "the packages could not be fetched: connect this machine to the internet (the first run needs "
            f"it) and run this again. pip said: {last_words(words)}"
        )
    raise Trouble(f"pip could not install what antlab needs; mend this and run it again: {last_words(words)}")


def follow(command, folder, label):
    """Run command in folder behind one line that keeps moving; return its exit status and all it printed."""
    started, shown, doing, said = time.monotonic(), 0.0, "", []
    live = sys.stdout.isatty()
    width = shutil.get_terminal_size().columns - 1
    pipe = {"stdout": subprocess.PIPE, "stderr": subprocess.STDOUT, "encoding": "utf-8", "errors": "replace"}
    with subprocess.Popen(command, cwd=folder, **pipe) as process:
        for line in lines_and_ticks(process.stdout):
            said.append(line)
            doing = at_work_on(line) or doing
            now = time.monotonic()
            if now - shown > (0.2 if live else 20):
                shown = now
                text = f"{label}: {now - started:.0f} s {doing}"
                moving = "\r" + text[:width].ljust(width)
                print(moving if live else text, end="" if live else "\n", flush=True)
    if live:
        print("\r" + " " * width, end="\r")
    end = "failed" if process.returncode else "done"
    print(f"{label}: {end} after {time.monotonic() - started:.0f} s", flush=True)
    return process.returncode, "".join(said)


def lines_and_ticks(stream):
    """Yield the stream's lines as they come, and "" twice a second while none does."""
    lines = queue.Queue()

    def read():
        with contextlib.suppress(ValueError):  # Ctrl-C closes the stream under the reader
            for line in stream:
                lines.put(line)
        lines.put(None)

    threading.Thread(target=read, daemon=True).start()
    while True:
        try:
            line = lines.get(timeout=0.5)
        except queue.Empty:
            line = ""
        if line is None:
            return
        yield line


def at_work_on(line):
    """Say in two or three words what a line of pip's is about; "" when that would help nobody."""
    if line.startswith("Installing collected packages:"):
        return f"unpacking {line.count(',') + 1} packages"
    found = re.match(r"\s*(Collecting|Downloading) (?:\S*/)?([A-Za-z]\w*(?:[-.][A-Za-z]\w*)*)", line)
    return f"{found[1].lower()} {found[2]}" if found else ""


def last_words(words):
    """Pick the lines of a failed program's output that say most: its errors, else its last line."""
    lines = [line.strip() for line in words.splitlines() if line.strip()]
    errors = [line for line in lines if line.lower().startswith("error")]
    return " / ".join((errors or lines)[-2:])


def run_again(python, argv):
    """Run argv with another Python in place of this process."""
    command = [str(python), "-m", "antlab", *argv]
    sys.stdout.flush()
    if os.name == "nt":  # it has no true exec: wait, and leave Ctrl-C to the one that works
        process = subprocess.Popen(command)
        while True:
            try:
                sys.exit(process.wait())
            except KeyboardInterrupt:
                pass
    os.execv(python, command)
