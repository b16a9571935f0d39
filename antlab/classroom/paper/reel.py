"""A reel: a live view set going, as a moving picture for a talk, or for those who were not there.

A slider goes from here to there, or the view's own clock runs. Its title stands above, with the number that
moves; below, what the view says. A view that leads to work ends with its cautions.
"""

import io
import itertools
import shutil
import subprocess
import tempfile
import textwrap
from pathlib import Path

import matplotlib as mpl
import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from PIL import Image

from antlab import files
from antlab.classroom.drawing.looks import BLACK, PROJECTOR
from antlab.trouble import Slip, Trouble

WIDE, HIGH, DPI = 1280, 720, 100
A_SECOND = 10  # pictures
REST_S, CAUTIONS_S = 1.0, 8.0  # how long the first and the last picture stand, and the cautions after them
SHORTEST_S, LONGEST_S = 0.2, 30.0
HEAD, LINE, LEAST, MOST = 0.11, 0.047, 0.16, 0.26  # shares of the height: title, a line, all lines
ABOVE, LETTERS, CARD_LETTERS = 50, 78, 92  # in the line above, in one of the words below, of cautions
FEW, MANY_LETTERS = 4, 108  # more lines than few have smaller type, and more letters in each
INKS = 96  # of a GIF
KINDS = (".gif", ".mp4")


def write_reel(view, path, *, seconds=10.0, drag=None, first=None, last=None, force=False, **given):
    """Write a view as a moving picture of 1280 by 720.

    view: a View. path: ends in .gif, or in .mp4 where ffmpeg is installed. seconds: how long it goes, without
    the cautions. drag: the slider that goes, by its name in Python; the first one, or none where the view has
    a clock. first, last: between which values, in the slider's unit. given: where the other sliders stand,
    and choices. force: write over what is there. Returns the path. Raises Slip for a setting that makes no
    sense, Trouble where there is no ffmpeg, FileExistsError where a file is in the way.
    """
    path = Path(path)
    if path.suffix.lower() not in KINDS:
        raise Slip(f"a moving picture ends in {' or '.join(KINDS)}; got {path.name!r}")
    if not SHORTEST_S <= seconds <= LONGEST_S:
        raise Slip(f"seconds go from {SHORTEST_S:g} to {LONGEST_S:g}; got {seconds:g}")
    moving = path.suffix.lower() == ".mp4"
    ffmpeg = shutil.which("ffmpeg") if moving else None
    if moving and not ffmpeg:
        raise Trouble("there is no ffmpeg here, which makes an .mp4: install it, or save as .gif")
    if path.exists() and not force:
        raise FileExistsError(f"{path} is there already: take another name, or add --force")
    pictures = list(_pictures(view, seconds, drag, first, last, given))
    files.write(path, _mp4(pictures, ffmpeg) if moving else _gif(pictures))
    return path


def _pictures(view, seconds, drag, first, last, given):
    """(picture, seconds that it stands), one after the other; those that stand on are one."""
    wanted, choices = view.settings(given)
    sliders, places = view.sliders(**choices), view.places(wanted, choices)
    clock = view.turn_s > 0
    if drag is None and not clock or first is not None or last is not None:
        drag = drag or view.positions[0]
    if drag is not None and drag not in view.positions:
        raise Slip(f"{view.__name__} has the sliders {', '.join(view.positions)}; got {drag[:30]!r}")
    count = max(2, round(seconds * A_SECOND))
    going = np.repeat([places], count, axis=0)
    if drag is not None:
        which = view.positions.index(drag)
        slider = sliders[which]
        ends = [slider.start if first is None else first, slider.stop if last is None else last]
        rest = min(REST_S, seconds / 4) / seconds
        share = np.clip((np.linspace(0, 1, count) - rest) / (1 - 2 * rest), 0, 1)
        going[:, which] = np.round(np.interp(share, [0, 1], [slider.nearest(float(one)) for one in ends]))
    turns = np.arange(count) / A_SECOND / view.turn_s if clock else np.zeros(count)
    stage, before = _Stage(view, sliders, choices, going), None
    for key, group in itertools.groupby(zip(map(tuple, going), turns, strict=True)):
        before = stage.picture(*key)
        yield before, len(list(group)) / A_SECOND
    if view.cautions:
        yield _card(view), CAUTIONS_S


class _Stage:
    """The picture: what stays is painted once, and what moves over it each time."""

    def __init__(self, view, sliders, choices, going):
        self._view, self._sliders, self._choices = view, sliders, choices
        self._rows = {row: i for i, row in enumerate(dict.fromkeys(map(tuple, going)))}
        self._drag = next((i for i, column in enumerate(going.T) if len(set(column)) > 1), None)
        with mpl.rc_context(PROJECTOR):
            self._fig = Figure(figsize=(WIDE / DPI, HIGH / DPI), dpi=DPI)
            self._canvas = FigureCanvasAgg(self._fig)
            self._panel = Figure(figsize=(WIDE / DPI, HIGH / DPI), dpi=DPI)  # a draft, for its words
            said = self._made([next(iter(self._rows))]).says[0]
            self._letters = LETTERS if len(_lines(said, LETTERS)) <= FEW else MANY_LETTERS
            lines = len(_lines(said, self._letters))
            foot = float(np.clip(LINE * (lines + 1), LEAST, MOST))
            shares = {"height_ratios": (HEAD, 1 - HEAD - foot, foot)}
            self._head, self._panel, self._foot = self._fig.subfigures(3, 1, **shares)
            self._type = min(0.9 * mpl.rcParams["font.size"], 0.8 * foot * HIGH / (lines + 1) * 72 / DPI)
            self._head.text(0.03, 0.45, view.title, va="center", fontweight="bold", fontsize="large")
            self._scene = None if view.ask else self._made(list(self._rows))
        self._ground = None

    def _made(self, rows):
        values = [[slider.values[place] for place in column] for slider, column in
                  zip(self._sliders, zip(*rows, strict=True), strict=True)]  # fmt: skip
        return self._view.scene(self._panel, *map(np.array, values), **self._choices)

    def picture(self, places, turn):
        """The picture at places of the sliders and at a time, in turns of the clock; a PIL image."""
        with mpl.rc_context(PROJECTOR):
            row = 0 if self._view.ask else self._rows[places]
            if self._view.ask:
                self._panel.clear()
            scene = self._made([places]) if self._view.ask else self._scene
            apart = not (self._view.ask or scene.waves)  # what moves may be painted over what stays
            if apart and self._ground is None:
                self._canvas.draw()
                self._ground = self._canvas.copy_from_bbox(self._fig.bbox)
            had = self._all()
            own = turn * (scene.ring.pace[row] if scene.ring else 1.0)
            left = np.exp(-scene.ring.loss[row] * own) if scene.ring else 1.0
            for waves in scene.waves:
                waves.draw(row, turn)
            for part in scene.parts:
                part.draw(row, own, left)
                part.draw_beads(row, own)
            self._say(scene.says[row], places)
            new = [one for one in self._all() if one not in had]
            if apart:
                self._canvas.restore_region(self._ground)
                for one in sorted(new, key=lambda artist: artist.zorder):
                    one.draw(self._canvas.get_renderer())
            else:
                self._canvas.draw()
            image = Image.fromarray(np.asarray(self._canvas.buffer_rgba())[..., :3].copy())
            for one in new:
                one.remove()
        return image

    def _all(self):
        """All that is drawn, in order."""
        owners = (self._head, self._foot, *self._panel.axes)
        return dict.fromkeys(one for owner in owners for one in owner.get_children())

    def _say(self, said, places):
        pairs = list(zip(self._sliders, places, strict=True))
        texts = [slider.titled(slider.values[place], self._sliders) for slider, place in pairs]
        if self._drag is not None:
            texts = [texts[self._drag]]
        while texts and len(self._view.title) + len(", ".join(texts)) > ABOVE:
            texts.pop()
        large = {"va": "center", "ha": "right", "fontweight": "bold", "fontsize": "large"}
        self._head.text(0.97, 0.45, ", ".join(texts), **large)
        self._foot.text(0.03, 0.96, "\n".join(_lines(said, self._letters)), va="top", fontsize=self._type)


def _lines(said, letters):
    """What a view says, in lines that fit."""
    return [part for line in said.split("\n") for part in textwrap.wrap(line, letters)]


def _card(view):
    """The cautions of the work that a view leads to, a picture of their own."""
    lines = []
    for name, words in view.cautions.items():
        lines += textwrap.wrap(f"{name.capitalize()}: {words}", CARD_LETTERS)
    with mpl.rc_context(PROJECTOR):
        fig = Figure(figsize=(WIDE / DPI, HIGH / DPI), dpi=DPI)
        canvas = FigureCanvasAgg(fig)
        fig.text(0.04, 0.95, "Before you build", va="top", fontweight="bold", fontsize="x-large", color=BLACK)
        room = 0.82 * HIGH / (1.25 * len(lines)) * 72 / DPI
        fig.text(0.04, 0.85, "\n".join(lines), va="top", fontsize=min(17.0, room), color=BLACK)
        canvas.draw()
        return Image.fromarray(np.asarray(canvas.buffer_rgba())[..., :3].copy())


def _gif(pictures):
    """The bytes of a GIF that begins again when it has ended."""
    some = [image for image, _ in pictures[:: max(1, len(pictures) // 4)]] + [pictures[-1][0]]
    strip = Image.new("RGB", (WIDE, HIGH // 2 * len(some)))
    for at, image in enumerate(some):
        strip.paste(image.resize((WIDE, HIGH // 2)), (0, HIGH // 2 * at))
    inks = strip.quantize(INKS, method=Image.Quantize.MEDIANCUT)
    flat = [image.quantize(palette=inks, dither=Image.Dither.NONE) for image, _ in pictures]
    made = io.BytesIO()
    flat[0].save(
        made, "GIF", save_all=True, append_images=flat[1:], loop=0,
        duration=[round(1000 * stands) for _, stands in pictures],
    )  # fmt: skip
    return made.getvalue()


def _mp4(pictures, ffmpeg):
    """The bytes of an MP4 that ffmpeg makes. Raises Trouble where it can't."""
    with tempfile.TemporaryDirectory() as folder:
        target = Path(folder) / "reel.mp4"
        command = [
            ffmpeg, "-loglevel", "error", "-f", "rawvideo", "-pix_fmt", "rgb24", "-s", f"{WIDE}x{HIGH}",
            "-r", str(A_SECOND), "-i", "-", "-pix_fmt", "yuv420p", "-movflags", "+faststart", str(target),
        ]  # fmt: skip
        raw = b"".join(image.tobytes() * max(1, round(stands * A_SECOND)) for image, stands in pictures)
        made = subprocess.run(command, input=raw, capture_output=True, check=False)
        if made.returncode or not target.is_file():
            said = made.stderr.decode(errors="replace").strip()[-200:]
            raise Trouble(f"ffmpeg could not make it ({said}): save as .gif")
        return target.read_bytes()
