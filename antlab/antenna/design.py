"""From two bands and a yard to lengths: the wire that is resonant on both, over that ground."""

from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from antlab.antenna.plan_making import exposure_of, plan_of
from antlab.antenna.safety import average_power_w
from antlab.engine.dipole import Dipole, shares_of
from antlab.engine.pattern import Pattern
from antlab.physics.bands import MODES, Band, allowed, band, wanted
from antlab.physics.circuit import reflection_coefficient, swr
from antlab.physics.lengths import rule_length_m
from antlab.physics.trap import Trap, design_coax_trap, trap_stress
from antlab.physics.wires import wire as named_wire
from antlab.units import Slip, check_frequency, check_one, feet, single, wavelength_m

_CLOSE_M, _STEPS, _SHORTEST_M = 5e-5, 25, 0.15
_FOLLOWED_M = 5e-4  # near enough for who drags a height
_TRUSTED_M = 0.003  # a step so short is not looked at again
_COARSE_WAVES, _COARSE_M = 0.9, 2e-4  # of a section so coarsely cut; near enough with such a one
_LEG_OHM = 600  # a wire a few metres up, taken as a line: a scale for the solver, not for its answer
_HIGHEST_OHM = 250  # no dipole near half a wave shows more at its feed
AIMS = ("widest", "segment")
SHOWN = 41  # frequencies of a band in a picture
_NUDGE, _FARTHEST = 2e-4, 0.01  # shares of a frequency: from one to the next for a slope, moved in a step


@dataclass(frozen=True)
class Aim:
    """A band, the frequency in it at which the antenna is resonant, and what it is to serve.

    wanted: the part of the band that is to be served, a Band; left out, the whole band. allowed: where the
    licence allows what: pairs of a mode and a Band. widest: whether f_mhz is to be found so that the worst
    SWR over the wanted part is as low as can be.

    >>> from antlab.antenna.design import Aim
    >>> Aim(al.band("40m"), 7.1).wanted.label
    '40 metres'
    """

    band: Band
    f_mhz: float
    wanted: Band = None
    allowed: tuple = ()
    widest: bool = False

    def __post_init__(self):
        object.__setattr__(self, "wanted", self.wanted or self.band)

    @property
    def edges_mhz(self):
        """Lowest and highest frequency of the wanted part, MHz."""
        return self.wanted.low_mhz, self.wanted.high_mhz

    @property
    def allowed_mhz(self):
        """What the licence allows: a dict, mode -> lowest and highest frequency, MHz."""
        return {mode: (part.low_mhz, part.high_mhz) for mode, part in self.allowed}


@dataclass(frozen=True)
class Span:
    """Lowest and highest frequency at which the SWR stays under a limit, MHz; both NaN if it never does.

    >>> from antlab.antenna.design import Span
    >>> round(Span(low_mhz=7.05, high_mhz=7.16).width_khz)
    110
    """

    low_mhz: float
    high_mhz: float

    @property
    def width_khz(self):
        """Width, kHz."""
        return 1e3 * (self.high_mhz - self.low_mhz)


@dataclass(frozen=True)
class HeightRow:
    """What one band does at one height. gains_dbi: broadside, at Design.report_angles_deg.

    >>> plan = al.design("40m", "20m", shape=al.FlatTop(height_m=9), low_mhz=7.1, high_mhz=14.2)
    >>> row = plan.height_row(plan.aims[1], 1)
    >>> row.height_m, row.lobes, round(row.takeoff_deg)
    (9.0, 1, 33)
    """

    height_m: float
    f_mhz: float
    takeoff_deg: float
    low_edge_deg: float
    high_edge_deg: float
    lobes: int
    gains_dbi: tuple
    resistance_ohm: float
    swr: float


@dataclass(frozen=True, kw_only=True)
class Design:
    """A two-band trap dipole, solved for its bands and its yard. Made by design().

    dipole: the antenna. aims: the Aim on each band, the lowest first. wound: the CoaxTrap or CoilTrap to
    wind, or None when a Trap was given. span_m: distance between the supports, or None. power_w, z0_ohm: for
    volts and SWR. sends: what is sent, a key of safety.MODES.

    >>> plan = al.design("40m", "20m", shape=al.FlatTop(height_m=9), low_mhz=7.1, high_mhz=14.2)
    >>> [round(plan.span(aim).width_khz, -2) for aim in plan.aims]
    [200.0, 300.0]
    """

    dipole: Dipole
    aims: tuple
    wound: object | None
    span_m: float | None
    power_w: float
    z0_ohm: float
    sends: str = "carrier"
    report_angles_deg: tuple = (10, 20, 30, 60, 90)
    # of the solver, to start from: lengths, closer than the dipole's, and how the angles go with them
    known: tuple | None = field(default=None, repr=False, compare=False)

    @property
    def low(self):
        """The Aim on the lowest band."""
        return self.aims[0]

    @property
    def high(self):
        """The Aim on the highest band."""
        return self.aims[-1]

    @property
    def width_m(self):
        """Level distance between the ends of the wire, metres."""
        half = self.dipole.length_m / 2
        return 2 * half * np.sqrt(1 - self.dipole.shape.droop(half) ** 2)

    def fitting(self):
        """This design, if it fits between the supports. Raises Slip, saying what would do."""
        if self.span_m is not None and self.width_m > self.span_m:
            raise Slip(
                f"the antenna is {self.width_m:.2f} m ({feet(self.width_m):.1f} ft) from end to end and the "
                f"supports are {self.span_m:g} m ({feet(self.span_m):.1f} ft) apart; use "
                "an inverted vee, traps with a larger coil, a higher pair of bands, or let the ends hang down"
            )
        return self

    def hung(self, shape, span_m=None, trap=None, begin_m=None):
        """The same with the wire hung otherwise: solved again, from these lengths.

        shape: FlatTop or InvertedVee. span_m: distance between the supports, metres, if the wire has to fit.
        trap: a CoaxTrap or CoilTrap to wind instead. begin_m: lengths of the wire to begin with, if better
        ones are known.
        Returns a Design with lengths good to 1 mm, several times quicker than design() for a small change.
        Raises Slip as design() does.
        """
        old, wound = self.dipole, trap or self.wound
        traps = old.traps if trap is None else (trap.trap,)
        fixed = {"traps": traps, "shape": shape, "soil": old.soil, "wire": old.wire}
        begin = self.known if begin_m is None else (begin_m, self.known[1])
        try:
            dipole, known, aims = _solved(self.aims, fixed, self.z0_ohm, begin)
        except Slip:  # too far away
            dipole, known, aims = _solved(self.aims, fixed, self.z0_ohm)
        made = replace(self, dipole=dipole, known=known, aims=aims, wound=wound, span_m=span_m)
        return made.fitting()

    def settled(self):
        """The same with lengths as close as design()'s own, for one that was hung(). Returns a Design."""
        old = self.dipole
        fixed = {"traps": old.traps, "shape": old.shape, "soil": old.soil, "wire": old.wire}
        start = np.array(old.sections), self.known[1]
        try:
            dipole, known, aims = _solved(self.aims, fixed, self.z0_ohm, start, close_m=_CLOSE_M)
        except Slip:  # too far away
            dipole, known, aims = _solved(self.aims, fixed, self.z0_ohm)
        return replace(self, dipole=dipole, known=known, aims=aims)

    def sweep(self, aim, count=161, reach=0.06):
        """Frequencies around an aim, and the impedance there.

        aim: one of self.aims. count: how many. reach: how far to either side, as a share of the aim, or as
        far as the band goes. Returns (f_mhz, impedance), MHz and complex ohms, both shape (count,). Raises
        Slip as Dipole.impedance.
        """
        low = min(aim.f_mhz * (1 - reach), aim.band.low_mhz)
        high = max(aim.f_mhz * (1 + reach), aim.band.high_mhz)
        f = np.linspace(low, high, count)
        return f, self.dipole.impedance(f)

    @cached_property
    def sweeps(self):
        """The sweep around each aim, once: a dict Aim -> (frequencies, impedances)."""
        return {aim: self.sweep(aim) for aim in self.aims}

    def lowest_mhz(self, aim):
        """Where the SWR is lowest around an aim: what a meter shows. aim: one of self.aims. Returns MHz.

        It lies beside the resonance where that is no good match. Through three points of |reflection|².
        """
        f, z = self.sweeps[aim]
        size = np.abs(reflection_coefficient(z, self.z0_ohm)) ** 2
        best = int(np.clip(np.argmin(size), 1, f.size - 2))
        off, _ = vertex(size[best - 1 : best + 2])
        return float(f[best] + np.clip(off, -1, 1) * (f[1] - f[0]))

    def span(self, aim, limit=2.0, *, curve=None):
        """Where the SWR is at or under a limit. aim: one of self.aims. limit: above 1. Returns a Span.

        curve: (f_mhz, impedance) around it, as sweep() has them; solved when left out.
        """
        f, z = curve or self.sweeps.get(aim) or self.sweep(aim)
        return span_under(f, swr(z, self.z0_ohm), limit)

    @cached_property
    def heights(self):
        """The height report: a HeightRow for each band at this height and at a few lower and higher ones."""
        lowest = self.dipole.shape.ends_m
        return tuple(
            self.height_row(aim, change)
            for change in (0.6, 0.8, 1.0, 1.25, 1.6)
            for aim in self.aims
            if lowest * change >= min(1, lowest)
        )

    def height_row(self, aim, change=1.0):
        """What one band does with the ends of the same wire `change` times as high, a vee lifted as a whole.

        aim: one of self.aims. change: a ratio. Returns a HeightRow. Raises Slip as Dipole does.
        """
        moved = replace(self.dipole, shape=_raised(self.dipole.shape, change))
        solution = moved.solution(aim.f_mhz)
        pattern, z = Pattern(solution), solution.impedance
        return HeightRow(
            moved.shape.top_m,
            aim.f_mhz,
            pattern.takeoff_deg,
            *pattern.beamwidth_deg(),
            len(pattern.lobes()),
            tuple(float(g) for g in pattern.gain_dbi(self.report_angles_deg)),
            float(z.real),
            float(swr(z, self.z0_ohm)),
        )

    @cached_property
    def tolerance(self):
        """How far each band's resonance goes, in kHz, when one thing is a little off.

        Returns a dict: key of plan.SLACK -> (kHz on the lower band, kHz on the upper band). A trap 1 %
        high has coil and capacitor 1 % small, as with its cable cut short. Source: change of reactance over
        its slope.
        """
        dipole, trap = self.dipole, self.dipole.trap
        smaller = replace(
            trap, inductance_uh=trap.inductance_uh / 1.01, capacitance_pf=trap.capacitance_pf / 1.01
        )
        slack = {
            "inner": replace(dipole, inner_m=dipole.inner_m + 0.01),
            "outer": replace(dipole, outer_m=dipole.outer_m + 0.01),
            "trap": replace(dipole, trap=smaller),
            "height": replace(dipole, shape=_raised(dipole.shape, 1.1)),
        }
        slope = [_reactance_slope(dipole, aim.f_mhz) for aim in self.aims]
        return {
            what: tuple(
                -1e3 * (moved.impedance(aim.f_mhz).imag - dipole.impedance(aim.f_mhz).imag) / s
                for aim, s in zip(self.aims, slope, strict=True)
            )
            for what, moved in slack.items()
        }

    @cached_property
    def plan(self):
        """The Plan: all that the builder needs, to print, to save as a build sheet, or as a dict for JSON."""
        return plan_of(self)

    def efficiency(self, aim):
        """Share of the power fed that the wire and the traps do not turn into heat.

        aim: one of self.aims. Returns a number, no unit, 0 to 1. Source: Dipole.losses.
        """
        return float(1 - sum(self.dipole.losses(aim.f_mhz)))

    @cached_property
    def _at_aims(self):
        return {aim: self.dipole.solution(aim.f_mhz) for aim in self.aims}

    def solved(self, aim):
        """The currents at an aim, once for all who read them. aim: one of self.aims. Returns a Solution."""
        return self._at_aims[aim]

    def over_bands(self, count=SHOWN):
        """Impedance over both bands, and the currents at the aims with it, in one go: for who is in a hurry.

        count: frequencies of each band. Returns for each aim (f_mhz, impedance), MHz and complex ohms, shapes
        (count,). What is read of solved() afterwards is interpolated as in a sweep, see Dipole.impedance.
        """
        f = [aim.band.frequencies(count) for aim in self.aims]
        solution = self.dipole.solution(np.concatenate([*f, [aim.f_mhz for aim in self.aims]]))
        at_aims = {aim: solution.one(i - len(f)) for i, aim in enumerate(self.aims)}
        vars(self).setdefault("_at_aims", at_aims)
        return list(zip(f, np.split(solution.impedance[: -len(f)], len(f)), strict=True))

    def shares(self, aim):
        """Where the power fed goes: sky, soil, wire and traps.

        aim: one of self.aims. Returns a dict by these names, no unit. Source: Dipole.power_shares.
        """
        return {where: float(share) for where, share in shares_of(self.solved(aim))._asdict().items()}

    def exposure(self, aim, *, deep_m=0.0):
        """How far people must stay while power_w is sent without a pause.

        aim: one of self.aims. deep_m: how far some part of the wire hangs below its shape, metres. Returns a
        dict of what BandPlan says of it. Source: safety.keep_away.
        """
        return exposure_of(self, aim, deep_m=deep_m)

    def stress(self, aim, duty=1.0):
        """What each trap has to stand at power_w.

        aim: one of self.aims. duty: average power over full power, 0 to 1, for the heat. Returns a
        TrapStress. Raises Slip for another duty. Source: trap_stress, of the engine's current.
        """
        solution = self.solved(aim)
        amps = np.sqrt(self.power_w / solution.impedance.real) * abs(solution.trap_currents[0])
        return trap_stress(self.dipole.trap, f_mhz=aim.f_mhz, current_a=amps, duty=duty)


def design(
    low="40m",
    high="20m",
    *,
    shape,
    soil="average",
    trap=None,
    low_mhz=None,
    high_mhz=None,
    aim="widest",
    mode=None,
    licence="general",
    region=2,
    wire="copper",
    wire_diameter_mm=...,
    span_m=None,
    power_w=100.0,
    z0_ohm=50.0,
    sends="carrier",
):
    """Solve a two-band trap dipole for its yard: resonant on both bands, over that ground, at that height.

    low, high: names of two bands, the lower one first. shape: FlatTop or InvertedVee. soil: a Soil or its
    name. trap: a Trap, CoaxTrap or CoilTrap; when left out, one wound from RG-58 for the upper band's aim
    (with "widest", the middle of what is wanted there). aim: what it is made for. "widest": the lengths
    that keep the worst SWR over the wanted part of each band as low as can be. "segment": resonant in the
    middle of the segment of one mode. mode ("phone", "code"), licence and ITU region say what is wanted
    (bands.wanted); mode left out: the whole band, of 10 m 28 to 29 MHz; for "segment", phone where there is
    phone, else code. low_mhz, high_mhz: for the band that has one, resonant there, whatever aim says.
    wire, wire_diameter_mm: as Dipole takes them. span_m: distance between the supports; the wire has to fit.
    power_w, z0_ohm: for volts on the traps and SWR. sends: what is sent, a key of safety.MODES, for how far
    people must stay; "carrier" is the safest to count with.
    Returns a Design with lengths good to 1 mm. Raises Slip when a band or frequency is none, and,
    saying why and what would do, when there is no such wire or it does not fit.
    Valid as Dipole is. Source: Newton's method on the engine, from the rule of 468 / f feet; the worst SWR
    is lowest where both edges of what is wanted have the same.

    >>> plan = al.design("40m", "20m", shape=al.FlatTop(height_m=9), low_mhz=7.1, high_mhz=14.2)
    >>> round(plan.dipole.inner_m, 1), round(plan.dipole.outer_m, 1)
    (5.1, 3.4)
    """
    user = {"aim": aim, "mode": mode, "licence": licence, "region": region}
    low, high = aim_on(low, low_mhz, **user), aim_on(high, high_mhz, **user)
    if low.f_mhz > 0.96 * high.f_mhz:
        raise Slip(
            f"low is the lower band and high the higher one; got {low.f_mhz:g} and {high.f_mhz:g} MHz. Swap "
            "them, or use a plain dipole if they are the same band"
        )
    power_w = check_one("power_w", power_w, unit="watts")
    average_power_w(power_w=power_w, mode=sends)  # says so if there is no such mode
    z0_ohm = check_one("z0_ohm", z0_ohm, unit="ohms")
    if span_m is not None:
        span_m = check_one("span_m", span_m, unit="metres")
    wound = trap if hasattr(trap, "trap") else None
    if trap is None:
        wound = _usual_trap(high.f_mhz)
    circuit_ = wound.trap if wound is not None else trap
    if not isinstance(circuit_, Trap):
        raise Slip(f"trap is a Trap, a CoaxTrap or a CoilTrap; got {trap!r}")
    if not 0.85 * high.f_mhz <= circuit_.resonance_mhz <= 1.1 * high.f_mhz:
        raise Slip(
            f"the trap is tuned to {circuit_.resonance_mhz:.2f} MHz, which does not part the wire at "
            f"{high.f_mhz:g} MHz; tune it to the upper band or a little below it"
        )
    wire = named_wire(wire, wire_diameter_mm=wire_diameter_mm)
    fixed = {"traps": (circuit_,), "shape": shape, "soil": soil, "wire": wire}
    dipole, known, aims = _solved((low, high), fixed, z0_ohm)
    return Design(
        dipole=dipole, aims=aims, wound=wound, span_m=span_m, power_w=power_w, z0_ohm=z0_ohm, known=known,
        sends=sends,
    ).fitting()  # fmt: skip


def aim_on(name, f_mhz=None, *, aim="widest", mode=None, licence="general", region=2):
    """The Aim on a band: at f_mhz, or for the part of it that is wanted, and then at the middle of that part.

    name: of the band. f_mhz: MHz, or None. aim, mode, licence, region: as for design(), which finds the
    frequency of "widest" by the antenna. Returns an Aim. Raises Slip for an unknown band, a frequency outside
    it, and, without a frequency, where the licence allows no such mode.

    >>> from antlab.antenna.design import aim_on
    >>> aim_on("20m", aim="segment", mode="phone").f_mhz
    14.2875
    """
    if aim not in AIMS:
        raise Slip(
            f'aim is "widest" or "segment"; got {aim!r}. For a frequency of your own give low_mhz or high_mhz'
        )
    whole, user = band(name, region), {"licence": licence, "region": region}
    may = allowed(whole, **user)
    if mode is None and aim == "segment":
        mode = next((one for one in MODES if one in may), None)
    forbidden = not may or mode in MODES and mode not in may
    part = whole if forbidden and f_mhz is not None else wanted(whole, mode=mode, **user)
    if f_mhz is None:
        return Aim(whole, part.middle_mhz, part, tuple(may.items()), widest=aim == "widest")
    f = single("f_mhz", check_frequency(f_mhz))
    if not whole.low_mhz <= f <= whole.high_mhz:
        raise Slip(
            f"{f:g} MHz is outside the {whole.name} band, {whole.low_mhz:g} to {whole.high_mhz:g} MHz in "
            f"region {region}"
        )
    return Aim(whole, f, part, tuple(may.items()))


def _solved(aims, fixed, z0_ohm, start=None, close_m=_FOLLOWED_M):
    """The Dipole that keeps the aims, what is known of it, and the aims as they came out.

    start: what is known of a solution nearby, or None: lengths, a last small step on, and slope, see
    resonant; close_m: how close is enough from there. A curve with one dip has its lowest worst value where
    both edges have the same, so for the widest aim the SWR is made even there. As in resonant: Newton's
    method on the angle of the reflection, with Broyden's updates; far from resonance a step goes there first.
    Raises Slip as resonant does.
    """
    wide = np.array([aim.widest for aim in aims])
    f = np.array([aim.wanted.middle_mhz if aim.widest else aim.f_mhz for aim in aims])
    if not wide.any():
        dipole, slope = resonant(f, fixed, start, close_m)
        return dipole, (np.array(dipole.sections), slope), aims
    followed = start is not None
    close, steps = (close_m, _STEPS // 2) if followed else (_CLOSE_M, _STEPS)
    trusting = followed and close_m >= _FOLLOWED_M
    if trusting and np.max(start[0]) > _COARSE_WAVES * wavelength_m(f[-1]):
        trusting, close = False, _COARSE_M
    if not followed:
        dipole, slope = resonant(f, fixed)
        start = np.array(dipole.sections), slope
    lengths, slope = start
    begun, first = slope, 3 if followed else 0
    # each frequency twice: the change between them is a slope; of the edges none lies beyond the band
    nudge = _NUDGE * f[:, None] * np.array([(-0.5, 0.5), (0.0, 1.0), (-1.0, 0.0)])[:, None]
    edges = np.array([aim.edges_mhz for aim in aims]).T
    reach = np.diff(edges, axis=0)[0] / f / 2 + _FARTHEST  # of a resonance, to either side
    at = np.array([f, *edges])[..., None] + nudge
    step = before = None
    # who follows a hand is shown both bands: asked together, they are filled once; with coarse sections
    # (80 and 10 m) that moves the lengths by up to 4 mm, so those are asked for as design() does
    shown = np.concatenate([aim.band.frequencies(SHOWN) for aim in aims] if trusting else [[]])
    for tried in range(steps):
        dipole = Dipole(sections=lengths, **fixed)
        z = dipole.impedance(np.r_[at.ravel(), shown])[: at.size].reshape(at.shape)
        angle, (low, high) = np.angle((_LEG_OHM + z[0]) / (_LEG_OHM - z[0])), np.log(swr(z[1:], z0_ohm))
        off, turn = angle.mean(axis=1), np.diff(angle)[:, 0]
        uneven = (high - low).mean(axis=1) / np.diff(high - low)[:, 0]  # in nudges
        needed = turn * np.clip(uneven, -_FARTHEST / _NUDGE, _FARTHEST / _NUDGE)
        # far from resonance the edges do not tell to which side it lies
        even = wide & ((np.abs(_NUDGE * off / turn) < reach) | (tried >= first))
        sure = even & (np.abs(uneven) < _FARTHEST / _NUDGE)
        needed = np.where(even, needed, off)
        if step is not None:  # by what was brought to nothing before, where that is the same now
            slope = true_to(slope, step, *np.where(sure & before[2], (before[1], needed), (before[0], off)))
        step, before = -np.linalg.solve(slope, needed), (off, needed, sure)
        # an updated slope may be far off across the way that was gone: the first one is asked, too
        left = np.max(np.abs(step))
        if followed:
            left = max(left, np.max(np.abs(np.linalg.solve(begun, needed))) / 3)
        if left < (_TRUSTED_M if trusting else close) and np.max(z[0].real) < _HIGHEST_OHM:
            if left >= close:  # a step so short errs by less than a millimetre
                off = off + slope @ step
                dipole = Dipole(sections=lengths + step, **fixed)
            came_out = np.where(wide, f * (1 - _NUDGE * off / turn), f)
            aims = (replace(aim, f_mhz=float(one)) for aim, one in zip(aims, came_out, strict=True))
            return dipole, (lengths + step, slope), tuple(aims)
        step = _bounded(step, lengths)
        lengths = lengths + step
    raise _no_such_wire(f, fixed["traps"], too_short=False)


def _usual_trap(f_mhz):
    """The trap most clubs wind first: RG-58 on a 40 mm pipe. Common practice, no source."""
    return design_coax_trap(f_mhz=f_mhz, form_diameter_mm=40.0)


def resonant(f_mhz, fixed, start=None, close_m=_FOLLOWED_M):
    """The wire between feed, traps and end that is resonant on every band: Newton with Broyden's updates.

    f_mhz: MHz, rising, one a band. fixed: what else Dipole takes, the traps among it, one fewer than bands,
    that of the highest band first. start: lengths and slope of a solution nearby, as they come back;
    close_m: how close is enough from there.
    Returns the Dipole, and the slope of the angles against the lengths. Raises Slip where there is no such
    wire, saying why and what would do.
    What is brought to nothing is not the reactance, which runs away where the wire nears a whole wave, but
    the angle of the reflection on a line of _LEG_OHM: nearly straight against length, and 0 only at the
    resonance of low resistance.

    >>> from antlab.antenna.design import resonant
    >>> fixed = {"traps": (al.Trap(inductance_uh=2.5, capacitance_pf=50),), "shape": al.FlatTop(height_m=9)}
    >>> dipole, _ = resonant((7.1, 14.2), fixed)
    >>> bool(np.all(np.abs(dipole.impedance((7.1, 14.2)).imag) < 0.5))
    True
    """
    f, traps = np.array(f_mhz), fixed["traps"]

    def angle(lengths):
        dipole = Dipole(sections=lengths, **fixed)
        z = dipole.impedance(f)
        return dipole, z, np.angle((_LEG_OHM + z) / (_LEG_OHM - z))

    guess = first_lengths(f_mhz, traps)
    if start:
        here, slope = start[0], start[1].copy()
        close, steps = close_m, _STEPS // 4
        dipole, z, off = angle(here)
    else:
        close, steps = _CLOSE_M, _STEPS
        for share in (0.75, 1.0):  # from below, where the angle is straightest, if legs so short can hang
            here = np.r_[guess[0], (share * guess[1:]).clip(_SHORTEST_M)]
            try:
                dipole, z, off = angle(here)
                break
            except Slip:
                if share == 1.0:
                    raise
        slope = np.empty((len(f), len(f)))
        for i in range(len(f)):
            nudged = here.copy()
            nudged[i] *= 1.02
            slope[:, i] = (angle(nudged)[2] - off) / (nudged[i] - here[i])
    for _ in range(steps):
        step = -np.linalg.solve(slope, off)
        if np.max(np.abs(step)) < close:
            if here[0] < 1.2 * guess[0] and np.max(z.real) < _HIGHEST_OHM:
                return dipole, slope
            break
        step = _bounded(step, here)
        here = here + step
        if min(here[1:]) < _SHORTEST_M:
            break
        dipole, z, after = angle(here)
        slope, off = true_to(slope, step, off, after), after
    raise _no_such_wire(f_mhz, traps, too_short=min(here[1:]) < _SHORTEST_M)


def vertex(size):
    """Where the parabola through three equidistant points is lowest, and how low; the middle one if nowhere.

    size: shape (3,). Returns steps from the middle point, and the value.

    >>> from antlab.antenna.design import vertex
    >>> vertex((2.25, 0.25, 0.25))
    (0.5, 0.0)
    """
    bend = size[0] - 2 * size[1] + size[2]
    off = (size[0] - size[2]) / 2 / bend if bend > 0 else 0.0
    return off, size[1] - (size[0] - size[2]) * off / 4


def true_to(slope, step, before, after):
    """A slope that gives what the last step did, and across it what it gave: Broyden's update.

    slope: shape (n, n). step, and what was found before and after it: shape (n,). Returns the slope.

    >>> from antlab.antenna.design import true_to
    >>> true_to(np.eye(2), np.array([0.0, 2.0]), np.zeros(2), np.array([0.0, 6.0])).tolist()
    [[1.0, 0.0], [0.0, 3.0]]
    """
    return slope + np.outer(after - before - slope @ step, step) / (step @ step)


def _bounded(step, lengths):
    """A step, shortened as a whole so that no length changes by more than a quarter of it."""
    return step / max(1.0, 4 * np.max(np.abs(step) / lengths))


def first_lengths(f_mhz, traps):
    """Lengths to start from: the rule's for the highest band, and what each lower one then lacks.

    f_mhz: MHz, rising. traps: one fewer, that of the highest band first. Returns metres, shape of f_mhz.
    A leg is a line of _LEG_OHM, a quarter of a wave long; each trap on the way adds its coil's reactance.

    >>> from antlab.antenna.design import first_lengths
    >>> first_lengths((7.1, 14.2), (al.Trap(inductance_uh=2.5, capacitance_pf=50),)).round(1).tolist()
    [5.0, 4.7]
    """
    lengths = [float(rule_length_m(f_mhz[-1])) / 2]
    for f in f_mhz[-2::-1]:
        k, tangent = 2 * np.pi / float(wavelength_m(f)), 0.0
        for length, trap in zip(lengths, traps, strict=False):
            tangent = np.tan(k * length + np.arctan(tangent)) + trap.impedance(f).imag / _LEG_OHM
        lengths.append(np.arctan2(1, tangent) / k)
    return np.array(lengths)


def _no_such_wire(f_mhz, traps, too_short):
    """The Slip that says why no wire is resonant on all the bands, and what would do."""
    bands = " and ".join(f"{f:g}" for f in f_mhz)
    words = (
        f"no wire is resonant like a dipole on {'both' if len(f_mhz) == 2 else 'all of'} {bands} MHz with "
    )
    words += "this trap: " if len(traps) == 1 else "these traps: "
    coil = max(trap.impedance(f).imag for trap, f in zip(traps, f_mhz[-2::-1], strict=True))
    if too_short or coil > 2.5 * _LEG_OHM:
        return Slip(
            words + f"below its resonance the trap is a coil, on the lower band one of {coil:.0f} ohms, too "
            "much for any wire beyond it. Use a trap with a smaller coil and a larger capacitor, or bands "
            "farther apart"
        )
    stop = min(abs(trap.impedance(f)) for trap, f in zip(traps, f_mhz[:0:-1], strict=True))
    return Slip(
        words + f"on the upper band it puts only {stop:.0f} ohms in the way, and the "
        "wire beyond it takes part and upsets the feed. Tune the trap nearer to the upper band, give it a "
        "larger coil, or choose another pair of bands"
    )


def span_under(f_mhz, swr_, limit):
    """Stretch around the lowest SWR of a sweep in which it stays at or under a limit.

    f_mhz: rising, MHz, shape (n,). swr_: shape (n,). limit: a ratio above 1. Between points the SWR is taken
    as a straight line. Returns a Span, with NaN edges when the SWR never gets there; an edge that the sweep
    does not reach is the end of the sweep. Raises Slip for a limit that is no number.

    >>> from antlab.antenna.design import span_under
    >>> span_under([7.0, 7.1, 7.2], [3.0, 1.0, 3.0], 2.0)
    Span(low_mhz=7.05, high_mhz=7.15)
    """
    f, over = np.asarray(f_mhz, dtype=float), np.asarray(swr_, dtype=float) - check_one("limit", limit)
    best = int(np.argmin(over))
    if over[best] > 0:
        return Span(float("nan"), float("nan"))

    def edge(indices):
        inside = best
        for i in indices:
            if over[i] > 0:
                return float(f[inside] + (f[i] - f[inside]) * over[inside] / (over[inside] - over[i]))
            inside = i
        return float(f[inside])

    return Span(edge(range(best - 1, -1, -1)), edge(range(best + 1, len(f))))


def _raised(shape, change):
    """The same shape with its ends `change` times as high: a vee is lifted as a whole."""
    return shape.lifted(shape.ends_m * (change - 1))


def _reactance_slope(dipole, f_mhz):
    """How fast the reactance at the feed climbs, ohms per MHz."""
    f = f_mhz * np.array([0.999, 1.001])
    return np.diff(dipole.impedance(f).imag)[0] / np.diff(f)[0]
