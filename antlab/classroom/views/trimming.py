"""What folding back does: the measured sweep, and where its dips go as the hand folds the wires."""

from dataclasses import replace
from functools import lru_cache

import numpy as np

from antlab.antenna.bench import Trimming
from antlab.antenna.touchstone import Sweep, read_sweep
from antlab.classroom import fieldday
from antlab.classroom.course import course
from antlab.classroom.drawing.axes import em_of, label, legend, two_axes
from antlab.classroom.drawing.looks import GREY, small, stroke
from antlab.classroom.drawing.parts import FIRST, THIRD, Handle, Part, Scene, column
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
REACH, POINTS = 0.04, 161  # of each band: to either side of its aim, and frequencies


@lru_cache(maxsize=1)
def example():
    """The log and the first sweep of the running example."""
    aims = {name: fieldday.AIMS[name] for name in ("low_mhz", "high_mhz")}
    log = Trimming(dipole=fieldday.planned().dipole, **aims)
    return log, read_sweep(course() / "notebooks" / "data" / "antenna-1.s1p")


def _around(aims_mhz):
    """Frequencies about each aim, shape (aims, POINTS)."""
    return np.multiply.outer(aims_mhz, np.linspace(1 - REACH, 1 + REACH, POINTS))


@lru_cache(maxsize=4)
def _solved(log, sweep):
    """Impedance about both aims as the wires are folded back."""
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
    example's first sweep, or a Trimming and a Sweep of your own.
    """
    if log is None and sweep is None:
        log, sweep = example()
    if not isinstance(log, Trimming) or not isinstance(sweep, Sweep):
        raise Slip("give both: log, a Trimming, and sweep, what read_sweep made of your file")
    swr = circuit.swr(passive(_solved(log, sweep)(inner_cm, outer_cm)), log.z0_ohm)
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
        fig, *({"x": f[[0, -1]], "y": (1, 5), "xlabel": f"{name}, MHz", "ylabel": "SWR",
                "yticks": [1, 2, 3, 4, 5]} for name, _, f, _, _ in bands)
    )  # fmt: skip
    measured, parts = replace(THIRD, width=0.8), []
    for ax, (_, aim, f, swr, sweep) in zip(axes, bands, strict=True):
        legend(ax, measured=measured, folded=FIRST)
        ax.axvline(aim, color=GREY, linewidth=stroke(0.4))
        label(ax, aim, 4.75, " aim", ha="left", va="center", fontsize=small())
        low, high = np.array(ax.get_xlim()) + 4.5 * em_of(ax) * np.array([1, -1])
        best, dip = np.argmin(swr, axis=1), _lowest(f, swr)
        parts += [
            Part(ax, "line", sweep.f_mhz, np.clip(sweep.swr, 1, 50), measured),
            Part(ax, "line", f[::2], np.clip(swr[:, ::2], 1, 50), FIRST),
            Part(ax, "dots", column(f[best]), swr[np.arange(len(swr)), best][:, None], FIRST),
            Part(
                ax,
                "text",
                column(np.clip(dip, low, high)),  # between the arms of the curve
                np.full((len(dip), 1), 4.1),
                replace(FIRST, size=1.4, bold=True),
                tuple(f"{one:.2f} MHz" for one in dip),
            ),
        ]
    return parts
