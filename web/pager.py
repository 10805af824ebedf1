"""Long lists in pages. A page begins after a row and not at an offset, so that what is added above moves nothing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Generic, TypeVar, cast
from urllib.parse import urlencode

from django.db.models import F, Model, Q, QuerySet
from django.db.models.expressions import Combinable
from django.http import HttpRequest

from web.typed import whole_number

PAGE_SIZE = 25
M = TypeVar("M", bound=Model)


@dataclass(frozen=True)
class Page(Generic[M]):
    """A stretch of a list. ``before`` and ``after`` are the keys of its first and last row, where more lies beyond."""

    rows: list[M]
    before: int | None = None
    after: int | None = None

    def addresses(self, path: str, kept: Mapping[str, str]) -> dict[str, str]:
        """``previous_url`` and ``next_url`` for ``components/pager.html``; empty where nothing lies beyond."""

        def address(**cursor: int | None) -> str:
            (key,) = cursor.values()
            said = {name: value for name, value in kept.items() if value}
            return f"{path}?{urlencode({**said, **cursor})}" if key is not None else ""

        return {"previous_url": address(before=self.before), "next_url": address(after=self.after)}


def asked_page(
    rows: QuerySet[M], by: str | Combinable, request: HttpRequest, *, size: int = PAGE_SIZE, falling: bool = False
) -> Page[M]:
    """The page that the address asks for with ``after`` or ``before``; the first one where they make no sense."""
    after, before = (whole_number(request.GET.get(name, "")) for name in ("after", "before"))
    return page_of(rows, by, after=after, before=before, size=size, falling=falling)


def page_of(
    rows: QuerySet[M],
    by: str | Combinable,
    *,
    after: int | None = None,
    before: int | None = None,
    size: int,
    falling: bool = False,
) -> Page[M]:
    """One page of ``rows`` in the order of ``by`` and, where that is equal, of their keys.

    ``by`` is a field's name or an expression; a name that begins with "-", or ``falling``,
    turns the order around. ``after`` and
    ``before`` are keys of rows, which need not be in the list any more; an unknown one gives the first page.
    """
    is_falling = falling or (isinstance(by, str) and by.startswith("-"))
    expression = F(by.lstrip("-")) if isinstance(by, str) else by
    keyed = cast("QuerySet[M]", rows.annotate(page_key=expression))
    on, back = (["-page_key", "-pk"], ["page_key", "pk"]) if is_falling else (["page_key", "pk"], ["-page_key", "-pk"])
    edge = _edge(rows.model, expression, after)
    if edge is not None:
        found = list(keyed.filter(_beyond(edge, up=not is_falling)).order_by(*on)[: size + 1])
        return _cut(found, size, has_before=True)
    edge = _edge(rows.model, expression, before)
    if edge is not None:
        found = list(keyed.filter(_beyond(edge, up=is_falling)).order_by(*back)[: size + 1])
        if len(found) > size:
            shown = found[:size][::-1]
            return Page(shown, shown[0].pk, shown[-1].pk)
    return _cut(list(keyed.order_by(*on)[: size + 1]), size, has_before=False)


def _cut(found: list[M], size: int, *, has_before: bool) -> Page[M]:
    shown = found[:size]
    return Page(shown, shown[0].pk if has_before and shown else None, shown[-1].pk if len(found) > size else None)


def _edge(model: type[M], by: F | Combinable, key: int | None) -> tuple[object, int] | None:
    """Where in the order the row with that key stands."""
    if key is None:
        return None
    return model._default_manager.filter(pk=key).annotate(page_key=by).values_list("page_key", "pk").first()


def _beyond(edge: tuple[object, int], *, up: bool) -> Q:
    """Rows past the edge; the first condition is one that an index of the order can serve."""
    key, pk = edge
    if up:
        return Q(page_key__gte=key) & (Q(page_key__gt=key) | Q(pk__gt=pk))
    return Q(page_key__lte=key) & (Q(page_key__lt=key) | Q(pk__lt=pk))
