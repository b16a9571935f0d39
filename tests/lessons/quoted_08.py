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


def skip(f_mhz, hour):
    return both(sky.at(hour).skip_km(f_mhz))


@lru_cache(maxsize=8)
def pattern(f_mhz):
    return al.Dipole(shape=HANG, **CLUB).pattern(f_mhz)


def off_the_ends():
    """What the club's wire sends less along itself than broadside at 15°, and nothing straight up; dB."""
    sent = pattern(14.175)
    assert abs(sent.gain_dbi(90) - sent.gain_dbi(90, azimuth_deg=0)) < 0.01
    less = [float(sent.gain_dbi(a) - sent.gain_dbi(a, azimuth_deg=0)) for a in (15, 30, 45, 60, 75)]
    assert less == sorted(less, reverse=True)
    return less[0]


def noon_on_20():
    """The skip zone at noon; all but a tenth of the beam returns, by the distances of its edges."""
    noon, (near, far) = sky.at("noon"), beam(14.175)
    assert noon.skip_km(14.175) - near < 0.1 * (far - near)
    return skip(14.175, "noon")


def noon_on_10():
    """The steep edge of the beam is lost at noon; its strongest ray returns, as does that to the club."""
    noon, strongest = sky.at("noon"), pattern(28.5).takeoff_deg
    assert noon.skip_km(28.5) > beam(28.5)[0]
    assert noon.returns(28.5, elevation_deg=[15, strongest]).all()
    assert round(float(noon.hop_km(15)), -2) == 1700
    return (*beam_words(28.5, (1100, 2450))[:1], strongest)


def layer_moves():
    """The heights that 300 km may act like, and where the ray at 15° lands then, to 10 km, with miles."""
    noon = sky.at("noon")
    heights = [noon.layer_km * (1 + share) for share in (-sky.LOWER, sky.HIGHER)]
    near, far = (round(float(km), -1) for km in noon.spread_km(15))
    return 100 * sky.LOWER, 100 * sky.HIGHER, *heights, near, far, near / MILE_KM, far / MILE_KM


def sporadic():
    """From where to where a patch at 110 km serves 10 metres, to 10 km, with miles."""
    near = round(float(sky.skip_km(28.5, critical_mhz=8, layer_km=110)), -1)
    far = round(float(al.hop_km(0, 110)), -1)
    return near, near / MILE_KM, far, far / MILE_KM


def rim():
    """At the rim of the county's circle the wire sends less off its ends; to the cousin at 71° below 1 dB."""
    wire = al.Dipole(inner_m=10, shape=al.FlatTop(height_m=7.5)).pattern(7.15)
    edge = wire.beamwidth_deg()[0]
    assert wire.gain_dbi(71) - wire.gain_dbi(71, azimuth_deg=0) < 1
    return wire.gain_dbi(edge) - wire.gain_dbi(edge, azimuth_deg=0)


def ocean_limit():
    """The highest frequency that noon returns to 3000 km: above all three bands."""
    highest = sky.at("noon").highest_mhz(sky.elevation_for_km(3000))
    assert highest > 28.5
    return highest


def hears_nothing():
    """The cousin is in noon's skip zone on 20 metres and not on 40, also half a megahertz higher."""
    noon = sky.at("noon")
    up = noon.elevation_deg(200)
    assert noon.highest_mhz(up) * (noon.critical_mhz + 0.7) / noon.critical_mhz < 14
    assert noon.returns(7.3, elevation_deg=up)
    return ()


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
    "it sends {:.0f} dB less on 20 metres at 15°": off_the_ends,
    "nobody within {:.0f} km ({:.0f} miles) hears you; of the club's beam nearly all returns": noon_on_20,
    "On 10 metres the ring reaches out to {:.0f} km ({:.0f} miles)": lambda: skip(28.5, "noon"),
    "would land from 1100 km ({:.0f} miles) on, goes through and is lost. Its strongest ray, at {:.0f}°, "
    "returns, and so does the one at 15°": noon_on_10,
    "from {:.0f} % lower to {:.0f} % higher (common practice, no source). For 300 km that is {:.0f} to "
    "{:.0f} km, and the ray at 15° lands somewhere between {:.0f} and {:.0f} km "
    "({:.0f} and {:.0f} miles)": layer_moves,
    "serves stations from {:.0f} km ({:.0f} miles) to {:.0f} km ({:.0f} miles)": sporadic,
    "they hear it {:.0f} dB weaker": rim,
    "at that angle the limit is {:.0f} MHz": ocean_limit,
    "The cousin at 200 km sits in the skip zone of the 20-metre band": hears_nothing,
    "everybody within {:.0f} km ({:.0f} miles)": lambda: skip(7.15, "night"),
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
    "active sun: 12 MHz at noon, 4 MHz in the small hours",
    "a critical frequency of 12 MHz",
    "critical frequency 12 MHz) and at night (4 MHz)",
    "With 8 MHz as its critical",
    "the layer at 300 km. Which",
    "lift the layer to 400 km",
    "Leave the layer at 300 km",
    "stays above 7.15 MHz",
    "for 300 km (seen",
    "0.18 to 0.22 wavelengths; at 0.02 wavelengths 12 dB are lost",
    "such soil, at 80°",
    "where they say 12 dB",
    "is above 7 MHz",
]
