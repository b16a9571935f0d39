"""The club's trap joined in both ways, as bars for a slide: its coil, and what its cable has to stand."""

from dataclasses import replace

from antlab.antenna.design import design
from antlab.antenna.safety import MOST_W, check_trap_volts
from antlab.classroom.drawing.axes import label, plot_axes
from antlab.classroom.drawing.looks import BLACK, BLUE, GREY, ORANGE, still_figure, stroke
from antlab.classroom.fieldday import AIMS, SHAPE, TRAP

HOOKUPS = {"series": ("in series", BLUE), "braid": ("across the braid", ORANGE)}


def inductances():
    """The coil that each hookup makes. Returns fig and its axes."""
    coils = {name: replace(TRAP, hookup=name).trap.inductance_uh for name in HOOKUPS}
    return _bars(coils, "coil, µH", "{:.2f} µH", most=3.4)


def cable_volts():
    """Peak volts between centre and braid with the most power there is, and the most that the cable stands.

    Returns fig and its axes.
    """
    found, most_w = {}, MOST_W["any"]
    for name in HOOKUPS:
        made = design(trap=replace(TRAP, hookup=name), power_w=most_w, shape=SHAPE, **AIMS)
        found[name] = check_trap_volts(made.wound, volts_peak=made.stress(made.high).volts_peak)
    peaks = {name: one.volts_peak for name, one in found.items()}
    fig, (ax,) = _bars(peaks, f"peak volts in the cable, {most_w:g} W", "{:.0f} V", most=3600)
    limit = found["braid"].allowed_peak
    ax.axvline(limit, color=BLACK, linestyle=(0, (3, 2)), linewidth=stroke(1))
    label(ax, limit, 1.7, f"  the cable stands {limit:.0f} V", ha="left", va="center")
    return fig, [ax]


def _bars(values, xlabel, told, most):
    with still_figure(9.4, 3.6) as fig:
        ax = plot_axes(fig, x=(0, most), y=(-0.6, 2.1), xlabel=xlabel, margins_em=(9.5, 1.2, 0.6, 3.4))
        ax.set_yticks([])
        ax.grid(False)
        for row, (name, value) in enumerate(values.items()):
            words, ink = HOOKUPS[name]
            ax.barh(1 - row, value, height=0.6, color=ink, edgecolor=GREY)
            ax.annotate(words, (0, 1 - row), (-6, 0), textcoords="offset points", ha="right", va="center")
            ax.annotate(
                told.format(value), (value, 1 - row), (8, 0), textcoords="offset points", va="center",
                fontweight="bold",
            )  # fmt: skip
    return fig, [ax]
