"""Trimming a student's own antenna by its file: what was measured goes in, one page of words comes back."""

import json
import textwrap
from dataclasses import dataclass
from numbers import Real
from pathlib import Path

import numpy as np

from antlab.antenna.antenna_file import antenna_files, read_antenna
from antlab.antenna.antenna_log import Changed, ReadOff, Swept, TrapsMeasured, Undone
from antlab.antenna.bench import Advice, MeasuredTrap, trap_from_two
from antlab.antenna.lawn import DOUBTS, MUCH, with_lawn_log
from antlab.antenna.safety import cautions_for
from antlab.antenna.tape import Tape
from antlab.antenna.touchstone import Sweep, read_sweep
from antlab.physics.bands import band
from antlab.physics.trap import Trap
from antlab.trouble import COMMAND, typed
from antlab.units import INCH_M, Slip, check_one, shown

ALONE = (  # common practice, no source
    "Alone? Tell somebody where you are and when you will be back, and keep a phone on you. What takes a "
    "ladder, a roof or a wire near a power line waits for a second person."
)
NO_PHASE = (
    "An SWR without phase will do to trim by. What it can't tell: whether the ohms at the feed are too many "
    "or too few, and what the cable between did to them. Measure at the antenna."
)
SUFFIXES = ".s1p", ".s2p", ".csv", ".tsv", ".txt"
_SURE = SUFFIXES[:2]  # by the name alone
_ALONE_OFF = 0.04  # coil and capacitor of a trap of which only the resonance is known (common practice)
_KEPT = 2e-6  # of a reflection: a file keeps six digits of it, and no meter shows the same twice so closely
_OFF_PLAN = 0.015  # of a trap's resonance: the plan wants 1 %, and a meter has its share of this
_SLIP = "If that is a slip, undo it."
_ADDED_PF = 20  # across a trap, in what is typed for an example
_UNALIKE = 0.01  # of the resonance, between the two traps of one antenna (common practice, no source)
_WIDE = 80  # letters that a notebook's cell and a terminal hold


def trim(
    path=None,
    *sweeps,
    inner_m=None,
    outer_m=None,
    traps=(),
    low_mhz=None,
    high_mhz=None,
    undo=False,
    from_phone=None,
    date=None,
    command=False,
    first="metres",
):
    """Write into an antenna's file what was done and measured, and say what to do next.

    path: of the antenna file; the only one here, when left out, or a sentence why there is none. sweeps:
    paths of files as read_sweep takes them, or Sweeps, one over both bands or one of each.
    inner_m, outer_m: what was really changed since the last measurement, per leg, metres, negative to
    shorten; 0 for nothing. traps: Traps or MeasuredTraps, or where each dips alone, MHz, one or one of each
    leg. low_mhz, high_mhz: where a meter showed the lowest SWR. undo: take the last line of the log back.
    from_phone: the text that the page for the lawn gave to bring home. date: text, of the log. command:
    whether what is typed next is told as `antlab trim` takes it, not as this call. first: "metres" or "feet"
    in what is said. All in this order: undone, from the phone, changed, traps, measured.
    Returns one page of text. Raises Slip, and writes nothing, for what can't be read or makes no sense.

    >>> antenna = al.Antenna(name="lawn", yard=al.Yard(hung="level", heights_m=(9, 9)))
    >>> path = antenna.save("lawn.json", force=True)
    >>> page = al.trim(path, low_mhz=7.05, high_mhz=14.05)
    >>> page = al.trim(path, inner_m=-0.06, outer_m=0.0)
    >>> [type(line).__name__ for line in al.read_antenna(path).log]
    ['ReadOff', 'Changed']
    """
    tape, named = Tape(first=first), path is not None
    try:
        path = path if named else _own()
        antenna = before = read_antenna(path)
    except Slip as slip:
        if named:
            raise
        return textwrap.fill(str(slip), 80)  # letters beside a notebook's list of files
    path, notes, slips = Path(path), [], []
    call = _Call(path.name if command else path.as_posix(), command, antenna.planned_trap, tape)
    if undo:
        antenna = antenna.undone(date=date)
    if from_phone is not None:
        had, antenna = len(antenna.log), with_lawn_log(antenna, from_phone)
        notes.append(_came_home(len(antenna.log) - had))
    if not (inner_m is None and outer_m is None):
        advice, had = antenna.advice, antenna.cut_m
        done = {"inner_m": inner_m or 0.0, "outer_m": outer_m or 0.0}
        antenna = antenna.changed(**done, date=date)
        slips = _unlike(advice, had, **done)
    if traps := tuple(traps) if isinstance(traps, tuple | list) else (traps,):
        traps = (trap_alone(antenna, f_mhz=one) if isinstance(one, Real) else one for one in traps)
        antenna = antenna.with_traps(*traps, date=date)
    if sweeps or low_mhz is not None or high_mhz is not None:
        if sweeps and not (low_mhz is None and high_mhz is None):
            raise Slip("give sweeps, or where the lowest SWR is, not both at once")
        read = [one if isinstance(one, Sweep) else read_sweep(one) for one in sweeps]
        names = [shown(Path(one).name) for one in sweeps if isinstance(one, str | Path)]
        antenna, said = _measured(antenna, read, names, low_mhz, high_mhz, date, call)
        notes += said
    if antenna.log != before.log:
        antenna.save(path, force=True)
    how = {"file": call.file, "command": command, "tape": tape}
    return page_of(antenna, notes=notes, slips=slips, folder=path.parent, **how)


def _came_home(count):
    if not count:
        return "From the phone: nothing new, all of it is in the log already."
    return f"From the phone: {count} new line{'' if count == 1 else 's'}."


def _own():
    """The only antenna file here, or in the folder above, where a work folder has them. Raises Slip."""
    found = antenna_files(".") or antenna_files("..")
    if not found:
        raise Slip(
            "No antenna is kept here: save yours with the planner of lesson 09, or by antlab plan --save "
            "NAME.json."
        )
    if len(found) > 1:
        names = ", ".join(shown(one.name) for one in found)
        raise Slip(
            f"There is more than one antenna here, {names}: name one, as in al.trim({found[0].name!r})."
        )
    return found[0]


def _measured(antenna, sweeps, names, low_mhz, high_mhz, date, call):
    """The antenna with a measurement in its log, and what is to be said of that."""
    notes = [f"{name}: {note}" for sweep, name in zip(sweeps, names, strict=False) for note in sweep.notes]
    for entry in antenna.standing[::-1]:
        same = isinstance(entry, Swept) and sweeps and _same(entry.sweeps, sweeps)
        same = same or (
            isinstance(entry, ReadOff) and not sweeps and (entry.low_mhz, entry.high_mhz) == (low_mhz,
            high_mhz) and entry is antenna.measured
        )  # fmt: skip
        if same and entry is antenna.measured:
            return antenna, [*notes, f"This is in the log already, of {entry.date}: it is not written twice."]
        if same:
            raise Slip(
                f"this sweep is in the log already, of {entry.date}, and something was changed since: "
                f"sweep again"
            )
    waiting = antenna.advice
    if waiting and (waiting.inner_m or waiting.outer_m):
        raise Slip(
            f"the log does not say what became of the last advice, of {antenna.measured.date}: write it "
            f"down first, {call.with_(made=waiting)}; or 0 for both, if nothing was changed"
        )
    if sweeps:
        return antenna.swept(*sweeps, files=names, date=date), notes
    return antenna.read_off(low_mhz=low_mhz, high_mhz=high_mhz, date=date), notes


def _same(before, now):
    return len(before) == len(now) and all(
        one.f_mhz.shape == other.f_mhz.shape
        and np.allclose(one.f_mhz, other.f_mhz)
        and np.allclose(one.reflection, other.reflection, rtol=0, atol=_KEPT)
        for one, other in zip(before, now, strict=True)
    )


def _unlike(advice, cut_m, inner_m, outer_m):
    """What to say of a change that is not what was advised, or is much of a wire of cut_m (inner, outer)."""
    for (name, done), has in zip((("inner", inner_m), ("outer", outer_m)), cut_m, strict=True):
        if abs(done) > MUCH * has and abs(done) > 2 * abs(getattr(advice, f"{name}_m", 0.0)):
            return [f"{DOUBTS['much'].format(wire=name, done_cm=100 * done, has=Tape().place(has))} {_SLIP}"]
    for name, done in (("inner", inner_m), ("outer", outer_m)):
        asked = getattr(advice, f"{name}_m", 0.0)
        if done * asked < 0:
            said = DOUBTS["other_way"].format(wire=name, asked_cm=100 * asked, done_cm=100 * done)
            return [f"{said} {_SLIP}"]
    return []


def trap_alone(antenna, *, f_mhz, lower_mhz=None, added_pf=None):
    """A trap of an antenna as measured alone: by two resonances, or by one, its shape taken as planned.

    antenna: an Antenna. f_mhz: its resonance alone, MHz. lower_mhz: with added_pf, picofarads, across it.
    Both or neither. Returns a MeasuredTrap. Raises Slip as trap_from_two does.

    >>> antenna = al.Antenna(name="lawn", yard=al.Yard(hung="level", heights_m=(9, 9)))
    >>> from antlab.antenna.trim import trap_alone
    >>> round(trap_alone(antenna, f_mhz=14.0).trap.resonance_mhz, 2)
    14.0
    """
    planned = antenna.planned_trap
    if (lower_mhz is None) != (added_pf is None):
        raise Slip("a trap's second resonance goes with the capacitor that was added: give both, or neither")
    f_mhz = check_one("f_mhz", f_mhz, unit="megahertz")
    if lower_mhz is not None:
        return trap_from_two(f_mhz=f_mhz, lower_mhz=lower_mhz, added_pf=added_pf, q=planned.q)
    off = planned.resonance_mhz / f_mhz
    trap = Trap(
        inductance_uh=planned.inductance_uh * off, capacitance_pf=planned.capacitance_pf * off, q=planned.q
    )
    return MeasuredTrap(trap, _ALONE_OFF, _ALONE_OFF)


def sweep_files(folder="."):
    """Every file in a folder that can be read as a sweep, by name. folder: where to look.

    Returns a tuple of Paths.

    >>> al.sweep_files("no-such-folder")
    ()
    """
    found = []
    for path in sorted(Path(folder).glob("*")):
        if path.suffix.lower() in SUFFIXES:
            try:
                read_sweep(path)
            except Slip:
                continue
            found.append(path)
    return tuple(found)


def page_of(antenna, *, notes=(), slips=(), folder=None, file=None, command=False, tape=None):
    """What the log of an antenna says and what to do next: one page of text, 80 columns wide.

    antenna: an Antenna. notes: sentences on what was just read. slips: on what may be a slip, said first.
    folder: where sweeps are looked for, or None. file: the name of the antenna's file. command: as of trim.
    tape: a Tape, by which lengths are told; metres first when left out.

    >>> antenna = al.Antenna(name="lawn", yard=al.Yard(hung="level", heights_m=(9, 9)))
    >>> from antlab.antenna.trim import page_of
    >>> "Sweep both bands" in page_of(antenna)
    True
    """
    file, tape = f"{antenna.name}.json" if file is None else file, tape or Tape()
    labels = [band(name, antenna.region).label for name in (antenna.low, antenna.high)]
    title = f"{antenna.name}: trimming, {' and '.join(labels)}"
    parts = {
        title: [*slips, _short(antenna)],
        "The log": [_line(entry) for entry in antenna.log[-_MOST_LINES:]] or ["It is empty."],
        "Sweeps here that are not in the log": _not_yet(antenna, folder) if folder is not None else [],
        "Measured": [*_minima(antenna, labels), *notes],
        "The wires now, one leg, from eye to eye": _lengths(antenna),
        "Before you touch it": [*cautions_for("trimming").values(), ALONE],
        "Do this next": _next(antenna),
        "Then": _then(antenna, _Call(file, command, antenna.planned_trap, tape)),
    }
    return "\n\n".join(
        "\n".join(
            [
                heading if heading is title else heading.upper(),
                *(_wrapped(tape.turned(tape.trimmed(words))) for words in said),
            ]
        )
        for heading, said in parts.items()
        if said
    )


_NOTHING = Advice(low_mhz=None, high_mhz=None)
_MOST_LINES = 20  # of the log, that a page shows


def _minima(antenna, labels):
    """Where the lowest SWR was and where it is wanted."""
    entry, advice = antenna.measured, antenna.advice
    if entry is None:
        return []
    said = [f"{_source(entry)}, {entry.date}."]
    for label, seen, aim in zip(labels, (advice.low_mhz, advice.high_mhz), antenna.planned_mhz, strict=True):
        if seen is None:
            said.append(f"{label}: no lowest SWR to be seen; wanted at {aim:.3f} MHz.")
            continue
        off = 100 * (seen / aim - 1)
        how = f"{abs(off):.1f} % {'high' if off > 0 else 'low'}" if abs(off) >= 0.05 else "right there"
        said.append(f"{label}: lowest SWR at {seen:.3f} MHz, wanted at {aim:.3f} MHz: {how}.")
    if isinstance(entry, Swept) and not all(sweep.phase for sweep in entry.sweeps):
        said.append(NO_PHASE)
    return said


def _source(entry):
    if isinstance(entry, ReadOff):
        return "Read off a meter"
    return f"Swept, {', '.join(map(shown, entry.files))}" if entry.files else "Swept"


def _next(antenna):
    advice = antenna.advice
    if advice is None:
        return [
            "Sweep both bands, wide enough: from 8 % below to 8 % above each aim, at the feed point or "
            "through a "
            "good cable. Aims: " + " and ".join(f"{f:.3f} MHz" for f in antenna.planned_mhz) + "."
        ]
    said = [*_off_plan(antenna), advice.text]
    if unlike := _unlike_traps(antenna):
        found = f"The two traps are not alike, {' and '.join(f'{f:.2f}' for f in unlike)} MHz"
        if _spoils(antenna):
            return [
                f"{found}: tune them to within 1 % of each other, and measure them again. Change no wire "
                "before: it would be for nothing."
            ]
        said.append(f"{found}: within 1 % of each other is better.")
    return [*said, *advice.because] if not advice.fault else said


def _traps_mhz(antenna):
    return [trap.trap.resonance_mhz for trap in antenna.measured_traps or ()]


def _unlike_traps(antenna):
    """The resonances of both traps, MHz, if they are not alike; or nothing."""
    found = _traps_mhz(antenna)
    return found if len(found) == 2 and abs(found[0] / found[1] - 1) > _UNALIKE else []


def _spoils(antenna):
    """Whether a change of the wires waits that traps so unlike would spoil."""
    advice = antenna.advice
    return bool(advice and (advice.inner_m or advice.outer_m) and _unlike_traps(antenna))


def _off_plan(antenna):
    """That the traps are not as planned, if so: a list of one sentence or none."""
    found, planned = _traps_mhz(antenna), antenna.planned_trap.resonance_mhz
    off = np.mean(found) / planned - 1 if found else 0.0
    if abs(off) < _OFF_PLAN:
        return []
    way, mend = ("high", "wind on") if off > 0 else ("low", "unwind")
    return [
        f"The traps are {100 * abs(off):.1f} % too {way} for the plan's {planned:.2f} MHz, which wants 1 %: "
        f"best {mend} a little, and measure them again. What follows reckons with them as they are."
    ]


def _short(antenna):
    """What to do, before all that is to be minded."""
    advice = antenna.advice
    if _spoils(antenna):
        return "Make the traps alike first. Change no wire yet."
    said = "Sweep both bands." if advice is None else advice.short
    if advice is None or advice.inner_m or advice.outer_m:
        said += " Read the whole page before you do it."
    return said


def _then(antenna, call):
    advice = antenna.advice
    if advice is None:
        return [
            f"With a file: {call.with_('sweep')}",
            f"With a meter that shows SWR alone: {call.with_('dips')}, where it is lowest",
        ]
    if advice.measure_traps or _spoils(antenna):
        return [
            f"{call.with_('trap, twice')}, with what you measured: alone, and with a known capacitor across "
            f"it; without one: {call.with_('trap')}"
        ]
    again = f"weep again: {call.with_('sweep')}"
    if advice.nearest:
        return [
            f"If you tuned the traps, measure each alone: {call.with_('trap, twice', made=_NOTHING)}",
            f"S{again}",
        ]
    if advice.inner_m or advice.outer_m:
        said = [f"Write down what you really did: {call.with_(made=advice)}", f"S{again}"]
        return [*said, f"To see what folding does: {call.view}"] if _drawn(antenna, call) else said
    return [f"When that is mended, s{again}"] if advice.fault else []


def _drawn(antenna, call):
    """Whether lesson 10's view can draw it, in a notebook: a sweep of the whole antenna."""
    return not call.command and isinstance(antenna.measured, Swept)


@dataclass(frozen=True)
class _Call:
    """What is typed to go on: a command's words, or a call. file: the antenna's. command: which of them.

    trap: as planned, for an example of its own. tape: by which a command takes lengths.
    """

    file: str
    command: bool
    trap: Trap
    tape: Tape

    @property
    def view(self):
        return f"live.trimming(log=al.read_antenna({json.dumps(self.file, ensure_ascii=False)}))"

    def with_(self, *what, made=None):
        """With what _TYPED names, behind the Advice that was followed, if any."""
        f, pf = self.trap.resonance_mhz, self.trap.capacitance_pf
        lower = f * np.sqrt(pf / (pf + _ADDED_PF))
        shown = {"f": f"{f:.2f}", "lower": f"{lower:.2f}", "added": f"{_ADDED_PF}"}
        said = [_TYPED[one][self.command].format(**shown) for one in what]
        if made:
            both = ("inner", made.inner_m), ("outer", made.outer_m)
            words = "--made " + " ".join(f"{name}={self._typed(m)}" for name, m in both)
            call = ", ".join(f"{name}_m={m:.3f}" if m else f"{name}_m=0" for name, m in both)
            said.insert(0, words if self.command else call)
        if (first := self.tape.first) != Tape().first:
            said.append(f"--first {first}" if self.command else f'first="{first}"')
        if self.command:
            return " ".join([f"{COMMAND} trim {typed(self.file)}", *said])
        return f"al.trim({', '.join([json.dumps(self.file, ensure_ascii=False), *said])})"

    def _typed(self, change_m):
        """A change of a wire as --made takes it, one word."""
        if not change_m:
            return "0"
        number, unit = self.tape.change(change_m).rsplit(maxsplit=1)
        return f"{'-' if change_m < 0 else ''}{number.replace(' ', '-')}{unit}"


_TYPED = {  # in a call, and behind the command
    "sweep": ('"SWEEP.s1p"', "SWEEP.s1p"),
    "dips": ("low_mhz=7.05, high_mhz=14.1", "--low-mhz 7.05 --high-mhz 14.1"),
    "trap": ("traps={f}", "--trap alone={f}MHz"),
    "trap, twice": (
        "traps=al.bench.trap_from_two(f_mhz={f}, lower_mhz={lower}, added_pf={added})",
        "--trap alone={f}MHz lower={lower}MHz added={added}pF",
    ),
}


def _lengths(antenna):
    return [
        f"Each {name} wire: {Tape().cut(now)}; planned {Tape().cut(planned)}."
        for name, now, planned in zip(("inner", "outer"), antenna.cut_m, antenna.planned_m, strict=True)
    ]


def _line(entry):
    """A line of the log in words."""
    if isinstance(entry, Undone):
        said = "the line before was a slip"
    elif isinstance(entry, Changed):
        both = ("inner", entry.inner_m), ("outer", entry.outer_m)
        done = (f"each {name} wire {100 * m:+.1f} cm ({m / INCH_M:+.1f} in)" for name, m in both if m)
        said = f"changed: {', '.join(done) or 'nothing'}"
    elif isinstance(entry, TrapsMeasured):
        said = "traps measured: " + ", ".join(f"{one.trap.resonance_mhz:.2f} MHz" for one in entry.traps)
    else:
        said = _source(entry).lower() if isinstance(entry, ReadOff) else _source(entry)
        if entry.advice is not None:
            seen = [f"{f:.3f}" if f else "none" for f in (entry.advice.low_mhz, entry.advice.high_mhz)]
            lowest = f"lowest SWR at {' and '.join(seen)} MHz"
            said += f": {'no lowest SWR to be seen' if set(seen) == {'none'} else lowest}"
    return f"{entry.date}  {said}"


def _not_yet(antenna, folder):
    """The sweeps in a folder that the log doesn't name."""
    known = {name for entry in antenna.log if isinstance(entry, Swept) for name in entry.files}
    here = [path for path in sorted(Path(folder).glob("*")) if path.suffix.lower() in _SURE]
    new = [shown(path.name) for path in here if shown(path.name) not in known]
    return [", ".join(new)] if new else []


def _wrapped(words):
    return textwrap.fill(words, _WIDE, initial_indent="  ", subsequent_indent="    ", break_on_hyphens=False)
