"""trim.py: what was measured and done goes into the file, a page of words comes back; signs and counts."""

import re
import shutil
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import antlab as al
from antlab.antenna.antenna_log import Changed, KeptAdvice, ReadOff, Swept, TrapsMeasured, Undone
from antlab.antenna.bench import MeasuredTrap, Trimming
from antlab.antenna.lawn import mark_of
from antlab.antenna.safety import cautions_for
from antlab.antenna.tape import Tape
from antlab.antenna.trim import ALONE, NO_PHASE, page_of, trap_alone
from antlab.units import Slip, parse_length
from tests.copies import from_copy

KEPT = Path(__file__).parent / "antennas" / "version-1.json"
DAY = "2026-05-01 10:00"
OWN = from_copy(KEPT)  # 5.0024 and 3.2515 m, to be lowest at 7.1443 and 14.2 MHz
SHORTER = KeptAdvice(low_mhz=7.1, high_mhz=14.055, inner_m=-0.083, outer_m=0.02)
SWEEP = al.Sweep([7.0, 7.1, 14.0, 14.1], [50, 60, 70 - 5j, 80])
SWEPT = Swept(date=DAY, sweeps=(SWEEP,), files=("one.s1p",), advice=SHORTER)
READ = ReadOff(date=DAY, low_mhz=7.1, high_mhz=14.055, advice=SHORTER)
MADE = Changed(date="2026-05-01 10:10", inner_m=-0.1, outer_m=0.0)


def trap(f_mhz):
    planned = OWN.trap.trap
    off = planned.resonance_mhz / f_mhz
    return MeasuredTrap(
        al.Trap(inductance_uh=planned.inductance_uh * off, capacitance_pf=planned.capacitance_pf * off), 0, 0
    )


def own(*log):
    return replace(OWN, name="lawn", log=log)


def sections(page):
    """The page by its headings, each section in one line of words."""
    parts = [part.split("\n", 1) for part in page.split("\n\n")]
    return {parts[0][0]: "", **{heading: " ".join(said.split()) for heading, said in parts}}


def kept(folder, *log):
    return own(*log).save(folder / "lawn.json")


@pytest.fixture(autouse=True)
def unasked(monkeypatch):
    """Nobody fits a curve here: an advice is SHORTER."""
    for name in ("advise", "advise_sweep"):
        monkeypatch.setattr(Trimming, name, lambda *_, **__: SHORTER)


def test_the_whole_page():
    """What was seen, how far off and to which side, the wires now, what is next, and how to write it down."""
    page = sections(page_of(own(SWEPT)))
    assert list(page) == [
        "lawn: trimming, 40 metres and 20 metres", "THE LOG", "MEASURED",
        "THE WIRES NOW, ONE LEG, FROM EYE TO EYE", "BEFORE YOU TOUCH IT", "DO THIS NEXT", "THEN",
    ]  # fmt: skip
    short, log, seen, wires, before, do, then = page.values()
    change = "Shorten each inner wire by 8.3 cm (3.3 in). Lengthen each outer wire by 2.0 cm (0.8 in)."
    assert short == f"{change} Read the whole page before you do it." and do.startswith(change)
    assert log == f"{DAY} Swept, one.s1p: lowest SWR at 7.100 and 14.055 MHz"
    assert seen == (
        f"Swept, one.s1p, {DAY}. 40 metres: lowest SWR at 7.100 MHz, wanted at 7.144 MHz: 0.6 % low. "
        "20 metres: lowest SWR at 14.055 MHz, wanted at 14.200 MHz: 1.0 % low."
    )
    assert wires.startswith("Each inner wire: 5.003 m (16 ft 5 in); planned 5.003 m (16 ft 5 in). Each outer")
    assert all(" ".join(one.split()) in before for one in (*cautions_for("trimming").values(), ALONE))
    assert then == (
        'Write down what you really did: al.trim("lawn.json", inner_m=-0.083, outer_m=0.020) '
        'Sweep again: al.trim("lawn.json", "SWEEP.s1p") '
        'To see what folding does: live.trimming(log=al.read_antenna("lawn.json"))'
    )
    assert "live." not in page_of(own(SWEPT), command=True) + page_of(own(READ)), "in a notebook, of a sweep"
    lines = page_of(own(SWEPT)).splitlines()
    assert 70 < max(map(len, lines)) <= 80 and lines[1].startswith("  Shorten"), "a cell holds 80 letters"
    assert any(line.startswith("    ") for line in lines)
    lines = page_of(own(), notes=["a" * 40 + " " + "b" * 37, "a" * 70 + " --low-mhz"]).splitlines()
    assert "  " + "a" * 40 + " " + "b" * 37 in lines and "    --low-mhz" in lines, "words stay whole"


def test_a_page_in_feet():
    """Feet and inches stand first, to a sixteenth; what is typed has them too, and is read so."""
    page = sections(page_of(own(SWEPT), command=True, tape=Tape(first="feet")))
    change = "Shorten each inner wire by 3 1/4 in (8.3 cm). Lengthen each outer wire by 13/16 in (2.0 cm)."
    assert page["DO THIS NEXT"].startswith(change)
    assert "--made inner=-3-1/4in outer=13/16in --first feet Sweep again:" in page["THEN"]
    made = page_of(own(SWEPT, MADE), tape=Tape(first="feet"))
    assert "each inner wire -3 15/16 in (-10.0 cm)" in made and 'first="feet")' in made
    for first, not_first in (("feet", r"[\d.]+ c?m \("), ("metres", r"in \(")):
        said = page_of(own(SWEPT, MADE), tape=Tape(first=first))
        assert " in" in said and " m" in said and not re.search(not_first, said)
    for cm in (0.1, 1.5, 8.3, 30.5, 76.2):
        typed = Tape(first="feet").change(-cm / 100).replace(" in", "in").replace(" ", "-")
        assert parse_length(typed, units=("cm", "in")) == pytest.approx(cm / 100, abs=0.0254 / 32 + 1e-9)


def test_the_wires_as_they_are_now():
    """What was cut off is off the length that stands on the page, and only of the wire that was cut."""
    wires = sections(page_of(own(SWEPT, MADE)))["THE WIRES NOW, ONE LEG, FROM EYE TO EYE"]
    assert "Each inner wire: 4.903 m" in wires and "Each outer wire: 3.252 m" in wires
    assert "planned 5.003 m" in wires and "planned 3.252 m" in wires


@pytest.mark.parametrize(
    ("seen", "words"),
    [(7.2, "0.8 % high"), (7.1, "0.6 % low"), (7.1443 * 1.00049, "right there"), (7.1443, "right there"),
     (7.1443 * 1.0005001, "0.1 % high"), (7.1443 * 0.99949, "0.1 % low")],
)  # fmt: skip
def test_how_far_off(seen, words):
    """Too low is said of a wire too long, too high of one too short; by hand, in percent of the aim."""
    advice = replace(SHORTER, low_mhz=seen, high_mhz=None)
    said = sections(page_of(own(replace(READ, advice=advice))))["MEASURED"]
    assert f"wanted at 7.144 MHz: {words}. 20 metres: no lowest SWR to be seen; wanted at 14.200 MHz." in said
    assert said.startswith(f"Read off a meter, {DAY}.")


def test_lines_of_the_log():
    """Each kind of line in words; lengths in centimetres and inches with their sign."""
    both = Changed(date=DAY, inner_m=-0.127, outer_m=0.0254)
    none = Changed(date=DAY, inner_m=0.0, outer_m=0.0)
    traps = TrapsMeasured(date=DAY, traps=(trap(14.0), trap(14.1)))
    silent = replace(SHORTER, high_mhz=None)
    log = (replace(SWEPT, files=()), both, MADE, none, replace(READ, advice=silent), traps, Undone(date=DAY))
    said = page_of(own(*log)).replace("\n    ", " ").split("\n\n")[1].splitlines()[1:]
    assert [" ".join(line.split(maxsplit=2)[2:]) for line in said] == [
        "Swept: lowest SWR at 7.100 and 14.055 MHz",
        "changed: each inner wire -12.7 cm (-5.0 in), each outer wire +2.5 cm (+1.0 in)",
        "changed: each inner wire -10.0 cm (-3.9 in)",
        "changed: nothing",
        "read off a meter: lowest SWR at 7.100 and none MHz",
        "traps measured: 14.00 MHz, 14.10 MHz",
        "the line before was a slip",
    ]
    assert "Swept:" not in page_of(own(replace(SWEPT, files=(), advice=None))).split("\n\n")[0]
    assert sections(page_of(own()))["THE LOG"] == "It is empty."
    high = replace(SHORTER, low_mhz=None, high_mhz=12.78)
    seen = sections(page_of(own(replace(READ, advice=high))))["MEASURED"]
    assert "40 metres: no lowest SWR" in seen and "wanted at 14.200 MHz: 10.0 % low" in seen
    many = [Changed(date=f"2026-05-01 10:{n}", inner_m=0.0, outer_m=0.0) for n in range(10, 35)]
    assert [line.split()[1] for line in page_of(own(*many)).split("\n\n")[1].splitlines()[1:]] == [
        f"10:{n}" for n in range(15, 35)
    ], "the last twenty"


def test_an_swr_without_phase_says_what_it_cannot_tell():
    """One of two sweeps without phase is enough; with phase nothing is said."""
    bare = al.Sweep([14.0, 14.1, 14.2], [50, 60, 70], phase=False)
    assert NO_PHASE in sections(page_of(own(replace(SWEPT, sweeps=(SWEEP, bare)))))["MEASURED"]
    assert NO_PHASE not in page_of(own(SWEPT)).replace("\n    ", " ")
    assert NO_PHASE not in page_of(own(READ)).replace("\n    ", " ")


TRAP = "traps=al.bench.trap_from_two(f_mhz=14.10, lower_mhz=10.22, added_pf=20)"
WORDS = "--trap alone=14.10MHz lower=10.22MHz added=20pF"
METER, ALONE_TOO = "With a meter that shows SWR alone:", "with what you measured: alone, and with a known"
TUNED, DONE, MENDED = (
    "If you tuned the traps, measure each alone:", "Write down what you really did:",
    "When that is mended, sweep again:",
)  # fmt: skip
THEN = [  # as a call, and as words of a command
    (None, 'With a file: {call}, "SWEEP.s1p") ' + METER + " {call}, low_mhz=7.05, high_mhz=14.1), where",
     "With a file: {trim} SWEEP.s1p " + METER + " {trim} --low-mhz 7.05 --high-mhz 14.1, where"),
    ({"measure_traps": True}, "{call}, " + TRAP + "), " + ALONE_TOO
     + " capacitor across it; without one: {call}, traps=14.10)",
     "{trim} " + WORDS + ", " + ALONE_TOO
     + " capacitor across it; without one: {trim} --trap alone=14.10MHz"),
    ({"nearest": True, "done": True},
     TUNED + " {call}, inner_m=0, outer_m=0, " + TRAP + ') Sweep again: {call}, "SWEEP.s1p")',
     TUNED + " {trim} --made inner=0 outer=0 " + WORDS + " Sweep again: {trim} SWEEP.s1p"),
    ({"inner_m": -0.05}, DONE + " {call}, inner_m=-0.050, outer_m=0) Sweep again: {call}, ",
     DONE + " {trim} --made inner=-5.0cm outer=0 Sweep again: {trim} SWEEP.s1p"),
    ({"outer_m": 0.0312}, DONE + " {call}, inner_m=0, outer_m=0.031) Sweep again: ",
     DONE + " {trim} --made inner=0 outer=3.1cm Sweep again: {trim} SWEEP.s1p"),
    ({"fault": "A joint is open."}, MENDED + ' {call}, "SWEEP.s1p")', MENDED + " {trim} SWEEP.s1p"),
    ({"done": True}, "", ""),
]  # fmt: skip


@pytest.mark.parametrize(
    ("advice", "call", "words"), THEN, ids=[str(one and next(iter(one))) for one, *_ in THEN]
)
def test_what_is_typed_then(advice, call, words):
    """What goes on from each kind of advice, as it was asked; nothing where all is done."""
    log = () if advice is None else (replace(READ, advice=KeptAdvice(low_mhz=7.1, high_mhz=14.2, **advice)),)
    asked = {"trim": "python3 -m antlab trim x.json", "call": 'al.trim("x.json"'}
    for command, said in ((False, call), (True, words)):
        page = sections(page_of(own(*log), file="x.json", command=command))
        assert page.get("THEN", "").startswith(said.format(**asked))
        assert said or "THEN" not in page


@pytest.mark.parametrize(
    ("advice", "short"),
    [(None, "Sweep both bands. Read the whole page before you do it."),
     ({"outer_m": -0.02}, "Shorten each outer wire by 2.0 cm (0.8 in). Read the whole page before"),
     ({"fault": "A joint is open. Look.", "inner_m": -0.02}, "Do not cut."),
     ({"done": True}, "Both bands are where they should be."),
     ({"nearest": True, "done": True}, "No change of length brings both bands")],
)  # fmt: skip
def test_what_to_do_stands_first(advice, short):
    """In short, before half a screen of cautions, none of which is lost; behind a fault no length stands."""
    log = () if advice is None else (replace(READ, advice=KeptAdvice(low_mhz=7.1, high_mhz=14.2, **advice)),)
    page = sections(page_of(own(*log)))
    assert next(iter(page.values())).startswith(short)
    assert all(
        " ".join(one.split()) in page["BEFORE YOU TOUCH IT"] for one in cautions_for("trimming").values()
    )


def test_what_is_typed_names_the_file_as_it_was_named(tmp_path, monkeypatch):
    """A notebook's antenna may lie in the folder above: what is to be typed finds it."""
    path = kept(tmp_path, READ)
    (tmp_path / "notebooks").mkdir()
    monkeypatch.chdir(tmp_path / "notebooks")
    assert 'al.trim("../lawn.json", inner_m=-0.083' in " ".join(al.trim().split())
    with pytest.raises(Slip, match=r'first, al.trim\("../lawn.json", inner_m=-0.083, outer_m=0.020\); or 0'):
        al.trim("../lawn.json", low_mhz=7.0, high_mhz=14.0)
    with pytest.raises(Slip, match="first, python3 -m antlab trim lawn.json --made inner=-8.3cm outer=2.0cm"):
        al.trim(path, low_mhz=7.0, high_mhz=14.0, command=True)


def test_traps_by_where_they_dip(tmp_path):
    """A number is the frequency of a trap alone, and two are one of each leg."""
    path = kept(tmp_path)
    al.trim(path, traps=14.1)
    al.trim(path, traps=(14.1, 14))
    for line, dips in zip(al.read_antenna(path).log, ([14.1], [14.1, 14.0]), strict=True):
        assert [one.trap.resonance_mhz for one in line.traps] == pytest.approx(dips)
        assert line.traps[0].inductance_error == 0.04


def test_reasons_are_told_but_not_behind_a_fault():
    """A fault stands alone, since reasons for lengths would invite a cut; else they follow the advice."""
    sound = replace(SHORTER, because=("The traps seem 0.7 % lower.",))
    do = "DO THIS NEXT"
    assert sections(page_of(own(replace(READ, advice=sound))))[do].endswith("The traps seem 0.7 % lower.")
    fault = replace(sound, fault="A joint is open.", inner_m=0.0, outer_m=0.0)
    assert "lower" not in sections(page_of(own(replace(READ, advice=fault))))[do]
    empty = sections(page_of(own()))[do]
    assert empty.startswith("Sweep both bands, wide enough: from 8 % below to 8 % above each aim")
    assert empty.endswith("Aims: 7.144 MHz and 14.200 MHz.")


@pytest.mark.parametrize(("other", "told"), [(14.13, False), (14.15, True), (13.85, True), (13.87, False)])
def test_traps_that_are_not_alike(other, told):
    """Two that are more than 1 % apart, either way, are tuned first; one alone has nobody to be like."""
    traps = TrapsMeasured(date=DAY, traps=(trap(other), trap(14.0)), advice=SHORTER)
    page = sections(page_of(own(READ, traps)))
    do = page["DO THIS NEXT"]
    assert (f"The two traps are not alike, {other:.2f} and 14.00 MHz" in do) is told
    assert ("each inner wire by" not in do and "Change no wire" in next(iter(page.values()))) is told
    assert ("--trap" in page["THEN"] or "traps=" in page["THEN"]) is told
    one = replace(traps, traps=(trap(other),))
    assert "alike" not in sections(page_of(own(READ, one)))["DO THIS NEXT"]


@pytest.mark.parametrize(
    ("off", "told"), [(0.97, "3.0 % too low for the plan's 14.20"), (1.02, "2.0 % too high"), (0.99, "")]
)
def test_traps_off_the_plan_are_mended_first(off, told):
    """From 1.5 % on it is said before the wires' change, which stays: it reckons with traps as they are."""
    planned = al.Trap(inductance_uh=2.512, capacitance_pf=50.0)
    traps = TrapsMeasured(date=DAY, traps=(trap(planned.resonance_mhz * off),), advice=SHORTER)
    do = sections(page_of(replace(own(READ, traps), trap=planned)))["DO THIS NEXT"]
    assert ("The traps are" in do) == bool(told) and told in do
    assert not told or do.index("The traps are") < do.index("Shorten")


def test_a_trap_of_another_antenna_is_refused():
    """53 pF by two resonances, where the plan has 22: it was another capacitor, or another resonance."""
    antenna = al.Antenna(name="lawn", yard=al.Yard(hung="level", heights_m=(9, 9)))
    with pytest.raises(Slip, match="a trap has 53 pF, and the plan's has 22"):
        antenna.with_traps(al.bench.trap_from_two(f_mhz=14.2, lower_mhz=12.1, added_pf=20))
    typed = re.search(r"alone=([\d.]+)MHz lower=([\d.]+)MHz added=(\d+)pF", _typed_for(antenna))
    f, lower, added = map(float, typed.groups())
    shown = al.bench.trap_from_two(f_mhz=f, lower_mhz=lower, added_pf=added)
    assert shown.trap.capacitance_pf == pytest.approx(antenna.trap.trap.capacitance_pf, rel=0.03)
    assert antenna.with_traps(shown).measured_traps


def _typed_for(antenna):
    advice = KeptAdvice(low_mhz=7.1, high_mhz=14.2, measure_traps=True)
    page = page_of(replace(antenna, log=(replace(READ, advice=advice),)), command=True)
    return " ".join(page.split())


def test_a_trap_of_one_resonance():
    """Coil and capacitor in the planned ratio, so each goes as the inverse of the resonance; 4 % unsure."""
    planned = OWN.trap.trap
    found = trap_alone(OWN, f_mhz=planned.resonance_mhz / 1.02)
    assert found.trap.inductance_uh == pytest.approx(1.02 * planned.inductance_uh)
    assert found.trap.capacitance_pf == pytest.approx(1.02 * planned.capacitance_pf)
    assert found.trap.q == planned.q and (found.inductance_error, found.capacitance_error) == (0.04, 0.04)
    two = trap_alone(OWN, f_mhz=14.2, lower_mhz=14.2 / np.sqrt(2), added_pf=47)
    assert two.trap.capacitance_pf == pytest.approx(47) and two.trap.q == planned.q
    for half in ({"lower_mhz": 12.0}, {"added_pf": 20}):
        with pytest.raises(Slip, match="give both, or neither"):
            trap_alone(OWN, f_mhz=14.2, **half)


def test_tuned_traps_make_what_was_swept_before_old():
    """Where no length helps the file learns of tuned traps, and nobody cuts by an old sweep."""
    nearest = KeptAdvice(low_mhz=7.1, high_mhz=14.3, done=True, nearest=True)
    antenna = own(replace(READ, advice=nearest))
    tuned = antenna.changed().with_traps(trap(14.1))
    assert antenna.advice and tuned.advice is None and "Sweep both bands" in page_of(tuned)


def test_what_is_written(tmp_path):
    """In the order in which it is told: undone, changed, traps, measured; each once, with the date given."""
    path = kept(tmp_path, READ, MADE)
    page = al.trim(
        path,
        undo=True,
        inner_m=-0.083,
        traps=[trap(14.1)],
        low_mhz=7.11,
        high_mhz=14.2,
        date="2026-05-02 09:00",
    )
    log = al.read_antenna(path).log
    assert [type(line) for line in log[2:]] == [Undone, Changed, TrapsMeasured, ReadOff]
    assert {line.date for line in log[2:]} == {"2026-05-02 09:00"}
    assert (log[3].inner_m, log[3].outer_m) == (-0.083, 0.0)
    assert (log[5].low_mhz, log[5].high_mhz) == (7.11, 14.2) and "THEN" in page
    al.trim(path, outer_m=0.02)
    assert (al.read_antenna(path).log[6].inner_m, al.read_antenna(path).log[6].outer_m) == (0.0, 0.02)
    before = path.stat().st_mtime_ns
    assert "SWEEPS HERE" not in al.trim(path) and path.stat().st_mtime_ns == before, "asked is not written"


def test_one_minimum_read_off_is_enough(tmp_path):
    """A meter that shows none on one band is believed."""
    for name in ("low_mhz", "high_mhz"):
        path = own().save(tmp_path / f"{name}.json")
        al.trim(path, **{name: 7.1 if name == "low_mhz" else 14.1})
        (line,) = al.read_antenna(path).log
        assert [line.low_mhz, line.high_mhz].count(None) == 1 and getattr(line, name)
    with pytest.raises(Slip, match="not both at once"):
        al.trim(path, SWEEP, high_mhz=14.1)


def test_no_sweep_is_written_twice(tmp_path):
    """The same one, and one that was made before the wires were changed; another one waits for the change."""
    (tmp_path / "twice").mkdir()
    path = kept(tmp_path, SWEPT)
    assert f"in the log already, of {DAY}: it is not written twice" in al.trim(path, SWEEP).replace(
        "\n    ", " "
    )
    other = al.Sweep(SWEEP.f_mhz, SWEEP.impedance + 1)
    with pytest.raises(Slip, match=f"last advice, of {DAY}: .* inner_m=-0.083, outer_m=0.020"):
        al.trim(path, other)
    with pytest.raises(Slip, match="last advice"):
        al.trim(path, al.Sweep(SWEEP.f_mhz[:3], SWEEP.impedance[:3]))
    with pytest.raises(Slip, match="last advice"):
        al.trim(path, SWEEP, other)
    with pytest.raises(Slip, match="last advice"):
        al.trim(path, low_mhz=7.1, high_mhz=14.055)
    assert len(al.read_antenna(path).log) == 1
    al.trim(path, inner_m=-0.083)
    with pytest.raises(Slip, match="something was changed since"):
        al.trim(path, SWEEP)
    al.trim(path, other)
    assert [type(one) for one in al.read_antenna(path).log] == [Swept, Changed, Swept]
    twice = kept(tmp_path / "twice", SWEPT, MADE, SWEPT)
    assert "not written twice" in " ".join(al.trim(twice, SWEEP).split()), "it is the last one too"


def test_no_reading_is_written_twice(tmp_path):
    """The same two frequencies once; after a change they may come again."""
    path = kept(tmp_path, READ)
    again = {"low_mhz": 7.1, "high_mhz": 14.055}
    assert "not written twice" in al.trim(path, **again).replace("\n    ", " ")
    al.trim(path, inner_m=0.0, outer_m=0.0)
    al.trim(path, **again)
    assert [type(one) for one in al.read_antenna(path).log] == [ReadOff, Changed, ReadOff]


@pytest.mark.parametrize("advice", [{"outer_m": -0.02}, {"inner_m": 0.01}, {}])
def test_an_advice_that_waits(tmp_path, advice):
    """One that moves a wire waits for what was done, whichever wire it is; one that does not, doesn't."""
    said = KeptAdvice(low_mhz=7.1, high_mhz=14.055, **advice)
    path = kept(tmp_path, replace(READ, advice=said))
    if advice:
        with pytest.raises(Slip, match="what became of the last advice"):
            al.trim(path, SWEEP)
    else:
        assert "lowest SWR" in al.trim(path, SWEEP) and len(al.read_antenna(path).log) == 2


@pytest.mark.parametrize(
    ("inner", "outer", "words"),
    [(0.083, 0.02, "-8.3 cm for each inner wire, and you wrote +8.3 cm"), (-0.01, 0.02, ""), (0, 0, ""),
     (-0.083, -0.01, "+2.0 cm for each outer wire, and you wrote -1.0 cm")],
)  # fmt: skip
def test_the_other_way(tmp_path, inner, outer, words):
    """Lengthened where it was to be shortened, or the reverse, is asked about; less or nothing is not."""
    page = " ".join(al.trim(kept(tmp_path, READ), inner_m=inner, outer_m=outer).split())
    assert ("the other way. If that is a slip, undo it" in page) is bool(words) and words in page
    assert not words or page.index("If that is a slip") < page.index("THE LOG"), "where it is read first"


@pytest.mark.parametrize("advised", [0.02, -0.02, 0.0, None])
def test_nothing_is_the_other_way_of_nothing(tmp_path, advised):
    """Nor is a change that nobody advised, nor the wire that was left alone."""
    said = () if advised is None else (replace(SHORTER, inner_m=advised, outer_m=advised),)
    for wire in ("inner_m", "outer_m"):
        path = kept(tmp_path, *(replace(READ, advice=one) for one in said))
        assert "the other way" not in al.trim(path, **{wire: advised or -0.01})
        path.unlink()


def test_home_from_the_lawn(tmp_path):
    """Its lines are counted, and what is there already is not written again."""
    path = kept(tmp_path)
    line = "changed each leg: inner -0.020 m, outer +0.000 m"
    text = f"antlab lawn log 1, antenna {mark_of(OWN)}, lawn\n2026-05-01 14:30:00 {line}\n"
    assert "From the phone: 1 new line." in al.trim(path, from_phone=f"{text}end of 1 line")
    text += f"2026-05-01 14:40:00 {line}\n2026-05-01 14:50:00 {line}\n"
    assert "From the phone: 2 new lines." in al.trim(path, from_phone=f"{text}end of 3 lines")
    assert "From the phone: nothing new" in al.trim(path, from_phone=f"{text}end of 3 lines")
    assert al.read_antenna(path).cut_m[0] == pytest.approx(OWN.hung_m[0] - 0.06)


def test_sweeps_of_a_folder(tmp_path):
    """Those that are not in the log yet are named, a table only where it can be read as a sweep."""
    path = kept(tmp_path, SWEPT)
    for name in ("one.s1p", "two.s1p"):
        al.write_sweep(tmp_path / name, SWEEP.f_mhz, SWEEP.impedance)
    shutil.copy(tmp_path / "two.s1p", tmp_path / "both.s2p")
    (tmp_path / "three.csv").write_text("MHz,SWR\n7,2\n7.1,1.5\n7.2,1.6\n")
    (tmp_path / "list.txt").write_text("bread, butter\n")
    (tmp_path / "SWEEP.S1P").write_text("! nothing\n")
    assert [one.name for one in al.sweep_files(tmp_path)] == ["one.s1p", "three.csv", "two.s1p"]
    assert sections(al.trim(path))["SWEEPS HERE THAT ARE NOT IN THE LOG"] == "SWEEP.S1P, both.s2p, two.s1p"
    assert "it is not written twice" in sections(al.trim(path, tmp_path / "one.s1p"))["MEASURED"]


@pytest.mark.parametrize(
    ("path", "given", "said"),
    [
        (5, {}, "path is the name of a file"),
        ("lawn.json", {"inner_m": "-8 cm"}, "inner_m"),
        ("lawn.json", {"outer_m": [1, 2]}, "outer_m"),
        ("lawn.json", {"undo": True, "date": "yesterday"}, "date is like 20"),
        ("lawn.json", {"traps": "14.2"}, "traps are one or two"),
        ("lawn.json", {"traps": 0}, "f_mhz"),
        ("lawn.json", {"traps": float("nan")}, "f_mhz"),
        ("lawn.json", {"from_phone": 5}, "no log from the lawn"),
    ],
)
def test_nonsense_is_a_slip(tmp_path, monkeypatch, path, given, said):
    """What is no name, length, date, trap or log is refused in a sentence, and nothing is written."""
    monkeypatch.chdir(tmp_path)
    before = kept(tmp_path, READ).read_text(encoding="utf-8")
    with pytest.raises(Slip, match=said):
        al.trim(path, **given)
    assert Path("lawn.json").read_text(encoding="utf-8") == before


def test_the_only_antenna_here_is_damaged(tmp_path, monkeypatch):
    """Who names none sees no traceback: a sentence says where the file is now, with all that is in it."""
    monkeypatch.chdir(tmp_path)
    half = kept(tmp_path, READ).read_text(encoding="utf-8")[:900]
    Path("lawn.json").write_text(half, encoding="utf-8")
    said = " ".join(al.trim().split())
    (aside,) = tmp_path.glob("lawn.*.spoilt")
    assert said.startswith("lawn.json is damaged: line") and f"It is now {aside.name}, and nothing" in said
    assert aside.read_text(encoding="utf-8") == half


def test_which_antenna_is_meant(tmp_path, monkeypatch):
    """The only one here, or in the folder above; a sentence where there is none, and where there are two."""
    (tmp_path / "deep" / "deeper").mkdir(parents=True)
    monkeypatch.chdir(tmp_path / "deep" / "deeper")
    assert "No antenna is kept here" in al.trim()
    kept(tmp_path / "deep")
    assert al.trim().startswith("lawn: trimming")
    kept(tmp_path / "deep" / "deeper", MADE)
    assert "-10.0 cm" in al.trim(), "the nearer one"
    shutil.copy("lawn.json", "other.json")
    assert al.trim().startswith("There is more than one antenna here, lawn.json, other.json: name one")
