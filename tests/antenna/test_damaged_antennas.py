"""An antenna's file that hands, disks or strangers spoilt: a sentence each, put aside, nothing lost."""

import json
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import antlab as al
from antlab.antenna.bench import Advice, Trimming
from antlab.units import Slip
from tests.copies import from_copy

WHOLE = Path(__file__).parent / "antennas" / "version-1.json"
CONTENT = json.loads(WHOLE.read_text(encoding="utf-8"))
NONSENSE = ("text", -1e300, None, True, [], {}, [[1], [2, 3]], "\x1b[2J", 10**400)
FREE = {"name", "files", "because", "fault", "date"}  # words, which may be any
SWITCHES = {"done", "nearest", "measure_traps", "measure_again"}
MAYBE = SWITCHES | {"span_m", "garden_m", "runs_deg", "low_mhz", "high_mhz", "mode", "feed_line", "advice"}


def places(value, way=()):
    """The way to every field, and to the first row of a list."""
    items = value.items() if isinstance(value, dict) else list(enumerate(value))[:2]
    for key, one in items:
        yield (*way, key)
        if isinstance(one, dict | list):
            yield from places(one, (*way, key))


def changed(way, value):
    """A copy of the content with one field changed, or left out."""
    copy = json.loads(json.dumps(CONTENT))
    inner = copy
    for key in way[:-1]:
        inner = inner[key]
    if value is KeyError:
        del inner[way[-1]]
    else:
        inner[way[-1]] = value
    return copy


def told(folder, text):
    """The sentence that a file is refused with, and that it is kept under another name; or the antenna."""
    path = folder / "mine.json"
    path.write_text(text, encoding="utf-8")
    try:
        return al.read_antenna(path)
    except Slip as slip:
        words = str(slip)
    assert words.isprintable() and len(words) < 500 and "\n" not in words
    aside = re.search(r"It is now (mine\.[0-9a-f]{6}\.spoilt)", words)
    kept = folder / aside[1] if aside else path
    assert kept.read_text(encoding="utf-8") == text
    kept.unlink()
    return words


WAYS = [way for way in places(CONTENT) if not isinstance(way[-1], int) or way[-1] == 0]


@pytest.mark.parametrize("top", list(CONTENT))
def test_every_field_damaged_in_turn(tmp_path, top, monkeypatch):
    """Another kind of value, an absurd one, none at all: refused, or what makes sense. Nothing is fitted."""
    for name in ("advise", "advise_sweep"):  # of a line whose advice is gone
        monkeypatch.setattr(Trimming, name, lambda *_, **__: Advice(low_mhz=None, high_mhz=None))
    for n, way in enumerate(way for way in WAYS if way[0] == top):
        for value in (KeyError, *(NONSENSE[(n + i) % len(NONSENSE)] for i in (0, 2, 5))):  # by turns
            said = told(tmp_path, json.dumps(changed(way, value), indent=1))
            if isinstance(said, str):
                assert "mine.json" in said
            else:
                free = isinstance(way[-1], int) or FREE.intersection(way) or way[-1] in MAYBE
                known = free or value in (None, [], {})
                assert known or value is KeyError, (way, value)


@pytest.mark.parametrize("share", [0.0, 0.001, 0.01, 0.3, 0.7, 0.999])
def test_half_written(tmp_path, share):
    """A file that stops short is none of an antenna, or a damaged one; what is left of it stays."""
    text = WHOLE.read_text(encoding="utf-8").rstrip()
    said = told(tmp_path, text[: int(share * len(text))])
    assert "was it cut off" in said or "is no antenna" in said


def test_saved_by_an_editor(tmp_path):
    """One that begins a file with a mark has not damaged it."""
    assert told(tmp_path, "\ufeff" + WHOLE.read_text(encoding="utf-8")).name == "mine"


def test_strange_files(tmp_path):
    """Of a later day, of another program, no text at all, a huge nest: refused, and never put aside."""
    later, none = json.dumps(CONTENT | {"version": 99}), "is no antenna"
    for text, words in (
        (later, "later antlab"), ("[1, 2]", none), ("7", none), ('{"antlab": "homework"}', none),
        ("[" * 100_000, none),
    ):  # fmt: skip
        (tmp_path / "mine.json").write_text(text)
        with pytest.raises(Slip, match=words):
            al.read_antenna(tmp_path / "mine.json")
        assert (tmp_path / "mine.json").read_text() == text
    for path in (tmp_path, tmp_path / "no.json", tmp_path / "x.s1p", None, tmp_path / "a\0b.json"):
        with pytest.raises(Slip):
            al.read_antenna(path)


@pytest.fixture(scope="module")
def fresh(tmp_path_factory):
    """An antenna file without a log, and the antenna as it hangs."""
    antenna = replace(from_copy(WHOLE), log=(), name="fresh")
    return antenna.save(tmp_path_factory.mktemp("fresh") / "fresh.json"), antenna


LOW, HIGH = np.linspace(6.6, 7.7, 41), np.linspace(13.2, 15.2, 41)
BOTH = np.r_[LOW, HIGH]
PLAIN = al.Dipole(inner_m=10.6, shape=al.FlatTop(height_m=9))
STRANGE = {
    "a dummy load": (BOTH, lambda dipole: np.full(BOTH.size, 50.5 + 0.3j), "no minimum|flatter"),
    "one band": (LOW, lambda dipole: dipole.impedance(LOW), "no sweep has five points around 14"),
    "another band": (3 * LOW, lambda dipole: dipole.impedance(3 * LOW), "no sweep has five points around 7"),
    "another antenna": (BOTH, lambda dipole: PLAIN.impedance(BOTH), "[Mm]easure"),
}  # fmt: skip


@pytest.mark.parametrize("what", STRANGE)
def test_sweeps_of_something_else(fresh, tmp_path, what):
    """Told in a sentence, never answered by a length; file and sweep stay."""
    path, antenna = fresh
    f, impedance, words = STRANGE[what]
    sweep = al.write_sweep(tmp_path / "strange.s1p", f, impedance(antenna.trimming.dipole))
    before = path.read_bytes()
    try:
        said = al.trim(path, sweep)
        assert "Do not cut" in said and "each inner wire by" not in said and "each outer wire by" not in said
    except Slip as slip:
        said = str(slip)
        assert path.read_bytes() == before and len(said) < 300
    assert re.search(words, said) and sweep.exists()
    path.write_bytes(before)


def test_the_field_is_named(tmp_path):
    """No such version, a length a millimetre off what the log comes to, the log's third line."""
    for version in (0, -1):
        assert "version is a whole number like 1; got" in told(
            tmp_path, json.dumps(changed(["version"], version))
        )
    now = ("lengths_of_one_leg", "now", "inner_m")
    inner_m = CONTENT[now[0]]["now"]["inner_m"]
    assert al.read_antenna(spoilt(tmp_path, now, inner_m + 0.0005)).cut_m[0] == pytest.approx(
        inner_m, abs=1e-3
    )
    for astray_m in (0.001, 1.0):
        said = told(tmp_path, json.dumps(changed(now, inner_m + astray_m)))
        assert "is not first_hung and the changes of the log" in said
    assert "line 3 of the log" in told(tmp_path, json.dumps(changed(("log", 2, "what"), "danced")))


def spoilt(folder, way, value):
    path = folder / "hand.json"
    path.write_text(json.dumps(changed(way, value)), encoding="utf-8")
    return path
