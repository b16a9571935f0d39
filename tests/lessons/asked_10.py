"""What lesson 10 asks of its view, and what answers it in the picture; see test_asked."""

ASKED = [
    ("what has happened on 20 metres", "trimming", {"inner_cm": 11}, r"^14\.0\d$"),
    ("How many centimetres", "trimming", {"inner_cm": 11}, r"^28\.5\d$"),
    ("Where is 20 metres now", "trimming", {"inner_cm": 11, "outer_cm": 8}, r"^14\.36$"),
    ("Find a pair that suits both", "trimming", {"inner_cm": 10.5, "outer_cm": 2}, r"^14\.1\d$"),
]
