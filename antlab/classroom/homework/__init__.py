"""Homework: what is asked, how an answer is read and judged, what is kept of it, and the class's table."""

from importlib import import_module

__all__ = ["Sheet", "expected", "sheet"]


def __getattr__(name):
    if name in __all__:  # when they are used, since SymPy comes with them
        return getattr(import_module("antlab.classroom.homework.student"), name)
    raise AttributeError(f"homework has no name {name!r}; the names are {', '.join(__all__)}")
