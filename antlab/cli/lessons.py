"""The command `antlab lessons`: the lessons in JupyterLab."""

import os
from pathlib import Path

from antlab.classroom import course
from antlab.serve import jupyter, ports, work
from antlab.trouble import FRESH


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
