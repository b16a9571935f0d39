"""The sheet of a plan: the antenna's own numbers, both pages whole and legible, the same each time."""

import html
import re
from dataclasses import replace
from functools import cache
from types import SimpleNamespace

import numpy as np
import pytest
from drawn import signs_in
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.lines import Line2D
from matplotlib.patches import Polygon
from matplotlib.text import Text
from yards import GARDENS, antenna, design, plain

import antlab as al
from antlab.antenna import plan_making, safety
from antlab.antenna.feeding import CHOKES, at_shack
from antlab.antenna.lawn import taken_along
from antlab.antenna.tape import Tape
from antlab.classroom.drawing.keep_off import zone
from antlab.classroom.paper import sheet
from antlab.classroom.paper.lawn import lawn_page
from antlab.classroom.paper.sheet import maps
from antlab.classroom.paper.sheet.job import Job
from antlab.classroom.paper.sheet.maps import direction_words
from antlab.classroom.paper.sheet.page import MARGIN, PAPERS
from antlab.classroom.views.planner import THREE
from antlab.units import feet_sixteenths

SIX = (*THREE, *GARDENS)
HARD = ("20/10 vee", "80/10 level", "80/40 low ends", "mismatched", "a trap of one's own", "wound of wire")
OF_YARDS = {"20/10 vee": {"paper": "Letter"}, "80/10 level": {"paper": "Letter", "first": "feet"}}


@cache
def job_of(name):
    """The Job of a yard of the tests, of a garden, or of one of the course's three yards."""
    if name in SIX:
        how = GARDENS.get(name, ({}, {}))[1]
        return Job.of(
            antenna(name), **{key: how[key] for key in ("paper", "first", "antennas") if key in how}
        )
    return Job(plan=design(name).plan, **OF_YARDS.get(name, {}))


OTHERWISE = {"paper": {"A4": "Letter", "Letter": "A4"}, "first": {"metres": "feet", "feet": "metres"}}


@cache
def words_on(name, page="build", otherwise=False):
    """A page, and every piece of text on it with the box that it fills, in inches.

    otherwise: on the other paper, with the other unit first.
    """
    job = job_of(name)
    if otherwise:
        job = replace(job, **{key: other[getattr(job, key)] for key, other in OTHERWISE.items()})
    return words_of(sheet.draw_page(page, job))


def words_of(figure):
    """A page as a figure, and every piece of text on it with the box that it fills, in inches."""
    figure.set_dpi(200)  # as it is saved
    renderer = FigureCanvasAgg(figure).get_renderer()
    figure.draw_without_rendering()  # puts the words in place
    found = []
    for text in figure.findobj(Text):
        if text.get_visible() and text.get_text().strip():
            box = text.get_window_extent(renderer)
            found.append((text.get_text(), text.get_fontsize(), np.array(box.extents) / figure.dpi))
    return figure, found


def said(name, page="build"):
    """A page's words in one line."""
    return plain(" ".join(words for words, *_ in words_on(name, page)[1]))


# --- the page


@pytest.mark.parametrize(
    ("name", "page", "otherwise"),
    [
        *((name, page, False) for name in (*SIX, *HARD) for page in sheet.PAGES),
        *((name, "build", True) for name in SIX),
        ("two trees", "buy", True),  # the longest
    ],
)
def test_nothing_is_clipped_or_covered(name, page, otherwise):
    """All words lie within the margins of their paper, none smaller than 8 points, none over another."""
    figure, found = words_on(name, page, otherwise)
    paper = job_of(name).paper
    wide, high = PAPERS[OTHERWISE["paper"][paper] if otherwise else paper]
    assert tuple(figure.get_size_inches()) == (wide, high)
    for words, size, (x0, y0, x1, y1) in found:
        assert size >= 8, words
        assert x0 > MARGIN - 0.03 and x1 < wide - MARGIN + 0.06, words  # a type's own spacing
        assert y0 > MARGIN - 0.05 and y1 < high - MARGIN + 0.05, words
    boxes = np.array([box for *_, box in found])
    low, far = boxes[:, None, :2], boxes[:, None, 2:]
    shared = np.minimum(far, boxes[:, 2:]) - np.maximum(low, boxes[:, :2])
    over = np.all(shared > 0.03, axis=2)  # boxes are a little taller than letters
    for i, j in np.argwhere(np.triu(over, 1)):
        pytest.fail(f"{found[i][0]!r} covers {found[j][0]!r}")


@pytest.mark.parametrize("paper", PAPERS)
def test_lengths_stay_in_their_columns(paper):
    """The longest that a tape shows, of both wires, cross no line of the table that is written in."""
    job = replace(job_of("Corner Lot"), first="feet", paper=paper, now_m=(16.126, 10.030))
    figure, found = words_of(sheet.draw_page("build", job))
    lengths = [(words, box) for words, _, box in found if re.fullmatch(r"\d+′ 10 15/16″", words)]
    assert len(lengths) == 2
    for words, (x0, y0, x1, y1) in lengths:
        for x, low, high in columns(figure):
            assert not (x0 - 0.01 < x < x1 + 0.01 and low < (y0 + y1) / 2 < high), words


def columns(figure):
    """Edges of the columns to write in: place and reach of each, inches."""
    for one in figure.findobj(Line2D):
        if one.get_label() == "column":
            (x, low), (_, high) = one.get_transform().transform(one.get_xydata()) / figure.dpi
            yield x, *sorted((low, high))


@pytest.mark.parametrize("name", ["Corner Lot", "80/40 low ends"])
def test_cautions_wherever_one_builds(name):
    """Every caution of safety.py, word for word; low ends get a word more."""
    for caution, words in safety.CAUTIONS.items():
        assert f"{caution.capitalize()}:" in said(name)
        for sentence in re.split(r"(?<=\.) ", words):
            assert sentence in said(name)
    assert ("within reach" in said(name)) == (job_of(name).plan.ends_m < safety.LOWEST_END_M)


def test_notes_are_found_by_key():
    """In whatever order and words they come, the choke's has its place, the others are set, none is lost."""
    plan = job_of("Corner Lot").plan
    notes = tuple(replace(note, words=f"{note.key} in other words.") for note in reversed(plan.notes))
    job = Job(plan=replace(plan, notes=notes))
    build, buy = (
        " ".join(text.get_text() for text in sheet.draw_page(page, job).findobj(Text)) for page in sheet.PAGES
    )
    assert "bare-wire in other words." in build and "choke in other" not in build
    assert all(note.words in buy for note in notes)


def test_it_names_the_wire():
    """In words, and that another wire is shorter stands only where no jacket is counted."""
    for name, words in (("roof in feet", "(2 mm copper in a jacket of 0.8 mm); 100 W"),
                        ("two trees", "soil; 2 mm copper; 100 W")):  # fmt: skip
        assert words in said(name)
        assert ("insulated wire has to be" in said(name, "buy")) == (name == "two trees")


# --- to cut, to wind, to hang


@pytest.mark.parametrize("name", ["Corner Lot", "roof in feet", "pole in a garden"])
def test_it_carries_the_plan(name):
    """What is cut, wound, expected and trimmed, in metres and in feet and sixteenths, never too short."""
    job = job_of(name)
    plan, words = job.plan, said(name)
    for cut in plan.cuts:
        assert job.tape.cut(cut.length_m) in words and job.tape.cut(cut.cut_m, 2) in words
        assert al.units.parse_length(feet_sixteenths(cut.cut_m)) >= cut.cut_m - 1e-6
    trap = plan.trap
    for piece in (
        f"Cut for each {job.tape.cut(trap.cable_length_m, 2)} of {trap.cable}",
        f"Wind {round(trap.turns)} turns {'less' if trap.turns % 1 > 0.5 else 'and'} "
        + job.tape.thick(round(np.pi * trap.form_diameter_mm * abs(trap.turns - round(trap.turns)))),
        f"{trap.turns:.2f} turns of {trap.cable}",
        f"Each trap alone {trap.resonance_mhz:.2f} MHz within 1 %",
    ):
        assert piece in words
    for band in plan.bands:
        assert f"{band.trap_volts_peak:.0f} V peak" in words and al.plan.share_words(band.shares) in words
        assert all(f"{one.mark} {one.short}" in words for one in band.verdicts)
        assert f"SWR {band.swr:.2f}" in said(name, "buy")
    for cell in plan.trim_rows[0][3:]:
        assert cell in words
    assert f"end to end {job.tape.place(plan.width_m)}" in words


def test_a_vee_goes_on_downwards():
    """The rope lies on the wire's line, to its stake: by similar triangles, and on the paper as well."""
    job = job_of("pole in a garden")
    plan, there = job.plan, job.hanging
    stake = plan.width_m / 2 * plan.top_m / (plan.top_m - plan.ends_m)
    assert there.stakes and there.tie_m == pytest.approx(stake)
    words = said("pole in a garden")
    assert f"stake {job.tape.place(stake)} from mast" in words
    assert f"mast to stake, along the ground {job.tape.place(stake)}" in words
    page = words_on("pole in a garden")[0].axes[-1]
    ropes = [line.get_xydata() for line in page.lines if line.is_dashed() and len(line.get_xydata()) == 2]
    ends = [line.get_xydata()[0] for line in page.lines if line.get_marker() == "o"]
    eyes = signs_in([line.get_xydata() for line in page.lines])["feed"][0]
    for (start, stop), end in zip(ropes, ends, strict=True):
        eye = min(eyes, key=lambda at: abs(at[0] - end[0]))
        wire, rope = end - eye, stop - start
        assert np.allclose(start, end) and abs(wire[0] * rope[1] - wire[1] * rope[0]) < 1e-6 * np.hypot(*wire)


@pytest.mark.parametrize("name", ["Corner Lot", "two trees", "Hilltop"])
def test_drawing_is_to_scale(name):
    """Traps, ends and ties lie where the lengths put them, by the scale bar's own measure."""
    job = job_of(name)
    plan, there = job.plan, job.hanging
    page = words_on(name)[0].axes[-1]
    found = signs_in([line.get_xydata() for line in page.lines])
    traps, eyes = found["pipe"][0], found["feed"][0]
    ends = np.array([line.get_xydata()[0] for line in page.lines if line.get_marker() == "o"])
    bar = next(line for line in page.lines if line.get_linewidth() == 2).get_xdata()
    scale = (bar[1] - bar[0]) / int(re.search(r"(\d+) m to scale", said(name))[1])
    left, right = (ends[np.argmin(ends[:, 0])], ends[np.argmax(ends[:, 0])])
    away, up = np.array(there.ends).T
    along, rises = (right - left) / scale
    assert along == pytest.approx(away[1] - away[0], rel=1e-3)
    if "to scale along" in said(name) and there.slopes:
        assert 0.9 < rises / (up[1] - up[0]) < 1.001, "a little less steep, as it says"
    else:
        assert rises == pytest.approx(up[1] - up[0], abs=1e-3)
    for end in (left, right):
        eye = min(eyes, key=lambda at, x=end[0]: abs(at[0] - x))
        feed = eye + (end - eye) * (eyes.mean(axis=0)[0] - eye[0]) / (end[0] - eye[0])
        trap = min(traps, key=lambda at, x=end[0]: abs(at[0] - x))
        reached = [np.hypot(*(one - feed)) / scale for one in (trap, end)]
        np.testing.assert_allclose(reached, (plan.inner_m, plan.inner_m + plan.outer_m), rtol=2e-3)


@pytest.mark.parametrize("hookup", ["series", "braid"])
def test_the_joint_is_drawn(hookup):
    """What the hook-up's words said is a drawing, in place of them; an open end is told in words as well."""
    plan = job_of("Corner Lot").plan
    wound = al.design_coax_trap(f_mhz=14.1, form_diameter_mm=40, hookup=hookup)
    trap = replace(plan.trap, hookup=hookup, turns=float(wound.turns), form_diameter_mm=40.0)
    figure = sheet.build_sheet(replace(plan, trap=trap))
    words = [text.get_text() for ax in figure.axes for text in ax.texts]
    assert {"to the feed", "outward", "the joint", "40 mm pipe", f"{wound.turns:.2f} turns of RG-58"} <= {
        *words
    }
    assert words.count("centre") == {"series": 2, "braid": 1}[hookup] and words.count("braid") == 2
    line = plain(" ".join(words))
    assert (plan_making.OPEN_END in line) == ("cover it" in line) == (hookup == "braid")


def test_whole_turns_where_they_do():
    """Offered only where the trap then is as near as step 5 a asks; within 5 degrees they are the plan."""
    for name, near in (("Corner Lot", False), ("Hilltop", True), ("80/40 low ends", True)):
        trap = job_of(name).plan.trap
        assert (abs(trap.whole_turns_mhz / trap.resonance_mhz - 1) <= 0.01) == near
        whole = f"{trap.whole_turns} will do", f"Wind {trap.whole_turns} turns, close."
        assert any(words in said(name) for words in whole) == near
    assert whole[0] in said(name) and "Wind 4 turns, close." in said("Hilltop")


@pytest.mark.parametrize("name", ["two trees", "a trap of one's own"])
def test_how_to_measure_a_trap(name):
    """The paper alone says how, at which frequency, and which way to mend what can be wound on."""
    trap, words = job_of(name).plan.trap, said(name, "buy")
    assert f"At the trap's frequency, {trap.resonance_mhz:.2f} MHz, the SWR dips" in words
    assert ("Too low: unwind, " in words) == (trap.turns is not None)


@pytest.mark.parametrize(
    ("garden_m", "runs_deg", "over_m"),
    [((15, 15), 0, 0.0), ((15, 15), 90, 0.0), ((15, 11), 0, 1.0), ((15, 11), 90, 0.0), ((3, 15), 0, 0.5),
     (None, 0, 0.0)],
)  # fmt: skip
def test_what_reaches_over_a_fence_is_said(garden_m, runs_deg, over_m):
    """9 m of wire and 2 m to keep off, over the middle of a garden: by hand, along its length and across."""
    plan = SimpleNamespace(width_m=9, bands=[SimpleNamespace(keep_away_m=far) for far in (1.0, 2.0)])
    yard = al.Yard(hung="level", heights_m=(9, 9), garden_m=garden_m, garden_deg=0, runs_deg=runs_deg)
    assert maps.over_fence_m(plan, yard) == pytest.approx(over_m)
    assert ("over a fence" in said("pole in a garden")) == (
        maps.over_fence_m(job_of("pole in a garden").plan, job_of("pole in a garden").yard) > 0.05
    )


def test_a_pipe_is_a_hand_longer_than_its_winding():
    """As lesson 10 says: two holes for the wire near each end have room beside the turns."""
    trap = job_of("Corner Lot").plan.trap
    long = np.ceil(trap.winding_length_mm + 100)
    assert f"{long:.0f} mm ({long / 25.4:.2f} in) of pipe" in said("Corner Lot")
    assert "a pair near each end of the pipe bears the wire" in said("Corner Lot")


# --- what it does


def test_people_keep_off():
    """Rounded away from harm, and the height below which all may be is that of the wire as it sags."""
    for name in ("two trees", "mismatched"):
        job = job_of(name)
        plan, words = job.plan, said(name)
        away = max(band.keep_away_m for band in plan.bands)
        assert (
            f"Others keep {(metres := np.ceil(10 * away - 1e-5) / 10):.1f} m "
            f"({np.ceil(10 * metres / 0.3048 - 1e-5) / 10:.1f} ft)" in words
        )
        clear = min(band.clear_below_m for band in plan.bands)
        assert clear == pytest.approx(job.hanging.clear_below_m(plan))
        told = f"below {np.floor(10 * clear) / 10:.1f} m" if clear > 2 else "nobody stands under it"
        assert told in words and f"{plan.power_w:g} W, {plan.sends}, no pause" in words
    assert clear < 2 and job_of("two trees").hanging.sag_m > 1


def test_who_may_once_send_a_carrier_reads_how_far_that_is():
    """Protects whoever builds for SSB or CW and later sends FT8: the farther distance is there too."""
    shape = al.FlatTop(height_m=9)
    for sends, told in (("SSB", True), ("CW", True), ("FT8", False), ("carrier", False)):
        plan = al.design("20m", "10m", shape=shape, sends=sends).plan
        carrier = al.design("20m", "10m", shape=shape).plan
        away = max(band.keep_away_m for band in carrier.bands)
        assert max(band.keep_away_carrier_m for band in plan.bands) == pytest.approx(away)
        words = " ".join(words for words, *_ in words_of(sheet.draw_page("build", Job(plan=plan)))[1])
        assert (f"a carrier (FT8, FM), others keep {Tape().keep(away)}; below" in plain(words)) == told
        below = min(band.clear_below_m for band in carrier.bands)
        assert min(band.clear_below_m for band in plan.with_a_carrier.bands) == pytest.approx(below)
        assert any("With a carrier without a pause others keep" in one for one in plan.low.sentences) == told


def test_a_dip_where_nobody_may_send_is_told():
    """80 metres as a whole has its dip between code and phone: it is trimmed there, and not sent upon."""
    shape, told = al.FlatTop(height_m=9), "80 metres: by analyzer alone; at the dip you may not send"
    for mode, unserved in ((None, True), ("phone", False)):
        plan = al.design("80m", "40m", shape=shape, mode=mode).plan
        assert plan.low.is_unserved == unserved and not plan.high.is_unserved
        assert [note.key for note in plan.notes].count("nowhere") == unserved
        words = " ".join(words for words, *_ in words_of(sheet.draw_page("build", Job(plan=plan)))[1])
        assert (told in plain(words)) == unserved


def test_a_sloping_wire_slopes_where_people_keep_off():
    """Drawn from the side as it hangs, to one scale up and along; its zone goes down with its lower end."""
    job = job_of("two trees")
    drawn = [one for axes in words_on("two trees")[0].axes for one in (*axes.lines, *axes.patches)]
    lines = [one.get_xydata() for one in drawn if isinstance(one, Line2D) and one.get_linewidth() == 1]
    wire = next(line for line in lines if len(line) == 3)
    (away, low), (far, high) = job.hanging.ends
    across, up = np.diff(wire, axis=0).T
    assert up / across == pytest.approx([(high - low) / (far - away)] * 2, rel=1e-3) and high - low > 1
    zones = [one.get_xy() for one in drawn if isinstance(one, Polygon) and one.get_linestyle() == ":"]
    (around,) = (one for one in zones if one[:, 0].min() < wire[0, 0] < wire[-1, 0] < one[:, 0].max())
    left, right = around[around[:, 0] < wire[0, 0]], around[around[:, 0] > wire[-1, 0]]
    assert left[:, 1].max() < right[:, 1].max(), "it slopes as the wire does"


def test_where_nobody_stands_the_dots_reach_the_ground():
    """What is left free under them would be a place to stand, against the words."""
    for high, clear in ((7.5, 1.4), (9.0, 4.43)):
        up = zone((-8, high), (0, high), (8, high), 4.8, clear=clear, deep=1.7)[1]
        assert min(up) == pytest.approx({1.4: 0, 4.43: 4.4}[clear]), "as it is said"
    x, up = zone((-8, 7.5), (0, 7.5), (8, 7.5), 4.8, clear=1.4, deep=1.7)
    assert max(x[up == 0]) == 12.8, "as far out as anywhere"


def test_what_one_trims_by_is_marked():
    """The dot is the curve's lowest point, and carries the frequency of the table to write in."""
    for name in ("Corner Lot", "mismatched"):
        plan, words = job_of(name).plan, said(name, "buy")
        plots = [axes for axes in words_on(name, "buy")[0].axes if axes.axison]
        for band, plot, cell in zip(plan.bands, plots, (5, 3), strict=True):
            ((x, y),) = next(line.get_xydata() for line in plot.lines if line.get_marker() == "o")
            assert y == min(band.curve_swr) and f"lowest at {plan.trim_rows[0][cell]}" in words
            assert f"{x:.3f} MHz" == plan.trim_rows[0][cell]
            assert f"{band.lowest_swr:.2f} at {x:.3f} MHz: trim by that" in words


@pytest.mark.parametrize("name", ["two trees", "roof in feet", "80/40 low ends"])
def test_feet_first_is_feet_first_everywhere(name):
    """Also in notes, which a plan writes in metres, at the scale bar and where a signal lands."""
    job = replace(job_of(name), first="feet")
    for page in sheet.PAGES:
        words = plain(" ".join(text.get_text() for text in sheet.draw_page(page, job).findobj(Text)))
        assert not re.findall(r"[\d.]+ (?:mm|cm|m|km) \(\d[^()]*(?:ft|in|miles)\)", words)
        assert "m to scale" not in words and ("ft to scale" in words) == (page == "build")
    notes = " ".join(note.words for note in job.notes)
    assert ("44 ft (13.5 m) up" in notes) == (name == "two trees")
    assert ("raise them to 9.9 ft (3.0 m) or more" in notes) == (name == "80/40 low ends")


def test_the_shack_sees_what_the_line_leaves():
    """Loss and SWR by cable.py; the watts to the sky are what both leave, rounded down."""
    job = job_of("two trees")
    line, words = job.line, said("two trees")
    for band, there in zip(job.plan.bands, job.shack, strict=True):
        z = np.interp(band.f_mhz, band.curve_mhz, band.curve_ohm[0])
        lost = al.cable.total_loss_db(z, cable=line.cable, length_m=line.length_m, f_mhz=band.f_mhz)
        assert there.loss_db == pytest.approx(float(lost), abs=0.01) and there == at_shack(band, line)
        assert there.worst_swr < band.worst_swr and f"{there.swr:.2f}, {there.worst_swr:.1f}" in words
        assert f"{int(100 * band.shares['sky'] / 10 ** (lost / 10))} W" in words
    assert "RG-213, 25.00 m (82 ft)." in words
    assert "RG-58, 20.00 m (65 ft 7 in), assumed. With another the losses and the list change" in said(
        "Corner Lot"
    )


def test_it_sends_across_the_wire():
    """Directions by compass as the yard has them, or room to write them in."""
    assert "runs to NNE (20°) and SSW (200°); it sends most to ESE (110°) and WNW (290°)" in said("two trees")
    assert "sends to ______°" in said("Corner Lot")


def test_the_choke_is_that_of_lesson_05():
    """The same turns and ring; the ohms of the air coil are for the bands that it is for."""
    assert f"Choke: {CHOKES[0].sentence(job_of('Corner Lot').plan)}" in said("Corner Lot")
    assert "8 turns of RG-58 side by side" in said("Corner Lot", "buy")
    assert "side by side" not in said("Hilltop", "buy"), "on 10 metres it is no coil any more"


def test_trimming_in_centimetres_and_inches():
    """Two and a half times as much for an inch; four fifths of what moves 100 kHz is folded back."""
    plan = job_of("Corner Lot").plan
    high = plan.tolerance_khz["inner"][1]
    words = said("Corner Lot")
    assert f"inner 1 cm (1 in) longer a leg {round(high):+d} ({round(2.54 * high):+d})" in words
    told = float(re.search(r"100 kHz too low on 20 metres: (\S+) cm", words)[1])
    assert 0 <= 80 / abs(high) - told < 0.1, "never more than four fifths"
    assert "Too high: let the fold out." in words


def test_what_was_measured_and_cut_is_there():
    """Of an antenna that is under way: the traps as measured, the lengths as they are now."""
    job = replace(job_of("Corner Lot"), now_m=(5.123, 3.2), traps_mhz=(14.21, 14.23))
    words = plain(" ".join(text.get_text() for text in sheet.draw_page("build", job).findobj(Text)))
    assert "now 5.123 m 3.200 m" in words and "measured 14.21, 14.23" in words
    assert "now" not in re.findall(r"\w+", said("Corner Lot"))


def test_curves_differ_without_colour():
    """On a copier's paper the two bands differ by their dashes."""
    plots = [axes for axes in words_on("Corner Lot", "buy")[0].axes if axes.axison]
    curves = [max(axes.lines, key=lambda one: len(one.get_xdata())) for axes in plots]
    assert [curve.get_linestyle() for curve in curves] == ["-", "--"]


def test_all_parts_are_on_the_page_to_buy_by():
    """Each with its quantity, for one and for a class."""
    job = job_of("two trees")
    words = said("two trees", "buy")
    for part in job.parts:
        assert part.used(job.tape) in words
        assert f"{part.bought(1, job.tape)} {part.bought(12, job.tape)}" in words
    assert (
        "buy for 12" in words
        and "coaxial cable RG-213" in words
        and "buy for 12" not in said("Corner Lot", "buy")
    )


# --- the file


def test_save(tmp_path, monkeypatch):
    """Two pages in a PDF, and the same pages give the same bytes; else a picture of each."""
    monkeypatch.setattr(sheet, "draw_page", lambda page, job: words_on("Corner Lot", page)[0])
    plan, one, two = job_of("Corner Lot").plan, tmp_path / "one.pdf", tmp_path / "two.PDF"
    assert plan.save(one) == one
    plan.save(str(two))
    content = one.read_bytes()
    assert content == two.read_bytes() and content.startswith(b"%PDF") and b"CreationDate" not in content
    assert len(re.findall(rb"/Type /Page\b", content)) == 2 and not sheet.beside(one).exists()
    picture = plan.save(tmp_path / "one.svg")
    assert all(
        path.read_text(encoding="utf-8").startswith("<?xml") for path in (picture, sheet.beside(picture))
    )


def test_save_harms_nothing(tmp_path):
    """A file in the way stays as it is until force is given; wrong names are refused with a sentence."""
    plan, path = job_of("Corner Lot").plan, tmp_path / "sheet.svg"
    path.write_text("mine")
    with pytest.raises(ValueError, match="exists already"):
        plan.save(path)
    assert path.read_text() == "mine"
    path.rename(tmp_path / "sheet-to-buy.svg")
    with pytest.raises(ValueError, match="sheet-to-buy.svg exists already"):
        plan.save(path)
    assert not path.exists() and sheet.beside(path).read_text() == "mine"
    for name, words in (
        ("sheet.doc", "ends in none of"),
        ("sheet", "ends in none of"),
        ("no/sheet.pdf", "no folder"),
    ):
        with pytest.raises(ValueError, match=words):
            plan.save(tmp_path / name)
    (tmp_path / "folder.pdf").mkdir()
    with pytest.raises(ValueError, match="exists already"):
        plan.save(tmp_path / "folder.pdf", force=True)
    for wrong, words in (({"paper": "A5"}, "A4 or Letter"), ({"first": "yards"}, "metres or feet"),
                         ({"antennas": 0}, "1 to 1000 antennas")):  # fmt: skip
        with pytest.raises(ValueError, match=words):
            plan.save(tmp_path / "new.pdf", **wrong)


# --- the same on the phone


@pytest.fixture(scope="module")
def lawns(tmp_path_factory):
    """The page for the lawn of each of the six, as a file; its reckoning is as coarse as can be."""
    folder = tmp_path_factory.mktemp("lawns")
    for name in SIX:
        page = lawn_page(antenna(name), taken_along(antenna(name), knots=(1, 3)))
        (folder / f"{name}.html").write_text(page, encoding="utf-8")
    return folder


@pytest.mark.parametrize("name", SIX)
def test_the_phone_says_what_the_sheet_says(lawns, name):
    """Of each of the six: what to cut, where it is tied, how far it sags, and whom it keeps how far."""
    page = html.unescape((lawns / f"{name}.html").read_text(encoding="utf-8"))
    metric, feet = (
        plain(re.sub(rf'<span class="{other}">.*?</span>|</?[a-z][^>]*>', "", page)) for other in ("ft", "m")
    )
    job = job_of(name)
    plan, there, paper = job.plan, job.hanging, said(name, "build")
    apart_m = there.tie_m * (1 if there.vee else 2)
    both = [(Tape.place, apart_m), *((Tape.cut, cut.length_m) for cut in plan.cuts)]
    both += [(Tape.place, there.sag_m), (Tape.place, plan.width_m), (Tape.keep, plan.high.keep_away_m)]
    if (clear := there.clear_below_m(plan)) >= 1.8:
        both.append((Tape.under, clear))
    assert ("nobody stands under it" in metric) == ("nobody stands under it" in paper) == (clear < 1.8)
    for write, length_m in both:
        words = write(job.tape, length_m)
        assert words in paper or write is Tape.keep
        one, other = write(Tape(), length_m).removesuffix(")").split(" (")
        assert one in metric and other in feet
    assert there.pull_words in metric and ("That is much" in paper) == ("That is much" in metric)
    runs = plain(direction_words(job.yard))
    assert (runs in metric) == (runs in paper) == (job.yard.toward_deg is not None) or "______" in runs


@pytest.mark.browser
def test_the_phone_shows_all_six(lawns, chromium):
    """Upright and on its side: nothing sticks out, pictures stand on one screen, no letter over another."""
    how = {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True, "offline": True}
    with chromium.new_context(**how) as context:
        phone, errors = context.new_page(), []
        phone.on("pageerror", lambda error: errors.append(str(error)))
        for name in SIX:
            phone.goto((lawns / f"{name}.html").as_uri())
            for size in ((390, 844), (844, 390)):
                phone.set_viewport_size(dict(zip(("width", "height"), size, strict=True)))
                assert phone.evaluate("document.documentElement.scrollWidth") == size[0]
                for picture, letters in phone.evaluate(BOXES):
                    assert picture[3] - picture[1] <= size[1] and picture[2] <= size[0]
                    for n, one in enumerate(letters):
                        assert one[0] >= picture[0] - 1 and one[2] <= picture[2] + 1, name
                        assert one[1] >= picture[1] - 1 and one[3] <= picture[3] + 1, name
                        assert not any(crossing(one, other) for other in letters[:n]), name
            for units in ("metres", "feet"):
                phone.locator("label", has_text=units).first.tap()
                cells = phone.locator("table td:nth-child(2)").all_inner_texts()
                now = phone.locator("#inner-now, #outer-now").all_inner_texts()
                assert list(map(plain, cells)) == now, "the list and the trimming tell the same lengths"
    assert not errors


BOXES = """() => [...document.querySelectorAll("figure svg")].map((svg) => {
    const sides = (b) => [b.left, b.top, b.right, b.bottom];
    const box = (thing) => sides(thing.getBoundingClientRect());
    return [box(svg), [...svg.querySelectorAll("text")].map(box)];
})"""


def crossing(one, other):
    """Whether two boxes share more than a letter's own spacing, pixels."""
    shared = [min(one[i + 2], other[i + 2]) - max(one[i], other[i]) for i in (0, 1)]
    return min(shared) > 4
