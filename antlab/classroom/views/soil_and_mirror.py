"""The mirror in the ground: a wave, its echo, and what they make together."""

from dataclasses import replace

import numpy as np

from antlab.classroom.drawing.axes import legend, two_axes
from antlab.classroom.drawing.looks import BLACK, EARTH, GREY, stroke
from antlab.classroom.drawing.parts import FIRST, SECOND, THIRD, Part, Pen, Scene, column
from antlab.classroom.views.player import Slider, view
from antlab.classroom.views.shared import GROUNDS
from antlab.physics.bands import BANDS, band
from antlab.physics.bands import soil as named_soil
from antlab.physics.ground import reflection_horizontal
from antlab.units import decibels, wavelength_m


@view(
    Slider("Elevation", "°", 2, 90, 45, 30, digits=0),
    Slider("Height", "m", 2, 30, 29, 10),
    band_name=BANDS,
    soil=GROUNDS,
    work="transmitting",
)
def soil_and_mirror(fig, elevation_deg, height_m, *, band_name="40m", soil="average"):
    """The mirror in the ground.

    A level wire broadside: the direct wave, the one that the ground sends after it, and their sum far away.
    """
    f, soil = band(band_name).middle_mhz, named_soil(soil)
    lag = 4 * np.pi / wavelength_m(f) * height_m * np.sin(np.radians(elevation_deg))
    echo = reflection_horizontal(elevation_deg=elevation_deg, f_mhz=f, soil=soil) * np.exp(-1j * lag)
    total = np.abs(1 + echo)
    says = [
        f"Echo {abs(e):.2f} of the direct wave, {-np.degrees(np.angle(e)) % 360:.0f}° late\n"
        f"Together {t:.2f} times direct ({2 * decibels(t):+.1f} dB)".replace("-", "−")
        for e, t in zip(echo, np.maximum(total, 1e-3), strict=True)
    ]
    alt = (
        f"Left: a wire over {soil.name or 'your own soil'} and its image below; a direct ray and one by "
        "way of the ground leave side by side. Right: the direct wave (dashed), its echo (dotted), their sum "
        "(solid)."
    )
    return Scene(_picture(fig, height_m, elevation_deg, echo), says, alt)


def _picture(fig, height_m, elevation_deg, echo):
    """A wire and its image seen from the end, two rays of one elevation, and the waves they bring far away.

    height_m, elevation_deg: (rows,). echo: the reflected wave as a share of the direct one, complex, (rows,).
    Returns the parts.
    """
    rays, waves = two_axes(
        fig,
        {"x": (-16, 64), "y": (-40, 46), "xlabel": "along the ground, m", "ylabel": "height, m"},
        {"x": (0, 2), "y": (-2.1, 2.1), "xlabel": "turns of the wave", "ylabel": "strength"},
        share=0.55,
    )
    rays.set_xlim(-16, 86 * rays.bbox.width / rays.bbox.height - 16)  # angles as they are
    direct, echoed, both = replace(SECOND, width=0.8), replace(THIRD, width=0.8), FIRST
    legend(waves, direct=direct, echo=echoed, total=both)
    rays.axhspan(-40, 0, color=EARTH, zorder=0)
    rays.axhline(0, color=BLACK)
    waves.axhline(0, color=GREY, linewidth=stroke(0.4))
    h, angle = column(height_m), np.radians(column(elevation_deg))
    slope, zero, edge = np.tan(angle), np.zeros_like(h), 1.1 * rays.get_xlim()[1]
    # Rays end just outside the frame: a player's coordinates go no farther than some frames.
    out, rise = 1.1 * np.hypot(edge, 86) * np.cos(angle), 1.1 * np.hypot(edge, 86) * np.sin(angle)
    touch = np.minimum(h / slope, edge)
    low = np.where(touch < edge, 0, h - edge * slope)  # where the frame cuts a ray before it bounces
    back = np.where(touch < edge, rise, low)
    turn = np.linspace(0, 2, 65)
    spin = np.exp(2j * np.pi * turn)
    gone = np.where(touch < edge, touch + out, touch)
    bounced = (np.hstack([zero, touch, gone]), np.hstack([h, low, back]))
    return [
        Part(rays, "line", np.hstack([zero, out]), np.hstack([h, h + rise]), SECOND),
        Part(rays, "line", *bounced, THIRD),
        Part(rays, "line", np.hstack([zero, touch]), np.hstack([-h, -low]), replace(THIRD, width=0.5)),
        Part(rays, "dots", zero, h, Pen(BLACK)),
        Part(rays, "dots", zero, -h, Pen(GREY)),
        Part(rays, "text", zero - 2, h + 8, Pen(BLACK), ("wire",) * len(h)),
        Part(rays, "text", zero + 4, -h - 8, Pen(GREY, align="left"), ("image",) * len(h)),
        Part(waves, "line", turn, np.broadcast_to(spin.imag, (len(h), len(turn))), direct),
        Part(waves, "line", turn, (echo[:, None] * spin).imag, echoed),
        Part(waves, "line", turn, ((1 + echo[:, None]) * spin).imag, both),
    ]
