"""fields.py: E and H near the wire against Maxwell, Poynting, closed forms and the far field."""

import warnings
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from reference import ETA, C, soil_epsilon

import antlab as al
from antlab.engine.mesh import Mesh
from antlab.engine.solution import Solution

F = 14.1
K = 2 * np.pi * F * 1e6 / C
FLAT, VEE = al.FlatTop(height_m=8), al.InvertedVee(apex_m=9, ends_m=5)
PLAIN = {"inner_m": 5.1}
TRAPPED = {"inner_m": 5.05, "outer_m": 3.9, "trap": al.Trap(inductance_uh=4.5, capacitance_pf=28.1, q=150)}
CASES = {
    "flat, free": al.Dipole(**PLAIN, shape=FLAT, soil="free space"),
    "vee, free": al.Dipole(**PLAIN, shape=VEE, soil="free space"),
    "vee with traps, mirror": al.Dipole(**TRAPPED, shape=VEE, soil="perfect ground"),
    "flat, soil": al.Dipole(**PLAIN, shape=FLAT),
    "flat with traps, sea": al.Dipole(**TRAPPED, shape=FLAT, soil="sea water"),
    "vee with traps, soil": al.Dipole(**TRAPPED, shape=VEE),
    "vee, very dry": al.Dipole(**PLAIN, shape=VEE, soil="very dry"),
}
EVERY_CASE = pytest.mark.parametrize("name", CASES)


def around(count=40, seed=1):
    """Points scattered around the wires of CASES, above the ground and off the wire."""
    random = np.random.default_rng(seed)
    x, y, z = random.uniform([-12, -8, 0.3], [12, 8, 14], (count, 3)).T
    return x, np.where(np.abs(y) < 0.5, 0.5, y), z


def ask(dipole, at):
    """The fields of 1 W at points: x, y and z."""
    return dipole.fields(F, x_m=at[0], y_m=at[1], z_m=at[2])


@cache
def fields(name):
    return ask(CASES[name], around())


def size(field):
    return np.linalg.norm(field, axis=0)


# --- Maxwell


def curl(dipole, which, at=None, step=1e-3):
    """Curl of E (0) or H (1) by differences at points, or at those of around()."""
    at = np.array(around()) if at is None else at
    slope = []
    for shift in step * np.eye(3):
        ends = [ask(dipole, at + sign * shift[:, None]) for sign in (1, -1)]
        slope.append((ends[0][which] - ends[1][which]) / (2 * step))
    (_, xy, xz), (yx, _, yz), (zx, zy, _) = slope
    return np.stack([yz - zy, zx - xz, xy - yx])


@EVERY_CASE
def test_a_changing_h_turns_e(name):
    """Faraday, curl E = -jk eta H: the potentials were derived by hand as they stand."""
    h = fields(name)[1]
    assert np.all(size(curl(CASES[name], 0) + 1j * K * ETA * h) < 1e-3 * K * ETA * size(h))


@EVERY_CASE
def test_a_changing_e_turns_h(name):
    """Ampere in air, curl H = jk/eta E: the images of charge and of current belong together."""
    e, h = fields(name)
    turned = curl(CASES[name], 1)
    assert np.all(size(turned - 1j * K / ETA * e) < 2e-3 * K * (size(e) / ETA + size(h)))


def test_a_long_wire_high_up_has_points_enough():
    """Four to 0.4 wavelengths of wire, so that what its images send obeys Ampere near the ground as well."""
    dipole, at = al.Dipole(inner_m=15, shape=al.FlatTop(height_m=25)), np.array(around(count=12))
    at[2] *= 0.4
    e, h = ask(dipole, at)
    assert np.all(size(curl(dipole, 1, at) - 1j * K / ETA * e) < 5e-4 * K * (size(e) / ETA + size(h)))


@pytest.mark.parametrize("shape", [FLAT, VEE])
def test_a_mirror_shorts_the_field(shape):
    """On perfect ground no E along it and no H through it."""
    x, y, z = np.linspace(-9, 9, 19), 1.5, 0.0
    e, h = al.Dipole(**TRAPPED, shape=shape, soil="perfect ground").fields(F, x_m=x, y_m=y, z_m=z)
    assert size(e[:2]).max() < 1e-3 * size(e).max() and abs(h[2]).max() < 1e-3 * size(h).max()


@pytest.mark.parametrize("shape", [FLAT, VEE])
def test_the_sea_carries_the_field_as_a_good_conductor(shape):
    """On sea water E along it is eta/sqrt(eps) times H, at right angles (Leontovich's boundary condition)."""
    epsilon = soil_epsilon(F, 81, 5.0)
    sea = al.Soil(permittivity=81, conductivity=5.0)
    x, y = np.array([0, 3, 6, 9.0]), 2.0
    e, h = al.Dipole(**PLAIN, shape=shape, soil=sea).fields(F, x_m=x, y_m=y, z_m=0)
    down = ETA / np.sqrt(epsilon) * np.stack([-h[1], h[0]])
    assert np.all(size(e[:2] - down) < 0.06 * size(e[:2]))


# --- Poynting


def flux(dipole, sides, faces=(0, 1, 2, 3, 4, 5), count=24):
    """Shares of the power fed that leave through faces of a box: low and high x, then y, floor and lid."""
    u, weight = np.polynomial.legendre.leggauss(count)
    found = []
    for face in faces:
        axis, high = divmod(face, 2)
        across = [side for n, side in enumerate(sides) if n != axis]
        points = [(a + b) / 2 + (b - a) / 2 * u for a, b in across]
        at = [points[0][:, None], points[1]]
        at.insert(axis, sides[axis][high])
        e, h = ask(dipole, at)
        through = np.cross(e, h.conj(), axis=0).real[axis]
        area = np.prod([(b - a) / 2 for a, b in across])
        found.append((2 * high - 1) * area * (weight @ through @ weight))
    return np.array(found)


@EVERY_CASE
def test_all_the_power_fed_leaves_the_box_or_warms_what_is_in_it(name):
    """Poynting: six faces, wire and traps get 1 W of 1 W, within 0.5 %."""
    dipole = CASES[name]
    low = 0.05 if not dipole.soil.is_empty else 2.0
    out = flux(dipole, ((-13, 13), (-4, 4), (low, 13)))
    assert out.sum() + sum(dipole.losses(F)) == pytest.approx(1, abs=0.005)
    assert abs(out[4]) < 1e-3 if dipole.soil.is_mirror else out[4] > 0.002


@pytest.mark.parametrize("name", ["flat, soil", "vee with traps, soil", "vee, very dry"])
def test_what_the_sky_does_not_get_goes_through_the_floor(name):
    """Fields near by and far ones, told apart: the floor of a wide box takes what sky, wire and traps leave.

    What the floor misses falls with the square of its width, so two widths tell that of all the ground.
    """
    dipole, wave = CASES[name], C / F / 1e6
    narrow, wide = (
        flux(dipole, ((-w, w), (-w, w), (0.0, 14)), faces=[4])[0] for w in (0.65 * wave, 1.3 * wave)
    )
    assert narrow < wide < dipole.power_shares(F).soil
    assert (4 * wide - narrow) / 3 == pytest.approx(dipole.power_shares(F).soil, abs=0.01)


def test_shares_of_the_power():
    """Sky, soil, wire and traps are all: a true sum without soil, and of the shape of the frequencies."""
    for soil in ("free space", "perfect ground"):
        shares = al.Dipole(**TRAPPED, shape=VEE, soil=soil).power_shares([[7.05, 14.1]])
        assert shares.sky.shape == shares.traps.shape == (1, 2) and not np.any(shares.soil)
        np.testing.assert_allclose(sum(shares), 1, atol=5e-3)
    wet, dry = (
        al.Dipole(**TRAPPED, shape=VEE, soil=soil).power_shares(F) for soil in ("sea water", "average")
    )
    assert sum(dry) == pytest.approx(1) and dry.soil > 0.2 > wet.soil > 0
    assert dry[2:] == CASES["vee with traps, soil"].losses(F)


# --- far away


@pytest.mark.parametrize("azimuth", [90, 50, 10])
@EVERY_CASE
def test_far_away_it_is_the_pattern(name, azimuth):
    """At 6 km the field gives the gain within 0.05 dB, broadside and off it, in E and in H.

    Over soil from 30 degrees up: lower, so far away, the images do not hold, and Dipole.fields says so.
    """
    dipole, r = CASES[name], 6000
    dry = dipole.soil.is_empty or dipole.soil.is_mirror
    elevation = np.array([*((3, 12) if dry else ()), 30, 45, 60, 85])
    up, round_ = np.radians(elevation), np.radians(azimuth)
    to = np.stack([np.cos(up) * np.cos(round_), np.cos(up) * np.sin(round_), np.sin(up)])
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", UserWarning)
        e, h = ask(dipole, r * to)
    gain = dipole.pattern(F).gain_dbi(elevation, azimuth)
    for strength in (size(e) ** 2 / ETA, size(h) ** 2 * ETA):
        assert 10 * np.log10(4 * np.pi * r**2 * strength) == pytest.approx(gain, abs=0.05)


# --- closed forms


def sines(half_m, amps, droop=0.0):
    """A Solution in free space whose current is given at 41 nodes of a leg."""
    nodes = np.linspace(0, half_m, 41)
    mesh = Mesh(nodes_m=nodes, coarse=np.arange(41), at_traps=np.zeros(0, dtype=int), droop=droop, top_m=0.0,
                radius_m=1e-3)  # fmt: skip
    return Solution(
        mesh=mesh, soil=al.FREE_SPACE, f_mhz=np.array(F), impedance=np.array(73.0 + 0j),
        current=amps(nodes).astype(complex), traps_ohm=np.zeros((0,)), ohm_per_m=np.array(0.0),
    )  # fmt: skip


@pytest.mark.parametrize("half_waves", [0.5, 0.8, 1.3])
def test_a_sine_of_current_has_the_field_of_the_book(half_waves):
    """A thin wire with sin k(l/2 - |x|) sends three spherical waves, from both ends and the feed, exactly.

    C. A. Balanis, Antenna Theory, 3rd ed. 2005, section 8.5.2 (from memory).
    """
    half = half_waves * np.pi / K
    solution = sines(half, lambda s: np.sin(K * (half - s)))
    x, y = np.array([0.0, 0.3, 2.0, half, half + 2, 40]), np.array([0.05, 0.5, 3.0, 0.1, 0.01, 60])
    e, h = al.fields.fields(solution, np.stack([x, 0 * x, y]))
    r, r1, r2 = np.hypot(x, y), np.hypot(x - half, y), np.hypot(x + half, y)
    wave, wave1, wave2 = (np.exp(-1j * K * one) for one in (r, r1, r2))
    twice = 2 * np.cos(K * half)
    along = -1j * ETA / (4 * np.pi) * (wave1 / r1 + wave2 / r2 - twice * wave / r)
    aside = 1j * ETA / (4 * np.pi * y) * (
        (x - half) * wave1 / r1 + (x + half) * wave2 / r2 - x * twice * wave / r
    )  # fmt: skip
    turned = 1j / (4 * np.pi * y) * (wave1 + wave2 - twice * wave)
    for ours, book in ((e[0], along), (e[2], aside), (-h[1], turned)):
        np.testing.assert_allclose(ours, book, rtol=1e-7, atol=1e-12)
    assert not np.any(e[1]) and not np.any(h[0]) and not np.any(abs(h[2]) > 1e-15)


def small_dipole(moment, where):
    """E and H of an infinitesimal dipole at the origin: C. A. Balanis, Antenna Theory, 4.2 (from memory).

    moment: current times length, complex, shape (3,). where: shape (3, p).
    """
    r = size(where)
    to = where / r
    wave = np.exp(-1j * K * r) / (4 * np.pi * r)
    near = 1 / (1j * K * r) + 1 / (1j * K * r) ** 2
    lengthwise = to * (moment @ to)
    across = moment[:, None] - lengthwise
    e = -1j * K * ETA * wave * (across * (1 + near) - 2 * lengthwise * near)
    h = 1j * K * wave * (1 + 1 / (1j * K * r)) * np.cross(moment, to, axisb=0).T
    return e, h


def test_a_short_wire_is_an_infinitesimal_dipole():
    """4 cm of wire seen from 1 m and more: the field of its moment, current falling evenly to the ends."""
    half = 0.02
    solution = sines(half, lambda s: 1 - s / half)
    where = np.array([[1.0, 0, 0, 0.9, 3], [0, 1.0, 0, -0.5, 20], [0, 0, 1.0, 0.7, -10]])
    for ours, book in zip(
        al.fields.fields(solution, where), small_dipole(np.array([half, 0, 0]), where), strict=True
    ):
        assert np.all(size(ours - book) <= 1e-3 * size(book))


@pytest.mark.parametrize("droop", [0.0, 0.6])
def test_a_wire_is_many_small_dipoles(droop):
    """Bent or straight, any current: the sum of a thousand small dipoles, from 20 cm off the wire.

    A wire that is bent has charge of its own at no place; the dipoles find the same by their ends meeting.
    """
    half, amps = 6.0, lambda s: (6.0 - s) / 6 * (1 + 0.1j * s)
    solution = sines(half, amps, droop)
    s, weight = np.polynomial.legendre.leggauss(400)
    s, weight = half / 2 * (1 + s), half / 2 * weight
    where = np.array([[0.0, 2, 6, -3, 0.4], [0.2, 0.3, 1, -2, 3], [0.4, 1, -2, -1, -0.3]])
    e, h = np.zeros((2, *where.shape), dtype=complex)
    for side in (1, -1):
        to_end = np.array([side * np.sqrt(1 - droop**2), 0, -droop])
        for at, amp, length in zip(s, amps(s), weight, strict=True):
            one = small_dipole(side * amp * length * to_end, where - (at * to_end)[:, None])
            e, h = e + one[0], h + one[1]
    ours = al.fields.fields(solution, where)
    assert np.all(size(ours[0] - e) < 3e-3 * size(e)) and np.all(size(ours[1] - h) < 3e-3 * size(h))


def test_close_to_the_wire_gauss_and_ampere_hold():
    """5 cm off: H is I/(2 pi r), and E outward the charge's, I' eta/(2 pi r k), within 2 %."""
    dipole, r = CASES["flat, soil"], 0.05
    solution, x = dipole.solution(F), np.array([0.6, 1.7, 3.0, 4.3])
    amps = np.interp(x, solution.mesh.nodes_m, solution.current)
    slope = (np.interp(x + 0.1, *(where := (solution.mesh.nodes_m, solution.current)))
             - np.interp(x - 0.1, *where)) / 0.2  # fmt: skip
    e, h = (part * np.sqrt(solution.impedance.real) for part in dipole.fields(F, x_m=x, y_m=r, z_m=8.0))
    assert abs(h[2]) == pytest.approx(abs(amps) / (2 * np.pi * r), rel=0.02)
    assert abs(e[1]) == pytest.approx(abs(slope) * ETA / (2 * np.pi * r * K), rel=0.02)


# --- how it is asked


def test_field_goes_with_the_root_of_the_power_and_shapes_broadcast():
    """A hundred times the watts, ten times the field; the shape out is the shape of all three together."""
    dipole, at = (
        CASES["vee with traps, soil"],
        {"x_m": np.arange(3.0)[:, None], "y_m": np.ones(4), "z_m": 1.8},
    )
    one, hundred = dipole.fields(F, **at), dipole.fields(F, **at, power_w=100)
    assert one[0].shape == one[1].shape == (3, 3, 4) and np.iscomplexobj(one[0])
    np.testing.assert_allclose(hundred, np.multiply(10, one))
    alone = dipole.fields(F, x_m=2, y_m=1, z_m=1.8)
    np.testing.assert_allclose(alone, np.array(one)[:, :, 2, 3])
    assert not np.any(dipole.fields(F, **at, power_w=0))


def test_both_sides_are_alike():
    """The antenna is its own mirror image to the left and to the right, and across."""
    x, y, z = around()
    e, h = fields("vee with traps, soil")
    for sides in ((-x, y, z), (x, -y, z)):
        mirrored = ask(CASES["vee with traps, soil"], sides)
        np.testing.assert_allclose(abs(mirrored[0]), abs(e), rtol=1e-6, atol=1e-9)
        np.testing.assert_allclose(abs(mirrored[1]), abs(h), rtol=1e-6, atol=1e-12)


def test_a_sweep_of_points_is_many_points():
    """More points than are worked on at a time: each as if asked alone."""
    x = np.linspace(-10, 10, 1200)
    e, h = CASES["flat, soil"].fields(F, x_m=x, y_m=1, z_m=2)
    for i in (0, 511, 512, 1199):
        one = CASES["flat, soil"].fields(F, x_m=x[i], y_m=1, z_m=2)
        np.testing.assert_allclose(one, (e[:, i], h[:, i]))


def test_in_line_with_the_wire_there_is_a_field_too():
    """Straight off the end, where "aside" has no direction, it is finite and along the wire."""
    on, beside = (CASES["flat, free"].fields(F, x_m=6, y_m=y, z_m=8) for y in (0, 1e-4))
    np.testing.assert_allclose(on[0], beside[0], rtol=1e-3, atol=1e-3 * abs(on[0][0]))
    assert abs(on[0][0]) > 1 and size(on[0][1:]) < 1e-6 and size(on[1]) < 1e-6


def test_distance_from_the_wire():
    """To the nearest part of it: beside, below, beyond the end, and between the legs of a vee."""
    flat, vee = (CASES[name].solution(F).mesh for name in ("flat, free", "vee, free"))
    where = np.array([[3, 0, -3.0], [0, 0, 8], [-6.1, 0, 8], [5.1, 2, 10]]).T
    assert flat.distance_m(where) == pytest.approx([11, 0, 1, np.hypot(2, 2)])
    level = np.sqrt(5.1**2 - 4**2)
    assert vee.distance_m(np.array([[0.0], [0.5], [9.0]])) == pytest.approx([0.5])
    assert vee.distance_m(np.array([0.0, 0, 9 - 2])) == pytest.approx(2 * level / 5.1)
    assert vee.distance_m(np.array([-level, 0, 4.0])) == pytest.approx(1)


@pytest.mark.parametrize(
    ("asked", "sentence"),
    [
        ({"z_m": -0.1}, "up from the ground"),
        ({"x_m": 2, "y_m": 0, "z_m": 8}, "on the wire or in it"),
        ({"x_m": 2, "y_m": 0.001, "z_m": 8}, "on the wire or in it"),
        ({"power_w": -1}, "power_w"),
        ({"power_w": [1, 2]}, "power_w is one number"),
        ({"x_m": "5"}, "x_m"),
        ({"x_m": [1, 2], "y_m": [1, 2, 3]}, r"x_m of shape \(2,\) and y_m of shape \(3,\)"),
        ({"f_mhz": [14, 15]}, "f_mhz is one number"),
    ],
)
def test_nonsense_is_refused(asked, sentence):
    """Each message names the argument and what it wants."""
    with pytest.raises(ValueError, match=sentence):
        CASES["flat, soil"].fields(**{"f_mhz": F, "x_m": 1, "y_m": 1, "z_m": 1.8} | asked)


def test_free_space_has_no_ground_to_be_under():
    """There z may be below zero."""
    e, _ = CASES["flat, free"].fields(F, x_m=0, y_m=0, z_m=[-2, 18])
    assert size(e)[0] == pytest.approx(size(e)[1])
    assert al.Dipole(**PLAIN, soil="free space").shape == al.FlatTop(height_m=1)


def test_another_soil_is_another_field():
    """The images are the soil's own: sea water shorts E along the ground, dry soil lets it in."""
    sea, dry = (
        size(replace(CASES["flat, soil"], soil=al.soil(soil)).fields(F, x_m=0, y_m=3, z_m=0)[0][:2])
        for soil in ("sea water", "very dry")
    )
    assert sea < 0.15 * dry
