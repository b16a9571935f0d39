"""What a check finds, and the one command that mends most of it."""

import os
from dataclasses import dataclass

from antlab.firstrun import ROOT

IN_A_CHECKOUT = (ROOT / "pyproject.toml").is_file()
COMMAND = f"{'py' if os.name == 'nt' else 'python3'} -m antlab" if IN_A_CHECKOUT else "antlab"
FIRST_RUN = f"Connect this machine to the internet and run {COMMAND} once; it takes some minutes."


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
