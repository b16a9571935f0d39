"""Homework: what is asked, how an answer is read and judged, what is kept of it, and the class's table."""

from antlab.classroom.homework.student import Sheet, expected, sheet

__all__ = ["Sheet", "expected", "sheet"]
