"""faults.py: what is said just under each of its thresholds, and what just over."""

from dataclasses import replace

import numpy as np
import pytest
from tuned import AIMS, TRAP, curves, fit, size, tuned

import antlab as al
from antlab.antenna import faults


@pytest.mark.parametrize(
    ("loss_db", "said"),
    [
        ((2.49, 0.0), ""), ((0.0, 2.49), ""), ((2.5, 0.0), "if 2 dB or so"), ((0.0, 3.4), "if 3 dB or so"),
        ((6.4, 1.0), "if 6 dB or so"), ((6.5, 1.0), "if 6 dB or more"), ((1.0, 30.0), "if 6 dB or more"),
    ],
)  # fmt: skip
def test_loss_in_the_line(loss_db, said):
    """Under 2.5 dB a line is good; the worse band counts; beyond 6 dB nobody can tell how much it is."""
    words = faults.in_line(fit(loss_db=loss_db))
    assert said in words and bool(words) == bool(said)


@pytest.mark.parametrize(
    ("ends", "sizes", "told"),
    [
        ((10.0, 11.01), (0.1, 0.02, 0.149), True), ((10.0, 11.0), (0.1, 0.02, 0.1), False),
        ((10.0, 11.01), (0.02, 0.15, 0.02), False), ((10.0, 11.01), (0.151, 0.02, 0.02), False),
        ((10.0, 11.01), (0.02, 0.02, 0.151), False),
    ],
)  # fmt: skip
def test_a_dummy_load_is_no_antenna(ends, sizes, told):
    """Flat over more than a tenth, on both bands: who trims by it cuts a good antenna to pieces."""
    curve, dummy = (np.linspace(*ends, 3), np.array(sizes)), (np.linspace(10, 12, 3), np.full(3, 0.01))
    for both in ((curve, dummy), (dummy, curve)):
        assert bool(faults.in_dummy(both)) == told


@pytest.mark.parametrize(
    ("ohms", "said"),
    [
        ((0.0, 17.0), ""), ((0.0, 17.2), "17 ohms too many on the upper band"),
        ((25.0, 0.0), ""), ((25.2, 0.0), "25 ohms too many on the lower band"),
        ((18.0, 8.5), ""), ((18.0, 8.6), "18 ohms too many on the lower band"), ((17.0, 16.9), ""),
        ((24.0, 17.2), "24 ohms too many on both bands"),
        ((17.0, 30.0), "30 ohms too many on the upper band"),
        ((17.2, 30.0), "30 ohms too many on both bands"), ((-30.0, -30.0), ""),
    ],
)  # fmt: skip
def test_ohms_in_the_feed(ohms, said):
    """The lower band hears more of soil and height: it may have 25 ohms, unless the upper has some too."""
    words = faults.in_feed(fit(ohms=ohms))
    assert said in words and bool(words) == bool(said)


@pytest.mark.parametrize("height_m", [4, 14])
def test_no_dipole_is_taken_for_a_dummy_load(height_m):
    """The widest, 6 mm thick on 10 metres, reflects 0.4 within 5 % by the engine, and through 2 dB 0.25."""
    dipole = al.Dipole(inner_m=2.52, shape=al.FlatTop(height_m=height_m), wire_diameter_mm=6.0)
    f = np.linspace(27.1, 29.9, 41)
    seen = size(dipole.impedance(f))
    middle = f[np.argmin(seen)]
    assert 27.8 < middle < 29.2 and np.max(seen) > 0.4
    assert not faults.in_dummy([(f, seen * 10 ** (-2 * 2 / 20))])


F = np.linspace(7.0, 7.2, 21)
FLAT = np.full(21, 0.5)
DOWN = np.linspace(0.55, 0.49, 21)  # towards the upper end, by 0.06


def swept(*ends):
    return [al.Sweep(np.linspace(low, high, 9), np.full(9, 60)) for low, high in ends]


@pytest.mark.parametrize(
    ("curve", "expected_mhz", "ends", "said"),
    [
        (DOWN, None, [(7.0, 7.2)], "above what you measured, which ends at 7.2 MHz"),
        (DOWN[::-1], None, [(7.0, 7.2)], "below what you measured, which starts at 7 MHz"),
        # what falls by less tells nothing, as noise does the same
        (0.5 + (DOWN - 0.5) * 0.8, None, [(7.0, 7.2)], "below or above what you measured"),
        (0.5 + (DOWN[::-1] - 0.5) * 0.8, None, [(7.0, 7.2)], "below or above what you measured"),
        # a minimum within is in reach
        (0.5 - 0.1 * (np.arange(21) == 10), 7.1, [(7.0, 7.2)], ""),
        # another sweep shows what is there
        (DOWN, None, [(7.0, 7.2), (7.1, 7.3)], ""),
        (DOWN[::-1], None, [(7.0, 7.2), (6.9, 7.1)], ""),
        (DOWN, None, [(7.0, 7.2), (6.9, 7.1)], "above"),
        (DOWN[::-1], None, [(7.0, 7.2), (7.1, 7.3)], "below"),
        (FLAT, None, [(7.0, 7.2), (6.9, 7.1)], ""),
        (FLAT, None, [(7.0, 7.2), (7.1, 7.3)], ""),
        (DOWN[::-1], None, [(7.0, 7.2), (6.99, 7.15)], ""),
        (DOWN, None, [(7.0, 7.2), (7.1, 7.205)], ""),
        # where the curve says nothing the model is asked, half a percent within the ends
        (FLAT, 7.034, [(7.0, 7.2)], "below"),
        (FLAT, 7.036, [(7.0, 7.2)], ""),
        (FLAT, 7.163, [(7.0, 7.2)], ""),
        (FLAT, 7.165, [(7.0, 7.2)], "above"),
        (DOWN, 6.9, [(7.0, 7.2)], "above"),  # but what is measured counts first
        (DOWN[::-1], 7.3, [(7.0, 7.2)], "below"),
    ],
)
def test_where_to_sweep_on(curve, expected_mhz, ends, said):
    """Which way the curve falls, or else where the model has the minimum; and only where nobody looked."""
    words = faults.in_reach(F, curve, swept(*ends), expected_mhz=expected_mhz, aim_mhz=7.1)
    assert said in words and bool(words) == bool(said)
    if words:
        assert words.startswith("Around 7.1 MHz there is no minimum in reach: it lies ")


@pytest.mark.parametrize(("curve", "way"), [(DOWN, "above"), (DOWN[::-1], "below")])
def test_another_band_in_the_same_file_is_no_sweep_of_what_lies_between(curve, way):
    """A table of several bands that falls to its last row there has no minimum that anybody saw."""
    sweep = al.Sweep(np.concatenate([[3.5, 3.6], F, [13.9, 14.3]]), np.full(F.size + 4, 60))
    words = faults.in_reach(F, curve, (sweep,), expected_mhz=7.1, aim_mhz=7.1)
    assert f"it lies {way} what you measured" in words


@pytest.mark.parametrize(("top_mhz", "said"), [(7.69, True), (7.71, False)])
def test_a_wide_sweep_without_a_minimum_wants_no_wider_one(top_mhz, said):
    """A tenth is narrow; where more shows nothing, sweeping on is no advice."""
    f = np.linspace(7.0, top_mhz, 21)
    words = faults.in_reach(f, FLAT, swept((7.0, top_mhz)), expected_mhz=None, aim_mhz=7.1)
    assert bool(words) == said


GOOD = tuned()
UP_AND_DOWN = (-1.0) ** np.arange(41)


def broken(fault, wire=1.0, legs=2, loss_db=0.0):
    """What is measured of the right antenna, so much longer to the waves, with a trap shorted or open."""
    inner, outer = (one * wire for one in GOOD.sections)
    bad = replace(GOOD, traps=(), sections=(inner + outer if fault == "shorted" else inner,))
    whole, seen = replace(GOOD, sections=(inner, outer)), []
    for f, _ in curves(GOOD):
        z = bad.impedance(f)
        z = z if legs == 2 else (z + whole.impedance(f)) / 2
        seen.append((f, size(z) * 10 ** (-loss_db / 10)))
    return seen


@pytest.mark.parametrize("legs", [1, 2])
@pytest.mark.parametrize(("wire", "loss_db"), [(1.0, 0.0), (1.02, 1.0), (1.04, 2.0), (1.04, 0.0)])
@pytest.mark.parametrize("fault", ["shorted", "open"])
def test_a_broken_trap_is_told(fault, wire, loss_db, legs):
    """Shorted it leaves the whole wire, open the inner one; in one leg or both, bare or in a jacket.

    With as much noise as may be, so that there is none left for a model that is a little off.
    """
    seen = [(f, one + 0.0555 * UP_AND_DOWN) for f, one in broken(fault, wire, legs, loss_db)]
    said = faults.in_traps(fit(plan=GOOD), GOOD.sections, seen)
    assert f"a trap looks {fault}" in said


@pytest.mark.parametrize(("off", "misfit", "told"), [
    (0.054, 0.0, True), (0.058, 0.0, False), (0.098, 0.1, True), (0.102, 0.1, False),
])  # fmt: skip
def test_a_broken_trap_has_to_explain_the_curve(off, misfit, told):
    """Within 5.6 % of the reflection, or better than the healthy antenna does; else it is something else."""
    seen = [(f, one + off * UP_AND_DOWN) for f, one in broken("open")]
    said = faults.in_traps(fit(plan=GOOD, misfit=(misfit, misfit)), GOOD.sections, seen)
    assert bool(said) == told


def test_the_inner_wires_alone_hang_at_the_top():
    """Of a vee what is left beside the feed is taken as level, as high as the feed."""
    vee = tuned(shape=al.InvertedVee(apex_m=10, ends_m=7))
    assert faults._upper_part(vee, 4.9) == tuned(shape=al.FlatTop(height_m=10), sections=(4.9,), traps=())


@pytest.mark.parametrize(
    ("low_mhz", "high_mhz", "said"),
    [
        (7.1, 14.2, ""), (None, None, "no minimum on either band"),
        (8.4, None, "a trap looks shorted"), (8.08, None, "a trap looks shorted"),
        (8.06, None, "The lower band works"),  # 4 % from where the plain wire has it
        (8.73, None, "a trap looks shorted"), (8.74, None, "The lower band works"),
        (7.1, None, "The lower band works and the upper one shows nothing"),
        (None, 14.2, "Only the inner wire seems to work"),
        (6.33, 14.2, "6.33 MHz is too far"), (6.35, 14.2, ""), (7.94, 14.2, ""),
        (7.96, 14.2, "7.96 MHz is too far"),
        (7.1, 12.7, ""), (7.1, 12.6, "12.6 MHz is too far from the aim of 14.2"), (7.1, 15.9, ""),
        (7.1, 15.91, "15.91 MHz is too far"), (8.2, 14.2, "8.2 MHz is that of the whole wire"),
    ],
)  # fmt: skip
def test_what_two_minima_say(low_mhz, high_mhz, said):
    """By the minima alone: each fault by its name, and 12 % that an antenna may be off its aim."""
    words = faults.in_minima(low_mhz, high_mhz, aims_mhz=AIMS, plain_mhz=8.4)
    assert said in words and bool(words) == bool(said)


def test_a_plain_wire_that_is_right_is_no_fault():
    """Where the whole wire without traps is resonant within 4 % of the aim, a minimum there is the aim's."""
    for low_mhz, shorted in ((7.3, False), (7.37, False), (7.39, True)):
        words = faults.in_minima(low_mhz, None, aims_mhz=AIMS, plain_mhz=7.3)
        assert ("shorted, by water" in words) == shorted


def test_a_step_back_is_told_with_its_sign():
    """Both changes in centimetres, and which wire."""
    words = faults.reversal("outer_m", 0.25, -1.0)
    assert words.startswith("The outer wire was changed by +25.0 cm, and now -100.0 cm would be asked")


def test_near():
    """12 % up or down, neither end."""
    assert [faults.is_near(f, 10.0) for f in (8.92, 8.93, 11.19, 11.21)] == [False, True, True, False]
    assert TRAP.resonance_mhz == pytest.approx(14.2, rel=1e-3)
