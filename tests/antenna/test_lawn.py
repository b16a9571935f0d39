"""What a phone takes along agrees with the engine, and a log comes home whole or not at all."""

from dataclasses import replace

import numpy as np
import pytest

import antlab as al
from antlab.antenna import fitting
from antlab.antenna.antenna_log import Changed
from antlab.antenna.lawn import mark_of, wires_of, with_lawn_log
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
