"""The command `antlab refresh`: what is generated, made again."""

from antlab.files import ROOT
from antlab.trouble import Trouble


def refresh_arguments(parser):
    """Name what `refresh` takes."""
    parser.add_argument(
        "names", nargs="*", metavar="NAME", help="part of a path; without any, all but the versions"
    )


def run_refresh(args, rest):
    """Make figures and the outputs stored in notebooks again."""
    if not (ROOT / "notebooks").is_dir():
        raise Trouble("an installed antlab has nothing to refresh: run this in a checkout.")
    from antlab.classroom.refresh import refresh

    for path in refresh(ROOT, args.names):
        print(f"Refreshed {path.relative_to(ROOT)}", flush=True)
    return 0
