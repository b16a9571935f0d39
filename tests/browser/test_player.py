"""The script that plays a film, tried with a film made by hand from nothing but what film.py says."""

from io import BytesIO

import matplotlib.image
import numpy as np
import pytest

from antlab.classroom.views.film import GAP, VERSION, Block, Dial, Film, Frames, Piece, Still, packed
from antlab.classroom.views.player import SCRIPT

pytestmark = pytest.mark.browser

LOOK = {"color": "#0b3d91", "fill": 0.0, "width": 32.0, "dashes": [], "box": [0, 0, 1600, 800],
        "size": 160.0, "align": "center", "bold": False}  # fmt: skip
ROWS = [[10 * row, 20, GAP, 40, 50, 60 if row else GAP] for row in range(6)]  # x of the line, x of the text


def by_hand(**changes):
    """A film of two sliders, two places and three: a dot that stays, a broken line that moves, a word."""
    stays = [7, 8, 100, 200, GAP, 300, 400, 500]  # a dot, y of the line (its third is a gap), y of the word
    png = BytesIO()
    matplotlib.image.imsave(png, np.ones((50, 100, 3)), format="png")
    dials = [Dial(name="First", unit="m", texts=["1 m", "2 m"]), Dial(name="Second", unit="", texts=[*"abc"])]
    still = Still(version=VERSION, png=png.getvalue(), width=100, height=50, alt="by hand", title="Hand",
                  ask=False, sliders=dials)  # fmt: skip
    at = {name: Block(fixed=fixed, at=place) for name, fixed, place in (
        ("dot x", True, 0), ("dot y", True, 1), ("line x", False, 0), ("line y", True, 2),
        ("word x", False, 5), ("word y", True, 7),
    )}  # fmt: skip
    parts = [
        Piece(kind="dots", n=1, x=at["dot x"], y=at["dot y"], texts=[], **LOOK),
        Piece(kind="line", n=5, x=at["line x"], y=at["line y"], texts=[], **LOOK),
        Piece(
            kind="text", n=1, x=at["word x"], y=at["word y"], texts=[f"w{row}" for row in range(6)], **LOOK
        ),
    ]
    frames = Frames(
        version=VERSION, message="", rows=6, parts=parts, columns=6, fixed=8,
        says=[f"row {row}\nsecond line" for row in range(6)],
        table=np.array(stays + sum(ROWS, []), "<i2").tobytes(),
    )  # fmt: skip
    made = Film(still=still, frames=frames, at=[1, 0])
    for name, value in changes.items():
        made[name] = made[name] | value
    return made


def played(page, film):
    """The player with a film, in an empty page."""
    page.set_content("<div id=view></div>")
    play = f'playPage(document.getElementById("view"), {packed(film)});'
    page.add_script_tag(content=f"{SCRIPT}\n{play}", type="module")
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
    root = played(page, by_hand(frames={"message": "choose another", "rows": 0}))
    assert root.locator(".antlab-message").inner_text() == "choose another"
    assert not root.locator(".antlab-picture").is_visible()
