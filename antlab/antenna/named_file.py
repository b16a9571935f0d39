"""A file that a user names: how it is read, and how a sentence names it."""

from pathlib import Path

from antlab import files
from antlab.units import Slip, shown


def place(path):
    """A path as a sentence names it: whole, or the file's name alone where that is long. path: a Path.

    >>> from pathlib import Path
    >>> from antlab.antenna.named_file import place
    >>> place(Path("lawn.json"))
    'lawn.json'
    """
    whole = str(path)
    return whole if shown(whole) == whole else shown(Path(path).name)


def read_named(path, *, most):
    """The bytes of a file that a user named. path: a Path. most: bytes that are read at most.

    Returns bytes. Raises Slip, with the system's reason, for what cannot be read.

    >>> from pathlib import Path
    >>> from antlab.antenna.named_file import read_named
    >>> Path("note.txt").write_text("lawn") and read_named(Path("note.txt"), most=1000)
    b'lawn'
    """
    try:
        return files.read(path, most=most, follow=True)
    except OSError as error:
        raise Slip(f"cannot read {place(path)}: {error.strerror}") from None
    except ValueError:
        raise Slip(f"cannot read {place(path)}: that is no name of a file") from None
