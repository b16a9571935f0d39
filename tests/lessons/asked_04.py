"""What lesson 04 asks of its view, and what answers it in the picture; see test_asked."""

ASKED = [
    ("What do half a turn more", "coax_trap", {}, r"^28\.86 MHz$"),
    ("What do half a turn more", "coax_trap", {"turns": 4.5}, r"^25\.\d\d MHz$"),
    ("two millimetres of pipe", "coax_trap", {"form_diameter_mm": 35}, r"^2[67]\.\d\d MHz$"),
    ("Which numbers change", "coax_trap", {"hookup": "braid"}, r"^28\.86 MHz$"),
    ("come to the 20-metre band", "coax_trap", {"form_diameter_mm": 49, "turns": 5}, r"^20 metres$"),
    ("What is left", "coax_trap", {"hookup": "wrong joint"}, r"^no coil left$"),
]
