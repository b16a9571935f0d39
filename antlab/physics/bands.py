"""Band edges by region, and soils by name: the tables an operator would look up."""

from dataclasses import dataclass

import numpy as np

from antlab.units import EPS0_F_M, Slip, check_frequency, check_positive


@dataclass(frozen=True, kw_only=True)
class Band:
    """A piece of spectrum with a name. low_mhz, high_mhz: its edges, MHz."""

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


# ITU regions 1, 2, 3. Sources: 47 CFR 97.301 (region 2; 30, 20 and 17 m the world over), IARU region 1 HF
# band plan of 16 October 2020 (80 m); 40 m in regions 1 and 3 and the other bands: value from memory.
# Band edges change: a licence and the national rules decide, not this table.
_EDGES_MHZ = {
    "80m": ((3.5, 3.8), (3.5, 4.0), (3.5, 3.9)),
    "40m": ((7.0, 7.2), (7.0, 7.3), (7.0, 7.2)),
    "30m": ((10.1, 10.15),) * 3,
    "20m": ((14.0, 14.35),) * 3,
    "17m": ((18.068, 18.168),) * 3,
    "15m": ((21.0, 21.45),) * 3,
    "12m": ((24.89, 24.99),) * 3,
    "10m": ((28.0, 29.7),) * 3,
}
BANDS = tuple(_EDGES_MHZ)


def band(name, region=2):
    """The amateur band of that name.

    name: "80m", "40m", "30m", "20m", "17m", "15m", "12m" or "10m". region: ITU region, 1, 2 or 3.
    Returns a Band. Raises ValueError for any other name or region.
    Source: the table above, which names its own; national rules may allow less.
    """
    if isinstance(name, Band):
        return name
    edges = _EDGES_MHZ.get(str(name).replace(" ", "").lower())
    if edges is None:
        raise Slip(f"{name!r} is no band I know; choose one of {', '.join(BANDS)}")
    if region not in (1, 2, 3):
        raise Slip(f"region is the ITU region, 1, 2 or 3; got {region!r}")
    low, high = edges[region - 1]
    return Band(name=str(name).replace(" ", "").lower(), low_mhz=low, high_mhz=high)


# Where a licence class of the USA may use code and phone, MHz; None where it may not. Source: 47 CFR 97.301
# and 97.305 as reprinted, amended through 14 January 2026 (seen second hand: check the
# current text).
_SEGMENTS_MHZ = {
    "extra": {
        "code": {"80m": (3.5, 3.6), "40m": (7.0, 7.125), "30m": (10.1, 10.15), "20m": (14.0, 14.15),
                 "17m": (18.068, 18.11), "15m": (21.0, 21.2), "12m": (24.89, 24.93), "10m": (28.0, 28.3)},
        "phone": {"80m": (3.6, 4.0), "40m": (7.125, 7.3), "20m": (14.15, 14.35), "17m": (18.11, 18.168),
                  "15m": (21.2, 21.45), "12m": (24.93, 24.99), "10m": (28.3, 29.7)},
    },
    "general": {
        "code": {"80m": (3.525, 3.6), "40m": (7.025, 7.125), "30m": (10.1, 10.15), "20m": (14.025, 14.15),
                 "17m": (18.068, 18.11), "15m": (21.025, 21.2), "12m": (24.89, 24.93), "10m": (28.0, 28.3)},
        "phone": {"80m": (3.8, 4.0), "40m": (7.175, 7.3), "20m": (14.225, 14.35), "17m": (18.11, 18.168),
                  "15m": (21.275, 21.45), "12m": (24.93, 24.99), "10m": (28.3, 29.7)},
    },
    "technician": {
        "code": {"80m": (3.525, 3.6), "40m": (7.025, 7.125), "15m": (21.025, 21.2), "10m": (28.0, 28.3)},
        "phone": {"10m": (28.3, 28.5)},
    },
}  # fmt: skip


def segment(name, *, mode="phone", licence="general", region=2):
    """The part of a band where a licence allows code or phone.

    name: of the band. mode: "phone" or "code". licence: "extra", "general" or "technician", the classes of
    the USA. region: ITU region; outside region 2 classes differ from country to country and the whole band is
    given. Returns a Band. Raises ValueError for unknown names, and where the licence allows no such thing.
    Source: the table above, which names its own.
    """
    whole = band(name, region)
    if mode not in ("phone", "code"):
        raise Slip(f'mode is "phone" or "code"; got {mode!r}')
    if licence not in _SEGMENTS_MHZ:
        raise Slip(f"licence is one of {', '.join(_SEGMENTS_MHZ)}; got {licence!r}")
    if region != 2:
        return whole
    edges = _SEGMENTS_MHZ[licence][mode].get(whole.name)
    if edges is None:
        raise Slip(
            f"a {licence} licence of the USA has no {mode} on {whole.name}; choose another mode or band, or "
            f"give "
            "the frequency you aim at"
        )
    return Band(name=whole.name, low_mhz=edges[0], high_mhz=edges[1])


@dataclass(frozen=True, kw_only=True)
class Soil:
    """What the antenna hangs over.

    permittivity: relative, no unit, at least 1. conductivity: siemens per metre, zero or more.
    PERFECT_GROUND and FREE_SPACE are its two limits: a mirror, and nothing at all.
    Raises ValueError for values outside that.
    """

    permittivity: float
    conductivity: float
    name: str = ""

    def __post_init__(self):
        permittivity = check_positive("permittivity", self.permittivity, finite=False)
        check_positive(
            "conductivity", self.conductivity, zero_ok=True, finite=False, unit="siemens per metre"
        )
        if permittivity < 1:
            raise Slip(f"permittivity is relative to empty space, at least 1; got {permittivity:g}")
        if 10 < self.conductivity < np.inf:
            raise Slip(
                f"conductivity={self.conductivity:g} is more than twice that of sea water; "
                "it wants siemens per metre (5 mS/m is 0.005)"
            )

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

        f_mhz: MHz, any shape. Returns complex, no unit, same shape. Raises ValueError for bad frequencies.
        Source: eps_r - j sigma/(omega eps0), Maxwell's equations.
        """
        f = check_frequency(f_mhz)
        return self.permittivity - 1j * self.conductivity / (2e6 * np.pi * f * EPS0_F_M)


FREE_SPACE = Soil(permittivity=1, conductivity=0, name="free space")
PERFECT_GROUND = Soil(permittivity=1, conductivity=np.inf, name="perfect ground")

# ITU-R P.527-3 (1992), figure 1, curves A to E: value from memory. "average" and "rocky": the table of
# United States soils that goes back to the FCC's Standards of Good Engineering Practice (1939), as a public
# copy of it gives them (heavy clay of central Virginia 13 / 0.005; rocky, steep 12-14 / 0.002).
SOILS = {
    one.name: one
    for one in (
        Soil(name="sea water", permittivity=70, conductivity=5),
        Soil(name="wet", permittivity=30, conductivity=0.01),
        Soil(name="average", permittivity=13, conductivity=0.005),
        Soil(name="rocky", permittivity=13, conductivity=0.002),
        Soil(name="medium dry", permittivity=15, conductivity=0.001),
        Soil(name="very dry", permittivity=3, conductivity=0.0001),
        Soil(name="fresh water", permittivity=80, conductivity=0.003),
    )
}


def soil(name):
    """The soil of that name.

    name: "sea water", "wet", "average", "rocky", "medium dry", "very dry", "fresh water"; also
    "perfect ground" and "free space". Returns a Soil. Raises ValueError for any other name.
    Source: the table above, which names its own.
    """
    if isinstance(name, Soil):
        return name
    found = {**SOILS, FREE_SPACE.name: FREE_SPACE, PERFECT_GROUND.name: PERFECT_GROUND}.get(str(name).lower())
    if found is None:
        raise Slip(f"{name!r} is no soil I know; choose one of {', '.join(SOILS)}, or give your own Soil")
    return found
