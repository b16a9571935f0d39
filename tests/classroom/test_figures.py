"""Still pictures: none stale, none forgotten, words for each; the same bytes each time."""

import itertools
import re

import matplotlib as mpl
import pytest
from matplotlib import pyplot as plt
from matplotlib.axes import Axes
from matplotlib.text import Text

from antlab.classroom import figures
from antlab.classroom.drawing.looks import LOOKS, looking
from antlab.classroom.figures import FIGURES, Still
from antlab.files import ROOT


@pytest.mark.parametrize("name, look", figures.stored())
def test_no_picture_is_stale(name, look):
    """What lies in figures/ is what the code draws, save for rounding, or says it if others drew it."""
    text = (ROOT / figures.path_of(name, look)).read_text(encoding="utf-8")
    assert figures.renewed(text, name, look) == text, f"run: antlab refresh {name}"
    assert len(text) < 480_000, "too heavy: draw fewer points"  # the sheet is a whole page of words


def test_figures_holds_nothing_else():
    """No picture is left over from a name that is gone."""
    there = {path.relative_to(ROOT) for path in (ROOT / "figures").rglob("[!.]*") if path.is_file()}
    assert there == {figures.path_of(name, look) for name, look in figures.stored()}


def test_no_copy_is_stored():
    """A picture that is the same in every look lies there once; the others differ, or it would be a copy."""
    for name, look in itertools.product(FIGURES, list(LOOKS)[1:]):
        plain, other = ROOT / figures.path_of(name), ROOT / figures.path_of(name, look)
        if look in FIGURES[name].looks:
            assert plain.read_bytes() != other.read_bytes(), name
        else:
            assert figures.svg(name) == figures.svg(name, look), name


@pytest.mark.parametrize("name", FIGURES)
def test_words_for_each_picture(name):
    """One line that says what is to be seen, fit for Markdown."""
    alt = FIGURES[name].alt
    assert 60 < len(alt) < 600
    assert not re.search(r"[\n\]\[]", alt)


@pytest.mark.parametrize("name, look", figures.stored())
def test_panels_stand_apart(name, look):
    """A phone cuts a picture between its panels: each of its words lies in one of them, and each has some."""
    still = FIGURES[name]
    with looking(look), mpl.rc_context():
        fig, _ = still.make()
        fig.draw_without_rendering()
    wide, found = fig.bbox.width / still.panels, []
    outside = {
        tick.label1
        for ax in fig.findobj(Axes)
        for axis in (ax.xaxis, ax.yaxis)
        for tick in axis.get_major_ticks()
        if not min(axis.get_view_interval()) <= tick.get_loc() <= max(axis.get_view_interval())
    }  # of ticks that are not drawn
    for text in fig.findobj(Text):
        if text.get_text().strip() and text.get_visible() and text not in outside:
            box = text.get_window_extent()
            found.append(int((box.x0 + box.x1) / 2 // wide))
            assert box.x0 >= found[-1] * wide - 2 and box.x1 <= (found[-1] + 1) * wide + 2, text.get_text()
    assert {*found} >= {*range(still.panels)}
    plt.close(fig)


@pytest.fixture
def sample(monkeypatch):
    """A small picture whose data and style a test can change."""

    def make():
        fig, ax = plt.subplots()
        ax.plot([0, 1, 2], sample.data)
        ax.set_title(sample.title)
        return fig, ax

    sample.data, sample.title = [0.0, 1.0, 0.5], "first"
    monkeypatch.setitem(FIGURES, "sample", Still(make, "words"))
    return sample


def test_same_bytes_whoever_draws(sample, monkeypatch):
    """A contributor's own matplotlib settings and the last bits of a float change nothing."""
    opened = plt.get_fignums()
    text = figures.svg("sample")
    monkeypatch.setitem(mpl.rcParams, "lines.linewidth", 9.0)
    sample.data = [1e-9, 1 + 1e-9, 0.5 - 1e-9]
    assert figures.svg("sample") == text
    assert plt.get_fignums() == opened


def test_stale_is_seen(sample, monkeypatch):
    """Other data, words or style: stale. Drawn by another matplotlib: only if it says something else."""
    text = figures.svg("sample")
    thicker = text.replace("stroke-width: 1.5", "stroke-width: 1.6")
    other = thicker.replace(figures.MAKER, "Matplotlib 9.9, NumPy 9.9")
    assert figures.renewed("", "sample") == figures.renewed(thicker, "sample") == text
    assert figures.renewed(other, "sample") == other
    for sample.data, sample.title in (([0.0, 1.0, 0.51], "first"), ([0.0, 1.0, 0.5], "second")):
        fresh = figures.svg("sample")
        assert fresh != text and figures.renewed(other, "sample") == figures.renewed(text, "sample") == fresh


def test_rounding_is_not_stale(sample):
    """A curve moved by a hundredth of a point, as another processor rounds it, is the stored one.

    The axis is some 270 points high for 1.1, and so 0.00004 is a hundredth; five of them are stale.
    """
    sample.data = [0.0, 1.0, 0.5]
    text = figures.svg("sample")
    for moved, same in ((0.00004, True), (0.0002, False)):
        sample.data = [0.0, 1.0, 0.5 + moved]
        assert figures.svg("sample") != text, "or nothing is tried here"
        assert (figures.renewed(text, "sample") == text) is same


def test_words_are_written_in(monkeypatch, sample):
    """Empty or old words give way to the picture's own, elsewhere nothing changes."""
    line = "See ![{}](../figures/sample.svg) and ![mine](mine.svg)."
    assert figures.with_alt(line.format("")) == figures.with_alt(line.format("old")) == line.format("words")
    with pytest.raises(KeyError, match="no-such"):
        figures.with_alt("![](figures/no-such.svg)")
