"""Lines that hold no code: lamps, words of a code, denials, and why a line was not understood."""

import re

from engineering.codes.code import CodeProblem, CodeSystem
from engineering.codes.notation import beyond_range, make_code

_LAMP = re.compile(
    r"\b(MIL|MALFUNCTION INDICATOR|CHECK ENGINE|RED STOP|STOP ENGINE|AMBER WARNING|PROTECT)\b(?: LAMP| LIGHT)?"
    r"(?: STATUS| IS)?[ :=-]{1,4}(ON|OFF|FLASHING)\b"
)
_LAMP_NAMES = {
    "MIL": "malfunction indicator lamp",
    "MALFUNCTION INDICATOR": "malfunction indicator lamp",
    "CHECK ENGINE": "malfunction indicator lamp",
    "RED STOP": "red stop lamp",
    "STOP ENGINE": "red stop lamp",
    "AMBER WARNING": "amber warning lamp",
    "PROTECT": "protect lamp",
}
_MISTYPED = re.compile(r"(?<![A-Z0-9])[PCBU][0-9OI][0-9A-FOI]{3}(?![A-Z0-9])")
DESCRIPTION = re.compile(
    r"(?<![A-Z])(?:LOW|HIGH|ABOVE|BELOW|CIRCUIT|MISFIRE|LOST|SIGNAL|LEAN|RICH|THRESHOLD|MALFUNCTION|PERFORMANCE"
    r"|TEMPERATURE|PRESSURE|VOLTAGE"
    r"|COMMUNICATION|SENSOR|HOT|OIL|OVERHEAT|OVERTEMP|COOLANT|BOOST|CRANKSHAFT|THROTTLE)(?![A-Z])"
)
EARLIER = re.compile(
    r"(?<![A-Z])(?=[A-Z]{2})"
    r"(?:PREVIOUS|BEFORE|PRE-?(?:REPAIR|SERVICE|CLEAR|REPARATUR)|LAST (?:VISIT|TIME|YEAR|JOB|SEASON|SCAN|SERVICE)"
    r"|EARLIER|YESTERDAY|OLD|PRIOR"
    r"|FORMER|SISTER|WROTE|FORWARDED|FWD|ORIGINAL MESSAGE|SCHRIEB|ECRIT|ESCRIBIO|HA SCRITTO|SCHREEF|ESCREVEU"
    r"|SKREV|KIRJOITTI"
    r"|OTHER (?:BOAT|ENGINE|VESSEL)|EXAMPLES?|SAMPLE|TEMPLATE|SIMULAT[A-Z]{2,4}|TRAINING|DEMO|VORHER|AVANT|ANTES"
    r"|PRIMA|VOOR)(?![A-Z])"
)
"""Lines that say that what stands below them is not of today, or not of this boat."""
NOW = re.compile(
    r"(?<![A-Z])(?=[A-Z]{2})(?:TODAY|NOW|AFTER|POST-?(?:REPAIR|SERVICE|CLEAR|SCAN|REPARATUR)|CURRENT(?:LY)?"
    r"|THIS (?:VISIT|TIME|BOAT)|NACHHER|APRES|DESPUES"
    r"|DOPO)(?![A-Z])"
)
_DENIAL = re.compile(
    r"^\W*(NOT (?:PRESENT|FOUND|SET|STORED|ACTIVE|THERE|CONFIRMED|SEEN|ANY ?MORE)|CLEARED|ERASED|DELETED|GONE|FIXED"
    r"|RESOLVED|REPAIRED|NONE|NO|OK|PASS(?:ED)?"
    r"|RULED OUT|ABSENT)(?![A-Z])"
)


def lamps_in(line: str) -> list[str]:
    """The lamps that a tidied line names, each with its state."""
    if "O" not in line and "F" not in line:
        return []
    return [f"{_LAMP_NAMES[name]} {state.lower()}" for name, state in _LAMP.findall(line)]


def says_not(line: str) -> str:
    """The words by which a line denies what stands above it; empty where it does not."""
    match = _DENIAL.match(line)
    return match[1] if match else ""


def why_unknown(line: str) -> str:
    """Why a line gives nothing, and how to mend it where that is known."""
    mistyped = _MISTYPED.search(line)
    if mistyped and sum(character.isdigit() for character in mistyped[0]) >= 2:
        try:
            make_code(CodeSystem.OBD, mistyped[0])
        except CodeProblem as problem:
            return problem.sentence
    if sentence := beyond_range(line):
        return f"Written like an SPN with an FMI, but not one. {sentence} The text is kept."
    return "Nothing in it was read as a code, a status, a lamp or a frame. The text is kept."
