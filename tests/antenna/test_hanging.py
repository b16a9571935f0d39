"""Ropes, sag, feed line and parts: statics and similar triangles by hand, and never on the unsafe side."""

import re
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from yards import design, garden

import antlab as al
from antlab.antenna.feeding import CHOKES, FeedLine, choke_for, usual_line
from antlab.antenna.hanging import SHORT_ROPE_M, Hanging, cable_kg_per_m, hang, wire_load
from antlab.antenna.parts import parts_of, parts_text
from antlab.antenna.tape import Tape
from antlab.units import feet_sixteenths, parse_length

LEVEL = design("40/20 level").plan


def test_a_low_end_counts_as_sag_does():
    """Where people may stand is counted from the lowest part of a sloping wire, not from its mean height."""
    plan, yard = design("20/10 level").plan, al.Yard(hung="level", heights_m=(6, 12), span_m=12)
    level, sloping = hang(plan), hang(plan, yard=yard)
    end = sloping.ends[0][1]
    assert sloping.sag_m < 0.5 < 1.5 < plan.top_m - end <= sloping.deep_m
    clear = [there.clear_below_m(plan) for there in (level, sloping)]
    assert clear[0] - clear[1] == pytest.approx(sloping.deep_m - level.deep_m)
    low = replace(plan, low=replace(plan.low, clear_below_m=0.0))
    assert level.clear_below_m(low) == 0, "however it hangs"


@pytest.mark.parametrize("length_m", [0, 0.0001, 0.0254, 0.3048, 2.603, 9.99999, 31.7])
def test_a_wire_is_never_cut_too_short(length_m):
    """Feet and sixteenths read back are no less, and a sixteenth more at most; nor are metres."""
    metres = Tape().cut(length_m).split(" (")[0]
    for text, most in ((feet_sixteenths(length_m), 0.0254 / 16), (metres, 1e-3)):
        assert -1e-6 < parse_length(text) - length_m < most + 1e-6
    assert feet_sixteenths(10.06) == "33 ft 1/8 in", "396.063 in: more than a sixteenth over"


def test_what_is_kept_is_rounded_away_from_harm():
    """Distances up, heights to stay under down; what is bought, up."""
    tape = Tape(first="feet")
    assert tape.keep(2.31) == "7.9 ft (2.4 m)" and tape.under(2.39) == "7.5 ft (2.3 m)"
    assert tape.buy(9.2) == "31 ft (9.4 m)" and Tape().buy(9.0) == "9 m (30 ft)"
    said = "At 2.20 m (7 ft 2.6 in), 61 mm (2.40 in); 5 mm (not a length), 3 m."
    assert tape.turned(said) == "At 7 ft 2.6 in (2.20 m), 2.40 in (61 mm); 5 mm (not a length), 3 m."
    assert Tape().turned(said) == said and tape.far(1400) == "900 miles (1400 km)"
    for length_m in np.arange(0.05, 40, 0.07):
        for words in (tape.buy(length_m), Tape().buy(length_m)):
            metres, foot = (float(re.search(rf"([\d.]+) {unit}", words)[1]) for unit in ("m", "ft"))
            assert min(metres, foot * 0.3048) > length_m - 1e-9, "either is enough"
            assert abs(metres - foot * 0.3048) < 0.31, "and they are about the same"


@pytest.mark.parametrize(
    ("length_m", "metric", "imperial"),
    [(0, "0.00 m", "0 in"), (0.01, "0.01 m", "0 in"), (0.0254, "0.03 m", "1 in"), (0.28, "0.28 m", "11 in"),
     (0.3048, "0.30 m", "1 ft"), (0.33, "0.33 m", "1 ft 1 in"), (0.61, "0.61 m", "2 ft"),
     (3.6322, "3.63 m", "11 ft 11 in"), (3.655, "3.65 m", "12 ft"), (9.0, "9.00 m", "29 ft 6 in")],
)  # fmt: skip
def test_where_something_hangs(length_m, metric, imperial):
    """To the nearest centimetre and inch, no foot or inch told that is none; either may be first."""
    assert Tape().place(length_m) == f"{metric} ({imperial})"
    assert Tape(first="feet").place(length_m) == f"{imperial} ({metric})"


def test_a_tape_in_yards_is_refused():
    """Metres and feet, and nothing in between is rounded to the wrong side by floating point."""
    with pytest.raises(ValueError, match="a tape is read in metres or feet; got 'yards'"):
        Tape(first="yards")
    assert Tape().keep(2.3) == "2.3 m (7.6 ft)" and Tape().under(2.3) == "2.3 m (7.5 ft)"
    assert Tape().under(3.048) == "3.0 m (9.8 ft)" and Tape().keep(3.048) == "3.1 m (10.2 ft)"
    assert Tape().thick(48.3) == "48.3 mm (1.90 in)" and Tape().cut(2.6031, 1) == "2.7 m (8 ft 6 1/2 in)"


def test_fractions_are_read():
    """What a sheet prints can be typed in again."""
    assert parse_length("9 ft 6 5/16 in") == pytest.approx((9 * 12 + 6 + 5 / 16) * 0.0254)
    assert parse_length("3/4 in") == pytest.approx(0.75 * 0.0254)
    with pytest.raises(ValueError, match="no length"):
        parse_length("3/0 in")


def test_a_vee_ends_in_posts_where_the_yard_does():
    """The rope stays on the wire's line: tied up there, and so much shorter, by similar triangles."""
    plan, how = garden("pole in a garden")
    free = hang(plan, yard=how["yard"])
    narrow = hang(plan, yard=replace(how["yard"], span_m=10.0))
    assert free.stakes and free.ties[1][1] == 0 and not narrow.stakes and narrow.tie_m == 5
    (away, up), (end, ends_up) = narrow.ties[1], narrow.ends[1]
    slope = (plan.top_m - plan.ends_m) / (plan.width_m / 2)
    assert up == pytest.approx(plan.top_m - slope * away) and narrow.rope_m[1] < free.rope_m[1]
    assert narrow.rope_m[1] == pytest.approx(np.hypot(away - end, ends_up - up))
    assert hang(plan).tie_m == pytest.approx(plan.width_m * plan.top_m / (plan.top_m - plan.ends_m) / 2)


def test_a_level_wire_climbs_to_the_higher_support():
    """Legs and ropes lie on the line from tie to tie, the feed half-way, the lower end lowest but for sag."""
    plan, how = garden("two trees")
    there = hang(plan, yard=how["yard"], line=how["line"])
    ties, ends = np.array(there.ties), np.array(there.ends)
    np.testing.assert_allclose(ties, [(-15, 12), (15, 15)])
    np.testing.assert_allclose(ends.mean(axis=0), (0, plan.top_m))
    assert np.hypot(*(ends[1] - ends[0])) == pytest.approx(plan.width_m)
    assert there.rope_m[0] == pytest.approx(np.hypot(*(ties[0] - ends[0])))
    at = np.linspace(-ends[1][0], ends[1][0], 2001)  # a parabola under the line from tie to tie
    low = np.min(plan.top_m + 1.5 * at / 15 - there.sag_m * (1 - (at / 15) ** 2))
    assert there.lowest_m == pytest.approx(low, abs=1e-4) and there.deep_m == pytest.approx(
        plan.top_m - low, abs=1e-4
    )
    assert hang(LEVEL).rope_m[0] == SHORT_ROPE_M


def test_sag_is_that_of_a_parabola():
    """A bare wire alone hangs by w·L²/(8·H), a weight in its middle by P·L/(4·H): statics."""
    line = FeedLine(cable="RG-213", length_m=20)
    with_line, without = hang(LEVEL, line=line), hang(LEVEL)
    span, pull = 2 * without.tie_m, without.pull_n
    hung = 0.1664 * LEVEL.top_m * 9.81  # RG-213 as counted, kg a metre
    assert with_line.sag_m - without.sag_m == pytest.approx(hung * span / (4 * pull), rel=0.01)
    heavy = hang(replace(LEVEL, wire_kg_per_m=LEVEL.wire_kg_per_m + 1), line=line)
    wire = 9.81 * LEVEL.width_m * (span / 4 - LEVEL.width_m / 8)
    assert heavy.sag_m - with_line.sag_m == pytest.approx(wire / pull)
    assert wire == pytest.approx(9.81 * span**2 / 8, rel=0.01)
    vee, how = garden("pole in a garden")
    assert hang(vee, yard=how["yard"], line=line).sag_m < 0.05


def test_pull_is_far_from_what_breaks():
    """A tenth of 210 N/mm² of annealed copper; a jacket weighs but bears nothing."""
    kg, newtons = wire_load(al.Wire(diameter_mm=2.0))
    assert newtons == pytest.approx(0.1 * 210 * np.pi) and kg == pytest.approx(8.9e-3 * np.pi)
    jacketed = wire_load(al.wires.wire("PVC 2.5 mm²"))
    assert jacketed[1] == newtons and jacketed[0] > kg


@pytest.mark.parametrize(
    ("wire", "grams", "newtons"),
    [
        (al.Wire(diameter_mm=1.6), 8.9 * 2.0106, 21 * 2.0106),  # an area of 2.0106 mm²
        (al.Wire(diameter_mm=1.6, metal="aluminium"), 2.7 * 2.0106, 16 * 2.0106),
        (al.Wire(diameter_mm=1.6, metal="lossless"), 8.9 * 2.0106, 21 * 2.0106),
        (al.Wire(diameter_mm=1.0, jacket_mm=0.5, jacket_permittivity=3), 6.99 + 1.4 * 0.75 * np.pi, 16.493),
    ],
    ids=["copper", "aluminium", "unknown counts as copper", "a jacket bears nothing"],
)
def test_what_a_wire_weighs_and_bears(wire, grams, newtons):
    """By the area of its metal: a wire thinner than usual is not pulled like a thick one."""
    assert wire_load(wire) == (pytest.approx(grams / 1000, rel=1e-3), pytest.approx(newtons, rel=1e-3))


def test_what_a_cable_weighs():
    """By its outside: 4.95 and 10.29 mm, at 2 g a cubic centimetre."""
    assert cable_kg_per_m("RG-58") == pytest.approx(2e-3 * np.pi / 4 * 4.95**2)
    assert cable_kg_per_m("RG-213") == pytest.approx(2e-3 * np.pi / 4 * 10.29**2)


BOUGHT = SimpleNamespace(turns=None)  # 0.2 kg
WOUND = SimpleNamespace(turns=5.0, cable="RG-58", cable_length_m=2.0, form_diameter_mm=48.3, pipe_mm=100.0)
COIL = SimpleNamespace(**vars(WOUND) | {"cable": None})
G = 9.81


def hung(*, drop=0.0, trap=BOUGHT, kg_per_m=0.03, span_m=24.0, top_m=10.0):
    """What hang() reads of a plan: legs of 10 m with the trap half-way, pulled by 60 N."""
    return SimpleNamespace(
        top_m=top_m, ends_m=top_m - drop, width_m=2 * float(np.sqrt(100 - drop**2)), span_m=span_m,
        inner_m=5.0, trap=trap, wire_kg_per_m=kg_per_m, wire_pull_n=60.0,
    )  # fmt: skip


def in_the_middle(*loads, span):
    """Moment in the middle of a span under loads (newtons, metres from the middle) on each of its halves."""
    bears = sum(newtons for newtons, _ in loads)
    return bears * span / 2 - sum(newtons * at for newtons, at in loads)


@pytest.mark.parametrize(
    ("trap", "kg"),
    [
        (BOUGHT, 0.2),
        # 48.3 π x 3 x 100 mm³ of PVC at 1.4; two metres of cable, or of wire at 50 g
        (WOUND, 1.4e-6 * 48.3 * np.pi * 3 * 100 + 2 * 2e-3 * np.pi / 4 * 4.95**2),
        (COIL, 1.4e-6 * 48.3 * np.pi * 3 * 100 + 0.1),
    ],
    ids=["bought", "of cable", "of wire"],
)
def test_all_that_hangs_on_a_level_wire_pulls_it_down(trap, kg):
    """Wire, traps, choke and line: the moment in the middle over the pull, statics by hand."""
    loads = [(0.3 * G, 5.0), (kg * G, 5.0), (0.3 * G / 2, 0.0)]  # half the wire, a trap, half the choke
    bare = hang(hung(trap=trap))
    assert bare.sag_m == pytest.approx(in_the_middle(*loads, span=24) / 60)
    line = FeedLine(cable="RG-58", length_m=40)  # of which 10 m hang
    loads.append((10 * cable_kg_per_m("RG-58") * G / 2, 0.0))
    assert hang(hung(trap=trap), line=line).sag_m == pytest.approx(in_the_middle(*loads, span=24) / 60)


def test_a_leg_of_a_vee_sags_no_more_than_is_said():
    """The greatest moment along leg and rope, of wire and trap: never above what is told."""
    vee = hang(hung(drop=6.0, span_m=None))
    assert vee.vee and vee.stakes and vee.ties[1][0] == pytest.approx(8 * 10 / 6)
    whole, at = 10 * 10 / 6, np.linspace(0, 10 * 10 / 6, 4001)
    near = 0.3 * G * (1 - 5 / whole) * 10 / 10  # what the mast's end bears of a leg's 0.3 kg
    even = near * at - 0.03 * G * np.minimum(at, 10) * (at - np.minimum(at, 10) / 2)
    lump = np.where(at < 5, at * (whole - 5) / whole, 5 * (whole - at) / whole) * 0.2 * G
    level = 8 / 10  # a slope's weight is borne across it by this part
    together = level * (even + lump).max() / 60
    assert vee.sag_m == pytest.approx(level * (even.max() + lump.max()) / 60, rel=1e-3)
    assert together <= vee.sag_m < 1.2 * together
    heavy = hang(hung(drop=6.0, span_m=None, kg_per_m=0.06))
    assert heavy.sag_m - vee.sag_m == pytest.approx(level * even.max() / 60, rel=1e-3)


def test_the_nearer_bound_holds():
    """Of supports and fences the nearer; of a vee's stakes and posts too. Unknown: the shortest ropes."""
    yard = al.Yard(hung="level", heights_m=(10, 10), span_m=30)
    fenced = SimpleNamespace(span_m=30, chord_m=22.0, hung="level", heights_m=(10, 10), rope_m=0.5)
    assert hang(hung(), yard=yard).tie_m == 15 and hang(hung(), yard=fenced).tie_m == 11
    open_yard = SimpleNamespace(span_m=None, chord_m=None, hung="level", heights_m=(10, 10), rope_m=0.8)
    free = hang(hung(), yard=open_yard)
    assert free.tie_m == pytest.approx(10.8) and not free.bounded and hang(hung()).bounded
    assert hang(hung(span_m=None)).rope_m == pytest.approx((SHORT_ROPE_M,) * 2)
    assert free.rope_m == pytest.approx((0.8, 0.8)) and not free.vee and not free.stakes and not free.slopes
    posts = hang(hung(drop=6.0, span_m=20.0))
    assert posts.tie_m == 10 and not posts.stakes and posts.ties[1][1] == pytest.approx(10 - 6 / 8 * 10)
    assert posts.lowest_m == 4 and posts.deep_m == posts.sag_m and len(posts.rope_m) == 2
    low = hang(hung(drop=6.0, span_m=2 * 9.5 * 8 / 6))
    assert not low.stakes and low.ties[1][1] == pytest.approx(0.5), "half a metre up is a post, no stake"
    assert hang(hung(drop=0.5, span_m=None)).vee


def lain(**changes):
    """A Hanging as told."""
    made = {"vee": False, "top_m": 10.0, "ends": ((-10, 10), (10, 10)), "ties": ((-12, 10), (12, 10)),
            "rope_m": (2, 2), "sag_m": 0.4, "pull_n": 66.0, "bounded": True}  # fmt: skip
    return Hanging(**made | changes)


def test_how_hanging_is_told():
    """Newtons as scales show them; much sag, over a tenth of the height, wants a rope of its own."""
    assert lain().pull_words == "66 N: 6.7 kg, 15 lb"
    level, vee = lain().sag_words(Tape()), lain(vee=True).sag_words(Tape())
    assert level.startswith("The middle then hangs lower by about 0.40 m") and "That is much" not in level
    assert vee.startswith("The legs then sag by about 0.40 m") and "mast bears" in vee
    assert "That is much" not in lain(sag_m=1.0).sag_words(Tape())
    assert "That is much" in lain(sag_m=1.01).sag_words(Tape())
    assert lain(ties=((-12, 10), (12, 10.006))).slopes and lain(ties=((-12, 10.006), (12, 10))).slopes
    assert not lain(ties=((-12, 10), (12, 10.004))).slopes
    assert lain(vee=True, ties=((-12, 0), (12, 0))).stakes and not lain(ties=((-12, 0), (12, 0))).stakes
    assert lain().lowest_m == pytest.approx(9.6) and lain().deep_m == pytest.approx(0.4)


def test_under_it_one_may_stand_as_high_as_the_lower_band_lets():
    """The lesser of both bands, less what it hangs deeper here than planned; nowhere if one band says so."""

    def plan(*clear):
        return SimpleNamespace(bands=[SimpleNamespace(clear_below_m=one) for one in clear], deep_m=0.1)

    assert lain().clear_below_m(plan(6.0, 5.0)) == pytest.approx(4.7)
    assert lain().clear_below_m(plan(6.0, 0.0)) == 0 and lain(sag_m=6.0).clear_below_m(plan(6.0, 5.0)) == 0


def test_the_usual_line_is_said_to_be_none_of_yours():
    """Whole fives of metres, from the feed down and 10 m on."""
    assert usual_line(LEVEL).length_m == 20 and not usual_line(LEVEL).told
    with pytest.raises(ValueError, match="no cable called"):
        FeedLine(cable="string", length_m=20)


def test_chokes_serve_their_bands():
    """The ring from 80 to 10 metres; the air coil's ohms grow with frequency, and only where it is a coil."""
    assert choke_for(design("80/10 level").plan) is CHOKES[0]
    air = CHOKES[1]
    assert float(air.reactance_ohm(14.2)) == pytest.approx(2 * float(air.reactance_ohm(7.1)))
    assert "820 Ω on 20 metres" in air.sentence(LEVEL)
    assert air.turn_mm == pytest.approx(np.pi * (air.across_mm + 4.95), abs=0.5)


def test_parts_come_from_the_plan():
    """Wire for all cuts, cable for both traps, rope for both ends to the ground; a class needs no less."""
    line = FeedLine(cable="RG-213", length_m=25)
    parts = parts_of(LEVEL, hang(LEVEL, line=line), line)
    wire, trap, rope = parts[0], parts[1], next(one for one in parts if one.what.startswith("rope"))
    assert wire.length_m == pytest.approx(2 * (LEVEL.inner_m + LEVEL.outer_m + 0.6))
    assert (
        trap.length_m == pytest.approx(2 * LEVEL.trap.cable_length_m) and trap.what == "coaxial cable RG-58"
    )
    assert rope.length_m >= 2 * (SHORT_ROPE_M + 2 * LEVEL.top_m)
    for one in parts:
        number = float(one.bought().split()[0])
        used = one.length_m or one.count or one.grams
        assert used <= number and 12 * used <= float(one.bought(12).split()[0]) <= 12 * number
    assert "buy for 12" in parts_text(parts, antennas=12) and "buy for" in parts_text(parts)
    thin = parts_of(LEVEL, hang(LEVEL), usual_line(LEVEL))
    assert not any(one.what.startswith("coupling") for one in thin) and any(
        one.what.startswith("coupling") for one in parts
    )


@pytest.mark.parametrize(
    ("yard", "words"), [("wound of wire", "capacitor 40 pF"), ("a trap of one's own", "trap of 4.00 µH")]
)
def test_other_traps_want_other_parts(yard, words):
    """A coil wants a capacitor for twice its volts; a given trap is bought as it is."""
    plan = design(yard).plan
    volts = max(band.trap_volts_peak for band in plan.bands)
    (part,) = [one for one in parts_of(plan, hang(plan), usual_line(plan)) if one.what.startswith(words)]
    assert part.count == 2 and (f"{2 * volts:.0f} V" in part.what or f"{volts:.0f} V peak" in part.what)
