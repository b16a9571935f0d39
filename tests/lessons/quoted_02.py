"""Numbers quoted in lesson 02; see test_notebooks."""

import re

import numpy as np

import antlab as al
from antlab.classroom import live
from antlab.classroom.views import half_wave_wire
from antlab.classroom.views.player import SCREEN
from antlab.physics import lengths

YARD = al.FlatTop(height_m=7.5)
DIP = r"Lowest \S+ at (\S+) MHz"  # as the view says it


def dip_mhz(feet_mhz, **where):
    """Where the SWR of a wire cut for 14.2 MHz is lowest."""
    f_mhz = np.linspace(13.4, 14.8, 1401)
    wire = al.Dipole(inner_m=lengths.rule_length_m(14.2, feet_mhz) / 2, **where)
    return f_mhz[wire.swr(f_mhz).argmin()]


def trimmed():
    """The trimming rule on the first wire of Corner Lot: its dip, also of the view, and the new length."""
    dip = dip_of(10.56, shape=YARD)
    assert shown(DIP, 10.56, hangs=half_wave_wire.LAWN) == round(dip, 2)
    return dip, dip, 10.56 * round(dip, 2) / 14.2


def house_wire_percent():
    """How much shorter insulated wire is cut than bare wire, resonant on 14.2 MHz far from everything."""
    legs, cut = np.linspace(4.9, 5.2, 7), []
    for name in ("copper", "PVC 2.5 mm²"):
        wires = [al.Dipole(inner_m=leg, soil=al.FREE_SPACE, wire=name) for leg in legs]
        cut.append(np.interp(0, [wire.impedance(14.2).imag for wire in wires], legs))
    return 100 * (cut[0] / cut[1] - 1)


def width_percent():
    """Between SWR 2 and SWR 2, at Corner Lot and far from everything; at other heights it is between them."""
    f_mhz = np.linspace(13, 15, 2001)

    def wide(**where):
        good = f_mhz[al.Dipole(inner_m=5.13, **where).swr(f_mhz) <= 2]
        return round(100 * np.ptp(good) / good.mean())

    found = wide(shape=YARD), wide(soil=al.FREE_SPACE)
    assert all(found[0] <= wide(shape=al.FlatTop(height_m=high)) <= found[1] for high in (2, 4, 6, 9, 12))
    return found


def shown(pattern, length_m, **choices):
    """A number that the live view says of a wire, by its pattern."""
    view = live.half_wave_wire
    wanted, choices = view.settings({"length_m": length_m} | choices)
    said = view.film(SCREEN, choices, view.places(wanted, choices), still=False)[1]["says"][0]
    return float(re.search(pattern, said)[1])


def in_tune():
    """The length on the slider at which X is nearest to nothing, and how far it is below half a wave."""
    slider = live.half_wave_wire.sliders(f_mhz=14.2, wire_mm=2.0, hangs=half_wave_wire.FAR)[0]
    z = [al.Dipole(inner_m=one / 2, soil=al.FREE_SPACE).impedance(14.2) for one in slider.values[60:80]]
    best = slider.values[60:80][np.abs(np.imag(z)).argmin()]
    assert shown(r"([\d.]+) % short", best) == round(100 * (1 - best / lengths.half_wave_m(14.2)), 1)
    return best, 100 * (1 - best / lengths.half_wave_m(14.2))


def widths():
    """Of the dip, for the thinnest and for the thickest wire; longer is lower."""
    assert shown(DIP, 11.0) < shown(DIP, 10.56) < shown(DIP, 10.04)
    return tuple(shown(r"over (\S+) MHz", 10.56, wire_mm=one) for one in (0.5, 4.0))


def creeps():
    """R far from everything, of the wires that the lesson tries."""
    z = [al.Dipole(inner_m=one / 2, soil=al.FREE_SPACE).impedance(14.2) for one in (10.04, 10.24, 10.56)]
    assert abs(z[1].imag) < 1 and np.all(np.diff(np.real(z)) > 0)
    return z[0].real, z[2].real


def hardly_moves():
    """The lawn's dip of the wire on the wall, as cell and view have it; far from everything it is as low."""
    dip = dip_of(10.04, shape=YARD)
    assert abs(dip - dip_of(10.04, soil=al.FREE_SPACE)) < 0.05
    assert f"{dip:.2f}" == f"{shown(DIP, 10.04, hangs=half_wave_wire.LAWN):.2f}"
    return dip


def dip_of(length_m, **where):
    """Where its SWR is lowest, over the sweep of the lesson's cell."""
    f_mhz = np.linspace(13.4, 14.8, 1401)
    return f_mhz[al.Dipole(inner_m=length_m / 2, **where).swr(f_mhz).argmin()]


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
    return lowest(soil=al.FREE_SPACE)[1]


def at_heights():
    return tuple(lowest(shape=al.FlatTop(height_m=h))[0] for h in (12, 2))


def soil_at_two_metres():
    """Watts of 100 that warm the soil under the wire in tune, 2 m up; many more than at Corner Lot."""
    low, yard = (
        al.Dipole(inner_m=10.24 / 2, shape=al.FlatTop(height_m=high)).power_shares(14.2).soil
        for high in (2, 7.5)
    )
    assert low > 0.5 > 2 * yard * 0.99
    return 100 * low


def shifted():
    """Where the half wave dips 4 and 9 m up; both are as far off as the rule on the wall is at Corner Lot."""
    low, high = (dip_of(10.56, shape=al.FlatTop(height_m=one)) for one in (4, 9))
    assert abs((high - low) - (dip_of(10.04, shape=YARD) - 14.2)) < 0.02
    assert 0.22 < dip_of(10.04, shape=YARD) - 14.2 < 0.29, "a quarter of a megahertz too high, at 7.5 m"
    return low, high


QUOTED = {
    "A. Near {:.1f} MHz, a little lower": lambda: dip_mhz(492, soil=al.FREE_SPACE),
    "| 3.75 MHz | {:.1f} m (131 ft) | {:.1f} m (125 ft) |": lambda: row(3.75),
    "| 14.2 MHz | {:.1f} m (35 ft) | {:.1f} m (33 ft) |": lambda: row(14.2),
    "That is {:.0f} % shorter": lambda: 100 * (1 - 468 / 492),
    "Then X should be {:.0f} Ω": lambda: (
        al.Dipole(inner_m=10.04 / 2, soil=al.FREE_SPACE).impedance(14.2).imag
    ),
    "R only goes from {:.0f} Ω to {:.0f} Ω": creeps,
    "1. At {:.2f} MHz; longer is lower": lambda: shown(DIP, 10.56),
    "3. From {:.2f} to {:.2f} MHz: a thick wire is wider": widths,
    "10.04 should move the dip to {:.2f} MHz": hardly_moves,
    "the SWR falls to {:.1f}": lambda: lowest(soil=al.FREE_SPACE)[0],
    "dips at {:.2f} MHz. For 14.2 MHz it should be 10.56 · {:.2f} / 14.2 = {:.2f} metres": trimmed,
    "little more than ten: {:.0f} to {:.0f} % wide": width_percent,
    "The 80-metre band is {:.0f} kHz wide": lambda: 1e3 * (al.band("80m").high_mhz - al.band("80m").low_mhz),
    "The dip lies near {:.1f} MHz": lambda: dip_mhz(492, soil=al.FREE_SPACE),
    "2. At {:.2f} m (33.6 ft), {:.1f} % short": in_tune,
    "The dip is at {:.2f} MHz then": lambda: shown(DIP, in_tune()[0]),
    "where {:.0f} W of 100 only warm the soil": soil_at_two_metres,
    "4 m (13 ft) up our first wire dips at {:.2f} MHz, 9 m (30 ft) up at {:.2f}": shifted,
    "A dipole is {:.0f} to {:.0f} % wide": width_percent,
    "A wire in tune has some {:.0f} Ω far from everything": far_from_everything,
    "shows {:.1f} at 12 m (39 ft) and {:.1f} at 2 m (7 ft)": at_heights,
    "the PVC of house wire by {:.0f} %": house_wire_percent,
}
GIVEN = [
    "half a wave long for 14.2 MHz",
    "B. At 14.2 MHz",
    "C. Near 14.7 MHz, a little higher",
    "D. Near 28.4 MHz, twice as high",
    "a fine wire for 14.2 MHz. Now somebody wants 28.4 MHz",
    "in tune with 14.2 MHz",
    "73 + j42.5 Ω",
    "must be 2 % shorter",
    "for 2 and for 3 %",
    "The engine says 3 %",
    "give 3.0 %",
]
