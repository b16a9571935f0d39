"""What a measurement looks like when it is a fault and not a length: said before anything is cut."""

import numpy as np

from antlab.physics.circuit import reflection_of_swr

NEAR = 1.12  # a minimum belongs to an aim when it is no farther away than this
_ALIKE = 0.04  # two frequencies that may be one
_RISE = 0.05  # of the reflection, from which on a curve falls towards its end
_SHALLOW = 0.3  # so much more reflection at the minimum than the model has is no matter of height
_STEEP = 0.5  # reflection that the model has at the ends when the sweep is wide enough to tell of loss


def in_sweep(sweep, part, dip, *, ends_swr, usual_swr):
    """What is wrong with a sweep around one aim, before any number in it is believed.

    sweep: a Sweep. part: of it, around the aim. dip: the Dip found in it, or None. ends_swr: the model's SWR
    as far from its own minimum as the two ends are from the dip. usual_swr: the model's SWR at its minimum.
    Returns a sentence, or "" when nothing is wrong.
    Source: loss there and back weakens every reflection alike; thresholds: common practice, no source.

    >>> f = np.linspace(6.8, 7.4, 61)
    >>> flat = al.Sweep(f, np.full(61, 60))
    >>> al.faults.in_sweep(flat, flat, None, ends_swr=np.array([6.0, 6.0]), usual_swr=1.3)[:54]
    "Around 7.1 MHz the SWR is flatter than this antenna's "
    """
    size, where = np.abs(part.reflection), f"Around {np.mean(part.f_mhz[[0, -1]]):.3g} MHz"
    model, lowest = np.max(reflection_of_swr(ends_swr)), int(np.argmin(size))
    if model > _STEEP and np.max(size[[0, -1]]) < model / 2:
        loss = 10 * np.log10(model / max(np.max(size[[0, -1]]), 1e-3))
        return (
            f"{where} the SWR is flatter than this antenna's can be, as if {loss:.0f} dB or so were lost in "
            "the line, or in water in it: measure at the antenna, or move the sweep there with at_antenna."
        )
    at_end = part.f_mhz[lowest] in sweep.f_mhz[[0, -1]]
    if dip is None and at_end and np.max(size) > size[lowest] + _RISE:
        wire, way = ("long", "lower") if lowest == 0 else ("short", "upper")
        return (
            f"{where} there is no minimum in reach: the SWR still falls towards the {way} end, so the wire "
            f"is too {wire} or the sweep too narrow; sweep farther that way."
        )
    if dip and reflection_of_swr(dip.swr) > reflection_of_swr(usual_swr) + _SHALLOW:
        return (
            f"{where} the minimum is SWR {dip.swr:.1f}, and {usual_swr:.1f} was to be expected: look for a "
            "bad joint, a broken balun, or other wires and metal close by."
        )
    return ""


def in_minima(low_mhz, high_mhz, *, aims_mhz, plain_mhz):
    """What two SWR minima, or the lack of them, say of the traps.

    low_mhz, high_mhz: MHz, None where there is none. aims_mhz: both aims, lower first. plain_mhz: where the
    wire would be resonant with its traps shorted. Returns a sentence, or "" when nothing is wrong.
    Source: a shorted trap leaves one long wire, an open one leaves the inner wire; common practice.

    >>> al.faults.in_minima(7.05, None, aims_mhz=(7.1, 14.2), plain_mhz=8.4)[:54]
    'The lower band works and the upper one shows nothing: '
    """
    if low_mhz is None and high_mhz is None:
        return "There is no minimum on either band: look at feed point, plugs, line, and the sweep's range."
    if low_mhz is not None and abs(low_mhz / plain_mhz - 1) < _ALIKE < abs(low_mhz / aims_mhz[0] - 1):
        return (
            f"A minimum at {low_mhz:.4g} MHz is that of the whole wire without traps ({plain_mhz:.4g} MHz): "
            "a trap looks shorted, by water or by a solder bridge. Measure the traps alone."
        )
    if low_mhz is None:
        return (
            "Only the inner wire seems to work: a trap looks open, in its coil or where a wire meets it, in "
            "one leg or both. Measure the traps alone; if they are good, sweep wider."
        )
    if high_mhz is None:
        return (
            "The lower band works and the upper one shows nothing: a trap is shorted, or tuned far from its "
            "frequency. Measure the traps alone."
        )
    for f, aim in zip((low_mhz, high_mhz), aims_mhz, strict=True):
        if not is_near(f, aim):
            return (
                f"{f:.4g} MHz is too far from the aim of {aim:.4g} MHz for a slip in cutting: measure the "
                "wires, then the traps, and look whether that is the right minimum."
            )
    return ""


def is_near(f_mhz, aim_mhz):
    """Whether a minimum at f_mhz may belong to an aim at aim_mhz: 12 % apart at most; common practice.

    >>> al.faults.is_near(7.0, 7.1), al.faults.is_near(8.5, 7.1)
    (True, False)
    """
    return aim_mhz / NEAR < f_mhz < aim_mhz * NEAR
