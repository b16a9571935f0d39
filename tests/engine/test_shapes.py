"""Shapes: where feed and ends hang, and what lifting changes."""

import numpy as np
import pytest

import antlab as al
from antlab.engine.mesh import mesh_of

SHAPES = (al.FlatTop(height_m=7.5), al.InvertedVee(apex_m=10, ends_m=3))


@pytest.mark.parametrize("shape", SHAPES)
def test_the_ends_are_the_lowest_of_the_wire(shape):
    """ends_m is where the last node of a leg hangs: what reach and nearness to the ground go by."""
    cut = mesh_of(shape, (9.0,), 0.001)
    heights = cut.top_m - cut.droop * cut.nodes_m
    assert heights[-1] == pytest.approx(shape.ends_m) and np.min(heights) == heights[-1]
    assert heights[0] == shape.top_m


@pytest.mark.parametrize("shape", SHAPES)
def test_lifting_keeps_the_shape(shape):
    """Feed and ends go up alike and the legs fall as before; nothing is lowered into the ground."""
    up = shape.lifted(2)
    assert (up.top_m, up.ends_m) == (shape.top_m + 2, shape.ends_m + 2)
    assert up.droop(9.0) == shape.droop(9.0) and type(up) is type(shape)
    with pytest.raises(ValueError, match="height_m|ends_m"):
        shape.lifted(-shape.ends_m)


@pytest.mark.parametrize(
    "make", [lambda h: al.FlatTop(height_m=h), lambda h: al.InvertedVee(apex_m=h, ends_m=h)]
)
def test_how_high_a_wire_hangs(make):
    """Up to 1000 m, which no support is; a vee whose ends are as high as its apex is level."""
    assert make(1000.0).ends_m == 1000 and make(9.0).droop(5.0) == 0
    with pytest.raises(ValueError, match="1000.1 m is higher than any support"):
        make(1000.1)
