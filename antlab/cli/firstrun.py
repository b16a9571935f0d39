"""Make the environment on a fresh machine, with nothing but Python's standard library.

A checkout gets a `.venv` beside it and the project installed there in editable form. Meanwhile the file MARK
lies in it: found again with nobody at work, it tells of a run that was ended, and all is made afresh. Every
usual failure ends in `Trouble`: a sentence that says what is wrong and how to mend it.
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

from antlab import files
from antlab.files import ROOT, VERSIONS
from antlab.trouble import COMMAND, FRESH, Trouble, print_safely

MARK = "antlab-unfinished"
PACKAGES = "Lib/site-packages" if os.name == "nt" else "lib/python*/site-packages"
BEGIN = "import runpy, sys; sys.path.insert(0, sys.argv.pop(1)); runpy.run_module('antlab', None, '__main__')"


def take_utf8(argv):
    """See that names of files are UTF-8, here and in what is started from here, whatever the locale says.

    In a checkout below a folder with ü or 無 an ASCII locale could else neither write nor read its path.
    """
    os.environ["PYTHONUTF8"] = "1"
    if sys.getfilesystemencoding() != "utf-8":
        run_again(sys.executable, argv)


def settle(extra, argv):
    """Return once this interpreter has what antlab needs; if need be, make `.venv` and run again there."""
    venv, fresh = ROOT / ".venv", FRESH in argv
    ours = (ROOT / "pyproject.toml").is_file()  # else a wheel: whoever installed it brought what it needs
    inside = ours and os.path.realpath(sys.prefix) == os.path.realpath(venv)
    if not ours or not (inside or missing(ROOT, extra)):
        if fresh:
            raise Trouble(f"{sys.prefix} is yours: install antlab there again, with pip's --force-reinstall.")
        return
    if inside and not fresh and not is_marked(venv) and not missing(ROOT, extra):
        return
    with alone() as lock:
        if inside and not fresh and not is_marked(venv):
            return complete(venv, extra, lock)
        if not inside and (fresh or is_marked(venv) or not works(python_in(venv))):
            renew(venv, extra, lock)
    if inside:  # only a Python from outside can make it afresh
        run_again(sys._base_executable, argv, ROOT)
    run_again(python_in(venv), [word for word in argv if word != FRESH])


def complete(venv, extra, lock=()):
    """Install in venv, from inside it, what it lacks."""
    if not missing(ROOT, extra):
        return  # another run has done so meanwhile
    with unfinished(venv):
        install(sys.executable, ROOT, extra, lock)
        lead_back(venv, ROOT)
    if lacking := missing(ROOT, extra):
        raise Trouble(f"{venv} still lacks {', '.join(lacking)}: {COMMAND} {FRESH} makes it afresh.")


@contextlib.contextmanager
def alone():
    """Let one run at a time be at work on the environment; yield the descriptors that hold the place.

    They go to the programs that work for this run: the place is held until the last of them has ended.
    """
    with open(ROOT / "pyproject.toml", "rb") as file:
        told = False
        while not files.is_locked(file):
            if not told:
                print_safely("Another run is at work on the environment: waiting for its end.")
            told = True
            time.sleep(0.2)
        yield () if os.name == "nt" else (file.fileno(),)


def is_marked(venv):
    """Tell whether a run that worked on venv has not come to its end."""
    return os.path.lexists(venv / MARK)


@contextlib.contextmanager
def unfinished(venv):
    """Mark venv as unfinished until the block has come to its end, or has failed and changed nothing."""
    before = packages_in(venv)
    with changing(venv):
        files.write(venv / MARK, b"A run that was ended left this: antlab makes the environment afresh.\n")
    try:
        yield
    except BaseException:
        if before and packages_in(venv) == before:
            (venv / MARK).unlink(missing_ok=True)
        raise
    if hasattr(os, "sync"):
        os.sync()  # so that the mark is not gone before what it stands for is on the disk
    (venv / MARK).unlink()


def packages_in(venv):
    """The names in the folder where pip puts packages."""
    return {path.name for path in venv.glob(f"{PACKAGES}/*")}


@contextlib.contextmanager
def changing(venv):
    """Make Trouble of what stops the environment from being changed."""
    try:
        yield
    except OSError as error:
        raise Trouble(
            obstacle(str(error), ROOT)
            or f"{venv} can't be changed ({error.strerror}): close the lessons and whatever else uses it, or "
            f"copy {ROOT.name} to a folder that you may write to, such as one in your home folder; then run "
            "this again."
        ) from None


def in_the_way(venv):
    """Say what stands where an environment is to be made and is not ours to touch, and the mend; or None."""
    again = "and run this again; antlab makes its environment there."
    link = f"{venv} is a link to {os.readlink(venv)}" if os.path.islink(venv) else ""
    if re.search("[\udc80-\udcff]", str(ROOT)):
        return f"a name in {ROOT} is not UTF-8", "rename that folder with plain letters and run this again."
    if link and not os.path.exists(venv):
        return f"{link}, which is not there", f"bring that back, or rename the link {again}"
    if not os.path.exists(venv):
        return None
    if not os.path.isdir(venv):
        return link or f"{venv} is a file", f"rename it {again}"
    if link and os.listdir(venv):
        return f"{link}, where antlab changes nothing", f"rename the link {again}"
    if os.listdir(venv) and not (is_marked(venv) or (venv / "pyvenv.cfg").is_file()):
        return f"{venv} is a folder of something else", f"rename it {again}"
    return None


def renew(venv, extra, lock=()):
    """Make venv afresh with all that antlab needs; what was there, if finished, comes back if that fails."""
    aside = venv.with_name(".venv-before")
    with changing(venv):
        if what := in_the_way(venv) or in_the_way(aside):
            raise Trouble(": ".join(what))
        if is_marked(venv):
            clear(venv)
        elif venv.exists() and os.listdir(venv):
            clear(aside)
            venv.rename(aside)
        venv.mkdir(exist_ok=True)
    try:
        with unfinished(venv):
            make(venv, lock)
            install(python_in(venv), ROOT, extra, lock)
            lead_back(venv, ROOT)
    except BaseException:
        with contextlib.suppress(OSError):
            clear(venv)
            if aside.exists():
                aside.rename(venv)
        raise
    with contextlib.suppress(OSError):  # it has done its duty; the next time will clear it
        clear(aside)


def clear(folder):
    """Remove a folder with an environment; ended in the middle, it leaves one marked as unfinished."""
    if not folder.exists():
        return
    files.write(folder / MARK, b"")
    for path in list(folder.iterdir()):
        if path.is_dir() and not path.is_symlink():
            shutil.rmtree(path)
        elif path.name != MARK:
            path.unlink()
    (folder / MARK).unlink()
    with contextlib.suppress(OSError):  # at the end of a link it stays, empty
        folder.rmdir()


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


def make(venv, lock=()):
    """Make a virtual environment in the folder venv, which is there and empty but for the mark."""
    if not (importlib.util.find_spec("venv") and importlib.util.find_spec("ensurepip")):
        raise Trouble(
            "this Python lacks its venv module: install it (on Debian and its kin: sudo apt install "
            "python3-venv) and run this again."
        )
    print_safely(f"First run: making an environment of its own in {venv}")
    pipes = {"stdout": subprocess.PIPE, "stderr": subprocess.STDOUT, "encoding": "utf-8", "errors": "replace"}
    done = subprocess.run([sys.executable, "-m", "venv", os.path.realpath(venv)], pass_fds=lock, **pipes)
    if done.returncode:
        raise Trouble(
            f"the environment {venv} could not be made; see that there is 1 GB of room for it and run this "
            f"again. Python said: {last_words(done.stdout)}"
        )


def install(python, root, extra, lock=()):
    """Install root in editable form with its dependencies for a Python, showing what pip is at.

    In the versions of VERSIONS, or where those can't be had in whichever pip finds.
    """
    if subprocess.run([python, "-c", "import pip"], capture_output=True).returncode:
        subprocess.run([python, "-m", "ensurepip"], capture_output=True)
    pip = [python, "-m", "pip", "install", "--no-input", "--disable-pip-version-check"]
    pip += ["--progress-bar", "off"]
    project = ["--editable", f".[{extra}]" if extra else "."]
    label = "Installing (once, some minutes)"
    code, words = follow([*pip, "--constraint", VERSIONS, *project], root, label, lock)
    if code and not obstacle(words, root):
        print_safely("The versions that antlab was last tested with can't all be had here: taking others.")
        code, words = follow([*pip, *project], root, label, lock)
    importlib.invalidate_caches()
    if code:
        other = f"pip could not install what antlab needs; mend this and run it again: {last_words(words)}"
        raise Trouble(obstacle(words, root) or other)


def lead_back(venv, root):
    """Turn the path by which venv finds root into a relative one, if it has other letters than ASCII's.

    Python 3.11 and 3.12 read it in the letters of the locale, even in UTF-8 mode; pip writes it in UTF-8.
    """
    for path in venv.glob(f"{PACKAGES}/*.pth"):
        if not str(root).isascii() and path.read_bytes().strip() == str(root).encode():
            files.write(path, (os.path.relpath(root, path.parent) + "\n").encode("ascii"))


def obstacle(words, root):
    """Say what stood in the way, if other versions would find it there too, and the mend; else ""."""
    if "No module named pip" in words:
        return f"the environment in {root} has no pip: {COMMAND} {FRESH} makes it afresh."
    if "No space left" in words or "not enough space" in words:
        return f"the disk is full: free about 1 GB where {root} is, and run this again."
    offline = "connection|name resolution|getaddrinfo|timed out|unreachable|proxy|from versions: none"
    if re.search(offline, words, re.IGNORECASE):
        return (
            "the packages could not be fetched: connect this machine to the internet (the first run needs "
            f"it) and run this again. pip said: {last_words(words)}"
        )
    return ""


def follow(command, folder, label, lock=()):
    """Run command in folder behind one line that keeps moving; return its exit status and all it printed."""
    started, shown, doing, said = time.monotonic(), 0.0, "", []
    live = sys.stdout.isatty()
    width = shutil.get_terminal_size().columns - 1
    pipe = {"stdout": subprocess.PIPE, "stderr": subprocess.STDOUT, "encoding": "utf-8", "errors": "replace"}
    with subprocess.Popen(command, cwd=folder, pass_fds=lock, **pipe) as process:
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


def run_again(python, argv, root=None):
    """Run argv with another Python in place of this process; root: where that one has to look for antlab."""
    begin = ["-c", BEGIN, str(root)] if root else ["-m", "antlab"]
    command = [str(python), *begin, *argv]
    sys.stdout.flush()
    if os.name == "nt":  # it has no true exec: wait, and leave Ctrl-C to the one that works
        process = subprocess.Popen(command)
        while True:
            try:
                sys.exit(process.wait())
            except KeyboardInterrupt:
                pass
    os.execv(python, command)
