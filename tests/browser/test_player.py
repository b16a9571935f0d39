"""The script that plays a film, tried with a film made by hand from nothing but what film.py says."""

import base64
import itertools
import re
import zlib
from io import BytesIO

import matplotlib.image
import numpy as np
import pytest
from film import CLOCK, packed

from antlab.classroom.drawing.parts import curved
from antlab.classroom.views.film import (
    GAP,
    VERSION,
    Block,
    Dial,
    Film,
    Frames,
    Grip,
    Piece,
    Still,
    Waves,
    points,
    side,
    squeezed,
)
from antlab.classroom.views.player import SCRIPT

pytestmark = pytest.mark.browser

LOOK = {"color": "#0b3d91", "fill": 0.0, "width": 32.0, "dashes": [], "box": [0, 0, 1600, 800],
        "size": 160.0, "align": "center", "bold": False, "smooth": False, "until": []}  # fmt: skip
ROWS = [[10 * row, 20, GAP, 40, 50, 60 if row else GAP] for row in range(6)]  # x of the line, x of the text


def by_hand(**changes):
    """A film of two sliders, two places and three: a dot that stays, a broken line that moves, a word."""
    stays = [7, 8, 100, 200, GAP, 300, 400, 500]  # a dot, y of the line (its third is a gap), y of the word
    png = BytesIO()
    matplotlib.image.imsave(png, np.ones((50, 100, 3)), format="png")
    dials = [
        Dial(name="First", unit="m", texts=["1 m", "2 m"], named=False),
        Dial(name="Second", unit="", texts=[*"abc"], named=False),
    ]
    still = Still(version=VERSION, png=png.getvalue(), width=100, height=50, alt="by hand", title="Hand",
                  ask=False, clock=0.0, sliders=dials)  # fmt: skip
    at = {name: Block(fixed=fixed, at=place) for name, fixed, place in (
        ("dot x", True, 0), ("dot y", True, 1), ("line x", False, 0), ("line y", True, 2),
        ("word x", False, 5), ("word y", True, 7),
    )}  # fmt: skip
    parts = [
        Piece(kind="dots", n=1, x=at["dot x"], y=at["dot y"], swing=[], order=1, texts=[], **LOOK),
        Piece(kind="line", n=5, x=at["line x"], y=at["line y"], swing=[], order=1, texts=[], **LOOK),
        Piece(
            kind="text",
            n=1,
            x=at["word x"],
            y=at["word y"],
            swing=[],
            order=1,
            texts=[f"w{row}" for row in range(6)],
            **LOOK,
        ),
    ]
    frames = Frames(
        version=VERSION, message="", rows=6, parts=parts, waves=[], ring=[], handles=[], columns=6, fixed=8,
        says=[f"row {row}\nsecond line" for row in range(6)],
        table=np.array(stays + sum(ROWS, []), "<i2").tobytes(),
    )  # fmt: skip
    made = Film(still=still, frames=frames, at=[1, 0], asked=[])
    for name, value in changes.items():
        made[name] = made[name] | value
    return made


def played(page, film):
    """The player with a film, in an empty page."""
    page.set_content("<div id=view></div>")
    play = f'playPage(document.getElementById("view"), "{squeezed(film)}");'
    page.add_script_tag(content=f"{SCRIPT}\n{play}", type="module")
    page.locator(".antlab").wait_for()  # a module runs a moment later
    return page.locator(".antlab")


def test_a_film_made_by_hand_is_played(page):
    """Rows, blocks, gaps and words mean what film.py says they mean: anybody can make a film, or a player."""
    root = played(page, by_hand())
    root.locator("img[alt='by hand']").wait_for()

    def shown():
        paths = root.locator("svg > path").evaluate_all("paths => paths.map(one => one.getAttribute('d'))")
        return int(root.get_attribute("data-row")), *paths, root.locator("svg > text").text_content()

    assert shown() == (3, "M7 8h0", "M30 100L20 200M40 300L50 400", "w3")
    assert root.locator(".antlab-says").inner_text() == "row 3\nsecond line"
    second = root.get_by_role("slider", name="Second", exact=True)
    second.press("End")
    assert shown()[0] == 5 and second.get_attribute("aria-valuetext") == "c"
    root.get_by_role("slider", name="First (m)").press("Home")
    assert shown()[0] == 2 and shown()[-1] == "w2"
    second.press("Home")
    assert shown() == (0, "M7 8h0", "M0 100L20 200M40 300L50 400", ""), "a text at a gap is hidden"


def test_a_browser_that_opens_no_film_by_itself_is_shown_how(page):
    """What was deflated in each of the three ways, and a whole film, where no stream does it."""
    some = np.random.default_rng(1)
    raws = [b"", b"a", bytes(70_000), some.bytes(70_000), b"a film " * 3000 + bytes(range(256))]
    raws.append(some.integers(0, 9, 40_000).cumsum().astype("<i2").tobytes())
    opens = "globalThis.same = (text, raw) => String(inflated(bytesOf(text))) === String(bytesOf(raw));"
    page.add_script_tag(content=f"{SCRIPT}\n{opens}", type="module")
    page.wait_for_function("() => 'same' in globalThis")  # a module runs when it is ready
    packings = [(level, kind) for level in (0, 1, 9) for kind in (zlib.Z_DEFAULT_STRATEGY, zlib.Z_FIXED)]
    for raw, (level, kind) in itertools.product(raws, packings):
        packing = zlib.compressobj(level, zlib.DEFLATED, 15, 9, kind)
        text = base64.b64encode(packing.compress(raw) + packing.flush()).decode()
        assert page.evaluate("both => same(...both)", [text, base64.b64encode(raw).decode()])
    page.evaluate("delete globalThis.DecompressionStream")
    assert played(page, by_hand()).get_attribute("data-row") == "3"


def test_what_lies_over_has_rows_of_its_own(page):
    """A word that follows the second slider alone, and is there only where the first stands at its end."""
    film = by_hand()
    place = {"x": Block(fixed=False, at=0), "y": Block(fixed=True, at=0), "swing": [], "order": 1}
    word = Piece(kind="text", n=1, texts=[*"ABC"], **place, **LOOK)
    grip = {"slider": 1, "n": 1, "reach": 0, "color": "", "along": []} | place
    over = film["frames"] | {
        "rows": 3, "parts": [word], "handles": [grip], "columns": 1, "fixed": 1,
        "says": ["", "over b", "over c"],
        "table": np.array([50, 10, 300, 900], "<i2").tobytes(), "sliders": [1], "only": [[0, 1]], "over": [],
    }  # fmt: skip
    film["frames"] |= {"sliders": [0, 1], "only": [], "over": [over]}
    root = played(page, film)
    first, second = (root.get_by_role("slider").nth(i) for i in (0, 1))
    said = root.locator(".antlab-says")

    def shown():
        one = root.locator("svg > text").nth(1)
        return one.text_content(), one.get_attribute("x"), root.locator(".antlab-handle").is_visible()

    assert shown() == ("A", "10", True) and said.inner_text() == "row 3\nsecond line"
    second.press("End")
    assert shown() == ("C", "900", True) and said.inner_text() == "row 5\nsecond line\nover c"
    first.press("Home")
    assert (shown()[0], shown()[2]) == ("", False) and said.inner_text() == "row 2\nsecond line"


def test_a_line_is_cut_off_where_it_leaves_its_box(page):
    """And in no other row; its box is as film.py has it."""
    film = by_hand()
    film["frames"]["parts"][1]["box"] = [15, 0, 1585, 800]
    root = played(page, film)
    line, second = root.locator("svg > path").nth(1), root.get_by_role("slider", name="Second", exact=True)
    assert line.get_attribute("clip-path") is None, "it begins at 30"
    root.get_by_role("slider", name="First (m)").press("Home")
    for key, cut in (("Home", True), ("End", False), ("Home", True)):  # it begins at 0, at 20
        second.press(key)
        box = line.evaluate(
            """one => {
              const url = one.getAttribute("clip-path");
              const rect = url && document.querySelector(url.slice(4, -1)).firstChild;
              return rect && [...rect.attributes].map((side) => side.value);
            }"""
        )
        assert box == (["15", "0", "1585", "800"] if cut else None)


@pytest.mark.parametrize("part", ["still", "frames"])
def test_another_version_is_refused_in_words(page, part):
    """A page or a kernel of another antlab: a sentence in place of a picture that may be wrong."""
    root = played(page, by_hand(**{part: {"version": VERSION + 1}}))
    root.locator(
        ".antlab-message", has_text=f"version {VERSION + 1}, and its player shows version"
    ).wait_for()
    assert not root.locator(".antlab-picture").is_visible() and not root.locator("svg > path").count()


def test_a_message_takes_the_picture_s_place(page):
    """A refusal has a sentence and no table; there is nothing to draw, and nothing fails."""
    root = played(page, by_hand(frames={"message": "choose another", "rows": 0, "fixed": 0, "table": b""}))
    assert root.locator(".antlab-message").inner_text() == "choose another"
    assert not root.locator(".antlab-picture").is_visible()


def swinging(clock=2.0):
    """The film by hand with a clock: its dot swings, and a field of three by two points lies under it."""
    swing = [Block(fixed=True, at=at) for at in (0, 1, 0)]  # a = 7, b = 8, c = 7
    film = by_hand(still={"clock": clock})
    dot = film["frames"]["parts"][0] | {"swing": swing}
    field = np.zeros((3, 2, 2), "<i2")
    field[0, 0], field[1, 0], field[0, 1], field[1, 1] = (100, 0), (0, 50), (-30, 0), (20, 40)
    table, ones = field.tobytes(), [1] * 6
    waves = Waves(box=[0, 0, 1600, 800], across=2, up=2, high=ones, drive=[1.0] * 6, direct_on=ones,
                  echo_on=[0] * 5 + [1], full=100.0, direct=table, echo=table)  # fmt: skip
    film["frames"] |= {"parts": [dot, *film["frames"]["parts"][1:]], "waves": [waves]}
    return film


def painted(root):
    """Color and opacity of the canvas, (up, wide, 4), from the ground up."""
    js = "one => [...one.getContext('2d').getImageData(0, 0, one.width, one.height).data]"
    return np.reshape(root.locator("canvas").evaluate(js), (2, 3, 4))[::-1]


def test_what_swings_stands_where_the_clock_says(page):
    """Points and field at several instants are those that film.py promises: crests blue, troughs orange."""
    film = swinging()
    root = played(page, film)
    dot = root.locator("svg > path").first
    page.evaluate(f"{CLOCK}.play(false)")
    for row, key in ((3, None), (5, "End")):
        if key:
            root.get_by_role("slider", name="Second", exact=True).press(key)
        for turn in (0, 0.125, 0.25, 0.6):
            page.evaluate(f"{CLOCK}.set({2.0 * turn})")
            x, y = points(film["frames"], 0, row, turn)[0]
            assert re.findall(r"-?\d+", dot.get_attribute("d"))[:2] == [f"{x:.0f}", f"{y:.0f}"]
            half, seen = side(film["frames"], row, turn), painted(root)
            whole = np.concatenate([half[:, :0:-1], half], axis=1)
            assert np.abs(seen[..., 3] / 255 - np.abs(whole).clip(0, 1)).max() < 0.01
            for place in np.argwhere(np.abs(whole) > 0.1):
                red, _, blue, _ = seen[*place]
                assert (blue > red) == (whole[*place] > 0)


def test_beads_run_along_a_line(page):
    """So far in a turn as film.py says, the way they are told, and they stand when the time does."""
    film = swinging()
    film["frames"]["parts"][1] |= {"beads": [64.0, 200.0, -400.0]}
    root = played(page, film)
    page.evaluate(f"{CLOCK}.play(false)")
    strung = root.locator(".antlab-beads path")
    assert strung.count() == 2, "a bead and its core, of the one line that has any"
    for turn, off in ((0, 0), (0.125, 50), (0.25, 100), (1, 0)):
        page.evaluate(f"{CLOCK}.set({2.0 * turn})")
        assert float(strung.first.get_attribute("stroke-dashoffset")) == off
    line = root.locator("svg > path").nth(1).get_attribute("d")
    assert [strung.nth(i).get_attribute("d") for i in (0, 1)] == [line, line]


def test_time_is_the_students_to_stop_and_to_step(page):
    """Space and buttons stop, step and hasten; the words stay, so that no screen reader is disturbed."""
    root = played(page, swinging())
    turn = lambda: float(root.get_attribute("data-turn"))  # noqa: E731
    moved = f"() => {CLOCK} && document.querySelector('.antlab').dataset.turn"
    before = page.evaluate(moved)
    page.wait_for_function(f"before => ({moved})() !== before", arg=before)
    root.get_by_role("slider", name="Second", exact=True).press(" ")
    stood = turn()
    root.get_by_role("button", name="Step").click()
    assert turn() == pytest.approx(stood + 1 / 8, abs=2e-4)
    root.get_by_role("button", name="Play").wait_for()
    root.get_by_role("button", name="Faster").click(click_count=2)
    assert root.get_by_role("button", name="Faster").is_disabled()
    assert root.locator(".antlab-says").inner_text() == "row 3\nsecond line"
    root.get_by_role("button", name="Play").press(" ")
    page.wait_for_function(
        "stood => document.querySelector('.antlab').dataset.turn > stood + 0.2", arg=turn()
    )


def test_how_much_slower_is_said_of_the_pace_of_now(page):
    """Faster and Slower change the words that tell it; what has its own pace and loses nothing is no bell."""
    film = swinging()
    film["frames"]["says"] = ["Seen 10 million times slower, heard ten thousand times"] * 6
    film["frames"]["ring"] = [{"pace": [2.0] * 6, "loss": [0.0] * 6, "pitch_hz": 0.0}]
    root = played(page, film)
    faster, slower = (root.get_by_role("button", name=name) for name in ("Faster", "Slower"))
    many = lambda: re.search(r"Seen (\S+) million", root.locator(".antlab-says").inner_text())[1]  # noqa: E731
    color = lambda: faster.evaluate("one => getComputedStyle(one).color")  # noqa: E731
    assert many() == "10" and not root.get_by_role("button", name="Pluck").is_visible()
    live = color()
    faster.click(click_count=2)
    assert many() == "2.5" and color() != live, "at its end it is grey"
    slower.click(click_count=3)
    assert many() == "20" and color() == live
    root.get_by_role("slider", name="Second", exact=True).press("Home")
    assert many() == "20", "another row too"
    page.evaluate(f"{CLOCK}.play(false), {CLOCK}.set(0)")
    before = float(root.get_attribute("data-turn"))
    page.evaluate(f"{CLOCK}.set(1.0)")
    assert float(root.get_attribute("data-turn")) == pytest.approx(before + 1.0)


def test_what_is_plucked_rings_down_in_its_own_time(page):
    """In each row by its own pace and loss, twice as fast what goes by squares; a change of row goes on."""
    film = swinging(clock=2.0)
    film["frames"]["parts"][0]["order"] = 2
    film["frames"]["ring"] = [
        {"pace": [1.0] * 3 + [0.5, 1.0, 2.0], "loss": [0.0] * 4 + [0.1, 0.3], "pitch_hz": 9.0}
    ]
    root = played(page, film)
    dot = root.locator("svg > path").first
    told = lambda name: float(root.get_attribute(f"data-{name}"))  # noqa: E731
    page.evaluate(f"{CLOCK}.play(false)")
    pluck = "[...document.querySelectorAll('button')].find((one) => one.textContent === 'Pluck').click()"
    page.evaluate(f"{CLOCK}.set(0), {pluck}, {CLOCK}.play(false)")
    page.evaluate(f"{CLOCK}.set(1.0)")
    assert (told("turn"), told("left")) == (0.25, 1)
    root.get_by_role("slider", name="Second", exact=True).press("End")
    page.evaluate(f"{CLOCK}.set(2.2)")
    assert told("turn") == pytest.approx(0.25 + 1.2) and told("left") == pytest.approx(
        np.exp(-0.3 * 1.2), abs=1e-4
    )
    x, y = points(film["frames"], 0, 5, 1.45, np.exp(-0.3 * 1.2))[0]
    assert re.findall(r"-?\d+", dot.get_attribute("d"))[:2] == [f"{x:.0f}", f"{y:.0f}"]
    root.get_by_role("button", name="Step").click()
    assert told("turn") == pytest.approx(0.25 + 1.2 + 1 / 8)


def test_the_ring_is_heard_on_a_click(page):
    """No sound before; then a tone as high as the row's, which fades as what is seen."""
    film = swinging()
    film["frames"]["ring"] = [{"pace": [4.0] * 6, "loss": [0.02] * 6, "pitch_hz": 100.0}]
    page.add_init_script(
        "globalThis.made = []; const real = OscillatorNode; globalThis.OscillatorNode = class extends real {"
        "constructor(on, how) { super(on, how); made.push(how.frequency, on.state); } };"
        "const fade = AudioParam.prototype.setTargetAtTime; AudioParam.prototype.setTargetAtTime ="
        "function (...all) { made.push(all[0], all[2]); return fade.apply(this, all); };"
    )
    page.goto("about:blank")
    root = played(page, film)
    page.wait_for_timeout(100)
    assert page.evaluate("made.length") == 0
    hear = root.get_by_role("button", name="Hear it")
    hear.click()
    assert hear.get_attribute("aria-pressed") == "true", "as long as it sounds"
    page.wait_for_function("document.querySelector('[aria-pressed=false]')?.textContent === 'Hear it'")
    hertz, _, towards, seconds = page.evaluate("made")
    assert (hertz, towards) == (400, 0) and seconds == pytest.approx(1 / (0.02 * 400))
    assert not played(page, swinging()).get_by_role("button", name="Hear it").is_visible()


def test_a_clock_rests_where_nobody_looks_or_wants_it(page):
    """Scrolled away it stops; with reduced motion it does not begin; a still view has no buttons."""
    root = played(page, swinging())
    page.add_style_tag(content="body { padding-top: 3000px }")
    page.wait_for_timeout(1000)  # it is out of sight within a frame, and a busy machine may be late with one
    stood = root.get_attribute("data-turn")
    page.wait_for_timeout(300)
    assert root.get_attribute("data-turn") == stood
    page.emulate_media(reduced_motion="reduce")
    page.reload()
    root = played(page, swinging())
    root.get_by_role("button", name="Play").wait_for()
    assert root.get_attribute("data-turn") == "0.0000"
    assert not played(page, by_hand()).get_by_role("button", name="Step").is_visible()


def test_names_are_buttons(page):
    """What has names has a button for each, by mouse and by keys; the one that is pressed is told."""
    still = by_hand()["still"]
    named = {"sliders": [still["sliders"][0], still["sliders"][1] | {"named": True}]}
    root = played(page, by_hand(still=named))
    group = root.get_by_role("radiogroup", name="Second", exact=True)
    assert root.get_by_role("slider").count() == 1 and group.get_by_role("radio").count() == 3
    group.get_by_role("radio", name="c", exact=True).click()
    assert root.get_attribute("data-row") == "5" and "row 5" in root.locator(".antlab-says").inner_text()
    page.keyboard.press("ArrowLeft")
    assert root.get_attribute("data-row") == "4"
    assert group.get_by_role("radio", name="b", exact=True).is_checked()


def test_a_smooth_line_is_curved(page):
    """It is drawn as parts.curved draws it on paper: through every point, and between them to a pixel."""
    x, y = np.array([0, 160, 320, 480, 640]), np.array([0, 400, 500, 300, 700])
    film = by_hand()
    line = film["frames"]["parts"][1] | {
        "smooth": True,
        "x": Block(fixed=True, at=0),
        "y": Block(fixed=True, at=5),
    }
    frames = {
        "parts": [line],
        "fixed": 10,
        "columns": 0,
        "table": np.concatenate([x, y]).astype("<i2").tobytes(),
    }
    root = played(page, by_hand(frames=frames))
    path = root.locator(".antlab-picture svg > path").get_attribute("d")
    there = np.array([float(one) for one in re.findall(r"-?\d+", path)]).reshape(-1, 2)
    ends, bends = there[::3], np.delete(there, slice(0, None, 3), axis=0).reshape(-1, 2, 2)
    assert np.array_equal(ends, np.stack([x, y], axis=1))
    middles = (ends[:-1] + 3 * bends.sum(axis=1) + ends[1:]) / 8
    assert np.allclose(middles, np.transpose(curved(x.astype(float), y.astype(float), 2))[1::2], atol=1)

    until = {"until": [Block(fixed=True, at=10)]}
    table = np.concatenate([x, y, [400]]).astype("<i2").tobytes()
    root = played(page, by_hand(frames=frames | {"parts": [line | until], "fixed": 11, "table": table}))
    path = root.locator(".antlab-picture svg > path").get_attribute("d")
    assert path.count("C") == 3, "two whole pieces, and a half of the third"
    *_, end = np.array([float(one) for one in re.findall(r"-?\d+", path)]).reshape(-1, 2)
    there = np.transpose(curved(x.astype(float), y.astype(float), 16, until=400))[-1]
    assert end == pytest.approx(there, abs=1) and there[0] == 400


def test_a_handle_leads_its_slider(page):
    """A handle dragged sets its slider to the nearest place of its path; the other one stays where it is."""
    film = by_hand()
    rows = [[*row, 200 + 500 * (i % 3), 400] for i, row in enumerate(ROWS)]  # a handle's x and y at the end
    stays = np.frombuffer(film["frames"]["table"], "<i2")[:8].tolist()
    film["frames"] |= {
        "columns": 8, "table": np.array(stays + sum(rows, []), "<i2").tobytes(),
        "handles": [
            Grip(slider=1, n=1, reach=40, color="#0b3d91",
                 x=Block(fixed=False, at=6), y=Block(fixed=False, at=7), along=[[[0, -300], [0, 0]]])
        ],
    }  # fmt: skip
    root = played(page, film)
    page.add_style_tag(content=".antlab { width: 500px }")
    page.evaluate("() => new Promise(drawn => requestAnimationFrame(() => requestAnimationFrame(drawn)))")
    handle = root.locator(".antlab-handle")
    assert handle.locator("circle").bounding_box()["width"] == pytest.approx(2 * 40, abs=1), "its own reach"
    handle.hover()
    box = root.locator("svg").bounding_box()

    def place(x, y=400):
        return box["x"] + x / 1600 * box["width"], box["y"] + y / 800 * box["height"]

    assert handle.evaluate("one => getComputedStyle(one).touchAction") == "none"
    arrows, dot = handle.locator("path:not(.antlab-dot)"), handle.locator(".antlab-dot")
    assert dot.evaluate("one => getComputedStyle(one).stroke") == "rgb(11, 61, 145)"
    assert arrows.get_attribute("d").count("M") == 1, "no arrow beyond an end"
    page.mouse.move(*place(200))
    page.mouse.down()
    for x, row in ((440, 3), (480, 4), (1000, 5), (3000, 5), (690, 4)):
        page.mouse.move(*place(x), steps=2)
        assert root.get_attribute("data-row") == str(row)
        assert arrows.get_attribute("d").count("M") == (2 if row == 4 else 1)
        assert root.get_by_role("slider", name="Second", exact=True).input_value() == str(row - 3)
    page.mouse.up()
    page.mouse.move(*place(1200))
    assert root.get_attribute("data-row") == "4", "let go, it stays"
    page.keyboard.press("ArrowLeft")
    assert root.get_attribute("data-row") == "3", "the keys belong to what was held"
    for y, row in ((110, "4"), (50, "3")):
        root.get_by_role("slider", name="Second", exact=True).press("Home")
        page.mouse.move(*place(200, y))
        page.mouse.down()
        page.mouse.move(*place(690, y))
        page.mouse.up()
        assert root.get_attribute("data-row") == row, "it is held along its lines, and not beyond"


IN_A_CELL = """
globalThis.sent = [];
const film = %s, heard = {};
film.still.png = bytesOf(film.still.png);
film.frames.table = bytesOf(film.frames.table);
const model = {
  get: (name) => ({ look: "plain", offers: {}, narrow: false, ...film })[name],
  set() {}, save_changes() {}, off() {}, send: (message) => sent.push(message.at[1]),
  on: (name, tell) => (heard[name] ??= []).push(tell),
};
globalThis.come = (next) => {
  Object.assign(film, next);
  for (const name of ["still", "frames"]) heard[`change:${name}`].forEach((tell) => tell());
};
globalThis.film = film;
globalThis.answer = () => heard["change:answered"].forEach((tell) => tell());
for (const el of document.querySelectorAll("div")) render({ model, el });
"""


def test_two_places_are_asked_at_once_and_then_the_newest(page):
    """However often the hand moves, and whichever of two views of one cell it moves in."""
    page.set_content("<div></div><div></div>")
    film = packed(by_hand(still={"ask": True}, frames={"rows": 1}))
    page.add_script_tag(content=f"{SCRIPT}\n{IN_A_CELL % film}", type="module")
    for root in page.locator(".antlab").all():
        second = root.get_by_role("slider", name="Second", exact=True)
        second.evaluate(
            """one => { for (const place of [1, 2, 0, 1, 2]) {
                one.value = place;
                one.dispatchEvent(new Event("input"));
            } }"""
        )
        assert page.evaluate("sent.splice(0)") == [1, 2]
        page.evaluate("answer()")
        assert page.evaluate("sent.splice(0)") == [2]
        page.evaluate("answer(); answer()")
        assert page.evaluate("sent") == []


def test_a_choice_moves_the_sliders_and_says_what_it_could_not_keep(page):
    """The kernel tells where they stand on other steps; a hand that moves on takes the word away."""
    page.set_content("<div></div>")
    film = packed(by_hand(still={"ask": True}, frames={"rows": 1}))
    page.add_script_tag(content=f"{SCRIPT}\n{IN_A_CELL % film}", type="module")
    root = page.locator(".antlab")
    second = root.get_by_role("slider", name="Second", exact=True)
    assert second.input_value() == "0" and root.locator(".antlab-message").is_hidden()
    page.evaluate(
        """() => {
            const [first, second] = film.still.sliders, sliders = [first, { ...second, texts: [..."vwxyz"] }];
            const placed = { number: 1, at: [1, 4], said: "It is now z." };
            come({ still: { ...film.still, sliders }, placed });
        }"""
    )
    assert second.input_value() == "4" and second.get_attribute("aria-valuetext") == "z"
    assert root.get_by_role("slider", name="First", exact=False).input_value() == "1"
    assert root.locator(".antlab-message").inner_text() == "It is now z."
    border = "node => getComputedStyle(node).borderTopWidth"
    assert root.locator(".antlab-message").evaluate(border) == "0px", "a quiet word, no alarm"
    assert root.locator(".antlab-picture").is_visible(), "the picture stays"
    second.press("ArrowLeft")
    page.evaluate("() => come({ frames: { ...film.frames } })")
    assert root.locator(".antlab-message").is_hidden() and second.input_value() == "3"
    page.evaluate("() => come({ still: { ...film.still } })")
    assert second.input_value() == "3", "an old word moves nothing"
    page.evaluate("() => come({ frames: { ...film.frames, rows: 0, message: 'choose another' } })")
    assert root.locator(".antlab-message").evaluate(border) == "3px", "what went wrong is framed"
