"""What a measurement looks like when it is a fault and not a length: said before anything is cut."""

from dataclasses import replace

import numpy as np

from antlab.engine.shapes import FlatTop
from antlab.physics.circuit import reflection_coefficient

NEAR = 1.12  # a minimum belongs to an aim when it is no farther away than this
SAME = 0.02  # nor farther from where the model has it
TRAPS_OFF = 0.038  # traps that seem so far from what the plan has are measured
SLIP_M = 0.01  # what a hand may be off
ALIKE = 0.04  # two frequencies that may be one
_RISE = 0.05  # of the reflection, from which on a curve falls towards its end
_GOES_ON = 0.1  # of a frequency, to the next one measured; what lies farther away is another band
_NARROW = 1.1  # of a sweep's ends
_FLAT = 0.15  # of the reflection, over a sweep wider than that: no antenna does that
_LOSS_DB = 2.5  # more than a line of this house has (common practice, no source)
_OHMS = 17.0  # more than soil and height do, see tests/bench/closed_loops.py
_LOW_OHMS = 25.0  # the same on the lower band, which hears more of them
TOO_MANY_OHMS = 40.0  # of the fit, to either side: then it is no fit
STRAIN = 3.2  # times what is usual, see fitting.Usual.strain
MISFIT = 0.028  # of the reflection
WET_Q, WET_FROM = 15.0, 0.008  # of poor traps; the misfit from which on they are thought of
# What is said with numbers of the day in it; the phone on the lawn says it in the same words.
SAID = {
    "too_far": (
        "{dip_mhz:.4g} MHz is too far from the aim of {aim_mhz:.4g} MHz for a slip in cutting: measure the "
        "wires, then the traps, and look whether that is the right minimum."
    ),
    "reversal": (
        "The {wire} wire was changed by {before_cm:+.1f} cm, and now {now_cm:+.1f} cm would be "
        "asked: one of the two sweeps or what the log says was done is wrong. Measure the wire, and measure "
        "again; where it stays, write into the log that nothing was changed."
    ),
    "no_minimum": (
        "There is no minimum on either band: look at feed point, plugs, line, and the sweep's range."
    ),
    "plain_wire": (
        "A minimum at {low_mhz:.4g} MHz is that of the whole wire without traps ({plain_mhz:.4g} MHz): "
        "a trap looks shorted, by water or by a solder bridge. Measure the traps alone."
    ),
    "upper_only": (
        "Only the inner wire seems to work: a trap looks open, in its coil or where a wire meets it, in "
        "one leg or both. Measure the traps alone; if they are good, sweep wider."
    ),
    "lower_only": (
        "The lower band works and the upper one shows nothing: a trap is shorted, or tuned far from its "
        "frequency. Measure the traps alone."
    ),
}
WET = (
    "The SWR has the shape of an antenna with poor traps: a wet or bad trap takes power and holds no wall. "
    "Measure the traps alone, dry, and seal them."
)
STRANGE = (
    "This is not the curve of the antenna as planned, whatever its wires and traps: measure the wires, then "
    "the traps, and look for other wires and metal close by."
)
MEASURE_TRAPS = (
    "The wires would change by more than a slip in cutting or the wire's insulation explains. Measure the "
    "traps first, each by itself, and write them into the log: then the advice reckons with them as they are."
)


def in_line(fit):
    """What a Fit says of loss, or "". Source: loss there and back weakens every reflection alike.

    fit: a fitting.Fit.

    >>> from types import SimpleNamespace
    >>> "3 dB or so" in al.faults.in_line(SimpleNamespace(loss_db=np.array([2.8, 3.4])))
    True
    """
    if (loss := float(np.max(fit.loss_db))) < _LOSS_DB:
        return ""
    return _flatter(f"{loss:.0f} dB or so" if loss < 6.5 else "6 dB or more")


def _flatter(lost):
    return (
        f"The SWR is flatter than this antenna's can be, as if {lost} were lost in the line, or in water "
        "in it: measure at the antenna, and see that it is no dummy load."
    )


def in_dummy(curves):
    """What in_line says of a sweep that shows no antenna at all, before anything is fitted to it; or "".

    curves: pairs of f_mhz and size of the reflection, around each aim. Source: none, an estimate by the
    engine: of bare dipoles for 80 to 10 m, up to 6 mm thick, level or vees, 2 to 14 m up over dry to wet
    soil, each reflects 0.4 or more somewhere within 5 % of its resonance, which 2 dB of line make 0.25.

    >>> f = np.linspace(6.7, 7.5, 41)
    >>> "6 dB or more" in al.faults.in_dummy([(f, np.full(41, 0.01))])
    True
    """
    flat = all(f[-1] > _NARROW * f[0] and np.max(size) < _FLAT for f, size in curves)
    return _flatter("6 dB or more") if flat else ""


def in_feed(fit):
    """What a Fit says of ohms that no soil or height explains, or "". fit: a fitting.Fit.

    >>> from types import SimpleNamespace
    >>> "31 ohms too many on both bands" in al.faults.in_feed(SimpleNamespace(ohms=np.array([28, 31])))
    True
    """
    low, high = fit.ohms
    if not (high > _OHMS or low > _LOW_OHMS or (low > _OHMS and high > _OHMS / 2)):
        return ""
    if min(low, high) > _OHMS:
        where = "on both bands"
    else:
        where = "on the upper band" if high > low else "on the lower band"
    return (
        f"The SWR has the shape of an antenna with {max(low, high):.0f} ohms too many {where}: look for a "
        "bad joint, a wet or bad trap, a broken balun, or other wires and metal close by."
    )


def in_reach(f_mhz, size, sweeps, *, expected_mhz, aim_mhz):
    """On which side of a sweep the minimum lies that it does not show, or "".

    f_mhz, size: of the sweep around the aim, MHz and size of the reflection, shape (n,). sweeps: all that
    were measured. expected_mhz: where the model has it. aim_mhz: MHz.

    >>> f = np.linspace(7.0, 7.3, 31)
    >>> falls = {"sweeps": [al.Sweep(f, np.full(31, 60))], "expected_mhz": 6.9, "aim_mhz": 7.1}
    >>> "below what you measured" in al.faults.in_reach(f, np.linspace(0.3, 0.6, 31), **falls)
    True
    """
    lowest, last = int(np.argmin(size)), len(size) - 1
    falls = np.max(size) > size[lowest] + _RISE
    below, above = falls and lowest == 0, falls and lowest == last
    if not (below or above) and expected_mhz is not None:
        below, above = expected_mhz < f_mhz[0] * 1.005, expected_mhz > f_mhz[-1] * 0.995
    beyond = np.log(np.concatenate([sweep.f_mhz for sweep in sweeps])[:, None] / f_mhz[[0, -1]])
    starts = not np.any((beyond[:, 0] < 0) & (beyond[:, 0] > -_GOES_ON))
    stops = not np.any((beyond[:, 1] > 0) & (beyond[:, 1] < _GOES_ON))
    nothing = f"Around {aim_mhz:.4g} MHz there is no minimum in reach: "
    if below and starts:
        return (
            f"{nothing}it lies below what you measured, which starts at {f_mhz[0]:.4g} MHz. The wire is "
            "too long or the sweep too narrow; sweep farther that way."
        )
    if above and stops:
        return (
            f"{nothing}it lies above what you measured, which ends at {f_mhz[-1]:.4g} MHz. The wire is too "
            "short or the sweep too narrow; sweep farther that way."
        )
    if starts and stops and expected_mhz is None and f_mhz[-1] / f_mhz[0] < _NARROW:
        return f"{nothing}it lies below or above what you measured; sweep farther both ways."
    return ""


def too_far(dip_mhz, aim_mhz):
    """That a minimum is no matter of trimming. dip_mhz, aim_mhz: MHz.

    >>> al.faults.too_far(18.1, 14.2)[:40]
    '18.1 MHz is too far from the aim of 14.2'
    """
    return SAID["too_far"].format(dip_mhz=dip_mhz, aim_mhz=aim_mhz)


def in_traps(fit, lengths_m, curves):
    """Whether a trap shorted or open explains what no healthy antenna does; "" if not.

    fit: a fitting.Fit. lengths_m: of the wires, shape (2,). curves: pairs of f_mhz and size of the
    reflection. Source: a shorted trap leaves one long wire, an open one leaves the inner wire; common
    practice.

    >>> plan = al.design("40m", "20m", shape=al.FlatTop(height_m=9), low_mhz=7.1, high_mhz=14.2).dipole
    >>> log = al.bench.Trimming(dipole=plan, low_mhz=7.1, high_mhz=14.2)
    >>> f = np.linspace(6.5, 15.5, 181)
    >>> shorted = al.Sweep(f, al.Dipole(inner_m=8.3, shape=plan.shape).impedance(f))
    >>> fit, curves, _ = log.fitted_curves(shorted)
    >>> "a trap looks shorted" in al.faults.in_traps(fit, log.lengths_m, curves)
    True
    """
    f, size = (np.concatenate(both) for both in zip(*curves, strict=True))
    order = np.argsort(f, kind="stable")
    f, size = f[order], size[order]
    best, plan = {}, fit.plan
    inner, outer = lengths_m
    for wire in (1.0, 1.02, 1.04):
        good = replace(plan, sections=(inner * wire, outer * wire)).impedance(f)
        for words, bad in (
            (
                "shorted, by water or by a solder bridge",
                replace(plan, traps=(), sections=((inner + outer) * wire,)),
            ),
            ("open, in its coil or where a wire meets it", _upper_part(plan, inner * wire)),
        ):
            z = bad.impedance(f)
            for seen in (np.abs(reflection_coefficient(both, fit.z0_ohm)) for both in (z, (z + good) / 2)):
                off = [np.sqrt(np.mean((seen * 10 ** (-loss / 10) - size) ** 2)) for loss in (0.0, 1.0, 2.0)]
                best[words] = min(best.get(words, np.inf), *off)
    words = min(best, key=best.get)
    if best[words] < max(np.sqrt(np.mean(fit.misfit**2)), 2 * MISFIT):
        return (
            f"This is not the curve of the antenna as planned: a trap looks {words}, in one leg or both. "
            "Measure the traps alone."
        )
    return ""


def _upper_part(plan, inner_m):
    """The inner wires alone: so near the middle a vee is as good as level."""
    return replace(plan, traps=(), sections=(inner_m,), shape=FlatTop(height_m=plan.shape.top_m))


def reversal(name, before_m, now_m):
    """That the advice goes back farther than the last step went.

    name: of the wire. before_m, now_m: the last change of it and the one asked now, metres. Returns a
    sentence.

    >>> al.faults.reversal("inner_m", -0.03, 0.07)[:66]
    'The inner wire was changed by -3.0 cm, and now +7.0 cm would be as'
    """
    wire = name.removesuffix("_m")
    return SAID["reversal"].format(wire=wire, before_cm=100 * before_m, now_cm=100 * now_m)


def in_minima(low_mhz, high_mhz, *, aims_mhz, plain_mhz):
    """What two SWR minima, or the lack of them, say of the traps.

    low_mhz, high_mhz: MHz, None where there is none. aims_mhz: both aims, lower first. plain_mhz: where the
    wire would be resonant with its traps shorted. Returns a sentence, or "" when nothing is wrong.
    Source: a shorted trap leaves one long wire, an open one leaves the inner wire; common practice.

    >>> al.faults.in_minima(7.05, None, aims_mhz=(7.1, 14.2), plain_mhz=8.4)[:54]
    'The lower band works and the upper one shows nothing: '
    """
    if low_mhz is None and high_mhz is None:
        return SAID["no_minimum"]
    if low_mhz is not None and abs(low_mhz / plain_mhz - 1) < ALIKE < abs(low_mhz / aims_mhz[0] - 1):
        return SAID["plain_wire"].format(low_mhz=low_mhz, plain_mhz=plain_mhz)
    if low_mhz is None:
        return SAID["upper_only"]
    if high_mhz is None:
        return SAID["lower_only"]
    for f, aim in zip((low_mhz, high_mhz), aims_mhz, strict=True):
        if not is_near(f, aim):
            return too_far(f, aim)
    return ""


def is_near(f_mhz, aim_mhz):
    """Whether a minimum at f_mhz may belong to an aim at aim_mhz: 12 % apart at most; common practice.

    >>> al.faults.is_near(7.0, 7.1), al.faults.is_near(8.5, 7.1)
    (True, False)
    """
    return aim_mhz / NEAR < f_mhz < aim_mhz * NEAR
