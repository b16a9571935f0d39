"""Exercise notebooks, made from the answer notebooks: the same problems, with three dots where the work goes.

In an answer notebook a cell tagged "answer" is for the answers alone, and stays out of the exercise. One
tagged "solution" holds the work and ends in hw.check("01.1", result); there the exercise asks for the result.
"""

import copy
import re

from antlab.classroom.tags import ANSWER, SOLUTION, tags
from antlab.trouble import Slip

_CHECK = re.compile(r'hw\.check\("([\d.]+)", (.+)\)')
_NAME = re.compile(r"[a-z_]\w*", re.IGNORECASE)


def exercises(answers):
    """The exercise notebook that belongs to an answer notebook, without outputs.

    answers: a notebook of nbformat, left as it is. Returns another. Raises Slip for a solution without
    its check.
    """
    notebook = copy.deepcopy(answers)
    notebook.cells = [cell for cell in notebook.cells if ANSWER not in tags(cell)]
    for cell in notebook.cells:
        if cell.cell_type == "code":
            cell.outputs, cell.execution_count = [], None
            if SOLUTION in tags(cell):
                cell.source = starter(cell.source)
            cell.source = cell.source.replace('student="example"', 'student=""')
        if kept := [tag for tag in tags(cell) if tag != SOLUTION]:
            cell.metadata["tags"] = kept
        else:
            cell.metadata.pop("tags", None)
    return notebook


def starter(solution):
    """The cell that a student finds in place of a solution.

    solution: its code; the last check is the one that is asked for. Raises Slip where there is none.
    """
    checks = _CHECK.findall(solution)
    if not checks:
        raise Slip(f"a solution ends in hw.check(…); this one doesn't: {solution[:60]!r}")
    problem, result = checks[-1]
    if result.startswith('"'):
        return f'# Put your letter between the last two quotation marks.\nhw.check("{problem}", "")'
    name = result if _NAME.fullmatch(result) else "result"
    return f'# Work here. Put your result in place of the dots.\n{name} = ...\nhw.check("{problem}", {name})'
