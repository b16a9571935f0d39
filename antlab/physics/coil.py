"""Coils and wire: inductance of a solenoid, skin effect, resistance of wire at HF, wire gauges."""

import numpy as np

from antlab import facts
from antlab.units import (
    INCH_M,
    MU0_H_M,
    Slip,
    broadcasts,
    check_frequency,
    check_number,
    check_positive,
    warn,
)

METALS = {
    row.metal: row
    for row in facts.read(
        "physics/metals.csv", text="metal core", numbers="conductivity_s_m permeability cladding_part"
    )
}
COPPER_S_M = METALS["copper"].conductivity_s_m
MOST_TURNS = 10_000
FLATTEST = 1e6  # diameter over length beyond which the digits cancel
THICK = 100.0  # x beyond which the first terms for thick wire are good to 1e-8
INNER = {"filled": 1 / 4, "skin": 0.0, "crowded": 0.0}  # field inside the wire, in μ0/2π a metre


@broadcasts
def skin_depth_mm(*, f_mhz, conductivity_s_m=COPPER_S_M):
    """Depth at which current in a thick conductor has fallen to 1/e.

    f_mhz: MHz. conductivity_s_m: siemens per metre. Any shapes that broadcast. Returns millimetres, that
    shape.
    Raises Slip for values that are not positive. Valid for non-magnetic metal.
    Source: δ = √(2/(ωμσ)), e.g. NBS Circular 74, "Radio Instruments and Measurements", 1918.

    >>> round(float(al.coil.skin_depth_mm(f_mhz=14.2)), 4)
    0.0175
    """
    omega = 2e6 * np.pi * check_frequency(f_mhz)
    sigma = check_positive("conductivity_s_m", conductivity_s_m, unit="siemens per metre")
    return 1e3 * np.sqrt(2 / (omega * MU0_H_M * sigma))


def skin_effect_ratio(x):
    """Resistance of a round wire at radio frequency against that at direct current.

    x: (radius)·√(ωμσ) = √2·(radius/skin depth), zero or more, any shape. Returns 1 or more, same shape.
    Raises Slip for negative x. Exact for a straight round wire far from others, any frequency.
    Source: the real part of inner_impedance_ratio.

    >>> round(float(al.coil.skin_effect_ratio(4)), 2)
    1.68
    """
    return inner_impedance_ratio(x).real


def inner_impedance_ratio(x):
    """Impedance of a round wire, by the field inside it, against its resistance at direct current.

    x: (radius)·√(ωμσ) = √2·(radius/skin depth), zero or more, any shape. Returns complex, same shape: for
    thick wire the reactance is nearly the resistance.
    Raises Slip for negative x. Exact for a straight round wire far from others, any frequency.
    Source: W. Thomson (Kelvin) 1889; NBS Circular 74, 1918, Table XVIII (value from memory):
    Z/Rdc = (z/2)·J0(z)/J1(z), z = x·√(−j). Here as a continued fraction of J1/J0, which converges
    for every z off the real axis, so that no library of special functions is needed.

    >>> complex(np.round(al.coil.inner_impedance_ratio(40), 1))
    (14.4+14.1j)
    """
    x = check_positive("x", x, zero_ok=True)
    z2 = -1j * x * x
    # z J0/(2 J1) = 1 − (z²/8)/(1 − (z²/24)/(1 − (z²/48)/…)), factors 1/(4n(n+1)), over some |z| levels
    levels = int(np.max(x, initial=0.0, where=x < THICK)) + 20  # ten fewer err by 2e-14
    fraction = np.ones_like(z2)
    for n in range(levels, 0, -1):
        fraction = 1 - z2 * (0.25 / (n * (n + 1))) / fraction
    w = np.sqrt(1j) * np.maximum(x, 1)
    thick = w / 2 + 1 / 4 + 3 / (16 * w) + 3 / (16 * w**2)
    return np.where(x < THICK, fraction, thick)[()]


@broadcasts
def wire_resistance_ohm_per_m(*, f_mhz, wire_diameter_mm, conductivity_s_m=COPPER_S_M):
    """Resistance of a metre of round wire at radio frequency.

    f_mhz: MHz. wire_diameter_mm: bare diameter, millimetres. conductivity_s_m: siemens per metre.
    Any shapes that broadcast. Returns ohms per metre. Raises Slip for values that are not positive.
    Exact for a straight, solid, non-magnetic wire; strands and corrosion cost more.
    Source: direct-current resistance times skin_effect_ratio.

    >>> round(float(al.coil.wire_resistance_ohm_per_m(f_mhz=14.2, wire_diameter_mm=2)), 3)
    0.158
    """
    radius_mm = check_positive("wire_diameter_mm", wire_diameter_mm, unit="millimetres") / 2
    depth_mm = skin_depth_mm(f_mhz=f_mhz, conductivity_s_m=conductivity_s_m)
    direct = 1e6 / (np.multiply(conductivity_s_m, np.pi) * radius_mm**2)
    return direct * skin_effect_ratio(np.sqrt(2) * radius_mm / depth_mm)


def awg_mm(gauge):
    """Bare diameter of an American Wire Gauge number.

    gauge: number, −3 (written 0000) to 40, any shape. Returns millimetres, same shape.
    Raises Slip outside that span.
    Source: ASTM B258: 0.005 in at 36, 0.46 in at 0000, 39 equal steps of ratio between (value from memory).

    >>> round(float(al.coil.awg_mm(14)), 2)
    1.63
    """
    n = check_number("gauge", gauge, finite=False)
    if not np.all((n >= -3) & (n <= 40)):
        raise Slip(f"gauge must be an AWG number from -3 (0000) to 40; got {gauge!r}")
    return INCH_M * 1e3 * 0.005 * 92 ** ((36 - n) / 39)


def nagaoka(diameter_over_length):
    """Nagaoka's factor: inductance of a short current sheet against that of an endless one.

    diameter_over_length: no unit, positive, any shape. Returns 0 to 1, same shape.
    Raises Slip for values that are not positive, or above 1e6. Exact below, to 1e-5 there.
    Source: L. Lorenz, Wied. Ann. 7 (1879); H. Nagaoka, J. Coll. Sci. Tokyo 27 (1909), art. 6, with the
    complete elliptic integrals K and E by Gauss's arithmetic-geometric mean.

    >>> round(float(al.coil.nagaoka(1)), 3)
    0.688
    """
    u = check_positive("diameter_over_length", diameter_over_length)
    if np.any(u > FLATTEST):
        raise Slip(f"diameter_over_length goes up to {FLATTEST:g}; a coil so flat is a ring of wire")
    k2 = u**2 / (1 + u**2)
    # K and (K − E)/K by the mean of 1 and k'; the sum collects the squared differences
    a, b = np.ones_like(u), 1 / np.sqrt(1 + u**2)
    weight, defect = 1.0, k2
    for _ in range(9):
        a, b, c = (a + b) / 2, np.sqrt(a * b), (a - b) / 2
        weight *= 2
        defect = defect + weight * c**2
    big_k = np.pi / (2 * a)
    k_minus_e = big_k * defect / 2
    k, k_other2 = np.sqrt(k2), 1 / (1 + u**2)
    return 4 / (3 * np.pi * np.sqrt(k_other2)) * (k_other2 / k2 * k_minus_e + big_k - k_minus_e - k)


@broadcasts
def rosa_correction_uh(*, diameter_mm, length_mm, turns, wire_mm, current="filled"):
    """What the current sheet counts too much because the coil is of round wire with gaps.

    diameter_mm: mean diameter of the winding. length_mm: turns times pitch. turns: number, whole or not.
    wire_mm: bare wire diameter. Any shapes that broadcast. current: where it runs, "filled", all through the
    wire, as at low frequency; "skin", evenly around it, as at radio frequency in a braid; "crowded", on the
    skin and to the side where the coil's field is, as at radio frequency in solid wire. Returns
    microhenries, to be subtracted.
    Raises Slip for values that are not positive, for wire thicker than the pitch, outside 1 to 10,000 turns
    and for another current. "crowded" is good to 1 % of the coil's inductance for wire up to 0.8 of the
    pitch, to 2 % up to 0.9; where turns all but touch it takes too little off.
    Source: E. B. Rosa, Bull. Bureau of Standards 2 (1906) 161 and Sci. Paper 169 (1916) (from memory):
    μ0·(D/2)·N·(A + B), A = 5/4 − ln(2·pitch/wire); B is the exact sum over pairs of turns of the mean
    distance of two strips one pitch wide; between whole numbers of turns it is interpolated. 5/4 is 3/2, of a
    wire with current on its skin, less the 1/4 of the field inside one that is filled. The crowding is
    derived: each wire keeps the field of the others out, a row of dipoles; tested against rings of filaments.

    >>> round(float(al.coil.rosa_correction_uh(diameter_mm=40, length_mm=30, turns=10, wire_mm=2)), 3)
    0.105
    """
    diameter, length, n = _solenoid(diameter_mm, length_mm, turns)
    check_turns(n)
    if current not in INNER:
        raise Slip(f"current is one of {', '.join(INNER)}; got {current!r}")
    wire = check_positive("wire_mm", wire_mm, unit="millimetres")
    pitch = length / n
    if np.any(wire > pitch * (1 + 1e-9)):
        raise Slip(
            f"{float(np.max(n)):g} turns of {float(np.max(wire)):g} mm wire do not fit side by side into "
            f"{float(np.min(length)):g} mm; make length_mm at least turns times wire_mm"
        )
    pairs = np.arange(1, int(np.max(n)) + 2)
    k = pairs.astype(float)
    below = np.where(k > 1, (k - 1) ** 2 * np.log(np.maximum(k - 1, 1)), 0)
    distance = np.log(k) - (((k + 1) ** 2 * np.log(k + 1) + below) / 2 - k**2 * np.log(k) - 1.5)
    whole = np.arange(1, len(pairs) + 2)
    b = 2 * (np.append(0, np.cumsum(distance)) - np.append(0, np.cumsum(k * distance)) / whole)
    a = 1.5 - INNER[current] - np.log(2 * pitch / wire)
    if current == "crowded":
        # in the middle of a long coil the field at the wire is half of that inside; neighbours weaken it
        full = (np.pi * wire / pitch) ** 2 / 4
        a = a + full / (1 + full / 3) * nagaoka(diameter / length) * (1 - 1 / n)
    return MU0_H_M * 1e3 * diameter / 2 * n * (a + np.interp(n, whole, b))


@broadcasts
def solenoid_uh(*, diameter_mm, length_mm, turns, wire_mm=None, current="filled"):
    """Inductance of a single-layer coil.

    diameter_mm: mean diameter of the winding (form plus one wire), millimetres. length_mm: turns times pitch.
    turns: number, whole or not. wire_mm: bare wire diameter, millimetres; None takes a current sheet.
    Any shapes that broadcast. current: "filled" at low frequency, "skin" or "crowded" at radio frequency, see
    rosa_correction_uh. Returns microhenries.
    Raises Slip for values that are not positive, for turns that do not fit and for another current.
    Valid for a coil small against a wavelength; leads and the capacitance of the coil are not counted.
    Source: L. Lorenz 1879, H. Nagaoka 1909 (nagaoka) less E. B. Rosa 1906 (rosa_correction_uh).

    >>> round(float(al.coil.solenoid_uh(diameter_mm=40, length_mm=30, turns=10)), 2)
    3.28
    """
    diameter, length, n = _solenoid(diameter_mm, length_mm, turns)
    sheet = MU0_H_M * 1e3 * n**2 * np.pi * diameter**2 / (4 * length) * nagaoka(diameter / length)
    if wire_mm is None:
        return sheet
    return sheet - rosa_correction_uh(
        diameter_mm=diameter_mm, length_mm=length_mm, turns=turns, wire_mm=wire_mm, current=current
    )


@broadcasts
def wheeler_uh(*, diameter_mm, length_mm, turns):
    """Inductance of a single-layer coil by the formula that fits on the back of an envelope.

    diameter_mm: mean diameter of the winding, millimetres. length_mm: its length. turns: number.
    Any shapes that broadcast. Returns microhenries. Raises Slip for values that are not positive.
    Within 0.6 % of the current sheet for diameter up to 2.5 lengths; warns beyond.
    Source: H. A. Wheeler, "Simple inductance formulas for radio coils", Proc. IRE 16 (1928) 1398:
    L = a²N²/(9a + 10b), radius a and length b in inches.

    >>> round(float(al.coil.wheeler_uh(diameter_mm=40, length_mm=30, turns=10)), 2)
    3.28
    """
    diameter, length, n = _solenoid(diameter_mm, length_mm, turns)
    if np.any(diameter > 2.5 * length):
        warn(
            "this coil is shorter than 0.4 of its diameter, where Wheeler's formula is off by more "
            "than 0.6 %; solenoid_uh has no such limit"
        )
    a, b = diameter / 2 / (1e3 * INCH_M), length / (1e3 * INCH_M)
    return a**2 * n**2 / (9 * a + 10 * b)


def check_turns(turns):
    """Refuse less than one turn, which is no coil, and more than 10,000.

    turns: number, whole or not, any shape. Returns it as a float array, same shape. Raises Slip.

    >>> from antlab.physics.coil import check_turns
    >>> float(check_turns(9.5))
    9.5
    """
    n = check_positive("turns", turns)
    outside = n[(n < 1) | (n > MOST_TURNS)]
    if outside.size:
        raise Slip(f"turns of a coil go from 1 to {MOST_TURNS:,} here; got {float(outside[0]):g}")
    return n


def _solenoid(diameter_mm, length_mm, turns):
    return (
        check_positive("diameter_mm", diameter_mm, unit="millimetres"),
        check_positive("length_mm", length_mm, unit="millimetres"),
        check_positive("turns", turns),
    )
