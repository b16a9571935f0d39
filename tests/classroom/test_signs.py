"""One sign for the trap and one for the feed, in every drawing of a wire, still and moving, in every look."""

import ast
from pathlib import Path

import matplotlib as mpl
import numpy as np
import pytest
from drawn import lines_of, signs_in
from matplotlib import pyplot as plt
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from test_live import sent

from antlab.classroom import live
from antlab.classroom.drawing import signs
from antlab.classroom.drawing.looks import LOOKS, looking, on_paper
from antlab.classroom.figures import FIGURES
from antlab.classroom.paper import sheet as report
from antlab.classroom.views.player import PHONE, SCREENS

CLASSROOM = Path(live.__file__).parent
VEE = {"height_m": 10, "drop_m": 3, "room_m": 14}
STILLS = {  # feeds, traps
    "half-wave-wire": (2, 0), "one-wire-two-bands": (2, 0), "trap-two-bands": (2, 4), "three-yards": (3, 6),
    "build-sheet": (1, 2),
}  # fmt: skip
VIEWS = [
    ("half_wave_wire", {}, {}, 0), ("trap_dipole", {}, {}, 2), ("planner", {}, {}, 2),
    ("planner", VEE, {"low": "20m", "high": "10m"}, 2),
]  # fmt: skip


def check(fig, feeds, traps, font_pt):
    """So many signs are there, as large as type allows, and no dot or square stands in their places."""
    found = signs_in(lines_of(fig))
    assert {name: len(em) for name, (_, em) in found.items()} == (
        {"feed": 2 * feeds} | ({"pipe": traps, "turns": traps} if traps else {})
    )
    sizes = np.concatenate([em for _, em in found.values()]) / font_pt
    assert np.all((0.55 < sizes) & (sizes < 1.55)), "in widths of the letter m"
    eyes = found["feed"][0]
    middles = [np.mean(sorted(eyes, key=lambda eye: np.hypot(*(eye - one)))[:2], axis=0) for one in eyes]
    signed = np.concatenate([middles, *(found[name][0] for name in ("pipe",) if traps)])
    for line in fig.findobj(Line2D):
        if line.get_marker() not in ("None", None, "") and len(line.get_xydata()):
            there = line.get_transform().transform(line.get_xydata()) * 72 / fig.dpi
            assert np.hypot(*(there[:, None] - signed).T).min() > 4, "a mark where a sign stands"


@pytest.mark.parametrize("look", LOOKS)
@pytest.mark.parametrize("name", STILLS)
def test_stills(name, look):
    """Lessons 02, 03 and 09, the three yards and the build sheet have the signs, all the same shape."""
    with looking(look):
        fig, _ = FIGURES[name].make()
        font = report.SIZE if name == "build-sheet" else on_paper()["font.size"]
    check(fig, *STILLS[name], font)
    plt.close(fig)


@pytest.mark.parametrize("look", SCREENS | {"phone": PHONE})
@pytest.mark.parametrize(("name", "wanted", "choices", "traps"), VIEWS)
def test_views(name, wanted, choices, traps, look):
    """Live views have them on the screen, projected and on a phone, where the small vee has least room."""
    view, look = getattr(live, name), SCREENS.get(look, PHONE)
    fig, _ = view.still(look, wanted, view.defaults | choices)
    check(fig, 1, traps, look[0]["font.size"])


def test_the_players_picture():
    """What a browser is sent for the planner's wire are the same outlines, and they follow the drag."""
    places = []
    for height in (7.5, 12):
        widget = live.planner(low="40m", high="20m", height_m=height, drop_m=2)
        lines = [np.stack([x, -y], axis=1) for x, y in sent(widget.player.frames, 0)]
        found = signs_in(lines)
        assert [len(found[name][0]) for name in ("feed", "pipe", "turns")] == [2, 2, 2]
        places.append(found["feed"][0])
    assert np.all(places[1][:, 1] > places[0][:, 1])


def axes():
    fig = Figure(figsize=(6, 4), dpi=100)
    ax = fig.add_axes((0, 0, 1, 1), xlim=(-12, 12), ylim=(0, 8))  # a metre down is longer than one across
    return ax, 1 / (72 / fig.dpi)


@pytest.mark.parametrize("drop", [0, 1, 3, 6])
def test_the_wire_is_cut_at_its_signs(drop):
    """At any slope: nothing of the wire in the gap or in a pipe, and each end where the length puts it."""
    ax, px = axes()
    em = mpl.rcParams["font.size"] * px
    parts = signs.wire(ax, (0, 7), (10, 7 - drop), trap_at=0.5)
    wire, eyes, pipes, _ = (ax.transData.transform(np.column_stack([part.x[0], part.y[0]])) for part in parts)
    feed, *traps = ax.transData.transform([(0, 7), (5, 7 - drop / 2), (-5, 7 - drop / 2)])
    traps = np.array(traps)
    assert np.nanmin(np.hypot(*(wire - feed).T)) > (signs.ASIDE + signs.EYE) * em
    assert np.nanmin(np.hypot(*(wire - traps[0]).T)) > signs.LONG * em
    assert np.nanmax(parts[0].x) == pytest.approx(10) and np.nanmin(parts[0].x) == pytest.approx(-10)
    assert np.nanmin(parts[0].y) == pytest.approx(7 - drop)
    found = signs_in([eyes, pipes])
    np.testing.assert_allclose(sorted(found["pipe"][0][:, 0]), sorted(traps[:, 0]), atol=0.5)
    left, right = sorted(found["feed"][0], key=lambda eye: eye[0])
    assert right[0] - left[0] == pytest.approx(2 * signs.ASIDE * em)
    np.testing.assert_allclose([em, em], found["pipe"][1], rtol=1e-6)


def test_a_short_leg_gets_smaller_signs():
    """Where a leg has no room signs shrink, all alike, instead of lying on each other."""
    ax, px = axes()
    for reach in (10, 2, 0.7):  # metres
        eyes, pipes = signs.wire(ax, (0, 7), (reach, 7), trap_at=0.5)[1:3]
        right = eyes.x[0][: len(eyes.x[0]) // 2], pipes.x[0][: len(pipes.x[0]) // 2]
        assert 0 < right[0].min() and right[0].max() < right[1].min() and right[1].max() < reach


def test_rows_move_on_their_own():
    """A row for each position of a slider: the signs of each lie as if it were drawn alone."""
    ax, _ = axes()
    half = np.array([[4.0], [6.0], [9.0]])
    together = signs.wire(ax, (0, 0), (half, 0), size=1.4)
    for row, one in enumerate(half[:, 0]):
        for part, alone in zip(together, signs.wire(ax, (0, 0), (one, 0), size=1.4), strict=True):
            np.testing.assert_allclose(part.x[row], alone.x[0])
            np.testing.assert_allclose(part.y[row], alone.y[0], atol=1e-12)


@pytest.mark.parametrize("path", sorted(CLASSROOM.rglob("*.py")), ids=lambda path: path.stem)
def test_no_square_is_drawn(path):
    """No picture asks matplotlib for a square, and outlines of signs come from one room."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    for call in (node for node in ast.walk(tree) if isinstance(node, ast.Call)):
        if isinstance(call.func, ast.Attribute) and call.func.attr in ("plot", "line", "scatter"):
            said = [*call.args, *(one.value for one in call.keywords if one.arg == "marker")]
            assert not [one for one in said if isinstance(one, ast.Constant) and one.value in ("s", "D", "d")]
    taken = [node for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)]
    assert not [one for one in taken if one.module == "antlab.classroom.drawing" and "signs" in named(one)]
    outlines = [named(one) - {"SIGN", "wire", "eyes_in"} for one in taken if one.module == signs.__name__]
    assert not set().union(*outlines)


def named(imported):
    """What an import statement takes."""
    return {one.name for one in imported.names}
