"""What happened to the boats: every visit of the scenario as plain data, oldest first when sorted by days ago."""

from __future__ import annotations

import re
from dataclasses import dataclass

_SEVERAL = re.compile(r"\b(?:both|all three|engines)\b", re.IGNORECASE)

# A code with its status and count: ("110-0", "active", 3). A reading: parameter, value, condition, phase.
Codes = tuple[tuple[str, str, int | None], ...]
Readings = tuple[tuple[str, str, str, str], ...]
# A charge: "labor" with hours, or a part number with a quantity.
Charges = tuple[tuple[str, str], ...]
# A part that went in: its number, how many, and into which engine.
Fits = tuple[tuple[str, str, str], ...]


@dataclass(frozen=True)
class Visit:
    """One job. ``ends`` is the state it is in today; findings go to one engine, ``motor`` (its position).

    ``about`` are the codes that the work was about, all that were found where it is empty. ``fits`` are the parts that
    went in where those are not what is charged.
    """

    boat: str
    days_ago: int
    motor: str
    tech: str
    concern: str
    cause: str = ""
    correction: str = ""
    arrival: Codes | None = None
    clears: bool = False
    after: Codes | None = None
    trial: Codes | None = None
    readings: Readings = ()
    charges: Charges = ()
    ends: str = "closed"
    days: int = 2
    work: str = ""
    about: tuple[str, ...] = ()
    fits: Fits | None = None
    condition: str = ""
    contents: str = ""
    keys: str = ""
    reason: str = ""
    pasted: str = ""
    key: str = ""

    @property
    def is_of_one_engine(self) -> bool:
        """Whether the customer spoke of one engine. Where not, the job's line names none."""
        return _SEVERAL.search(self.concern) is None


# The fault that returned three times and whose last repair held.
MARGUERITE = [
    Visit(
        "marguerite",
        1290,
        "port",
        "pim",
        "Alarm and red screen at cruise, smelled hot. She slowed down by herself.",
        "Coolant temperature sender read 18 °F high against an infrared thermometer.",
        "Replaced the coolant temperature sender, cleared the code, ran it at the dock.",
        arrival=(("110-0", "active", 2), ("190-16", "stored", 1)),
        clears=True,
        after=(),
        trial=(),
        readings=(
            ("Coolant temperature", "201", "warm, 2000 rpm", "arrival"),
            ("Coolant temperature", "183", "warm, 2000 rpm", "sea-trial"),
        ),
        charges=(("labor", "2.5"), ("N6-1107", "1")),
        work="Replaced coolant temperature sender N6-1107.",
        about=("110-0",),
    ),
    Visit(
        "marguerite",
        1120,
        "port",
        "pim",
        "Same alarm again, port side, on the way back from the point.",
        "Thermostat opened late: 188 °F in the pot instead of 176 °F.",
        "Replaced thermostat and gasket, bled the system, cleared the code.",
        arrival=(("110-0", "active", 4),),
        clears=True,
        after=(),
        trial=(),
        readings=(
            ("Coolant temperature", "198", "warm, 2000 rpm", "arrival"),
            ("Coolant temperature", "184", "warm, 2000 rpm", "after-repair"),
        ),
        charges=(("labor", "3.0"), ("N6-2204", "1")),
        work="Replaced thermostat N6-2204.",
    ),
    Visit(
        "marguerite",
        790,
        "port",
        "tam",
        "Port engine hot again above 2800. Third time this happens.",
        "Raw water pump impeller missing two vanes.",
        "Replaced impeller, found and removed both vanes from the cooler inlet, cleared the code.",
        arrival=(("110-0", "active", 3), ("110-16", "stored", 6)),
        clears=True,
        after=(),
        trial=(),
        readings=(
            ("Raw water pump pressure", "7.5", "2000 rpm", "arrival"),
            ("Raw water pump pressure", "12.5", "2000 rpm", "after-repair"),
            ("Coolant temperature", "186", "warm, 2000 rpm", "sea-trial"),
        ),
        charges=(("labor", "4.0"), ("N6-2260", "1")),
        work="Replaced raw water impeller; removed loose vanes from the cooler.",
    ),
    Visit(
        "marguerite",
        560,
        "port",
        "pim",
        "Overheat warning after an hour at 3000. Only port.",
        "Heat exchanger core scaled: 41 °F across the tube bundle at 2000 rpm where starboard shows 24 °F.",
        "Pulled the core, cleaned it, new gaskets, pressure-tested at 15 psi, cleared the code, 45 min at 3000 rpm.",
        arrival=(("110-0", "active", 5),),
        clears=True,
        after=(),
        trial=(),
        readings=(
            ("Coolant temperature", "203", "warm, 2000 rpm", "arrival"),
            ("Raw water pump pressure", "12.8", "2000 rpm", "arrival"),
            ("Coolant temperature", "178", "warm, 2000 rpm", "sea-trial"),
            ("Exhaust gas temperature", "795", "full load", "sea-trial"),
        ),
        charges=(("labor", "7.5"), ("N6-2210", "1")),
        work="Cleaned heat exchanger core, new gaskets N6-2210, pressure-tested.",
        days=4,
        key="exchanger",
    ),
    Visit(
        "marguerite",
        330,
        "port",
        "pim",
        "Yearly service, both engines.",
        "Routine.",
        "Oil, filters, anodes, belts checked. Complete scan of the port engine without codes.",
        arrival=(),
        readings=(
            ("Oil pressure", "57", "warm, 2000 rpm", "arrival"),
            ("Coolant temperature", "177", "warm, 2000 rpm", "arrival"),
        ),
        charges=(("labor", "5.0"), ("N6-3302", "2"), ("N6-3303", "2"), ("OIL-1540", "8")),
    ),
    Visit(
        "marguerite",
        24,
        "port",
        "pim",
        "Survey coming up, please give us a condition report.",
        "Inspection for a condition report.",
        "Scanned the port engine, measured it at idle, 2000 rpm and full load.",
        arrival=(),
        trial=(),
        readings=(
            ("Oil pressure", "25", "warm, 700 rpm", "arrival"),
            ("Oil pressure", "57", "warm, 2000 rpm", "sea-trial"),
            ("Coolant temperature", "178", "warm, 2000 rpm", "sea-trial"),
            ("Exhaust gas temperature", "802", "full load", "sea-trial"),
            ("Boost pressure", "23.6", "full load", "sea-trial"),
            ("Charging voltage", "27.9", "2000 rpm", "sea-trial"),
            ("Raw water pump pressure", "9.6", "2000 rpm", "sea-trial"),
        ),
        charges=(("labor", "4.0"),),
        days=3,
        key="survey",
    ),
]

# A reading that creeps to its limit: fuel pressure at idle, at least 38 psi.
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

# A comeback within 20 hours.
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

OTHERS = [
    Visit(
        "dabchick",
        700,
        "single",
        "luz",
        "Ten-hour check.",
        "Routine.",
        "Checked; no codes.",
        arrival=(),
        charges=(("labor", "1.0"),),
        days=1,
    ),
    Visit(
        "dabchick",
        310,
        "single",
        "luz",
        "Shudders on take-off.",
        "Wear ring gouged by a stone.",
        "Replaced the wear ring, cleared an old voltage code.",
        arrival=(("P0562", "stored", 2),),
        clears=True,
        after=(),
        charges=(("labor", "2.0"), ("Z9-0730", "1")),
        work="Charged the battery; replaced the wear ring.",
    ),
    Visit(
        "kittiwake",
        590,
        "center",
        "luz",
        "Center engine alarm, low water flow.",
        "Plastic bag over the inlet.",
        "Removed, flushed, cleared.",
        arrival=(("E22-WATER", "stored", 1),),
        clears=True,
        after=(),
        readings=(("Raw water pump pressure", "7.9", "idle, 600 rpm", "after-repair"),),
        charges=(("labor", "0.8"),),
        work="Cleared the water inlet.",
        days=1,
    ),
    Visit(
        "kittiwake",
        3,
        "port",
        "luz",
        "Port engine surges between 3000 and 3500.",
        arrival=(("E17-FUEL", "active", 4), ("E09-VOLT", "stored", 1)),
        readings=(("Fuel pressure", "44.6", "idle, 600 rpm", "arrival"),),
        charges=(("labor", "1.5"), ("H25-0606", "1")),
        ends="sea-trial",
        cause="Fuel pressure near its lower limit; filter half blocked.",
        correction="Replaced the filter, cleared; sea trial tomorrow.",
        clears=True,
        after=(),
        work="Replaced fuel filter H25-0606.",
        about=("E17-FUEL",),
        keys="Board, hook 1",
    ),
    Visit(
        "firefly",
        940,
        "single",
        "tam",
        "Stumbles when the throttle is opened quickly.",
        "Throttle position sensor noisy.",
        "Replaced the sensor.",
        arrival=(("P0122", "active", 6),),
        clears=True,
        after=(),
        trial=(),
        charges=(("labor", "1.5"), ("PV8-1420", "1")),
        work="Replaced throttle position sensor PV8-1420.",
    ),
    Visit(
        "firefly",
        330,
        "single",
        "tam",
        "Lay-up service.",
        "Routine.",
        "Drained, fogged, battery out.",
        arrival=(),
        charges=(("labor", "2.5"),),
        days=1,
    ),
    Visit(
        "firefly",
        1,
        "single",
        "tam",
        "Cranks slowly, then nothing. The battery is not old.",
        ends="estimate",
        condition="Trailer light broken on arrival.",
        keys="Envelope 21",
    ),
    Visit(
        "gadwall",
        900,
        "single",
        "luz",
        "Annual service.",
        "Routine.",
        "Oil, plugs, gear oil.",
        arrival=(),
        readings=(("Compression", "176", "cranking, warm", "arrival"),),
        charges=(("labor", "1.5"), ("H15-0304", "4")),
        days=1,
    ),
    Visit(
        "gadwall",
        420,
        "single",
        "luz",
        "Dies at idle when warm.",
        "Vapor separator pump weak: 31 psi.",
        "Replaced pump, 43 psi.",
        arrival=(("E17-FUEL", "active", 3),),
        clears=True,
        after=(),
        readings=(
            ("Fuel pressure", "31", "idle, 650 rpm", "arrival"),
            ("Fuel pressure", "43", "idle, 650 rpm", "after-repair"),
        ),
        charges=(("labor", "2.5"), ("H15-0611", "1")),
        work="Replaced vapor separator pump H15-0611.",
    ),
    Visit(
        "gadwall",
        8,
        "single",
        "luz",
        "Alarm tone and a flashing number, would like to know what it is.",
        arrival=(("E17-FUEL", "active", 1),),
        readings=(("Fuel pressure", "37.5", "idle, 650 rpm", "arrival"),),
        charges=(("labor", "1.0"),),
        ends="waiting-customer",
        reason="Left a message about the price of a second pump.",
        cause="Fuel pressure below the limit again, 37.5 psi.",
    ),
    Visit(
        "robin",
        860,
        "single",
        "pim",
        "Commissioning after lay-up.",
        "Routine.",
        "Impeller, belt, oil; ran it in the slip.",
        arrival=(),
        readings=(
            ("Oil pressure", "22", "warm, 850 rpm", "arrival"),
            ("Charging voltage", "14.3", "2000 rpm", "arrival"),
        ),
        charges=(("labor", "2.0"), ("N3-0150", "1")),
    ),
    Visit(
        "robin",
        14,
        "single",
        "pim",
        "Exhaust smells and the hose is hot to the touch.",
        "Mixing elbow half closed.",
        "Elbow cleaned; new one advised.",
        arrival=(),
        charges=(("labor", "2.0"),),
        ends="ready",
        trial=(),
        readings=(
            ("Coolant temperature", "184", "warm, 2000 rpm", "arrival"),
            ("Coolant temperature", "171", "warm, 2000 rpm", "sea-trial"),
        ),
        keys="Board, hook 9",
    ),
    Visit(
        "pintail",
        1100,
        "port",
        "tam",
        "Port engine backfires at cruise.",
        "Riser gasket leaks water into number 7.",
        "New riser gaskets on port, compression good.",
        arrival=(("P0307", "active", 9),),
        clears=True,
        after=(),
        trial=(),
        readings=(("Compression", "158", "cranking, warm", "arrival"),),
        charges=(("labor", "6.5"), ("PV8-2001", "4")),
        work="Replaced riser gaskets, port.",
        days=3,
    ),
    Visit(
        "pintail",
        480,
        "starboard",
        "tam",
        "Starboard runs rough at idle.",
        "Throttle position sensor reads 0.9 V closed.",
        "Replaced and set.",
        arrival=(("P0123", "active", 2), ("P0562", "stored", 1)),
        clears=True,
        after=(),
        charges=(("labor", "1.5"), ("PV8-1420", "1")),
        work="Replaced throttle position sensor PV8-1420.",
        about=("P0123",),
    ),
    Visit(
        "pintail",
        6,
        "port",
        "tam",
        "Check both engines for codes; we want to sell her.",
        ends="authorized",
        keys="Board, hook 12",
        condition="Canvas torn on the port side.",
    ),
    Visit(
        "sandpiper",
        300,
        "single",
        "luz",
        "First service.",
        "Routine.",
        "Oil, pump, steering checked.",
        arrival=(),
        charges=(("labor", "1.2"),),
        days=1,
    ),
    Visit(
        "sandpiper",
        20,
        "single",
        "luz",
        "Will not plane with two people.",
        "Debris in the pump.",
        "Cleared the pump; no codes before or after.",
        arrival=(),
        after=(),
        charges=(("labor", "0.7"),),
        ends="waiting-weather",
        reason="Water test when the northerly is through.",
        keys="Board, hook 3",
    ),
    Visit(
        "firefly",
        700,
        "single",
        "tam",
        "Tune-up, please.",
        reason="Customer sold the trailer and will come back with another one.",
        ends="canceled",
    ),
]

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


def all_visits() -> list[Visit]:
    """Every visit, oldest first."""
    stories = [*MARGUERITE, *PLOVER, *SKATE, *HARMONY, *TERN, *BELLWETHER, *SAFFRON, *OTHERS, *routine()]
    return sorted(stories, key=lambda visit: (-visit.days_ago, visit.boat))
