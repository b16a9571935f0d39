"""What lesson 00 asks of its view, and what answers it in the picture; see test_asked."""

ASKED = [
    (
        "as long as the house is wide, 11 m",
        "one_wave",
        {"f_mhz": 13.6},
        r"^as long as the house$",
    ),
    (
        "At which frequency is the half-wave wire",
        "one_wave",
        {"f_mhz": 13.6},
        r"^13\.6 MHz, between 30 and 20 metres$",
    ),
    ("as long as the bus", "one_wave", {"f_mhz": 12.5}, r"^as long as the bus$"),
    ("still fits across your garden", "one_wave", {"f_mhz": 7.1}, r"^half-wave wire 21\.1 m \(69 ft\)"),
]
