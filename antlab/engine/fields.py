"""Currents into the field near the wire: E and H at any point above the ground.

E = -jk eta A + (eta / jk) grad psi, H = curl A: A and psi are the potentials of the current and of its slope,
with the images that the solver had. Between two nodes the current is taken to be a sine, whose own field is
known in closed form (S. A. Schelkunoff and H. T. Friis, Antennas: Theory and Practice, 1952, ch. 10; from
memory, derived again): each node sends a wave as strong as the bend of the current there. So it holds close
to the wire, too. The images are no nearer to the ground than the wire, so that a few points carry them; their
derivatives are taken by hand.
"""

from functools import lru_cache

import numpy as np

from antlab.engine.mesh import rule
from antlab.units import ETA0_OHM, wavelength_m

CHECKED_FROM_M, CHECKED_WAVES = 0.05, 2.0  # off the wire; in wavelengths, over soil
_BLOCK = 512  # points at a time: what is worked on stays in the cache
_U4 = rule(4)[0]
_WAVES = 0.4  # wavelengths of wire that four points carry


def fields(solution, where_m):
    """Electric and magnetic field, per ampere at the feed.

    solution: a Solution at one frequency. where_m: x along the wire from the feed, y across, z up from the
    ground, metres, shape (3, p). Returns (E, H), V/m and A/m, complex, shape (2, 3, p).
    For the engine, which hands over points off the wire and above the ground: nothing is refused. Valid as
    Dipole.fields is. Source: K. A. Michalski and J. R. Mosig, IEEE Trans. AP-45 (1997) 508, and see above.

    >>> dipole = al.Dipole(inner_m=5.1, shape=al.FlatTop(height_m=10.5))
    >>> e, h = al.fields.fields(dipole.solution(14.2), np.array([[0.0], [0.0], [1.8]]))
    >>> e.shape, round(float(abs(e[0, 0])), 1)
    ((3, 1), 5.2)
    """
    k, bends, echoes = _senders(solution)
    found = np.zeros((2, *where_m.shape), dtype=complex)
    for start in range(0, where_m.shape[1], _BLOCK):
        at = slice(start, start + _BLOCK)
        found[:, :, at] = _direct(solution, k, bends, where_m[:, at])
        if echoes:
            found[:, :, at] += _echoed(k, *echoes, where_m[:, at])
    return found


@lru_cache(maxsize=8)
def _senders(solution):
    """The wave number, and what sends: the bends of the current, and its images."""
    k = 2 * np.pi / float(wavelength_m(solution.f_mhz))
    return k, _bends(solution, k), _echoes(solution, k)


def _bends(solution, k):
    """By how much the slope of a current made of sines changes at every node of a leg."""
    amps, angle = solution.current, k * np.diff(solution.mesh.nodes_m)
    after = k * (amps[1:] - amps[:-1] * np.cos(angle)) / np.sin(angle)
    before = k * (amps[1:] * np.cos(angle) - amps[:-1]) / np.sin(angle)
    return np.r_[after, 0] - np.r_[0, before]


def _direct(solution, k, bends, where_m):
    """What the two legs send straight to the points."""
    mesh, field = solution.mesh, np.zeros((2, *where_m.shape), dtype=complex)
    nodes = mesh.nodes_m
    for side in (1, -1):
        axis = np.array([side * mesh.along, 0, -mesh.droop])
        off = where_m - np.array([[0], [0], [mesh.top_m]])
        along = axis @ off
        off -= axis[:, None] * along
        aside = np.maximum(np.sqrt((off**2).sum(axis=0)), 1e-6)  # in line with the wire it has no side
        off /= aside
        r = np.sqrt((nodes - along[:, None]) ** 2 + aside[:, None] ** 2)
        wave = np.exp(-1j * k * r) / (4 * np.pi)
        lengthwise, moments = ((wave / r) @ np.stack([bends, nodes * bends], axis=1)).T
        amps = solution.current[0]  # they flow on into the other leg
        outward = moments - along * lengthwise + 1j * k * amps * wave[:, 0]
        round_ = 1j / k * (wave @ bends) + amps * along * wave[:, 0] / r[:, 0]
        field[0] += side * ETA0_OHM / (1j * k) * (axis[:, None] * lengthwise + off * outward / aside)
        field[1] += side * np.cross(axis, off, axis=0) * round_ / aside
    return field


def _echoes(solution, k):
    """The images: depths and strengths, and what both legs hand to the points that carry them."""
    ((depth, strength),) = solution.images
    if not len(depth):
        return ()
    mesh, length = solution.mesh, solution.mesh.nodes_m[-1]
    lowest = mesh.top_m - mesh.droop * length
    pieces = int(np.ceil(length / min(lowest, _WAVES * 2 * np.pi / k)))
    s, triangles, slopes = mesh.sampled(np.linspace(0, length, pieces + 1), _U4)
    moment, charge = triangles @ solution.current[:-1], slopes @ solution.current[:-1]
    x, z = mesh.along * np.r_[s, -s], mesh.top_m - mesh.droop * np.r_[s, s]
    level, upright = mesh.along * np.r_[moment, moment], mesh.droop * np.r_[-moment, moment]
    return tuple(zip(depth, *strength, strict=True)), x, z, level, upright, np.r_[charge, -charge]


def _echoed(k, images, x, z, level, upright, charge, where_m):
    """What the images send to the points."""
    e, h = np.zeros((2, *where_m.shape), dtype=complex)
    dx, y, up = where_m[0][:, None] - x, where_m[1], where_m[2][:, None] + z
    flat2 = dx * dx + (y * y)[:, None]
    sources = np.stack([level, upright, charge], axis=1)
    for depth, of_level, of_charge, of_upright, cross in images:
        dz = up - 1j * depth
        r2 = flat2 + dz * dz
        r = np.sqrt(r2)
        g = np.exp(-1j * k * r) / (4 * np.pi * r)
        g1 = -(1 + 1j * k * r) * g / r2  # g' / r: its gradient is (dx, y, dz) g1
        a_level, a_upright, _ = (g @ sources).T
        steep = g1 @ sources
        slope_x, slope_y, slope_z = (dx * g1) @ sources, y[:, None] * steep, (dz * g1) @ sources
        turn_x, turn_y = of_upright * slope_y[:, 1], of_upright * slope_x[:, 1]  # of the upright potential
        if cross:
            g2 = -(3 * g1 + k * k * g) / r2
            tilt = (dx * g2) @ level
            bent_x, bent_y = (dx * dx * g2) @ level + steep[:, 0], y * tilt
            if upright.any():
                bent_x += (dx * dz * g2) @ upright
                bent_y += y * ((dz * g2) @ upright)
            turn_x, turn_y = turn_x + 1j / k * cross * bent_y, turn_y + 1j / k * cross * bent_x
        potential = (
            of_level * a_level - 1j / k * cross * slope_x[:, 1],
            -1j / k * cross * slope_y[:, 1],
            of_upright * a_upright + 1j / k * cross * slope_x[:, 0],
        )
        slope = of_charge * np.stack([slope_x[:, 2], slope_y[:, 2], slope_z[:, 2]])
        e += ETA0_OHM / (1j * k) * (k * k * np.stack(potential) + slope)
        h += np.stack([turn_x, of_level * slope_z[:, 0] - turn_y, -of_level * slope_y[:, 0]])
    return e, h
