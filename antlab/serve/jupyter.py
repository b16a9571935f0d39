"""JupyterLab on the student's work folder: by the student alone, or for a class by a JupyterHub."""

import json
import os
import secrets
from pathlib import Path

from antlab.classroom.course import look
from antlab.serve import ports
from antlab.serve.work import SETTINGS, prepare, settings, workspaces
from antlab.trouble import expanded, print_safely

EXTENSIONS = Path(__file__).with_name("labextensions")


def common_arguments(folder, *, lesson):
    """Return what any server of the lessons in folder is told, the student's own or one of a JupyterHub."""
    return [
        f"--ServerApp.root_dir={folder}",
        "--ServerApp.kernel_websocket_connection_class=antlab.serve.channel.PromptConnection",
        "--ServerApp.kernel_spec_manager_class=antlab.serve.kernels.HomeworkKernels",
        "--ContentsManager.pre_save_hook=antlab.serve.saved.in_words",
        "--Application.log_level=ERROR",
        f"--LabApp.default_url=/lab/tree/{lesson}",
        # Settings and open tabs are kept with the lessons, apart from those of the user's own JupyterLab.
        # (As defaults, in overrides.json, font sizes do nothing: they are read from user settings only.)
        f"--LabApp.user_settings_dir={folder / settings()}",
        f"--LabApp.workspaces_dir={folder / workspaces()}",
        f"--LabApp.extra_labextensions_path={EXTENSIONS}",  # what a page does before any cell was run
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


def clear_desk(folder):
    """Begin a projected evening with one lesson over the whole width; the list of files is behind Ctrl+B."""
    from jupyterlab_server.workspaces_handler import WorkspacesManager

    layout = {
        "main": None,
        "left": {"collapsed": True, "widgets": ["filebrowser"]},
        "relativeSizes": [0, 1, 0],
    }
    desk = {"data": {"layout-restorer:data": layout}, "metadata": {"id": "default"}}
    WorkspacesManager(str(folder / workspaces())).save("default", json.dumps(desk))


def switch_off():
    """Leave out of JupyterLab what settings/*/labconfig names; to be called before a server is started.

    Plain: signs of a busy kernel, in the browser's tab and the status line, which blink twice at each step of
    a dragged planner; to paint them takes longer than the step. (That of the toolbar is off by its settings;
    a cell's [*] stays.) For the projector also the debugger.
    """
    paths = [str(SETTINGS / part) for part in dict.fromkeys(("plain", look()))]
    given = os.environ.get("JUPYTER_CONFIG_PATH")
    os.environ["JUPYTER_CONFIG_PATH"] = os.pathsep.join([*paths, *([given] if given else [])])


def open_lessons(folder, *, port=None, browser=True):
    """Lay the course out in folder and serve it with JupyterLab until Ctrl-C; return the exit status."""
    expanded("~")  # Jupyter can't do without a home
    folder, lesson = prepare(folder)
    if look() == "projector":
        clear_desk(folder)
    switch_off()
    chosen = ports.choose_port(port)
    if not port and chosen != ports.FIRST_PORT:
        print(f"Port {ports.FIRST_PORT} is taken, so this uses {chosen}.")
    root = hasattr(os, "geteuid") and os.geteuid() == 0
    if root:
        print("You are root, so JupyterLab is started with its --allow-root.")
    token = secrets.token_hex(24)
    print_safely(f"Your lessons are in {folder}")
    print(f"JupyterLab opens at http://127.0.0.1:{chosen}/lab/tree/{lesson}?token={token}")
    print("Ctrl-C here ends it.", flush=True)

    from jupyterlab.labapp import LabApp

    from antlab.serve.private import PrivateServer

    LabApp.serverapp_class = PrivateServer
    LabApp.launch_instance(
        lab_arguments(folder, port=chosen, lesson=lesson, token=token, browser=browser, root=root)
    )
    return 0
