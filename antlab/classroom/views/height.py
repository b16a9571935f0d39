"""Height and takeoff angle: how the lobes lean and split as a wire rises."""

import numpy as np

from antlab.classroom.drawing.axes import dbi
from antlab.classroom.drawing.parts import Handle, Scene
from antlab.classroom.drawing.two_bands import lobes
from antlab.classroom.views.player import Slider, view
from antlab.classroom.views.shared import GROUNDS
from antlab.engine import heights
from antlab.physics.bands import BANDS, band
from antlab.physics.bands import soil as named_soil

STEP_DEG = 0.25  # as Pattern looks for lobes
FLAT_DB = 0.5  # a top that falls by less up to overhead has no angle that anybody would hear


@view(
    Slider("Height", "m", heights.LOWEST_M, heights.HIGHEST_M, 281, 10),
    size=((9.0, 4.5), (3.9, 2.4), (4.68, 3.3)),
    low=BANDS,
    high=BANDS,
    soil=GROUNDS,
    work="hanging",
    toward_deg=(None,),
)
def height(fig, height_m, *, low="40m", high="20m", soil="average", toward_deg=None):
    """Height and takeoff angle.

    A level half-wave dipole for the middle of each band (468 / f feet), 2 mm copper, seen broadside.
    toward_deg: an elevation at which the gain of both is told, or None.
    """
    soil = named_soil(soil)
    elevation = np.arange(0, 90 + STEP_DEG, STEP_DEG)
    gains, takeoffs, there, lines, names = [], [], [], [], []
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
                + (", flat on top" if overhead > -FLAT_DB and t < 85 else "")
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
    says = ["\n".join(both) for both in zip(*lines, strict=True)]
    asked = None if toward_deg is None else (toward_deg, there)
    alt = (
        f"Gain against elevation, broadside, ground {soil.name or 'your own'}: {names[0]} (solid, filled) "
        f"and {names[1]} (dashed). As the wire rises the lobes lean towards the ground and split."
    )
    parts = lobes(fig, np.arange(181.0), gains, names, takeoffs, asked)
    # A ray is drawn down by raising the wire; where the strongest lobe leaps from one to the next, it leaps.
    rays = [part for part in parts if part.kind == "line" and np.shape(part.x)[1:] == (3,)]
    held = [
        Handle("height_m", ray.ax, 0.86 * ray.x[:, end], 0.86 * ray.y[:, end])
        for ray, end in zip(rays, (0, 2), strict=True)  # one to either side, so that they never meet
    ]
    return Scene(parts, says, alt, handles=held)
