"""The field around an antenna: how strong it is at most, at a distance from the wire and at a height.

It is greatest off the ends and the traps and in the bend of a vee, so that points are crowded there; farther
away it comes and goes with the waves. The legs are mirror images, and so are both sides of the wire: a
quarter is looked at. All is for 1 W fed: what a limit makes of it goes with the root of the power.
"""

from functools import lru_cache

import numpy as np

from antlab.engine.fields import fields
from antlab.engine.pattern import Pattern
from antlab.units import wavelength_m

NEAREST_M, NEAREST_TRAP_M = 0.1, 0.3  # closer, the field is not asked: a trap is no point
_STEP, _STEP_WAVES = 1.4, 1 / 12  # from one distance to the next: as a ratio, and at most in wavelengths
# where points are crowded: off a hot spot, in distances from the wire
_OFF = np.array([0.3, 0.7, 1.2, 2, 4, 8])
_MISSED = 1.05  # what may lie between the points, as a ratio of fields


@lru_cache(maxsize=32)
def surroundings(dipole, f_mhz):
    """The Surroundings of a dipole at one frequency, kept from one call to the next.

    dipole: a Dipole. f_mhz: MHz, one number, checked.

    >>> from antlab.antenna.surroundings import surroundings
    >>> dipole = al.Dipole(inner_m=10.05, shape=al.FlatTop(height_m=9))
    >>> surroundings(dipole, 7.1) is surroundings(dipole, 7.1)
    True
    """
    return Surroundings(dipole, f_mhz)


class Surroundings:
    """The largest fields of 1 W around a dipole.

    dipole: a Dipole. f_mhz: MHz, one number. lowest_m, top_m: of the wire, metres. nearest_m: what lies
    closer to the wire counts as over any limit, since it is not asked.

    >>> from antlab.antenna.surroundings import surroundings
    >>> around = surroundings(al.Dipole(inner_m=10.05, shape=al.FlatTop(height_m=9)), 7.1)
    >>> near, far = (around.at_distance(distance) for distance in (0.5, 1.0))
    >>> bool(np.all(near > 1.9 * far))
    True
    """

    def __init__(self, dipole, f_mhz):
        self._solution = dipole.solution(f_mhz)
        self._mesh = mesh = self._solution.mesh
        self._wave, self._open = float(wavelength_m(f_mhz)), dipole.soil.is_empty
        self._scale = 1 / np.sqrt(self._solution.impedance.real)
        self._length, self.top_m = float(mesh.nodes_m[-1]), float(mesh.top_m)
        self.lowest_m = self.top_m - mesh.droop * self._length
        self.nearest_m = NEAREST_TRAP_M if len(mesh.at_traps) else NEAREST_M
        self._hot = np.r_[0, mesh.nodes_m[mesh.coarse[mesh.at_traps]], self._length]
        self._found = {}

    def at(self, where_m):
        """E and H at points: V/m and A/m, rms, shape (2, p); infinite in the wire. where_m: shape (3, p)."""
        in_wire = self._mesh.distance_m(where_m) <= self._mesh.radius_m
        where_m = np.where(in_wire, [[0.0], [0.0], [self.top_m + 1]], where_m)
        strength = self._scale * np.sqrt((np.abs(fields(self._solution, where_m)) ** 2).sum(axis=1))
        return np.where(in_wire, np.inf, strength)

    def at_distance(self, distance_m):
        """The largest E and H at a distance from the wire, above the ground: V/m and A/m, shape (2,)."""
        return self._largest(self._shell, distance_m)

    def at_height(self, height_m):
        """The largest E and H at a height: V/m and A/m, shape (2,); infinite where the wire is as high."""
        if self.lowest_m <= height_m <= self.top_m:
            return np.full(2, np.inf)
        return self._largest(self._level, height_m)

    def distance_m(self, limits):
        """The largest distance from the wire at which a limit is reached, nearest_m at the least.

        limits: of E and H at 1 W, V/m and A/m, shape (2,). Returns metres. Looked for from outside inwards:
        what is found first is the last.
        """
        outside = 1.25 * self._far_volts / limits[0]
        return self._edge(self.at_distance, limits, max(outside, self._wave / 8), np.inf)

    def clear_below_m(self, limits):
        """The height below which neither limit is reached anywhere; 0 if one is on the ground.

        limits: as above. Returns metres.
        """
        deepest = np.inf if self._open else self.lowest_m
        outside = min(self.distance_m(limits), deepest)
        return self.lowest_m - self._edge(
            lambda d: self.at_height(self.lowest_m - d), limits, outside, deepest
        )

    @property
    def _far_volts(self):
        """E times the distance in the strongest direction, far away: volts."""
        up, round_ = np.linspace(-90 if self._open else 0, 90, 46), np.linspace(0, 90, 10)
        return np.sqrt(30 * 10 ** (Pattern(self._solution).gain_dbi(up[:, None], round_).max() / 10))

    def _edge(self, strength, limits, outside_m, deepest_m):
        """The largest distance at which a limit is reached: inwards, in steps, then between two."""

        def share(distance):
            return _MISSED * (strength(distance) / limits).max()

        def further(place):
            return min(place + min((_STEP - 1) * place, _STEP_WAVES * self._wave), deepest_m)

        places = [min(self.nearest_m, deepest_m)]
        while places[-1] < min(outside_m, deepest_m):
            places.append(further(places[-1]))
        while (under := share(places[-1])) >= 1:  # not outside yet
            if places[-1] == deepest_m:
                return deepest_m
            places.append(further(places[-1]))
        inside, outside = None, places[-1]
        while places[:-1] and inside is None:
            places.pop()
            if (value := share(places[-1])) >= 1:
                inside, over = places[-1], value
            else:
                outside, under = places[-1], value
        if inside is None:
            return self.nearest_m
        for _ in range(2):
            between = _crossing(inside, over, outside, under)
            if (value := share(between)) >= 1:
                inside, over = between, value
            else:
                outside, under = between, value
        return _crossing(inside, over, outside, under)

    def _largest(self, points, value):
        key = points.__name__, float(value)
        if key not in self._found:
            self._found[key] = self.at(points(float(value))).max(axis=1)
        return self._found[key]

    def _stations(self, distance_m):
        """Places along a leg, crowded about the feed, the traps and the end."""
        far = distance_m > self._wave / 2
        step = min(self._wave / (6 if far else 12), self._length / 6)
        even = np.linspace(0, self._length, 1 + int(np.ceil(self._length / step)))
        crowd = distance_m * np.r_[-_OFF, 0, _OFF]
        return np.unique(np.clip(np.r_[even, (self._hot[:, None] + crowd).ravel()], 0, self._length))

    def _shell(self, distance_m):
        """Points at a distance from the wire: round it along the leg, about its end, at the bend of a vee."""
        mesh, lift = self._mesh, np.array([[0.0], [0.0], [self.top_m]])
        axis, above, aside = np.array([[mesh.along, 0, -mesh.droop], [mesh.droop, 0, mesh.along], [0, 1, 0]])
        turns = 5 + int(25 * min(distance_m, self.top_m) / self._wave)
        s, turn = self._stations(distance_m), np.linspace(-np.pi / 2, np.pi / 2, turns)
        up = np.sin(turn)
        if not self._open:  # no lower than the ground
            up = np.maximum(up, -(self.top_m - mesh.droop * s[:, None]) / (distance_m * mesh.along))
        up = np.broadcast_to(up, (len(s), turns)).ravel()
        beside = np.outer(above, up) + np.outer(aside, np.sqrt(1 - up**2))
        tube = np.outer(axis, np.repeat(s, turns)) + distance_m * beside
        tilts = 4 + turns // 2
        tilt, turn = np.repeat(np.linspace(0, np.pi / 2, tilts), turns), np.tile(turn, tilts)
        beside = np.outer(above, np.sin(turn)) + np.outer(aside, np.cos(turn))
        cap = self._length * axis[:, None] + distance_m * (
            np.outer(axis, np.cos(tilt)) + np.sin(tilt) * beside
        )
        where = np.concatenate([tube, cap, self._bend(distance_m, turns)], axis=1) + lift
        # not nearer to another part, and none of the bend's beyond the ends
        good = np.abs(mesh.distance_m(where) / distance_m - 1) < 1e-6
        return where[:, good & (self._open | (where[2] > -1e-9))]

    def _bend(self, distance_m, turns):
        """Points in the middle, under a vee and over it, as far from both legs."""
        mesh = self._mesh
        if not mesh.droop:
            return np.zeros((3, 0))
        turn = np.linspace(-np.pi / 2, np.pi / 2, 2 * turns)
        y, z = np.cos(turn), np.sin(turn)
        # below, the nearest point lies along the leg: then y^2 + (along z)^2 is the distance's square
        z = np.where(z < 0, z / mesh.along, z)
        crest = np.linspace(0, mesh.droop, 4)
        over = np.stack([crest, 0 * crest, np.sqrt(1 - crest**2)])
        return distance_m * np.concatenate([np.stack([0 * y, y, z]), over], axis=1)

    def _level(self, height_m):
        """Points at a height, around the wire and off its ends."""
        off = self.lowest_m - height_m if height_m < self.lowest_m else height_m - self.top_m
        beyond, reach = [0.0], 4 * off if off < self._wave / 10 else max(2 * off, self._wave / 2)
        while beyond[-1] < reach:
            beyond.append(beyond[-1] + min(max(0.3 * off, 0.4 * beyond[-1]), self._wave / 10))
        x = self._mesh.along * np.r_[self._stations(off), self._length + np.array(beyond[1:])]
        where = np.broadcast_arrays(x[:, None], np.array(beyond), height_m)
        return np.stack([one.ravel() for one in where])


def _crossing(inside, over, outside, under):
    """Where a share falls to 1 that falls with a power of the distance between two places."""
    return inside * (outside / inside) ** (np.log(over) / np.log(over / under))
