"""What lesson 04 asks of its view, and what answers it in the picture; see test_asked."""

ASKED = [
    ("What do half a turn more", "coax_trap", {}, r"^28\.86 MHz$"),
    ("What do half a turn more", "coax_trap", {"turns": 4.5}, r"^25\.\d\d MHz$"),
    ("two millimetres of pipe", "coax_trap", {"form_diameter_mm": 35}, r"^2[67]\.\d\d MHz$"),
    ("Which numbers change", "coax_trap", {"hookup": "braid"}, r"^28\.86 MHz$"),
    *(
        ("come to the 20-metre band", "coax_trap", {"form_diameter_mm": pipe, "turns": turns}, f"^{says}$")
        for pipe, turns, says in (
            (49, 5, "20 metres"),
            (48, 5, "in no band"),
            (50, 5, "in no band"),
            (40, 6, "20 metres"),
            (39, 6, "in no band"),
            (41, 6, "in no band"),
            (34, 7, "in no band"),
            (35, 7, "in no band"),
        )
    ),
    ("What is left", "coax_trap", {"hookup": "wrong joint"}, r"^no coil left$"),
]
