"""A measured sweep: what an analyzer saw, in the open format or in a table, and what can be read off it."""

import re
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from antlab.antenna.design import span_under
from antlab.antenna.named_file import read_named, write_named
from antlab.antenna.sweep_tables import OVER, in_order, left_out_note, table_of
from antlab.physics import cable as cables
from antlab.physics.circuit import impedance_of_reflection, reflection_coefficient, swr_of_reflection
from antlab.units import Slip, check_complex, check_one, check_positive, quoted, shown

_LOWEST_MHZ, _HIGHEST_MHZ = 0.001, 3000.0
_MOST_POINTS, _MOST_LINES, _MOST_BYTES, _LONGEST_LINE = 100_000, 200_000, 20_000_000, 1000
_LOWEST_OHM, _HIGHEST_OHM, _OPEN_OHM = 1e-3, 1e6, 1e100
_NEAR = 0.02  # points within 2 % of a minimum are used to find it, the three lowest at least
_MOST_FITTED = 501  # points, evenly taken where more are near
_FEW = 8  # points near a minimum without phase, below which the lowest three have to do
_MOST_DIPS = 100  # are fitted; an antenna has no more
_TURNS = np.linspace(0, 5, 11)  # radians, up to some 70 m of line over the stretch
_RISE = 0.1  # of the reflection, on both sides of what counts as a minimum
_UNIT_MHZ = {"HZ": 1e-6, "KHZ": 1e-3, "MHZ": 1.0, "GHZ": 1e3}
_FEWER = f"{_MOST_POINTS:,} are read at most; a thousand show a band well, so sweep in coarser steps"
_FEW_NUMBERS = "a point of a sweep has three numbers"
_NUMBER = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)(e[+-]?\d+)?|-inf", re.ASCII | re.IGNORECASE)


@dataclass(frozen=True)
class Dip:
    """A minimum of the SWR: its frequency, MHz, and the SWR there.

    >>> al.touchstone.Dip(f_mhz=7.1, swr=1.3)
    Dip(f_mhz=7.1, swr=1.3)
    """

    f_mhz: float
    swr: float


@dataclass(frozen=True, eq=False)
class Sweep:
    """Impedance over frequency, as measured at one place.

    f_mhz: rising, MHz, shape (n,). impedance: complex ohms, shape (n,); infinity is an open end. z0_ohm: of
    the line that SWR refers to. comments: lines of text that came with it. phase: whether the impedance
    was measured; else only its SWR was, and it is the resistance that has it. notes: sentences, what was
    mended on reading.
    Raises Slip for frequencies that do not rise, NaN, a negative resistance, shapes that differ, more
    than 100,000 points.

    >>> sweep = al.Sweep([7.0, 7.1, 7.2], [60 - 30j, 60 + 0j, 60 + 30j])
    >>> sweep.swr.round(2).tolist(), sweep.resonances_mhz().tolist()
    ([1.77, 1.2, 1.77], [7.1])
    """

    f_mhz: np.ndarray
    impedance: np.ndarray
    z0_ohm: float = 50.0
    comments: tuple = ()
    phase: bool = True
    notes: tuple = ()

    def __post_init__(self):
        f = np.atleast_1d(check_positive("f_mhz", self.f_mhz, unit="megahertz")).copy()
        z0 = check_positive("z0_ohm", self.z0_ohm, unit="ohms")
        z = np.atleast_1d(check_complex("impedance", self.impedance, unit="ohms"))
        if f.ndim != 1 or f.shape != z.shape or not f.size or z0.ndim:
            raise Slip(
                "a sweep is a row of frequencies, as long a row of impedances, and one z0_ohm; "
                f"got shapes {f.shape}, {z.shape} and {z0.shape}"
            )
        if f.size > _MOST_POINTS:
            raise Slip(f"a sweep of {f.size:,} points: {_FEWER}")
        if not _LOWEST_OHM <= z0 <= _HIGHEST_OHM:
            raise Slip(f"z0_ohm is a line's, like 50 ohms; got {float(z0):.6g}")
        if f[-1] > _HIGHEST_MHZ or f[0] < _LOWEST_MHZ:
            raise Slip(
                f"a sweep lies between {_LOWEST_MHZ:g} and {_HIGHEST_MHZ:g} MHz; this one goes from "
                f"{f[0]:g} to {f[-1]:g}. Were hertz or kilohertz taken for megahertz?"
            )
        if (falls := np.flatnonzero(np.diff(f) <= 0)).size:
            before, after = f[falls[0] : falls[0] + 2]
            raise Slip(
                f"the frequencies of a sweep rise, and {after:.10g} MHz follows {before:.10g} MHz: sort "
                "it, and keep one of each"
            )
        with np.errstate(over="ignore"):  # a length beyond all numbers is infinite
            z = np.where(np.abs(z) > _OPEN_OHM, complex(np.inf, 0), z)
        slight = np.isfinite(z) & (z.real < 0) & (z.real > -1e-9 * (np.abs(z) + z0))
        z = np.where(slight, 1j * z.imag, z)  # rounding, not a resistance
        if np.any(np.isnan(z)) or np.any(z.real < 0):
            raise Slip("impedance of an antenna has a resistance of zero or more ohms, and no NaN")
        f.flags.writeable = z.flags.writeable = False
        for name, value in (("f_mhz", f), ("impedance", z), ("z0_ohm", float(z0))):
            object.__setattr__(self, name, value)

    @property
    def reflection(self):
        """Reflection coefficient on z0_ohm, complex, shape (n,)."""
        return reflection_coefficient(self.impedance, self.z0_ohm)

    @property
    def swr(self):
        """Standing-wave ratio on z0_ohm, 1 or more, shape (n,)."""
        return swr_of_reflection(np.abs(self.reflection))

    def on(self, z0_ohm):
        """The same sweep with its SWR on z0_ohm, ohms. Raises Slip where only an SWR on another is known."""
        if not self.phase and abs(z0_ohm / self.z0_ohm - 1) > 1e-9:
            raise Slip(f"an SWR on {self.z0_ohm:g} ohms says nothing of that on {z0_ohm:g}: measure R and X")
        return replace(self, z0_ohm=z0_ohm)

    def between(self, low_mhz, high_mhz):
        """The part between low_mhz and high_mhz, ends included: a Sweep. Raises Slip if it is empty."""
        low_mhz, high_mhz = (
            check_one("low_mhz", low_mhz, zero_ok=True),
            check_one("high_mhz", high_mhz, finite=False),
        )
        inside = (self.f_mhz >= low_mhz) & (self.f_mhz <= high_mhz)
        if not inside.any():
            raise Slip(
                f"the sweep from {self.f_mhz[0]:g} to {self.f_mhz[-1]:g} MHz has no point between "
                f"{low_mhz:g} and {high_mhz:g} MHz; sweep that"
            )
        return replace(self, f_mhz=self.f_mhz[inside], impedance=self.impedance[inside])

    def dips(self):
        """Every minimum of the SWR that stands out, lowest frequency first: a tuple of Dip.

        The reflection near one is fitted by (a + b·f)/(1 + c·f), which is what a tuned circuit reflects, so
        that noise averages out and coarse points do: 4 % apart still finds a dipole's within 0.03 %.
        A minimum stands out when the reflection climbs by 0.1 on both sides; at the edge of a sweep there
        is none, since nobody knows what lies beyond. More than 100 are noise, or echoes of a long line: then
        the 100 lowest are fitted, and of the others each is its lowest point.
        Source: common practice, no source.
        """
        size = np.abs(self.reflection)
        low = np.flatnonzero((size[1:-1] < size[:-2]) & (size[1:-1] <= size[2:])) + 1
        climbs = np.minimum(_peaks(size), _peaks(size[::-1])[::-1]) >= size + _RISE
        low = low[climbs[low]]
        lowest = set(low[np.argsort(size[low], kind="stable")][:_MOST_DIPS].tolist())
        points = zip(low.tolist(), self.f_mhz[low].tolist(), self.swr[low].tolist(), strict=True)
        return tuple(self._dip(i) if i in lowest else Dip(f_mhz, swr) for i, f_mhz, swr in points)

    def lowest(self):
        """The lowest SWR as a Dip, or None when it is at an edge of the sweep and may go on beyond it."""
        i = int(np.argmin(np.abs(self.reflection)))
        return self._dip(i) if 0 < i < len(self.f_mhz) - 1 else None

    def _dip(self, i):
        near = self._near(i)
        if not self.phase:
            return self._dip_of_size(near, i)
        f, g = self.f_mhz[near], reflection_coefficient(self.impedance[near], self.z0_ohm)
        x = (f - f[0]) / (f[-1] - f[0])
        # a line turns the reflection by so much more at the far end of the stretch: try turns, keep the best;
        # few points fit any of them, so there it is left out
        turns = _TURNS if len(x) > 5 else _TURNS[:1]
        fits = [_bilinear(x, g * np.exp(1j * turn * x)) for turn in turns]
        (a, b, c), misfit = min(fits, key=lambda fit: fit[1])
        if misfit == np.inf:
            return Dip(float(self.f_mhz[i]), float(self.swr[i]))
        fine = np.linspace(0, 1, 1001)
        size = np.abs(_at(fine, a, b, c))
        best = int(np.argmin(size))
        swr = swr_of_reflection(min(size[best], 1.0))
        return Dip(float(f[0] + fine[best] * (f[-1] - f[0])), float(swr))

    def _dip_of_size(self, near, i):
        """Where no phase is known: the same curve's size, squared, through the points, or the lowest one.

        Of a few points, as a hand types them, the parabola through the lowest three.
        """
        few = len(near) < _FEW
        if few:
            near = np.arange(i - 1, i + 2)
        f, y = self.f_mhz[near], np.abs(self.reflection[near]) ** 2
        x = (f - f[0]) / (f[-1] - f[0])
        columns = [np.ones_like(x), x, x**2] + ([] if few else [-x * y, -(x**2) * y])
        found = np.r_[np.linalg.lstsq(np.stack(columns, axis=1), y, rcond=None)[0], 0, 0]
        fine = np.linspace(0, 1, 1001)
        below = 1 + found[3] * fine + found[4] * fine**2
        if np.any(below <= 0):
            return Dip(float(self.f_mhz[i]), float(self.swr[i]))
        curve = (found[0] + found[1] * fine + found[2] * fine**2) / below
        best = int(np.argmin(curve))
        swr = swr_of_reflection(np.sqrt(np.clip(curve[best], 0, 1)))
        return Dip(float(f[0] + fine[best] * (f[-1] - f[0])), float(swr))

    def _near(self, i):
        """Indices of the points that a minimum at i is found from."""
        f = self.f_mhz
        first = np.searchsorted(f, f[i] * (1 - _NEAR))
        last = np.searchsorted(f, f[i] * (1 + _NEAR), side="right")
        near = np.arange(min(first, i - 1), max(last, i + 2))
        if len(near) > _MOST_FITTED:
            near = near[np.linspace(0, len(near) - 1, _MOST_FITTED).astype(int)]
        return near

    def resonances_mhz(self):
        """Frequencies where the reactance goes through zero from below, as a dipole's does at resonance, MHz.

        Between points it is taken as a straight line. Only at the antenna is this its resonance: move the
        sweep there first, see at_antenna. Returns shape (k,).
        """
        f, x = self.f_mhz, self.impedance.imag
        up = (x[:-1] < 0) & (x[1:] >= 0) & np.isfinite(self.impedance[1:])
        return (f[:-1] - x[:-1] * np.diff(f) / np.where(up, np.diff(x), 1))[up]

    def span(self, limit=2.0):
        """The Span around the lowest SWR in which it stays at or under a limit, see planning.span_under."""
        return span_under(self.f_mhz, self.swr, limit)

    def at_antenna(self, *, cable, length_m):
        """The sweep as it would be at the far end of the cable, when this one was taken at the near end.

        cable: a name or a Cable. length_m: metres. Returns a Sweep; points that no antenna could have given
        through that cable are left out, with a warning. Raises Slip as cable.impedance_at_antenna does, and
        where the phase is not known.
        """
        if not self.phase:
            raise Slip(
                "an SWR alone can't be moved along a cable: that takes R and X, or the reflection's phase; "
                "measure at the antenna"
            )
        z = cables.impedance_at_antenna(self.impedance, cable=cable, length_m=length_m, f_mhz=self.f_mhz)
        good = ~np.isnan(z)
        return replace(self, f_mhz=self.f_mhz[good], impedance=z[good])


def _bilinear(x, g):
    """The a, b, c of (a + b x) / (1 + c x) nearest to g, and how far from it that stays."""
    found = np.linalg.lstsq(np.stack([np.ones_like(x), x, -x * g], axis=1), g, rcond=None)[0]
    with np.errstate(over="ignore"):
        return found, np.linalg.norm(_at(x, *found) - g)


def _at(x, a, b, c):
    """The values of (a + b x) / (1 + c x), infinite where it has none."""
    with np.errstate(all="ignore"):
        values = (a + b * x) / (1 + c * x)
    return np.where(np.isnan(values), np.inf, values)


def _peaks(size):
    """For each point the highest one between it and the last lower one before it, or 0."""
    peaks, falling = np.zeros(len(size)), []  # falling: points that no later one lies below, with their peaks
    for i, low in enumerate(size.tolist()):
        peak = 0.0
        while falling and falling[-1][0] >= low:
            peak = max(peak, *falling.pop())
        falling.append((low, peak))
        peaks[i] = peak
    return peaks


def read_sweep(path):
    """Read a sweep from a file: Touchstone, as analyzers write it (.s1p, of .s2p S11), or a table.

    path: of the file. A table has headings in words: frequency with its unit, and SWR; or R and X; or |Z| and
    phase; or return loss; see sweep_tables. Returns a Sweep; its notes say what was mended: frequencies that
    fall or come twice, lines without a number. Raises Slip, saying what is wrong and where, for a file that
    is missing, empty, cut off, not text, of more than two ports, of other parameters than S, or no
    measurement. A reflection up to 1.1, as noise makes it, is read as 1. At most 100,000 points in 200,000
    lines are read.
    Source: Touchstone File Format Specification, IBIS Open Forum, version 1.1 (from memory); S parameters in
    RI, MA or DB, Hz to GHz, any reference resistance.

    >>> path = al.write_sweep("dipole.s1p", [7.0, 7.1, 7.2], [60 - 30j, 60, 60 + 30j], force=True)
    >>> al.read_sweep(path).f_mhz.tolist()
    [7.0, 7.1, 7.2]
    """
    path = _path(path)
    ports, name, lines = _ports(path), shown(path.name), _lines(path)
    if ports is None and not any(line.startswith("#") and _is_option(line) for line in lines):
        return _of_table(name, lines)
    return _of_touchstone(name, lines, ports or 1)


def typed_sweep(text):
    """A sweep typed as a table: a line for each frequency, in MHz, with the SWR there, or with R and X.

    text: lines of two or three numbers, or with headings as read_sweep takes them. Returns a Sweep. Raises
    Slip that says which line can't be read.

    >>> sweep = al.typed_sweep("7.00 2.1; 7.05 1.5; 7.10 2.1".replace("; ", chr(10)))
    >>> sweep.swr.round(1).tolist(), round(sweep.lowest().f_mhz, 2)
    ([2.1, 1.5, 2.1], 7.05)
    """
    if not isinstance(text, str):
        raise Slip(f"text is lines like 7.05 1.5, between three quotation marks; got {quoted(text)}")
    if (count := text.count("\n")) > _MOST_LINES:
        raise Slip(f"a table of {count:,} lines; {_FEWER}")
    return _of_table("the table", text.strip("\r\n").splitlines())


def _of_table(name, lines):
    """The Sweep of a table's lines."""
    try:
        for number, line in enumerate(lines, 1):
            if len(line) > _LONGEST_LINE:
                raise Slip(f"line {number} has {len(line):,} letters; {_FEW_NUMBERS}")
        f, reflection, phase, notes, above = table_of(lines)
        if len(f) > _MOST_POINTS:
            raise Slip(f"it has {len(f):,} points: {_FEWER}")
    except Slip as error:
        raise Slip(f"{name}: {error}") from None
    return _sweep(name, f, reflection, 50.0, above, phase=phase, notes=notes)


def _of_touchstone(name, lines, ports):
    """The Sweep of a Touchstone file's lines."""
    option, rows, comments, left_out = None, [], [], []
    for number, line in enumerate(lines, 1):
        line, mark, comment = line.partition("!")
        comments += [comment.strip()] if mark else []
        line = line.strip()
        try:
            if len(line) > _LONGEST_LINE:
                raise Slip(f"has {len(line):,} letters; {_FEW_NUMBERS}")
            if line.startswith("#"):
                said = _option(line[1:].upper().split())
                if option not in (None, said):
                    raise Slip("says # a second time, and other than before: two files in one?")
                option = said
            elif line.startswith("["):
                raise Slip("belongs to version 2 of the format: save as version 1, .s1p")
            elif line and option is None:
                raise Slip("comes before the line that says the units, like # MHz S RI R 50")
            elif line:
                words = line.split()
                if ports == 2 and rows and len(words) == 5:
                    break  # what a file of two ports adds of noise
                row = _row(words, ports)
                if len(rows) == _MOST_POINTS:
                    raise Slip(f"is one point too many: {_FEWER}")
                if row is None:
                    left_out.append(number)
                else:
                    rows.append(row)
        except Slip as error:
            raise Slip(f"{name}: line {number} {error}") from None
    if not rows:
        raise Slip(f"{name} holds no measured point; was the sweep saved?")
    notes = [left_out_note(left_out)] if left_out else []
    notes += ["Of its two ports the first is read, S11."] if ports == 2 else []
    unit, form, z0_ohm = option
    f, one, two = np.array(rows).T
    with np.errstate(all="ignore"):
        if form == "DB":
            one = 10 ** (one / 20)
        s = one + 1j * two if form == "RI" else one * np.exp(1j * np.radians(two))
        size = np.abs(s)
        f = f * _UNIT_MHZ[unit]
    if form == "MA" and np.any(one < 0):
        raise Slip(f"{name}: a magnitude is below zero; the file says MA, and it may be DB or RI")
    if not np.all(size <= OVER):
        raise Slip(
            f"{name}: no antenna reflects more than it gets, and here a point has {np.max(size):.3g} "
            f"times; calibrate, or look whether {form} is true"
        )
    return _sweep(name, f, s, z0_ohm, comments, notes=notes)


def _sweep(name, f, s, z0_ohm, comments, *, phase=True, notes=()):
    """The Sweep of points in any order. Raises Slip that names the file."""
    try:
        f, s, mended = in_order(f, s)
    except Slip as error:
        raise Slip(f"{name}: {error}") from None
    size = np.abs(s)
    z = impedance_of_reflection(s / np.maximum(size, 1), z0_ohm)
    if phase:
        z = np.where(size >= 1, np.where(np.isinf(z), z, 1j * z.imag), z)
    try:
        return Sweep(f, z, z0_ohm, tuple(comments), phase, (*notes, *mended))
    except Slip as error:
        raise Slip(f"{name}: {error}") from None


def write_sweep(path, f_mhz, impedance, z0_ohm=50, comment="", force=False):
    """Write a sweep as a one-port Touchstone file, which read_sweep and other programs read.

    path: of the file, ending in .s1p. f_mhz: rising, MHz, shape (n,). impedance: complex ohms, shape (n,).
    z0_ohm: reference resistance. comment: text, for the top of the file. force: overwrite what exists.
    Returns the path. Raises Slip for values that make no sense and when the file exists already.
    Source: as read_sweep; S in RI, MHz, every number with all its digits.

    >>> al.write_sweep("dipole.s1p", [7.0, 7.1, 7.2], [60 - 30j, 60, 60 + 30j], force=True).name
    'dipole.s1p'
    """
    path, sweep = _path(path), Sweep(f_mhz, impedance, z0_ohm)
    if _ports(path) == 2:
        raise Slip(f"{shown(path.name)} says 2 ports; an antenna has one: name it .s1p")
    text = ("".join(c if c.isprintable() else " " for c in line) for line in str(comment or "").splitlines())
    lines = [f"! {line}".rstrip() for line in text]
    lines.append(f"# MHz S RI R {sweep.z0_ohm!r}")
    rows = zip(sweep.f_mhz.tolist(), sweep.reflection.tolist(), strict=True)
    lines += [f"{f!r} {s.real!r} {s.imag!r}" for f, s in rows]
    return write_named(path, ("\n".join(lines) + "\n").encode(), force=force, over="lose it")


def _path(path):
    try:
        return Path(path)
    except TypeError:
        raise Slip(f"path is the name of a file, like dipole.s1p; got {quoted(path)}") from None


def _ports(path):
    """How many ports a file has by its name, 1 or 2, or None where it doesn't say."""
    ports = re.fullmatch(r"\.s(\d+)p", path.suffix.lower(), re.ASCII)
    if ports and ports[1].lstrip("0") not in ("1", "2"):
        raise Slip(
            f"{shown(path.name)} says {shown(ports[1])} ports; an antenna has one: save or name it .s1p"
        )
    return ports and int(ports[1])


def _is_option(line):
    """Whether a line is one that says the units of a Touchstone file."""
    try:
        return bool(_option(line[1:].upper().split()))
    except Slip:
        return False


def _lines(path):
    data = read_named(path, most=_MOST_BYTES)
    if b"\0" in data:
        raise Slip(f"{shown(path.name)} is no text file; a sweep is text, see its first line in an editor")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = data.decode("latin-1")  # a degree sign in a comment, as older programs write it
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    if (count := text.count("\n")) > _MOST_LINES:
        raise Slip(f"{shown(path.name)} has {count:,} lines; {_FEWER}")
    return text.split("\n")


def _option(words):
    """Unit, format and reference resistance of the line that starts with #, any order."""
    found = {}
    while words:
        word = words.pop(0)
        if word in _UNIT_MHZ:
            kind, value = "unit", word
        elif word in ("RI", "MA", "DB"):
            kind, value = "form", word
        elif word == "R":
            kind, value = "z0_ohm", _ohms(words.pop(0) if words else "nothing")
        elif word == "S":
            kind, value = "kind", word
        elif word in ("Z", "Y", "H", "G"):
            raise Slip(f"says {word} parameters, and only S are read here: save the sweep as S")
        else:
            raise Slip(f"has {quoted(word)} where # <Hz|kHz|MHz|GHz> S <RI|MA|DB> R <ohms> was expected")
        if kind in found:
            raise Slip(f"says both {found[kind]} and {value}")
        found[kind] = value
    return found.get("unit", "GHZ"), found.get("form", "MA"), found.get("z0_ohm", 50.0)


def _ohms(word):
    ohms = float(word) if _NUMBER.fullmatch(word) else 0.0
    if not _LOWEST_OHM <= ohms <= _HIGHEST_OHM:
        raise Slip(f"has {quoted(word)} after R where a positive number of ohms like 50 was expected")
    return ohms


def _row(words, ports):
    """Frequency and S11 of a line; None where one of them is no number."""
    count = 3 if ports == 1 else 9
    if len(words) == count and "nan" in (word.lower() for word in words[:3]):
        return None
    for word in words:
        if not _NUMBER.fullmatch(word):
            raise Slip(f"has {quoted(word)} where a number like 0.25 was expected")
    if len(words) > count:
        more = "one port has 3, so this file is of more than one" if ports == 1 else "two ports have 9"
        raise Slip(f"has {len(words)} numbers; {more}")
    if len(words) < count:
        what = "frequency and the two of S11" if ports == 1 else "frequency and two of each S"
        raise Slip(f"has {len(words)} of {count} numbers: {what}. Was it cut off?")
    return [float(word) for word in words[:3]]
