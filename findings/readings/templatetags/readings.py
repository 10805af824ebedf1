"""Readings and limits in templates."""

from __future__ import annotations

from django import template
from django.utils.safestring import SafeString
from django.utils.timezone import localtime

from engineering.measures import show
from findings.readings import fitting, queries, revising
from findings.readings.cells import CellForm, Row
from findings.readings.models import Reading, SpecCard, SpecLimit
from vessels.wording import date_words
from web.markup import NOTHING, each_filled, filled, joined

register = template.Library()


@register.filter
def band(limit: SpecLimit) -> str:
    """The limits in words: "30 to 60 psi"."""
    return queries.band_words(limit.low, limit.high, limit.unit)


@register.filter
def nominal(limit: SpecLimit) -> str:
    """The nominal value: "55 psi"; empty where there is none."""
    return "" if limit.nominal is None else show(limit.nominal.normalize(), limit.unit)


@register.filter
def near(limit: SpecLimit) -> str:
    """From where on a value is near."""
    return revising.near_words(limit).removeprefix("near ")


@register.filter
def limit_source(limit: SpecLimit) -> str:
    """The document and page that a limit is taken from."""
    return revising.source_words(limit)


@register.filter
def scope_words(card: SpecCard) -> str:
    """What a card is for within its family; empty for all of it."""
    return fitting.scope_words(card)


@register.filter
def reading_row(reading: Reading) -> queries.ReadingRow:
    """A reading with its sentence and its picture."""
    return queries.reading_row(reading)


@register.simple_tag
def plain_unit(row: Row) -> SafeString:
    """The choice of a row's unit, where nothing is wrong with it."""
    name = f"{row.line.key}-unit"
    chosen = row.unit.chosen
    options = [(key, SELECTED if key == chosen else NOTHING, label) for key, label in row.unit.offered]
    drawn = each_filled('<option value="{}"{}>{}</option>', options)
    return filled('<select name="{}" id="id_{}">{}</select>', name, name, drawn)


SELECTED = filled(" selected")


@register.simple_tag
def plain_value(cell: CellForm) -> SafeString:
    """The control of a cell's value, where nothing is wrong with it."""
    return _figure(cell, "value")


@register.simple_tag
def plain_extremes(cell: CellForm) -> SafeString:
    """The controls of the lowest and the highest value of a cell, where nothing is wrong with them."""
    return each_filled(
        '<span class="control"><label for="id_{}-{}">{}<span class="visually-hidden"> of {}</span></label>{}</span>\n',
        [
            (cell.prefix, name, words, cell.label, _figure(cell, name))
            for name, words in (("minimum", "Lowest"), ("maximum", "Highest"))
        ],
    )


def _figure(cell: CellForm, name: str) -> SafeString:
    return filled(
        '<input type="text" name="{0}" value="{1}" id="id_{0}" maxlength="40" inputmode="decimal" autocomplete="off">',
        f"{cell.prefix}-{name}",
        cell.shown[name],
    )


@register.simple_tag
def known_of_cell(cell: CellForm) -> SafeString:
    """What is known of a value before it is read: its limits, what it was the last time, and a remark."""
    last = cell.last
    return joined(
        [
            filled("<span>{}</span>", cell.band) if cell.band else NOTHING,
            filled(
                '<a href="{}">read {}<span class="visually-hidden"> of {}</span>, {}</a>',
                last.url,
                last.shown,
                cell.label,
                date_words(localtime(last.at)),
            )
            if last
            else NOTHING,
            filled('<span class="remark">{}</span>', cell.remark) if cell.remark else NOTHING,
        ]
    )
