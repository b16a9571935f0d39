"""What can hurt: radio-frequency exposure, the volts of a trap, and the cautions that go with every plan.

The limits are those of the USA, 47 CFR 1.1307 and 1.1310, as known in May 2021. Rules change and differ from
country to country: check your own country's current rules. None of this replaces an evaluation where the law
asks for one.
"""

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from antlab import facts
from antlab.antenna.surroundings import Surroundings, surroundings
from antlab.physics.trap import CoaxTrap
from antlab.units import (
    Slip,
    broadcasts,
    check_frequency,
    check_number,
    check_one,
    check_positive,
    power_ratio,
    quoted,
    single,
    wavelength_m,
)

LOOK_UP = "Look up once more: nothing that falls or swings may touch a power line."
LAST_WORD = "last word"  # the caution that stands over all the others
RULES = "Limits: USA, 47 CFR 1.1310 as known in May 2021. Check your own country's current rules."
RULES_OF = {
    "FCC": RULES,
    "ICNIRP 2020": "Limits: ICNIRP's guidelines of 2020. Check your own country's current rules.",
}
GOOD, MIND, BAD = "✓", "!", "✗"  # marks of a Verdict, each with its words
# heat that still air takes from a surface, with radiation (textbook, value from memory)
STILL_AIR_W_M2K = 10.0
HOT_DAY_C, PIPE_C = 40.0, 80.0  # in the sun; where PVC pipe and jacket go soft (common practice, no source)
LOWEST_END_M = 3.0  # ends of the wire, out of the reach of people (common practice, no source)

_MODES = facts.read("antenna/modes.csv", text="name", numbers="duty", places="homework")
MODES = {row.name: row.duty for row in _MODES}  # average over peak power while transmitting
PHONE, KEYED = ("SSB", "SSB processed", "FM"), ("CW", "RTTY", "FT8")  # of these, what carries speech or code
MODES_IN_HOMEWORK = facts.listed(_MODES, "homework")

_LIMITS = facts.read(
    "antenna/limits.csv",
    text="tier",
    numbers="low_mhz high_mhz mw_cm2 divided_by power_of_mhz averaging_minutes",
)
MOST_W = {row.band: row.most_w for row in facts.read("antenna/power.csv", text="band", numbers="most_w")}
_FIELD_LIMITS = facts.read(
    "antenna/field_limits.csv",
    text="rules tier",
    numbers="low_mhz high_mhz v_per_m v_power a_per_m a_power averaging_minutes",
)
_EXEMPTIONS = facts.read("antenna/exemptions.csv", numbers="low_mhz high_mhz erp_w_per_m2 power_of_mhz")
AVERAGING_MINUTES = {row.tier: row.averaging_minutes for row in _LIMITS}

_WORK = ("winding", "hanging", "trimming", "feeding", "transmitting")  # what somebody does, columns of:
_CAUTIONS = facts.read("antenna/cautions.csv", text="name words", yes=" ".join(_WORK))
CAUTIONS = {row.name: row.words.format(rules=RULES) for row in _CAUTIONS}  # the last stands over all others
WORK = {one: tuple(row.name for row in _CAUTIONS if getattr(row, one)) for one in _WORK}


def cautions_for(*work):
    """The cautions that some work needs, the last word with them: a part of CAUTIONS, in its order.

    work: keys of WORK, one or more. Raises Slip for others.

    >>> list(al.safety.cautions_for("winding"))
    ['transmitting', 'high voltage', 'tools', 'last word']
    """
    if not work or set(work) - set(WORK):
        raise Slip(f"work is one or more of {', '.join(WORK)}; got {', '.join(map(str, work))!r}")
    wanted = {"last word"}.union(*(WORK[one] for one in work))
    return {name: words for name, words in CAUTIONS.items() if name in wanted}


@broadcasts
def average_power_w(*, power_w, mode, transmit_fraction=1.0, line_loss_db=0.0):
    """Average power that reaches the antenna, which is what exposure limits count.

    power_w: transmitter's peak envelope power, watts. mode: a key of MODES. transmit_fraction: part of the
    averaging time (30 minutes for neighbours, 6 for you) spent transmitting, 0 to 1. line_loss_db: from
    transmitter to antenna. Any shapes that broadcast. Returns watts.
    Raises Slip for an unknown mode and values that make no sense.
    Source: OET Bulletin 65 Supplement B, 1997 (from memory), duty factors of MODES.

    >>> float(al.safety.average_power_w(power_w=100, mode="SSB", transmit_fraction=0.5))
    10.0
    """
    duties = {name.lower(): duty for name, duty in MODES.items()}
    if str(mode).lower() not in duties:
        raise Slip(f"no mode called {mode!r} here; known are {', '.join(MODES)}")
    fraction = check_positive("transmit_fraction", transmit_fraction, zero_ok=True)
    if np.any(fraction > 1):
        raise Slip("transmit_fraction is the part of the time spent transmitting, 0 to 1")
    power = check_positive("power_w", power_w, zero_ok=True, unit="watts")
    loss = check_positive("line_loss_db", line_loss_db, zero_ok=True, unit="decibels")
    return power * duties[str(mode).lower()] * fraction * power_ratio(-loss)


def exposure_limit_mw_cm2(*, f_mhz, controlled=False):
    """Greatest power density that people may be exposed to, averaged over time.

    f_mhz: MHz, 0.3 to 1000, any shape. controlled: True for those who know and can leave (you, 6 minutes),
    False for everybody else (neighbours, 30 minutes). Returns mW/cm², same shape.
    Raises Slip outside that range. Source: 47 CFR 1.1310 (e)(1) Table 1, plane-wave equivalent.

    >>> round(float(al.safety.exposure_limit_mw_cm2(f_mhz=28.5)), 2)
    0.22
    """
    f = _check_regulated(f_mhz)
    rows = [row for row in _LIMITS if row.tier == ("controlled" if controlled else "uncontrolled")]
    return _by_frequency(f, rows, [row.mw_cm2 * f**row.power_of_mhz / row.divided_by for row in rows])


@broadcasts
def power_density_mw_cm2(*, power_w, gain_dbi, distance_m, reflection=2.56):
    """Power density in the antenna's strongest direction, ground reflection counted.

    power_w: average, at the antenna. gain_dbi: in free space. distance_m: metres. reflection: by how much the
    ground raises the power density: 2.56 (field 1.6 times) is usual, 4 the worst, 1 none.
    Any shapes that broadcast. Returns mW/cm². Raises Slip for values that make no sense.
    Valid in the far field only, from about a wavelength on.
    Source: OET Bulletin 65, 1997, equations 3 to 7 (from memory): S = reflection·P·G/(4πR²).

    >>> round(float(al.safety.power_density_mw_cm2(power_w=100, gain_dbi=2.15, distance_m=10)), 3)
    0.033
    """
    distance = check_positive("distance_m", distance_m, unit="metres")
    return _eirp_w(power_w, gain_dbi) * _check_reflection(reflection) / (4 * np.pi * distance**2) / 10


def near_field_m(f_mhz):
    """Distance within which the far-field formulas are not to be trusted.

    f_mhz: MHz, any shape. Returns metres, same shape. Raises Slip for bad frequencies.
    Source: wavelength/2π, the bound of 47 CFR 1.1307 (b)(3)(i)(C).

    >>> round(float(al.safety.near_field_m(7.1)), 1)
    6.7
    """
    return wavelength_m(f_mhz) / (2 * np.pi)


@dataclass(frozen=True)
class Exposure:
    """How far people must stay: distance in metres, the limit, and whether the formula holds that close.

    limit_mw_cm2: see exposure_limit_mw_cm2. near_field_m: the formula holds from here on outward.
    valid: whether distance_m does. keep_away_m: the larger of the two, the distance to go by.

    >>> there = al.safety.Exposure(distance_m=1.2, limit_mw_cm2=0.9, near_field_m=3.4)
    >>> there.valid, float(there.keep_away_m)
    (False, 3.4)
    """

    distance_m: float
    limit_mw_cm2: float
    near_field_m: float

    @property
    def valid(self):
        """True where the distance lies outside the near field."""
        return self.distance_m >= self.near_field_m

    @property
    def keep_away_m(self):
        """The larger of the computed distance and the near field, metres."""
        return np.maximum(self.distance_m, self.near_field_m)

    @property
    def note(self):
        """What to tell the reader."""
        if np.all(self.valid):
            return RULES
        return (
            "The computed distance lies in the near field, where the formula does not hold: keep people out "
            "of the near field, or have the station evaluated by measurement or by tables for it. " + RULES
        )


@broadcasts
def exposure(*, f_mhz, power_w, gain_dbi, controlled=False, reflection=2.56):
    """Distance from the antenna at which its strongest direction just meets the exposure limit.

    f_mhz: MHz, 0.3 to 1000. power_w: average power at the antenna, see average_power_w. gain_dbi: in free
    space. controlled: True for you, False for neighbours. reflection: see power_density_mw_cm2. Shapes
    broadcast. Returns an Exposure. Raises Slip for values that make no sense.
    By hand, and valid far away, from about a wavelength on, where it errs on the safe side by 5 to 20 %. On
    HF that is seldom reached; nearer, for a level half wave high up it says up to 1.6 times the distance at
    which the field meets its limit, for low ends, a vee or traps down to 0.4 times: keep_away computes it.
    The Exposure says where the distance lies in the near field.
    Source: OET Bulletin 65, 1997 (from memory), solved for the distance, with 47 CFR 1.1310.

    >>> there = al.safety.exposure(f_mhz=28.5, power_w=100, gain_dbi=2.15)
    >>> round(float(there.distance_m), 1)
    3.9
    """
    limit = exposure_limit_mw_cm2(f_mhz=f_mhz, controlled=controlled)
    eirp = _eirp_w(power_w, gain_dbi) * _check_reflection(reflection)
    distance = np.sqrt(eirp / (4 * np.pi * 10 * limit))
    return Exposure(distance_m=distance, limit_mw_cm2=limit, near_field_m=near_field_m(f_mhz))


@broadcasts
def exempt_erp_w(*, f_mhz, distance_m):
    """Effective radiated power up to which a station is exempt from evaluation at a distance from people.

    f_mhz: MHz, 0.3 to 1000. distance_m: from the antenna to the nearest person, a wavelength/2π or more. Any
    shapes that broadcast. Returns watts ERP; see erp_w. Raises Slip closer than that.
    Source: 47 CFR 1.1307 (b)(3)(i)(C) Table 1, in effect since 3 May 2021.

    >>> round(float(al.safety.exempt_erp_w(f_mhz=28.5, distance_m=10)))
    425
    """
    f = _check_regulated(f_mhz)
    distance = check_positive("distance_m", distance_m, unit="metres")
    if np.any(distance < near_field_m(f)):
        raise Slip(
            f"the exemption starts at {float(np.max(near_field_m(f))):.1f} m, a wavelength/2π; closer "
            "than that the station has to be evaluated in another way"
        )
    watts = [row.erp_w_per_m2 * f**row.power_of_mhz for row in _EXEMPTIONS]
    return _by_frequency(f, _EXEMPTIONS, watts) * distance**2


@broadcasts
def erp_w(*, power_w, gain_dbi):
    """Effective radiated power, which counts gain over a half-wave dipole.

    power_w: at the antenna, watts. gain_dbi: in free space. Any shapes that broadcast. Returns watts.
    Raises Slip for values that make no sense. Source: EIRP/1.64, 47 CFR 2.1 (from memory).

    >>> round(float(al.safety.erp_w(power_w=100, gain_dbi=2.15)))
    100
    """
    return _eirp_w(power_w, gain_dbi) / 1.64


def field_limits(*, f_mhz, power_w=1.0, peak_power_w=None, controlled=False, rules="FCC"):
    """Greatest field strengths that people may be exposed to, for a station of some power.

    f_mhz: MHz, one number, up to 300. power_w: average power while it counts, peak_power_w: peak envelope
    power, watts; left out, as much. controlled: True for those who know and can leave (you), False for
    everybody else. rules: "FCC" or "ICNIRP 2020". Returns (v_per_m, a_per_m), rms at the average power. A
    limit that is not averaged (ICNIRP, up to 10 MHz) is for the peak power, and lowered here in proportion.
    Raises Slip for other rules and frequencies. Source: antenna/field_limits.csv.

    >>> [round(one, 3) for one in al.safety.field_limits(f_mhz=28.5)]
    [28.912, 0.077]
    """
    f = single("f_mhz", check_frequency(f_mhz))
    power = check_one("power_w", power_w, unit="watts")
    peak = power if peak_power_w is None else check_one("peak_power_w", peak_power_w, unit="watts")
    if peak < power:
        raise Slip(f"peak_power_w is the highest power, and power_w={power:g} is an average: it is no higher")
    if rules not in RULES_OF:
        raise Slip(f"rules is {' or '.join(map(repr, RULES_OF))}; got {quoted(rules)}")
    tier = "controlled" if controlled else "uncontrolled"
    rows = [row for row in _FIELD_LIMITS if (row.rules, row.tier) == (rules, tier)]
    low, high = min(row.low_mhz for row in rows), max(row.high_mhz for row in rows)
    if not low <= f <= high:
        raise Slip(f"the limits for fields go from {low:g} to {high:g} MHz")
    # averaged: of the first row that reaches so far, an edge belongs to the row below it
    averaged = next(row for row in rows if row.averaging_minutes and f <= row.high_mhz)
    at_once = [row for row in rows if not row.averaging_minutes and f <= row.high_mhz]
    limits = [(row.v_per_m * f**row.v_power, row.a_per_m * f**row.a_power) for row in (averaged, *at_once)]
    limits[1:] = [tuple(one * np.sqrt(power / peak) for one in limit) for limit in limits[1:]]
    return tuple(float(min(one)) for one in zip(*limits, strict=True))


@dataclass(frozen=True, kw_only=True)
class KeepAway:
    """Where people may be while an antenna sends, computed from its field. Made by keep_away.

    f_mhz: MHz. power_w: average, at the antenna. controlled, rules: as keep_away took them. limit_v_per_m,
    limit_a_per_m: the limits. around: the field. A share is of the limit, field over field, of E or of H,
    whichever is worse: 1 is the limit, and the power goes with its square.

    >>> dipole = al.Dipole(inner_m=2.5, shape=al.FlatTop(height_m=7.5))
    >>> there = al.safety.keep_away(dipole, f_mhz=28.5, power_w=100)
    >>> round(there.distance_m, 1), round(float(there.share_at(1.8)), 2)
    (2.8, 0.48)
    """

    f_mhz: float
    power_w: float
    controlled: bool
    rules: str
    limit_v_per_m: float
    limit_a_per_m: float
    around: Surroundings = field(repr=False, compare=False)

    @cached_property
    def distance_m(self):
        """The largest distance from the wire, in any direction, at which a limit is still reached, metres.

        From every part of the wire and from the surface of the traps. At least 0.1 m, with traps 0.3 m:
        closer the field is not asked, as a trap is no point, and a live wire is never to be touched.
        """
        return float(self.around.distance_m(self._at_1_w))

    @cached_property
    def highest_clear_m(self):
        """The height below which the limits are met everywhere, under the antenna and around it, metres.

        A person's head below it is fine. It is 0 where a limit is reached on the ground, and at most the
        height of the wire's lowest point less the least distance_m.
        """
        return float(self.around.clear_below_m(self._at_1_w))

    @property
    def note(self):
        """Whose limits they are."""
        return RULES_OF[self.rules]

    def share_at(self, height_m):
        """The largest share of the limit anywhere at a height.

        height_m: metres above the ground, any shape. Returns a share, same shape; infinite where the wire
        hangs as high. Raises Slip for what is no height.
        """
        height = check_positive("height_m", height_m, zero_ok=True, unit="metres")
        largest = [self._share(self.around.at_height(one)) for one in height.ravel().tolist()]
        return np.reshape(largest, height.shape)[()]

    @broadcasts
    def share(self, *, x_m, y_m, z_m):
        """The share of the limit at points, for a map.

        x_m: along the wire from the feed, y_m: across, z_m: up from the ground, metres, any shapes that
        broadcast. Returns a share, that shape; infinite in the wire. Raises Slip below the ground.
        Valid as Dipole.fields is.
        """
        given = {"x_m": np.abs(check_number("x_m", x_m, unit="metres")),
                 "y_m": np.abs(check_number("y_m", y_m, unit="metres")),
                 "z_m": check_positive("z_m", z_m, zero_ok=True, unit="metres")}  # fmt: skip
        where = np.stack(np.broadcast_arrays(*given.values()))
        # the four quarters are alike
        once, back = np.unique(where.reshape(3, -1), axis=1, return_inverse=True)
        return self._share(self.around.at(once))[back].reshape(where.shape[1:])[()]

    @broadcasts
    def standing_share(self, *, x_m, y_m, up_to_m=2.0):
        """The largest share of the limit from the ground up to a height: somebody stands there.

        x_m, y_m: metres, as for share, shapes that broadcast. up_to_m: metres, one number. Returns a share,
        the shape of x_m and y_m together. Raises Slip as share does.
        """
        top = check_one("up_to_m", up_to_m, zero_ok=True, unit="metres")
        x, y = np.broadcast_arrays(x_m, y_m)
        heights = np.linspace(0, top, 1 + max(2, int(np.ceil(top)))).reshape(-1, *(1,) * x.ndim)
        return self.share(x_m=x, y_m=y, z_m=heights).max(axis=0)

    @property
    def _at_1_w(self):
        return np.array([self.limit_v_per_m, self.limit_a_per_m]) / np.sqrt(self.power_w)

    def _share(self, strength):
        return np.max(strength.T / self._at_1_w, axis=-1)


def keep_away(dipole, *, f_mhz, power_w, peak_power_w=None, controlled=False, rules="FCC"):
    """How far people must stay from an antenna, computed from its field.

    dipole: a Dipole. f_mhz: MHz, one number. power_w: average power at the antenna while it counts, see
    average_power_w. peak_power_w: peak envelope power, for limits that are not averaged (ICNIRP up to 10
    MHz); left out, as much as power_w. controlled: True for you, who know and can leave, False for everybody
    else. rules: "FCC" (47 CFR 1.1310) or "ICNIRP 2020".
    Returns a KeepAway. Raises Slip for values that make no sense, and as Dipole.fields does.
    Valid as Dipole.fields is: flat, even ground, nothing else near by. The E and the H limit are both looked
    at, all along the wire, round it, off its ends and traps; what may lie between the points looked at is
    allowed for with 5 %.

    >>> dipole = al.Dipole(inner_m=10.05, shape=al.FlatTop(height_m=7.5))
    >>> there = al.safety.keep_away(dipole, f_mhz=7.1, power_w=100)
    >>> round(there.distance_m, 1), round(there.highest_clear_m, 1)
    (0.7, 6.8)
    """
    f = single("f_mhz", check_frequency(f_mhz))
    power = check_one("power_w", power_w, unit="watts")
    volts, amps = field_limits(
        f_mhz=f, power_w=power, peak_power_w=peak_power_w, controlled=controlled, rules=rules
    )
    return KeepAway(
        f_mhz=f, power_w=power, controlled=bool(controlled), rules=rules, limit_v_per_m=volts,
        limit_a_per_m=amps, around=surroundings(dipole, f),
    )  # fmt: skip


@dataclass(frozen=True)
class VoltsCheck:
    """The volts in a trap's cable against what the cable may stand.

    volts_peak: between centre and braid. allowed_peak: the cable's rating. margin: allowed over actual.

    >>> round(al.safety.VoltsCheck(volts_peak=700.0, allowed_peak=2000.0).margin, 1)
    2.9
    """

    volts_peak: float
    allowed_peak: float

    @property
    def margin(self):
        """Rating over actual voltage; two or more is wise (common practice, no source)."""
        return self.allowed_peak / self.volts_peak

    @property
    def note(self):
        """What to tell the builder."""
        if self.margin < 1:
            advice = "it will break down: less power, another cable, or a trap tuned below the band"
        elif self.margin < 2:
            advice = "that is too close for wet weather and tight bends: aim at half the rating or less"
        else:
            advice = "that is fine for cable in good order"
        return f"{self.volts_peak:.0f} V peak in cable rated for {self.allowed_peak:.0f} V peak: {advice}."


def check_trap_volts(wound, *, volts_peak):
    """Compare the voltage across a trap wound from coax with the rating of its cable.

    wound: a CoaxTrap. volts_peak: across the whole trap, peak, from trap_stress. Returns a VoltsCheck.
    Raises Slip for anything but a CoaxTrap and for values that are not positive.
    Source: a little over half of the trap's voltage lies in the cable in the series hook-up, a little over
    all of it in the braid hook-up, see CoaxTrap.volts_share; ratings as marked in the cable's source. It says
    nothing of the bare open end of the braid hook-up, which has the trap's voltage more to the outward wire.

    >>> wound = al.design_coax_trap(f_mhz=14.2, form_diameter_mm=40)
    >>> round(float(al.safety.check_trap_volts(wound, volts_peak=1000).margin), 1)
    3.8
    """
    if not isinstance(wound, CoaxTrap):
        raise Slip("check_trap_volts wants a trap wound from coax; a capacitor bears its rating")
    volts = check_positive("volts_peak", volts_peak, unit="volts")
    allowed = np.sqrt(2) * wound.cable.max_volts_rms
    return VoltsCheck(volts_peak=float(volts * wound.volts_share), allowed_peak=float(allowed))


@dataclass(frozen=True)
class Verdict:
    """What to think of a power. about: what of it. mark: GOOD, MIND or BAD. short: for a table; words: all.

    good_w: up to which power it is good, watts, or None where that is not known.

    >>> str(al.safety.Verdict(about="volts", mark="✗", short="too much", words="1500 W is too much."))
    '✗ 1500 W is too much.'
    """

    about: str
    mark: str
    short: str
    words: str
    good_w: float | None = None

    def __str__(self):
        return f"{self.mark} {self.words}"


def is_sent(verdict, sends):
    """Whether a Verdict is of what is sent. sends: one of MODES; of heat a carrier's counts for all but SSB.

    >>> al.safety.is_sent(al.safety.Verdict("heat, SSB", "!", "", ""), "carrier")
    False
    """
    return verdict.about in ("licence", "trap volts", f"heat, {'SSB' if sends == 'SSB' else 'carrier'}")


def worst(verdicts):
    """Of Verdicts on the same matter the one with the fewest good watts: a tuple, without what is not known.

    >>> two = [al.safety.Verdict("trap volts", "!", "", "", good) for good in (70, 64)]
    >>> [one.good_w for one in al.safety.worst(two)]
    [64]
    """
    least = {}
    for one in verdicts:
        if one.good_w is not None:
            least[one.about] = min(least.get(one.about, one), one, key=lambda verdict: verdict.good_w)
    return tuple(least.values())


def shed_w(wound):
    """Heat that a wound trap sheds in still air on a hot day before what it is made of goes soft.

    wound: a CoaxTrap or CoilTrap. Returns watts without a pause. Raises Slip for another trap.
    Rough, on the safe side: wind takes more. Source: Newton's law of cooling, 10 W/(m²·K) from the outside of
    the winding, from 40 °C to what the cable's insulation stands, at most 80 °C, where PVC goes soft (values
    from memory).

    >>> round(al.safety.shed_w(al.design_coax_trap(f_mhz=14.2, form_diameter_mm=40)), 1)
    1.9
    """
    if not hasattr(wound, "winding_length_mm"):
        raise Slip("shed_w wants a wound trap, whose size is known")
    warmest = min(PIPE_C, wound.cable.warmest_c) if isinstance(wound, CoaxTrap) else PIPE_C
    around_mm = np.pi * (wound.form_diameter_mm + 2 * wound.thickness_mm)
    return float(STILL_AIR_W_M2K * (warmest - HOT_DAY_C) * around_mm * wound.winding_length_mm / 1e6)


def trap_verdicts(wound, *, volts_peak, watts, power_w):
    """What to think of a power on one band, by volts and heat of a trap, and how many watts are good.

    wound: a CoaxTrap, a CoilTrap, or None for a trap whose size is unknown. volts_peak: across the trap,
    watts: of heat in it without a pause, both at power_w. Returns Verdicts: of volts, of heat from a carrier
    without a pause, of heat from SSB (MODES). Raises Slip for values that are not positive.
    Source: check_trap_volts with half the rating as good, shed_w; volts go with the root of the power, heat
    with the power.

    >>> wound = al.design_coax_trap(f_mhz=14.2, form_diameter_mm=40)
    >>> [one.mark for one in al.safety.trap_verdicts(wound, volts_peak=3000, watts=5, power_w=100)]
    ['!', '✗', '✓']
    """
    volts = float(check_positive("volts_peak", volts_peak, unit="volts"))
    heat = float(check_positive("watts", watts, unit="watts"))
    power = float(check_positive("power_w", power_w, unit="watts"))
    if isinstance(wound, CoaxTrap):
        check = check_trap_volts(wound, volts_peak=volts)
        said = [_verdict("trap volts", power, power * (check.margin / 2) ** 2, 4, check.note)]
    else:
        words = f"Take a capacitor rated for {2 * volts:.0f} V or more (common practice, no source)."
        said = [Verdict("trap volts", MIND, f"take {2 * volts:.0f} V", f"Volts: {words}")]
    for mode, name in (("carrier", "a carrier without a pause"), ("SSB", "SSB")):
        if wound is None:
            words = (
                "Heat: what your trap sheds is not known; feel it after a while, transmitter disconnected."
            )
            said.append(Verdict(f"heat, {mode}", MIND, "not known", words))
            continue
        sheds, average = shed_w(wound), heat * MODES[mode]
        note = f"{average:.1f} W of heat by {name}, and it sheds {sheds:.1f} W in still air."
        said.append(_verdict(f"heat, {mode}", power, power * sheds / average, 2, note))
    return tuple(said)


def licence_verdict(band_name, power_w, *, sends="carrier", modes=()):
    """What the rules of the USA think of a power on a band, and of speech; None where it is allowed.

    band_name: of the band. power_w: peak envelope power, watts. sends: one of MODES. modes: that the licence
    allows there, "code" or "phone"; nothing is said of speech where none are given. Returns a Verdict or
    None, good up to 0 W where speech is not allowed. Raises Slip for a power that is not positive.
    Source: 47 CFR 97.313, and bands.csv for the modes; other countries have other limits.

    >>> al.safety.licence_verdict("30m", 500).short
    'over 200 W'
    >>> al.safety.licence_verdict("30m", 100, sends="SSB", modes=["code"]).short
    'no phone'
    """
    power = float(check_positive("power_w", power_w, unit="watts"))
    if modes and "phone" not in modes and sends in PHONE:
        where = f"on {band_name.removesuffix('m')} metres"
        return Verdict("licence", BAD, "no phone", f"Licence: no phone {where}, so no {sends} there.", 0.0)
    most = MOST_W.get(band_name, MOST_W["any"])
    if power <= most:
        return None
    words = f"Licence: {power:g} W is too much: {most:g} W PEP is the most here in the USA (47 CFR 97.313)."
    return Verdict("licence", BAD, f"over {most:g} W", words, most)


def _verdict(about, power_w, good_w, most_over_good, note):
    """A Verdict: good up to good_w, too much from most_over_good times that."""
    digits = 1 - int(np.floor(np.log10(good_w)))
    good_w = np.floor(good_w * 10**digits + 1e-9) / 10**digits  # two digits, never more than is good
    up_to = f"{good_w:g} W"
    if power_w <= good_w:
        mark, short, found = GOOD, f"good to {up_to}", "is good"
    elif power_w < most_over_good * good_w:
        mark, short, found = MIND, f"only to {up_to}", "is too close"
    else:
        mark, short, found = BAD, f"only to {up_to}", "is too much"
    about_it = about[0].upper() + about[1:]
    words = f"{about_it}: {power_w:g} W {found}, up to {up_to} is good. {note[0].upper()}{note[1:]}"
    return Verdict(about, mark, short, words, float(good_w))


def _eirp_w(power_w, gain_dbi):
    gain = check_number("gain_dbi", gain_dbi, unit="decibels")
    if not np.all(gain < 40):
        raise Slip(f"gain_dbi is decibels over isotropic, a few of them for a dipole; got {gain_dbi!r}")
    return check_positive("power_w", power_w, zero_ok=True, unit="watts") * power_ratio(gain)


def _by_frequency(f_mhz, rows, values):
    """For each frequency the value of the row that it lies in; an edge belongs to the row below it."""
    return np.select([f_mhz <= row.high_mhz for row in rows], values, np.nan)[()]


def _check_regulated(f_mhz):
    f, lowest = check_frequency(f_mhz), _LIMITS[0].low_mhz
    if np.any(f < lowest):
        raise Slip(f"the limits start at {lowest:g} MHz")
    return f


def _check_reflection(reflection):
    factor = check_positive("reflection", reflection)
    if np.any((factor < 1) | (factor > 4)):
        raise Slip("reflection raises the power density 1 (none) to 4 (full) times; 2.56 is usual")
    return factor
