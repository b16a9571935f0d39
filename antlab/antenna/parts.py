"""What to buy: everything that a plan's builder needs, with what is spare, for one antenna or for a class."""

import math
from dataclasses import dataclass

from antlab.antenna.feeding import choke_for
from antlab.antenna.hanging import KNOTS_M
from antlab.antenna.tape import Tape, rounded_up
from antlab.units import Slip, quoted

# What is spare, and what hands need: common practice, no source.
SPARE_WIRE, SPARE_ROPE, SPARE_LINE = 0.1, 0.1, 0.05
TIE_EVERY_M = 0.5  # of a line along a mast
TAPE_M, SOLDER_G = 3.0, 20.0  # of sealing tape, for two traps, feed and plugs; of solder
ROPE_MM = 5
MOST = 1000  # antennas that a list is for


@dataclass(frozen=True, kw_only=True)
class Part:
    """One line of a shopping list, for one antenna.

    what: as one asks for it. why: what becomes of it. length_m or count or grams: how much is used. pieces:
    of a length, as they are cut, (how many, metres) each. spare: of lengths a share, else pieces; a class
    needs spare pieces once for each four antennas.

    >>> from antlab.antenna.parts import Part
    >>> wire = Part(what="wire", why="two legs", length_m=10.2, spare=0.1)
    >>> wire.used(), wire.bought(), wire.bought(antennas=3)
    ('10.20 m (33 ft 6 in)', '12 m (39 ft)', '34 m (112 ft)')
    """

    what: str
    why: str
    length_m: float | None = None
    count: int | None = None
    grams: float | None = None
    spare: float = 0.0
    pieces: tuple = ()

    def used(self, tape=None):
        """How much of it is used in one antenna, in words: its pieces added up as written. tape: a Tape."""
        if self.length_m is not None:
            return (tape or Tape()).used(*(self.pieces or ((1, self.length_m),)))
        return f"{self.count}" if self.grams is None else f"{self.grams:g} g"

    def spare_words(self, tape=None):
        """How much more to have, in words. tape: a Tape."""
        if not self.spare:
            return "none"
        if self.length_m is not None:
            return f"{100 * self.spare:.0f} %"
        return f"{self.spare:g}"

    def bought(self, antennas=1, tape=None):
        """How much to buy, rounded up as it is sold, in words. antennas: how many. tape: a Tape."""
        if self.length_m is not None:
            return (tape or Tape()).buy(antennas * self.length_m * (1 + self.spare))
        if self.grams is not None:
            return f"{antennas * self.grams:g} g"
        return f"{antennas * self.count + math.ceil(self.spare * max(1, antennas / 4)):g}"


def check_antennas(number):
    """How many antennas a list is for: a whole number, 1 to 1000. Returns it as int. Raises Slip.

    >>> from antlab.antenna.parts import check_antennas
    >>> check_antennas(12)
    12
    """
    if isinstance(number, bool) or not isinstance(number, int) or not 1 <= number <= MOST:
        raise Slip(f"a list of parts is for 1 to {MOST} antennas; got {quoted(number)}")
    return number


def parts_of(plan, hanging, line, tape=None):
    """What to buy for one antenna of a Plan, its Hanging and its FeedLine: a tuple of Parts. tape: a Tape.

    Supports, earth and tools are not among them. Quantities: the plan's own lengths; spare: common practice.

    >>> from antlab.antenna.feeding import usual_line
    >>> from antlab.antenna.hanging import hang
    >>> from antlab.antenna.parts import parts_of
    >>> plan = al.design("40m", "20m", shape=al.FlatTop(height_m=9)).plan
    >>> parts_of(plan, hang(plan), usual_line(plan))[0].what
    'antenna wire: 2 mm copper'
    """
    choke, tape = choke_for(plan), tape or Tape()
    return tuple(
        [
            Part(
                what=f"antenna wire: {plan.wire}", why="both legs, loops and all", spare=SPARE_WIRE,
                **_of_pieces(*((cut.count, cut.cut_m) for cut in plan.cuts)),
            ),
            *_traps(plan.trap, max(band.trap_volts_peak for band in plan.bands), tape),
            Part(what="centre piece with two eyes", why="the feed; insulator or thick plastic", count=1),
            Part(what="end insulator", why="between wire and rope", count=2, spare=1),
            *_ropes(plan, hanging),
            *_line(choke, line, tape),
            Part(what="self-sealing tape", why="traps, feed and plugs, against rain", length_m=TAPE_M,
                 spare=SPARE_WIRE),
            Part(what="solder with rosin, for electronics", why="traps, feed, plugs", grams=SOLDER_G),
            Part(what="cable ties that stand the sun", why="cable to traps, choke and mast", spare=5,
                 count=8 + (math.ceil(plan.top_m / TIE_EVERY_M) if hanging.vee else 4)),
        ]
    )  # fmt: skip


def parts_text(parts, *, tape=None, antennas=1):
    """What to buy, to read on a screen. parts: of parts_of. tape: a Tape. antennas: for a class of so many.

    >>> from antlab.antenna.parts import Part, parts_text
    >>> print(parts_text([Part(what="pulley", why="top of the mast", count=1)], antennas=12))
    what    for              used  spare  buy for one  buy for 12
    pulley  top of the mast  1     none   1            12
    """
    tape = tape or Tape()
    rows = [("what", "for", "used", "spare", "buy for one", f"buy for {antennas}")]
    rows += [
        (
            one.what,
            one.why,
            one.used(tape),
            one.spare_words(tape),
            one.bought(1, tape),
            one.bought(antennas, tape),
        )
        for one in parts
    ]
    rows = [row[: 6 if antennas > 1 else 5] for row in rows]
    wide = [max(map(len, column)) for column in zip(*rows, strict=True)]
    return "\n".join(
        "  ".join(cell.ljust(w) for cell, w in zip(row, wide, strict=True)).rstrip() for row in rows
    )


def _of_pieces(*pieces):
    return {"length_m": sum(count * one for count, one in pieces), "pieces": pieces}


def _traps(trap, volts, tape):
    if trap.turns is None:
        what = f"trap of {trap.inductance_uh:.2f} µH with {trap.capacitance_pf:.1f} pF, {volts:.0f} V peak"
        return [Part(what=what, why="one in each leg", count=2)]
    long = trap.cable_length_m
    parts = [
        Part(what=_coaxial(trap.of) if trap.cable else trap.of, why="two traps; spare: one to practise",
             **_of_pieces((2, long)), spare=0.5),
        Part(
            what=f"pipe {tape.thick(trap.form_diameter_mm)} outside, PVC",
            why="two traps; spare: one to practise", spare=0.5,
            **_of_pieces((2, 1e-3 * rounded_up(trap.pipe_mm, 1))),
        ),
    ]  # fmt: skip
    if not trap.cable:
        what = f"capacitor {trap.across_pf:g} pF, {2 * volts:.0f} V or more, mica or high-voltage ceramic"
        parts.append(Part(what=what, why="across the coils", count=2, spare=1))
    return parts


def _ropes(plan, hanging):
    """A vee: each end to its stake, and a halyard; a level wire: over a pulley at each end and down.

    Over the middle of a level wire there is no support that a rope of the feed's own could hang from.
    """
    rope = f"rope {ROPE_MM} mm, for outdoors, of plastic"
    fixed = sum(hanging.rope_m) + 2 * KNOTS_M
    if hanging.vee:
        halyard = 2 * plan.top_m + KNOTS_M
        parts = [
            Part(what=rope, why="both ends, and a halyard", length_m=fixed + halyard, spare=SPARE_ROPE),
            Part(what="pulley", why="top of the mast", count=1),
            Part(what="weak link", why="one end, to give way before the wire", count=1),
        ]
        if hanging.stakes:
            parts.append(Part(what="stake", why="one for each end; marked, nobody trips", count=2))
        return parts
    down = 2 * sum(up for _, up in hanging.ties)  # so that both ends come down to the ground
    why = "both ends, over pulleys, and down"
    return [
        Part(what=rope, why=why, length_m=fixed + down, spare=SPARE_ROPE),
        Part(what="pulley", why="one at each support", count=2),
        Part(what="weight or weak link", why="one end, where a support sways", count=1),
    ]  # fmt: skip


def joined(choke, line):
    """Whether a Choke and a FeedLine are of two cables, which a coupling joins.

    >>> from antlab.antenna.feeding import CHOKES, FeedLine
    >>> from antlab.antenna.parts import joined
    >>> [joined(CHOKES[0], FeedLine(cable=name, length_m=20)) for name in ("RG-58", "RG-213")]
    [False, True]
    """
    return line.cable.name != choke.cable


def _line(choke, line, tape):
    """Line and choke: of one piece where they are of the same cable, else with a joint."""
    form = choke.on.removeprefix("a ")
    if joined(choke, line):
        cable = [
            Part(what=_coaxial(line.cable.called), why="feed line", length_m=line.length_m, spare=SPARE_LINE),
            Part(what=_coaxial(choke.cable), why="the choke", length_m=choke.cable_m),
            Part(what="plug for each cable", why="line: both ends; choke: one", count=3, spare=1),
            Part(what="coupling of two plugs", why="choke to line, sealed", count=1),
        ]  # fmt: skip
    else:
        cable = [
            Part(what=_coaxial(line.cable.called), why="feed line, and the choke from its end",
                 length_m=line.length_m + choke.cable_m, spare=SPARE_LINE),
            Part(what="plug for the radio", why="shack end of the line", count=1, spare=1),
        ]  # fmt: skip
    why = f"the choke; {tape.thick(choke.across_mm)} across"
    return [*cable, Part(what=form, why=why, count=1, spare=1)]


def _coaxial(called):
    """A cable as one asks for it in a shop."""
    return f"coaxial {called}" if called.startswith("cable") else f"coaxial cable {called}"
