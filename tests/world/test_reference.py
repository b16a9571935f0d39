"""The references themselves, against printed numbers and each other, before they judge the engine."""

import numpy as np
import pytest
from make_converged import antenna
from reference import (
    Antenna,
    C,
    fresnel,
    induced_emf,
    mutual_collinear,
    mutual_side_by_side,
    over_mirror,
    pseudo_brewster,
    read_table,
    sinusoid_directivity,
    soil_epsilon,
    sommerfeld_fields,
)


def test_closed_forms_give_the_textbook_half_wave():
    """Carter 1932 and every textbook: 73.1 + j42.5 ohm, 1.64, collinear 26.4 + j20.2 (from memory)."""
    book = {row["quantity"]: row for row in read_table("dipole_half_wave")}
    z = induced_emf(0.5, 1e-5)
    assert z.real == pytest.approx(book["resistance_ohm"]["value"], abs=1e-7)
    assert z.imag == pytest.approx(book["reactance_ohm"]["value"], abs=1e-7)
    assert z == pytest.approx(
        complex(book["resistance_ohm"]["textbook"], book["reactance_ohm"]["textbook"]), rel=1e-3
    )
    assert sinusoid_directivity(0.5) == pytest.approx(book["directivity"]["value"], rel=1e-7)
    touching = mutual_collinear(0.5 + 1e-9)
    assert touching.real == pytest.approx(book["collinear_touching_r_ohm"]["value"], abs=1e-3)
    assert touching.imag == pytest.approx(book["collinear_touching_x_ohm"]["value"], abs=1e-3)


def test_closed_forms_give_the_published_tables():
    """Sections 1a to 1d: any length, side by side, over the mirror; to the last printed digit."""
    for row in read_table("dipole_any_length"):
        for radius in ("1e-5", "1e-4", "1e-3"):
            z = induced_emf(row["L_over_lambda"], float(radius))
            assert z.real == pytest.approx(row["R_in"], abs=6e-4)
            assert z.imag == pytest.approx(row[radius], abs=6e-3)
    for row in read_table("half_wave_mutual")[1:]:
        z = mutual_side_by_side(row["d_over_lambda"])
        assert (z.real, z.imag) == pytest.approx((row["R21_eta0"], row["X21_eta0"]), abs=6e-4)
    for row in read_table("half_wave_over_mirror"):
        z = over_mirror(row["h_over_lambda"])
        assert (z.real, z.imag) == pytest.approx((row["R_horizontal"], row["X_horizontal"]), abs=6e-4)
    for row in read_table("half_wave_over_mirror")[6:]:
        z = over_mirror(row["h_over_lambda"], upright=True)
        assert (z.real, z.imag) == pytest.approx((row["R_vertical"], row["X_vertical"]), abs=6e-4)
    for row in read_table("dipole_directivity"):
        assert sinusoid_directivity(row["L_over_lambda"]) == pytest.approx(row["D"], abs=6e-6)


def test_fresnel_reference_gives_the_published_table():
    """Section 6c: size and angle at three elevations, pseudo-Brewster angle; nine grounds, four bands."""
    grounds = {row["soil"]: row for row in read_table("ground_constants")}
    for row in read_table("fresnel_soils"):
        ground = grounds[row["soil"]]
        epsilon = soil_epsilon(row["f_mhz"], ground["permittivity"], ground["conductivity"])
        assert epsilon == pytest.approx(complex(row["eps_real"], row["eps_imag"]), rel=1e-6, abs=6e-4)
        for elevation in (10, 30, 90):
            for value, which in zip(fresnel(elevation, epsilon), "hv", strict=True):
                assert abs(value) == pytest.approx(row[f"{which}{elevation}_size"], abs=6e-5)
                assert np.degrees(np.angle(value)) == pytest.approx(row[f"{which}{elevation}_deg"], abs=6e-3)
        assert pseudo_brewster(epsilon) == pytest.approx(
            (row["brewster_deg"], row["brewster_size"]), abs=6e-4
        )


@pytest.mark.parametrize("ends", [None, 4.0])
def test_moment_method_conserves_power(ends):
    """What is radiated is what is fed, without loss, in free space and over the mirror, flat and bent."""
    for ground in (None, "mirror"):
        wire = Antenna(f_mhz=7.1, sections=(10.0,), middle=9.0, ends=ends, ground=ground, finest=0.1)
        assert wire.sky_fraction() == pytest.approx(1, abs=1e-6)
        assert abs(wire.matrix - wire.matrix.T).max() < 1e-7 * abs(wire.matrix).max()


def test_moment_method_tends_to_the_closed_form():
    """The thinner the wire, the nearer 73.08 + j42.52: its current becomes the sinusoid Carter assumed."""
    errors = [
        abs(Antenna(f_mhz=30, sections=(C / 30e6 / 4,), radius=radius).impedance / induced_emf(0.5, 1e-6) - 1)
        for radius in (1e-3, 1e-5, 1e-8)
    ]
    assert errors[0] > errors[1] > errors[2]
    assert errors[2] < 0.07


def test_soil_spectrum_tends_to_the_mirror():
    """A ground of absurdly high conductivity is one image, element by element, in a bent wire too."""
    wire = dict(f_mhz=7.1, sections=(10.0,), middle=9.0, ends=4.0, finest=0.2)
    mirror, copper_sea = Antenna(**wire, ground="mirror"), Antenna(**wire, ground=1 - 1e10j)
    image = mirror._gather(mirror._field_pairs(image=True))
    assert abs(copper_sea.soil_matrix - image).max() < 1e-4 * abs(image).max()


@pytest.mark.parametrize("soil", [(70, 5), (13, 0.005), (3, 0.0001)])
def test_soil_spectrum_agrees_with_sommerfeld_integrals(soil):
    """The plane-wave spectrum against Banos's Hankel integrals, level, upright and mixed elements at once.

    Two small pieces of a bent wire, far apart, are two current elements: their mutual impedance is minus the
    field of the one along the other.
    """
    epsilon = soil_epsilon(14.15, *soil)
    wire = Antenna(f_mhz=14.15, sections=(5.2,), middle=8.0, ends=4.0, ground=epsilon)
    start, way, length = wire.parts
    size = (np.tan(wire.k * length[:-1] / 2) + np.tan(wire.k * length[1:] / 2)) / wire.k
    where = wire.nodes[1:-1] + way[:-1] * ((length[1:] - length[:-1]) / 3)[:, None]
    n = len(size)
    for m, s in ((n // 4, 3 * n // 4), (n // 5, n // 3), (n // 2 + 3, n - 4)):
        across = where[m, 0] - where[s, 0]
        field = sommerfeld_fields(14.15, epsilon, abs(across), where[m, 1] + where[s, 1])
        (sx, sz), (mx, mz) = way[s], way[m]
        sx, mx = sx * np.sign(across), mx * np.sign(across)
        along = (
            mx * sx * field["x", "x"]
            + mx * sz * field["z", "x"]
            + mz * sx * field["x", "z"]
            + mz * sz * field["z", "z"]
        )
        expected = -size[m] * size[s] * along
        assert wire.soil_matrix[m, s] == pytest.approx(expected, rel=2e-3)


@pytest.mark.parametrize(("table", "rows"), [("plain", [1, 4, 31, 44, 61]), ("trap", [9, 30])])
def test_stored_values_are_what_the_script_makes(table, rows):
    """A sample of converged/, computed anew; and a first row has settled when all is made finer."""
    stored = read_table(table, folder="converged")
    for row in (stored[number] for number in rows):
        z = complex(row["r_ohm"], row["x_ohm"])
        assert antenna(row).impedance == pytest.approx(z, abs=2e-3)
    finer = antenna(stored[rows[0]], finest=0.0125, fine=1.3).impedance
    first = complex(stored[rows[0]]["r_ohm"], stored[rows[0]]["x_ohm"])
    assert abs(finer / first - 1) < (0.004 if table == "plain" else 0.011)
