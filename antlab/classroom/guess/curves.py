"""The curves that a student draws before the answer, as they truly are."""

import numpy as np

from antlab.classroom.views.shared import EXAMPLE
from antlab.engine.dipole import Dipole
from antlab.physics import circuit
from antlab.physics.bands import FREE_SPACE

HIGHEST_SWR = 5  # at the top of the axes of lesson 05


def along_the_wire():
    """Lesson 02: the current on its wire where that is in tune, from one end to the other."""
    wire = Dipole(inner_m=5.28, soil=FREE_SPACE)
    x_m, current = wire.current(13.74)
    return (x_m / 5.28 + 1) / 2, abs(current) / abs(current).max()


def beyond_the_trap():
    """Lesson 03: the current of the club's trap dipole on 20 metres, from the middle out to an end."""
    x_m, current = EXAMPLE.current(14.2)
    out = x_m >= 0
    return x_m[out] / x_m.max(), abs(current[out]) / abs(current).max()


def in_the_shack():
    """Lesson 05: the meter's SWR for an antenna of 3, against the share of the power that the cable eats."""
    eaten = np.linspace(0, 1, 41)
    swr = circuit.swr_of_reflection(circuit.reflection_of_swr(3) * (1 - eaten))
    return eaten, (swr - 1) / (HIGHEST_SWR - 1)


TRUE = {
    "02": along_the_wire,
    "03": beyond_the_trap,
    "05": in_the_shack,
}  # lesson -> places and heights, 0 to 1
