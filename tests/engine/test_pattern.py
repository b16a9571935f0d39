"""pattern.py: lobes, gain, beamwidth, power against height factor, closed forms and reference."""

import warnings

import numpy as np
import pytest
from make_converged import DIRECTIONS, antenna
from reference import C, read_table
from test_moments import PLAIN, TRAP, dipole, half_wave, name

import antlab as al
from antlab.engine.pattern import _summit

F = 14.1
WAVE = C / F / 1e6


def over_the_mirror(height):
    """Lossless half-wave wire `height` wavelengths above perfect ground: its pattern."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", UserWarning)  # very low ones are out of range
        return half_wave(F, 0.487, soil=al.PERFECT_GROUND, shape=al.FlatTop(height_m=height * WAVE)).pattern(
            F
        )


def angles(field):
    return np.array([float(word) for word in str(field).split()])


# --- lobes over perfect ground: published section 8 (Kraus ch. 11, Balanis ch. 4)


@pytest.mark.parametrize("row", read_table("lobe_directions"), ids=lambda row: f"h={row['height']}")
def test_lobes_and_nulls_over_the_mirror(row):
    """Every maximum and every null where sin = (2n-1)/4h and n/2h; the overhead lobe counted once."""
    pattern = over_the_mirror(row["height"])
    lobes = pattern.lobes()
    maxima, nulls = angles(row["maxima_deg"]), angles(row["nulls_deg"])
    if nulls.size and nulls[-1] < 90 and maxima[-1] < nulls[-1]:
        maxima = np.r_[maxima, 90]  # a lobe on its way in: overhead, less than full
    assert [e for e, _ in lobes] == pytest.approx(maxima, abs=0.5)
    assert pattern.takeoff_deg == pytest.approx(maxima[0], abs=0.5)
    top = max(gain for _, gain in lobes)
    for null in nulls:
        assert pattern.gain_dbi(null) < top - 35


@pytest.mark.parametrize("row", read_table("lobe_factor"), ids=lambda row: f"h={row['height']}")
def test_height_factor(row):
    """Broadside gain follows |2 sin(2 pi h sin e)| from angle to angle, within 0.02 dB."""
    pattern = over_the_mirror(row["height"])
    elevations = np.array([float(key) for key in row if key != "height"])
    factor = np.array([row[key] for key in row if key != "height"])
    seen = factor > 0.01
    level = pattern.gain_dbi(elevations[seen]) - 20 * np.log10(factor[seen])
    assert np.ptp(level) < 0.02 + 20 * np.log10(1 + 1e-4 / factor[seen].min())


@pytest.mark.parametrize("row", read_table("lobe_gain"), ids=lambda row: f"h={row['height']}")
def test_gain_over_the_mirror(row):
    """dBi of the best lobe, normalised to the power fed: 8.98 when very low, 7.48 at a quarter wavelength."""
    pattern = over_the_mirror(row["height"])
    assert pattern.gain_dbi(row["elevation_deg"]) == pytest.approx(row["gain_dbi"], abs=0.1)
    best = max(pattern.lobes(), key=lambda lobe: (round(lobe[1], 2), lobe[0]))
    assert best[1] == pytest.approx(row["gain_dbi"], abs=0.1)


# --- free space: published section 1


def test_half_wave_in_free_space():
    """Directivity 1.641 = 2.15 dBi, alike all round at broadside, nothing off the ends, 78.1 deg wide."""
    book = {row["quantity"]: row["value"] for row in read_table("dipole_half_wave")}
    pattern = half_wave(F, 0.5, wire_diameter_mm=0.2).pattern(F)
    assert pattern.gain_dbi(np.array([0, 10, 45, 90])) == pytest.approx(book["directivity_dbi"], abs=0.03)
    assert pattern.gain_dbi(0.01, azimuth_deg=0) < -40
    elevations = np.linspace(30, 90, 6001)  # along the wire's own plane
    gain = pattern.gain_dbi(elevations, azimuth_deg=0)
    half_power = np.interp(gain[-1] - 10 * np.log10(2), gain, elevations)
    assert 2 * (90 - half_power) == pytest.approx(book["beamwidth_deg"], abs=0.7)


@pytest.mark.parametrize(
    "row", read_table("dipole_directivity")[2:8], ids=lambda row: f"L={row['L_over_lambda']}"
)
def test_directivity_against_length(row):
    """Quarter to three quarters of a wavelength (table 1d): 1.85 to 2.75 dBi, within 0.08 dB."""
    pattern = half_wave(F, row["L_over_lambda"], wire_diameter_mm=0.2).pattern(F)
    assert pattern.gain_dbi(90) == pytest.approx(row["dBi"], abs=0.08)


# --- power


@pytest.mark.parametrize("ground", ["free", "mirror"])
@pytest.mark.parametrize("ends_m", [9.0, 4.0])
@pytest.mark.parametrize("f_mhz", [3.6, 7.1, 14.15, 29.0])
def test_what_is_fed_is_radiated(ground, ends_m, f_mhz):
    """Without loss, sky_fraction is 1 within 0.5 %, flat and bent, at resonance and far off it."""
    row = dict(
        inner_m=10.0,
        outer_m=0.0,
        middle_m=9.0,
        ends_m=ends_m,
        ground=ground,
        diameter_mm=2.0,
        wire="lossless",
    )
    assert dipole(row).pattern(f_mhz).sky_fraction == pytest.approx(1, abs=0.005)


@pytest.mark.parametrize("ends_m", [9.0, 4.5])
def test_traps_without_loss_cost_nothing(ends_m):
    """A trap of a million Q stores power and takes none."""
    row = dict(
        inner_m=9.76,
        outer_m=6.7,
        inductance_uh=8.2,
        capacitance_pf=60,
        q=1e6,
        middle_m=9.0,
        ends_m=ends_m,
        ground="mirror",
        diameter_mm=2.0,
        wire="lossless",
    )
    for f in (3.75, 7.1, 14.15):
        assert dipole(row).pattern(f).sky_fraction == pytest.approx(1, abs=0.005)


@pytest.mark.parametrize("row", PLAIN[::3] + TRAP[::4], ids=name)
def test_share_that_reaches_the_sky(row):
    """Over soil: the part of the power fed that leaves upwards, within 0.015 of the reference's."""
    assert dipole(row).pattern(row["f_mhz"]).sky_fraction == pytest.approx(row["sky"], abs=0.015)


# --- gain against the reference


@pytest.mark.parametrize("row", PLAIN + TRAP, ids=name)
def test_gain_in_seven_directions(row):
    """Within 0.25 dB of the settled gain wherever it is above -15 dBi, broadside, oblique and endwise."""
    pattern = dipole(row).pattern(row["f_mhz"])
    settled = np.array([row[f"gain_{e}_{a}"] for e, a in DIRECTIONS])
    elevation, azimuth = np.array(DIRECTIONS, dtype=float).T
    seen = settled > -15
    np.testing.assert_allclose(pattern.gain_dbi(elevation, azimuth)[seen], settled[seen], atol=0.25)


def test_gain_live_against_the_reference():
    """Nothing stored: a bent wire over wet ground, thirty directions."""
    row = dict(
        f_mhz=10.12,
        inner_m=7.1,
        outer_m=0.0,
        middle_m=9.0,
        ends_m=5.0,
        ground="wet",
        diameter_mm=2.0,
        wire="copper",
    )
    elevation = np.array([[5], [15], [25], [45], [65], [85]])
    azimuth = np.array([0, 20, 45, 70, 90])
    ours = dipole(row).pattern(10.12).gain_dbi(elevation, azimuth)
    theirs = 10 * np.log10(antenna(row, finest=0.1).gain(elevation, azimuth))
    np.testing.assert_allclose(ours[theirs > -15], theirs[theirs > -15], atol=0.25)


# --- what is read off a pattern


def test_pattern_broadcasts():
    """Shape out = shape in; scalars give numbers; azimuth and elevation broadcast."""
    pattern = half_wave(F).pattern(F)
    assert np.ndim(pattern.gain_dbi(30)) == 0
    assert pattern.gain_dbi(np.linspace(0, 90, 7)).shape == (7,)
    assert pattern.gain_dbi(np.linspace(1, 90, 6)[:, None], np.linspace(0, 360, 5)).shape == (6, 5)


def test_pattern_is_symmetric():
    """Front like back, left like right."""
    pattern = al.Dipole(inner_m=5, shape=al.InvertedVee(apex_m=9, ends_m=6), soil=al.soil("average")).pattern(
        F
    )
    here = pattern.gain_dbi(25, np.array([30, 150, 210, 330, -30]))
    np.testing.assert_allclose(here, here[0], atol=1e-6)


@pytest.mark.parametrize("height", [0.5, 0.75, 1.0])
def test_beamwidth_ends_at_half_power(height):
    """At the edges the gain is 3.01 dB below the takeoff lobe's top, and nowhere inside lower."""
    pattern = half_wave(F, soil=al.soil("average"), shape=al.FlatTop(height_m=height * WAVE)).pattern(F)
    low, high = pattern.beamwidth_deg()
    assert low < pattern.takeoff_deg < high
    top = dict(pattern.lobes())[pattern.takeoff_deg]
    half = top - 10 * np.log10(2)
    assert pattern.gain_dbi(low) == pytest.approx(half, abs=0.05)
    assert pattern.gain_dbi(high) == pytest.approx(half, abs=0.05)
    assert pattern.gain_dbi(np.linspace(low + 0.2, high - 0.2, 50)).min() > half - 0.05


def test_real_soil_lowers_the_first_lobe():
    """Average soil, 7.1 MHz: 27.8 deg at half a wavelength, 14.0 deg at one (published section 8, last line);
    the mirror says 30.0 and 14.5."""
    f = 7.1
    for height, expected in ((0.5, 27.8), (1.0, 14.0)):
        wire = half_wave(f, soil=al.soil("average"), shape=al.FlatTop(height_m=height * C / f / 1e6))
        assert wire.pattern(f).takeoff_deg == pytest.approx(expected, abs=0.15)


def test_bad_angles_are_refused():
    pattern = half_wave(F, soil=al.soil("average")).pattern(F)
    for bad in (np.nan, -5, 181):
        with pytest.raises(ValueError, match="elevation"):
            pattern.gain_dbi(bad)
    with pytest.raises(ValueError, match="azimuth"):
        pattern.gain_dbi(30, np.nan)


def test_straight_down_there_is_free_space_alone():
    """From −90 to 180 degrees there, from 0 over a ground."""
    alone = al.Dipole(inner_m=5.1, soil="free space").pattern(14.1)
    assert alone.gain_dbi(-90) == pytest.approx(alone.gain_dbi(90))
    with pytest.raises(ValueError, match="elevation"):
        alone.gain_dbi(-90.5)


def test_directions_that_do_not_go_together():
    """Two elevations and three azimuths: the sentence says how to have each with each, and that works."""
    wire = al.Dipole(inner_m=5, shape=al.FlatTop(height_m=9))
    pattern = wire.pattern(14.2)
    with pytest.raises(ValueError, match=r"elevation_deg of shape \(2,\) and azimuth_deg of shape \(3,\)"):
        pattern.gain_dbi([10, 20], [0, 45, 90])
    assert pattern.gain_dbi(np.reshape([10, 20], (-1, 1)), [0, 45, 90]).shape == (2, 3)
    with pytest.raises(ValueError, match=r"f_mhz of shape \(2,\) and z0_ohm of shape \(3,\)"):
        wire.swr([14.1, 14.2], [50, 75, 100])


def test_a_lobe_along_a_mirror():
    """What a bent wire sends endwise is upright there, and over perfect ground strongest at the horizon."""
    vee = al.Dipole(inner_m=10, shape=al.InvertedVee(apex_m=12, ends_m=3), soil="perfect ground")
    pattern = vee.pattern(14.1)
    (horizon, strongest), *_ = pattern.lobes(0)
    assert horizon == 0 and strongest == pytest.approx(pattern.gain_dbi(0, 0), abs=1e-9)
    low, high = pattern.beamwidth_deg(0)
    assert low == 0 and pattern.gain_dbi(high, 0) == pytest.approx(strongest - 10 * np.log10(2), abs=0.05)
    assert vee.pattern(14.1).lobes(90)[0][0] > 5


def test_where_a_pattern_is_round():
    """A straight wire in free space, broadside: one lobe at the horizon, which never ends."""
    pattern = half_wave(F, 0.5).pattern(F)
    assert pattern.lobes() == [(0, pytest.approx(2.15, abs=0.05))]
    assert pattern.takeoff_deg == 0 and pattern.beamwidth_deg() == (0, 180)
    assert [e for e, _ in pattern.lobes(0)] == [90]


def test_the_other_side_is_alike():
    """The antenna is its own mirror image, a vee as well: half of a cut is enough, whatever its direction."""
    wire = al.Dipole(inner_m=5.1, outer_m=3.4, trap=al.Trap(inductance_uh=5, capacitance_pf=25),
                     shape=al.InvertedVee(apex_m=10, ends_m=4)).pattern(14.1)  # fmt: skip
    up, azimuth = np.arange(5, 91, 5.0), np.array([[10.0], [50.0], [90.0]])
    there, back = wire.gain_dbi(up, azimuth), wire.gain_dbi(180 - up, azimuth)
    np.testing.assert_allclose(there, back, atol=1e-9)
    assert (wire.lobes(), wire.beamwidth_deg()) == (
        wire.lobes(90),
        wire.beamwidth_deg(90),
    )  # left out: broadside
    elevation, gain = wire._cut(50.0)
    assert (elevation[0], elevation[-1], len(elevation)) == (0, 180, 721)
    np.testing.assert_allclose(gain[1:-1], wire.gain_dbi(elevation[1:-1], 50.0), atol=1e-9)


def test_two_equal_steps_are_one_lobe():
    """Where the top lies halfway between two steps of the table it is found once."""
    wire = al.Dipole(inner_m=5.1, shape=al.FlatTop(height_m=9)).pattern(14.1)
    up = np.arange(0, 180.25, 0.25)
    wire._cut = lambda azimuth: (up, 5 - 0.1 * (np.minimum(up, 180 - up) - 20.125) ** 2)
    assert wire.lobes() == [pytest.approx((20.125, 5.0))]


@pytest.mark.parametrize(("more", "takeoff"), [(0.0, 20), (0.008, 20), (0.012, 60), (0.5, 60), (-0.5, 20)])
def test_of_equal_lobes_the_lowest_is_the_takeoff(more, takeoff):
    """Within a hundredth of a decibel they are equal; beyond, the stronger one counts, and has the beam."""
    wire = al.Dipole(inner_m=5.1, shape=al.FlatTop(height_m=9)).pattern(14.1)
    up = np.arange(0, 180.25, 0.25)
    half = np.minimum(up, 180 - up)
    gain = np.maximum(5 - 0.1 * (half - 20) ** 2, 5 + more - 0.1 * (half - 60) ** 2)
    wire._cut = lambda azimuth: (up, gain)
    assert wire.takeoff_deg == pytest.approx(takeoff)
    assert [place for place, _ in wire.lobes()] == pytest.approx([20, 60])
    assert np.mean(wire.beamwidth_deg()) == pytest.approx(takeoff, abs=0.05)


@pytest.mark.parametrize(("soil", "up"), [("free space", 1 / 3), ("average", 1 / 6)])
def test_power_is_summed_over_every_direction(soil, up):
    """Gains whose mean is known: cos 2a has none, cos^2 a a half, sin^2 e a third; half above the ground."""
    for gain, mean in (
        (lambda e, a: 1 + np.cos(2 * a) + 0 * e, 3 * up), (lambda e, a: np.cos(a) ** 2 + 0 * e, 1.5 * up),
        (lambda e, a: np.sin(e) ** 2 + 0 * a, up),
    ):  # fmt: skip
        wire = al.Dipole(inner_m=5.1, shape=al.FlatTop(height_m=9), soil=soil).pattern(14.1)
        wire._gain = lambda e, a, gain=gain: gain(np.radians(e), np.radians(a))
        assert wire.sky_fraction == pytest.approx(mean, abs=1e-12)


def test_half_a_decibel_is_not_round():
    """Where a gain goes up and down by little the strongest direction is found all the same."""
    wire = al.Dipole(inner_m=5.1, shape=al.FlatTop(height_m=9)).pattern(14.1)
    up = np.arange(0, 180.25, 0.25)
    for depth, lobes in ((0.5, [(30, 5)]), (0.02, [(30, 5)]), (0.008, [(0, 5 - 0.008)])):
        level = 5 - depth * ((np.minimum(up, 180 - up) - 30) / 60) ** 2
        level[0] = level[-1] = 5 - depth
        wire._cut = lambda azimuth, level=level: (up, level)
        assert wire.lobes() == [pytest.approx(one, abs=1e-6) for one in lobes]


@pytest.mark.parametrize(("at", "place", "top"), [(20.1, 20.1, 5.0), (19.9, 19.9, 5.0), (20.0, 20.0, 5.0)])
def test_the_summit_of_a_parabola(at, place, top):
    """Between the table's steps, with its height; at the horizon, or beside a dead direction, at the step."""
    up = np.arange(0, 180.25, 0.25)
    gain = 5 - 0.1 * (up - at) ** 2
    assert _summit(up, gain, 80) == pytest.approx((place, top), abs=1e-9)
    assert _summit(up, gain, 0) == (0.0, gain[0])
    gain[79] = -np.inf
    assert _summit(up, gain, 80) == (20.0, gain[80])
