"""What kinds of entry there are. Upper floors register theirs, so that the log shows them without importing them."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from django.apps import apps
from django.db import models
from django.utils.safestring import SafeString

from staff.policy import Permission, may

if TYPE_CHECKING:
    from staff.models import Person
    from vessels.models import LogEntry


@dataclass(frozen=True)
class LogKind:
    """One kind of log entry.

    ``model`` is the label of the detail model (``"faults.Scan"``) or None for an entry without details.
    ``children`` are reverse names on the detail whose rows belong to the entry and its digest, in primary-key order.
    ``template`` renders the detail; it gets ``entry`` and ``detail``. ``select`` and ``prefetch`` are for the detail's
    queryset. Kinds that fill whole pages are read and drawn without models and templates: ``facts`` is a SELECT of
    ``entry_id`` and ``facts`` (a JSON object of what is shown) for the keys ``ANY(%(keys)s)``, and ``draw`` makes the
    markup of it. The facts of a page's entries are read in one query, whatever their kinds.
    ``hours_from`` says of those facts what the entry was read from, where its kind does not say it.
    ``evidence`` says that something is derived from it; only evidence and notes can be voided, because a
    change of a record is undone by changing the record again. ``aboard`` says that its engine or unit was in the boat
    then, so that neither was removed on a day before. ``to_amend`` is what voiding it needs, and
    ``to_amend_others`` what it needs besides where somebody else wrote it.
    """

    slug: str
    label: str
    icon: str = "log"
    model: str | None = None
    template: str = ""
    facts: str = ""
    draw: Callable[[Any], SafeString] | None = None
    select: tuple[str, ...] = ()
    prefetch: tuple[str, ...] = ()
    children: tuple[str, ...] = ()
    hours_from: Callable[[Any], str] | None = None
    evidence: bool = False
    aboard: bool = False
    to_amend: Permission = Permission.AMEND_FINDINGS
    to_amend_others: Permission = Permission.AMEND_FINDINGS

    def detail_model(self) -> type[models.Model] | None:
        """The model of the detail row."""
        return apps.get_model(self.model) if self.model else None


_kinds: dict[str, LogKind] = {}


def register(*kinds: LogKind) -> None:
    """Make kinds known; called from an app's ``ready``."""
    for kind in kinds:
        known = _kinds.get(kind.slug)
        if known is not None and known != kind:
            raise ValueError(f"two kinds of log entry are called {kind.slug!r}")
        _kinds[kind.slug] = kind


def kind_of(slug: str) -> LogKind:
    """The kind with this slug; an unknown one (an app removed) still shows as itself."""
    return _kinds.get(slug) or LogKind(slug=slug, label=slug.replace("-", " ").capitalize())


def needed_to_void(by: Person, entry: LogEntry) -> Permission:
    """What this person needs to void the entry, or to put another in its place.

    What everybody may write, nobody takes from somebody else by that alone: it takes a role that stands for the record.
    """
    kind = kind_of(entry.kind)
    is_own = entry.author_id == by.pk
    return kind.to_amend if is_own or not may(by, kind.to_amend) else kind.to_amend_others


def all_kinds() -> Iterable[LogKind]:
    """Every registered kind, by label."""
    return sorted(_kinds.values(), key=lambda kind: kind.label)


_amendment_listeners: list[Callable[[LogEntry], None]] = []


def on_amended(listener: Callable[[LogEntry], None]) -> None:
    """Have ``listener`` called with every entry that amends or voids another, in the transaction that adds it.

    Upper floors derive from evidence; this is how they learn that some of it no longer counts.
    """
    if listener not in _amendment_listeners:
        _amendment_listeners.append(listener)


def tell_amended(entry: LogEntry) -> None:
    """Tell every listener about an entry that amends another."""
    for listener in _amendment_listeners:
        listener(entry)


NO_JOBS = "SELECT NULL::bigint AS id, NULL::bigint AS number, NULL::bigint AS vessel_id WHERE false"

_jobs: list[str] = []


def register_jobs(select: str) -> None:
    """Say what the jobs are that entries name: a SELECT of ``id``, ``number`` and ``vessel_id``, without conditions."""
    _jobs[:] = [select]


def jobs_select() -> str:
    """That SELECT; one of no rows where no floor above keeps jobs."""
    return _jobs[0] if _jobs else NO_JOBS
