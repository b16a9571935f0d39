"""What a sheet is to show, and how."""

from dataclasses import dataclass, replace
from functools import cached_property

from antlab.antenna.feeding import FeedLine, at_shack, usual_line
from antlab.antenna.hanging import hang
from antlab.antenna.parts import check_antennas, parts_of
from antlab.antenna.plan import Plan
from antlab.antenna.tape import Tape
from antlab.antenna.yard import Yard
from antlab.classroom.paper.sheet.page import paper_named


@dataclass(frozen=True, kw_only=True)
class Job:
    """A sheet to draw.

    plan: a Plan. yard: a Yard, or None: then only what the plan knows of it. line: a FeedLine, or None: then
    one is taken, and said to be. name: of the antenna. paper: A4 or Letter. first: "metres" or "feet".
    antennas: for how many to buy. now_m: inner and outer wire of one leg as they are now, metres, and
    traps_mhz: of the traps as measured, if any were. Raises Slip for what it can't be.
    """

    plan: Plan
    yard: Yard | None = None
    line: FeedLine | None = None
    name: str = ""
    paper: str = "A4"
    first: str = "metres"
    antennas: int = 1
    now_m: tuple | None = None
    traps_mhz: tuple = ()

    def __post_init__(self):
        object.__setattr__(self, "line", self.line or usual_line(self.plan))
        paper_named(self.paper), check_antennas(self.antennas), self.tape  # noqa: B018  each says its slip

    @classmethod
    def of(cls, antenna, **how):
        """The Job for an Antenna as it is now. how: paper, first, antennas."""
        return cls(
            plan=antenna.plan, yard=antenna.yard, line=antenna.line, name=antenna.name, now_m=antenna.cut_m,
            traps_mhz=tuple(one.trap.resonance_mhz for one in antenna.measured_traps), **how,
        )  # fmt: skip

    @cached_property
    def tape(self):
        """How lengths are written."""
        return Tape(first=self.first)

    @cached_property
    def notes(self):
        """The plan's notes, lengths in the tape's order."""
        return tuple(replace(note, words=self.tape.turned(note.words)) for note in self.plan.notes)

    @cached_property
    def hanging(self):
        """Where the ropes go."""
        return hang(self.plan, yard=self.yard, line=self.line)

    @cached_property
    def parts(self):
        """What to buy for one."""
        return parts_of(self.plan, self.hanging, self.line, self.tape)

    @cached_property
    def shack(self):
        """What the radio sees, AtShack of both bands."""
        return tuple(at_shack(band, self.line) for band in self.plan.bands)
