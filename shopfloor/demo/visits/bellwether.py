"""Bellwether: a shift alarm that came back, and a service of both engines."""

from __future__ import annotations

from shopfloor.demo.visits.visit import Visit

BELLWETHER = [
    Visit(
        "bellwether",
        1010,
        "starboard",
        "luz",
        "Starboard will not go into gear at first try, alarm beeps twice.",
        "Shift position switch sticks.",
        "Replaced the shift position switch and set the cable.",
        arrival=(("E41-SHIFT", "active", 2),),
        clears=True,
        after=(),
        charges=(("labor", "2.0"), ("H25-0905", "1")),
        work="Replaced shift position switch H25-0905.",
    ),
    Visit(
        "bellwether",
        640,
        "port",
        "luz",
        "Low water pressure on port, tell-tale weak.",
        "Impeller set to one side, housing scored.",
        "Water pump repair kit, flushed, checked thermostat.",
        arrival=(("E22-WATER", "active", 5),),
        clears=True,
        after=(),
        trial=(),
        readings=(
            ("Raw water pump pressure", "3.1", "idle, 600 rpm", "arrival"),
            ("Raw water pump pressure", "7.4", "idle, 600 rpm", "after-repair"),
        ),
        charges=(("labor", "3.0"), ("H25-0818", "1")),
        work="Water pump repair kit H25-0818.",
    ),
    Visit(
        "bellwether",
        280,
        "starboard",
        "luz",
        "Shift alarm again on starboard.",
        "Switch connector full of salt; the switch itself tests good.",
        "Cleaned and sealed the connector, cleared.",
        arrival=(("E41-SHIFT", "active", 7),),
        clears=True,
        after=(),
        charges=(("labor", "1.0"), ("CON-0010", "3")),
        work="Cleaned and sealed the shift switch connector.",
    ),
    Visit(
        "bellwether",
        5,
        "port",
        "luz",
        "Both engines due for 500-hour service, and the port alarm came up once in fog.",
        arrival=(("E22-WATER", "stored", 1),),
        readings=(
            ("Raw water pump pressure", "4.4", "idle, 600 rpm", "arrival"),
            ("Charging voltage", "14.3", "2000 rpm", "arrival"),
        ),
        charges=(("labor", "6.0"), ("H25-0818", "2")),
        fits=(("H25-0818", "1", "starboard"),),
        ends="in-work",
        condition="Fender marks on the starboard quarter, old.",
        keys="Board, hook 4",
    ),
]
