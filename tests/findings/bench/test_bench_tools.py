"""Every tool of the Bench, by its own example: right, kept when wrong, logged once; and what tools have in common."""

from __future__ import annotations

import re
import uuid
from functools import cache

import pytest
from django.contrib.staticfiles import finders
from django.urls import reverse
from fontTools.ttLib import TTFont

from engineering.measures import UNITS
from findings.bench.catalog import all_tools
from findings.bench.fields import Bounds, Choice, Field, FromRecords, Quantity, Rows, Whole
from findings.bench.texts import cell_name, prefilled
from findings.bench.tool import Tool
from findings.cautions import MANUAL_FIRST
from findings.readings.models import Reading
from tests.findings.bench.world import BenchWorld
from vessels.log.verify import broken_link
from vessels.models import LogEntry

pytestmark = pytest.mark.django_db

TOOLS = list(all_tools().values())
each_tool = pytest.mark.parametrize("tool", TOOLS, ids=lambda tool: tool.slug)
WRONG = [
    "abc",
    "-1",
    "0",
    "999999999999",
    "-999999999999",
    "0.000000001",
    "1/0",
    "5,200",
    "1e5",
    "NaN",
    "½",
    "12 parsecs",
]


def address(world: BenchWorld, tool: Tool) -> str:
    return reverse("findings:bench_tool", args=[world.job.number, tool.slug])


def number_controls(field: Field) -> list[str]:
    """The controls of a field into which a person types."""
    if isinstance(field, Rows):
        return [cell_name(field, 0, column.name) for column in field.columns]
    if isinstance(field, Bounds):
        return [f"{field.name}_{side}" for side in ("low", "high") if field.sides in {"both", side}]
    return [field.name]


@each_tool
def test_definition_is_whole(tool):
    assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", tool.slug)
    assert tool.purpose.endswith(".")
    assert len(tool.purpose) <= 110, "the purpose is one short sentence"
    assert tool.formula
    assert tool.source, "no formula without its source, even if that is “common practice, no source”"
    assert tool.example.source, "the example names where its figures are from"
    names = [field.name for field in tool.fields]
    assert len(set(names)) == len(names)
    assert all(re.fullmatch(r"[a-z][a-z0-9_]*", name) for name in names)
    columns = [column for field in tool.fields if isinstance(field, Rows) for column in field.columns]
    for field in [*tool.fields, *columns]:
        if isinstance(field, Quantity | Bounds):
            for unit in filter(None, [field.to, field.us, field.metric]):
                assert UNITS[unit].kind is field.kind, f"{field.name}: {unit} does not measure {field.kind}"
    from_records = any(isinstance(field, FromRecords) for field in tool.fields)
    assert tool.example.expects or tool.example.says or from_records, "the example has no expected figure"
    assert set(tool.example.inputs) <= set(names)
    for preset in tool.presets:
        assert set(preset.inputs) <= set(names)


STRICT = {
    "allowed": "3 %, the stricter of the two usual ones",
    "load": "steady: a cranking motor's conductors are judged less",
    "cells": "12 V: a voltage of another battery is refused",
    "battery": "12 V: a voltage of another battery is refused, and a part that takes most of it is open the sooner",
    "system": "12 V allows the least drop; of codes, any system",
    "form": "how a code is written, seen in the answer",
    "fuel": "from the engine's record only",
    "run": "part: not judged by rated power",
    "way": "which of two pages is asked",
    "unit": "the unit of what is typed beside it, seen in the answer",
    "lines": "of a printed table",
}
"""Choices that may stand filled in, as what is filled in is no favorable assumption."""


@each_tool
def test_nothing_favorable_is_filled_in(tool, world):
    """What is chosen for a person is the strict answer, is on record, or is how to read what is typed beside it."""
    texts, _ = prefilled(tool, world.context(tool))
    chosen = {field.name for field in tool.fields if isinstance(field, Choice | Whole) and texts.get(field.name)}
    assert chosen <= set(STRICT)
    assert not {"kind", "sensor", "sender", "insulation", "where", "bundled", "size", "layout", "centers"} & set(texts)


@each_tool
def test_what_it_says_of_itself_can_be_printed(tool):
    """The report prints formula and source, and its fonts are all that a PDF for the archive has."""
    said = tool.title + tool.formula + tool.source + "".join(field.label for field in tool.fields)
    assert {sign for sign in said if sign.isprintable() and ord(sign) not in paper_signs()} == set()


@cache
def paper_signs() -> frozenset[int]:
    path = finders.find("fonts/atkinson-hyperlegible-next-400.ttf")
    assert isinstance(path, str)
    return frozenset(TTFont(path).getBestCmap())


@each_tool
def test_example_is_worked_out_on_its_page(tool, world, client):
    client.force_login(world.cast.tech)
    answer = client.get(address(world, tool), {"work-out": "1", **world.example(tool)})
    assert answer.status_code == 200, answer.context["form"].errors
    said = answer.context["answer"]
    figures = dict([said.main] if said.main else []) | dict(said.figures)
    assert {label: figures.get(label) for label in tool.example.expects} == dict(tool.example.expects)
    assert tool.example.says in said.sentence
    page = answer.content.decode()
    assert said.sentence
    for words in (tool.title, "Log to job" if tool.is_logged else "Calculate"):
        assert words in page
    assert MANUAL_FIRST.replace("'", "&#x27;") in page


@each_tool
@pytest.mark.parametrize("system", ["us", "metric"])
def test_example_says_the_same_in_any_shop(tool, system, world):
    answer, form = world.work(tool, world.example(tool, system), system)
    assert answer is not None, form.errors
    assert "nan" not in answer.sentence.split()
    assert all(text for _, text in answer.figures)


@each_tool
def test_nothing_typed_breaks_it_or_is_lost(tool, world):
    """Every field gets what cannot be: the answer is a result, or a sentence; what was typed stands in its control."""
    example = world.example(tool)
    for field in tool.fields:
        for control in number_controls(field):
            for wrong in ["", *WRONG]:
                texts = {**example, control: wrong}
                answer, form = world.work(tool, texts)
                if answer is None:
                    sentences = [str(text) for texts in form.errors.values() for text in texts]
                    assert sentences
                    assert all(text[-1] in ".!" for text in sentences), sentences
                    assert form[control].value() == wrong
                else:
                    assert answer.sentence
                    assert "nan" not in answer.sentence.split()


@each_tool
def test_words_for_a_number_are_told_beside_the_field(tool, world):
    example = world.example(tool)
    for field in tool.fields:
        if isinstance(field, Quantity | Rows | Bounds):
            control = number_controls(field)[0]
            answer, form = world.work(tool, {**example, control: "abc"})
            assert answer is None
            assert control in form.errors, f"{tool.slug}: {control} takes “abc”"


@each_tool
def test_empty_form_asks_for_what_is_missing(tool, world, client):
    client.force_login(world.cast.tech)
    blank = dict.fromkeys(world.example(tool), "")
    answer = client.get(address(world, tool), {"work-out": "1", **blank})
    required = [field for field in tool.fields if field.required]
    assert answer.status_code == (422 if required else 200)
    if required:
        assert "to fix" in answer.content.decode()


@each_tool
def test_result_is_logged_once_with_what_it_came_from(tool, world, client):
    client.force_login(world.cast.tech)
    before = LogEntry.objects.count()
    sent = {**world.example(tool), "log-entry_id": str(uuid.uuid4()), "log-phase": "arrival", "log-text": "Wet boat."}
    answers = [client.post(address(world, tool), sent) for _ in range(2)]
    if not tool.is_logged:
        assert [answer.status_code for answer in answers] == [422, 422]
        assert LogEntry.objects.count() == before
        return
    assert [answer.status_code for answer in answers] == [302, 302], answers[0].context["log_form"].errors
    entry = LogEntry.objects.get(pk=sent["log-entry_id"])
    assert LogEntry.objects.count() == before + 1
    assert entry.job == world.job
    assert entry.engine == (None if tool.is_of_boat else world.cast.port)
    assert "Wet boat." in entry.text
    if entry.kind == "reading":
        kept = Reading.objects.get(pk=entry.pk).worked_from
        assert kept["tool"] == tool.slug
        assert kept["formula"] == tool.formula
        assert kept["inputs"]
        assert _all_texts(kept)
    else:
        assert tool.formula in entry.text
    assert broken_link(world.cast.vessel) is None
    page = client.get(reverse("vessels:entry", args=[entry.pk])).content.decode()
    assert tool.title in page.replace("&#x27;", "'")


def _all_texts(kept: object) -> bool:
    if isinstance(kept, dict):
        return all(isinstance(key, str) and _all_texts(value) for key, value in kept.items())
    return all(map(_all_texts, kept)) if isinstance(kept, list) else isinstance(kept, str)


def test_slugs_are_one_each_and_groups_in_order():
    assert len(TOOLS) >= 2
    groups = [tool.group for tool in TOOLS]
    assert groups == sorted(groups, key=list(type(groups[0])).index)


def test_bench_lists_every_tool(world, client):
    client.force_login(world.cast.desk)
    page = client.get(reverse("findings:bench", args=[world.job.number])).content.decode()
    for tool in TOOLS:
        assert address(world, tool) in page


def test_unknown_tool_is_not_found(world, client):
    client.force_login(world.cast.tech)
    assert client.get(f"/jobs/{world.job.number}/bench/no-such-tool/").status_code == 404
