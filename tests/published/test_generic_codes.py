"""Meanings of generic codes: by the patterns of SAE J2012's numbers, and beside python-OBD 0.7's list of descriptions.

python-OBD is an open library, used in tests only. Its list leaves out what J2012 has in parentheses, so numbers of
banks and most of sensors are checked by pattern, from memory of the standard. Words here are our own throughout.
"""

import re

import pytest
from obd.codes import DTC

from engineering.codes.generic import all_meanings
from engineering.codes.obd import controlled_by, decode_dtc
from tests.look.test_plain_words import INSTEAD

WORDS = {code: meaning.words for code, meaning in all_meanings().items()}
LETTERS = "ABCDEFGHIJKL"


def in_two_bytes(code: str) -> bytes:
    """A code's letter and first digit in the four upper bits, and its other digits as they are."""
    return bytes(("PCBU".index(code[0]) << 6 | int(code[1]) << 4 | int(code[2], 16), int(code[3:], 16)))


def in_a_row(first: str, *words: str) -> dict[str, str]:
    """Meanings of codes that follow each other, from ``first`` on."""
    return {f"{first[:2]}{int(first[2:]) + place:03d}": said for place, said in enumerate(words)}


def test_there_are_many_and_each_is_complete():
    assert len(WORDS) >= 400
    assert {code[:2] for code in WORDS} == {"P0", "P2", "U0"}
    assert all(one.source == "from memory, SAE J2012 numbering" and one.subsystem for one in all_meanings().values())
    assert all(controlled_by(code) == "ISO/SAE" and decode_dtc(*in_two_bytes(code)) == code for code in WORDS)


def test_no_two_codes_say_the_same():
    assert len(set(WORDS.values())) == len(WORDS)


def test_each_is_one_short_line_of_plain_words_without_advice():
    odd = re.compile(
        rf"{'|'.join(INSTEAD)}|\b(check|replace|repair|inspect|clean|because|caused?|should|must)\b|[.;:]$"
    )
    assert not {code: said for code, said in WORDS.items() if len(said) > 110 or odd.search(said)}
    assert not {code: said for code, said in WORDS.items() if re.search(r"[^a-zA-Z0-9 ,()'-]|  ", said)}


@pytest.mark.parametrize(
    ("first", "step", "said"),
    [
        ("P0201", 1, "injector circuit fault, cylinder {}"), ("P0261", 3, "injector circuit low, cylinder {}"),
        ("P0262", 3, "injector circuit high, cylinder {}"), ("P0263", 3, "contribution out of balance, cylinder {}"),
        ("P0301", 1, "misfire detected, cylinder {}"), ("P0671", 1, "glow plug circuit fault, cylinder {}"),
    ],
)  # fmt: skip
def test_cylinders_1_to_12(first, step, said):
    rows = {f"P0{int(first[2:]) + step * place:03d}": said.format(place + 1) for place in range(12)}
    assert {code: WORDS.get(code) for code in rows} == rows


@pytest.mark.parametrize(
    ("first", "step", "said"),
    [
        ("P0351", 1, "primary or secondary circuit fault"), ("P2300", 3, "primary control circuit low"),
        ("P2301", 3, "primary control circuit high"), ("P2302", 3, "secondary circuit fault"),
    ],
)  # fmt: skip
def test_ignition_coils_have_letters_and_not_cylinders(first, step, said):
    rows = {
        f"{first[:2]}{int(first[2:]) + step * place:03d}": f"ignition coil {letter}, {said}"
        for place, letter in enumerate(LETTERS)
    }
    assert {code: WORDS.get(code) for code in rows} == rows


SENSOR = ("circuit fault", "signal out of range or not plausible", "signal low", "signal high", "signal intermittent")


@pytest.mark.parametrize(
    ("first", "name"),
    [
        ("P0070", "ambient air temperature"), ("P0095", "intake air temperature"), ("P0100", "air mass"),
        ("P0105", "manifold"), ("P0110", "intake air"), ("P0115", "coolant temperature"), ("P0120", "throttle"),
        ("P0180", "fuel temperature"), ("P0190", "fuel rail pressure"), ("P0195", "oil temperature"),
        ("P0220", "throttle"), ("P0225", "throttle"), ("P0325", "knock"), ("P0330", "knock"), ("P0335", "crankshaft"),
        ("P0340", "camshaft"), ("P0345", "camshaft"), ("P0365", "camshaft"), ("P0385", "crankshaft"),
        ("P0390", "camshaft"), ("P0460", "fuel level"), ("P0470", "exhaust pressure"), ("P0710", "transmission"),
        ("P0840", "transmission"), ("P2120", "throttle"), ("P2125", "throttle"), ("P2130", "throttle"),
        ("P2182", "coolant temperature"), ("P2226", "barometric"), ("P2264", "water-in-fuel"), ("P2452", "particulate"),
    ],
)  # fmt: skip
def test_the_five_codes_of_a_sensor_stand_in_the_order_of_the_standard(first, name):
    of = WORDS[first].removesuffix(f", {SENSOR[0]}")
    assert name in of
    rows = in_a_row(first, *(f"{of}, {said}" for said in SENSOR))
    assert {code: WORDS.get(code) for code in rows} == rows


OXYGEN = (("P0130", 1, 1), ("P0136", 1, 2), ("P0142", 1, 3), ("P0150", 2, 1), ("P0156", 2, 2), ("P0162", 2, 3))
HEATERS = (("P0030", 1, 1), ("P0036", 1, 2), ("P0042", 1, 3), ("P0050", 2, 1), ("P0056", 2, 2), ("P0062", 2, 3))


def test_oxygen_sensors_are_counted_by_bank_and_place():
    said = (*SENSOR[:1], *SENSOR[2:4], "slow to respond", "no activity detected", "heater circuit fault")
    rows = {}
    for first, bank, sensor in OXYGEN:
        rows |= in_a_row(first, *(f"oxygen sensor, bank {bank} sensor {sensor}, {one}" for one in said))
    for first, bank, sensor in HEATERS:
        control = ("control circuit fault", "control circuit low", "control circuit high")
        rows |= in_a_row(first, *(f"oxygen sensor heater, bank {bank} sensor {sensor}, {one}" for one in control))
    assert {code: WORDS.get(code) for code in rows} == rows


# From memory of J2012: how far behind the code of bank 1 the code of bank 2 stands
BANKS = (
    ("P0008", 1, 1), ("P0010", 6, 10), ("P0016", 2, 2), ("P0075", 6, 6), ("P0170", 3, 3), ("P0340", 5, 5),
    ("P0365", 5, 25), ("P0420", 3, 10), ("P0544", 3, 3), ("P0638", 1, 1), ("P0660", 3, 3), ("P2002", 1, 1),
    ("P2004", 1, 1), ("P2006", 1, 1), ("P2008", 3, 3), ("P2014", 5, 5), ("P2088", 4, 4), ("P2096", 2, 2),
    ("P2177", 2, 2), ("P2187", 2, 2), ("P2191", 2, 2), ("P2195", 2, 2), ("P2270", 2, 2),
)  # fmt: skip


def test_banks_1_and_2_agree_in_wording():
    pairs = {
        f"{first[:2]}{int(first[2:]) + place:03d}": f"{first[:2]}{int(first[2:]) + place + behind:03d}"
        for first, many, behind in BANKS
        for place in range(many)
    }
    assert {two: WORDS[two] for two in pairs.values()} == {
        two: WORDS[one].replace("bank 1", "bank 2") for one, two in pairs.items()
    }
    assert all("bank 1" in WORDS[one] for one in pairs)


# What must be in both or in neither, as it is written here and there
MARKS = {
    r"\blow(er)?\b|underboost": r"\blow(er)?\b|underboost|flow insufficient",
    r"not warm enough": "insufficient coolant temp",
    r"\bhigh(er)?\b|overboost": r"\bhigh(er)?\b|overboost|excessive",
    "lean": "lean", "rich": "rich", "stuck": "stuck", "intermittent": "intermittent", "advanced": "advanced",
    "retarded": "retarded", "secondary": "secondary", "primary": "primary", "supply": "supply",
}  # fmt: skip
SUBJECTS = {
    "coolant": "coolant", "oil": "oil", "oxygen": "o2|ho2s", "injector": "inject", "misfire": "misfire", "coil": "coil",
    "camshaft": "camshaft", "crankshaft": "crankshaft", "knock": "knock", "throttle": "throttle", "glow": "glow",
    "exhaust": "exhaust", "recirculation": "recirculation", "catalyst": "catalyst", "fuel ": "fuel|purge",
    "starter": "starter", "turbocharger": "turbo", "wastegate": "wastegate", "manifold": "manifold|map",
    "generator": "generator", "idle": "idle", "barometric": "barometric", "transmission": "transmission|tcm",
    "temperature": "temp", "pressure": "pressure|map/", "relay": "relay", "reference": "reference", "trim": "trim",
    "lost communication": "lost communication", "invalid data": "invalid data", "CAN": "can ", "level": "level",
    "voltage": "voltage", "neutral": "neutral", "pump": "pump", "pedal": "pedal", "nitrogen": "nox",
    "memory": "memory|ram|rom|checksum", "overspeed": "overspeed", "purge": "evap.* purge", "heater": "heater",
    "not plausible": "performance", "not as commanded": "performance|control",
}  # fmt: skip
NOT_IN_THE_LIST = {"P0016", "P0017", "P0018", "P0019"}
"""Sensors A and B of these stand in parentheses in the standard, which python-OBD's list leaves out."""


def disagreements(words: dict[str, str]) -> dict[str, tuple[str, str]]:
    """Codes whose words and python-OBD's description differ in a mark, number or letter, or in what they are about."""
    found = {}
    for code, said in words.items():
        there = DTC.get(code, "")
        here, theirs = (
            re.sub(r"(high|low)[- ](speed|resolution|pressure)", "", one, flags=re.I) for one in (said, there)
        )
        agrees = (
            all(bool(re.search(one, here)) == bool(re.search(other, theirs, re.I)) for one, other in MARKS.items())
            and all(re.search(other, there, re.I) for one, other in SUBJECTS.items() if one in said)
            and re.findall(r"cylinder (\d+)", said) == re.findall(r"Cylinder #?(\d+)", there)
            and (code in NOT_IN_THE_LIST or letters(said) == letters(there))
        )
        if there and not agrees:
            found[code] = (said, there)
    return found


def letters(said: str) -> set[str]:
    """The capital letters that tell one of several from the others."""
    return set(re.findall(r"\b[A-L]\b", said))


def test_meanings_agree_with_the_descriptions_of_an_open_library():
    assert len(set(WORDS) & set(DTC)) > 750
    assert disagreements(WORDS) == {}


@pytest.mark.parametrize(
    ("code", "other"),
    [
        ("P0117", "P0118"), ("P0171", "P0172"), ("P0301", "P0302"), ("P0351", "P0352"), ("P0097", "P0182"),
        ("P0115", "P0116"), ("P0642", "P0652"), ("P2301", "P2302"), ("P0011", "P0012"), ("U0100", "U0101"),
    ],
)  # fmt: skip
def test_words_under_another_number_are_found(code, other):
    assert disagreements({code: WORDS[other]})
