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
    assert Yard(hung="level", heights_m=(9, 9), runs_deg=360).runs_deg == 0
    assert [compass(d) for d in (0, 11, 12, 90, 225, 349, 360)] == ["N", "N", "NNE", "E", "SW", "N", "N"]


@pytest.mark.parametrize(
    ("rise", "errs"),
    [(2, "0.5 dB and 0.05 %"), (4, "0.5 dB and 0.05 %"), (4.1, "1.2 dB and 0.15 %"),
     (7.4, "1.2 dB and 0.15 %"), (7.5, "1.8 dB and 0.2 %"), (10, "1.8 dB and 0.2 %"),
     (10.1, "a rough"), (16, "a rough")],
)  # fmt: skip
def test_a_slope_is_said_to_err_by_its_class(rise, errs):
    """Rise over 20 m, as the second solver bounds it; the fences bound it too, and both give one mean."""
    for bounds in ({"span_m": 20}, {"span_m": 50, "garden_m": (20, 10), "runs_deg": 90}):
        words = Yard(hung="level", heights_m=(4, 4 + rise), **bounds).mean_note
        assert f" {errs} " in words and words.startswith(f"Counted as level, {4 + rise / 2:.1f} m (")
        assert words == Yard(hung="level", heights_m=(4 + rise, 4), **bounds).mean_note


def test_no_slope_no_words():
    """Supports of one height and a vee are what they are; where the distance is not told no error is."""
    assert Yard(hung="level", heights_m=(9, 9), span_m=30).mean_note == ""
    assert Yard(hung="vee", heights_m=(9, 4), span_m=30).mean_note == ""
    words = Yard(hung="level", heights_m=(4, 20)).mean_note
    assert "12.0 m (39 ft)" in words and "which nobody said" in words and "%" not in words


@pytest.mark.parametrize(
    ("garden_m", "garden_deg", "along", "diagonal"),
    [((10, 10), 0, 0, 45), ((10, 20), 300, 300, 326.565), ((20, 10), 300, 30, 3.435),
     ((20, 10), 270, 0, 333.435), ((10, 10), 360, 0, 45), ((20, 10), 269.5, 359.5, 332.935),
     ((10, 10), 315, 315, 0)],
)  # fmt: skip
def test_directions_of_a_garden(garden_m, garden_deg, along, diagonal):
    """Along the longer side, by the length where both are alike; the diagonal is clockwise of it."""
    yard = Yard(hung="level", heights_m=(9, 9), garden_m=garden_m, garden_deg=garden_deg)
    assert yard.toward_deg == pytest.approx(along)
    assert yard.diagonal_deg == pytest.approx(diagonal, abs=1e-3)
    assert yard.sends_deg == pytest.approx(sorted(((along + 90) % 360, (along + 270) % 360)))


def test_room_is_what_two_ropes_leave():
    """1 m between the fences leaves nothing, a hand more leaves that; a longer rope takes its part."""
    level = {"hung": "level", "heights_m": (9, 9)}
    assert Yard(**level, span_m=1.01).room_m == pytest.approx(0.01)
    assert Yard(**level, span_m=20, rope_m=2).room_m == 16
    with pytest.raises(Slip, match=r"1\.0 m leave no room .* ropes of 0\.5 m"):
        Yard(**level, span_m=1)


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"hung": "slack"}, '"level", from support'),
        ({"heights_m": 9}, "two numbers of metres, one support's and the other's"),
        ({"hung": "vee", "heights_m": 9}, "two numbers of metres, apex and ends"),
        ({"heights_m": (9, -1)}, "positive"),
        ({"heights_m": (9, "ten")}, "positive"),
        ({"hung": "vee", "heights_m": (4, 9)}, "swap them"),
        ({"rope_m": 0.2}, "0.5 m or more"),
        ({"rope_m": np.nan}, "rope_m must be a positive"),
        ({"span_m": 0.9}, "no room"),
        ({"span_m": np.nan}, "positive"),
        ({"garden_m": (15,)}, "width and length"),
        ({"runs_deg": 360.5}, "compass"),
        ({"runs_deg": -0.5}, "compass"),
        ({"runs_deg": "north"}, "runs_deg must be a number"),
        ({"garden_deg": -3}, "compass"),
    ],
)
def test_what_no_yard_has_is_refused_with_its_mend(wrong, said):
    """Each field of a yard refuses nonsense in one sentence."""
    with pytest.raises(Slip, match=said):
        Yard(**{"hung": "level", "heights_m": (9, 9), "span_m": 20} | wrong)
