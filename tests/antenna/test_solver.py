"""design.py's solver on antennas whose answer is known by hand (tuned.py), and where design() stops."""

import importlib
from dataclasses import replace

import numpy as np
import pytest
from tuned import AIMS, OHMS, TRAP, Tuned

import antlab as al

planning = importlib.import_module("antlab.antenna.design")  # al.design is the function
FLAT = al.FlatTop(height_m=9)
FIXED = {"traps": (TRAP,), "shape": FLAT}


@pytest.fixture
def by_hand(monkeypatch):
    """Every antenna is one of tuned.py: 5 m and 3 m for 7.1 and 14.2 MHz. Returns those that were tried."""
    tried = []

    def made(**given):
        tried.append(Tuned(**given))
        return tried[-1]

    monkeypatch.setattr(planning, "Dipole", made)
    return tried


def test_what_is_asked_when_nothing_is_said(by_hand):
    """100 W on a line of 50 ohms, whatever is sent, supports far enough, gains at these angles."""
    it = al.design(shape=FLAT, trap=TRAP)
    assert (it.power_w, it.z0_ohm, it.sends, it.span_m) == (100, 50, "carrier", None)
    assert it.report_angles_deg == (10, 20, 30, 60, 90)
    with pytest.raises(AttributeError):
        it.power_w = 200


def lengths_for(low_mhz, high_mhz):
    inner = 71 / high_mhz
    return inner, 71 / low_mhz - 1.4 * inner


@pytest.mark.parametrize("aims", [(7.1, 14.2), (7.0, 14.35), (7.3, 14.0), (6.6, 14.1)])
def test_resonant_by_hand(by_hand, aims):
    """From the rule's lengths in a few tries, to a tenth of a millimetre."""
    dipole, slope = planning.resonant(aims, FIXED)
    assert dipole.sections == pytest.approx(lengths_for(*aims), abs=1e-4) and len(by_hand) <= 8
    again, _ = planning.resonant((7.05, 14.1), FIXED, (np.array(dipole.sections), slope))
    assert again.sections == pytest.approx(lengths_for(7.05, 14.1), abs=5e-4)


@pytest.mark.parametrize("pair", [("40m", "20m"), ("80m", "40m"), ("40m", "17m")])
def test_the_widest_by_hand(by_hand, pair):
    """A tuned circuit has the same SWR at both edges where its resonance is their geometric mean."""
    bands = [al.band(name) for name in pair]
    trap = al.Trap(inductance_uh=2.5, capacitance_pf=1e6 / 2.5 / (2 * np.pi * bands[1].middle_mhz) ** 2)
    it = al.design(*pair, shape=FLAT, trap=trap)
    assert len(by_hand) <= 11
    for aim in it.aims:
        assert aim.f_mhz == pytest.approx(np.sqrt(np.prod(aim.edges_mhz)), rel=2e-5)
        low, high = it.dipole.swr(aim.edges_mhz)
        assert low == pytest.approx(high, rel=1e-3)
    np.testing.assert_allclose(it.dipole.minima_mhz, [aim.f_mhz for aim in it.aims], rtol=3e-5)
    moved = it.hung(al.FlatTop(height_m=8))
    np.testing.assert_allclose(moved.dipole.sections, it.dipole.sections, atol=1e-3)


def test_what_a_slip_moves_by_hand(by_hand):
    """A centimetre of wire, a hundredth of a trap and a tenth of height, in kHz, by tuned.py's formulas."""
    it = al.design(shape=FLAT, trap=TRAP, low_mhz=7.1, high_mhz=14.2)
    inner, outer, trap, height = (it.tolerance[key] for key in ("inner", "outer", "trap", "height"))
    low, high = np.log(10 / 10.014), np.log(5 / 5.01)
    assert inner == pytest.approx((7100 * np.sinh(low), 14200 * np.sinh(high)), rel=2e-4)
    assert outer == pytest.approx((-7100 * 0.01 / 10, 0), rel=5e-3, abs=0.01)
    assert trap == pytest.approx((7100 * 0.001, 14200 * 0.003), rel=0.02)
    assert height == pytest.approx((0, 0), abs=0.01)
    off = replace(it, dipole=replace(it.dipole, inner_m=5.02))  # where it is not resonant it moves alike
    assert off.tolerance["inner"] == pytest.approx(inner, rel=0.03)


@pytest.mark.parametrize(("inner_m", "shown"), [(5.02, 71 / 5.02), (4.98, 71 / 4.98), (5.4, 0), (4.5, -1)])
def test_what_a_meter_shows(by_hand, inner_m, shown):
    """The lowest SWR between the sweep's points, by hand; the sweep's end where it lies beyond."""
    it = al.design(shape=FLAT, trap=TRAP, low_mhz=7.1, high_mhz=14.2)
    off = replace(it, dipole=replace(it.dipole, inner_m=inner_m))
    f_mhz, _ = off.sweep(off.high)
    assert off.lowest_mhz(off.high) == pytest.approx(f_mhz[shown] if shown in (0, -1) else shown, rel=2e-5)


@pytest.mark.parametrize(
    ("at", "bend", "low"), [(0.3, 0.1, 2.0), (-0.4, 3.0, 0.5), (0.0, 1.0, 0.0), (1.7, 0.2, 1)]
)
def test_the_lowest_of_three_points(at, bend, low):
    """A parabola's own: where it was laid and how deep; of a straight line and of a hill the middle."""
    assert planning.vertex(bend * (np.array([-1, 0, 1]) - at) ** 2 + low) == pytest.approx((at, low))
    for none in ([1, 2, 3], [1, 1, 1], [1, 1.1, 1], [3, 2, 1]):
        assert planning.vertex(none) == (0, none[1])


def test_who_gives_a_frequency_gets_it():
    """With a mode that has no place on that band, or a licence with none, it is for the whole band."""
    for asked in ({"mode": "phone"}, {"licence": "technician"}):
        aim = planning.aim_on("30m", 10.12, **asked)
        assert (aim.f_mhz, aim.edges_mhz, aim.widest) == (10.12, (10.1, 10.15), False)
    code = planning.aim_on("40m", 7.05, mode="code")
    assert (code.f_mhz, code.edges_mhz) == (7.05, (7.025, 7.125))


def test_a_slope_that_the_last_step_corrects():
    """It gives what the step did, and across the step what it gave before."""
    slope, step, before, after = np.diag([2.0, 3.0]), np.array([1.0, 2.0]), np.ones(2), np.array([4.0, 9.0])
    new = planning.true_to(slope, step, before, after)
    np.testing.assert_allclose(new @ step, [3, 8])
    np.testing.assert_allclose(new @ [2, -1], slope @ [2, -1])


def test_no_length_changes_by_more_than_a_quarter():
    """The step keeps its direction; a small one and none are left as they are."""
    lengths = np.array([4.0, 2.0])
    for step, taken in (
        ([2, 1], [1, 0.5]),
        ([-0.5, 1], [-0.25, 0.5]),
        ([1, 0.1], [1, 0.1]),
        ([0, 0], [0, 0]),
    ):
        assert planning._bounded(np.array(step), lengths).tolist() == taken


def test_legs_that_cannot_hang(by_hand):
    """Neither from three quarters of the first guess nor from all of it: the shape's own sentence says so."""
    with pytest.raises(ValueError, match="cannot fall from 13 m to 2 m"):
        al.design(shape=al.InvertedVee(apex_m=13, ends_m=2), trap=TRAP, low_mhz=7.1, high_mhz=14.2)


def test_a_span_by_hand(by_hand):
    """60 ohms of Q 10 on 60: SWR 2 is where the reactance is R over root 2."""
    it = al.design(shape=FLAT, trap=TRAP, low_mhz=7.1, high_mhz=14.2, z0_ohm=OHMS)
    for aim, f_mhz in zip(it.aims, AIMS, strict=True):
        assert it.span(aim).width_khz == pytest.approx(1e3 * f_mhz / 10 / np.sqrt(2), rel=3e-3)
        assert it.span(aim, 1.5).width_khz < it.span(aim).width_khz < it.span(aim, 3).width_khz


class Reached(Exception):
    """What design() was asked is let through to the solver."""


@pytest.fixture
def solver(monkeypatch):
    def reached(*given):
        raise Reached

    monkeypatch.setattr(planning, "_solved", reached)


@pytest.mark.parametrize(
    ("given", "stops"),
    [
        ({"high": "40m", "low_mhz": 7.0, "high_mhz": 7.291}, "the lower band"),
        ({"low": "10m", "high": "10m", "low_mhz": 28.0, "high_mhz": 29.16}, "the lower band"),
        ({"low": "10m", "high": "10m", "low_mhz": 28.0, "high_mhz": 29.17}, None),
        ({"tuned": 0.849}, "does not part the wire"), ({"tuned": 0.851}, None),
        ({"tuned": 1.099}, None), ({"tuned": 1.101}, "does not part the wire"),
        ({"low_mhz": 7.0}, None), ({"low_mhz": 7.3}, None), ({"low_mhz": 6.999}, "outside the 40m band"),
        ({"low_mhz": 7.301}, "outside the 40m band"), ({"span_m": 0}, "span_m"), ({}, None),
        ({"trap": object()}, "trap is a Trap"),
    ],
)  # fmt: skip
def test_where_it_stops_to_ask(solver, given, stops):
    """Bands 4 % apart, a trap from 15 % below the upper band to 10 % above, band edges that belong."""
    given = {"high_mhz": 14.2} | given
    if tuned := given.pop("tuned", None):
        given["trap"] = al.Trap(inductance_uh=2.5, capacitance_pf=TRAP.capacitance_pf * (
            TRAP.resonance_mhz / 14.2 / tuned) ** 2)  # fmt: skip
    with pytest.raises(ValueError if stops else Reached, match=stops):
        al.design(**{"shape": FLAT} | given)


def test_the_first_lengths_are_a_line_s():
    """A leg of 600 ohms: where the trap is out of the way the rule's quarter waves, all but their ends."""
    inner, outer = planning.first_lengths((7.0, 14.0), (TRAP,))
    assert inner == pytest.approx(468 / 14.0 * 0.3048 / 2, rel=5e-3)
    k = 2 * np.pi * 7.0 / 299.792458
    seen = np.tan(k * inner) + TRAP.impedance(7.0).imag / 600
    assert np.tan(k * outer) == pytest.approx(1 / seen)


@pytest.mark.parametrize(
    ("f_mhz", "coils", "too_short", "said"),
    [
        ((7.0, 14.0), (2.5,), True, ["both 7 and 14 MHz with this trap", "is a coil", "one of 147 ohms"]),
        ((7.0, 14.0), (2.5,), False, ["puts only 4", "Tune the trap nearer"]),
        ((7.0, 14.0), (25.3,), False, ["puts only 4"]),
        ((7.0, 14.0), (25.9,), False, ["is a coil"]),
        ((3.5, 7.0, 14.0), (2.5, 9.0), True, ["all of 3.5 and 7 and 14 MHz with these traps"]),
    ],
)
def test_why_there_is_no_such_wire(f_mhz, coils, too_short, said):
    """A coil of 1500 ohms and more on the lower band is too much; else the trap lets it through."""
    traps = tuple(
        al.Trap(inductance_uh=coil, capacitance_pf=1e6 / coil / (2 * np.pi * f) ** 2)
        for coil, f in zip(coils, f_mhz[:0:-1], strict=True)
    )
    words = str(planning._no_such_wire(f_mhz, traps, too_short))

    assert all(one in words for one in said)
