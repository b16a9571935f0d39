"""Named fields of JSON: records to plain values and back, each refusal a sentence that names the field."""

import json
from dataclasses import MISSING, fields

from antlab.physics.cable import CABLES, Cable
from antlab.units import Slip, quoted

_LARGEST = 1e6  # that any field of a file has


def plain(thing):
    """The fields of a record by their names; a cable of the table as its name, a tuple as a list.

    thing: a dataclass. Returns a dict.

    >>> from antlab.antenna.json_fields import plain
    >>> plain(al.Yard(hung="level", heights_m=(9, 8)))["heights_m"]
    [9.0, 8.0]
    """
    values = {}
    for one in fields(thing):
        value = getattr(thing, one.name)
        if isinstance(value, Cable):
            value = value.name if CABLES.get(value.name) == value else plain(value)
        values[one.name] = list(value) if isinstance(value, tuple) else value
    return values


def text_of(value, indent=""):
    """JSON to be read by people: a field a line, a point a line.

    value: of dicts, lists, words and numbers. indent: spaces before each line. Returns text.

    >>> from antlab.antenna.json_fields import text_of
    >>> print(text_of({"f_mhz": 7.1, "points": [[1, 2], [3, 4]]}))
    {
     "f_mhz": 7.1,
     "points": [
      [1, 2],
      [3, 4]
     ]
    }
    """
    deeper = indent + " "
    if isinstance(value, dict) and value:
        rows = [f"{json.dumps(name)}: {text_of(one, deeper)}" for name, one in value.items()]
        return "{\n" + ",\n".join(deeper + row for row in rows) + f"\n{indent}}}"
    if isinstance(value, list) and any(isinstance(one, dict | list | str) for one in value):
        return "[\n" + ",\n".join(deeper + text_of(one, deeper) for one in value) + f"\n{indent}]"
    return json.dumps(value, ensure_ascii=False, allow_nan=False)


def fields_of(what, value, required, optional=()):
    """The fields of a dict in their order, all of required and none beyond both.

    what: how a sentence names the dict. value: what was read. required, optional: names. Returns a dict.
    Raises Slip.

    >>> from antlab.antenna.json_fields import fields_of
    >>> fields_of("feed_line", {"length_m": 20, "cable": "RG-58"}, ["cable", "length_m"])
    {'cable': 'RG-58', 'length_m': 20}
    """
    if not isinstance(value, dict):
        raise Slip(f"{what} is a list of named fields; got {quoted(value)}.")
    if missing := [name for name in required if name not in value]:
        raise Slip(f"{what} lacks {missing[0]}.")
    if more := [name for name in value if name not in (*required, *optional)]:
        raise Slip(f"{what} has {quoted(more[0])}, which is none of its fields.")
    return {name: value[name] for name in (*required, *optional) if name in value}


def number_of(name, value):
    """A number of a million at most. name: of its field. value: what was read. Returns a float. Raises Slip.

    >>> from antlab.antenna.json_fields import number_of
    >>> number_of("length_m", 20)
    20.0
    """
    if type(value) not in (int, float) or not abs(value) <= _LARGEST:
        raise Slip(f"{name} is a number; got {quoted(value)}.")
    return float(value)


def numbers_of(what, value, *names):
    """The numbers of a dict that has these names and no others: a tuple. what, value: as of fields_of.

    Raises Slip.

    >>> from antlab.antenna.json_fields import numbers_of
    >>> numbers_of("aims", {"low_mhz": 7.1, "high_mhz": 14.2}, "low_mhz", "high_mhz")
    (7.1, 14.2)
    """
    return tuple(number_of(f"{name} of {what}", one) for name, one in fields_of(what, value, names).items())


def list_of(what, value):
    """A list of one or more. what: its name, of many. value: what was read. Raises Slip.

    >>> from antlab.antenna.json_fields import list_of
    >>> list_of("points", [1])
    [1]
    """
    if not isinstance(value, list) or not value:
        raise Slip(f"{what} are a list of one or more; got {quoted(value)}.")
    return value


def maybe_number(name, value):
    """As number_of, or None for none.

    >>> from antlab.antenna.json_fields import maybe_number
    >>> maybe_number("low_mhz", None) is None
    True
    """
    return None if value is None else number_of(name, value)


def made(what, kind, given):
    """kind(**given); what is no Slip of ours is one all the same, since the values are somebody else's.

    what: how a sentence names it. kind: what is called. given: a dict. Raises Slip.

    >>> from antlab.antenna.json_fields import made
    >>> made("a number", complex, {"real": 3})
    (3+0j)
    """
    try:
        return kind(**given)
    except Slip as error:
        raise Slip(f"{str(error).rstrip('.')}.") from None
    except (TypeError, ValueError, ArithmeticError, AttributeError, LookupError):
        raise Slip(f"the values do not make {what}.") from None


def record_of(what, kind, value):
    """A record by its fields; those that have a default may be missing, lists are tuples.

    what: how a sentence names it. kind: a dataclass. value: a dict. Raises Slip.

    >>> from antlab.antenna.json_fields import record_of
    >>> record_of("wire", al.Wire, {"diameter_mm": 1.8}).diameter_mm
    1.8
    """
    must = [one.name for one in fields(kind) if one.default is one.default_factory is MISSING]
    may = [one.name for one in fields(kind) if one.name not in must]
    given = fields_of(what, value, must, may)
    if isinstance(cable := given.get("cable"), dict):
        given["cable"] = record_of(f"cable of {what}", Cable, cable)
    given = {name: tuple(one) if isinstance(one, list) else one for name, one in given.items()}
    return made(f"a {what}", kind, given)
