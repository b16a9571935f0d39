"""The yard: where the supports stand, how large the garden is, and which way the wire runs in it."""

from dataclasses import dataclass

import numpy as np

from antlab.engine.shapes import FlatTop, InvertedVee
from antlab.units import Slip, check_number, check_one, check_positive, feet, quoted, single

HUNG = ("level", "vee")
POINTS = "N NNE NE ENE E ESE SE SSE S SSW SW WSW W WNW NW NNW".split()  # of the compass, from north
LEAST_ROPE_M = 0.5  # at each end: knots, and an insulator off the branch (common practice, no source)

# Supports of two heights, counted as level at their mean: up to a slope, by how many decibels broadside, 10
# to 90 degrees up, and by how many percent of the resonance that errs; by the tests' second solver.
MEAN_ERRS = ((0.2, 0.5, 0.05), (0.37, 1.2, 0.15), (0.5, 1.8, 0.2))


@dataclass(frozen=True, kw_only=True)
class Yard:
    """Where an antenna hangs: two supports or one, a garden, a direction.

    hung: "level", from one support to the other, or "vee", over one support in the middle. heights_m: metres
    above the ground; level: of one tie point and of the other; vee: of the apex and of both wire ends.
    span_m: metres along the ground; level: from support to support; vee: from stake to stake, or post to
    post; None where it is not said. garden_m: (width, length) of the garden, metres, or None. garden_deg: to
    where its length lies, by compass. runs_deg: to where the wire runs, by compass, 0 is north and 90 east;
    it sends most across that; None where it is not said: then it runs along the garden's longer side.
    rope_m: at least so much rope at each end, metres.
    Raises Slip for what no yard has, with the mend.

    >>> from antlab.antenna.yard import Yard
    >>> yard = Yard(hung="level", heights_m=(12, 15), span_m=30)
    >>> yard.shape, yard.room_m
    (FlatTop(height_m=13.5), 29.0)
    """

    hung: str
    heights_m: tuple
    span_m: float | None = None
    garden_m: tuple | None = None
    garden_deg: float = 0.0
    runs_deg: float | None = None
    rope_m: float = LEAST_ROPE_M

    def __post_init__(self):
        if self.hung not in HUNG:
            raise Slip(
                f'hung is "level", from support to support, or "vee", over one; got {quoted(self.hung)}'
            )
        ends = "apex and ends" if self.hung == "vee" else "one support's and the other's"
        self._keep("heights_m", _pair("heights_m", self.heights_m, ends))
        self._keep("rope_m", check_one("rope_m", self.rope_m, unit="metres"))
        if self.rope_m < LEAST_ROPE_M:
            raise Slip(
                f"rope_m is {self.rope_m:g}: leave {LEAST_ROPE_M:g} m or more at each end, for the knots "
                "and so that the end, which carries high voltage, keeps off its support"
            )
        if self.span_m is not None:
            self._keep("span_m", check_one("span_m", self.span_m, unit="metres"))
        if self.garden_m is not None:
            self._keep("garden_m", _pair("garden_m", self.garden_m, "width and length"))
        for name in ("garden_deg", "runs_deg"):
            if getattr(self, name) is not None:
                self._keep(name, _bearing(name, getattr(self, name)))
        self.shape  # noqa: B018  a vee hung upside down says so at once
        if self.room_m is not None and self.room_m <= 0:
            raise Slip(
                f"{self.room_m + 2 * self.rope_m:.1f} m leave no room for a wire between two ropes of "
                f"{self.rope_m:g} m; give more room"
            )

    def _keep(self, name, value):
        object.__setattr__(self, name, value)

    @property
    def shape(self):
        """How the wire hangs, for the engine: a FlatTop at the mean of both heights, or an InvertedVee."""
        one, other = self.heights_m
        if self.hung == "vee":
            return InvertedVee(apex_m=one, ends_m=other)
        return FlatTop(height_m=(one + other) / 2)

    @property
    def lowest_m(self):
        """Height of the lowest end of the wire, metres, if the wire reached its supports."""
        return min(self.heights_m)

    @property
    def mean_note(self):
        """What it costs to count supports of two heights as level, a sentence; empty where they are alike."""
        one, other = self.heights_m
        if self.hung == "vee" or one == other:
            return ""
        words = f"Counted as level, {(one + other) / 2:.1f} m ({feet((one + other) / 2):.0f} ft) up"
        if self.apart_m is None:
            return f"{words}; how far that errs goes by how far apart they are, which nobody said."
        slope = abs(one - other) / self.apart_m
        for steepest, decibels, percent in MEAN_ERRS:
            if slope <= steepest:
                return (
                    f"{words}, which errs by {decibels:g} dB and {percent:g} % of a frequency at most; more "
                    "goes out beyond its lower end."
                )
        return f"{words}: so steep, take all numbers as a rough guide."

    @property
    def toward_deg(self):
        """To where the wire runs, by compass: as said, else along the longer side, or None: not known."""
        if self.runs_deg is not None or self.garden_m is None:
            return self.runs_deg
        width, length = self.garden_m
        return (self.garden_deg + (90 if width > length else 0)) % 360

    @property
    def sends_deg(self):
        """Both compass directions to which it sends most, across the wire, or None: not known."""
        return (
            None
            if self.toward_deg is None
            else tuple(sorted((self.toward_deg + turn) % 360 for turn in (90, 270)))
        )

    @property
    def diagonal_deg(self):
        """The compass direction of the garden's diagonal, clockwise of its length, or None: no garden."""
        return (
            None
            if self.garden_m is None
            else (self.garden_deg + np.degrees(np.arctan2(*self.garden_m))) % 360
        )

    @property
    def chord_m(self):
        """The way through the middle of the garden along the wire, from fence to fence, metres, or None."""
        if self.garden_m is None:
            return None
        turned = np.radians(self.toward_deg - self.garden_deg)
        with np.errstate(divide="ignore"):
            return float(np.min(np.divide(self.garden_m, np.abs([np.sin(turned), np.cos(turned)]))))

    @property
    def room_m(self):
        """Level distance that the wire may take from end to end, metres, or None where nothing bounds it."""
        return None if self.apart_m is None else self.apart_m - 2 * self.rope_m

    @property
    def apart_m(self):
        """The farthest apart that both ropes can be tied, by supports and fences, metres, or None."""
        bounds = [one for one in (self.span_m, self.chord_m) if one is not None]
        return min(bounds) if bounds else None


def compass(degrees):
    """A compass direction in words, to the nearest of sixteen points. degrees: 0 is north, 90 east.

    >>> from antlab.antenna.yard import compass
    >>> compass(0), compass(100), compass(337)
    ('N', 'E', 'NNW')
    """
    return POINTS[round(float(_bearing("degrees", degrees)) / 22.5) % 16]


def _pair(name, value, what):
    """Two positive numbers, metres."""
    pair = check_positive(name, value, unit="metres")
    if pair.shape != (2,):
        raise Slip(f"{name} wants two numbers of metres, {what}; got {quoted(value)}")
    return tuple(pair.tolist())


def _bearing(name, value):
    """A compass direction, degrees."""
    bearing = single(name, check_number(name, value, unit="degrees"))
    if not 0 <= bearing <= 360:
        raise Slip(f"{name} is a compass direction, 0 (north) over 90 (east) to 360 degrees; got {bearing:g}")
    return bearing % 360
