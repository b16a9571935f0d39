"""The picture of the third wire: its numbers are currents that can be."""

import re

import pytest
from matplotlib import pyplot as plt

from antlab.classroom.third_wire import STRAY_A, third_wire


def test_currents_add_up():
    """What the braid's leg brings and what comes up outside go down inside; inside, both ways are alike."""
    figure, axes = third_wire()
    for ax, stray_a in zip(axes, STRAY_A.values(), strict=True):
        said = [text.get_text().replace("\n", " ") for text in ax.texts]
        amps = {words: float(found[1]) for words in said if (found := re.search(r"([\d.]+) A$", words))}
        centre, inside = (next(amps[one] for one in amps if one.startswith(w)) for w in ("centre", "inside"))
        outside = next((amps[one] for one in amps if one.startswith("outside")), 0.0)
        legs = [float(words.removesuffix(" A")) for words in said if re.fullmatch(r"[\d.]+ A", words)]
        assert legs == [pytest.approx(inside - outside), centre] and centre == inside
        assert outside == stray_a
    assert max(STRAY_A.values()) > 0 == min(STRAY_A.values())
    plt.close(figure)
