"""A trap: a tuned circuit in the wire. As a circuit, and as a thing wound from coax or wire."""

import contextlib
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from antlab import facts
from antlab.physics import circuit
from antlab.physics.cable import KNOWN_MHZ, Cable
from antlab.physics.cable import cable as known_cable
from antlab.physics.cable import loss_db as cable_loss_db
from antlab.physics.coil import check_turns, solenoid_uh, wire_resistance_ohm_per_m
from antlab.units import C_M_S, Slip, broadcasts, check_frequency, check_one, check_positive

LOWEST_TRAP_MHZ, HIGHEST_TRAP_MHZ = 0.5, 100.0
# form over cable diameter: refused below the first, warned of below the second (common practice, no source)
TIGHTEST_FORM, GENTLE_FORM = 4.0, 10.0
OFFERED_FORM = (
    6.0  # the same, of what is offered to who asks for no form: tight, but often wound (our choice)
)
LEAD_UH_PER_MM = 0.8e-3  # of the joint, or of the capacitor's leads, back along the winding (common practice)
TUNED_WITHIN = 0.02  # what is left of a trap's resonance to measure and trim: form, cable, hand
Q_AS_BUILT = 0.7  # what form, jacket and solder leave of a coil's computed Q: our guess

PIPES_MM = tuple(row.outer_mm for row in facts.read("physics/pipes.csv", text="nominal", numbers="outer_mm"))

# what each number is when it was typed in another unit: (field, what it was multiplied by, unit)
_SLIPS = (
    ("inductance_uh", 1e-3, "nanohenries"), ("inductance_uh", 1e3, "millihenries"),
    ("inductance_uh", 1e6, "henries"), ("capacitance_pf", 1e3, "nanofarads"),
    ("capacitance_pf", 1e6, "microfarads"), ("capacitance_pf", 1e12, "farads"),
)  # fmt: skip
_USUAL = {"inductance_uh": (0.2, 200.0), "capacitance_pf": (4.0, 2000.0)}


@dataclass(frozen=True, kw_only=True)
class Trap:
    """A coil with a capacitor across it, in series with each leg of the antenna.

    inductance_uh: microhenries. capacitance_pf: picofarads. q: quality factor of the pair, taken as the same
    at every frequency; 200 suits a roomy coil, 50 to 150 a trap wound from coax (common practice, no source).
    Raises Slip for values that are not positive numbers or that resonate outside 0.5 to 100 MHz.
    Valid while the trap is small against the wavelength. Source: circuit.parallel_impedance.

    >>> trap = al.Trap(inductance_uh=2.5, capacitance_pf=50, q=200)
    >>> round(trap.resonance_mhz, 2), round(abs(complex(trap.impedance(7.1))))
    (14.24, 148)
    """

    inductance_uh: float
    capacitance_pf: float
    q: float = 200.0

    def __post_init__(self):
        for name, unit in (("inductance_uh", "microhenries"), ("capacitance_pf", "picofarads"), ("q", "")):
            object.__setattr__(self, name, check_one(name, getattr(self, name), unit=unit))
        if not LOWEST_TRAP_MHZ <= self.resonance_mhz <= HIGHEST_TRAP_MHZ:
            raise Slip(
                f"inductance_uh={self.inductance_uh:g} with capacitance_pf={self.capacitance_pf:g} resonates "
                f"at {self.resonance_mhz:.4g} MHz, where no HF trap works" + self._guess()
            )

    def _guess(self):
        """Say which number was probably typed in another unit."""
        for name, factor, unit in _SLIPS:
            value, (low, high) = getattr(self, name), _USUAL[name]
            tuned = self.resonance_mhz / np.sqrt(factor)
            if not low <= value <= high and low <= value * factor <= high and 1 <= tuned <= 60:
                return f"; {value:g} looks like {unit}, and {name} wants {value * factor:g}"
        return "; look at the units, microhenries and picofarads"

    @property
    def resonance_mhz(self):
        """Frequency at which coil and capacitor cancel, MHz. Source: circuit.resonance_mhz."""
        return float(
            circuit.resonance_mhz(inductance_uh=self.inductance_uh, capacitance_pf=self.capacitance_pf)
        )

    def impedance(self, f_mhz):
        """Impedance between the trap's two ends.

        f_mhz: MHz, any shape. Returns complex ohms, same shape. Raises Slip for bad frequencies.
        Source: circuit.parallel_impedance.
        """
        return circuit.parallel_impedance(
            f_mhz=f_mhz, inductance_uh=self.inductance_uh, capacitance_pf=self.capacitance_pf, q=self.q
        )


@dataclass(frozen=True)
class TrapStress:
    """What a trap has to stand: peak volts across it and watts of heat in it.

    >>> al.trap.TrapStress(volts_peak=700.0, watts=1.5).watts
    1.5
    """

    volts_peak: float
    watts: float


@broadcasts
def trap_stress(trap, *, f_mhz, current_a=None, volts_rms=None, duty=1.0):
    """Peak voltage across a trap and heat in it, from the current through it or the voltage across it.

    trap: a Trap, or a wound one. f_mhz: MHz. current_a: amperes rms through the trap at full power, or
    volts_rms: volts rms across it; one of the two. duty: average power over full power, 0 to 1, for the heat.
    Any shapes that broadcast. Returns a TrapStress. Raises Slip for values that make no sense.
    A modulated signal at its peak is full power. Source: Ohm's law, V = I·|Z|, P = I²·Re Z.

    >>> trap = al.Trap(inductance_uh=2.5, capacitance_pf=50)
    >>> stress = al.trap.trap_stress(trap, f_mhz=7.1, current_a=1.0)
    >>> round(float(stress.volts_peak)), round(float(stress.watts), 1)
    (210, 1.0)
    """
    if (current_a is None) == (volts_rms is None):
        raise Slip("give current_a through the trap or volts_rms across it, one of the two")
    if np.any(check_positive("duty", duty, zero_ok=True) > 1):
        raise Slip("duty is average power over full power, 0 to 1")
    z = getattr(trap, "trap", trap).impedance(f_mhz)
    if current_a is None:
        current_a = check_positive("volts_rms", volts_rms, zero_ok=True, unit="volts") / np.abs(z)
    current = check_positive("current_a", current_a, zero_ok=True, unit="amperes")
    return TrapStress(volts_peak=np.sqrt(2) * current * np.abs(z), watts=current**2 * z.real * duty)


class _Wound:
    """What the two kinds of wound trap have in common: length, whole turns, and what a slip costs."""

    @property
    def resonance_mhz(self):
        """Frequency at which the trap as wound is resonant, MHz."""
        inductance, capacitance = self._parts()
        return float(circuit.resonance_mhz(inductance_uh=inductance, capacitance_pf=capacitance))

    @property
    def winding_length_mm(self):
        """Length of the winding along the form, millimetres: turns times pitch."""
        return self.turns * self.pitch_mm

    @property
    def winding_diameter_mm(self):
        """Diameter of the winding from middle to middle of its wire, millimetres."""
        return self.form_diameter_mm + self.thickness_mm

    @property
    def wound_length_m(self):
        """Length of cable or wire on the form, pigtails not counted, metres."""
        return self.turns * np.hypot(np.pi * self.winding_diameter_mm, self.pitch_mm) / 1e3

    def rounded(self, step=1.0):
        """The same trap with its turns rounded to whole ones, or to halves or quarters by step."""
        check_one("step", step)
        return replace(self, turns=max(round(self.turns / step), 1) * step)

    @property
    def whole_turns(self):
        """Number of whole turns that comes nearest."""
        return round(self.turns)

    @property
    def whole_turns_mhz(self):
        """Resonance when it is wound with whole turns, MHz."""
        return self.rounded().resonance_mhz

    def _coil_uh(self, *, wire_mm, current):
        """The coil at radio frequency, and the lead that closes its circuit, as long as the winding."""
        size = {"diameter_mm": self.winding_diameter_mm, "length_mm": self.winding_length_mm}
        coil = solenoid_uh(**size, turns=self.turns, wire_mm=wire_mm, current=current)
        return coil + LEAD_UH_PER_MM * self.winding_length_mm

    def _own_pf(self):
        """Capacitance of the coil itself, from turn to turn and around it.

        Source: R. G. Medhurst, "H.F. resistance and self-capacitance of single-layer solenoids", Wireless
        Engineer 24 (1947) 80 (value from memory), for coils 0.1 to 50 diameters long; it counts for little.
        """
        wide, long = self.winding_diameter_mm / 10, self.winding_length_mm / 10
        return 0.1126 * long + 0.08 * wide + 0.27 * wide * np.sqrt(wide / long)

    def sensitivity_khz(self):
        """How far the resonance goes, in kHz, for a slip in each thing that is easily got wrong.

        Returns a dict: "1 mm of form", "1 turn", and "1 % of cable" or "1 % of capacitor", each
        that much more.
        """
        slips = {
            "1 mm of form": {"form_diameter_mm": self.form_diameter_mm + 1},
            "1 turn": {"turns": self.turns + 1},
        } | self._one_percent()
        here = self.resonance_mhz
        return {name: 1e3 * (replace(self, **slip).resonance_mhz - here) for name, slip in slips.items()}


@dataclass(frozen=True, kw_only=True)
class CoaxTrap(_Wound):
    """A trap of coaxial cable, close-wound on a round form: the cable is coil and capacitor at once.

    cable: a Cable or its name. form_diameter_mm: outside of the form. turns: whole or not. hookup: "series",
    the centre of one end joined to the braid of the other, and the antenna to the two ends left over; or
    "braid", the same joint, the antenna to both ends of the braid: a quarter of the impedance at the same
    frequency. pigtail_mm: free cable at each end.
    Raises Slip for an unknown cable, hook-up, or a form of less than four cable diameters.
    Counted are the joint, a wire led straight back along the winding, and the coil's own capacitance. What
    form, cable and hand do to the resonance is left: take it for good to 2 %, TUNED_WITHIN, and measure.
    Two measured traps agree to 0.7 % and 0.1 %: tests/physics/test_trap.py.
    Off its resonance the circuit is simpler than the cable, and its reactance is too high. Of three turns of
    RG-58 or more, in series: 1 to 2 % at half the frequency, up to 4 % near it. Across the braid: 4 to 9 % at
    half the frequency, up to 16 % near it, up to a half at twice. 75 ohms, or few turns of thick cable: half
    as much again (computed by the line equations).

    >>> wound = al.CoaxTrap(cable="RG-58", form_diameter_mm=40, turns=5)
    >>> round(float(wound.cable_length_m), 2), round(wound.resonance_mhz, 1)
    (0.81, 17.8)
    """

    cable: Cable | str
    form_diameter_mm: float
    turns: float
    hookup: str = "series"
    pigtail_mm: float = 50.0

    def __post_init__(self):
        object.__setattr__(self, "cable", known_cable(self.cable))
        check_turns(check_one("turns", self.turns))
        check_one("pigtail_mm", self.pigtail_mm, zero_ok=True, unit="millimetres")
        form = check_one("form_diameter_mm", self.form_diameter_mm, unit="millimetres")
        if self.hookup not in ("series", "braid"):
            raise Slip(f'hookup is "series" or "braid"; got {self.hookup!r}')
        if form < TIGHTEST_FORM * self.cable.outer_mm:
            raise Slip(
                f"a form of {form:g} mm bends {self.cable.called} too tightly: take one of "
                f"{TIGHTEST_FORM * self.cable.outer_mm:.0f} mm or more, or a thinner cable"
            )

    @property
    def thickness_mm(self):
        """Over the jacket, millimetres."""
        return self.cable.outer_mm

    @property
    def pitch_mm(self):
        """Turn to turn, millimetres: close-wound."""
        return self.cable.outer_mm

    @property
    def cable_length_m(self):
        """Cable to cut, both pigtails included, metres."""
        return self.wound_length_m + 2 * self.pigtail_mm / 1e3

    @property
    def bend(self):
        """How tightly the cable is bent: the form over the cable's own diameter."""
        return self.form_diameter_mm / self.cable.outer_mm

    @property
    def notes(self):
        """What the builder should know about this choice, as sentences."""
        said = ()
        if self.bend < GENTLE_FORM:
            said += (
                f"Tight bend: the form is {self.bend:.1f} diameters of the cable, safe from "
                f"{GENTLE_FORM:g} on ({GENTLE_FORM * self.cable.outer_mm:.0f} mm): wind it once, gently and "
                "warm (common practice).",
            )
        if self.cable.is_foam:
            said += (
                f"{self.cable.called} is insulated with {self.cable.insulation}: bent or warm, its centre "
                "creeps towards the braid; solid insulation is safer (common practice).",
            )
        return said

    @property
    def trap(self):
        """The trap as a circuit: L, C and an estimate of Q.

        Source: both conductors carry the coil's current in turn, hence (2N)² and 4·L; the voltage between
        them is half the trap's everywhere, hence C/4; the field inside the braid, whose current grows from
        nothing to all along the cable, adds a third of its inductance. The exact condition is
        ω·L·tan(β·length) = Z0, to which this is the first step (derived from the line equations, and tested
        against them). The current runs on the skin of the braid, but even all around: the strands change
        sides, so it does not crowd as in solid wire. That is our reading of the two measured traps, which
        would be 3 % off. Q is an estimate, good to a factor of 1.5: skin effect and crowding in the braid,
        the cable's own loss, and Q_AS_BUILT.
        """
        line, length = self.cable, self.wound_length_m
        inductance, capacitance = self._parts()
        f = self.resonance_mhz
        # all of the cable's loss, put into its conductors: R = 2·α·Z0 per metre
        known = max(f, KNOWN_MHZ[0])  # below, the cable loses less than this, and Q is better than told
        inside = (
            2 * line.z0_ohm * cable_loss_db(cable=line, length_m=length, f_mhz=known) * np.log(10) / 20 / 3
        )
        # and a braid of tinned strands taken as twice the smooth tube
        outside = 2 * _turns_resistance_ohm(self, wire_mm=line.braid_mm, f_mhz=f)
        q = Q_AS_BUILT * circuit.coil_reactance_ohm(f_mhz=f, inductance_uh=inductance) / (inside + outside)
        level = 4.0 if self.hookup == "series" else 1.0
        return Trap(inductance_uh=level * inductance, capacitance_pf=capacitance / level, q=q)

    @property
    def volts_share(self):
        """The most of the trap's voltage that lies between centre and braid: at the cable's near end.

        Source: both conductors lie in one field, so that between them a wave stands as on a line open at its
        near end: 1 / (1 + cos βl) in series, a little over a half, and 1 / cos βl across the braid, a little
        over all; βl is the cable's length in radians on the trap's own frequency, and lower bands have less
        (derived from the line equations; tested against a ladder: tests/classroom/test_wound_trap.py).
        Across the braid the centre's open end is as far below the joint as the outward wire is above it:
        between these two lies the trap's own voltage more.

        >>> round(float(al.design_coax_trap(f_mhz=14.2, form_diameter_mm=40).volts_share), 2)
        0.52
        """
        speed = C_M_S * self.cable.velocity_factor
        turned = np.cos(2e6 * np.pi * self.resonance_mhz * self.wound_length_m / speed)
        return float(1 / (1 + turned) if self.hookup == "series" else 1 / turned)

    def _parts(self):
        """Inductance and capacitance of the plain coil and cable: the circuit of the braid hook-up."""
        coil, length = self._coil_uh(wire_mm=self.cable.braid_mm, current="skin"), self.wound_length_m
        between = self.cable.capacitance_pf_per_m * length
        return coil + self.cable.inductance_uh_per_m * length / 3, between + self._own_pf()

    def _one_percent(self):
        slower = replace(self.cable, velocity_factor=self.cable.velocity_factor / 1.01)
        return {"1 % of cable": {"cable": slower}}


@dataclass(frozen=True, kw_only=True)
class CoilTrap(_Wound):
    """A trap of a wire coil with a capacitor across it.

    capacitance_pf: picofarads. form_diameter_mm: outside of the form. wire_mm: bare wire. pitch_mm: turn to
    turn. turns: whole or not. capacitor_q: quality factor of the capacitor; 1000 suits mica or high-voltage
    ceramic (common practice, no source). pigtail_mm: free wire at each end.
    Raises Slip for values that make no sense.
    Counted are the capacitor's leads, together as long as the winding, and the coil's own capacitance; take
    the resonance for good to 2 % and the capacitor's tolerance, and measure. A measured coil agrees to 1 %.

    >>> wound = al.CoilTrap(capacitance_pf=50, form_diameter_mm=40, wire_mm=2, pitch_mm=3, turns=9)
    >>> round(float(wound.wire_length_m), 2), round(wound.resonance_mhz, 1)
    (1.29, 13.1)
    """

    capacitance_pf: float
    form_diameter_mm: float
    wire_mm: float
    pitch_mm: float
    turns: float
    capacitor_q: float = 1000.0
    pigtail_mm: float = 50.0

    def __post_init__(self):
        for name in ("form_diameter_mm", "wire_mm", "pitch_mm", "turns", "capacitor_q"):
            check_one(name, getattr(self, name))
        check_turns(self.turns)
        check_one("pigtail_mm", self.pigtail_mm, zero_ok=True, unit="millimetres")
        if self.pitch_mm < self.wire_mm:
            raise Slip("pitch_mm is from the middle of one turn to the next: wire_mm or more")
        if self.form_diameter_mm < 4 * self.wire_mm:
            raise Slip("form_diameter_mm is under four times wire_mm: thicker form or thinner wire")

    @property
    def thickness_mm(self):
        """The wire, millimetres."""
        return self.wire_mm

    @property
    def wire_length_m(self):
        """Wire to cut, both pigtails included, metres."""
        return self.wound_length_m + 2 * self.pigtail_mm / 1e3

    @property
    def trap(self):
        """The trap as a circuit: L, C and an estimate of Q. Source: solenoid_uh; for Q see CoaxTrap."""
        inductance, capacitance = self._parts()
        f = self.resonance_mhz
        resistance = _turns_resistance_ohm(self, wire_mm=self.wire_mm, f_mhz=f)
        coil_q = Q_AS_BUILT * circuit.coil_reactance_ohm(f_mhz=f, inductance_uh=inductance) / resistance
        q = 1 / (1 / coil_q + self.capacitance_pf / capacitance / self.capacitor_q)
        return Trap(inductance_uh=inductance, capacitance_pf=capacitance, q=q)

    def _parts(self):
        coil = self._coil_uh(wire_mm=self.wire_mm, current="crowded")
        return coil, self.capacitance_pf + self._own_pf()

    def _one_percent(self):
        return {"1 % of capacitor": {"capacitance_pf": 1.01 * self.capacitance_pf}}


def _turns_resistance_ohm(wound, *, wire_mm, f_mhz):
    """Skin effect, and the crowding of current between neighbouring turns: an estimate.

    Crowding: 1 + 2.9·(wire/pitch)², our rule through the tables of R. G. Medhurst, "H.F. resistance and
    self-capacitance of single-layer solenoids", Wireless Engineer 24 (1947) 35 (value from memory): within a
    quarter of them for coils a half to four times as long as wide and wire/pitch up to 0.9.
    """
    straight = wire_resistance_ohm_per_m(f_mhz=f_mhz, wire_diameter_mm=wire_mm) * wound.wound_length_m
    return straight * (1 + 2.9 * (wire_mm / wound.pitch_mm) ** 2)


def design_coax_trap(*, f_mhz, cable="RG-58", form_diameter_mm, hookup="series", pigtail_mm=50.0):
    """Wind a trap from coax for a frequency: how many turns, how much cable, and what circuit it makes.

    f_mhz: resonance wanted, MHz. cable: a name or a Cable. form_diameter_mm: outside of the form.
    hookup: "series" or "braid", see CoaxTrap. pigtail_mm: free cable at each end.
    Returns a CoaxTrap with .turns as fractional as need be (.rounded() for whole ones), .cable_length_m,
    .winding_length_mm, .trap, .whole_turns_mhz, .sensitivity_khz(). Wind it, measure it, and trim it: the
    form, the hand and the cable's own spread move it by one or two percent.
    Raises Slip as CoaxTrap does, and when the form is too thick or too thin for that frequency.
    Source: R. H. Johns, "Coaxial cable antenna traps", QST, May 1981 (from memory); circuit: CoaxTrap.trap.

    >>> wound = al.design_coax_trap(f_mhz=14.2, form_diameter_mm=40)
    >>> round(wound.turns, 1), round(float(wound.cable_length_m), 2)
    (6.0, 0.95)
    """
    wound = CoaxTrap(
        cable=cable, form_diameter_mm=form_diameter_mm, turns=2, hookup=hookup, pigtail_mm=pigtail_mm
    )
    return _tuned(wound, f_mhz)


@lru_cache(maxsize=64)
def on_a_pipe(f_mhz, cable):
    """The trap on that of three pipes, the thinnest that it may be bent around, on which it has whole turns.

    f_mhz: resonance wanted, MHz. cable: a name or a Cable. Returns a CoaxTrap, its turns whole or nearly.
    Raises Slip when not even the thinnest pipe will do. Source: design_coax_trap, on PIPES_MM.

    >>> round(al.trap.on_a_pipe(14.175, "RG-58").turns, 1)
    5.1
    """
    pipes = [mm for mm in PIPES_MM if mm >= OFFERED_FORM * known_cable(cable).outer_mm][:3]
    wound = [design_coax_trap(f_mhz=f_mhz, cable=cable, form_diameter_mm=pipes[0])]
    for pipe in pipes[1:]:
        with contextlib.suppress(Slip):  # too few turns
            wound.append(design_coax_trap(f_mhz=f_mhz, cable=cable, form_diameter_mm=pipe))
    return min(wound, key=lambda one: abs(one.turns - one.whole_turns))


def design_coil_trap(
    *, f_mhz, capacitance_pf, form_diameter_mm, wire_mm=2.0, pitch_mm=None, capacitor_q=1000.0, pigtail_mm=50
):
    """Wind the coil that a capacitor needs for a trap at a frequency.

    f_mhz: resonance wanted, MHz. capacitance_pf: picofarads. form_diameter_mm: outside of the form.
    wire_mm: bare wire. pitch_mm: turn to turn, 1.5 times the wire when left out (common practice, no source).
    capacitor_q, pigtail_mm: see CoilTrap. Returns a CoilTrap.
    Raises Slip as CoilTrap does, and when no sensible number of turns reaches that frequency.
    Source: solenoid_uh and resonance_mhz, solved for the turns.

    >>> wound = al.design_coil_trap(f_mhz=14.2, capacitance_pf=50, form_diameter_mm=40)
    >>> round(wound.turns, 1), round(float(wound.wire_length_m), 2)
    (8.1, 1.16)
    """
    check_positive("capacitance_pf", capacitance_pf, unit="picofarads")
    wire = float(check_positive("wire_mm", wire_mm, unit="millimetres"))
    wound = CoilTrap(
        capacitance_pf=capacitance_pf, form_diameter_mm=form_diameter_mm, wire_mm=wire, turns=2,
        pitch_mm=1.5 * wire if pitch_mm is None else pitch_mm, capacitor_q=capacitor_q, pigtail_mm=pigtail_mm,
    )  # fmt: skip
    return _tuned(wound, f_mhz)


def _tuned(wound, f_mhz):
    """The turns that tune it, by halving: more turns, lower frequency. Between 1.5 and 150 turns."""
    wanted = check_frequency(f_mhz)
    if wanted.ndim or not LOWEST_TRAP_MHZ <= wanted <= HIGHEST_TRAP_MHZ:
        raise Slip(
            f"f_mhz of a trap is one number from {LOWEST_TRAP_MHZ:g} to {HIGHEST_TRAP_MHZ:g}; got {f_mhz!r}"
        )

    def lower(turns):
        return replace(wound, turns=turns).resonance_mhz < wanted

    low, high = 1.5, 150.0
    if lower(low):
        raise Slip(f"{wanted:g} MHz takes less than 1.5 turns here: take a thinner form")
    if not lower(high):
        raise Slip(f"{wanted:g} MHz takes more than 150 turns here: take a thicker form")
    while high - low > 1e-9 * high:
        middle = (low + high) / 2
        low, high = (low, middle) if lower(middle) else (middle, high)
    return replace(wound, turns=high)
