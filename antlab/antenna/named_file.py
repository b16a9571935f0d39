"""A file that a user names: how it is read and written, and how a sentence names it."""

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


def write_named(path, content, *, force, over):
    """Write bytes into a file that a user named. path: a Path. force: write over what exists.

    over: what that would do, for the sentence where force is missing: "lose it". Returns the path. Raises
    Slip, with the reason, for what exists and for what cannot be written.

    >>> from pathlib import Path
    >>> from antlab.antenna.named_file import write_named
    >>> write_named(Path("note.txt"), b"lawn", force=True, over="lose it").name
    'note.txt'
    """
    if not path.parent.is_dir():
        raise Slip(f"cannot write {place(path)}: there is no such folder")
    try:
        return files.write(path, content, force=force)
    except FileExistsError:
        raise Slip(
            f"{place(path)} exists; choose another name, or to {over} say force=True, or --force"
        ) from None
    except OSError as error:
        raise Slip(f"cannot write {place(path)}: {error.strerror}") from None
    except ValueError:
        raise Slip(f"cannot write {place(path)}: that is no name of a file") from None
