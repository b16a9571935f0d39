"""The plan and its build sheet: the antenna's own numbers; the page whole, legible, the same each time."""

import json
import re
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from drawn import signs_in
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.text import Text

import antlab as al
from antlab.antenna import safety
from antlab.classroom.paper import sheet as report
from antlab.units import parse_length

YARDS = {
    "40/20 level": {"shape": al.FlatTop(height_m=9)},
    "20/10 vee": {
        "low": "20m", "high": "10m", "shape": al.InvertedVee(apex_m=10, ends_m=7.5), "span_m": 9.0,
    },
    "20/10 level": {"low": "20m", "high": "10m", "shape": al.FlatTop(height_m=9)},
    "80/10 level": {"low": "80m", "high": "10m", "shape": al.FlatTop(height_m=12), "span_m": 42.0},
    "80/40 low ends": {"low": "80m", "high": "40m", "shape": al.InvertedVee(apex_m=9, ends_m=2.2)},
    "40/20 steep": {"shape": al.InvertedVee(apex_m=12, ends_m=5), "soil": "rocky"},
    "mismatched": {"shape": al.FlatTop(height_m=2.2), "z0_ohm": 300, "power_w": 1500, "region": 1},
    "a trap of one's own": {
        "shape": al.FlatTop(height_m=9), "trap": al.Trap(inductance_uh=4, capacitance_pf=31), "span_m": 60.0,
    },
    "wound of wire": {
        "shape": al.FlatTop(height_m=9),
        "trap": al.design_coil_trap(f_mhz=14.1, capacitance_pf=40, form_diameter_mm=40),
    },
}  # fmt: skip


@cache
def design(yard):
    return al.design(**YARDS[yard])


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


def plain(text):
    """Text of the sheet as it was before the printer's minus and spaces."""
    return re.sub(r"\s+", " ", text.replace("−", "-").replace("\u00a0", " ").replace("×", "x"))


# --- the plan


@pytest.mark.parametrize("yard", YARDS)
def test_plan_says_what_the_design_says(yard):
    """Each number beside the design that it is taken from, asked again."""
    it, plan = design(yard), design(yard).plan
    assert (plan.inner_m, plan.outer_m) == (it.dipole.inner_m, it.dipole.outer_m)
    for band, target in zip(plan.bands, it.aims, strict=True):
        assert band.f_mhz == target.f_mhz
        assert band.swr == pytest.approx(float(it.dipole.swr(target.f_mhz, it.z0_ohm)))
        assert band.lowest_swr <= band.swr + 0.01
        assert band.efficiency == it.efficiency(target)
        assert band.trap_volts_peak == pytest.approx(it.stress(target).volts_peak)
        assert band.edges_mhz == (target.band.low_mhz, target.band.high_mhz)
        assert band.wanted_mhz == target.edges_mhz
        assert band.curve_mhz[0] <= band.edges_mhz[0] and band.curve_mhz[-1] >= band.edges_mhz[1]
        worst = max(it.dipole.swr(f, it.z0_ohm) for f in target.edges_mhz)
        assert band.worst_swr == pytest.approx(worst, rel=1e-2) and band.worst_mhz in band.wanted_mhz
        span = it.span(target)
        assert band.span_2 == (None if np.isnan(span.low_mhz) else (span.low_mhz, span.high_mhz))
        np.testing.assert_allclose(
            band.curve_swr[::40], [it.dipole.swr(f, it.z0_ohm) for f in band.curve_mhz[::40]], rtol=0.015
        )
    assert plan.tolerance_khz == it.tolerance
    assert plan.heights == it.heights


def test_cut_list():
    """Two of each, longer by a fold of 15 cm at each end; the note says so, and whose practice it is."""
    plan = design("40/20 level").plan
    assert [(c.count, c.what) for c in plan.cuts] == [(2, "inner wire"), (2, "outer wire")]
    for cut, length in zip(plan.cuts, (plan.inner_m, plan.outer_m), strict=True):
        assert cut.length_m == length
        assert cut.cut_m - cut.length_m == pytest.approx(0.3)
    assert "15 cm" in plan.fold_note and "common practice" in plan.fold_note


def test_trap_recipe():
    """Turns, cable and form are those of the wound trap, with whole turns and what a slip costs."""
    it = design("40/20 level")
    trap, wound = it.plan.trap, it.wound
    assert (trap.turns, trap.cable_length_m) == (wound.turns, wound.cable_length_m)
    assert (trap.form_diameter_mm, trap.cable, trap.hookup) == (40, "RG-58", "series")
    assert trap.whole_turns_mhz == wound.rounded().resonance_mhz
    assert trap.sensitivity_khz == pytest.approx(wound.sensitivity_khz())
    said = " ".join(trap.sentences)
    assert f"{wound.turns:.2f} turns of RG-58" in said and "two ends left over" in said
    braid = al.design(
        shape=al.FlatTop(height_m=9),
        trap=al.design_coax_trap(f_mhz=14.2875, form_diameter_mm=40, hookup="braid"),
    ).plan.trap
    assert "braid at both ends" in " ".join(braid.sentences)


def test_volts_against_the_cable():
    """Half of the trap's volts lie in the cable in series; RG-58 is rated 1400 V rms, 1980 V peak."""
    band = design("40/20 level").plan.high
    assert band.cable_volts_peak == pytest.approx(band.trap_volts_peak / 2)
    assert band.cable_allowed_peak == pytest.approx(1400 * np.sqrt(2))
    assert band.margin == pytest.approx(band.cable_allowed_peak / band.cable_volts_peak)
    own = design("a trap of one's own").plan.high
    assert [one.mark for one in own.verdicts] == ["!", "!", "!"]
    assert own.margin is None and f"{2 * own.trap_volts_peak:.0f} V" in own.trap_note


def test_exposure_distances():
    """47 CFR 1.1310 by safety.py, at the antenna's own gain without ground; never closer than near field."""
    it = design("20/10 vee")
    ten = it.plan.high
    dipole = {"f_mhz": ten.f_mhz, "power_w": 100, "gain_dbi": 2.15}  # a straight half wave without loss
    straight = safety.exposure(**dipole).keep_away_m
    assert 0.9 * straight < ten.keep_away_m < straight
    assert ten.keep_away_m > ten.keep_away_you_m >= safety.near_field_m(ten.f_mhz)
    assert it.plan.low.keep_away_m == pytest.approx(safety.near_field_m(it.plan.low.f_mhz))
    assert "near field" in it.plan.low.exposure_note and "near field" not in ten.exposure_note
    strong = design("mismatched").plan.high
    dipole = {"f_mhz": strong.f_mhz, "power_w": 1500, "gain_dbi": 2.15}
    assert strong.keep_away_m == pytest.approx(safety.exposure(**dipole).keep_away_m, rel=0.06)


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


def test_notes_name_the_trouble():
    """A tuner where no 2:1 is to be had, or 3:1 is passed; what the engine is not checked for."""
    eighty = design("80/40 low ends").plan
    said = [note.words for note in eighty.notes if note.key == "tuner"]
    assert f"On 80 metres the SWR is {eighty.low.worst_swr:.1f} at {eighty.low.worst_mhz:.3f} MHz" in said[0]
    assert eighty.low.worst_swr > 3 and not any(n.key == "tuner" for n in design("40/20 level").plan.notes)
    assert any("above 2:1" in note.words for note in design("mismatched").plan.notes)
    with pytest.warns(UserWarning, match="checked"):
        plan = al.design("20m", "10m", shape=al.FlatTop(height_m=0.9)).plan
    assert any("checked from 1 m up" in note.words for note in plan.notes)


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


def test_json():
    """Plain data that JSON carries without loss: no NaN, feet beside metres."""
    for yard in ("mismatched", "20/10 vee"):
        data = design(yard).plan.as_dict()
        assert json.loads(json.dumps(data, allow_nan=False)) == data
        assert data["inner_ft"] == pytest.approx(data["inner_m"] / 0.3048, abs=1e-3)
        assert data["cuts"][0]["cut_ft"] == pytest.approx(data["cuts"][0]["cut_m"] / 0.3048, abs=1e-3)
        assert data["heights"][0]["height_ft"] > data["heights"][0]["height_m"]
    assert data["span_ft"] == pytest.approx(9 / 0.3048, abs=1e-3)
    assert design("mismatched").plan.as_dict()["low"]["span_2"] is None


def test_the_plan_says_how_far_it_gets():
    """What it is made for, the worst there, where 2:1 ends: in words, never by numbers of the curve alone."""
    plan = design("20/10 level").plan
    text, ten = plain(plan.text()), plan.high
    assert f"Made for 28.000 to 29.000 MHz: SWR at most {ten.worst_swr:.1f}" in text
    low, high = ten.span_2
    assert f"under 2 from {low:.3f} to {high:.3f} MHz; the rest of the band wants a tuner" in text
    assert "It stays under 2 over the whole band." in [*plan.low.serves] and "over the whole" not in [
        *ten.serves
    ]
    assert "Nowhere is it under 2." in [*design("mismatched").plan.low.serves]
    off = replace(ten, span_2=(27.0, 27.9))
    assert "In the band it is nowhere under 2." in [*off.serves]


def test_text_reads():
    """Lines fit a screen; lengths in both units agree; print(plan) is the text."""
    plan = design("20/10 vee").plan
    text = plan.text()
    assert str(plan) == text
    table = re.compile(r"^ +(\d+\.\d+ m|height)")
    assert max(len(line) for line in text.splitlines() if not table.match(line)) <= 100
    pairs = re.findall(r"(\d+\.\d+) m \(([^)]*in)\)", plain(text))
    assert len(pairs) > 15
    for metres, feet in pairs:
        assert parse_length(feet) == pytest.approx(float(metres), abs=0.0065)
    for heading in ("CUT", "TRAPS", "ON 20 METRES", "ON 10 METRES", "HEIGHT", "TRIM", "NOTES", "CAUTIONS"):
        assert f"\n{heading}\n" in text


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
        assert plain(sentence) in sheet
    for band in plan.bands:
        assert f"SWR {band.swr:.2f}" in sheet and f"{band.trap_volts_peak:.0f} V peak" in sheet
    for cell in plan.trim_rows[0]:
        assert cell in sheet
    assert f"end to end {plan.width_m:.2f} m" in sheet


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


def test_curves_differ_without_colour():
    """On a copier's paper the two bands differ by their dashes."""
    styles = [axes.lines[0].get_linestyle() for axes in words_on("40/20 level")[0].axes[1:3]]
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
