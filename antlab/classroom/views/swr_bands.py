"""SWR of both bands of a trap dipole, as a wire or the height changes."""

from dataclasses import replace
from functools import lru_cache

import numpy as np

from antlab.classroom.drawing.parts import Handle, Scene
from antlab.classroom.drawing.two_bands import swr_curves
from antlab.classroom.views.knots import Between, passive
from antlab.classroom.views.player import Slider, view
from antlab.classroom.views.shared import EXAMPLE
from antlab.physics import circuit
from antlab.physics.bands import band


@lru_cache(maxsize=16)
def _engine_at(dipole, drag, f_mhz):
    """Impedance over the range of what is dragged, from a few values of it."""
    knots = 17 if drag == "height" else 9
    return Between(
        lambda value: _changed(dipole, drag, value).impedance(np.array(f_mhz)),
        _leg_or_height(dipole, drag), [knots],
    )  # fmt: skip


def _changed(dipole, drag, value):
    if drag != "height":
        return replace(dipole, **{"inner_m" if drag == "inner wire" else "outer_m": value})
    return replace(dipole, shape=dipole.shape.lifted(value - dipole.shape.top_m))


def _leg_or_height(dipole, drag, **_):
    if drag == "height":
        shape = dipole.shape
        lowest = 2.0 + shape.top_m - shape.ends_m
        return [
            Slider(
                "Height",
                "m",
                lowest,
                lowest + 18,
                181,
                min(max(shape.top_m, lowest), lowest + 18),
                shares=True,
            )
        ]
    length = dipole.inner_m if drag == "inner wire" else dipole.outer_m
    return [
        Slider(
            drag.capitalize() + ", each side",
            "m",
            0.92 * length,
            1.08 * length,
            161,
            length,
            digits=3,
            shares=True,
        )
    ]


@view(
    _leg_or_height,
    drag=("inner wire", "outer wire", "height"),
    dipole=(EXAMPLE,),
    low=("20m",),
    high=("10m",),
    work="trimming",
)
def swr_bands(fig, value, *, drag="outer wire", dipole=EXAMPLE, low="20m", high="10m"):
    """SWR of both bands.

    Of a trap dipole of your own, with its bands, or of the course's example.
    """
    sides = [band(low), band(high)]
    f = [one.frequencies(41) for one in sides]
    swr = circuit.swr(passive(_engine_at(dipole, drag, tuple(np.concatenate(f)))(value)))
    sweeps, names, lines = [], [], []
    for one, here, there in zip(sides, f, np.split(swr, 2, axis=1), strict=True):
        names.append(one.label)
        sweeps.append((here, there))
        lines.append(
            [
                f"{names[-1]}: lowest SWR {row.min():.1f} at {here[row.argmin()]:.2f} MHz, "
                f"2 or less over {100 * np.mean(row <= 2):.0f} % of the band"
                for row in there
            ]
        )
    alt = (
        f"SWR against frequency, {names[0]} and {names[1]}. A longer wire moves the dip down in frequency; "
        "the inner wire moves both bands, the outer one hardly touches the upper band."
    )
    parts = swr_curves(fig, sweeps, names)
    # A wire is taken hold of by the dip that it moves: the outer one by the lower band's, the inner one by
    # the upper band's. How high it hangs is nowhere in this picture.
    held, (f_mhz, swr) = fig.axes[drag == "inner wire"], sweeps[drag == "inner wire"]
    dip = Handle("value", held, f_mhz[swr.argmin(axis=1)], np.minimum(swr.min(axis=1), 4.8))
    said = ["\n".join(both) for both in zip(*lines, strict=True)]
    return Scene(parts, said, alt, handles=[] if drag == "height" else [dip])
