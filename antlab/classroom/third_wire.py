"""The three currents of a coaxial cable, on paper: two inside that cancel, one outside that a choke stops."""

from antlab.classroom.drawing.axes import label, plot_axes
from antlab.classroom.drawing.looks import BLACK, EARTH, GREY, still_figure, stroke
from antlab.classroom.drawing.parts import FIRST, SECOND, THIRD, Pen

FED_A = 1.0  # up the centre, at one moment; as much comes down inside the braid
# Up outside, for example: what the braid's leg does not bring to the inside, by Kirchhoff's law.
STRAY_A = {"without a choke": 0.3, "with a choke at the feed point": 0.0}
BRAID, LEG, END = 0.8, 1.1, -4.2  # half the cable's width, the dipole's height over it, and its lower end


def third_wire():
    """A dipole on the end of its cable, cut open, an arrow for each current. Returns fig and the axes."""
    with still_figure(9.4, 4.9) as fig:
        axes = [
            plot_axes(fig, x=(-3.2, 3.2), y=(-4.9, 2.6), span=span, margins_em=(0.3, 0.3, 0.3, 0.3))
            for span in ((0, 0.5), (0.5, 1))
        ]
        for ax, (title, stray_a) in zip(axes, STRAY_A.items(), strict=True):
            _currents(ax, title, stray_a)
    return fig, axes


def _currents(ax, title, stray_a):
    ax.set_axis_off()
    ax.text(-3.1, 2.55, title, va="top", fontweight="bold")
    metal = {"color": BLACK, "linewidth": stroke(0.7)}
    ax.fill_between([-BRAID, BRAID], END, 0, color=EARTH, linewidth=0)  # insulation
    ax.plot([0, 0, 3.1], [END, LEG, LEG], **metal)
    ax.plot([-3.1, -BRAID, -BRAID], [LEG, LEG, 0], **metal)
    for side in (-BRAID, BRAID):
        ax.plot([side, side], [END, 0], color=GREY, linewidth=stroke(2), solid_capstyle="butt")
    black, above = Pen(BLACK), LEG + 0.35
    for x, amps in ((-1.95, FED_A - stray_a), (1.95, FED_A)):
        _arrow(ax, (x - 0.6, above), (x + 0.6, above), black, amps)
        ax.text(x, above + 0.15, f"{amps:g} A", ha="center", va="bottom")
    _arrow(ax, (0, -3.6), (0, -1.3), FIRST, FED_A)
    for side in (-1, 1):
        _arrow(ax, (0.42 * side, -1.9), (0.42 * side, -3.8), SECOND, FED_A)
        if stray_a:
            _arrow(ax, (1.12 * side, -3.3), (1.12 * side, -1.9), THIRD, stray_a)
        else:
            ax.fill_between([0.95 * side, 1.6 * side], -1.1, -0.3, color=GREY, linewidth=0)
    if not stray_a:
        label(ax, 1.75, -0.7, "choke", va="center")
    for y, words, pen, x in (
        (-1.55, f"centre\n{FED_A:g} A", FIRST, 0),
        (-3.65, f"inside of\nthe braid\n{FED_A:g} A", SECOND, -0.42),
    ):
        label(ax, -3.1, y, words, pen, va="center")
        ax.plot([-1.6, x], [y, y], color=pen.color, linewidth=stroke(0.35))
    amps = f"{stray_a:g} A" if stray_a else "hardly any"
    label(ax, 1.4, -2.6, f"outside of\nthe braid\n{amps}", THIRD, va="center")
    label(ax, 0, END - 0.1, "to the shack", ha="center", va="top")


def _arrow(ax, start, stop, pen, amps):
    """A current: the shaft in the pen's dashes, as thick as it is strong."""
    (x, y), (to_x, to_y) = start, stop
    dashes = (0, pen.dashes) if pen.dashes else "-"
    ax.plot([x, to_x], [y, to_y], color=pen.color, linestyle=dashes, linewidth=stroke(0.4 + amps))
    head = ">" if to_x > x else "^" if to_y > y else "v"
    ax.plot(to_x, to_y, head, color=pen.color, markersize=stroke(2.6 + 1.6 * amps), markeredgewidth=0)
