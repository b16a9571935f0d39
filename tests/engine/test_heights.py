"""Many heights at once against the engine at each height."""

import numpy as np
import pytest

import antlab as al
from antlab.engine import heights
from antlab.physics import lengths

ELEVATION = np.arange(0, 90.25, 0.25)


@pytest.mark.parametrize(
    ("name", "soil"),
    [
        ("80m", "very dry"),
        ("40m", "average"),
        ("20m", "sea water"),
        ("20m", "average"),
        ("10m", "perfect ground"),
    ],
)
def test_every_height_is_the_engine(name, soil):
    """Gain within 0.1 dB of al.Dipole; takeoff, half-power edges and lobes as al.Pattern finds them."""
    f, soil = al.band(name).middle_mhz, al.soil(soil)
    asked = np.random.default_rng(7).uniform(heights.LOWEST_M, heights.HIGHEST_M, 6).round(1)
    gain = heights.half_wave_gain_dbi(ELEVATION, asked, f_mhz=f, soil=soil)
    figures = heights.lobe_figures(ELEVATION, gain)
    for row, height_m in enumerate(asked):
        wire = al.Dipole(
            inner_m=lengths.rule_length_m(f) / 2, shape=al.FlatTop(height_m=height_m), soil=soil
        ).pattern(f)
        engine = wire.gain_dbi(ELEVATION)
        loud = engine > -25
        assert np.abs(gain[row][loud] - engine[loud]).max() < 0.1
        takeoff, low, high, count = (each[row] for each in figures)
        assert takeoff == pytest.approx(wire.takeoff_deg, abs=0.1)
        assert (low, high) == pytest.approx(wire.beamwidth_deg(), abs=0.2)
        found = [strength for _, strength in wire.lobes()]
        assert count == sum(one >= max(found) - heights.FAINT_DB for one in found)


def test_lobes_over_a_mirror():
    """At half a wave one lobe at 30°, at three quarters 19.5° and overhead: sin(el) = (2n - 1)/(4h)."""
    # Source: C. A. Balanis, Antenna Theory, 3rd ed. 2005, section 4.7 (from memory); published-values 8 (C).
    f = 14.0
    wave = float(lengths.wavelength_m(f))
    gain = heights.half_wave_gain_dbi(
        ELEVATION, wave * np.array([0.5, 0.75]), f_mhz=f, soil=al.PERFECT_GROUND
    )
    takeoff, _, _, count = heights.lobe_figures(ELEVATION, gain)
    assert takeoff == pytest.approx([30.0, 19.47], abs=0.05)
    assert list(count) == [1, 2]


@pytest.mark.parametrize(
    ("height_m", "soil", "words"),
    [(1.0, "average", "2 to 30"), (31.0, "wet", "2 to 30"), (9.0, "free space", "soil")],
)
def test_what_makes_no_sense(height_m, soil, words):
    """Outside the range that was checked there is a sentence, not a number."""
    with pytest.raises(ValueError, match=words):
        heights.half_wave_gain_dbi(ELEVATION, np.array([height_m]), f_mhz=7.1, soil=al.soil(soil))


# Lobes that are parabolas in dB, 5 − k·(el − at)²: half power lies √(3.0103/k) to either side, by hand.
LOBES = [
    (20, 0.05, (20, 12.241, 27.759)),
    (5, 0.01, (5, 0, 22.350)),  # not half as strong at the horizon: it ends there
    (80, 0.001, (80, 25.134, 154.866)),  # over the zenith to the other side
    (30, 1e-5, (30, 0, 180)),
    (
        89.75,
        0.001,
        (89.75, 34.884, 145.116),
    ),  # the other side's is beside it: still one
    (40, 0.1, (40, 34.513, 45.487)),
]


def test_figures_of_lobes_drawn_by_hand():
    """Takeoff, both half-power edges and one lobe for each, where they are known."""
    up = np.arange(0, 90.25, 0.25)
    gain = np.stack([5 - k * (up - at) ** 2 for at, k, _ in LOBES])
    takeoff, low, high, count = heights.lobe_figures(up, gain)
    np.testing.assert_allclose(np.stack([takeoff, low, high], axis=1), [row[2] for row in LOBES], atol=2e-3)
    assert count.tolist() == [1] * len(LOBES)


def test_of_equal_lobes_the_lowest_is_the_takeoff():
    """Within a hundredth of a decibel they are equal; beyond, the stronger one counts. Both are lobes."""
    up = np.arange(0, 90.25, 0.25)
    low = 5 - 0.1 * (up - 20) ** 2
    rows = np.stack([np.maximum(low, 5 + more - 0.1 * (up - 60) ** 2) for more in (0.008, 0.012)])
    rows[:, 0] = -np.inf  # nothing along the ground
    takeoff, _, high, count = heights.lobe_figures(up, rows)
    assert takeoff == pytest.approx([20, 60]) and count.tolist() == [2, 2]
    # the half-power edge is that of the lobe, 3.01 dB below the strongest
    assert high == pytest.approx([25.48, 65.49], abs=0.02)


def test_what_nobody_would_see_is_no_lobe():
    """A lobe is counted down to 25 dB below the strongest; half a wave over a mirror one is far below."""
    up = np.arange(0, 90.25, 0.25)
    low, high = (5 - 0.1 * (up - at) ** 2 for at in (20, 60))
    gain = np.stack([np.maximum(low, high - less) for less in (24.9, 25.1)])
    assert heights.lobe_figures(up, gain)[3].tolist() == [2, 1]
    f = al.band("40m").middle_mhz
    gain = heights.half_wave_gain_dbi(up, np.array([21.0]), f_mhz=f, soil=al.PERFECT_GROUND)
    assert heights.lobe_figures(up, gain)[3] == 1


def test_beside_a_dead_direction_the_edge_is_the_last_live_one():
    """Between a gain above half power and none at all nothing is known: the step before it is the edge."""
    up = np.arange(0, 91.0)
    gain = np.where(up == 0, -np.inf, 5 - 0.05 * (up - 3) ** 2)[None]
    takeoff, low, _, _ = heights.lobe_figures(up, gain)
    assert (takeoff[0], low[0]) == pytest.approx((3, 1))


def test_the_lowest_and_the_highest_belong():
    """2 m and 30 m are in; beyond them nothing was checked."""
    ask = {"f_mhz": 14.2, "soil": al.soil("average")}
    assert heights.half_wave_resistance(np.array([2.0, 30.0]), **ask).shape == (2,)
    for height in (1.99, 30.01):
        with pytest.raises(ValueError, match="from 2 to 30 m"):
            heights.half_wave_resistance(np.array([height]), **ask)
