"""The tiles of the board for its template."""

from django import template

from workorders.drawing import drawn_tiles

register = template.Library()
register.simple_tag(drawn_tiles, name="tiles")
