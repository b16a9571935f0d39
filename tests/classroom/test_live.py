"""Live views: what the browser is sent is what the physics says, and what paper shows."""

import itertools
import re

import numpy as np
import pytest
from films import unsqueezed
from matplotlib import pyplot as plt
from matplotlib.lines import Line2D
from matplotlib.text import Text
from matplotlib.transforms import Bbox

import antlab as al
from antlab.__main__ import main
from antlab.classroom import live
from antlab.classroom.drawing.axes import plot_axes
from antlab.classroom.drawing.looks import BLUE, GREEN
from antlab.classroom.drawing.parts import FIRST, SECOND, Part, Scene, curved
from antlab.classroom.paper import pages
from antlab.classroom.views import player, swr_bands, trap_choice
from antlab.classroom.views import where_it_lands as views_where_it_lands
from antlab.classroom.views.film import FINE, points, seen, spoken
from antlab.classroom.views.half_wave_wire import FAR, HANGS, LAWN
from antlab.classroom.views.player import PHONE, PROJECTOR, SCREEN, Slider, view
from antlab.classroom.views.shared import EXAMPLE
from antlab.classroom.views.tuned_circuit import OFF
from antlab.engine.heights import half_wave_gain_dbi
from antlab.physics import circuit, lengths, sky
from antlab.physics.trap import GENTLE_FORM
from antlab.units import wavelength_m

VIEWS = pages.views()


def sent(frames, row):
    """Each part's points in pixels, shape (2, n), a gap as NaN."""
    for part in range(len(frames["parts"])):
        yield points(frames, part, row).T / FINE


@view(Slider("Turn", "°", 0, 90, 4, 30, digits=0), Slider("Size", "m", 1, 3, 3, 2), ink=("dark", "pale"))
def toy(fig, turn_deg, size_m, *, ink="dark"):
    """A line that turns."""
    if ink == "pale":
        raise ValueError("pale ink cannot be seen; choose dark")
    ax = plot_axes(fig, x=(0, 4), y=(0, 4))
    angle = np.radians(turn_deg)[:, None]
    reach = np.array([0.0, np.nan, 1.0]) * size_m[:, None]
    parts = [
        Part(ax, "line", reach * np.cos(angle), reach * np.sin(angle), FIRST),
        Part(ax, "text", np.array([1.0]), np.array([1.0]), SECOND, tuple(f"{t:.0f}" for t in turn_deg)),
    ]
    return Scene(parts, [f"{t:.0f} {s:.0f}" for t, s in zip(turn_deg, size_m, strict=True)], "a line")


def test_rows_are_the_product_of_the_sliders():
    """Row = first slider's place times the second's count plus its place: the rule that live.js follows."""
    _, frames = toy.film(SCREEN, toy.defaults)
    assert frames["rows"] == 12
    assert frames["says"][1 * 3 + 2] == "30 3"
    line, text = sent(frames, 1 * 3 + 2)
    ax_width = (9.0 * 100 - (4.8 + 1.2) * 15 / 72 * 100) / 4  # pixels for each unit
    assert line[0, 2] - line[0, 0] == pytest.approx(3 * np.cos(np.radians(30)) * ax_width, abs=0.2)
    assert np.isnan(line[:, 1]).all(), "a NaN is a gap in the line"
    assert frames["parts"][1]["x"]["fixed"], "what stays is sent once"


@pytest.mark.parametrize("name", VIEWS)
def test_the_table_holds_what_the_scene_draws(name):
    """Each part of each view, at three rows: the pixels sent are those matplotlib would draw at."""
    view = VIEWS[name]
    still, frames = view.film(SCREEN, view.defaults)
    sliders = view.sliders(**view.defaults)
    counts = [slider.count for slider in sliders]
    layers = [frames, *frames["over"]]
    assert all(one["rows"] == np.prod([counts[i] for i in one["sliders"]]) <= 2000 for one in layers)
    for share in (0.0, 0.37, 1.0):
        at = [round(share * (count - 1)) for count in counts]
        there = [*seen(frames, at, counts)]
        figure, _ = view.draw(tuple(s.values[i] for s, i in zip(sliders, at, strict=True)))
        one = view.film(SCREEN, view.defaults, at, still=False)[1]
        assert one["says"] == [spoken(frames, at, counts)]
        mines = [points for layer, row in there for points in sent(layer, row)]
        for mine, alone in zip(mines, sent(one, 0), strict=True):
            assert np.nanmax(np.abs(mine - alone), initial=0) <= 1 / FINE + 1e-9
        words = {text.get_text() for text in figure.findobj(Text)}
        small = view.film(PHONE, view.defaults, at, still=False)[1]
        marks = {
            part["texts"][0]
            for part, place in zip(small["parts"], sent(small, 0), strict=True)
            if part["kind"] == "text" and np.isfinite(place).all()
        }
        assert marks <= words, "paper shows the same marks"
        plt.close(figure)
    assert still["png"][:4] == b"\x89PNG"
    assert len(still["alt"]) > 40


def test_paper_shows_the_same_curve():
    """The height view on paper: the line in the panel of 12 m is the row of 12 m that the browser gets."""
    figure, axes = live.height.draw(5, 12, 20)
    assert len(axes) == 3
    _, frames = live.height.film(PHONE, live.height.defaults)
    low = next(sent(frames, 100))
    lines = [
        one for one in axes[1].findobj(Line2D) if one.get_color() == BLUE and len(one.get_xdata()) == 181
    ]
    drawn = axes[1].transData.transform(np.transpose(lines[0].get_data()))
    shape = np.stack([(v - v[0]) for v in (drawn[:, 0], -drawn[:, 1])])
    scale = np.ptp(low[0]) / np.ptp(shape[0])  # a panel is larger than a phone
    assert np.abs(low - low[:, :1] - scale * shape).max() < 0.2
    plt.close(figure)


def test_height_says_what_the_engine_says():
    """The words of a row are al.Dipole's own figures."""
    _, frames = live.height.film(SCREEN, live.height.defaults)
    row = 137
    height_m = live.height.sliders()[0].values[row]
    for name, line in zip(("40m", "20m"), frames["says"][row].split("\n"), strict=True):
        f = al.band(name).middle_mhz
        wire = al.Dipole(inner_m=lengths.rule_length_m(f) / 2, shape=al.FlatTop(height_m=height_m)).pattern(f)
        takeoff, count, width = re.search(r"takeoff (\d+)°, (\d) lobes?, beamwidth (\d+)°", line).groups()
        low, high = wire.beamwidth_deg()
        assert int(takeoff) == pytest.approx(wire.takeoff_deg, abs=0.6)
        assert int(count) == len(wire.lobes())
        assert int(width) == pytest.approx(high - low, abs=0.7)


@pytest.mark.parametrize(("inductance_uh", "capacitance_pf"), [(4, 100), (0.5, 25), (8, 400)])
def test_a_narrower_peak_looks_narrower(inductance_uh, capacitance_pf):
    """While Q is dragged the chart of the top keeps its kilohertz: twice the Q, its dots half as far apart.

    It keeps its kilohms too, up to a hundred; beside it, to the same scale, stands the peak of the start.
    """
    pairs = {"inductance_uh": np.full(5, inductance_uh), "capacitance_pf": np.full(5, capacitance_pf)}
    q = live.tuned_circuit.sliders()[2].values
    scene = live.tuned_circuit.scene(live.tuned_circuit.figure(SCREEN), **pairs, q=q)
    close = scene.parts[-1].ax
    (dots,) = (part for part in scene.parts if part.ax is close and part.kind == "dots")
    assert np.ptp(dots.x, axis=1) * q == pytest.approx(np.ptp(dots.x[0]) * 25)
    assert np.ptp(dots.x[0]) <= 2, "in sight"
    now, began = (part.y for part in scene.parts if part.ax is close and part.x is OFF)
    assert now.max(axis=1) / q == pytest.approx(now[-1].max() / 400, rel=0.01)
    assert dots.y[:, 0] == pytest.approx(now.max(axis=1) * np.sqrt(0.5), rel=0.01)
    same = np.isclose(q, 200) & (inductance_uh == 4)
    assert np.array_equal(np.isnan(began).all(axis=1), same), "nothing lies under the curve"
    tall = live.tuned_circuit.scene(
        live.tuned_circuit.figure(SCREEN), *map(np.array, ([8.0], [50.0], [200.0]))
    )
    now, began = (part.y for part in tall.parts if part.x is OFF)
    assert now.max() == pytest.approx(2 * began.max(), rel=0.01)


def words_of(fig):
    """All that is written in a figure."""
    return [text.get_text() for text in fig.findobj(Text) if text.get_text()]


def test_what_is_drawn_to_another_scale_says_so():
    """Lesson 01's pair with a Q of 2 is drawn taller than of 200; the rule's dots lie off its curve."""
    fig, _ = live.tuned_circuit.draw((4, 100, 200), (4, 100, 2))
    wide, high = fig.get_size_inches()
    assert high / wide * 898 <= 430, "both charts are seen at once beside the words"
    left, right = (words_of(one) for one in fig.subfigs[2:])
    for said in ("other scale:", "200 × as tall", "1/100 as wide", "the rule says", "MHz off the resonance"):
        assert said in right and said not in left, said
    assert "the power" in left and "the power" not in right
    plt.close(fig)


def test_the_coils_name_keeps_off_the_needle():
    """Where the needle stands far to the right the name stands beside its line."""
    begin = [slider.begin for slider in live.tuned_circuit.sliders()]
    for inductance_uh, capacitance_pf in ((2, 25), (4, 50), (1.25, 25), (0.5, 25)):
        place = np.array([[inductance_uh], [capacitance_pf], [begin[2]]], dtype=float)
        scene = live.tuned_circuit.scene(live.tuned_circuit.figure(SCREEN), *place)
        (name,) = (part for part in scene.parts if part.texts[:1] == ("coil",))
        curve = next(part for part in scene.parts if part.kind == "line" and part.x.size > 60)
        near = np.abs(np.log10(curve.x / name.x)) < 0.12
        assert np.abs(np.log10(curve.y / name.y))[near].min() > 0.2, (inductance_uh, capacitance_pf)


def test_a_wave_longer_than_the_picture_says_where_it_ends():
    """An arrow at the edge and words, where the wave's end is out of sight; its band is said in words."""
    (f,) = (slider.values for slider in live.one_wave.sliders())
    scene = live.one_wave.scene(live.one_wave.figure(SCREEN), f)
    (said,) = (part for part in scene.parts if part.texts and part.texts[0].startswith("ends at"))
    assert said.texts[0] == "ends at 85.7 m" and "85.7 m" in scene.says[0]
    seen = np.isfinite(said.x[:, 0])
    assert seen[0] and not seen[-1] and wavelength_m(f)[seen].min() > 46 >= wavelength_m(f)[~seen].max()
    assert any("30.0 MHz, beyond the 10-metre band" in part.texts for part in scene.parts)
    fig, _ = live.one_wave.draw(7.1, 14.2)
    assert sum("14.2 MHz" in said for said in words_of(fig)) == 1, "a frequency is written once"
    plt.close(fig)


def test_other_views_say_what_their_formulas_say():
    """One row of each of the closed-form views, read back against the room it comes from."""
    says = live.tuned_circuit.film(SCREEN, {}, [6, 16, 3], still=False)[1]["says"][0]
    values = [s.values[i] for s, i in zip(live.tuned_circuit.sliders(), (6, 16, 3), strict=True)]
    resonance = circuit.resonance_mhz(inductance_uh=values[0], capacitance_pf=values[1])
    assert f"Resonance {resonance:.2f} MHz" in says
    says = live.one_wave.film(SCREEN, {}, [107], still=False)[1]["says"][0]
    assert "At 14.2 MHz" in says and "21.1 m (69 ft) long, half of it 10.6 m (35 ft)" in says  # 299.79 / 14.2
    says = live.where_it_lands.film(SCREEN, {"wire_m": 9.0}, [14, 2, 0], still=False)[1]["says"][0]
    assert says.startswith("20 metres, noon, skip zone 381 km")
    assert f"the ray lands {sky.hop_km(15, 300):.0f} km" in says
    says = live.feed_line.film(SCREEN, {"cable": "RG-58", "f_mhz": 28.5}, [20, 4, 1], still=False)[1]["says"][
        0
    ]
    assert says.startswith("SWR 2.0 in the shack, ∞ at the antenna")  # 30 m wet loses as 60 m dry, lesson 05
    assert says.endswith("Of the 89 W fed in 0 W reach the antenna")


@pytest.mark.parametrize(
    ("f_mhz", "wire_mm", "hangs"),
    [(14.2, 2.0, FAR), (28.4, 4.0, FAR), (3.6, 0.5, FAR), (14.2, 2.0, LAWN)],
)
def test_the_half_wave_wire_shows_what_the_engine_says(f_mhz, wire_mm, hangs):
    """View and cell of lesson 02 give one number for one wire: ohms, and where the SWR dips and how deep."""
    choices = {"f_mhz": f_mhz, "wire_mm": wire_mm, "hangs": hangs}
    lengths_m = live.half_wave_wire.sliders(**choices)[0].values
    assert np.allclose(lengths_m, np.round(lengths_m, 2)), "a length can be cut as it is read"
    says = live.half_wave_wire.film(SCREEN, choices, still=False)[1]["says"]
    for i in np.linspace(0, len(lengths_m) - 1, 5).astype(int):
        wire = al.Dipole(inner_m=lengths_m[i] / 2, wire_diameter_mm=wire_mm, **HANGS[hangs])
        z = complex(wire.impedance(f_mhz))
        real, sign, imag = re.search(r"MHz: (\S+) (.) j(\S+) Ω", says[i]).groups()
        assert float(real) == pytest.approx(z.real, abs=0.7)
        assert float(imag) * (1 if sign == "+" else -1) == pytest.approx(z.imag, abs=0.8)
        least, at = map(float, re.search(r"Lowest (\S+) at (\S+) MHz", says[i]).groups())
        over = at * np.linspace(0.99, 1.01, 201)
        swr = wire.swr(over)
        assert least == pytest.approx(swr.min(), abs=0.06)
        assert at == pytest.approx(over[swr.argmin()], abs=0.005 + 0.0003 * f_mhz)


@pytest.mark.parametrize("drag", live.swr_bands.choices["drag"])
def test_swr_between_the_engine_s_supports(drag):
    """SWR of both bands where the engine was not asked, against asking it."""
    f = np.linspace(28.2, 28.8, 3)
    slider = live.swr_bands.sliders(drag=drag, dipole=EXAMPLE)[0]
    value = slider.start + 0.637 * (slider.stop - slider.start)
    there = swr_bands._changed(EXAMPLE, drag, value).swr(f)
    z = swr_bands._engine_at(EXAMPLE, drag, tuple(f))(np.array([value]))[0]
    assert circuit.swr(z) == pytest.approx(there, rel=0.02)


@pytest.mark.parametrize("name", VIEWS)
def test_every_slider_has_a_name_and_every_value_a_text(name):
    """Names and units for those who listen; feet beside metres."""
    view = VIEWS[name]
    for slider in view.sliders(**view.defaults):
        assert slider.name
        assert slider.unit or slider.words or slider.name.endswith("Q")
        assert ("ft" in slider.text(slider.begin)) == (slider.unit == "m")


@pytest.mark.parametrize(("coil", "tuned"), [(1.0, 28.47), (1.62, 27.3), (5.0, 26.91), (1.3, 28.9)])
def test_trap_choice_between_its_supports(coil, tuned):
    """Lengths, loss, volts and SWR for traps that were not asked for, against solving for them."""
    trap = al.Trap(
        inductance_uh=coil, capacitance_pf=circuit.capacitance_for_pf(f_mhz=tuned, inductance_uh=coil)
    )
    made = al.design(shape=trap_choice.HANGS, trap=trap, **trap_choice.AIMS)
    scene = live.trap_choice.scene(live.trap_choice.figure(SCREEN), np.array([coil]), np.array([tuned]))
    words = scene.says[0].replace("\n", " ")
    said = re.search(
        r"side (\S+) \+ (\S+) m"
        + r".* \d0 metres: SWR (\S+) at best, .* over (\d+) kHz; (\S+) % lost .* (\d+) V peak" * 2,
        words,
    )
    inner, outer, best, wide, low, volts, high_best, wider, high, more_volts = map(float, said.groups())
    widths = [wide, wider]
    for aim, least, about in ((made.low, best, 0.6), (made.high, high_best, 1.4)):
        near = np.linspace(aim.f_mhz - about, aim.f_mhz + about, 401)
        assert least == pytest.approx(made.dipole.swr(near).min(), abs=0.06)
    assert (inner, outer) == pytest.approx((made.dipole.inner_m, made.dipole.outer_m), abs=0.008)
    assert widths == pytest.approx([made.span(aim).width_khz for aim in made.aims], rel=0.01)
    for aim, lost, peak in ((made.low, low, volts), (made.high, high, more_volts)):
        assert lost == pytest.approx(100 * (1 - made.efficiency(aim)), abs=0.1)
        assert peak == pytest.approx(made.stress(aim).volts_peak, rel=0.005)


def test_trap_choice_draws_a_curve_as_far_as_the_picture_goes():
    """With the largest coil the 10-metre curve begins above the picture and ends at its edge."""
    scene = live.trap_choice.scene(live.trap_choice.figure(SCREEN), np.array([5.0]), np.array([28.47]))
    _, curve = (part for part in scene.parts if part.kind == "line" and part.y.ndim == 2 and part.y.max() > 2)
    ax = curve.ax
    assert curve.y[0, 0] > ax.get_ylim()[1] and curve.x[-1] == ax.get_xlim()[1]


def crossed(frames, said):
    """In how many rows a curve goes through the words that a pattern finds; they are there in each."""
    curves = [i for i, part in enumerate(frames["parts"]) if part["kind"] == "line" and part["n"] > 20]
    found = []
    for row in range(frames["rows"]):
        for i, part in enumerate(frames["parts"]):
            if part["kind"] != "text" or not re.search(said, part["texts"][row]):
                continue
            middle, size = points(frames, i, row)[0], part["size"]
            half = np.array([0.3 * len(part["texts"][row]), 0.36]) * size
            near = (np.abs(points(frames, k, row) - middle) < half for k in curves)
            found.append(any(np.all(one, axis=1).any() for one in near))
    assert len(found) >= frames["rows"]
    return sum(found)


@pytest.mark.parametrize("look", player.SCREENS | {"phone": player.PHONE})
def test_no_curve_goes_through_a_number(look):
    """Neither through the name of SWR 2, at any length of the wire, nor where a dip is, folded or not."""
    look = player.SCREENS.get(look, player.PHONE)
    _, frames = live.half_wave_wire.film(look, live.half_wave_wire.defaults | {"f_mhz": 3.6}, still=False)
    assert crossed(frames, "^SWR 2$") == 0
    _, frames = live.trimming.film(look, live.trimming.defaults, still=False)
    assert crossed(frames, r"^\d\d\.\d\d$") == 0


def test_the_trap_is_told_in_plain_words():
    """Below its own frequency a coil, above it a capacitor, on it a resistor; nobody has to know j."""
    view = live.trap_dipole
    for f_mhz, like in ((14.2, "coil of 148 Ω"), (28.5, "resistor of 41 kΩ"), (29.3, "capacitor of 3877 Ω")):
        _, frames = view.film(SCREEN, view.defaults, still=False)
        (row,) = view.places({"f_mhz": f_mhz}, view.defaults)
        assert f"The trap is like a {like};" in frames["says"][row]


@pytest.mark.parametrize("cable", live.coax_trap.choices["cable"])
def test_turns_on_a_pipe(cable):
    """Every cable on every pipe of the slider can be wound; a row says and draws what al.CoaxTrap says."""
    pipe, turns = live.coax_trap.sliders(cable=cable)
    says = live.coax_trap.film(SCREEN, {"cable": cable, "hookup": "braid"}, still=False)[1]["says"]
    wound = al.CoaxTrap(cable=cable, form_diameter_mm=pipe.values[12], turns=turns.values[9], hookup="braid")
    parts = f"{wound.trap.inductance_uh:.2f} µH with {wound.trap.capacitance_pf:.1f} pF"
    *minded, words, _ = says[12 * turns.count + 9].split("\n")
    assert words.startswith(f"{wound.resonance_mhz:.2f} MHz: {parts}")
    tight, foam = int(wound.bend < GENTLE_FORM), int(wound.cable.is_foam)
    assert [said.split(":")[0] for said in minded] == ["! tight"] * tight + ["! foam"] * foam
    assert pipe.start >= 6 * al.cable.cable(cable).outer_mm


def test_widget_and_its_choices():
    """A choice makes a new table; the still is sent anew only when it differs."""
    widget = live.height(height_m=7.5, soil="wet")
    assert widget.positions == {"height_m": pytest.approx(7.5)}
    before, still = widget.player.frames, widget.player.still
    widget.controls["low"].value = "80m"
    assert widget.player.frames["says"][55].startswith("80 metres:")
    assert widget.player.frames["table"] != before["table"]
    assert widget.player.still["png"] == still["png"]
    first, second = repr(widget).split("\n")
    assert first.startswith("Live view: Height and takeoff") and second == "Run this cell again to drag it."


def test_impossible_settings_say_so_and_recover():
    """The ValueError's sentence in place of the picture; the next possible setting brings it back."""
    widget = live.height(low="41m")
    assert "no band I know" in widget.player.frames["message"]
    widget.controls["low"].value = "40m"
    assert not widget.player.frames["message"] and widget.player.frames["rows"] == 281
    widget = live.height(height_m=50)
    assert "Height goes from 2 to 30 m" in widget.player.frames["message"]
    assert widget.player.frames["rows"] == 281, "any move of the slider brings the picture"
    widget = live.half_wave_wire(f_mhz=7_100_000)
    assert "looks like hertz" in widget.player.frames["message"]
    widget = toy()
    widget.controls["ink"].value = "pale"
    assert "cannot be seen" in widget.player.frames["message"]
    with pytest.raises(TypeError, match="takes height_m, low, high, soil"):
        live.height(hight_m=10)


def test_a_view_that_asks_gets_one_row_at_a_time():
    """The kernel's way: each position of the sliders is answered by its own row, errors included."""
    asking = player.View(toy.scene, toy.sliders, toy.choices, toy.size, ask=True)
    widget = asking(turn_deg=60)
    assert widget.player.frames["says"] == ["60 2"]
    still = widget.player.still
    widget.player.at = [3, 0]
    assert widget.player.frames["says"] == ["90 1"] and widget.player.frames["rows"] == 1
    assert widget.player.still is still, "the background is not drawn again"


def test_an_antenna_of_the_student_s_own():
    """A dipole handed in replaces the example, and its slider covers what it covers."""
    mine = al.Dipole(
        inner_m=5.21,
        outer_m=4.05,
        trap=al.Trap(inductance_uh=2.5, capacitance_pf=50),
        shape=al.InvertedVee(apex_m=9, ends_m=5),
    )
    widget = live.swr_bands(dipole=mine, low="40m", high="20m", drag="height")
    assert widget.player.frames["says"][0].startswith("40 metres: lowest SWR")
    assert list(widget.controls) == ["drag"], "one antenna is no choice"
    assert widget.view.sliders(**widget.choices)[0].start == pytest.approx(6.0), "its ends stay 2 m up"


@pytest.mark.parametrize(("name", "soil", "height_m"), [("40m", "average", 2), ("10m", "very dry", 8.5)])
def test_the_low_wire_shows_the_engine_s_ohms_and_watts(name, soil, height_m):
    """What stands large in the picture is al.Dipole's: ohms over soil and mirror, watts to the sky."""
    at = live.soil_and_mirror.places({"height_m": height_m}, {})
    _, frames = live.soil_and_mirror.film(SCREEN, {"band_name": name, "soil": soil}, at, still=False)
    marks = [text for part in frames["parts"] for text in part["texts"]]
    f = al.band(name).middle_mhz
    wires = [
        al.Dipole(inner_m=lengths.rule_length_m(f) / 2, shape=al.FlatTop(height_m=height_m), soil=one)
        for one in (soil, "perfect ground")
    ]
    here, mirror, watts, heat = (float(re.search(r"\d+", mark)[0]) for mark in marks)
    assert marks[-1].endswith("as heat") and watts + heat == 100
    assert here == pytest.approx(wires[0].impedance(f).real, abs=1)
    assert mirror == pytest.approx(wires[1].impedance(f).real, abs=1)
    assert watts == pytest.approx(100 * wires[0].pattern(f).sky_fraction, abs=1)


def test_over_a_mirror_one_curve_is_both():
    """With perfect ground chosen the picture says that the dotted curve lies under the other one."""
    _, frames = live.soil_and_mirror.film(SCREEN, {"band_name": "40m", "soil": "perfect ground"}, [0])
    assert "a mirror" in [text for part in frames["parts"] for text in part["texts"]]
    assert "warm the wire" in frames["says"][0]


def test_whoever_gets_there_is_told():
    """The wave says where the most or the least goes; a ray is heavy where a band takes off at it."""
    one, given = live.wave_over_soil, {"low": "20m", "high": "10m", "toward_deg": 15}
    for choices, band, there in (({}, "40m", 90), (given, "10m", 15)):
        choices = one.defaults | choices
        high = one.sliders(**choices)[0].values
        at = [one.places({"height_m": h, "upper": band == "10m"}, choices) for h in high]
        says = [one.film(SCREEN, choices, a, still=False)[1]["says"][0] for a in at]
        f, soil = float(al.band(band).middle_mhz), al.soil("average")
        gain = half_wave_gain_dbi(np.array([there]), high, f_mhz=f, soil=soil)[:, 0]
        for word, best in (("most", gain.max()), ("least", gain.min())):
            marked = np.array([f", {word} of all heights" in one for one in says])
            assert marked[gain == best].all() and (abs(gain[marked] - best) <= 0.1).all()
    _, frames = live.height.film(SCREEN, live.height.defaults | given, still=False)
    rays = [i for i, part in enumerate(frames["parts"]) if part["kind"] == "line" and part["n"] == 2]
    heavy = sorted(rays, key=lambda i: frames["parts"][i]["width"])[-2:]
    for row, said in enumerate(frames["says"]):
        found = [f"takeoff {15}°" in line for line in said.split("\n")]
        assert [bool(np.isfinite(points(frames, i, row)).all()) for i in sorted(heavy)] == found


def test_one_wave_alone_is_not_named():
    """Task 1 of lesson 06, around what each wave runs out, is for the eye: no words beside it tell."""
    one = live.wave_over_soil
    for shown in (1, 2):
        _, frames = one.film(SCREEN, one.defaults, one.places({"shown": shown}, one.defaults), still=False)
        assert "around" not in frames["says"][0] and "circles" not in frames["says"][0]


def test_arcs_at_the_rim_are_the_beams():
    """Each band has an arc from edge to edge of its beam, as it is said, the second on the left."""
    figure, (ax,) = live.height.draw(9.4, low="20m", high="10m")
    arcs = [one.get_xydata() for one in ax.lines if len(one.get_xdata()) == 81]
    angles = [np.degrees(np.arctan2(y, x)).round() for x, y in (one.T for one in arcs)]
    assert [(one[0], one[-1]) for one in angles] == [(15, 54), (180 - 8, 180 - 24)]
    assert max(abs(np.hypot(*one.T) - 1).max() for one in arcs) < 0.03
    plt.close(figure)


@pytest.mark.parametrize(("height_m", "flat"), [(3.0, True), (3.2, False), (10.5, False)])
def test_a_flat_top_is_said(height_m, flat):
    """Where the strength falls by less than 1 dB from the takeoff angle to overhead, with no gap between."""
    one = live.height
    choices = one.defaults | {"low": "20m", "high": "10m"}
    _, frames = one.film(SCREEN, choices, still=False)
    row = one.places({"height_m": height_m}, choices)[0]
    assert ("flat on top" in frames["says"][row].split("\n")[1]) == flat


def test_height_s_chart_is_the_engine_s():
    """Beside the sky: dots at the gain and height of the row, and the best heights, as al.Dipole has them."""
    one, given = live.height, {"low": "20m", "high": "10m", "toward_deg": 15}
    fig, _ = one.still(SCREEN, {"height_m": 13}, one.defaults | given)
    chart = fig.axes[1]
    named = {text.get_text() for text in chart.texts} & {"11 m\n36 ft", "22 m\n72 ft"}
    _, frames = one.film(SCREEN, one.defaults | given, still=False)
    (left, ground), (right, top) = chart.transData.transform([(-10, 0), (10, 30)])
    high = one.sliders()[0].values
    dots = [i for i, part in enumerate(frames["parts"]) if part["kind"] == "dots"]
    assert len(named) == len(dots) == 2
    for dot, name, best in zip(dots, ("20m", "10m"), (22, 11), strict=True):
        f, found = float(al.band(name).middle_mhz), []
        for row in (0, 90, 110, 180, 200, 280):
            x, y = points(frames, dot, row)[0] / FINE
            wire = al.Dipole(inner_m=lengths.rule_length_m(f) / 2, shape=al.FlatTop(height_m=high[row]))
            gain = float(wire.pattern(f).gain_dbi(15))
            assert -10 + 20 * (x - left) / (right - left) == pytest.approx(
                gain, abs=0.25 if gain > -5 else 1.5
            )
            assert 30 * (fig.bbox.height - y - ground) / (top - ground) == pytest.approx(high[row], abs=0.1)
            found.append(gain)
        near = [
            al.Dipole(inner_m=lengths.rule_length_m(f) / 2, shape=al.FlatTop(height_m=h))
            .pattern(f)
            .gain_dbi(15)
            for h in (best - 1.5, best, best + 1.5)
        ]
        assert near[1] == max(near)


def test_height_s_hands_with_a_club():
    """Three hold the height: a ray of each band, and the black dot, which goes straight up with the wire."""
    choices = live.height.defaults | {"low": "20m", "high": "10m", "toward_deg": 15}
    for look in (SCREEN, PROJECTOR, PHONE):
        _, frames = live.height.film(look, choices, still=False)
        assert [one["slider"] for one in frames["handles"]] == [0, 0, 0]
        path = np.concatenate([points(frames, 2, row, among="handles") for row in range(frames["rows"])])
        assert np.ptp(path[:, 0]) == 0 and (np.diff(path[:, 1]) < 0).all()


def test_height_table_is_small():
    """At most 1 MB goes to the browser for the height view."""
    assert len(live.height.film(SCREEN, live.height.defaults, still=False)[1]["table"]) < 1e6


def film_of(path):
    """What a phone page plays on a phone."""
    return unsqueezed(re.search(r'const phone = "(.*)";\n', path.read_text(encoding="utf-8"))[1])


def test_pages(tmp_path, monkeypatch):
    """One file a view, in the order of the lessons: under 0.8 MB, its film in it, no other machine named."""
    folder = tmp_path / "for phones"
    written = pages.write_pages(folder)
    assert [path.stem for path in written] == ["index", *VIEWS]
    assert list(VIEWS)[0] == "one_wave" and list(VIEWS).index("coax_trap") < list(VIEWS).index("height")
    for path in written:
        text = path.read_text(encoding="utf-8")
        assert len(text.encode()) < 8e5
        assert "default-src 'none'" in text and '<html lang="en">' in text
        assert set(re.findall(r"https?://[^\s\"'<]+", text)) <= {"http://www.w3.org/2000/svg"}
    _, frames = VIEWS[path.stem].film(PHONE, VIEWS[path.stem].defaults)
    assert film_of(path)["frames"] == frames
    said = " ".join(film_of(folder / "height.html")["frames"]["says"])
    assert "20 metres: takeoff" in said and "40 metres" not in said, "a page has the bands of its lesson"
    monkeypatch.setattr(pages, "views", lambda: {"height": VIEWS["height"]})
    assert pages.write_pages(folder), "our own pages may be written again"
    (folder / "height.html").write_text("my mountain diary")
    with pytest.raises(FileExistsError, match="height.html is not one of antlab's"):
        pages.write_pages(folder)
    assert (folder / "height.html").read_text() == "my mountain diary"


def test_pages_command(tmp_path, capsys, monkeypatch):
    """`antlab pages` writes them; what is in the way is one sentence and exit status 2."""
    monkeypatch.setattr("antlab.cli.main.settle", lambda extra, argv: None)
    monkeypatch.setattr(pages, "views", lambda: {"toy": toy})
    assert main(["pages", "--folder", str(tmp_path / "p"), "--lesson", "77"]) == 2
    assert "there is no lesson 77: name some of 00, 01" in capsys.readouterr().err
    monkeypatch.setattr("antlab.cli.pages.numbers_of", lambda asked: [])
    assert main(["pages", "--folder", str(tmp_path / "p")]) == 0
    assert "Wrote 4 pages" in capsys.readouterr().out, "index, symbols, sources and the view"
    (tmp_path / "p" / "toy.html").write_text("mine")
    assert main(["pages", "--folder", str(tmp_path / "p")]) == 2
    assert "choose another" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("line_m", "antenna", "ohm", "wet"), [(37, 2, 150, 0), (23, 3, 250, 1), (30, 4, np.inf, 1)]
)
def test_the_line_shows_its_physics(line_m, antenna, ohm, wet):
    """Volts on the line, both meters and the bar of watts, against the room of cables; wet counts double."""
    one, on = live.feed_line, {"cable": "RG-58", "f_mhz": 28.5}
    at = one.places({"line_m": line_m, "antenna": antenna, "condition": wet}, one.defaults)
    frames = one.film(SCREEN, one.defaults, at, still=False)[1]
    loss_db = al.cable.loss_db(length_m=line_m, **on) * (2 if wet else 1)
    longer_m = line_m * (2 if wet else 1)
    shack = al.cable.swr_along_line(ohm, distance_m=longer_m, **on)
    fed = 100 * (1 - circuit.reflection_of_swr(shack) ** 2)
    arrives = fed * 10 ** (-al.cable.total_loss_db(ohm, length_m=longer_m, **on) / 10)
    assert f"SWR {shack:.1f} in the shack" in frames["says"][0]
    assert f"Of the {fed:.0f} W fed in {arrives:.0f} W reach the antenna" in frames["says"][0]
    swings = [i for i, part in enumerate(frames["parts"]) if part["swing"]]
    tops = [
        max(level_of(frames, i, turn) for turn in np.linspace(0, 1, 60, endpoint=False)) for i in swings[:2]
    ]  # of the waves there and back, at the antenna
    there = np.sqrt(2 * 100 * 50) * 10 ** (-loss_db / 20)
    back = there * abs(circuit.reflection_coefficient(ohm))
    assert tops[0] > 0 and tops[1] / tops[0] == pytest.approx(back / there, abs=0.01)


@pytest.mark.parametrize(("ohm", "antenna", "f_mhz"), [(150, 2, 28.5), (250, 3, 28.5), (150, 2, 7.1)])
def test_the_line_s_waves_are_true_between_their_points(ohm, antenna, f_mhz):
    """All along, to the shack and no farther, the curves are the volts, and how far they swing."""
    one, on = live.feed_line, {"cable": "RG-58", "f_mhz": f_mhz}
    _, scene = one.still(SCREEN, {"line_m": 31, "antenna": antenna}, one.defaults | on)
    curves = [part for part in scene.parts if part.smooth]
    parts_m = np.linspace(0, 31, 400)
    there, back = 2**0.5 * al.cable.volts_along_line(ohm, length_m=31, distance_m=parts_m, **on)
    swing = abs(there + back)
    for part, volts in zip(curves, (there, back, swing, -swing, there + back), strict=True):
        x, y = curved(part.x, np.real(part.y[0]), until=part.until[0, 0])
        there_is = np.isfinite(y)
        assert np.nanmin(x[there_is]) == -31
        drawn = np.interp(-parts_m, x[there_is][::-1], y[there_is][::-1])
        assert np.allclose(drawn, volts.real, atol=1.2), "volts, of a hundred"


def test_a_standing_wave_s_curves_cross():
    """An open end without loss: how far it swings has no corner to be rounded off where the line is still."""
    _, scene = live.feed_line.still(SCREEN, {"line_m": 31, "antenna": 4, "condition": 2}, {"f_mhz": 28.5})
    _, _, above, below, _ = [part for part in scene.parts if part.smooth]
    wave_m = al.cable.cable("RG-58").velocity_factor * al.units.wavelength_m(28.5)
    for part, sign in ((above, 1), (below, -1)):
        x, y = curved(part.x, part.y[0], until=part.until[0, 0])
        assert np.allclose(
            y[np.isfinite(y)], sign * 200 * np.cos(2 * np.pi * x / wave_m)[np.isfinite(y)], atol=1
        )


@pytest.mark.parametrize("look", [SCREEN, PROJECTOR, PHONE])
def test_a_line_of_a_large_garden(look):
    """60 m (197 ft), all of it in the picture, its places told; little goes to the browser all the same."""
    one = live.feed_line
    assert one.sliders()[0].text(60) == "60 m (197 ft)"
    fig, scene = one.still(look, {"line_m": 60}, one.defaults)
    names = {text.get_text().replace("\n", " ") for text in fig.findobj(Text)}
    assert {"60 m (197 ft)", "40 m (131 ft)", "20 m (66 ft)"} <= names
    (word,) = (text for text in fig.findobj(Text) if text.get_text() == "shack")
    assert word.get_window_extent().x0 > word.axes.bbox.x0
    ticks = [one for one in scene.parts[2].ax.get_xticklabels() if one.get_text()]
    boxes = [tick.get_window_extent() for tick in sorted(ticks, key=lambda one: one.get_position()[0])]
    assert all(box.x1 < beside.x0 for box, beside in itertools.pairwise(boxes))
    assert len(one.film(look, one.defaults, still=False)[1]["table"]) < 1.2e6


@pytest.mark.parametrize("look", [SCREEN, PROJECTOR, PHONE])
@pytest.mark.parametrize(
    "at", [{"line_m": 31}, {"line_m": 24, "condition": 2, "antenna": 4}, {"line_m": 10}, {"line_m": 60}]
)
def test_the_line_s_words_keep_apart(look, at):
    """What the radio sees, the curves' names, and the watts under their pieces do not meet."""
    one = live.feed_line
    fig, scene = one.still(look, at, one.defaults | {"f_mhz": 7.1})
    boxes = {words.get_text(): words.get_window_extent() for words in fig.findobj(Text) if words.get_text()}
    (names,) = (ax.get_legend() for ax in fig.axes if ax.get_legend())
    names = Bbox.union([one.get_window_extent() for one in (*names.get_texts(), *names.get_lines())])
    found = [box for words, box in boxes.items() if re.match("radio|and|warmth|back |antenna .* W", words)]
    assert len(found) >= 4
    for box, other in itertools.combinations([*found, names], 2):
        assert not box.overlaps(other)


def level_of(frames, part, turn):
    """How far above its middle a swinging part's first point is, in pixels."""
    y = [points(frames, part, 0, one)[0, 1] for one in (turn, turn + 0.5)]
    return (y[1] - y[0]) / 2 / FINE


PLACES = {
    "where_it_lands": ([14, 2, 0], [70, 2, 0], [40, 1, 1], [44, 3, 1]),  # a ray is lost, or closed, too
    "feed_line": ([20, 2, 0], [30, 2, 0], [27, 2, 0], [20, 4, 1], [4, 4, 2], [11, 3, 2]),
}


@pytest.mark.parametrize("name", [name for name, view in live.VIEWS.items() if view.heard])
def test_words_out_of_sight_stand_in_the_picture(name):
    """A view whose words are only heard draws each of their numbers."""
    one = live.VIEWS[name]
    for at in PLACES[name]:
        values = (slider.values[i] for slider, i in zip(one.sliders(**one.defaults), at, strict=True))
        fig, scene = one.still(SCREEN, dict(zip(one.positions, values, strict=True)), one.defaults)
        drawn = " ".join(text.get_text() for text in fig.findobj(Text))
        numbers, seen = (re.findall(r"\d+(?:\.\d+)?", words) for words in (scene.says[0], drawn))
        assert numbers and {*numbers} <= {*seen}


def test_watts_of_a_line_add_up():
    """Whole watts: warmth and what comes back to the nearest, the antenna's the rest of a hundred."""
    one = live.feed_line
    for f_mhz in one.choices["f_mhz"]:
        frames = one.film(SCREEN, one.defaults | {"f_mhz": f_mhz}, still=False)[1]
        texts = [part["texts"] for part in frames["parts"] if part["kind"] == "text"]
        watts = {
            all_rows[0].rsplit(maxsplit=2)[0]: np.array([int(text.split()[-2]) for text in all_rows])
            for all_rows in texts if all_rows[0].endswith(" W")
        }  # fmt: skip
        assert len(watts["back"]) == frames["rows"]
        assert np.all(watts["fed in"] == 100 - watts["back"])
        assert np.all(watts["antenna"] + watts["warmth"] == watts["fed in"]) and watts["antenna"].min() == 0
    at = one.places({"line_m": 40}, one.defaults)
    says = one.film(SCREEN, one.defaults, at, still=False)[1]["says"][0]
    share = 10 ** (-al.cable.total_loss_db(150, length_m=40, cable="RG-58", f_mhz=28.5) / 10)
    fed, gets = map(int, re.search(r"the (\d+) W fed in (\d+) W", says).groups())
    assert gets == pytest.approx(share * fed, abs=1)


def test_where_it_lands_is_the_engine_s():
    """Gain from the wire's height, best height, landing and skip zone, against antenna and sky."""
    one = live.where_it_lands
    for band, f_mhz, angle, when in ((2, 14.175, 15, "noon"), (1, 7.15, 71, "noon"), (0, 3.7, 71, "night")):
        at = one.places(
            {"elevation_deg": angle, "band": band, "when": ("noon", "night").index(when)}, one.defaults
        )
        says = one.film(SCREEN, one.defaults, at, still=False)[1]["says"][0]
        leg = lengths.rule_length_m(f_mhz) / 2
        words = r"\nfrom your .*: (\S+) dBi; (\S+) m \(\d+ ft\) is enough: (\S+) dBi, best (\S+);"
        gain, low_m, sent_dbi, best = re.search(words, says).groups()

        heights = np.arange(3, 30.5, 0.5)
        wires = (al.Dipole(inner_m=leg, shape=al.FlatTop(height_m=high)) for high in heights)
        every = dict(zip(heights, (float(w.pattern(f_mhz).gain_dbi(angle)) for w in wires), strict=True))
        top, low = max(every.values()), every[float(low_m)]
        for told, true in ((gain, every[9]), (sent_dbi, low), (best, top)):
            assert float(told.replace("−", "-")) == pytest.approx(true, abs=0.15)
        assert 0 <= top - low < 1.15
        assert all(top - one > 0.85 for high, one in every.items() if high < float(low_m)), "the lowest"
        here = sky.at(when)
        assert f"lands {here.hop_km(angle):.0f} km" in says
        assert ("no skip zone" in says) == (here.skip_km(f_mhz) == 0)
    lost = one.film(SCREEN, one.defaults, [79, 2, 0], still=False)[1]["says"][0]
    assert "goes through: lost; no height or power helps" in lost
    assert not sky.at("noon").returns(14.175, elevation_deg=80)


def test_what_height_is_enough():
    """The lowest within 1 dB, never in reach; none is named where it rises up to the last that is drawn."""
    high, enough = views_where_it_lands.HEIGHTS_M, views_where_it_lands._enough

    def found(curve):
        return [high[place] for place in enough(curve)]

    peak = 6 - abs(high - 20) / 5
    assert found(peak) == [15, 25] and found(high / 10) == [30, 30]
    assert found(6 - abs(high - 4)) == [3, 5] and found(6 - abs(high - 1)) == [3, 3]
    assert found(np.maximum(peak, high - 24)) == [15, 25], "what rises anew is no better"


def test_all_that_is_within_a_decibel_is_shaded():
    """Each stretch, also that of the best height where a lower one is enough; none where the ray is lost."""
    one, high = live.where_it_lands, views_where_it_lands.HEIGHTS_M
    for angle, shades in ((40, 2), (59, 0)):
        _, scene = one.still(SCREEN, {"elevation_deg": angle, "band": 2, "when": 0}, one.defaults)
        (shade,) = (part for part in scene.parts if part.pen.fill == 0.15)
        ends = shade.x[0][np.isfinite(shade.x[0])].reshape(-1, 4)
        ends = ends[ends[:, 2] > ends[:, 0]]
        assert len(ends) == shades
        sent = half_wave_gain_dbi([angle], high, f_mhz=14.175, soil=al.bands.soil("average"))[:, 0]
        shaded = np.any([(high >= a) & (high <= b) for a, b in ends[:, [0, 2]]], axis=0)
        assert shades == 0 or (shaded == (sent >= sent.max() - 1)).all()


def test_the_dots_of_the_curve_have_names():
    """Words behind a dot of its colour say which is which; the ring of the best is where the gain tops."""
    one = live.where_it_lands
    _, scene = one.still(SCREEN, {"elevation_deg": 15, "band": 2}, one.defaults)
    high = views_where_it_lands.HEIGHTS_M
    sent = half_wave_gain_dbi([15], high, f_mhz=14.175, soil=al.bands.soil("average"))[:, 0]
    named = {part.pen.color: part.texts[0] for part in scene.parts if part.texts and part.texts[0][:1] == "●"}
    dots = {part.pen.color: part.x.item() for part in scene.parts if part.kind == "dots" and part.x.size == 1}
    for color, place in dots.items():
        assert f" {place:g} m (" in named[color]
    (best,) = [text for part in scene.parts for text in part.texts if "○ best" in text]
    assert best.endswith(f"{sent.max():.1f}")
    rings = [part for part in scene.parts if part.kind == "line" and part.smooth and part.pen.color == GREEN]
    assert [np.mean(part.x[0, :-1]) for part in rings] == pytest.approx([high[sent.argmax()]])


def test_the_map_of_a_lost_ray_shows_whom_it_passes_over():
    """The border of the skip zone is on it, near or far."""
    one = live.where_it_lands
    for band, when, scale in ((2, 0, "map to 400 km"), (1, 1, "map to 4000 km")):
        _, scene = one.still(SCREEN, {"elevation_deg": 70, "band": band, "when": when}, one.defaults)
        assert scale in {text for part in scene.parts for text in part.texts}


def test_what_day_swallows_is_said():
    """80 and 40 metres at noon, which the course's sky does not reckon; at night and higher up nothing."""
    one = live.where_it_lands
    _, frames = one.film(SCREEN, one.defaults, still=False)
    for row, says in enumerate(frames["says"]):
        noon, band = row % 2 == 0, row // 2 % 4
        assert ("no skip zone, swallowed by day:" in says) == (noon and band == 0)
        assert (" would be enough" in says) == (noon and band == 0 and "best above" not in says), (
            "to no avail"
        )
        assert ("no skip zone, weaker by day:" in says) == (noon and band == 1)


@pytest.mark.parametrize("look", (SCREEN, PROJECTOR, PHONE))
def test_where_it_lands_is_drawn_true(look):
    """The ray leaves at its angle over level ground, and comes down within the rings, which say how far."""
    one = live.where_it_lands
    _, frames = one.film(look, one.defaults)
    height = one.figure(look).bbox.height
    rings = ("400 km", "4000 km")
    (outer,) = [i for i, part in enumerate(frames["parts"]) if {*part["texts"]} == {*rings}]
    edge = [*sent(frames, 0)][outer][0, 0]
    tops = []
    for row in range(4, frames["rows"], 8):  # 20 metres at noon
        angle, lands = 1 + row // 8, sky.hop_km(1 + row // 8)
        parts = [*zip(frames["parts"], (at.T for at in sent(frames, row)), strict=True)]
        (ray,) = [at for part, at in parts if part["kind"] == "line" and len(at) == 3]
        across, down = ray[1] - ray[0]
        assert np.degrees(np.arctan2(-down, across)) == pytest.approx(angle, abs=0.4)
        assert (ray[:2] >= 0).all() and ray[1, 1] < height
        tops.append(ray[1])
        said = {part["texts"][row] for part, at in parts if part["texts"] and np.isfinite(at).all()}
        assert rings[int(lands > 400)] in said and rings[int(lands <= 400)] not in said
        assert "cousin" in said
        name, at = next(one for one in parts if set(one[0]["texts"]) == {"cousin"})
        assert at[0, 1] > ray[0, 1] + 0.5 * name["size"] / FINE, "in the earth, where no ray crosses it"
        *_, (_, dots) = (one for one in parts if one[0]["kind"] == "dots" and one[0]["color"] == BLUE)
        if sky.at("noon").returns(14.175, elevation_deg=angle):
            assert np.ptp(dots[:, 1]) / 2 < edge - dots[0, 0], "within the outer ring"
    (across, down) = np.diff(tops, axis=0).T
    assert across.max() < -1 and across.min() > -8, "a hand turns it by even steps, and never jumps"
    assert down.max() < 0.5, "and never has to turn back"


@pytest.mark.parametrize("look", (SCREEN, PROJECTOR, PHONE))
def test_each_ring_of_the_map_says_its_units(look):
    """Both rings have kilometres and miles by name, in any look; no words of the picture meet."""
    one = live.where_it_lands
    for wanted, rings in (
        ({"elevation_deg": 5, "band": 3}, ("2000 km", "1243 mi", "4000 km", "2485 mi")),
        ({"elevation_deg": 15}, ("2000 km", "1243 mi", "4000 km", "2485 mi")),
        ({"elevation_deg": 71, "band": 1}, ("200 km", "124 mi", "400 km", "249 mi")),
    ):
        fig, _ = one.still(look, wanted, one.defaults)
        boxes = {text.get_text(): text.get_window_extent() for text in fig.findobj(Text) if text.get_text()}
        names = [boxes[words] for words in (*rings, "inner ring") if words in boxes]
        assert len(names) == 4 + ("inner ring" in boxes) and ("inner ring" in boxes) == (look == PROJECTOR)
        assert all(0 < box.x0 < box.x1 < fig.bbox.width and 0 < box.y0 for box in names)
        beside = "lands|skip|no skip|some|you|cousin|[(]"
        lines = [box for words, box in boxes.items() if re.match(beside, words)]
        for box, other in itertools.combinations([*names, *lines], 2):
            assert not box.overlaps(other)


def test_a_narrow_window_has_a_phones_picture():
    """Where there is no room for more, a notebook shows what a phone does, and the wide one again."""
    widget = live.one_wave()
    wide = widget.player.still["width"]
    for narrow, shown in ((True, 390), (False, wide)):
        widget.player.narrow = narrow
        assert widget.player.still["width"] == shown


def test_the_first_view_names_what_the_wire_is_as_long_as():
    """What is said of a wire, of a frequency between bands, and where the wave and its wire end."""
    view = live.one_wave
    values = view.sliders()[0].values
    _, frames = view.film(SCREEN, {})
    for f_mhz, compared, where in (
        (3.5, "longer than two buses", "3.5 MHz, 80-metre band"),
        (5.3, "longer than two buses", "5.3 MHz, between 80 and 40 metres"),
        (6.2, "as long as two buses", "6.2 MHz, between 80 and 40 metres"),
        (12.5, "as long as the bus", "12.5 MHz, between 30 and 20 metres"),
        (13.6, "as long as the house", "13.6 MHz, between 30 and 20 metres"),
        (14.2, "a bit shorter than the house", "14.2 MHz, 20-metre band"),
        (30, "shorter than the house", "30.0 MHz, beyond the 10-metre band"),
    ):
        row = int(np.argmin(np.abs(values - f_mhz)))
        said = [part["texts"][row] for part in frames["parts"] if part["texts"]]
        assert compared in said and where in said
        wave, first = (i for i, part in enumerate(frames["parts"]) if part["swing"])
        ahead, here = (points(frames, wave, row, turn)[:2, 1] for turn in (1 / 16, 0))
        assert ahead[1] == pytest.approx(here[0], abs=1.5), "it runs to the right"
        assert len(points(frames, first, row)) == 17, "one wave of sixteen steps"
        assert frames["ring"][0]["pace"][row] == pytest.approx(f_mhz / 10), "all are as quick as light"
    assert set(frames["ring"][0]["loss"]) == {0}


@pytest.mark.parametrize(
    ("choices", "rings"),
    [
        ({"low": "20m", "high": "10m", "soil": "sea water"}, 2),  # two tops each, of which one is the best
        ({"low": "30m", "high": "17m"}, 1),  # on 30 metres it still rises at the top of the scale
        ({"low": "20m", "high": "17m", "soil": "wet"}, 2),  # heights that are near each other
        ({"low": "80m", "high": "40m"}, 1),
        ({"low": "80m", "high": "20m", "toward_deg": 6}, 0),  # both still rise
    ],
)
def test_a_ring_is_the_best_height_and_no_two_labels_meet(choices, rings):
    """One for each curve at the most, at its largest value; none where there may be more higher up."""
    view = live.height
    choices = view.settings({"toward_deg": 15} | choices)[1]
    for look in (SCREEN, PROJECTOR, PHONE):
        fig, _ = view.still(look, {"height_m": 12}, choices)
        share = fig.axes[1]
        curves = [line for line in share.lines if len(line.get_xdata()) > 200]
        marks = [
            line for line in share.lines if line.get_marker() == "o" and line.get_markerfacecolor() == "none"
        ]
        assert len(marks) == rings
        for ring in marks:
            curve = next(one for one in curves if one.get_color() == ring.get_color())
            assert ring.get_xdata()[0] == curve.get_xdata().max()
        boxes = [text.get_window_extent() for text in share.texts if "ft" in text.get_text()]
        assert len(boxes) == rings and not (rings == 2 and boxes[0].overlaps(boxes[1]))
