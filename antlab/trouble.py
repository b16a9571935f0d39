"""What a user can mend, said in one sentence, and how it reaches the screen. Standard library only."""

import contextlib
import os
import sys
from pathlib import Path

COMMAND = f"{'py' if os.name == 'nt' else 'python3'} -m antlab"
FRESH = "--fresh"  # the word on the command line that asks for a new environment


class Trouble(Exception):
    """Something that the user can mend; its text says how."""


def print_safely(text, *, end="\n"):
    """Print, also where the letters are few and where the reader of a pipe leaves early."""
    if hasattr(sys.stdout, "reconfigure"):
        sys.stdout.reconfigure(errors="replace")
    try:
        print(text, end=end, flush=True)
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
