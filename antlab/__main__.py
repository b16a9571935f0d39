"""The command line: python3 -m antlab [command]."""

import os
import sys

if sys.version_info < (3, 11):  # noqa: UP036  (a checkout is run before any installer has looked at this)
    sys.stderr.write(
        "antlab: Python {}.{} is too old: install Python 3.11 or newer and run this again with it, "
        "such as python3.12 -m antlab.\n".format(*sys.version_info)
    )
    sys.exit(2)

import argparse
import subprocess
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from antlab import __version__
from antlab.classroom import course
from antlab.cli.check import run_check
from antlab.cli.collect import collect_arguments, run_collect
from antlab.cli.firstrun import settle, take_utf8
from antlab.cli.handouts import handouts_arguments, run_handouts
from antlab.cli.pages import pages_arguments, run_pages
from antlab.cli.plan import plan_arguments, run_plan
from antlab.files import ROOT
from antlab.serve import jupyter, ports, work
from antlab.trouble import FRESH, Trouble, expanded, print_safely, writing


@dataclass(frozen=True)
class Command:
    """One command: its help, what runs it, its arguments, and the extra of pyproject.toml that it needs."""

    help: str
    run: Callable[[argparse.Namespace, list[str]], int]
    arguments: Callable[[argparse.ArgumentParser], None] = lambda parser: None
    extra: str = ""
    passes_on: bool = False  # arguments that it doesn't know go to the program that it runs
    settles: bool = True  # the environment is made first, where there is none


def work_arguments(parser):
    """Name where the lessons are and where they are served."""
    parser.add_argument(
        "--folder", type=Path, default=work.WORK_FOLDER, help="your work folder (%(default)s)"
    )
    parser.add_argument(
        "--port", type=ports.port_number, help="port on this machine (the first free from 8888 on)"
    )


def lessons_arguments(parser):
    """Name what `lessons` takes."""
    work_arguments(parser)
    parser.add_argument("--no-browser", action="store_true", help="print the address, open no browser")
    parser.add_argument(FRESH, action="store_true", help="make the environment afresh first, by the internet")
    parser.add_argument(
        "--projector", action="store_true", help="for a hall: large type, thick lines, high contrast"
    )


def run_lessons(args, rest):
    """Open the lessons in JupyterLab."""
    if args.projector:
        os.environ[course.LOOK] = "projector"
    return jupyter.open_lessons(args.folder, port=args.port, browser=not args.no_browser)


def run_tests(args, rest):
    """Run pytest on the tests and, cell by cell, on the notebooks; rest goes to pytest."""
    if not (ROOT / "tests").is_dir():
        raise Trouble("the tests are not part of an installed antlab: run this in a checkout.")
    named = any(Path(ROOT, word.split("::")[0]).exists() for word in rest if not word.startswith("-"))
    paths = [] if named else [name for name in ("notebooks", "tests") if (ROOT / name).is_dir()]
    command = [sys.executable, "-m", "pytest", "--nbval", "--nbval-current-env", "--nbval-cell-timeout=120"]
    return subprocess.run([*command, *paths, *rest], cwd=ROOT).returncode


def refresh_arguments(parser):
    """Name what `refresh` takes."""
    parser.add_argument("names", nargs="*", metavar="NAME", help="part of a path; without any, everything")


def run_refresh(args, rest):
    """Make figures and the outputs stored in notebooks again."""
    if not (ROOT / "notebooks").is_dir():
        raise Trouble("an installed antlab has nothing to refresh: run this in a checkout.")
    from antlab.classroom.refresh import refresh

    for path in refresh(ROOT, args.names):
        print(f"Refreshed {path.relative_to(ROOT)}", flush=True)
    return 0


def class_arguments(parser):
    """Name what `class` takes."""
    parser.add_argument("folder", type=Path, help="where the students' progress files are")
    parser.add_argument("--to", type=Path, metavar="FOLDER", help="where the table goes (the same folder)")


def run_class(args, rest):
    """Show what the class did not get, and write the table as a page and for a spreadsheet."""
    from antlab.classroom.homework.classbook import write_class

    folder, target = expanded(args.folder), expanded(args.to or args.folder)
    if not folder.is_dir():
        raise Trouble(f"there is no folder {folder}: name the one with the students' progress files.")
    with writing(target, "--to"):
        book = write_class(folder, target)
    print_safely(book.text())
    if not book.records:
        raise Trouble(
            f"there is no progress file in {folder}: each student's work folder has one, homework-….json."
        )
    print_safely(f"Wrote {target / 'class.html'} and {target / 'class.csv'}")
    return 0


def homework_arguments(parser):
    """Name what `homework` takes."""
    parser.add_argument("name", help="call sign or nickname, as the student typed it, two words in quotes")
    parser.add_argument("--lesson", metavar="NN", help="one lesson, such as 03 (without it, all)")


def run_homework(args, rest):
    """Print one student's numbers and the answers that are expected, for the instructor."""
    from antlab.classroom.homework import expected
    from antlab.classroom.homework.problems import LESSONS, lesson

    try:
        for number in [args.lesson.zfill(2)] if args.lesson else LESSONS:
            print_safely(expected(lesson(number, args.name)), end="\n\n")
    except ValueError as error:
        raise Trouble(str(error)) from None
    return 0


COMMANDS = {
    "lessons": Command("open the lessons in JupyterLab (the default)", run_lessons, lessons_arguments),
    "test": Command("run all tests; further arguments go to pytest", run_tests, extra="test", passes_on=True),
    "check": Command("say whether this machine is ready", run_check, work_arguments, settles=False),
    "refresh": Command(
        "for contributors: make figures and stored outputs again", run_refresh, refresh_arguments, "test"
    ),
    "plan": Command("plan a two-band trap dipole for your yard", run_plan, plan_arguments),
    "pages": Command("make each live view a page for phones; serve them", run_pages, pages_arguments),
    "handouts": Command(
        "make each lesson a handout to print and slides to project", run_handouts, handouts_arguments
    ),
    "collect": Command(
        "for instructors, on a server: fetch the homework out of the homes", run_collect, collect_arguments
    ),
    "class": Command("for instructors: what the class did not get", run_class, class_arguments),
    "homework": Command("for instructors: a student's numbers and answers", run_homework, homework_arguments),
}


class Parser(argparse.ArgumentParser):
    """A parser that answers a slip in one line, as every Trouble does."""

    def error(self, message):
        """Say what is wrong and where the mend is told, and leave with exit status 2."""
        self.exit(2, f"antlab: {message}; {self.prog} --help tells more.\n")


def build_parser():
    """Return the parser of the whole command line."""
    parser = Parser(
        prog="antlab",
        description="Lessons on HF antennas. The first run makes their environment beside the checkout.",
        epilog="Without a command the lessons open; --folder, --port, --no-browser and --projector may stand "
        "alone then. "
        "antlab COMMAND --help tells what a command takes.",
        allow_abbrev=False,
    )
    parser.add_argument("--version", action="version", version=__version__)
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", required=True)
    for name, command in COMMANDS.items():
        command.arguments(
            commands.add_parser(name, help=command.help, description=command.help, allow_abbrev=False)
        )
    return parser


def main(argv=None):
    """Run one command; return its exit status: 2 for what the user can mend, said in a sentence."""
    argv = list(sys.argv[1:] if argv is None else argv)
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # small matrices: threads only get in each other's way
    take_utf8(argv)
    if not argv or (argv[0].startswith("-") and argv[0] not in ("-h", "--help", "--version")):
        argv.insert(0, "lessons")
    parser = build_parser()
    args, rest = parser.parse_known_args(argv)
    command = COMMANDS[args.command]
    if rest and not command.passes_on:
        more = f"antlab {args.command} --help tells more"
        parser.exit(2, f"antlab: {args.command} can do nothing with {' '.join(rest)}; {more}.\n")
    try:
        if command.settles:
            settle(command.extra, argv)
        return command.run(args, rest)
    except Trouble as trouble:
        print(f"antlab: {trouble}", file=sys.stderr)
        return 2
    except KeyboardInterrupt:
        print(file=sys.stderr)
        return 130


if __name__ == "__main__":
    sys.exit(main())
