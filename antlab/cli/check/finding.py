"""What a check finds, and the one command that mends most of it."""

from dataclasses import dataclass

from antlab.cli import firstrun
from antlab.files import ROOT
from antlab.trouble import FRESH

IN_A_CHECKOUT = (ROOT / "pyproject.toml").is_file()
COMMAND = firstrun.COMMAND if IN_A_CHECKOUT else "antlab"
FIRST_RUN = f"Connect this machine to the internet and run {COMMAND} once; it takes some minutes."
AFRESH = (
    f"Connect this machine to the internet and run {COMMAND} {FRESH}: it makes the environment afresh, and "
    "keeps the one that is there until the new one is whole." if IN_A_CHECKOUT
    else "Connect this machine to the internet and install antlab again, with pip's --force-reinstall."
)  # fmt: skip


@dataclass(frozen=True)
class Finding:
    """One thing looked at: good, to mend or to note; what was found; and the way out, if one is needed."""

    word: str
    text: str
    way: str = ""


def good(text):
    """What is as it should be."""
    return Finding("good", text)


def mend(text, way):
    """What would stop a lesson, and how to mend it."""
    return Finding("mend", text, way)


def note(text, way=""):
    """What is worth knowing and stops nothing."""
    return Finding("note", text, way)


def few(names, most=3):
    """Name some of the names and count the rest."""
    names = [str(name) for name in names]
    return ", ".join(names[:most]) + (f" and {len(names) - most} more" if len(names) > most else "")
