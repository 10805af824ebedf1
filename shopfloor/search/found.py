"""What a search answers with."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import NamedTuple
from urllib.parse import urlencode

from django.urls import reverse

from workorders.queries.finding import OpenJob

FEW = 8
"""Hits of one kind that are shown; one more is asked for, to know whether there are more."""


class FaultMark(NamedTuple):
    """Where a fault stands, for its flag."""

    pk: int
    state: str
    status_now: str


@dataclass(frozen=True)
class Hit:
    """One thing found. ``matched`` says what of it fits, where the title does not show that already."""

    title: str
    url: str
    facts: str = ""
    matched: str = ""
    tag: str = ""
    jobs: tuple[OpenJob, ...] = ()
    fault: FaultMark | None = None
    is_exact: bool = False


@dataclass(frozen=True)
class Group:
    """What was found of one kind. ``more_url`` leads to the rest where there is more."""

    label: str
    icon: str
    hits: list[Hit]
    has_more: bool = False
    more_url: str = ""


@dataclass(frozen=True)
class Found:
    """The whole answer. ``exact`` are hits that were named in full; they come first."""

    text: str
    exact: list[Hit] = field(default_factory=list)
    groups: list[Group] = field(default_factory=list)
    is_too_short: bool = False

    @property
    def count(self) -> int:
        """How many hits are shown."""
        return len(self.exact) + sum(len(group.hits) for group in self.groups)

    @property
    def says(self) -> str:
        """The answer in a sentence, for those who hear the page."""
        if self.is_too_short:
            return "Type two characters or more."
        more = " and more" if any(group.has_more for group in self.groups) else ""
        return f"{self.count or 'Nothing'} found{more} for {self.text}."


def list_of(name: str, text: str) -> str:
    """The address of a list that is narrowed to the same text."""
    return f"{reverse(name)}?{urlencode({'q': text})}"


def has_digit(text: str) -> bool:
    """Whether it can be a serial number or a code: asking for what it cannot be would only cost time."""
    return any(sign.isdigit() for sign in text)
