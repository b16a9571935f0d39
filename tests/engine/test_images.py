"""images.py: the list of images against the integrals it stands for."""

import numpy as np
import pytest
from make_converged import SOILS
from reference import C, soil_epsilon, sommerfeld_potentials

import antlab as al
from antlab.engine.images import soil_images, spectra
from antlab.physics.ground import reflections


@pytest.mark.parametrize("f_mhz", [3.6, 14.1, 28.4])
@pytest.mark.parametrize("name", ["sea", "average", "very dry"])
def test_images_stand_for_the_sommerfeld_integrals(name, f_mhz):
    """All four potentials, near and a wavelength away, 1.2 m to 6 m up: within 0.3 % of 1/R by quadrature."""
    permittivity, conductivity = SOILS[name]
    depth, strength = soil_images(f_mhz, al.Soil(permittivity=permittivity, conductivity=conductivity))
    epsilon, k = soil_epsilon(f_mhz, permittivity, conductivity), 2 * np.pi * f_mhz * 1e6 / C
    for distance, height_sum in ((0.5, 6), (8, 6), (20, 12), (8, 2.4)):
        r = np.sqrt(distance**2 + (height_sum - 1j * depth) ** 2)
        images = (strength * np.exp(-1j * k * r) / r).sum(axis=1)
        exact = sommerfeld_potentials(f_mhz, epsilon, distance, height_sum)
        assert abs(images - exact).max() * np.hypot(distance, height_sum) < 0.003


@pytest.mark.parametrize("f_mhz", [1.8, 3.5, 10.1, 28.5, 54])
@pytest.mark.parametrize("name", al.SOILS)
def test_images_hold_over_every_soil_of_the_table(name, f_mhz):
    """From 1 m up, out to half a wavelength: within 2 % of 1/R, fresh water too."""
    soil, wavelength = al.SOILS[name], C / 1e6 / f_mhz
    _holds(soil, f_mhz, [(0.02 * wavelength, 2), (wavelength / 4, 2), (wavelength / 2, 6)], within=0.02)


@pytest.mark.parametrize("permittivity", [18, 51.5, 68.2, 81])
def test_images_hold_over_soil_with_hardly_any_loss(permittivity):
    """The spectra turn at the root of the permittivity; a line that ends before was wrong by a factor."""
    soil = al.Soil(permittivity=permittivity, conductivity=0.0003)
    for f_mhz in (1.8, 12.2, 54):
        _holds(soil, f_mhz, [(0.1, 2), (0.25 * C / 1e6 / f_mhz, 2)], within=0.02)


def _holds(soil, f_mhz, places, within):
    depth, strength = soil_images(f_mhz, soil)
    epsilon, k = complex(soil.complex_permittivity(f_mhz)), 2 * np.pi * f_mhz * 1e6 / C
    for distance, height_sum in places:
        r = np.sqrt(distance**2 + (height_sum - 1j * depth) ** 2)
        images = (strength * np.exp(-1j * k * r) / r).sum(axis=1)
        exact = sommerfeld_potentials(f_mhz, epsilon, distance, height_sum)
        assert abs(images - exact)[:3].max() * np.hypot(distance, height_sum) < within


def test_no_ground_and_a_mirror():
    """In free space there is no image; a mirror has one, as deep as the wire is high, of known strengths."""
    depth, strength = soil_images(7.1, al.FREE_SPACE)
    assert depth.shape == (0,) and strength.shape == (4, 0)
    depth, strength = soil_images(7.1, al.PERFECT_GROUND)
    # horizontal current and charge turn round, upright current does not (J. D. Kraus, Antennas, from memory)
    assert depth.tolist() == [0] and strength.ravel().tolist() == [-1, -1, 1, 0]


@pytest.mark.parametrize(("name", "images"), [("average", 8), ("wet", 12), ("sea water", 12)])
def test_how_many_images_soil_takes(name, images):
    """Eight up to a permittivity of 17, twelve over what is as wet as water: what a redraw has time for."""
    assert soil_images(7.1, al.soil(name))[0].shape == (images,)
    for permittivity, many in ((17, 8), (17.1, 12)):
        assert len(soil_images(7.1, al.Soil(permittivity=permittivity, conductivity=0.01))[0]) == many


@pytest.mark.parametrize("name", ["average", "sea water", "very dry"])
def test_the_spectra_are_fresnel_s(name):
    """For waves that go somewhere: level current by the horizontal coefficient, and all others by both.

    With q = (R_h + R_v)/cos² the charge has R_h + sin² q, upright current R_v - sin² q, the cross term sin q.
    """
    up, soil = np.array([5.0, 30.0, 60.0, 85.0]), al.soil(name)
    h, v = reflections(elevation_deg=up, f_mhz=7.1, soil=soil)
    s = np.sin(np.radians(up))
    q = (h + v) / (1 - s**2)
    wanted = [h, h + s**2 * q, v - s**2 * q, s * q]
    np.testing.assert_allclose(spectra(s, complex(soil.complex_permittivity(7.1))), wanted, rtol=1e-9)


@pytest.mark.parametrize("soil", [al.soil("average"), al.Soil(permittivity=13, conductivity=0)])
def test_waves_in_the_ground_die_away_downwards(soil):
    """Whichever root NumPy takes, all along the line that is sampled, in soil without loss as well."""
    k_z, epsilon = -1j * np.r_[np.linspace(0.1, 8, 40), 12.25**0.5], complex(soil.complex_permittivity(7.1))
    te = spectra(k_z, epsilon)[0]
    below = k_z * (1 - te) / (1 + te)
    np.testing.assert_allclose(below**2, epsilon - 1 + k_z**2, rtol=1e-9)
    assert np.all(below.imag < 1e-9)
