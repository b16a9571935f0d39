"""The student's work folder: the lessons are laid out there, and what the student changed is kept."""

import errno
import hashlib
import json
import os
from pathlib import Path

from antlab import files
from antlab.classroom import course
from antlab.classroom.course import LARGEST_BYTES, OURS, course_files, first_lesson, in_look, look
from antlab.serve import news
from antlab.trouble import Trouble, expanded, print_safely

SETTINGS = Path(__file__).parent / "settings"  # as JupyterLab keeps a user's, by look
MANIFEST = OURS / "laid.json"
WORK_FOLDER = Path("~") / "antlab-lessons"


def settings():
    """Return where the work folder has JupyterLab's settings for the look of now."""
    return _of_look("settings")


def workspaces():
    """Return where it has what is open in JupyterLab, for the look of now."""
    return _of_look("workspaces")


def _of_look(name):
    return OURS / (name if look() == "plain" else f"{name}-{look()}")


def lay_out(source, folder):
    """Copy the course and our settings into folder, leaving what the student changed; return lines to show.

    A manifest of hashes tells a file as it was laid from one that was changed since. A file as laid is
    replaced by its newer version and a deleted one comes back; a changed one stays as it is, and a newer
    version is laid beside it, once. Still pictures come in the look of now. What is new since the course was
    last laid out there comes first of the lines. Notebooks come unrun: what a cell answers is seen to come.
    """
    notes = []
    try:
        folder.mkdir(parents=True, exist_ok=True)
        laid = read_manifest(folder / MANIFEST)
        older = bool(laid)
        try:
            for part in dict.fromkeys(("plain", look())):  # the projector's lie over the plain ones
                for path in sorted((SETTINGS / part).rglob("*.jupyterlab-settings")):
                    lay(path, folder, settings() / path.relative_to(SETTINGS / part), laid)
            for name, path in laid_from(source).items():
                fresh = in_look(path, look())
                if lay(fresh, folder, name, laid):
                    continue
                beside = name.with_suffix(".new" + name.suffix)
                known = {laid.get(name.as_posix()), laid.get(beside.as_posix())}
                is_new = not known & {sha256(as_laid(one)) for one in (path, in_look(path, "projector"))}
                odd = why_odd(folder / name)
                if is_new or odd:
                    newer = is_new and lay(fresh, folder, beside, laid)
                    where = f"; its newer version is {beside.name} beside it" if newer else ""
                    notes.append(f"Kept your {name} as {odd or 'you changed it'}{where}.")
            notes = news.tell(source, laid, older) + notes
        finally:
            inside(folder, MANIFEST)
            files.write(folder / MANIFEST, json.dumps(laid, indent=0, sort_keys=True).encode())
    except OSError as error:
        raise Trouble(
            f"{error.filename or folder} can't be written ({error.strerror}): choose a folder that you may "
            "write to with --folder."
        ) from None
    return notes


def laid_from(source):
    """Return what is laid out: name in the work folder -> file of the course.

    A still that is the same in both looks is stored once and laid twice, as a page asks for either.
    """
    found = {path.relative_to(source): path for path in course_files(source)}
    large = Path("figures", "projector")
    if (source / large).is_dir():
        found = {large / path.name: path for path in sorted((source / "figures").glob("*.svg"))} | found
    return found


def why_odd(path):
    """Say why nobody can open what stands in place of a lesson; None where somebody may."""
    if not files.is_plain(path):
        return "it is, which is no plain file"
    if not path.stat().st_size:
        return "it is, which is empty (rename it, and a fresh one comes at the next start)"
    return None


def lay(path, folder, name, laid):
    """Copy path to folder/name unless the student changed what is there; tell whether it is there as laid."""
    target, key, content = inside(folder, name), name.as_posix(), as_laid(path)
    fresh = sha256(content)
    if os.path.lexists(target):
        there = digest(target)
        if there != fresh and (there is None or there != laid.get(key)):
            return False
    else:
        there = None
    if there != fresh:
        files.write(target, content)
    laid[key] = fresh
    return True


def as_laid(path):
    """Return the bytes that are laid for a file of the course: of a notebook without outputs and counts."""
    content = path.read_bytes()
    if path.suffix != ".ipynb" or b'"outputs"' not in content:
        return content
    notebook = json.loads(content)
    for cell in notebook["cells"]:
        if cell["cell_type"] == "code":
            cell |= {"outputs": [], "execution_count": None}
    return (json.dumps(notebook, indent=1, ensure_ascii=False) + "\n").encode()


def sha256(content):
    """Return a hash of bytes, as the manifest keeps it."""
    return hashlib.sha256(content).hexdigest()


def inside(folder, name):
    """Return folder/name; OSError where a link on the way there may lead out of the folder."""
    if link := files.leads_out(folder, name):
        raise OSError(errno.ELOOP, "it is a link", str(link))
    return folder / name


def digest(path):
    """Return a hash of a file's bytes; None for a link, and for what else can't be a file of the course."""
    try:
        return sha256(files.read(path, most=LARGEST_BYTES))
    except OSError:
        return None


def read_manifest(path):
    """Return what was laid, name -> hash; a spoilt manifest counts as empty: nothing is overwritten."""
    if os.path.lexists(path) and not files.is_plain(path):
        return {}
    try:
        laid = json.loads(files.read(path, most=LARGEST_BYTES).decode("utf-8"))
    except (FileNotFoundError, ValueError, RecursionError):
        return {}
    known = laid.items() if isinstance(laid, dict) else ()
    return {name: hash for name, hash in known if isinstance(hash, str)}


def prepare(folder):
    """Lay the course out in folder and set the environment of its server; return folder and first lesson."""
    folder = expanded(folder).absolute()
    for note in lay_out(course.course(), folder):
        print_safely(note)
    os.environ["JUPYTER_PREFER_ENV_PATH"] = "1"  # python3 is this environment's kernel, whatever the user has
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # small matrices: threads only get in each other's way
    return folder, first_lesson(course.course())
