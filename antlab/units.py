"""Constants, feet and metres, decibels, and the checks that turn a slip of unit into a sentence."""

import functools
import inspect
import math
import re
import reprlib
import sys
import warnings

import numpy as np

from antlab.trouble import Slip

C_M_S = 299_792_458.0  # speed of light, exact by the definition of the metre (SI, 1983)
MU0_H_M = 1.256_637_062_12e-6  # magnetic constant, CODATA 2018
EPS0_F_M = 8.854_187_8128e-12  # electric constant, CODATA 2018
ETA0_OHM = MU0_H_M * C_M_S  # impedance of free space, 376.730 313 ohm

FOOT_M = 0.3048  # exact, international yard and pound agreement of 1959
INCH_M = 0.0254
MILE_KM = 1.609344  # 5280 ft
LOWEST_MHZ, HIGHEST_MHZ = 0.1, 1000.0

_UNITS_M = {
    1.0: ("m", "metre", "metres", "meter", "meters"),
    0.01: ("cm", "centimetre", "centimetres", "centimeter", "centimeters"),
    0.001: ("mm", "millimetre", "millimetres", "millimeter", "millimeters"),
    FOOT_M: ("ft", "foot", "feet", "'", "′"),
    INCH_M: ("in", "inch", "inches", '"', "″", "''"),
}
_MOST = 80  # letters of somebody else's that a sentence quotes
_SHORT = reprlib.Repr()
_SHORT.maxstring = _SHORT.maxother = _MOST
_UNIT_M = {word: size for size, words in _UNITS_M.items() for word in words}
_PART = re.compile(r"\s*((?:\d+[ -])?\d+/[1-9]\d*|\d+(?:\.\d*)?|\.\d+)\s*([a-z]+|''|['\"′″])?\.?\s*")


def wavelength_m(f_mhz):
    """Wavelength in free space.

    f_mhz: frequency, MHz, any shape. Returns metres, same shape.
    Raises Slip as check_frequency does. Valid from 0.1 to 1000 MHz.
    Source: wavelength = c/f, SI definition of the metre.

    >>> round(float(al.units.wavelength_m(14.2)), 2)
    21.11
    """
    return C_M_S / 1e6 / check_frequency(f_mhz)


def feet(length_m):
    """Metres to feet.

    length_m: metres, any shape and sign. Returns feet, same shape. Raises Slip for text.
    Source: 1 ft = 0.3048 m exactly, international yard and pound agreement, 1959.

    >>> round(float(al.units.feet(10)), 1)
    32.8
    """
    return check_number("length_m", length_m, finite=False, unit="metres") / FOOT_M


def metres(length_ft):
    """Feet to metres.

    length_ft: feet, any shape and sign. Returns metres, same shape. Raises Slip for text.
    Source: 1 ft = 0.3048 m exactly, international yard and pound agreement, 1959.

    >>> round(float(al.units.metres(33)), 2)
    10.06
    """
    return check_number("length_ft", length_ft, finite=False, unit="feet") * FOOT_M


def feet_inches(length_m):
    """A length as a tape in feet shows it, to a tenth of an inch, as text that parse_length reads.

    length_m: metres, one number, zero or more. Returns text, such as "28 ft 6.0 in" or "9.5 in".
    Raises Slip for a negative number and NaN. Source: as feet; 1 in = 25.4 mm exactly.

    >>> al.units.feet_inches(10.06)
    '33 ft 0.1 in'
    """
    length = float(check_positive("length_m", length_m, zero_ok=True, unit="metres"))
    foot, tenths = divmod(round(length / INCH_M * 10), 120)
    return (f"{foot} ft " if foot else "") + f"{tenths / 10:.1f} in"


def feet_sixteenths(length_m):
    """A length to cut as a tape in feet shows it, to a sixteenth of an inch, as text that parse_length reads.

    length_m: metres, one number, zero or more. Returns text, such as "8 ft 6 1/2 in": never less than the
    length, and at most a sixteenth more, since a wire can be made shorter. Raises Slip for a negative number
    and NaN. Source: as feet; 1 in = 25.4 mm exactly.

    >>> al.units.feet_sixteenths(2.603)
    '8 ft 6 1/2 in'
    """
    length = float(check_positive("length_m", length_m, zero_ok=True, unit="metres"))
    foot, parts = divmod(math.ceil(length / INCH_M * 16 - 1e-6), 12 * 16)
    return (f"{foot} ft " if foot else "") + _inches(parts)


def inches_sixteenths(length_m):
    """A change of a wire as a tape in inches shows it, to the nearest sixteenth of an inch, as text.

    length_m: metres, one number, zero or more; what is more than nothing is a sixteenth at least. Returns
    text that parse_length reads, such as "4 13/16 in". Raises Slip for a negative number and NaN. Source: as
    feet; 1 in = 25.4 mm exactly.

    >>> al.units.inches_sixteenths(0.122)
    '4 13/16 in'
    """
    length = float(check_positive("length_m", length_m, zero_ok=True, unit="metres"))
    return _inches(max(round(length / INCH_M * 16), 1 if length else 0))


def _inches(parts):
    """Sixteenths of an inch, a whole number, in words."""
    inch, rest = divmod(parts, 16)
    common = math.gcd(rest, 16)
    words = f"{inch} " if inch or not rest else ""
    return words + (f"{rest // common}/{16 // common} in" if rest else "in")


def decibels(power_ratio):
    """Power ratio to decibels.

    power_ratio: positive, no unit, any shape; zero gives minus infinity. Returns dB, same shape.
    Raises Slip for negative ratios and NaN.
    Source: 10 log10 of a power ratio, the definition (IEC 60027-3).

    >>> round(float(al.units.decibels(0.5)), 2)
    -3.01
    """
    ratio = check_positive("power_ratio", power_ratio, zero_ok=True, finite=False)
    with np.errstate(divide="ignore"):
        return 10 * np.log10(ratio)


def power_ratio(db):
    """Decibels to power ratio.

    db: decibels, any shape and sign. Returns a ratio, same shape. Raises Slip for text.
    Source: 10 log10 of a power ratio, the definition (IEC 60027-3).

    >>> round(float(al.units.power_ratio(6)), 2)
    3.98
    """
    return 10 ** (check_number("db", db, finite=False, unit="decibels") / 10)


def parse_length(length, *, units=()):
    """Read a length as a person writes it: "28ft", "28 ft 6 in", "8.5m", "8.5" or a number.

    length: text, or a number; without a unit it is metres. units: that a number without one may be meant in,
    like ("ft", "m"), where it has to be said; then it is refused. Returns metres, one number.
    Raises Slip when the text is no length, is negative or is not finite. Source: as feet.

    >>> round(al.units.parse_length("28 ft 6 in"), 3)
    8.687
    """
    if not isinstance(length, str):
        number = check_positive("length", length, zero_ok=True, unit="metres")
        if number.ndim:
            raise Slip(f"length is one number; got {quoted(length)}")
        return float(number)
    text, total, position = length.strip().lower(), 0.0, 0
    sizes = []
    while position < len(text):
        part = _PART.match(text, position)
        if part is None or (part[2] and part[2] not in _UNIT_M):
            break
        sizes.append(_UNIT_M[part[2]] if part[2] else None)
        total += sum(map(_fraction, re.split("[ -]", part[1]))) * (sizes[-1] or 1.0)
        position = part.end()
    units_fall = all(a and b and a > b for a, b in zip(sizes, sizes[1:], strict=False))
    if not sizes or position < len(text) or not units_fall or not np.isfinite(total):
        alone = "" if units else "a number alone is metres, "
        raise Slip(
            f"{quoted(length)} is no length I can read; write it like 8.5m, 28ft or 28 ft 6 in "
            f"({alone}the decimal sign is a point)"
        )
    if units and sizes == [None]:
        number = shown(length.strip())
        raise Slip(f"{number} has no unit: write {' or '.join(number + unit for unit in units)}")
    return total


def _fraction(text):
    above, _, below = text.partition("/")
    return float(above) / float(below or 1)


def quoted(thing):
    """What somebody handed in, as a sentence can quote it: text between quotes, else Python's words for it.

    thing: anything. Returns one line of at most 80 letters and the quotes, see shown.

    >>> print(al.units.quoted("9 metres"))
    '9 metres'
    """
    if type(thing) is str:
        return f"'{shown(thing)}'"
    try:
        return shown(" ".join(_SHORT.repr(thing).split()))
    except ValueError:  # Python writes no whole number of thousands of digits
        return f"a huge {type(thing).__name__}"


def shown(text):
    """Somebody else's words, such as a file's name, on one line: at most 80 letters, all of them printable.

    text: of any length and letters. Returns text; what is cut ends in "…".

    >>> len(al.units.shown("a very long name " * 20))
    80
    """
    words = "".join(c if c.isprintable() else c.encode("unicode_escape").decode() for c in text[: _MOST + 1])
    return words if len(words) <= _MOST else words[: _MOST - 1] + "…"


def broadcasts(function):
    """Mark a function whose arguments broadcast: where their shapes do not fit it says which, and the mend.

    function: any. Returns it, changed in nothing else: the shapes are looked at before it is called. What is
    no array at all, such as rows of unequal length, is left to the function's own checks.

    >>> al.units.broadcasts(al.units.feet)(np.array([3.048, 6.096])).round(1).tolist()
    [10.0, 20.0]
    """
    names = tuple(inspect.signature(function).parameters)

    @functools.wraps(function)
    def fitting(*args, **kwargs):
        given = dict(zip(names, args, strict=False)) | kwargs
        shapes = {name: shape for name, value in given.items() if (shape := _shape(value))}
        try:
            np.broadcast_shapes(*shapes.values())
        except ValueError:
            first, told = next(iter(shapes)), " and ".join(f"{n} of shape {s}" for n, s in shapes.items())
            raise Slip(
                f"{told} do not broadcast: give them one shape, or one of them as a column, "
                f"np.reshape({first}, (-1, 1)), to have each with each"
            ) from None
        return function(*args, **kwargs)

    return fitting


def _shape(value):
    try:
        return np.asarray(value).shape  # not value.shape, which of an antenna is how it hangs
    except ValueError:  # rows of unequal length
        return ()


def check_frequency(f_mhz):
    """Refuse what cannot be a frequency in megahertz, and say what was probably meant.

    f_mhz: frequency, MHz, any shape. Returns it as a float array, same shape.
    Raises Slip for text, NaN, zero, negative numbers and anything outside 0.1 to 1000 MHz.

    >>> float(al.units.check_frequency(14.2))
    14.2
    """
    f = check_positive("f_mhz", f_mhz, unit="megahertz")
    outside = f[(f < LOWEST_MHZ) | (f > HIGHEST_MHZ)]
    if outside.size:
        worst = float(outside[0])
        for factor, unit in ((1e-6, "hertz"), (1e-3, "kilohertz"), (1e3, "gigahertz")):
            if 1.0 <= worst * factor <= HIGHEST_MHZ:
                raise Slip(
                    f"{worst:.10g} looks like {unit}; f_mhz, the frequency in MHz, wants {worst * factor:.6g}"
                )
        raise Slip(f"f_mhz must lie between {LOWEST_MHZ:g} and {HIGHEST_MHZ:g} megahertz; got {worst:.6g}")
    return f


def check_positive(name, value, *, zero_ok=False, finite=True, unit=""):
    """Refuse what is not a positive number, and name the argument and the unit it wants.

    name: the argument's name, for the message. value: any shape. zero_ok: accept zero too.
    finite: refuse infinity. unit: unit wanted, for the message.
    Returns a float array, same shape. Raises Slip.

    >>> float(al.units.check_positive("height_m", 9, unit="metres"))
    9.0
    """
    wanted = f"{name} must be {'zero or a' if zero_ok else 'a'} positive number"
    wanted += f" of {unit}" if unit else ""
    number = _array(wanted, value, "iuf").astype(float)
    good = (number >= 0) if zero_ok else (number > 0)
    if finite:
        good &= np.isfinite(number)
    _all(good, wanted, number)
    return number


def check_one(name, value, *, zero_ok=False, finite=True, unit=""):
    """Refuse what is not one positive number. All as for check_positive. Returns a float. Raises Slip.

    >>> from antlab.units import check_one
    >>> check_one("power_w", 100, unit="watts")
    100.0
    """
    return single(name, check_positive(name, value, zero_ok=zero_ok, finite=finite, unit=unit))


def single(name, checked):
    """Refuse more than one number. name: the argument's. checked: an array. Returns a float. Raises Slip.

    >>> from antlab.units import check_frequency, single
    >>> single("f_mhz", check_frequency(14.2))
    14.2
    """
    if checked.ndim:
        raise Slip(f"{name} is one number; got {checked.size} of them")
    return float(checked)


def check_number(name, value, *, finite=True, unit=""):
    """Refuse what is not a number, and name the argument and the unit it wants; any sign will do.

    name, value, unit: as check_positive takes them. finite: refuse infinity and NaN.
    Returns a float array, same shape. Raises Slip.

    >>> float(al.units.check_number("gain_dbi", -1.5))
    -1.5
    """
    wanted = f"{name} must be a number" + (f" of {unit}" if unit else "")
    number = _array(wanted, value, "iuf").astype(float)
    if finite:
        _all(np.isfinite(number), wanted, number)
    return number


def check_complex(name, value, *, unit=""):
    """Refuse what is not a number, real or complex; infinity and NaN are left to the caller.

    name, value, unit: as check_positive takes them. Returns a complex array, same shape. Raises Slip.

    >>> complex(al.units.check_complex("impedance", 50 - 20j))
    (50-20j)
    """
    wanted = f"{name} must be a number" + (f" of {unit}, such as 50-3j" if unit else ", real or complex")
    return _array(wanted, value, "iufc").astype(complex)


def warn_outside(what, name, value, low, high=np.inf, *, unit=""):
    """Warn where a formula is asked beyond its range, and say the range.

    what: has the range, "Wheeler's formula". name: of the argument. value: as checked, any shape. low, high:
    ends of the range, which belong to it. unit: of all three. Returns nothing.

    >>> from antlab.units import check_frequency, warn_outside
    >>> warn_outside("a cable's loss", "f_mhz", check_frequency([7, 14]), 1, 450, unit="MHz")
    """
    outside = value[~((value >= low) & (value <= high))]
    if outside.size:
        span = f"{low:g} to {high:g}" if high < np.inf else f"{low:g} up"
        unit = f" {unit}" if unit else ""
        warn(
            f"{what} holds from {span}{unit}, and {name} is {float(outside[0]):.4g}: take it as a rough guide"
        )


def warn(sentence):
    """Warn whoever called antlab: a notebook names the cell, and says it once for it. sentence: text.

    >>> import warnings
    >>> from antlab.units import warn
    >>> with warnings.catch_warnings(record=True, action="always") as said:
    ...     warn("the wire is near the ground")
    >>> str(said[0].message)
    'the wire is near the ground'
    """
    frame, level = sys._getframe(1), 2
    while frame.f_back and frame.f_globals.get("__name__", "").split(".")[0] == "antlab":
        frame, level = frame.f_back, level + 1
    warnings.warn(sentence, stacklevel=level)


def _array(wanted, value, kinds):
    """The array of a value, of one of NumPy's kinds: i, u, f, c; text, yes or no and the like are none."""
    try:
        array = np.asarray(value)
    except (TypeError, ValueError):  # rows of unequal length
        array = None
    if array is None or array.dtype.kind not in kinds:
        raise Slip(f"{wanted}; got {quoted(value)}")
    return array


def _all(good, wanted, number):
    if not np.all(good):
        raise Slip(f"{wanted}; got {float(number[~good][0]):.6g}")
