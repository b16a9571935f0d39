"""One page to shop by: the parts of the course's own antenna for a class, and the tools that it shares."""

from functools import cache

from antlab.antenna.design import design
from antlab.antenna.feeding import usual_line
from antlab.antenna.hanging import hang
from antlab.antenna.parts import parts_of
from antlab.antenna.safety import CAUTIONS
from antlab.antenna.tools import tools_text
from antlab.engine.shapes import FlatTop
from antlab.physics.trap import CoaxTrap


@cache
def club_antenna():
    """The Plan of the antenna of the course's club on its lawn: traps of lesson 04, hung as in 10."""
    wound = CoaxTrap(cable="RG-58", form_diameter_mm=33.4, turns=4)
    aims = {"low_mhz": 14.175, "high_mhz": 28.5}
    return design("20m", "10m", shape=FlatTop(height_m=9), trap=wound, **aims).plan


def parts_for(students):
    """What stands on the page for a class of so many: a dict for its template. Raises Slip."""
    shared, plan = tools_text(students), club_antenna()
    parts = parts_of(plan, hang(plan), usual_line(plan))
    return {
        "students": students, "plan": plan, "tools": shared, "caution": CAUTIONS["tools"],
        "parts": [(one.what, one.why, one.bought(), one.bought(students)) for one in parts],
    }  # fmt: skip
