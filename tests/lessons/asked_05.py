"""What lesson 05 asks of its view, and what answers it in the picture; see test_asked."""

STORM = {"line_m": 30, "antenna": 4, "condition": 1}
LONG = {"f_mhz": 7.1, "condition": 2}
ASKED = [
    ("What do the meters show", "feed_line", {"line_m": 37}, r"^shack 1\.7$"),
    ("What do the meters show", "feed_line", {"line_m": 37}, r"^antenna 3\.0$"),
    ("what reaches the antenna", "feed_line", {"line_m": 37}, r"^antenna 38 W$"),
    ("Does the shack's meter notice", "feed_line", STORM, r"^shack 2\.0$"),
    ("Does the shack's meter notice", "feed_line", STORM, r"^antenna 0 W$"),
    ("with the antenna fallen off, in the view", "feed_line", {"line_m": 60, "antenna": 4}, r"^shack 2\.0$"),
    ("What does the meter do now", "feed_line", LONG | {"line_m": 40}, r"^shack 3\.0$"),
    ("and what radio sees", "feed_line", LONG | {"line_m": 40}, r"^radio sees \d+ Ω$"),
    ("nearly 17 Ω at 21 m (69 ft)", "feed_line", LONG | {"line_m": 21}, r"^radio sees 17 Ω$"),
    ("150 Ω at 14 m (46 ft)", "feed_line", LONG | {"line_m": 14}, r"^radio sees 150 Ω$"),
]
