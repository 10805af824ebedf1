"""Asking somebody who is logged in once more who they are, before what an open session alone must not be able to do.

One way for all of it: the form has a field for the person's own password, the view asks ``prove`` before it acts.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from django import forms
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest

from commands.refusals import Refused
from staff.doors.client import counted_address
from staff.doors.events import tell
from staff.doors.limits import OWN_WORDS
from staff.models import Person

LABEL = "Your password"
HINT = "Or the code of your authenticator app."
WRONG = "This is not your password. Type the one that you log in with."
TOO_OFTEN = "Too many wrong passwords. Wait ten minutes, then try again."
FIELD = "own_word"
ASKS_WHO = "its page asks once more who you are"


def is_own_word(person: Person, typed: str) -> bool:
    """Whether this is what only the person knows."""
    from staff.doors.factors import matching_factor  # the library's models are there only once all apps are

    return person.check_password(typed) or matching_factor(person, typed) is not None


def prove(request: HttpRequest, typed: str, *, field: str = FIELD) -> None:
    """Make sure that it is the person themselves who asks, and not only their open session.

    Raises:
        Refused: it is not, or there were too many guesses.
    """
    with proving(request, field=field) as person:
        if not is_own_word(person, typed):
            raise Refused(WRONG, fields={field: WRONG})


@contextmanager
def proving(request: HttpRequest, *, field: str = FIELD) -> Iterator[Person]:
    """The same around an action that looks at the password itself, and refuses by this field where it is wrong.

    A guess is counted before it is looked at, and taken back where it was right.
    """
    if not isinstance(request.user, Person):
        raise PermissionDenied
    person = request.user
    attempt = OWN_WORDS.attempt(str(person.pk), counted_address(request), person)
    if attempt is None:
        tell("own password asked too often", person=person)
        raise Refused(TOO_OFTEN, fields={field: TOO_OFTEN})
    try:
        yield person
    except Refused as refusal:
        if field in refusal.fields:
            tell("own password wrong", person=person)
        else:
            attempt.was_right()
        raise
    attempt.was_right()


def own_word_hint(asked: HttpRequest) -> str:
    """What may be typed besides the password, for those who have it."""
    from allauth.mfa.models import Authenticator  # as above

    has_app = Authenticator.objects.filter(user_id=asked.user.pk, type=Authenticator.Type.TOTP).exists()
    return HINT if has_app else ""


def own_word_field() -> forms.CharField:
    """The field for it."""
    return forms.CharField(
        label=LABEL,
        strip=False,
        max_length=200,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )


class AsksAgain(forms.Form):
    """A form whose sender has to show once more who they are; asked when everything else is right."""

    own_word = own_word_field()

    def __init__(self, *args: object, asked: HttpRequest, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)  # type: ignore[arg-type]
        self.asked = asked
        self.fields[FIELD].help_text = own_word_hint(asked)
        self.fields[FIELD] = self.fields.pop(FIELD)  # last, wherever the form puts its own

    def clean(self) -> dict[str, object]:
        """Ask only once the rest is right, so that no code is used up for nothing."""
        data = super().clean() or {}
        if FIELD in data and not self.errors:
            try:
                prove(self.asked, str(data[FIELD]))
            except Refused as refusal:
                self.add_error(FIELD, refusal.sentence)
        return data
