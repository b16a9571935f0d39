"""What folding back does: the measured sweep, and where its dips go as the hand folds the wires."""

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from antlab.antenna.antenna_log import Swept
from antlab.antenna.bench import Trimming
from antlab.antenna.own_antenna import Antenna
from antlab.antenna.touchstone import Sweep, read_sweep
from antlab.classroom import fieldday
from antlab.classroom.course import course
from antlab.classroom.drawing.axes import em_of, legend, two_axes
from antlab.classroom.drawing.looks import GREY, quiet, stroke
from antlab.classroom.drawing.parts import FIRST, THIRD, Handle, Part, Pen, Scene, column
from antlab.classroom.views.knots import Between, passive
from antlab.classroom.views.player import Slider, view
from antlab.physics import circuit
from antlab.physics.bands import BANDS, band
from antlab.units import Slip

SLIDERS = (
    Slider("Inner wires folded by", "cm", 0, 16.0, 33, 0),
    Slider("Outer wires folded by", "cm", 0, 8.0, 17, 0),
)
KNOTS = 5, 3  # foldings that are truly solved
UNDER = 0.45  # where the picture ends, below all SWR: no curve is where the dips' numbers stand
HALF = 2.4  # of where a dip is, in large type: ems
REACH, POINTS = 0.04, 161  # of each band: to either side of its aim, and frequencies


@lru_cache(maxsize=1)
def example():
    """The log and the first sweep of the running example."""
    aims = {name: fieldday.AIMS[name] for name in ("low_mhz", "high_mhz")}
    log = Trimming(dipole=fieldday.planned().dipole, **aims)
    return log, read_sweep(course() / "notebooks" / "data" / "antenna-1.s1p")


def _own(antenna):
    """The log of a student's own antenna, and what was swept last, both bands in one Sweep."""
    if not isinstance(antenna.measured, Swept):
        raise Slip("no sweep since the last change is in this antenna's log: give al.trim one first")
    return antenna.trimming, _joined(*antenna.measured.sweeps)


@lru_cache(maxsize=4)
def _joined(*sweeps):
    first, *more = sorted(sweeps, key=lambda sweep: sweep.f_mhz[0])
    for other in more:
        if other.f_mhz[0] <= first.f_mhz[-1]:
            raise Slip("these two sweeps overlap: give log, a Trimming, and one sweep over both bands")
        both = first, other.on(first.z0_ohm)
        f, z = (np.concatenate([getattr(one, name) for one in both]) for name in ("f_mhz", "impedance"))
        first = Sweep(f, z, first.z0_ohm, phase=first.phase and other.phase)
    return first


@dataclass(frozen=True, eq=False)
class _Measured:
    """A log and a sweep, known again by being the same ones: a log out of a file has no hash."""

    log: Trimming
    sweep: Sweep

    def __eq__(self, other):
        return self.log is other.log and self.sweep is other.sweep

    def __hash__(self):
        return hash((id(self.log), id(self.sweep)))


def _around(aims_mhz):
    """Frequencies about each aim, shape (aims, POINTS)."""
    return np.multiply.outer(aims_mhz, np.linspace(1 - REACH, 1 + REACH, POINTS))


@lru_cache(maxsize=4)
def _solved(measured):
    """Impedance about both aims as the wires are folded back. measured: _Measured."""
    log, sweep = measured.log, measured.sweep
    seen = [min(sweep.between(*f[[0, -1]]).dips(), key=lambda dip: dip.swr, default=None)
            for f in _around(log.aims_mhz)]  # fmt: skip
    if None in seen:
        raise Slip("this sweep has no minimum near one of the two aims; sweep wider, or see lesson 10")
    fit = log.fitted(sweep)

    def solve(*folded_cm):
        hung = fit.hung(log.lengths_m - np.array(folded_cm) / 100)
        return (hung.impedance(_around(log.aims_mhz)) + fit.ohms[:, None]).ravel()

    return Between(solve, SLIDERS, KNOTS)


@view(*SLIDERS, size=((9.0, 4.5), (3.9, 4.2), (4.68, 4.6)), log=(None,), sweep=(None,), work="trimming")
def trimming(fig, inner_cm, outer_cm, *, log=None, sweep=None):
    """Fold and see.

    A measured sweep, and where its dips go when wires are folded back, by a model fitted to it. The running
    example's first sweep, or one of your own: log, your antenna as read_antenna() gives it, or a Trimming and
    a Sweep.
    """
    if log is None and sweep is None:
        log, sweep = example()
    if isinstance(log, Antenna) and sweep is None:
        log, sweep = _own(log)
    if not isinstance(log, Trimming) or not isinstance(sweep, Sweep):
        raise Slip(
            "give both: log, a Trimming, and sweep, what read_sweep made of your file; or log alone, what "
            "read_antenna made of your antenna's"
        )
    swr = circuit.swr(passive(_solved(_Measured(log, sweep))(inner_cm, outer_cm)), log.z0_ohm)
    bands, lines = [], []
    for aim, f, there in zip(log.aims_mhz, _around(log.aims_mhz), np.split(swr, 2, axis=1), strict=True):
        names = (one.label for one in map(band, BANDS) if one.low_mhz <= aim <= one.high_mhz)
        name = next(names, f"{aim:.1f}-MHz band")
        dip = _lowest(f, there)
        bands.append((name, aim, f, there, sweep.between(*f[[0, -1]])))
        lines.append(
            [
                f"{name}: dip at {one:.2f} MHz, "
                + (f"{abs(one - aim) * 1e3:.0f} kHz too {'low' if one < aim else 'high'}"
                   if abs(one / aim - 1) > 0.0025 else "where it should be")
                for one in dip
            ]
        )  # fmt: skip
    says = ["\n".join(both) for both in zip(*lines, strict=True)]
    alt = (
        "SWR against frequency on both bands: as measured (dotted), and as it would be with so much folded "
        "back (solid). Folding the inner wires moves both dips up, folding the outer ones the lower band's."
    )
    parts = _two_bands(fig, bands)
    dips = [(part.ax, part.x[:, 0], np.where(part.y[:, 0] < 5, part.y[:, 0], np.nan))
            for part in parts if part.kind == "dots"]  # fmt: skip
    held = [Handle(moves, *dip) for moves, dip in zip(("outer_cm", "inner_cm"), dips, strict=True)]
    return Scene(parts, says, alt, handles=held)


def _lowest(f_mhz, swr):
    """Where each row of SWR is lowest, by a parabola through three points; shape (rows,)."""
    at = np.clip(np.argmin(swr, axis=1), 1, len(f_mhz) - 2)
    before, here, after = (swr[np.arange(len(swr)), at + i] for i in (-1, 0, 1))
    off = (before - after) / 2 / (before - 2 * here + after)
    return f_mhz[at] + np.clip(off, -1, 1) * (f_mhz[1] - f_mhz[0])


def _two_bands(fig, bands):
    """Measured and expected SWR. bands: (name, aim, f_mhz, SWR (rows, points), Sweep). Returns the parts."""
    axes = two_axes(
        fig, *({"x": f[[0, -1]], "y": (UNDER, 5), "xlabel": f"{name}, MHz", "ylabel": "SWR",
                "yticks": [1, 2, 3, 4, 5]} for name, _, f, _, _ in bands)
    )  # fmt: skip
    measured, parts = replace(THIRD, width=0.8), []
    for ax, (_, aim, f, swr, sweep) in zip(axes, bands, strict=True):
        legend(ax, measured=measured, foretold=FIRST)
        ax.plot([aim] * 2, [1, 5], color=GREY, linewidth=stroke(0.4))
        said = f"{aim:.3f}".rstrip("0").rstrip(".")
        low, high = np.array(ax.get_xlim()) + HALF * em_of(ax) * np.array([1, -1])
        best, dip = np.argmin(swr, axis=1), _lowest(f, swr)
        pen = Pen(quiet(), size=0.96, align="right")
        parts += [
            Part(ax, "line", sweep.f_mhz, np.clip(sweep.swr, 1, 50), measured),
            Part(ax, "line", f[::2], np.clip(swr[:, ::2], 1, 50), FIRST),
            Part(ax, "text", np.array([aim]), np.array([4.65]), pen, (f"aim {said} ",) * len(dip)),
            Part(ax, "dots", column(f[best]), swr[np.arange(len(swr)), best][:, None], FIRST),
            Part(
                ax,
                "text",
                column(np.clip(dip, low, high)),
                np.full((len(dip), 1), (1 + UNDER) / 2),
                replace(FIRST, size=1.4, bold=True),
                tuple(f"{one:.2f}" for one in dip),
            ),
        ]
    return parts
