"""What an act takes, as a frozen dataclass with a JSON form, made from the action's own signature.

Left out are who does it and the act's id, which every act has, and what the program works out by itself. An act whose
arguments hold a secret, a file, or what only a page on the server can make, says why it cannot be queued.
"""

from __future__ import annotations

import inspect
import json
import typing
from collections.abc import Mapping
from dataclasses import MISSING, dataclass, field, fields, make_dataclass
from functools import cache
from typing import Any

from django.apps import apps
from django.db import models

from commands.json_forms import form_of, of_fields
from commands.json_values import PLAIN, Form, NoForm, TypeMismatch, frozen, of_names, read_names
from commands.refusals import Refused
from commands.registry import ACTOR, COMMANDS, ID, Envelope, is_default

LONGEST_SHOWN = 60


class CannotBeQueued(Refused):
    """The act, or this use of it, has no JSON form."""


@dataclass(frozen=True)
class Arguments:
    """What every act's own dataclass is: ``given`` are the arguments that were said, without those left as they are."""

    def given(self) -> dict[str, Any]:
        """The arguments to call the action with."""
        said = {one.name: getattr(self, one.name) for one in fields(self)}
        defaults = {one.name: one.default for one in fields(self)}
        return {name: value for name, value in said.items() if not is_default(value, defaults[name])}


@dataclass(frozen=True)
class Taken:
    """What an act takes: its dataclass, the form of each argument, and of those without a form, why."""

    kind: str
    made: type[Arguments]
    forms: Mapping[str, Form]
    required: tuple[str, ...]
    without_form: Mapping[str, str]
    on_its_page: str

    @property
    def why_not_queued(self) -> str:
        """Why no use of this act can be queued; empty where it can."""
        return self.on_its_page or next((why for name, why in self.without_form.items() if name in self.required), "")

    def of(self, given: Mapping[str, Any]) -> Arguments:
        """The arguments of a call, without who and the id.

        Raises:
            CannotBeQueued: one of them has no form.
        """
        for name, why in self.without_form.items():
            if given.get(name) is not None and given.get(name) is not False:
                raise self.refusal(why)
        if self.why_not_queued:
            raise self.refusal(self.why_not_queued)
        return self.made(**{name: frozen(given[name]) for name in self.forms if name in given})

    def to_json(self, arguments: Arguments) -> dict[str, Any]:
        """The arguments as JSON takes them; what was left out stays out.

        Raises:
            CannotBeQueued: a value has no form.
        """
        said = {}
        for name, value in arguments.given().items():
            try:
                said[name] = self.forms[name].write(value)
            except NoForm as problem:
                raise self.refusal(f"“{name}” holds what has no form outside ({problem})") from problem
        return said

    def from_json(self, said: Any) -> Arguments:
        """The arguments that ``to_json`` wrote. Records are looked up.

        Raises:
            CannotBeQueued: no use of this act can be queued.
            NotYet: a record that it names may still come.
            Refused: the JSON does not fit, or names a record that is not there.
        """
        if self.why_not_queued:
            raise self.refusal(self.why_not_queued)
        try:
            return self.made(**read_names(said, self.forms, self.required))
        except TypeMismatch as misfit:
            where = f"“{misfit.path.lstrip('.')}”" if misfit.path else "what it takes"
            said_here = json.dumps(misfit.value, ensure_ascii=False)[:LONGEST_SHOWN]
            shown = "" if misfit.value is None else f", not {said_here}"
            raise Refused(f"{self.kind}: {where} has to be {misfit.wanted}{shown}.") from misfit

    def refusal(self, why: str) -> CannotBeQueued:
        """The refusal that says why this is not queued."""
        return CannotBeQueued(f"{self.kind} cannot be queued: {why}. Send it from its page.")

    @property
    def schema(self) -> str:
        """The JSON form in one line, for the list of acts; a ``?`` marks what may be left out."""
        if self.why_not_queued:
            return f"cannot be queued: {self.why_not_queued}"
        return "{" + ", ".join(
            f'"{name}"{"" if name in self.required else "?"}: {form.name}' for name, form in self.forms.items()
        ) + "}"  # fmt: skip


@cache
def taken_by(envelope: Envelope) -> Taken:
    """What an act takes, from its signature; made when it is first asked for, because every model has to be there."""
    action = inspect.unwrap(envelope.action)
    named = {model.__name__: model for model in apps.get_models()}
    hints = typing.get_type_hints(action, globalns={**named, **action.__globals__}, include_extras=True)
    forms: dict[str, Form] = {}
    without: dict[str, str] = dict.fromkeys(envelope.secret, "it carries a secret")
    without |= {name: f"“{name}” is said by its page" for name in envelope.not_queued}
    required, made = [], []
    for name, parameter in _parameters(envelope):
        if name in {ID, ACTOR}:
            continue
        if name in envelope.worked_out:
            if parameter.default is inspect.Parameter.empty:
                without[name] = f"“{name}” is made by its page"
                required.append(name)
            continue
        hint, default = hints.get(name), parameter.default
        if name not in without:
            try:
                forms[name] = _form(envelope, name, parameter, hints if hint else _hints_of_part(envelope, name))
            except NoForm as problem:
                without[name] = _why(name, str(problem))
        if default is inspect.Parameter.empty:
            required.append(name)
        if name in forms:
            filled = MISSING if default is inspect.Parameter.empty else default
            made.append((name, Any, field(default=filled)))
    title = "".join(word.title() for word in envelope.kind.split("_"))
    arguments = make_dataclass(title, made, bases=(Arguments,), frozen=True, kw_only=True)
    return Taken(envelope.kind, arguments, forms, tuple(required), without, envelope.on_its_page)


def _parameters(envelope: Envelope) -> list[tuple[str, inspect.Parameter]]:
    """The parameters by name; a ``**`` one gives way to those of the act that it is handed on to."""
    found: dict[str, inspect.Parameter] = {}
    for name, parameter in envelope.signature.parameters.items():
        if parameter.kind is inspect.Parameter.VAR_KEYWORD:
            part, own = _part(envelope, name)
            found = {**{one: said for one, said in part.signature.parameters.items() if one not in own}, **found}
        else:
            found[name] = parameter
    return [(name, found[name]) for name in found]


def _part(envelope: Envelope, name: str) -> tuple[Envelope, set[str]]:
    """The act that an argument is handed on to, and what the outer act says for it."""
    if name not in envelope.parts:
        raise NoForm(name)
    kind, *own = envelope.parts[name]
    return COMMANDS[kind], {ID, ACTOR, *own}


def _hints_of_part(envelope: Envelope, name: str) -> dict[str, Any]:
    rest = next(
        one for one, said in envelope.signature.parameters.items() if said.kind is inspect.Parameter.VAR_KEYWORD
    )
    part, _ = _part(envelope, rest)
    return {name: taken_by(part).forms[name]}


def _form(envelope: Envelope, name: str, parameter: inspect.Parameter, hints: Mapping[str, Any]) -> Form:
    known = hints[name]
    if isinstance(known, Form):
        return known
    if name in envelope.parts:
        part, own = _part(envelope, name)
        taken = taken_by(part)
        forms = {one: form for one, form in taken.forms.items() if one not in own}
        inside = of_names(forms, [one for one in taken.required if one not in own], f"what {part.kind} takes")
        return form_of(hints[name], inside)
    if name in {"changes", "seen"}:
        return form_of(hints[name], of_fields(_record_of(hints)))
    return form_of(hints[name], PLAIN)


def _record_of(hints: Mapping[str, Any]) -> type[models.Model]:
    """The record that an act changes: the first that it names, or what it gives back."""
    named = [hint for name, hint in hints.items() if name != ACTOR]
    return next(hint for hint in named if isinstance(hint, type) and issubclass(hint, models.Model))


def _why(name: str, problem: str) -> str:
    if problem in {"UploadedFile", "bytes"}:
        return "it carries a file"
    return f"“{name}” is made by its page"
