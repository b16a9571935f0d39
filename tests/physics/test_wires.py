"""wires.py: the field inside a wire and the jacket around it, against Bessel functions and Gauss's law."""

import warnings

import numpy as np
import pytest
import scipy.integrate
import scipy.special
from tables import columns

import antlab as al
from antlab.physics import coil, wires

MU0 = 4e-7 * np.pi
F = np.array([1.9, 3.75, 7.1, 14.15, 28.4])


def layered(f_mhz, radii_m, sigmas, permeabilities):
    """Impedance per metre of a wire in two layers, by the field inside: Maxwell's equations, cylinder waves.

    E = A I0 in the core, B I0 + C K0 in the cladding; E and H go on where they meet.
    """
    (inner, outer), (core, clad) = radii_m, sigmas
    omega = 2e6 * np.pi * f_mhz
    g1, g2 = (np.sqrt(1j * omega * MU0 * m * s) for m, s in zip(permeabilities, sigmas, strict=True))
    iv, kv = scipy.special.iv, scipy.special.kv
    # H = (sigma/gamma) dE/d(gamma r)
    core_e_over_h = iv(0, g1 * inner) / iv(1, g1 * inner) * g1 / core
    y = clad / g2
    a, b = g2 * inner, g2 * outer
    # B = 1; C from E/H at the joint
    c = (core_e_over_h * y * iv(1, a) - iv(0, a)) / (kv(0, a) + core_e_over_h * y * kv(1, a))
    return (iv(0, b) + c * kv(0, b)) / (y * (iv(1, b) - c * kv(1, b))) / (2 * np.pi * outer)


def test_inner_inductance_table():
    """NBS Circular 74, Table XVIII: inner inductance against that at direct current, x²/8 of Rdc as ohms."""
    table = columns("skin_effect")
    ours = coil.inner_impedance_ratio(table["x"])
    np.testing.assert_allclose(ours.imag / (table["x"] ** 2 / 8), table["Li_over_Lidc"], atol=6e-6)


def test_inner_impedance_against_bessel_functions():
    """scipy's Bessel functions of complex argument, thin to thick, across the change of method at 100."""
    x = np.array([1e-3, 0.3, 1, 3, 10, 30, 99.99, 100.01, 300, 600])
    z = x * np.sqrt(-1j)
    exact = z / 2 * scipy.special.jve(0, z) / scipy.special.jve(1, z)
    np.testing.assert_allclose(coil.inner_impedance_ratio(x), exact, rtol=1e-7)


@pytest.mark.parametrize("metal", ["copper", "aluminium", "steel"])
def test_a_solid_wire(metal):
    """Kelvin's formula with the metal's own conductivity and permeability; steel loses 30 times as much."""
    row = coil.METALS[metal]
    sigma, radius = row.conductivity_s_m, 0.8e-3
    k = np.sqrt(-2j * 1e6 * np.pi * F * MU0 * row.permeability * sigma)
    exact = k / (2 * np.pi * radius * sigma) * scipy.special.jve(0, k * radius)
    exact /= scipy.special.jve(1, k * radius)
    np.testing.assert_allclose(al.Wire(diameter_mm=1.6, metal=metal).ohm_per_m(F), exact, rtol=1e-6)


def test_metals_in_their_order():
    """Copper, its cladding, aluminium a third more, steel some thirty times, and nothing where nothing is."""
    ohms = [al.Wire(metal=metal).ohm_per_m(7.1).real for metal in wires.METAL_NAMES]
    assert wires.METAL_NAMES == ("copper", "aluminium", "copper-clad steel", "steel", "lossless")
    assert ohms[1] / ohms[0] == pytest.approx(1 / np.sqrt(0.61), rel=0.01)
    assert ohms[2] / ohms[0] == pytest.approx(1, rel=0.01)
    assert 25 < ohms[3] / ohms[0] < 40 and ohms[4] == 0


@pytest.mark.parametrize("diameter_mm", [0.4, 1.0, 2.0])
def test_copper_over_steel(diameter_mm):
    """The flat layer against cylinder waves in both metals: within 2 % down to one skin depth of copper."""
    copper, steel = coil.METALS["copper"], coil.METALS["steel"]
    wire = al.Wire(diameter_mm=diameter_mm, metal="copper-clad steel")
    radius, thick = diameter_mm / 2e3, coil.METALS["copper-clad steel"].cladding_part * diameter_mm / 1e3
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        ours = wire.ohm_per_m(F)
    exact = layered(
        F,
        (radius - thick, radius),
        (steel.conductivity_s_m, copper.conductivity_s_m),
        (steel.permeability, 1),
    )
    depths = 1e3 * thick / coil.skin_depth_mm(f_mhz=F)
    assert np.abs(ours / exact - 1)[depths > 1].max() < 0.02
    assert np.abs(ours / exact - 1).max() < 0.15


def test_thin_cladding_is_said():
    """Copper of less than two skin depths: 0.065 mm on 80 metres, said with numbers; on 40 it is silent."""
    thin = al.Wire(diameter_mm=1.0, metal="copper-clad steel")
    with pytest.warns(UserWarning, match=r"0\.065 mm, is only 1\.9 skin depths thick at 3\.6 MHz"):
        thin.ohm_per_m([7.1, 3.6])
    thin.ohm_per_m(7.1)


@pytest.mark.parametrize(("jacket_mm", "permittivity"), [(0.8, 3.5), (0.1, 2.3), (2.5, 6)])
def test_the_jacket_by_gauss(jacket_mm, permittivity):
    """What the potential of a charge loses across the jacket: the integral of its field, by quadrature."""
    wire = al.Wire(diameter_mm=2, jacket_mm=jacket_mm, jacket_permittivity=permittivity)
    lost, _ = scipy.integrate.quad(lambda r: (1 - 1 / permittivity) / r, 1, 1 + jacket_mm)
    assert wire.charge_log == pytest.approx(lost, rel=1e-9)
    assert wire.outer_mm == 2 + 2 * jacket_mm


def test_no_jacket_in_three_ways():
    """None, one of no thickness, one of air: bare wire."""
    for wire in (al.Wire(), al.Wire(jacket_permittivity=3.5), al.Wire(jacket_mm=9)):
        assert wire.charge_log == 0


def test_names():
    """A wire by its name however it is written, a metal's for bare wire, a Wire as it is."""
    house = wires.WIRES["PVC 2.5 mm²"]
    for name in ("PVC 2.5 mm²", "pvc 2.5mm2", "PVC-2.5-mm2", house):
        assert wires.wire(name) is house
    assert (house.diameter_mm, house.outer_mm, house.jacket_permittivity) == (2.0, 3.6, 3.5)
    assert wires.wire() == al.Wire() and wires.wire("Aluminum") == al.Wire(metal="aluminium")
    assert wires.wire("steel", wire_diameter_mm=1.2) == al.Wire(metal="steel", diameter_mm=1.2)
    assert wires.wire(house, wire_diameter_mm=2) is house
    assert all(wires.wire(name).name == name for name in wires.WIRES)
    assert wires.wire("bare copper 2 mm") == al.Wire(), "what it is sold as changes nothing"
    assert set(wires.IN_PLANNER) <= set(wires.WIRES) and wires.IN_PLANNER[0] == "bare copper 2 mm"


def test_in_words():
    """A wire of one's own is called by its data, one of the table by its name."""
    assert al.Wire(diameter_mm=1.6, metal="steel").called == "1.6 mm steel"
    assert al.Wire(jacket_mm=0.8, jacket_permittivity=3.5).called == "2 mm copper in a jacket of 0.8 mm"
    assert wires.wire("PVC 1.5 mm²").called == "PVC 1.5 mm² (1.56 mm copper in a jacket of 0.7 mm)"
    assert wires.wire("bare copper 2 mm").called == "bare copper 2 mm"


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (lambda: al.Wire(diameter_mm=0), "diameter_mm must be .* millimetres"),
        (lambda: al.Wire(diameter_mm=[1, 2]), "one number"),
        (lambda: al.Wire(jacket_mm=-1), "jacket_mm must be zero or .* millimetres"),
        (lambda: al.Wire(jacket_permittivity=0.9), "relative to empty space.*0.9"),
        (lambda: al.Wire(jacket_permittivity=np.nan), "jacket_permittivity"),
        (lambda: al.Wire(metal="gold"), "copper, aluminium.*lossless.*'gold'"),
        (lambda: al.Wire(metal=["copper"]), "metal is one of"),
        (lambda: al.Wire(jacket_mm=80), "thickness of the jacket"),
        (lambda: wires.wire("string"), "'string' is no wire I know.*PVC 2.5 mm².*copper"),
        (lambda: wires.wire("PVC 2.5 mm²", wire_diameter_mm=1.6), "is 2 mm thick .* says 1.6"),
        (lambda: wires.wire("copper", wire_diameter_mm=0), "wire_diameter_mm"),
        (lambda: al.Wire().ohm_per_m(7100), "kilohertz"),
    ],
)
def test_nonsense_is_refused(call, sentence):
    """Each message names the argument and what it wants."""
    with pytest.raises(ValueError, match=sentence):
        call()


def test_a_solid_wire_to_all_digits():
    """Copper's resistance as coil.py has it from the skin depth, which was checked by its definition."""
    for f in (1.9, 28.4):
        ours = al.Wire(diameter_mm=1.6).ohm_per_m(f).real
        theirs = coil.wire_resistance_ohm_per_m(f_mhz=f, wire_diameter_mm=1.6)
        assert ours == pytest.approx(theirs, rel=1e-9)


def test_ends_of_the_range():
    """Silent just inside, said or refused just outside: a jacket's width, permittivity, skin depths, size."""
    al.Wire(diameter_mm=1, jacket_mm=1.5, jacket_permittivity=10)
    al.Wire(diameter_mm=1, jacket_mm=9.5)
    with pytest.warns(UserWarning, match=r"4\.2 times as wide .* up to 4"):
        al.Wire(diameter_mm=1, jacket_mm=1.6, jacket_permittivity=2)
    for wrong in ({"jacket_mm": 9.6}, {"jacket_permittivity": 10.1}):
        with pytest.raises(ValueError, match="no wire that is sold|10 at the most"):
            al.Wire(diameter_mm=1, **wrong)
    thin = al.Wire(diameter_mm=1.0, metal="copper-clad steel")
    thin.ohm_per_m(4.15)  # 0.065 mm are two skin depths at 4.136 MHz
    with pytest.warns(UserWarning, match=r"2\.0 skin depths"):
        thin.ohm_per_m(4.12)
    with pytest.raises(ValueError, match="leave wire_diameter_mm out"):
        wires.wire("PVC 2.5 mm²", wire_diameter_mm=2.001)
