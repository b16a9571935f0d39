"""Handouts and slides in Chromium, every lesson: opened from disk without a network, and printed."""

import re

import nbformat
import pytest
from playwright.sync_api import expect

from antlab.classroom.paper import booklet, handouts, pack, pages, slides
from antlab.classroom.paper.chromium import find_chromium, print_pdf
from antlab.classroom.refresh import IGNORED
from antlab.classroom.tags import GUESS_ENTERED, tags

pytestmark = pytest.mark.browser

PHONES = "http://192.168.1.20:8000/"
TEXT_MM = {"a4": 210 - 28, "letter": 216 - 28}  # between the margins
every_page = pytest.mark.parametrize("number", handouts.lessons())


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """The whole pack, made once, as the command does it."""
    folder, drawn, picture = tmp_path_factory.mktemp("handouts"), {}, slides.picture

    def one_of_each(shows):  # at whatever setting it comes first: all are of one size
        kind = shows.get("view") or shows.get("figure") or str(shows)
        if kind not in drawn:
            drawn[kind] = picture(shows)
        return drawn[kind]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(slides, "picture", one_of_each)
        list(pack.Pack(handouts.Press(folder, phones=PHONES)).write(list(handouts.lessons())))
    return folder


@pytest.fixture
def paper(chromium):
    """A page without network. Afterwards: no console error, no request for anything but the file itself."""
    context = chromium.new_context(viewport={"width": 1280, "height": 720}, offline=True, has_touch=True)
    asked, errors = [], []
    local = ("file:", "data:", "blob:")
    context.route(lambda url: not url.startswith(local), lambda route: route.abort())
    page = context.new_page()
    page.on("request", lambda request: asked.append(request.url))
    page.on("console", lambda message: errors.append(message.text) if message.type == "error" else None)
    page.on("pageerror", lambda error: errors.append(str(error)))
    yield page
    context.close()
    assert not errors
    assert not [url for url in asked if not url.startswith(local)]


def expected(number):
    """Formulas, and the alternative texts of pictures, that a lesson's notebook asks for; how many views."""
    cells = nbformat.read(handouts.lessons()[number], as_version=4).cells
    words = [cell.source for cell in cells if cell.cell_type == "markdown"]
    views = sum(IGNORED in tags(cell) and GUESS_ENTERED not in tags(cell) for cell in cells)
    forms = sum(GUESS_ENTERED in tags(cell) for cell in cells)  # each draws the axes of a guess with a curve
    curves = forms * any("curve" in cell.metadata.get("antlab", ()) for cell in cells)
    return "\n".join(words).count("$$") // 2, re.findall(r"!\[([^\]]*)\]", "\n".join(words)), views, curves


def looks_right(page, number):
    """Every formula and every picture of the lesson is there, with a size, and nothing is left as TeX."""
    formulas, alts, views, curves = expected(number)
    seen = page.evaluate(
        """async () => {
          const images = [...document.images];
          await Promise.all(images.map((image) => image.decode()));
          const box = (node) => node.getBoundingClientRect();
          const shown = (node) => box(node).width > 5 && box(node).height > 5;
          return {
            formulas: [...document.querySelectorAll("math[display=block]")].map(shown),
            fractions: [...document.querySelectorAll("mfrac, msqrt")].map(shown),
            pictures: images.map((image) => [image.alt, image.naturalWidth > 0 && shown(image)]),
            says: document.querySelectorAll(".says").length,
            codes: document.querySelectorAll("figcaption svg[role=img]").length,
            words: document.body.innerText,
          };
        }"""
    )
    assert seen["formulas"] == [True] * formulas and all(seen["fractions"])
    there, good = zip(*seen["pictures"], strict=True)
    assert set(alts) <= set(there) and len(there) == len(alts) + views + curves
    assert all(good) and min(map(len, there)) > 30
    assert seen["says"] == views and "$" not in seen["words"]
    assert seen["codes"] == seen["words"].count(PHONES) == views - (number == "09")  # it asks a kernel
    assert not formulas or seen["fractions"]


@every_page
def test_handout(number, folder, paper):
    """At the width of the paper nothing sticks out: no code, table, picture or formula."""
    paper.emulate_media(media="print")
    paper.goto((folder / f"{number}-handout.html").as_uri())
    for size, millimetres in TEXT_MM.items():
        paper.set_viewport_size({"width": round(millimetres / 25.4 * 96), "height": 1000})
        out = paper.evaluate(
            """() => [...document.querySelectorAll("body *")].filter((node) =>
              node.getBoundingClientRect().right > innerWidth + 0.5 ||
              (node.matches("pre, main, figure") && node.scrollWidth > node.clientWidth + 1)
            ).map((node) => node.outerHTML.slice(0, 200))"""
        )
        assert not out, f"{size}: {out}"
    looks_right(paper, number)
    assert paper.locator("section.guess").count() == 1
    assert (
        paper.locator("section.guess .run").count() == 0
    )  # the first cell, and what is said of it, come after


SEEN = """() => [...document.querySelectorAll(".slide")].map((slide) => {
  const edge = slide.getBoundingClientRect(), all = [...slide.querySelectorAll("*")];
  const typed = all.filter((node) => !node.closest("svg") &&
    [...node.childNodes].some((one) => one.nodeType === Node.TEXT_NODE && one.textContent.trim()));
  const image = slide.querySelector("img");
  return {
    out: all.filter((node) => {
      const box = node.getBoundingClientRect();
      return box.right > edge.right + 0.5 || box.bottom > edge.bottom + 0.5;
    }).length,
    over: [...slide.querySelectorAll("header, .body")].map((node) =>
      Math.max(node.scrollHeight - node.clientHeight, node.scrollWidth - node.clientWidth)),
    type: Math.min(...typed.map((node) => parseFloat(getComputedStyle(node).fontSize))),
    drawn: image && image.dataset.least * Math.min(
      image.clientWidth / image.getAttribute("width"), image.clientHeight / image.getAttribute("height")),
    alt: image && image.complete && image.naturalWidth ? image.alt : "",
    codes: slide.querySelectorAll("header .code svg").length, links: slide.querySelectorAll("a").length,
  };
})"""


def test_slides(folder, paper):
    """Each slide of each lesson holds what is on it; no type, that of pictures too, is below 28 pixels."""
    for number, path in handouts.lessons().items():
        paper.goto((folder / f"{number}-slides.html").as_uri())
        assert paper.locator(".slide:visible").count() == 1
        paper.evaluate("""async () => {
          document.documentElement.classList.remove("live");
          await Promise.all([...document.images].map((image) => image.decode()));
        }""")
        deck = slides.deck(nbformat.read(path, as_version=4))
        found = paper.evaluate(SEEN)
        assert len(found) == len(deck)
        for i, (one, seen) in enumerate(zip(deck, found, strict=True), 1):
            where = f"lesson {number}, slide {i}: {seen}"
            assert seen["out"] == 0 and max(seen["over"]) <= 0, where
            assert seen["type"] >= 28, where
            assert bool(seen["alt"]) == bool(one.shows) and (not one.shows or seen["drawn"] >= 28), where
            assert seen["codes"] == (one.view in pages.views()), where


def test_keys_and_touch(folder, paper):
    """The keys that presenters have, a tap, and the number in the address; a link is no step."""
    paper.goto((folder / "07-slides.html").as_uri() + "#5")

    def now():
        shown = [int(slide.get_attribute("id")) for slide in paper.locator(".slide:visible").all()]
        assert paper.evaluate("location.hash") == f"#{shown[0]}"
        assert paper.evaluate("document.activeElement.id") == str(shown[0])  # which a screen reader reads
        return shown

    last = paper.locator(".slide").count()
    assert now() == [5]
    for key, place in (
        ("ArrowRight", 6), ("Space", 7), ("PageDown", 8), ("ArrowLeft", 7), ("PageUp", 6), ("Shift+Space", 5),
        ("Home", 1), ("ArrowLeft", 1), ("End", last), ("ArrowRight", last), ("Home", 1),
    ):  # fmt: skip
        paper.keyboard.press(key)
        assert now() == [place], key
    paper.mouse.click(1100, 600)
    assert now() == [2]
    paper.touchscreen.tap(900, 400)
    assert now() == [3]
    paper.mouse.click(100, 600)
    assert now() == [2]
    paper.evaluate("location.hash = '#9'")
    expect(paper.locator("[id='9']")).to_be_visible()
    paper.set_viewport_size({"width": 640, "height": 480})  # the whole slide on any projector
    expect(paper.locator("#deck")).to_have_css("transform", "matrix(0.5, 0, 0, 0.5, 0, 60)")  # a frame later
    box = paper.locator(".slide:visible").bounding_box()
    assert box["width"] == pytest.approx(640, abs=1) and box["y"] == pytest.approx(60, abs=1)


def test_from_the_index_to_the_next_lesson(folder, paper):
    """Links lead to what is there."""
    paper.goto((folder / "index.html").as_uri())
    assert paper.get_by_role("link").count() == 5 * len(handouts.lessons()) - 1 + len(pack.SHARED)
    paper.get_by_role("row", name="07 Height and takeoff").get_by_role("link", name="handout").click()
    paper.get_by_role("link", name="08, where it lands").click()
    assert "Where it lands" in paper.locator("h1").inner_text()
    for href in paper.eval_on_selector_all("a", "links => links.map(link => link.getAttribute('href'))"):
        assert href.startswith(PHONES) or (folder / href).is_file()


@pytest.mark.parametrize("size, points", [("a4", (595, 842)), ("letter", (612, 792))])
def test_handout_on_paper(size, points, folder, tmp_path):
    """The paper that was asked for, some pages, a title that tells it from others' files, no path of ours."""
    notebook = nbformat.read(handouts.lessons()["07"], as_version=4)
    pdf = tmp_path / "07-handout.pdf"
    print_pdf(handouts.export(notebook, paper=size), pdf, chromium=find_chromium())
    boxes = media_boxes(pdf)
    assert {tuple(map(round, box)) for box in boxes} == {points} and 4 <= len(boxes) <= 9
    assert handouts.is_ours(pdf) and b"file:" not in pdf.read_bytes()
    assert [path.name for path in tmp_path.iterdir()] == ["07-handout.pdf"]


def test_slides_on_paper(folder, paper, tmp_path):
    """A landscape page for each slide."""
    page = folder / "07-slides.html"
    paper.goto(page.as_uri())
    pdf = tmp_path / "07-slides.pdf"
    print_pdf(page.read_text(encoding="utf-8"), pdf, chromium=find_chromium())
    assert media_boxes(pdf) == [[960.0, 540.0]] * paper.locator(".slide").count()


def on_paper(page, text, size):
    """Show a page as it is printed on paper of a size; return its PDF."""
    page.emulate_media(media="print")
    page.set_viewport_size({"width": round(TEXT_MM[size] / 25.4 * 96), "height": 1000})
    page.set_content(text)
    return page.pdf(prefer_css_page_size=True)


def for_paper(text, size):
    """A page of the pack for another paper than A4."""
    return text.replace("size: A4", f"size: {handouts.PAPERS[size]}").replace(
        pack.HIGH["a4"], pack.HIGH[size]
    )


@pytest.mark.parametrize("size, points", [("a4", (595, 842)), ("letter", (612, 792))])
def test_each_worksheet_is_one_page(size, points, folder, paper):
    """Both copies of all at once: no more pages than sheets, a drawing of some size, nothing sticks out."""
    names = sorted(folder.glob("*-worksheet*.html"))
    texts = [path.read_text(encoding="utf-8") for path in names]
    sheets = [re.search(r"<article.*</article>", text, re.DOTALL)[0] for text in texts]
    drawn = [len(re.search(r'src="data:image/svg[^"]+"', text)[0]) for text in texts]
    assert all(complete > blank for complete, blank in zip(drawn[::2], drawn[1::2], strict=True))
    pdf = on_paper(paper, for_paper(texts[0].replace(sheets[0], "\n".join(sheets)), size), size)
    boxes = media_boxes(pdf)
    assert {tuple(map(round, box)) for box in boxes} == {points}
    assert len(boxes) == len(names) == 2 * len(handouts.lessons())
    seen = paper.evaluate(
        """async () => {
          await Promise.all([...document.images].map((image) => image.decode()));
          return [...document.querySelectorAll(".sheet")].map((sheet) => [
            sheet.querySelector("figure").clientHeight, sheet.scrollHeight - sheet.clientHeight,
            sheet.scrollWidth - sheet.clientWidth, sheet.querySelector("img").naturalWidth]);
        }"""
    )
    for path, (high, over, out, wide) in zip(names, seen, strict=True):
        assert high > 55 / 25.4 * 96 and wide and over <= 0 and out <= 0, path.name


@pytest.mark.parametrize("size", handouts.PAPERS)
def test_the_guide_on_paper(size, folder, paper):
    """Each evening begins a page and has two; no table is broken; no address of another place."""
    pdf = on_paper(paper, for_paper((folder / "guide.html").read_text(encoding="utf-8"), size), size)
    begins, number = booklet.begins(pdf), len(handouts.lessons())
    assert b"file:" not in pdf and b"http" not in pdf.replace(b"http://www.w3.org", b"")
    first = min(part for part in begins if begins.get(part + 1, 0) - begins[part] == 2)
    pages = [begins[part] for part in range(first, first + number + 1)]
    assert [later - page for page, later in zip(pages, pages[1:], strict=False)] == [2] * number
    high = (297 if size == "a4" else 279) - 29
    tables = paper.evaluate(
        """() => [...document.querySelectorAll("table")].map((table) =>
          [table.clientHeight, getComputedStyle(table).breakInside])"""
    )
    assert len(tables) > 3 * number
    assert all(tall < high / 25.4 * 96 and how == "avoid" for tall, how in tables)


@pytest.mark.parametrize("size", handouts.PAPERS)
def test_parts_poster_and_cautions_are_one_page(size, folder, paper):
    """Also for a class of a thousand, whose numbers are the longest."""
    for text in (
        (folder / "poster.html").read_text(encoding="utf-8"),
        (folder / "cautions.html").read_text(encoding="utf-8"),
        pack.parts_list(1000, "a4"),
    ):
        assert len(media_boxes(on_paper(paper, for_paper(text, size), size))) == 1


def media_boxes(pdf):
    """Width and height of each page of a PDF, a path or bytes, in points."""
    content = pdf if isinstance(pdf, bytes) else pdf.read_bytes()
    found = re.findall(rb"/MediaBox ?\[0 0 ([\d.]+) ([\d.]+)\]", content)
    return [[float(wide), float(high)] for wide, high in found]
