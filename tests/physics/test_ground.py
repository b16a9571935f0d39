"""ground.py: reflection against the published table and against the boundary written another way."""

import numpy as np
import pytest
from reference import fresnel, pseudo_brewster, read_table, soil_epsilon

import antlab as al
from antlab.physics import ground

GROUNDS = {row["soil"]: row for row in read_table("ground_constants")}


def soil_of(row):
    at = GROUNDS[row["soil"]]
    return al.Soil(permittivity=at["permittivity"], conductivity=at["conductivity"])


@pytest.mark.parametrize("row", read_table("fresnel_soils"), ids=lambda row: f"{row['soil']}-{row['f_mhz']}")
def test_published_reflection(row):
    """Section 6c: coefficients at 10, 30 and 90 deg, 1/e depth, pseudo-Brewster angle, to the last digit."""
    soil, f = soil_of(row), row["f_mhz"]
    assert soil.complex_permittivity(f) == pytest.approx(
        complex(row["eps_real"], row["eps_imag"]), rel=1e-6, abs=6e-4
    )
    assert ground.penetration_depth_m(f_mhz=f, soil=soil) == pytest.approx(row["depth_m"], abs=6e-4)
    assert ground.pseudo_brewster_deg(f_mhz=f, soil=soil) == pytest.approx(row["brewster_deg"], abs=0.01)
    for which, coefficient in (("h", ground.reflection_horizontal), ("v", ground.reflection_vertical)):
        for elevation in (10, 30, 90):
            value = coefficient(elevation_deg=elevation, f_mhz=f, soil=soil)
            assert abs(value) == pytest.approx(row[f"{which}{elevation}_size"], abs=6e-5)
            assert np.degrees(np.angle(value)) == pytest.approx(row[f"{which}{elevation}_deg"], abs=6e-3)


@pytest.mark.parametrize("row", read_table("fresnel_brewster"), ids=lambda row: f"{row['permittivity']}")
def test_lossless_brewster_angle(row):
    """Without conductivity it is atan(1/sqrt(permittivity)), and R_v is zero there."""
    soil = al.Soil(permittivity=row["permittivity"], conductivity=0.0)
    angle = ground.pseudo_brewster_deg(f_mhz=14.15, soil=soil)
    assert angle == pytest.approx(row["elevation_deg"], abs=0.005)
    assert abs(ground.reflection_vertical(elevation_deg=angle, f_mhz=14.15, soil=soil)) < 1e-3


def test_worked_value():
    """Average ground at 14.15 MHz: 14.78 deg, |R_v| = 0.1065; handbook curves say about 15 (from memory)."""
    angle = ground.pseudo_brewster_deg(f_mhz=14.15, soil=al.soil("average"))
    assert angle == pytest.approx(14.78, abs=0.01)
    assert angle == pytest.approx(pseudo_brewster(soil_epsilon(14.15, 13, 0.005))[0], abs=0.01)
    assert abs(
        ground.reflection_vertical(elevation_deg=angle, f_mhz=14.15, soil=al.soil("average"))
    ) == pytest.approx(0.1065, abs=1e-4)


def test_limits():
    """On the horizon both are -1; straight down R_h = -R_v; a mirror gives -1 and +1; free space nothing."""
    for name in ("average", "sea water"):
        at = dict(f_mhz=7.1, soil=al.soil(name))
        assert ground.reflection_horizontal(elevation_deg=0, **at) == pytest.approx(-1)
        assert ground.reflection_vertical(elevation_deg=0, **at) == pytest.approx(-1)
        assert ground.reflection_horizontal(elevation_deg=90, **at) == pytest.approx(
            -ground.reflection_vertical(elevation_deg=90, **at)
        )
    for soil, h, v in ((al.PERFECT_GROUND, -1, 1), (al.FREE_SPACE, 0, 0)):
        at = dict(elevation_deg=np.array([5.0, 30.0, 90.0]), f_mhz=7.1, soil=soil)
        assert ground.reflection_horizontal(**at) == pytest.approx(np.full(3, h))
        assert ground.reflection_vertical(**at) == pytest.approx(np.full(3, v))


def test_reflection_broadcasts_and_agrees_with_admittances():
    """Elevation down, frequency across; the same boundary written as two lines joined end to end."""
    elevation, f = np.linspace(1, 90, 7)[:, None], np.array([3.6, 7.1, 28.4])
    h = ground.reflection_horizontal(elevation_deg=elevation, f_mhz=f, soil=al.soil("average"))
    v = ground.reflection_vertical(elevation_deg=elevation, f_mhz=f, soil=al.soil("average"))
    expected_h, expected_v = fresnel(elevation, soil_epsilon(f, 13, 0.005))
    assert h.shape == v.shape == (7, 3)
    np.testing.assert_allclose(h, expected_h, atol=1e-12)
    np.testing.assert_allclose(v, expected_v, atol=1e-12)


@pytest.mark.parametrize(
    ("call", "word"),
    [
        (lambda: al.Soil(permittivity=0.5, conductivity=0.005), "permittivity"),
        (lambda: al.Soil(permittivity=np.nan, conductivity=0.005), "permittivity"),
        (lambda: al.Soil(permittivity=13, conductivity=-1), "conductivity"),
        (lambda: al.Soil(permittivity=13, conductivity=np.nan), "conductivity"),
        (lambda: al.soil("cheese"), "average"),
        (
            lambda: ground.reflection_vertical(elevation_deg=np.nan, f_mhz=7.1, soil=al.soil("average")),
            "elevation",
        ),
        (
            lambda: ground.reflection_vertical(elevation_deg=-3, f_mhz=7.1, soil=al.soil("average")),
            "elevation",
        ),
        (
            lambda: ground.reflection_horizontal(elevation_deg=30, f_mhz=7.1e6, soil=al.soil("average")),
            "hertz",
        ),
        (lambda: ground.penetration_depth_m(f_mhz=-7, soil=al.soil("average")), "f_mhz"),
    ],
)
def test_bad_input_is_refused_with_a_sentence(call, word):
    with pytest.raises(ValueError, match=word):
        call()


def test_nothing_comes_back_where_nothing_is():
    """In free space the horizon, 0/0 in Fresnel's formula, reflects nothing; a wave goes down for ever."""
    at = {"elevation_deg": np.array([0.0, 40.0]), "f_mhz": 7.1, "soil": al.FREE_SPACE}
    for echo in ground.reflections(**at):
        assert echo == pytest.approx([0, 0], abs=1e-15)
    assert ground.penetration_depth_m(f_mhz=7.1, soil=al.FREE_SPACE) == np.inf
    mirror = ground.penetration_depth_m(f_mhz=[7.1, 14.2], soil=al.PERFECT_GROUND)
    assert mirror.tolist() == [0, 0]
    for soil in (al.FREE_SPACE, al.PERFECT_GROUND):
        with pytest.raises(ValueError, match="needs a real soil"):
            ground.pseudo_brewster_deg(f_mhz=7.1, soil=soil)


def test_where_elevations_end():
    """From the horizon over the zenith to the other side; without ground also downwards."""
    assert ground.check_elevation([0, 180]).tolist() == [0, 180]
    assert ground.check_elevation(-90, lowest=-90) == -90
    for wrong, lowest in ((180.1, 0), (-0.1, 0), (-90.1, -90)):
        with pytest.raises(ValueError, match=f"{lowest:g} to 180"):
            ground.check_elevation(wrong, lowest=lowest)


def test_the_dip_of_many_frequencies_is_the_dip_of_each():
    """Shape in is shape out, and no frequency takes another's angle."""
    f = np.array([[3.6, 28.4], [7.1, 14.2]])
    together = ground.pseudo_brewster_deg(f_mhz=f, soil=al.soil("average"))
    for i, one in np.ndenumerate(f):
        assert together[i] == ground.pseudo_brewster_deg(f_mhz=one, soil=al.soil("average"))
