"""An Antenna as named fields of JSON, and back: what stands in its file, of this version and earlier ones."""

import numpy as np

from antlab.antenna.json_fields import fields_of, made, numbers_of, plain, record_of
from antlab.antenna.log_json import line_of, line_values
from antlab.antenna.own_antenna import Antenna
from antlab.antenna.yard import Yard
from antlab.physics.trap import CoaxTrap, CoilTrap, Trap
from antlab.physics.wires import Wire
from antlab.units import Slip, quoted

VERSION = 1
_HANDS_M = 0.0006  # lengths that the file gives twice are one to a rounded half millimetre
_TRAPS = {"coax": CoaxTrap, "coil": CoilTrap, "circuit": Trap}
_BANDS = "low high low_mhz high_mhz aim mode licence region".split()
_STATION = "power_w z0_ohm sends".split()


def values_of(antenna):
    """What stands in an Antenna's file: a dict of named fields, lists, words and numbers.

    >>> from antlab.antenna.antenna_json import values_of
    >>> antenna = al.Antenna(name="lawn", yard=al.Yard(hung="level", heights_m=(9, 9)))
    >>> values_of(antenna)["yard"]["hung"]
    'level'
    """
    line = antenna.feed_line
    return {
        "antlab": "antenna",
        "version": VERSION,
        "yard": plain(antenna.yard),
        "bands": {name: getattr(antenna, name) for name in _BANDS},
        "soil": antenna.soil,
        "wire": plain(antenna.wire),
        "station": {name: getattr(antenna, name) for name in _STATION},
        "feed_line": None if line is None else {"cable": line[0], "length_m": line[1]},
        "trap": _trap(antenna.trap),
        "aims": dict(zip(("low_mhz", "high_mhz"), antenna.planned_mhz, strict=True)),
        "lengths_of_one_leg": {
            "planned": _lengths(antenna.planned_m),
            "first_hung": _lengths(antenna.hung_m),
            "now": _lengths(antenna.cut_m),
        },
        "log": [line_values(entry) for entry in antenna.log],
    }


def _lengths(pair):
    return dict(zip(("inner_m", "outer_m"), pair, strict=True))


def _trap(trap):
    kind = next(kind for kind, one in _TRAPS.items() if type(trap) is one)
    return {"kind": kind, **plain(trap)}


def antenna_of(content, name):
    """The Antenna of what stands in a file. content: a dict. name: its own. Raises Slip, naming a field.

    >>> from antlab.antenna.antenna_json import antenna_of, values_of
    >>> antenna = al.Antenna(name="lawn", yard=al.Yard(hung="level", heights_m=(9, 9)))
    >>> antenna_of(values_of(antenna), "lawn").planned_m == antenna.planned_m
    True
    """
    version = content.get("version")
    if type(version) is not int or version < 1:
        raise Slip(f"version is a whole number like {VERSION}; got {quoted(version)}.")
    top = fields_of("the file", content, required=(
        "antlab version yard bands soil wire station feed_line trap aims lengths_of_one_leg log"
    ).split())  # fmt: skip
    lengths = fields_of("lengths_of_one_leg", top["lengths_of_one_leg"], ["planned", "first_hung", "now"])
    pairs = {what: numbers_of(what, pair, "inner_m", "outer_m") for what, pair in lengths.items()}
    line = top["feed_line"]
    if line is not None:
        line = tuple(fields_of("feed_line", line, ["cable", "length_m"]).values())
    if not isinstance(top["log"], list):
        raise Slip(f"log is a list; got {quoted(top['log'])}.")
    log = tuple(line_of(f"line {n} of the log", one) for n, one in enumerate(top["log"], 1))
    antenna = made(
        "an antenna", Antenna, {
            "name": name, "yard": record_of("yard", Yard, top["yard"]), "soil": top["soil"],
            **fields_of("bands", top["bands"], _BANDS), **fields_of("station", top["station"], _STATION),
            "wire": record_of("wire", Wire, top["wire"]), "trap": _read_trap(top["trap"]), "feed_line": line,
            "planned_m": pairs["planned"], "hung_m": pairs["first_hung"], "log": log,
            "planned_mhz": numbers_of("aims", top["aims"], "low_mhz", "high_mhz"),
        },
    )  # fmt: skip
    if not np.allclose(antenna.cut_m, pairs["now"], rtol=0, atol=_HANDS_M):
        raise Slip("now, of lengths_of_one_leg, is not first_hung and the changes of the log.")
    return antenna


def _read_trap(value):
    kind = value.get("kind") if isinstance(value, dict) else None
    if not isinstance(kind, str) or kind not in _TRAPS:
        raise Slip(f"trap has a kind, one of {', '.join(_TRAPS)}; got {quoted(kind)}.")
    return record_of("trap", _TRAPS[kind], {name: one for name, one in value.items() if name != "kind"})
