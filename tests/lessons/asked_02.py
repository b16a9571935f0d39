"""What lesson 02 asks of its view; see test_asked."""

HALF = {"length_m": 10.56}
ASKED = [
    ("Where is the dip?", "half_wave_wire", HALF, "^dip 13.74 MHz$"),
    (
        "which way does it go in a longer wire?",
        "half_wave_wire",
        {"length_m": 11.0},
        "^dip 13.1",
    ),
    ("At which length is X nothing?", "half_wave_wire", {"length_m": 10.24}, "^X = 0 Ω$"),
    ("short of half a wave?", "half_wave_wire", {"length_m": 10.24}, "^3.0 % short$"),
    ("How wide is the dip at SWR 2?", "half_wave_wire", HALF | {"wire_mm": 0.5}, "^0.55 MHz wide$"),
    ("How wide is the dip at SWR 2?", "half_wave_wire", HALF | {"wire_mm": 4.0}, "^0.72 MHz wide$"),
]
