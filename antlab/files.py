"""How a file is written and read here, wherever somebody else may have been in the folder before.

Standard library only. What can't be done raises OSError; its strerror ends a sentence about the file.
"""

import contextlib
import errno
import os
import secrets
import stat
from pathlib import Path

PACKAGE = Path(__file__).resolve().parent
ROOT = PACKAGE.parent  # of a checkout
VERSIONS = "antlab/constraints.txt"  # there: what the last full run passed with; `antlab refresh` writes it
_BINARY = getattr(os, "O_BINARY", 0)  # Windows would change line ends
_NO_LINK = getattr(os, "O_NOFOLLOW", 0)
_NEW = os.O_WRONLY | os.O_CREAT | os.O_EXCL | _NO_LINK | _BINARY
_AT_ONCE = getattr(os, "O_NONBLOCK", 0)  # a pipe that nobody writes to would wait for ever


def write(path, content, *, private=False, force=True):
    """Write a file whole or not at all: a full disk or a pulled plug leaves what was there before.

    path: of the file; folders on the way to it are made. A link there is replaced, and nothing is written
    where it leads. content: bytes. private: for its owner alone; else it keeps the rights of the file before
    it, and a new one has those that the system gives. force: False raises FileExistsError for what exists.
    Returns path. Raises OSError.

    >>> from antlab import files
    >>> files.write("mine.txt", b"7.1 MHz").name
    'mine.txt'
    """
    path = Path(path)
    path.parent.mkdir(parents=True, exist_ok=True)
    fresh = path.with_name(f".antlab-{secrets.token_hex(16)}")
    try:
        with open(os.open(fresh, _NEW, 0o600 if private else 0o666), "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        if not private and is_plain(path):
            os.chmod(fresh, stat.S_IMODE(os.lstat(path).st_mode) & 0o777)
        if not force:
            os.close(os.open(path, _NEW))  # ours now, or FileExistsError
        os.replace(fresh, path)
    except BaseException as error:
        with contextlib.suppress(OSError):
            os.unlink(fresh)
        if isinstance(error, OSError):
            error.filename, error.filename2 = str(path), None  # the name that somebody knows
        raise
    _settle(path.parent)
    return path


def read(path, *, most, start=False, follow=False, owner=None, folder=None):
    """Return the bytes of a plain file; never waits, and never holds more than it was allowed.

    path: of the file. most: bytes that it may have. start: whether of a longer one the first so many will do.
    follow: whether a link may lead to it. owner: the only user whose file it may be, by number. folder: a
    descriptor of the folder that path begins at.
    Raises OSError, also for a link, for what is no plain file (a pipe, a device) and for a longer one.

    >>> from antlab import files
    >>> files.read(files.write("mine.txt", b"7.1 MHz"), most=100)
    b'7.1 MHz'
    """
    if not follow and not _NO_LINK and os.path.islink(path):
        raise OSError(errno.ELOOP, "it is a link", str(path))
    how = os.O_RDONLY | _AT_ONCE | _BINARY | (0 if follow else _NO_LINK)
    try:
        handle = os.open(path, how, **({} if folder is None else {"dir_fd": folder}))
    except OSError as error:
        if error.errno == errno.ELOOP and not follow:
            error.strerror = "it is a link"
        raise
    try:
        about = os.fstat(handle)
        if not stat.S_ISREG(about.st_mode):
            raise OSError(errno.EINVAL, "it is no plain file", str(path))
        if owner not in (None, about.st_uid):
            raise OSError(errno.EPERM, "it belongs to somebody else", str(path))
        with open(handle, "rb", closefd=False) as file:
            content = file.read(most + 1)
    finally:
        os.close(handle)
    if len(content) > most and not start:
        raise OSError(errno.EFBIG, f"it has more than {most:,} bytes", str(path))
    return content[:most]


def is_locked(file):
    """Lock an open file; tell whether it is ours now, which it is too where nothing can be locked.

    file: it holds the lock until it is closed, or its process ends.

    >>> from antlab import files
    >>> with open(files.write("mine.txt", b"7.1 MHz"), "rb") as file:
    ...     files.is_locked(file)
    True
    """
    try:
        if os.name == "nt":
            import msvcrt

            file.seek(1 << 30)  # far behind its end, so that everybody may read it
            msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)
        else:
            import fcntl

            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as error:
        return error.errno not in (errno.EAGAIN, errno.EACCES)
    return True


def is_plain(path):
    """Tell whether a path is a file itself: no link to one, no folder, no pipe or device.

    >>> from antlab import files
    >>> files.is_plain("no-such-file.txt")
    False
    """
    try:
        return stat.S_ISREG(os.lstat(path).st_mode)
    except (OSError, ValueError):  # not there, or no name that a file could have
        return False


def leads_out(folder, name):
    """Return the first link among the folders of name (a path below folder), or None.

    >>> from antlab import files
    >>> files.leads_out("antlab-lessons", "notebooks/01.ipynb") is None
    True
    """
    steps = [Path(folder, *Path(name).parts[:n]) for n in range(1, len(Path(name).parts))]
    return next((step for step in steps if step.is_symlink()), None)


def _settle(folder):
    """Have the file's new name itself on the disk, where the system offers that."""
    if os.name == "nt":
        return
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
