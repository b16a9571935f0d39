"""The page for the lawn: one antenna on a phone without a network, from the cautions to the log.

What it reckons with is made by antenna/lawn.py; its words and scripts stand in templates/lawn.html, lawn.js,
reckoning.js and qr.js.
"""

import html
import io
import json
import math
import os
import re
from pathlib import Path

import matplotlib as mpl
import numpy as np
from matplotlib.figure import Figure

from antlab import files
from antlab.antenna.lawn import taken_along
from antlab.antenna.safety import LAST_WORD
from antlab.classroom.drawing.looks import PHONE
from antlab.classroom.drawing.wound_trap import scaled, wound_trap
from antlab.classroom.paper import pages
from antlab.physics.trap import CoaxTrap
from antlab.units import INCH_M, feet_inches

TEMPLATES = Path(__file__).with_name("templates")
WIDE, TALLEST, MARGIN = 360, 250, 16  # of the drawing, in pixels of a phone


def lawn_page(antenna, taken=None):
    """One antenna as a page of HTML for the phone.

    antenna: an Antenna. taken: what its reckoning gets, taken_along(antenna) when left out. Raises Slip as
    its plan does.
    """
    plan = antenna.plan
    script = "\n".join(_template(name) for name in ("reckoning.js", "qr.js", "lawn.js"))
    taken = json.dumps(taken or taken_along(antenna), allow_nan=False).replace("<", "\\u003c")
    return _template("lawn.html").format(
        mark=pages.OURS,
        title=html.escape(f"{antenna.name}: {plan.title}"), name=html.escape(antenna.name),
        what=html.escape(plan.title), css=_template("lawn.css"),
        cautions=_cautions(plan), cut=_cut(plan), traps=_list(plan.trap.sentences),
        hangs=_hangs(antenna, plan), wound=_wound(antenna),
        low=html.escape(plan.low.label), high=html.escape(plan.high.label),
        low_aim=f"{antenna.planned_mhz[0]:.4g}", high_aim=f"{antenna.planned_mhz[1]:.4g}",
        script=f"{script}\nlawnPage({taken});",
    )  # fmt: skip


def write_lawn_page(antenna, folder):
    """Write an antenna's page into a folder, which is made if need be; return its path.

    Raises Slip as lawn_page does, OSError, and FileExistsError if a file in the way is none of our pages.
    """
    path = Path(folder) / f"{name_of(antenna)}.html"
    if os.path.lexists(path) and not pages.is_ours(path):
        raise FileExistsError(f"{path} is not one of antlab's pages: choose another folder with --folder")
    text = lawn_page(antenna)
    path.parent.mkdir(parents=True, exist_ok=True)
    files.write(path, text.encode())
    return path


def name_of(antenna):
    """What the page of an antenna is called, in letters that stand in any address."""
    return "antenna-" + re.sub(r"[^A-Za-z0-9_-]+", "-", antenna.name)


def _template(name):
    return (TEMPLATES / name).read_text(encoding="utf-8")


def _list(sentences):
    return "<ul>\n" + "\n".join(f"<li>{html.escape(str(one))}</li>" for one in sentences) + "\n</ul>"


def _cautions(plan):
    said = [(name, words) for name, words in plan.cautions.items() if name != LAST_WORD]
    items = [f"<li><strong>{html.escape(n.capitalize())}:</strong> {html.escape(w)}</li>" for n, w in said]
    for band in plan.bands:
        others, you = (_both(far, up=0.1, digits=1) for far in (band.keep_away_m, band.keep_away_you_m))
        items.append(
            f"<li><strong>{html.escape(band.label)}:</strong> while you send, keep others {others} and "
            f"yourself {you} from the wire. {html.escape(band.exposure_note)}</li>"
        )
    last = f'<p class="last">{html.escape(plan.cautions[LAST_WORD])}</p>'
    return "<ul>\n" + "\n".join(items) + f"\n</ul>\n{last}"


def _both(length_m, *, up=None, digits=3):
    """A length in metres and in feet, of which the page shows one. up: to what it is rounded up, metres."""
    metres = length_m if up is None else math.ceil(length_m / up - 1e-6) * up
    tenth = INCH_M / 10
    feet = length_m if up is None else math.ceil(length_m / tenth - 1e-6) * tenth
    return f'<span class="m">{metres:.{digits}f} m</span><span class="ft">{feet_inches(feet)}</span>'


def _cut(plan):
    rows = [
        f'<tr><th scope="row">{cut.count} × {html.escape(cut.what)}</th><td>{_both(cut.length_m)}</td>'
        f"<td><b>{_both(cut.cut_m, up=0.01, digits=2)}</b></td></tr>"
        for cut in plan.cuts
    ]
    head = '<tr><th scope="col">wire</th><th scope="col">from eye to eye</th><th scope="col">cut</th></tr>'
    return (
        f"<table>\n<thead>{head}</thead>\n<tbody>\n" + "\n".join(rows) + "\n</tbody>\n</table>\n"
        f"<p>{html.escape(plan.wire)}. {html.escape(plan.fold_note)}</p>"
    )


def _hangs(antenna, plan):
    """The antenna as it hangs, to scale, with letters, and the list of what they mean."""
    vee, (one, other), half = antenna.yard.hung == "vee", antenna.yard.heights_m, plan.width_m / 2
    if vee:
        fall = (one - other) / half
        reach = half + (other / fall if fall else 1.0)
        feed, ends, ropes = (0.0, one), [(-half, other), (half, other)], [(-reach, 0.0), (reach, 0.0)]
        supports = [(0.0, one)]
    else:
        reach = (antenna.yard.span_m or plan.width_m + 4 * antenna.yard.rope_m) / 2
        rise = (other - one) / 2 / reach
        feed, *ends = ((x, (one + other) / 2 + rise * x) for x in (0.0, -half, half))
        supports = ropes = [(-reach, one), (reach, other)]
    scale = min((WIDE - 2 * MARGIN) / (2 * reach), TALLEST / max(one, other))
    ground = max(one, other) * scale + 34

    def place(spot):
        return np.array((WIDE / 2 + spot[0] * scale, ground - spot[1] * scale))

    feed, ends, ropes = place(feed), [place(end) for end in ends], [place(rope) for rope in ropes]
    share = plan.inner_m / (plan.inner_m + plan.outer_m)
    traps = [feed + share * (end - feed) for end in ends]
    drawn = [f'<rect y="{ground:.1f}" width="{WIDE}" height="8" fill="#8a8577"/>']
    drawn += [_stroke(place((x, 0)), place((x, y)), "#4f5660", 5) for x, y in supports]
    drawn += [_stroke(end, rope, "#000", 2, "5 4") for end, rope in zip(ends, ropes, strict=True)]
    drawn += [_stroke(feed, end, "#0b3d91", 3.5) for end in ends]
    drawn += [_box(trap) for trap in traps]
    drawn.append(
        '<circle cx="{:.1f}" cy="{:.1f}" r="5" fill="#fff" stroke="#000" stroke-width="2.5"/>'.format(*feed)
    )
    left = traps[0]
    letters = {
        "A": (feed + left) / 2 - (0, 16), "B": (left + ends[0]) / 2 - (0, 16),
        "C": feed + (14 if vee else 0, -18), "D": left + (0, 22), "E": (ends[1] + ropes[1]) / 2 + (10, -14),
    }  # fmt: skip
    drawn += [_letter(name, np.clip(spot, (10, 10), (WIDE - 10, ground))) for name, spot in letters.items()]
    if vee:
        rope = "rope: it goes on downwards along the line of the wire"
        heights = f"Apex {_both(one, digits=2)} up, both ends of the wire {_both(other, digits=2)} up"
    else:
        rope = f"rope to the support, {_both(antenna.yard.rope_m, digits=2)} or more at each end"
        heights = f"Tied {_both(one, digits=2)} up" + (
            f" and {_both(other, digits=2)} up" if other != one else ""
        )
    means = {
        "A": f"inner wire, feed to trap: {_both(plan.inner_m)}",
        "B": f"outer wire, trap to end: {_both(plan.outer_m)}",
        "C": "feed point, with choke and line", "D": "trap, the same in both legs", "E": rope,
    }  # fmt: skip
    key = "\n".join(f"<li><b>{name}</b> {words}</li>" for name, words in means.items())
    said = "The antenna as it hangs, seen from the side, to scale; its letters are explained below."
    return (
        f'<figure><svg viewBox="0 0 {WIDE} {ground + 10:.0f}" role="img" aria-label="{said}">\n'
        + "\n".join(drawn) + f'\n</svg></figure>\n<ul class="key">\n{key}\n</ul>\n<p>{heights}. '
        f"Level distance from end to end: {_both(plan.width_m, digits=2)}.</p>"
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
