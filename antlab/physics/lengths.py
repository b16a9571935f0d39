"""Dipole lengths, and what a sinusoidal current on a thin wire gives in closed form.

The current is assumed, not solved for: these are the formulas of the textbooks, and the engine's yardstick.
"""

import numpy as np

from antlab.units import (
    ETA0_OHM,
    Slip,
    broadcasts,
    check_frequency,
    check_positive,
    metres,
    warn,
    wavelength_m,
)

THIN = 1e-4  # wire radius in wavelengths up to which the closed-form reactance holds


def half_wave_m(f_mhz):
    """Half a wavelength in free space.

    f_mhz: MHz, any shape. Returns metres, same shape. Raises Slip for bad frequencies.
    A resonant dipole is a few percent shorter: see rule_length_m. Source: c/(2f); in feet 491.8/f.

    >>> round(float(al.lengths.half_wave_m(14.2)), 2)
    10.56
    """
    return wavelength_m(f_mhz) / 2


def quarter_wave_m(f_mhz):
    """A quarter of a wavelength in free space.

    f_mhz: MHz, any shape. Returns metres, same shape. Raises Slip for bad frequencies.
    Source: c/(4f).

    >>> round(float(al.lengths.quarter_wave_m(14.2)), 2)
    5.28
    """
    return wavelength_m(f_mhz) / 4


@broadcasts
def rule_length_m(f_mhz, constant_ft=468.0):
    """Length of a half-wave dipole, end to end, by the rule of thumb: a number of feet over megahertz.

    f_mhz: MHz. constant_ft: feet times megahertz, 400 to 550. Any shapes that broadcast. Returns metres, that
    shape.
    Raises Slip for bad frequencies or constants. A first cut, to be trimmed: ground, insulation, the
    loops at the ends and the supports all move it. A thin bare wire in free space resonates nearer 478/f
    (computed). Source: 468/f is common practice, no source.

    >>> round(float(al.lengths.rule_length_m(14.2)), 2)
    10.05
    """
    constant = check_positive("constant_ft", constant_ft, unit="feet times megahertz")
    if np.any((constant < 400) | (constant > 550)):
        raise Slip(f"constant_ft is feet times megahertz, about 468; got {constant_ft!r}")
    return metres(constant) / check_frequency(f_mhz)


def sine_integral(x):
    """Si(x), the integral of sin(t)/t from 0 to x.

    x: zero or more, any shape. Returns the same shape, absolute error below 1e-12. Raises Slip for
    negative x and NaN.
    Source: power series and continued fraction of E1(jx), NIST DLMF 6.6.5 and 6.9.1 (numbers from memory).

    >>> round(float(al.lengths.sine_integral(np.pi)), 4)
    1.8519
    """
    return _si_ci(x)[0]


def cosine_integral(x):
    """Ci(x), minus the integral of cos(t)/t from x to infinity.

    x: zero or more, any shape. Returns the same shape, absolute error below 1e-12; minus infinity at 0.
    Raises Slip for negative x and NaN.
    Source: power series and continued fraction of E1(jx), NIST DLMF 6.6.6 and 6.9.1 (numbers from memory).

    >>> round(float(al.lengths.cosine_integral(np.pi)), 4)
    0.0737
    """
    return _si_ci(x)[1]


def _si_ci(x):
    x = check_positive("x", x, zero_ok=True)
    near, far = np.minimum(x, 4.0), 1j * np.maximum(x, 4.0)
    term, si, minus_cin = np.ones_like(near), np.zeros_like(near), np.zeros_like(near)
    for n in range(1, 40, 2):  # Si collects ±xⁿ/(n·n!) for odd n, −Cin for even n
        si = si + term * near / n**2
        term = -term * near**2 / (n * (n + 1))
        minus_cin = minus_cin + term / (n + 1)
    fraction = far + 121
    for n in range(60, 0, -1):
        fraction = far + (2 * n - 1) - n * n / fraction
    e1 = np.exp(-far) / fraction
    with np.errstate(divide="ignore"):
        ci = np.euler_gamma + np.log(near) + minus_cin
    return np.where(x < 4, si, np.pi / 2 + e1.imag)[()], np.where(x < 4, ci, -e1.real)[()]


@broadcasts
def induced_emf_impedance(*, length_m, f_mhz, wire_diameter_mm):
    """Feed impedance of a centre-fed straight wire in free space that carries a sinusoidal current.

    length_m: end to end. f_mhz: MHz. wire_diameter_mm. Any shapes that broadcast. Returns complex ohms.
    Raises Slip for values that are not positive and within a few percent of one wavelength or its
    multiples, where the assumed current leaves the feed without any. Warns for wire radius above 1e-4
    wavelength, where the reactance is no longer good. No loss in the wire.
    Source: P. S. Carter, Proc. IRE 20 (1932) 1004; C. A. Balanis, Antenna Theory, 3rd ed. 2005,
    eqs. 8-60, 8-61 (numbers from memory).

    >>> z = al.lengths.induced_emf_impedance(length_m=10.56, f_mhz=14.2, wire_diameter_mm=2)
    >>> round(float(z.real), 1), round(float(z.imag), 1)
    (73.2, 43.1)
    """
    wavelength = wavelength_m(f_mhz)
    length = check_positive("length_m", length_m, unit="metres") / wavelength
    radius = check_positive("wire_diameter_mm", wire_diameter_mm, unit="millimetres") / 2e3 / wavelength
    at_feed = np.sin(np.pi * length) ** 2
    if np.any(at_feed < 0.05):
        raise Slip(
            "length_m is close to a whole number of wavelengths, where a sinusoidal current is zero at the "
            "feed and this formula gives nonsense; the engine (antlab.Dipole) solves for the current instead"
        )
    if np.any(radius > THIN * (1 + 1e-9)):
        warn(
            f"the closed-form reactance holds for a wire radius up to {THIN:g} wavelength; this one has "
            f"{float(np.max(radius)):.2g}"
        )
    kl = 2 * np.pi * length
    (si1, ci1), (si2, ci2) = _si_ci(kl), _si_ci(2 * kl)
    sin, cos, g = np.sin(kl), np.cos(kl), np.euler_gamma
    r = g + np.log(kl) - ci1 + sin * (si2 / 2 - si1) + cos * ((g + np.log(kl / 2) + ci2) / 2 - ci1)
    ci_thin = cosine_integral(4 * np.pi * radius**2 / length)
    x = si1 + cos * (si1 - si2 / 2) - sin * (ci1 - (ci2 + ci_thin) / 2)
    return ETA0_OHM / (2 * np.pi) * (r + 1j * x) / at_feed


@broadcasts
def mutual_impedance(*, spacing_m, f_mhz):
    """Mutual impedance of two thin half-wave wires side by side.

    spacing_m: metres, zero or more (at zero it is the wire's own impedance). f_mhz: MHz. Any shapes that
    broadcast. Returns complex ohms. Raises Slip for values that make no sense. Free space, no loss.
    Source: P. S. Carter, Proc. IRE 20 (1932) 1004; Balanis 2005, eqs. 8-71, 8-72 (numbers from memory).

    >>> z = al.lengths.mutual_impedance(spacing_m=21.1, f_mhz=14.2)
    >>> round(float(z.real), 1), round(float(z.imag), 1)
    (3.9, 17.8)
    """
    wavelength = wavelength_m(f_mhz)
    d = np.maximum(check_positive("spacing_m", spacing_m, zero_ok=True, unit="metres") / wavelength, 1e-9)
    reach = np.sqrt(d**2 + 0.25) + 0.5
    (si0, ci0), (si1, ci1), (si2, ci2) = (_si_ci(2 * np.pi * u) for u in (d, reach, d**2 / reach))
    return ETA0_OHM / (4 * np.pi) * ((2 * ci0 - ci1 - ci2) - 1j * (2 * si0 - si1 - si2))


@broadcasts
def collinear_impedance(*, spacing_m, f_mhz):
    """Mutual impedance of two thin half-wave wires on one line.

    spacing_m: between their centres, metres, half a wavelength (ends touch) or more. f_mhz: MHz. Any shapes
    that broadcast. Returns complex ohms. Raises Slip for values that make no sense.
    Free space, no loss.
    Source: P. S. Carter, Proc. IRE 20 (1932) 1004; Balanis 2005, eqs. 8-73 to 8-75 (from memory).

    >>> z = al.lengths.collinear_impedance(spacing_m=21.1, f_mhz=14.2)
    >>> round(float(z.real), 1), round(float(z.imag), 1)
    (-4.1, -0.7)
    """
    h = check_positive("spacing_m", spacing_m, unit="metres") / wavelength_m(f_mhz)
    if np.any(h < 0.5 - 1e-9):
        raise Slip("spacing_m is shorter than half a wavelength: two wires on one line would overlap")
    h = np.maximum(h, 0.5 + 1e-12)
    v = 2 * np.pi * h
    (si0, ci0), (si1, ci1), (si2, ci2) = (_si_ci(4 * np.pi * u) for u in (h, h + 0.5, h - 0.5))
    si, ci, log = 2 * si0 - si1 - si2, 2 * ci0 - ci1 - ci2, np.log(1 - 0.25 / h**2)
    real = np.cos(v) * (ci + log) + np.sin(v) * si
    imag = -np.cos(v) * si + np.sin(v) * (ci - log)
    return ETA0_OHM / (8 * np.pi) * (real + 1j * imag)


@broadcasts
def mirror_impedance(*, height_m, f_mhz, vertical=False):
    """Feed impedance of a thin half-wave dipole above perfectly conducting ground.

    height_m: of its centre, metres. f_mhz: MHz. Any shapes that broadcast. vertical: True for an upright
    dipole, whose centre must be a quarter wavelength up or more. Returns complex ohms.
    Raises Slip for values that make no sense. Real ground is no mirror: below a quarter wavelength of
    height the true resistance of a horizontal wire is much higher.
    Source: image theory, the dipole's own impedance less (upright: plus) that of its mirror image;
    J. D. Kraus, Antennas, 2nd ed. 1988, ch. 11 (from memory).

    >>> z = al.lengths.mirror_impedance(height_m=5.3, f_mhz=14.2)
    >>> round(float(z.real)), round(float(z.imag))
    (86, 72)
    """
    height = check_positive("height_m", height_m, unit="metres")
    own = mutual_impedance(spacing_m=0.0, f_mhz=f_mhz)
    if not vertical:
        return own - mutual_impedance(spacing_m=2 * height, f_mhz=f_mhz)
    if np.any(height < quarter_wave_m(f_mhz) * (1 - 1e-9)):
        raise Slip("the centre of an upright half-wave dipole is a quarter wavelength or more up")
    return own + collinear_impedance(spacing_m=2 * height, f_mhz=f_mhz)


def directivity(length_over_wavelength):
    """Directivity of a centre-fed thin wire with sinusoidal current in free space.

    length_over_wavelength: end to end, 0 to 2, any shape. Returns the ratio to an isotropic radiator, same
    shape: 1.5 for a short wire, 1.6409 for a half wave. Raises Slip outside that range.
    Source: Balanis 2005, eqs. 4-62, 4-75 (numbers from memory).

    >>> round(float(al.lengths.directivity(0.5)), 2)
    1.64
    """
    length = _check_length(length_over_wavelength)
    u, weight = np.polynomial.legendre.leggauss(48)
    mean = _intensity(length, u) @ weight / 2
    most = np.max(_intensity(length, np.linspace(0, 1, 4001)), axis=-1)
    return most / mean


def beamwidth_deg(length_over_wavelength):
    """Angle between the half-power directions of the broadside lobe, in a plane that holds the wire.

    length_over_wavelength: end to end, 0 to 1.4, any shape. Returns degrees, same shape.
    Raises Slip outside that range: a longer wire's strongest lobes leave the broadside.
    Source: Balanis 2005, section 4.5, by search on the pattern.

    >>> round(float(al.lengths.beamwidth_deg(0.5)), 1)
    78.1
    """
    length = _check_length(length_over_wavelength, longest=1.4)
    u = np.linspace(0, 1, 4001)
    power = _intensity(length, u) / _intensity(length, u[:1])
    after = np.argmax(power < 0.5, axis=-1)
    p1, p2 = (np.take_along_axis(power, i[..., None], axis=-1)[..., 0] for i in (after - 1, after))
    half = u[after] - (0.5 - p2) / (p1 - p2) * u[1]
    return 2 * np.degrees(np.arcsin(half))


def _check_length(length_over_wavelength, longest=2.0):
    length = check_positive("length_over_wavelength", length_over_wavelength, unit="wavelengths")
    if np.any(length > longest):
        raise Slip(
            f"length_over_wavelength is the wire's length in wavelengths, up to {longest:g} here; "
            f"got {float(np.max(length)):.6g}"
        )
    return length


def _intensity(length, u):
    """((cos(bu) − cos b)/sin θ)² / b⁴ with b = half the wire in radians and u = cos θ, free of 0/0."""
    b = np.pi * length[..., None]
    return (1 - u**2) * (np.sinc(b * (1 + u) / 2 / np.pi) * np.sinc(b * (1 - u) / 2 / np.pi)) ** 2
