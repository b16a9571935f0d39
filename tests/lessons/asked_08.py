"""What lesson 08 asks of its view, and what answers it in the picture; see test_asked."""

FRIEND, COUSIN = {"band": 2, "elevation_deg": 15}, {"band": 1, "elevation_deg": 71}
ASKED = [
    ("Which height is enough for it", "where_it_lands", FRIEND, r"^. 13.5 m \(44 ft\) is enough$"),
    ("From which angle on is it lost", "where_it_lands", {"elevation_deg": 57}, r"^goes through: lost$"),
    ("How near to you does anybody hear you", "where_it_lands", FRIEND, r"^skip zone 381 km$"),
    ("Which ray comes down at the cousin", "where_it_lands", COUSIN, r"^71°$"),
    ("Which ray comes down at the cousin", "where_it_lands", COUSIN, r"^lands 197 km$"),
    ("How high should the wire hang for that", "where_it_lands", COUSIN, r"^. 5.5 m \(18 ft\) is enough$"),
    ("What has become of 20 metres", "where_it_lands", {"when": 1}, r"^closed: nothing returns$"),
    ("Of 40", "where_it_lands", {"when": 1, "band": 1}, r"^skip zone 941 km$"),
    ("Which band reaches the cousin now", "where_it_lands", {"when": 1, "band": 0}, r"^no skip zone$"),
]
