"""Numbers quoted in lesson 02; see test_notebooks."""

import numpy as np

import antlab as al
from antlab.classroom import live
from antlab.classroom.views import half_wave_wire
from antlab.physics import lengths

YARD = al.FlatTop(height_m=7.5)


def dip_mhz(feet_mhz, **where):
    """Where the SWR of a wire cut for 14.2 MHz is lowest."""
    f_mhz = np.linspace(13.4, 14.8, 141)
    wire = al.Dipole(inner_m=lengths.rule_length_m(14.2, feet_mhz) / 2, **where)
    return f_mhz[wire.swr(f_mhz).argmin()]


def reactance(feet_mhz):
    wire = al.Dipole(inner_m=lengths.rule_length_m(14.2, feet_mhz) / 2, soil=al.FREE_SPACE)
    return wire.impedance(14.2).imag


def trimmed():
    """The trimming rule on the first wire of Corner Lot: its dip, the new length."""
    dip = dip_mhz(492, shape=YARD)
    return dip, dip, 10.56 * round(dip, 2) / 14.2


def house_wire_percent():
    """How much shorter insulated wire is cut than bare wire, resonant on 14.2 MHz far from everything."""
    legs, cut = np.linspace(4.9, 5.2, 7), []
    for name in ("copper", "PVC 2.5 mm²"):
        wires = [al.Dipole(inner_m=leg, soil=al.FREE_SPACE, wire=name) for leg in legs]
        cut.append(np.interp(0, [wire.impedance(14.2).imag for wire in wires], legs))
    return 100 * (cut[0] / cut[1] - 1)


def width_percent():
    """Between SWR 2 and SWR 2, far from everything."""
    f_mhz = np.linspace(13, 15, 2001)
    good = f_mhz[al.Dipole(inner_m=5.13, soil=al.FREE_SPACE).swr(f_mhz) <= 2]
    return 100 * np.ptp(good) / good.mean()


def slider():
    """The live view on 14.2 MHz with 2 mm of wire: lengths, impedance."""
    length = live.half_wave_wire.sliders(f_mhz=14.2, wire_mm=2.0)[0].values
    return length, half_wave_wire._feed(14.2, 2.0)(length)


def in_tune():
    length, z = slider()
    best = length[np.abs(z.imag).argmin()]
    return best, 100 * (1 - best / lengths.half_wave_m(14.2))


def good_lengths():
    length, z = slider()
    good = length[al.circuit.swr(z) <= 2]
    return good[0], good[-1]


def row(f_mhz):
    return lengths.half_wave_m(f_mhz), lengths.rule_length_m(f_mhz)


def lowest(feet_mhz=478, **where):
    """Lowest SWR of a wire cut for 14.2 MHz, and its ohms where it is in tune."""
    f_mhz = np.linspace(13.2, 15.2, 401)
    z = al.Dipole(inner_m=lengths.rule_length_m(14.2, feet_mhz) / 2, **where).impedance(f_mhz)
    return al.circuit.swr(z).min(), np.interp(0, z.imag, z.real), np.interp(0, z.imag, f_mhz)


def far_from_everything():
    """SWR and ohms in free space; any length has that SWR, and Corner Lot's 1.7, within a tenth."""
    for feet_mhz in (468, 492):
        assert abs(lowest(feet_mhz, soil=al.FREE_SPACE)[0] - lowest(soil=al.FREE_SPACE)[0]) < 0.1
    return lowest(soil=al.FREE_SPACE)[:2]


def at_heights():
    return tuple(lowest(shape=al.FlatTop(height_m=h))[0] for h in (2, 12))


def longer_and_shorter():
    """In tune lower 4 m up than in free space, as if longer; higher 9 and 10 m up."""
    free = lowest(soil=al.FREE_SPACE)[2]
    low, nine, ten = (lowest(shape=al.FlatTop(height_m=h))[2] for h in (4, 9, 10))
    assert low < free - 0.1 and min(nine, ten) > free + 0.05
    return 4, 9


QUOTED = {
    "A. Near {:.1f} MHz, a little lower": lambda: dip_mhz(492, soil=al.FREE_SPACE),
    "| 3.75 MHz | {:.1f} m (131 ft) | {:.1f} m (125 ft) |": lambda: row(3.75),
    "| 7.1 MHz | {:.1f} m (69 ft) | {:.1f} m (66 ft) |": lambda: row(7.1),
    "| 14.2 MHz | {:.1f} m (35 ft) | {:.1f} m (33 ft) |": lambda: row(14.2),
    "| 28.4 MHz | {:.1f} m (17 ft) | {:.1f} m (16 ft) |": lambda: row(28.4),
    "That is {:.0f} % shorter": lambda: 100 * (1 - 468 / 492),
    "Half a wave is too long: X is {:+.0f} Ω": lambda: reactance(492),
    "it is too short: X is {:.0f} Ω": lambda: reactance(468),
    "dips at {:.2f} MHz. For 14.2 MHz it should be 10.56 · {:.2f} / 14.2 = {:.2f} metres": trimmed,
    "So it is some {:.0f} % wide": width_percent,
    "The 80-metre band is {:.0f} kHz wide": lambda: 1e3 * (al.band("80m").high_mhz - al.band("80m").low_mhz),
    "The dip lies near {:.1f} MHz": lambda: dip_mhz(492, soil=al.FREE_SPACE),
    "1. At {:.2f} m (33.6 ft), {:.1f} % below": in_tune,
    "2. From about {:.1f} to {:.1f} m": good_lengths,
    "A dipole is some {:.0f} % wide": width_percent,
    "The lowest SWR is {:.1f}, not 1.0": lambda: lowest(shape=YARD)[0],
    "Far from everything it would be {:.1f}, for a wire in tune has some {:.0f} Ω there": far_from_everything,
    "shows {:.1f} at 2 m (7 ft) and {:.1f} at 12 m (39 ft)": at_heights,
    "a wire {} m (13 ft) up looks longer than one far from everything, one {} m (30 ft)": longer_and_shorter,
    "the PVC of house wire by {:.0f} %": house_wire_percent,
}
GIVEN = [
    "half a wave long for 14.2 MHz",
    "B. At 14.2 MHz",
    "Height is no excuse: on 14.2 MHz",
    "C. Near 14.7 MHz, a little higher",
    "D. Near 28.4 MHz, twice as high",
    "For 14.2 MHz it must be cut that much shorter",
    "one every 10 kHz",
    "a fine wire for 14.2 MHz. Now somebody wants 28.4 MHz",
    "On 14.2 MHz with 2 mm of wire",
    "73 + j42.5 Ω",
    "must be 2 % shorter",
    "for 2 and for 3 %",
    "The engine says 3 %",
    "give 3.0 %",
]
