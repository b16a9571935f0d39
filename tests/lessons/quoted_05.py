"""Numbers quoted in lesson 05; see test_notebooks."""

from dataclasses import replace

import numpy as np

from antlab.classroom import live
from antlab.classroom.third_wire import FED_A, STRAY_A
from antlab.physics import cable, circuit
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


QUOTED = {
    "adds its {:g} A to the {:g} A of the leg, and together they are the {:g} A": three_currents,
    "The meter sees {:.0f} W go and {:.2f} W come back": half_the_power,
    "S = 1.25 / 0.75 = {:.2f}": swr_after_half,
    "3 dB are a half, {:.0f} dB a tenth": lambda: -10 * np.log10(0.1),
    "The line alone loses {:.1f} dB": line_alone,
    "The SWR costs {:.1f} dB more": swr_adds,
    "become 2500 / 150 = {:.1f} Ω": lambda: 50**2 / 150,
    "{:.1f} Ω on 50 is 3 as well": lambda: 50 / 3,
    "with anything from {:.1f} to {:.0f} Ω": lambda: (50 / 3, 50 * 3),
    "you found {:.2f} above": lambda: 0.66 * wavelength_m(14.1) / 4,
    "and the SWR is {:.1f} in place of 9": lambda: circuit.swr_of_reflection(letter()),
    "{:.2f} to be exact": swr_after_half,
    "2. {:.0f} dB per 100 m (328 ft). Of 100 W {:.0f} W arrive, and {:.0f} W warm": second_question,
    "14 dB per 100 m (328 ft), for example; {:.0f} W are left": third_question,
}
GIVEN = [
    "of its own, 50 Ω for most coax. An antenna of 50 Ω",
    "Follow 100 W through",
    "of 100 W only 50 arrive",
    "an antenna of 150 Ω",
    "Our 150 Ω",
    "150 Ω on 50 is 3",
    "left of 100 W",
    "the line loses 2 dB",
    "a loss of 1.4 dB in 100 feet on 10 MHz",
    "on 14.1 MHz",
    "a plain 50 Ω",
]
