"""Pictures that move of themselves: what is sent is the physics at every instant; paper shows two."""

import re

import matplotlib as mpl
import numpy as np
import pytest
from matplotlib import pyplot as plt

import antlab as al
from antlab.classroom import live
from antlab.classroom.drawing.axes import plot_axes
from antlab.classroom.drawing.looks import BLACK
from antlab.classroom.drawing.parts import FIRST, Part, Ring, Scene
from antlab.classroom.views.film import FINE, points, side
from antlab.classroom.views.player import SCREEN, Slider, View, view
from antlab.classroom.views.wave_over_soil import BRIGHTEST, RIM_M, unthinned
from antlab.engine.waves import STEP_M, wave_tables

CLOCKED = {name: one for name, one in live.VIEWS.items() if one.turn_s}
TURNS = (0, 0.1, 0.25, 0.5, 0.83)


@view(Slider("Size", "m", 1, 3, 3, 2), turn_s=3)
def pendulum(fig, size_m):
    """A dot that swings about 1."""
    ax = plot_axes(fig, x=(0, 4), y=(-4, 4))
    y = size_m[:, None] * np.exp(0.5j) * [1, np.nan]
    parts = [Part(ax, "dots", np.array([1.0, 2.0]), y, FIRST, about=1.0)]
    return Scene(parts, [f"{one:.0f}" for one in size_m], "a dot")


def test_a_complex_row_swings():
    """What a player reckons for a turn is about + Re(row e^(j turn)), in pixels; a gap stays one."""
    still, frames = pendulum.film(SCREEN, {})
    assert still["clock"] == 3
    for row, turn in ((0, 0.0), (2, 0.2), (2, 0.7)):
        found = points(frames, 0, row, turn)
        fig = pendulum.figure(SCREEN)
        with mpl.rc_context(SCREEN[0]):
            ax = plot_axes(fig, x=(0, 4), y=(-4, 4))
        y = 1 + ((row + 1) * np.exp(0.5j + 2j * np.pi * turn)).real
        want = (fig.bbox.height - ax.transData.transform((1, y))[1]) * FINE
        assert found[0, 1] == pytest.approx(want, abs=1.5) and np.isnan(found[1]).all()


@view(Slider("Q", "", 10, 30, 3, 20), turn_s=2)
def bell(fig, q):
    """A dot that rings down, and its square."""
    ax = plot_axes(fig, x=(0, 4), y=(-4, 4))
    y = np.exp(0.5j) + 0 * q[:, None]
    square = {"level": np.abs(y) ** 2 / 2, "order": 2}
    parts = [
        Part(ax, "dots", np.array([1.0]), y, FIRST),
        Part(ax, "dots", np.array([2.0]), y**2 / 2, FIRST, about=-1.0, **square),
    ]
    return Scene(parts, [f"{one:.0f}" for one in q], "two dots", ring=Ring(q / 10, np.pi / q, 440.0))


def test_what_is_plucked_rings_down():
    """A swing falls by its loss in each turn; what goes by squares is the square of that at every instant."""
    _, frames = bell.film(SCREEN, {})
    (ring,) = frames["ring"]
    assert ring == {
        "pace": [1, 2, 3],
        "loss": pytest.approx([np.pi / q for q in (10, 20, 30)]),
        "pitch_hz": 440,
    }
    fig = bell.figure(SCREEN)
    with mpl.rc_context(SCREEN[0]):
        ax = plot_axes(fig, x=(0, 4), y=(-4, 4))
    for row, turn in ((0, 0.0), (1, 0.3), (2, 4.9)):
        left = np.exp(-ring["loss"][row] * turn)
        swing = np.cos(0.5 + 2 * np.pi * turn) * left
        for part, y in enumerate((swing, swing**2 - 1)):
            want = (fig.bbox.height - ax.transData.transform((1, y))[1]) * FINE
            assert points(frames, part, row, turn, left)[0, 1] == pytest.approx(want, abs=2)
    figure, (paper, *_) = View(bell.scene, bell.sliders, {}, bell.size, instants=((0.3,),)).draw(10)
    drawn = [line.get_ydata()[0] for line in paper.lines[-2:]]
    swing = np.cos(0.5 + 0.6 * np.pi) * np.exp(-0.3 * np.pi / 10)
    assert drawn == pytest.approx([swing, swing**2 - 1])
    plt.close(figure)


@pytest.mark.parametrize("name", CLOCKED)
def test_a_view_with_a_clock_moves_and_comes_back(name):
    """At every instant it is another picture; after a turn it is the first again, but for what was lost.

    A part that has nothing to swing in a row, as a wave that does not come back, stands still all the time.
    """
    one = CLOCKED[name]
    _, frames = one.film(SCREEN, one.defaults)
    moving = [i for i, part in enumerate(frames["parts"]) if part["swing"]]
    beads = [part["beads"] for part in frames["parts"] if part["beads"]]
    assert moving or frames["waves"] or beads
    assert all(far and far % apart == 0 for _, apart, far in beads), "after a turn all is as it was"
    woke = set()
    for row in (0, frames["rows"] // 2, frames["rows"] - 1):
        lost = [one["loss"][row] for one in frames["ring"]] or [0]
        seen = [[points(frames, i, row, turn, np.exp(-lost[0] * turn)) for i in moving] for turn in TURNS]
        seen.append([points(frames, i, row, 1) for i in moving])
        fields = [side(frames, row, turn) for turn in (*TURNS, 1)] if frames["waves"] else []
        shown = [shots for shots in (*zip(*seen, strict=True), fields) if len(shots)]
        awake = [k for k, shots in enumerate(shown) if np.nanmax(np.ptp(shots, axis=0)) > 1e-3]
        woke.update(awake)
        for shots in (shown[k] for k in awake):
            assert np.nanmax(np.abs(shots[0] - shots[-1])) < 1e-6
            assert all(np.nanmax(np.abs(a - b)) > 1e-3 for a, b in zip(shots, shots[1:-1], strict=False))
    assert len(woke) == len(moving) + bool(frames["waves"]), "each moves in some row"


@pytest.mark.parametrize("name", CLOCKED)
def test_paper_shows_two_instants(name):
    """Where nothing can move a still shows two instants: lines in one panel, a field in two.

    What only runs on, as the wave of lesson 00, looks the same at another instant, and has one.
    """
    one = CLOCKED[name]
    assert sum(map(len, one.instants)) == (1 if name == "one_wave" else 2)
    figure, axes = one.draw()
    assert len(axes) == len(one.instants)
    words = [" ".join(text.get_text().split()) for text in figure.findobj(plt.Text)]
    assert any("one moment" in said for said in words) == (len(axes) > 1)
    assert len(axes) == 1 or any("0.25 of a turn" in said for said in words)
    swinging = sum(part["swing"] != [] for part in one.film(SCREEN, one.defaults)[1]["parts"])
    lines = len(axes[0].lines)
    plt.close(figure)
    if swinging:
        frozen, (ax, *_) = View(one.scene, one.sliders, one.choices, one.size).draw()
        assert lines == len(ax.lines) + swinging * (len(one.instants[0]) - 1)
        plt.close(frozen)


def test_current_and_voltage_take_turns():
    """A standing wave: when the current is nowhere, the charge stands at the ends, plus where it ran to."""
    _, frames = live.half_wave_wire.film(SCREEN, live.half_wave_wire.defaults)
    row, (current, voltage) = 84, [i for i, part in enumerate(frames["parts"]) if part["swing"]]
    zero = frames["parts"][current]["box"]
    middle = {turn: points(frames, current, row, turn)[40, 1] for turn in (0, 0.25)}
    right = {turn: points(frames, voltage, row, turn)[-1, 1] for turn in (0, 0.25)}
    level = points(frames, current, row, 0)[0, 1]
    assert middle[0] < level - zero[3] / 5 and middle[0.25] == pytest.approx(level, abs=2)
    assert right[0] == pytest.approx(level, abs=2) and right[0.25] < level - zero[3] / 5


def test_the_plucked_circuit_goes_by_kirchhoff():
    """Charge, current and energy at three times against coil, capacitor and loss stepped through time."""
    one, q = live.ringing, 25
    at = one.places({"q": q}, one.defaults)
    still, frames = one.film(SCREEN, one.defaults)
    row = np.ravel_multi_index(at, [len(dial["texts"]) for dial in still["sliders"]])
    (ring,) = frames["ring"]
    f0 = al.circuit.resonance_mhz(inductance_uh=4, capacitance_pf=100)
    assert ring["pace"][row] == pytest.approx(f0 / 10, rel=1e-3), "ten million times slower"
    assert ring["pitch_hz"] == 1000, "ten thousand times slower, where the pace is 10 MHz"
    filled = [i for i, part in enumerate(frames["parts"]) if part["fill"] and part["swing"]]
    step = (
        2 * np.pi / 1000 * 2 / np.sqrt(4 - 1 / q**2)
    )  # a thousandth of a turn, where L = C = 1 and R = 1 / Q
    one_step = np.eye(2)
    for k in range(6, 0, -1):
        one_step = np.eye(2) + np.array([[0, 1], [-1, -1 / q]]) @ one_step * step / k
    state, full = np.array([1.0, 0.0]), None
    for n in range(3001):
        if n in (0, 1150, 2700):
            left = np.exp(-ring["loss"][row] * n / 1000)
            charge, current, stored, both = (points(frames, i, row, n / 1000, left)[:, 1] for i in filled)
            high = [charge[0] - charge[1], current[0] - current[1], stored[0] - stored[1], both[0] - both[1]]
            full = full or (high[0], high[2])
            want = [state[0], state[1], state[0] ** 2, state[1] ** 2]
            scale = np.repeat(full, 2)
            assert np.array(high) / scale == pytest.approx(want, abs=4e-3)
        state = one_step @ state


@pytest.mark.parametrize("shown", (0, 1, 2))
@pytest.mark.parametrize(("upper", "name"), [(0, "40m"), (1, "20m")])
def test_the_field_that_is_sent_is_the_engine_s(shown, upper, name):
    """Direct wave, echo or both, of either band, in the rows that say so, to what 16 bits carry."""
    one = live.wave_over_soil
    _, frames = one.film(SCREEN, one.defaults)
    at = one.places({"height_m": 15.0, "upper": upper, "shown": shown}, one.defaults)
    counts = [slider.count for slider in one.sliders(**one.defaults)]
    row = np.ravel_multi_index([at[i] for i in frames["sliders"]], [counts[i] for i in frames["sliders"]])
    f, high = float(al.band(name).middle_mhz), round(15 / STEP_M)
    tables = wave_tables(f, al.soil("average"))
    z, y = np.arange(107)[:, None], np.arange(107)
    # As strong as at 1 m: times the way from the wire's ends, a quarter wave off its middle.
    way, late = (np.hypot(STEP_M * np.hypot(z + up, y), 300 / f / 4) for up in (-high, high))
    field = (shown != 2) * tables.direct[abs(z - high), y] * way
    field = tables.amps[high] * (field + (shown != 1) * tables.echo[z + high, y] * late)
    for turn in TURNS:
        wave = (field * np.exp(2j * np.pi * turn)).real
        sent = side(frames, row, turn) * BRIGHTEST
        assert np.abs(sent - wave).max() < 2e-3 * np.abs(field).max()


def test_no_wave_is_drawn_weaker_for_its_way():
    """A half wave sends 60 Ω times its current over the way from its ends: one shade all the way out."""
    f = float(al.band("40m").middle_mhz)
    tables = wave_tables(f, al.soil("average"))
    far = np.hypot(*np.indices(tables.direct.shape)) * STEP_M > 3
    assert np.abs(unthinned(tables.direct, f))[far] == pytest.approx(60, rel=0.06)
    assert 60 * np.nanmax(tables.amps[round(8 / STEP_M) :]) < BRIGHTEST, "one wave alone is not all blue"


def test_the_picture_cancels_where_the_line_says_so():
    """Half a wave up over a mirror nothing goes straight up: no shade is left there at the rim."""
    one, choices = live.wave_over_soil, live.wave_over_soil.defaults | {"soil": "perfect ground"}
    at = one.places({"height_m": 21.0}, choices)
    _, frames = one.film(SCREEN, choices, at, still=False)
    shades = np.abs([side(frames, 0, turn) for turn in (0, 0.25)]).max(axis=0)
    rim = round(RIM_M / STEP_M)
    up, along = shades[rim - 2, 0], shades[round(rim / 2), round(rim * np.cos(np.pi / 6)) - 2]
    assert up < 0.12 * along, "where both waves add it is the lobe at 30 degrees"


def fresnel(elevation_deg, f_mhz, permittivity=13, siemens_per_m=0.005):
    """What average soil returns of a horizontal field, by the formula of the books."""
    up, e = np.radians(elevation_deg), permittivity - 1j * siemens_per_m / (2e6 * np.pi * f_mhz * 8.854e-12)
    root = np.sqrt(e - np.cos(up) ** 2)
    return (np.sin(up) - root) / (np.sin(up) + root)


@pytest.mark.parametrize("height_m", [4.5, 10.5, 20.25])
@pytest.mark.parametrize(("upper", "name"), [(0, "40m"), (1, "20m")])
def test_two_rays_by_hand_are_the_gain(height_m, upper, name):
    """A ray's metres, delay, soil and bars are two rays added by hand; so much the engine's gain changes."""
    one, f = live.wave_over_soil, float(al.band(name).middle_mhz)
    wave_m = 299.792458 / f
    wire = al.Dipole(inner_m=al.lengths.rule_length_m(f) / 2, shape=al.FlatTop(height_m=height_m)).pattern(f)
    sums, gains = [], []
    for angle in (6, 15, 30, 48, 69, 90):
        settings = {"height_m": height_m, "upper": upper, "ray_deg": angle}
        _, frames = one.film(SCREEN, one.defaults, one.places(settings, one.defaults), still=False)
        marks = " ".join(text for part in frames["parts"] for text in part["texts"])
        found = r"(\S+) m \(\d+ ft\) more (\S+) wave late soil: (\d+) %, (\S+) late (\S+) dBi"
        way, late, share, soil, gain = (float(v.replace("−", "-")) for v in re.search(found, marks).groups())
        back, more_m = fresnel(angle, f), 2 * height_m * np.sin(np.radians(angle))
        both = 1 + back * np.exp(-2j * np.pi * more_m / wave_m)
        turned = (np.angle(both - 1) / -2 / np.pi - 0.5) % 1  # that it is upside down left out
        assert way == pytest.approx(more_m, abs=0.06) and share == pytest.approx(100 * abs(back), abs=0.6)
        assert late - soil == pytest.approx(more_m / wave_m, abs=0.011)
        assert abs((late - turned + 0.5) % 1 - 0.5) < 0.006
        assert gain == pytest.approx(float(wire.gain_dbi(angle)), abs=0.15)
        bars = [i for i, part in enumerate(frames["parts"]) if part["swing"]]
        tops = [[points(frames, i, 0, turn)[1, 1] for turn in (0, 0.25)] for i in bars]
        zero = points(frames, bars[0], 0)[0, 1]
        direct, echo, whole = (complex(*(zero - np.array(top))) for top in tops)
        assert np.conj(echo / direct) == pytest.approx(both - 1, abs=0.02)
        assert whole == pytest.approx(direct + echo, abs=4)
        assert {-1: "against", 0: "partly", 1: "together"}[
            np.sign(np.round(-np.cos(2 * np.pi * turned)))
        ] in marks
        sums.append(20 * np.log10(abs(both)))
        gains.append(float(wire.gain_dbi(angle)))
    assert np.subtract(gains, gains[2]) == pytest.approx(np.subtract(sums, sums[2]), abs=0.1)


def test_the_heavy_piece_is_to_scale():
    """The echo's extra way, beside the bar that is a wave long, and the ray at its elevation."""
    one = live.wave_over_soil
    at = one.places({"height_m": 12, "ray_deg": 30}, one.defaults)
    _, frames = one.film(SCREEN, one.defaults, at, still=False)
    lines = [(p, points(frames, i, 0)) for i, p in enumerate(frames["parts"]) if p["kind"] == "line"]
    rigid = [one for one in lines if one[0]["color"] == BLACK and not one[0]["swing"] and one[0]["n"] == 2]
    _, heavy = max(rigid, key=lambda one: one[0]["width"])
    (bar,) = (line for part, line in lines if part["n"] == 6)
    long, scale = np.hypot(*(heavy[1] - heavy[0])), np.ptp(bar[:, 0])
    assert long / scale == pytest.approx(2 * 12 * 0.5 / (299.792458 / 7.15), abs=0.01)
    assert heavy[0, 1] - heavy[1, 1] == pytest.approx(long / 2, rel=0.01), "at 30 degrees, from the image up"


def test_waves_come_in_small_tables():
    """At most 150 kB of tables go to the browser, though a ray stands at each of thirty angles."""
    _, frames = live.wave_over_soil.film(SCREEN, live.wave_over_soil.defaults, still=False)
    assert sum(len(one["table"]) for one in (frames, *frames["over"])) <= 150_000


@pytest.mark.parametrize(("upper", "name"), [(0, "20m"), (1, "10m")])
def test_the_wave_s_marks_are_the_dipole_s(upper, name):
    """The gain, the lobes and the strongest angle that stand in the picture are al.Dipole's."""
    one = live.wave_over_soil
    choices = one.defaults | {"low": "20m", "high": "10m", "toward_deg": 15}
    at = one.places({"height_m": 20.25, "upper": upper, "shown": 0}, choices)
    _, frames = one.film(SCREEN, choices, at, still=False)
    marks = [text for part in frames["parts"] for text in part["texts"]]
    f = al.band(name).middle_mhz
    wire = al.Dipole(inner_m=al.lengths.rule_length_m(f) / 2, shape=al.FlatTop(height_m=20.25)).pattern(f)
    assert f"{len(wire.lobes())} lobes" in marks and f"{wire.takeoff_deg:.0f}°" in marks
    (said,) = (float(text.split()[0].replace("−", "-")) for text in marks if text.endswith("dBi"))
    assert said == pytest.approx(float(wire.gain_dbi(15)), abs=0.3)
