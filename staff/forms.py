"""Forms of people, shop and login."""

from __future__ import annotations

from functools import partial
from typing import Any, ClassVar
from zoneinfo import available_timezones

from allauth.account.forms import ChangePasswordForm, LoginForm
from allauth.core import context
from django import forms
from django.contrib.auth.password_validation import validate_password
from django.core.files.uploadedfile import UploadedFile
from django.http import HttpRequest, HttpResponse

from commands.envelope import was_done
from commands.refusals import Refused
from staff.actions import choose_password
from staff.doors.own_word import AsksAgain, prove
from staff.doors.sessions import SHARED, on_device
from staff.logos import LogoProblem, letterhead_png
from staff.models import Person, ShopProfile
from web.fields import FigureField
from web.typed import sent_id

PASSWORD_HINT = "Ten characters or more. Four words that do not belong together are easy to remember and hard to guess."  # noqa: S105


class LogInForm(LoginForm):  # type: ignore[misc]
    """User name and password."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["login"].label = "User name"
        self.fields["login"].widget.attrs.update(
            {"autocapitalize": "none", "spellcheck": "false", "data-focus-first": ""}
        )
        self.fields["password"].help_text = ""
        for field in self.fields.values():
            field.widget.attrs.pop("placeholder", None)
        self.fields["shared"] = forms.BooleanField(
            label="Other people use this device as well",
            required=False,
            help_text="You are then logged out soon after you stop using it.",
            initial=self.request.COOKIES.get(SHARED) == "1",
        )

    def login(self, request: HttpRequest, redirect_url: str | None = None) -> HttpResponse:
        """Go on to the second factor or in, and remember whose device this is."""
        log_in = partial(super().login, request, redirect_url=redirect_url)
        return on_device(request, log_in, is_shared=self.cleaned_data["shared"])


class OwnPasswordForm(ChangePasswordForm):  # type: ignore[misc]
    """A new password of one's own, with the old one as proof."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        labels = {"oldpassword": "Your password now", "password1": "New password", "password2": "New password again"}
        for name, label in labels.items():
            self.fields[name].label = label
            self.fields[name].help_text = ""
            self.fields[name].widget.attrs.pop("placeholder", None)
        self.fields["password1"].help_text = PASSWORD_HINT

    def clean_oldpassword(self) -> str:
        """Asked as everywhere, so that guesses count together wherever they are made."""
        typed = str(self.cleaned_data["oldpassword"])
        is_again = was_done(sent_id(context.request), "choose_password")
        try:  # a form that arrives again is proven by the new password: the old one holds no longer
            prove(context.request, self.data.get("password1", "") if is_again else typed, field="oldpassword")
        except Refused as refusal:
            raise forms.ValidationError(refusal.sentence) from refusal
        return typed

    def clean(self) -> dict[str, Any]:
        """Change it, when all is right: the action knows what else a password must not be."""
        data: dict[str, Any] = super().clean() or {}
        if self.errors:
            return data
        try:
            choose_password(
                by=self.user,
                password=data["password1"],
                session_key=context.request.session.session_key,
                entry_id=sent_id(context.request),
            )
        except Refused as refusal:
            self.add_error("password1", refusal.fields.get("password", refusal.sentence))
        return data

    def save(self) -> None:
        """It is done."""


def _password_field(label: str, hint: str = "") -> forms.CharField:
    return forms.CharField(
        label=label,
        help_text=hint,
        strip=False,
        max_length=200,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )


class PersonForm(AsksAgain, forms.ModelForm):  # type: ignore[type-arg]
    """A person as the owner enters them. The view saves by an action, so ``save`` is never called."""

    seen_version = forms.IntegerField(widget=forms.HiddenInput)
    sections: ClassVar[list[tuple[str, str, list[str]]]] = [
        ("Who", "", ["name", "email", "qualification", "license_number"]),
        ("What they do", "The role decides what they see and may change.", ["role"]),
        ("Login", "", ["username", "is_active"]),
        ("Yourself", "Confirm that it is you: somebody else could be using this open page.", ["own_word"]),
    ]
    look: ClassVar[dict[str, str]] = {
        "name": "half",
        "email": "half",
        "username": "half",
        "role": "",
        "own_word": "half",
    }

    class Meta:
        model = Person
        fields = ("name", "qualification", "license_number", "email", "role", "username", "is_active")
        widgets: ClassVar[dict[str, Any]] = {
            "role": forms.RadioSelect,
            "username": forms.TextInput(attrs={"autocapitalize": "none", "spellcheck": "false", "autocomplete": "off"}),
        }
        help_texts: ClassVar[dict[str, str]] = {
            "username": "What they type to log in: lowercase letters, such as rosa.",
            "is_active": "Unless this is selected, they cannot log in. Their name stays in log, jobs and reports.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        role = self.fields["role"]
        assert isinstance(role, forms.ChoiceField)  # noqa: S101  (for the type checker: the widget above is a choice's)
        role.choices = Person.ROLES
        self.initial["seen_version"] = self.instance.version

    def clean_username(self) -> str:
        """Capitals are taken for what they mean."""
        return str(self.cleaned_data["username"]).strip().lower()

    @property
    def changes(self) -> dict[str, Any]:
        """What the action gets."""
        return {name: self.cleaned_data[name] for name in self.Meta.fields if name in self.cleaned_data}


class NewPersonForm(PersonForm):
    """A new person, with a first password."""

    password = _password_field("First password", PASSWORD_HINT + " They have to change it when they first log in.")
    sections: ClassVar[list[tuple[str, str, list[str]]]] = [
        *PersonForm.sections[:2],
        ("Login", "Give them both; the password is not shown again.", ["username", "password"]),
        PersonForm.sections[-1],
    ]
    look: ClassVar[dict[str, str]] = {**PersonForm.look, "password": "two-thirds"}

    class Meta(PersonForm.Meta):
        fields = ("name", "qualification", "email", "role", "username")  # type: ignore[assignment]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        del self.fields["seen_version"]

    def validate_unique(self) -> None:
        """Whether the user name is taken is the action's to say: it knows whether this very form took it."""


class PasswordForm(AsksAgain):
    """A password that the owner sets for somebody."""

    look: ClassVar[dict[str, str]] = {"own_word": "half"}

    password = _password_field("New password", PASSWORD_HINT)
    again = _password_field("New password again")

    def __init__(self, *args: Any, person: Person, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.person = person

    def clean_password(self) -> str:
        """As strong as everybody's has to be."""
        password: str = self.cleaned_data["password"]
        validate_password(password, self.person)
        return password

    def clean(self) -> dict[str, Any]:
        """Typed the same twice."""
        data = self.cleaned_data
        if "password" in data and "again" in data and data["password"] != data["again"]:
            self.add_error("again", "This is not the same as above. Type the new password twice.")
        return super().clean()


def _zones() -> list[tuple[str, list[tuple[str, str]]]]:
    """Time zones, those of the United States first."""
    known = sorted(
        zone for zone in available_timezones() if "/" in zone and not zone.startswith(("Etc/", "posix", "right"))
    )
    known.append("UTC")
    near = [
        ("America/New_York", "Eastern"),
        ("America/Chicago", "Central"),
        ("America/Denver", "Mountain"),
        ("America/Phoenix", "Mountain, no daylight saving"),
        ("America/Los_Angeles", "Pacific"),
        ("America/Anchorage", "Alaska"),
        ("Pacific/Honolulu", "Hawaii"),
        ("America/Puerto_Rico", "Atlantic, Puerto Rico"),
    ]
    first = [(zone, f"{words} ({zone})") for zone, words in near]
    named = {zone for zone, _ in near}
    rest = [(zone, zone.replace("_", " ")) for zone in known if zone not in named]
    return [("United States", first), ("Elsewhere", rest)]


class ShopForm(AsksAgain, forms.ModelForm):  # type: ignore[type-arg]
    """The shop's profile. The view saves by an action, so ``save`` is never called."""

    seen_version = forms.IntegerField(widget=forms.HiddenInput)
    new_logo = forms.FileField(
        label="Letterhead logo",
        required=False,
        help_text="PNG, JPEG or WebP, at most 5 MB. It is kept as a PNG no larger than a letterhead needs.",
        widget=forms.FileInput(attrs={"accept": "image/png,image/jpeg,image/webp"}),
    )
    second_factor_roles = forms.MultipleChoiceField(
        label="A second factor is required for",
        choices=Person.ROLES,
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="People of these roles set up an authenticator app or a passkey before anything else.",
    )
    remove_logo = forms.BooleanField(label="Remove the logo from the letterhead", required=False)
    sections: ClassVar[list[tuple[str, str, list[str]]]] = [
        ("Letterhead", "As printed on reports and intake tags.",
         ["name", "address", "phone", "email", "new_logo", "remove_logo"]),
        ("Figures", "", ["units", "paper", "time_zone"]),
        ("Money", "What the taxes are stands on a page of its own.",
         ["currency", "labor_rate", "labor_step"]),
        ("When a repair has held", "A fault that comes back before this is a comeback.", ["hold_hours", "hold_days"]),
        ("Condition reports", "", ["two_for_a_report"]),
        ("Technicians", "In a small shop everybody does everything. What is not selected is for the office alone.",
         ["technicians_open_jobs", "technicians_see_insight", "technicians_see_prices"]),
        ("Logins", "Nobody stays logged in for more than a week, or on a shared device for more than half a day.",
         ["second_factor_roles", "idle_minutes", "shared_idle_minutes"]),
        ("Yourself", "Confirm that it is you: somebody else could be using this open page.", ["own_word"]),
    ]  # fmt: skip
    look: ClassVar[dict[str, str]] = {
        "phone": "half", "email": "half", "time_zone": "half", "currency": "half",
        "labor_rate": "half", "labor_step": "half", "hold_hours": "half", "hold_days": "half", "idle_minutes": "half",
        "shared_idle_minutes": "half", "own_word": "half",
    }  # fmt: skip
    units: ClassVar[dict[str, str]] = {
        "hold_hours": "h",
        "hold_days": "days",
        "idle_minutes": "min",
        "shared_idle_minutes": "min",
        "labor_rate": "per h",
    }

    class Meta:
        model = ShopProfile
        fields = (
            "name", "address", "phone", "email", "units", "paper", "time_zone", "currency",
            "labor_rate", "labor_step", "hold_hours", "hold_days", "two_for_a_report",
            "technicians_open_jobs", "technicians_see_insight", "technicians_see_prices",
            "second_factor_roles", "idle_minutes", "shared_idle_minutes",
        )  # fmt: skip
        widgets: ClassVar[dict[str, Any]] = {
            "units": forms.RadioSelect,
            "paper": forms.RadioSelect,
            "address": forms.Textarea(attrs={"rows": 3}),
        }
        labels: ClassVar[dict[str, str]] = {
            "labor_rate": "Labor rate",
            "labor_step": "Clocked hours are charged to the nearest",
            "hold_hours": "Fault stays away for, engine hours",
            "hold_days": "Or, where hours are unknown, days",
            "idle_minutes": "Log out when idle for",
            "shared_idle_minutes": "On a shared device when idle for",
        }
        field_classes: ClassVar[dict[str, Any]] = dict.fromkeys(["labor_rate", "hold_hours"], FigureField)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial["seen_version"] = self.instance.version
        self.fields["time_zone"] = forms.ChoiceField(
            label="Time zone", choices=_zones(), help_text="Times on pages and paper are shown in it."
        )
        if not self.instance.logo:
            del self.fields["remove_logo"]

    def clean_currency(self) -> str:
        """Capitals, however it was typed."""
        return str(self.cleaned_data["currency"]).strip().upper()

    def clean_new_logo(self) -> bytes | None:
        """The picture drawn anew, or nothing when no file was chosen."""
        upload = self.cleaned_data["new_logo"]
        if not isinstance(upload, UploadedFile):
            return None
        try:
            return letterhead_png(upload)
        except LogoProblem as problem:
            raise forms.ValidationError(str(problem)) from problem

    @property
    def changes(self) -> dict[str, Any]:
        """What the action gets, without the logo."""
        return {name: self.cleaned_data[name] for name in self.Meta.fields}
