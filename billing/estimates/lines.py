"""What may stand on a priced line, and what is filled in where it is left out."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from billing.estimates.models import PERCENT_OF, EstimateLine, KitLine, PricedLine, plain
from commands.refusals import Refused
from staff.models import ShopProfile
from workorders.actions.checking import refuse_unsound
from workorders.money import ChargeKind, money_words

FIELDS = (
    "kind", "part", "description", "quantity", "unit_price", "is_flat", "percent", "percent_of", "cap", "feet", "days",
    "taxable", "is_core", "core_back",
)  # fmt: skip
ON_ESTIMATES = (*FIELDS, "discount_percent", "discount_amount", "option", "job_line")
_FREE = ("description", "quantity", "unit_price", "percent", "cap", "feet", "days")
PERCENT_WORDS = dict(PERCENT_OF)


def paper_order(line: EstimateLine) -> tuple[int, ...]:
    """Where a line stands on an estimate: the work by concern, what is for the whole job after it, then each option.

    It reads the line's ``job_line`` and ``option``.
    """
    if line.option is not None:
        return 1, line.option.position, line.option.pk, line.position, line.pk
    is_whole, concern = (0, line.job_line.position) if line.job_line is not None else (1, 0)
    return 0, is_whole, concern, line.position, line.pk


def put(line: PricedLine, told: Mapping[str, Any], shop: ShopProfile, *, fill: bool = True) -> dict[str, Any]:
    """Put what was told on a line, and work out the rest. Answers with every field as it is to be stored.

    ``fill`` takes a price that was left out from the labor rate or the catalog; a kit leaves it open instead.

    Raises:
        Refused: it cannot stand so.
    """
    for name, value in told.items():
        setattr(line, name, value.strip() if isinstance(value, str) else value)
    try:
        kind = ChargeKind(line.kind)
    except ValueError as error:
        sentence = "Choose what it is: labor, a part, sublet work or a fee."
        raise Refused(sentence, fields={"kind": sentence}) from error
    if line.part is not None and kind is not ChargeKind.PART:
        raise Refused(
            "Only a part is taken from the catalog.", fields={"part_number": "Leave it empty, or choose Part."}
        )
    if line.is_core:
        _refuse_odd_core(line, kind)
    elif line.core_back:
        sentence = "Only a core charge is given back. Select that it is one."
        raise Refused(sentence, fields={"core_back": sentence})
    if not line.description:
        line.description = _described(line, kind)
    _settle_way(line, kind)
    if fill and line.percent is None and line.unit_price is None and not line.is_flat:
        line.unit_price = _price(line, kind, shop)
    refuse_unsound(line, _FREE)
    return {name: getattr(line, name) for name in (ON_ESTIMATES if isinstance(line, EstimateLine) else FIELDS)}


def _refuse_odd_core(line: PricedLine, kind: ChargeKind) -> None:
    """A core charge is of a part, at a price of its own and without a discount, as it is given back whole."""
    fields = {}
    if kind is not ChargeKind.PART:
        fields["is_core"] = "Only a part has a core charge. Choose Part."
    if line.unit_price is None and not isinstance(line, KitLine):
        fields["unit_price"] = "Enter the core charge: it is not the part’s own price."
    if isinstance(line, EstimateLine) and (line.discount_percent or line.discount_amount):
        fields["discount_percent"] = "A core charge has no discount: it is given back as it was charged."
    if fields:
        raise Refused(next(iter(fields.values())), fields=fields)


def _described(line: PricedLine, kind: ChargeKind) -> str:
    if line.part is not None:
        core = "Core charge: " if line.is_core else ""
        return f"{core}{line.part.number} {line.part.description}"[:160]
    if kind is ChargeKind.LABOR:
        return "Labor"
    sentence = "Say what it is for, as it should read on the estimate."
    raise Refused(sentence, fields={"description": sentence})


def _settle_way(line: PricedLine, kind: ChargeKind) -> None:
    """One way of pricing: a percentage, by foot and day, flat, or quantity times price."""
    if line.percent is not None:
        if kind is not ChargeKind.FEE:
            sentence = "Only a fee is a percentage."
            raise Refused(sentence, fields={"percent": sentence})
        if line.unit_price is not None or line.feet is not None or line.days is not None:
            sentence = "A fee is a percentage or has a price, and not both."
            raise Refused(sentence, fields={"percent": sentence})
        line.quantity, line.is_flat, line.percent_of = None, False, line.percent_of or "both"
        return
    line.percent_of = ""
    if line.cap is not None:
        sentence = "A cap belongs to a percentage."
        raise Refused(sentence, fields={"cap": sentence})
    if (line.feet is None) != (line.days is None):
        missing = "days" if line.days is None else "feet"
        sentence = "Storage has a length in feet and a number of days."
        raise Refused(sentence, fields={missing: sentence})
    if line.feet is not None and line.days is not None:
        line.quantity, line.is_flat = line.feet * line.days, False
    elif line.is_flat or (line.quantity is None and kind is not ChargeKind.LABOR):
        line.quantity = Decimal(1)


def _price(line: PricedLine, kind: ChargeKind, shop: ShopProfile) -> Decimal | None:
    """What the shop knows; a price of zero in the catalog is none."""
    if line.is_core:
        return None
    if line.part is not None:
        return line.part.unit_price or None
    return shop.labor_rate if kind is ChargeKind.LABOR else None


def how_words(line: PricedLine, currency: str) -> str:
    """How a line comes to its amount: “2.5 h at $138.00”, “2 × $48.75”, “8 % of labor and parts”."""
    core = ", core charge, until the old part is here" if line.is_core else ""
    return f"{_amount_words(line, currency)}{core}"


def _amount_words(line: PricedLine, currency: str) -> str:
    if line.percent is not None:
        cap = f", at most {money_words(line.cap, currency)}" if line.cap is not None else ""
        return f"{plain(line.percent)} % of {PERCENT_WORDS[line.percent_of or 'both']}{cap}"
    if line.is_flat:
        return "flat"
    price = "" if line.unit_price is None else money_words(line.unit_price, currency)
    if storage := storage_words(line):
        return f"{storage}{f' at {price}' if price else ''}"
    if line.kind == ChargeKind.LABOR:
        hours = f"{plain(line.quantity)} h" if line.quantity is not None else "hours not known yet"
        return f"{hours} at {price}" if price else hours
    if not price:
        return f"{plain(line.quantity)} ×"
    return price if line.quantity == 1 else f"{plain(line.quantity)} × {price}"


def storage_words(line: PricedLine) -> str:
    """What storage is counted by: “31 ft × 9 days”; empty for anything else."""
    if line.feet is None or line.days is None:
        return ""
    return f"{plain(line.feet)} ft × {line.days} {'day' if line.days == 1 else 'days'}"


def share_words(line: PricedLine, of: Decimal, currency: str) -> str:
    """What a percentage was made of: “5 % of $612.00 for labor and parts, at most $20.00”."""
    cap = f", at most {money_words(line.cap, currency)}" if line.cap is not None else ""
    words = PERCENT_WORDS[line.percent_of or "both"]
    return f"{plain(line.percent)} % of {money_words(of, currency)} for {words}{cap}"


def from_kit(line: KitLine) -> dict[str, Any]:
    """What a line of a kit puts on an estimate."""
    return {name: getattr(line, name) for name in FIELDS}
