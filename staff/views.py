"""Pages of people, shop and login."""

from __future__ import annotations

from typing import Any

from allauth.account.views import LoginView, LogoutView, PasswordChangeView
from django.contrib import messages
from django.contrib.auth import logout, update_session_auth_hash
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render

from staff.actions import add_person, change_person, change_shop, set_password
from staff.doors.client import counted_address
from staff.doors.events import tell
from staff.doors.factors import has_factor, passkeys_work_at
from staff.doors.limits import LOGIN_FORMS
from staff.forms import LogInForm, NewPersonForm, OwnPasswordForm, PasswordForm, PersonForm, ShopForm
from staff.models import Person, Session
from staff.policy import ALLOWED, Permission, Role, permission_required
from staff.queries import account_events, everybody, given_passwords, shop_profile
from staff.requests import signed_in
from web.submission import Submission
from web.typed import sent_id


@permission_required(Permission.MANAGE_STAFF)
def people(request: HttpRequest) -> HttpResponse:
    """Who works here, who used to, and what each role may do."""
    everyone = list(everybody())
    context = {
        "here": [person for person in everyone if person.is_active],
        "gone": [person for person in everyone if not person.is_active],
        "roles": Person.ROLES,
        "permissions": [
            (permission.value, [(label, Role(role) in allowed) for role, label in Person.ROLES])
            for permission, allowed in ALLOWED.items()
        ],
    }
    return render(request, "staff/people.html", context)


@permission_required(Permission.MANAGE_STAFF)
def person_add(request: HttpRequest) -> HttpResponse:
    """Add a person."""
    form = NewPersonForm(request.POST or None, asked=request)
    sending = Submission(request, form)
    added: list[Person] = []

    def act() -> None:
        password = form.cleaned_data["password"]
        added.append(add_person(by=signed_in(request), password=password, entry_id=sent_id(request), **form.changes))

    if sending.save(act):
        messages.success(
            request,
            f"{added[0].name} can log in now, with the user name {added[0].username}, and then chooses a password of "
            "their own.",
        )
        return redirect("staff:list")
    return sending.page("staff/person_add.html")


@permission_required(Permission.MANAGE_STAFF)
def person_change(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a person, or say that they do not work here any more."""
    person = get_object_or_404(Person, pk=pk)
    form = PersonForm(request.POST or None, instance=Person.objects.get(pk=pk), asked=request)
    context = {"person": person, "events": account_events(person), "has_factor": has_factor(person)}
    sending = Submission(request, form, record=person)

    def act() -> None:
        change_person(
            by=signed_in(request),
            person=person,
            changes=form.changes,
            seen_version=form.cleaned_data["seen_version"],
            entry_id=sent_id(request),
        )

    if sending.save(act):
        messages.success(request, f"{person.name} is saved.")
        if person == request.user and not Session.objects.filter(pk=request.session.session_key).exists():
            logout(request)  # one's own role changed, which ends all of one's sessions
        return redirect("staff:list")
    return sending.page("staff/person_change.html", **context)


@permission_required(Permission.MANAGE_STAFF)
def person_password(request: HttpRequest, pk: int) -> HttpResponse:
    """Set a new password for somebody who forgot theirs."""
    person = get_object_or_404(Person, pk=pk)
    form = PasswordForm(request.POST or None, person=person, asked=request)
    sending = Submission(request, form)

    def act() -> None:
        password = form.cleaned_data["password"]
        set_password(by=signed_in(request), person=person, password=password, entry_id=sent_id(request))

    if sending.save(act):
        if person == request.user:
            update_session_auth_hash(request, person)
            messages.success(request, "Your password is changed. You are logged out on all other devices.")
        else:
            messages.success(
                request,
                f"{person.name} has a new password. Give it to them; it is not shown again. When they log in with "
                "it, they have to choose their own, and are told that you set it.",
            )
        return redirect("staff:list")
    return sending.page("staff/person_password.html", person=person)


@permission_required(Permission.MANAGE_SHOP)
def shop(request: HttpRequest) -> HttpResponse:
    """The shop's profile."""
    profile = shop_profile()
    form = ShopForm(request.POST or None, request.FILES or None, instance=shop_profile(), asked=request)
    sending = Submission(request, form, record=profile)

    def act() -> None:
        change_shop(
            by=signed_in(request),
            seen_version=form.cleaned_data["seen_version"],
            changes=form.changes,
            logo_png=form.cleaned_data["new_logo"],
            remove_logo=form.cleaned_data.get("remove_logo", False),
            entry_id=sent_id(request),
        )

    if sending.save(act):
        messages.success(request, "The shop profile is saved.")
        return redirect("staff:shop")
    return sending.page("staff/shop.html", profile=profile)


@permission_required(Permission.SEE_RECORDS)
def logo(request: HttpRequest) -> HttpResponseBase:
    """The letterhead logo as stored: always a PNG that this program drew."""
    picture = shop_profile().logo
    if not picture:
        raise Http404
    try:
        return FileResponse(picture.open("rb"), content_type="image/png")
    except OSError as problem:  # missing, or not the picture that was kept
        raise Http404 from problem


class LogInView(LoginView):  # type: ignore[misc]
    """The login, with a limit on how many forms one address may send."""

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        """Whether browsers offer passkeys here."""
        context: dict[str, Any] = super().get_context_data(**kwargs)
        return context | {"passkeys_work": passkeys_work_at(self.request)}

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        """Look at the form, unless too many came from here."""
        if not LOGIN_FORMS.take(counted_address(request)):
            tell("too many logins from one address")
            return render(request, "429.html", status=429)
        answer: HttpResponse = super().post(request, *args, **kwargs)
        return answer


class OwnPasswordView(PasswordChangeView):  # type: ignore[misc]
    """One's own password; whoever was given one is told by whom."""

    form_class = OwnPasswordForm

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        """Who gave the password that is to be changed."""
        person = signed_in(self.request)
        context: dict[str, Any] = super().get_context_data(**kwargs)
        return context | {"given": given_passwords(person) if person.password_is_temporary else []}


log_in = LogInView.as_view(form_class=LogInForm)
log_out = LogoutView.as_view()
own_password = OwnPasswordView.as_view()
