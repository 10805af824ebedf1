"""A customer's answer to an estimate: which lines and options are taken, which are declined, and what that comes to."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from uuid import UUID

from billing.authorizations.made_of import SumRow, made_of
from billing.estimates.lines import paper_order
from billing.estimates.models import Estimate, EstimateLine, EstimateOption
from billing.estimates.pricing import pairs_of, sum_of_choice, with_pair
from billing.estimates.record import thawed
from commands.refusals import Refused
from staff.queries import shop_profile
from vessels.models import Engine
from workorders.models import Job, JobLine
from workorders.money import money_words
from workorders.reckoning import DiscountTooLarge
from workorders.taxes.queries import TaxRules, read_rules, taxes_of, written_rules


@dataclass(frozen=True)
class Declined:
    """A line or an option, by its key, that is not wanted now: why, and whether the shop says it touches safety."""

    key: UUID
    why: str = ""
    is_safety: bool = False


@dataclass(frozen=True)
class Answer:
    """The answer to one version: options that are taken, lines of the work that are declined. Other lines are taken.

    ``declined`` may name options, too, for the word of why; one that is not taken is declined.
    """

    revision: int
    options: Sequence[UUID] = ()
    declined: Sequence[Declined] = ()


@dataclass(frozen=True)
class Piece:
    """A line of the work, or an option, with the answer to it. ``adds`` is what it adds to the whole, with tax."""

    key: UUID
    is_option: bool
    words: str
    alternatives: str
    adds: Decimal
    is_taken: bool
    concern: JobLine | None = None

    @property
    def engine(self) -> Engine | None:
        """The engine that its concern is about."""
        return self.concern.engine if self.concern is not None else None


@dataclass(frozen=True)
class Chosen:
    """What was chosen of a version, and what that comes to with tax: the sum of its ``rows``."""

    revision: int
    total: Decimal
    pieces: tuple[Piece, ...]
    rows: tuple[SumRow, ...] = ()

    @property
    def taken(self) -> list[Piece]:
        """What the customer said yes to."""
        return [one for one in self.pieces if one.is_taken]

    @property
    def declined(self) -> list[Piece]:
        """What the customer said no to; of options of which one is taken, the others were not chosen."""
        return [one for one in self.pieces if not one.is_taken and not self.is_chosen_otherwise(one)]

    def is_chosen_otherwise(self, piece: Piece) -> bool:
        """Whether another option of the same choice was taken instead."""
        return bool(piece.alternatives) and any(
            one.is_taken and one.alternatives == piece.alternatives for one in self.pieces
        )


@dataclass(frozen=True)
class Offer:
    """A version that was given, with its rows as they were frozen, and the taxes of today."""

    estimate: Estimate
    lines: Sequence[EstimateLine]
    options: Sequence[EstimateOption]
    rules: TaxRules
    currency: str
    rules_then: TaxRules | None = None
    """The taxes that it was given with, where they are others than today's, and the version keeps them."""

    @property
    def own(self) -> list[EstimateLine]:
        """The lines of the work itself."""
        return [one for one in self.lines if one.option_id is None]

    @property
    def single(self) -> list[EstimateLine]:
        """Lines of the work that can be declined alone, as the estimate has them in order.

        A fee that is a percentage follows what is done.
        """
        return sorted((one for one in self.own if one.percent is None), key=paper_order)

    def adds_of(self, keys: Collection[UUID]) -> Decimal:
        """What some lines of the work add to the whole of it, with tax."""
        whole = self.total(self.own)
        try:
            return max(whole - self.total([one for one in self.own if one.key not in keys]), Decimal(0))
        except Refused:  # the discount is more than what would be left: without them nothing is
            return whole

    def rows(self, lines: Sequence[EstimateLine]) -> tuple[SumRow, ...]:
        """What some of the lines are made of, after ``total`` was asked: fees, discount and taxes beside them."""
        of = {one.option_id for one in lines}
        options = [one for one in self.options if one.pk in of]
        return made_of(self.estimate, lines, options, rules=self.rules, currency=self.currency)

    def total(self, lines: Iterable[EstimateLine]) -> Decimal:
        """What some of the lines come to.

        Raises:
            Refused: a discount is more than what is left.
        """
        try:
            return sum_of_choice(self.estimate, lines, rules=self.rules, currency=self.currency)
        except DiscountTooLarge as error:
            raise Refused(
                f"The discount of {money_words(error.discount, self.currency)} is more than the "
                f"{money_words(error.of, self.currency)} that is left of the estimate. Start its next version."
            ) from error


def offer_of(estimate: Estimate) -> Offer:
    """What a customer answers to."""
    lines = list(estimate.lines.select_related("option", "job_line__engine").order_by("position", "pk"))
    options = list(estimate.options.order_by("position", "pk"))
    rules = taxes_of(estimate.job)
    kept = thawed(estimate).get("rules") if estimate.snapshot else None
    then = read_rules(kept) if kept is not None and kept != written_rules(rules) else None
    return Offer(estimate, lines, options, rules, shop_profile().currency, then)


def last_given(job: Job) -> Estimate | None:
    """The version that a customer has in hand."""
    return job.estimates.filter(given_at__isnull=False).select_related("job").order_by("-revision").first()


def chosen(offer: Offer, answer: Answer) -> Chosen:
    """Work out what a customer chose.

    Raises:
        Refused: the answer names what the version does not have, takes two of which one can be had, or the version no
            longer comes to what it said.
    """
    taken_options, declined = set(answer.options), {one.key for one in answer.declined}
    known = {one.key for one in offer.single} | {one.key for one in offer.options}
    if (taken_options - {one.key for one in offer.options}) or declined - known or taken_options & declined:
        raise Refused("This answer is to another version of the estimate. Open the page again.")
    _refuse_two_of_one(offer, taken_options)
    _refuse_what_changed(offer)
    by_option = {one.pk: one.key for one in offer.options}
    wanted = [
        one
        for one in offer.lines
        if (one.key not in declined if one.option_id is None else by_option[one.option_id] in taken_options)
    ]
    if not any(one.percent is None for one in wanted):
        wanted = []
    _refuse_another_sum(offer, wanted)
    pieces = (*_lines(offer, declined), *_options(offer, taken_options))
    return Chosen(answer.revision, offer.total(wanted), pieces, offer.rows(wanted))


def _refuse_two_of_one(offer: Offer, taken: set[UUID]) -> None:
    seen: dict[str, str] = {}
    for option in offer.options:
        if option.key in taken and option.alternatives:
            if option.alternatives in seen:
                raise Refused(f"“{seen[option.alternatives]}” and “{option}” exclude each other: choose one of them.")
            seen[option.alternatives] = option.name


def changed_words(offer: Offer) -> str:
    """What of a version comes to another sum with the taxes of today than it said, with any option; empty: nothing."""
    estimate, told = offer.estimate, []
    if estimate.total is not None and (now := offer.total(offer.own)) != estimate.total:
        told.append(_changed("", estimate.total, now, offer.currency))
    said = {UUID(one["key"]): Decimal(one["total"]) for one in thawed(estimate)["options"]} if estimate.snapshot else {}
    for option in offer.options:
        then = said.get(option.key)
        now = offer.total([one for one in offer.lines if one.option_id in {None, option.pk}])
        if then is not None and now != then:
            told.append(_changed(f" with the option “{option}”", then, now, offer.currency))
    if offer.rules_then is not None:
        for pair in pairs_of(offer.options):
            lines = with_pair(offer.lines, pair)
            before, after = _then(offer, lines), offer.total(lines)
            if before != after:
                told.append(_changed(f" with “{pair[0]}” and “{pair[1]}”", before, after, offer.currency))
    if not told:
        return ""
    return f"Version {estimate.revision} said {'; '.join(told)}. Start its next version and give that."


def _then(offer: Offer, lines: Sequence[EstimateLine]) -> Decimal:
    """What some lines come to by the taxes that the version was given with."""
    if offer.rules_then is None:
        return offer.total(lines)
    return sum_of_choice(offer.estimate, lines, rules=offer.rules_then, currency=offer.currency)


def _refuse_another_sum(offer: Offer, wanted: Sequence[EstimateLine]) -> None:
    """What was chosen comes to what it would by the version, also where neither the work nor an option alone changed.

    A tax that stops at a sum may stop where two options are taken, or where a line is declined.
    """
    now, then = offer.total(wanted), _then(offer, wanted)
    if now != then:
        raise Refused(
            f"By the taxes that version {offer.estimate.revision} was given with, what was chosen comes to "
            f"{money_words(then, offer.currency)}; with the taxes of today to {money_words(now, offer.currency)}. "
            "Start its next version and give that."
        )


def _changed(of: str, then: Decimal, now: Decimal, currency: str) -> str:
    return f"{money_words(then, currency)}{of}; with the taxes of today it comes to {money_words(now, currency)}"


def _refuse_what_changed(offer: Offer) -> None:
    if changed := changed_words(offer):
        raise Refused(changed)


def _lines(offer: Offer, declined: set[UUID]) -> Iterable[Piece]:
    for line in offer.single:
        adds, is_taken = offer.adds_of({line.key}), line.key not in declined
        yield Piece(line.key, False, line.description, "", adds, is_taken, line.job_line)


def _options(offer: Offer, taken: set[UUID]) -> Iterable[Piece]:
    whole = offer.total(offer.own)
    for option in offer.options:
        of_it = [one for one in offer.lines if one.option_id == option.pk]
        concern = next((one.job_line for one in of_it if one.job_line is not None), None)
        adds = max(offer.total([*offer.own, *of_it]) - whole, Decimal(0))
        yield Piece(option.key, True, option.name, option.alternatives, adds, option.key in taken, concern)
