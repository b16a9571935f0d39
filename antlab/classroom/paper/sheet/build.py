"""The page to build from: cut, wind, feed, hang, keep off, trim, and the cautions."""

import math

import numpy as np
from matplotlib.patches import Rectangle

from antlab.antenna.feeding import choke_for
from antlab.antenna.parts import joined
from antlab.antenna.plan import FOLD_M, HEAD_M, in_khz, share_words, turns_words
from antlab.antenna.plan_making import OPEN_END, TRAP_WITHIN
from antlab.antenna.safety import LAST_WORD, LOWEST_END_M, MODES
from antlab.classroom.drawing.looks import BLACK, GREY
from antlab.classroom.drawing.wound_trap import scaled, wound_trap
from antlab.classroom.paper.sheet.hung import draw_hung
from antlab.classroom.paper.sheet.maps import (
    direction_words,
    draw_from_above,
    draw_from_the_side,
    keep_away_m,
    over_fence_m,
)
from antlab.classroom.paper.sheet.page import LINE, Page, inches, set_to
from antlab.units import INCH_M, feet_sixteenths

HEAD, SHORTEST_DRAWING, TALLEST_DRAWING = 0.48, 1.45, 2.6
TRAP_HIGH = 1.06  # of the trap as it is wound
MAP_HIGH, ABOVE = 0.42, 0.95
ROW = 0.185  # of the table to write in
FOUR_FIFTHS = 0.8
LEAST_OVER_M = 0.05  # over a fence, of which a sheet speaks
USUAL = "†"  # common practice, no source
SCALE_WIDE = 2.1  # inches in the head, for the scale
PLACED = ("choke", "reach", "nowhere")  # notes with places of their own


def draw_build(job):
    """Draw the page. job: a Job. Returns the matplotlib figure."""
    low = Page(job.paper)  # what stands below, on the page's foot
    below = low.top - _cautions(low, _trim(low, low.top, job) - 0.05, job)
    low.lower(low.top - below - low.bottom)
    body = Page(job.paper, low.figure)
    ends, room = _columns(body, body.top, job), body.top - HEAD - body.bottom - below
    notes = [note for note in job.notes if note.key not in PLACED]
    spare = room - (body.top - _noted(body, ends, notes, body.top - room + SHORTEST_DRAWING))
    body.lower(HEAD + spare)  # which leaves room for the drawing
    head, plan = Page(job.paper, low.figure), job.plan
    name_page(head, job, plan.title)
    shape = "Inverted vee" if job.hanging.vee else "Sloping wire" if job.hanging.slopes else "Level wire"
    said, watts = f"{shape} {plan.soil}; {plan.wire}", f"; {plan.power_w:g} W, {plan.z0_ohm:g} Ω"
    if inches(said + watts) < head.wide - SCALE_WIDE:  # else they stand below alone
        said += watts
    head.write(head.left, head.top - 0.39, f"{said}.")
    under = head.top - HEAD
    draw_hung(head, job, under - spare, under - max(0.0, spare - TALLEST_DRAWING))
    return low.figure


def name_page(page, job, title):
    """A page's title, and for whom and when."""
    page.write(page.left, page.top - 0.19, title, fontsize=16, fontweight="bold")
    whose = job.name or "____________________"
    page.write(page.right, page.top - 0.19, f"for {whose}  on ______________", ha="right", color=GREY)


def _columns(page, top, job):
    """What stands in two columns, from a height down; returns where each ends."""
    ends = []
    for x, parts in ((page.left, (_cut, _feed, _hang)), (page.second, (_wind, _stands, _keep_off))):
        ends.append(top)
        for part in parts:
            ends[-1] = part(page, x, ends[-1], job) - 0.05
    return ends


def _noted(page, ends, notes, lowest):
    """Notes under the columns, as many as fit; the page to buy by has them all. Returns where all ends."""
    for note in notes:  # the more urgent come first
        column = int(ends[1] > ends[0])
        if ends[column] - LINE * len(set_to(note.words, page.column)) - 0.03 < lowest:
            break
        x = (page.left, page.second)[column]
        ends[column] = page.paragraph(x, ends[column], page.column, note.words) - 0.03
    return min(ends)


# --- the left column


def _cut(page, x, top, job):
    plan, tape = job.plan, job.tape
    y = page.heading(x, top, page.column, "1 Cut")
    rows = [(f"{plan.cuts[0].count} of each", "from eye to eye", "cut")]
    rows += [
        (cut.what.removesuffix(" wire"), tape.cut(cut.length_m), tape.cut(cut.cut_m, 2)) for cut in plan.cuts
    ]
    y = page.table(x, y, (0.45, 1.56, page.column - 2.01), rows) - 0.03
    if plan.within_reach:
        words = (
            f"at {tape.under(plan.ends_m)} the ends, which carry high voltage, are within reach: raise them "
            f"to {tape.keep(LOWEST_END_M)} or more, or fence them off {USUAL}."
        )
        y = page.paragraph(x, y, page.column, words, lead="Caution:") - 0.03
    words = (
        "First wind both traps and measure them (2, 5\u00a0a). Longer than from eye to eye by "
        f"{tape.cut(FOLD_M, 2)} at each end: through the eye of centre piece, trap or insulator, folded back "
        f"and twisted. Trim by moving the fold; cut nothing off before both bands are right {USUAL}. "
        f"{USUAL} is common practice, no source."
    )
    return page.paragraph(x, y, page.column, words)


def _hang(page, x, top, job):
    plan, there, tape = job.plan, job.hanging, job.tape
    y = page.heading(x, top, page.column, "4 Hang")
    (left, right), one = there.ties, there.rope_m[0]
    if there.vee:
        tied = "stake" if there.stakes else "post"
        rows = [
            (f"mast to {tied}, along the ground", tape.place(there.tie_m)),
            ("rope, straight on from the wire's end", tape.place(one)),
        ]
        if not there.stakes:
            rows.append(("tied to the post, up", tape.place(right[1])))
    else:
        rows = [
            ("tied up, one end", tape.place(left[1])),
            ("tied up, other end", tape.place(right[1])),
            ("rope a side, wire's end to support", tape.place(one)),
        ]
    rows.append(("pull", there.pull_words))
    y = page.table(x, y, (1.9, page.column - 1.9), rows) - 0.02
    words = f"Pull: a tenth of what breaks the wire {USUAL}. {there.sag_words(tape)}"
    words += " A post on the rope's way does as well." * there.stakes
    y = page.paragraph(x, y, page.column, words)
    if there.lowest_m < LOWEST_END_M <= plan.ends_m:
        words = f"the wire comes down to {tape.under(there.lowest_m)}, within reach: tie it higher."
        y = page.paragraph(x, y, page.column, words, lead="Caution:")
    return page.paragraph(x, y - 0.02, page.column, direction_words(job.yard))


def _stands(page, x, top, job):
    """What the traps stand, by volts and heat."""
    plan = job.plan
    y = page.heading(x, top, page.column, f"What {plan.power_w:g} W do")

    def row(words, show):
        return (words, *(show(band) for band in plan.bands))

    rows = [
        ("", *(band.label for band in plan.bands)),
        row("each trap", lambda band: f"{band.trap_volts_peak:.0f} V peak, {band.trap_watts:.1f} W"),
    ]
    said = [{one.about: f"{one.mark} {one.short}" for one in band.verdicts} for band in plan.bands]
    # of what is neither a carrier nor SSB a carrier's heat is told, to be safe
    named = {"heat, carrier": f"heat, {plan.sends}"} if plan.sends not in ("carrier", "SSB") else {}
    rows += [(named.get(about, about), *(one.get(about, "") for one in said)) for about in said[0] | said[1]]
    return page.table(x, y, (1.0, 1.22, page.column - 2.22), rows, bold=(0,))


def _shares(page, x, top, plan, long=0.48, thick=0.09):
    """Where the watts go: a bar a band, its parts in the order of the words, soil hatched and traps full."""
    for band in plan.bands:
        page.write(x, top - 0.1, f"watts on {band.name.removesuffix('m')}")
        floor, left = top - 0.11, x + 0.72
        ends = left + long * np.cumsum([0, *band.shares.values()])
        for start, stop, hatch in zip(ends[:-1], ends[1:], ("", "//////", "", ""), strict=True):
            face = BLACK if stop == ends[-1] else "white"
            page.ax.add_patch(
                Rectangle((start, floor), stop - start, thick, fc=face, ec=BLACK, lw=0.5, hatch=hatch)
            )
        page.write(x + page.column, top - 0.1, share_words(band.shares), ha="right")
        top -= LINE
    return top - 0.02


# --- the right column


def _wind(page, x, top, job):
    trap, tape = job.plan.trap, job.tape
    y = page.heading(x, top, page.column, "2 Wind two traps, alike")
    tuned = (
        f"{trap.inductance_uh:.2f} µH with {trap.capacitance_pf:.1f} pF, Q about {trap.q:.0f}: "
        f"{trap.resonance_mhz:.2f} MHz"
    )
    if trap.turns is None:
        return page.paragraph(x, y, page.column, f"{tuned}. As given: measure each by itself.")
    length, pipe = tape.cut(trap.cable_length_m, 2), tape.thick(math.ceil(trap.pipe_mm - 1e-6))
    words = (
        f"Cut for each {length} of {trap.of}, and {pipe} of pipe, {tape.thick(trap.form_diameter_mm)} "
        f"outside. Two holes {tape.thick(round(trap.winding_length_mm, 1))} apart, the "
        f"second where the turns end, let the {'cable' if trap.cable else 'wire'} in, "
        f"{tape.thick(trap.pigtail_mm)} of it free at each end; a "
        f"pair near each end of the pipe bears the wire. Wind {_turns(trap, tape)}"
    )
    y = page.paragraph(x, y, page.column, words) - 0.02
    if trap.joint:
        y = _as_wound(page, x, y, trap, tape) - 0.02
        if trap.hookup == "braid":
            y = page.paragraph(x, y, page.column, OPEN_END)
    else:
        y = page.paragraph(x, y, page.column, f"Across each coil {trap.across_pf:g} pF, at short leads.")
    slips = ", ".join(f"{what} {in_khz(khz)}" for what, khz in trap.sensitivity_khz.items())
    words = f"{tuned}. A little more: {slips}. Good to 2 %: measure each (5\u00a0a), then seal it."
    if trap.joint:
        words = f"Keep the joint short. {words}"
    return page.paragraph(x, y, page.column, words)


def _turns(trap, tape):
    """How many turns to wind, close or by the pitch: whole ones where they do."""
    exact = turns_words(trap.turns, trap.form_diameter_mm, tape)
    close = "close" if trap.cable else f"{trap.winding_length_mm / trap.turns:.1f} mm from turn to turn"
    if abs(trap.whole_turns_mhz / trap.resonance_mhz - 1) > TRAP_WITHIN:
        return f"{exact}, {close} ({trap.whole_turns} would give {trap.whole_turns_mhz:.2f} MHz)."
    if exact == f"{trap.whole_turns} turns":
        return f"{exact}, {close}."
    return f"{exact}, {close}; {trap.whole_turns} will do ({trap.whole_turns_mhz:.2f} MHz)."


def _as_wound(page, x, top, trap, tape):
    """The trap, pipe and turns to scale, and what is soldered to what."""
    ax = page.plot_axes(x, top - TRAP_HIGH, page.column, TRAP_HIGH)
    ax.set_axis_off()
    thick = trap.winding_length_mm / trap.turns
    scaled(ax, pipe_mm=trap.form_diameter_mm + thick, winding_mm=trap.winding_length_mm + thick)
    for part in wound_trap(
        ax, [trap.form_diameter_mm], [trap.turns], cable_mm=thick, called=trap.cable, joined=trap.hookup,
        thick_words=lambda mm: tape.thick(mm).partition(" (")[0],
    ):  # fmt: skip
        part.draw()
    return top - TRAP_HIGH


def _feed(page, x, top, job):
    plan, line, tape = job.plan, job.line, job.tape
    y = page.heading(x, top, page.column, "3 Feed")
    words = choke_for(plan).sentence(plan, tape)
    words += (
        f" Right at the feed: its centre goes to one inner wire, its braid to the other. Lead the line "
        f"straight away from the wire {USUAL}."
    )
    y = page.paragraph(x, y, page.column, words, lead="Choke:") - 0.02
    told = "." if line.told else ", assumed. With another the losses and the list change: plan with yours."
    words = f"{line.cable.called}, {tape.place(line.length_m)}{told}"
    if joined(choke_for(plan), line):
        words += " Plugged to the choke, sealed."
    y = page.paragraph(x, y, page.column, words, lead="Line:") - 0.02
    rows = [("in the shack", *(band.label for band in plan.bands))]
    rows.append(("SWR, best and worst", *(f"{one.swr:.2f}, {one.worst_swr:.1f}" for one in job.shack)))
    rows.append(("the line loses", *(f"{one.loss_db:.1f} to {one.worst_db:.1f} dB" for one in job.shack)))
    watts = (f"{math.floor(plan.power_w * one.sky_share)} W" for one in job.shack)
    rows.append((f"at best to the sky, of {plan.power_w:g} W", *watts))
    rows.append(("SWR measured there", "______", "______"))
    y = page.table(x, y, (1.45, 1.0, page.column - 2.45), rows, bold=(0,)) - 0.03
    return _shares(page, x, y, plan)


def _keep_off(page, x, top, job):
    plan, tape = job.plan, job.tape
    y = page.heading(x, top, page.column, "Keep off (dotted, to scale)")

    def kept(plan, may=""):
        """How far others stay, below which height they may be, and what of it is over a fence, in words."""
        clear, over = job.hanging.clear_below_m(plan), over_fence_m(plan, job.yard)
        return (
            tape.keep(keep_away_m(plan)),
            f"below {tape.under(clear)}{may}" if clear >= HEAD_M else "nobody stands under it",
            tape.keep(over) if over > LEAST_OVER_M else "",
        )

    others, under, over = kept(plan, " all may be, no hand near an end")
    you = tape.keep(max(band.keep_away_you_m for band in plan.bands))
    words = (
        f"Others keep {others} off wire and traps, you {you}; {under}. {plan.power_w:g} W, {plan.sends}, no "
        "pause. Arrows: where it sends."
    )
    if over:
        words += f" It reaches {over} over a fence: nobody up there, on a wall or a ladder."
    if MODES[plan.sends] < 1:
        others, under, over = kept(plan.with_a_carrier)
        words += f" If you ever send a carrier (FT8, FM), others keep {others}; {under}"
        words += f"; {over} over a fence." if over else "."
    ends = [draw_from_above(page, job, x, y, ABOVE)]
    beside = x + ABOVE + 0.1
    ends.append(page.paragraph(beside, y, page.column - ABOVE - 0.1, words))
    ends.append(draw_from_the_side(page, job, beside, ends[1], page.column - ABOVE - 0.1, MAP_HIGH) - 0.03)
    return min(ends)


# --- over both columns


def _trim(page, top, job):
    plan, tape = job.plan, job.tape
    y = page.heading(page.left, top, page.wide, "5 Trim")
    low, high = (band.label for band in plan.bands)
    moved = {key: plan.tolerance_khz[key][::-1] for key in ("inner", "outer", "trap", "height")}
    inch = 100 * INCH_M
    rows = [("kHz that it moves", high, low)]
    units = [("cm", 1), ("in", inch)][:: 1 if tape.first == "metres" else -1]
    for key in ("inner", "outer"):
        first, other = ([_whole(share * khz) for khz in moved[key]] for _, share in units)
        shifts = (f"{one} ({two})" for one, two in zip(first, other, strict=True))
        rows.append((f"{key} 1 {units[0][0]} (1 {units[1][0]}) longer a leg", *shifts))
    rows += [
        (words, *map(_whole, moved[key]))
        for words, key in (("traps 1 % high", "trap"), ("hung a tenth higher", "height"))
    ]
    left = 3.25
    example = FOUR_FIFTHS * 100 / abs(moved["inner"][0]) / 100
    sixteenths = math.floor(16 * example / INCH_M) / 16
    fold = tape.both(f"{math.floor(1000 * example) / 10:.1f} cm", feet_sixteenths(sixteenths * INCH_M))
    dips = " and ".join(band.label for band in plan.bands if band.is_unserved)
    steps = (
        f"Each trap alone {plan.trap.resonance_mhz:.2f} MHz within {100 * TRAP_WITHIN:g} %: "
        f"{_measured(job.traps_mhz)}",
        f"{high} by the inner wires, then {low} by the outer ones, then again. Both legs alike."
        + f" {dips}: by analyzer alone; at the dip you may not send." * bool(dips),
        f"Fold back four fifths of what seems right, the wire's joint with it; measure again. So, 100 kHz "
        f"too low on {high}: {fold} of each inner wire. Too high: let the fold out.",
    )
    under = y
    for number, words in enumerate(steps, 1):
        lead = "abc"[number - 1]
        under = page.paragraph(page.left, under, left, words, lead=lead, indent=0.14) - 0.01
    under = page.table(page.left, under - 0.02, (1.85, 0.7, left - 2.55), rows, bold=(0,))
    return min(under, _to_write_in(page, page.left + left + 0.15, y, job, y - under))


def _measured(traps_mhz):
    """Both traps' frequencies, or room for them."""
    if not traps_mhz:
        return "______, ______"
    return "measured " + ", ".join(f"{one:.2f}" for one in traps_mhz)


def _whole(khz):
    return f"{round(khz):+d}" if round(khz) else "0"


def _short(tape, *lengths_m):
    """Lengths in the first unit alone, by its marks."""
    for length_m in lengths_m:
        yield tape.cut(length_m).partition(" (")[0].replace(" ft", "′").replace(" in", "″")


def _in_two(words):
    """How wide words are in two lines at most, inches."""
    words = words.split()
    parted = ((" ".join(words[:i]), " ".join(words[i:])) for i in range(1, len(words) + 1))
    return min(max(map(inches, lines)) for lines in parted)


def _to_write_in(page, x, y, job, high):
    """What was measured, a row each time, under what is planned."""
    plan, tape = job.plan, job.tape
    known = [["planned", *_short(tape, plan.inner_m, plan.outer_m), *plan.trim_rows[0][3:]]]
    if job.now_m and np.abs(np.subtract(job.now_m, (plan.inner_m, plan.outer_m))).max() > 1e-3:
        known.append(["now", *_short(tape, *job.now_m), *[""] * 4])
    headings = ("date", *plan.trim_headings[1:])
    columns = zip(headings, *known, strict=True)
    longest = [max(_in_two(heading), *map(inches, cells)) for heading, *cells in columns]
    widths = np.array(longest) + (page.right - x - sum(longest)) / len(longest)
    edges = x + np.r_[0, np.cumsum(widths)]
    floor = y - 0.29
    for edge, width, words in zip(edges[:-1], widths, headings, strict=True):
        for i, line in enumerate(set_to(words, width - 0.02)):
            page.write(edge + width / 2, y - 0.1 - i * 0.12, line, ha="center")
    page.line([x, page.right], [floor, floor], linewidth=0.8)
    blank = max(2, int((high - 0.29) / ROW) - len(known))
    for i, cells in enumerate([*known, *[[""] * 7] * blank]):
        base = floor - ROW * (i + 1)
        page.line([x, page.right], [base, base], linewidth=0.5, color=GREY)
        for edge, width, words in zip(edges[:-1], widths, cells, strict=True):
            page.write(edge + width / 2, base + 0.055, words, ha="center") if words else None
    for edge in edges[1:-1]:
        page.line([edge, edge], [base, floor], linewidth=0.5, color=GREY, label="column")
    return base


def _cautions(page, top, job):
    """The cautions in two columns, and beside their heading who has the last word."""
    y = page.heading(page.left, top, page.wide, "Cautions")
    cautions = job.plan.cautions
    said = [(name.capitalize() + ":", words) for name, words in cautions.items() if name != LAST_WORD]
    page.paragraph(
        page.left + 0.8, y + 0.16, page.wide - 0.8, cautions[LAST_WORD], lead=LAST_WORD.capitalize() + ":"
    )
    long = [len(set_to(words, page.column, inches(lead + " ", bold=True))) for lead, words in said]
    half = min(range(len(said)), key=lambda i: max(sum(long[:i]), sum(long[i:])))
    ends = []
    for x, part in ((page.left, said[:half]), (page.second, said[half:])):
        ends.append(y)
        for lead, words in part:
            ends[-1] = page.paragraph(x, ends[-1], page.column, words, lead=lead) - 0.015
    return min(ends)
