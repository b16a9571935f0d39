"""A film as a page has it, opened again."""

import base64
import json
import zlib

import numpy as np


def unsqueezed(text):
    """The film.Film that film.squeezed made a text of, as live.js opens it too."""
    said, raw = zlib.decompress(base64.b64decode(text)).split(b"\n", 1)
    film = json.loads(said, object_hook=lambda one: raw[slice(*one["bytes"])] if "bytes" in one else one)
    for moving in [film["frames"], *film["frames"]["over"], *film["asked"]]:
        table, fixed = moving["table"], 2 * moving["fixed"]
        halves = np.frombuffer(table[fixed:], np.uint8).reshape(2, moving["columns"], moving["rows"])
        low, high = halves.astype("<u2")
        moving["table"] = table[:fixed] + (low + 256 * high).cumsum(axis=1, dtype="<u2").T.tobytes()
    return film
