"""The film of a live view: what Python sends to a player, so that anybody can write another player.

A film is a still, sent once, and frames laid over it. In a notebook both are traits of `player.Player`, and
bytes travel as they are; a phone page has one JSON object, a `Film`, whose bytes are base64 (`packed`).

Lengths: the picture is `width` by `height` pixels, from its upper left corner, x to the right and y down;
everything in frames counts in FINE parts of a pixel. The PNG has that shape, often with more dots.

Rows: a row is one setting of all sliders, in the order of their product: the last slider's place runs
fastest, so that row = place of the first * count of the second + place of the second, and so on. Where `ask`
is true there is one row, 0, and each new setting is asked of the kernel by the trait `at`.

The table: little-endian int16. First come `fixed` numbers that hold for every row, then `rows` times
`columns` that move. The x of a part's `n` points lie together, and so do their y, each in one of the two
blocks, `at` numbers from the first of the fixed ones, or of the row. GAP interrupts a line, drops a dot and
hides a text.

A player shows the sentence `message`, if there is one, in the picture's place, and refuses in words a film of
another VERSION. Whoever changes what a key means, or takes one away, raises VERSION here and in live.js.
"""

import base64
import json
from typing import Literal, TypedDict

import numpy as np

VERSION = 1
FINE, GAP = 16, -32768
INCH_PX = 100  # pixels of a still to an inch of its figure


class Dial(TypedDict):
    """A slider as it is shown: what each of its places is called."""

    name: str
    unit: str
    texts: list[str]  # one for each place, unit included


class Still(TypedDict):
    """What stays."""

    version: int
    png: bytes
    width: int  # pixels
    height: int
    alt: str
    title: str
    ask: bool  # whether each row is asked of the kernel
    sliders: list[Dial]


class Block(TypedDict):
    """Where a part's abscissas, or its ordinates, lie in the table."""

    fixed: bool
    at: int


class Piece(TypedDict):
    """Something that moves: how it looks, and where its points lie. Lengths in FINE parts of a pixel."""

    kind: Literal["line", "dots", "text"]
    n: int  # points; of a text one
    x: Block
    y: Block
    color: str  # "#rrggbb"
    fill: float  # how opaque its inside is, 0 to 1
    width: float  # of the line, or across a dot
    dashes: list[float]  # ink and gap by turns; none: solid
    box: list[int]  # left, top, width, height: what lies outside is cut off, but for text
    size: float  # of type
    align: Literal["left", "center", "right"]  # which side of a text is at its point
    bold: bool
    texts: list[str]  # of a text, one for each row


class Frames(TypedDict):
    """All rows of what moves."""

    version: int
    message: str  # empty
    rows: int
    parts: list[Piece]
    columns: int  # numbers in a row of the table
    fixed: int  # numbers before the first row
    says: list[str]  # for each row, its words below the sliders; lines are parted by \\n
    table: bytes


class Refusal(TypedDict):
    """In place of frames, for a setting that makes no sense."""

    version: int
    message: str


class Film(TypedDict):
    """All of a view that needs no kernel, as a phone page has it."""

    still: Still
    frames: Frames
    at: list[int]  # the place of each slider to begin with


def frames(fig, scene) -> Frames:
    """The moving parts of a parts.Scene drawn upon a figure, whose pixels are INCH_PX to an inch."""
    stays, moves, pieces = [], [], []
    count = len(scene.says)
    high = fig.bbox.height
    for part in scene.parts:
        x, y = np.broadcast_arrays(part.x, part.y)
        pixels = part.ax.transData.transform(np.stack([x.ravel(), y.ravel()], axis=1))
        pixels = (pixels * [1, -1] + [0, high]) * FINE
        cells = (
            np.where(np.isfinite(pixels), np.clip(pixels, 1 - 2**15, 2**15 - 1), GAP).round().astype(np.int16)
        )
        places = []
        for cell in (cells[:, 0].reshape(x.shape), cells[:, 1].reshape(x.shape)):
            cell = np.broadcast_to(cell, (count, x.shape[-1]))
            fixed = bool(np.all(cell == cell[:1]))
            block = stays if fixed else moves
            places.append(Block(fixed=fixed, at=sum(b.shape[1] for b in block)))
            block.append(cell[:1] if fixed else cell)
        left, bottom, right, top = part.ax.bbox.extents
        pen, px = part.pen, FINE * INCH_PX / 72
        pieces.append(
            Piece(
                kind=part.kind, n=x.shape[-1], x=places[0], y=places[1], color=pen.color, fill=pen.fill,
                width=float(part.width_pt * px), dashes=[float(d * part.width_pt * px) for d in pen.dashes],
                box=[round(v * FINE) for v in (left, high - top, right - left, top - bottom)],
                size=float(part.font_pt * pen.size * px), align=pen.align, bold=pen.bold,
                texts=list(part.texts),
            )
        )  # fmt: skip
    none = np.zeros((count, 0), np.int16)
    fixed, moving = np.concatenate([none[:1], *stays], axis=1), np.concatenate([none, *moves], axis=1)
    return Frames(
        version=VERSION, message="", rows=count, parts=pieces, columns=moving.shape[1], fixed=fixed.shape[1],
        says=list(scene.says), table=fixed.astype("<i2").tobytes() + moving.astype("<i2").tobytes(),
    )  # fmt: skip


def refusal(sentence) -> Refusal:
    """A sentence for the picture's place."""
    return Refusal(version=VERSION, message=str(sentence))


def points(film: Frames, part, row):
    """The points of one part in one row as a player finds them in the table.

    part: its number. Returns FINE parts of a pixel, float, shape (n, 2), NaN for a gap.
    """
    table, piece = np.frombuffer(film["table"], "<i2"), film["parts"][part]
    begins = [(0 if one["fixed"] else film["fixed"] + row * film["columns"]) + one["at"]
              for one in (piece["x"], piece["y"])]  # fmt: skip
    found = np.stack([table[begin : begin + piece["n"]] for begin in begins], axis=1).astype(float)
    found[(found == GAP).any(axis=1)] = np.nan
    return found


def packed(film: Film) -> str:
    """A film as JSON that may stand within a script of HTML, its bytes in base64."""
    text = json.dumps(film, ensure_ascii=False, default=lambda raw: base64.b64encode(raw).decode("ascii"))
    return text.replace("<", "\\u003c")  # no tag within the script
