"""The plan: each number is the antenna's own, and what is said in words follows from the numbers."""

import json
import re
from dataclasses import replace
from functools import partial

import numpy as np
import pytest
from yards import YARDS, design, plain

import antlab as al
from antlab.antenna import safety
from antlab.antenna.feeding import usual_line
from antlab.antenna.hanging import hang
from antlab.antenna.tape import Tape
from antlab.units import parse_length


@pytest.mark.parametrize("yard", YARDS)
def test_plan_says_what_the_design_says(yard):
    """Each number beside the design that it is taken from, asked again."""
    it, plan = design(yard), design(yard).plan
    assert (plan.inner_m, plan.outer_m) == pytest.approx((it.dipole.inner_m, it.dipole.outer_m), abs=5.1e-5)
    for band, target in zip(plan.bands, it.aims, strict=True):
        assert band.f_mhz == target.f_mhz
        assert band.swr == pytest.approx(float(it.dipole.swr(target.f_mhz, it.z0_ohm)))
        assert band.lowest_swr <= band.swr + 0.01
        assert band.efficiency == it.efficiency(target)
        assert band.trap_volts_peak == pytest.approx(it.stress(target).volts_peak)
        assert band.edges_mhz == (target.band.low_mhz, target.band.high_mhz)
        assert band.wanted_mhz == target.edges_mhz
        assert band.curve_mhz[0] <= band.edges_mhz[0] and band.curve_mhz[-1] >= band.edges_mhz[1]
        worst = max(it.dipole.swr(f, it.z0_ohm) for f in target.edges_mhz)
        assert band.worst_swr == pytest.approx(worst, rel=1e-2) and band.worst_mhz in band.wanted_mhz
        for limit, told in ((2, band.span_2), (3, band.span_3)):
            span = it.span(target, limit)
            assert told == (None if np.isnan(span.low_mhz) else (span.low_mhz, span.high_mhz))
        np.testing.assert_allclose(
            band.curve_swr[::40], [it.dipole.swr(f, it.z0_ohm) for f in band.curve_mhz[::40]], rtol=0.015
        )
    assert plan.tolerance_khz == it.tolerance
    assert plan.heights == it.heights


def test_cut_list():
    """Two of each, longer by a fold of 15 cm at each end; the note says so, and whose practice it is."""
    plan = design("40/20 level").plan
    assert [(c.count, c.what) for c in plan.cuts] == [(2, "inner wire"), (2, "outer wire")]
    for cut, length in zip(plan.cuts, (plan.inner_m, plan.outer_m), strict=True):
        assert cut.length_m == length
        assert cut.cut_m - cut.length_m == pytest.approx(0.3)
    assert "15 cm" in plan.fold_note and "common practice" in plan.fold_note
    for cut in plan.cuts:  # to the millimetre from eye to eye, to the centimetre what is cut, and never less
        for length, digits in ((cut.length_m, 3), (cut.cut_m, 2)):
            step = 10.0**-digits
            assert f" {step * np.ceil(length / step - 1e-6):.{digits}f} m (" in plan.text()


def test_trap_recipe():
    """Turns, cable and form are those of the wound trap, with whole turns and what a slip costs."""
    it = design("40/20 level")
    trap, wound = it.plan.trap, it.wound
    assert (trap.turns, trap.cable_length_m) == (wound.turns, wound.cable_length_m)
    assert (trap.form_diameter_mm, trap.cable, trap.hookup) == (40, "RG-58", "series")
    assert trap.whole_turns_mhz == wound.rounded().resonance_mhz
    assert trap.sensitivity_khz == pytest.approx(wound.sensitivity_khz())
    said = " ".join(trap.sentences)
    assert f"{wound.turns:.2f} turns of RG-58" in said and "two ends left over" in said
    braid = al.design(
        shape=al.FlatTop(height_m=9),
        trap=al.design_coax_trap(f_mhz=14.2875, form_diameter_mm=40, hookup="braid"),
    ).plan.trap
    assert "braid at both ends" in " ".join(braid.sentences)


def test_volts_against_the_cable():
    """Just over half of the trap's volts lie in the cable in series; RG-58 bears 1400 V rms, 1980 V peak."""
    band = design("40/20 level").plan.high
    assert band.cable_volts_peak == pytest.approx(0.519 * band.trap_volts_peak, rel=0.003)  # the ladder's
    assert band.cable_allowed_peak == pytest.approx(1400 * np.sqrt(2))
    assert band.margin == pytest.approx(band.cable_allowed_peak / band.cable_volts_peak)
    own = design("a trap of one's own").plan.high
    assert [one.mark for one in own.verdicts] == ["!", "!", "!"]
    assert own.margin is None and f"{2 * own.trap_volts_peak:.0f} V" in own.trap_note


def test_exposure_is_that_of_the_field():
    """By keep_away, at the worse end of what it is made for; the watts count, and you may go nearer."""
    for it in (design("20/10 vee"), design("mismatched")):
        for band in it.plan.bands:
            ends = [safety.keep_away(it.dipole, f_mhz=f, power_w=it.power_w) for f in band.wanted_mhz]
            assert band.keep_away_m == max(at.distance_m for at in ends) > band.keep_away_you_m
            clear, deep = band.clear_below_m, hang(it.plan, line=usual_line(it.plan)).deep_m
            assert (
                clear == max(min(at.highest_clear_m for at in ends) - deep, 0) and deep == it.plan.deep_m > 0
            )
            share = max(at.share_at(2 + deep) for at in ends)
            assert band.head_share == (share if clear > 2 else np.inf)
            assert f"{it.power_w:g} W without a pause" in band.exposure_note
            under = f"Below {Tape().under(clear)}" if clear > 2 else "nobody there"
            assert under in band.exposure_note
    strong = design("mismatched")
    assert replace(strong, power_w=5.0).plan.high.keep_away_m < strong.plan.high.keep_away_m / 4


def test_the_plan_says_where_the_watts_go():
    """Sky, soil, wire and traps by name and in percent, 100 together, not wire and traps alone."""
    for band in design("40/20 level").plan.bands:
        assert list(band.shares) == ["sky", "soil", "wire", "traps"]
        assert sum(band.shares.values()) == pytest.approx(1) and band.shares["soil"] > 0.1
        (said,) = [words for words in band.sentences if "Of the power fed" in words]
        assert f"{100 * band.shares['sky']:.0f} % leaves for the sky" in said
        assert all(what in said for what in ("soil", "wire", "traps"))


def test_what_is_sent_counts():
    """SSB is a fifth of a carrier on average (OET Bulletin 65 Supplement B, 1997, from memory): people may be
    nearer, and the plan says for what. The carrier of the same average power keeps them as far."""
    kept = {}
    for sends, watts in (("carrier", 100), ("SSB", 100), ("carrier", 20)):
        it = al.design("20m", "10m", shape=al.FlatTop(height_m=7), power_w=watts, sends=sends)
        kept[sends, watts] = it.exposure(it.high)
    ssb = kept["SSB", 100]
    assert ssb["keep_away_m"] < 0.8 * kept["carrier", 100]["keep_away_m"]
    assert ssb["clear_below_m"] > kept["carrier", 100]["clear_below_m"]
    for name in ("keep_away_m", "keep_away_you_m", "clear_below_m", "head_share"):
        assert ssb[name] == pytest.approx(kept["carrier", 20][name])
    assert "At 100 W of SSB, 20 W on average, without a pause." in ssb["exposure_note"]
    plan = replace(it, sends="SSB", power_w=100.0).plan
    assert plan.sends == "SSB" and plan.high.keep_away_m == pytest.approx(ssb["keep_away_m"])
    with pytest.raises(ValueError, match="no mode called 'smoke' here"):
        al.design(shape=al.FlatTop(height_m=7), sends="smoke")


def test_notes_name_the_trouble():
    """A tuner where no 2:1 is to be had, or 3:1 is passed; what the engine is not checked for."""
    eighty = design("80/40 low ends").plan
    said = [note.words for note in eighty.notes if note.key == "tuner"]
    assert f"SWR is {eighty.low.worst_swr:.1f} at {eighty.low.worst_mhz:.3f}" in said[0]
    assert eighty.low.worst_swr > 3 and not any(n.key == "tuner" for n in design("40/20 level").plan.notes)
    assert any("above 2:1" in note.words for note in design("mismatched").plan.notes)
    with pytest.warns(UserWarning, match="checked"):
        plan = al.design("20m", "10m", shape=al.FlatTop(height_m=0.9)).plan
    assert any("checked from 1 m up" in note.words for note in plan.notes)


def test_json():
    """Plain data that JSON carries without loss: no NaN, feet beside metres."""
    for yard in ("mismatched", "20/10 vee"):
        data = design(yard).plan.as_dict()
        assert json.loads(json.dumps(data, allow_nan=False)) == data
        assert data["inner_ft"] == pytest.approx(data["inner_m"] / 0.3048, abs=1e-3)
        assert data["cuts"][0]["cut_ft"] == pytest.approx(data["cuts"][0]["cut_m"] / 0.3048, abs=1e-3)
        assert data["heights"][0]["height_ft"] > data["heights"][0]["height_m"]
    assert data["span_ft"] == pytest.approx(9 / 0.3048, abs=1e-3)
    assert design("mismatched").plan.as_dict()["low"]["span_2"] is None


def test_the_plan_says_how_far_it_gets():
    """What it is made for, the worst there, where 2:1 ends: in words, never by numbers of the curve alone."""
    plan = design("20/10 level").plan
    text, ten = plain(plan.text()), plan.high
    assert f"Made for 28.000 to 29.000 MHz: SWR at most {ten.worst_swr:.1f}" in text
    low, high = ten.span_2
    assert f"under 2 from {low:.3f} to {high:.3f} MHz; the rest of the band wants a tuner" in text
    assert "It stays under 2 over the whole band." in [*plan.low.serves] and "over the whole" not in [
        *ten.serves
    ]
    assert "Nowhere is it under 2." in [*design("mismatched").plan.low.serves]
    off = replace(ten, span_2=(27.0, 27.9))
    assert "In the band it is nowhere under 2." in [*off.serves]


def test_four_rows_to_fill_in():
    """Under the plan's own row, each as wide as the headings: three cuts and one to spare."""
    plan = design("40/20 level").plan
    assert [len(row) for row in plan.trim_rows] == [len(plan.trim_headings)] * 5
    assert plan.trim_rows[0][0] == "as planned" and not any("".join(row) for row in plan.trim_rows[1:])


def test_text_reads():
    """Lines fit a screen; lengths in both units agree; print(plan) is the text."""
    plan = design("20/10 vee").plan
    text = plan.text()
    assert str(plan) == text
    table = re.compile(r"^ +(\d+\.\d+ m|height)")
    assert max(len(line) for line in text.splitlines() if not table.match(line)) <= 100
    pairs = re.findall(r"(\d+\.\d+) m \(([^)]*in)\)", plain(text))
    assert len(pairs) > 15
    for metres, feet in pairs:
        assert parse_length(feet) == pytest.approx(float(metres), abs=0.0254)  # an inch
    for heading in ("CUT", "TRAPS", "ON 20 METRES", "ON 10 METRES", "HEIGHT", "TRIM", "NOTES", "CAUTIONS"):
        assert f"\n{heading}\n" in text


def test_shifts_in_words():
    """kHz with their sign, MHz from 1000 kHz on, and no sign on nothing."""
    for khz, words in (
        (-85, "-85 kHz"), (85.4, "+85 kHz"), (0.4, "0 kHz"), (-0.4, "0 kHz"), (999, "+999 kHz"),
        (1000, "+1.0 MHz"), (-2340, "-2.3 MHz"),
    ):  # fmt: skip
        assert al.plan.in_khz(khz) == words
    assert al.plan.both_units(10.06) == "10.06 m (33 ft 0.1 in)"
    assert al.plan.both_units(10.0584, 3) == "10.058 m (33 ft 0.0 in)"


BAND = {"edges_mhz": (7.0, 7.3), "wanted_mhz": (7.0, 7.2), "worst_swr": 2.34, "worst_mhz": 7.2}


@pytest.mark.parametrize(
    ("span", "words"),
    [
        ((6.9, 7.4), "It stays under 2 over the whole band."),
        ((7.0, 7.3), "It stays under 2 over the whole band."),
        ((7.05, 7.15), "It stays under 2 from 7.050 to 7.150 MHz; the rest of the band wants a tuner."),
        ((6.9, 7.15), "It stays under 2 from 7.000 to 7.150 MHz; the rest of the band wants a tuner."),
        ((7.1, 7.4), "It stays under 2 from 7.100 to 7.300 MHz; the rest of the band wants a tuner."),
        ((6.8, 6.9), "In the band it is nowhere under 2."),
        ((6.8, 7.0), "In the band it is nowhere under 2."),
        (None, "Nowhere is it under 2."),
    ],
)
def test_how_far_it_gets_in_words(span, words):
    """Where the 2:1 span covers the band, begins in it, ends in it, or lies beside it."""
    band = replace(design("40/20 level").plan.low, **BAND, span_2=span)
    assert [*band.serves] == ["Made for 7.000 to 7.200 MHz: SWR at most 2.3, at 7.200.", words]


def test_spans_and_watts_in_words():
    """The width in kHz, and where the power goes, by hand: a digit more where it is little."""
    shares = {"sky": 0.614, "soil": 0.304, "wire": 0.016, "traps": 0.066}
    band = replace(design("40/20 level").plan.low, span_2=(7.05, 7.15), span_3=None, shares=shares)
    assert "2:1 from 7.050 to 7.150 MHz (100 kHz); nowhere under 3:1" in band.sentences[2]
    said = "61 % leaves for the sky; the soil takes 30 %, the wire 1.6 % and the traps 6.6 %, as heat."
    assert said in band.sentences[3]


def test_who_can_reach_the_ends():
    """From 3 m on nobody can; lower the plan says so (common practice, no source)."""
    plan = design("40/20 level").plan
    for ends_m, reached in ((3.0, False), (2.99, True)):
        assert replace(plan, ends_m=ends_m).within_reach == reached
    assert "15 cm (5 15/16 in) more at each end" in plan.fold_note


def test_a_row_of_the_height_table():
    """Both units, the lobe and its edges, gains without a minus before nothing, ohms, SWR."""
    plan = design("40/20 level").plan
    row = replace(
        plan.heights[0], height_m=9.0, takeoff_deg=33.4, low_edge_deg=15.6, high_edge_deg=90.0,
        gains_dbi=(-0.04, 1.25, 3, 4, 5), resistance_ohm=61.7, swr=1.26,
    )  # fmt: skip
    for edge, words in ((90.0, "16° to 90°"), (90.5, "16° and up")):
        table = replace(plan, heights=(replace(row, high_edge_deg=edge),)).height_table
        assert table[0][:4] == ("height", "band", "strongest", "half power")
        assert table[1][0] == "9.00 m (29 ft 6 in)" and table[1][2:4] == ("33°", words)
        assert table[1][4:6] == ("0.0", "1.2") and table[1][-2:] == ("62", "1.3")
    bands = [line[1] for line in plan.height_table[1:3]]
    assert bands == [plan.low.label, plan.high.label]


def test_where_a_sheet_can_go(tmp_path):
    """An ending that is known in any case, a folder that is there, nothing in the way unless forced."""
    (tmp_path / "old.pdf").write_text("kept")
    assert al.plan.check_path(tmp_path / "new.PDF") == tmp_path / "new.PDF"
    assert al.plan.check_path(tmp_path / "old.pdf", force=True) == tmp_path / "old.pdf"
    (tmp_path / "folder.pdf").mkdir()
    for path, force, words in (
        ("plan.doc", False, "ends in none of"), ("old.pdf", False, "exists already"),
        ("folder.pdf", True, "exists already"), ("nowhere/plan.pdf", False, "there is no folder"),
    ):  # fmt: skip
        with pytest.raises(ValueError, match=words):
            al.plan.check_path(tmp_path / path, force=force)
    for write in (al.plan.check_path, partial(al.plan.Plan.save, None)):  # who says nothing loses nothing
        with pytest.raises(ValueError, match="exists already"):
            write(tmp_path / "old.pdf")


def test_percents_of_the_watts_add_up():
    """Four shares of one are 100 % in words too, none more than a percent from what it is."""
    for shares in np.random.default_rng(1).dirichlet((3, 2, 0.3, 0.5), 400):
        words = al.plan.share_words(dict(zip(("sky", "soil", "wire", "traps"), shares, strict=True)))
        told = [int(one.split()[1]) for one in words.split(", ")]
        assert sum(told) == 100 and np.abs(told - 100 * shares).max() < 1


def test_what_is_minded_is_told_once_and_power_lines_always():
    """Of both bands the worse, of what is sent: who saves too many watts reads it; last, to look up."""
    hot = al.design("40m", "20m", shape=al.FlatTop(height_m=7.5), power_w=1500).plan
    volts, heat, look = hot.minded
    worse = [min(one.good_w for band in hot.bands for one in band.verdicts if one.about == about)
             for about in ("trap volts", "heat, carrier")]  # fmt: skip
    assert [f"up to {w:g} W is good" in words for w, words in zip(worse, (volts, heat), strict=True)] == [
        True
    ] * 2
    assert look == al.safety.LOOK_UP
    cool = al.design("40m", "20m", shape=al.FlatTop(height_m=7.5), power_w=100, sends="SSB").plan
    assert cool.minded == (al.safety.LOOK_UP,)
