"""A wave leaves a wire, the ground sends its echo after it, and both together make the lobes."""

import numpy as np

from antlab.classroom.drawing.axes import plot_axes
from antlab.classroom.drawing.looks import BLACK, EARTH, GREY, stroke
from antlab.classroom.drawing.parts import Handle, Part, Pen, Scene, Waves, column
from antlab.classroom.views.player import Slider, view
from antlab.classroom.views.shared import GROUNDS
from antlab.engine import heights, waves
from antlab.physics.bands import BANDS, band
from antlab.physics.bands import soil as named_soil
from antlab.units import feet, wavelength_m

SHOWN = ("direct wave and echo", "direct wave alone", "echo alone")
EDGE_M = (waves.UP - 1) * waves.STEP_M
INNER_M, OUTER_M = 0.3 * EDGE_M, 0.95 * EDGE_M  # where a lobe begins, and where the longest one ends
BRIGHTEST = 1.6  # V/m for 1 W times the root of the steps: what comes from a wire high up, well off it


@view(
    Slider("Height", "m", waves.LOWEST * waves.STEP_M, heights.HIGHEST_M, waves.HIGHEST - waves.LOWEST + 1,
           10.5, digits=2),
    Slider("Shown", "", 0, 2, 3, 0, words=SHOWN),
    size=((9.0, 4.5), (3.9, 2.1)), work="hanging", turn_s=2.4, instants=((0.0,), (0.25,)),
    band_name=BANDS, soil=GROUNDS,
)  # fmt: skip
def wave_over_soil(fig, height_m, shown, *, band_name="20m", soil="average"):
    """The wave over the soil.

    A level half-wave dipole (468 / f feet), 2 mm copper, seen from its end: the electric field that it makes.
    """
    f, soil = band(band_name).middle_mhz, named_soil(soil)
    tables = waves.wave_tables(float(f), soil)
    elevation = np.arange(0, 90 + 0.25, 0.25)
    high, place = np.unique(height_m, return_inverse=True)
    gain = heights.half_wave_gain_dbi(elevation, high, f_mhz=f, soil=soil)
    takeoff, _, _, count = heights.lobe_figures(elevation, gain)
    gain, takeoff, count = gain[place], takeoff[place], count[place]
    whole = float(wavelength_m(f))
    says = [
        f"{h:.2f} m ({feet(h):.0f} ft) up: {h / whole:.2f} wavelength; shown: {SHOWN[round(s)]}\n"
        f"Far away: {n} {'lobe' if n == 1 else 'lobes'}, the strongest at {t:.0f}° with {best:.1f} dBi, "
        f"overhead {over:.1f} dBi".replace("-", "−")
        for h, s, n, t, best, over in zip(
            height_m, shown, count, takeoff, gain.max(axis=1), gain[:, -1], strict=True
        )
    ]
    alt = (
        f"A wire seen from its end, over {soil.name or 'your own soil'}; crests and troughs of the wave run "
        "away from it. Where they end, a line shows how strong they are in each direction. The higher the "
        "wire, the more directions in which wave and echo cancel, and so the more lobes."
    )
    steps = np.round(height_m / waves.STEP_M).astype(int)
    shown = np.round(shown).astype(int)
    picture = _picture(fig, steps, (elevation, gain), takeoff, shown == 0)
    field = Waves(
        picture[0].ax, waves.STEP_M, waves.UP, _rooted(tables.direct), tables.echo, steps,
        tables.amps[steps], (shown != 2).astype(int), (shown != 1).astype(int), BRIGHTEST,
    )  # fmt: skip
    hold = Handle("height_m", picture[0].ax, 0.0, steps * waves.STEP_M)
    return Scene(picture, says, alt, field, [hold])


def _rooted(direct):
    """The direct wave times the root of the steps from the wire: so far waves are seen beside near ones."""
    return direct * np.sqrt(np.hypot(*np.indices(direct.shape)).clip(1))


def _picture(fig, steps, gain, takeoff_deg, both):
    """The wire, and round it what it does far away.

    steps: up to the wire. gain: (elevation_deg (points,), gain_dbi (rows, points)). takeoff_deg: of the
    strongest lobe. both: whether wave and echo are shown together, as the lobes want it. Each (rows,).
    Returns the parts.
    """
    ax = plot_axes(
        fig, x=(-EDGE_M - 3, EDGE_M + 3), y=(-5, EDGE_M + 3), xlabel="to the side, m",
        margins_em=(0.6, 0.6, 0.3, 3.4), aspect="equal", yticks=[],
    )  # fmt: skip
    ax.grid(visible=False)
    ax.axhspan(-5, 0, color=EARTH, zorder=0)
    ax.axhline(0, color=BLACK, linewidth=stroke(0.7))
    high = column(steps * waves.STEP_M)
    elevation, gain_dbi = gain
    up = np.radians(np.r_[elevation, 180 - elevation[-2::-1]])[None, ::4]
    field = 10 ** ((gain_dbi - gain_dbi.max(axis=1, keepdims=True)) / 20)
    field = np.concatenate([field, field[:, -2::-1]], axis=1)[:, ::4]
    out = np.where(both[:, None], INNER_M + (OUTER_M - INNER_M) * field, np.nan)
    tip = np.radians(column(np.where(both, takeoff_deg, np.nan)))
    return [
        Part(ax, "line", out * np.cos(up), out * np.sin(up), Pen("#ffffff", width=2.4)),
        Part(ax, "line", out * np.cos(up), out * np.sin(up), Pen(BLACK)),
        Part(ax, "text", 0.86 * OUTER_M * np.cos(tip), 0.86 * OUTER_M * np.sin(tip),
             Pen(BLACK, bold=True, size=1.2), tuple(f"{t:.0f}°" for t in takeoff_deg)),
        Part(ax, "line", high * 0 + [0, 0], high * [0, 1], Pen(GREY, width=0.4)),
        Part(ax, "dots", 0 * high, high, Pen(BLACK)),
        Part(ax, "text", 0 * high + 2.5, high, Pen(BLACK, align="left", size=0.9), ("wire",) * len(high)),
    ]  # fmt: skip
