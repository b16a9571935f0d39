"""Height and takeoff angle: how the lobes lean and split as a wire rises."""

from dataclasses import replace

import numpy as np

from antlab.classroom.drawing.axes import dbi
from antlab.classroom.drawing.parts import PENS, Handle, Part, Scene, column
from antlab.classroom.drawing.two_bands import lobes
from antlab.classroom.views.player import Slider, view
from antlab.classroom.views.shared import GROUNDS
from antlab.engine import heights
from antlab.physics.bands import BANDS, band
from antlab.physics.bands import soil as named_soil

STEP_DEG = 0.25  # as Pattern looks for lobes
HELD = 0.84, 0.56  # of its ray each is held: inside the rim's angles, and apart where both go straight up
SIDES = (np.cos, np.array([1, 0, -1])), (np.sin, np.array([1, 0, 1]))  # a ray of length 1 to either side
FLAT_DB = 1.0  # a top that falls by less up to overhead has no angle that anybody would hear


@view(
    Slider("Height", "m", heights.LOWEST_M, heights.HIGHEST_M, 281, 10),
    size=((9.0, 4.5), (3.9, 2.9), (4.68, 3.3)),
    low=BANDS,
    high=BANDS,
    soil=GROUNDS,
    work="hanging",
    toward_deg=(None,),
)
def height(fig, height_m, *, low="40m", high="20m", soil="average", toward_deg=None):
    """Height and takeoff angle.

    A level half-wave dipole for the middle of each band (468 / f feet), 2 mm copper, seen broadside.
    toward_deg: an elevation at which the gain of both is told, or None; heavy where one takes off so.
    """
    soil = named_soil(soil)
    elevation = np.arange(0, 90 + STEP_DEG, STEP_DEG)
    gains, takeoffs, beams, there, lines, names = [], [], [], [], [], []
    toward = np.array([0.0 if toward_deg is None else toward_deg])
    for one in (band(low), band(high)):
        gain = heights.half_wave_gain_dbi(elevation, height_m, f_mhz=one.middle_mhz, soil=soil)
        takeoff, low_edge, high_edge, count = heights.lobe_figures(elevation, gain)
        names.append(one.label)
        there.append(heights.half_wave_gain_dbi(toward, height_m, f_mhz=one.middle_mhz, soil=soil)[:, 0])
        lines.append(
            [
                f"{names[-1]}: takeoff {t:.0f}°, {n} {'lobe' if n == 1 else 'lobes'}, "
                f"beamwidth {b - a:.0f}° ({a:.0f}° to {b:.0f}°)"
                + ("" if toward_deg is None else f", {dbi(sent)} at {toward_deg:g}°")
                + (", flat on top" if overhead > -FLAT_DB and n == 1 and t < 85 else "")
                for t, a, b, n, sent, overhead in zip(
                    takeoff,
                    low_edge,
                    high_edge,
                    count,
                    there[-1],
                    gain[:, -1] - gain.max(axis=1),
                    strict=True,
                )
            ]
        )
        half = gain[:, :: round(1 / STEP_DEG)]
        gains.append(np.concatenate([half, half[:, -2::-1]], axis=1))
        takeoffs.append(takeoff)
        beams.append((low_edge, high_edge))
    says = ["\n".join(both) for both in zip(*lines, strict=True)]
    asked = None if toward_deg is None else (toward_deg, there)
    alt = (
        f"Gain against elevation, broadside, ground {soil.name or 'your own'}: {names[0]} (solid, filled) "
        f"and {names[1]} (dashed). As the wire rises the lobes lean towards the ground and split."
    )
    parts = lobes(fig, np.arange(181.0), gains, names, takeoffs, asked, beams)
    if toward_deg is not None:
        for takeoff, pen in zip(
            takeoffs, PENS, strict=False
        ):  # the ray asked is heavy where a band takes off at it
            hit, angle = column(np.round(takeoff) == round(toward_deg)) > 0, np.radians(toward_deg)
            x, y = (np.where(hit, one(angle) * line, np.nan) for one, line in SIDES)
            parts.append(Part(parts[0].ax, "line", x, y, replace(pen, width=1.5, dashes=())))
    # A ray is drawn down by raising the wire; where the strongest lobe leaps from one to the next, it leaps.
    held = []
    for takeoff, pen, side, share in zip(takeoffs, PENS, (1, -1), HELD, strict=False):
        x, y = (share * one(np.radians(takeoff)) for one in (np.cos, np.sin))
        held.append(Handle("height_m", parts[0].ax, side * x, y, color=pen.color))
    return Scene(parts, says, alt, handles=held)
