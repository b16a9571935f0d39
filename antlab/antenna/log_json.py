"""The lines of an antenna's log as named fields of JSON, and back: measurements, changes, traps, advice."""

from dataclasses import fields

import numpy as np

from antlab.antenna.antenna_log import (
    TRAP_PARTS,
    Changed,
    KeptAdvice,
    ReadOff,
    Swept,
    TrapsMeasured,
    Undone,
    check_date,
)
from antlab.antenna.bench import MeasuredTrap
from antlab.antenna.json_fields import fields_of, list_of, made, maybe_number, number_of, numbers_of, plain
from antlab.antenna.touchstone import Sweep
from antlab.physics.circuit import impedance_of_reflection
from antlab.physics.trap import Trap
from antlab.units import Slip, quoted

_SAID = "low_mhz high_mhz inner_m outer_m done nearest measure_traps measure_again fault because".split()
_POINT = {True: ("f_mhz", "reflection_real", "reflection_imaginary"), False: ("f_mhz", "reflection_size")}
_DIGITS = 6  # after the point, of MHz and of a reflection: less than any meter's noise
_LEARNED = {"mean": (3,), "covariance": (3, 3), "ohms": (2,), "loss_db": (2,), "misfit": (2,)}


def line_values(entry):
    """A line of a log as named fields: a dict. entry: Swept, ReadOff, Changed, TrapsMeasured or Undone.

    >>> from antlab.antenna.antenna_log import Undone
    >>> from antlab.antenna.log_json import line_values
    >>> line_values(Undone(date="2026-05-01 14:30"))
    {'date': '2026-05-01 14:30', 'what': 'undone'}
    """
    if isinstance(entry, Changed):
        return {"date": entry.date, "what": "changed", "inner_m": entry.inner_m, "outer_m": entry.outer_m}
    if isinstance(entry, Undone):
        return {"date": entry.date, "what": "undone"}
    if isinstance(entry, TrapsMeasured):
        traps = [
            {**plain(one.trap), **{f"{what}_error": getattr(one, f"{what}_error") for what in TRAP_PARTS}}
            for one in entry.traps
        ]
        said = _advice(entry.advice)
        return {"date": entry.date, "what": "traps measured", "traps": traps, "advice": said}
    if isinstance(entry, ReadOff):
        what = {"what": "read off", "low_mhz": entry.low_mhz, "high_mhz": entry.high_mhz}
    else:
        what = {"what": "swept", "files": list(entry.files), "sweeps": [_sweep(one) for one in entry.sweeps]}
    return {"date": entry.date, **what, "advice": _advice(entry.advice)}


def _sweep(sweep):
    """A sweep by its reflection, finite where an impedance is not; by its size where no more is known."""
    rows = zip(sweep.f_mhz.tolist(), sweep.reflection.tolist(), strict=True)
    points = [[f, s.real, s.imag] if sweep.phase else [f, abs(s)] for f, s in rows]
    points = [[round(one, _DIGITS) for one in point] for point in points]
    return {"z0_ohm": sweep.z0_ohm, "columns": list(_POINT[sweep.phase]), "points": points}


def _advice(advice):
    if advice is None:
        return None
    said = {name: getattr(advice, name) for name in _SAID} | {"because": list(advice.because)}
    if advice.fit is not None:
        values = {name: getattr(advice.fit, name, None) for name in _LEARNED}
        values |= {"mean": advice.fit.now.mean, "covariance": advice.fit.now.covariance}
        said["learned"] = {name: np.asarray(value).tolist() for name, value in values.items()}
    elif getattr(advice, "learned", None):
        said["learned"] = advice.learned
    return said


def line_of(where, value):
    """A line of a log from its named fields. where: how a sentence names it. value: a dict. Raises Slip.

    >>> from antlab.antenna.log_json import line_of
    >>> line_of("line 1", {"date": "2026-05-01 14:30", "what": "undone"})
    Undone(date='2026-05-01 14:30')
    """
    what = value.get("what") if isinstance(value, dict) else None
    names = {
        "changed": ["inner_m", "outer_m"], "traps measured": ["traps", "advice"],
        "undone": [], "read off": ["low_mhz", "high_mhz", "advice"], "swept": ["files", "sweeps", "advice"],
    }  # fmt: skip
    if not isinstance(what, str) or what not in names:
        raise Slip(f"{where} says what it is, one of {', '.join(names)}; got {quoted(what)}.")
    given = fields_of(where, value, ["date", "what", *names[what]])
    date = check_date(f"date of {where}", given["date"])
    if what == "undone":
        return Undone(date=date)
    if what == "changed":
        inner_m, outer_m = (number_of(f"{name} of {where}", given[name]) for name in names[what])
        return Changed(date=date, inner_m=inner_m, outer_m=outer_m)
    advice = _read_advice(f"advice of {where}", given["advice"])
    if what == "traps measured":
        traps = list_of(f"traps of {where}", given["traps"])
        if len(traps) > 2:
            raise Slip(f"traps of {where} are one or two.")
        traps = tuple(_measured_trap(where, one) for one in traps)
        return TrapsMeasured(date=date, traps=traps, advice=advice)
    if what == "read off":
        low_mhz, high_mhz = (maybe_number(f"{name} of {where}", given[name]) for name in names[what][:2])
        return ReadOff(date=date, low_mhz=low_mhz, high_mhz=high_mhz, advice=advice)
    files = given["files"]
    if not isinstance(files, list) or not all(isinstance(one, str) for one in files):
        raise Slip(f"files of {where} are names; got {quoted(files)}.")
    sweeps = tuple(
        _read_sweep(f"sweeps of {where}", one) for one in list_of(f"sweeps of {where}", given["sweeps"])
    )
    return Swept(date=date, sweeps=sweeps, files=tuple(files), advice=advice)


def _measured_trap(where, value):
    names = [*(one.name for one in fields(Trap)), *(f"{what}_error" for what in TRAP_PARTS)]
    given = dict(zip(names, numbers_of(f"a trap of {where}", value, *names), strict=True))
    off = [given.pop(f"{what}_error") for what in TRAP_PARTS]
    if min(off) < 0:
        raise Slip(f"a trap of {where} is off by a part of 1, like 0.03.")
    return MeasuredTrap(made("a trap", Trap, given), *off)


def _read_sweep(where, value):
    given = fields_of(where, value, ["z0_ohm", "columns", "points"])
    z0_ohm = number_of(f"z0_ohm of {where}", given["z0_ohm"])
    phase = given["columns"] == list(_POINT[True])
    if not phase and given["columns"] != list(_POINT[False]):
        raise Slip(f"columns of {where} are {', '.join(_POINT[True])}; got {quoted(given['columns'])}.")
    points = list_of(f"points of {where}", given["points"])
    if not all(isinstance(row, list) and len(row) == 2 + phase for row in points):
        raise Slip(f"points of {where} have {2 + phase} numbers each.")
    table = np.array([[number_of(f"a point of {where}", one) for one in row] for row in points]).T
    f, s = table[0], table[1] + (1j * table[2] if phase else 0)
    if np.any(np.abs(s) > 1 + 1e-9):
        raise Slip(f"a point of {where} reflects more than it gets.")
    whole = {"reflection": s / np.maximum(np.abs(s), 1), "z0_ohm": z0_ohm}
    z = made("a sweep", impedance_of_reflection, whole)
    return made("a sweep", Sweep, {"f_mhz": f, "impedance": z, "z0_ohm": z0_ohm, "phase": phase})


def _read_advice(where, value):
    if value is None:
        return None
    given = fields_of(where, value, _SAID, ["learned"])
    for name in ("low_mhz", "high_mhz"):
        given[name] = maybe_number(f"{name} of {where}", given[name])
    for name in ("inner_m", "outer_m"):
        given[name] = number_of(f"{name} of {where}", given[name])
    for name in ("done", "nearest", "measure_traps", "measure_again"):
        if type(given[name]) is not bool:
            raise Slip(f"{name} of {where} is true or false; got {quoted(given[name])}.")
    because = given["because"]
    if (
        not isinstance(given["fault"], str)
        or not isinstance(because, list)
        or not all(isinstance(one, str) for one in because)
    ):
        raise Slip(f"{where} has its fault and its because in words.")
    if "learned" in given:
        given["learned"] = _read_learned(f"learned of {where}", given["learned"])
    return KeptAdvice(**given | {"because": tuple(because)})


def _read_learned(where, value):
    given = fields_of(where, value, list(_LEARNED))
    for name, shape in _LEARNED.items():
        try:
            sound = np.array(given[name]).dtype.kind in "if" and np.array(given[name]).shape == shape
        except ValueError:  # rows of unequal length
            sound = False
        if not (sound and np.all(np.isfinite(given[name]))):
            raise Slip(f"{name} of {where} has numbers in {' x '.join(map(str, shape))}.")
    spread = np.array(given["covariance"])
    if not np.allclose(spread, spread.T, rtol=1e-6) or np.min(np.linalg.eigvalsh(spread)) < 0:
        raise Slip(f"covariance of {where} is none.")
    return given
