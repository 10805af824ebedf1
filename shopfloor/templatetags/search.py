"""What the search page draws with."""

from __future__ import annotations

from django import template

from shopfloor.search.markup import hits_markup

register = template.Library()
register.simple_tag(hits_markup, name="search_hits")
