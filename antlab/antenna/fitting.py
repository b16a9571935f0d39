"""What a sweep says of the antenna that hangs: the planned one is changed until both agree.

Fitted are three numbers that lengths can mend, each with what is usual of it: how much longer the wire
works than it is (insulation), what the ends add (loops, knots, sag), where the traps truly are. And on
each band two that no length mends, ohms in series with the feed and decibels lost in the line: faults.py
tells what they mean.
"""

from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from antlab.antenna.design import true_to, vertex
from antlab.engine.dipole import LONGEST_WAVES, Dipole
from antlab.physics.circuit import reflection_coefficient
from antlab.units import wavelength_m

REACH = 1.07  # how far from an aim the model is asked
POINTS = 45  # of the model, around each aim
_NOISE = 0.04  # of the reflection: what such a model leaves, not the meter's
POOR = 0.012  # a misfit from which on the minimum of a fit is hardly believed
_OTHER = 0.008  # and from which on something else is tried, before wet traps are thought of
HOPELESS = 0.1  # and from which on nothing else is
_DIP_NOISE = 0.001  # of a frequency read off
# what is usual, and by how much it varies; common practice, no source
_BARE, _BARE_VARIES, _JACKET_VARIES = 0.012, 0.02, 0.008
_ENDS_M, _TRAPS, _TRAPS_MEASURED = 0.03, 0.025, 0.004
_VARIES_LEAST = 0.02, 0.03, 0.012  # of wire, ends and traps, before anybody calls it strange
_OHMS, _LOSS_DB, _LOSS_VARIES_DB = 15.0, 0.5, 0.7
# of wire, ends, traps, ohms and decibels, to find what each does
_NUDGES = 0.004, 0.01, 0.004, 1.0, 1.0, 0.1, 0.1
_CLOSE = 2e-4  # of a frequency
_LITTLE, _HARDLY = 0.01, 0.003  # that is not looked for: of a sum of squares, and of what is left of it
_MOST_STEPS = 12
_STEPS_LEFT = 4  # like the last one, that another start is given
SHORTEST_M = 0.05  # that is left of a wire
NOTHING_LEFT = "that leaves nothing of the wire: was it centimetres, or inches, where metres were asked?"
_DRIFT = 0.3  # of what is usual: how little an earlier sweep is believed


@dataclass(frozen=True, eq=False)
class Usual:
    """What is usual of wire, ends and traps, before or after a sweep: mean (3,) and covariance (3, 3).

    >>> from antlab.antenna import fitting
    >>> first = fitting.usual(jacket_known=True, traps_measured=True)
    >>> first.mean.tolist(), round(first.strain(first))
    ([0.0, 0.0, 0.0], 0)
    """

    mean: np.ndarray
    covariance: np.ndarray

    def later(self, first):
        """The same for the next sweep: rain and hands may have changed things. first: that before any."""
        return Usual(self.mean, self.covariance + _DRIFT**2 * first.covariance)

    def strain(self, first):
        """How many times what is usual it is away from a first Usual, where it is farthest away."""
        return float(np.max(np.abs(self.mean - first.mean) / first.varies))

    @property
    def varies(self):
        """By how much each of the three varies from garden to garden, or a little more: shape (3,)."""
        return np.maximum(np.sqrt(np.diag(self.covariance)), _VARIES_LEAST)


def usual(*, jacket_known, traps_measured):
    """The Usual of a log without a sweep.

    >>> from antlab.antenna import fitting
    >>> fitting.usual(jacket_known=False, traps_measured=False).mean.tolist()
    [0.012, 0.0, 0.0]
    """
    wire = (0.0, _JACKET_VARIES) if jacket_known else (_BARE, _BARE_VARIES)
    varies = wire[1], _ENDS_M, _TRAPS_MEASURED if traps_measured else _TRAPS
    return Usual(np.array([wire[0], 0.0, 0.0]), np.diag(np.square(varies)))


@dataclass(frozen=True, eq=False)
class Fit:
    """The planned antenna, fitted to what was measured.

    plan: the Dipole as planned, with the traps as known. z0_ohm: of the line. now: Usual, the wire's and the
    traps' logarithms (how much longer it works, how much higher they are), and what the ends add, metres.
    ohms, loss_db: of each band, beyond the plan, shape (2,). misfit: rms of what is left of the reflection,
    shape (2,).

    >>> from antlab.antenna import fitting
    >>> plan = al.design("40m", "20m", shape=al.FlatTop(height_m=9), low_mhz=7.1, high_mhz=14.2).dipole
    >>> aims, usual = np.array([7.1, 14.2]), fitting.usual(jacket_known=False, traps_measured=False)
    >>> fit = fitting.to_dips(plan, 50.0, plan.sections, np.array([7.0, 14.0]), aims, usual)
    >>> fit.dips(plan.sections, aims)[:, 0].round(2).tolist()
    [7.0, 14.0]
    """

    plan: Dipole
    z0_ohm: float
    now: Usual
    ohms: np.ndarray
    loss_db: np.ndarray
    misfit: np.ndarray

    def hung(self, lengths_m):
        """The Dipole that measures like the true one. lengths_m: inner and outer wire as cut, shape (2,)."""
        return _hung(self.plan, lengths_m, self.now.mean)

    def dips(self, lengths_m, aims_mhz, near=(None, None), *, rough=False):
        """Frequency and reflection of the SWR minimum that belongs to each aim, by this fit: shape (2, 2)."""
        return np.array([self.dip(band, lengths_m, aims_mhz, near[band], rough=rough) for band in (0, 1)])

    def misfit_of(self, plan, lengths_m, curves):
        """Misfit of each band, shape (2,), of the same wires on another plan with the best ohms and loss."""
        dipole, least = _hung(plan, lengths_m, self.now.mean), []
        ohms, loss_db = np.arange(-40, 61, 5)[:, None, None], np.arange(0, 2.1, 0.5)[:, None]
        for f, size in curves:
            z = dipole.impedance(f)
            z = np.maximum(z.real + ohms, 0.5) + 1j * z.imag
            off = np.abs(reflection_coefficient(z, self.z0_ohm)) * 10 ** (-loss_db / 10) - size
            least.append(np.sqrt(np.min(np.mean(off**2, axis=-1))))
        return np.array(least)

    def dip(self, band, lengths_m, aims_mhz, near=None, *, rough=False):
        """The same of one band, 0 the lower and 1 the upper one: (f_mhz, size)."""
        dipole, (low, high) = self.hung(lengths_m), windows(aims_mhz)[band]
        f = np.geomspace(low, min(high, highest_mhz(dipole.length_m)), POINTS)
        z = np.maximum(dipole.impedance(f, rough=rough) + self.ohms[band], 0.1)
        return followed(f, np.abs(reflection_coefficient(z, self.z0_ohm)), near or aims_mhz[band])


def _hung(plan, lengths_m, mean):
    wire, ends_m, traps = mean
    inner, outer = np.asarray(lengths_m) * np.exp(wire)
    trap, off = plan.trap, np.exp(traps)
    trap = replace(trap, inductance_uh=trap.inductance_uh / off, capacitance_pf=trap.capacitance_pf / off)
    return replace(plan, sections=(inner, max(outer + ends_m, 0.02)), traps=(trap,))


def highest_mhz(wire_m):
    """Up to where the engine goes with so much wire, MHz.

    >>> from antlab.antenna import fitting
    >>> round(fitting.highest_mhz(20.0))
    60
    """
    return 0.999 * LONGEST_WAVES * float(wavelength_m(1.0)) / wire_m


def windows(aims_mhz, reach=REACH):
    """Lowest and highest frequency that belong to each aim, shape (2, 2): they part halfway.

    >>> from antlab.antenna import fitting
    >>> fitting.windows(np.array([7.0, 14.0]), reach=1.1).round(2).tolist()
    [[6.36, 7.7], [12.73, 15.4]]
    """
    low, high = aims_mhz
    half = np.sqrt(low * high)
    return np.array([[low / reach, min(low * reach, half)], [max(high / reach, half), high * reach]])


def followed(f_mhz, size, near_mhz):
    """The minimum of a reflection that belongs to a frequency: low, and not far. Returns (f_mhz, size).

    Of two minima the lower is taken, if it is not farther away by a hundredth for each hundredth of
    reflection. At an edge it is the edge.

    >>> from antlab.antenna import fitting
    >>> f = np.geomspace(6.8, 7.4, 45)
    >>> f_mhz, size = fitting.followed(f, np.hypot(0.2, 9 * np.log(f / 7.05)), 7.1)
    >>> round(float(f_mhz), 3), round(float(size), 2)
    (7.05, 0.2)
    """
    inside = np.flatnonzero((size[1:-1] <= size[:-2]) & (size[1:-1] <= size[2:])) + 1
    if not inside.size:
        i = int(np.argmin(size))
        return f_mhz[i], size[i]
    best = inside[np.argmin(size[inside] + np.abs(np.log(f_mhz[inside] / near_mhz)))]
    move, lowest = vertex(size[best - 1 : best + 2] ** 2)
    return f_mhz[best] * (f_mhz[1] / f_mhz[0]) ** move, np.sqrt(max(lowest, 0.0))


def to_curves(plan, z0_ohm, lengths_m, curves, before, start=None):
    """The Fit to the size of the reflection around each aim.

    curves: two pairs of f_mhz and size, shapes (n,). before: Usual. start: a Fit of another plan to begin
    from; then no other beginning is tried. Searched for by rough answers of the engine; the last steps and
    the misfit are by its full ones.

    >>> from antlab.antenna import fitting
    >>> plan = al.design("40m", "20m", shape=al.FlatTop(height_m=9), low_mhz=7.1, high_mhz=14.2).dipole
    >>> aims, usual = np.array([7.1, 14.2]), fitting.usual(jacket_known=False, traps_measured=False)
    >>> longer = al.Dipole(
    ...     sections=[1.02 * one for one in plan.sections], traps=plan.traps, shape=plan.shape
    ... )
    >>> curves = []
    >>> for low, high in fitting.windows(aims):
    ...     f = np.linspace(low, high, 41)
    ...     curves.append((f, abs(al.Sweep(f, longer.impedance(f)).reflection)))
    >>> fit = fitting.to_curves(plan, 50.0, plan.sections, curves, usual)
    >>> round(float(fit.now.mean[0]), 2)
    0.02
    """
    f = np.concatenate([f for f, _ in curves])
    size = np.concatenate([size for _, size in curves])
    band = np.repeat([0, 1], [len(f) for f, _ in curves])
    even = np.sqrt(40 / np.bincount(band, minlength=2))[band] / _NOISE
    root = np.linalg.inv(np.linalg.cholesky(before.covariance))
    order = np.argsort(f, kind="stable")

    @cache
    def impedance(rough, *own):
        z = np.empty(len(f), dtype=complex)
        z[order] = _hung(plan, lengths_m, own).impedance(f[order], rough=rough)
        return z

    def off(p, z):
        reflected = np.abs(
            reflection_coefficient(np.maximum(z.real + p[3:5][band], 0.5) + 1j * z.imag, z0_ohm)
        )
        return reflected * 10 ** (-p[5:][band] / 10) - size

    def weighed(p, z):
        return np.concatenate(
            [
                off(p, z) * even,
                root @ (p[:3] - before.mean),
                p[3:5] / _OHMS,
                (p[5:] - _LOSS_DB) / _LOSS_VARIES_DB,
            ]
        )

    def misfit(p, rough):
        rest = off(p, impedance(rough, *p[:3]))
        return np.array([np.sqrt(np.mean(rest[band == i] ** 2)) for i in (0, 1)])

    bends = []  # of the impedance, by a nudge of the wire and of the ends: what is costly

    def settled(p, *, rough, beat=np.inf):
        def rest(p):
            return weighed(p, impedance(rough, *p[:3]))

        def slope(p, again):
            z, nudges, felt = impedance(rough, *p[:3]), np.diag(_NUDGES), rough and (again or not bends)
            if felt:
                bends[:] = [impedance(rough, *(p + one)[:3]) - z for one in nudges[:2]]
            longer = [weighed(p + one, z + bend) for one, bend in zip(nudges, bends, strict=False)]
            after = np.array([*longer, *(rest(p + one) for one in nudges[2:])])
            return ((after - weighed(p, z)) / np.array(_NUDGES)[:, None]).T, felt or not rough

        return _least(rest, p, slope, beat=beat, hardly=_HARDLY, again=not rough)

    nothing = [*before.mean, 0.0, 0.0, _LOSS_DB, _LOSS_DB]
    first = nothing if start is None else [*start.now.mean, *start.ohms, *start.loss_db]
    best = settled(np.array(first), rough=True)
    # 40 ohms reflect as 62 do on 50: where the fit is poor the other one is tried
    for i in (0, 1) if start is None else ():
        p = best[0]
        if _OTHER < misfit(p, True)[i] < HOPELESS:
            seen = impedance(True, *p[:3])[band == i][np.argmin(size[band == i])].real
            other = np.r_[before.mean, p[3:5], _LOSS_DB, _LOSS_DB]
            other[3 + i] = z0_ohm**2 / max(seen + p[3 + i], 5.0) - seen
            found = settled(other, rough=True, beat=best[1] @ best[1])
            best = min(best, found, key=lambda one: one[1] @ one[1])
    p, _, covariance = settled(best[0], rough=False)  # the last word is the engine's
    return Fit(plan, z0_ohm, Usual(p[:3], covariance[:3, :3]), p[3:5], p[5:], misfit(p, False))


def _least(weighed, p, slope_at, *, beat=np.inf, hardly=0.0, again=False):
    """Where the sum of the squares of weighed(p) is least, from p on: Newton's method, Gauss's way.

    slope_at(p, again): of weighed, shape (n, len(p)), and whether it is that of p; if not asked again it may
    be that of an earlier p. beat: a sum that is known; whoever is so far above it that a few steps like the
    last one do not get there gives up. hardly: share of the sum that is no gain. again: p was looked for
    before, and is left only for what gains. Returns p, weighed(p) and the covariance of p.
    """
    rest = weighed(p)
    for _ in range(3 if again else _MOST_STEPS):
        slope, here = slope_at(p, again)
        step = -np.linalg.lstsq(slope, rest, rcond=None)[0]
        if again and rest @ rest - np.sum((rest + slope @ step) ** 2) < max(_LITTLE, hardly * rest @ rest):
            break
        for share in (1.0, 0.3):
            after = weighed(p + share * step)
            if after @ after < rest @ rest:
                break
        else:
            if here:
                break
            again = True
            continue
        gain = rest @ rest - after @ after
        p, rest = p + share * step, after
        little = gain < max(0.1, hardly * rest @ rest)
        if (little and here) or rest @ rest - beat > _STEPS_LEFT * gain:
            break
        again = not here and (little or share < 1)
    return p, rest, np.linalg.inv(slope.T @ slope)


def to_dips(plan, z0_ohm, lengths_m, dips_mhz, aims_mhz, before):
    """The Fit to two SWR minima, read off. dips_mhz, aims_mhz: shape (2,). before: Usual.

    >>> from antlab.antenna import fitting
    >>> plan = al.design("40m", "20m", shape=al.FlatTop(height_m=9), low_mhz=7.1, high_mhz=14.2).dipole
    >>> aims, usual = np.array([7.1, 14.2]), fitting.usual(jacket_known=False, traps_measured=False)
    >>> fit = fitting.to_dips(plan, 50.0, plan.sections, np.array([7.0, 14.0]), aims, usual)
    >>> bool(fit.now.mean[0] > 0.005)
    True
    """
    root = np.linalg.inv(np.linalg.cholesky(before.covariance))
    nothing = np.zeros(2)

    def weighed(p):
        fit = Fit(plan, z0_ohm, Usual(p, before.covariance), nothing, nothing, nothing)
        off = np.log(fit.dips(lengths_m, aims_mhz, near=dips_mhz)[:, 0] / dips_mhz) / _DIP_NOISE
        return np.concatenate([off, root @ (p - before.mean)])

    def slope(p, _):
        rest, nudges = weighed(p), _NUDGES[:3]
        return np.array([(weighed(p + one) - rest) / one.sum() for one in np.diag(nudges)]).T, True

    p, rest, covariance = _least(weighed, before.mean, slope)
    misfit = np.abs(rest[:2]) * _DIP_NOISE
    return Fit(plan, z0_ohm, Usual(p, covariance), nothing, nothing, misfit)


def lengths_for(fit, lengths_m, wanted_mhz, aims_mhz):
    """Lengths as cut at which a Fit has its minima where wanted, and how far off they stay.

    lengths_m: to start from. wanted_mhz, aims_mhz: shape (2,). Returns lengths, shape (2,), metres, and the
    logarithms of wanted over what they give, shape (2,). Newton's method, Broyden's way; where the upper
    band's two minima flow together it jumps, and the nearest is found by trying.

    >>> from antlab.antenna import fitting
    >>> plan = al.design("40m", "20m", shape=al.FlatTop(height_m=9), low_mhz=7.1, high_mhz=14.2).dipole
    >>> aims, usual = np.array([7.1, 14.2]), fitting.usual(jacket_known=False, traps_measured=False)
    >>> fit = fitting.to_dips(plan, 50.0, plan.sections, np.array([7.0, 14.0]), aims, usual)
    >>> lengths, off = fitting.lengths_for(fit, plan.sections, aims, aims)
    >>> bool(np.all(lengths < plan.sections)), bool(np.max(np.abs(off)) < 0.001)
    (True, True)
    """
    start, leg = np.array(lengths_m, dtype=float), float(np.sum(lengths_m))

    def miss(change, *, rough=False):
        return np.log(wanted_mhz / fit.dips(_kept(start + leg * change), aims_mhz, rough=rough)[:, 0])

    def newton(change, slope, off, steps):
        best = change, off
        for _ in range(steps):
            if np.max(np.abs(off)) < _CLOSE or abs(np.linalg.det(slope)) < 1e-3:
                break
            step = np.clip(np.linalg.solve(slope, -off), -0.04, 0.04)
            change = np.clip(change + step, -0.15, 0.15)
            before, off = off, miss(change)
            slope = true_to(slope, step, before, off)
            if np.sum(np.abs(off)) < np.sum(np.abs(best[1])):
                best = change, off
        return best

    change, nudge = np.zeros(2), 0.005
    off = miss(change)
    slope = np.array([miss(nudge * one) - off for one in np.eye(2)]).T / nudge
    best = newton(change, slope, off, 8)
    if np.max(np.abs(best[1])) > 5 * _CLOSE:
        for inner in np.linspace(-0.06, 0.06, 9) * start[0] / leg * 2:
            here = np.array([inner, 0.0])
            for _ in range(2):  # the lower band: what the inner wire gives, the outer one takes
                dip = fit.dip(0, _kept(start + leg * here), aims_mhz, rough=True)
                low = np.log(wanted_mhz[0] / dip[0])
                here = np.clip(here - [0.0, low / max(slope[0, 1], 0.2)], -0.15, 0.15)
            off = miss(here, rough=True)
            if np.sum(np.abs(off)) < np.sum(np.abs(best[1])):
                best = here, off
        best = best[0], miss(best[0])
        best = min(best, newton(best[0], slope, best[1], 4), key=lambda found: np.sum(np.abs(found[1])))
    return _kept(start + leg * best[0]), best[1]


def _kept(lengths_m):
    return np.maximum(lengths_m, SHORTEST_M)
