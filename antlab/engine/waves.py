"""The wave that a level half-wave dipole sends over the ground, for every height at once.

Broadside, in the plane that cuts the wire at its feed, the electric field has the wire's direction, and the
shape of the current hardly depends on the height. So E(y, z; h) = c(h) (D(y, z - h) + M(y, z + h)): what the
wire sends, what the ground sends after it, and the current for the power fed. Both tables are made once.
"""

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from antlab.engine.dipole import Dipole
from antlab.engine.fields import fields
from antlab.engine.heights import HIGHEST_M, half_wave_resistance
from antlab.engine.shapes import FlatTop
from antlab.physics.bands import FREE_SPACE, Soil
from antlab.physics.lengths import rule_length_m
from antlab.units import ETA0_OHM, Slip, wavelength_m

STEP_M = 0.75
ACROSS, UP = 107, 107  # points to one side and upwards, the first in the middle and on the ground: 80 m
LOWEST, HIGHEST = 4, int(HIGHEST_M / STEP_M)  # steps up to the wire: from 3 m, out of reach
_FINE_M = 0.2  # between entries of a table over distance
_USUAL_M = 6.0  # the height whose current is taken for all


@dataclass(frozen=True, kw_only=True, eq=False)
class WaveTables:
    """The field of a wire at any height, in steps of STEP_M. Complex, rms, V/m per ampere at the feed.

    direct: what the wire sends, shape (UP, ACROSS): steps above or below it, steps to the side. On the wire
    itself it is that of the nearest point. echo: what the ground sends after it, shape (UP + HIGHEST,
    ACROSS): steps above the ground and of the wire together, steps to the side; below LOWEST no wire hangs,
    and it is zero. amps: at the feed for 1 W, shape (HIGHEST + 1,), by steps up to the wire, NaN below that.

    >>> from antlab.engine.waves import LOWEST, wave_tables
    >>> amps = wave_tables(14.2, al.soil("average")).amps
    >>> len(amps), bool(np.isnan(amps[LOWEST - 1])), round(float(amps[14]), 2)
    (41, True, 0.12)
    """

    direct: np.ndarray
    echo: np.ndarray
    amps: np.ndarray


@lru_cache(maxsize=4)
def wave_tables(f_mhz: float, soil: Soil):
    """Make the tables for one band and soil.

    f_mhz: MHz, one number. soil: a Soil, not FREE_SPACE. Returns WaveTables. The wire, Slip and warning are
    those of half_wave_gain_dbi. Range of validity: within 2 % of the strongest field shown (times the root of
    the distance) of Dipole.fields, from one step off the wire on; farther out than Dipole.fields is checked,
    the images' error is in it. Source: see above.

    >>> from antlab.engine.waves import wave_tables
    >>> tables = wave_tables(14.2, al.soil("average"))
    >>> tables.direct.shape, tables.echo.shape
    ((107, 107), (147, 107))
    """
    if soil.is_empty:
        raise Slip("in free space there is no ground for the wave to run over; choose a soil")
    steps = np.arange(LOWEST, HIGHEST + 1)
    amps = np.full(HIGHEST + 1, np.nan)
    amps[LOWEST:] = half_wave_resistance(STEP_M * steps, f_mhz=f_mhz, soil=soil) ** -0.5
    leg = rule_length_m(f_mhz) / 2
    wire = Dipole(inner_m=leg, shape=FlatTop(height_m=_USUAL_M), soil=soil).solution(f_mhz)
    step = STEP_M * np.arange(UP + HIGHEST)
    # What the wire sends depends on the distance alone.
    away = np.hypot(step[:ACROSS], step[:UP, None]).clip(STEP_M)
    near = np.arange(STEP_M, away.max() + _FINE_M, _FINE_M)
    alone = replace(wire, soil=FREE_SPACE)
    sent = fields(alone, np.stack([0 * near, near, np.full(len(near), _USUAL_M)]))[0][0]
    echo = np.zeros((UP + HIGHEST, ACROSS), complex)
    echo[LOWEST:] = _echoed(wire, step[:ACROSS], step[LOWEST:])
    return WaveTables(direct=np.interp(away, near, sent), echo=echo, amps=amps)


def _echoed(wire, y_m, up_m):
    """What the ground sends, E along the wire, at distances aside and heights of point and wire together.

    wire: its Solution. y_m: (m,), up_m: (n,). Returns V/m per ampere at the feed, shape (n, m).
    Source: as fields, for points at the same distance from both legs. The images' kernels are tables over the
    distance along the ground, from which each piece of the wire takes its own.
    """
    k = 2 * np.pi / float(wavelength_m(wire.f_mhz))
    x, triangles, slopes = wire.mesh.samples
    moment, charge = triangles @ wire.current[:-1], slopes @ wire.current[:-1]
    along = np.hypot(y_m, x[:, None]) / _FINE_M
    left = along.astype(int)
    flat = _FINE_M * np.arange(left.max() + 2)
    hands = np.zeros((2, len(flat), len(y_m)), complex)  # who takes how much from where in the tables
    where = np.broadcast_to(np.arange(len(y_m)), left.shape)
    for hand, amount in zip(hands, (k * k * moment, -x * charge), strict=True):
        np.add.at(hand, (left, where), amount[:, None] * (left + 1 - along))
        np.add.at(hand, (left + 1, where), amount[:, None] * (along - left))
    tables = np.zeros((2, len(up_m), len(flat)), complex)
    for depth, level, of_charge, *_ in zip(wire.images[0][0], *wire.images[0][1], strict=True):
        r2 = flat**2 + (up_m[:, None] - 1j * depth) ** 2
        r = np.sqrt(r2)
        g = np.exp(-1j * k * r) / (4 * np.pi * r)
        tables[0] += level * g
        tables[1] -= of_charge * (1 + 1j * k * r) / r2 * g
    return 2 * ETA0_OHM / (1j * k) * (tables @ hands).sum(axis=0)
