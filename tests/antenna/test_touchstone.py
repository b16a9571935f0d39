"""touchstone.py: files as analyzers write them are read as another library reads them, bad ones refused."""

import warnings

import numpy as np
import pytest
import skrf
from hypothesis import given, settings
from hypothesis import strategies as st

import antlab as al
from antlab.antenna.touchstone import Dip
from antlab.physics.cable import line_impedance
from antlab.physics.circuit import impedance_of_reflection, reflection_coefficient, swr
from tests.letters import LETTERS

F = np.array([7.0, 7.1, 7.2, 7.35])
Z = np.array([40 - 30j, 50 + 2j, 0, 900 + 1200j])


def saved(folder, text, name="dipole.s1p"):
    path = folder / name
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def refused(folder, text, sentence, name="dipole.s1p"):
    with pytest.raises(ValueError, match=sentence):
        al.read_sweep(saved(folder, text, name))


# --- there and back, by ourselves and by another library


@settings(max_examples=30)
@given(
    points=st.dictionaries(
        st.floats(0.1, 1000),
        st.tuples(st.floats(0, 1e4), st.floats(-1e4, 1e4)),
        min_size=1,
        max_size=4,
    ),
    z0_ohm=st.floats(1, 1000),
    comment=st.text(LETTERS, max_size=40),
)
def test_what_is_written_is_read_back(tmp_path_factory, points, z0_ohm, comment):
    """read(write(x)) = x: frequencies and reference to the last digit, impedance to what S leaves of it."""
    f = np.array(sorted(points))
    z = np.array([complex(*points[x]) for x in f])
    path = tmp_path_factory.mktemp("sweep") / "x.s1p"
    al.write_sweep(path, f, z, z0_ohm, comment)
    back = al.read_sweep(path)
    assert back.f_mhz.tolist() == f.tolist() and back.z0_ohm == z0_ohm
    np.testing.assert_allclose(back.impedance, z, rtol=1e-8, atol=1e-8)
    assert len(back.comments) == len(comment.splitlines())
    if comment.isprintable() and comment.strip():
        assert back.comments == (comment.strip(),)


def test_open_and_short_come_back_exactly(tmp_path):
    """Impedance 0 and infinity are impedances like any other."""
    al.write_sweep(tmp_path / "x.s1p", [7, 8, 9], [0, np.inf, 50], comment="open, short\nload")
    back = al.read_sweep(tmp_path / "x.s1p")
    assert back.impedance.tolist() == [0, complex(np.inf), 50]
    assert back.swr.tolist() == [np.inf, np.inf, 1]
    assert back.comments == ("open, short", "load")


@pytest.mark.parametrize("form", ["ri", "ma", "db"])
@pytest.mark.parametrize("unit", ["Hz", "kHz", "MHz", "GHz"])
@pytest.mark.parametrize("z0_ohm", [50, 75])
def test_what_scikit_rf_writes_is_read(tmp_path, form, unit, z0_ohm):
    """Every format and unit of the standard, written by scikit-rf."""
    s = (Z - z0_ohm) / (Z + z0_ohm)
    network = skrf.Network(frequency=skrf.Frequency.from_f(F * 1e6, unit="Hz"), s=s, z0=z0_ohm)
    network.frequency.unit = unit
    network.write_touchstone("theirs", dir=tmp_path, form=form, skrf_comment=True)
    back = al.read_sweep(tmp_path / "theirs.s1p")
    np.testing.assert_allclose(back.f_mhz, F, rtol=1e-12)
    np.testing.assert_allclose(back.impedance, Z, rtol=1e-6, atol=1e-6)
    assert back.z0_ohm == z0_ohm


@pytest.mark.parametrize("z0_ohm", [50, 75])
def test_scikit_rf_reads_what_is_written(tmp_path, z0_ohm):
    """The other way round, with a comment that holds a letter outside ASCII."""
    path = al.write_sweep(tmp_path / "ours.s1p", F, Z, z0_ohm, comment="Corner Lot, 9 m, 50 Ω cable")
    theirs = skrf.Network(str(path))
    np.testing.assert_allclose(theirs.f, F * 1e6, rtol=1e-12)
    np.testing.assert_allclose(theirs.s[:, 0, 0], (Z - z0_ohm) / (Z + z0_ohm), atol=1e-12)
    np.testing.assert_allclose(theirs.z0[:, 0], z0_ohm)


# --- as it is written in the wild; expected values worked by hand

SAME = (7.1, 75 + 0j, 50.0)  # S11 = 25/125 = 0.2


@pytest.mark.parametrize(
    "text",
    [
        "# MHz S RI R 50\n7.1 0.2 0\n",
        "# R 50 RI S MHz\r\n7.1 0.2 0\r\n",
        "# mhz s ri r 50\r7.1 0.2 0\r",
        "\ufeff! handheld\n\n  # hz s ma\n7100000\t0.2\t0 ! first\n\n! end",
        "#\n0.0071 0.2 0.0\n",
        "# KHZ S DB R 50.0\n7.1e3 -13.979400086720375 0",
        "# GHz S MA R 5e1\n7.1E-3 .2 +360\n",
        "# MHz\n! between\n7.1 0.2 -0\n# mhz s ma r 50\n",
        "! 20 \xb0C\n# MHz S RI\n7.1 0.2 0\n".encode("latin-1"),
    ],
)
def test_spellings(tmp_path, text):
    """Order, case, defaults, comments, blank lines, three kinds of line end, a byte order mark."""
    sweep = al.read_sweep(saved(tmp_path, text, "SWEEP.S1P"))
    got = sweep.f_mhz[0], sweep.impedance[0], sweep.z0_ohm
    assert got == pytest.approx(SAME, rel=1e-12) and len(sweep.f_mhz) == 1


def test_a_reference_of_75_ohm(tmp_path):
    """S = 0.2 on 75 ohm is 112.5 ohm."""
    sweep = al.read_sweep(saved(tmp_path, "# MHz S RI R 75\n7.1 0.2 0\n"))
    assert sweep.impedance[0] == pytest.approx(112.5)


def test_noise_at_full_reflection(tmp_path):
    """A reflection a little above 1 is noise: an open stays an open and no resistance turns negative."""
    text = "# MHz S RI R 50\n1 1.02 0\n2 0 1.05\n3 -1.01 0\n4 0 0\n"
    sweep = al.read_sweep(saved(tmp_path, text))
    assert np.isinf(sweep.impedance[0])
    np.testing.assert_allclose(sweep.impedance[1:], [50j, 0, 50], atol=1e-12)
    matched = al.read_sweep(saved(tmp_path, "# MHz S DB\n7 -inf 0\n", "matched.s1p"))
    assert matched.impedance[0] == 50


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "no measured point"),
        ("! only words\n# MHz S RI R 50\n", "no measured point"),
        ("7.1 0.2 0\n", "line 1 comes before"),
        ("hello\n", "line 1 comes before"),
        ("# MHz Z RI R 50\n7.1 1 0\n", "Z parameters"),
        ("# MHz Y MA R 50\n7.1 1 0\n", "Y parameters"),
        ("# MHz S RI R 50\n7.1 .1 0 .2 0 .2 0 .1 0\n", "line 2 has 9 numbers"),
        ("# MHz S RI R 50\n7.1 .1 0\n7.2 .1\n", "line 3 has 2 of 3"),
        ("# MHz S RI R 50\n7.1 .1 0\n7.2", "cut off"),
        ("# MHz S RI R 50\n7,1 0,2 0\n", "'7,1' where a number"),
        ("# MHz S RI R 50\n7.1 nan 0\n", "no measured point"),
        ("# MHz S RI R 50\n7.1 1_0 0\n", "'1_0'"),
        ("f,r,x\n7.1,50,0\n", "comes before"),
        ("# MHz S RI R\n7.1 0 0\n", "after R where"),
        ("# MHz S RI R -50\n7.1 0 0\n", "after R where"),
        ("# MHz S RI R 0\n7.1 0 0\n", "after R where"),
        ("# furlong S RI R 50\n7.1 0 0\n", "'FURLONG'"),
        ("# MHz GHz S RI R 50\n7.1 0 0\n", "both MHZ and GHZ"),
        ("# MHz S RI R 50\n7.1 0 0\n# GHz S RI R 50\n7.2 0 0\n", "line 3 says # a second time"),
        ("[Version] 2.0\n# MHz S RI R 50\n", "version 2"),
        ("# MHz S RI R 50\n0 0 0\n", "positive number of megahertz"),
        ("# MHz S RI R 50\n7100000 0 0\n", "lies between"),
        ("# MHz S RI R 50\n7.1 3 0\n", "reflects more than it gets"),
        ("# MHz S MA R 50\n7.1 -0.2 0\n", "below zero"),
        ("# MHz S DB R 50\n7.1 13.98 0\n", "reflects more than it gets"),
        ("# MHz S DB R 50\n7.1 1e9 0\n", "reflects more than it gets"),
        ("# MHz S RI R 50\n7.1 1e999 0\n", "reflects more than it gets"),
        ("# MHz S MA R 50\n7.1 0.1 1e999\n", "reflects more than it gets"),
        (b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR", "no text file"),
        ("# MHz S RI R 50\n7.1 0 0\n".encode("utf-16"), "no text file"),
    ],
)
def test_bad_files_are_refused(tmp_path, text, sentence):
    """Each is told what is wrong; none is half read."""
    refused(tmp_path, text, sentence)


def test_two_ports_by_name_and_missing_files(tmp_path):
    """The name says the ports; a folder and a missing file are sentences too."""
    refused(tmp_path, "# MHz S RI R 50\n7.1 0 0\n", "says 12 ports", "dipole.s12p")
    refused(tmp_path, "# MHz S RI R 50\n7.1 0 0\n", "line 2 has 3 of 9 numbers", "dipole.s2p")
    many = "# MHz S RI R 50\n" + " ".join(["7.1"] * 10)
    refused(tmp_path, many, "line 2 has 10 numbers; two ports have 9", "dipole.s2p")
    refused(tmp_path, many, "line 2 has 10 numbers; one port has 3", "dipole.s1p")
    for path, sentence in (
        (tmp_path, "cannot read"),
        (tmp_path / "no.s1p", "cannot read"),
        (None, "path is"),
    ):
        with pytest.raises(ValueError, match=sentence):
            al.read_sweep(path)


@settings(max_examples=150)
@given(
    data=st.one_of(
        st.binary(max_size=80), st.text(alphabet="#! \n.0123456789-+eEinfRSMHzDBAk[]", max_size=60)
    )
)
def test_garbage_raises_nothing_but_valueerror(tmp_path_factory, data):
    """Whatever the bytes: a Sweep that makes sense, or a ValueError."""
    head = "" if isinstance(data, bytes) else "# MHz S RI R 50\n"
    raw = data if isinstance(data, bytes) else (head + data).encode()
    try:
        sweep = al.read_sweep(saved(tmp_path_factory.mktemp("bad"), raw))
    except ValueError:
        return
    assert np.all(np.abs(sweep.reflection) <= 1 + 1e-9) and np.all(np.diff(sweep.f_mhz) > 0)


@settings(max_examples=60)
@given(cut=st.integers(0, 200))
def test_a_file_cut_off_anywhere(tmp_path_factory, cut):
    """What is read of a file that stops short is the beginning of it, or it is refused."""
    folder = tmp_path_factory.mktemp("cut")
    whole = al.write_sweep(folder / "x.s1p", F, Z, comment="whole").read_bytes()
    try:
        sweep = al.read_sweep(saved(folder, whole[: min(cut, len(whole))]))
    except ValueError:
        return
    n = len(sweep.f_mhz) - 1  # the last number may have lost digits, which nobody can see
    np.testing.assert_allclose(sweep.impedance[:n], Z[:n], atol=1e-9)


# --- writing


def test_nothing_that_exists_is_overwritten(tmp_path):
    """Not without force; and a bad sweep leaves the old file alone even with it."""
    path = al.write_sweep(tmp_path / "x.s1p", [7.1], [50])
    before = path.read_bytes()
    with pytest.raises(ValueError, match="force=True"):
        al.write_sweep(path, [7.1], [60])
    with pytest.raises(ValueError, match="no NaN"):
        al.write_sweep(path, [7.1], [np.nan], force=True)
    assert path.read_bytes() == before
    al.write_sweep(path, [7.1], [60], force=True)
    assert al.read_sweep(path).impedance[0] == pytest.approx(60)


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (([7.1e6], [50]), "hertz or kilohertz"),
        (([7100], [50]), "hertz or kilohertz"),
        (([7.2, 7.1], [50, 50]), "7.1 MHz follows 7.2"),
        (([7.1, np.nan], [50, 50]), "f_mhz must be"),
        (([7.1], [50, 60]), "as long a row"),
        (([], []), "as long a row"),
        (([7.1], ["fifty"]), "impedance must be a number of ohms, such as 50-3j"),
        (([7.1], [-50]), "resistance of zero or more"),
        (([7.1], [50], 0), "z0_ohm"),
        (([7.1], [50], [50, 50]), "one z0_ohm"),
    ],
)
def test_bad_sweeps_are_not_written(tmp_path, arguments, sentence):
    """Nothing is written of what makes no sense."""
    with pytest.raises(ValueError, match=sentence):
        al.write_sweep(tmp_path / "x.s1p", *arguments)
    assert not list(tmp_path.iterdir())


def test_a_folder_that_is_not_there(tmp_path, monkeypatch):
    """Its name is told whole, and of a long one the file's alone."""
    monkeypatch.chdir(tmp_path)
    with pytest.raises(ValueError, match="cannot write no/x.s1p: there is no such folder"):
        al.write_sweep("no/x.s1p", [7.1], [50])
    with pytest.raises(ValueError, match="cannot write x.s1p: there is no such folder"):
        al.write_sweep(f"{'no/' * 40}x.s1p", [7.1], [50])
    with pytest.raises(ValueError, match="says 2 ports"):
        al.write_sweep(tmp_path / "x.s2p", [7.1], [50])


# --- what is read off a sweep


def circuit_sweep(f, r=40, f0=7.123, q=12, z0_ohm=50):
    """A series circuit: its SWR minimum and spans follow from R, f0 and Q by hand."""
    return al.Sweep(f, r + 1j * r * q * (f / f0 - f0 / f), z0_ohm)


@pytest.mark.parametrize("step", [0.001, 0.005, 0.02])
def test_minimum_between_points(step):
    """A series circuit's SWR is lowest at f0, where it is Z0/R = 1.25, however coarse the points."""
    sweep = circuit_sweep(7.0 * (1 + step * (np.arange(-40, 41) + 0.37)))
    (dip,) = sweep.dips()
    assert dip.f_mhz == pytest.approx(7.123, rel=1e-4)
    assert dip.swr == pytest.approx(1.25, abs=2e-3)
    assert dip == sweep.lowest()
    assert sweep.resonances_mhz() == pytest.approx([7.123], rel=1e-3)


def test_minimum_in_noise():
    """Noise of 1 % of full reflection moves it less than 0.1 %, and dips do not breed."""
    rng = np.random.default_rng(7)
    f = np.linspace(6.8, 7.5, 201)
    clean = circuit_sweep(f).reflection
    for _ in range(20):
        s = clean + 0.01 * (rng.normal(size=f.size) + 1j * rng.normal(size=f.size))
        (dip,) = al.Sweep(f, 50 * (1 + s) / (1 - s)).dips()
        assert dip.f_mhz == pytest.approx(7.123, rel=1e-3)


def test_spans():
    """R = Z0: SWR 2 is |G| = 1/3, at X = 50/√2, so the span is f0/(Q√2); 3 is |G| = 1/2, X = 100/√3."""
    sweep = circuit_sweep(np.linspace(6.5, 7.8, 1301), r=50)
    assert sweep.span(2).width_khz == pytest.approx(7123 / 12 / np.sqrt(2), rel=1e-3)
    assert sweep.span(3).width_khz == pytest.approx(7123 / 12 * 2 / np.sqrt(3), rel=1e-3)
    assert sweep.span() == sweep.span(2)
    assert np.isnan(circuit_sweep(sweep.f_mhz, r=500).span(2).low_mhz)


def test_edges_hold_no_minimum():
    """What falls towards the end of a sweep may go on beyond it."""
    sweep = circuit_sweep(np.linspace(7.2, 7.5, 31))
    assert sweep.dips() == () and sweep.lowest() is None and sweep.resonances_mhz().size == 0


@pytest.mark.parametrize(
    ("rise", "count"), [((0.35, 0.37, 0.36), 0), ((0.3, 0.35, 0.45), 1), ((0.45, 0.2, 0.1), 1)]
)
def test_a_minimum_stands_out_on_both_sides(rise, count):
    """A bend in a curve that falls all the way is no dip, whichever side it is seen from; two equal lowest
    points are one."""
    size = np.array([0.8, 0.6, 0.4, 0.3, *rise])
    for reflection in (size, size[::-1]):
        sweep = al.Sweep(np.linspace(7.0, 7.3, size.size), impedance_of_reflection(reflection))
        assert len(sweep.dips()) == count


@pytest.mark.parametrize("ohms", [-1e-3, -30 + 40j, np.nan, complex(50, np.nan), complex(np.nan, 5)])
def test_no_antenna_measures_so(ohms):
    """One such point among good ones is a fault of the meter or of who computed it: no Sweep holds it."""
    with pytest.raises(ValueError, match="resistance of zero or more ohms, and no NaN"):
        al.Sweep([7.0, 7.1, 7.2], [50, ohms, 50])


def test_parallel_resonance_is_not_a_dipoles():
    """A trap's reactance falls through zero at its resonance and jumps nowhere upwards."""
    f = np.linspace(13, 15, 201)
    trap = al.Trap(inductance_uh=3, capacitance_pf=42)
    assert al.Sweep(f, trap.impedance(f)).resonances_mhz().size == 0


def test_both_bands_in_one_sweep():
    """A sweep over everything shows both minima of an antenna, and a part of it each alone."""
    dipole = al.Dipole(inner_m=5.11, outer_m=3.23, trap=al.Trap(inductance_uh=3.3, capacitance_pf=37.6),
                       shape=al.FlatTop(height_m=9))  # fmt: skip
    f = np.linspace(6, 16, 201)
    sweep = al.Sweep(f, dipole.impedance(f))
    low, high = sweep.dips()
    assert sweep.between(6.5, 8).dips() == (low,)
    assert dipole.swr(low.f_mhz) == pytest.approx(low.swr, abs=0.02)
    assert dipole.swr(high.f_mhz) == pytest.approx(high.swr, abs=0.02)
    with pytest.raises(ValueError, match="no point between"):
        sweep.between(20, 30)


def test_measured_in_the_shack():
    """Through 25 m of RG-58 the minimum looks better than it is; moved to the antenna all is as it was."""
    there = circuit_sweep(np.linspace(6.9, 7.4, 101), r=25)
    z = line_impedance(there.impedance, cable="RG-58", length_m=25, f_mhz=there.f_mhz)
    here = al.Sweep(there.f_mhz, z)
    assert here.lowest().swr < there.lowest().swr - 0.2
    back = here.at_antenna(cable="RG-58", length_m=25)
    np.testing.assert_allclose(back.impedance, there.impedance, rtol=1e-9)
    assert back.lowest().f_mhz == pytest.approx(7.123, rel=1e-4)
    with pytest.warns(UserWarning, match="reflect more"):
        cut = al.Sweep([7.0, 7.1], [0.1, 40]).at_antenna(cable="RG-58", length_m=25)
    assert cut.f_mhz.tolist() == [7.1]


def test_a_sweep_cannot_be_changed():
    """Frozen, down to its arrays, and no view of the caller's."""
    f = np.array([7.0, 7.1])
    sweep = al.Sweep(f, [50, 60])
    f[0] = 1
    assert sweep.f_mhz[0] == 7.0
    with pytest.raises(ValueError):
        sweep.f_mhz[0] = 1
    assert sweep.swr.tolist() == pytest.approx(swr(sweep.impedance).tolist())
    assert Dip(7.1, 1.2) == Dip(7.1, 1.2)
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        assert np.isinf(al.Sweep([7.1], [np.inf]).swr[0])


@pytest.mark.parametrize("length_m", [5, 15, 30, 60])
def test_minimum_through_a_line(length_m):
    """A long line turns the reflection; the minimum seen in the shack is still found to 0.03 %."""
    leg = {"inner_m": 2.53, "outer_m": 2.15, "trap": al.Trap(inductance_uh=1.25, capacitance_pf=25)}
    dipole = al.Dipole(**leg, shape=al.FlatTop(height_m=9))

    def shack(count):
        f = np.linspace(26.5, 29.7, count)
        load = dipole.impedance(f)
        return f, al.cable.line_impedance(load, cable="RG-58", length_m=length_m, f_mhz=f)

    fine, seen = shack(6401)
    swr = al.circuit.swr(seen)
    f, z = shack(161)
    found = al.Sweep(f_mhz=f, impedance=z).lowest()
    assert found.f_mhz == pytest.approx(fine[np.argmin(swr)], rel=3e-4)
    assert found.swr == pytest.approx(swr.min(), abs=0.005)


@pytest.mark.parametrize("radians", [0, 0.5, 1, 2.5, 4.5, 5])
def test_a_line_that_turns_six_points_or_five(radians):
    """A tuned circuit, turned evenly by up to 5 radians, is known for what it is from six points; five fit
    any turn, so that none is tried."""
    for count in (5, 6):
        x = np.linspace(0, 1, count)
        f = 14 * (1 + 0.018 * (x - 0.427))
        turned = reflection_coefficient(70 * (1 + 12j * (f / 14 - 14 / f)), 50) * np.exp(-1j * radians * x)
        found = al.Sweep(f, impedance_of_reflection(turned, 50)).lowest()
        exact = found.swr == pytest.approx(1.4, abs=1e-6) and found.f_mhz == pytest.approx(14, abs=1e-6)
        assert exact == (count == 6 or radians == 0)


def test_where_a_sweep_ends():
    """0.001 to 3000 MHz, a line of 0.001 to a million ohms, 100,000 points: the ends belong."""
    assert al.Sweep([0.001, 3000], [50, 50]).f_mhz.tolist() == [0.001, 3000]
    for wrong in ([0.0009, 1], [1, 3000.1]):
        with pytest.raises(ValueError, match="lies between 0.001 and 3000 MHz"):
            al.Sweep(wrong, [50, 50])
    for z0 in (1e-3, 1e6):
        assert al.Sweep([7.1], [50], z0).z0_ohm == z0
    for z0 in (9e-4, 1_000_000.5):
        with pytest.raises(ValueError, match="z0_ohm is a line's"):
            al.Sweep([7.1], [50], z0)
    most = np.linspace(1, 30, 100_000)
    assert al.Sweep(most, np.full(100_000, 50)).f_mhz.size == 100_000
    with pytest.raises(ValueError, match="100,001 points"):
        al.Sweep(np.append(most, 31), np.full(100_001, 50))
    assert al.Sweep(7.1, 60).z0_ohm == 50 and al.Sweep(7.1, 60).comments == ()


@pytest.mark.parametrize(
    ("f", "z", "z0"),
    [([], [], 50), ([7, 8], [50], 50), ([[7, 8]], [[50, 50]], 50), ([7, 8], [50, 50], [50, 50])],
)
def test_a_sweep_is_two_rows_of_one_length(f, z, z0):
    """Nothing, rows of unequal length, tables, and a row of references are no sweep."""
    with pytest.raises(ValueError, match="a row of frequencies, as long a row of impedances"):
        al.Sweep(f, z, z0)


def test_frequencies_rise():
    """Twice the same is refused like one that falls, and both are named."""
    for second in (7.1, 7.0):
        with pytest.raises(ValueError, match=f"{second:g} MHz follows 7.1 MHz"):
            al.Sweep([7.1, second, 7.3], [50, 50, 50])


def test_what_is_rounding_and_what_is_none():
    """A resistance of −1e-9 of what is there is zero; an impedance beyond all numbers is an open end."""
    sweep = al.Sweep([7, 8, 9], [-1e-9 + 40j, complex(-1e200, 0), 1e101j])
    assert sweep.impedance.tolist() == [40j, complex(np.inf), complex(np.inf)]
    with pytest.raises(ValueError, match="zero or more"):
        al.Sweep([7], [-1e-6 + 40j])
    assert np.all(sweep.swr > 1e15)


def test_a_part_has_its_ends():
    """A point on the edge asked for belongs to the part; from zero on and without end is all of it."""
    sweep = al.Sweep([7.0, 7.1, 7.2, 7.3], [50, 60, 70, 80], 75, ("shack",))
    part = sweep.between(7.1, 7.2)
    assert part.f_mhz.tolist() == [7.1, 7.2] and part.impedance.tolist() == [60, 70]
    assert (part.z0_ohm, part.comments) == (75, ("shack",))
    assert sweep.between(0, np.inf).f_mhz.size == 4
    with pytest.raises(ValueError, match="low_mhz"):
        sweep.between(-1, 8)


def test_the_edge_of_a_sweep_is_no_lowest():
    """Its first and its last point may go on beyond; between them it is one, however near the end."""
    f = np.linspace(7.0, 7.4, 41)
    for centre, found in ((7.01, True), (7.39, True), (6.9, False), (7.5, False)):
        sweep = al.Sweep(f, 40 + 900j * (f / centre - 1))
        assert (sweep.lowest() is not None) == found
        if found:
            assert sweep.lowest().f_mhz == pytest.approx(centre, rel=3e-4)


def test_a_resonance_on_a_point_is_counted_once():
    """Where the reactance is zero at a point, and where it goes through zero between two: a straight line."""
    on = al.Sweep([7.0, 7.1, 7.2], [50 - 10j, 50, 50 + 10j])
    assert on.resonances_mhz().tolist() == [pytest.approx(7.1)]
    between = al.Sweep([7.0, 7.1, 7.2], [50 - 30j, 50 - 10j, 50 + 30j])
    assert between.resonances_mhz().tolist() == [pytest.approx(7.125)]
    assert al.Sweep([7.0, 7.1], [50 - 10j, np.inf]).resonances_mhz().size == 0


@pytest.mark.parametrize(
    ("step", "count", "first", "last"),
    [(0.03, 3, -1, 1), (0.0099, 5, -2, 2), (0.0101, 3, -1, 1), (1e-5, 501, -2000, 2000)],
)
def test_points_that_a_minimum_is_found_from(step, count, first, last):
    """Within 2 % to both sides, the three lowest at least, 501 at most, and then evenly from end to end."""
    far = 10 if step > 1e-3 else 2500
    sweep = al.Sweep(7.0 * (1 + step * np.arange(-far, far + 1)), np.full(2 * far + 1, 50))
    near = sweep._near(far)
    assert (len(near), near[0] - far, near[-1] - far) == (count, first, last)
    assert np.ptp(np.diff(near)) <= 1


# --- how much is read


def test_how_long_a_line_and_a_file_may_be(tmp_path):
    """1000 letters a line, 200,000 lines, 20 million bytes: one more is not read."""
    head, digits = "# MHz S RI R 50\n", "7.1 0.2 0." + "0" * 990
    assert al.read_sweep(saved(tmp_path, f"{head}  {digits}  ! {'x' * 2000}\n")).f_mhz.tolist() == [7.1]
    refused(tmp_path, f"{head}{digits}0\n", "line 2 has 1,001 letters")
    whole = f"{head}7.1 0.2 0\n" + "\n" * 199_998
    assert al.read_sweep(saved(tmp_path, whole)).f_mhz.tolist() == [7.1]
    refused(tmp_path, whole + "\n", "has 200,001 lines; 100,000 are read at most")
    for size, sentence in ((20_000_000, "no text file"), (20_000_001, "more than 20,000,000 bytes")):
        path = saved(tmp_path, "")
        with path.open("r+b") as file:
            file.truncate(size)
        with pytest.raises(ValueError, match=sentence):
            al.read_sweep(path)


def test_how_many_points_are_read(tmp_path, monkeypatch):
    """As many as a Sweep may have, and the line of the first that is too much is named."""
    monkeypatch.setattr(al.touchstone, "_MOST_POINTS", 2)
    head = "# MHz S RI R 50\n7.1 0.2 0\n7.2 0.2 0\n"
    assert al.read_sweep(saved(tmp_path, head)).f_mhz.size == 2
    refused(tmp_path, head + "7.3 0.2 0\n", "line 4 is one point too many: 100,000 are read at most")


@pytest.mark.parametrize(
    ("line", "point", "sentence"),
    [
        ("# MHz S RI R 50", "7.1 1.1 0", None), ("# MHz S RI R 0.001", "7.1 0 0", None),
        ("# MHz S RI R 1e6", "7.1 0 0", None), ("# MHz S MA R 50", "7.1 0 0", None),
        ("# MHz S RI R 50", "7.1 1.1001 0", "reflects more than it gets"),
        ("# MHz S RI R 50", "7.1 0 -1.2", "1.2 times"), ("# MHz S RI R 50", "7.1 0 0 0", "has 4 numbers"),
        ("# MHz S RI R 9e-4", "7.1 0 0", "after R where"), ("# MHz S RI R 1000000.5", "7.1 0 0", "after R"),
        ("# MHz S S RI R 50", "7.1 0 0", "says both S and S"), ("# R 50 R 75", "7.1 0 0", "both 50.0 and 75"),
        ("# MHz S RI MA R 50", "7.1 0 0", "both RI and MA"), ("# MHz S RI R 5x", "7.1 0 0", "'5X' after R"),
        ("# MHz H RI R 50", "7.1 0 0", "says H parameters"), ("# MHz G RI R 50", "7.1 0 0", "G parameters"),
    ],
)  # fmt: skip
def test_what_a_line_may_say(tmp_path, line, point, sentence):
    """A tenth above full reflection is noise; a line has 0.001 to a million ohms; nothing is said twice."""
    if sentence:
        refused(tmp_path, f"{line}\n{point}\n", sentence)
    else:
        assert al.read_sweep(saved(tmp_path, f"{line}\n{point}\n")).f_mhz.tolist() == [7.1]


@pytest.mark.parametrize(
    ("name", "ports"), [("x.s01p", ""), ("x.s11p", "11"), ("x.S10P", "10"), ("x.txt", "")]
)
def test_ports_are_read_off_the_name(tmp_path, name, ports):
    """One port however it is written, and no number where the name says none."""
    if ports:
        refused(tmp_path, "# MHz\n7.1 0 0\n", f"says {ports} ports", name)
    else:
        assert al.read_sweep(saved(tmp_path, "# MHz\n7.1 0 0\n", name)).f_mhz.size == 1


def test_no_name_of_a_file(tmp_path):
    """A name that no file can have, to read and to write, is a sentence."""
    for name, sentence in (("x\0.s1p", "no name of a file"), (f"{'x' * 300}.s1p", "cannot ")):
        with pytest.raises(ValueError, match=sentence):
            al.read_sweep(tmp_path / name)
        with pytest.raises(ValueError, match=sentence):
            al.write_sweep(tmp_path / name, [7.1], [50])


def test_words_at_the_top_of_a_file(tmp_path):
    """A comment of several lines, and none; signs that would break a line are left out."""
    path = al.write_sweep(tmp_path / "a.s1p", [7.1], [50], comment="one\n\ttwo\x07three")
    assert path.read_text(encoding="utf-8").splitlines()[:3] == ["! one", "!  two three", "# MHz S RI R 50.0"]
    assert al.read_sweep(path).comments == ("one", "two three")
    assert al.read_sweep(al.write_sweep(tmp_path / "b.s1p", [7.1], [50], comment=None)).comments == ()
    mixed = saved(tmp_path, "! a\n# MHz ! b\n7.1 0 0 ! c\n!\n")
    assert al.read_sweep(mixed).comments == ("a", "b", "c", "")


@pytest.mark.parametrize(
    ("left", "right", "count"), [(0.501, 0.501, 1), (0.499, 0.501, 0), (0.501, 0.499, 0), (0.9, 0.9, 1)]
)
def test_how_far_a_minimum_stands_out(left, right, count):
    """By a tenth of full reflection, on both sides."""
    size = np.array([0.3, left, 0.4, right, 0.3])
    assert len(al.Sweep(np.linspace(7.0, 7.4, 5), impedance_of_reflection(size)).dips()) == count


def test_more_dips_than_an_antenna_has():
    """The 100 lowest are found between the points; of the rest each is its lowest point."""
    low = np.r_[np.full(60, 0.2), np.full(3, 0.25), np.full(40, 0.22)]
    size = np.r_[0.7, np.stack([low, low + 0.03, np.full(103, 0.7)], axis=1).ravel()]
    f = 1.0 * 1.023 ** np.arange(size.size)
    dips = al.Sweep(f, impedance_of_reflection(size)).dips()
    between = [dip.f_mhz not in f for dip in dips]
    assert len(dips) == 103 and between == [True] * 60 + [False] * 3 + [True] * 40


def test_what_reflects_all_has_no_swr_below_one():
    """Rounding may leave a pure reactance a reflection a hair above 1: its SWR is as good as infinite."""
    assert np.all(al.Sweep(np.linspace(7, 8, 601), 1j * np.linspace(-300, 300, 601)).swr > 1e9)
