"""The plan: what a builder takes into the yard, as plain numbers and sentences. Made by Design.plan."""

import math
import os
import textwrap
from dataclasses import asdict, dataclass, field, replace
from pathlib import Path

from antlab import hooks
from antlab.antenna.safety import GOOD, LOOK_UP, LOWEST_END_M, is_sent, worst
from antlab.antenna.tape import Tape
from antlab.antenna.yard import Yard
from antlab.physics.bands import band
from antlab.physics.sky import hop_km
from antlab.units import Slip, feet, feet_inches, feet_sixteenths

HEAD_M = 2.0  # how high a tall head is
PIPE_END_MM = 50.0  # of the traps' pipe beyond the winding, at each end (common practice, no source)
FOLD_M = 0.15  # folded back at each end of a wire, to let out or take in (common practice, no source)
TOO_HIGH = 3.0  # SWR of which a plan says in words that it is (common practice, no source)
ENDINGS = (".pdf", ".png", ".svg")
SLACK = {  # what may be a little off, and how it reads
    "inner": "inner wire 1 cm longer, each leg",
    "outer": "outer wire 1 cm longer, each leg",
    "trap": "traps tuned 1 % higher",
    "height": "whole antenna a tenth higher",
}


_BY_EYE = 0.015  # of a turn, some 5 degrees, that nobody winds by eye (common practice, no source)


def both_units(length_m, digits=2):
    """A length in both units. length_m: metres, zero or more. digits: of the metres. Returns text.

    >>> al.plan.both_units(9)
    '9.00 m (29 ft 6.3 in)'
    """
    return f"{length_m:.{digits}f} m ({feet_inches(length_m)})"


def in_khz(khz):
    """A shift of a resonance with its sign. khz: kHz, one number. Returns text, in MHz from 1000 kHz on.

    >>> al.plan.in_khz(-85)
    '-85 kHz'
    """
    if abs(khz) >= 1000:
        return f"{khz / 1000:+.1f} MHz"
    return f"{round(khz):+d} kHz" if round(khz) else "0 kHz"


def in_percent(share):
    """A share as it is read. share: 0 to 1, one number. Returns text, a digit after the point under 10 %.

    >>> al.plan.in_percent(0.614), al.plan.in_percent(0.021)
    ('61 %', '2.1 %')
    """
    return f"{100 * share:.{0 if share >= 0.095 else 1}f} %"


def share_words(shares):
    """Where the watts go, in words. shares: by name, of 1. Returns text.

    Percents that add up to as many as the shares do: what is rounded off most is rounded up first.

    >>> al.plan.share_words({"sky": 0.71, "soil": 0.29})
    'sky 71 %, soil 29 %'
    >>> al.plan.share_words({"sky": 0.506, "soil": 0.416, "wire": 0.008, "traps": 0.07})
    'sky 51 %, soil 41 %, wire 1 %, traps 7 %'
    """
    exact = {what: 100 * float(share) for what, share in shares.items()}
    whole = {what: math.floor(one + 1e-9) for what, one in exact.items()}
    left = round(sum(exact.values())) - sum(whole.values())
    for what in sorted(exact, key=lambda one: whole[one] - exact[one])[:left]:
        whole[what] += 1
    return ", ".join(f"{what} {percent} %" for what, percent in whole.items())


@dataclass(frozen=True)
class Cut:
    """Wires of one kind: how many, metres from eye to eye, and metres to cut with the ends to fold back.

    >>> al.plan.Cut(what="inner wire", count=2, length_m=5.0, cut_m=5.3).cut_m
    5.3
    """

    what: str
    count: int
    length_m: float
    cut_m: float


@dataclass(frozen=True)
class Note:
    """Something that the builder should know. key: which one it is, such as "choke". words: a sentence.

    >>> al.plan.Note(key="choke", words="Wind a choke of the cable at the feed.").key
    'choke'
    """

    key: str
    words: str

    def __str__(self):
        return self.words


@dataclass(frozen=True, kw_only=True)
class BandPlan:
    """What one band may expect.

    f_mhz: of the resonance, with resistance_ohm, swr and efficiency there. edges_mhz: of the band.
    wanted_mhz: of the part that the antenna is made for, with worst_swr at worst_mhz in it. allowed_mhz: what
    the licence allows, mode -> edges. lowest_swr at lowest_mhz. span_2, span_3: (low, high) MHz where the SWR
    is under 2:1 and 3:1, or None. trap_volts_peak, trap_watts: on each trap at full power without a pause.
    cable_volts_peak, cable_allowed_peak, margin: in the trap's cable and what that is rated for, or None.
    trap_note, exposure_note: sentences. verdicts: what to think of the power, safety.Verdicts. shares: of the
    power fed, to sky, soil, wire and traps. keep_away_m: others, keep_away_you_m: you, from every part of the
    wire and the traps, keep_away_carrier_m: others, if what is sent is a carrier; clear_below_m,
    clear_below_carrier_m: the height below which others may be everywhere, sag and slope of the wire counted;
    head_share: the field HEAD_M up, at most, as a share of their limit, infinite where a head is over
    clear_below_m; all at full power without a pause, anywhere in wanted_mhz.
    curve_mhz, curve_swr, curve_ohm: over the band, and at least 6 % around f_mhz; the last of the feed,
    (resistances, reactances).

    >>> plan = al.design("40m", "20m", shape=al.FlatTop(height_m=9)).plan
    >>> plan.low.label, 20 < plan.low.resistance_ohm < 100
    ('40 metres', True)
    """

    name: str
    f_mhz: float
    edges_mhz: tuple
    wanted_mhz: tuple
    worst_swr: float
    worst_mhz: float
    allowed_mhz: dict
    resistance_ohm: float
    swr: float
    lowest_swr: float
    lowest_mhz: float
    span_2: tuple | None
    span_3: tuple | None
    efficiency: float
    shares: dict
    trap_volts_peak: float
    trap_watts: float
    cable_volts_peak: float | None
    cable_allowed_peak: float | None
    margin: float | None
    trap_note: str
    verdicts: tuple
    keep_away_m: float
    keep_away_you_m: float
    keep_away_carrier_m: float
    clear_below_carrier_m: float
    clear_below_m: float
    head_share: float
    exposure_note: str
    curve_mhz: tuple
    curve_swr: tuple
    curve_ohm: tuple

    @property
    def label(self):
        """The band as it is written: "40 metres"."""
        return band(self.name).label

    @property
    def unserved(self):
        """The modes that the licence allows here and that have nowhere an SWR of 2 or less: a tuple."""
        low, high = self.span_2 or (math.nan, math.nan)
        return tuple(mode for mode, (a, b) in self.allowed_mhz.items() if not (low < b and high > a))

    @property
    def is_unserved(self):
        """Whether that is so of all that the licence allows."""
        return bool(self.allowed_mhz) and len(self.unserved) == len(self.allowed_mhz)

    @property
    def serves(self):
        """What it is made for and how far it gets there: sentences."""
        low, high = self.wanted_mhz
        worst = f"SWR at most {self.worst_swr:.1f}, at {self.worst_mhz:.3f}"
        yield f"Made for {low:.3f} to {high:.3f} MHz: {worst}."
        if self.span_2 is None:
            yield "Nowhere is it under 2."
            return
        low, high = max(self.span_2[0], self.edges_mhz[0]), min(self.span_2[1], self.edges_mhz[1])
        if (low, high) == self.edges_mhz:
            yield "It stays under 2 over the whole band."
        elif low < high:
            yield f"It stays under 2 from {low:.3f} to {high:.3f} MHz; the rest of the band wants a tuner."
        else:
            yield "In the band it is nowhere under 2."

    @property
    def sentences(self):
        """All of it but the curve, to read."""
        spans = [_span_words(limit, span) for limit, span in ((2, self.span_2), (3, self.span_3))]
        return (
            " ".join(self.serves),
            f"Resonant at {self.f_mhz:.3f} MHz: {self.resistance_ohm:.0f} ohms, SWR {self.swr:.2f}; lowest "
            f"{self.lowest_swr:.2f} at {self.lowest_mhz:.3f} MHz.",
            f"SWR {'; '.join(spans)}.",
            f"Of the power fed {in_percent(self.shares['sky'])} leaves for the sky; the soil takes "
            f"{in_percent(self.shares['soil'])}, the wire {in_percent(self.shares['wire'])} and the traps "
            f"{in_percent(self.shares['traps'])}, as heat.",
            f"Each trap: {self.trap_volts_peak:.0f} V peak, {self.trap_watts:.1f} W of heat without a pause.",
            *map(str, self.verdicts),
            f"Keep others {Tape().keep(self.keep_away_m)} and yourself {Tape().keep(self.keep_away_you_m)} "
            f"from the wire. {self.exposure_note}",
        )


def turns_words(turns, form_mm, tape):
    """How many turns to wind: what is no whole one as a length round the form, which a tape measures.

    turns: a number. form_mm: diameter, millimetres. tape: a Tape. Returns text.

    >>> from antlab.antenna.tape import Tape
    >>> al.plan.turns_words(6.05, 40, Tape()), al.plan.turns_words(4.925, 40, Tape())
    ('6 turns and 6 mm (0.24 in) more round the pipe', '5 turns less 9 mm (0.35 in) round the pipe')
    """
    whole = round(turns)
    off = turns - whole
    if abs(off) < _BY_EYE:
        return f"{whole} turns"
    length = tape.thick(round(abs(off) * math.pi * form_mm))
    return (
        f"{whole} turns and {length} more round the pipe"
        if off > 0
        else (f"{whole} turns less {length} round the pipe")
    )


@dataclass(frozen=True, kw_only=True)
class TrapPlan:
    """A trap as a circuit, and how to wind it: sentences. turns and what follows: None for a given trap.

    pipe_mm: of the form, to cut. joint: the one of the sentences that tells what a drawing of the hook-up
    shows. pigtail_mm: of cable or wire, free at each end. of: of what it is wound, in words. across_pf: a
    coil's capacitor.

    >>> plan = al.design("40m", "20m", shape=al.FlatTop(height_m=9)).plan
    >>> round(plan.trap.resonance_mhz, 1), plan.trap.whole_turns
    (14.2, 6)
    """

    inductance_uh: float
    capacitance_pf: float
    q: float
    resonance_mhz: float
    sentences: tuple
    turns: float | None = None
    form_diameter_mm: float | None = None
    winding_length_mm: float | None = None
    whole_turns: int | None = None
    whole_turns_mhz: float | None = None
    sensitivity_khz: dict | None = None
    cable: str | None = None
    hookup: str | None = None
    cable_length_m: float | None = None
    joint: str | None = None
    pipe_mm: float | None = None
    pigtail_mm: float | None = None
    of: str | None = None
    across_pf: float | None = None

    def alone(self, tape):
        """How to measure it by itself, and which way to mend it, in words. tape: a Tape, for its lengths."""
        words = (
            "On wood, its joint made, nothing connected: plug a loop of two turns, as wide as the pipe, into "
            "an analyzer and hold it before the pipe's end. At the trap's frequency, "
            f"{self.resonance_mhz:.2f} MHz, the SWR dips (common practice, no source)."
        )
        if self.turns is None:
            return words
        # the frequency goes with a power of the turns, which a whole turn more tells
        fallen = 1 + self.sensitivity_khz["1 turn"] / 1000 / self.resonance_mhz
        power = -math.log(fallen) / math.log(1 + 1 / self.turns)
        one_mm = 0.01 / power * self.turns * math.pi * self.form_diameter_mm
        off = tape.thick(round(one_mm))
        return f"{words} Too low: unwind, {off} round the pipe for 1 %; too high: wind on."


@dataclass(frozen=True, kw_only=True)
class Plan:
    """Everything that the builder needs on one page. Lengths in metres; as_dict() has feet beside them.

    top_m, ends_m: height of the feed and of both wire ends, where the wire is solved; deep_m: how far some
    part hangs below that, by sag and slope. width_m: level distance between the ends of the wire. inner_m,
    outer_m: to a tenth of a millimetre, as an antenna's file has them. wire: in words, with its jacket;
    wire_kg_per_m, and wire_pull_n to hang it by. heights: HeightRows, gains at angles_deg. tolerance_khz:
    key of SLACK -> (lower, upper band).
    trim_rows: under trim_headings, the first as planned, the others to fill in. notes: the urgent ones first.
    yard: a Yard, for the sheet, or None: the shape alone is known.

    >>> plan = al.design("40m", "20m", shape=al.FlatTop(height_m=9)).plan
    >>> plan.title, sum(cut.count for cut in plan.cuts)
    ('Trap dipole for 40 and 20 metres', 4)
    """

    title: str
    hung: str
    soil: str
    top_m: float
    ends_m: float
    deep_m: float
    width_m: float
    span_m: float | None
    inner_m: float
    outer_m: float
    wire: str
    wire_diameter_mm: float
    wire_kg_per_m: float
    wire_pull_n: float
    power_w: float
    sends: str
    z0_ohm: float
    low: BandPlan
    high: BandPlan
    cuts: tuple
    trap: TrapPlan
    angles_deg: tuple
    heights: tuple
    tolerance_khz: dict
    trim_steps: tuple
    trim_headings: tuple
    trim_rows: tuple
    notes: tuple
    cautions: dict
    yard: Yard | None = field(default=None, repr=False)

    @property
    def bands(self):
        """Both BandPlans, the lower band first."""
        return self.low, self.high

    @property
    def within_reach(self):
        """Whether people can reach the ends of the wire; then the note "reach" says so."""
        return self.ends_m < LOWEST_END_M

    @property
    def with_a_carrier(self):
        """The same Plan, but that others keep off what a carrier asks for; some day one may be sent.

        >>> plan = al.design("40m", "20m", shape=al.FlatTop(height_m=9), sends="SSB").plan
        >>> plan.with_a_carrier.low.keep_away_m > plan.low.keep_away_m
        True
        """
        bands = (
            replace(one, keep_away_m=one.keep_away_carrier_m, clear_below_m=one.clear_below_carrier_m)
            for one in self.bands
        )
        return replace(self, **dict(zip(("low", "high"), bands, strict=True)))

    @property
    def minded(self):
        """To read before it is built: what is too much at the watts sent, the worse band's; look up: a tuple.

        >>> plan = al.design("40m", "20m", shape=al.FlatTop(height_m=9), power_w=50).plan
        >>> plan.minded == (al.safety.LOOK_UP,)
        True
        """
        least = worst(one for band in self.bands for one in band.verdicts if is_sent(one, self.sends))
        return (*(one.words.split(". ")[0] + "." for one in least if one.mark != GOOD), LOOK_UP)

    @property
    def fold_note(self):
        """Why wires are cut longer."""
        return self.fold_words(f"{100 * FOLD_M:.0f} cm ({feet_sixteenths(FOLD_M)})")

    @staticmethod
    def fold_words(more):
        """Why wires are cut longer. more: the length at each end, as it is written."""
        return (
            f"{more} more at each end goes through the eye, folds back and is twisted. Trim "
            "by moving the fold; cut nothing off before both bands are right (common practice, no source)."
        )

    def as_dict(self):
        """Plain numbers, lists and text, ready for JSON: no number is None, feet stand beside metres."""
        return _plain({name: value for name, value in asdict(self).items() if name != "yard"})

    def text(self, first="metres"):
        """The plan to read on a screen, 100 columns wide. first: "metres" or "feet"."""
        tape = Tape(first=first)
        cuts = [(f"{c.count} x {c.what}", Tape().cut(c.length_m), Tape().cut(c.cut_m, 2)) for c in self.cuts]
        slips = [(SLACK[key], *map(in_khz, moved)) for key, moved in self.tolerance_khz.items()]
        parts = {
            self.title: [self.hung],
            "Cut": [_table([("", "eye to eye", "cut"), *cuts]), self.fold_note],
            "Traps": self.trap.sentences,
            **{f"On {band.label}": band.sentences for band in self.bands},
            "Height": [
                _table(self.height_table),
                "Angles above the horizon, broadside; gain in dBi at each. One hop, if the sky returns "
                f"it, lands by a layer at 300 km: {_landings(self.angles_deg)}.",
            ],
            "What moves the resonance": [_table([("", self.low.label, self.high.label), *slips])],
            "Trim": self.trim_steps,
            "Notes": map(str, self.notes),
            "Cautions": [f"{name.capitalize()}: {words}" for name, words in self.cautions.items()],
        }
        return "\n\n".join(
            "\n".join([heading.upper(), *(_wrapped(tape.turned(words)) for words in said)])
            for heading, said in parts.items()
        )

    def __str__(self):
        return self.text()

    @property
    def height_table(self):
        """The height report as rows of text, headings first."""
        angles = (f"at {a:g}°" for a in self.angles_deg)
        rows = [("height", "band", "strongest", "half power", *angles, "ohms", "SWR")]
        for row in self.heights:
            label = next(band.label for band in self.bands if band.f_mhz == row.f_mhz)
            up = "and up" if row.high_edge_deg > 90 else f"to {row.high_edge_deg:.0f}°"
            beam = (f"{row.takeoff_deg:.0f}°", f"{row.low_edge_deg:.0f}° {up}")
            gains = (f"{gain:z.1f}" for gain in row.gains_dbi)
            feed = (f"{row.resistance_ohm:.0f}", f"{row.swr:.1f}")
            rows.append((Tape().place(row.height_m), label, *beam, *gains, *feed))
        return rows

    def save(
        self, path, *, force=False, yard=None, line=None, name="", paper=None, first="metres", antennas=1
    ):
        """Draw the sheet, a page to build from and a page to buy by, and write it.

        path: ends in .pdf, with both pages, or in .png or .svg: then the page to buy by lies beside it, with
        -to-buy in its name. force: write over a file that exists. yard: a Yard, for ropes and directions; the
        plan's own when left out. line: a feeding.FeedLine; an ordinary one is taken when left out. name: of
        the antenna. paper: A4 or Letter; when left out, Letter for feet. first: "metres" or "feet". antennas:
        for how many to buy. Returns the Path. Raises Slip for another ending, a file in the way, a folder
        that is not there, and other papers and units.
        """
        path, paper = check_path(path, force=force), paper or ("Letter" if first == "feet" else "A4")
        how = {"line": line, "name": name, "paper": paper, "first": first, "antennas": antennas}
        hooks.write_sheet(self, path, force=force, yard=yard or self.yard, **how)
        return path


def check_path(path, *, force=False):
    """A path that a sheet can be written to. Arguments, Path returned and Slip as of Plan.save.

    >>> al.plan.check_path("sheet.pdf").name
    'sheet.pdf'
    """
    path = Path(path).expanduser()
    if path.suffix.lower() not in ENDINGS:
        raise Slip(f"{path.name} ends in none of {', '.join(ENDINGS)}; name the sheet like plan.pdf")
    for one in (path, beside(path)) if path.suffix.lower() != ".pdf" else (path,):
        if one.is_dir() or (os.path.lexists(one) and not force):
            raise Slip(f"{one} exists already; choose another name, or force writing over it")
    if not path.parent.is_dir():
        raise Slip(f"there is no folder {path.parent} to write {path.name} into; make it first")
    return path


def beside(path):
    """Where the picture of the page to buy by lies. path: of the page to build from. Returns a Path.

    >>> al.plan.beside(al.plan.check_path("sheet.png")).name
    'sheet-to-buy.png'
    """
    return path.with_name(f"{path.stem}-to-buy{path.suffix}")


def _landings(angles_deg):
    return ", ".join(f"{a:g}° {round(float(hop_km(a)), -1):.0f} km" for a in angles_deg if a < 90)


def _span_words(limit, span):
    if span is None:
        return f"nowhere under {limit}:1"
    return f"{limit}:1 from {span[0]:.3f} to {span[1]:.3f} MHz ({1e3 * (span[1] - span[0]):.0f} kHz)"


def _wrapped(words):
    if "\n" in words:
        return words  # a table
    return textwrap.fill(words, 100, initial_indent="  ", subsequent_indent="    ", break_on_hyphens=False)


def _table(rows):
    wide = [max(map(len, column)) for column in zip(*rows, strict=True)]
    return "\n".join(
        "  " + "  ".join(cell.ljust(w) for cell, w in zip(row, wide, strict=True)).rstrip() for row in rows
    )


def _plain(value):
    if isinstance(value, dict):
        made = {}
        for key, part in value.items():
            made[key] = _plain(part)
            if key.endswith("_m") and part is not None:
                made[key[:-1] + "ft"] = round(float(feet(part)), 3)
        return made
    if isinstance(value, tuple | list):
        return [_plain(part) for part in value]
    if isinstance(value, float):
        return float(value) if math.isfinite(value) else None
    return value
