"""Every still picture of the course: what draws it, and the words for a reader who cannot see it.

A lesson shows one as `![](../figures/name.svg)`; `antlab refresh` draws the file and writes the words in.
"""

import hashlib
import io
import re
from collections.abc import Callable
from dataclasses import dataclass

import matplotlib as mpl
import numpy as np
from matplotlib import pyplot as plt
from matplotlib.lines import Line2D
from matplotlib.text import Text

from . import live

MAKER = f"Matplotlib {mpl.__version__}, NumPy {np.__version__}"


@dataclass(frozen=True)
class Still:
    """A picture on paper. make: draws it, returns figure and axes. alt: what it shows, in one line."""

    make: Callable
    alt: str


FIGURES = {
    "lobes-split": Still(
        lambda: live.height.draw(5, 10, 20, low="20m", high="10m"),
        "Gain against elevation of a 20-metre dipole (solid, filled) and a 10-metre one (dashed), 5, 10 "
        "and 20 m (16, 33 and 66 ft) up over average soil. With height the lobes lean towards the horizon "
        "and split into more and more of them, on 10 metres at half the height of 20 metres.",
    ),
}


def svg(name):
    """The picture of that name as SVG text, the same to the byte each time that one MAKER draws it.

    Places are rounded to a hundredth of a point, so that the last bits of a processor's sine don't show.
    """
    with mpl.rc_context():
        mpl.rcdefaults()  # not those of who happens to draw it
        mpl.rcParams["svg.hashsalt"] = "antlab"
        fig, _ = FIGURES[name].make()
        about = {"Creator": MAKER, "Identifier": digest(fig), "Date": None}
        file = io.StringIO()
        fig.savefig(file, format="svg", metadata=about)
        plt.close(fig)
    return re.sub(r' d="[^"]*"| [xy]="[^"]*"|translate\([^)]*\)', _rounded, file.getvalue())


def _rounded(places):
    return re.sub(r"-?\d+\.\d{3,}", lambda number: f"{float(number[0]):.2f}", places[0])


def digest(fig):
    """A hash of what a figure says, whoever draws it: its words, and its lines to a thousandth."""
    said = [text.get_text() for text in fig.findobj(Text) if text.get_text()]
    for line in fig.findobj(Line2D):
        places = line.get_xydata()
        shares = np.round(places / (np.nanmax(np.abs(places), axis=0) + 1e-9), 3) + 0.0  # no minus zero
        said.append(str(shares.tolist()))
    return hashlib.sha256("\n".join(sorted(said)).encode()).hexdigest()


def is_stale(name, text):
    """Whether the SVG text is not what the picture of that name would be now.

    Text of another MAKER is known by its digest, since places and glyphs differ a little between them.
    """
    fresh = svg(name)
    if MAKER in text:
        return text != fresh
    return re.search(r"[0-9a-f]{64}", text)[0] != re.search(r"[0-9a-f]{64}", fresh)[0]


def with_alt(markdown):
    """Markdown with the words of each picture of ours in place. Raises KeyError for an unknown picture."""
    ours = r"!\[[^\]]*\](\([./]*figures/([\w-]+)\.svg\))"
    return re.sub(ours, lambda found: f"![{FIGURES[found[2]].alt}]{found[1]}", markdown)
