"""Make again what is generated in a checkout: pictures, their words, outputs of notebooks, versions."""

import asyncio
import importlib.metadata
import os
import tomllib
from concurrent.futures import ThreadPoolExecutor

import nbformat
from nbclient import NotebookClient
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from antlab import files
from antlab.classroom.fieldday import FILES as MEASUREMENTS
from antlab.classroom.fieldday import text as measured
from antlab.classroom.figures import path_of, renewed, stored, with_alt
from antlab.classroom.homework.exercises import exercises
from antlab.files import VERSIONS
from antlab.trouble import COMMAND, Slip, Trouble

CELL_SECONDS = 120
IGNORED = "nbval-ignore-output"  # the tag of a cell whose output differs each time, such as a live view
SKIPPED = "nbval-skip"  # the tag of a cell that only a student runs, such as one that writes a file
ABOUT = {
    "kernelspec": {"display_name": "Python 3", "language": "python", "name": "python3"},
    "language_info": {"name": "python"},
}
META = "tags", "antlab"  # of a cell
KEPT = {"text/plain", "text/latex", "text/markdown"}


def refresh(root, names=()):
    """Refresh the checkout in root, or what names pick: parts of paths in it. Yields each path that changed.

    The versions for the first run only if they are named: they are those of a full run that has passed.
    Raises Trouble, before anything is made, for a name that picks nothing.
    """
    found = makers(root)
    picked = {name: _picked(name, root, found) for name in names}
    if lost := [repr(name) for name, paths in picked.items() if not paths]:
        raise Trouble(
            f"nothing that is generated here has {' or '.join(lost)} in its path, so nothing was refreshed: "
            "name a part of a path, such as 07, figures/lobes or README."
        )
    paths = set().union(*picked.values()) if names else set(found) - {root / VERSIONS}
    # what reads what is made here comes after it: pictures after measurements, notebooks last
    for path in sorted(paths, key=lambda path: (path.suffix == ".ipynb", path.suffix == ".svg", path)):
        old = path.read_text(encoding="utf-8") if path.exists() else ""
        if old != (fresh := found[path](old)):
            files.write(path, fresh.encode())
            yield path


def _picked(name, root, paths):
    """Those of paths, in root, that have name in them; a name that is empty picks none."""
    part = name.replace("\\", "/").removeprefix("./")
    return {path for path in paths if part and part in path.relative_to(root).as_posix()}


def makers(root):
    """What `refresh` makes: path -> function that takes what is stored there, or "", and returns its text."""
    found = {
        root / path_of(name, look): lambda old, name=name, look=look: renewed(old, name, look)
        for name, look in stored()
    }
    found |= {
        root / "notebooks" / "data" / file: lambda old, file=file: measured(file) for file in MEASUREMENTS
    }
    found |= {path: lambda old, path=path: executed(path) for path in notebooks(root)}
    for path in (root / "notebooks" / "answers").glob("*.ipynb"):
        found[root / "notebooks" / "homework" / path.name] = lambda old, path=path: executed(path, exercises)
    if (root / "pyproject.toml").is_file():
        found[root / VERSIONS] = lambda old: versions(root)
    return found | {path: with_alt for path in root.glob("*.md")}


def versions(root):
    """The versions here of all that root and its tests need, also indirectly, as constraints for pip.

    Raises Trouble where one of them is not installed.
    """
    project = tomllib.loads((root / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    waiting = list(map(Requirement, project["dependencies"] + project["optional-dependencies"]["test"]))
    found, seen = {}, set()
    while waiting:
        wanted = waiting.pop()
        if str(wanted) in seen:
            continue
        seen.add(str(wanted))
        try:
            package = importlib.metadata.distribution(wanted.name)
        except importlib.metadata.PackageNotFoundError:
            raise Trouble(f"{wanted.name} is not installed here: run {COMMAND} test first.") from None
        found[canonicalize_name(wanted.name)] = package.version.partition("+")[0]  # no name of a local build
        extras = [{"extra": extra} for extra in ("", *wanted.extras)]
        needs = map(Requirement, package.requires or ())
        waiting += [need for need in needs if not need.marker or any(map(need.marker.evaluate, extras))]
    return "".join(f"{name}=={found[name]}\n" for name in sorted(found))


def notebooks(root):
    """All notebooks of the course, in order."""
    paths = sorted((root / "notebooks").rglob("*.ipynb"))
    return [path for path in paths if ".ipynb_checkpoints" not in path.parts]


def executed(path, change=lambda notebook: notebook):
    """The text of a notebook, or of what change makes of it, run from a fresh kernel.

    Raises nbclient's CellExecutionError.
    """
    notebook = change(nbformat.read(path, as_version=4))
    execute(notebook, path.parent)
    return tidy(notebook)


def execute(notebook, folder):
    """Run a notebook in a fresh kernel that works in folder. Raises nbclient's CellExecutionError."""
    with Kernel(folder) as kernel:
        kernel.run(notebook)


class Kernel:
    """A kernel that works in folder, for several notebooks one after the other, while the `with` lasts."""

    def __init__(self, folder):
        self._folder, self._client = str(folder), None

    def __enter__(self):
        os.environ["JUPYTER_PREFER_ENV_PATH"] = "1"  # python3 is this environment's kernel
        self._thread = ThreadPoolExecutor(1)  # since the caller's may have a loop of its own running
        # the kind of loop that ZeroMQ can use by itself; on Windows it is not the usual one
        self._loop = asyncio.Runner(loop_factory=asyncio.SelectorEventLoop)
        return self

    def run(self, notebook):
        """Run a notebook in what the last one left, if it clears nothing. Raises CellExecutionError."""
        if self._client is None:
            self._client = NotebookClient(
                notebook, timeout=CELL_SECONDS, kernel_name="python3", coalesce_streams=True,
                resources={"metadata": {"path": self._folder}}, skip_cells_with_tag=SKIPPED,
                extra_arguments=["--IPKernelApp.log_level=ERROR"],
            )  # fmt: skip
        self._client.nb = notebook
        self._in_loop(self._client.async_execute, cleanup_kc=False)

    def __exit__(self, *_):
        if self._client and self._client.km:
            self._in_loop(self._client._async_cleanup_kernel)
        self._thread.submit(self._loop.close).result()
        self._thread.shutdown()

    def _in_loop(self, act, **how):
        self._thread.submit(lambda: self._loop.run(act(**how))).result()


def tidy(notebook):
    """The text of a notebook without what varies: no widget state, no times, counts from 1, META alone kept.

    Raises Slip for an output too varied or heavy to store.
    """
    notebook.metadata, notebook.nbformat_minor = ABOUT, 5
    count = 0
    for cell in notebook.cells:
        cell.metadata = {key: value for key, value in cell.metadata.items() if key in META}
        if cell.cell_type == "markdown":
            cell.source = with_alt(cell.source)
        if cell.cell_type == "code":
            count += 1
            cell.execution_count = count  # nbval asks for it where there is an output
            ignored = IGNORED in cell.metadata.get("tags", ())
            cell.outputs = [] if ignored else [_plain(output, cell, count) for output in cell.outputs]
    return nbformat.writes(notebook)


def _plain(output, cell, count):
    if output.output_type == "error":  # asked for by the tag raises-exception; the way there has paths in it
        named = "" if output.ename == Slip.__name__ else f"{output.ename}: "  # as a lesson shows it
        output.traceback = [named + output.evalue]
    if "data" in output:
        if odd := set(output.data) - KEPT:
            raise Slip(
                f"cell {cell.id} shows {', '.join(sorted(odd))}: store no such output; show a picture of "
                f"figures/ in the text, or tag the cell {IGNORED}"
            )
        output.metadata = {}
    if output.output_type == "execute_result":
        output.execution_count = count
    return output
