"""coil.py: inductance and skin effect agree with the old tables and with exact special functions."""

import numpy as np
import pytest
import scipy.special
from tables import columns

from antlab.physics import coil

COILS = [  # mean diameter, length, turns, wire
    (39.95, 49.5, 10, 3.6), (53.5, 52, 10, 3.6), (38.35, 19.8, 4, 3.6), (50, 80, 19, 3), (50, 80, 19, 1),
    (27.8, 28, 10, 2), (40, 30, 8, 2), (60, 20, 5, 2), (30, 90, 20, 3.6),
]  # fmt: skip


def mutual_uh(a_mm, b_mm, apart_mm):
    """Two rings on one axis: J. C. Maxwell's formula, by scipy's elliptic integrals."""
    m = 4 * a_mm * b_mm / ((a_mm + b_mm) ** 2 + apart_mm**2)
    k, e = scipy.special.ellipk(m), scipy.special.ellipe(m)
    return 4e-4 * np.pi * np.sqrt(a_mm * b_mm / m) * ((2 - m) * k - 2 * e)


def rings_uh(diameter, length, turns, wire, *, filaments=24):
    """A coil as rings, each of filaments around its wire: the current finds its own way among them.

    One filament carries the whole current of a wire evenly on its skin: μ0·R·(ln(8R/r) − 2), Kirchhoff.
    """
    theta = 2 * np.pi * (np.arange(filaments) + 0.5) / filaments * (filaments > 1)
    thick = wire / 2 * (filaments > 1)
    radius = np.tile(diameter / 2 - thick * np.cos(theta), turns)
    place = np.repeat(np.arange(turns) * length / turns, filaments) + np.tile(thick * np.sin(theta), turns)
    with np.errstate(invalid="ignore", divide="ignore"):
        matrix = mutual_uh(radius[:, None], radius, place[:, None] - place)
    own = 4e-4 * np.pi * radius * (np.log(8 * radius / (wire / 2 / filaments)) - 2)
    np.fill_diagonal(matrix, own)  # so that the filaments' mean distance is the wire's radius
    of_turn = np.kron(np.eye(turns), np.ones((filaments, 1)))
    between_turns = np.linalg.inv(of_turn.T @ np.linalg.solve(matrix, of_turn))
    return np.sum(between_turns)


def test_nagaoka_table():
    """NBS Circular C74, Table 21, recomputed to eight digits; the recalled entries to 2e-4."""
    table = columns("nagaoka")
    ours = coil.nagaoka(table["D_over_l"])
    np.testing.assert_allclose(ours, table["K_exact_C"], rtol=6e-8)
    recalled = ~np.isnan(table["K_recalled_M"])
    np.testing.assert_allclose(ours[recalled], table["K_recalled_M"][recalled], rtol=2e-3)


def test_nagaoka_against_elliptic_integrals():
    """The arithmetic-geometric mean gives what scipy's K and E give, for needles and for rings."""
    u = np.logspace(-3, 3, 25)
    m = u**2 / (1 + u**2)
    k, e = scipy.special.ellipk(m), scipy.special.ellipe(m)
    lorenz = 4 / (3 * np.pi * np.sqrt(1 - m)) * ((1 - m) / m * (k - e) + e - np.sqrt(m))
    np.testing.assert_allclose(coil.nagaoka(u), lorenz, rtol=1e-9)


def test_wheeler_errs_as_published():
    """H. A. Wheeler 1928: his formula's error against the current sheet, and a warning beyond its range."""
    table = columns("nagaoka")
    inside = table["D_over_l"] <= 2.5
    u = table["D_over_l"][inside]
    sheet = coil.solenoid_uh(diameter_mm=50, length_mm=50 / u, turns=10)
    error = 100 * (coil.wheeler_uh(diameter_mm=50, length_mm=50 / u, turns=10) / sheet - 1)
    np.testing.assert_allclose(error, table["Wheeler_error_percent"][inside], atol=6e-4)
    assert np.abs(error).max() < 0.6
    with pytest.warns(UserWarning, match="shorter than 0.4"):
        coil.wheeler_uh(diameter_mm=50, length_mm=10, turns=5)


def test_worked_coils():
    """Five coils worked by hand: sheet, round-wire correction, sum."""
    table = columns("coils")
    size = {"diameter_mm": table["D_mm"], "length_mm": table["l_mm"], "turns": table["N"]}
    np.testing.assert_allclose(coil.solenoid_uh(**size), table["L_sheet_uH"], atol=6e-6)
    correction = coil.rosa_correction_uh(**size, wire_mm=table["d_wire_mm"])
    np.testing.assert_allclose(correction, table["Rosa_corr_uH"], atol=6e-6)
    np.testing.assert_allclose(coil.solenoid_uh(**size, wire_mm=table["d_wire_mm"]), table["L_uH"], atol=6e-6)


def test_published_coil_of_the_trap_dipole():
    """C. L. Buchanan, QST, March 1955, as reprinted (S2): 19 turns of 3 mm wire, 50 mm by 80 mm, 8.3 uH."""
    ours = coil.solenoid_uh(diameter_mm=50, length_mm=80, turns=19, wire_mm=3)
    assert ours == pytest.approx(8.3, rel=0.02)


def test_rosa_b():
    """Rosa & Grover, Sci. Paper 169: B(N); the correction is isolated by a wire that makes A + B known."""
    table = columns("rosa_b")
    n = table["N"]
    wire = 2 * np.exp(-1.25)  # with a pitch of 1 mm this makes A zero
    ours = coil.rosa_correction_uh(diameter_mm=2, length_mm=n, turns=n, wire_mm=wire)
    np.testing.assert_allclose(ours / (4e-4 * np.pi * n), table["B"], atol=2e-6)


@pytest.mark.parametrize("size", COILS)
def test_current_on_the_skin_against_rings(size):
    """At radio frequency the field inside the wire is gone: Maxwell's rings say by how much, turn by turn."""
    diameter, length, turns, wire = size
    size = {"diameter_mm": diameter, "length_mm": length, "turns": turns, "wire_mm": wire}
    skin = coil.solenoid_uh(**size, current="skin")
    assert skin == pytest.approx(rings_uh(diameter, length, turns, wire, filaments=1), rel=0.003)
    # less than at direct current by the field in a filled wire, μ0/8π a metre
    inside = 0.05 * np.pi * diameter * turns / 1e3
    assert coil.solenoid_uh(**size) - skin == pytest.approx(inside, rel=1e-9)


@pytest.mark.parametrize("size", COILS)
def test_crowded_current_against_rings_of_filaments(size):
    """In solid wire the current goes where the field lets it: filaments in parallel find the inductance."""
    diameter, length, turns, wire = size
    size = {"diameter_mm": diameter, "length_mm": length, "turns": turns, "wire_mm": wire}
    found = rings_uh(diameter, length, turns, wire)
    assert coil.solenoid_uh(**size, current="crowded") == pytest.approx(found, rel=0.01)
    assert coil.solenoid_uh(**size, current="crowded") < coil.solenoid_uh(**size, current="skin")


def test_measured_coil_at_radio_frequency():
    """R. A. Cox, towertalk list, 27 February 1997 (S): 2.44 uH on a Q meter, of a coil for a trap.

    17 turns of 0.102 in wire, diameter 1 in, length 2 in, taken from middle to middle of the wire. At direct
    current it would have 2.77 uH.
    """
    ours = coil.solenoid_uh(diameter_mm=25.4, length_mm=50.8, turns=17, wire_mm=2.59, current="crowded")
    assert ours == pytest.approx(2.44, rel=0.015)


def test_one_turn_is_a_ring():
    """One turn is Kirchhoff's ring of round wire, μ0·R·(ln(8R/r) − 2 + 1/4)."""
    radius, wire = 500.0, 2.0
    ring = 4e-4 * np.pi * radius * (np.log(8 * radius / (wire / 2)) - 2 + 0.25)
    ours = coil.solenoid_uh(diameter_mm=2 * radius, length_mm=5, turns=1, wire_mm=wire)
    assert ours == pytest.approx(ring, rel=1e-3)


def test_skin_effect_table():
    """NBS Circular 74, Table XVIII, and its recomputed neighbours."""
    table = columns("skin_effect")
    np.testing.assert_allclose(coil.skin_effect_ratio(table["x"]), table["R_over_Rdc"], atol=6e-6)


def test_skin_effect_against_bessel_functions():
    """scipy's Bessel functions of complex argument, thin to thick, across the change of method at 100."""
    x = np.array([1e-3, 0.3, 1, 3, 10, 30, 99.99, 100.01, 300, 600])
    z = x * np.sqrt(-1j)
    exact = (z / 2 * scipy.special.jve(0, z) / scipy.special.jve(1, z)).real
    np.testing.assert_allclose(coil.skin_effect_ratio(x), exact, rtol=1e-8)
    assert coil.skin_effect_ratio(0) == 1


def test_copper_wire_table():
    """Resistance per metre of AWG 8 to 24 at direct current and on five bands, to the table's digits."""
    table = columns("copper_wire")
    d = coil.awg_mm(table["gauge"])
    np.testing.assert_allclose(d, table["d_mm"], atol=6e-5)
    np.testing.assert_allclose(4e6 / (np.pi * d**2 * coil.COPPER_S_M), table["direct"], rtol=2e-4)
    for f in ("1.9", "3.75", "7.1", "14.15", "28.4"):
        ours = coil.wire_resistance_ohm_per_m(f_mhz=float(f), wire_diameter_mm=d)
        np.testing.assert_allclose(ours, table[f], rtol=2e-5)


@pytest.mark.parametrize(
    ("f", "um"), [(1, 66.09), (3.5, 35.32), (7, 24.98), (10, 20.90), (14, 17.66), (28, 12.49), (100, 6.609)]
)
def test_skin_depth(f, um):
    """Copper, micrometres (computed from the definition)."""
    assert 1e3 * coil.skin_depth_mm(f_mhz=f) == pytest.approx(um, rel=3e-4)


def test_gauge_ends():
    """ASTM B258: 0.005 inch at 36 and 0.46 inch at 0000, which is -3 (value from memory)."""
    assert coil.awg_mm(36) == pytest.approx(0.127)
    assert coil.awg_mm(-3) == pytest.approx(11.684)


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (lambda: coil.solenoid_uh(diameter_mm=50, length_mm=0, turns=10), "length_mm .* millimetres"),
        (lambda: coil.solenoid_uh(diameter_mm=50, length_mm=20, turns=10, wire_mm=3), "do not fit"),
        (lambda: coil.solenoid_uh(diameter_mm=50, length_mm=20, turns=5, wire_mm=2, current="dc"), "filled"),
        (lambda: coil.solenoid_uh(diameter_mm=np.nan, length_mm=20, turns=10), "diameter_mm"),
        (lambda: coil.wheeler_uh(diameter_mm=50, length_mm=20, turns=-1), "turns"),
        (lambda: coil.nagaoka(-1), "diameter_over_length"),
        (lambda: coil.skin_effect_ratio(-1), "x must be"),
        (lambda: coil.wire_resistance_ohm_per_m(f_mhz=7.1, wire_diameter_mm=0), "wire_diameter_mm"),
        (lambda: coil.wire_resistance_ohm_per_m(f_mhz=7.1, wire_diameter_mm=2, conductivity_s_m=0), "siem"),
        (lambda: coil.skin_depth_mm(f_mhz=7100), "kilohertz"),
        (lambda: coil.awg_mm(99), "AWG number"),
        (lambda: coil.awg_mm(np.nan), "AWG number"),
    ],
)
def test_nonsense_is_refused(call, sentence):
    """Each message names the argument and what it wants."""
    with pytest.raises(ValueError, match=sentence):
        call()


def test_shape_in_is_shape_out():
    """Arrays broadcast and a scalar stays a scalar."""
    assert coil.wire_resistance_ohm_per_m(f_mhz=[[3.6], [7.1]], wire_diameter_mm=[1, 2, 3]).shape == (2, 3)
    metals = coil.wire_resistance_ohm_per_m(f_mhz=7, wire_diameter_mm=2, conductivity_s_m=[5e7, 3e7])
    assert metals[0] < metals[1]
    assert np.ndim(coil.solenoid_uh(diameter_mm=50, length_mm=80, turns=19, wire_mm=3)) == 0


def test_skin_depth_by_its_definition():
    """δ = 1/√(πfμσ), to all digits: 503.29 m·√(1/(fσ))."""
    ours = coil.skin_depth_mm(f_mhz=4, conductivity_s_m=25e6)
    assert ours == pytest.approx(1e3 / np.sqrt(np.pi * 4e6 * 1.25663706212e-6 * 25e6), rel=1e-9)


def test_where_coils_and_gauges_end():
    """One turn and ten thousand belong, 0000 and 40 too; wire that fills the pitch fits."""
    assert coil.check_turns([1, 10_000]).tolist() == [1, 10_000]
    for wrong in (0.999, 10_001):
        with pytest.raises(ValueError, match="1 to 10,000"):
            coil.check_turns(wrong)
    assert coil.awg_mm([-3, 40]) == pytest.approx([11.684, 0.0799], rel=1e-3)
    for wrong in (-3.1, 40.1):
        with pytest.raises(ValueError, match="from -3"):
            coil.awg_mm(wrong)
    size = {"diameter_mm": 40, "length_mm": 30, "turns": 10}
    full = coil.rosa_correction_uh(**size, wire_mm=3)
    assert coil.rosa_correction_uh(**size, wire_mm=3 + 1e-12) == pytest.approx(full, rel=1e-9)
    with pytest.raises(ValueError, match="do not fit"):
        coil.rosa_correction_uh(**size, wire_mm=3.0001)
    assert coil.solenoid_uh(**size, wire_mm=2) == coil.solenoid_uh(**size, wire_mm=2, current="filled")
    assert coil.rosa_correction_uh(**size, wire_mm=2) == coil.rosa_correction_uh(
        **size, wire_mm=2, current="filled"
    )
    assert coil.wheeler_uh(diameter_mm=25, length_mm=10, turns=5) > 0  # 0.4 of its diameter is no warning
