"""Numbers quoted in lesson 10; see test_notebooks."""

import re
from functools import cache

import antlab as al
from antlab.antenna import bench
from antlab.antenna.bench import proportional_m, trap_from_resonance
from antlab.classroom import fieldday, live
from antlab.classroom.views.player import SCREEN
from antlab.files import ROOT

AIMS = 14.175, 28.5


def dips(number):
    """Frequencies of the two dips of a sweep, MHz."""
    sweep = al.read_sweep(ROOT / "notebooks" / "data" / f"antenna-{number}.s1p")
    return [dip.f_mhz for dip in sweep.dips()]


def trap():
    """The club's trap by hand: the numbers along the way."""
    f1, f2 = (
        round(al.read_sweep(ROOT / "notebooks" / "data" / f"trap-{which}.s1p").dips()[0].f_mhz, 1)
        for which in ("alone", "with-10-pf")
    )
    squares = round(f1**2), round(f2**2)
    capacitance = 10 * squares[1] / (squares[0] - squares[1])
    return f1, squares[0], f2, squares[1], squares[1], squares[0] - squares[1], capacitance


def coil():
    f1, *_, pf = trap()
    share = round(159 / f1, 2)
    return f1, share, share**2, pf, share**2 / pf


def rule():
    """Centimetres that the simple rule takes off inner and outer wire."""
    plan = fieldday.planned().dipole
    low, high = dips(1)
    inner = proportional_m(length_m=plan.inner_m, f_mhz=high, aim_mhz=AIMS[1])
    leg = proportional_m(length_m=plan.inner_m + plan.outer_m, f_mhz=low, aim_mhz=AIMS[0])
    return -100 * inner, -100 * (leg - inner)


def a_centimetre():
    """kHz up for a centimetre less: inner on the lower and the upper band, outer on the lower one."""
    slack = fieldday.planned().tolerance
    inner, outer = slack["inner"], slack["outer"]
    assert abs(outer[1]) < 0.5, "the upper band does not hear the outer wire"
    return -inner[0], -inner[1], -outer[0]


def by_the_rule():
    """kHz up on 10 metres for a centimetre of inner wire, by the simple rule: more than twice the truth."""
    by_rule = 28.5e3 * 0.01 / fieldday.planned().dipole.inner_m
    assert by_rule > 2 * a_centimetre()[1]
    return by_rule


def shack_off():
    """Within how many per cent the raw sweep's dips are the antenna's; its SWR is lower."""
    there, raw = (
        al.read_sweep(ROOT / "notebooks" / "data" / f"{name}.s1p").dips() for name in ("antenna-1", "shack")
    )
    for one, seen in zip(there, raw, strict=True):
        assert seen.swr < one.swr and abs(seen.f_mhz / one.f_mhz - 1) < 0.001
    return 0.1


def seventy_years():
    """Coils that the two published frequencies want with 60 pF, and how far off is the farther, %."""
    coils = [trap_from_resonance(f_mhz=f, capacitance_pf=60).inductance_uh for f in (7.05, 7.2)]
    assert coils[1] < 8.3 < coils[0]
    return *coils, 100 * max(abs(one / 8.3 - 1) for one in coils)


@cache
def said(inner_cm, outer_cm):
    """Dips by the live view, MHz, and its words."""
    choices = live.trimming.defaults
    at = live.trimming.places({"inner_cm": inner_cm, "outer_cm": outer_cm}, choices)
    says = live.trimming.film(SCREEN, choices, at, still=False)[1]["says"][0]
    return [float(f) for f in re.findall(r"dip at (\S+) MHz", says)], says


def inner_alone():
    """Foldings of the inner wires alone that bring the upper band right, and where the lower one is then."""
    values = live.trimming.sliders(**live.trimming.defaults)[0].values
    good = [cm for cm in values if "where it should be" in said(float(cm), 0.0)[1].split("\n")[1]]
    return good[0], good[-1], said(float(good[0]), 0.0)[0][0], said(float(good[-1]), 0.0)[0][0]


def outer_then_inner():
    (low, _), words = said(11.0, 8.0)
    assert "where it should be" in said(0.0, 8.0)[1].split("\n")[0]
    assert "where it should be" in words.split("\n")[1]
    return low, float(re.search(r"(\d+) kHz too high", words)[1])


QUOTED = {
    "found {0} and {2} MHz. By hand: {0} squared is {1}, and {2} squared is {3}. Ten times {4} over {5} is "
    "{6:.1f} pF": trap,
    "from the other end of {:.0f} m": lambda: 30,
    "dips should stay within {:.1f} %": shack_off,
    "wants {:.2f} and {:.2f} µH for these. The published coil lies between the two, "
    "{:.1f} % from": seventy_years,
    "finds it at {:.2f} MHz": lambda: dips(1)[0],
    "28.5 MHz and finds {:.2f} MHz": lambda: dips(1)[1],
    "159 over {} is {:.2f}, squared {:.1f}, over {:.1f} is {:.1f} µH": coil,
    "Lesson 04 computed {:.2f} µH with {:.1f} pF, and {:.2f} MHz": lambda: (
        fieldday.TRAP.trap.inductance_uh,
        fieldday.TRAP.trap.capacitance_pf,
        fieldday.TRAP.resonance_mhz,
    ),
    "Measured it is {:.0f} % lower": lambda: 100 * (1 - trap()[0] / fieldday.TRAP.resonance_mhz),
    "Each inner wire is {:.2f} m": lambda: fieldday.planned().dipole.inner_m,
    "{:.2f} over 28.5 is {:.3f}, so {:.0f} % too long: {:.0f} cm": lambda: (
        dips(1)[1],
        round(dips(1)[1], 2) / 28.5,
        2,
        rule()[0],
    ),
    "once the upper band is within {:.1f} %. Without it, keep the order": lambda: 100 * bench._UPPER_FIRST,
    "| in each inner wire | {:.0f} kHz | {:.0f} kHz |": lambda: a_centimetre()[:2],
    "| in each outer wire | {:.0f} kHz | not at all |": lambda: a_centimetre()[2],
    "it should do {:.0f} kHz on 10 metres": by_the_rule,
    "It foretold {:.2f} and {:.2f} MHz": lambda: tuple(said(10.5, 2.0)[0]),
    "the third sweep found {:.2f} and {:.2f}.": lambda: tuple(dips(3)),
    "5 cm of inner wire make {:.0f} kHz, and {:.0f} were missing": lambda: (
        5 * round(a_centimetre()[1]),
        1e3 * (28.5 - round(dips(1)[1], 2)),
    ),
    "some {:.0f} kHz low": lambda: round(550 - 5 * a_centimetre()[1], -2),
    "moves it by more than {:.0f} MHz": lambda: int(-fieldday.TRAP.sensitivity_khz()["1 turn"] / 1e3),
    "1. {:.1f} to {:.0f} cm (3.7 to 4.7 in)": lambda: inner_alone()[:2],
    "It has come up to {:.2f} to {:.2f} MHz": lambda: inner_alone()[2:],
    "it is at {:.2f} MHz, {:.0f} kHz too high": outer_then_inner,
}
GIVEN = [
    "On 20 metres the club wants 14.175 MHz and finds 13.89. On 10 metres it wants 28.5 and finds 27.95",
    "until 10 metres is right, at 28.5 MHz. What",
    "lowest SWR at 14.175 MHz",
    "metres dips at 28.5 MHz",
    "here 10 pF",
    "If one is 10 % off",
    "60 pF, a coil given as 8.3 µH, tuned to 7.05 MHz, or to 7.2 MHz in the USA",
]
