"""Shapes: where the wire hangs."""

import math
from dataclasses import dataclass

from antlab.units import Slip, check_one

_HIGHEST_M = 1000.0
STEEPEST = 0.966  # sine of 75 degrees, which the legs of a vee fall at most


def _one_number(thing, *names):
    for name in names:
        value = check_one(name, getattr(thing, name), unit="metres")
        if value > _HIGHEST_M:
            raise Slip(f"{name} wants metres above the ground; {value:g} m is higher than any support")
        object.__setattr__(thing, name, value)


@dataclass(frozen=True, kw_only=True)
class FlatTop:
    """A wire stretched level between two supports.

    height_m: metres above ground, more than zero, up to 1000. Raises Slip otherwise.

    >>> al.FlatTop(height_m=9).lifted(1.5)
    FlatTop(height_m=10.5)
    """

    height_m: float

    def __post_init__(self):
        _one_number(self, "height_m")

    @property
    def top_m(self):
        """Height of the feed, metres."""
        return self.height_m

    @property
    def ends_m(self):
        """Height of both wire ends, the lowest that the wire hangs, metres: that of the feed."""
        return self.height_m

    def lifted(self, by_m):
        """The same shape, by_m metres higher. Raises Slip where no wire can hang."""
        return FlatTop(height_m=self.height_m + by_m)

    def droop(self, half_m):
        """Sine of the angle by which the legs fall: zero. half_m: length of one leg, metres."""
        return 0.0


@dataclass(frozen=True, kw_only=True)
class InvertedVee:
    """A wire held up in the middle, its two legs sloping down.

    apex_m: height of the feed, ends_m: height of both wire ends, metres above ground, more than zero, up
    to 1000, ends_m no higher than apex_m. Raises Slip otherwise.

    >>> vee = al.InvertedVee(apex_m=10, ends_m=4)
    >>> round(float(np.degrees(np.arcsin(vee.droop(10)))), 1)
    36.9
    """

    apex_m: float
    ends_m: float

    def __post_init__(self):
        _one_number(self, "apex_m", "ends_m")
        if self.ends_m > self.apex_m:
            raise Slip(
                f"an inverted vee hangs from its middle: ends_m={self.ends_m:g} is above "
                f"apex_m={self.apex_m:g}; swap them or raise the pole"
            )

    @property
    def top_m(self):
        """Height of the feed, metres."""
        return self.apex_m

    def lifted(self, by_m):
        """The same shape, lifted as a whole by by_m metres. Raises Slip where no wire can hang."""
        return InvertedVee(apex_m=self.apex_m + by_m, ends_m=self.ends_m + by_m)

    def droop(self, half_m):
        """Sine of the angle by which the legs fall. half_m: length of one leg, metres.

        Raises Slip when the leg is too short to reach from the apex down to the ends, or would
        hang straight down so that its two halves touch.
        """
        drop = (self.apex_m - self.ends_m) / half_m
        if drop > STEEPEST:
            lowest = math.ceil(10 * (self.apex_m - STEEPEST * half_m)) / 10
            raise Slip(
                f"a leg of {half_m:.2f} m cannot fall from {self.apex_m:g} m to {self.ends_m:g} m and still "
                f"stand clear of the other leg; raise the ends to about {lowest:g} m, or lower the apex"
            )
        return drop
