"""The page to buy by: all parts with what is spare, and what to look up while building."""

import numpy as np
from matplotlib.patches import Rectangle
from matplotlib.ticker import MaxNLocator

from antlab.antenna import safety
from antlab.antenna.feeding import chokes_for
from antlab.antenna.plan import TOO_HIGH
from antlab.classroom.drawing.looks import BLACK, EARTH, GREY
from antlab.classroom.drawing.parts import FIRST, SECOND
from antlab.classroom.drawing.two_bands import mark_band
from antlab.classroom.paper.sheet.build import name_page
from antlab.classroom.paper.sheet.page import LINE, Page, set_to
from antlab.physics.sky import hop_km

LOW_ANGLE = 20
BEYOND = 0.12  # of a band's width, drawn to either side of it
CURVE_HIGH = 1.0
NOT_COUNTED = (
    "Not counted: the supports and what holds them, the earth and the lightning protection that your local "
    "code asks for, and tools: tape measure, saw, drill, knife, soldering iron, glasses for the eyes, a line "
    "to throw, and an analyzer (5 a). Spare: common practice, no source. All is rounded up."
)


MARKS = (
    f"{safety.GOOD} is good, {safety.MIND} more than is good, {safety.BAD} too much; a carrier is "
    "FM, RTTY and FT8 too."
)


def draw_buy(job):
    """Draw the page. job: a Job. Returns the matplotlib figure."""
    page = Page(job.paper)
    name_page(page, job, "To buy")
    page.write(page.left, page.top - 0.4, f"{job.plan.title}, {job.plan.power_w:g} W.")
    y = _parts(page, page.top - 0.48, job) - 0.06
    y = _curves(page, y, job.plan) - 0.06
    y = _served(page, y, job.plan, job.tape) - 0.06
    left = _trap_alone(page, page.left, _heights(page, page.left, y, job) - 0.05, job)
    right = page.heading(page.second, y, page.column, "Notes")
    others = (choke.sentence(job.plan, job.tape) for choke in chokes_for(job.plan)[1:])
    said = [note.words for note in job.notes]
    for words in said + [f"Another choke, a gamble: {one}" for one in others]:
        right = page.paragraph(page.second, right, page.column, words) - 0.03
    assert min(left, right) > page.bottom, "the page is too short"
    joint = job.plan.trap.joint
    for words in (joint and f"A trap's joint: {joint}", MARKS):  # if there is room
        x, y = max((page.left, left), (page.second, right), key=lambda column: column[1])
        if words and y - LINE * len(set_to(words, page.column)) - 0.03 > page.bottom:
            y = page.paragraph(x, y - 0.03, page.column, words)
            left, right = (y, right) if x == page.left else (left, y)
    return page.figure


def _trap_alone(page, x, top, job):
    """How to measure a trap by itself, and which way to mend it."""
    y = page.heading(x, top, page.column, "A trap alone (5 a)")
    return page.paragraph(x, y, page.column, job.plan.trap.alone(job.tape))


def _parts(page, top, job):
    """The list: what, for what, used, spare, to buy for one, and for a class; with a box to tick."""
    y = page.heading(page.left, top, page.wide, "Parts")
    many = job.antennas > 1
    widths = (1.75, 1.45, 1.3, 0.45, 1.2, 1.3) if many else (2.25, 2.25, 1.3, 0.5, 1.15)
    edges = page.left + 0.2 + np.r_[0, np.cumsum(widths) * (page.wide - 0.2) / sum(widths)]
    heads = ["what", "for", "used", "spare", "buy for one", *([f"buy for {job.antennas}"] if many else [])]
    for j, words in enumerate(heads):
        x, side = (edges[j], "left") if j < 2 else (edges[j + 1], "right")
        page.write(x, y - 0.1, words, ha=side, fontweight="bold")
    y -= LINE + 0.02
    for part in job.parts:
        wrapped = [
            set_to(words, edges[j + 1] - edges[j] - 0.1) for j, words in enumerate((part.what, part.why))
        ]
        numbers = [part.used(job.tape), part.spare_words(job.tape), part.bought(tape=job.tape)]
        numbers += [part.bought(job.antennas, job.tape)] * many
        page.ax.add_patch(Rectangle((page.left + 0.02, y - 0.105), 0.08, 0.08, fc="none", ec=BLACK, lw=0.8))
        for j, lines in enumerate(wrapped):
            for i, line in enumerate(lines):
                page.write(edges[j], y - 0.1 - i * LINE, line)
        for j, words in enumerate(numbers, 2):
            page.write(edges[j + 1], y - 0.1, words, ha="right", fontweight="bold" if j > 3 else "normal")
        y -= LINE * max(map(len, wrapped)) + 0.03
        page.line([page.left, page.right], [y + 0.005] * 2, color=GREY, linewidth=0.3)
        y -= 0.015
    return page.paragraph(page.left, y - 0.02, page.wide, NOT_COUNTED)


def _curves(page, top, plan):
    """SWR over both bands, each shaded, with what the licence has and what the antenna is not made for."""
    for x, band, pen in zip((page.left, page.second), plan.bands, (FIRST, SECOND), strict=True):
        y = page.heading(x, top, page.column, f"SWR on {band.label}, {plan.z0_ohm:g} Ω line") - 0.2
        ax = page.plot_axes(x + 0.15, y - CURVE_HIGH, page.column - 0.15, CURVE_HIGH)
        f, swr = np.array(band.curve_mhz), np.array(band.curve_swr)
        low, high_mhz = band.edges_mhz
        beyond = BEYOND * (high_mhz - low)  # twice that around the lowest SWR, which has words to it
        there, least = band.lowest_mhz, band.lowest_swr
        first = min(low - beyond, there - 2 * beyond)
        last = max(high_mhz + beyond, there + 2 * beyond)
        top_swr = max(5, int(least) + 2)
        ax.set(xlim=(first, last), ylim=(0.8, top_swr), yticks=range(1, top_swr + 1))
        ax.axvspan(low, high_mhz, color=EARTH, alpha=0.6, linewidth=0, zorder=0)
        mark_band(ax, band.edges_mhz, band.allowed_mhz, band.wanted_mhz)
        ax.plot(f, swr, color=pen.color, linestyle=(0, pen.dashes) if pen.dashes else "solid")
        ax.plot(there, least, "o", color=BLACK, markersize=4.5)
        free = 3.5 if least < 2.5 else 1.5  # where the curve is not
        ax.plot([there] * 2, [least, free], color=BLACK, linewidth=0.6)
        ax.text(
            there, free, f" lowest at {there:.3f} MHz ", ha="center", va="bottom" if free > least else "top"
        )
        ticks = MaxNLocator(nbins=7, steps=[1, 2, 5, 10]).tick_values(first, last)
        near = 0.03 * (last - first)  # so that no number leaves the page
        ax.set_xticks(ticks[(ticks > first + near) & (ticks < last - near)])
        ax.tick_params(length=2, pad=2)
    return y - CURVE_HIGH - 0.16


def _served(page, top, plan, tape):
    """What each band is made for, and how far the SWR stays under 2."""

    def span(pair):
        return "nowhere" if pair is None else f"{pair[0]:.3f}–{pair[1]:.3f} MHz"

    ends = []
    for x, band in zip((page.left, page.second), plan.bands, strict=True):
        rows = [
            ("lowest SWR", f"{band.lowest_swr:.2f} at {band.lowest_mhz:.3f} MHz: trim by that"),
            ("at resonance", f"{band.f_mhz:.3f} MHz, {band.resistance_ohm:.0f} Ω, SWR {band.swr:.2f}"),
            ("made for", span(band.wanted_mhz)),
            ("SWR there", f"up to {band.worst_swr:.1f}" + ": tuner" * (band.worst_swr > TOO_HIGH)),
            ("under 2:1", span(band.span_2)),
            ("keep off: others, you", ", ".join(map(tape.keep, (band.keep_away_m, band.keep_away_you_m)))),
        ]
        ends.append(page.table(x, top, (1.0, page.column - 1.0), rows))
    return min(ends)


def _heights(page, x, top, job):
    plan, tape = job.plan, job.tape
    y = page.heading(x, top, page.column, "Other heights")
    at = plan.angles_deg.index(LOW_ANGLE)
    names = tuple(band.name.removesuffix("m") for band in plan.bands)
    rows, own = [("band, metres", *names * 3)], []
    for both in zip(plan.heights[::2], plan.heights[1::2], strict=True):
        up = both[0].height_m
        if abs(up - plan.top_m) < 1e-6:
            own.append(len(rows))
        rows.append((
            tape.place(up), *(f"{row.takeoff_deg:.0f}°" for row in both),
            *(f"{row.gains_dbi[at]:z.1f}" for row in both), *(f"{row.swr:.1f}" for row in both),
        ))  # fmt: skip
    first = 1.22
    other = (page.column - first) / 6
    page.write(x, y - 0.1, "hung at", fontweight="bold")
    for i, words in enumerate(("strongest", f"dBi at {LOW_ANGLE}°", "SWR")):
        right = x + first + other * 2 * (i + 1)
        page.write(right, y - 0.1, words, ha="right", fontweight="bold")
        page.line([right - 2 * other + 0.1, right], [y - 0.125, y - 0.125], linewidth=0.5, color=GREY)
    y = page.table(x, y - LINE - 0.02, (first, *(other,) * 6), rows, bold=(0, *own)) - 0.03
    words = (
        f"Strongest: degrees up, broadside. {LOW_ANGLE}° lands about {tape.far(float(hop_km(LOW_ANGLE)))} "
        "off, steeper nearer, if the sky returns it. "
        "Bold: your height."
    )
    return page.paragraph(x, y, page.column, words)
