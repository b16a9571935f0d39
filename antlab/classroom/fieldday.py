"""The running example as measured on the lawn. Nobody did: it is computed, with errors put in on purpose.

Lesson 10 trims it. `antlab refresh` writes the files; each says at its top that it is invented, and how.
"""

from dataclasses import replace
from functools import lru_cache

import numpy as np

from antlab.antenna.design import design
from antlab.engine.shapes import FlatTop
from antlab.physics.bands import Soil
from antlab.physics.cable import cable as known_cable
from antlab.physics.cable import line_impedance
from antlab.physics.circuit import reflection_coefficient
from antlab.physics.trap import CoaxTrap

TRAP = CoaxTrap(cable="RG-58", form_diameter_mm=33.4, turns=4)  # of lesson 04
AIMS = {"low": "20m", "high": "10m", "low_mhz": 14.175, "high_mhz": 28.5}
SHAPE = FlatTop(height_m=9)

# What was built against what was planned. Guesses of what is usual; common practice, no source.
STRETCH = 1.025  # insulated wire works as if it were so many times longer
LEADS_PF, Q_SHARE = 0.25, 0.85  # of the traps: leads and damp air
HEIGHT_M, LAWN = 8.7, Soil(permittivity=16, conductivity=0.007)
NOISE = 0.003  # of each part of the reflection, rms
ADDED_PF = 10.2  # the capacitor marked 10 pF
LOOP_UH, COUPLING = 0.1, 0.12  # two turns beside the trap
LINE_M, SHORTER = 30.0, 0.99  # the club's feed line, and how its velocity factor compares with the sheet

FOLDED_M = ((0.0, 0.0), (0.085, 0.0), (0.105, 0.02))  # inner and outer wire, each leg, before each sweep
SWEPT_MHZ = np.linspace(12, 32, 201)


@lru_cache(maxsize=1)
def planned():
    """The Design of the running example, with the traps of lesson 04."""
    return design(shape=SHAPE, trap=TRAP, **AIMS)


def built(inner_m=0.0, outer_m=0.0):
    """The antenna as it hangs. inner_m, outer_m: folded back in each leg, metres. Returns a Dipole."""
    plan = planned().dipole
    trap = replace(plan.trap, capacitance_pf=plan.trap.capacitance_pf + LEADS_PF, q=Q_SHARE * plan.trap.q)
    return replace(
        plan, trap=trap, shape=FlatTop(height_m=HEIGHT_M), soil=LAWN,
        inner_m=STRETCH * (plan.inner_m - inner_m), outer_m=STRETCH * (plan.outer_m - outer_m),
    )  # fmt: skip


def by_a_loop(f_mhz, trap):
    """Impedance of a small loop beside a trap: the loop's own, and the trap coupled into it.

    f_mhz: MHz, any shape. trap: a Trap. Returns complex ohms, same shape. Source: two coupled circuits,
    Z = Z_loop + (omega M)^2 / Z_trap.
    """
    omega = 2e6 * np.pi * f_mhz
    coil, loop = 1e-6 * trap.inductance_uh, 1e-6 * LOOP_UH
    round_trip = omega * coil / trap.q + 1j * omega * coil + 1e12 / (1j * omega * trap.capacitance_pf)
    return 1j * omega * loop + 0.3 + (omega * COUPLING) ** 2 * coil * loop / round_trip


def _in_the_shack(f_mhz):
    sheet = known_cable("RG-58")
    line = replace(sheet, velocity_factor=SHORTER * sheet.velocity_factor)
    return line_impedance(built().impedance(f_mhz), cable=line, length_m=LINE_M, f_mhz=f_mhz)


def _trap(f_mhz, added_pf=0.0):
    trap = built().trap
    return by_a_loop(f_mhz, replace(trap, capacitance_pf=trap.capacitance_pf + added_pf))


MEASURED = {
    "trap-alone": ("one trap by itself, a loop beside it", np.linspace(26, 31, 201), _trap),
    "trap-with-10-pf": (
        "the same trap with a capacitor marked 10 pF across it",
        np.linspace(19, 24, 201),
        lambda f: _trap(f, ADDED_PF),
    ),
    **{
        f"antenna-{i}": (
            f"the antenna at its feed point, {100 * inner:.1f} cm of each inner wire and "
            f"{100 * outer:.1f} cm of each outer one folded back since it went up",
            SWEPT_MHZ,
            lambda f, folded=(inner, outer): built(*folded).impedance(f),
        )
        for i, (inner, outer) in enumerate(FOLDED_M, 1)
    },
    "shack": ("antenna-1 through 30 m of RG-58, from the shack", SWEPT_MHZ, _in_the_shack),
}  # name -> what, where, impedance
FILES = tuple(f"{name}.s1p" for name in MEASURED)


def text(file):
    """The text of one of FILES: one-port Touchstone in hertz, as a handheld analyzer writes it."""
    what, f_mhz, impedance = MEASURED[file.removesuffix(".s1p")]
    noise = np.random.default_rng(FILES.index(file) + 29).normal(scale=NOISE, size=(2, f_mhz.size))
    seen = reflection_coefficient(impedance(f_mhz)) + noise[0] + 1j * noise[1]
    head = (
        f"! {what}",
        "! INVENTED for antlab's lesson 10: computed, measured by nobody. Put in on purpose: wires that work",
        f"! {100 * (STRETCH - 1):.1f} % longer, {LEADS_PF} pF of leads on each trap and its Q {Q_SHARE} "
        "times as computed,",
        f"! {HEIGHT_M} m up and not 9, soil of permittivity {LAWN.permittivity} and {LAWN.conductivity} S/m, "
        f"{NOISE} of noise",
        "# HZ S RI R 50",
    )
    rows = (f"{1e6 * f:.0f} {s.real:.5f} {s.imag:.5f}" for f, s in zip(f_mhz, seen, strict=True))
    return "\n".join((*head, *rows)) + "\n"
