"""The still twin of a live view, for paper: what a notebook's kernel shows when it is exported."""

import sys

from antlab.classroom.drawing import stills
from antlab.classroom.drawing.looks import looking
from antlab.classroom.figures import drawn
from antlab.classroom.guess.entry import Answered, Entry, compared, true_curve
from antlab.classroom.views.player import SCREENS, Live, worded
from antlab.trouble import Slip, our_mistake, traced

LOOK = "plain"
STILL = "application/vnd.antlab.still+json"


def show_stills():
    """From now on this kernel shows each live view as its still twin, and empty axes where one is to draw."""
    from IPython import get_ipython

    Live.plays = False
    formatter = get_ipython().display_formatter.mimebundle_formatter
    formatter.for_type(Live, lambda widget, **_: {"text/plain": repr(widget), STILL: still(widget)})
    for kind in (Entry, Answered):
        formatter.for_type(kind, lambda entry, **_: {"text/plain": repr(entry)} | _axes(entry))


def _axes(entry):
    """Where a guess asks for a curve, the axes: empty, or beside the answer with the true curve."""
    curve, told = entry.guess.curve, isinstance(entry, Answered)
    if not curve:
        return {}

    def make():
        with looking(LOOK):
            return stills.to_draw_upon(
                curve.task, curve.x, curve.y, true_curve(entry.guess) if told else None
            )

    return {
        STILL: {"svg": drawn(make, known=False), "alt": compared(entry.guess, []) if told else curve.task}
    }


def still(widget):
    """What a Live shows where its sliders stand, as a dict for the template; JSON can hold it.

    A setting that makes no sense gives the sentence of its Slip in place of the picture.
    """
    view, choices, places = widget.view, widget.choices, widget.positions
    sliders = view.sliders(**choices)
    about = {
        "name": view.__name__,
        "title": view.title,
        "drag": [f"{s.name} ({_span(s)})" for s in sliders if s.shown],
        "choose": [worded(name) for name in widget.controls],
        "here": [
            *(s.titled(places[name], sliders) for name, s in zip(places, sliders, strict=True) if s.shown),
            *(f"{worded(name)}: {control.label}" for name, control in widget.controls.items()),
        ],
    }  # fmt: skip
    found = []

    def make():
        found[:] = view.still(SCREENS[LOOK], places, choices)
        return found

    try:
        svg = drawn(make, known=False)
    except Slip as wrong:
        return about | {"message": str(wrong)}
    except Exception as error:  # a formatter's error would only leave the picture out
        print(traced(error), file=sys.stderr)
        return about | {"message": our_mistake(error)}
    _, scene = found
    return about | {"svg": svg, "says": scene.says[0].split("\n"), "alt": scene.alt, "size": view.size[0]}


def _span(slider):
    unit = "" if slider.unit == "°" else " "
    first, last = (f"{value:.{slider.digits}f}".removesuffix(".0") for value in (slider.start, slider.stop))
    return f"{first} to {last}{unit}{slider.unit}".strip()
