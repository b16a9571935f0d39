"""What a class shares while it builds, tools above all. How many: common practice, no source."""

import math
from dataclasses import dataclass

from antlab.antenna.parts import check_antennas

GROUP, TABLE = 4, 12  # students around one slider; around one antenna, and for each helper


@dataclass(frozen=True, kw_only=True)
class Tool:
    """One line of what a class shares.

    what: as one asks for it. why: what it is for. among: for how many students one is, or None: one for all.

    >>> from antlab.antenna.tools import Tool
    >>> Tool(what="calculator", why="sums", among=4).number(10)
    3
    """

    what: str
    why: str
    among: int | None = None

    def number(self, students):
        """How many a class of so many students wants."""
        return math.ceil(students / self.among) if self.among else 1


TOOLS = (
    Tool(what="glasses for the eyes", why="all who stand near saw, drill, iron or cutter", among=1),
    Tool(what="tape measure, 5 m (16 ft); pocket calculator", why="each group", among=GROUP),
    Tool(what="board, clamp, stripping knife, side cutter, caliper", why="traps (04)", among=GROUP),
    Tool(what="strong tape, cable clips, thick pen", why="traps, marks on wire", among=GROUP),
    Tool(what="fine saw; hand drill with bits of 3 and 5.5 mm", why="pipe and its holes", among=TABLE),
    Tool(what="soldering iron with a stand that can't tip", why="joints, feed, plugs", among=TABLE),
    Tool(what="antenna analyzer, a loop of two turns on a plug", why="01, 02, 04, 10", among=TABLE),
    Tool(what="two-port analyzer, two short cables with clips", why="through a trap (03)"),
    Tool(what="capacitor 10 pF, 5 %, mica or ceramic for radio", why="to measure a trap (10)", among=TABLE),
    Tool(what="tape measure, 20 m (66 ft); throw-line and its weight", why="the lawn", among=TABLE),
    Tool(what="somebody with a whistle who sees to safety", why="each antenna that goes up", among=TABLE),
    Tool(what="dummy load of 50 Ω; resistor of 150 Ω on a plug", why="feed line (05)"),
    Tool(what="ribbon or rope to fence off, stakes", why="under wire, ends and masts"),
    Tool(what="first aid kit, fire extinguisher, telephone", why="table and lawn"),
)


def tools_text(students):
    """What a class of so many students shares: tuples of what, why, how many in words. Raises Slip.

    >>> from antlab.antenna.tools import tools_text
    >>> tools_text(30)[1]
    ('tape measure, 5 m (16 ft); pocket calculator', 'each group', '8')
    """
    check_antennas(students)
    return tuple((one.what, one.why, f"{one.number(students)}") for one in TOOLS)
