"""The right letter of each guess is a claim, and is computed: for each lesson, what makes its option true."""

import re
from math import sqrt

import numpy as np
import pytest
import quoted_07
import quoted_09
import quoted_10

import antlab as al
from antlab.classroom.guess.question import read_guess
from antlab.classroom.views.shared import EXAMPLE
from antlab.physics import circuit
from antlab.units import wavelength_m


def numbers(lesson, unit=""):
    """The first number of each option, with its unit: letter -> number."""
    options = read_guess(lesson).options
    found = {letter: re.search(rf"\d+(?:\.\d+)?(?= {unit})" if unit else r"\d+(?:\.\d+)?", words)
             for letter, words in options.items()}  # fmt: skip
    return {letter: float(one[0]) for letter, one in found.items() if one}


def nearest(offered, value):
    """The letter whose number is nearest to a value, and much nearer than any other."""
    letters = sorted(offered, key=lambda letter: abs(offered[letter] - value))
    assert abs(offered[letters[0]] - value) < 0.35 * abs(offered[letters[1]] - value)
    return letters[0]


def road():
    """Half a wave on 14.2 MHz among a broomstick, a car, a bus of 12 m and two of them."""
    return nearest({"A": 1.5, "B": 4.5, "C": 12, "D": 24}, wavelength_m(14.2) / 2)


def four_times():
    """The pair's own frequency with four times the capacitor."""
    pair = [circuit.resonance_mhz(inductance_uh=1.3, capacitance_pf=pf) for pf in (100, 400)]
    return nearest(numbers("01"), 14 * pair[1] / pair[0])


def dip():
    """Where the SWR is lowest; at twice the frequency it is far over 20."""
    f_mhz = np.linspace(13, 30, 341)
    swr = al.Dipole(inner_m=10.56 / 2, soil=al.FREE_SPACE).swr(f_mhz)
    assert swr[np.abs(f_mhz - 28.4).argmin()] > 40
    return nearest(numbers("02"), f_mhz[swr.argmin()])


def trap_below():
    """A coil, so no gap; as much of it as a half metre of wire in each half; and nearly no resistance."""
    z = EXAMPLE.trap.impedance(14.2)
    plain = al.Dipole(inner_m=5.17, shape=al.FlatTop(height_m=9))
    shorter = plain.length_m - EXAMPLE.length_m
    assert abs(plain.impedance(14.175).imag) < 10 and abs(shorter / 2 - 0.5) < 0.03
    above = EXAMPLE.trap.impedance(32).imag
    assert z.imag > 100 * z.real and above < 0
    return "D"


def two_coils():
    """Joined in series and across the braid, the same cable on the same pipe."""
    made = [
        al.CoaxTrap(cable="RG-58", form_diameter_mm=40, turns=5, hookup=how) for how in ("series", "braid")
    ]
    ratio = made[0].trap.inductance_uh / made[1].trap.inductance_uh
    return nearest({"A": 1, "B": 2, "C": 4, "D": 0}, ratio)


def in_the_shack():
    """Half the power out, half of what returns eaten too."""
    swr = circuit.swr_of_reflection(circuit.reflection_of_swr(3) * 0.5)
    return nearest({"A": 1, "B": 1.7, "C": 3, "D": 4}, swr)


def two_metres_up():
    """The ohms that two options share, and of those the one by which most power warms the soil."""
    wire = al.Dipole(inner_m=10, shape=al.FlatTop(height_m=2), soil="average")
    offered = numbers("06", "Ω")
    near = [letter for letter, ohm in offered.items() if abs(ohm - wire.impedance(7.1).real) < 3]
    assert near == ["B", "C"] and wire.swr(7.1) < 2
    return "B" if wire.pattern(7.1).sky_fraction > 0.5 else "C"


def both_bands():
    """At 15° each band has another best height among those in reach; on 10 metres the highest is worst."""
    tall = np.arange(5, 20.1, 1)
    low, high = ([quoted_07.at_15(one, f_mhz) for one in tall] for f_mhz in (14.175, 28.5))
    assert tall[np.argmax(low)] == 20 and tall[np.argmax(high)] == 11 and tall[np.argmin(high)] == 20
    return "D"


def cousin():
    """At noon 40 metres returns at the cousin's angle, 20 metres does not; a low wire sends steeply."""
    noon, steep = al.sky.at("noon"), al.sky.elevation_for_km(200)
    returns = noon.returns([7.15, 14.175], elevation_deg=steep)
    low = al.Dipole(inner_m=9.9, shape=al.FlatTop(height_m=7.5)).pattern(7.15)
    assert low.takeoff_deg > 80 and list(returns) == [True, False]
    return "A"


def corner_lot():
    """It fits between the poles, level, so no vee is needed; plain wire loses decibels on both bands."""
    assert quoted_09.corner().width_m < 18
    assert quoted_09.plain(7.24) > 3 and quoted_09.plain(14.29) > 10
    return "B"


def first_cut():
    """The trap is where it should be; the inner wires move both bands, the outer ones the lower one alone."""
    inner, both, outer = quoted_10.a_centimetre()
    assert min(inner, both, outer) > 0
    assert 5 * both < 0.6 * 560
    return "D"


RIGHT = {
    "00": road, "01": four_times, "02": dip, "03": trap_below, "04": two_coils, "05": in_the_shack,
    "06": two_metres_up, "07": both_bands, "08": cousin, "09": corner_lot, "10": first_cut,
}  # fmt: skip


@pytest.mark.parametrize("number", RIGHT)
def test_the_right_letter_is_right(number):
    """What the end of the lesson calls right is what the code says."""
    assert read_guess(number).right == RIGHT[number]()


def test_the_numbers_that_are_offered():
    """The wrong ones are what the mistakes make of it: forgotten root, wrong way, both."""
    offered = sorted(numbers("01").values())
    assert offered == [14 / 4, 14 / sqrt(4), 14 * sqrt(4), 14 * 4]
