"""The plan and its build sheet: the antenna's own numbers; the page whole, legible, the same each time."""

import re
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from drawn import signs_in
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.text import Text
from yards import YARDS, design, plain

import antlab as al
from antlab.antenna import safety
from antlab.classroom.paper import sheet as report


@cache
def words_on(yard):
    """Every piece of text on the sheet with the box that it fills, in inches."""
    figure = report.build_sheet(design(yard).plan)
    renderer = FigureCanvasAgg(figure).get_renderer()
    figure.draw_without_rendering()  # puts the words in place
    found = []
    for text in figure.findobj(Text):
        if text.get_visible() and text.get_text().strip():
            box = text.get_window_extent(renderer)
            found.append((text.get_text(), text.get_fontsize(), np.array(box.extents) / figure.dpi))
    return figure, found


# --- the plan


def test_cautions_and_notes_wherever_a_plan_is_shown():
    """Every caution of safety.py in the plan, its text, its JSON and its sheet; low ends get a word more."""
    for yard in YARDS:
        plan = design(yard).plan
        sheet = plain(" ".join(words for words, *_ in words_on(yard)[1]))
        text = plain(plan.text())
        assert plan.cautions == safety.CAUTIONS == plan.as_dict()["cautions"]
        for name, words in safety.CAUTIONS.items():
            assert f"{name.capitalize()}:" in sheet
            for sentence in re.split(r"(?<=\.) ", words):
                assert sentence in text
                assert sentence in sheet
        low = plan.ends_m < 2.5
        assert ("within reach" in text) == low
        assert ("within reach" in sheet) == low


def test_notes_are_found_by_key():
    """In whatever order and words they come, the choke's is left to the drawing and the others are set."""
    plan = design("40/20 level").plan
    notes = [replace(note, words=f"{note.key} in other words.") for note in reversed(plan.notes)]
    page = report.build_sheet(replace(plan, notes=tuple(notes))).axes[0]
    sheet = " ".join(text.get_text() for text in page.texts)
    assert "bare-wire in other words." in sheet and "choke in other" not in sheet
    assert [note["key"] for note in plan.as_dict()["notes"]][-2:] == ["bare-wire", "choke"]


def test_the_sheet_names_the_wire():
    """In the head, in words; that other wire is shorter stands only where no jacket is counted."""
    house = al.design(shape=al.FlatTop(height_m=9), wire="PVC 2.5 mm²").plan
    for plan, words, key in (
        (house, "PVC 2.5 mm² (2 mm copper in a jacket of 0.8 mm), 100 W", "jacket"),
        (design("40/20 level").plan, "soil, 2 mm copper, 100 W", "bare-wire"),
    ):
        pages = report.build_sheet(plan).axes
        said = " ".join(text.get_text() for page in pages for text in page.texts).replace("\u00a0", " ")
        notes = [note.key for note in plan.notes if note.key in ("jacket", "bare-wire")]
        assert words in said and notes == [key]
        assert ("insulated wire has to be" in said) == (key == "bare-wire")
        assert plan.as_dict()["wire"] in plan.text().replace("\n    ", " ")


# --- the page


@pytest.mark.parametrize("yard", YARDS)
def test_nothing_is_clipped_or_covered(yard):
    """All words lie within margins that Letter has too, none smaller than 8 points, none over another."""
    figure, found = words_on(yard)
    assert tuple(figure.get_size_inches()) == (8.27, 11.69)
    wide, high = 8.27, 11.69
    spare = (high - 11) / 2  # of A4 over Letter, above and below
    for words, size, (x0, y0, x1, y1) in found:
        assert size >= 8, words
        assert x0 > 0.4 and x1 < wide - 0.4, words
        assert y0 > spare + 0.15 and y1 < high - spare - 0.15, words
    boxes = np.array([box for *_, box in found])
    low, far = boxes[:, None, :2], boxes[:, None, 2:]
    shared = np.minimum(far, boxes[:, 2:]) - np.maximum(low, boxes[:, :2])
    over = np.all(shared > 0.025, axis=2)  # boxes are a little taller than letters
    for i, j in np.argwhere(np.triu(over, 1)):
        pytest.fail(f"{found[i][0]!r} covers {found[j][0]!r}")


@pytest.mark.parametrize("yard", ["40/20 level", "20/10 vee", "a trap of one's own"])
def test_the_sheet_carries_the_plan(yard):
    """What is cut, wound, expected and trimmed stands on the page, in metres and feet."""
    plan = design(yard).plan
    sheet = plain(" ".join(words for words, *_ in words_on(yard)[1]))
    for cut in plan.cuts:
        assert f"{cut.length_m:.3f} m" in sheet and f"{cut.cut_m:.2f} m" in sheet
    for sentence in (*plan.trap.sentences, *plan.trim_steps, plan.fold_note):
        assert (plain(sentence) in sheet) == (sentence != plan.trap.joint), "the joint is drawn"
    for band in plan.bands:
        assert f"SWR {band.swr:.2f}" in sheet and f"{band.trap_volts_peak:.0f} V peak" in sheet
    for cell in plan.trim_rows[0]:
        assert cell in sheet
    assert f"end to end {plan.width_m:.2f} m" in sheet


@pytest.mark.parametrize("hookup", ["series", "braid"])
def test_the_joint_is_drawn(hookup):
    """What the hook-up's words said is a drawing, in place of them; an open end is told in words as well."""
    trap = al.design_coax_trap(f_mhz=14.1, form_diameter_mm=40, hookup=hookup)
    plan = al.design(shape=al.FlatTop(height_m=9), trap=trap).plan
    axes = report.build_sheet(plan).axes
    said = [text.get_text() for ax in axes for text in ax.texts]
    assert {"to the feed", "outward", "the joint", "40 mm pipe", f"{trap.turns:.2f} turns of RG-58"} <= {
        *said
    }
    assert said.count("centre") == {"series": 2, "braid": 1}[hookup] and said.count("braid") == 2
    sheet = plain(" ".join(said))
    assert ("centre has all of the trap's volts" in sheet) == ("cover it" in said) == (hookup == "braid")


@pytest.mark.parametrize("yard", ["40/20 level", "20/10 vee", "80/10 level"])
def test_drawing_is_to_scale(yard):
    """Traps and ends of the wire lie where the lengths put them, by the scale bar's own measure."""
    plan = design(yard).plan
    page = words_on(yard)[0].axes[-1]
    found = signs_in([line.get_xydata() for line in page.lines])
    traps, eyes = found["pipe"][0], found["feed"][0]
    ends = [line.get_xydata()[0] for line in page.lines if line.get_marker() == "o"]
    middle, eye, end = eyes.mean(axis=0), max(eyes, key=lambda at: at[0]), max(ends, key=lambda at: at[0])
    feed = eye + (end - eye) * (middle[0] - eye[0]) / (end[0] - eye[0])  # where both legs would meet
    bar = next(line for line in page.lines if line.get_linewidth() == 2).get_xdata()
    metres = int(re.search(r"(\d+) m to scale", " ".join(w for w, *_ in words_on(yard)[1]))[1])
    scale = (bar[1] - bar[0]) / metres
    for mark, length in ((traps, plan.inner_m), (np.array(ends), plan.inner_m + plan.outer_m)):
        np.testing.assert_allclose(np.hypot(*(mark - feed).T) / scale, length, rtol=1e-3)


def test_the_sheet_says_where_the_watts_go_and_what_to_keep_off():
    """Shares by name, distances rounded away from harm, and how high all may be, or nobody."""
    for yard in ("40/20 level", "mismatched"):
        plan = design(yard).plan
        sheet = plain(" ".join(words for words, *_ in words_on(yard)[1]))
        for band in plan.bands:
            assert al.plan.share_words(band.shares) in sheet
            assert (
                f"{np.ceil(10 * band.keep_away_m) / 10:.1f} m, {np.ceil(band.keep_away_m / 0.3048):.0f} ft"
                in sheet
            )
        clear = min(band.clear_below_m for band in plan.bands)
        said = f"up to {np.floor(10 * clear) / 10:.1f} m" if clear > 1.8 else "nobody stands under it"
        assert said in sheet and f"{plan.power_w:g} W, {plan.sends}, no pause" in sheet
        assert (
            f"SWR there up to {plan.low.worst_swr:.1f}" + (": tuner" if plan.low.worst_swr > 3 else "")
            in sheet
        )
    assert clear < 1.8


def test_curves_differ_without_colour():
    """On a copier's paper the two bands differ by their dashes."""
    plots = [axes for axes in words_on("40/20 level")[0].axes if axes.axison]
    curves = [max(axes.lines, key=lambda one: len(one.get_xdata())) for axes in plots]
    styles = [curve.get_linestyle() for curve in curves]
    assert styles == ["-", "--"]


# --- the file


@pytest.mark.parametrize("ending", [".pdf", ".svg", ".png"])
def test_save(tmp_path, ending):
    """One page, and the same plan gives the same bytes."""
    plan = design("40/20 level").plan
    one, two = tmp_path / f"one{ending}", tmp_path / f"two{ending.upper()}"
    assert plan.save(one) == one
    plan.save(str(two))
    assert one.read_bytes() == two.read_bytes()
    content = one.read_bytes()
    assert content.startswith({".pdf": b"%PDF", ".svg": b"<?xml", ".png": b"\x89PNG"}[ending])
    if ending == ".pdf":
        assert len(re.findall(rb"/Type /Page\b", content)) == 1
        assert b"CreationDate" not in content


def test_save_harms_nothing(tmp_path):
    """A file in the way stays as it is until force is given; wrong names are refused with a sentence."""
    plan, path = design("40/20 level").plan, tmp_path / "sheet.svg"
    path.write_text("mine")
    with pytest.raises(ValueError, match="exists already"):
        plan.save(path)
    assert path.read_text() == "mine"
    plan.save(path, force=True)
    assert "<svg" in path.read_text()
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
