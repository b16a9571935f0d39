"""The antenna as it hangs, to scale: the wire between its ropes, and where they are tied."""

from dataclasses import replace

import numpy as np

from antlab.classroom.drawing.looks import BLACK, BLUE, EARTH, GREY
from antlab.classroom.drawing.parts import Pen
from antlab.classroom.drawing.signs import eyes_in, wire
from antlab.classroom.paper.sheet.page import LINE, inches
from antlab.units import FOOT_M

BESIDE = 2.3  # inches for the words beside a vee
STUB, LEAST_WIDE = 0.35, 5.8  # of a shortened pole; of a level wire's drawing, for the words in it
UNDER = 0.42  # under the ground: for two dimensions
NEXT = 0.135  # from one word beside a vee to the next, at least
BETWEEN = " of wire"  # traps and centre piece come between, whose size nobody knows here
SIGNS = 1.5  # of feed and traps, in times a letter m
ROPE = {"linestyle": (0, (2, 1.5)), "linewidth": 0.8}


def draw_hung(page, job, bottom, top):
    """Draw it between two heights of a page. job: a Job."""
    (_draw_vee if job.hanging.vee else _draw_level)(page, job, bottom, top)


def _ground(page, y, left, right):
    page.ax.fill_between([left, right], y, y - 0.05, color=EARTH, linewidth=0)
    page.line([left, right], [y, y], linewidth=1)


def _legs(page, plan, feed, ends):
    """Both legs, left and right, with their traps, and an eye at each end. Returns where the traps are."""
    share = plan.inner_m / (plan.inner_m + plan.outer_m)
    for end, half in zip(ends, (-1, 1), strict=True):
        page.ax.plot(*end, "o", color="white", markeredgecolor=BLACK, markersize=3.5, zorder=6)
        right = feed + np.abs(end - feed) * (1, np.sign(end[1] - feed[1]))
        for part in wire(page.ax, feed, right, trap_at=share, pen=Pen(BLUE, width=1.3), size=SIGNS):
            cut = part.x.shape[1] // 2  # the right leg's points come first, then a gap
            kept = slice(None, cut) if half > 0 else slice(cut + 1, None)
            replace(part, x=part.x[:, kept], y=part.y[:, kept]).draw()
    return [feed + share * (end - feed) for end in ends]


def _scale_bar(page, tape, scale, but=""):
    """In the head, to the right. scale: inches a metre."""
    unit, steps = "m", (10, 5, 2, 1)
    if tape.first == "feet":
        unit, steps, scale = "ft", (30, 20, 10, 5, 3, 1), scale * FOOT_M
    long = next(n for n in steps if n * scale < 0.75)
    y = page.top - 0.36
    page.line([page.right - long * scale, page.right], [y, y], linewidth=2)
    words = f"{long} {unit} to scale{but}"
    page.write(page.right - long * scale - 0.08, y - 0.03, words, ha="right", color=GREY)


def _draw_vee(page, job, bottom, top):
    plan, there, tape = job.plan, job.hanging, job.tape
    ground, reach = bottom + UNDER, page.wide / 2 - BESIDE
    scale = min((top - 0.08 - ground) / plan.top_m, reach / there.tie_m)
    feed = np.array((page.middle, ground + plan.top_m * scale))
    ends, ties = (
        [np.array((page.middle + away * scale, ground + up * scale)) for away, up in two]
        for two in (there.ends, there.ties)
    )
    _ground(page, ground, page.middle - reach - 0.1, page.middle + reach + 0.1)
    page.line([page.middle] * 2, [ground, feed[1]], color=GREY, linewidth=2.5)
    for end, tie in zip(ends, ties, strict=True):
        page.line(*np.transpose([end, tie]), **ROPE)
        if there.stakes:
            page.line([tie[0]] * 2, [ground - 0.06, ground + 0.06], linewidth=2.2)
        else:
            page.line([tie[0]] * 2, [ground, tie[1]], color=GREY, linewidth=2.5)
    traps = _legs(page, plan, feed, ends)
    rope = there.rope_m[1]
    left = [
        ((feed + traps[0]) / 2, f"inner wire {tape.cut(plan.inner_m)}"),
        ((traps[0] + ends[0]) / 2, f"outer wire {tape.cut(plan.outer_m)}"),
        ((ends[0] + ties[0]) / 2, f"rope {tape.place(rope)}"),
    ]
    tied = "stake" if there.stakes else "post"
    right = [
        (feed, f"feed, choke {tape.place(plan.top_m)} up"),
        (traps[1], "trap, the same on the other side"),
        (ends[1], f"end of the wire {tape.least(plan.ends_m)} up"),
        (ties[1], f"{tied} {tape.place(there.tie_m)} from mast"),
    ]
    _beside(page, left, page.middle - reach - 0.2, "right", top)
    _beside(page, right, page.middle + reach + 0.2, "left", top)
    page.level(*(end[0] for end in ends), ground - 0.15, f"end to end {tape.place(plan.width_m)}{BETWEEN}")
    words = f"{'stake to stake' if there.stakes else 'post to post'} {tape.place(2 * there.tie_m)}"
    page.level(*(tie[0] for tie in ties), ground - 0.32, words)
    _scale_bar(page, tape, scale)


def _beside(page, said, x, side, top):
    """Words beside what they are about, one under another, each with a line to it."""
    y = top - 0.02
    for place, words in said:
        y = min(y, place[1] + 0.04)
        base = y - 0.03
        page.write(x, base, words, ha=side, va="center")
        edge = x + (0.05 if side == "right" else -0.05)
        page.line([edge, place[0]], [base, place[1]], color=GREY, linewidth=0.5, zorder=0.5)
        y = base + 0.03 - NEXT


def _draw_level(page, job, bottom, top):
    plan, there, tape = job.plan, job.hanging, job.tape
    ground = bottom + UNDER
    low, high = sorted(up for _, up in there.ties)
    room = top - 0.3 - ground
    reach = page.wide / 2 - 0.1
    steep = max(room - STUB, room / 2) / (high - low) if high > low else np.inf  # inches a metre
    scale = min(reach / there.tie_m, max(steep, LEAST_WIDE / 2 / there.tie_m))
    upward = min(scale, steep)
    tall = min(high * upward, room)
    broken = high * upward > tall + 1e-9
    lift = ground + tall - high * upward  # where height 0 would be

    def at(place):
        return np.array((page.middle + place[0] * scale, lift + place[1] * upward))

    feed, ends, ties = at((0, plan.top_m)), [at(end) for end in there.ends], [at(tie) for tie in there.ties]
    _ground(page, ground, page.left, page.right)
    page.line([page.middle] * 2, [ground, feed[1]], color=GREY, linestyle=(0, (4, 2)))
    for end, tie in zip(ends, ties, strict=True):
        _pole(page, tie[0], ground, tie[1], broken)
        page.line(*np.transpose([end, tie]), **ROPE)
    traps = _legs(page, plan, feed, ends)
    # from eye to eye, as they are cut
    at_feed, at_trap = eyes_in(SIGNS)
    out = [(end - feed) / np.hypot(*(end - feed)) for end in ends]
    inner = feed + at_feed * out[0], traps[0] - at_trap * out[0]
    _along(page, *inner, f"inner wire, eye to eye, {tape.cut(plan.inner_m)}", -1)
    outer = traps[1] + at_trap * out[1], ends[1]
    _along(page, *outer, f"outer wire, eye to eye, {tape.cut(plan.outer_m)}", 1)
    side = 1 if ties[1][1] >= ties[0][1] else -1  # where the wire rises
    words, place = "feed, choke and line", (page.middle + 0.08 * side, feed[1] - 0.2)
    page.write(*place, words, ha="left" if side > 0 else "right")
    for tie, (_, up), side in zip(ties, there.ties, (1, -1), strict=True):
        words = f"tied {tape.place(up)} up"
        page.write(tie[0] + side * 0.1, ground + 0.07, words, ha="left" if side > 0 else "right")
    least, long = ("", tape.place) if there.bounded else ("at least ", tape.least)
    rope = f"rope {least}{long(there.rope_m[0])} a side"
    if high == low:  # else there is no room, and "4 Hang" has it too
        page.write(ties[0][0] + 0.1, ground + 0.07 + LINE, rope)
    page.level(*(end[0] for end in ends), ground - 0.15, f"end to end {tape.place(plan.width_m)}{BETWEEN}")
    words = f"supports {least}{long(2 * there.tie_m)} apart"
    page.level(*(tie[0] for tie in ties), ground - 0.32, words)
    _scale_bar(page, tape, scale, " along" * (broken or upward < scale))  # and not up


def _pole(page, x, ground, up, broken):
    page.line([x, x], [ground, up], color=GREY, linewidth=2.5)
    if broken:
        y = ground + 0.32
        page.line([x, x], [y - 0.02, y + 0.02], color="white", linewidth=4, zorder=4)
        zig = np.array([-0.06, -0.02, 0.02, 0.06]), np.array([-0.015, 0.015, -0.015, 0.015])
        for shift in (-0.022, 0.022):
            page.line(x + zig[0], y + shift + zig[1], zorder=5)


def _along(page, start, stop, words, side, off=0.13):
    """A dimension along a stretch of wire, above it, with its words over it: each leg keeps to its half."""
    way = (stop - start) / np.hypot(*(stop - start))
    out = np.array((-way[1], way[0]))
    out *= np.sign(out[1])
    page.arrow(start + out * off, stop + out * off)
    for place in (start, stop):
        page.line(*np.transpose([place + out * 0.05, place + out * (off + 0.04)]), linewidth=0.6)
    x, y = (start + stop) / 2 + out * (off + 0.08)
    half, reach = inches(words) / 2, abs(stop[0] - start[0]) / 2
    edges = (page.left, page.middle - 0.06) if side < 0 else (page.middle + 0.06, page.right)
    place = min(max(x, edges[0] + half), edges[1] - half)
    # a leg that climbs: over the higher end of its arrow, and over the wire or rope under the words
    under = (abs(place - x) + half) * abs(way[1] / way[0]) - off
    page.write(place, y + max(reach * abs(way[1] / way[0]), under), words, ha="center")
