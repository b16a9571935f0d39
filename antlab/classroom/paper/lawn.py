"""The page for the lawn: one antenna on a phone without a network, from the cautions to the log.

What it reckons with is made by antenna/lawn.py; its words and scripts stand in templates/lawn.html, lawn.js,
reckoning.js and qr.js.
"""

import html
import io
import json
import os
import re
from pathlib import Path

import matplotlib as mpl
import numpy as np
from matplotlib.figure import Figure

from antlab import files
from antlab.antenna.lawn import taken_along
from antlab.antenna.plan import FOLD_M, HEAD_M
from antlab.antenna.safety import LAST_WORD, MODES
from antlab.antenna.tape import Tape
from antlab.classroom.drawing.looks import PHONE
from antlab.classroom.drawing.wound_trap import scaled, wound_trap
from antlab.classroom.paper import pages
from antlab.classroom.paper.sheet.job import Job
from antlab.classroom.paper.sheet.maps import direction_words, keep_away_m
from antlab.physics.trap import CoaxTrap
from antlab.trouble import typed

TEMPLATES = Path(__file__).with_name("templates")
WIDE, TALLEST, MARGIN = 360, 250, 16  # of the drawing, in pixels of a phone


def lawn_page(antenna, taken=None, first="metres"):
    """One antenna as a page of HTML for the phone.

    antenna: an Antenna. taken: what its reckoning gets, taken_along(antenna) when left out. first: metres or
    feet, until the phone's owner chooses. Raises Slip as its plan does, and for another first.
    """
    plan, there = antenna.plan, Job.of(antenna).hanging
    script = "\n".join(_template(name) for name in ("reckoning.js", "qr.js", "lawn.js"))
    taken = json.dumps(taken or taken_along(antenna), allow_nan=False).replace("<", "\\u003c")
    return _template("lawn.html").format(
        mark=pages.OURS, units={"metres": "m", "feet": "ft"}[Tape(first=first).first],
        title=html.escape(f"{antenna.name}: {plan.title}"), name=html.escape(antenna.name),
        file=html.escape(typed(f"{antenna.name}.json")),
        what=html.escape(plan.title), css=_template("lawn.css"),
        cautions=_cautions(plan, there), cut=_cut(plan),
        traps=_traps(plan.trap),
        trap_mhz=f"{plan.trap.resonance_mhz:.2f}",
        hangs=_hangs(antenna, plan, there), wound=_wound(antenna),
        low=html.escape(plan.low.label), high=html.escape(plan.high.label),
        low_aim=f"{antenna.planned_mhz[0]:.4g}", high_aim=f"{antenna.planned_mhz[1]:.4g}",
        script=f"{script}\nlawnPage({taken});",
    )  # fmt: skip


def write_lawn_page(antenna, folder, first="metres"):
    """Write an antenna's page into a folder, which is made if need be; return its path. first: as lawn_page.

    Raises Slip as lawn_page does, OSError, and FileExistsError if a file in the way is none of our pages.
    """
    path = Path(folder) / f"{name_of(antenna)}.html"
    if os.path.lexists(path) and not pages.is_ours(path):
        raise FileExistsError(f"{path} is not one of antlab's pages: choose another folder with --folder")
    text = lawn_page(antenna, first=first)
    path.parent.mkdir(parents=True, exist_ok=True)
    files.write(path, text.encode())
    return path


def name_of(antenna):
    """What the page of an antenna is called, in letters that stand in any address."""
    return "antenna-" + re.sub(r"[^A-Za-z0-9_-]+", "-", antenna.name)


def _template(name):
    return (TEMPLATES / name).read_text(encoding="utf-8")


def _cautions(plan, there):
    said = [(name, words) for name, words in plan.cautions.items() if name != LAST_WORD]
    items = [f"<li><strong>{html.escape(n.capitalize())}:</strong> {html.escape(w)}</li>" for n, w in said]
    for band in plan.bands:
        others, you = (TAPE.keep(far) for far in (band.keep_away_m, band.keep_away_you_m))
        items.append(
            f"<li><strong>{html.escape(band.label)}:</strong> while you send, keep others {others} and "
            f"yourself {you} from wire and traps.</li>"
        )
    clear, words = there.clear_below_m(plan), "nobody stands under it while you send"
    if clear >= HEAD_M:
        words = f"below {TAPE.under(clear)} above the ground all may be, no hand near an end, while you send"
    sends = f"{plan.power_w:g} W, {html.escape(plan.sends)}, no pause"
    items.append(f"<li><strong>As the wire sags:</strong> {words}. All this is for {sends}.</li>")
    if MODES[plan.sends] < 1:
        carrier = plan.with_a_carrier
        far, clear = keep_away_m(carrier), there.clear_below_m(carrier)
        under = f"stay below {TAPE.under(clear)}" if clear >= HEAD_M else "nobody stands under it"
        items.append(
            f"<li><strong>If you send a carrier (FT8, FM):</strong> others keep {TAPE.keep(far)}, and "
            f"{under}.</li>"
        )
    last = f'<p class="last">{html.escape(plan.cautions[LAST_WORD])}</p>'
    return "<ul>\n" + "\n".join(items) + f"\n</ul>\n{last}"


class _Shown(Tape):
    """Lengths in metres and in feet, of which the page shows one."""

    def both(self, metric, imperial):
        imperial = re.sub("(?<!ft) ", "\u00a0", imperial)  # a narrow column breaks after the feet
        return f'<span class="m">{metric}</span><span class="ft">{imperial}</span>'


TAPE = _Shown()
_PAIR = re.compile(r"([\d.]+) (mm|cm|m) \((\d[^()]* (?:ft|in))\)")  # metres first
_LONE = re.compile(r"\b(\d\d+) mm\b(?! \()")


def _traps(trap):
    """How the traps are made: as the shop has the pipe, lengths in both units, the phone's owner's first."""

    def shown(pair):
        number, unit, imperial = pair.groups()
        metric = f"{float(number):.3g} {unit}" if unit == "mm" else f"{number} {unit}"
        return TAPE.both(f"{metric} ({imperial})", f"{imperial} ({metric})")

    def of_one(said):
        both = _LONE.sub(lambda one: Tape().thick(float(one[1])), str(said))
        return _PAIR.sub(shown, html.escape(both))

    items = [of_one(said) for said in (*trap.sentences, trap.alone(Tape()))]
    return "<ul>\n" + "\n".join(f"<li>{one}</li>" for one in items) + "\n</ul>"


def _cut(plan):
    rows = [
        f'<tr><th scope="row">{cut.count} × {html.escape(cut.what)}</th><td>{TAPE.cut(cut.length_m)}</td>'
        f"<td><b>{TAPE.cut(cut.cut_m, digits=2)}</b></td></tr>"
        for cut in plan.cuts
    ]
    head = '<tr><th scope="col">wire</th><th scope="col">from eye to eye</th><th scope="col">cut</th></tr>'
    return (
        f"<table>\n<thead>{head}</thead>\n<tbody>\n" + "\n".join(rows) + "\n</tbody>\n</table>\n"
        f"<p>{html.escape(plan.wire)}. {plan.fold_words(TAPE.cut(FOLD_M, 2))}</p>"
    )


def _hangs(antenna, plan, there):
    """The antenna as it hangs, to scale, with letters, and the list of what they mean."""
    (left, right), ties = there.ends, there.ties
    highest = max(there.top_m, *(up for _, up in ties))
    scale = min((WIDE / 2 - MARGIN) / there.tie_m, TALLEST / highest)
    ground = highest * scale + 36

    def place(spot):
        return np.array((WIDE / 2 + spot[0] * scale, ground - spot[1] * scale))

    feed, left, right = place((0.0, there.top_m)), place(left), place(right)
    share = plan.inner_m / (plan.inner_m + plan.outer_m)
    traps = [feed + share * (end - feed) for end in (left, right)]
    posts = [(x, up) for x, up in (((0.0, there.top_m), *ties) if there.vee else ties) if up]
    drawn = [f'<rect y="{ground:.1f}" width="{WIDE}" height="8" fill="#8a8577"/>']
    drawn += [_stroke(place((x, 0)), place((x, up)), "#4f5660", 5) for x, up in posts]
    drawn += [
        _stroke(end, place(tie), "#000", 2, "5 4") for end, tie in zip((left, right), ties, strict=True)
    ]
    drawn += [_stroke(feed, end, "#0b3d91", 3.5) for end in (left, right)]
    drawn += [_box(trap) for trap in traps]
    drawn.append(
        '<circle cx="{:.1f}" cy="{:.1f}" r="5" fill="#fff" stroke="#000" stroke-width="2.5"/>'.format(*feed)
    )
    off = (left - feed)[::-1] * (1, -1) / np.hypot(*(left - feed))  # square to the left leg, and up
    off *= -np.sign(off[1])
    letters = {
        "A": (feed + traps[0]) / 2 + 15 * off, "B": (traps[0] + left) / 2 + 15 * off,
        "C": feed + (12 if there.vee else 0, -18), "D": traps[0] - 20 * off,
        "E": (right + place(ties[1])) / 2 + (10, -14),
    }  # fmt: skip
    drawn += [_letter(name, np.clip(spot, (10, 10), (WIDE - 10, ground))) for name, spot in letters.items()]
    far = TAPE.place(there.tie_m)
    if there.stakes:
        rope = f"rope: it goes on down the line of the wire, to a stake {far} from the mast"
    elif there.vee:
        rope = f"rope: to a post {far} from the mast, {TAPE.place(ties[1][1])} up, in line with the wire"
    else:
        rope = f"rope to the support, {TAPE.place(there.rope_m[0])} from the wire’s end"
    means = {
        "A": f"inner wire, feed to trap: {TAPE.cut(plan.inner_m)}",
        "B": f"outer wire, trap to end: {TAPE.cut(plan.outer_m)}",
        "C": "feed point, with choke and line", "D": "trap, the same in both legs", "E": rope,
    }  # fmt: skip
    key = "\n".join(f"<li><b>{name}</b> {words}</li>" for name, words in means.items())
    one, other = (TAPE.place(up) for up in antenna.yard.heights_m)
    if there.vee:
        heights = f"Apex {one} up, both ends of the wire {other} up"
    else:
        apart = ("" if there.bounded else "at least ") + TAPE.place(2 * there.tie_m)
        heights = f"Tied {one} up" + (f" and {other} up" if other != one else "")
        heights += f", supports {apart} apart"
    runs = "" if antenna.yard.toward_deg is None else f"<p>{direction_words(antenna.yard)}</p>"
    said = "The antenna as it hangs, seen from the side, to scale; its letters are explained below."
    return (
        f'<figure><svg viewBox="0 0 {WIDE} {ground + 10:.0f}" role="img" aria-label="{said}">\n'
        + "\n".join(drawn) + f'\n</svg></figure>\n<ul class="key">\n{key}\n</ul>\n<p>{heights}. '
        f"Level distance from end to end: {TAPE.place(plan.width_m)}.</p>\n"
        f"<p>Pull with {there.pull_words}. {there.sag_words(TAPE)}</p>\n{runs}"
    )  # fmt: skip


def _stroke(start, stop, ink, width, dashes=""):
    (x0, y0), (x1, y1) = start, stop
    dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
    return (
        f'<line x1="{x0:.1f}" y1="{y0:.1f}" x2="{x1:.1f}" y2="{y1:.1f}" stroke="{ink}" '
        f'stroke-width="{width}"{dashed}/>'
    )


def _box(spot):
    x, y = spot
    return (
        f'<rect x="{x - 7:.1f}" y="{y - 5:.1f}" width="14" height="10" fill="#fff" stroke="#000" '
        'stroke-width="2.5"/>'
    )


def _letter(letter, spot):
    x, y = spot
    return (
        f'<text x="{x:.1f}" y="{y + 6:.1f}" text-anchor="middle" font-size="18" font-weight="bold" '
        f'stroke="#fff" stroke-width="5" paint-order="stroke">{letter}</text>'
    )


def _wound(antenna):
    """The trap as it is wound, for one of coax; to scale."""
    wound = antenna.trap
    if not isinstance(wound, CoaxTrap):
        return ""
    thick = wound.thickness_mm
    with mpl.rc_context(PHONE | {"svg.fonttype": "none", "svg.hashsalt": "antlab", "font.size": 9.5}):
        ax = Figure(figsize=(3.9, 3.0)).add_axes((0, 0, 1, 1))
        ax.set_axis_off()
        scaled(ax, pipe_mm=wound.form_diameter_mm + thick, winding_mm=wound.turns * thick)
        for part in wound_trap(
            ax, [wound.form_diameter_mm], [wound.turns], cable_mm=thick,
            called=wound.cable.called, joined=wound.hookup,
        ):  # fmt: skip
            part.draw()
        drawn = io.StringIO()
        ax.figure.savefig(drawn, format="svg", metadata={"Date": None, "Creator": None})
    svg = drawn.getvalue()
    box = re.search(r'viewBox="([^"]*)"', svg)[1]
    inside = re.sub(r"^.*?<svg[^>]*>|<metadata>.*?</metadata>", "", svg, flags=re.DOTALL)
    said = "The trap as it is wound: pipe and turns to scale, and which conductor is soldered to which."
    return f'<figure><svg viewBox="{box}" role="img" aria-label="{said}">{inside}</figure>'
