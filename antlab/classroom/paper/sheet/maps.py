"""Two small maps, to scale: what people keep off from the side, and from above with the way it sends."""

import numpy as np
from matplotlib.patches import Polygon

from antlab.antenna.plan import HEAD_M
from antlab.antenna.yard import compass
from antlab.classroom.drawing.keep_off import zone
from antlab.classroom.drawing.looks import BLACK, BLUE, GREY

DOTTED = {"fc": "0.92", "ec": GREY, "lw": 0.7, "ls": ":", "zorder": 0}


def keep_away_m(plan):
    """How far others keep off, metres: on the worse band."""
    return max(band.keep_away_m for band in plan.bands)


def over_fence_m(plan, yard):
    """How far what others keep off reaches over a fence, metres; 0 where the garden is not known or holds it.

    The wire hangs over the middle of the garden, as it is drawn.
    """
    if yard is None or yard.garden_m is None or yard.toward_deg is None:
        return 0.0
    off = np.radians(yard.toward_deg - yard.garden_deg)
    across, along = plan.width_m / 2 * np.abs((np.sin(off), np.cos(off))) + keep_away_m(plan)
    wide, long = yard.garden_m
    return float(max(across - wide / 2, along - long / 2, 0.0))


def draw_from_the_side(page, job, x, top, wide, high):
    """Wire, keep-off zone, ground and a person. Returns where it ends."""
    plan, away = job.plan, keep_away_m(job.plan)
    clear = job.hanging.clear_below_m(plan)
    half = plan.width_m / 2
    left, right = job.hanging.ends
    scale = min(wide / 2 / (half + away), high / (max(plan.top_m, left[1], right[1]) + away))
    middle, ground = x + wide / 2, top - high - 0.04
    wire = left, (0, plan.top_m), right
    page.line(*(np.array(wire) * scale + (middle, ground)).T, color=BLUE, linewidth=1.0)
    across, up = zone(*wire, away, clear=clear, deep=job.hanging.sag_m)
    page.ax.fill(across * scale + middle, up * scale + ground, **DOTTED)
    page.line([x, x + wide], [ground] * 2, linewidth=1)
    page.line([middle + 0.04] * 2, [ground, ground + HEAD_M * scale], color=BLACK, linewidth=1.5)
    return ground


def draw_from_above(page, job, x, top, size):
    """Garden, wire, ropes, keep-off zone and both ways it sends, north up; without a direction, east to west.

    Returns where it ends, and the words for it.
    """
    plan, yard, there = job.plan, job.yard, job.hanging
    away, half = keep_away_m(plan), plan.width_m / 2
    toward = yard.toward_deg if yard is not None else None
    garden = yard.garden_m if yard is not None else None
    turn = np.radians(90 if toward is None else toward)
    along = np.array((np.sin(turn), np.cos(turn)))
    across = np.array((along[1], -along[0]))
    middle = np.array((x + size / 2, top - size / 2))
    reach = max(there.tie_m, half + away)
    corners = None
    if garden is not None:
        length = np.radians(yard.garden_deg)
        up, over = np.array((np.sin(length), np.cos(length))), np.array((np.cos(length), -np.sin(length)))
        corners = np.array([
            a * over * garden[0] / 2 + b * up * garden[1] / 2 for a, b in ((1, 1), (1, -1), (-1, -1), (-1, 1))
        ])  # fmt: skip
        reach = max(reach, np.abs(corners).max())
    scale = (size / 2 - 0.14) / reach
    round_ = np.linspace(0, np.pi, 13)[:, None]
    edge = np.concatenate([
        side * (along * half + away * (np.sin(round_) * along + np.cos(round_) * across)) for side in (1, -1)
    ])  # fmt: skip
    page.ax.fill(*(middle + edge * scale).T, **DOTTED)
    if corners is not None:
        page.ax.add_patch(Polygon(middle + corners * scale, fc="none", ec=BLACK, lw=0.8))
    tied = np.array([-along, along]) * there.tie_m
    page.line(*(middle + tied * scale).T, linestyle=(0, (2, 1.5)), linewidth=0.7)
    page.line(*(middle + np.array([-along, along]) * half * scale).T, color=BLUE, linewidth=1.4)
    for side in (-1, 1):
        start = middle + side * across * (away * scale + 0.02)
        page.arrow(start, start + side * across * 0.2, "-|>")
    if toward is None:
        return top - size
    page.write(x + 0.02, top - 0.1, "N", fontweight="bold")
    page.arrow((x + 0.055, top - 0.34), (x + 0.055, top - 0.1), "->")
    return top - size


def direction_words(yard):
    """To where the wire runs and sends, by compass, or room to write it in."""
    if yard is None or yard.toward_deg is None:
        return (
            "Direction: it sends most across the wire, to both sides. It runs to ______°, sends to ______°."
        )
    runs = ((yard.toward_deg % 180), (yard.toward_deg % 180) + 180)
    said = (
        " and ".join(f"{compass(one % 360)} ({one % 360:.0f}°)" for one in two)
        for two in (runs, yard.sends_deg)
    )
    return "The wire runs to {}; it sends most to {}: degrees of a map, not of the needle.".format(*said)
