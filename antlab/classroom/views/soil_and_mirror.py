"""The mirror and the soil: what a low wire's feed shows, and how much of the power gets out."""

from dataclasses import replace
from functools import lru_cache

import numpy as np

from antlab.classroom.drawing.axes import em_of, legend, two_axes
from antlab.classroom.drawing.looks import GREY, stroke
from antlab.classroom.drawing.parts import FIRST, THIRD, Handle, Part, Pen, Scene, column
from antlab.classroom.views.knots import Between
from antlab.classroom.views.player import Slider, view
from antlab.classroom.views.shared import GROUNDS
from antlab.engine.dipole import Dipole
from antlab.engine.heights import half_wave_resistance
from antlab.engine.shapes import FlatTop
from antlab.physics.bands import BANDS, PERFECT_GROUND, band
from antlab.physics.bands import soil as named_soil
from antlab.physics.lengths import rule_length_m
from antlab.units import feet

HEIGHT = Slider("Height", "m", 2, 24, 45, 10)
WIDE_EM = 7.4  # of the longest heading
KNOTS = 21  # of the height, along its logarithm: more of them near the ground
TOP_OHM, TOP_W, LINE = 150.0, 160.0, 106.0  # of the charts, and of the line at the height chosen


@view(HEIGHT, size=((9.0, 4.5), (3.9, 4.2)), work="transmitting", band_name=BANDS, soil=GROUNDS)
def soil_and_mirror(fig, height_m, *, band_name="40m", soil="average"):
    """The mirror and the soil.

    A level half-wave dipole (468 / f feet), 2 mm copper: ohms at its feed, and watts of 100 to the sky.
    """
    f, soil = float(band(band_name).middle_mhz), named_soil(soil)
    over, sky = HEIGHT.values, _sky(f, soil)
    mirror, ohms = (half_wave_resistance(over, f_mhz=f, soil=one) for one in (PERFECT_GROUND, soil))
    watts = 100 * sky(over)[:, 0]
    here = np.searchsorted(over, height_m - 1e-6)
    says = [
        f"{h:.1f} m ({feet(h):.0f} ft) up: {ohms[i]:.0f} Ω at the feed, over a mirror {mirror[i]:.0f} Ω\n"
        f"Of 100 W that go in, {watts[i]:.0f} W get out to the sky; {_lost(watts[i], soil)}"
        for h, i in zip(height_m, here, strict=True)
    ]
    alt = (
        "Two charts against height. Ohms at the feed: over a perfect mirror (dotted) they fall to nothing as "
        f"the wire comes down, over {soil.called} (solid) they turn and rise again. "
        "Watts to the sky, of 100: over soil they fall away as the wire comes down; the others (hatched) "
        "are heat."
    )
    return Scene(*_picture(fig, over, (mirror, ohms, watts), here, soil, says, alt))


def _lost(watts, soil):
    """Where those of 100 W are that do not get out, in words. watts: those that do, one number."""
    warmed = "the wire" if soil == PERFECT_GROUND else "soil and wire"
    return f"{100 - round(watts)} W warm {warmed}"


@lru_cache(maxsize=8)
def _sky(f_mhz, soil):
    """The share of the power fed that gets to the sky, a function of height_m: (rows,) -> (rows, 1)."""
    leg = rule_length_m(f_mhz) / 2

    def solve(height_m):
        return [Dipole(inner_m=leg, shape=FlatTop(height_m=height_m), soil=soil).pattern(f_mhz).sky_fraction]

    return Between(solve, [replace(HEIGHT, log=True)], (KNOTS,))


def _picture(fig, over_m, curves, here, soil, says, alt):
    """What Scene takes: both charts, and at the height of each row its numbers, large.

    over_m: (points,). curves: ohms over the mirror and over the soil, watts to the sky, each (points,). here:
    (rows,), places along over_m.
    """
    mirror, ohms, watts = curves
    feed, sky = two_axes(
        fig,
        {"x": (0, 25), "y": (0, TOP_OHM), "xlabel": "height, m", "ylabel": "at the feed, Ω",
         "yticks": [0, 25, 50, 75, 100]},
        {"x": (0, 25), "y": (0, TOP_W), "xlabel": "height, m", "ylabel": "to the sky, W",
         "yticks": [0, 50, 100]},
    )  # fmt: skip
    if soil != PERFECT_GROUND:
        legend(feed, mirror=THIRD, soil=FIRST)
        feed.plot(over_m, mirror, color=THIRD.color, linestyle=(0, THIRD.dashes))
    feed.plot(over_m, ohms, color=FIRST.color)
    sky.plot(over_m, watts, color=FIRST.color)
    sky.axhline(100, color=GREY, linewidth=stroke(0.4))
    sky.fill_between(over_m, 0, watts, color=FIRST.color, alpha=0.13, linewidth=0)
    sky.fill_between(
        over_m, watts, 100, facecolor="none", edgecolor=GREY, alpha=0.45, hatch="///", linewidth=0
    )
    at, zero = column(over_m[here]), np.zeros((len(here), 1))
    middle = 12.5
    # Of the right chart the heading is the longest, and may have all of its width.
    large = Pen(FIRST.color, size=min(1.7, np.ptp(sky.get_xlim()) / em_of(sky) / WIDE_EM), bold=True)
    out, heat = watts[here], 100 - watts[here].round()
    down = Pen(GREY, width=0.5)
    parts = [
        *(Part(ax, "line", at + [0, 0], np.array([0.0, LINE]), down) for ax in (feed, sky)),
        Part(feed, "dots", at, column(mirror[here]), THIRD),
        Part(feed, "dots", at, column(ohms[here]), FIRST),
        Part(sky, "dots", at, column(watts[here]), FIRST),
        Part(feed, "text", zero + middle, zero + 0.95 * TOP_OHM, large,
             tuple(f"{ohms[i]:.0f} Ω" for i in here)),
        Part(feed, "text", zero + middle, zero + 0.81 * TOP_OHM, Pen(THIRD.color, size=1.2),
             tuple("a mirror" if soil == PERFECT_GROUND else f"mirror {mirror[i]:.0f} Ω" for i in here)),
        Part(sky, "text", zero + middle, zero + 0.95 * TOP_W, large, tuple(f"{w:.0f} W of 100" for w in out)),
        Part(sky, "text", zero + middle, zero + 0.77 * TOP_W, Pen(GREY, size=1.2),
             tuple(f"{w:.0f} W as heat" for w in heat)),
    ]  # fmt: skip
    return parts, says, alt, (), [Handle("height_m", feed, at[:, 0], LINE, color=FIRST.color)]
