"""The markup of log entries.

A page shows many entries, and a template costs more for each than the queries do: they are put together here, by
``filled``, which escapes all that goes into it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime

from django.template import Context
from django.template.loader import get_template
from django.urls import NoReverseMatch
from django.utils import timezone
from django.utils.safestring import SafeString
from django.utils.text import Truncator

from engineering.hours import hours_words
from vessels.log.afterwards import THAT_WAS_VOIDED, Later
from vessels.log.entries import RelatedEntry, ShownEntry
from vessels.log.evidence import RETRACTION
from vessels.wording import day_words, known_as, moment_words
from web.addresses import address_of
from web.icons import drawn_once as icon
from web.markup import NOTHING, each_filled, filled, joined


def entries_markup(entries: Iterable[ShownEntry]) -> SafeString:
    """The list of entries."""
    return filled('<ol class="entries">{}</ol>', joined(map(_item, entries)))


def _item(shown: ShownEntry) -> SafeString:
    css_classes = "entry" if shown.counts else "entry is-amended"
    return filled('<li class="{}" id="entry-{}">{}</li>', css_classes, shown.entry.pk, entry_markup(shown))


def entry_markup(shown: ShownEntry, *, is_alone: bool = False) -> SafeString:
    """The inside of one entry; ``is_alone`` where the page is the entry's own."""
    entry = shown.entry
    link = NOTHING
    if not is_alone:
        link = filled(
            '<a class="btn btn-quiet no-print" href="{}">Entry {}</a>',
            address_of("vessels:entry", entry.pk),
            entry.position,
        )
    return filled(
        '<div class="entry-when">{}</div><div class="entry-body"><p><span class="entry-kind">{} {}</span>{}</p>'
        "<p>{}</p>{}{}{}{}</div><div>{}</div>",
        when_markup(entry.happened_at, "" if entry.engine_hours is None else hours_words(entry.engine_hours)),
        icon(shown.kind.icon),
        shown.kind.label,
        _amendment_tags(shown),
        entry.summary,
        _detail(shown),
        filled('<p class="written">{}</p>', entry.text) if entry.text else NOTHING,
        _foot(shown),
        _related_entries(shown),
        link,
    )


def corrections_markup(notes: Sequence[Later], most_words: int = 0) -> SafeString:
    """The notes that say what is right, to stand beside what they correct; cut off after ``most_words`` if given."""
    return each_filled(
        '<span class="correction"><b>{}</b>: <span class="written">{}</span></span>',
        (
            (
                note.words[:1].upper() + note.words[1:],
                Truncator(note.text).words(most_words) if most_words else note.text,
            )
            for note in notes
        ),
    )


def when_markup(at: datetime, hours: str) -> SafeString:
    """The engine's hours in words, where they are known, and the moment."""
    local = timezone.localtime(at)
    return filled(
        '{}<time datetime="{}">{}</time>',
        filled('<span class="hours">{}</span>', hours) if hours else NOTHING,
        local.isoformat(),
        moment_words(local),
    )


def job_link(number: int) -> SafeString | str:
    """A job's number as a link, where the program has a page for jobs."""
    try:
        return filled('<a class="code" href="{}">{}</a>', address_of("workorders:job", number), number)
    except NoReverseMatch:
        return str(number)


def _amendment_tags(shown: ShownEntry) -> str:
    if shown.is_voided:
        return filled(' <span class="tag tag-signal">voided</span>')
    return filled(' <span class="tag tag-signal">corrected</span>') if shown.is_replaced else NOTHING


def _detail(shown: ShownEntry) -> SafeString:
    if not shown.detail:
        return NOTHING
    if shown.kind.draw is not None:
        inside = shown.kind.draw(shown.detail)
    else:
        context = Context({"entry": shown.entry, "detail": shown.detail})
        inside = get_template(shown.kind.template).template.render(context)  # type: ignore[attr-defined]
    return filled('<div class="entry-detail">{}</div>', inside) if inside else NOTHING


def _foot(shown: ShownEntry) -> SafeString:
    entry, late = shown.entry, shown.late
    return filled(
        '<div class="entry-foot"><span>{}</span>{}{}{}</div>',
        entry.author,
        filled(" <span>{}</span>", entry.engine) if entry.engine else NOTHING,
        filled(" <span>job {}</span>", job_link(entry.job_number)) if entry.job_number else NOTHING,
        filled(' <span class="tag tag-soft">recorded {} later</span>', late) if late else NOTHING,
    )


def _related_entries(shown: ShownEntry) -> SafeString:
    """What it amends, and what amends it."""
    parts: list[SafeString] = []
    if shown.amended is not None:
        parts.append(
            filled(
                '<div class="entry-foot"><span>{} {} <a href="{}">“{}”</a> of {}</span></div>',
                icon("arrow-up"),
                "Voids" if shown.entry.kind == RETRACTION else "Corrects",
                address_of("vessels:entry", shown.amended.pk),
                Truncator(known_as(shown.amended)).chars(90),
                day_words(shown.amended.happened_at),
            )
        )
    parts += [
        filled(
            '<div class="entry-foot"><span>{} <a href="{}">{}</a> by {}, {}{}</span></div>',
            icon("arrow-down"),
            address_of("vessels:entry", later.pk),
            "Voided" if later.kind == RETRACTION else "Corrected",
            later.author,
            day_words(later.recorded_at),
            _later_text(later),
        )
        for later in shown.amendments
    ]
    return joined(parts)


def _later_text(later: RelatedEntry) -> str:
    """What was written with it; of a correction that was voided, that it was, as nobody says any more that it is so."""
    if later.is_void:
        return f" {THAT_WAS_VOIDED}"
    return f": {Truncator(later.text).chars(140)}" if later.text else ""
