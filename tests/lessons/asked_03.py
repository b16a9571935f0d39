"""What lesson 03 asks of its views, and what answers it in the picture; see test_asked."""

ASKED = [
    ("current beyond the traps under a tenth", "trap_dipole", {"f_mhz": 27.7}, r"^beyond: 8\.9 %$"),
    ("current beyond the traps under a tenth", "trap_dipole", {"f_mhz": 28.9}, r"^beyond: 10\.1 %$"),
    ("What does the SWR say to that", "trap_dipole", {"f_mhz": 21.2}, r"^SWR over 20$"),
    ("Which numbers grow, which shrink", "trap_choice", {"inductance_uh": 5}, r"^7\.62 m \(25\.0 ft\) long$"),
    ("Which numbers grow, which shrink", "trap_choice", {"inductance_uh": 5}, r"^best SWR 1\.\d, 867 kHz$"),
    ("Which numbers grow, which shrink", "trap_choice", {"inductance_uh": 5}, r"^8\.6 W of heat, 813 V$"),
    ("Which numbers grow, which shrink", "trap_choice", {"inductance_uh": 1}, r"^2\.3 W of heat, 145 V$"),
    ("best SWR | 1.8", "trap_choice", {}, r"^best SWR 1\.8, 286 kHz$"),
    ("no SWR comes down to 2", "trap_choice", {"tuned_mhz": 27.0}, r"^best SWR 2\.2, 0 kHz$"),
    ("both bands lose the same", "trap_choice", {"inductance_uh": 2.75}, r"^5\.\d W of heat, \d+ V$"),
]
