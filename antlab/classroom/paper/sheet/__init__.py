"""The sheet of an antenna, two pages of paper: one to build from, one to buy by."""

import io

import matplotlib as mpl
from matplotlib.backends.backend_pdf import PdfPages

from antlab import files
from antlab.classroom.paper.sheet.build import draw_build
from antlab.classroom.paper.sheet.buy import draw_buy
from antlab.classroom.paper.sheet.job import Job
from antlab.classroom.paper.sheet.page import STYLE_OF_PAPER

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
    """Draw the sheet and write it to a Path; the same plan gives the same file.

    A PDF has both pages; a picture is the page to build from, and beside it lies the one to buy by, with
    -to-buy in its name. force: whether over a file that exists. how: the rest of a Job. Raises OSError, Slip.
    """
    job, kind = Job(plan=plan, **how), path.suffix.lower()
    figures = [draw_page(page, job) for page in PAGES]
    with mpl.rc_context(STYLE_OF_PAPER):
        if kind == ".pdf":
            drawn = io.BytesIO()
            with PdfPages(drawn, metadata={"CreationDate": None}) as pdf:
                for figure in figures:
                    pdf.savefig(figure)
            files.write(path, drawn.getvalue(), force=force)
            return
        undated = {".svg": {"Date": None}, ".png": {"Software": None}}[kind]
        for where, figure in zip((path, beside(path)), figures, strict=True):
            drawn = io.BytesIO()
            figure.savefig(drawn, format=kind[1:], dpi=200, metadata=undated)
            files.write(where, drawn.getvalue(), force=force)


def beside(path):
    """Where the picture of the page to buy by lies. path: of the one to build from."""
    return path.with_name(f"{path.stem}-to-buy{path.suffix}")
