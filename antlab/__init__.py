"""antlab: lessons on HF antennas for newly licensed radio operators, and the physics behind them.

    import antlab as al

The names a lesson uses load when they are used (PEP 562), so that importing the package costs next to
nothing.
"""

from importlib import import_module

__version__ = "0.1.0"

_ROOMS = {
    "bands": ("BANDS", "Band", "FREE_SPACE", "PERFECT_GROUND", "SOILS", "Soil", "band", "soil"),
    "planning": ("Design", "design"),
    "dipole": ("Dipole",),
    "sky": ("hop_km",),
    "touchstone": ("Sweep", "read_sweep", "write_sweep"),
    "trap": ("CoaxTrap", "CoilTrap", "Trap", "design_coax_trap", "design_coil_trap"),
    "wire": ("FlatTop", "InvertedVee"),
}
_ROOM_OF = {name: room for room, names in _ROOMS.items() for name in names}
_SUBMODULES = (
    "bands",
    "bench",
    "builder",
    "cable",
    "circuit",
    "coil",
    "dipole",
    "faults",
    "ground",
    "lengths",
    "moments",
    "pattern",
    "plan",
    "planning",
    "safety",
    "sky",
    "touchstone",
    "trap",
    "units",
    "wire",
)

__all__ = sorted(_ROOM_OF)


def __getattr__(name):
    if name in _ROOM_OF:
        return getattr(import_module(f"antlab.{_ROOM_OF[name]}"), name)
    if name in _SUBMODULES:
        return import_module(f"antlab.{name}")
    raise AttributeError(f"antlab has no name {name!r}; the names are {', '.join(__all__)}")


def __dir__():
    return sorted({*globals(), *__all__, *_SUBMODULES})
