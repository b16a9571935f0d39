"""Where the course is, and in which look it is shown. Standard library only."""

import os
from pathlib import Path

from antlab.files import PACKAGE, ROOT
from antlab.trouble import Trouble

LOOK = "ANTLAB_LOOK"  # the one switch, in the environment of the server and so of its kernels; see look()
INSTALLED_COURSE = PACKAGE / "course"  # where a wheel carries notebooks/ and figures/
OURS = Path(".antlab")  # in a work folder: what is not the student's to edit
LARGEST_HOMEWORK = 200_000  # bytes of a student's progress file
LARGEST_BYTES = 20_000_000  # of a file that somebody may have laid in place of one of ours


def look():
    """Return how pages, pictures and views look: "plain", or "projector" where ANTLAB_LOOK says so."""
    return "projector" if os.environ.get(LOOK) == "projector" else "plain"


def course():
    """Return the folder that holds notebooks/ and figures/: the checkout's, else the installed one."""
    return INSTALLED_COURSE if INSTALLED_COURSE.is_dir() else ROOT


def lessons(folder):
    """List the numbered notebooks of the course in folder, in order."""
    return sorted(folder.glob("notebooks/[0-9][0-9]-*.ipynb"))


def first_lesson(folder):
    """Return the lowest-numbered notebook of the course in folder, as a path from there with slashes."""
    found = lessons(folder)
    if not found:
        raise Trouble(f"there are no lessons in {folder / 'notebooks'}: fetch a fresh copy of antlab.")
    return found[0].relative_to(folder).as_posix()


def course_files(source):
    """List the files of the course in order, save hidden ones and their like."""
    paths = [path for part in ("notebooks", "figures") for path in sorted((source / part).rglob("*"))]
    return [
        path
        for path in paths
        if path.is_file() and not any(part.startswith((".", "__")) for part in path.relative_to(source).parts)
    ]


def in_look(path, look):
    """Return what stands for a file of the course in a look: a still picture has one for each."""
    other = path.parent / look / path.name
    return other if path.parent.name == "figures" and other.is_file() else path
