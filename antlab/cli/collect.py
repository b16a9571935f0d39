"""The command `antlab collect`: the homework out of the students' homes, on a server that they share."""

import os
import re
import stat
from itertools import islice
from pathlib import Path

from antlab import files
from antlab.classroom.course import LARGEST_HOMEWORK
from antlab.serve.work import WORK_FOLDER
from antlab.trouble import Trouble, expanded, print_safely, writing

HOMEWORK = re.compile(r"homework-[a-z0-9-]{1,80}\.json")
ACCOUNT = re.compile(r"[\w@+-][\w.@+-]{0,63}", re.ASCII)
MOST_FILES, MOST_NAMES = 50, 10_000  # of a home; in a work folder


def collect_arguments(parser):
    """Name what `collect` takes."""
    parser.add_argument("folder", type=Path, help="where to; made for you alone if it is not there")
    parser.add_argument(
        "--homes", type=Path, default=Path("/home"), metavar="FOLDER",
        help="where the accounts have their homes (%(default)s)",
    )  # fmt: skip
    parser.add_argument(
        "--work", default=WORK_FOLDER.name, metavar="NAME", help="work folder in each home (%(default)s)"
    )


def run_collect(args, rest):
    """Copy each account's homework files into a folder; say what was left out, and why."""
    if os.name == "nt" or os.open not in os.supports_dir_fd:
        raise Trouble("this is for a server with accounts of Unix; here, copy the files by hand.")
    if not ACCOUNT.fullmatch(args.work):
        raise Trouble(f"--work {ascii(args.work)} is no name of a folder, such as {WORK_FOLDER.name}")
    homes, folder = expanded(args.homes), expanded(args.folder)
    if not homes.is_dir():
        raise Trouble(f"there is no folder {homes}: say with --homes where the accounts have their homes.")
    owner = asked_by()
    with writing(folder, "the argument FOLDER"):
        own_folder(folder, owner)
        count, left_out = 0, []
        for home in sorted(homes.iterdir()):
            for name, content in from_home(home, args.work, left_out):
                target = files.write(folder / f"{home.name}.{name}", content, private=True)
                os.chown(target, *owner, follow_symlinks=False)
                count += 1
    for where, why in left_out:
        print_safely(f"Left out {ascii(where)[1:-1]}: {why}.")
    print_safely(f"Collected {count} {'file' if count == 1 else 'files'} into {folder}")
    return 0


def asked_by():
    """Return the user and group, by number, whom collected files are for: who called sudo, if one did."""
    if os.geteuid() == 0 and os.environ.get("SUDO_UID", "").isdecimal():
        return int(os.environ["SUDO_UID"]), int(os.environ.get("SUDO_GID", 0))
    return os.geteuid(), os.getegid()


def own_folder(folder, owner):
    """See that nobody else could have laid something into the folder; make it where there is none."""
    if not os.path.lexists(folder):
        folder.mkdir(mode=0o700, parents=True)
        os.chown(folder, *owner)
    about = os.lstat(folder)
    if not stat.S_ISDIR(about.st_mode):
        raise Trouble(f"{folder} is a link or a file: name a folder itself.")
    if about.st_uid not in (0, owner[0]) or about.st_mode & (stat.S_IWGRP | stat.S_IWOTH):
        raise Trouble(
            f"others may write to {folder}: close it to them (chmod go-w), or name one that is not there yet."
        )


def from_home(home, work, left_out):
    """Yield the homework files in a home as (name, bytes); add (what, why) to left_out for all that stays.

    No link is followed, nothing is waited for, and only what belongs to the home's owner is read: whoever
    runs this may read every file of the machine, and the student may not.
    """
    where = f"{home.name}/{work}"
    try:
        inside = os.open(home / work, os.O_RDONLY | os.O_DIRECTORY | os.O_NOFOLLOW)
    except (FileNotFoundError, NotADirectoryError) as error:
        if os.path.lexists(home / work):
            left_out.append((where, "it is a link or a file" if home.is_dir() else error.strerror))
        return  # else no student of ours
    except OSError as error:
        left_out.append((where, error.strerror))
        return
    try:
        about = os.lstat(home)
        if stat.S_ISLNK(about.st_mode):
            left_out.append((home.name, "that home is a link: name the folder where it lies with --homes"))
        elif not ACCOUNT.fullmatch(home.name):
            left_out.append((home.name, "antlab takes that for no name of an account"))
        elif about.st_uid == 0 or os.fstat(inside).st_uid != about.st_uid:
            left_out.append((where, "it belongs to somebody else than the home, or to root"))
        else:
            yield from from_work(inside, about.st_uid, where, left_out)
    except OSError as error:
        left_out.append((where, error.strerror))
    finally:
        os.close(inside)


def from_work(inside, owner, where, left_out):
    """Yield the homework files in a work folder, an open descriptor; the rest as of from_home."""
    with os.scandir(inside) as entries:
        names = [entry.name for entry in islice(entries, MOST_NAMES + 1)]
    found = sorted(name for name in names if name.startswith("homework-") and name.endswith(".json"))
    if len(names) > MOST_NAMES or len(found) > MOST_FILES:
        left_out.append((where, "there is too much in it to look through all of it"))
    for name in found[:MOST_FILES]:
        try:
            if not HOMEWORK.fullmatch(name):
                raise OSError(0, "antlab gives no such names")
            yield name, files.read(name, most=LARGEST_HOMEWORK, owner=owner, folder=inside)
        except OSError as error:
            left_out.append((f"{where}/{name}", error.strerror))
