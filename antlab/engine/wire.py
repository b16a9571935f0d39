"""Shapes: where the wire hangs, and where it is cut into pieces for the computer."""

from dataclasses import dataclass

import numpy as np

from antlab.units import Slip, check_positive

# pieces in a leg; cuts in a piece; cuts in a piece beside the feed, a trap or the end, and their finest scale
_COARSE, _MIDDLE, _FINE, _FIRST_M = 16, 3, 10, 0.06
_HIGHEST_M = 1000.0


def _one_number(thing, *names):
    for name in names:
        value = check_positive(name, getattr(thing, name), unit="metres")
        if value.ndim:
            raise Slip(f"{name} of one antenna is one number; got {value.size} of them")
        if value > _HIGHEST_M:
            raise Slip(f"{name} wants metres above the ground; {value:g} m is higher than any support")
        object.__setattr__(thing, name, float(value))


@dataclass(frozen=True, kw_only=True)
class FlatTop:
    """A wire stretched level between two supports.

    height_m: metres above ground, more than zero, up to 1000. Raises ValueError otherwise.
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
        """The same shape, by_m metres higher. Raises ValueError where no wire can hang."""
        return FlatTop(height_m=self.height_m + by_m)

    def droop(self, half_m):
        """Sine of the angle by which the legs fall: zero. half_m: length of one leg, metres."""
        return 0.0


@dataclass(frozen=True, kw_only=True)
class InvertedVee:
    """A wire held up in the middle, its two legs sloping down.

    apex_m: height of the feed, ends_m: height of both wire ends, metres above ground, more than zero, up
    to 1000, ends_m no higher than apex_m. Raises ValueError otherwise.
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
        """The same shape, lifted as a whole by by_m metres. Raises ValueError where no wire can hang."""
        return InvertedVee(apex_m=self.apex_m + by_m, ends_m=self.ends_m + by_m)

    def droop(self, half_m):
        """Sine of the angle by which the legs fall. half_m: length of one leg, metres.

        Raises ValueError when the leg is too short to reach from the apex down to the ends, or would
        hang straight down so that its two halves touch.
        """
        drop = (self.apex_m - self.ends_m) / half_m
        if drop > 0.966:  # 75 degrees
            raise Slip(
                f"a leg of {half_m:.2f} m cannot fall from {self.apex_m:g} m to {self.ends_m:g} m and still "
                "stand clear of the other leg; raise ends_m or lower apex_m"
            )
        return drop


def cut(sections_m, radius_m):
    """Nodes along one leg: evenly spaced pieces, cut finer towards the feed, each trap and the end.

    sections_m: lengths of wire between feed, trap and end, metres. radius_m: of the wire, metres.
    Returns (nodes, coarse, at_trap): positions from the feed, metres, shape (n + 1,); indices of the ends of
    the coarse pieces among them; index of the trap's node in coarse, or None.
    For the engine, which hands over lengths that were checked: nothing is refused.
    The charge piles up at a gap or an end on the scale of centimetres; a real trap is no shorter than that,
    so the finest cut stops at about 2 cm.
    """
    nodes, coarse = [np.zeros(1)], [0]
    pieces = _COARSE // len(sections_m)
    start = 0.0
    for length in sections_m:
        even = np.linspace(0, length, pieces + 1)
        first = max(_FIRST_M, 15 * radius_m)
        fine = int(np.clip(even[1] / (3 * radius_m), 1, _FINE))  # never cut shorter than it is thick
        growth = (1 + even[1] / first) ** (np.arange(1, fine) / fine)
        near = first * (growth - 1)
        inner = np.linspace(even[1], even[-2], _MIDDLE * (pieces - 2) + 1)
        nodes.append(start + np.r_[near, inner, (length - near)[::-1], length])
        marks = np.r_[fine + _MIDDLE * np.arange(pieces - 1), 2 * fine + _MIDDLE * (pieces - 2)]
        coarse.extend(coarse[-1] + marks)
        start += length
    return np.concatenate(nodes), np.array(coarse), pieces if len(sections_m) > 1 else None


@dataclass(frozen=True, kw_only=True, eq=False)
class Leg:
    """One of the two equal legs, cut into pieces.

    nodes_m: positions from the feed, metres, shape (n + 1,). coarse: indices of the coarse pieces' ends.
    at_trap: index in coarse of the trap's node, or None. droop: sine of the angle by which the leg falls.
    top_m: height of the feed. radius_m: of the wire.
    """

    nodes_m: np.ndarray
    coarse: np.ndarray
    at_trap: int | None
    droop: float
    top_m: float
    radius_m: float

    @property
    def along(self):
        """Cosine of the angle by which the leg falls."""
        return np.sqrt(1 - self.droop**2)


def leg(shape, sections_m, radius_m):
    """One leg of the antenna, cut and hung.

    shape: FlatTop or InvertedVee. sections_m, radius_m: metres, as for cut. Returns a Leg.
    Raises ValueError where the legs cannot hang so.
    """
    nodes, coarse, at_trap = cut(sections_m, radius_m)
    droop = shape.droop(float(nodes[-1]))
    return Leg(
        nodes_m=nodes, coarse=coarse, at_trap=at_trap, droop=droop, top_m=shape.top_m, radius_m=radius_m
    )
