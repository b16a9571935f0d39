"""What to buy: each line of the list by hand, with what is spare, for one antenna and for a class."""

from types import SimpleNamespace

import pytest

from antlab.antenna.feeding import CHOKES, FeedLine
from antlab.antenna.parts import Part, check_antennas, joined, parts_of, parts_text
from antlab.antenna.tape import Tape
from antlab.physics.cable import cable

COAX = SimpleNamespace(
    turns=5.0, cable="RG-58", of=cable("RG-58").called, cable_length_m=1.1, form_diameter_mm=50.0,
    pipe_mm=90.0, across_pf=0.0,
)  # fmt: skip
COIL = SimpleNamespace(**vars(COAX) | {"cable": None, "of": "copper wire 1.5 mm", "across_pf": 47.0})
BOUGHT = SimpleNamespace(turns=None, inductance_uh=4.0, capacitance_pf=31.5)


def plan_of(trap=COAX, **changes):
    """What a list of parts reads of a plan."""
    bands = [
        SimpleNamespace(trap_volts_peak=volts, edges_mhz=edges)
        for volts, edges in ((80.0, (7.0, 7.3)), (1230.0, (14.0, 14.35)))
    ]
    cuts = (SimpleNamespace(count=2, cut_m=5.3), SimpleNamespace(count=2, cut_m=3.4))
    made = {
        "wire": "2 mm copper",
        "cuts": cuts,
        "trap": trap,
        "bands": bands,
        "low": bands[0],
        "high": bands[1],
    }
    return SimpleNamespace(**made | {"top_m": 8.6} | changes)


LEVEL = SimpleNamespace(vee=False, stakes=False, rope_m=(0.5, 1.5), ties=((-10, 8), (10, 9)), sags_much=False)
STAKED = SimpleNamespace(vee=True, stakes=True, rope_m=(2.0, 2.0), ties=((-10, 0), (10, 0)))
POSTS = SimpleNamespace(**vars(STAKED) | {"stakes": False, "ties": ((-10, 2), (10, 2))})
SHORT, OTHER = FeedLine(cable="RG-58", length_m=20), FeedLine(cable="RG-213", length_m=20)


def listed(plan, hanging, line):
    """How much of each part, and what is spare, by the beginning of its name."""
    return [
        (one.what, one.length_m or one.count or one.grams, one.spare) for one in parts_of(plan, hanging, line)
    ]


def test_a_level_wire_with_coaxial_traps():
    """Every line: legs with loops, two traps and one to practise, rope over pulleys and down both sides."""
    called = cable("RG-58").called
    assert listed(plan_of(), LEVEL, SHORT) == [
        ("antenna wire: 2 mm copper", pytest.approx(2 * 5.3 + 2 * 3.4), 0.1),
        (f"coaxial cable {called}", pytest.approx(2.2), 0.5),
        ("pipe 50 mm (1.97 in) outside, PVC", pytest.approx(0.18), 0.5),
        ("centre piece with two eyes", 1, 0),
        ("end insulator", 2, 1),
        ("rope 5 mm, for outdoors, of plastic", pytest.approx(2 + 2 * 2 + 2 * 17), 0.1),
        ("pulley", 2, 0),
        ("weight or weak link", 1, 0),
        (f"coaxial cable {called}", pytest.approx(21.3), 0.05),
        ("plug for the radio", 1, 1),
        ("ring of the ferrite sold as mix 31", 1, 1),
        ("self-sealing tape", 3, 0.1),
        ("solder with rosin, for electronics", 20, 0),
        ("cable ties that stand the sun", 12, 5),
    ]


def test_a_vee_over_a_mast():
    """A halyard of twice the mast and its knots, one pulley, a tie each half metre; stakes if any."""
    staked, posts = (
        dict((what, much) for what, much, _ in listed(plan_of(), one, SHORT)) for one in (STAKED, POSTS)
    )
    assert staked["rope 5 mm, for outdoors, of plastic"] == pytest.approx(4 + 2 * 2 + 2 * 8.6 + 2)
    assert staked["pulley"] == 1 and staked["stake"] == 2 and "stake" not in posts
    assert staked["cable ties that stand the sun"] == 8 + 18, "8.6 m of mast"
    assert staked["weak link"] == posts["weak link"] == 1, "as the caution on tension asks"


def test_a_feed_that_hangs_low_has_no_rope_of_its_own():
    """Over the middle of two supports there is nothing to hang one from: a pulley and a rope at each end."""
    low = SimpleNamespace(**vars(LEVEL) | {"sags_much": True})
    held, free = (
        dict((what, much) for what, much, _ in listed(plan_of(), one, SHORT)) for one in (low, LEVEL)
    )
    rope = "rope 5 mm, for outdoors, of plastic"
    assert held["pulley"] == free["pulley"] == 2 and held[rope] == free[rope]


def test_another_line_wants_a_joint():
    """Where line and choke are of two cables: two lengths, three plugs and a coupling."""
    parts = listed(plan_of(), LEVEL, OTHER)[8:13]
    assert parts == [
        (f"coaxial cable {cable('RG-213').called}", 20, 0.05),
        ("coaxial cable RG-58", pytest.approx(1.3), 0),
        ("plug for each cable", 3, 1),
        ("coupling of two plugs", 1, 0),
        ("ring of the ferrite sold as mix 31", 1, 1),
    ]
    assert joined(CHOKES[0], OTHER) and not joined(CHOKES[0], SHORT)


def test_a_capacitor_stands_twice_the_greatest_volts():
    """Of the band where they are highest: too weak a one arcs over. A bought trap must stand them too."""
    coil, capacitor = listed(plan_of(COIL), LEVEL, SHORT)[1:4:2]
    assert coil == ("copper wire 1.5 mm", pytest.approx(2.2), 0.5)
    assert capacitor == ("capacitor 47 pF, 2460 V or more, mica or high-voltage ceramic", 2, 1)
    bought = listed(plan_of(BOUGHT), LEVEL, SHORT)
    assert bought[1] == ("trap of 4.00 µH with 31.5 pF, 1230 V peak", 2, 0)
    assert bought[2][0] == "centre piece with two eyes"


def test_spare_and_rounding():
    """Lengths by a share, pieces by a number and once more for each four antennas, always rounded up."""
    rope = Part(what="rope", why="", length_m=9.2, spare=0.1)
    assert rope.used() == "9.20 m (30 ft 3 in)" and rope.spare_words() == "10 %"
    assert rope.bought() == "11 m (36 ft)" and rope.bought(12) == "122 m (400 ft)"
    assert rope.bought(tape=Tape(first="feet")) == "34 ft (10.4 m)"
    plug = Part(what="plug", why="", count=2, spare=1)
    assert (plug.used(), plug.spare_words()) == ("2", "1")
    assert [plug.bought(n) for n in (1, 3, 4, 5, 8, 12)] == ["3", "7", "9", "12", "18", "27"]
    solder = Part(what="solder", why="", grams=20.0)
    assert (solder.used(), solder.spare_words(), solder.bought(3)) == ("20 g", "none", "60 g")


def test_used_is_what_is_cut_added_up():
    """As the page to build from writes each piece, to cm and sixteenths; then to the inch: all up."""
    wire, coax, pipe = parts_of(
        plan_of(
            SimpleNamespace(**vars(COAX) | {"cable_length_m": 0.9514, "pipe_mm": 128.3}),
            cuts=(SimpleNamespace(count=2, cut_m=5.3732), SimpleNamespace(count=2, cut_m=3.6361)),
        ), LEVEL, SHORT,
    )[:3]  # fmt: skip
    assert Tape().cut(5.3732, 2) == "5.38 m (17 ft 7 9/16 in)"
    assert Tape().cut(3.6361, 2) == "3.64 m (11 ft 11 3/16 in)"
    assert wire.used() == "18.04 m (59 ft 2 in)", "twice 5.38 and 3.64; 59 ft 1 1/2 in"
    assert wire.used(Tape(first="feet")) == "59 ft 2 in (18.04 m)"
    assert coax.used() == "1.92 m (6 ft 3 in)", "twice 0.96; 3 ft 1 1/2 in"
    assert pipe.used() == "0.26 m (11 in)", "twice 129 mm, 5.08 in"


@pytest.mark.parametrize("wrong", [0, -1, 1001, 2.0, True, "3", None])
def test_for_how_many(wrong):
    """A whole number of antennas; anything else is told what was expected."""
    assert [check_antennas(n) for n in (1, 1000)] == [1, 1000]
    with pytest.raises(ValueError, match="a list of parts is for 1 to 1000 antennas; got"):
        check_antennas(wrong)


def test_a_list_to_read():
    """Columns under their heads; what a class buys only where there is one."""
    parts = [
        Part(what="pulley", why="top of the mast", count=1, spare=1),
        Part(what="tape", why="rain", length_m=3),
    ]
    assert parts_text(parts).splitlines() == [
        "what    for              used                 spare  buy for one",
        "pulley  top of the mast  1                    1      2",
        "tape    rain             3.00 m (9 ft 11 in)  none   3 m (10 ft)",
    ]
    assert parts_text(parts, antennas=2).splitlines()[1].split()[-2:] == ["2", "3"]
