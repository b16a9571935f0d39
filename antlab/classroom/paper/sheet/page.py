"""A page of paper to write on: everything is placed in inches from its lower left corner."""

import re
from functools import lru_cache

import numpy as np
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties
from matplotlib.textpath import text_to_path

from antlab.classroom.drawing.looks import BLACK, GREY, STYLE
from antlab.units import Slip, quoted

PAPERS = {"A4": (8.27, 11.69), "Letter": (8.5, 11.0)}  # ISO 216 and ANSI Y14.1, inches
MARGIN = 0.45  # what a printer may leave white
GAP = 0.2  # between the two columns
SIZE, LINE = 8.0, 0.121  # type, points; line to line, inches
HINTED = 0.985  # of a width that words are set to: on a screen's dots type comes out a little wider
STYLE_OF_PAPER = STYLE | {
    "font.size": SIZE,
    "lines.linewidth": 1.7,
    "grid.linewidth": 0.5,
    "axes.linewidth": 0.7,
    "xtick.labelsize": SIZE,
    "ytick.labelsize": SIZE,
    "pdf.fonttype": 42,
    "svg.hashsalt": "antlab",
}


def paper_named(name):
    """Width and height of a paper, inches. name: A4 or Letter, in any case. Raises Slip."""
    for known, size in PAPERS.items():
        if str(name).lower() == known.lower():
            return size
    raise Slip(f"paper is {' or '.join(PAPERS)}; got {quoted(name)}")


class Page:
    """A page of a paper's size, with two columns of equal width between its margins."""

    def __init__(self, paper, figure=None):
        wide, high = paper_named(paper)
        self.figure = figure or Figure(figsize=(wide, high))
        self.ax = self.figure.add_axes((0, 0, 1, 1), xlim=(0, wide), ylim=(0, high))
        self.ax.set_axis_off()
        self.high = high
        self.left, self.right, self.top, self.bottom = MARGIN, wide - MARGIN, high - MARGIN, MARGIN
        self.wide = self.right - self.left
        self.column = (self.wide - GAP) / 2
        self.second = self.left + self.column + GAP
        self.middle = wide / 2
        self.plots = []

    def plot_axes(self, x, y, wide, high):
        """Axes at a place on the page."""
        place = np.array((x, y, wide, high)) / np.tile(self.figure.get_size_inches(), 2)
        self.plots.append(self.figure.add_axes(place))
        return self.plots[-1]

    def lower(self, by):
        """Move all that is on the page down."""
        self.ax.set_ylim(by, self.high + by)
        for plot in self.plots:
            x, y, wide, high = plot.get_position().bounds
            plot.set_position((x, y - by / self.high, wide, high))

    def write(self, x, y, words, **looks):
        return self.ax.text(x, y, tidy(words), **{"color": BLACK, "fontsize": SIZE, **looks})

    def line(self, x, y, **looks):
        self.ax.plot(x, y, **{"color": BLACK, "linewidth": 0.8, "solid_capstyle": "butt", **looks})

    def heading(self, x, top, width, words):
        """A heading under a rule; returns where to go on."""
        self.line([x, x + width], [top, top], color=GREY, linewidth=0.7)
        self.write(x, top - 0.155, words, fontsize=9, fontweight="bold")
        return top - 0.215

    def paragraph(self, x, top, width, words, lead="", indent=0.0):
        """Words set to a width, behind a bold lead; returns where to go on."""
        start = inches(lead + " ", bold=True) if lead else 0.0
        if lead:
            self.write(x, top - 0.1, lead, fontweight="bold")
        for i, line in enumerate(set_to(words, width, start, indent)):
            self.write(x + (indent if i else start), top - 0.1 - i * LINE, line)
        return top - (i + 1) * LINE

    def table(self, x, top, widths, rows, bold=(), line=LINE):
        """Rows of cells, the first column to the left and the others to the right; returns where to go on."""
        for i, row in enumerate(rows):
            edge = x
            for j, (cell, width) in enumerate(zip(row, widths, strict=True)):
                edge += width
                place, side = (edge, "right") if j else (x, "left")
                weight = "bold" if i in bold else "normal"
                self.write(place, top - 0.1 - i * line, cell, ha=side, fontweight=weight)
        return top - len(rows) * line

    def arrow(self, start, stop, heads="<->"):
        ends = {"arrowstyle": heads, "lw": 0.7, "shrinkA": 0, "shrinkB": 0, "mutation_scale": 8}
        self.ax.annotate("", stop, start, arrowprops=ends)

    def level(self, left, right, y, words):
        """A level dimension with its words in the middle of it, or beside it where it is short."""
        self.arrow((left, y), (right, y))
        if right - left > inches(words) + 0.4:
            look = {"ha": "center", "bbox": {"fc": "white", "ec": "none", "pad": 1.5}}
            self.write((left + right) / 2, y, words, va="center", **look)
        else:
            self.write(right + 0.08, y, words, va="center")


@lru_cache(maxsize=4096)
def inches(words, *, bold=False):
    """How wide words are on a page."""
    font = FontProperties(family="DejaVu Sans", size=SIZE, weight="bold" if bold else "normal")
    return text_to_path.get_text_width_height_descent(tidy(words), font, False)[0] / 72


def tidy(words):
    """Print's minus for the keyboard's, and a number kept with its unit."""
    words = re.sub(r"(?<![\w-])-(?=\d)", "−", words)
    words = re.sub(r"(?<=\d) (?=\d+/\d+ in\b)", "\u00a0", words)
    return re.sub(
        r"(?<=\d) (?=(?:mm|cm|m|ft|in|dB|kHz|MHz|pF|µH|W|V|N|kg|lb|Ω|ohm|turns|%)(?!\w))", "\u00a0", words
    )


def set_to(words, width, start=0.0, indent=0.0):
    """Break words into lines of a width in inches, the first shorter by start, the others by indent."""
    lines, space = [[]], inches("n n") - inches("nn")
    left = HINTED * width - start
    for word in tidy(words).split(" "):
        wide = inches(word)
        if lines[-1] and wide > left:
            lines.append([])
            left = HINTED * width - indent
        lines[-1].append(word)
        left -= wide + space
    return [" ".join(line) for line in lines]
