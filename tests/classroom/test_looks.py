"""Every still picture and live view in every look: words lie free and whole, a hall can read them."""

import itertools
from functools import cache

import matplotlib as mpl
import numpy as np
import pytest
from matplotlib import pyplot as plt
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.colors import to_hex, to_rgb
from matplotlib.legend import Legend
from matplotlib.lines import Line2D
from matplotlib.text import Text
from traitlets import TraitError

from antlab.classroom import course, live
from antlab.classroom.drawing import looks
from antlab.classroom.drawing.parts import PENS, Pen
from antlab.classroom.figures import FIGURES
from antlab.classroom.views import player
from antlab.classroom.views.player import PHONE, SCREENS

IN_NOTEBOOK_PX, IN_HALL_PX = (
    907,
    821,
)  # how wide JupyterLab shows a still at most, 1366 and projected 1280 wide
STILLS = [name for name, still in FIGURES.items() if "projector" in still.looks]  # build-sheet: test_sheet
VIEWS = live.VIEWS
in_each_look = pytest.mark.parametrize("look", looks.LOOKS)


def contrast(colour):
    """Contrast with white, WCAG 2.2: relative luminance of 1.4.3."""
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in to_rgb(colour)]
    return 1.05 / (np.dot(linear, (0.2126, 0.7152, 0.0722)) + 0.05)


def seen(fig, kind):
    """The artists of one kind that are drawn: no axis that is off, no tick out of its limits."""
    unseen = set()
    for ax in fig.axes:
        for axis in (ax.xaxis, ax.yaxis):
            low, high = sorted(axis.get_view_interval())
            ticks = [*axis.get_major_ticks(), *axis.get_minor_ticks()]
            inside = (low - 1e-9, high + 1e-9) if ax.axison else (np.inf, np.inf)
            out = [tick for tick in ticks if not inside[0] <= tick.get_loc() <= inside[1]]
            unseen |= {id(part) for tick in out for part in tick.findobj()}
            if not ax.axison:
                unseen |= {id(part) for part in axis.findobj()}
    return [one for one in fig.findobj(kind) if id(one) not in unseen and one.get_visible()]


def words(fig):
    """What is written on a figure that was drawn: text and where, in pixels from the lower left."""
    return [(one.get_text(), one.get_window_extent()) for one in seen(fig, Text) if one.get_text().strip()]


def trouble(fig):
    """What is clipped and what lies on what, in words; two equal words are the same to the eye."""
    found, out = words(fig), []
    for text, box in found:
        if box.x0 < -1 or box.y0 < -1 or box.x1 > fig.bbox.width + 1 or box.y1 > fig.bbox.height + 1:
            out.append(f"{text} is clipped")
    for box in (one.get_window_extent() for one in fig.findobj(Legend)):  # with its strokes; above is nothing
        if box.x0 < -1 or box.x1 > fig.bbox.width + 1:
            out.append("the legend is clipped")
    for (text, a), (other, b) in itertools.combinations(found, 2):
        wide, high = (min(a.x1, b.x1) - max(a.x0, b.x0)), (min(a.y1, b.y1) - max(a.y0, b.y0))
        if text != other and wide > 2 and high > 3:
            out.append(f"{text} lies on {other}")
    return out


@cache
def still(name, look):
    """A still picture in a look, drawn once for all tests of this file."""
    with looks.looking(look):
        fig, _ = FIGURES[name].make()
    plt.close(fig)
    FigureCanvasAgg(fig)  # closing took its canvas
    fig.draw_without_rendering()  # all is in its place, and no pixel need be painted; a view's is so
    return fig


@in_each_look
@pytest.mark.parametrize("name", STILLS)
def test_words_of_stills(name, look):
    """No word of a still picture lies on another or is cut by the edge."""
    assert not trouble(still(name, look))


@pytest.mark.parametrize("look", SCREENS | {"phone": PHONE})
@pytest.mark.parametrize("name", VIEWS)
def test_words_of_views(name, look):
    """The same for a live view, wherever its sliders stand: at the ends, in the middle, where it begins."""
    view = VIEWS[name]
    sliders = dict(zip(view.positions, view.sliders(**view.defaults), strict=True))
    shown = {name: slider for name, slider in sliders.items() if slider.shown}  # no other moves anything
    low, middle, high = (
        [float(s.values[round(share * (s.count - 1))]) for s in shown.values()] for share in (0, 0.4, 1)
    )
    ends = itertools.product(*zip(low, high, strict=True))
    for values in ([s.begin for s in shown.values()], middle, *ends):
        try:
            wanted = dict(zip(shown, values, strict=True))
            fig, _ = view.still(SCREENS.get(look, PHONE), wanted, view.defaults)
        except ValueError:
            continue  # a yard that cannot be
        assert not trouble(fig), values


def inks(fig):
    """The colours of all that is written and of all lines but the grid, ends of axes too."""
    grids = {style["grid.color"] for styles in looks.LOOKS.values() for style in styles[:2]}
    lines = {one.get_color() for one in seen(fig, Line2D)} - grids - {"#ffffff"}  # a rim of paper is no ink
    edges = {to_hex(spine.get_edgecolor()) for ax in fig.axes if ax.axison for spine in ax.spines.values()}
    return lines | edges | {one.get_color() for one in seen(fig, Text) if one.get_text()}


def large(fig, shown=1.0):
    """The smallest type, and the widths of all lines of the axes in their order; points as shown."""
    lines = [line.get_linewidth() * shown for ax in fig.axes for line in ax.lines]
    return min(one.get_fontsize() for one in seen(fig, Text) if one.get_text().strip()) * shown, np.array(
        lines
    )


@pytest.mark.parametrize("name", STILLS)
def test_no_type_of_a_still_is_small(name):
    """16 pixels at least, as the notebook shows it on a laptop of 1366 by 768."""
    plain = still(name, "plain")
    assert large(plain, IN_NOTEBOOK_PX / max(96 * plain.get_figwidth(), IN_NOTEBOOK_PX))[0] * 96 / 72 >= 15.99


def check_projected(plain, projected, curve_pt, shown=(1.0, 1.0)):
    """Type 1.25 times as large, lines 1.3 times as thick, words and axes black, contrast of all inks 7.

    What is over twice as thick as a curve is drawn to scale: turns of cable. Contrast: WCAG 2.2, 1.4.6.
    """
    (least, thin), (type_pt, lines) = (
        large(fig, share) for fig, share in zip((plain, projected), shown, strict=True)
    )
    assert type_pt >= 1.25 * least
    assert np.all((lines >= 1.3 * thin - 1e-9) | (thin > 2 * curve_pt))
    assert min(map(contrast, inks(projected))) >= 7
    for ax in projected.axes:
        assert {to_hex(spine.get_edgecolor()) for spine in ax.spines.values()} <= {looks.BLACK}
        assert contrast(mpl.colors.to_rgb(looks.LOOKS["projector"][0]["grid.color"])) > 2


@pytest.mark.parametrize("name", STILLS)
def test_a_projected_still_can_be_read(name):
    """As shown in a lesson, where the widest is shrunk to the page."""
    figs = [still(name, look) for look in ("plain", "projector")]
    shown = [min(IN_HALL_PX / 96 / fig.get_figwidth(), 1) for fig in figs]
    check_projected(*figs, looks.PAPER["lines.linewidth"], shown)


@pytest.mark.parametrize("name", VIEWS)
def test_a_projected_view_can_be_read(name):
    """On the screen, where both looks are as wide as the page; each slider that is shown still moves it."""
    view = VIEWS[name]
    figs = [view.still(look, {}, view.defaults)[0] for look in SCREENS.values()]
    check_projected(*figs, looks.STYLE["lines.linewidth"])
    at = view.places({}, view.defaults)
    here = view.film(SCREENS["projector"], view.defaults, at, still=False)[1]
    for k, slider in enumerate(view.sliders(**view.defaults)):
        moved = list(at)
        moved[k] += 1 if at[k] + 1 < slider.count else -1
        there = view.film(SCREENS["projector"], view.defaults, moved, still=False)[1]
        assert (there["table"] != here["table"]) == slider.shown, slider.name


def test_inks_hold_on_a_pale_projector():
    """Each pen has dashes of its own, and the contrast of large halls in either look (7, WCAG 2.2, 1.4.6)."""
    assert len({pen.dashes for pen in PENS}) == len(PENS)
    assert min(contrast(pen.color) for pen in (*PENS, Pen(looks.GREY))) >= 7


def test_the_switch(monkeypatch):
    """One name switches pictures and views; a view's own button switches it and those that come after it."""
    monkeypatch.setenv(course.LOOK, "plain")
    first = live.where_it_lands()
    plain, words = first.player.still, first.player.frames["says"]
    first.player.look = "projector"
    assert first.player.still["png"] != plain["png"] and first.player.frames["says"] == words
    sizes = [
        {part["size"] for part in live.where_it_lands().player.frames["parts"]} for _ in (live.projector(), 0)
    ]
    assert sizes[0] == sizes[1] == {part["size"] for part in first.player.frames["parts"]}
    live.projector(False)
    assert live.where_it_lands().player.still == plain
    with pytest.raises(TraitError):
        first.player.look = "huge"


def test_a_view_that_asks_is_switched_too(monkeypatch):
    """Its picture comes anew where the sliders stand, and the next positions in the same look."""
    monkeypatch.setenv(course.LOOK, "projector")
    one = live.one_wave
    asking = player.View(one.scene, one.sliders, one.choices, one.size, ask=True)
    widget = asking(f_mhz=7.1)
    widget.player.look = "plain"
    here = one.film(player.SCREEN, {}, widget.player.at, still=False)[1]
    assert widget.player.frames["parts"] == here["parts"]
    widget.player.at = [10]
    here = one.film(player.SCREEN, {}, [10], still=False)[1]
    assert widget.player.frames["table"] == here["table"]
