"""Numbers quoted in lesson 07; see test_notebooks."""

from dataclasses import replace
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
    return at_15(11, 14.175) - club_dbi(11, 14.175, 15, azimuth_deg=0)


def at_8():
    """Decibels that the 10-metre band loses of its best at 8° from 12 to 25 m: no gap, as there is at 15°."""
    tall = np.arange(2, 25.1, 0.25)
    low, steep = (
        heights.half_wave_gain_dbi(np.array([angle]), tall, f_mhz=28.5, soil=al.soil("average"))[:, 0]
        for angle in (8.0, 15.0)
    )
    far = [float(al.hop_km(angle)) for angle in (15, 8)]
    assert np.ptp(steep[tall >= 12]) > 15 and 1.4 < far[1] / far[0] < 1.5
    return np.ptp(low[tall >= 12])


def higher_wins():
    """Below 10° on 10 metres 20 m of height beat 11 m; by how much at 3°, the least of 3 and 4 degrees."""
    more = [club_dbi(20, 28.5, angle) - club_dbi(11, 28.5, angle) for angle in (3, 4, 5, 6, 8)]
    assert min(more) > 0 and more == sorted(more, reverse=True)
    assert club_dbi(20, 28.5, 10) < club_dbi(11, 28.5, 10)
    return min(more[:2])


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


def second_lobe(band):
    height, _, count = view(band)
    return height[np.argmax(count > 1)]


def low_enough():
    height, takeoff, _ = view("10")
    first = np.argmax(np.round(takeoff) <= 15)
    return height[first], view("20")[1][first]


def by_soil():
    """At 12 m, from very dry to the sea: how far the lobe that moves most moves; growth is asserted."""
    moved = []
    for f_mhz in VIEW.values():
        wire, tops, gaps = al.Dipole(inner_m=143 / f_mhz / 2, shape=al.FlatTop(height_m=12)), {}, {}
        for soil in al.bands.SOILS:
            pattern = replace(wire, soil=soil).pattern(f_mhz)
            tops[soil] = np.array(pattern.lobes())
            gaps[soil] = pattern.gain_dbi(np.arange(tops[soil][0, 0], 90, 0.25)).min()
        angles, gains = np.moveaxis(np.array(list(tops.values())), 2, 0)
        moved.append(np.ptp(angles, axis=0))
        sea, wet, average, dry = (tops[one][0, 1] for one in ("sea water", "wet", "average", "very dry"))
        assert dry < average < wet < sea == gains[:, 0].max()
        assert gaps["very dry"] > gaps["average"] > gaps["wet"] > gaps["sea water"]
    return np.max(np.concatenate(moved))


QUOTED = {
    "a friendly club {:.0f} km ({:.0f} miles) to the north": friendly,
    "At 15° it sends {:.0f} dB less off its ends on 20 metres": off_the_ends,
    "the 10-metre band stays within {:.1f} dB of its best from 12 m (39 ft) up": at_8,
    "the higher wire wins, by {:.0f} dB and more near the horizon": higher_wins,
    "what returns leaves a little lower, below {:.0f}°": corner_lot,
    "largest value on 20 metres at {:.0f}°": lambda: view("20")[1][np.argmin(abs(view("20")[0] - 5))],
    "half, by {:.0f} dB": lambda: 10 * np.log10(2),
    "1.05 | straight up | 0.525 | {:.0f}°": lambda: by_hand(10.5, 5),
    "0.525 | {:.0f}° | 0.2625 | {:.0f}°, {:.0f}° |": lambda: by_hand(21, 10) + by_hand(10.5, 10),
    "0.2625 | {:.0f}°, {:.0f}° | 0.131 | {:.0f}°, {:.0f}°, {:.0f}°, {:.0f}° |": lambda: (
        by_hand(21, 20) + by_hand(10.5, 20)
    ),
    "By hand it was {:.0f}° and {:.0f}°": lambda: by_hand(21, 10) + by_hand(10.5, 10)[:1],
    "loses {:.0f} dB: a hundred watts turn into less than one": lambda: loss_of_height(),
    "20 m (66 ft) up {:.1f} m": lambda: 2 * 20 * sin(radians(15)),
    "the lower band gives away {:.0f} dB": lambda: at_15(20, 14.175) - at_15(11, 14.175),
    "the upper one would give away {:.0f} dB": loss_of_height,
    "At 15° it gives away {:.0f} dB on 20 metres, and {:.0f} dB on 10": too_low,
    "costs the lower one {:.0f} dB": lambda: at_15(20, 14.175) - at_15(11, 14.175),
    "1. At {:.1f} m (17 ft) and {:.1f} m": lambda: (second_lobe("10"), second_lobe("20")),
    "2. At {:.1f} m (31 ft), and on 20 metres it is {:.0f}°": low_enough,
    "3. They move by up to {:.0f}°, but grow over wet ground": by_soil,
    "lobes at {:.1f}° and {:.1f}° with a gap at {:.0f}°": lambda: by_hand(1, 1) + (degrees(asin(1 / 2)),),
    "On 14.98 MHz the wave is {:.0f} m": lambda: al.units.wavelength_m(14.98),
}
GIVEN = [
    "leave at 15°",
    "0° is the horizon, 90° straight up",
    "3 dB are twice the power, 10 dB ten times",
    "those above 90° are on the other side",
    'a beam "26° to 154°" reaches',
    "once it is deeper than 3 dB",
    "Test it at 15°",
    "at 15° the wave has a gap",
    "At 15° the echo's",
    "Left, at 15°",
    "Right, at 8°",
    "28.5 MHz through",
    "At 15° it is as good as dead",
    "Below 10°",
    "the friend at 15°",
    "metres reads 15°",
]
