"""The rules of the house, kept in this room: ranges hold, records are frozen."""

import pytest
import rules

import antlab as al
from antlab.engine import fields, heights, images, waves


@pytest.mark.parametrize(("ask", "inside", "outside", "told", "words"), rules.ranges("engine"))
def test_a_range_holds(ask, inside, outside, told, words):
    """Silent just inside, never silent just outside."""
    rules.holds(ask, inside, outside, told, words)


@pytest.mark.parametrize("record", rules.records("engine"))
def test_a_record_keeps_its_values(record):
    """Nobody changes a result by accident, nor swaps two of its values by their place."""
    rules.keeps(record)


def test_what_takes_long_is_worked_out_once():
    """Images, senders, the feed at all heights, a picture of waves: asked again, the same comes back."""
    soil, found = al.soil("average"), al.Dipole(inner_m=5.1, shape=al.FlatTop(height_m=9)).solution(14.1)
    for ask in (
        lambda: images.soil_images(14.1, soil),
        lambda: fields._senders(found),
        lambda: heights._feed_of_height(14.1, soil),
        lambda: waves.wave_tables(14.1, soil),
    ):
        assert ask() is ask()
