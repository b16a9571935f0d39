"""Numbers quoted in lesson 05; see test_notebooks."""

import numpy as np

from antlab.antenna.feeding import CHOKES
from antlab.classroom.views.feed_line import losing
from antlab.physics import cable, circuit, coil
from antlab.units import power_ratio, wavelength_m

CLUB = {"cable": "RG-58", "f_mhz": 28.5}
NO_LOSS = losing(cable.cable("RG-58"), 0)


def half_the_power():
    """A hundred watts, SWR 3, a line that eats half."""
    arrive = 100 / 2
    back = arrive * circuit.reflection_of_swr(3) ** 2
    return 100, back / 2


def swr_after_half():
    return circuit.swr_of_reflection(np.sqrt(half_the_power()[1] / 100))


def line_alone():
    return cable.loss_db(length_m=30, **CLUB)


def swr_adds():
    return cable.total_loss_db(150, length_m=30, **CLUB) - line_alone()


def fails():
    return cable.swr_along_line(np.inf, distance_m=60, **CLUB)


def station(antenna_ohm, line_m):
    """What the live view says: SWR in the shack, watts of 100 fed in that arrive. Wet counts double."""
    arrive = 100 * power_ratio(-cable.total_loss_db(antenna_ohm, length_m=line_m, **CLUB))
    return cable.swr_along_line(antenna_ohm, distance_m=line_m, **CLUB), arrive


def half_lost():
    """Over how many metres the club's cable eats half of what runs through it, each way."""
    assert abs(power_ratio(-cable.loss_db(length_m=37, **CLUB)) - 0.5) < 0.01
    return 37


def first_question():
    """What both meters show at 37 m, SWR 3; what arrives of what is fed in."""
    shack, share = station(150, 37)
    fed = 100 * (1 - circuit.reflection_of_swr(shack) ** 2)
    return shack, 3, fed * share / 100, fed


def second_question():
    """What a wet line of 30 m shows with an open end, and what warms it: as much loss as of 60 dry metres."""
    shack = fails()
    return shack, 100 * (1 - circuit.reflection_of_swr(shack) ** 2)


def third_question():
    """A line without loss has one SWR, wherever the shack is; the ohms swing as far as that allows."""
    on = {"cable": NO_LOSS, "f_mhz": 7.1}
    assert np.allclose(cable.swr_along_line(150, distance_m=np.arange(1, 61), **on), 3)
    ohms = abs(cable.line_impedance(150, length_m=np.arange(1, 61), **on))
    return min(ohms), max(ohms)


def turned():
    """Ohms on 7.1 MHz after three quarters of a wave, and after half of one, to the metre."""
    on = {"cable": NO_LOSS, "f_mhz": 7.1}
    wave_m = NO_LOSS.velocity_factor * wavelength_m(7.1)
    assert (round(0.75 * wave_m), round(wave_m / 2)) == (21, 14)
    return tuple(cable.line_impedance(150, length_m=np.array([21, 14]), **on).real)


def lower_band():
    """What the first cell says when it is changed to 7.1 MHz: below 2 dB, and a meter nearer to the truth."""
    on = CLUB | {"f_mhz": 7.1}
    assert cable.total_loss_db(150, length_m=30, **on) < 2 < swr_adds() + line_alone()
    assert cable.swr_along_line(150, distance_m=30, **on) > cable.swr_along_line(150, distance_m=30, **CLUB)
    return 7.1, 28.5, 2


def half_the_line():
    """What the failing cell says with 30 m: between 3 and 4."""
    assert 3 < cable.swr_along_line(np.inf, distance_m=30, **CLUB) < 4
    return 30, 60, 3, 4


def fed_in():
    """By hand: fed in, and of each 100 W of it what the antenna takes, as the calls and the view count it."""
    forward, back = half_the_power()
    takes = forward / 2 * (1 - circuit.reflection_of_swr(3) ** 2)
    share = 100 * takes / (forward - back)
    half = 10 * np.log10(2) / line_alone() * 30  # metres of the club's cable that take half the power
    assert abs(station(150, half)[1] - share) < 0.1
    return takes, forward - back, share


def air_choke():
    """Ohms of the air coil on 14.2 MHz, to ten. Half of it on 7.1; a capacitor outside can cancel it."""
    air = CHOKES[1]
    thick = cable.cable("RG-58").outer_mm
    size = {"diameter_mm": air.across_mm + thick, "length_mm": air.turns * thick, "turns": air.turns}
    ohms = 2 * np.pi * 14.2 * coil.solenoid_uh(**size)
    outside = -700j  # the braid's outside, like a capacitor
    assert abs(outside + 1j * ohms) < abs(outside) < abs(outside + 4000)
    assert ohms < 1000, "the weaker cure: not some thousand ohms"
    return round(ohms, -1)


def letter_differs():
    """How far antlab's SWR is below the letter's 9, on the line that loses 2 dB and shows 3."""
    per_metre_db = cable.loss_db(length_m=1, **CLUB)
    return 9 - cable.antenna_swr(3, length_m=2 / per_metre_db, **CLUB)


QUOTED = {
    "{:.2f} W back, so what": lambda: half_the_power()[1],
    "S = 1.25 / 0.75 = {:.2f}": swr_after_half,
    "it takes {:.1f}. The radio sends 100 W forward and gets": lambda: fed_in()[0],
    "it feeds in is {:.2f} W. Of each 100 W fed in, the antenna gets {:.0f}": lambda: fed_in()[1:],
    "Of each 100 W fed in, the antenna gets {:.0f}. The carpet": lambda: fed_in()[2],
    "{:g} turns of RG-58 through a ring {:g} mm (2.4 in)": lambda: (CHOKES[0].turns, CHOKES[0].across_mm),
    "{:g} turns of RG-58 side by side on a pipe of {:g} mm (4.3 in)": lambda: (
        CHOKES[1].turns,
        CHOKES[1].across_mm,
    ),
    "On 14.2 MHz that is about {:.0f} Ω": air_choke,
    "3 dB are a half, {:.0f} dB a tenth": lambda: -10 * np.log10(0.1),
    "The line alone loses {:.1f} dB": line_alone,
    "The SWR costs {:.1f} dB more": swr_adds,
    "with {} for {} both losses should fall below {} dB": lower_band,
    "with {} for {} the meter should wake up, to an SWR between {} and {}": half_the_line,
    "a quarter of it is {:.2f} m (17.4 ft) in air, and {:.2f} m (11.5 ft) in": lambda: (
        wavelength_m(14.1) / 4,
        0.66 * wavelength_m(14.1) / 4,
    ),
    "become 2500 / 150 = {:.1f} Ω": lambda: 50**2 / 150,
    "is an SWR of 3, {:.1f} Ω too": lambda: 50 / 3,
    "with anything from {:.1f} to {:.0f} Ω": lambda: (50 / 3, 50 * 3),
    "which up there is {:.1f} of SWR": letter_differs,
    "you found {:.2f}. ": lambda: 0.66 * wavelength_m(14.1) / 4,
    "of {} W {:.2f} W still come back to the meter": half_the_power,
    "{:.2f} to be exact": swr_after_half,
    "Pull the shack to {} m (121 ft): there the cable eats half each way": half_lost,
    "1. At {} m (121 ft) each way eats half": half_lost,
    "is the same everywhere. But the ohms swing, from {:.0f} to {:.0f}": third_question,
    "So in task 3: nearly {:.0f} Ω at 21 m (69 ft) and {:.0f} Ω at 14 m (46 ft)": turned,
    "The shack's meter shows {:.1f}, the antenna's {:.1f}. The antenna gets {:.0f} W of the {:.0f} W fed "
    "in": first_question,
    "It shows {:.1f}, and many a radio is content. The antenna gets nothing: {:.0f} W": second_question,
}
GIVEN = [
    "choose f 7.1 MHz and no loss",
    "of its own, 50 Ω for most coax. An antenna of 50 Ω",
    "and where 100 W go",
    "Follow 100 W through",
    "Of the 50 W that arrive",
    "on 7.1 MHz half of it",
    "some kΩ, most of it",
    "an antenna of 150 Ω",
    "Our 150 Ω",
    "150 Ω on 50",
    "the line loses 2 dB",
    "a loss of 1.4 dB in 100 feet on 10 MHz",
    "On 14.1 MHz",
]
