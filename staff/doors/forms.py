"""Forms of second factors."""

from __future__ import annotations

import json
from typing import Any

from allauth.core import context
from allauth.mfa.base.forms import AuthenticateForm
from allauth.mfa.totp.forms import ActivateTOTPForm
from allauth.mfa.webauthn.forms import AddWebAuthnForm, AuthenticateWebAuthnForm, LoginWebAuthnForm
from allauth.mfa.webauthn.internal.auth import parse_authentication_response
from django import forms
from django.http import HttpRequest

from commands.refusals import Refused
from staff.doors.client import counted_address
from staff.doors.events import tell
from staff.doors.factors import matching_factor
from staff.doors.limits import PASSKEY_LOGINS, SECOND_FACTORS, Attempt
from staff.doors.own_word import AsksAgain, own_word_field, own_word_hint, prove
from staff.models import Person

LONGEST_CREDENTIAL, MOST_PARTS = 20_000, 50
TOO_OFTEN = "Too many wrong codes. Wait five minutes, then try again."
CODE_ATTRIBUTES = {"inputmode": "numeric", "autocomplete": "one-time-code", "spellcheck": "false"}


class CredentialField(forms.JSONField):
    """What a device made, as the browser's script sends it: small, flat, and nothing that cannot be stored."""

    def __init__(self) -> None:
        super().__init__(label="Passkey", widget=forms.HiddenInput)
        self.error_messages["required"] = "Nothing came from the device. Try again."

    def to_python(self, value: Any) -> Any:
        """Refuse what no device makes before it is read."""
        said = str(value or "")
        if len(said) > LONGEST_CREDENTIAL or said.count("[") + said.count("{") > MOST_PARTS or "\\u0000" in said:
            raise forms.ValidationError("What came from the device is not a passkey. Try again.")
        return super().to_python(value)

    def bound_data(self, data: Any, initial: Any) -> None:
        """Never shown again: what a device made is good once."""

    def prepare_value(self, value: Any) -> str:
        """Empty until the device has made something."""
        return ""


def _begin(person: Person) -> Attempt:
    """Count one try at the second factor."""
    attempt = SECOND_FACTORS.attempt(str(person.pk), counted_address(context.request), person)
    if attempt is None:
        tell("second factor locked", person=person)
        raise forms.ValidationError(TOO_OFTEN)
    return attempt


class CodeForm(AuthenticateForm):  # type: ignore[misc]
    """The code of the app, or a recovery code, at the login."""

    look = {"code": "half"}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["code"] = forms.CharField(
            label="Code",
            max_length=20,
            help_text="The six digits that your authenticator app shows now, or one of your recovery codes.",
            widget=forms.TextInput(attrs={**CODE_ATTRIBUTES, "data-focus-first": ""}),
        )

    def clean_code(self) -> str:
        """Whether it is one; counted before it is looked at."""
        code = str(self.cleaned_data["code"])
        attempt = _begin(self.user)
        factor = matching_factor(self.user, code)
        if factor is None:
            tell("second factor wrong", person=self.user)
            raise forms.ValidationError("This code is not correct. Wait for the next one and type that.")
        attempt.was_right()
        self.authenticator = factor
        return code


class PasskeyCheckForm(AuthenticateWebAuthnForm):  # type: ignore[misc]
    """A passkey at the login."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["credential"] = CredentialField()

    def clean_credential(self) -> Any:
        """Whether it is one of this person's."""
        attempt = _begin(self.user)
        try:
            factor = super().clean_credential()
        except (forms.ValidationError, ValueError, TypeError, KeyError, AttributeError) as problem:
            tell("second factor wrong", person=self.user)
            raise forms.ValidationError("This passkey is not accepted. Try again, or use a code.") from problem
        attempt.was_right()
        return factor


class PasskeyLoginForm(LoginWebAuthnForm):  # type: ignore[misc]
    """A passkey at the login, without a user name and a password: it says itself whose it is.

    It counts for both only where the device knew the person. The device signs that it did, so it is looked at here,
    whatever the page that asked for the passkey wanted. Tries are counted by address alone: nobody can guess a
    signature, and a limit by person would let anyone who knows a name keep that person out.
    """

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["credential"] = CredentialField()

    def clean_credential(self) -> Any:
        """Whose passkey it is."""
        address = counted_address(context.request)
        if not PASSKEY_LOGINS.take(address):
            tell("login locked", how="passkey")
            raise forms.ValidationError("Too many failed attempts. Wait five minutes, then try again.")
        try:
            factor = super().clean_credential()
            shown = parse_authentication_response(self.cleaned_data["credential"]).response.authenticator_data
        except (forms.ValidationError, ValueError, TypeError, KeyError, AttributeError) as problem:
            tell("login failed", how="passkey")
            raise forms.ValidationError(
                "This passkey is not accepted here. Log in with your user name and password."
            ) from problem
        if not shown.is_user_verified():
            tell("login failed", person=factor.user, how="passkey without knowing the person")
            raise forms.ValidationError(
                "This passkey did not check that it is you, by fingerprint, face or PIN. "
                "Log in with your user name and password, and use it as the second step."
            )
        PASSKEY_LOGINS.give_back(address)
        return factor


class AppForm(AsksAgain, ActivateTOTPForm):  # type: ignore[misc]
    """The first code of an app that was just set up."""

    look = {"code": "half", "own_word": "half"}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["code"].label = "Code that the app shows now"
        self.fields["code"].widget = forms.TextInput(attrs=CODE_ATTRIBUTES)

    def clean_code(self) -> str:
        """Spaces do not matter."""
        self.cleaned_data["code"] = "".join(str(self.cleaned_data["code"]).split())
        return str(super().clean_code())


class PasskeyForm(AddWebAuthnForm):  # type: ignore[misc]
    """A new passkey; who asks is looked at before the key."""

    own_word = own_word_field()
    look = {"name": "half", "own_word": "half"}

    def __init__(self, *args: Any, asked: HttpRequest, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.asked = asked
        self.fields["name"] = forms.CharField(
            label="Name", max_length=60, help_text="What it is on, such as Office computer or Blue key.", required=True
        )
        self.initial.pop("name", None)
        self.fields["own_word"].help_text = own_word_hint(asked)
        self.fields["credential"] = CredentialField()

    def clean(self) -> dict[str, Any]:
        """First the person, then what their device made."""
        if self.errors:
            return dict(self.cleaned_data)
        try:
            prove(self.asked, str(self.cleaned_data["own_word"]))
        except Refused as refusal:
            self.add_error("own_word", refusal.sentence)
            return dict(self.cleaned_data)
        try:
            data: dict[str, Any] = super().clean()
        except (ValueError, TypeError, KeyError, AttributeError) as problem:
            raise forms.ValidationError("What came from the device is not a passkey. Try again.") from problem
        return data


class OwnWordForm(AsksAgain):
    """Nothing but the person's own password."""

    look = {"own_word": "half"}


def for_script(options: dict[str, Any]) -> str:
    """What the browser's script needs to ask the device."""
    return json.dumps(options)
