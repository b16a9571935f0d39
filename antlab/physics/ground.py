"""What the ground does to a wave: how much comes back, and how deep the rest goes."""

import numpy as np

from antlab.units import Slip, broadcasts, check_frequency, check_number, wavelength_m


def check_elevation(elevation_deg, lowest=0.0):
    """Refuse an elevation that points into the ground, or back.

    elevation_deg: degrees from the horizon, any shape. lowest: degrees, -90 where there is no ground.
    Returns it as a float array, same shape. Raises Slip outside lowest to 180, and for NaN.

    >>> float(al.ground.check_elevation(30))
    30.0
    """
    elevation = check_number("elevation_deg", elevation_deg, unit="degrees")
    if not np.all((elevation >= lowest) & (elevation <= 180)):
        raise Slip(
            f"elevation_deg counts from the horizon, {lowest:g} to 180 (beyond 90 is the other side); "
            f"got {elevation_deg}"
        )
    return elevation


@broadcasts
def reflection_horizontal(*, elevation_deg, f_mhz, soil):
    """Plane-wave reflection coefficient of the ground, electric field horizontal.

    elevation_deg: degrees above the horizon, 0 to 180; f_mhz: MHz; both broadcast. soil: a Soil.
    Returns complex, no unit, broadcast shape; -1 over perfect ground, 0 in free space. Raises Slip for
    elevations and frequencies outside their range.
    Valid for flat ground, exact far away. Source: Fresnel, for e^{+jwt}; C. A. Balanis, Advanced Engineering
    Electromagnetics, 1989, section 5.3 (equation from memory).

    >>> echo = al.ground.reflection_horizontal(elevation_deg=30, f_mhz=14.2, soil=al.soil("average"))
    >>> round(abs(complex(echo)), 2)
    0.77
    """
    return reflections(elevation_deg=elevation_deg, f_mhz=f_mhz, soil=soil)[0]


@broadcasts
def reflection_vertical(*, elevation_deg, f_mhz, soil):
    """Plane-wave reflection coefficient of the ground, electric field in the plane of incidence.

    elevation_deg: degrees above the horizon, 0 to 180; f_mhz: MHz; both broadcast. soil: a Soil.
    Returns complex, no unit, broadcast shape; +1 over perfect ground, 0 in free space. Raises Slip for
    elevations and frequencies outside their range.
    Valid for flat ground, exact far away. Source: as reflection_horizontal.

    >>> echo = al.ground.reflection_vertical(elevation_deg=30, f_mhz=14.2, soil=al.soil("average"))
    >>> round(abs(complex(echo)), 2)
    0.34
    """
    return reflections(elevation_deg=elevation_deg, f_mhz=f_mhz, soil=soil)[1]


@broadcasts
def reflections(*, elevation_deg, f_mhz, soil):
    """Both plane-wave reflection coefficients of the ground at once, for who needs both.

    Arguments, Slip and source as of reflection_horizontal. Returns (horizontal, vertical), each complex, no
    unit, broadcast shape.

    >>> horizontal, vertical = al.ground.reflections(elevation_deg=90, f_mhz=7.1, soil=al.soil("average"))
    >>> bool(np.isclose(horizontal, -vertical))
    True
    """
    angle = np.radians(check_elevation(elevation_deg))
    f = check_frequency(f_mhz)
    if soil.is_mirror:
        one = np.ones(np.broadcast(angle, f).shape, dtype=complex)[()]
        return -one, one
    eps, s = soil.complex_permittivity(f), np.sin(angle)
    root = np.sqrt(eps - np.cos(angle) ** 2)
    with np.errstate(invalid="ignore"):  # 0/0 in free space at the horizon, where nothing is reflected
        pair = (s - root) / (s + root), (eps * s - root) / (eps * s + root)
    return tuple(np.where(np.isnan(r), 0, r)[()] for r in pair) if soil.is_empty else pair


def pseudo_brewster_deg(*, f_mhz, soil):
    """Elevation at which the ground reflects least of a vertically polarised wave.

    f_mhz: MHz, any shape. soil: a Soil that is neither a mirror nor empty. Returns degrees, same shape.
    Raises Slip for any other soil and bad frequencies. Good to 0.001 degrees. Source: minimum of the
    modulus of reflection_vertical; for a soil without loss atan(1/sqrt(eps_r)), Brewster.

    >>> round(float(al.ground.pseudo_brewster_deg(f_mhz=14.2, soil=al.soil("average"))), 1)
    14.8
    """
    if soil.is_mirror or soil.is_empty:
        raise Slip("a pseudo-Brewster angle needs a real soil, such as soil('average')")
    f = check_frequency(f_mhz)[..., None]

    def dip(degrees):
        best = np.abs(reflection_vertical(elevation_deg=degrees, f_mhz=f, soil=soil)).argmin(-1)
        return np.take_along_axis(np.broadcast_to(degrees, (*f.shape[:-1], degrees.shape[-1])),
                                  best[..., None], -1)  # fmt: skip

    angle = dip(np.linspace(0.02, 90, 1800))
    for step in (0.05, 0.001):
        angle = dip(np.clip(angle + step * np.linspace(-1, 1, 101), 0, 90))
    return angle[..., 0]


def penetration_depth_m(*, f_mhz, soil):
    """Depth at which a wave going straight down has shrunk to 1/e.

    f_mhz: MHz, any shape. soil: a Soil. Returns metres, same shape: infinite where there is no loss,
    zero in perfect ground. Raises Slip for bad frequencies. Source: plane wave in a lossy medium,
    1/(k |Im sqrt(eps)|).

    >>> round(float(al.ground.penetration_depth_m(f_mhz=7.1, soil=al.soil("average"))), 1)
    4.2
    """
    k = 2 * np.pi / wavelength_m(f_mhz)
    if soil.is_mirror:
        return np.zeros_like(k)[()]
    with np.errstate(divide="ignore"):
        return 1 / (k * np.abs(np.sqrt(soil.complex_permittivity(f_mhz)).imag))
