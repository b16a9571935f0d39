"""A coil and a capacitor pick one frequency: impedance by the formulas and by the rules."""

from dataclasses import replace

import matplotlib as mpl
import numpy as np

from antlab.classroom.drawing.axes import KILOHMS, plot_axes
from antlab.classroom.drawing.looks import GREY
from antlab.classroom.drawing.parts import FIRST, SECOND, THIRD, Part, Pen, Scene, column, words
from antlab.classroom.views.player import Slider, view
from antlab.physics import circuit


@view(
    Slider("Coil", "µH", 0.5, 8, 9, 4, log=True),
    Slider("Capacitor", "pF", 25, 400, 33, 100, log=True, digits=0),
    Slider("Coil's Q", "", 25, 400, 5, 200, log=True, digits=0),
    work="winding",
)
def tuned_circuit(fig, inductance_uh, capacitance_pf, q):
    """A coil and a capacitor pick one frequency."""
    parts = {"inductance_uh": inductance_uh, "capacitance_pf": capacitance_pf}
    f0 = circuit.resonance_mhz(**parts)
    x0 = circuit.coil_reactance_ohm(f_mhz=f0, inductance_uh=inductance_uh)
    # bandwidth_mhz by its rule, also where it fails: the words say so, and the curve by how much
    width = f0 / q
    # Points crowd at the peak: evenly spaced within it, and far away evenly on the logarithmic axis.
    steep = np.sinh(np.linspace(-1, 1, 61) * np.arcsinh(40 * q)[:, None]) / q[:, None]
    f = np.clip(f0[:, None] * (steep / 2 + np.sqrt(steep**2 / 4 + 1)), 0.9, 70)
    z = np.abs(
        circuit.parallel_impedance(f_mhz=f, q=q[:, None], **{name: v[:, None] for name, v in parts.items()})
    )
    says = [
        f"{'Resonance' if c >= 10 else 'By the rules: resonance'} {a:.2f} MHz, where coil and capacitor have "
        f"{b:.0f} Ω each\nImpedance there {b * c / 1e3:.1f} kΩ, half-power width {d * 1e3:.0f} kHz"
        for a, b, c, d in zip(f0, x0, q, width, strict=True)
    ]
    alt = (
        "Impedance against frequency, both logarithmic. The coil's reactance rises, the capacitor's falls; "
        "where they cross, the impedance of the pair rises to a peak Q times as high. Two dots mark half "
        "power by the rule."
    )
    return Scene(_picture(fig, f, z, f0, x0, q), says, alt)


def _picture(fig, f_mhz, impedance_ohm, resonance_mhz, reactance_ohm, q):
    """Impedance of a coil with a capacitor across it, and the reactance of each, on logarithmic axes.

    f_mhz, impedance_ohm: (rows, points). resonance_mhz, reactance_ohm (of either part there), q: (rows,).
    Returns the parts.
    """
    x, y = np.array([1.0, 60.0]), np.array([5.0, 2e5])
    ax = plot_axes(
        fig, x=x, y=y, xlabel="frequency, MHz", ylabel="impedance, Ω", xscale="log", yscale="log",
        xticks=[1, 2, 5, 10, 20, 50], xticklabels=["1", "2", "5", "10", "20", "50"],
        **KILOHMS,
    )  # fmt: skip
    ax.minorticks_off()
    f0, x0, peak = column(resonance_mhz), column(reactance_ohm), column(reactance_ohm * q)
    half = f0 * (1 + np.array([-0.5, 0.5]) / column(q))
    said = [f"{'' if one >= 10 else 'rule: '}{f:.2f} MHz" for f, one in zip(resonance_mhz, q, strict=True)]
    em = mpl.rcParams["font.size"] / 72 * fig.dpi * np.log10(x[1] / x[0]) / ax.bbox.width
    last = column(x[1] / 10 ** (em * (0.34 * np.array([len(text) for text in said]) - 1)))  # within the edge
    above = np.minimum(x0 * np.maximum(1.7 * column(q), 9), 0.8 * y[1])  # the peak, and the lines' names
    return [
        Part(ax, "line", x, x0 * x / f0, replace(SECOND, width=0.7)),
        Part(ax, "line", x, x0 * f0 / x, replace(THIRD, width=0.7)),
        *words(ax, 30 + 0 * f0, x0 * 30 / f0, "coil", SECOND),
        *words(ax, 2 + 0 * f0, x0 * f0 / 2, "capacitor", THIRD),
        Part(ax, "line", f0 + [0, 0], peak ** [0, 1] * y[0] ** np.array([1, 0]), Pen(GREY, width=0.5)),
        Part(ax, "line", f_mhz, impedance_ohm, FIRST),
        Part(ax, "dots", half, peak / np.sqrt(2) + 0 * half, FIRST),
        Part(ax, "text", np.minimum(f0, last), above, replace(FIRST, bold=True), tuple(said)),
    ]
