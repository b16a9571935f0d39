"""The command `antlab class`: what the class did not get."""

from pathlib import Path

from antlab.trouble import Trouble, expanded, print_safely, writing


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
    if not book.records and not book.asked:
        raise Trouble(
            f"there is no progress file in {folder}: each student's work folder has one, homework-….json."
        )
    print_safely(f"Wrote {target / 'class.html'} and {target / 'class.csv'}")
    return 0
