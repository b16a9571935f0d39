"""One hop by the sky: where a ray lands."""

from dataclasses import replace

import numpy as np

from antlab.classroom.drawing.axes import label, plot_axes
from antlab.classroom.drawing.looks import BLACK, EARTH, GREY, small, stroke
from antlab.classroom.drawing.parts import FIRST, THIRD, Part, Pen, Scene, column, words
from antlab.classroom.views.player import Slider, view
from antlab.physics import sky
from antlab.units import MILE_KM


@view(
    Slider("Takeoff angle", "°", 0, 90, 91, 20, digits=0),
    Slider("Layer height", "km", 250, 400, 16, 300, digits=0),
    size=((9.0, 2.6), (3.9, 1.5)),
    hour=tuple(sky.HOURS),
)
def hop(fig, elevation_deg, layer_km, *, hour="noon"):
    """One hop by the sky."""
    distance = sky.hop_km(elevation_deg, layer_km)
    factor = sky.secant_factor(elevation_deg, layer_km)
    critical = sky.at(hour).critical_mhz
    says = [
        f"Lands {a:.0f} km ({a / MILE_KM:.0f} miles) away\n"
        f"Comes back up to {b:.1f} times the critical frequency: {hour}, {b * critical:.1f} MHz"
        for a, b in zip(distance, factor, strict=True)
    ]
    alt = (
        "The round earth from the side: a ray leaves at the takeoff angle, the layer turns it, and it lands."
    )
    return Scene(_picture(fig, elevation_deg, layer_km, distance, sky.EARTH_KM), says, alt)


def _picture(fig, elevation_deg, layer_km, distance_km, earth_km):
    """The round earth from the side, true to scale, and one ray's way to the layer and back.

    elevation_deg, layer_km, distance_km: (rows,). earth_km: the radius. Returns the parts.
    """
    tilt = np.radians(19)  # the middle of the picture, seen from the antenna

    def place(along_km, high_km):
        angle = along_km / earth_km - tilt
        return (earth_km + high_km) * np.sin(angle), (earth_km + high_km) * np.cos(angle) - earth_km

    ax = plot_axes(fig, x=(-2300, 2300), y=(-600, 640), margins_em=(0.3, 0.3, 0.3, 0.3), aspect="equal")
    ax.set_axis_off()
    along = np.linspace(-300, 4500, 200)
    ground = place(along, 0)
    ax.fill_between(*ground, -600, color=EARTH, zorder=0)
    ax.plot(*ground, color=BLACK)
    for km in range(1000, 4001, 1000):
        ax.plot(*place(np.array([km, km]), np.array([0, -40])), color=BLACK, linewidth=stroke(0.4))
        lean = {"rotation": np.degrees(tilt - km / earth_km), "rotation_mode": "anchor"}  # as the ground does
        label(ax, *place(km, -75), f"{km} km", ha="center", va="top", fontsize=small(), **lean)
    top, far = column(layer_km), column(distance_km)
    here, there = place(0 * far, 0), place(far, 0)
    apex = place(far / 2, top)
    ray = [np.concatenate([a, b, c], axis=1) for a, b, c in zip(here, apex, there, strict=True)]
    sky_line = place(along[::4], top)
    level = [here[0] + np.array([0, 700]) * np.cos(tilt), here[1] + np.array([0, 700]) * np.sin(tilt)]
    ends = [np.concatenate(pair, axis=1) for pair in zip(here, there, strict=True)]
    return [
        Part(ax, "line", *sky_line, replace(THIRD, width=0.8)),
        *words(ax, *place(0 * far + tilt * earth_km, top + 130), "reflecting layer", THIRD),
        Part(ax, "line", *level, Pen(GREY, width=0.5)),
        Part(ax, "line", *ray, FIRST),
        Part(ax, "dots", *ends, Pen(BLACK)),
        Part(ax, "text", here[0], here[1] - 160, replace(FIRST, bold=True),
             tuple(f"{e:.0f}°" for e in elevation_deg)),
    ]  # fmt: skip
