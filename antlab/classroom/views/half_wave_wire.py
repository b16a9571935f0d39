"""A wire of about half a wave: current and voltage along it, and where its SWR dips."""

from dataclasses import replace
from functools import lru_cache

import numpy as np
from numpy.polynomial.chebyshev import chebvander

from antlab.antenna.design import vertex
from antlab.classroom.drawing.axes import em_of, label, two_axes
from antlab.classroom.drawing.looks import EARTH, GREY, quiet, small, stroke
from antlab.classroom.drawing.parts import FIRST, SECOND, Handle, Part, Pen, Scene, column, words
from antlab.classroom.drawing.signs import SIGN, wire
from antlab.classroom.views.knots import Between
from antlab.classroom.views.player import Slider, view
from antlab.classroom.views.shared import ohms
from antlab.engine.dipole import Dipole
from antlab.engine.shapes import FlatTop
from antlab.physics import circuit
from antlab.physics.bands import BANDS, FREE_SPACE, band
from antlab.units import wavelength_m

WIRES_MM = (0.5, 1.0, 2.0, 4.0)
FAR, LAWN = "far from all", "7.5 m (25 ft) up"  # short, so that their list shows all of them
HANGS = {FAR: {"soil": FREE_SPACE}, LAWN: {"shape": FlatTop(height_m=7.5)}}
TURNS = "Current and voltage are largest a quarter of a swing apart."
KNOTS = 5, 11  # of the length, of the frequency
ASIDE = 0.22  # how far from the middle frequencies go
SWEPT, DRAWN = 1761, 11  # how many they are, and how many there are to a point of the curve
WORST = 5.0  # the largest SWR that is drawn
OFF = 0.95  # of the middle frequency: where a dip is lower, its line has its name at the upper end
LARGE = 1.5  # how much larger than other type marks are


def _about_half_a_wave(f_mhz, wire_mm, hangs):
    whole = float(wavelength_m(f_mhz))
    step = round(whole / 1000, 2)  # so that a length can be cut as it is read
    start, stop = (round(step * round(share * whole / step), 2) for share in (0.42, 0.58))
    return [
        Slider(
            "Length", "m", start, stop, round((stop - start) / step) + 1, 0.5 * whole, digits=2, shares=True
        )
    ]


@view(_about_half_a_wave, f_mhz=(3.6, 7.1, 14.2, 21.2, 28.4), wire_mm=WIRES_MM, hangs=tuple(HANGS),
      size=((9.0, 4.6), (3.9, 4.8), (4.68, 4.95)), work="trimming", turn_s=4.0,
      instants=((0.0, 0.25),))  # fmt: skip
def half_wave_wire(fig, length_m, *, f_mhz=14.2, wire_mm=2.0, hangs=FAR):
    """A wire of about half a wave."""
    k = 2 * np.pi / wavelength_m(f_mhz)
    place = np.linspace(-0.5, 0.5, 81) * length_m[:, None]
    inward = k * (length_m[:, None] / 2 - np.abs(place))
    current = np.sin(inward) / np.max(np.sin(inward), axis=1, keepdims=True)
    voltage = np.sign(place) * np.cos(inward)
    over, z = _swept(f_mhz, wire_mm, hangs, length_m)
    swr, here = circuit.swr(z, 50), z[:, SWEPT // 2]
    dip_mhz, least = _lowest(over, swr), swr.min(axis=1)
    wide_mhz = (swr <= 2).sum(axis=1) * (over[1] - over[0])
    off = 100 * (length_m * k / np.pi - 1)
    says = [
        f"{_off(a).capitalize()}, {hangs}. On {f_mhz} MHz: {ohms(b)}, SWR {c:.1f}\n"
        f"Lowest {d:.1f} at {e:.2f} MHz, 2 or less over {f:.2f} MHz. {TURNS}"
        for a, b, c, d, e, f in zip(off, here, swr[:, SWEPT // 2], least, dip_mhz, wide_mhz, strict=True)
    ]
    alt = (
        "Along the wire the current is largest at the feed and nothing at the ends, the voltage the other "
        "way round, a quarter of a swing later. Beside it the SWR against frequency: one dip, lower in "
        "frequency for a longer wire."
    )
    edge = 0.33 * wavelength_m(f_mhz)
    along, sweep = two_axes(fig, _WIRE | {"x": (-edge, edge)}, _SWR | {"x": over[[0, -1]]})
    parts = _wire(along, place, current, voltage, length_m, here.imag, off)
    parts += _dip(sweep, over[::DRAWN], swr[:, ::DRAWN], dip_mhz, least, wide_mhz, f_mhz)
    return Scene(parts, says, alt, handles=[Handle("length_m", along, length_m / 2, 0.0)])


def _off(percent):
    """How far from half a wave, in words."""
    return (
        f"{abs(percent):.1f} % {'long' if percent > 0 else 'short'}" if abs(percent) > 0.05 else "half a wave"
    )


def _lowest(f_mhz, swr):
    """Where the dip of each row is lowest: by the parabola through the lowest point and those beside it."""
    at = swr.argmin(axis=1).clip(1, len(f_mhz) - 2)
    off = [vertex(row[i - 1 : i + 2])[0] for row, i in zip(swr, at, strict=True)]
    return f_mhz[at] + (f_mhz[1] - f_mhz[0]) * np.array(off)


_WIRE = {"y": (-1.15, 2.7), "xlabel": "along the wire, m", "yticks": [], "margins_em": (0.9, 1.2, 0.6, 3.4)}
_SWR = {
    "y": (1, 13), "xlabel": "frequency, MHz", "yscale": "log", "yticks": [1, 1.5, 2, 3, 5],
    "yticklabels": ["1", "1.5", "2", "3", "5"], "margins_em": (2.4, 1.2, 0.6, 3.4),
}  # fmt: skip


@lru_cache(maxsize=32)
def _feed(f_mhz, wire_mm, hangs):
    """The engine's ohms at the feed at a few frequencies, between knots of the length."""
    few_mhz = f_mhz * (1 + ASIDE * _PLACES)

    def solve(length_m):
        return Dipole(inner_m=length_m / 2, wire_diameter_mm=wire_mm, **HANGS[hangs]).impedance(few_mhz)

    return Between(solve, _about_half_a_wave(f_mhz, wire_mm, hangs), KNOTS[:1])


_PLACES = np.cos(np.pi * (np.arange(KNOTS[1]) + 0.5) / KNOTS[1])


def _swept(f_mhz, wire_mm, hangs, length_m):
    """The engine's ohms at the feed over a sweep; length_m: (rows,). Returns f_mhz and (rows, SWEPT)."""
    steps = np.linspace(-1, 1, SWEPT)
    between = np.linalg.solve(chebvander(_PLACES, KNOTS[1] - 1).T, chebvander(steps, KNOTS[1] - 1).T)
    return f_mhz * (1 + ASIDE * steps), _feed(f_mhz, wire_mm, hangs)(length_m) @ between


def _wire(ax, place_m, current, voltage, length_m, reactance_ohm, off):
    """Current and voltage along the wire, the reactance at its feed, and how far it is off half a wave.

    place_m, current, voltage: (rows, points), the last two as shares of their largest. off: per cent. The
    rest (rows,). Returns the parts.
    """
    ax.grid(visible=False)
    half = column(length_m) / 2
    zero, edge, mark = np.zeros_like(half), ax.get_xlim()[1], replace(FIRST, bold=True, size=LARGE)
    shown = tuple(f"X = {x:+.0f} Ω".replace("-", "−") if abs(x) > 0.5 else "X = 0 Ω" for x in reactance_ohm)
    return [
        # How far they swing, and where they are: what has run to the ends stands there a quarter turn later.
        *(Part(ax, "line", place_m, up * current, replace(FIRST, width=0.4)) for up in (1, -1)),
        *(Part(ax, "line", place_m, up * voltage, replace(SECOND, width=0.4)) for up in (1, -1)),
        Part(ax, "line", place_m, current.astype(complex), replace(FIRST, fill=0.13)),
        Part(ax, "line", place_m, -1j * voltage, SECOND),
        *wire(ax, (0, 0), (half, 0), size=SIGN),
        *words(ax, zero - 0.1 * edge, zero + 1.22, "current", FIRST),
        *words(ax, half * 0.92, zero + 1.22, "voltage", SECOND),
        Part(ax, "text", zero, zero + 2.4, mark, shown),
        Part(ax, "text", zero, zero + 1.77, mark, tuple(map(_off, off))),
    ]


def _dip(ax, f_mhz, swr, dip_mhz, least, wide_mhz, wanted_mhz):
    """The SWR over the sweep, where it dips, and the band that is meant; swr: (rows, points).

    dip_mhz, least, wide_mhz (of SWR 2 or less): (rows,). Returns the parts.
    """
    meant = [one for one in map(band, BANDS) if one.low_mhz <= wanted_mhz <= one.high_mhz]
    ax.minorticks_off()
    for one in meant:
        ax.axvspan(one.low_mhz, one.high_mhz, ymax=0.63, color=EARTH, zorder=0)
    ax.plot([wanted_mhz] * 2, [1, WORST], color=GREY, linewidth=stroke(0.4))
    ax.axhline(2, color=GREY, linewidth=stroke(0.4))
    label(ax, wanted_mhz, 1.1, f" {wanted_mhz} MHz", ha="left", va="center", fontsize=small())
    aside = np.where(dip_mhz < OFF * wanted_mhz, 0, -1)  # the end of its line that the dip is not at
    named = f_mhz[[-1, 0]] + 1.9 * em_of(ax) * np.array([-1, 1])
    middle, mark = column(0 * dip_mhz + wanted_mhz), replace(FIRST, bold=True, size=LARGE)
    said = (10.4, "dip {:.2f} MHz", dip_mhz), (6.8, "{:.2f} MHz wide", wide_mhz)
    return [
        Part(ax, "line", f_mhz, np.where(swr > 1.1 * WORST, np.nan, swr), FIRST),
        Part(ax, "dots", column(dip_mhz), column(least), FIRST),
        Part(
            ax,
            "text",
            column(named[aside]),
            0 * middle + 1.72,
            Pen(quiet(), size=0.96),
            ("SWR 2",) * len(least),
        ),
        *(
            Part(ax, "text", middle, 0 * middle + up, mark, tuple(map(form.format, values)))
            for up, form, values in said
        ),
    ]
