"""The planner: a two-band trap dipole in the student's own yard, solved anew wherever the hand puts it."""

import os
from dataclasses import replace
from functools import cached_property, lru_cache
from pathlib import Path

import matplotlib as mpl
import numpy as np

from antlab.antenna import mending, plan_making
from antlab.antenna.design import AIMS
from antlab.antenna.mending import HIGHEST_M, WATTS, Wish, spoken
from antlab.antenna.own_antenna import Antenna
from antlab.antenna.safety import (
    GOOD,
    LOOK_UP,
    LOWEST_END_M,
    MIND,
    check_trap_volts,
    is_sent,
    worst,
)
from antlab.antenna.safety import MODES as SENT
from antlab.antenna.tape import Tape, rounded_up
from antlab.antenna.yard import Yard, compass
from antlab.classroom.drawing.axes import dbi, em_of, filled, free_place, plot_axes, wide_em
from antlab.classroom.drawing.from_above import above, panel
from antlab.classroom.drawing.keep_off import clear_said_m, zone
from antlab.classroom.drawing.looks import BLACK, GREY, ORANGE, still_figure
from antlab.classroom.drawing.parts import Handle, Part, Pen, Scene
from antlab.classroom.drawing.signs import wire
from antlab.classroom.drawing.two_bands import lobes, share_bars, swr_curves
from antlab.classroom.views.player import GROUP, KEEP, Offer, Slider, view
from antlab.engine.pattern import Pattern
from antlab.engine.shapes import FlatTop, InvertedVee
from antlab.physics import circuit, sky
from antlab.physics.bands import BANDS, MODES, SOILS_IN_VIEWS, band
from antlab.physics.bands import soil as named_soil
from antlab.physics.cable import IN_PLANNER
from antlab.physics.lengths import rule_length_m
from antlab.physics.trap import CoaxTrap
from antlab.physics.wires import IN_PLANNER as WIRES
from antlab.units import FOOT_M, MILE_KM, Slip, feet

FAR_KM = (200, 500, 1000, 1700, 2500, 3500)  # of the station to be reached, in one hop
FRIEND_KM = 1700  # of lesson 07, whom noon lets all bands reach
BOTH, ONE = "both ends", "one end"  # which are lower: a vee, or supports of two heights
ONE_LOWER = "Lower by"  # the slider of one end, in few words
ALONG = ("not said", "its length", "its width", "its diagonal")  # of the garden, how the wire runs
LINES = ("not looked yet", "no, none", "yes")  # could what falls touch a power line
GROUPS = {
    "Supports": ("lower", "soil", "units"),
    "Garden": ("power_lines", "along", "units"),
    "Bands": ("low", "high", "mode", "aim", "licence", "region"),
    "Parts": ("trap_cable", "wire"),
    "Station": ("power_w", "sends", "far_km", "hour"),
    KEEP: (),
}
_UNDER_EM = 1.7  # from the wire down to the hand that moves it
_NEAR_EM, _FAR_EM = 1.8, 2.6  # of what it tells, a height
_UP_M, _ASIDE_M = 20.3, 22.0  # what the yard shows at a size of 1
_AROUND = 1.5  # what is left around the yards of a slide
_SMALL = 0.45  # of a small yard
_WITHIN = 0.985  # of the picture, what others keep off
# of larger ones: what is drawn grows with height and room, less and less, to 17 and 21 for the largest
_HEIGHT, _ROOM = (5.0, 20.3), (12.0, 50.4)
_ONE_POLE = "Level, it wants two supports. Only one pole, in the middle? Let the ends down."
_SIDE_M = 4.8  # of a garden: a slider that stands lower says nothing
_COST = "Buttons mend it. What changes: kHz with SWR under 2, W of heat in a trap, dB to the friend."
_NOT_KNOWN = "How far others stay off is not reckoned while it cannot hang so."
_OF_TRAPS = "Parts", "Station"  # groups that have buttons too for what is only minded
_THERE = "Station has buttons for that."
_NO_WAY = "No button mends this. "
_TRY = {  # what the hand can do, by what is wrong
    "room": "Give it more Room, or take higher bands under Bands.",
    "ends": "Raise Height, or let the ends down less.",
    "steep": "Let the ends down less.",
    "pair": "Take other bands under Bands.",
    "narrow": "Take one mode under Bands.",
    "heat": "Take fewer watts under Station, or thicker cable under Parts.",
    "volts": "Take fewer watts under Station, or thicker cable under Parts.",
}


def shape_of(height_m, drop_m):
    """How the wire hangs: level, or as a vee.

    height_m: of the feed, metres. drop_m: by how much the ends are lower. Returns a FlatTop or InvertedVee.
    Raises Slip for ends in the ground or within reach, below safety.LOWEST_END_M.
    """
    ends = height_m - drop_m
    if ends < LOWEST_END_M - 1e-9:
        where = f"{ends:.1f} m ({feet(ends):.0f} ft) up, within reach" if ends > 0 else "in the ground"
        raise Slip(
            f"the ends would be {where}, and they carry high voltage: keep them {LOWEST_END_M:g} m "
            f"({feet(LOWEST_END_M):.0f} ft) up or higher; raise the feed, or lower the ends less"
        )
    return InvertedVee(apex_m=height_m, ends_m=ends) if drop_m else FlatTop(height_m=height_m)


def _controls(low="40m", show="Supports", lower=BOTH, units="metres", along=ALONG[0], **_):
    return list(_sliders(low, show, lower, units, along))


@lru_cache(maxsize=16)  # asked twice at each position
def _sliders(low, show, lower, units, along):
    half_wave = float(rule_length_m(band(low).low_mhz))
    in_feet, garden = units == "feet", show == "Garden"

    def metres(name, start_m, stop_m, step_m, begin, shown, unsaid=""):
        if in_feet:  # the same room, in steps of half a foot where those of metres are 0.1 or 0.5 m
            step_m = FOOT_M / 2 if step_m < 0.5 else FOOT_M
            start_m, stop_m = (round(one / step_m) * step_m for one in (start_m, stop_m))
            start_m = start_m + step_m if start_m < 3 and name == "Height" else start_m
        if unsaid:
            begin = start_m = start_m - step_m
        count = round((stop_m - start_m) / step_m) + 1
        # No more than was said, of a drop for what hangs out of reach, and of room for what fits.
        seen = {"in_feet": in_feet, "shown": shown, "unsaid": unsaid, "down": name != "Height"}
        return Slider(name, "m", start_m, stop_m, count, begin, **seen)

    points = range(0, 365, 5)
    told = tuple(f"{deg}° {compass(deg)}" for deg in points)
    if along == ALONG[0]:
        told = (ALONG[0], *told[1:])  # north, if it is meant, lies at the other end
    heading = "Wire runs to" if along == ALONG[0] else "Length lies to"
    return (
        metres("Height", 3, HIGHEST_M, 0.1, 9, not garden),
        metres("Ends lower" if lower == BOTH else ONE_LOWER, 0, 20, 0.1, 0, not garden),
        metres("Room", 5, 60, 0.1, np.ceil(half_wave), not garden),
        metres("Width", 5, 60, 0.5, None, garden, ALONG[0]),
        metres("Length", 5, 100, 0.5, None, garden, ALONG[0]),
        Slider(heading, "", 0, 72, 73, 0, words=told, shown=garden),
    )


def yard_of(
    height_m, drop_m, room_m, width_m=0.0, length_m=0.0, heading=0, *, lower=BOTH, along=ALONG[0], **_
):  # fmt: skip
    """The Yard for the planner's positions and choices, its ends never lower than 5 cm.

    width_m, length_m: of the garden; less than 4.8 m of either says nothing of it. heading: place of the
    direction's slider, 5 degrees each: of the wire, or of the garden's length where along says how it runs.
    """
    ends, heading_deg = max(height_m - drop_m, 0.05), 5.0 * float(heading)
    level = lower == ONE or not drop_m
    yard = {
        "hung": "level" if level else "vee",
        "heights_m": (float(height_m), float(ends)),
        "span_m": float(room_m),
    }
    runs = {"runs_deg": (heading_deg + (90 if along == ALONG[2] else 0)) % 360}
    if min(width_m, length_m) < _SIDE_M:
        return Yard(**yard, **runs)
    turned = 90 if along == ALONG[0] and width_m > length_m else 0  # unsaid, it runs along the longer side
    yard |= {"garden_m": (float(width_m), float(length_m)), "garden_deg": (heading_deg + turned) % 360}
    if along == ALONG[3]:
        return Yard(**yard, runs_deg=Yard(**yard).diagonal_deg)
    return Yard(**yard, **runs)


def _as_said(yard, positions, choices):
    """The Yard without a direction that nobody said: there the slider of that begins."""
    unsaid = choices.get("along", ALONG[0]) == ALONG[0] and not positions.get("heading")
    return replace(yard, runs_deg=None) if unsaid else yard


def wish_of(positions, choices):
    """The Wish for the planner's positions and choices, both by name."""
    asked = {name: choices[name] for name in ("low", "high", "wire", "sends", "power_w") if name in choices}
    asked |= {name: choices[name] for name in ("aim", "licence", "region") if name in choices}
    mode = choices.get("mode", "any")
    return Wish(
        yard=yard_of(**positions, **choices), trap=choices.get("trap_cable", "RG-58"),
        soil=named_soil(choices["soil"]), mode=None if mode == "any" else mode,
        up_deg=float(sky.at(choices.get("hour", "noon")).elevation_deg(choices.get("far_km", FRIEND_KM))),
        **asked,
    )  # fmt: skip


def _offers(positions, choices):
    """What would mend it: Offers as they are found, None after a try that did not do."""
    if choices["power_lines"] == LINES[2]:
        return
    feet_first, wish, most = choices["units"] == "feet", wish_of(positions, choices), mending.MOST
    if not wish.faults and choices["show"] not in _OF_TRAPS:
        return
    if _wants_garden(wish) and choices["show"] != "Garden":
        most -= 1
        yield Offer("Say the garden's size:", ("its diagonal may do",), {}, {"show": "Garden"})
    for mend in mending.mends(wish, feet_first=feet_first, alone=True, most=most):
        yield mend and Offer(mend.words, mend.changes, *_settings(mend.wish, positions, choices))


def _wants_garden(wish):
    """Whether a garden's diagonal may mend what is wrong, and nobody said how large it is."""
    return wish.yard.garden_m is None and any(one.key == "room" for one in wish.faults_of_yard())


def _on_offers(positions, choices, found):
    """What is said of so many Offers: how to read them, or what the hand can do where nothing was found."""
    if found:
        return _COST
    if choices["power_lines"] == LINES[2]:
        return ""
    wish = wish_of(positions, choices)
    if wish.faults:
        return _NO_WAY + _TRY[wish.faults[0].key]
    return _THERE if wish.minded and choices["show"] not in _OF_TRAPS else ""


def _settings(wish, positions, choices):
    """Positions and choices that a mended wish differs in, as the planner takes them."""
    (top, ends), yard = wish.yard.heights_m, wish.yard
    moved = {"height_m": max(top, ends), "drop_m": abs(top - ends)}
    if yard.span_m is not None:  # a place of the slider that has all of it
        rooms = _controls(**choices)[2].values
        moved["room_m"] = float(rooms[min(np.searchsorted(rooms, yard.span_m - 1e-6), len(rooms) - 1)])
    chosen = {
        "low": wish.low, "high": wish.high, "trap_cable": wish.trap, "power_w": int(wish.power_w),
        "mode": wish.mode or "any", "sends": wish.sends,
    }  # fmt: skip
    if yard.hung == "vee":
        chosen["lower"] = BOTH
    if yard.garden_m and abs(yard.runs_deg - yard.diagonal_deg) < 1e-6:
        chosen["along"] = ALONG[3]
        if choices["along"] == ALONG[0]:  # then the slider is of the garden's length
            moved["heading"] = yard.garden_deg / 5
    return (
        {name: value for name, value in moved.items() if abs(value - positions[name]) > 1e-6},
        {name: value for name, value in chosen.items() if value != choices[name]},
    )


def _sets(name, was, positions, choices):
    """What the positions are after a choice of that name: the diagonal, asked for, gives all of its room.

    Who leaves it has no more than there is.
    """
    asked = choices["along"] == ALONG[3]
    if name != "along" or not (asked or was == ALONG[3]):
        return {}
    before, moved = yard_of(**positions, **choices | {"along": was}), {}
    if before.garden_m is None:
        return {}
    if asked and was == ALONG[0]:  # the slider is of the garden's length now: that lies as it lay
        moved["heading"] = before.garden_deg / 5
    chord_m = yard_of(**positions | moved, **choices).chord_m
    rooms = _controls(**choices)[2].values
    room = float(rooms[max(np.searchsorted(rooms, chord_m + 1e-6) - 1, 0)])
    other = room > positions["room_m"] if asked else room < positions["room_m"]
    return moved | ({"room_m": room} if other else {})


def _outgrown(answered, now):
    """Whether what falls may reach farther than where somebody looked for power lines, or elsewhere.

    answered, now: positions and choices, each by name.
    """
    (was, _), (here, _) = answered, now
    if any(here[name] > 1.02 * was[name] for name in ("height_m", "drop_m", "room_m")):
        return True
    (old_m, old_deg), (new_m, new_deg) = (_reach(*one) for one in (answered, now))
    return new_m > 1.02 * old_m or old_deg != new_deg


def _reach(positions, choices):
    """How far what falls may reach, metres, and how the wire runs, degrees, or None where nobody said."""
    seen = Seen(positions, choices, keep_off=False)
    deg = seen.wish.yard.toward_deg
    return seen.plan["falls_m"], deg if deg is None else round(deg % 180)


def _keep(name, positions, choices):
    """Keep the antenna in the work folder, in place of one of that name of which nothing was measured yet.

    Returns what came of it, in a sentence.
    """
    _safe_place(choices)
    wish = wish_of(positions, choices)
    made = _fitting(wish, feet_first=choices["units"] == "feet")
    name = name.strip().removesuffix(".json")
    antenna = Antenna(
        name=name, yard=_as_said(wish.yard, positions, choices), low=wish.low,
        high=wish.high, aim=wish.aim, mode=wish.mode,
        licence=wish.licence, region=wish.region, soil=made.dipole.soil.name, wire=made.dipole.wire,
        power_w=float(wish.power_w), sends=wish.sends, trap=made.wound,
    )  # fmt: skip
    path = Path.cwd() / f"{name}.json"
    anew = " in place of the one before" if os.path.lexists(path) else ""
    try:
        antenna.save(path, force=True)
    except Slip as no:
        raise Slip(str(no).replace(f"{path.parent}{os.sep}", "")) from None
    look = "" if choices["power_lines"] == LINES[1] else f" {LOOK_UP}"
    return f"Saved: {path.name}, beside this notebook{anew}.{look}"


NEVER = "Nothing of it may ever touch a power line, even if it falls. Find another place."


def _safe_place(choices):
    """Raise Slip where somebody said that a power line could be touched."""
    if choices.get("power_lines") == LINES[2]:
        raise Slip(f"Not here. {NEVER}")


def _fitting(wish, feet_first=False):
    """The Design of a wish that can be built. Raises Slip where it cannot, with the reason."""
    wrong = [
        fault for fault in wish.faults_of_yard(feet_first) if fault.key in ("pair", "steep", "ends", "room")
    ]
    if wrong or wish.made is None:
        raise Slip(wrong[0].words if wrong else "this antenna cannot be solved")
    return wish.made


@view(
    _controls,
    size=((9.0, 5.0), (3.9, 7.0)),
    ask=True,
    groups=GROUPS,
    offers=_offers,
    on_offers=_on_offers,
    keep=_keep,
    sets=_sets,
    first="power_lines",
    outgrown=_outgrown,
    stops={
        "height_m": (*np.arange(3, 10.6, 0.5), 10.6, 11, 11.5, 12),
        "drop_m": (0, 4.5),
        "power_w": (100, 1500),
        "units": ("metres", "feet"),
    },
    show=tuple(GROUPS),
    lower=(BOTH, ONE),
    units=("metres", "feet"),
    along=ALONG,
    power_lines=LINES,
    low=BANDS,
    high=BANDS,
    soil=SOILS_IN_VIEWS,
    trap_cable=IN_PLANNER,
    wire=WIRES,
    power_w=WATTS,
    sends=tuple(SENT),
    far_km=FAR_KM,
    hour=tuple(sky.HOURS),
    aim=AIMS,
    mode=("any", *MODES),
    licence=("general",),
    region=(2,),
)
def planner(
    fig, height_m, drop_m, room_m, width_m, length_m, heading, *, show="Supports", lower=BOTH,
    units="metres", along=ALONG[0], power_lines=LINES[0], low="40m", high="20m", soil="average",
    trap_cable="RG-58", wire=WIRES[0], power_w=100, sends="carrier", far_km=FRIEND_KM, hour="noon",
    aim="widest", mode="any", licence="general", region=2, at_rest=True,
):  # fmt: skip
    """What fits into your yard.

    A two-band trap dipole solved for the yard at each position: lengths within 1 mm of al.design's while the
    hand moves, as close as its own when it rests. One that does not fit is shown with what sticks out. How
    far people must stay is computed when the hand rests.
    """
    positions = {"height_m": height_m, "drop_m": drop_m, "room_m": room_m, "width_m": width_m,
                 "length_m": length_m, "heading": heading}  # fmt: skip
    positions = {name: float(one[0]) for name, one in positions.items()}
    choices = {
        "low": low, "high": high, "soil": soil, "trap_cable": trap_cable, "wire": wire, "power_w": power_w,
        "sends": sends, "far_km": far_km, "hour": hour, "aim": aim, "mode": mode, "licence": licence,
        "region": region, "lower": lower, "along": along, "units": units, "power_lines": power_lines,
    }  # fmt: skip
    seen = Seen(positions, choices, at_rest=at_rest, garden=show == "Garden")
    panels = _panels(fig, seen.garden)
    parts = _yard(panels[0], seen)
    held = _handles(parts[0].ax, _controls(**choices, show=show), seen)
    if seen.aims:
        parts += _electrical(panels, seen)
    if show == "Garden":
        parts += above(panel(panels[2]), seen.wish.yard, seen.plan)
    says = "\n".join([seen.verdict, *seen.lines(show)])
    return Scene(parts, [says], seen.alt, handles=held)


@lru_cache(maxsize=8)
def _last(begin):
    """How far others stayed off when a hand rested the last time, in a list: for a Design to begin with."""
    return [0.0]


@lru_cache(maxsize=256)  # the same for all groups, looks and pages
def _kept_off(wish):
    """Sag of a Wish that can be solved, metres, and how far people keep off on both bands."""
    made = wish.made.settled()
    hanging = plan_making.hanging_of(made, yard=wish.yard)
    return hanging.sag_m, [made.exposure(one, deep_m=hanging.deep_m) for one in made.aims]


class Seen:
    """The antenna for the planner's positions and choices as its picture needs it, whether it can be or not.

    positions, choices: by name. at_rest: whether the hand rests: then lengths are as close as design()'s.
    garden: whether it is seen from above. keep_off: whether it tells at rest how far people keep off.
    """

    def __init__(self, positions, choices, *, at_rest=True, garden=False, keep_off=True):
        self.wish = wish_of(positions, choices)
        if not at_rest:
            self.wish.followed()
        self.made, self.garden = self.wish.made, garden
        if at_rest and self.made:
            self.made = self.made.settled()
        self.feet_first = choices.get("units") == "feet"
        self.far_km, self.hour = choices.get("far_km", FRIEND_KM), choices.get("hour", "noon")
        self.power_lines = choices.get("power_lines", LINES[0])
        self.runs_said = _as_said(self.wish.yard, positions, choices).runs_deg is not None
        wish, self.faults = self.wish, self.wish.faults_of_yard(self.feet_first)
        self.height, self.drop = positions["height_m"], positions["drop_m"]
        self.room = positions["room_m"]
        if wish.yard.chord_m is not None:
            self.room = min(self.room, wish.yard.chord_m)
        self.level = wish.yard.hung == "level"
        begin = self.made
        if begin is None and not any(fault.key == "pair" for fault in self.faults):
            begin = wish.begin  # as long as it would be 9 m up
        self.aims = begin.aims if begin else ()
        self.dipole = begin.dipole if begin else None
        self.leg = begin.dipole.length_m / 2 if begin else 0.0
        self.away, self.sag_m = [], 0.0
        if at_rest and keep_off and self.made:
            self.sag_m, self.away = _kept_off(self.wish)
        self.keep_off, self.around_m = (np.nan, 0.0), 0.0
        if self.away:
            self.keep_off = (
                max(one["keep_away_m"] for one in self.away),
                min(one["clear_below_m"] for one in self.away),
            )
            self.around_m = float(np.nan_to_num(self.keep_off[0]))
        if keep_off and self.aims:  # a picture keeps the size for it until the hand rests
            last = _last(wish.begin)
            self.around_m = last[0] = self.around_m if at_rest else last[0]
        self.bands = self._solved() if self.made else ()

    def say(self, length_m, **rounded):
        return spoken(length_m, self.feet_first, **rounded)

    @property
    def clear_m(self):
        """Below what height others may be anywhere, as said and drawn, metres; 0: nobody stands there."""
        return clear_said_m(self.keep_off[1])

    def smaller(self, ax, height_m, room_m):
        """How many times smaller it is drawn: all of it, with what others keep off. ax: of the yard."""
        roof = _UP_M - (1.6 * em_of(ax) if self.fault else 0.0)
        over = (height_m + self.around_m) / roof if self.around_m else 0.0
        aside = (self.half + self.around_m) / _ASIDE_M if self.around_m else 0.0
        return np.maximum(drawn_smaller(height_m, room_m), np.maximum(over, aside) / _WITHIN)

    @property
    def half(self):
        """From the middle to the end of the wire, along the ground, metres."""
        if self.level:
            slope = self.drop / self.room
            return self.leg / np.hypot(1, slope)
        return np.sqrt(max(self.leg**2 - self.drop**2, (0.26 * self.leg) ** 2))

    @property
    def fault(self):
        """What sticks out, in two words, or nothing."""
        for one in self.faults:
            # feet beside metres are of the metres that are told
            by_m = one.by_m if one.by_m < 0.1 or self.feet_first else rounded_up(one.by_m, 0.1)
            if one.key == "room":
                return f"{self.say(by_m, up=True)} too long"
            if one.key == "ends":
                return f"{self.say(by_m, up=True)} too low"
            if one.key == "steep":
                return "too steep"
            return "no such wire"
        return ""

    @cached_property
    def judged(self):
        """What to think of its watts, once for the verdict and the line that tells why."""
        return worst(one for aim in self.made.aims for one in plan_making.verdicts(self.made, aim))

    @cached_property
    def narrow(self):
        """What of its bands is not served, a Fault; or None. By the curves that are drawn, for a hand."""
        return mending.narrow(self.made, self.over_bands)

    @cached_property
    def over_bands(self):
        """Frequencies and impedances of both bands, once."""
        return self.made.over_bands()

    @property
    def verdict(self):
        """Whether it can be built here, in a word or two."""
        if self.power_lines == LINES[2]:
            return "Not here."
        if self.faults or self.made is None:
            return "Not yet."
        under = not self.away or self.clear_m
        sent = [one for one in self.judged if one.mark != GOOD and is_sent(one, self.made.sends)]
        if any(one.good_w == 0 for one in sent):
            return f"It fits, but not for {self.made.sends}."
        if self.narrow and self.narrow.nowhere:
            return "It fits, but not where you may send."
        if sent:
            least = min(sent, key=lambda one: one.good_w)
            what = _heats(least, self.made) if least.about.startswith("heat") else self.made.sends
            return f"It fits, but {what} only up to {least.good_w:g} W."
        return "It fits." if under and not any(self._minded()) else "It fits, but read on."

    @property
    def plan(self):
        """What is drawn of it from above, metres and words."""
        yard = self.wish.yard
        out = max(self.room / 2, self.half)
        # all of it may hang from one support, ropes with it; a mast falls its height; of a wire that is too
        # long all of it counts, though its supports stand where Room says
        falls = 2 * out
        if not self.level:
            along = 2 * np.hypot(out, self.drop * out / max(self.half, 0.1))
            falls = float(max(along, np.hypot(out, self.height)))
        return {
            "half_m": self.half, "trap_at": self.dipole.inner_m / self.leg if self.leg else 0.5,
            "out_m": self.room / 2, "over": any(one.key == "room" for one in self.faults),
            "mast": not self.level, "keep_off_m": self.keep_off[0],
            "around_m": self.around_m, "feet_first": self.feet_first,
            "falls_m": max(falls, *yard.heights_m),
        }  # fmt: skip

    def _solved(self):
        """Of each band frequencies, SWR there, Pattern, shares and words."""
        made, found = self.made, []
        for one, (f, z) in zip(made.aims, self.over_bands, strict=True):
            here = one.band.frequencies(401)
            row = circuit.swr(np.interp(here, f, z))
            low_mhz, high_mhz = one.edges_mhz
            most = row[(here >= low_mhz) & (here <= high_mhz)].max()
            pattern = Pattern(made.solved(one))
            said = (
                f"{one.band.label}: lowest SWR {row.min():.1f} at {here[row.argmin()]:.2f} MHz, 2 or less "
                f"over {100 * np.mean(row <= 2):.0f} % of the band; {most:.1f} at most for {low_mhz:g} to "
                f"{high_mhz:g}"
            )
            found.append((f, row[None, ::10], pattern, made.shares(one), said))
        return found

    def lines(self, show):
        """What stands beside the picture while a group is shown, what matters first."""
        made = self.made
        if self.power_lines == LINES[2]:
            return [NEVER]
        head = self._head()
        if made is None:
            return [*head, *([_NOT_KNOWN] if self.aims else [])]
        if self.faults and show in ("Supports", KEEP):
            return [head[0], self._others(), *head[1:]]
        if show == "Bands":
            return [*(head[:1] if self.faults else head), *(one[4] for one in self.bands)]
        if show == "Station":
            return [_power(made, self.judged), self._others(), self._reaches()]
        if show == "Parts":
            sticks = head[:1] if self.faults else []
            return [self._trap(), _power(made, self.judged), *sticks, self._sizes()]
        if show == "Garden":
            fit = [*head[:1], *self._unused()] if self.faults else []
            return [*self._look_up(), *fit[:1], self._others(), *fit[1:], *self._garden()]
        if show == KEEP:
            return [
                *self._minded(),
                self._others(),
                *head,
                "Saved are yard, bands, wire and traps: for the sheet, lesson 10 and the phone.",
            ]
        mean = Tape(first="feet" if self.feet_first else "metres").turned(self.wish.yard.mean_note)
        return [*self._minded(), self._others(), *head, *([mean] if mean else [])]

    def _head(self):
        if self.faults:
            told = [one.words for one in self.faults]
            if self.level and not self.drop and any(one.key == "room" for one in self.faults):
                told.append(_ONE_POLE)
            return [*told, *self._unused()]
        width, room = float(self.made.width_m), self.wish.yard.room_m
        hangs = "Sloping, from two supports," if self.drop else "Level, from two supports,"
        hangs = hangs if self.level else "As a vee, from a pole in the middle,"
        return [f"{hangs} it spans {self.say(width)} of the {self.say(room, up=False)} that ropes leave."]

    def _unused(self):
        """What the garden has along the wire and Room does not say, where that is wanted: a line, or none."""
        yard = self.wish.yard
        if any(one.key == "room" for one in self.faults) and (yard.chord_m or 0) > yard.span_m + 0.1:
            yield (
                f"The garden has {self.say(yard.chord_m, up=False)} along the wire; Room says "
                f"{self.say(yard.span_m)}."
            )

    def _minded(self):
        """What is not good at the watts that are sent, a line each; with more of it under Station."""
        for one in self.judged:
            if one.mark == GOOD or not is_sent(one, self.made.sends):
                continue
            if one.about == "licence":
                most = f"Too many watts: {one.good_w:g} W is the most allowed on one of these bands."
                yield one.words if one.good_w == 0 else most
                continue
            if one.about == "trap volts":
                yield f"Traps: too many volts for the cable in wet weather above {one.good_w:g} W."
                continue
            yield f"Traps: too hot for {_heats(one, self.made)} above {one.good_w:g} W{self._cooler()}."
        if self.narrow:
            yield self.narrow.words

    def _cooler(self):
        """Up to how many watts SSB is good, where a carrier is sent: words that follow others."""
        if self.made.sends == "SSB" or not mending.may_speak(self.made):
            return ""
        ssb = next(one for one in self.judged if one.about == "heat, SSB")
        return (
            f"; SSB is good up to {ssb.good_w:g} W"
            if ssb.mark == GOOD
            else f", for SSB above {ssb.good_w:g} W"
        )

    def _reaches(self):
        """What is sent to the other station, broadside, and which bands the course's sky returns there."""
        here, km = sky.at(self.hour), self.far_km
        up, gains, back = self.wish.up_deg, [], []
        for aim, one in zip(self.aims, self.bands, strict=True):
            gains.append(f"{dbi(float(one[2].gain_dbi(up)))} on {aim.band.label}")
            back += [aim.band.label] * bool(here.returns(aim.f_mhz, elevation_deg=up))
        which = "both" if len(back) == 2 else f"only {back[0]}" if back else "neither"
        to = f"To {km} km ({km / MILE_KM:.0f} miles), at {up:.0f}°: {', '.join(gains)}"
        return f"{to}; the {self.hour} sky sends {which} back."

    def _sizes(self):
        inner, outer = self.dipole.inner_m, self.dipole.outer_m
        metres = f"{inner:.2f} + {outer:.2f} m"
        in_feet = f"{feet(inner):.1f} + {feet(outer):.1f} ft"
        one, other = (in_feet, metres) if self.feet_first else (metres, in_feet)
        return f"Each side {one} ({other})"

    def _trap(self):
        wound = self.made.wound
        turns = f"{float(wound.turns):.2f}".rstrip("0").rstrip(".")
        said = (
            f"Traps: {turns} turns on {wound.form_diameter_mm:g} mm ({wound.form_diameter_mm / 25.4:.2f} in)"
        )
        stress = [self.made.stress(one) for one in self.made.aims]
        peak = max(one.volts_peak for one in stress)
        if not isinstance(wound, CoaxTrap):
            return f"{said}, with {wound.capacitance_pf:g} pF rated for {2 * peak:.0f} V or more"
        volts = check_trap_volts(wound, volts_peak=peak)
        verdict = ": too much" if volts.margin < 1 else ": too close" if volts.margin < 2 else ""
        return f"{said}; trap cable: {volts.volts_peak:.0f} of {volts.allowed_peak:.0f} V{verdict}"

    def _look_up(self):
        if self.power_lines == LINES[0]:
            reach = self.say(self.plan["falls_m"], up=True)
            yield (
                "Look up: could anything that falls or swings touch a power line? It may reach as far as the "
                f"dashed line, {reach} from each support."
            )

    def _garden(self):
        yard = self.wish.yard
        one, other = (compass(deg) for deg in yard.sends_deg)
        ends = f"{compass(yard.toward_deg)} to {compass((yard.toward_deg + 180) % 360)}"
        if yard.garden_m is None:
            yield "Say how wide and how long the garden is, to see its fence."
        if self.runs_said:
            yield f"The wire runs {ends}, and sends most to {one} and {other}."
        else:
            yield f"Say how the wire runs: {ends}, as drawn, it sends most to {one} and {other}."

    def _others(self):
        """How far others must stay, for both bands together: the worse counts."""
        if not self.away:
            return "How far others stay off is computed when you let go."
        away = self.keep_off[0]
        far = self.say(rounded_up(away, 0.1) if np.isfinite(away) else away, up=True)
        said = f"At {self.made.power_w:g} W, {self.made.sends}, others stay {far} off (dotted, sag counted)"
        farther, lower = (
            (", farther with a carrier", " (lower with a carrier)") if SENT[self.made.sends] < 1 else ("", "")
        )
        if not self.clear_m:
            return f"{said}{farther}; nobody stands under it."
        below = f"below {self.say(self.clear_m, up=False)}{lower} the field is weak enough everywhere"
        return f"{said}{farther}; {below}."

    @property
    def alt(self):
        """The picture in words."""
        names = [one.band.label for one in self.aims] or ["one band", "another"]
        right = (
            "the garden from above, with wire, ropes, supports and what people keep off"
            if self.garden
            else "its SWR against frequency, with what the licence allows, and where the watts go"
        )
        sticks = ", what sticks out in dashes" if self.faults else ""
        return (
            f"The wire with its traps in the yard, to scale beside a person{sticks}; its lobes against "
            f"elevation, broadside, with a ray that lands {self.far_km} km away; {right}, on {names[0]} "
            f"(solid) and {names[-1]} (dashed)."
        )


def _heats(verdict, made):
    """What heats a trap, of a Verdict on that, as it is spoken of: other modes count as a carrier."""
    if verdict.about == "heat, SSB":
        return "SSB"
    return "a carrier" if made.sends in ("carrier", "SSB") else f"{made.sends} or a carrier"


def _power(made, judged):
    """What its watts do to traps and licence, in a line. made: a Design. judged: the worst Verdicts on it."""
    heat = [one for one in judged if one.about.startswith("heat")]
    limits = (f"{_heats(one, made)} {'only ' * (one.mark != GOOD)}up to {one.good_w:g} W" for one in heat)
    told = [f"Traps at {made.power_w:g} W. Heat: {'; '.join(limits)}."]
    licences = [one for one in judged if one.about == "licence"]
    told += [one.words if one.good_w == 0 else f"Licence: only up to {one.good_w:g} W." for one in licences]
    close = [one for one in judged if one.about == "trap volts" and one.mark != GOOD]
    told += [f"Volts: only up to {one.good_w:g} W." for one in close]
    if isinstance(made.wound, CoaxTrap) and made.wound.cable.is_foam:
        told.append(f"{MIND} {made.wound.cable.called} is foam.")
    return " ".join(told)


def _panels(fig, garden):
    """Yard over sky, and beside them or on a tall figure below the garden, or SWR over shares.

    Again if they are there.
    """
    if not fig.subfigs:
        wide = fig.bbox.width > fig.bbox.height
        first, second = fig.subfigures(*((1, 2) if wide else (2, 1)), **{
            "width_ratios" if wide else "height_ratios": (0.49, 0.51) if wide else (0.55, 0.45)
        })  # fmt: skip
        roomy = wide and fig.bbox.height > 22 * mpl.rcParams["font.size"] / 72 * fig.dpi  # not in large type
        first.subfigures(2, 1, height_ratios=(0.5, 0.5) if roomy else (0.45, 0.55))
        if not garden:
            second.subfigures(2, 1, height_ratios=(0.79, 0.21))
    return *fig.subfigs[0].subfigs, *([fig.subfigs[1]] if garden else fig.subfigs[1].subfigs)


def _electrical(panels, seen):
    """Lobes, and but for the garden SWR and shares; with nothing in them where nothing is solved."""
    names, nothing = [one.band.label for one in seen.aims], np.array([np.nan])
    up = seen.wish.up_deg
    gains = [_whole(one[2]) for one in seen.bands] or [np.full((1, 181), np.nan)] * 2
    there = [np.array([one[2].gain_dbi(up)]) for one in seen.bands] or [nothing] * 2
    parts = lobes(panels[1], np.arange(181.0), gains, names, toward=(up, there))
    if seen.garden:
        return parts
    sweeps = [one[:2] for one in seen.bands] or [
        (one.band.frequencies(41), np.full((1, 41), np.nan)) for one in seen.aims
    ]
    parts += swr_curves(panels[2], sweeps, names, [(one.allowed_mhz, one.edges_mhz) for one in seen.aims])
    shares = [one[3] for one in seen.bands] or [dict.fromkeys(("sky", "soil", "wire", "traps"), np.nan)] * 2
    told = [{where: np.array([one]) for where, one in share.items()} for share in shares]
    return parts + share_bars(panels[3], told, names)


def drawn_smaller(height_m, room_m):
    """How many times smaller a yard is drawn, to be whole; a larger one is larger still. Shapes broadcast."""
    high, wide = ((one + at) / of for one, (at, of) in ((height_m, _HEIGHT), (room_m, _ROOM)))
    return np.maximum(_SMALL, np.maximum(high, wide))


def _yard(fig, seen):
    """The wire between its supports, seen from the side, to scale, with what people keep off. The parts."""
    if not fig.axes:
        ax = plot_axes(
            fig, x=(-_ASIDE_M, _ASIDE_M), y=(-2.5, _UP_M), margins_em=(0.3, 0.3, 0.3, 0.3), aspect="equal"
        )
        ax.set_axis_off()
        ax.axhline(0, color=BLACK)
    ax, half, edge, top = fig.axes[0], float(seen.half), seen.room / 2, seen.height
    size = float(seen.smaller(ax, top, seen.room))
    low = seen.height - seen.drop
    slope = -seen.drop / seen.room if seen.level else 0.0
    middle = top + slope * seen.room / 2 if seen.level else top
    end = middle + slope * half if seen.level else low
    em = em_of(ax)

    def line(pen, *xy):
        x, y = (np.array([one], dtype=float) / size for one in zip(*xy, strict=True))
        return Part(ax, "line", x, y, pen)

    def both(pen, *xy):
        """A line and its mirror image."""
        x, y = (np.array([one], dtype=float) / size for one in zip(*xy, strict=True))
        gap = np.array([[np.nan]])
        return Part(
            ax, "line", np.concatenate([x, gap, -x], axis=1), np.concatenate([y, gap, y], axis=1), pen
        )

    def word(x, y, text, pen):
        return Part(ax, "text", np.array([[x / size]]), np.array([[y / size]]), pen, (text,))

    thick, thin, red = Pen(GREY, width=1.3), Pen(GREY, width=0.4), Pen(ORANGE, width=1.5, dashes=(1.1, 0.8))
    nan = np.nan, np.nan
    if seen.level:
        ties = (middle - slope * edge, middle + slope * edge)  # of the left support and of the right one
        posts = line(thick, (-edge, 0), (-edge, ties[0]), nan, (edge, 0), (edge, ties[1]))
        mast = line(thick, (-edge, 0), (-edge, 0))  # none: a post's foot hides it
        ropes = line(
            thin, (-edge, ties[0]), (-half, middle - slope * half), nan, (half, end), (edge, ties[1])
        )
        if half > edge:
            ropes = line(thin, nan, nan)
    else:
        fall = (top - low) / max(half, 0.1)  # without a wire there is none
        out = min(edge, half + max(low, 0) / fall)
        foot = max(top - fall * out, 0.0)
        posts = both(
            thick, (out if half <= edge else edge, 0.0), (out, foot) if half <= edge else (edge, max(low, 0))
        )
        mast = line(thick, (0, 0), (0, top))
        ropes = both(thin, (half, low), (out, foot)) if half <= edge else line(thin, nan, nan)
    parts = [posts, mast, ropes]
    share = seen.dipole.inner_m / seen.leg if seen.leg else 0.5
    wires = wire(
        ax, (0, middle / size), (max(half, 0.1) / size, end / size), trap_at=share, pen=Pen(BLACK, width=0.8),
        straight=seen.level,
    )  # fmt: skip
    parts += wires if seen.leg else [Part(one.ax, one.kind, one.x * np.nan, one.y, one.pen) for one in wires]
    # what sticks out: beyond the ropes, or below what is out of reach
    room, slant = seen.wish.yard.room_m / 2, ((end - middle) / half if half else 0.0)
    begin = half
    if half > room:
        begin = room
    if not seen.level and low < LOWEST_END_M - 1e-6 and slant < 0:
        begin = min(begin, max((LOWEST_END_M - top) / slant, 0.0))
    if seen.level and low < LOWEST_END_M - 1e-6:
        begin = min(begin, 0.6 * half)
    if any(one.key == "steep" for one in seen.faults):
        begin = 0.1 * half
    sides = (1,) if seen.level and low < LOWEST_END_M - 1e-6 and half <= room else (-1, 1)
    bits = []
    if begin < half - 1e-9 and seen.leg:
        for side in sides:
            rises = side * slope if seen.level else slant
            bits += [nan, (side * begin, middle + rises * begin), (side * half, middle + rises * half)]
    bits = bits or [nan, nan]
    parts += [line(Pen("#ffffff", width=2.0), *bits), line(red, *bits)]
    left = middle - slope * half if seen.level else low
    away, clear = seen.keep_off
    x, y = zone((-half, left), (0, middle), (half, end), away, clear=clear, deep=seen.sag_m)
    dots = Part(
        ax, "line", x[None] / size, y[None] / size, Pen(GREY, width=0.6, dashes=(1.0, 1.2), fill=0.12)
    )
    person = line(Pen(GREY, width=0.2, fill=0.9), (-1.3, 0), (-1.3, 1.8), (-0.7, 1.8), (-0.7, 0), (-1.3, 0))
    # heights stand clear of all that is drawn and of the hands, near the middle and near the lower end
    tall, red_word = top / size, Pen(ORANGE, bold=True, size=1.1)
    grip = np.array([-0.4, -3.0]) * em + tall - slope * seen.room / 2 / size
    hands = [(np.full(2, by * em), grip) for by in (-0.5, 0, 0.5)]
    hands += [(edge / size + np.array([-1.3, 1.3]) * em, 0)]
    tip = (edge if seen.level and seen.drop else half) / size, max(low, 0) / size
    hands += [(tip[0] + np.array([-1.3, 1.3]) * em, tip[1]), (tip[0], tip[1] + np.array([-1.3, 1.3]) * em)]
    if not seen.level:  # the hand there goes round the top, and wants air
        round_ = np.array([seen.drop, half]) / max(np.hypot(seen.drop, half), 0.1)
        for far, wide in ((1.3, 0.6), (-1.3, 1.7)):
            x, y = tip + far * em * round_
            hands += [(x + np.array([-wide, 0.6]) * em, y + by * em) for by in (-0.4, 0.4)]
    taken = [(part.x[0], part.y[0]) for part in (*parts, person)] + hands
    taken += [(posts.x[0] + by * em, posts.y[0]) for by in (-0.3, 0.3)]
    taken += [(np.array(ax.get_xlim()), 0)]
    if seen.fault:
        wide = 0.35 * len(seen.fault) * em
        taken += [(np.array([-wide, wide]), _UP_M - by * em) for by in (0.2, 0.7, 1.3)]
    taken, edge_of = [filled(ax, *taken)], [filled(ax, (dots.x[0], dots.y[0]))]

    def place(text, wanted, aside):
        """A clear place near by, or one that lies only over the edge of what people keep off."""
        there = free_place(ax, text, wanted, taken + edge_of, aside=aside)
        near = np.hypot(*np.subtract(there, wanted)) < _NEAR_EM * em
        return there if near and there != tuple(wanted) else free_place(ax, text, wanted, taken, aside=aside)

    said = [spoken(one, seen.feet_first, alone=True) for one in (top, max(low, 0))]
    said[1] += " up"
    if seen.level and seen.drop:  # over the pole that is so high
        over = -edge / size - 0.5 * wide_em(said[0]) * em, tall + 0.8 * em
        under = place(said[0], over, 1)
        if under[0] > -0.5 * edge / size:  # far from it: nearer, or none, as the middle hangs lower
            under = free_place(ax, said[0], over, taken)
            under = under if under[0] < -0.5 * edge / size else (np.nan, np.nan)
    else:
        under = place(said[0], (0.9 * em, 0.4 * tall), 3)
    box = np.array([0, 0.5, 1]) * em * (wide_em(said[0]) + 0.8)
    if np.isfinite(under[0]):
        taken.append(filled(ax, *((under[0] + box, under[1] + by * em) for by in (-0.5, 0, 0.5))))
    by_end = tip[0] + 0.8 * em, tip[1] + (0 if seen.level else 0.4 * em)
    beside = place(said[1], by_end, 1)
    if not seen.level and np.hypot(*np.subtract(beside, by_end)) > _FAR_EM * em:
        beside = np.nan, np.nan  # there it would be taken for the height of something else
    bold, plain = Pen(BLACK, bold=True, align="left"), Pen(BLACK, align="left")
    parts.append(word(size * under[0], size * under[1], said[0], bold))
    parts.append(word(size * beside[0] if seen.drop else np.nan, size * beside[1], said[1], plain))
    parts.append(word(0 if seen.fault else np.nan, (_UP_M - 0.7 * em) * size, seen.fault, red_word))
    # beside the hand that moves the wire, which comes down there
    you = word(min(-0.7, -0.8 * em * size), -1.1 * size, "you", Pen(GREY, size=0.96, align="right"))
    return [*parts, person, you, dots]


def _handles(ax, sliders, seen):
    """Wire, its right end and the right support can be drawn along, as far as the yard makes sense.

    Each along a path in the scale of now: with one that shrinks under the hand, metres would rush by.
    """
    heights, drops, rooms = (slider.values[None] for slider in sliders[:3])
    size = float(seen.smaller(ax, seen.height, seen.room))
    slope = max(
        float(np.hypot(seen.half, 0 if seen.level else seen.drop)), 0.1
    )  # of a leg, as good as constant
    if seen.level and sliders[1].name == ONE_LOWER:
        drop = Handle(
            "drop_m",
            ax,
            seen.room / 2 / size,
            np.where(drops < seen.height, seen.height - drops, np.nan) / size,
        )
    else:
        out = np.sqrt(np.where(drops < 0.97 * slope, slope**2 - drops**2, np.nan))
        drop = Handle(
            "drop_m", ax, out / size, np.where(drops <= seen.height, seen.height - drops, np.nan) / size
        )
    rooms = np.minimum(rooms, seen.wish.yard.chord_m or np.inf)
    middles = heights - (seen.drop / 2 if seen.level else 0)
    held = [
        Handle("height_m", ax, 0.0, middles / size - _UNDER_EM * em_of(ax)),
        drop,
        Handle("room_m", ax, rooms / 2 / size, 0.0),
    ]
    return held if sliders[0].shown else []


THREE = {  # of the course: bands, soil; height, how much lower the ends are, room
    "Corner Lot": ({"low": "40m", "high": "20m", "soil": "average"}, (7.5, 0.0, 18.0)),
    "Long Acre": ({"low": "80m", "high": "40m", "soil": "wet"}, (12.0, 0.0, 40.0)),
    "Hilltop": ({"low": "20m", "high": "10m", "soil": "rocky"}, (10.0, 3.0, 14.0)),
}


def seen_in(name, *, keep_off=False):
    """What the planner sees in a yard of the course. name: of THREE. keep_off: also how far to stay."""
    choices, place = THREE[name]
    positions = dict(zip(("height_m", "drop_m", "room_m"), place, strict=True))
    return Seen(positions, choices, keep_off=keep_off)


def _spans(made):
    return f"spans {made.width_m:.1f} m ({feet(made.width_m):.0f} ft)"


def three_yards():
    """The course's three yards on paper: wire, lobes, and a few words. Returns fig and the yards' axes."""
    with still_figure(9.4, 4.8) as fig:
        axes = []
        for column, name in zip(fig.subfigures(1, 3), THREE, strict=True):
            head, *panels = column.subfigures(3, 1, height_ratios=(0.85, 1.3, 2.2))
            seen = seen_in(name)
            made, up = seen.made, seen.wish.up_deg
            there = [np.array([one[2].gain_dbi(up)]) for one in seen.bands]
            gain = [dbi(float(one[0])) for one in there]
            words = f"{_spans(made)}\n{gain[0].removesuffix(' dBi')} and {gain[1]} at {up:.0f}°"
            head.text(0.05, 0.97, name, va="top", fontweight="bold")
            head.text(0.05, 0.65, words, va="top")
            parts = _yard(panels[0], seen)
            gains = [_whole(one[2]) for one in seen.bands]
            names = [one.band.label for one in made.aims]
            parts += lobes(panels[1], np.arange(181.0), gains, names, toward=(up, there))
            for part in parts:
                part.draw()
            axes.append(parts[0].ax)
    return fig, axes


def yards(*names, keep_off=False):
    """Yards of the course beside each other, by their names in THREE, without lobes: fig and their axes.

    keep_off: draw what people keep off.
    """
    with still_figure(9.4, 3.6) as fig:
        axes = []
        for column, name in zip(np.ravel(fig.subfigures(1, len(names))), names, strict=True):
            head, panel = column.subfigures(2, 1, height_ratios=(1, 2.2))
            seen = seen_in(name, keep_off=keep_off)
            bands = " and ".join(one.band.label for one in seen.made.aims).replace(" metres and", " and")
            head.text(0.5, 0.95, name, va="top", ha="center", fontweight="bold")
            head.text(0.5, 0.68, f"{bands}\n{_spans(seen.made)}", va="top", ha="center")
            parts = _yard(panel, seen)
            for part in parts:
                part.draw()
            ax = parts[0].ax
            drawn = [np.abs(one) for part in parts if part.kind == "line" for one in (part.x, part.y)]
            wide, high = (max(np.nanmax(one, initial=0) for one in drawn[axis::2]) for axis in (0, 1))
            words = [float(part.x[0, 0]) for part in parts if part.kind == "text"]
            wide = max(wide, np.nanmax(words) / (1 - 3 * em_of(ax) / _ASIDE_M))  # a word outside the poles
            ax.set(xlim=(-wide - _AROUND, wide + _AROUND), ylim=(-2.5, high + _AROUND))
            axes.append(ax)
    return fig, axes


def _whole(pattern):
    """Gain over the sky from horizon to horizon, broadside, in steps of a degree, shape (1, 181)."""
    half = pattern.gain_dbi(np.arange(91.0))
    return np.concatenate([half, half[-2::-1]])[None]


def plan_at(
    height_m, drop_m, room_m, width_m=0.0, length_m=0.0, heading=0.0, *, low, high, soil,
    trap_cable="RG-58", **choices,
):  # fmt: skip
    """The Plan for a yard as the planner takes it: positions and choices by the names that it has.

    Returns a Plan. Raises Slip for a yard that cannot be.
    """
    positions = {"height_m": height_m, "drop_m": drop_m, "room_m": room_m, "width_m": width_m,
                 "length_m": length_m, "heading": heading}  # fmt: skip
    choices |= {"low": low, "high": high, "soil": soil, "trap_cable": trap_cable}
    wish = wish_of(positions, choices)
    made = mending.designed(wish, _fitting(wish, feet_first=choices.get("units") == "feet").wound)
    return plan_making.plan_of(made, yard=_as_said(wish.yard, positions, choices))


def plan_of(widget):
    """The Plan for the yard that a planner shows, to print and to save.

    widget: what live.planner() returned. Raises Slip for anything else, for a yard that cannot be, and where
    a power line could be touched.
    """
    if getattr(widget, "view", None) is not planner:
        raise Slip("plan_of wants the planner that you dragged: mine = live.planner(...)")
    _safe_place(widget.choices)
    yard = {name: value for name, value in widget.choices.items() if name not in ("far_km", "hour", GROUP)}
    return plan_at(**widget.positions, **yard)
