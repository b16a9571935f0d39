"""sky.py: the hop agrees with the geometry of ITU-R P.533, of a regulation, and with quoted MUF factors."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tables import columns, grid

from antlab.physics import sky


def test_hop_distances():
    """19 angles, 7 layer heights, to the table's tenth of a kilometre."""
    elevation, layer, km = grid("hop_distance")
    np.testing.assert_allclose(sky.hop_km(elevation[:, None], layer), km, atol=0.06)


def test_elevation_for_a_distance():
    """Angle by distance for E and F2 layers; where the table is negative one hop does not reach."""
    table = columns("hop_elevation")
    for layer in ("110", "300"):
        seen = table[layer] >= 0
        ours = sky.elevation_for_km(table["d_km"][seen], float(layer))
        np.testing.assert_allclose(ours, table[layer][seen], atol=6e-3)
    with pytest.raises(ValueError, match="reaches 2351 km at most; 2500 km takes two or more"):
        sky.elevation_for_km(2500, 110)


def test_angles_of_a_regulation():
    """47 CFR 73.190(d), theta = atan(K·cot(d/444.54)) − d/444.54 degrees (formula from memory; K stored).

    Its constants K1 to K3 are our geometry with virtual heights 96.5, 120.6 and 72.4 km, radius 6367.6 km.
    """
    d = 500.0
    for k, layer in ((0.00752, 96.5), (0.00938, 120.6), (0.00565, 72.4)):
        half = np.radians(d / 444.54)
        regulation = np.degrees(np.arctan(k / np.tan(half)) - half)
        assert sky.elevation_for_km(d, layer) == pytest.approx(regulation, abs=0.1)


def test_secant_table():
    """10 angles, 7 layer heights, to the table's digits."""
    elevation, layer, secant = grid("hop_secant")
    np.testing.assert_allclose(sky.secant_factor(elevation[:, None], layer), secant, atol=6e-4)


@pytest.mark.parametrize(
    ("km", "factor"), [(500, 1.29), (1000, 1.85), (1500, 2.39), (2000, 2.81), (2500, 3.10), (3000, 3.28)]
)
def test_quoted_muf_factors(km, factor):
    """MUF/foF2 at 300 km: B. Zolesi & L. R. Cander, Ionospheric Prediction and Forecasting, 2014 (S2)."""
    assert sky.secant_factor(sky.elevation_for_km(km, 300), 300) == pytest.approx(factor, abs=0.008)


@pytest.mark.parametrize(
    ("km", "factor"), [(500, 1.29), (1000, 1.85), (1500, 2.39), (2000, 2.81), (2500, 3.10), (3000, 3.28)]
)
def test_skip_zone_by_the_quoted_factors(km, factor):
    """The same table read backwards: a frequency so many times the critical one skips that far.

    A step of the table's last digit is 5 km near 500 km, and 40 km near 3000 km, where the curve is flat.
    """
    assert sky.skip_km(7 * factor, critical_mhz=7) == pytest.approx(km, abs=0.015 * km)


@given(st.floats(1, 30), st.floats(2, 14), st.floats(80, 600))
def test_the_skip_zone_ends_where_the_steepest_ray_lands(f_mhz, critical_mhz, layer):
    """At its edge the secant law just returns f; below the critical frequency there is none."""
    km = sky.skip_km(f_mhz, critical_mhz=critical_mhz, layer_km=layer)
    if f_mhz <= critical_mhz:
        assert km == 0
    elif np.isinf(km):
        assert sky.secant_factor(0, layer) * critical_mhz < f_mhz * (1 + 1e-9)
    else:
        factor = sky.secant_factor(sky.elevation_for_km(km, layer), layer)
        assert factor * critical_mhz == pytest.approx(f_mhz, rel=1e-4)


@given(st.floats(0, 90), st.floats(80, 600))
def test_there_and_back(elevation, layer):
    """The angle for the distance of an angle is that angle."""
    assert sky.elevation_for_km(sky.hop_km(elevation, layer), layer) == pytest.approx(elevation, abs=1e-4)


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (lambda: sky.hop_km(-1), "elevation_deg"),
        (lambda: sky.hop_km(91), "0 to 90"),
        (lambda: sky.hop_km(np.nan), "elevation_deg"),
        (lambda: sky.hop_km(10, 300_000), "between 50 and 1000 km"),
        (lambda: sky.hop_km(10, 0), "layer_km"),
        (lambda: sky.elevation_for_km(-5), "distance_km"),
        (lambda: sky.secant_factor(100), "0 to 90"),
        (lambda: sky.skip_km(7_100_000, critical_mhz=7), "looks like hertz"),
        (lambda: sky.skip_km(7.1, critical_mhz=0), "megahertz"),
    ],
)
def test_nonsense_is_refused(call, sentence):
    """Each message names the argument and its range."""
    with pytest.raises(ValueError, match=sentence):
        call()


def test_ends_and_shapes():
    """Straight up comes straight down; arrays broadcast, a scalar stays a scalar."""
    assert sky.hop_km(90) == 0
    assert sky.elevation_for_km(0) == 90
    assert sky.hop_km([[5], [10]], [110, 250, 300]).shape == (2, 3)
    assert np.ndim(sky.hop_km(10)) == 0


def test_who_names_no_layer_gets_f2_at_300_km():
    """The height that the lessons reckon with, in every formula alike."""
    assert sky.hop_km(20) == sky.hop_km(20, 300)
    assert sky.elevation_for_km(900) == sky.elevation_for_km(900, 300)
    assert sky.secant_factor(20) == sky.secant_factor(20, 300)
    assert sky.skip_km(14, critical_mhz=9) == sky.skip_km(14, critical_mhz=9, layer_km=300)
    assert sky.Sky(critical_mhz=9).layer_km == 300


def test_at_the_critical_frequency_the_ray_straight_up_returns():
    """The highest frequency that comes back belongs to those that do."""
    assert sky.Sky(critical_mhz=9).returns(9, elevation_deg=90)


def test_a_sky_returns_what_the_quoted_factors_say():
    """Up to the printed factor times the critical frequency comes back from 2000 km, and no more above it.

    B. Zolesi & L. R. Cander, as above: 2.81 at 2000 km, so 12 MHz straight up are 33.7 MHz there.
    """
    noon = sky.Sky(critical_mhz=12)
    up = noon.elevation_deg(2000)
    assert noon.highest_mhz(up) == pytest.approx(12 * 2.81, abs=12 * 0.008)
    assert noon.returns([33.5, 34.0], elevation_deg=up).tolist() == [True, False]
    assert noon.returns(28.5, elevation_deg=[[10], [20]]).tolist() == [[True], [False]]


@pytest.mark.parametrize("layer", [110.0, 300.0, 350.0])
def test_a_sky_asks_the_same_geometry(layer):
    """Its methods are the functions above with its own layer and critical frequency, not the usual 300 km."""
    here = sky.Sky(critical_mhz=6, layer_km=layer)
    assert here.hop_km(20) == sky.hop_km(20, layer)
    assert here.elevation_deg(500) == sky.elevation_for_km(500, layer)
    assert here.skip_km(10) == sky.skip_km(10, critical_mhz=6, layer_km=layer)
    steepest = here.elevation_deg(here.skip_km(10))
    assert here.returns(10, elevation_deg=steepest - 0.01) and not here.returns(
        10, elevation_deg=steepest + 0.01
    )


def test_the_virtual_height_is_no_constant():
    """8 % lower to 30 % higher: 276 to 390 km for 300, and so far does the hop at 15 degrees go."""
    near, far = sky.Sky(critical_mhz=9).spread_km(15)
    assert (near, far) == (pytest.approx(sky.hop_km(15, 276)), pytest.approx(sky.hop_km(15, 390)))
    assert near < sky.hop_km(15) < far


def test_the_courses_sky_drains_through_the_day():
    """One sky: its hours in order, each weaker than the one before; a name that is none is refused."""
    assert list(sky.HOURS) == ["noon", "afternoon", "dusk", "evening", "night"]
    critical = [sky.at(hour).critical_mhz for hour in sky.HOURS]
    assert critical == sorted(critical, reverse=True) and len(set(critical)) == len(critical)
    assert all(sky.at(hour).name == hour for hour in sky.HOURS)
    with pytest.raises(ValueError, match="'midnight' is no hour .*noon, afternoon, dusk"):
        sky.at("midnight")


@pytest.mark.parametrize(
    ("given", "words"),
    [({"critical_mhz": 0}, "critical_mhz"), ({"critical_mhz": [5, 6]}, "one number"),
     ({"critical_mhz": 9e6}, "looks like hertz"), ({"critical_mhz": 9, "layer_km": 30}, "50 and 1000")],
)  # fmt: skip
def test_no_such_sky(given, words):
    """What is no frequency or no height is refused when the sky is made."""
    with pytest.raises(ValueError, match=words):
        sky.Sky(**given)
