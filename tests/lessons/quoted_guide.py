"""Numbers quoted in the volunteer's guide; see test_notebooks."""

import numpy as np
import quoted_04
import quoted_05
import quoted_07
import quoted_09
import quoted_10

import antlab as al
from antlab.classroom import fieldday, live
from antlab.files import ROOT
from antlab.physics import circuit, sky

COIL_UH = al.coil.solenoid_uh(diameter_mm=33.4 + 2, length_mm=11 * 2, turns=11)
TRAP = fieldday.TRAP.trap
LOWER = 0.99  # what leads and air leave of a trap's frequency, lesson 04


def one_capacitor():
    """The frequencies of the demonstration's coil with 100 pF, when both it and its leads are off."""
    return tuple(circuit.resonance_mhz(inductance_uh=COIL_UH, capacitance_pf=pf) for pf in (105 + 5, 95))


def first_pipe():
    """Where the view of lesson 04 begins: its pipe, and what four turns on it come to."""
    form_mm = live.coax_trap.sliders(cable="RG-58", hookup="series")[0].begin
    return form_mm, al.CoaxTrap(cable="RG-58", form_diameter_mm=form_mm, turns=4).resonance_mhz


def off_half():
    """Per cent by which four capacitors may miss half of one: each 5 per cent off, 5 pF of leads."""
    off = [abs(2 * ((c + 5) / (c + 3 * others + 5)) ** 0.5 - 1) for c in (95, 105) for others in (95, 105)]
    return 100 * max(off)


def ten_swings():
    """Seconds for ten swings of a chain that one washer, and that four, stretch by 6 cm each."""
    return tuple(10 * 2 * np.pi * (washers * 0.06 / 9.81) ** 0.5 for washers in (1, 4))


def per_centimetre():
    """MHz by which the small dipole's dip rises for a centimetre off each leg."""
    f_mhz = np.linspace(130, 160, 3001)
    dips = [f_mhz[al.Dipole(inner_m=leg, soil=al.FREE_SPACE).swr(f_mhz).argmin()] for leg in (0.50, 0.48)]
    return (dips[1] - dips[0]) / 2


def through_db(f_mhz):
    return -20 * np.log10(abs(100 / (100 + TRAP.impedance(f_mhz))))


def low_and_high(f_mhz=14.2):
    z = TRAP.impedance(f_mhz)
    return round(z.imag, -2), z.real


def with_ten():
    """The dip with 10 pF of 5 per cent: a real trap's at the least, a computed one's at the most."""
    at_most, at_least = (
        circuit.resonance_mhz(inductance_uh=TRAP.inductance_uh, capacitance_pf=TRAP.capacitance_pf + added)
        for added in (9.5, 10.5)
    )
    return LOWER * at_least, at_most


def waves_alone():
    low = al.Dipole(inner_m=10, shape=al.FlatTop(height_m=2), soil="average")
    ohms = low.impedance(7.1).real
    assert round(ohms * low.pattern(7.1).sky_fraction, 1) == 8.9, "not quite nine ohms are waves"
    return int(ohms)


def bounce():
    """Metres off at which a ray of 5 degrees bounces, from 21 m up."""
    return round(21 / np.tan(np.radians(5)), -1)


def same_meter():
    """An SWR that two stations of the live view show; one gets five times the watts of the other."""
    (good, more), (bad, less) = quoted_05.station(75, 10), quoted_05.station(250, 2 * 39)
    assert f"{good:.1f}" == f"{bad:.1f}" and more > 5 * less
    return good


def both_ends():
    """The lowest SWR of one antenna by two sweeps, in the shack and at the antenna."""
    data = ROOT / "notebooks" / "data"
    return tuple(
        al.read_sweep(data / f"{name}.s1p").between(27, 29).swr.min() for name in ("shack", "antenna-1")
    )


def hours():
    """The demonstration of evening 08 goes through the lessons' one sky, hour by hour."""
    critical = ", ".join(f"{one.critical_mhz:g}" for one in sky.HOURS.values())
    assert f"for critical_mhz in ({critical}):" in (ROOT / "notebooks/teach/guide.ipynb").read_text("utf-8")
    return ()


def layer_mm():
    """Height of the layer on a ball of 24 cm."""
    return 300 / sky.EARTH_KM * 120


def tall_needle():
    """MHz that 4 µH and 100 pF meet at: on the live view's sliders other pairs meet there too."""
    assert abs(circuit.resonance_mhz(inductance_uh=8, capacitance_pf=50) - 7.96) < 0.01
    return 4, 100


QUOTED = {
    "from outside {:.1f} milliamps": lambda: 1e3 * 100 / (200 * 200),
    "begin at a pipe of {:.0f} mm, hence their {:.2f} MHz": first_pipe,
    "100 volts on {} 000 ohms": lambda: 200 * 200 // 1000,
    "B, {:.0f} MHz. The washers": lambda: 14 / 4**0.5,
    "with one capacitor anything from {:.1f} to {:.1f} MHz": one_capacitor,
    "first number, give or take {:.0f} per cent": off_half,
    "about {:.0f} seconds with one washer, {:.0f} with four": ten_swings,
    "where {} µH and {} pF do": tall_needle,
    "the dip moves up by about {:.0f} MHz with each centimetre": per_centimetre,
    "a deep notch near {:.1f} MHz": lambda: LOWER * fieldday.TRAP.resonance_mhz,
    "On 14.2 MHz some {:.0f} dB are missing": lambda: through_db(14.2),
    "a coil of nearly {:.0f} ohms, with hardly {:.0f} ohms that warm": low_and_high,
    "From {:.1f} MHz down to {:.1f} MHz, on the slider": lambda: quoted_04.dragged()[::2],
    "between {:.1f} and {:.1f} MHz is a success for four turns": lambda: (
        0.98 * fieldday.TRAP.resonance_mhz,
        fieldday.TRAP.resonance_mhz,
    ),
    "The SWR of nothing at all is {:.1f}": lambda: al.cable.swr_along_line(
        np.inf, distance_m=30, cable="RG-58", f_mhz=28.5
    ),
    "with an SWR of {:.1f} on the meter, one of which gets at least five times": same_meter,
    "Of {} ohms, how many are waves?": waves_alone,
    "About {:.0f} metres off": bounce,
    "{:.1f} dBi against {:.1f} dBi. But at 6° it is {:.1f} against {:.1f}": lambda: tuple(
        quoted_07.club_dbi(height_m, 28.5, angle) for angle in (15, 6) for height_m in (11, 20)
    ),
    "not quite {:.0f} mm (¼ in) high": layer_mm,
    "Below are the hours of the lessons' one sky, from noon to night": hours,
    "At {:.0f} degrees. |": lambda: al.sky.elevation_for_km(200),
    "{:.0f} on the lower, {:.0f} on the upper band": lambda: (quoted_09.plain(7.24), quoted_09.plain(14.29)),
    "{:.0f} on the lower band. |": lambda: quoted_09.to_the_sky()[0],
    "{:.0f} of 560 kHz": lambda: 5 * round(quoted_10.a_centimetre()[1]),
    "I measured it: {:.2f}.": lambda: both_ends()[0],
    "At the antenna it is {:.2f}. The dip": lambda: both_ends()[1],
    "and between {:.1f} and {:.1f} MHz with the 10 pF": with_ten,
}
GIVEN = [
    "With the string, 14.2 MHz only",
    "Groups fill in the row for 8 MHz",
    "100 volts, 200 ohms: how many amps",
    "capacitors of 100 pF, 5 per cent or better",
    "Clip one capacitor of 100 pF straight across",
    "is a success (its 5 per cent, and some 5 pF of leads)",
    "The row for 8 MHz only",
    "an analyzer that reaches 150 MHz",
    "Drag it to 5 µH",
    "from 10 to 35 MHz. antlab expects for 50 ohms",
    "about 1 per cent lower",
    "100 W keep people about a metre from the wire, 1500 W some metres",
    "only 30 to 40 dB deep",
    "hundreds of volts at 100 W",
    "a dip about 1 per cent below the number",
    "How many of your 100 watts arrive",
    "Only 28.5 MHz",
    "very dry ground send back at 30 degrees",
    "the ray at 5 degrees bounce",
    "one friend at 15 degrees",
    "10 metres at 15 degrees from 11 metres up",
    "7 dBi from a bare wire",
    "where the other 900 watts went",
    "your other 900 watts go",
    "How many of 100 watts get into the sky",
    "With 100 watts nobody need stay away",
    "a good capacitor of 10 pF",
    "Clip 10 pF right across",
    "about 1 per cent less than computed",
    "if that is good to 5 per cent",
]
