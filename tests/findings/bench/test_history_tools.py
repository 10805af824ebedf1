"""The tools that look back over engine hours: what they say, and what they will not say on a thin record."""

from __future__ import annotations

from decimal import Decimal

import pytest

from findings.bench.catalog import all_tools
from findings.bench.fields import FromRecords
from findings.readings.actions import log_reading
from findings.readings.models import Reading
from tests.findings.bench.world import BenchWorld
from vessels.actions import log_hours
from vessels.queries import latest_hours
from vessels.queries.hours import last_hours_words

pytestmark = pytest.mark.django_db


def answer_of(world: BenchWorld, slug: str, **texts: str):
    tool = all_tools()[slug]
    answer, form = world.work(tool, {**world.example(tool), **texts})
    assert answer is not None, form.errors
    return answer


def options_of(world: BenchWorld, slug: str) -> dict[str, str]:
    tool = all_tools()[slug]
    field = next(field for field in tool.fields if isinstance(field, FromRecords))
    return {option.key: option.label for option in field.options(world.context(tool))}


def test_fault_of_the_boat_is_judged_by_its_own_history(world):
    assert list(options_of(world, "fault-coming-back").values()) == [
        "SPN 100 FMI 1 · Engine control unit (port) · cleared"
    ]
    answer = answer_of(world, "fault-coming-back")
    assert "It has come back 6 times in at most 340 h without it" in answer.sentence
    assert any(note.startswith("Laplace test:") for note in answer.notes)


def test_fault_of_another_boat_cannot_be_chosen(world):
    tool = all_tools()["fault-coming-back"]
    answer, form = world.work(tool, {"fault": "999999"})
    assert answer is None
    assert form.errors["fault"] == ["That is no longer there. Choose one from the list."]


def test_fault_of_one_engine_is_not_offered_for_the_other(world):
    tool = all_tools()["fault-coming-back"]
    context = world.context(tool)
    field = tool.fields[0]
    assert isinstance(field, FromRecords)
    other = type(context)(context.job, world.cast.starboard, "us", context.today)
    assert list(field.options(other)) == []


@pytest.mark.parametrize("typed", [["100 h"], ["100 h", "150 h", "160 h"], ["10 h", "10 h", "10 h", "20 h"]])
def test_few_failures_are_not_enough(world, typed):
    tool = all_tools()["failures-over-hours"]
    answer, form = world.work(tool, {f"events-{index}-at": text for index, text in enumerate(typed)})
    assert answer is not None, form.errors
    assert answer.sentence.startswith("Not enough data")
    assert list(answer.figures) == []


def test_failure_after_the_hours_now_is_told_by_the_hours_now(world):
    tool = all_tools()["failures-over-hours"]
    answer, form = world.work(tool, {"events-0-at": "500", "observed": "400"})
    assert answer is None
    assert "after the end of observation" in form.errors["observed"][0]


def test_no_failure_at_all_proves_a_least_mean_time(world):
    answer = answer_of(world, "mean-time-between", events="0", hours="1000 h", confidence="95 %")
    assert answer.main is None
    assert answer.figures == [("At least, one-sided", "333.8 h")]
    assert answer.sentence.startswith("Nothing in 1,000 h.")


def test_one_sure_beyond_reason_is_refused_by_its_field(world):
    tool = all_tools()["mean-time-between"]
    answer, form = world.work(tool, {"events": "2", "hours": "800 h", "confidence": "100 %"})
    assert answer is None
    assert form.errors["confidence"] == ["Choose a confidence from 50 % to 99.99 %."]


def test_trend_of_a_parameter_on_record(world):
    assert list(options_of(world, "reading-trend").values()) == ["Oil pressure, 5 readings"]
    answer = answer_of(world, "reading-trend")
    assert answer.sentence.startswith("It falls, but over 5 readings how fast is too uncertain to say. ")
    assert "limit of 30 psi" in answer.sentence
    assert [label for label, _ in answer.figures] == ["Mann–Kendall"], "no figure says what the sentence does not"


def test_a_corrected_reading_is_marked_where_a_trend_uses_its_correction(world):
    plain = answer_of(world, "reading-trend")
    assert not any("correct" in note for note in plain.notes)
    wrong = Reading.objects.select_related("entry__job", "parameter").order_by("entry__happened_at").last()
    right = log_reading(
        by=world.cast.manager,
        vessel=wrong.entry.vessel,
        engine=wrong.entry.engine,
        parameter=wrong.parameter,
        value=wrong.value + 1,
        unit=wrong.unit,
        condition=wrong.condition,
        engine_hours=wrong.entry.engine_hours,
        happened_at=wrong.entry.happened_at,
        amends=wrong.entry,
    )
    answer = answer_of(world, "reading-trend")
    assert "One of the readings is a correction of an earlier value." in answer.notes
    assert "One reading here was corrected or voided and is left out of the trend." in answer.notes
    assert list(options_of(world, "reading-trend").values()) == ["Oil pressure, 5 readings"]
    is_last = latest_hours(wrong.entry.engine) == right.entry
    assert last_hours_words(wrong.entry.engine).endswith(", a correction.") is is_last


def test_hours_that_were_corrected_say_so_wherever_they_are_shown_as_the_last(world):
    engine = world.cast.port
    entry = log_hours(by=world.cast.manager, engine=engine, shown=Decimal(5000))
    assert "correction" not in last_hours_words(engine)
    log_hours(by=world.cast.manager, engine=engine, shown=Decimal(4900), amends=entry, happened_at=entry.happened_at)
    assert last_hours_words(engine).endswith(", a correction.")
    context = world.context(all_tools()["service-due"])
    asked = [one.default for one in all_tools()["service-due"].fields if callable(getattr(one, "default", None))]
    notes = [default(context).note for default in asked if default(context) is not None]
    assert any(note.startswith("Last logged, a correction: ") for note in notes)


def test_typed_trend_meets_a_typed_limit(world):
    answer = answer_of(world, "typed-trend", unit="psi", high="100", now="18 h")
    assert answer.drawn == "near the limit"
    assert ("Slope in 100 h", "400 psi") in answer.figures
    past = answer_of(world, "typed-trend", unit="psi", high="50", now="18 h")
    assert past.drawn == "out"


def test_trend_of_two_values_is_not_enough(world):
    tool = all_tools()["typed-trend"]
    rows = {"readings-0-hours": "1", "readings-0-value": "5", "readings-1-hours": "2", "readings-1-value": "6"}
    answer, _ = world.work(tool, rows)
    assert answer is not None
    assert answer.sentence.startswith("Not enough data")
