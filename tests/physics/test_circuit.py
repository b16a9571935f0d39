"""circuit.py: resonance, reactance and SWR agree with published circuits, tables and a circuit library."""

import numpy as np
import pytest
import skrf
from hypothesis import given
from hypothesis import strategies as st
from tables import columns

from antlab.physics import circuit

frequencies, coils, qs = st.floats(1, 60), st.floats(0.1, 100), st.floats(2, 500)


def test_trap_of_1955():
    """C. L. Buchanan, QST March 1955 (value from memory): 8.2 uH with 60 pF; 7.17526 MHz computed by hand."""
    assert circuit.resonance_mhz(inductance_uh=8.2, capacitance_pf=60) == pytest.approx(7.17526, abs=5e-6)


@given(frequencies, coils)
def test_either_part_can_be_found_from_the_other(f_mhz, inductance_uh):
    """The three forms of the resonance formula turn each other round."""
    c = circuit.capacitance_for_pf(f_mhz=f_mhz, inductance_uh=inductance_uh)
    assert circuit.resonance_mhz(inductance_uh=inductance_uh, capacitance_pf=c) == pytest.approx(f_mhz)
    assert circuit.inductance_for_uh(f_mhz=f_mhz, capacitance_pf=c) == pytest.approx(inductance_uh)


def test_reactances_against_a_circuit_library():
    """scikit-rf's lumped inductor and capacitor, across the line between two 50 ohm ports."""
    f = np.array([3.6, 7.1, 14.2])
    media = skrf.media.DefinedGammaZ0(skrf.Frequency.from_f(f, unit="MHz"), z0=50)
    coil = media.inductor(5e-6) ** media.short()
    capacitor = media.capacitor(60e-12) ** media.short()
    ours = circuit.coil_reactance_ohm(f_mhz=f, inductance_uh=5)
    np.testing.assert_allclose(1j * ours, coil.z[:, 0, 0], rtol=1e-9, atol=1e-9)
    ours = circuit.capacitor_reactance_ohm(f_mhz=f, capacitance_pf=60)
    np.testing.assert_allclose(1j * ours, capacitor.z[:, 0, 0], rtol=1e-9, atol=1e-9)


@given(frequencies, coils, qs)
def test_a_tuned_circuit_at_resonance(f_mhz, inductance_uh, q):
    """By Kirchhoff's laws |Z| at the resonance of L and C is exactly Q·ωL·√(1 + 1/Q²)."""
    c = circuit.capacitance_for_pf(f_mhz=f_mhz, inductance_uh=inductance_uh)
    z = circuit.parallel_impedance(f_mhz=f_mhz, inductance_uh=inductance_uh, capacitance_pf=c, q=q)
    x = 2 * np.pi * f_mhz * inductance_uh
    assert abs(z) == pytest.approx(q * x * np.sqrt(1 + 1 / q**2), rel=1e-6)
    assert z.real > 0


def test_below_resonance_a_coil_above_a_capacitor():
    """Without loss X = ωL/(1 − (f/f0)²): a loading coil below, a capacitor above; here at f0/2 and 2·f0."""
    z = circuit.parallel_impedance(f_mhz=[3.6, 14.4], inductance_uh=8.2, capacitance_pf=59.588358, q=1e9)
    x = 2 * np.pi * np.array([3.6, 14.4]) * 8.2
    np.testing.assert_allclose(z.imag, x * [4 / 3, -1 / 3], rtol=1e-5)


def test_bandwidth_is_where_the_power_is_half():
    """The impedance of a tuned circuit falls to 1/√2 half the bandwidth away (good to 1/Q)."""
    q, f0 = 200, circuit.resonance_mhz(inductance_uh=8.2, capacitance_pf=60)
    half = circuit.bandwidth_mhz(f_mhz=f0, q=q) / 2
    parts = {"inductance_uh": 8.2, "capacitance_pf": 60, "q": q}
    top, low, high = np.abs(circuit.parallel_impedance(f_mhz=[f0, f0 - half, f0 + half], **parts))
    assert low / top == pytest.approx(np.sqrt(0.5), rel=2 / q)
    assert high / top == pytest.approx(np.sqrt(0.5), rel=2 / q)


def test_bandwidth_holds_from_a_q_of_5_up():
    """Between the half-power points of the computed curve, wherever its peak is: 3 % from f/Q, not at 2."""
    for q, within in ((200, True), (5, True), (2, False)):
        f = np.linspace(3, 15, 120_001)
        z = np.abs(circuit.parallel_impedance(f_mhz=f, inductance_uh=5, capacitance_pf=100, q=q))
        width = np.ptp(f[z >= z.max() / np.sqrt(2)])
        rule = circuit.resonance_mhz(inductance_uh=5, capacitance_pf=100) / q
        assert (abs(width / rule - 1) < 0.03) == within


def test_a_plucked_circuit_rings_down_by_its_q():
    """Coil, capacitor and loss stepped through time: what is left at the top of each swing, and how many."""
    for q in (0.8, 5, 100):
        step = 1e-3  # of a radian at 1 rad/s, with L = C = 1 and R = 1/Q
        one = np.array([[0, 1], [-1, -1 / q]]) * step
        onward = np.eye(2) + one + one @ one / 2 + one @ one @ one / 6 + one @ one @ one @ one / 24
        state, tops = np.array([1.0, 0.0]), [1.0]
        for _ in range(20_000 if q > 1 else 9_000):
            after = onward @ state
            if state[1] > 0 >= after[1]:  # the current turns, where the charge is at its top
                tops.append(after[0])
            state = after
        assert len(tops) > 1
        left = circuit.ring_left(turns=np.arange(len(tops)), q=q)
        np.testing.assert_allclose(tops, left, rtol=1e-3)
    assert circuit.ring_left(turns=50, q=50) == pytest.approx(np.exp(-np.pi), rel=1e-3)  # Q turns: 4 % left


def test_swr_table():
    """SWR to |G|, return loss and mismatch loss: the table of every handbook, to its digits."""
    table = columns("swr")
    swr = table["SWR"]
    np.testing.assert_allclose(circuit.reflection_of_swr(swr), table["rho"], atol=6e-6)
    np.testing.assert_allclose(circuit.return_loss_db(swr), table["RL_dB"], atol=6e-4)
    np.testing.assert_allclose(circuit.mismatch_loss_db(swr), table["mismatch_loss_dB"], atol=6e-5)
    reflected = 100 * circuit.reflection_of_swr(swr) ** 2
    np.testing.assert_allclose(reflected, table["reflected_percent"], atol=6e-4)


@given(st.floats(0, 1e4), st.floats(-1e4, 1e4), st.sampled_from([50.0, 75.0, 450.0]))
def test_swr_and_reflection_against_a_circuit_library(r, x, z0):
    """scikit-rf turns the same impedance into the same reflection; SWR turns back into it."""
    z = complex(r, x)
    ours = circuit.reflection_coefficient(z, z0)
    assert ours == pytest.approx(skrf.tlineFunctions.zl_2_Gamma0(z0, z), abs=1e-9)
    assert circuit.reflection_of_swr(circuit.swr(z, z0)) == pytest.approx(abs(ours), abs=1e-9)


def test_open_and_short():
    """The ends of the scale: nothing divides by zero."""
    assert circuit.swr(0) == np.inf
    assert circuit.swr(50j) == np.inf
    assert circuit.swr(complex(np.inf, 0)) == np.inf
    assert circuit.reflection_coefficient(np.inf) == 1
    assert circuit.return_loss_db(1) == np.inf
    assert circuit.mismatch_loss_db(np.inf) == np.inf


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (lambda: circuit.resonance_mhz(inductance_uh=0, capacitance_pf=1), "inductance_uh .* microhenries"),
        (lambda: circuit.resonance_mhz(inductance_uh=1, capacitance_pf=np.nan), "capacitance_pf .* pico"),
        (lambda: circuit.coil_reactance_ohm(f_mhz=7_100_000, inductance_uh=1), "looks like hertz"),
        (lambda: circuit.bandwidth_mhz(f_mhz=7, q=-1), "q must be"),
        (lambda: circuit.swr(-5), "resistance of zero or more"),
        (lambda: circuit.swr(complex(np.nan, 1)), "NaN"),
        (lambda: circuit.swr(50, 0), "z0_ohm"),
        (lambda: circuit.reflection_coefficient(50, -50), "z0_ohm"),
        (lambda: circuit.return_loss_db(0.5), "swr is 1"),
        (lambda: circuit.mismatch_loss_db(-3), "swr"),
        (lambda: circuit.swr_of_reflection(1.2), "cannot exceed 1"),
    ],
)
def test_nonsense_is_refused(call, sentence):
    """Each message names the argument and what it wants."""
    with pytest.raises(ValueError, match=sentence):
        call()


def test_shape_in_is_shape_out():
    """Arrays broadcast and a scalar stays a scalar."""
    f = np.linspace(7, 7.3, 5)
    assert circuit.parallel_impedance(f_mhz=f, inductance_uh=8, capacitance_pf=60, q=200).shape == (5,)
    assert np.ndim(circuit.swr(60 + 10j)) == 0
    assert circuit.swr(np.full((2, 3), 60)).shape == (2, 3)


def test_who_names_no_line_gets_50_ohms():
    """100 ohms show 2:1, and half the voltage comes back from 150 (by hand)."""
    assert circuit.swr(100) == pytest.approx(2) == circuit.swr(100, 50)
    assert circuit.reflection_coefficient(150) == 0.5 and circuit.impedance_of_reflection(0.5) == 150
    assert circuit.impedance_of_reflection(0.5, 75) == 225 and np.isinf(circuit.impedance_of_reflection(1))


@pytest.mark.parametrize("z0", [0, -1j, np.nan, np.inf, complex(50, np.nan)])
def test_a_line_of_no_impedance(z0):
    """Each alone is refused: nothing, pure reactance, NaN, infinity."""
    with pytest.raises(ValueError, match="z0_ohm must be a positive number"):
        circuit.reflection_coefficient(50, z0)


def test_a_reflection_a_hair_above_one_is_rounding():
    """It is an open end, never a negative ratio; any more than a hair is refused."""
    assert circuit.swr_of_reflection(1 + 1e-13) == np.inf
    with pytest.raises(ValueError, match="exceed 1"):
        circuit.swr_of_reflection(1 + 1e-9)


def test_impedances_and_lines_that_do_not_go_together():
    """Two impedances and three lines: a sentence that names both, or a table."""
    with pytest.raises(ValueError, match=r"of shape \(2,\) and z0_ohm of shape \(3,\)"):
        circuit.swr([50, 60 + 5j], [50, 75, 300])
    assert circuit.swr([[50], [60 + 5j]], [50, 75, 300]).shape == (2, 3)
