"""The sheet of an antenna, two pages of paper: one to build from, one to buy by."""

import io

import matplotlib as mpl

from antlab import files
from antlab.antenna.plan import beside
from antlab.classroom.paper.sheet.build import draw_build
from antlab.classroom.paper.sheet.buy import draw_buy
from antlab.classroom.paper.sheet.job import Job
from antlab.classroom.paper.sheet.page import SIZE, STYLE_OF_PAPER

__all__ = ["SIZE", "beside", "build_sheet", "buy_sheet", "draw_page", "write_pages", "write_sheet"]
PAGES = {"build": draw_build, "buy": draw_buy}


def build_sheet(plan, **how):
    """Draw the page to build from. plan: a Plan. how: the rest of a Job. Returns the matplotlib figure."""
    return draw_page("build", Job(plan=plan, **how))


def buy_sheet(plan, **how):
    """Draw the page to buy by. plan: a Plan. how: the rest of a Job. Returns the matplotlib figure."""
    return draw_page("buy", Job(plan=plan, **how))


def draw_page(page, job):
    """Draw one of PAGES. job: a Job. Returns the matplotlib figure."""
    with mpl.rc_context(STYLE_OF_PAPER):
        return PAGES[page](job)


def write_sheet(plan, path, *, force=False, **how):
    """Draw the sheet of a Plan and write it to a Path. how: the rest of a Job. All else as write_pages."""
    write_pages(Job(plan=plan, **how), path, force=force)


def write_pages(job, path, *, force=False):
    """Draw both pages and write them to a Path; the same Job gives the same file.

    A PDF has both; a picture is the page to build from, and `beside` it lies the one to buy by. force:
    whether over files that exist. Raises OSError, also where one is in the way.
    """
    figures, kind = [draw_page(page, job) for page in PAGES], path.suffix.lower()
    undated = {".pdf": {"CreationDate": None}, ".svg": {"Date": None}, ".png": {"Software": None}}[kind]
    drawn = [io.BytesIO()] if kind == ".pdf" else [io.BytesIO() for _ in figures]
    with mpl.rc_context(STYLE_OF_PAPER):
        if kind == ".pdf":
            from matplotlib.backends.backend_pdf import PdfPages  # slow to come, and stills do without it

            with PdfPages(drawn[0], metadata=undated) as pdf:
                for figure in figures:
                    pdf.savefig(figure)
        else:
            for figure, file in zip(figures, drawn, strict=True):
                figure.savefig(file, format=kind[1:], dpi=200, metadata=undated)
    for where, file in zip((path, beside(path)), drawn, strict=False):
        files.write(where, file.getvalue(), force=force)
