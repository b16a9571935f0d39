"""Handouts before any browser sees them, and the command: what goes in, what stays out, what is said."""

import re
import sys
from html.parser import HTMLParser

import nbformat
import pytest
from nbclient.exceptions import CellExecutionError, CellTimeoutError
from nbformat.v4 import new_code_cell, new_markdown_cell, new_notebook, new_output

from antlab.classroom import live
from antlab.classroom.paper import handouts, pack, pages, slides, stills
from antlab.classroom.paper.pieces import blocks
from antlab.classroom.refresh import IGNORED, SKIPPED
from antlab.cli import handouts as handouts_command
from antlab.cli import main as command_line

every_lesson = pytest.mark.parametrize("number", handouts.lessons())
SQUARE = '<svg viewBox="0 0 10 10"></svg>'


def lesson(number):
    """A lesson as it is stored: no kernel has run, so no views."""
    return nbformat.read(handouts.lessons()[number], as_version=4)


class Page(HTMLParser):
    """A page's words, without those of style, script and code, and its tags with what they say."""

    def __init__(self, text):
        super().__init__()
        self.words, self.tags, self._inside = "", [], []
        self.feed(text)

    def handle_starttag(self, tag, attributes):
        self.tags.append((tag, dict(attributes)))
        if tag in ("style", "script", "pre", "code"):
            self._inside.append(tag)

    def handle_endtag(self, tag):
        if self._inside and tag == self._inside[-1]:
            self._inside.pop()

    def handle_data(self, words):
        if not self._inside:
            self.words += words

    def all(self, tag, name):
        """What the tags of a kind say under a name."""
        return [about.get(name) for found, about in self.tags if found == tag]


@every_lesson
def test_a_page_needs_nothing_else(number):
    """No address, no dead link; each picture inside with its words, each formula as MathML, none as TeX."""
    notebook = lesson(number)
    text = handouts.export(notebook)
    page = Page(text)
    addresses = {found for found in re.findall(r"\bhttps?:[^\s\"'<>]*|\bwww\.\S+", text)}
    assert not addresses, addresses
    assert not page.all("a", "href")  # no other lesson is told to be there
    assert all(source.startswith("data:image/svg+xml,") for source in page.all("img", "src"))
    markdown = "\n".join(cell.source for cell in notebook.cells if cell.cell_type == "markdown")
    assert page.all("img", "alt") == re.findall(r"!\[([^\]]*)\]", markdown)
    assert page.all("math", "display").count("block") == markdown.count("$$") / 2
    assert "$" not in page.words and "\\" not in page.words
    assert pages.OURS in text and "default-src 'none'" in text
    assert {tag for tag, _ in page.tags}.isdisjoint({"link", "iframe", "object", "base"})


def test_formulas_are_there():
    """Fractions and roots of the course are written as such; else the test above would count nothing."""
    marks = sum(cell.source.count("$$") for number in handouts.lessons() for cell in lesson(number).cells)
    assert 2 * 8 <= marks <= 2 * 20


def test_blocks_of_markdown():
    """A heading ends without an empty line; within a fence neither empty lines nor hashes part anything."""
    fence = "```\n# no heading\n\nx\n```"
    text = f"# One\nwords\nmore\n\n- a\n- b\n{fence}\n## Two\n\n\n![p](q)"
    assert list(blocks(text)) == ["# One", "words\nmore", f"- a\n- b\n{fence}", "## Two", "![p](q)"]


def test_every_kind_of_cell_and_output():
    """Instructor cells stay out; errors by their last line, LaTeX as MathML, a still with its words."""
    still = {
        "name": "height", "title": "t", "drag": ["Height (2 to 30 m)", "Room"], "choose": ["soil"],
        "here": ["2 m", "soil: wet"], "says": ["takeoff <90°>", "beam"], "alt": 'a "curve"',
        "svg": SQUARE, "size": (9, 4.5),
    }  # fmt: skip
    wrong = still | {"name": "planner", "message": "too low"}
    error = new_output("error", ename="ValueError", evalue="7100 looks like kHz", traceback=["File /home/x"])
    made = {
        "a = 1 < 2\na": [new_output("execute_result", {"text/plain": "True & so"})],
        "wrong()": [error],
        "slip()": [new_output("error", ename="Slip", evalue="20 looks like feet", traceback=["20 looks"])],
        "formula()": [new_output("display_data", {"text/latex": "$\\displaystyle \\frac{c}{\\lambda}$"})],
        "live.height()": [new_output("display_data", {"text/plain": "widget", stills.STILL: still})],
        "live.planner()": [new_output("display_data", {stills.STILL: wrong})],
        "noisy()": [new_output("stream", name="stderr", text="warned"), new_output("stream", text="said")],
    }
    cells = [new_code_cell(source, outputs=outputs) for source, outputs in made.items()]
    cells += [
        new_markdown_cell("for teachers alone", metadata={"tags": ["instructor"]}),
        new_code_cell("secret()", metadata={"tags": ["instructor"]}),
        new_code_cell("plan.save()", metadata={"tags": [SKIPPED]}),
        new_markdown_cell("inline $\\sqrt{2}$, [far](08-far.ipynb) and [near](07-near.ipynb#top)."),
    ]
    notebook = new_notebook(cells=[new_markdown_cell("# 07 · High & low"), *cells])
    text = handouts.export(notebook, links={"08-far.ipynb": "08-handout.html"}, paper="letter")
    page = Page(text)
    for words in ("teachers", "secret", "/home/x", "warned", "widget"):
        assert words not in text
    for words in ("a = 1 &lt; 2", "True &amp; so", "ValueError: 7100 looks like kHz", "plan.save()", "said"):
        assert words in text
    assert ">20 looks like feet<" in text, "a slip by its sentence alone, as JupyterLab shows it"
    assert len(page.all("math", "display")) == 2 and "$" not in page.words
    for words in ("takeoff <90°>", "too low", "Height (2 to 30 m) and Room; choose soil", "2 m, soil: wet"):
        assert words in page.words
    assert page.all("img", "alt") == ['a "curve"'] and page.all("a", "href") == ["08-handout.html"]
    assert "antlab handout 07 High" in page.words
    assert "size: Letter" in text
    phones = Page(handouts.export(notebook, phones="http://192.168.1.20:8000/hall/"))
    address = "http://192.168.1.20:8000/hall/height.html"
    assert phones.all("a", "href") == [address]  # the planner asks a kernel: it has no phone page
    assert phones.all("svg", "aria-label") == [f"QR code: {address}"]


def test_a_still_is_the_view_at_the_lesson_s_setting():
    """What paper shows is what the screen shows: same words, same place, also of one that asks a kernel."""
    for widget in (
        live.height(low="20m", high="10m", height_m=2),
        live.soil_and_mirror(height_m=2, soil="wet"),
        live.planner(low="40m", high="20m", height_m=7.5, room_m=18),
    ):
        still = stills.still(widget)
        frames = widget.player.frames
        row = 0 if widget.view.ask else row_of(widget)
        assert still["says"] == frames["says"][row].split("\n")
        assert still["alt"] == widget.player.still["alt"]
        assert "<path" in still["svg"]
    assert "Height (2 to 30 m)" in stills.still(live.height())["drag"]
    assert stills.still(live.height(soil="wet"))["here"][-1] == "soil: wet"
    wrong = live.planner(soil="swamp")
    assert "svg" not in stills.still(wrong) and "swamp" in stills.still(wrong)["message"]


def row_of(widget):
    """Row of a view's table for where its sliders stand."""
    row = 0
    for place, slider in zip(widget.player.at, widget.view.sliders(**widget.choices), strict=True):
        row = row * slider.count + place
    return row


def test_a_view_in_a_variable_has_its_twin(tmp_path):
    """Lesson 09 keeps its planner in a name; on paper it is drawn with the arguments given there."""
    ignored = {"tags": [IGNORED]}
    cells = [
        new_markdown_cell("# 08 · Far"),
        new_code_cell("from antlab.classroom import live\nangle = 30"),
        new_code_cell("mine = live.where_it_lands(elevation_deg=angle)\nmine", metadata=ignored),
        new_code_cell("open('written', 'w')", metadata={"tags": [SKIPPED]}),
        new_code_cell("mine.positions['elevation_deg']"),
    ]
    path = tmp_path / "08-far.ipynb"
    nbformat.write(new_notebook(cells=cells), path)
    notebook = handouts.twins(path)
    assert [cell.source for cell in notebook.cells] == [cell.source for cell in cells]
    assert notebook.cells[2].outputs[0].data[stills.STILL]["here"] == [
        "30°",
        "Band 20 metres",
        "When noon",
        "wire: 9 m (30 ft)",
    ]
    assert notebook.cells[4].outputs[0].data["text/plain"] == "30.0"
    assert not (tmp_path / "written").exists()
    assert "live.where_it_lands(elevation_deg=angle)" in (text := handouts.export(notebook))
    assert "Drawn here: 30°, Band 20 metres, When noon, wire: 9 m (30 ft)." in text


@pytest.fixture
def quick(monkeypatch, tmp_path):
    """Lessons as stored, so that no kernel starts; no browser; the command writes into this folder."""
    monkeypatch.setattr(slides, "picture", lambda shows: slides.Picture(SQUARE, "drawn", (9, 9), 28))
    monkeypatch.setattr(handouts.Kernel, "run", lambda kernel, notebook: None)
    for name in ("worksheets", "guide_booklet", "parts_list", "homework", "reading", "cautions"):
        monkeypatch.setattr(pack, name, lambda *given, printed=b"": f"{pages.OURS}{given[-1]}")
    monkeypatch.setattr(handouts_command, "find_chromium", lambda: None)
    monkeypatch.setattr(command_line, "settle", lambda extra, argv: None)
    return tmp_path / "out"


def run(folder, *words):
    """Run the command; return its exit status."""
    return command_line.main(["handouts", "--folder", str(folder), *words])


def one_line(capsys):
    """What was said on stderr, which is one line that begins with our name."""
    said = capsys.readouterr().err
    assert said.startswith("antlab: ") and said.count("\n") == 1, said
    return said


def test_what_is_written(quick, capsys):
    """A line for each file, an index of all there is, and links among the lessons that are there."""

    def links(name):
        return Page((quick / name).read_text(encoding="utf-8")).all("a", "href")

    assert run(quick, "--lesson", "7", "08") == 0
    kinds = ["handout", "slides", "worksheet", "worksheet-teacher", "homework-teacher"]
    names = [f"{number}-{kind}.html" for number in ("07", "08") for kind in kinds]
    names += [f"{name}.html" for name in ("index", *pack.SHARED) if name != "poster"]
    assert sorted(capsys.readouterr().out.splitlines()) == sorted(f"Wrote {quick / name}" for name in names)
    assert sorted(path.name for path in quick.iterdir()) == sorted(names)
    assert {*links("index.html")} == {*names} - {"index.html"}
    assert links("07-handout.html") == ["08-handout.html"]
    assert run(quick, "--lesson", "09", "--paper", "Letter", "--pages", "http://192.168.1.20:8000/") == 0
    assert "09-slides.html" in links("index.html") and "poster.html" in links("index.html")
    assert all("10-" not in link for link in links("index.html"))  # 10 is not there
    for name in ("09-handout", "poster"):
        assert "size: Letter" in (quick / f"{name}.html").read_text(encoding="utf-8")
    assert (quick / "09-worksheet.html").read_text(encoding="utf-8") == f"{pages.OURS}letter"


@pytest.mark.parametrize(
    "words, said",
    [
        (("--class-of", "0"), "for 1 to 1000 antennas"),
        (("--class-of", "many"), "for 1 to 1000 antennas"),
        (("--lesson", "77"), "there is no lesson 77: name some of 00, 01"),
        (("--paper", "a5"), "take a4 or letter"),
        (("--pages", "ftp://192.168.1.20/"), "no address of phone pages"),
        (("--pages", "192.168.1.20:8000"), "no address of phone pages"),
        (("--pages", "http://"), "no address of phone pages"),
        (("--pages", "http://x:99999/"), "no address of phone pages"),
        (("--pages", "http://ann:secret@x/"), "no address of phone pages"),
        (("--pages", "http://x/<b>"), "no address of phone pages"),
        (("--pages", "http://x/?a=1"), "no address of phone pages"),
        (("--pages", "javascript:alert(1)"), "no address of phone pages"),
    ],
)
def test_a_slip_is_answered_in_a_line(words, said, quick, capsys):
    """Before any work, by a sentence that teaches the mend, with exit status 2."""
    assert run(quick, *words) == 2
    assert said in one_line(capsys) and not quick.exists()


def test_files_of_others_stay(quick, capsys):
    """A page or a PDF that is not ours is never written over; what we made before is."""
    quick.mkdir()
    for name, strange, own in (
        ("07-slides.html", b"<p>my own slides", pages.OURS.encode()),
        ("07-handout.pdf", b"%PDF /Title (my holiday)", b"%PDF /Title (antlab handout 07 Height)"),
    ):
        (quick / name).write_bytes(strange)
        press = handouts.Press(quick, chromium="any")
        with pytest.raises(FileExistsError, match=f"{name} was not made by antlab"):
            next(press.write(["07"]))
        assert [path.name for path in quick.iterdir()] == [name] and (quick / name).read_bytes() == strange
        (quick / name).write_bytes(own)
        assert handouts.is_ours(quick / name)
        (quick / name).unlink()
    (quick / "index.html").write_text("<p>mine", encoding="utf-8")
    assert run(quick, "--lesson", "07") == 2
    assert "index.html was not made by antlab: choose another folder" in one_line(capsys)


def test_a_folder_that_can_t_be_written(quick, capsys, monkeypatch):
    """It shows before the work; a file in the folder's place too."""
    quick.write_text("a file", encoding="utf-8")
    assert run(quick, "--lesson", "07") == 2
    assert "out is a file: choose a folder" in one_line(capsys)
    quick.unlink()

    def refuse(dir):
        raise PermissionError(13, "Permission denied", str(dir))

    monkeypatch.setattr(handouts.tempfile, "TemporaryFile", refuse)
    assert run(quick, "--lesson", "07") == 2
    assert f"{quick} can't be written (Permission denied): choose another" in one_line(capsys)
    assert not list(quick.iterdir())


@pytest.mark.parametrize("copied", ["", "/", "/index.html", "/poster.html", "/height.html"])
def test_pages_address_as_copied_from_a_browser(quick, copied):
    """Whichever page it was copied from, the codes lead to the view's own page."""
    assert run(quick, "--lesson", "07", "--pages", f"http://192.168.1.20:8080{copied}") == 0
    assert handouts_command._address(f"http://192.168.1.20:8080{copied}") == "http://192.168.1.20:8080/"
    assert handouts_command._address("http://antennas.html") == "http://antennas.html/"


def test_pdf_without_a_browser(quick, capsys):
    """The pages are there all the same, and the line tells how to print them by hand."""
    assert run(quick, "--lesson", "07", "--pdf") == 2
    said = one_line(capsys)
    assert "no Chromium, Chrome or Edge" in said and "Ctrl-P, A4" in said
    assert {"07-handout.html", "07-slides.html", "guide.html", "index.html"} <= {
        p.name for p in quick.iterdir()
    }


def test_pdf_by_a_browser_that_fails(quick, capsys, monkeypatch):
    """The line names the page to print by hand, and the page is there."""
    program = quick.parent / "chromium"
    program.write_text(f"#!{sys.executable}\nraise SystemExit(3)\n", encoding="utf-8")
    program.chmod(0o755)
    monkeypatch.setattr(handouts_command, "find_chromium", lambda: str(program))
    assert run(quick, "--lesson", "07", "--pdf") == 2
    assert "made no 07-handout.pdf" in one_line(capsys) and (quick / "07-handout.html").exists()


@pytest.mark.parametrize(
    "error",
    [
        CellExecutionError("Traceback\n  many lines\nImportError: no numpy", "ImportError", "no numpy"),
        CellTimeoutError("A cell timed out\nImportError: no numpy"),  # an OSError too, of which no file is
        PermissionError(13, "no numpy", "/home/mara/.local"),  # a kernel's own files can't be written
        RuntimeError("Kernel didn't respond: no numpy"),
    ],
)
def test_a_lesson_that_fails_is_said_in_a_line(quick, capsys, monkeypatch, error):
    """A broken installation is no wall of text, nor taken for a folder that can't be written."""

    def fail(notebook, folder):
        raise error

    monkeypatch.setattr(handouts.Kernel, "run", fail)
    assert run(quick, "--lesson", "07") == 2
    said = one_line(capsys)
    assert "fails here; `antlab check` looks for the cause" in said and "no numpy" in said
    assert "--folder" not in said
