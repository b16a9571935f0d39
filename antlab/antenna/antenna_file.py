"""The file of a student's own antenna: written whole or not at all; a damaged one is put aside, never lost.

It is JSON, with named fields and their units, for people to read too; antenna_json.py says which.
"""

import glob
import json
import math
import os
import secrets
from pathlib import Path

from antlab import files
from antlab.antenna.antenna_json import VERSION, antenna_of, values_of
from antlab.antenna.json_fields import text_of
from antlab.antenna.log_json import line_values
from antlab.antenna.named_file import place, read_named, write_named
from antlab.units import Slip, quoted, shown

_MOST_BYTES = 100_000_000
_SPOILT = ".spoilt"  # how the name of a damaged one ends
_MOST_DIGITS = 15  # of a whole number
_MARK, _BEGIN = '"antlab": "antenna"', 200  # which stands among so many first letters


def keep_antenna(antenna, path=None, *, force=False):
    """Write an Antenna into its file, as Antenna.save says. Returns the Path. Raises Slip.

    >>> from antlab.antenna.antenna_file import keep_antenna
    >>> antenna = al.Antenna(name="lawn", yard=al.Yard(hung="level", heights_m=(9, 9)))
    >>> keep_antenna(antenna, "lawn.json", force=True).name
    'lawn.json'
    """
    path = _path(f"{antenna.name}.json" if path is None else path)
    if force and os.path.lexists(path):
        _nothing_lost(antenna, path)
    content = (text_of(values_of(antenna)) + "\n").encode()
    return write_named(path, content, force=force, over="write over it")


def _nothing_lost(antenna, path):
    """Raise Slip where a file holds something that an antenna's log doesn't begin with."""
    before = read_antenna(path)
    ours = [line_values(one) for one in antenna.log]
    if [line_values(one) for one in before.log] != ours[: len(before.log)]:
        raise Slip(
            f"{place(path)} has {len(before.log)} lines in its log, and not all are in this one: read "
            "it again with read_antenna, or choose another name"
        )


def antenna_files(folder="."):
    """Every antenna file in a folder, by name. folder: where to look. Returns a tuple of Paths.

    >>> from antlab.antenna.antenna_file import antenna_files
    >>> antenna_files("no-such-folder")
    ()
    """
    found = []
    for path in sorted(Path(folder).glob("*.json")):
        try:
            found += [path] if _MARK.encode() in files.read(path, most=_BEGIN, start=True) else []
        except OSError:
            continue
    return tuple(found)


def read_antenna(path):
    """Read an antenna from its file, of this version or an earlier one.

    path: of the file, ending in .json. Returns an Antenna with the file's name. Raises Slip, saying what is
    wrong and where, for a file that is missing, none of an antenna, of a later antlab, or damaged: a damaged
    one is put aside under another name, so that nothing writes over it.

    >>> antenna = al.Antenna(name="lawn", yard=al.Yard(hung="level", heights_m=(9, 9)))
    >>> al.read_antenna(antenna.save("lawn.json", force=True)).yard.heights_m
    (9.0, 9.0)
    """
    path = _path(path)
    name = shown(path.name)
    try:
        data = read_named(path, most=_MOST_BYTES)
    except Slip:
        if path.exists() or not (aside := sorted(path.parent.glob(f"{glob.escape(path.stem)}.*{_SPOILT}"))):
            raise
        raise Slip(
            f"there is no {name}: it was damaged, and is put aside as {shown(aside[-1].name)}. Mend it "
            f"there, and name it {name} again; or plan it anew by the planner or `antlab plan --save {name}` "
            "and write the changes from your sheet into it"
        ) from None
    text = data.decode("utf-8-sig", errors="replace")  # some editors begin a file with a mark
    ours = _MARK in text[:_BEGIN]
    try:
        content = json.loads(text, parse_constant=_no_number, parse_int=_whole, parse_float=_finite)
        if not (isinstance(content, dict) and content.get("antlab") == "antenna"):
            raise _Whole(f"{name} is no antenna: `antlab plan --save {name}` writes one")
        ours = True
        version = content.get("version")
        if type(version) is int and version > VERSION:
            raise _Whole(f"{name} was written by a later antlab: get the newest, and try again")
        return antenna_of(content, path.stem)
    except _Whole as error:
        raise Slip(str(error)) from None
    except (json.JSONDecodeError, RecursionError) as error:
        line = f"line {error.lineno}" if isinstance(error, json.JSONDecodeError) else "it"
        why = f"{line} is not as antlab writes it; was it cut off?"
    except Slip as error:
        why = str(error)
    if not ours:
        raise Slip(f"{name} is no antenna: {why}")
    raise Slip(f"{name} is damaged: {why} {_put_aside(path)}")


class _Whole(Exception):
    """What is said of a file that is not damaged, and no antenna of ours to read."""


def _no_number(word):
    raise Slip(f"{shown(word)} stands where a number belongs.")


def _whole(word):
    return int(word) if len(word) <= _MOST_DIGITS else _no_number(word)


def _finite(word):
    number = float(word)
    return number if math.isfinite(number) else _no_number(word)


def _put_aside(path):
    """Rename a damaged file, over no other; say where it is."""
    aside = path.with_suffix(f".{secrets.token_hex(3)}{_SPOILT}")
    try:
        os.replace(path, aside)
    except OSError as error:
        return f"It could not be put aside ({error.strerror})."
    return (
        f"It is now {shown(aside.name)}, and nothing in it is lost: mend it there, and name it "
        f"{shown(path.name)} again."
    )


def _path(path):
    try:
        path = Path(path)
    except TypeError:
        raise Slip(f"path is the name of a file, like my-antenna.json; got {quoted(path)}") from None
    if path.suffix.lower() != ".json":
        raise Slip(f"{shown(path.name)} is no antenna file, which ends in .json, like my-antenna.json")
    return path
