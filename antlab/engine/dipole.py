"""The two-band antenna: everything above, behind one object."""

from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import NamedTuple

import numpy as np

from antlab.engine import moments
from antlab.engine.fields import CHECKED_FROM_M, CHECKED_WAVES, fields
from antlab.engine.mesh import mesh_of
from antlab.engine.pattern import Pattern
from antlab.engine.shapes import FlatTop, InvertedVee
from antlab.physics import circuit
from antlab.physics.bands import FREE_SPACE, Soil
from antlab.physics.bands import soil as named_soil
from antlab.physics.trap import Trap
from antlab.physics.wires import Wire
from antlab.physics.wires import wire as named_wire
from antlab.units import (
    Slip,
    broadcasts,
    check_frequency,
    check_number,
    check_one,
    single,
    warn,
    warn_outside,
    wavelength_m,
)

CHECKED_MHZ = 1.6, 58.0  # over soil: 160 to 6 metres, and 6 % to either side
_LOWEST_M, _SLIMMEST = 1.0, 50
LONGEST_WAVES = 4.0  # that it cuts a wire for
_ROUGH = 1.15  # wide are the stretches of a rough answer


class PowerShares(NamedTuple):
    """Where the watts go: shares of the power fed that reach the sky, and that warm soil, wire and traps.

    >>> shares = al.dipole.PowerShares(sky=0.7, soil=0.25, wire=0.02, traps=0.03)
    >>> round(sum(shares), 3)
    1.0
    """

    sky: np.ndarray
    soil: np.ndarray
    wire: np.ndarray
    traps: np.ndarray


@lru_cache(maxsize=12)
def _fill(shape, sections, radius_m, soil, charge_log):
    """The last few, for the same wires with other traps."""
    return moments.Fill(mesh_of(shape, sections, radius_m), soil, charge_log)


@dataclass(frozen=True, kw_only=True, init=False)
class Dipole:
    """A centre-fed wire antenna, with traps in each leg or without.

    inner_m: feed to trap, one side, metres. outer_m: trap to end, one side, metres; without a trap it is
    simply added to inner_m. trap: a Trap, the same in both legs, or None. With more traps, instead: sections,
    lengths of the wire of one leg from the feed to the end, metres, and traps, the Trap between each two of
    them, None where the wire goes on. Beside these, inner_m, outer_m and trap take the place of the first
    section, the last one and the first trap.
    shape: FlatTop or InvertedVee; left out in free space it is 1 m up. soil: a Soil, or the name of one.
    wire: a Wire, the name of one, or that of a metal, bare, 2.0 mm thick or wire_diameter_mm, millimetres.
    "lossless" is for checks of the energy balance. It is kept as a Wire.

    Raises Slip for lengths, heights or diameters that are not positive, a trap without a wire beyond it,
    legs that cannot hang so, a Wire and another wire_diameter_mm. Warns when the wire is nearer than 1 m to
    the ground or thicker, jacket and all, than a fiftieth of a section, for which the engine has not been
    checked.
    Range of validity: round wire, bare or in a thin jacket, over flat, even ground, 1 m up or more, over soil
    1.6 to 58 MHz (it warns when asked outside), whole antenna up to four wavelengths; traps are points.
    Impedance within 2.5 % (with traps 3.5 %) and gain within 0.25 dB of the converged solution of that model.
    Source: moments, images, pattern, wires.

    >>> dipole = al.Dipole(inner_m=5.1, shape=al.FlatTop(height_m=10.5))
    >>> round(float(dipole.swr(14.1)), 1), round(dipole.pattern(14.1).takeoff_deg)
    (1.7, 28)
    """

    sections: tuple
    traps: tuple
    shape: FlatTop | InvertedVee
    soil: Soil
    wire: Wire

    def __init__(
        self, *, inner_m=..., outer_m=..., trap=..., sections=(), traps=(), shape=None, soil="average",
        wire_diameter_mm=..., wire="copper",
    ):  # fmt: skip
        soil, (sections, traps) = named_soil(soil), _leg(sections, traps, inner_m, outer_m, trap)
        if shape is None and soil == FREE_SPACE:
            shape = FlatTop(height_m=1.0)  # no ground, so any height will do
        kept = {
            "sections": sections, "traps": traps, "shape": shape, "soil": soil,
            "wire": named_wire(wire, wire_diameter_mm=wire_diameter_mm),
        }  # fmt: skip
        for name, value in kept.items():
            object.__setattr__(self, name, value)
        if not isinstance(shape, FlatTop | InvertedVee):
            raise Slip(
                "shape says how the wire hangs: FlatTop(height_m=9) or InvertedVee(apex_m=10, ends_m=4); "
                f"got {shape!r}"
            )
        self._warn()

    def _warn(self):
        self.shape.droop(self.length_m / 2)  # says so if the legs cannot hang so
        lowest, thick = self.shape.ends_m, self.wire.outer_mm
        if lowest <= thick / 2000 and self.soil != FREE_SPACE:
            raise Slip(f"at {lowest:g} m a wire {thick:g} mm thick lies on the ground")
        if lowest < _LOWEST_M and self.soil != FREE_SPACE:
            warn(
                f"the wire comes within {lowest:.2g} m of the ground; the engine is checked from "
                f"{_LOWEST_M:g} m up; lower, take the feed impedance as a rough guide, 10 % or worse"
            )
        shortest = min(self._joined[0])
        if thick / 1000 * _SLIMMEST > shortest:
            warn(
                f"{thick:g} mm is thick for wire {shortest:.2g} m long; the "
                f"engine is checked up to 1/{_SLIMMEST} of it; take the impedance as a rough guide"
            )

    @property
    def inner_m(self):
        """Wire from the feed to the first trap, or place of one, in one leg, metres."""
        return self.sections[0]

    @property
    def wire_diameter_mm(self):
        """Diameter of the wire's metal, millimetres."""
        return self.wire.diameter_mm

    @property
    def outer_m(self):
        """Wire from the last trap to the end of one leg, metres; 0 if the leg is one section."""
        return self.sections[-1] if self.traps else 0.0

    @property
    def trap(self):
        """The trap nearest to the feed, or None."""
        return self.traps[0] if self.traps else None

    @cached_property
    def _joined(self):
        """Sections and traps of a leg, where no trap is between two sections as one section."""
        sections, traps = [self.sections[0]], []
        for trap, section in zip(self.traps, self.sections[1:], strict=True):
            if trap is None:
                sections[-1] += section
            else:
                traps.append(trap)
                sections.append(section)
        return tuple(sections), tuple(traps)

    @cached_property
    def _fill(self):
        return _fill(
            self.shape, self._joined[0], self.wire_diameter_mm / 2000, self.soil, self.wire.charge_log
        )

    @property
    def length_m(self):
        """Wire from end to end, metres, the traps not counted."""
        return 2 * sum(self.sections)

    def solution(self, f_mhz, *, widest=moments.WIDEST_BAND):
        """The currents on the wire, for whatever is to be read from them.

        f_mhz: MHz, any shape. widest: as of moments.solve. Returns a Solution. Raises Slip for bad
        frequencies, and where the wire is too long for them. Source: moments.
        """
        f = check_frequency(f_mhz)
        if f.size and self.length_m > LONGEST_WAVES * wavelength_m(f.max()):
            raise Slip(
                f"at {f.max():g} MHz this wire is longer than {LONGEST_WAVES:g} wavelengths, more than "
                "the engine cuts it for; lower f_mhz or shorten the wire"
            )
        if not (self.soil.is_empty or self.soil.is_mirror):
            warn_outside("the engine over soil", "f_mhz", f, *CHECKED_MHZ, unit="MHz")
        traps = self._joined[1]
        traps_ohm = np.array([trap.impedance(f) for trap in traps], dtype=complex)
        traps_ohm = traps_ohm.reshape(len(traps), *f.shape)
        return moments.solve(self._fill, f, traps_ohm, np.asarray(self.wire.ohm_per_m(f)), widest)

    def impedance(self, f_mhz, *, rough=False):
        """Impedance at the feed.

        f_mhz: MHz, any shape. rough: in half the time, good enough to search by. Returns complex ohms, same
        shape. Raises Slip for bad frequencies.
        A sweep is interpolated from three frequencies in every 7 %, which adds up to 0.2 ohm; where a section
        is longer than 0.9 of a wave, as of 80 and 10 m on 10 m, up to 2.5 % of the impedance.
        Rough, it is three in every 15 %: 0.001 of the reflection, and there up to 0.01.
        """
        return self.solution(f_mhz, widest=_ROUGH if rough else moments.WIDEST_BAND).impedance[()]

    @broadcasts
    def swr(self, f_mhz, z0_ohm=50):
        """Standing-wave ratio at the feed.

        f_mhz: MHz. z0_ohm: impedance of the line, ohms. Any shapes that broadcast. Returns a ratio of 1 or
        more, that shape. Raises Slip for values that make no sense. Source: circuit.swr.
        """
        return circuit.swr(self.impedance(f_mhz), z0_ohm)

    def current(self, f_mhz):
        """Current along the wire.

        f_mhz: MHz, any shape. Returns (positions, current): positions along the wire from the left end to the
        right, the feed at 0, metres, shape (n,); complex current per ampere at the feed, shape
        (*f_mhz.shape, n). Raises Slip for bad frequencies.
        """
        return self.solution(f_mhz).whole

    def trap_current(self, f_mhz, *, trap=0):
        """Current through one of the traps, the same in both legs.

        f_mhz: MHz, any shape. trap: which of a leg's traps, counted from the feed: 0 is the first. Returns
        complex, per ampere at the feed, shape of f_mhz. Raises Slip without such a trap and for bad
        frequencies.
        """
        count = len(self._joined[1])
        if not count:
            raise Slip("this antenna has no trap")
        if trap not in range(count):
            raise Slip(f"trap counts the traps of a leg from the feed, 0 to {count - 1} here; got {trap!r}")
        return self.solution(f_mhz).trap_currents[trap][()]

    def losses(self, f_mhz):
        """Share of the power fed that warms the wire, and that warms the traps.

        f_mhz: MHz, any shape. Returns (wire, traps), no unit, 0 to 1, each of that shape. What warms the soil
        is not in it: see Pattern.sky_fraction. Raises Slip for bad frequencies.
        Source: I^2 R, Solution.losses.
        """
        wire, traps = self.solution(f_mhz).losses
        return wire[()], traps[()]

    def power_shares(self, f_mhz):
        """Where the watts go: shares of the power fed that reach the sky, and warm soil, wire and traps.

        f_mhz: MHz, any shape. Returns PowerShares, a named tuple (sky, soil, wire, traps), no unit, each of
        that shape. Over soil they are 1 together, since what neither leaves nor warms wire and traps warms
        the soil; in free space and over perfect ground soil is 0, and their sum is 1 within 0.5 %.
        Raises Slip for bad frequencies. Valid as Dipole is. Source: Pattern.sky_fraction, Solution.losses.

        >>> shares = al.Dipole(inner_m=10.05, shape=al.FlatTop(height_m=9)).power_shares(7.1)
        >>> round(float(shares.soil), 2), round(float(sum(shares)), 3)
        (0.26, 1.0)
        """
        f = check_frequency(f_mhz)
        found = [shares_of(self.solution(one)) for one in f.ravel()]
        return PowerShares(*np.reshape(found, (-1, 4)).T.reshape(4, *f.shape))

    @broadcasts
    def fields(self, f_mhz, *, x_m, y_m, z_m, power_w=1.0):
        """Electric and magnetic field at points near the wire.

        f_mhz: MHz, one number. x_m: along the wire, from below the feed, y_m: across, z_m: up from the
        ground, metres; in free space, too, the wire hangs as high as its shape says. Any shapes that
        broadcast. power_w: fed to the antenna, watts, one number. Returns (E, H), V/m and A/m, complex, rms,
        each of shape (3, *broadcast): their parts along x, y and z.
        Raises Slip below the ground, in the wire, and for what makes no sense.
        Range of validity: 5 cm from the wire or more (it warns nearer), 30 cm from a trap, since traps are
        points here; there within 2 % of the converged solution where the field is strong. Over soil up to two
        wavelengths from the wire (it warns beyond): there the images err by 1 % of the direct wave, and
        farther, low over the horizon, by many times what is left; Pattern holds far away.
        Source: fields.fields.

        >>> e, h = al.Dipole(inner_m=10.05, shape=al.FlatTop(height_m=9)).fields(
        ...     7.1, x_m=0, y_m=[0, 5], z_m=1.8, power_w=100
        ... )
        >>> e.shape, np.linalg.norm(h, axis=0).round(3).tolist()
        ((3, 2), [0.035, 0.027])
        """
        f = single("f_mhz", check_frequency(f_mhz))
        power = check_one("power_w", power_w, zero_ok=True, unit="watts")
        given = {"x_m": x_m, "y_m": y_m, "z_m": z_m}
        at = np.stack(np.broadcast_arrays(*(check_number(*one, unit="metres") for one in given.items())))
        where, solution = at.reshape(3, -1), self.solution(f)
        self._check_points(where, solution, f)
        volts = np.sqrt(power / solution.impedance.real)  # per ampere at the feed, to rms at this power
        return tuple(volts * part.reshape(at.shape) for part in fields(solution, where))

    def _check_points(self, where, solution, f_mhz):
        if not self.soil.is_empty and np.any(where[2] < 0):
            raise Slip(f"z_m counts up from the ground, 0 or more; got {where[2].min():g}")
        away = solution.mesh.distance_m(where)
        if np.any(away <= solution.mesh.radius_m):
            raise Slip("a point lies on the wire or in it; give points beside it")
        if np.any(away < CHECKED_FROM_M):
            warn(
                f"the field is checked from {CHECKED_FROM_M:g} m off the wire, and a point is "
                f"{away.min():.2g} m from it: take it as a rough guide"
            )
        if not (self.soil.is_empty or self.soil.is_mirror):
            waves = away / wavelength_m(f_mhz)
            if np.any(waves > CHECKED_WAVES):
                warn(
                    f"the field over soil is checked up to {CHECKED_WAVES:g} wavelengths from the wire, and "
                    f"a point is {waves.max():.1f} away: low over the ground it may be far off; far away "
                    "pattern() holds"
                )

    def pattern(self, f_mhz):
        """Far field at one frequency.

        f_mhz: MHz, one number. Returns a Pattern. Raises Slip for bad frequencies.
        """
        f = check_frequency(f_mhz)
        if f.ndim:
            raise Slip(f"a pattern belongs to one frequency; got {f.size} of them, so ask one by one")
        return Pattern(self.solution(f))


def shares_of(solution):
    """Where the watts go, of a Solution at one frequency: PowerShares, as Dipole.power_shares.

    >>> dipole = al.Dipole(inner_m=10.05, shape=al.FlatTop(height_m=9))
    >>> found = al.dipole.shares_of(dipole.solution(7.1))
    >>> round(float(found.soil), 2)
    0.26
    """
    sky, (wire, traps) = Pattern(solution).sky_fraction, solution.losses
    dry = solution.soil.is_empty or solution.soil.is_mirror
    return PowerShares(sky, 0.0 if dry else max(1 - sky - wire - traps, 0.0), wire, traps)


def _leg(sections, traps, inner_m, outer_m, trap):
    """Sections and traps of one leg, checked; those given by a name of their own go before."""
    sections, traps = _several("sections", sections), _several("traps", traps)
    if inner_m is not ...:
        sections[:1] = [inner_m]
    if not sections:
        raise Slip("how long is the wire? Give inner_m, or sections from the feed to the end, in metres")
    if outer_m is not ...:
        outer_m = check_one("outer_m", outer_m, zero_ok=True, unit="metres")
        sections[max(1, len(sections) - 1) :] = [outer_m] if outer_m else []
    if trap is not ...:
        traps[:1] = [trap]
    names = ("inner_m", "outer_m") if len(sections) < 3 else ("sections",) * len(sections)
    sections = tuple(check_one(name, one, unit="metres") for name, one in zip(names, sections, strict=False))
    return sections, _between(sections, traps)


def _several(name, things):
    """A list of what is a sequence even if there is only one."""
    try:
        return list(things)
    except TypeError:
        raise Slip(f"{name} go in brackets, {name}=(one, another), even if it is but one; got {things!r}"
                   ) from None  # fmt: skip


def _between(sections, traps):
    """The traps, one between each two sections; None where there is none."""
    if wrong := [trap for trap in traps if not isinstance(trap, Trap | None)]:
        raise Slip(f"trap is a Trap(inductance_uh=, capacitance_pf=) or None; got {wrong[0]!r}")
    if not any(traps):
        return (None,) * (len(sections) - 1)
    if len(traps) >= len(sections):
        raise Slip(
            "a trap with outer_m=0 hangs at the very end, where no current flows and it does nothing; "
            "give the wire beyond it a length, or leave the trap out"
        )
    if len(traps) < len(sections) - 1:
        raise Slip(
            f"between {len(sections)} sections there are {len(sections) - 1} traps, None where the wire goes "
            f"on; got {len(traps)}"
        )
    return tuple(traps)
