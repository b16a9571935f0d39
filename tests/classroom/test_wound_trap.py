"""The trap as it is wound: what the drawing joins is what the circuit joins, and sizes are to scale."""

from dataclasses import replace

import numpy as np
import pytest
from matplotlib import pyplot as plt
from matplotlib.figure import Figure

import antlab as al
from antlab.antenna.plan_making import OPEN_END
from antlab.classroom.drawing import looks
from antlab.classroom.drawing.parts import Part
from antlab.classroom.drawing.wound_trap import (
    BRAID,
    CENTRE,
    SOLDER,
    WIRE,
    WRONG,
    hookups,
    to_scale,
    wound_trap,
)
from antlab.classroom.views.coax_trap import _pipe_and_turns, _without_a_coil
from antlab.physics.cable import IN_COAX_TRAP

# What each end of the antenna meets: names of conductors, near the feed and far from it.
NETS = {
    "series": [{"feed", "near centre"}, {"near braid", "far centre"}, {"far braid", "outward"}],
    "braid": [{"feed", "near braid", "far centre"}, {"near centre"}, {"far braid", "outward"}],
    WRONG: [{"feed", "near centre"}, {"near braid", "outward"}, {"far centre", "far braid"}],
}


def drawn(joined, pipe=40.0, turns=6.0, cable="RG-58"):
    """The parts, upon a picture as wide as the view's."""
    ax = to_scale(Figure(figsize=(6, 4), dpi=100), pipe_mm=110, winding_mm=105)
    thick = al.cable.cable(cable).outer_mm
    return ax, wound_trap(ax, [pipe], [turns], cable_mm=thick, called=cable, joined=joined)


def lines(parts, pen):
    """Places of all lines of a pen, each of shape (points, 2)."""
    return [
        np.column_stack([part.x[0], part.y[0]])
        for part in parts
        if part.kind == "line" and (part.pen.color, part.pen.width) == (pen.color, pen.width)
    ]


def nets(parts):
    """Which names hang together, by lines that end in one place, each name known by where it lies."""
    pieces = []
    for what, pen in (("centre", CENTRE), ("braid", BRAID)):
        for line in lines(parts, pen):
            pieces.append(({f"{'near' if line[0, 0] < 0 else 'far'} {what}"}, [line[-1]]))
    for line in lines(parts, WIRE):
        out = line[np.argmax(np.abs(line[:, 0]))]
        reach = max(np.abs(one[:, 0]).max() for one in lines(parts, WIRE))
        ends = {"feed" if out[0] < 0 else "outward"} if abs(out[0]) > reach - 1e-6 else set()
        pieces.append((ends, [line[0], line[-1]]))
    done = False
    while not done:
        done = True
        for i, (names, ends) in enumerate(pieces):
            for other in pieces[i + 1 :]:
                if min(np.hypot(*(a - b)) for a in ends for b in other[1]) < 1e-6:
                    pieces = [one for one in pieces if one is not other]
                    pieces[i] = names | other[0], [*ends, *other[1]]
                    done = False
                    break
            if not done:
                break
    return [names for names, _ in pieces]


@pytest.mark.parametrize("joined", NETS)
def test_the_lines_join_what_the_hook_up_joins(joined):
    """By the lines alone, and with solder wherever two things meet."""
    _, parts = drawn(joined)
    assert sorted(map(sorted, nets(parts))) == sorted(map(sorted, NETS[joined]))
    dots = [(part.x[0, 0], part.y[0, 0]) for part in parts if part.kind == "dots"]
    assert len(dots) == {"series": 4, "braid": 3, WRONG: 3}[joined]
    assert all(part.pen == SOLDER for part in parts if part.kind == "dots")


@pytest.mark.parametrize("joined", NETS)
def test_each_conductor_has_its_name(joined):
    """Both conductors of both ends are named, and differ by dashes and width too, not by ink alone."""
    _, parts = drawn(joined)
    said = [part.texts[0].rstrip(":") for part in parts if part.kind == "text"]
    assert said.count("centre") == 2 and said.count("braid") == 2
    assert {"to the feed", "outward", "near", "far"} <= {*said} and ("cover it" in said) == (
        joined == "braid"
    )
    assert not CENTRE.dashes and BRAID.dashes and BRAID.width > 2 * CENTRE.width


@pytest.mark.parametrize(("cable", "pipe"), [("RG-174", 19.0), ("RG-58", 40.0), ("RG-213", 68.0)])
def test_pipe_and_turns_are_to_scale(cable, pipe):
    """In millimetres of the axes: the pipe as thick as it is, each turn as the cable is, side by side."""
    ax, parts = drawn("series", pipe, 5.0, cable)
    assert np.ptp(parts[0].y) == pytest.approx(pipe)
    thick = al.cable.cable(cable).outer_mm
    turns = np.column_stack([parts[1].x[0], parts[1].y[0]])
    one = turns[8:15]  # the second turn's outline, without its gap
    assert np.ptp(one[:2, 0]) * 2 == pytest.approx(thick) and np.ptp(one[:, 1]) == pytest.approx(
        pipe + 2 * thick
    )
    assert turns[16:23] - one == pytest.approx(np.broadcast_to([thick, 0], (7, 2)))
    wide, high = np.diff(ax.transData.transform([(0, 0), (1, 1)]), axis=0)[0]
    assert wide == pytest.approx(high)


@pytest.mark.parametrize("cable", IN_COAX_TRAP)
def test_all_pipes_and_turns_have_room(cable):
    """At every end of the view's sliders nothing of the drawing leaves its axes."""
    pipe, turns = _pipe_and_turns(cable)
    for wide in (pipe.start, pipe.stop):
        for n in (turns.start, turns.stop):
            ax, parts = drawn("series", wide, n, cable)
            (left, right), (low, high) = ax.get_xlim(), ax.get_ylim()
            for part in parts:
                there = np.isfinite(part.x + part.y)
                x, y = (np.broadcast_to(one, there.shape)[there] for one in (part.x, part.y))
                assert np.all((x >= left) & (x <= right)) and np.all((y >= low) & (y <= high))


@pytest.mark.parametrize("joined", NETS)
def test_the_current_runs_from_feed_to_outward(joined):
    """Where lines meet as much comes as goes, and what goes into a conductor leaves it at its other end."""
    _, parts = drawn(joined)
    comes, through = {}, {}
    for pen in (CENTRE, BRAID, WIRE):
        for part in (one for one in parts if one.kind == "line" and replace(one.pen, runs=0) == pen):
            ends = [(round(float(part.x[0, i]), 6), round(float(part.y[0, i]), 6)) for i in (0, -1)]
            if part.pen.runs < 0:
                ends.reverse()
            if pen == WIRE:
                comes[ends[0]] = comes.get(ends[0], 0) - abs(part.pen.runs)
            else:
                through[pen.color] = through.get(pen.color, 0) + part.pen.runs
            at = ends[1] if pen == WIRE or part.pen.runs > 0 else ends[0]
            comes[at] = comes.get(at, 0) + (abs(part.pen.runs) if pen == WIRE else part.pen.runs)
    assert set(through.values()) == {0}, "in at one end of the cable, out at the other"
    feed, outward = min(comes), max(comes)
    assert comes.pop(feed) == -1 and comes.pop(outward) == 1 and set(comes.values()) == {0}


def ladder_volts(wound, joined, f_mhz, count=40):
    """Volts of each end to the outward wire at 1 A, the cable in short pieces, joined as a net list says.

    Each piece's two conductors lie in the field of all pieces of the coil alike; the field inside the braid
    is the centre's alone; between centre and braid lies the cable's capacitance, across the coil its own.
    """
    long, line = wound.wound_length_m, wound.cable
    plain = al.CoaxTrap(
        cable=line, form_diameter_mm=wound.form_diameter_mm, turns=wound.turns, hookup="braid"
    ).trap
    coil = plain.inductance_uh - line.inductance_uh_per_m * long / 3
    own = plain.capacitance_pf - line.capacitance_pf_per_m * long
    omega = 2 * np.pi * f_mhz
    node = {}
    for net in NETS[joined]:
        node |= dict.fromkeys(net, len(set(node.values())))
    free = iter(range(len(NETS[joined]), 10**6))
    paths = [
        [node[f"near {what}"], *(next(free) for _ in range(count - 1)), node[f"far {what}"]]
        for what in ("centre", "braid")
    ]
    nodes = max(map(max, paths)) + 1
    incidence, shunt = np.zeros((2 * count, nodes)), np.zeros((nodes, nodes), complex)
    for c, path in enumerate(paths):
        for k in range(count):
            incidence[c * count + k, [path[k], path[k + 1]]] = 1, -1

    def add(a, b, pf):
        shunt[np.ix_([a, b], [a, b])] += 1e-6j * omega * pf * np.array([[1, -1], [-1, 1]])

    for k, (a, b) in enumerate(zip(*paths, strict=True)):
        add(a, b, line.capacitance_pf_per_m * long / count * (0.5 if k in (0, count) else 1))
    add(paths[1][0], paths[1][-1], own)
    inside = np.repeat([line.inductance_uh_per_m * long / count, 0], count)
    z = 1j * omega * (coil / count**2 + np.diag(inside))
    whole = np.block([[shunt, incidence.T], [incidence, -z]])
    keep = np.arange(len(whole)) != node["outward"]  # which is the ground of it all
    drive = np.zeros(len(whole))
    drive[node["feed"]] = 1
    volts = np.insert(np.linalg.solve(whole[np.ix_(keep, keep)], drive[keep]), node["outward"], 0)
    return {name: complex(volts[at]) for name, at in node.items()}


def ladder_ohm(*given):
    """Ohms between the antenna's two wires."""
    return ladder_volts(*given)["feed"]


@pytest.mark.parametrize("share", [0.5, 0.98, 1.02])
@pytest.mark.parametrize(("pipe", "turns"), [(33.4, 4), (63, 6)])
def test_volts_at_the_open_end(pipe, turns, share):
    """Over all of the trap's volts to the braid beside it, over twice as many to the outward wire.

    So it is across the braid, and the plan and the lesson say both. In series a little over half of them lie
    in the cable. Nowhere is less told than the ladder has, but for what one frequency of the band has more.
    """
    wound = al.CoaxTrap(cable="RG-58", form_diameter_mm=pipe, turns=turns, hookup="braid")
    volts = ladder_volts(wound, "braid", share * wound.resonance_mhz)
    beside, far = (volts["near centre"] - volts[name] for name in ("near braid", "far braid"))
    told = wound.volts_share
    assert 1 < abs(beside / volts["feed"]) < 1.01 * told and told < 1.12
    assert 2 < abs(far / volts["feed"]) < 1.01 * (told + 1)
    if share > 0.9:
        assert abs(beside / volts["feed"]) == pytest.approx(told, rel=0.01)
    assert "all of the trap's volts to the braid beside it, and over twice as many to the outward" in OPEN_END
    wound = replace(wound, hookup="series")
    volts = ladder_volts(wound, "series", share * wound.resonance_mhz)
    near, far = (
        abs((volts[f"{end} centre"] - volts[f"{end} braid"]) / volts["feed"]) for end in ("near", "far")
    )
    assert far < 0.5 < near == pytest.approx(wound.volts_share, rel=0.005)


@pytest.mark.parametrize("hookup", ["series", "braid"])
def test_what_is_drawn_is_the_trap(hookup):
    """The drawing's own net list, solved piece by piece, is a coil below the resonance, a capacitor above.

    And at half of it as many ohms as the trap is said to have there, within what CoaxTrap promises.
    """
    wound = al.CoaxTrap(cable="RG-58", form_diameter_mm=33.4, turns=4, hookup=hookup)
    below, above = (ladder_ohm(wound, hookup, share * wound.resonance_mhz) for share in (0.98, 1.02))
    assert below.imag > 1000 and above.imag < -1000
    half = wound.resonance_mhz / 2
    told = wound.trap.impedance(half).imag
    assert ladder_ohm(wound, hookup, half).imag == pytest.approx(told, rel=0.09)


def test_the_wrong_joint_has_no_coil_left():
    """Both currents cancel: the ladder leaves the short line that the view names, at any size of coil."""
    for pipe, turns in ((33.4, 4), (63, 6)):
        wound = al.CoaxTrap(cable="RG-58", form_diameter_mm=pipe, turns=turns)
        f = np.array([wound.resonance_mhz])
        left = ladder_ohm(wound, WRONG, float(f[0])).imag
        _, (said,), (where,), _ = _without_a_coil([wound], f)
        assert abs(float(said.removesuffix(" Ω")) / left - 1) < 0.05 and where == f"on {f[0]:.2f} MHz"
        assert 0 < left < 30 < abs(wound.trap.impedance(f[0])) / 1000
        near = [ladder_ohm(wound, WRONG, share * f[0]).imag for share in (0.5, 1, 1.5)]
        assert near == sorted(near), "and nothing resonates near there"


def test_parts_move_on_their_own():
    """Rows of several sizes are each drawn as if alone."""
    ax, _ = drawn("series")
    both = wound_trap(ax, [30.0, 60.0], [3.5, 9.0], cable_mm=5.0, called="RG-58", joined="series", most=9)
    alone = wound_trap(ax, [60.0], [9.0], cable_mm=5.0, called="RG-58", joined="series", most=9)
    for part, one in zip(both, alone, strict=True):
        assert isinstance(part, Part)
        mine = [np.atleast_2d(v)[-1] for v in (part.x, part.y)]
        for v, w in zip(mine, (one.x[0], one.y[0]), strict=True):
            np.testing.assert_allclose(v, w)


@pytest.mark.parametrize("look", looks.LOOKS)
def test_nothing_of_a_hook_up_is_cut(look):
    """On paper all lines lie within their axes, in the hall's larger type too: no wire ends at the edge."""
    with looks.looking(look):
        fig, axes = hookups("series", "braid", WRONG)
    for ax in axes:
        for line in ax.lines:
            x, y = line.get_xdata(), line.get_ydata()
            assert np.nanmax(np.abs(x)) <= ax.get_xlim()[1] and np.nanmin(y) >= ax.get_ylim()[0]
    plt.close(fig)
