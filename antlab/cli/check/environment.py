"""The Python that lessons run with, its packages, and a true start of its kernel."""

import importlib.metadata
import importlib.util
import json
import os
import platform
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

from antlab.cli import firstrun
from antlab.cli.check.finding import AFRESH, FIRST_RUN, IN_A_CHECKOUT, good, mend, note
from antlab.files import ROOT
from antlab.trouble import Trouble

SECONDS = 45  # for a kernel to start on a slow machine, and again for what it is asked
TRIAL = Path(__file__).parent / "trial.py"


@dataclass(frozen=True)
class Environment:
    """Where lessons run: the Python (None while there is none yet), and what it says of itself."""

    python: str | None
    version: str
    bits: int
    lacking: tuple[str, ...] = ()
    hub: bool = False  # whether a class could log in: JupyterHub is there, on a system that it runs on
    wrong: str = ""  # what stops it from being used
    way: str = FIRST_RUN


def find(root):
    """Look for the environment as the first run does, and ask its Python."""
    here, venv = about_this(), root / ".venv"
    inside = os.path.realpath(sys.prefix) == os.path.realpath(venv)
    if not IN_A_CHECKOUT or not (here["lacking"] or inside):
        return Environment(sys.executable, **here)
    python = firstrun.python_in(venv)
    if firstrun.is_marked(venv) or not firstrun.works(python):
        return Environment(None, **here | {"lacking": ()}, **out_of_use(venv))
    if inside:
        return Environment(sys.executable, **here)
    here["lacking"] = ()  # it isn't this Python that lessons run with
    ask = "import json; from antlab.cli.check import environment; print(json.dumps(environment.about_this()))"
    try:
        return Environment(str(python), **json.loads(run([python, "-c", ask], SECONDS, cwd=root)))
    except (Trouble, OSError, ValueError, TypeError) as error:
        return Environment(None, **here, wrong=f"The environment {venv} does not answer: {error}", way=AFRESH)


def out_of_use(venv):
    """Say what is wrong where no environment can be used, and the way out."""
    if what := firstrun.in_the_way(venv):
        wrong, way = (text[0].upper() + text[1:] for text in what)
        return {"wrong": f"{wrong}.", "way": way}
    if firstrun.is_marked(venv):
        wrong = f"A run that worked on the environment {venv} has not come to its end."
    elif not venv.exists():
        wrong = "The first run is still to come: it makes the environment."
    else:
        wrong = f"The environment {venv} is broken, or its Python is older than 3.11."
    return {"wrong": wrong, "way": FIRST_RUN}


def about_this():
    """Tell this Python's version and width, which of antlab's packages it lacks, and whether it has a hub."""
    if IN_A_CHECKOUT:
        lacking = firstrun.missing(ROOT)
    else:
        wanted = importlib.metadata.requires("antlab") or []
        lacking = firstrun.unmet(line for line in wanted if "extra ==" not in line)
    bits = 64 if sys.maxsize > 2**32 else 32
    hub = os.name != "nt" and importlib.util.find_spec("jupyterhub") is not None
    return {"version": platform.python_version(), "bits": bits, "lacking": tuple(lacking), "hub": hub}


def run(command, seconds, **where):
    """Return what a command prints; Trouble if it fails, or takes too long and is ended."""
    pipes = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, "encoding": "utf-8", "errors": "replace"}
    with subprocess.Popen(command, stdin=subprocess.DEVNULL, **pipes, **where) as process:
        try:
            said, complained = process.communicate(timeout=seconds)
        except subprocess.TimeoutExpired:
            process.terminate()  # it ends what it started
            try:
                process.communicate(timeout=10)
            except subprocess.TimeoutExpired:
                process.kill()
            raise Trouble(f"no answer in {seconds:.0f} s") from None
    if process.returncode:
        raise Trouble(firstrun.last_words(complained) or f"exit status {process.returncode}")
    return said


def python(place):
    """Which Python: its version, its width, and its venv module where that is still needed."""
    about = f"Python {place.version}, {place.bits} bit"
    has_venv = importlib.util.find_spec("venv") and importlib.util.find_spec("ensurepip")
    if place.bits < 64:
        yield mend(f"{about}: some packages are made for 64 bit only.", "Install the 64-bit Python.")
    elif not place.python and not has_venv:
        yield mend(
            f"{about}, without its venv module.",
            "Install it (on Debian and its kin: sudo apt install python3-venv).",
        )
    else:
        yield good(about)


def packages(place):
    """The environment, and whether it holds what antlab needs."""
    if place.wrong:
        yield mend(place.wrong, place.way)
    elif place.lacking:
        names = [name.replace(" ", " from version ") for name in place.lacking]
        yield mend(f"The environment of {place.python} lacks: {', '.join(names)}", FIRST_RUN)
    else:
        yield good(f"The environment has every package, none of them too old: {place.python}")


def try_kernel(place):
    """Start the kernel of the environment and return what trial.py found; None where it can't be tried."""
    if place.wrong or place.lacking:
        return None
    try:
        return json.loads(run([place.python, "-P", TRIAL, str(SECONDS)], 2 * SECONDS + 15))
    except (Trouble, OSError, ValueError) as error:
        return {"wrong": str(error), "prefix": "", "seconds": 0, "absent": []}


def kernel(trial):
    """Whether the kernel starts, computes, and is of this environment."""
    if trial is None:
        yield note("The kernel can't be tried before what stands above is mended.")
    elif "wrong" in trial:
        yield mend(f"The kernel of the lessons does not work: {trial['wrong']}", AFRESH)
    elif trial["said"][-3:-1] != ["2", trial["prefix"]]:
        yield mend(
            f"The kernel named python3 is of another Python: {' '.join(trial['said'])}.",
            "Start without the variable JUPYTER_PATH: it leads to that one.",
        )
    else:
        yield good(f"The kernel starts and computes an antenna ({trial['seconds']:.1f} s)")
