"""The command line: which commands there are, and how what the user can mend is said."""

import argparse
import os
import sys
from collections.abc import Callable
from dataclasses import dataclass

import antlab.cli.quick  # noqa: F401  (before anything of Jupyter's)
from antlab import __version__
from antlab.cli.class_table import class_arguments, run_class
from antlab.cli.collect import collect_arguments, run_collect
from antlab.cli.film import film_arguments, run_film
from antlab.cli.firstrun import settle, take_utf8
from antlab.cli.handouts import handouts_arguments, run_handouts
from antlab.cli.homework import homework_arguments, run_homework
from antlab.cli.lessons import lessons_arguments, run_lessons, work_arguments
from antlab.cli.pages import pages_arguments, run_pages
from antlab.cli.plan import plan_arguments, run_plan
from antlab.cli.refresh import refresh_arguments, run_refresh
from antlab.cli.sheet import run_sheet, sheet_arguments
from antlab.cli.tests import run_tests
from antlab.cli.trim import run_trim, trim_arguments
from antlab.trouble import Slip, Trouble, our_mistake, traced


def run_check(args, rest):
    """Say whether this machine is ready."""
    from antlab.cli.check import run_check  # brings much along that no other command needs

    return run_check(args, rest)


@dataclass(frozen=True)
class Command:
    """One command: its help, what runs it, its arguments, and the extra of pyproject.toml that it needs."""

    help: str
    run: Callable[[argparse.Namespace, list[str]], int]
    arguments: Callable[[argparse.ArgumentParser], None] = lambda parser: None
    extra: str = ""
    passes_on: bool = False  # arguments that it doesn't know go to the program that it runs
    settles: bool = True  # the environment is made first, where there is none


COMMANDS = {
    "lessons": Command("open the lessons in JupyterLab (the default)", run_lessons, lessons_arguments),
    "test": Command("run all tests; further arguments go to pytest", run_tests, extra="test", passes_on=True),
    "check": Command("say whether this machine is ready", run_check, work_arguments, settles=False),
    "refresh": Command(
        "for contributors: make figures and stored outputs again", run_refresh, refresh_arguments, "test"
    ),
    "plan": Command("plan a two-band trap dipole for your yard", run_plan, plan_arguments),
    "trim": Command("say what to change on your antenna, by a sweep of it", run_trim, trim_arguments),
    "sheet": Command("print an antenna of yours: to build from, to buy by", run_sheet, sheet_arguments),
    "pages": Command("make each live view a page for phones; serve them", run_pages, pages_arguments),
    "handouts": Command(
        "make each lesson a handout to print and slides to project", run_handouts, handouts_arguments
    ),
    "film": Command(
        "make a live view a moving picture, its slider or its clock going", run_film, film_arguments
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
    """Run one command; return its exit status: 2 for what the user can mend, 1 for a mistake of ours."""
    argv = list(sys.argv[1:] if argv is None else argv)
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # small matrices: threads only get in each other's way
    # JupyterLab would load it through jsonschema, for seconds, to check addresses that no schema of its has.
    sys.modules.setdefault("rfc3987_syntax", None)
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
    except (Trouble, Slip) as trouble:
        print(f"antlab: {trouble}", file=sys.stderr)
        return 2
    except Exception as error:
        print(traced(error), end="", file=sys.stderr)
        print(f"antlab: {our_mistake(error)}", file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        print(file=sys.stderr)
        return 130
