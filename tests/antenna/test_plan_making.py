"""plan_making.py: what a plan says on either side of each threshold, without solving an antenna for it."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

import antlab as al
from antlab.antenna import plan, plan_making, safety

WOUND = al.CoilTrap(capacitance_pf=35, form_diameter_mm=38, wire_mm=2, pitch_mm=3, turns=10)


@pytest.mark.parametrize(("ends_m", "said"), [(2.99, True), (3.0, False)])
def test_ends_within_reach(ends_m, said):
    """Below 3 m people reach the ends, which carry high voltage: the plan says so, and what to do."""
    notes = [*plan_making._reach_note(al.FlatTop(height_m=ends_m))]
    assert [note.key for note in notes] == (["reach"] if said else [])
    assert not said or "At 2.9 m (9.5 ft)" in notes[0].words and "to 3.0 m (9.9 ft) or more" in notes[0].words


def band(worst_swr=1.5, span_2=(7.0, 7.2)):
    return SimpleNamespace(label="40 metres", span_2=span_2, worst_swr=worst_swr, worst_mhz=7.3)


@pytest.mark.parametrize(
    ("bands", "said"),
    [
        ([band(), band()], []), ([band(3.0), band(3.0)], []),
        ([band(3.01), band()], ["SWR is 3.0 at 7.300 MHz"]),
        ([band(3.2), band(4.1)], ["SWR is 3.2 at 7.300 and 4.1 at 7.300 MHz"]),
        ([band(2.5, None), band()], ["On 40 metres the SWR stays above 2:1"]),
        ([band(3.5, None), band()], ["On 40 metres the SWR stays above 2:1", "SWR is 3.5"]),
    ],
)  # fmt: skip
def test_where_a_tuner_is_wanted(bands, said):
    """Above 3 transmitters cut their power; where 2:1 is nowhere to be had it says so."""
    notes = [note.words for note in plan_making._tuner_note(*bands)]
    assert len(notes) == len(said) and all(
        note.startswith(one) for note, one in zip(notes, said, strict=True)
    )


@pytest.mark.parametrize(("jacket_mm", "key"), [(0.0, "bare-wire"), (0.8, "jacket")])
def test_for_which_wire(jacket_mm, key):
    """A jacket is counted, and its permittivity told; bare wire is told to be bare."""
    note = plan_making._wire_note(al.Wire(diameter_mm=2, jacket_mm=jacket_mm, jacket_permittivity=3.5))
    assert note.key == key and ("with permittivity 3.5" in note.words) == (key == "jacket")


@pytest.mark.parametrize(
    ("soil", "words"),
    [
        (al.FREE_SPACE, "in free space"), (al.soil("perfect ground"), "over perfect ground"),
        (al.soil("average"), "over average soil"),
        (al.Soil(permittivity=10, conductivity=0.01), "over your own soil"),
    ],
)  # fmt: skip
def test_what_it_hangs_over(soil, words):
    assert plan_making._named(soil) == words


@pytest.mark.parametrize(
    ("shape", "span_m", "said"),
    [
        (al.FlatTop(height_m=9), None, ["Level, 9.00 m (29 ft 6 in) up, over average soil. End to"]),
        (al.FlatTop(height_m=9), 18.0, ["supports 18.00 m (59 ft 1 in) apart leave 1.00 m (3 ft 3 in) a"]),
        (al.InvertedVee(apex_m=10, ends_m=4), 18.0, [
            "Inverted vee, apex 10.00 m (32 ft 10 in) and ends 4.00 m (13 ft 2 in) up",
            "; 18.00 m (59 ft 1 in) of ground leave 1.00 m (3 ft 3 in) a side for rope",
        ]),
    ],
)  # fmt: skip
def test_how_it_hangs(shape, span_m, said):
    """Heights and width in both units; of the supports what is left on either side for rope."""
    wire = SimpleNamespace(called="2 mm copper")
    dipole = SimpleNamespace(shape=shape, soil=al.soil("average"), wire=wire)
    made = SimpleNamespace(dipole=dipole, width_m=16.0, span_m=span_m, power_w=100.0, z0_ohm=50.0)
    words = plan_making._hung(made)
    assert all(one in words for one in said) and ("a side for rope" in words) == (span_m is not None)
    assert words.endswith("Wire: 2 mm copper; 100 W on a 50 ohm line.")


@pytest.mark.parametrize(("off", "far"), [(0.0095, False), (0.0105, True), (-0.0095, False), (-0.0105, True)])
def test_whole_turns_that_are_too_far_off(off, far):
    """1 %, as the trap is to be when measured alone; beyond it whole turns and degrees are wound."""
    wound = replace(WOUND, turns=9.75)
    circuit = SimpleNamespace(
        inductance_uh=3.0, capacitance_pf=35.0, q=200.0, resonance_mhz=wound.whole_turns_mhz / (1 + off)
    )
    design = SimpleNamespace(dipole=SimpleNamespace(trap=circuit), wound=wound)
    said = " ".join(plan_making._trap_plan(design).sentences)
    assert f"With 10 whole turns {wound.whole_turns_mhz:.2f} MHz" in said
    assert ("too far off: wind 10 turns less 30 mm (1.18 in) round the pipe" in said) == far


def test_a_trap_of_one_s_own_has_no_recipe():
    """Its circuit alone: what it is wound on is not known."""
    circuit = al.Trap(inductance_uh=4, capacitance_pf=31, q=180)
    made = plan_making._trap_plan(SimpleNamespace(dipole=SimpleNamespace(trap=circuit), wound=None))
    assert made.sentences == ("Two alike, one in each leg.", "4.00 µH with 31.0 pF, Q about 180: 14.29 MHz.")
    assert made.turns is made.cable_length_m is made.whole_turns is None


class Around:
    """A KeepAway that says what a test wants it to."""

    def __init__(self, distance_m, clear_m, share):
        self.distance_m, self.highest_clear_m, self._share = distance_m, clear_m, share

    def share_at(self, height_m):
        assert height_m == 2.0 + 0.3
        return self._share


@pytest.mark.parametrize(
    ("clear_m", "sends", "said"),
    [
        (1.99, "carrier", "Under it others are over their limit: nobody there while you send."),
        (
            2.01,
            "carrier",
            "Below 2.0 m (6.5 ft), the wire's sag counted, others are within their limit",
        ),
        (6.0, "SSB", "At 100 W of SSB, 20 W on average, without a pause. Below 6.0 m (19.6 ft)"),
        (
            6.0,
            "carrier",
            "without a pause (a carrier, FM, FT8 while it sends). Below 6.0 m (19.6 ft)",
        ),
    ],
)
def test_who_may_stand_under_it(monkeypatch, clear_m, sends, said):
    """As high as a tall head is, 2 m, it has to be clear, sag and all; the worse end of the band counts."""
    asked = []

    def keep_away(dipole, *, f_mhz, power_w, peak_power_w, controlled):
        asked.append((f_mhz, power_w, peak_power_w, controlled))
        worse = f_mhz == 7.2
        if controlled:
            return Around(0.5 + 0.1 * worse, 9.0, 0.1)
        return Around(1.0 + 0.5 * worse, clear_m + 0.3 + (not worse), 0.4 + 0.05 * worse)

    monkeypatch.setattr(safety, "keep_away", keep_away)
    design = SimpleNamespace(dipole=None, power_w=100.0, sends=sends)
    found = plan_making.exposure_of(design, SimpleNamespace(edges_mhz=(7.0, 7.2)), deep_m=0.3)
    watts = 20 if sends == "SSB" else 100
    assert sorted(asked) == sorted(
        (f, pytest.approx(watts), 100, who) for f in (7.0, 7.2) for who in (False, True)
    )
    assert found["keep_away_m"] == 1.5 and found["keep_away_you_m"] == 0.6
    assert found["clear_below_m"] == pytest.approx(clear_m)
    assert found["head_share"] == (0.45 if clear_m >= 2 else np.inf)
    assert said in found["exposure_note"]
    assert ("45 % of it at most" in found["exposure_note"]) == (clear_m >= 2)


@pytest.mark.parametrize(("deep_m", "clear_m"), [(0.0, 2.5), (0.4, 2.1), (3.0, 0.0)])
def test_how_deep_a_wire_hangs_is_taken_off(monkeypatch, deep_m, clear_m):
    """What hangs deeper leaves less room for heads, down to none; who tells of no sag has none counted."""
    there = SimpleNamespace(distance_m=1.0, highest_clear_m=2.5, share_at=lambda height_m: height_m / 10)
    monkeypatch.setattr(safety, "keep_away", lambda *_, **__: there)
    design = SimpleNamespace(dipole=None, power_w=100.0, sends="carrier")
    deep = {"deep_m": deep_m} if deep_m else {}
    found = plan_making.exposure_of(design, SimpleNamespace(edges_mhz=(7.0, 7.2)), **deep)
    assert found["clear_below_m"] == pytest.approx(clear_m)
    assert found["head_share"] == (pytest.approx((2 + deep_m) / 10) if clear_m else np.inf)
    assert ("nobody there while you send" in found["exposure_note"]) == (clear_m == 0)


@pytest.mark.parametrize(
    ("hookup", "to"), [("series", "two ends left over."), ("braid", "braid at both ends.")]
)
def test_how_a_coax_trap_is_joined(hookup, to):
    """Where the wires go, and the volts of the open end, which only one hook-up has."""
    wound = al.CoaxTrap(cable="RG-58", form_diameter_mm=40, turns=6, hookup=hookup)
    made = plan_making._trap_plan(SimpleNamespace(dipole=SimpleNamespace(trap=wound.trap), wound=wound))
    assert made.joint == f"Join the centre of one end to the braid of the other. The wires go to the {to}"
    covered = plan_making.OPEN_END in made.sentences
    assert covered == (hookup == "braid") and made.joint in made.sentences
    assert made.pipe_mm == wound.winding_length_mm + 100 and made.across_pf is None
    assert (made.of, made.cable, made.hookup) == (wound.cable.called, "RG-58", hookup)


def test_what_the_volts_are_held_against():
    """A coil's capacitor bears twice the volts; of RG-58 in series 1400 V rms bear 0.519 of them."""
    coil = plan_making._against_rating(WOUND, 700.0)
    assert coil["margin"] is None and "rated for 1400 V or more" in coil["trap_note"]
    coax = plan_making._against_rating(al.CoaxTrap(cable="RG-58", form_diameter_mm=40, turns=6), 700.0)
    inside = coax["cable_volts_peak"]
    assert inside == pytest.approx(0.519 * 700, rel=0.002)
    assert coax["margin"] == pytest.approx(1400 * 2**0.5 / inside)
    assert coax["trap_note"].startswith("That puts 363 V peak in cable rated for 1980 V peak")


@pytest.mark.parametrize(("power_w", "about"), [(1500.0, "trap volts"), (1501.0, "licence")])
def test_the_licence_speaks_first_where_it_has_to(power_w, about):
    """Nothing is said of a power that is allowed; volts and heat are judged at any."""
    stress = SimpleNamespace(volts_peak=900.0, watts=3.0)
    design = SimpleNamespace(wound=None, power_w=power_w, sends="carrier", stress=lambda aim: stress)
    aim = SimpleNamespace(band=al.band("40m"), allowed_mhz={})
    said = plan_making.verdicts(design, aim)
    assert [said[0].about, len(said)] == [about, 4 if about == "licence" else 3]


def test_a_sheet_is_written_where_it_was_asked(tmp_path, monkeypatch):
    """Of the plan's own yard where none is named; the path comes back, and nothing is left out on the way."""
    written = []
    monkeypatch.setattr(plan.hooks, "write_sheet", lambda *what, **how: written.append((what, how)))
    it, path = SimpleNamespace(yard="its own"), tmp_path / "plan.pdf"
    assert plan.Plan.save(it, path) == path and plan.Plan.save(it, path, yard="another", antennas=3) == path
    assert [what for what, _ in written] == [(it, path)] * 2
    assert [how["yard"] for _, how in written] == ["its own", "another"]
    assert [(how["antennas"], how["paper"], how["force"]) for _, how in written] == [
        (1, "A4", False), (3, "A4", False),
    ]  # fmt: skip


def test_a_sentence():
    """A warning as a note: a capital, one full stop."""
    assert plan_making._sentence("the wire is low.") == "The wire is low."
    assert plan_making._sentence("at 1 m") == "At 1 m."


def test_lines_of_a_hundred():
    """100 letters stay on a line, the indent counted; one more wraps, indented farther; tables stay."""
    whole = "a" * 49 + " " + "b" * 48
    assert plan._wrapped(whole) == "  " + whole
    assert plan._wrapped(whole + "b") == "  " + "a" * 49 + "\n    " + "b" * 49
    assert plan._wrapped("x" * 120 + "\n" + "y") == "x" * 120 + "\n" + "y"


@pytest.mark.parametrize(
    ("share", "words"), [(0.0949, "9.5 %"), (0.095, "10 %"), (1.0, "100 %"), (0.0, "0.0 %")]
)
def test_a_digit_more_where_it_is_little(share, words):
    assert plan.in_percent(share) == words


def test_plain_data():
    """NaN is None, feet stand beside metres, in tuples as well; what has no length stays without."""
    data = plan._plain(
        {"a_m": 3.048, "b_m": None, "rows": ({"c_m": 1.0},), "x": float("nan"), "n": np.float64(2)}
    )
    assert data == {
        "a_m": 3.048, "a_ft": 10.0, "b_m": None, "rows": [{"c_m": 1.0, "c_ft": 3.281}], "x": None, "n": 2.0,
    }  # fmt: skip


def test_where_a_hop_lands():
    """To ten kilometres, for every angle but straight up."""
    assert plan._landings((10, 30, 90)) == "10° 2190 km, 30° 930 km"
    assert plan._landings((89.5, 90)).startswith("89.5° ")
