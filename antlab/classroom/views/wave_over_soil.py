"""A wave leaves a wire, the ground sends its echo after it, and both together make the lobes."""

from dataclasses import replace

import numpy as np

from antlab.classroom.drawing.axes import dbi, em_of, plot_axes
from antlab.classroom.drawing.looks import BLACK, EARTH, GREY
from antlab.classroom.drawing.parts import Handle, Part, Pen, Scene, Waves, column
from antlab.classroom.views.player import Slider, view
from antlab.classroom.views.shared import GROUNDS
from antlab.engine import heights, waves
from antlab.physics.bands import BANDS, band
from antlab.physics.bands import soil as named_soil
from antlab.units import feet, wavelength_m

SHOWN = ("both", "direct wave", "echo")
LOWEST_M, HIGHEST_M = waves.LOWEST * waves.STEP_M, 24.0
RIM_M, TIP_M = 66.0, 83.0  # where the waves end and the lobes begin, and where the longest one ends
SIDE_M, TOP_M, DEEP_M = 99.0, 95.0, 30.0  # of the picture, or more where there is room
LOW_DEG = 40.0  # of a lobe: so low, its angle stands outside
BRIGHTEST = 10.0  # V for 1 W: somewhat more than a wire high up sends alone


def _sliders(low, high, **_):
    count = round((HIGHEST_M - LOWEST_M) / waves.STEP_M) + 1
    return [
        Slider("Height", "m", LOWEST_M, HIGHEST_M, count, 10.5, digits=2),
        Slider("Band", "", 0, 1, 2, 0, words=(band(low).label, band(high).label)),
        Slider("Shown", "", 0, 2, 3, 0, words=SHOWN),
    ]


@view(_sliders, size=((9.0, 5.5), (3.9, 2.7)), work="hanging", turn_s=2.4, instants=((0.0,), (0.25,)),
      low=BANDS, high=BANDS, soil=GROUNDS, toward_deg=(90,))  # fmt: skip
def wave_over_soil(fig, height_m, upper, shown, *, low="40m", high="20m", soil="average", toward_deg=90):
    """The wave over the soil.

    A level half-wave dipole (468 / f feet), 2 mm copper, seen from its end: the electric field that it makes,
    neither wave drawn weaker for its way.
    toward_deg: the elevation at which its gain is told, and of which height that is the most or the least.
    """
    soil, bands = named_soil(soil), [band(low), band(high)]
    steps = np.round(height_m / waves.STEP_M).astype(int)
    upper, shown = np.round(upper).astype(int), np.round(shown).astype(int)
    elevation = np.arange(0, 90 + 0.25, 0.25)
    gain, toward = np.empty((len(steps), len(elevation))), np.empty(len(steps))
    fields, extremes = [], np.full(len(steps), "", dtype=object)
    ax = _axes(fig)
    for i, one in enumerate(bands):
        mine, f = upper == i, one.middle_mhz
        if not mine.any():
            continue
        some, place = np.unique(height_m[mine], return_inverse=True)
        asked = np.r_[elevation, toward_deg]
        found = heights.half_wave_gain_dbi(asked, some, f_mhz=f, soil=soil)[place]
        gain[mine], toward[mine] = found[:, :-1], found[:, -1]
        extremes[mine] = _extremes(toward[mine], toward_deg, f, soil)
        tables = waves.wave_tables(float(f), soil)
        drive = np.where(mine, tables.amps[steps], 0.0)
        fields.append(
            Waves(ax, waves.STEP_M, waves.UP, unthinned(tables.direct, f), unthinned(tables.echo, f), steps,
                  drive, (shown != 2).astype(int), (shown != 1).astype(int), BRIGHTEST)
        )  # fmt: skip
    takeoff, _, _, count = heights.lobe_figures(elevation, gain)
    whole = np.array([float(wavelength_m(one.middle_mhz)) for one in bands])[upper]
    lobes = [f"{n} {'lobe' if n == 1 else 'lobes'}" for n in count]
    there = list(map(dbi, toward))
    way = "straight up" if toward_deg == 90 else f"at {toward_deg:g}°"
    told = [f", {one} of all heights" if one else "" for one in extremes]
    says = [
        f"{bands[u].label}, {h:.2f} m ({feet(h):.0f} ft) up: {h / w:.2f} wavelength; shown: {SHOWN[s]}\n"
        + ("Alone it makes no lobes" if s else f"{n}, the strongest at {t:.0f}°; {way} {dbi}{of}")
        for h, u, s, w, n, t, dbi, of in zip(
            height_m, upper, shown, whole, lobes, takeoff, there, told, strict=True
        )
    ]  # fmt: skip
    alt = (
        f"A wire seen from its end over {soil.name or 'your own soil'}, and its image as deep below; crests "
        "and troughs of the wave run away in half circles: of the direct wave around the wire, of the echo "
        "around the image. Around both together a line bulges out where wave and echo "
        "add, and draws in where they cancel. The higher the wire, the more directions in which they cancel, "
        "and so the more lobes."
    )
    parts = [
        *_lobes(ax, elevation, gain, np.where(shown == 0, takeoff, np.nan)),
        *_wire(ax, column(height_m), shown, whole),
        *_answers(ax, shown == 0, lobes, height_m / whole, toward_deg, way, there, extremes),
    ]
    # Beside the wire: a low one would have its image under the lower arrow.
    return Scene(parts, says, alt, tuple(fields), [Handle("height_m", ax, em_of(ax), height_m)])


def _extremes(gain_dbi, toward_deg, f_mhz, soil):
    """Of each gain whether it is the most or the least of all heights, as it is read; or nothing."""
    high_m = waves.STEP_M * np.arange(waves.LOWEST, round(HIGHEST_M / waves.STEP_M) + 1)
    every = heights.half_wave_gain_dbi(np.array([toward_deg]), high_m, f_mhz=f_mhz, soil=soil).round(1)
    return np.select(
        [gain_dbi.round(1) == every.max(), gain_dbi.round(1) == every.min()], ["most", "least"], ""
    )


def unthinned(table, f_mhz):
    """A wave times its way from the wire's ends, where a half wave's field comes from: it does not thin out.

    So two waves cancel as they do far away, though here the echo has come farther. table: of WaveTables, V/m.
    Returns V, the same shape.
    """
    up_m, side_m = waves.STEP_M * np.indices(table.shape)
    return table * np.sqrt(up_m**2 + side_m**2 + (wavelength_m(f_mhz) / 4) ** 2)


def _axes(fig):
    shape = fig.bbox.height / fig.bbox.width
    side, top = max(SIDE_M, (TOP_M + DEEP_M) / shape / 2), max(TOP_M, 2 * SIDE_M * shape - DEEP_M)
    ax = plot_axes(fig, x=(-side, side), y=(-DEEP_M, top), margins_em=(0.1, 0.1, 0.1, 0.1), aspect="equal")
    ax.set_axis_off()
    ax.axhspan(-DEEP_M, 0, color=EARTH, zorder=0)
    return ax


def _around(radius_m, angle_deg):
    """x and y on a circle, or on what is a circle but for its radius; shape of both."""
    return radius_m * np.cos(np.radians(angle_deg)), radius_m * np.sin(np.radians(angle_deg))


def _lobes(ax, elevation_deg, gain_dbi, takeoff_deg):
    """What the waves come to where they end: a line that bulges out where they are strong.

    gain_dbi: (rows, points), on both sides alike. takeoff_deg: of the strongest lobe, NaN where there is none
    to be seen. Returns the parts, first the blank that all waves run into.
    """
    both = ~np.isnan(takeoff_deg)[:, None]
    field = 10 ** ((gain_dbi - gain_dbi.max(axis=1, keepdims=True)) / 20)
    field = np.concatenate([field, field[:, -2::-1]], axis=1)[:, ::6]
    angle = np.r_[elevation_deg, 180 - elevation_deg[-2::-1]][::6]
    rim = _around(RIM_M, angle)
    outside = np.array([-1, -1, 1, 1]) * 2 * SIDE_M, np.array([0, 1.2, 1.2, 0]) * TOP_M
    blank = [np.r_[inner, outer] for inner, outer in zip(rim, outside, strict=True)]
    ring = np.hstack([TIP_M * field + RIM_M * (1 - field), np.full((len(field), len(angle[::2])), RIM_M)])
    ring = _around(np.where(both, ring, np.nan), np.r_[angle, angle[::-2]])
    # On the left, since on the right, and overhead, there may be a ray; a low lobe is too thin to hold it.
    lean, em = column(takeoff_deg), em_of(ax)
    aside, up = _around(
        np.where(lean < LOW_DEG, TIP_M + 1.7 * em, (RIM_M + TIP_M) / 2), 180 - lean.clip(max=80)
    )
    named = aside.clip(min=ax.get_xlim()[0] + 1.35 * em), up + np.where(lean < LOW_DEG, 0.7 * em, 0)
    return [
        Part(ax, "line", *blank, Pen("#ffffff", width=0.1, fill=1.0)),
        Part(ax, "line", *rim, Pen(GREY, width=0.4)),
        Part(ax, "line", *ring, Pen(BLACK, fill=0.15)),
        Part(ax, "text", *named, Pen(BLACK, bold=True, size=1.2), tuple(f"{t:.0f}°" for t in takeoff_deg)),
    ]  # fmt: skip


def _wire(ax, high, shown, whole_m):
    """The wire and its image, and how long a wave is. high: (rows, 1). Returns the parts."""
    large, zero, em = Pen(BLACK, align="left", bold=True, size=1.2), 0 * high, em_of(ax)
    image = np.where(column(shown) == 1, np.nan, -high)
    named = np.minimum(image, high - 2.3 * em)  # below the arrows of a low wire, with a line to its image
    leader = np.hstack([image, np.where(named < image, named, np.nan)])
    ground = np.array(ax.get_xlim()), np.array([0.0, 0.0])
    left = 0.97 * ground[0][0]  # of a bar as long as a wave
    wide = 1.2 if left < -15 * em else 1.1
    bar = left + column(whole_m) * [0, 0, 0, 1, 1, 1], -0.3 * DEEP_M + np.array([2.0, -2, 0, 0, -2, 2])
    said = tuple(f"wave {w:.1f} m ({feet(w):.0f} ft)" for w in whole_m)
    return [
        Part(ax, "line", *ground, Pen(BLACK, width=0.7)),
        Part(ax, "line", zero + [0, 0], high * [0, 1], Pen(GREY, width=0.4)),
        Part(ax, "line", zero + [0, 0], image * [0, 1], Pen(GREY, width=0.4, dashes=(2.0, 2.0))),
        Part(ax, "dots", zero, high, Pen(BLACK, width=1.2)),
        Part(ax, "text", zero - 0.65 * em, np.maximum(high, 0.8 * em), replace(large, align="right"),
             ("wire",) * len(high)),
        Part(ax, "line", zero + [0, 0.5 * em], leader, Pen(GREY, width=0.4)),
        Part(ax, "dots", zero, image, Pen(GREY, width=1.2)),
        Part(ax, "text", zero + 0.65 * em, named, large,
             tuple(f"image, {h:.2f} m" for h in high[:, 0])),
        Part(ax, "line", *bar, Pen(BLACK, width=0.6)),
        Part(ax, "text", zero + left, zero - 0.62 * DEEP_M, replace(large, bold=False, size=wide), said),
    ]  # fmt: skip


def _answers(ax, both, lobes, share, toward_deg, way, there, extremes):
    """What the lessons ask for, large, in the corners, and a ray at the angle asked. Returns the parts."""
    rows = len(lobes)

    def text(x, y, pen, words, seen=True):
        return Part(ax, "text", np.where(seen, np.full(rows, x), np.nan)[:, None], np.full((rows, 1), y),
                    pen, tuple(words))  # fmt: skip

    large, less = Pen(BLACK, size=1.7, bold=True, align="left"), Pen(BLACK, size=1.3, align="left")
    edge, em = 0.98 * ax.get_xlim()[1], em_of(ax)
    upper, lower, lowest = (ax.get_ylim()[1] - down * em for down in (1.1, 2.6, 3.9))  # three lines
    marked, first = extremes != "", [f"{way}: {one}" for one in extremes]
    name = (TIP_M + 3) * np.sin(np.radians(toward_deg))
    ray = [np.where(column(both) > 0, one, np.nan) for one in _around(np.array([0, TIP_M + 3]), toward_deg)]
    return [
        text(-edge, upper, large, lobes, both),
        text(-edge, lower, less, [f"{one:.2f} wave up" for one in share]),
        text(edge, upper, replace(large, align="right"), there, both),
        text(edge, lower, replace(less, align="right"), [way] * rows, both & ~marked),
        text(edge, lower, replace(less, align="right", bold=True), first, both & marked),
        text(
            edge,
            lowest,
            replace(less, align="right", bold=True, size=1.1),
            ["of all heights"] * rows,
            both & marked,
        ),
        *(  # in two lines beside the ray's end: clear of the lobes
            text(
                edge,
                name + up * em,
                replace(less, align="right", size=1.0),
                [word] * rows,
                both & (toward_deg < 90),
            )
            for word, up in (("club", 0.7), (f"{toward_deg:g}°", -0.8))
        ),
        Part(ax, "line", *ray, Pen(BLACK, width=0.6, dashes=(3.0, 2.0))),
    ]
