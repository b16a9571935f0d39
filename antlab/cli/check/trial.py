"""Start the lessons' kernel once and tell in JSON how that went; `antlab check` runs this as a program."""

import json
import os
import queue
import signal
import sys
import tempfile
import time
from pathlib import Path

# What a lesson needs first: a line to the kernel, the engine on this processor, and what draws and moves.
PROGRAM = """
import sys, antlab, matplotlib.ft2font, ipywidgets, anywidget
antlab.Dipole(inner_m=5.0, soil="free space").impedance(14.2)
print(1 + 1, sys.prefix, antlab.__file__, sep="\\n")
"""
# In the folders where Jupyter looks for what is shared: JupyterLab's own pages, and the players of the views.
SHARED = {
    "JupyterLab's pages": "lab/static/index.html",
    "the widgets' player": "labextensions/@jupyter-widgets/jupyterlab-manager/package.json",
    "the live views' player": "labextensions/anywidget/package.json",
}


def trial(seconds):
    """Start the kernel, run PROGRAM, end it; return what was found, with "wrong" saying what failed, if so.

    seconds: the longest to wait for the start, and again for the program.
    """
    from jupyter_core.paths import jupyter_path, jupyter_runtime_dir

    absent = [name for name, path in SHARED.items() if not any(map(os.path.exists, jupyter_path(path)))]
    found = {"absent": absent, "prefix": sys.prefix}
    with tempfile.TemporaryDirectory(prefix="antlab-", ignore_cleanup_errors=True) as own:
        os.environ["JUPYTER_PREFER_ENV_PATH"] = "1"  # as the lessons are started
        folders = {"JUPYTER_RUNTIME_DIR": jupyter_runtime_dir(), "IPYTHONDIR": "~/.ipython"}
        os.environ["MPLCONFIGDIR"] = own
        for variable, folder in folders.items():
            if not Path(folder).expanduser().exists():  # else it is tried; nothing new is left behind
                os.environ[variable] = own
        started = time.monotonic()
        try:
            found["said"] = _run(own, seconds)
        except KernelError as error:
            found["wrong"] = str(error)
        except Exception as error:  # whatever it is, it is what the volunteer has to know
            found["wrong"] = " ".join(f"{type(error).__name__}: {error}".split())
        return found | {"seconds": time.monotonic() - started}


class KernelError(Exception):
    """The kernel did not do what a lesson asks of it."""


def _run(folder, seconds):
    from jupyter_client import KernelManager

    words = Path(folder, "words")
    manager = KernelManager(kernel_name="python3")
    with open(words, "wb") as said:
        try:
            manager.start_kernel(
                cwd=folder, stdout=said, stderr=said, extra_arguments=["--HistoryManager.enabled=False"]
            )
            client = manager.client()
            client.start_channels()
            try:
                client.wait_for_ready(timeout=seconds)
                return _ask(client, seconds)
            except (RuntimeError, TimeoutError, queue.Empty) as error:
                why = str(error) or f"no answer in {seconds:.0f} s"
                raise KernelError(why if manager.is_alive() else _last_line(words) or why) from None
            finally:
                client.stop_channels()
        finally:
            manager.shutdown_kernel(now=True)  # with its connection file


def _ask(client, seconds):
    said = []

    def listen(message):
        if message["msg_type"] == "stream":
            said.append(message["content"]["text"])

    answer = client.execute_interactive(PROGRAM, timeout=seconds, output_hook=listen, allow_stdin=False)
    answer = answer["content"]
    if answer["status"] != "ok":
        raise KernelError(f"{answer.get('ename')}: {answer.get('evalue')}")
    return "".join(said).splitlines()


def _last_line(words):
    lines = words.read_text(errors="replace").split("\n")
    return next((line.strip() for line in reversed(lines) if line.strip()), "")


if __name__ == "__main__":
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(1))  # ended from outside, it still ends its kernel
    print(json.dumps(trial(float(sys.argv[1]))))
