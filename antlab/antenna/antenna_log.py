"""The log of a student's own antenna: lines of what was measured and done, and what they come to."""

from dataclasses import dataclass, replace
from datetime import datetime

import numpy as np

from antlab.antenna import fitting
from antlab.antenna.bench import Advice, MeasuredTrap
from antlab.antenna.faults import NEAR
from antlab.physics.trap import Trap
from antlab.units import Slip, quoted

_FEW = 12  # points around an aim, below which the lowest is read off and no curve is fitted
TRAP_PARTS = "inductance", "capacitance"


@dataclass(frozen=True, kw_only=True)
class Swept:
    """A line of the log: what an analyzer saw. date: text, see now(). sweeps: of one or more files.

    files: their names. advice: the Advice that followed, or None where nobody asked.

    >>> from antlab.antenna.antenna_log import Swept
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

    >>> from antlab.antenna.antenna_log import ReadOff
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

    >>> from antlab.antenna.antenna_log import Changed
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

    >>> from antlab.antenna.antenna_log import TrapsMeasured
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
        off = [max(getattr(one, f"{what}_error") for one in self.traps) for what in TRAP_PARTS]
        return MeasuredTrap(Trap(inductance_uh=uh, capacitance_pf=pf, q=q), *off)


@dataclass(frozen=True, kw_only=True)
class Undone:
    """A line of the log: the line before it that still stood was a slip, and counts no more. date: text.

    >>> from antlab.antenna.antenna_log import Undone
    >>> Undone(date="2026-05-01 14:30").date[:4]
    '2026'
    """

    date: str


MEASURED = Swept, ReadOff
LINES = (*MEASURED, Changed, TrapsMeasured, Undone)


@dataclass(frozen=True, kw_only=True)
class KeptAdvice(Advice):
    """An Advice out of a file. learned: mean and covariance of its fit, and what else is in one, or None.

    >>> from antlab.antenna.antenna_log import KeptAdvice
    >>> KeptAdvice(low_mhz=7.1, high_mhz=14.2, done=True).learned is None
    True
    """

    learned: dict | None = None

    def of(self, log):
        """The Advice with its Fit, for the Trimming that gave it."""
        if self.learned is None:
            return self
        known = {name: np.array(value) for name, value in self.learned.items()}
        usual = fitting.Usual(known.pop("mean"), known.pop("covariance"))
        return replace(self, fit=fitting.Fit(plan=log.known, z0_ohm=log.z0_ohm, now=usual, **known))


def replayed(lines, log):
    """The Trimming and the Advice that the lines of a log come to, none of them undone.

    lines: a tuple. log: the Trimming before any of them, with the wires as they were when something was first
    measured. An advice that a line kept is taken as it was given, and only what nobody asked is worked out.

    >>> from antlab.antenna.antenna_log import Changed, replayed
    >>> log = al.Antenna(name="lawn", yard=al.Yard(hung="level", heights_m=(9, 9))).trimming
    >>> replayed((), log) == (log, None)
    True
    """
    advice, asked, measured = None, None, False
    for entry in lines:
        if isinstance(entry, TrapsMeasured):
            log = log.with_traps(entry.mean)
            advice = None if asked is None else entry.advice or asked.asked(log)
        elif isinstance(entry, MEASURED):
            log, asked, measured = measured_again(log, advice), entry, True
            advice = entry.advice or entry.asked(log)
        elif measured:
            log = log.done(_of_wires(advice), inner_m=entry.inner_m, outer_m=entry.outer_m)
            advice, asked = None, None
        advice = advice.of(log) if isinstance(advice, KeptAdvice) else advice
    return log, advice


def _of_wires(advice):
    """What a step of the log keeps of an Advice: a curve with a fault says nothing of the wires."""
    if advice is None:
        return Advice(low_mhz=None, high_mhz=None)
    return replace(advice, fit=None) if advice.fault and not advice.measure_again else advice


def measured_again(log, advice):
    """A Trimming after a measurement that nothing was changed on, but for one that showed a fault.

    log: a Trimming. advice: on that measurement, or None.

    >>> from antlab.antenna.antenna_log import measured_again
    >>> measured_again("as it was", None)
    'as it was'
    """
    if advice is None or (advice.fault and not advice.measure_again):
        return log
    return log.done(advice, inner_m=0.0, outer_m=0.0)


def check_date(name, date):
    """A date as the log has it, which is returned. name: for the sentence. Raises Slip for anything else.

    >>> from antlab.antenna.antenna_log import check_date
    >>> check_date("date", "2026-05-01 14:30")
    '2026-05-01 14:30'
    """
    try:
        datetime.fromisoformat(date)
    except (TypeError, ValueError):
        raise Slip(f"{name} is like {now()}; got {quoted(date)}.") from None
    return date


def now():
    """The date and time of day, as the log has them.

    >>> from antlab.antenna.antenna_log import now
    >>> len(now())
    16
    """
    return datetime.now().strftime("%Y-%m-%d %H:%M")
