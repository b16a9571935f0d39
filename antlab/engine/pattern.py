"""Currents into the far field: gain, lobes, takeoff angle, beamwidth."""

from functools import cached_property, lru_cache

import numpy as np

from antlab.physics.ground import check_elevation, reflections
from antlab.units import ETA0_OHM, broadcasts, check_number, wavelength_m

_STEP_DEG = 0.25  # elevations looked at when lobes are searched for
_SAME_DB = 0.01  # lobes that differ by less count as equally strong


class Pattern:
    """Where the power goes, at one frequency.

    Made by Dipole.pattern(f_mhz). Elevation counts from the horizon, azimuth from the line of the wire, so
    that 90 is broadside. Gain is 4 pi radiation intensity / power fed, in dB over an isotropic radiator.
    Source: C. A. Balanis, Antenna Theory, 3rd ed. 2005, sections 2.7, 4.7 and 4.8 (sections from memory);
    IEEE Std 145 for the terms.

    >>> pattern = al.Dipole(inner_m=5.1, shape=al.FlatTop(height_m=10.5)).pattern(14.2)
    >>> round(pattern.takeoff_deg), round(float(pattern.gain_dbi(28)), 1)
    (28, 7.3)
    """

    def __init__(self, solution):
        """solution: a Solution at one frequency."""
        self.f_mhz, self._soil, self._mesh = float(solution.f_mhz), solution.soil, solution.mesh
        self._k = 2 * np.pi / float(wavelength_m(self.f_mhz))
        self._where, weights, _ = self._mesh.samples
        self._moment = weights @ solution.current[:-1]
        self._scale = self._k**2 * ETA0_OHM / (4 * np.pi * float(solution.impedance.real))

    @broadcasts
    def gain_dbi(self, elevation_deg, azimuth_deg=90):
        """Gain in a direction, both polarisations together.

        elevation_deg: degrees from the horizon, 0 to 180 (beyond 90: the other side), in free space from -90;
        azimuth_deg: degrees from the wire; both broadcast. Returns dBi, broadcast shape; minus infinity where
        nothing arrives. Raises Slip for elevations below the ground.
        Exact far away over flat ground, for the current that the engine found. Source: direct wave, and the
        one reflected by ground.reflections, summed over the wire.
        """
        with np.errstate(divide="ignore"):
            return 10 * np.log10(self._gain(elevation_deg, azimuth_deg))

    def _gain(self, elevation_deg, azimuth_deg):
        elevation = check_elevation(elevation_deg, lowest=-90 if self._soil.is_empty else 0)
        azimuth = check_number("azimuth_deg", azimuth_deg, unit="degrees")
        shape = np.broadcast(elevation, azimuth).shape
        up, round_ = np.radians(elevation), np.radians(azimuth)
        s, c = np.sin(up)[..., None], np.cos(up)[..., None]
        cos_az, sin_az = np.cos(round_)[..., None], np.sin(round_)[..., None]
        mesh, k = self._mesh, self._k
        along = k * mesh.along * self._where * c * cos_az
        # an even current: the two legs' x parts add, their z parts subtract
        level = 2 * mesh.along * self._moment * np.cos(along)
        if mesh.droop:
            sloping = -2j * mesh.droop * self._moment * np.sin(along)
            direct = np.exp(1j * k * (mesh.top_m - mesh.droop * self._where) * s)
        else:
            level, sloping = level.sum(-1, keepdims=True), np.zeros(1)
            direct = np.exp(1j * k * mesh.top_m * s)
        if self._soil.is_empty:
            horizontal = vertical = 0.0
        else:  # below 0 only in free space, so here the elevations suit the reflection coefficients
            horizontal, vertical = reflections(elevation_deg=elevation, f_mhz=self.f_mhz, soil=self._soil)
        # what leaves the wire upwards and, by way of the ground, downwards
        up_x, down_x = _summed(level, direct), _summed(level, direct.conj())
        up_z, down_z = _summed(sloping, direct), _summed(sloping, direct.conj())
        s, c, cos_az, sin_az = (part[..., 0] for part in (s, c, cos_az, sin_az))
        flat = sin_az * (up_x + horizontal * down_x)
        bent = -s * cos_az * (up_x - vertical * down_x) + c * (up_z + vertical * down_z)
        return np.broadcast_to(self._scale * (np.abs(flat) ** 2 + np.abs(bent) ** 2), shape)[()]

    def _cut(self, azimuth_deg):
        """Gain from horizon to horizon, through the zenith."""
        elevation = np.arange(0, 180 + _STEP_DEG, _STEP_DEG)
        half = self.gain_dbi(elevation[: len(elevation) // 2 + 1], azimuth_deg)  # alike on both sides
        return elevation, np.concatenate([half, half[-2::-1]])

    def lobes(self, azimuth_deg=90):
        """Directions in which the gain peaks, from the horizon up; one overhead counts once.

        azimuth_deg: degrees from the wire, one number. Returns a list of (elevation_deg, gain_dbi), from 0
        to 90. Raises Slip for NaN. Lobes nearer than half a degree are one: looked for in steps of a
        quarter, then by a parabola. Where the gain is the same in every direction (a straight wire in free
        space, broadside) the list holds the horizon alone.
        """
        elevation, gain = self._cut(azimuth_deg)
        top = len(elevation) // 2
        if np.ptp(gain) < _SAME_DB:
            return [(0.0, float(gain[0]))]
        before = np.r_[-np.inf if not self._soil.is_empty else gain[1], gain[:top]]
        peaks = np.flatnonzero((gain[: top + 1] > before) & (gain[: top + 1] >= gain[1 : top + 2]))
        return [_summit(elevation, gain, i) for i in peaks]

    @cached_property
    def takeoff_deg(self):
        """Elevation of the strongest lobe broadside, degrees; of equals (0.01 dB), the lowest."""
        return self._strongest(90)[0]

    def _strongest(self, azimuth_deg):
        """Elevation and gain of the strongest lobe; of equals (0.01 dB), the lowest one's elevation."""
        lobes = self.lobes(azimuth_deg)
        best = max(gain for _, gain in lobes)
        return next(elevation for elevation, gain in lobes if gain > best - _SAME_DB), best

    def beamwidth_deg(self, azimuth_deg=90):
        """Half-power edges of the strongest lobe.

        azimuth_deg: degrees from the wire, one number. Returns (low edge, high edge), elevations in degrees;
        the high edge of a lobe that covers the zenith lies beyond 90. An edge that is not reached before the
        horizon is given as the horizon, 0 or 180. Raises Slip for NaN. Source: half-power beamwidth,
        IEEE Std 145.
        """
        peak, best = self._strongest(azimuth_deg)
        elevation, gain = self._cut(azimuth_deg)
        above = gain - (best - 10 * np.log10(2))
        start = int(round(peak / _STEP_DEG))

        def edge(step, horizon):
            i = start
            while 0 <= i + step < len(above):
                if above[i + step] < 0:
                    share = above[i] / (above[i] - above[i + step])  # 0 beside a dead direction
                    return float(elevation[i] + share * step * _STEP_DEG)
                i += step
            return horizon

        return edge(-1, 0.0), edge(1, 180.0)

    @cached_property
    def sky_fraction(self):
        """Share of the power fed that leaves for the sky; the rest warms the soil, the wire and the traps.

        No unit, 0 to 1. In free space "the sky" is all around. Equal to 1 without loss, over perfect ground
        and in free space: what comes out is what went in.
        """
        x, weight = _gauss(64)
        if not self._soil.is_empty:  # above the ground alone
            x, weight = (x + 1) / 2, weight / 2
        azimuth = np.linspace(0, 90, 17)  # the pattern repeats in every quadrant
        share = np.full(17, 1 / 16)
        share[[0, -1]] /= 2
        gain = self._gain(np.degrees(np.arcsin(x))[:, None], azimuth)
        return float(weight @ gain @ share / 2)


@lru_cache(maxsize=4)
def _gauss(count):
    """Points and weights of Gauss's rule."""
    return np.polynomial.legendre.leggauss(count)


def _summed(current, phase):
    """Contributions of all pieces of the wire together, by the last axis."""
    return np.einsum("...p,...p->...", current, phase)


def _summit(elevation_deg, gain, i):
    """Top of the parabola through a peak of the table and its two neighbours."""
    left, middle, right = gain[max(i - 1, 0)], gain[i], gain[i + 1]
    bend = left - 2 * middle + right
    shift = (left - right) / (2 * bend) if i and np.isfinite(bend) and bend < 0 else 0.0
    top = middle - (left - right) * shift / 4 if shift else middle
    return float(elevation_deg[i] + shift * _STEP_DEG), float(top)
