"""Numbers quoted in lesson 06; see test_notebooks."""

import re
from functools import cache
from math import asin, degrees, log10, radians, sin

import numpy as np

import antlab as al
from antlab.classroom import live
from antlab.classroom.views.height import STEP_DEG
from antlab.classroom.views.player import SCREEN
from antlab.engine import heights

VIEW_MHZ = float(al.band("40m").middle_mhz)


def low(soil):
    return al.Dipole(inner_m=10, shape=al.FlatTop(height_m=2), soil=soil)


def sky():
    return 100 * low("average").pattern(7.1).sky_fraction


def lobe(soil):
    return al.Dipole(inner_m=10, shape=al.FlatTop(height_m=21), soil=soil).pattern(7.1).lobes()[0]


def lost():
    (mirror_angle, mirror), (angle, gain) = lobe(al.PERFECT_GROUND), lobe("average")
    assert abs(leaning(21, 7.1) - (mirror_angle - angle)) < 0.3
    return mirror - gain, mirror_angle - angle


def leaning(height_m, f_mhz):
    """By how many degrees soil lowers the first lobe, more by its echo's strength than by its delay."""
    up = np.arange(5, 60, 0.01)
    echo = al.ground.reflection_horizontal(elevation_deg=up, f_mhz=f_mhz, soil=al.soil("average"))
    assert (np.diff(np.abs(echo)) < 0).all(), "steep waves come back worse"
    late = 4 * np.pi * height_m / al.units.wavelength_m(f_mhz) * np.sin(np.radians(up))

    def first(echo):
        wave = np.abs(1 + echo * np.exp(-1j * late))
        return up[1:-1][(wave[1:-1] > wave[:-2]) & (wave[1:-1] >= wave[2:])][0]

    mirror = first(-np.ones(len(up)))
    weaker, later = mirror - first(-np.abs(echo)), mirror - first(echo / np.abs(echo))
    assert weaker > later > 0.1, "both lower it, the strength more than the delay"
    return mirror - first(echo)


def flat_top():
    """Where the wave view is strongest over soil a quarter wave up: off overhead, by less than 0.5 dB."""
    elevation = np.arange(0, 90.1, STEP_DEG)
    gain = heights.half_wave_gain_dbi(elevation, np.array([10.5]), f_mhz=VIEW_MHZ, soil=al.soil("average"))
    assert gain.max() - gain[0, -1] < 0.5
    return heights.lobe_figures(elevation, gain)[0][0]


def two_lobes():
    """What the words of the wave view say at 10.5 m: one lobe on 40 metres, on 20 two; the strongest."""
    says = [
        live.wave_over_soil.still(SCREEN, {"upper": upper}, live.wave_over_soil.defaults)[1].says[0]
        for upper in (0, 1)
    ]
    assert "\n1 lobe," in says[0] and "10.50 m (34.4 ft)" in says[1]
    return float(re.search(r"\n2 lobes, the strongest at (\d+)°", says[1])[1])


def least_up(soil):
    """Where the wave view shows the least straight up over a soil: height, share of a wave."""
    slider = live.wave_over_soil.sliders(**live.wave_over_soil.defaults)[0]
    up = heights.half_wave_gain_dbi(np.array([90.0]), slider.values, f_mhz=VIEW_MHZ, soil=al.soil(soil))
    high = slider.values[up[:, 0].argmin()]
    return high, high / al.units.wavelength_m(VIEW_MHZ)


def late(elevation_deg):
    """By how much of a wave the echo is late from where the least goes straight up: its way, and the soil."""
    way = 2 * least_up("average")[1] * sin(radians(elevation_deg))
    echo = al.ground.reflection_horizontal(
        elevation_deg=elevation_deg, f_mhz=VIEW_MHZ, soil=al.soil("average")
    )
    return way - np.angle(-echo) / 2 / np.pi


def over_the_mirror():
    """The height of the least straight up over a perfect mirror: half a wave. Soil's late echo wants less."""
    echo = al.ground.reflection_horizontal(elevation_deg=90.0, f_mhz=VIEW_MHZ, soil=al.soil("average"))
    late = -np.angle(-echo) / 2 / np.pi / 2  # of a wave's height, up and down again
    assert late > 0 and abs(least_up("average")[1] - (0.5 - late)) < 0.005
    high, share = least_up("perfect ground")
    assert abs(share - 0.5) < 0.01
    return high


@cache
def feed(height_m, soil="average"):
    """Ohms and watts of the view of the feed, from the words of a row."""
    at = live.soil_and_mirror.places({"height_m": height_m}, {})
    choices = live.soil_and_mirror.defaults | {"soil": soil}
    says = live.soil_and_mirror.film(SCREEN, choices, at, still=False)[1]["says"][0]
    return [
        float(one) for one in re.search(r"(\d+) Ω at .* (\d+) Ω\nOf 100 W that go in, (\d+) W", says).groups()
    ]


def seventy():
    """The lowest height of the view of the feed with 70 W."""
    return next(h for h in live.soil_and_mirror.sliders()[0].values if feed(h)[2] >= 70)


def returned():
    """What average soil returns at 30°, per cent of the field; very dry one half, the sea nearly all."""
    sea, average, dry = (
        abs(al.ground.reflection_horizontal(elevation_deg=30, f_mhz=7.1, soil=al.soil(one)))
        for one in ("sea water", "average", "very dry")
    )
    assert sea > 0.98 and abs(dry - 0.5) < 0.02
    return 100 * average


def leak():
    """The second line of the printed lobes over average soil: straight up, and far weaker than the first."""
    first, second = al.Dipole(inner_m=10, shape=al.FlatTop(height_m=21), soil="average").pattern(7.1).lobes()
    assert first[1] - second[1] > 10
    return second[0]


def quarter_up():
    """The lobe a quarter wave up over the mirror."""
    (lobe,) = (
        al.Dipole(inner_m=10, shape=al.FlatTop(height_m=10.5), soil="perfect ground").pattern(7.1).lobes()
    )
    return lobe[0]


def thin():
    quarter = al.Dipole(inner_m=10.26, shape=al.FlatTop(height_m=10.56), soil=al.PERFECT_GROUND)
    return 100 * (quarter.impedance(7.1).real / 85.6 - 1)


QUOTED = {
    "A. About {:.0f} Ω": lambda: low(al.PERFECT_GROUND).impedance(7.1).real,
    "B. About {0:.0f} Ω. That is a fine match, so most of the power gets out. - C. About {0:.0f} Ω": lambda: (
        5 * round(low("average").impedance(7.1).real / 5)
    ),
    "D. About {:.0f} Ω": lambda: al.Dipole(inner_m=10, soil=al.FREE_SPACE).impedance(7.1).real,
    "four times the power, {:.0f} dB": lambda: 20 * log10(2),
    "one half at {:.0f}°": lambda: degrees(asin(0.5)),
    "megahertz, so about {:.0f} m": lambda: 300 / 7.1,
    "42 / 84 = 0.5. That is a lobe at {:.0f}°": lambda: degrees(asin(42 / 84)),
    "42 / 42 = 1. That is {:.0f}°": lambda: degrees(asin(42 / 42)),
    "Over soil the picture began with {:.0f}°": flat_top,
    "(Over soil the picture has two, the strongest at {:.0f}°": two_lobes,
    "42 / 28 = {:.1f}.": lambda: 42 / 28,
    "{:.0f}° it is": lambda: lobe(al.PERFECT_GROUND)[0],
    "That is {:.0f} m": lambda: 42 / 4 / sin(radians(20)),
    "same angle takes {:.0f} m": lambda: 21 / 4 / sin(radians(20)),
    "10 metres only {:.1f} m": lambda: 10.5 / 4 / sin(radians(20)),
    "soil returns {:.0f} %": returned,
    "The lobe has lost {:.1f} dB and leans {:.0f}° lower": lost,
    "Of the {:.1f} Ω at the feed {:.1f} Ω stand for waves": lambda: (
        low("average").impedance(7.1).real,
        low("average").impedance(7.1).real * sky() / 100,
    ),
    "It is {:.1f} % high": thin,
    "it bounces at 5° about {:.0f} m": lambda: 21 / np.tan(radians(5)),
    "C. Yes: {:.1f} Ω, and with an SWR of {:.1f}": lambda: (
        low("average").impedance(7.1).real,
        low("average").swr(7.1),
    ),
    "the ohms would be right, {:.1f} Ω, but through them {:.0f} of 100 W would get out": lambda: (
        low(al.PERFECT_GROUND).impedance(7.1).real,
        100 * low(al.PERFECT_GROUND).pattern(7.1).sky_fraction,
    ),
    "get out well: {:.0f} W of 100": sky,
    "But {:.0f} W of 100 become waves": sky,
    "where power goes: {:.0f} W of 100": sky,
    "stand at {:.0f}°, as by hand": quarter_up,
    "second line, at {:.0f}°": leak,
    "{:.0f} W get out (copper": lambda: 100 * low("perfect ground").pattern(7.1).sky_fraction,
    "through {:.1f} Ω": lambda: low("perfect ground").impedance(7.1).real,
    "2. At {:.2f} m (66.4 ft) it is {:.2f} wave late: it cancels. Towards 30° only {:.2f}": lambda: (
        least_up("average")[0],
        late(90),
        late(30),
    ),
    "That is {:.2f} of a wave up": lambda: least_up("average")[1],
    "it would be half a wave, {:.0f} m": over_the_mirror,
    "3. {:.0f} Ω, and over a mirror {:.0f} Ω": lambda: tuple(feed(2)[:2]),
    "4. {:.0f} W; about 70 W from {:.0f} m": lambda: (feed(2)[2], seventy()),
}
GIVEN = [
    "The club is on 7.1 MHz",
    "At 30° a perfect mirror",
    "first lobe at 20°",
    "of 100 W that go in",
    "in 1932: 85.6 Ω",
    "). On 7.1 MHz",
    "Turn the ray to 30°",
    "makes that lobe at 30°",
    "even with 100 W",
]
