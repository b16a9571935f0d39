"""The film: what every view sends is what film.py promises to whoever writes a player."""

import re
from typing import Literal, get_args, get_origin, get_type_hints

import numpy as np
import pytest
from films import unsqueezed

from antlab.classroom import live
from antlab.classroom.drawing.parts import curved
from antlab.classroom.views import film
from antlab.classroom.views.player import PHONE, SCRIPT, Slider, view


def strays(value, kind, where="film"):
    """Where a value is not of the kind that was promised, in words."""
    if get_origin(kind) is Literal:
        return [] if value in get_args(kind) else [f"{where}: {value!r}"]
    if get_origin(kind) is list:
        if type(value) is not list:
            return [f"{where}: {value!r}"]
        return [
            one for i, part in enumerate(value) for one in strays(part, get_args(kind)[0], f"{where}[{i}]")
        ]
    if hints := getattr(kind, "__annotations__", None):
        if value.keys() != hints.keys():
            return [f"{where}: keys {value.keys() ^ hints.keys()}"]
        hints = get_type_hints(kind)
        return [one for key in hints for one in strays(value[key], hints[key], f"{where}.{key}")]
    fits = type(value) is kind or (kind is float and type(value) is int)
    return [] if fits else [f"{where}: {value!r}"]


def whole(name):
    """A view's Film as a phone page has it, or of one row if each is asked for."""
    one = live.VIEWS[name]
    at = one.places({}, one.defaults)
    still, frames = one.film(PHONE, one.defaults, at if one.ask else None)
    return {"still": still, "frames": frames, "at": at, "asked": []}


@pytest.mark.parametrize("name", live.VIEWS)
def test_every_view_keeps_the_protocol(name):
    """Keys, types and sizes are those of film.py: another player can rely on every word of it."""
    made = whole(name)
    still, frames = made["still"], made["frames"]
    assert not strays(made, film.Film)
    assert still["version"] == frames["version"] == film.VERSION
    counts = [len(dial["texts"]) for dial in still["sliders"]]
    assert all(0 <= at < count for at, count in zip(made["at"], counts, strict=True))
    assert all(not one["waves"] + one["ring"] + one["over"] for one in frames["over"])
    for one in [frames, *frames["over"]]:
        keeps(one, 1 if still["ask"] else np.prod([counts[i] for i in one["sliders"]]))


def keeps(frames, rows):
    """A table, and a text for each row, as long as they say."""
    assert frames["rows"] == len(frames["says"]) == rows and not frames["message"]
    assert len(frames["table"]) == 2 * (frames["fixed"] + rows * frames["columns"])
    for i, piece in enumerate(frames["parts"]):
        assert re.fullmatch("#[0-9a-f]{6}", piece["color"])
        assert len(piece["texts"]) == (rows if piece["kind"] == "text" else 0)
        assert piece["kind"] != "text" or piece["n"] == 1
        ends = [(block["at"] + piece["n"], frames["fixed" if block["fixed"] else "columns"])
                for block in (piece["x"], piece["y"])]  # fmt: skip
        assert all(end <= size for end, size in ends)
        assert film.points(frames, i, frames["rows"] - 1).shape == (piece["n"], 2)


def test_a_stray_is_seen():
    """The check above can fail: a key too many, a number of numpy's, a word that is not promised."""
    frames = whole("where_it_lands")["frames"]
    assert strays(frames | {"colour": 1}, film.Frames) == ["film: keys {'colour'}"]
    assert strays(frames | {"rows": np.int64(3)}, film.Frames)
    assert strays(frames | {"parts": [frames["parts"][0] | {"kind": "square"}]}, film.Frames)
    assert not strays(film.refusal("no"), film.Refusal) and strays(frames, film.Refusal)


@pytest.mark.parametrize("name", ["where_it_lands", "wave_over_soil"])
def test_a_phone_page_has_the_same_film_in_little_room(name):
    """What is deflated is the notebook's film to the byte, light, and closes no tag."""
    made = whole(name)
    made["frames"]["says"][0] = "</script>"
    text = film.squeezed(made)
    assert re.fullmatch("[A-Za-z0-9+/=]+", text)
    assert unsqueezed(text) == made
    table = made["frames"]["table"]
    assert name != "where_it_lands" or len(text) < len(table) / 4 + len(made["still"]["png"]) * 4 / 3


def test_a_page_has_the_answers_of_what_asks(monkeypatch):
    """At each of its stops the words and points that the kernel would send, and grips of as many places."""
    one, stops = live.planner, {"height_m": (4.5, 7.5, 9), "drop_m": (0, 1.5)}
    monkeypatch.setattr(one, "stops", stops | {"power_w": (100, 500)})
    choices, wanted = one.defaults | {"low": "20m", "high": "10m"}, {"height_m": 7.6, "room_m": 14}
    made = one.film_of_stops(PHONE, wanted, choices)
    assert not strays(made, film.Film) and unsqueezed(film.squeezed(made)) == made
    assert made["at"] == [1, 0] and made["frames"] == made["asked"][2]
    assert [dial["texts"][1] for dial in made["still"]["sliders"]] == ["7.5 m (25 ft)", "1.5 m (5 ft)"]
    settings = [(high, drop) for high in stops["height_m"] for drop in stops["drop_m"]]
    for (high, drop), told in zip(settings, made["asked"], strict=True):
        keeps(told, 1)
        assert {one["slider"]: one["n"] for one in told["handles"]} == {0: 3, 1: 2}
        at = one.places(wanted | {"height_m": high, "drop_m": drop}, choices)
        asked = one.film(PHONE, choices, at)[1]
        assert told["says"] == asked["says"], "the room stands where it was wanted"
        for i in range(len(told["parts"])):
            assert np.array_equal(film.points(told, i, 0), film.points(asked, i, 0), equal_nan=True)
    assert one.offered_in_stops(choices) == {"power_w": [100, 500]}


def test_the_player_knows_the_same_numbers():
    """live.js is written for this version, this fineness and this gap."""
    for name in ("VERSION", "FINE", "GAP"):
        assert re.search(rf"\b{name} = (-?\d+)", SCRIPT)[1] == str(getattr(film, name))


def test_a_slip_comes_as_a_refusal_of_the_same_version():
    """A setting that makes no sense is told by the protocol too: a strange player is found out then."""
    told = live.height(low="41m").player.frames
    assert not strays(told, film.Refusal) and told["version"] == film.VERSION and "no band" in told["message"]


def test_a_view_is_not_gathered_from_elsewhere():
    """What a notebook or a test registers is a view, but none of the course's."""

    @view(Slider("Nothing", "m", 0, 1, 2, 0))
    def of_my_own(fig, nothing_m):
        """Mine."""

    assert of_my_own.title == "Mine" and "of_my_own" not in live.VIEWS


def test_a_curve_through_a_dozen_points_of_a_wave_is_the_wave():
    """A wave of twelve points looks as one; its ends are as good; a missing point parts it."""
    place = np.arange(0, 25) / 12
    x, y = curved(place, np.sin(2 * np.pi * place))
    assert np.abs(y - np.sin(2 * np.pi * x)).max() < 0.02
    x, y = curved(place, np.where(place == 1, np.nan, 0.0))
    assert np.isnan(y).any() and np.nanmax(np.abs(y)) == 0
