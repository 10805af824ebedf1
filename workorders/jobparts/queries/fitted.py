"""The parts that were fitted on a job, beside the charges for them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from uuid import UUID

from engineering.canonical import plain_decimal
from vessels.log.afterwards import afterwards
from vessels.log.evidence import superseded
from workorders.jobparts.actions.charging import invoice_words, proposed_price
from workorders.jobparts.log_details import old_part_words
from workorders.jobparts.models import FittedCharge, PartFitted
from workorders.models import Charge, Job
from workorders.money import ChargeKind


@dataclass(frozen=True)
class FittedOnJob:
    """A fitted part as it counts now, with its charge; ``remarks`` say where the two differ."""

    fitted: PartFitted
    charge: Charge | None
    remarks: list[str]

    @property
    def is_correction(self) -> bool:
        """Whether it stands in the place of an earlier wording."""
        return self.fitted.first_id is not None

    @property
    def old_part(self) -> str:
        """What came out."""
        return old_part_words(self.fitted.old_serial, self.fitted.old_fate)

    @property
    def price(self) -> Decimal | None:
        """What the catalog proposes."""
        return proposed_price(self.fitted)


@dataclass(frozen=True)
class JobParts:
    """The fitted parts of a job and its charges for parts, and where one lacks the other."""

    fitted: list[FittedOnJob]
    voided: list[FittedCharge]
    """Charges whose part was voided in the log."""
    unmatched: list[Charge]
    """Charges for parts that nobody logged as fitted. A core charge is for the old part, which nobody fits."""

    @property
    def uncharged(self) -> list[FittedOnJob]:
        """What was fitted and is not charged."""
        return [one for one in self.fitted if one.charge is None]


def parts_on(job: Job, charges: Iterable[Charge] | None = None, *, is_any_fitted: bool = True) -> JobParts:
    """Both, in three queries however many there are; two where the caller has read the job's ``charges``.

    ``is_any_fitted`` is False where the caller knows that no part was ever logged as fitted: then none is read.
    """
    counting, links = _fitted_on(job) if is_any_fitted else ((), {})
    matched = {link.charge_id for link in links.values()}
    if charges is None:
        charges = job.charges.filter(kind=ChargeKind.PART.value, struck_at=None).select_related("part", "added_by")
    counted = [one for one in charges if one.kind == ChargeKind.PART.value and not one.is_struck]
    shown = [_beside(one, links.pop(one.first_key, None)) for one in counting]
    to_fit = (one for one in counted if not one.is_core and one.pk not in matched)
    unmatched = sorted(to_fit, key=lambda one: one.pk)
    return JobParts(shown, list(links.values()), unmatched)


def _fitted_on(job: Job) -> tuple[Sequence[PartFitted], dict[UUID, FittedCharge]]:
    """What counts as fitted, and the charges of what was ever fitted, by the part's first entry."""
    entries = PartFitted.objects.filter(entry__job=job).exclude(superseded("entry"))
    counting = list(
        entries.annotate(later=afterwards("pk"))
        .select_related("entry__author", "entry__engine", "line", "part")
        .order_by("entry__happened_at", "entry__position")
    )
    links: dict[UUID, FittedCharge] = {
        link.fitted_id: link
        for link in FittedCharge.objects.filter(fitted__entry__job=job, charge__struck_at=None)
        .annotate(later=afterwards("as_charged"))
        .select_related("charge", "as_charged")
    }
    return counting, links


def _beside(fitted: PartFitted, link: FittedCharge | None) -> FittedOnJob:
    if link is None:
        return FittedOnJob(fitted, None, [])
    remarks = []
    if link.as_charged_id != fitted.pk and invoice_words(link.as_charged) != invoice_words(fitted):
        remarks.append(f"corrected after it was charged as “{invoice_words(link.as_charged)}”")
    if link.charge.quantity != fitted.quantity:
        fitted_words, charged = fitted.quantity_words, plain_decimal(link.charge.quantity)
        remarks.append(f"{fitted_words} fitted, {charged} charged")
    return FittedOnJob(fitted, link.charge, remarks)
