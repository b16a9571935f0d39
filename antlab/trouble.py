"""Whose mistake is it? What a user can mend, and what is ours, said in a sentence. Standard library only."""

import contextlib
import os
import re
import sys
import textwrap
import traceback
import warnings
from pathlib import Path

COMMAND = f"{'py' if os.name == 'nt' else 'python3'} -m antlab"
FRESH = "--fresh"  # the word on the command line that asks for a new environment
_MOST, _STEPS, _LONGEST = 300, 12, 8000  # letters quoted of an error; calls and letters of its traceback


class Trouble(Exception):
    """Something about the machine or the command that the user can mend; its text says how."""


class Slip(ValueError):
    """What the user did wrong, in a sentence that teaches the mend; any other error is a mistake of ours."""

    def _render_traceback_(self):
        """What IPython shows of it: in a lesson, the sentence alone."""
        return textwrap.wrap(str(self), 80)


def our_mistake(error):
    """What is said of an error that nobody foresaw: that it is ours, which it is, and whom to tell.

    error: an exception that is neither a Trouble nor a Slip. Returns one line; its traceback belongs below.
    """
    words = _printable(" ".join("".join(traceback.format_exception_only(error)).split())[:_MOST])
    return (
        f"This is a mistake in antlab, not yours: {words.rstrip('.')}. "
        "Show this, and tell what you did before, to whoever looks after antlab."
    )


def traced(error):
    """The traceback of an error as text, for whoever looks after antlab: its last steps."""
    return _printable("".join(traceback.format_exception(error, limit=-_STEPS))[-_LONGEST:])


def _printable(text):
    return "".join(letter if letter.isprintable() or letter == "\n" else "?" for letter in text)


@contextlib.contextmanager
def owned():
    """Whatever fails inside and is no slip says at the end of its traceback that it is a mistake of ours."""
    try:
        yield
    except (Trouble, Slip):
        raise
    except Exception as error:
        error.add_note(our_mistake(error))
        raise


@contextlib.contextmanager
def unwarned():
    """What a plan says in its notes is not shown as Python's warnings too."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        yield


def print_safely(text, *, end="\n"):
    """Print, also where the letters are few and where the reader of a pipe leaves early."""
    if hasattr(sys.stdout, "reconfigure"):
        sys.stdout.reconfigure(errors="replace")
    try:
        print(text, end=end, flush=True)
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def typed(name):
    """A file's name as one types it on a command line: in quotation marks where a space would part it."""
    return name if re.fullmatch(r"[\w.~:/\\+-]+", name) else f'"{name}"'


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
