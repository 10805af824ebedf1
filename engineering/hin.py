"""Hull identification numbers: the format of 33 CFR 181.25, and the two formats before August 1984.

Sources: 33 CFR 181.25 (text of the regulation) for the present format. The straight-year and model-year formats of
November 1972 to July 1984 follow the former text of the same section, as published boating-law guides describe it.
The country prefix is that of ISO 10087 (from memory).
"""

import re
import unicodedata
from dataclasses import dataclass
from datetime import date

_SEPARATORS = re.compile(r"[\s/.\-‐‑‒–—]+")
_COUNTRY = re.compile(r"([A-Z]{2})\s?[-‐‑‒–—]\s?(?=.*[0-9])")
_LOOKS_LIKE_DIGIT = {"O": "0", "Q": "0", "D": "0", "I": "1", "L": "1", "Z": "2", "S": "5", "G": "6", "B": "8"}
_MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip
_FIRST_YEAR = 1972
_LAST_OLD_YEAR = 1984


@dataclass(frozen=True, slots=True)
class Hin:
    """A hull identification number taken apart.

    ``certified_month`` is 1–12; ``certified_year`` and ``model_year`` have four digits. The straight-year format
    of older boats has no model year.
    """

    country: str | None
    manufacturer_code: str
    serial: str
    certified_month: int
    certified_year: int
    model_year: int | None


@dataclass(frozen=True, slots=True)
class HinCheck:
    """The outcome of a check: ``problems`` say what is wrong, ``notes`` what is odd or was worked out.

    ``normalized`` is the number in capitals without separators, but for the hyphen after a country: it is always
    given, right or wrong. ``hin`` is there only when there are no problems.
    """

    ok: bool
    normalized: str
    hin: Hin | None
    problems: tuple[str, ...]
    notes: tuple[str, ...]


def other_model_year(hin: Hin, model_year: int | None) -> str:
    """That a model year on record is not the one in a HIN, as a sentence; empty where either is not known."""
    if hin.model_year is None or model_year is None or hin.model_year == model_year:
        return ""
    return (
        f"The record says model year {model_year}, the HIN says {hin.model_year}. Compare both "
        "with the hull and the boat's papers."
    )


@dataclass(frozen=True, slots=True)
class _Dates:
    month: int
    year: int
    model_year: int | None


class _Findings:
    """Problems and notes, gathered on the way."""

    def __init__(self) -> None:
        self.problems: list[str] = []
        self.notes: list[str] = []


def check_hin(text: str, *, today: date) -> HinCheck:
    """Check a hull identification number and take it apart. ``today`` places the one-digit year in its decade.

    Never raises: what is wrong is said in ``problems``, each sentence naming the character, counted from 1 without
    the country prefix.
    """
    found = _Findings()
    country, body = _split(text, found)
    normalized = f"{country}-{body}" if country else body
    _check_characters(body, found)
    if len(body) != 12:
        found.problems.append(_length_problem(len(body)))
        return HinCheck(False, normalized, None, tuple(found.problems), tuple(found.notes))
    _check_serial(body, found)
    _check_manufacturer(body, found)
    dates = _read_dates(body[8:], today, found)
    if found.problems or dates is None:
        return HinCheck(False, normalized, None, tuple(found.problems), tuple(found.notes))
    hin = Hin(country, body[:3], body[3:8], dates.month, dates.year, dates.model_year)
    return HinCheck(True, normalized, hin, (), tuple(found.notes))


def _split(text: str, found: _Findings) -> tuple[str | None, str]:
    """The country or None, and the number itself in capitals without separators."""
    cleaned = unicodedata.normalize("NFKC", text).strip().upper()
    country = None
    prefix = _COUNTRY.match(cleaned)
    if prefix and len(_SEPARATORS.sub("", cleaned)) > 12:
        country = prefix.group(1)
        cleaned = cleaned[prefix.end() :]
    body = _SEPARATORS.sub("", cleaned)
    if body != cleaned:
        found.notes.append("Spaces, hyphens and slashes were left out: the number itself has none.")
    if country is None and len(body) == 14 and re.fullmatch(r"[A-Z]{2}", body[:2]):
        country, body = body[:2], body[2:]
        found.notes.append(f"Read with the country prefix {country}, as the number has 14 characters.")
    return country, body


def _length_problem(length: int) -> str:
    fault = "missing" if length < 12 else "too many"
    by = abs(12 - length)
    return (
        f"A hull identification number has 12 characters after any country prefix (such as US-); this one has "
        f"{length}, so {by} {'is' if by == 1 else 'are'} {fault}. Compare it with the hull, on the starboard side of "
        f"the transom."
    )


def _check_characters(body: str, found: _Findings) -> None:
    for position, character in enumerate(body, 1):
        if not re.fullmatch(r"[A-Z0-9]", character):
            found.problems.append(
                f"Character {position} is “{character}”. Only the letters A to Z and the digits 0 to 9 are used."
            )


def _check_serial(body: str, found: _Findings) -> None:
    for position in range(4, 9):
        letter = body[position - 1]
        if letter in "IOQ":
            digit = _LOOKS_LIKE_DIGIT[letter]
            found.problems.append(
                f"Character {position} is the letter {letter}, which the serial (characters 4 to 8) never has: "
                f"write the digit {digit} if that is what the hull shows."
            )


def _check_manufacturer(body: str, found: _Findings) -> None:
    digits = [position for position in (1, 2, 3) if body[position - 1] in "0123456789"]
    if digits:
        where = " and ".join(str(position) for position in digits)
        found.notes.append(
            f"The manufacturer's code {body[:3]} has a digit (character {where}). Codes are nearly always three "
            f"letters: check whether it is the letter O or I."
        )


def _read_dates(ending: str, today: date, found: _Findings) -> _Dates | None:
    """The dates in characters 9–12, by the format that these have."""
    if ending[0] == "M":
        return _model_year_format(ending, found)
    if re.fullmatch(r"[0-9]{4}", ending):
        return _straight_year_format(ending, found)
    return _present_format(ending, today, found)


def _needs_digits(ending: str, positions: tuple[int, ...], meaning: str, found: _Findings) -> bool:
    """Whether the characters at these positions (9–12) are digits; a problem for each that is not."""
    complete = True
    for position in positions:
        character = ending[position - 9]
        if character not in "0123456789":
            complete = False
            digit = _LOOKS_LIKE_DIGIT.get(character)
            hint = f": write {digit} if that is what the hull shows" if digit else ""
            found.problems.append(f"Character {position} is “{character}”, but {meaning} must be a digit{hint}.")
    return complete


def _present_format(ending: str, today: date, found: _Findings) -> _Dates | None:
    """33 CFR 181.25 (c) and (d): month letter, last digit of the year, two digits of the model year."""
    month = "ABCDEFGHIJKL".find(ending[0]) + 1
    if not month:
        hint = {"1": " Write I (September) if that is what the hull shows.", "8": " Write B if the hull shows it."}
        found.problems.append(
            f"Character 9 is “{ending[0]}”, but the month of certification is a letter from A (January) to "
            f"L (December).{hint.get(ending[0], '')}"
        )
    year_is_digit = _needs_digits(ending, (10,), "the last digit of the year of certification", found)
    model_is_digits = _needs_digits(ending, (11, 12), "the model year", found)
    if not (month and year_is_digit and model_is_digits):
        return None
    model_year = _model_year(int(ending[2:]), today)
    if model_year is None:
        found.problems.append(
            f"Characters 11 and 12 give model year “{ending[2:]}”, which is neither 1984 or later nor at most two "
            f"years ahead. This format began in 1984."
        )
        return None
    year = next(y for y in range(model_year + 1, model_year - 9, -1) if y % 10 == int(ending[1]))
    if (year, month) > (today.year, today.month):
        found.problems.append(
            f"Characters 9 and 10 say certified in {_MONTHS[month - 1]} {year}, which is still to come. "
            f"Compare characters 9 to 12 with the hull."
        )
        return None
    if not model_year - 1 <= year <= model_year:
        found.notes.append(
            f"Certified in {year} but model year {model_year}: unusual, so compare characters 10 to 12 with the hull."
        )
    return _Dates(month, year, model_year)


def _model_year(two_digits: int, today: date) -> int | None:
    """The latest year with these last digits that is not before 1984 and at most two years ahead."""
    latest = today.year + 2
    century = latest - latest % 100
    for year in (century + two_digits, century - 100 + two_digits):
        if _LAST_OLD_YEAR <= year <= latest:
            return year
    return None


def _model_year_format(ending: str, found: _Findings) -> _Dates | None:
    """Until July 1984: M, two digits of the model year, month letter from A (August of the year before) to L (July)."""
    digits = _needs_digits(ending, (10, 11), "the model year after M", found)
    month_index = "ABCDEFGHIJKL".find(ending[3])
    if month_index < 0:
        found.problems.append(
            f"Character 12 is “{ending[3]}”, but in the older format with M the month is a letter from A (August) to "
            f"L (July)."
        )
    if not digits or month_index < 0:
        return None
    model_year = 1900 + int(ending[1:3])
    if not _FIRST_YEAR <= model_year <= _LAST_OLD_YEAR + 1:
        found.problems.append(
            f"Characters 10 and 11 give model year {model_year}, but the format with M in character 9 was used only "
            f"from November 1972 to July 1984."
        )
        return None
    found.notes.append("Older format with M and the model year, used until July 1984.")
    month = (month_index + 7) % 12 + 1
    dates = _Dates(month, model_year - 1 if month >= 8 else model_year, model_year)
    _note_outside_the_older_formats(dates, "10 to 12", found)
    return dates


def _straight_year_format(ending: str, found: _Findings) -> _Dates | None:
    """Until July 1984: two digits of the month, two digits of the year."""
    month, year = int(ending[:2]), 1900 + int(ending[2:])
    if not 1 <= month <= 12:
        found.problems.append(
            f"Characters 9 and 10 are {ending[:2]}, which is no month (01 to 12) of the older format with four digits. "
            f"On a boat from August 1984 on, character 9 is a letter from A to L."
        )
    if not _FIRST_YEAR <= year <= _LAST_OLD_YEAR:
        found.problems.append(
            f"Characters 11 and 12 give the year {year}, but the format with four digits was used only from "
            f"November 1972 to July 1984."
        )
    if found.problems:
        return None
    found.notes.append("Older format with month and year in digits, used until July 1984; it has no model year.")
    dates = _Dates(month, year, None)
    _note_outside_the_older_formats(dates, "9 to 12", found)
    return dates


def _note_outside_the_older_formats(dates: _Dates, characters: str, found: _Findings) -> None:
    """Say that a date of an older format lies before the formats began or after they ended, by months."""
    if not (1972, 11) <= (dates.year, dates.month) <= (1984, 7):
        found.notes.append(
            f"{_MONTHS[dates.month - 1]} {dates.year} is outside of November 1972 to July 1984, when the older formats "
            f"were used: compare characters {characters} with the hull."
        )
