"""The feed line as far as the shack, and the choke where it meets the wire."""

import math
from dataclasses import dataclass

import numpy as np

from antlab import facts
from antlab.antenna.tape import Tape, rounded_up
from antlab.physics import circuit, coil
from antlab.physics.cable import Cable, swr_along_line, total_loss_db
from antlab.physics.cable import cable as known_cable
from antlab.units import Slip, check_one

LONGEST_M = 1000.0  # of a line
USUAL_CABLE, BEYOND_M, STEP_M = "RG-58", 10.0, 5.0  # of a line that nobody told: beyond the mast's height
CHOKE_LEADS_M = 0.4  # of cable: from the choke to the feed and to the line (common practice, no source)

_CHOKES = facts.read(
    "antenna/chokes.csv",
    text="name on cable ohms",
    numbers="turns across_mm turn_mm low_mhz high_mhz",
)


@dataclass(frozen=True, kw_only=True)
class FeedLine:
    """A cable from the feed point to the shack. cable: a name or a Cable. told: whether its owner said so.

    Raises Slip for an unknown cable, and a length that is not positive or more than a kilometre.

    >>> from antlab.antenna.feeding import FeedLine
    >>> FeedLine(cable="rg213", length_m=25).cable.name
    'RG-213'
    """

    cable: Cable | str
    length_m: float
    told: bool = True

    def __post_init__(self):
        object.__setattr__(self, "cable", known_cable(self.cable))
        length_m = check_one("length of the feed line", self.length_m, unit="metres")
        if length_m > LONGEST_M:
            raise Slip(
                f"a feed line of {length_m:g} m is not reckoned with; was it to be {length_m / 100:g} m?"
            )
        object.__setattr__(self, "length_m", length_m)


def usual_line(hung):
    """A FeedLine where its owner told of none: down from the feed and some way to the shack.

    hung: whatever has a top_m, in metres: a Plan, or how a wire hangs.

    >>> from antlab.antenna.feeding import usual_line
    >>> plan = al.design("40m", "20m", shape=al.FlatTop(height_m=9)).plan
    >>> usual_line(plan).length_m, usual_line(plan).told
    (20.0, False)
    """
    length_m = STEP_M * math.ceil((hung.top_m + BEYOND_M) / STEP_M)
    return FeedLine(cable=USUAL_CABLE, length_m=length_m, told=False)


@dataclass(frozen=True, kw_only=True)
class AtShack:
    """What a line makes of one band. swr, loss_db: at the resonance. worst_swr, worst_db: in what is wanted.

    sky_share: of what the radio feeds in at the resonance, the part that leaves for the sky.

    >>> from antlab.antenna.feeding import at_shack, usual_line
    >>> plan = al.design("40m", "20m", shape=al.FlatTop(height_m=9)).plan
    >>> there = at_shack(plan.low, usual_line(plan))
    >>> 1 < there.swr < plan.low.swr, 0.7 < there.loss_db < there.worst_db
    (True, True)
    """

    swr: float
    loss_db: float
    worst_swr: float
    worst_db: float
    sky_share: float


def at_shack(band, line):
    """What the radio sees of a band through a line, and what the line takes.

    band: a BandPlan. line: a FeedLine. Returns an AtShack. Source: cable.swr_along_line and total_loss_db.

    >>> from antlab.antenna.feeding import FeedLine, at_shack
    >>> plan = al.design("40m", "20m", shape=al.FlatTop(height_m=9)).plan
    >>> thick, thin = (FeedLine(cable=name, length_m=25) for name in ("RG-213", "RG-174"))
    >>> at_shack(plan.low, thick).sky_share > at_shack(plan.low, thin).sky_share
    True
    """
    f = np.array(band.curve_mhz)
    z = np.array(band.curve_ohm[0]) + 1j * np.array(band.curve_ohm[1])
    swr = swr_along_line(z, cable=line.cable, distance_m=line.length_m, f_mhz=f)
    loss = total_loss_db(z, cable=line.cable, length_m=line.length_m, f_mhz=f)
    asked = np.unique(np.r_[band.wanted_mhz, f[(f >= band.wanted_mhz[0]) & (f <= band.wanted_mhz[1])]])
    lost = float(np.interp(band.f_mhz, f, loss))
    return AtShack(
        swr=float(np.interp(band.f_mhz, f, swr)), loss_db=lost,
        worst_swr=float(np.interp(asked, f, swr).max()), worst_db=float(np.interp(asked, f, loss).max()),
        sky_share=band.shares["sky"] * 10 ** (-lost / 10),
    )  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Choke:
    """A way to wind a choke. on: what it is wound on, across_mm outside. turns of cable, turn_mm each.

    ohms: in words, or nothing: then it is an air coil, and they are computed. low_mhz, high_mhz: of the
    lowest and of the highest band that it is for.

    >>> from antlab.antenna.feeding import CHOKES
    >>> [(one.name, one.turns) for one in CHOKES]
    [('ferrite', 12.0), ('air', 8.0)]
    """

    name: str
    turns: float
    on: str
    across_mm: float
    cable: str
    turn_mm: float
    low_mhz: float
    high_mhz: float
    ohms: str

    @property
    def cable_m(self):
        """Cable that it takes, leads and all, metres, rounded up to a tenth."""
        return rounded_up(self.turns * self.turn_mm / 1e3 + CHOKE_LEADS_M, 0.1)

    def reactance_ohm(self, f_mhz):
        """Of an air coil, side by side on its form: ohms. f_mhz: MHz. Source: coil.solenoid_uh."""
        thick = known_cable(self.cable).outer_mm
        size = {"diameter_mm": self.across_mm + thick, "length_mm": self.turns * thick, "turns": self.turns}
        return circuit.coil_reactance_ohm(f_mhz=f_mhz, inductance_uh=coil.solenoid_uh(**size))

    def sentence(self, plan, tape=None):
        """How to wind it, and its ohms on both bands of a Plan; lengths as a Tape has them."""
        tape = tape or Tape()
        ohms = self.ohms
        if not ohms:
            each = (
                f"{round(float(self.reactance_ohm(band.f_mhz)), -1):.0f} Ω on "
                f"{band.label}" for band in plan.bands
            )  # fmt: skip
            ohms = " and ".join(each) + ", nearly all reactance, which the braid may cancel"
        through = "through" if "ring" in self.on else "side by side on"
        return (
            f"{self.turns:g} turns of {self.cable} {through} {self.on}, {tape.thick(self.across_mm)} across: "
            f"{ohms}. Takes {tape.cut(self.cable_m, 1)} of cable."
        )


_FIELDS = ("name", "turns", "on", "across_mm", "cable", "turn_mm", "low_mhz", "high_mhz", "ohms")
CHOKES = tuple(Choke(**{name: getattr(row, name) for name in _FIELDS}) for row in _CHOKES)


def choke_for(plan):
    """The best choke for both bands of a Plan.

    >>> from antlab.antenna.feeding import choke_for
    >>> choke_for(al.design("40m", "20m", shape=al.FlatTop(height_m=9)).plan).name
    'ferrite'
    """
    return (*chokes_for(plan), *CHOKES)[0]


def chokes_for(plan):
    """The chokes that serve both bands of a Plan, the better first: a tuple.

    >>> from antlab.antenna.feeding import chokes_for
    >>> plan = al.design("40m", "20m", shape=al.FlatTop(height_m=9)).plan
    >>> [one.name for one in chokes_for(plan)]
    ['ferrite', 'air']
    """
    low, high = plan.low.edges_mhz[0], plan.high.edges_mhz[1]
    return tuple(one for one in CHOKES if one.low_mhz <= low and high <= one.high_mhz)
