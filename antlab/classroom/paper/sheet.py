"""The build sheet: a Plan on one page of paper, A4, that Letter holds as well.

Everything is placed in inches from the lower left corner of the page.
"""

import io
import re
from functools import lru_cache

import matplotlib as mpl
import numpy as np
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties
from matplotlib.patches import Rectangle
from matplotlib.textpath import text_to_path
from matplotlib.ticker import MaxNLocator

from antlab import files
from antlab.antenna.plan import HEAD_M, TOO_HIGH, both_units, share_words
from antlab.antenna.safety import LAST_WORD
from antlab.classroom.drawing.keep_off import zone
from antlab.classroom.drawing.looks import BLACK, BLUE, EARTH, GREY, STYLE
from antlab.classroom.drawing.parts import FIRST, SECOND, Pen
from antlab.classroom.drawing.signs import wire
from antlab.classroom.drawing.two_bands import mark_band
from antlab.classroom.drawing.wound_trap import scaled, wound_trap
from antlab.physics.sky import hop_km
from antlab.units import feet

WIDE, HIGH = 8.27, 11.69  # A4
LEFT, RIGHT, TOP, BOTTOM = 0.5, 7.77, 11.18, 0.51  # Letter is 0.69 inches shorter
GAP = 0.2  # between the two columns
COLUMN = (RIGHT - LEFT - GAP) / 2
SECOND_LEFT = LEFT + COLUMN + GAP
SIZE, LINE = 8.0, 0.125  # type, points; line to line, inches
STYLE_OF_PAPER = STYLE | {
    "font.size": SIZE,
    "lines.linewidth": 1.7,
    "grid.linewidth": 0.5,
    "axes.linewidth": 0.7,
    "xtick.labelsize": SIZE,
    "ytick.labelsize": SIZE,
    "pdf.fonttype": 42,
    "svg.hashsalt": "antlab",
}
HEAD, SHORTEST_DRAWING = 0.46, 1.15
TRAP_HIGH = 1.06  # of the trap as it is wound
LOW_ANGLE = 20
BEYOND = 0.12  # of a band's width, drawn to either side of it
PLACED = ("choke", "reach")  # notes with places of their own: in the drawing, and before all else


def build_sheet(plan):
    """Draw the build sheet. plan: a Plan. Returns the matplotlib figure, one A4 page."""
    notes = [note for note in plan.notes if note.key not in PLACED]
    with mpl.rc_context(STYLE_OF_PAPER):
        fewest = _filled(plan, [])[1]
        for count in range(len(notes), -1, -1):  # the more urgent come first; Plan.text() has them all
            body, spare = _filled(plan, notes[:count])
            if spare >= min(SHORTEST_DRAWING, fewest):
                break
        body.lower(spare)  # which makes room for the drawing
        figure, under_head = body.ax.figure, TOP - HEAD
        head = _Page(figure)
        _name(head, TOP, plan)
        _draw_antenna(head, plan, under_head - spare, under_head)
        return figure


def _filled(plan, notes):
    """A page with all that stands under the drawing, and the height that it leaves for the drawing."""
    body = _Page(Figure(figsize=(WIDE, HIGH)))
    return body, _fill(body, TOP - HEAD, plan, notes) - BOTTOM


def write_sheet(plan, path, *, force=False):
    """Draw the build sheet and write it to a Path; the same plan gives the same file.

    force: whether over a file that exists. Raises OSError.
    """
    dates = {".pdf": {"CreationDate": None}, ".svg": {"Date": None}, ".png": {"Software": None}}
    kind, drawn = path.suffix.lower(), io.BytesIO()
    with mpl.rc_context(STYLE_OF_PAPER):
        build_sheet(plan).savefig(drawn, format=kind[1:], dpi=200, metadata=dates[kind])
    files.write(path, drawn.getvalue(), force=force)


class _Page:
    """A page to write on, in inches."""

    def __init__(self, figure):
        self.ax = figure.add_axes((0, 0, 1, 1), xlim=(0, WIDE), ylim=(0, HIGH))
        self.ax.set_axis_off()
        self.plots = []

    def plot_axes(self, x, y, wide, high):
        """Axes at a place on the page."""
        place = np.array((x, y, wide, high)) / (WIDE, HIGH, WIDE, HIGH)
        self.plots.append(self.ax.figure.add_axes(place))
        return self.plots[-1]

    def lower(self, by):
        """Move all that is on the page down."""
        self.ax.set_ylim(by, HIGH + by)
        for plot in self.plots:
            x, y, wide, high = plot.get_position().bounds
            plot.set_position((x, y - by / HIGH, wide, high))

    def write(self, x, y, words, **looks):
        return self.ax.text(x, y, words, **{"color": BLACK, "fontsize": SIZE, **looks})

    def line(self, x, y, **looks):
        self.ax.plot(x, y, **{"color": BLACK, "linewidth": 0.8, "solid_capstyle": "butt", **looks})

    def heading(self, x, top, width, words):
        """A heading under a rule; returns where to go on."""
        self.line([x, x + width], [top, top], color=GREY, linewidth=0.7)
        self.write(x, top - 0.155, words, fontsize=9, fontweight="bold")
        return top - 0.215

    def paragraph(self, x, top, width, words, lead="", indent=0.0):
        """Words set to a width, behind a bold lead; returns where to go on."""
        start = _inches(lead + " ", bold=True) if lead else 0.0
        if lead:
            self.write(x, top - 0.1, lead, fontweight="bold")
        for i, line in enumerate(_set(_tidy(words), width, start, indent)):
            self.write(x + (indent if i else start), top - 0.1 - i * LINE, line)
        return top - (i + 1) * LINE

    def table(self, x, top, widths, rows, bold=(), line=LINE):
        """Rows of cells, the first column to the left and the others to the right; returns where to go on."""
        for i, row in enumerate(rows):
            edge = x
            for j, (cell, width) in enumerate(zip(row, widths, strict=True)):
                edge += width
                place, side = (edge, "right") if j else (x, "left")
                weight = "bold" if i in bold else "normal"
                self.write(place, top - 0.1 - i * line, _tidy(cell), ha=side, fontweight=weight)
        return top - len(rows) * line


@lru_cache(maxsize=4096)
def _inches(words, *, bold=False):
    font = FontProperties(family="DejaVu Sans", size=SIZE, weight="bold" if bold else "normal")
    return text_to_path.get_text_width_height_descent(words, font, False)[0] / 72


def _tidy(words):
    """Print's minus for the keyboard's, and a number kept with its unit."""
    words = re.sub(r"(?<![\w-])-(?=\d)", "−", words)
    return re.sub(r"(?<=\d) (?=(?:mm|cm|m|ft|in|kHz|MHz|pF|µH|W|V|ohm|turns|%)(?!\w))", "\u00a0", words)


def _set(words, width, start=0.0, indent=0.0):
    """Break words into lines of a width in inches, the first shorter by start, the others by indent."""
    lines, room = [[]], width - start
    for word in words.split(" "):
        if lines[-1] and _inches(" ".join([*lines[-1], word])) > room:
            lines.append([])
            room = width - indent
        lines[-1].append(word)
    return [" ".join(line) for line in lines]


def _fill(page, y, plan, notes):
    """All that stands under the drawing, from y down; returns where it ends."""
    y = _to_make(page, y, plan, notes) - 0.05
    y = _curves(page, y, plan) - 0.05
    y = min(_bands(page, LEFT, y, plan), _heights(page, SECOND_LEFT, y, plan)) - 0.06
    y = _trimming(page, y, plan) - 0.06
    return _cautions(page, y, plan)


def _name(page, top, plan):
    page.write(LEFT, top - 0.19, plan.title, fontsize=16, fontweight="bold")
    page.write(RIGHT, top - 0.19, "for ____________________  on ______________", ha="right", color=GREY)
    shape = "Level wire" if plan.ends_m == plan.top_m else "Inverted vee"
    wire = f"{plan.wire}, {plan.power_w:g} W on a {plan.z0_ohm:g} ohm line."
    page.write(LEFT, top - 0.4, f"{shape} {plan.soil}, {wire}")


def _to_make(page, top, plan, notes):
    """Cut list and trap recipe side by side, and the notes under whichever is shorter."""
    rows = [("", "from eye to eye", "cut")]
    for cut in plan.cuts:
        rows.append((f"{cut.count} × {cut.what}", both_units(cut.length_m, 3), both_units(cut.cut_m)))
    ends = {x: page.heading(x, top, COLUMN, words) for x, words in ((LEFT, "Cut"), (SECOND_LEFT, "Traps"))}
    ends[LEFT] = page.table(LEFT, ends[LEFT], (0.7, 1.5, COLUMN - 2.2), rows) - 0.04
    for note in plan.notes:
        if note.key == "reach":  # before all else, and whatever room there is
            ends[LEFT] = page.paragraph(LEFT, ends[LEFT], COLUMN, note.words, lead="Caution:") - 0.03
    said = [(LEFT, plan.fold_note), *((SECOND_LEFT, words) for words in plan.trap.sentences)]
    if plan.trap.joint:
        said[-1] = (None, said[-1][1])
    said += [(None, note.words) for note in notes]
    for x, words in said:
        x = x or max(ends, key=ends.get)
        if words == plan.trap.joint:
            ends[x] = _as_wound(page, x, ends[x], plan.trap)
        else:
            lead = "Traps:" if x == LEFT and words in plan.trap.sentences else ""
            ends[x] = page.paragraph(x, ends[x], COLUMN, words, lead=lead) - 0.03
    return min(ends.values())


def _as_wound(page, x, top, trap):
    """The trap, pipe and turns to scale, and what is soldered to what."""
    ax = page.plot_axes(x, top - TRAP_HIGH, COLUMN, TRAP_HIGH)
    ax.set_axis_off()
    thick = trap.winding_length_mm / trap.turns
    scaled(ax, pipe_mm=trap.form_diameter_mm + thick, winding_mm=trap.winding_length_mm + thick)
    for part in wound_trap(
        ax, [trap.form_diameter_mm], [trap.turns], cable_mm=thick, called=trap.cable, joined=trap.hookup
    ):
        part.draw()
    return top - TRAP_HIGH - 0.03


def _curves(page, top, plan, high=0.56):
    """SWR over both bands, each shaded, with what the licence has and what the antenna is not made for."""
    for x, band, pen in zip((LEFT, SECOND_LEFT), plan.bands, (FIRST, SECOND), strict=True):
        y = page.heading(x, top, COLUMN, f"SWR on {band.label}, {plan.z0_ohm:g} Ω line") - 0.2
        ax = page.plot_axes(x + 0.15, y - high, COLUMN - 0.15, high)
        f, swr = np.array(band.curve_mhz), np.array(band.curve_swr)
        low, high_mhz = band.edges_mhz
        beyond = BEYOND * (high_mhz - low)  # twice that around the resonance, which has words to it
        first = min(low - beyond, band.f_mhz - 2 * beyond)
        last = max(high_mhz + beyond, band.f_mhz + 2 * beyond)
        top_swr = max(5, int(band.swr) + 2)
        ax.set(xlim=(first, last), ylim=(0.8, top_swr), yticks=range(1, top_swr + 1))
        ax.axvspan(low, high_mhz, color=EARTH, alpha=0.6, linewidth=0, zorder=0)
        mark_band(ax, band.edges_mhz, band.allowed_mhz, band.wanted_mhz)
        ax.plot(f, swr, color=pen.color, linestyle=(0, pen.dashes) if pen.dashes else "solid")
        ax.plot(band.f_mhz, band.swr, "o", color=BLACK, markersize=4.5)
        free = 3.5 if band.swr < 2.5 else 1.5  # where the curve is not
        ax.plot([band.f_mhz] * 2, [band.swr, free], color=BLACK, linewidth=0.6)
        ax.text(
            band.f_mhz, free, f" {band.f_mhz:.3f} MHz ", ha="center",
            va="bottom" if free > band.swr else "top",
        )  # fmt: skip
        ticks = MaxNLocator(nbins=7, steps=[1, 2, 5, 10]).tick_values(first, last)
        near = 0.03 * (last - first)  # so that no number leaves the page
        ax.set_xticks(ticks[(ticks > first + near) & (ticks < last - near)])
        ax.tick_params(length=2, pad=2)
    return y - high - 0.16


def _bands(page, x, top, plan):
    y = page.heading(x, top, COLUMN, "What to expect")

    def row(words, show):
        return (words, *(show(band) for band in plan.bands))

    def span(pair):
        return "nowhere" if pair is None else f"{pair[0]:.3f}–{pair[1]:.3f} MHz"

    def away(metres):
        return f"{np.ceil(10 * metres) / 10:.1f} m, {np.ceil(feet(metres)):.0f} ft"

    rows = [
        ("", *(band.label for band in plan.bands)),
        row("at resonance", lambda band: f"{band.resistance_ohm:.0f} Ω, SWR {band.swr:.2f}"),
        row("made for", lambda band: span(band.wanted_mhz)),
        row(
            "SWR there", lambda band: f"up to {band.worst_swr:.1f}" + ": tuner" * (band.worst_swr > TOO_HIGH)
        ),
        row("under 2:1", lambda band: span(band.span_2)),
        row("each trap", lambda band: f"{band.trap_volts_peak:.0f} V peak, {band.trap_watts:.1f} W"),
    ]
    said = [{one.about: f"{one.mark} {one.short}" for one in band.verdicts} for band in plan.bands]
    rows += [(about, *(one.get(about, "") for one in said)) for about in said[0] | said[1]]
    rows += [
        row("keep others off", lambda band: away(band.keep_away_m)),
        row("keep yourself off", lambda band: away(band.keep_away_you_m)),
    ]
    y = page.table(x, y, (1.0, 1.2, COLUMN - 2.2), rows, bold=(0,), line=0.122) - 0.03
    return _shares(page, x, y, plan)


def _keep_off(page, x, top, plan, wide=1.3, high=0.34):
    """A map of the yard from the side, true to scale: what others keep off, and where they need not."""
    away = max(band.keep_away_m for band in plan.bands)
    clear = np.floor(10 * min(band.clear_below_m for band in plan.bands)) / 10
    half = plan.width_m / 2
    scale = min(wide / 2 / (half + away), high / (plan.top_m + away))
    middle, ground = x + wide / 2, top - high - 0.04
    for side in (-1, 1):
        legs = np.array([(0, plan.top_m), (side * half, plan.ends_m)]) * scale + (middle, ground)
        page.line(*legs.T, color=BLUE, linewidth=1.0)
    across, up = zone((0, plan.top_m), (half, plan.ends_m), away, above=clear)
    look = {"fc": "0.92", "ec": GREY, "lw": 0.7, "ls": ":", "zorder": 0}
    page.ax.fill(across * scale + middle, up * scale + ground, **look)
    page.line([x, x + wide], [ground] * 2, linewidth=1)
    page.line([middle + 0.04] * 2, [ground, ground + HEAD_M * scale], color=BLACK, linewidth=1.5)
    if clear < HEAD_M:
        said = "nobody stands under it"
    else:
        said = f"up to {clear:.1f} m ({np.floor(feet(clear)):.0f} ft) all may be anywhere"
    words = f"Dotted, to scale: others keep off; {said}. {plan.power_w:g} W, {plan.sends}, no pause."
    return min(page.paragraph(x + wide + 0.12, top, COLUMN - wide - 0.12, words), ground - 0.03)


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
        page.write(x + COLUMN, top - 0.1, share_words(band.shares), ha="right")
        top -= LINE
    return top - 0.03


def _heights(page, x, top, plan):
    y = page.heading(x, top, COLUMN, "Height")
    at = plan.angles_deg.index(LOW_ANGLE)
    names = tuple(band.name.removesuffix("m") for band in plan.bands)
    rows, own = [("band, metres", *names * 3)], []
    for both in zip(plan.heights[::2], plan.heights[1::2], strict=True):
        up = both[0].height_m
        if abs(up - plan.top_m) < 1e-6:
            own.append(len(rows))
        rows.append((
            f"{up:.2f} m, {float(feet(up)):.1f} ft", *(f"{row.takeoff_deg:.0f}°" for row in both),
            *(f"{row.gains_dbi[at]:z.1f}" for row in both), *(f"{row.swr:.1f}" for row in both),
        ))  # fmt: skip
    first, other = 1.02, (COLUMN - 1.02) / 6
    page.write(x, y - 0.1, "hung at", fontweight="bold")
    for i, words in enumerate(("strongest", f"dBi at {LOW_ANGLE}°", "SWR")):
        right = x + first + other * 2 * (i + 1)
        page.write(right, y - 0.1, words, ha="right", fontweight="bold")
        page.line([right - 2 * other + 0.1, right], [y - 0.125, y - 0.125], linewidth=0.5, color=GREY)
    y = page.table(x, y - LINE - 0.02, (first, *(other,) * 6), rows, bold=(0, *own)) - 0.03
    words = (
        f"Strongest: degrees up, broadside. {LOW_ANGLE}° lands about "
        f"{round(float(hop_km(LOW_ANGLE)), -2):.0f} km off, steeper nearer, if the sky returns it. "
        "Bold: your height."
    )
    return _keep_off(page, x, page.paragraph(x, y, COLUMN, words) - 0.04, plan)


def _trimming(page, top, plan, row=0.19):
    left = 3.4
    y = page.heading(LEFT, top, RIGHT - LEFT, "Trim")
    steps = y
    for number, words in enumerate(plan.trim_steps, 1):
        steps = page.paragraph(LEFT, steps, left, words, lead=f"{number}", indent=0.14) - 0.02
    x, widths = LEFT + left + 0.15, (0.72, 0.62, 0.62, 0.8, 0.36, 0.8, 0.36)
    widths = np.array(widths) * (RIGHT - LEFT - left - 0.15) / sum(widths)
    edges = x + np.r_[0, np.cumsum(widths)]
    floor = y - 0.29 - row * len(plan.trim_rows)
    for edge, width, words in zip(edges, widths, plan.trim_headings, strict=False):
        for i, line in enumerate(_set(words, width - 0.06)):
            page.write(edge + width / 2, y - 0.1 - i * 0.12, line, ha="center")
    for i, cells in enumerate(plan.trim_rows):
        base = y - 0.29 - row * (i + 1)
        page.line([x, RIGHT], [base, base], linewidth=0.5, color=GREY)
        for edge, width, words in zip(edges, widths, cells, strict=False):
            page.write(edge + width / 2, base + 0.06, words, ha="center")
    page.line([x, RIGHT], [y - 0.29, y - 0.29], linewidth=0.8)
    for edge in edges[1:-1]:
        page.line([edge, edge], [floor, y - 0.29], linewidth=0.5, color=GREY)
    return min(steps, floor)


def _cautions(page, top, plan):
    """The cautions in two columns, and beside their heading who has the last word."""
    y = page.heading(LEFT, top, RIGHT - LEFT, "Cautions")
    said = [(name.capitalize() + ":", words) for name, words in plan.cautions.items() if name != LAST_WORD]
    last = plan.cautions[LAST_WORD]
    page.paragraph(LEFT + 0.8, y + 0.16, RIGHT - LEFT - 0.8, last, lead=LAST_WORD.capitalize() + ":")
    long = [len(_set(words, COLUMN, _inches(lead + " ", bold=True))) for lead, words in said]
    half = min(range(len(said)), key=lambda i: max(sum(long[:i]), sum(long[i:])))
    ends = []
    for x, part in ((LEFT, said[:half]), (SECOND_LEFT, said[half:])):
        ends.append(y)
        for lead, words in part:
            ends[-1] = page.paragraph(x, ends[-1], COLUMN, words, lead=lead) - 0.02
    return min(ends)


def _draw_antenna(page, plan, bottom, top):
    """The wire between its supports, to scale; poles too tall for the page are cut by a break."""
    ground = bottom + (0.45 if plan.span_m else 0.28)
    span = plan.span_m or plan.width_m + max(1.5, 0.06 * plan.width_m)
    drop = plan.top_m - plan.ends_m
    room = top - (0.33 if drop else 0.42) - ground
    scale = min((RIGHT - LEFT - 0.2) / span, (room - 0.2) / drop if drop else np.inf)  # inches a metre
    tall = min(plan.top_m * scale, room)
    broken = plan.top_m * scale > tall + 1e-9
    middle, foot, half = (LEFT + RIGHT) / 2, plan.width_m / 2 * scale, span / 2 * scale
    feed, end = np.array((middle, ground + tall)), ground + tall - drop * scale
    share = plan.inner_m / (plan.inner_m + plan.outer_m)
    page.ax.fill_between([LEFT, RIGHT], ground, ground - 0.05, color=EARTH, linewidth=0)
    page.line([LEFT, RIGHT], [ground] * 2, linewidth=1)
    if drop:
        _pole(page, middle, ground, feed[1], end, broken)
    else:
        page.line([middle] * 2, [ground, feed[1]], color=GREY, linestyle=(0, (4, 2)))
    for side in (-1, 1):
        wire_end = np.array((middle + side * foot, end))
        trap = feed + share * (wire_end - feed)
        _pole(page, middle + side * half, ground, end, end, broken)
        page.line([wire_end[0], middle + side * half], [end, end], linestyle=(0, (2, 1.5)))
        page.ax.plot(*wire_end, "o", color="white", markeredgecolor=BLACK, markersize=3.5, zorder=6)
        if side < 0:
            _dimension(page, feed, trap, f"inner wire, feed to trap, {both_units(plan.inner_m)}", side)
        else:
            _dimension(page, trap, wire_end, f"outer wire, trap to end, {both_units(plan.outer_m)}", side)
    for part in wire(page.ax, feed, wire_end, trap_at=share, pen=Pen(BLUE, width=1.3), size=1.5):
        part.draw()
    beside = (0.08, 0.1, "left") if drop else (-0.08, -0.19, "right")
    page.write(middle + beside[0], feed[1] + beside[1], "feed point, choke and line", ha=beside[2])
    up = (f"ends {both_units(plan.ends_m)} up", f"apex {both_units(plan.top_m)} up")
    if not drop:
        page.write(middle - half + 0.08, ground + 0.07, both_units(plan.top_m) + " up")
    elif max(map(_inches, up)) + 0.25 < half:  # beside its pole if there is room, else outside
        page.write(middle - half + 0.08, ground + 0.07, up[0])
        page.write(middle + 0.08, ground + 0.07, up[1])
    else:
        page.write(middle - half - 0.12, ground + 0.07, up[0], ha="right")
        page.write(middle + half + 0.12, ground + 0.07, up[1])
    _level(page, middle - foot, middle + foot, ground - 0.17, f"end to end {both_units(plan.width_m)}")
    if plan.span_m:
        words = f"supports {both_units(plan.span_m)} apart"
        _level(page, middle - half, middle + half, ground - 0.34, words)
    long, right = next(n for n in (10, 5, 2, 1) if n * scale < 1.0), RIGHT - 0.25
    up = ground + (0.21 if drop else 0.07)
    page.line([right - long * scale, right], [up + 0.03] * 2, linewidth=2)
    words = f"{long} m to scale" + (", poles shortened" if broken else "")
    page.write(right - long * scale - 0.08, up, words, ha="right", color=GREY)


def _pole(page, x, ground, up, lowest, broken):
    page.line([x, x], [ground, up], color=GREY, linewidth=2.5)
    if broken:
        y = (ground + lowest) / 2
        page.line([x, x], [y - 0.02, y + 0.02], color="white", linewidth=4, zorder=4)
        zig = np.array([-0.06, -0.02, 0.02, 0.06]), np.array([-0.015, 0.015, -0.015, 0.015])
        for shift in (-0.022, 0.022):
            page.line(x + zig[0], y + shift + zig[1], zorder=5)


def _arrow(page, start, stop):
    ends = {"arrowstyle": "<->", "lw": 0.7, "shrinkA": 0, "shrinkB": 0, "mutation_scale": 8}
    page.ax.annotate("", start, stop, arrowprops=ends)


def _level(page, left, right, y, words):
    """A level dimension with its words in the middle of it, or beside it where it is short."""
    _arrow(page, (left, y), (right, y))
    if right - left > _inches(words) + 0.4:
        look = {"ha": "center", "bbox": {"fc": "white", "ec": "none", "pad": 1.5}}
        page.write((left + right) / 2, y, words, va="center", **look)
    else:
        page.write(right + 0.08, y, words, va="center")


def _dimension(page, start, stop, words, side, off=0.13):
    """A dimension beside a stretch of wire, on its upper side, with its words outside."""
    along = (stop - start) / np.hypot(*(stop - start))
    out = np.array((-along[1], along[0])) * side
    out *= np.sign(out[1])
    _arrow(page, start + out * off, stop + out * off)
    for place in (start, stop):
        page.line(*np.transpose([place + out * 0.05, place + out * (off + 0.04)]), linewidth=0.6)
    x, y = (start + stop) / 2 + out * (off + 0.05)
    if abs(along[1]) < 0.05:
        wide, middle = _inches(words) / 2, (LEFT + RIGHT) / 2
        edges = (LEFT, middle - 0.06) if side < 0 else (middle + 0.06, RIGHT)  # each leg keeps to its half
        page.write(min(max(x, edges[0] + wide), edges[1] - wide), y, words, ha="center")
    else:
        x = min(max(x, LEFT + _inches(words)), RIGHT) if side < 0 else min(x, RIGHT - _inches(words))
        page.write(x, y, words, ha="right" if side < 0 else "left")
