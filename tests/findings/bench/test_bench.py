"""The Bench itself: what stands in a form, what is made of it, and what is logged."""

from __future__ import annotations

import json
import uuid
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils.html import escape

from engineering.limits import Verdict
from engineering.measures import Kind
from findings.bench.catalog import all_tools
from findings.bench.context import ToolContext
from findings.bench.fields import Prefill
from findings.bench.forms import BenchForm
from findings.bench.texts import as_texts, prefilled, with_units_apart
from findings.bench.tool import (
    Bounds,
    Choice,
    Column,
    Day,
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
    Table,
    Tool,
    ToolProblem,
    Whole,
    Words,
)
from findings.readings.judging import stored_judgment
from findings.readings.models import Parameter, Reading
from findings.reports import schema
from findings.reports.actions import draft_report
from findings.reports.build import draft_record
from findings.reports.record import from_json, to_json
from tests.findings.bench.world import BenchWorld
from vessels.log.verify import broken_link
from vessels.models import LogEntry

pytestmark = pytest.mark.django_db


@pytest.fixture
def tech(client: Client, world: BenchWorld) -> Client:
    client.force_login(world.cast.tech)
    return client


def tool_of(*fields: Any, work: Any = None, **more: Any) -> Tool:
    """A tool with these fields that says what it was given."""

    def echo(given: Given) -> Outcome:
        return Outcome(repr(dict(given.values)))

    return Tool("echo", "Echo", Group.MECHANICAL, "Says it.", fields, work or echo, "none", "none", Example({}), **more)


def values_of(world: BenchWorld, tool: Tool, system: Any = "us", /, **texts: str) -> dict[str, Any]:
    _, form = world.work(tool, texts, system)
    assert not form.errors, form.errors
    return form.values


def errors_of(world: BenchWorld, tool: Tool, /, **texts: str) -> dict[str, list[str]]:
    answer, form = world.work(tool, texts)
    assert answer is None
    return {name: [str(text) for text in found] for name, found in form.errors.items()}


PRESSURE = Quantity("oil", "Oil pressure", Kind.PRESSURE, "kPa", argument="oil_kpa")


class TestFields:
    """From words to what the work gets."""

    @pytest.mark.parametrize(
        ("system", "texts", "kpa"),
        [
            ("us", {"oil": "30"}, 206.843),
            ("metric", {"oil": "30"}, 30),
            ("us", {"oil": "30", "oil_unit": "bar"}, 3000),
            ("us", {"oil": "2,5 bar", "oil_unit": "psi"}, 250),
            ("metric", {"oil": "½ bar"}, 50),
        ],
    )
    def test_quantity_is_in_the_unit_that_the_work_wants(self, world, system, texts, kpa):
        assert values_of(world, tool_of(PRESSURE), system, **texts)["oil"] == pytest.approx(kpa, abs=0.001)

    def test_units_typed_are_known_to_the_work(self, world):
        tool = tool_of(PRESSURE, work=lambda given: Outcome(given.show(300, "kPa", like="oil")))
        answer, _ = world.work(tool, {"oil": "2 bar"})
        assert answer is not None
        assert answer.sentence == "3 bar"

    def test_colder_than_absolute_zero_is_refused_beside_the_field(self, world):
        tool = tool_of(Quantity("water", "Water", Kind.TEMPERATURE, "degC"))
        assert "absolute zero" in errors_of(world, tool, water="-500")["water"][0]

    def test_optional_fields_may_be_empty(self, world):
        tool = tool_of(
            Quantity("oil", "Oil", Kind.PRESSURE, "kPa", required=False),
            Whole("teeth", "Teeth", required=False),
            Choice("side", "Side", [("a", "A"), ("b", "B")], required=False),
            Words("where", "Where", required=False),
            Day("last", "Last", required=False),
            Bounds("limits", "Limits", Kind.PRESSURE, "kPa"),
            Rows("cells", "Cells", [PRESSURE], required=False, least=2),
        )
        values = values_of(world, tool)
        assert values.pop("cells") == []
        assert set(values.values()) == {None}
        values["cells"] = []
        given = Given(values)
        assert given.number_or_none("oil") is None
        assert given.whole_or_none("teeth") is None
        assert given.choice("side") == given.words("where") == ""
        assert given.band("limits") is None
        assert given.rows("cells") == []

    def test_whole_choice_day_and_words(self, world):
        tool = tool_of(
            Whole("teeth", "Teeth", least=1, most=200),
            Choice("side", "Side", [("a", "Ahead"), ("b", "Astern")]),
            Day("last", "Last done"),
        )
        values = values_of(world, tool, teeth="23", side="b", last="2026-05-31")
        assert (values["teeth"], values["side"], values["last"].isoformat()) == (23, "b", "2026-05-31")
        wrong = errors_of(world, tool, teeth="2.5", side="c", last="31.5.26")
        assert wrong == {
            "teeth": ["Enter a whole number, such as 4."],
            "side": ["Choose one from the list."],
            "last": ["Enter the date as year-month-day: 2026-05-31."],
        }
        assert errors_of(world, tool, teeth="201", side="a", last="2026-05-31") == {"teeth": ["At most 200."]}

    def test_rows_skip_the_empty_and_know_their_number(self, world):
        tool = tool_of(Rows("cylinders", "Compression", [PRESSURE], row_label="Cylinder", least=2))
        texts = {"cylinders-0-oil": "150", "cylinders-1-oil": "", "cylinders-2-oil": "10 bar"}
        _, form = world.work(tool, texts)
        given = form.given()
        assert given.numbers("cylinders") == pytest.approx([1034.2, 1000], abs=0.1)
        assert given.row_numbers("cylinders") == [1, 3]
        assert [(one.label, one.value, one.unit) for one in form.entered] == [
            ("Cylinder 1", "150", "psi"),
            ("Cylinder 3", "10", "bar"),
        ]
        assert errors_of(world, tool, **{"cylinders-0-oil": "150"}) == {
            "cylinders-1-oil": ["Fill in at least 2 values."]
        }

    def test_row_half_filled_is_told_in_its_row(self, world):
        height = Quantity("height", "Height", Kind.LENGTH, "mm")
        volume = Quantity("volume", "Volume", Kind.VOLUME, "L")
        tool = tool_of(Rows("fills", "Fills", [height, volume]))
        wrong = errors_of(world, tool, **{"fills-2-height": "4"})
        assert wrong == {"fills-2-volume": ["Enter the volume as well, or empty the row."]}
        pairs = values_of(world, tool, **{"fills-0-height": "1", "fills-0-volume": "1"})["fills"]
        assert pairs == [(1, (25.4, pytest.approx(3.785, abs=0.001)))]

    def test_more_rows_than_a_field_has_are_not_read(self, world):
        tool = tool_of(Rows("cells", "Cells", [PRESSURE], most=6))
        _, form = world.work(tool, {"cells-0-oil": "1", "cells-6-oil": "2", "cells-99999-oil": "3"})
        assert len(form.given().rows("cells")) == 1
        assert form.counts["cells"] == 4


class TestBounds:
    """Limits: from the card, typed, or none."""

    LIMITS = Bounds("limits", "Oil pressure", Kind.PRESSURE, "kPa", parameter="Oil pressure")

    def tool(self) -> Tool:
        def work(given: Given) -> Outcome:
            return Outcome(
                "It is so.", main=Figure("Oil pressure", given.number("oil"), "kPa"), band=given.band("limits")
            )

        return tool_of(PRESSURE, self.LIMITS, work=work, logs_as="Oil pressure")

    def test_card_fills_them_in_and_is_named(self, world):
        texts, notes = prefilled(self.tool(), world.context(self.tool()))
        assert texts == {"limits_low": "30", "limits_high": "60", "limits_unit": "psi"}
        assert notes["limits"] == "Running checks, warm: Measured by the shop on a sound engine, May 2026"
        answer, _ = world.work(self.tool(), {**texts, "oil": "25"})
        assert answer is not None
        assert (answer.verdict, answer.band) == (Verdict.OUT, "30 to 60 psi")
        assert answer.band_from.startswith("Running checks, warm")
        assert answer.strip is not None
        assert answer.strip.nominal == 45

    def test_typed_ones_are_said_to_be_typed(self, world):
        answer, _ = world.work(self.tool(), {"oil": "25", "limits_low": "20", "limits_unit": "psi"})
        assert answer is not None
        assert (answer.verdict, answer.band, answer.band_from) == (Verdict.IN_RANGE, "at least 20 psi", "as typed")

    def test_emptied_ones_judge_nothing(self, world):
        answer, _ = world.work(self.tool(), {"oil": "25"})
        assert answer is not None
        assert (answer.verdict, answer.band, answer.strip) == (Verdict.NO_LIMITS, "", None)

    def test_the_wrong_way_round_is_refused(self, world):
        wrong = errors_of(world, self.tool(), oil="25", limits_low="5 bar", limits_high="20 psi")
        assert wrong == {"limits_high": ["The lower limit is above the upper one. Swap them."]}

    def test_tool_without_limits_of_its_own_is_judged_by_the_card(self, world):
        def work(given: Given) -> Outcome:
            return Outcome("It is so.", main=Figure("Oil pressure", given.number("oil"), "kPa"))

        answer, _ = world.work(tool_of(PRESSURE, work=work, logs_as="oil pressure"), {"oil": "61"})
        assert answer is not None
        assert (answer.verdict, answer.band) == (Verdict.OUT, "30 to 60 psi")


class TestOutcome:
    """What is made of an answer."""

    def shown(self, world: BenchWorld, outcome: Outcome, system: Any = "us") -> Any:
        answer, form = world.work(tool_of(work=lambda given: outcome), {}, system)
        assert answer is not None, form.errors
        return answer

    @pytest.mark.parametrize(
        ("figure", "us", "metric"),
        [
            (Figure("a", 206.8427, "kPa"), "30 psi", "207 kPa"),
            (Figure("a", 25, "degC"), "77 °F", "25 °C"),
            (Figure("a", 25, "degC", is_difference=True), "45 °F", "25 °C"),
            (Figure("a", 6.096, "m", us="ft", metric="m"), "20 ft", "6.1 m"),
            (Figure("a", 12.346, "V"), "12.3 V", "12.3 V"),
            (Figure("a", 12.346, "V", decimals=2), "12.35 V", "12.35 V"),
            (Figure("a", 0.0000123456, "count", significant=4), "0.00001235", "0.00001235"),
            (Figure("a", 4567.8), "4570", "4570"),
            (Figure("a", 2.5, word="turns"), "2.5 turns", "2.5 turns"),
        ],
    )
    def test_figures_are_in_the_units_of_the_shop(self, world, figure, us, metric):
        outcome = Outcome("So.", figures=[figure], tables=[Table("T", [Column("a", "kPa")], [[figure.value]])])
        assert self.shown(world, outcome).figures == [("a", us)]
        assert self.shown(world, outcome, "metric").figures == [("a", metric)]

    def test_page_shows_no_more_of_the_main_figure_than_the_log_keeps(self, world):
        assert self.shown(world, Outcome("So.", main=Figure("a", 0.0123456, "V", significant=6))).main == (
            "a",
            "0.0123 V",
        )

    def test_tables_have_words_numbers_and_gaps(self, world):
        table = Table("T", [Column("What"), Column("Height", "mm")], [["top", 254.0], ["none", None]])
        shown = self.shown(world, Outcome("So.", tables=[table])).tables[0]
        assert shown.columns == [("What", False), ("Height", True)]
        assert shown.rows == [[("top", False), ("10 in", True)], [("none", False), ("", False)]]

    @pytest.mark.parametrize("value", [float("inf"), float("nan"), 1e300])
    def test_figure_that_cannot_be_is_refused_with_a_sentence(self, world, value):
        answer, form = world.work(tool_of(work=lambda given: Outcome("So.", main=Figure("a", value))), {})
        assert answer is None
        assert "Check each with its unit" in form.errors["__all__"][0]

    def test_problem_stands_beside_the_field_that_it_names(self, world):
        def refuse(field: str) -> Any:
            def work(given: Given) -> Outcome:
                raise ToolProblem("That cannot be.", field=field)

            return work

        for named, shown_at in (("oil", "oil"), ("oil_kpa", "oil"), ("else", "__all__"), ("", "__all__")):
            assert errors_of(world, tool_of(PRESSURE, work=refuse(named)), oil="3") == {shown_at: ["That cannot be."]}

    def test_error_without_a_sentence_is_a_defect_and_stays_one(self, world):
        def work(given: Given) -> Outcome:
            raise ValueError("a slip in the program")

        with pytest.raises(ValueError, match="a slip"):
            world.work(tool_of(work=work), {})


class TestPrefilling:
    """What stands in the form before anybody typed."""

    def test_defaults_know_the_engine(self, world):
        def ratio(at: ToolContext) -> Prefill | None:
            return Prefill(str(at.engine.gear_ratio), "on the engine's record") if at.engine else None

        tool = tool_of(
            Quantity("ratio", "Ratio", default=ratio), Quantity("oil", "Oil", Kind.PRESSURE, "kPa", default="2 bar")
        )
        texts, notes = prefilled(tool, world.context(tool))
        assert (texts, notes) == ({"ratio": "1.5", "oil": "2 bar"}, {"ratio": "on the engine's record"})
        assert with_units_apart(tool, texts, "us") == {"ratio": "1.5", "oil": "2", "oil_unit": "bar"}

    def test_hours_at_hand_are_those_logged_last(self, world):
        assert world.context(tool_of()).hours == 460
        assert world.context(tool_of(is_of_boat=True)).hours is None

    def test_rows_of_mixed_units_stay_as_written(self, world):
        tool = tool_of(Rows("cells", "Cells", [PRESSURE]))
        texts = as_texts(tool, {"cells": ["1 bar", "15 psi"]})
        assert with_units_apart(tool, texts, "us") == {"cells-0-oil": "1 bar", "cells-1-oil": "15 psi"}

    def test_records_to_choose_from_are_loaded_before_the_work(self, world):
        field = FromRecords(
            "reading",
            "Reading",
            options=lambda at: [Option("a", "The first")],
            load=lambda at, key: {"a": 41.5}[key],
        )
        tool = tool_of(field, work=lambda given: Outcome(f"It is {given.loaded('reading', float)}."))
        answer, form = world.work(tool, {"reading": "a"})
        assert answer is not None
        assert answer.sentence == "It is 41.5."
        assert form.entered[0].value == "The first"
        assert errors_of(world, tool, reading="b") == {
            "reading": ["That is no longer there. Choose one from the list."]
        }

    def test_nothing_to_choose_from_is_said(self, world):
        tool = tool_of(FromRecords("r", "R", options=lambda at: [], load=lambda at, key: key, nothing="No scans yet."))
        form = BenchForm(tool, world.context(tool))
        assert form.parts[0][1][0].nothing == "No scans yet."


def page_of(world: BenchWorld, slug: str = "resistance-from-drop") -> str:
    return reverse("findings:bench_tool", args=[world.job.number, slug])


WORKED = {
    "work-out": "1",
    "drop": "2,0",
    "drop_unit": "V",
    "current": "200",
    "current_unit": "A",
    "where": "ground strap",
}


class TestList:
    """All tools, and those that fit some words."""

    def slugs(self, tech, world, **asked):
        page = tech.get(reverse("findings:bench", args=[world.job.number]), asked)
        assert page.status_code == 200
        return [tool.slug for _, tools in page.context["groups"] for tool in tools], page.content.decode()

    def test_subjects_are_one_touch_away(self, tech, world):
        slugs, page = self.slugs(tech, world)
        assert set(slugs) == set(all_tools())
        assert page.count('href="#group-') == page.count('id="group-')

    def test_words_begin_words_of_title_purpose_subject_or_fields(self, tech, world):
        slugs, page = self.slugs(tech, world, q="Volt drop", **{"for-engine": "7"})
        assert "voltage-drop" in slugs
        assert 0 < len(slugs) < len(all_tools())
        assert 'name="for-engine" value="7"' in page

    def test_nothing_that_fits_is_said(self, tech, world):
        slugs, page = self.slugs(tech, world, q="xylophone")
        assert not slugs
        assert "No tool matches." in page


class TestPage:
    """One tool's page."""

    def test_address_is_the_calculation(self, tech, world):
        page = tech.get(page_of(world), WORKED)
        assert page.status_code == 200
        assert page.context["answer"].main == ("Resistance", "10 mΩ")
        assert 'value="2,0"' in page.content.decode()

    def test_wrong_input_is_kept_and_told(self, tech, world):
        page = tech.get(page_of(world), {**WORKED, "current": "lots"})
        assert page.status_code == 422
        said = page.content.decode()
        assert 'value="lots"' in said
        assert "“lots” does not start with a number." in said
        assert 'aria-invalid="true"' in said

    def test_first_visit_asks_and_says_nothing_wrong(self, tech, world):
        page = tech.get(page_of(world))
        assert page.status_code == 200
        assert page.context["answer"] is None
        assert "to fix" not in page.content.decode()

    def test_example_fills_the_form_with_units_beside(self, tech, world):
        said = tech.get(page_of(world), {"fill-example": "1"}).content.decode()
        assert 'name="current" value="200"' in said

    def test_more_rows_keep_what_was_typed(self, tech, world):
        page = tech.get(page_of(world, "tank-fills"), {"work-out": "1", "fills-0-level": "4 in", "more-rows": "fills"})
        form = page.context["form"]
        assert not form.is_bound
        assert form["fills-0-level"].value() == "4 in"
        before = tech.get(page_of(world, "tank-fills")).context["form"].counts["fills"]
        assert form.counts["fills"] == before + 4

    def test_engine_of_another_boat_is_not_taken(self, tech, world):
        page = tech.get(page_of(world), {"for-engine": "999999"})
        assert page.context["engine"] == world.cast.port, "the one that the job names"
        page = tech.get(page_of(world), {"for-engine": str(world.cast.starboard.pk)})
        assert page.context["engine"] == world.cast.starboard
        assert tech.get(page_of(world), {"for-engine": "0"}).context["engine"] is None

    def test_front_desk_may_work_things_out_but_not_log(self, client, world):
        client.force_login(world.cast.desk)
        page = client.get(page_of(world), WORKED)
        assert page.status_code == 200
        assert "log-form" not in page.content.decode()
        assert client.post(page_of(world), WORKED).status_code == 403

    def test_metric_shop_starts_with_its_units(self, tech, world):
        shop = tech.get(page_of(world)).wsgi_request.shop
        shop.units = "metric"
        shop.save()
        form = tech.get(page_of(world, "propeller-slip")).context["form"]
        assert form["speed_unit"].value() == "kn"

    @pytest.mark.parametrize("query", [{}, WORKED])
    def test_page_takes_few_queries(self, tech, world, query, django_assert_max_num_queries):
        tech.get(page_of(world), query)
        with django_assert_max_num_queries(
            12
        ):  # instruments one, hours and meter two, when in the job one, its engine one
            tech.get(page_of(world), query)


class TestLogging:
    """From the result to the log."""

    def post(self, tech: Client, world: BenchWorld, **changes: str) -> Any:
        return tech.post(page_of(world), {**WORKED, "log-phase": "after-repair", **changes})

    def test_reading_keeps_inputs_as_entered_formula_and_source(self, tech, world):
        answer = self.post(tech, world, **{"log-hours": "470", "log-instrument": "Clamp meter"})
        assert answer.status_code == 302
        assert answer.headers["Location"] == reverse("findings:job", args=[world.job.number])
        reading = Reading.objects.select_related("entry", "parameter").latest("entry__position")
        assert (reading.parameter.name, reading.value, reading.unit) == ("Circuit resistance", 10, "mohm")
        assert (reading.phase, reading.instrument, reading.condition) == ("after-repair", "Clamp meter", "ground strap")
        assert (reading.entry.engine, reading.entry.engine_hours) == (world.cast.port, 470)
        kept = reading.worked_from
        assert kept["inputs"][:2] == [
            {"label": "Voltage drop", "value": "2,0", "unit": "V"},
            {"label": "Current", "value": "200", "unit": "A"},
        ]
        assert broken_link(world.cast.vessel) is None

    def test_new_parameter_is_made_once(self, tech, world):
        Parameter.objects.filter(name="Circuit resistance").delete()
        self.post(tech, world)
        self.post(tech, world)
        assert Parameter.objects.get(name="Circuit resistance").kind == Kind.RESISTANCE.value

    def test_typed_limits_are_kept_with_the_reading(self, tech, world):
        self.post(tech, world, limits_high="5", limits_unit="mohm")
        reading = Reading.objects.latest("entry__position")
        assert (reading.verdict, reading.low, reading.high, reading.limits_from) == ("out", None, 5, "as typed")

    def test_result_is_worked_out_anew_whatever_was_sent(self, tech, world):
        self.post(tech, world, result="1", sentence="All is well.", value="1", worked_from="{}")
        assert Reading.objects.latest("entry__position").value == 10

    def test_refused_hours_keep_inputs_and_result(self, tech, world):
        before = LogEntry.objects.count()
        answer = self.post(tech, world, **{"log-hours": "3", "log-text": "Strap is green."})
        assert answer.status_code == 422
        said = answer.content.decode()
        assert "Strap is green." in said
        assert 'value="2,0"' in said
        assert set(answer.context["log_form"].errors) == {"hours"}
        assert LogEntry.objects.count() == before

    def test_input_gone_wrong_logs_nothing(self, tech, world):
        before = LogEntry.objects.count()
        assert self.post(tech, world, current="0").status_code == 422
        assert LogEntry.objects.count() == before

    def test_same_form_twice_is_one_entry(self, tech, world):
        key = str(uuid.uuid4())
        before = LogEntry.objects.count()
        for _ in range(3):
            assert self.post(tech, world, **{"log-entry_id": key}).status_code == 302
        assert LogEntry.objects.count() == before + 1

    def test_log_history_findings_and_report_say_how_it_was_worked_out(self, tech, world):
        self.post(tech, world)
        reading = Reading.objects.latest("entry__position")
        vessel = world.cast.vessel
        entry = tech.get(reverse("vessels:entry", args=[reading.pk])).content.decode()
        history = tech.get(
            reverse("findings:parameter_history", args=[vessel.pk, reading.parameter_id]),
            {"engine": world.cast.port.pk},
        ).content.decode()
        for page in (entry, history):
            assert "Calculated by “Resistance from voltage drop”" in page
            assert "2,0 V" in page
        assert "calculated by “" in tech.get(reverse("findings:job", args=[world.job.number])).content.decode()
        draft_report(by=world.cast.tech, job=world.job)
        preview = tech.get(reverse("reports:preview", args=[world.job.number])).content.decode()
        assert "Calculated by “Resistance from voltage drop”: " in preview
        for label, typed in [("Voltage drop", "2,0 V"), ("Current", "200 A")]:
            assert f'<tr><th scope="row">{label}</th><td>{typed}</td></tr>' in preview

    def test_record_of_the_report_has_it_whole_and_reads_it_back(self, tech, world):
        self.post(tech, world)
        record = draft_record(draft_report(by=world.cast.tech, job=world.job))
        working = next(reading.working for reading in record.findings.readings if reading.working)
        assert (working.title, working.formula) == ("Resistance from voltage drop", "R = U / I")
        assert [(one.label, one.value, one.unit) for one in working.inputs[:1]] == [("Voltage drop", "2,0", "V")]
        written = to_json(record)
        schema.check(written)
        assert from_json(written) == record
        older = json.loads(written)
        for reading in older["findings"]["readings"]:
            del reading["working"]
        assert from_json(json.dumps(older)).findings.readings[0].working is None, "records of before are still read"

    def test_verdict_of_the_tool_holds_in_the_log(self, world):
        from findings.bench.actions import log_result

        def work(given: Given) -> Outcome:
            return Outcome("One is low.", main=Figure("Lowest", 112, "psi"), verdict=Verdict.OUT)

        tool = tool_of(work=work, logs_as="Compression")
        answer, _ = world.work(tool, {})
        assert answer is not None
        entry = log_result(by=world.cast.tech, job=world.job, engine=world.cast.port, tool=tool, answer=answer)
        reading = Reading.objects.get(pk=entry.pk)
        judgment = stored_judgment(reading)
        assert (reading.verdict, judgment.verdict) == ("out", Verdict.OUT)
        assert judgment.sentence == "112 psi, out by “Echo”"

    def test_reading_without_working_has_the_digest_that_it_always_had(self, world):
        """An empty column is left out of what the digest covers, so that older entries stay proven."""
        from vessels.log.chain import row_facts

        reading = Reading.objects.filter(worked_from__isnull=True).first()
        assert reading is not None
        assert "worked_from" not in row_facts(reading)
        assert reading.value >= Decimal(40)


def test_presets_fill_in_and_name_their_source(tech, world):
    page = tech.get(page_of(world, "charge-at-rest"), {"fill-preset": "0"})
    tool = page.context["tool"]
    assert isinstance(tool.presets[0], Preset)
    said = page.content.decode()
    assert tool.presets[0].label in said
    assert escape(tool.presets[0].source) in said


def sent_by(page: Any, **more: str) -> dict[str, str]:
    """What a browser sends of a tool's form, with some of it typed over and one of its buttons touched."""
    form = page.context["form"]
    values = {bound.html_name: bound.value() for bound in form}
    texts = {name: "" if value is None else str(value) for name, value in values.items()}
    return {**texts, "for-engine": page.context["engine_key"], "work-out": "1", **more}


def test_what_was_typed_stays_through_a_preset(tech, world):
    address = page_of(world, "charge-at-rest")
    tool = tech.get(address).context["tool"]
    filled = as_texts(tool, tool.presets[0].inputs)
    form = tech.get(address).context["form"]
    other = next(name for name in form.fields if name not in filled and not name.endswith("_unit"))
    page = tech.get(address, sent_by(tech.get(address), **{other: "12.51", "fill-preset": "0"}))
    form = page.context["form"]
    assert not form.is_bound
    assert form[other].value() == "12.51"
    plain = tech.get(address, {"fill-preset": "0"}).context["form"]
    for name in filled.keys() & set(form.fields):
        assert form[name].value() == plain[name].value()


def test_what_was_typed_stays_through_another_engine_and_what_was_known_goes(tech, world):
    address = page_of(world)
    first = tech.get(address, {"for-engine": str(world.cast.port.pk)})
    page = tech.get(address, sent_by(first, current="187", **{"switch-engine": str(world.cast.starboard.pk)}))
    assert page.context["engine"] == world.cast.starboard
    fresh = tech.get(address, {"for-engine": str(world.cast.starboard.pk)}).context["form"]
    form = page.context["form"]
    assert form["current"].value() == "187"
    for bound in fresh:
        if bound.name != "current" and bound.value():
            assert form[bound.name].value() == bound.value()


def test_what_was_typed_stays_through_errors(tech, world):
    page = tech.get(page_of(world), sent_by(tech.get(page_of(world)), current="a lot"))
    assert page.status_code == 422
    assert 'value="a lot"' in page.content.decode()
