"""A yard from above: garden, wire, supports, where it sends, what people keep off, where things may fall."""

import numpy as np

from antlab.antenna.mending import spoken
from antlab.antenna.yard import compass
from antlab.classroom.drawing.axes import em_of, plot_axes
from antlab.classroom.drawing.looks import BLACK, BLUE, GREY, ORANGE
from antlab.classroom.drawing.parts import Part, Pen
from antlab.units import FOOT_M

_SIDE = 1.0  # half of the picture, in which all is drawn to fit
_WHOLE = 0.96  # of that, into which all fits where something may fall


def panel(fig):
    """Axes for it, once."""
    if not fig.axes:
        ax = plot_axes(
            fig, x=(-_SIDE, _SIDE), y=(-_SIDE, _SIDE), margins_em=(0.3, 0.3, 0.3, 0.3), aspect="equal"
        )
        ax.set_axis_off()
    return fig.axes[0]


def outline(posts, radius_m):
    """What may be reached from any of several points on one line: its outer edge alone, closed.

    posts: points, metres, each (x, y), no farther apart than twice the radius. Returns metres,
    shape (points, 2).
    """
    posts = np.array(posts, dtype=float)
    along = posts[0] - posts[1]
    along /= np.hypot(*along)
    across = np.array([along[1], -along[0]])
    stand = np.sort(posts @ along)
    turns = np.linspace(0, np.pi, 73)
    x = np.unique(np.concatenate([at + radius_m * np.cos(turns) for at in stand]).round(9))
    up = np.sqrt(np.clip(radius_m**2 - (x - stand[:, None]) ** 2, 0, None)).max(axis=0)
    edge = np.concatenate(
        [np.outer(x, along) + np.outer(up, across), (np.outer(x, along) - np.outer(up, across))[::-1]]
    )
    return np.concatenate([edge, edge[:1]])


def above(ax, yard, seen):
    """The parts: north is up, all to one scale, which a bar tells.

    yard: a Yard. seen: a dict: half_m, from the middle to the end of the wire; trap_at, share of that; out_m,
    to support, stake or post; over, whether the wire is too long; mast, whether one stands in the middle;
    keep_off_m, NaN while it is not known; around_m, room to leave for that; falls_m, how far from a support
    what falls may reach; feet_first.
    """
    runs = np.radians(yard.toward_deg)
    along, across = np.array([np.sin(runs), np.cos(runs)]), np.array([np.cos(runs), -np.sin(runs)])
    posts = [along * seen["out_m"], -along * seen["out_m"]] + ([np.zeros(2)] if seen["mast"] else [])
    corners = np.zeros((0, 2))
    if yard.garden_m is not None:
        lies = np.radians(yard.garden_deg)
        length, width = np.array([np.sin(lies), np.cos(lies)]), np.array([np.cos(lies), -np.sin(lies)])
        wide, long = np.array(yard.garden_m) / 2
        corners = np.array(
            [i * wide * width + j * long * length for i, j in ((1, 1), (1, -1), (-1, -1), (-1, 1), (1, 1))]
        )
    reach = outline(posts, seen["falls_m"])
    around = np.abs(along * seen["half_m"]) + seen["around_m"]
    all_of_it = [*np.abs(reach).ravel(), *around]
    far = max([seen["half_m"] + 2, *np.abs(corners).ravel() / 0.74, *(one / _WHOLE for one in all_of_it)])
    scale = _SIDE / far
    em = em_of(ax)

    def line(points, pen):
        x, y = np.array(points, dtype=float).T * scale
        x = np.where(np.maximum(np.abs(x), np.abs(y)) <= _SIDE, x, np.nan)
        return Part(ax, "line", x[None], y[None], pen)

    def word(at, text, pen):
        return Part(ax, "text", np.array([[at[0]]]), np.array([[at[1]]]), pen, (text,))

    none, half, gap = np.full((2, 2), np.nan), seen["half_m"], np.full((1, 2), np.nan)
    fence = corners if len(corners) else none
    end = along * half
    ropes = [along * seen["out_m"], end, [np.nan] * 2, -end, -along * seen["out_m"]]
    off = seen["keep_off_m"]
    turned = runs + np.linspace(0, np.pi, 37)
    cap = np.stack([np.cos(turned - runs), np.sin(turned - runs)], axis=1)  # around an end
    capsule = np.concatenate([[end + off * (c * across + s * along) for c, s in cap],
                              [-end - off * (c * across + s * along) for c, s in cap]])  # fmt: skip
    capsule = np.concatenate([capsule, capsule[:1]])
    room = min(half, (yard.room_m or 2 * half) / 2) if seen["over"] else half
    over = np.concatenate([[room * along, end], gap, [-room * along, -end]]) if seen["over"] else none
    trap = along * half * seen["trap_at"]
    traps = np.concatenate(
        [[at - 0.02 / scale * along, at + 0.02 / scale * along, [np.nan] * 2] for at in (trap, -trap)]
    )
    arrows = []
    for side in (across, -across):
        tip = side * 0.62 / scale
        for wing in (along, -along):
            arrows += [tip + (0.05 * wing - 0.07 * side) / scale, tip, [np.nan, np.nan]]
        arrows += [side * 0.12 / scale, tip, [np.nan, np.nan]]
    one_m, steps = (FOOT_M, (100, 50, 20, 10, 5)) if seen["feet_first"] else (1.0, (50, 20, 10, 5, 2, 1))
    bar_m = next(one_m * step for step in steps if one_m * step * scale < 0.5)
    left, low, right, high = np.array([-0.96, -0.9, 0.9, 0.82]) / scale
    bar = [[left, low], [left + bar_m, low]]
    bar_said = spoken(bar_m, seen["feet_first"], alone=True)
    wide_bar = bar_m * scale > 0.6 * em * len(bar_said)
    north = [[right, high - 0.2 / scale], [right, high], [right - 0.04 / scale, high - 0.08 / scale],
             [np.nan] * 2, [right, high], [right + 0.04 / scale, high - 0.08 / scale]]  # fmt: skip
    parts = [
        line(reach, Pen(ORANGE, width=0.6, dashes=(4.0, 3.0), fill=0.06)),
        line(fence, Pen(GREY, width=1.0)),
        line(capsule, Pen(GREY, width=0.6, dashes=(1.0, 1.2), fill=0.12)),
        line(none if seen["over"] else ropes, Pen(GREY, width=0.5)),
        line([-end, end], Pen(BLACK, width=1.0)),
        line(over, Pen("#ffffff", width=2.0)),
        line(over, Pen(ORANGE, width=1.5, dashes=(1.6, 1.1))),
        line(traps, Pen(ORANGE, width=2.2)),
        line(arrows, Pen(BLUE, width=0.7)),
        Part(ax, "dots", *(np.array([[at[i] * scale for at in posts]]) for i in (0, 1)), Pen(GREY)),
        line(bar, Pen(BLACK, width=0.8)),
        line(north, Pen(BLACK, width=0.6)),
        word((0.9, 0.92), "N", Pen(BLACK, bold=True)),
        word((-0.96 + (bar_m * scale / 2 if wide_bar else 0), -0.9 + 0.9 * em), bar_said,
             Pen(BLACK, size=0.85, align="center" if wide_bar else "left")),
    ]  # fmt: skip
    for side, deg in ((across, yard.toward_deg + 90), (-across, yard.toward_deg + 270)):
        parts.append(word(side * 0.74, compass(deg % 360), Pen(BLUE, bold=True, size=1.25)))
    return parts
