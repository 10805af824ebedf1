"""A reading that creeps to its limit: fuel pressure at idle, at least 38 psi."""

from __future__ import annotations

from shopfloor.demo.visits.visit import Visit

_CREEP = ((1240, "43.6"), (1020, "42.9"), (830, "42.1"), (650, "41.3"), (450, "40.4"), (250, "39.6"), (60, "38.4"))
PLOVER = [
    Visit(
        "plover",
        ago,
        "single",
        "luz",
        concern,
        "Routine." if index else "First visit.",
        "Annual service: oil, filters, plugs where worn. Fuel pressure noted.",
        arrival=(),
        readings=(
            ("Fuel pressure", value, "idle, 650 rpm", "arrival"),
            ("Charging voltage", "14.2", "2000 rpm", "arrival"),
            ("Wide-open-throttle speed", "5550", "two people, half fuel", "sea-trial"),
        ),
        charges=(("labor", "2.0"), ("OIL-2540", "6"), ("H15-0606", "1")),
        days=1,
        key="creep" if ago == 60 else "",
    )
    for index, ((ago, value), concern) in enumerate(
        zip(
            _CREEP,
            (
                "Yearly service.",
                "Service and check the bilge pump.",
                "Annual service.",
                "Annual service, a bit slow out of the hole.",
                "Service.",
                "Service; hesitates now and then.",
                "Service; hesitates when warm, comes back after a minute.",
            ),
            strict=True,
        )
    )
]
