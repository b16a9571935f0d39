"""An evening's sky: where a ray lands, who cannot hear it, and which height would have served it best."""

from dataclasses import replace
from functools import lru_cache

import matplotlib as mpl
import numpy as np

from antlab.antenna.safety import LOWEST_END_M
from antlab.classroom.drawing.axes import dbi, label, plot_axes
from antlab.classroom.drawing.looks import BLACK, BLUE, GREEN, GREY, ORANGE, stroke
from antlab.classroom.drawing.parts import FIRST, SECOND, THIRD, Handle, Part, Pen, Scene, column
from antlab.classroom.views.player import Slider, view
from antlab.engine import heights
from antlab.physics import bands, sky
from antlab.units import MILE_KM, feet

MHZ = {"80 metres": 3.7, "40 metres": 7.15, "20 metres": 14.175, "10 metres": 28.5}  # as in lessons 07 and 08
WHEN = ("noon", "night")  # of sky.HOURS
HEIGHTS_M = np.arange(heights.LOWEST_M, heights.HIGHEST_M + 0.1, 0.5)
DRAWN = slice(0, None, 2)  # of these, in the curve
LAYER_KM = sky.at("noon").layer_km
COUSIN_KM, CLUB_KM = 200.0, 1700.0  # one on the near map, one on the far one
ENOUGH_DB = 1.0  # so much less than the best is hardly heard
DOT, RING = (
    "\N{BLACK CIRCLE} ",
    "\N{WHITE CIRCLE} ",
)  # of a height, and of the best one, in the curve
STRETCHES = 5  # of heights within that, on 10 metres; no more
GONE = "swallowed by day"
SWALLOWED = {  # by the lowest layer, which is there by day; the sky of the course does not reckon it
    ("80 metres", "noon"): GONE,
    ("40 metres", "noon"): "weaker by day",
}  # common practice, no source
BEGIN, UNDER, OVER = 1.8, 3.7, 1.1  # room left of you, under you, over the layer; widths of the letter m
NEAR_KM, FAR_KM = 400.0, 4000.0  # how far the map goes: where the ray lands within the first, and else


@view(
    Slider("Takeoff angle", "°", 1, 90, 90, 45, digits=0),
    Slider("Band", "", 0, 3, 4, 2, words=tuple(MHZ)),
    Slider("When", "", 0, 1, 2, 0, words=WHEN),
    size=((10.95, 4.9), (3.9, 7.0)), work="hanging", heard=True, wire_m=(5.0, 7.5, 9.0, 13.5, 22.5),
)  # fmt: skip
def where_it_lands(fig, elevation_deg, band, when, *, wire_m=9.0):
    """Where it lands."""
    names, hours = ([of[round(one)] for one in them] for of, them in ((tuple(MHZ), band), (WHEN, when)))
    gain = np.array([_gain(name)[round(up) - 1] for name, up in zip(names, elevation_deg, strict=True)])
    mine = _mine(gain, wire_m)
    lands = sky.hop_km(elevation_deg, LAYER_KM)
    highest = sky.secant_factor(elevation_deg, LAYER_KM) * [sky.at(hour).critical_mhz for hour in hours]
    returns = highest >= [MHZ[name] for name in names]
    skip = np.array([_skip_km(*one) for one in zip(names, hours, strict=True)])
    told = _told(lands, returns, gain, mine, wire_m)
    edge = np.where(np.where(returns, lands, skip) <= NEAR_KM, NEAR_KM, FAR_KM)  # lost: whom it passes over
    fades = [SWALLOWED.get(of, "") for of in zip(names, hours, strict=True)]
    told = [
        (*one[:3], one[3].replace(" is enough", " would be enough"), one[4]) if fade == GONE else one
        for one, fade in zip(told, fades, strict=True)
    ]
    corner = [
        (f"{name}, {hour}", f"map to {to:.0f} km", *_zone(km, fade))
        for name, hour, to, km, fade in zip(names, hours, edge, skip, fades, strict=True)
    ]
    says = [
        f"{about}, {_in_one(*zone)}: the ray {lands} {miles}".strip()
        + (f"\n{here}; {high}: {sent.replace(RING, '')}" if here else f"; {high}")
        + f"; {scale}"
        for (about, scale, *zone), (lands, miles, here, high, sent) in zip(corner, told, strict=True)
    ]
    alt = (
        "Above, the round earth from the side, closer the nearer the ray comes down: it leaves at the "
        "takeoff angle over your horizon; the layer turns it, or lets it through. Beside it two rings of "
        "distance around you: the zone within which nothing comes down, where this ray lands, to both sides "
        f"of the wire, and a cousin {COUSIN_KM:.0f} or a club {CLUB_KM:.0f} km away. Below, the gain at this "
        "angle from each height, with the lowest that is enough."
    )
    side, words, curve, plan = _panels(fig)
    held, parts = _ray(side, elevation_deg, lands, returns, skip)
    parts += (
        _landing(side, told)
        + _map(plan, lands, returns, skip, edge, corner)
        + _words(words, told)
        + _curve(curve, gain, mine, returns, wire_m, [one[-1] for one in told])
    )
    return Scene(parts, says, alt, handles=[Handle("elevation_deg", side, *at) for at in held])


@lru_cache(maxsize=8)
def _gain(name):
    """Gain broadside of a half-wave dipole over average soil, dBi: 1 to 90 degrees, and HEIGHTS_M."""
    up, soil = np.arange(1.0, 91.0), bands.soil("average")
    return heights.half_wave_gain_dbi(up, HEIGHTS_M, f_mhz=MHZ[name], soil=soil).T


def _mine(gain, wire_m):
    """The gain from the wire's own height, (rows,), one of HEIGHTS_M."""
    return gain[:, np.argmin(np.abs(HEIGHTS_M - wire_m))]


@lru_cache(maxsize=32)
def _skip_km(name, hour):
    return float(sky.at(hour).skip_km(MHZ[name]))


def _near(curve):
    """Whether each of HEIGHTS_M is within ENOUGH_DB of the best, and none where a hand gets at the wire."""
    return (curve >= curve.max() - ENOUGH_DB) & (HEIGHTS_M >= LOWEST_END_M)


def _stretches(curve):
    """All heights that are within ENOUGH_DB of the best, as stretches: of each the lowest and the highest, m.

    None where `_enough` knows no best.
    """
    first, last = _enough(curve)
    if first == last == len(curve) - 1:
        return []
    steps = np.diff(np.concatenate([[0], _near(curve), [0]]).astype(int))
    pairs = zip(np.flatnonzero(steps > 0), np.flatnonzero(steps < 0) - 1, strict=True)
    alone_m = 0.25  # so wide is what is one height alone
    return [(HEIGHTS_M[a], max(HEIGHTS_M[b], HEIGHTS_M[a] + alone_m)) for a, b in pairs]


def _enough(curve):
    """The lowest height that is within ENOUGH_DB of the best, and the highest up to which all are: places.

    curve: gain from HEIGHTS_M. Lower than an end of a wire may hang nothing counts; nor does a height from
    which it rises up to the last, since there may be better ones above: then both are the last.
    """
    near = _near(curve)
    first = int(np.argmax(near))
    last = first + int(np.argmin(np.append(near[first:], False))) - 1
    return (last, last) if curve[first : last + 1].argmax() + first == len(curve) - 1 else (first, last)


def _zone(skip_km, swallowed):
    """The skip zone in words: two lines. swallowed: what is said where there is none."""
    said, _, more = sky.zone_words(skip_km).partition(" (")
    return said, swallowed if skip_km == 0 else f"({more}" if more else ""


def _in_one(zone, more):
    """Both lines of the skip zone as one."""
    return f"{zone} {more}".strip() if more.startswith("(") or not more else f"{zone}, {more}"


def _told(lands, returns, gain, mine, wire_m):
    """Five pieces of words a row: where it lands (km, miles), gain there, what height is enough, its gain."""
    told = []
    for km, back, own, curve in zip(lands, returns, mine, gain, strict=True):
        first, _ = _enough(curve)
        high, sent, best = HEIGHTS_M[first], dbi(curve[first]), dbi(curve.max())
        high = f"{high:g} m ({feet(high):.0f} ft)"
        told.append((
            f"lands {km:.0f} km", f"({km / MILE_KM:.0f} miles)",
            f"from your {wire_m:g} m ({feet(wire_m):.0f} ft): {dbi(own)}",
            f"best above {high}" if first == len(curve) - 1 else f"{high} is enough",
            sent if sent == best else f"{sent}, {RING}best {best.removesuffix(' dBi')}",
        ) if back else ("goes through: lost", "", "", "no height or power helps", ""))  # fmt: skip
    return told


def _panels(fig):
    """Axes for the earth from the side, for words, for gain against height, and for the map.

    Of all but the gain a unit is the width of the letter m; the map's middle is where you are.
    """
    wide = fig.bbox.width > 1.2 * fig.bbox.height
    left, right = ((0, 0.53), (0.53, 1)) if wide else ((0, 1), (0, 1))
    rows = (
        ((0.48, 1), (0.33, 0.48), (0, 0.33), (0, 1))
        if wide
        else ((0.735, 1), (0.665, 0.735), (0.51, 0.665), (0, 0.51))
    )
    em = mpl.rcParams["font.size"] / 72 * fig.dpi
    bare = {"x": (0, 1), "y": (0, 1), "margins_em": (0.2, 0.2, 0.1, 0.1)}
    side, words, plan = axes = [
        plot_axes(fig, span=span, rows=rows[i], **bare) for i, span in ((0, left), (1, left), (3, right))
    ]
    for ax in axes:
        ax.set(xlim=(0, ax.bbox.width / em), ylim=(0, ax.bbox.height / em))
        ax.set_axis_off()
    across, high = _limits(plan)
    radius = _radius(plan)
    plan.set(xlim=(-radius - 0.2, across - radius - 0.2), ylim=(-radius - 0.2, high - radius - 0.2))
    curve = plot_axes(
        fig, x=(0, HEIGHTS_M[-1] + 1), y=(-20, 12), span=left, rows=rows[2], ylabel="dBi",
        yticks=[-20, -10, 0, 10], margins_em=(4.4, 3.0, 0.4, 1.8),
    )  # fmt: skip
    return side, words, curve, plan


def _limits(ax):
    """How wide and high axes are, in their own units."""
    return np.ptp(ax.get_xlim()), np.ptp(ax.get_ylim())


def _radius(ax):
    """The map's outer ring: its words stand to the right of it, and two lines over it."""
    across, high = _limits(ax)
    return min((across - 5.2) / 2, (high - 3.4) / 2)


def _camera(ax, elevation_deg, lands):
    """How the earth is seen: units a kilometre, and how high your ground is, each (rows, 1).

    The ray's top goes along the upper edge by even steps, so that a hand can turn it; the layer over you
    stays at that edge. From the flattest ray on the picture comes closer, until the layer fills it.
    """
    across, high = _limits(ax)
    top_km = (sky.EARTH_KM + LAYER_KM) * np.sin(lands / 2 / sky.EARTH_KM)
    flattest = (across - BEGIN - 1.2) * 1920 / 3500  # km to the side: its top, and where it comes down
    even = flattest * (1 - elevation_deg / 90) / np.maximum(top_km, 1e-6)
    scale = column(np.where(elevation_deg < 90, even, np.inf)).clip(max=(high - UNDER - OVER) / LAYER_KM)
    return scale, high - OVER - scale * LAYER_KM


def _ray(ax, elevation_deg, lands, returns, skip):
    """The round earth from the side, level where you are, and one ray.

    Returns where it is held, its top, half way up and where it comes down, and the parts.
    """
    scale, level = _camera(ax, elevation_deg, lands)
    across, high = _limits(ax)
    rows = len(lands)

    def place(along_km, high_km):
        angle, far = along_km / sky.EARTH_KM, sky.EARTH_KM + high_km
        return BEGIN + scale * far * np.sin(angle), level + scale * (far * np.cos(angle) - sky.EARTH_KM)

    def surface(x, high_km):
        """How high the ground, or a layer over it, is in the picture; x: units."""
        return level + scale * (
            np.sqrt((sky.EARTH_KM + high_km) ** 2 - ((x - BEGIN) / scale) ** 2) - sky.EARTH_KM
        )

    x = np.linspace(0, across, 12)
    soil = np.hstack([x, [across + 1, -1]]), np.hstack([surface(x, 0), np.full((rows, 2), -1)])
    sight = np.array([BEGIN, across - 4.8])
    name = np.array([across - 4.4])
    step = column(np.where(lands <= NEAR_KM, 200, np.where(lands < 1500, 500, 1000)))
    step = np.where(scale * step > 3.5, step, np.where(step == 200, 500, 1000))  # where type is large
    marks = step * np.array([1, 2, 3])
    marks = np.where(marks <= np.maximum(1.1 * column(lands), NEAR_KM), marks, np.nan)
    mx, my = place(marks, 0)
    low = my - 0.95 - 0.9 * marks / sky.EARTH_KM
    cousin = place(column([COUSIN_KM]), 0)
    named = np.maximum(cousin[0] - 1.95, BEGIN + 1.9), cousin[1] - 0.95  # in the earth: no ray gets there
    hides = (step[:, 0] == COUSIN_KM) | (mx[:, 0] - 2.1 < named[0][:, 0] + 4)
    low[hides, 0] = np.nan
    if high < 11:  # where type is large, off the words in the earth
        low[(low < 2) & (mx < 21)] = np.nan
    signs = []
    for i in range(marks.shape[1]):
        units = (" km" if i == hid else "" for hid in hides)
        said = tuple(f"{km * (i + 1):.0f}{unit}" for km, unit in zip(step[:, 0], units, strict=True))
        signs.append(Part(ax, "text", mx[:, [i]], low[:, [i]], Pen(BLACK, size=0.9), said))
    mast = cousin[1] + [0, 0.9]
    far, zone = column(lands), np.minimum(column(skip), 1.1 * across / scale)
    here, there, apex = place(0 * far, 0), place(far, 0), place(far / 2, LAYER_KM)
    beyond = [a + 0.5 * (a - h) for a, h in zip(apex, here, strict=True)]
    back = column(returns) > 0
    end = [np.where(back, t, b) for t, b in zip(there, beyond, strict=True)]
    deaf = place(zone * np.linspace(0, 1, 8), 0)
    ends = [np.hstack([h, np.where(back, t, np.nan)]) for h, t in zip(here, there, strict=True)]
    turn = np.radians(column(elevation_deg)) * np.linspace(0, 1, 5)
    arc = BEGIN + 2 * np.cos(turn), level + 2 * np.sin(turn)
    half_way = [(a + h) / 2 for a, h in zip(apex, here, strict=True)]
    held = [apex, half_way, [one[:, 1:] for one in ends]]
    return [tuple(one[:, 0] for one in at) for at in held], [
        Part(ax, "line", *soil, Pen(BLACK, width=0.7, fill=0.12)),
        Part(ax, "line", sight, level + [0, 0], Pen(GREY, width=0.4, dashes=(4.0, 4.0))),
        Part(ax, "line", x, surface(x, LAYER_KM), Pen(GREEN, width=0.8, dashes=THIRD.dashes)),
        Part(ax, "text", name, surface(name, LAYER_KM) + 0.75, Pen(GREEN, align="left"),
             ("F2 layer",) * rows),
        Part(ax, "line", *deaf, Pen(ORANGE, width=2.2)),
        Part(ax, "dots", mx, my, Pen(GREY, width=0.5)),
        *signs,
        Part(ax, "line", cousin[0] + [0, 0], mast, Pen(BLACK, width=0.8)),
        Part(ax, "text", *named, Pen(BLACK, bold=True, align="left"), ("cousin",) * rows),
        Part(ax, "line", *arc, Pen(BLUE, width=0.5), smooth=True),
        Part(ax, "line", *(np.hstack(three) for three in zip(here, apex, end, strict=True)), FIRST),
        Part(ax, "dots", *ends, Pen(BLACK)),
        Part(ax, "text", here[0], here[1] - 1.1, Pen(BLUE, bold=True, size=1.2),
             tuple(f"{one:.0f}°" for one in elevation_deg)),
    ]  # fmt: skip


def _landing(ax, told):
    """Where the ray lands, in the earth below it."""
    lands, miles, *_ = zip(*told, strict=True)
    large, small = Pen(BLUE, bold=True, size=1.4, align="left"), Pen(BLUE, align="left")
    beside, level = 1.2 + _long(lands, 1.15 * large.size), np.array([0.95])  # bold words are wider
    return [
        Part(ax, "text", np.array([0.4]), level, large, lands),
        Part(ax, "text", beside, level, small, miles),
    ]


def _long(words, size):
    """About how long words of a size are, widths of the letter m, (rows, 1)."""
    return 0.53 * size * column([len(one) for one in words])


def _map(ax, lands, returns, skip, edge, corner):
    """Rings of distance around you; the wire runs across, and the ray lands above and below it."""
    outer, turn = _radius(ax), np.radians(np.arange(0, 361, 20))
    round_ = np.radians(np.arange(0, 361, 3))
    rows, words = len(skip), []
    for share in (0.5, 1):
        reach = share * outer
        ax.plot(reach * np.cos(round_), reach * np.sin(round_), color=GREY, linewidth=stroke(0.3), zorder=0.5)
        x, middle = outer + 0.3, 0.0
        if share < 1 and outer > 9.4:
            x, middle = 0.95, reach + 1.4
        elif share < 1:  # too close to the outer one for words between them
            middle = 0.95 - outer
            label(
                ax,
                x,
                middle + 1.95,
                "inner ring",
                Pen(GREY),
                va="center",
                fontsize=0.95 * mpl.rcParams["font.size"],
            )
        for y, unit_km, unit in ((middle + 0.65, 1, "km"), (middle - 0.65, MILE_KM, "mi")):
            said = tuple(f"{share * km / unit_km:.0f} {unit}" for km in edge)
            words.append(
                Part(
                    ax,
                    "text",
                    np.array([x]),
                    np.array([y]),
                    Pen(GREY, size=0.95, align="left"),
                    said,
                )
            )
    ax.plot([-0.65, 0.65], [0, 0], color=BLACK, linewidth=stroke(1.2))
    per_km = outer / column(edge)
    radius, far = column(skip) * per_km, np.where(returns, lands, np.nan)[:, None] * per_km
    beside = np.where(radius < 3, np.maximum(radius, 0.65), 0.65) + 0.25  # off the border of the zone
    under = np.where(beside + 2 > 0.5 * outer, -radius - 0.6, 0)  # or off the ring
    you = np.where(under < 0, 0.3, beside), under
    inside = np.where(radius <= outer, radius, np.nan)  # of a larger zone no border is seen
    is_near = edge == NEAR_KM
    friend = column(np.where(is_near, COUSIN_KM, CLUB_KM)) * per_km
    who = tuple(np.where(is_near, "cousin", "club").tolist())
    top = ax.get_ylim()[1]
    left, right = ax.get_xlim()
    looks = (
        (left + 0.2, top - 0.75, Pen(BLACK, bold=True, align="left")),
        (right - 0.2, top - 0.75, Pen(GREY, size=0.95, align="right")),
        (left + 1.2 + _long([one[2] for one in corner], 1.2), top - 2.2, Pen(ORANGE, align="left")),
    )
    named, scale, zone, more = zip(*corner, strict=True)
    deaf, circle = np.minimum(radius, outer), (np.cos(turn), np.sin(turn))
    return [
        Part(ax, "line", *(deaf * one for one in circle), Pen(ORANGE, width=0, fill=0.2), smooth=True),
        Part(ax, "line", *(inside * one for one in circle), SECOND, smooth=True),
        *words,
        Part(ax, "text", *you, Pen(BLACK, align="left"), ("you",) * rows),
        Part(ax, "line", 0.55 * circle[0], friend + 0.55 * circle[1], Pen(BLACK, width=0.6)),
        Part(ax, "text", np.array([-1.0]), friend + 0.7, Pen(BLACK, bold=True, align="right"), who),
        Part(ax, "line", 0 * far + [0, 0], far * [-1, 1], Pen(BLUE, width=0.4)),
        Part(ax, "dots", 0 * far + [0, 0], far * [-1, 1], Pen(BLUE, width=1.2)),
        *(
            Part(ax, "text", np.atleast_1d(x), np.array([y]), pen, tuple(lines))
            for (x, y, pen), lines in zip(looks, (named, scale, more), strict=True)
        ),
        *_news(ax, left + 0.2, top - 2.2, Pen(ORANGE, size=1.2, align="left"), zone, skip == 0),
    ]


def _words(ax, told):
    """What is told of a ray besides, a line of axes each."""
    _, high = _limits(ax)
    signs = [DOT if one[2] else "" for one in told]  # as in the curve, which a lost ray has not
    mine, enough = ([sign + one[i] for sign, one in zip(signs, told, strict=True)] for i in (2, 3))
    well = [sign == DOT and " would " not in one for sign, one in zip(signs, enough, strict=True)]
    large = Pen(ORANGE, bold=True, size=1.25, align="left")
    return [
        Part(ax, "text", np.array([0.4]), np.array([0.75 * high]), Pen(BLACK, align="left"), tuple(mine)),
        *_news(ax, 0.4, 0.27 * high, large, enough, well),
    ]


def _news(ax, x, y, pen, words, good):
    """Words at one place: green in the rows that are good news, and as the pen has it in the others."""
    return [
        Part(ax, "text", np.array([x]), np.array([y]), replace(pen, color=color), tuple(said))
        for color, said in (
            (GREEN, [one if well else "" for one, well in zip(words, good, strict=True)]),
            (pen.color, ["" if well else one for one, well in zip(words, good, strict=True)]),
        )
    ]


def _curve(ax, gain, mine, returns, wire_m, told):
    """Gain at this angle from each height, the wire's own height, the best one, and those that are enough."""
    at = np.argmax(gain, axis=1)
    seen = np.where(column(returns) > 0, gain, np.nan)
    best = HEIGHTS_M[at][:, None], seen[np.arange(len(seen)), at][:, None]
    first, last = np.array([_enough(one) for one in gain]).T
    low = HEIGHTS_M[first][:, None]
    sent = seen[np.arange(len(seen)), first][:, None]
    em = mpl.rcParams["font.size"] / 72 * ax.figure.dpi * np.ptp(ax.get_xlim()) / ax.bbox.width
    up_em = mpl.rcParams["font.size"] / 72 * ax.figure.dpi * 32 / ax.bbox.height
    words = np.where(
        low < HEIGHTS_M[-1] / 2,
        np.minimum(low + 0.4 * em, HEIGHTS_M[-1] - 8.9 * em),
        low - np.where(first == last, 4.8, 9.6)[:, None] * em,
    )
    all_near = [_stretches(one) if back else [] for one, back in zip(gain, returns, strict=True)]
    shade = np.full((len(gain), STRETCHES, 4), np.nan)  # each a box, from foot to foot
    for boxes, stretches in zip(shade, all_near, strict=True):
        for i, (a, b) in enumerate(stretches):
            boxes[i] = a, a, b, b
            boxes[i + 1 :] = b  # of no width
    up = np.tile([-20.0, 12, 12, -20], STRETCHES)
    ticks = np.arange(15, HEIGHTS_M[-1] + 1, 15)
    ax.set_xticks([0, *ticks], ["0", *(f"{one:.0f} m ({feet(one):.0f} ft)" for one in ticks)])
    own = np.where(returns, mine, np.nan)[:, None]
    lost = np.where(column(returns) > 0, np.nan, -5.0)
    turn = np.linspace(0, 2 * np.pi, 13)
    return [
        Part(ax, "line", HEIGHTS_M[DRAWN], seen[:, DRAWN].clip(-40), Pen(GREY)),
        Part(
            ax,
            "line",
            low + [0, 0],
            sent * [0, 1] + np.array([-20, 0]),
            Pen(GREEN, width=0.6, dashes=THIRD.dashes),
        ),
        Part(ax, "line", shade.reshape(len(gain), -1), up, Pen(GREEN, width=0, fill=0.15)),
        Part(ax, "dots", low, sent, Pen(GREEN, width=1.2)),
        Part(
            ax,
            "line",
            best[0] + 0.5 * em * np.cos(turn),
            np.where(first < last, best[1].T, np.nan).T + 0.5 * up_em * np.sin(turn),
            Pen(GREEN, width=0.8),
            smooth=True,
        ),
        Part(
            ax,
            "text",
            words,
            np.where(sent < -8, 2.0, 0.75 * up_em - 20.0) + 0 * sent,  # off the curve
            Pen(GREEN, align="left"),
            tuple(told),
        ),
        Part(ax, "text", np.array([15.0]), lost, Pen(BLACK), ("lost from every height",) * len(mine)),
        Part(ax, "dots", np.array([float(wire_m)]), own, Pen(BLACK, width=1.2)),
    ]
