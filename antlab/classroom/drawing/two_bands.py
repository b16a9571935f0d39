"""What several pictures show of two bands: lobes in the sky, and SWR."""

from dataclasses import replace

import matplotlib as mpl
import numpy as np

from antlab.antenna.plan import share_words
from antlab.classroom.drawing.axes import dbi, em_of, label, plot_axes, two_axes
from antlab.classroom.drawing.looks import BLACK, GREY, quiet, small, stroke
from antlab.classroom.drawing.parts import PENS, Part, Pen, column

NARROW_EM, NARROWER_EM, NARROWEST_EM = 21, 17, 14  # a picture of the sky less wide: gains without their
# angle, in plain type, or the bands' names alone
BESIDE_EM = 28  # of a picture as wide, bands' names leave the middle free
BELOW = 0.14  # of the rim's radius, room below the ground for gains
BEAM_AT = 0.985, 1.025  # of the rim's radius, the arc of each band's beam
SKY_DBI = (-20.0, 10.0)  # gain at the centre and at the rim of a picture of the sky


def sky(fig, span=(0, 1), *, full=False):
    """Half a sky seen along the ground: rings of gain in dBi, rays of elevation. See `on_sky`.

    full: as large as the figure lets it be, with room for arcs between the rim and its angles.
    """
    em = mpl.rcParams["font.size"] / 72 * fig.dpi / fig.bbox.width
    if full:  # the bands' names stand beside the angle overhead, or above it
        rows = (3.4 if em < 1 / BESIDE_EM else 4.5) * em * 2
        aside, wide = 1.25, fig.bbox.width / fig.bbox.height
        side = max(1.12, 1.24 * wide / (2 - rows * wide))
        top = 1.1 + rows * side
    else:
        aside, side = 0.6, 1.2 / (1 - 6 * em)  # room for an angle beside the rim
        top = max(1.36, 1.07 + (4.4 if em > 1 / NARROW_EM else 3.8) * em * 2 * side)  # and below bands' names
    ax = plot_axes(
        fig, x=(-side, side), y=(-0.14, top), span=span, margins_em=(0.3, 0.3, 0.3, 0.3), aspect="equal"
    )
    ax.set_axis_off()
    roomy, words = em_of(ax) < 0.2, {"fontsize": small(), "color": quiet()}
    _net(ax, 180, ("−10", "0" if roomy else "", "10"), words)
    rim = 1 + aside * em_of(ax)
    for elevation in (30, 60, 90, 120, 150):
        x, y = rim * np.cos(np.radians(elevation)), rim * np.sin(np.radians(elevation))
        ax.text(x, y, f"{min(elevation, 180 - elevation)}°", va="center", ha="center", **words)
    ax.axhline(0, color=BLACK, linewidth=stroke(0.7))
    ax.text(0.98 * ax.get_xlim()[0], -0.02, "ground" if roomy else "", va="top", ha="left", **words)
    ax.text(-0.05, -0.02, "gain, dBi", va="top", ha="right", **words)
    return ax


def quarter_sky(fig, widest=0.6):
    """One side of such a sky, from the horizon to overhead, on the left of a figure, bands' names above it.

    widest: share of the figure's width at most. Returns its axes, and the share of the width that it takes.
    """
    em, side, left = mpl.rcParams["font.size"] / 72 * fig.dpi, 1.24, 0.06
    unit = min((fig.bbox.height - 4.2 * em) / (1.1 + BELOW), widest * fig.bbox.width / (side + left))
    share = unit * (side + left) / fig.bbox.width
    ax = plot_axes(
        fig, x=(-left, side), y=(-BELOW, fig.bbox.height / unit - BELOW), span=(0, share),
        margins_em=(0, 0, 0, 0), aspect="equal",
    )  # fmt: skip
    ax.set_axis_off()
    words = {"fontsize": small(), "color": quiet()}
    _net(ax, 90, ("−10", "0", "10 dBi"), words)
    for elevation in (30, 60, 90):
        x, y = (1.06 + 0.6 * em_of(ax)) * np.cos(np.radians(elevation)), 1.12 * np.sin(np.radians(elevation))
        ax.text(max(x, 0.5 * em_of(ax)), y, f"{elevation}°", va="center", ha="center", **words)
    ax.plot([-left, side], [0, 0], color=BLACK, linewidth=stroke(0.7))
    return ax, share


def _net(ax, to_deg, gains, words):
    """Three rings with their gains below, and a ray each 15 degrees, from the ground up to to_deg."""
    grid = {"color": mpl.rcParams["grid.color"], "linewidth": mpl.rcParams["grid.linewidth"], "zorder": 0}
    turn, rays = np.radians(np.arange(to_deg + 1)), np.radians(np.arange(15, min(to_deg + 1, 180), 15))
    rings = (np.array([-10, 0, 10]) - SKY_DBI[0]) / (SKY_DBI[1] - SKY_DBI[0])
    ax.plot(np.outer(np.cos(turn), rings), np.outer(np.sin(turn), rings), **grid)
    ax.plot(np.outer([0, 1], np.cos(rays)), np.outer([0, 1], np.sin(rays)), **grid)
    for r, gain in zip(rings, gains, strict=True):
        ax.text(r, -0.02, gain, va="top", ha="center", **words)


def on_sky(elevation_deg, gain_dbi):
    """Where a gain at an elevation lies on `sky`; x, y of the shape both broadcast to."""
    r = np.clip((gain_dbi - SKY_DBI[0]) / (SKY_DBI[1] - SKY_DBI[0]), 0, 1.05)
    angle = np.radians(elevation_deg)
    return r * np.cos(angle), r * np.sin(angle)


def lobes(fig, elevation_deg, gains_dbi, names, takeoffs_deg=None, toward=None, beams_deg=None):
    """Elevation patterns over the ground, broadside: a curve a band, and rays to both sides alike.

    elevation_deg: (points,), 0 to 180. gains_dbi: one (rows, points) a band; names: the bands.
    takeoffs_deg: one (rows,) a band, which stand beside the names. beams_deg: a pair of (rows,) a band, the
    edges of an arc at the rim, the second band's to the other side. toward: an angle, degrees, for a ray of
    both bands, and the gain of each there, one (rows,) a band, which stand large; or none, where it is told
    elsewhere. Where the sky is a quarter, so are all of them. Returns the parts.
    """
    ax, parts = fig.axes[0] if fig.axes else sky(fig, full=beams_deg is not None), []
    em, right = em_of(ax), 0.98 * ax.get_xlim()[1]
    quarter = -ax.get_xlim()[0] < 0.5
    left = ax.get_xlim()[0] + 0.5 * em if quarter else -right
    top, size = ax.get_ylim()[1] - 0.7 * em, 1.2 if 2 * right > (24 if quarter else 36) * em else 1.0
    for i, (name, gain, pen) in enumerate(zip(names, gains_dbi, PENS, strict=False)):
        x, y = on_sky(elevation_deg, gain)
        if quarter:
            x, y = x[:, :91], y[:, :91]
        parts.append(Part(ax, "line", x, y, pen if parts else replace(pen, fill=0.13)))
        down, bold = np.array([top - 1.5 * i * size * em]), Pen(pen.color, bold=True, size=size, align="left")
        parts.append(Part(ax, "line", np.array([0, 2.4]) * em + left, np.repeat(down, 2), pen))
        said = (name,) * len(gain)
        if takeoffs_deg is not None:
            takeoff = takeoffs_deg[i]
            parts.append(_rays(ax, column(takeoff), Pen(pen.color, width=0.6, dashes=pen.dashes), quarter))
            if beams_deg is not None:
                edges = [np.minimum(one, 90) for one in beams_deg[i]] if quarter else beams_deg[i]
                parts.append(_arc(ax, edges, BEAM_AT[i], i and not quarter, replace(pen, dashes=())))
            said = tuple(f"{name} {t:.0f}°" for t in takeoff)
        parts.append(Part(ax, "text", np.array([2.9 * em + left]), down, bold, said))
        if toward and toward[1] is not None and 2 * right > NARROWEST_EM * em:
            at = f" at {toward[0]:.0f}°" if 2 * right > NARROW_EM * em else ""
            said = tuple(f"{dbi(one)}{at}" if np.isfinite(one) else "" for one in toward[1][i])
            large = size if at else 1.25 if 2 * right > NARROWER_EM * em else 1.0
            pen = replace(bold, align="right", size=large)
            parts.append(Part(ax, "text", np.array([right]), down, pen, said))
    if toward:
        parts.append(_rays(ax, toward[0], Pen(BLACK, width=0.6, dashes=(1.0, 1.0)), quarter))
    return parts


def _rays(ax, elevation_deg, pen, quarter=False):
    """Rays from the middle to both sides alike; elevation_deg: (rows, 1), or one number. Returns a part."""
    angle = np.radians(elevation_deg)  # both from the middle: overhead their dashes are one
    x, y = np.array([[0, 1, np.nan, 0, -1], [0, 1, np.nan, 0, 1]])[:, : 2 if quarter else 5]
    return Part(ax, "line", np.cos(angle) * x, np.sin(angle) * y, pen)


def _arc(ax, edges_deg, radius, other_side, pen):
    """An arc from edge to edge, elevations (rows,), on the right or on the other side. Returns a part."""
    low, high = map(column, edges_deg)
    angle = np.radians(low + (high - low) * np.linspace(0, 1, 11))
    return Part(
        ax, "line", (-1) ** other_side * radius * np.cos(angle), radius * np.sin(angle), pen, smooth=True
    )


def swr_curves(fig, sweeps, names, aims=(), above_em=0.9, over_em=0.0):
    """SWR across two bands.

    sweeps: one (f_mhz, swr) a band, (points,) and (rows, points). names: the bands. aims: what is allowed and
    wanted of them, see mark_band; or nothing. above_em: room over each; over_em: over both.
    Returns the parts.
    """
    top, widest = (2.1, np.inf) if aims else (above_em, 1.2)
    em = mpl.rcParams["font.size"] / 72 * fig.dpi
    foot = 3.4
    if aims and fig.bbox.height < 18 * em:  # large type: what the margins can spare is the curves'
        top, foot = 1.6, 2.9
    looks = {
        "y": (1, 5),
        "ylabel": "SWR on 50 Ω",
        "yticks": [1, 2, 3, 4, 5],
        "margins_em": (4.8, 1.2, top, foot),
    }
    axes = fig.axes or two_axes(
        fig,
        *(
            {"x": f[[0, -1]], "xlabel": f"{name}, MHz"} | looks
            for (f, _), name in zip(sweeps, names, strict=True)
        ),
        widest=widest,
        over_em=over_em,
    )
    parts = []
    for i, (ax, (f, swr), pen) in enumerate(zip(axes, sweeps, PENS, strict=False)):
        if not ax.lines:
            ax.axhline(2, color=GREY, linewidth=stroke(0.4))
            room = ax.bbox.height / (mpl.rcParams["font.size"] / 72 * fig.dpi)
            if room < 6.5:
                ax.set_ylabel("SWR")
            if room < 4:
                ax.set_yticks([1, 3, 5])
            if aims:
                mark_band(ax, (f[0], f[-1]), *aims[i])
        best = np.argmin(swr, axis=1)
        seen = np.where(swr <= 5, swr, np.nan)
        parts.append(Part(ax, "line", f, np.clip(swr, 1, 50), pen))
        parts.append(Part(ax, "dots", column(f[best]), seen[np.arange(len(swr)), best][:, None], pen))
    return parts


def mark_band(ax, edges_mhz, allowed_mhz, wanted_mhz):
    """Mark a band on axes of frequency: above them what the licence allows, hatched what is not wanted.

    edges_mhz, wanted_mhz: lowest and highest. allowed_mhz: mode -> lowest and highest.
    """
    modes = {}
    for mode, part in allowed_mhz.items():
        modes.setdefault(tuple(part), []).append(mode)
    em = mpl.rcParams["font.size"] / 72 * ax.figure.dpi / ax.bbox.height
    above = ax.get_xaxis_transform()
    look = {"transform": above, "clip_on": False, "color": GREY, "linewidth": stroke(0.35)}
    for (low, high), names in modes.items():
        ax.plot([low, low, high, high], np.array([0.3, 0.9, 0.9, 0.3]) * em + 1, **look)
        words = {"va": "center", "ha": "center", "fontsize": small(), "transform": above}
        ax.text((low + high) / 2, 1 + 0.9 * em, " and ".join(names), color=BLACK, zorder=3,
                bbox={"fc": "white", "ec": "none", "pad": 1.0}, **words)  # fmt: skip
    for low, high in ((edges_mhz[0], wanted_mhz[0]), (wanted_mhz[1], edges_mhz[1])):
        if high > low:
            ax.axvspan(
                low, high, facecolor="none", edgecolor=GREY, alpha=0.45, hatch="///", linewidth=0, zorder=0
            )


def share_bars(fig, shares, names):
    """Where the watts go: a bar a band, from the left sky, soil (zigzag), wire, traps (full); in words too.

    shares: one dict a band, each share (rows,), no unit. names: the bands. Returns the parts.
    """
    if not fig.axes:
        ax = plot_axes(fig, x=(0, 100), y=(0, 4), margins_em=(5.4, 1.2, 0.1, 0.2))
        ax.set_axis_off()
        for row, (name, pen) in enumerate(zip(names, PENS, strict=False)):
            look = {"ha": "right", "va": "center", "fontsize": small(), "annotation_clip": False}
            label(ax, -1, 2.4 - 2 * row, name, pen, **look)
    ax, parts = fig.axes[0], []
    middle = ax.transData.inverted().transform((fig.bbox.x0 + fig.bbox.width / 2, 0))[0]
    for row, (share, pen) in enumerate(zip(shares, PENS, strict=False)):
        floor, roof = 2.05 - 2 * row, 2.8 - 2 * row
        soil, wire, traps = 100 * np.cumsum([*share.values()], axis=0)[:3]
        count, thin = len(soil), Pen(pen.color, width=0.5)
        none, whole, gap = (np.full(count, one) for one in (0.0, 100.0, np.nan))
        x = [
            none,
            whole,
            whole,
            none,
            none,
            *(one for edge in (soil, wire, traps) for one in (gap, edge, edge)),
        ]
        y = [floor, floor, roof, roof, floor, *[np.nan, floor, roof] * 3]
        parts.append(Part(ax, "line", np.stack(x, axis=1), np.array([y] * count), thin))
        at = np.arange(1.0, 100, 1.0)
        zigzag = np.where((at > soil[:, None]) & (at < wire[:, None]), at, np.nan)
        parts.append(Part(ax, "line", zigzag, np.where(at % 2, roof, floor), thin))
        x, y = np.stack([traps, whole, whole, traps], axis=1), np.array([[floor, floor, roof, roof]] * count)
        parts.append(Part(ax, "line", x, y, replace(thin, fill=0.7)))
        said = tuple(
            "" if np.isnan(one).any() else share_words(dict(zip(share, one, strict=True)))
            for one in zip(*share.values(), strict=True)
        )
        place = np.full((count, 1), middle), np.full((count, 1), 3.4 - 2 * row)
        parts.append(Part(ax, "text", *place, Pen(pen.color, size=0.8), said))
    return parts
