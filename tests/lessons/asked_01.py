"""What lesson 01 asks of its views; see test_asked."""

TALL = {"inductance_uh": 8, "capacitance_pf": 50}
ASKED = [
    ("What becomes of the megahertz?", "ringing", {"capacitance_pf": 400}, r"3\.98 MHz"),
    ("After how many is half the swing left?", "ringing", {"q": 200}, r"^44 swings$"),
    ("After how many is half the swing left?", "ringing", {"q": 25}, r"^5\.5 swings$"),
    ("as tall as you can", "tuned_circuit", TALL, r"80\.0 kΩ"),
    (
        "Narrower?",
        "tuned_circuit",
        TALL,
        "40 kHz wide",
    ),
    (
        "Keep 7.96 MHz and Q 200",
        "tuned_circuit",
        TALL,
        r"7\.96 MHz",
    ),
    ("What moves, and what doesn't?", "tuned_circuit", {"q": 50}, r"10\.0 kΩ"),
    ("What moves, and what doesn't?", "tuned_circuit", {"q": 50}, r"7\.96 MHz"),
]
