"""The journal of what was done, for the owner: looked through, and taken along as a table."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, time, timedelta, tzinfo
from itertools import islice
from typing import Any

from django import forms
from django.apps import apps
from django.db.models import Q, QuerySet
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.utils import timezone
from django.utils.text import Truncator

from commands.models import Command
from staff.journal_words import ACTS, acts_words, changes_words, records_told
from staff.models import Person
from staff.policy import Permission, permission_required
from web.tables import streamed_table
from web.typed import moment_of, uuid_of

PAGE = 50
NEAR = timedelta(minutes=2)  # on the way, or clocks that differ a little
HEADINGS = (
    "received", "device's time", "act", "who", "device", "records", "result", "changes", "id", "record ids", "digest",
    "link",
)  # fmt: skip
CHUNK = 500


class JournalFilter(forms.Form):
    """What part of the journal is shown."""

    is_filter = True
    who = forms.ModelChoiceField(
        label="Who", queryset=Person.objects.order_by("name"), required=False, empty_label="everybody"
    )
    kind = forms.ChoiceField(label="Act", required=False)
    since = forms.DateField(label="From", required=False, widget=forms.DateInput(attrs={"type": "date"}))
    until = forms.DateField(label="To", required=False, widget=forms.DateInput(attrs={"type": "date"}))
    record = forms.CharField(label="Record", required=False, max_length=400, help_text="Choose one in the list below.")
    look = dict.fromkeys(["who", "kind", "since", "until", "record"], "third")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        kind = self.fields["kind"]
        assert isinstance(kind, forms.ChoiceField)  # noqa: S101  (declared above)
        kind.choices = [("", "every act"), *sorted(ACTS.items(), key=lambda one: one[1])]

    def clean(self) -> dict[str, Any]:
        """Days in the wrong order hold nothing between them: that is said, and neither is used."""
        data: dict[str, Any] = super().clean() or {}
        since, until = data.get("since"), data.get("until")
        if since and until and since > until:
            self.add_error("until", "“To” is before “From”, so neither day is used. Swap them, or empty one.")
            data["since"] = None
        return data

    def acts(self) -> QuerySet[Command]:
        """The acts that fit, newest first; a filter that makes no sense filters nothing."""
        self.is_valid()
        wanted = self.cleaned_data
        acts = Command.objects.select_related("actor").order_by("-received_at", "-id")
        if wanted.get("who"):
            acts = acts.filter(actor=wanted["who"])
        if wanted.get("kind"):
            acts = acts.filter(kind=wanted["kind"])
        if wanted.get("since"):
            acts = acts.filter(received_at__gte=_begin_of(wanted["since"]))
        if wanted.get("until"):
            acts = acts.filter(received_at__lt=_begin_of(wanted["until"] + timedelta(days=1)))
        if records := wanted.get("record", "").lower().split():
            acts = acts.filter(_about(records))
        return acts


def _about(records: Sequence[str]) -> Q:
    """Acts about any of these records; of one that is written ``record@act``, only those of that act."""
    found = Q()
    for one in records:
        record, _, kind = one.partition("@")
        found |= Q(records__contains=[record], kind=kind) if kind else Q(records__contains=[record])
    return found


@permission_required(Permission.MANAGE_STAFF)
def journal(request: HttpRequest) -> HttpResponse:
    """What was done, by whom and with what, newest first."""
    form = JournalFilter(request.GET)
    acts = form.acts()
    before, last = moment_of(request.GET.get("before", "")), uuid_of(request.GET.get("last", ""))
    if before is not None and last is not None:
        acts = acts.filter(received_at__lte=before).exclude(received_at=before, pk__gte=last)
    found = list(acts[: PAGE + 1])
    kept = request.GET.copy()
    for name in ("before", "last"):
        kept.pop(name, None)
    older = kept.copy()
    if len(found) > PAGE:
        older["before"], older["last"] = found[PAGE - 1].received_at.isoformat(), str(found[PAGE - 1].pk)
    context = {
        "form": form,
        "rows": _rows(found[:PAGE]),
        "next_url": f"?{older.urlencode()}" if len(found) > PAGE else "",
        "kept": kept.urlencode(),
    }
    return render(request, "staff/journal.html", context)


@dataclass(frozen=True)
class Row:
    """One act as the page shows it. ``sent_at`` is there where the device's clock says another time."""

    act: Command
    words: str
    changes: str
    records: list[tuple[str, str]]
    sent_at: datetime | None


def _rows(acts: Sequence[Command]) -> list[Row]:
    names = names_of({record for act in acts for record in [*act.records, *records_told(act.told)]})
    words = acts_words(acts)
    return [
        Row(
            act,
            words[act.pk],
            changes_words(act.told, names),
            [(record, names[record]) for record in act.records],
            act.at if act.at and abs(act.received_at - act.at) > NEAR else None,
        )
        for act in acts
    ]


def names_of(records: Collection[str]) -> dict[str, str]:
    """What records are called now, by their names in the journal: one query for each sort of record."""
    keys: dict[str, list[str]] = {}
    for record in records:
        label, _, key = record.partition(":")
        keys.setdefault(label, []).append(key)
    found = {}
    for label, wanted in keys.items():
        model = apps.get_model(label)
        told_by = [one.name for one in model._meta.fields if one.name == "entry"]  # a part of the log is called by it
        known = {str(one.pk): str(one) for one in model._default_manager.filter(pk__in=wanted).select_related(*told_by)}
        sort = str(model._meta.verbose_name)
        for key in wanted:
            called = Truncator(known.get(key, f"no. {key}, gone")).chars(60)
            says_it = sort.casefold().split()[-1] in called.casefold().split()
            words = called if says_it else f"{sort} {called}"
            found[f"{label}:{key}"] = words[:1].upper() + words[1:]
    return found


@permission_required(Permission.MANAGE_STAFF)
def journal_csv(request: HttpRequest) -> HttpResponseBase:
    """The same as a table to keep, whole, a row at a time."""
    acts = JournalFilter(request.GET).acts()
    return streamed_table("journal.csv", HEADINGS, _all_rows(acts, timezone.get_current_timezone()))


def _all_rows(acts: QuerySet[Command], zone: tzinfo) -> Iterator[list[str]]:
    """The rows of the table, in the shop's ``zone``: they are written when the request, and its zone, are gone."""
    for some in batched(acts.iterator(chunk_size=CHUNK), CHUNK):
        with timezone.override(zone):
            cells = _all_cells(some)
        yield from cells


def _all_cells(acts: Sequence[Command]) -> list[list[str]]:
    told = {record for act in acts for record in [*act.records, act.outcome, *records_told(act.told)] if record}
    names, words = names_of(told), acts_words(acts)
    return [_cells(act, words[act.pk], names) for act in acts]


def batched(acts: Iterable[Command], size: int) -> Iterator[list[Command]]:
    """So many of them at a time."""
    left = iter(acts)
    while some := list(islice(left, size)):
        yield some


def _cells(act: Command, words: str, names: Mapping[str, str]) -> list[str]:
    return [
        _shop_time(act.received_at),
        _shop_time(act.at) if act.at else "",
        words,
        str(act.actor or ""),
        act.device,
        "; ".join(names[record] for record in act.records),
        names.get(act.outcome, ""),
        changes_words(act.told, names),
        str(act.pk),
        " ".join(act.records),
        act.digest,
        act.link,
    ]


def _shop_time(at: datetime) -> str:
    """A moment by the shop's clock, ISO 8601 with its offset."""
    return timezone.localtime(at).isoformat(timespec="seconds")


def _begin_of(day: Any) -> datetime:
    return timezone.make_aware(datetime.combine(day, time.min))
