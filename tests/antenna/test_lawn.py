"""What a phone takes along agrees with the engine, and a log comes home whole or not at all."""

import base64
import struct
from dataclasses import replace

import numpy as np
import pytest

import antlab as al
from antlab.antenna import fitting, lawn
from antlab.antenna.antenna_log import Changed, ReadOff, Undone
from antlab.antenna.bench import Advice
from antlab.antenna.lawn import Wires, mark_of, taken_along, wires_of, with_lawn_log
from antlab.classroom.paper.lawn import lawn_page
from antlab.classroom.paper.sheet.job import Job
from antlab.cli import main as cli
from antlab.units import Slip

AIMS = np.array([7.15, 21.2])


@pytest.fixture(scope="module")
def antenna():
    """One whose planned lengths are told, so that nothing is solved."""
    yard = al.Yard(hung="level", heights_m=(9, 9))
    trap = al.Trap(inductance_uh=2.5, capacitance_pf=50.25)
    return al.Antenna(
        name="lawn", yard=yard, trap=trap, planned_m=(5.136, 3.317), planned_mhz=(7.151, 14.191)
    )


def log(antenna, *lines, count=None, mark=None):
    """A log as the page writes it."""
    count = len(lines) if count is None else count
    head = f"antlab lawn log 1, antenna {mark or mark_of(antenna)}, {antenna.name}"
    return "\n".join([head, *lines, f"end of {count} line{'' if count == 1 else 's'}", ""])


READ = "2026-05-01 14:30:05 lowest SWR: low 6.98 MHz, high none"
CUT = "2026-05-01 14:41:00 changed each leg: inner -0.074 m, outer +0.000 m"


def test_the_table_is_the_engine():
    """Also on 15 metres, where the outer wire alone is a half wave; with few knots to 0.003."""
    trap = al.Trap(inductance_uh=1.7, capacitance_pf=33)
    dipole = al.Dipole(inner_m=3.37, outer_m=5.24, trap=trap, shape=al.FlatTop(height_m=9))
    wires = wires_of(dipole, np.array(dipole.sections), AIMS, knots=(4, 6))
    for lengths, tuned in (((3.1, 4.6), 1.0), ((3.7, 5.9), 0.96), ((3.4, 5.2), 1.05)):
        other = replace(trap, inductance_uh=trap.inductance_uh * tuned)
        hung = replace(dipole, sections=lengths, traps=(other,))
        for band in (0, 1):
            f, z = wires.around(band, lengths, other)
            true = hung.impedance(f)
            assert np.max(np.abs((z - 50) / (z + 50) - (true - 50) / (true + 50))) < 3e-3
            assert f[[0, -1]] == pytest.approx(fitting.windows(AIMS)[band])


def test_a_steep_vee_stays_one():
    """Its leg is no shorter in the table than it falls, however near that is."""
    trap = al.Trap(inductance_uh=2.5, capacitance_pf=50.25)
    vee = al.InvertedVee(apex_m=12, ends_m=4.2)
    wires = wires_of(
        al.Dipole(inner_m=5.1, outer_m=3.3, trap=trap, shape=vee), (5.1, 3.3), AIMS, knots=(2, 3)
    )
    assert 7.8 / 0.966 < np.sum(wires.middle_m - wires.half_m) < 8.2


def test_a_log_comes_home(antenna):
    """What was measured and what was cut, each with its date; what came home before is there once."""
    home = with_lawn_log(antenna, "from my phone\n\n" + log(antenna, READ, CUT).replace("\n", "\r\n"))
    read, cut = home.log
    assert (read.date, read.low_mhz, read.high_mhz) == ("2026-05-01 14:30:05", 6.98, None)
    assert cut == Changed(date="2026-05-01 14:41:00", inner_m=-0.074, outer_m=0.0)
    assert "the upper one shows nothing" in read.advice.text
    assert home.cut_m == pytest.approx((5.062, 3.317))
    later = CUT.replace("14:41", "15:02")
    again = with_lawn_log(home, log(antenna, READ, CUT, later))
    assert len(again.log) == 3 and again.log[:2] == home.log


@pytest.mark.parametrize(
    ("lines", "made", "said"),
    [
        ((READ,), {"mark": "0123abcd"}, "of another antenna"),
        ((READ, CUT), {"count": 3}, "says 3 lines and has 2"),
        ((READ, "2026-05-01 lowest"), {}, "line 3 .* not as the page writes it"),
        (
            ("2026-15-01 14:30:05 lowest SWR: low 6.98 MHz, high none",),
            {},
            "line 2 .* not as the page writes",
        ),
        (("2026-05-01 14:30:05 lowest SWR: low 6.9.8 MHz, high none",), {}, "line 2 .* not as the page"),
        ((READ, CUT.replace("0.074", "5.2")), {}, "line 3 of the lawn log: .*nothing of the wire"),
        ((READ.replace("6.98", "0"),), {}, "line 2 of the lawn log: "),
    ],
)
def test_a_log_that_is_none(antenna, lines, made, said):
    """One sentence, and the line where there is one."""
    with pytest.raises(Slip, match=said):
        with_lawn_log(antenna, log(antenna, *lines, **made))


@pytest.mark.parametrize(
    ("keep", "said"), [(0, "begins with"), (1, "cut off after line 1"), (2, "cut off after")]
)
def test_a_log_that_is_cut_off(antenna, keep, said):
    """Half a message loses nothing: it is not taken, and says so."""
    text = log(antenna, READ, CUT).splitlines()[:keep]
    with pytest.raises(Slip, match=said):
        with_lawn_log(antenna, "\n".join(text))


def test_trim_takes_it_into_the_file(antenna, tmp_path, capsys, monkeypatch):
    """`antlab trim NAME.json --from-phone FILE` keeps it and says what is next; twice is once."""
    monkeypatch.setattr(cli, "settle", lambda extra, argv: None)
    path, text = antenna.save(tmp_path / "lawn.json"), tmp_path / "lawn.txt"
    text.write_text(log(antenna, READ, CUT), encoding="utf-8-sig")
    for said in ("From the phone: 2 new lines.", "nothing new"):
        assert cli.main(["trim", str(path), "--from-phone", str(text)]) == 0
        shown = capsys.readouterr().out
        assert said in shown and "-7.4 cm" in shown and "Sweep both bands" in shown
    assert len(al.read_antenna(path).log) == 2
    text.write_text(log(antenna, READ, CUT)[:-5], encoding="utf-8")
    assert cli.main(["trim", str(path), "--from-phone", str(text)]) == 2
    assert "not as the page writes it" in capsys.readouterr().err
    assert cli.main(["trim", str(path), "--from-phone", str(tmp_path / "none.txt")]) == 2
    assert "can't be read" in capsys.readouterr().err


def test_the_page_counts_the_sag_as_the_sheet_does(antenna):
    """Where all may be while one sends is less high by what a level wire sags: the same words on both."""
    there, page = Job.of(antenna).hanging, lawn_page(antenna, {"reckoning": None})
    straight = min(antenna.design.exposure(aim)["clear_below_m"] for aim in antenna.design.aims)
    clear = there.clear_below_m(antenna.plan)
    assert there.sag_m > 0.3 and clear == pytest.approx(straight - there.sag_m)
    assert f'below <span class="m">{np.floor(10 * clear) / 10:.1f} m</span>' in page
    assert f'lower by about <span class="m">{there.sag_m:.2f} m</span>' in page
    assert '<span class="m">0.15 m</span>' in page and "5 15/16 in" in page.replace("\u00a0", " ")


def leg(inner_m, outer_m, shape=None):
    """A dipole that nothing is asked of but its lengths and how it hangs."""
    shape = shape or al.FlatTop(height_m=9)
    trap = al.Trap(inductance_uh=2.5, capacitance_pf=50.25)
    return al.Dipole(inner_m=inner_m, outer_m=outer_m, trap=trap, shape=shape)


EDGES = [  # inner and outer wire now, and by how much they may be shorter and longer
    ((5.0, 3.0), None, (0.8, 1.2), (0.8, 1.2)),  # 16 % of the inner one, 15 % of the leg
    ((5.0, 1.0), None, (0.8, 0.75), (0.8, 0.9)),  # of a short outer one three quarters at the most
    # a leg of 10 m that falls by 8.5 m, at most 0.966 of it: 0.98 (10 - 8.5 / 0.966) = 1.177 of 0.96 + 1.5 m
    ((6.0, 4.0), al.InvertedVee(apex_m=12, ends_m=3.5), (0.459, 0.718), (0.96, 1.5)),
]


@pytest.mark.parametrize(("now", "shape", "less", "more"), EDGES)
def test_what_is_rational_comes_back_as_it_is(monkeypatch, now, shape, less, more):
    """a, b and c with one pole in the outer wire's length are known between the knots too, by a formula."""
    less, more = np.array(less), np.array(more)
    middle, half = np.array(now) + (more - less) / 2, (more + less) / 2
    poles, asked = np.array([1.8 + 0.4j, -1.6 + 0.2j]), []

    def abc(x, y, band):
        rest = np.array([30 + 5 * x + 4 * y * y, 900j * (1 + 0.1 * x * x), 2000 * (1 + 0.3 * x * y)])
        return rest / (y - poles[band])

    def seen(dipole, lengths_m, aims_mhz):
        x, y = (lengths_m - middle) / half
        asked.append((x, y))
        return np.array([np.tile(abc(x, y, band), (fitting.POINTS, 1)) for band in (0, 1)])

    monkeypatch.setattr(lawn, "_from_the_feed", seen)
    dipole = leg(*now, shape)
    wires = wires_of(dipole, now, AIMS, knots=(4, 6))
    assert len(asked) == 24 and np.max(np.abs(asked)) == pytest.approx(np.cos(np.pi / 12), abs=2e-3)
    assert wires.middle_m - wires.half_m == pytest.approx(now - less, abs=1e-3)
    assert wires.middle_m + wires.half_m == pytest.approx(now + more, abs=1e-3)
    for band in (0, 1):
        assert wires.pole[band] == pytest.approx(poles[band], abs=2e-2)
        for x, y in ((0.0, 0.0), (-0.7, 0.9), (1.0, -1.0)):
            f, z = wires.around(band, middle + half * (x, y), dipole.trap)
            a, b, c = abc(x, y, band)
            t = dipole.trap.impedance(f)
            assert f.shape == (fitting.POINTS,) and z == pytest.approx((c + a * t) / (b + t), rel=5e-3)


@pytest.mark.parametrize(("leg_m", "top_mhz"), [(10, 28.5 * 1.07), (20, 1200 / 40)])
def test_no_frequency_is_asked_beyond_the_engine(leg_m, top_mhz):
    """7 % to either side of an aim; of 40 m of wire the engine knows up to 30 MHz, four waves along it."""
    low, high = lawn._frequencies(np.array([7.15, 28.5]), (0.6 * leg_m, 0.4 * leg_m))
    assert (low[0], low[-1]) == pytest.approx((7.15 / 1.07, 7.15 * 1.07))
    assert (high[0], high[-1]) == pytest.approx((28.5 / 1.07, top_mhz), rel=2e-3)


def test_lengths_beyond_are_taken_at_the_edge():
    """Who enters another metre gets what is known nearest; the trap is as it is at those frequencies."""
    weights = np.zeros((2, 2, 2, fitting.POINTS, 3), complex)
    weights[0, 0], weights[1, 0, :, :, 0], weights[0, 1, :, :, 2] = (20, 300j, 4000), 2, 500
    wires = Wires(AIMS, np.array([5.0, 3.0]), np.array([0.5, 0.25]), np.full((2, 45), 3j), weights)
    trap = al.Trap(inductance_uh=2.5, capacitance_pf=50.25)
    for lengths, x, y in (((5.25, 2.75), 0.5, -1), ((9, 3), 1, 0), ((1, 4), -1, 1), ((5, 2), 0, -1)):
        f, z = wires.around(1, lengths, trap)
        t = trap.impedance(f)
        assert z == pytest.approx((4000 + 500 * y + (20 + 2 * x) * t) / (300j + (y - 3j) * t))


@pytest.fixture(scope="module")
def home(antenna):
    """What the phone gets of one that was measured, cut, and measured again, its advice not followed yet."""
    advice = Advice(low_mhz=7.0, high_mhz=14.0, inner_m=-0.03, outer_m=0.04)
    read = ReadOff(date="2026-05-01 14:30", low_mhz=7.0, high_mhz=14.0, advice=advice)
    cut = Changed(date="2026-05-01 14:40", inner_m=-0.02, outer_m=0.01)
    return replace(antenna, log=(read, cut, replace(read, date="2026-05-01 14:50")))


@pytest.fixture(scope="module")
def along(home):
    return taken_along(home, knots=(1, 3))


def test_the_phone_begins_where_the_log_ends(along, home):
    """Name and mark, each line's date, the lengths and steps so far, and the advice that waits."""
    assert (along["name"], along["mark"], along["known"]) == (
        "lawn", mark_of(home), ["2026-05-01 14:30", "2026-05-01 14:40", "2026-05-01 14:50"],
    )  # fmt: skip
    start = along["start"]
    assert start["lengths_m"] == pytest.approx([5.116, 3.327]) and start["steps"] == [[-0.02, 0.01]]
    waits = start["pending"]
    assert (waits["inner_m"], waits["outer_m"], waits["fit"], waits["fault"]) == (-0.03, 0.04, None, "")
    assert waits["done"] is waits["measure_traps"] is False and start["measured"] is True
    assert along["aims_mhz"] == [7.151, 14.191] and along["z0_ohm"] == 50
    assert along["trap"] == {"inductance_uh": 2.5, "capacitance_pf": 50.25, "q": 200}
    assert along["traps_measured"] is False


def test_what_was_undone_was_not_measured(antenna, home, monkeypatch):
    """Then the page asks for a measurement first, as the command does."""
    monkeypatch.setattr(lawn, "wires_of", lambda *_, **__: None)
    monkeypatch.setattr(lawn, "packed", lambda trimming, advice, wires: {"start": {"pending": advice}})
    undone = (home.log[0], Undone(date="2026-05-01 14:31"))
    assert taken_along(replace(antenna, log=undone))["start"] == {"pending": None, "measured": False}
    assert taken_along(replace(antenna, log=home.log[:1]))["start"]["measured"] is True


def test_numbers_reach_the_phone_as_they_are(along, home):
    """Single precision, least byte first, real and imaginary part in turn, a knot after the other."""
    wires = wires_of(home.trimming.known, home.trimming.lengths_m, home.trimming.aims_mhz, knots=(1, 3))
    for name, true in (("pole", wires.pole), ("weights", wires.weights)):
        raw = base64.b64decode(along["wires"][name])
        numbers = np.array(struct.unpack(f"<{len(raw) // 4}f", raw)).reshape(-1, 2)
        assert numbers @ [1, 1j] == pytest.approx(true.ravel().astype(complex), rel=1e-6)
    assert tuple(along["wires"]["knots"]) == (1, 3) and along["wires"]["points"] == 45


def test_where_a_wire_without_traps_is_resonant(along, home):
    """The phone's polynomial of a length is where the engine has the plain wire's lowest SWR, to 0.05 %."""
    plain = along["plain"]
    for x in (-1, 0.3, 1):
        length = plain["middle_m"] + plain["half_m"] * x
        told = np.polynomial.chebyshev.chebval(x, plain["weights"]) / length
        f = told * (1 + np.arange(-20, 21) / 2000)
        swr = al.Dipole(inner_m=length, shape=home.yard.shape, soil="average").swr(f)
        assert np.argmin(swr) in (19, 20, 21)
        assert 71 < told * length < 73, "a quarter wave, some 4 % short (a fact of the trade)"


LINE = "2026-05-01 14:41:00 changed each leg: inner -0.001 m, outer +0.000 m"


def test_a_log_may_have_a_thousand_lines(antenna):
    """No more are kept in an antenna's log either; what stands behind the end is left alone."""
    for many in (0, 1, 1000):
        entries = lawn._lines(antenna, "\n" + log(antenna, *[LINE] * many) + "\nsent from a phone\n")
        assert [number for number, _ in entries] == list(range(3, 3 + many))
    with pytest.raises(Slip, match="more than 1000 lines"):
        lawn._lines(antenna, log(antenna, *[LINE] * 1001))
    with pytest.raises(Slip, match="begins with .* once"):
        lawn._lines(antenna, log(antenna, LINE) * 2)


def test_lines_that_tell_the_same_are_there_once(antenna):
    """The same cut at the same second is one; another second, another length or another kind is more."""
    one = antenna.changed(inner_m=-0.001, date="2026-05-01 14:41:00")
    for line, lines in ((LINE, 1), (LINE.replace("41:00", "41:01"), 2), (LINE.replace("0.001", "0.002"), 2)):
        assert len(with_lawn_log(one, log(one, line)).log) == lines


def test_the_mark_is_of_wires_and_aims(antenna):
    """Another name or log has the same mark; a tenth of a millimetre or of a kilohertz another."""
    mark = mark_of(antenna)
    assert mark == mark_of(replace(antenna, name="other")) == mark_of(antenna.changed(inner_m=-0.1))
    others = [
        replace(antenna, hung_m=(5.1361, 3.317)), replace(antenna, hung_m=(5.136, 3.3171)),
        replace(antenna, planned_mhz=(7.1511, 14.191)), replace(antenna, planned_mhz=(7.151, 14.1911)),
    ]  # fmt: skip
    assert len({mark, *map(mark_of, others)}) == 5 and len(mark) == 8
