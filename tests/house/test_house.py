"""The rules of the house: which room may import which, and what every public name owes its reader."""

import ast
import importlib
import inspect
import subprocess
import sys
from pathlib import Path

import pytest
from arrows import FOLDERS, PACKAGE, folder_of, modules

import antlab as al
from antlab import units

MODULES = modules(PACKAGE)
BELOW = [name for name in MODULES if folder_of(name) in FOLDERS[: FOLDERS.index("classroom")]]


@pytest.mark.parametrize("module", [name for name in BELOW if name != "antlab.trouble"])
def test_physics_prints_nothing(module):
    """A formula returns its answer; what is shown is the classroom's business."""
    tree = ast.parse(MODULES[module].read_text(encoding="utf-8"))
    calls = [node.func for node in ast.walk(tree) if isinstance(node, ast.Call)]
    assert not [call for call in calls if isinstance(call, ast.Name) and call.id == "print"]


def loaded(code, *names):
    """Which modules whose names begin so a new process has in memory once it ran the code."""
    tell = f"import sys; print(*[m for m in sys.modules if m.startswith({names})])"
    ran = [sys.executable, "-c", f"{code}\n{tell}"]
    return subprocess.run(ran, capture_output=True, text=True, check=True).stdout.split()


def test_importing_the_package_loads_nothing_heavy():
    """A lesson starts at once: what it does not use is not loaded."""
    heavy = "numpy", "matplotlib", "sympy", "ipywidgets"
    assert loaded("import antlab", *heavy) == []


def test_an_antenna_loads_numpy_alone():
    """The engine runs where there is no plotting library."""
    asked = "import antlab; antlab.Dipole(inner_m=5, soil='free space').impedance(14)"
    assert loaded(asked, "matplotlib", "sympy", "ipywidgets", "scipy") == []


def test_a_lesson_begins_without_algebra_and_paper():
    """Guess and still twins wait neither for SymPy nor for what writes PDFs, half a second each."""
    begun = "import antlab, antlab.classroom.paper.stills; antlab.guess"
    assert loaded(begun, "sympy", "matplotlib.backends.backend_pdf") == []


def test_no_start_builds_a_grammar():
    """Each command, and each of the tests' processes, would take a second for it."""
    assert loaded("import antlab.cli.main, jsonschema", "lark") == []
    assert sys.modules["rfc3987_syntax"] is None


def test_what_is_called_slow_is_there(pytestconfig):
    """A file that was renamed would be begun last, and one process would wait for the other."""
    tests = Path(__file__).parents[1]
    slow = pytestconfig.pluginmanager.get_plugin(str(tests / "conftest.py")).SLOW
    paths = [path.as_posix() for path in tests.rglob("test_*.py")]
    assert slow and [name for name in slow if not any(name in path for path in paths)] == []


# The writer itself, and who works in a temporary folder of its own.
OWN_DESK = {"files.py", "classroom/paper/chromium.py", "cli/check/trial.py"}


def test_files_are_written_in_one_way():
    """Whole or not at all, and through no link: nothing but files.write opens a file to write."""
    for path in sorted(PACKAGE.rglob("*.py")):
        if path.relative_to(PACKAGE).as_posix() in OWN_DESK:
            continue
        for call in (node for node in ast.walk(ast.parse(path.read_text())) if isinstance(node, ast.Call)):
            name = getattr(call.func, "attr", getattr(call.func, "id", ""))
            given = [one.value for one in (*call.args, *(word.value for word in call.keywords))
                     if isinstance(one, ast.Constant)]  # fmt: skip
            opens = name == "open" and any(str(mode)[:1] in "wxa" for mode in given if mode)
            assert not opens and name not in ("write_text", "write_bytes"), f"{path}, line {call.lineno}"


@pytest.mark.parametrize("name", al.__all__)
def test_public_names_exist(name):
    """What the package promises is there, and is the thing itself, not a module of the same name."""
    assert not inspect.ismodule(getattr(al, name))


def test_names_survive_the_import_of_every_room():
    """A room must not hide a public function: al.design is to be called, whatever was imported before."""
    for module in BELOW:
        importlib.import_module(module)
    assert callable(al.design) and callable(al.soil) and callable(al.Dipole)


def public_functions():
    for module in (name for name in BELOW if name != "antlab.trouble"):
        room = importlib.import_module(module)
        for name, thing in vars(room).items():
            if name.startswith("_") or getattr(thing, "__module__", "") != room.__name__:
                continue
            if inspect.isfunction(thing) or inspect.isclass(thing):
                yield pytest.param(thing, id=f"{module.rpartition('.')[2]}.{name}")


@pytest.mark.parametrize("thing", list(public_functions()))
def test_public_things_say_what_they_are(thing):
    """Every public name has a docstring of its own, and no **kwargs that would swallow a typing error."""
    assert inspect.getdoc(thing) and len(inspect.getdoc(thing)) > 20
    if inspect.isfunction(thing):
        kinds = [p.kind for p in inspect.signature(thing).parameters.values()]
        assert inspect.Parameter.VAR_KEYWORD not in kinds


# values that every formula takes, to try shapes that do not go together (rules.py) and nonsense
TRIED = {
    "added_pf": 50, "aim_mhz": 7.1, "cable": "RG-58", "capacitance_pf": 50, "conductivity_s_m": 5.8e7,
    "constant_ft": 468, "controlled": False, "critical_mhz": 6, "current_a": 1, "diameter_mm": 40,
    "current": "filled",
    "distance_km": 500, "distance_m": 20, "duty": 0.5, "elevation_deg": 30, "f_mhz": 7, "gain_dbi": 2,
    "height_m": 12, "impedance": 60, "inductance_uh": 5, "layer_km": 300, "length_m": 15, "length_mm": 60,
    "line_loss_db": 1, "mode": "SSB", "power_w": 100, "q": 100, "reflection": 2, "soil": al.soil("average"),
    "spacing_m": 30, "swr": 1.5, "transmit_fraction": 0.5, "turns": 10, "vertical": False,
    "trap": al.Trap(inductance_uh=5, capacitance_pf=50), "volts_rms": None, "width_khz": 50,
    "wire_diameter_mm": 2, "wire_mm": 2,
    "z0_ohm": 50,
}  # fmt: skip
BROADCASTING = [one for one in public_functions() if hasattr(one.values[0], "__wrapped__")]


def test_whoever_broadcasts_says_so():
    """A formula whose words promise broadcasting, or any shape of two arguments, keeps the promise above."""
    for thing in (one.values[0] for one in public_functions() if inspect.isfunction(one.values[0])):
        words = inspect.getdoc(thing)
        if "broadcast" in words or words.count("any shape") > 1:
            assert hasattr(thing, "__wrapped__") or thing is units.broadcasts, thing


def test_an_unknown_name_says_which_there_are():
    """A slip of the pen in a lesson is answered with the names that exist."""
    with pytest.raises(AttributeError, match="Dipole"):
        _ = al.Dipol
