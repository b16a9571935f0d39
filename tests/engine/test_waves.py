"""The wave over the soil for every height at once, against the engine asked at each."""

import numpy as np
import pytest

import antlab as al
from antlab.engine.heights import half_wave_resistance
from antlab.engine.waves import ACROSS, HIGHEST, LOWEST, STEP_M, UP, wave_tables
from antlab.physics.lengths import rule_length_m

SOILS = ("average", "sea water", "very dry")


def wire(f_mhz, high, soil):
    """The dipole whose wave it is, so many steps up."""
    leg = rule_length_m(f_mhz) / 2
    return al.Dipole(inner_m=leg, shape=al.FlatTop(height_m=high * STEP_M), soil=soil)


@pytest.mark.parametrize("soil", SOILS)
@pytest.mark.parametrize("f_mhz", (7.15, 14.175))
def test_the_tables_hold_the_engine_s_field(f_mhz, soil):
    """What moves on the screen is Dipole.fields, within 2 % of the largest value shown, at three heights."""
    soil = al.soil(soil)
    tables, rng = wave_tables(f_mhz, soil), np.random.default_rng(7)
    for high in (LOWEST, 14, HIGHEST):
        # as far as Dipole.fields is checked: a wavelength and a half from the wire
        reach = int(1.5 * 300 / f_mhz / STEP_M)
        up, side = rng.integers(0, min(UP, reach), 60), rng.integers(0, min(ACROSS, reach), 60)
        root = np.hypot(side, up - high)
        up, side, root = (one[(root > 0) & (root < reach)] for one in (up, side, root))
        there = {"x_m": 0.0, "y_m": STEP_M * side, "z_m": np.maximum(STEP_M * up, 1e-3)}
        true = wire(f_mhz, high, soil).fields(f_mhz, **there)[0]
        shown = tables.amps[high] * (tables.direct[abs(up - high), side] + tables.echo[up + high, side])
        off = np.abs(np.abs(shown) - np.abs(true[0])) * np.sqrt(root)
        assert off.max() < 0.02 * (np.abs(true[0]) * np.sqrt(root)).max()
        assert np.abs(true[1:]).max() < 1e-6 * np.abs(true[0]).max(), "broadside there is no other component"


def test_a_mirror_sends_back_what_came():
    """Image theory: over a perfect mirror the echo is the direct wave of a wire as deep, upside down."""
    tables = wave_tables(14.175, al.PERFECT_GROUND)
    both = slice(LOWEST, UP)
    assert tables.echo[both] == pytest.approx(-tables.direct[both], rel=0.01, abs=2e-3)


def test_far_away_the_wave_falls_as_distance_grows():
    """A wave in the open: twice as far it has half the field, and its phase has run on by the distance."""
    direct = wave_tables(28.85, al.soil("average")).direct
    assert direct.shape == (107, 107)  # 79.5 m to the side and up
    near, far = direct[0, 50], direct[0, 100]
    assert abs(far / near) == pytest.approx(0.5, rel=0.01)
    turns = 50 * STEP_M * 28.85e6 / 299_792_458
    assert np.exp(2j * np.pi * turns) * far / near == pytest.approx(0.5, abs=0.02)


@pytest.mark.parametrize("soil", SOILS)
def test_feed_resistance_of_every_height(soil):
    """The current for a watt comes from the resistance, within half a per cent of the engine asked there."""
    soil, h = al.soil(soil), np.array([3.0, 5.7, 9.0, 13.4, 22.0, 30.0])
    for f_mhz in (7.15, 14.175, 28.85):
        true = [wire(f_mhz, one / STEP_M, soil).impedance(f_mhz).real for one in h]
        assert half_wave_resistance(h, f_mhz=f_mhz, soil=soil) == pytest.approx(true, rel=0.005)
    amps = wave_tables(14.175, soil).amps
    assert np.isnan(amps[:LOWEST]).all() and not np.isnan(amps[LOWEST:]).any()
    assert amps[20] == pytest.approx(wire(14.175, 20, soil).impedance(14.175).real ** -0.5, rel=0.0025)


def test_free_space_has_no_ground_to_run_over():
    """A student's soil may be none."""
    with pytest.raises(al.units.Slip, match="free space"):
        wave_tables(14.175, al.FREE_SPACE)
