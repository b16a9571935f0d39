"""What a phone takes along to the lawn: the wires in a table, rules and words of trimming; and its log.

A phone cannot run the engine. It has the impedance of this antenna for other lengths and other traps as
polynomials, and reckons with them as Trimming.advise does with the engine: same steps, same words.
"""

import base64
import hashlib
import re
import warnings
from dataclasses import dataclass, replace
from datetime import datetime

import numpy as np
from numpy.polynomial.chebyshev import chebvander

from antlab.antenna import bench, faults, fitting
from antlab.antenna.antenna_log import MEASURED, Changed, ReadOff
from antlab.antenna.safety import CAUTIONS
from antlab.engine.shapes import STEEPEST
from antlab.physics.trap import Trap
from antlab.units import INCH_M, Slip, quoted

REACH = 0.08  # of a band, to either side of its aim: how far a phone reckons
_INNER, _OUTER = 0.16, 0.15  # of the inner wire, and of the leg: how far the lengths may go
_KNOTS = 8, 10
_STANDARD = 0.1, 4.0  # a second trap, by its coil and its capacitor: it parts the wire nowhere near the bands


@dataclass(frozen=True, eq=False)
class Wires:
    """The wires of one leg, for any lengths near these and any trap between them.

    aims_mhz: shape (2,). middle_m, half_m: inner and outer wire in the middle of what is known, and how far
    that goes to either side, shape (2,). pole: complex, shape (2, points), for each frequency around each
    aim; weights: complex, shape (knots of inner, of outer, 2, points, 3).
    Lengths beyond are taken at the edge. Within 0.001 of the reflection of what the engine says; on 80 and 10
    metres, whose outer wire is longer than a wave, within 0.05.
    Source: as seen from the feed, what lies behind a trap of impedance t is (c + a t) / (b + t); a, b and c
    of lengths by Chebyshev's polynomials, times the outer wire's distance from where it is resonant alone.

    >>> plan = al.design("40m", "20m", shape=al.FlatTop(height_m=9), low_mhz=7.1, high_mhz=14.2).dipole
    >>> from antlab.antenna.lawn import wires_of
    >>> wires = wires_of(plan, np.array(plan.sections), np.array([7.1, 14.2]), knots=(3, 4))
    >>> f, z = wires.around(1, plan.sections, plan.trap)
    >>> bool(np.max(np.abs(z / plan.impedance(f) - 1)) < 0.01)
    True
    """

    aims_mhz: np.ndarray
    middle_m: np.ndarray
    half_m: np.ndarray
    pole: np.ndarray
    weights: np.ndarray

    def around(self, band, lengths_m, trap):
        """Frequencies around an aim, MHz, and the impedance there, ohms, each of shape (points,).

        band: 0 is the lower one. lengths_m: inner and outer wire, shape (2,). trap: a Trap.
        """
        f = _frequencies(self.aims_mhz, lengths_m)[band]
        x, y = np.clip((np.asarray(lengths_m) - self.middle_m) / self.half_m, -1, 1)
        inner, outer = (
            chebvander(one, n - 1)[0] for one, n in zip((x, y), self.weights.shape[:2], strict=True)
        )
        a, b, c = np.einsum("i,j,ijfk->kf", inner, outer, self.weights[:, :, band])
        t = trap.impedance(f)
        return f, (c + a * t) / (b + (y - self.pole[band]) * t)


def wires_of(dipole, lengths_m, aims_mhz, *, knots=_KNOTS):
    """The Wires of a Dipole with a trap. lengths_m: inner and outer wire now. aims_mhz: shape (2,) both.

    knots: how many lengths of each wire are solved, all with all; that takes 0.05 s each.

    >>> plan = al.design("40m", "20m", shape=al.FlatTop(height_m=9), low_mhz=7.1, high_mhz=14.2).dipole
    >>> from antlab.antenna.lawn import wires_of
    >>> wires_of(plan, np.array(plan.sections), np.array([7.1, 14.2]), knots=(1, 3)).pole.shape
    (2, 45)
    """
    now, drop = np.asarray(lengths_m), dipole.shape.top_m - dipole.shape.ends_m
    less = np.array([_INNER * now[0], min(_OUTER * sum(now), 0.75 * now[1])])
    less *= min(1.0, 0.98 * (sum(now) - drop / STEEPEST) / sum(less))
    more = np.array([_INNER * now[0], _OUTER * sum(now)])
    middle, half = now + (more - less) / 2, (more + less) / 2
    places = [np.cos(np.pi * (np.arange(n) + 0.5) / n) for n in knots]
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the plan has said it of the antenna as it is
        seen = np.array(
            [[_from_the_feed(dipole, middle + half * (x, y), aims_mhz) for y in places[1]] for x in places[0]]
        )
    pole = np.array([[_pole(places[1], seen[:, :, i, n]) for n in range(seen.shape[3])] for i in (0, 1)])
    seen *= (places[1][:, None, None] - pole)[None, ..., None]
    to_weights = (np.linalg.inv(chebvander(x, len(x) - 1)) for x in places)
    weights = np.einsum("ip,jq,pq...->ij...", *to_weights, seen)
    return Wires(aims_mhz, middle, half, pole.astype("complex64"), weights.astype("complex64"))


def _frequencies(aims_mhz, lengths_m):
    """As Fit.dips asks them."""
    most = fitting.highest_mhz(2 * sum(lengths_m))
    return [np.geomspace(low, min(high, most), fitting.POINTS) for low, high in fitting.windows(aims_mhz)]


def _from_the_feed(dipole, lengths_m, aims_mhz):
    """a, b and c of a dipole of these lengths at all frequencies, shape (2, points, 3), from two traps."""
    trap, (uh, pf) = dipole.trap, _STANDARD
    other = Trap(inductance_uh=trap.inductance_uh * uh, capacitance_pf=trap.capacitance_pf * pf)
    f = np.concatenate(_frequencies(aims_mhz, lengths_m))
    one, two = (replace(dipole, sections=tuple(lengths_m), traps=(it,)).solution(f) for it in (trap, other))
    (r1, r2), (t1, t2) = ([it.trap_currents[0] for it in (one, two)], [it.traps_ohm[0] for it in (one, two)])
    b = (r2 * t2 - r1 * t1) / (r1 - r2)
    across = 2 * ((b + t2) * r2) ** 2  # both traps
    a = two.impedance + across / (b + t2)
    return np.stack([a, b, a * b - across], axis=-1).reshape(2, -1, 3)


def _pole(places, seen):
    """Where along the outer wire's lengths a, b and c have a pole in common: complex.

    places: shape (n,). seen: shape (m, n, 3). (y - pole) times each is a polynomial of y: least squares.
    """
    smooth = chebvander(places, len(places) - 3)
    rows = np.moveaxis(seen / np.max(np.abs(seen), axis=(0, 1)), 1, 0).reshape(len(places), -1)
    rest = rows - smooth @ np.linalg.lstsq(smooth, rows, rcond=None)[0]
    moved = places[:, None] * rows
    moved = moved - smooth @ np.linalg.lstsq(smooth, moved, rcond=None)[0]
    return np.vdot(rest, moved) / np.vdot(rest, rest)


def taken_along(antenna, *, knots=_KNOTS):
    """What the phone's reckoning gets: the wires, the log so far, the rules and the words, ready for JSON.

    antenna: an Antenna. knots: as of wires_of. Returns a dict. Raises Slip as Antenna.trimming does.

    >>> from antlab.antenna.lawn import taken_along
    >>> antenna = al.Antenna(name="lawn", yard=al.Yard(hung="level", heights_m=(9, 9)))
    >>> taken_along(antenna, knots=(1, 3))["start"]["steps"]
    []
    """
    trimming, known = antenna.trimming, [entry.date for entry in antenna.log]
    wires = wires_of(trimming.known, trimming.lengths_m, trimming.aims_mhz, knots=knots)
    along = packed(trimming, antenna.advice, wires)
    along["start"]["measured"] = any(isinstance(entry, MEASURED) for entry in antenna.standing)
    return along | {"name": antenna.name, "mark": mark_of(antenna), "reach": REACH, "known": known}


def packed(trimming, advice, wires):
    """The same of a Trimming, the Advice that waits to be followed or None, and its Wires.

    >>> from antlab.antenna.lawn import packed, wires_of
    >>> plan = al.design("40m", "20m", shape=al.FlatTop(height_m=9), low_mhz=7.1, high_mhz=14.2).dipole
    >>> log = al.bench.Trimming(dipole=plan, low_mhz=7.1, high_mhz=14.2)
    >>> sorted(packed(log, None, wires_of(plan, log.lengths_m, log.aims_mhz, knots=(1, 3)))["start"])
    ['lengths_m', 'pending', 'steps', 'usual']
    """
    trap = trimming.known.trap
    return {
        "aims_mhz": trimming.aims_mhz.tolist(), "z0_ohm": trimming.z0_ohm,
        "trap": {name: getattr(trap, name) for name in ("inductance_uh", "capacitance_pf", "q")},
        "traps_measured": trimming.traps is not None,
        "wires": {
            "knots": wires.weights.shape[:2], "points": fitting.POINTS,
            "windows_mhz": fitting.windows(trimming.aims_mhz).tolist(),
            "highest_m_mhz": fitting.highest_mhz(1.0), "middle_m": wires.middle_m.tolist(),
            "half_m": wires.half_m.tolist(), "pole": _in_text(wires.pole), "weights": _in_text(wires.weights),
        },
        "plain": _plain(trimming, wires),
        "first": _usual(trimming._first) | {"varies": trimming._first.varies.tolist()},
        "start": {
            "lengths_m": trimming.lengths_m.tolist(),
            "steps": [[one.inner_m, one.outer_m] for one in trimming.steps],
            "usual": _usual(trimming._usual), "pending": _pending(advice),
        },
        "rules": {
            "done": bench._DONE, "upper_first": bench._UPPER_FIRST, "part": bench._PART,
            "hand_m": bench._HAND_M, "tried": bench._TRIED, "most": bench._MOST, "unsure": bench._UNSURE,
            "long_step": bench._LONG_STEP, "traps_said": bench._TRAPS_SAID,
            "traps_far": bench._TRAPS_FAR, "strain": faults.STRAIN,
            "near": faults.NEAR, "alike": faults.ALIKE, "traps_off": faults.TRAPS_OFF,
            "slip_m": faults.SLIP_M, "nudges": fitting._NUDGES[:3], "dip_noise": fitting._DIP_NOISE,
            "close": fitting._CLOSE, "drift": fitting._DRIFT, "shortest_m": fitting.SHORTEST_M,
            "inch_m": INCH_M, "much": MUCH,
        },
        "words": bench.SAID | faults.SAID | DOUBTS | {
            "measure_traps": faults.MEASURE_TRAPS, "strange": faults.STRANGE,
            "transmitting": CAUTIONS["transmitting"],
        },
    }  # fmt: skip


def _in_text(numbers):
    """Single precision, real and imaginary part in turn, least byte first, in letters."""
    return base64.b64encode(numbers.astype("<c8").tobytes()).decode()


def _usual(usual):
    return {"mean": usual.mean.tolist(), "covariance": usual.covariance.tolist()}


def _pending(advice):
    if advice is None:
        return None
    said = {name: getattr(advice, name) for name in _WAITS}
    return said | {"fit": None if advice.fit is None else _usual(advice.fit.now)}


def _plain(trimming, wires):
    """Where the wire would be resonant without traps, times its length: polynomials of the length."""
    middle, half = float(np.sum(wires.middle_m)), float(np.sum(wires.half_m))
    places, found = np.cos(np.pi * (np.arange(7) + 0.5) / 7), []
    for leg in middle + half * places:
        sections = leg * trimming.lengths_m / np.sum(trimming.lengths_m)
        alone = replace(trimming, dipole=replace(trimming.dipole, sections=tuple(sections)), steps=())
        found.append(leg * alone._plain_mhz)
    weights = np.linalg.solve(chebvander(places, 6), found)
    return {"middle_m": middle, "half_m": half, "weights": weights.tolist()}


_WAITS = "fault", "done", "nearest", "measure_traps", "measure_again", "because", "inner_m", "outer_m"
_HEAD = re.compile(r"antlab lawn log 1, antenna ([0-9a-f]{8})\b.*")
_END = re.compile(r"end of (\d+) lines?")
_F = r"(none|[0-9.]+ MHz)"
_M = r"([+-]?[0-9.]+) m"
_READ = re.compile(rf"(\S+ \S+) lowest SWR: low {_F}, high {_F}")
_CHANGED = re.compile(rf"(\S+ \S+) changed each leg: inner {_M}, outer {_M}")
_MOST_LINES = 1000
MUCH = 0.12  # of a wire, that nobody changes unasked
# What is doubted of a change before it is written down; trim says the same after.
DOUBTS = {
    "much": "You wrote {done_cm:+.1f} cm for each {wire} wire, which had {has}.",
    "other_way": (
        "The advice was {asked_cm:+.1f} cm for each {wire} wire, and you wrote {done_cm:+.1f} cm, "
        "the other way."
    ),
}


def mark_of(antenna):
    """By what the page of one antenna is told from that of another: its wires as first hung, and its aims.

    >>> from antlab.antenna.lawn import mark_of
    >>> len(mark_of(al.Antenna(name="lawn", yard=al.Yard(hung="level", heights_m=(9, 9)))))
    8
    """
    numbers = " ".join(f"{one:.4f}" for one in (*antenna.hung_m, *antenna.planned_mhz))
    return hashlib.sha256(numbers.encode()).hexdigest()[:8]


def with_lawn_log(antenna, text):
    """The antenna with what was done on the lawn in its log: Antenna.advice says what comes next.

    antenna: an Antenna. text: what the phone's page gave to bring home. Lines that the antenna has already
    stay once. Returns an Antenna. Raises Slip for text that is cut off, none of ours or of another antenna,
    saying in which line. Each new measurement takes about a second.

    >>> from antlab.antenna.lawn import mark_of, with_lawn_log
    >>> antenna = al.Antenna(name="lawn", yard=al.Yard(hung="level", heights_m=(9, 9)))
    >>> head = f"antlab lawn log 1, antenna {mark_of(antenna)}, lawn"
    >>> line = "2026-05-01 14:30:00 changed each leg: inner -0.020 m, outer +0.000 m"
    >>> home = with_lawn_log(antenna, f"{head}\\n{line}\\nend of 1 line\\n")
    >>> round(antenna.cut_m[0] - home.cut_m[0], 3)
    0.02
    """
    for number, entry in _lines(antenna, text):
        if any(_same(entry, one) for one in antenna.log):
            continue
        try:
            if isinstance(entry, Changed):
                antenna = antenna.changed(inner_m=entry.inner_m, outer_m=entry.outer_m, date=entry.date)
            else:
                antenna = antenna.read_off(low_mhz=entry.low_mhz, high_mhz=entry.high_mhz, date=entry.date)
        except Slip as error:
            raise Slip(f"line {number} of the lawn log: {error}") from None
    return antenna


def _lines(antenna, text):
    """Number and entry of each line between the first and the last one."""
    lines = [(n, " ".join(line.split())) for n, line in enumerate(str(text)[:200_000].splitlines(), 1)]
    lines = [(n, line) for n, line in lines if line]
    starts = [i for i, (_, line) in enumerate(lines) if _HEAD.fullmatch(line)]
    if len(starts) != 1:
        raise Slip(
            'this is no log from the lawn: it begins with "antlab lawn log 1", once; copy it whole from '
            "the page"
        )
    lines = lines[starts[0] :]
    theirs, ours = _HEAD.fullmatch(lines[0][1])[1], mark_of(antenna)
    if theirs != ours:
        raise Slip(
            f"this log is of another antenna ({theirs}, and {antenna.name} is {ours}): name that one's file"
        )
    entries = []
    for number, line in lines[1:]:
        if end := _END.fullmatch(line):
            if int(end[1]) != len(entries):
                raise Slip(f"this log says {end[1]} lines and has {len(entries)}: copy it again, whole")
            return entries
        if len(entries) == _MOST_LINES:
            raise Slip(
                f"this log has more than {_MOST_LINES} lines, more than is read: begin a new one on the page"
            )
        entries.append((number, _entry(number, line)))
    raise Slip(
        f'this log is cut off after line {lines[-1][0]}: copy it again, with its last line, "end of ..."'
    )


def _entry(number, line):
    try:
        if found := _READ.fullmatch(line):
            low, high = (None if f == "none" else float(f.removesuffix(" MHz")) for f in found.groups()[1:])
            return ReadOff(date=_date(found[1]), low_mhz=low, high_mhz=high)
        if found := _CHANGED.fullmatch(line):
            return Changed(date=_date(found[1]), inner_m=float(found[2]), outer_m=float(found[3]))
    except ValueError:
        pass  # a date or a number that is none
    raise Slip(f"line {number} of the lawn log is not as the page writes it; got {quoted(line)}")


def _date(text):
    return datetime.fromisoformat(text).isoformat(" ")


def _same(one, other):
    """Whether two lines of a log tell the same, whatever was advised."""
    return type(one) is type(other) and _told(one) == _told(other)


def _told(entry):
    return {name: value for name, value in vars(entry).items() if name != "advice"}
