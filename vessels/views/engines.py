"""Pages of engines and their hour meters."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from engineering.hours import hours_words
from staff.policy import Permission, permission_required
from staff.requests import signed_in
from vessels.actions import add_engine, change_engine, log_hours, remove_engine, replace_meter
from vessels.forms import EngineForm, HoursForm, MeterForm, NewEngineForm, RemoveForm
from vessels.frames import vessel_frame
from vessels.hours import not_known_words, unread_since
from vessels.models import Engine, Vessel
from vessels.positions import next_position
from vessels.queries import latest_hours, units_with_identity
from vessels.queries.doubts import hours_in_doubt
from vessels.queries.hours_over_time import hours_over_time
from vessels.queries.lists import engines_with_hours
from vessels.views.hulls import vessel_or_404
from web.submission import Submission


def engine_or_404(pk: int) -> Engine:
    """The engine of a page, with its vessel and owner."""
    return get_object_or_404(Engine.objects.select_related("vessel", "vessel__owner", "family"), pk=pk)


@permission_required(Permission.SEE_RECORDS)
def engines(request: HttpRequest, pk: int) -> HttpResponse:
    """A vessel's engines with ratings and hours, and its control units."""
    boat = vessel_or_404(pk)
    units = list(units_with_identity(boat))
    fitted = engines_with_hours(boat, removed=None)
    context = {
        "vessel": boat,
        "frame": vessel_frame(request.user, boat, "vessels:engines"),
        "engines": [one for one in fitted if one.engine.removed_on is None],
        "removed": [one for one in fitted if one.engine.removed_on is not None],
        "units": [unit for unit in units if unit.removed_on is None],
        "removed_units": [unit for unit in units if unit.removed_on is not None],
    }
    return render(request, "vessels/engines.html", context)


@permission_required(Permission.EDIT_RECORDS)
def engine_add(request: HttpRequest, pk: int) -> HttpResponse:
    """Add an engine to a vessel."""
    boat = vessel_or_404(pk)
    taken = set(boat.engines.filter(removed_on=None).values_list("position", flat=True))
    begun = {"position": next_position(taken), **(_like_the_others(boat) if taken - {"generator"} else {})}
    form = NewEngineForm(request.POST if request.method == "POST" else None, initial=begun, boat=boat)
    sending = Submission(request, form)
    added: list[Engine] = []
    if sending.save(lambda: added.append(add_engine(by=signed_in(request), vessel=boat, **form.answers()))):
        messages.success(request, f"{added[0]} is added.")
        return redirect("vessels:engines", boat.pk)
    return sending.page("vessels/engine_add.html", vessel=boat)


def _like_the_others(boat: Vessel) -> dict[str, Any]:
    """What the engines of one boat have in common; each boat has its engines of one make."""
    other = boat.engines.filter(removed_on=None).exclude(position="generator").order_by("pk").last()
    if other is None:
        return {}
    return {"maker": other.maker, "model": other.model, "family": other.family_id, "fuel": other.fuel}


@permission_required(Permission.EDIT_RECORDS)
def engine_change(request: HttpRequest, pk: int) -> HttpResponse:
    """Change an engine's identity or ratings."""
    engine = engine_or_404(pk)
    form = EngineForm(request.POST if request.method == "POST" else None, record=engine)
    sending = Submission(request, form, record=engine)

    def act() -> None:
        change_engine(
            by=signed_in(request),
            engine=engine,
            seen_version=form.version,
            changes=form.changes(),
            new_family=form.cleaned_data["new_family"],
            entry_id=form.cleaned_data["entry_id"],
        )

    if sending.save(act):
        messages.success(request, "Saved. What changed is in the log.")
        return redirect("vessels:engines", engine.vessel_id)
    return sending.page("vessels/engine_change.html", engine=engine, vessel=engine.vessel)


@permission_required(Permission.EDIT_RECORDS)
def engine_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Remove an engine from its boat."""
    engine = engine_or_404(pk)
    form = RemoveForm(request.POST if request.method == "POST" else None)
    sending = Submission(request, form)
    if sending.save(lambda: remove_engine(by=signed_in(request), engine=engine, **form.answers())):
        messages.success(request, f"{engine} is removed. Its history stays in the log.")
        return redirect("vessels:engines", engine.vessel_id)
    return sending.page("vessels/remove.html", removed=engine)


@permission_required(Permission.SEE_RECORDS, to_post=Permission.EDIT_RECORDS)
def hours(request: HttpRequest, pk: int) -> HttpResponse:
    """An engine's hours over time, and the form to log a reading."""
    engine = engine_or_404(pk)
    form = HoursForm(request.POST if request.method == "POST" else None, engine=engine)
    sending = Submission(request, form)
    if sending.save(lambda: log_hours(by=signed_in(request), engine=engine, **form.answers())):
        last = latest_hours(engine)
        known = f" The engine has {hours_words(last.engine_hours)} now." if last and last.engine_hours else ""
        if since := unread_since(engine):
            known = f" {not_known_words(since)}"
        messages.success(request, f"Logged.{known}")
        return redirect("vessels:hours", engine.pk)
    return sending.page(
        "vessels/hours.html",
        engine=engine,
        vessel=engine.vessel,
        over_time=hours_over_time(engine),
        last=latest_hours(engine),
        doubts=hours_in_doubt([engine.pk]).get(engine.pk, []),
        not_known=not_known_words(since) if (since := unread_since(engine)) else "",
        meters=engine.meters.order_by("fitted_at", "pk"),
    )


@permission_required(Permission.EDIT_RECORDS)
def meter_replace(request: HttpRequest, pk: int) -> HttpResponse:
    """Fit another hour meter; the true hours go on."""
    engine = engine_or_404(pk)
    form = MeterForm(request.POST if request.method == "POST" else None)
    sending = Submission(request, form)
    if sending.save(lambda: replace_meter(by=signed_in(request), engine=engine, **form.answers())):
        since = unread_since(engine)
        goes_on = "The engine hours continue." if since is None else not_known_words(since)
        messages.success(request, f"The new meter is on record. {goes_on}")
        return redirect("vessels:hours", engine.pk)
    return sending.page("vessels/meter.html", engine=engine, vessel=engine.vessel, last=latest_hours(engine))
