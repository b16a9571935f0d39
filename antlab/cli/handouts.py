"""The command `antlab handouts`: what a volunteer prints and projects, in one folder."""

import re
from pathlib import Path
from urllib.parse import urlsplit

from antlab.classroom.paper.chromium import find_chromium
from antlab.trouble import Trouble, expanded, print_safely, writing


def handouts_arguments(parser):
    """Name what `handouts` takes."""
    where = Path("antlab-handouts")
    parser.add_argument("--lesson", metavar="NN", nargs="+", action="extend", help="such as 07 (all of them)")
    parser.add_argument("--pdf", action="store_true", help="also as PDF, by Chromium, Chrome or Edge")
    parser.add_argument("--paper", metavar="SIZE", default="a4", help="a4 or letter (%(default)s)")
    parser.add_argument(
        "--class-of", default="12", metavar="N", help="how many students: parts and copies (%(default)s)"
    )
    parser.add_argument("--folder", type=Path, default=where, help="where to (%(default)s)")
    parser.add_argument(
        "--pages", metavar="ADDRESS", default="",
        help="of the phone pages in the hall, such as http://192.168.1.20:8000/: links and QR codes to them",
    )  # fmt: skip


def run_handouts(args, rest):
    """Write the pack, and say each file."""
    expanded("~")  # Jupyter can't do without a home
    from antlab.antenna.parts import check_antennas
    from antlab.classroom.paper.handouts import PAPERS, Press, lessons
    from antlab.classroom.paper.pack import Pack

    known, paper, folder = lessons(), args.paper.lower(), expanded(args.folder)
    numbers = sorted({number.zfill(2) for number in args.lesson or known})
    if unknown := [number for number in numbers if number not in known]:
        raise Trouble(f"there is no lesson {unknown[0]}: name some of {', '.join(known)} with --lesson")
    if paper not in PAPERS:
        raise Trouble(f"--paper {args.paper} is not known here: take a4 or letter")
    students = check_antennas(int(args.class_of) if args.class_of.isdecimal() else args.class_of)
    phones, chromium = _address(args.pages), find_chromium() if args.pdf else None
    with writing(folder):
        for path in Pack(Press(folder, paper, phones, chromium or ""), students).write(numbers):
            print_safely(f"Wrote {path}")
    if args.pdf and not chromium:
        raise Trouble(
            "no PDF, since there is no Chromium, Chrome or Edge here: install one, or open each page in "
            f"your browser and print it to a file (Ctrl-P, {PAPERS[paper]}, without headers and footers)."
        )
    return 0


def _address(text):
    """The address of a folder on a network, or of a page in it: the folder, with its slash; none stays none.

    Raises Trouble for all else.
    """
    text = re.sub(r"(?<=[^/]/)[^/]+\.html$", "", text)  # as copied from a browser
    try:
        parts = urlsplit(text)
        plain = parts.hostname and (parts.port or True) and not (parts.query or parts.fragment or "@" in text)
    except ValueError:  # a port that is none
        plain = False
    if text and not (plain and re.fullmatch(r"https?://[^\s\"'<>\\^`{|}]{1,200}", text)):
        raise Trouble(
            f"--pages {text} is no address of phone pages: give what `antlab pages --serve` prints, such as "
            "http://192.168.1.20:8000/"
        )
    return text if text.endswith("/") or not text else f"{text}/"
