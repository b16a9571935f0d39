"""Numbers quoted in lesson 07; see test_notebooks."""

from math import asin, degrees, radians, sin

import numpy as np

import antlab as al
from antlab.classroom import live
from antlab.classroom.views.height import STEP_DEG
from antlab.engine import heights

TRAP = al.Trap(inductance_uh=1.25, capacitance_pf=25, q=200)
VIEW = {"20": al.band("20m").middle_mhz, "10": al.band("10m").middle_mhz}


def club_dbi(height_m, f_mhz, elevation_deg, **to):
    """Gain of the club's antenna; to: azimuth_deg from the wire, else broadside."""
    club = al.Dipole(inner_m=2.53, outer_m=2.15, trap=TRAP, shape=al.FlatTop(height_m=height_m))
    return float(club.pattern(f_mhz).gain_dbi(elevation_deg, **to))


def at_15(height_m, f_mhz):
    return club_dbi(height_m, f_mhz, 15)


def friendly():
    """The club to the north is reached at 15°, and noon returns both bands at that angle."""
    noon = al.sky.at("noon")
    assert noon.returns([14.175, 28.5], elevation_deg=15).all()
    assert abs(noon.elevation_deg(1700) - 15) < 0.5
    return round(float(noon.hop_km(15)), -2), 1700 / 1.609344


def off_the_ends():
    """Decibels less along the wire at 15° on 20 metres, at the height of the guess; none straight up."""
    assert abs(club_dbi(11, 14.175, 90) - club_dbi(11, 14.175, 90, azimuth_deg=0)) < 0.01
    less = [at_15(up, 14.175) - club_dbi(up, 14.175, 15, azimuth_deg=0) for up in (11, 12, 14, 17, 20)]
    assert less == sorted(less), "higher up still less"
    return less[0]


def flat_top():
    """From 5 m up on 20 metres the club's wire is strongest a hair off overhead; on 10 as on 20 from 10 m."""
    low, high = (pattern_of(5, f) for f in (14.175, 28.5))
    assert low.gain_dbi(low.takeoff_deg) - low.gain_dbi(90) < 0.5
    assert abs(high.takeoff_deg - pattern_of(10, 14.175).takeoff_deg) < 2
    for f in (14.175, 28.5):  # "angle to 6": the highest wire wins on both bands
        assert club_dbi(20, f, 6) > max(club_dbi(5, f, 6), club_dbi(11, f, 6))
    return low.takeoff_deg


def pattern_of(height_m, f_mhz, **there):
    """The club's antenna at a height, or in a yard."""
    shape = there.pop("shape", al.FlatTop(height_m=height_m))
    return al.Dipole(inner_m=2.53, outer_m=2.15, trap=TRAP, shape=shape, **there).pattern(f_mhz)


def yard(height_m, **there):
    """Both takeoff angles in a yard."""
    return tuple(pattern_of(height_m, f, **there).takeoff_deg for f in (14.175, 28.5))


def half_wave(height_m, band):
    """The view's dipole for the middle of a band, by the engine."""
    leg_m = al.lengths.rule_length_m(VIEW[band]) / 2
    return al.Dipole(inner_m=leg_m, shape=al.FlatTop(height_m=height_m)).pattern(VIEW[band])


def best_in_the_wave():
    """Heights of the wave view on 10 metres whose gain at 15° reads the largest, and the gain at 20.25 m."""
    high = live.wave_over_soil.sliders(low="20m", high="10m")[0].values
    soil = al.soil("average")
    gain = heights.half_wave_gain_dbi(np.array([15.0]), high, f_mhz=VIEW["10"], soil=soil)[:, 0].round(1)
    best = high[gain == gain.max()]
    # "the lobe points a little below the club, but is stronger" than where it points at it
    takeoff = [half_wave(up, "10").takeoff_deg for up in (9.4, *best)]
    assert takeoff[0] > 15 > 14.5 > takeoff[1] and takeoff[-1] > 12.5
    assert half_wave(9.4, "10").gain_dbi(15) + 0.3 < min(half_wave(up, "10").gain_dbi(15) for up in best)
    return best[0], best[-1], -gain[high == 20.25][0]


def two_lobes():
    """The lowest heights of the wave view with two lobes, on 20 and on 10 metres."""
    high, elevation = (
        live.wave_over_soil.sliders(low="20m", high="10m")[0].values,
        np.arange(0, 90.1, STEP_DEG),
    )
    found = []
    for band in ("20", "10"):
        gain = heights.half_wave_gain_dbi(elevation, high, f_mhz=VIEW[band], soil=al.soil("average"))
        count = heights.lobe_figures(elevation, gain)[3]
        found.append(high[np.argmax(count > 1)])
        halves = 2 * high / al.units.wavelength_m(float(VIEW[band]))
        whole = 1 + np.floor(halves + 0.02)
        assert np.mean(count == whole) > 0.95, "one, and one more for every whole half wavelength"
    return tuple(found)


def corner_lot():
    """Its strongest ray on 10 metres is lost at noon; from which angle down 28.5 MHz return."""
    noon, angles = al.sky.at("noon"), np.arange(0, 90)
    club = al.Dipole(inner_m=2.53, outer_m=2.15, trap=TRAP, shape=al.FlatTop(height_m=7.5))
    assert not noon.returns(28.5, elevation_deg=club.pattern(28.5).takeoff_deg)
    assert noon.returns(14.175, elevation_deg=club.pattern(14.175).takeoff_deg)
    return angles[noon.returns(28.5, elevation_deg=angles)].max()


def too_low():
    """Decibels less at 15° from 5 m up than from the best height in reach, on either band."""
    return at_15(20, 14.175) - at_15(5, 14.175), at_15(11, 28.5) - at_15(5, 28.5)


def loss_of_height():
    low, high = ([at_15(up, f) for up in range(2, 51)] for f in (14.175, 28.5))
    (best, gap), (later, far) = ((2 + np.argmax(one[:30]), 12 + np.argmin(one[10:])) for one in (high, low))
    assert best == 11 and gap == 20 and abs(later - 2 * best) <= 1 and abs(far - 2 * gap) <= 1
    return at_15(11, 28.5) - at_15(20, 28.5)


def by_hand(wave_m, height_m):
    """All lobes of the formula."""
    shares = np.arange(1, 20, 2) * wave_m / 4 / height_m
    return tuple(degrees(asin(share)) for share in shares if share <= 1)


def view(band):
    """The live view over average soil: heights, takeoff angles, lobes."""
    height = live.height.sliders()[0].values
    elevation = np.arange(0, 90.1, STEP_DEG)
    gain = heights.half_wave_gain_dbi(elevation, height, f_mhz=VIEW[band], soil=al.soil("average"))
    takeoff, _, _, count = heights.lobe_figures(elevation, gain)
    return height, takeoff, count


def low_enough():
    """The lowest height that reads 15° on 10 metres, what 20 metres reads there; and that at 10 m, as 15°."""
    (height, takeoff, _), low = view("10"), view("20")[1]
    first, ten = np.argmax(np.round(takeoff) <= 15), np.argmin(np.abs(height - 10))
    assert np.round(takeoff[ten]) == 15
    return height[first], low[first], low[ten]


def gap():
    """What the view of both bands has on 10 metres at 15° from 20 m, the least of all its heights."""
    height = live.height.sliders()[0].values
    gain = heights.half_wave_gain_dbi(np.array([15.0]), height, f_mhz=VIEW["10"], soil=al.soil("average"))[
        :, 0
    ]
    assert abs(height[gain.argmin()] - 20) < 0.05
    return -gain.min()


def best_and_worst():
    """At 15° what is best in reach on 20 metres is the worst on 10."""
    reach = range(5, 21)
    assert max(reach, key=lambda up: at_15(up, 14.175)) == min(reach, key=lambda up: at_15(up, 28.5)) == 20
    return ()


def no_gap():
    """At 8° the 10-metre band has no gap from 5 to 20 m: it rises to a best, then falls little."""
    sent = [club_dbi(up, 28.5, 8) for up in range(5, 21)]
    best = sent.index(max(sent))
    assert sent[:best] == sorted(sent[:best]) and max(sent) - min(sent[best:]) < 3
    return 8


QUOTED = {
    "The second picture, at {:g}°: no gap in reach": no_gap,
    "At 15° the best height in reach for 20 metres is the worst of all for 10": best_and_worst,
    "largest at {:.0f}° by a hair": flat_top,
    "7.5 m (25 ft) | {:.0f}° | {:.0f}° |": lambda: yard(7.5),
    "wet ground | {:.0f}° | {:.0f}° |": lambda: yard(12, soil="wet"),
    "an inverted vee | {:.0f}° | {:.0f}° |": lambda: yard(
        10, shape=al.InvertedVee(apex_m=10, ends_m=7), soil="rocky"
    ),
    "1. At {:.1f} m (34.4 ft) and {:.2f} m (17.2 ft)": two_lobes,
    "2. At {:.1f} to {:.2f} m (34.4 to 36.9 ft), where the lobe points a little below the club, "
    "but is stronger; at 20.25 m (66.4 ft) it is -{:.1f} dBi": best_in_the_wave,
    "3. From {:.1f} m (31 ft) on, where 20 metres reads {:.0f}°; at 10 m (33 ft) that is {:.0f}°": low_enough,
    "At 20 m (66 ft) there is a gap on 10 metres: -{:.1f} dBi": gap,
    "a friendly club {:.0f} km ({:.0f} miles) to the north": friendly,
    "At 11 m (36 ft) it sends {:.0f} dB less off its ends, at 15° on 20 metres": off_the_ends,
    "What returns leaves a little lower, below {:.0f}°": corner_lot,
    "half, by {:.0f} dB": lambda: 10 * np.log10(2),
    "1.05 | straight up | 0.525 | {:.0f}°": lambda: by_hand(10.5, 5),
    "0.525 | {:.0f}° | 0.2625 | {:.0f}°, {:.0f}° |": lambda: by_hand(21, 10) + by_hand(10.5, 10),
    "0.2625 | {:.0f}°, {:.0f}° | 0.131 | {:.0f}°, {:.0f}°, {:.0f}°, {:.0f}° |": lambda: (
        by_hand(21, 20) + by_hand(10.5, 20)
    ),
    "By hand it was {:.0f}° and {:.0f}°": lambda: by_hand(21, 10) + by_hand(10.5, 10)[:1],
    "loses {:.0f} dB: a hundred watts turn into less than one": lambda: loss_of_height(),
    "20 m (66 ft) up {:.1f} m": lambda: 2 * 20 * sin(radians(15)),
    "The view below, on {:.2f} MHz, reads −{:.1f} dBi": lambda: (VIEW["10"], gap()),
    "At 11 m (36 ft) that costs the lower one {:.0f} dB": lambda: at_15(20, 14.175) - at_15(11, 14.175),
    "At 15° it gives away {:.0f} dB on 20 metres, and {:.0f} dB on 10": too_low,
    "costs the lower one {:.0f} dB": lambda: at_15(20, 14.175) - at_15(11, 14.175),
    "lobes at {:.1f}° and {:.1f}° with a gap at {:.0f}°": lambda: by_hand(1, 1) + (degrees(asin(1 / 2)),),
    "On 14.98 MHz the wave is {:.0f} m": lambda: al.units.wavelength_m(14.98),
}
GIVEN = [
    "leave at 15°",
    "at 15°, the echo comes a whole wave late",
    "at which 10 metres takes off at 15°",
    "0° is the horizon, 90° straight up",
    "3 dB are twice the power, 10 dB ten times",
    "Test that rule at 15°",
    "at 15° the wave has a gap",
    "At 15° the echo's",
    "while you transmit 100 W",
    "too steep for 28.5 MHz at noon",
    "at home, on 28.5 MHz again",
    "metres reads 15°",
    "over the top, past 90°",
    "dashed curve for 15°",
]
