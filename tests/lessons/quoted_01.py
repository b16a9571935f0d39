"""Numbers quoted in lesson 01; see test_notebooks."""

from math import log, sqrt

import numpy as np

from antlab.physics import circuit

PAIR = {"inductance_uh": 4, "capacitance_pf": 100}
F0_MHZ = circuit.resonance_mhz(**PAIR)


def by_hand(f_mhz):
    """A row of the table, with 6.28 and 159 000."""
    return 6.28 * f_mhz * 4, 159_000 / (f_mhz * 100)


def ohms_at_resonance(inductance_uh, capacitance_pf, q):
    f_mhz = circuit.resonance_mhz(inductance_uh=inductance_uh, capacitance_pf=capacitance_pf)
    return q * circuit.coil_reactance_ohm(f_mhz=f_mhz, inductance_uh=inductance_uh)


def thousands(number):
    return f"{number:,.0f}".replace(",", " ")


def half_left(q):
    """Swings until half is left."""
    return -log(2) / log(circuit.ring_left(turns=1, q=q))


def within_a_hundredth():
    """What the rule gives for a Q of 10, and that the circuit itself is no farther off in ohms and in MHz."""
    f_mhz = np.linspace(4, 12, 8001)
    ohms = abs(circuit.parallel_impedance(f_mhz=f_mhz, q=10, **PAIR))
    rule = ohms_at_resonance(4, 100, 10)
    assert abs(ohms.max() / rule - 1) < 0.01 and abs(f_mhz[ohms.argmax()] / F0_MHZ - 1) < 0.01
    return rule, F0_MHZ


def with_its_ohms():
    """The top of the poor pair, and where, with its 100 Ω on every frequency in place of its Q."""
    f_mhz = np.linspace(4, 12, 8001)
    coil = 100 + 1j * circuit.coil_reactance_ohm(f_mhz=f_mhz, inductance_uh=4)
    capacitor = 1j * circuit.capacitor_reactance_ohm(f_mhz=f_mhz, capacitance_pf=100)
    ohms = abs(coil * capacitor / (coil + capacitor))
    assert abs(100 * 2 - circuit.coil_reactance_ohm(f_mhz=F0_MHZ, inductance_uh=4)) < 1, "a Q of 2 there"
    return ohms.max(), f_mhz[ohms.argmax()]


def at_half_power():
    """Share of the top that the circuit itself still has half its rule's width beside the resonance."""
    edge = F0_MHZ * (1 + 0.5 / 200)
    ohms = abs(circuit.parallel_impedance(f_mhz=np.array([F0_MHZ, edge]), q=200, **PAIR))
    return ohms[1] / ohms[0]


QUOTED = {
    "with a Q of 25 the door is {:.0f} kΩ high in place of {:.0f}, and {:.0f} kHz wide": lambda: (
        ohms_at_resonance(4, 100, 25) / 1e3,
        ohms_at_resonance(4, 100, 200) / 1e3,
        1e3 * F0_MHZ / 25,
    ),
    "(rms), {:.0f} V at the peak": lambda: round(2000 * 2**0.5, -1),
    "| 4 MHz | {:.0f} Ω | {:.0f} Ω |": lambda: by_hand(4),
    "| 8 MHz | {:.0f} Ω | {:.0f} Ω |": lambda: by_hand(8),
    "| 16 MHz | {:.0f} Ω | {:.0f} Ω |": lambda: by_hand(16),
    "close to 8 MHz, with {:.0f} Ω each": lambda: circuit.coil_reactance_ohm(f_mhz=F0_MHZ, inductance_uh=4),
    "159 / 20 is {:.2f} MHz": lambda: 159 / sqrt(4 * 100),
    "The club takes {:.0f} pF": lambda: circuit.capacitance_for_pf(f_mhz=28.5, inductance_uh=1.25),
    "200 · 200 = {} Ω": lambda: thousands(ohms_at_resonance(4, 100, 200)),
    "Ours: {:.2f} MHz / 200 = {:.0f} kHz": lambda: (F0_MHZ, 1e3 * circuit.bandwidth_mhz(f_mhz=F0_MHZ, q=200)),
    "and the ohms to {:.1f} of the top": at_half_power,
    "100 V over 200 Ω, which is {} A": lambda: 100 / 200,
    "100 V over 40 000 Ω, which is {:.1f} mA": lambda: 1e3 * 100 / 40_000,
    "The rules say {:.0f} Ω at {:.2f} MHz": lambda: (ohms_at_resonance(4, 100, 2), F0_MHZ),
    "Keep {:.2f} MHz and Q": lambda: F0_MHZ,
    "√(100 · 40 000) = {:.0f} V": lambda: sqrt(100 * 40_000),
    "B. {:.0f} MHz - C. {:.0f} MHz": lambda: (14 / sqrt(4), 14 * sqrt(4)),
    "It should say half of that, {:.2f} MHz": lambda: circuit.resonance_mhz(
        inductance_uh=4, capacitance_pf=400
    ),
    "1. It halves, from {:.2f} to {:.2f} MHz": lambda: (
        F0_MHZ, circuit.resonance_mhz(inductance_uh=4, capacitance_pf=400)
    ),
    "{:.0f} % of the swing. Half the swing, a quarter of the energy, is left after {:.2f} · Q": lambda: (
        100 * circuit.ring_left(turns=200, q=200), half_left(200) / 200
    ),
    "the coil's 100 Ω stay instead, the top is {:.0f} Ω at {:.2f} MHz": with_its_ohms,
    "With a Q of 200 after {:.0f} swings, with 25 after {:.1f}": lambda: (half_left(200), half_left(25)),
    "within a hundredth of the rule's {:.0f} Ω at {:.2f} MHz": within_a_hundredth,
    "needle is twice as tall, {:.0f} kΩ": lambda: ohms_at_resonance(8, 50, 200) / 1e3,
}  # fmt: skip
GIVEN = [
    "together pick 14 MHz",
    "A. 3.5 MHz",
    "D. 56 MHz",
    "Take 4 µH and 100 pF",
    "a pair for 28.5 MHz and has coils of 1.25 µH",
    "A coil of 200 Ω reactance and 1 Ω resistance",
    "Put 100 V across",
    "from 100 to 400 pF",
    "Back to 100 pF",
    "50 µH with 10 pF (and a resistor of 33 Ω",
    "for 7.1 MHz with a Q of 150",
    "7.12 MHz and 47.3 kHz",
    "If all of 100 W went into its 40 000 Ω",
    "Lesson 03 still finds 650 V",
    "with 8 µH and 50 pF",
]
