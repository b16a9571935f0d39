"""Facts as rows: small CSV tables beside their modules; every row says where it is from and since when.

A line that begins with # is a remark. A number in a column that is named for a list is the row's place in
that list, and nothing there keeps the row out of it. A fault in a table is a mistake of ours, never a slip.
"""

import csv
import re
from collections import namedtuple

from antlab.files import PACKAGE

MARKS = ("seen", "third party", "computed", "common practice", "memory")
UNDATED = ("common practice", "memory")  # may leave the date out; another that has none says "undated"
ORIGIN = "source mark date"  # columns of every table


def read(path, *, text="", numbers="", places="", yes=""):
    """The rows of a table, checked and frozen.

    path: of the CSV, from antlab/ on. text, numbers, places, yes: the names of its columns besides ORIGIN, by
    what is in them: any words; a number; a place in a list or nothing; yes or nothing.
    Returns a tuple of named tuples. Raises RuntimeError with file and line where the table is not so.

    >>> from antlab import facts
    >>> rows = facts.read("physics/bands.csv", text="name regions", numbers="low_mhz high_mhz")
    >>> rows[0].name, rows[0].low_mhz
    ('80m', 3.5)
    """
    kinds = ((f"{text} {ORIGIN}", str), (numbers, float), (places, _place), (yes, _yes))
    kind = {name: kind for names, kind in kinds for name in names.split()}
    (_, header), *lines = _lines(path)
    if sorted(header) != sorted(kind):
        raise RuntimeError(f"{path}: the columns are {', '.join(header)} and not {', '.join(kind)}")
    row, found = namedtuple("Row", header), []
    for number, cells in lines:
        where = f"{path}, line {number}"
        if len(cells) != len(header):
            raise RuntimeError(f"{where}: {len(cells)} cells under {len(header)} headings")
        _check_origin(where, dict(zip(header, cells, strict=True)))
        try:
            found.append(row(*(kind[name](cell) for name, cell in zip(header, cells, strict=True))))
        except ValueError as error:
            raise RuntimeError(f"{where}: {error}") from None
    return tuple(found)


def listed(rows, column):
    """The rows that have a place in a list, by their first cells, in the order of the places.

    rows: of read(). column: named for the list. Returns a tuple of names.

    >>> from collections import namedtuple
    >>> from antlab import facts
    >>> row = namedtuple("Row", ["name", "menu"])
    >>> facts.listed([row("thin", 2), row("odd", None), row("thick", 1)], "menu")
    ('thick', 'thin')
    """
    placed = [row for row in rows if getattr(row, column) is not None]
    return tuple(row[0] for row in sorted(placed, key=lambda row: getattr(row, column)))


def names(path):
    """What the first column of a table names, each once. path: as for read(). Returns a tuple of names.

    >>> from antlab import facts
    >>> facts.names("physics/bands.csv")[:2]
    ('80m', '40m')
    """
    return tuple(dict.fromkeys(cells[0] for _, cells in _lines(path)[1:]))


def _lines(path):
    """The lines of a table that are no remarks: their numbers and their cells, the header first."""
    lines = (PACKAGE / path).read_text(encoding="utf-8").splitlines()
    numbered = ((i, line) for i, line in enumerate(lines, 1) if line and not line.startswith("#"))
    return [(i, next(csv.reader([line]))) for i, line in numbered]


def _check_origin(where, cells):
    """Every source, which may be of some of the columns, is named, marked, and dated where it can be."""
    for name in (name for name in cells if name.endswith("mark")):
        mark, source, date = (cells[name.removesuffix("mark") + part] for part in ("mark", "source", "date"))
        if mark not in MARKS or not source:
            raise RuntimeError(
                f"{where}: a source, and its mark, {', '.join(MARKS)}; got {source!r}, {mark!r}"
            )
        if not re.fullmatch(r"\d{4}(-\d\d){0,2}|undated", date) and (date or mark not in UNDATED):
            raise RuntimeError(f"{where}: {date!r} is no date like 2021, 2021-05 or 2021-05-03")


def _place(cell):
    if cell and int(cell) < 1:
        raise ValueError(f"{cell} is no place: the first is 1")
    return int(cell) if cell else None


def _yes(cell):
    if cell not in ("yes", ""):
        raise ValueError(f"{cell!r} is neither yes nor nothing")
    return bool(cell)
