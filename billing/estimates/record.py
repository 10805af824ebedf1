"""An estimate as it is given: every figure and word of it, frozen. Page and paper of a given one are of this alone."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from typing import Any

from billing.documents import frozen
from billing.estimates.lines import how_words
from billing.estimates.models import Estimate, EstimateLine, EstimateOption
from billing.estimates.pricing import Figures, pairs_of, return_key, sum_of_choice, with_pair
from staff.models import Person, ShopProfile
from workorders.actions.charges import return_words
from workorders.models import Job, JobLine
from workorders.taxes.queries import TaxRules, written_rules
from workorders.taxes.shown import tax_rows

FORMAT = "garboard-estimate-1"


def record_of(
    estimate: Estimate,
    *,
    lines: Sequence[EstimateLine],
    options: Sequence[EstimateOption],
    concerns: Sequence[JobLine],
    figures: Figures,
    rules: TaxRules,
    shop: ShopProfile,
    by: Person,
    given_at: datetime,
    given_on: date,
    notices: Sequence[dict[str, str]] = (),
) -> dict[str, Any]:
    """All that an estimate says, as plain values."""
    base = figures.base
    return {
        "format": FORMAT,
        "number": estimate.job.number,
        "version": estimate.revision,
        "replaces": estimate.replaces.revision if estimate.replaces else None,
        "given_at": given_at,
        "given_on": given_on,
        "given_by": {"name": by.name, "role": by.get_role_display()},
        "valid_until": estimate.valid_until,
        "currency": shop.currency,
        "time_zone": shop.time_zone,
        "shop": {"name": shop.name, "address": shop.address.strip(), "phone": shop.phone, "email": shop.email},
        "customer": _customer(estimate.job),
        "vessel": _vessel(estimate.job),
        "words": estimate.words,
        "parts": _parts(lines, concerns, figures, shop.currency),
        "options": [
            {
                "key": option.key,
                "name": option.name,
                "alternatives": option.alternatives,
                "lines": _with_returns([one for one in lines if one.option_id == option.pk], figures, shop.currency),
                "adds": figures.options[option.key].adds,
                "total": figures.options[option.key].total,
            }
            for option in options
        ],
        "together": _together(estimate, lines, options, figures, rules=rules, currency=shop.currency),
        "kinds": {kind.value: price for kind, price in base.by_kind.items()},
        "subtotal": base.subtotal,
        "discount": base.discount,
        "discount_percent": estimate.discount_percent,
        "net": base.net,
        "taxes": [
            {
                "words": one.words,
                "plain": one.plain,
                "base": one.base,
                "due": one.due,
                "certificate": one.certificate,
            }
            for one in tax_rows(rules, base.taxes)
        ],
        "rules": written_rules(rules),
        "tax": base.tax,
        "total": base.total,
        "contingency": figures.contingency,
        "contingency_percent": estimate.contingency_percent,
        "deposit": estimate.deposit,
        "notices": list(notices),
        "changes": [],
    }


def thawed(estimate: Estimate) -> dict[str, Any]:
    """The record of an estimate that was given."""
    found: dict[str, Any] = frozen.thawed(dict, estimate.snapshot)
    return found


def lines_in(record: dict[str, Any]) -> list[tuple[str, dict[str, Any]]]:
    """Every line of a record, with the name of the option that it belongs to."""
    own = [("", line) for part in record["parts"] for line in part["lines"]]
    return own + [(option["name"], line) for option in record["options"] for line in option["lines"]]


def _together(
    estimate: Estimate,
    lines: Sequence[EstimateLine],
    options: Sequence[EstimateOption],
    figures: Figures,
    *,
    rules: TaxRules,
    currency: str,
) -> list[dict[str, Any]]:
    """Two options that come to another sum together than each on top of the work: a tax or a fee stops at a sum."""
    found = []
    for one, other in pairs_of(options):
        total = sum_of_choice(estimate, with_pair(lines, (one, other)), rules=rules, currency=currency)
        if total != figures.base.total + figures.options[one.key].adds + figures.options[other.key].adds:
            found.append({"names": [one.name, other.name], "total": total})
    return found


def _parts(
    lines: Sequence[EstimateLine], concerns: Sequence[JobLine], figures: Figures, currency: str
) -> list[dict[str, Any]]:
    """The lines of the work by the concern that they are for; those for the whole job last."""
    found = []
    for concern in [*concerns, None]:
        key = concern.pk if concern is not None else None
        of_it = [one for one in lines if one.option_id is None and one.job_line_id == key]
        if of_it:
            found.append(
                {
                    "position": concern.position if concern is not None else None,
                    "title": concern.concern if concern is not None else "",
                    "engine": str(concern.engine) if concern is not None and concern.engine else "",
                    "lines": _with_returns(of_it, figures, currency),
                }
            )
    return found


def _with_returns(lines: Sequence[EstimateLine], figures: Figures, currency: str) -> list[dict[str, Any]]:
    """Lines as they read; a core that comes back with the work is followed by its return."""
    found = []
    for line in lines:
        found.append(_line(line, figures, currency))
        if line.core_back:
            found.append(_return(line, figures, currency))
    return found


def _return(line: EstimateLine, figures: Figures, currency: str) -> dict[str, Any]:
    reckoned = figures.lines.get(return_key(line.key))
    return _line(line, figures, currency) | {
        "key": return_key(line.key),
        "description": return_words(line.description),
        "how": "the old part comes back with the work",
        "quantity": None if line.quantity is None else -line.quantity,
        "amount": reckoned.amount if reckoned else None,
        "price": reckoned.price if reckoned else None,
    }


def _line(line: EstimateLine, figures: Figures, currency: str) -> dict[str, Any]:
    reckoned = figures.lines.get(line.key)
    return {
        "key": line.key,
        "kind": line.kind,
        "description": line.description,
        "how": how_words(line, currency),
        "quantity": line.quantity,
        "unit_price": line.unit_price,
        "taxable": line.taxable,
        "amount": reckoned.amount if reckoned else None,
        "discount": reckoned.discount if reckoned else None,
        "discount_percent": line.discount_percent,
        "price": reckoned.price if reckoned else None,
    }


def _customer(job: Job) -> dict[str, str]:
    customer = job.customer
    return {"name": customer.name, "contact": customer.contact, "address": customer.address.strip()}


def _vessel(job: Job) -> dict[str, str]:
    vessel = job.vessel
    return {"name": str(vessel), "hin": vessel.hin, "model": f"{vessel.maker} {vessel.model}".strip()}
