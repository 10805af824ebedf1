"""Old Harmony: glow plugs, an hour meter that was replaced, and a charge lamp that glows."""

from __future__ import annotations

from shopfloor.demo.visits.visit import Visit

HARMONY = [
    Visit(
        "harmony",
        1330,
        "single",
        "pim",
        "Hard to start in the morning, smokes white.",
        "Two of three glow plugs open.",
        "Replaced all three glow plugs. Starts in two seconds.",
        arrival=(("12", "stored", None),),
        clears=True,
        after=(),
        readings=(
            ("Compression", "438", "cranking, warm", "arrival"),
            ("Charging voltage", "14.1", "2000 rpm", "after-repair"),
        ),
        charges=(("labor", "1.5"), ("N3-0220", "3")),
        work="Replaced three glow plugs N3-0220.",
    ),
    Visit(
        "harmony",
        610,
        "single",
        "pim",
        "Hour meter can hardly be read, panel went dark once.",
        "The hour meter still counts; window cracked and fogged, terminals green.",
        "Read the old hour meter, fitted a new one, cleaned the panel feed. The engine's true hours go on.",
        arrival=(),
        charges=(("labor", "1.0"),),
        days=1,
        key="meter",
    ),
    Visit(
        "harmony",
        205,
        "single",
        "pim",
        "Impeller service, and the charge lamp glows faintly.",
        "Worn alternator brush; belt glazed.",
        "Impeller kit, new belt, brushes. Charging 14.2 V.",
        arrival=(("23", "active", None),),
        clears=True,
        after=(),
        trial=(),
        readings=(
            ("Charging voltage", "13.1", "2000 rpm", "arrival"),
            ("Charging voltage", "14.2", "2000 rpm", "after-repair"),
            ("Oil pressure", "21", "warm, 850 rpm", "sea-trial"),
        ),
        charges=(("labor", "2.5"), ("N3-0150", "1"), ("N3-0171", "1")),
        work="New alternator brushes and belt.",
    ),
]
