"""Numbers quoted in lesson 05; see test_notebooks."""

from dataclasses import replace

import numpy as np

from antlab.classroom import live
from antlab.classroom.third_wire import FED_A, STRAY_A
from antlab.physics import cable, circuit, coil
from antlab.units import power_ratio, wavelength_m

CLUB = {"cable": "RG-58", "f_mhz": 28.5}


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


def watts(swr, line_m, loss_db):
    """What the live view says of a setting: SWR in the shack, watts that arrive."""
    line = replace(cable.cable("RG-58"), loss_k0_db=loss_db, loss_k1_db=0, loss_k2_db=0)
    there = {"cable": line, "f_mhz": 14.2}
    arrive = 100 * power_ratio(-cable.total_loss_db(50 * swr, length_m=line_m, **there))
    return cable.swr_along_line(50 * swr, distance_m=line_m, **there), arrive


def for_the_meter(swr, line_m, shown):
    """The least loss of the live view's slider that brings the meter down to what is shown; watts then."""
    for loss_db in live.feed_line.sliders(swr_at_antenna=swr)[1].values:
        shack, arrive = watts(swr, line_m, loss_db)
        if round(float(shack), 1) <= shown:
            return loss_db, arrive
    raise AssertionError("not on the slider")


def second_question():
    loss_db, arrive = for_the_meter(3, 25, 2.0)
    return loss_db, arrive, 100 - arrive


def third_question():
    assert f"{watts(5, 60, 14)[0]:.1f}" == "1.2"
    return watts(5, 60, 14)[1]


def letter():
    return circuit.reflection_of_swr(3) * power_ratio(2)


def three_currents():
    (stray, none) = STRAY_A.values()
    assert none == 0
    return stray, FED_A - stray, FED_A


def fed_in():
    """By hand: fed in, and of each 100 W of it what the antenna takes, as the calls and the view count it."""
    forward, back = half_the_power()
    takes = forward / 2 * (1 - circuit.reflection_of_swr(3) ** 2)
    share = 100 * takes / (forward - back)
    half = 100 * 10 * np.log10(2) / 25  # dB per 100 m that take half the power over 25 m
    assert abs(watts(3, 25, half)[1] - share) < 0.1
    return takes, forward - back, share


AIR = {
    "diameter_mm": 110 + cable.cable("RG-58").outer_mm,
    "length_mm": 8 * cable.cable("RG-58").outer_mm,
    "turns": 8,
}


def air_choke():
    """Ohms of the air coil on 14.2 MHz, to ten. Half of it on 7.1; a capacitor outside can cancel it."""
    inductance_uh = coil.solenoid_uh(**AIR)
    ohms = 2 * np.pi * 14.2 * inductance_uh
    outside = -700j  # the braid's outside, like a capacitor
    assert abs(outside + 1j * ohms) < abs(outside) < abs(outside + 4000)
    return round(ohms, -1)


def air_cable():
    return 8 * np.pi * AIR["diameter_mm"] / 1000


QUOTED = {
    "adds its {:g} A to the {:g} A of the leg, and together they are the {:g} A": three_currents,
    "The meter sees {:.0f} W go and {:.2f} W come back": half_the_power,
    "S = 1.25 / 0.75 = {:.2f}": swr_after_half,
    "it takes {:.1f}. The radio gives 100 W and gets 6.25 W back, so what it really feeds in is {:.2f} W. "
    "Of each 100 W fed in, the antenna gets {:.0f}": fed_in,
    "On 14.2 MHz that is about {:.0f} Ω": air_choke,
    "some {:.0f} m (10 ft) of cable": air_cable,
    "3 dB are a half, {:.0f} dB a tenth": lambda: -10 * np.log10(0.1),
    "The line alone loses {:.1f} dB": line_alone,
    "The SWR costs {:.1f} dB more": swr_adds,
    "become 2500 / 150 = {:.1f} Ω": lambda: 50**2 / 150,
    "{:.1f} Ω on 50 is 3 as well": lambda: 50 / 3,
    "with anything from {:.1f} to {:.0f} Ω": lambda: (50 / 3, 50 * 3),
    "you found {:.2f} above": lambda: 0.66 * wavelength_m(14.1) / 4,
    "and the SWR is {:.1f} in place of 9": lambda: circuit.swr_of_reflection(letter()),
    "of {} W {:.2f} W still come back to the meter": half_the_power,
    "{:.2f} to be exact": swr_after_half,
    "2. {:.0f} dB per 100 m (328 ft). Of 100 W {:.0f} W arrive, and {:.0f} W warm": second_question,
    "14 dB per 100 m (328 ft), for example; {:.0f} W are left": third_question,
}
GIVEN = [
    "of its own, 50 Ω for most coax. An antenna of 50 Ω",
    "Follow 100 W through",
    "Of the 50 W that arrive",
    "100 W into the line",
    "a ring 61 mm (2.4 in)",
    "some kΩ, most of it",
    "a pipe of 110 mm (4.3 in)",
    "on 7.1 MHz half of it",
    "an antenna of 150 Ω",
    "Our 150 Ω",
    "150 Ω on 50 is 3",
    "left of 100 W",
    "the line loses 2 dB",
    "a loss of 1.4 dB in 100 feet on 10 MHz",
    "on 14.1 MHz",
    "a plain 50 Ω",
]
