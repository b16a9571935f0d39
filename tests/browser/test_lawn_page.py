"""The page for the lawn, on a phone without a network: it says what Python says, and its log comes home."""

import base64
import json
import re
from dataclasses import replace

import numpy as np
import pytest
import segno
from test_phone_pages import telephone

import antlab as al
from antlab.antenna import lawn, trim
from antlab.antenna.bench import Advice
from antlab.antenna.lawn import Wires, taken_along, with_lawn_log
from antlab.classroom.paper.lawn import TEMPLATES, lawn_page

pytestmark = pytest.mark.browser
KNOTS = 4, 5  # coarse, and quick: what is tested is that both reckon alike with the same table


@pytest.fixture(scope="module")
def antenna():
    """Two trees of unlike height."""
    yard = al.Yard(hung="level", heights_m=(9, 12), span_m=30)
    return al.Antenna(name="two trees", yard=yard, low_mhz=7.1, high_mhz=14.2)


@pytest.fixture(scope="module")
def taken(antenna):
    """What its page takes along."""
    return taken_along(antenna, knots=KNOTS)


@pytest.fixture(scope="module")
def page_of_it(antenna, taken, tmp_path_factory):
    """Its page, as a file."""
    path = tmp_path_factory.mktemp("lawn") / "lawn.html"
    path.write_text(lawn_page(antenna, taken), encoding="utf-8")
    path.with_name("feet.html").write_text(lawn_page(antenna, taken, first="feet"), encoding="utf-8")
    assert path.stat().st_size < 1_000_000
    return path


@pytest.fixture
def phone(chromium):
    """A page on a phone without network."""
    with telephone(chromium, offline=True, local=["file:"]) as page:
        yield page


class Tabled(al.Dipole):
    """A dipole whose impedance around the aims is the table's that the phone has."""

    wires = None

    def impedance(self, f_mhz, *, rough=False):
        if self.trap is None:
            return super().impedance(f_mhz, rough=rough)
        band = int(f_mhz[0] > np.sqrt(np.prod(self.wires.aims_mhz)) * 0.999)
        f, z = self.wires.around(band, self.sections, self.trap)
        assert f == pytest.approx(f_mhz)
        return z


def tabled(antenna, taken):
    """The Trimming of an antenna by the table that its page takes along."""
    log, packed = antenna.trimming, taken["wires"]
    pole, weights = (np.frombuffer(base64.b64decode(packed[name]), "<c8") for name in ("pole", "weights"))
    shapes = (2, packed["points"]), (*packed["knots"], 2, packed["points"], 3)
    wires = Wires(
        log.aims_mhz, *(np.array(packed[name]) for name in ("middle_m", "half_m")),
        pole.reshape(shapes[0]), weights.reshape(shapes[1]),
    )  # fmt: skip
    kind = type("OfTheTable", (Tabled,), {"wires": wires})
    own = {name: getattr(log.dipole, name) for name in ("sections", "traps", "shape", "soil", "wire")}
    return replace(log, dipole=kind(**own))


def read_off(low_mhz, high_mhz):
    return {"what": "read off", "low_mhz": low_mhz, "high_mhz": high_mhz}


def said_here(log, lines):
    """What Python says to each measurement of a log."""
    said, advice = [], None
    for line in lines:
        if line["what"] == "changed":
            log = log.done(advice, inner_m=line["inner_m"], outer_m=line["outer_m"])
            advice = None
            continue
        if advice is not None:
            log = log.done(advice, inner_m=0.0, outer_m=0.0)
        advice = log.advise(low_mhz=line["low_mhz"], high_mhz=line["high_mhz"])
        said.append([advice.text, *advice.because])
    return said


def said_there(phone, taken, logs):
    """What the phone says."""
    source = (TEMPLATES / "reckoning.js").read_text(encoding="utf-8")
    return phone.evaluate(
        f"""([taken, logs]) => {{
            {source}
            const reckoning = makeReckoning(taken);
            return logs.map((lines) => {{
                let log = reckoning.begin();
                return lines.flatMap((line) => {{
                    log = reckoning.after(log, line);
                    return line.what === "changed" ? [] : [[log.pending.text, ...log.pending.because]];
                }});
            }});
        }}""",
        [json.loads(json.dumps(taken)), logs],
    )


def test_the_phone_says_what_python_says(antenna, taken, phone):
    """Word for word: lengths, faults, no minimum; first steps, later ones, a reversal, measured again."""
    log = tabled(antenna, taken)
    low, high = log.aims_mhz
    near = [(a, b) for a in (-0.02, 0.012) for b in (-0.02, -0.004, 0.01)]
    logs = [[read_off(low * (1 + a), high * (1 + b))] for a, b in (*near, (0, 0.001), (-0.07, -0.05))]
    logs += [[read_off(low, None)], [read_off(None, high)], [read_off(None, None)], [read_off(8.35, high)]]
    logs += [[read_off(low, 12.4)]]
    cut = {"what": "changed", "inner_m": -0.04, "outer_m": -0.0125}
    first = read_off(low * 0.99, high * 0.992)
    logs.append([first, cut, read_off(low * 0.994, high * 0.999)])
    logs.append([first, cut, read_off(low * 1.02, high * 1.025), read_off(low * 1.019, high * 1.024)])
    slipped = {"what": "changed", "inner_m": -0.35, "outer_m": 0.0}  # of 4 cm that were really folded
    logs.append([first, slipped, read_off(low * 0.998, high * 0.998)])
    here = [said_here(log, lines) for lines in logs]
    assert said_there(phone, taken, logs) == here
    said = " ".join(words for lines in here for one in lines for words in one)
    for words in (
        "Shorten each outer", "Lengthen each inner", "after the upper band", "Leave it alone",
        "Measure the traps first", "would be asked", "no minimum on either", "too far", "without traps",
        "a trap looks open", "shows nothing", "far for traps", "No antenna is so far off",
    ):  # fmt: skip
        assert words in said


def test_an_evening_on_the_lawn(antenna, page_of_it, phone):
    """Comma and kilohertz, an answer, what was done, kept by the phone, taken back, home in the file."""
    phone.goto(page_of_it.as_uri())
    low, high = phone.locator("#low-mhz"), phone.locator("#high-mhz")
    ask = phone.get_by_role("button", name="What do I change?")
    low.fill("7,05")
    high.fill("14100")
    ask.tap()
    assert phone.locator("#high-wrong").inner_text() == "14100 looks like kHz: that is 14.1 MHz."
    assert high.get_attribute("aria-invalid") == "true" and phone.locator("#log li").count() == 0
    for typed, said in (
        ("", "Type where the SWR is lowest"), ("high", "is no number"), ("7.1", "into the other box"),
        ("12.9", "this page reckons to 8 %"),
    ):  # fmt: skip
        high.fill(typed)
        ask.tap()
        assert said in phone.locator("#high-wrong").inner_text()
    high.fill("14.1 MHz")
    ask.tap()
    answer = phone.locator("#answer-text").inner_text()
    assert answer.startswith("Shorten each inner wire by") and not phone.locator("#high-wrong").is_visible()
    phone.locator("label", has_text="feet").first.tap()
    assert phone.locator(".ft").first.is_visible() and not phone.locator(".m").first.is_visible()
    first = phone.locator("#answer-text").inner_text()
    assert re.match(r"Shorten each inner wire by (\d+ )?(\d+/\d+ )?in \([\d.]+ cm\)", first)
    assert "cm (" not in first and not re.search(r"\d\.\d+ in", first)
    phone.locator("#inner-by").fill("1/x")
    phone.get_by_role("button", name="Write it down").tap()
    assert "is no number" in phone.locator("#inner-by-wrong").inner_text()
    phone.locator("#inner-by").fill("1 1/2")
    phone.locator("#outer-by").fill("0")
    phone.get_by_role("button", name="Write it down").tap()
    assert "inner wires −1 1/2 in (−3.8 cm) each" in phone.locator("#log li").nth(1).inner_text()
    phone.reload()
    assert phone.locator("#log li").count() == 2 and phone.locator("html").get_attribute("data-units") == "ft"
    phone.get_by_role("button", name="Take back the last line").tap()
    assert phone.locator("#log li").count() == 1 and phone.locator("#answer-text").inner_text() == first
    phone.get_by_role("button", name="Put it back").tap()
    home = with_lawn_log(antenna, phone.locator("#home-text").input_value())
    assert [round(a - b, 4) for a, b in zip(antenna.cut_m, home.cut_m, strict=True)] == [0.038, 0]
    assert home.log[0].low_mhz == 7.05 and home.log[0].high_mhz == 14.1
    for width, height in ((390, 844), (844, 390)):
        phone.set_viewport_size({"width": width, "height": height})
        assert phone.evaluate("document.documentElement.scrollWidth") == width
        for target in phone.locator("button:visible, nav a, .file, input:not([type]), select, .none").all():
            assert target.bounding_box()["height"] >= 44


@pytest.mark.parametrize(("low", "high"), [(0.98, 0.98), (1.0, 1.0), (0.95, 0.95)])
def test_what_was_told_at_home_stands_there(antenna, taken, tmp_path, phone, low, high):
    """A page made after a measurement begins with its advice: to change, to leave alone, or not to cut."""
    told = antenna.read_off(low_mhz=antenna.planned_mhz[0] * low, high_mhz=antenna.planned_mhz[1] * high)
    advice, path = told.advice, tmp_path / "told.html"
    start = json.loads(json.dumps(taken))["start"] | {"pending": lawn._pending(advice), "measured": True}
    path.write_text(lawn_page(told, taken | {"start": start}), encoding="utf-8")
    phone.goto(path.as_uri())
    assert " ".join(phone.locator("#answer-text").inner_text().split()) == advice.text
    assert phone.locator("#traps-how").is_visible() == advice.measure_traps == (low == 0.95)
    changed, boxes = (
        [f"{100 * abs(m):.1f}" for m in (advice.inner_m, advice.outer_m)],
        ("#inner-by", "#outer-by"),
    )
    hints = [phone.locator(box).get_attribute("placeholder") for box in boxes]
    assert hints == [f"advised {one}" if float(one) else "0" for one in changed]
    assert [phone.locator(box).input_value() for box in boxes] == ["", ""]
    as_advised = phone.get_by_role("button", name="As advised")
    assert as_advised.is_visible() == any(map(float, changed)) == (low == 0.98)
    if as_advised.is_visible():
        as_advised.tap()
        assert [phone.locator(box).input_value() for box in boxes] == changed
        phone.get_by_role("button", name="Write it down").tap()
        assert phone.locator("#log li").count() == 1


def told(phone, low, high):
    """Two frequencies typed, and asked."""
    phone.locator("#low-mhz").fill(str(low))
    phone.locator("#high-mhz").fill(str(high))
    phone.get_by_role("button", name="What do I change?").tap()


def test_an_answer_is_of_its_reading(page_of_it, phone):
    """While what was typed is refused the advice before stands as that, until a reading is taken."""
    phone.goto(page_of_it.as_uri())
    answer, before = phone.locator("#answer"), phone.locator("#before")
    told(phone, "abc", 14.1)
    assert not answer.is_visible()
    for low, high, taken in (
        (7.05, 14.1, True),
        (14.1, 7.05, False),
        ("abc", 14.1, False),
        (7.06, 14.1, True),
    ):
        told(phone, low, high)
        assert answer.is_visible() and before.is_visible() != taken
        assert ("before" in answer.get_attribute("class").split()) != taken
    told(phone, "abc", 14.1)
    phone.locator("label", has_text="feet").first.tap()
    assert "this answers the reading before" in before.inner_text() and before.is_visible()
    phone.get_by_role("button", name="As advised").tap()
    phone.get_by_role("button", name="Write it down").tap()
    assert not answer.is_visible() and not phone.locator("#low-wrong").is_visible()


def test_what_may_be_a_slip_is_asked_first(page_of_it, phone):
    """An empty box where a change was advised, far more than advised, the other way: logged after a yes."""
    phone.goto(page_of_it.with_name("feet.html").as_uri())
    told(phone, 7.05, 14.1)
    lines, sure = phone.locator("#log li"), phone.locator("#sure")
    inner, outer = phone.locator("#inner-by"), phone.locator("#outer-by")
    write = phone.get_by_role("button", name="Write it down")
    hint = inner.get_attribute("placeholder").removeprefix("advised ")
    assert re.fullmatch(r"\d+( \d+/\d+)?", hint) and inner.input_value() == outer.input_value() == ""
    inner.fill(hint)
    write.tap()
    assert "You typed nothing for the outer wires, of which" in sure.inner_text() and lines.count() == 1
    outer.fill("0")
    assert not sure.is_visible()
    inner.fill("40")
    write.tap()
    assert "You wrote -40 in (-101.6 cm) for each inner wire, which had 1" in sure.inner_text()
    phone.get_by_role("button", name="Type it anew").tap()
    assert not sure.is_visible() and lines.count() == 1
    inner.fill(hint)
    phone.locator("#inner-way").select_option("longer")
    write.tap()
    assert "the other way. If that is a slip" in sure.inner_text() and lines.count() == 1
    phone.get_by_role("button", name="Log it all the same").tap()
    assert lines.count() == 2 and not sure.is_visible()
    assert f"inner wires +{hint} in (" in lines.nth(1).inner_text()


def test_what_is_doubted_is_what_trim_doubts(antenna, taken, phone):
    """By the same rule, in the same words; trim says them after it is written."""
    assert trim.MUCH == lawn.MUCH
    has, advice = antenna.trimming.lengths_m, {"inner_m": -0.1, "outer_m": 0.05}
    share, twice = lawn.MUCH * has[0], 0.2
    changes = [
        [0, 0],
        [-0.1, 0.05],
        [-share + 0.01, 0],
        [-share - 0.01, 0],
        [0, -1.0],
        [0, 1.0],
        [0.02, 0],
        [-0.1, -0.01],
    ]
    source = (TEMPLATES / "reckoning.js").read_text(encoding="utf-8")
    said = phone.evaluate(
        f"""([taken, log, changes]) => {{
            {source}
            const {{ unlike }} = makeReckoning(taken);
            return [log, {{ ...log, pending: null }}].map((log) =>
                changes.map((change) => unlike(log, change, (m) => `${{m.toFixed(2)}} m`)));
        }}""",
        [json.loads(json.dumps(taken)), {"lengths_m": has.tolist(), "pending": advice}, changes],
    )
    assert share > twice
    for there, here in zip(said, (Advice(low_mhz=None, high_mhz=None, **advice), None), strict=True):
        for words, change in zip(there, changes, strict=True):
            slips = [
                re.sub(r" \(\d+ ft[^)]*\)", "", slip)  # which the page shows in one unit
                for slip in trim._unlike(here, has, *change)
            ]
            assert slips == [f"{words} If that is a slip, undo it."] if words else slips == []
    assert [bool(words) for words in said[0]] == [False] * 3 + [True] * 5


def test_beyond_its_table_the_phone_tells_no_percent(taken, phone):
    """Right on both bands, a metre after a slip: what the table says at its edge is no news of the wire."""
    low, high = taken["aims_mhz"]
    slip = {"what": "changed", "inner_m": -1.016, "outer_m": 0.0}
    logs = [[read_off(low * 0.99, high * 0.99), slip, read_off(low, high)]]
    (_, (text, *because)), *_ = said_there(phone, taken, logs)
    assert "Leave it alone" in text and because == [taken["words"]["untrue"]]


def test_the_traps_in_the_owner_s_order(page_of_it, phone):
    """The pipe's width in both units, in three digits, inches first for whom feet are."""
    phone.goto(page_of_it.as_uri())
    traps = phone.locator("#trap + ul")
    pairs = r"[\d.]+ mm \([\d.]+ in\)", r"[\d.]+ in \([\d.]+ mm\)"
    for chosen, other, units in ((pairs[0], pairs[1], "metres"), (pairs[1], pairs[0], "feet")):
        phone.locator("label", has_text=units).first.tap()
        said = traps.inner_text().replace("\u00a0", " ")
        assert re.search(chosen, said) and not re.search(other, said)
        assert not re.search(r"\d\d\.\d\d+ mm", said)


def test_feet_first_until_the_owner_chooses(page_of_it, phone):
    """Protects `antlab pages --first feet`: lengths begin in feet, and stay as the owner had them last."""
    phone.goto(page_of_it.with_name("feet.html").as_uri())
    assert phone.locator(".ft").first.is_visible() and phone.locator("[value=ft]").is_checked()
    phone.locator("label", has_text="metres").first.tap()
    phone.locator(".m").first.wait_for()
    phone.reload()
    assert phone.locator(".m").first.is_visible() and not phone.locator(".ft").first.is_visible()


def test_a_phone_that_keeps_nothing(page_of_it, phone):
    """In private mode the page answers all the same, and says that the log has to be copied."""
    phone.add_init_script(
        "Object.defineProperty(window, 'localStorage', { get() { throw new Error('kept nowhere'); } })"
    )
    phone.goto(page_of_it.as_uri())
    assert phone.locator("#not-kept").is_visible()
    phone.locator("label", has_text="none seen").first.tap()
    phone.locator("#high-mhz").fill("14.2")
    phone.keyboard.press("Enter")
    assert "a trap looks open" in phone.locator("#answer").inner_text()
    assert "high 14.2 MHz" in phone.locator("#home-text").input_value()


def test_the_code_is_the_standard_s(page_of_it, phone):
    """Module for module what segno draws, where no padding is left to the drawer; in each kind of version."""
    source = (TEMPLATES / "qr.js").read_text(encoding="utf-8")
    drawn = phone.evaluate(
        f"""() => {{
            {source}
            return [1, 2, 7, 10, 22].map((version, i) => {{
                const bytes = [...Array(qrRoom(version)).keys()].map((k) => 97 + (k * k + 3 * k) % 25);
                return [version, i, bytes, qrModules(bytes, version, i).map((row) => row.map(Number))];
            }});
        }}"""
    )
    for version, mask, letters, modules in drawn:
        code = segno.make(
            bytes(letters), version=version, mask=mask, error="l", boost_error=False, micro=False
        )
        assert [list(map(int, row)) for row in code.matrix] == modules
    phone.goto(page_of_it.as_uri())
    phone.get_by_role("button", name="Show as a code").tap()
    box = phone.get_by_role("img", name="The log as a QR code").bounding_box()
    assert box["width"] == pytest.approx(box["height"]) and box["width"] > 300
