"""What every solver promises: one set of tests for the engine's and for the reference's, which share no line.

A Solution is all that pattern, losses and stress know. Here two solvers make one: moments, and the moment
method of tests/world/reference.py, which knows both legs, no images and no potentials.
"""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from reference import Antenna, soil_epsilon, trap_impedance

import antlab as al
from antlab.engine.mesh import Mesh
from antlab.engine.pattern import Pattern
from antlab.engine.solution import Solution

FLAT, VEE = al.FlatTop(height_m=8), al.InvertedVee(apex_m=9, ends_m=5)
FAR = al.Trap(inductance_uh=4.5, capacitance_pf=28.1, q=150)  # for 14.15 MHz
NEAR = al.Trap(inductance_uh=2.0, capacitance_pf=15.7, q=150)  # for 28.4 MHz
PLAIN = {"sections": (5.1,)}
ONE_PAIR = {"sections": (5.05, 3.9), "traps": (FAR,)}
TWO_PAIRS = {"sections": (2.5, 1.9, 3.2), "traps": (NEAR, FAR)}
HOUSE = al.Wire(diameter_mm=2.0, jacket_mm=0.8, jacket_permittivity=3.5)
# MHz, legs, shape, soil, and the wire; every kind of leg, shape, ground and wire is among them
CASES = {
    "plain, free": (14.1, PLAIN, FLAT, "free space", "lossless"),
    "plain, mirror, vee": (14.1, PLAIN, VEE, "perfect ground", "copper"),
    "plain, soil": (14.1, PLAIN, FLAT, "average", "copper"),
    "one pair, free, vee": (7.1, ONE_PAIR, VEE, "free space", "copper"),
    "one pair, mirror": (14.1, ONE_PAIR, FLAT, "perfect ground", "lossless"),
    "one pair, soil, vee": (14.1, ONE_PAIR, VEE, "average", "copper"),
    "two pairs, free": (28.4, TWO_PAIRS, FLAT, "free space", "copper"),
    "two pairs, soil": (14.1, TWO_PAIRS, FLAT, "average", "copper"),
    "plain, free, jacket": (14.1, PLAIN, FLAT, "free space", HOUSE),
    "one pair, soil, vee, jacket": (14.1, ONE_PAIR, VEE, "average", HOUSE),
    "two pairs, mirror, jacket": (7.1, TWO_PAIRS, FLAT, "perfect ground", replace(HOUSE, metal="lossless")),
}


def by_moments(dipole, f_mhz):
    """The engine."""
    return dipole.solution(f_mhz)


def by_reference(dipole, f_mhz):
    """The other solver's answer as a Solution: one frequency after the other, its right leg, own loads."""
    f = np.asarray(f_mhz, dtype=float)
    found = [reference(dipole, float(one)) for one in f.ravel()]
    middle = [wire.currents.size // 2 for wire in found]
    half = [np.r_[wire.currents[m:] * wire.impedance, 0] for wire, m in zip(found, middle, strict=True)]
    one, length = found[0], dipole.length_m / 2
    nodes = np.hypot(*(one.nodes[one.currents.size // 2 + 1 :] - [0, one.middle]).T)
    mesh = Mesh(
        nodes_m=nodes, coarse=np.arange(nodes.size), at_traps=one.at_loads, droop=dipole.shape.droop(length),
        top_m=one.middle, radius_m=one.radius,
    )  # fmt: skip
    return Solution(
        mesh=mesh, soil=dipole.soil, f_mhz=f,
        impedance=np.reshape([wire.impedance for wire in found], f.shape),
        current=np.reshape(half, (*f.shape, nodes.size)),
        traps_ohm=np.reshape(np.transpose([wire.loads for wire in found]), (len(one.loads), *f.shape)),
        ohm_per_m=np.reshape([wire.ohm_per_m for wire in found], f.shape),
    )  # fmt: skip


@cache
def reference(dipole, f_mhz):
    """The reference's antenna for a dipole."""
    soil, shape = dipole.soil, dipole.shape
    ground = None if soil.is_empty else "mirror"
    if not (soil.is_empty or soil.is_mirror):
        ground = soil_epsilon(f_mhz, soil.permittivity, soil.conductivity)
    parts = [(trap.inductance_uh, trap.capacitance_pf, trap.q) for trap in dipole.traps]
    return Antenna(
        f_mhz=f_mhz, sections=dipole.sections, loads=tuple(trap_impedance(f_mhz, *each) for each in parts),
        middle=shape.top_m, ends=shape.ends_m, ground=ground, radius=dipole.wire_diameter_mm / 2000,
        copper=dipole.wire.metal == "copper",
        jacket=(dipole.wire.outer_mm / 2000, dipole.wire.jacket_permittivity),
    )  # fmt: skip


SOLVERS = pytest.mark.parametrize("solver", [by_moments, by_reference])
EVERY_CASE = pytest.mark.parametrize("case", CASES)


def dipole_of(case):
    """MHz and the dipole of a case."""
    f_mhz, legs, shape, soil, wire = CASES[case]
    return f_mhz, al.Dipole(**legs, shape=shape, soil=soil, wire=wire)


@cache
def solved(solver, case):
    f_mhz, dipole = dipole_of(case)
    return solver(dipole, f_mhz)


def keep_to_the_contract(it, dipole, f_mhz):
    """What holds of any Solution of a dipole, whoever made it."""
    f, leg = np.asarray(f_mhz), it.mesh
    traps = [trap for trap in dipole.traps if trap is not None]
    # shapes follow the frequencies
    assert np.array_equal(it.f_mhz, f) and it.soil == dipole.soil and len(it.images) == f.size
    assert it.current.shape == (*f.shape, leg.nodes_m.size)
    assert it.traps_ohm.shape == it.trap_currents.shape == (len(traps), *f.shape)
    assert np.shape(it.impedance) == np.shape(it.ohm_per_m) == f.shape
    assert [np.shape(share) for share in it.losses] == [f.shape] * 2
    # the mesh is the leg, in metres, with each trap where the sections meet
    assert leg.nodes_m[0] == 0 and np.all(np.diff(leg.nodes_m) > 0)
    assert leg.nodes_m[-1] == pytest.approx(dipole.length_m / 2)
    assert leg.nodes_m[leg.coarse[leg.at_traps]] == pytest.approx(np.cumsum(dipole.sections)[: len(traps)])
    assert leg.top_m - leg.droop * leg.nodes_m[-1] == pytest.approx(dipole.shape.ends_m)
    assert 2000 * leg.radius_m == pytest.approx(dipole.wire_diameter_mm)
    # one ampere at the feed, none at the ends, the same on both sides
    assert it.current[..., 0] == pytest.approx(np.ones(f.shape)) and not np.any(it.current[..., -1])
    where, whole = it.whole
    assert np.all(np.diff(where) > 0) and np.array_equal(where, -where[::-1])
    assert np.array_equal(whole, whole[..., ::-1]) and whole.shape == (*f.shape, where.size)
    # ohms: those of the trap, of the skin effect and of an antenna that takes power and makes none
    for ohms, trap in zip(it.traps_ohm, traps, strict=True):
        assert ohms == pytest.approx(trap.impedance(f), rel=1e-9)
    ohms = np.ravel(it.ohm_per_m)
    if dipole.wire.metal == "copper":  # of thick wire, where inner resistance and reactance are nearly one
        assert np.all(ohms.real > 0) and ohms.imag == pytest.approx(ohms.real, rel=0.1)
    else:
        assert not np.any(ohms)
    assert np.all(np.real(it.impedance) > 0) and np.all(np.add(*it.losses) < 1)


# --- each solver by itself


@SOLVERS
@EVERY_CASE
def test_a_solution_keeps_to_the_contract(solver, case):
    """Shapes, units, one ampere at the feed, nothing at the ends, both legs alike."""
    f_mhz, dipole = dipole_of(case)
    keep_to_the_contract(solved(solver, case), dipole, f_mhz)


@SOLVERS
@pytest.mark.parametrize("wire", [PLAIN, TWO_PAIRS], ids=["plain", "two pairs"])
def test_the_shape_out_is_the_shape_in(solver, wire):
    """A sweep is many frequencies at once, in whatever order and shape, each as if asked alone."""
    dipole, f = al.Dipole(**wire, soil="free space"), np.array([[14.1], [7.05], [14.1]])
    it = solver(dipole, f)
    keep_to_the_contract(it, dipole, f)
    for i, one in enumerate(f.ravel()):
        alone = solver(dipole, one)
        assert it.impedance[i, 0] == pytest.approx(alone.impedance, rel=1e-3)
        assert it.current[i, 0] == pytest.approx(alone.current, abs=1e-3)


@SOLVERS
@pytest.mark.parametrize("case", [case for case in CASES if "soil" not in case])
def test_power_fed_is_power_accounted_for(solver, case):
    """Where no soil is warmed, sky, wire and traps together get what was fed: amperes and ohms fit."""
    it = solved(solver, case)
    wire, traps = it.losses
    assert (wire > 0) == (dipole_of(case)[1].wire.metal == "copper") and (traps > 0) == ("pair" in case)
    assert Pattern(it).sky_fraction + wire + traps == pytest.approx(1, abs=3e-3)


@SOLVERS
@pytest.mark.parametrize("case", [case for case in CASES if "pair" in case])
def test_no_current_gets_lost_at_a_trap(solver, case):
    """What flows into a trap flows out of it: carried on from either side, the current is the trap's."""
    it = solved(solver, case)
    for at, amps in zip(it.mesh.coarse[it.mesh.at_traps], it.trap_currents, strict=True):
        for side in (-1, 1):
            (s1, i1), (s2, i2) = ((it.mesh.nodes_m[n], it.current[n]) for n in (at + side, at + 2 * side))
            carried = i1 + (i2 - i1) / (s2 - s1) * (it.mesh.nodes_m[at] - s1)
            assert abs(carried - amps) < 0.02


@EVERY_CASE
def test_both_legs_carry_the_same(case):
    """What the engine and a Solution take for granted the reference finds: it solves for both legs."""
    f_mhz, dipole = dipole_of(case)
    amps = reference(dipole, f_mhz).currents
    assert amps == pytest.approx(amps[::-1], rel=1e-6, abs=1e-9 * abs(amps).max())


# --- and both together


@EVERY_CASE
def test_the_solvers_agree(case):
    """Impedance within 0.6 %, with traps 1.4 %, and the current within 5 mA of 1 A at every node."""
    ours, theirs = solved(by_moments, case), solved(by_reference, case)
    assert abs(ours.impedance / theirs.impedance - 1) < (0.014 if "pair" in case else 0.006)
    amps = np.interp(ours.mesh.nodes_m, theirs.mesh.nodes_m, theirs.current)
    assert abs(amps - ours.current).max() < 0.005
    assert ours.losses == pytest.approx(theirs.losses, rel=0.01)
    assert ours.ohm_per_m == pytest.approx(theirs.ohm_per_m, rel=0.01)


@EVERY_CASE
def test_a_pattern_knows_no_solver(case):
    """Pattern reads either solution, and finds the gain that the reference finds from its own currents."""
    f_mhz, dipole = dipole_of(case)
    elevation, azimuth = np.array([[15.0], [40.0], [80.0]]), np.array([90.0, 50.0])
    ours, theirs = (
        Pattern(solved(solver, case)).gain_dbi(elevation, azimuth) for solver in (by_moments, by_reference)
    )
    own = 10 * np.log10(reference(dipole, f_mhz).gain(elevation, azimuth))
    assert theirs == pytest.approx(own, abs=0.02) and ours == pytest.approx(theirs, abs=0.1)


# --- the tests can fail


@pytest.mark.parametrize(
    "broken",
    [
        lambda it: replace(it, current=it.current * 1.1),
        lambda it: replace(it, current=it.current + 1e-6),
        lambda it: replace(it, current=it.current[..., :-1]),
        lambda it: replace(it, impedance=-it.impedance),
        lambda it: replace(it, impedance=it.impedance[None]),
        lambda it: replace(it, traps_ohm=it.traps_ohm.conj()),
        lambda it: replace(it, traps_ohm=it.traps_ohm[0]),
        lambda it: replace(it, ohm_per_m=0 * it.ohm_per_m),
        lambda it: replace(it, ohm_per_m=it.ohm_per_m.real),
        lambda it: replace(it, ohm_per_m=it.ohm_per_m.conj()),
        lambda it: replace(it, f_mhz=it.f_mhz * 1e6),
        lambda it: replace(it, mesh=replace(it.mesh, at_traps=it.mesh.at_traps - 1)),
        lambda it: replace(it, mesh=replace(it.mesh, nodes_m=it.mesh.nodes_m / 0.3048)),
    ],
)
def test_a_broken_solution_is_found(broken):
    """Wrong in scale, unit, shape, sign or place: each breaks the contract, whoever wrote the solver."""
    f_mhz, dipole = dipole_of("one pair, free, vee")
    it = by_moments(dipole, f_mhz)
    keep_to_the_contract(it, dipole, f_mhz)
    with pytest.raises((AssertionError, ValueError, IndexError)):
        keep_to_the_contract(broken(it), dipole, f_mhz)
