"""Numbers quoted in lesson 09; see test_notebooks."""

import math
import re
from functools import cache

import antlab as al
from antlab.classroom import live
from antlab.classroom.views.planner import THREE

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


def missing_turn():
    """Beyond whole turns on the pipe of 48.3 mm: millimetres around it, and what is off without them, %."""
    trap = al.design_coax_trap(f_mhz=14.29, form_diameter_mm=48.3)
    around_mm = math.pi * (48.3 + al.cable.cable("RG-58").outer_mm)
    return around_mm * (trap.turns - trap.whole_turns), 100 * (trap.whole_turns_mhz / 14.29 - 1)


@cache
def dragged(soil="average", power_w=100, cable="RG-58", **place):
    """Numbers that the planner says at a place: SPAN, volts, rating; takeoff angles; lowest SWRs."""
    widget = live.planner(
        low="40m", high="20m", soil=soil, power_w=power_w, trap_cable=cable, room_m=18, **place
    )
    says = widget.player.frames["says"][0]
    span, volts, rated = re.search(r"spans (\S+) m .*: (\d+) of (\d+) V", says).groups()
    return {
        "span": float(span),
        "volts": (float(volts), float(rated)),
        "takeoff": [float(t) for t in re.findall(r"takeoff (\d+)°", says)],
        "swr": [float(s) for s in re.findall(r"lowest SWR (\S+) ", says)],
        "says": says,
    }


def leaves_low():
    """The lowest height at which the planner says 30° or less on 20 metres."""
    heights = live.planner.sliders(**live.planner.defaults)[0].values
    return next(h for h in heights if h > 9 and dragged(height_m=float(h))["takeoff"][1] <= 30)


def to_the_sky():
    """Watts of 100 at 3 m and at 7.5 m, on both bands: not into the soil."""
    low = al.design("40m", "20m", shape=al.FlatTop(height_m=3), trap=corner().wound)
    return tuple(
        100 * one.dipole.pattern(aim.f_mhz).sky_fraction for one in (low, corner()) for aim in one.aims
    )


def hilltop():
    choices, (height, drop, room) = THREE["Hilltop"]
    widget = live.planner(height_m=height, drop_m=drop, room_m=room, **choices)
    return float(re.findall(r"takeoff (\d+)°", widget.player.frames["says"][0])[1])


def half_power():
    low_edge = corner().dipole.pattern(corner().high.f_mhz).beamwidth_deg()[0]
    far = al.hop_km(round(low_edge))
    return low_edge, round(far, -2), round(round(far, -2) / 1.609344, -1) + 10


def eighty():
    choices, (height, drop, room) = THREE["Long Acre"]
    widget = live.planner(height_m=height, drop_m=drop, room_m=room, **choices)
    return float(re.search(r"less over (\d+) %", widget.player.frames["says"][0])[1])


QUOTED = {
    "with {:.1f} m (8 ft) below them at the least": lambda: al.safety.LOWEST_END_M,
    "| 7.24 MHz | {:.1f} m (65 ft) | {:.1f} m (54 ft) |": lambda: by_hand()[:2],
    "| 3.90 MHz | {:.1f} m (120 ft) | {:.1f} m (100 ft) |": lambda: by_hand()[2:4],
    "| 14.29 MHz | {:.1f} m (33 ft) | {:.1f} m (27 ft) |": lambda: by_hand()[4:],
    "is {:.0f} mm (a third of an inch) around the pipe, and puts the trap {:.1f} % too high": missing_turn,
    "by the engine {:.2f} m (54.5 ft)": lambda: corner().width_m,
    "reaches out to {:.1f} m (22 ft)": lambda: al.safety.near_field_m(7.24),
    "head is only {:.1f} m (19 ft) below": lambda: 7.5 - 1.8,
    "each side has {:.1f} m (2.3 ft) left": lambda: (18 - corner().width_m) / 2,
    "it leaves at {:.0f}°": lambda: corner().dipole.pattern(corner().high.f_mhz).takeoff_deg,
    "lands {:.0f} km (410 miles)": lambda: round(float(al.hop_km(40)), -1),
    "down to {:.0f}° ({:.0f} km, {:.0f} miles)": half_power,
    "farthest: {:.0f}° on 10 metres": hilltop,
    "of 100 W the antenna gets {:.0f}. ": lambda: 100 * al.units.power_ratio(-plain(14.29)),
    "on 80 metres at {:.0f} m (43 ft)": lambda: al.safety.near_field_m(3.75),
    "**D** loses {:.0f} dB on 40 metres and {:.0f} dB on 20".replace("*", ""): lambda: (
        plain(7.24),
        plain(14.29),
    ),
    "of 100 W {:.0f} W get into the sky on 40 metres and {:.0f} W on 20, where at 7.5 m (25 ft) it was "
    "{:.0f} W and {:.0f} W": to_the_sky,
    "From {:.1f} m (32 ft)": leaves_low,
    "needs {:.1f} m (44 ft) of room in place of {:.1f} m (54.5 ft)": lambda: (
        dragged(height_m=7.5, drop_m=5)["span"],
        dragged(height_m=7.5)["span"],
    ),
    "falls from {:.1f} to {:.1f}": lambda: (
        dragged(height_m=7.5)["swr"][1],
        dragged(height_m=7.5, drop_m=5)["swr"][1],
    ),
    "at {:.0f}° in place of {:.0f}°": lambda: (
        dragged(height_m=7.5, drop_m=5)["takeoff"][1],
        dragged(height_m=7.5)["takeoff"][1],
    ),
    "{:.0f} of {:.0f} V: too close": lambda: dragged(height_m=7.5, power_w=1500)["volts"],
    "RG-213 may see {:.0f} V": lambda: dragged(height_m=7.5, power_w=1500, cable="RG-213")["volts"][1],
}
GIVEN = [
    "| 100 W | 100 W | 100 W |",
    "For 14.29 MHz and RG-58",
    "leave at 30° or lower",
    "about 1 % lower (lesson 04)",
    "Set 1500 W",
    "1500 W without a pause, 2.2 dBi, on 3.75 MHz",
]
