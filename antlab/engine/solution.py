"""What a solver found: the currents on a wire, with all that whoever reads them needs to know."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from antlab.engine.images import soil_images
from antlab.engine.mesh import Mesh
from antlab.physics.bands import Soil


@dataclass(frozen=True, kw_only=True, eq=False)
class Solution:
    """The currents on an antenna with two equal legs, at one frequency or many; those of the legs are equal.

    mesh: the Mesh of one leg. soil: the Soil under it. f_mhz: MHz, any shape. impedance: at the feed, complex
    ohms, shape of f_mhz. current: at every node of the leg, complex, per ampere at the feed, shape
    (*f_mhz.shape, n + 1). traps_ohm: impedance of each trap of the leg, counted from the feed, shape
    (traps, *f_mhz.shape). ohm_per_m: inner impedance of the wire, complex, shape of f_mhz.
    Made by a solver, such as moments.solve, of what was checked: nothing is refused. Pattern, losses and
    stress read it, and know no solver.

    >>> dipole = al.Dipole(inner_m=10.05, shape=al.FlatTop(height_m=9))
    >>> found = dipole.solution(7.1)
    >>> in_wire, in_traps = found.losses
    >>> round(float(found.impedance.real)), round(float(in_wire), 3)
    (74, 0.015)
    """

    mesh: Mesh
    soil: Soil
    f_mhz: np.ndarray
    impedance: np.ndarray
    current: np.ndarray
    traps_ohm: np.ndarray
    ohm_per_m: np.ndarray

    def one(self, number):
        """The Solution at one of several frequencies. number: which, of one dimension."""
        return Solution(
            mesh=self.mesh, soil=self.soil, f_mhz=self.f_mhz[number], impedance=self.impedance[number],
            current=self.current[number], traps_ohm=self.traps_ohm[:, number],
            ohm_per_m=self.ohm_per_m[number],
        )  # fmt: skip

    @cached_property
    def images(self):
        """The ground's images at each frequency in turn: a tuple of (depth_m, strength), as soil_images."""
        return tuple(soil_images(float(f), self.soil) for f in np.ravel(self.f_mhz))

    @cached_property
    def whole(self):
        """Both legs: positions from the left end to the right, the feed at 0, and the currents there."""
        nodes, half = self.mesh.nodes_m, self.current
        return np.r_[-nodes[:0:-1], nodes], np.concatenate([half[..., :0:-1], half], axis=-1)

    @cached_property
    def trap_currents(self):
        """Current through each trap of a leg, per ampere at the feed, shape (traps, *f_mhz.shape)."""
        return np.moveaxis(self.current[..., self.mesh.coarse[self.mesh.at_traps]], -1, 0)

    @cached_property
    def losses(self):
        """Shares of the power fed that warm wire and traps, each of f_mhz's shape.

        Source: I^2 R, along the wire and over the traps of both legs.
        """
        amps = self.current[..., :-1]
        squared = np.einsum("...i,ij,...j->...", amps.conj(), self.mesh.overlap, amps).real
        in_wire = 2 * self.ohm_per_m.real * squared
        in_traps = (2 * np.abs(self.trap_currents) ** 2 * self.traps_ohm.real).sum(axis=0)
        return in_wire / self.impedance.real, in_traps / self.impedance.real
