"""Saffron Sky: generator, black smoke, and low oil pressure at idle."""

from __future__ import annotations

from shopfloor.demo.visits.visit import Visit

SAFFRON = [
    Visit(
        "saffron",
        980,
        "generator",
        "tam",
        "Generator stops after ten minutes under load.",
        "Cooling belt slips when warm.",
        "Replaced the belt, checked frequency under half load.",
        arrival=(("31", "active", None),),
        clears=True,
        after=(),
        readings=(
            ("Generator frequency", "57.9", "half load", "arrival"),
            ("Generator frequency", "60.1", "half load", "after-repair"),
            ("Generator output voltage", "119", "half load", "after-repair"),
        ),
        charges=(("labor", "1.5"), ("QG-0040", "1")),
        work="Replaced belt QG-0040.",
    ),
    Visit(
        "saffron",
        520,
        "starboard",
        "pim",
        "Black smoke on starboard at full throttle.",
        "Boost sensor reads 4 psi low; hose sound, no leak.",
        "Replaced the boost pressure sensor, cleared.",
        arrival=(("102-18", "active", 3), ("102-2", "stored", 9)),
        clears=True,
        after=(),
        trial=(),
        readings=(
            ("Boost pressure", "17.5", "full load", "arrival"),
            ("Boost pressure", "24.1", "full load", "sea-trial"),
        ),
        charges=(("labor", "2.0"), ("N6-4001", "1")),
        work="Replaced boost pressure sensor N6-4001.",
    ),
    Visit(
        "saffron",
        12,
        "port",
        "pim",
        "Low oil pressure alarm at idle when she is warm.",
        "Oil pressure 17 psi at idle by mechanical gauge: the alarm is right.",
        arrival=(("100-18", "active", 2),),
        readings=(
            ("Oil pressure", "17", "warm, 700 rpm", "arrival"),
            ("Oil pressure", "46", "warm, 2000 rpm", "arrival"),
        ),
        charges=(("labor", "2.0"),),
        ends="waiting-parts",
        reason="Relief valve and gasket on order, expected in four days.",
        condition="Gel coat chip at the stem. Teak unvarnished.",
        contents="Two kayaks on the rail, tender on deck.",
        keys="With the owner's pass, drawer 2",
        pasted="Unit 0 active codes:\nSPN 100 FMI 18 count 2\noil press warn\n18FECA00#04FF64001202FFFF\n",
        key="pasted",
    ),
]
