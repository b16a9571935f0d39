"""Wire as it is bought: its metal and the field inside, its jacket, through which the charge is seen."""

import re
from dataclasses import dataclass, field

import numpy as np

from antlab import facts
from antlab.physics.coil import METALS, inner_impedance_ratio, skin_depth_mm
from antlab.units import MU0_H_M, Slip, check_frequency, check_one, quoted, warn

LOSSLESS, USUAL_MM = "lossless", 2.0
METAL_NAMES = (*METALS, LOSSLESS)
THICKEST = 4.0  # diameter over the jacket against that of the metal, up to which the engine was checked
_ABSURD, _DENSEST = 20.0, 10.0  # the same ratio, and a permittivity, that no wire has
_FEWEST_DEPTHS = 2.0  # of skin in a cladding


@dataclass(frozen=True, kw_only=True)
class Wire:
    """A wire by its data.

    diameter_mm: of the metal, millimetres, strands and all. metal: one of METAL_NAMES; "lossless" is for
    checks of the energy balance. jacket_mm: thickness of the insulation, millimetres, from the metal to its
    outside: half of what it adds to the diameter; 0 for bare wire. jacket_permittivity: relative, no unit, 1
    to 10: about 2.3 for polyethylene, 3 to 4 for PVC (common practice). name: as it is sold, or nothing;
    wires of other names and the same data are equal.
    Raises Slip for values outside that. Warns of a jacket four times as wide as the metal and more, for which
    the engine was not checked.
    Range of validity: round, solid wire, and a jacket thin against the wavelength; strands count as solid.
    What warms the jacket is left out.

    >>> house = al.Wire(diameter_mm=2.0, jacket_mm=0.8, jacket_permittivity=3.5)
    >>> house.outer_mm, round(house.charge_log, 2)
    (3.6, 0.42)
    """

    diameter_mm: float = USUAL_MM
    metal: str = "copper"
    jacket_mm: float = 0.0
    jacket_permittivity: float = 1.0
    name: str = field(default="", compare=False)

    def __post_init__(self):
        for name, zero_ok, unit in (
            ("diameter_mm", False, "millimetres"), ("jacket_mm", True, "millimetres"),
            ("jacket_permittivity", False, ""),
        ):  # fmt: skip
            value = check_one(name, getattr(self, name), zero_ok=zero_ok, unit=unit)
            object.__setattr__(self, name, value)
        if self.metal not in METAL_NAMES:
            raise Slip(f"metal is one of {', '.join(METAL_NAMES)}; got {quoted(self.metal)}")
        if not 1 <= self.jacket_permittivity <= _DENSEST:
            raise Slip(
                "jacket_permittivity is relative to empty space: 1 for none, 2.3 for polyethylene, 3 to 4 "
                f"for PVC, {_DENSEST:g} at the most; got {self.jacket_permittivity:g}"
            )
        wide = self.outer_mm / self.diameter_mm
        if wide > _ABSURD:
            raise Slip(
                f"jacket_mm is the thickness of the jacket in millimetres; {self.jacket_mm:g} mm around a "
                f"wire of {self.diameter_mm:g} mm is no wire that is sold"
            )
        if wide > THICKEST and self.jacket_permittivity > 1:
            warn(
                f"a jacket {wide:.1f} times as wide as the metal is thick: the engine is checked up to "
                f"{THICKEST:g}; take its effect as a rough guide"
            )

    @property
    def outer_mm(self):
        """Diameter over the jacket, millimetres; of bare wire that of the metal."""
        return self.diameter_mm + 2 * self.jacket_mm

    @property
    def charge_log(self):
        """What the jacket takes off ln(distance/radius) in the potential of the wire's own charge, no unit.

        (1 − 1/ε)·ln(b/a), a the radius of the metal and b that of the jacket: Gauss's law, with the charge
        on the metal and ε between. The current does not see it. The quasi-static, thin limit of
        J. H. Richmond and E. H. Newman, Radio Science 11 (1976) 13 (from memory).
        """
        return float((1 - 1 / self.jacket_permittivity) * np.log(self.outer_mm / self.diameter_mm))

    @property
    def called(self):
        """The wire in words: its name or its data, with a jacket both."""
        data = f"{self.diameter_mm:g} mm {self.metal}"
        if not self.charge_log:
            return self.name or data
        data += f" in a jacket of {self.jacket_mm:g} mm"
        return f"{self.name} ({data})" if self.name else data

    def ohm_per_m(self, f_mhz):
        """Impedance that a metre of it adds by the field inside the metal: resistance and inner reactance.

        f_mhz: MHz, any shape. Returns complex ohms per metre, same shape. Raises Slip for bad frequencies.
        Exact for a solid round wire. Of a clad one, as of solid cladding times what a flat layer over a flat
        core does; warns where the cladding is thinner than two skin depths.
        Source: coil.inner_impedance_ratio; the layer as a line that ends in the core's surface.

        >>> complex(np.round(al.Wire(diameter_mm=2.0).ohm_per_m(14.2), 3))
        (0.158+0.156j)
        """
        f = check_frequency(f_mhz)
        if self.metal == LOSSLESS:
            return np.zeros_like(f, dtype=complex)[()]
        metal, radius_mm = METALS[self.metal], self.diameter_mm / 2
        omega_mu = 2e6 * np.pi * f * MU0_H_M * metal.permeability
        direct = 1e6 / (np.pi * radius_mm**2 * metal.conductivity_s_m)
        x = radius_mm / 1e3 * np.sqrt(omega_mu * metal.conductivity_s_m)
        return direct * inner_impedance_ratio(x) * (self._core_ratio(metal, f) if metal.core else 1)

    def _core_ratio(self, metal, f):
        core, cladding_mm = METALS[metal.core], metal.cladding_part * self.diameter_mm
        depths = cladding_mm / skin_depth_mm(f_mhz=f, conductivity_s_m=metal.conductivity_s_m)
        if np.any(depths < _FEWEST_DEPTHS):
            warn(
                f"the cladding of {self.called}, some {cladding_mm:.2g} mm, is only "
                f"{np.min(depths):.1f} skin depths thick at {np.min(f):g} MHz: the core takes part, and the "
                "wire loses more the thinner it is; take that as a rough guide"
            )
        step = np.sqrt(
            core.permeability * metal.conductivity_s_m / (metal.permeability * core.conductivity_s_m)
        )
        through = np.tanh((1 + 1j) * depths)
        return (step + through) / (1 + step * through)


_ROWS = facts.read(
    "physics/wires.csv", text="name metal", numbers="diameter_mm jacket_mm jacket_permittivity",
    places="planner",
)  # fmt: skip
_DATA = ("name", "diameter_mm", "metal", "jacket_mm", "jacket_permittivity")
WIRES = {row.name: Wire(**{name: getattr(row, name) for name in _DATA}) for row in _ROWS}
IN_PLANNER = facts.listed(_ROWS, "planner")


def wire(name="copper", *, wire_diameter_mm=...):
    """The wire of that name.

    name: of an ordinary wire, a key of WIRES, or of a metal, one of METAL_NAMES, for bare wire of it; a Wire
    comes back as it is. wire_diameter_mm: of the metal, millimetres; for a metal's name 2.0 when left out.
    Returns a Wire. Raises Slip for any other name, and for a wire that has another diameter.
    Source: wires.csv and metals.csv, each row of which names its own.

    >>> al.wires.wire("pvc 2.5 mm2").outer_mm, al.wires.wire("steel").diameter_mm
    (3.6, 2.0)
    """
    found = name if isinstance(name, Wire) else _KNOWN.get(_plain(str(name)))
    if found is None:
        raise Slip(
            f"{quoted(name)} is no wire I know; choose one of {'; '.join(WIRES)}; or a metal: "
            f"{', '.join(METAL_NAMES)}; or give your own, Wire(diameter_mm=, metal=, jacket_mm=, …)"
        )
    if wire_diameter_mm is ...:
        return found if isinstance(found, Wire) else Wire(metal=found)
    diameter = check_one("wire_diameter_mm", wire_diameter_mm, unit="millimetres")
    if not isinstance(found, Wire):
        return Wire(metal=found, diameter_mm=diameter)
    if abs(diameter / found.diameter_mm - 1) > 1e-9:
        raise Slip(
            f"the wire, {found.called}, is {found.diameter_mm:g} mm thick and wire_diameter_mm says "
            f"{diameter:g}: leave wire_diameter_mm out, or change diameter_mm of the wire"
        )
    return found


def _plain(name):
    name = name.lower().replace("²", "2").replace("aluminum", "aluminium")
    return re.sub(r"[^a-z0-9.]", "", name)


_KNOWN = {_plain(name): found for name, found in (*WIRES.items(), *((one, one) for one in METAL_NAMES))}
