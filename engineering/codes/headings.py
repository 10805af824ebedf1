"""Lines without a code that say what the codes below them are: a status, an engine or unit, or something else."""

import re
import unicodedata
from dataclasses import dataclass

from engineering.codes.assessing_words import CLAUSE_END, DENIED_BEFORE
from engineering.codes.code import CodeStatus
from engineering.codes.vocabulary import HEADING_WORD, NOUN, SCAN_NOUN, STATUSES, UNSURE_STATUS, status_alone, status_of

_SIDE = (
    r"PORT|STARBOARD|STBD|CENTER|CENTRE|LEFT|RIGHT|INNER|OUTER|MIDDLE|MAIN|BACKBORD|STEUERBORD|BABORD|TRIBORD|BABOR"
    r"|ESTRIBOR|BB|STB"
    r"|BAKBOORD|STUURBOORD|BOMBORDO|ESTIBORDO|STYRBORD|PAAPUURI|TYYRPUURI|SINISTR[AO]|DESTR[AO]|IZQUIERD[AO]|DERECH[AO]"
    r"|ESQUERD[AO]|DIREIT[AO]|GAUCHE|DROITE?|LINKS|RECHTS"
)
_KIND = (
    r"ENGINE|MOTOR|MOTEUR|MOTORE|MOOTTORI|ENG|GENERATOR|GENSET|TRANSMISSION|GEARBOX|GEAR|DRIVE|ECM|ECU|PCM|TCM|TCU"
    r"|MODULE|UNIT"
    r"|OUTBOARD|INBOARD|STERNDRIVE"
    r"|CONTROLLER|NODE|ADDRESS|SOURCE ADDRESS|SA|HELM|THRUSTER|GEN|TRANS|GENERATEUR|GETRIEBE|STEUERGERAT"
    r"|CALCULATEUR|CENTRALINA"
)
_ROW = r"INNER|OUTER|INBOARD|OUTBOARD|CENTER|CENTRE|MIDDLE|FORWARD|AFT"
"""Which of the engines on a side."""
_UNIT = re.compile(
    r"(?<![A-Z0-9])(?=[A-Z]{2})(?!(?:UNIT|MODULE|CONTROLLER) ?[:=] ?[A-Z]{2})"
    r"(?:(?:SOURCE ADDRESS|ADDRESS|SA|NODE): ?(?:0X)?[0-9]{1,3}"
    rf"(?: ?\((?:{_KIND})(?: ?#?[0-9]{{1,2}})?\)|(?![A-Z0-9]))"
    rf"|(?:{_SIDE})(?:[ -](?:{_ROW}))?(?:[ -](?:{_KIND}))?|(?:{_KIND})(?:(?: ?[:=-] ?| )(?:{_SIDE}|ECM|ECU|PCM|TCM|TCU"
    rf"|GENERATOR|TRANSMISSION))?)(?: ?(?:NO\.? ?|NR\.? ?|= ?(?:0X)?|0X"
    rf"|#)?[0-9]{{1,3}}(?: ?[&+] ?[0-9]{{1,2}}| (?:AND|UND|ET|Y|E|EN|OG|OCH|JA) [0-9]{{1,2}})?)?(?![A-Z0-9])"
)
_LETTERS = re.compile("[A-Z]+")
_FIRST_OF_UNIT = frozenset(re.split(r"\||\s", f"{_SIDE}|{_KIND}|SOURCE|ADDRESS|SA|NODE"))
"""Without one of these in it, no line names an engine or unit."""
_OF_ITS_NAME = (
    r"(?:INTERNAL|FAILURE|FAULT|MEMORY|COMMUNICATION|SUPPLY|POWER|TEMPERATURE|VOLTAGE|RELAY|HARDWARE|SOFTWARE"
    r"|CALIBRATION|PROCESSOR|OUTPUT|INPUT|SENSOR|SPEED|OIL|COOLANT|FUEL|PRESSURE|CIRCUIT|SIGNAL)(?![A-Z])"
)
"""After "ECU 1": the two are part of what the code is called, and name no unit that it is under."""
_UNIT_BEHIND = re.compile(
    rf"(?<![A-Z0-9])(?P<unit>(?:{_SIDE})[ -](?:(?:{_ROW})[ -])?(?:{_KIND})|STARBOARD|STBD"
    rf"|(?:ENGINE|MOTOR|ENG|UNIT|ECU) ?(?:NO\.? ?|#)?[0-9]{{1,2}}(?! {_OF_ITS_NAME})"
    r"|(?:SOURCE ADDRESS|SA) ?[:=]? ?(?:0X)?[0-9]{1,3}(?![.,][0-9])"
    r"|(?<=\()(?:PORT|STBD|STARBOARD|CENTER)(?=\)))(?![A-Z0-9])"
)
_LEADS_ON = re.compile(r"\)?(?: ?(?:NO\.? ?)?#?[0-9]{0,2})? ?[:=|>]")
"""After an engine or unit: what follows is said of it, and what stands before it is not."""
_NOT_ON = re.compile(
    r"(?<![A-Z])(?:NOT|NICHT|PAS|NO|NON|NIET|BUT|EXCEPT)(?: (?:ON|AT|FOR|IN|THE|AUF|AM|SUR))*"
    rf"(?= (?:{_SIDE}|{_KIND})(?![A-Z]))"
)
"""Behind a code: the engine that follows is the one that does not have it."""
_LEADS_TO_CODE = re.compile(r"(?: (?:ENGINE|MOTOR|ENG))?[\s:|>(=\]-]*")
"""Between an engine and the next code, which is that engine's where the code before has one of its own."""
_ONE_OF_SEVERAL = re.compile(rf"[0-9]|(?<![A-Z])(?:{_SIDE})(?![A-Z])")
"""What tells one engine or unit from another of its kind: its side or its number."""
_BOTH_SIDES = re.compile(
    rf"(?<![A-Z])(?:{_SIDE})(?: (?:{_KIND})S?)? ?(?:AND|&|/|\+|UND|ET|Y|E|EN|OG|OCH|JA) ?(?:{_SIDE})"
    rf"(?:[ -](?:{_KIND})S?)?(?![A-Z])"
)
"""Two engines named together: what is said below or behind them is not of one alone."""
_KEYED = re.compile(r" ?(?:= ?[A-Z0-9]|: ?[A-Z]{0,3}[0-9])")
"""After the name of a kind: a value, as in "unit=U0001"; the name is a key then, and no engine's."""
_REFERENCE = re.compile(
    r"(?<![A-Z])(?:CAN SET|MAY SET|POSSIBLE|LEGEND|MEANINGS?|EXPLANATIONS?|TABLE|CAUSES?|SUPPORTED|EXAMPLES?|MANUAL"
    r"|CHAPTER|APPENDIX|CLEARED"
    r"|ERASED|DELETED|FIXED|REPAIRED|RESOLVED|RULED OUT|NOT|NEVER|TESTED|WITHOUT|KNOWN|GELOSCHTE?|EFFACES|BORRADOS"
    r"|HELP)(?![A-Z])"
)
_OTHER_LIST = re.compile(
    r"(?<![A-Z])(?=[A-Z])"
    r"(?:PARTS?|P/N|PN|S/N|SERIALS?|SERIAL NUMBERS?|QTY|QUANTITY|ITEMS?|STOCK|ORDER(?:ED)?|PRICES?|BINS?"
    r"|SHELF|CONNECTORS?|PINS?|PACKING"
    r"|INVOICE|ESTIMATE|QUOTE|KITS?|HOSES?|FILTERS?|TEILE?|PIECES?|PIEZAS?|ARTIKEL|ONDERDELEN|MONITORS?|SLIPS?"
    r"|BERTHS?|LOCKERS?|WIRES?"
    r"|COLOU?RS?|PAINTS?|MODELS?|FORMS?|DRAWINGS?|PHOTOS?|FILES?|KEYS?|DOORS?|PHONES?|DATES?|JOBS?|TANKS?)(?![A-Z])"
)
_OWN_NUMBER = re.compile(
    r"\W*(?:(?:SERIAL|MODEL|INVOICE|JOB|PHONE|SLIP|BERTH|TANK)|S/N|DATE|ESTIMATE|QUOTE|FILE|FORM|KEY|STOCK)"
    r"(?: ?(?:NO\.?|NR\.?|NUMBER|#|ID))?[ :=#(+.-]{1,4}[A-Z]{0,4}-?[0-9]"
)
"""A line that tells one thing's own number, "Phone 555-0177": it heads no list, of codes or of anything else."""
_OF_ONE_CODE = re.compile(r"\W*(?:DTC|CODE|FAULT) ?#?[0-9]{1,3} (?:STATUS|STATE)(?![A-Z])")
"""What is said of one numbered code heads no list."""
_NUMBER_OF_CODE = re.compile(
    r"(?<![A-Z])(?:DTC|CODE|FAULT|TROUBLE|ERROR|FEHLER|DEFAUT|ERREUR|CODIGO|FALLA|FALLO|CODICE|ERRORE|FOUT|FEJL|FEIL|FEL)"
    r" ?(?:NO\.? ?|NR\.? ?)?#?(?:[2-9][0-9]|[0-9]{3,5})(?![0-9.,])(?! (?:CODES|DTCS|FAULTS|ERRORS)(?![A-Z]))"
)
"""One code by the maker's number, "fault 118 active": it is no list's status. Up to 20 it may number the list."""
_CLEARED = re.compile(
    r"\W*(?:ALL |JUST |NOW )?(?:CLEARED|ERASED|DELETED|RESOLVED|FIXED|REPAIRED|RULED OUT|GONE|NOT (?:PRESENT|FOUND"
    r"|ACTIVE NOW))(?: [A-Z]{1,9}){0,2}\W*"
)
_COUNT = re.compile(r"[(\[]? ?(?<![A-Z0-9.,/-])([0-9]{1,3})(?![A-Z0-9]|[.,/:-][0-9]) ?[)\]]?")
NOT_A_LIST = "stands in a list of something else"
_VALUE = re.compile(r": ?[A-Z0-9]")
_NO_HEADING = "-"
ONLY_EXPLAINED = "stands where codes are explained, or listed as not there"


@dataclass(frozen=True, slots=True)
class Heading:
    """What a heading says. ``unsure`` is a word for a status that may mean more than one."""

    status: CodeStatus | None = None
    unit: str = ""
    count: int | None = None
    unsure: str = ""
    other: str = ""
    several: bool = False
    is_of_both: bool = False

    @property
    def other_sentence(self) -> str:
        """What a heading of something else means for the lines below it."""
        if self.other == NOT_A_LIST:
            return "A heading of something else than codes: what stands below it is not read as a code."
        return f"What is listed below {self.other}."


def heading_of(line: str) -> Heading | None:
    """What a tidied line says of the codes below it; None where it is no heading."""
    if len(line) > 90 or _OF_ONE_CODE.match(line) or _NUMBER_OF_CODE.search(line):
        return None
    unit = _UNIT.search(line)
    both = unit is not None and _BOTH_SIDES.search(line) is not None
    has_noun = bool(NOUN.search(line) or SCAN_NOUN.search(line))
    if other := _other_list(line):
        return Heading(other=other) if other != _NO_HEADING else None
    found = list(STATUSES.finditer(line))
    rest = STATUSES.sub(" ", line) if found else line
    count = _COUNT.search(_UNIT.sub(" ", rest) if unit else rest)
    if count:
        rest = rest.replace(count[0], " ", 1) if not _UNIT.search(count[0]) else rest
    unsure = UNSURE_STATUS.search(rest)
    alone = status_alone(_COUNT.sub(" ", line).strip(" :=#-*[]<>_"))
    words = re.findall(r"[A-Z][A-Z'-]*|[0-9]+|[^\x00-\x7f]+", _UNIT.sub(" ", rest) if unit else rest)
    if unsure:
        words = [word for word in words if word not in unsure[0].split()]
    if not all(HEADING_WORD.fullmatch(word) or SCAN_NOUN.fullmatch(word) for word in words):
        return None
    statuses = dict.fromkeys([status_of(match) for match in found] + ([alone] if alone and not found else []))
    says_unit = unit is not None and (re.search(r"[0-9]|" + _SIDE, unit[0]) is not None or not has_noun)
    says_codes = bool(statuses or has_noun or unsure)
    if not says_codes and (count or not says_unit):
        return None
    if found and not has_noun and _is_prose(line, found):
        return None
    return Heading(
        next(iter(statuses)) if len(statuses) == 1 else None,
        unit[0] if unit and says_unit and not both else "",
        int(count[1]) if count else None,
        unsure[0] if unsure and not statuses else "",
        several=len(statuses) > 1,
        is_of_both=both,
    )


def _counts_for_next(lead: str, unit: re.Match[str], *, is_first: bool) -> bool:
    """Whether a unit in front of a code is that code's; "the unit showed" names none."""
    if DENIED_BEFORE.search(CLAUSE_END.split(lead[: unit.start()])[-1]):
        return False
    if not _ONE_OF_SEVERAL.search(unit[0]) and _KEYED.match(lead, unit.end()):
        return False
    if not is_first and not re.fullmatch(r"[\s:|>(=\]-]*", lead[unit.end() :]):
        return False
    if re.search(rf"[0-9]|(?<![A-Z])(?:{_SIDE}|ECM|ECU|PCM|TCM|TCU|GENERATOR|GENSET)(?![A-Z])", unit[0]):
        return True
    return not re.search(r"[A-Z]{2}", NOUN.sub(" ", STATUSES.sub(" ", lead[: unit.start()] + lead[unit.end() :])))


def _other_list(line: str) -> str:
    """What a line heads that is no list of codes that are there; empty where it may head one."""
    if NOUN.search(line):
        return ONLY_EXPLAINED if _REFERENCE.search(STATUSES.sub(" ", line)) else ""
    if _CLEARED.fullmatch(line):
        return ONLY_EXPLAINED
    if not _OTHER_LIST.search(line) or len(line.split()) > 8 or STATUSES.search(line) or _VALUE.search(line):
        return ""
    if _OWN_NUMBER.match(line):
        return _NO_HEADING
    return NOT_A_LIST if _is_bare(line, _OTHER_LIST) or line.endswith(":") else _NO_HEADING


def without_units(line: str) -> str:
    """A tidied line without the names of engines and units in it."""
    return _UNIT.sub(" ", line) if may_name_units(line) else line


def is_unit(cell: str) -> bool:
    """Whether a tidied cell is the name of an engine or unit and no more: "STARBOARD", "ENGINE 2"."""
    return _UNIT.fullmatch(cell) is not None


def units_of(line: str, spans: list[tuple[int, int]]) -> list[str]:
    """The engine or unit that a line names for each of its codes: the "ENGINE 2" of "ENGINE 2: P0217"; "" for none.

    In front of a code it counts for that and the codes after it; behind one ("P0217 on the port engine") for it alone.
    """
    if not may_name_units(line):
        return [""] * len(spans)
    named, found = "", []
    for number, (start, end) in enumerate(spans):
        lead = line[spans[number - 1][1] if number else 0 : start]
        units = list(_UNIT.finditer(lead[-60:])) if len(lead) > 2 else []
        if units and _BOTH_SIDES.search(lead[-60:]):
            named = ""
        elif units and _counts_for_next(lead[-60:], units[-1], is_first=not number):
            named = units[-1][0]
        after = line[end : spans[number + 1][0] if number + 1 < len(spans) else len(line)][:120]
        if denied := _NOT_ON.search(after):
            after = after[: denied.start()]
        behind = _UNIT_BEHIND.search(before_next_unit(after))
        if behind and number + 1 < len(spans) and named and _ONE_OF_SEVERAL.search(named):
            behind = None if _LEADS_TO_CODE.fullmatch(after, behind.end()) else behind
        in_front = units[-1][0] if units and not number else ""
        if behind and in_front and _ONE_OF_SEVERAL.search(in_front):
            found.append("" if _ONE_OF_SEVERAL.search(behind["unit"]) else named)
            continue
        found.append(behind["unit"] if behind else named)
    return found


def may_name_units(line: str) -> bool:
    """Whether one of the words is in a tidied line that the names of engines and units begin with."""
    return not _FIRST_OF_UNIT.isdisjoint(_LETTERS.findall(line))


def is_one_of_several(name: str) -> bool:
    """Whether a tidied text is no more than the name of one engine or unit among others: "PORT", "ENGINE 2"."""
    return is_unit(name) and _ONE_OF_SEVERAL.search(name) is not None


def before_next_unit(after: str) -> str:
    """What follows a code in its line, up to where the line goes on with another engine: "; ENGINE 2 HAS NO CODES"."""
    for unit in _UNIT.finditer(after):
        lead = after[: unit.start()]
        if _ONE_OF_SEVERAL.search(unit[0]) and (
            _LEADS_ON.match(after, unit.end()) or lead.rstrip()[-1:] in (";", "/", ".", "|")
        ):
            return lead
    return after


def as_written(unit: str, text: str) -> str:
    """A tidied name as it stands in the text it was read from."""
    plain = "".join(_without_accent(sign) for sign in text)
    match = re.search(re.escape(unit).replace(r"\ ", r"\s+"), plain, re.IGNORECASE)
    return text[match.start() : match.end()] if match else unit.capitalize()


def _without_accent(sign: str) -> str:
    """The letter below an accent; any other sign as it is, so that each keeps its place."""
    return sign if sign.isascii() else unicodedata.normalize("NFKD", sign)[0]


def _is_bare(line: str, pattern: re.Pattern[str]) -> bool:
    words = re.findall(r"[A-Z]+", pattern.sub(" ", line))
    return len(words) <= 2


def _is_prose(line: str, found: list[re.Match[str]]) -> bool:
    """Whether a line of statuses without a name for codes has more in it than them, and is not set off as a heading."""
    covered = sum(match.end() - match.start() for match in found)
    letters = sum(sign.isalpha() for sign in line)
    return letters - sum(sign == " " for sign in "".join(m[0] for m in found)) > covered and not line.endswith(":")
