"""How often something fails, and whether more often: from the faults on record, or from hours that are typed."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeVar

from engineering.amounts import AmountProblem
from engineering.faults import FaultHistory
from engineering.measures import Kind
from engineering.recurrence import (
    ComingBack,
    NotEnough,
    PowerLaw,
    RateComparison,
    Strength,
    TrendTest,
    away_of,
    coming_back,
    compare_rates,
    fit_power_law,
    laplace_test,
    mean_time_between,
    military_handbook_test,
    record_of,
    reverse_arrangements_test,
    seeable_trend,
    weigh_together,
)
from findings.bench.tool import (
    Example,
    Figure,
    FromRecords,
    Given,
    Group,
    Option,
    Outcome,
    Preset,
    Quantity,
    Rows,
    Told,
    Tool,
    ToolContext,
    ToolProblem,
    Whole,
    Words,
)
from findings.faults.history import history_from_json
from findings.faults.models import Fault
from findings.faults.queries import faults_of_vessel
from web.typed import whole_number

T = TypeVar("T")
NIST = "NIST/SEMATECH e-Handbook of Statistical Methods"
CONFIDENCE = Quantity(
    "confidence",
    "Sure to",
    Kind.PERCENT,
    "%",
    default="95 %",
    hint="How sure the bounds should be.",
    argument="confidence",
)


def _faults(at: ToolContext) -> Sequence[Option]:
    """The faults of the engine at hand, or of the whole boat."""
    seen = faults_of_vessel(at.vessel, engine_id=at.engine.pk if at.engine else None)
    return [Option(str(one.fault.pk), f"{one.fault.label} · {one.fault.unit} · {one.fault.state}") for one in seen]


def _history(at: ToolContext, key: str) -> FaultHistory:
    """The replayed history of the fault that was chosen."""
    number = whole_number(key)
    if number is None:
        raise ToolProblem("Choose a fault from the list.", field="fault")
    fault = Fault.objects.filter(pk=number, vessel=at.vessel).first()
    if fault is None:
        raise ToolProblem("This fault is no longer on record. Choose another.", field="fault")
    return history_from_json(fault.history)


def _comes_back(given: Given) -> Outcome:
    """Whether one fault comes back more often."""
    found = coming_back(away_of(given.loaded("fault", FaultHistory)))
    if isinstance(found, NotEnough):
        return Outcome(found.sentence)
    figures = [Told("Evidence", found.strength.value)] if found.laplace is not None else []
    return Outcome(found.sentence, figures=[*figures, *_tests(found)], notes=found.details)


def _tests(found: ComingBack) -> list[Figure | Told]:
    figures: list[Figure | Told] = []
    if found.laplace is not None:
        figures.append(Figure("Laplace U", found.laplace.statistic, decimals=2))
    if found.military is not None:
        figures.append(Figure("MIL-HDBK-189 chi²", found.military.statistic, decimals=2))
    if found.power_law is not None:
        figures.append(Figure("Power law, shape", found.power_law.shape, decimals=2))
    return figures


def _more_often(given: Given) -> Outcome:
    """Whether events that were typed come more often."""
    if 0 in given.numbers("events"):
        row = given.row_numbers("events")[given.numbers("events").index(0)]
        raise AmountProblem(
            "A failure at 0 h is where the count begins, not one of those counted: leave it out.",
            field="events",
            row=row,
        )
    record = record_of(given.numbers("events"), given.number_or_none("observed"))
    laplace, military, fit = laplace_test([record]), military_handbook_test([record]), fit_power_law([record])
    if not isinstance(laplace, TrendTest) or not isinstance(military, TrendTest):
        thin = laplace if isinstance(laplace, NotEnough) else military
        return Outcome(thin.sentence)
    notes = [f"Laplace test: {laplace.chance_sentence}", f"MIL-HDBK-189 test: {military.chance_sentence}"]
    first = laplace
    ordered = reverse_arrangements_test(record)
    if record.ends_with_event and isinstance(ordered, TrendTest):
        first = ordered
        notes.append(f"Reverse arrangements, with the failure that ends the record: {ordered.chance_sentence}")
    figures: list[Figure | Told] = [
        Figure("Events", len(record.event_hours), decimals=0),
        Figure("Laplace U", laplace.statistic, decimals=2),
        Figure("MIL-HDBK-189 chi²", military.statistic, decimals=2),
    ]
    if isinstance(fit, PowerLaw):
        notes.append(f"Power law: {fit.now_sentence}")
        figures += [
            Figure("Power law, shape", fit.shape, decimals=3),
            Figure("Mean time between events now", fit.mtbf_now_h, "h"),
        ]
    else:
        notes.append(fit.sentence)
    return Outcome(_together(first, military), figures=figures, notes=notes)


def _together(first: TrendTest, military: TrendTest) -> str:
    """Both tests in one answer."""
    strength, leans = weigh_together(first, military)
    if strength.says_something:
        return f"{strength.value.capitalize()} that they come {leans}."
    if strength is Strength.WEAK:
        return f"Not proven either way; a weak hint that they come {leans}."
    return f"No trend is seen. {seeable_trend(military.occasions or military.events).sentence}"


_MOST_AN_HOUR = 10.0
"""No engine fails more often and is run on, and nobody counts so. Common practice, no source."""


def _refuse_too_many(events: int, hours: float, field: str) -> None:
    """Refuse more failures than could be counted in such a time."""
    if hours > 0 and events > max(1.0, _MOST_AN_HOUR * hours):
        raise ToolProblem("Nobody counts so many failures in so short a time. Check both figures.", field=field)


def _two_rates(given: Given) -> Outcome:
    """Whether something comes more or less often than before."""
    if given.number("second_hours") <= 0:
        raise ToolProblem("The hours must be more than 0.", field="second_hours")
    for when in ("first", "second"):
        _refuse_too_many(given.whole(f"{when}_events"), given.number(f"{when}_hours"), f"{when}_events")
    compared = compare_rates(
        given.whole("first_events"),
        given.number("first_hours"),
        given.whole("second_events"),
        given.number("second_hours"),
        confidence=given.number("confidence") / 100,
    )
    if not isinstance(compared, RateComparison):
        return Outcome(compared.sentence)
    return Outcome(
        compared.sentence,
        figures=(
            Figure("Before", 100 * compared.first.per_hour, word="per 100 h"),
            Figure("After", 100 * compared.second.per_hour, word="per 100 h"),
            Told("Evidence", compared.strength.value),
        ),
        notes=(f"Before: {compared.first.sentence}", f"After: {compared.second.sentence}"),
    )


def _mean_time(given: Given) -> Outcome:
    """The mean time between events, with its bounds."""
    _refuse_too_many(given.whole("events"), given.number("hours"), "events")
    found = mean_time_between(given.whole("events"), given.number("hours"), confidence=given.number("confidence") / 100)
    at_least = "At least" if found.high_h is not None else "At least, one-sided"
    figures = [Figure(at_least, found.low_h, "h", significant=4)]
    if found.high_h is not None:
        figures.append(Figure("At most", found.high_h, "h", significant=4))
    main = None if found.mean_h is None else Figure("Mean time between events", found.mean_h, "h", significant=4)
    return Outcome(found.sentence, main=main, figures=figures, condition=given.words("what"))


TOOLS = (
    Tool(
        slug="fault-coming-back",
        title="Is this fault coming back more often?",
        group=Group.HISTORY,
        purpose="A fault of this boat on the clock of engine hours without it.",
        fields=(
            FromRecords(
                "fault",
                "Fault",
                options=_faults,
                load=_history,
                nothing="No fault of this engine is on record. Log a scan first.",
            ),
        ),
        work=_comes_back,
        formula="U = sum of (t − T/2) / √(r·T²/12); chi² = 2·sum of ln(T/t); t: hours without the fault until a return",
        source=f"{NIST} 8.2.3.4; MIL-HDBK-189 (1981)",
        example=Example({}, source="The first fault on record"),
    ),
    Tool(
        slug="failures-over-hours",
        title="Are failures coming more often?",
        group=Group.HISTORY,
        purpose="From the engine hours of failures, such as those in an owner's own records.",
        fields=(
            Rows(
                "events",
                "Failures at",
                [Quantity("at", "Hours", Kind.HOURS, "h")],
                row_label="Failure",
                start=6,
                most=60,
                argument="event_hours",
                hint="Hours since the count began: new engine, or overhaul.",
            ),
            Quantity(
                "observed",
                "Hours now",
                Kind.HOURS,
                "h",
                required=False,
                argument="observed_h",
                hint="Empty: the record ends with the last failure.",
            ),
        ),
        work=_more_often,
        formula="U = sum of (t − T/2) / √(r·T²/12); chi² = 2·sum of ln(T/t); power law: shape = r / sum of ln(T/t)",
        source=f"{NIST} 8.2.3.4 and 8.4.5.2; MIL-HDBK-189 (1981)",
        example=Example(
            {
                "events": ["5 h", "40 h", "43 h", "175 h", "389 h", "712 h", "747 h", "795 h", "1299 h", "1478 h"],
                "observed": "1500 h",
            },
            expects={
                "Laplace U": "-1.33",
                "MIL-HDBK-189 chi²": "37.23",
                "Power law, shape": "0.537",
            },
            says="Fair evidence that they come less often.",
            source=f"{NIST} 8.2.3.4: repairs at 5 to 1478 h, observed to 1500 h",
        ),
    ),
    Tool(
        slug="before-and-after",
        title="Less often than before?",
        group=Group.HISTORY,
        purpose="How often something came before and after a repair, and whether that is more than chance.",
        fields=(
            Whole("first_events", "Times before", argument="events", most=10_000, section="Before"),
            Quantity("first_hours", "In", Kind.HOURS, "h", argument="hours", section="Before"),
            Whole("second_events", "Times after", most=10_000, section="After"),
            Quantity("second_hours", "In", Kind.HOURS, "h", section="After"),
            CONFIDENCE,
        ),
        work=_two_rates,
        formula="events after ~ binomial(all events, hours after / all hours), if nothing changed",
        source="Przyborowski and Wilenski, Biometrika 31 (1940), from memory",
        example=Example(
            {"first_events": "3", "first_hours": "1000 h", "second_events": "0", "second_hours": "1000 h"},
            expects={"Before": "0.3 per 100 h", "After": "0 per 100 h"},
            source="Computed: 3 events of 3 fall into the first of two equal times 1 time in 8",
        ),
    ),
    Tool(
        slug="mean-time-between",
        title="Mean time between failures",
        group=Group.HISTORY,
        purpose="How many hours lie between failures, and how sure that is; without any, what the hours prove.",
        fields=(
            Words("what", "Of what", required=False, hint="Such as raw water impeller."),
            Whole("events", "Failures", argument="events", most=10_000),
            Quantity("hours", "In", Kind.HOURS, "h", argument="hours", hint="Of one engine, or of several together."),
            CONFIDENCE,
        ),
        work=_mean_time,
        formula="T/r; from 2T/chi²(1 − a/2; 2r + 2) to 2T/chi²(a/2; 2r); without failures at least T/(−ln a)",
        source=f"{NIST} 8.4.5.1",
        presets=(
            Preset("95 %", {"confidence": "95 %"}, source="the usual choice, common practice"),
            Preset("90 %", {"confidence": "90 %"}, source="as the handbook's example"),
        ),
        example=Example(
            {"events": "2", "hours": "800 h", "confidence": "90 %"},
            expects={"Mean time between events": "400 h", "At least": "127.1 h", "At most": "2251 h"},
            source=f"{NIST} 8.4.5.1: 2 failures in 800 h, 90 % bounds",
        ),
    ),
)
