"""The pictures of the shop's figures for templates."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from django import template
from django.utils.safestring import SafeString

from billing.figures.pictures import PHONE_WIDTH, BarsPicture, bars_chart
from billing.figures.shown import Cell, Column, Table
from web.markup import NOTHING, filled, joined

register = template.Library()


@register.simple_tag
def bars(one: BarsPicture) -> SafeString:
    """Bars beside their names."""
    return bars_chart(one)


@register.simple_tag
def bars_narrow(one: BarsPicture) -> SafeString:
    """The same for a phone."""
    return bars_chart(one, width=PHONE_WIDTH)


@register.simple_tag
def figure_rows(table: Table) -> SafeString:
    """The rows of a table as they stand within its ``tbody``: hundreds of cells, too many for a template."""
    shown = [place for place, column in enumerate(table.columns) if not column.is_kept_only]
    heads = [_head(table.columns[place], is_first=place == shown[0]) for place in shown]
    return joined(filled("<tr>{}</tr>", joined(_cells(heads, [row[place] for place in shown]))) for row in table.rows)


def _head(column: Column, *, is_first: bool) -> tuple[SafeString, SafeString]:
    """How a cell of a column begins and ends."""
    css = filled(' class="{}"', column.css) if column.css else NOTHING
    if is_first:
        return filled('<th scope="row"{}>', css), filled("</th>")
    return filled('<td data-label="{}"{}>', column.heading, css), filled("</td>")


def _cells(heads: Sequence[tuple[SafeString, SafeString]], row: Sequence[Cell]) -> Iterator[str]:
    for place, ((begin, end), cell) in enumerate(zip(heads, row, strict=True)):
        yield begin
        yield filled('<a href="{}">{}</a>', cell.url, cell.words) if cell.url else cell.words
        if cell.note and place:
            yield filled(" <small>{}</small>", cell.note)
        yield end
