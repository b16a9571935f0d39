"""trap.py: a trap as a circuit."""

import numpy as np
import pytest

from antlab.trap import Trap


def test_trap_of_1955():
    """C. L. Buchanan, QST March 1955 (value from memory): 8.2 uH and 60 pF stop 40 m; 7.17526 MHz by hand."""
    trap = Trap(inductance_uh=8.2, capacitance_pf=60, q=200)
    assert trap.resonance_mhz == pytest.approx(7.17526, abs=5e-6)
    assert abs(trap.impedance(trap.resonance_mhz)) == pytest.approx(200 * 2 * np.pi * 7.17526 * 8.2, rel=1e-4)
    low, high = trap.impedance([3.6, 14.2])
    assert low.imag > 0 > high.imag
    assert trap.impedance(np.full((2, 3), 7.1)).shape == (2, 3)


@pytest.mark.parametrize(
    ("inductance_uh", "capacitance_pf", "sentence"),
    [
        (8200, 60, "8200 looks like nanohenries, and inductance_uh wants 8.2"),
        (0.0082, 60, "0.0082 looks like millihenries, and inductance_uh wants 8.2"),
        (8.2e-6, 60, "looks like henries"),
        (8.2, 0.06, "0.06 looks like nanofarads, and capacitance_pf wants 60"),
        (8.2, 6e-5, "looks like microfarads"),
        (8.2, 60e-12, "looks like farads"),
        (1e5, 1e6, "look at the units"),
        (0, 60, "inductance_uh must be"),
        (8.2, -1, "capacitance_pf must be"),
        (np.nan, 60, "inductance_uh must be"),
        ("8 uH", 60, "inductance_uh must be"),
        ([8.2, 8.3], 60, "one number; got 2"),
    ],
)
def test_wrong_units_are_guessed(inductance_uh, capacitance_pf, sentence):
    """A trap that could not work is refused, with the likely slip."""
    with pytest.raises(ValueError, match=sentence):
        Trap(inductance_uh=inductance_uh, capacitance_pf=capacitance_pf, q=200)


@pytest.mark.parametrize("q", [0, -5, np.nan, np.inf])
def test_q_is_positive(q):
    """A coil without loss, or with less, is not for sale."""
    with pytest.raises(ValueError, match="q must be a positive number"):
        Trap(inductance_uh=8.2, capacitance_pf=60, q=q)
