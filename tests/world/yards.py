"""Antennas in yards, designed once: what tests of the plan and of its sheet share."""

import re
from functools import cache

import antlab as al
from antlab.antenna.feeding import FeedLine
from antlab.classroom.views import planner

YARDS = {
    "40/20 level": {"shape": al.FlatTop(height_m=9)},
    "20/10 vee": {
        "low": "20m", "high": "10m", "shape": al.InvertedVee(apex_m=10, ends_m=7.5), "span_m": 9.0,
    },
    "20/10 level": {"low": "20m", "high": "10m", "shape": al.FlatTop(height_m=9)},
    "80/10 level": {"low": "80m", "high": "10m", "shape": al.FlatTop(height_m=12), "span_m": 42.0},
    "80/40 low ends": {"low": "80m", "high": "40m", "shape": al.InvertedVee(apex_m=9, ends_m=2.2)},
    "40/20 steep": {"shape": al.InvertedVee(apex_m=12, ends_m=5), "soil": "rocky"},
    "mismatched": {"shape": al.FlatTop(height_m=2.2), "z0_ohm": 300, "power_w": 1500, "region": 1},
    "a trap of one's own": {
        "shape": al.FlatTop(height_m=9), "trap": al.Trap(inductance_uh=4, capacitance_pf=31), "span_m": 60.0,
    },
    "wound of wire": {
        "shape": al.FlatTop(height_m=9),
        "trap": al.design_coil_trap(f_mhz=14.1, capacitance_pf=40, form_diameter_mm=40),
    },
}  # fmt: skip


@cache
def design(yard):
    return al.design(**YARDS[yard])


def plain(text):
    """Text of the sheet as it was before the printer's minus and spaces."""
    return re.sub(r"\s+", " ", text.replace("−", "-").replace("\u00a0", " ").replace("×", "x"))


# What people would ask for: a plan, and how its sheet is to be drawn; feet go first where Letter is usual.
GARDENS = {
    "pole in a garden": (
        {"low": "20m", "high": "10m"},
        {
            "yard": al.Yard(hung="vee", heights_m=(6, 3), span_m=15, garden_m=(15, 15), runs_deg=60),
            "line": FeedLine(cable="RG-58", length_m=18),
        },
    ),
    "two trees": (
        {},
        {
            "yard": al.Yard(hung="level", heights_m=(12, 15), span_m=30, runs_deg=20),
            "line": FeedLine(cable="RG-213", length_m=25),
            "antennas": 12,
        },
    ),
    "roof in feet": (
        {"wire": al.wires.wire("PVC 2.5 mm²")},
        {
            "yard": al.Yard(hung="vee", heights_m=(20 * 0.3048, 10 * 0.3048)),
            "paper": "Letter",
            "first": "feet",
        },
    ),
}  # fmt: skip


@cache
def antenna(name):
    """A garden, or one of the course's three yards as its planner keeps it, as a student's own antenna."""
    if name in GARDENS:
        asked, how = GARDENS[name]
        line = how.get("line")
        return al.Antenna(
            name=name, yard=how["yard"], feed_line=line and (line.cable.name, line.length_m), **asked
        )
    choices, place = planner.THREE[name]
    positions = dict(zip(("height_m", "drop_m", "room_m"), place, strict=True)) | {"heading": 0}
    wish = planner.wish_of(positions, choices)
    yard, trap = planner._as_said(wish.yard, positions, choices), planner._fitting(wish).wound
    return al.Antenna(name=name, yard=yard, trap=trap, **choices)


def garden(name):
    """A garden's plan, and the rest of a Job for its sheet."""
    return antenna(name).plan, GARDENS[name][1]
