"""Each form that edits something, sent as it stands on its page: nothing is changed, and nothing says that it was."""

from __future__ import annotations

from typing import Any

import pytest
from django.apps import apps

from billing.invoices.models import CustomerBilling
from commands.envelope import UNCHANGED
from commands.models import Command
from staff.journal import _rows
from tests.commands.test_every_form_twice import (
    FORMS,
    OWN,
    filled,
    problems,
    ready,
    rows_of_all,
)
from web.versions import Versioned

EDITS = {
    "staff:person", "staff:shop", "parts:change", "vessels:customer-change", "vessels:vessel-change",
    "vessels:engine-change", "vessels:unit-change", "vessels:amend", "workorders:intake", "workorders:line",
    "workorders:discount", "workorders:part_correct", "workorders:part_awaited", "appointments:change",
    "appointments:bay", "upkeep:plan", "upkeep:stay", "upkeep:adoption", "upkeep:done_correct",
    "labor:correct", "taxes:rate", "invoices:details", "invoices:shop", "invoices:notice",
    "authorizations:rules", "estimates:terms", "estimates:line", "estimates:option", "estimates:kit",
    "estimates:kit_line", "findings:instrument_change",
    "findings:correct_reading", "findings:correct_visual_finding", "findings:correct_function_test",
    "findings:correct_setting", "findings:card_change", "findings:sheet", "reports:job",
}  # fmt: skip
CHOSEN = ("vessels:vessel-owner",)  # its page holds no owner until one is chosen
# What a form asks that its page cannot hold, and what its page is kept without.
BESIDES: dict[str, dict[str, Any]] = {
    "staff:person": OWN,
    "staff:shop": OWN,
    "reports:job": {"do": "save"},
    "workorders:part_correct": {"step": "log"},
    "labor:correct": {"reason": "Looked at again."},
}


def test_no_form_that_edits_is_forgotten() -> None:
    edits = {
        name for name, form in FORMS.items()
        if form.does.startswith(("change_", "correct_", "amend_", "word_", "save_")) or "correct" in name
    }  # fmt: skip
    assert edits - EDITS == set(CHOSEN)


def versions() -> dict[str, int]:
    """How often each record was saved that two people may have open at once."""
    return {
        f"{model._meta.label}:{row.pk}": row.version
        for model in apps.get_models()
        if issubclass(model, Versioned)
        for row in model._default_manager.all()
    }


@pytest.mark.parametrize("name", sorted(EDITS))
@pytest.mark.django_db
def test_an_edit_that_changes_nothing_is_called_none(name: str, settings: Any, tmp_path: Any) -> None:
    scene, client, address = ready(name, settings, tmp_path)
    form = FORMS[name]
    if name == "invoices:details":  # made when it is first saved
        CustomerBilling.objects.create(customer=scene.cast.customer)
    body = filled(client, address, BESIDES.get(name, {}), form.does)
    before, tables, saved = set(Command.objects.values_list("pk", flat=True)), rows_of_all(), versions()
    answer = client.post(address, body)
    assert answer.status_code in {302, 422}, problems(answer)
    acts = list(Command.objects.exclude(pk__in=before))
    now = rows_of_all()
    told = {table: (count, now[table]) for table, count in tables.items() if now[table] != count}
    told = {table: counts for table, counts in told.items() if not table.startswith("commands.")}
    assert (told, [act.told for act in acts]) == ({}, [UNCHANGED] * len(acts)), problems(answer)
    assert versions() == saved
    for told_row in _rows(acts):
        assert told_row.words.endswith("without a change"), told_row.words
        assert told_row.changes == ""
