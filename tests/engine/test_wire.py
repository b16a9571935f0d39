"""Wire as it is bought, in the engine: what its metal and its jacket do to an antenna."""

from dataclasses import replace

import numpy as np
import pytest
from reference import C
from test_contract import reference

import antlab as al
from antlab.engine import mesh, moments

HOUSE = al.Wire(diameter_mm=2.0, jacket_mm=0.8, jacket_permittivity=3.5)
THICK = al.Wire(diameter_mm=1.0, jacket_mm=1.5, jacket_permittivity=6)


def resonance(of, f_mhz, reach=0.035):
    """Where the reactance of an antenna rises through zero, near f_mhz, MHz."""
    f = f_mhz * np.linspace(1 - reach, 1 + reach, 71)
    x = np.imag(of(f))
    i = int(np.flatnonzero((x[:-1] < 0) & (x[1:] >= 0))[0])
    return f[i] - x[i] * (f[i + 1] - f[i]) / (x[i + 1] - x[i])


def by_reference(dipole, f_mhz):
    """The same by the other solver, from three of its frequencies."""
    f = f_mhz * np.array([0.998, 1, 1.002])
    x = [reference(dipole, float(one)).impedance.imag for one in f]
    return float(np.polyval(np.polyfit(x, f, 2), 0))


@pytest.fixture(scope="module", params=[("40m", "20m", (-180, -201)), ("20m", "10m", (-393, -448))])
def rebuilt(request):
    """A design for bare copper, and what an independent solver, none of ours, finds for it in house wire."""
    low, high, khz = request.param
    return al.design(low, high, shape=al.FlatTop(height_m=10)), khz


def test_house_wire_instead_of_bare(rebuilt):
    """2.0 mm of copper in 0.8 mm of PVC: both resonances move as found there, to 0.1 % of the frequency."""
    made, khz = rebuilt
    for aim, shift in zip(made.aims, khz, strict=True):
        moved = resonance(
            replace(made.dipole, wire=HOUSE).impedance, aim.f_mhz * (1 + shift / 1e3 / aim.f_mhz)
        )
        bare = resonance(made.dipole.impedance, aim.f_mhz)
        assert 1e3 * (moved - bare) == pytest.approx(shift, abs=aim.f_mhz)


@pytest.mark.parametrize("wire", ["copper", HOUSE, THICK, "lossless"])
def test_resonances_are_the_reference_s(rebuilt, wire):
    """Within 0.15 % of the second solver, which has the jacket in another form, over a mirror, both bands."""
    made, _ = rebuilt
    dipole = replace(made.dipole, soil="perfect ground", wire=wire)
    for aim in made.aims:
        ours = resonance(dipole.impedance, aim.f_mhz * (0.965 if dipole.wire.jacket_mm else 1), reach=0.05)
        assert ours == pytest.approx(by_reference(dipole, ours), rel=1.5e-3)


@pytest.mark.parametrize("wire", [al.Wire(), HOUSE, THICK])
def test_a_low_wire_over_a_mirror_is_a_line(wire):
    """Its wave is as slow as √(C/C0) of a line: 1/C falls by the jacket's ln, L stays. By two lengths.

    The first resonance and the third, one wave apart, take the ends out of it. Closed form: images.
    """
    height, f = 1.0, 3.6
    log = np.log(2e3 * height / (wire.diameter_mm / 2))
    slowed = np.sqrt(1 - wire.charge_log / log)

    def resonant_m(waves):
        lengths = waves * slowed * C / f / 4e6 * np.linspace(0.975, 1.005, 7)
        x = [
            al.Dipole(
                inner_m=leg, shape=al.FlatTop(height_m=height), soil="perfect ground",
                wire=replace(wire, metal="lossless"),
            ).impedance(f).imag
            for leg in lengths
        ]  # fmt: skip
        return np.interp(0, x, lengths)

    wave = 2 * (resonant_m(3) - resonant_m(1))
    assert wave / (C / f / 1e6) == pytest.approx(slowed, abs=1.5e-3)


def test_no_jacket_is_bare_wire():
    """A jacket of air, or one of no thickness, changes nothing; a thin one little, in proportion."""

    def z(**jacket):
        return al.Dipole(inner_m=10, soil="free space", wire=al.Wire(**jacket)).impedance(7.1)

    bare = z()
    assert z(jacket_mm=0, jacket_permittivity=3.5) == z(jacket_mm=0.8, jacket_permittivity=1) == bare
    thin = [z(jacket_mm=mm, jacket_permittivity=3.5) - bare for mm in (0.001, 0.002)]
    assert 0 < thin[0].imag < 0.1 and thin[1] / thin[0] == pytest.approx(2, rel=0.01)


def test_inner_impedance_at_the_feed():
    """What copper adds at the feed is its inner impedance times I² along the wire; a resonance is lower."""
    at = {"inner_m": 10.2, "soil": "free space"}
    copper, lossless = (al.Dipole(**at, wire=wire) for wire in ("copper", "lossless"))
    added = copper.impedance(7.1) - lossless.impedance(7.1)
    where, amps = lossless.current(7.1)
    assert added == pytest.approx(copper.wire.ohm_per_m(7.1) * np.trapezoid(amps**2, where), rel=0.01)
    fall = resonance(copper.impedance, 7.1) / resonance(lossless.impedance, 7.1) - 1
    assert -1e-3 < fall < -3e-4


def test_steel_warms_and_lengthens():
    """Steel's inner impedance is some thirty times copper's: a tenth of a 40 m dipole's power and more."""
    at = {"inner_m": 10.2, "soil": "free space"}
    copper, steel = (al.Dipole(**at, wire=wire) for wire in ("copper", "steel"))
    assert 20 < steel.losses(7.1)[0] / copper.losses(7.1)[0] < 40
    assert resonance(steel.impedance, 7.0) < resonance(copper.impedance, 7.0) * 0.99
    for wire in (copper, steel):  # sky and wire share what is fed
        assert wire.losses(7.1)[0] + wire.pattern(7.1).sky_fraction == pytest.approx(1, abs=3e-3)


def test_slopes_overlap():
    """<f', f'> by differences on a grid, on uneven pieces: the feed's half triangle too."""
    leg = mesh.mesh_of(al.FlatTop(height_m=9), (0.8, 0.5), 0.001)
    where = np.sort(np.r_[leg.nodes_m, (leg.nodes_m[1:] + leg.nodes_m[:-1]) / 2])
    for m, n in ((0, 0), (3, 3), (0, 1), (7, 8), (2, 4)):
        slopes = [
            np.diff(np.interp(where, leg.nodes_m, np.arange(leg.nodes_m.size) == i)) / np.diff(where)
            for i in (m, n)
        ]
        assert leg.slope_overlap[m, n] == pytest.approx(np.prod(slopes, axis=0) @ np.diff(where), abs=1e-6)
    assert abs(leg.slope_overlap - leg.slope_overlap.T).max() == 0


def test_the_jacket_is_the_legs_own_charge_alone():
    """It takes ln/2π of <f', f'> off one block of four: nothing from the current, or between the legs."""
    leg = mesh.mesh_of(al.InvertedVee(apex_m=9, ends_m=5), (5.0, 3.0), 0.001)
    bare, coated = (moments.Fill(leg, al.FREE_SPACE, log).sharp for log in (0.0, 0.3))
    gone = [one - other for one, other in zip(bare, coated, strict=True)]
    assert gone[1] == pytest.approx(0.3 / (2 * np.pi) * leg.slope_overlap, abs=1e-9)
    assert not np.any(gone[0]) and not np.any(gone[2]) and not np.any(gone[3])
