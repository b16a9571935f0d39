"""An evening's sky: where a ray lands, who cannot hear it, and which height would have served it best."""

from dataclasses import replace
from functools import lru_cache

import numpy as np

from antlab.classroom.drawing.axes import dbi, em_of, label, plot_axes
from antlab.classroom.drawing.looks import BLACK, BLUE, EARTH, GREEN, GREY, ORANGE, small, stroke
from antlab.classroom.drawing.parts import FIRST, SECOND, THIRD, Handle, Part, Pen, Scene, column
from antlab.classroom.views.player import Slider, view
from antlab.engine import heights
from antlab.physics import bands, sky
from antlab.units import MILE_KM, feet

MHZ = {"80 metres": 3.7, "40 metres": 7.15, "20 metres": 14.175, "10 metres": 28.5}  # as in lessons 07 and 08
WHEN = ("noon", "night")  # of sky.HOURS
HEIGHTS_M = np.arange(heights.LOWEST_M, heights.HIGHEST_M + 0.1, 0.5)
DRAWN = slice(0, None, 2)  # of these, in the curve
REACH_KM, LAYER_KM = 3700.0, sky.at("noon").layer_km


@view(
    Slider("Takeoff angle", "°", 1, 90, 90, 45, digits=0),
    Slider("Band", "", 0, 3, 4, 2, words=tuple(MHZ)),
    Slider("When", "", 0, 1, 2, 0, words=WHEN),
    size=((9.8, 4.9), (3.9, 6.6)), work="hanging", heard=True, wire_m=(9.0, 5.0, 7.5, 12.0, 20.0),
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
    corner = [(f"{name}, {hour}", *_zone(km)) for name, hour, km in zip(names, hours, skip, strict=True)]
    says = [
        f"{about}, {' '.join(zone).strip()}: the ray {lands} {miles}".strip()
        + (f"\n{here}; {best}: {dbi}" if here else f"; {best}")
        for (about, *zone), (lands, miles, here, best, dbi) in zip(corner, told, strict=True)
    ]
    alt = (
        "Above, the round earth from the side: a ray leaves at the takeoff angle; the layer turns it, or "
        "lets it through. Beside it rings of distance around you: the zone within which nothing comes "
        "down, and where this ray lands, to both sides of the wire. Below, the gain at this angle from each "
        "height."
    )
    side, words, curve, plan = _panels(fig)
    apex, parts = _ray(side, elevation_deg, lands, returns, skip)
    parts += (
        _map(plan, lands, returns, skip, corner)
        + _words(words, told)
        + _curve(curve, gain, mine, returns, wire_m, [one[-1] for one in told])
    )
    return Scene(parts, says, alt, handles=[Handle("elevation_deg", side, *apex)])


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


def _zone(skip_km):
    """The skip zone in words: two lines."""
    if skip_km == 0:
        return "no skip zone", ""
    if skip_km == np.inf:
        return "closed:", "nothing returns"
    return f"skip zone {skip_km:.0f} km", f"({skip_km / MILE_KM:.0f} miles)"


def _told(lands, returns, gain, mine, wire_m):
    """Five pieces of words a row: where it lands (km, miles), gain there, best height, gain from it."""
    told = []
    for km, back, own, curve in zip(lands, returns, mine, gain, strict=True):
        best = HEIGHTS_M[np.argmax(curve)]
        where = "above" if best == HEIGHTS_M[-1] else "at"
        told.append((
            f"lands {km:.0f} km", f"({km / MILE_KM:.0f} miles)",
            f"{dbi(own)} there, from {wire_m:g} m ({feet(wire_m):.0f} ft)",
            f"best {where} {best:g} m ({feet(best):.0f} ft)", dbi(curve.max()),
        ) if back else ("goes through: lost", "", "", "no height or power helps", ""))  # fmt: skip
    return told


def _panels(fig):
    """Axes for the earth from the side, for words, for gain against height, and for the map."""
    wide = fig.bbox.width > 1.2 * fig.bbox.height
    left = (0, 0.5) if wide else (0, 1)
    rows = (
        ((0.68, 1), (0.4, 0.68), (0, 0.4), (0, 1))
        if wide
        else ((0.84, 1), (0.72, 0.84), (0.52, 0.72), (0, 0.52))
    )
    bare = {"margins_em": (0.3, 0.3, 0.2, 0.2)}
    side = plot_axes(fig, x=(-2450, 2300), y=(-560, 640), span=left, rows=rows[0], aspect="equal", **bare)
    words = plot_axes(fig, x=(0, 1), y=(0, 3), span=left, rows=rows[1], **bare)
    curve = plot_axes(
        fig, x=(0, HEIGHTS_M[-1]), y=(-20, 12), span=left, rows=rows[2], xlabel="height, m", ylabel="dBi",
        yticks=[-20, -10, 0, 10], margins_em=(4.4, 2.4, 0.4, 3.2),
    )  # fmt: skip
    edge = 1.03 * REACH_KM
    plan = plot_axes(
        fig,
        x=(-1.25 * REACH_KM, edge),  # words to the left; the ray lands above and below
        y=(-edge, edge),
        span=(0.5, 1) if wide else (0, 1),
        rows=rows[3],
        aspect="equal",
        **bare,
    )
    for ax in (side, words, plan):
        ax.set_axis_off()
    return side, words, curve, plan


def _ray(ax, elevation_deg, lands, returns, skip):
    """The round earth from the side, true to scale, and one ray. Returns its highest place, and the parts."""
    tilt = np.radians(19)  # the middle of the picture, seen from the antenna

    def place(along_km, high_km):
        angle = along_km / sky.EARTH_KM - tilt
        return (sky.EARTH_KM + high_km) * np.sin(angle), (sky.EARTH_KM + high_km) * np.cos(
            angle
        ) - sky.EARTH_KM

    along = np.linspace(-300, 4500, 200)
    ground = place(along, 0)
    ax.fill_between(*ground, -600, color=EARTH, zorder=0)
    ax.plot(*ground, color=BLACK)
    ax.plot(*place(along, LAYER_KM), color=GREEN, linewidth=stroke(0.8), dashes=THIRD.dashes)
    label(ax, *place(tilt * sky.EARTH_KM, LAYER_KM + 130), "F2 layer", THIRD, ha="center", va="center")
    for km in range(1000, 4001, 1000):
        ax.plot(*place(np.array([km, km]), np.array([0, -40])), color=BLACK, linewidth=stroke(0.4))
        lean = {"rotation": np.degrees(tilt - km / sky.EARTH_KM), "rotation_mode": "anchor"}  # as the ground
        label(
            ax,
            *place(km, -75),
            f"{km} km" if km == 1000 else f"{km}",
            ha="center",
            va="top",
            fontsize=small(),
            **lean,
        )
    far, zone = column(lands), column(np.minimum(skip, 4500.0))
    here, there, apex = place(0 * far, 0), place(far, 0), place(far / 2, LAYER_KM)
    beyond = [a + 0.5 * (a - h) for a, h in zip(apex, here, strict=True)]
    back = column(returns) > 0
    end = [np.where(back, t, b) for t, b in zip(there, beyond, strict=True)]
    deaf = place(zone * np.linspace(0, 1, 13), 0)
    ends = [np.hstack([h, np.where(back, t, np.nan)]) for h, t in zip(here, there, strict=True)]
    return (apex[0][:, 0], apex[1][:, 0]), [
        Part(ax, "line", *deaf, Pen(ORANGE, width=2.2)),
        Part(ax, "line", *(np.hstack(three) for three in zip(here, apex, end, strict=True)), FIRST),
        Part(ax, "dots", *ends, Pen(BLACK)),
        Part(ax, "text", here[0], here[1] - 180, Pen(BLUE, bold=True, size=1.2),
             tuple(f"{one:.0f}°" for one in elevation_deg)),
    ]  # fmt: skip


def _map(ax, lands, returns, skip, corner):
    """Rings of distance around you; the wire runs across, and the ray lands above and below it."""
    turn = np.radians(np.arange(0, 361, 10))
    round_ = np.radians(np.arange(0, 361, 3))
    zero, words = np.zeros((len(skip), 1)), []
    for km in (1000, 2000, 3000):
        ax.plot(km * np.cos(round_), km * np.sin(round_), color=GREY, linewidth=stroke(0.3), zorder=0.5)
        x, y = zero + 0.65 * km - 500, zero - 0.72 * km  # off the ray, on their ring
        for side, align, said in ((-1, "right", f"{km} km"), (1, "left", f"{km / MILE_KM:.0f} mi")):
            pen = Pen(GREY, size=0.85, align=align)
            words.append(Part(ax, "text", side * x, y, pen, (said,) * len(skip)))
    ax.plot([-260, 260], [0, 0], color=BLACK, linewidth=stroke(1.2))
    beside = column(np.where(skip < 1300, np.maximum(skip, 200), 200)) + 130  # past the ring of the skip zone
    words.append(Part(ax, "text", beside, zero, Pen(BLACK, align="left"), ("you",) * len(skip)))
    radius = column(np.minimum(skip, REACH_KM))
    far = np.where(returns, lands, np.nan)[:, None]
    em = em_of(ax)
    left, top, bottom = ax.get_xlim()[0] + 0.2 * em, ax.get_ylim()[1], ax.get_ylim()[0]
    looks = {  # in the corners, off the rings
        bottom + 0.7 * em: Pen(BLACK, bold=True, align="left"),
        top - 0.8 * em: Pen(ORANGE, size=1.2, align="left"),
        top - 2.2 * em: Pen(ORANGE, align="left"),
    }
    return [
        Part(ax, "line", radius * np.cos(turn), radius * np.sin(turn), replace(SECOND, fill=0.2)),
        *words,
        Part(ax, "line", 0 * far + [0, 0], far * [-1, 1], Pen(BLUE, width=0.4)),
        Part(ax, "dots", 0 * far + [0, 0], far * [-1, 1], Pen(BLUE, width=1.4)),
        *(
            Part(ax, "text", np.array([left]), np.array([y]), pen, tuple(words))
            for (y, pen), words in zip(looks.items(), zip(*corner, strict=True), strict=True)
        ),
    ]  # fmt: skip


def _words(ax, told):
    """What is told of a ray, large: a line of axes each."""
    looks = {
        (0.02, 2.45): Pen(BLUE, bold=True, size=1.4, align="left"),
        (0.99, 2.45): Pen(BLUE, size=0.85, align="right"),
        (0.02, 1.4): Pen(BLACK, align="left"),
        (0.02, 0.4): Pen(GREEN, bold=True, size=1.25, align="left"),
    }
    return [
        Part(ax, "text", np.array([x]), np.array([y]), pen, tuple(lines))
        for ((x, y), pen), lines in zip(looks.items(), list(zip(*told, strict=True))[:4], strict=True)
    ]


def _curve(ax, gain, mine, returns, wire_m, told):
    """Gain at this angle from each height, the wire's own height, and the best one."""
    at = np.argmax(gain, axis=1)
    seen = np.where(column(returns) > 0, gain, np.nan)
    best = HEIGHTS_M[at][:, None], seen[np.arange(len(seen)), at][:, None]
    ticks = np.arange(15, HEIGHTS_M[-1] + 1, 15)
    ax.set_xticks([0, *ticks], ["0", *(f"{one:.0f} ({feet(one):.0f} ft)" for one in ticks)])
    own = np.where(returns, mine, np.nan)[:, None]
    return [
        Part(ax, "line", HEIGHTS_M[DRAWN], seen[:, DRAWN].clip(-40), Pen(GREY)),
        Part(
            ax,
            "line",
            best[0] + [0, 0],
            best[1] * [0, 1] + np.array([-20, 0]),
            Pen(GREEN, width=0.6, dashes=THIRD.dashes),
        ),
        Part(ax, "dots", *best, Pen(GREEN, width=1.2)),
        Part(
            ax, "text", np.maximum(best[0] - 0.6, 8), 0 * best[0] - 16, Pen(GREEN, align="right"), tuple(told)
        ),
        Part(ax, "dots", np.array([float(wire_m)]), own, Pen(BLACK, width=1.2)),
    ]
