"""A lesson cut into pieces, and the pieces laid out: in sections for a handout, screenfuls for slides."""

import math
import re
from dataclasses import dataclass, field, replace
from itertools import zip_longest

from antlab.classroom.paper.stills import STILL
from antlab.classroom.tags import CAUTION, GUESS, GUESS_ENTERED, SET_UP, tags

# A slide's room, in lines of its body at 28 pixels of 1280 by 720; the script sets a fuller one smaller.
LINES, LETTERS, TABLE_LETTERS = 15, 74, 66
BESIDE, UNDER = 6.6, 3  # lines of words that may stand beside a picture, or under a wide one
WIDE = 1.9  # times as wide as high: a picture that takes all of a slide's width
ALONE = ("picture", "view", "axes")  # what begins a slide of its own
LED = ("list", "table", "quote", "formula", "fence", "code")  # what the words before it lead to
SLIDE = ("slide", "subslide")  # what a cell's metadata may ask for
FIRST_LETTERS = (
    ("heading", r"#+ "), ("picture", r"!\[[^\]]*\]\([^)]*\)\Z"), ("table", r"\|"), ("quote", r">"),
    ("formula", r"\$\$"), ("fence", r"```"), ("list", r"(?:[-*+]|\d+\.) "),
)  # fmt: skip


@dataclass(frozen=True)
class Piece:
    """A block of Markdown, a code cell, the still of a live view, or axes for the curve of a guess.

    aspect: of a picture, width over height. first: of its cell. how: the cell's slide_type, where the lesson
    sets it. tags: of the cell. about: what a style sheet calls its paragraph.
    """

    kind: str
    text: str = ""
    outputs: list = field(default_factory=list)
    still: dict = field(default_factory=dict)
    aspect: float = 1.0
    first: bool = False
    how: str = ""
    tags: tuple = ()
    about: str = ""


@dataclass
class Section:
    """Pieces that belong together under a heading. about: what a style sheet calls it."""

    heading: str
    pieces: list
    about: str = ""


def pieces(notebook, find):
    """The pieces of a notebook of nbformat, in order. find: gives the file of a picture from its link."""
    found = list(_cut(notebook, find))
    return [replace(piece, about=_about(piece, after)) for piece, after in zip_longest(found, found[1:])]


def _about(piece, following):
    if piece.kind == "words" and CAUTION in piece.tags:
        return "caution"
    return "leads" if following and leads(piece, following) else ""


def _cut(notebook, find):
    for cell in notebook.cells:
        how = cell.metadata.get("slideshow", {}).get("slide_type", "")
        if cell.cell_type == "markdown":
            for i, block in enumerate(blocks(cell.source)):
                kind = kind_of(block)
                aspect = aspect_of(find(block[:-1].rpartition("(")[2])) if kind == "picture" else 1.0
                how = "" if i and how in SLIDE else how
                yield Piece(kind, block, aspect=aspect, first=not i, how=how, tags=tags(cell))
        elif cell.cell_type == "code":
            stills = [out.data[STILL] for out in cell.outputs if STILL in out.get("data", ())]
            said = [out for out in cell.outputs if STILL not in out.get("data", ())]
            if GUESS_ENTERED in tags(cell):  # on paper the options have boxes, and an audience votes by hand
                yield from (Piece("axes", still=still, how=how) for still in stills)
                continue
            yield Piece("code", cell.source, said, first=True, how=how, tags=tags(cell))
            yield from (Piece("view", still=still, how=how) for still in stills)


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


def slides(parts):
    """The pieces as slides, Sections of about what fits; a new one for each heading, picture and view."""
    deck, room = [Section("", [], "opening")], LINES
    for piece in parts:
        if piece.how in ("skip", "notes") or SET_UP in piece.tags:
            continue
        if piece.kind == "heading":
            if deck[-1].pieces or deck[-1].heading:
                deck.append(Section("", []))
            deck[-1].heading, room = piece.text, LINES
            continue
        for portion in portions(piece):
            need, there = height(portion), deck[-1].pieces
            alone = piece.kind in ALONE or there and there[0].kind in ALONE and piece.kind != "words"
            if there and (need > room or alone or piece.how in SLIDE):
                over = piece.first and GUESS in there[-1].tags
                deck.append(Section(deck[0 if over else -1].heading, []))
                room = LINES
                together = height(there[-1]) + height(portion) <= LINES
                if not alone and len(there) > 1 and together and leads(there[-1], portion):
                    deck[-1].pieces.append(there.pop())
                    room -= height(deck[-1].pieces[0])
            deck[-1].pieces.append(portion)
            room -= need
            first = deck[-1].pieces[0]
            if first.kind in ALONE:  # after a picture one piece of words, if short; after a view nothing
                narrow, begun = first.aspect <= WIDE, portion is first
                room = (BESIDE if narrow else UNDER) if begun and first.kind == "picture" else 0
                deck[-1].about = "beside" if narrow and not begun else ""
    return deck


def leads(piece, following):
    """Whether a piece goes where the next one goes, as the words before a call do."""
    return piece.kind == "words" and following.kind in LED


def portions(piece):
    """A piece, or where it is too long for a slide a list's items or a table's rows by so many as fit."""
    if height(piece) <= LINES or piece.kind not in ("list", "table"):
        return [piece]
    lines, head = piece.text.split("\n"), ""
    if piece.kind == "table":
        head, lines = "\n".join(lines[:2]) + "\n", lines[2:]
    else:
        lines = re.split(r"\n(?=(?:[-*+]|\d+\.) )", piece.text)
    found = [replace(piece, text=head + lines[0])]
    for line in lines[1:]:
        longer = replace(piece, text=f"{found[-1].text}\n{line}")
        if height(longer) > LINES:
            found.append(replace(piece, text=head + line))
        else:
            found[-1] = longer
    return found


def height(piece):
    """About how many lines a piece takes on a slide."""
    if piece.kind in ALONE:
        return LINES
    lines = [line for line in piece.text.split("\n") if line.strip()]
    if piece.kind == "code":
        said = "\n".join(str(out.get("text", "") or out.get("evalue", "")) for out in piece.outputs)
        return 0.85 * (_wrapped(lines, 80) + _wrapped(said.splitlines(), 78)) + (1.6 if said else 1.0)
    if piece.kind == "table":
        return 1.15 * _wrapped([line for line in lines if not set(line) <= set("|-: ")], TABLE_LETTERS) + 0.5
    if piece.kind in ("formula", "quote") and "$$" in piece.text:
        return 3.0 * piece.text.count("$$") / 2
    if piece.kind == "words":
        lines = [" ".join(lines)]
    return _wrapped(lines, LETTERS - (4 if piece.kind == "list" else 0)) + 0.5


def _wrapped(lines, letters):
    return sum(max(math.ceil(len(re.sub(r"\*|\]\([^)]*\)", "", line)) / letters), 1) for line in lines)
