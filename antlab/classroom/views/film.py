"""The film of a live view: what Python sends to a player, so that anybody can write another player.

A film is a still, sent once, and frames laid over it. In a notebook both are traits of `player.Player`, and
bytes travel as they are; a page has a `Film` as a phone shows it and one for a wide window, each in little
room (`squeezed`).

Lengths: the picture is `width` by `height` pixels, from its upper left corner, x to the right and y down;
everything in frames counts in FINE parts of a pixel. The PNG has that shape, often with more dots.

Rows: a row is one setting of all sliders, in the order of their product: the last slider's place runs
fastest, so that row = place of the first * count of the second + place of the second, and so on. Where `ask`
is true there is one row, 0, and each new setting is asked of the kernel by the trait `at`; in a page, which
has no kernel, the answers lie in `asked`.

Over: what depends on some sliders alone lies over the rest as frames of its own, in `over`. The rows of
frames are the product of those sliders whose numbers `sliders` has. They are seen only where each slider of
`only` stands at its place; then their words, if there are any, follow the others' in a line of their own.

The table: little-endian int16. First come `fixed` numbers that hold for every row, then `rows` times
`columns` that move. The x of a part's `n` points lie together, and so do their y, each in one of the two
blocks, `at` numbers from the first of the fixed ones, or of the row. GAP interrupts a line, drops a dot and
hides a text. A line that is `smooth`, of four points or more, is curved: from b to c by a cubic of Bézier
by way of b + B / 3 and c − C / 3. B is (8 (c − a) − (d − z)) / 12, where z and a come before b, and d after
c; and so on for C. Beyond either end come two points more, one after the other: four times the nearest less
six times the next to it, four times the third, less the fourth. With an `until` its points are at even steps
of x, and it ends at that x.

Time: where `clock` is above 0, it is the seconds on the screen that a turn of the wave takes. A piece that
swings has three blocks of `n` numbers more, a, b and c, and after t turns its ordinates are
y + (c + a cos 2πkt − b sin 2πkt) · left^k, where k is its `order` and left is 1. A player lets the hand stop
and step the time, and does not begin where somebody asked for reduced motion.

Beads: along a line that has some they run, round, each so wide, so far apart, and come so far in a turn,
below 0 towards its beginning. They are dark, with a light core.

Ring: what is plucked rings down. In a row it makes `pace` turns while the clock makes one, and in each of
them left becomes e^−`loss` times what it was. A pluck sets t to 0 and left to 1; another row goes on from
where t and left are. Heard, a row is a tone of `pace` · `pitch_hz` that falls off in the same way. It begins
when the hand asks for it, never by itself. What loses nothing in any row is not plucked, and runs on.

Waves: a field over the ground that swings, under all pieces. Its points fill `box` evenly, 2 across − 1 from
left to right and `up` from the ground to the top; a wire hangs in the middle, seen from its end. Two tables
of int16, real and imaginary by turns, hold one side of it; the other is its mirror image. In `direct` a point
is found by its steps above or below the wire, then by its steps to the side: what the wire sends. In `echo` a
point is found by its steps above the ground plus those of the wire: what the ground sends after it. In a row
the wire is `high` steps up, and what is shown is drive · (direct · direct_on + echo · echo_on). After t turns
it is the real part of that times e^(2πjt); at `full` it is all blue, at its negative all orange. Of several
fields, one for each band, a row drives one: the others, whose drive is 0 there, are not painted.

Handles: where the hand takes hold of what a slider moves. A handle of one point stands there in that row; its
places in the other rows of its slider are its path. A handle of more points has the whole path in each row, a
point for each place of its slider. Whoever drags a handle sets its slider to the place whose point is
nearest to the pointer, and the others stay. A point that is a GAP cannot be held. It is held too along the
lines `along`, of points from its own.

Words that say "N million times slower" mean a clock that neither hurries nor dawdles: a player that lets
the hand hasten it says how many they are then.

A player shows the sentence `message`, if there is one, in the picture's place, and refuses in words a film of
another VERSION. Whoever changes what a key means, or takes one away, raises VERSION here and in live.js.
"""

import base64
import json
import zlib
from dataclasses import replace
from typing import Literal, TypedDict

import numpy as np

VERSION = 6
FINE, GAP = 16, -32768
INCH_PX = 100  # pixels of a still to an inch of its figure


class Dial(TypedDict):
    """A slider as it is shown: what each of its places is called."""

    name: str
    unit: str
    texts: list[str]  # one for each place, unit included
    shown: bool  # whether it is on the screen now
    named: bool  # whether it is no quantity: its places have names, and a button each


class Still(TypedDict):
    """What stays."""

    version: int
    png: bytes
    width: int  # pixels
    height: int
    alt: str
    title: str
    ask: bool  # whether each row is asked of the kernel
    clock: float  # seconds that a turn takes; 0 where nothing moves of itself
    heard: bool  # the words all stand in the picture, and are only for who cannot see it
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
    swing: list[Block]  # a, b and c of what swings, or empty
    order: int  # how often it swings in a turn
    smooth: bool  # of a line: whether it is curved through its points
    until: list[Block]  # of what is smooth: a block of one, the x at which it ends; or empty
    beads: list[float]  # that run along it: width, distance, how far in a turn; or empty
    color: str  # "#rrggbb"
    fill: float  # how opaque its inside is, 0 to 1
    width: float  # of the line, or across a dot
    dashes: list[float]  # ink and gap by turns; none: solid
    box: list[int]  # left, top, width, height: what lies outside is cut off, but for text
    size: float  # of type
    align: Literal["left", "center", "right"]  # which side of a text is at its point
    bold: bool
    texts: list[str]  # of a text, one for each row


class Waves(TypedDict):
    """A field that swings, told in the head of this page. Lengths in FINE parts of a pixel."""

    box: list[int]  # left, top, width, height
    across: int  # points from the middle to one side
    up: int  # points from the ground to the top
    high: list[int]  # for each row, as are the following three
    drive: list[float]
    direct_on: list[int]
    echo_on: list[int]
    full: float
    direct: bytes  # shape (steps above or below the wire, across, 2)
    echo: bytes  # shape (steps above ground and those of the wire, across, 2)


class Grip(TypedDict):
    """Where what a slider moves is taken hold of. Lengths in FINE parts of a pixel."""

    slider: int  # its number
    n: int  # points: one, or as many as its slider has places
    reach: int  # how far around it a hand may take hold, pixels of the screen, if that is farther than usual
    color: str  # "#rrggbb" of a dot and its arrows, or empty: arrows alone
    x: Block
    y: Block
    along: list[list[list[int]]]


class Ring(TypedDict):
    """What is plucked, told in the head of this page."""

    pace: list[float]  # for each row, as is loss
    loss: list[float]
    pitch_hz: float


class Frames(TypedDict):
    """All rows of what moves."""

    version: int
    message: str  # empty
    rows: int
    parts: list[Piece]
    waves: list[Waves]  # in a row one of them is driven at the most
    ring: list[Ring]  # one, or none
    handles: list[Grip]
    columns: int  # numbers in a row of the table
    fixed: int  # numbers before the first row
    says: list[str]  # for each row, its words below the sliders; lines are parted by \\n
    table: bytes
    sliders: list[int]  # whose product the rows are
    only: list[list[int]]  # a slider and its place; of all of them, or none
    over: list["Frames"]  # in each, waves, ring and over are empty


class Refusal(TypedDict):
    """In place of frames, for a setting that makes no sense."""

    version: int
    message: str


class Film(TypedDict):
    """All of a view that needs no kernel, as a phone page has it."""

    still: Still
    frames: Frames
    at: list[int]  # the place of each slider to begin with
    asked: list[Frames]  # where still asks: the answer to each setting, in the order of rows; else none


def frames(fig, scene, positions, own, only=()) -> Frames:
    """The moving parts of a parts.Scene drawn upon a figure, whose pixels are INCH_PX to an inch.

    positions: the sliders' names. own: the numbers of those that the scene takes. only: as Frames have it.
    """
    table, pieces = _Table(len(scene.says)), []
    high = fig.bbox.height
    for part in scene.parts:
        where, swings = part.y, []
        if part.swings:
            where = np.broadcast_to(part.about, np.shape(part.y))
            scale = np.diff(_pixels(part, part.ax.get_xlim()[0], [0, 1], high)[1])
            level = np.broadcast_to(part.level, np.shape(part.y))
            swings = [table.add(one * scale) for one in (part.y.real, part.y.imag, level)]
        x, y = (table.add(line) for line in _pixels(part, part.x, where, high))
        ends = [] if part.until is None else [part.until]
        until = [table.add(_pixels(part, end, 0.0, high)[0]) for end in ends]
        left, bottom, right, top = part.ax.bbox.extents
        pen, px = part.pen, FINE * INCH_PX / 72
        pieces.append(
            Piece(
                kind=part.kind, n=np.broadcast(part.x, part.y).shape[-1], x=x, y=y, swing=swings,
                order=part.order, smooth=part.smooth, until=until,
                beads=[float(one * px) for one in part.beads_pt], color=pen.color, fill=pen.fill,
                width=float(part.width_pt * px), dashes=[float(d * part.width_pt * px) for d in pen.dashes],
                box=[round(v * FINE) for v in (left, high - top, right - left, top - bottom)],
                size=float(part.font_pt * pen.size * px), align=pen.align, bold=pen.bold,
                texts=list(part.texts),
            )
        )  # fmt: skip
    grips = []
    for one in scene.handles:
        where = (np.reshape(v, (-1, 1)) if np.ndim(v) < 2 else v for v in (one.x, one.y))
        x, y = (table.add(line) for line in _pixels(one, *where, high))
        n = max(np.shape(v)[1] if np.ndim(v) > 1 else 1 for v in (one.x, one.y))
        grips.append(
            Grip(
                slider=positions.index(one.moves),
                n=n,
                reach=one.reach_px,
                color=one.color,
                x=x,
                y=y,
                along=_along(one, high),
            )  # fmt: skip
        )
    fixed, moving = table.blocks
    rings = [scene.ring] if scene.ring else []
    return Frames(
        version=VERSION, message="", rows=len(scene.says), parts=pieces,
        waves=[_waves(waves, high) for waves in scene.waves],
        ring=[Ring(pace=one.pace.tolist(), loss=one.loss.tolist(), pitch_hz=one.pitch_hz) for one in rings],
        handles=grips, columns=moving.shape[1], fixed=fixed.shape[1], says=list(scene.says),
        table=fixed.tobytes() + moving.tobytes(), sliders=list(own), only=list(only), over=[],
    )  # fmt: skip


def _along(handle, high):
    """The lines along which a handle is held too, as FINE parts of a pixel from the handle itself."""

    def from_here(ax, x, y):
        here = np.array(_pixels(handle, 0.0, np.ravel(handle.y)[0], high))
        return (np.array(_pixels(replace(handle, ax=ax), x, y, high)) - here).round().astype(int).tolist()

    return [[from_here(*point) for point in line] for line in handle.along]


def _pixels(part, x, y, high):
    """What a part has in its axes' units as FINE parts of a pixel: abscissas and ordinates, of one shape."""
    x, y = np.broadcast_arrays(x, y)
    data = part.ax.transData
    if data.is_affine:  # even steps: several times as quick as point by point
        (wide, _, left), (_, tall, low), _ = data.get_matrix()
        return (wide * x + left) * FINE, (high - low - tall * y) * FINE
    pixels = (data.transform(np.stack([x.ravel(), y.ravel()], axis=1)) * [1, -1] + [0, high]) * FINE
    return pixels[:, 0].reshape(x.shape), pixels[:, 1].reshape(x.shape)


def _waves(waves, high) -> Waves:
    """A parts.Waves as it is sent."""
    left, right, bottom, top = waves.extent
    corners = waves.ax.transData.transform([(left, top), (right, bottom)])
    (x0, y0), (x1, y1) = (corners * [1, -1] + [0, high]) * FINE
    largest = max(np.abs(waves.direct).max(), np.abs(waves.echo).max())
    unit = (2**15 - 1) / largest

    def packed_up(field):
        return np.round(unit * np.stack([field.real, field.imag], axis=-1)).astype("<i2").tobytes()

    return Waves(
        box=[round(v) for v in (x0, y0, x1 - x0, y1 - y0)], across=waves.direct.shape[1], up=waves.up,
        high=[int(steps) for steps in waves.high], drive=[float(drive) for drive in waves.drive],
        direct_on=[int(on) for on in waves.direct_on], echo_on=[int(on) for on in waves.echo_on],
        full=float(waves.full * unit), direct=packed_up(waves.direct), echo=packed_up(waves.echo),
    )  # fmt: skip


class _Table:
    """The table as it grows: what stays, and what has a row for each setting."""

    def __init__(self, rows):
        self.rows, self.stays, self.moves = rows, [], []
        self.long = {True: 0, False: 0}  # numbers in a row of what stays, and of what moves

    def add(self, numbers) -> Block:
        """Add points, shape (rows, n) or (n,), NaN for a gap; return where they lie."""
        there = np.where(np.isfinite(numbers), np.clip(numbers, 1 - 2**15, 2**15 - 1), GAP).round()
        cell = np.broadcast_to(there.astype("<i2"), (self.rows, there.shape[-1]))
        fixed = self.rows == 1 or bool(np.all(cell == cell[:1]))
        place = Block(fixed=fixed, at=self.long[fixed])
        self.long[fixed] += cell.shape[1]
        (self.stays if fixed else self.moves).append(cell[:1] if fixed else cell)
        return place

    @property
    def blocks(self):
        """Both blocks, shapes (1, fixed) and (rows, columns)."""
        none = np.zeros((self.rows, 0), "<i2")
        return np.concatenate([none[:1], *self.stays], axis=1), np.concatenate([none, *self.moves], axis=1)


def refusal(sentence) -> Refusal:
    """A sentence for the picture's place."""
    return Refusal(version=VERSION, message=str(sentence))


def points(film: Frames, part, row, turn=0.0, left=1.0, among="parts"):
    """The points of one part in one row as a player finds them in the table.

    part: its number. turn: the time, in turns of the row. left: of what rings down. among: "parts", or
    "handles". Returns FINE parts of a pixel, float, shape (n, 2), NaN for a gap.
    """
    table, piece = np.frombuffer(film["table"], "<i2"), film[among][part]

    def block(one):
        begin = (0 if one["fixed"] else film["fixed"] + row * film["columns"]) + one["at"]
        return np.where((there := table[begin : begin + piece["n"]]) == GAP, np.nan, there)

    x, y = block(piece["x"]), block(piece["y"])
    if piece.get("swing"):
        a, b, c = map(block, piece["swing"])
        angle = 2 * np.pi * piece["order"] * turn
        y = y + (c + a * np.cos(angle) - b * np.sin(angle)) * left ** piece["order"]
    found = np.stack([x, y], axis=1)
    found[np.isnan(found).any(axis=1)] = np.nan
    return found


def seen(film: Frames, at, counts):
    """Frames and what lies over them, as far as they are seen where the sliders stand, each with its row.

    at: the place of each slider. counts: how many it has.
    """
    for one in [film, *film["over"]]:
        if all(at[slider] == place for slider, place in one["only"]):
            places, many = ([them[i] for i in one["sliders"]] for them in (at, counts))
            yield one, int(np.ravel_multi_index(places, many))


def spoken(film: Frames, at, counts):
    """The words where the sliders stand, as `seen`."""
    return "\n".join(one["says"][row] for one, row in seen(film, at, counts) if one["says"][row])


def side(film: Frames, row, turn=0.0):
    """One side of the waves in one row, as a player finds them, shape (up, across); full is 1."""
    waves = max(film["waves"], key=lambda one: one["drive"][row])

    def field(table):
        numbers = np.frombuffer(waves[table], "<i2").reshape(-1, waves["across"], 2).astype(float)
        return numbers[..., 0] + 1j * numbers[..., 1]

    place, high = np.arange(waves["up"]), waves["high"][row]
    shown = waves["direct_on"][row] * field("direct")[np.abs(place - high)]
    shown = shown + waves["echo_on"][row] * field("echo")[place + high]
    return waves["drive"][row] / waves["full"] * (shown * np.exp(2j * np.pi * turn)).real


def _in_steps(moving: Frames):
    """Frames whose table has for each row the steps from the one before."""
    stays, moves = np.split(np.frombuffer(moving["table"], "<i2"), [moving["fixed"]])
    rows = moves.reshape(moving["rows"], moving["columns"])
    steps = np.diff(rows, axis=0, prepend=np.zeros((1, rows.shape[1]), "<i2"))
    halves = np.ascontiguousarray(steps.T).view(np.uint8).reshape(-1, 2).T
    return moving | {"table": stays.tobytes() + halves.tobytes()}


def squeezed(film: Film) -> str:
    """A film in little room: deflated, in base64. What was deflated is a line of JSON and then all bytes.

    In the JSON stands where among them each thing lies. Of the table's rows only the steps from one to the
    next are told, column by column, first the lower bytes of all and then the upper ones.
    """
    over, raw = [_in_steps(one) for one in film["frames"].get("over", [])], bytearray()
    less = film | {"frames": _in_steps(film["frames"]) | {"over": over}}
    less |= {"asked": [_in_steps(one) for one in film["asked"]]}

    def placed(piece):
        raw.extend(piece)
        return {"bytes": [len(raw) - len(piece), len(raw)]}

    said = json.dumps(less, ensure_ascii=False, default=placed).encode()
    return base64.b64encode(zlib.compress(said + b"\n" + raw, 9)).decode("ascii")
