"""What lesson 00 asks of its view, and what answers it in the picture; see test_asked."""

ASKED = [
    (
        "as long as the house is wide, 11 m",
        "one_wave",
        {"f_mhz": 13.6},
        r"^half-wave wire 11\.0 m \(36 ft\)$",
    ),
    ("At which frequency is the half-wave wire", "one_wave", {"f_mhz": 13.6}, r"^13\.6 MHz, "),
    ("as long as the bus", "one_wave", {"f_mhz": 12.5}, r"^half-wave wire 12\.0 m \(39 ft\)$"),
    ("still fits across your garden", "one_wave", {"f_mhz": 7.1}, r"^half-wave wire 21\.1 m \(69 ft\)$"),
]
