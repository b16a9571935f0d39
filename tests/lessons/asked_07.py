"""What lesson 07 asks of its views, and what answers it in the picture; see test_asked."""

WAVE = {"low": "20m", "high": "10m", "toward_deg": 15}
BOTH = {"low": "20m", "high": "10m", "toward_deg": 15}
ASKED = [
    ("At which height are there two lobes", "wave_over_soil", WAVE | {"height_m": 10.5}, r"^2 lobes$"),
    ("and on 10?", "wave_over_soil", WAVE | {"height_m": 5.25, "upper": 1}, r"^2 lobes$"),
    ("does most go to the club", "wave_over_soil", WAVE | {"height_m": 11.25, "upper": 1}, r"^7\.6 dBi$"),
    (
        "does most go to the club",
        "wave_over_soil",
        WAVE | {"height_m": 11.25, "upper": 1},
        r"^at 15°: most of all",
    ),
    ("how much at 20.25 m", "wave_over_soil", WAVE | {"height_m": 20.25, "upper": 1}, r"^−14\.4 dBi$"),
    ("takeoff angle on 10 metres reads 15°", "height", BOTH | {"height_m": 9.4}, r"^10 metres 15°$"),
    ("What is it on 20 metres", "height", BOTH | {"height_m": 9.4}, r"^20 metres 31°$"),
    ("Why not 20 m", "height", BOTH | {"height_m": 20}, r"^−15\.4 dBi at 15°$"),
    ("note both takeoff angles", "height", {"low": "40m", "high": "20m"}, r"^20 metres \d+°$"),
]
