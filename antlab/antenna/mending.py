"""What sticks out of a yard, and what would mend it: each mend a ready antenna, with what it costs.

A Wish is an antenna as somebody wants it, whether it can be or not. Each mend is another Wish, solved and
found to fit. What is looked for, in what order, and how far: our choice.
"""

import math
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache, partial
from itertools import islice

import numpy as np

from antlab.antenna import safety
from antlab.antenna.design import AIMS, Design, aim_on, design, first_lengths, true_to
from antlab.antenna.tape import rounded_down, rounded_up, tenths
from antlab.antenna.yard import Yard
from antlab.engine.pattern import Pattern
from antlab.engine.shapes import FlatTop
from antlab.physics.bands import BANDS, MODES, Soil
from antlab.physics.bands import soil as named_soil
from antlab.physics.cable import IN_PLANNER, cable
from antlab.physics.lengths import rule_length_m
from antlab.physics.trap import design_coax_trap, design_coil_trap, on_a_pipe
from antlab.physics.wires import IN_PLANNER as WIRES
from antlab.units import FOOT_M, Slip, feet

WATTS = (5, 20, 50, 100, 200, 500, 1000, 1500)  # offered
LOWEST_SOLVED_M = 1.0  # of an end: lower, the engine is not checked
HIGHEST_M, RAISED_M = 30.0, 6.0  # of a support; by how much more a mend asks at the most
CAPACITORS_PF = (100, 82, 68, 56, 47, 39, 33, 27, 22, 18, 15, 12)  # E12 of IEC 60063 (values from memory)
COIL_FORM_MM = 48.3  # the pipe that most traps here come on
NARROW = 0.25  # of what is wanted, under 2:1: less is narrow
COST = (
    "kHz with an SWR of 2 or less, watts of heat in each trap, gain to the station; in brackets how much "
    "more than as asked"
)
MOST, TRIES = 3, 3  # mends; of a kind, solved before it is given up
_WORST = {"pair", "steep", "ends", "room", "volts"}  # faults that no mend may bring with it
_NO_GAIN = {"trap": {"heat", "volts"}, "pair": {"narrow"}}  # nor by its kind
_MARKS = safety.GOOD, safety.MIND, safety.BAD  # the better first
_NEAR_M = 0.6  # that a hand moves from one picture to the next; farther, the way is not known
_NEAR = 1.01  # of a leg: an estimate that may turn out to fit


@dataclass(frozen=True)
class Coil:
    """Traps of a coil of wire with a capacitor across it, in place of a cable's name. form_mm: wound on.

    >>> from antlab.antenna.mending import Coil
    >>> Coil(27).name
    'wire coil, 27 pF'
    """

    capacitance_pf: float
    form_mm: float = COIL_FORM_MM

    @property
    def name(self):
        """As a list shows it."""
        return f"wire coil, {self.capacitance_pf:g} pF"


@dataclass(frozen=True)
class OnForm:
    """Traps of a cable on a form of one's own, and hooked up so, in place of a cable's name.

    >>> from antlab.antenna.mending import OnForm
    >>> OnForm("RG-58", 40).name
    'RG-58'
    """

    name: str
    form_mm: float
    hookup: str = "series"


@lru_cache(maxsize=64)
def wound(f_mhz, trap):
    """The trap to wind for a frequency, MHz. trap: a cable's name, an OnForm, or a Coil.

    Returns a CoaxTrap or a CoilTrap. Raises Slip as on_a_pipe and design_coil_trap do.

    >>> from antlab.antenna.mending import Coil, wound
    >>> wound(14.175, "RG-58").whole_turns, wound(14.175, Coil(27)).whole_turns
    (5, 10)
    """
    if isinstance(trap, Coil):
        return design_coil_trap(
            f_mhz=f_mhz, capacitance_pf=trap.capacitance_pf, form_diameter_mm=trap.form_mm
        )
    if isinstance(trap, OnForm):
        return design_coax_trap(
            f_mhz=f_mhz, cable=trap.name, hookup=trap.hookup, form_diameter_mm=trap.form_mm
        )
    return on_a_pipe(f_mhz, trap)


@lru_cache(maxsize=32)
def start(low, high, soil, trap, power_w=100, wire=WIRES[0], sends="carrier", *, mode=None, **user):
    """The Design for bands, soil, trap, wire and power, 9 m up: from it those of all yards are found.

    soil: a Soil. trap: a cable's name, an OnForm or a Coil. user: aim, licence and region, as design()
    takes them. Raises Slip as design() does.

    >>> from antlab.antenna.mending import start
    >>> round(float(start("40m", "20m", al.soil("average"), "RG-58").width_m), 1)
    16.9
    """
    made = wound(aim_on(high, mode=mode, **user).f_mhz, trap)
    given = {"soil": soil, "wire": wire, "power_w": power_w, "sends": sends, "mode": mode, **user}
    return design(low, high, trap=made, shape=FlatTop(height_m=9), **given)


@dataclass(frozen=True, kw_only=True)
class Wish:
    """An antenna as wanted, which may be or not.

    yard: a Yard. low, high: bands. trap: what the traps are wound of: a cable's name, an OnForm or a Coil.
    up_deg: elevation of the station that it is for, at which gains are compared, broadside. The rest as
    design().

    >>> from antlab.antenna.mending import Wish
    >>> from antlab.antenna.yard import Yard
    >>> wish = Wish(yard=Yard(hung="vee", heights_m=(6, 3), span_m=15))
    >>> [fault.key for fault in wish.faults]
    ['room']
    """

    yard: Yard
    low: str = "40m"
    high: str = "20m"
    trap: str | OnForm | Coil = "RG-58"
    wire: str = WIRES[0]
    soil: Soil | str = "average"
    power_w: float = 100.0
    sends: str = "carrier"
    up_deg: float = 15.0
    aim: str = AIMS[0]
    mode: str | None = None
    licence: str = "general"
    region: int = 2

    @property
    def user(self):
        """What design() takes to know what is wanted: a dict."""
        return {"aim": self.aim, "mode": self.mode, "licence": self.licence, "region": self.region}

    @property
    def begin(self):
        """The Design for it, 9 m up. Raises Slip as start()."""
        soil = named_soil(self.soil)
        return start(
            self.low, self.high, soil, self.trap, self.power_w, self.wire, self.sends, **self.user
        )  # fmt: skip

    def followed(self):
        """The same, solved from the one that was followed before: quick for a hand that drags its yard."""
        vars(self)["_found"] = self._solved(lambda begin: _hand(begin).to)
        return self

    @cached_property
    def _found(self):
        return self._solved(lambda begin: begin.hung)

    def _solved(self, by):
        """The Design or None, and the Fault that left none, or None. by: what hangs the one to begin with."""
        try:
            begin = self.begin
        except Slip as no:
            return None, Fault("pair", str(no))
        if self.yard.lowest_m < LOWEST_SOLVED_M:
            return None, None  # its ends are a fault anyhow
        try:
            return by(begin)(self.yard.shape), None
        except Slip as no:
            return None, Fault("steep", str(no))

    @property
    def made(self):
        """The Design, whether it fits or not, or None where none can be solved; see faults."""
        return self._found[0]

    @cached_property
    def faults(self):
        """What is wrong with it, the worst first: a tuple of Faults. Empty: build it."""
        return (*self.faults_of_yard(), *(() if self.made is None else _faults_of_traps(self.made)))

    @cached_property
    def minded(self):
        """What can be built, though its traps are too hot or too near their volts: a tuple of Faults."""
        return () if self.made is None else tuple(_of_traps(self.made, safety.MIND))

    def faults_of_yard(self, feet_first=False):
        """Those of the yard and the bands alone, which are found at once: a tuple. feet_first: of lengths."""
        made, none = self._found
        return (none,) if none else tuple(_faults_of_yard(self, made, partial(spoken, feet_first=feet_first)))


class _Hand:
    """Where a hand is that drags a wire up and down, and how its lengths go with the heights there."""

    def __init__(self, begin):
        self.begin = self.made = begin
        self.slope = np.zeros((len(begin.aims), 2))

    def to(self, shape):
        """The Design hung so, from the last one if it is near. Raises Slip as Design.hung does."""
        step, before = _heights(shape) - _heights(self.made.dipole.shape), self.made.known[0]
        if not step.any():
            return self.made
        near = np.max(np.abs(step)) <= _NEAR_M
        guess = before + self.slope @ step if near else None
        made = (self.made if near else self.begin).hung(shape, begin_m=guess)
        if near:
            self.slope = true_to(self.slope, step, before, made.known[0])
        self.made = made
        return made


def _heights(shape):
    return np.array([shape.top_m, shape.ends_m])


_hand = lru_cache(maxsize=8)(_Hand)


@dataclass(frozen=True)
class Fault:
    """One thing that is wrong with an antenna as wanted.

    key: "pair": no wire serves both bands; "steep": the legs cannot hang so; "ends": within reach; "room":
    too long; "volts", "heat": too much for the traps; "narrow": little of what is wanted is under 2:1.
    words: a sentence. by_m: how much is missing, metres. nowhere: of a narrow band, whether no mode that is
    allowed has an SWR of 2 or less anywhere.

    >>> from antlab.antenna.mending import Fault
    >>> Fault("room", "It is too long.", 1.7).by_m
    1.7
    """

    key: str
    words: str
    by_m: float = 0.0
    nowhere: bool = False


def spoken(length_m, feet_first=False, alone=False, up=None):
    """A length as it is spoken of, one digit after the point. length_m: metres, one number. Returns text.

    alone: without the other unit, for where there is little room. up: whether both units are rounded up, as
    a least height or a distance to keep has to be, or down, as room is; else to the nearest. What is rounded
    up and less than 0.1 m is in centimetres and inches.

    >>> from antlab.antenna.mending import spoken
    >>> spoken(6), spoken(6, feet_first=True), spoken(6, alone=True)
    ('6.0 m (19.7 ft)', '19.7 ft (6.0 m)', '6.0 m')
    >>> spoken(3), spoken(3, up=True), spoken(0.031, up=True)
    ('3.0 m (9.8 ft)', '3.0 m (9.9 ft)', '4 cm (2 in)')
    >>> spoken(6, up=True), spoken(6, up=False)
    ('6.0 m (19.7 ft)', '6.0 m (19.6 ft)')
    """
    both = float(length_m), float(feet(length_m))
    if up and length_m < 0.1:
        cm, inches = (rounded_up(one, 1) for one in (100 * both[0], 12 * both[1]))
        metres, feet_ = f"{cm} cm", f"{inches} in"
    else:
        if up is not None and math.isfinite(length_m):
            both = tenths(length_m, up=up)
        metres, feet_ = (f"{one:.1f} {unit}" for one, unit in zip(both, ("m", "ft"), strict=True))
    if alone:
        return feet_ if feet_first else metres
    return f"{feet_} ({metres})" if feet_first else f"{metres} ({feet_})"


@dataclass(frozen=True)
class _Said:
    """How lengths are written in the words of a mend, as spoken() has it."""

    feet_first: bool
    alone: bool

    def __call__(self, length_m, up=None):
        return spoken(length_m, self.feet_first, self.alone, up=up)

    def down(self, length_m):
        """The same, metres, rounded down to what can be said of it: a tenth of a metre, or half a foot."""
        return rounded_down(length_m, self._step_m)

    def up(self, length_m):
        """The same, rounded up."""
        return rounded_up(length_m, self._step_m)

    @property
    def _step_m(self):
        return FOOT_M / 2 if self.feet_first else 0.1


def _faults_of_yard(wish, made, say=spoken):
    """Of a wish whose Design is made, or None with ends too low to solve."""
    yard = wish.yard
    if (low := safety.LOWEST_END_M - yard.lowest_m) > 1e-6:
        where = "is in the ground"
        if yard.lowest_m > 0.1:
            hangs = say(yard.lowest_m, up=False if low < 0.1 else None)  # no 3.0 m that is too low
            where = f"hangs {hangs} up, within reach"
        least = say(safety.LOWEST_END_M, up=True)
        words = f"An end, which carries high voltage, {where}: it wants {least} or more."
        yield Fault("ends", words, low)
    if made is not None and yard.room_m is not None and made.width_m > yard.room_m:
        yield Fault(
            "room",
            f"It spans {say(made.width_m, up=True)}; with {say(yard.rope_m)} of rope at each end there is "
            f"room for {say(yard.room_m, up=False)}.",
            float(made.width_m - yard.room_m),
        )


def _faults_of_traps(made):
    """Of traps too hot or under too many volts, and of bands that are narrow."""
    none = narrow(made)
    if none and none.nowhere:  # who may not send there needs no cool traps
        yield none
    yield from _of_traps(made, safety.BAD)
    if none and not none.nowhere:
        yield none


def _of_traps(made, mark):
    """Faults of the volts and the heat of traps, of such a mark; not what to mind of a part to be chosen."""
    traps = {}
    for aim in made.aims:
        for one in _verdicts(made, aim):
            if one.mark == mark and (mark == safety.BAD or one.good_w is not None):
                traps.setdefault(one.about.split()[-1] if "volts" in one.about else "heat", one.words)
    return (Fault(key, words) for key, words in traps.items())


def _strains_more(made, before):
    """Whether volts are nearer to what the traps of a Design stand than with those before, by their marks."""
    now, was = (max(_MARKS.index(_verdicts(it, aim)[0].mark) for aim in it.aims) for it in (made, before))
    return now > was


def narrow(made, curves=None):
    """What is wrong with the first band of which little is served, or no mode: a Fault or None.

    made: a Design. curves: of each band (f_mhz, impedance), as Design.over_bands has them; solved when left
    out.

    >>> from antlab.antenna.mending import narrow
    >>> wide = al.design("40m", "20m", shape=al.FlatTop(height_m=9))
    >>> narrow(wide) is None
    True
    """
    for aim, curve in zip(made.aims, curves or [None] * len(made.aims), strict=True):
        if _little(span := made.span(aim, curve=curve), aim):
            share, modes = _share_under_2(span, aim), _unserved(span, aim)
            nowhere = f", and nowhere where {' or '.join(modes)} is allowed" if modes else ""
            return Fault(
                "narrow",
                f"On {aim.band.label} the SWR is 2 or less over {100 * share:.0f} % of what is wanted"
                f"{nowhere}.",
                nowhere=len(modes) > 1 and len(modes) == len(_overlapping(aim)),
            )
    return None


def _verdicts(made, aim, sends=None):
    """What to think of the volts of the traps on a band, and of the heat by what is sent, or would be."""
    stress = made.stress(aim)
    told = {"volts_peak": stress.volts_peak, "watts": stress.watts, "power_w": made.power_w}
    volts, carrier, ssb = safety.trap_verdicts(made.wound, **told)
    return volts, ssb if safety.MODES[sends or made.sends] <= safety.MODES["SSB"] else carrier


def may_speak(made):
    """Whether phone is allowed on both bands of a Design, or nothing is known of that.

    >>> from antlab.antenna.mending import may_speak
    >>> may_speak(al.design("30m", "17m", shape=al.FlatTop(height_m=9)))
    False
    """
    return _speaks(made.aims)


def _speaks(aims):
    return all("phone" in aim.allowed_mhz for aim in aims if aim.allowed_mhz)


def _little(span, aim):
    """Whether little of a band is under 2:1, its Span, or nothing of it where code and phone are allowed."""
    return _share_under_2(span, aim) < NARROW or len(_unserved(span, aim)) > 1


def _unserved(span, aim):
    """The modes that have nowhere on a band an SWR of 2 or less, where two are wanted: a list."""
    parts = _overlapping(aim)
    if len(parts) < 2:
        return []
    return [mode for mode, (low, high) in parts.items() if not (span.low_mhz < high and span.high_mhz > low)]


def _overlapping(aim):
    """The modes that are allowed in some of what is wanted of a band: mode -> edges, MHz."""
    first, last = aim.edges_mhz
    return {mode: edges for mode, edges in aim.allowed_mhz.items() if edges[0] < last and edges[1] > first}


def _share_under_2(span, aim):
    """Of what is wanted, the share over which the SWR is 2 or less, its Span."""
    low, high = aim.edges_mhz
    return float(np.nan_to_num(max(min(span.high_mhz, high) - max(span.low_mhz, low), 0.0) / (high - low)))


@dataclass(frozen=True)
class Figures:
    """What is compared of a band: kHz of it under 2:1, watts of heat in each trap on average, and gain.

    >>> from antlab.antenna.mending import Figures
    >>> Figures("40 metres", 200.0, 3.0, -5.0).heat_w
    3.0
    """

    band: str
    width_khz: float
    heat_w: float
    gain_dbi: float


def figures(made, up_deg):
    """The Figures of both bands of a Design, the lower first. up_deg: elevation of the gain, broadside.

    >>> from antlab.antenna.mending import figures
    >>> made = al.design("40m", "20m", shape=al.FlatTop(height_m=9))
    >>> [one.band for one in figures(made, 15)]
    ['40 metres', '20 metres']
    """
    duty = safety.MODES[made.sends]
    return tuple(
        Figures(
            aim.band.label,
            _width_khz(made.span(aim), aim.band),
            float(made.stress(aim, duty=duty).watts),
            float(Pattern(made.solved(aim)).gain_dbi(up_deg)),
        )
        for aim in made.aims
    )


def _width_khz(span, band):
    """What of a band a Span covers, kHz."""
    width = min(span.high_mhz, band.high_mhz) - max(span.low_mhz, band.low_mhz)
    return float(np.nan_to_num(max(1e3 * width, 0.0)))


@dataclass(frozen=True)
class Mend:
    """One way to mend a Wish, solved. key: its kind. words: what to do. wish: as mended. made: its Design.

    asked: Figures of what was asked, or nothing where that could not be solved.

    >>> from antlab.antenna.mending import Wish, mends
    >>> from antlab.antenna.yard import Yard
    >>> ways = mends(Wish(yard=Yard(hung="vee", heights_m=(9, 5), span_m=15)))
    >>> next(way for way in ways if way).key
    'vee'
    """

    key: str
    words: str
    wish: Wish
    made: Design
    asked: tuple = ()

    @cached_property
    def figures(self):
        """Figures of both bands, as mended."""
        return figures(self.made, self.wish.up_deg)

    @property
    def cost(self):
        """What it does on each band, as COST says: a line each."""
        lines = []
        for now, was in zip(self.figures, self.asked or (None, None), strict=True):
            was = was if was and was.band == now.band else None
            told = (
                f"{now.width_khz:.0f} kHz" + _change(now, was, "width_khz", 0),
                f"{now.heat_w:.1f} W" + _change(now, was, "heat_w", 1),
                f"{now.gain_dbi:z.1f} dBi" + _change(now, was, "gain_dbi", 1),
            )
            lines.append(f"{now.band}: {', '.join(told)}".replace("-", "−"))
        return tuple(lines)

    @property
    def changes(self):
        """The same in short, a line each: what is more or less, with its sign; of a band that is new all.

        What stays is left out. The watts are of heat in each trap, the decibels of gain.
        """
        lines = []
        for now, was in zip(self.figures, self.asked or (None, None), strict=True):
            old = was and was.band == now.band
            told = []
            for one, words, digits in _SHORT:
                value = round(getattr(now, one) - (getattr(was, one) if old else 0), digits)
                if value or not old:
                    told.append(
                        words.format(f"{value:{'+' if old else ''}z.{digits}f}", "dB" if old else "dBi")
                    )
            lines.append(
                f"{'' if old else 'new '}on {now.band.split()[0]}: {', '.join(told) or 'as before'}".replace(
                    "-", "−"
                )
            )
        return tuple(lines)


_SHORT = (  # of Figures: what, in how few words, digits after the point
    ("width_khz", "{} kHz", 0), ("heat_w", "heat {} W", 1), ("gain_dbi", "{} {}", 1),
)  # fmt: skip


def _change(now, was, name, digits):
    if was is None:
        return ""
    change = round(getattr(now, name) - getattr(was, name), digits)
    return f" ({change:+.{digits}f})" if change else ""


def mends(wish, feet_first=False, alone=False, most=MOST):
    """Ways to mend a Wish, as they are found: yields a Mend, or None after a try that did not do.

    At most `most` of them, each of another kind, of pairs of bands, of modes and of what is sent two; what
    costs least trouble comes first, and what gives up a band last. Who shows them can do so as they come,
    and stop at any time. feet_first, alone: how lengths are written, as spoken() has it. A mend mends the
    worst of the faults, or where there is none what is minded; one that is less bad may stay or come.

    >>> from antlab.antenna.mending import Wish, mends
    >>> from antlab.antenna.yard import Yard
    >>> small = Yard(hung="vee", heights_m=(6, 3), span_m=15, garden_m=(15, 20), runs_deg=90)
    >>> [way.key for way in mends(Wish(yard=small)) if way]
    ['diagonal', 'higher', 'pair']
    """
    if not (wrong := wish.faults or wish.minded):
        return
    worst, had, found = wrong[0], {fault.key for fault in wrong}, 0
    asked = figures(wish.made, wish.up_deg) if wish.made else ()
    say = _Said(feet_first, alone)
    for kind, ways in _KINDS.items():
        left = 2 if kind in ("pair", "power", "mode") else 1
        for words, other in ways(wish, worst.key, say):
            made = _solved(other, wish)
            still = {"pair"} if made is None else _keys(other, made, wish)
            if made and not wish.faults:
                still |= {fault.key for fault in _of_traps(made, safety.MIND)}
            new = still - had
            bad = _WORST | _NO_GAIN.get(kind, set())
            if worst.key in still or new & bad:
                yield None
                continue
            yield Mend(kind, words + (_served(made, wish) if kind == "mode" else ""), other, made, asked)
            found, left = found + 1, left - 1
            if found == most:
                return
            if not left:
                break


def _served(made, wish):
    """Where, of the band that was narrow as asked, the SWR is now 2 or less: words that follow others."""
    was = (
        [i for i, aim in enumerate(wish.made.aims) if _little(wish.made.span(aim), aim)] if wish.made else []
    )
    if not was:
        return ""
    aim = made.aims[was[0]]
    span, (low, high) = made.span(aim), aim.edges_mhz
    low, high = max(span.low_mhz, low), min(span.high_mhz, high)
    return f": {aim.band.label} under 2 from {low:.2f} to {high:.2f} MHz" if low < high else ""


def _keys(wish, made, asked):
    """The keys of the faults of a wish whose Design is known; of another cable, of volts closer too."""
    found = {fault.key for fault in (*_faults_of_yard(wish, made), *_faults_of_traps(made))}
    cable = wish.trap != asked.trap and not isinstance(wish.trap, Coil)  # whose capacitor is chosen for them
    return found | ({"volts"} if cable and asked.made and _strains_more(made, asked.made) else set())


def _solved(other, wish):
    """The Design of another wish, from that of the first where they are alike enough, or None."""
    try:
        if replace(wish, yard=other.yard, trap=other.trap, power_w=other.power_w, sends=other.sends) != other:
            return designed(other)
        near = wish.made or other.begin
        trap = None if other.trap == wish.trap else wound(aim_on(other.high, **other.user).f_mhz, other.trap)
        if trap or near.dipole.shape != other.yard.shape:
            near = near.hung(other.yard.shape, trap=trap)
        return replace(near, power_w=float(other.power_w), sends=other.sends)
    except Slip:
        return None


def designed(wish, trap=None):
    """The Design of a wish by design() itself. trap: wound already, or None. Raises Slip as that does.

    >>> from antlab.antenna.mending import Wish, designed
    >>> from antlab.antenna.yard import Yard
    >>> round(float(designed(Wish(yard=Yard(hung="level", heights_m=(9, 9)))).width_m), 1)
    16.9
    """
    trap = trap or wound(aim_on(wish.high, **wish.user).f_mhz, wish.trap)
    return design(
        wish.low, wish.high, shape=wish.yard.shape, trap=trap, soil=wish.soil, wire=wish.wire,
        power_w=wish.power_w, sends=wish.sends, span_m=wish.yard.span_m, **wish.user,
    )  # fmt: skip


def _hung(wish, hung, top_m, ends_m):
    """The same wish hung otherwise, heights to a tenth of a metre."""
    return replace(wish, yard=replace(wish.yard, hung=hung, heights_m=(round(top_m, 1), round(ends_m, 1))))


def _leg_m(wish):
    """Wire from feed to end, as asked or as it would be 9 m up; 0 where the bands do not pair."""
    try:
        return (wish.made or wish.begin).dipole.length_m / 2
    except Slip:
        return 0.0


def _drop_m(wish):
    """How much lower than the feed the ends must be for the legs to fit in the room; NaN: that is no way."""
    leg, room = _leg_m(wish), wish.yard.room_m
    if not leg or room is None:
        return 0.0
    drop = np.sqrt(max(leg**2 - (0.995 * room / 2) ** 2, 0.0))
    return float(drop) if drop < 0.95 * leg else np.nan


def _diagonal(wish, wrong, say):
    """All the room that the garden has along the wire, or corner to corner, where its size is known."""
    yard = wish.yard
    if wrong != "room" or yard.garden_m is None:
        return
    if yard.span_m is not None and yard.chord_m > yard.span_m + 0.1:
        room = say.down(yard.chord_m)
        lies = abs(yard.toward_deg - yard.diagonal_deg) < 1e-6
        words = "Room along the diagonal" if lies else "Room from fence to fence"
        words += f": {say(room, up=False)}"
        yield words, replace(wish, yard=replace(yard, span_m=room))
    turned = replace(yard, runs_deg=yard.diagonal_deg, span_m=None)
    if turned.chord_m > yard.chord_m + 0.1:
        room = say.down(turned.chord_m)
        words = f"Run it along the diagonal, {say(room, up=False)} from corner to corner"
        words += ", a support in each" if yard.hung == "level" else ""
        yield words, replace(wish, yard=replace(turned, span_m=None if yard.span_m is None else room))


def _vee(wish, wrong, say):
    """Ends lower, for room; over a pole in the middle where there was none."""
    top, lowest, say = max(wish.yard.heights_m), safety.LOWEST_END_M, partial(say, up=True)
    if wrong != "room" or np.isnan(_drop_m(wish)):
        return
    ends = np.floor(10 * (top - _drop_m(wish)) + 1e-9) / 10
    for lower in (ends, ends - 0.1):
        if lower >= lowest:
            words = f"Let the ends down to {say(lower)}"
            if wish.yard.hung == "level":
                words = f"As a vee: a pole in the middle, {say(top)}, ends {say(lower)} up"
            yield words, _hung(wish, "vee", top, lower)


def _ends(wish, wrong, say):
    """Ends out of reach, from the same support."""
    top, lowest, say = max(wish.yard.heights_m), safety.LOWEST_END_M, partial(say, up=True)
    if wrong == "ends" and top > lowest:
        what = "Raise the ends" if wish.yard.hung == "vee" else "Raise the lower end"
        yield f"{what} to {say(lowest)}", _hung(wish, wish.yard.hung, top, lowest)
    if wrong == "steep" and (leg := _leg_m(wish)):
        ends = np.ceil(10 * (top - 0.9 * leg)) / 10
        if lowest <= ends <= top:
            yield f"Raise the ends to {say(ends)}", _hung(wish, "vee", top, ends)


def _trap(wish, wrong, say):
    """Another cable, or a coil with a capacitor, what changes least first; for heat and volts thick cable."""
    cables = [one for one in IN_PLANNER if one != getattr(wish.trap, "name", wish.trap)]
    if wrong == "room":
        shape, off = wish.yard.shape, _leg_m(wish) - _leg_for(wish, wish.trap)
        want = _NEAR * np.hypot(wish.yard.room_m / 2, shape.top_m - shape.ends_m) - off
        fits = sorted(
            (one for one in cables if _leg_for(wish, one) <= want), key=lambda one: -_leg_for(wish, one)
        )
        coils = (one for one in map(Coil, CAPACITORS_PF) if one != wish.trap and _leg_for(wish, one) <= want)
        others = (*fits[:2], *islice(coils, TRIES))
    elif wrong in ("heat", "volts"):
        others = sorted(cables, key=lambda one: -cable(one).outer_mm)[:2]
    elif wrong in ("narrow", "pair"):
        others = cables[:TRIES]
    else:
        return
    for one in others:
        coil = isinstance(one, Coil)
        what = f"a coil of wire with {one.capacitance_pf:g} pF across it" if coil else one
        yield f"Wind the traps of {what}", replace(wish, trap=one)


def _leg_for(wish, trap):
    """About the wire from feed to end with another trap, metres: to compare. Infinite where it cannot be."""
    f = [aim_on(band, **wish.user).f_mhz for band in (wish.low, wish.high)]
    try:
        return float(first_lengths(f, (wound(f[1], trap).trap,)).sum())
    except Slip:
        return np.inf


def _higher(wish, wrong, say):
    """A higher support, for ends out of reach, or for a steeper vee in the same room."""
    top, lowest, yard = max(wish.yard.heights_m), safety.LOWEST_END_M, wish.yard
    low, step_up, say = min(yard.heights_m), say.up, partial(say, up=True)
    if wrong == "room" and not np.isnan(_drop_m(wish)):
        apex = np.ceil(10 * (max(low if yard.hung == "vee" else lowest, lowest) + _drop_m(wish)) - 1e-9) / 10
        ends = max(low if yard.hung == "vee" else lowest, lowest)
        for one in (apex, apex + 0.1):
            if top < one <= min(top + RAISED_M, HIGHEST_M):
                words = f"Take a taller pole, {say(one)}, ends {say(ends)} up"
                if yard.hung == "level":
                    words = f"As a vee: a taller pole, {say(one)}, ends {say(ends)} up"
                yield words, _hung(wish, "vee", one, ends)
    elif wrong == "ends":
        by = lowest - low
        if by <= RAISED_M and top + by <= HIGHEST_M:
            words = f"Hang all of it {say(step_up(by))} higher, on taller supports"
            yield words, _hung(wish, yard.hung, *(np.ceil(10 * (h + by) - 1e-9) / 10 for h in yard.heights_m))


def _power(wish, wrong, say):
    """Less power, as much as is good for the traps; or SSB, which heats them less."""
    if wrong not in ("heat", "volts") or wish.made is None:
        return
    most_w = _good_w(wish.made, wish.sends)
    for watts in reversed(WATTS):
        if watts < wish.power_w and watts <= most_w:
            yield f"Send with {watts:g} W", replace(wish, power_w=watts)
            break
    if wrong == "heat" and wish.sends != "SSB" and may_speak(wish.made):
        most_w = _good_w(wish.made, "SSB")
        for watts in (wish.power_w, *reversed(WATTS)):
            if watts <= min(most_w, wish.power_w):
                yield f"Send SSB, with {watts:g} W", replace(wish, sends="SSB", power_w=watts)
                break


def _good_w(made, sends):
    """Up to how many watts it is good for the traps on both bands; infinite where nothing is known."""
    known = (one.good_w for aim in made.aims for one in _verdicts(made, aim, sends))
    return min((one for one in known if one is not None), default=np.inf)


def _mode(wish, wrong, say):
    """One mode only, where the whole of a band is too wide."""
    if (wrong == "narrow" and wish.mode is None) or wrong == "pair":
        first = "code" if wish.sends in safety.KEYED else "phone"
        for mode in (None, *sorted(MODES, key=lambda one: one != first)):
            if mode != wish.mode:
                yield f"Make it for {mode} only" if mode else "Make it for any mode", replace(wish, mode=mode)


def _pair(wish, wrong, say):
    """Another pair of bands, the nearest that fits; the upper band stays if it can."""
    if wrong not in ("room", "pair"):
        return
    at = {name: i for i, name in enumerate(BANDS)}
    pairs = [(low, high) for low in BANDS for high in BANDS if at[low] < at[high]]
    near = sorted(
        pairs,
        key=lambda pair: (
            2 * abs(at[pair[0]] - at[wish.low]) + abs(at[pair[1]] - at[wish.high]),
            -at[pair[1]],
        ),
    )
    tried = 0
    for low, high in near:
        other = replace(wish, low=low, high=high)
        try:
            aims = [aim_on(band, **wish.user) for band in (low, high)]
        except Slip:
            continue
        about = 5 / 6 * float(rule_length_m(aims[0].f_mhz))
        level = (
            np.inf
            if wish.yard.room_m is None
            else np.hypot(wish.yard.room_m, 2 * np.ptp(wish.yard.heights_m))
        )
        mute = wish.sends == "SSB" and not _speaks(aims)
        if (low, high) == (wish.low, wish.high) or about > level or mute:
            continue
        yield f"Make it for {low.removesuffix('m')} and {high.removesuffix('m')} metres", other
        tried += 1
        if tried == TRIES:
            return


_KINDS = {
    "diagonal": _diagonal, "vee": _vee, "ends": _ends, "trap": _trap, "higher": _higher, "power": _power,
    "mode": _mode, "pair": _pair,
}  # fmt: skip
