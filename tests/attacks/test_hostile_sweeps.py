"""Sweep files that somebody else wrote: each is read or refused by a short sentence, in a moment."""

import os
import time

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import antlab as al
from antlab.antenna import touchstone
from antlab.antenna.touchstone import Dip

HEAD = "# MHz S RI R 50\n"


def refused(path, sentence, seconds=2.0):
    """The words that refuse a file: one printable line, short, and soon said."""
    start = time.process_time()
    with pytest.raises(ValueError, match=sentence) as error:
        al.read_sweep(path)
    assert time.process_time() - start < seconds
    said = str(error.value)
    assert said.isprintable() and len(said) < 330
    return said


def saved(folder, text, name="x.s1p"):
    path = folder / name
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def sweep_of(f, reflection):
    g = np.asarray(reflection, dtype=complex)
    return al.Sweep(f, al.circuit.impedance_of_reflection(g))


# --- many dips


def test_a_sweep_of_nothing_but_dips():
    """60,000 points with 15,000 dips took 37 s; none of them is lost, and the lowest are still fitted."""
    f = np.linspace(1, 60, 60_000)
    size = np.where(np.arange(f.size) % 4 == 2, 0.3, 0.8)
    size[1002::4000] = 0.1
    sweep = sweep_of(f, size)
    start = time.process_time()
    dips = sweep.dips()
    assert time.process_time() - start < 3
    assert len(dips) == 15_000
    at = {dip.f_mhz for dip in dips}
    assert sum(f_mhz in at for f_mhz in f[2::4]) >= 15_000 - touchstone._MOST_DIPS


@pytest.mark.parametrize("turned", [False, True])
def test_a_staircase_of_dips(turned):
    """Each lower than the last, so that each looks back over all of the sweep: no square of the points."""
    n = 60_000
    size = np.where(np.arange(n) % 2, 0.9, np.linspace(0.7, 0.1, n))
    sweep = sweep_of(np.linspace(1, 60, n), size[::-1] if turned else size)
    start = time.process_time()
    assert len(sweep.dips()) == n // 2 - 1
    assert time.process_time() - start < 3


def slow_climbs(low, *sides):
    """Whether both sides climb by 0.1 before they fall below, as it is said, point by point."""
    for side in sides:
        for size in side:
            if size < low:
                return False
            if size >= low + 0.1:
                break
        else:
            return False
    return True


@settings(max_examples=60)
@given(st.lists(st.sampled_from([0.0, 0.1, 0.15, 0.2, 0.3, 0.5, 0.9]), min_size=3, max_size=60))
def test_what_stands_out(sizes):
    """The quick way to see which minimum stands out against the slow one; one point each keeps fits aside."""
    sweep = sweep_of(np.linspace(7, 8, len(sizes)), sizes)
    size = np.abs(sweep.reflection)
    slow = [
        i for i in range(1, len(size) - 1)
        if size[i] < size[i - 1] and size[i] <= size[i + 1]
        and slow_climbs(size[i], size[i - 1 :: -1], size[i + 1 :])
    ]  # fmt: skip
    assert len(sweep.dips()) == len(slow)


@settings(max_examples=80)
@given(
    st.lists(
        st.tuples(
            st.floats(0.001, 3000), st.floats(0, 1e308) | st.sampled_from([0, 50, np.inf]),
            st.floats(-1e308, 1e308),
        ),
        min_size=1, max_size=12, unique_by=lambda point: point[0],
    ),
    st.sampled_from([1e-3, 50, 1e6]),
)  # fmt: skip
def test_any_sweep_can_be_looked_at(points, z0_ohm):
    """Poles of the fit, numbers near the end of all numbers: values, no warning, no SWR below 1, no NaN."""
    f, r, x = zip(*sorted(points), strict=True)
    sweep = al.Sweep(f, [complex(*one) for one in zip(r, x, strict=True)], z0_ohm)
    lowest = sweep.lowest()
    for dip in (*sweep.dips(), *([lowest] if lowest else [])):
        assert f[0] <= dip.f_mhz <= f[-1] and dip.swr >= 1
    assert not np.isnan(sweep.swr).any() and sweep.span().low_mhz is not None
    assert np.all(np.isfinite(sweep.resonances_mhz()))


def test_a_pole_beside_the_minimum():
    """Short, match, short: the fit goes through infinity, and the measured point is given in its place."""
    sweep = al.Sweep([1.0, 2011.0, 2321.0], [0, 50, 0])
    assert sweep.dips() == (Dip(2011.0, 1.0),) and sweep.lowest() == Dip(2011.0, 1.0)


def test_a_fine_sweep_is_thinned():
    """100,000 points around one minimum: found as from few of them, and in a moment."""
    f = np.linspace(6.8, 7.5, 100_000)
    z = 40 + 1j * 40 * 12 * (f / 7.123 - 7.123 / f)
    start = time.process_time()
    sweep = al.Sweep(f, z)
    (dip,) = sweep.dips()
    assert time.process_time() - start < 2
    assert dip.f_mhz == pytest.approx(7.123, rel=1e-4) and dip.swr == pytest.approx(1.25, abs=2e-3)


# --- large files


def test_as_many_points_as_are_read(tmp_path):
    """100,000 points are a sweep; one more is refused, and the sentence says how to sweep instead."""
    points = "".join(f"{i + 1} .5 0\n" for i in range(100_000))
    assert al.read_sweep(saved(tmp_path, HEAD.replace("MHz", "kHz") + points)).f_mhz.size == 100_000
    said = refused(saved(tmp_path, HEAD + points + "100001 .5 0\n"), "line 100002 is one point too many")
    assert "coarser steps" in said
    with pytest.raises(ValueError, match="a sweep of 100,001 points: 100,000 are read at most"):
        al.Sweep(np.linspace(1, 2, 100_001), np.full(100_001, 50))


BULK = {
    "a million comments": ("!\n" * 10**6 + HEAD + "7 0 0\n", "1,000,002 lines"),
    "a million empty lines": ("\r" * 10**6, "1,000,000 lines"),
    "more bytes than a sweep has": ("!" + "x" * 20_000_000, "more than 20,000,000 bytes"),
    "one line of numbers": (HEAD + "7 " * 5 * 10**6, "line 2 has 9,999,999 letters"),
    "one word of digits": (HEAD + "1" * 10**7 + "x 0 0\n", "line 2 has 10,000,005 letters"),
    "digits that go back and forth": (HEAD + "1" * 990 + "x 0 0\n", "'1{79}…' where a number"),
    "a word of ten thousand letters": (HEAD + "7 0 " + "y" * 10**4, "line 2 has 10,004 letters"),
    "a long word": (HEAD + "7 0 " + "y" * 900, "'y{79}…' where a number"),
    "a long unit": ("# " + "furlong" * 100 + " S RI R 50\n", "FUR.{0,11}… where # |FUR.*…' where #"),
    "long ohms": ("# MHz S RI R " + "5" * 900 + "\n", "'5{79}…' after R"),
    "a long first line": ("#" * 10**7, "line 1 has 10,000,000 letters"),
    "codes that steer a terminal": (HEAD + "7 0 \x1b[2J\x1b]0;x\x07\x9b31m\n", r"x1b\[2J"),
    "letters that turn the line round": (HEAD + "7 0 \u202e\u2066abc\n", r"'\\u202e\\u2066abc'"),
    "half letters": (HEAD.encode() + b"7 0 \xff\x80\n", r"'ÿ\\x80'"),
}


@pytest.mark.parametrize("what", BULK)
def test_bulk_is_refused_in_a_moment(tmp_path, what):
    """However long a file, its lines or its words: one short line that quotes 80 letters at most."""
    text, sentence = BULK[what]
    refused(saved(tmp_path, text), sentence)


def test_a_number_is_read_in_time_that_grows_with_its_letters():
    """Digits that end in a letter were tried in every division: a long line took for ever."""
    start = time.process_time()
    for word in ("1{}x", "1.{}x", "1e{}x", ".{}e", "-{}.", "{}"):
        assert bool(touchstone._NUMBER.fullmatch(word.format("1" * 30_000))) is (word in ("-{}.", "{}"))
    assert time.process_time() - start < 0.5


def test_a_sharp_reference_or_frequency(tmp_path):
    """Numbers beyond all measure are refused in words of the format, without a warning."""
    refused(saved(tmp_path, "# MHz S RI R 1e308\n7 .5 0\n"), "after R where")
    refused(saved(tmp_path, "# GHz S RI R 50\n1e308 .5 0\n"), "f_mhz must be")
    refused(saved(tmp_path, "# MHz S MA R 50\n7 1e308 1e308\n"), "reflects more")


# --- what is no file


needs_unix = pytest.mark.skipif(os.name == "nt", reason="pipes, devices and links of Unix")


@needs_unix
@pytest.mark.parametrize("target", ["/dev/zero", "/dev/full", "/dev/null", "/dev/random", "/dev/tty"])
@pytest.mark.parametrize("linked", [False, True])
def test_devices(tmp_path, target, linked):
    """Endless or silent, named or behind a link: refused before a byte is read."""
    path = tmp_path / "x.s1p"
    if linked:
        path.symlink_to(target)
    refused(path if linked else target, "cannot read ")


@needs_unix
def test_pipes_and_links(tmp_path):
    """A pipe without a writer doesn't hang; a link to a sweep, as some keep theirs, is read."""
    os.mkfifo(tmp_path / "pipe.s1p")
    refused(tmp_path / "pipe.s1p", "cannot read .*pipe.s1p: it is no plain file")
    saved(tmp_path, HEAD + "7 0 0\n", "true.s1p")
    (tmp_path / "link.s1p").symlink_to("true.s1p")
    assert al.read_sweep(tmp_path / "link.s1p").impedance == 50
    (tmp_path / "ring.s1p").symlink_to("ring.s1p")
    refused(tmp_path / "ring.s1p", "cannot read .*ring.s1p: ")


@pytest.mark.parametrize(
    "path",
    ["", ".", "/", "x\0.s1p", "x" * 10_000 + ".s1p", "x." + "s1" * 10_000 + "p", "\x1b[2J.s1p",
     "x.s" + "9" * 5000 + "p", "x.s\u0661p", "\udcff.s1p", "no/such/" * 40 + "x.s1p",
     7, None, b"x.s1p", [], object],
)  # fmt: skip
def test_paths_that_are_none(path, tmp_path, monkeypatch):
    """Whatever is named: a short, printable sentence, from the reader and from the writer."""
    monkeypatch.chdir(tmp_path)
    refused(path, "cannot read|path is the name|says .* ports")
    with pytest.raises(ValueError) as error:
        al.write_sweep(path, [7.1], [50])
        al.write_sweep(path, [7.1], [50])  # a name with a code in it is a name: it exists now
    assert str(error.value).isprintable() and len(str(error.value)) < 250


def test_a_bad_name_in_every_sentence(tmp_path):
    """What is wrong inside a file is told with its name, which may steer no terminal either."""
    name = "\x1b]0;owned\x07" + "n" * 150 + ".s1p"
    for text in ("", "x", HEAD + "x", "\0", HEAD + "7 9 0", HEAD + "8e9 0 0\n", "\n" * 300_000):
        try:
            path = saved(tmp_path, text, name)
        except OSError:
            pytest.skip("no such name can be given here")
        assert refused(path, r"\\x1b\]0;owned").count("n" * 60) == 1


# --- writing


@needs_unix
def test_nothing_is_written_through_a_link(tmp_path):
    """A link where the sweep goes is replaced with force, and is in the way without; its target stays."""
    other, path = saved(tmp_path, "mine", "other.txt"), tmp_path / "x.s1p"
    path.symlink_to(other)
    with pytest.raises(ValueError, match="exists"):
        al.write_sweep(path, [7.1], [50])
    al.write_sweep(path, [7.1], [50], force=True)
    assert other.read_text() == "mine" and not path.is_symlink()
    path.unlink()
    path.symlink_to(tmp_path / "nowhere")
    with pytest.raises(ValueError, match="exists"):
        al.write_sweep(path, [7.1], [50])
    assert sorted(one.name for one in tmp_path.iterdir()) == ["other.txt", "x.s1p"]


def test_a_full_disk_leaves_the_old_sweep(tmp_path, monkeypatch):
    """What was measured before is not lost to what could not be written."""
    path = al.write_sweep(tmp_path / "x.s1p", [7.1], [50])
    before = path.read_bytes()

    def full(handle):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(ValueError, match="cannot write .*x.s1p: No space left"):
        al.write_sweep(path, [7.1], [60], force=True)
    assert path.read_bytes() == before and [one.name for one in tmp_path.iterdir()] == ["x.s1p"]


@pytest.mark.parametrize(
    "thing", ["x" * 10**6, ["\x1b[2J" * 99], [10**5000], object(), [[1, 2], [3]], 10**400]
)
def test_values_that_are_none(thing):
    """No value of whatever length fills the screen."""
    for f_mhz, impedance in ((thing, [50]), ([7.1], thing)):
        with pytest.raises(ValueError) as error:
            al.Sweep(f_mhz, impedance)
        assert len(str(error.value)) < 250 and str(error.value).isprintable()
