"""The pictures of the shop's figures for templates."""

from __future__ import annotations

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
    return joined(
        filled(
            "<tr>{}</tr>", joined(_cell(column, cell, is_first=not place) for place, (column, cell) in enumerate(row))
        )
        for row in table.placed
    )


def _cell(column: Column, cell: Cell, *, is_first: bool) -> SafeString:
    css = filled(' class="{}"', column.css) if column.css else NOTHING
    words = filled('<a href="{}">{}</a>', cell.url, cell.words) if cell.url else filled("{}", cell.words)
    if is_first:
        return filled('<th scope="row"{}>{}</th>', css, words)
    note = filled(" <small>{}</small>", cell.note) if cell.note else NOTHING
    return filled('<td data-label="{}"{}>{}{}</td>', column.heading, css, words, note)
