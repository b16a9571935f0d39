"""Tables of measured points, as meters and hands write them: columns by their headings, points in order.

A column is known by what its heading says in words, with its unit: frequency, SWR, R, X, |Z|, phase, return
loss. Parted by semicolons, tabs, spaces or commas; decimals are points, or commas where commas don't part.
"""

import csv
import itertools
import re
import unicodedata

import numpy as np

from antlab.physics.circuit import reflection_coefficient, reflection_of_swr, swr_of_reflection
from antlab.units import Slip, check_complex, check_number, quoted, shown

OVER = 1.1  # a reflection above 1 by noise is read as 1, above this it is no measurement
_GAP, _GAP_SHARE = 5, 0.01  # a step so many times the usual one, and such a part of the frequency
_ANOTHER = 0.15  # what lies so far beyond a gap is another band
_DISAGREE = 0.03  # of the reflection, between two sweeps of one stretch
_CONTRADICT = 0.2  # between two points of one frequency: no noise does that
_HF_MHZ = 0.1, 100.0  # where a frequency without its unit is looked for
_UNITS_MHZ = {"hz": 1e-6, "khz": 1e-3, "mhz": 1.0, "ghz": 1e3}
_SAMPLE = 4  # line numbers that a sentence names
_MOST_HEAD = 100  # lines before the headings
_COLUMNS = {  # English; frequency and SWR in some other languages too (values from memory)
    "frequency": "frequency freq f frequenz frequence frequenza frecuencia frequentie frekvens",
    "SWR": "swr vswr swv ros roe",
    "R": "r rs resistance re real rez",
    "X": "x xs reactance im imag imaginary imz",
    "size of X": "|x|",
    "|Z|": "z |z| impedance magz",
    "phase": "phase angle theta phi θ φ phasez",
    "return loss": "returnloss rl",
}
_WORDS = {word: column for column, words in _COLUMNS.items() for word in words.split()}
_ENOUGH = (("R", "X"), ("R", "size of X"), ("|Z|", "phase"), ("SWR",), ("return loss",), ("R", "|Z|"))
_NUMBER = re.compile(r"[+-]?(\d+([.,]\d*)?|[.,]\d+)(e[+-]?\d+)?", re.ASCII | re.IGNORECASE)
_NOTHING = {"", "nan", "-", "--", "n/a", "na", "none", "null", "#n/a"}
_ENDLESS = {"inf", "+inf", "infinity", "∞"}
WANTED = "a heading like: frequency (MHz), SWR; or: frequency (MHz), R, X"


def table_of(lines, z0_ohm=50.0):
    """What a table of points says.

    lines: of the file, text without line ends. z0_ohm: to which an SWR refers. Returns frequencies in MHz and
    reflection coefficients on z0_ohm, shape (n,), in the order of the lines; whether their phase is known;
    sentences on what was mended; and the lines above the table. Raises Slip that begins with the line where
    it can't be read.

    >>> from antlab.antenna.sweep_tables import table_of
    >>> f, reflection, phase, notes, above = table_of(["freq [MHz];SWR", "7,00;2,0", "7,10;1,5"])
    >>> f.tolist(), reflection.round(2).tolist(), phase, above
    ([7.0, 7.1], [0.33, 0.2], False, [])
    """
    numbered = [(n, line.strip()) for n, line in enumerate(lines, 1)]
    comments = [line.lstrip("#! ") for _, line in numbered if line.startswith(("#", "!"))]
    numbered = [(n, line) for n, line in numbered if line and not line.startswith(("#", "!"))]
    if not numbered:
        raise Slip(f"holds no measured point: wanted are {WANTED}, and a line for each frequency")
    at, parting, columns, count, notes = _headings(numbered)
    above = comments + [line for _, line in numbered[: max(at, 0)]]
    values, left_out = [], []
    for n, line in numbered[at + 1 :]:
        cells = _cells(line, parting)
        try:
            row = _values(cells, columns, count)
        except Slip as error:
            raise Slip(f"line {n} {error}") from None
        if row is None:
            left_out.append(n)
        else:
            values.append((n, row))
    if not values:
        raise Slip(f"holds no measured point below its headings: wanted are {WANTED}")
    where = [n for n, _ in values]
    table = {name: np.array([row[name] for _, row in values]) for name in columns}
    notes += [left_out_note(left_out)] if left_out else []
    f, said = _in_mhz(table["frequency"], columns["frequency"][1])
    reflection, phase = _reflection(table, z0_ohm, where)
    return f, reflection, phase, notes + said, above


def left_out_note(lines):
    """That some lines have no numbers. lines: their numbers. Returns a sentence.

    >>> from antlab.antenna.sweep_tables import left_out_note
    >>> left_out_note([7])
    'Line 7 has no number in it, and is left out.'
    """
    if len(lines) == 1:
        return f"Line {lines[0]} has no number in it, and is left out."
    some = ", ".join(map(str, lines[:_SAMPLE])) + (" …" if len(lines) > _SAMPLE else "")
    return f"{len(lines)} lines have no number in them, and are left out: {some}."


def in_order(f_mhz, reflection):
    """Points put in order, each frequency once.

    f_mhz: MHz, shape (n,). reflection: complex, shape (n,). Returns both in rising order and sentences on
    what was mended; of a frequency that comes twice the last is taken. Raises Slip where they are two sweeps
    that disagree, where one frequency has two very different values, or for no rows of one length.

    >>> from antlab.antenna.sweep_tables import in_order
    >>> f, reflection, notes = in_order(np.array([7.2, 7.1, 7.0]), np.array([0.3, 0.2, 0.3]))
    >>> f.tolist(), notes
    ([7.0, 7.1, 7.2], ['The frequencies fall: they are turned round.'])
    """
    f_mhz, reflection = check_number("f_mhz", f_mhz), check_complex("reflection", reflection)
    if f_mhz.ndim != 1 or f_mhz.shape != reflection.shape:
        raise Slip(f"f_mhz and reflection are rows of one length; got {f_mhz.shape} and {reflection.shape}")
    notes, steps = [], np.diff(f_mhz)
    _one_sweep(f_mhz, np.abs(reflection))
    if np.any(steps < 0):
        notes.append(
            "The frequencies fall: they are turned round."
            if np.all(steps <= 0)
            else "The frequencies are in no order: they are put in one."
        )
    order = np.argsort(f_mhz, kind="stable")
    f, g = f_mhz[order], reflection[order]
    last = np.r_[np.diff(f) > 0, True]
    if twice := int(np.count_nonzero(~last)):
        first = f"{f[~last][0]:.6g} MHz"
        what = f"{first} comes" if twice == 1 else f"{twice} frequencies, {first} the first, come"
        size = np.abs(g)
        apart = np.flatnonzero(~last[:-1] & (np.abs(np.diff(size)) > _CONTRADICT))
        if apart.size:
            i = apart[0]
            seen = " and ".join(f"{swr_of_reflection(min(one, 1.0)):.3g}" for one in size[i : i + 2])
            raise Slip(f"{f[i]:.6g} MHz comes twice, with an SWR of {seen}: keep the one that is right")
        notes.append(f"{what} twice or more: the last of each is taken.")
        f, g = f[last], g[last]
    steps = np.diff(f)
    if steps.size > 2:
        share = steps / f[1:]
        wide = np.flatnonzero((steps > _GAP * np.median(steps)) & (share > _GAP_SHARE) & (share < _ANOTHER))
        for i in wide[:_SAMPLE]:
            notes.append(f"Nothing was measured between {f[i]:.6g} and {f[i + 1]:.6g} MHz.")
    return f, g, notes


def _one_sweep(f, size):
    """Raise Slip where a stretch was swept twice, and not with the same result."""
    way = np.sign(np.diff(f))
    moves = np.flatnonzero(way)  # to another frequency
    way = way[moves]
    turns = moves[1:][way[1:] != way[:-1]]  # each is the last point of one stretch and the first of the next
    bounds = [0, *turns, f.size - 1]
    runs = [np.argsort(f[a : b + 1], kind="stable") + a for a, b in itertools.pairwise(bounds)]
    for one, other in itertools.pairwise(run for run in runs if run.size > 2):
        both = other[(f[other] >= f[one[0]]) & (f[other] <= f[one[-1]])]
        if both.size < 3:
            continue
        off = np.abs(np.interp(f[both], f[one], size[one]) - size[both])
        if np.median(off) > _DISAGREE:
            raise Slip(
                f"it holds two sweeps of {f[both[0]]:.6g} to {f[both[-1]]:.6g} MHz that disagree: keep one "
                "in a file"
            )


def _headings(numbered):
    """Which line has the headings (-1: none), what parts the columns, what each is, how many, what to say."""
    poor = None
    for at, (n, line) in enumerate(numbered[:_MOST_HEAD]):
        rows = [line for _, line in numbered[at + 1 :]]
        if all(_NUMBER.fullmatch(cell) for cell in _cells(line, _parting([line]))):
            break
        for parting in (";", "\t", ",", None):
            cells = _cells(line, parting) if parting else _spaced(line)
            columns, unknown = _columns(cells)
            if "frequency" not in columns or len(cells) < 2:
                continue
            if any(set(need) <= set(columns) for need in _ENOUGH):
                notes = [f"Not read: {', '.join(map(shown, unknown))}."] if unknown else []
                return at, parting if parting in (";", "\t") else _parting(rows), columns, len(cells), notes
            poor = poor or Slip(f"line {n} names frequencies, but no SWR, nor R with X: wanted is {WANTED}")
    if poor:
        raise poor
    n, line = numbered[0]
    parting = _parting([line for _, line in numbered])
    cells = _cells(line, parting)
    names = {2: ("frequency", "SWR"), 3: ("frequency", "R", "X")}.get(len(cells))
    if names is None or not _NUMBER.fullmatch(cells[0]):
        raise Slip(f"line {n} says {quoted(line)} where {WANTED} was expected")
    said = f"It has no headings: taken as {', '.join(names[:-1])} and {names[-1]}."
    return -1, parting, {name: (i, None) for i, name in enumerate(names)}, len(names), [said]


def _parting(lines):
    """What parts the columns of lines of numbers: a semicolon, a tab, a comma, or spaces (None)."""
    some = lines[:_MOST_HEAD]
    for parting in (";", "\t"):
        if some and all(parting in line for line in some):
            return parting
    if not (some and all("," in line for line in some)):
        return None
    spaced = all(re.search(r"\S\s+\S", line) for line in some)
    decimal = any(re.search(r"\d,\d", line) for line in some)
    return None if spaced and decimal else ","  # 7,05 1,8 or 7.05, 1.8


def _spaced(line):
    """The headings of a line that spaces part: a unit belongs to the word before it."""
    return re.sub(r"\s+(?=[(\[]|[kMG]?Hz\b|ohms?\b)", "_", line).split()


def _cells(line, parting):
    if parting is None:
        return re.sub(r",\s+", " ", line).split()
    cells = next(csv.reader([line], delimiter=parting, skipinitialspace=True), [])
    cells = [cell.strip() for cell in cells]
    while len(cells) > 1 and not cells[-1]:
        cells.pop()  # a comma at the end of the line
    return cells


def _columns(cells):
    """Column -> (its place, its unit), of those that are known by their heading; and the other headings.

    What has a unit of frequency is one, in any language, where no heading says so in words.
    """
    columns, unknown = {}, []
    for place, cell in enumerate(cells):
        name, unit = _name(cell)
        column = _WORDS.get(name)
        if column is None or column in columns:
            unknown += [(place, cell, unit)] if cell else []
        else:
            columns[column] = place, unit
    told = [one for one in unknown if one[2] and not re.search(r"\d", one[1])]
    if told and "frequency" not in columns:
        place, _, unit = told[0]
        columns["frequency"] = place, unit
        unknown.remove(told[0])
    return columns, [cell for _, cell, _ in unknown]


def _name(heading):
    """A heading's word and its unit, both small and plain: "Frequency (MHz)" is frequency and mhz."""
    text = unicodedata.normalize("NFKD", heading.strip().strip('"').lower())  # an accent is a sign of its own
    unit = next(
        (found for found in re.findall(r"[a-zω°]+", text) if found in _UNITS_MHZ), None
    )  # of frequencies
    text = re.sub(r"\([^)]*\)|\[[^\]]*\]|\bin\b.*$|[/,_].*$", "", text)
    text = re.sub(r"\b(hz|khz|mhz|ghz|ohms?|ω|db|deg|degrees|°)\b|ω|°", "", text)
    return re.sub(r"[^a-zθφ|]", "", text), unit


def _values(cells, columns, count):
    """The numbers of a line by column, or None where it has none. Raises Slip."""
    if len(cells) > count:
        raise Slip(
            f"has {len(cells)} columns where {count} were expected: where commas are decimal, part the "
            "columns by semicolons"
        )
    cells = [*cells, *[""] * (count - len(cells))]
    row = {}
    for name, (place, _) in columns.items():
        cell = re.sub(r"^1\s*:\s*(?=\d)|(?<=\d)\s*:\s*1(\.0*)?$", "", cells[place]).strip()
        if cell.lower() in _NOTHING:
            return None
        if cell.lower() in _ENDLESS:
            row[name] = np.inf
        elif _NUMBER.fullmatch(cell):
            row[name] = float(cell.replace(",", "."))
        else:
            raise Slip(f"has {quoted(cells[place])} where a number like 1.5 was expected, as {name}")
    return row


def _in_mhz(f, unit):
    """Frequencies in MHz; without a unit, in the one that makes them short waves."""
    if unit:
        return f * _UNITS_MHZ[unit], []
    low, high = _HF_MHZ
    for name, size in _UNITS_MHZ.items():
        if np.all((f * size >= low) & (f * size <= high)) and name != "ghz":
            return f * size, [] if name == "mhz" else [
                f"The frequencies have no unit: taken as {name.replace('hz', 'Hz')}."
            ]
    raise Slip("gives frequencies without their unit: write frequency (MHz), or Hz or kHz, above them")


def _reflection(table, z0_ohm, where):
    """Reflection coefficients on z0_ohm, and whether their phase is known."""
    phase = False
    with np.errstate(all="ignore"):
        if "R" in table and "X" in table:
            z, phase = table["R"] + 1j * table["X"], True
        elif "|Z|" in table and "phase" in table:
            z, phase = table["|Z|"] * np.exp(1j * np.radians(table["phase"])), True
        elif "SWR" in table:
            z = None
            if np.any(table["SWR"] < 0.98):
                i = int(np.argmin(table["SWR"]))
                raise Slip(f"line {where[i]} has an SWR of {table['SWR'][i]:.3g}: it is 1 or more")
            reflection = np.where(
                np.isinf(table["SWR"]), 1.0, reflection_of_swr(np.clip(table["SWR"], 1, 1e12))
            )
        elif "return loss" in table:
            z, reflection = None, 10 ** (-np.abs(table["return loss"]) / 20)
        elif "size of X" in table:
            z = table["R"] + 1j * table["size of X"]
        else:
            z = table["R"] + 1j * np.sqrt(np.maximum(table["|Z|"] ** 2 - table["R"] ** 2, 0))
        if z is not None:
            open_ = np.isinf(z.real) | np.isinf(z.imag)
            reflection = np.where(open_, 1.0, _of(np.where(open_, 1.0, z), z0_ohm))
    size = np.abs(reflection)
    if not np.all(size <= OVER):
        i = int(np.argmax(np.where(np.isnan(size), np.inf, size)))
        raise Slip(
            f"line {where[i]} reflects more than it gets, as of a resistance below zero; calibrate, or look "
            "whether the columns are what the headings say"
        )
    return (reflection if phase else np.abs(reflection)), phase


def _of(z, z0_ohm):
    """Reflection, also of a resistance that noise made less than nothing."""
    return (z - z0_ohm) / (z + z0_ohm) if np.any(z.real < 0) else reflection_coefficient(z, z0_ohm)
