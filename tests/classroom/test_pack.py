"""The teacher's pack before any browser sees it: worksheets without answers, parts, guide, poster, index."""

import html
import re
from functools import partial

import pytest

from antlab.antenna.safety import CAUTIONS
from antlab.classroom import live
from antlab.classroom.guess.question import plain, read_guess
from antlab.classroom.paper import booklet, pack, pages, parts_page, slides, to_complete
from antlab.classroom.paper.handouts import Press, lessons
from antlab.classroom.paper.pages import live_call
from antlab.classroom.paper.poster import poster
from antlab.classroom.paper.worksheet import sentences
from antlab.classroom.views.player import SCREENS, Slider
from antlab.trouble import Slip

SITE = "http://192.168.1.5:8080/"


def test_a_worksheet_has_no_answers(monkeypatch):
    """It tells neither the right letter nor a word to be filled in; the teacher's copy has them all."""
    monkeypatch.setattr(to_complete, "of_cell", lambda cell, complete: ("<svg/>", "here"))
    monkeypatch.setattr(to_complete, "of_guess", lambda guess, complete: "<svg/>")
    theirs, ours = (
        pack.worksheets([(number, complete) for number in lessons()], "a4").split("<article")[1:]
        for complete in (False, True)
    )
    for number, blank, full in zip(lessons(), theirs, ours, strict=True):
        guess, gap = read_guess(number), '<span class="gap">'
        words = re.findall(f"{gap}([^<]+)<", full)
        assert 4 <= len(words) <= 7 and blank.count(f"{gap}&nbsp;<") == blank.count(gap) == len(words)
        said = html.unescape(re.sub("<[^>]+>", "", blank))
        assert all(plain(words).rstrip(".") in said for words in guess.options.values())
        whole = f"☒ <strong>{guess.right}.</strong>"
        assert whole in full and full.count("☒") == 1 and full.count('class="right"') == 2
        assert "☒" not in blank and 'class="right"' not in blank and blank.count("☐") == len(guess.options)
        assert "Name" in blank and "Name" not in full and "Teacher" in full and "Teacher" not in blank
        assert ("caution" in blank) == ("caution" in full) == (number != "00")


@pytest.mark.parametrize(
    "blank", ["[wave] and wire", "[wave]", "half a wave", "half [] a wave", "[half] a [wave]"]
)
def test_a_blank_that_went_stale(blank):
    """Words that the summary has no more, or twice, or that leave nothing out, are named."""
    with pytest.raises(Slip, match="names no words that stand once"):
        sentences("1. The wire is half a wave.\n2. The wave runs.\n3. Over the wave.", [blank])


def test_what_is_left_out_of_a_drawing():
    """Every ink that a lesson names is in its view: something is left for the pencil, something is given."""
    named = 0
    for number, path in lessons().items():
        for cell in pack.nbformat.read(path, as_version=4).cells:
            if not (asked := to_complete.task(cell)):
                continue
            named += 1
            assert read_guess(number).curve is None, "its guess has a curve to draw"
            if asked.get("drawing"):
                assert asked["drawing"] in to_complete.DRAWINGS
                continue
            name, given = live_call(cell)
            view = live.VIEWS[name]
            wanted, choices = view.settings(given | asked.get("at", {}))
            sliders = zip(view.sliders(**choices), view.places(wanted, choices), strict=True)
            places = [slider.values[[at]] for slider, at in sliders]
            scene = view.scene(view.figure(SCREENS["plain"]), *places, **choices)  # not drawn: it takes long
            inks = asked["without"]
            for ink in inks:
                gone = [part for part in scene.parts if to_complete.is_left_out([ink], part)]
                assert 0 < len(gone) < len(scene.parts), f"{number}: {ink}"
    without = partial(to_complete.is_left_out, inks)  # of the last of them
    _, left = view.still(SCREENS["plain"], wanted, choices, without=without)
    assert len(left.parts) == sum(not without(part) for part in scene.parts) > 0
    curves = sum(read_guess(number).curve is not None for number in lessons())
    assert named + curves == len(lessons())


def test_names_speak_for_themselves():
    """On a worksheet stands "noon", not "When noon"; a quantity has its unit, or its name, on one line."""
    when = Slider("When", "", 0, 1, 2, 0, words=("noon", "night"))
    height = Slider("Height", "m", 3, 24, 22, 9)
    told = [to_complete._named(one, one.begin, [when, height]) for one in (when, height)]
    assert told == ["noon", "9.0\N{NO-BREAK SPACE}m (30\N{NO-BREAK SPACE}ft)"]


def test_the_axes_of_a_curve():
    """The teacher's axes have the true curve, the student's have none."""
    theirs, ours = (to_complete.of_guess(read_guess("03"), complete=one) for one in (False, True))
    assert len(theirs) < len(ours) and theirs.count("stroke-linecap") == ours.count("stroke-linecap") - 1


def test_parts_for_a_class():
    """One antenna for each student; tools by groups of four and tables of twelve, rounded up."""
    one, many = parts_page.parts_for(1), parts_page.parts_for(13)
    assert (
        [row[2] for row in one["parts"]]
        == [row[2] for row in many["parts"]]
        == [row[3] for row in one["parts"]]
    )
    ends = next(row for row in many["parts"] if row[0] == "end insulator")
    assert ends[3] == "30", "13 pairs, and one spare for each four antennas"
    assert sorted({int(row[2]) for row in many["tools"]}) == [1, 2, 4, 13]
    assert {row[2] for row in one["tools"]} == {"1"}
    text = pack.parts_list(13, "letter")
    assert (
        "class of 13" in text
        and "buy for 13" in text
        and "Cover your eyes" in text
        and "size: Letter" in text
    )


def test_the_guide_as_a_booklet():
    """Each evening with what its lesson tells, and its slides; no foreign address; where each part begins."""
    text = pack.guide_booklet("letter")
    assert not re.search(r"(https?|file):", text) and "size: Letter" in text
    for number in lessons():
        right = read_guess(number).right
        assert f"<strong>{right} ✓</strong>" in text and f"Evening {number}" in text
    assert text.count("✓</strong>") == text.count("At the views") == len(lessons())
    for evening in booklet.evenings(booklet.guide()):
        assert len(evening.asked) >= 2 and all(map(str.strip, (evening.opening, *sum(evening.asked, ()))))
        shown = [one for first, last, _ in evening.slides for one in range(first, last + 1)]
        assert shown == [*range(1, len(shown) + 1)] and len(shown) >= slides.FEWEST
        steps = [step for _, _, step in evening.slides]
        assert (steps[0], steps[1], steps[-1]) == ("The question", "Guess first", "Summary")
        line = [f"{first}–{last}" if last > first else f"{first}" for first, last, _ in evening.slides]
        assert all(f"<strong>{one}</strong>" in text for one in line)
    parts = re.findall(r'<section id="part-(\d+)"', text)
    assert re.findall(r'href="#part-(\d+)"', text) == parts[1:]
    printed = b"4 0 obj\n<</Type /Page\n>>\n9 0 obj\n<</Type /Page>>\n1 0 obj\n<</Type /Pages>>\n"
    printed += b"<</part-1 [4 0 R /XYZ 0 841 0] /part-2 [9 0 R /XYZ 0 3 0] /part-3 [7 0 R /XYZ 0 3 0]>>"
    assert booklet.begins(printed) == {1: 1, 2: 2} and booklet.begins(b"") == {}
    assert pack.guide_booklet("letter", printed).count("<span>2</span>") == 1


def test_the_poster_says_which_lesson():
    """Each code has the numbers of the lessons that call its view."""
    text = poster(SITE)
    for name, view in pages.views().items():
        label = re.search(
            rf'{re.escape(SITE + name)}\.html".*?class="of">([^<]+)</p><p>([^<]+)<', text, re.DOTALL
        )
        assert label[2] == view.title
        called = [n for n, path in lessons().items() if f"live.{name}(" in path.read_text(encoding="utf-8")]
        assert re.findall(r"\d\d", label[1]) == called


def test_the_index_names_what_is_there(tmp_path):
    """Each file with what it is for and how many copies; what is not there is no link."""
    made = pack.Pack(Press(tmp_path), students=20)
    for name in ("guide.html", "guide.pdf", "parts.html", "03-worksheet.html", "03-worksheet-teacher.html"):
        (tmp_path / name).touch()
    text = made._index()
    assert set(re.findall(r'href="([^"]+)"', text)) == {path.name for path in tmp_path.iterdir()}
    assert "21 copies" in text and "not here yet" in text and text.count('scope="row"') == 6 + 1


def test_what_else_a_volunteer_reads():
    """Homework with its answers, symbols, sources, and all cautions word for word."""
    assert [number for number in lessons() if not pack.answers_of(number)] == ["00"]
    said = pack.homework(pack.answers_of("03"), "letter")
    assert "size: Letter" in said and 'class="said"' in said
    assert all(words in html.unescape(pack.cautions("a4")) for words in CAUTIONS.values())
    for name in pack.READ_TOO:
        assert pages.OURS in (text := pack.reading(name, "a4")) and "<h1>" in text and "href" not in text
