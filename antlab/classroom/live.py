"""Every live view of the course by its name: call it for the widget, `.draw(…)` prints it for paper.

A view is one file of `views/` and registers itself there; this only gathers them, and what lessons use
beside them: `projector()`, the switch of the look, and `plan_of(…)`, the plan of a planner that was dragged.
"""

import importlib
import pkgutil

from antlab.classroom import views
from antlab.classroom.drawing.looks import projector
from antlab.classroom.views.planner import plan_of
from antlab.classroom.views.player import REGISTERED

for _module in pkgutil.iter_modules(views.__path__, f"{views.__name__}."):
    importlib.import_module(_module.name)

VIEWS = {name: one for name, one in REGISTERED.items() if one.__module__.startswith(f"{views.__name__}.")}
globals().update(VIEWS)
__all__ = ["VIEWS", "plan_of", "projector", *VIEWS]
