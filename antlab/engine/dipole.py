"""The two-band antenna: everything above, behind one object."""

import warnings
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from antlab.engine import moments
from antlab.engine.mesh import mesh_of
from antlab.engine.pattern import Pattern
from antlab.engine.shapes import FlatTop, InvertedVee
from antlab.physics import circuit
from antlab.physics.bands import FREE_SPACE, Soil
from antlab.physics.bands import soil as named_soil
from antlab.physics.coil import wire_resistance_ohm_per_m
from antlab.physics.trap import Trap
from antlab.units import Slip, broadcasts, check_frequency, check_positive, wavelength_m

_LOWEST_M, _SLIMMEST, _LONGEST_WAVES = 1.0, 50, 4.0
WIRES = ("copper", "lossless")


@dataclass(frozen=True, kw_only=True)
class Dipole:
    """A centre-fed wire antenna, with a trap in each leg or without.

    inner_m: feed to trap, one side, metres. outer_m: trap to end, one side, metres; without a trap it is
    simply added to inner_m. trap: a Trap, the same in both legs, or None. shape: FlatTop or InvertedVee; in
    free space it may be left out. soil: a Soil, or the name of one. wire_diameter_mm: millimetres. wire:
    "copper", or "lossless" for checks of the energy balance.

    Raises ValueError for lengths, heights or diameters that are not positive, a trap without an outer wire,
    legs that cannot hang so. Warns when the wire is nearer than 1 m to the ground or thicker than a fiftieth
    of a section, for which the engine has not been checked.
    Range of validity: bare round wire over flat, even ground, 1 m up or more, whole antenna up to four
    wavelengths; traps are points; the field inside the wire is left out, which lowers a resonance by a
    thousandth or two. Impedance within 2.5 % (with traps 3.5 %) and gain within 0.25 dB of the
    converged solution of that model. Source: moments, ground, pattern.
    """

    inner_m: float
    outer_m: float = 0.0
    trap: Trap | None = None
    shape: FlatTop | InvertedVee | None = None
    soil: Soil | str = "average"
    wire_diameter_mm: float = 2.0
    wire: str = "copper"

    def __post_init__(self):
        set_ = object.__setattr__
        set_(self, "soil", named_soil(self.soil))
        for name, zero_ok, unit in (
            ("inner_m", False, "metres"),
            ("outer_m", True, "metres"),
            ("wire_diameter_mm", False, "millimetres"),
        ):
            value = check_positive(name, getattr(self, name), zero_ok=zero_ok, unit=unit)
            if value.ndim:
                raise Slip(f"{name} of one antenna is one number; got {value.size} of them")
            set_(self, name, float(value))
        if self.wire not in WIRES:
            raise Slip(f"wire is {' or '.join(map(repr, WIRES))}; got {self.wire!r}")
        if self.trap is not None and not isinstance(self.trap, Trap):
            raise Slip(f"trap is a Trap(inductance_uh=, capacitance_pf=) or None; got {self.trap!r}")
        if self.trap is not None and self.outer_m == 0:
            raise Slip(
                "a trap with outer_m=0 hangs at the very end, where no current flows and it does nothing; "
                "give the wire beyond it a length, or leave the trap out"
            )
        if self.shape is None and self.soil == FREE_SPACE:
            set_(self, "shape", FlatTop(height_m=1.0))  # no ground, so any height will do
        if not isinstance(self.shape, FlatTop | InvertedVee):
            raise Slip(
                "shape says how the wire hangs: FlatTop(height_m=9) or InvertedVee(apex_m=10, ends_m=4); "
                f"got {self.shape!r}"
            )
        self._warn()

    def _warn(self):
        self.shape.droop(self.length_m / 2)  # says so if the legs cannot hang so
        lowest, radius = self.shape.ends_m, self.wire_diameter_mm / 2000
        if lowest <= radius and self.soil != FREE_SPACE:
            raise Slip(f"at {lowest:g} m a wire {self.wire_diameter_mm:g} mm thick lies on the ground")
        if lowest < _LOWEST_M and self.soil != FREE_SPACE:
            warnings.warn(
                f"the wire comes within {lowest:.2g} m of the ground; the engine is checked from "
                f"{_LOWEST_M:g} m up; lower, take the feed impedance as a rough guide, 10 % or worse",
                stacklevel=4,
            )
        if radius * 2 * _SLIMMEST > min(self._sections):
            warnings.warn(
                f"{self.wire_diameter_mm:g} mm is thick for wire {min(self._sections):.2g} m long; the "
                f"engine is checked up to 1/{_SLIMMEST} of it; take the impedance as a rough guide",
                stacklevel=4,
            )

    @property
    def _sections(self):
        return (self.inner_m + self.outer_m,) if self.trap is None else (self.inner_m, self.outer_m)

    @property
    def _traps(self):
        return () if self.trap is None else (self.trap,)

    @cached_property
    def _fill(self):
        return moments.Fill(mesh_of(self.shape, self._sections, self.wire_diameter_mm / 2000), self.soil)

    @property
    def length_m(self):
        """Wire from end to end, metres, the traps not counted."""
        return 2 * (self.inner_m + self.outer_m)

    def solution(self, f_mhz):
        """The currents on the wire, for whatever is to be read from them.

        f_mhz: MHz, any shape. Returns a Solution. Raises Slip for bad frequencies, and where the wire is too
        long for them. Source: moments.
        """
        f = check_frequency(f_mhz)
        if f.size and self.length_m > _LONGEST_WAVES * wavelength_m(f.max()):
            raise Slip(
                f"at {f.max():g} MHz this wire is longer than {_LONGEST_WAVES:g} wavelengths, more than "
                "the engine cuts it for; lower f_mhz or shorten the wire"
            )
        traps_ohm = np.array([trap.impedance(f) for trap in self._traps], dtype=complex)
        traps_ohm = traps_ohm.reshape(len(self._traps), *f.shape)
        return moments.solve(self._fill, f, traps_ohm, self._wire_ohm_per_m(f))

    def impedance(self, f_mhz):
        """Impedance at the feed.

        f_mhz: MHz, any shape. Returns complex ohms, same shape. Raises ValueError for bad frequencies.
        A sweep is interpolated from three frequencies in every 7 %, which adds less than 0.1 ohm.
        """
        return self.solution(f_mhz).impedance[()]

    @broadcasts
    def swr(self, f_mhz, z0_ohm=50):
        """Standing-wave ratio at the feed.

        f_mhz: MHz. z0_ohm: impedance of the line, ohms. Any shapes that broadcast. Returns a ratio of 1 or
        more, that shape. Raises ValueError for values that make no sense. Source: circuit.swr.
        """
        return circuit.swr(self.impedance(f_mhz), z0_ohm)

    def current(self, f_mhz):
        """Current along the wire.

        f_mhz: MHz, any shape. Returns (positions, current): positions along the wire from the left end to the
        right, the feed at 0, metres, shape (n,); complex current per ampere at the feed, shape
        (*f_mhz.shape, n). Raises ValueError for bad frequencies.
        """
        return self.solution(f_mhz).whole

    def trap_current(self, f_mhz):
        """Current through each trap.

        f_mhz: MHz, any shape. Returns complex, per ampere at the feed, same shape. Raises ValueError without
        a trap and for bad frequencies.
        """
        if self.trap is None:
            raise Slip("this antenna has no trap")
        return self.solution(f_mhz).trap_currents[0][()]

    def losses(self, f_mhz):
        """Share of the power fed that warms the wire, and that warms the traps.

        f_mhz: MHz, any shape. Returns (wire, traps), no unit, 0 to 1, each of that shape. What warms the soil
        is not in it: see Pattern.sky_fraction. Raises ValueError for bad frequencies.
        Source: I^2 R, Solution.losses.
        """
        wire, traps = self.solution(f_mhz).losses
        return wire[()], traps[()]

    def _wire_ohm_per_m(self, f_mhz):
        if self.wire == "lossless":
            return np.zeros_like(f_mhz)
        return wire_resistance_ohm_per_m(f_mhz=f_mhz, wire_diameter_mm=self.wire_diameter_mm)

    def pattern(self, f_mhz):
        """Far field at one frequency.

        f_mhz: MHz, one number. Returns a Pattern. Raises ValueError for bad frequencies.
        """
        f = check_frequency(f_mhz)
        if f.ndim:
            raise Slip(f"a pattern belongs to one frequency; got {f.size} of them, so ask one by one")
        return Pattern(self.solution(f))
