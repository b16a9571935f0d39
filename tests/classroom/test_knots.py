"""Knots: what three views find between a few solved places."""

import numpy as np
import pytest

from antlab.classroom.views.knots import Between, passive
from antlab.classroom.views.player import Slider

LENGTH = Slider("Length", "m", 2.0, 12.0, 5, 3.0)
COIL = Slider("Coil", "µH", 1.0, 5.0, 5, 2.0, log=True)


def test_a_polynomial_is_found_exactly_along_either_kind_of_slider():
    """Degree below the count of knots: exact in the value, or in its logarithm; arrays keep their shape."""
    calls = []

    def solve(length, coil):
        calls.append((length, coil))
        return np.array([[length**3 * np.log(coil), 1j * length], [7.0, np.log(coil) ** 2]])

    found = Between(solve, (LENGTH, COIL), (4, 3))
    assert len(set(calls)) == 12 and all(2 < length < 12 and 1 < coil < 5 for length, coil in calls)
    length, coil = np.array([2.0, 5.3, 12.0]), np.array([5.0, 2.2, 1.0])
    expected = [solve(*pair) for pair in zip(length, coil, strict=True)]
    np.testing.assert_allclose(found(length, coil), expected, rtol=1e-10, atol=1e-10)


@pytest.mark.parametrize("count", [3, 6, 9])
def test_more_knots_come_closer(count):
    """A resonance is no polynomial: the error falls with the knots, as fast as for a smooth function."""

    def swing(length):
        return 1 / (1 + ((length - 6) / 12) ** 2)

    at = np.linspace(LENGTH.start, LENGTH.stop, 101)
    error = np.abs(Between(swing, [LENGTH], [count])(at) - swing(at)).max()
    assert error < 2 * 5.0 ** -(count - 1)


def test_no_resistance_below_zero():
    """A polynomial may undercut what an antenna can be; an SWR of that would make no sense."""
    np.testing.assert_array_equal(passive(np.array([-2 + 3j, 4 - 1j])), [3j, 4 - 1j])
