"""Slides: a lesson in 8 to 12 of them, one thought each, as its own cells say it.

A cell that has slides is tagged so, and its metadata say for each what it says and what it shows; which kind
of slide it is follows from the cell. Pictures are drawn here, for the last row of a hall.
"""

import json
import re
from dataclasses import dataclass, field, replace
from functools import lru_cache, partial

import matplotlib as mpl
import numpy as np
from matplotlib.text import Text

from antlab.antenna.safety import CAUTIONS
from antlab.classroom import live
from antlab.classroom.drawing import stills
from antlab.classroom.drawing.looks import SLIDE, SLIDE_DPI, SLIDE_INCHES, on_a_slide
from antlab.classroom.figures import FIGURES, Still, drawn
from antlab.classroom.guess.entry import compared, true_curve
from antlab.classroom.guess.question import OPTION, alone, plain, read_guess
from antlab.classroom.paper.pages import live_call, title_and_question
from antlab.classroom.paper.to_complete import yard
from antlab.classroom.tags import BACK_TO_GUESS, CAUTION, GUESS, NEXT, SLIDES, SUMMARY, TITLE, tags
from antlab.classroom.two_hookups import cable_volts, inductances
from antlab.classroom.views.planner import THREE, yards
from antlab.classroom.views.player import called

FEWEST, MOST, MOST_WORDS = 8, 12, 25
KINDS = {TITLE: "title", GUESS: "guess", CAUTION: "caution", BACK_TO_GUESS: "answer", SUMMARY: "summary"}
LOOK = SLIDE, SLIDE_INCHES, SLIDE_DPI
UNMEASURED = "guess", "caution"  # kinds that may have more words, and need no picture
CURVE_INCHES = 6.4, 4.4  # of the axes beside the options of a guess


def _trap_currents():
    """Current along the trap dipole of lesson 03 on both of its bands. Returns fig and axes."""
    bands = {14.2: "open", 28.5: "shut"}
    place, currents = live.trap_dipole.settings({})[1]["dipole"].current(np.array(list(bands)))
    titles = [f"{f_mhz} MHz: {trap}" for f_mhz, trap in bands.items()]
    return stills.along_wire(place, dict(zip(titles, currents, strict=True)))


DRAWINGS = {  # for slides alone
    "yards": Still(
        partial(yards, *THREE),
        "Three yards, each with its wire to scale beside a person: Corner Lot between two poles, Long Acre "
        "between trees, Hilltop an inverted vee on a mast.",
    ),
    "corner-lot": Still(
        partial(yards, "Corner Lot"),
        "Corner Lot: the wire with its traps between two poles, beside a person.",
    ),
    "hilltop": Still(
        partial(yards, "Hilltop"),
        "Hilltop: the wire with its traps as an inverted vee on a mast, beside a person.",
    ),
    "corner-lot-empty": Still(
        partial(yard, complete=False),
        "Corner Lot from the side, a square to each metre: two poles, and nothing between them yet.",
    ),
    "trap-currents": Still(
        _trap_currents,
        "Current along the trap dipole. On 14.2 MHz it runs to the very ends, with a bend at each trap. "
        "On 28.5 MHz it falls to nearly nothing at the traps.",
    ),
    "braid-and-series": Still(
        inductances,
        "Two bars: the coil of the club's trap in series is four times as large as that across the braid.",
    ),
    "cable-volts": Still(
        cable_volts,
        "Two bars, volts in the trap's cable with 1500 W: in series they stay below the line that the cable "
        "stands, across the braid they lie beyond it.",
    ),
    "keep-off": Still(
        partial(yards, "Corner Lot", keep_off=True),
        "Corner Lot: the wire between two poles, and dotted around it what people keep off.",
    ),
}


@dataclass(frozen=True)
class Picture:
    """What a slide shows. svg, alt: text. size: wide and high, pixels. least_px: its smallest type there."""

    svg: str
    alt: str
    size: tuple
    least_px: float


@dataclass(frozen=True)
class Slide:
    """One slide, plain data. Words are Markdown.

    kind: of KINDS, "live" where its cell shows a live view, else "thought". words: what it says. shows: its
    picture, as picture() takes it. heading: of a title. options: of a guess, letter -> words. letter: of an
    answer. cautions: name -> words. view: whose code stands on it. leads: the link to the next lesson.
    """

    kind: str
    words: str = ""
    shows: dict = field(default_factory=dict)
    heading: str = ""
    options: dict = field(default_factory=dict)
    letter: str = ""
    cautions: dict = field(default_factory=dict)
    view: str = ""
    leads: str = ""
    picture: Picture | None = None


def deck(notebook):
    """The slides of a lesson, a notebook of nbformat, in order, without their pictures."""
    return [_slide(cell, about) for cell in notebook.cells if SLIDES in tags(cell) for about in listed(cell)]


def listed(cell):
    """What the metadata of a cell say of its slides, a dict for each."""
    return cell.metadata.get("antlab", {}).get(SLIDES, [])


def _slide(cell, about):
    call = live_call(cell)
    kind = next((kind for tag, kind in KINDS.items() if tag in tags(cell)), "live" if call else "thought")
    made = Slide(kind, about.get("says", ""), about.get("shows", {}))
    if call:
        made = replace(made, view=call[0])
        if not {"view", "figure"} & made.shows.keys():
            made = replace(made, shows={"view": call[0], "at": call[1] | made.shows.get("at", {})})
    if CAUTION in about:
        return replace(made, kind="caution", cautions={name: CAUTIONS[name] for name in about[CAUTION]})
    if kind == "title":
        title, question = title_and_question(cell.source)
        return replace(made, heading=title, words=question)
    if kind == "guess":
        return replace(
            made, options={name: alone(plain(words)) for name, words in OPTION.findall(cell.source)}
        )
    if kind == "answer":
        return replace(made, letter=cell.metadata["antlab"]["right"])
    if kind == "summary" and NEXT in tags(cell):
        return replace(made, leads=re.findall(r"\[[^\]]+\]\(\d\d-[^)]+\.ipynb\)", cell.source)[-1])
    return made


def illustrated(notebook):
    """The slides of a lesson in order, each with its picture."""
    found = deck(notebook)
    return [replace(one, picture=picture(one.shows)) if one.shows else one for one in found]


def picture(shows):
    """Draw what a slide shows. Returns a Picture.

    shows: {"view": name, "at": positions, and choices as its lists call them}, {"figure": name}, of DRAWINGS
    or FIGURES, or {"curve": lesson}, the axes of its guess, with "true": True beside the true curve.
    Raises KeyError for a name unknown, Slip for a setting that makes no sense.
    """
    return _picture(json.dumps(shows, sort_keys=True))


@lru_cache(maxsize=32)
def _picture(shows):
    found = []

    def make():
        fig, alt = _drawn(**json.loads(shows))
        types = [one for one in fig.findobj(Text) if one.get_text() and one.get_visible()]
        for one in types:
            one.set_fontsize(max(one.get_fontsize(), SLIDE["font.size"]))
        size = tuple(round(SLIDE_DPI * inches) for inches in fig.get_size_inches())
        least = min((one.get_fontsize() for one in types), default=SLIDE["font.size"])
        found[:] = alt, size, round(least * SLIDE_DPI / 72, 2)
        return fig, None

    svg = drawn(make, known=False)
    return Picture(svg, *found)


def _drawn(*, view="", at=None, figure="", curve="", true=False):
    """A figure at the size and in the style of a slide, and its words."""
    if view:
        fig, scene = live.VIEWS[view].still(LOOK, *setting(view, at))
        return fig, f"{scene.alt} {scene.says[0]}"
    if figure:
        shown = DRAWINGS.get(figure) or FIGURES[figure]
        make, alt, room = shown.make, shown.alt, SLIDE_INCHES
    else:
        guess = read_guess(curve)
        told = true_curve(guess) if true else None
        make = partial(stills.to_draw_upon, guess.curve.task, guess.curve.x, guess.curve.y, told)
        alt, room = (compared(guess, []), SLIDE_INCHES) if true else (guess.curve.task, CURVE_INCHES)
    with on_a_slide(room), mpl.rc_context(SLIDE):
        fig, _ = make()
        fig.draw_without_rendering()  # ticks are made when drawn, in the style of that moment
    return fig, alt


def setting(view, at=None):
    """Positions by name, and choices, of a view at what a slide names; errors as picture()."""
    options = {
        name: {called(one, name): one for one in given} for name, given in live.VIEWS[view].choices.items()
    }
    named = {name: options.get(name, {}).get(value, value) for name, value in (at or {}).items()}
    return live.VIEWS[view].settings(named)
