"""A wave leaves a wire, the ground sends its echo after it, and both together make the lobes."""

from dataclasses import replace

import matplotlib as mpl
import numpy as np

from antlab.classroom.drawing.axes import dbi, em_of, plot_axes
from antlab.classroom.drawing.looks import BLACK, EARTH, GREY
from antlab.classroom.drawing.parts import Handle, Part, Pen, Scene, Waves, column
from antlab.classroom.views.player import Slider, view
from antlab.classroom.views.shared import GROUNDS
from antlab.engine import heights, waves
from antlab.physics.bands import BANDS, band
from antlab.physics.bands import soil as named_soil
from antlab.physics.ground import reflection_horizontal
from antlab.units import feet, wavelength_m

SHOWN = ("both", "direct wave", "echo")
BOTH = {"shown": 0}
RAYS_DEG = np.arange(3, 91, 3)
DASHES = (2.2, 1.2)  # of the echo
LOWEST_M, HIGHEST_M = waves.LOWEST * waves.STEP_M, 24.0
RIM_M, TIP_M = 66.0, 83.0  # where the waves end and the lobes begin, and where the longest one ends
TOP_M, DEEP_M = 95.0, 30.0  # of the picture, or more where there is room
SIDE_M, HALL_M, PHONE_M = 105.0, 114.0, 99.0  # to either side; large letters stand clear of the lobes
PAIR_M = 30.0  # so far out the ways of wave and echo are drawn apart
NARROW_EM, LARGE_EM = 30, 38  # a picture less wide has fewer words; and one less wide larger ones
BAR_WAVE_M = 64.0  # the longest bar that is drawn of a wave
BAR_M = 5.0  # half of a bar that swings, on its own
LOW_DEG = 40.0  # of a lobe: so low, its angle stands outside
BRIGHTEST = 10.0  # V for 1 W: somewhat more than a wire high up sends alone


def _sliders(low, high, toward_deg=90, **_):
    count = round((HIGHEST_M - LOWEST_M) / waves.STEP_M) + 1
    return [
        Slider("Height", "m", LOWEST_M, HIGHEST_M, count, 10.5, digits=2),
        Slider("Band", "", 0, 1, 2, 0, words=(band(low).label, band(high).label)),
        Slider("Shown", "", 0, 2, 3, 0, words=SHOWN),
        Slider("Ray", "°", RAYS_DEG[0], RAYS_DEG[-1], len(RAYS_DEG), toward_deg, digits=0),
    ]


def _lobes_of_both(fig, height_m, upper, *, low="40m", high="20m", soil="average", toward_deg=90):
    """What both waves come to, seen where both are shown: a row for each height and band."""
    soil, upper, ax = named_soil(soil), np.round(upper).astype(int), fig.axes[0]
    elevation = np.arange(0, 90 + 0.25, 0.25)
    gain = np.empty((len(upper), len(elevation)))
    for i, one in enumerate((band(low), band(high))):
        if (mine := upper == i).any():
            gain[mine] = heights.half_wave_gain_dbi(
                elevation, height_m[mine], f_mhz=one.middle_mhz, soil=soil
            )
    takeoff, _, _, count = heights.lobe_figures(elevation, gain)
    told = [f"{n} {'lobe' if n == 1 else 'lobes'}" for n in count]
    says = [
        f"{one}, {'the ' if n > 1 else ''}strongest at {t:.0f}°"
        for one, n, t in zip(told, count, takeoff, strict=True)
    ]
    parts = [*_lobes(ax, elevation, gain, takeoff), *_counted(ax, told, toward_deg)]
    return Scene(parts, says, "", only=BOTH)


def _ray(fig, ray_deg, **_):
    """The ray that the hand turns, where wave and echo go the same way."""
    ax, up = fig.axes[0], np.radians(column(ray_deg))
    x, y = (np.hstack([far * one(up) for far in (PAIR_M, RIM_M)]) for one in (np.cos, np.sin))
    parts = [
        Part(ax, "line", x, y, Pen("#ffffff", width=2.4)),
        Part(ax, "line", x, y, Pen(BLACK, width=0.9)),
    ]
    return Scene(parts, [""] * len(x), "", handles=[Handle("ray_deg", ax, x[:, 1], y[:, 1])], only=BOTH)


def _two_ways(fig, height_m, ray_deg, **_):
    """The ways of wave and echo to somebody far away, side by side, and how much longer the echo's is."""
    ax, high, up = fig.axes[0], column(height_m), np.radians(column(ray_deg))
    along, more = (np.cos(up), np.sin(up)), 2 * high * np.sin(up)  # more: of the echo's way
    end = PAIR_M - high * np.sin(up)  # of the wire's ray, where both are as far on their way
    zero = 0 * high
    foot = [more * along[0], more * along[1] - high]  # where the echo is as far as the wave when it leaves
    direct = np.hstack([zero, end * along[0]]), np.hstack([high, high + end * along[1]])
    echo = np.hstack([zero, (end + more) * along[0]]), np.hstack([-high, (end + more) * along[1] - high])
    gap = np.nan + high
    white = [np.hstack([one, gap, other]) for one, other in zip(direct, echo, strict=True)]
    parts = [
        Part(ax, "line", *white, Pen("#ffffff", width=2.4)),
        Part(ax, "line", *direct, Pen(BLACK, width=0.9)),
        Part(ax, "line", *echo, Pen(BLACK, width=0.9, dashes=DASHES)),
        Part(ax, "line", np.hstack([zero, foot[0]]), np.hstack([-high, foot[1]]), Pen(BLACK, width=2.2)),
    ]
    if _is_narrow(ax):
        words = [f"{m:.1f} m more" for m in more[:, 0]]
    else:
        words = [f"{m:.1f} m ({feet(m):.0f} ft) more" for m in more[:, 0]]
    return Scene([*parts, _below(ax, 0, words)], [""] * len(high), "", only=BOTH)


def _is_narrow(ax):
    """Whether there is room for few words."""
    return np.ptp(ax.get_xlim()) < NARROW_EM * em_of(ax)


def _is_large(ax):
    """Whether its type is a hall's: with lobes out to the corner."""
    return not _is_narrow(ax) and np.ptp(ax.get_xlim()) < LARGE_EM * em_of(ax)


def _sum_of_both(fig, height_m, upper, ray_deg, *, low="40m", high="20m", soil="average", toward_deg=90):
    """What wave and echo add up to far away at the elevation of the ray, and the gain there."""
    soil, upper, ax = named_soil(soil), np.round(upper).astype(int), fig.axes[0]
    rows = len(upper)
    gain, late, by_soil = np.empty(rows), np.empty(rows), np.empty(rows)
    echo, extremes = np.empty(rows, complex), np.full(rows, "", dtype=object)
    for i, one in enumerate((band(low), band(high))):
        if (mine := upper == i).any():
            f = float(one.middle_mhz)
            some, angle = np.unique(ray_deg[mine], return_inverse=True)
            every = waves.STEP_M * np.arange(waves.LOWEST, round(HIGHEST_M / waves.STEP_M) + 1)
            at = np.round(height_m[mine] / waves.STEP_M).astype(int) - waves.LOWEST
            table = heights.half_wave_gain_dbi(some, every, f_mhz=f, soil=soil)
            gain[mine] = table[at, angle]
            told, table = table.round(1)[at, angle], table.round(1)
            inside = (at > 0) & (at < len(every) - 1)  # at an end nobody knows what is beyond it
            extremes[mine] = np.select(
                [inside & (told == table.max(axis=0)[angle]), inside & (told == table.min(axis=0)[angle])],
                ["most", "least"], "",
            )  # fmt: skip
            back = reflection_horizontal(elevation_deg=ray_deg[mine], f_mhz=f, soil=soil)
            by_soil[mine] = -np.angle(-back) / (2 * np.pi)
            way_m = 2 * height_m[mine] * np.sin(np.radians(ray_deg[mine]))
            late[mine] = way_m / wavelength_m(f) + by_soil[mine]
            echo[mine] = -np.abs(back) * np.exp(-2j * np.pi * late[mine])
    verdict = adds_up(late)
    way = ["straight up" if one == 90 else f"at {one:.0f}°" for one in ray_deg]
    says = [
        f"{w[0].upper()}{w[1:]} {dbi(g)}{f', {e} of all heights' if e else ''}; echo {m:.2f} wave late: {v}"
        for w, g, e, m, v in zip(way, gain, extremes, late, verdict, strict=True)
    ]
    parts = [
        _below(ax, 1, [f"{m:.2f} wave late" for m in late], bold=True),
        _below(ax, 2, _of_soil(echo, by_soil, short=_is_narrow(ax))),
        *_gains(ax, way, list(map(dbi, gain)), extremes),
        *_bars(ax, echo, verdict),
    ]
    return Scene(parts, says, "", only=BOTH)


def _of_soil(echo, late, *, short):
    """How much of the field the soil returns, and how much later, in waves. Both (rows,)."""
    said = [f"soil: {100 * abs(one):.0f} %" for one in echo]
    return said if short else [f"{one}, {m:z.2f} late" for one, m in zip(said, late, strict=True)]


def adds_up(late):
    """What an echo upside down does that comes so late, in waves, and so much: "together" within a sixth."""
    turned = np.cos(2 * np.pi * np.asarray(late))
    return np.select([turned < -0.5, turned > 0.5], ["together", "against"], "partly").tolist()


@view(_sliders, size=((9.0, 5.5), (3.9, 3.05)), work="hanging", turn_s=2.4, instants=((0.0,), (0.25,)),
      over=(_lobes_of_both, _ray, _two_ways, _sum_of_both),
      low=BANDS, high=BANDS, soil=GROUNDS, toward_deg=(90,))  # fmt: skip
def wave_over_soil(fig, height_m, upper, shown, *, low="40m", high="20m", soil="average", toward_deg=90):
    """The wave over the soil.

    A level half-wave dipole (468 / f feet), 2 mm copper, seen from its end: the electric field that it makes,
    neither wave drawn weaker for its way; and a ray, for which the gain is told, and how it comes about.
    toward_deg: the elevation of the ray to begin with, where a club is, if it is not straight up.
    """
    soil, bands = named_soil(soil), [band(low), band(high)]
    steps = np.round(height_m / waves.STEP_M).astype(int)
    upper, shown = np.round(upper).astype(int), np.round(shown).astype(int)
    fields, ax = [], _axes(fig)
    for i, one in enumerate(bands):
        mine, f = upper == i, one.middle_mhz
        if not mine.any():
            continue
        tables = waves.wave_tables(float(f), soil)
        drive = np.where(mine, tables.amps[steps], 0.0)
        fields.append(
            Waves(ax, waves.STEP_M, waves.UP, unthinned(tables.direct, f), unthinned(tables.echo, f), steps,
                  drive, (shown != 2).astype(int), (shown != 1).astype(int), BRIGHTEST)
        )  # fmt: skip
    whole = np.array([float(wavelength_m(one.middle_mhz)) for one in bands])[upper]
    says = [
        f"{bands[u].label} ({bands[u].middle_mhz:g} MHz), {h:.2f} m ({feet(h):.1f} ft) up: "
        f"{h / w:.2f} wavelength"
        + (f"; shown: {SHOWN[s]}\nAlone it makes no lobes, and no ray: that takes both" if s else "")
        for h, u, s, w in zip(height_m, upper, shown, whole, strict=True)
    ]
    alt = (
        f"A wire seen from its end over {soil.called}, and its image as deep below; crests "
        "and troughs of the wave run away in half circles: of the direct wave around the wire, of the echo "
        "around the image. Around both together a line bulges out where wave and echo "
        "add, and draws in where they cancel. The higher the wire, the more directions in which they cancel, "
        "and so the more lobes. A ray can be turned: from the wire, and dashed from the image, whose way is "
        "longer; three bars swing, for the direct wave, the echo and both."
    )
    large, _, edge, lines = _corners(ax)
    alone = _text(ax, -edge, lines[0], large, ["no lobes alone" if one else "" for one in shown])
    parts = [*_rim(ax), *_wire(ax, column(height_m), shown, whole), _share(ax, height_m / whole), alone]
    # Beside the wire: a low one would have its image under the lower arrow.
    return Scene(parts, says, alt, tuple(fields), [Handle("height_m", ax, em_of(ax), height_m)])


def unthinned(table, f_mhz):
    """A wave times its way from the wire's ends, where a half wave's field comes from: it does not thin out.

    So two waves cancel as they do far away, though here the echo has come farther. table: of WaveTables, V/m.
    Returns V, the same shape.
    """
    up_m, side_m = waves.STEP_M * np.indices(table.shape)
    return table * np.sqrt(up_m**2 + side_m**2 + (wavelength_m(f_mhz) / 4) ** 2)


def _axes(fig):
    shape = fig.bbox.height / fig.bbox.width
    em = mpl.rcParams["font.size"] / 72 * fig.dpi / fig.bbox.width * 2  # as a share of a side
    side = PHONE_M if 2 / em < NARROW_EM else HALL_M if 2 / em < LARGE_EM else SIDE_M
    em *= side
    deep = max(DEEP_M, 4.2 * em)  # three lines
    side, top = max(side, (TOP_M + deep) / shape / 2), max(TOP_M, 2 * side * shape - deep)
    ax = plot_axes(fig, x=(-side, side), y=(-deep, top), margins_em=(0.1, 0.1, 0.1, 0.1), aspect="equal")
    ax.set_axis_off()
    ax.axhspan(-deep, 0, color=EARTH, zorder=0)
    return ax


def _around(radius_m, angle_deg):
    """x and y on a circle, or on what is a circle but for its radius; shape of both."""
    return radius_m * np.cos(np.radians(angle_deg)), radius_m * np.sin(np.radians(angle_deg))


ANGLES = np.arange(0, 180.1, 1.5)  # around the rim


def _rim(ax):
    """Where the waves end: the blank that all of them run into, and its edge. Returns the parts."""
    rim = _around(RIM_M, ANGLES)
    outside = np.array([-1, -1, 1, 1]) * 2 * HALL_M, np.array([0, 1.2, 1.2, 0]) * TOP_M
    blank = [np.r_[inner, outer] for inner, outer in zip(rim, outside, strict=True)]
    return [
        Part(ax, "line", *blank, Pen("#ffffff", width=0.1, fill=1.0)),
        Part(ax, "line", *rim, Pen(GREY, width=0.4)),
    ]


def _lobes(ax, elevation_deg, gain_dbi, takeoff_deg):
    """What the waves come to where they end: a line that bulges out where they are strong.

    gain_dbi: (rows, points), on both sides alike. takeoff_deg: of the strongest lobe. Returns the parts.
    """
    field = 10 ** ((gain_dbi - gain_dbi.max(axis=1, keepdims=True)) / 20)
    field = np.concatenate([field, field[:, -2::-1]], axis=1)[:, ::6]
    ring = np.hstack([TIP_M * field + RIM_M * (1 - field), np.full((len(field), len(ANGLES[::2])), RIM_M)])
    ring = _around(ring, np.r_[ANGLES, ANGLES[::-2]])
    # On the left, since on the right, and overhead, there may be a ray; a low lobe is too thin to hold it.
    lean, em = column(takeoff_deg), em_of(ax)
    aside, up = _around(
        np.where(lean < LOW_DEG, TIP_M + 1.7 * em, (RIM_M + TIP_M) / 2), 180 - lean.clip(max=80)
    )
    named = aside.clip(min=ax.get_xlim()[0] + 1.35 * em), up + np.where(lean < LOW_DEG, 0.7 * em, 0)
    return [
        Part(ax, "line", *ring, Pen(BLACK, fill=0.15)),
        Part(ax, "text", *named, Pen(BLACK, bold=True, size=1.2), tuple(f"{t:.0f}°" for t in takeoff_deg)),
    ]


def _wire(ax, high, shown, whole_m):
    """The wire and its image, and how long a wave is. high: (rows, 1). Returns the parts."""
    large, zero, em = Pen(BLACK, align="left", bold=True, size=1.2), 0 * high, em_of(ax)
    image = np.where(column(shown) == 1, np.nan, -high)
    named = np.minimum(image, high - 2.3 * em)  # below the arrows of a low wire, with a line to it
    leader = np.hstack([image, np.where(named < image, named, np.nan)])
    ground, floor = np.array(ax.get_xlim()), ax.get_ylim()[0]
    left = 0.97 * ground[0]  # of a bar as long as a wave, or a part of one that is clear of the image
    parts = 2 ** np.ceil(np.log2(np.maximum(whole_m / BAR_WAVE_M, 1))).astype(int)
    bar = (
        left + column(whole_m / parts) * [0, 0, 0, 1, 1, 1],
        -0.35 * -floor + np.array([2.0, -2, 0, 0, -2, 2]),
    )
    wide, size = ground[1] > 15 * em, 0.97 if _is_large(ax) else 1.1
    said = tuple(
        f"{f'1/{n} ' if n > 1 else ''}wave {w / n:.1f} m" + (f" ({feet(w / n):.0f} ft)" if wide else "")
        for w, n in zip(whole_m, parts, strict=True)
    )
    return [
        Part(ax, "line", ground, np.array([0.0, 0.0]), Pen(BLACK, width=0.7)),
        Part(ax, "line", zero + [0, 0], high * [0, 1], Pen(GREY, width=0.4)),
        Part(ax, "line", zero + [0, 0], image * [0, 1], Pen(GREY, width=0.4, dashes=(2.0, 2.0))),
        Part(ax, "dots", zero, high, Pen(BLACK, width=1.2)),
        Part(ax, "text", zero - 0.65 * em, np.maximum(high, 0.8 * em), replace(large, align="right"),
             ("wire",) * len(high)),
        Part(ax, "line", zero - [0, 0.5 * em], leader, Pen(GREY, width=0.4)),
        Part(ax, "dots", zero, image, Pen(GREY, width=1.2)),
        Part(ax, "text", zero - 0.65 * em, named, replace(large, align="right"), ("image",) * len(high)),
        Part(ax, "line", *bar, Pen(BLACK, width=0.6)),
        Part(ax, "text", zero + left, zero + 0.72 * floor, replace(large, bold=False, size=size), said),
    ]  # fmt: skip


def _text(ax, x, y, pen, words):
    """Words at one place, of each row. Returns a part."""
    return Part(ax, "text", np.array([x]), np.array([y]), pen, tuple(words))


def _corners(ax):
    """Pens of a corner's first and second line, its x on the right, and y of both lines."""
    large, less = Pen(BLACK, size=1.7, bold=True, align="left"), Pen(BLACK, size=1.3, align="left")
    return (
        large,
        less,
        0.98 * ax.get_xlim()[1],
        [ax.get_ylim()[1] - down * em_of(ax) for down in (1.1, 2.6)],
    )


def _share(ax, share):
    """How high it hangs, in waves, on the left. Returns a part."""
    _, less, edge, lines = _corners(ax)
    return _text(ax, -edge, lines[1], less, [f"{one:.2f} wave up" for one in share])


def _counted(ax, lobes, toward_deg):
    """How many lobes there are, large, and where a club is, if there is one. Returns the parts."""
    large, less, edge, lines = _corners(ax)
    parts = [_text(ax, -edge, lines[0], large, lobes)]
    if toward_deg < 90:  # in two lines beside the end of a line: clear of the lobes
        x, y = _around(np.array([RIM_M, TIP_M + 3]), toward_deg)
        parts.append(Part(ax, "line", x, y, Pen(BLACK, width=0.6, dashes=(3.0, 2.0))))
        pen = replace(less, align="right", size=1.0)
        for words, up in (("club", 0.7), (f"{toward_deg:g}°", -0.8)):
            parts.append(_text(ax, edge, y[1] + up * em_of(ax), pen, [words] * len(lobes)))
    return parts


def _gains(ax, way, gains, extremes):
    """The gain that way, large, on the right, and whether it is the most or the least. Returns the parts."""
    large, less, edge, lines = _corners(ax)
    of_all = "" if _is_narrow(ax) else " of all heights"
    said = [f"{one}: {most}{of_all}" if most else one for one, most in zip(way, extremes, strict=True)]
    right = replace(less, align="right")
    return [
        _text(ax, edge, lines[0], replace(large, align="right"), gains),
        _text(ax, edge, lines[1], right, said),
    ]


def _below(ax, line, words, bold=False):
    """A line in the soil, on the right, of three. Returns a part."""
    floor = ax.get_ylim()[0]
    pen = Pen(BLACK, size=1.1, bold=bold, align="right")
    return _text(ax, 0.98 * ax.get_xlim()[1], (0.18 + 0.32 * line) * floor, pen, words)


def _bars(ax, echo, verdict):
    """Three bars that swing as waves do, each on a rod as high as it gets: direct wave, echo, both.

    echo: (rows,), with the direct one as 1. verdict: a word for each row. Returns the parts.
    """
    em, edge = em_of(ax), 0.98 * ax.get_xlim()[1]
    top, apart = ax.get_ylim()[1] - 4.6 * em, 2.95 * em
    zero = top - 2 * BAR_M
    ground = np.array([edge - 2.75 * apart, edge]), np.array([zero, zero])
    parts, bars, one = [Part(ax, "line", *ground, Pen(GREY, width=0.4))], [], np.ones(1, complex)
    for i, (name, wave) in enumerate(zip(("direct", "echo", "both"), (one, echo, 1 + echo), strict=True)):
        x, tall = np.full(2, edge - (2.4 - i) * apart), BAR_M * column(np.abs(wave))
        parts.append(Part(ax, "line", x, zero + tall * [-1, 1], Pen(GREY, width=0.7)))
        pen = Pen(BLACK, width=2.2)
        bars.append(Part(ax, "line", x, BAR_M * wave[:, None] * [0, 1], pen, about=zero))
        parts.append(_text(ax, x[0], top + 0.5 * em, Pen(BLACK), [name] * len(echo)))
    word = Pen(BLACK, size=1.0 if _is_narrow(ax) else 1.2, bold=True, align="right")
    return [*parts, *bars, _text(ax, edge, zero - 2 * BAR_M - 0.8 * em, word, verdict)]
