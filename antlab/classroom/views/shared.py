"""What several views share: the running example, the grounds to choose from, ohms in words."""

from antlab.engine.dipole import Dipole
from antlab.engine.shapes import FlatTop
from antlab.physics.bands import PERFECT_GROUND, SOILS_IN_VIEWS
from antlab.physics.trap import Trap

GROUNDS = (*SOILS_IN_VIEWS, PERFECT_GROUND.name)
# The course's running example, solved on the engine 9 m over average soil for 14.175 and 28.5 MHz.
EXAMPLE = Dipole(
    inner_m=2.53,
    outer_m=2.15,
    trap=Trap(inductance_uh=1.25, capacitance_pf=25, q=200),
    shape=FlatTop(height_m=9),
)


def ohms(z):
    """A complex impedance as it is read out, R + jX."""
    scale, digits, unit = (1e3, 1, "kΩ") if abs(z) >= 1e4 else (1, 0, "Ω")
    sign = "+" if z.imag >= 0 else "−"
    return f"{z.real / scale:.{digits}f} {sign} j{abs(z.imag) / scale:.{digits}f} {unit}"
