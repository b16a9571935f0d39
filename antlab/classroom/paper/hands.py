"""The two pages of a show of hands: the phone's, with its buttons, and the teacher's, with code and bars.

What they ask and are told is the server's business: serve/hands.py. Their words stand in templates/hand.js
and desk.js.
"""

import html
from pathlib import Path

from antlab.classroom.course import course, lessons
from antlab.classroom.guess.question import read_guess
from antlab.classroom.paper import qr

TEMPLATES = Path(__file__).with_name("templates")


def guesses():
    """Every lesson's Guess, by its number."""
    return {path.name[:2]: read_guess(path.name[:2]) for path in lessons(course())}


def phone_page():
    """The page of a phone, as text of HTML; it holds no question and no answer."""
    return _page("phone", "Show of hands", _PHONE, "hand.js")


def desk_page(site, asked):
    """The page of the teacher, as text of HTML.

    site: the room's address, whose code it shows. asked: lesson -> Guess, to choose from.
    """
    choices = "\n".join(
        f'<option value="{lesson}" data-title="{title}">{title}</option>'
        for lesson, title in ((one.lesson, html.escape(one.title, quote=True)) for one in asked.values())
    )
    body = _DESK.format(
        code=qr.svg(site), site=html.escape(site).replace("/room", "<wbr>/room"), choices=choices
    )
    return _page("desk", "Show of hands: the teacher's page", body, "desk.js")


def _page(kind, title, body, script):
    css, shared, own, page = (_template(name) for name in ("hands.css", "hands.js", script, "hands.html"))
    return page.format(title=html.escape(title), css=css, kind=kind, body=body, script=f"{shared}\n{own}")


def _template(name):
    return (TEMPLATES / name).read_text(encoding="utf-8")


_PHONE = """<h1 id="head">Show of hands</h1>
<p id="words" role="status"></p>
<div id="question"></div>
<div id="buttons" role="radiogroup" aria-labelledby="head"></div>"""

_DESK = """<div class="top"><h1 id="head">Show of hands</h1><p id="count" role="status"></p></div>
<div class="middle">
<figure id="code">{code}<figcaption>{site}</figcaption></figure>
<div id="board"></div>
</div>
<p id="trouble" role="alert"></p>
<p id="note"></p>
<div class="controls">
<div id="steps"></div>
<form id="choice"><label class="unseen" for="lesson">Lesson</label><select id="lesson" name="lesson">
{choices}
</select><button>Put it up</button><button type="button" id="rest">Code</button></form>
</div>"""
