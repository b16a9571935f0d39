"""What a notebook knows as a cell of it is read: its sheet, what that asks, and the names with a value."""

from dataclasses import dataclass, field

FORMULA, NUMBER, CHOICE = "formula", "number", "choice"


class Asking:
    """A sheet whose answers are typed into cells: it has `asks`, `names` and `also`."""


@dataclass(frozen=True)
class Asked:
    """What a problem wants. kind: one of the three above. letters: of a choice's options."""

    kind: str
    unit: str = ""
    unknown: str = ""
    letters: str = ""


@dataclass
class Known:
    """What a notebook knows as the cell is run.

    sheet: the name of the open sheet, "" before there is one. asks: "01.2" -> Asked. symbols: name in Python
    -> name on the sheet. names: all that have a value. factors: those among them that can be multiplied.
    own: names that the student gave. words: those of sympy. listed: the symbols that the sheet shows.
    results: names that the cell hands to a check. parts_commas: whether a comma may part things.
    wants_sympy: set by whoever writes an sp. where none was.
    """

    sheet: str = ""
    asks: dict = field(default_factory=dict)
    symbols: dict = field(default_factory=dict)
    names: frozenset = frozenset()
    factors: frozenset = frozenset()
    own: tuple = ()
    words: frozenset = frozenset()
    listed: tuple = ()
    results: tuple = ()
    parts_commas: bool = False
    wants_sympy: bool = False
