"""Numbers quoted in lesson 00; see test_notebooks."""

from antlab.classroom.views.one_wave import TO_SCALE
from antlab.units import C_M_S, wavelength_m


def band_row(f_mhz):
    """A wave by the rule of 300, and half of it."""
    return f_mhz, 300 / f_mhz, 150 / f_mhz


def as_long():
    """Megahertz of the half-wave wires as long as the house and the bus of the view."""
    wide = [max(x) - min(x) for x, _ in (TO_SCALE["house"], TO_SCALE["bus"])]
    assert wide == [11, 12]
    return tuple(C_M_S / 2e6 / one for one in wide)


QUOTED = {
    "| {:.2f} MHz | {:.0f} m (262 ft) | {:.0f} m (131 ft) |": lambda: band_row(3.75),
    "| {:.1f} MHz | {:.0f} m (131 ft) | {:.0f} m (66 ft) |": lambda: band_row(7.5),
    "| {:.0f} MHz | {:.0f} m (66 ft) | {:.0f} m (33 ft) |": lambda: band_row(15),
    "| {:.0f} MHz | {:.0f} m (33 ft) | {:.0f} m (16 ft) |": lambda: band_row(30),
    "light runs {:.2f} metres": lambda: C_M_S / 1e6,
    "C. Yes: {:.1f} m (35 ft) of wire": lambda: wavelength_m(14.2) / 2,
    "At {:.1f} MHz, a little below the 20-metre band; at {:.1f} MHz it is as long as the bus": as_long,
}
GIVEN = [
    "On 14.2 MHz the simplest good antenna",
    "On 14.2 MHz, in the 20-metre band",
    "half a wave near 100 MHz",
    "On 15 MHz, 15 waves",
    "half a wave is on 14.10 MHz",
    "2.15 dBi. (Lessons",
]
