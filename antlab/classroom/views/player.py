"""The mechanism behind every live view: a picture computed once for all positions, played in the browser.

A view's still part is drawn by matplotlib once. Its moving parts are computed for every position of the
sliders and sent as one binary table in the picture's own pixels (film.py); live.js picks the row under the
hand, so a drag costs the kernel nothing. Only a choice (band, soil …) makes a new table. A view too costly
for that asks the kernel for one row at each position instead, by the same player.
"""

import asyncio
import contextlib
import functools
import inspect
import io
import itertools
import re
import threading
from dataclasses import dataclass, replace
from pathlib import Path

import anywidget
import ipywidgets
import matplotlib as mpl
import numpy as np
import traitlets
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from antlab.antenna.mending import spoken
from antlab.antenna.safety import cautions_for
from antlab.classroom.course import look
from antlab.classroom.drawing import looks, stills
from antlab.classroom.views.film import INCH_PX, VERSION, Dial, Film, Frames, Still, frames, refusal
from antlab.trouble import Slip, our_mistake, owned, traced
from antlab.units import FOOT_M, feet

SCRIPT = Path(__file__).with_name("live.js").read_text(encoding="utf-8")
SCREEN = looks.STYLE, 0, 200  # style, which of the view's sizes, dots per inch
PROJECTOR = looks.PROJECTOR, 0, 200
PHONE = looks.PHONE, 1, 250
BUTTONS = 12  # a slider with more names than that is slid along
REST_S = 0.3  # a hand that has not moved for so long rests
SCREENS = {"plain": SCREEN, "projector": PROJECTOR}
GROUP, KEEP = "show", "Save"  # the choice among groups of choices; the group that has the button to keep it
DRAWING = threading.RLock()
REGISTERED = {}  # every View that `@view` has made, by its name


@contextlib.contextmanager
def styled(style):
    """Draw in a style, one thread at a time: matplotlib has one for all, and widgets may run in another."""
    with DRAWING, mpl.rc_context(style):
        yield


@dataclass(frozen=True)
class Slider:
    """A quantity to drag: name and unit, first and last value, number of positions, where it begins.

    words: what each position is called, where it is no quantity; then start is 0 and stop the last one. A few
    of them have a button each. in_feet: of metres, whether they are shown in feet first. shown: not where its
    group is not on the screen. Where a choice changes its range: shares: it stays at its share of that, and
    not at its value; down: a value between two places goes to the lower one, if it is not nearly the upper
    one; past: what is said of a value that lies below it now, and of one above. unsaid: what its first place
    is called, which stands for no value.
    """

    name: str
    unit: str
    start: float
    stop: float
    count: int
    begin: float
    log: bool = False
    digits: int = 1
    words: tuple = ()
    in_feet: bool = False
    shown: bool = True
    shares: bool = False
    down: bool = False
    past: tuple = ("is not to be had here",) * 2
    unsaid: str = ""

    @property
    def values(self):
        """All positions; shape (count,)."""
        return (np.geomspace if self.log else np.linspace)(self.start, self.stop, self.count)

    @property
    def named(self):
        """Whether its positions have a button each: names, and few of them."""
        return bool(self.words) and self.count <= BUTTONS

    def nearest(self, value):
        """Index of the position nearest to a value; raises Slip when the value is out of reach."""
        if not self.start <= value <= self.stop:
            raise Slip(f"{self.name} goes from {self.start:g} to {self.stop:g} {self.unit}; got {value:g}")
        return self._near(value)

    def _near(self, value):
        return int(np.argmin(np.abs(self.values - value)))

    def stop_at(self, value):
        """The place nearest to a value, where few are wanted: to whole feet, if it is in feet."""
        return self._near(round(feet(value)) * FOOT_M if self.in_feet else value)

    def after(self, was, place, value):
        """Where it stands after a choice, and whether that is about what it was.

        was: the Slider before the choice, which stood at a place, for a value.
        """
        if self.shares and was.name == self.name:
            return round(place * (self.count - 1) / max(was.count - 1, 1)), True
        if self.shares:
            return self.nearest(self.begin), True
        found = self._near(value)
        if self.down and found and self.values[found] - value > 0.15 * (self.values[1] - self.start):
            found -= 1
        step = np.max(np.abs(np.diff(self.values)[max(found - 1, 0) : found + 1]), initial=0.0)
        return found, bool(abs(self.values[found] - value) <= (1.0 if self.down else 0.5) * step + 1e-9)

    def text(self, value):
        """A value as it is read out, feet beside metres."""
        if self.words:
            return self.words[round(value)]
        if self.unsaid and value < self.start + 1e-9:
            return self.unsaid
        if self.in_feet:
            return spoken(value, feet_first=True)
        also = f" ({feet(value):.{max(self.digits - 1, 0)}f} ft)" if self.unit == "m" else ""
        also = f" ({value / 2.54:.1f} in)" if self.unit == "cm" else also
        space = "" if self.unit == "°" else " "
        return f"{value:.{self.digits}f}{space}{self.unit}".strip() + also

    def titled(self, value, others=()):
        """A value that tells what it is by its unit, or by its name if others have that unit, or it none."""
        alone = self.unit and [one.unit for one in others].count(self.unit) < 2
        return self.text(value) if alone else f"{self.name} {self.text(value)}"


@dataclass(frozen=True)
class Offer:
    """Something that a view offers to do. words: what; lines: what it costs. The rest: what it sets.

    positions, choices: by name, those that change.
    """

    words: str
    lines: tuple
    positions: dict
    choices: dict


class View:
    """A live view. Call it for the widget; `draw` prints the same picture for paper.

    scene: function (fig, *positions, **choices) -> parts.Scene; positions are arrays of one value a row.
    sliders: function of the choices, one Slider for each position. choices: what each keyword offers.
    size: inches on the screen, on a phone and, if it is not as the phone's, of a panel on paper. hall: if not
    those of the screen, in the projector's look.
    ask: ask the kernel at each position. The scene then finds its figure as it left it, and draws what stays
    only the first time. A scene with a keyword at_rest is asked with False while the hand moves, and once
    more with True when it rests, for what takes too long to follow. stops: of such a view, positions and
    choices by name, each with the few values that a page has, which has no kernel to ask.
    work: what the view leads to, a key of safety.WORK, or nothing; its cautions stand on the view's page.
    turn_s: seconds on the screen that a turn of the wave takes, where parts swing; else 0.
    instants: those that paper shows, in turns: a panel for each tuple.
    groups: of many choices, which are shown together: name of a group -> their names. Which of them is on the
    screen is a choice too, `show`.
    offers: function of positions and choices, both by name, whose Offers are shown as they are found, once
    the hand rests. on_offers: function of both and of how many there are, for words on them, or on none.
    keep: function of a name, positions and choices that keeps what is shown, and says where; the group that
    begins with KEEP has its button.
    sets: function of a choice's name, of what it was, and of positions and choices as they are now: positions
    by name that the choice moves.
    first: a choice that asks what must not be missed: beside the picture its group stands above the words.
    outgrown: function of positions and choices, a pair, for which `first` was answered, and of those now:
    whether it is to be asked anew.
    headed: on paper, where its sliders stand is written over a panel; not where the picture says it.
    heard: its words all stand in the picture, so that on a screen they are only for who cannot see it.
    A scene with layers (`layered`) is filmed in as many tables, each with rows for its own positions alone.
    """

    def __init__(
        self, scene, sliders, choices, size, ask=False, work="", turn_s=0.0, instants=((0.0,),), groups=None,
        offers=None, on_offers=None, keep=None, heard=False, hall=None, headed=True, sets=None,
        first="", outgrown=None, stops=None,
    ):  # fmt: skip
        functools.update_wrapper(self, scene)
        self.scene, self.sliders, self.choices, self.size, self.ask = scene, sliders, choices, size, ask
        self.turn_s, self.instants, self.hall = turn_s, instants, hall or size[0]
        self.groups, self.offers, self.keep, self.heard = groups or {}, offers, keep, heard
        self.headed, self.sets, self.first, self.outgrown = headed, sets, first, outgrown
        self.stops, self.on_offers = stops or {}, on_offers or (lambda *_: "")
        self.cautions = cautions_for(work) if work else {}
        parameters = inspect.signature(scene).parameters
        self.defaults = {name: parameters[name].default for name in choices}
        self.rests = "at_rest" in parameters
        self.positions = [name for name in list(parameters)[1:] if name not in (*choices, "at_rest")]
        self.title = inspect.getdoc(scene).splitlines()[0].rstrip(".")

    @property
    def panel(self):
        """Inches of a panel on paper: if not given, the phone's, as much larger as its type."""
        more = looks.PAPER["font.size"] / looks.PHONE["font.size"]
        return self.size[2] if len(self.size) > 2 else tuple(more * one for one in self.size[1])

    def settings(self, given):
        """Split what was given by name into positions and choices; raises TypeError for a name unknown."""
        known = self.positions + list(self.choices)
        for name in set(given) - set(known):
            raise TypeError(f"{self.__name__} has no {name!r}; it takes {', '.join(known)}")
        wanted = {name: given[name] for name in self.positions if name in given}
        return wanted, self.defaults | {name: given[name] for name in self.choices if name in given}

    def places(self, wanted, choices):
        """Index of each slider for the positions wanted by name; the others stand where they begin."""
        sliders = zip(self.positions, self.sliders(**choices), strict=True)
        return [slider.nearest(wanted.get(name, slider.begin)) for name, slider in sliders]

    def offered(self, choices):
        """What each list offers where these choices stand: name -> options, two of them or more."""
        return self._listed(self.choices, choices)

    def offered_in_stops(self, choices):
        """The same on a page, of a view that asks."""
        return self._listed({name: self.stops[name] for name in self.choices if name in self.stops}, choices)

    def _listed(self, lists, choices):
        found = {}
        for name, offered in lists.items():
            options = list(offered) if len(offered) > 1 else []
            if choices[name] not in options:  # a soil or an antenna of the student's own
                options.insert(0, choices[name])
            found[name] = options
        return {name: options for name, options in found.items() if len(options) > 1}

    def __call__(self, **given):
        """The widget, at the positions and choices given by name."""
        return Live(self, *self.settings(given))

    def draw(self, *settings, **choices):
        """For paper: one panel a setting, which is a value of the first slider or a tuple, one for each."""
        choices = self.settings(choices)[1]
        sliders = self.sliders(**choices)
        begin = tuple(slider.begin for slider in sliders)
        full = [tuple(np.atleast_1d(s)) + begin[np.size(s) :] for s in settings or [begin]]
        titles = [
            ", ".join(_whole(s.titled(value, sliders)) for s, value in zip(sliders, setting, strict=True))
            for setting in full
        ]
        titles = titles if self.headed else [""] * len(full)
        with owned():
            return stills.paper(self.scene, full, titles, self.panel, self.instants, **choices)

    def still(self, look, wanted, choices, *, without=None):
        """The picture at the positions wanted by name. Returns its figure and its parts.Scene, as drawn.

        without: says of a Part whether it is left out; else all are drawn. Raises the Slip of a setting that
        makes no sense.
        """
        fig = self.figure(look)
        places = zip(self.sliders(**choices), self.places(wanted, choices), strict=True)
        with styled(look[0]):
            scene = self.scene(fig, *(slider.values[[at]] for slider, at in places), **choices)
            if without:
                scene = replace(scene, parts=[part for part in scene.parts if not without(part)])
            scene.draw()
            fig.draw_without_rendering()  # ticks are made when drawn, in the style of that moment
        return fig, scene

    def figure(self, look):
        """An empty figure for a look: its style, which of the view's sizes or inches, dots an inch."""
        style, which, _ = look
        size = self.size[which] if isinstance(which, int) else which
        size = self.hall if look == PROJECTOR else size
        with styled(style):
            fig = Figure(figsize=size, dpi=INCH_PX)
        FigureCanvasAgg(fig)
        return fig

    def film(self, look, choices, at=None, still=True, fig=None, at_rest=True) -> tuple[Still | None, Frames]:
        """Still (unless told otherwise) and frames of film.py: for every position, or for the one `at`.

        fig: of an earlier film with the same choices, when only what moves is wanted. at_rest: False while
        the hand moves. Raises the Slip of a setting that makes no sense.
        """
        style, which, dpi = look
        sliders = self.sliders(**choices)
        values = [slider.values for slider in sliders]
        if at is not None:
            values = [v[[i]] for v, i in zip(values, at, strict=True)]
        fig, moves = fig or self.figure(look), {} if at_rest or not self.rests else {"at_rest": False}
        with styled(style):
            scene, moving, numbered = None, None, dict(zip(self.positions, range(len(sliders)), strict=True))
            for layer in self.scene.layers if at is None and hasattr(self.scene, "layers") else [self.scene]:
                own = [numbered[name] for name in _positions(layer, numbered)]
                rows = np.array(list(itertools.product(*(values[i] for i in own)))).T
                one = layer(fig, *rows, **choices, **moves)
                only = [[i := numbered[name], sliders[i].nearest(value)] for name, value in one.only.items()]
                told = frames(fig, one, self.positions, own, only)
                if moving:
                    moving["over"].append(told)
                else:
                    scene, moving = one, told
            if not still:
                return None, moving
            png = io.BytesIO()
            fig.savefig(png, dpi=dpi, pil_kwargs={"compress_level": 1})
        return self._still(fig, png, sliders, scene.alt), moving

    def film_of_all(self, look, choices, at) -> Film:
        """The film of a view that does not ask, for a page. at: the places to begin with."""
        still, moving = self.film(look, choices)
        return Film(still=still, frames=moving, at=at, asked=[])

    def film_of_stops(self, look, wanted, choices) -> Film:
        """The film of a view that asks, for a page: each of its stops as the kernel would answer it at rest.

        wanted: positions by name, of those that stand still, and where the others begin. Raises the Slip of a
        setting that makes no sense.
        """
        style, _, dpi = look
        sliders = dict(zip(self.positions, self.sliders(**choices), strict=True))
        places = {
            name: sorted({sliders[name].stop_at(value) for value in values})
            for name, values in self.stops.items()
            if name in sliders
        }
        begin = {name: slider.nearest(wanted.get(name, slider.begin)) for name, slider in sliders.items()}
        at = [int(np.argmin(np.abs(np.subtract(those, begin[name])))) for name, those in places.items()]
        fig, answers = self.figure(look), []
        with styled(style):
            for those in itertools.product(*places.values()):
                stands = begin | dict(zip(places, those, strict=True))
                values = (slider.values[[stands[name]]] for name, slider in sliders.items())
                scene = self.scene(fig, *values, **choices)
                held = [one.at_stops(places[one.moves]) for one in scene.handles if one.moves in places]
                answers.append(frames(fig, replace(scene, handles=held), list(places), range(len(places))))
            with io.BytesIO() as png:
                fig.savefig(png, dpi=dpi, pil_kwargs={"compress_level": 1})
                still = self._still(fig, png, [sliders[name] for name in places], scene.alt, places.values())
        here = np.ravel_multi_index(at, [len(those) for those in places.values()])
        return Film(still=still, frames=answers[here], at=at, asked=answers)

    def _still(self, fig, png, sliders, alt, places=()) -> Still:
        """What stays. png: a file of it. places: of each slider those that are shown, or all."""
        wide, high = (round(inches * INCH_PX) for inches in fig.get_size_inches())
        all_places = places or [range(slider.count) for slider in sliders]
        dials = [
            Dial(
                name=s.name, unit="ft" if s.in_feet else s.unit, texts=[s.text(s.values[i]) for i in those],
                shown=s.shown, named=s.named,
            )
            for s, those in zip(sliders, all_places, strict=True)
        ]  # fmt: skip
        return Still(
            version=VERSION, png=png.getvalue(), width=wide, height=high, alt=alt, title=self.title,
            ask=self.ask, clock=self.turn_s, heard=self.heard, sliders=dials,
        )  # fmt: skip


def _positions(layer, names):
    """Which of a view's positions a layer of its scene takes, in its own order."""
    return [name for name in inspect.signature(layer).parameters if name in names]


def layered(scene, *over):
    """A scene with more laid over it that takes other positions: each a function like it, in its figure.

    What depends on few sliders then needs few rows. Returns the scene of all of them, for one row.
    """
    layers = scene, *over
    found = {}
    for layer in layers:
        of_it = inspect.signature(layer).parameters
        found |= {name: one for name, one in of_it.items() if one.kind is not one.VAR_KEYWORD}
    positions = [name for name, one in found.items() if one.kind is not one.KEYWORD_ONLY]

    @functools.wraps(scene)
    def whole(fig, *values, **choices):
        given = dict(zip(positions[1:], values, strict=True))
        scenes = [
            layer(fig, *(given[name] for name in _positions(layer, given)), **choices) for layer in layers
        ]
        there = [one for one in scenes if all(given[name][0] == value for name, value in one.only.items())]
        says = ["\n".join(filter(None, lines)) for lines in zip(*(one.says for one in there), strict=True)]
        return replace(
            there[0],
            parts=[part for one in there for part in one.parts],
            says=says,
            handles=[handle for one in there for handle in one.handles],
        )

    whole.__signature__ = inspect.Signature(
        sorted(found.values(), key=lambda one: one.kind is one.KEYWORD_ONLY)
    )
    whole.layers = layers
    return whole


def _whole(title):
    """A title of which no line breaks a number off its unit, or its feet off its metres."""
    return re.sub(r"(?<=\d) | (?=\()", "\N{NO-BREAK SPACE}", title)


def view(
    *sliders, size=((9.0, 4.6), (3.9, 4.2)), ask=False, work="", turn_s=0.0, instants=((0.0,),), groups=None,
    offers=None, on_offers=None, keep=None, heard=False, hall=None, headed=True, sets=None, first="",
    outgrown=None, stops=None, over=(), **choices,
):  # fmt: skip
    """Make a view of a scene function and register it by its name: `@view(Slider(…), low=("80m", "40m"))`.

    sliders may be one function that takes the choices and returns a list of them. over: more scenes, for what
    is laid over (see `layered`). The rest as View has it.
    """
    find = sliders[0] if callable(sliders[0]) else lambda **_: list(sliders)

    def register(scene):
        scene = layered(scene, *over) if over else scene
        REGISTERED[scene.__name__] = made = View(
            scene, find, choices, size, ask, work, turn_s, instants, groups, offers, on_offers, keep, heard,
            hall, headed, sets, first, outgrown, stops,
        )  # fmt: skip
        return made

    return register


def worded(name):
    """A choice's name as its label, the unit in brackets."""
    word, _, unit = name.rpartition("_")
    unit = {"mhz": "MHz", "mm": "mm"}.get(unit)
    name = {
        "low": "lower band", "high": "upper band", "band_name": "band", "power_w": "watts",
        "far_km": "km away", "trap_cable": "traps of", "power_lines": "power line near", "wire_m": "wire",
    }.get(name, name)  # fmt: skip
    return f"{word} ({unit})" if unit else name.replace("_", " ").replace("swr", "SWR")


def called(option, name=""):
    """What an option is called in its list. name: of the choice; metres are told in feet, too."""
    if name.endswith("_m"):
        return f"{option:g} m ({feet(option):.0f} ft)"
    return getattr(option, "name", None) or str(option)


def _loop():
    """The kernel's loop, or None where nobody drags."""
    with contextlib.suppress(RuntimeError):
        return asyncio.get_running_loop()


class Player(anywidget.AnyWidget):
    """The browser's side: shows one film and follows its sliders."""

    _esm = SCRIPT
    still = traitlets.Dict().tag(sync=True)
    frames = traitlets.Dict().tag(sync=True)
    at = traitlets.List(traitlets.Int()).tag(sync=True)
    offers = traitlets.Dict().tag(sync=True)
    taken = traitlets.List(traitlets.Int()).tag(sync=True)
    placed = traitlets.Dict({"number": 0}).tag(sync=True)
    answered = traitlets.Int(0).tag(sync=True)
    look = traitlets.Enum(list(SCREENS), "plain").tag(sync=True)
    narrow = traitlets.Bool(False).tag(sync=True)

    def __init__(self, **values):
        super().__init__(**values)
        self.lock = threading.RLock()  # JupyterLab's messages come in a thread of their own, save the first
        self._newest = {}  # number of the newest place that a hand asked for, by who sent it
        self.on_msg(self._follow)

    def _follow(self, _, content, buffers):
        """Go where the hand is; the browser hears of it in one message, and asks for the next place.

        What is held back by two threads at once would never be sent: one waits for the other. And one may
        come later that was asked for before: it is answered, and nobody goes there.
        """
        with self.lock, self.hold_sync():
            try:
                sender, there = content.get("sender"), self.placed["number"]
                number, newest = content.get("number", 0), self._newest.get(sender, 0)
                self._newest[sender] = max(number, newest)
                if number >= newest and content.get("placed", there) == there:
                    self.at = content["at"]  # else of sliders that are no more
            finally:
                self.answered += 1


class Live(ipywidgets.VBox):
    """A live view in the notebook: the choices above, the player below.

    A setting that makes no sense is answered by its Slip's sentence in place of the picture, until the
    next one that does.
    """

    plays = True  # False in a kernel that shows still twins alone (paper/stills.py): no film is made

    def __init__(self, view, wanted, choices):
        self.view, self.player, self.controls, self._own = view, Player(look=look()), {}, choices
        self._resting = self._offering = self._ways = self._last = None
        self._offered, self._setting = [], False
        self._answered = None  # the positions and choices for which the view's first question was answered
        self._sliders, self._stood = (), ()  # those that the places are of; values that they stand for
        for name, options in view.offered(choices).items():
            kind = ipywidgets.ToggleButtons if name == GROUP else ipywidgets.Dropdown
            self.controls[name] = kind(
                options=[(called(option, name), option) for option in options],
                value=choices[name], description="" if name == GROUP else worded(name),
                layout={"width": "auto", "height": "auto"}, style={"description_width": "initial"},
            )  # fmt: skip
            self.controls[name].observe(self._seen(self._film), "value")
        try:
            self.player.at, trouble = view.places(wanted, choices), ""
        except Slip as wrong:
            trouble = str(wrong)
        with owned():
            self._film()
        if trouble and not self.player.frames.get("message"):
            self.player.frames = self.player.frames | {"message": trouble}
        self.player.observe(self._seen(self._switch), "look")
        self.player.observe(self._seen(self._film), "narrow")
        if view.ask:
            self.player.observe(self._seen(self._frame), "at")
        self.player.observe(self._seen(self._take), "taken")
        self._above = ipywidgets.HBox(layout={"flex_flow": "row wrap"}).add_class("antlab-choices")
        self._keeping = self._keeper() if view.keep else []
        self._group()
        tabs = [ipywidgets.HBox([self.controls[GROUP]]).add_class("antlab-tabs")] if view.groups else []
        self._own_children = [*tabs, self._above, self.player]
        super().__init__(self._own_children)
        for name in ("antlab-view", *(["antlab-tabbed"] if tabs else [])):
            self.add_class(name)

    def _keeper(self):
        """A name, a button and what came of it."""
        name = ipywidgets.Text("my-antenna", description="name", layout={"width": "16em"})
        button, said = ipywidgets.Button(description="Save it"), ipywidgets.Label().add_class("antlab-said")

        def keep(_):
            try:
                said.value = self.view.keep(name.value, self.positions, self.choices)
            except Slip as wrong:
                said.value = " ".join(str(wrong).split())

        button.on_click(self._seen(keep))
        return [name, button, said]

    def _group(self):
        """The controls of the group that is on the screen."""
        groups, shown = self.view.groups, list(self.controls.values())
        if groups:
            group = self.controls[GROUP].value
            names = [name for name in groups[group] if name in self.controls]
            shown = [self.controls[name] for name in names] + (self._keeping if group == KEEP else [])
        self._above.children = shown
        is_first = self.controls.get(self.view.first) in shown
        (self._above.add_class if is_first else self._above.remove_class)("antlab-first")

    def __repr__(self):
        return f"Live view: {self.view.title}\nRun this cell again to drag it."

    @property
    def choices(self):
        """The choices as they stand."""
        return self._own | {name: control.value for name, control in self.controls.items()}

    @property
    def positions(self):
        """Where the sliders stand, by name; in the notebook as of the last time that they were let go."""
        sliders = self._sliders or self.view.sliders(**self.choices)
        stand = zip(self.view.positions, sliders, self.player.at, strict=True)
        return {name: float(slider.values[place]) for name, slider, place in stand}

    def _seen(self, make):
        """A callback whose errors are seen, for ipywidgets keeps them to itself.

        A mistake of ours is owned in place of the picture, with its traceback below, until the next setting.
        """

        def callback(change):
            with self.player.lock:
                seen(change)

        def seen(change):
            below = []
            try:
                make(change)
            except Exception as error:
                self._figure = None  # it may be half drawn
                self.player.frames = refusal(our_mistake(error))
                text = {"output_type": "stream", "name": "stderr", "text": traced(error)}
                below = [ipywidgets.Output(outputs=[text])]
            if below or len(self.children) > len(self._own_children):
                self.children = [*self._own_children, *below]

        return callback

    def _switch(self, change):
        """The other look, for this view and for all that come after it."""
        looks.projector(change["new"] == "projector")
        self._film()

    def _stay(self, at=None):
        """Places of the sliders that the choices want: where steps are others, what they stood at is kept.

        at: places that are given. Returns sliders, places, the values that these stand for, and what could
        not be kept, in words.
        """
        sliders = self.view.sliders(**self.choices)
        given = at is not None
        at = at if given else self.player.at or self.view.places({}, self.choices)
        if given or not self._sliders:
            return sliders, at, [(place, None) for place in at], ""
        stay, stood, said = [], [], []
        for was, now, place, (left, value) in zip(self._sliders, sliders, at, self._stood, strict=True):
            if value is None or place != left:  # the hand has moved it
                value = float(was.values[place])
            there, kept = place, True
            if (was.start, was.stop, was.count) != (now.start, now.stop, now.count):
                there, kept = now.after(was, place, value)
            if not kept:
                here, why = now.text(now.values[there]), now.past[int(value > now.stop)]
                said.append(f"{now.name} {was.text(value)} {why}: it is now {here}.")
            stay.append(there)
            stood.append((there, value))
        return sliders, stay, stood, " ".join(said)

    def _film(self, change=None, at=None):
        """Make and send everything: the choices are new. at: places for them, else as the sliders stand."""
        if self._setting:
            return
        if change and self.view.groups:
            self._group()
        still, moving, stay = None, refusal(""), None
        try:
            stay = self._stay(at or self._set_by(change))
            if self.plays:
                still, moving = self._made(stay[1])
        except Slip as wrong:
            moving = refusal(wrong)
            if self.view.ask:  # sliders to get away by, as they are where the view begins
                with contextlib.suppress(Slip):
                    still, _ = self._made(self.view.places({}, self.choices))
        with self.player.hold_sync():
            if stay and (still or not self.plays):
                self._place(*stay)
            if still:
                self.player.still = still
            self.player.frames = moving
        if change and change["owner"] is self.controls.get(self.view.first):
            self._answered = self.positions, dict(self.choices)
        elif self._asks_anew():
            return self._film()
        self._offer()

    def _asks_anew(self):
        """Take back the answer to the view's first question where it was given for less; return whether."""
        control = self.controls.get(self.view.first)
        if not self.view.outgrown or control.value == self.view.defaults[self.view.first]:
            return False
        now = self.positions, dict(self.choices)
        self._answered = self._answered or now  # given with the call
        if not self.view.outgrown(self._answered, now):
            return False
        self._setting, self._answered = True, None
        try:
            control.value = self.view.defaults[self.view.first]
        finally:
            self._setting = False
        return True

    def _set_by(self, change):
        """Places of the sliders where a choice moves them, or None."""
        if not change or not self.view.sets or not self._sliders:
            return None
        names = [name for name, control in self.controls.items() if control is change["owner"]]
        positions, choices = self.positions, self.choices
        moved = self.view.sets(names[0], change["old"], positions, choices) if names else {}
        return self.view.places(positions | moved, choices) if moved else None

    def _place(self, sliders, at, stood, said):
        """The sliders stand so; the browser is told where that is not as it stood."""
        moved = at != self.player.at
        self._setting, (self._sliders, self._stood) = True, (sliders, stood)
        try:
            self.player.at = at
        finally:
            self._setting = False
        if moved or said:
            self.player.placed = {"number": self.player.placed["number"] + 1, "at": at, "said": said}

    @property
    def _screen(self):
        """The look in which it is shown: in a narrow window a phone's."""
        return PHONE if self.player.narrow else SCREENS[self.player.look]

    def _made(self, at):
        """Still and frames; the figure is kept for those who ask."""
        self._figure, figure = None, self.view.figure(self._screen)
        made = self.view.film(self._screen, self.choices, at if self.view.ask else None, fig=figure)
        self._figure = figure
        return made

    def _frame(self, change=None):
        """Make and send one row, for a view that asks at each position."""
        if self._setting:
            return
        if self._resting:
            self._resting.cancel()
            self._resting = None
        last = self._last = object()
        if not self._figure:  # nothing to draw upon yet
            return self._film()
        loop = _loop() if self.view.rests else None
        self._row(at_rest=loop is None)
        if loop:
            self._withdraw()
            self._resting = loop.call_later(REST_S, self._seen(lambda _: self._rest(last)), None)

    def _rest(self, last):
        if last is self._last:  # else the hand moved on, in another thread, as this one began
            self._asks_anew()
            self._row()
            self._offer()

    def _withdraw(self):
        """What was offered is no more."""
        if self._offering:
            self._offering.cancel()
        self._offering, self._ways, self._offered = None, None, []
        if any(self.player.offers.values()):
            self.player.offers = {"all": [], "told": ""}

    def _offer(self):
        """Look for offers, one try at a time, so that the hand is followed; without a kernel nobody asks."""
        self._withdraw()
        loop = _loop() if self.view.offers else None
        if not loop:
            return
        ways = self._ways = self.view.offers(self.positions, self.choices)

        def look_further(_):
            if ways is not self._ways:
                return  # withdrawn, in another thread
            self._offering = None
            for found in ways:
                if found:
                    self._offered.append(found)
                    self._show_offers()
                self._offering = loop.call_later(0.005, self._seen(look_further), None)
                return
            if not self._offered:
                self._show_offers()

        self._offering = loop.call_later(0.005, self._seen(look_further), None)

    def _show_offers(self):
        """What was found so far, and words on it."""
        told = self.view.on_offers(self.positions, self.choices, len(self._offered))
        found = [[one.words, *one.lines] for one in self._offered]
        if found or told:
            self.player.offers = {"all": found, "told": told}

    def take(self, offer):
        """Do what an Offer says."""
        positions, self._setting = self.positions, True
        try:
            for name, value in offer.choices.items():
                control = self.controls[name]
                if value not in [option for _, option in control.options]:
                    control.options = [*control.options, (called(value, name), value)]
                control.value = value
        finally:
            self._setting = False
        places = self.view.places(positions | offer.positions, self.choices)
        self._withdraw()
        if GROUP in offer.choices:
            self._group()
        self._film(at=places)

    def _take(self, change):
        """The button of an offer was pressed: its number, after that of the press."""
        if change["new"] and change["new"][-1] < len(self._offered):
            self.take(self._offered[change["new"][-1]])

    def _row(self, at_rest=True):
        kept = {"still": False, "fig": self._figure, "at_rest": at_rest}
        try:
            moving = self.view.film(self._screen, self.choices, self.player.at, **kept)[1]
        except Slip as wrong:
            moving = refusal(wrong)
        self.player.frames = moving
