"""Independent references for the tests: nothing here is imported by antlab, and nothing here imports it.

Three separate roads to the numbers that the engine must give:

* `induced_emf`, `mutual_*`, `over_mirror`: closed forms for an assumed sinusoidal current, with
  scipy's sine and cosine integrals.  P. S. Carter, "Circuit relations in radiating systems", Proc. IRE 20
  (1932) 1004; C. A. Balanis, Antenna Theory, 3rd ed. 2005, eqs. 8-60, 8-61, 8-68 ... 8-75 (equation numbers
  from memory; every value was recomputed).
* `Antenna`: a moment method of another kind than the engine's.  The current is a sum of piecewise sinusoids,
  whose electric field is known in closed form (S. A. Schelkunoff & H. T. Friis, Antennas: Theory and
  Practice, 1952, ch. 10; J. H. Richmond, NASA CR-2399, 1974; from memory, derived again below), tested with
  the same sinusoids.  No potentials, no triangles, no symmetry taken for granted.
* Soil: the reflected plane-wave spectrum of the current, TE and TM apart, summed over the whole (k_x, k_y)
  plane.  No images, no fit.

Time e^{+jwt}; x along the wire, z up, ground at z = 0; the wire lies in the plane y = 0.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

import numpy as np
from scipy.integrate import quad
from scipy.special import j0, j1, jve, sici

C = 299_792_458.0
ETA = 376.730313461
EPS0 = 8.8541878128e-12
MU0 = ETA / C
HERE = Path(__file__).parent
COPPER = 5.8e7


def read_table(name, folder="published"):
    """Rows of a CSV in published/: comment lines (#) are skipped, number-like text becomes numbers."""

    def number(text):
        try:
            return float(text)
        except ValueError:
            return text

    with open(HERE / folder / f"{name}.csv", encoding="utf-8", newline="") as file:
        rows = csv.DictReader(line for line in file if line.strip() and not line.startswith("#"))
        return [{key: number(value) for key, value in row.items()} for row in rows]


# --- closed forms for an assumed sinusoidal current


def induced_emf(length, radius):
    """Feed impedance of a centre-fed wire in free space; length and radius in wavelengths."""
    kl, g = 2 * np.pi * length, np.euler_gamma
    si1, ci1 = sici(kl)
    si2, ci2 = sici(2 * kl)
    _, cia = sici(4 * np.pi * radius**2 / length)
    r = (
        ETA
        / (2 * np.pi)
        * (
            g
            + np.log(kl)
            - ci1
            + 0.5 * np.sin(kl) * (si2 - 2 * si1)
            + 0.5 * np.cos(kl) * (g + np.log(kl / 2) + ci2 - 2 * ci1)
        )
    )
    x = ETA / (4 * np.pi) * (2 * si1 + np.cos(kl) * (2 * si1 - si2) - np.sin(kl) * (2 * ci1 - ci2 - cia))
    return (r + 1j * x) / np.sin(kl / 2) ** 2


def mutual_side_by_side(spacing):
    """Mutual impedance of two parallel half-wave wires, spacing in wavelengths."""
    k = 2 * np.pi
    root = np.sqrt(spacing**2 + 0.25)
    (s0, c0), (s1, c1), (s2, c2) = (sici(k * u) for u in (spacing, root + 0.5, root - 0.5))
    return ETA / (4 * np.pi) * ((2 * c0 - c1 - c2) - 1j * (2 * s0 - s1 - s2))


def mutual_collinear(centres):
    """Mutual impedance of two half-wave wires on one line, distance of their centres in wavelengths.

    Carter's field of the one (its three spherical waves) times the sinusoid of the other, by quadrature.
    """

    def integrand(z, part):
        far = sum(np.exp(-2j * np.pi * abs(z - end)) / abs(z - end) for end in (-0.25, 0.25))
        value = 1j * ETA / (4 * np.pi) * far * np.cos(2 * np.pi * (z - centres))
        return value.real if part == 0 else value.imag

    return sum(
        unit * quad(integrand, centres - 0.25, centres + 0.25, args=(part,), limit=400)[0]
        for part, unit in ((0, 1), (1, 1j))
    )


def over_mirror(height, upright=False):
    """Half-wave wire whose centre is `height` wavelengths above perfect ground, by one image."""
    if upright:
        return induced_emf(0.5, 1e-5) + mutual_collinear(2 * height)
    return induced_emf(0.5, 1e-5) - mutual_side_by_side(2 * height)


def sinusoid_intensity(theta, length):
    """Radiation intensity (any scale) of a sinusoidal current, theta from the wire, length in wavelengths."""
    kl = np.pi * length
    return ((np.cos(kl * np.cos(theta)) - np.cos(kl)) / np.sin(theta)) ** 2


def sinusoid_directivity(length):
    total = quad(lambda t: sinusoid_intensity(t, length) * np.sin(t), 0, np.pi, limit=200)[0]
    theta = np.linspace(0.001, np.pi / 2, 200_001)
    return 2 * sinusoid_intensity(theta, length).max() / total


# --- soil


def soil_epsilon(f_mhz, permittivity, conductivity):
    return permittivity - 1j * conductivity / (2 * np.pi * f_mhz * 1e6 * EPS0)


def fresnel(elevation_deg, epsilon):
    """Plane-wave reflection coefficients (R_h, R_v) at an elevation angle: the boundary written as
    admittances, i.e. as two lines joined end to end, not as the textbook fraction."""
    s = np.sin(np.radians(elevation_deg))
    inside = np.sqrt(epsilon - np.cos(np.radians(elevation_deg)) ** 2 + 0j)
    y_air, y_soil = s, inside  # TE wave admittances / (1/eta)
    z_air, z_soil = s, inside / epsilon  # TM wave impedances / eta
    return (y_air - y_soil) / (y_air + y_soil), (z_air - z_soil) / (z_air + z_soil)


def pseudo_brewster(epsilon):
    """(elevation of least |R_v|, that |R_v|) by brute force on a fine grid, then a finer one."""
    low, high = 0.01, 89.9
    for _ in range(4):
        angles = np.linspace(low, high, 4001)
        size = abs(fresnel(angles, epsilon)[1])
        at = int(np.argmin(size))
        low, high = angles[max(at - 2, 0)], angles[min(at + 2, 4000)]
    return angles[at], size[at]


def spectrum_points(k, epsilon, lowest, far, fine=1.0):
    """Quadrature of the reflected spectrum: arrays k_z, k_rho, weight (of dk_rho k_rho/k_z), alpha, weight.

    Travelling part k_z from k down to 0, then k_z = -j kappa up to where e^{-2 kappa lowest} is gone.  Panels
    crowd k_z = 0, where a good conductor's surface wave turns R_TM fast, and the soil's own branch point.
    `far` is the greatest horizontal distance, which sets how many azimuths are wanted.
    """

    def panels(edges, order):
        x, w = np.polynomial.legendre.leggauss(order)
        mid, half = (edges[1:] + edges[:-1]) / 2, np.diff(edges) / 2
        return (mid[:, None] + half[:, None] * x).ravel(), (half[:, None] * w).ravel()

    order = int(np.ceil(9 * fine))
    crowd = np.geomspace(1e-5, 1, 11)
    kz, wz = panels(k * np.r_[0, crowd], order)
    top = 18 / lowest
    branch = np.sqrt(abs((epsilon - 1).real)) * k  # kappa where k_rho passes Re k_1
    edges = np.r_[0, crowd * k, np.arange(k, top, max(0.5 / lowest, k / 2))[1:], top]
    if epsilon.real > 1 and branch < top and abs(epsilon.imag) < epsilon.real:
        edges = np.r_[edges, branch * (1 + np.outer([-1, 1], np.geomspace(0.003, 0.3, 6))).ravel(), branch]
    kappa, wk = panels(np.unique(edges[edges <= top]), order)
    k_z = np.r_[kz, -1j * kappa]
    weight = np.r_[wz, 1j * wk]
    k_rho = np.sqrt(np.r_[k**2 - kz**2, k**2 + kappa**2])
    # only as many azimuths as the phase k_rho * far needs, ring by ring
    count = (np.ceil(fine * (9 + 0.35 * np.minimum(k_rho, 9 / lowest) * far))).astype(int)
    ring = np.repeat(np.arange(k_rho.size), count)
    step = np.arange(ring.size) - np.repeat(np.cumsum(count) - count, count)
    alpha = (step + 0.5) * (np.pi / 2) / count[ring]
    return k_z[ring], k_rho[ring], weight[ring] * (2 * np.pi / count[ring]), alpha


def sommerfeld_integral(k, epsilon, distance, height_sum, bessel, tail):
    """Integral over lambda of 2 lambda bessel(lambda, lambda r) tail(gamma_soil, gamma_air) e^{-gamma_air h}.

    lambda = k sin(t) up to k and k cosh(t) beyond, which takes the root singularity at lambda = k away.
    """

    def integrand(t, part, travelling):
        lam, air = (k * np.sin(t), 1j * k * np.cos(t)) if travelling else (k * np.cosh(t), k * np.sinh(t))
        soil = np.sqrt(lam**2 - epsilon * k**2)
        soil = soil if soil.real > 0 else -soil
        value = 2 * np.exp(-air * height_sum) * bessel(lam, lam * distance) * lam * tail(soil, air) * abs(air)
        return value.real if part == 0 else value.imag

    top = np.arccosh(4 + 40 / height_sum / k)
    return sum(
        unit * quad(integrand, *span, args=(part, travelling), limit=400, epsabs=1e-10, epsrel=1e-9)[0]
        for travelling, span in (
            (True, (0, 1.5)),
            (True, (1.5, np.pi / 2)),
            (False, (0, 0.1)),
            (False, (0.1, top)),
        )
        for part, unit in ((0, 1), (1, 1j))
    )


def sommerfeld_potentials(f_mhz, epsilon, distance, height_sum):
    """Reflected potentials over soil times 4 pi: of horizontal current, charge, vertical current, cross term.

    Spectra R/gamma_air of K. A. Michalski & J. R. Mosig, IEEE Trans. AP-45 (1997) 508, formulation C, put
    together here from the TE and TM reflections alone; the first two are Banos's U - G and k^2 V - G.
    """
    k = 2 * np.pi * f_mhz * 1e6 / C

    def te(soil, air):
        return (air - soil) / (air + soil)

    def tm(soil, air):
        return (epsilon * air - soil) / (epsilon * air + soil)

    def q(soil, air):  # (TE + TM)/k_rho^2, with k_rho^2 = k^2 + air^2; air = j k_z
        return (te(soil, air) + tm(soil, air)) / (k**2 + air**2)

    spectra = (
        te,
        lambda soil, air: te(soil, air) - air**2 * q(soil, air),
        lambda soil, air: tm(soil, air) + air**2 * q(soil, air),
        lambda soil, air: -1j * air * q(soil, air) * k,
    )
    return np.array(
        [
            sommerfeld_integral(
                k,
                epsilon,
                distance,
                height_sum,
                lambda lam, t: j0(t) / 2,
                lambda soil, air, r=r: r(soil, air) / air,
            )
            for r in spectra
        ]
    )


def sommerfeld_fields(f_mhz, epsilon, distance, height_sum):
    """Reflected field of a unit current element (1 A m) over soil, as {(source, observer): V/m}.

    Sommerfeld's integrals U and V in the Hankel form, by adaptive quadrature: A. Banos, Dipole Radiation in
    the Presence of a Conducting Half-Space, 1966 (from memory; it agrees with the TE/TM spectrum, which
    shares nothing with it).  "x" is along the line of the two, "y" across it, "z" upright; distance and
    height_sum (z + z') in metres.
    """
    k2 = 2 * np.pi * f_mhz * 1e6 / C
    k1 = k2 * np.sqrt(epsilon)
    r, h = distance, height_sum

    def hankel(bessel, tail):
        return sommerfeld_integral(k2, epsilon, r, h, bessel, tail)

    def u(g1, g2):
        return 1 / (g1 + g2)

    def v(g1, g2):
        return 1 / (k1**2 * g2 + k2**2 * g1)

    def image(rho, z):
        size = np.hypot(rho, z)
        return np.exp(-1j * k2 * size) / size

    d = 1e-3 * min(r, h)
    g = image(r, h)
    g_r = (image(r + d, h) - image(r - d, h)) / (2 * d)
    g_rr = (image(r + d, h) - 2 * g + image(r - d, h)) / d**2
    g_zz = (image(r, h + d) - 2 * g + image(r, h - d)) / d**2
    g_rz = (image(r + d, h + d) - image(r - d, h + d) - image(r + d, h - d) + image(r - d, h - d)) / (
        4 * d**2
    )
    v_r = hankel(lambda lam, t: -lam * j1(t), v)
    v_rr = hankel(lambda lam, t: -(lam**2) * (j0(t) - j1(t) / t if t else 0.5), v)
    v_rz = hankel(lambda lam, t: lam * j1(t), lambda g1, g2: g2 * v(g1, g2))
    v_zz = hankel(lambda lam, t: j0(t), lambda g1, g2: g2**2 * v(g1, g2))
    v_0, u_0 = hankel(lambda lam, t: j0(t), v), hankel(lambda lam, t: j0(t), u)
    scale = -1j * ETA / (4 * np.pi * k2)
    level = k2**2 * (u_0 - g)
    return {
        ("x", "x"): scale * (k2**2 * v_rr - g_rr + level),
        ("y", "y"): scale * ((k2**2 * v_r - g_r) / r + level),
        ("z", "z"): scale * (k1**2 * v_zz - g_zz + k2**2 * (k1**2 * v_0 - g)),
        ("z", "x"): scale * (k1**2 * v_rz - g_rz),
        ("x", "z"): -scale * (k1**2 * v_rz - g_rz),
    }


# --- a moment method of piecewise sinusoids


def graded(length, finest):
    """Points from 0 to `length`, crowded towards both ends, where the steps are about `finest`."""
    count = max(6, int(np.ceil(np.pi / 2 * np.sqrt(length / finest))))
    t = np.arange(count + 1) / count
    return length * (0.97 * (1 - np.cos(np.pi * t)) / 2 + 0.03 * t)


@dataclass(frozen=True)
class Antenna:
    """A symmetric bent or straight wire in the plane y = 0, fed in the middle, loaded alike on both sides.

    sections: metres, one side, from the middle to the end; loads: ohms, one between each two sections;
    height of the middle and of the ends; or rise: how much higher the far end of a straight wire is than the
    near one; radius in metres; ground: None (free
    space), "mirror", or a complex relative permittivity for this frequency. jacket: its outer radius, metres,
    and its permittivity: for charge and current alike the wire is as thick as `apart` says, and an inductance
    in series gives the current back what that takes off: another form of the quasi-static limit of
    J. H. Richmond and E. H. Newman, Radio Science 11 (1976) 13 (from memory) than the engine's.

    finest: the segments beside feed, loads and ends.  A gap or load of no width at all has no limit on a thin
    wire (Papakanellos & Fikioris, PIER 69 (2007) 77): the answer keeps creeping with the logarithm of the
    segment there, 0.2 % for each halving on a half-wave wire, up to 1 % on a trap dipole near its trap's
    frequency.  25 mm, the size of a real insulator or trap end, is where we stop; everything else
    (segments elsewhere, quadrature) has settled to four digits by then.
    """

    f_mhz: float
    sections: tuple
    loads: tuple = ()
    middle: float = 10.0
    ends: float | None = None
    ground: object = None
    radius: float = 0.001
    copper: bool = False
    jacket: tuple | None = None
    finest: float = 0.025
    fine: float = 1.0
    rise: float = 0.0

    @property
    def k(self):
        return 2 * np.pi * self.f_mhz * 1e6 / C

    @property
    def jacket_part(self):
        """Of the logarithm of outer over inner radius, what the jacket takes off a charge's potential."""
        if self.jacket is None:
            return 0.0
        outer, permittivity = self.jacket
        return (permittivity - 1) / permittivity * (np.log(outer) - np.log(self.radius))

    @property
    def apart(self):
        """Radius of the bare wire whose charge has the same potential."""
        return self.radius * np.exp(self.jacket_part)

    @cached_property
    def nodes(self):
        side, length = np.zeros(1), 0.0
        for section in self.sections:
            side = np.r_[side, length + graded(section, self.finest)[1:]]
            length += section
        if self.rise:
            along = np.r_[-side[:0:-1], side]
            slope = self.rise / 2 / length
            return np.c_[along * np.sqrt(1 - slope**2), self.middle + along * slope]
        drop = 0.0 if self.ends is None else self.middle - self.ends
        across = np.sqrt(length**2 - drop**2)
        arm = np.c_[side * across / length, self.middle - side * drop / length]
        return np.r_[arm[:0:-1] * [-1, 1], arm]

    @property
    def at_loads(self):
        """How many nodes each load is away from the middle."""
        return np.cumsum([graded(section, self.finest).size - 1 for section in self.sections[:-1]], dtype=int)

    @cached_property
    def parts(self):
        """(start, direction, length) of each segment."""
        step = np.diff(self.nodes, axis=0)
        length = np.hypot(*step.T)
        return self.nodes[:-1], step / length[:, None], length

    def _rule(self, near=True):
        """Points on every segment: (position, distance from its start, weight), each segment's row.

        `near`: the 1/R spikes of a segment's ends, as narrow as the wire, are made flat by s = a sinh(u).
        """
        _, _, length = self.parts
        if near:
            x, w = np.polynomial.legendre.leggauss(int(14 * self.fine))
            top = np.arcsinh(length / 2 / self.apart)[:, None]
            u = top * (x + 1) / 2
            half, weight = self.apart * np.sinh(u), self.apart * np.cosh(u) * top / 2 * w
            return np.c_[half, length[:, None] - half], np.c_[weight, weight]
        x, w = np.polynomial.legendre.leggauss(4)
        return length[:, None] * (x + 1) / 2, length[:, None] / 2 * w

    def _shapes(self, along):
        """Falling and rising sinusoid of every segment at distances `along` from its start."""
        length = self.parts[2][:, None]
        return (
            np.sin(self.k * (length - along)) / np.sin(self.k * length),
            np.sin(self.k * along) / np.sin(self.k * length),
        )

    def _field_pairs(self, image):
        """-integral of (test sinusoid . E of source sinusoid), as [source segment, end, test segment, end].

        E of a filament with I'' = -k^2 I and no point charges at its ends (they cancel where segments join):
        jwe E_z = -[I' g], jwe E_rho = -1/(4 pi rho) [e^{-jkR} (zeta/R I' + jk I)], zeta = z' - z.
        The test filament runs one wire radius beside the wire: R^2 = |r - r'|^2 + a^2, no approximation.
        """
        start, way, length = self.parts
        along, weight = self._rule()
        falling, rising = self._shapes(along)
        points = start[:, None] + along[..., None] * way[:, None]  # segment, point, (x, z)
        test_way = np.broadcast_to(way[:, None], points.shape).reshape(-1, 2)
        points = points.reshape(-1, 2)
        if image:
            start, way = start * [1, -1], way * [1, -1]
        offset = points[None] - start[:, None]  # source, point, (x, z)
        z = np.einsum("spc,sc->sp", offset, way)
        side = offset - z[..., None] * way[:, None]
        rho2 = np.einsum("spc,spc->sp", side, side) + self.apart**2
        tz = way @ test_way.T  # source way . test way
        tr = np.einsum("spc,pc->sp", side, test_way) / rho2  # (rho_hat . test way) / rho
        k, d = self.k, length[:, None]
        r1, r2 = np.sqrt(z**2 + rho2), np.sqrt((d - z) ** 2 + rho2)
        e1, e2 = np.exp(-1j * k * r1), np.exp(-1j * k * r2)
        out = np.empty((length.size, 2, length.size, 2), complex)
        for end, (i1, i2, s1, s2) in enumerate(
            (
                (1, 0, -k / np.tan(k * d), -k / np.sin(k * d)),  # I and I' at both ends, falling
                (0, 1, k / np.sin(k * d), k / np.tan(k * d)),
            )
        ):  # rising
            along_z = s1 * e1 / r1 - s2 * e2 / r2
            across = -(e2 * ((d - z) / r2 * s2 + 1j * k * i2) - e1 * (-z / r1 * s1 + 1j * k * i1))
            field = ETA / (4j * np.pi * k) * (along_z * tz + across * tr)
            field = field.reshape(length.size, *along.shape)
            out[:, end, :, 0] = -np.einsum("stp,tp->st", field, falling * weight)
            out[:, end, :, 1] = -np.einsum("stp,tp->st", field, rising * weight)
        return -out if image else out

    def _gather(self, pairs):
        """Half shapes into whole sinusoids on the inner nodes."""
        n = len(self.nodes) - 2
        z = np.zeros((n, n), complex)
        for i in (0, 1):  # inner node m: end of segment m, start of m + 1
            for j in (0, 1):
                z += pairs[i : n + i, 1 - i, j : n + j, 1 - j]
        return z.T

    def _transform(self, k_x, k_z):
        """x, z parts of every node's sinusoid times e^{+jk_x x - jk_z z}, then times e^{-jk_x x - jk_z z}."""
        start, way, _ = self.parts
        along, weight = self._rule(near=False)
        points = start[:, None] + along[..., None] * way[:, None]
        n = len(self.nodes) - 2
        level = np.exp(1j * np.multiply.outer(points[..., 0], k_x))
        upright = np.exp(-1j * np.multiply.outer(points[..., 1], k_z))
        falling, rising = (shape * weight for shape in self._shapes(along))

        def parts(wave):
            low = np.einsum("sp,spq->sq", falling[1:], wave[1:])
            high = np.einsum("sp,spq->sq", rising[:n], wave[:n])
            return tuple(high * way[:n, c, None] + low * way[1:, c, None] for c in (0, 1))

        return parts(level * upright), parts(level.conj() * upright)

    @cached_property
    def soil_matrix(self):
        """Reflected part of the impedance matrix from the plane-wave spectrum (TE and TM apart)."""
        k, eps = self.k, complex(self.ground)
        low = self.nodes[:, 1].min()
        far = np.ptp(self.nodes[:, 0])
        k_z, k_rho, weight, alpha = spectrum_points(k, eps, low, far, self.fine)
        k_1 = np.sqrt(eps * k**2 - k_rho**2 + 0j)
        k_1 = np.where(k_1.imag > 0, -k_1, k_1)
        r_te, r_tm = (k_z - k_1) / (k_z + k_1), (eps * k_z - k_1) / (eps * k_z + k_1)
        n = len(self.nodes) - 2
        total = np.zeros((n, n), complex)
        for piece in np.array_split(np.arange(k_z.size), max(1, k_z.size // 4000)):
            kz, kr, cos, sin = k_z[piece], k_rho[piece], np.cos(alpha[piece]), np.sin(alpha[piece])
            (fx_in, fz_in), (fx_out, fz_out) = self._transform(kr * cos, kz)  # source, observer
            te = weight[piece] * r_te[piece] * sin**2
            total += (fx_out * te) @ fx_in.T
            tm = weight[piece] * r_tm[piece] / k**2
            total += ((-kz * cos * fx_out + kr * fz_out) * tm) @ (kz * cos * fx_in + kr * fz_in).T
        # alpha ran over one quarter turn: the other three are mirror images (k_x -> -k_x swaps in and out)
        total = (total + total.T) / 2
        return k * ETA / (8 * np.pi**2) * total

    @property
    def ohm_per_m(self):
        """Inner impedance of the wire, by Bessel functions of the skin effect."""
        if not self.copper:
            return 0j
        kw = np.sqrt(-2j * np.pi * self.f_mhz * 1e6 * MU0 * COPPER)
        u = kw * self.radius
        return kw / (2 * np.pi * self.radius * COPPER) * jve(0, u) / jve(1, u)

    @cached_property
    def matrix(self):
        z = self._gather(self._field_pairs(image=False))
        if isinstance(self.ground, str):
            z = z + self._gather(self._field_pairs(image=True))
        elif self.ground is not None:
            z = z + self.soil_matrix
        if self.copper or self.jacket:
            in_series = self.ohm_per_m + 1j * self.f_mhz * 1e6 * MU0 * self.jacket_part
            along, weight = self._rule(near=False)
            f, r = self._shapes(along)
            ff, fr, rr = ((a * b * weight).sum(1) for a, b in ((f, f), (f, r), (r, r)))
            beside = np.diag(fr[1:-1], 1) + np.diag(fr[1:-1], -1)
            z = z + in_series * (np.diag(rr[:-1] + ff[1:]) + beside)
        return z

    @cached_property
    def currents(self):
        """Current at the inner nodes for one volt at the middle."""
        z = self.matrix.copy()
        middle = len(z) // 2
        for load, at in zip(self.loads, self.at_loads, strict=True):
            for node in (middle - at, middle + at):
                z[node, node] += load
        drive = np.zeros(len(z))
        drive[middle] = 1
        return np.linalg.solve(z, drive)

    @property
    def impedance(self):
        return 1 / self.currents[len(self.currents) // 2]

    def gain(self, elevation_deg, azimuth_deg=90.0):
        """Gain (a ratio, both polarisations) towards an elevation and an azimuth counted from the wire."""
        el, az = np.broadcast_arrays(np.radians(elevation_deg), np.radians(azimuth_deg))
        shape, el, az = el.shape, el.ravel(), az.ravel()
        k, s, c = self.k, np.sin(el), np.cos(el)
        kx, kz = k * c * np.cos(az), k * s
        up = self._flat(kx, kz)
        h = up[0] * -np.sin(az)
        v = -up[0] * s * np.cos(az) + up[1] * c
        if self.ground is not None:
            down = self._flat(kx, -kz)
            r_h, r_v = (-1, 1) if isinstance(self.ground, str) else fresnel(np.degrees(el), self.ground)
            h = h + r_h * down[0] * -np.sin(az)
            v = v + r_v * (down[0] * s * np.cos(az) + down[1] * c)
        intensity = ETA * k**2 / (32 * np.pi**2) * (abs(h) ** 2 + abs(v) ** 2)
        fed = 0.5 * self.currents[len(self.currents) // 2].real
        return (4 * np.pi * intensity / fed).reshape(shape)

    def _flat(self, kx, kz):
        """Radiation vector: x and z parts of the whole current against e^{j(kx x + kz z)}."""
        (fx, fz), _ = self._transform(kx, -kz)
        return self.currents @ fx, self.currents @ fz

    def sky_fraction(self):
        """Power in the sky (whole sphere in free space) over power fed, by quadrature of the gain."""
        x, w = np.polynomial.legendre.leggauss(60)
        az = (np.arange(40) + 0.5) * np.pi / 2 / 40
        sines = x if self.ground is None else (x + 1) / 2
        mean = self.gain(np.degrees(np.arcsin(sines))[:, None], np.degrees(az)).mean(axis=1)
        return float(mean @ w / (2 if self.ground is None else 4))


def trap_impedance(f_mhz, inductance_uh, capacitance_pf, q):
    """Parallel circuit, coil of finite Q, written from the voltage divider of its branches."""
    w = 2 * np.pi * f_mhz * 1e6
    coil = w * inductance_uh * 1e-6 * (1j + 1 / q)
    condenser = 1 / (1j * w * capacitance_pf * 1e-12)
    return coil * condenser / (coil + condenser)
