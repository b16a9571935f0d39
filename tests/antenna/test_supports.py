"""The yard: what a wire may take between supports and fences, and what no yard has."""

import numpy as np
import pytest

import antlab as al
from antlab.antenna.yard import Yard, compass
from antlab.trouble import Slip


def test_supports_of_two_heights_are_a_level_wire_at_their_mean():
    """Two trees of 12 and 15 m: the engine gets 13.5 m, the lowest end stays known."""
    yard = Yard(hung="level", heights_m=(12, 15), span_m=30)
    assert yard.shape == al.FlatTop(height_m=13.5)
    assert yard.lowest_m == 12
    assert yard.room_m == 29  # half a metre of rope a side


def test_a_vee_is_named_by_apex_and_ends():
    """A vee's second height is that of its ends."""
    assert Yard(hung="vee", heights_m=(6, 3)).shape == al.InvertedVee(apex_m=6, ends_m=3)


@pytest.mark.parametrize(
    ("runs", "chord"), [(0, 20.0), (90, 15.0), (np.degrees(np.arctan2(15, 20)), 25.0), (45, 15 * np.sqrt(2))]
)
def test_the_way_through_the_garden(runs, chord):
    """Along, across, corner to corner (a 3-4-5 triangle), and at 45 degrees, where the width bounds it."""
    yard = Yard(hung="level", heights_m=(9, 9), garden_m=(15, 20), runs_deg=runs)
    assert yard.chord_m == pytest.approx(chord)
    assert yard.room_m == pytest.approx(chord - 1)
    turned = Yard(
        hung="level", heights_m=(9, 9), garden_m=(15, 20), garden_deg=70, runs_deg=(runs + 70) % 360
    )
    assert turned.chord_m == pytest.approx(chord)  # garden and wire turned together are the same yard


def test_the_diagonal_is_the_longest_way():
    """No direction has more room than the diagonal, and none is said to."""
    garden = {"hung": "level", "heights_m": (9, 9), "garden_m": (12, 31), "garden_deg": 33}
    ways = [Yard(**garden, runs_deg=runs).chord_m for runs in range(0, 360, 3)]
    best = Yard(**garden, runs_deg=Yard(**garden).diagonal_deg).chord_m
    assert best == pytest.approx(np.hypot(12, 31))
    assert max(ways) <= best + 1e-9


def test_what_bounds_is_the_less_of_supports_and_fences():
    """Supports farther apart than the fences do not widen the garden; with neither nothing is known."""
    level = {"hung": "level", "heights_m": (9, 9)}
    assert Yard(**level, span_m=12, garden_m=(15, 20)).room_m == 11
    assert Yard(**level, span_m=40, garden_m=(15, 20)).room_m == 19  # along the longer side
    assert Yard(**level, span_m=40, garden_m=(20, 15)).toward_deg == 90
    assert Yard(**level).room_m is None
    assert Yard(**level).chord_m is Yard(**level).toward_deg is Yard(**level).sends_deg is None


def test_it_sends_across_the_wire():
    """A wire that runs north to south sends east and west."""
    assert Yard(hung="level", heights_m=(9, 9), runs_deg=0).sends_deg == (90, 270)
    assert Yard(hung="level", heights_m=(9, 9), runs_deg=300).sends_deg == (30, 210)
    assert [compass(d) for d in (0, 11, 12, 90, 225, 349, 360)] == ["N", "N", "NNE", "E", "SW", "N", "N"]


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"hung": "slack"}, '"level", from support'),
        ({"heights_m": 9}, "two numbers of metres"),
        ({"heights_m": (9, -1)}, "positive"),
        ({"heights_m": (9, "ten")}, "positive"),
        ({"hung": "vee", "heights_m": (4, 9)}, "swap them"),
        ({"rope_m": 0.2}, "0.5 m or more"),
        ({"span_m": 0.9}, "no room"),
        ({"span_m": np.nan}, "positive"),
        ({"garden_m": (15,)}, "width and length"),
        ({"runs_deg": 400}, "compass"),
        ({"runs_deg": "north"}, "runs_deg must be a number"),
        ({"garden_deg": -3}, "compass"),
    ],
)
def test_what_no_yard_has_is_refused_with_its_mend(wrong, said):
    """Each field of a yard refuses nonsense in one sentence."""
    with pytest.raises(Slip, match=said):
        Yard(**{"hung": "level", "heights_m": (9, 9), "span_m": 20} | wrong)
