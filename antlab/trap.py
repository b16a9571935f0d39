"""A trap: a tuned circuit in the wire. As a circuit, and as a thing wound from coax or wire."""

from dataclasses import dataclass

import numpy as np

from antlab import circuit
from antlab.units import check_positive

LOWEST_TRAP_MHZ, HIGHEST_TRAP_MHZ = 0.5, 100.0

# what each number is when it was typed in another unit: (field, what it was multiplied by, unit)
_SLIPS = (
    ("inductance_uh", 1e-3, "nanohenries"), ("inductance_uh", 1e3, "millihenries"),
    ("inductance_uh", 1e6, "henries"), ("capacitance_pf", 1e3, "nanofarads"),
    ("capacitance_pf", 1e6, "microfarads"), ("capacitance_pf", 1e12, "farads"),
)  # fmt: skip
_USUAL = {"inductance_uh": (0.2, 200.0), "capacitance_pf": (4.0, 2000.0)}


@dataclass(frozen=True, kw_only=True)
class Trap:
    """A coil with a capacitor across it, in series with each leg of the antenna.

    inductance_uh: microhenries. capacitance_pf: picofarads. q: quality factor of the pair, taken as the same
    at every frequency; 200 suits a roomy coil, 50 to 150 a trap wound from coax (common practice, no source).
    Raises ValueError for values that are not positive numbers or that resonate outside 0.5 to 100 MHz.
    Valid while the trap is small against the wavelength. Source: circuit.parallel_impedance.
    """

    inductance_uh: float
    capacitance_pf: float
    q: float = 200.0

    def __post_init__(self):
        for name, unit in (("inductance_uh", "microhenries"), ("capacitance_pf", "picofarads"), ("q", "")):
            value = check_positive(name, getattr(self, name), unit=unit)
            if value.ndim:
                raise ValueError(f"{name} of one trap is one number; got {value.size} of them")
            object.__setattr__(self, name, float(value))
        if not LOWEST_TRAP_MHZ <= self.resonance_mhz <= HIGHEST_TRAP_MHZ:
            raise ValueError(
                f"inductance_uh={self.inductance_uh:g} with capacitance_pf={self.capacitance_pf:g} resonates "
                f"at {self.resonance_mhz:.4g} MHz, where no HF trap works" + self._guess()
            )

    def _guess(self):
        """Say which number was probably typed in another unit."""
        for name, factor, unit in _SLIPS:
            value, (low, high) = getattr(self, name), _USUAL[name]
            tuned = self.resonance_mhz / np.sqrt(factor)
            if not low <= value <= high and low <= value * factor <= high and 1 <= tuned <= 60:
                return f"; {value:g} looks like {unit}, and {name} wants {value * factor:g}"
        return "; look at the units, microhenries and picofarads"

    @property
    def resonance_mhz(self):
        """Frequency at which coil and capacitor cancel, MHz. Source: circuit.resonance_mhz."""
        return float(
            circuit.resonance_mhz(inductance_uh=self.inductance_uh, capacitance_pf=self.capacitance_pf)
        )

    def impedance(self, f_mhz):
        """Impedance between the trap's two ends.

        f_mhz: MHz, any shape. Returns complex ohms, same shape. Raises ValueError for bad frequencies.
        Source: circuit.parallel_impedance.
        """
        return circuit.parallel_impedance(
            f_mhz=f_mhz, inductance_uh=self.inductance_uh, capacitance_pf=self.capacitance_pf, q=self.q
        )
