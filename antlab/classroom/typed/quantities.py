"""A number as people write it, with its unit, comma or power of ten. Text is taken apart, never evaluated."""

import re

from antlab.classroom.typed.letters import plain, tokens

_PREFIXES = {
    "G": 1e9,
    "M": 1e6,
    "k": 1e3,
    "": 1.0,
    "c": 1e-2,
    "m": 1e-3,
    "µ": 1e-6,
    "u": 1e-6,
    "n": 1e-9,
    "p": 1e-12,
}
_DECIMAL = {
    "H": ("m µ u n", "henry henries"),
    "F": ("µ u n p", "farad farads"),
    "Hz": ("G M k", "hertz"),
    "Ω": ("k M m", "ohm ohms Ohm Ohms"),
    "V": ("k m", "volt volts Volt Volts"),
    "W": ("k m", "watt watts"),
    "A": ("m", "amp amps ampere"),
    "m": ("k c m", "metre metres meter meters"),
}
_WORDS = {
    "°": {"°": 1.0, "deg": 1.0, "degree": 1.0, "degrees": 1.0},
    "%": {"%": 1.0, "percent": 1.0, "per cent": 1.0},
    "dB": {"dB": 1.0, "dBi": 1.0, "decibel": 1.0, "decibels": 1.0},
    "km/s": {"km/s": 1.0, "m/s": 1e-3},
    "S/m": {"S/m": 1.0, "mS/m": 1e-3},
    "mW/cm²": {"mW/cm²": 1.0, "mW/cm^2": 1.0, "mW/cm2": 1.0, "W/m²": 0.1},
}
_LONG = {
    "kilohertz": ("Hz", 1e3),
    "megahertz": ("Hz", 1e6),
    "picofarad": ("F", 1e-12),
    "picofarads": ("F", 1e-12),
    "nanofarad": ("F", 1e-9),
    "microhenry": ("H", 1e-6),
    "microhenries": ("H", 1e-6),
    "kilohm": ("Ω", 1e3),
    "centimetres": ("m", 1e-2),
    "centimeters": ("m", 1e-2),
    "kilometres": ("m", 1e3),
    "kilometers": ("m", 1e3),
    "millimetres": ("m", 1e-3),
    "ft": ("m", 0.3048),
    "feet": ("m", 0.3048),
    "foot": ("m", 0.3048),
    "inch": ("m", 0.0254),
    "inches": ("m", 0.0254),
}
UNITS = {
    prefix + base: (base, _PREFIXES[prefix])
    for base, (prefixes, _) in _DECIMAL.items()
    for prefix in ["", *prefixes.split()]
}
UNITS |= {word: (base, 1.0) for base, (_, words) in _DECIMAL.items() for word in words.split()}
UNITS |= {word: (base, size) for base, words in _WORDS.items() for word, size in words.items()} | _LONG
UNITS |= {f"{prefix}{ohm}": ("Ω", _PREFIXES[prefix]) for prefix in "kM" for ohm in ("ohm", "ohms", "Ohm")}
_LOWER = {}
for _word in UNITS:
    _LOWER.setdefault(_word.casefold(), set()).add(UNITS[_word])
_NUMBER = re.compile(
    r"(?P<sign>[-+]?) ?(?P<digits>\d[\d.,_]*|[.,]\d+)"
    r"(?: ?(?:\* ?|x ?)10 ?(?:\^|\*\*) ?\(?(?P<power>[-+]?\d+)\)?|[eE](?P<e>[-+]?\d+))?"
    r"(?P<swr> ?: ?1(?:\.0)?)?\.* ?(?:\* ?)?[(\[]? ?"
    r"(?P<unit>[^\d\s()\[\]*+=,.^-][^()\[\]=+]{0,11}?)? ?[)\]]?\.?"
)


class Unread(Exception):
    """What was typed can't be read; the message is a sentence that says what to type."""


def unit_of(word):
    """(base unit, size) of a unit however it is written; None for none. `mhz` is MHz, as nobody means mHz."""
    word = word.strip()
    if word in UNITS:
        return UNITS[word]
    found = _LOWER.get(word.casefold(), set())
    if len(found) > 1 and word.casefold().endswith(("hz", "f", "h")):
        found = {one for one in found if one[1] >= 1e3} or found
    return next(iter(found)) if len(found) == 1 else None


def number_in(text, asked=None):
    """The number that a text holds, as a text that Python reads.

    asked: the unit wanted, "" where none is, None where any number does but no unit. Returns None where the
    text is no plain number. Raises Unread where it is one that can be meant in two ways, or in another unit.
    """
    text = " ".join(
        "".join(
            f"**{one.text}" if one.kind == "high" else one.typed for one in tokens(plain(text[:200]))
        ).split()
    )
    text = text.replace("cm**2", "cm²").replace("m**2", "m²")
    found = _NUMBER.fullmatch(
        re.sub(r"^(?:[=~≈]|\.\.\.|about |ca\.) ?|(?: ?\.\.\.)$", "", text.rstrip("?! "))
    )
    if not found:
        return None
    digits = found["sign"] + _pointed(found["digits"].rstrip(".,") or "0", found["digits"])
    power = found["power"] or found["e"]
    number = f"{digits}e{int(power)}" if power and len(power) < 5 else digits
    word = found["unit"]
    if found["swr"]:
        return number if asked == "" and not word else None
    if not word:
        return number
    unit = unit_of(word)
    if unit is None:
        return None
    if asked is None:
        raise Unread(f"A number stands without its unit here: type {number}, not {text}.")
    wanted = UNITS.get(asked) or ("%", 100.0)
    if unit[0] != wanted[0]:
        raise Unread(
            f"Wanted is {f'a number in {asked}' if asked else 'a plain number'}, and {text} is in {word}: "
            "type the number alone, in what is wanted."
        )
    size = unit[1] / wanted[1]
    return number if size == 1 else f"{float(number) * size:.12g}"


def _pointed(digits, typed):
    """Digits with a decimal point, of digits with points and commas. Raises Unread for what can be both."""
    digits = digits.replace("_", "")
    points, commas = digits.count("."), digits.count(",")
    if not commas and points <= 1:
        return digits
    if points and commas:
        many, one = (",", ".") if digits.rindex(".") > digits.rindex(",") else (".", ",")
        head, tail = digits.rsplit(one, 1)
        if one not in head and re.fullmatch(rf"\d{{1,3}}(?:\{many}\d{{3}})+", head) and tail:
            return f"{head.replace(many, '')}.{tail}"
    elif commas == 1:
        head, tail = digits.split(",")
        if len(tail) != 3 or len(head) > 3 or head in ("", "0"):
            return f"{head or '0'}.{tail}"
        raise Unread(f"{typed} can be meant in two ways: type {head}.{tail} or {head}{tail}.")
    raise Unread("A number has one decimal point and nothing between its thousands: type it like 1234.5.")
