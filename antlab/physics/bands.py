"""Band edges by region, and soils by name: what an operator would look up, from the tables beside it."""

from dataclasses import dataclass

import numpy as np

from antlab import facts
from antlab.units import EPS0_F_M, Slip, check_frequency, check_one


@dataclass(frozen=True, kw_only=True)
class Band:
    """A piece of spectrum with a name. low_mhz, high_mhz: its edges, MHz.

    >>> mine = al.Band(name="40m", low_mhz=7.0, high_mhz=7.2)
    >>> mine.label, mine.middle_mhz
    ('40 metres', 7.1)
    """

    name: str
    low_mhz: float
    high_mhz: float

    @property
    def label(self):
        """The band as it is written: "40 metres", since "40 m" is a length."""
        return self.name.replace("m", " metres")

    @property
    def middle_mhz(self):
        """The frequency half way between the edges, MHz."""
        return (self.low_mhz + self.high_mhz) / 2

    def frequencies(self, count=61):
        """Evenly spaced frequencies from edge to edge. count: how many. Returns MHz, shape (count,)."""
        return np.linspace(self.low_mhz, self.high_mhz, count)


_EDGES = facts.read("physics/bands.csv", text="name regions", numbers="low_mhz high_mhz")
_SEGMENTS = facts.read("physics/segments.csv", text="licence mode band", numbers="low_mhz high_mhz")
_WANTED = facts.read("physics/wanted.csv", text="band mode", numbers="low_mhz high_mhz")
BANDS = tuple(dict.fromkeys(row.name for row in _EDGES))
LICENCES = tuple(dict.fromkeys(row.licence for row in _SEGMENTS))
MODES = ("phone", "code")  # in this order they are tried where none is asked for


def band(name, region=2):
    """The amateur band of that name.

    name: one of BANDS. region: ITU region, 1, 2 or 3.
    Returns a Band. Raises Slip for any other name or region.
    Source: bands.csv, each row of which names its own; national rules may allow less.

    >>> al.band("40m", region=1).high_mhz
    7.2
    """
    if isinstance(name, Band):
        return name
    wanted = str(name).replace(" ", "").lower()
    if wanted not in BANDS:
        raise Slip(f"{name!r} is no band I know; choose one of {', '.join(BANDS)}")
    if region not in (1, 2, 3):
        raise Slip(f"region is the ITU region, 1, 2 or 3; got {region!r}")
    edges = next(row for row in _EDGES if row.name == wanted and str(int(region)) in row.regions.split())
    return Band(name=wanted, low_mhz=edges.low_mhz, high_mhz=edges.high_mhz)


def segment(name, *, mode=None, licence="general", region=2):
    """The part of a band where a licence allows code or phone.

    name: of the band. mode: "phone" or "code"; when left out, phone where there is phone, else code.
    licence: "extra", "general" or "technician", the classes of the USA. region: ITU region; outside region 2
    classes differ from country to country and the whole band is given.
    Returns a Band. Raises Slip for unknown names, and where the licence allows no such thing.
    Source: segments.csv, each row of which names its own.

    >>> part = al.bands.segment("20m", mode="phone", licence="general")
    >>> part.low_mhz, part.high_mhz
    (14.225, 14.35)
    """
    if mode is not None and mode not in MODES:
        raise Slip(f'mode is "phone" or "code"; got {mode!r}')
    parts, wanted = allowed(name, licence=licence, region=region), MODES if mode is None else (mode,)
    for one in wanted:
        if one in parts:
            return parts[one]
    other = "another mode or band" if parts else "another band"
    raise Slip(
        f"a {licence} licence of the USA has no {' or '.join(wanted)} on {band(name).name}; choose {other}, "
        "or give the frequency you aim at"
    )


def allowed(name, *, licence="general", region=2):
    """The parts of a band where a licence allows code and phone.

    name, licence, region: as for segment(). Returns a dict, mode -> Band, without the mode that is allowed
    nowhere on the band. Raises Slip for unknown names. Source: segments.csv, each row of which names its own.

    >>> {mode: part.high_mhz for mode, part in al.bands.allowed("10m", licence="technician").items()}
    {'code': 28.3, 'phone': 28.5}
    """
    whole = band(name, region)
    if licence not in LICENCES:
        raise Slip(f"licence is one of {', '.join(LICENCES)}; got {licence!r}")
    if region != 2:
        return dict.fromkeys(reversed(MODES), whole)
    rows = (row for row in _SEGMENTS if (row.licence, row.band) == (licence, whole.name))
    return {row.mode: Band(name=whole.name, low_mhz=row.low_mhz, high_mhz=row.high_mhz) for row in rows}


def wanted(name, *, mode=None, licence="general", region=2):
    """The part of a band that an antenna is to serve.

    name, mode, licence, region: as for segment(). With a mode its segment; mode left out: the whole band, or,
    where the licence has less than half of it, all that the licence has. Of a band that is too wide for one
    wire, the part that is used most. Returns a Band. Raises Slip as segment() does.
    Source: segments.csv; what is used most: wanted.csv, common practice.

    >>> part = al.bands.wanted("10m")
    >>> part.low_mhz, part.high_mhz
    (28.0, 29.0)
    """
    whole, part = band(name, region), segment(name, mode=mode, licence=licence, region=region)
    if mode is None:
        edges = [
            (one.low_mhz, one.high_mhz) for one in allowed(name, licence=licence, region=region).values()
        ]
        low, high = min(low for low, _ in edges), max(high for _, high in edges)
        wide = high - low >= (whole.high_mhz - whole.low_mhz) / 2
        part = whole if wide else Band(name=whole.name, low_mhz=low, high_mhz=high)
    for row in _WANTED:
        if row.band == whole.name and row.mode in (mode, "any"):
            low, high = max(row.low_mhz, part.low_mhz), min(row.high_mhz, part.high_mhz)
            part = Band(name=whole.name, low_mhz=low, high_mhz=high)
    return part


@dataclass(frozen=True, kw_only=True)
class Soil:
    """What the antenna hangs over.

    permittivity: relative, no unit, 1 to 100. conductivity: siemens per metre, zero to 10.
    PERFECT_GROUND and FREE_SPACE are its two limits: a mirror, and nothing at all.
    Raises Slip for values outside that.

    >>> meadow = al.Soil(permittivity=16, conductivity=0.007)
    >>> complex(np.round(meadow.complex_permittivity(7.1), 1))
    (16-17.7j)
    """

    permittivity: float
    conductivity: float
    name: str = ""

    def __post_init__(self):
        permittivity = check_one("permittivity", self.permittivity)
        conductivity = check_one(
            "conductivity", self.conductivity, zero_ok=True, finite=False, unit="siemens per metre"
        )
        if not 1 <= permittivity <= 100:
            raise Slip(
                "permittivity is relative to empty space, at least 1, and about 80 for water, the most; "
                f"got {permittivity:g}"
            )
        if 10 < conductivity < np.inf:
            raise Slip(
                f"conductivity={self.conductivity:g} is more than twice that of sea water; "
                "it wants siemens per metre (5 mS/m is 0.005)"
            )

    @property
    def called(self):
        """As it is spoken of.

        >>> al.soil("wet").called, al.soil("sea water").called, al.PERFECT_GROUND.called
        ('wet soil', 'sea water', 'perfect ground')
        """
        no_soil = self.is_empty or self.is_mirror or self.name.endswith("water")
        return self.name if no_soil else f"{self.name or 'your own'} soil"

    @property
    def is_mirror(self):
        """True for perfect ground."""
        return np.isinf(self.conductivity)

    @property
    def is_empty(self):
        """True for free space."""
        return self.permittivity == 1 and self.conductivity == 0

    def complex_permittivity(self, f_mhz):
        """Relative permittivity with the conduction current in it, e^{+jwt}.

        f_mhz: MHz, any shape. Returns complex, no unit, same shape. Raises Slip for bad frequencies.
        Source: eps_r - j sigma/(omega eps0), Maxwell's equations.
        """
        f = check_frequency(f_mhz)
        return self.permittivity - 1j * self.conductivity / (2e6 * np.pi * f * EPS0_F_M)


FREE_SPACE = Soil(permittivity=1, conductivity=0, name="free space")
PERFECT_GROUND = Soil(permittivity=1, conductivity=np.inf, name="perfect ground")

_SOILS = facts.read("physics/soils.csv", text="name", numbers="permittivity conductivity_s_m", places="views")
SOILS = {
    row.name: Soil(name=row.name, permittivity=row.permittivity, conductivity=row.conductivity_s_m)
    for row in _SOILS
}
SOILS_IN_VIEWS = facts.listed(_SOILS, "views")


def soil(name):
    """The soil of that name.

    name: a key of SOILS, "perfect ground" or "free space". Returns a Soil.
    Raises Slip for any other name. Source: soils.csv, each row of which names its own.

    >>> al.soil("average").permittivity
    13.0
    """
    if isinstance(name, Soil):
        return name
    named = {**SOILS, FREE_SPACE.name: FREE_SPACE, PERFECT_GROUND.name: PERFECT_GROUND}
    found = named.get(str(name).lower())
    if found is None:
        raise Slip(f"{name!r} is no soil I know; choose one of {', '.join(named)}, or give your own Soil")
    return found
