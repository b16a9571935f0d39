"""bench.py and faults.py: traps measured alone, and a detuned antenna brought to its aims on the engine."""

from dataclasses import replace

import numpy as np
import pytest
import tuned
from hypothesis import assume, given, settings
from hypothesis import strategies as st

import antlab as al
from antlab.antenna import fitting
from antlab.antenna.bench import (
    Advice,
    Trimming,
    proportional_m,
    q_from_width,
    trap_from_resonance,
    trap_from_two,
)
from antlab.physics.cable import line_impedance
from antlab.physics.circuit import impedance_of_reflection, resonance_mhz

# --- a trap alone


def test_trap_from_one_known_part():
    """25.33 µH and 100 pF are resonant at √10 MHz: (2π)²·10¹³ times 25.33e-6 times 1e-10 is 1, by hand."""
    inductance, capacitance = 1e3 / (4 * np.pi**2), 100.0
    for known in ({"inductance_uh": inductance}, {"capacitance_pf": capacitance}):
        trap = trap_from_resonance(f_mhz=np.sqrt(10), **known)
        assert (trap.inductance_uh, trap.capacitance_pf) == pytest.approx((inductance, capacitance), rel=1e-9)


@given(st.floats(0.5, 20), st.floats(20, 200), st.floats(0.3, 3))
def test_trap_from_two_resonances(inductance_uh, capacitance_pf, ratio):
    """Coil and capacitor come back from the two resonances that they have."""
    added = capacitance_pf * ratio
    f1, f2 = resonance_mhz(
        inductance_uh=inductance_uh, capacitance_pf=[capacitance_pf, capacitance_pf + added]
    )
    assume(0.5 < f2 and f1 < 100)
    found = trap_from_two(f_mhz=f1, lower_mhz=f2, added_pf=added)
    assert found.trap.inductance_uh == pytest.approx(inductance_uh, rel=1e-6)
    assert found.trap.capacitance_pf == pytest.approx(capacitance_pf, rel=1e-6)


def test_doubling_the_capacitor():
    """Where the added capacitor equals the trap's own, the resonance falls by √2: by hand."""
    found = trap_from_two(f_mhz=14.2, lower_mhz=14.2 / np.sqrt(2), added_pf=47)
    assert found.trap.capacitance_pf == pytest.approx(47)


@pytest.mark.parametrize("ratio", [0.3, 1.0, 3.0])
def test_uncertainty_is_that_of_a_thousand_measurements(ratio):
    """The error given is the spread of L and C when readings scatter by their errors."""
    rng, n = np.random.default_rng(3), 2000
    f1, f2 = resonance_mhz(inductance_uh=3.3, capacitance_pf=[38, 38 * (1 + ratio)])
    said = trap_from_two(f_mhz=f1, lower_mhz=f2, added_pf=38 * ratio, f_error=0.002, added_error=0.03)
    a, b = (f * (1 + 0.002 * rng.normal(size=n)) for f in (f1, f2))
    c = 38 * ratio * (1 + 0.03 * rng.normal(size=n)) * b**2 / (a**2 - b**2)
    inductance = 1e6 / ((2 * np.pi * a) ** 2 * c)
    assert said.capacitance_error == pytest.approx(np.std(c) / 38, rel=0.07)
    assert said.inductance_error == pytest.approx(np.std(inductance) / 3.3, rel=0.07)


def test_close_resonances_are_warned_about():
    """A capacitor of a hundredth tells next to nothing, and it says so."""
    f1, f2 = resonance_mhz(inductance_uh=3.3, capacitance_pf=[38, 38.38])
    with pytest.warns(UserWarning, match="so close"):
        assert trap_from_two(f_mhz=f1, lower_mhz=f2, added_pf=0.38).capacitance_error > 0.2


def test_q_from_the_width_of_a_true_peak():
    """The width at 1/√2 of the greatest |Z| of a trap of Q 100 gives 100 back."""
    trap = al.Trap(inductance_uh=3.3, capacitance_pf=38, q=100)
    f = np.linspace(0.97, 1.03, 20001) * trap.resonance_mhz
    size = np.abs(trap.impedance(f))
    inside = f[size > size.max() / np.sqrt(2)]
    found = q_from_width(f_mhz=trap.resonance_mhz, width_khz=1e3 * (inside[-1] - inside[0]))
    assert found == pytest.approx(100, rel=0.01)


# --- trimming: a true antenna on the engine, which the log does not know

PLANS = {pair: al.design(*pair, shape=al.FlatTop(height_m=9)) for pair in (("40m", "20m"), ("20m", "10m"))}
PLAN = PLANS["40m", "20m"]
THREE = replace(PLAN.dipole, sections=(*PLAN.dipole.sections, 1.0), traps=PLAN.dipole.traps * 2)
LOW, HIGH = (aim.f_mhz for aim in PLAN.aims)


def sweeps(dipole, *aims_mhz, reach=0.08, points=61):
    for aim in aims_mhz:
        f = np.linspace(aim * (1 - reach), aim * (1 + reach), points)
        yield al.Sweep(f, dipole.impedance(f))


def log_of(plan=PLAN, inner=1.0, outer=1.0):
    built = replace(plan.dipole, inner_m=plan.dipole.inner_m * inner, outer_m=plan.dipole.outer_m * outer)
    return Trimming(dipole=built, low_mhz=plan.low.f_mhz, high_mhz=plan.high.f_mhz)


def hung(log, stretch=1.0, **changes):
    """The true antenna with the wire of the log: longer to the waves, or else not what the log thinks."""
    inner, outer = log.lengths_m * stretch
    return replace(log.dipole, inner_m=inner, outer_m=outer, **changes)


@settings(max_examples=2)
@given(
    plan=st.sampled_from(list(PLANS.values())),
    inner=st.floats(0.97, 1.03),
    outer=st.floats(0.96, 1.04),
    stretch=st.floats(1.0, 1.03),
    tuned=st.floats(0.99, 1.01),
    height_m=st.floats(7.5, 11),
)
def test_three_cuts_at_most(plan, inner, outer, stretch, tuned, height_m):
    """Wire of other length and insulation, traps off, hung elsewhere: both bands within 0.3 % in three cuts.

    And no cut goes past its aim, so that none has to be undone.
    """
    log = log_of(plan, inner, outer)
    trap = replace(log.dipole.trap, capacitance_pf=log.dipole.trap.capacitance_pf / tuned**2)
    for _ in range(4):
        true = hung(log, stretch, trap=trap, shape=al.FlatTop(height_m=height_m))
        advice = log.advise_sweep(*sweeps(true, *log.aims_mhz))
        assert not advice.fault
        measured = np.array([advice.low_mhz, advice.high_mhz])
        if log.steps and log.steps[-1].inner_m < 0:
            assert measured[1] < log.high_mhz * 1.0005
        if log.steps and log.steps[-1].outer_m < 0:
            assert measured[0] < log.low_mhz * 1.0005
        if advice.done:
            break
        log = log.done(advice)
    assert advice.done and len(log.steps) <= 3
    dips = [min(sweep.dips(), key=lambda dip: dip.swr).f_mhz for sweep in sweeps(true, *log.aims_mhz)]
    np.testing.assert_allclose(dips, log.aims_mhz, rtol=0.003)


def test_built_as_planned_there_is_nothing_to_do():
    """The design's own antenna gets no advice to cut."""
    log = log_of()
    advice = log.advise_sweep(*sweeps(log.dipole, LOW, HIGH))
    assert advice.done and not (advice.inner_m or advice.outer_m) and "Leave it alone" in advice.text


def test_upper_band_first():
    """While the upper band is far off the outer wire is left alone; then it has its turn."""
    log = log_of(inner=1.05, outer=1.05)
    advice = log.advise_sweep(*sweeps(log.dipole, LOW, HIGH))
    assert advice.inner_m < 0 and advice.outer_m == 0 and "comes after" in advice.text
    log = log.done(advice).done(advice, inner_m=-0.05, outer_m=0)
    assert log.lengths_m[0] == pytest.approx(log.dipole.inner_m + advice.inner_m - 0.05)
    advice = log.advise_sweep(*sweeps(hung(log), LOW, HIGH))
    assert advice.outer_m < 0


def test_typed_minima_are_as_good_as_a_sweep():
    """Two numbers read off the analyzer give the advice that the sweeps give."""
    log = log_of(inner=1.03, outer=0.98)
    by_sweep = log.advise_sweep(*sweeps(log.dipole, LOW, HIGH))
    typed = log.advise(low_mhz=round(by_sweep.low_mhz, 3), high_mhz=round(by_sweep.high_mhz, 3))
    assert typed.inner_m == pytest.approx(by_sweep.inner_m, abs=0.002)


def test_one_sweep_over_both_bands_and_on_another_reference():
    """A single sweep from 6 to 16 MHz does, whatever its reference resistance."""
    log = log_of(inner=1.03)
    f = np.linspace(6, 16, 401)
    one = log.advise_sweep(al.Sweep(f, log.dipole.impedance(f), 75))
    two = log.advise_sweep(*sweeps(log.dipole, LOW, HIGH))
    assert one.inner_m == pytest.approx(two.inner_m, abs=0.01)


def test_first_cut_stops_short_by_a_fifth():
    """A wire cut 4 % too long on purpose: 80 % of what is too long comes off, and 80 % of the rest."""
    log = log_of(inner=1.04)
    too_long = log.dipole.inner_m - PLAN.dipole.inner_m
    advice = log.advise_sweep(*sweeps(log.dipole, LOW, HIGH))
    assert -advice.inner_m == pytest.approx(0.8 * too_long, abs=0.02)
    assert "Fold the wire back" in advice.text and "Disconnect the transmitter" in advice.text
    log = log.done(advice)
    rest = log.lengths_m[0] - PLAN.dipole.inner_m
    assert -log.advise_sweep(*sweeps(hung(log), LOW, HIGH)).inner_m == pytest.approx(0.8 * rest, abs=0.02)


def test_too_short_a_wire_is_lengthened():
    """What is missing is added whole: too much can be folded back."""
    log = log_of(inner=0.97)
    advice = log.advise_sweep(*sweeps(log.dipole, LOW, HIGH))
    missing = PLAN.dipole.inner_m - log.dipole.inner_m
    assert advice.inner_m == pytest.approx(missing, abs=0.03) and advice.text.startswith("Lengthen ")


@pytest.mark.parametrize("wire", ["inner_m", "outer_m"])
def test_a_fold_is_for_a_wire_that_is_too_long(wire):
    """Whoever is told to lengthen a wire has nothing to fold back; the transmitter is off in any case."""
    shorter, longer = (Advice(low_mhz=7.1, high_mhz=14.2, **{wire: change}).text for change in (-0.05, 0.05))
    assert "Shorten each" in shorter and "by 5.0 cm" in shorter and "Fold the wire back" in shorter
    assert (
        "Lengthen each" in longer and "by 5.0 cm" in longer and "old" not in longer.partition("the lower")[0]
    )
    assert all("Disconnect the transmitter" in text for text in (shorter, longer))


def test_simple_rule_beside_it():
    """Length times frequency stays the same: 10 m at 7.0 for 7.1 wants 14.1 cm less, by hand."""
    assert proportional_m(length_m=10, f_mhz=7.0, aim_mhz=7.1) == pytest.approx(-0.1408, abs=1e-4)
    advice = log_of(inner=1.04).advise(low_mhz=7.1, high_mhz=14.0)
    inner = 1.04 * PLAN.dipole.inner_m
    assert advice.rule_inner_m == pytest.approx(inner * (14.0 / HIGH - 1))
    whole = inner + PLAN.dipole.outer_m
    assert advice.rule_inner_m + advice.rule_outer_m == pytest.approx(whole * (7.1 / LOW - 1))


def test_measured_in_the_shack_and_moved_to_the_antenna():
    """Through 25 m of RG-58, taken out again, the advice is the one at the antenna."""
    log = log_of(inner=1.03, outer=1.01)
    there = list(sweeps(log.dipole, LOW, HIGH))
    line = {"cable": "RG-58", "length_m": 25}
    here = [replace(s, impedance=line_impedance(s.impedance, f_mhz=s.f_mhz, **line)) for s in there]
    moved = [s.at_antenna(**line) for s in here]
    assert log.advise_sweep(*moved) == log.advise_sweep(*there)


def test_the_raw_sweep_is_good_enough():
    """Through 25 m of RG-58 and not moved to the antenna: the same advice within 4 mm."""
    log = log_of(inner=1.03, outer=1.01)
    there = list(sweeps(log.dipole, LOW, HIGH))
    line = {"cable": "RG-58", "length_m": 25}
    here = [replace(s, impedance=line_impedance(s.impedance, f_mhz=s.f_mhz, **line)) for s in there]
    raw, good = log.advise_sweep(*here), log.advise_sweep(*there)
    assert (raw.inner_m, raw.outer_m) == pytest.approx((good.inner_m, good.outer_m), abs=0.004)


def test_one_band_right_and_the_other_not():
    """Then both wires may have to change, and neither half is dropped: no advice is empty and not done."""
    log = log_of(inner=1.01, outer=0.98)
    low = log.advise_sweep(*sweeps(log.dipole, LOW, HIGH)).low_mhz
    aimed = Trimming(dipole=log.dipole, low_mhz=low, high_mhz=HIGH)
    advice = aimed.advise_sweep(*sweeps(log.dipole, LOW, HIGH))
    assert advice.inner_m < 0 < advice.outer_m and not advice.done
    # shorter inside by more than longer outside: the coil between counts the inner wire for more
    after = hung(aimed.done(advice))
    dips = [sweep.lowest().f_mhz for sweep in sweeps(after, LOW, HIGH)]
    assert (
        dips[0] == pytest.approx(low, rel=0.003)
        and abs(dips[1] / HIGH - 1) < abs(advice.high_mhz / HIGH - 1) / 3
    )


def test_measured_traps_take_the_place_of_the_plan_s():
    """Traps 5 % low: the log asks for them to be measured, takes them, and then gives a length."""
    log = log_of()
    trap = replace(log.dipole.trap, capacitance_pf=log.dipole.trap.capacitance_pf * 1.05**2)
    seen = list(sweeps(replace(log.dipole, traps=(trap,)), LOW, HIGH))
    advice = log.advise_sweep(*seen)
    assert advice.measure_traps and "Measure the traps first" in advice.text
    assert not (advice.inner_m or advice.outer_m or advice.done)
    known = log.with_traps(al.bench.MeasuredTrap(trap, 0.02, 0.02))
    assert known.known.trap == trap and known.lengths_m == pytest.approx(log.lengths_m)
    again = known.advise_sweep(*seen)
    assert not again.fault and again.inner_m < 0
    assert known.with_traps(trap).advise_sweep(*seen).inner_m == again.inner_m
    assert abs(again.fit.now.mean[2]) < 0.003 < abs(advice.fit.now.mean[2])


def test_an_allowance_is_no_reason_to_doubt_the_traps():
    """Wires cut 6 % long on purpose, as the log knows: the long first step is what was meant."""
    log = log_of(inner=1.06)
    advice = log.advise_sweep(*sweeps(log.dipole, LOW, HIGH))
    assert not advice.fault and -advice.inner_m / log.lengths_m[0] > 0.04


def test_what_the_wires_seem_is_said():
    """Wire that works as if it were 3 % longer is told so; a jacket in the plan is not counted twice."""
    log = log_of()
    advice = log.advise_sweep(*sweeps(hung(log, 1.03), LOW, HIGH))
    assert advice.fit.now.mean[0] == pytest.approx(np.log(1.03), abs=0.004)
    assert (
        advice.because[0].startswith("The wire works as if it were 3.0 % longer") or "2." in advice.because[0]
    )
    jacket = al.Wire(diameter_mm=2.0, jacket_mm=0.8, jacket_permittivity=3.5)
    dressed = Trimming(dipole=replace(log.dipole, wire=jacket), low_mhz=LOW, high_mhz=HIGH)
    advice = dressed.advise_sweep(*sweeps(hung(dressed), LOW, HIGH))
    assert abs(advice.fit.now.mean[0]) < 0.003


def test_a_step_back_longer_than_the_last_is_measured_again():
    """After 3 cm less, 10 cm more is doubted once; measured again and written down, it is believed."""
    log = log_of()
    first = log.advise_sweep(*sweeps(hung(log, 1.02), LOW, HIGH))
    log = log.done(first, inner_m=-0.03, outer_m=0.0)
    short = list(sweeps(hung(log, 0.98), LOW, HIGH))
    doubted = log.advise_sweep(*short)
    assert "inner wire was changed by -3.0 cm" in doubted.fault and "measure again" in doubted.fault
    assert doubted.inner_m == doubted.outer_m == 0
    assert log.done(doubted).advise_sweep(*short).inner_m > 0.04


@pytest.mark.parametrize(
    ("changed", "asked", "sure"), [(-0.05, 0.04, True), (0.0, 0.2, True), (-0.05, 0.2, False)]
)
def test_doubt_is_for_what_goes_back_farther_than_it_came(changed, asked, sure):
    """Less than the last step, or the other wire's first one, is an ordinary correction."""
    log = log_of()
    fit = log.fitted(*sweeps(log.dipole, LOW, HIGH))
    log = log.done(Advice(low_mhz=LOW, high_mhz=HIGH), inner_m=changed, outer_m=-0.01)
    assert (log._doubt(fit, [asked, 0.0]) == {}) == sure


def test_no_length_helps_any_more():
    """Where no change brings a band nearer the log ends, and says why instead of promising."""
    text = Advice(low_mhz=7.1, high_mhz=14.4, done=True, nearest=True).text
    assert text.startswith("No change of length brings") and "where they should be" not in text


# --- what is no matter of length


@pytest.mark.parametrize("loss_db", [4, 20])
def test_lossy_line(loss_db):
    """The SWR through so much cable is flat and low, and that is not a good antenna; the loss is told."""
    log = log_of(inner=1.02)
    seen = [
        replace(s, impedance=impedance_of_reflection(s.reflection * 10 ** (-2 * loss_db / 20)))
        for s in sweeps(log.dipole, LOW, HIGH)
    ]
    advice = log.advise_sweep(*seen)
    assert "flatter than this antenna" in advice.fault and advice.text.startswith("Do not cut.")
    assert (f"{loss_db} dB or so" if loss_db < 7 else "6 dB or more") in advice.fault
    assert advice.inner_m == advice.outer_m == 0 and not advice.done


def test_dummy_load(monkeypatch):
    """50 ohm everywhere is no antenna, which is seen before anything is fitted; nor is a sweep too narrow."""
    f, fitted = np.linspace(6, 16, 101), []
    monkeypatch.setattr(fitting, "to_curves", lambda *told: fitted.append(told) or 1 / 0)
    for ohms in (50.0, 40 + 3j):
        assert "flatter" in log_of().advise_sweep(al.Sweep(f, np.full(101, ohms))).fault
    near = np.linspace(7.05, 7.15, 41), np.linspace(14.1, 14.3, 41)
    with pytest.raises(ZeroDivisionError):
        log_of().advise_sweep(*(al.Sweep(some, np.full(41, 50.0)) for some in near))


def test_open_trap():
    """The inner wires alone: the upper band as ever, the lower one gone."""
    inner_only, f = tuned.tuned(traps=(), sections=(5.0,)), np.linspace(5, 16, 301)
    seen = tuned.log_of().advise_sweep(al.Sweep(f, inner_only.impedance(f)))
    assert "trap looks open" in seen.fault and seen.low_mhz is None


def test_shorted_trap():
    """One plain wire: a minimum between the bands where a wire of that length has it."""
    log, plain, f = tuned.log_of(), tuned.tuned(traps=(), sections=(8.0,)), np.linspace(5, 16, 301)
    seen = log.advise_sweep(al.Sweep(f, plain.impedance(f)))
    assert "trap looks shorted" in seen.fault and seen.low_mhz == pytest.approx(71 / 8, rel=1e-3)
    assert "trap looks shorted" in log.advise(low_mhz=8.65, high_mhz=None).fault
    assert "upper one shows nothing" in log.advise(low_mhz=7.2, high_mhz=None).fault
    assert "trap looks open" in log.advise(low_mhz=None, high_mhz=14.2).fault


@pytest.mark.parametrize(("move", "way"), [(0.045, "too long"), (-0.045, "too short")])
def test_no_minimum_in_reach(move, way):
    """A sweep of the band alone that only shows the slope says which way to go on, and gives no number."""
    log = log_of(outer=1 + 4 * move)
    low, high = sweeps(log.dipole, LOW, HIGH)
    advice = log.advise_sweep(low.between(LOW * 0.985, LOW * 1.015), high)
    assert "no minimum in reach" in advice.fault and way in advice.fault


def test_shallow_minimum():
    """A minimum that no height explains."""
    log = log_of()
    low, high = sweeps(log.dipole, LOW, HIGH)
    corroded = replace(high, impedance=high.impedance + 120)
    assert "bad joint" in log.advise_sweep(low, corroded).fault


def test_nothing_at_all_and_far_away():
    """No minimum anywhere is the feed line; a minimum far away is not a matter of trimming."""
    log, f = tuned.log_of(), np.linspace(5, 16, 301)
    assert "feed point" in log.advise(low_mhz=None, high_mhz=None).fault
    assert "too far from the aim" in log.advise(low_mhz=7.2, high_mhz=18.1).fault
    assert log.advise(low_mhz=6.5, high_mhz=15.9).fault
    long = log.advise_sweep(al.Sweep(f, tuned.tuned(outer=4.6).impedance(f)))
    assert "6.121 MHz is too far from the aim" in long.fault and long.low_mhz == pytest.approx(
        71 / 11.6, rel=1e-3
    )


TRAP = {"f_mhz": 14.2, "lower_mhz": 10.0, "added_pf": 40}


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (lambda: trap_from_resonance(f_mhz=14.2), "the one that is known"),
        (
            lambda: trap_from_resonance(f_mhz=14.2, inductance_uh=3, capacitance_pf=40),
            "the one that is known",
        ),
        (lambda: trap_from_resonance(f_mhz=14200, inductance_uh=3), "kilohertz"),
        (lambda: trap_from_two(**TRAP | {"lower_mhz": 15}), "swap"),
        (lambda: trap_from_two(**TRAP | {"lower_mhz": 14.19}), "not clearly below"),
        (lambda: trap_from_two(**TRAP | {"added_pf": 0}), "added_pf"),
        (lambda: trap_from_two(**TRAP | {"f_mhz": [14.2, 14.3]}), "one number"),
        (lambda: q_from_width(f_mhz=14.2, width_khz=0), "width_khz"),
        (lambda: q_from_width(f_mhz=14.2, width_khz=14200), "too low"),
        (lambda: proportional_m(length_m=-1, f_mhz=7, aim_mhz=7), "length_m"),
        (lambda: Trimming(dipole=replace(PLAN.dipole, trap=None), low_mhz=7, high_mhz=14), "proportional_m"),
        (lambda: Trimming(dipole=THREE, low_mhz=7, high_mhz=14), "one trap in each leg; this one has 2"),
        (lambda: Trimming(dipole=PLAN.dipole, low_mhz=14, high_mhz=7), "low_mhz is the lower"),
        (lambda: Trimming(dipole=PLAN.dipole, low_mhz=[7, 7], high_mhz=14), "one frequency"),
        (lambda: log_of().advise(low_mhz=7100, high_mhz=14), "kilohertz"),
        (lambda: log_of().advise(low_mhz=[7.1, 7.2], high_mhz=14), "low_mhz is one frequency"),
        (lambda: log_of().with_traps("RG-58"), "what trap_from_two found"),
        (lambda: log_of().with_traps(al.Trap(inductance_uh=5, capacitance_pf=50)), "tune them to the upper"),
        (lambda: log_of().lengths_for([7.1]), "two frequencies"),
        (lambda: log_of().lengths_for([7.1, 19.0]), "measure the wires and the traps"),
        (lambda: log_of().advise_sweep(), "no sweep has five points"),
        (lambda: log_of().advise_sweep("low.s1p"), "as read_sweep returns"),
        (lambda: log_of().advise_sweep(next(sweeps(PLAN.dipole, LOW))), f"around {HIGH:.4g} MHz"),
        (lambda: log_of().done(Advice(low_mhz=7, high_mhz=14), inner_m=-30), "nothing of the wire"),
        (lambda: log_of().done(Advice(low_mhz=7, high_mhz=14), inner_m=np.nan), "nothing of the wire"),
    ],
)
def test_nonsense_is_refused(call, sentence):
    """Each message names the argument or the mend."""
    with pytest.raises(ValueError, match=sentence):
        call()
