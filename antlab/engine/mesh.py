"""The mesh: where a leg is cut into pieces, and how what varies along it is summed over them."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

# pieces in a leg; cuts in a piece; cuts in a piece beside the feed, a trap or the end, and their finest scale
_COARSE, _MIDDLE, _FINE, _FIRST_M = 16, 3, 10, 0.06


def rule(count):
    """Gauss-Legendre points and weights on 0 to 1.

    >>> u, w = al.mesh.rule(2)
    >>> u.round(3).tolist(), w.round(3).tolist()
    ([0.211, 0.789], [0.5, 0.5])
    """
    x, w = np.polynomial.legendre.leggauss(count)
    return (x + 1) / 2, w / 2


_U2, _W2 = rule(2)


def points(nodes, u):
    """Quadrature points on every piece, shape (pieces * len(u),).

    >>> al.mesh.points(np.array([0.0, 1.0, 3.0]), np.array([0.5])).tolist()
    [0.5, 2.0]
    """
    return (nodes[:-1, None] + np.diff(nodes)[:, None] * u).ravel()


def against_pieces(values, nodes, w):
    """Integrate values at the quadrature points over every piece: (pieces * len(w), m) to (pieces, m).

    >>> nodes = np.array([0.0, 1.0, 3.0])
    >>> al.mesh.against_pieces(np.ones((2, 1)), nodes, np.array([1.0])).ravel().tolist()
    [1.0, 2.0]
    """
    return np.einsum("pqm,p,q->pm", values.reshape(len(nodes) - 1, len(w), -1), np.diff(nodes), w)


def against_triangles(values, nodes, u, w):
    """The same against the triangle of every node but the last, where no current flows: to (n, m).

    >>> nodes = np.array([0.0, 1.0, 3.0])
    >>> al.mesh.against_triangles(np.ones((4, 1)), nodes, *al.mesh.rule(2)).ravel().round(3).tolist()
    [0.5, 1.5]
    """
    rising = against_pieces(values, nodes, w * u)
    falling = against_pieces(values, nodes, w) - rising
    falling[1:] += rising[:-1]
    return falling


def against_slopes(by_piece, nodes):
    """From integrals over pieces (n, m) to integrals against the slope of every node's triangle (n, m).

    >>> nodes = np.array([0.0, 1.0, 3.0])
    >>> al.mesh.against_slopes(np.array([[1.0], [4.0]]), nodes).ravel().tolist()
    [-1.0, -1.0]
    """
    steep = by_piece / np.diff(nodes)[:, None]
    return -np.diff(steep, axis=0, prepend=0)


def cut(sections_m, radius_m):
    """Nodes along one leg: evenly spaced pieces, cut finer towards the feed, each trap and the end.

    sections_m: lengths of wire between feed, trap and end, metres. radius_m: of the wire, metres.
    Returns (nodes, coarse, at_traps): positions from the feed, metres, shape (n + 1,); indices of the ends of
    the coarse pieces among them; indices of the traps' nodes in coarse, shape (sections - 1,).
    For the engine, which hands over lengths that were checked: nothing is refused.
    The charge piles up at a gap or an end on the scale of centimetres; a real trap is no shorter than that,
    so the finest cut stops at about 2 cm.

    >>> nodes, coarse, at_traps = al.mesh.cut((5.0, 3.0), 0.001)
    >>> float(nodes[coarse][at_traps][0]), float(nodes[-1])
    (5.0, 8.0)
    """
    nodes, coarse = [np.zeros(1)], [0]
    pieces = _COARSE // len(sections_m)
    start = 0.0
    for length in sections_m:
        even = np.linspace(0, length, pieces + 1)
        first = max(_FIRST_M, 15 * radius_m)
        fine = int(np.clip(even[1] / (3 * radius_m), 1, _FINE))  # never cut shorter than it is thick
        growth = (1 + even[1] / first) ** (np.arange(1, fine) / fine)
        near = first * (growth - 1)
        inner = np.linspace(even[1], even[-2], _MIDDLE * (pieces - 2) + 1)
        nodes.append(start + np.r_[near, inner, (length - near)[::-1], length])
        marks = np.r_[fine + _MIDDLE * np.arange(pieces - 1), 2 * fine + _MIDDLE * (pieces - 2)]
        coarse.extend(coarse[-1] + marks)
        start += length
    return np.concatenate(nodes), np.array(coarse), pieces * np.arange(1, len(sections_m))


@dataclass(frozen=True, kw_only=True, eq=False)
class Mesh:
    """One of the two equal legs, hung and cut into pieces.

    nodes_m: positions from the feed, metres, shape (n + 1,). coarse: indices of the coarse pieces' ends.
    at_traps: indices in coarse of the traps' nodes. droop: sine of the angle by which the leg falls. top_m:
    height of the feed. radius_m: of the wire.

    >>> hung = al.mesh.mesh_of(al.FlatTop(height_m=9), (5.0, 3.0), 0.001)
    >>> hung.top_m, float(hung.nodes_m[-1]), float(hung.droop)
    (9.0, 8.0, 0.0)
    """

    nodes_m: np.ndarray
    coarse: np.ndarray
    at_traps: np.ndarray
    droop: float
    top_m: float
    radius_m: float

    @property
    def along(self):
        """Cosine of the angle by which the leg falls."""
        return np.sqrt(1 - self.droop**2)

    @cached_property
    def samples(self):
        """Points for what is smooth: positions (p,), triangle weights (p, n), slope weights (p, n)."""
        return self.sampled(self.nodes_m[self.coarse], _U2)

    def sampled(self, marks, u):
        """The same for points of your own: u, on 0 to 1, in each piece between two marks."""
        nodes = self.nodes_m
        where, length = points(nodes, _U2), np.diff(marks)
        piece = np.searchsorted(marks, where) - 1
        t = (where - marks[piece]) / length[piece]
        spread = np.zeros((len(where), len(length), len(u)))  # a polynomial through the samples of a piece
        for i, own in enumerate(u):
            others = np.delete(u, i)
            spread[np.arange(len(where)), piece, i] = np.prod([(t - v) / (own - v) for v in others], axis=0)
        spread = spread.reshape(len(where), -1)
        slope = against_slopes(against_pieces(spread, nodes, _W2), nodes)
        return points(marks, u), against_triangles(spread, nodes, _U2, _W2).T, slope.T

    def distance_m(self, where_m):
        """From the nearest part of the wire. where_m: x, y, z, shape (3, ...). Returns metres, that shape."""
        x, y, z = where_m
        x, down = np.abs(x), self.top_m - z  # the legs are mirror images
        s = np.clip(self.along * x + self.droop * down, 0, self.nodes_m[-1])
        return np.sqrt((x - self.along * s) ** 2 + y**2 + (down - self.droop * s) ** 2)

    @cached_property
    def bends(self):
        """How much steeper each triangle gets at each node, per metre, shape (n, n + 1)."""
        return -against_slopes(np.diff(np.eye(len(self.nodes_m)), axis=0), self.nodes_m)

    @cached_property
    def overlap(self):
        """<f, f> of the nodes' triangles: what an impedance per metre of wire is multiplied by."""
        length = np.diff(self.nodes_m)
        beside = length[:-1] / 6
        return np.diag((length + np.r_[0, length[:-1]]) / 3) + np.diag(beside, 1) + np.diag(beside, -1)

    @cached_property
    def slope_overlap(self):
        """<f', f'> of the nodes' triangles, per metre: what a potential of the charge beside it is."""
        steep = 1 / np.diff(self.nodes_m)
        beside = -steep[:-1]
        return np.diag(steep + np.r_[0, steep[:-1]]) + np.diag(beside, 1) + np.diag(beside, -1)


def mesh_of(shape, sections_m, radius_m):
    """One leg of the antenna, hung and cut.

    shape: FlatTop or InvertedVee. sections_m, radius_m: metres, as for cut. Returns a Mesh.
    Raises Slip where the legs cannot hang so.

    >>> hung = al.mesh.mesh_of(al.InvertedVee(apex_m=10, ends_m=4), (10.0,), 0.001)
    >>> round(float(hung.droop), 3)
    0.6
    """
    nodes, coarse, at_traps = cut(sections_m, radius_m)
    droop = shape.droop(float(nodes[-1]))
    return Mesh(
        nodes_m=nodes, coarse=coarse, at_traps=at_traps, droop=droop, top_m=shape.top_m, radius_m=radius_m
    )
