"""dipole.py: what the Dipole hands out, and what it refuses."""

import dataclasses
import warnings

import numpy as np
import pytest
from make_converged import antenna
from reference import Antenna, soil_epsilon
from test_moments import PLAIN, dipole

import antlab as al

TRAP = al.Trap(inductance_uh=8.2, capacitance_pf=60, q=150)
SMALL = al.Trap(inductance_uh=4.5, capacitance_pf=28.1, q=150)  # for 14.15 MHz
TINY = al.Trap(inductance_uh=2.0, capacitance_pf=15.7, q=150)  # for 28.4 MHz
FLAT = al.FlatTop(height_m=8)


def make(**changes):
    arguments = {
        "inner_m": 9.75,
        "outer_m": 6.7,
        "trap": TRAP,
        "shape": FLAT,
        "soil": al.soil("average"),
        **changes,
    }
    return al.Dipole(**arguments)


# --- what it hands out


def test_impedance_has_the_shape_of_frequency():
    wire = make()
    assert np.ndim(wire.impedance(7.1)) == 0 and np.iscomplexobj(wire.impedance(7.1))
    assert wire.impedance([7.0, 7.1, 7.2]).shape == (3,)
    assert wire.impedance(np.array([[7.0, 7.1], [14.0, 3.7]])).shape == (2, 2)
    assert wire.swr(np.array([[7.0, 7.1]])).shape == (1, 2)
    np.testing.assert_allclose(
        wire.impedance([7.2, 3.7]), [wire.impedance(7.2), wire.impedance(3.7)], rtol=1e-3
    )


def test_an_empty_sweep_is_empty():
    assert make().impedance(np.array([])).shape == (0,)


def test_swr_is_that_of_the_impedance():
    """(1 + |G|)/(1 - |G|), for 50 ohm unless told otherwise."""
    wire = make()
    for z0 in (50, 75):
        z = wire.impedance(7.1)
        size = abs((z - z0) / (z + z0))
        assert wire.swr(7.1, z0_ohm=z0) == pytest.approx((1 + size) / (1 - size))
    assert wire.swr(7.1) == wire.swr(7.1, z0_ohm=50)


def test_frequencies_and_lines_that_do_not_go_together():
    """Two frequencies and three lines: a sentence that names both, or a table."""
    with pytest.raises(ValueError, match=r"f_mhz of shape \(2,\) and z0_ohm of shape \(3,\)"):
        make().swr([7.1, 7.2], z0_ohm=[50, 75, 300])
    assert make().swr([[7.1], [7.2]], z0_ohm=[50, 75, 300]).shape == (2, 3)


def test_current_per_ampere_at_the_feed():
    """One ampere in the middle, none at the ends, the same on both sides, along the whole wire."""
    where, current = make().current(7.1)
    assert where.shape == current.shape
    assert np.all(np.diff(where) > 0)
    assert where[-1] - where[0] == pytest.approx(2 * (9.75 + 6.7))
    assert current[np.argmin(abs(where))] == pytest.approx(1)
    assert abs(current[[0, -1]]).max() < 1e-12
    np.testing.assert_allclose(current, current[::-1], rtol=1e-6)
    assert make().current([7.0, 7.1, 7.2])[1].shape == (3, where.size)


@pytest.mark.parametrize("number", [3, 12])
def test_current_against_the_reference(number):
    """Size and phase along the wire within 0.02 A of the piecewise-sinusoid solution."""
    row = PLAIN[number]
    where, current = dipole(row).current(row["f_mhz"])
    other = antenna(row, finest=0.1)
    along = np.r_[0, np.cumsum(other.parts[2])] - row["inner_m"]
    theirs = np.r_[0, other.currents * other.impedance, 0]
    assert abs(np.interp(where, along, theirs) - current).max() < 0.02


def test_half_wave_current_is_nearly_a_cosine():
    """What every textbook draws; with the quadrature part that it leaves out, 0.08 A is asked for."""
    where, current = al.Dipole(inner_m=10.2, shape=FLAT, soil=al.FREE_SPACE).current(7.1)
    assert abs(current - np.cos(np.pi / 2 * where / 10.2)).max() < 0.08


def test_plain_dipole_by_inner_alone():
    """No trap: a wire of twice inner + outer."""
    one = al.Dipole(inner_m=10.0, shape=FLAT, soil=al.soil("average"))
    assert one.current(7.1)[0][-1] == pytest.approx(10.0)


def test_objects_are_frozen_and_compare():
    """Two alike are equal; a changed copy is another; none can be changed in place."""
    wire = make()
    assert wire == make()
    with pytest.raises(dataclasses.FrozenInstanceError):
        wire.inner_m = 3
    higher = dataclasses.replace(wire, shape=al.FlatTop(height_m=12))
    assert higher.impedance(7.1) != wire.impedance(7.1)


# --- sequences: sections of wire, and the traps between them


def test_inner_outer_and_trap_are_names_of_the_ends():
    """One antenna said in two ways is one antenna, and an old name still says what to change."""
    wire = make()
    assert wire == make(inner_m=..., outer_m=..., trap=..., sections=(9.75, 6.7), traps=(TRAP,))
    assert (wire.inner_m, wire.outer_m, wire.trap, wire.length_m) == (9.75, 6.7, TRAP, 2 * (9.75 + 6.7))
    assert dataclasses.replace(wire, inner_m=9.5, outer_m=7).sections == (9.5, 7)
    assert dataclasses.replace(wire, sections=(9, 7)).traps == (TRAP,)
    plain = dataclasses.replace(wire, trap=None)
    assert (plain.inner_m, plain.outer_m, plain.trap) == (9.75, 6.7, None)
    assert plain.impedance(7.1) == make(inner_m=9.75 + 6.7, outer_m=0, trap=None).impedance(7.1)
    three = make(sections=(5, 3, 2), traps=(TRAP, SMALL), inner_m=4, outer_m=1, trap=...)
    assert three.sections == (4, 3, 1) and three.trap == TRAP and three.length_m == 16


def test_the_outer_wire_is_the_last_one():
    """Beyond the last trap; where there is none all of it is inner wire."""
    assert al.Dipole(inner_m=5, soil="free space").outer_m == 0
    trap = al.Trap(inductance_uh=5, capacitance_pf=25)
    three = al.Dipole(sections=(2.5, 1.9, 3.2), traps=(trap, trap), soil="free space")
    assert (three.inner_m, three.outer_m) == (2.5, 3.2)


def test_where_there_is_no_trap_the_wire_goes_on():
    """A place for a trap with none in it is neither cut nor loaded: the antenna without that place."""
    for sections, traps in (((5, 4.75, 6.7), (None, TRAP)), ((9.75, 2.7, 4), (TRAP, None))):
        places = make(inner_m=..., outer_m=..., trap=..., sections=sections, traps=traps)
        assert places.impedance(7.1) == pytest.approx(make().impedance(7.1), rel=1e-12)
        assert places.trap_current(7.1) == pytest.approx(make().trap_current(7.1), rel=1e-12)


@pytest.mark.parametrize(("f_mhz", "stopped"), [(28.4, 0), (14.1, 1), (7.1, None)])
@pytest.mark.parametrize(("middle", "ends"), [(9.0, 9.0), (10.0, 5.0)])
def test_three_bands_by_two_pairs_of_traps(f_mhz, stopped, middle, ends):
    """A second pair of traps needs nothing but data: impedance within 1.4 % of the reference, current too.

    Above 28 MHz the first pair ends the antenna, above 14 the second does, and on 7 all the wire takes part.
    """
    hung = al.FlatTop(height_m=9) if ends == middle else al.InvertedVee(apex_m=middle, ends_m=ends)
    wire = al.Dipole(sections=(2.5, 1.9, 3.2), traps=(TINY, SMALL), shape=hung)
    loads = tuple(trap.impedance(f_mhz) for trap in wire.traps)
    other = Antenna(
        f_mhz=f_mhz, sections=wire.sections, loads=loads, middle=middle, ends=ends,
        ground=soil_epsilon(f_mhz, 13, 0.005), copper=True,
    )  # fmt: skip
    assert abs(wire.impedance(f_mhz) / other.impedance - 1) < 0.014
    amps = np.array([wire.trap_current(f_mhz, trap=which) for which in (0, 1)])
    theirs = other.currents[len(other.currents) // 2 + other.at_loads] * other.impedance
    assert abs(amps - theirs).max() < 0.005
    assert abs(amps).min() > 0.5 if stopped is None else abs(amps[stopped]) < 0.02
    lost = wire.losses(f_mhz)[1] * wire.impedance(f_mhz).real
    assert lost == pytest.approx(2 * np.sum(abs(amps) ** 2 * np.real(loads)))
    assert wire.impedance(np.array([[7.0, 14.1], [28.4, 28.9]])).shape == (2, 2)


def test_a_wire_in_every_way_it_is_said():
    """A Wire, a name, a metal with a thickness: kept as a Wire, whose thickness is still read."""
    own = al.Wire(diameter_mm=1.6, metal="steel")
    assert make(wire=own) == make(wire="steel", wire_diameter_mm=1.6) == make(wire=own, wire_diameter_mm=1.6)
    assert make().wire == al.Wire() and make(wire_diameter_mm=3).wire == al.Wire(diameter_mm=3)
    house = make(wire="PVC 2.5 mm²")
    assert house.wire.outer_mm == 3.6 and house.wire_diameter_mm == 2
    assert dataclasses.replace(house, inner_m=9).wire == house.wire
    assert dataclasses.replace(house, wire=own).wire_diameter_mm == 1.6


def test_named_soils():
    """The names a lesson uses; average is 13 and 5 mS/m, the public table's heavy clay."""
    assert al.soil("average").permittivity == 13
    assert al.soil("average").conductivity == 0.005
    assert al.soil("sea water").conductivity == 5


# --- what it refuses, and with which words


@pytest.mark.parametrize(
    ("call", "word"),
    [
        (lambda: al.FlatTop(height_m=0), "height_m"),
        (lambda: al.FlatTop(height_m=-3), "height_m"),
        (lambda: al.FlatTop(height_m=9000), "higher than any support"),
        (lambda: al.FlatTop(height_m=np.nan), "height_m"),
        (lambda: al.FlatTop(height_m=np.inf), "height_m"),
        (lambda: al.FlatTop(height_m="ten"), "height_m"),
        (lambda: al.InvertedVee(apex_m=10, ends_m=0), "ends_m"),
        (lambda: al.InvertedVee(apex_m=10, ends_m=-1), "ends_m"),
        (lambda: al.InvertedVee(apex_m=0, ends_m=3), "apex_m"),
        (lambda: al.InvertedVee(apex_m=np.nan, ends_m=3), "apex_m"),
        (lambda: make(inner_m=0), "inner_m"),
        (lambda: make(inner_m=-5), "inner_m"),
        (lambda: make(inner_m=np.nan), "inner_m"),
        (lambda: make(inner_m="ten metres"), "inner_m"),
        (lambda: make(inner_m=[5, 6]), "inner_m"),
        (lambda: make(outer_m=-5), "outer_m"),
        (lambda: make(outer_m=np.nan), "outer_m"),
        (lambda: make(outer_m=0), "outer_m"),
        (lambda: make(wire_diameter_mm=0), "wire_diameter_mm"),
        (lambda: make(wire_diameter_mm=-2), "wire_diameter_mm"),
        (lambda: make(wire_diameter_mm=np.nan), "wire_diameter_mm"),
        (lambda: make(wire="cheese"), "copper.*lossless|lossless.*copper"),
        (lambda: make(wire=None), "no wire I know"),
        (lambda: make(wire=al.Wire(diameter_mm=2), wire_diameter_mm=1.6), "2 mm thick .* says 1.6"),
        (lambda: make(trap="trap"), "[Tt]rap"),
        (lambda: make(inner_m=..., outer_m=..., trap=None), "how long is the wire"),
        (lambda: make(sections=9.75), "go in brackets"),
        (lambda: make(traps=TRAP), "go in brackets"),
        (lambda: make(sections=(5, -4, 3), traps=(TRAP, TRAP)), "sections"),
        (lambda: make(sections=(5, 4, 3), traps=(TRAP,)), "3 sections there are 2 traps"),
        (lambda: make(sections=(5, 4), traps=(TRAP, SMALL)), "very end"),
        (lambda: make(traps=("trap", TRAP)), "outer_m=0|Trap"),
        (lambda: make(trap=None).trap_current(7.1), "has no trap"),
        (lambda: make().trap_current(7.1, trap=1), "0 to 0"),
        (lambda: make(shape="flat"), "shape"),
        (lambda: make(shape=8.0), "shape"),
        (lambda: make(soil="clay soil"), "soil"),
        (lambda: make().impedance(7_100_000), "hertz"),
        (lambda: make().impedance(7100), "kilohertz"),
        (lambda: make().impedance(0), "f_mhz"),
        (lambda: make().impedance(-7), "f_mhz"),
        (lambda: make().impedance([7.0, np.nan]), "f_mhz"),
        (lambda: make().impedance("forty"), "f_mhz"),
        (lambda: make().swr(7.1, z0_ohm=0), "z0_ohm"),
        (lambda: make().swr(7.1, z0_ohm=np.nan), "z0_ohm"),
        (lambda: make().pattern([7.0, 7.1]), "one frequency"),
        (lambda: make().pattern(7_100_000), "hertz"),
    ],
)
def test_bad_input_is_refused_with_a_sentence(call, word):
    with pytest.raises(ValueError, match=word) as refusal:
        call()
    assert len(str(refusal.value).split()) >= 5, "a sentence, that says what is wanted"


def test_legs_shorter_than_the_drop():
    """From 12 m down to 3 m cannot be reached by 8 m of wire: the sentence names all three."""
    with pytest.raises(ValueError, match="8.* 12 .* 3 "):
        al.Dipole(inner_m=8.0, shape=al.InvertedVee(apex_m=12, ends_m=3), soil=al.soil("average"))


def test_trap_wants_a_wire_beyond_it_and_a_name_typed_right():
    with pytest.raises(ValueError, match="outer_m"):
        al.Dipole(inner_m=10, trap=TRAP, shape=FLAT, soil=al.soil("average"))
    with pytest.raises(TypeError):
        al.Dipole(inner_m=10, shape=FLAT, soil=al.soil("average"), hight_m=3)


@pytest.mark.parametrize(
    "changes",
    [
        {"shape": al.FlatTop(height_m=0.8)},
        {"shape": al.InvertedVee(apex_m=8, ends_m=0.5)},
        {"wire_diameter_mm": 150.0},
    ],
)
def test_outside_the_tested_range_is_said(changes):
    """A low wire or one like a drainpipe is computed, with a warning of how far that is trusted."""
    with pytest.warns(UserWarning, match="checked"):
        make(**changes).impedance(7.1)


def test_thickness_is_counted_over_the_jacket():
    """A fiftieth of a section, and what lies on the ground, by the outside of the wire."""

    def hung(height_m, jacket_mm):
        wire = al.Wire(diameter_mm=40, jacket_mm=jacket_mm, jacket_permittivity=2)
        return make(wire=wire, inner_m=5, shape=al.FlatTop(height_m=height_m))

    hung(8, 30)
    with pytest.warns(UserWarning, match="102 mm is thick for wire 5 m long"):
        hung(8, 31)
    with pytest.warns(UserWarning, match="comes within 0.041 m"):
        hung(0.041, 20)
    with pytest.raises(ValueError, match="80 mm thick lies on the ground"):
        hung(0.04, 20)


def test_inside_the_tested_range_is_quiet():
    """Warnings are errors in this suite: a good antenna says nothing."""
    for f in (3.5, 7.1, 14.2, 29.0):
        make().impedance(f)
        make(shape=al.InvertedVee(apex_m=11, ends_m=3)).pattern(f)


def test_how_thick_and_how_low_is_warned_of():
    """A fiftieth of the shortest section, and 1 m, belong to what was checked; just beyond it warns."""
    al.Dipole(inner_m=0.1, wire_diameter_mm=2, soil="free space")
    with pytest.warns(UserWarning, match="2.001 mm is thick for wire 0.1 m long"):
        al.Dipole(inner_m=0.1, wire_diameter_mm=2.001, soil="free space")
    al.Dipole(inner_m=5, shape=al.FlatTop(height_m=1))
    with pytest.warns(UserWarning, match="within 0.99 m of the ground"):
        al.Dipole(inner_m=5, shape=al.FlatTop(height_m=0.99))
    with pytest.raises(ValueError, match="lies on the ground"), warnings.catch_warnings():
        warnings.simplefilter("ignore")
        al.Dipole(inner_m=5, shape=al.FlatTop(height_m=0.001), wire_diameter_mm=2)
