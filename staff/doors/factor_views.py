"""Pages of second factors: what one has, adding and removing, and the step at the login."""

from __future__ import annotations

import base64
from functools import partial
from typing import Any

from allauth.account.models import Login
from allauth.account.utils import get_next_redirect_url
from allauth.mfa.adapter import get_adapter
from allauth.mfa.base.views import AuthenticateView
from allauth.mfa.models import Authenticator
from allauth.mfa.recovery_codes.internal.auth import RecoveryCodes
from allauth.mfa.totp.internal.auth import TOTP, clear_totp_secret
from allauth.mfa.webauthn.internal import auth as webauthn
from allauth.mfa.webauthn.internal.flows import perform_passwordless_login
from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.db import transaction
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.http import urlencode

from staff.doors import factors
from staff.doors.client import counted_address
from staff.doors.events import note, tell
from staff.doors.forms import (
    AppForm,
    CodeForm,
    OwnWordForm,
    PasskeyCheckForm,
    PasskeyForm,
    PasskeyLoginForm,
    for_script,
)
from staff.doors.limits import LOGIN_FORMS
from staff.doors.sessions import on_device
from staff.models import Person
from staff.policy import Permission, permission_required
from staff.requests import signed_in
from web.submission import Submission

PAGE = "staff:factors"


@permission_required(Permission.SEE_RECORDS)
def overview(request: HttpRequest) -> HttpResponse:
    """What the person has, and what can be added."""
    person = signed_in(request)
    kept = list(factors.factors_of(person))
    context = {
        "kept": [(factor, factors.name_of(factor)) for factor in kept],
        "has_app": any(factor.type == factors.APP for factor in kept),
        "codes_left": factors.codes_left(person),
        "is_needed": factors.is_needed(person),
        "passkeys_work": factors.passkeys_work_at(request),
    }
    return render(request, "staff/factors.html", context)


@permission_required(Permission.SEE_RECORDS)
def add_app(request: HttpRequest) -> HttpResponse:
    """Set up an authenticator app: the square to read, and a code as proof that it was read."""
    person = signed_in(request)
    if factors.factors_of(person).filter(type=factors.APP).exists():
        messages.info(request, "You already have an authenticator app. Remove it first to set up another.")
        return redirect(PAGE)
    form = AppForm(request.POST if request.method == "POST" else None, user=person, asked=request)
    if request.method == "POST" and form.is_valid():
        with transaction.atomic():
            TOTP.activate(person, form.secret)
            factors.added(person, "Authenticator app", session_key=request.session.session_key)
        clear_totp_secret(request)
        return _to_codes(request, person)
    adapter = get_adapter()
    picture = adapter.build_totp_svg(adapter.build_totp_url(person, form.secret))
    context = {
        "form": form,
        "secret": " ".join(form.secret[start : start + 4] for start in range(0, len(form.secret), 4)),
        "picture": "data:image/svg+xml;base64," + base64.b64encode(picture.encode()).decode(),
    }
    return render(request, "staff/factor_app.html", context, status=422 if form.errors else 200)


@permission_required(Permission.SEE_RECORDS)
def add_passkey(request: HttpRequest) -> HttpResponse:
    """Set up a passkey: the browser asks the device, and sends what it made."""
    person = signed_in(request)
    if not factors.passkeys_work_at(request):
        messages.info(request, "Browsers make passkeys only where the address begins with https and has a name.")
        return redirect(PAGE)
    form = PasskeyForm(request.POST if request.method == "POST" else None, user=person, asked=request)
    if request.method == "POST" and form.is_valid():
        name = str(form.cleaned_data["name"])
        with transaction.atomic():
            webauthn.WebAuthn.add(person, name, form.cleaned_data["credential"])
            factors.added(person, name, session_key=request.session.session_key)
        return _to_codes(request, person)
    options = for_script(factors.passkey_options(webauthn.begin_registration(person, passwordless=False)))
    context = {"form": form, "options": options}
    return render(request, "staff/factor_passkey.html", context, status=422 if form.errors else 200)


def _to_codes(request: HttpRequest, person: Person) -> HttpResponse:
    """After a first factor the recovery codes are shown; after another one they are known already."""
    if factors.codes_left(person) is None:
        RecoveryCodes.activate(person)
        return redirect("staff:factor_codes")
    messages.success(request, "Added. From now on you are asked for it after your password.")
    return redirect(PAGE)


@permission_required(Permission.SEE_RECORDS)
def codes(request: HttpRequest) -> HttpResponse:
    """New recovery codes: shown once, right after they were made."""
    person = signed_in(request)
    if not factors.has_factor(person):
        return redirect(PAGE)
    form = OwnWordForm(request.POST if request.method == "POST" else None, asked=request)
    if request.method == "POST" and form.is_valid():
        with transaction.atomic():
            Person.objects.select_for_update().get(pk=person.pk)
            Authenticator.objects.filter(user_id=person.pk, type=factors.CODES).delete()
            RecoveryCodes.activate(person)
            note("codes-made", person, by=person)
        return redirect("staff:factor_codes")
    kept = Authenticator.objects.filter(user_id=person.pk, type=factors.CODES).first()
    fresh: list[str] = []
    if request.method == "GET" and kept and not kept.wrap().did_view:
        fresh = kept.wrap().get_unused_codes()
        kept.wrap().mark_as_viewed()
    context = {"form": form, "fresh": fresh, "left": factors.codes_left(person)}
    return render(request, "staff/factor_codes.html", context, status=422 if form.errors else 200)


@permission_required(Permission.SEE_RECORDS)
def remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Remove one of one's own."""
    person = signed_in(request)
    factor = get_object_or_404(factors.factors_of(person), pk=pk)
    form = OwnWordForm(request.POST if request.method == "POST" else None, asked=request)
    sending = Submission(request, form)
    if sending.save(lambda: factors.remove_factor(by=person, factor=factor)):
        messages.success(request, "Removed. It can no longer be used to log in.")
        return redirect(PAGE)
    return sending.page("staff/factor_remove.html", name=factors.name_of(factor))


@permission_required(Permission.MANAGE_STAFF)
def reset(request: HttpRequest, pk: int) -> HttpResponse:
    """Remove the second factors of somebody who lost them."""
    person = get_object_or_404(Person, pk=pk)
    form = OwnWordForm(request.POST if request.method == "POST" else None, asked=request)
    sending = Submission(request, form)
    if sending.save(lambda: factors.reset_factors(by=signed_in(request), person=person)):
        messages.success(request, f"{person.name} logs in with the password alone now, and is told that you did this.")
        return redirect("staff:person", person.pk)
    return sending.page("staff/factors_reset.html", person=person)


class SecondStepView(AuthenticateView):  # type: ignore[misc]
    """The second step of the login."""

    form_class = CodeForm
    webauthn_form_class = PasskeyCheckForm
    template_name = "account/second_step.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        """What the browser's script needs for a passkey, where the person has one."""
        context: dict[str, Any] = super().get_context_data(**kwargs)
        person = self.stage.login.user
        has_passkey = factors.factors_of(person).filter(type=factors.PASSKEY).exists()
        context["options"] = for_script(context["js_data"]["request_options"]) if has_passkey else ""
        context["has_codes"] = Authenticator.objects.filter(user_id=person.pk).exclude(type=factors.PASSKEY).exists()
        return context


second_step = SecondStepView.as_view()


@login_not_required
def passkey_login(request: HttpRequest) -> HttpResponse:
    """Log in with a passkey alone: GET gives the browser's script what to ask the device for, POST takes its answer."""
    if request.user.is_authenticated:
        return redirect("today")
    if not LOGIN_FORMS.take(counted_address(request)):
        tell("too many logins from one address")
        return render(request, "429.html", status=429)
    if request.method != "POST":
        if not factors.passkeys_work_at(request) or request.headers.get("Accept") != "application/json":
            return redirect("account_login")
        answer = JsonResponse(dict(webauthn.begin_authentication()))
        answer["Cache-Control"] = "private, no-store"
        return answer
    form = PasskeyLoginForm(request.POST)
    where_to = get_next_redirect_url(request)
    if not form.is_valid():
        for said in form.errors.get("credential", []):
            messages.error(request, said)
        asked = urlencode({"next": where_to}) if where_to else ""
        return redirect(f"{reverse('account_login')}{'?' if asked else ''}{asked}")
    factor = form.cleaned_data["credential"]
    login = Login(user=factor.user, redirect_url=where_to)
    log_in = partial(perform_passwordless_login, request, factor, login)
    return on_device(request, log_in, is_shared=bool(request.POST.get("shared")))
