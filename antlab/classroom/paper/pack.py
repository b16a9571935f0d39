"""The teacher's pack: what a volunteer prints and shows, in a folder whose index says what is for what.

The lessons' handouts and slides are the Press's; here are worksheets, the guide, the list of parts, the
poster and the index.
"""

from dataclasses import dataclass
from functools import partial

import nbformat

from antlab.antenna.safety import CAUTIONS
from antlab.classroom import course
from antlab.classroom.paper import booklet
from antlab.classroom.paper.handouts import (
    ENDINGS,
    KINDS,
    PAPERS,
    Exporter,
    Press,
    about_page,
    export,
    lessons,
    lettered,
    title_of,
)  # fmt: skip
from antlab.classroom.paper.lesson_pages import READ_TOO, reference
from antlab.classroom.paper.parts_page import parts_for
from antlab.classroom.paper.poster import poster
from antlab.classroom.paper.worksheet import GAP, gaps, read_worksheet
from antlab.classroom.tags import AT_THE_GUESS, PLAN

HIGH = {"a4": "297mm", "letter": "11in"}  # of a paper
SHEETS = {"worksheet": False, "worksheet-teacher": True}  # the copies of a lesson, and whether it is complete
ANSWERED = "homework-teacher"  # a lesson's homework with its answers
SHARED = "guide", "parts", "cautions", "poster", *READ_TOO  # for the whole course


@dataclass(frozen=True)
class Pack:
    """press: a Press. students: of the class, for the list of parts and the numbers of copies."""

    press: Press
    students: int = 12

    def write(self, numbers):
        """Write what belongs to the lessons of these numbers; yield each path. Raises as Press.write."""
        paper = self.press.paper
        beside = {
            f"{number}-{kind}": partial(worksheets, [(number, complete)], paper)
            for number in numbers for kind, complete in SHEETS.items()
        }  # fmt: skip
        beside |= {
            f"{number}-{ANSWERED}": partial(homework, answers_of(number), paper)
            for number in numbers if answers_of(number)
        }  # fmt: skip
        beside |= {name: partial(reading, name, paper) for name in READ_TOO}
        beside["cautions"] = partial(cautions, paper)
        beside["guide"] = partial(guide_booklet, paper)
        beside["parts"] = partial(parts_list, self.students, paper)
        if self.press.phones:
            beside["poster"] = partial(poster, self.press.phones, PAPERS[paper])
        yield from self.press.write(numbers, beside, {"guide": beside["guide"]}, self._index)

    def _index(self):
        folder, listed = self.press.folder, []

        def there(name):
            return [f"{name}{end}" for end in ENDINGS if (folder / f"{name}{end}").exists()]

        for number, lesson in lessons().items():
            found = {kind: there(f"{number}-{kind}") for kind in (*SHEETS, *KINDS, ANSWERED)}
            if any(found.values()):
                listed.append((title_of(nbformat.read(lesson, as_version=4)), found))
        about = about_page("pack", paper=PAPERS[self.press.paper])
        shared = {name: there(name) for name in SHARED}
        return Exporter("index").template.render(
            lessons=listed, shared=shared, students=self.students, resources=about
        )


def worksheets(wanted, paper):
    """Worksheets as HTML, a sheet of paper each. wanted: (number, whether complete). paper: of PAPERS."""
    sheets = [read_worksheet(number, complete=complete) for number, complete in wanted]
    title = lettered(sheets[0].guess.title)
    about = about_page("worksheet", title, paper=PAPERS[paper], high=HIGH[paper])
    return _exporter("worksheet").template.render(sheets=sheets, resources=about)


def guide_booklet(paper, printed=b""):
    """The guide as HTML. paper: of PAPERS. printed: a PDF of it, by which the contents have page numbers."""
    guide = booklet.guide()
    about = about_page(
        "guide", "the volunteer's guide", paper=PAPERS[paper], begins=booklet.begins(printed),
        evenings=booklet.evenings(guide), plan=PLAN, at_the_guess=AT_THE_GUESS,
    )  # fmt: skip
    return _exporter("booklet").from_notebook_node(guide, about)[0]


def answers_of(number):
    """The homework of a lesson with its answers, a path; None where there is none."""
    return next((course.course() / "notebooks" / "answers").glob(f"{number}-*.ipynb"), None)


def homework(path, paper):
    """The homework that lies at a path, as stored, as HTML. paper: of PAPERS."""
    return export(nbformat.read(path, as_version=4), paper=paper)


def reading(name, paper):
    """A page of reference as HTML. name: of READ_TOO. paper: of PAPERS."""
    long = "table, section:last-child { break-inside: auto }"  # longer than a page
    return export(reference(name), paper=paper).replace("</style>", f"{long}</style>", 1)


def cautions(paper):
    """The sheet of cautions, to be read aloud, as HTML. paper: of PAPERS."""
    about = about_page("cautions", paper=PAPERS[paper])
    return Exporter("cautions").template.render(cautions=CAUTIONS, resources=about)


def parts_list(students, paper):
    """What a class of so many buys and shares, as a page of HTML. paper: of PAPERS. Raises Slip."""
    about = about_page("parts", paper=PAPERS[paper])
    return Exporter("parts").template.render(list=parts_for(students), resources=about)


def _exporter(kind):
    """An Exporter that also knows a line of Markdown, gaps in it, and a guide's sections."""

    def line(text):  # begun with a sign that is taken away again, since "3. An SWR …" is no list
        made = exporter.environment.filters["markdown"](GAP + text)
        return made.strip()[len(f"<p>{GAP}") : -len("</p>")]

    def filled(text, complete):
        return gaps(text, lambda words: f'<span class="gap">{words if complete else "&nbsp;"}</span>')

    mine = {"line": line, "gaps": filled, "heading": lambda text: text.lstrip("# ")}
    exporter = Exporter(kind, links={}, filters=mine)
    exporter.environment.tests["evening"] = exporter.environment.filters["evening"] = booklet.is_evening
    return exporter
