"""One page to shop by: the parts of the course's own antenna for a class, and the tools that it shares."""

from antlab.antenna.feeding import usual_line
from antlab.antenna.hanging import hang
from antlab.antenna.parts import parts_of
from antlab.antenna.safety import CAUTIONS
from antlab.antenna.tools import tools_text
from antlab.classroom.fieldday import planned


def parts_for(students):
    """What stands on the page for a class of so many: a dict for its template. Raises Slip."""
    shared, plan = tools_text(students), planned().plan
    parts = parts_of(plan, hang(plan), usual_line(plan))
    return {
        "students": students, "plan": plan, "tools": shared, "caution": CAUTIONS["tools"],
        "parts": [(one.what, one.why, one.bought(), one.bought(students)) for one in parts],
    }  # fmt: skip
