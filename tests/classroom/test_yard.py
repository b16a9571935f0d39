"""The planner: what it shows at each position is al.design's antenna for that yard, or why there is none."""

import asyncio
import re
import threading

import numpy as np
import pytest
from drawn import signs_in
from matplotlib import pyplot as plt
from matplotlib.figure import Figure
from matplotlib.text import Text
from test_live import sent
from traitlets import TraitError

import antlab as al
from antlab.antenna.design import Design, aim_on
from antlab.antenna.feeding import usual_line
from antlab.antenna.hanging import hang
from antlab.antenna.mending import start
from antlab.classroom import live
from antlab.classroom.drawing.axes import em_of
from antlab.classroom.drawing.from_above import outline
from antlab.classroom.drawing.looks import ORANGE
from antlab.classroom.paper import pages
from antlab.classroom.views import planner
from antlab.classroom.views.film import points
from antlab.classroom.views.player import PHONE, PROJECTOR, REST_S, SCREEN, SCREENS
from antlab.physics.trap import on_a_pipe


@pytest.fixture(autouse=True)
def unpainted(monkeypatch):
    """No still is painted, which takes longest: here it is asked what moves and what is said."""
    monkeypatch.setattr(Figure, "savefig", lambda *_, **__: None)


@pytest.fixture
def nobody_near(monkeypatch):
    """How far others stay is half of the work at a position: left out where a test asks for nothing of it.

    What stands for it would be seen if a test did.
    """
    none = dict.fromkeys(("keep_away_m", "keep_away_you_m", "clear_below_m", "head_share"), np.nan)
    monkeypatch.setattr(Design, "exposure", lambda *_, **__: none | {"exposure_note": "not asked"})


lengths_alone = pytest.mark.usefixtures("nobody_near")
SIDES = re.compile(r"Each side (?P<inner>\S+) \+ (?P<outer>\S+) m ")
VOLTS = re.compile(r"trap cable: (?P<volts>\d+) of (?P<rated>\d+) V")


def lines(widget, show="Supports"):
    """What the planner says where it stands, in one of its groups."""
    return planner.Seen(widget.positions, widget.choices).lines(show)


def said(widget):
    """The numbers that the widget says as it stands, by name; gain and SWR as one tuple a band."""
    assert not widget.player.frames["message"], widget.player.frames["message"]
    seen = planner.Seen(widget.positions, widget.choices)
    fits, (*_, to), (*_, low, high) = (seen.lines(one) for one in ("Save", "Station", "Bands"))
    parts = " ".join(seen.lines("Parts"))
    found = {"width": re.search(r"(?:fits:|spans) (\S+) m", " ".join(fits))[1]}
    found |= SIDES.search(parts).groupdict() | VOLTS.search(parts).groupdict()
    numbers = re.compile(r"lowest SWR (\S+) at (\S+) MHz, 2 or less over (\d+) %")
    bands = [
        (gain, *numbers.search(other).groups())
        for gain, other in zip(re.findall(r"(\S+) dBi on", to.replace("−", "-")), (low, high), strict=True)
    ]
    return {name: float(text) for name, text in found.items()} | {
        "bands": [tuple(map(float, band)) for band in bands]
    }


def put(widget, **wanted):
    """Drag the sliders to these positions at once."""
    widget.player.at = widget.view.places(wanted, widget.choices)


def agrees(words, made):
    """Words against a Design: lengths within 1 mm and their rounding, SWR and gain to 1700 km likewise."""
    dipole = made.dipole
    assert (words["inner"], words["outer"]) == pytest.approx((dipole.inner_m, dipole.outer_m), abs=0.0061)
    assert words["width"] == pytest.approx(made.width_m, abs=0.055)
    for (gain, lowest, at, share), one in zip(words["bands"], made.aims, strict=True):
        f = one.band.frequencies(401)
        swr = dipole.swr(f)
        assert gain == pytest.approx(dipole.pattern(one.f_mhz).gain_dbi(15.18), abs=0.06)  # of P.533's angle
        assert lowest == pytest.approx(swr.min(), abs=0.06)
        assert at == pytest.approx(f[swr.argmin()], abs=0.0075)
        assert share == pytest.approx(100 * np.mean(swr <= 2), abs=1.6)
    peak = max(made.stress(one).volts_peak for one in made.aims)
    assert words["volts"] == pytest.approx(peak * made.wound.volts_share, rel=0.01)


@lengths_alone
@pytest.mark.parametrize(
    ("choices", "places"),
    [
        ({"low": "20m", "high": "10m"}, [(9, 0), (9.1, 0), (16, 0), (3, 0), (7.5, 2.5)]),
        ({"low": "40m", "high": "20m", "soil": "rocky"}, [(10, 5), (10, 7), (14, 2)]),
        (
            {"low": "80m", "high": "40m", "soil": "wet", "trap_cable": "RG-8X", "mode": "code"},
            [(12, 0), (8, 0)],
        ),
    ],
    ids=["20-10", "40-20", "80-40"],
)
def test_planner_says_what_design_says(choices, places):
    """Dragged from place to place it is the antenna that al.design finds for each, with the same trap."""
    widget = live.planner(**choices)
    for height, drop in places:
        put(widget, height_m=height, drop_m=drop)
        own = {"soil": "average", "mode": None} | choices
        names = {name: own.pop(name) for name in ("low", "high")}
        cable = own.pop("trap_cable", "RG-58")
        trap = on_a_pipe(aim_on(names["high"], mode=own["mode"]).f_mhz, cable)
        agrees(said(widget), al.design(**names, **own, trap=trap, shape=planner.shape_of(height, drop)))


@lengths_alone
def test_cable_and_power():
    """Half of the trap's volts are in the cable; they grow with the root of the power, up to its rating."""
    widget = live.planner()
    before = said(widget)
    assert before["rated"] == pytest.approx(np.sqrt(2) * al.cable.cable("RG-58").max_volts_rms, abs=1)
    widget.controls["power_w"].value = 1500
    assert said(widget)["volts"] == pytest.approx(before["volts"] * np.sqrt(15), rel=0.01)
    assert "too close" in " ".join(lines(widget, "Parts"))


@lengths_alone
@pytest.mark.parametrize(
    ("hour", "far_km", "returned"),
    [("noon", 1700, (True, True)), ("noon", 1000, (True, False)), ("night", 1700, (False, False)),
     ("dusk", 2500, (True, False))],
)  # fmt: skip
def test_the_headline_is_what_reaches_the_other_station(hour, far_km, returned):
    """Gain at the angle that lands there, and whether the hour's sky returns it: secants of the table, 9c."""
    secant = {1000: 1.855, 1700: 2.58, 2500: 3.107}[far_km]
    widget = live.planner(low="20m", high="10m", hour=hour, far_km=far_km)
    made = start("20m", "10m", al.soil("average"), "RG-58", 100)
    told = lines(widget, "Station")[-1]
    assert told.startswith(f"To {far_km} km (") and " dBi on 20 metres, " in told
    for band, back in zip(made.aims, returned, strict=True):
        assert (band.f_mhz <= secant * al.sky.at(hour).critical_mhz) == back
    sends = {(True, True): "both", (True, False): "only 20 metres", (False, False): "neither"}[returned]
    assert told.endswith(f"; the {hour} sky sends {sends} back.")


@lengths_alone
def test_every_wire_offered():
    """The design is for the wire chosen: in a jacket shorter, and the plan of the widget names it."""
    widget = live.planner(low="40m", high="20m")
    bare = said(widget)
    assert list(live.planner.choices["wire"]) == list(al.wires.IN_PLANNER)
    for name in al.wires.IN_PLANNER:
        widget.controls["wire"].value = name
        if al.wires.wire(name).charge_log:
            assert said(widget)["inner"] < bare["inner"] and said(widget)["width"] < bare["width"]
        else:
            assert said(widget)["inner"] == pytest.approx(bare["inner"], abs=0.021)
        assert live.plan_of(widget).wire == al.wires.wire(name).called


@lengths_alone
def test_only_what_moves_is_drawn_again():
    """A drag keeps the still, and a row says and draws what the picture on paper does."""
    widget = live.planner(low="20m", high="10m")
    still, figure = widget.player.still, widget._figure
    axes = len(figure.axes)
    for height in (5, 10, 7.5):
        put(widget, height_m=height, room_m=14)
    assert widget.player.still is still and widget._figure is figure and len(figure.axes) == axes == 5
    alone = live.planner.film(SCREEN, widget.choices, widget.player.at)[1]
    for kept, anew in zip(sent(widget.player.frames, 0), sent(alone, 0), strict=True):
        assert np.nanmax(np.abs(kept - anew), initial=0) < 1.5, "a millimetre of wire moves no line by more"
    paper, axes = live.planner.draw((7.5, 0, 14), low="20m", high="10m")
    words = {text.get_text() for text in paper.findobj(Text)}
    marks = [part["texts"][0] for part in widget.player.frames["parts"] if part["kind"] == "text"]
    assert {"7.5 m", *(one for one in marks if "W" in one)} <= words
    plt.close(paper)


@lengths_alone
def test_wire_is_drawn_to_scale():
    """The wire is drawn as long and as high as the words say, the posts where the room ends."""
    widget = live.planner(low="20m", high="10m", height_m=10, room_m=14)
    parts = widget.player.frames["parts"]
    posts, mast, rope, wire = list(sent(widget.player.frames, 0))[:4]  # as the picture lists them
    assert [part["kind"] for part in parts[:4]] == ["line"] * 4
    signs = signs_in([np.stack(line, axis=1) for line in sent(widget.player.frames, 0)])
    traps = signs["pipe"][0].T
    metre = (np.nanmax(posts[0]) - np.nanmin(posts[0])) / 14
    for drawn, true in (
        (wire[0], said(widget)["width"]), (posts[1], 10), (traps[0], 2 * said(widget)["inner"])
    ):  # fmt: skip
        assert (np.nanmax(drawn) - np.nanmin(drawn)) / metre == pytest.approx(true, abs=0.08)
    assert np.nanmax(mast[1]) == np.nanmin(mast[1]), "no mast in the middle"
    assert not np.isnan(rope).all()


@lengths_alone
@pytest.mark.parametrize("choices", [{"low": "20m", "high": "10m"}, {"low": "80m", "high": "40m"}])
def test_nothing_leaves_its_axes(choices):
    """At the ends of every slider that can be had, wire, posts and ropes are inside the picture."""
    widget = live.planner(**choices)
    for height, drop, room in ((3, 0, 40), (16, 0, 40), (30, 0, 40), (7, 4, 40), (16, 0.1, 40), (12, 3, 60)):
        put(widget, height_m=height, drop_m=drop, room_m=room)
        said(widget)
        left, top, wide, high = (v / 16 for v in widget.player.frames["parts"][0]["box"])
        for x, y in list(sent(widget.player.frames, 0))[:7]:  # the wire's height too
            assert np.nanmin(y) >= top - 1 and np.nanmax(y) <= top + high + 1
            assert np.nanmin(x) >= left - 1 and np.nanmax(x) <= left + wide + 1


@lengths_alone
@pytest.mark.parametrize(
    ("places", "words", "mark"),
    [
        ({"height_m": 6, "drop_m": 3, "room_m": 15}, r"spans 15\.8 m .* room for 14\.0 m", "too long"),
        ({"height_m": 5, "room_m": 10}, r"It spans 16\.\d m .* there is room for 9\.0 m", "too long"),
        ({"height_m": 5, "drop_m": 3, "room_m": 20}, r"2\.0 m \(6\.6 ft\) up, within reach", "too low"),
        ({"height_m": 5, "drop_m": 6, "room_m": 20}, "is in the ground", "too low"),
        ({"height_m": 16, "drop_m": 12, "room_m": 20}, "cannot fall from 16 m", "too steep"),
    ],
)  # fmt: skip
def test_what_does_not_fit_stays_in_the_picture(places, words, mark):
    """No sentence takes the picture's place: what sticks out is dashed, in words too, and sliders stay."""
    widget = live.planner(low="40m", high="20m", **places)
    frames = widget.player.frames
    assert not frames["message"] and len(widget.player.still["sliders"]) == 6
    assert re.search(words, frames["says"][0])
    texts = [text for part in frames["parts"] for text in part["texts"]]
    assert any(mark in text for text in texts)
    scene = live.planner.still(SCREEN, places, live.planner.defaults)[1]
    dashed = [part for part in scene.parts if part.pen.color == ORANGE and part.pen.dashes == (1.1, 0.8)]
    assert len(dashed) == 1 and np.isfinite(dashed[0].x).sum() >= 4
    put(widget, height_m=9, room_m=20)
    assert said(widget) and "It fits" in widget.player.frames["says"][0]
    assert not any(mark in text for part in widget.player.frames["parts"] for text in part["texts"])


@lengths_alone
def test_power_lines_are_asked_anew_as_the_reach_grows():
    """Who looked for a small antenna has not looked for a larger one; a smaller one needs no second look."""
    grown = (
        {"room_m": 30},
        {"height_m": 9},
        {"drop_m": 1.5},
    )
    for first, then in (({"height_m": 6, "room_m": 14}, one) for one in grown):
        widget = live.planner(low="20m", high="10m", **first)
        answer = widget.controls["power_lines"]
        answer.value = "no, none"
        put(widget, **widget.positions | {"height_m": 5})
        assert answer.value == "no, none"
        put(widget, **widget.positions | then)
        widget._rest(widget._last)
        assert answer.value == "not looked yet"
        put(widget, **widget.positions | first)
        assert answer.value == "not looked yet", "it was taken back"


@lengths_alone
@pytest.mark.parametrize(
    ("choice", "value", "asked"),
    [
        ("low", "80m", True),  # twice the wire in the same room
        ("along", "its diagonal", True),  # elsewhere, and with more room
        ("power_w", 500, False),
        ("units", "feet", False),
    ],
)
def test_power_lines_are_asked_anew_where_another_wire_lies(choice, value, asked):
    """A longer wire and another direction reach where nobody looked; other watts and units do not."""
    garden = {"width_m": 12, "length_m": 18, "along": "its length"}
    widget = live.planner(low="40m", high="20m", height_m=7.5, room_m=18, **garden)
    answer = widget.controls["power_lines"]
    answer.value = "no, none"
    widget.controls[choice].value = value
    assert (answer.value == "not looked yet") == asked


def test_a_mend_is_taken():
    """What a button offers is set, fits, and is the antenna that the offer was solved for."""
    widget = live.planner(low="40m", high="20m", height_m=7.5, room_m=17.5)
    offers = [one for one in live.planner.offers(widget.positions, widget.choices) if one]
    asks, *offers = offers
    assert asks.choices == {"show": "Garden"}, "which nobody told of yet"
    assert 1 <= len(offers) <= 2 and all(len(one.lines) == 2 for one in offers)
    for one in offers:
        put(widget, height_m=7.5, room_m=17.5)
        before, shown, placed = widget.choices, list(widget.player.at), widget.player.placed
        widget.take(one)
        assert "It fits" in widget.player.frames["says"][0], one.words
        if widget.player.placed["number"] != placed["number"]:
            shown = widget.player.placed["at"]
        assert shown == widget.player.at, "the browser is told where its sliders stand now"
        for name, value in before.items():
            if name != "show" and name in widget.controls:
                widget.controls[name].value = value


@lengths_alone
def test_a_hand_is_answered_in_one_message(monkeypatch):
    """What is there comes with the word that it was answered; that comes if nothing can be drawn, too."""
    widget, told = live.planner(low="20m", high="10m"), []
    at = widget.player.at
    monkeypatch.setattr(widget.player, "send_state", lambda names: told.append(set(names)))
    widget.player._follow(None, {"at": [at[0] + 1, *at[1:]]}, [])
    assert told.pop() == {"at", "frames", "answered"} and not told
    widget.player._follow(None, {"at": widget.player.at}, [])
    assert told.pop() == {"answered"}
    with pytest.raises(TraitError):
        widget.player._follow(None, {"at": ["here"]}, [])
    assert told == [{"answered"}]


@lengths_alone
def test_two_threads_do_not_hold_each_other_back(monkeypatch):
    """A hand's place is answered in one thread after the other: else its picture would never be sent."""
    widget, busy, on, sent_ = live.planner(low="20m", high="10m"), threading.Event(), threading.Event(), []
    at, row = widget.player.at, widget._row

    def slowly(*args, **kwargs):
        busy.set()
        on.wait(5)
        row(*args, **kwargs)

    monkeypatch.setattr(widget, "_row", slowly)
    monkeypatch.setattr(
        widget.player, "send_state", lambda key=None: sent_.append((list(widget.player.at), set(key or ())))
    )
    hands = [
        threading.Thread(target=widget.player._follow, args=(None, {"at": [at[0] + by, *at[1:]]}, []))
        for by in (1, 2)
    ]
    hands[0].start()
    busy.wait(5)
    hands[1].start()
    hands[1].join(0.2)
    on.set()
    for hand in hands:
        hand.join(10)
    assert [(one[0], {"at", "frames", "answered"} <= keys) for one, keys in sent_] == [
        (at[0] + 1, True), (at[0] + 2, True),
    ]  # fmt: skip
    assert widget.player.answered == 2


@lengths_alone
def test_the_newest_place_counts_whichever_comes_first():
    """JupyterLab's threads may bring two places the wrong way round: the picture is of the slider's."""
    widget = live.planner(low="20m", high="10m")
    at = list(widget.player.at)
    for number, by in ((1, 1), (3, 3), (2, 2)):
        content = {"at": [at[0] + by, *at[1:]], "sender": "a view", "number": number}
        widget.player._follow(None, content, [])
    assert widget.player.at[0] == at[0] + 3 and widget.player.answered == 3
    widget.player._follow(None, {"at": at, "sender": "another view of the cell", "number": 1}, [])
    assert widget.player.at == at


@lengths_alone
def test_they_are_looked_for_when_the_hand_rests():
    """In a kernel offers come one by one, and go when the hand moves on."""

    async def drag():
        widget = live.planner(low="40m", high="20m")
        put(widget, height_m=6, drop_m=3, room_m=15)
        for _ in range(60):
            await asyncio.sleep(0.1)
            if widget.player.offers.get("all"):
                break
        found = widget.player.offers["all"]
        told = widget.player.offers["told"]
        put(widget, height_m=6.1, drop_m=3, room_m=15)
        after = widget.player.offers
        put(widget, height_m=6, room_m=5)
        for _ in range(60):
            await asyncio.sleep(0.1)
            if widget.player.offers.get("told"):
                break
        return found, told, after, widget.player.offers

    found, told, after, none = asyncio.run(drag())
    assert len(found[0]) == 2 and all(len(one) == 3 for one in found[1:]) and after == {"all": [], "told": ""}
    assert told.startswith("Buttons mend it.") and "Buttons" not in live.planner.still(
        SCREEN, {"room_m": 5}, live.planner.defaults)[1].says[0]  # fmt: skip
    assert len(none["all"]) == 1 and none["all"][0][0] == "Say the garden's size:"


@lengths_alone
@pytest.mark.parametrize(
    "asked",
    [{"room_m": 5}, {"height_m": 16, "drop_m": 12}, {"drop_m": 8.9}, {"power_w": 1500}, {"high": "40m"}],
)
def test_where_no_button_stands_words_say_what_to_do(asked):
    """Of each fault that may be left without an offer there is a sentence; of none where nothing is wrong."""
    view = live.planner
    positions, choices = view.settings({"low": "40m", "high": "20m", "height_m": 9, "room_m": 20} | asked)
    places = zip(view.positions, view.sliders(**choices), view.places(positions, choices), strict=True)
    positions = {name: float(slider.values[place]) for name, slider, place in places}
    assert view.on_offers(positions, choices, 0).startswith("No button mends this. ")
    fits = choices | {"power_w": 20, "high": "20m"}
    assert view.on_offers(positions | {"height_m": 9, "drop_m": 0, "room_m": 20}, fits, 0) == ""


@lengths_alone
def test_trees_of_two_heights():
    """12 and 15 m: drawn aslant, counted as level at their mean, and the words say so."""
    widget = live.planner(height_m=15, drop_m=3, room_m=30, lower="one end")
    assert "Counted as level, 13.5 m" in widget.player.frames["says"][0]
    in_feet = live.planner(height_m=15, drop_m=3, room_m=30, lower="one end", units="feet")
    assert "Counted as level, 44 ft (13." in in_feet.player.frames["says"][0]
    design = al.design("40m", "20m", shape=al.FlatTop(height_m=13.5), trap=on_a_pipe(14.175, "RG-58"))
    assert said(widget)["inner"] == pytest.approx(design.dipole.inner_m, abs=0.011)
    wire = list(sent(widget.player.frames, 0))[3]
    assert wire[1][0] != pytest.approx(wire[1][-1], abs=1), "one end is lower"


@lengths_alone
def test_feet_by_one_switch():
    """All lengths in feet first, on sliders in steps of half a foot, in words and in the picture."""
    widget = live.planner(height_m=6.096, drop_m=0, room_m=18.288, units="feet")
    assert widget.player.still["sliders"][0]["unit"] == "ft"
    assert widget.positions["height_m"] == pytest.approx(6.096)
    assert "20.0 ft (6.1 m)" in widget.player.still["sliders"][0]["texts"]
    texts = " ".join(text for part in widget.player.frames["parts"] for text in part["texts"])
    assert "20.0 ft" in texts and "m (" not in widget.player.frames["says"][0]


@lengths_alone
@pytest.mark.parametrize("group", live.planner.groups)
@pytest.mark.parametrize("along", live.planner.choices["along"])
def test_other_units_are_the_same_yard(group, along):
    """Whoever turns metres into feet, or back, has the lengths that they had, not the places."""
    given = {"height_m": 7.5, "drop_m": 0.3, "room_m": 18, "width_m": 12.5, "length_m": 33, "heading": 14}
    widget = live.planner(**given, show=group, along=along, low="20m", high="10m")
    before, at = widget.positions, list(widget.player.at)
    for units in ("feet", "metres") * 3:
        widget.controls["units"].value = units
        for slider, (name, value) in zip(
            live.planner.sliders(**widget.choices), widget.positions.items(), strict=True
        ):
            step = np.diff(slider.values)[0]
            more = 0.15 * step if slider.down else step / 2
            assert more - step - 1e-9 <= value - before[name] <= more + 1e-9, (units, name)
        assert widget.player.placed["at"] == widget.player.at and not widget.player.placed["said"]
    assert widget.player.at == at and widget.player.placed["number"] == 6


@lengths_alone
def test_ends_out_of_reach_stay_so_in_feet():
    """Half a foot is a coarse step: what hangs 3 m up, and so fits, is not "too low" for who reads feet."""
    metres, in_feet = (live.planner.sliders(units=units)[:2] for units in ("metres", "feet"))
    for height in metres[0].values:
        drop = height - planner.LOWEST_END_M
        if 0 <= drop <= metres[1].stop:
            (up, _), (down, _) = (
                now.after(was, 0, value)
                for was, now, value in zip(metres, in_feet, (height, drop), strict=True)
            )
            ends = in_feet[0].values[up] - in_feet[1].values[down]
            assert planner.LOWEST_END_M - 1e-9 <= ends < planner.LOWEST_END_M + 0.31, height


@lengths_alone
def test_no_choice_moves_the_yard():
    """Each entry of each list leaves lengths and direction as they were."""
    widget = live.planner(height_m=7.5, drop_m=0.3, room_m=18, heading=14, low="40m", high="20m")
    before = widget.positions
    for name, control in widget.controls.items():
        stood = control.value
        for _, option in control.options:
            control.value = option
            for one, value in widget.positions.items():
                assert value == pytest.approx(before[one], abs=0.16 if name == "units" else 1e-9), (name, one)
        control.value = stood
    assert widget.positions == before


def test_what_a_range_does_not_hold_is_said():
    """A pipe too thin for another cable becomes the thinnest there is for it, and words say so."""
    widget = live.coax_trap(form_diameter_mm=39, turns=5, cable="RG-58")
    widget.controls["cable"].value = "RG-213"
    at, placed = widget.positions["form_diameter_mm"], widget.player.placed
    assert at == live.coax_trap.sliders(cable="RG-213")[0].start and placed["at"] == widget.player.at
    assert placed["said"] == f"Pipe 39.0 mm bends this cable too tightly: it is now {at:.1f} mm."
    assert widget.positions["turns"] == 5
    widget.controls["cable"].value = "RG-58"
    assert widget.positions == {"form_diameter_mm": 39, "turns": 5} and not widget.player.placed["said"]
    widget = live.coax_trap(form_diameter_mm=80, cable="RG-213")
    widget.controls["cable"].value = "RG-58"
    assert "80.0 mm is more than is drawn for this cable" in widget.player.placed["said"]
    wire = live.half_wave_wire(f_mhz=14.2)
    wire.controls["f_mhz"].value = 7.1
    assert wire.positions["length_m"] == pytest.approx(21.1, abs=0.05), "half a wave stays half a wave"


def test_a_hand_on_sliders_that_are_no_more():
    """A place asked for while a choice was on its way is none of the sliders that came with it."""
    widget = live.planner(height_m=7.5, room_m=18, low="20m", high="10m")
    old, at = widget.player.placed["number"], list(widget.player.at)
    widget.controls["units"].value = "feet"
    stands = list(widget.player.at)
    widget.player._follow(None, {"at": at, "placed": old}, [])
    assert widget.player.at == stands and widget.player.answered == 1


@lengths_alone
def test_the_garden_from_above():
    """Where it runs and sends by compass, and whether what falls could touch a power line."""
    garden = {"show": "Garden", "along": "its width", "width_m": 15, "length_m": 20, "heading": 0}
    widget = live.planner(height_m=7.5, drop_m=0, room_m=18, low="20m", high="10m", **garden)
    says = widget.player.frames["says"][0]
    assert "The wire runs E to W, and sends most to N and S." in says
    assert "could anything that falls or swings touch a power line?" in says
    widget.controls["power_lines"].value = "yes"
    assert widget.player.frames["says"][0].startswith("Not here")
    assert list(live.planner.offers(widget.positions, widget.choices)) == []


@lengths_alone
@pytest.mark.parametrize("units", ["metres", "feet"])
def test_the_diagonal_that_was_asked_for_is_had(units):
    """Who says the garden's size, as told, is offered all of its diagonal, though Room says less."""
    asks = {"height_m": 6.1, "drop_m": 3, "room_m": 15, "low": "40m", "high": "20m", "units": units}
    unsaid = live.planner(**asks)
    first = next(live.planner.offers(unsaid.positions, unsaid.choices))
    assert first.words == "Say the garden's size:" and unsaid.controls["show"].value == "Supports"
    unsaid.take(first)
    assert unsaid.controls["show"].value == "Garden" and unsaid.controls["along"] in unsaid._above.children
    widget = live.planner(**asks, width_m=15, length_m=15, along="its diagonal", show="Garden")
    for show in ("Supports", "Garden"):
        says = " ".join(lines(widget, show))
        assert re.search(
            r"The garden has (21\.2 m|69\.\d ft) .* along the wire; Room says (15\.0 m|49\.0 ft)", says
        )
    first = next(one for one in live.planner.offers(widget.positions, widget.choices) if one)
    assert first.words in ("Room along the diagonal: 21.2 m", "Room along the diagonal: 69.0 ft")
    assert not first.choices, "the garden was said already"
    widget.take(first)
    assert 21 < widget.positions["room_m"] < 22 and "It fits" in widget.player.frames["says"][0]
    assert not [line for line in lines(widget) if "Room says" in line]


@lengths_alone
@pytest.mark.parametrize("choices", [{}, {"along": "its width", "width_m": 20, "length_m": 30}])
@pytest.mark.parametrize("places", [(7.5, 0, 18), (28, 0, 60), (12, 4, 40), (20, 2, 10)])
def test_all_that_may_be_reached_is_in_sight(choices, places):
    """What falls or swings reaches all round each support: its edge is closed, no part cut off."""
    height, drop, room = places
    widget = live.planner(
        height_m=height, drop_m=drop, room_m=room, heading=7, low="20m", high="10m", show="Garden", **choices
    )
    seen = planner.Seen(widget.positions, widget.choices, at_rest=False, garden=True)
    posts = np.array([1.0, -1.0] if seen.level else [1.0, 0.0, -1.0]) * seen.plan["out_m"]
    radius = seen.plan["falls_m"]
    edge = outline([(one, 0.0) for one in posts], radius)
    far = np.hypot(edge[:, None, 0] - posts, edge[:, None, 1])
    assert far.min(axis=1) == pytest.approx(radius) and np.all(far > radius - 1e-6), "the outermost alone"
    assert np.all(edge[0] == edge[-1]) and np.ptp(edge[:, 0]) == pytest.approx(np.ptp(posts) + 2 * radius)
    frames = widget.player.frames
    at = next(n for n, one in enumerate(frames["parts"]) if one["fill"] and one["color"] == ORANGE)
    x, y = list(sent(frames, 0))[at]
    left, top, wide, high = (one / 16 for one in frames["parts"][at]["box"])
    assert not np.isnan([x, y]).any() and len(x) == len(edge), "drawn in one"
    assert x.min() >= left and x.max() <= left + wide and y.min() >= top and y.max() <= top + high
    assert max(np.ptp(x) / wide, np.ptp(y) / high) > 0.5, "and no smaller than it must be"


@lengths_alone
def test_bands_that_never_pair():
    """Bands that share no wire are said, with the yard and offers; the controls are there for others."""
    widget = live.planner(low="12m", high="12m")
    assert "lower band" in widget.player.frames["says"][0] and widget.player.still["sliders"]
    widget.controls["low"].value = "20m"
    put(widget, room_m=10)
    assert said(widget)
    with pytest.raises(TypeError, match="takes height_m, drop_m, room_m, width_m"):
        live.planner(heigth_m=9)


def test_it_is_kept_in_a_file(tmp_path, monkeypatch):
    """The button's antenna is the one shown; one that does not fit is not kept."""
    monkeypatch.chdir(tmp_path)
    widget = live.planner(low="20m", high="10m", height_m=7.5, room_m=14, show="Save")
    name, button, told = widget._keeping
    name.value = "lawn"
    button.click()
    assert "Saved: lawn.json" in told.value
    kept = al.read_antenna(tmp_path / "lawn.json")
    assert kept.planned_m == pytest.approx(
        (said(widget)["inner"], said(widget)["outer"]), abs=0.0061
    ) and kept.yard.heights_m == (7.5, 7.5)
    button.click()
    assert "in place of the one before" in told.value
    put(widget, height_m=7.5, room_m=6)
    name.value = "other"
    button.click()
    assert "there is room for" in told.value and not (tmp_path / "other.json").exists()


def test_the_band_is_drawn_whole_with_what_is_allowed():
    """Each curve goes from edge to edge of its band; brackets with words say what the licence has,
    and a hatch what the antenna is not made for."""
    fig = live.planner.still(SCREEN, {}, live.planner.defaults | {"low": "20m", "high": "10m"})[0]
    for ax, name, parts, hatched in zip(
        fig.subfigs[1].subfigs[0].axes, ("20m", "10m"),
        ({"code": (14.025, 14.15), "phone": (14.225, 14.35)}, {"code": (28, 28.3), "phone": (28.3, 29.7)}),
        ([], [(29.0, 29.7)]), strict=True,
    ):  # fmt: skip
        band = al.band(name)
        assert ax.get_xlim() == (band.low_mhz, band.high_mhz)
        brackets = [line.get_xdata() for line in ax.lines if len(line.get_xdata()) == 4]
        assert [(one[0], one[-1]) for one in brackets] == list(parts.values())
        for word, (low, high) in parts.items():
            assert [text.get_position()[0] for text in ax.texts if text.get_text() == word] == [
                (low + high) / 2
            ]
        spans = [patch for patch in ax.patches if patch.get_hatch()]
        assert [pytest.approx((one.get_x(), one.get_x() + one.get_width())) for one in spans] == hatched


@lengths_alone
def test_aim_and_mode_are_controls():
    """By name, as everywhere else; a mode narrows what the antenna is made for, and the words say to what."""
    widget = live.planner(low="40m", high="20m")
    assert [widget.controls[name].description for name in ("aim", "mode")] == ["aim", "mode"]
    assert [label for label, _ in widget.controls["mode"].options] == ["any", "phone", "code"]
    assert lines(widget, "Bands")[1].endswith("at most for 7 to 7.3")
    widget.controls["mode"].value = "code"
    assert lines(widget, "Bands")[1].endswith("at most for 7.025 to 7.125")
    widget.controls["aim"].value = "segment"
    assert live.plan_of(widget).low.f_mhz == 7.075


def test_where_the_watts_go():
    """Four shares a band in words, those of the plan, and a bar whose parts end where they do."""
    choices, places = {"low": "80m", "high": "40m", "soil": "rocky"}, {"height_m": 12, "room_m": 45}
    plan = live.plan_of(live.planner(**choices, **places))
    parts = live.planner.still(SCREEN, places, live.planner.defaults | choices)[1].parts[-8:]
    for band, (bar, _, _, words) in zip(plan.bands, (parts[:4], parts[4:]), strict=True):
        assert words.texts == (al.plan.share_words(band.shares),)
        ends = np.cumsum([*band.shares.values()])[:3]
        assert bar.x[0, 6::3] == pytest.approx(100 * ends, abs=0.2) and bar.x[0, 1] == 100


@pytest.mark.parametrize(
    ("choices", "places"),
    [
        (
            {"low": "20m", "high": "10m", "lower": planner.ONE},
            {"height_m": 8.5, "drop_m": 2, "room_m": 14},
        ),
        (
            {"low": "40m", "high": "20m", "power_w": 500, "sends": "CW"},
            {"height_m": 9, "drop_m": 3, "room_m": 20},
        ),
    ],
    ids=["sloping, carrier", "vee, CW"],
)
def test_how_far_to_keep_off(choices, places):
    """The distance of the plan, rounded away from harm, in words and as a line around the wire, to scale."""
    widget = live.planner(**choices, **places)
    plan = live.plan_of(widget)
    words = next(line for line in lines(widget) if "others stay" in line)
    assert words in lines(widget, "Station") and words in lines(widget, "Garden")
    power, sends, far, clear = re.search(
        r"At (\d+) W, (\w+), others stay (\S+) m .* below (\S+) m .* weak enough everywhere", words
    ).groups()
    assert (", farther with a carrier" in words) == (sends == "CW")
    carrier = max(band.keep_away_carrier_m for band in plan.bands)
    assert (carrier > max(band.keep_away_m for band in plan.bands)) == (sends == "CW"), "and so it is"
    assert (float(power), sends) == (plan.power_w, plan.sends)
    far, clear = float(far), float(clear)
    assert 0 <= far - max(band.keep_away_m for band in plan.bands) < 0.1
    assert 0 <= min(band.clear_below_m for band in plan.bands) - clear < 0.1
    scene = live.planner.still(SCREEN, places, live.planner.defaults | choices)[1]
    edge = next(part for part in scene.parts if part.pen.fill == 0.12)
    size = planner.drawn_smaller(places["height_m"], places["room_m"])  # all of it has room there
    at, there = (
        size * np.stack([edge.x[0], edge.y[0]], axis=1),
        hang(plan, yard=plan.yard, line=usual_line(plan)),
    )
    exact = max(band.keep_away_m for band in plan.bands)
    assert at[:, 1].min() == pytest.approx(clear), "below that, as it is said, nothing is dotted"
    free, along = at[:, 1] > at[:, 1].min() + 1e-9, np.linspace(-1, 1, 2001)
    straight = np.stack([there.ends[1][0] * along, np.interp(along, (-1, 0, 1), (
        there.ends[0][1], plan.top_m, there.ends[1][1]))], axis=1)  # fmt: skip

    def nearest(wire):
        return np.hypot(*(at[free, None] - wire).transpose(2, 0, 1)).min(axis=1)

    sags = there.sag_m * (4 * abs(along) * (1 - abs(along)) if there.vee else 1 - along**2)
    assert free.sum() > 20 and there.sag_m > 0.05
    assert nearest(straight - np.stack([0 * sags, sags], axis=1)).min() > 0.997 * exact, "as it sags"
    either = np.minimum(nearest(straight), nearest(straight - (0, there.sag_m)))
    assert either == pytest.approx(exact, rel=2e-3), "no farther than must be"


def test_too_low_for_that_power():
    """Where the limit is passed at a head's height, the words say that nobody stands there."""
    widget = live.planner(low="20m", high="10m", power_w=1500, height_m=5, room_m=14)
    assert "nobody stands under it" in widget.player.frames["says"][0]


@pytest.mark.parametrize(
    ("asked", "verdict"),
    [
        ({"power_w": 20}, "It fits."),
        ({"low": "40m", "high": "20m", "room_m": 18}, "It fits, but a carrier only up to 64 W."),
        ({"low": "30m", "high": "17m", "sends": "SSB"}, "It fits, but not for SSB."),  # no phone on 30
        ({"low": "40m", "high": "20m", "room_m": 18, "sends": "SSB"}, "It fits."),
        (
            {"power_w": 1500},
            "It fits, but a carrier only up to 33 W.",
        ),  # too hot, too many volts, and too near
        (
            {"low": "30m", "high": "17m", "power_w": 500},
            "It fits, but a carrier only up to 50 W.",
        ),  # 200 W on 30
        ({"power_w": 50, "room_m": 6}, "Not yet."),
        ({"power_w": 50, "high": "20m"}, "Not yet."),
        ({"power_w": 50, "power_lines": "yes"}, "Not here."),
    ],
)
def test_a_verdict_comes_first(asked, verdict):
    """In a word or two, before all that is to be read; never a bare yes where something is too much."""
    widget = live.planner(**{"low": "20m", "high": "10m", "height_m": 7.5, "room_m": 14} | asked)
    for show in live.planner.groups:
        widget.controls["show"].value = show
        first, *more = widget.player.frames["says"][0].split("\n")
        assert first == verdict and more, show


def test_volts_too_close_are_said_wherever_heat_is():
    """Under Supports too, with the watts from which on; not of a coil, whose capacitor is chosen by them."""
    told = "Traps: too many volts for the cable in wet weather above"
    yard = {"low": "20m", "high": "10m", "height_m": 7.5, "room_m": 14}
    assert told in live.planner(**yard, power_w=1500).player.frames["says"][0]
    assert told not in live.planner(**yard).player.frames["says"][0]


def test_watts_are_told_in_sentences():
    """Up to how many a carrier and SSB may have, and "only" where more is sent."""
    power = {
        watts: lines(live.planner(low="20m", high="10m", power_w=watts), "Parts")[1]
        for watts in (5, 200, 1500)
    }
    for watts, told in power.items():
        limits = re.search(
            r"^Traps at (\d+) W\. Heat: a carrier (only )?up to (\d+) W; SSB (only )?up to (\d+) W\.",
            told,
        )
        assert int(limits[1]) == watts
        assert [bool(limits[one]) for one in (2, 4)] == [watts > int(limits[one]) for one in (3, 5)]


def test_what_takes_long_waits_for_the_hand():
    """In a kernel a drag is followed without it, and it comes once when the hand rests."""
    widget = live.planner(low="20m", high="10m", room_m=14)

    async def drag():
        sent_ = []
        widget.player.observe(lambda change: sent_.append(change["new"]["says"][0]), "frames")
        for height in (8, 8.1, 8.2):
            put(widget, height_m=height, room_m=14)
        await asyncio.sleep(REST_S + 1)
        return sent_

    *moving, rest = asyncio.run(drag())
    assert len(moving) == 3 and all("when you let go" in one for one in moving)
    assert re.search(r"others stay \d\.\d m", rest) and "when you let go" not in rest


@lengths_alone
def test_30_m_is_no_dead_end():
    """There is no phone on 30 m, and the planner, asked for any mode, plans for code there."""
    widget = live.planner(low="30m", high="17m")
    assert said(widget) and widget.player.still["sliders"]
    assert live.plan_of(widget).low.wanted_mhz == (10.1, 10.15)


@lengths_alone
def test_every_cable_offered():
    """Each cable of the control makes a trap for each upper band or says why it does not."""
    for cable in al.cable.IN_PLANNER:
        widget = live.planner(low="40m", high="20m", trap_cable=cable)
        assert said(widget)["rated"] > 0


def test_traps_come_on_pipes_that_make_the_turns_whole():
    """For 28.5 MHz RG-58 goes on the pipe of lesson 04, four turns; a pipe too thin is never offered."""
    wound = on_a_pipe(28.5, "RG-58")
    assert wound.form_diameter_mm == 33.4 and wound.turns == pytest.approx(4, abs=0.1)
    assert wound.resonance_mhz == pytest.approx(28.5, rel=1e-3)
    for cable in al.cable.IN_PLANNER:
        assert on_a_pipe(14.2, cable).form_diameter_mm >= 6 * al.cable.cable(cable).outer_mm
    with pytest.raises(ValueError, match="take a thinner form"):
        on_a_pipe(80, "RG-213")


def test_part_of_a_turn_is_wound_where_whole_ones_are_far_off():
    """What the sheet says to wind adds up to the trap's turns, by mm round the form, or is whole."""
    place, bands = (9, 0, 20), {"low": "40m", "high": "20m", "soil": "average"}
    thick = planner.plan_at(*place, **bands, trap_cable="RG-213").trap
    words = r"too far off: wind (\d+) turns (and|less) (\d+) mm \([\d.]+ in\)"
    turns, way, off_mm = re.search(words, " ".join(thick.sentences)).groups()
    part = int(off_mm) / (np.pi * thick.form_diameter_mm) * (1 if way == "and" else -1)
    assert int(turns) + part == pytest.approx(thick.turns, abs=0.005)
    assert abs(thick.whole_turns_mhz / thick.resonance_mhz - 1) > 0.02
    ten = planner.plan_at(9, 0, 20, low="20m", high="10m", soil="average").trap.sentences[2]
    assert "whole turns" in ten and "far" not in ten


def test_north_is_said_at_the_other_end():
    """Where the direction's slider begins nobody has said one, and none is kept; north is kept."""
    words = planner._controls(show="Garden")[5].words
    for heading, runs, told in ((0, None, "not said"), (1, 5.0, "5° N"), (72, 0.0, "360° N")):
        yard = planner.yard_of(9, 0, 20, heading=heading)
        assert planner._as_said(yard, {"heading": heading}, {}).runs_deg == runs and words[heading] == told
    assert "Say how the wire runs: N to S, as drawn, it sends most to E and W." in lines(
        live.planner(), "Garden"
    )


def test_names_and_units():
    """Sliders have names, units, feet; and the planner, which needs its kernel, is no page for phones."""
    for slider in live.planner.sliders(**live.planner.defaults)[:5]:
        assert slider.name and "ft" in slider.text(slider.stop)
    widget = live.planner()
    assert widget.controls["power_w"].description == "watts"
    assert "planner" not in pages.views() and live.planner.ask


def test_plan_of_what_was_dragged():
    """The plan is for the yard where the sliders stand, with the power, cable and licence chosen."""
    mine = live.planner(low="20m", high="10m", mode="code", height_m=10, room_m=14)
    put(mine, height_m=8.5, drop_m=3, room_m=12)
    mine.controls["power_w"].value, mine.controls["soil"].value = 50, "wet"
    plan = live.plan_of(mine)
    assert (plan.top_m, plan.ends_m, plan.span_m, plan.power_w) == pytest.approx((8.5, 5.5, 12, 50))
    assert "wet" in plan.soil and plan.trap.cable == "RG-58" and plan.low.f_mhz < 14.15
    words = said(mine)
    assert (plan.inner_m, plan.outer_m) == pytest.approx((words["inner"], words["outer"]), abs=0.0061)
    put(mine, height_m=8.5, room_m=5)
    with pytest.raises(ValueError, match="there is room for 4"):
        live.plan_of(mine)
    with pytest.raises(ValueError, match="wants the planner"):
        live.plan_of(live.where_it_lands())


def test_three_yards_can_be_had():
    """Each of the course's three yards has its antenna, and Corner Lot's poles leave rope at both ends."""
    plans = {name: planner.plan_at(*place, **choices) for name, (choices, place) in planner.THREE.items()}
    assert plans["Corner Lot"].span_m - plans["Corner Lot"].width_m > 1
    assert [plan.low.name for plan in plans.values()] == ["40m", "80m", "20m"]


def test_the_planner_says_which_watts_are_too_many():
    """In words: heat at 1500 W, foam, and the 200 W of 30 metres; at 5 W all is good."""

    def power(**choices):
        return lines(live.planner(**choices), "Station")[0]

    few, many = power(power_w=5), power(power_w=1500)
    assert few.startswith("Traps at 5 W. Heat: a carrier up to ") and "only" not in few
    assert "a carrier only up to " in many and "foam" not in many
    # as watts of SSB are a fifth of a carrier's heat, they may be five times as many
    carrier, ssb = (float(re.search(rf"{mode} only up to (\d+) W", many)[1]) for mode in ("carrier", "SSB"))
    assert ssb / carrier == pytest.approx(5, rel=0.05)
    assert power(low="30m", high="17m", trap_cable="RG-8X", power_w=500).endswith(
        " Licence: only up to 200 W. Volts: only up to 120 W. ! RG-8X is foam."
    )


@lengths_alone
def test_where_a_power_line_may_be_touched_nothing_is_made(tmp_path, monkeypatch):
    """No plan, no sheet and no file comes of "yes"; unanswered, the file's sentence asks."""
    monkeypatch.chdir(tmp_path)
    widget = live.planner(low="40m", high="20m", height_m=9, room_m=20)
    assert "may touch a power line" in planner._keep("mine", widget.positions, widget.choices)
    asked = widget.choices | {"power_lines": "no, none"}
    assert planner._keep("mine", widget.positions, asked).endswith("notebook in place of the one before.")
    widget.controls["power_lines"].value = "yes"
    for make in (
        lambda: live.plan_of(widget),
        lambda: planner._keep("other", widget.positions, widget.choices),
    ):
        with pytest.raises(al.units.Slip, match=r"^Not here\. Nothing of it may ever touch a power line"):
            make()
    assert [path.name for path in tmp_path.iterdir()] == ["mine.json"]


@lengths_alone
def test_what_was_measured_is_not_saved_over(tmp_path, monkeypatch):
    """An antenna with lines in its log stays; the sentence names the file and no folder of this machine."""
    monkeypatch.chdir(tmp_path)
    widget = live.planner(low="40m", high="20m", height_m=9, room_m=20)
    planner._keep("mine", widget.positions, widget.choices)
    measured = al.read_antenna("mine.json").changed(inner_m=-0.01)
    measured.save("mine.json", force=True)
    with pytest.raises(al.units.Slip, match=r"^mine\.json has 1 lines in its log"):
        planner._keep("mine", widget.positions, widget.choices)
    assert len(al.read_antenna("mine.json").log) == 1


@lengths_alone
def test_save_offers_what_supports_does():
    """Whoever is told there that it does not fit has the same buttons; and why, in the units asked for."""
    widget = live.planner(low="40m", high="20m", height_m=9, room_m=14, units="feet")
    there, here = (
        [one and one.words for one in live.planner.offers(widget.positions, widget.choices | {"show": show})]
        for show in ("Supports", planner.KEEP)
    )
    assert here == there and any(here)
    with pytest.raises(al.units.Slip, match=r"^It spans [\d.]+ ft \([\d.]+ m\)"):
        planner._keep("mine", widget.positions, widget.choices)


@lengths_alone
@pytest.mark.parametrize("units", ["metres", "feet"])
@pytest.mark.parametrize("along", planner.ALONG)
def test_nobody_is_given_a_garden(units, along):
    """Its size is asked for at once and unsaid at first; said, its fence is drawn and its diagonal had."""
    widget = live.planner(low="40m", high="20m", room_m=15, show="Garden", units=units, along=along)
    dials = widget.player.still["sliders"][3:5]
    assert all(dial["shown"] and dial["texts"][0] == "not said" for dial in dials)
    assert planner.wish_of(widget.positions, widget.choices).yard.garden_m is None
    assert "Say how wide and how long the garden is, to see its fence." in lines(widget, "Garden")
    put(widget, room_m=15, width_m=20, length_m=15)
    yard = planner.wish_of(widget.positions, widget.choices).yard
    assert yard.garden_m == pytest.approx((20, 15), abs=0.16)
    assert not [line for line in lines(widget, "Garden") if "how wide" in line]
    if along == planner.ALONG[0]:
        assert yard.chord_m == pytest.approx(20, abs=0.16), "unsaid, it runs along the longer side"
        put(widget, height_m=3.1, room_m=15, width_m=15, length_m=11, heading=4)
        first = next(one for one in live.planner.offers(widget.positions, widget.choices) if one)
        widget.take(first)
        turned = planner.wish_of(widget.positions, widget.choices).yard
        assert turned.garden_deg == 5 * 4 + 90 and turned.runs_deg == turned.diagonal_deg, "it lies as it lay"


def _heights_clear(scene):
    """The two heights of a planner's scene, as Parts, none over a line; and an em of theirs."""
    ax = scene.parts[0].ax
    em, mine = em_of(ax), [part for part in scene.parts if part.ax is ax]
    words = [part for part in mine if part.kind == "text" and part.pen.align == "left"]
    assert len(words) == 2
    for word in words:
        left, middle = float(word.x[0, 0]), float(word.y[0, 0])
        wide = 0.6 * em * len(word.texts[0])
        for part in mine:
            if part.kind != "line" or np.isnan(left):
                continue
            ends = (
                np.linspace(part.x[0, :-1], part.x[0, 1:], 60),
                np.linspace(part.y[0, :-1], part.y[0, 1:], 60),
            )
            over = (ends[0] > left) & (ends[0] < left + wide) & (abs(ends[1] - middle) < 0.5 * em)
            assert not over.any(), word.texts
    return words, em


@lengths_alone
def test_heights_stand_clear():
    """No height is written over a post, the wire, a rope or the line that people keep off."""
    for places in (
        (7.5, 0, 18),
        (3, 0, 18),
        (7.5, 4.5, 18),
        (7.5, 0, 5),
        (16, 2, 20),
        (10, 3, 14),
        (5, 2, 60),
    ):
        wanted = dict(zip(("height_m", "drop_m", "room_m"), places, strict=True))
        _, scene = live.planner.still(SCREEN, wanted, live.planner.defaults | {"low": "20m", "high": "10m"})
        _heights_clear(scene)


@lengths_alone
@pytest.mark.parametrize("look", [*SCREENS.values(), PHONE], ids=[*SCREENS, "phone"])
@pytest.mark.parametrize(
    ("units", "said"), [("metres", ("6.1 m", "3.1 m up")), ("feet", ("20.0 ft", "10.0 ft up"))]
)
def test_a_height_stands_at_its_own_pole(look, units, said):
    """One end lower: the greater height over the high pole's top, not by the middle, which hangs lower."""
    choices = live.planner.defaults | {"low": "40m", "high": "20m", "lower": planner.ONE, "units": units}
    wanted = {"height_m": 6.096, "drop_m": 3.048, "room_m": 18.288}
    _, scene = live.planner.still(look, wanted, choices)
    words, em = _heights_clear(scene)
    assert tuple(word.texts[0] for word in words) == said
    posts, (left, middle) = scene.parts[0], (float(one[0, 0]) for one in (words[0].x, words[0].y))
    foot = np.nanmin(posts.x)
    top = posts.y[posts.x == foot].max()
    assert left < foot < left + em * (0.6 * len(said[0]) + 0.5) and top < middle < top + 2.5 * em
    assert words[1].x > 0, "the lower height is on the side of the low pole"


@lengths_alone
def test_no_height_stands_where_the_wire_is_lower():
    """Large type over a yard that is too small leaves no place by the high pole: then it is not said."""
    wanted = {"height_m": 9, "drop_m": 0.5, "room_m": 16}
    choices = live.planner.defaults | {"low": "40m", "high": "20m", "lower": planner.ONE}
    words, _ = _heights_clear(live.planner.still(PROJECTOR, wanted, choices)[1])
    assert np.isnan(words[0].x).all() and np.isfinite(words[1].x).all()


def test_the_sheet_knows_the_yard():
    """The plan of a planner carries garden and direction as said, and no direction that nobody said."""
    low = {"low": "20m", "high": "10m", "soil": "average"}
    assert planner.plan_at(9, 0, 14, **low).yard.runs_deg is None
    assert planner.plan_at(9, 0, 14, **low).yard.garden_m is None
    told = planner.plan_at(9, 0, 14, 20, 30, 9, along="its width", **low).yard
    assert told.garden_m == (20, 30) and told.runs_deg == 135 and told.sends_deg == (45, 225)


@lengths_alone
def test_a_hall_sees_the_curves():
    """In large type the SWR has three lines' height at the least."""
    figure, _ = live.planner.still(PROJECTOR, {}, live.planner.defaults)
    curves = [ax for ax in figure.axes or _axes(figure) if ax.get_ylabel().startswith("SWR")]
    assert len(curves) == 2
    for ax in curves:
        lo, hi = ax.transData.transform([(0, 1), (0, 5)])[:, 1]
        assert hi - lo > 3 * ax.yaxis.label.get_size() / 72 * figure.dpi * 0.9


def _axes(figure):
    return [ax for sub in figure.subfigs for ax in (*sub.axes, *_axes(sub))]


@pytest.mark.parametrize("look", [SCREEN, PROJECTOR, PHONE], ids=["screen", "projector", "phone"])
@pytest.mark.parametrize(
    ("choices", "places"),
    [
        ({"low": "30m", "high": "20m"}, (6, 3, 15)),
        ({"low": "20m", "high": "10m"}, (3, 0, 11)),
        ({"low": "20m", "high": "10m"}, (30, 0, 60)),
        ({"low": "80m", "high": "40m"}, (6, 0, 10)),  # too long, and that in words above
    ],
)
def test_what_others_keep_off_is_never_cut_off(look, choices, places):
    """From the side and from above: an edge at the picture's border would look like the limit."""
    wanted = dict(zip(("height_m", "drop_m", "room_m"), places, strict=True))
    choices = live.planner.defaults | choices | {"power_w": 1500, "show": "Garden"}
    scene = live.planner.still(look, wanted, choices)[1]
    side, above = (part for part in scene.parts if part.pen.fill == 0.12)
    for part in (side, above):
        assert np.isfinite([part.x, part.y]).all(), "in one"
        (left, right), (low, high) = part.ax.get_xlim(), part.ax.get_ylim()
        assert left < part.x.min() and part.x.max() < right and low < part.y.min() and part.y.max() < high
    share = max(side.x.max() / side.ax.get_xlim()[1], side.y.max() / side.ax.get_ylim()[1])
    assert share > 0.85, "and no smaller than it must be"


def scene_places(wanted):
    """Positions of a planner, with those of a garden unsaid."""
    return dict.fromkeys(("width_m", "length_m", "heading"), 0.0) | wanted


def test_it_keeps_its_size_until_the_hand_rests():
    """What others keep off is known at rest; a hand that moves on sees no other scale for that."""
    choices = live.planner.defaults | {"low": "20m", "high": "10m", "power_w": 1500}
    wanted = scene_places({"height_m": 3.0, "drop_m": 0.0, "room_m": 11.0})
    fig = live.planner.still(SCREEN, {"height_m": 3, "room_m": 11}, choices)[0]
    ax = fig.subfigs[0].subfigs[0].axes[0]
    rests = planner.Seen(wanted, choices)
    moves = planner.Seen(wanted, choices, at_rest=False)
    assert np.isnan(moves.keep_off[0]) and moves.smaller(ax, 3, 11) == rests.smaller(ax, 3, 11)
    assert rests.smaller(ax, 3, 11) > 1.5 * planner.drawn_smaller(3, 11)
    paper = planner.Seen(wanted, choices, keep_off=False)
    assert paper.smaller(ax, 3, 11) == planner.drawn_smaller(3, 11), "without it, as large as can be"


def test_nobody_stands_under_it_in_the_picture_too():
    """Where the words let nobody stand under it, the dots go down to the ground."""
    wanted, choices = {"height_m": 7.5, "room_m": 40}, {"low": "40m", "high": "20m", "power_w": 1500}
    seen = planner.Seen(scene_places({"drop_m": 0.0} | wanted), live.planner.defaults | choices)
    assert 1 < seen.keep_off[1] < 2, "else it says nothing"
    scene = live.planner.still(SCREEN, wanted, live.planner.defaults | choices)[1]
    (dots,) = (part for part in scene.parts if part.pen.fill == 0.12)
    assert "nobody stands under it" in scene.says[0] and dots.y.min() == 0


@lengths_alone
def test_supports_stand_where_room_says():
    """From the side and from above, of a wire that is too long too; all of it may swing round them."""
    wanted = {"height_m": 6, "room_m": 10}
    choices = live.planner.defaults | {"low": "40m", "high": "20m", "show": "Garden"}
    seen = planner.Seen(scene_places({"drop_m": 0.0} | wanted), choices)
    assert seen.half > 8 and seen.plan["out_m"] == 5 and seen.plan["falls_m"] >= 2 * seen.half
    scene = live.planner.still(SCREEN, wanted, choices)[1]
    posts, wire = scene.parts[0].x, scene.parts[3].x
    from_above = next(part for part in scene.parts if part.kind == "dots" and part.ax is scene.parts[-1].ax)
    line = next(part for part in scene.parts if part.ax is from_above.ax and part.pen.width == 1.0
                and part.kind == "line" and np.isfinite(part.x).all())  # fmt: skip
    ratios = [
        np.nanmax(posts) / np.nanmax(wire),
        np.abs(from_above.y).max() / np.abs(line.y).max(),
    ]
    assert ratios[0] == pytest.approx(ratios[1], rel=0.01) and ratios[0] < 0.7


@lengths_alone
def test_a_hand_has_metres_in_the_scale_of_now():
    """As it takes hold: a step of the hand is as many metres high up, where the picture shrinks."""
    frames = live.planner(low="20m", high="10m", height_m=9, room_m=14).player.frames
    for n, grip in enumerate(frames["handles"]):
        if grip["slider"] == 1:
            continue
        steps = np.diff(points(frames, n, 0, among="handles"), axis=0)
        assert np.ptp(np.hypot(*steps.T)) <= 3, "sixteenths of a pixel"


@lengths_alone
@pytest.mark.parametrize("units", ["metres", "feet"])
def test_no_excess_is_nothing(units):
    """Less than 5 cm too long is no 0.0 m: an excess is rounded up, what there is of room down."""
    asked = {"low": "40m", "high": "20m", "units": units}
    begin = live.planner(**asked, height_m=9, room_m=18)
    width = planner.Seen(begin.positions, begin.choices).made.width_m
    seen = planner.Seen(begin.positions | {"room_m": width + 0.97}, begin.choices)
    by_m = seen.faults[0].by_m
    assert 0.0254 < by_m < 0.04
    assert (
        seen.fault
        == ("{cm} cm (2 in)", "2 in ({cm} cm)")[units == "feet"].format(cm=int(np.ceil(100 * by_m - 1e-6)))
        + " too long"
    )
    spans, room = re.search(r"It spans (\S+) .* room for (\S+) ", seen.lines("Supports")[0]).groups()
    assert float(spans) > float(room)


@pytest.mark.parametrize("places", [(9, 0, 14), (4, 2, 20), (9, 0, 18)], ids=["too long", "too low", "fits"])
def test_what_others_keep_off_is_said_though_it_does_not_fit(places):
    """A caution does not wait for a wire that fits: with the yard, in the garden, and where it is saved."""
    wanted = scene_places(dict(zip(("height_m", "drop_m", "room_m"), map(float, places), strict=True)))
    seen = planner.Seen(wanted, live.planner.defaults | {"power_w": 500})
    for show in ("Supports", "Garden", "Station", "Save"):
        assert [line for line in seen.lines(show) if line.startswith("At 500 W, carrier, others stay ")], show
    ground = planner.Seen(wanted | {"drop_m": wanted["height_m"]}, live.planner.defaults)
    assert ground.made is None and "not reckoned" in ground.lines("Supports")[-1]


@lengths_alone
@pytest.mark.parametrize("units", ["metres", "feet"])
@pytest.mark.parametrize("along", planner.ALONG[:3])
def test_its_diagonal_by_hand_is_as_by_its_button(units, along):
    """Room is what the diagonal has, and the garden lies as it lay; Room shows what the button says."""
    asked = {"low": "40m", "high": "20m", "units": units, "along": along, "show": "Garden"}
    yard = {"height_m": 6.1, "drop_m": 3, "room_m": 12, "width_m": 15, "length_m": 13, "heading": 3}
    widgets = [live.planner(**asked, **yard) for _ in range(2)]
    offers = (one for one in live.planner.offers(widgets[0].positions, widgets[0].choices) if one)
    button = next(one for one in offers if "diagonal" in one.words)
    widgets[0].take(button)
    widgets[1].controls["along"].value = "its diagonal"
    assert widgets[0].positions == pytest.approx(widgets[1].positions)
    shown = widgets[1].player.still["sliders"][2]["texts"][widgets[1].player.at[2]]
    assert widgets[1].positions["room_m"] > 19 and shown.split(" (")[0] in button.words
    assert widgets[1].player.placed["at"] == widgets[1].player.at, "the browser is told"
    corner_to_corner = widgets[1].positions["room_m"]
    widgets[1].controls["along"].value = "its width"
    step = 0.1 if units == "metres" else 0.1524
    there = planner.yard_of(**widgets[1].positions, **widgets[1].choices).chord_m
    assert 0 <= there - widgets[1].positions["room_m"] < step + 1e-9, "Room shows no more than there is"
    widgets[1].controls["along"].value = "its diagonal"
    assert widgets[1].positions["room_m"] == pytest.approx(corner_to_corner)


@pytest.mark.parametrize("given", [{"low": "20m", "high": "40m"}, {"power_w": "1500"}])
@pytest.mark.parametrize("drop_m", [0, 3])
def test_what_cannot_be_planned_is_a_sentence(given, drop_m):
    """Level or vee: yard and sentence stand there, where a vee without a wire once ended in a traceback."""
    wanted, choices = live.planner.settings(given | {"height_m": 6, "drop_m": drop_m, "room_m": 15})
    frames = live.planner.film(SCREEN, choices, live.planner.places(wanted, choices))[1]
    assert frames["says"][0].startswith("Not yet.\n") and ("power_w" in given) == (
        "watts" in frames["says"][0]
    )
