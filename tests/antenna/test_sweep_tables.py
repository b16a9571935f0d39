"""sweep_tables.py: tables as meters and hands write them are read, what is mended is said."""

import re

import numpy as np
import pytest

import antlab as al
from antlab.antenna.sweep_tables import in_order, table_of
from antlab.physics.circuit import reflection_coefficient, swr

F = np.linspace(6.9, 7.3, 9)
Z = 55 + 1j * 400 * (F / 7.1 - 1)
SWR = swr(Z)


def read(folder, text, name="sweep.csv"):
    path = folder / name
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return al.read_sweep(path)


def refused(folder, text, sentence, name="sweep.csv"):
    with pytest.raises(al.units.Slip, match=sentence) as said:
        read(folder, text, name)
    assert str(said.value).isprintable() and len(str(said.value)) < 250


def table(head, *columns, parting=",", decimal="."):
    rows = [
        parting.join(f"{x:.12g}".replace(".", decimal) for x in row) for row in zip(*columns, strict=True)
    ]
    return "\n".join([head, *rows]) + "\n"


G = reflection_coefficient(Z)
WAYS = {
    "SWR": table("frequency (MHz),SWR", F, SWR),
    "hertz": table("Freq(Hz),VSWR", F * 1e6, SWR),
    "kilohertz without a unit": table("f,SWR", F * 1e3, SWR),
    "decimal commas": table("Frequency [MHz];SWR", F, SWR, parting=";", decimal=","),
    "tabs": table("MHz freq\tSWR", F, SWR, parting="\t", decimal=",").replace("MHz freq", "freq MHz"),
    "spaces": table("frequency (MHz)  SWR", F, SWR, parting="   "),
    "typed": table("", F, SWR, parting=" "),
    "typed with commas": table("", F, SWR, parting="  ", decimal=","),
    "to one": "f (MHz), SWR\n" + "".join(f"{f:.4f}, {s:.9f}:1\n" for f, s in zip(F, SWR, strict=True)),
    "quotes": "f_mhz,swr\n"
    + table("", F, SWR, parting='","', decimal=",").strip().replace("\n", '"\n"').join('""'),
    "R and X": table("frequency_mhz,r_ohm,x_ohm", F, Z.real, Z.imag),
    "R and unsigned X": table("Freq (MHz);R (ohm);|X| (ohm)", F, Z.real, abs(Z.imag), parting=";"),
    "size and phase": table("Freq (MHz),Z (ohms),Phase (deg)", F, abs(Z), np.degrees(np.angle(Z))),
    "R and size": table("Freq (MHz),R,|Z|", F, Z.real, abs(Z)),
    "return loss": table("Freq (MHz),Return Loss (dB)", F, -20 * np.log10(abs(G))),
    "German": table("Frequenz [MHz];SWV", F, SWR, parting=";", decimal=","),
    "French": table("Fréquence (MHz);ROS", F, SWR, parting=";", decimal=","),
    "by its unit": table("bandwidth, 200 kHz; SWR\n[kHz];SWR", 1e3 * F, SWR, parting=";"),
    "other columns": table("n,Freq (MHz),temperature,SWR", F, F, F, SWR),
    "lines above": "My lawn, 1 May\nof no use: 3\n\n# said\n" + table("freq (MHz),SWR", F, SWR),
    "falling": table("frequency (MHz),SWR", F[::-1], SWR[::-1]),
}  # fmt: skip


@pytest.mark.parametrize("way", WAYS)
def test_ways_to_write_a_table(tmp_path, way):
    """Whatever parts the columns and marks the decimals: the same sweep."""
    sweep = read(tmp_path, WAYS[way])
    np.testing.assert_allclose(sweep.f_mhz, F, rtol=1e-8)
    np.testing.assert_allclose(sweep.swr, SWR, rtol=1e-6)
    assert sweep.phase == (way in ("R and X", "size and phase"))
    if sweep.phase:
        np.testing.assert_allclose(sweep.impedance, Z, rtol=1e-6)


MENDED = [
    ("7.1,1.5\n7.0,2\n6.9,3\n", "frequencies fall", [6.9, 7.0, 7.1]),
    ("7.1,1.5\n6.9,3\n7.0,2\n", "in no order", [6.9, 7.0, 7.1]),
    ("6.9,3\n7.0,2.5\n7.0,2\n7.1,1.5\n", "7 MHz comes twice or more: the last", [6.9, 7.0, 7.1]),
    ("6.9,3\n6.95,NaN\n7.0,2\n7.1,1.5\n", "Line 3 has no number in it, and is left out", [6.9, 7.0, 7.1]),
    ("6.9,3\n6.95,\n6.96,-\n7.0,2\n7.1,1.5\n", "2 lines have no number .*: 3, 4", [6.9, 7.0, 7.1]),
    ("6.9,3\n7.0,2\n7.1,1.5\n7.2,2\n8,9\n", "Nothing .* between 7.2 and 8 MHz", [6.9, 7, 7.1, 7.2, 8]),
]  # fmt: skip


@pytest.mark.parametrize(("rows", "said", "f"), MENDED)
def test_what_is_mended_is_said(tmp_path, rows, said, f):
    """Falling, doubled and missing points: read, and told; of a doubled one the last is taken."""
    sweep = read(tmp_path, "frequency (MHz),SWR\n" + rows)
    assert sweep.f_mhz.tolist() == f
    (note,) = sweep.notes
    assert al.units.shown(note) == note and re.search(said, note)
    assert sweep.swr[f.index(7.0)] == pytest.approx(2.0)


def test_what_is_not_read_is_said(tmp_path):
    """Other columns, two ports, a unit and headings that had to be guessed."""
    assert read(tmp_path, WAYS["other columns"]).notes == ("Not read: n, temperature.",)
    assert "taken as kHz" in read(tmp_path, WAYS["kilohertz without a unit"]).notes[0]
    assert "taken as frequency and SWR" in al.typed_sweep("7.0 1.5\n7.1 1.7").notes[0]
    assert al.typed_sweep("7.0 50 -3\n7.1 50 3").impedance.tolist() == pytest.approx([50 - 3j, 50 + 3j])
    two = "# MHz S RI R 50\n" + "".join(f"{f} 0.2 0.1 0 0 0 0 .9 0\n" for f in (7.0, 7.1))
    sweep = read(tmp_path, two + "7.0 1 0.2 0.1 50\n", "x.s2p")  # the last line is noise of a port
    assert sweep.notes == ("Of its two ports the first is read, S11.",) and len(sweep.f_mhz) == 2
    assert sweep.reflection.tolist() == pytest.approx([0.2 + 0.1j] * 2)


HEAD = "frequency (MHz),SWR\n"
BAD = [
    ("", "no measured point"), (HEAD, "no measured point below"), ("hello\n", "line 1 says 'hello' where a"),
    ("frequency (MHz),gain\n7,1\n", "line 1 names frequencies"), ("1 2 3 4 5\n", "line 1 says"),
    (HEAD + "7.0,1.5\n7.1,low\n", "line 3 has 'low' where a number"), (b"\0\1", "no text file"),
    (HEAD + "7,0,1,5\n", "line 2 has 4 columns where 2"), (HEAD + "7.0,0.5\n", "line 2 has an SWR of 0.5"),
    ("frequency (MHz),R,X\n7.0,-60,3\n", "line 2 reflects more"), (HEAD + "inf,1\n", "must be a number"),
    ("f,SWR\n0.001,1.5\n7,1.5\n", "without their unit"), ("frequency (GHz),SWR\n7000,1.5\n", "lies between"),
    (HEAD + "-7,1.5\n", "positive number"), (HEAD + "7" * 1001 + ",1\n", "line 2 has 1,003 letters"),
    (HEAD + "7.0,1.5\n7.1,1.2\n7.2,1.5\n6.9,1.1\n7.05,3\n7.1,5\n7.15,7\n", "two sweeps .* disagree"),
    (HEAD + "7.0,1.5\n7.08,1.2\n7.08,3\n7.2,2\n", "7.08 MHz comes twice, with an SWR of 1.2 and 3: keep"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "sentence"), BAD)
def test_the_rest_is_refused(tmp_path, text, sentence):
    """In one sentence, with what was expected and in which line."""
    refused(tmp_path, text, sentence)


@pytest.mark.parametrize("count", [9, 41, 401])
def test_a_minimum_without_phase(count):
    """Found as well as with it; typed to a tenth within a third of a step."""
    f = np.linspace(6.8, 7.4, count)
    z = 55 + 1j * 500 * (f / 7.123 - 1)
    found = al.Sweep(f, 50 * swr(z), phase=False).dips()[0]
    with_phase = al.Sweep(f, z).dips()[0]
    assert found.f_mhz == pytest.approx(with_phase.f_mhz, rel=2e-4 if count > 9 else 2e-3)
    typed = al.Sweep(f, 50 * swr(z).round(1), phase=False).dips()
    assert abs(typed[0].f_mhz / 7.123 - 1) < 3e-3


def test_what_an_swr_alone_cannot_tell():
    """Neither the other end of a cable nor the SWR on another line; a resonance it has none."""
    sweep = al.typed_sweep("7.0 1.5\n7.1 1.2\n7.2 1.5")
    with pytest.raises(al.units.Slip, match="can't be moved along a cable"):
        sweep.at_antenna(cable="RG-58", length_m=10)
    with pytest.raises(al.units.Slip, match="on 75"):
        sweep.on(75)
    assert sweep.on(50).swr.tolist() == sweep.swr.tolist() and sweep.resonances_mhz().size == 0


@pytest.mark.parametrize(
    ("lines", "f_mhz", "size"),
    [
        (["freq (MHz),SWR,", "7.0,3,", "7.1,1,"], [7.0, 7.1], [0.5, 0]),
        (["freq (MHz),note,SWR", "7.0,,3", "7.1,wind,1"], [7.0, 7.1], [0.5, 0]),
        (["freq (MHz),SWR", "7.0,inf", "7.1,3"], [7.0, 7.1], [1, 0.5]),
        (["freq (MHz),R,X", "7.0,inf,0", "7.1,150,0"], [7.0, 7.1], [1, 0.5]),
        (["freq (MHz),R,X", "7.0,-0.5,30", "7.1,150,0"], [7.0, 7.1], [58.738 / 57.882, 0.5]),
        (["start (MHz);SWR;stop (MHz)", "7.0;3;9.0", "7.1;1;9.1"], [7.0, 7.1], [0.5, 0]),
        (["7.0 3", "7.1 1"], [7.0, 7.1], [0.5, 0]),
        ([*["a line of the maker's"] * 99, "freq (MHz);SWR", "7.0;3", "7.1;1"], [7.0, 7.1], [0.5, 0]),
    ],
    ids=[
        "a comma at the end",
        "an empty cell",
        "endless SWR",
        "an open end",
        "noise",
        "two units",
        "typed",
        "99 lines above",
    ],
)
def test_what_a_line_may_have(lines, f_mhz, size):
    """The numbers stay with their columns, an open end reflects all, and of what is typed nothing is lost."""
    f, reflection, _, _, above = table_of(lines)
    assert f.tolist() == f_mhz and np.abs(reflection) == pytest.approx(size, rel=1e-4)
    assert len(above) == (99 if len(lines) > 99 else 0)


@pytest.mark.parametrize(
    ("lines", "sentence"),
    [
        (["wide 2.0", "7.1 1.5"], "line 1 says 'wide 2.0'"),
        (["7.0 2.0", "frequency SWR", "7.1 1.5"], "line 2 has 'frequency'"),
    ],
)
def test_no_measured_line_is_taken_for_another(lines, sentence):
    """A word where the first frequency should be, and headings below the first numbers, are refused."""
    with pytest.raises(al.units.Slip, match=sentence):
        table_of(lines)


@pytest.mark.parametrize(
    ("gap_mhz", "told"), [(0.045, False), (0.3, True), (1.5, False)], ids=["narrow", "a gap", "another band"]
)
def test_a_gap_is_told_where_a_minimum_could_hide(gap_mhz, told):
    """Over five steps and one part in a hundred of the frequency; what lies farther is another band."""
    f = np.r_[np.arange(6.9, 7.0, 0.005), np.arange(7.0, 7.1, 0.005) + gap_mhz]
    _, _, notes = in_order(f, np.full(f.shape, 0.3))
    assert any("Nothing was measured between" in note for note in notes) == told


def test_there_and_back_is_one_sweep():
    """Swept up and down with one result it is put in order; with two results it is refused."""
    f, size = np.array([7.0, 7.1, 7.2, 7.3, 7.3, 7.2, 7.1, 7.0]), np.array([0.4, 0.2, 0.3, 0.5])
    rising, reflection, notes = in_order(f, np.r_[size, size[::-1]])
    assert rising.tolist() == [7.0, 7.1, 7.2, 7.3] and reflection.tolist() == size.tolist()
    assert notes[0] == "The frequencies are in no order: they are put in one."
    with pytest.raises(al.units.Slip, match="two sweeps of 7 to 7.3 MHz that disagree"):
        in_order(f, np.r_[size, size[::-1] + 0.1])
    with pytest.raises(al.units.Slip, match="two sweeps of 7 to 7.3 MHz that disagree"):
        in_order(np.r_[f[:4], f[:4]], np.r_[size, size + 0.1])
    _, _, notes = in_order(np.array([7.2, 7.1, 7.1, 7.0]), np.full(4, 0.3))
    assert notes[0] == "The frequencies fall: they are turned round."


def test_kilohertz_as_low_as_long_waves():
    """472 without a unit is no megahertz."""
    f, *_, notes, _ = table_of(["f,SWR", "472,3", "479,1"])
    assert f == pytest.approx([0.472, 0.479]) and notes == ["The frequencies have no unit: taken as kHz."]
