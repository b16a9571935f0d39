"""Homework 09: what fits into the yard, and how far people stay away."""

from sympy import pi, sqrt

from antlab.antenna import design as planning
from antlab.antenna import safety
from antlab.classroom.homework.problems import Choice, Expression, Given, Mistake, Number, Option, symbols
from antlab.engine.shapes import FlatTop, InvertedVee
from antlab.physics.lengths import rule_length_m
from antlab.units import feet, wavelength_m

b, h_a, h_e, P, a, G, K, p_max = symbols("b h_a h_e P a G K p_max")
REFLECTION = 2.56


def lesson(pick):
    """A student's numbers and problems: see problems."""
    apex, ends = pick("apex", 8.5, 9.0, 9.5, 10.0), pick("ends", 3.0, 3.5, 4.0)
    pair = pick("pair", ("80m", "40m"), ("40m", "20m"))
    vee = planning.design(*pair, shape=InvertedVee(apex_m=apex, ends_m=ends), soil="rocky")
    leg = round(vee.dipole.inner_m + vee.dipole.outer_m, 2)
    mhz, watts = pick("f", 14.2, 21.2, 28.4), pick("P", 100, 200, 400)
    mode = pick("mode", *safety.MODES_IN_HOMEWORK)
    part = 0.6 if mode == "SSB processed" else 0.5
    duty = float(safety.average_power_w(power_w=1.0, mode=mode, transmit_fraction=part))
    gain = pick("g", 2.1, 2.4, 3.0)
    exposed = safety.exposure(f_mhz=mhz, power_w=watts * duty, gain_dbi=gain, reflection=REFLECTION)
    limit = float(f"{safety.exposure_limit_mw_cm2(f_mhz=mhz):.3g}")
    givens = (
        Given(b, "one leg of the inverted vee at Hilltop, feed to end", leg, "m", 8, 20),
        Given(h_a, "height of its feed", apex, "m", 6, 9),
        Given(h_e, "height of its ends", ends, "m", 3, 5),
        Given(P, "power of the transmitter", watts, "W", 50, 1500),
        Given(
            a,
            f"share of it on average: {mode} ({100 * safety.MODES[mode]:.0f} %), "
            f"{100 * part:.0f} % of the time on the air",
            100 * duty,
            "%",
            5,
            100,
        ),
        Given(G, "gain of the antenna in empty space", gain, "dBi", 1, 8),
        Given(K, "what the ground may add to the power density", REFLECTION, "", 1, 4),
        Given(p_max, f"limit for neighbours at {mhz:g} MHz", limit, "mW/cm²", 0.1, 2),
    )
    width = 2 * sqrt(b**2 - (h_a - h_e) ** 2)
    reach = (
        Mistake("one-side", "one side only", width / 2,
                "That is from the mast to one end. The wire goes both ways."),
        Mistake("stretched", "the wire laid flat", 2 * b,
                "So far it would reach if it hung level. Sloping, it reaches less."),
        Mistake("plus", "plus for minus", 2 * sqrt(b**2 + (h_a - h_e) ** 2),
                "The leg is the longest side of the triangle, not one of the short ones."),
        Mistake("no-root", "the root left out", 2 * (b**2 - (h_a - h_e) ** 2),
                "Those are squares of lengths. Pythagoras ends with a root."),
    )  # fmt: skip
    power = K * P * a * 10 ** (G / 10) / (4 * pi * p_max)
    away = (
        Mistake("no-root", "the root left out", power,
                "That is r². Power spreads with the square of the distance."),
        Mistake("peak", "the average left out", sqrt(power / a),
                "The limit counts the average power. Multiply P by a."),
        Mistake("ground", "the ground left out", sqrt(power / K),
                "The ground can add to the field: K is missing."),
        Mistake("twenty", "20 for 10", sqrt(power / 10 ** (G / 20)),
                "Gain is a ratio of powers: 10^(G/10), not 10^(G/20)."),
        Mistake("gain-as-ratio", "decibels taken for a ratio", sqrt(power / 10 ** (G / 10) * G),
                "G is in decibels. As a ratio it is 10^(G/10)."),
    )  # fmt: skip
    pauses = () if safety.MODES[mode] == 1 else (  # else it is the same as the average left out
        Mistake("pauses", "pauses not counted", sqrt(power / part),
                "That is for a station that never listens. Listening counts in a."),
    )  # fmt: skip
    return "your yard and your neighbours", givens, {
        "vee-formula": Expression(
            "Room for an inverted vee", "w", width, reach,
            "Half of the vee is a right triangle: the leg slopes, and falls by h_a − h_e.",
            "Half of the width is √(b² − (h_a − h_e)²), by Pythagoras. There are two halves.",
        ),
        "vee-room": Number(
            "Room in metres", lambda: vee.width_m, "m", reach,
            "Put your numbers into the formula.",
            f"Half of the width is √({leg:g}² − ({apex:g} − {ends:g})²).",
        ),
        "limit-formula": Expression(
            "Distance at which the limit is met", "r", sqrt(power), away,
            "Power spreads over a ball, 4πr². The antenna turns up its gain, the ground its part K.",
            "p_max = K·P·a·10^(G/10)/(4πr²). Solve for r.",
        ),
        "limit-distance": Number(
            "Distance in metres", exposed.distance_m, "m", (*away, *pauses),
            "hw.values has p_max in watts per square metre and a as a share of one.",
            f"{REFLECTION:g}·{watts}·{duty:g}·10^({gain:g}/10) over 4π·{10 * limit:g}, and the root of it.",
            tolerance=0.02, remark=(
                f"But don't go by it: far away begins at about a wave, {float(wavelength_m(mhz)):.1f} m, and "
                "nearer the formula says too much or too little. The build sheet computes the field."
            ),
        ),
        "between-poles": Choice(
            "What fits between the poles", lambda: _fits(pick),
            "Lay each antenna beside the distance of the poles. Then take the lowest bands that fit.",
            "The trap dipole is shorter than a full-size one for its lower band. Of those that fit take the "
            "one "
            "that gives you the lower bands.",
            pick.shuffled,
        ),
    }  # fmt: skip


def _fits(pick):
    room = pick("room", 12.0, 13.5, 18.0, 19.0)
    wide, narrow = (
        planning.design(*pair, shape=FlatTop(height_m=7.5)) for pair in (("40m", "20m"), ("20m", "10m"))
    )  # fmt: skip
    full = float(rule_length_m(7.1))
    task = (
        f"The poles at Corner Lot are {room:g} m ({feet(room):.0f} ft) apart. A trap dipole for 40 and 20 "
        f"metres takes {wide.width_m:.1f} m, one for 20 and 10 metres takes {narrow.width_m:.1f} m."
    )
    low = (
        "The trap dipole for 40 and 20 metres: both fit, and it has lower bands.",
        "Compare its length with the room between the poles.",
        "too-long", "length not compared with the room",
    )  # fmt: skip
    high = (
        "The trap dipole for 20 and 10 metres: the larger one does not fit in there.",
        "Compare the longer antenna with the room again. You give away the lower bands without need.",
        "needless", "the lower bands given away",
    )  # fmt: skip
    right, wrong = (low, high) if wide.width_m < room else (high, low)
    return task, (
        Option(right[0]),
        Option(*wrong),
        Option(
            f"A full-size dipole for 40 metres, {full:.1f} m long: traps cost nothing but power.",
            "It is longer than the room. What traps cost is little; what does not fit is not there at all.",
            "full-size", "full size without the room",
        ),
        Option(
            "The trap dipole for 80 and 40 metres, cut to fit: the ends do little.",
            "Little current, but the length is what makes it resonant. Cut ends tune it somewhere else.",
            "cut-ends", "ends taken for useless",
        ),
    )  # fmt: skip
