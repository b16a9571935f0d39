"""What a JupyterHub starts for each student, as that student: lays the lessons out and becomes the server."""

import argparse
import importlib.util
import os
import sys
from pathlib import Path

from antlab.serve.jupyter import common_arguments, switch_off
from antlab.serve.work import WORK_FOLDER, prepare
from antlab.trouble import Trouble

SOCKETS = ".kernels"  # in the home
SHARED = Path(__file__).parent / "shared"  # what Jupyter finds on a machine that many share: kernel.py


def main(argv=None):
    """Become the server that JupyterHub asks for; return 2 for what an administrator can mend."""
    parser = argparse.ArgumentParser(
        prog="antlab-singleuser",
        description="For a JupyterHub: a student's server with the lessons in it. All other arguments are "
        "those of jupyterhub-singleuser.",
        allow_abbrev=False,
    )
    parser.add_argument(
        "--folder", type=Path, default=WORK_FOLDER, help="where the student has the lessons (%(default)s)"
    )
    args, rest = parser.parse_known_args(argv)
    try:
        become_server(args.folder, rest)
    except Trouble as trouble:
        print(f"antlab-singleuser: {trouble}", file=sys.stderr)
        return 2


def become_server(folder, arguments):
    """Lay the course out in folder and run jupyterhub-singleuser on it in place of this process."""
    if "JUPYTERHUB_SERVICE_URL" not in os.environ:
        raise Trouble("this is for a JupyterHub to start; for lessons of your own run antlab.")
    if importlib.util.find_spec("jupyterhub") is None:
        raise Trouble(f"{sys.prefix} lacks jupyterhub: install there the version that the hub has.")
    os.umask(0o077)  # a student's work is for that student alone
    folder, lesson = prepare(folder)
    switch_off()
    os.environ["JUPYTERHUB_DEFAULT_URL"] = f"/lab/tree/{lesson}"
    # The kernel's sockets are files that nobody else may open, not ports that every student could listen to,
    # and our kernel opens none beside them. (A path may have 107 letters, so they lie right in the home.)
    os.environ["JUPYTER_RUNTIME_DIR"] = str(kept_private(Path.home() / SOCKETS))
    others = os.environ.get("JUPYTER_PATH")
    os.environ["JUPYTER_PATH"] = os.pathsep.join([str(SHARED), *([others] if others else [])])
    private = ["--KernelManager.transport=ipc"]
    command = [sys.executable, "-P", "-m", "jupyterhub.singleuser"]  # -P: nothing is imported from the home
    sys.stdout.flush()
    os.execv(sys.executable, [*command, *common_arguments(folder, lesson=lesson), *private, *arguments])


def kept_private(folder):
    """Make folder if it is not there, and let nobody but this account into it; return it."""
    try:
        folder.mkdir(mode=0o700, exist_ok=True)
        if folder.is_symlink() or folder.stat().st_uid != os.getuid():
            raise Trouble(f"{folder} is a link, or another account's: remove it.")
        folder.chmod(0o700)
    except OSError as error:
        raise Trouble(f"{folder} can't be had for the kernels' sockets ({error.strerror}).") from None
    return folder
