"""Wires, images and loads into currents: a mixed-potential moment method for an antenna with two equal legs.

Z_mn = j k eta <f_m, u G_A u' f_n> + (eta / jk) <f_m', G_phi f_n'>, Galerkin, thin wire: R^2 = r^2 + a^2.
Sources: R. F. Harrington, Field Computation by Moment Methods, 1968; K. A. Michalski and J. R. Mosig, IEEE
Trans. AP-45 (1997) 508 (potentials over a ground); images from images.soil_images.

Four things keep it quick. The current is even, so one leg is solved for. The 1/R and R parts of the kernel,
which are what is sharp, are integrated in closed form on a fine mesh once for a shape, along one line even
twice; all the rest is smooth and needs few points. What the ground sends back goes, on a level wire, with one
distance alone: it is reckoned at a few and carried over. And the unknowns are not the fine mesh's triangles
but the shapes that the wire itself takes between two coarse nodes at the middle of the band (condensation),
so that a few of them carry what the fine mesh knows.
"""

from functools import cached_property, lru_cache

import numpy as np

from antlab.engine.images import soil_images
from antlab.engine.mesh import against_pieces, against_slopes, against_triangles, points, rule
from antlab.engine.solution import Solution
from antlab.units import ETA0_OHM, wavelength_m

WIDEST_BAND, _SUPPORTS = 1.07, 3  # frequencies shared out in stretches of 7 %, each filled at three
_U3, _W3 = rule(3)
# pairs of stops: for a wire of four waves; more by the root of a leg over its height; for one on the ground
_STOPS, _MORE_STOPS, _MOST_STOPS = 11, 3.5, 64


class Fill:
    """What one leg contributes to the equations, split into what changes with frequency and what does not.

    mesh: the leg's Mesh. soil: the Soil under it. charge_log: what a jacket takes off the potential of the
    wire's own charge, no unit, as Wire.charge_log.

    >>> leg = al.mesh.mesh_of(al.FlatTop(height_m=9), (10.05,), 0.001)
    >>> al.moments.Fill(leg, al.soil("average")).mesh is leg
    True
    """

    def __init__(self, mesh, soil, charge_log=0.0):
        self.mesh, self.soil, self.charge_log = mesh, soil, charge_log
        self.cos2 = 1 - 2 * mesh.droop**2  # cosine between the currents of the two legs
        self._condensed = {}

    @cached_property
    def sharp(self):
        """<f, 1/R f>, <f', 1/R f'> less the jacket's, and the same with R, over 4 pi, on the fine mesh."""
        nodes, bends, a = self.mesh.nodes_m, self.mesh.bends, self.mesh.radius_m
        one, two = _pairs(len(nodes))
        # by parts, twice for each of two triangles: what is left is how they bend at their nodes
        integrals = [_integrals(nodes[two] - nodes[one], a)]
        if not self.mesh.droop:  # the other leg goes on in the same line
            integrals.append(_integrals(nodes[two] + nodes[one], a))
        blocks = []
        for each in zip(*integrals, strict=True):  # of 1/R, then of R
            twice, four_times = (_symmetric(sum(part)) for part in zip(*each, strict=True))
            blocks += [bends @ four_times @ bends.T, -bends @ twice @ bends.T]
        if self.mesh.droop:
            for block, more in zip(blocks, self._sharp_at_angle(), strict=True):
                block += more
        blocks[1] -= 2 * self.charge_log * self.mesh.slope_overlap
        return [(block + block.T) / (8 * np.pi) for block in blocks]

    def _sharp_at_angle(self):
        """What comes to it where the legs meet at an angle: the current's step at the feed, the other leg."""
        nodes, bends, a = self.mesh.nodes_m, self.mesh.bends, self.mesh.radius_m
        where = points(nodes, _U3)
        other = self._inner(-where * self.cos2, np.hypot(where * np.sqrt(1 - self.cos2**2), a))
        for (vector, scalar), thrice, at_feed in zip(other, _thrice(nodes, a), (a, a**3 / 3), strict=True):
            vector = self.cos2 * against_triangles(vector, nodes, _U3, _W3)
            vector[0] += 2 * bends @ thrice
            vector[0, 0] += at_feed
            scalar = against_pieces(scalar, nodes, _W3)
            yield from (vector, -against_slopes(against_slopes(scalar, nodes).T, nodes))

    def _inner(self, foot, distance):
        """Closed integrals of 1/R and R over every piece, seen from a point beside the line of the wire."""
        nodes = self.mesh.nodes_m
        t = nodes - foot[:, None]
        d = distance[:, None]
        r, log = np.sqrt(t * t + d * d), np.arcsinh(t / d)
        for flat, tilted in ((log, r), ((t * r + d * d * log) / 2, r * r * r / 3)):
            level = np.diff(flat, axis=1)
            rise = (np.diff(tilted, axis=1) - t[:, :-1] * level) / np.diff(nodes)
            triangle = level - rise
            triangle[:, 1:] += rise[:, :-1]
            yield triangle, level

    @cached_property
    def _apart(self):
        """Of each two sample points how far apart along the wire: on one leg, and from leg to leg."""
        where = self.mesh.samples[0]
        one, two = (where[each] for each in _pairs(len(where)))
        return two - one, one + two

    @cached_property
    def _stops(self):
        """A few distances along the wire, metres, and what carries values there over to those of _apart.

        First to those from leg to leg; then to those on one leg, or None for a vee, which does without.

        Chebyshev's points, and the polynomial through them in its barycentric form (J.-P. Berrut and L. N.
        Trefethen, SIAM Review 46 (2004) 501).
        """
        ends, mesh = self.mesh.nodes_m[-1], self.mesh
        steep = np.sqrt(ends / (mesh.top_m - ends * mesh.droop))
        count = 2 * int(min(_STOPS + _MORE_STOPS * steep, _MOST_STOPS))  # even: then no distance is a stop
        turns = np.pi * (np.arange(count) + 0.5) / count
        stops, weights = ends * (1 + np.cos(turns)), (-1) ** np.arange(count) * np.sin(turns)

        def carry(apart):
            parts = weights[:, None] / (apart - stops[:, None])
            return parts / parts.sum(axis=0)

        near, far = self._apart
        return stops, carry(far), None if mesh.droop else carry(near)

    def smooth(self, k, f_mhz):
        """Both kernels less their sharp part, at the sample points.

        k: wave number in air, radians per metre. f_mhz: MHz, for the ground. Returns (vector, scalar),
        complex, per metre, each shape (p, p), symmetric.
        """
        (near, far), mesh = self._apart, self.mesh

        def rest(away):  # of exp(-jkr)/r, after 1/r and -k^2 r/2
            r = np.sqrt(away + mesh.radius_m**2)
            return (np.exp(-1j * k * r) - 1) / r + k * k * r / 2

        own, across = rest(near**2), rest((far * mesh.along) ** 2 + (near * mesh.droop) ** 2)
        both = np.stack([own + self.cos2 * across, own - across])
        # from leg to leg, and all along a level wire, the ground's part goes with the distance along the wire
        # alone: it is reckoned at a few distances, and carried over to all
        stops, to_other, on_one = self._stops
        from_other = self._ground(k, f_mhz, stops, stops, side=-1)
        both += _carried(from_other, to_other)
        if mesh.droop:
            both += self._ground(k, f_mhz, near, far, side=1)
        else:
            both += [[1], [-1]] * _carried(from_other, on_one)
        return tuple(_symmetric(one) for one in both / (4 * np.pi))

    def _ground(self, k, f_mhz, apart, down, side):
        """What the images add to both kernels at pairs of points, shape (2, pairs).

        apart: how far along the wire, metres. down: both distances from the feed together. side: 1 for two
        points of one leg, -1 of both.
        """
        droop, along = self.mesh.droop, self.mesh.along
        depth, (flat, charge, upright, cross) = soil_images(f_mhz, self.soil)
        x = apart * along
        r2 = x * x + (2 * self.mesh.top_m - down * droop - 1j * depth[:, None]) ** 2
        r = np.sqrt(r2)
        g = np.exp(-1j * k * r) / r
        vector = (along**2 * flat + side * droop**2 * upright) @ g
        if side < 0 and droop:  # between legs that slope opposite ways
            vector += 2j * droop * along / k * x * (cross @ (g * (1 + 1j * k * r) / r2))
        return np.stack([vector, side * (charge @ g)])

    def condensed(self, at_mhz):
        """Natural shapes, shape (n, m), and the equations of few unknowns at each frequency, (m, m).

        Kept, since none of it knows a trap: the same wires with other traps cost next to nothing.
        """
        if (key := at_mhz.tobytes()) not in self._condensed:
            self._condensed[key] = self._condense(at_mhz)
        return self._condensed[key]

    def _condense(self, at_mhz):
        wave_numbers, samples = 2 * np.pi / wavelength_m(at_mhz), self.mesh.samples
        smooth = [self.smooth(k, float(f)) for k, f in zip(wave_numbers, at_mhz, strict=True)]
        middle = len(at_mhz) // 2
        stiff = _stiffness(self.sharp, samples, wave_numbers[middle], [part.real for part in smooth[middle]])
        shapes = _natural_shapes(self.mesh.coarse[:-1], stiff)
        sharp = [shapes.T @ block @ shapes for block in self.sharp]
        few = (None, *(weights @ shapes for weights in samples[1:]))
        return shapes, [_stiffness(sharp, few, k, part) for k, part in zip(wave_numbers, smooth, strict=True)]


@lru_cache(maxsize=16)
def _pairs(size):
    """Of so many things all pairs, also of one with itself: indices of the one and of the other."""
    return np.triu_indices(size)


def _symmetric(pairs):
    """Values of all pairs as a symmetric matrix."""
    size = int(np.sqrt(2 * len(pairs)))
    one, two = _pairs(size)
    whole = np.empty((size, size), dtype=pairs.dtype)
    whole[one, two] = whole[two, one] = pairs
    return whole


def _integrals(x, a):
    """Of 1/R and of R, R² = x² + a²: integrated twice, and four times, over x."""
    x2, a2, log = x * x, a * a, np.arcsinh(x / a)
    r = np.sqrt(x2 + a2)
    return (
        (x * log - r, x * (2 * x2 - 3 * a2) * log / 12 - (11 * x2 - 4 * a2) * r / 36),
        (
            a2 * x * log / 2 + (x2 - 2 * a2) * r / 6,
            a2 * x * (4 * x2 - 3 * a2) * log / 48 + (6 * x2 * x2 - 83 * a2 * x2 + 16 * a2 * a2) * r / 720,
        ),
    )


def _thrice(x, a):
    """Both integrated three times."""
    x2, a2, log = x * x, a * a, np.arcsinh(x / a)
    r = np.sqrt(x2 + a2)
    return (
        (2 * x2 - a2) * log / 4 - 3 * x * r / 4,
        a2 * (4 * x2 - a2) * log / 16 + x * (2 * x2 - 13 * a2) * r / 48,
    )


def _carried(values, carry):
    """Complex values by a real matrix, without making that complex first."""
    real, imag = np.split(np.concatenate([values.real, values.imag]) @ carry, 2)
    return real + 1j * imag


def _stretches(f_mhz, widest):
    """Share out sorted frequencies into stretches narrow enough to interpolate over."""
    start = 0
    for i in range(1, len(f_mhz) + 1):
        if i == len(f_mhz) or f_mhz[i] > widest * f_mhz[start]:
            yield slice(start, i)
            start = i


def _supports(f_mhz):
    """Frequencies to fill at, and the weights (len(f_mhz), supports) that carry them over to all."""
    if len(f_mhz) <= _SUPPORTS:
        return f_mhz, np.eye(len(f_mhz))
    low, high = f_mhz[0], f_mhz[-1]
    at = (low + high) / 2 + (high - low) / 2 * np.cos(np.pi * (np.arange(_SUPPORTS) + 0.5) / _SUPPORTS)
    weights = [np.prod([(f_mhz - b) / (a - b) for b in at if b != a], axis=0) for a in at]
    return at, np.stack(weights, axis=1)


def solve(fill, f_mhz, traps_ohm, ohm_per_m, widest=WIDEST_BAND):
    """The currents on an antenna, and the impedance at its feed.

    fill: a Fill. f_mhz: MHz, any shape. traps_ohm: complex impedance of each trap of a leg, counted from the
    feed, shape (traps, *f_mhz.shape). ohm_per_m: inner impedance of the wire, complex, shape of f_mhz.
    widest: last over first frequency of what is interpolated from three. Returns a Solution.
    What comes from Dipole was checked there: nothing is refused. Valid as Dipole is. Source: see above.

    >>> leg = al.mesh.mesh_of(al.FlatTop(height_m=9), (10.05,), 0.001)
    >>> fill = al.moments.Fill(leg, al.soil("average"))
    >>> found = al.moments.solve(fill, np.array(7.1), np.zeros((0,)), np.array(0.1))
    >>> round(float(found.impedance.real))
    74
    """
    rising, first, back = np.unique(f_mhz, return_index=True, return_inverse=True)
    traps, wire = traps_ohm.reshape(len(traps_ohm), f_mhz.size)[:, first], ohm_per_m.reshape(-1)[first]
    impedance = np.empty(len(rising), dtype=complex)
    current = np.zeros((len(rising), len(fill.mesh.nodes_m)), dtype=complex)
    for part in _stretches(rising, widest):
        impedance[part], current[part, :-1] = _solve_stretch(fill, rising[part], traps[:, part], wire[part])
    back = back.reshape(f_mhz.shape)
    return Solution(
        mesh=fill.mesh, soil=fill.soil, f_mhz=f_mhz, impedance=impedance[back], current=current[back],
        traps_ohm=traps_ohm, ohm_per_m=ohm_per_m,
    )  # fmt: skip


def _solve_stretch(fill, f_mhz, traps_ohm, ohm_per_m):
    at, carry = _supports(f_mhz)
    shapes, filled = fill.condensed(at)
    size = shapes.shape[1]
    k = 2 * np.pi / wavelength_m(f_mhz)
    # k Z is carried over, since it changes more evenly than Z
    z = (carry @ np.reshape(filled, (len(at), -1))).reshape(-1, size, size)
    z *= -1j * ETA0_OHM / k[:, None, None]
    z += ohm_per_m[:, None, None] * (shapes.T @ fill.mesh.overlap @ shapes)
    z[:, fill.mesh.at_traps, fill.mesh.at_traps] += traps_ohm.T
    feed = np.zeros((size, 1))
    feed[0] = 1
    amps = np.linalg.solve(z, feed)[..., 0]
    return 2 / amps[:, 0], (amps / amps[:, :1]) @ shapes.T


def _stiffness(sharp, samples, k, smooth):
    """<f', G_phi f'> - k^2 <f, G_A f>, the matrix of the equations times jk / eta, shape (n, n)."""
    vector0, scalar0, vector2, scalar2 = sharp
    _, triangle, slope = samples
    scalar = slope.T @ smooth[1] @ slope + scalar0 - k * k / 2 * scalar2
    return scalar - k * k * (triangle.T @ smooth[0] @ triangle + vector0 - k * k / 2 * vector2)


def _natural_shapes(kept, stiff):
    """Currents that the wire takes of itself between the nodes kept, shape (n, len(kept))."""
    inner = np.setdiff1d(np.arange(len(stiff)), kept)
    shapes = np.zeros((len(stiff), len(kept)))
    shapes[kept, np.arange(len(kept))] = 1
    shapes[inner] = -np.linalg.solve(stiff[np.ix_(inner, inner)], stiff[np.ix_(inner, kept)])
    return shapes
