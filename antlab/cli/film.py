"""The command `antlab film`: a live view as a moving picture."""

from pathlib import Path

from antlab.trouble import Trouble, expanded, print_safely, writing


def film_arguments(parser):
    """Name what `film` takes."""
    parser.add_argument("view", metavar="VIEW", help="such as height; an unknown one is answered with all")
    parser.add_argument(
        "--save", type=Path, metavar="FILE", required=True, help="lobes.gif, or .mp4 by ffmpeg"
    )
    parser.add_argument("--drag", metavar="SLIDER", help="which slider goes, such as height_m")
    parser.add_argument("--first", type=float, metavar="VALUE", help="where it begins (its lowest)")
    parser.add_argument("--last", type=float, metavar="VALUE", help="where it ends (its highest)")
    parser.add_argument(
        "--set", metavar="NAME=VALUE", nargs="+", action="extend", default=[],
        help="where another slider stands, or a choice, such as soil=average low=40m",
    )  # fmt: skip
    parser.add_argument("--seconds", type=float, default=10.0, metavar="S", help="how long (%(default)g)")
    parser.add_argument("--force", action="store_true", help="write over a file that is there")


def run_film(args, rest):
    """Write the moving picture, and say where."""
    from antlab.classroom import live
    from antlab.classroom.paper.reel import write_reel

    view = live.VIEWS.get(args.view)
    if view is None:
        raise Trouble(f"there is no view {args.view[:40]}: the views are {', '.join(sorted(live.VIEWS))}")
    how = {"drag": args.drag, "first": args.first, "last": args.last, "seconds": args.seconds}
    path = expanded(args.save)
    with writing(path.parent, "--save"):
        path = write_reel(view, path, force=args.force, **how, **_given(view, args.set))
    print_safely(f"Wrote {path} ({path.stat().st_size / 1e6:.1f} MB)")
    return 0


def _given(view, pairs):
    """What --set gave, by name; Trouble for what the view has not."""
    given = {}
    for pair in pairs:
        name, _, text = pair.partition("=")
        if name in view.positions:
            try:
                given[name] = float(text)
            except ValueError:
                raise Trouble(f"--set {name} wants a number behind its =, such as {name}=10") from None
        elif name in view.choices:
            offered = {str(getattr(one, "name", one)): one for one in view.choices[name]}
            if text not in offered:
                raise Trouble(f"--set {name} is one of {', '.join(offered)}")
            given[name] = offered[text]
        else:
            known = ", ".join([*view.positions, *view.choices])
            raise Trouble(f"{view.__name__} has no {name[:30]}: --set takes {known}")
    return given
