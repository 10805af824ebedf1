"""Every act that the program knows, and what is said of each beside its code."""

from __future__ import annotations

import inspect
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from django.db import models
from django.urls import get_resolver

from commands.content import digest_of

Given = Mapping[str, Any]

ID, ACTOR = "entry_id", "by"


def is_default(value: Any, default: Any) -> bool:
    """Whether an argument is left as it is."""
    return type(value) is type(default) and value == default


@dataclass(frozen=True, kw_only=True, eq=False)
class Envelope:
    """What is said of an action beside its code; see ``commands.envelope.command``."""

    kind: str
    action: Callable[..., Any]
    signature: inspect.Signature
    needs: Any
    writes_to: str
    about: tuple[str, ...]
    worked_out: tuple[str, ...]
    as_kept: Mapping[str, Callable[[Any], Any]]
    secret: tuple[str, ...]
    same_secret: Callable[[Given], bool] | None
    again: Callable[[Given], Any] | None
    parts: Mapping[str, tuple[str, ...]]
    on_its_page: str
    not_queued: tuple[str, ...]

    def given(self, args: Any, kwargs: Any) -> dict[str, Any]:
        """The arguments by name, those of a ``**`` parameter among them."""
        given: dict[str, Any] = {}
        for name, value in self.signature.bind(*args, **kwargs).arguments.items():
            if self.signature.parameters[name].kind is inspect.Parameter.VAR_KEYWORD:
                given |= value
            else:
                given[name] = value
        return given

    def digest(self, given: Given) -> str:
        """The digest of what is said: without the id, without what the program works out, without any secret.

        Left out or said, a default says the same, so that an argument added later leaves older digests as they are.
        """
        left_out = {ID, *self.worked_out, *self.secret}
        said = {
            name: self.as_kept[name](value) if name in self.as_kept else value
            for name, value in given.items()
            if name not in left_out and not is_default(value, self._default(name))
        }
        return digest_of(self.kind, said)

    def _default(self, name: str) -> Any:
        """What an argument is where it is left out; one of a ``**`` parameter is of the act that it is handed on to."""
        for one in (self, *(COMMANDS[self.parts[rest][0]] for rest in self._rest if rest in self.parts)):
            if name in one.signature.parameters:
                return one.signature.parameters[name].default
        return inspect.Parameter.empty

    @cached_property
    def _rest(self) -> list[str]:
        parameters = self.signature.parameters.items()
        return [name for name, one in parameters if one.kind is inspect.Parameter.VAR_KEYWORD]

    def needed(self, given: Given) -> Any:
        """What the actor needs for this."""
        return self.needs(given) if callable(self.needs) else self.needs

    def way(self, given: Given) -> list[models.Model]:
        """The records on the way to the one whose turn is taken, which is the last; empty where there is none."""
        if not self.writes_to:
            return []
        first, *rest = self.writes_to.split(".")
        found = [given.get(first)]
        for name in rest:
            found.append(getattr(found[-1], name, None))
        there = [one for one in found if isinstance(one, models.Model) and one.pk is not None]
        return there if there and there[-1] is found[-1] else []


COMMANDS: dict[str, Envelope] = {}
"""Every act that the program knows, by its kind."""


def all_acts() -> Mapping[str, Envelope]:
    """The same, also in a process that has answered no request yet: the addresses import every view and its actions."""
    get_resolver().url_patterns  # noqa: B018
    return COMMANDS
