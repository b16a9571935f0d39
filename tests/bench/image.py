"""The image of a student's server (serve/cluster/Containerfile), made without a container engine.

    python tests/bench/image.py [--proxy PATH-OF-configurable-http-proxy --students 2]

Line by line: a folder stands for the image's files, a fresh environment for its Python, of the version that
runs this. With --proxy a JupyterHub of the image's own version starts students' servers by its command.
"""

import argparse
import json
import os
import re
import shlex
import shutil
import subprocess
import sys
import tempfile
import venv
from pathlib import Path

from antlab.files import ROOT
from antlab.serve import singleuser

CONTAINERFILE = Path(singleuser.__file__).parent / "cluster" / "Containerfile"
BACKEND = "hatchling"  # what builds the package; where there is no network, the one that is here
ACCOUNTS = {"passwd": "root:x:0:0:root:/root:/bin/sh\n", "group": "root:x:0:\nusers:x:100:\n", "shadow": ""}


def instructions(text):
    """Each instruction of a Containerfile: its name and its words."""
    lines = [line for line in text.replace("\\\n", " ").splitlines() if line.strip() and line[0] != "#"]
    return [tuple(line.split(maxsplit=1)) for line in lines]


class Image:
    """What a Containerfile makes: files below root, an environment, and the command that runs there.

    alone: nothing is fetched, so that of the packages there is antlab without what it needs. skipped: what
    could not be run here. Another instruction than those below is an AttributeError.
    """

    def __init__(self, folder, *, alone=False):
        self.root, self.python, self.alone = folder / "root", folder / "venv" / "bin" / "python", alone
        self.given, self.command, self.base, self.user, self.at, self.skipped = {}, [], "", "", "/", []
        venv.create(folder / "venv", symlinks=True)
        for name, text in ACCOUNTS.items():
            (self.root / "etc").mkdir(parents=True, exist_ok=True)
            (self.root / "etc" / name).write_text(text)
        (self.root / "home").mkdir()

    def build(self, text):
        """Follow every instruction."""
        for name, words in instructions(text):
            getattr(self, f"_{name.lower()}")(words)
        return self

    def place(self, path):
        """Where a path of the image lies here."""
        return self.root / path.lstrip("/")

    def _from(self, words):
        self.base = words

    def _arg(self, words):
        self._env(words)

    def _env(self, words):
        name, value = words.split("=", 1)
        self.given[name] = value

    def _user(self, words):
        self.user = words

    def _workdir(self, words):
        self.at = words
        self.place(words).mkdir(parents=True, exist_ok=True)

    def _cmd(self, words):
        self.command = json.loads(words)

    def _copy(self, words):
        *sources, target = shlex.split(words)
        there = self.place(target)
        there.mkdir(parents=True, exist_ok=True)
        for source in (ROOT / name for name in sources):
            if source.is_dir():  # its content, as a container engine has it
                leave = shutil.ignore_patterns("__pycache__", ".*")
                shutil.copytree(source, there, dirs_exist_ok=True, ignore=leave)
            else:
                shutil.copy(source, there)

    def _run(self, words):
        words = re.sub(r"\$\{(\w+)\}", lambda found: self.given[found[1]], words)
        program, *rest = (re.sub(r"^/(?=course)", f"{self.root}/", word) for word in shlex.split(words))
        if program == "pip":
            command = [sys.executable, "-m", "pip", "--python", str(self.python), *rest]
            if self.alone:
                command = [word for word in command if "==" not in word]
                command += ["--no-deps", "--no-index", "--no-build-isolation"]
        elif program == "useradd" and os.geteuid() == 0 and shutil.which(program):
            command = [program, "--prefix", str(self.root), *rest]
        else:
            self.skipped.append(words)
            return
        said = subprocess.run(command, cwd=self.root, env=self._around(), capture_output=True, text=True)
        assert not said.returncode, f"{words}\n{said.stdout}{said.stderr}"

    def _around(self):
        clean = {name: os.environ[name] for name in os.environ if not name.startswith(("JUPYTER", "PYTHON"))}
        backend = {"PYTHONPATH": str(Path(__import__(BACKEND).__file__).parents[1])} if self.alone else {}
        return clean | backend

    def start(self, **more):
        """Run the image's command in its home, as a container would, with more variables; what came of it."""
        where = {"PATH": f"{self.python.parent}{os.pathsep}{os.defpath}"}
        home = {name: str(self.place(value)) for name, value in self.given.items() if name == "HOME"}
        return subprocess.run(
            self.command, cwd=self.place(self.at), env=self.given | where | home | more,
            capture_output=True, text=True, timeout=60,
        )  # fmt: skip


def main():
    """Make the image, start its command, and with a proxy a class on it; return the exit status."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0], allow_abbrev=False)
    parser.add_argument("--proxy", help="JupyterHub's proxy, of npm: start a class on it as well")
    parser.add_argument("--students", default="2", help="how many (%(default)s)")
    args = parser.parse_args()
    with tempfile.TemporaryDirectory(prefix="antlab-image-") as folder:
        image = Image(Path(folder)).build(CONTAINERFILE.read_text(encoding="utf-8"))
        print(f"FROM {image.base}: run with Python {sys.version.split()[0]}; not run: {image.skipped}")
        print(image.start().stderr.strip())
        if not args.proxy:
            return 0
        pip = [sys.executable, "-m", "pip", "--quiet", "--python", str(image.python), "install"]
        subprocess.run([*pip, "jupyterhub-idle-culler"], check=True)  # the hub's, not the student's
        load = Path(__file__).with_name("load_hub.py")
        words = ["--students", args.students, "--proxy", args.proxy]
        return subprocess.run([image.python, load, *words], cwd=folder, env=image._around()).returncode


if __name__ == "__main__":
    sys.exit(main())
