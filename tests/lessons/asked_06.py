"""What lesson 06 asks of its views, and what answers it in the picture; see test_asked."""

WAVE = {"low": "40m", "high": "20m"}
ASKED = [
    (
        "Around what does each spread",
        "wave_over_soil",
        WAVE | {"shown": 2},
        r"^image$",
    ),
    ("the least goes straight up", "wave_over_soil", WAVE | {"height_m": 20.25}, r"^−6\.\d dBi$"),
    (
        "the least goes straight up",
        "wave_over_soil",
        WAVE | {"height_m": 20.25},
        r"^straight up: least of all",
    ),
    ("How late is the echo", "wave_over_soil", WAVE | {"height_m": 20.25}, r"^against$"),
    *(
        ("Turn the ray to 30°", "wave_over_soil", WAVE | {"height_m": 20.25, "ray_deg": 30}, answer)
        for answer in (r"^7\.3 dBi$", r"^together$")
    ),
    ("What does the feed show", "soil_and_mirror", {"height_m": 2}, r"^56 Ω$"),
    ("What would it show over a mirror", "soil_and_mirror", {"height_m": 2}, r"^mirror 6 Ω$"),
    ("How many watts get out there", "soil_and_mirror", {"height_m": 2}, r"^16 W of 100$"),
    ("from which height on are there 70", "soil_and_mirror", {"height_m": 8}, r"^70 W of 100$"),
]
