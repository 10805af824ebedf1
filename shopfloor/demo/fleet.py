"""The boats of the scenario, with their people and engines. All of it is invented."""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(frozen=True)
class Client:
    """A customer: name, phones, mail."""

    key: str
    name: str
    phones: tuple[tuple[str, str], ...]
    email: str = ""
    kind: str = "person"
    contact: str = ""
    address: str = ""


@dataclass(frozen=True)
class Motor:
    """An engine: where, which family and model, serial, hours when it first came in, and hours run in a year."""

    position: str
    family: str
    model: str
    serial: str
    year: int
    fuel: str
    kw: str
    rpm: tuple[int, int] | None
    start_hours: float
    hours_a_year: float
    gear: str | None = None
    propeller: str = ""
    codes: str = "spn"
    unit: str = "Engine control unit"


@dataclass(frozen=True)
class Boat:
    """A vessel and how long ago it first came in."""

    key: str
    name: str
    owner: str
    hin: str
    kind: str
    maker: str
    model: str
    year: int
    berth: str
    location: str
    first_seen: int
    motors: tuple[Motor, ...]
    remark: str = ""
    length_ft: str = ""
    notes: str = ""
    color: str = field(default="white")


CLIENTS = [
    Client(
        "ames", "Delphine Ames", (("mobile", "(555) 555-0121"), ("home", "(555) 555-0122")), "delphine@ames.example"
    ),
    Client("kroll", "Bertil Kroll", (("mobile", "(555) 555-0123"),), "bertil.kroll@mail.example"),
    Client("soto", "Imelda Soto", (("mobile", "(555) 555-0124"),), "imelda@soto.example"),
    Client("vane", "Corwin Vane", (("mobile", "(555) 555-0125"),), "corwin.vane@mail.example"),
    Client("lark", "Josepha Lark", (("mobile", "(555) 555-0126"),), "josepha@lark.example"),
    Client(
        "pilots",
        "Ellery Bar Pilots",
        (("dispatch", "(555) 555-0127"), ("office", "(555) 555-0128")),
        "dispatch@ellerypilots.example",
        kind="firm",
        contact="Ansel Thorne",
        address="Pilot Pier 2\nPort Ellery",
    ),
    Client("brandt", "Hedda and Rolf Brandvold", (("mobile", "(555) 555-0129"),), "brandvold@mail.example"),
    Client(
        "rental",
        "Lagoon Rentals",
        (("counter", "(555) 555-0131"),),
        "counter@lagoon.example",
        kind="firm",
        contact="Mika Sund",
    ),
    Client("okoro", "Chidi Fairwater", (("mobile", "(555) 555-0132"),), "chidi@fairwater.example"),
    Client("penn", "Lowell Pennifold", (("mobile", "(555) 555-0133"),), "lowell@pennifold.example"),
    Client("gray", "Tamsin Grayling", (("mobile", "(555) 555-0134"),), "tamsin@grayling.example"),
    Client("moss", "Alder Mossman", (("home", "(555) 555-0135"),)),
    Client("ruiz", "Paloma Rueda", (("mobile", "(555) 555-0136"),), "paloma@rueda.example"),
    Client("finch", "Everett Finchley", (("mobile", "(555) 555-0137"),), "everett@finchley.example"),
]


def _n6(position: str, serial: str, start: float, rate: float) -> Motor:
    return Motor(
        position, "N6", "N6-370", serial, 2019, "diesel", "276", (3000, 3400), start, rate, "1.960", "22 × 26, 4 blades"
    )


def _h25(position: str, serial: str, start: float, rate: float, year: int = 2021) -> Motor:
    return Motor(
        position,
        "H25",
        "H250",
        serial,
        year,
        "gasoline",
        "184",
        (5400, 6200),
        start,
        rate,
        "1.750",
        "15 × 17, 3 blades",
        codes="maker",
        unit="Powerhead control unit",
    )


BOATS = [
    Boat(
        "marguerite",
        "Marguerite",
        "ames",
        "ZZT10417C919",
        "inboard",
        "Tidewright",
        "38 Express",
        2019,
        "B-14",
        "slip",
        1440,
        (_n6("port", "NV6-20417", 212.0, 185), _n6("starboard", "NV6-20418", 214.5, 185)),
        length_ft="38",
    ),
    Boat(
        "plover",
        "Plover",
        "kroll",
        "ZZL20981E121",
        "outboard",
        "Lunnet",
        "22 Bay",
        2021,
        "R-07",
        "rack",
        1380,
        (
            Motor(
                "single",
                "H15",
                "H150",
                "HC15-88210",
                2021,
                "gasoline",
                "110",
                (5000, 6000),
                61.0,
                95,
                "1.860",
                "14 × 19, 3 blades",
                codes="maker",
                unit="Powerhead control unit",
            ),
        ),
        length_ft="22",
    ),
    Boat(
        "skate",
        "Skate",
        "rental",
        "ZZP30552D323",
        "pwc",
        "Zephyrine",
        "Z9 Touring",
        2023,
        "T-2",
        "trailer",
        900,
        (
            Motor(
                "single",
                "Z9",
                "Z9",
                "ZP9-11873",
                2023,
                "gasoline",
                "96",
                (7400, 7700),
                22.0,
                118,
                codes="obd",
                unit="Engine control unit",
            ),
        ),
        length_ft="11",
    ),
    Boat(
        "tern",
        "Tern",
        "vane",
        "ZZC40226A717",
        "sterndrive",
        "Cobbold Yard",
        "26 Cuddy",
        2017,
        "C-03",
        "slip",
        1410,
        (
            Motor(
                "single",
                "PV8",
                "V8-300",
                "PM8-40226",
                2017,
                "gasoline",
                "224",
                (4800, 5200),
                388.0,
                72,
                "1.810",
                "15 × 21, 3 blades",
                codes="obd",
            ),
        ),
        length_ft="26",
    ),
    Boat(
        "harmony",
        "Old Harmony",
        "lark",
        "",
        "sail",
        "Fenwater",
        "Yawl 34",
        1968,
        "M-11",
        "slip",
        1430,
        (
            Motor(
                "single",
                "N3",
                "N3-40",
                "NV3-01933",
                2004,
                "diesel",
                "29",
                (2800, 3000),
                2841.0,
                88,
                "2.150",
                "17 × 12, 2 blades",
                codes="flash",
                unit="Glow and charge control",
            ),
        ),
        remark="Built 1968, before hull identification numbers.",
        length_ft="34",
        color="dark green",
    ),
    Boat(
        "bellwether",
        "Bellwether",
        "pilots",
        "ZZF50077B222",
        "work",
        "Fenwater",
        "31 Pilot",
        2022,
        "Pilot pier",
        "away",
        1200,
        (_h25("port", "HC25-70077", 140.0, 420), _h25("starboard", "HC25-70078", 141.5, 420)),
        length_ft="31",
        color="orange",
    ),
    Boat(
        "saffron",
        "Saffron Sky",
        "brandt",
        "ZZT60930F020",
        "inboard",
        "Tidewright",
        "46 Passage",
        2020,
        "A-02",
        "slip",
        1395,
        (
            _n6("port", "NV6-22930", 318.0, 130),
            _n6("starboard", "NV6-22931", 317.0, 130),
            Motor(
                "generator",
                "QG",
                "QG-9",
                "QLN-09114",
                2020,
                "diesel",
                "9",
                (1800, 1800),
                402.0,
                210,
                codes="flash",
                unit="Generator controller",
            ),
        ),
        length_ft="46",
    ),
    Boat(
        "dabchick",
        "Dabchick",
        "rental",
        "ZZP30553D323",
        "pwc",
        "Zephyrine",
        "Z9 Touring",
        2023,
        "T-3",
        "trailer",
        890,
        (Motor("single", "Z9", "Z9", "ZP9-11874", 2023, "gasoline", "96", (7400, 7700), 25.0, 110, codes="obd"),),
        length_ft="11",
        color="yellow",
    ),
    Boat(
        "kittiwake",
        "Kittiwake",
        "okoro",
        "ZZL71204G323",
        "outboard",
        "Lunnet",
        "36 Offshore",
        2023,
        "B-20",
        "slip",
        860,
        (
            _h25("port", "HC25-91204", 30.0, 160, 2023),
            _h25("center", "HC25-91205", 30.5, 160, 2023),
            _h25("starboard", "HC25-91206", 30.0, 160, 2023),
        ),
        length_ft="36",
    ),
    Boat(
        "firefly",
        "Firefly",
        "penn",
        "ZZC80345L616",
        "inboard",
        "Cobbold Yard",
        "20 Ski",
        2016,
        "R-21",
        "rack",
        1350,
        (
            Motor(
                "single",
                "PV8",
                "V8-260",
                "PM8-30345",
                2016,
                "gasoline",
                "194",
                (4600, 5000),
                520.0,
                60,
                "1.500",
                "13 × 13, 4 blades",
                codes="obd",
            ),
        ),
        length_ft="20",
        color="red",
    ),
    Boat(
        "gadwall",
        "Gadwall",
        "gray",
        "ZZL90018H818",
        "outboard",
        "Lunnet",
        "17 Skiff",
        2018,
        "R-03",
        "rack",
        1300,
        (
            Motor(
                "single",
                "H15",
                "H115",
                "HC15-50018",
                2018,
                "gasoline",
                "85",
                (5000, 6000),
                190.0,
                55,
                "2.080",
                "13 × 17, 3 blades",
                codes="maker",
                unit="Powerhead control unit",
            ),
        ),
        length_ft="17",
        color="gray",
    ),
    Boat(
        "robin",
        "Ragged Robin",
        "moss",
        "ZZF11209J505",
        "sail",
        "Fenwater",
        "Sloop 29",
        2005,
        "M-04",
        "slip",
        1280,
        (
            Motor(
                "single",
                "N3",
                "N3-20",
                "NV3-02210",
                2005,
                "diesel",
                "15",
                (3000, 3200),
                1220.0,
                40,
                "2.150",
                "15 × 10, 2 blades",
                codes="flash",
                unit="Glow and charge control",
            ),
        ),
        length_ft="29",
        color="blue",
    ),
    Boat(
        "pintail",
        "Pintail",
        "ruiz",
        "ZZC12877K414",
        "sterndrive",
        "Cobbold Yard",
        "30 Sport",
        2014,
        "C-09",
        "slip",
        1320,
        (
            Motor(
                "port",
                "PV8",
                "V8-300",
                "PM8-12877",
                2014,
                "gasoline",
                "224",
                (4800, 5200),
                610.0,
                80,
                "1.810",
                "15 × 21, 3 blades",
                codes="obd",
            ),
            Motor(
                "starboard",
                "PV8",
                "V8-300",
                "PM8-12878",
                2014,
                "gasoline",
                "224",
                (4800, 5200),
                612.0,
                80,
                "1.810",
                "15 × 21, 3 blades",
                codes="obd",
            ),
        ),
        length_ft="30",
    ),
    Boat(
        "sandpiper",
        "Sandpiper",
        "finch",
        "ZZP31010E424",
        "pwc",
        "Zephyrine",
        "Z9 Sport",
        2024,
        "T-8",
        "trailer",
        420,
        (Motor("single", "Z9", "Z9-S", "ZP9-15010", 2024, "gasoline", "110", (7500, 7800), 18.0, 70, codes="obd"),),
        length_ft="11",
        color="teal",
    ),
]
