"""What is too costly for each position of the sliders: solved at a few places, found between them."""

from itertools import product

import numpy as np
from numpy.polynomial.chebyshev import chebvander


class Between:
    """A smooth quantity over the ranges of some sliders, by Chebyshev polynomials through a few knots.

    solve: function of one value for each slider -> array, real or complex, of one shape at all knots.
    sliders: their start, stop and log are used. counts: knots along each; solve is called at every
    combination of them. Raises what solve raises. How close it comes is for the view's test to say.
    Source: interpolation at Chebyshev nodes, a standard method of numerical analysis.
    """

    def __init__(self, solve, sliders, counts):
        self.sliders, self.counts = sliders, counts
        knots = np.array(list(product(*(np.cos(np.pi * (np.arange(n) + 0.5) / n) for n in counts)))).T
        values = zip(*(_value(slider, at) for slider, at in zip(sliders, knots, strict=True)), strict=True)
        solved = np.array([solve(*one) for one in values])
        self.shape = solved.shape[1:]
        self._weights = np.linalg.solve(self._basis(knots), solved.reshape(len(solved), -1))

    def __call__(self, *values):
        """What is found there. values: (rows,) for each slider. Returns a row for each, (rows, …)."""
        places = [_place(slider, value) for slider, value in zip(self.sliders, values, strict=True)]
        return (self._basis(places) @ self._weights).reshape(-1, *self.shape)

    def _basis(self, places):
        """All products of the polynomials at some places, -1 to 1; shape (places, knots)."""
        basis = np.ones((len(places[0]), 1))
        for place, count in zip(places, self.counts, strict=True):
            one = chebvander(place, count - 1)
            basis = (basis[:, :, None] * one[:, None, :]).reshape(len(one), -1)
        return basis


def _value(slider, place):
    """The value at a place from -1 to 1 along a slider."""
    share = (place + 1) / 2
    if slider.log:
        return slider.start * (slider.stop / slider.start) ** share
    return slider.start + share * (slider.stop - slider.start)


def _place(slider, value):
    """Where a value lies along a slider, from -1 to 1."""
    start, stop, value = (np.log(one) if slider.log else one for one in (slider.start, slider.stop, value))
    return 2 * (value - start) / (stop - start) - 1


def passive(impedance):
    """An impedance found between knots, as no antenna can undercut it: no resistance below zero."""
    return np.maximum(impedance.real, 0) + 1j * impedance.imag
