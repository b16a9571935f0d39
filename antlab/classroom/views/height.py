"""Height and takeoff angle: how the lobes lean and split as a wire rises."""

from dataclasses import replace

import matplotlib as mpl
import numpy as np

from antlab.classroom.drawing.axes import dbi, label, plot_axes
from antlab.classroom.drawing.looks import BLACK, GREY, stroke
from antlab.classroom.drawing.parts import PENS, Handle, Part, Pen, Scene, column
from antlab.classroom.drawing.two_bands import lobes, quarter_sky
from antlab.classroom.views.player import Slider, view
from antlab.classroom.views.shared import GROUNDS
from antlab.engine import heights
from antlab.physics.bands import BANDS, band
from antlab.physics.bands import soil as named_soil
from antlab.units import feet

STEP_DEG = 0.25  # as Pattern looks for lobes
HELD = 0.84, 0.56  # of its ray each is held: inside the rim's angles, and apart where both go straight up
RIM = 1.06  # of its radius, where words begin
FLAT_DB = 1.0  # a top that falls by less up to overhead has no angle that anybody would hear


HEIGHT = Slider("Height", "m", heights.LOWEST_M, heights.HIGHEST_M, 281, 10)
CHART_DBI, TOP_M = (-20, 10), 31.0  # of the chart beside the sky; its curves end within
HAND_DBI = -18.0  # where its height is held


@view(
    HEIGHT,
    size=((9.0, 4.5), (3.9, 3.2), (4.68, 3.3)),
    low=BANDS,
    high=BANDS,
    soil=GROUNDS,
    work="hanging",
    toward_deg=(None,),
)
def height(fig, height_m, *, low="40m", high="20m", soil="average", toward_deg=None):
    """Height and takeoff angle.

    A level half-wave dipole for the middle of each band (468 / f feet), 2 mm copper, seen broadside.
    toward_deg: an elevation at which the gain of both is told, and drawn against height, or None; heavy where
    one takes off so.
    """
    soil = named_soil(soil)
    elevation = np.arange(0, 90 + STEP_DEG, STEP_DEG)
    gains, takeoffs, beams, there, lines, names = [], [], [], [], [], []
    toward = np.array([0.0 if toward_deg is None else toward_deg])
    for one in (band(low), band(high)):
        gain = heights.half_wave_gain_dbi(elevation, height_m, f_mhz=one.middle_mhz, soil=soil)
        takeoff, low_edge, high_edge, count = heights.lobe_figures(elevation, gain)
        names.append(one.label)
        there.append(heights.half_wave_gain_dbi(toward, height_m, f_mhz=one.middle_mhz, soil=soil)[:, 0])
        lines.append(
            [
                f"{names[-1]}: takeoff {t:.0f}°, {n} {'lobe' if n == 1 else 'lobes'}, "
                f"beamwidth {b - a:.0f}° ({a:.0f}° to {b:.0f}°)"
                + ("" if toward_deg is None else f", {dbi(sent)} at {toward_deg:g}°")
                + (", flat on top" if overhead > -FLAT_DB and n == 1 and t < 85 else "")
                for t, a, b, n, sent, overhead in zip(
                    takeoff,
                    low_edge,
                    high_edge,
                    count,
                    there[-1],
                    gain[:, -1] - gain.max(axis=1),
                    strict=True,
                )
            ]
        )
        half = gain[:, :: round(1 / STEP_DEG)]
        gains.append(np.concatenate([half, half[:, -2::-1]], axis=1))
        takeoffs.append(takeoff)
        beams.append((low_edge, high_edge))
    says = ["\n".join(both) for both in zip(*lines, strict=True)]
    asked = None if toward_deg is None else (toward_deg, None)
    alt = (
        f"Gain against elevation, broadside, ground {soil.name or 'your own'}: {names[0]} (solid, filled) "
        f"and {names[1]} (dashed). As the wire rises the lobes lean towards the ground and split."
    )
    if toward_deg is not None:
        alt += f" Beside it the gain at {toward_deg:g}° against height, from a best height down to a gap."
        _, share = quarter_sky(fig, widest=0.5)
    parts = lobes(fig, np.arange(181.0), gains, names, takeoffs, asked, beams)
    # A ray is drawn down by raising the wire; where the strongest lobe leaps from one to the next, it leaps.
    held = []
    for takeoff, pen, side, far in zip(takeoffs, PENS, (1, -1), HELD, strict=False):
        x, y = (far * one(np.radians(takeoff)) for one in (np.cos, np.sin))
        held.append(Handle("height_m", parts[0].ax, x if toward_deg else side * x, y, color=pen.color))
    if toward_deg is not None:
        ray = parts.pop()
        for takeoff, pen in zip(takeoffs, PENS, strict=False):  # heavy where a band takes off so
            hit, angle = column(np.round(takeoff) == round(toward_deg)) > 0, np.radians(toward_deg)
            x, y = (np.where(hit, one(angle) * np.array([0, 1]), np.nan) for one in (np.cos, np.sin))
            parts.append(Part(parts[0].ax, "line", x, y, replace(pen, width=1.5, dashes=())))
        parts += [ray, *_named(parts[0].ax, toward_deg, len(held[0].x))]
        more, hand = _chart(fig, share, height_m, (band(low), band(high)), soil, toward, there)
        parts += more
        held.append(hand)
    return Scene(parts, says, alt, handles=held)


def _named(ax, toward_deg, rows):
    """An elevation at the end of its ray, clear of those at the rim: a list of one part, or of none."""
    if min(abs(toward_deg - one) for one in (30, 60, 90)) < 8:
        return []
    x, y = (np.array([RIM * one(np.radians(toward_deg))]) for one in (np.cos, np.sin))
    return [Part(ax, "text", x, y, Pen(BLACK, bold=True, align="left"), (f"{toward_deg:g}°",) * rows)]


def _chart(fig, share, height_m, bands, soil, toward, there):
    """Gain towards an elevation against height, which goes up as the wire does, right of a share of the width

    toward: (1,), degrees. there: of each band the gain in each row. Returns the parts and a handle.
    """
    em = mpl.rcParams["font.size"] / 72 * fig.dpi
    curves = [
        heights.half_wave_gain_dbi(toward, HEIGHT.values, f_mhz=one.middle_mhz, soil=soil)[:, 0]
        for one in bands
    ]
    margins, word = (3.0, 0.5, 3.8, 3.2), 3.2 * em  # word: how wide a best height is
    room = (1 - share) * fig.bbox.width - (margins[0] + margins[1]) * em
    first, last = CHART_DBI
    end = (room * (last - 2) - word * first) / (room - word)  # where a word fits beside the highest gain
    ax = plot_axes(
        fig, x=(first, max(last, end)), y=(0, TOP_M), span=(share, 1), margins_em=margins,
        xlabel=f"dBi at {toward[0]:g}°",
    )  # fmt: skip
    ax.set_xticks([-10, 0, last])
    ax.set_yticks([0, 10, 20, 30], ["", "10 m", "20 m", "30 m"])
    at, size = column(height_m), 1.2 if room > 8 * em else 1.0
    across = np.hstack([first + 0 * at, column(np.max(there, axis=0).clip(first))])
    parts = [Part(ax, "line", across, at + [0, 0], Pen(GREY, width=0.5))]
    rings = [(curve, pen, top) for curve, pen in zip(curves, PENS, strict=False) if (top := _top(curve))]
    apart = 2.3 * em / ax.bbox.height * TOP_M  # of two labels, each of two lines
    labels = _spread([HEIGHT.values[top] for *_, top in rings], apart, TOP_M - 0.6 * apart)
    for (curve, pen, top), up in zip(rings, labels, strict=True):
        x, y = curve[top], HEIGHT.values[top]
        ring = {"markersize": 0.5 * mpl.rcParams["font.size"], "markerfacecolor": "none"}
        ax.plot([x], [y], "o", color=pen.color, markeredgewidth=stroke(0.8), **ring)
        said, x = f"{y:.0f} m\n{feet(round(y)):.0f} ft", x + 0.5 * em * (end - first) / room
        label(ax, x, up, said, pen, va="center", fontweight="bold", linespacing=1.0)
    for i, (curve, gain, pen) in enumerate(zip(curves, there, PENS, strict=False)):
        dashes = {"linestyle": (0, pen.dashes)} if pen.dashes else {}
        ax.plot(curve.clip(first), HEIGHT.values, color=pen.color, **dashes)
        seen = np.where(gain < first, np.nan, gain)  # what is off the scale has its number above
        parts.append(Part(ax, "dots", column(seen), at, replace(pen, width=1.3)))
        high = ax.transData.inverted().transform((0, fig.bbox.y1 - (0.7 + 1.5 * i * size) * em))[1]
        words = tuple(f"{dbi(one)} at {toward[0]:g}°" for one in gain)
        large = Pen(pen.color, bold=True, size=size, align="right")
        parts.append(Part(ax, "text", np.array([max(last, end)]), np.array([high]), large, words))
    return parts, Handle("height_m", ax, np.full(len(at), HAND_DBI), at[:, 0], color=BLACK)


def _top(curve):
    """The place of a curve's largest value; 0 where that is at an end: higher up there may be more."""
    top = int(np.argmax(curve))
    return 0 if top == len(curve) - 1 else top


def _spread(heights_m, apart, highest):
    """Two heights at most, or the nearest ones that stand so far apart and not too high."""
    if len(heights_m) < 2 or abs(np.subtract(*heights_m)) >= apart:
        return heights_m
    middle = min(np.mean(heights_m), highest - apart / 2)
    lean = 1 if heights_m[0] >= heights_m[1] else -1
    return [middle + lean * apart / 2, middle - lean * apart / 2]
