"""A comeback within 20 hours."""

from __future__ import annotations

from shopfloor.demo.visits.visit import Visit

SKATE = [
    Visit(
        "skate",
        705,
        "single",
        "luz",
        "Ten-hour check.",
        "Routine.",
        "Checked hoses, clamps and pump; no codes.",
        arrival=(),
        readings=(("Fuel pressure", "58.2", "idle, 1300 rpm", "arrival"),),
        charges=(("labor", "1.0"),),
        days=1,
    ),
    Visit(
        "skate",
        172,
        "single",
        "luz",
        "Goes into slow mode after a few minutes, check light on.",
        "Throttle sensor signal jumps at one third opening.",
        "Replaced the throttle position sensor, cleared the codes, ran it on the hose.",
        arrival=(("P0121", "active", 3), ("P0562", "stored", 1)),
        clears=True,
        after=(),
        readings=(
            ("Sensor supply voltage", "4.98", "key on", "arrival"),
            ("Charging voltage", "13.5", "3000 rpm", "arrival"),
        ),
        charges=(("labor", "1.5"), ("Z9-0712", "1")),
        work="Replaced throttle position sensor Z9-0712.",
        about=("P0121",),
        days=1,
    ),
    Visit(
        "skate",
        121,
        "single",
        "luz",
        "Slow mode is back, same light. It was fine for a few weeks of rentals.",
        "Sensor ground shared with the pump: 0.31 V drop with the pump on. The sensor was not the cause.",
        "Cleaned and remade the ground splice, 0.02 V now. Cleared, rode it for 45 minutes.",
        arrival=(("P0121", "active", 2),),
        clears=True,
        after=(),
        trial=(),
        readings=(
            ("Ground circuit voltage drop", "0.31", "pump on", "arrival"),
            ("Ground circuit voltage drop", "0.02", "pump on", "after-repair"),
        ),
        charges=(("labor", "1.0"), ("CON-0010", "2")),
        work="Remade sensor ground splice; drop 0.31 V to 0.02 V.",
        days=1,
        key="comeback",
    ),
]
