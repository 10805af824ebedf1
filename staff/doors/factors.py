"""Second factors: an authenticator app, passkeys, recovery codes. The library keeps them; here is the rest."""

from __future__ import annotations

import base64
import json
import secrets
from io import BytesIO
from ipaddress import ip_address
from typing import Any, ClassVar

import segno
from allauth.mfa.adapter import DefaultMFAAdapter
from allauth.mfa.models import Authenticator
from cryptography.fernet import Fernet, InvalidToken
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.kdf.hkdf import HKDF
from django.conf import settings
from django.db import transaction
from django.db.models import QuerySet
from django.http import HttpRequest

from commands.refusals import Refused
from staff.doors.events import note
from staff.doors.limits import Limit
from staff.doors.sessions import end_sessions
from staff.models import Person
from staff.policy import Permission, require
from staff.queries import shop_profile

APP, PASSKEY, CODES = Authenticator.Type.TOTP, Authenticator.Type.WEBAUTHN, Authenticator.Type.RECOVERY_CODES
CODE_ONCE = Limit("code-used", 1, 120)


class HouseMFAAdapter(DefaultMFAAdapter):  # type: ignore[misc]
    """The library's second factors in the words of the house, their secrets encrypted."""

    error_messages: ClassVar[dict[str, Any]] = {
        **DefaultMFAAdapter.error_messages,
        "incorrect_code": "This is not the current code. Wait for the next one and type that.",
    }

    def get_totp_issuer(self) -> str:
        """What the app calls the entry."""
        return f"Garboard, {shop_profile().name}"

    def get_totp_label(self, user: Person) -> str:
        """For whom it is."""
        return user.username

    def build_totp_svg(self, url: str) -> str:
        """The square that the app reads."""
        out = BytesIO()
        segno.make(url, error="m").save(out, kind="svg", scale=4, border=4, light="white")
        return out.getvalue().decode()

    def encrypt(self, text: str) -> str:
        """So that the database alone, in a copy or a backup, opens nothing."""
        return _box().encrypt(text.encode()).decode()

    def decrypt(self, encrypted_text: str) -> str:
        """What was encrypted; with another secret key something that no code fits."""
        try:
            return _box().decrypt(encrypted_text.encode()).decode()
        except InvalidToken:
            return base64.b32encode(secrets.token_bytes(20)).decode()


def _box() -> Fernet:
    key = HKDF(SHA256(), 32, salt=None, info=b"garboard second factors").derive(settings.SECRET_KEY.encode())
    return Fernet(base64.urlsafe_b64encode(key))


def factors_of(person: Person) -> QuerySet[Authenticator]:
    """What the person can show besides the password; recovery codes are only a way back."""
    found: QuerySet[Authenticator] = Authenticator.objects.filter(user_id=person.pk).exclude(type=CODES)
    return found.order_by("type", "pk")


def has_factor(person: Person) -> bool:
    """Whether the person has a second factor."""
    return factors_of(person).exists()


def codes_left(person: Person) -> int | None:
    """How many recovery codes are unused, or None where there are none at all."""
    kept = Authenticator.objects.filter(user_id=person.pk, type=CODES).first()
    return len(kept.wrap().get_unused_codes()) if kept else None


def matching_factor(person: Person, typed: str) -> Authenticator | None:
    """The app or the recovery codes that this code is of. A code is good once."""
    code = "".join(typed.split())
    if not code.isascii() or not code.isdigit() or not 6 <= len(code) <= 8:
        return None
    for factor in Authenticator.objects.filter(user_id=person.pk).exclude(type=PASSKEY).order_by("-type"):
        if factor.wrap().validate_code(code) and (factor.type == CODES or CODE_ONCE.take(str(person.pk), code)):
            factor.user = person
            if factor.type == CODES:
                note("code-used", person, by=person)
            return factor
    return None


def is_needed(person: Person) -> bool:
    """Whether the shop wants a second factor of this person's role."""
    return person.role in shop_profile().second_factor_roles


@transaction.atomic
def added(person: Person, what: str, *, session_key: str | None) -> None:
    """Tell that a factor was added; elsewhere one has to log in anew, with it."""
    note("factor-added", person, by=person, detail=what)
    end_sessions(person, by=person, but=session_key)


@transaction.atomic
def remove_factor(*, by: Person, factor: Authenticator) -> None:
    """Remove one of one's own factors, and the recovery codes with the last.

    Raises:
        Refused: the role needs one, and there is no other.
    """
    Person.objects.select_for_update().get(pk=by.pk)
    others = factors_of(by).exclude(pk=factor.pk)
    if not others.exists():
        if is_needed(by):
            raise Refused("Your role needs a second factor. Add another one first, then remove this one.")
        Authenticator.objects.filter(user_id=by.pk, type=CODES).delete()
    what = name_of(factor)
    factor.delete()
    note("factor-removed", by, by=by, detail=what)


@transaction.atomic
def reset_factors(*, by: Person | None, person: Person) -> int:
    """Remove all factors of somebody who lost them; how many there were. Their sessions end.

    ``by`` is an owner, or nobody where it is done at the machine itself.
    """
    if by is not None:
        require(by, Permission.MANAGE_STAFF)
        if by == person:
            raise Refused("Remove your own under “Your login”.")
    gone = factors_of(person).count()
    Authenticator.objects.filter(user_id=person.pk).delete()
    note("factors-reset", person, by=by, detail="" if by else "at the machine itself")
    end_sessions(person, by=by)
    return gone


def passkey_options(options: dict[str, Any]) -> dict[str, Any]:
    """What a device is asked for: a passkey that opens the door alone where it can make one, else one that cannot."""
    asked: dict[str, Any] = json.loads(json.dumps(options))
    chosen = asked["publicKey"].setdefault("authenticatorSelection", {})
    chosen |= {"residentKey": "preferred", "requireResidentKey": False, "userVerification": "preferred"}
    return asked


def name_of(factor: Authenticator) -> str:
    """What the person calls it."""
    return "Authenticator app" if factor.type == APP else str(factor.wrap().name)


def passkeys_work_at(request: HttpRequest) -> bool:
    """Whether browsers make passkeys for this address: it needs TLS and a name."""
    host = request.get_host().rsplit(":", 1)[0].strip("[]")
    try:
        ip_address(host)
    except ValueError:
        return request.is_secure() or host == "localhost" or host.endswith(".localhost")
    return False
