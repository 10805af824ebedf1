"""What others ask about readings and spec cards."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from decimal import Decimal

from django.db.models import Prefetch, Q, QuerySet

from engineering.limits import Verdict as LimitVerdict
from engineering.measures import UNITS, show
from findings.drawing.pictures import RangeStrip, Verdict
from findings.instruments.measuring import cannot_measure, remark
from findings.instruments.models import Instrument
from findings.instruments.queries import MadeWithWords, made_with
from findings.readings.by_hand import by_hand_words, chain_of
from findings.readings.checking import impossible, unusual
from findings.readings.fitting import fitting
from findings.readings.judging import Comparison, stored_judgment
from findings.readings.models import Parameter, Reading, SpecCard, SpecLimit
from findings.readings.revising import entered_after_words, in_force, revision_words
from findings.readings.working import Working, working_from_json
from vessels.log.afterwards import NOTHING_AFTERWARDS, Afterwards, Later, afterwards
from vessels.log.evidence import superseded
from vessels.log.originals import first_authors, witness_words
from vessels.models import Engine
from web.sentences import within
from workorders.models import Job

DRAWN = {
    LimitVerdict.IN_RANGE: Verdict.IN_RANGE,
    LimitVerdict.NEAR: Verdict.NEAR,
    LimitVerdict.OUT: Verdict.OUT,
    LimitVerdict.NO_LIMITS: Verdict.NO_LIMITS,
}

_LIMIT_ORDER = ("parameter__position", "parameter__name", "condition", "pk")


def limits_of(engine: Engine) -> list[SpecLimit]:
    """The limits of the cards in use that are for the engine."""
    return limits_by_engine([engine])[engine.pk]


def match_of(limits: Iterable[SpecLimit], parameter: Parameter, condition: str) -> SpecLimit | None:
    """The limit for a parameter under a condition: the same words, else the one without a condition.

    None also where several cards differ: which of them is right for the engine is not for the program to say.
    """
    candidates = [limit for limit in limits if limit.parameter_id == parameter.pk]
    words = " ".join(condition.split()).casefold()
    same = [limit for limit in candidates if limit.condition.casefold() == words]
    return the_one(same or [limit for limit in candidates if not limit.condition])


def the_one(limits: list[SpecLimit]) -> SpecLimit | None:
    """The first of these limits where all of them say the same."""
    return limits[0] if len({says(one) for one in limits}) == 1 else None


def says(limit: SpecLimit) -> tuple[str, Decimal | None, Decimal | None, Decimal | None, Decimal]:
    """What a limit says of a value, whatever card it is on."""
    return limit.unit, limit.low, limit.nominal, limit.high, limit.near_percent


def limits_by_engine(engines: Iterable[Engine | None]) -> dict[int, list[SpecLimit]]:
    """The limits of the cards in use that are for each of the engines, in one question."""
    asked = [one for one in engines if one is not None]
    of_families = limits_by_family(one.family_id for one in asked)
    return {one.pk: fitting(of_families.get(one.family_id or 0, []), one) for one in asked}


def limits_by_family(families: Iterable[int | None]) -> dict[int, list[SpecLimit]]:
    """The limits of the cards in use for each of the families, whatever engines of them the cards are for."""
    found: dict[int, list[SpecLimit]] = {key: [] for key in families if key is not None}
    if found:
        rows = SpecLimit.objects.filter(in_force(), card__family_id__in=found, card__is_active=True)
        for limit in rows.select_related("card", "parameter").order_by(*_LIMIT_ORDER):
            found[limit.card.family_id].append(limit)
    return found


def effective_readings() -> QuerySet[Reading]:
    """Readings that nobody corrected or voided."""
    with_words = Reading.objects.select_related("parameter", "entry__engine", "entry__job", "entry__author")
    return with_words.filter(~superseded("entry_id"))


def with_marks(found: QuerySet[Reading]) -> QuerySet[Reading]:
    """Readings with what was written about each of them later, and the values that each corrects."""
    return found.annotate(afterwards=afterwards("entry_id"), chain=chain_of("entry_id"))


def with_limits(found: QuerySet[Reading]) -> QuerySet[Reading]:
    """Readings with the limit that judged each of them, and the one that came in its place."""
    return found.select_related("judged_by__ended_by", "judged_by__replaced_by")


def add_marks(readings: Sequence[Reading]) -> None:
    """The same for readings at hand, in one question: a list that is picked out of many asks it of those alone."""
    found = {one.pk: one for one in with_marks(Reading.objects.filter(pk__in=[one.pk for one in readings]))}
    for reading in readings:
        for name in ("afterwards", "chain"):
            setattr(reading, name, getattr(found[reading.pk], name))


def every_reading() -> QuerySet[Reading]:
    """All readings, those that no longer count among them, each with its mark."""
    return with_marks(Reading.objects.select_related("parameter", "entry__engine", "entry__job", "entry__author"))


@dataclass(frozen=True)
class ReadingRow:
    """A reading as a table or a report shows it."""

    reading: Reading
    strip: RangeStrip | None
    sentence: str
    shown: str
    band: str
    verdict: Verdict
    first_author: str = ""
    """Of a correction, who wrote down what it corrects."""

    @property
    def afterwards(self) -> Afterwards:
        """What was written about it later."""
        return afterwards_of_reading(self.reading)

    @property
    def later(self) -> Later | None:
        """The entry that corrected it or voided it; None while it counts."""
        return self.afterwards.replaced

    @property
    def mark(self) -> str:
        """What became of it, in a word; empty while it counts."""
        return self.later.done if self.later else ""

    @property
    def by_hand(self) -> str:
        """Who corrected a value of a CAN log by hand, and what the log had; empty where nobody did."""
        return by_hand_of(self.reading)

    @property
    def is_correction(self) -> bool:
        """Whether it stands in the place of an earlier one."""
        return self.reading.entry.amends_id is not None

    @property
    def witness(self) -> str:
        """Who read it, and who corrected what was written of it."""
        author = self.reading.entry.author.name
        return witness_words(self.first_author, author) if self.first_author else author

    @property
    def made_with(self) -> MadeWithWords:
        """What it was measured with, and how that stood in its calibration then."""
        return measured_with(self.reading, self.reading.entry.happened_at)

    @property
    def revised(self) -> str:
        """What became of the limit that judged it, and that it is younger than the reading; empty where neither is so.

        Asked by ``with_limits``.
        """
        limit = self.reading.judged_by
        if limit is None:
            return ""
        became = revision_words(limit.ended_at, str(limit.ended_by or ""), getattr(limit, "replaced_by", None))
        entered = limit.begun_at if limit.begun_by_id else None
        return " ".join(filter(None, [entered_after_words(entered, self.reading.entry.happened_at), became]))

    @property
    def remark_then(self) -> str:
        """Why nothing judged it, or what other card differed, as the records stood when it was logged; else empty."""
        return remark_words(self.reading.limits_remark)

    @property
    def working(self) -> Working | None:
        """How it was calculated, where it was."""
        return working_from_json(self.reading.worked_from)


def afterwards_of_reading(reading: Reading) -> Afterwards:
    """What was written about a reading later, as ``with_marks`` asked it; nothing of one that was read without."""
    told: Afterwards = getattr(reading, "afterwards", NOTHING_AFTERWARDS)
    return told


def by_hand_of(reading: Reading) -> str:
    """Who corrected a value of a CAN log by hand, and what the log had, as ``with_marks`` asked it."""
    return by_hand_words(reading, getattr(reading, "chain", None))


def measured_with(reading: Reading, happened_at: datetime) -> MadeWithWords:
    """What a reading was measured with, and a question where that instrument alone cannot have done it."""
    return replace(
        made_with(reading, happened_at),
        remark=" ".join(filter(None, [instrument_remark(reading), value_remark(reading)])),
    )


def value_remark(reading: Reading) -> str:
    """What is seldom so of a value that was kept all the same; empty where nothing is."""
    if reading.unit not in UNITS:
        return ""
    figures = {"value": reading.value, "minimum": reading.minimum, "maximum": reading.maximum}
    odd = unusual(reading.parameter.name, reading.unit, figures)
    wrong = impossible(reading.unit, figures, of=reading.parameter.name)
    return f"{next(iter((odd or wrong).values()))} Kept as it was written." if odd or wrong else ""


def instrument_remark(reading: Reading) -> str:
    """Whether its instrument measures such a quantity; empty where it may, and for what was worked out or imported."""
    if reading.worked_from or reading.file_sha256 or reading.unit not in UNITS:
        return ""
    kind = UNITS[reading.unit].kind
    return remark(cannot_measure(reading.registered_as or "", reading.instrument, kind), kind)


def band_words(low: Decimal | None, high: Decimal | None, unit: str) -> str:
    """The limits in words: "30 to 60 psi", "at least 30 psi", "at most 60 psi", or nothing."""
    if low is not None and high is not None:
        return f"{low.normalize():f} to {show(high.normalize(), unit)}"
    if low is not None:
        return f"at least {show(low.normalize(), unit)}"
    if high is not None:
        return f"at most {show(high.normalize(), unit)}"
    return ""


def limits_words(band: str, source: str) -> str:
    """The limits and where they are from: "Limits 30 to 60 psi, from the warm card", "Limits at most 2 V, as typed"."""
    if not band:
        return ""
    source = within(source)
    joined = source if source.startswith(("as ", "by ")) else f"from {source}"
    return f"Limits {band}, {joined}" if source else f"Limits {band}"


def remark_words(remark: str | None) -> str:
    """What was kept of the cards beside a reading, as it is told later."""
    return f"When it was logged: {remark}" if remark else ""


OVER_LOG = "over the whole log"
"""What lowest and highest are of where a value was read from a file, and nobody corrected it by hand."""


def reading_row(reading: Reading) -> ReadingRow:
    """A reading with its sentence and its picture."""
    judgment = stored_judgment(reading)
    verdict = DRAWN[judgment.verdict]
    sentence = ", ".join(part for part in [judgment.sentence, reading.condition] if part)
    label = UNITS[reading.unit].label if reading.unit in UNITS else reading.unit
    strip = None
    if reading.low is not None or reading.high is not None:
        strip = RangeStrip(
            key=f"r{reading.pk.hex[:12]}",
            parameter=reading.parameter.name,
            value=float(reading.value),
            unit=label,
            verdict=verdict,
            low=_figure(reading.low),
            high=_figure(reading.high),
            minimum=_figure(reading.minimum),
            maximum=_figure(reading.maximum),
            nominal=_figure(reading.nominal),
            sentence=sentence,
            by=judgment.by,
            seen=OVER_LOG if reading.file_sha256 and reading.entry.amends_id is None else "",
        )
    return ReadingRow(
        reading=reading,
        strip=strip,
        sentence=sentence,
        shown=show(reading.value.normalize(), reading.unit),
        band=band_words(reading.low, reading.high, reading.unit),
        verdict=verdict,
    )


def _figure(value: Decimal | None) -> float | None:
    """A decimal for drawing."""
    return None if value is None else float(value)


def rows(readings: Iterable[Reading]) -> list[ReadingRow]:
    """Readings with their sentences and pictures."""
    shown = list(readings)
    first = first_authors(one.pk for one in shown if one.entry.amends_id is not None)
    return [replace(reading_row(one), first_author=first.get(one.pk, "")) for one in shown]


def strip_of(
    key: str,
    name: str,
    value: Decimal,
    unit: str,
    comparison: Comparison,
    *,
    condition: str = "",
    minimum: Decimal | None = None,
    maximum: Decimal | None = None,
) -> RangeStrip:
    """The picture of a value that is not logged yet."""
    limits, judgment = comparison.limits, comparison.judgment
    return RangeStrip(
        key=key,
        parameter=name,
        value=float(value),
        unit=UNITS[unit].label,
        verdict=DRAWN[judgment.verdict],
        low=_figure(limits.low),
        high=_figure(limits.high),
        minimum=_figure(minimum),
        maximum=_figure(maximum),
        nominal=_figure(limits.nominal),
        sentence=", ".join(part for part in [judgment.sentence, condition] if part),
        by=judgment.by,
    )


def readings_shown_on_job(job: Job) -> QuerySet[Reading]:
    """Every reading logged on a job, oldest first, with what no longer counts marked."""
    return every_reading().filter(entry__job=job).order_by("entry__happened_at", "entry__position")


def cards() -> QuerySet[SpecCard]:
    """Spec cards with their families and limits."""
    limits = SpecLimit.objects.filter(in_force()).select_related("parameter")
    return SpecCard.objects.select_related("family").prefetch_related(Prefetch("limits", limits))


def cards_matching(text: str) -> QuerySet[SpecCard]:
    """Cards whose family, title, document or parameter has the words."""
    found = cards()
    for word in text.split():
        found = found.filter(
            Q(family__maker__icontains=word)
            | Q(family__name__icontains=word)
            | Q(title__icontains=word)
            | Q(document__icontains=word)
            | Q(limits__parameter__name__icontains=word, limits__ended_at=None)
        )
    return found.distinct()


def last_made_with(instrument: Instrument) -> QuerySet[Reading]:
    """What was measured with it last: where to look when it is found to have shown wrong values."""
    found = Reading.objects.filter(registered=instrument).select_related("parameter", "entry__vessel", "entry__job")
    return found.order_by("-entry__happened_at", "-entry__position")
