"""What can be found in a line of words: codes, statuses and counts, each with its place.

Every pattern is bounded and free of nested repetition, so that no text makes it slow.
"""

import re
from dataclasses import dataclass
from enum import Enum, auto

from engineering.codes.code import CodeStatus, CodeSystem
from engineering.codes.notation import pair_could_be_else
from engineering.codes.vocabulary import (
    COUNT_AFTER,
    COUNT_WORDS,
    FLAG,
    MAY_BE_WHOLE,
    NOUN,
    NOUNS,
    STATUSES,
    WHOLE_STATUS,
    status_of,
)

__all__ = ["Mark", "Token", "tokens_in"]


class Mark(Enum):
    """The kind of a token."""

    __hash__ = object.__hash__

    SPN_PAIR = auto()
    SPN = auto()
    FMI = auto()
    OBD = auto()
    FLASH = auto()
    SLIP = auto()
    """A P, C, B or U code in which a letter stands for a digit."""
    UNCLEAR_PAIR = auto()
    UNCLEAR_NUMBER = auto()
    UNCLEAR_COUNT = auto()
    COUNT = auto()
    STATUS = auto()
    STATUS_LETTER = auto()
    """A letter right behind a code that may stand for its status: "(A)"."""
    NO_STATUS = auto()
    """A status that is said not to be so, or may not be: "stored: no"."""


CODE_MARKS = frozenset((Mark.SPN_PAIR, Mark.SPN, Mark.FMI, Mark.OBD, Mark.FLASH, Mark.SLIP, Mark.UNCLEAR_PAIR))
UNREAD_MARKS = frozenset((Mark.UNCLEAR_PAIR, Mark.UNCLEAR_NUMBER, Mark.UNCLEAR_COUNT))
_WHOLE_CODES = (Mark.SPN_PAIR, Mark.FMI, Mark.OBD, Mark.FLASH)
"""What makes a code, one of these for each: an SPN alone waits for its FMI."""


@dataclass(frozen=True, slots=True)
class Token:
    """One find: ``values`` are the texts that matter in it, ``raw`` all of it as written.

    ``doubt`` says why it may be something else; ``named`` whether it names its own system.
    """

    mark: Mark
    start: int
    end: int
    raw: str
    values: tuple[str, ...] = ()
    status: CodeStatus | None = None
    doubt: str = ""
    named: bool = False


_BEFORE, _AFTER = r"(?<![\w./:-])", r"(?![\w/-]|[.:,][0-9])"
_SPN_FMI = re.compile(r"\bSPN ?[/-] ?FMI[ :=#]{0,3}([0-9]{1,9}) ?[-/. ] ?([0-9]{1,4})\b")
_SPN_THEN = re.compile(r"\bSPN[ :=#.]{0,3}([0-9]{1,9})(?: ?[-/] ?|\.)([0-9]{1,4})(?![\w-]|\.[0-9])")
_SHORT = re.compile(r"\bS([0-9]{1,6}) ?[-/,]? ?F(?:MI)?([0-9]{1,2})\b")
_SPN = re.compile(r"\bSPN[ :=#.]{0,3}([0-9]{1,9})(?!(?!FMI)\w|,[0-9]{3}(?![0-9]))")
_FMI = re.compile(r"(?<![A-Z_])FMI[ :=#.]{0,3}([0-9]{1,4})(?![\w])")
CONVERSION_METHOD = re.compile(r"\b(?:CM|CONVERSION(?: METHOD)?)[ :=#]{0,3}[01]\b")
_OBD = re.compile(
    r"([PCBU](?<![A-Z0-9_.@\\].)[0-3][0-9A-F]{3})(?:"
    r"(?P<joined>[0-9A-F]{2})(?![A-Z0-9])"
    r"|[/._](?P<slashed>[0-9A-F]{2})(?![A-Z0-9./-])"
    r"|[-:](?P<signed>[0-9A-F]{2})H?(?![A-Z0-9])"
    r"|[ ,;:(-]{1,3}(?:FTB|FAILURE TYPE(?: BYTE)?|FAULT TYPE)[ :=#]{0,3}(?:0X)?(?P<named>[0-9A-F]{2})H?\)?(?![A-Z0-9])"
    r"| ?\(?0X(?P<hexed>[0-9A-F]{2})\)?(?![A-Z0-9])"
    r"| ?\((?:0X)?(?P<bracketed>[0-9A-F]{2})H?\)"
    r"| (?P<apart>[0-9][0-9A-F])(?= ?$| ?[,;|(] ?[A-Z(]| - ?[A-Z]| (?!TIMES|HOURS?|VOLTS?|MINUTES?|MILES|DAYS|GANGE"
    r"|VECES|VOLTE"
    r"|VEZES|KEER|MAAL|FOIS|KERTAA|AMPS?|PCS)[A-Z]{4})"
    r")?(?![A-Z0-9_])"
)
_APART = re.compile(
    r"(?P<letter>[PCBU](?<![^\s|,;:(.#].))(?: |-| - ?)(?P<rest>[0-3][0-9A-F]{3}(?:-[0-9A-F]{2})?)"
    r"(?![A-Z0-9_/%]|[.,-][0-9A-Z]"
    r"| ?(?:PSI|BAR|KPA|MPA|RPM|MM|CM|IN|FT|V|VOLTS?|AMPS?|GAL|L|HP|KW|USD|EUR|LB|LBS|PCS)(?![A-Z0-9])| ?[$€%°])"
)
_LEAD_APART = re.compile(rf"[\W0-9]*(?:(?:{NOUNS}|{STATUSES.pattern})[\W0-9]*){{0,4}}")
"""All that may stand before a code that is written apart: after any other word "P 1200" is a page or a pressure."""
_MOST_APART = 200
_SLIP = re.compile(r"[PCBUРСВ](?<![A-Z0-9_.@/\\-].)[0-9OIL][0-9A-FOIL]{3}(?![A-Z0-9_])")
_PART_OF_LONGER = re.compile(r"[-./](?:[A-Z]?[0-9]|[0-9A-Z]{1,2}(?![A-Z0-9])|JPE?G|PDF|TXT|CSV|LOG|PNG|DOC)|\.[A-Z]|@")
_FLASH = re.compile(
    r"\b(?:FLASH|BLINK)(?: ?CODES?)?[ :=#]{0,3}"
    r"([0-9]{1,3}(?:-[0-9]){0,3}(?:[,;] ?[0-9]{1,3}(?:-[0-9]){0,3})*)(?![\w.-])"
)
_PAIR = re.compile(_BEFORE + r"([0-9]{1,6}) ?([-/]) ?([0-9]{1,2})" + _AFTER)
_POINTED = re.compile(r"^\W*([0-9]{1,6})\.([0-9]{1,2})" + _AFTER)
_COUNTED = re.compile(rf"(?<![A-Z0-9])({COUNT_WORDS})[ :=#.\"']{{0,4}}([0-9]{{1,6}})(?![\w/]|[.,:-][0-9])")
_TIMES_BEFORE = re.compile(r"(?<![\w.])[X*] ?([0-9]{1,6})(?![\w/]|[.,][0-9])")
_TIMES_AFTER = re.compile(rf"([0-9](?<![\w.,/:-].)[0-9]{{0,5}}) ?(?:{COUNT_AFTER})(?![A-Z0-9])(?! ?[0-9])")
_NUMBER_CODE = re.compile(r"\W*(?:[A-Z]{2,8} ){0,2}[0-9-]{1,7} ?")
"""A flash code that begins its line, before its count."""
_ABOUT = re.compile(
    r"(?:(?<![A-Z])(?:OR|THAN|LEAST|MOST|ABOUT|APPROX\.?|UP TO|TO|ALMOST|NEARLY|MAX|MIN|EVERY|OF"
    r"|CA\.?)|[><~+-]) ?$"
)
_MORE_OR_LESS = re.compile(r" ?\+| OF [0-9]| (?:OR|TO) [0-9]")
_SINCE_CLEAR = re.compile(r"(?<![A-Z0-9])COUNTS? SINCE (?:LAST )?CLEAR[ :=]{1,3}([0-9]{1,6})(?![\w.])")
_OTHER_COUNT = re.compile(
    r"(?:CYCLES?|WARM-?UPS?|IGNITION|KEY|AGING|AGEING|START|TRIP|DRIVE|FRAME|FREEZE|PULSE|TOOTH|CYLINDER|HOUR|BOLT"
    r"|PIN|WIRE|BOAT"
    r"|ENGINE|ZYLINDER|INJECTION|STEP|RETRY|BIT|BYTE|MISFIRE|LINE|PAGE|NUMBER OF CODES|CODE|FAULTS?|DTC)[ -]?$"
)
_COUNT_UNKNOWN = re.compile(rf"(?<![A-Z0-9])(?:{COUNT_WORDS}) ?[:=] ?(?:N/?A|UNKNOWN|NOT AVAILABLE|-+)(?![A-Z0-9])")
_BRACKETED = re.compile(r"[(\[] ?([0-9]{1,6}) ?[)\]]")
_CELL_NUMBER = re.compile(r"(?:\| ?|,\")([0-9]{1,6})(?= ?\||\"|$)")
"""A number that is a cell of a row, and nobody says of what."""
_LAST_NUMBER = re.compile(r"[ ,;:=-]{1,3}([0-9]{1,6})[ .,;]*$")
"""A bare number at the end of a line, right after its last token."""
_LETTER = re.compile(r" ?\((?:[ACHIMPS]|PA)\)| ?\[(?:[ACHIMPS]|PA)\]| (?:[ACHIMPS]|PA)(?= ?$| ?[,;|/])")
_NUMBER_BETWEEN = re.compile(r" ([0-9]{1,3})(?= [0-9])")
"""A bare number between a status and another number."""
_MOST_BARE_COUNT = 255
_ROUGH = re.compile(
    r"[PCBUРСВ][ -]{0,3}[0-9OIL][0-9A-FOIL]{3}|SPN|FMI|(?<![A-Z])S[0-9]|FLASH|BLINK|[0-9] ?[-/.] ?[0-9]"
)
_DIGIT = re.compile(r"[0-9]")
_LETTERS = re.compile(r"[A-Z]{2}")
_WORD = re.compile(r"[A-Z]{3}|DM[0-9]|MODE|EI ")
_NEGATED = re.compile(
    r"(?<![A-Z0-9])(?:NOT|NEVER|NONE|ZERO|NO|NON|WAS|WERE|BEEN|ISN'?T|HAD|NICHT|KEINE?[NR]?|PAS|NIET|GEEN|IKKE|INTE"
    r"|EI|NAO|SIN|EJ|ICKE|OHNE|SANS|SENZA|ZONDER|SEM|UDEN|UTEN|UTAN|ILMAN|AUCUNE?|NINGUN[OA]?|NESSUN[OA]?|NENHUMA?"
    r"|INGEN|INGA|INGET"
    r"|WAR|WAREN|ETAIT|FUE|ERA|FOI|VAR|OLI"
    r"|IF|WOULD|FORMERLY|WITHOUT|LAST|OLD)(?: [A-Z']{1,12})? ?$"
)
_KEY = re.compile(r"([A-Z][A-Z0-9_.]{0,24})=$")
_RECORD_KEY = re.compile(
    r"(?:^|[^A-Z0-9 ] ?)(?:ID|UUID|GUID|REF|REFERENCE|HW|SW|FW|REV|VER(?:SION)?|CAL|BUILD|ASSET|LOT) ?: ?$"
)
MAY_NUMBER_A_RECORD = "The key in front of it may number the record, or tell a version: write the code by itself."
_LEGEND = re.compile(r"(?:^|[(\[,; ])(?:[A-Z]|[*+#]{1,2}) ?= ?$")
"""Before a status that a sign or a letter is said to stand for."""
_TALLY = re.compile(r" ?[:=] ?[0-9]{1,3}(?![A-Z0-9.:/-])")
_ADDED = re.compile(r" ?: ?[A-Z0-9]")
_IN_A_SENTENCE = re.compile(
    r"(?<![A-Z])(?:BUT|HOWEVER|ALTHOUGH|THOUGH|ABER|JEDOCH|DOCH|SONDERN|MAIS|PERO|SINO|MA|PERO'|MAAR|MAS|POREM|MEN|MUTTA|VAAN)"
    r"(?![A-Z])"
)
_PART_OF_WORD = re.compile(r"(?<![A-Z0-9])[A-Z]{2,10}-$")
_WEAKENED = re.compile(
    r"(?<![A-Z])(?:SOMETIMES|OCCASIONALLY|ONCE|BRIEFLY|MOMENTARILY|INTERMITTENTLY|RARELY|SELDOM|HARDLY"
    r"|(?:MAY|MIGHT|COULD|SHOULD|WOULD|CAN|MUST)(?: BE)?|PROBABLY|POSSIBLY|PERHAPS|MAYBE|LIKELY|ZEITWEISE|MANCHMAL|KURZ"
    r"|KURZZEITIG|GELEGENTLICH|SELTEN|WOHL|VIELLEICHT|BEI [A-Z]{3,20}|PARFOIS|RAREMENT|A VECES|TALVOLTA|A VOLTE|SOMS"
    r"|AF EN TOE"
    r"|AS VEZES|INDIMELLEM|IBLAND|IBLANT|AV OG TIL|JOSKUS|A ETE|ESTUVO|E'? STAT[OA]|STAT[OA]|ESTEVE|VAE?RT|VAE?RET"
    r"|VARIT|NEITHER|NOR|WEDER|NI|NE|NEM|HVERKEN|VERKEN|VARKEN|EIKA|NOCH [A-Z]{4,20} NOCH) ?$"
)
"""Right before a status: it was so, may be so or is so at times, or is one of two that are both denied."""
UNCLEAR_JOINED = "joined"


def tokens_in(line: str, preferred: CodeSystem | None) -> list[Token]:
    """The tokens of a tidied line in order of place, none over another. What names its system goes first."""
    taken = _Taken()
    if _ROUGH.search(line):
        _add_codes(taken, line)
    if _WORD.search(line):
        _add_statuses(taken, line)
        if taken.has_code() and MAY_BE_WHOLE.search(line):
            _add_whole_words(taken, line)
    if _DIGIT.search(line):
        _add_counts(taken, line, is_number_code=preferred in (CodeSystem.FLASH, CodeSystem.MAKER))
        _add_bare_pairs(taken, line, preferred)
    _add_bare_count(taken, line, preferred)
    if ("|" in line or '","' in line) and taken.has_code():
        taken.add(Mark.UNCLEAR_COUNT, _CELL_NUMBER, line)
    if "(" in line and taken.has_code():
        taken.add(Mark.UNCLEAR_COUNT, _BRACKETED, line)
    if taken.has_code():
        taken.add_letters(line)
    return taken.in_order()


def _add_codes(taken: "_Taken", line: str) -> None:
    if "SPN" in line or "FMI" in line:
        taken.add(Mark.SPN_PAIR, _SPN_FMI, line, named=True)
        taken.add(Mark.SPN_PAIR, _SPN_THEN, line, named=True)
        taken.add(Mark.SPN, _SPN, line, named=True)
        taken.add(Mark.FMI, _FMI, line, named=True)
        if taken.has_code():
            taken.skip(CONVERSION_METHOD, line)
    if "F" in line:
        taken.add(Mark.SPN_PAIR, _SHORT, line)
    for match in _OBD.finditer(line):
        _add_obd(taken, line, match)
    taken.drop_record_keys()
    _add_apart(taken, line)
    for match in _SLIP.finditer(line):
        if sum(sign.isdigit() for sign in match[0]) >= 2 and not _OBD.fullmatch(match[0]):
            taken.add_match(Mark.SLIP, match, (match[0],))
    if "FLASH" in line or "BLINK" in line:
        taken.add(Mark.FLASH, _FLASH, line, named=True)


def _add_apart(taken: "_Taken", line: str) -> None:
    """Codes written with a blank or a hyphen behind the letter, where nothing but a label stands before them."""
    end = 0
    for match in _APART.finditer(line[:_MOST_APART]):
        if not _LEAD_APART.fullmatch(line, end, match.start()):
            return
        meant = match["letter"] + match["rest"]
        sign = "hyphen" if "-" in match[0][: -len(match["rest"])] else "space"
        doubt = f"“{match[0]}” stands there: read as {meant}, with a {sign} in it."
        taken.add_match(Mark.OBD, match, (meant,), doubt=doubt)
        end = match.end()


def _add_obd(taken: "_Taken", line: str, match: re.Match[str]) -> None:
    before = line[match.start() - 1] if match.start() else " "
    if (
        before == "/"
        and not _OBD.match(line, max(0, match.start() - 6))
        and not _OBD.match(line, max(0, match.start() - 9))
    ):
        return
    if before == "=" and not _names_codes(line, match.start()):
        return
    if before == "-" and match.start() > 1 and line[match.start() - 2] != " ":
        return
    if _PART_OF_LONGER.match(line, match.end()) and not _OBD.match(line, match.end() + 1):
        return
    if line[match.end() : match.end() + 1] == "-" and _OBD.match(line, match.end() + 1):
        return
    if before == "-" and match.start() > 5 and _OBD.match(line, match.start() - 6):
        return
    kind = next((name for name, found in match.groupdict().items() if found), "")
    doubt = ""
    if kind in ("bracketed", "apart", "slashed"):
        doubt = f"“{match[kind]}” after the code was taken for its failure type; it may be a count or something else."
    elif kind == "joined":
        doubt = UNCLEAR_JOINED
    at = max(0, match.start() - 14)
    if before in ": " and ":" in line[at : match.start()] and _RECORD_KEY.search(line, at, match.start()):
        doubt = MAY_NUMBER_A_RECORD
    text = f"{match[1]}-{match[kind]}" if kind else match[1]
    taken.add_match(Mark.OBD, match, (text,), doubt=doubt, named=kind in ("named", "hexed"))


def _names_codes(line: str, at: int) -> bool:
    """Whether the key in front of a value names codes or a status: "dtc1=P0217", and not "hw=C1204"."""
    key = _KEY.search(line, max(0, at - 30), at)
    words = re.findall(r"[A-Z]+", key[1]) if key else []
    return not words or any(NOUN.fullmatch(word) or STATUSES.fullmatch(word) for word in words)


def _add_statuses(taken: "_Taken", line: str) -> None:
    end = 0
    found = list(STATUSES.finditer(line))
    tallied = [_TALLY.match(line, match.end()) for match in found] if len(found) > 1 else []
    if sum(one is not None for one in tallied) < 2 or all(
        one and one[0][-2:] in (":0", ":1", "=0", "=1") for one in tallied
    ):
        tallied = []
    for number, match in enumerate(found):
        status = status_of(match)
        if tallied and (tally := tallied[number]) is not None:
            end = tally.end()
            taken.add_place(Token(Mark.NO_STATUS, match.start(), end, line[match.start() : end], (), status))
            continue
        flag = FLAG.match(line, match.end())
        negated = _is_negated(line, end, match.start())
        is_so = not (
            negated
            or _leads_to_words(taken, line, match)
            or _LEGEND.search(line, max(0, match.start() - 6), match.start())
        )
        end = flag.end() if flag else match.end()
        if flag and not (flag["yes"] == "S" and flag.end() < len(line) and line[flag.end()] != " "):
            mark = Mark.STATUS if flag["yes"] and is_so else Mark.NO_STATUS
            taken.add_place(Token(mark, match.start(), end, line[match.start() : end], (), status, flag["no"] or ""))
        else:
            taken.add_match(Mark.STATUS if is_so else Mark.NO_STATUS, match, (), status)


def _is_negated(line: str, end: int, at: int) -> bool:
    """Whether the words right in front of a status say that it is not so, or only may be; none before ``end`` count."""
    last = line[max(0, at - 2) : at].strip(" ")[-1:]
    if last == "-":
        return _PART_OF_WORD.search(line, max(0, at - 12), at) is not None
    if not (last.isalpha() or last == "'"):
        return False
    negated = _NEGATED.search(line, max(end, at - 24), at) or _WEAKENED.search(line, max(end, at - 40), at)
    return negated is not None


def _leads_to_words(taken: "_Taken", line: str, match: re.Match[str]) -> bool:
    """Whether "history:" behind the last code begins the words of its history, and is no status."""
    if match[0] != "HISTORY" or not _ADDED.match(line, match.end()):
        return False
    return taken.has_code() and taken.last_code_ends() <= match.start()


def _add_whole_words(taken: "_Taken", line: str) -> None:
    """Words that are a status only by themselves: the "present" of "P0217 (present)", not of "but P0217 present"."""
    for match in WHOLE_STATUS.finditer(line):
        is_sentence = line[match.start() - 1] == " " and _IN_A_SENTENCE.search(line, 0, match.start()) is not None
        taken.add_match(Mark.NO_STATUS if is_sentence else Mark.STATUS, match, (), CodeStatus.ACTIVE)


def _add_counts(taken: "_Taken", line: str, *, is_number_code: bool) -> None:
    has_letters, has_x = _LETTERS.search(line), "X" in line
    if "CLEAR" in line:
        taken.add(Mark.COUNT, _SINCE_CLEAR, line)
    if has_letters and (":" in line or "=" in line):
        taken.add(Mark.UNCLEAR_COUNT, _COUNT_UNKNOWN, line)
    for match in _COUNTED.finditer(line) if has_letters else ():
        other = _OTHER_COUNT.search(line, max(0, match.start() - 20), match.start())
        other = other or _MORE_OR_LESS.match(line, match.end())
        taken.add_match(Mark.UNCLEAR_COUNT if other else Mark.COUNT, match, (match[2],))
    for match in _TIMES_BEFORE.finditer(line) if has_x or "*" in line else ():
        digit = re.search(r"[0-9](?:[\"'/]| ?(?:IN|MM|CM|FT))? ?$", line[max(0, match.start() - 6) : match.start()])
        is_first = is_number_code and match[0][1:2] != " " and _NUMBER_CODE.fullmatch(line[: match.start()])
        if not digit or taken.covers(match.start() - 2) or is_first:
            taken.add_match(Mark.COUNT, match, (match[1],))
    for match in _TIMES_AFTER.finditer(line) if has_x or has_letters else ():
        about = _ABOUT.search(line, max(0, match.start() - 12), match.start())
        taken.add_match(Mark.UNCLEAR_COUNT if about else Mark.COUNT, match, (match[1],))


def _add_bare_count(taken: "_Taken", line: str, preferred: CodeSystem | None) -> None:
    """The 3 of "P0217 stored 3": a number that ends a line with one code, right after that code's status.

    After anything else, or where it is too large for a count, such a number is kept as unclear rather than dropped.
    """
    tokens = taken.in_order()
    codes = sum(1 + len(re.findall("[,;]", token.values[0])) for token in tokens if token.mark in _WHOLE_CODES)
    match = _LAST_NUMBER.match(line, tokens[-1].end) if tokens else None
    after_status = bool(tokens) and tokens[-1].mark is Mark.STATUS
    if match is None:
        if codes and after_status and (between := _NUMBER_BETWEEN.match(line, tokens[-1].end)):
            taken.add_match(Mark.UNCLEAR_COUNT, between, (between[1],))
        return
    if not codes and preferred in (CodeSystem.FLASH, CodeSystem.MAKER) and after_status:
        before = line[: tokens[-1].start]
        codes = 1 if re.search(r"[0-9]", before) and not re.search(r"[,;]", before) else 0
    if codes and tokens[-1].mark in (Mark.STATUS, Mark.NO_STATUS, Mark.OBD):
        is_count = after_status and codes == 1 and int(match[1]) <= _MOST_BARE_COUNT
        taken.add_match(Mark.COUNT if is_count else Mark.UNCLEAR_NUMBER, match, (match[1],))


def _add_bare_pairs(taken: "_Taken", line: str, preferred: CodeSystem | None) -> None:
    """Pairs such as 110-0: an SPN with FMI, unless the line names another code or something else is as likely."""
    if preferred in (CodeSystem.FLASH, CodeSystem.MAKER):
        return
    named = taken.has_code()
    for match in _PAIR.finditer(line) if "-" in line or "/" in line else ():
        unclear = named or (preferred is not CodeSystem.SPN and pair_could_be_else(*match.groups()))
        taken.add_match(Mark.UNCLEAR_PAIR if unclear else Mark.SPN_PAIR, match, (match[1], match[3]))
    if preferred is CodeSystem.SPN and not named:
        taken.add(Mark.SPN_PAIR, _POINTED, line)


class _Taken:
    """Tokens so far, and the places they stand on."""

    def __init__(self) -> None:
        self._tokens: list[Token] = []
        self._places: set[int] = set()

    def add(self, mark: Mark, pattern: re.Pattern[str], line: str, *, named: bool = False) -> None:
        for match in pattern.finditer(line):
            self.add_match(mark, match, tuple(group for group in match.groups() if group), named=named)

    def add_match(
        self,
        mark: Mark,
        match: re.Match[str],
        values: tuple[str, ...],
        status: CodeStatus | None = None,
        *,
        doubt: str = "",
        named: bool = False,
    ) -> None:
        self.add_place(Token(mark, match.start(), match.end(), match[0], values, status, doubt, named))

    def add_place(self, token: Token) -> None:
        places = range(token.start, token.end)
        if self._places.isdisjoint(places):
            self._places.update(places)
            self._tokens.append(token)

    def skip(self, pattern: re.Pattern[str], line: str) -> None:
        """What belongs to a code and says nothing that is kept."""
        for match in pattern.finditer(line):
            self._places.update(range(match.start(), match.end()))

    def covers(self, place: int) -> bool:
        return place in self._places

    def has_code(self) -> bool:
        return any(token.mark in CODE_MARKS for token in self._tokens)

    def last_code_ends(self) -> int:
        return max(token.end for token in self._tokens if token.mark in CODE_MARKS)

    def add_letters(self, line: str) -> None:
        """The letters right behind codes that may stand for a status."""
        for token in list(self._tokens):
            if token.mark in CODE_MARKS and (letter := _LETTER.match(line, token.end)):
                self.add_match(Mark.STATUS_LETTER, letter, (letter[0].strip(" ()[]"),))

    def drop_record_keys(self) -> None:
        """Where another code stands in the line, what may only number the record is none."""
        kept = [token for token in self._tokens if token.doubt != MAY_NUMBER_A_RECORD]
        if len(kept) < len(self._tokens) and any(token.mark is Mark.OBD for token in kept):
            self._tokens = kept

    def in_order(self) -> list[Token]:
        return sorted(self._tokens, key=lambda token: token.start)
