"""A lesson cut into pieces, and the pieces laid out: in sections for a handout."""

import re
from dataclasses import dataclass, field, replace
from itertools import zip_longest

from antlab.classroom.paper.stills import STILL
from antlab.classroom.tags import CAUTION, GUESS, GUESS_ENTERED, tags

LED = ("list", "table", "quote", "formula", "fence", "code")  # what the words before it lead to
FIRST_LETTERS = (
    ("heading", r"#+ "), ("picture", r"!\[[^\]]*\]\([^)]*\)\Z"), ("table", r"\|"), ("quote", r">"),
    ("formula", r"\$\$"), ("fence", r"```"), ("list", r"(?:[-*+]|\d+\.) "),
)  # fmt: skip


@dataclass(frozen=True)
class Piece:
    """A block of Markdown, a code cell, the still of a live view, or axes for the curve of a guess.

    first: of its cell. tags: of the cell. about: what a style sheet calls its paragraph.
    """

    kind: str
    text: str = ""
    outputs: list = field(default_factory=list)
    still: dict = field(default_factory=dict)
    first: bool = False
    tags: tuple = ()
    about: str = ""


@dataclass
class Section:
    """Pieces that belong together under a heading. about: what a style sheet calls it."""

    heading: str
    pieces: list
    about: str = ""


def pieces(notebook):
    """The pieces of a notebook of nbformat, in order."""
    found = list(_cut(notebook))
    return [replace(piece, about=_about(piece, after)) for piece, after in zip_longest(found, found[1:])]


def _about(piece, following):
    if piece.kind == "words" and CAUTION in piece.tags:
        return CAUTION
    return "leads" if following and leads(piece, following) else ""


def _cut(notebook):
    for cell in notebook.cells:
        if cell.cell_type == "markdown":
            whole = CAUTION in tags(cell)  # in one frame
            for i, block in enumerate([cell.source] if whole else blocks(cell.source)):
                yield Piece(kind_of(block), block, first=not i, tags=tags(cell))
        elif cell.cell_type == "code":
            stills = [out.data[STILL] for out in cell.outputs if STILL in out.get("data", ())]
            said = [out for out in cell.outputs if STILL not in out.get("data", ())]
            if GUESS_ENTERED in tags(cell):  # on paper the options have boxes, and an audience votes by hand
                yield from (Piece("axes", still=still) for still in stills)
                continue
            yield Piece("code", cell.source, said, first=True, tags=tags(cell))
            yield from (Piece("view", still=still) for still in stills)


def blocks(markdown):
    """Markdown's blocks: what empty lines part, save those within a fence; a heading is a block."""
    fence = False
    lines = []
    for line in [*markdown.splitlines(), ""]:
        if lines and not fence and (not line.strip() or re.match(r"#+ ", line) or re.match(r"#+ ", lines[0])):
            yield "\n".join(lines)
            lines = []
        if line.strip() or fence:
            lines.append(line)
        if line.startswith("```"):
            fence = not fence


def aspect_of(path):
    """Width over height of an SVG file; 1 for a file of another kind."""
    if path.suffix != ".svg":
        return 1.0
    box = re.search(r'viewBox="0 0 ([\d.]+) ([\d.]+)"', path.read_text(encoding="utf-8"))
    return float(box[1]) / float(box[2])


def kind_of(block):
    """What a block of Markdown is."""
    return next((kind for kind, first in FIRST_LETTERS if re.match(first, block)), "words")


def sections(parts):
    """The pieces by headings of the first and second level, for a handout."""
    found = []
    for piece in parts:
        if not found or piece.kind == "heading" and not piece.text.startswith("###"):
            found.append(Section(piece.text, [], "guess" if GUESS in piece.tags else ""))
        elif piece.first and found[-1].about == "guess":  # the guess is over where its cell ends
            found.append(Section("", []))
        found[-1].pieces.append(piece)
    return found


def leads(piece, following):
    """Whether a piece goes where the next one goes, as the words before a call do."""
    return piece.kind == "words" and following.kind in LED
