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


def at_15(height_m, f_mhz):
    club = al.Dipole(inner_m=2.53, outer_m=2.15, trap=TRAP, shape=al.FlatTop(height_m=height_m))
    return club.pattern(f_mhz).gain_dbi(15)


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
    "a friendly club {:.0f} km": lambda: round(float(al.hop_km(15)), -2),
    "({:.0f} miles) away": lambda: 1700 / 1.609344,
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
    "At 15° the echo's",
    "Left, at 15°",
    "Right, at 30°",
    "metres reads 15°",
]
