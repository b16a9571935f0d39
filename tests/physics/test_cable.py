"""cable.py: data agree with data sheets, lines agree with a circuit library and with the loss tables."""

from dataclasses import replace

import numpy as np
import pytest
import skrf
from hypothesis import given, settings
from hypothesis import strategies as st
from reference import read_table
from tables import grid

from antlab.physics import cable as room
from antlab.physics.cable import CABLES, Cable, cable
from antlab.physics.circuit import reflection_of_swr, swr

LOW_LOSS = ("50 Ω, 6 mm, low loss", "50 Ω, 10 mm, low loss")
WITHIN = {"RG-8X": 0.08, "RG-59": 0.07, **dict.fromkeys(("RG-316", *LOW_LOSS), 0.04)}


def test_losses_against_data_sheets():
    """Every row of the published sheets, dB per 100 ft, as closely as each cable's source says."""
    for row in read_table("coax_attenuation"):
        ours = room.loss_db(cable=row["cable"], length_m=30.48, f_mhz=row["f_mhz"])
        within = WITHIN.get(row["cable"], 0.03)
        # a sheet with one decimal cannot hold us closer than half of it
        assert ours == pytest.approx(row["db_per_100ft"], rel=within, abs=0.03), row


@pytest.mark.parametrize(
    ("name", "pf_per_foot"),
    [
        ("RG-58", 30.8), ("RG-213", 30.8), ("RG-8", 29.5), ("RG-8X", 24.8), ("RG-59", 20.5),
        ("RG-6", 16.2), ("RG-174", 30.8), ("RG-316", 29.4), (LOW_LOSS[1], 23.9), ("RG-11", 17.3),
        ("RG-223", 31),
    ],
)  # fmt: skip
def test_capacitance_against_data_sheets(name, pf_per_foot):
    """pF/ft of data sheets, (M) and (S2); RG-11: UFGS 16794A (S); RG-223: P. Harden (S2); 1/(c·Z0·VF)."""
    assert cable(name).capacitance_pf_per_m * 0.3048 == pytest.approx(pf_per_foot, rel=0.022)


def test_velocity_impedance_and_the_two_parts_of_a_line():
    """√(L/C) is the impedance and 1/√(LC) the velocity, for every cable."""
    for line in CABLES.values():
        c, inductance = line.capacitance_pf_per_m * 1e-12, line.inductance_uh_per_m * 1e-6
        assert np.sqrt(inductance / c) == pytest.approx(line.z0_ohm)
        assert 1 / np.sqrt(inductance * c) / 299792458 == pytest.approx(line.velocity_factor)
        assert line.source


def lossy(matched_db, **changes):
    """A cable that loses so many dB in 100 m at 10 MHz."""
    return replace(cable("RG-213"), loss_k1_db=matched_db / np.sqrt(10), loss_k2_db=0.0, **changes)


def test_total_loss_table():
    """Loss by matched loss and SWR (handbook formula, computed), to the table's digits."""
    matched, swrs, total = grid("line_total_loss")
    for i, db in enumerate(matched):
        ours = room.total_loss_db(50 * swrs, cable=lossy(db), length_m=100, f_mhz=10)
        np.testing.assert_allclose(ours, total[i], atol=6e-4)


def test_swr_in_the_shack_table():
    """SWR at both ends by matched loss and load SWR (computed), to the table's digits, and back again."""
    matched, swrs, shown = grid("line_input_swr")
    for i, db in enumerate(matched):
        line = {"cable": lossy(db), "f_mhz": 10}
        ours = room.swr_along_line(50 * swrs, distance_m=[[0], [100]], **line)
        np.testing.assert_allclose(ours, [swrs, shown[i]], atol=6e-4)
        np.testing.assert_allclose(room.antenna_swr(ours[1], length_m=100, **line), swrs, rtol=1e-9)


@settings(max_examples=25, deadline=None)
@given(
    r=st.floats(1, 500),
    x=st.floats(-500, 500),
    name=st.sampled_from(sorted(CABLES)),
    length_m=st.floats(0.1, 60),
    f_mhz=st.floats(10, 30),
)
def test_line_against_a_circuit_library(r, x, name, length_m, f_mhz):
    """scikit-rf's line of the same Z0 and propagation constant; its power in and out gives the total loss."""
    line, load = cable(name), complex(r, x)
    loss = room.loss_db(cable=name, length_m=1, f_mhz=f_mhz) * np.log(10) / 20
    gamma = loss + 2j * np.pi * f_mhz * 1e6 / (299792458 * line.velocity_factor)
    frequency = skrf.Frequency.from_f([f_mhz], unit="MHz")
    media = skrf.media.DefinedGammaZ0(frequency, gamma=gamma, z0=line.z0_ohm)
    two_port = media.line(length_m, "m")
    reflection = skrf.tlineFunctions.zl_2_Gamma0(line.z0_ohm, load)
    theirs = (two_port ** media.load(reflection)).z[0, 0, 0]
    ours = room.line_impedance(load, cable=name, length_m=length_m, f_mhz=f_mhz)
    assert ours == pytest.approx(theirs, rel=1e-6)
    gain = abs(two_port.s[0, 1, 0]) ** 2 * (1 - abs(reflection) ** 2)
    power_in = 1 - abs((two_port ** media.load(reflection)).s[0, 0, 0]) ** 2
    total = room.total_loss_db(load, cable=name, length_m=length_m, f_mhz=f_mhz)
    assert total == pytest.approx(10 * np.log10(power_in / gain), abs=1e-6)
    back = room.impedance_at_antenna(ours, cable=name, length_m=length_m, f_mhz=f_mhz)
    assert back == pytest.approx(load, rel=1e-5)


def test_lines_of_no_half_and_quarter_wavelength():
    """Without loss: half a wavelength repeats the load, a quarter turns it into Z0²/Z, none leaves it."""
    line = lossy(0)
    half = 0.66 * 299.792458 / 10 / 2
    z = room.line_impedance(120 - 30j, cable=line, length_m=[0, half / 2, half], f_mhz=10)
    np.testing.assert_allclose(z, [120 - 30j, 2500 / (120 - 30j), 120 - 30j], rtol=1e-9)
    assert room.line_impedance(0, cable=line, length_m=half / 4, f_mhz=10) == pytest.approx(50j)
    assert room.line_impedance(np.inf, cable=line, length_m=half / 4, f_mhz=10) == pytest.approx(-50j)


def test_open_and_shorted_ends():
    """A load that takes no power loses everything; an end at no distance stays open."""
    line = {"cable": "RG-58", "f_mhz": 7.1}
    assert room.total_loss_db(0, length_m=20, **line) == np.inf
    assert room.total_loss_db(25j, length_m=0, **line) == np.inf
    assert np.isinf(room.line_impedance(np.inf, length_m=0, **line))
    assert room.swr_along_line(0, distance_m=0, **line) == np.inf
    assert room.swr_along_line(0, distance_m=100, **line) < 3


def test_any_load_looks_good_through_six_decibels():
    """Known identity (computed): with 6 dB of line no load shows an SWR above 1.671."""
    loads = np.array([0, 5, 50j, 2000, 300 - 800j])
    assert np.max(room.swr_along_line(loads, cable=lossy(6), distance_m=100, f_mhz=10)) < 1.672


def test_names_as_people_write_them():
    """One cable, however it is spelt; a Cable passes through."""
    assert cable("rg58") is cable("RG 58") is cable("RG-58/U") is CABLES["RG-58"]
    for name in (LOW_LOSS[1], "50 ohm 10mm low-loss", "50 Ohms, 10 MM, Low Loss", "10 mm low loss"):
        assert cable(name) is CABLES[LOW_LOSS[1]]
    assert len({cable(name).name for name in ("6 mm low loss", "10 mm low loss", "10 mm semi-air")}) == 3


def test_a_name_that_describes_reads_in_a_sentence():
    """A type number stands by itself; a name with commas goes in brackets, in homework as on the sheet."""
    assert cable("RG-58").called == "RG-58"
    assert cable("10 mm low loss").called == "cable (50 Ω, 10 mm, low loss)"
    assert cable(CABLES["RG-8X"]) is CABLES["RG-8X"]


@pytest.mark.parametrize("name", ["RG-999", "", "wet string", None])
def test_unknown_cable(name):
    """The message lists the cables that are known."""
    with pytest.raises(ValueError, match=r"RG-58; RG-223; .*; 50 Ω, 10 mm, semi-air.*\. .* give its data"):
        cable(name)


def test_impossible_measurements():
    """A reflection that the cable could not have passed is refused, or left out with a warning."""
    line = {"cable": "RG-58", "length_m": 30, "f_mhz": 14.1}
    with pytest.raises(ValueError, match="reflect more than it gets"):
        room.impedance_at_antenna(0.1, **line)
    with pytest.warns(UserWarning, match="1 of 2 points"):
        z = room.impedance_at_antenna([0.1, 45 + 3j], **line)
    assert np.isnan(z[0]) and np.isfinite(z[1])
    with pytest.raises(ValueError, match="no antenna shows so high"):
        room.antenna_swr(50, **line)


def test_very_lossy_line_is_warned_about():
    """Where loss is more than a tenth of the phase the plain Z0 is wrong, and it says so."""
    with pytest.warns(UserWarning, match="RG-174 loses so much"):
        room.line_impedance(100, cable="RG-174", length_m=10, f_mhz=1.9)


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (lambda: room.loss_db(cable="RG-58", length_m=-1, f_mhz=7), "length_m"),
        (lambda: room.loss_db(cable="RG-58", length_m=1, f_mhz=7e6), "hertz"),
        (lambda: room.line_impedance(-5, cable="RG-58", length_m=1, f_mhz=7), "resistance of zero or more"),
        (lambda: room.antenna_swr(0.5, cable="RG-58", length_m=1, f_mhz=7), "swr is 1"),
        (lambda: replace(CABLES["RG-58"], velocity_factor=66), "like 0.66"),
        (lambda: replace(CABLES["RG-58"], z0_ohm=0), "z0_ohm"),
        (lambda: replace(CABLES["RG-58"], loss_k1_db=-1), "loss_k1_db"),
        (lambda: replace(CABLES["RG-58"], braid_mm=9), "jacket"),
    ],
)
def test_nonsense_is_refused(call, sentence):
    """Each message names the argument and what it wants."""
    with pytest.raises(ValueError, match=sentence):
        call()


def test_own_cable_and_shapes():
    """Any cable by its data; arrays broadcast and scalars stay scalars."""
    window = Cable(
        name="window line", z0_ohm=450, velocity_factor=0.91, loss_k1_db=0.1, outer_mm=25, braid_mm=20,
        max_volts_rms=3000,
    )  # fmt: skip
    z = room.line_impedance(np.full(3, 4000 - 100j), cable=window, length_m=20, f_mhz=[7.0, 7.1, 7.2])
    assert z.shape == (3,)
    assert np.ndim(room.total_loss_db(100, cable=window, length_m=20, f_mhz=7.1)) == 0
    assert swr(room.line_impedance(450, cable=window, length_m=20, f_mhz=7.1), 450) == pytest.approx(1)
    assert reflection_of_swr(1) == 0


def test_loss_is_the_sum_of_its_three_parts():
    """At 4 MHz, by hand: a constant 1, 2·√4 and 0.5·4 dB in 100 m; what is not given is nothing."""
    data = {"name": "own", "z0_ohm": 50, "velocity_factor": 1, "outer_mm": 5, "braid_mm": 5}
    plain = Cable(**data, max_volts_rms=600, loss_k1_db=2)
    every = replace(plain, loss_k0_db=1, loss_k2_db=0.5)
    assert room.loss_db(cable=plain, length_m=100, f_mhz=4) == pytest.approx(4)
    assert room.loss_db(cable=every, length_m=50, f_mhz=4) == pytest.approx(3.5)
    for name in ("loss_k0_db", "loss_k2_db", "outer_mm", "braid_mm", "max_volts_rms"):
        with pytest.raises(ValueError, match=name):
            replace(every, **{name: -1})


def test_at_no_distance_the_shack_is_the_antenna():
    """Open, shorted and matched ends are what they are; rounding is no measurement out of calibration."""
    none = {"cable": "RG-58", "length_m": 0, "f_mhz": 14}
    assert room.impedance_at_antenna(0, **none) == 0 and np.isinf(room.impedance_at_antenna(np.inf, **none))
    assert room.impedance_at_antenna(50, **none) == 50
    assert room.antenna_swr(np.inf, **none) == np.inf and room.antenna_swr(1, **none) == 1
    assert room.total_loss_db(50, **none) == 0


def test_an_open_end_seen_through_the_line_is_an_open_end():
    """What the shack sees of it, turned back, is infinity: rounding makes it no impossible measurement."""
    line = {"cable": "RG-58", "f_mhz": 14.2}
    seen = room.swr_along_line(np.inf, distance_m=30, **line)
    for hair in (1, 1 + 1e-9):
        assert room.antenna_swr(seen * hair, length_m=30, **line) > 1e9
    with pytest.raises(ValueError, match="no antenna shows so high"):
        room.antenna_swr(seen * 1.001, length_m=30, **line)


@pytest.mark.parametrize("load", [150, 20 + 70j, np.inf])
def test_the_waves_on_a_line_carry_what_the_handbook_loses(load):
    """Both waves together: the ohms of the line anywhere, the handbook's loss from end to end."""
    line, d = {"cable": "RG-58", "f_mhz": 28.5}, np.linspace(0, 37, 9)
    there, back = room.volts_along_line(load, length_m=37, distance_m=d, power_w=100, **line)
    with np.errstate(divide="ignore", invalid="ignore"):
        ohms = 50 * (there + back) / (there - back)
    assert np.allclose(ohms[1:], room.line_impedance(load, length_m=d[1:], **line))
    watts = (np.abs(there) ** 2 - np.abs(back) ** 2) / 50
    assert abs(there[-1]) ** 2 / 50 == pytest.approx(100)
    lost = room.total_loss_db(load, length_m=37, **line)
    assert watts[0] / watts[-1] == pytest.approx(10 ** (-lost / 10), abs=1e-9)
    assert there[0].imag == 0 < there[0].real, "the time is that of the antenna"
