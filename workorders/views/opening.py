"""Opening a job on one screen.

Everything is one form. Its buttons say which step they are: finding and choosing a boat, one more concern, opening.
A step shows the screen again with everything that was typed; only the last one writes. It works without scripts, and
with them only the form is exchanged.
"""

from __future__ import annotations

import uuid
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from commands.envelope import together
from commands.refusals import Refused
from staff.models import Person
from staff.policy import Permission, permission_required
from staff.requests import signed_in
from vessels.log.chain import following_id
from web.typed import whole_number
from workorders.actions import open_job, take_in
from workorders.forms.opening import Choice, Opening, choice_of
from workorders.forms.twin_engines import next_engine_values, without_engine
from workorders.models import Job
from workorders.opening_from import Carried, carried_from
from workorders.queries.intake_lookup import found_for, known_of

AGAIN = "again"


@permission_required(Permission.OPEN_JOBS)
def open_page(request: HttpRequest) -> HttpResponse:
    """The one screen: find or add the boat, write the concern, open the job."""
    if request.method == "POST":
        return _step(request)
    text = request.GET.get("q", "")[:100]
    if request.htmx and request.htmx.target == "found":  # type: ignore[attr-defined]
        return render(request, "workorders/opening/found.html", {"text": text, "found": found_for(text)})
    carried = carried_from(request.GET.get("from", ""))
    opening = Opening(choice_of(carried.choice), kept=_carried(carried)) if carried else Opening(_asked_for(request))
    return _page(request, opening, text=text)


def _carried(carried: Carried) -> dict[str, Any]:
    """What stands in the form from the start, by the names of its fields."""
    return {
        "concern-0-text": carried.concern,
        "customer-name": carried.customer_name,
        "customer-phone": carried.phone,
        **({"technician": str(carried.technician_id)} if carried.technician_id is not None else {}),
    }


def _asked_for(request: HttpRequest) -> Choice:
    """The boat or customer that a link from elsewhere names."""
    if "new" in request.GET:
        return choice_of("new")
    for what, name in [("boat", "vessel"), ("customer", "customer")]:
        if request.GET.get(name):
            return choice_of(f"{what}:{request.GET[name]}")
    return Choice()


def _step(request: HttpRequest) -> HttpResponse:
    step = request.POST.get("step", "open")
    choice = choice_of(request.POST.get("choice", ""))
    if step == "usual":  # the Enter key: what it means depends on how far the person is
        step = "open" if choice.is_made else "find"
    concerns, engines = _count(request, "concerns"), _count(request, "engines")
    if step == "open":
        return _open(request, Opening(choice, data=request.POST, concerns=concerns, engines=engines))
    if step == "check":
        opening = Opening(choice, data=request.POST, concerns=concerns, engines=engines)
        opening.is_valid()
        return render(request, "workorders/opening/twins.html", {"opening": opening, "said": True})
    concerns += step == "concern"
    engines += step == "engine"
    if step == AGAIN:
        choice = Choice()
    elif step.startswith(("boat:", "customer:", "new")):
        choice = choice_of(step)
    kept = request.POST.dict()
    if step == "engine":
        kept |= next_engine_values(kept, engines)
    elif step.startswith("without-engine:"):
        kept, engines = without_engine(kept, engines, step)
    opening = Opening(choice, kept=kept, concerns=concerns, engines=engines)
    _put_focus(opening, step)
    return _page(request, opening, text=request.POST.get("q", "")[:100])


def _count(request: HttpRequest, name: str) -> int:
    number = whole_number(request.POST.get(name, "1"), digits=2)
    return 1 if number is None else number


def _put_focus(opening: Opening, step: str) -> None:
    """Where the person goes on after a step."""
    if step == "concern":
        form, name = opening.concerns[-1], "text"
    elif step == "engine":
        form, name = opening.engines[-1], "maker"
    elif opening.customer is not None:
        form, name = opening.customer, "name"
    elif opening.boat is not None:
        form, name = opening.boat, "name"
    elif opening.choice.is_made:
        form, name = opening.concerns[0], "text"
    else:
        return
    form.fields[name].widget.attrs["data-focus"] = ""
    form.fields[name].widget.attrs["data-focus-first"] = ""


def _open(request: HttpRequest, opening: Opening) -> HttpResponse:
    """Write everything or nothing."""
    if opening.is_valid():
        try:
            job = _opened(signed_in(request), opening, carried_from(request.POST.get("from", "")))
        except Refused as refusal:
            _place(refusal, opening)
        else:
            messages.success(request, f"Job {job.number} is open. Print the intake tag and tie it to the keys.")
            return redirect("workorders:job", job.number)
    return _page(request, opening, text=request.POST.get("q", "")[:100], status=422)


def _opened(by: Person, opening: Opening, carried: Carried | None) -> Job:
    """The job; what it was opened from learns of it in the same transaction."""
    with together():
        job = _made(by, opening)
        if carried is not None:
            carried.opened(by, job, following_id(_sent(opening), carried.key))
    return job


def _sent(opening: Opening) -> uuid.UUID:
    """The id that the form chose, or one that stays the same for this sending."""
    return opening.arrival.cleaned_data["entry_id"] or uuid.uuid4()


def _made(by: Person, opening: Opening) -> Job:
    arrival = dict(opening.arrival.cleaned_data)
    entry_id = arrival.pop("entry_id") or uuid.uuid4()
    vessel = opening.choice.vessel
    if vessel is not None:
        engines = {str(engine.pk): engine for engine in opening.fitted}
        read = [(form.engine, form.cleaned_data["shown"]) for form in opening.hours]
        said = [(text, engines.get(key)) for text, key in opening.said()]
        taken = opening.taken()
        with together():
            job = open_job(
                by=by,
                vessel=vessel,
                concerns=[*said, *((one.concern, engines.get(str(one.engine_id))) for one in taken)],
                hours=[(engine, shown) for engine, shown in read if shown is not None],
                entry_id=entry_id,
                **arrival,
            )
            for position, one in enumerate(taken, start=len(said) + 1):
                one.taken(by, job.lines.get(position=position), following_id(entry_id, one.key))
        return job
    told = [form for form in opening.engines if form.is_told]
    places = {f"new-{index}": told.index(form) for index, form in enumerate(opening.engines) if form in told}
    assert opening.boat is not None  # noqa: S101  (for the type checker: without a vessel there is a new boat)
    boat = {**opening.boat.answers(), "berth": arrival["spot"] if arrival["location"] in {"slip", "rack"} else ""}
    return take_in(
        by=by,
        customer=opening.choice.customer or (opening.customer.answers() if opening.customer else {}),
        boat=boat,
        engines=[form.answers() for form in told],
        concerns=[(text, places.get(key)) for text, key in opening.said()],
        entry_id=entry_id,
        **arrival,
    )


def _place(refusal: Refused, opening: Opening) -> None:
    """Put a refusal's sentences beside their fields, wherever on the screen those are."""
    aliases = {"concern": "concern-0-text", **{f"hours-{one.pk}": f"hours-{one.pk}-shown" for one in opening.fitted}}
    placed = False
    for name, sentence in refusal.fields.items():
        wanted = aliases.get(name, name)
        for form in opening.everything:
            for field in form.fields:
                if form.add_prefix(field) == wanted:
                    form.add_error(field, sentence)
                    placed = True
    if not placed:
        opening.arrival.add_error(None, refusal.sentence)


def _page(request: HttpRequest, opening: Opening, *, text: str = "", status: int = 200) -> HttpResponse:
    context: dict[str, Any] = {
        "opening": opening,
        "carried": carried_from(request.POST.get("from", "") or request.GET.get("from", "")),
        "choice": opening.choice,
        "text": text,
        "found": found_for(text) if not opening.choice.is_made else None,
        "known": known_of(opening.choice),
    }
    whole = not request.htmx or request.htmx.boosted  # type: ignore[attr-defined]
    template = "workorders/open.html" if whole else "workorders/opening/form.html"
    return render(request, template, context, status=status)
