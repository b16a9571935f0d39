"""Numbers quoted in lesson 08; see test_notebooks."""

from functools import lru_cache
from math import radians, tan

import numpy as np

import antlab as al
from antlab.classroom.views import where_it_lands
from antlab.physics import sky
from antlab.units import MILE_KM

HANG = al.FlatTop(height_m=9)


def both(km, digits=0):
    """Kilometres and miles, rounded."""
    return round(float(km), digits), round(float(km) / MILE_KM, digits)


def flat(angle):
    return both(round(600 / tan(radians(angle)), -1))


def skip(f_mhz, hour):
    return both(sky.at(hour).skip_km(f_mhz))


def off_the_ends():
    """What a 20-metre wire sends less along itself than broadside at 15°, and nothing straight up; dB."""
    sent = al.Dipole(inner_m=5.03, shape=HANG).pattern(14.175)
    assert abs(sent.gain_dbi(90) - sent.gain_dbi(90, azimuth_deg=0)) < 0.01
    less = [float(sent.gain_dbi(a) - sent.gain_dbi(a, azimuth_deg=0)) for a in (15, 30, 45, 60, 75)]
    assert less == sorted(less, reverse=True)
    return less[0]


def layer_moves():
    """The heights that 300 km may act like, and where the ray at 15° lands then, to 10 km, with miles."""
    noon = sky.at("noon")
    heights = [noon.layer_km * (1 + share) for share in (-sky.LOWER, sky.HIGHER)]
    near, far = (round(float(km), -1) for km in noon.spread_km(15))
    return 100 * sky.LOWER, 100 * sky.HIGHER, *heights, near, far, near / MILE_KM, far / MILE_KM


def hears_nothing():
    """The cousin is in noon's skip zone on 20 metres and not on 40, also half a megahertz higher."""
    noon = sky.at("noon")
    up = noon.elevation_deg(200)
    assert noon.highest_mhz(up) * (noon.critical_mhz + 0.7) / noon.critical_mhz < 14
    assert noon.returns(7.3, elevation_deg=up)
    return ()


def cousin():
    """The ray that comes down at the cousin's at noon on 40 metres, what height is enough, and that 7.5 m do.

    From 7.5 m it is within 0.2 dB of the best, as the lesson has it.
    """
    (up,) = [one for one in range(1, 91) if abs(al.hop_km(one) - 200) < 5]
    sent = where_it_lands._gain("40 metres")[up - 1]
    assert sent.max() - sent[where_it_lands.HEIGHTS_M == 7.5] < 0.2
    return up, enough(sent)


def friend():
    """What height is enough for the friend at 15° on 20 metres, and the best; all between are within 1 dB."""
    sent, high = where_it_lands._gain("20 metres")[14], where_it_lands.HEIGHTS_M
    assert round(float(al.hop_km(15)), -2) == 1700
    low, best = enough(sent), high[sent.argmax()]
    assert np.all(sent.max() - sent[(high >= low) & (high <= best)] < 1)
    return low, best


def enough(sent):
    """The lowest height that is within 1 dB of the best."""
    return where_it_lands.HEIGHTS_M[sent >= sent.max() - 1][0]


def steep_is_lost():
    """From which angle up 20 metres goes through at noon; just below it lands beyond the skip zone."""
    noon = sky.at("noon")
    lost = min(up for up in range(1, 91) if not noon.returns(14.175, elevation_deg=up))
    assert noon.hop_km(lost) < noon.skip_km(14.175) < noon.hop_km(lost - 1)
    return (lost, *skip(14.175, "noon"))


def night():
    """At night 20 and 10 metres are closed, 40 has its zone, 80 reaches the cousin; at dusk it begins."""
    dark = sky.at("night")
    assert np.isinf([dark.skip_km(14.175), dark.skip_km(28.5)]).all() and dark.skip_km(3.7) == 0
    assert 0 < sky.at("dusk").skip_km(7.15) < dark.skip_km(7.15)
    return skip(7.15, "night")


def taller_layer():
    """Every hop grows with the layer, by hand and above the round earth, the steep ones by a third."""
    low, high = (al.hop_km(np.array([76, 45, 27, 11, 3, 0]), one) for one in (300, 400))
    assert np.all(high > low) and round(float(high[0] / low[0]), 1) == round(4 / 3, 1)
    return ()


def as_well():
    """Straight up and at the cousin's 71 degrees the wire at 10 m sends as much as the one at 7.5 m."""
    low, high = (al.Dipole(inner_m=10, shape=al.FlatTop(height_m=h)).pattern(7.15) for h in (7.5, 10))
    assert all(abs(high.gain_dbi(angle) - low.gain_dbi(angle)) < 0.3 for angle in (71, 80, 90))
    return ()


def up_high():
    """10 metres over 40 metres towards 3000 km from half-wave dipoles 9 m up, dB."""
    angle = sky.elevation_for_km(3000)
    ten, forty = (
        al.Dipole(inner_m=leg, shape=HANG).pattern(f).gain_dbi(angle) for f, leg in ((28.5, 2.5), (7.15, 10))
    )
    return ten - forty


@lru_cache(maxsize=8)
def farm_dbi(share):
    up = al.FlatTop(height_m=share * al.units.wavelength_m(5.39))
    soil = al.Soil(permittivity=17, conductivity=0.02)
    return float(al.Dipole(inner_m=13.2, shape=up, soil=soil).pattern(5.39).gain_dbi(80))


def farm_loss():
    assert farm_dbi(0.18) > max(farm_dbi(share) for share in (0.1, 0.15, 0.22, 0.3))
    return farm_dbi(0.18) - farm_dbi(0.02)


def steep_enough():
    """A 20-metre ray that would land at the cousin's goes through at noon."""
    noon = sky.at("noon")
    assert not noon.returns(14.175, elevation_deg=sky.elevation_for_km(200))
    return 200


QUOTED = {
    "moves in where that is within {:.0f} km ({:.0f} miles)": lambda: both(where_it_lands.NEAR_KM),
    "A 20-metre ray steep enough for {:.0f} km goes through": steep_enough,
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
    "Off its ends the 20-metre wire sends {:.0f} dB less at 15°": off_the_ends,
    "they say 12 dB: {:.1f} dB apart": lambda: 12 - farm_loss(),
    "at 3° it says 11 {:.0f} km ({:.0f} miles). The round one bends away, and says {:.0f} km "
    "({:.0f} miles)": (
        lambda: (
            round(600 / tan(radians(3)), -2) - 11000,
            round(600 / tan(radians(3)) / MILE_KM, -2),
            *both(al.hop_km(3)),
        )
    ),
    "A cousin lives 200 km ({:.0f} miles) away": lambda: 200 / MILE_KM,
    "just the steep rays: they leave at {:.0f}°": lambda: sky.elevation_for_km(200),
    "The round one says {:.0f} km ({:.0f} miles)": lambda: both(al.hop_km(3)),
    "lift the layer to 400, as it may be at night. Every hop should grow, the steep ones by a third": (
        taller_layer
    ),
    "At 15° a frequency {:.1f} times the critical one": lambda: sky.secant_factor(15),
    "grow to {:.0f} km ({:.0f} miles): the county falls silent": night,
    "1. {:g} m (44 ft): {:g} m (74 ft) sends less than a decibel more": friend,
    "from each height; shaded: within {:g} dB of the best": lambda: where_it_lands.ENOUGH_DB,
    "Which height is enough for it, within {:g} dB": lambda: where_it_lands.ENOUGH_DB,
    "From {}° up the ray is lost. 3. Nobody within {:.0f} km ({:.0f} miles) hears you": steep_is_lost,
    "4. The one at {}°; {:g} m (18 ft) is enough": cousin,
    "On 40 nobody within {:.0f} km ({:.0f} miles) hears you. 80 metres": night,
    "at the cousin's, 200 km ({:.0f} miles) away": lambda: 200 / MILE_KM,
    "from {:.0f} % lower to {:.0f} % higher (common practice, no source). For 300 km that is {:.0f} to "
    "{:.0f} km, and the ray at 15° lands somewhere between {:.0f} and {:.0f} km "
    "({:.0f} and {:.0f} miles)": layer_moves,
    "The cousin at 200 km sits in the skip zone of the 20-metre band": hears_nothing,
    "Across 6000 km ({:.0f} miles) there are two hops of 3000 km ({:.0f} miles)": lambda: (
        6000 / MILE_KM,
        3000 / MILE_KM,
    ),
    "at 10 m (33 ft) it serves the county as well as at 7.5 m": as_well,
    "the 10-metre band sends {:.0f} dB more": up_high,
    "down to 0.02 wavelengths we lose {:.1f} dB": farm_loss,
    "On 40 metres 0.18 wavelengths are {:.1f} m": lambda: 0.18 * al.units.wavelength_m(7.15),
    "patch at 110 km ({:.0f} miles)": lambda: 110 / MILE_KM,
    "come down 200 km away: they leave at {:.0f}°": lambda: sky.elevation_for_km(200),
    "a layer at 300 km reaches {:.0f} km ({:.0f} miles) at most": lambda: both(al.hop_km(0)),
}
GIVEN = [
    "the height of the layer, 300 km, and",
    "at 11° the hop",
    "about a ray at 3°",
    "The ray at 15° reaches",
    "within 0.2 dB",
    "active sun: 12 MHz at noon, 4 MHz in the small hours",
    "critical frequency 12 MHz) and at night (4 MHz)",
    "for 300 km (seen",
    "0.18 to 0.22 wavelengths; at 0.02 wavelengths 12 dB are lost",
    "such soil, at 80°",
    "is above 7 MHz",
    "while you transmit 100 W",
]
