"""What a live view must show for a row of its film, and what the browser does show."""

import base64
import json
import re
from io import BytesIO

import matplotlib.image
import numpy as np
from matplotlib.colors import to_rgb

from antlab.classroom.drawing.parts import curved
from antlab.classroom.views.film import FINE, points


def curve(frames, row, part=0):
    """A curve as it was sent, in FINE parts of a pixel, shape (points, 2), gaps left out, to its end."""
    found, piece = points(frames, part, row), frames["parts"][part]
    found = found[np.isfinite(found).all(axis=1)]
    for block in piece["until"]:
        (x, _), _ = points(frames | {"parts": [piece | {"n": 1, "x": block, "swing": []}]}, 0, row)[[0, 0]]
        whole = np.abs(found[:, 0] - found[0, 0]) < abs(x - found[0, 0])
        found = np.concatenate([found[whole], [np.transpose(curved(*found.T, 64, until=x))[-1]]])
    return found


def packed(film):
    """A film as JSON that may stand within a script, its bytes in base64."""
    text = json.dumps(film, default=lambda raw: base64.b64encode(raw).decode("ascii"))
    return text.replace("<", "\\u003c")  # no tag within the script


def said(root):
    """The words of a view as they stand there, whether or not a line may break between them."""
    return root.locator(".antlab-says").inner_text().replace("\xa0", " ")


def wait_said(page, words, view=0):
    """Wait until a view, by its number on the page, has these words."""
    page.wait_for_function(
        "([words, i]) => document.querySelectorAll('.antlab-says')[i].textContent"
        ".replaceAll('\\u00a0', ' ') === words",
        arg=[words, view],
    )


BARE = ".antlab-handle { visibility: hidden; }"  # no sign of what can be dragged lies over a curve
CLOCK = 'globalThis[Symbol.for("antlab.clock")]'


def agrees(root, still, frames, row, there=None):
    """Read back words, curves and pixels; fail unless all are those of this row, at the beginning of time.

    there: frames and what lies over them, as film.seen has it; or nothing.
    """
    pluck = "[...root.querySelectorAll('button')].find((one) => one.textContent === 'Pluck')?.click()"
    root.evaluate(f"(root) => {{ {CLOCK}.set(0); {pluck}; {CLOCK}.play(false); }}")
    assert root.get_attribute("data-row") == str(row)
    there = there or [(frames, row)]
    assert said(root) == "\n".join(layer["says"][i] for layer, i in there if layer["says"][i])
    shown = root.locator("svg > path").evaluate_all("paths => paths.map(path => path.getAttribute('d'))")
    rows = [
        (layer, next((i for one, i in there if one is layer), None)) for layer in [frames, *frames["over"]]
    ]
    sent = [
        (part, None if at is None else curve(layer, at, i))
        for layer, at in rows
        for i, part in enumerate(layer["parts"])
        if part["kind"] != "text"
    ]
    for (_, line), d in zip(sent, shown, strict=True):
        ends = re.findall(r"(?:[ML]|C(?:-?\d+ ){4})(-?\d+) (-?\d+)", d)  # of what is curved, its points
        painted = np.array(ends, dtype=int).reshape(-1, 2)
        line = np.zeros((0, 2)) if line is None else line
        assert painted.shape == line.shape and np.all(np.abs(painted - line) <= 1)
    lines = [(part, line) for part, line in sent if part["kind"] == "line" and line is not None]
    solid = [one for one in lines if not one[0]["dashes"]]
    # the widest of the longest, which lies above a thin one of as many points
    part, there = max(solid, key=lambda one: (one[0]["n"], one[0]["width"]))
    dots = [line for part, line in sent if part["kind"] == "dots" and line is not None]
    left, top, width, height = part["box"]
    along = np.linspace(0, len(there) - 1, 97)[3:-3]
    path = np.stack([np.interp(along, range(len(there)), axis) for axis in there.T], axis=1)
    covered = 12 * FINE  # a dot drawn over the curve hides so much of it
    inside = [
        (x, y)
        for x, y in path
        if left < x < left + width
        and top < y < top + height
        and all(np.min(np.hypot(*(dot - (x, y)).T), initial=np.inf) > covered for dot in dots)
    ]
    pixels = matplotlib.image.imread(BytesIO(root.locator(".antlab-picture").screenshot(style=BARE)))[..., :3]
    scale = pixels.shape[1] / still["width"] / FINE
    ink = np.linalg.norm(pixels - np.array(to_rgb(part["color"])), axis=-1) < 0.15
    near = [ink[max(int(y * scale) - 3, 0) :, max(int(x * scale) - 3, 0) :][:7, :7].any() for x, y in inside]
    assert inside and np.mean(near) > 0.9, "the longest solid curve is painted where it was sent"
