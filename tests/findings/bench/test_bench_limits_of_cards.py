"""A result that a limit of a spec card judged points to that limit, as a reading does, and cites what it cites."""

from __future__ import annotations

from decimal import Decimal

import pytest

from commands.refusals import Refused
from engineering.measures import UNITS
from findings.bench.actions import log_result
from findings.bench.catalog import all_tools
from findings.bench.fields import Bounds
from findings.bench.texts import as_texts, prefilled
from findings.bench.tool import Tool
from findings.readings.actions import NewLimit, add_card, add_parameter, change_card
from findings.readings.models import Reading, SpecCard
from findings.readings.queries import reading_row
from tests.findings.bench.world import BenchWorld, make_bench_world

pytestmark = pytest.mark.django_db

BY_CARD = {
    slug: field for slug, tool in all_tools().items() for field in tool.fields
    if isinstance(field, Bounds) and field.parameter
}  # fmt: skip
OF_ITS_SIZE = {"Chain elongation": ("0.5", "2"), "Valve clearance": ("0.15", "0.25")}


@pytest.fixture
def world() -> BenchWorld:
    return make_bench_world()


def card_with(world: BenchWorld, *limits: NewLimit, title: str = "Shop card") -> SpecCard:
    return add_card(
        by=world.cast.manager, family=world.cast.family, title=title, document="Invented manual", limits=limits
    )


def limit_for(world: BenchWorld, field: Bounds, *, more: str = "0") -> NewLimit:
    of = add_parameter(by=world.cast.manager, name=field.parameter, kind=UNITS[field.to].kind.value)
    low, high = OF_ITS_SIZE.get(field.parameter, ("1", "99"))
    given = Decimal(low) + Decimal(more)
    return NewLimit(of, field.to, field.condition, given, None, Decimal(high), source="Bulletin 7", page="3")


def logged(world: BenchWorld, tool: Tool, texts: dict[str, str]) -> Reading | None:
    answer, form = world.work(tool, texts)
    assert answer is not None, form.errors
    try:
        entry = log_result(by=world.cast.tech, job=world.job, engine=world.cast.port, tool=tool, answer=answer)
    except Refused:
        return None
    return Reading.objects.filter(entry=entry).first()


def texts_for(world: BenchWorld, tool: Tool, slug: str) -> dict[str, str]:
    """The tool's example, judged by what the card fills in."""
    field = BY_CARD[slug]
    example = {name: value for name, value in tool.example.inputs.items() if not name.startswith(field.name)}
    return {**prefilled(tool, world.context(tool))[0], **as_texts(tool, example)}


@pytest.mark.parametrize("slug", sorted(BY_CARD))
def test_what_a_card_judged_points_to_its_limit(slug: str, world: BenchWorld) -> None:
    tool, field = all_tools()[slug], BY_CARD[slug]
    card = card_with(world, limit_for(world, field))
    reading = logged(world, tool, texts_for(world, tool, slug))
    if reading is None or "Shop card" not in reading.limits_from:
        assert reading is None or reading.judged_by is None
        return
    assert reading.judged_by == card.limits.get()
    assert "Shop card: Bulletin 7, page 3" in reading.limits_from
    changed = limit_for(world, field, more="0.01")
    change_card(by=world.cast.manager, card=card, changes={}, limits=[changed])
    kept = Reading.objects.get(pk=reading.pk)
    assert kept.judged_by.ended_by == world.cast.manager
    assert "Judged by a limit that Mina Sparrow changed" in reading_row(kept).revised


def test_most_tools_that_ask_for_a_limit_are_judged_by_it(world: BenchWorld) -> None:
    found = set()
    for slug, field in BY_CARD.items():
        card = card_with(world, limit_for(world, field), title=f"Card {slug}")
        reading = logged(world, all_tools()[slug], texts_for(world, all_tools()[slug], slug))
        if reading is not None and reading.judged_by is not None:
            assert reading.judged_by.card == card
            found.add(slug)
    assert len(found) >= len(BY_CARD) - 3, set(BY_CARD) - found


def test_a_limit_that_was_typed_points_to_none(world: BenchWorld) -> None:
    slug = next(one for one, field in BY_CARD.items() if field.parameter == "Leak-down")
    tool, field = all_tools()[slug], BY_CARD[slug]
    card_with(world, limit_for(world, field))
    texts = texts_for(world, tool, slug)
    side = "high" if f"{field.name}_high" in texts else "low"
    reading = logged(world, tool, texts | {f"{field.name}_{side}": "98"})
    assert reading is not None
    assert reading.judged_by is None
    assert "Shop card" not in reading.limits_from


def test_of_cards_that_differ_none_judges_a_result(world: BenchWorld) -> None:
    slug = next(iter(BY_CARD))
    tool, field = all_tools()[slug], BY_CARD[slug]
    for title, more in (("One", "0"), ("Two", "0.01")):
        card_with(world, limit_for(world, field, more=more), title=title)
    texts, notes = prefilled(tool, world.context(tool))
    assert not any(one in " ".join(notes.values()) for one in ("One", "Two"))
    assert texts.get(f"{field.name}_low", "") == ""
