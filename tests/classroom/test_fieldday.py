"""The running example as measured: files that say they are invented, and a story that lesson 10 can tell."""

import re
from dataclasses import replace

import numpy as np
import pytest
import skrf

import antlab as al
from antlab.antenna.bench import Trimming, trap_from_two
from antlab.classroom import fieldday, live
from antlab.classroom.views import trimming
from antlab.classroom.views.player import SCREEN
from antlab.files import ROOT

DATA = ROOT / "notebooks" / "data"


def read(name):
    """A sweep of the course."""
    return al.read_sweep(DATA / f"{name}.s1p")


def numbers(text):
    """Frequency and reflection of a file's rows."""
    return np.array([line.split() for line in text.splitlines() if line[0] not in "!#"], dtype=float)


@pytest.mark.parametrize("file", fieldday.FILES)
def test_files_are_what_the_engine_says(file):
    """None stale; each says that it is invented, with which errors; another reader finds the same in it."""
    text = (DATA / file).read_text(encoding="utf-8")
    assert np.max(np.abs(numbers(text) - numbers(fieldday.text(file)))) < 3e-5, f"run: antlab refresh {file}"
    about = [line for line in text.splitlines() if line.startswith("!")]
    assert about == [line for line in fieldday.text(file).splitlines() if line.startswith("!")]
    assert "INVENTED" in about[1] and "measured by nobody" in about[1]
    theirs, ours = skrf.Network(str(DATA / file)), al.read_sweep(DATA / file)
    assert theirs.f / 1e6 == pytest.approx(ours.f_mhz)
    inside = np.abs(theirs.s[:, 0, 0]) < 1
    assert theirs.s[inside, 0, 0] == pytest.approx(ours.reflection[inside], abs=1e-9)


def test_data_holds_nothing_else():
    """No file is left over from a name that is gone."""
    assert {path.name for path in DATA.iterdir()} == set(fieldday.FILES)


def test_errors_put_in_are_those_stated():
    """The noise is as strong as the files say, and the antenna differs from the plan by what they say."""
    off = read("antenna-1").reflection - al.circuit.reflection_coefficient(
        fieldday.built().impedance(fieldday.SWEPT_MHZ)
    )
    assert np.std(off.real) == pytest.approx(fieldday.NOISE, rel=0.15)
    plan, made = fieldday.planned().dipole, fieldday.built()
    assert made.inner_m / plan.inner_m == pytest.approx(1.025)
    assert made.trap.resonance_mhz / plan.trap.resonance_mhz == pytest.approx(0.99, abs=0.002)


def test_the_club_does_what_it_is_told():
    """Each sweep's advice is what the next one was made after, to the half centimetre; the third is good."""
    log = Trimming(dipole=fieldday.planned().dipole, low_mhz=14.175, high_mhz=28.5)
    folded = np.array(fieldday.FOLDED_M)
    for i, step in enumerate(-np.diff(folded, axis=0), 1):
        advice = log.advise_sweep(read(f"antenna-{i}"))
        assert not advice.fault and not advice.done
        assert (advice.inner_m, advice.outer_m) == pytest.approx(tuple(step), abs=0.0026)
        log = log.done(advice, inner_m=step[0], outer_m=step[1])
    last = log.advise_sweep(read("antenna-3"))
    assert last.done
    assert (last.low_mhz, last.high_mhz) == pytest.approx((14.175, 28.5), rel=0.003)


def test_trap_by_itself():
    """The loop finds the trap that is there, and the capacitor's tolerance covers coil and capacitor."""
    (alone,), (loaded,) = read("trap-alone").dips(), read("trap-with-10-pf").dips()
    true = fieldday.built().trap
    assert alone.f_mhz == pytest.approx(true.resonance_mhz, rel=0.002)
    found = trap_from_two(f_mhz=alone.f_mhz, lower_mhz=loaded.f_mhz, added_pf=10)
    assert found.trap.inductance_uh == pytest.approx(true.inductance_uh, rel=found.inductance_error)
    assert found.trap.capacitance_pf == pytest.approx(true.capacitance_pf, rel=found.capacitance_error)


def test_loop_beside_a_trap():
    """At resonance the trap puts k² · Q times the loop's reactance into the loop; far off, nothing."""
    trap = al.Trap(inductance_uh=2.5, capacitance_pf=12.5, q=100)
    f = trap.resonance_mhz
    loop = 2 * np.pi * f * fieldday.LOOP_UH
    assert fieldday.by_a_loop(f, trap).real - 0.3 == pytest.approx(0.12**2 * 100 * loop, rel=1e-6)
    assert fieldday.by_a_loop(1.3 * f, trap).real < 0.5


@pytest.mark.filterwarnings("ignore:at .* points the antenna would reflect more:UserWarning")
def test_the_shack_moved_to_the_antenna():
    """Through the line the dips look better than they are; reckoned back they are those of the antenna."""
    shack, there = read("shack"), read("antenna-1")
    back = shack.at_antenna(cable="RG-58", length_m=30)
    for low, high in ((13.5, 14.5), (27, 29)):
        assert np.min(shack.between(low, high).swr) < np.min(there.between(low, high).swr) - 0.1
    for seen, true in zip(back.dips(), there.dips(), strict=True):
        assert seen.f_mhz == pytest.approx(true.f_mhz, rel=1e-3)
        assert seen.swr == pytest.approx(true.swr, abs=0.05)


def said(inner_cm, outer_cm, **choices):
    """Dips that the view names, lower band first, MHz."""
    view, choices = live.trimming, live.trimming.defaults | choices
    at = view.places({"inner_cm": inner_cm, "outer_cm": outer_cm}, choices)
    says = view.film(SCREEN, choices, at, still=False)[1]["says"][0]
    return [float(f) for f in re.findall(r"dip at (\S+) MHz", says)], says


def test_view_foretells_the_next_sweeps():
    """From the first sweep alone it says where the dips of the second and the third were found."""
    for i, (inner, outer) in enumerate(fieldday.FOLDED_M, 1):
        dips, says = said(100 * inner, 100 * outer)
        assert dips == pytest.approx([dip.f_mhz for dip in read(f"antenna-{i}").dips()], rel=2e-3)
        assert says.count("where it should be") == (2 if i == 3 else 0)


def test_view_between_its_supports():
    """Foldings that were not solved for, against the engine."""
    log, sweep = trimming.example()
    fit = log.fitted(sweep)
    for inner, outer in ((0, 0), (6.5, 3.5), (16, 8)):
        wire = fit.hung(log.lengths_m - np.array([inner, outer]) / 100)
        f = trimming._around(log.aims_mhz)
        z = trimming._solved(trimming._Measured(log, sweep))(np.array([inner]), np.array([outer]))[0]
        there = (wire.impedance(f) + fit.ohms[:, None]).ravel()
        assert al.circuit.swr(z) == pytest.approx(al.circuit.swr(there), rel=0.01)


def test_view_of_what_is_no_measurement():
    """Half of what it needs, or a sweep without dips, is answered by a sentence."""
    log, sweep = trimming.example()
    assert "give both" in live.trimming(log=log).player.frames["message"]
    for wrong, words in (
        (read("trap-alone"), "no point between 13.608 and 14.742 MHz"),
        (al.Sweep(sweep.f_mhz, np.full(201, 60 + 5j)), "sweep wider"),
    ):
        assert words in live.trimming(log=log, sweep=wrong).player.frames["message"]
    assert not live.trimming(log=log, sweep=sweep).player.frames["message"]


def test_a_student_s_own_sweep_is_drawn(tmp_path):
    """By the antenna as its file has it, swept in one or in two, also after a change and with SWR alone."""
    own = al.Antenna(name="lawn", yard=al.Yard(hung="level", heights_m=(9, 9)))
    true = replace(own.trimming.dipole, sections=1.016 * np.array(own.planned_m))
    low, high = (np.linspace(0.93, 1.07, 41) * aim for aim in own.planned_mhz)
    two = [al.Sweep(f, 50 * al.Sweep(f, true.impedance(f)).swr, phase=False) for f in (low, high)]
    f = np.r_[low, high]
    one = (al.Sweep(f, true.impedance(f)),)
    for antenna in (own.swept(*two[::-1]), own.swept(*one)):
        frames = live.trimming(log=antenna).player.frames
        dips = [re.search(r"dip at (\S+) MHz", line)[1] for line in frames["says"][0].split("\n")]
        advice = antenna.advice
        assert [float(f) for f in dips] == pytest.approx([advice.low_mhz, advice.high_mhz], abs=0.01)
    kept = al.read_antenna(antenna.changed(inner_m=-0.06).swept(*two).save(tmp_path / "lawn.json"))
    assert not live.trimming(log=kept).player.frames["message"]
    for wrong, words in (
        (own, "no sweep since the last change"), (antenna.changed(inner_m=-0.06), "no sweep since"),
        (own.swept(two[0], *one), "overlap"),
    ):  # fmt: skip
        assert words in live.trimming(log=wrong).player.frames["message"]
