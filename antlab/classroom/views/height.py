"""Height and takeoff angle: how the lobes lean and split as a wire rises."""

import numpy as np

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
    size=((9.0, 4.5), (3.9, 2.4)),
    low=BANDS,
    high=BANDS,
    soil=GROUNDS,
    work="hanging",
)
def height(fig, height_m, *, low="40m", high="20m", soil="average"):
    """Height and takeoff angle.

    A level half-wave dipole for the middle of each band (468 / f feet), 2 mm copper, seen broadside.
    """
    soil = named_soil(soil)
    elevation = np.arange(0, 90 + STEP_DEG, STEP_DEG)
    gains, takeoffs, lines, names = [], [], [], []
    for one in (band(low), band(high)):
        gain = heights.half_wave_gain_dbi(elevation, height_m, f_mhz=one.middle_mhz, soil=soil)
        takeoff, low_edge, high_edge, count = heights.lobe_figures(elevation, gain)
        names.append(one.label)
        lines.append(
            [
                f"{names[-1]}: takeoff {t:.0f}°, {n} {'lobe' if n == 1 else 'lobes'}, "
                f"beamwidth {b - a:.0f}° ({a:.0f}° to {b:.0f}°)"
                + (", flat on top" if overhead > -FLAT_DB and t < 85 else "")
                for t, a, b, n, overhead in zip(
                    takeoff, low_edge, high_edge, count, gain[:, -1] - gain.max(axis=1), strict=True
                )
            ]
        )
        half = gain[:, :: round(1 / STEP_DEG)]
        gains.append(np.concatenate([half, half[:, -2::-1]], axis=1))
        takeoffs.append(takeoff)
    says = ["\n".join(both) for both in zip(*lines, strict=True)]
    alt = (
        f"Gain against elevation, broadside, ground {soil.name or 'your own'}: {names[0]} (solid, filled) "
        f"and {names[1]} (dashed). As the wire rises the lobes lean towards the ground and split."
    )
    parts = lobes(fig, np.arange(181.0), gains, names, takeoffs)
    # A ray is drawn down by raising the wire; where the strongest lobe leaps from one to the next, it leaps.
    rays = [part for part in parts if part.kind == "line" and part.x.shape[1] == 2]
    held = [Handle("height_m", ray.ax, 0.86 * ray.x[:, 1], 0.86 * ray.y[:, 1]) for ray in rays]
    return Scene(parts, says, alt, handles=held)
