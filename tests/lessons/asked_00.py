"""What lesson 00 asks of its view, and what answers it in the picture; see test_asked."""

ASKED = [
    (
        "as long as the house is wide, 11 m",
        "one_wave",
        {"f_mhz": 13.6},
        r"^half-wave wire 11\.0 m \(36 ft\)$",
    ),
    ("At which frequency is the half-wave wire", "one_wave", {"f_mhz": 13.6}, r"^13\.6 MHz, "),
    ("Which amateur band is next to it", "one_wave", {"f_mhz": 13.6}, r"next to the 20-metre band$"),
    ("still fits across your garden", "one_wave", {"f_mhz": 7.1}, r"^half-wave wire 21\.1 m \(69 ft\)$"),
]
