"""The student's work folder, and JupyterLab on it: by the student alone, or for a class by a JupyterHub."""

import argparse
import errno
import hashlib
import json
import os
import secrets
import socket
from pathlib import Path

from antlab import files
from antlab.firstrun import ROOT, Trouble, expanded, print_safely

LOOK = "ANTLAB_LOOK"  # the one switch, in the environment of the server and so of its kernels; see look()
SETTINGS = Path(__file__).parent / "settings"  # as JupyterLab keeps a user's, by look
INSTALLED_COURSE = Path(__file__).parent.parent / "course"  # where a wheel carries notebooks/ and figures/
OURS = Path(".antlab")  # in the work folder: what is not the student's to edit
MANIFEST = OURS / "laid.json"
LARGEST_BYTES = 20_000_000  # of a file that somebody may have laid in place of one of ours
WORK_FOLDER = Path("~") / "antlab-lessons"
FIRST_PORT = 8888


def look():
    """Return how pages, pictures and views look: "plain", or "projector" where ANTLAB_LOOK says so."""
    return "projector" if os.environ.get(LOOK) == "projector" else "plain"


def settings():
    """Return where the work folder has JupyterLab's settings for the look of now."""
    return OURS / ("settings" if look() == "plain" else f"settings-{look()}")


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


def lay_out(source, folder):
    """Copy the course and our settings into folder, leaving what the student changed; return lines to show.

    A manifest of hashes tells a file as it was laid from one that was changed since. A file as laid is
    replaced by its newer version and a deleted one comes back; a changed one stays as it is, and a newer
    version is laid beside it, once. Still pictures come in the look of now.
    """
    notes = []
    try:
        folder.mkdir(parents=True, exist_ok=True)
        laid = read_manifest(folder / MANIFEST)
        try:
            for part in dict.fromkeys(("plain", look())):  # the projector's lie over the plain ones
                for path in sorted((SETTINGS / part).rglob("*.jupyterlab-settings")):
                    lay(path, folder, settings() / path.relative_to(SETTINGS / part), laid)
            for path in course_files(source):
                name, fresh = path.relative_to(source), in_look(path, look())
                if lay(fresh, folder, name, laid):
                    continue
                beside = name.with_suffix(".new" + name.suffix)
                known = {laid.get(name.as_posix()), laid.get(beside.as_posix())}
                is_new = not known & {digest(path), digest(in_look(path, "projector"))}
                odd = why_odd(folder / name)
                if is_new or odd:
                    newer = is_new and lay(fresh, folder, beside, laid)
                    where = f"; its newer version is {beside.name} beside it" if newer else ""
                    notes.append(f"Kept your {name} as {odd or 'you changed it'}{where}.")
        finally:
            inside(folder, MANIFEST)
            files.write(folder / MANIFEST, json.dumps(laid, indent=0, sort_keys=True).encode())
    except OSError as error:
        raise Trouble(
            f"{error.filename or folder} can't be written ({error.strerror}): choose a folder that you may "
            "write to with --folder."
        ) from None
    return notes


def why_odd(path):
    """Say why nobody can open what stands in place of a lesson; None where somebody may."""
    if not files.is_plain(path):
        return "it is, which is no plain file"
    if not path.stat().st_size:
        return "it is, which is empty (rename it, and a fresh one comes at the next start)"
    return None


def course_files(source):
    """List the files of the course in order, save hidden ones and their like."""
    paths = [path for part in ("notebooks", "figures") for path in sorted((source / part).rglob("*"))]
    return [
        path for path in paths
        if path.is_file() and not any(part.startswith((".", "__")) for part in path.relative_to(source).parts)
    ]


def in_look(path, look):
    """Return what stands for a file of the course in a look: a still picture has one for each."""
    other = path.parent / look / path.name
    return other if path.parent.name == "figures" and other.is_file() else path


def lay(path, folder, name, laid):
    """Copy path to folder/name unless the student changed what is there; tell whether it is there as laid."""
    target, key, content = inside(folder, name), name.as_posix(), path.read_bytes()
    fresh = hashlib.sha256(content).hexdigest()
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


def inside(folder, name):
    """Return folder/name; OSError where a link on the way there may lead out of the folder."""
    if link := files.leads_out(folder, name):
        raise OSError(errno.ELOOP, "it is a link", str(link))
    return folder / name


def digest(path):
    """Return a hash of a file's bytes; None for a link, and for what else can't be a file of the course."""
    try:
        return hashlib.sha256(files.read(path, most=LARGEST_BYTES)).hexdigest()
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


def port_number(text):
    """Read a port from the command line."""
    if not text.isdecimal() or not 1 <= int(text) <= 65535:
        raise argparse.ArgumentTypeError(f"{text} is no port: give a number from 1024 to 65535")
    return int(text)


def choose_port(asked=None, *, address="127.0.0.1", first=None):
    """Return the port asked for, else the first free one from 8888 on; raise Trouble when there is none.

    address: of this machine, where the port is to be free; first: where the search begins in place of 8888.
    """
    first = first or FIRST_PORT
    for port in [asked] if asked else range(first, first + 100):
        with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as probe:
            if os.name != "nt":  # as the server does: a port just left is free again
                probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                probe.bind((address, port))
            except OSError as error:
                taken = error.errno == errno.EADDRINUSE
            else:
                return port
    if asked:
        why = "is taken by another program" if taken else "may not be used on this machine"
        raise Trouble(f"port {asked} {why}: choose another with --port, or leave --port out.")
    raise Trouble(f"ports {first} to {port} are all taken: choose another with --port.")


def prepare(folder):
    """Lay the course out in folder and set the environment of its server; return folder and first lesson."""
    folder = expanded(folder).absolute()
    for note in lay_out(course(), folder):
        print_safely(note)
    os.environ["JUPYTER_PREFER_ENV_PATH"] = "1"  # python3 is this environment's kernel, whatever the user has
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # small matrices: threads only get in each other's way
    return folder, first_lesson(course())


def common_arguments(folder, *, lesson):
    """Return what any server of the lessons in folder is told, the student's own or one of a JupyterHub."""
    return [
        f"--ServerApp.root_dir={folder}",
        "--ServerApp.kernel_websocket_connection_class=antlab.lab.channel.PromptConnection",
        "--ContentsManager.pre_save_hook=antlab.lab.saved.in_words",
        "--Application.log_level=ERROR",
        f"--LabApp.default_url=/lab/tree/{lesson}",
        # Settings and open tabs are kept with the lessons, apart from those of the user's own JupyterLab.
        # (As defaults, in overrides.json, font sizes do nothing: they are read from user settings only.)
        f"--LabApp.user_settings_dir={folder / settings()}",
        f"--LabApp.workspaces_dir={folder / OURS / 'workspaces'}",
    ]


def lab_arguments(folder, *, port, lesson, token, browser=True, root=False):
    """Return JupyterLab's command line for the lessons in folder, on the student's own machine."""
    return [
        "--ServerApp.ip=127.0.0.1",
        f"--ServerApp.port={port}",
        "--ServerApp.port_retries=0",
        "--ServerApp.base_url=/",
        f"--IdentityProvider.token={token}",
        f"--ServerApp.open_browser={browser}",
        "--ServerApp.answer_yes=True",  # one Ctrl-C is enough
        "--MappingKernelManager.transport_encryption=auto",  # so that no kernel warns of open ports
        *common_arguments(folder, lesson=lesson),
        *(["--allow-root"] if root else []),
    ]


def open_lessons(folder, *, port=None, browser=True):
    """Lay the course out in folder and serve it with JupyterLab until Ctrl-C; return the exit status."""
    expanded("~")  # Jupyter can't do without a home
    folder, lesson = prepare(folder)
    chosen = choose_port(port)
    if not port and chosen != FIRST_PORT:
        print(f"Port {FIRST_PORT} is taken, so this uses {chosen}.")
    root = hasattr(os, "geteuid") and os.geteuid() == 0
    if root:
        print("You are root, so JupyterLab is started with its --allow-root.")
    token = secrets.token_hex(24)
    print_safely(f"Your lessons are in {folder}")
    print(f"JupyterLab opens at http://127.0.0.1:{chosen}/lab/tree/{lesson}?token={token}")
    print("Ctrl-C here ends it.", flush=True)

    from jupyterlab.labapp import LabApp

    from antlab.lab.private import PrivateServer

    LabApp.serverapp_class = PrivateServer
    LabApp.launch_instance(
        lab_arguments(folder, port=chosen, lesson=lesson, token=token, browser=browser, root=root)
    )
    return 0
