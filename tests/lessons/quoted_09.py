"""Numbers quoted in lesson 09; see test_notebooks."""

import re
from bisect import bisect_left
from functools import cache
from math import ceil

import antlab as al
from antlab.antenna.mending import start
from antlab.antenna.plan_making import hanging_of
from antlab.classroom import live
from antlab.classroom.views.planner import GROUPS, THREE, Seen, seen_in
from antlab.physics import sky
from antlab.units import MILE_KM

AIMS = {"Corner Lot": 7.24, "Long Acre": 3.90, "Hilltop": 14.29}
POLES = al.FlatTop(height_m=7.5)


@cache
def corner():
    trap = al.design_coax_trap(f_mhz=14.29, form_diameter_mm=48.3)
    return al.design("40m", "20m", shape=POLES, trap=trap, span_m=18)


def by_hand():
    """Full dipoles and five sixths of them, metres, yard by yard; the second from the first as printed."""
    full = [round(143 / f, 1) for f in AIMS.values()]
    return tuple(number for one in full for number in (one, 5 / 6 * one))


def plain(f_mhz):
    wire = al.Dipole(inner_m=9, shape=POLES)
    return al.cable.total_loss_db(wire.impedance(f_mhz), cable="RG-58", length_m=30, f_mhz=f_mhz)


@cache
def planner_of(soil, power_w, cable):
    """One planner for all places of its sliders: what it sees there is asked without drawing it."""
    return live.planner(low="40m", high="20m", soil=soil, power_w=power_w, trap_cable=cable)


def seen_at(widget, place, **how):
    """What a planner sees where its sliders are put. how: as Seen takes it."""
    view, choices = widget.view, widget.choices
    rows = view.places({"room_m": 18, **place}, choices)
    sliders = zip(view.positions, view.sliders(**choices), rows, strict=True)
    return Seen({name: float(slider.values[row]) for name, slider, row in sliders}, choices, **how)


@cache
def dragged(soil="average", power_w=100, cable="RG-58", **place):
    """Numbers that the planner says at a place: SPAN, volts, rating; gains to 1700 km; lowest SWRs."""
    says = all_lines(seen_at(planner_of(soil, power_w, cable), place))
    volts, rated = re.search(r"trap cable: (\d+) of (\d+) V", says).groups()
    return {
        "span": float(re.search(r"(?:fits:|spans) (\S+) m", says)[1]),
        "volts": (float(volts), float(rated)),
        "dbi": dbi_in(says),
        "swr": [float(s) for s in re.findall(r"lowest SWR (\S+) ", says)],
        "says": says,
    }


def dbi_in(says):
    """Gains to the friend, lower band first."""
    return [float(t.replace("−", "-")) for t in re.findall(r"(\S+) dBi on", says)]


def all_lines(seen):
    """What the planner says in all its groups, each line once."""
    return "\n".join(dict.fromkeys(line for show in GROUPS for line in seen.lines(show)))


@cache
def upper_dbi(height_m):
    """Gain on 20 metres to the friend, with all wires level; how far people stay is not asked."""
    seen = seen_at(planner_of("average", 100, "RG-58"), {"height_m": height_m}, keep_off=False)
    return dbi_in("\n".join(seen.lines("Station")))[1]


def five_dbi():
    """The lowest height at which the planner says 5 dBi or more to the friend on 20 metres."""
    heights = [float(h) for h in live.planner.sliders(**live.planner.defaults)[0].values if 9 < h < 13]
    gains = [upper_dbi(h) for h in heights[::8]]
    assert gains == sorted(gains), "it rises all the way, so halving finds the place"
    return heights[bisect_left(heights, 5, key=upper_dbi)]


def friend():
    """The friend is reached at 15°, and noon returns both bands there."""
    noon = sky.at("noon")
    assert noon.returns([aim.f_mhz for aim in corner().aims], elevation_deg=15).all()
    assert round(float(noon.elevation_deg(1700))) == 15
    return 1700 / MILE_KM


def to_the_friend():
    """Decibels that lower ends cost on both bands."""
    level, vee = (dragged(height_m=7.5, **ends)["dbi"] for ends in ({}, {"drop_m": 4.5}))
    return tuple(one - other for one, other in zip(level, vee, strict=True))


def let_down():
    """Watts of a carrier that are good with lower ends and with none, and what others then keep."""
    says = [dragged(height_m=7.5, **ends)["says"] for ends in ({"drop_m": 4.5}, {})]
    watts = (float(re.search(r"a carrier only up to (\d+) W", one)[1]) for one in says)
    return (*watts, *(float(re.search(r"others stay (\S+) m", one)[1]) for one in says))


@cache
def kept_off(power_w):
    """What the sheet says of Corner Lot on both bands, rounded as there: never down."""
    made = start("40m", "20m", al.soil("average"), "RG-58", power_w).hung(POLES, span_m=18)
    return [made.exposure(aim, deep_m=hanging_of(made).deep_m) for aim in made.aims]


def far(power_w):
    return tuple(ceil(10 * one["keep_away_m"]) / 10 for one in kept_off(power_w))


def heat(cable, power_w=100):
    """Watts up to which a trap of Corner Lot's planner stays cool: of a carrier, of SSB."""
    says = dragged(height_m=7.5, cable=cable, power_w=power_w)["says"]
    (line,) = (one for one in says.split("\n") if one.startswith("Traps at "))
    return tuple(float(w) for w in re.findall(r"(?:a carrier|SSB) (?:only )?up to (\d+) W", line))


def stronger():
    """Volts that a trap of RG-213 may see; with it Corner Lot's wire sticks out, by less than a foot."""
    rated = dragged(height_m=7.5, power_w=1500, cable="RG-213")["volts"][1]
    seen = seen_at(planner_of("average", 1500, "RG-213"), {"height_m": 7.5}, keep_off=False)
    (sticks,) = [one for one in seen.faults if one.key == "room"]
    assert 0 < sticks.by_m < 0.3
    return rated


def too_low():
    """At 3 m the planner lets nobody stand under it; watts to the sky, see to_the_sky."""
    assert "nobody stands under it" in dragged(height_m=3)["says"]
    return to_the_sky()


def tuned_lower():
    """The planner's traps are tuned lower than the lesson's, and its inner wires are shorter for that."""
    planned = start("40m", "20m", al.soil("average"), "RG-58", 100).hung(POLES, span_m=18)
    assert planned.wound.resonance_mhz < corner().wound.resonance_mhz
    assert planned.dipole.inner_m < corner().dipole.inner_m
    return planned.wound.resonance_mhz, float(planned.wound.turns), planned.dipole.inner_m


def to_the_sky():
    """Watts of 100 at 3 m and at 7.5 m, on both bands: not into the soil."""
    low = al.design("40m", "20m", shape=al.FlatTop(height_m=3), trap=corner().wound)
    return tuple(
        100 * one.dipole.pattern(aim.f_mhz).sky_fraction for one in (low, corner()) for aim in one.aims
    )


def hilltop():
    """Gain of Hilltop to the friend on 10 metres, the most of all yards and bands; noon returns it."""
    heard = {}
    for name in THREE:
        says = all_lines(seen_in(name))
        assert "the noon sky sends both back" in says and "To 1700 km (1056 miles), at 15°: " in says
        heard[name] = dbi_in(says)
    assert max(max(both) for both in heard.values()) == heard["Hilltop"][1]
    return heard["Hilltop"][1]


def eighty():
    return float(re.search(r"less over (\d+) %", all_lines(seen_in("Long Acre")))[1])


QUOTED = {
    "with {:.0f} m (10 ft) below them at the least": lambda: al.safety.LOWEST_END_M,
    "| 7.24 MHz | {:.1f} m (65 ft) | {:.1f} m (54 ft) |": lambda: by_hand()[:2],
    "| 3.90 MHz | {:.1f} m (120 ft) | {:.1f} m (100 ft) |": lambda: by_hand()[2:4],
    "| 14.29 MHz | {:.1f} m (33 ft) | {:.1f} m (27 ft) |": lambda: by_hand()[4:],
    "by the engine {:.2f} m (55.6 ft)": lambda: corner().width_m,
    "traps are tuned lower, to {:.2f} MHz: hence {:.2f} turns, and {:.2f} m (16.7 ft) inside": tuned_lower,
    "it says {:.1f} m (3.3 ft) on 40 metres and {:.1f} m (4 ft) on 20; with 1500 W {:.1f} m (10 ft) and "
    "{:.1f} m (16.1 ft)": lambda: far(100) + far(1500),
    "with 100 W a tall person's head gets at most {:.0f} % of the limit": lambda: (
        100 * max(one["head_share"] for one in kept_off(100))
    ),
    "each side has {:.1f} m (1.7 ft) left": lambda: (18 - corner().width_m) / 2,
    "points to a friend 1700 km ({:.0f} miles) away": friend,
    "sends the friend most: {:.1f} dBi on 10 metres": hilltop,
    "of 100 W the antenna gets {:.0f}. ": lambda: 100 * al.units.power_ratio(-plain(14.29)),
    "**D** loses {:.0f} dB on 40 metres and {:.0f} dB on 20".replace("*", ""): lambda: (
        plain(7.24),
        plain(14.29),
    ),
    "of 100 W {:.0f} W get into the sky on 40 metres and {:.0f} W on 20, where at 7.5 m (25 ft) it was "
    "{:.0f} W and {:.0f} W. And nobody may stand under it": too_low,
    "2. From {:.1f} m (35 ft)": five_dbi,
    "needs {:.1f} m (47 ft) of room in place of {:.1f} m (55 ft)": lambda: (
        dragged(height_m=7.5, drop_m=4.5)["span"],
        dragged(height_m=7.5)["span"],
    ),
    "falls from {:.1f} to {:.1f}": lambda: (
        dragged(height_m=7.5)["swr"][1],
        dragged(height_m=7.5, drop_m=4.5)["swr"][1],
    ),
    "gets {:.1f} dB less on 40 metres and {:.1f} dB less on 20": to_the_friend,
    "to {:.0f} W of carrier, not {:.0f} W, and others stay {:.1f} m (6 ft) off, not {:.1f} m (4 ft)": (
        let_down
    ),
    "Hot above {:.0f} W of a carrier without a pause, such as FT8, or {:.0f} W of SSB": lambda: heat(
        "RG-58", 1500
    ),
    "{:.0f} of {:.0f} V is too close": lambda: dragged(height_m=7.5, power_w=1500)["volts"],
    "RG-213 may see {:.0f} V": stronger,
    "cool only up to {:.0f} W of carrier, or {:.0f} W of SSB": lambda: heat("RG-213", 1500),
}
GIVEN = [
    "| 100 W | 100 W | 100 W |",
    "5 dBi or more",
    "with 100 W without a pause",
    "set 1500 W",
    "1500 W without a pause, 2.2 dBi, on 3.75 MHz",
]
