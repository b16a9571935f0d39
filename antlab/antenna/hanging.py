"""How the wire hangs: where its ropes go, how long they are, how hard to pull, and how far it then sags."""

import math
from dataclasses import dataclass

import numpy as np

from antlab import facts
from antlab.physics.cable import cable as known_cable

PULLED = 0.1  # of what breaks the wire: the rest is for wind and ice (common practice, no source)
SHORT_ROPE_M = 0.5  # at each end where the supports' distance is not told (common practice, no source)
KNOTS_M = 2.0  # of rope at each end, to tie and to let out (common practice, no source)
JACKET_G_CM3, CABLE_G_CM3 = 1.4, 2.0  # PVC; coax with all in it (values from memory: RG-58 38 g/m)
PIPE_WALL_MM = 3.0  # of the trap's pipe, PVC (common practice, no source)
CHOKE_KG = 0.3  # a ring with its turns, and the feed's eyes (value from memory)
GRAVITY, POUND_KG = 9.81, 0.4536
DEEP = 0.1  # of the feed's height: a sag of which it is said that it is much

STRENGTHS = {
    row.metal: row
    for row in facts.read("antenna/strengths.csv", text="metal", numbers="density_g_cm3 breaks_n_mm2")
}


def wire_load(wire):
    """What a metre of a Wire weighs, kg, and how hard to pull at it, newtons.

    Source: its data, strengths.csv, PULLED. A metal that has no row there counts as copper.

    >>> from antlab.antenna.hanging import wire_load
    >>> kg_per_m, pull_n = wire_load(al.Wire(diameter_mm=2.0))
    >>> round(kg_per_m, 3), round(pull_n)
    (0.028, 66)
    """
    metal = STRENGTHS.get(wire.metal, STRENGTHS["copper"])
    inside, outside = (math.pi / 4 * across**2 for across in (wire.diameter_mm, wire.outer_mm))
    grams = metal.density_g_cm3 * inside + JACKET_G_CM3 * (outside - inside)
    return 1e-3 * grams, PULLED * metal.breaks_n_mm2 * inside


def cable_kg_per_m(cable):
    """What a metre of coaxial cable weighs, kg, about. cable: a Cable or its name.

    >>> from antlab.antenna.hanging import cable_kg_per_m
    >>> round(cable_kg_per_m("RG-58"), 3)
    0.038
    """
    return 1e-3 * CABLE_G_CM3 * math.pi / 4 * known_cable(cable).outer_mm ** 2


@dataclass(frozen=True, kw_only=True)
class Hanging:
    """A wire between its ropes, by what a builder measures out. All in metres, from the middle of the wire.

    ends: the wire's ends, (away, up): along the ground from the middle, the left one negative, and above it.
    ties: of the ropes' far ends, likewise; a stake has height 0. rope_m: from the end of the wire to its tie,
    of each side. vee: over one support. sag_m: of the middle of a level wire, or of a vee's legs, below the
    straight line, at pull_n newtons. bounded: whether somebody told where the supports or fences are; else
    the ropes of a level wire are as short as may be. lowest_m: of the wire, sag and all.

    >>> from antlab.antenna.hanging import hang
    >>> plan = al.design("20m", "10m", shape=al.InvertedVee(apex_m=6, ends_m=3)).plan
    >>> there = hang(plan)
    >>> there.stakes, round(there.tie_m, 2) == round(plan.width_m, 2)
    (True, True)
    """

    vee: bool
    top_m: float
    ends: tuple
    ties: tuple
    rope_m: tuple
    sag_m: float
    pull_n: float
    bounded: bool

    @property
    def stakes(self):
        """Whether the ropes go on to the ground."""
        return self.vee and self.ties[1][1] == 0

    @property
    def slopes(self):
        """Whether it runs between supports of two heights."""
        return abs(self.ties[1][1] - self.ties[0][1]) > 0.005

    @property
    def tie_m(self):
        """From the middle of the wire to where a rope is tied, along the ground."""
        return self.ties[1][0]

    @property
    def lowest_m(self):
        """Of the wire: a vee's ends; of one between two supports its lowest part, by slope and sag."""
        if self.vee:
            return self.ends[0][1]
        t = np.linspace(-1, 1, 201) * self.ends[1][0] / self.tie_m
        rises = (self.ties[1][1] - self.ties[0][1]) / 2
        return float(np.min(self.top_m + rises * t - self.sag_m * (1 - t**2)))

    @property
    def deep_m(self):
        """How far some part of the wire hangs below where it is solved, a vee or level at top_m: metres."""
        return self.sag_m if self.vee else self.top_m - self.lowest_m

    @property
    def sags_much(self):
        """Whether a wire between supports hangs so low that something is to be done about it."""
        return not self.vee and self.sag_m > DEEP * self.top_m

    @property
    def pull_words(self):
        """How hard to pull, as scales show it."""
        kg = self.pull_n / GRAVITY
        return f"{self.pull_n:.0f} N: {kg:.1f} kg, {kg / POUND_KG:.0f} lb"

    def sag_words(self, tape):
        """How far it then sags, and what to do where that is much. tape: a Tape."""
        if self.vee:
            words = f"The legs then sag by about {tape.place(self.sag_m)}; the mast bears choke and line."
        else:
            words = (
                f"The middle then hangs lower by about {tape.place(self.sag_m)}, choke and line hung on it."
            )
        if self.sags_much:
            words += " That is much: stand a light pole under the feed, or take a lighter line."
        return words

    def clear_below_m(self, plan):
        """The height below which others may be everywhere, on both bands of a Plan: metres.

        As deep as the wire hangs here, by this yard and this line, whatever the plan took.
        """
        clear = min(band.clear_below_m for band in plan.bands)
        return max(clear + plan.deep_m - self.deep_m, 0.0) if clear else 0.0


def hang(plan, *, yard=None, line=None):
    """How the antenna of a Plan hangs in a Yard. line: a FeedLine, which a level wire carries.

    plan: what has its heights, lengths, wire and trap is enough.

    yard: left out, as the plan says: a vee's ropes go on along the wire to stakes, or to posts where the
    plan's room ends before. Returns a Hanging.
    Range of validity: sag of a tenth of the span and less. Source of sag: moment over pull, a parabola;
    statics. Weights about.

    >>> from antlab.antenna.hanging import hang
    >>> plan = al.design("40m", "20m", shape=al.FlatTop(height_m=9)).plan
    >>> yard = al.Yard(hung="level", heights_m=(9, 9), span_m=20)
    >>> hang(plan, yard=yard).tie_m
    10.0
    """
    drop, half = plan.top_m - plan.ends_m, plan.width_m / 2
    bounds = [plan.span_m] if plan.span_m else []
    if yard is not None:
        bounds = [one for one in (yard.span_m, yard.chord_m) if one is not None]
    trap_n = GRAVITY * _trap_kg(plan.trap)
    wire_n = GRAVITY * plan.wire_kg_per_m
    if drop > 0:
        away = min([half * plan.top_m / drop, *(one / 2 for one in bounds)])
        up = max(plan.top_m - drop * away / half, 0.0)
        up = up if up > 1e-6 else 0.0
        ends, ties = ((-half, plan.ends_m), (half, plan.ends_m)), ((-away, up), (away, up))
        leg, whole = math.hypot(half, drop), math.hypot(away, plan.top_m - up)
        level = half / leg
        moment = level * (_uniform(wire_n, leg, whole) + _trap(trap_n, plan.inner_m, whole))
        rope = (whole - leg,) * 2
    else:
        left, right = (plan.top_m,) * 2
        if yard is not None and yard.hung == "level":
            left, right = yard.heights_m
        whole = min(bounds) if bounds else 2 * (half + (yard.rope_m if yard else SHORT_ROPE_M))
        chord = math.hypot(whole, right - left)
        share = 2 * half / chord
        rise = (right - left) / 2
        ends = tuple((side * share * whole / 2, plan.top_m + side * share * rise) for side in (-1, 1))
        ties = ((-whole / 2, left), (whole / 2, right))
        rope = ((chord - 2 * half) / 2,) * 2
        fed_n = GRAVITY * (CHOKE_KG + (cable_kg_per_m(line.cable) * plan.top_m if line else 0.0))
        moment = (
            wire_n * 2 * half * (whole / 4 - half / 4)
            + trap_n * (whole / 2 - plan.inner_m)
            + fed_n * whole / 4
        )
    return Hanging(
        vee=drop > 0, top_m=plan.top_m, ends=ends, ties=ties, rope_m=rope, sag_m=moment / plan.wire_pull_n,
        pull_n=plan.wire_pull_n, bounded=bool(bounds),
    )  # fmt: skip


def _uniform(newtons_per_m, loaded_m, whole_m):
    """Greatest moment of a line of length whole_m, its first loaded_m loaded evenly."""
    near = newtons_per_m * loaded_m * (1 - loaded_m / (2 * whole_m))  # what the near end bears
    return near**2 / (2 * newtons_per_m)


def _trap(newtons, at_m, whole_m):
    """Moment under a load at at_m of whole_m."""
    return newtons * at_m * (whole_m - at_m) / whole_m


def _trap_kg(trap):
    """About what a trap weighs: its cable or wire, and its pipe."""
    if trap.turns is None:
        return 0.2
    pipe_kg = 1e-6 * JACKET_G_CM3 * math.pi * trap.form_diameter_mm * PIPE_WALL_MM * trap.pipe_mm
    return pipe_kg + trap.cable_length_m * (cable_kg_per_m(trap.cable) if trap.cable else 0.05)
