"""The picture of the choke: as many turns as are told to wind, all of them through the ring."""

import numpy as np
from matplotlib import pyplot as plt
from matplotlib.patches import Wedge

from antlab.antenna.feeding import CHOKES
from antlab.classroom.choke import choke
from antlab.classroom.figures import FIGURES
from antlab.physics import cable


def test_the_choke_is_drawn_true():
    """Each turn crosses the ring in front, from outside into the hole; cable and ring are to one scale."""
    figure, (ax,) = choke()
    (ring,) = (one for one in ax.patches if isinstance(one, Wedge))
    hole = ring.r - ring.width
    told = CHOKES[0]
    over = [one for one in ax.lines if one.get_zorder() > ring.get_zorder()]
    far = [np.hypot(*one.get_xydata().T) for one in over]
    crossing = [one for one in far if one[0] > ring.r and one[1] < hole]
    assert len(crossing) == told.turns and "twelve" in FIGURES["choke"].alt
    assert f"{told.turns:.0f} turns" in " ".join(text.get_text() for text in ax.texts)
    across_pt = 2 * ring.r * ax.bbox.width / np.ptp(ax.get_xlim()) * 72 / figure.dpi
    wide = over[0].get_linewidth() / across_pt
    assert np.isclose(wide, cable.cable(told.cable).outer_mm / told.across_mm, rtol=0.01)
    plt.close(figure)
