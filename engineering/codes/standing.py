"""How a code stands in its line: as one of a list, in a sentence, denied, or as something that only looks like a code.

Only what stands in a list is taken by itself. What may be there is offered with its reason. What the line says is not
there, or only may be, or is a part or a place, is told and not offered. Common practice of reading notes, no source.
"""

import re
from dataclasses import dataclass

from engineering.codes.vocabulary import HEADING_WORD, NOUN, SCAN_NOUN

_W = r"(?<![A-Z0-9'])(?:{})(?![A-Z0-9'])"


def _words(*words: str) -> re.Pattern[str]:
    return re.compile(_W.format("|".join(words)))


_DENIED_BEFORE = re.compile(
    r"(?<![A-Z0-9'])(?:NO(?! ?[.:#]? ?[0-9]| ?[.:] ?$)|NOT|NEVER|WITHOUT|NEITHER|NOR|NONE OF|CLEARED|CLEARING|CLEAR"
    r"|ERASED|DELETED|RULED OUT"
    r"|EXCLUDED|FIXED|RESOLVED|REPAIRED|CURED|CHECKED FOR|CHECK FOR|LOOKED FOR|LOOK FOR|WATCH(?:ED)? FOR"
    r"|TEST(?:ED)?(?: FOR)?"
    r"|DIDN'?T|DOESN'?T|HASN'?T|HAVEN'?T|ISN'?T|WASN'?T|WON'?T|RESET|LACKS|INSTEAD OF|RATHER THAN|EXCEPT|BUT NOT"
    r"|KEIN(?:E[NRS]?)?|NICHT|OHNE|GELOSCHT|AUCUNE?|PAS|SANS|EFFACEE?|SIN|NINGUN[OA]?|BORRADO|NESSUN[OA]?|SENZA"
    r"|CANCELLATO|GEEN"
    r"|NIET|ZONDER|GEWIST|SEM|NENHUMA?|NAO|APAGADO|INGEN|IKKE|UDEN|UTEN|SLETTET|INGA|INGET|INTE|UTAN|RADERAD|EI|EIKA"
    r"|ILMAN|POISTETTU|NON)(?![A-Z0-9'])"
)
_NEXT_DENIED = _words(
    r"NO|NOT|NEVER|WITHOUT|NOR|BUT NOT|NEITHER|EXCEPT|KEINE?|NICHT|OHNE|AUCUN|PAS|SANS|SIN|NINGUN|NESSUN|SENZA|GEEN"
    r"|ZONDER|SEM|NENHUM"
    r"|INGEN|UDEN|UTEN|INGA|UTAN|EI"
)
_MAYBE_BEFORE = _words(
    r"IF|WHENEVER|WHEN|COULD|WOULD|MIGHT|SHOULD|UNLESS|IN CASE|EXAMPLES?|E\.G\.?|EG|FOR INSTANCE|SUCH AS|LIKE|MEANS"
    r"|MEANING"
    r"|EXPLANATION|LEGEND|BULLETIN|BOOK|SUPPORTED|POSSIBLE|UNITS WITH|PREVIOUSLY|REMEMBERS?|USED TO|FORMERLY|SEE|DID"
    r"|DOES"
    r"|ANY|ENTER|MANUAL|CHAPTER|SUSPECT|EXPECT|MAYBE|PERHAPS|FALLS|WENN|SI|SE|ALS|HVIS|OM|JOS"
    r"|(?:MAY|CAN) (?:SET|TRIGGER|CAUSE|GIVE|BE|COME|RETURN|SHOW|THROW|APPEAR|LEAD TO|RESULT IN)"
    r"|LAST (?:YEAR|TIME|SEASON|JOB|MONTH|WEEK)|HAD|WAS|WERE|EARLIER|PRIOR"
)
_FOUND = _words(
    r"NOT (?:CURRENTLY )?(?:PRESENT|FOUND|SET|STORED|DETECTED|THERE|SEEN|LOGGED|RECORDED|LISTED|SHOWING|COME"
    r"|RETURN(?:ED)?|READ)"
    r"|NO LONGER|NOT ANY ?MORE|(?:DID|DOES|HAS|HAVE|IS|WAS|WERE) NOT|(?:DIDN|DOESN|HASN|HAVEN|ISN|WASN|WON)'?T|NEVER"
    r"|RULED OUT|EXCLUDED|CLEARED|ERASED|DELETED|GONE|RESOLVED|FIXED|REPAIRED|CURED|ABSENT|N/A|PASS|PASSED|GELOSCHT"
    r"|BEHOBEN|HEALED|OK|NOTHING FOUND"
    r"|NO (?:FAULT|PROBLEM|ISSUE|TROUBLE|CODE|RETURN|FINDING)S?|NOT CONFIRMED|UNCONFIRMED|NOT READY|NOT COMPLETED?"
    r"|EFFACEE?|BORRAD[OA]|NO VOLVIO|CANCELLAT[OA]|GEWIST|APAGAD[OA]|SLETTET|RADERA[DT]|POISTETTU|PROBLEM|AND SO ON"
)
_DENIED_ALONE = re.compile(
    r"(?:^|[,;:|()\[\]=-]) ?(?:(?:IS|WAS|RESULT|PRESENT|STATUS) ?[:=]? ?)?"
    r"(?:NOT OK|NO|NONE|NIL|OK|N/A|NEIN|NON|NEE|NEJ|NEI|KEINE?|AUCUN|NINGUNO|NESSUNO|NAO|ABSENT|CLEAR|EI)"
    r" ?(?:$|[,;:|()\[\].!])"
)
_MAYBE_AFTER = _words(
    r"DEFINITION|DEFINED|MEANS|WOULD|COULD|MIGHT|COMES? BACK|IF|LAST (?:YEAR|TIME|SEASON|JOB|MONTH|WEEK)|YEARS? AGO"
    r"|SEASONS? AGO"
    r"|NEED(?:S|ED)?|AGO"
)
_SENTENCE = _words(
    r"IS|ARE|WAS|WERE|HAS|HAVE|HAD|CAME|COMES|SHOWS?|SHOWED|SETS|RETURNS?|RETURNED|APPEARED|APPEARS|AGAIN|FROM"
    r"|BECAUSE|SAYS|SAID"
    r"|WE|I|YOU|HE|THEY|THEN|AFTER|BEFORE|UNTIL|NUR|WAR|WIRD|ETAIT|EST|ERA|FUE|ESTABA|VAR|OLI"
)
_PARTS = _words(
    r"PARTS?|P/N|PN|S/N|KITS?|ITEM|QTY|PCS|PIECES?|ORDER(?:ED)?|STOCK|SHELF|BIN|AISLE|BAY|BERTH|SLIP|DOCK|LOCKER"
    r"|CABINET|DRAWER"
    r"|GATE|CONNECTORS?|HARNESS|WIRE|PAINT|COLOU?R|KEYS?|DOOR|LOCK|MODEL|SERIALS?|HULL|HIN|FORM|SHEET|FILE|PHOTOS?"
    r"|PRICE|INVOICE"
    r"|CRATE|GASKETS?|IMPELLERS?|HOSES?|CLAMPS?|BRACKETS?|SUITE|STREET|ROAD|HOOK|SUPPLIER|AFTERMARKET|PACKING|DUE"
    r"|COST|PAID"
    r"|NET|TAX|REF|FITTED|FITS|REPLACED|SWAPPED|ADDRESS|ZIP|TICKET|TEIL|TEILE|PIECE|PIEZA|PEZZO|ONDERDEEL|PECA|DELE"
    r"|DEL|OSA"
    r"|LABOU?R|DIAGNOSE|DIAG|TSB|QUOTE|DECLINED|IN CABINET|FANS? DECK|PLUG|PUMP|FILTERS?|SENDERS?|NEW"
)
_PRICE = re.compile(
    r"[$€£] ?[0-9]|[0-9][.,][0-9]{2}(?![0-9.,:])(?: ?(?:EUR|USD|GBP))?(?! ?(?:V|A|H|BAR|PSI|MPA|KPA|S|MM|IN|C|F|L"
    r"|GAL))|(?:EUR|USD)"
)
_FAULT_WORDS = _words(
    r"LOW|HIGH|ABOVE|BELOW|CIRCUIT|MISFIRES?|LOST|LOSS|OVER|RANGE|SIGNAL|SHORT(?:ED)?|OPEN|LEAN|RICH|THRESHOLD"
    r"|INTERMITTENT"
    r"|MALFUNCTION|FAULT|FAILURE|FAILED|ERROR|PERFORMANCE|IMPLAUSIBLE|PLAUSIBLE|OVERHEAT(?:ING|ED)?"
    r"|OVERTEMP(?:ERATURE)?"
    r"|CORRELATION|STUCK|DETECTED|OVERSPEED|TIMEOUT|INVALID|INCORRECT"
)
_HEDGES = _words(
    r"NOT|NO|NEVER|WITHOUT|NON|NICHT|KEINE?|PAS|SANS|SIN|NIET|GEEN|NAO|SEM|IKKE|INTE|EI|MAYBE|PERHAPS|PROBABLY"
    r"|SUSPECTED|POSSIBLY|UNSURE"
    r"|TEST|INSPECTION|APPROVAL|RECALL|CAMPAIGN|PAUSE|THEN|RESET|OLD|FALSE|EXPECTED|KNOWN|NORMALLY|TYPICALLY|USUALLY"
)
_HARMLESS = re.compile(
    r"(?<![A-Z0-9])(?:NO (?:SIGNALS?|COMMUNICATIONS?|RESPONSE|ACTIVITY|PULSES?|CRANK|OPERATION|DATA|MESSAGES?|FLOW"
    r"|CHANGE|CONTACT|POWER|START"
    r"|LOAD|SPARK|REFERENCE|INPUT|OUTPUT|FUEL|PRESSURE|FAILURE TYPE)|NOT (?:PLAUSIBLE|LEARN(?:ED|T)|PROGRAMMED"
    r"|RECEIVED|RESPONDING|CONNECTED|CALIBRATED"
    r"|CONFIGURED|OPERATING|WORKING|REACHED|CLOSING|OPENING|STARTING|CHARGING|SWITCHING|INITIALI[SZ]ED|RECOGNI[SZ]ED"
    r"|COMMUNICATING"
    r"|ACCEPTED|AVAILABLE|CORRECT|OK TO START)|MEMORY RESET|KEIN SIGNAL|PAS DE SIGNAL|SIN SENAL|NESSUN SEGNALE"
    r"|GEEN SIGNAAL"
    r"|INTET SIGNAL|INGEN SIGNAL|EI SIGNAALIA)(?![A-Z0-9])"
)
_TIMES = re.compile(
    r"[0-9]{4}-[0-9]{1,2}-[0-9]{1,2}T?|[0-9]{1,2}[/.][0-9]{1,2}[/.][0-9]{2,4}"
    r"|[0-9]{1,2}:[0-9]{2}(?::[0-9]{2}(?:[.,][0-9]+)?)?(?: ?[AP]M)?"
)
_LEAD_OK = re.compile(
    r"[0-9]{1,4}|ECM|ECU|PCM|TCM|TCU|PORT|STARBOARD|STBD|CENTER|CENTRE|GENERATOR|TRANSMISSION|GEAR|NR|NO|N|ALARM"
    r"|WARNING|EVENT|MESSAGE|INFO"
    r"|ID|SA|SRC|SOURCE|ADDRESS|NODE|MODULE|CONTROLLER|MOTOR|CM|FTB|CRITICAL|SEVERE|UTC|Z"
)
_CLAUSE_END = re.compile(r"[.;!?|,] ")
_WORDS = re.compile(r"[A-Z?]")
_ANY = re.compile(r"[A-Z0-9]")
_FIRST_WORD = re.compile(r"[\W_]*([A-Z']+)")
_PAST = re.compile(r"(?<![A-Z])(?:WAS|WERE|BEEN|HAD|ETAIT|FUE|ERA)(?![A-Z])")
_EMPTY_RESULT = re.compile(r"[ |:;,]*-+[ |:;,]*|[ ]?=.*")
_CLEARED_LABEL = re.compile(
    r"(?<![A-Z])(?:CLEARED|ERASED|DELETED|RESOLVED|FIXED|REPAIRED|RULED OUT|BEFORE|OLD|GELOSCHT|EFFACES?|BORRADOS?"
    r"|CANCELLATI"
    r"|GEWIST|APAGADOS?|SLETTET|RADERADE?)(?: [A-Z]{1,8})? ?:"
)
_YEAR = re.compile(r"(?:19|20)[0-9]{2}")
_JOINS = re.compile(r"[ ,/&+]*(?:(?:OR|NOR|AND|ODER|UND|OU|ET|Y|O|E|OF|EN|OG|ELLER|OCH|JA|TAI|NO|THE|A)[ ,/&+]+)*")

SENTENCE = "It stands in a sentence: check that it is there now."
TWO_NUMBERS = "Two numbers, without the words SPN and FMI and without a heading for codes."
NO_SIGN = "Nothing beside it says that it is a fault code: no status, no heading, no word for it."
NOT_NOW = "is named, but the line says or may say that it is not there now"
_BEFORE_COLON = "-"
LOOKS_LIKE = "looks like a code, but may as well be a part, a place or a number"


@dataclass(frozen=True, slots=True)
class Place:
    """Where one code of a line stands, and what is known of it: its letter ("" for SPN), status or count, its name."""

    start: int
    end: int
    letter: str
    has_status: bool
    is_named: bool
    doubt: str = ""
    pair: str = ""
    denied: bool = False
    is_zero: bool = False
    is_counted: bool = False
    is_joined: bool = False


@dataclass(frozen=True, slots=True)
class Around:
    """What the lines around say: a heading of codes, a block of nothing else, a list of something else."""

    under_heading: bool = False
    in_list: bool = False
    under_other: str = ""
    is_typed: bool = False
    is_alone: bool = False
    under_noun: bool = False
    after_code: bool = False
    earlier: str = ""


@dataclass(frozen=True, slots=True)
class Standing:
    """``told``: not offered, and why. Else ``reason``: why it is only offered; empty where it is taken."""

    reason: str = ""
    told: str = ""


def standings(line: str, places: list[Place], around: Around) -> list[Standing]:
    """How each code stands; ``line`` is tidied, with statuses and counts blanked out."""
    found: list[Standing] = []
    listed = True
    parts = bool(_PARTS.search(line[:300]))
    for number, place in enumerate(places):
        before = line[places[number - 1].end if number else 0 : place.start]
        after = line[place.end : places[number + 1].start if number + 1 < len(places) else len(line)]
        if number == 0:
            listed = _is_listed(before)
        joined = bool(number and _JOINS.fullmatch(before))
        follows = joined and (found[-1].told or found[-1].reason == SENTENCE)
        if follows and not place.has_status and not place.doubt:
            found.append(found[-1])
            continue
        clause = _CLAUSE_END.split(before[-80:] + " ")[-1]
        if number + 1 < len(places):
            after = _without_next(after)
        standing = _standing(before[-80:], clause[-80:], after[:120], place, around, listed=listed, parts=parts)
        if joined and found[-1].told and not standing.told:
            standing = Standing(reason=SENTENCE)
        found.append(standing)
    return found


def _without_next(after: str) -> str:
    """What follows a code, less the word at its end that denies the next one."""
    denied = next(reversed(list(_NEXT_DENIED.finditer(after[-40:]))), None)
    if denied and not _ANY.search(after[-40:][denied.end() :]):
        return after[: max(0, len(after) - 40) + denied.start()]
    return after


def _standing(
    before: str, clause: str, after: str, place: Place, around: Around, *, listed: bool, parts: bool
) -> Standing:
    told = _told(before, clause, after, place) if place.denied or _WORDS.search(before) or _WORDS.search(after) else ""
    if told == _BEFORE_COLON:
        return Standing(reason=SENTENCE)
    told = told or around.under_other
    if told or around.is_typed:
        return Standing(reason="" if told else place.doubt, told=told)
    if place.pair:
        return _pair(place, around, before, after, listed=listed)
    found = _named(before, after, place, around, listed=listed, parts=parts)
    if around.earlier and not (found.told or found.reason):
        return Standing(reason=f"It stands under “{around.earlier}”: check that it is there now.")
    return found


def _named(before: str, after: str, place: Place, around: Around, *, listed: bool, parts: bool) -> Standing:
    """How a code stands that is no mere pair of numbers."""
    said = place.has_status or around.under_heading
    if not said and (_PRICE.search(after) or parts) and not (place.is_named and place.letter == ""):
        return Standing(told=LOOKS_LIKE)
    counted = place.is_counted and (around.in_list or around.under_heading)
    evidence = said or counted or place.is_named or bool(NOUN.search(before))
    if place.letter in ("C", "B") and not evidence and (not listed or place.doubt or place.is_joined):
        return Standing(told=LOOKS_LIKE)
    if place.doubt or (place.is_zero and not place.has_status):
        return Standing(reason=place.doubt or "Its count is 0.")
    if not listed:
        is_words = re.search(r"[A-Z]{3}", before)
        return Standing(reason=SENTENCE) if evidence or is_words else Standing(told=LOOKS_LIKE)
    return _listed(after, place, around, evidence=evidence)


def _pair(place: Place, around: Around, before: str, after: str, *, listed: bool) -> Standing:
    """Two numbers without a name: a code under a heading of codes, and only there."""
    first, _, second = place.pair.partition("-")
    like_date = int(second) > 0 and (int(first) <= 31 or (1950 <= int(first) <= 2100 and int(second) <= 12))
    is_lone = not _WORDS.search(after) and (not _WORDS.search(before) or NOUN.search(before))
    if not listed or not (is_lone or around.under_heading):
        return Standing(told=LOOKS_LIKE)
    if around.under_heading and around.under_noun:
        return Standing()
    near = around.in_list or around.after_code
    if around.is_alone or (near and not like_date) or (around.under_heading and not like_date):
        return Standing(reason=TWO_NUMBERS)
    return Standing(told=LOOKS_LIKE)


def _listed(after: str, place: Place, around: Around, *, evidence: bool) -> Standing:
    """How a code stands that begins its line or follows others."""
    is_empty = not evidence and _EMPTY_RESULT.fullmatch(after) is not None
    if is_empty or (not _ANY.search(after) and "?" not in after):
        return Standing() if not is_empty and (evidence or around.in_list) else Standing(reason=NO_SIGN)
    rest = _HARMLESS.sub(" ", after)
    first = _FIRST_WORD.match(rest)
    is_sentence = bool((first and _SENTENCE.fullmatch(first[1])) or _PAST.search(rest))
    if "?" in after or (is_sentence and not evidence):
        return Standing(told=LOOKS_LIKE if place.letter in ("C", "B") else NOT_NOW)
    if is_sentence:
        return Standing(reason=SENTENCE)
    hedge = _HEDGES.search(rest)
    if hedge:
        return Standing(reason=f"The line says “{hedge[0]}”: check what it says of the code.")
    if evidence or (_FAULT_WORDS.search(rest) and not place.is_joined):
        return Standing()
    return Standing(told=LOOKS_LIKE) if place.letter in ("C", "B") else Standing(reason=NO_SIGN)


def _told(before: str, clause: str, after: str, place: Place) -> str:
    """Why the code is not offered at all, or nothing."""
    if place.denied or _CLEARED_LABEL.search(before):
        return NOT_NOW
    denied = _DENIED_BEFORE.search(_HARMLESS.sub(" ", clause))
    if denied:
        return _BEFORE_COLON if place.has_status and ":" in clause[denied.end() :] else NOT_NOW
    if not place.has_status and (_MAYBE_BEFORE.search(before)):
        return NOT_NOW
    if _DENIED_ALONE.search(after) or _FOUND.search(_HARMLESS.sub(" ", after)):
        return NOT_NOW
    if _MAYBE_AFTER.search(after) and not place.has_status:
        return NOT_NOW
    return ""


def _is_listed(lead: str) -> bool:
    """Whether what stands before the first code is no more than a number, a time, a label or nothing."""
    words = re.findall(r"[A-Z][A-Z'/]*|[0-9]+", _TIMES.sub(" ", lead))
    if len(words) > 8 or any(_YEAR.fullmatch(word) for word in words):
        return False
    return all(HEADING_WORD.fullmatch(word) or _LEAD_OK.fullmatch(word) or SCAN_NOUN.fullmatch(word) for word in words)
