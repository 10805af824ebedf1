"""What is asked about estimates."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from django.db.models import Count, Exists, OuterRef, Q, QuerySet

from billing.estimates.models import Estimate, EstimateLine, EstimateOption, Kit, KitLine
from billing.estimates.pricing import Figures, dearest_choice, figures
from vessels.models.searching import squeeze, squeezed
from workorders.models import Job, JobLine
from workorders.money import money_words
from workorders.taxes.queries import TaxRules, taxes_of


@dataclass(frozen=True)
class Draft:
    """A draft with everything on it, worked out with the taxes of today."""

    estimate: Estimate
    lines: Sequence[EstimateLine]
    options: Sequence[EstimateOption]
    concerns: Sequence[JobLine]
    rules: TaxRules
    figures: Figures


def draft_of(job: Job) -> Estimate | None:
    """The estimate of a job that is being written, if there is one."""
    return Estimate.objects.filter(job=job, given_at=None).select_related("job", "replaces").first()


def given_of(job: Job) -> list[Estimate]:
    """The versions that were given, the latest first."""
    return list(job.estimates.exclude(given_at=None).select_related("given_by").order_by("-revision"))


def worked_out(estimate: Estimate, *, currency: str) -> Draft:
    """A draft with its figures."""
    lines = list(estimate.lines.select_related("part", "job_line", "option").order_by("position", "pk"))
    options = list(estimate.options.order_by("position", "pk"))
    concerns = list(estimate.job.lines.select_related("engine").order_by("position"))
    rules = taxes_of(estimate.job)
    found = figures(estimate, lines, options, rules=rules, currency=currency)
    return Draft(estimate, lines, options, concerns, rules, found)


def deposit_above_all(draft: Draft, currency: str) -> str:
    """What keeps an estimate from being given for its deposit, and where to change that; empty where nothing does."""
    said = deposit_words(draft, currency)
    return f"{said} Change the deposit under “Terms”." if said else ""


def deposit_words(draft: Draft, currency: str) -> str:
    """That more is asked beforehand than the dearest choice comes to; empty where it is not, or where nobody can say.

    Contingency is no part of any total, so nobody deposits it.
    """
    asked, found = draft.estimate.deposit, draft.figures
    if not asked or not draft.lines or found.unpriced or found.problem:
        return ""
    if asked <= found.base.total:
        return ""
    most = dearest_choice(draft.estimate, draft.lines, draft.options, rules=draft.rules, currency=currency)
    if asked <= most:
        return ""
    choice = "with the dearest choice of options " if draft.options else ""
    return (
        f"A deposit of {money_words(asked, currency)} is asked; {choice}the estimate comes to "
        f"{money_words(most, currency)}."
    )


def find_kits(text: str) -> QuerySet[Kit]:
    """Kits in which every word stands: in the name, the note or a line, or as the number of a part in it.

    A number is found with and without hyphens; a part by its maker and its words in the catalog as well.
    """
    found = Kit.objects.annotate(count=Count("lines")).order_by("name")
    for word in text.split():
        tight = squeeze(word)
        lines = KitLine.objects.filter(kit=OuterRef("pk")).annotate(number=squeezed("part__number"))
        inside = Q(description__icontains=word) | Q(part__description__icontains=word) | Q(part__maker__icontains=word)
        inside |= Q(number__contains=tight) if tight else Q()
        found = found.filter(
            Q(name__icontains=word) | Q(note__icontains=word) | Exists(lines.filter(inside))
        )  # fmt: skip
    return found


def has_given_sum(job: Job) -> bool:
    """Whether an estimate of more than nothing was given for a job."""
    return job.estimates.filter(given_at__isnull=False, total__gt=0).exists()


def kept_papers() -> Iterator[tuple[str, int | None, str]]:
    """The paper of every estimate that has one, for ``files.references``."""
    rows = Estimate.objects.exclude(pdf_sha256="").select_related("job").order_by("pk")
    for one in rows.iterator():
        yield one.pdf_sha256, one.pdf_size, str(one).lower()
