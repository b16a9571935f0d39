"""Numbers quoted in lesson 06; see test_notebooks."""

from math import asin, degrees, log10, radians, sin

import numpy as np

import antlab as al
from antlab.classroom import live


def low(soil):
    return al.Dipole(inner_m=10, shape=al.FlatTop(height_m=2), soil=soil)


def sky():
    return 100 * low("average").pattern(7.1).sky_fraction


def lobe(soil):
    return al.Dipole(inner_m=10, shape=al.FlatTop(height_m=21), soil=soil).pattern(7.1).lobes()[0]


def lost():
    (mirror_angle, mirror), (angle, gain) = lobe(al.PERFECT_GROUND), lobe("average")
    return mirror - gain, mirror_angle - angle


def view(soil, what):
    """Total wave of the live view over slider values, and the value where it is largest."""
    sliders = {"elevation_deg": np.array([30.0]), "height_m": np.array([21.0])}
    (slider,) = (s for s in live.soil_and_mirror.sliders() if s.name.lower() in what)
    elevation, height = np.broadcast_arrays(*(sliders | {what: slider.values}).values())
    lag = 4 * np.pi / al.units.wavelength_m(7.15) * height * np.sin(np.radians(elevation))
    echo = al.ground.reflection_horizontal(elevation_deg=elevation, f_mhz=7.15, soil=al.soil(soil))
    total = np.abs(1 + echo * np.exp(-1j * lag))
    return slider.values[total.argmax()]


def dip():
    """The weakest total of the live view above the lobe, and how weak."""
    angle = live.soil_and_mirror.sliders()[0].values[20:]
    lag = 4 * np.pi / al.units.wavelength_m(7.15) * 21 * np.sin(np.radians(angle))
    echo = al.ground.reflection_horizontal(elevation_deg=angle, f_mhz=7.15, soil=al.soil("average"))
    total = 20 * np.log10(np.abs(1 + echo * np.exp(-1j * lag)))
    return angle[total.argmin()], -total.min()


def beach():
    sea, dry = (
        20 * log10(abs(1 + al.ground.reflection_horizontal(elevation_deg=30, f_mhz=7.15, soil=al.soil(soil))
                       * np.exp(-4j * np.pi / al.units.wavelength_m(7.15) * 21 * sin(radians(30)))))
        for soil in ("sea water", "very dry")
    )  # fmt: skip
    return sea, dry, sea - dry


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
    "42 / 28 = {:.1f}.": lambda: 42 / 28,
    "{:.0f}° it is": lambda: lobe(al.PERFECT_GROUND)[0],
    "That is {:.0f} m": lambda: 42 / 4 / sin(radians(20)),
    "same angle takes {:.0f} m": lambda: 21 / 4 / sin(radians(20)),
    "10 metres only {:.1f} m": lambda: 10.5 / 4 / sin(radians(20)),
    "soil returns {:.0f} %": lambda: (
        100 * abs(al.ground.reflection_horizontal(elevation_deg=30, f_mhz=7.1, soil=al.soil("average")))
    ),
    "The lobe has lost {:.1f} dB and leans {:.0f}° lower": lost,
    "only {:.0f} W of 100 get out": sky,
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
    "what the mirror says, {:.1f} Ω, is not far from the {:.1f} Ω that truly make waves": lambda: (
        low(al.PERFECT_GROUND).impedance(7.1).real,
        low("average").impedance(7.1).real * sky() / 100,
    ),
    "get out well: {:.0f} W of 100": sky,
    "where it goes: {:.0f} W of 100": sky,
    "largest at {:.0f}°, by hand it was 30°": lambda: view("average", "elevation_deg"),
    "dip at {:.0f}° (-{:.1f} dB)": dip,
    "3. {:.0f} m": lambda: view("average", "height_m"),
    "Twice the field is {:.1f} dB, over the desert {:.1f} dB: the beach gains {:.1f} dB": beach,
}
GIVEN = [
    "The club is on 7.1 MHz",
    "40-metre band at 30°",
    "0° is in step, 180° is dead against",
    "share of the field that comes back at 30°",
    "first lobe at 20°",
    "much of 100 W leaves",
    "on 7.15 MHz",
    "from its lowest step to 90°",
    "Stay at 90°",
    "Set 30° and drag",
    "Set 30° and 21 m",
    "in 1932: 85.6 Ω",
    "of that kind on 7.1 MHz",
    "even with 100 W",
]
