"""Homework 08: who will hear you?"""

from sympy import acos, asin, cos, pi, sin, tan

from antlab.classroom.homework.problems import Choice, Expression, Given, Mistake, Number, Option, symbols
from antlab.physics.sky import EARTH_KM, elevation_for_km, hop_km, secant_factor

H, theta, r_E, f_c, delta = symbols("H theta r_E f_c delta")
BANDS_MHZ = {"80 metres": 3.8, "40 metres": 7.2, "20 metres": 14.2, "15 metres": 21.2}


def lesson(pick):
    """A student's numbers and problems: see problems."""
    layer = pick("H", 280, 290, 300, 320, 350)
    angle = pick("theta", 8, 10, 12, 15, 20)
    critical = pick("f_c", 5.2, 5.8, 6.5, 8.1, 9.0)
    away = pick("delta", 3, 4, 5, 6)
    givens = (
        Given(H, "height of the layer", layer, "km", 200, 400),
        Given(theta, "takeoff angle", angle, "°", 6, 30),
        Given(r_E, "radius of the earth", EARTH_KM, "km", EARTH_KM, EARTH_KM),
        Given(f_c, "highest frequency that comes back from straight up", critical, "MHz", 4, 10),
        Given(delta, "half of a hop, as an angle at the centre of the earth", away, "°", 2, 8),
    )
    bend = r_E * cos(theta) / (r_E + H)
    slant = 1 - bend**2
    return "who will hear you", givens, {
        "flat-hop": Expression(
            "One hop on a flat earth", "s", 2 * H / tan(theta),
            (
                Mistake("half-hop", "up, but not down", H / tan(theta),
                        "That is the way to the spot under the mirror. The wave comes down again on the "
                        "other side."),
                Mistake("times-tangent", "times for over", 2 * H * tan(theta),
                        "A steep ray lands near by. Yours would land the farther, the steeper it goes."),
                Mistake("sine", "sine for tangent", 2 * H / sin(theta),
                        "That is the way of the ray itself. The question is the distance along the ground."),
            ),
            "Half of the hop is a right triangle: H is opposite to θ, half of the distance lies beside it.",
            "tan θ = H/(s/2). Solve for s.",
        ),
        "round-hop": Number(
            "One hop on the round earth", lambda: hop_km(angle, layer), "km",
            (
                Mistake("flat", "a flat earth", 2 * H / tan(theta),
                        "That is the flat earth's answer. The ground falls away under the ray."),
                Mistake("half-hop", "up, but not down", r_E * (acos(bend) - theta),
                        "That is the way to the spot under the mirror, half of the hop."),
                Mistake("diameter", "diameter for radius", 4 * r_E * (acos(bend) - theta),
                        "The radius of the earth goes in here, not the diameter."),
                Mistake("degrees", "degrees for radians", 2 * r_E * (acos(bend) - theta) * 180 / pi,
                        "An arc is radius times angle in radians. You have degrees."),
            ),
            "The ray meets the layer where sin i = r_E·cos θ/(r_E + H). The angle at the earth's centre is "
            "90° − "
            "θ − i.",
            f"i = asin({EARTH_KM:g}·cos {angle}°/{EARTH_KM + layer:g}). The hop is 2·{EARTH_KM:g} km times "
            "(90° − "
            f"{angle}° − i) in radians.",
        ),
        "layer-height": Expression(
            "How high was the layer?", "H", r_E / (cos(delta) - tan(theta) * sin(delta)) - r_E,
            (
                Mistake("from-centre", "counted from the earth's centre",
                        r_E / (cos(delta) - tan(theta) * sin(delta)),
                        "That is r_E + H, counted from the centre of the earth. Take r_E off."),
                Mistake("plus", "plus for minus", r_E / (cos(delta) + tan(theta) * sin(delta)) - r_E,
                        "Look at the sign again: r_E/(r_E + H) = cos δ − tan θ·sin δ."),
                Mistake("flat", "a flat earth", r_E * delta * tan(theta),
                        "That is the flat earth again. Solve the given equation instead."),
            ),
            "First bring r_E/(r_E + H) alone to one side, then turn both sides over.",
            "tan θ·sin δ = cos δ − r_E/(r_E + H), so r_E/(r_E + H) = cos δ − tan θ·sin δ. Turn over, take "
            "off r_E.",
        ),
        "highest-frequency": Number(
            "Highest frequency at your angle", lambda: critical * secant_factor(angle, layer), "MHz",
            (
                Mistake("flat", "a flat earth", f_c / sin(theta),
                        "1/sin θ is right on a flat earth. On the round one the ray meets the layer less "
                        "flat."),
                Mistake("cosine", "cosine of θ", f_c / cos(theta),
                        "The angle that counts is the one at the layer, between ray and vertical: i, not θ."),
                Mistake("no-root", "the root left out", f_c / slant,
                        "cos i is the root of 1 − sin² i."),
                Mistake("sine", "sine for cosine", f_c / bend,
                        "That is 1/sin i. The secant is 1/cos i."),
                Mistake("degrees", "degrees for radians", f_c / cos(asin(bend) * 180 / pi),
                        "sp.cos wants radians, and got i in degrees."),
            ),
            "A slanting ray may be higher by 1/cos i, where i is its angle to the vertical at the layer.",
            "sin i = r_E·cos θ/(r_E + H) = "
            f"{float(bend.subs({r_E: EARTH_KM, H: layer, theta: angle * pi / 180})):.4f}, "
            f"and cos i = √(1 − sin² i). Divide {critical:g} MHz by it.",
            tolerance=0.02,
        ),
        "county-net": Choice(
            "The county net", lambda: _net(pick, layer, critical),
            "How steep must the ray go for so short a hop, and what comes back from nearly straight up?",
            "Nearly straight up, what comes back is hardly more than the critical frequency. Take the "
            "highest "
            "band below that.",
            pick.shuffled,
        ),
    }  # fmt: skip


def _net(pick, layer, critical):
    away = pick("net", 60, 90, 120, 150)
    steep = float(elevation_for_km(away, layer))
    highest = critical * float(secant_factor(steep, layer))
    bands = [name for name, mhz in BANDS_MHZ.items() if mhz < highest]
    other = "80 metres" if bands[-1] == "40 metres" else "40 metres"
    task = f"The county reaches {away} km in every direction, the critical frequency is {critical:g} MHz."
    above = (
        f"On {other}: it is higher in frequency, with less noise and a shorter wire.",
        f"At {steep:.0f}° what comes back ends at {highest:.1f} MHz. That band goes through, out into space.",
        "above-critical", "a band above what comes back",
    )  # fmt: skip
    below = (
        f"On {other} with a low wire: the lower the band, the safer the way down.",
        "It comes back too, but by day the lower the band the more of it is swallowed on the way. A higher "
        "one comes back as well.",
        "too-low", "lower than need be",
    )  # fmt: skip
    return task, (
        Option(
            f"On {bands[-1]} with a low wire: it is the highest band to come back from above.",
            remark=f"The ray to the edge of the county goes up at {steep:.0f}°."
        ),
        Option(*(above if other == "40 metres" else below)),
        Option(
            "On 20 metres, with a wire as high as can be: low angles carry farthest.",
            "Farthest, over the heads of the county. The first hop comes down far beyond it.",
            "skip-zone", "the skip zone overlooked",
        ),
        Option(
            f"On {bands[-1]} with a wire as high as can be: height helps at every angle.",
            "Straight up, a wire half a wave high sends next to nothing. Here low is good.",
            "too-high", "a high wire for near by",
        ),
    )  # fmt: skip
