"""What can be found in a line of words: codes, statuses and counts, each with its place.

Every pattern is bounded and free of nested repetition, so that no text makes it slow.
"""

import re

from engineering.codes import j1587
from engineering.codes.code import CodeSystem
from engineering.codes.count_tokens import add_bare_count, add_counts
from engineering.codes.notation import pair_could_be_else
from engineering.codes.status_tokens import add_statuses, add_whole_words
from engineering.codes.tokens import MAY_NUMBER_A_RECORD, UNCLEAR_JOINED, Mark, Taken, Token
from engineering.codes.vocabulary import MAY_BE_WHOLE, NOUN, NOUNS, STATUSES

_BEFORE, _AFTER = r"(?<![\w./:-])", r"(?![\w/-]|[.:,][0-9])"
_J1587 = re.compile(rf"(?<![A-Z_]){j1587.PATTERN}(?!\w|[.,][0-9])")
_SPN_FMI = re.compile(r"\bSPN ?[/-] ?FMI[ :=#]{0,3}([0-9]{1,9}) ?[-/. ] ?([0-9]{1,4})\b")
_SPN_THEN = re.compile(r"\bSPN[ :=#.-]{0,3}([0-9]{1,9})(?: ?[-/] ?|\.)([0-9]{1,4})(?![\w-]|\.[0-9])")
_SHORT = re.compile(r"\bS([0-9]{1,6}) ?[-/,]? ?F(?:MI)?([0-9]{1,2})\b")
_SPN = re.compile(r"\bSPN[ :=#.-]{0,3}([0-9]{1,9})(?!(?!FMI)\w|,[0-9]{3}(?![0-9]))")
_FMI = re.compile(r"(?<![A-Z_])FMI[ :=#.]{0,3}(?:(?<=FMI)-)?([0-9]{1,4})(?![\w])")
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
_TO_ANOTHER = re.compile(r" ?(?:\.{2,3}|…) ?[PCBU]?[0-3]?[0-9A-F]{3}(?![A-Z0-9_])")
"""Behind a code: dots and the other end of a range."""
_PART_OF_LONGER = re.compile(r"[-./](?:[A-Z]?[0-9]|[0-9A-Z]{1,2}(?![A-Z0-9])|JPE?G|PDF|TXT|CSV|LOG|PNG|DOC)|\.[A-Z]|@")
_FLASH = re.compile(
    r"\b(?:FLASH|BLINK)(?: ?CODES?)?[ :=#]{0,3}"
    r"([0-9]{1,3}(?:-[0-9]){0,3}(?:(?: ?[,;&] ?| AND | \+ )[0-9]{1,3}(?:-[0-9]){0,3})*)(?![\w.-])"
    r"(?!\W{0,3}(?:LONG|SHORT|SLOW|FAST|QUICK|PULSES?|FLASH(?:ES)?|BLINKS?|TIMES?|PAUSE|SECONDS?|X\b|THEN))"
)
"""Not the count of a lamp's blinks: "flash: 2 long 3 short", "blink 2, pause, blink 3"."""
_PAIR = re.compile(_BEFORE + r"([0-9]{1,6}) ?([-/]) ?([0-9]{1,2})" + _AFTER)
_POINTED = re.compile(r"^\W*([0-9]{1,6})\.([0-9]{1,2})" + _AFTER)
_BRACKETED = re.compile(r"[(\[] ?([0-9]{1,6}) ?[)\]]")
_CELL_NUMBER = re.compile(r"(?:\| ?|,\")([0-9]{1,6})(?= ?\||\"|$)")
"""A number that is a cell of a row, and nobody says of what."""
_ROUGH = re.compile(
    r"[PCBUРСВ][ -]{0,3}[0-9OIL][0-9A-FOIL]{3}|SPN|FMI|(?<![A-Z])S[0-9]|FLASH|BLINK|[0-9] ?[-/.] ?[0-9]"
)
_DIGIT = re.compile(r"[0-9]")
_WORD = re.compile(r"[A-Z]{3}|DM[0-9]|MODE|EI ")
_KEY = re.compile(r"([A-Z][A-Z0-9_.]{0,24})=$")
_RECORD_KEY = re.compile(
    r"(?:^|[^A-Z0-9 ] ?)(?:ID|UUID|GUID|REF|REFERENCE|HW|SW|FW|REV|VER(?:SION)?|CAL|BUILD|ASSET|LOT) ?: ?$"
)


def tokens_in(line: str, preferred: CodeSystem | None) -> list[Token]:
    """The tokens of a tidied line in order of place, none over another. What names its system goes first."""
    taken = Taken()
    if _ROUGH.search(line):
        _add_codes(taken, line)
    if _WORD.search(line):
        add_statuses(taken, line)
        if taken.has_code() and MAY_BE_WHOLE.search(line):
            add_whole_words(taken, line)
    if _DIGIT.search(line):
        add_counts(taken, line, is_number_code=preferred in (CodeSystem.FLASH, CodeSystem.MAKER))
        _add_bare_pairs(taken, line, preferred)
    add_bare_count(taken, line, preferred)
    if ("|" in line or '","' in line) and taken.has_code():
        taken.add(Mark.UNCLEAR_COUNT, _CELL_NUMBER, line)
    if "(" in line and taken.has_code():
        taken.add(Mark.UNCLEAR_COUNT, _BRACKETED, line)
    if taken.has_code():
        taken.add_letters(line)
    return taken.in_order()


def _add_codes(taken: Taken, line: str) -> None:
    if "FMI" in line and "ID" in line:
        for match in _J1587.finditer(line):
            taken.add_match(Mark.J1587, match, (match[0],), named=True)
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


def _add_apart(taken: Taken, line: str) -> None:
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


def _add_obd(taken: Taken, line: str, match: re.Match[str]) -> None:
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
    is_joined = line[match.end() : match.end() + 1] == "-"
    if last := _TO_ANOTHER.match(line, match.end()) or (is_joined and _OBD.match(line, match.end() + 1)) or None:
        taken.add_place(Token(Mark.RANGE, match.start(), last.end(), line[match.start() : last.end()]))
        return
    if _PART_OF_LONGER.match(line, match.end()) and not _OBD.match(line, match.end() + 1):
        return
    if before == "-" and match.start() > 5 and _OBD.match(line, match.start() - 6):
        return
    kind = next((name for name, found in match.groupdict().items() if found), "")
    doubt = ""
    if kind in ("bracketed", "apart", "slashed"):
        doubt = f"“{match[kind]}” after the code was taken for its failure type; it may be a count or something else."
    elif kind == "hexed":
        doubt = f"“{match[kind]}” after the code was taken for its failure type; it may be the byte of its status."
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


def _add_bare_pairs(taken: Taken, line: str, preferred: CodeSystem | None) -> None:
    """Pairs such as 110-0: an SPN with FMI, unless the line names another code or something else is as likely."""
    if preferred in (CodeSystem.FLASH, CodeSystem.MAKER):
        return
    named = taken.has_code()
    for match in _PAIR.finditer(line) if "-" in line or "/" in line else ():
        unclear = (
            named
            or preferred is CodeSystem.J1587
            or (preferred is not CodeSystem.SPN and pair_could_be_else(*match.groups()))
        )
        taken.add_match(Mark.UNCLEAR_PAIR if unclear else Mark.SPN_PAIR, match, (match[1], match[3]))
    if preferred is CodeSystem.SPN and not named:
        taken.add(Mark.SPN_PAIR, _POINTED, line)
