"""Still pictures: none stale, none forgotten, words for each; the same bytes each time."""

import re

import matplotlib as mpl
import pytest
from matplotlib import pyplot as plt

from antlab.classroom import figures
from antlab.classroom.drawing.draw import LOOKS
from antlab.classroom.figures import FIGURES, Still
from antlab.files import ROOT


@pytest.mark.parametrize("look", LOOKS)
@pytest.mark.parametrize("name", FIGURES)
def test_no_picture_is_stale(name, look):
    """What lies in figures/ is what the code draws: to the byte, or by what it says if others drew it."""
    text = (ROOT / figures.path_of(name, look)).read_text(encoding="utf-8")
    assert not figures.is_stale(name, text, look), f"run: antlab refresh {name}"
    assert len(text) < 400_000, "too heavy: draw fewer points"


def test_figures_holds_nothing_else():
    """No picture is left over from a name that is gone."""
    there = {path.relative_to(ROOT) for path in (ROOT / "figures").rglob("[!.]*") if path.is_file()}
    assert there == {figures.path_of(name, look) for name in FIGURES for look in LOOKS}


@pytest.mark.parametrize("name", FIGURES)
def test_words_for_each_picture(name):
    """One line that says what is to be seen, fit for Markdown."""
    alt = FIGURES[name].alt
    assert 60 < len(alt) < 600
    assert not re.search(r"[\n\]\[]", alt)


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
    text = figures.svg("sample")
    monkeypatch.setitem(mpl.rcParams, "lines.linewidth", 9.0)
    sample.data = [1e-9, 1 + 1e-9, 0.5 - 1e-9]
    assert figures.svg("sample") == text
    assert not plt.get_fignums()


def test_stale_is_seen(sample, monkeypatch):
    """Other data, words or style: stale. Drawn by another matplotlib: only if it says something else."""
    text = figures.svg("sample")
    assert not figures.is_stale("sample", text)
    thicker = text.replace("stroke-width: 1.5", "stroke-width: 1.6")
    assert figures.is_stale("sample", thicker)

    other = thicker.replace(figures.MAKER, "Matplotlib 9.9, NumPy 9.9")
    assert not figures.is_stale("sample", other)
    sample.data = [0.0, 1.0, 0.51]
    assert figures.is_stale("sample", text) and figures.is_stale("sample", other)
    sample.data, sample.title = [0.0, 1.0, 0.5], "second"
    assert figures.is_stale("sample", text) and figures.is_stale("sample", other)


def test_words_are_written_in(monkeypatch, sample):
    """Empty or old words give way to the picture's own, elsewhere nothing changes."""
    line = "See ![{}](../figures/sample.svg) and ![mine](mine.svg)."
    assert figures.with_alt(line.format("")) == figures.with_alt(line.format("old")) == line.format("words")
    with pytest.raises(KeyError, match="no-such"):
        figures.with_alt("![](figures/no-such.svg)")
