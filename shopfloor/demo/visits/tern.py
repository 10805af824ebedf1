"""Tern: a misfire that has not come back, and an inspection for the new owner."""

from __future__ import annotations

from shopfloor.demo.visits.visit import Visit

TERN = [
    Visit(
        "tern",
        1180,
        "single",
        "tam",
        "Misses under load, worse when damp.",
        "Coil 5 breaks down when hot.",
        "Replaced ignition coil 5, cleared.",
        arrival=(("P0305", "active", 12), ("P0300", "stored", 4)),
        clears=True,
        after=(),
        trial=(),
        readings=(
            ("Compression", "168", "cranking, warm", "arrival"),
            ("Fuel pressure", "60.5", "idle, 650 rpm", "arrival"),
        ),
        charges=(("labor", "2.0"), ("PV8-1414", "1")),
        work="Replaced ignition coil 5.",
    ),
    Visit(
        "tern",
        395,
        "single",
        "tam",
        "New owner wants to know what he bought.",
        "Inspection for the new owner.",
        "Complete scan, compression, fuel and oil pressure. The earlier misfire has not come back.",
        arrival=(),
        readings=(
            ("Compression", "166", "cranking, warm", "arrival"),
            ("Oil pressure", "41", "warm, 2000 rpm", "sea-trial"),
            ("Fuel pressure", "60", "idle, 650 rpm", "arrival"),
        ),
        charges=(("labor", "2.5"),),
        days=1,
        key="new-owner",
    ),
]
