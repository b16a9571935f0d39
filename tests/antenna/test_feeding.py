"""The line to the shack and the choke: by hand, by formulas written anew, and by what stands on the shelf."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

import antlab as al
from antlab.antenna.feeding import CHOKES, FeedLine, at_shack, choke_for, chokes_for, usual_line
from antlab.antenna.tape import Tape

RING, AIR = CHOKES


def band_of(curve_mhz, swr, *, wanted_mhz, f_mhz, sky=0.9, x_ohm=0.0):
    """What at_shack reads of a band whose SWR, but for x_ohm resistive, is given at some frequencies."""
    resistance = tuple(50.0 * one for one in swr)
    return SimpleNamespace(
        curve_mhz=curve_mhz, curve_ohm=(resistance, (x_ohm,) * len(swr)), wanted_mhz=wanted_mhz, f_mhz=f_mhz,
        shares={"sky": sky},
    )  # fmt: skip


def seen(swr, matched_db):
    """SWR at the shack and loss in dB of a line, by its matched loss: the textbook's two formulas."""
    rho, lost = (swr - 1) / (swr + 1), 10 ** (matched_db / 10)
    there = rho / lost
    return (1 + there) / (1 - there), 10 * np.log10((lost**2 - rho**2) / (lost * (1 - rho**2)))


def test_a_line_hides_the_swr_and_takes_its_part():
    """Of a wire of SWR 2 everywhere: at the resonance, and worst at the ends of the band."""
    band = band_of((14.0, 14.2, 14.4), (2, 2, 2), wanted_mhz=(14.0, 14.35), f_mhz=14.2)
    line = FeedLine(cable="RG-58", length_m=30)
    there = at_shack(band, line)
    matched = [float(al.cable.loss_db(cable="RG-58", length_m=30, f_mhz=f)) for f in (14.0, 14.2, 14.35)]
    (least, swr, _), (_, lost, most) = zip(*(seen(2, one) for one in matched), strict=True)
    assert least > swr
    assert there.swr == pytest.approx(swr, rel=2e-3) and there.loss_db == pytest.approx(lost, rel=2e-3)
    assert there.worst_swr == pytest.approx(least, rel=2e-3)
    assert there.worst_db == pytest.approx(most, rel=2e-3)
    assert there.sky_share == pytest.approx(0.9 * 10 ** (-lost / 10), rel=1e-3)


def test_reactance_counts():
    """50 ohms and 50 of reactance, of either sign: an SWR of 2.62, since the reflection is 1/sqrt(5)."""
    line = FeedLine(cable="RG-213", length_m=0.01)
    for x_ohm in (50.0, -50.0):
        there = at_shack(band_of((14, 15), (1, 1), wanted_mhz=(14, 15), f_mhz=14.5, x_ohm=x_ohm), line)
        assert there.swr == pytest.approx((5**0.5 + 1) / (5**0.5 - 1), rel=5e-3)


@pytest.mark.parametrize(
    ("wanted_mhz", "worst_at"),
    [((14.05, 14.1), 2), ((14.1, 14.3), 6), ((14.25, 14.35), 3.75), ((14.31, 14.39), 1.45)],
    ids=["a falling end", "a peak inside", "just beside the peak", "what lies outside counts not"],
)
def test_the_worst_is_that_of_the_part_wanted(wanted_mhz, worst_at):
    """Its ends between the points of the curve count, every point between them, and none beyond."""
    swr = {14.0: 3, 14.1: 1, 14.2: 6, 14.3: 1.5, 14.4: 1}
    line = FeedLine(cable="RG-213", length_m=0.01)  # as good as none
    there = at_shack(band_of(tuple(swr), tuple(swr.values()), wanted_mhz=wanted_mhz, f_mhz=14.1), line)
    assert there.worst_swr == pytest.approx(worst_at, rel=5e-3)
    assert there.swr == pytest.approx(1, abs=2e-3)


def test_a_line_has_a_cable_and_a_length():
    """A kilometre is the most, and who types centimetres is asked; none goes the wrong way."""
    assert FeedLine(cable="RG-58", length_m=1000).length_m == 1000
    assert FeedLine(cable="RG-58", length_m=20).told
    with pytest.raises(ValueError, match=r"1001 m is not reckoned with; was it to be 10.01 m\?"):
        FeedLine(cable="RG-58", length_m=1001)
    for wrong in (0, -3, float("nan")):
        with pytest.raises(ValueError, match="length of the feed line"):
            FeedLine(cable="RG-58", length_m=wrong)


@pytest.mark.parametrize(("top_m", "length_m"), [(9, 20), (10, 20), (10.1, 25), (3.5, 15), (30, 40)])
def test_the_usual_line_goes_down_and_on(top_m, length_m):
    """From the feed down and 10 m on, in whole fives of metres, never short of that."""
    line = usual_line(SimpleNamespace(top_m=top_m))
    assert (line.length_m, line.cable.name, line.told) == (length_m, "RG-58", False)


def plan_of(low_mhz, high_mhz):
    """What a choke is chosen by."""
    bands = (
        SimpleNamespace(edges_mhz=low_mhz, f_mhz=low_mhz[0], label="the low band"),
        SimpleNamespace(edges_mhz=high_mhz, f_mhz=high_mhz[0], label="the high band"),
    )
    return SimpleNamespace(low=bands[0], high=bands[1], bands=bands)


@pytest.mark.parametrize(
    ("low_mhz", "high_mhz", "serve"),
    [
        ((7.0, 7.3), (14.0, 14.35), (RING, AIR)),
        ((3.5, 4.0), (28.0, 29.7), (RING,)),
        ((6.9, 7.2), (14.0, 14.35), (RING,)),
        ((7.0, 7.3), (14.0, 14.36), (RING,)),
        ((1.8, 2.0), (3.5, 4.0), ()),
        ((7.0, 7.3), (28.0, 29.71), ()),
    ],
)
def test_a_choke_serves_from_edge_to_edge(low_mhz, high_mhz, serve):
    """Of the whole of both bands; where none does, the ring is the least bad."""
    plan = plan_of(low_mhz, high_mhz)
    assert chokes_for(plan) == serve and choke_for(plan) is RING


def test_how_a_choke_is_wound():
    """Its cable reaches round with 0.2 m at each end; the air coil's ohms are Wheeler's for its turns."""
    assert RING.cable_m == pytest.approx(1.3) and AIR.cable_m == pytest.approx(3.3)  # 8 x 0.361 + 0.4 = 3.288
    assert replace(AIR, turns=1, turn_mm=900.5).cable_m == pytest.approx(1.4), "1.3005 m is no less"
    across, long = (110 + 4.95) / 25.4, 8 * 4.95 / 25.4  # inches
    microhenries = across**2 * 8**2 / (18 * across + 40 * long)  # Wheeler 1928: within 1 % of such a coil
    assert float(AIR.reactance_ohm(10.0)) == pytest.approx(2 * np.pi * 10 * microhenries, rel=0.02)
    plan = plan_of((7.0, 7.3), (14.0, 14.35))
    assert RING.sentence(plan) == (
        "12 turns of RG-58 through a ring of the ferrite sold as mix 31, 61 mm (2.40 in) across: some kΩ, "
        "most of it resistance. Takes 1.3 m (4 ft 3 3/16 in) of cable."
    )
    said = AIR.sentence(plan, Tape(first="feet"))
    assert said.startswith(
        "8 turns of RG-58 side by side on a pipe, 4.33 in (110 mm) across: 400 Ω on the low"
    )
    assert "and 810 Ω on the high band, nearly all reactance" in said
