"""Numbers quoted in lesson 04; see test_notebooks."""

from dataclasses import replace
from functools import lru_cache
from math import pi, sqrt

import numpy as np
from scipy.optimize import brentq

import antlab as al
from antlab.classroom.views.coax_trap import _resonant, coax_trap
from antlab.classroom.views.trap_choice import AIMS, HANGS
from antlab.physics.trap import GENTLE_FORM, TIGHTEST_FORM

PIPE = {"cable": "RG-58", "form_diameter_mm": 33.4, "turns": 4}
LINE = al.cable.cable("RG-58")


@lru_cache(maxsize=2)
def club(hookup):
    return al.design(shape=HANGS, trap=al.CoaxTrap(hookup=hookup, **PIPE), **AIMS)


def kilowatt_heat(hookup):
    return 15 * club(hookup).stress(club(hookup).high).watts


def by_hand():
    """Microhenries by Wheeler with three quarters of an inch, and picofarads of 0.48 m."""
    return 9 / 14.25, round(0.48 * 101)


def by_hand_mhz():
    coil, capacitor = (round(by_hand()[0], 2), by_hand()[1])
    return 0.63 * 48, sqrt(30.2), 159 / sqrt(coil * capacitor)


@lru_cache(maxsize=1)
def off_resonance():
    """Per cent less than told, of the club's trap by the line equations: from half its frequency on."""
    worst = []
    for hookup in ("series", "braid"):
        wound = al.CoaxTrap(hookup=hookup, **PIPE)
        ratio = np.array([0.5, 0.9, 1.05])
        told = wound.trap.impedance(ratio * wound.resonance_mhz).imag
        worst.append(100 * max(1 - exact_reactance_ohm(wound, ratio) / told))
    return tuple(worst)


def exact_reactance_ohm(wound, ratio):
    """The cable as a line inside its coil, at ratios of its own resonance: see tests/physics/test_trap.py."""
    level = 4 if wound.hookup == "series" else 1
    length, z0 = wound.wound_length_m, LINE.z0_ohm
    coil = wound.trap.inductance_uh / level - LINE.inductance_uh_per_m * length / 3
    own = wound.trap.capacitance_pf * level - LINE.capacitance_pf_per_m * length

    def parts(f):
        w = 2 * pi * f
        angle = w * length / (299.792458 * LINE.velocity_factor)
        return 1 / (1 / (w * coil) - 1e-6 * w * own), angle

    def condition(f):
        x, angle = parts(f)
        return x * np.tan(angle) / z0 - 1

    tuned = brentq(condition, 0.98 * wound.resonance_mhz, 1.02 * wound.resonance_mhz)
    x, angle = parts(np.asarray(ratio) * tuned)
    if wound.hookup == "braid":
        return 1 / (1 / x - np.tan(angle) / z0)
    volts = (x * (1 + np.cos(angle)) + z0 * np.sin(angle)) / (np.cos(angle) - x * np.sin(angle) / z0)
    return volts * (1 + np.cos(angle)) - z0 * np.sin(angle)


def wrong_joint():
    """What antlab's view says is left of the club's trap, and what the right one has."""
    wound = al.CoaxTrap(**PIPE)
    f = wound.resonance_mhz
    left = al.cable.line_impedance(0, cable="RG-58", length_m=wound.wound_length_m, f_mhz=f)
    return f, abs(left), abs(wound.trap.impedance(f)) / 1e3


def warned():
    """Diameters of the cable in the club's pipe: more than antlab refuses, fewer than are gentle."""
    bend = al.CoaxTrap(**PIPE).bend
    assert TIGHTEST_FORM <= bend < GENTLE_FORM
    return (bend,)


def share_of_form():
    """Per cent of the resonance that a millimetre of pipe costs, rounded as the lesson says it."""
    wound = al.CoaxTrap(**PIPE)
    return -wound.sensitivity_khz()["1 mm of form"] / 10 / wound.resonance_mhz


def cable_volts(hookup):
    """Peak volts that a kilowatt and a half puts into the cable, and what antlab thinks of them."""
    made = club(hookup)
    return al.safety.check_trap_volts(made.wound, volts_peak=15**0.5 * made.stress(made.high).volts_peak)


def over_twice():
    """Volts, rounded down, at the open end across the braid; see test_volts_at_the_open_end."""
    return 100 * (2 * club("braid").stress(club("braid").high).volts_peak // 100)


def kilowatt_volts():
    """Close in series, broken down across the braid: claims in words, asked of the numbers."""
    series, braid = cable_volts("series"), cable_volts("braid")
    assert 1 < series.margin < 2 and braid.margin < 1
    return series.volts_peak, braid.volts_peak


def broken_down():
    """What the slide says of a kilowatt and a half."""
    assert cable_volts("braid").margin < 1
    return ()


def lost_on_twenty():
    return tuple(100 * (1 - club(way).efficiency(club(way).low)) for way in ("series", "braid"))


def five_turns():
    """Nearly a quarter: what the lesson promises who changes four turns to five."""
    five = al.CoaxTrap(**PIPE | {"turns": 5}).resonance_mhz
    assert 0.2 < 1 - five / al.CoaxTrap(**PIPE).resonance_mhz < 0.25
    return ()


def measured():
    thick = replace(LINE, outer_mm=5.2)
    ours = (
        al.CoaxTrap(cable=cable, form_diameter_mm=form, turns=10).resonance_mhz
        for cable, form in ((thick, 48.3), (LINE, 35))
    )
    return tuple(100 * (mhz / seen - 1) for mhz, seen in zip(ours, (6.3, 9.262), strict=True))


def dragged():
    start = al.CoaxTrap(cable="RG-58", form_diameter_mm=33, turns=4)
    more = replace(start, turns=4.5), replace(start, form_diameter_mm=35)
    return tuple(one.resonance_mhz for one in (start, *more))


def on_twenty():
    """Pipes of the slider that bring five and six turns into the band, in the view's own words.

    None does seven: between which two they pass over it.
    """
    pipes, band = coax_trap.sliders(cable="RG-58")[0].values, al.band("20m")
    wound = [[al.CoaxTrap(cable="RG-58", form_diameter_mm=p, turns=n) for p in pipes] for n in (5, 6, 7)]
    says = [_resonant([one.trap for one in row])[1] for row in wound]
    five, six, seven = ([p for p, said in zip(pipes, row, strict=True) if said == band.label] for row in says)
    above = [p for p, one in zip(pipes, wound[2], strict=True) if one.resonance_mhz > band.high_mhz]
    assert not seven and wound[2][len(above)].resonance_mhz < band.low_mhz
    return *five, *six, above[-1], pipes[len(above)]


QUOTED = {
    "With 1500 W this cable breaks down across the braid": broken_down,
    "lie {:.0f} pF in each metre of RG-58 ({:.0f} pF in each foot)": lambda: (
        LINE.capacitance_pf_per_m,
        LINE.capacitance_pf_per_m * 0.3048,
    ),
    "Nine over 14.25 is {:.2f} µH": lambda: by_hand()[0],
    "One turn is {:.0f} mm around": lambda: pi * 38.35,
    "Four turns take {:.2f} m": lambda: 4 * pi * 0.03835,
    "0.48 times {:.0f} pF is about {:.0f} pF": lambda: (101, by_hand()[1]),
    "0.63 times 48 is {:.1f}, its root {:.2f}, and 159 over 5.50 is {:.1f} MHz": by_hand_mhz,
    "the frequency must fall by nearly a quarter": five_turns,
    'On {:.2f} MHz this "trap" has {:.0f} Ω, where the right one has {:.0f} kΩ': wrong_joint,
    "On 40 mm it takes {:.2f} turns for 28.5 MHz, and three turns are {:.0f} MHz too high": lambda: (
        al.design_coax_trap(f_mhz=28.5, form_diameter_mm=40).turns,
        al.design_coax_trap(f_mhz=28.5, form_diameter_mm=40).whole_turns_mhz - 28.5,
    ),
    "The club's pipe, at {:.1f}, gets that warning": warned,
    "One millimetre more of pipe is {:.1f} %": share_of_form,
    "where {:.1f} % are lost instead of {:.1f} %": lost_on_twenty,
    "in series the cable sees {:.0f} V, too close for wet weather; across the braid {:.0f} V": kilowatt_volts,
    "less reactance than told: in series up to {:.0f} %, across the braid up to {:.0f} %": off_resonance,
    "its open end and the outward wire over {:.0f} V": over_twice,
    "1400 V rms, {:.0f} V at the peak": lambda: sqrt(2) * LINE.max_volts_rms,
    "in series gets {:.0f} W with a steady carrier, the other {:.0f} W": lambda: (
        kilowatt_heat("series"),
        round(kilowatt_heat("braid"), -1),
    ),
    "The first is {:.1f} % above the measurement, the second {:.1f} %": measured,
    "brings {:.1f} MHz down to {:.1f} MHz, two millimetres of pipe to {:.1f} MHz": dragged,
    "Five turns on {:.0f} mm, six on {:.0f} mm. Seven on none: on {:.0f} mm they are above the band, on "
    "{:.0f} mm below": on_twenty,
    "The view's {:.2f} MHz belong to 33 mm": lambda: dragged()[0],
    "52 mm long and so {:.1f} mm a turn": lambda: 52 / 10,
}
GIVEN = [
    "RG-58, 4.95 mm thick",
    "It tries four turns",
    "Four turns on 33 mm",
    "its turns for 28.5, 14.1 and 7.1 MHz",
    "33.4 mm fits 28.5 MHz, 48.3 mm both",
    "computed is good to 2 %",
    "within the 2 % that we promise",
    "Switch on, 100 W on the 10-metre band",
    "With 1500 W, the most",
    'approximately 6.3 MHz". K.-O. Müller',
    "9.262 MHz. (Both seen",
    "hundreds of volts at 100 W",
]
