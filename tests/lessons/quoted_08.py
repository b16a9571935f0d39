"""Numbers quoted in lesson 08; see test_notebooks."""

from functools import lru_cache
from math import radians, tan

import numpy as np

import antlab as al
from antlab.classroom import live
from antlab.physics import sky
from antlab.units import MILE_KM

CLUB = {"inner_m": 2.53, "outer_m": 2.15, "trap": al.Trap(inductance_uh=1.25, capacitance_pf=25, q=200)}
HANG = al.FlatTop(height_m=9)


def both(km, digits=0):
    """Kilometres and miles, rounded."""
    return round(float(km), digits), round(float(km) / MILE_KM, digits)


def flat(angle):
    return both(round(600 / tan(radians(angle)), -1))


@lru_cache(maxsize=8)
def beam(f_mhz):
    """Where the steep edge and the low edge of the club's beam land, to 10 km and miles."""
    low, high = al.Dipole(shape=HANG, **CLUB).pattern(f_mhz).beamwidth_deg()
    return tuple(float(al.hop_km(edge)) for edge in (high, low))


def beam_words(f_mhz, km):
    """The kilometres as rounded in the lesson, then miles of these."""
    assert np.allclose(beam(f_mhz), km, rtol=0.006)
    return tuple(round(one / MILE_KM) for one in km)


def skip(f_mhz, critical_mhz):
    return both(sky.skip_km(f_mhz, critical_mhz=critical_mhz))


def county():
    wire = al.Dipole(inner_m=10, shape=al.FlatTop(height_m=7.5)).pattern(7.15)
    return both(al.hop_km(wire.beamwidth_deg()[0]))


def as_well():
    """Straight up and at the cousin's 71 degrees the wire at 10 m sends as much as the one at 7.5 m."""
    low, high = (al.Dipole(inner_m=10, shape=al.FlatTop(height_m=h)).pattern(7.15) for h in (7.5, 10))
    assert all(abs(high.gain_dbi(angle) - low.gain_dbi(angle)) < 0.3 for angle in (71, 80, 90))
    return ()


def up_high():
    angle = sky.elevation_for_km(3000)
    forty = al.Dipole(inner_m=10, shape=HANG).pattern(7.15).gain_dbi(angle)
    return al.Dipole(shape=HANG, **CLUB).pattern(28.5).gain_dbi(angle) - forty


@lru_cache(maxsize=8)
def farm_dbi(share):
    up = al.FlatTop(height_m=share * al.units.wavelength_m(5.39))
    soil = al.Soil(permittivity=17, conductivity=0.02)
    return float(al.Dipole(inner_m=13.2, shape=up, soil=soil).pattern(5.39).gain_dbi(80))


def farm_loss():
    assert farm_dbi(0.18) > max(farm_dbi(share) for share in (0.1, 0.15, 0.22, 0.3))
    return farm_dbi(0.18) - farm_dbi(0.02)


def friendly():
    angles = live.hop.sliders()[0].values
    return angles[np.argmin(np.abs(al.hop_km(angles) - 1700))]


def twice():
    angles = live.hop.sliders()[0].values
    angle = angles[sky.secant_factor(angles) > 2].max()
    return angle, *both(al.hop_km(angle))


QUOTED = {
    "cousin 200 km ({:.0f} miles) away": lambda: 200 / MILE_KM,
    "from 1000 km ({:.0f} miles) and more": lambda: 1000 / MILE_KM,
    "some 300 km ({:.0f} miles) up": lambda: 300 / MILE_KM,
    "| 76° | 4 | {:.0f} km ({:.0f} miles) |": lambda: flat(76),
    "| 45° | 1 | {:.0f} km ({:.0f} miles) |": lambda: flat(45),
    "| 27° | ½ | {:.0f} km ({:.0f} miles) |": lambda: (
        round(600 / tan(radians(27)), -2),
        round(600 / tan(radians(27)), -2) / MILE_KM,
    ),
    "| 11° | ⅕ | {:.0f} km ({:.0f} miles) |": lambda: (600 * 5, 600 * 5 / MILE_KM),
    "One step up takes {:.0f} forward, so it would come down 11 {:.0f} km ({:.0f} miles) away": lambda: (
        1 / tan(radians(3)),
        round(600 / tan(radians(3)), -2) - 11000,
        round(600 / tan(radians(3)) / MILE_KM, -2),
    ),
    "horizon comes down after {:.0f} km ({:.0f} miles)": lambda: both(al.hop_km(0)),
    "all from 360 to 1700 km ({:.0f} to {:.0f} miles)": lambda: beam_words(14.175, (360, 1700)),
    "from 1100 to 2450 km ({:.0f} to {:.0f} miles)": lambda: beam_words(28.5, (1100, 2450)),
    "nobody within {:.0f} km ({:.0f} miles) hears you": lambda: skip(14.175, 9),
    "what returns lands beyond {:.0f} km ({:.0f} miles)": lambda: skip(28.5, 9),
    "everybody within {:.0f} km ({:.0f} miles)": lambda: skip(7.15, 4),
    "friendly club 1700 km ({:.0f} miles) away, with": lambda: 1700 / MILE_KM,
    "A circle of {:.0f} km ({:.0f} miles) around": county,
    "Across 6000 km ({:.0f} miles) there are two hops of 3000 km ({:.0f} miles)": lambda: (
        6000 / MILE_KM,
        3000 / MILE_KM,
    ),
    "at 10 m (33 ft) it serves the county as well as at 7.5 m": as_well,
    "the 10-metre band sends {:.0f} dB more": up_high,
    "down to 0.02 wavelengths we lose {:.1f} dB": farm_loss,
    "the real sky: {:.1f} dB apart": lambda: 12 - farm_loss(),
    "On 40 metres 0.18 wavelengths are {:.1f} m": lambda: 0.18 * al.units.wavelength_m(7.15),
    "patch at 110 km ({:.0f} miles)": lambda: 110 / MILE_KM,
    "come down 200 km away: they leave at {:.0f}°": lambda: sky.elevation_for_km(200),
    "which would land from 360 km ({:.0f} miles) on": lambda: beam_words(14.175, (360, 1700))[0],
    "1. {:.0f}°. 2. It lands at {:.0f} km ({:.0f} miles), and the friendly club needs": lambda: (
        friendly(),
        *both(al.hop_km(friendly(), 400)),
    ),
    "a steeper ray now, one of {:.0f}°": lambda: sky.elevation_for_km(1700, 400),
    "3. From {:.0f}° down, which is {:.0f} km ({:.0f} miles)": twice,
    "a layer at 300 km ends at {:.0f} km ({:.0f} miles)": lambda: both(al.hop_km(0)),
}
GIVEN = [
    "A mile is 1.609344 km",
    "the height of the layer, 300 km, and",
    "At 11° the hop",
    "about a ray at 3°",
    "It may be 9 MHz at noon and 4 MHz",
    "a critical frequency of 9 MHz",
    "The cousin at 200 km sits",
    "critical frequency 9 MHz) and at night (4 MHz)",
    "the layer at 300 km. Which",
    "lift the layer to 400 km",
    "Leave the layer at 300 km",
    "stays above 7.15 MHz",
    "for 300 km (seen",
    "0.18 to 0.22 wavelengths; at 0.02 wavelengths 12 dB are lost",
    "such soil, at 80°",
    "where they say 12 dB",
    "we chose 9 and 4 MHz",
    "is above 7 MHz",
]
