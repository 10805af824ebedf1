"""What of a given estimate can be put on its job: as the customer answered, and what was charged of it before."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any
from uuid import UUID

from billing.estimates.answered import StandingAnswer, standing_answer
from billing.estimates.lines import how_words, paper_order
from billing.estimates.models import Estimate, EstimateLine
from billing.estimates.raised import Raised, price_of, raised, standing_sum
from billing.estimates.record import lines_in, thawed
from engineering.canonical import plain_decimal
from staff.queries import shop_profile
from workorders import marks
from workorders.models import Charge, Job
from workorders.money import money_words


@dataclass(frozen=True)
class Choice:
    """A line of the work, or an option with its lines.

    ``left`` are the lines that are not on the job, ``raised`` those that are there at another sum than in this version;
    ``declined`` is the sentence of the customer's no; ``before`` says what became of it where it was charged and does
    not count any more. ``is_proposed`` is what is charged unless somebody chooses otherwise.
    """

    key: UUID
    is_option: bool
    words: str
    left: Sequence[EstimateLine]
    is_share: bool = False
    declined: str = ""
    before: str = ""
    unanswered: str = ""
    on_job: str = ""
    is_proposed: bool = False
    raised: Sequence[Raised] = ()

    @property
    def is_offered(self) -> bool:
        """Whether there is anything to charge of it."""
        return bool(self.left or self.raised)

    @property
    def hint(self) -> str:
        """All that has to be known before it is charged."""
        return " ".join(one for one in (self.declined, self.before, self.unanswered, self.on_job) if one)


@dataclass(frozen=True)
class _Before:
    """The charges that were made of an estimate's lines, by the key of the line."""

    counting: dict[UUID, list[Charge]]
    gone: dict[UUID, Charge]

    def words(self, lines: Sequence[EstimateLine]) -> str:
        """What was charged of some lines and does not count any more."""
        said = []
        for line in lines:
            charge: Any = self.gone.get(line.key)
            if charge is not None and line.key not in self.counting:
                said.append(f"credited ({charge.mark.words})" if charge.mark else "voided")
        return f"It was charged before and {', '.join(dict.fromkeys(said))}." if said else ""

    def raised(self, lines: Sequence[EstimateLine], prices: Mapping[UUID, Decimal], currency: str) -> list[Raised]:
        """Lines that are on the job at another sum than in the version; none where one of them is changed by hand."""
        there = [one for one in lines if one.key in self.counting and one.percent is None]
        sums = {one.key: prices.get(one.key, Decimal(0)) for one in there}
        other = [one for one in there if standing_sum(self.counting[one.key], currency) != sums[one.key]]
        found = [raised(one, self.counting[one.key], sums[one.key], currency) for one in other]
        return [one for one in found if one is not None] if all(found) else []

    def on_job(self, lines: Sequence[EstimateLine], prices: Mapping[UUID, Decimal], currency: str) -> str:
        """What counts on the job, and on which invoice; at which sum, where this version has another one.

        ``prices`` are those of the version, of lines that are no percentage.
        """
        there = [one for one in lines if one.key in self.counting]
        if not there:
            return ""
        charges: list[Any] = [charge for one in there for charge in self.counting[one.key]]
        invoices = list(dict.fromkeys(one.mark.words for one in charges if one.mark))
        stands = standing_sum(charges, currency)
        estimated = sum((prices.get(one.key, Decimal(0)) for one in there), Decimal(0))
        changed = self.raised(lines, prices, currency)
        if len(there) == len(lines) == 1 and there[0].percent is not None:
            fixed = any(one.mark is not None and one.mark.is_fixed for one in charges)
            does = "charges what is missing of it then" if fixed else "brings it to what it comes to then"
            said = ", ".join(["On the job already", *invoices])
            return f"{said}. Charging a line or an option here {does}, by this version."
        if any(one.percent is not None for one in there) or (stands == estimated and not changed):
            what = "On the job already"
            if len(there) < len(lines):
                what = f"Of it {_named(there)} is on the job already"
            return f"{', '.join([what, *invoices])}."
        now, then = money_words(stands, currency), money_words(estimated, currency)
        what = "On the job" if len(there) == len(lines) else f"Of it {_named(there)} is on the job"
        said = f"{', '.join([f'{what} at {now}', *invoices])}; {then} in this version."
        if changed:
            return f"{said} {_raised_words(changed)}"
        way = "credit" if invoices else "void"
        many = "that charge" if len(there) == 1 else "those charges"
        return (
            f"{said} The difference is not charged. To charge the sum of this version, {way} {many}, then select it "
            "here."
        )


def _raised_words(changed: Sequence[Raised]) -> str:
    """What selecting it does with what is on the job."""
    voided = sum(len(one.voided) for one in changed)
    if any(one.fixed for one in changed):
        if voided:
            return "Selected, what of it is not invoiced is voided, and what is missing to this sum is charged."
        return "Selected, the difference is charged."
    which = "that charge is" if voided == 1 else "those charges are"
    return f"Selected, {which} voided and the sum of this version is charged."


def _named(lines: Sequence[EstimateLine]) -> str:
    return " and ".join(f"“{one.description}”" for one in lines)


@dataclass(frozen=True)
class _Known:
    """What decides what is proposed."""

    estimate: Estimate
    answer: StandingAnswer | None
    before: _Before
    prices: Mapping[UUID, Decimal]
    currency: str


def _before(job: Job) -> _Before:
    made = list(job.charges.exclude(origin=None).annotate(**marks.columns()).order_by("pk"))
    marks.mark_each(made)
    keyed = [(one.origin, one) for one in made if one.origin is not None]
    counting: dict[UUID, list[Charge]] = {}
    for key, one in keyed:
        if not one.is_struck:
            counting.setdefault(key, []).append(one)
    return _Before(counting, {key: one for key, one in keyed if one.is_struck})


def charges_of_lines(estimate: Estimate) -> Mapping[UUID, list[Charge]]:
    """The charges on the job that count, with their marks, by the key of the line that they were made of."""
    return _before(estimate.job).counting


def choices(estimate: Estimate) -> list[Choice]:
    """The lines of the work, then the options, in their order."""
    lines = list(estimate.lines.select_related("job_line", "part", "option").order_by("position", "pk"))
    currency = shop_profile().currency
    prices = {UUID(line["key"]): Decimal(line["price"]) for _, line in lines_in(thawed(estimate)) if line["price"]}
    known = _Known(estimate, standing_answer(estimate), _before(estimate.job), prices, currency)
    found = []
    for line in sorted((one for one in lines if one.option_id is None), key=paper_order):
        concern = f"{line.job_line.position}. " if line.job_line is not None else ""
        is_share = line.percent is not None
        price = how_words(line, currency) if is_share else money_words(prices.get(line.key, Decimal(0)), currency)
        words = f"{concern}{line.description}: {price}"
        found.append(_choice(line.key, words, [line], known, is_share=is_share))
    if not any(one.is_proposed or not one.is_offered for one in found if not one.is_share):
        found = [replace(one, is_proposed=False) for one in found]  # a share of nothing
    for option in estimate.options.order_by("position", "pk"):
        of_it = [one for one in lines if one.option_id == option.pk]
        price = money_words(sum((prices.get(one.key, Decimal(0)) for one in of_it), Decimal(0)), currency)
        one_of = f" (one of: {option.alternatives})" if option.alternatives else ""
        words = f"{option}{one_of}: {price}"
        found.append(_choice(option.key, words, of_it, known, is_option=True))
    return found


def _choice(
    key: UUID,
    words: str,
    lines: Sequence[EstimateLine],
    known: _Known,
    *,
    is_option: bool = False,
    is_share: bool = False,
) -> Choice:
    estimate, answer, before = known.estimate, known.answer, known.before
    left = [one for one in lines if one.key not in before.counting]
    taken = answer.taken.get(key) if answer is not None else None
    gone = before.words(left)
    changed = before.raised(lines, known.prices, known.currency)
    is_of_this = bool(left) or answer is None or answer.revision == estimate.revision
    return Choice(
        key,
        is_option,
        words,
        left,
        is_share,
        _declined_words(key, estimate, answer) if taken is False else "",
        gone,
        _unanswered_words(estimate, answer) if taken is None and not is_share else "",
        before.on_job(lines, known.prices, known.currency),
        bool(left or changed) and is_of_this and not gone and (bool(taken) if is_option else taken is not False),
        changed,
    )


def _declined_words(key: UUID, estimate: Estimate, answer: StandingAnswer | None) -> str:
    assert answer is not None  # noqa: S101  (for the type checker: it is the answer that says no)
    version = f" in version {answer.revision}" if answer.revision != estimate.revision else ""
    if key in answer.otherwise:
        return f"{answer.words} chose another one of these{version}."
    return f"{answer.words} declined it{version}."


def _unanswered_words(estimate: Estimate, answer: StandingAnswer | None) -> str:
    if answer is None or answer.revision == estimate.revision:
        return ""
    return f"The customer’s last answer, to version {answer.revision}, says nothing of it."


def not_in_version(estimate: Estimate) -> list[str]:
    """What earlier versions put on the job and this one does not have: it stays charged, and is said."""
    keys = {one.key for one in estimate.lines.all()}
    made = estimate.job.charges.filter(struck_at=None, core_of=None).exclude(origin=None).exclude(origin__in=keys)
    charges: list[Any] = list(made.annotate(**marks.columns()).order_by("pk"))
    marks.mark_each(charges)
    currency, told = shop_profile().currency, []
    for one in charges:
        where = f", {one.mark.words}" if one.mark else ""
        told.append(
            f"{one.description}: {money_words(price_of(one, currency), currency)}{where}. It stays charged until it is "
            f"{'credited' if one.mark else 'voided'}."
        )
    return told


def other_discount(estimate: Estimate, job: Job) -> bool:
    """Whether charging gives the job another discount: that of this version, or none where an earlier one gave it."""
    own = (estimate.discount_percent or None, estimate.discount_amount or None)
    stands = (job.discount_percent or None, job.discount_amount or None)
    if stands == own:
        return False
    if any(own):
        return True
    earlier = job.estimates.filter(revision__lt=estimate.revision, given_at__isnull=False)
    return earlier.filter(discount_percent=stands[0], discount_amount=stands[1]).exists()


def discount_words(estimate: Estimate) -> str:
    """That charging gives the job another discount, and which; empty where it does not."""
    if not other_discount(estimate, estimate.job):
        return ""
    currency, job = shop_profile().currency, estimate.job
    now = _discount(job.discount_percent, job.discount_amount, currency)
    then = _discount(estimate.discount_percent, estimate.discount_amount, currency)
    said = f"The discount on the whole is {then} in this version, and {now} on the job."
    return f"{said} Charging it makes the job’s the same."


def _discount(percent: Decimal | None, off: Decimal | None, currency: str) -> str:
    if percent:
        return f"{plain_decimal(percent)} %"
    return money_words(off, currency) if off else "none"
