"""lengths.py: closed forms agree with tables computed by quadrature and with special functions of scipy."""

import numpy as np
import pytest
import scipy.special
from reference import mutual_collinear
from tables import columns

from antlab.physics import lengths
from antlab.units import C_M_S

ONE_METRE_MHZ = C_M_S / 1e6  # here a length in metres is a length in wavelengths


def test_sine_and_cosine_integral():
    """scipy's Si and Ci from tiny to large arguments, across the change of method at 4."""
    x = np.concatenate([np.logspace(-8, 4, 400), [3.999999, 4.0, 4.000001]])
    si, ci = scipy.special.sici(x)
    np.testing.assert_allclose(lengths.sine_integral(x), si, atol=1e-12)
    np.testing.assert_allclose(lengths.cosine_integral(x), ci, atol=1e-12)
    assert lengths.cosine_integral(0) == -np.inf


def test_half_wave_dipole():
    """Textbook 73.1 + j42.5 ohm, with the exact impedance of free space 73.07901 + j42.51511 (quadrature)."""
    z = lengths.induced_emf_impedance(length_m=0.5, f_mhz=ONE_METRE_MHZ, wire_diameter_mm=0.01)
    assert z == pytest.approx(73.07901025 + 42.51511468j, abs=1e-6)
    assert z == pytest.approx(73.13 + 42.54j, abs=0.06)
    assert lengths.induced_emf_impedance(
        length_m=1.5, f_mhz=ONE_METRE_MHZ, wire_diameter_mm=0.01
    ) == pytest.approx(105.421 + 45.51j, abs=6e-3)


@pytest.mark.parametrize("radius", ["1e-5", "1e-4"])
def test_dipole_of_any_length(radius):
    """0.1 to 1.5 wavelengths, radius within the formula's range, to the table's digits."""
    table = columns("dipole_any_length")
    z = lengths.induced_emf_impedance(
        length_m=table["L_over_lambda"], f_mhz=ONE_METRE_MHZ, wire_diameter_mm=2e3 * float(radius)
    )
    np.testing.assert_allclose(z.real, table["R_in"], atol=6e-4)
    np.testing.assert_allclose(z.imag, table[radius], atol=6e-3)


def test_thick_wire_is_warned_about():
    """The reactance holds for a radius up to 1e-4 wavelength; beyond, the value comes with a warning."""
    with pytest.warns(UserWarning, match="radius up to 0.0001"):
        z = lengths.induced_emf_impedance(length_m=0.48, f_mhz=ONE_METRE_MHZ, wire_diameter_mm=2)
    assert z == pytest.approx(64.937 + 4.66j, abs=6e-3)


def test_mutual_impedance_table():
    """31 spacings to two wavelengths, and Carter's own three points of 1932 (value from memory)."""
    table = columns("half_wave_mutual")
    z = lengths.mutual_impedance(spacing_m=table["d_over_lambda"], f_mhz=ONE_METRE_MHZ)
    np.testing.assert_allclose(z.real, table["R21_eta0"], atol=6e-4)
    np.testing.assert_allclose(z.imag, table["X21_eta0"], atol=6e-4)
    carter = lengths.mutual_impedance(spacing_m=[0.25, 0.5, 1.0], f_mhz=ONE_METRE_MHZ)
    np.testing.assert_allclose(carter, [40.8 - 28.3j, -12.5 - 29.9j, 4.0 + 17.7j], atol=0.07)


def test_collinear_wires():
    """Ends touching: 26.4 + j20.2 ohm (J. D. Kraus, from memory); apart: quadrature of Carter's field."""
    touching = lengths.collinear_impedance(spacing_m=0.5, f_mhz=ONE_METRE_MHZ)
    assert touching == pytest.approx(26.396 + 20.148j, abs=6e-4)
    for centres in (0.6, 0.9, 1.7):
        ours = lengths.collinear_impedance(spacing_m=centres, f_mhz=ONE_METRE_MHZ)
        assert ours == pytest.approx(mutual_collinear(centres), abs=1e-6)


def test_over_a_mirror():
    """24 heights, flat and upright, over perfect ground by images."""
    table = columns("half_wave_over_mirror")
    h = table["h_over_lambda"]
    flat = lengths.mirror_impedance(height_m=h, f_mhz=ONE_METRE_MHZ)
    np.testing.assert_allclose(flat.real, table["R_horizontal"], atol=6e-4)
    np.testing.assert_allclose(flat.imag, table["X_horizontal"], atol=6e-4)
    up = ~np.isnan(table["R_vertical"])
    upright = lengths.mirror_impedance(height_m=h[up], f_mhz=ONE_METRE_MHZ, vertical=True)
    np.testing.assert_allclose(upright.real, table["R_vertical"][up], atol=6e-4)
    np.testing.assert_allclose(upright.imag, table["X_vertical"][up], atol=6e-4)


def test_directivity_and_beamwidth():
    """Short wire to one and a half wavelengths: 1.5 and 90 deg, 1.64 and 78 deg of the books, and between."""
    table = columns("dipole_directivity")
    length = table["L_over_lambda"]
    np.testing.assert_allclose(lengths.directivity(length), table["D"], atol=6e-6)
    broad = ~np.isnan(table["HPBW_deg"])
    np.testing.assert_allclose(lengths.beamwidth_deg(length[broad]), table["HPBW_deg"][broad], atol=6e-3)
    assert lengths.directivity(0.5) == pytest.approx(1.64092238, abs=1e-8)
    assert lengths.beamwidth_deg(0.5) == pytest.approx(78.0777, abs=1e-4)


def test_length_rules():
    """492/f feet in free space, 468/f for wire: "Useful info", a page of formulas (S)."""
    assert lengths.half_wave_m(1.0) / 0.3048 == pytest.approx(492, abs=0.3)
    assert lengths.quarter_wave_m(7.1) == pytest.approx(10.556, abs=5e-4)
    assert lengths.rule_length_m(7.1) / 0.3048 == pytest.approx(65.92, abs=5e-3)
    assert lengths.rule_length_m(7.1, 478) > lengths.rule_length_m(7.1)


def test_thin_wire_in_free_space_wants_478():
    """2 mm wire on 40 m is resonant between 477/f and 481/f by the closed form; at 468/f it is capacitive."""
    f = 7.1
    length = lengths.rule_length_m(f, np.array([468, 477, 481]))
    x = lengths.induced_emf_impedance(length_m=length, f_mhz=f, wire_diameter_mm=2).imag
    assert x[0] < -20 and x[1] < 0 < x[2]


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (lambda: lengths.half_wave_m(7100), "kilohertz"),
        (lambda: lengths.rule_length_m(7.1, 142.6), "constant_ft"),
        (lambda: lengths.rule_length_m(7.1, np.nan), "constant_ft"),
        (lambda: lengths.sine_integral(-1), "x must"),
        (lambda: lengths.induced_emf_impedance(length_m=0, f_mhz=7, wire_diameter_mm=2), "length_m"),
        (lambda: lengths.induced_emf_impedance(length_m=42.2, f_mhz=7.1, wire_diameter_mm=2), "at the feed"),
        (lambda: lengths.mutual_impedance(spacing_m=-1, f_mhz=7.1), "spacing_m"),
        (lambda: lengths.collinear_impedance(spacing_m=10, f_mhz=7.1), "overlap"),
        (lambda: lengths.mirror_impedance(height_m=0, f_mhz=7.1), "height_m"),
        (lambda: lengths.mirror_impedance(height_m=5, f_mhz=7.1, vertical=True), "quarter wavelength"),
        (lambda: lengths.directivity(3), "up to 2"),
        (lambda: lengths.beamwidth_deg(1.5), "up to 1.4"),
    ],
)
def test_nonsense_is_refused(call, sentence):
    """Each message names the argument or says where the formula stops."""
    with pytest.raises(ValueError, match=sentence):
        call()


def test_shape_in_is_shape_out():
    """Arrays broadcast and a scalar stays a scalar."""
    z = lengths.induced_emf_impedance(length_m=[[20.0], [21.0]], f_mhz=[7.0, 7.1, 7.2], wire_diameter_mm=2)
    assert z.shape == (2, 3)
    assert lengths.directivity([[0.5, 1.0]]).shape == lengths.beamwidth_deg([[0.5, 1.0]]).shape == (1, 2)
    assert np.ndim(lengths.mirror_impedance(height_m=10, f_mhz=7.1)) == 0


def test_a_wire_is_drawn_right_up_to_its_ends():
    """Ends that touch, a dipole that stands on the ground, a wire as thick as allowed: all still in range."""
    quarter, half = lengths.quarter_wave_m(14.2), lengths.half_wave_m(14.2)
    assert np.isfinite(lengths.collinear_impedance(spacing_m=half, f_mhz=14.2))
    assert np.isfinite(lengths.mirror_impedance(height_m=quarter, f_mhz=14.2, vertical=True))
    with pytest.raises(ValueError, match="overlap"):
        lengths.collinear_impedance(spacing_m=0.999 * half, f_mhz=14.2)
    with pytest.raises(ValueError, match="quarter wavelength or more"):
        lengths.mirror_impedance(height_m=0.999 * quarter, f_mhz=14.2, vertical=True)
    thick = 2e3 * lengths.THIN * lengths.wavelength_m(14.2)
    lengths.induced_emf_impedance(length_m=half, f_mhz=14.2, wire_diameter_mm=thick)
    with pytest.warns(UserWarning, match="this one has 0.0001"):
        lengths.induced_emf_impedance(length_m=half, f_mhz=14.2, wire_diameter_mm=1.001 * thick)
    assert lengths.rule_length_m(7.1) == pytest.approx(468 / 7.1 * 0.3048)
