"""Coaxial cable: its data, what a length of it loses, and what it does to an impedance on the way."""

import re
from dataclasses import dataclass, fields
from functools import lru_cache

import numpy as np

from antlab import facts
from antlab.physics.circuit import (
    impedance_of_reflection,
    reflection_coefficient,
    reflection_of_swr,
    swr_of_reflection,
)
from antlab.units import (
    C_M_S,
    Slip,
    broadcasts,
    check_frequency,
    check_one,
    check_positive,
    warn,
    warn_outside,
    wavelength_m,
)

KNOWN_MHZ = 1.0, 450.0  # what the data sheets cover
_DB_PER_NEPER = 20 / np.log(10)


@dataclass(frozen=True, kw_only=True)
class Cable:
    """A cable by its data.

    name. z0_ohm: characteristic impedance. velocity_factor: 0 to 1. Loss in dB per 100 m, f in MHz, is
    loss_k0_db + loss_k1_db·√f + loss_k2_db·f: k1 for the conductors, k2 for the insulation, and k0 where thin
    or plated conductors keep a loss at low frequency. outer_mm: over the jacket. braid_mm: over the braid.
    max_volts_rms: working voltage between centre and braid. insulation: between them, in words, "foamed …"
    if it is foam. warmest_c: what the insulation stands, degrees Celsius. source: where the numbers are from,
    each with its mark of facts.MARKS.
    Raises Slip for numbers that make no sense.

    >>> line = al.cable.cable("RG-58")
    >>> line.z0_ohm, line.velocity_factor
    (50.0, 0.66)
    """

    name: str
    z0_ohm: float
    velocity_factor: float
    loss_k1_db: float
    loss_k2_db: float = 0.0
    outer_mm: float
    braid_mm: float
    max_volts_rms: float
    loss_k0_db: float = 0.0
    insulation: str = "polyethylene"
    warmest_c: float = 80.0
    source: str = "the user's own data"

    def __post_init__(self):
        for name in ("z0_ohm", "velocity_factor", "outer_mm", "braid_mm", "max_volts_rms", "warmest_c"):
            check_one(name, getattr(self, name))
        for name in ("loss_k0_db", "loss_k1_db", "loss_k2_db"):
            check_one(name, getattr(self, name), zero_ok=True)
        if self.velocity_factor > 1:
            raise Slip(f"velocity_factor is a part of 1, like 0.66; got {self.velocity_factor:g}")
        if self.braid_mm > self.outer_mm:
            raise Slip("braid_mm cannot exceed outer_mm: the jacket is over the braid")

    @property
    def capacitance_pf_per_m(self):
        """Capacitance between centre and braid, pF/m. Source: 1/(c·Z0·VF), exact for a line without loss."""
        return 1e12 / (C_M_S * self.z0_ohm * self.velocity_factor)

    @property
    def inductance_uh_per_m(self):
        """Inductance of the field inside the braid, µH/m. Source: Z0/(c·VF), as above."""
        return 1e6 * self.z0_ohm / (C_M_S * self.velocity_factor)

    @property
    def is_foam(self):
        """Whether the insulation is foam, which is softer than the same solid."""
        return self.insulation.startswith("foam")

    @property
    def called(self):
        """The cable in a sentence: a type number as it is, a name that describes in brackets."""
        return self.name if self.name.startswith("RG-") else f"cable ({self.name})"


_WORDS = "name", "insulation", "source"
_DATA = " ".join(one.name for one in fields(Cable) if one.name not in _WORDS)
_ORIGINS = "loss_source loss_mark loss_date volts_source volts_mark volts_date"
_ROWS = facts.read(
    "physics/cables.csv",
    text=f"name insulation loss_within_percent {_ORIGINS}",
    numbers=_DATA,
    places="planner coax_trap homework",
)


def _source(row):
    """Where a row's numbers are from, each with its mark."""
    within = f", to {row.loss_within_percent} %" if row.loss_within_percent else ""
    return (
        f"loss: {row.loss_source}{within} ({row.loss_mark}); voltage: {row.volts_source} ({row.volts_mark}); "
        f"impedance, velocity factor, diameters and insulation: {row.source} ({row.mark})"
    )


CABLES = {
    row.name: Cable(
        name=row.name,
        insulation=row.insulation,
        source=_source(row),
        **{name: getattr(row, name) for name in _DATA.split()},
    )
    for row in _ROWS
}
IN_PLANNER, IN_COAX_TRAP, IN_HOMEWORK = (
    facts.listed(_ROWS, column) for column in ("planner", "coax_trap", "homework")
)


def cable(name):
    """Look up a cable by its name.

    name: like "RG-58" or "rg58", or "10 mm low loss" for one without a type number; a Cable comes back as it
    is. Returns a Cable. Raises Slip for a name that is not in CABLES, and lists those that are.
    Source: cables.csv, as each Cable's source says; real cable varies by a few percent.

    >>> al.cable.cable("rg58").name
    'RG-58'
    """
    return _line(name)


@broadcasts
def loss_db(*, cable, length_m, f_mhz):
    """Loss of a length of cable into a matched load.

    cable: a name or a Cable. length_m: metres, zero or more. f_mhz: MHz. Any shapes that broadcast.
    Returns dB. Raises Slip for values that make no sense. Valid from 1 to 450 MHz, within the percent
    that the cable's source names; warns outside. Old and wet cable loses more.
    Source: k0 + k1·√f + k2·f, conductors and insulation; as data sheets have it (from memory).

    >>> round(float(al.cable.loss_db(cable="RG-58", length_m=30, f_mhz=14.2)), 1)
    1.7
    """
    line, f = _line(cable), check_frequency(f_mhz)
    length = check_positive("length_m", length_m, zero_ok=True, unit="metres")
    warn_outside("the loss of a cable by its data", "f_mhz", f, *KNOWN_MHZ, unit="MHz")
    return length / 100 * (line.loss_k0_db + line.loss_k1_db * np.sqrt(f) + line.loss_k2_db * f)


@broadcasts
def line_impedance(impedance, *, cable, length_m, f_mhz):
    """Impedance that a line shows at its near end when a load is at its far end.

    impedance: of the load, complex ohms. cable: a name or a Cable. length_m: metres. f_mhz: MHz. Any shapes
    that broadcast. Returns complex ohms. Raises Slip for values that make no sense.
    The line's own impedance is taken as real; warns where loss makes that worse than a tenth.
    Source: Z0·(1 + G)/(1 − G), G the load's reflection turned and weakened by exp(−2γ·length): Reference Data
    for Radio Engineers, "Transmission lines" (from memory).

    >>> z = al.cable.line_impedance(100, cable="RG-58", length_m=3.5, f_mhz=14.2)
    >>> round(float(z.real)), round(float(z.imag))
    (26, 0)
    """
    line = _line(cable)
    there_and_back = np.exp(-2 * _propagation(line, length_m, f_mhz))
    reflection = reflection_coefficient(impedance, line.z0_ohm) * there_and_back
    return impedance_of_reflection(reflection, line.z0_ohm)


@broadcasts
def impedance_at_antenna(impedance, *, cable, length_m, f_mhz):
    """Impedance at the far end of a line, from a measurement at the near end.

    impedance: measured in the shack, complex ohms. cable: a name or a Cable. length_m: metres. f_mhz: MHz.
    Any shapes that broadcast. Returns complex ohms, NaN with a warning where no passive antenna could give
    that measurement through this cable. Raises Slip when that is so everywhere.
    The more the line loses, the more an error of the measurement grows: by the loss there and back.
    Source: line_impedance turned round.

    >>> z = al.cable.impedance_at_antenna(26, cable="RG-58", length_m=3.5, f_mhz=14.2)
    >>> round(float(z.real)), round(float(z.imag))
    (99, 1)
    """
    line = _line(cable)
    there_and_back = np.exp(2 * _propagation(line, length_m, f_mhz))
    reflection = reflection_coefficient(impedance, line.z0_ohm) * there_and_back
    size = np.abs(reflection)
    if np.any(size > 1 + 1e-9):
        trouble = (
            "the antenna would reflect more than it gets: the line is shorter or loses less than told, "
            "or the measurement is not calibrated"
        )
        if np.all(size > 1 + 1e-9):
            raise Slip(trouble)
        warn(f"at {np.count_nonzero(size > 1 + 1e-9)} of {size.size} points {trouble}")
        reflection = np.where(size > 1 + 1e-9, np.nan, reflection)
    return impedance_of_reflection(reflection, line.z0_ohm)


@broadcasts
def total_loss_db(impedance, *, cable, length_m, f_mhz):
    """Loss between the shack and a load that does not match the line: matched loss and what the SWR adds.

    impedance: of the load, complex ohms. cable: a name or a Cable. length_m: metres. f_mhz: MHz. Any shapes
    that broadcast. Returns dB; infinity for a load that takes no power. The mismatch's part is this less
    loss_db. Raises Slip for values that make no sense.
    Source: 10·log10((a² − |G|²)/(a·(1 − |G|²))), a = 10^(matched loss/10): ARRL Antenna Book, "Transmission
    lines" (from memory); exact for a line whose own impedance is real.

    >>> round(float(al.cable.total_loss_db(250, cable="RG-58", length_m=30, f_mhz=14.2)), 1)
    3.2
    """
    line = _line(cable)
    a = 10 ** (loss_db(cable=line, length_m=length_m, f_mhz=f_mhz) / 10)
    g2 = np.abs(reflection_coefficient(impedance, line.z0_ohm)) ** 2
    with np.errstate(divide="ignore", invalid="ignore"):
        loss = 10 * np.log10((a**2 - g2) / (a * (1 - g2)))
    return np.where(g2 > 1 - 1e-12, np.inf, loss)[()]


@broadcasts
def swr_along_line(impedance, *, cable, distance_m, f_mhz):
    """Standing-wave ratio on the line at a distance from the load: 0 is the antenna, the length is the shack.

    impedance: of the load, complex ohms. cable: a name or a Cable. distance_m: metres from the load.
    f_mhz: MHz. Any shapes that broadcast. Returns 1 or more, on the cable's own impedance.
    Raises Slip for values that make no sense. Loss shows the shack a better SWR than the antenna has.
    Source: |G| falls by the loss there and back; Reference Data for Radio Engineers (from memory).

    >>> round(float(al.cable.swr_along_line(150, cable="RG-58", distance_m=30, f_mhz=14.2)), 1)
    2.0
    """
    line = _line(cable)
    weakened = 10 ** (-loss_db(cable=line, length_m=distance_m, f_mhz=f_mhz) / 10)
    return swr_of_reflection(np.abs(reflection_coefficient(impedance, line.z0_ohm)) * weakened)


@broadcasts
def volts_along_line(impedance, *, cable, length_m, distance_m, f_mhz, power_w=100.0):
    """The two waves on a line at a distance from the load: 0 is the antenna, length_m the shack.

    impedance: of the load, complex ohms. cable: a name or a Cable. length_m, distance_m: metres. f_mhz: MHz.
    power_w: of the wave that leaves the shack (forward), watts. Any shapes that broadcast. Returns complex
    volts rms, (2, that shape): of the wave to the antenna, by the time there, and of the one that comes back.
    Raises Slip for values that make no sense.
    The line's own impedance is taken as real; warns where loss makes that worse than a tenth.
    Source: V·exp(γd) and V·G·exp(−γd), G the load's reflection: Reference Data for Radio Engineers,
    "Transmission lines" (from memory).

    >>> there, back = al.cable.volts_along_line(150, cable="RG-58", length_m=30, distance_m=0, f_mhz=28.5)
    >>> round(abs(complex(there))), round(abs(complex(back)))
    (54, 27)
    """
    line = _line(cable)
    lost_db = loss_db(cable=line, length_m=length_m, f_mhz=f_mhz)
    arrives = np.sqrt(check_positive("power_w", power_w, unit="watts") * line.z0_ohm) * 10 ** (-lost_db / 20)
    turn = np.exp(_propagation(line, distance_m, f_mhz))
    back = arrives * reflection_coefficient(impedance, line.z0_ohm) / turn
    return np.stack(np.broadcast_arrays(arrives * turn, back))


@broadcasts
def antenna_swr(swr, *, cable, length_m, f_mhz):
    """Standing-wave ratio at the antenna, from the one that a meter shows in the shack.

    swr: measured on the cable's own impedance, 1 or more. cable: a name or a Cable. length_m: metres.
    f_mhz: MHz. Any shapes that broadcast. Returns 1 or more. Raises Slip when the cable alone, open at
    its end, would show less. Source: swr_along_line turned round.

    >>> round(float(al.cable.antenna_swr(1.8, cable="RG-58", length_m=30, f_mhz=14.2)), 1)
    2.4
    """
    strengthened = 10 ** (loss_db(cable=cable, length_m=length_m, f_mhz=f_mhz) / 10)
    reflection = reflection_of_swr(swr) * strengthened
    if np.any(reflection > 1 + 1e-9):
        raise Slip("through so much loss no antenna shows so high an swr; check length and type")
    return swr_of_reflection(np.minimum(reflection, 1.0))


def _line(name):
    """What cable() does, for the functions in which an argument has that name."""
    if isinstance(name, Cable):
        return name
    wanted = _plain(str(name))
    for known, found in CABLES.items():
        if wanted in (_plain(known), _plain(known) + "u", _plain(known).removeprefix("50ω")):
            return found
    raise Slip(
        f"no cable called {name!r} here; known are {'; '.join(CABLES)}. "
        "For any other give its data: Cable(name=, z0_ohm=, …)"
    )


@lru_cache(maxsize=512)  # a name is asked for at each point of a search
def _plain(name):
    return re.sub("ohms?", "ω", "".join(letter for letter in name.lower() if letter.isalnum()))


def _propagation(line, length_m, f_mhz):
    """Attenuation in nepers and phase in radians of a length of line, as one complex number."""
    nepers = loss_db(cable=line, length_m=length_m, f_mhz=f_mhz) / _DB_PER_NEPER
    radians = 2 * np.pi * np.multiply(length_m, 1.0) / (line.velocity_factor * wavelength_m(f_mhz))
    if np.any(nepers > 0.1 * radians):
        warn(f"{line.called} loses so much here that its impedance is no longer a plain {line.z0_ohm:g} ohms")
    return nepers + 1j * radians
