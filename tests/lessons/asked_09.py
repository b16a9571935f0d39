"""What lesson 09 asks of the planner, and what answers it in the picture; see test_asked."""

LOT = {"low": "40m", "high": "20m", "room_m": 18}
ASKED = [
    ("Pull the height down to 3 m", "planner", LOT | {"height_m": 3}, r"^−\d\.\d dBi$"),
    ("do 5 dBi or more go to the friend", "planner", LOT | {"height_m": 10.6}, r"^5\.0 dBi$"),
    ("Let the ends down by 4.5 m", "planner", LOT | {"height_m": 7.5, "drop_m": 4.5}, r"^−?\d\.\d dBi$"),
]
