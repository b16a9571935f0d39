"""Whose mistake is it? A slip is the user's, and a sentence; all else is ours, and says so."""

import ast
import inspect

import pytest
from arrows import PACKAGE
from matplotlib import pyplot as plt
from test_house import TRIED, public_functions

import antlab as al
from antlab.antenna import faults, fitting
from antlab.antenna.bench import Trimming
from antlab.classroom import live
from antlab.classroom.homework import judging, student
from antlab.classroom.homework.problems import lesson
from antlab.classroom.homework.student import sheet
from antlab.classroom.paper import stills
from antlab.cli.main import main
from antlab.engine import moments
from antlab.physics import sky
from antlab.trouble import our_mistake, owned
from antlab.units import Slip

OURS = "This is a mistake in antlab, not yours: ValueError: operands could not be broadcast"
ROOMS = ("antlab.physics", "antlab.antenna")
FORMULAS = [
    pytest.param(thing, id=thing.__name__)
    for thing in (one.values[0] for one in public_functions())
    if inspect.isfunction(thing) and thing.__module__.startswith(ROOMS) and thing is not faults.is_near
    and inspect.signature(thing).parameters.keys() <= TRIED.keys()
]  # fmt: skip
NONSENSE = {
    "text": "5", "nothing": None, "complex": 3 + 4j, "NaN": float("nan"), "infinity": float("inf"),
    "unequal rows": [[1], [2, 3]], "rows of text": ["5", "6"], "yes": True, "a thing": object(),
    "a whole number of many digits": 10**400, "a dictionary": {"f": 7},
}  # fmt: skip


def broken(*args, **kwargs):
    """A bug to plant deep in the engine: NumPy's ValueError, as a wrong shape of ours would raise it."""
    raise ValueError("operands could not be broadcast together with shapes (2,) (3,)")


@pytest.mark.parametrize("what", NONSENSE)
@pytest.mark.parametrize("formula", FORMULAS)
def test_nonsense_is_a_slip_of_that_argument(formula, what):
    """Each number that a formula takes: what is none is refused in our words, not in NumPy's."""
    names = inspect.signature(formula).parameters
    for name in (name for name in names if type(TRIED[name]) in (int, float)):
        given = {one: TRIED[one] for one in names} | {name: NONSENSE[what]}
        try:
            formula(**given)
        except Slip as slip:
            assert "broadcast" not in str(slip) and len(str(slip)) < 300
        else:  # what means something to some
            meant = {"infinity", "complex"} | ({"nothing"} if names[name].default is None else set())
            meant |= {"NaN"} if formula is al.circuit.impedance_of_reflection else set()
            assert what in meant, name


@pytest.mark.parametrize(
    "ask",
    [
        lambda v: al.Dipole(inner_m=v, soil="free space"), lambda v: al.FlatTop(height_m=v),
        lambda v: al.Dipole(inner_m=5, soil="free space").impedance(v),
        lambda v: al.Dipole(inner_m=5, soil="free space").pattern(14).gain_dbi(30, v),
        lambda v: al.Dipole(inner_m=5, soil="free space", wire_diameter_mm=v),
        lambda v: al.Trap(inductance_uh=v, capacitance_pf=50),
        lambda v: al.Soil(permittivity=v, conductivity=0.1),
        lambda v: al.design(shape=al.FlatTop(height_m=9), power_w=v),
        lambda v: al.design_coax_trap(f_mhz=14, form_diameter_mm=v),
        lambda v: al.circuit.resonance_mhz(inductance_uh=[1, 2], capacitance_pf=v),
    ],
)  # fmt: skip
@pytest.mark.parametrize("what", [one for one in NONSENSE if one != "infinity"])
def test_nonsense_in_an_antenna_is_a_slip_too(ask, what):
    """The same for what is built of numbers."""
    with pytest.raises(Slip):
        ask(NONSENSE[what])


def test_shapes_that_do_not_fit_are_a_slip():
    """Said by the names of the arguments, before any formula is tried."""
    with pytest.raises(Slip, match=r"inductance_uh of shape \(2,\) and capacitance_pf of shape \(3,\)"):
        al.circuit.resonance_mhz(inductance_uh=[1, 2], capacitance_pf=[1, 2, 3])


def test_a_live_view_owns_a_mistake_and_shows_where(monkeypatch):
    """In the picture's place the sentence, below it the traceback; the next setting brings both to an end."""
    view = live.planner()
    height, *others = view.player.at
    alone = len(view.children)
    assert not view.player.frames["message"]
    with monkeypatch.context() as planted:
        planted.setattr(moments, "solve", broken)
        view.player.at = [height + 3, *others]
        assert view.player.frames["message"].startswith(OURS)
        (below,) = view.children[alone].outputs
        assert below["name"] == "stderr" and "Traceback" in below["text"] and "in broken" in below["text"]
        view.controls["soil"].value = "rocky"
        assert view.player.frames["message"].startswith(OURS)
    view.player.at = [height + 1, *others]
    assert len(view.children) == alone and not view.player.frames["message"]


def test_a_live_view_that_cannot_begin_fails_aloud(monkeypatch):
    """The cell shows the traceback, with the sentence at its end; who runs the lesson sees it fail."""
    monkeypatch.setattr(moments, "solve", broken)
    with pytest.raises(ValueError) as said:
        live.planner(soil="very dry")
    assert type(said.value) is ValueError and said.value.__notes__[0].startswith(OURS)


def test_a_picture_and_a_homework_sheet_own_it_too(monkeypatch):
    """What a lesson prints, and the numbers that a student is dealt."""
    monkeypatch.setattr(sky, "hop_km", broken)
    monkeypatch.setattr(student, "lesson_of", broken)
    before = plt.get_fignums()
    for begin in (live.where_it_lands.draw, lambda: sheet("01")):
        with pytest.raises(ValueError) as said:
            begin()
        assert said.value.__notes__[0].startswith(OURS)
    assert plt.get_fignums() == before, "a notebook would show what is half drawn"


def test_a_still_owns_it_too(monkeypatch, capsys):
    """On paper the sentence stands in the picture's place, and the kernel's errors tell where."""
    view = live.where_it_lands()
    monkeypatch.setattr(sky, "hop_km", broken)
    assert stills.still(view)["message"].startswith(OURS)
    assert "in broken" in capsys.readouterr().err


def test_a_slip_in_a_live_view_is_the_student_s():
    """Told as it is, without a traceback."""
    view = live.planner(low="20m", high="40m")
    assert "lower band" in view.player.frames["says"][0]
    assert len(view.children) == len(live.planner().children)


def test_trimming_does_not_take_our_mistake_for_a_fault(monkeypatch):
    """A model that breaks is no reason to measure the wires again: the error comes through as it is."""
    trap = al.Trap(inductance_uh=5, capacitance_pf=25)
    wire = al.Dipole(inner_m=4.9, outer_m=2.7, trap=trap, shape=al.FlatTop(height_m=9))
    log = Trimming(dipole=wire, low_mhz=7.1, high_mhz=14.2)
    monkeypatch.setattr(fitting, "lengths_for", broken)
    with pytest.raises(ValueError) as said:
        log.advise(low_mhz=7.0, high_mhz=14.0)
    assert type(said.value) is ValueError


def test_homework_owns_it_and_counts_no_try(monkeypatch, capsys):
    """The student's answer is not called unreadable for a bug of ours, and no try is lost."""
    hw = sheet("01", student="")
    problem = next(iter(lesson("01").problems))
    monkeypatch.setattr(judging, "_judged", broken)
    hw.check(problem, 5)
    said = capsys.readouterr()
    assert "This is a mistake in antlab, not yours" in said.out and "in broken" in said.err
    assert hw._record(problem).tries == 0 and hw._record(problem).hint == "ours"
    assert judging.labels_of(lesson("01").problems[problem])["ours"] == "a mistake in antlab"


@pytest.fixture
def settled(monkeypatch):
    """An environment that is there: else the command line makes one and runs there in pytest's place."""
    monkeypatch.setattr("antlab.cli.main.settle", lambda extra, argv: None)


def test_the_command_line_owns_it(settled, monkeypatch, capsys):
    """Exit status 1, the traceback, and last of all the sentence."""
    monkeypatch.setattr(moments, "solve", broken)
    plan = ["plan", "--height", "31ft", "--soil", "wet"]
    assert main(plan) == 1
    err = capsys.readouterr().err.splitlines()
    assert err[0].startswith("Traceback") and err[-1].startswith(f"antlab: {OURS}")
    assert "whoever looks after antlab" in err[-1]


def test_the_command_line_tells_a_slip(settled, capsys):
    """Without a traceback."""
    assert main(["plan", "--height", "tall"]) == 2
    assert main(["homework", "x" * 200]) == 2
    err = capsys.readouterr().err.splitlines()
    assert len(err) == 2 and "is no length I can read" in err[0]


def test_what_is_said_of_a_mistake_is_one_printable_line():
    """However long and odd the error's own words."""
    said = our_mistake(ValueError("\x1b[2J" * 9 + "x\n" * 10**5))
    assert said.isprintable() and len(said) < 500


def test_a_slip_is_not_owned():
    """The context that marks our own mistakes leaves a slip as it is."""
    with pytest.raises(Slip) as said, owned():
        raise Slip("a slip")
    assert not hasattr(said.value, "__notes__")


def test_no_text_of_an_error_decides():
    """What happens next follows from an error's type: its English may be mended by anybody."""
    errors = ("error", "err", "exc", "e", "wrong", "slip", "trouble", "why")
    for path, node in nodes(ast.Compare):
        for call in (one for one in ast.walk(node) if isinstance(one, ast.Call) and one.args):
            told = getattr(call.func, "id", "") == "str" and getattr(call.args[0], "id", "") in errors
            assert not told, f"{path}, line {node.lineno}"


NARROW = {  # where ValueError is Python's or another library's own word for what was handed to it
    "antenna/antenna_log.py", "antenna/json_fields.py", "antenna/lawn.py", "antenna/log_json.py",
    "antenna/named_file.py", "antenna/own_antenna.py", "classroom/guess/counted.py",
    "classroom/homework/progress.py", "classroom/homework/reading.py", "classroom/typed/mending.py",
    "classroom/typed/telling.py", "cli/check/environment.py", "cli/check/material.py", "cli/film.py",
    "cli/firstrun.py", "cli/handouts.py", "cli/plan.py", "cli/trim.py", "facts.py", "files.py",
    "serve/hands.py", "serve/page_server.py", "serve/work.py", "units.py",
}  # fmt: skip


def test_value_errors_are_caught_in_few_places():
    """Elsewhere Slip is caught, so that a bug of ours is never told as a slip of the user's."""
    caught = [(path, node.type) for path, node in nodes(ast.ExceptHandler) if node.type]
    for path, call in nodes(ast.Call):
        if "suppress" in (getattr(call.func, "attr", ""), getattr(call.func, "id", "")):
            caught += [(path, one) for one in call.args]
    wide = {path for path, kind in caught for one in ast.walk(kind) if getattr(one, "id", "") == "ValueError"}
    assert wide == NARROW


def nodes(kind):
    """Every node of a kind in the package, with the path of its module."""
    for path in sorted(PACKAGE.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, kind):
                yield path.relative_to(PACKAGE).as_posix(), node
