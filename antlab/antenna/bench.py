"""Measuring and trimming: a trap alone, and what to cut from an antenna that came out a little off."""

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from antlab.antenna import faults
from antlab.antenna.safety import CAUTIONS
from antlab.antenna.touchstone import Dip, Sweep
from antlab.engine.dipole import Dipole
from antlab.physics.circuit import capacitance_for_pf, inductance_for_uh
from antlab.physics.trap import Trap
from antlab.units import INCH_M, Slip, broadcasts, check_frequency, check_number, check_positive, quoted, warn

_DONE = 0.0025  # near enough; rain moves it more (common practice, no source)
_UPPER_FIRST = 0.015  # the outer wire waits until the upper band is this close
_FIRST_PART, _LATER_PART = 0.8, 0.9  # of what is too long that one cut takes off: the rest is the margin
_FARTHEST = 1.25  # a wire that seems so much longer or shorter than it is, is not this wire


def trap_from_resonance(*, f_mhz, inductance_uh=None, capacitance_pf=None, q=200.0):
    """A trap by its measured resonance and the one part that is known.

    f_mhz: MHz, of the trap alone, off the antenna and coupled loosely. inductance_uh or capacitance_pf:
    microhenries, picofarads; one of the two. q: quality factor, see q_from_width. Returns a Trap.
    Raises Slip for values that make no sense. Leads and the meter add a few picofarads of their own.
    Source: circuit.resonance_mhz, solved for the other part.

    >>> round(al.bench.trap_from_resonance(f_mhz=14.2, capacitance_pf=50).inductance_uh, 2)
    2.51
    """
    if (inductance_uh is None) == (capacitance_pf is None):
        raise Slip("give inductance_uh or capacitance_pf, the one that is known")
    if capacitance_pf is None:
        capacitance_pf = capacitance_for_pf(f_mhz=f_mhz, inductance_uh=inductance_uh)
    else:
        inductance_uh = inductance_for_uh(f_mhz=f_mhz, capacitance_pf=capacitance_pf)
    return Trap(inductance_uh=inductance_uh, capacitance_pf=capacitance_pf, q=q)


@dataclass(frozen=True)
class MeasuredTrap:
    """A trap from two resonances, and by what part of itself each of its values may be off.

    >>> measured = al.bench.trap_from_two(f_mhz=14.2, lower_mhz=12.1, added_pf=20)
    >>> round(measured.trap.inductance_uh, 2), round(measured.inductance_error, 2)
    (2.37, 0.05)
    """

    trap: Trap
    inductance_error: float
    capacitance_error: float


def trap_from_two(*, f_mhz, lower_mhz, added_pf, f_error=0.001, added_error=0.05, q=200.0):
    """Coil and capacitor of a trap, from its resonance alone and with a known capacitor across it.

    f_mhz: alone, MHz. lower_mhz: with added_pf, picofarads, in parallel. f_error, added_error: by what part
    a reading of frequency and the capacitor may be off. q: see q_from_width. Returns a MeasuredTrap.
    Raises Slip when the added capacitor did not lower the resonance by more than the readings may be
    off; warns when either part is known to no better than a fifth: the nearer the two resonances, the worse.
    Source: C = C₊·f₂²/(f₁² − f₂²) from f = 1/(2π√(LC)) twice; errors added as squares.

    >>> measured = al.bench.trap_from_two(f_mhz=14.2, lower_mhz=12.1, added_pf=20)
    >>> round(measured.trap.capacitance_pf, 1), round(measured.capacitance_error, 2)
    (53.0, 0.05)
    """
    f1, f2 = check_frequency(f_mhz), check_frequency(lower_mhz)
    added = check_positive("added_pf", added_pf, unit="picofarads")
    errors = check_positive("f_error", f_error, zero_ok=True), check_positive("added_error", added_error)
    if np.any([np.ndim(value) for value in (f1, f2, added, *errors)]):
        raise Slip("one trap is measured at a time: f_mhz, lower_mhz and added_pf are one number each")
    if f2 >= f1 * (1 - 2 * errors[0]):
        raise Slip(
            f"a capacitor across the trap lowers its resonance, and {f2:g} MHz is not clearly below {f1:g}: "
            "swap the two, or add a capacitor about as large as the trap's own"
        )
    gap = f1**2 - f2**2
    trap = trap_from_resonance(f_mhz=float(f1), capacitance_pf=float(added * f2**2 / gap), q=q)
    in_c = float(np.hypot(errors[1], errors[0] * 2 * f1**2 / gap * np.sqrt(2)))
    in_l = float(np.hypot(errors[1], errors[0] * 2 * np.hypot(f1**2, f2**2) / gap))
    if max(in_c, in_l) > 0.2:
        warn(
            f"the two resonances are so close that the capacitor is known to {100 * in_c:.0f} % only; add a "
            "capacitor about as large as the trap's own"
        )
    return MeasuredTrap(trap, in_l, in_c)


@broadcasts
def q_from_width(*, f_mhz, width_khz):
    """Quality factor from the width between the two points 3 dB below the peak.

    f_mhz: resonance, MHz. width_khz: kHz. Any shapes that broadcast. Returns no unit. Raises Slip for
    values that make no sense or give less than 5, where the formula fails. What the meter takes is in it:
    couple so loosely that the width no longer shrinks. Source: circuit.bandwidth_mhz, solved for Q.

    >>> round(float(al.bench.q_from_width(f_mhz=14.2, width_khz=95)))
    149
    """
    q = 1e3 * check_frequency(f_mhz) / check_positive("width_khz", width_khz, unit="kilohertz")
    if np.any(q < 5):
        raise Slip(f"a trap this wide has a Q of {np.min(q):.2g}, too low to be one; is width_khz in kHz?")
    return q


@broadcasts
def proportional_m(*, length_m, f_mhz, aim_mhz):
    """Change of a wire's length by the simple rule: length times how far off the frequency is.

    length_m: of the wire, metres. f_mhz: measured. aim_mhz: wanted, MHz. Any shapes that broadcast. Returns
    metres, negative to shorten. Raises Slip for values that make no sense. Good for a plain dipole;
    with a trap in the wire it asks too much or too little. Common practice, no source.

    >>> round(float(al.bench.proportional_m(length_m=20.1, f_mhz=7.0, aim_mhz=7.1)), 2)
    -0.28
    """
    length = check_positive("length_m", length_m, unit="metres")
    return length * (check_frequency(f_mhz) / check_frequency(aim_mhz) - 1)


@dataclass(frozen=True, kw_only=True)
class Advice:
    """What to do next. Changes are per leg, metres, negative to shorten; the two legs stay alike.

    low_mhz, high_mhz: SWR minima measured, MHz, or None. inner_m, outer_m: changes to make now, inner first.
    rule_inner_m, rule_outer_m: what the simple rule says of the whole way, or None. done: both bands are
    near enough. fault: what the measurement looks like when it is not worth a cut, or "".

    >>> al.bench.Advice(low_mhz=7.0, high_mhz=14.2, outer_m=-0.05).text[:43]
    'Shorten each outer wire by 5.0 cm (2.0 in).'
    """

    low_mhz: float | None
    high_mhz: float | None
    inner_m: float = 0.0
    outer_m: float = 0.0
    rule_inner_m: float | None = None
    rule_outer_m: float | None = None
    done: bool = False
    fault: str = ""

    @property
    def text(self):
        """The advice in words, with its caution."""
        if self.fault:
            return f"Do not cut. {self.fault}"
        if self.done:
            return "Both bands are where they should be. Leave it alone, and make the joints weatherproof."
        said = [_words(n, m) for n, m in (("inner", self.inner_m), ("outer", self.outer_m)) if m]
        if self.inner_m < 0 or self.outer_m < 0:
            said.append(
                "Fold the wire back on itself and measure again before you cut: a fold can be undone. This "
                "stops short of the aim on purpose; the next measurement says the rest."
            )
        if self.inner_m and not self.outer_m:
            said.append("The outer wire comes after the upper band is right: the lower band hears both.")
        return " ".join([*said, CAUTIONS["transmitting"]])


def _words(name, change_m):
    what, change = "Lengthen" if change_m > 0 else "Shorten", abs(change_m)
    return f"{what} each {name} wire by {change * 100:.1f} cm ({change / INCH_M:.1f} in)."


@dataclass(frozen=True)
class Step:
    """One line of the log: the advice, and what was really done, per leg, metres.

    >>> advice = al.bench.Advice(low_mhz=7.0, high_mhz=14.2, outer_m=-0.05)
    >>> al.bench.Step(advice, inner_m=0.0, outer_m=-0.04).outer_m
    -0.04
    """

    advice: Advice
    inner_m: float
    outer_m: float


@dataclass(frozen=True, kw_only=True)
class Trimming:
    """The log of trimming a two-band antenna: ask advise(), do it, write down done(), measure again.

    dipole: as it was first put up, with the trim allowance it was cut with. low_mhz, high_mhz: where the SWR
    minima shall be, MHz. z0_ohm: of the line. steps: the log so far.
    Every advice starts from the measurement: the model's wires are stretched until its SWR minima are where
    they were measured (insulation, sag, knots), so that what is left of the model's error shrinks with the
    step. Raises Slip for an antenna without a trap and frequencies that make no sense.

    >>> plan = al.design("40m", "20m", shape=al.FlatTop(height_m=9), low_mhz=7.1, high_mhz=14.2)
    >>> log = al.bench.Trimming(dipole=plan.dipole, low_mhz=7.1, high_mhz=14.2)
    >>> advice = log.advise(low_mhz=7.0, high_mhz=14.2)
    >>> advice.inner_m, advice.outer_m < 0
    (0.0, True)
    """

    dipole: Dipole
    low_mhz: float
    high_mhz: float
    z0_ohm: float = 50.0
    steps: tuple = ()

    def __post_init__(self):
        if not isinstance(self.dipole, Dipole) or self.dipole.trap is None:
            raise Slip("dipole is a Dipole with a trap; a plain one is trimmed by proportional_m")
        if (count := len(self.dipole.traps)) > 1:
            raise Slip(f"a log of trimming is for two bands by one trap in each leg; this one has {count}")
        low, high = (_one_mhz(name, getattr(self, name)) for name in ("low_mhz", "high_mhz"))
        if low * faults.NEAR**2 > high:
            raise Slip(f"low_mhz is the lower band, high_mhz the upper one; got {low:g} and {high:g}")
        z0 = float(check_positive("z0_ohm", self.z0_ohm, unit="ohms"))
        for name, value in (("low_mhz", low), ("high_mhz", high), ("z0_ohm", z0)):
            object.__setattr__(self, name, value)

    @property
    def lengths_m(self):
        """Inner and outer wire as they are now, one leg, metres, shape (2,)."""
        start = np.array(self.dipole.sections)
        return start + sum(np.array([step.inner_m, step.outer_m]) for step in self.steps)

    @property
    def aims_mhz(self):
        """Both aims, the lower band first, MHz, shape (2,)."""
        return np.array([self.low_mhz, self.high_mhz])

    def done(self, advice, *, inner_m=None, outer_m=None):
        """Write a step into the log.

        advice: what was advised. inner_m, outer_m: what was really changed, per leg, metres, negative for a
        cut; as advised when left out. Returns the longer log, a Trimming.
        Raises Slip when nothing would be left of a wire.
        """
        change = [
            _one_change(name, advised if real is None else real)
            for name, advised, real in (
                ("inner_m", advice.inner_m, inner_m),
                ("outer_m", advice.outer_m, outer_m),
            )
        ]
        if not np.all(self.lengths_m + change > 0.1):
            raise Slip("that leaves nothing of the wire; changes are metres, 0.05 for 5 cm")
        return replace(self, steps=(*self.steps, Step(advice, *change)))

    def advise(self, *, low_mhz, high_mhz):
        """What to do, from two SWR minima.

        low_mhz, high_mhz: read off the analyzer, MHz; None where a wide sweep shows no minimum.
        Returns an Advice. Raises Slip for frequencies that make no sense.
        Source: Newton's step on the engine's own SWR minima; fold first, undershoot: common practice.
        """
        seen = {"low_mhz": low_mhz, "high_mhz": high_mhz}
        seen = {name: f if f is None else _one_mhz(name, f) for name, f in seen.items()}
        inner, outer = self.lengths_m
        plain = replace(self.dipole, trap=None, inner_m=inner, outer_m=outer)
        plain_mhz = _model_dip(plain, 72 / (inner + outer), self.z0_ohm).f_mhz
        fault = faults.in_minima(**seen, aims_mhz=self.aims_mhz, plain_mhz=plain_mhz)
        if fault:
            return Advice(**seen, fault=fault)
        measured, lengths = np.array([*seen.values()]), self.lengths_m
        try:
            seems, wanted = self.lengths_for(measured), self.lengths_for(self.aims_mhz)
        except Slip as error:
            return Advice(**seen, fault=str(error))
        if np.any(np.abs(np.log(seems / lengths)) > np.log(_FARTHEST)):
            return Advice(**seen, fault="The wires cannot be as long as the log says: measure them again.")
        off_low, off_high = np.abs(measured / self.aims_mhz - 1)
        inner, outer = (wanted / seems - 1) * lengths
        rule_inner = proportional_m(length_m=lengths[0], f_mhz=measured[1], aim_mhz=self.high_mhz)
        rule_leg = proportional_m(length_m=sum(lengths), f_mhz=measured[0], aim_mhz=self.low_mhz)
        return Advice(
            **seen,
            inner_m=self._careful(inner, "inner_m") if off_high > _DONE else 0.0,
            outer_m=self._careful(outer, "outer_m") if off_low > _DONE and off_high < _UPPER_FIRST else 0.0,
            rule_inner_m=float(rule_inner),
            rule_outer_m=float(rule_leg - rule_inner),
            done=bool(max(off_low, off_high) <= _DONE),
        )

    def _careful(self, change_m, name):
        """Less than asked when it is a cut, in whole millimetres, towards zero."""
        if change_m < 0:
            cut_before = any(getattr(step, name) < 0 for step in self.steps)
            change_m *= _LATER_PART if cut_before else _FIRST_PART
        return int(change_m * 1000) / 1000

    def advise_sweep(self, *sweeps):
        """What to do, from one sweep over both bands or from one of each.

        sweeps: each a Sweep, at the antenna or through a short, good cable. Returns an Advice, with a fault
        where a sweep is flat, shallow or shows no minimum in reach.
        Raises Slip when no sweep covers a band.
        """
        if not all(isinstance(sweep, Sweep) for sweep in sweeps):
            raise Slip("advise_sweep wants sweeps as read_sweep returns them")
        sweeps = [replace(sweep, z0_ohm=self.z0_ohm) for sweep in sweeps]
        dips = [dip for sweep in sweeps for dip in sweep.dips()]
        seen, fault, model = [], "", self._model
        for aim, usual in zip(self.aims_mhz, map(Dip, model.dips_mhz, model.swr), strict=True):
            sweep, part = _around(aim, sweeps)
            dip = _deepest(dip for dip in dips if faults.is_near(dip.f_mhz, aim))
            ends = part.f_mhz[[0, -1]] * (usual.f_mhz / dip.f_mhz if dip else 1)
            ends_swr = self.dipole.swr(ends, self.z0_ohm)
            fault = fault or faults.in_sweep(sweep, part, dip, ends_swr=ends_swr, usual_swr=usual.swr)
            seen.append(dip)
        # a minimum between the bands or beyond them tells something too
        rest = [dip for dip in dips if not any(faults.is_near(dip.f_mhz, aim) for aim in self.aims_mhz)]
        for i, aim in enumerate(self.aims_mhz):
            seen[i] = seen[i] or _deepest(dip for dip in rest if aim / 1.3 < dip.f_mhz < aim * 1.3)
        low_mhz, high_mhz = (dip.f_mhz if dip else None for dip in seen)
        if fault:
            return Advice(low_mhz=low_mhz, high_mhz=high_mhz, fault=fault)
        return self.advise(low_mhz=low_mhz, high_mhz=high_mhz)

    @property
    def _model(self):
        return _modelled(self.dipole, self.low_mhz, self.high_mhz, self.z0_ohm)

    def lengths_for(self, wanted_mhz):
        """Lengths at which the model's SWR minima lie where wanted: Newton in logarithms, Broyden's way.

        wanted_mhz: MHz, the lower band first, shape (2,). Returns inner and outer wire, metres, shape (2,).
        Raises Slip when no wire like this one has them there.
        """
        wanted = check_frequency(wanted_mhz)
        if wanted.shape != (2,):
            raise Slip(f"wanted_mhz is two frequencies, the lower band first; got {quoted(wanted_mhz)}")
        slope, seen = self._model.slope.copy(), self._model.dips_mhz
        lengths = np.array(self.dipole.sections)
        for _ in range(12):
            miss = np.log(wanted / seen)
            if np.max(np.abs(miss)) < 1e-4:
                return lengths
            step = np.clip(np.linalg.solve(slope, miss), -0.2, 0.2)
            lengths = lengths * np.exp(step)
            before, seen = seen, _dips(self.dipole, lengths, seen, self.z0_ohm)[0]
            slope += np.outer(np.log(seen / before) - slope @ step, step) / (step @ step)
        raise Slip("No wire like this one has its minima there: measure the wires and the traps.")


@dataclass(frozen=True, eq=False)
class _Model:
    """The antenna as first put up: its SWR minima, and their slope, d log f / d log length, shape (2, 2)."""

    dips_mhz: np.ndarray
    swr: np.ndarray
    slope: np.ndarray


@lru_cache(maxsize=8)
def _modelled(dipole, low_mhz, high_mhz, z0_ohm):
    lengths, nudge = np.array(dipole.sections), 0.01
    dips, swr = _dips(dipole, lengths, (low_mhz, high_mhz), z0_ohm)
    nudged = [_dips(dipole, lengths * np.exp(nudge * one), dips, z0_ohm)[0] for one in np.eye(2)]
    return _Model(dips, swr, np.log(np.array(nudged) / dips).T / nudge)


def _dips(dipole, lengths_m, near_mhz, z0_ohm):
    """Both SWR minima of the dipole with other lengths: frequencies and SWR, each shape (2,)."""
    moved = replace(dipole, sections=lengths_m)
    found = [_model_dip(moved, near, z0_ohm) for near in near_mhz]
    return np.array([dip.f_mhz for dip in found]), np.array([dip.swr for dip in found])


def _model_dip(dipole, near_mhz, z0_ohm):
    for _ in range(12):
        f = np.geomspace(near_mhz / 1.033, near_mhz * 1.033, 25)  # what the engine carries from three fills
        sweep = Sweep(f, dipole.impedance(f), z0_ohm)
        if dip := sweep.lowest():
            return dip
        near_mhz = f[np.argmin(sweep.swr)]
    raise Slip(f"The model has no SWR minimum near {near_mhz:.4g} MHz: is this antenna for that band?")


def _deepest(dips):
    return min(dips, key=lambda dip: dip.swr, default=None)


def _around(aim_mhz, sweeps):
    """The sweep that has most points around an aim, and its part there."""
    low, high = aim_mhz / faults.NEAR, aim_mhz * faults.NEAR
    counts = [np.count_nonzero((sweep.f_mhz >= low) & (sweep.f_mhz <= high)) for sweep in sweeps]
    if max(counts, default=0) < 5:
        raise Slip(f"no sweep has five points around {aim_mhz:g} MHz; sweep that band, with more points")
    sweep = sweeps[int(np.argmax(counts))]
    return sweep, sweep.between(low, high)


def _one_change(name, length_m):
    length = check_number(name, length_m, finite=False, unit="metres")
    if length.ndim:
        raise Slip(f"{name} is one length; got {length.size} of them")
    return float(length)


def _one_mhz(name, f_mhz):
    f = check_frequency(f_mhz)
    if f.ndim:
        raise Slip(f"{name} is one frequency; got {f.size} of them")
    return float(f)
