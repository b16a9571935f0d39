"""Handles: each is where a hand can take hold of it, and its slider takes it far enough to be seen."""

import numpy as np
import pytest

from antlab.classroom import live
from antlab.classroom.views.film import FINE, points
from antlab.classroom.views.player import PHONE, SCREENS

APART_PX = 26  # half the discs of two handles, on a screen


def paths(view, look, choices=None):
    """Of each handle: the still, its slider's count and place, its points for all places, (count, 2)."""
    choices = choices or view.defaults
    at = view.places({}, choices)
    still, frames = view.film(look, choices, at if view.ask else None)
    counts = [len(dial["texts"]) for dial in still["sliders"]]
    for layer in [frames, *frames["over"]]:
        for i, grip in enumerate(layer["handles"]):
            slider, own = grip["slider"], layer["sliders"]
            if view.ask:
                path = points(layer, i, 0, among="handles")
            else:
                stands = [[*at[:slider], place, *at[slider + 1 :]] for place in range(counts[slider])]
                rows = [
                    np.ravel_multi_index([one[k] for k in own], [counts[k] for k in own]) for one in stands
                ]
                path = np.concatenate([points(layer, i, row, among="handles") for row in rows])
            yield still, counts[slider], at[slider], path


def stands(view, look, handle):
    """Pixels where a handle of a view that asks stands at some places of its slider, (places, 2)."""
    found = []
    for share in np.linspace(0, 1, 7):
        at = view.places({}, view.defaults)
        still, frames = view.film(look, view.defaults, at)
        slider = frames["handles"][handle]["slider"]
        at[slider] = round(share * (len(still["sliders"][slider]["texts"]) - 1))
        frames = view.film(look, view.defaults, at)[1]
        found.append(points(frames, handle, 0, among="handles")[at[slider]] / FINE)
    found = np.array(found)
    return found[np.isfinite(found).all(axis=1)]


WIDE = (
    "coax_trap",
    "trap_choice",
)  # a drawing to scale, and two bands beside each other: as wide as the page


@pytest.mark.parametrize("name", live.VIEWS)
def test_a_picture_can_be_large(name):
    """On a laptop 690 of 934 pixels are the picture's, words beside it: 55 % of 625 is 344 high.

    Where all words stand in the picture, only buttons stand beside it: 771 pixels.
    """
    wide, high = live.VIEWS[name].size[0]
    assert (771 if live.VIEWS[name].heard else 690) * high / wide >= 344 or name in WIDE


@pytest.mark.parametrize("look", SCREENS | {"phone": PHONE})
@pytest.mark.parametrize("name", [name for name in live.VIEWS])
def test_handles_can_be_held(name, look):
    """In the picture, for each place of the slider, apart from each other; and they lead somewhere."""
    found = list(paths(live.VIEWS[name], SCREENS.get(look, PHONE)))
    begins = []
    for still, count, place, path in found:
        assert len(path) == count, "a view that asks gives a handle's whole path"
        here = path[np.isfinite(path).all(axis=1)] / FINE
        if live.VIEWS[name].ask:  # its path, in the scale of now, may leave the picture, it does not
            here = stands(live.VIEWS[name], SCREENS.get(look, PHONE), len(begins))
        assert len(here) > 1 and np.isfinite(path[place]).all(), "it can be held where the view begins"
        assert (here >= 0).all() and (here <= [still["width"], still["height"]]).all()
        assert np.hypot(*np.ptp(here, axis=0)) > 40, "a hand sees it move"
        begins.append(path[place] / FINE)
    for i, one in enumerate(begins):
        assert all(np.hypot(*(one - other)) > APART_PX for other in begins[:i])


def test_a_chart_s_hand_moves_level():
    """What the height moves along an axis is held on a level path, whatever the curves beside it do."""
    ((_, _, _, path),) = paths(live.soil_and_mirror, SCREENS["plain"])
    assert np.ptp(path[:, 1]) == 0 and (np.diff(path[:, 0]) > 0).all()


def test_a_trap_s_dot_is_held_too():
    """What looks like the hand, the dot on the curve, lies on the line along which its frequency is held."""
    view = live.trap_dipole
    _, frames = view.film(SCREENS["plain"], view.defaults)
    dots = [i for i, one in enumerate(frames["parts"]) if one["kind"] == "dots" and one["n"] == 1]
    ((_, low), (_, top)) = frames["handles"][0]["along"][0]
    for row in range(0, frames["rows"], 20):
        here, dot = points(frames, 0, row, among="handles")[0], points(frames, dots[0], row)[0]
        assert abs(dot[0] - here[0]) <= 1 and top < dot[1] - here[1] < low


def test_two_rays_overhead_are_held_apart():
    """From 2 m both bands take off straight up: each dot on its ray, apart, leans only ever lower."""
    for look in (*SCREENS.values(), PHONE):
        (_, _, _, right), (_, _, _, left) = paths(
            live.height, look, live.height.defaults | {"low": "20m", "high": "10m"}
        )
        assert np.hypot(*(right[0] - left[0])) / FINE > APART_PX
        assert abs(right[0, 0] - left[0, 0]) <= 1, "straight up, both"
        assert (
            (right[:, 0] >= left[:, 0] - 1).all() and right[-1, 0] > right[0, 0] and left[-1, 0] < left[0, 0]
        )


@pytest.mark.parametrize("look, shown_px", [(SCREENS["plain"], 555), (PHONE, 346)], ids=["screen", "phone"])
def test_a_low_wire_and_its_image_are_told_apart(look, shown_px):
    """At 3 m the hand's arrows lie beside wire and image, its name below them, the large words above."""
    view = live.wave_over_soil
    still, frames = view.film(look, view.defaults, view.places({"height_m": 3}, view.defaults))
    scale = shown_px / still["width"] / FINE

    def shown(part):
        return points(frames, part, 0)[0] * scale

    parts = frames["parts"]
    called = {one["texts"][0]: i for i, one in enumerate(parts) if one["kind"] == "text"}
    dots = [i for i, one in enumerate(parts) if one["kind"] == "dots"]
    hand = points(frames, 0, 0, among="handles")[0] * scale
    assert shown(called["image"])[1] - hand[1] > 20 + 6, "an arrow's tip, and half of its type"
    for dot in dots:
        assert hand[0] - shown(dot)[0] > 6 + parts[dot]["width"] * scale / 2, "half an arrow, half a dot"
    if look is PHONE:
        top = min(np.nanmin(points(frames, i, 0)[:, 1]) for i, one in enumerate(parts) if one["fill"] == 0.15)
        assert shown(called["0.07 wave up"])[1] < top * scale
