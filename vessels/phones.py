"""Phone numbers as people write them and as they are dialed."""

from __future__ import annotations

import re
from contextlib import suppress

import phonenumbers
from phonenumbers import ValidationResult

from commands.refusals import Refused
from staff.queries import shop_profile

_FEWEST_WITH_AREA = 10  # digits and the plus; what is longer is whole
_EXTENSION_MARK = re.compile(r"[^\W\d_]|#")


def shop_region() -> str:
    """The region that a number without a country code is read in: that of the shop's own phone, else the US."""
    try:
        own = phonenumbers.parse(shop_profile().phone, "US")
    except phonenumbers.NumberParseException:
        return "US"
    return phonenumbers.region_code_for_number(own) or "US"


def dialed(number: str, *, region: str) -> str:
    """The number in E.164, such as +15555550123. One without an area code is kept without.

    Raises:
        Refused: it cannot be a phone number.
    """
    sentence = f"“{number.strip()[:40]}” is not a phone number. Write it like (555) 555-0123 or +1 555 555 0123."
    try:
        parsed = phonenumbers.parse(number, region)
    except phonenumbers.NumberParseException as error:
        raise Refused(sentence, fields={"number": sentence}) from error
    if not phonenumbers.is_possible_number(parsed):
        raise Refused(sentence, fields={"number": sentence})
    return phonenumbers.format_number(parsed, phonenumbers.PhoneNumberFormat.E164)


def written(number: str, *, region: str) -> str:
    """The number in the one form in which it is shown everywhere: "(555) 555-0123 ext. 12", "+44 20 7946 0958".

    Without its country code where that is the region's own; with the extension that was written. What cannot be a
    number stays as it is: :func:`dialed` says so.
    """
    try:
        parsed = phonenumbers.parse(number, region)
    except phonenumbers.NumberParseException:
        return number.strip()
    is_from_here = parsed.country_code == phonenumbers.country_code_for_region(region)
    form = phonenumbers.PhoneNumberFormat
    return phonenumbers.format_number(parsed, form.NATIONAL if is_from_here else form.INTERNATIONAL)


def to_call(number: str, digits: str) -> str:
    """What a link of a number dials: ``digits``, and the extension that was written with them (RFC 3966, ``;ext=``).

    A number without its area is dialed as it was written: with the country's code before it, it would be no number.
    """
    if len(digits) < _FEWEST_WITH_AREA and digits.startswith("+"):
        with suppress(phonenumbers.NumberParseException):
            parsed = phonenumbers.parse(digits)
            if phonenumbers.is_possible_number_with_reason(parsed) == ValidationResult.IS_POSSIBLE_LOCAL_ONLY:
                digits = str(parsed.national_number)
    if digits == number or not _EXTENSION_MARK.search(number):
        return digits
    try:
        extension = phonenumbers.parse(number, "US").extension
    except phonenumbers.NumberParseException:
        return digits
    return f"{digits};ext={extension}" if extension else digits
