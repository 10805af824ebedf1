"""Units that give flash codes or the maker's own: what stands first in a line may be the code."""

import re
from dataclasses import dataclass

from engineering.codes.assessing import LOOKS_LIKE, NO_SIGN
from engineering.codes.code import CodeSystem
from engineering.codes.headings import is_unit
from engineering.codes.wordings import DESCRIPTION

_LABEL = (
    r"(?:(?:FLASH|BLINK|FAULT|ERROR|TROUBLE|STORED|ACTIVE) ?)?"
    r"(?:CODES?|DTCS?|FAULTS?|ERRORS?|FEHLER(?:CODES?)?|FLASH|BLINK)"
)
_FLASH_FIRST = re.compile(
    rf"^\W*(?P<label>(?:{_LABEL})(?! ?(?:COUNT|NO\b|NUMBER)))?[ :=#]{{0,3}}"
    r"(?P<codes>[0-9]{1,3}(?:-[0-9]){0,3}(?:(?: ?[,;&] ?| (?:AND|UND|ET|Y|EN|OG|OCH|JA) )[0-9]{1,3}(?:-[0-9]){0,3})*)"
    r"(?![\w./-]|:[0-9])"
)
_MAKER_FIRST = re.compile(
    rf"^\W*(?P<label>(?:{_LABEL})\b(?! ?(?:COUNT|NO\b|NUMBER)))?[ :=#]{{0,3}}(?P<codes>[A-Z0-9][A-Z0-9._/+-]{{0,23}})"
)
_JOINED_BY_WORDS = re.compile(r" ?& ?| (?:AND|UND|ET|Y|EN|OG|OCH|JA) ")
_MORE_OF_MAKER = re.compile(r"(?: ?[,;] ?[A-Z]{1,3}-?[0-9]{1,4}(?:-[0-9]{1,3})?(?![\w./-])){1,40}")
_MORE_NUMBERS = re.compile(r"\W*([0-9]+(?:[ -][0-9]+){0,20})")
_UNIT_AFTER = re.compile(
    r" ?(?:%|°|V|VOLTS?|MV|A|AMPS?|AH|W|KW|HP|PSI|BAR|KPA|MPA|C|F|DEG|DEGREES|RPM|H|HRS?|HOURS?|MIN|MINUTES|S|SEC"
    r"|SECONDS|DAYS?|GAL|GALLONS|L|LITERS"
    r"|FT|IN|INCH|MM|CM|M|NM|LB|LBF|LBS|KG|KN|KT|KNOTS|MPH|X|TIMES|CODES?|FAULTS?|ERRORS?|DTCS?|FLASH(?:ES)?|BLINKS?"
    r"|ENGINES?|CYL(?:INDERS?)?"
    r"|QT|QUARTS|OHMS?|HZ|PCS|ST|ND|RD|TH|AM|PM|PLUGS?|COILS?|BOATS?)(?![A-Z0-9])"
)
_ANOTHER = re.compile(rf"(?<![A-Z])(?:{_LABEL})[ :=#]{{1,3}}[A-Z]{{0,2}}-?[0-9][0-9A-Z-]{{0,8}}(?![\w.])")
"""One more code with its own label: the second of "code 23 x2, code 41 x1"."""
_HOW_MANY = re.compile(r"\W*(?:[A-Z]+ )?(?:CODES|FAULTS|DTCS|ERRORS|FEHLER)\W{1,4}[0-9]\W*")
"""A list's heading with its length: "Active codes: 2"."""
_MAY_BE_NUMBER = "This may be the number of the fault in a list."
_DATE_LIKE = re.compile(
    r"[0-9]{1,4}[./-][0-9]{1,2}(?:[./-][0-9]{1,4})?|[0-9.,]+|[0-9.]+X[0-9.]+|555-[0-9]{4}|[0-9]{1,2}W-?[0-9]{2}"
    r"|[0-9]+(?:ST|ND|RD|TH)"
)


@dataclass(frozen=True, slots=True)
class FirstWord:
    """What stands first: where, and why it is only offered (``doubt``) or not even that (``told``)."""

    start: int
    end: int
    text: str
    doubt: str = ""
    told: str = ""
    left_over: str = ""


_PROMPT = re.compile(r">(?: ?[0-9A-F]{2})+ ?$|\W*[$€£¥]")
"""What was sent to an adapter, and is no answer (">03"), and a price."""


def first_word(
    blanked: str, system: CodeSystem, *, under_heading: bool, in_list: bool, has_status: bool, is_typed: bool
) -> FirstWord | None:
    """The code that a line begins with, or None. ``blanked`` is tidied, with statuses and counts blanked out."""
    pattern = _FLASH_FIRST if system is CodeSystem.FLASH else _MAKER_FIRST
    match = pattern.match(blanked)
    if match is None or not any(sign.isdigit() for sign in match["codes"]) or _PROMPT.match(blanked):
        return None
    rest = blanked[match.end() :]
    in_brackets = "(" in blanked[: match.start("codes")] and rest.strip().startswith(")")
    if _UNIT_AFTER.match(rest) or in_brackets or _HOW_MANY.fullmatch(blanked):
        return None
    text = match["codes"].rstrip("._/+-")
    end = match.start("codes") + len(text)
    if re.fullmatch("0+", text) or is_unit(text):
        return None
    text = _JOINED_BY_WORDS.sub(", ", text)
    if has_status and re.fullmatch(r" *[:=(-]{1,2} ?[0-9] ?\)?", blanked):
        return None
    labelled, bare = bool(match["label"]), not re.search(r"[A-Z0-9]", rest)
    judge = _flash if system is CodeSystem.FLASH else _maker
    doubt, told = judge(
        text, rest, labelled=labelled, bare=bare, sure=under_heading or is_typed, in_list=in_list, has_status=has_status
    )
    if (
        labelled
        and re.fullmatch(r"\W*(?:\w+ )?(?:CODES|FAULTS|DTCS|ERRORS)", match["label"])
        and re.fullmatch(r"[0-9]{1,2}", text)
        and bare
    ):
        doubt = "This may be how many codes there are."
    more = _MORE_NUMBERS.match(rest) if system is CodeSystem.FLASH else None
    if more and not doubt:
        told, doubt = ("" if more[1] == rest.strip() else told), "Other numbers stand behind it."
    more_codes = _MORE_OF_MAKER.match(rest) if labelled and system is CodeSystem.MAKER else None
    if more_codes:
        text, end = text + more_codes[0], match.end() + more_codes.end()
    other = _ANOTHER.search(rest) if labelled and not more_codes else None
    left_over = more[1] if more else other[0].strip() if other else ""
    return FirstWord(match.start("codes"), end, text, doubt, told, left_over)


def _flash(
    text: str, rest: str, *, labelled: bool, bare: bool, sure: bool, in_list: bool, has_status: bool
) -> tuple[str, str]:
    if labelled:
        return (_MAY_BE_NUMBER if re.fullmatch(r"[0-9]", text) and bare else ""), ""
    if sure:
        return ("", "") if bare else (NO_SIGN, "")
    if has_status and bare:
        is_number = re.fullmatch(r"[0-9]{1,2}", text)
        return ("This may be how many codes there are." if is_number and not in_list else "", "")
    if not bare:
        is_described = len(text) > 1 and DESCRIPTION.search(rest)
        return (NO_SIGN, "") if is_described else ("", LOOKS_LIKE)
    return (_may_be_a_number(text), "") if in_list else ("", LOOKS_LIKE)


def _may_be_a_number(text: str) -> str:
    """Why a number that stands by itself may be no code."""
    if re.fullmatch(r"[0-9]", text):
        return _MAY_BE_NUMBER
    if re.fullmatch(r"[0-9]{3}", text):
        return "A number of three digits by itself may be a measured value."
    return "This may be one number, with a comma in it." if re.fullmatch(r"[0-9]{1,3},[0-9]{1,3}", text) else ""


def _maker(
    text: str, rest: str, *, labelled: bool, bare: bool, sure: bool, in_list: bool, has_status: bool
) -> tuple[str, str]:
    if _DATE_LIKE.fullmatch(text) and not labelled:
        return "", LOOKS_LIKE
    if labelled and re.fullmatch(r"[0-9]", text):
        return _MAY_BE_NUMBER, ""
    if labelled or (sure and re.search(r"[A-Z]", text)) or (has_status and re.search(r"[A-Z]", text)):
        return "", ""
    if bare and in_list and re.search(r"[A-Z]", text):
        return NO_SIGN, ""
    return "", LOOKS_LIKE
