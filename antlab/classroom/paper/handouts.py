"""Handouts and slides: each lesson as one file of HTML to print and one to project, which ask for nothing.

For a handout a lesson is run in a kernel that shows still twins in place of live views. nbconvert then fills
our own templates: pictures travel as data, formulas as MathML, and no page knows of another machine, but for
the address of the phone pages where one is given.
"""

import base64
import html
import os
import re
import tempfile
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from queue import SimpleQueue
from urllib.parse import quote, urljoin

import nbformat
from jinja2 import FileSystemLoader
from jupyter_client.kernelspec import NoSuchKernel
from latex2mathml.converter import convert
from nbclient.exceptions import CellControlSignal
from nbconvert.exporters import TemplateExporter
from nbconvert.filters.markdown_mistune import IPythonRenderer, MarkdownWithMath
from traitlets.config import Config

from antlab import files
from antlab.classroom import course
from antlab.classroom.figures import FIGURES
from antlab.classroom.paper import pages, qr, slides
from antlab.classroom.paper.chromium import LARGEST_PDF, print_pdf
from antlab.classroom.paper.pieces import aspect_of, pieces, sections
from antlab.classroom.refresh import Kernel
from antlab.classroom.tags import CAUTION, INSTRUCTOR
from antlab.trouble import Trouble

KINDS = "handout", "slides"
ENDINGS = ".html", ".pdf"  # of files
PAPERS = {"a4": "A4", "letter": "Letter"}  # as style sheets call them
TEMPLATES = Path(__file__).with_name("templates")
SVG = "image/svg+xml"
IMAGES = {".svg": SVG, ".png": "image/png", ".jpg": "image/jpeg"}
AT_ONCE = 2  # lessons; each runs a kernel, and a browser where PDFs are wanted
WORDS = {
    "caution": "Caution",
    "next": "Next:",
    "phone": "On your phone:",
    "slide": "Slide {} of {}",
}
TITLE = "antlab {} {}"  # of a page, and so of its PDF: kind, lesson


def lessons():
    """The lessons of the installed course, number -> path."""
    return {path.name[:2]: path for path in course.lessons(course.course())}


@dataclass(frozen=True)
class Press:
    """Makes handouts and slides.

    folder: where to. paper: of PAPERS. phones: address of the phone pages, or none.
    chromium: the browser that prints PDFs, or none.
    """

    folder: Path
    paper: str = "a4"
    phones: str = ""
    chromium: str = ""

    def write(self, numbers, beside=None, numbered=None, index=None):
        """Write the lessons of these numbers; yield each path as it is made.

        beside: more pages of ours, name -> a function that makes its HTML. numbered: of some of them a
        function that makes it again, given the PDF that was printed, with its pages' numbers. index: a
        function that makes the page "index" in the end.
        Raises FileExistsError before any work if a file in the way is not ours, OSError for a folder that
        can't be written, and Trouble of a lesson or a browser that fails.
        """
        beside = beside or {}
        endings = ("html", "pdf") if self.chromium else ("html",)
        stems = [*(f"{number}-{kind}" for number in numbers for kind in KINDS), *beside]
        names = [f"{stem}.{end}" for stem in stems for end in endings]
        for path in (self.folder / name for name in ["index.html", *names]):
            if os.path.lexists(path) and not is_ours(path):
                raise FileExistsError(f"{path} was not made by antlab: choose another folder with --folder")
        if self.folder.exists() and not self.folder.is_dir():
            raise FileExistsError(f"{self.folder} is a file: choose a folder with --folder")
        self.folder.mkdir(parents=True, exist_ok=True)
        tempfile.TemporaryFile(dir=self.folder).close()  # what can't be written to shows before the work
        with ExitStack() as stack:
            idle, kernels = SimpleQueue(), min(AT_ONCE, len(numbers))
            for _ in range(kernels):
                idle.put(stack.enter_context(Kernel(lessons()[numbers[0]].parent)))
            workers = stack.enter_context(ThreadPoolExecutor(kernels))
            made = workers.map(lambda number: list(self._handout(number, numbers, idle)), numbers)
            for number, handout in zip(numbers, made, strict=True):
                yield from handout
                yield from self._slides(number, numbers)  # drawn in this thread: Matplotlib wants to be alone
        for name, make in beside.items():
            yield from self._page(name, make, (numbered or {}).get(name))
        if index:
            path = self.folder / "index.html"
            files.write(path, index().encode())
            yield path

    def _page(self, name, make, again=None):
        path = self.folder / f"{name}.html"
        files.write(path, (text := make()).encode())
        yield path
        if self.chromium:
            pdf = path.with_suffix(".pdf")
            print_pdf(text, pdf, chromium=self.chromium)
            if again and (counted := again(files.read(pdf, most=LARGEST_PDF))) != text:
                print_pdf(counted, pdf, chromium=self.chromium)
            yield pdf

    def _handout(self, number, numbers, idle):
        kernel = idle.get()
        try:
            notebook = twins(lessons()[number], kernel)
        finally:
            idle.put(kernel)
        return self._pages(
            "handout", number, numbers, partial(export, notebook, paper=self.paper, phones=self.phones)
        )

    def _slides(self, number, numbers):
        notebook = nbformat.read(lessons()[number], as_version=4)
        deck = slides.illustrated(notebook)
        return self._pages("slides", number, numbers, partial(project, notebook, deck, phones=self.phones))

    def _pages(self, kind, number, numbers, make):
        path = self.folder / f"{number}-{kind}.html"
        there = {
            lesson.name: f"{one}-{kind}.html" for one, lesson in lessons().items()
            if one in numbers or (self.folder / f"{one}-{kind}.html").exists()
        }  # fmt: skip
        files.write(path, make(links=there).encode())
        yield path
        if self.chromium:  # without links to the others: in a PDF they would be this machine's paths
            pdf = path.with_suffix(".pdf")
            print_pdf(make(), pdf, chromium=self.chromium)
            yield pdf


def is_ours(path):
    """Whether a file was made here: a page bears our mark, a PDF the title of such a page."""
    if path.suffix != ".pdf":
        return pages.is_ours(path)
    try:
        content = files.read(path, most=LARGEST_PDF)
    except OSError:
        return False
    return f"({TITLE.format('', '').rstrip()} ".encode() in content


def twins(path, kernel=None):
    """The notebook at path, run anew with a still twin in place of each live view; Trouble if that fails.

    kernel: a Kernel that may have run others; if none, one of its own.
    """
    if kernel is None:
        with Kernel(path.parent) as kernel:
            return twins(path, kernel)
    notebook = nbformat.read(path, as_version=4)
    switch = "%reset -f\nfrom antlab.classroom.paper.stills import show_stills\nshow_stills()"
    notebook.cells.insert(0, nbformat.v4.new_code_cell(switch))
    try:
        kernel.run(notebook)
    except (CellControlSignal, NoSuchKernel, OSError, RuntimeError) as error:  # of a cell, or of its kernel
        last = (str(error).strip().splitlines() or ["nothing"])[-1]
        raise Trouble(
            f"the lesson {path.stem} fails here; `antlab check` looks for the cause. It said: {last}"
        ) from None
    del notebook.cells[0]
    return notebook


def title_of(notebook):
    """A lesson's number and name, from its first heading, in letters that a PDF keeps as they are."""
    heading = re.search(r"^# (.+)$", "\n".join(cell.source for cell in notebook.cells), re.MULTILINE)
    return lettered(heading[1]) if heading else ""


def lettered(title):
    """A title in letters that a PDF keeps as they are."""
    return re.sub(r"[^\w ,.'-]+", "", title).replace("  ", " ")


def export(notebook, *, paper="a4", phones="", links=None):
    """The handout of a notebook that was run, as text of HTML.

    paper: of PAPERS. phones: address of the phone pages; none leaves them out.
    links: notebook's name -> the page that it becomes; a link to any other becomes plain text.
    """
    about = about_page("handout", title_of(notebook), paper=PAPERS[paper])
    return Exporter("handout", phones, links or {}).from_notebook_node(notebook, about)[0]


def project(notebook, deck, *, phones="", links=None):
    """The slides of a lesson as text of HTML.

    deck: its slides.Slides, with their pictures. phones, links: as export takes them.
    """
    about = about_page("slides", title_of(notebook), words=WORDS)
    return Exporter("slides", phones, links or {}).template.render(slides=deck, resources=about)


def about_page(kind, lesson="", **more):
    """What the templates ask of every page of ours: its mark, title and lesson; and more."""
    return {"mark": pages.OURS, "title": TITLE.format(kind, lesson).strip(), "lesson": lesson} | more


class Exporter(TemplateExporter):
    """nbconvert, with our templates and filters and without instructor cells. filters: more of them."""

    def __init__(self, kind, phones="", links=None, filters=None):
        renderer = _Renderer(links)
        reader = MarkdownWithMath(renderer=renderer)

        def layout(notebook, resources):
            return notebook, resources | {"sections": sections(pieces(notebook))}

        def phone(view):
            return urljoin(phones, f"{view}.html") if phones and view in pages.views() else ""

        def words(piece):
            if piece.about == CAUTION:
                return f'<div class="{CAUTION}">{reader.render(piece.text)}</div>'
            renderer.about = piece.about
            made = reader.render(piece.text)
            renderer.about = ""
            return made

        def said(markdown):
            """Words of a slide, in which no line ends between a number and its unit."""
            made = reader.render(re.sub(r"(?<=\d) (?=\S)", "\N{NO-BREAK SPACE}", markdown))
            return re.sub(r"</?p>", "", made).strip()

        filters = {
            "words": words, "said": said, "markdown": reader.render, "mathml": formula,
            "data_uri": _data_uri, "qr": qr.svg, "phone": phone, "listed": _listed,
        } | (filters or {})  # fmt: skip
        super().__init__(
            extra_loaders=[FileSystemLoader(TEMPLATES)], template_file=f"{kind}.html.j2", filters=filters,
            config=Config({"TagRemovePreprocessor": {"remove_cell_tags": {INSTRUCTOR}}}),
        )  # fmt: skip
        self.register_preprocessor(layout)


class _Renderer(IPythonRenderer):
    """Markdown of a lesson as HTML that needs no other file."""

    def __init__(self, links):
        super().__init__(escape=False, exclude_anchor_links=True)
        self.links, self.about = links, ""

    def block_math(self, body):
        return formula(body, "block")

    def inline_math(self, body):
        return formula(body)

    def image(self, text, url, title=None):
        path = course.course() / "notebooks" / url
        source = _data_uri(path.read_bytes(), IMAGES[path.suffix])
        aspect = aspect_of(path)
        shape = " tall" if aspect < 1 else " broad" if aspect > 1.6 else ""
        keys = ' tabindex="0"' if shape else ""  # a phone's page is pushed sideways there
        many = FIGURES[path.stem].panels if path.stem in FIGURES else 1
        keys += f' data-panels="{many}"' if many > 1 else ""  # or it shows one below the other
        return f'<figure class="picture{shape}"{keys}><img src="{source}" alt="{html.escape(text)}"></figure>'

    def link(self, text, url, title=None):
        return f'<a href="{self.links[url]}">{text}</a>' if url in self.links else text

    def paragraph(self, text):
        if text.startswith("<figure") and text.endswith("</figure>"):
            return f"{text}\n"
        return f'<p class="{self.about}">{text}</p>\n' if self.about else f"<p>{text}</p>\n"


def formula(tex, display="inline"):
    """TeX, with dollars or without, as MathML, which a browser sets by itself."""
    display = "block" if tex.startswith("$$") else display
    made = convert(tex.strip("$ \n").removeprefix("\\displaystyle"), display=display)
    return made.replace(' xmlns="http://www.w3.org/1998/Math/MathML"', "")  # HTML knows it


def _data_uri(raw, kind=SVG):
    """An image as an address; SVG as text without what only spaces it out, three quarters of base64."""
    if kind != SVG:
        return f"data:{kind};base64,{base64.b64encode(raw).decode('ascii')}"
    text = raw if isinstance(raw, str) else raw.decode("utf-8")
    text = re.sub(r"(?s)<metadata>.*?</metadata>", "", text[text.index("<svg") :])
    text = re.sub(r' d="([^"]*)"', lambda found: f' d="{_compact(found[1])}"', text)
    text = re.sub(r'style="[^"]*"', lambda found: re.sub("([:;]) ", r"\1", found[0]), text)
    text = re.sub(r"\s+", " ", re.sub(r">\s+<", "><", text)).replace("'", "&#39;").replace('"', "'")
    text = quote(text, safe="!$()*+,-./;=?@[]_'").replace("www.", "www%2E")  # XML's names are no addresses
    return f"data:{SVG},{text}"


def _compact(path):
    return re.sub(r"\s+", ",", re.sub(r"\s*([A-Za-z])\s*", r"\1", path).strip())


def _listed(words):
    *most, last = words
    return f"{', '.join(most)} and {last}" if most else last
