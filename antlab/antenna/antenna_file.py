"""A student's own antenna: the yard, the wire, the traps and all that was measured, kept in one file.

It is JSON, with named fields and their units, for people to read too. It is written whole or not at all;
a damaged one is put aside and never written over.
"""

import json
import math
import os
import secrets
from dataclasses import MISSING, dataclass, field, fields, replace
from datetime import datetime
from functools import cached_property
from pathlib import Path

import numpy as np

from antlab import files
from antlab.antenna import fitting
from antlab.antenna.bench import Advice, MeasuredTrap, Trimming
from antlab.antenna.design import aim_on, design
from antlab.antenna.faults import NEAR
from antlab.antenna.safety import average_power_w
from antlab.antenna.touchstone import Sweep
from antlab.antenna.yard import Yard
from antlab.engine.dipole import Dipole
from antlab.physics.bands import soil as known_soil
from antlab.physics.cable import CABLES, Cable
from antlab.physics.cable import cable as known_cable
from antlab.physics.circuit import impedance_of_reflection
from antlab.physics.trap import CoaxTrap, CoilTrap, Trap
from antlab.physics.wires import Wire
from antlab.units import Slip, check_number, check_one, quoted, shown, single

VERSION = 1
_MOST_BYTES, _MOST_ENTRIES = 100_000_000, 1000
_MOST_DIGITS, _LARGEST = 15, 1e6  # of a whole number; that any field of a file has
_FEW = 12  # points around an aim, below which the lowest is read off and no curve is fitted
_MARK = '"antlab": "antenna"'
_HANDS_M = 0.0006  # lengths that the file gives twice are one to a rounded half millimetre
_TRAPS = {"coax": CoaxTrap, "coil": CoilTrap, "circuit": Trap}


@dataclass(frozen=True, kw_only=True)
class Swept:
    """A line of the log: what an analyzer saw. date: text, see now(). sweeps: of one or more files.

    files: their names. advice: the Advice that followed, or None where nobody asked.

    >>> from antlab.antenna.antenna_file import Swept
    >>> Swept(date="2026-05-01 14:30", sweeps=(al.Sweep([7.0, 7.1], [60, 50]),)).files
    ()
    """

    date: str
    sweeps: tuple
    files: tuple = ()
    advice: Advice | None = None

    def asked(self, trimming):
        """The Advice that a Trimming gives on it, by the lowest points where they are few. Raises Slip."""
        near = [_near(aim, self.sweeps) for aim in trimming.aims_mhz]
        if min(one.f_mhz.size if one else 0 for one in near) < _FEW and all(near):
            lowest = [one.lowest() for one in near]
            if all(lowest):
                low, high = (one.f_mhz for one in lowest)
                return trimming.advise(low_mhz=low, high_mhz=high)
        return trimming.advise_sweep(*self.sweeps)


def _near(aim_mhz, sweeps):
    """The part of the sweep with most points that may belong to an aim, or None."""
    parts = [
        sweep.between(aim_mhz / NEAR, aim_mhz * NEAR)
        for sweep in sweeps
        if np.any(np.abs(np.log(sweep.f_mhz / aim_mhz)) <= np.log(NEAR))
    ]
    return max(parts, key=lambda part: part.f_mhz.size, default=None)


@dataclass(frozen=True, kw_only=True)
class ReadOff:
    """A line of the log: where a meter showed the lowest SWR. date: text. low_mhz, high_mhz: MHz, or None.

    advice: the Advice that followed, or None where nobody asked.

    >>> from antlab.antenna.antenna_file import ReadOff
    >>> ReadOff(date="2026-05-01 14:30", low_mhz=7.05, high_mhz=14.1).high_mhz
    14.1
    """

    date: str
    low_mhz: float | None
    high_mhz: float | None
    advice: Advice | None = None

    def asked(self, trimming):
        """The Advice that a Trimming gives on it. Raises Slip as Trimming.advise does."""
        return trimming.advise(low_mhz=self.low_mhz, high_mhz=self.high_mhz)


@dataclass(frozen=True, kw_only=True)
class Changed:
    """A line of the log: what was done to the wires. date: text. inner_m, outer_m: per leg, metres, negative
    to shorten.

    >>> from antlab.antenna.antenna_file import Changed
    >>> Changed(date="2026-05-01 14:30", inner_m=-0.085, outer_m=0.0).inner_m
    -0.085
    """

    date: str
    inner_m: float
    outer_m: float


@dataclass(frozen=True, kw_only=True)
class TrapsMeasured:
    """A line of the log: the traps, each measured alone. date: text. traps: MeasuredTraps, one or both legs'.

    advice: the Advice that followed on what was measured of the antenna before, or None.

    >>> from antlab.antenna.antenna_file import TrapsMeasured
    >>> alone = al.bench.trap_from_two(f_mhz=14.2, lower_mhz=12.1, added_pf=20)
    >>> round(TrapsMeasured(date="2026-05-01 14:30", traps=(alone,)).mean.trap.resonance_mhz, 1)
    14.2
    """

    date: str
    traps: tuple
    advice: Advice | None = None

    @property
    def mean(self):
        """One MeasuredTrap for both legs: the legs of the engine are alike."""
        uh, pf, q = (
            float(np.exp(np.mean([np.log(getattr(one.trap, name)) for one in self.traps])))
            for name in ("inductance_uh", "capacitance_pf", "q")
        )
        off = [max(getattr(one, f"{what}_error") for one in self.traps) for what in _PARTS]
        return MeasuredTrap(Trap(inductance_uh=uh, capacitance_pf=pf, q=q), *off)


@dataclass(frozen=True, kw_only=True)
class Undone:
    """A line of the log: the line before it that still stood was a slip, and counts no more. date: text.

    >>> from antlab.antenna.antenna_file import Undone
    >>> Undone(date="2026-05-01 14:30").date[:4]
    '2026'
    """

    date: str


_PARTS = "inductance", "capacitance"
MEASURED = Swept, ReadOff
_LINES = (*MEASURED, Changed, TrapsMeasured, Undone)


@dataclass(frozen=True, kw_only=True)
class Antenna:
    """A student's own antenna, as it is kept in a file; read_antenna() reads it back.

    name: as its file is called. yard: a Yard, where it hangs. low, high, low_mhz, high_mhz, aim, mode,
    licence, region, power_w, z0_ohm, sends: as design() takes them. soil: its name. wire: a Wire. trap: a
    CoaxTrap, CoilTrap or Trap as planned; when left out, the usual one of design(). feed_line: (name of a
    cable, length in metres), or None. planned_m: inner and outer wire of one leg as planned, metres, and
    planned_mhz: the two aims; solved when left out, which takes a moment. hung_m: the wires as they first
    hung, planned_m when left out. log: Swept, ReadOff, Changed, TrapsMeasured, Undone, the oldest first.
    Raises Slip as design() does, and for values that make no sense.

    >>> yard = al.Yard(hung="level", heights_m=(9, 9))
    >>> antenna = al.Antenna(name="lawn", yard=yard, low_mhz=7.1, high_mhz=14.2)
    >>> [round(length, 1) for length in antenna.planned_m]
    [5.1, 3.4]
    >>> advised = antenna.read_off(low_mhz=7.0, high_mhz=14.2)
    >>> advised.advice.outer_m < 0, advised.changed(outer_m=-0.05).cut_m[1] < antenna.cut_m[1]
    (True, True)
    """

    name: str
    yard: Yard
    low: str = "40m"
    high: str = "20m"
    low_mhz: float | None = None
    high_mhz: float | None = None
    aim: str = "widest"
    mode: str | None = None
    licence: str = "general"
    region: int = 2
    soil: str = "average"
    wire: Wire = field(default_factory=Wire)
    power_w: float = 100.0
    z0_ohm: float = 50.0
    sends: str = "carrier"
    trap: CoaxTrap | CoilTrap | Trap | None = None
    feed_line: tuple | None = None
    planned_m: tuple | None = None
    planned_mhz: tuple | None = None
    hung_m: tuple | None = None
    log: tuple = ()

    def __post_init__(self):
        sound = isinstance(self.name, str) and 0 < len(self.name) and self.name == shown(self.name)
        if not (sound and Path(self.name).name == self.name):
            raise Slip(f"name is a short one, as a file is called, like my-antenna; got {quoted(self.name)}")
        if not isinstance(self.yard, Yard):
            raise Slip(f"yard is a Yard; got {quoted(self.yard)}")
        if not isinstance(self.wire, Wire):
            raise Slip(f"wire is a Wire, see al.wires.wire; got {quoted(self.wire)}")
        if self.trap is not None and not isinstance(self.trap, CoaxTrap | CoilTrap | Trap):
            raise Slip(f"trap is a CoaxTrap, a CoilTrap or a Trap; got {quoted(self.trap)}")
        for name, f_mhz in (("low", self.low_mhz), ("high", self.high_mhz)):
            aim_on(getattr(self, name), f_mhz, **self._user)
        if type(self.region) is not int:
            raise Slip(f"region is 1, 2 or 3, of the ITU; got {quoted(self.region)}")
        known_soil(self.soil)
        for name, unit in (("power_w", "watts"), ("z0_ohm", "ohms")):
            self._set(name, check_one(name, getattr(self, name), unit=unit))
        average_power_w(power_w=self.power_w, mode=self.sends)
        if self.feed_line is not None:
            cable, length_m = _pair("feed_line", self.feed_line)
            name = known_cable(cable).name
            self._set("feed_line", (name, check_one("length of the feed line", length_m, unit="metres")))
        if self.trap is None or self.planned_m is None or self.planned_mhz is None:
            solved = self.design
            self._set("trap", solved.wound or solved.dipole.trap)
            self._set("planned_m", np.round(solved.dipole.sections, 4).tolist())
            self._set("planned_mhz", [round(aim.f_mhz, 4) for aim in solved.aims])
        for name, unit in (("planned_m", "metres"), ("planned_mhz", "megahertz"), ("hung_m", "metres")):
            pair = _pair(name, self.planned_m if getattr(self, name) is None else getattr(self, name))
            self._set(name, tuple(check_one(name, one, unit=unit) for one in pair))
        self._set("log", tuple(self.log))
        if not all(isinstance(entry, _LINES) for entry in self.log):
            raise Slip(f"log has lines of {', '.join(one.__name__ for one in _LINES)}, and nothing else")
        if len(self.log) > _MOST_ENTRIES:
            raise Slip(f"the log has {len(self.log):,} lines; {_MOST_ENTRIES:,} are kept at most")
        self.trimming  # noqa: B018  says what does not go together

    def _set(self, name, value):
        object.__setattr__(self, name, value)

    @property
    def _user(self):
        names = "aim", "mode", "licence", "region"
        return {name: getattr(self, name) for name in names}

    @cached_property
    def design(self):
        """The Design as planned, its traps as planned too. Raises Slip as design() does."""
        return design(
            self.low, self.high, low_mhz=self.low_mhz, high_mhz=self.high_mhz, **self._user,
            shape=self.yard.shape, soil=self.soil, trap=self.trap, wire=self.wire, span_m=self.yard.room_m,
            power_w=self.power_w, z0_ohm=self.z0_ohm, sends=self.sends,
        )  # fmt: skip

    @property
    def plan(self):
        """The Plan of the design. Raises Slip as design() does."""
        return self.design.plan

    @cached_property
    def standing(self):
        """The lines of the log that were not undone: a tuple."""
        lines = []
        for entry in self.log:
            if not isinstance(entry, Undone):
                lines.append(entry)
            elif not lines:
                raise Slip("there is no line in the log to undo")
            else:
                lines.pop()
        return tuple(lines)

    @property
    def measured(self):
        """What was measured since the last change, a Swept or ReadOff, the last one; or None."""
        for entry in self.standing[::-1]:
            if isinstance(entry, Changed):
                return None
            if isinstance(entry, MEASURED):
                return entry
        return None

    @property
    def cut_m(self):
        """Inner and outer wire of one leg as they are now, metres."""
        done = [(entry.inner_m, entry.outer_m) for entry in self.standing if isinstance(entry, Changed)]
        return tuple(float(sum(one)) for one in zip(self.hung_m, *done, strict=True))

    @property
    def measured_traps(self):
        """The MeasuredTraps measured last, one or one of each leg; () where nobody has."""
        return next((entry.traps for entry in self.standing[::-1] if isinstance(entry, TrapsMeasured)), ())

    @property
    def trimming(self):
        """The Trimming: the log so far, but for what was measured since the last change."""
        return self._replayed[0]

    @property
    def advice(self):
        """The Advice on what was measured since the last change, or None."""
        return self._replayed[1]

    @cached_property
    def _replayed(self):
        """The Trimming and the Advice that the log comes to."""
        first = next(
            (n for n, one in enumerate(self.standing) if isinstance(one, MEASURED)), len(self.standing)
        )
        before = [one for one in self.standing[:first] if isinstance(one, Changed)]
        dipole = Dipole(
            sections=self.hung_m + np.sum([(0, 0), *((one.inner_m, one.outer_m) for one in before)], axis=0),
            traps=(getattr(self.trap, "trap", self.trap),), shape=self.yard.shape, soil=self.soil,
            wire=self.wire,
        )  # fmt: skip
        low, high = self.planned_mhz
        log, advice, asked = (
            Trimming(dipole=dipole, low_mhz=low, high_mhz=high, z0_ohm=self.z0_ohm),
            None,
            None,
        )
        for n, entry in enumerate(self.standing):
            if isinstance(entry, TrapsMeasured):
                log = log.with_traps(entry.mean)
                advice = None if asked is None else entry.advice or asked.asked(log)
            elif isinstance(entry, Changed) and n > first:
                log = log.done(_of_wires(advice), inner_m=entry.inner_m, outer_m=entry.outer_m)
                advice, asked = None, None
            elif isinstance(entry, MEASURED):
                log, asked = _measured_again(log, advice), entry
                advice = entry.advice or entry.asked(log)
            advice = advice.of(log) if isinstance(advice, _Kept) else advice
        return log, advice

    def swept(self, *sweeps, files=(), date=None):
        """The antenna with what an analyzer saw in its log, and the Advice on it as .advice.

        sweeps: each a Sweep, one over both bands or one of each. files: their names. date: text; now, when
        left out. Returns an Antenna. Raises Slip as Trimming.advise_sweep does.
        """
        return self._asked(Swept(date=date or now(), sweeps=sweeps, files=tuple(files)))

    def read_off(self, *, low_mhz, high_mhz, date=None):
        """The antenna with the frequencies of lowest SWR that a meter showed in its log, and .advice on them.

        low_mhz, high_mhz: MHz; None where there is no minimum. date: as of swept. Returns an Antenna. Raises
        Slip as Trimming.advise does.
        """
        return self._asked(ReadOff(date=date or now(), low_mhz=low_mhz, high_mhz=high_mhz))

    def _asked(self, entry):
        log = _measured_again(*self._replayed)
        return self._longer(replace(entry, advice=entry.asked(log)))

    def changed(self, *, inner_m=0.0, outer_m=0.0, date=None):
        """The antenna with a change of its wires in its log.

        inner_m, outer_m: what was really done, per leg, metres, negative to shorten. date: as of swept.
        Returns an Antenna. Raises Slip when nothing would be left of a wire.
        """
        change = (single(name, check_number(name, m, unit="metres"))
                  for name, m in (("inner_m", inner_m), ("outer_m", outer_m)))  # fmt: skip
        inner_m, outer_m = change
        if not np.all(np.add(self.cut_m, (inner_m, outer_m)) >= fitting.SHORTEST_M):
            raise Slip("that leaves nothing of the wire; changes are metres, 0.05 for 5 cm")
        return self._longer(Changed(date=date or now(), inner_m=inner_m, outer_m=outer_m))

    def with_traps(self, *traps, date=None):
        """The antenna with the traps as measured in its log: .advice reckons with them from now on.

        traps: MeasuredTraps or Traps, one, or one of each leg. date: as of swept. Returns an Antenna. Raises
        Slip as Trimming does.
        """
        if not 1 <= len(traps) <= 2 or not all(isinstance(one, Trap | MeasuredTrap) for one in traps):
            raise Slip("traps are one or two of what trap_from_two found, or of Trap")
        known = (one if isinstance(one, MeasuredTrap) else MeasuredTrap(one, 0.0, 0.0) for one in traps)
        entry = TrapsMeasured(date=date or now(), traps=tuple(known))
        log = self.trimming.with_traps(entry.mean)
        return self._longer(replace(entry, advice=self.measured and self.measured.asked(log)))

    def undone(self, *, date=None):
        """The antenna without the last line of its log that still stands; it is kept, and counts no more.

        date: as of swept. Returns an Antenna. Raises Slip where there is none.
        """
        return self._longer(Undone(date=date or now()))

    def _longer(self, entry):
        return replace(self, log=(*self.log, entry))

    def save(self, path=None, *, force=False):
        """Write the antenna into its file, whole or not at all.

        path: ends in .json; NAME.json in the current folder when left out. force: write over an antenna that
        is there already; its log has to be the beginning of this one's, so that nothing measured is lost.
        Returns the Path. Raises Slip when that can't be.

        >>> antenna = al.Antenna(name="lawn", yard=al.Yard(hung="level", heights_m=(9, 9)))
        >>> al.read_antenna(antenna.save("lawn.json", force=True)).planned_m == antenna.planned_m
        True
        """
        path = _path(f"{self.name}.json" if path is None else path)
        if os.path.lexists(path):
            if not force:
                raise Slip(f"{_place(path)} exists; choose another name, or say force=True to write over it")
            self._nothing_lost(path)
        if not path.parent.is_dir():
            raise Slip(f"cannot write {_place(path)}: there is no such folder")
        try:
            return files.write(path, (_text(_written(self)) + "\n").encode(), force=force)
        except (OSError, ValueError) as error:
            raise Slip(f"cannot write {_place(path)}: {getattr(error, 'strerror', error)}") from None

    def _nothing_lost(self, path):
        """Raise Slip where a file holds something that this antenna's log doesn't begin with."""
        before = read_antenna(path)
        ours = [_entry(one) for one in self.log]
        if [_entry(one) for one in before.log] != ours[: len(before.log)]:
            raise Slip(
                f"{_place(path)} has {len(before.log)} lines in its log, and not all are in this one: read "
                "it again with read_antenna, or choose another name"
            )


@dataclass(frozen=True, kw_only=True)
class _Kept(Advice):
    """An Advice out of a file; learned: mean and covariance of its fit, and what else is in one, or None."""

    learned: dict | None = None

    def of(self, log):
        """The Advice with its Fit, for the Trimming that gave it."""
        if self.learned is None:
            return self
        known = {name: np.array(value) for name, value in self.learned.items()}
        usual = fitting.Usual(known.pop("mean"), known.pop("covariance"))
        return replace(self, fit=fitting.Fit(plan=log.known, z0_ohm=log.z0_ohm, now=usual, **known))


def _of_wires(advice):
    """What a step of the log keeps of an Advice: a curve with a fault says nothing of the wires."""
    if advice is None:
        return Advice(low_mhz=None, high_mhz=None)
    return replace(advice, fit=None) if advice.fault and not advice.measure_again else advice


def _measured_again(log, advice):
    """A Trimming after a measurement that nothing was changed on, but for one that showed a fault."""
    if advice is None or (advice.fault and not advice.measure_again):
        return log
    return log.done(advice, inner_m=0.0, outer_m=0.0)


def now():
    """The date and time of day, as the log has them.

    >>> from antlab.antenna.antenna_file import now
    >>> len(now())
    16
    """
    return datetime.now().strftime("%Y-%m-%d %H:%M")


def antenna_files(folder="."):
    """Every antenna file in a folder, by name. folder: where to look. Returns a tuple of Paths.

    >>> from antlab.antenna.antenna_file import antenna_files
    >>> antenna_files("no-such-folder")
    ()
    """
    found = []
    for path in sorted(Path(folder).glob("*.json")):
        try:
            found += [path] if _MARK.encode() in files.read(path, most=_MOST_BYTES)[:200] else []
        except OSError:
            continue
    return tuple(found)


def read_antenna(path):
    """Read an antenna from its file, of this version or an earlier one.

    path: of the file, ending in .json. Returns an Antenna with the file's name. Raises Slip, saying what is
    wrong and where, for a file that is missing, none of an antenna, of a later antlab, or damaged: a damaged
    one is put aside under another name, so that nothing writes over it.

    >>> antenna = al.Antenna(name="lawn", yard=al.Yard(hung="level", heights_m=(9, 9)))
    >>> al.read_antenna(antenna.save("lawn.json", force=True)).yard.heights_m
    (9.0, 9.0)
    """
    path = _path(path)
    name = shown(path.name)
    try:
        data = files.read(path, most=_MOST_BYTES, follow=True)
    except OSError as error:
        raise Slip(f"cannot read {_place(path)}: {error.strerror}") from None
    except ValueError:
        raise Slip(f"cannot read {_place(path)}: that is no name of a file") from None
    text = data.decode("utf-8", errors="replace")
    ours = _MARK in text[:200]
    try:
        content = json.loads(text, parse_constant=_no_number, parse_int=_whole, parse_float=_finite)
        if not (isinstance(content, dict) and content.get("antlab") == "antenna"):
            raise _Whole(f"{name} is no antenna: `antlab plan --save {name}` writes one")
        ours = True
        version = content.get("version")
        if type(version) is int and version > VERSION:
            raise _Whole(f"{name} was written by a later antlab: get the newest, and try again")
        return _read(content, path.stem)
    except _Whole as error:
        raise Slip(str(error)) from None
    except (json.JSONDecodeError, RecursionError) as error:
        line = f"line {error.lineno}" if isinstance(error, json.JSONDecodeError) else "it"
        why = f"{line} is not as antlab writes it; was it cut off?"
    except Slip as error:
        why = str(error)
    if not ours:
        raise Slip(f"{name} is no antenna: {why}")
    raise Slip(f"{name} is damaged: {why} {_put_aside(path)}")


class _Whole(Exception):
    """What is said of a file that is not damaged, and no antenna of ours to read."""


def _no_number(word):
    raise Slip(f"{shown(word)} stands where a number belongs.")


def _whole(word):
    return int(word) if len(word) <= _MOST_DIGITS else _no_number(word)


def _finite(word):
    number = float(word)
    return number if math.isfinite(number) else _no_number(word)


def _put_aside(path):
    """Rename a damaged file, over no other; say where it is."""
    aside = path.with_suffix(f".{secrets.token_hex(3)}.spoilt")
    try:
        os.replace(path, aside)
    except OSError as error:
        return f"It could not be put aside ({error.strerror})."
    return (
        f"It is now {shown(aside.name)}, and nothing in it is lost: mend it there, and name it "
        f"{shown(path.name)} again."
    )


def _path(path):
    try:
        path = Path(path)
    except TypeError:
        raise Slip(f"path is the name of a file, like my-antenna.json; got {quoted(path)}") from None
    if path.suffix.lower() != ".json":
        raise Slip(f"{shown(path.name)} is no antenna file, which ends in .json, like my-antenna.json")
    return path


def _place(path):
    """A path as a sentence names it: whole, or the file's name alone where that is long."""
    whole = str(path)
    return whole if shown(whole) == whole else shown(path.name)


def _pair(name, value):
    try:
        one, other = value
    except (TypeError, ValueError):
        raise Slip(f"{name} is a pair; got {quoted(value)}") from None
    return one, other


# --- what is written

_BANDS = "low high low_mhz high_mhz aim mode licence region".split()
_STATION = "power_w z0_ohm sends".split()
_SAID = "low_mhz high_mhz inner_m outer_m done nearest measure_traps measure_again fault because".split()
_POINT = {True: ("f_mhz", "reflection_real", "reflection_imaginary"), False: ("f_mhz", "reflection_size")}
_DIGITS = 6  # after the point, of MHz and of a reflection: less than any meter's noise
_LEARNED = {"mean": (3,), "covariance": (3, 3), "ohms": (2,), "loss_db": (2,), "misfit": (2,)}


def _written(antenna):
    """An Antenna as plain values."""
    line = antenna.feed_line
    return {
        "antlab": "antenna",
        "version": VERSION,
        "yard": _plain(antenna.yard),
        "bands": {name: getattr(antenna, name) for name in _BANDS},
        "soil": antenna.soil,
        "wire": _plain(antenna.wire),
        "station": {name: getattr(antenna, name) for name in _STATION},
        "feed_line": None if line is None else {"cable": line[0], "length_m": line[1]},
        "trap": _trap(antenna.trap),
        "aims": dict(zip(("low_mhz", "high_mhz"), antenna.planned_mhz, strict=True)),
        "lengths_of_one_leg": {
            "planned": _lengths(antenna.planned_m),
            "first_hung": _lengths(antenna.hung_m),
            "now": _lengths(antenna.cut_m),
        },
        "log": [_entry(entry) for entry in antenna.log],
    }


def _lengths(pair):
    return dict(zip(("inner_m", "outer_m"), pair, strict=True))


def _plain(thing):
    """The fields of a record; those that are records too as their fields, a known cable as its name."""
    made = {}
    for one in fields(thing):
        value = getattr(thing, one.name)
        if isinstance(value, Cable):
            value = value.name if CABLES.get(value.name) == value else _plain(value)
        made[one.name] = list(value) if isinstance(value, tuple) else value
    return made


def _trap(trap):
    kind = next(kind for kind, one in _TRAPS.items() if type(trap) is one)
    return {"kind": kind, **_plain(trap)}


def _entry(entry):
    if isinstance(entry, Changed):
        return {"date": entry.date, "what": "changed", "inner_m": entry.inner_m, "outer_m": entry.outer_m}
    if isinstance(entry, Undone):
        return {"date": entry.date, "what": "undone"}
    if isinstance(entry, TrapsMeasured):
        traps = [
            {**_plain(one.trap), **{f"{what}_error": getattr(one, f"{what}_error") for what in _PARTS}}
            for one in entry.traps
        ]
        said = _advice(entry.advice)
        return {"date": entry.date, "what": "traps measured", "traps": traps, "advice": said}
    if isinstance(entry, ReadOff):
        what = {"what": "read off", "low_mhz": entry.low_mhz, "high_mhz": entry.high_mhz}
    else:
        what = {"what": "swept", "files": list(entry.files), "sweeps": [_sweep(one) for one in entry.sweeps]}
    return {"date": entry.date, **what, "advice": _advice(entry.advice)}


def _sweep(sweep):
    """A sweep by its reflection, finite where an impedance is not; by its size where no more is known."""
    rows = zip(sweep.f_mhz.tolist(), sweep.reflection.tolist(), strict=True)
    points = [[f, s.real, s.imag] if sweep.phase else [f, abs(s)] for f, s in rows]
    points = [[round(one, _DIGITS) for one in point] for point in points]
    return {"z0_ohm": sweep.z0_ohm, "columns": list(_POINT[sweep.phase]), "points": points}


def _advice(advice):
    if advice is None:
        return None
    said = {name: getattr(advice, name) for name in _SAID} | {"because": list(advice.because)}
    if advice.fit is not None:
        values = {name: getattr(advice.fit, name, None) for name in _LEARNED}
        values |= {"mean": advice.fit.now.mean, "covariance": advice.fit.now.covariance}
        said["learned"] = {name: np.asarray(value).tolist() for name, value in values.items()}
    elif getattr(advice, "learned", None):
        said["learned"] = advice.learned
    return said


def _text(value, indent=""):
    """JSON to be read by people: a field a line, a point a line."""
    deeper = indent + " "
    if isinstance(value, dict) and value:
        rows = [f"{json.dumps(name)}: {_text(one, deeper)}" for name, one in value.items()]
        return "{\n" + ",\n".join(deeper + row for row in rows) + f"\n{indent}}}"
    if isinstance(value, list) and any(isinstance(one, dict | list | str) for one in value):
        return "[\n" + ",\n".join(deeper + _text(one, deeper) for one in value) + f"\n{indent}]"
    return json.dumps(value, ensure_ascii=False, allow_nan=False)


# --- what is read


def _read(content, name):
    """The Antenna of plain values. Raises Slip that names the field."""
    version = content.get("version")
    if type(version) is not int or version < 1:
        raise Slip(f"version is a whole number like {VERSION}; got {quoted(version)}.")
    top = _fields("the file", content, required=(
        "antlab version yard bands soil wire station feed_line trap aims lengths_of_one_leg log"
    ).split())  # fmt: skip
    lengths = _fields("lengths_of_one_leg", top["lengths_of_one_leg"], ["planned", "first_hung", "now"])
    pairs = {what: _numbers(what, pair, "inner_m", "outer_m") for what, pair in lengths.items()}
    line = top["feed_line"]
    if line is not None:
        line = tuple(_fields("feed_line", line, ["cable", "length_m"]).values())
    if not isinstance(top["log"], list):
        raise Slip(f"log is a list; got {quoted(top['log'])}.")
    log = tuple(_log_line(f"line {n} of the log", one) for n, one in enumerate(top["log"], 1))
    antenna = _made(
        "an antenna", Antenna, {
            "name": name, "yard": _record("yard", Yard, top["yard"]), "soil": top["soil"],
            **_fields("bands", top["bands"], _BANDS), **_fields("station", top["station"], _STATION),
            "wire": _record("wire", Wire, top["wire"]), "trap": _read_trap(top["trap"]), "feed_line": line,
            "planned_m": pairs["planned"], "hung_m": pairs["first_hung"], "log": log,
            "planned_mhz": _numbers("aims", top["aims"], "low_mhz", "high_mhz"),
        },
    )  # fmt: skip
    if not np.allclose(antenna.cut_m, pairs["now"], rtol=0, atol=_HANDS_M):
        raise Slip("now, of lengths_of_one_leg, is not first_hung and the changes of the log.")
    return antenna


def _fields(what, value, required, optional=()):
    """The fields of a dict in their order, all of required and none beyond both."""
    if not isinstance(value, dict):
        raise Slip(f"{what} is a list of named fields; got {quoted(value)}.")
    if missing := [name for name in required if name not in value]:
        raise Slip(f"{what} lacks {missing[0]}.")
    if more := [name for name in value if name not in (*required, *optional)]:
        raise Slip(f"{what} has {quoted(more[0])}, which is none of its fields.")
    return {name: value[name] for name in (*required, *optional) if name in value}


def _number(name, value):
    if type(value) not in (int, float) or not abs(value) <= _LARGEST:
        raise Slip(f"{name} is a number; got {quoted(value)}.")
    return float(value)


def _numbers(what, value, *names):
    return tuple(_number(f"{name} of {what}", one) for name, one in _fields(what, value, names).items())


def _made(what, kind, given):
    """kind(**given); what is no Slip of ours is one all the same, since the values are somebody else's."""
    try:
        return kind(**given)
    except Slip as error:
        raise Slip(f"{str(error).rstrip('.')}.") from None
    except (TypeError, ValueError, ArithmeticError, AttributeError, LookupError):
        raise Slip(f"the values do not make {what}.") from None


def _record(what, kind, value):
    """A record by its fields; those that have a default may be missing, lists are tuples."""
    must = [one.name for one in fields(kind) if one.default is one.default_factory is MISSING]
    may = [one.name for one in fields(kind) if one.name not in must]
    given = _fields(what, value, must, may)
    if isinstance(cable := given.get("cable"), dict):
        given["cable"] = _record(f"cable of {what}", Cable, cable)
    given = {name: tuple(one) if isinstance(one, list) else one for name, one in given.items()}
    return _made(f"a {what}", kind, given)


def _read_trap(value):
    kind = value.get("kind") if isinstance(value, dict) else None
    if not isinstance(kind, str) or kind not in _TRAPS:
        raise Slip(f"trap has a kind, one of {', '.join(_TRAPS)}; got {quoted(kind)}.")
    return _record("trap", _TRAPS[kind], {name: one for name, one in value.items() if name != "kind"})


def _log_line(where, value):
    what = value.get("what") if isinstance(value, dict) else None
    names = {
        "changed": ["inner_m", "outer_m"], "traps measured": ["traps", "advice"],
        "undone": [], "read off": ["low_mhz", "high_mhz", "advice"], "swept": ["files", "sweeps", "advice"],
    }  # fmt: skip
    if not isinstance(what, str) or what not in names:
        raise Slip(f"{where} says what it is, one of {', '.join(names)}; got {quoted(what)}.")
    given = _fields(where, value, ["date", "what", *names[what]])
    date = given["date"]
    try:
        datetime.fromisoformat(date)
    except (TypeError, ValueError):
        raise Slip(f"date of {where} is like {now()}; got {quoted(date)}.") from None
    if what == "undone":
        return Undone(date=date)
    if what == "changed":
        inner_m, outer_m = (_number(f"{name} of {where}", given[name]) for name in names[what])
        return Changed(date=date, inner_m=inner_m, outer_m=outer_m)
    advice = _read_advice(f"advice of {where}", given["advice"])
    if what == "traps measured":
        traps = _list(f"traps of {where}", given["traps"])
        if len(traps) > 2:
            raise Slip(f"traps of {where} are one or two.")
        traps = tuple(_measured_trap(where, one) for one in traps)
        return TrapsMeasured(date=date, traps=traps, advice=advice)
    if what == "read off":
        low_mhz, high_mhz = (_maybe(f"{name} of {where}", given[name]) for name in ("low_mhz", "high_mhz"))
        return ReadOff(date=date, low_mhz=low_mhz, high_mhz=high_mhz, advice=advice)
    names_ = given["files"]
    if not isinstance(names_, list) or not all(isinstance(one, str) for one in names_):
        raise Slip(f"files of {where} are names; got {quoted(names_)}.")
    sweeps = tuple(
        _read_sweep(f"sweeps of {where}", one) for one in _list(f"sweeps of {where}", given["sweeps"])
    )
    return Swept(date=date, sweeps=sweeps, files=tuple(names_), advice=advice)


def _list(what, value):
    if not isinstance(value, list) or not value:
        raise Slip(f"{what} are a list of one or more; got {quoted(value)}.")
    return value


def _maybe(name, value):
    return None if value is None else _number(name, value)


def _measured_trap(where, value):
    names = [*(one.name for one in fields(Trap)), *(f"{what}_error" for what in _PARTS)]
    given = dict(zip(names, _numbers(f"a trap of {where}", value, *names), strict=True))
    off = [given.pop(f"{what}_error") for what in _PARTS]
    if min(off) < 0:
        raise Slip(f"a trap of {where} is off by a part of 1, like 0.03.")
    return MeasuredTrap(_made("a trap", Trap, given), *off)


def _read_sweep(where, value):
    given = _fields(where, value, ["z0_ohm", "columns", "points"])
    z0_ohm = _number(f"z0_ohm of {where}", given["z0_ohm"])
    phase = given["columns"] == list(_POINT[True])
    if not phase and given["columns"] != list(_POINT[False]):
        raise Slip(f"columns of {where} are {', '.join(_POINT[True])}; got {quoted(given['columns'])}.")
    points = _list(f"points of {where}", given["points"])
    if not all(isinstance(row, list) and len(row) == 2 + phase for row in points):
        raise Slip(f"points of {where} have {2 + phase} numbers each.")
    table = np.array([[_number(f"a point of {where}", one) for one in row] for row in points]).T
    f, s = table[0], table[1] + (1j * table[2] if phase else 0)
    if np.any(np.abs(s) > 1 + 1e-9):
        raise Slip(f"a point of {where} reflects more than it gets.")
    z = impedance_of_reflection(s / np.maximum(np.abs(s), 1), z0_ohm) if z0_ohm > 0 else s
    return _made("a sweep", Sweep, {"f_mhz": f, "impedance": z, "z0_ohm": z0_ohm, "phase": phase})


def _read_advice(where, value):
    if value is None:
        return None
    given = _fields(where, value, _SAID, ["learned"])
    for name in ("low_mhz", "high_mhz"):
        given[name] = _maybe(f"{name} of {where}", given[name])
    for name in ("inner_m", "outer_m"):
        given[name] = _number(f"{name} of {where}", given[name])
    for name in ("done", "nearest", "measure_traps", "measure_again"):
        if type(given[name]) is not bool:
            raise Slip(f"{name} of {where} is true or false; got {quoted(given[name])}.")
    because = given["because"]
    if (
        not isinstance(given["fault"], str)
        or not isinstance(because, list)
        or not all(isinstance(one, str) for one in because)
    ):
        raise Slip(f"{where} has its fault and its because in words.")
    if "learned" in given:
        given["learned"] = _read_learned(f"learned of {where}", given["learned"])
    return _Kept(**given | {"because": tuple(because)})


def _read_learned(where, value):
    given = _fields(where, value, list(_LEARNED))
    for name, shape in _LEARNED.items():
        try:
            sound = np.array(given[name]).dtype.kind in "if" and np.array(given[name]).shape == shape
        except ValueError:  # rows of unequal length
            sound = False
        if not (sound and np.all(np.isfinite(given[name]))):
            raise Slip(f"{name} of {where} has numbers in {' x '.join(map(str, shape))}.")
    spread = np.array(given["covariance"])
    if not np.allclose(spread, spread.T, rtol=1e-6) or np.min(np.linalg.eigvalsh(spread)) < 0:
        raise Slip(f"covariance of {where} is none.")
    return given
