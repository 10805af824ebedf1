"""The quiet visits: service without a fault."""

from __future__ import annotations

from shopfloor.demo.visits.visit import Visit

_ROUTINE = {
    "marguerite": (
        "starboard",
        "pim",
        ("Yearly service, both engines.", "Oil change and filters."),
        (("labor", "4.0"), ("OIL-1540", "8"), ("N6-3302", "2")),
        (("Oil pressure", "59", "warm, 2000 rpm", "arrival"), ("Charging voltage", "28.0", "2000 rpm", "arrival")),
    ),
    "saffron": (
        "port",
        "pim",
        ("Annual service, both engines and generator.", "Service before the trip north."),
        (("labor", "6.0"), ("OIL-1540", "10"), ("N6-3303", "2")),
        (("Oil pressure", "24", "warm, 700 rpm", "arrival"), ("Oil pressure", "55", "warm, 2000 rpm", "arrival")),
    ),
    "bellwether": (
        "port",
        "luz",
        ("100-hour service.", "Oil and gear oil, both engines."),
        (("labor", "3.0"), ("OIL-2540", "14")),
        (("Charging voltage", "14.4", "2000 rpm", "arrival"), ("Fuel pressure", "49", "idle, 600 rpm", "arrival")),
    ),
    "kittiwake": (
        "starboard",
        "luz",
        ("Service, all three engines.", "Check before the first trip."),
        (("labor", "5.0"), ("OIL-2540", "21")),
        (("Fuel pressure", "49.5", "idle, 600 rpm", "arrival"),),
    ),
    "tern": (
        "single",
        "tam",
        ("Yearly service.", "Lay-up service."),
        (("labor", "2.5"), ("ANO-0007", "2")),
        (("Oil pressure", "42", "warm, 2000 rpm", "arrival"),),
    ),
    "pintail": (
        "starboard",
        "tam",
        ("Yearly service, both engines.", "Oil and drives."),
        (("labor", "4.5"), ("ANO-0007", "4")),
        (("Oil pressure", "14", "warm, 650 rpm", "arrival"),),
    ),
    "robin": (
        "single",
        "pim",
        ("Lay-up service.", "Oil change."),
        (("labor", "1.5"), ("ANO-0007", "1")),
        (("Oil pressure", "21", "warm, 850 rpm", "arrival"),),
    ),
    "gadwall": (
        "single",
        "luz",
        ("Start-up after lay-up.",),
        (("labor", "1.0"), ("OIL-2540", "4")),
        (("Fuel pressure", "43", "idle, 650 rpm", "arrival"),),
    ),
}
_ROUTINE_DAYS = {
    "marguerite": (1400, 1210, 920, 690, 200),
    "saffron": (1340, 1160, 860, 700, 340, 160),
    "bellwether": (1190, 1090, 880, 760, 520, 400, 130),
    "kittiwake": (800, 430, 190),
    "tern": (1390, 760, 210),
    "pintail": (1300, 850, 620, 230),
    "robin": (1250, 480, 240),
    "gadwall": (1280, 610, 220),
}


def _done(motor: str) -> str:
    """What was done on a quiet visit: the scan is that of one engine, whatever else was serviced."""
    of = "" if motor == "single" else f" of the {motor} engine"
    return f"Done as agreed; complete scan{of} without codes."


def routine() -> list[Visit]:
    """The quiet visits: service without a fault, a complete scan and a reading or two."""
    made = []
    for boat, days in _ROUTINE_DAYS.items():
        motor, tech, concerns, charges, readings = _ROUTINE[boat]
        for index, ago in enumerate(days):
            made.append(
                Visit(
                    boat,
                    ago,
                    motor,
                    tech,
                    concerns[index % len(concerns)],
                    "Routine.",
                    _done(motor),
                    arrival=(),
                    readings=readings,
                    charges=charges,
                    days=1 + index % 2,
                )
            )
    return made
