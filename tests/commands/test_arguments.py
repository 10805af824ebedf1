"""What an act takes: one frozen dataclass, one JSON form, there and back without a loss, and no secret in it."""

from __future__ import annotations

import dataclasses
import inspect
import json
import types
import typing
from collections.abc import Mapping, Sequence
from datetime import UTC, date, datetime, timedelta, timezone
from decimal import Decimal
from enum import Enum
from typing import Any
from uuid import UUID, uuid4

import pytest
from django.apps import apps
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import models
from hypothesis import given as drawn_from
from hypothesis import strategies as st

from commands import json_records
from commands.arguments import CannotBeQueued, taken_by
from commands.refusals import NotYet, Refused
from commands.registry import COMMANDS, Envelope, all_acts
from commands.replay import queued
from tests.cast import Cast, make_cast
from tests.commands.test_every_form_twice import FORMS, OWN

ACTS = sorted(set(all_acts()) - {"test_it"})
QUEUED = [kind for kind in ACTS if not taken_by(COMMANDS[kind]).why_not_queued]
HOUR = st.integers(-14, 14).map(lambda hours: timezone(timedelta(hours=hours)))
TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=12)
SCALARS: dict[Any, st.SearchStrategy[Any]] = {
    str: TEXT,
    bool: st.booleans(),
    int: st.integers(-(2**40), 2**40),
    Decimal: st.decimals(allow_nan=False, allow_infinity=False, places=3, min_value=-(10**9), max_value=10**9),
    date: st.dates(),
    datetime: st.datetimes(timezones=HOUR, min_value=datetime(1970, 1, 2), max_value=datetime(2100, 1, 1)),
    UUID: st.uuids(),
    type(None): st.none(),
}
PLAIN = st.dictionaries(TEXT, TEXT | st.integers(-9, 9) | st.none(), max_size=2)


def records(model: type[models.Model]) -> st.SearchStrategy[Any]:
    key = model._meta.pk
    while key.remote_field is not None:
        key = key.target_field
    keys = st.uuids() if isinstance(key, models.UUIDField) else st.integers(1, 10**9)
    return keys.map(lambda pk: model(pk=pk))


def values_of(hint: Any, mapping: st.SearchStrategy[Any] = PLAIN) -> st.SearchStrategy[Any]:
    """Values of a type, without asking the forms that are being tried."""
    origin, args = typing.get_origin(hint), typing.get_args(hint)
    if origin is typing.Annotated:
        return st.integers(1, 10**9)
    if origin in {typing.Union, types.UnionType}:
        return st.one_of([values_of(one, mapping) for one in args])
    if origin is tuple:
        return st.tuples(*[values_of(one, mapping) for one in args])
    if isinstance(origin, type) and issubclass(origin, Sequence):
        return st.lists(values_of(args[0], mapping), max_size=3).map(tuple)
    if isinstance(origin, type) and issubclass(origin, Mapping):
        return mapping
    if isinstance(hint, type) and issubclass(hint, models.Model):
        return records(hint)
    if isinstance(hint, type) and issubclass(hint, Enum):
        return st.sampled_from(list(hint))
    if dataclasses.is_dataclass(hint):
        hints = typing.get_type_hints(hint)
        return st.builds(hint, **{one.name: values_of(hints[one.name]) for one in dataclasses.fields(hint)})
    return SCALARS[hint]


def changes_of(model: type[models.Model]) -> st.SearchStrategy[Any]:
    found = {}
    for field in [*model._meta.concrete_fields, *model._meta.many_to_many]:
        kind = next(
            (
                hint
                for hint, kinds in {
                    Decimal: models.DecimalField, bool: models.BooleanField, datetime: models.DateTimeField,
                    date: models.DateField, int: models.IntegerField, str: models.CharField | models.TextField,
                }.items()
                if isinstance(field, kinds)
            ),
            None,
        )  # fmt: skip
        if field.many_to_many:
            found[field.name] = st.lists(records(field.related_model), max_size=2).map(tuple)
        elif field.is_relation:
            found[field.name] = records(field.related_model)
        elif kind is not None:
            found[field.name] = SCALARS[kind]
    return st.fixed_dictionaries({}, optional=found)


def hints_of(envelope: Envelope) -> dict[str, Any]:
    action = inspect.unwrap(envelope.action)
    known = {model.__name__: model for model in apps.get_models()}
    return typing.get_type_hints(action, {**known, **action.__globals__}, include_extras=True)


def said_to(kind: str, own: Sequence[str] = ()) -> st.SearchStrategy[dict[str, Any]]:
    """Everything that an act may be told, with what may be left out left out at times."""
    envelope = COMMANDS[kind]
    hints, needed, more = hints_of(envelope), {}, {}
    for name, parameter in envelope.signature.parameters.items():
        if name in {"by", "entry_id", *own, *envelope.worked_out, *envelope.secret, *envelope.not_queued}:
            continue
        if parameter.kind is inspect.Parameter.VAR_KEYWORD:
            more["location"], more["promised_on"] = TEXT, SCALARS[date]
            continue
        mapping = PLAIN
        if name in envelope.parts:
            part, *said = envelope.parts[name]
            mapping = said_to(part, said)
        elif name in {"changes", "seen"}:
            mapping = changes_of(next(hint for one, hint in hints.items() if one != "by" and is_model(hint)))
        into = needed if parameter.default is inspect.Parameter.empty else more
        if name not in {"logo_png", "picture"}:  # files: nothing of the kind is queued
            into[name] = values_of(hints[name], mapping)
    return st.fixed_dictionaries(needed, optional=more)


def is_model(hint: Any) -> bool:
    return isinstance(hint, type) and issubclass(hint, models.Model)


@pytest.fixture
def _every_record_is_there(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(json_records, "_stored", lambda model, key, value: model(pk=model._meta.pk.to_python(key)))


@pytest.mark.parametrize("kind", QUEUED)
@pytest.mark.usefixtures("_every_record_is_there")
def test_there_and_back_nothing_is_lost(kind: str) -> None:
    envelope = COMMANDS[kind]
    taken = taken_by(envelope)

    @drawn_from(said_to(kind))
    def there_and_back(said: dict[str, Any]) -> None:
        arguments = taken.of(said)
        again = taken.from_json(json.loads(json.dumps(taken.to_json(arguments))))
        assert again == arguments
        assert envelope.digest(again.given()) == envelope.digest(said)
        assert not {"by", "entry_id", *envelope.secret} & taken.to_json(arguments).keys()

    there_and_back()


def test_the_dataclass_is_frozen_and_has_what_the_signature_has() -> None:
    made = taken_by(COMMANDS["log_hours"]).made
    assert [one.name for one in dataclasses.fields(made)] == [
        "engine", "shown", "told_hours", "job_id", "text", "amends", "happened_at",
    ]  # fmt: skip
    one = made(engine=None, shown=Decimal(1))  # type: ignore[call-arg]
    with pytest.raises(dataclasses.FrozenInstanceError):
        one.text = "x"  # type: ignore[attr-defined]
    assert taken_by(COMMANDS["log_hours"]).made is made


CARRIES = {
    "add_feed": "it carries a secret",
    "add_person": "it carries a secret",
    "bring_log": "it carries a file",
    "change_person": "its page asks once more who you are",
    "change_shop": "its page asks once more who you are",
    "choose_password": "it carries a secret",
    "create_owner": "it carries a secret",
    "keep_stopped_charge": "the program notes it when it stops a charge",
    "log_findings": "“understood” is made by its page",
    "log_result": "“tool” is made by its page",
    "renew_feed": "it carries a secret",
    "revise_report": "its page asks once more who you are",
    "set_password": "it carries a secret",
    "sign_report": "it carries a secret",
    "withdraw_report": "its page asks once more who you are",
}


def test_what_cannot_be_queued_says_why() -> None:
    assert {kind: taken_by(COMMANDS[kind]).why_not_queued for kind in ACTS if kind not in QUEUED} == CARRIES
    for kind, why in CARRIES.items():
        with pytest.raises(CannotBeQueued) as refusal:
            taken_by(COMMANDS[kind]).from_json({})
        assert refusal.value.sentence == f"{kind} cannot be queued: {why}. Send it from its page."


def test_what_asks_for_the_own_password_is_never_queued() -> None:
    asking = {form.does for form in FORMS.values() if "OWN" in inspect.getsource(form.told) or own(form)}
    assert asking >= {"change_person", "withdraw_report"}
    assert asking <= CARRIES.keys()


def own(form: Any) -> bool:
    told = inspect.getclosurevars(form.told).nonlocals.get("told", {})
    return bool(OWN.keys() & told.keys())


@pytest.mark.django_db
def test_a_file_or_a_secret_is_not_written() -> None:
    cast = make_cast()
    told = {"by": cast.tech, "at": datetime(2026, 3, 1, tzinfo=UTC), "entry_id": uuid4()}
    with pytest.raises(CannotBeQueued, match="carries a file"):
        queued("bring_log", **told, job=None, file=SimpleUploadedFile("trip.log", b"x"))
    with pytest.raises(CannotBeQueued, match="carries a secret"):
        queued("set_password", **told, person=cast.tech, password="quiet-lantern-harbor-9")
    with pytest.raises(CannotBeQueued, match="“file_sha256” is said by its page"):
        queued("log_scan", **told, unit=cast.port_unit, phase="arrival", is_complete=True, codes=(), file_sha256="0")


@pytest.fixture
def cast(db: None) -> Cast:
    return make_cast()


MISFITS: dict[str, tuple[str, dict[str, Any], str]] = {
    "missing": ("log_hours", {"shown": "1"}, "log_hours: “engine” has to be given: it is missing."),
    "unknown": ("log_hours", {"x": 1}, "log_hours: “x” has to be left out: there is no such field, not 1."),
    "a number": (
        "log_hours", {"engine": "{engine}", "shown": 12.5},
        "log_hours: “shown” has to be a decimal number, as a text such as \"12.5\", not 12.5.",
    ),
    "not finite": (
        "log_hours", {"engine": "{engine}", "shown": "NaN"},
        "log_hours: “shown” has to be a decimal number, as a text such as \"12.5\", not \"NaN\".",
    ),
    "a record of another kind": (
        "log_hours", {"engine": "{vessel}", "shown": "1"},
        "log_hours: “engine” has to be a record such as \"vessels.engine:1\", not \"{vessel}\".",
    ),
    "a key that is none": (
        "log_hours", {"engine": "vessels.engine:x", "shown": "1"},
        "log_hours: “engine” has to be a record such as \"vessels.engine:1\", not \"vessels.engine:x\".",
    ),
    "a record that is not there": (
        "log_hours", {"engine": "vessels.engine:99999", "shown": "1"},
        "vessels.engine:99999 is not on record. It was removed, or it never was here.",
    ),
    "a time without its offset": (
        "write_note", {"vessel": "{vessel}", "text": "x", "happened_at": "2026-03-14T09:30:00"},
        "write_note: “happened_at” has to be a time with its offset such as \"2026-03-14T09:30:00-04:00\" or null, "
        "not \"2026-03-14T09:30:00\".",
    ),
    "deep inside": (
        "log_scan",
        {"unit": "{unit}", "phase": "arrival", "is_complete": True,
         "codes": [{"code": {"system": "spn", "text": "110-0"}, "status": "lit"}]},
        "log_scan: “codes[0].status” has to be one of active, stored, pending, permanent, not \"lit\".",
    ),
    "a list": ("log_work", {"vessel": "{vessel}", "text": "x", "faults": "all"},
               "log_work: “faults” has to be a list, not \"all\"."),
    "no object": ("log_work", [], "log_work: what it takes has to be an object, not []."),
}  # fmt: skip


@pytest.mark.parametrize("what", MISFITS)
def test_json_that_does_not_fit_is_told_where(cast: Cast, what: str) -> None:
    kind, said, sentence = MISFITS[what]
    named = {"{engine}": f"vessels.engine:{cast.port.pk}", "{vessel}": f"vessels.vessel:{cast.vessel.pk}",
             "{unit}": f"vessels.controlunit:{cast.port_unit.pk}"}  # fmt: skip
    text = json.dumps(said)
    for mark, name in named.items():
        text, sentence = text.replace(mark, name), sentence.replace(mark, name)
    with pytest.raises(Refused) as refusal:
        taken_by(COMMANDS[kind]).from_json(json.loads(text))
    assert refusal.value.sentence == sentence
    assert not isinstance(refusal.value, NotYet)
