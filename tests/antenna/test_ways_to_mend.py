"""mending.py by hand reckoning: what each kind of mend offers, in what order, how far; nothing is solved."""

from dataclasses import dataclass, fields, replace
from inspect import signature
from types import SimpleNamespace

import numpy as np
import pytest

from antlab.antenna import mending, safety
from antlab.antenna.design import design
from antlab.antenna.mending import Coil, Figures, Mend, OnForm, Wish
from antlab.antenna.yard import Yard
from antlab.units import Slip

FIVE = {"leg_m": 10, "span_m": 16 / 0.995 + 1}  # of a leg of 10 m 8 m lie along the ground: it falls by 6 m


def asked(*, leg_m=8.45, hung="level", heights_m=(9, 9), span_m=None, wish=(), **yard):
    """A Wish whose Design is a leg's length alone; 0: no Design."""
    one = Wish(yard=Yard(hung=hung, heights_m=heights_m, span_m=span_m, **yard), **dict(wish))
    made = SimpleNamespace(dipole=SimpleNamespace(length_m=2 * leg_m), aims=())
    vars(one)["_found"] = (made if leg_m else None, None)
    return one


class Said(mending._Said):
    """A number alone."""

    def __call__(self, length_m, up=None):
        return f"{length_m:.1f}"


def offered(kind, wish, wrong="room"):
    """Words and Wish of each way of a kind."""
    return list(mending._KINDS[kind](wish, wrong, Said(feet_first=False, alone=True)))


def heights(ways):
    return [(other.yard.hung, *other.yard.heights_m) for _, other in ways]


@pytest.mark.parametrize(
    ("wish", "drop"),
    [
        (asked(**FIVE), 6.0),
        (asked(leg_m=10, span_m=13 / 0.995 + 1), np.sqrt(100 - 6.5**2)),
        (asked(leg_m=10, span_m=30), 0.0),  # it fits level
        (asked(leg_m=10), 0.0),  # nothing bounds it
        (asked(leg_m=10, span_m=2 * 3.13 / 0.995 + 1), np.sqrt(100 - 3.13**2)),  # 9.498 m of 10 m
        (asked(leg_m=10, span_m=2 * 3.12 / 0.995 + 1), np.nan),  # 9.501 m: steeper than 0.95 of its leg
        (asked(leg_m=0, span_m=10, wish={"low": "20m"}), 0.0),  # no pair, no leg
    ],
)
def test_how_far_the_ends_fall_for_the_room(wish, drop):
    """By Pythagoras, with half a percent of the room in reserve; where it would be too steep it is no way."""
    assert mending._drop_m(wish) == pytest.approx(drop, abs=1e-9, nan_ok=True)


@pytest.mark.parametrize(
    ("wish", "found"),
    [
        (asked(**FIVE, heights_m=(12, 12)), [("vee", 12, 6.0), ("vee", 12, 5.9)]),
        (asked(**FIVE, heights_m=(11, 12)), [("vee", 12, 6.0), ("vee", 12, 5.9)]),  # the higher support
        (asked(**FIVE, heights_m=(9.05, 9.05)), [("vee", 9.1, 3.0)]),  # 3.05 m, down to a tenth; no lower
        (asked(**FIVE, heights_m=(8.9, 8.9)), []),  # within reach
        (asked(leg_m=10, span_m=4, heights_m=(20, 20)), []),  # too steep
    ],
)
def test_a_vee_lets_the_ends_down_as_far_as_they_must(wish, found):
    """Down to a tenth of a metre below what fits, and never within reach."""
    ways = offered("vee", wish)
    assert [(hung, pytest.approx(top, abs=0.06), low) for hung, top, low in heights(ways)] == found
    assert all("As a vee: a pole in the middle, " in words for words, _ in ways)
    assert offered("vee", wish, "ends") == []


def test_a_vee_that_is_one_is_only_let_down():
    """Who has the pole in the middle is not told to buy it."""
    ways = offered("vee", asked(**FIVE, hung="vee", heights_m=(12, 9)))
    assert [words for words, _ in ways] == ["Let the ends down to 6.0", "Let the ends down to 5.9"]


def test_the_diagonal_is_offered_for_room_alone():
    """A garden of 12 by 16 m: 20 m from corner to corner; stakes go there too, or stay unsaid."""
    garden = {"garden_m": (12, 16), "runs_deg": 0, "leg_m": 12}
    for span, then in ((16, pytest.approx(20)), (None, None)):
        ((words, other),) = offered("diagonal", asked(**garden, span_m=span))
        assert words == "Run it along the diagonal, 20.0 from corner to corner, a support in each"
        assert other.yard.span_m == then and other.yard.room_m == pytest.approx(19)
        assert other.yard.runs_deg == pytest.approx(np.degrees(np.arctan2(12, 16)))
    assert offered("diagonal", asked(**garden), "ends") == []
    for runs, words in (
        (0, "Room from fence to fence: 16.0"),
        (other.yard.runs_deg, "Room along the diagonal: 20.0"),
    ):
        (told, wider), *_ = offered("diagonal", asked(**garden | {"runs_deg": runs}, span_m=15))
        assert told == words and wider.yard.span_m == wider.yard.chord_m, "more room than was said is there"
    nearer = asked(**garden, span_m=15.95)
    assert len(offered("diagonal", nearer)) == 1, (
        "of what the supports take, all is counted but a hand's breadth"
    )
    assert offered("diagonal", asked(leg_m=12, span_m=16)) == [], "the garden's size is not known"
    lies = replace(asked(**garden), yard=other.yard)
    assert offered("diagonal", lies) == [], "it runs there already"
    nearly = asked(garden_m=(1, 20), runs_deg=0)  # the diagonal has 2.5 cm more
    assert offered("diagonal", nearly) == [], "nobody moves two supports for a hand's breadth"


@pytest.mark.parametrize(
    ("wish", "wrong", "found"),
    [
        (asked(heights_m=(9, 2)), "ends", [("level", 9, 3)]),
        (asked(heights_m=(2, 9)), "ends", [("level", 9, 3)]),
        (asked(hung="vee", heights_m=(6, 0.5)), "ends", [("vee", 6, 3)]),
        (asked(hung="vee", heights_m=(3, 2)), "ends", []),  # nothing to raise them to
        (asked(hung="vee", heights_m=(16, 4), leg_m=10), "steep", [("vee", 16, 7)]),  # 0.9 of 10 m
        (asked(hung="vee", heights_m=(16, 4), leg_m=10.03), "steep", [("vee", 16, 7.0)]),  # 6.973 m, up
        (asked(hung="vee", heights_m=(12, 3), leg_m=10), "steep", [("vee", 12, 3)]),
        (asked(hung="vee", heights_m=(11.8, 3), leg_m=10), "steep", []),  # 2.8 m is within reach
        (asked(heights_m=(9, 9), leg_m=10), "room", []),
    ],
)
def test_ends_are_raised_out_of_reach(wish, wrong, found):
    """From the same support to where no hand reaches, or to where the legs can hang."""
    ways = offered("ends", wish, wrong)
    assert heights(ways) == found
    for words, other in ways:
        low = "Raise the lower end to" if wish.yard.hung == "level" else "Raise the ends to"
        assert words == f"{low} {other.yard.heights_m[1]:.1f}"


@pytest.mark.parametrize(
    ("wish", "wrong", "found"),
    [
        (asked(**FIVE, hung="vee", heights_m=(8, 4)), "room", [("vee", 10.0, 4), ("vee", 10.1, 4)]),
        (asked(**FIVE, hung="vee", heights_m=(8, 2)), "room", [("vee", 9.0, 3), ("vee", 9.1, 3)]),
        (asked(**FIVE, heights_m=(8, 7)), "room", [("vee", 9.0, 3), ("vee", 9.1, 3)]),
        (asked(**FIVE, heights_m=(9, 9)), "room", [("vee", 9.1, 3)]),  # 9 m are there
        (asked(**FIVE, heights_m=(9.3, 9.3)), "room", []),
        (asked(**FIVE, hung="vee", heights_m=(4, 4)), "room", [("vee", 10.0, 4)]),  # 6 m more, not 6.1
        (asked(**FIVE, hung="vee", heights_m=(3.9, 3.9)), "room", [("vee", 9.9, 3.9)]),
        (asked(**FIVE, hung="vee", heights_m=(24.5, 24)), "room", [("vee", 30.0, 24)]),  # the highest
        (asked(leg_m=10, span_m=4), "room", []),  # too steep
        (asked(heights_m=(9, 2)), "ends", [("level", 10, 3)]),
        (asked(hung="vee", heights_m=(5.04, 1.58)), "ends", [("vee", 6.5, 3.0)]),  # 1.42 m, up
        (asked(heights_m=(29, 2)), "ends", [("level", 30, 3)]),
        (asked(heights_m=(29.5, 2)), "ends", []),
        (asked(heights_m=(9, 9)), "heat", []),
    ],
)
def test_a_higher_support(wish, wrong, found):
    """A steeper vee in the same room, or all of it out of reach: up to 6 m more, and to 30 m."""
    ways = offered("higher", wish, wrong)
    assert [(hung, pytest.approx(top), pytest.approx(low)) for hung, top, low in heights(ways)] == found
    for words, other in ways:
        top, low = other.yard.heights_m
        if wrong == "room":
            vee = f"As a vee: a taller pole, {top:.1f}, ends {low:.1f} up"
            higher = f"Take a taller pole, {top:.1f}, ends {low:.1f} up"
            assert words == (vee if wish.yard.hung == "level" else higher)
        else:
            by = np.ceil(10 * (safety.LOWEST_END_M - wish.yard.lowest_m) - 1e-6) / 10
            assert words == f"Hang all of it {by:.1f} higher, on taller supports"


LEGS = {"RG-58": 8.4, "RG-174": 7.9, "RG-8X": 8.5, "RG-213": 8.1, "RG-316": 7.8} | {
    Coil(pf): 6.5 + pf / 50 for pf in mending.CAPACITORS_PF
}


@pytest.fixture
def legs(monkeypatch):
    """About the wire that a trap asks for, by a table."""
    monkeypatch.setattr(mending, "_leg_for", lambda wish, trap: LEGS[trap])


def traps(ways):
    return [other.trap for _, other in ways]


def test_a_trap_for_a_shorter_leg(legs):
    """The two cables that change least and still fit, then three coils; a hundredth longer may do."""
    # made: 8.45 m with RG-58, said to be 8.4; room for 2 x 7.85: 1.01 * 7.85 - 0.05 = 7.88
    ways = offered("trap", asked(span_m=16.7))
    assert traps(ways) == ["RG-316", Coil(68), Coil(56), Coil(47)]
    assert ways[0][0] == "Wind the traps of RG-316"
    assert ways[1][0] == "Wind the traps of a coil of wire with 68 pF across it"
    # 2 x 8.1: 8.13, which three cables are under; the two longest come
    assert traps(offered("trap", asked(span_m=17.2)))[:3] == ["RG-213", "RG-174", Coil(68)]
    # a vee that falls by 3 m: hypot(7.25, 3) = 7.846 again
    vee = asked(hung="vee", heights_m=(9, 6), span_m=15.5)
    assert traps(offered("trap", vee)) == ["RG-316", Coil(68), Coil(56), Coil(47)]
    own = asked(span_m=16.7, wish={"trap": Coil(68)}, leg_m=7.91)  # 7.86 by the table
    assert traps(offered("trap", own))[:2] == ["RG-316", Coil(56)]


@pytest.mark.parametrize("wrong", ["heat", "volts"])
def test_hot_traps_are_wound_of_thick_cable(wrong):
    """RG-213 has 10.3 mm, RG-8X 6.15 mm, RG-58 4.95 mm; what they are wound of now is no mend."""
    assert traps(offered("trap", asked(), wrong)) == ["RG-213", "RG-8X"]
    assert traps(offered("trap", asked(wish={"trap": "RG-213"}), wrong)) == ["RG-8X", "RG-58"]
    assert traps(offered("trap", asked(wish={"trap": OnForm("RG-8X", 40)}), wrong)) == ["RG-213", "RG-58"]


def test_other_faults_and_other_traps():
    """Three cables for a narrow band and for bands that do not pair; none for ends or a steep leg."""
    for wrong in ("narrow", "pair"):
        assert traps(offered("trap", asked(), wrong)) == ["RG-174", "RG-8X", "RG-213"]
    assert offered("trap", asked(), "ends") == offered("trap", asked(), "steep") == []


def test_a_trap_that_cannot_be_wound_fits_nowhere():
    """It is no way, and not an error; RG-58 on 40 and 20 metres takes a leg of some 8 m."""
    assert mending._leg_for(Wish(yard=asked().yard), "clothes line") == np.inf
    assert 7.5 < mending._leg_for(Wish(yard=asked().yard), "RG-58") < 9.5


@pytest.mark.parametrize(
    ("good", "power_w", "offers"),
    [((120, 60, 300, 90), 100, 50), ((120, 500, 300, 50), 100, 50), ((900, 900, 900, 900), 1500, 500),
     ((120, 60, 300, 90), 50, 20), ((4, 9, 9, 9), 100, None), ((900, 900, 900, 900), 5, None),
     *((4 * (watts,), watts + 1, watts) for watts in (5, 20, 50, 100, 200, 500, 1000, 1500)),
     *((4 * (watts - 1,), 1501, less) for less, watts in ((100, 200), (500, 1000), (1000, 1500)))],
)  # fmt: skip
def test_as_much_power_as_every_trap_bears(monkeypatch, good, power_w, offers):
    """The most that is offered of all that volts and heat of both bands allow, and less than is asked."""
    aims = [
        SimpleNamespace(good=one, ssb=(power_w, 2000), allowed_mhz={"phone": ()})
        for one in (good[:2], good[2:])
    ]
    monkeypatch.setattr(
        mending,
        "_verdicts",
        lambda made, aim, sends: [
            SimpleNamespace(good_w=one) for one in (*(aim.ssb if sends == "SSB" else aim.good), None)
        ],
    )
    wish = asked(wish={"power_w": power_w})
    wish.made.aims = aims
    for wrong in ("heat", "volts"):
        ways = offered("power", wish, wrong)
        ssb = (
            [f"Send SSB, with {power_w} W"] if wrong == "heat" else []
        )  # which heats less, and has the same volts
        less = [] if offers is None else [offers]
        assert [other.power_w for _, other in ways] == less + [power_w] * len(ssb)
        assert [words for words, _ in ways] == [f"Send with {one} W" for one in less] + ssb
        assert [other.sends for _, other in ways] == ["carrier"] * len(less) + ["SSB"] * len(ssb)
    aims[0].ssb = (power_w - 1, 2000)
    best = [other.power_w for _, other in offered("power", wish, "heat") if other.sends == "SSB"]
    assert all(one < power_w and one in mending.WATTS for one in best), "never more than SSB bears"
    aims[1].allowed_mhz = {"code": ()}
    assert not any("SSB" in words for words, _ in offered("power", wish, "heat")), "where no phone is allowed"
    assert offered("power", wish, "room") == [] == offered("power", asked(leg_m=0), "heat")


def test_one_mode_where_the_band_is_too_wide():
    """Phone or code for a narrow band that was for all; any other where the mode does not go."""
    modes = [other.mode for _, other in offered("mode", asked(), "narrow")]
    assert modes == ["phone", "code"]
    modes = [other.mode for _, other in offered("mode", asked(wish={"sends": "CW"}), "narrow")]
    assert modes == ["code", "phone"], "first what is sent"
    assert offered("mode", asked(wish={"mode": "phone"}), "narrow") == []
    ways = offered("mode", asked(wish={"mode": "phone"}), "pair")
    assert [(words, other.mode) for words, other in ways] == [
        ("Make it for any mode", None), ("Make it for code only", "code"),
    ]  # fmt: skip
    assert offered("mode", asked(), "room") == []


@pytest.mark.parametrize(
    ("wish", "wrong", "found"),
    [
        # 5/6 of 142.6 m / f: 31.7 m on 80 metres, 16.6 on 40, 11.7 on 30, 8.4 on 20, 6.6 on 17, 5.6 on 15
        (asked(), "room", ["40m 17m", "40m 30m", "40m 15m"]),  # nothing bounds it
        (asked(span_m=16, wish={"low": "40m", "high": "20m"}), "room", ["30m 20m", "30m 17m", "30m 15m"]),
        (asked(span_m=20, wish={"low": "80m", "high": "40m"}), "room", ["40m 30m", "40m 20m", "40m 17m"]),
        (asked(span_m=8, wish={"low": "20m", "high": "10m"}), "room", ["17m 10m", "17m 12m", "15m 10m"]),
        (asked(span_m=8, heights_m=(9, 6.6)), "room", ["20m 17m", "20m 15m", "20m 12m"]),  # hypot(7, 4.8)
        (asked(span_m=8, heights_m=(9, 6.8)), "room", ["17m 15m", "17m 12m", "17m 10m"]),  # hypot(7, 4.4)
        (asked(leg_m=0, wish={"low": "20m"}), "pair", ["20m 17m", "20m 15m", "30m 20m"]),
        (asked(wish={"high": "30m", "mode": "phone"}), "pair", ["40m 20m", "40m 17m", "40m 15m"]),
        (asked(), "heat", []),
        (asked(), "narrow", []),
    ],
)  # fmt: skip
def test_another_pair_of_bands(wish, wrong, found):
    """The nearest whose lower band has room, by 5/6 of a half wave; a step of the lower band counts twice."""
    ways = offered("pair", wish, wrong)
    assert [f"{other.low} {other.high}" for _, other in ways] == found
    for words, other in ways:
        assert words == f"Make it for {other.low[:-1]} and {other.high[:-1]} metres"


@pytest.mark.parametrize(
    ("low_m", "words", "by_m"),
    [(2.0, "hangs 2.0 m (6.6 ft) up, within reach: it wants 3.0 m (9.9 ft) or more", 1.0),
     (2.99, "hangs 2.9 m (9.8 ft) up, within reach", 0.01),
     (0.2, "hangs 0.2 m (0.7 ft) up, within", 2.8), (0.1, "high voltage, is in the ground: it", 2.9)],
)  # fmt: skip
def test_an_end_within_reach_is_a_fault(low_m, words, by_m):
    """Below 3 m, by however little; at 3 m it is none."""
    (fault,) = asked(hung="vee", heights_m=(9, low_m)).faults_of_yard()
    assert fault.key == "ends" and words in fault.words and fault.by_m == pytest.approx(by_m)
    assert asked(hung="vee", heights_m=(9, 3)).faults_of_yard() == ()


def test_room_is_counted_between_the_ropes():
    """A wire 17 m wide between supports 17.5 m apart lacks 0.5 m: each rope has half a metre."""
    wish = asked(span_m=17.5)
    wish.made.width_m = 17.0
    (fault,) = wish.faults_of_yard()
    assert (fault.key, fault.by_m) == ("room", pytest.approx(0.5))
    assert fault.words == (
        "It spans 17.0 m (55.8 ft); with 0.5 m (1.6 ft) of rope at each end there is room for "
        "16.5 m (54.1 ft)."
    )
    assert wish.faults_of_yard(feet_first=True)[0].words.startswith("It spans 55.8 ft (17.0 m);")
    wish.made.width_m = 16.5
    assert wish.faults_of_yard() == ()


@pytest.mark.parametrize(
    ("sends", "heat"), [("carrier", "C"), ("SSB processed", "C"), ("CW", "C"), ("FT8", "C"), ("SSB", "S")]
)
def test_only_plain_ssb_counts_as_ssb(monkeypatch, sends, heat):
    """Heat is judged by a carrier without a pause for all that sends longer than SSB does."""
    monkeypatch.setattr(safety, "trap_verdicts", lambda wound, **told: ("V", "C", "S"))
    stress = SimpleNamespace(volts_peak=1.0, watts=1.0)
    made = SimpleNamespace(stress=lambda aim: stress, power_w=100, wound=None, sends=sends)
    assert mending._verdicts(made, None) == ("V", heat)


@pytest.mark.parametrize(
    ("span", "share"),
    [((7.0, 7.15), 0.5), ((6.9, 7.15), 0.5), ((7.24, 7.5), 0.2), ((6.0, 8.0), 1.0), ((7.4, 7.6), 0.0),
     ((6.0, 6.9), 0.0), ((np.nan, np.nan), 0.0)],
)  # fmt: skip
def test_the_share_of_what_is_wanted(span, share):
    """Only what lies in the band counts: of 7.0 to 7.3 MHz, by hand."""
    span = SimpleNamespace(low_mhz=span[0], high_mhz=span[1])
    assert mending._share_under_2(span, SimpleNamespace(edges_mhz=(7.0, 7.3))) == pytest.approx(share)


def test_faults_of_traps_by_band(monkeypatch):
    """Volts and heat once each, as the first band that is bad has it; of narrow bands the first alone."""
    bad, good = safety.BAD, safety.GOOD
    verdicts = {
        "low": [("trap volts", good, "1"), ("heat, carrier", bad, "2")],
        "high": [("trap volts", bad, "3"), ("heat, carrier", bad, "4")],
    }
    monkeypatch.setattr(
        mending,
        "_verdicts",
        lambda made, aim: [
            SimpleNamespace(about=about, mark=mark, words=words, good_w=50.0)
            for about, mark, words in verdicts[aim.key]
        ],
    )
    shares = {"low": 0.25, "high": 0.24}
    monkeypatch.setattr(mending, "_share_under_2", lambda span, aim: shares[aim.key])
    edges = {"edges_mhz": (7.0, 7.3), "allowed_mhz": {}}
    aims = [SimpleNamespace(key=key, band=SimpleNamespace(label=key), **edges) for key in ("low", "high")]
    made = SimpleNamespace(aims=aims, span=lambda aim, curve: None)
    found = [(one.key, one.words) for one in mending._faults_of_traps(made)]
    narrow = ("narrow", "On high the SWR is 2 or less over 24 % of what is wanted.")
    assert found == [("heat", "2"), ("volts", "3"), narrow]
    shares["low"] = 0.1
    *_, last = mending._faults_of_traps(made)
    assert last.words == "On low the SWR is 2 or less over 10 % of what is wanted."


@pytest.mark.parametrize(
    ("span", "modes", "nowhere"),
    [
        # of 80 metres, where code ends at 3.6 MHz and phone begins at 3.8
        ((3.66, 3.78), {"code": (3.525, 3.6), "phone": (3.8, 4.0)}, ["code", "phone"]),
        ((3.66, 3.81), {"code": (3.525, 3.6), "phone": (3.8, 4.0)}, ["code"]),
        ((3.5, 4.0), {"code": (3.525, 3.6), "phone": (3.8, 4.0)}, []),
        ((np.nan, np.nan), {"code": (3.525, 3.6), "phone": (3.8, 4.0)}, ["code", "phone"]),
        ((3.66, 3.78), {"code": (3.525, 3.6), "phone": (4.1, 4.2)}, []),  # phone is not wanted
    ],
)
def test_a_dip_that_serves_nobody_is_told(span, modes, nowhere):
    """Between code and phone an SWR of 2 is of no use, however much of the band it covers."""
    dip = SimpleNamespace(low_mhz=span[0], high_mhz=span[1])
    aim = SimpleNamespace(edges_mhz=(3.5, 4.0), allowed_mhz=modes, band=SimpleNamespace(label="80 metres"))
    assert mending._unserved(dip, aim) == nowhere
    told = mending.narrow(SimpleNamespace(aims=(aim,), span=lambda aim, curve: dip))
    assert (told is None) == (not nowhere or span == (3.66, 3.81)) or mending._share_under_2(dip, aim) < 0.25
    if len(nowhere) == 2:
        assert told.words.endswith("of what is wanted, and nowhere where code or phone is allowed.")


def test_one_mode_names_what_it_serves():
    """The part of the band that was narrow, within what is wanted."""
    wide = SimpleNamespace(low_mhz=3.66, high_mhz=3.78), SimpleNamespace(low_mhz=3.77, high_mhz=3.894)
    aims = [
        SimpleNamespace(edges_mhz=edges, allowed_mhz={}, band=SimpleNamespace(label="80 metres"))
        for edges in ((3.0, 4.0), (3.8, 4.0))
    ]
    was, made = (
        SimpleNamespace(aims=(aim,), span=lambda _, span=span: span)
        for aim, span in zip(aims, wide, strict=True)
    )
    assert mending._served(made, SimpleNamespace(made=was)) == ": 80 metres under 2 from 3.80 to 3.89 MHz"
    assert mending._served(made, SimpleNamespace(made=None)) == ""


def test_what_a_mend_costs_in_words():
    """Brackets are the difference with its sign, rounded as the number before them; no bracket for none."""
    mend = Mend(
        "vee",
        "",
        asked(),
        None,
        (Figures("40 metres", 200.0, 3.0, -5.0), Figures("20 metres", 300.0, 2.0, 1.0)),
    )
    vars(mend)["figures"] = (
        Figures("40 metres", 150.4, 3.26, -5.7),
        Figures("17 metres", 100.0, 2.04, -0.04),
    )
    assert mend.cost == (
        "40 metres: 150 kHz (−50), 3.3 W (+0.3), −5.7 dBi (−0.7)",
        "17 metres: 100 kHz, 2.0 W, 0.0 dBi",
    )
    assert mend.changes == (
        "on 40: −50 kHz, heat +0.3 W, −0.7 dB",
        "new on 17: 100 kHz, heat 2.0 W, 0.0 dBi",
    )
    vars(mend)["figures"] = Figures("40 metres", 200.3, 2.98, -4.8), Figures("20 metres", 300, 2, 1.04)
    assert mend.changes == ("on 40: +0.2 dB", "on 20: as before"), "what stays is left out"
    new = Mend("pair", "", asked(), None)
    vars(new)["figures"] = mend.figures
    assert new.cost[0] == "40 metres: 200 kHz, 3.0 W, −4.8 dBi"
    assert new.changes[0] == "new on 40: 200 kHz, heat 3.0 W, −4.8 dBi"


@pytest.mark.parametrize(
    ("kinds", "found"),
    [
        # what each try leaves wrong, None where it cannot be solved; asked: too long, and too hot
        ({"vee": [{"room"}, {"heat"}, set()]}, [None, "vee 1"]),  # one of a kind is enough
        ({"vee": [None, {"room", "heat"}]}, [None, None]),
        ({"vee": [{"ends"}, {"volts"}, {"steep"}, {"pair"}]}, [None] * 4),  # as bad as what it mends
        ({"vee": [{"narrow"}], "trap": [{"heat", "narrow"}]}, ["vee 0", "trap 0"]),  # less bad may come
        ({"vee": [set()], "pair": [set()] * 5}, ["vee 0", "pair 0", "pair 1"]),  # three at the most
        ({"pair": [set(), {"room"}, set(), set()]}, ["pair 0", None, "pair 2"]),  # of pairs two
        ({"vee": [set()], "trap": [set()], "mode": [set()], "pair": [set()]}, ["vee 0", "trap 0", "mode 0"]),
        ({}, []),
    ],
)  # fmt: skip
def test_which_tries_are_mends(monkeypatch, kinds, found):
    """What mends the worst and brings nothing as bad: one of each kind, three at the most, as they come."""

    def ways(kind):
        return lambda wish, wrong, say: (
            (f"{kind} {n} of {wrong}", SimpleNamespace(left=left)) for n, left in enumerate(kinds[kind])
        )

    monkeypatch.setattr(mending, "_KINDS", {kind: ways(kind) for kind in kinds})
    monkeypatch.setattr(mending, "_solved", lambda other, wish: None if other.left is None else other)
    monkeypatch.setattr(mending, "_keys", lambda other, made, asked: other.left)
    monkeypatch.setattr(mending, "figures", lambda made, up_deg: ("figures", up_deg))
    wish = asked(wish={"up_deg": 20})
    vars(wish)["faults"] = (mending.Fault("room", "", 1.0), mending.Fault("heat", ""))
    mends = list(mending.mends(wish))
    assert [one and one.words for one in mends] == [one and f"{one} of room" for one in found]
    for one in filter(None, mends):
        assert (one.key, one.wish, one.asked) == (one.words.split()[0], one.made, ("figures", 20))
    vars(wish).update(faults=(), minded=())
    assert list(mending.mends(wish)) == [], "what fits wants none"


@pytest.mark.parametrize(
    ("wish", "kinds"),
    [
        ({"power_w": 100}, ["power", "power"]),  # the thick cable's wire sticks out of 18 m
        ({"power_w": 100, "yard": {"span_m": 20}}, ["trap", "power", "power"]),
        ({"power_w": 50}, []),
        ({"power_w": 500, "sends": "SSB"}, ["power"]),
    ],
)
def test_what_is_only_minded_has_its_mends(wish, kinds):
    """Too hot for a carrier all day, though it can be built: fewer watts, SSB, or a cable that stays cool."""
    yard = Yard(**{"hung": "level", "heights_m": (7.5, 7.5), "span_m": 18} | wish.pop("yard", {}))
    wish = Wish(yard=yard, **wish)
    assert not wish.faults and bool(wish.minded) == bool(kinds)
    found = [way for way in mending.mends(wish) if way]
    assert [way.key for way in found] == kinds
    for way in found:
        assert not (way.wish.faults or way.wish.minded), way.words


def test_who_speaks_is_offered_bands_with_phone():
    """With SSB no pair with 30 metres; with a carrier there is one."""
    yard = Yard(hung="level", heights_m=(7.5, 7.5), span_m=14)
    bands = {
        sends: {way.wish.low for way in mending.mends(Wish(yard=yard, sends=sends)) if way}
        for sends in ("SSB", "carrier")
    }
    assert "30m" in bands["carrier"] and "30m" not in bands["SSB"] and len(bands["SSB"]) > 1


def test_a_capacitor_to_be_chosen_is_not_minded():
    """Its volts are for who buys it: no mend where all else is good."""
    yard = Yard(hung="level", heights_m=(7.5, 7.5), span_m=20)
    assert Wish(yard=yard, trap=mending.Coil(27), power_w=20).minded == ()


@pytest.mark.parametrize(
    ("shown", "words"), [({}, "3.0 m (9.9 ft)"), ({"feet_first": True}, "9.9 ft (3.0 m)"),
                         ({"alone": True}, "3.0 m"), ({"alone": True, "feet_first": True}, "9.9 ft")]
)  # fmt: skip
def test_lengths_are_spoken_as_the_reader_has_them(shown, words):
    """In words of a fault and of a mend: metres first or feet, alone where there is little room.

    A least height is rounded up in both: 9.8 ft are less than 3 m.
    """
    assert mending.spoken(3, up=True, **shown) == words
    feet_first = shown.get("feet_first", False)
    room = mending._Said(feet_first, alone=True).down(5.09)
    assert room == pytest.approx(16.5 * 0.3048 if feet_first else 5.0), "room is never more than is said"
    wish = asked(heights_m=(9, 2))
    vars(wish)["faults"] = (mending.Fault("ends", "", 1.0),)
    vars(wish)["_found"] = (None, None)
    ways = mending.mends(wish, **shown)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(mending, "_solved", lambda other, wish: other)
        patch.setattr(mending, "_keys", lambda other, made, asked: set())
        assert next(ways).words == f"Raise the lower end to {words}"


def test_no_pair_is_told_by_its_slip():
    """Twice the same band is a fault of the pair, in the words of design(), and the only one."""
    wish = Wish(yard=Yard(hung="vee", heights_m=(9, 0.9)), low="20m")
    with pytest.raises(Slip) as slip:
        _ = wish.begin
    assert [(one.key, one.words, one.by_m) for one in wish.faults] == [("pair", str(slip.value), 0.0)]


def test_capacitors_are_what_a_shop_has():
    """E12, a decade and its end, the largest first: each about 10^(1/12) times the next."""
    values = np.array(mending.CAPACITORS_PF, float)
    assert values[0] == 100 and values[1:] == pytest.approx(
        [82, 68, 56, 47, 39, 33, 27, 22, 18, 15, 12]  # IEC 60063, values from memory
    )
    pipe = mending.wound(14.2, Coil(27)).form_diameter_mm
    assert pipe == 48.3, "1 1/2 in, as tests/world/published/pipe_outsides.csv has it"
    assert values == pytest.approx(100 / 10 ** (np.arange(12) / 12), rel=0.05)


def test_start_and_wish_take_for_granted_what_design_does():
    """What nobody said is one thing in all three: 100 W, a carrier, a general licence, region 2, any mode."""
    wish = {field.name: field.default for field in fields(Wish)}
    usual, theirs = (
        {name: one.default for name, one in signature(made).parameters.items()}
        for made in (mending.start, design)
    )
    for name, value in {"power_w": 100, "sends": "carrier", "mode": None}.items():
        assert usual[name] == wish[name] == theirs[name] == value, name
    known = {"low": "40m", "high": "20m", "soil": "average", "aim": "widest", "licence": "general"}
    for name, value in (known | {"region": 2}).items():
        assert wish[name] == theirs[name] == value, name
    assert usual["wire"] == wish["wire"] and wish["up_deg"] == 15


@dataclass(frozen=True)
class Near:
    """In place of a Design: how it hangs, its power, and by which trap it was hung anew."""

    dipole: SimpleNamespace
    power_w: float
    by: object = None
    sends: str = "carrier"

    def hung(self, shape, trap=None):
        return Near(SimpleNamespace(shape=shape), self.power_w, trap or "as it was")


def test_what_is_alike_is_hung_anew_and_the_rest_designed(monkeypatch):
    """Another yard, trap or power begins from the lengths that are known; another band does not."""
    wish, wound = asked(hung="vee", heights_m=(9, 4)), []
    vars(wish)["_found"] = (Near(SimpleNamespace(shape=wish.yard.shape), 100.0), None)
    monkeypatch.setattr(mending, "designed", lambda other: ("designed", other.low))
    monkeypatch.setattr(mending, "wound", lambda f_mhz, trap: wound.append(f_mhz) or trap)
    lower = Yard(hung="vee", heights_m=(9, 3))
    for change, by, power in (
        ({"power_w": 50}, None, 50.0), ({"yard": lower}, "as it was", 100.0),
        ({"trap": "RG-213"}, "RG-213", 100.0),
        ({"yard": lower, "trap": "RG-8X", "power_w": 20}, "RG-8X", 20.0),
    ):  # fmt: skip
        made = mending._solved(replace(wish, **change), wish)
        assert (made.by, made.power_w) == (by, power) and isinstance(made.power_w, float)
        assert made.dipole.shape == change.get("yard", wish.yard).shape
    assert wound == pytest.approx([14.175, 14.175]), "traps are wound for the upper band"
    assert mending._solved(replace(wish, low="30m"), wish) == ("designed", "30m")
    assert mending._solved(replace(wish, mode="code", power_w=50), wish) == ("designed", "40m")

    def refused(f_mhz, trap):
        raise Slip("it cannot be wound")

    monkeypatch.setattr(mending, "wound", refused)
    assert mending._solved(replace(wish, trap="RG-213"), wish) is None
