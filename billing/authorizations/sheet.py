"""The exact text that a customer signs for on the screen: shown above the signature, kept with its digest. Pure."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from workorders.money import money_words

SAFETY = "The shop says that this touches safety. It is not done with this job."
LOCAL_LAW = "What else applies, local law decides."


@dataclass(frozen=True)
class Row:
    """A line or option as the sheet names it, and what else its sum is made of; before tax, where tax is a row."""

    words: str
    amount: Decimal | None = None
    is_option: bool = False
    is_safety: bool = False


@dataclass(frozen=True)
class Sheet:
    """Everything that the text says. ``stops_at`` is where charges stop, with what the shop allows on top."""

    shop: str
    job: int
    vessel: str
    customer: str
    who: str
    amount: Decimal
    before: Decimal | None
    adds: bool
    is_ceiling: bool
    stops_at: Decimal
    currency: str
    is_open: bool = False
    likely: Decimal | None = None
    revision: int | None = None
    digest: str = ""
    taken: Sequence[Row] = ()
    declined: Sequence[Row] = ()
    words: str = ""


def text_of(sheet: Sheet) -> str:
    """The text, a sentence a line."""

    def money(value: Decimal) -> str:
        return money_words(value, sheet.currency)

    said = [f"{sheet.shop}: authorization of work", f"Job {sheet.job}, {sheet.vessel}, for {sheet.customer}"]
    if sheet.revision is not None:
        said.append(f"Estimate {sheet.job}, version {sheet.revision} (its digest begins {sheet.digest[:12]})")
    said.append("")
    if sheet.taken:
        said += ["I agree to:", *(_row(one, sheet.currency) for one in sheet.taken), ""]
    if sheet.declined:
        said += ["I do not want now:", *(_row(one, sheet.currency) for one in sheet.declined), ""]
    if sheet.words:
        said += [sheet.words, ""]
    if sheet.is_open:
        said += _open_words(sheet)
        return "\n".join([*said, LOCAL_LAW, "", f"Signed by: {sheet.who}"])
    said.append(_sum_words(sheet))
    if sheet.stops_at > _whole(sheet):
        said.append(
            f"By the shop’s terms it may come to {money(sheet.stops_at)} before I am asked. Past that I am asked first."
        )
    elif sheet.is_ceiling:
        said.append("This sum is not to be exceeded.")
    else:
        said.append("Before it comes to more, I am asked first.")
    said += [LOCAL_LAW, "", f"Signed by: {sheet.who}"]
    return "\n".join(said)


def _whole(sheet: Sheet) -> Decimal:
    return sheet.amount + (sheet.before or Decimal(0)) if sheet.adds else sheet.amount


def _sum_words(sheet: Sheet) -> str:
    whole = money_words(_whole(sheet), sheet.currency)
    if sheet.adds:
        return (
            f"{money_words(sheet.amount, sheet.currency)} with tax on top of what I agreed to before: {whole} in all."
        )
    return f"It comes to {whole} with tax, in all."


def _open_words(sheet: Sheet) -> list[str]:
    """Time and materials: what that means for who signs it, before the sum that is likely."""
    said = [
        "I agree to time and materials: I pay, with tax, for the labor, parts and other charges that the work takes.",
        "No sum is set that it may not pass. I am not asked before it comes to more.",
    ]
    if sheet.before is not None:
        said.append(f"This takes the place of the {money_words(sheet.before, sheet.currency)} that I agreed to before.")
    if sheet.likely is not None:
        likely = money_words(sheet.likely, sheet.currency)
        said.append(f"{sheet.shop} thinks it likely to come to {likely} with tax. That is no ceiling: it may be more.")
    return said


def _row(row: Row, currency: str) -> str:
    name = f"Option: {row.words}" if row.is_option else row.words
    if row.amount is not None:
        name = f"{name}: {money_words(row.amount, currency)}"
    return f"– {name}. {SAFETY}" if row.is_safety else f"– {name}"


def digest_of(text: str) -> str:
    """The SHA-256 of the text as UTF-8."""
    return hashlib.sha256(text.encode()).hexdigest()
