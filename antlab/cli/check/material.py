"""The course, the student's copy of it, and whether lessons do without the network."""

import json
import os
import re
import tempfile
from urllib.parse import unquote

from antlab.classroom import course
from antlab.cli.check.finding import AFRESH, few, good, mend, note
from antlab.cli.check.machine import nearest
from antlab.serve import work

FRESH = "Fetch a fresh copy of antlab."
NEWS = "notification.jupyterlab-settings"
ASKS_THE_NETWORK = re.compile(r"https?://|\b(urllib|requests|socket|http\.client)\b|^\s*[%!]", re.MULTILINE)


def whole(source):
    """Whether every file of the course can be read, and all is there that its lessons lead to."""
    files = course.course_files(source)
    wrong = [path.relative_to(source).as_posix() for path in files if is_spoilt(path)]
    for path in files:
        if path.suffix == ".ipynb" and path.relative_to(source).as_posix() not in wrong:
            wrong += [name for name in leads_to(path, source) if name not in wrong]
    lessons = len(course.lessons(source))
    if not lessons:
        wrong.append("notebooks/")
    if wrong:
        yield mend(f"Files of the course are missing or spoilt: {few(wrong)}", FRESH)
    else:
        figures = sum(path.parent.name == "figures" for path in files)
        yield good(f"The course is whole: {lessons} lessons, {figures} figures, {len(files)} files in all")


def is_spoilt(path):
    """Tell whether a file is cut short, or no notebook or picture although it is named so."""
    content = path.read_bytes()
    if path.suffix == ".ipynb":
        try:
            return not json.loads(content)["cells"]
        except (ValueError, KeyError, TypeError):
            return True
    return not content or (path.suffix == ".svg" and not content.rstrip().endswith(b"</svg>"))


def leads_to(path, source):
    """List the files that a notebook shows or links to and that are not there."""
    words = "\n".join(cell_texts(path, "markdown"))
    links = {unquote(link) for link in re.findall(r"\]\(([^)#\s:]+)(?:#[^)]*)?\)", words)}
    aims = [path.parent / link for link in sorted(links)]
    return [os.path.relpath(aim, source).replace(os.sep, "/") for aim in aims if not aim.exists()]


def cell_texts(path, kind):
    """Return the text of each cell of a kind in a notebook."""
    cells = json.loads(path.read_bytes())["cells"]
    return ["".join(cell["source"]) for cell in cells if cell["cell_type"] == kind]


def work_folder(source, folder):
    """Whether the work folder can be written to, and what the student changed there."""
    there = nearest(folder)
    if not there.is_dir():
        yield mend(f"There can be no folder {folder}: {there} is none.", "Choose another with --folder.")
        return
    parts = [folder / part for part in ("notebooks", "notebooks/homework", "figures", course.OURS)]
    place = folder / work.MANIFEST
    try:
        laid = work.read_manifest(place)
        for place in [there, *filter(os.path.isdir, parts)]:
            with tempfile.TemporaryFile(dir=place) as file:
                file.write(b"antlab")
                file.flush()
    except OSError as error:
        yield mend(f"{place} can't be written to ({error.strerror}).", "Choose another with --folder.")
        return
    present = [name for name in laid if (folder / name).exists()]
    locked = [name for name in present if not os.access(folder / name, os.W_OK)]
    if locked:
        yield mend(
            f"Files in {folder} can't be written to: {few(locked)}",
            "Make them yours again (did an administrator start the lessons?), or choose another --folder.",
        )
    elif not folder.exists():
        yield good(f"The work folder will be {folder}; it can be made")
    else:
        yield good(f"The work folder can be written to: {folder}")
    yield from changes(source, folder, laid)


def changes(source, folder, laid):
    """What the student changed, for information: it is never overwritten."""
    mine = {name: folder / name for name in laid if (source / name).is_file()}
    changed = [name for name, path in mine.items() if path.exists() and work.digest(path) != laid[name]]
    gone = [name for name, path in mine.items() if not path.exists()]
    broken = [name for name in changed if is_spoilt(mine[name])]
    if changed:
        yield note(f"Changed there since they were laid out, and kept so: {few(changed)}")
    if gone:
        yield note(f"Missing there, and laid out again at the next start: {few(gone)}")
    if broken:
        yield note(
            f"Not to be opened any more: {few(broken)}",
            "Rename them there; fresh ones are laid out at the next start.",
        )


def offline(source, folder, trial):
    """Whether everything that a lesson needs is on this machine, and nothing in it asks the network."""
    if trial is None:
        yield note("Without the network: not yet; what stands above is to be mended first.")
        return
    asking = [
        path.name for path in course.course_files(source) if path.suffix == ".ipynb" and not is_spoilt(path)
        if ASKS_THE_NETWORK.search("\n".join(cell_texts(path, "code")))
    ]  # fmt: skip
    if trial["absent"]:
        yield mend(
            f"Not on this machine: {', '.join(trial['absent'])}",
            AFRESH,
        )
    elif asking:
        yield mend(f"Lessons that ask the network: {few(asking)}", FRESH)
    elif not all([is_quiet(path) for path in work.SETTINGS.rglob(NEWS)] or [False]):
        yield mend("JupyterLab's look for news is not switched off.", FRESH)
    else:
        yield good("Lessons do without the network: all they need is here, no cell of theirs asks for more")
    ours = folder / course.OURS
    if os.path.isdir(ours) and not all(map(is_quiet, ours.rglob(NEWS))):
        yield note("JupyterLab's look for news is on, by a choice in the work folder; offline it finds none.")


def is_quiet(path):
    """Tell whether JupyterLab's look for news and for updates is switched off in a settings file."""
    try:
        settings = json.loads(path.read_bytes())
        return settings["fetchNews"] == "false" and settings["checkForUpdates"] is False
    except (OSError, ValueError, KeyError, TypeError):
        return False
