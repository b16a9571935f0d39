"""surroundings.py: where it looks, and that what it looks for is found, on fields known by hand."""

import numpy as np
import pytest

import antlab as al
from antlab.antenna.surroundings import Surroundings, _crossing
from antlab.engine.mesh import mesh_of

FLAT, VEE = al.FlatTop(height_m=8), al.InvertedVee(apex_m=10, ends_m=4)


def around(shape=FLAT, sections=(5.0, 3.0), wave=20.0, in_space=False):
    """A Surroundings that knows its wire but no field."""
    it = Surroundings.__new__(Surroundings)
    it._mesh = mesh = mesh_of(shape, sections, 0.001)
    it._wave, it._open, it._length, it.top_m = wave, in_space, float(mesh.nodes_m[-1]), mesh.top_m
    it.lowest_m = mesh.top_m - mesh.droop * it._length
    it.nearest_m, it._found = 0.1, {}
    it._hot = np.r_[0, mesh.nodes_m[mesh.coarse[mesh.at_traps]], it._length]
    return it


@pytest.mark.parametrize("power", [1, 2, 3])
@pytest.mark.parametrize("edge_m", [0.15, 0.7, 3.3, 9.0])
def test_the_edge_of_a_field_that_falls_with_a_power(power, edge_m):
    """Found exactly, with 5 % to spare for what lies between the points, by one limit or the other."""
    asked = []

    def strength(distance):
        asked.append(distance)
        return np.array([(edge_m / distance) ** power, 0.1])

    found = around()._edge(strength, np.array([1.0, 1.0]), 2.5, np.inf)
    assert found == pytest.approx(edge_m * 1.05 ** (1 / power), rel=1e-6)
    assert around()._edge(lambda d: 3 * strength(d)[::-1], [1.0, 3.0], 2.5, np.inf) == pytest.approx(found)


def test_no_step_is_longer_than_a_twelfth_of_a_wave():
    """From the nearest outwards by 1.4 times, and at most so far; then inwards until a limit is passed."""
    asked = []

    def strength(distance):
        asked.append(float(distance))
        return np.array([1.3 if distance < 0.12 else 0.5])

    around(wave=24.0)._edge(strength, np.array([1.0]), 12.0, np.inf)
    outermost, *_ = asked
    inwards = asked[:-2]  # but for two tries between the last two
    assert 12.0 <= outermost < 14.0 and inwards[-1] == 0.1
    steps = -np.diff(inwards)
    assert np.max(steps) == pytest.approx(2.0) and np.max(steps / inwards[1:]) == pytest.approx(0.4)
    assert np.min(np.minimum(2.0 - steps, 0.4 - steps / inwards[1:])) > -1e-9


def test_where_nothing_is_over_the_limit_the_nearest_is_the_edge():
    """And where all is, up to the deepest that was asked for, that is."""
    it = around()
    assert it._edge(lambda d: np.array([0.9]), np.array([1.0]), 3.0, np.inf) == 0.1
    assert it._edge(lambda d: np.array([0.96]), np.array([1.0]), 3.0, 7.0) == 7.0
    assert it._edge(lambda d: np.array([2.0]), np.array([1.0]), 3.0, 0.05) == 0.05


def test_the_outermost_of_two_places_counts():
    """What is over a limit farther out is found first, though it is under it in between; outside is looked
    for farther than was guessed."""

    def strength(distance):
        return np.array([2.0 if distance < 0.5 or 4.0 < distance < 6.0 else 0.3])

    found = around(wave=6.0)._edge(strength, np.array([1.0]), 4.5, np.inf)
    assert 5.5 < found < 6.6


def test_between_two_places_a_power_of_the_distance():
    """2 at 1 m and 1/8 at 4 m is 2 over the square: 1 at the root of 2, by hand."""
    assert _crossing(1.0, 2.0, 4.0, 2 / 16) == pytest.approx(np.sqrt(2))


@pytest.mark.parametrize("shape", [FLAT, VEE])
@pytest.mark.parametrize("distance_m", [0.1, 0.7, 3.0, 9.0])
@pytest.mark.parametrize("in_space", [False, True])
def test_a_shell_is_everywhere_as_far_from_the_wire(shape, distance_m, in_space):
    """None nearer, none farther; none in the ground, but on it."""
    it = around(shape, in_space=in_space)
    where = it._shell(distance_m)
    np.testing.assert_allclose(it._mesh.distance_m(where), distance_m, rtol=1e-6)
    x, y, z = where
    assert np.min(y) > -1e-9 and np.max(x) >= it._length * it._mesh.along
    if in_space or distance_m < 3:
        assert np.max(z) == pytest.approx(it.top_m + distance_m, rel=0.03)
        assert np.min(z) == pytest.approx(it.lowest_m - distance_m, abs=0.05 * distance_m)
    else:
        assert -1e-9 <= np.min(z) < 0.05 + max(0, it.lowest_m - distance_m)
        assert distance_m < 9 or np.count_nonzero(z < 1e-6) >= 8  # on the ground, along the leg


def test_the_bend_of_a_vee():
    """Above and below the feed, in the plane between both legs; a straight wire has none."""
    assert around()._bend(0.5, 6).shape == (3, 0)
    it = around(VEE)
    where = it._bend(0.5, 6)
    away = it._mesh.distance_m(where + [[0.0], [0.0], [10.0]])
    assert away == pytest.approx(np.full(away.shape, 0.5)) and where.shape[1] == 16
    assert np.min(where[2]) == pytest.approx(-0.5 / it._mesh.along) and np.max(where[2]) == pytest.approx(0.5)
    assert np.max(where[0]) == pytest.approx(0.5 * it._mesh.droop)


def test_points_are_crowded_at_feed_traps_and_end():
    """Even steps of a twelfth of a wave at most, a sixth farther away, and off each hot spot in distances."""
    near = around(wave=20.0)._stations(0.5)
    assert (near[0], near[-1]) == (0, 8) and np.all(np.diff(near) > 0)
    for hot in (0.0, 5.0, 8.0):
        for off in (0.3, 0.7, 1.2, 2, 4, 8):
            for place in (hot - 0.5 * off, hot + 0.5 * off, hot):
                assert not 0 <= place <= 8 or np.min(np.abs(near - place)) < 1e-9
    assert np.max(np.diff(near)) < 1.34
    for wave, distance, count in ((2.4, 1.1, 41), (2.4, 1.3, 21), (20.0, 1.3, 7), (120.0, 1.0, 7)):
        even = np.linspace(0, 8, count)
        stations = around(wave=wave)._stations(distance)
        assert np.all(np.min(np.abs(stations - even[:, None]), axis=1) < 1e-9)
        assert len(stations) <= count + 39


@pytest.mark.parametrize("height_m", [0.0, 6.0, 7.9, 8.1, 12.0])
def test_a_level_goes_on_beyond_the_end(height_m):
    """All at that height, along the wire, beyond its end and to the side: four times as far as it is off."""
    it = around()
    x, y, z = it._level(height_m)
    off = abs(8 - height_m)
    reach = 4 * off if off < 2 else max(2 * off, 10)
    assert np.all(z == height_m) and np.min(x) == np.min(y) == 0
    assert reach <= np.max(y) < reach + 2.1 and np.max(x) == pytest.approx(8 + np.max(y))
    beside = np.unique(y)
    assert np.max(np.diff(beside)) <= 2 + 1e-9 and beside[1] == pytest.approx(min(0.3 * off, 2.0))


def test_as_high_as_the_wire_all_is_over():
    """From its lowest point to its highest, both of them too; a little off it is asked."""
    it = around(VEE)
    it.at = lambda where: np.stack([where[2], where[0]])
    for height in (4.0, 7.0, 10.0):
        assert it.at_height(height).tolist() == [np.inf, np.inf]
    assert it.at_height(3.99)[0] == 3.99 and it.at_height(10.01)[0] == 10.01


def test_what_was_asked_is_not_asked_again():
    """A distance and a height of the same number are two things."""
    it, asked = around(), []
    it.at = lambda where: asked.append(1) or np.stack([where[2], where[0]])
    one, other = it.at_distance(1.0), it.at_height(1.0)
    assert it.at_distance(1.0) is one and it.at_height(1.0) is other and len(asked) == 2
    assert one.tolist() != other.tolist()
