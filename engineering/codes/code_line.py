"""The tokens of one line put together: each SPN with its FMI, each code with its status and count."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from itertools import zip_longest

from engineering.codes.assessing import Place
from engineering.codes.assessing_words import FINDING, LEAD_OK
from engineering.codes.code import Code, CodeProblem, CodeStatus, CodeSystem
from engineering.codes.headings import may_name_units
from engineering.codes.lines import SeenCode
from engineering.codes.notation import make_code
from engineering.codes.other_lists import OtherList, other_list
from engineering.codes.spn import COUNT_NOT_AVAILABLE
from engineering.codes.tokens import CODE_MARKS, UNCLEAR_JOINED, Mark, Token
from engineering.codes.vocabulary import HEADING_WORD, NOUN, NOUNS, SCAN_NOUN, STATUSES

_BETWEEN = re.compile(
    r"[\s,;:|/()\[\]\"'=>*-]*(?:(?:IS|STATUS|STATE|NOW|STILL|ALSO|AND|AS|SET|OC|CM|DTC|CODE)[\s:=,-]+){0,2}"
)
_LEFT_EDGE = re.compile(r"(?:^|[,;:|()\[\]/.\"'=>*-]|\b(?:IS|STATUS|STATE|AND|AS)) ?$")
_RIGHT_EDGE = re.compile(r" ?(?:$|[,;:|()\[\]/.\"'=<*!-]| (?:[0-9]|SINCE\b|AND\b|ON\b|AT\b|SIT\b))")
_DEVICE = re.compile(
    r"(?:LIMIT(?:ER|ING|ATION)?|DERATE|TORQUE|MODE|CONTROL|LAMP|LIGHT|SHUTDOWN|PROTECTION|ALARM|PUMP|FAN|HEATER"
    r"|SENSOR|SWITCH|CIRCUIT|SIGNAL"
    r"|RELAY|VALVE|FUNCTION|BUS|REGENERATION|WARNING|STRATEGY|PROGRAM|POWER|REDUCTION|CHARGER|HOME|CRUISE"
    r"|AFTERTREATMENT) ?$"
)
_WAITS_FOR = re.compile(
    r" (?:INSPECTION|REPAIRS?|PARTS?|APPROVAL|REVIEW|WORK|CUSTOMER|ORDERS?|ESTIMATE|DIAGNOSIS|DIAG|TESTS?|TESTING"
    r"|ITEMS?|USERS?"
    r"|RECALL|CAMPAIGN|BULLETIN|JOBS?|TICKETS?|PAYMENT|DELIVERY|SEA TRIAL|QUOTE|IN THE|IN BIN|BELOW DECK"
    r"|FOR WINTER|IN (?:A |MY )?(?:DRAWER|SHELF|LOCKER|BOX|STOCK)|MAGNETS?|GRILLE|FUEL MANAGEMENT|FUEL CONTROL"
    r"|SUSPENSION|STEERING"
    r"|DAMPING|NOISE|CLUTCH|INTAKE|EXHAUST|GEWESEN|GEWEEST)(?![A-Z])"
)
"""After a word for a status: that something else is pending, active or stored."""
_NOT_TOLD = re.compile(r"(?: ?[:=] ?| )(?:UNKNOWN|UNCLEAR|UNVERIFIED|N/A|OF|NOT (?:KNOWN|TOLD|READ|CHECKED))(?![A-Z])")
"""After a word for a status: that it is not known."""
_WORD_BEFORE = re.compile(r"([A-Z]{2,}) $")
_SAYS_WHEN = re.compile(
    r"AN|ONE|TWO|THREE|FOUR|FIVE|SIX|ANOTHER|TODAY|AGAIN|ONCE|MORE|BOTH|ANY|SOME|THESE|THOSE|THIS|THAT|FOLLOWING"
    r"|TOP|HAVING|REMAINS?|LEFT|NEW|SINGLE|AKTUELL|MOMENTAN|DERZEIT|NOCH|NUR|EIN|EINE"
)
"""Words before a status that leave it to the codes behind it."""
_MORE_SPNS = re.compile(r"(?: ?[,/&] ?| | ?- ?| (?:TO|THRU|THROUGH|BIS|AND|OR) )[0-9]{1,6}(?![0-9.])")
_MORE_FMIS = re.compile(
    r" ?[,/&] ?[0-9]{1,2}(?![0-9./:])| (?:OR|AND|TO|THRU|THROUGH|BIS) (?:FMI ?)?[0-9]{1,2}(?![0-9])"
    r"|(?:-|\.\.) ?[0-9]{1,2}(?![0-9./:]| ?(?:X|TIMES?)(?![A-Z]))"
)
_MORE_BESIDE = "More numbers stand beside its SPN or FMI: they may name several codes."
_OLDER = re.compile(r"(?<![A-Z])(?:MID|P?[PS]ID)(?![A-Z])")
_EMPTY = re.compile(rf"{STATUSES.pattern}(?: (?:{NOUNS}))?(?: ?[:=] ?| )0(?![0-9A-Z]|[.,/:-][0-9])")
"""A status whose list is said to have no code: "pending codes 0"."""
_TWO_TOGETHER = frozenset((CodeStatus.STORED, CodeStatus.PERMANENT))


_OWN_WORD = re.compile(
    r"(?<![A-Z])(ACT|CUR|INT|SPORADISCHE?[NR]?|SPORADIC|INTERMITTENT|TEMPORARY|LATCHED|PASSIVE?R?)(?![A-Z])"
)
"""Behind a code that is not the last of a list: it has a word of its own, and not that behind the last."""


@dataclass(slots=True)
class FoundCode:
    """One code of a line, while its status and count are looked for."""

    code: Code
    raw: str
    place: Place
    statuses: list[CodeStatus] = field(default_factory=list)
    not_so: list[Token] = field(default_factory=list)
    count: int | None = None
    count_unread: str = ""
    letter: str = ""
    label: str = ""
    """What the list that it stands in is called, where that is another than the one whose status was told."""

    def unread(self) -> tuple[str, ...]:
        """What was said and could not be told."""
        said = []
        if len(set(self.statuses)) > 1 and set(self.statuses) != _TWO_TOGETHER:
            words = " and ".join(sorted({str(status) for status in self.statuses}))
            said.append(f"Status not read: the line says {words}.")
        elif self.statuses and self._clashes():
            said.append(f"Status not read: “{self.not_so[0].raw}” stands beside another.")
        elif self.not_so and not self.statuses:
            said.append(f"Status not read: “{self.not_so[0].raw}”.")
        if self.label and not (self.statuses or self.not_so):
            said.append(f"Status not read: “{self.label}”.")
        if self.letter and not (self.statuses or self.not_so):
            said.append(f"Status not read: “{self.letter}”.")
        if len(set(self.statuses)) > 1 and set(self.statuses) != _TWO_TOGETHER and self.count is not None:
            said.append(f"Count not read: “{self.count}”, of one of the two.")
        if self.count_unread:
            said.append(f"Count not read: “{self.count_unread}”.")
        return tuple(said)

    def _clashes(self) -> bool:
        """Whether another status stands in the line, and is not said to be untrue."""
        return any(token.status != self.statuses[0] and not token.doubt for token in self.not_so)

    def given(self, heading: CodeStatus | None) -> list[CodeStatus | None]:
        """Its statuses: its own, or that of the heading above where the line says nothing of one."""
        own = list(dict.fromkeys(self.statuses))
        if len(own) > 1 and set(own) != _TWO_TOGETHER:
            return [None]
        if own:
            return [None] if self._clashes() and len(own) == 1 else list(own)
        return [None] if self.not_so or self.label else [heading]


class LineOfCodes:
    """Puts the tokens of one line together: each SPN with its FMI, each code with its status and count."""

    def __init__(self, flash: CodeSystem = CodeSystem.FLASH) -> None:
        """``flash`` says whose codes FLASH tokens are."""
        self._flash = flash
        self._spn: Token | None = None
        self._fmi: Token | None = None
        self._waiting: list[CodeStatus] = []
        self._first_is_status: bool | None = None
        self._early_count: int | None = None
        self._counts_lead = False
        self._open_from = 0
        self._group: list[FoundCode] = []
        self._unclear: list[Token] = []
        self._line = ""
        self._other: OtherList | None = None
        self.found: list[FoundCode] = []
        self.problems: list[str] = []

    def read(self, tokens: Sequence[Token], line: str) -> None:
        """Take all tokens of a line, or those of one of its lists after those of another."""
        self._line = line
        self._waiting, self._first_is_status, self._unclear = [], None, []
        self._early_count, self._counts_lead, self._open_from = None, False, len(self.found)
        self._other = None
        before: Token | None = None
        for token in placed(tokens, line):
            self._note_other_list(before, token)
            self._take(token)
            before = token
        self._take_last_status(before)
        self._drop_half()
        self._judge_unclear()

    def _take_last_status(self, last: Token | None) -> None:
        """Give a status that ends a line and waits for no code to the code before it: "active: P0118 stored"."""
        if last is None or last.mark is not Mark.STATUS or not (self._waiting and self.found):
            return
        if not re.match(r" ?[:=]", self._line[last.end :]):
            self.found[-1].statuses += [status for status in self._waiting if status not in self.found[-1].statuses]

    def _note_other_list(self, before: Token | None, token: Token) -> None:
        """Have a status wait no longer for the codes of another list: "active: P0118; previous: P0113"."""
        is_next = token.mark in CODE_MARKS and not (self._spn or self._fmi)
        if before is None or not is_next or before.mark in (Mark.STATUS, Mark.NO_STATUS) or not self.found:
            return
        if other := other_list(self._line[before.end : token.start]):
            self._waiting, self._other = [], other

    def _take(self, token: Token) -> None:
        if token.mark is Mark.STATUS and token.status:
            empty = None if self._first_is_status is False else _EMPTY.match(self._line, token.start)
            if empty and empty.end() > token.end:
                self._take_empty_list(empty[0])
            elif token.named and self.found:
                self.found[-1].statuses = [token.status]
            else:
                self._take_status(token.status)
        elif token.mark is Mark.NO_STATUS:
            self._take_no_status(token)
        elif token.mark is Mark.COUNT:
            self._take_count(int(token.values[0]))
        elif token.mark in (Mark.SPN, Mark.FMI):
            self._take_half(token)
        elif token.mark is Mark.UNCLEAR_PAIR:
            self._unclear.append(token)
        elif token.mark in (Mark.STATUS_LETTER, Mark.UNCLEAR_COUNT):
            self._take_unclear(token)
        elif token.mark is Mark.RANGE:
            self.problems.append(f"“{token.raw}” is a range: write each code that the unit lists.")
        elif token.mark is Mark.UNCLEAR_NUMBER:
            number = token.values[0]
            self.problems.append(f"“{number}” was not read: write “count {number}” after its code if it is a count.")
        else:
            self._take_whole(token)

    def _take_unclear(self, token: Token) -> None:
        """What may be the status or the count of the code before it, and is said to be unread."""
        for one in self.found[-1:]:
            if token.mark is Mark.STATUS_LETTER:
                one.letter = token.values[0]
            else:
                one.count_unread = token.raw.strip(' |,"')

    def _take_empty_list(self, said: str) -> None:
        """A list that is said to have no code: the codes behind it are another's, whatever that is called."""
        self._first_is_status, self._waiting, self._open_from = True, [], len(self.found)
        self._other = OtherList(said, is_status=True)

    def _take_no_status(self, token: Token) -> None:
        """One that is said not to be so is its own code's; one that is not where a status stands may be of all.

        A status that waits for its codes, with another word for one behind it, has none: "pending 0 permanent 1 P0118".
        """
        if self._waiting and self._open_from == len(self.found):
            self._waiting = []
        for one in self.found[-1:] if token.doubt else self.found[self._open_from :] or self.found[-1:]:
            one.not_so.append(token)
        if token.doubt:
            self._open_from = len(self.found)

    def _take_whole(self, token: Token) -> None:
        if token.mark is Mark.FLASH:
            for text in re.split(r"[,;&+]| AND ", token.values[0]):
                self._take_code(self._flash, text, text.strip(), token)
        elif token.mark is Mark.J1587:
            if not token.values[0].startswith("MID"):
                self.problems.append(_lone_fmi(token.raw, self._line))
                return
            doubt = _MORE_BESIDE if _MORE_FMIS.match(self._line, token.end) else ""
            self._take_code(CodeSystem.J1587, token.values[0], token.raw, replace(token, doubt=doubt))
        elif token.mark is Mark.SLIP:
            self._take_slip(token)
        else:
            system = CodeSystem.OBD if token.mark is Mark.OBD else CodeSystem.SPN
            self._take_code(system, "-".join(token.values), token.raw, token)

    def _take_status(self, status: CodeStatus) -> None:
        self._other = None
        if self._first_is_status is None:
            self._first_is_status = True
        if self._first_is_status:
            if self.found and self._open_from < len(self.found):
                self._waiting = []
                self._open_from = len(self.found)
            self._waiting.append(status)
            return
        self._group = self.found[self._open_from :] or self._group or self.found[-1:]
        for one, following in zip_longest(self._group, self._group[1:]):
            own = following and _OWN_WORD.search(self._line[one.place.end : following.place.start])
            if own:
                one.letter = own[1]
            else:
                one.statuses.append(status)
        self._open_from = len(self.found)

    def _take_count(self, count: int) -> None:
        if not self.found:
            self._early_count, self._counts_lead = count, True
        elif (self._waiting and self._open_from == len(self.found)) or self._counts_lead:
            self._early_count = count
        elif self.found[-1].count is None and not self.found[-1].count_unread:
            self.found[-1].count = count
        else:
            self.problems.append(f"The count {count} belongs to no code without a count before it.")
            self.found[-1].count_unread = self.found[-1].count_unread or f"{self.found[-1].count} and {count}"
            self.found[-1].count = None

    def _take_half(self, token: Token) -> None:
        """An SPN waits for its FMI, or an FMI for its SPN, whichever stands first."""
        if token.mark is Mark.SPN:
            if self._spn is not None:
                self._drop_half()
            self._spn = token
        else:
            if self._fmi is not None:
                self._drop_half()
            self._fmi = token
        if self._spn and self._fmi:
            first, last = sorted((self._spn, self._fmi), key=lambda half: half.start)
            text = f"{self._spn.values[0]}-{self._fmi.values[0]}"
            doubt = self._doubt_of(first, last)
            self._spn = self._fmi = None
            whole = replace(first, end=last.end, doubt=doubt)
            self._take_code(CodeSystem.SPN, text, f"{first.raw} {last.raw}", whole)

    def _doubt_of(self, first: Token, last: Token) -> str:
        """Why an SPN and an FMI may not belong together."""
        if first.mark is Mark.FMI and last.start - first.end > 4:
            return "The FMI stands before its SPN and away from it."
        if _MORE_SPNS.match(self._line, first.end) or _MORE_FMIS.match(self._line, last.end):
            return _MORE_BESIDE
        return ""

    def _drop_half(self) -> None:
        if self._spn:
            self.problems.append(f"{self._spn.raw} stands without an FMI: write both, like 110-0.")
        if self._fmi:
            self.problems.append(_lone_fmi(self._fmi.raw, self._line))
        self._spn = self._fmi = None

    def _take_slip(self, token: Token) -> None:
        """A letter for a digit: offered as what it most likely is, with the slip named."""
        meant = token.raw[0].translate(str.maketrans("РСВ", "PCB")) + token.raw[1:].replace("O", "0").replace(
            "I", "1"
        ).replace("L", "1")
        told = f"“{token.raw}” is not a code as written. If {meant} is meant, write it so."
        self.problems.append(told)
        if sum(sign.isdigit() for sign in token.raw) >= 3:
            reason = f"“{token.raw}” stands there: read as {meant}, with a letter for a digit."
            self._take_code(CodeSystem.OBD, meant, token.raw, replace(token, doubt=reason))

    def _take_code(self, system: CodeSystem, text: str, raw: str, token: Token) -> None:
        if self._first_is_status is None:
            self._first_is_status = False
        try:
            code = make_code(system, text)
        except CodeProblem as problem:
            self.problems.append(problem.sentence)
            return
        letter = code.text[0] if system is CodeSystem.OBD else ""
        label, doubt = "", ""
        if self._other is not None:
            label = self._other.name
            doubt = "" if self._other.is_status else f"It stands behind “{label}”: check what that says of it."
        pair = code.text if system is CodeSystem.SPN and not token.named else ""
        is_joined = token.doubt == UNCLEAR_JOINED
        place = Place(
            token.start,
            token.end,
            letter,
            False,
            token.named,
            token.doubt if token.doubt and not is_joined else doubt,
            pair,
            is_joined=is_joined,
        )
        statuses = list(self._waiting) if self._first_is_status else []
        self.found.append(FoundCode(code, raw, place, statuses, count=self._early_count, label=label))
        self._early_count = None

    def _judge_unclear(self) -> None:
        """Say which pairs were not read, but for one that repeats a code of the line: "SPN 110 FMI 0 (110-0)"."""
        found = {one.code.text for one in self.found}
        for token in self._unclear:
            if f"{int(token.values[0])}-{int(token.values[1])}" in found:
                continue
            if found:
                why = "was not read, as the other codes of the line name their system"
            else:
                why = "may be an SPN with FMI, a blink code or a date"
            self.problems.append(f"“{token.raw}” {why}: write SPN and FMI, or choose the system.")


def _lone_fmi(raw: str, line: str) -> str:
    """What an FMI lacks: an SPN, or the rest of a code with MID."""
    if _OLDER.search(line):
        return (
            f"{raw} stands without an SPN. A code with MID is read where MID, PID or SID, and FMI stand together, like "
            "MID 128 PID 110 FMI 3."
        )
    return f"{raw} stands without an SPN: write both, like 110-0."


def place_of(one: FoundCode) -> Place:
    """Where a code stands, with what the whole line told of its status and count."""
    if not (one.statuses or one.not_so or one.count is not None):
        return one.place
    denied = len(one.not_so) > 1 and not one.statuses and all(token.doubt for token in one.not_so)
    is_counted = one.count is not None or bool(one.not_so)
    at, is_zero = one.place, one.count == 0
    said_no = next((token.raw for token in one.not_so if token.doubt and not one.statuses), "")
    doubt = at.doubt or (f"“{said_no.strip()}” stands beside it: check whether it is there now." if said_no else "")
    return Place(
        at.start, at.end, at.letter, bool(one.statuses), at.is_named, doubt, at.pair, denied, is_zero, is_counted,
        at.is_joined,
    )  # fmt: skip


def seen_codes(one: FoundCode, line: int, heading: CodeStatus | None, reason: str, unit: str) -> list[SeenCode]:
    """A code as it was seen, once for each of its statuses."""
    count = one.count
    if one.code.system is CodeSystem.SPN and count == COUNT_NOT_AVAILABLE:
        count = None
    if len(set(one.statuses)) > 1 and set(one.statuses) != _TWO_TOGETHER:
        count = None
    problem, why, where = _reserved(one.code), reason or None, unit or None
    return [
        SeenCode(one.code, status, count, line, None, one.raw, problem, why, one.unread(), where)
        for status in one.given(heading)
    ]  # fmt: skip


def placed(tokens: Sequence[Token], line: str) -> list[Token]:
    """The tokens, with each status that is not where a status stands ("torque limit active") marked as unclear."""
    result: list[Token] = []
    several = sum(token.mark in CODE_MARKS for token in tokens) > 1
    for number, token in enumerate(tokens):
        slashed = several and (line[token.end : token.end + 1] == "/" or line[token.start - 1 : token.start] == "/")
        if token.mark is Mark.STATUS and (slashed or not _is_placed(number, tokens, line)):
            result.append(replace(token, mark=Mark.NO_STATUS))
        elif (
            token.mark is Mark.STATUS
            and line[token.start - 1 : token.start] == "("
            and line[token.end : token.end + 1] == ")"
        ):
            result.append(replace(token, named=True))
        else:
            result.append(token)
    return result


def _is_placed(number: int, tokens: Sequence[Token], line: str) -> bool:
    token = tokens[number]
    if token.start >= len(line):
        return True
    if _WAITS_FOR.match(line, token.end) or _NOT_TOLD.match(line, token.end):
        return False
    left = line[tokens[number - 1].end if number else 0 : token.start]
    right = line[token.end : tokens[number + 1].start if number + 1 < len(tokens) else len(line)]
    if (number and _BETWEEN.fullmatch(left)) or (_LEFT_EDGE.search(left) and _RIGHT_EDGE.match(right)):
        return True
    if number + 1 < len(tokens) and tokens[number + 1].mark in CODE_MARKS and _BETWEEN.fullmatch(right):
        return not _is_of_something_else(left)
    if not number and not left.strip(" -*#.:0123456789)("):
        return True
    ends = not right.strip(" .,;)!") or (number + 1 < len(tokens) and tokens[number + 1].mark is Mark.COUNT)
    return bool(ends and number and not _DEVICE.search(left))


def _is_of_something_else(left: str) -> bool:
    """Whether the word before a status is another thing's, of which it may be said: the "bilge pump" that is active."""
    word = _WORD_BEFORE.search(left)
    if word is None:
        return False
    known = (NOUN, SCAN_NOUN, HEADING_WORD, LEAD_OK, FINDING, _SAYS_WHEN)
    return not (any(one.fullmatch(word[1]) for one in known) or may_name_units(word[1]))


def _reserved(code: Code) -> str | None:
    if code.system is not CodeSystem.SPN:
        return None
    fmi = int(code.text.partition("-")[2])
    return f"FMI {fmi} is reserved." if 22 <= fmi <= 30 else None


def seen_sentence(seen: SeenCode) -> str:
    """One code of a line in words, without a full stop."""
    status = str(seen.status) if seen.status else ("status not read" if seen.unread else "no status read")
    count = f", count {seen.count}" if seen.count is not None else ""
    problem = f" ({seen.problem.rstrip('.')})" if seen.problem else ""
    return f"{seen.code}, {status}{count}{problem}"
