"""mesh.py: where a leg is cut, against what its words promise, and the sums over it against integrals."""

import numpy as np
import pytest

import antlab as al
from antlab.engine import mesh


@pytest.mark.parametrize("sections", [(10.0,), (5.0, 3.0), (2.5, 1.9, 3.2)])
@pytest.mark.parametrize("radius_m", [0.0005, 0.001])
def test_a_leg_is_cut_fine_where_charge_piles_up(sections, radius_m):
    """16 pieces shared out, alike from both ends of a section: 1 to 2 cm there, thirds in between."""
    nodes, coarse, at_traps = mesh.cut(sections, radius_m)
    pieces = 16 // len(sections)
    assert len(coarse) == pieces * len(sections) + 1 and at_traps.tolist() == [
        pieces * (i + 1) for i in range(len(sections) - 1)
    ]
    ends = np.cumsum([0, *sections])
    assert nodes[coarse[::pieces]] == pytest.approx(ends) and coarse[-1] == len(nodes) - 1
    for start, end, length in zip(ends[:-1], ends[1:], sections, strict=True):
        marks = nodes[coarse]
        inside = marks[(marks > start - 1e-9) & (marks < end + 1e-9)]
        assert np.diff(inside) == pytest.approx(np.full(pieces, length / pieces))  # even
        cuts = np.diff(nodes[(nodes > start - 1e-9) & (nodes < end + 1e-9)])
        assert cuts == pytest.approx(cuts[::-1])
        assert 0.009 < cuts[0] < 0.025
        first = np.count_nonzero(np.cumsum(cuts) < length / pieces * (1 - 1e-9)) + 1
        assert first == 10 and np.all(np.diff(cuts[:10]) > 0)
        assert cuts[10:-10] == pytest.approx(np.full(3 * (pieces - 2), length / pieces / 3))


def test_no_wire_is_cut_shorter_than_it_is_thick():
    """A wire of 20 cm in pieces of 25 cm, a tube: there the thin-wire kernel says nothing of finer cuts."""
    for radius in (0.02, 0.05, 0.1):
        nodes, coarse, _ = mesh.cut((4.0,), radius)
        assert np.min(np.diff(nodes)) > radius / 2 and len(coarse) == 17
    for radius, fine in ((0.1, 1), (0.05, 1), (0.02, 4), (0.001, 10)):
        assert len(mesh.cut((4.0,), radius)[0]) == 1 + 2 * fine + 3 * 14


def test_sums_over_a_leg_are_integrals():
    """Triangles add up to one, so they integrate what pieces do; slopes see a straight line as flat."""
    nodes, _, _ = mesh.cut((5.0, 3.0), 0.001)
    u, w = mesh.rule(2)
    where = mesh.points(nodes, u)
    by_piece = mesh.against_pieces(where[:, None] ** 3, nodes, w)[:, 0]
    assert by_piece.sum() == pytest.approx(8.0**4 / 4)  # two points are exact for a cube
    tops = mesh.against_triangles(where[:, None] ** 2, nodes, u, w)[:, 0]
    last = nodes[-1] - nodes[-2]
    end = last * (nodes[-1] ** 2 / 2 - nodes[-1] * last / 3 + last**2 / 12)  # x² against the last rise
    assert tops.sum() == pytest.approx(8.0**3 / 3 - end)
    slopes = mesh.against_slopes(np.diff(nodes)[:, None], nodes)[:, 0]
    assert slopes[0] == pytest.approx(-1) and slopes[1:] == pytest.approx(np.zeros(len(slopes) - 1), abs=1e-9)


def test_the_overlap_of_triangles():
    """∫f_i·f_j: a third and a sixth of the pieces beside a node, by hand."""
    hung = mesh.Mesh(
        nodes_m=np.array([0.0, 1.0, 3.0, 6.0]), coarse=np.arange(4), at_traps=np.array([], int),
        droop=0.6, top_m=9.0, radius_m=0.001,
    )  # fmt: skip
    assert hung.overlap.tolist() == [
        pytest.approx([1 / 3, 1 / 6, 0]), pytest.approx([1 / 6, 1, 1 / 3]), pytest.approx([0, 1 / 3, 5 / 3]),
    ]  # fmt: skip
    assert hung.along == pytest.approx(0.8) and hung.overlap is hung.overlap and hung.samples is hung.samples


def test_samples_stand_for_the_fine_mesh():
    """What is smooth is summed the same over a few samples: a line exactly, against triangles and slopes."""
    hung = mesh.mesh_of(al.FlatTop(height_m=9), (5.0, 3.0), 0.001)
    where, triangles, slopes = hung.samples
    u, w = mesh.rule(2)
    assert where.shape == (32,)
    fine = mesh.points(hung.nodes_m, u)
    line = 2 + 3 * fine[:, None]
    assert (2 + 3 * where) @ triangles == pytest.approx(
        mesh.against_triangles(line, hung.nodes_m, u, w)[:, 0]
    )
    by_piece = mesh.against_pieces(line, hung.nodes_m, w)
    assert (2 + 3 * where) @ slopes == pytest.approx(mesh.against_slopes(by_piece, hung.nodes_m)[:, 0])


def test_a_leg_hangs_no_steeper_than_75_degrees():
    """sin 75° = 0.966: less steep is an inverted vee, steeper its legs would touch."""
    vee = al.InvertedVee(apex_m=10, ends_m=0.4)
    assert vee.droop(9.6 / 0.9655) == pytest.approx(0.9655)
    with pytest.raises(ValueError, match="stand clear"):
        vee.droop(9.6 / 0.9665)


def test_a_triangle_bends_at_its_nodes():
    """By its slope after a node less that before it; the first one falls from the feed, where it begins."""
    leg = mesh.Mesh(
        nodes_m=np.array([0.0, 0.5, 1.5, 1.75]), coarse=np.arange(4), at_traps=np.arange(0), droop=0.0,
        top_m=9.0, radius_m=0.001,
    )  # fmt: skip
    assert leg.bends.tolist() == [[-2, 2, 0, 0], [2, -3, 1, 0], [0, 1, -5, 4]]
