"""A half-wave dipole at many heights at once: the height view's physics, quick enough to redraw at once."""

from functools import lru_cache

import numpy as np

from antlab.engine.dipole import Dipole
from antlab.engine.pattern import Pattern
from antlab.engine.shapes import FlatTop
from antlab.physics.ground import reflection_horizontal
from antlab.physics.lengths import mutual_impedance, rule_length_m
from antlab.units import (
    Slip,
    check_frequency,
    check_number,
    check_positive,
    decibels,
    warn_outside,
    wavelength_m,
)

LOWEST_M, HIGHEST_M = 2.0, 30.0
CHECKED_MHZ = 3.5, 30.0
FAINT_DB = 25.0
_POWERS, _ASKED = 3, 11


def half_wave_gain_dbi(elevation_deg, height_m, *, f_mhz, soil):
    """Gain broadside of a level half-wave dipole, for many heights at once.

    The wire: 468 / f feet, 2 mm copper. elevation_deg: (points,), degrees. height_m: (rows,), 2 to 30 metres.
    f_mhz: MHz. soil: a Soil, not FREE_SPACE. Returns dBi, (rows, points). Raises Slip
    for heights outside that range, bad frequencies and free space.
    Range of validity: within 0.1 dB of al.Dipole asked at each height, 3.5 to 30 MHz, very dry to sea water;
    warns outside.
    Source: direct and reflected plane wave, as Pattern; the power fed is the engine's at a few heights,
    carried to the others by the mutual impedance of wire and image.

    >>> from antlab.engine.heights import half_wave_gain_dbi
    >>> up, high = np.array([15.0, 30.0]), np.array([5.0, 10.0])
    >>> half_wave_gain_dbi(up, high, f_mhz=14.2, soil=al.soil("average")).round(1).tolist()
    [[-0.9, 3.6], [4.6, 7.0]]
    """
    h = _checked(height_m, f_mhz, soil)
    turn = (
        2
        * np.pi
        / wavelength_m(f_mhz)
        * h[:, None]
        * np.sin(np.radians(check_number("elevation_deg", elevation_deg)))
    )
    echo = reflection_horizontal(elevation_deg=elevation_deg, f_mhz=f_mhz, soil=soil)
    wave = np.abs(1 + echo * np.exp(-2j * turn)) ** 2
    return decibels(wave / (_mirror_terms(h, f_mhz, soil) @ _feed_of_height(f_mhz, soil)[0])[:, None])


def half_wave_resistance(height_m, *, f_mhz, soil):
    """Feed resistance of the same wire, for many heights at once.

    Arguments, Slip, warning and source as of half_wave_gain_dbi. Returns ohms, (rows,): within 0.5 %
    of al.Dipole asked at each height.

    >>> from antlab.engine.heights import half_wave_resistance
    >>> half_wave_resistance(np.array([5.0, 10.0]), f_mhz=14.2, soil=al.soil("average")).round().tolist()
    [76.0, 68.0]
    """
    h = _checked(height_m, f_mhz, soil)
    return _mirror_terms(h, f_mhz, soil) @ _feed_of_height(f_mhz, soil)[1]


def _checked(height_m, f_mhz, soil):
    """The heights, if the short cut holds for them; otherwise it says so."""
    h = check_positive("height_m", height_m, unit="metres")
    if np.any((h < LOWEST_M) | (h > HIGHEST_M)):
        raise Slip(f"height_m goes from {LOWEST_M:g} to {HIGHEST_M:g} m here; al.Dipole takes any height")
    if soil.is_empty:
        raise Slip("in free space there is no ground to be high above; choose a soil")
    warn_outside("the height view's short cut", "f_mhz", check_frequency(f_mhz), *CHECKED_MHZ, unit="MHz")
    return h


def _mirror_terms(height_m, f_mhz, soil):
    """What the power fed depends on: the wire alone, and the echo. Shape (rows, 1 + 2 · _POWERS).

    Over a mirror the echo is the mutual impedance of the wire and its image. Soil weakens and turns it, near
    the ground more than high up: a short series in wavelengths over height.
    """
    away = reflection_horizontal(elevation_deg=90.0, f_mhz=f_mhz, soil=soil)
    echo = away * mutual_impedance(spacing_m=2 * height_m, f_mhz=f_mhz)
    terms = [np.ones_like(height_m)]
    for power in range(_POWERS):
        term = echo * (wavelength_m(f_mhz) / height_m) ** power
        terms += [term.real, term.imag]
    return np.stack(terms, axis=1)


@lru_cache(maxsize=64)
def _feed_of_height(f_mhz, soil):
    """Weights of the mirror terms for power fed and feed resistance, from the engine at some heights."""
    heights = np.geomspace(LOWEST_M, HIGHEST_M, _ASKED)
    leg = rule_length_m(f_mhz) / 2
    up = np.exp(-4j * np.pi / wavelength_m(f_mhz) * heights)
    wave = np.abs(1 + reflection_horizontal(elevation_deg=90.0, f_mhz=f_mhz, soil=soil) * up) ** 2
    found = [Dipole(inner_m=leg, shape=FlatTop(height_m=one), soil=soil).solution(f_mhz) for one in heights]
    power = wave / 10 ** (np.array([Pattern(one).gain_dbi(90.0) for one in found]) / 10)
    terms = _mirror_terms(heights, f_mhz, soil)

    def weights(value):
        return np.linalg.lstsq(terms / value[:, None], np.ones(_ASKED), rcond=None)[0]

    return weights(power), weights(np.array([float(one.impedance.real) for one in found]))


def lobe_figures(elevation_deg, gain_dbi):
    """Takeoff angle, half-power edges and number of lobes, as al.Pattern finds them, for many rows.

    elevation_deg: evenly spaced from 0 to 90. gain_dbi: (rows, points), the same on the other side of 90.
    Returns takeoff, low edge and high edge in degrees and the count, each (rows,). Nothing is refused.
    A lobe more than FAINT_DB below the strongest, which nobody would hear or see, is not counted.
    Source: as Pattern.lobes and Pattern.beamwidth_deg, against which it is tested.

    >>> from antlab.engine.heights import half_wave_gain_dbi, lobe_figures
    >>> up = np.arange(0.0, 91.0)
    >>> gain = half_wave_gain_dbi(up, np.array([10.0]), f_mhz=14.2, soil=al.soil("average"))
    >>> takeoff, low_edge, high_edge, count = lobe_figures(up, gain)
    >>> round(float(takeoff[0])), int(count[0])
    (29, 1)
    """
    step = elevation_deg[1] - elevation_deg[0]
    both = np.concatenate([gain_dbi, gain_dbi[:, -2::-1]], axis=1)
    left, middle, right = both[:, :-2], both[:, 1:-1], both[:, 2:]
    peak = ((middle > left) & (middle >= right))[:, : len(elevation_deg) - 1]
    with np.errstate(invalid="ignore", divide="ignore"):
        shift = (left - right) / (2 * (left - 2 * middle + right))
        top = np.where(peak, (middle - (left - right) * shift / 4)[:, : peak.shape[1]], -np.inf)
    best = top.max(axis=1, keepdims=True)
    at = np.argmax(top > best - 0.01, axis=1)
    rows = np.arange(len(both))
    takeoff = elevation_deg[at + 1] + shift[rows, at] * step
    above = both - (best - 10 * np.log10(2))
    place = np.arange(both.shape[1])
    lower = np.where((above < 0) & (place < (at + 1)[:, None]), place, -1).max(axis=1)
    upper = np.where((above < 0) & (place > (at + 1)[:, None]), place, place[-1] + 1).min(axis=1)

    def edge(outside, inside, horizon):
        there = (outside >= 0) & (outside < len(place))
        a, b = above[rows, inside], above[rows, np.clip(outside, 0, place[-1])]
        with np.errstate(invalid="ignore", divide="ignore"):  # where no edge is there
            share = a / (a - b)  # 0 beside a dead direction
        return np.where(there, (inside + share * (outside - inside)) * step, horizon)

    count = (top >= best - FAINT_DB).sum(axis=1)
    return takeoff, edge(lower, lower + 1, 0.0), edge(upper, upper - 1, 180.0), count
