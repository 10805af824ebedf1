"""The shop of the scenario: its people, what it measures by, and its parts. All of it is invented."""

from __future__ import annotations

from dataclasses import dataclass

from staff.policy import Role


@dataclass(frozen=True)
class StaffMember:
    """One person of the shop."""

    username: str
    name: str
    role: Role
    password: str
    qualification: str = ""


HANDS = [
    StaffMember("otto", "Otto Saltmarsh", Role.OWNER, "ebb-tide-otto-1", "marine engine mechanic since 1994"),
    StaffMember("gail", "Gail Merriden", Role.MANAGER, "ebb-tide-gail-2", "marine service adviser"),
    StaffMember("nora", "Nora Halvik", Role.FRONT_DESK, "ebb-tide-nora-3"),
    StaffMember("pim", "Pim Asher", Role.TECHNICIAN, "ebb-tide-pim-4", "diesel engines"),
    StaffMember("luz", "Luz Orvell", Role.TECHNICIAN, "ebb-tide-luz-5", "outboards and electrical systems"),
    StaffMember("tam", "Tam Wrenfield", Role.TECHNICIAN, "ebb-tide-tam-6", "gasoline inboards"),
]

PROFILE = {
    "name": "Saltmarsh Engine Works",
    "address": "14 Ropewalk Lane\nPort Ellery",
    "phone": "(555) 555-0100",
    "email": "desk@saltmarsh.example",
    "units": "us",
    "currency": "USD",
    "labor_rate": "138.00",
    "time_zone": "America/New_York",
    "paper": "letter",
}

# Family key: maker, name.
FAMILIES = {
    "N6": ("Norrvik", "N6 common rail"),
    "N3": ("Norrvik", "N3 auxiliary"),
    "H15": ("Halcyra", "H1.5 outboard"),
    "H25": ("Halcyra", "H2.5 outboard"),
    "PV8": ("Pellmar", "V8 gasoline"),
    "Z9": ("Zephyrine", "Z9 jet"),
    "QG": ("Quillon", "QG generator"),
}

LimitRow = tuple[str, str, str | None, str | None, str | None, str]

# A card of one model: family key, model, from which year on, the page, and its limits as below.
MODEL_CARD: tuple[str, str, int, str, list[LimitRow]] = (
    "N6",
    "N6-310",
    2021,
    "appendix B",
    [("Oil pressure", "warm, 700 rpm", "16", "24", "42", "psi")],
)

# Invented limits: parameter, condition, at least, nominal, at most, unit.
CARDS: dict[str, list[LimitRow]] = {
    "N6": [
        ("Oil pressure", "warm, 700 rpm", "18", "26", "44", "psi"),
        ("Oil pressure", "warm, 2000 rpm", "44", "58", "73", "psi"),
        ("Coolant temperature", "warm, 2000 rpm", "165", "180", "194", "degF"),
        ("Exhaust gas temperature", "full load", None, "790", "930", "degF"),
        ("Boost pressure", "full load", "20", "24", "29", "psi"),
        ("Charging voltage", "2000 rpm", "27.2", "28.0", "28.8", "V"),
        ("Raw water pump pressure", "2000 rpm", "9", "13", "18", "psi"),
    ],
    "N3": [
        ("Oil pressure", "warm, 850 rpm", "14", "20", "43", "psi"),
        ("Coolant temperature", "warm, 2000 rpm", "160", "172", "187", "degF"),
        ("Charging voltage", "2000 rpm", "13.6", "14.2", "14.8", "V"),
        ("Compression", "cranking, warm", "400", "440", "480", "psi"),
    ],
    "H15": [
        ("Fuel pressure", "idle, 650 rpm", "38", "43", "46", "psi"),
        ("Charging voltage", "2000 rpm", "13.5", "14.2", "14.8", "V"),
        ("Wide-open-throttle speed", "two people, half fuel", "5000", "5500", "6000", "rpm"),
        ("Compression", "cranking, warm", "150", "175", "200", "psi"),
    ],
    "H25": [
        ("Fuel pressure", "idle, 600 rpm", "44", "49", "52", "psi"),
        ("Charging voltage", "2000 rpm", "13.5", "14.3", "14.9", "V"),
        ("Wide-open-throttle speed", "two people, half fuel", "5400", "5800", "6200", "rpm"),
        ("Raw water pump pressure", "idle, 600 rpm", "4", "7", "14", "psi"),
    ],
    "PV8": [
        ("Oil pressure", "warm, 650 rpm", "8", "15", "40", "psi"),
        ("Oil pressure", "warm, 2000 rpm", "30", "42", "60", "psi"),
        ("Fuel pressure", "idle, 650 rpm", "55", "60", "65", "psi"),
        ("Coolant temperature", "warm, 2000 rpm", "150", "160", "178", "degF"),
        ("Compression", "cranking, warm", "140", "165", "190", "psi"),
    ],
    "Z9": [
        ("Fuel pressure", "idle, 1300 rpm", "54", "58", "62", "psi"),
        ("Charging voltage", "3000 rpm", "13.4", "14.1", "14.7", "V"),
        ("Sensor supply voltage", "key on", "4.75", "5.00", "5.25", "V"),
    ],
    "QG": [
        ("Generator frequency", "half load", "58.5", "60", "61.5", "Hz"),
        ("Generator output voltage", "half load", "114", "120", "126", "V"),
        ("Coolant temperature", "half load", "160", "175", "190", "degF"),
    ],
}

# Number, maker, description, price.
PARTS = [
    ("N6-1107", "Norrvik", "Coolant temperature sender", "84.60"),
    ("N6-2210", "Norrvik", "Heat exchanger core gasket set", "61.25"),
    ("N6-2204", "Norrvik", "Thermostat, 176 °F", "73.90"),
    ("N6-2260", "Norrvik", "Raw water impeller kit", "118.40"),
    ("N6-3302", "Norrvik", "Fuel filter, primary", "38.40"),
    ("N6-3303", "Norrvik", "Fuel filter, secondary", "29.75"),
    ("N6-4001", "Norrvik", "Boost pressure sensor", "142.00"),
    ("N3-0150", "Norrvik", "Raw water impeller kit", "46.80"),
    ("N3-0171", "Norrvik", "Alternator belt", "24.30"),
    ("N3-0220", "Norrvik", "Glow plug", "31.10"),
    ("H15-0606", "Halcyra", "Low-pressure fuel filter", "18.95"),
    ("H15-0611", "Halcyra", "Fuel pump, vapor separator", "318.00"),
    ("H15-0304", "Halcyra", "Spark plug", "9.85"),
    ("H25-0606", "Halcyra", "Low-pressure fuel filter", "21.40"),
    ("H25-0818", "Halcyra", "Water pump repair kit", "94.20"),
    ("H25-0905", "Halcyra", "Shift position switch", "57.30"),
    ("PV8-1414", "Pellmar", "Ignition coil", "69.00"),
    ("PV8-1420", "Pellmar", "Throttle position sensor", "88.50"),
    ("PV8-2001", "Pellmar", "Riser gasket", "22.40"),
    ("Z9-0712", "Zephyrine", "Throttle position sensor", "104.75"),
    ("Z9-0730", "Zephyrine", "Wear ring", "139.00"),
    ("QG-0040", "Quillon", "Belt", "27.60"),
    ("CON-0010", "", "Heat-shrink butt connector, 16-14", "0.95"),
    ("OIL-1540", "", "Engine oil 15W-40, gallon", "31.00"),
    ("OIL-2540", "", "Four-stroke outboard oil, quart", "11.40"),
    ("ANO-0007", "", "Pencil anode", "7.20"),
    ("BAT-0031", "", "Starting battery, 12 V, 800 A cold cranking", "214.00"),
]


@dataclass(frozen=True)
class Gauge:
    """An instrument of the shop, how many days ago it was calibrated, and for how many days that holds."""

    key: str
    kind: str
    make: str
    serial: str
    calibrated_ago: tuple[int, ...]
    holds_days: int = 365


INSTRUMENTS = (
    Gauge("gauges", "Pressure gauge set", "Tidewell G2", "TG2-0417", (1440, 1080, 720, 360, 24)),
    Gauge("meter", "Multimeter", "Tidewell M1", "TM1-2290", (1400, 1030, 500)),
)
"""The meter's last calibration ran out months ago, and the register says so."""
