"""Measuring and trimming: a trap alone, and what to cut from an antenna that came out a little off."""

from dataclasses import dataclass, field, replace

import numpy as np

from antlab.antenna import faults, fitting
from antlab.antenna.safety import CAUTIONS
from antlab.antenna.touchstone import Sweep
from antlab.engine.dipole import Dipole
from antlab.physics.circuit import (
    capacitance_for_pf,
    inductance_for_uh,
    reflection_coefficient,
    swr_of_reflection,
)
from antlab.physics.trap import Trap
from antlab.units import INCH_M, Slip, broadcasts, check_frequency, check_number, check_positive, quoted, warn

_DONE = 0.0025  # near enough; rain moves it more (common practice, no source)
_UNSURE = 0.0015  # from which on a dip read off and that of a good fit differ: noise moves a flat dip
_UPPER_FIRST = 0.015  # the outer wire waits until the upper band is this close
_PART = 0.8  # of what is too long that one cut takes off: the rest is the margin
_LONG_STEP = 0.04  # of the leg: who is told to change more measures the traps first
_HAND_M = 0.0025  # less than a hand folds
_BESIDE = 1.3  # from one band to the next it is more
_TRIED, _MOST = 0.01, 0.15  # of the leg: an outer wire alone, the first one and the longest
_FITTED = 41  # points of a sweep around each aim
_TRAPS_SAID = 0.003  # that the traps seem off, from which on it is said
_TRAPS_FAR = 0.02  # and from which on it is worth a measurement before a fold
_SAME_SWR, _VALLEY = 0.1, 0.02  # what differs by less is alike; so much of a frequency, alike, is a valley
_HARDLY = 25.0  # times the misfit with the same wires, from which on no other wires mend it: wet ones had 12
_SPAN = 0.96  # of the upper aim, above which the lower one is the same band
# What an advice says; the phone on the lawn says it in the same words.
SAID = {
    "fault": "Do not cut. {fault}",
    "nearest": (
        "No change of length brings both bands nearer to their aims: the outer wire takes part on "
        "the upper band. Leave it so, or tune the traps closer to the plan and trim again."
    ),
    "done": "Both bands are where they should be. Leave it alone, and make the joints weatherproof.",
    "lengthen": "Lengthen each {wire} wire by {cm:.1f} cm ({inches:.1f} in).",
    "shorten": "Shorten each {wire} wire by {cm:.1f} cm ({inches:.1f} in).",
    "fold": (
        "Fold the wire back on itself and measure again before you cut: a fold can be undone. At "
        "the feed or a trap the joint moves to the fold. This stops short of the aim on purpose; the "
        "next measurement says the rest."
    ),
    "outer_later": "The outer wire comes after the upper band is right: the lower band hears both.",
    "both": (
        "Both wires at once, for what each does to both bands has been reckoned; without that it is the "
        "inner wires first."
    ),
    "outer_alone": "The upper band is near enough: leave the inner wires as they are.",
    "wire_longer": "The wire works as if it were {percent:.1f} % longer than cut.",
    "wire_shorter": "The wire works as if it were {percent:.1f} % shorter than cut.",
    "traps_higher": "The traps seem {percent:.1f} % higher than known.",
    "traps_lower": "The traps seem {percent:.1f} % lower than known.",
    "untrue": "No antenna is so far off: look for a slip in the lengths and changes of the log, and undo it.",
    "valley": (
        "Around {f_mhz:.2f} MHz the SWR is flat: from {low_mhz:.2f} to {high_mhz:.2f} MHz it rises by less "
        "than {rise:g}. Anywhere in there is as good, and noise decides where it seems lowest."
    ),
    "traps_far": "That is far for traps: measure each by itself before you fold much, if you can.",
}


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
    near enough. nearest: no length brings them nearer with these traps, which is done as well. fault: what
    the measurement looks like when it is not worth a cut, or "". measure_traps: the fault is that nobody
    has, see Trimming.with_traps. measure_again: the fault is that it goes back on the last change. because:
    sentences, what the wires and traps seem to be. fit: the fitting.Fit behind it, or None.

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
    nearest: bool = False
    measure_traps: bool = False
    measure_again: bool = False
    because: tuple = ()
    fit: fitting.Fit | None = field(default=None, repr=False, compare=False)

    @property
    def short(self):
        """The advice without reasons and cautions: what to change, or the first sentence."""
        return " ".join(self._changes) or f"{self.text.partition('. ')[0].rstrip('.')}."

    @property
    def _changes(self):
        both = ("inner", self.inner_m), ("outer", self.outer_m)
        return [_words(name, m) for name, m in both if m and not self.fault]

    @property
    def text(self):
        """The advice in words, with its caution."""
        if self.fault:
            return SAID["fault"].format(fault=self.fault)
        if self.nearest:
            return SAID["nearest"]
        if self.done:
            return SAID["done"]
        said = self._changes
        if self.inner_m < 0 or self.outer_m < 0:
            said.append(SAID["fold"])
        if self.inner_m:
            said.append(SAID["both" if self.outer_m else "outer_later"])
        else:
            said.append(SAID["outer_alone"])
        return " ".join([*said, CAUTIONS["transmitting"]])


def _words(name, change_m):
    said = SAID["lengthen" if change_m > 0 else "shorten"]
    return said.format(wire=name, cm=abs(change_m) * 100, inches=abs(change_m) / INCH_M)


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
    minima shall be, MHz. z0_ohm: of the line. traps: a Trap or MeasuredTrap, the traps as measured alone,
    or None where nobody has. steps: the log so far. Every advice starts from the measurement: the model's
    wires, ends and traps are changed within what is usual until it measures the same, and what earlier
    sweeps told is kept. Raises Slip for an antenna without a trap, and frequencies and traps that make no
    sense.

    >>> plan = al.design("40m", "20m", shape=al.FlatTop(height_m=9), low_mhz=7.1, high_mhz=14.2)
    >>> log = al.bench.Trimming(dipole=plan.dipole, low_mhz=7.1, high_mhz=14.2)
    >>> advice = log.advise(low_mhz=7.0, high_mhz=14.2)
    >>> advice.outer_m < 0
    True
    """

    dipole: Dipole
    low_mhz: float
    high_mhz: float
    z0_ohm: float = 50.0
    traps: Trap | MeasuredTrap | None = None
    steps: tuple = ()

    def __post_init__(self):
        if not isinstance(self.dipole, Dipole) or self.dipole.trap is None:
            raise Slip("dipole is a Dipole with a trap; a plain one is trimmed by proportional_m")
        if (count := len(self.dipole.traps)) > 1:
            raise Slip(f"a log of trimming is for two bands by one trap in each leg; this one has {count}")
        low, high = (_one_mhz(name, getattr(self, name)) for name in ("low_mhz", "high_mhz"))
        if low > _SPAN * high:
            raise Slip(f"low_mhz is the lower band, high_mhz the upper one; got {low:g} and {high:g}")
        z0 = float(check_positive("z0_ohm", self.z0_ohm, unit="ohms"))
        for name, value in (("low_mhz", low), ("high_mhz", high), ("z0_ohm", z0)):
            object.__setattr__(self, name, value)
        if self.traps is not None:
            if not isinstance(self.traps, Trap | MeasuredTrap):
                raise Slip(f"traps is what trap_from_two found, or a Trap; got {quoted(self.traps)}")
            tuned = self.known.trap.resonance_mhz
            if not 0.85 * high <= tuned <= 1.1 * high:
                raise Slip(
                    f"the traps are tuned to {tuned:.2f} MHz, which does not part the wire at {high:g} "
                    "MHz: tune them to the upper band before any wire is cut"
                )

    @property
    def known(self):
        """The dipole as first put up, with the traps as measured where they were: a Dipole."""
        if self.traps is None:
            return self.dipole
        trap = self.traps.trap if isinstance(self.traps, MeasuredTrap) else self.traps
        return replace(self.dipole, traps=(trap,))

    @property
    def lengths_m(self):
        """Inner and outer wire as they are now, one leg, metres, shape (2,)."""
        start = np.array(self.dipole.sections)
        return start + sum(np.array([step.inner_m, step.outer_m]) for step in self.steps)

    @property
    def aims_mhz(self):
        """Both aims, the lower band first, MHz, shape (2,)."""
        return np.array([self.low_mhz, self.high_mhz])

    def with_traps(self, traps):
        """The log with the traps as measured alone. traps: a Trap or MeasuredTrap. Returns a Trimming."""
        return replace(self, traps=traps)

    def done(self, advice, *, inner_m=None, outer_m=None):
        """Write a step into the log.

        advice: what was advised. inner_m, outer_m: what was really changed, per leg, metres, negative for a
        cut; as advised when left out; 0 for both where only the measurement was repeated. Returns the
        longer log, a Trimming. Raises Slip when nothing would be left of a wire.
        """
        change = [
            _one_change(name, advised if real is None else real)
            for name, advised, real in (
                ("inner_m", advice.inner_m, inner_m),
                ("outer_m", advice.outer_m, outer_m),
            )
        ]
        if not np.all(self.lengths_m + change >= fitting.SHORTEST_M):
            raise Slip(fitting.NOTHING_LEFT)
        return replace(self, steps=(*self.steps, Step(advice, *change)))

    @property
    def _usual(self):
        """What is known of wire, ends and traps before the next measurement."""
        told = [
            step.advice.fit for step in self.steps if step.advice.fit and step.advice.fit.plan == self.known
        ]
        return told[-1].now.later(self._first) if told else self._first

    @property
    def _first(self):
        return fitting.usual(
            jacket_known=self.dipole.wire.jacket_mm > 0, traps_measured=self.traps is not None
        )

    def advise(self, *, low_mhz, high_mhz):
        """What to do, from two SWR minima.

        low_mhz, high_mhz: read off the analyzer, MHz; None where a wide sweep shows no minimum.
        Returns an Advice. Raises Slip for frequencies that make no sense.
        Source: the fit nearest to what is usual, Newton's step on it; fold first, undershoot: common
        practice.
        """
        seen = {"low_mhz": low_mhz, "high_mhz": high_mhz}
        seen = {name: f if f is None else _one_mhz(name, f) for name, f in seen.items()}
        fault = faults.in_minima(**seen, aims_mhz=self.aims_mhz, plain_mhz=self._plain_mhz)
        if fault:
            return Advice(**seen, fault=fault)
        measured = np.array([*seen.values()])
        fit = fitting.to_dips(self.known, self.z0_ohm, self.lengths_m, measured, self.aims_mhz, self._usual)
        return self._advice(fit, measured)

    def advise_sweep(self, *sweeps):
        """What to do, from one sweep over both bands or from one of each.

        sweeps: each a Sweep, at the antenna or through a good cable of up to 2 dB. Returns an Advice, with
        a fault where a sweep is flat, shallow, shows no minimum in reach, or is not that of this antenna.
        Raises Slip when no sweep covers a band.
        """
        if fault := faults.in_dummy(self._curves(*sweeps)):
            return Advice(low_mhz=None, high_mhz=None, fault=fault)
        fit, curves, dips = self.fitted_curves(*sweeps)
        lengths, seen, fault = self.lengths_m, [], ""
        expected = fit.dips(lengths, self.aims_mhz)[:, 0]
        for curve, aim, f_mhz, misfit, ohms in zip(
            curves, self.aims_mhz, expected, fit.misfit, fit.ohms, strict=True
        ):
            dip = min((dip.f_mhz for dip in dips), key=lambda f, there=f_mhz: abs(f - there), default=None)
            if dip is None or abs(dip / f_mhz - 1) > faults.SAME:
                # beyond the sweep; or so shallow that noise hides it, where the fit has it; or not there
                alike = misfit < faults.MISFIT and abs(ohms) < faults.TOO_MANY_OHMS
                said = faults.in_reach(*curve, sweeps, expected_mhz=f_mhz if alike else None, aim_mhz=aim)
                fault = fault or said
                dip = f_mhz if alike and not said else None
            elif not faults.is_near(dip, aim):
                fault = fault or faults.too_far(dip, aim)
            elif misfit < fitting.POOR and abs(dip / f_mhz - 1) > _UNSURE:
                dip = np.sqrt(dip * f_mhz)  # of 360 sweeps near home the dip erred by 0.35 %, halfway 0.09
            seen.append(dip)
        strain = fit.now.strain(self._first)
        strange = max(fit.misfit) > faults.MISFIT or strain > faults.STRAIN
        fault = faults.in_line(fit) or fault or (faults.in_traps(fit, lengths, curves) if strange else "")
        fault = fault or self._wet(fit, curves)
        if None in seen:  # a minimum between the bands or beyond them tells something too
            rest = [dip.f_mhz for dip in dips if not any(faults.is_near(dip.f_mhz, f) for f in self.aims_mhz)]
            for i, aim in enumerate(self.aims_mhz):
                near = [f for f in rest if aim / 1.3 < f < aim * 1.3]
                seen[i] = seen[i] or min(near, key=lambda f, aim=aim: abs(f - aim), default=None)
            fault = fault or faults.in_minima(*seen, aims_mhz=self.aims_mhz, plain_mhz=self._plain_mhz)
        fault = fault or (faults.STRANGE if strange else faults.in_feed(fit))
        low_mhz, high_mhz = (None if f is None else float(f) for f in seen)
        if fault:
            return Advice(low_mhz=low_mhz, high_mhz=high_mhz, fault=fault, fit=fit)
        told = np.where(fit.misfit < fitting.POOR, expected, [low_mhz, high_mhz])
        advice = self._advice(fit, np.array([low_mhz, high_mhz]), told)
        return replace(advice, because=advice.because + _valleys(curves, seen)) if advice.done else advice

    def _wet(self, fit, curves):
        """Whether traps of poor Q explain the curves far better than any ohms at the feed, in words or ""."""
        if not faults.WET_FROM < np.max(fit.misfit) < fitting.HOPELESS:
            return ""
        wet = replace(self.known, traps=(replace(self.known.trap, q=faults.WET_Q),))
        if np.sum(fit.misfit_of(wet, self.lengths_m, curves) ** 2) > _HARDLY * np.sum(fit.misfit**2):
            return ""
        other = fitting.to_curves(wet, self.z0_ohm, self.lengths_m, curves, self._usual, start=fit)
        if np.max(other.misfit) > faults.MISFIT or other.now.strain(self._first) > faults.STRAIN:
            return ""  # it is no such antenna either
        return faults.WET if np.sum(other.misfit**2) < np.sum(fit.misfit**2) * 0.7 else ""

    def fitted(self, *sweeps):
        """The model that measures like these sweeps: a fitting.Fit. Raises Slip as advise_sweep does."""
        return self.fitted_curves(*sweeps)[0]

    def fitted_curves(self, *sweeps):
        """The Fit, the curve around each aim that it is fitted to (f_mhz, size), and every Dip."""
        curves = self._curves(*sweeps)
        dips = [dip for sweep in sweeps for dip in sweep.on(self.z0_ohm).dips()]
        return fitting.to_curves(self.known, self.z0_ohm, self.lengths_m, curves, self._usual), curves, dips

    def _curves(self, *sweeps):
        """The curve around each aim: f_mhz, and size of the reflection."""
        if not all(isinstance(sweep, Sweep) for sweep in sweeps):
            raise Slip("advise_sweep wants sweeps as read_sweep returns them")
        sweeps = [sweep.on(self.z0_ohm) for sweep in sweeps]
        curves = []
        for aim, (low, high) in zip(self.aims_mhz, fitting.windows(self.aims_mhz), strict=True):
            part = _most(aim, low, min(high, fitting.highest_mhz(2.16 * sum(self.lengths_m))), sweeps)
            some = np.linspace(0, part.f_mhz.size - 1, min(part.f_mhz.size, _FITTED)).astype(int)
            curves.append((part.f_mhz[some], np.abs(part.reflection[some])))
        return curves

    def _advice(self, fit, measured, told_mhz=None):
        """What a Fit makes of two minima that belong to the aims.

        told_mhz: where they are by a good fit, shape (2,): a flat dip is noisy, and whom one of both tells
        otherwise is not told to leave it alone.
        """
        lengths, seen = self.lengths_m, {"low_mhz": float(measured[0]), "high_mhz": float(measured[1])}
        off_low, off_high = np.abs(measured / self.aims_mhz - 1)
        told_off = np.abs((measured if told_mhz is None else told_mhz) / self.aims_mhz - 1)
        if max(off_low, off_high, *told_off) <= _DONE:
            return Advice(**seen, done=True, because=self._because(fit), fit=fit)
        now = fit.dips(lengths, self.aims_mhz, near=measured)[:, 0]
        wanted = self.aims_mhz * now / measured  # what is left of the model's error goes the same way
        goal, _ = fitting.lengths_for(fit, lengths, wanted, self.aims_mhz)
        whole = goal - lengths
        whole[np.abs(whole) < _HAND_M] = 0.0
        if not np.any(whole):
            far = bool(max(off_low, off_high) > _DONE)
            return Advice(**seen, done=True, nearest=far, because=self._because(fit), fit=fit)
        if off_high <= _DONE:
            whole = self._outer_alone(fit, wanted, whole)
        change = self._careful(whole)
        if off_high > _UPPER_FIRST and change[0]:
            first = fit.dips(lengths + [whole[0], 0.0], self.aims_mhz)[1, 0]
            if abs(np.log(first / wanted[1])) < off_high / 4:
                change[1] = 0.0
        rule_inner = proportional_m(length_m=lengths[0], f_mhz=measured[1], aim_mhz=self.high_mhz)
        rule_leg = proportional_m(length_m=sum(lengths), f_mhz=measured[0], aim_mhz=self.low_mhz)
        doubt = self._doubt(fit, change)
        advice = Advice(
            **seen, inner_m=change[0], outer_m=change[1], rule_inner_m=float(rule_inner),
            rule_outer_m=float(rule_leg - rule_inner), because=self._because(fit, folds=not doubt), fit=fit,
        )  # fmt: skip
        return replace(advice, **doubt)

    def _outer_alone(self, fit, wanted_mhz, whole_m):
        """The change without the inner wire, which is near enough, where the outer one does; else as it was.

        By the secant through two lengths of the outer wire.
        """
        lengths = self.lengths_m
        most = _MOST * sum(lengths)

        def off(outer_m):
            return np.log(wanted_mhz / fit.dips(lengths + [0.0, outer_m], self.aims_mhz)[:, 0])

        before, missed, now = 0.0, off(0.0), -_TRIED * sum(lengths)
        for _ in range(3):
            here = off(now)
            if here[0] == missed[0]:
                return whole_m
            slope = (here[0] - missed[0]) / (now - before)
            before, missed, now = now, here, float(np.clip(now - here[0] / slope, -most, most))
        low, high = np.abs(off(now))
        return np.array([0.0, now]) if low < _UNSURE and high <= _DONE else whole_m

    def _careful(self, whole_m):
        """Less than the whole way where something is cut, in whole millimetres, towards zero."""
        share = _PART if min(whole_m) < 0 else 1.0
        return [int(1000 * share * one) / 1000 for one in whole_m]

    def _doubt(self, fit, change):
        """Why an advice is not to be followed, as arguments of Advice."""
        if self.traps is None and not any(step.inner_m or step.outer_m for step in self.steps):
            off = abs(fit.now.mean[2]) > faults.TRAPS_OFF
            if off or (self._far(change) and self._far(change, beyond_plan=True)):
                return {"fault": faults.MEASURE_TRAPS, "measure_traps": True, "inner_m": 0.0, "outer_m": 0.0}
        if self.steps and not (self.steps[-1].inner_m or self.steps[-1].outer_m):
            return {}  # measured again
        for name, now in zip(("inner_m", "outer_m"), change, strict=True):
            before = next((done for step in self.steps[::-1] if (done := getattr(step, name))), 0.0)
            if before * now < 0 and abs(now) > abs(before) + faults.SLIP_M:
                fault = faults.reversal(name, before, now)
                return {"fault": fault, "measure_again": True, "inner_m": 0.0, "outer_m": 0.0}
        return {}

    def _far(self, change_m, beyond_plan=False):
        """Whether a change is a long step, or would be without the allowance that the wires were cut with."""
        lengths, change = self.lengths_m, np.array(change_m)
        if beyond_plan:
            start = fitting.lengths_for(self._planned, lengths, self.aims_mhz, self.aims_mhz)[0] - lengths
            change = change - np.where(change != 0, start, 0.0)
        return max(abs(change[0]) / lengths[0], abs(change[1]) / sum(lengths)) > _LONG_STEP

    @property
    def _planned(self):
        """The Fit to nothing: the antenna as the log has it."""
        nothing = np.zeros(2)
        first = fitting.usual(jacket_known=True, traps_measured=True)
        return fitting.Fit(self.known, self.z0_ohm, first, nothing, nothing, nothing)

    def _because(self, fit, folds=False):
        if fit.now.strain(self._first) > faults.STRAIN:
            return (SAID["untrue"],)
        wire, _, traps = fit.now.mean
        said = [SAID["wire_longer" if wire > 0 else "wire_shorter"].format(percent=100 * abs(wire))]
        if abs(traps) > _TRAPS_SAID:
            which = "traps_higher" if traps > 0 else "traps_lower"
            said.append(SAID[which].format(percent=100 * abs(traps)))
        if folds and self.traps is None and abs(traps) > _TRAPS_FAR:
            said.append(SAID["traps_far"])
        return tuple(said)

    @property
    def _plain_mhz(self):
        """Where the wire would be resonant with its traps shorted."""
        plain = replace(self.dipole, traps=(), sections=(sum(self.lengths_m),))
        near = 72 / sum(self.lengths_m)
        f = np.geomspace(near / 1.1, near * 1.1, 45)
        return fitting.followed(f, np.abs(reflection_coefficient(plain.impedance(f), self.z0_ohm)), near)[0]

    def lengths_for(self, wanted_mhz):
        """Lengths at which the model's SWR minima lie where wanted.

        wanted_mhz: MHz, the lower band first, shape (2,). Returns inner and outer wire, metres, shape (2,).
        Raises Slip when no wire like this one has them there.
        """
        wanted = check_frequency(wanted_mhz)
        if wanted.shape != (2,):
            raise Slip(f"wanted_mhz is two frequencies, the lower band first; got {quoted(wanted_mhz)}")
        lengths, off = fitting.lengths_for(self._planned, self.dipole.sections, wanted, wanted)
        if np.max(np.abs(off)) > _DONE:
            raise Slip("No wire like this one has its minima there: measure the wires and the traps.")
        return lengths


def _valleys(curves, dips_mhz):
    """That the SWR hardly changes around a minimum, where that is so: a tuple of sentences."""
    said = []
    for (f, size), dip in zip(curves, dips_mhz, strict=True):
        swr = swr_of_reflection(np.minimum(size, 1.0))  # noise goes beyond
        alike = swr < np.interp(dip, f, swr) + _SAME_SWR
        ends = [f[~alike & side] for side in (f < dip, f > dip)]
        inside = f[(f > max(ends[0], default=0.0)) & (f < min(ends[1], default=np.inf))]
        if inside.size and inside[-1] > inside[0] * (1 + _VALLEY):
            there = {"f_mhz": dip, "low_mhz": inside[0], "high_mhz": inside[-1], "rise": _SAME_SWR}
            said.append(SAID["valley"].format(**there))
    return tuple(said)


def _most(aim_mhz, low_mhz, high_mhz, sweeps):
    """The part between two frequencies of the sweep that has most points there."""
    counts = [np.count_nonzero((sweep.f_mhz >= low_mhz) & (sweep.f_mhz <= high_mhz)) for sweep in sweeps]
    if max(counts, default=0) < 5:
        there = f"no sweep has five points around {aim_mhz:.4g} MHz{_covered(sweeps)}"
        raise Slip(f"{there}; sweep that band, with more points{_beside(aim_mhz, sweeps)}")
    return sweeps[int(np.argmax(counts))].between(low_mhz, high_mhz)


def _covered(sweeps):
    """What sweeps cover, in words, or ""."""
    spans = [f"{sweep.f_mhz.min():.4g} to {sweep.f_mhz.max():.4g}" for sweep in sweeps if sweep.f_mhz.size]
    return f" (it goes from {' and from '.join(spans)} MHz)" if spans else ""


def _beside(aim_mhz, sweeps):
    """Where the lowest SWR lies instead, in words, if it may be this band's; or ""."""
    seen = [dip.f_mhz for dip in (sweep.lowest() for sweep in sweeps) if dip]
    seen = [f for f in seen if aim_mhz / _BESIDE < f < aim_mhz * _BESIDE]
    if not seen:
        return ""
    there = min(seen, key=lambda f: abs(np.log(f / aim_mhz)))
    way = "below" if there < aim_mhz else "above"
    return (
        f". Your lowest SWR lies at {there:.4g} MHz, {100 * abs(there / aim_mhz - 1):.0f} % {way}: look for "
        "a mistake first, in what was typed and in the wire"
    )


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
