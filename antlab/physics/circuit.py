"""The tuned circuit, and what a mismatch does: resonance, reactance, Q, SWR."""

import numpy as np

from antlab.units import Slip, broadcasts, check_complex, check_frequency, check_positive, warn_outside

LOWEST_Q = 5.0  # from which on the width is f/Q (common practice, no source)


@broadcasts
def resonance_mhz(*, inductance_uh, capacitance_pf):
    """Resonant frequency of a coil and a capacitor.

    inductance_uh: microhenries. capacitance_pf: picofarads. Any shapes that broadcast. Returns MHz, the
    broadcast shape. Raises Slip for values that are not positive. Valid for lumped parts, small against
    a wavelength.
    Source: W. Thomson, "On transient electric currents", Phil. Mag. 5 (1853); f = 1/(2π√(LC)).

    >>> round(float(al.circuit.resonance_mhz(inductance_uh=4, capacitance_pf=100)), 2)
    7.96
    """
    inductance = check_positive("inductance_uh", inductance_uh, unit="microhenries")
    capacitance = check_positive("capacitance_pf", capacitance_pf, unit="picofarads")
    return 1e3 / (2 * np.pi * np.sqrt(inductance * capacitance))


@broadcasts
def capacitance_for_pf(*, f_mhz, inductance_uh):
    """Capacitance that tunes a coil to a frequency.

    f_mhz: MHz. inductance_uh: microhenries. Any shapes that broadcast. Returns picofarads, the broadcast
    shape. Raises Slip for values that are not positive. Source, validity: resonance_mhz, solved for C.

    >>> round(float(al.circuit.capacitance_for_pf(f_mhz=14.2, inductance_uh=4)), 1)
    31.4
    """
    inductance = check_positive("inductance_uh", inductance_uh, unit="microhenries")
    return 1e6 / ((2 * np.pi * check_frequency(f_mhz)) ** 2 * inductance)


@broadcasts
def inductance_for_uh(*, f_mhz, capacitance_pf):
    """Inductance that a capacitor tunes to a frequency.

    f_mhz: MHz. capacitance_pf: picofarads. Any shapes that broadcast. Returns microhenries, the broadcast
    shape. Raises Slip for values that are not positive. Source, validity: resonance_mhz, solved for L.

    >>> round(float(al.circuit.inductance_for_uh(f_mhz=14.2, capacitance_pf=50)), 2)
    2.51
    """
    capacitance = check_positive("capacitance_pf", capacitance_pf, unit="picofarads")
    return 1e6 / ((2 * np.pi * check_frequency(f_mhz)) ** 2 * capacitance)


@broadcasts
def coil_reactance_ohm(*, f_mhz, inductance_uh):
    """Reactance of a coil, positive.

    f_mhz: MHz. inductance_uh: microhenries. Any shapes that broadcast. Returns ohms, the broadcast shape.
    Raises Slip for values that are not positive. Valid well below the coil's own resonance.
    Source: X = ωL, the definition of inductance.

    >>> round(float(al.circuit.coil_reactance_ohm(f_mhz=7.1, inductance_uh=4)))
    178
    """
    inductance = check_positive("inductance_uh", inductance_uh, unit="microhenries")
    return 2 * np.pi * check_frequency(f_mhz) * inductance


@broadcasts
def capacitor_reactance_ohm(*, f_mhz, capacitance_pf):
    """Reactance of a capacitor, negative.

    f_mhz: MHz. capacitance_pf: picofarads. Any shapes that broadcast. Returns ohms, the broadcast shape.
    Raises Slip for values that are not positive. Valid while its leads are short against a wavelength.
    Source: X = −1/(ωC), the definition of capacitance.

    >>> round(float(al.circuit.capacitor_reactance_ohm(f_mhz=7.1, capacitance_pf=100)))
    -224
    """
    capacitance = check_positive("capacitance_pf", capacitance_pf, unit="picofarads")
    return -1e6 / (2 * np.pi * check_frequency(f_mhz) * capacitance)


@broadcasts
def bandwidth_mhz(*, f_mhz, q):
    """Width between the half-power points of a single tuned circuit.

    f_mhz: its resonance, MHz. q: quality factor, no unit. Any shapes that broadcast. Returns MHz, that shape.
    Raises Slip for values that are not positive. Within 3 % for q of 5 and more, where the
    loss is the coil's; warns below, where the peak moves and its sides are no longer alike.
    Source: F. E. Terman, Radio Engineers' Handbook, 1943, section 3 (value from memory): width = f/Q.

    >>> round(float(al.circuit.bandwidth_mhz(f_mhz=7.1, q=100)), 3)
    0.071
    """
    quality = check_positive("q", q)
    warn_outside("a tuned circuit's width, f/Q,", "q", quality, LOWEST_Q)
    return check_frequency(f_mhz) / quality


@broadcasts
def ring_left(*, turns, q):
    """Share of its swing that a tuned circuit still has, some turns after it was left alone.

    turns: to and fro, 0 or more, no unit. q: ωL over the coil's resistance, at resonance, no unit. Any shapes
    that broadcast. Returns 0 to 1, the broadcast shape. Raises Slip for negative turns and for a q of 0.5 or
    less, which creeps back without a swing. Source: Kirchhoff's laws with e^(−Rt/2L), one turn lasting
    2π/√(1/(LC) − (R/2L)²); W. Thomson, as resonance_mhz.

    >>> round(float(al.circuit.ring_left(turns=200, q=200)), 3)
    0.043
    """
    quality = check_positive("q", q)
    if np.any(quality <= 0.5):
        raise Slip("q must be more than 0.5: below that a tuned circuit creeps back and does not swing")
    return np.exp(-2 * np.pi * check_positive("turns", turns, zero_ok=True) / np.sqrt(4 * quality**2 - 1))


@broadcasts
def parallel_impedance(*, f_mhz, inductance_uh, capacitance_pf, q):
    """Impedance of a capacitor across a coil whose loss is a series resistance ωL/Q.

    f_mhz: MHz. inductance_uh: microhenries. capacitance_pf: picofarads. q: the coil's quality factor,
    the same at every frequency. Any shapes that broadcast. Returns complex ohms: about Q·ωL at resonance,
    inductive below it, capacitive above. Raises Slip for values that are not positive.
    Valid for lumped parts; the capacitor's own loss belongs into q.
    Source: Kirchhoff's laws, Z = 1/(1/(ωL/Q + jωL) + jωC).

    >>> z = al.circuit.parallel_impedance(f_mhz=7.958, inductance_uh=4, capacitance_pf=100, q=200)
    >>> round(abs(complex(z)) / 1000)
    40
    """
    x_coil = coil_reactance_ohm(f_mhz=f_mhz, inductance_uh=inductance_uh)
    x_capacitor = capacitor_reactance_ohm(f_mhz=f_mhz, capacitance_pf=capacitance_pf)
    return 1 / (1 / (x_coil * (1 / check_positive("q", q) + 1j)) + 1 / (1j * x_capacitor))


@broadcasts
def reflection_coefficient(impedance, z0_ohm=50):
    """Voltage reflected by a load at the end of a line.

    impedance: complex ohms, resistance not negative. z0_ohm: the line's impedance, real or, for a lossy line,
    complex. Any shapes that broadcast. Returns a complex number, the broadcast shape, magnitude 0 to 1 for
    real z0_ohm.
    Raises Slip for NaN and for a negative resistance. Infinity is an open end and returns 1.
    Source: G = (Z − Z0)/(Z + Z0), e.g. IEEE Std 145 and every book on lines.

    >>> complex(al.circuit.reflection_coefficient(150 + 0j))
    (0.5+0j)
    """
    z = check_complex("impedance", impedance, unit="ohms")
    z0 = check_complex("z0_ohm", z0_ohm, unit="ohms")
    if np.any(np.isnan(z)) or np.any(z.real < 0):
        raise Slip("impedance must have a resistance of zero or more ohms, and no NaN")
    if np.any(np.isnan(z0)) or np.any(z0.real <= 0) or np.any(np.isinf(z0)):
        raise Slip(f"z0_ohm must be a positive number of ohms; got {z0_ohm!r}")
    with np.errstate(invalid="ignore"):
        return np.where(np.isinf(z), 1.0, (z - z0) / (z + z0))[()]


@broadcasts
def impedance_of_reflection(reflection, z0_ohm=50):
    """Load that belongs to a reflection coefficient.

    reflection: complex. z0_ohm: impedance of the line, ohms. Any shapes that broadcast. Returns complex ohms,
    the broadcast shape; infinity (an open end) where the reflection is 1. Refuses no reflection: one above 1,
    as of a meter out of calibration, gives a negative resistance; NaN stays NaN. Raises Slip for shapes
    that do not broadcast.
    Source: Z = Z0·(1 + G)/(1 − G), reflection_coefficient turned round.

    >>> complex(al.circuit.impedance_of_reflection(0.5))
    (150+0j)
    """
    g, z0 = check_complex("reflection", reflection), check_complex("z0_ohm", z0_ohm, unit="ohms")
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(g == 1, complex(np.inf, 0), z0 * (1 + g) / (1 - g))[()]


@broadcasts
def swr(impedance, z0_ohm=50):
    """Standing-wave ratio of a load on a line.

    impedance: complex ohms. z0_ohm: the line's impedance, ohms. Any shapes that broadcast. Returns 1 or more,
    the broadcast shape; infinity for a load that takes no power. Raises Slip as reflection_coefficient
    does.
    Source: SWR = (1 + |G|)/(1 − |G|), the ratio of voltage maximum to minimum on a line without loss.

    >>> round(float(al.circuit.swr(75)), 2)
    1.5
    """
    check_positive("z0_ohm", z0_ohm, unit="ohms")
    return swr_of_reflection(np.abs(reflection_coefficient(impedance, z0_ohm)))


def swr_of_reflection(magnitude):
    """Standing-wave ratio that belongs to a reflection coefficient.

    magnitude: |G|, 0 to 1, any shape. Returns 1 or more, same shape; infinity at 1.
    Raises Slip outside 0 to 1. Source: as swr.

    >>> float(al.circuit.swr_of_reflection(0.5))
    3.0
    """
    rho = check_positive("magnitude", magnitude, zero_ok=True)
    if np.any(rho > 1 + 1e-12):
        raise Slip("magnitude of a reflection cannot exceed 1: no load returns more than it got")
    with np.errstate(divide="ignore"):
        return (1 + rho) / np.maximum(1 - rho, 0.0)


def reflection_of_swr(swr):
    """Magnitude of the reflection coefficient that belongs to a standing-wave ratio.

    swr: 1 or more, any shape, infinity allowed. Returns 0 to 1, same shape.
    Raises Slip below 1. Source: |G| = (SWR − 1)/(SWR + 1), swr turned round.

    >>> float(al.circuit.reflection_of_swr(3))
    0.5
    """
    s = check_positive("swr", swr, finite=False)
    if np.any(s < 1):
        raise Slip(f"swr is 1 for a perfect match and larger otherwise; got {float(np.min(s)):.6g}")
    return 1 - 2 / (s + 1)


def return_loss_db(swr):
    """How far the reflected wave is below the one that came, in decibels.

    swr: standing-wave ratio, 1 or more, any shape. Returns dB, same shape; infinity at SWR 1.
    Raises Slip below 1. Source: −20 log10 |G|; positive by definition (T. S. Bird, IEEE AP Magazine 51,
    2009, "Definition and misuse of return loss").

    >>> round(float(al.circuit.return_loss_db(2)), 1)
    9.5
    """
    with np.errstate(divide="ignore"):
        return -20 * np.log10(reflection_of_swr(swr))


def mismatch_loss_db(swr):
    """Power that a mismatch turns back once, in decibels; a transmitter with a tuner sends it again.

    swr: standing-wave ratio, 1 or more, any shape. Returns dB, same shape; infinity at infinite SWR.
    Raises Slip below 1. Source: −10 log10(1 − |G|²), conservation of energy.

    >>> round(float(al.circuit.mismatch_loss_db(2)), 2)
    0.51
    """
    with np.errstate(divide="ignore"):
        return -10 * np.log10(1 - reflection_of_swr(swr) ** 2)
