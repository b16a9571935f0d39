"""From takeoff angle to distance: one hop by a mirror in the sky above a round earth, and what returns."""

from dataclasses import dataclass

import numpy as np

from antlab import facts
from antlab.units import MILE_KM, Slip, broadcasts, check_frequency, check_one, check_positive

EARTH_KM = 6371.0  # mean radius, the value of ITU-R P.533
# The virtual height is no constant: it hangs on frequency and angle, and is largest for a ray that only just
# returns. By this share it may be lower or higher than the one named. Common practice, no source.
LOWER, HIGHER = 0.08, 0.30


@broadcasts
def hop_km(elevation_deg, layer_km=300):
    """Distance along the ground that one hop covers.

    elevation_deg: takeoff angle above the horizon, 0 to 90. layer_km: virtual height of the layer, 50 to 1000
    km: about 110 for E, 250 to 400 for F2. Any shapes that broadcast. Returns kilometres, that shape.
    Raises Slip outside those ranges. The layer is taken as a level mirror; whether it reflects at all
    depends on frequency and hour.
    Source: K. Davies, Ionospheric Radio, 1990 (from memory); same geometry as ITU-R P.533, section 5.1.

    >>> round(float(al.hop_km(30)))
    934
    """
    elevation = np.radians(_check_elevation(elevation_deg))
    half_angle = np.pi / 2 - elevation - np.arcsin(_incidence_sine(elevation, layer_km))
    return 2 * EARTH_KM * np.maximum(half_angle, 0.0)


@broadcasts
def elevation_for_km(distance_km, layer_km=300):
    """Takeoff angle that one hop to a given distance needs.

    distance_km: along the ground, zero or more. layer_km: virtual height, 50 to 1000 km. Any shapes that
    broadcast. Returns degrees above the horizon, that shape. Raises Slip for a distance beyond one hop,
    and says how far that goes.
    Source: ITU-R P.533, section 5.1: tan(el) = (cos(d/2R) − R/(R + h))/sin(d/2R), R = 6371 km.

    >>> round(float(al.sky.elevation_for_km(900)), 1)
    31.0
    """
    distance = check_positive("distance_km", distance_km, zero_ok=True, unit="kilometres")
    layer = _check_layer(layer_km)
    farthest = hop_km(0.0, layer)
    if np.any(distance > farthest):
        raise Slip(
            f"one hop by a layer at {float(np.min(layer)):g} km reaches {float(np.min(farthest)):.0f} km at "
            f"most; {float(np.max(distance)):g} km takes two or more: ask for the distance of one of them"
        )
    half = distance / (2 * EARTH_KM)
    return np.degrees(np.arctan2(np.cos(half) - EARTH_KM / (EARTH_KM + layer), np.sin(half)))


@broadcasts
def secant_factor(elevation_deg, layer_km=300):
    """How much higher than the critical frequency a slanting ray may be and still come back.

    elevation_deg: takeoff angle, 0 to 90. layer_km: virtual height, 50 to 1000 km. Any shapes that broadcast.
    Returns a ratio, 1 straight up, that shape. Raises Slip outside those ranges. The magnetic field is
    left out.
    Source: secant law, MUF = foF2 · sec(angle of incidence): K. Davies, Ionospheric Radio, 1990
    (from memory).

    >>> round(float(al.sky.secant_factor(10)), 2)
    2.94
    """
    return 1 / np.sqrt(1 - _incidence_sine(np.radians(_check_elevation(elevation_deg)), layer_km) ** 2)


@broadcasts
def skip_km(f_mhz, *, critical_mhz, layer_km=300):
    """Distance within which nothing comes back from the sky: the radius of the skip zone.

    f_mhz: MHz. critical_mhz: highest frequency that comes back straight down, foF2, MHz.
    layer_km: virtual height, 50 to 1000 km. Any shapes that broadcast. Returns kilometres: 0 where even the
    ray straight up returns, infinity where not even the one along the horizon does.
    Raises Slip for values that make no sense. The magnetic field and weak scatter are left out.
    Source: the secant law (secant_factor) solved for the steepest ray that returns, and hop_km of it.

    >>> round(float(al.sky.skip_km(14.175, critical_mhz=9)))
    758
    """
    ratio = check_frequency(f_mhz) / check_frequency(critical_mhz)
    sine = np.sqrt(1 - 1 / np.maximum(ratio, 1.0) ** 2)
    cosine = sine * (1 + _check_layer(layer_km) / EARTH_KM)  # of the elevation
    steepest = np.degrees(np.arccos(np.minimum(cosine, 1.0)))
    return np.where(cosine > 1, np.inf, hop_km(steepest, layer_km))[()]


def zone_words(skip_km):
    """A skip zone in words. skip_km: as skip_km() has it, one number. Returns text.

    >>> al.sky.zone_words(0), al.sky.zone_words(381), al.sky.zone_words(float("inf"))
    ('no skip zone', 'skip zone 381 km (237 miles)', 'closed: nothing returns')
    """
    if skip_km == 0:
        return "no skip zone"
    if skip_km == np.inf:
        return "closed: nothing returns"
    return f"skip zone {skip_km:.0f} km ({skip_km / MILE_KM:.0f} miles)"


@dataclass(frozen=True, kw_only=True)
class Sky:
    """The layer that sends back, at one hour: what returns, and where it lands.

    critical_mhz: highest frequency that comes back straight down, foF2, MHz. layer_km: virtual height, 50 to
    1000 km. name: of the hour. The layer is a level mirror, as in hop_km; absorption below it and the
    magnetic field are left out. Raises Slip for values that make no sense.
    Source: the secant law above a round earth, see secant_factor.

    >>> noon = al.sky.Sky(critical_mhz=12)
    >>> bool(noon.returns(28.5, elevation_deg=15)), bool(noon.returns(28.5, elevation_deg=20))
    (True, False)
    """

    critical_mhz: float
    layer_km: float = 300.0
    name: str = ""

    def __post_init__(self):
        check_frequency(check_one("critical_mhz", self.critical_mhz))
        _check_layer(check_one("layer_km", self.layer_km))

    def highest_mhz(self, elevation_deg):
        """The highest frequency that returns at a takeoff angle, MHz, in the shape of elevation_deg."""
        return self.critical_mhz * secant_factor(elevation_deg, self.layer_km)

    @broadcasts
    def returns(self, f_mhz, *, elevation_deg):
        """Whether a ray of that frequency and takeoff angle comes back. Any shapes that broadcast."""
        return check_frequency(f_mhz) <= self.highest_mhz(elevation_deg)

    def skip_km(self, f_mhz):
        """Radius of the skip zone in kilometres, as skip_km has it."""
        return skip_km(f_mhz, critical_mhz=self.critical_mhz, layer_km=self.layer_km)

    def zone(self, f_mhz):
        """The skip zone in words. f_mhz: MHz, one number. Returns text, as zone_words has it."""
        return zone_words(float(self.skip_km(f_mhz)))

    def hop_km(self, elevation_deg):
        """Where one hop lands, kilometres, in the shape of elevation_deg; whether it returns is not asked."""
        return hop_km(elevation_deg, self.layer_km)

    def elevation_deg(self, distance_km):
        """Takeoff angle that one hop to a distance needs, degrees. Raises Slip beyond one hop."""
        return elevation_for_km(distance_km, self.layer_km)

    def spread_km(self, elevation_deg):
        """Where the hop lands if the layer acts lower by LOWER, or higher by HIGHER: two distances, km."""
        low, high = ((1 + share) * self.layer_km for share in (-LOWER, HIGHER))
        return hop_km(elevation_deg, low), hop_km(elevation_deg, high)


def at(hour):
    """The course's sky at an hour of its one day, an example of our own.

    hour: one of HOURS. Returns a Sky. Raises Slip for any other name.
    Source: hours.csv; common practice, no source. Yours is measured every quarter of an hour: look it up.

    >>> al.sky.at("noon").critical_mhz, round(float(al.sky.at("noon").skip_km(14.175)))
    (12.0, 381)
    """
    if hour not in HOURS:
        raise Slip(f"{hour!r} is no hour of the course's sky; choose one of {', '.join(HOURS)}")
    return HOURS[hour]


def _incidence_sine(elevation, layer_km):
    return EARTH_KM * np.cos(elevation) / (EARTH_KM + _check_layer(layer_km))


def _check_elevation(elevation_deg):
    elevation = check_positive("elevation_deg", elevation_deg, zero_ok=True, unit="degrees")
    if np.any(elevation > 90):
        raise Slip(f"elevation_deg runs from 0 to 90; got {float(np.max(elevation)):g}")
    return elevation


def _check_layer(layer_km):
    layer = check_positive("layer_km", layer_km, unit="kilometres")
    if np.any((layer < 50) | (layer > 1000)):
        raise Slip(f"layer_km is a virtual height between 50 and 1000 km, F2 near 300; got {layer_km}")
    return layer


HOURS = {
    row.hour: Sky(critical_mhz=row.critical_mhz, layer_km=row.layer_km, name=row.hour)
    for row in facts.read("physics/hours.csv", text="hour", numbers="critical_mhz layer_km")
}  # of the course: one sky, from noon to the small hours
