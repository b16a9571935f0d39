"""A student's own antenna: the yard, the wire, the traps and the log of all that was measured."""

from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path

import numpy as np

from antlab import hooks
from antlab.antenna import fitting
from antlab.antenna.antenna_log import (
    LINES,
    MEASURED,
    Changed,
    ReadOff,
    Swept,
    TrapsMeasured,
    Undone,
    check_date,
    measured_again,
    now,
    replayed,
)
from antlab.antenna.bench import MeasuredTrap, Trimming
from antlab.antenna.design import aim_on, design
from antlab.antenna.feeding import FeedLine
from antlab.antenna.plan_making import plan_of
from antlab.antenna.safety import average_power_w
from antlab.antenna.yard import Yard
from antlab.engine.dipole import Dipole
from antlab.physics.bands import band
from antlab.physics.bands import soil as known_soil
from antlab.physics.trap import CoaxTrap, CoilTrap, Trap
from antlab.physics.wires import Wire
from antlab.units import Slip, check_number, check_one, quoted, shown, single, wavelength_m

_MOST_ENTRIES = 1000
_LINES_OHM = 10, 1000  # of any line that a wire is fed by
_LIKE = 1.5  # that a trap's capacitance may be more or less than planned: what is farther is another trap's
_BESIDE = 1.1  # the lowest SWR may lie beside the band by such a factor, no more


@dataclass(frozen=True, kw_only=True)
class Antenna:
    """A student's own antenna, as it is kept in a file; read_antenna() reads it back.

    name: as its file is called. yard: a Yard, where it hangs. low, high, low_mhz, high_mhz, aim, mode,
    licence, region, power_w, z0_ohm, sends: as design() takes them. soil: its name. wire: a Wire. trap: a
    CoaxTrap, CoilTrap or Trap as planned; when left out, the usual one of design(). feed_line: (name of a
    cable, length in metres), or None. planned_m: inner and outer wire of one leg as planned, metres, and
    planned_mhz: where the SWR is lowest with those; solved when left out, which takes a moment. hung_m: the
    wires as they first hung, planned_m when left out. log: Swept, ReadOff, Changed, TrapsMeasured, Undone,
    the oldest first.
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
        if not _LINES_OHM[0] <= self.z0_ohm <= _LINES_OHM[1]:
            raise Slip("z0_ohm is of a feed line, {} to {} ohms; got {:g}".format(*_LINES_OHM, self.z0_ohm))
        average_power_w(power_w=self.power_w, mode=self.sends)
        if self.feed_line is not None:
            cable, length_m = _pair("feed_line", self.feed_line)
            line = FeedLine(cable=cable, length_m=length_m)
            self._set("feed_line", (line.cable.name, line.length_m))
        if self.trap is None or self.planned_m is None or self.planned_mhz is None:
            solved = self.design
            self._set("trap", solved.wound or solved.dipole.trap)
            self._set("planned_m", np.round(solved.dipole.sections, 4).tolist())
            self._set("planned_mhz", [round(solved.lowest_mhz(aim), 4) for aim in solved.aims])
        for name, unit in (("planned_m", "metres"), ("planned_mhz", "megahertz"), ("hung_m", "metres")):
            pair = _pair(name, self.planned_m if getattr(self, name) is None else getattr(self, name))
            self._set(name, tuple(check_one(name, one, unit=unit) for one in pair))
        for name, f_mhz, which in zip(
            (self.low, self.high), self.planned_mhz, ("lower", "upper"), strict=True
        ):
            there = band(name, self.region)
            if not there.low_mhz / _BESIDE <= f_mhz <= there.high_mhz * _BESIDE:
                raise Slip(
                    f"the {which} aim is {f_mhz:g} MHz, and {there.label} is {there.low_mhz:g} to "
                    f"{there.high_mhz:g} MHz"
                )
        most_m = float(wavelength_m(self.planned_mhz[0])) / 2
        for name in ("planned_m", "hung_m"):
            if (leg_m := sum(getattr(self, name))) > most_m:
                raise Slip(
                    f"{name} is {leg_m:.4g} m of wire to each side, and for {self.planned_mhz[0]:g} MHz none "
                    f"is over {most_m:.3g} m: is a digit too many in it?"
                )
        self._set("log", tuple(self.log))
        if not all(isinstance(entry, LINES) for entry in self.log):
            raise Slip(f"log has lines of {', '.join(one.__name__ for one in LINES)}, and nothing else")
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
        made = design(
            self.low, self.high, low_mhz=self.low_mhz, high_mhz=self.high_mhz, **self._user,
            shape=self.yard.shape, soil=self.soil, trap=self.trap, wire=self.wire, span_m=self.yard.room_m,
            power_w=self.power_w, z0_ohm=self.z0_ohm, sends=self.sends,
        )  # fmt: skip
        return replace(made, span_m=self.yard.apart_m)

    @property
    def line(self):
        """The FeedLine, or None where its owner told of none."""
        return self.feed_line and FeedLine(cable=self.feed_line[0], length_m=self.feed_line[1])

    @cached_property
    def plan(self):
        """The Plan of the design, in this yard and with this line. Raises Slip as design() does."""
        return plan_of(self.design, yard=self.yard, line=self.line)

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
    def planned_trap(self):
        """The Trap that the antenna was planned with, of whatever it is made."""
        return getattr(self.trap, "trap", self.trap)

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
        lines = self.standing
        first = next((n for n, one in enumerate(lines) if isinstance(one, MEASURED)), len(lines))
        before = [(one.inner_m, one.outer_m) for one in lines[:first] if isinstance(one, Changed)]
        dipole = Dipole(
            sections=self.hung_m + np.sum([(0, 0), *before], axis=0),
            traps=(self.planned_trap,), shape=self.yard.shape, soil=self.soil,
            wire=self.wire,
        )  # fmt: skip
        low, high = self.planned_mhz
        return replayed(lines, Trimming(dipole=dipole, low_mhz=low, high_mhz=high, z0_ohm=self.z0_ohm))

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
        log = measured_again(*self._replayed)
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
            raise Slip(fitting.NOTHING_LEFT)
        return self._longer(Changed(date=date or now(), inner_m=inner_m, outer_m=outer_m))

    def with_traps(self, *traps, date=None):
        """The antenna with the traps as measured in its log: .advice reckons with them from now on.

        traps: MeasuredTraps or Traps, one, or one of each leg. date: as of swept. Returns an Antenna. Raises
        Slip as Trimming does, and for traps that can't be this antenna's.
        """
        if not 1 <= len(traps) <= 2 or not all(isinstance(one, Trap | MeasuredTrap) for one in traps):
            raise Slip("traps are one or two of what trap_from_two found, or of Trap")
        known = (one if isinstance(one, MeasuredTrap) else MeasuredTrap(one, 0.0, 0.0) for one in traps)
        entry = TrapsMeasured(date=date or now(), traps=tuple(known))
        planned = self.planned_trap.capacitance_pf
        for one in entry.traps:
            if not planned / _LIKE < one.trap.capacitance_pf < planned * _LIKE:
                raise Slip(
                    f"by what was measured a trap has {one.trap.capacitance_pf:.0f} pF, and the plan's has "
                    f"{planned:.0f}: one of the two resonances is not the trap's, or the capacitor across it "
                    "is another. Measure again, or give its resonance alone"
                )
        log = self.trimming.with_traps(entry.mean)
        return self._longer(replace(entry, advice=self.measured and self.measured.asked(log)))

    def undone(self, *, date=None):
        """The antenna without the last line of its log that still stands; it is kept, and counts no more.

        date: as of swept. Returns an Antenna. Raises Slip where there is none.
        """
        return self._longer(Undone(date=date or now()))

    def _longer(self, entry):
        check_date("date", entry.date)  # or the file could not be read again
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
        return hooks.keep_antenna(self, path, force=force)


def _pair(name, value):
    try:
        one, other = value
    except (TypeError, ValueError):
        raise Slip(f"{name} is a pair; got {quoted(value)}") from None
    return one, other
