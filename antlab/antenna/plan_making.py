"""From a Design to the Plan for its builder: cut list, trap recipe, expectations, trimming, cautions."""

import math
import warnings
from dataclasses import replace
from types import SimpleNamespace

import numpy as np

from antlab.antenna import safety
from antlab.antenna.feeding import usual_line
from antlab.antenna.hanging import hang, wire_load
from antlab.antenna.plan import (
    FOLD_M,
    HEAD_M,
    PIPE_END_MM,
    TOO_HIGH,
    BandPlan,
    Cut,
    Note,
    Plan,
    TrapPlan,
    in_khz,
    turns_words,
)
from antlab.antenna.tape import Tape
from antlab.engine.shapes import FlatTop
from antlab.physics.circuit import swr
from antlab.physics.trap import CoaxTrap, CoilTrap

TRAP_WITHIN = 0.01  # of its frequency: how near a trap is to be, measured alone (common practice, no source)
OPEN_END = (  # of the centre, across the braid; tested against a ladder: tests/classroom/test_wound_trap.py
    "The open end of the centre has all of the trap's volts to the braid beside it, and over twice as many "
    "to the outward wire: cut it back and cover it."
)
_BLANK_ROWS = 4
_ASKED = 41  # frequencies of the part that is wanted
_CHOKE = Note(
    "choke",
    "Hang a choke where the feed line meets the wire, and lead the line straight away from it, so that "
    "it does not become part of the antenna (common practice, no source).",
)


def plan_of(design, *, yard=None, line=None):
    """The Plan of a Design, in a Yard if it is known; line: a FeedLine, the usual one when left out.

    >>> from antlab.antenna.plan_making import plan_of
    >>> plan_of(al.design("40m", "20m", shape=al.FlatTop(height_m=9))).hung[:13]
    'Level, 9.00 m'
    """
    with warnings.catch_warnings(record=True) as said:
        warnings.simplefilter("always")
        dipole = replace(design.dipole)  # made again, it says again what it warns of
        dipole.wire.ohm_per_m([aim.f_mhz for aim in design.aims])
    hung = _to_hang(design)
    deep_m = _hanging(hung, yard, line).deep_m
    low, high = (_band_plan(design, aim, deep_m) for aim in design.aims)
    cuts = tuple(
        Cut(what, 2, length, length + 2 * FOLD_M)
        for what, length in (("inner wire", hung["inner_m"]), ("outer wire", hung["outer_m"]))
    )
    return Plan(
        title=f"Trap dipole for {low.name.removesuffix('m')} and {high.label}",
        hung=_hung(design),
        soil=_named(dipole.soil),
        **hung, deep_m=deep_m, yard=yard, wire=dipole.wire.called, wire_diameter_mm=dipole.wire_diameter_mm,
        power_w=design.power_w, sends=design.sends, z0_ohm=design.z0_ohm, low=low, high=high, cuts=cuts,
        angles_deg=design.report_angles_deg, heights=design.heights,
        tolerance_khz={key: tuple(map(float, khz)) for key, khz in design.tolerance.items()},
        trim_steps=_trim_steps(design, low, high),
        trim_headings=(
            "", "inner, each leg", "outer, each leg",
            *(words for band in (high, low) for words in (f"{band.label}: lowest at", "SWR")),
        ),
        trim_rows=(
            (
                "as planned", f"{dipole.inner_m:.3f} m", f"{dipole.outer_m:.3f} m",
                f"{high.lowest_mhz:.3f} MHz", f"{high.lowest_swr:.2f}",
                f"{low.lowest_mhz:.3f} MHz", f"{low.lowest_swr:.2f}",
            ),
            *((("",) * 7,) * _BLANK_ROWS),
        ),
        notes=(
            *_reach_note(dipole.shape), *_nowhere_note(low, high),
            *(Note("warning", _sentence(str(one.message))) for one in said),
            *_tuner_note(low, high), *_slope_note(yard),
            *(Note("trap", words) for words in getattr(design.wound, "notes", ())),
            _wire_note(dipole.wire), _CHOKE,
        ),
        cautions=dict(safety.CAUTIONS),
    )  # fmt: skip


def _to_hang(design):
    """What a Plan has that hang() asks for."""
    dipole = design.dipole
    kg_per_m, pull_n = wire_load(dipole.wire)
    return {
        "top_m": dipole.shape.top_m, "ends_m": dipole.shape.ends_m, "width_m": float(design.width_m),
        "span_m": design.span_m, "inner_m": round(float(dipole.inner_m), 4),  # as an antenna's file has them
        "outer_m": round(float(dipole.outer_m), 4),
        "wire_kg_per_m": kg_per_m, "wire_pull_n": pull_n, "trap": _trap_plan(design),
    }  # fmt: skip


def hanging_of(design, *, yard=None, line=None):
    """How a Design hangs, its line on it: as hang() of its Plan says. yard, line: as of plan_of.

    >>> from antlab.antenna.plan_making import hanging_of
    >>> round(hanging_of(al.design("40m", "20m", shape=al.FlatTop(height_m=9), span_m=20)).sag_m, 1)
    0.8
    """
    return _hanging(_to_hang(design), yard, line)


def _hanging(to_hang, yard, line):
    hung = SimpleNamespace(**to_hang)
    return hang(hung, yard=yard, line=line or usual_line(hung))


def _trim_steps(design, low, high):
    inner, outer, trap, height = (design.tolerance[key] for key in ("inner", "outer", "trap", "height"))
    return (
        f"Each trap by itself: {design.dipole.trap.resonance_mhz:.2f} MHz within {100 * TRAP_WITHIN:g} %.",
        f"{high.label}, by the inner wires: 1 cm more a leg moves it {in_khz(inner[1])} "
        f"({low.label} {in_khz(inner[0])}).",
        f"{low.label}, by the outer wires: 1 cm more a leg moves it {in_khz(outer[0])}.",
        "Legs alike; fold four fifths of what seems right, the wire's joint with it; measure again. Too "
        "high: let the fold out.",
        f"Off the plan? Traps 1 % high: {low.label} {in_khz(trap[0])}, {high.label} {in_khz(trap[1])}. "
        f"Hung a tenth higher: {in_khz(height[0])}, {in_khz(height[1])}.",
    )


def _hung(design):
    shape, place = design.dipole.shape, Tape().place
    if isinstance(shape, FlatTop):
        how = f"Level, {place(shape.height_m)} up"
    else:
        how = f"Inverted vee, apex {place(shape.apex_m)} and ends {Tape().least(shape.ends_m)} up"
    fit = f"End to end {place(design.width_m)}"
    if design.span_m is not None:
        left = (design.span_m - design.width_m) / 2
        apart = place(design.span_m)
        room = f"supports {apart} apart leave" if shape.ends_m == shape.top_m else f"{apart} of ground leave"
        fit += f"; {room} {place(left)} a side for rope"
    fed = f"Wire: {design.dipole.wire.called}; {design.power_w:g} W on a {design.z0_ohm:g} ohm line"
    return f"{how}, {_named(design.dipole.soil)}. {fit}. {fed}."


def _named(soil):
    return f"{'in' if soil.is_empty else 'over'} {soil.called}"


def _band_plan(design, aim, deep_m):
    f, z = design.sweeps[aim]
    curve, here = swr(z, design.z0_ohm), design.dipole.impedance(aim.f_mhz)
    best, stress = int(np.argmin(curve)), design.stress(aim)
    part = aim.wanted.frequencies(_ASKED)
    there = swr(design.dipole.impedance(part), design.z0_ohm)
    worst = int(np.argmax(there))
    spans = (design.span(aim, limit) for limit in (2.0, 3.0))
    span_2, span_3 = (None if np.isnan(s.low_mhz) else (s.low_mhz, s.high_mhz) for s in spans)
    return BandPlan(
        name=aim.band.name, f_mhz=aim.f_mhz, edges_mhz=(aim.band.low_mhz, aim.band.high_mhz),
        wanted_mhz=aim.edges_mhz, worst_swr=float(there[worst]), worst_mhz=float(part[worst]),
        allowed_mhz=aim.allowed_mhz,
        resistance_ohm=float(here.real), swr=float(swr(here, design.z0_ohm)),
        lowest_swr=float(curve[best]), lowest_mhz=design.lowest_mhz(aim), span_2=span_2, span_3=span_3,
        efficiency=design.efficiency(aim), shares=design.shares(aim),
        trap_volts_peak=float(stress.volts_peak), trap_watts=float(stress.watts),
        **_against_rating(design.wound, float(stress.volts_peak)), verdicts=verdicts(design, aim),
        **_exposed(design, aim, deep_m),
        curve_mhz=tuple(f.tolist()), curve_swr=tuple(curve.tolist()),
        curve_ohm=(tuple(z.real.tolist()), tuple(z.imag.tolist())),
    )  # fmt: skip


def _against_rating(wound, volts_peak):
    if not isinstance(wound, CoaxTrap):
        note = f"Use a capacitor rated for {2 * volts_peak:.0f} V or more (common practice, no source)."
        return {"cable_volts_peak": None, "cable_allowed_peak": None, "margin": None, "trap_note": note}
    check = safety.check_trap_volts(wound, volts_peak=volts_peak)
    return {
        "cable_volts_peak": check.volts_peak,
        "cable_allowed_peak": check.allowed_peak,
        "margin": check.margin,
        "trap_note": f"That puts {check.note}",
    }


def verdicts(design, aim):
    """What to think of a Design's watts on one of its aims: Verdicts by licence, if any, volts and heat.

    >>> from antlab.antenna.plan_making import verdicts
    >>> it = al.design("40m", "20m", shape=al.FlatTop(height_m=9))
    >>> [one.about for one in verdicts(it, it.low)]
    ['trap volts', 'heat, carrier', 'heat, SSB']
    """
    stress = design.stress(aim)
    trap = {"volts_peak": stress.volts_peak, "watts": stress.watts, "power_w": design.power_w}
    asked = {"sends": design.sends, "modes": aim.allowed_mhz}
    licence = safety.licence_verdict(aim.band.name, design.power_w, **asked)
    return (*([licence] if licence else ()), *safety.trap_verdicts(design.wound, **trap))


def exposure_of(design, aim, *, deep_m=0.0):
    """How far to stay, at either end of what the antenna is made for; the worse counts.

    design: a Design. aim: one of its aims. deep_m: how far some part of the wire hangs below where it is
    solved, metres: so much nearer is it to a head. Returns a dict of BandPlan's keep_away_m, keep_away_you_m,
    clear_below_m, head_share and exposure_note.

    >>> from antlab.antenna.plan_making import exposure_of
    >>> it = al.design("40m", "20m", shape=al.FlatTop(height_m=9), sends="SSB")
    >>> round(exposure_of(it, it.low)["keep_away_m"], 1)
    0.4
    """
    average = float(safety.average_power_w(power_w=design.power_w, mode=design.sends))
    others, you = (
        [
            safety.keep_away(
                design.dipole, f_mhz=f, power_w=average, peak_power_w=design.power_w, controlled=known
            )
            for f in aim.edges_mhz
        ]
        for known in (False, True)
    )
    clear = max(min(there.highest_clear_m for there in others) - deep_m, 0.0)
    under, share = clear >= HEAD_M, np.inf
    said = f"At {design.power_w:g} W without a pause (a carrier, FM, FT8 while it sends). "
    if average < design.power_w:
        said = f"At {design.power_w:g} W of {design.sends}, {average:g} W on average, without a pause. "
    if not under:
        said += "Under it others are over their limit: nobody there while you send."
    else:
        share = float(max(there.share_at(HEAD_M + deep_m) for there in others))
        said += f"Below {Tape().under(clear)}, the wire's sag counted, others are within their limit; at "
        said += f"{Tape().place(HEAD_M)} the field is {math.ceil(100 * share - 1e-9)} % of it at most."
    return {
        "keep_away_m": max(there.distance_m for there in others),
        "keep_away_you_m": max(there.distance_m for there in you),
        "clear_below_m": clear, "head_share": share, "exposure_note": said,
    }  # fmt: skip


def _exposed(design, aim, deep_m):
    """exposure_of, and how far others stay where a carrier is sent: some day it may be."""
    found = exposure_of(design, aim, deep_m=deep_m)
    if safety.MODES[design.sends] == 1:
        carrier, note = found, found["exposure_note"]
    else:
        carrier = exposure_of(replace(design, sends="carrier"), aim, deep_m=deep_m)
        away, clear = Tape().keep(carrier["keep_away_m"]), carrier["clear_below_m"]
        under = f"stay below {Tape().under(clear)}" if clear >= HEAD_M else "nobody stands under it"
        note = f"{found['exposure_note']} With a carrier without a pause others keep {away}, and {under}."
    return found | {
        "keep_away_carrier_m": carrier["keep_away_m"], "clear_below_carrier_m": carrier["clear_below_m"],
        "exposure_note": note,
    }  # fmt: skip


def _nowhere_note(*bands):
    """That the dip of a band lies where one may not send."""
    for one in bands:
        if one.is_unserved:
            modes = " or ".join(one.unserved)
            yield Note(
                "nowhere",
                f"On {one.label} the SWR is nowhere 2 or less where {modes} is allowed: have it made for one "
                "mode. Measure with an analyzer; never send where you may not.",
            )


def _reach_note(shape):
    if shape.ends_m < safety.LOWEST_END_M:
        yield Note(
            "reach",
            f"At {Tape().under(shape.ends_m)} the ends, which carry high voltage, are within reach: raise "
            f"them to {Tape().keep(safety.LOWEST_END_M)} or "
            "more, or fence them off (common practice, no source).",
        )


def _wire_note(wire):
    """For which wire the lengths are; of bare wire, that another has to be shorter."""
    if wire.charge_log:
        return Note(
            "jacket",
            f"For this wire over flat, even ground: its jacket is counted, with permittivity "
            f"{wire.jacket_permittivity:g}.",
        )
    return Note(
        "bare-wire",
        "For bare wire over flat, even ground; insulated wire has to be a few percent shorter (common "
        "practice, no source).",
    )


def _slope_note(yard):
    if yard is not None and yard.mean_note:
        yield Note("slope", f"The wire slopes. {yard.mean_note}")


def _tuner_note(*bands):
    for band in bands:
        if band.span_2 is None:
            yield Note(
                "tuner",
                f"On {band.label} the SWR stays above 2:1: use a tuner and low-loss cable, or another "
                "height.",
            )
    high = [f"{band.worst_swr:.1f} at {band.worst_mhz:.3f}" for band in bands if band.worst_swr > TOO_HIGH]
    if high:
        yield Note(
            "tuner",
            f"SWR is {' and '.join(high)} MHz: above {TOO_HIGH:g} most transmitters cut their power; use a "
            "tuner and low-loss cable there (common practice, no source).",
        )


def _trap_plan(design):
    circuit, wound = design.dipole.trap, design.wound
    as_circuit = (
        f"{circuit.inductance_uh:.2f} µH with {circuit.capacitance_pf:.1f} pF, Q about {circuit.q:.0f}: "
        f"{circuit.resonance_mhz:.2f} MHz."
    )
    shown = {
        "inductance_uh": circuit.inductance_uh, "capacitance_pf": circuit.capacitance_pf, "q": circuit.q,
        "resonance_mhz": circuit.resonance_mhz,
    }  # fmt: skip
    if wound is None:
        return TrapPlan(**shown, sentences=("Two alike, one in each leg.", as_circuit))
    slips = {what: float(khz) for what, khz in wound.sensitivity_khz().items()}
    length = wound.wire_length_m if isinstance(wound, CoilTrap) else wound.cable_length_m
    form = f"a form {wound.form_diameter_mm:g} mm ({wound.form_diameter_mm / 25.4:.2f} in) thick"
    size = f"wound {wound.winding_length_mm:.0f} mm long; {Tape().cut(length, 2)}"
    if isinstance(wound, CoaxTrap):
        wind = (
            f"Two alike: {wound.turns:.2f} turns of {wound.cable.called}, close, on {form}, {size} of cable "
            f"each, {wound.pigtail_mm:g} mm of it free at each end. Keep the joint short.",
            "Join the centre of one end to the braid of the other. The wires go to "
            + ("the two ends left over." if wound.hookup == "series" else "the braid at both ends."),
        )
        if wound.hookup == "braid":
            wind += (OPEN_END,)
    else:
        wind = (
            f"Two alike: {wound.turns:.2f} turns of {wound.wire_mm:g} mm bare wire, {wound.pitch_mm:g} mm "
            f"from turn to turn, on {form}, {size} of wire each. Across it {wound.capacitance_pf:g} pF.",
        )
    whole = f"With {wound.whole_turns} whole turns {wound.whole_turns_mhz:.2f} MHz"
    if abs(wound.whole_turns_mhz / circuit.resonance_mhz - 1) > TRAP_WITHIN:
        whole += f", too far off: wind {turns_words(wound.turns, wound.form_diameter_mm, Tape())}"
    tune = (
        f"{as_circuit} {whole}.",
        "A little more moves it: "
        + ", ".join(f"{what} {in_khz(khz)}" for what, khz in slips.items())
        + ". Good to 2 %: measure it by itself, then seal it against rain.",
    )
    return TrapPlan(
        **shown, sentences=(*wind, *tune), turns=float(wound.turns),
        form_diameter_mm=float(wound.form_diameter_mm), winding_length_mm=float(wound.winding_length_mm),
        whole_turns=wound.whole_turns, whole_turns_mhz=wound.whole_turns_mhz, sensitivity_khz=slips,
        cable=wound.cable.name if isinstance(wound, CoaxTrap) else None,
        hookup=getattr(wound, "hookup", None), cable_length_m=float(length),
        joint=wind[1] if isinstance(wound, CoaxTrap) else None,
        pipe_mm=float(wound.winding_length_mm) + 2 * PIPE_END_MM, pigtail_mm=float(wound.pigtail_mm),
        of=wound.cable.called if isinstance(wound, CoaxTrap) else f"{wound.wire_mm:g} mm bare wire",
        across_pf=getattr(wound, "capacitance_pf", None),
    )  # fmt: skip


def _sentence(words):
    return words[0].upper() + words[1:].rstrip(".") + "."
