"""Phone pages: each live view as one file of HTML that needs no kernel, no network and no laptop."""

import ast
import html
import io
import json
import os
import re
from functools import cache, lru_cache
from pathlib import Path

from PIL import Image

from antlab import files
from antlab.classroom import live
from antlab.classroom.course import LARGEST_BYTES, course, lessons
from antlab.classroom.views.film import squeezed
from antlab.classroom.views.player import PHONE, SCREEN, SCRIPT

WIDE = (*SCREEN[:2], 140)  # of a window as wide as a notebook's page
COLOURS = 96  # of a picture
OURS = '<meta name="generator" content="antlab">'


@lru_cache(maxsize=1)
def _found():
    """Each call of a live view in the lessons, in their order: number of the lesson, name, what is given."""
    found = []
    for path in lessons(course()):
        cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
        for cell in (cell for cell in cells if cell["cell_type"] == "code"):
            found += [(path.name[:2], *call) for call in _calls_in("".join(cell["source"]))]
    return found


def _calls_in(code):
    """Yield what a cell's code calls of live: name, and what is given."""
    for node in ast.walk(ast.parse(code)):
        if isinstance(node, ast.Call) and (name := ast.unparse(node.func)).startswith("live."):
            yield name.removeprefix("live."), {one.arg: ast.literal_eval(one.value) for one in node.keywords}


def calls():
    """What the lessons' calls of live views give, by the view's name, in the order of the lessons."""
    found = {}
    for _, name, given in _found():
        found.setdefault(name, given)
    return found


def numbers():
    """In which lessons each live view is called: name -> numbers, "03", in order."""
    found = {}
    for number, name, _ in _found():
        found.setdefault(name, {})[number] = None
    return {name: tuple(those) for name, those in found.items()}


def live_call(cell):
    """What a cell of a notebook shows: name of a live view and what it is given; None of another cell."""
    if cell.cell_type != "code" or "live." not in cell.source:
        return None
    return next((call for call in _calls_in(cell.source) if call[0] in live.VIEWS), None)


def title_and_question(source):
    """A lesson's title and its question from the shack, of its first cell's Markdown."""
    return tuple(re.search(how, source, re.M)[1] for how in (r"^# (.+)$", r"^\*\*(.+?)\*\*"))


@lru_cache(maxsize=1)
def views():
    """Every live view that needs no kernel, by its name, in the order of the lessons."""
    names = dict.fromkeys([*(name for name in calls() if name in live.VIEWS), *live.VIEWS])
    return {name: live.VIEWS[name] for name in names if not live.VIEWS[name].ask}


def page(view, **given):
    """One view as a page, at the positions and choices given by name; Slip if they make no sense."""
    wanted, choices = view.settings(given)
    at = view.places(wanted, choices)
    phone, wide = (squeezed(light(view.film_of_all(look, choices, at))) for look in (PHONE, WIDE))
    body = f'<div id="view"></div>\n{_cautions(view)}<p><a href="index.html">All pages</a></p>'
    script = (
        f'{SCRIPT}\nconst phone = "{phone}";\nconst wide = "{wide}";\n'
        'playPage(document.getElementById("view"), phone, wide);'
    )
    return _PAGE.format(mark=OURS, title=html.escape(view.title), body=body, script=script)


def light(film):
    """The film, its picture in few colours: lines and type need no more, and it weighs a third."""
    return film | {"still": film["still"] | {"png": few_colours(film["still"]["png"])}}


def few_colours(png):
    """A picture, bytes of PNG, in no more colours than lines and type need."""
    few = io.BytesIO()
    picture = Image.open(io.BytesIO(png)).convert("RGB")
    picture.quantize(COLOURS, dither=Image.Dither.NONE).save(few, "PNG", optimize=True)
    return few.getvalue()


@cache
def _of_lesson(name):
    """The page of a view at its lesson's settings."""
    return page(views()[name], **calls().get(name, {}))


def _cautions(view):
    """What to mind at the work that a view leads to, under its picture."""
    if not view.cautions:
        return ""
    said = "\n".join(
        f"<li><strong>{html.escape(name.capitalize())}:</strong> {html.escape(words)}</li>"
        for name, words in view.cautions.items()
    )
    return f'<aside class="cautions">\n<h2>Before you build</h2>\n<ul>\n{said}\n</ul>\n</aside>\n'


def is_ours(path):
    """Whether a page bears our mark, and so may be written over."""
    try:
        return OURS.encode() in files.read(path, most=LARGEST_BYTES)
    except OSError:
        return False  # a link, a folder, a pipe: whatever it is, we did not write it


def own(folder, names):
    """Return the folder, made if need be, once all pages of these names there are ours to write over.

    Raises FileExistsError before anything is made if one is not.
    """
    folder = Path(folder).expanduser()
    for path in (folder / f"{name}.html" for name in names):
        if os.path.lexists(path) and not is_ours(path):
            raise FileExistsError(f"{path} is not one of antlab's pages: choose another folder with --folder")
    folder.mkdir(parents=True, exist_ok=True)
    return folder


def write_pages(folder, *, beside=None, front=""):
    """Write a page for each view, at its lesson's settings, and an index; return the paths, the index first.

    folder: made if need be. beside: more pages of ours, name -> HTML; they come last. front: HTML that stands
    on the index above the views.
    Raises FileExistsError before writing anything if a file in the way is not ours.
    """
    names = ["index", *views(), *(beside or {})]
    folder = own(folder, names)
    paths = {name: folder / f"{name}.html" for name in names}
    links = [
        f'<li><a href="{name}.html">{html.escape(view.title)}</a></li>' for name, view in views().items()
    ]
    title = "antlab: the course" if front else "antlab: pictures to drag"
    front = front or "<p>Drag each picture by touch, mouse or arrow keys.</p>\n"
    body = f"{front}<ul>\n" + "\n".join(links) + "\n</ul>"
    texts = {"index": _PAGE.format(mark=OURS, title=title, body=body, script="")}
    texts |= {name: _of_lesson(name) for name in views()} | (beside or {})
    for name, text in texts.items():
        files.write(paths[name], text.encode())
    return list(paths.values())


_PAGE = """<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
{mark}
<meta http-equiv="Content-Security-Policy"
 content="default-src 'none'; script-src 'unsafe-inline'; style-src 'unsafe-inline'; img-src blob:">
<title>{title}</title>
<style>
body {{ margin: 0 auto; max-width: 640px; padding: 0 8px; font: 16px/1.4 Verdana, sans-serif; color: #111 }}
h1 {{ font-size: 1.3rem; margin: 8px 0 }}
h2 {{ font-size: 1.15rem }}
li {{ font-size: 1.1rem; padding: 0.4rem 0 }}
.cautions {{ margin: 12px 0; padding: 0 12px; border: 2px solid #111 }}
.cautions h2 {{ font-size: 1rem; margin: 8px 0 }}
.cautions ul {{ margin: 8px 0; padding: 0; list-style: none }}
.cautions li {{ font-size: 0.95rem; padding: 0 0 0.3rem }}
@media (orientation: landscape) {{ body {{ max-width: 1100px }} }}
@media (min-width: 1000px) {{ body {{ max-width: 1320px }} }}
a {{ color: #0b3d91 }}
</style>
</head>
<body>
<main>
<h1>{title}</h1>
{body}
</main>
<script type="module">
{script}
</script>
</body>
</html>
"""
