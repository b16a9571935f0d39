"""What lesson 03 asks of its views, and what answers it in the picture; see test_asked."""

ASKED = [
    ("does less than a tenth get past", "trap_dipole", {"f_mhz": 27.7}, r"^[89] %$"),
    ("does less than a tenth get past", "trap_dipole", {"f_mhz": 28.9}, r"^1\d %$"),
    ("What does the SWR say to that", "trap_dipole", {"f_mhz": 21.2}, r"^SWR over 20$"),
    ("Which numbers grow, which shrink", "trap_choice", {"inductance_uh": 5}, r"^7\.62 m \(25\.0 ft\) long$"),
    ("both bands lose the same", "trap_choice", {"inductance_uh": 2.75}, r"^5\.\d W of heat$"),
]
