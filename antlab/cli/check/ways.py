"""Which of the three ways to hold the course this machine can serve; README says what each can do."""

from antlab.cli.check.finding import note

PAGES, LAPTOP, SERVER = "pages only", "each laptop", "one server"
TABLE = "Which of three ways"  # the heading in README


def ways_served(place, trial):
    """Say it in a sentence or two: by the environment, and by the trial of its kernel."""
    makes_pages = not (place.wrong or place.lacking)
    runs_lessons = makes_pages and trial is not None and "wrong" not in trial
    can = [PAGES] * makes_pages + [LAPTOP] * runs_lessons + [SERVER] * (runs_lessons and place.hub)
    if not can:
        yield note(
            "Of the three ways to hold the course this machine can serve none yet; pages that another "
            "machine made need a browser alone."
        )
        return
    lacks = "" if place.hub else f" For {SERVER} it lacks JupyterHub, which a laptop does not need."
    told = f"{', '.join(can[:-1])} and {can[-1]}" if can[1:] else can[0]
    yield note(
        f"Of the three ways to hold the course this machine can serve {told}.{lacks}",
        f"What each way can do: README.md, under “{TABLE}”.",
    )
