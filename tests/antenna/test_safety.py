"""safety.py: limits and distances agree with the regulation, a worked station and a table."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tables import columns

import antlab as al
from antlab.antenna import safety
from antlab.physics.trap import CoaxTrap, CoilTrap, Trap, design_coax_trap


def test_limits_against_the_regulation():
    """47 CFR 1.1310: power densities go with the field strengths of the same table, S = E²/3770 mW/cm²."""
    table = columns("exposure_limits")
    for tier, controlled in (("controlled_v_m", True), ("uncontrolled_v_m", False)):
        ours = safety.exposure_limit_mw_cm2(f_mhz=table["f_mhz"], controlled=controlled)
        np.testing.assert_allclose(ours, table[tier] ** 2 / 3770, rtol=5e-3)


@pytest.mark.parametrize(
    ("f", "uncontrolled", "controlled"),
    [(3.75, 12.8, 64), (7.15, 3.521, 17.6), (14.2, 0.893, 4.46), (21.2, 0.4005, 2.002), (28.4, 0.223, 1.116)],
)
def test_limits_on_the_bands(f, uncontrolled, controlled):
    """mW/cm² of Table 1, worked out by hand."""
    assert safety.exposure_limit_mw_cm2(f_mhz=f) == pytest.approx(uncontrolled, rel=1e-3)
    assert safety.exposure_limit_mw_cm2(f_mhz=f, controlled=True) == pytest.approx(controlled, rel=1e-3)


def test_a_worked_station():
    """A worked station, "RF safety" (S): 1500 W, 2.20 dBi, 100 ft, 3.750 MHz, ground reflection on.

    0.0546 mW/cm²; 2.97 and 6.58 ft to the limits 64.00 and 12.81; the page adds about 0.05 ft.
    """
    station = {"power_w": 1500, "gain_dbi": 2.20}
    assert safety.power_density_mw_cm2(**station, distance_m=30.48) == pytest.approx(0.0546, abs=5e-5)
    you = safety.exposure(f_mhz=3.75, **station, controlled=True)
    neighbours = safety.exposure(f_mhz=3.75, **station)
    assert you.distance_m / 0.3048 == pytest.approx(2.97, abs=0.06)
    assert neighbours.distance_m / 0.3048 == pytest.approx(6.58, abs=0.06)
    assert not you.valid and "near field" in you.note
    assert you.keep_away_m == pytest.approx(12.72, abs=6e-3)  # wavelength/2π at 3.75 MHz


def test_exposure_distance_table():
    """11 frequencies, 100 and 1500 W, both tiers, with reflection and without (computed), to the digits."""
    table = columns("exposure_distance")
    for power in (100, 1500):
        for tier, controlled in (("unc", False), ("con", True)):
            for name, reflection in (("2.56", 2.56), ("1.0", 1.0)):
                station = {"power_w": power, "gain_dbi": 2.15, "controlled": controlled}
                ours = safety.exposure(f_mhz=table["f_MHz"], reflection=reflection, **station)
                np.testing.assert_allclose(ours.distance_m, table[f"{power}W_{tier}_{name}"], atol=6e-4)


@given(st.floats(0.5, 900), st.floats(1, 1500), st.floats(-3, 12), st.booleans())
def test_at_the_distance_the_density_is_the_limit(f_mhz, power_w, gain_dbi, controlled):
    """OET 65 forward and backward."""
    station = {"power_w": power_w, "gain_dbi": gain_dbi}
    edge = safety.exposure(f_mhz=f_mhz, controlled=controlled, **station)
    density = safety.power_density_mw_cm2(**station, distance_m=edge.distance_m)
    assert density == pytest.approx(safety.exposure_limit_mw_cm2(f_mhz=f_mhz, controlled=controlled))


def test_oet_65_short_formula():
    """S (µW/cm²) = 33.4·ERP/R², OET Bulletin 65, 1997 (value from memory)."""
    s = safety.power_density_mw_cm2(power_w=100, gain_dbi=10 * np.log10(1.64), distance_m=10)
    assert 1e3 * s == pytest.approx(33.4 * 100 / 10**2, rel=1e-3)


@pytest.mark.parametrize(
    ("f", "distance", "watts"),
    [(7.15, 10, 6749), (14.2, 10, 1711), (28.4, 10, 428), (3.75, 15, 55200), (50, 10, 383)],
)
def test_exemption(f, distance, watts):
    """47 CFR 1.1307 (b)(3)(i)(C), thresholds in watts ERP, worked out by hand."""
    assert safety.exempt_erp_w(f_mhz=f, distance_m=distance) == pytest.approx(watts, rel=1e-3)


def test_exemption_is_the_limit_with_full_reflection():
    """The threshold embeds a doubled field: OET 65 with full reflection meets the uncontrolled limit."""
    dipole = {"gain_dbi": 10 * np.log10(1.64), "distance_m": 50, "reflection": 4}
    for f in (1.0, 7.1, 14.2, 50.0, 430.0):
        erp = safety.exempt_erp_w(f_mhz=f, distance_m=50)
        s = safety.power_density_mw_cm2(power_w=erp, **dipole)
        assert s == pytest.approx(safety.exposure_limit_mw_cm2(f_mhz=f), rel=3e-3)
    assert safety.erp_w(power_w=100, gain_dbi=2.15) == pytest.approx(100, rel=1e-3)


def test_near_field():
    """Wavelength/2π: 13.63 m at 3.5 MHz, 1.68 m at 28.4 MHz; on 10 m a kilowatt reaches beyond it."""
    np.testing.assert_allclose(safety.near_field_m([3.5, 14.2, 28.4]), [13.63, 3.36, 1.68], atol=6e-3)
    kilowatt = safety.exposure(f_mhz=28.4, power_w=1000, gain_dbi=2.15)
    assert kilowatt.valid and kilowatt.keep_away_m == kilowatt.distance_m
    assert "current rules" in kilowatt.note and "near field" not in kilowatt.note


def test_average_power():
    """OET 65B duty factors (value from memory): 100 W SSB is 20 W; half the time, 3 dB of line, 5 W."""
    assert safety.average_power_w(power_w=100, mode="SSB") == pytest.approx(20)
    assert safety.average_power_w(
        power_w=100, mode="ssb", transmit_fraction=0.5, line_loss_db=3.0103
    ) == pytest.approx(5, rel=1e-5)
    assert safety.average_power_w(power_w=[100, 1500], mode="CW").tolist() == [40, 600]
    assert safety.average_power_w(power_w=0, mode="CW") == 0  # who only listens
    assert safety.average_power_w(power_w=100, mode="CW", transmit_fraction=0) == 0


def test_trap_volts():
    """RG-58 stands 1400 V rms (MIL-C-17G as reported): half the trap's volts in series, all on the braid.

    A little more by the line: ten turns on 42 mm have 0.515 and 1.06 at the near end (the same ladder).
    """
    series = design_coax_trap(f_mhz=7.1, form_diameter_mm=42)
    braid = design_coax_trap(f_mhz=7.1, form_diameter_mm=42, hookup="braid")
    fine = safety.check_trap_volts(series, volts_peak=1500)
    assert fine.volts_peak == pytest.approx(773, abs=4) and fine.allowed_peak == pytest.approx(1980, abs=0.5)
    assert "fine" in fine.note
    assert "too close" in safety.check_trap_volts(braid, volts_peak=1500).note
    assert "break down" in safety.check_trap_volts(braid, volts_peak=2500).note
    with pytest.raises(ValueError, match="wound from coax"):
        safety.check_trap_volts(Trap(inductance_uh=8.2, capacitance_pf=60), volts_peak=100)


def test_every_caution_is_there():
    """A plan shows them all, and they defer to the local code and to the reader's own rules."""
    wanted = {"power lines", "falls", "lightning", "tension", "high voltage", "exposure"}
    assert wanted <= set(safety.CAUTIONS)
    assert "local electrical code" in safety.CAUTIONS["lightning"]
    assert "your own country's current rules" in safety.CAUTIONS["exposure"]
    assert "reach" in safety.CAUTIONS["high voltage"]


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (lambda: safety.average_power_w(power_w=100, mode="morse"), "known are SSB"),
        (lambda: safety.average_power_w(power_w=-1, mode="CW"), "power_w"),
        (lambda: safety.average_power_w(power_w=100, mode="CW", transmit_fraction=1.01), "0 to 1"),
        (lambda: safety.average_power_w(power_w=100, mode="CW", line_loss_db=-3), "line_loss_db"),
        (lambda: safety.exposure_limit_mw_cm2(f_mhz=0.2), "0.3 MHz"),
        (lambda: safety.exposure_limit_mw_cm2(f_mhz=7.1e6), "hertz"),
        (lambda: safety.exposure(f_mhz=7, power_w=100, gain_dbi=np.nan), "gain_dbi"),
        (lambda: safety.exposure(f_mhz=7, power_w=100, gain_dbi=2, reflection=0.5), "reflection"),
        (lambda: safety.power_density_mw_cm2(power_w=1, gain_dbi=2, distance_m=0), "distance_m"),
        (lambda: safety.exempt_erp_w(f_mhz=7.1, distance_m=5), "starts at 6.7 m"),
    ],
)
def test_nonsense_is_refused(call, sentence):
    """Each message names the argument and what it wants."""
    with pytest.raises(ValueError, match=sentence):
        call()


def test_an_edge_of_the_regulation_belongs_to_the_row_below():
    """47 CFR 1.1310: 0.3 to 1.34 MHz stand in one row, so 1.34 MHz has 100 mW/cm²; and 30 has 180/f²."""
    limit = safety.exposure_limit_mw_cm2
    assert limit(f_mhz=[0.3, 1.34, 30, 300]).tolist() == pytest.approx([100, 100, 0.2, 0.2])
    assert limit(f_mhz=[3, 30], controlled=True).tolist() == pytest.approx([100, 1])
    assert safety.exempt_erp_w(f_mhz=1.34, distance_m=100) == pytest.approx(1920 * 100**2)


def test_who_says_nothing_is_taken_as_a_neighbour_over_usual_ground():
    """The stricter tier, a field 1.6 times higher, no pause, no line: nothing left out is in one's favour."""
    station = {"f_mhz": 14.2, "power_w": 100, "gain_dbi": 2.15}
    plain = safety.exposure(**station)
    assert plain.distance_m == safety.exposure(**station, controlled=False, reflection=2.56).distance_m
    assert plain.distance_m > safety.exposure(**station, controlled=True).distance_m
    there = {"power_w": 100, "gain_dbi": 2.15, "distance_m": 10}
    assert safety.power_density_mw_cm2(**there) == safety.power_density_mw_cm2(**there, reflection=2.56)
    assert safety.average_power_w(power_w=100, mode="SSB") == safety.average_power_w(
        power_w=100, mode="SSB", transmit_fraction=1, line_loss_db=0
    )


def test_how_far_off_the_ratings_are():
    """Twice the volts that occur is wise and said to be fine; under that too close, under once it breaks."""
    for allowed, word in ((2000, "fine"), (1999, "too close"), (1000, "too close"), (999, "break down")):
        check = safety.VoltsCheck(volts_peak=1000.0, allowed_peak=float(allowed))
        assert word in check.note and check.margin == allowed / 1000
        assert f"1000 V peak in cable rated for {allowed} V peak" in check.note


def test_where_the_near_field_ends_the_distance_holds():
    """On the bound itself the formula is good; for many stations the note warns if one of them is inside."""
    on = safety.Exposure(distance_m=3.4, limit_mw_cm2=0.9, near_field_m=3.4)
    assert on.valid and on.note == safety.RULES
    two = safety.Exposure(distance_m=np.array([1, 9]), limit_mw_cm2=0.9, near_field_m=3.4)
    assert two.keep_away_m.tolist() == [3.4, 9] and "near field" in two.note


@pytest.mark.parametrize("reflection", [1, 4])
def test_no_and_full_reflection_belong(reflection):
    """A field of once to twice, nothing beyond; and a gain that is a ratio taken for decibels is refused."""
    there = {"power_w": 100, "distance_m": 10, "gain_dbi": 2}
    free = safety.power_density_mw_cm2(**there, reflection=1)
    assert safety.power_density_mw_cm2(**there, reflection=reflection) == pytest.approx(reflection * free)
    for wrong in (0.99, 4.01):
        with pytest.raises(ValueError, match="reflection raises"):
            safety.power_density_mw_cm2(**there, reflection=wrong)
    assert safety.erp_w(power_w=0, gain_dbi=39.9) == 0
    with pytest.raises(ValueError, match="decibels over isotropic"):
        safety.erp_w(power_w=1, gain_dbi=40)


def test_which_work_wants_which_cautions():
    """Whoever hangs a wire is told of power lines and falls; the last word goes with every work, once."""
    for work in safety.WORK:
        names = list(safety.cautions_for(work))
        assert names == [name for name in safety.CAUTIONS if name in (*safety.WORK[work], "last word")]
    assert {"power lines", "falls"} <= set(safety.cautions_for("hanging"))
    both = set(safety.cautions_for("hanging", "winding"))
    assert both == {*safety.cautions_for("hanging"), *safety.cautions_for("winding")}
    for wrong in ((), ("cooking",), ("hanging", "cooking")):
        with pytest.raises(ValueError, match="work is one or more of winding"):
            safety.cautions_for(*wrong)


def test_what_a_trap_sheds():
    """Newton's law by hand: 10 W/(m²·K) from the outside of the winding, up to where something goes soft."""
    wound = CoaxTrap(cable="RG-58", form_diameter_mm=40, turns=6)
    by_hand = 10 * (80 - 40) * np.pi * 0.0499 * 0.0297
    assert safety.shed_w(wound) == pytest.approx(by_hand, rel=1e-3)
    foam = CoaxTrap(cable="RG-8X", form_diameter_mm=40, turns=6)
    assert safety.shed_w(foam) == pytest.approx(10 * 20 * np.pi * 0.0523 * 0.0369, rel=1e-3)
    hot = CoaxTrap(cable="RG-316", form_diameter_mm=40, turns=6)  # PTFE, but the pipe goes soft
    assert safety.shed_w(hot) == pytest.approx(10 * 40 * np.pi * 0.04498 * 0.01494, rel=1e-3)
    coil = CoilTrap(capacitance_pf=50, form_diameter_mm=40, wire_mm=2, pitch_mm=4, turns=10)
    assert safety.shed_w(coil) == pytest.approx(10 * 40 * np.pi * 0.044 * 0.04, rel=1e-3)
    with pytest.raises(ValueError, match="wound trap"):
        safety.shed_w(Trap(inductance_uh=8.2, capacitance_pf=60))


def test_which_watts_are_good():
    """By hand: half the rating is good, volts go with the root of the power and heat with the power itself.

    Series RG-58 bears 1980 V peak: 1000 V across the trap, of which six turns on 40 mm have 519 in the
    cable by the ladder of tests/classroom/test_wound_trap.py, at 100 W, is good to 364 W.
    """
    wound = CoaxTrap(cable="RG-58", form_diameter_mm=40, turns=6)
    kind = {"volts_peak": 1000, "watts": 2.0, "power_w": 100}
    volts, carrier, ssb = safety.trap_verdicts(wound, **kind)
    assert (volts.mark, volts.short) == ("✓", "good to 360 W")
    sheds = safety.shed_w(wound)
    assert 1.8 < sheds < 2  # so that 100 W, which makes 2 W, is a little too much, and SSB a fifth of that
    assert (carrier.mark, carrier.short) == ("!", "only to 93 W") and 100 * sheds / 2 == pytest.approx(
        93, abs=1
    )
    assert (ssb.mark, ssb.short) == ("✓", "good to 460 W")
    more = {"volts_peak": 1000 * 15**0.5, "watts": 30.0, "power_w": 1500}
    assert [one.mark for one in safety.trap_verdicts(wound, **more)] == ["✗", "✗", "✗"]
    assert [one.short[-5:] for one in safety.trap_verdicts(wound, **more)] == ["360 W", " 93 W", "460 W"]
    braid = safety.trap_verdicts(replace(wound, hookup="braid"), **more)[0]
    assert braid.mark == "✗" and "Trap volts: 1500 W is too much, up to 84 W is good" in braid.words
    assert str(braid).startswith("✗ Trap volts: 1500 W is too much")
    coil = CoilTrap(capacitance_pf=50, form_diameter_mm=40, wire_mm=2, pitch_mm=4, turns=10)
    assert "rated for 2000 V" in safety.trap_verdicts(coil, **kind)[0].words
    unknown = safety.trap_verdicts(None, **kind)
    assert [one.mark for one in unknown] == ["!", "!", "!"] and "not known" in unknown[1].words


@pytest.mark.parametrize(
    ("volts", "watts", "marks"),
    [(1000, 1.8, "✓✓"), (1000, 1.9, "✓!"), (1000, 3.6, "✓!"), (1000, 3.8, "✓✗"), (3700, 1.8, "!✓"),
     (4000, 1.8, "✗✓"), (1900, 1.8, "✓✓"), (1915, 1.8, "!✓")],
)  # fmt: skip
def test_from_where_on_it_is_too_much(volts, watts, marks):
    """By hand, at 100 W: half of 3815 V is good, all of it too much; so are 1.86 W of heat and twice that.

    Of 1000 V 519 lie in the cable, as above.
    """
    wound = CoaxTrap(cable="RG-58", form_diameter_mm=40, turns=6)
    said = safety.trap_verdicts(wound, volts_peak=volts, watts=watts, power_w=100)
    assert "".join(one.mark for one in said[:2]) == marks


def test_200_watts_on_30_metres():
    """47 CFR 97.313 (c): 200 W PEP on 30 metres, (b): 1500 W elsewhere; up to there nothing is said."""
    assert safety.licence_verdict("30m", 200) is None and safety.licence_verdict("40m", 1500) is None
    assert safety.licence_verdict("30m", 201).short == "over 200 W"
    over = safety.licence_verdict("40m", 1600)
    assert over.mark == "✗" and "1500 W PEP" in over.words and "97.313" in over.words


def test_the_plan_says_which_watts_are_too_many():
    """In words and by mark, on the band's own lines: 1500 W cooks a trap, 500 W is too much on 30 metres."""
    kilowatt = al.design(shape=al.FlatTop(height_m=9), power_w=1500).plan
    assert "✗ Heat, carrier: 1500 W is too much" in " ".join(kilowatt.high.sentences)
    assert "✗ Heat, carrier: 1500 W is too much" in kilowatt.text().replace("\n    ", " ")
    thirty = al.design("30m", "17m", shape=al.FlatTop(height_m=9), mode="code", power_w=500).plan
    assert thirty.low.verdicts[0].about == "licence" and thirty.high.verdicts[0].about == "trap volts"
    assert thirty.as_dict()["low"]["verdicts"][0]["mark"] == "✗"
