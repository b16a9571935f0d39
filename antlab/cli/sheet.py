"""The command `antlab sheet`: an antenna out of its file, as two pages to print, and what to buy."""

import sys
from pathlib import Path

from antlab.trouble import Trouble, expanded, print_safely, unwarned


def sheet_arguments(parser):
    """Name what `sheet` takes."""
    parser.add_argument("antenna", type=Path, metavar="NAME.json", help="the file of your antenna")
    parser.add_argument(
        "--save", metavar="FILE",
        help="draw its sheet, a page to build from and a page to buy by: FILE ends in .pdf, .png or .svg",
    )  # fmt: skip
    parser.add_argument("--force", action="store_true", help="write over FILE if it exists")
    paper_arguments(parser)


def paper_arguments(parser):
    """Name how a sheet may look, for each command that draws one."""
    paper = parser.add_argument_group("the sheet")
    paper.add_argument("--paper", default="A4", help="A4 or Letter (%(default)s)")
    first_argument(paper)
    paper.add_argument(
        "--class-of", default="1", metavar="N", help="what to buy for a class that builds N of them too"
    )


def first_argument(parser, of=""):
    """Name in which unit lengths come first."""
    parser.add_argument(
        "--first", default="metres", metavar="UNIT", help=f"{of}metres or feet first (%(default)s)"
    )


def first_asked(args):
    """Which unit first_argument named. Raises Slip."""
    from antlab.antenna.tape import Tape

    return Tape(first=args.first.lower()).first


def paper_asked(args):
    """What paper_arguments named, as a Job takes it. Raises Slip."""
    from antlab.antenna.parts import check_antennas
    from antlab.classroom.paper.sheet.page import paper_named

    number = check_antennas(int(args.class_of) if args.class_of.isdecimal() else args.class_of)
    paper_named(args.paper)
    return {"paper": args.paper, "first": first_asked(args), "antennas": number}


def run_sheet(args, rest):
    """Say what to buy for an antenna, and draw its sheet."""
    from antlab.antenna.antenna_file import read_antenna
    from antlab.antenna.parts import parts_text
    from antlab.antenna.plan import check_path
    from antlab.classroom.paper.sheet import write_pages
    from antlab.classroom.paper.sheet.job import Job

    asked = paper_asked(args)
    where = check_path(expanded(args.save), force=args.force) if args.save else None
    with unwarned():
        job = Job.of(read_antenna(expanded(args.antenna)), **asked)
    if where:
        try:
            write_pages(job, where, force=args.force)
        except OSError as error:
            raise Trouble(f"{where} can't be written ({error.strerror}): choose another name") from None
    print_safely(parts_text(job.parts, tape=job.tape, antennas=job.antennas))
    if where:
        print(f"Saved the sheet: {where}", file=sys.stderr)
    return 0
