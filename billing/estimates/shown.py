"""What the page of an estimate shows while it is written."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from billing.estimates.lines import how_words
from billing.estimates.models import Estimate, EstimateLine, EstimateOption
from billing.estimates.pricing import Figures, OptionFigures, return_key
from billing.estimates.queries import Draft, deposit_above_all
from workorders.models import JobLine
from workorders.taxes.shown import TaxRow, tax_rows


@dataclass(frozen=True)
class ShownLine:
    """A line: how it comes to its amount, its own discount, and its price; None where that is missing."""

    line: EstimateLine
    how: str
    discount: Decimal | None
    price: Decimal | None
    given_back: Decimal | None = None
    """What is given back as the old part comes back with the work, below zero."""


@dataclass(frozen=True)
class ShownGroup:
    """The lines of one concern, or of the job as a whole."""

    concern: JobLine | None
    lines: list[ShownLine]


@dataclass(frozen=True)
class ShownOption:
    """An option with its lines and what it adds."""

    option: EstimateOption
    lines: list[ShownLine]
    figures: OptionFigures


@dataclass(frozen=True)
class ShownDraft:
    """The whole of it."""

    estimate: Estimate
    groups: list[ShownGroup]
    options: list[ShownOption]
    figures: Figures
    taxes: list[TaxRow]
    run_out: tuple[str, ...]
    deposit_told: str = ""
    """That the deposit is more than all of it comes to."""

    @property
    def is_ready(self) -> bool:
        """Whether it could be given as it is."""
        found = self.figures
        return bool(self.groups or self.options) and not (found.unpriced or found.problem or self.deposit_told)


def shown_draft(draft: Draft, currency: str) -> ShownDraft:
    """A draft as its page shows it."""

    def shown(line: EstimateLine) -> ShownLine:
        reckoned = draft.figures.lines.get(line.key)
        back = draft.figures.lines.get(return_key(line.key)) if line.core_back else None
        return ShownLine(
            line,
            how_words(line, currency),
            reckoned.discount if reckoned and reckoned.discount else None,
            reckoned.price if reckoned else None,
            back.price if back else None,
        )

    own = [line for line in draft.lines if line.option_id is None]
    groups = [
        ShownGroup(concern, [shown(one) for one in own if one.job_line_id == (concern.pk if concern else None)])
        for concern in [*draft.concerns, None]
    ]
    options = [
        ShownOption(
            option,
            [shown(one) for one in draft.lines if one.option_id == option.pk],
            draft.figures.options[option.key],
        )
        for option in draft.options
    ]
    return ShownDraft(
        draft.estimate,
        [group for group in groups if group.lines],
        options,
        draft.figures,
        tax_rows(draft.rules, draft.figures.base.taxes),
        draft.rules.run_out,
        deposit_above_all(draft, currency),
    )
