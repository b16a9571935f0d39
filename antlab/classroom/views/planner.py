"""The planner: a two-band trap dipole in the student's own yard, solved anew wherever the hand puts it."""

import contextlib
from functools import lru_cache

import matplotlib as mpl
import numpy as np
from matplotlib import pyplot as plt

from antlab import facts
from antlab.antenna.design import AIMS, aim_on, design
from antlab.antenna.plan import HEAD_M
from antlab.antenna.safety import (
    LOWEST_END_M,
    MIND,
    check_trap_volts,
    licence_verdict,
    trap_verdicts,
)
from antlab.antenna.safety import MODES as SENT
from antlab.classroom.drawing.axes import dbi, em_of, label, plot_axes
from antlab.classroom.drawing.keep_off import zone
from antlab.classroom.drawing.looks import BLACK, GREY, inches, on_paper, small
from antlab.classroom.drawing.parts import Handle, Part, Pen, Scene
from antlab.classroom.drawing.signs import wire
from antlab.classroom.drawing.two_bands import lobes, share_bars, swr_curves
from antlab.classroom.views.player import Slider, view
from antlab.engine.pattern import Pattern
from antlab.engine.shapes import FlatTop, InvertedVee
from antlab.physics import circuit, sky
from antlab.physics.bands import BANDS, MODES, SOILS_IN_VIEWS, band
from antlab.physics.bands import soil as named_soil
from antlab.physics.cable import IN_PLANNER
from antlab.physics.cable import cable as known_cable
from antlab.physics.lengths import rule_length_m
from antlab.physics.trap import OFFERED_FORM, design_coax_trap
from antlab.physics.wires import IN_PLANNER as WIRES
from antlab.units import MILE_KM, Slip, feet

PIPES_MM = tuple(
    row.outer_mm for row in facts.read("classroom/views/pipes.csv", text="nominal", numbers="outer_mm")
)
WATTS = (5, 20, 50, 100, 200, 500, 1000, 1500)
FAR_KM = (200, 500, 1000, 1700, 2500, 3500)  # of the station to be reached, in one hop
FRIEND_KM = 1700  # of lesson 07, whom noon lets all bands reach


@lru_cache(maxsize=32)
def on_a_pipe(f_mhz, cable):
    """The trap on that of three pipes, the thinnest that it may be bent around, on which it has whole turns.

    Or nearly whole ones. Raises Slip when not even the thinnest will do.
    """
    pipes = [mm for mm in PIPES_MM if mm >= OFFERED_FORM * known_cable(cable).outer_mm][:3]
    wound = [design_coax_trap(f_mhz=f_mhz, cable=cable, form_diameter_mm=pipes[0])]
    for pipe in pipes[1:]:
        with contextlib.suppress(Slip):  # too few turns
            wound.append(design_coax_trap(f_mhz=f_mhz, cable=cable, form_diameter_mm=pipe))
    return min(wound, key=lambda one: abs(one.turns - one.whole_turns))


@lru_cache(maxsize=16)
def start(low, high, soil, trap_cable, power_w, wire=WIRES[0], sends="carrier", **user):
    """The Design for a choice of bands, soil, cable, wire and power, 9 m up: from it the others are found.

    user: aim, mode, licence and region, as design() takes them. Raises Slip as design() does.
    """
    yard = {"shape": FlatTop(height_m=9), "soil": soil}
    return _designed(low, high, trap_cable, **yard, wire=wire, power_w=power_w, sends=sends, **user)


def _designed(low, high, trap_cable, *, mode="any", **given):
    """The Design with traps of a cable, on one of the pipes. mode: the planner's. given: as design()."""
    mode = None if mode == "any" else mode
    user = {name: given[name] for name in ("aim", "licence", "region") if name in given}
    trap = on_a_pipe(aim_on(high, mode=mode, **user).f_mhz, trap_cable)
    return design(low, high, trap=trap, mode=mode, **given)


def shape_of(height_m, drop_m):
    """How the wire hangs: level, or as a vee.

    height_m: of the feed, metres. drop_m: by how much the ends are lower. Returns a FlatTop or InvertedVee.
    Raises Slip for ends in the ground or within reach, below safety.LOWEST_END_M.
    """
    ends = height_m - drop_m
    if ends < LOWEST_END_M - 1e-9:
        where = f"{ends:.1f} m ({feet(ends):.0f} ft) up, within reach" if ends > 0 else "in the ground"
        raise Slip(
            f"the ends would be {where}, and they carry high voltage: keep them {LOWEST_END_M:g} m "
            f"({feet(LOWEST_END_M):.0f} ft) up or higher; raise the feed, or lower the ends less"
        )
    return InvertedVee(apex_m=height_m, ends_m=ends) if drop_m else FlatTop(height_m=height_m)


def _controls(low, **_):
    half_wave = float(rule_length_m(band(low).low_mhz))
    return [
        Slider("Height", "m", 3, 16, 131, 9),
        Slider("Ends lower", "m", 0, 10, 101, 0),
        Slider("Room", "m", 5, 60, 111, np.ceil(half_wave)),
    ]


@view(
    _controls,
    size=((9.0, 5.0), (3.9, 7.0)),
    ask=True,
    low=BANDS,
    high=BANDS,
    soil=SOILS_IN_VIEWS,
    trap_cable=IN_PLANNER,
    wire=WIRES,
    power_w=WATTS,
    sends=tuple(SENT),
    far_km=FAR_KM,
    hour=tuple(sky.HOURS),
    aim=AIMS,
    mode=("any", *MODES),
    licence=("general",),
    region=(2,),
)
def planner(
    fig, height_m, drop_m, room_m, *, low="40m", high="20m", soil="average", trap_cable="RG-58",
    wire=WIRES[0], power_w=100, sends="carrier", far_km=FRIEND_KM, hour="noon",
    aim="widest", mode="any", licence="general", region=2, at_rest=True,
):  # fmt: skip
    """What fits into your yard.

    A two-band trap dipole solved for the yard at each position, its lengths within 1 mm of al.design's.
    How far people must stay is computed when the hand rests.
    """
    user = {"aim": aim, "mode": mode, "licence": licence, "region": region}
    height, drop, room = (float(one[0]) for one in (height_m, drop_m, room_m))
    begin = start(low, high, named_soil(soil), trap_cable, power_w, wire, sends, **user)
    made = begin.hung(shape_of(height, drop), span_m=room)
    dipole, wound = made.dipole, made.wound
    sweeps, names, gains, there, shares, bands = [], [], [], [], [], []
    up = float(sky.at(hour).elevation_deg(far_km))
    solved = [one.band.frequencies(41) for one in made.aims]
    impedance = np.split(dipole.impedance(np.concatenate(solved)), 2)
    for one, f, z in zip(made.aims, solved, impedance, strict=True):
        here = one.band.frequencies(401)
        row = circuit.swr(np.interp(here, f, z))
        names.append(one.band.label)
        sweeps.append((f, row[None, ::10]))
        gains.append(_whole(pattern := Pattern(made.solved(one))))
        there.append(np.array([pattern.gain_dbi(up)]))
        shares.append(made.shares(one))
        low_mhz, high_mhz = one.edges_mhz
        worst = row[(here >= low_mhz) & (here <= high_mhz)].max()
        bands.append(
            f"{names[-1]}: {towards(pattern, one.f_mhz, far_km, hour)}. Lowest SWR {row.min():.1f} at "
            f"{here[row.argmin()]:.2f} MHz, 2 or less over {100 * np.mean(row <= 2):.0f} % of the band; "
            f"{worst:.1f} at most for {low_mhz:g} to {high_mhz:g}"
        )
    stress = [made.stress(one) for one in made.aims]
    volts = check_trap_volts(wound, volts_peak=max(one.volts_peak for one in stress))
    verdict = ": too much" if volts.margin < 1 else ": too close" if volts.margin < 2 else ""
    away = [made.exposure(one) for one in made.aims] if at_rest else []
    sizes, width = (dipole.inner_m, dipole.outer_m), float(made.width_m)
    says = [
        f"Each side {sizes[0]:.2f} + {sizes[1]:.2f} m ({feet(sizes[0]):.1f} + {feet(sizes[1]):.1f} ft), "
        f"spans {width:.1f} m ({feet(width):.0f} ft); trap cable: {volts.volts_peak:.0f} of "
        f"{volts.allowed_peak:.0f} V{verdict}",
        *bands,
        _keep_off(made, away),
        _power(made, stress),
    ]
    alt = (
        "The wire with its traps in the yard, to scale beside a person; its lobes against elevation, "
        f"broadside, with a ray that lands {far_km} km away, its SWR against frequency, with what the "
        f"licence allows, and where the watts go, on {names[0]} (solid) and {names[1]} (dashed)."
    )
    yard, above, ratios, watts = _panels(fig)
    keep_off = (np.nan, 0.0)
    if away:
        keep_off = max(one["keep_away_m"] for one in away), min(one["clear_below_m"] for one in away)
    parts = _yard(yard, height, drop, room, width, dipole, keep_off)
    parts += lobes(above, np.arange(181.0), gains, names, toward=(up, there))
    parts += swr_curves(ratios, sweeps, names, [(one.allowed_mhz, one.edges_mhz) for one in made.aims])
    parts += share_bars(
        watts, [{where: np.array([one]) for where, one in band.items()} for band in shares], names
    )
    held = _handles(parts[0].ax, _controls(low), height, drop, room, width)
    return Scene(parts, ["\n".join(says)], alt, handles=held)


def _power(made, stress):
    """What its watts do to traps and licence, on the worse band of each, in a line.

    made: a Design. stress: what its traps stand, of each of its aims.
    """
    worst = {}
    for aim, here in zip(made.aims, stress, strict=True):
        trap = {"volts_peak": here.volts_peak, "watts": here.watts, "power_w": made.power_w}
        licence = licence_verdict(aim.band.name, made.power_w)
        for one in (*trap_verdicts(made.wound, **trap)[1:], *([licence] if licence else ())):
            if one.about not in worst or one.good_w < worst[one.about].good_w:
                worst[one.about] = one
    told = [f"{one.mark} {one.about} {one.short}" for one in worst.values()]
    if made.wound.cable.is_foam:
        told.append(f"{MIND} {made.wound.cable.called} is foam")
    return f"Traps at {made.power_w:g} W: {'; '.join(told)}"


def _keep_off(made, away):
    """How far others must stay, for both bands together: the worse counts. away: of each, or nothing yet."""
    watts = f"{made.power_w:g} W, {made.sends}"
    if not away:
        return f"How far others stay off is computed when you let go; {watts}"
    far = np.ceil(10 * max(one["keep_away_m"] for one in away)) / 10
    clear = np.floor(10 * min(one["clear_below_m"] for one in away)) / 10
    said = f"Others stay {far:.1f} m ({np.ceil(feet(far)):.0f} ft) off (dotted)"
    if clear < HEAD_M:
        return f"{said}, nobody stands under it: too low for {watts}"
    return f"{said}, up to {clear:.1f} m ({np.floor(feet(clear)):.0f} ft) anywhere; {watts}"


def _panels(fig):
    """Yard over sky, and beside them or on a tall figure below SWR over shares; again if they are there."""
    if not fig.subfigs:
        wide = fig.bbox.width > fig.bbox.height
        first, second = fig.subfigures(*((1, 2) if wide else (2, 1)), **{
            "width_ratios" if wide else "height_ratios": (0.46, 0.54) if wide else (0.55, 0.45)
        })  # fmt: skip
        first.subfigures(2, 1, height_ratios=(0.45, 0.55))
        second.subfigures(2, 1, height_ratios=(0.81, 0.19))
    return *fig.subfigs[0].subfigs, *fig.subfigs[1].subfigs


def _yard(fig, height_m, drop_m, room_m, width_m, dipole, keep_off=(np.nan, 0.0)):
    """The wire between its supports, seen from the side, to scale, with what people keep off. The parts."""
    if not fig.axes:
        ax = plot_axes(fig, x=(-22, 22), y=(-2.5, 20.3), margins_em=(0.3, 0.3, 0.3, 0.3), aspect="equal")
        ax.set_axis_off()
        ax.axhline(0, color=BLACK)
        ax.fill((-1.3, -1.3, -0.7, -0.7), (0, 1.8, 1.8, 0), color=GREY)
        label(ax, -1, -0.4, "you", ha="center", va="top", fontsize=small())
    ax, half, edge = fig.axes[0], width_m / 2, room_m / 2
    fall = drop_m / half  # metres down for each metre out, and the rope goes on that way
    out = min(edge, half + (height_m - drop_m) / fall) if drop_m else edge
    end, foot = height_m - drop_m, max(height_m - fall * out, 0.0)
    share = dipole.inner_m / (dipole.inner_m + dipole.outer_m)
    gap = np.nan

    def both(*xy):
        """A line and its mirror image."""
        x, y = (np.array([one]) for one in zip(*xy, strict=True))
        return np.concatenate([x, [[gap]], -x], axis=1), np.concatenate([y, [[gap]], y], axis=1)

    place = np.zeros((1, 1)), np.full((1, 1), height_m + 0.9 * em_of(ax))
    mast = ((0.0, 0.0), (0.0, height_m if drop_m else gap))
    words = f"{height_m:.1f} m ({feet(height_m):.0f} ft)"
    dots = Pen(GREY, width=0.6, dashes=(1.0, 1.2), fill=0.12)
    x, y = zone((0, height_m), (half, end), *keep_off)
    return [
        Part(ax, "line", *both((out, 0.0), (out, foot)), Pen(GREY, width=1.3)),
        Part(ax, "line", *both(*mast), Pen(GREY, width=1.3)),
        Part(ax, "line", *both((half, end), (out, foot)), Pen(GREY, width=0.4)),
        *wire(ax, (0, height_m), (half, end), trap_at=share, pen=Pen(BLACK, width=0.8)),
        Part(ax, "text", *place, Pen(BLACK, bold=True), (words,)),
        Part(ax, "line", np.clip(x, *ax.get_xlim())[None], y.clip(max=ax.get_ylim()[1])[None], dots),
    ]


def _handles(ax, sliders, height_m, drop_m, room_m, width_m):
    """Wire, its right end and the right support can be drawn along, as far as the yard makes sense."""
    heights, drops, rooms = (slider.values[None] for slider in sliders)
    slope = np.hypot(width_m / 2, drop_m)  # of a leg, as good as constant
    out = np.sqrt(np.where(drops < slope, slope**2 - drops**2, np.nan))
    foot = np.minimum(rooms / 2, 0.97 * ax.get_xlim()[1])
    safe = [np.where(one >= LOWEST_END_M - 1e-9, 0, np.nan) for one in (heights - drop_m, height_m - drops)]
    return [
        Handle("height_m", ax, 0.0, heights - 1.7 * em_of(ax) + safe[0]),
        Handle("drop_m", ax, out, height_m - drops + safe[1]),
        Handle("room_m", ax, np.where((rooms > width_m) | (rooms == room_m), foot, np.nan), 0.0),
    ]


THREE = {  # of the course: bands, soil; height, how much lower the ends are, room
    "Corner Lot": ({"low": "40m", "high": "20m", "soil": "average"}, (7.5, 0.0, 18.0)),
    "Long Acre": ({"low": "80m", "high": "40m", "soil": "wet"}, (12.0, 0.0, 40.0)),
    "Hilltop": ({"low": "20m", "high": "10m", "soil": "rocky"}, (10.0, 3.0, 14.0)),
}


def three_yards():
    """The course's three yards on paper: wire, lobes, and a few words. Returns fig and the yards' axes."""
    with mpl.rc_context(on_paper()):
        fig = plt.figure(figsize=inches(9.4, 4.8))
        axes = []
        for column, (name, (choices, place)) in zip(fig.subfigures(1, 3), THREE.items(), strict=True):
            head, *panels = column.subfigures(3, 1, height_ratios=(0.85, 1.3, 2.2))
            made = start(**choices, trap_cable="RG-58", power_w=100).hung(shape_of(*place[:2]), place[2])
            up = sky.at("noon").elevation_deg(FRIEND_KM)
            names, patterns = zip(
                *((one.band.label, made.dipole.pattern(one.f_mhz)) for one in made.aims), strict=True
            )
            gain = [dbi(float(pattern.gain_dbi(up))) for pattern in patterns]
            words = (
                f"spans {made.width_m:.1f} m ({feet(made.width_m):.0f} ft)\n"
                f"{gain[0].removesuffix(' dBi')} and {gain[1]} at {up:.0f}°"
            )
            head.text(0.05, 0.97, name, va="top", fontweight="bold")
            head.text(0.05, 0.65, words, va="top")
            parts = _yard(panels[0], *place, float(made.width_m), made.dipole)
            gains = list(map(_whole, patterns))
            there = [np.array([pattern.gain_dbi(up)]) for pattern in patterns]
            parts += lobes(panels[1], np.arange(181.0), gains, names, toward=(up, there))
            for part in parts:
                part.draw()
            axes.append(parts[0].ax)
    return fig, axes


def _whole(pattern):
    """Gain over the sky from horizon to horizon, broadside, in steps of a degree, shape (1, 181)."""
    half = pattern.gain_dbi(np.arange(91.0))
    return np.concatenate([half, half[-2::-1]])[None]


def towards(pattern, f_mhz, far_km, hour):
    """What is sent to a station, broadside, and whether the course's sky returns it, in words.

    pattern: a Pattern, at f_mhz. far_km: to the station, one hop. hour: of sky.HOURS.
    """
    here = sky.at(hour)
    up = here.elevation_deg(far_km)
    back = "returns it" if here.returns(f_mhz, elevation_deg=up) else "does not return it"
    gain = dbi(float(pattern.gain_dbi(up)))
    return f"{gain} to {far_km} km ({far_km / MILE_KM:.0f} miles), at {up:.0f}°; {hour} {back}"


def plan_at(
    height_m, drop_m, room_m, *, low, high, soil, trap_cable="RG-58", wire=WIRES[0], power_w=100,
    sends="carrier", aim="widest", mode="any", licence="general", region=2,
):  # fmt: skip
    """The Plan for a yard as the planner takes it.

    height_m, drop_m, room_m: height of the feed, how much lower the ends are, room from support to support,
    metres. trap_cable: what the traps are wound of, on a pipe of PIPES_MM. wire: that of the
    legs. The rest as design() takes it.
    Returns a Plan. Raises Slip for a yard that cannot be.
    """
    made = _designed(
        low, high, trap_cable, shape=shape_of(height_m, drop_m), span_m=room_m, soil=soil, wire=wire,
        power_w=power_w, sends=sends, aim=aim, mode=mode, licence=licence, region=region,
    )  # fmt: skip
    return made.plan


def plan_of(widget):
    """The Plan for the yard that a planner shows, to print and to save.

    widget: what live.planner() returned. Raises Slip for anything else, and for a yard that cannot be.
    """
    if getattr(widget, "view", None) is not planner:
        raise Slip("plan_of wants the planner that you dragged: mine = live.planner(...)")
    yard = {name: value for name, value in widget.choices.items() if name not in ("far_km", "hour")}
    return plan_at(**widget.positions, **yard)
