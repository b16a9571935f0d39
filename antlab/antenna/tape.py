"""Lengths as a builder reads them off a tape: metres or feet first, rounded to the side that does no harm."""

import math
import re
from dataclasses import dataclass

from antlab.units import FOOT_M, INCH_M, MILE_KM, Slip, feet, feet_sixteenths, inches_sixteenths, quoted

UNITS = ("metres", "feet")
_CHANGE = re.compile(r"([-+]?)(\d+\.\d) cm(?: \([-+]?\d+\.\d in\))?")  # of a wire, to a tenth
_PAIR = re.compile(r"([\d.]+ (?:mm|cm|m)) \((\d[^()]* (?:ft|in))\)")  # metres first


@dataclass(frozen=True, kw_only=True)
class Tape:
    """How lengths are written. first: "metres" or "feet", the other follows in brackets.

    All lengths are metres, one number each, zero or more. Raises Slip for other units.

    >>> from antlab.antenna.tape import Tape
    >>> Tape().cut(2.6031), Tape(first="feet").cut(2.6031)
    ('2.604 m (8 ft 6 1/2 in)', '8 ft 6 1/2 in (2.604 m)')
    """

    first: str = "metres"

    def __post_init__(self):
        if self.first not in UNITS:
            raise Slip(f"a tape is read in {' or '.join(UNITS)}; got {quoted(self.first)}")

    def both(self, metric, imperial):
        """Two texts for the same length, in this tape's order."""
        one, other = (metric, imperial) if self.first == "metres" else (imperial, metric)
        return f"{one} ({other})"

    def turned(self, words):
        """Words in which lengths stand metres first, in this tape's order."""
        return _PAIR.sub(lambda pair: self.both(*pair.groups()), words)

    def trimmed(self, words):
        """Words that tell changes of a wire in centimetres, in this tape's order."""
        return words if self.first == "metres" else _CHANGE.sub(self._inches_first, words)

    def _inches_first(self, change):
        sign, cm = change.groups()
        return f"{sign}{self.change(float(cm) / 100)} ({change[1]}{cm} cm)"

    def change(self, change_m):
        """What is taken off a wire or added, without its sign: to 0.1 cm, or a sixteenth of an inch."""
        return f"{100 * abs(change_m):.1f} cm" if self.first == "metres" else inches_sixteenths(abs(change_m))

    def cut(self, length_m, digits=3):
        """To cut by: never less than the length, by a part of 10^-digits m and a sixteenth of an inch."""
        return self.both(f"{rounded_up(length_m, 10.0**-digits):.{digits}f} m", feet_sixteenths(length_m))

    def place(self, length_m, inches=None):
        """Where something stands or hangs, to the nearest centimetre and inch. inches: if they are known."""
        foot, inch = divmod(round(float(length_m) / INCH_M) if inches is None else inches, 12)
        imperial = " ".join([f"{foot} ft"] * (foot > 0) + [f"{inch} in"] * (inch > 0 or not foot))
        return self.both(f"{length_m:.2f} m", imperial)

    def least(self, length_m):
        """A height or a distance that something has to have: rounded up to the centimetre and the inch."""
        return self.used((1, length_m))

    def used(self, *pieces):
        """What pieces add up to as cut() writes them by centimetres: (how many, length) each; rounded up."""
        metres = sum(count * rounded_up(one, 0.01) for count, one in pieces)
        inches = sum(count * rounded_up(one / INCH_M, 1 / 16) for count, one in pieces)
        return self.place(metres, math.ceil(inches - 1e-6))

    def keep(self, length_m):
        """A distance to keep: rounded up to 0.1 m, and that to 0.1 ft."""
        return self._tenths(rounded_up(length_m, 0.1), up=True)

    def under(self, length_m):
        """A height to stay under: rounded down to 0.1 m, and that to 0.1 ft."""
        return self._tenths(rounded_down(length_m, 0.1), up=False)

    def _tenths(self, length_m, *, up):
        metres, foot = tenths(length_m, up=up)
        return self.both(f"{metres:.1f} m", f"{foot:.1f} ft")

    def buy(self, length_m):
        """As it is sold: rounded up to whole metres, or feet; in brackets about the same, and enough too."""
        if self.first == "feet":
            foot = rounded_up(feet(length_m), 1)
            metres = max(round(foot * FOOT_M, 1), rounded_up(length_m, 0.1))
            return f"{foot:.0f} ft ({metres:.1f} m)"
        metres = rounded_up(length_m, 1)
        foot = max(round(float(feet(metres))), rounded_up(feet(length_m), 1))
        return f"{metres:.0f} m ({foot:.0f} ft)"

    def far(self, far_km):
        """How far a signal goes, kilometres, to a hundred of them or of miles."""
        return self.both(f"{round(far_km, -2):.0f} km", f"{round(far_km / MILE_KM, -2):.0f} miles")

    def thick(self, length_mm):
        """A thickness or a short length, millimetres; inches to a hundredth."""
        return self.both(f"{length_mm:.4g} mm", f"{length_mm / 25.4:.2f} in")


def rounded_up(value, step):
    """The least whole number of steps that is no less than a value; both one number, positive.

    >>> from antlab.antenna.tape import rounded_up
    >>> round(rounded_up(2.31, 0.1), 1), round(rounded_up(2.3, 0.1), 1)
    (2.4, 2.3)
    """
    return math.ceil(float(value) / step - 1e-6) * step


def rounded_down(value, step):
    """The most whole steps that are no more than a value; both one number, positive.

    >>> from antlab.antenna.tape import rounded_down
    >>> round(rounded_down(2.39, 0.1), 1), round(rounded_down(2.3, 0.1), 1)
    (2.3, 2.3)
    """
    return math.floor(float(value) / step + 1e-6) * step


def tenths(length_m, *, up):
    """Metres and feet of a length, to a tenth of each, never less than it, or where not up never more.

    length_m: metres, one number. Returns a pair of numbers.

    >>> from antlab.antenna.tape import tenths
    >>> [round(one, 1) for one in tenths(3, up=True)]
    [3.0, 9.9]
    """
    to = rounded_up if up else rounded_down
    return to(length_m, 0.1), to(feet(length_m), 0.1)
