"""antlab: lessons on HF antennas for newly licensed radio operators, and the physics behind them.

    import antlab as al

The names a lesson uses load when they are used (PEP 562), so that importing the package costs next to
nothing.
"""

from importlib import import_module

from antlab import hooks

__version__ = "0.1.0"

# Where each name and each room is that lessons, students and checks call by al.….
_NAMES = {
    "antenna.antenna_file": ("read_antenna",),
    "antenna.own_antenna": ("Antenna",),
    "antenna.design": ("Design", "design"),
    "classroom.guess.entry": ("guess",),
    "antenna.trim": ("sweep_files", "trim"),
    "antenna.touchstone": ("Sweep", "read_sweep", "typed_sweep", "write_sweep"),
    "antenna.yard": ("Yard",),
    "engine.dipole": ("Dipole",),
    "engine.shapes": ("FlatTop", "InvertedVee"),
    "physics.bands": ("BANDS", "Band", "FREE_SPACE", "PERFECT_GROUND", "SOILS", "Soil", "band", "soil"),
    "physics.sky": ("hop_km",),
    "physics.trap": ("CoaxTrap", "CoilTrap", "Trap", "design_coax_trap", "design_coil_trap"),
    "physics.wires": ("Wire",),
}
_ROOMS = {
    "": ("units",),
    "antenna.": ("antenna_file", "bench", "faults", "plan", "safety", "touchstone", "yard"),
    "engine.": ("dipole", "fields", "images", "mesh", "moments", "pattern", "shapes", "solution"),
    "physics.": ("bands", "cable", "circuit", "coil", "ground", "lengths", "sky", "trap", "wires"),
}
_ROOM_OF = {name: room for room, names in _NAMES.items() for name in names}
_PATH_OF = {room: folder + room for folder, rooms in _ROOMS.items() for room in rooms}

__all__ = sorted(_ROOM_OF)


def _write_sheet(plan, path, **how):
    import_module("antlab.classroom.paper.sheet").write_sheet(plan, path, **how)


def _keep_antenna(antenna, path, *, force):
    return import_module("antlab.antenna.antenna_file").keep_antenna(antenna, path, force=force)


hooks.write_sheet, hooks.keep_antenna = _write_sheet, _keep_antenna


def __getattr__(name):
    if name in _ROOM_OF:
        return getattr(import_module(f"antlab.{_ROOM_OF[name]}"), name)
    if name in _PATH_OF:
        return import_module(f"antlab.{_PATH_OF[name]}")
    raise AttributeError(f"antlab has no name {name!r}; the names are {', '.join(__all__)}")


def __dir__():
    return sorted({*globals(), *__all__, *_PATH_OF})
