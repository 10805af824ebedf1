"""What is done to people and to the shop's profile. Everything here is the owner's to do."""

from __future__ import annotations

import copy
from collections.abc import Mapping
from typing import Any, TypeVar
from uuid import UUID

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import IntegrityError, transaction

from commands.envelope import command
from commands.envelope import tell as tell_journal
from commands.refusals import Refused, refusal_of
from staff.doors.events import note, tell
from staff.doors.own_word import ASKS_WHO
from staff.doors.sessions import end_sessions
from staff.models import Person, ShopProfile
from staff.policy import Permission, Role
from staff.queries import shop_profile
from web.versions import apply_changes

M = TypeVar("M", Person, ShopProfile)
PERSON_FIELDS = frozenset({"username", "name", "email", "role", "qualification", "license_number", "is_active"})
SHOP_FIELDS = frozenset(
    field.name for field in ShopProfile._meta.fields if field.editable and field.name not in {"id", "logo"}
)


def _check(instance: Person | ShopProfile) -> None:
    try:
        instance.full_clean(exclude={"password", "logo"})
    except ValidationError as error:
        raise refusal_of(error) from error


def _with(instance: M, changes: Mapping[str, Any]) -> M:
    """The record as it would be."""
    wanted = copy.copy(instance)
    for name, value in changes.items():
        setattr(wanted, name, value)
    return wanted


def _check_password(password: str, person: Person) -> None:
    try:
        validate_password(password, person)
    except ValidationError as error:
        raise Refused("Choose another password.", fields={"password": " ".join(error.messages)}) from error


def _new_person(*, username: str, name: str, role: Role | str, password: str, email: str, qualification: str) -> Person:
    person = Person(
        username=username.strip().lower(), name=name.strip(), role=str(role), email=email, qualification=qualification
    )
    _check(person)
    _check_password(password, person)
    person.set_password(password)
    return person


def _same_password(given: Mapping[str, Any]) -> bool:
    """Whether a form that arrives again holds the password of the first: no digest could say so and keep it secret."""
    person = given.get("person") or given.get("outcome") or given.get("by")
    if not isinstance(person, Person):
        return False
    stored = Person.objects.get(pk=person.pk)
    # One that they chose themselves is nobody's to try.
    may_be_tried = stored == given.get("by") or stored.password_is_temporary
    return may_be_tried and stored.check_password(given["password"])


def _refreshed(given: Mapping[str, Any]) -> dict[str, tuple[Any, Any]]:
    """What a change that was made before changes now: nothing."""
    given["person"].refresh_from_db()
    return {}


@command("add_person", needs=Permission.MANAGE_STAFF, secret=("password",), same_secret=_same_password)
def add_person(
    *,
    by: Person,
    username: str,
    name: str,
    role: Role | str,
    password: str,
    email: str = "",
    qualification: str = "",
    entry_id: UUID | None = None,
) -> Person:
    """Add somebody who can log in, with a first password that they have to change before anything else."""
    person = _new_person(
        username=username, name=name, role=role, password=password, email=email, qualification=qualification
    )
    person.changed_by = by
    person.password_is_temporary = True
    saved = _saved(person)
    tell_journal(role=[None, saved.role])
    note("added", saved, by=by, role=saved.role)
    return saved


@command("create_owner", secret=("password",), same_secret=_same_password)
def create_owner(*, username: str, name: str, password: str, email: str = "", entry_id: UUID | None = None) -> Person:
    """Add an owner from the command line of the machine itself: whoever runs the server may let an owner in."""
    person = _new_person(
        username=username, name=name, role=Role.OWNER, password=password, email=email, qualification=""
    )
    saved = _saved(person)
    note("added", saved, detail="at the machine itself")
    return saved


def _saved(person: Person) -> Person:
    """Save a new person; the same form sent twice at once is answered as any taken user name."""
    try:
        with transaction.atomic():
            person.save()
    except IntegrityError as error:
        sentence = "This user name is already taken. Choose another one."
        raise Refused(sentence, fields={"username": sentence}) from error
    return person


@command("change_person", needs=Permission.MANAGE_STAFF, again=_refreshed, on_its_page=ASKS_WHO)
def change_person(
    *,
    by: Person,
    person: Person,
    changes: Mapping[str, Any],
    seen_version: int | None = None,
    entry_id: UUID | None = None,
) -> dict[str, tuple[Any, Any]]:
    """Change what is known of a person, or whether they work here. People are never deleted.

    Raises:
        Refused: the shop would be left without an owner who can log in, or a value is wrong.
        Conflict: another owner saved something else in the meantime.
    """
    _refuse_unknown(changes, PERSON_FIELDS)
    owners = list(
        Person.objects.select_for_update()
        .filter(role=Role.OWNER, is_active=True)
        .order_by("pk")
        .values_list("pk", flat=True)
    )
    stays_owner = changes.get("role", person.role) == Role.OWNER and changes.get("is_active", person.is_active)
    if owners == [person.pk] and not stays_owner:
        field = "is_active" if not changes.get("is_active", True) else "role"
        sentence = f"{person.name} is the only owner who can log in. Make somebody else an owner first."
        raise Refused(sentence, fields={field: sentence})
    _check(_with(person, changes))
    version = person.version if seen_version is None else seen_version
    changed = apply_changes(person, seen_version=version, changes=changes, by=by)
    if "role" in changed:
        before, now = changed["role"]
        words = dict(Person.ROLES)
        note("role-changed", person, by=by, detail=f"from {words[before]} to {words[now]}", before=before, now=now)
    if "is_active" in changed:
        note("back" if person.is_active else "left", person, by=by)
    if {"role", "is_active"} & set(changed):
        end_sessions(person, by=by)
    return changed


@command("set_password", needs=Permission.MANAGE_STAFF, secret=("password",), same_secret=_same_password)
def set_password(*, by: Person, person: Person, password: str, entry_id: UUID | None = None) -> None:
    """Give somebody a new password. They have to log in again everywhere, and then choose one of their own.

    Whoever sets it knows it: so it opens nothing but the page where it is changed, and the person is told who set it.
    """
    _check_password(password, person)
    person.set_password(password)
    person.password_is_temporary = person != by
    person.save(update_fields=["password", "password_is_temporary"])
    note("password-set" if person != by else "password-chosen", person, by=by)
    end_sessions(person, by=by)


@command("choose_password", about=("by",), secret=("password", "session_key"), same_secret=_same_password)
def choose_password(*, by: Person, password: str, session_key: str | None = None, entry_id: UUID | None = None) -> None:
    """Change one's own password. Everywhere but in this session one has to log in again.

    Raises:
        Refused: it is too weak, or the one that somebody else has set.
    """
    person = Person.objects.select_for_update().get(pk=by.pk)
    if person.password_is_temporary and person.check_password(password):
        sentence = "Choose a password other than the one you were given: the person who gave it to you knows it."
        raise Refused(sentence, fields={"password": sentence})
    _check_password(password, person)
    by.set_password(password)
    by.password_is_temporary = False
    by.save(update_fields=["password", "password_is_temporary"])
    note("password-chosen", by, by=by)
    end_sessions(by, by=by, but=session_key)


@command("change_shop", needs=Permission.MANAGE_SHOP, on_its_page=ASKS_WHO)
def change_shop(
    *,
    by: Person,
    seen_version: int,
    changes: Mapping[str, Any],
    logo_png: bytes | None = None,
    remove_logo: bool = False,
    entry_id: UUID | None = None,
) -> ShopProfile:
    """Change the shop's profile. ``logo_png`` is a picture that ``staff.logos`` has drawn.

    Raises:
        Conflict: somebody else saved something else in the meantime.
    """
    _refuse_unknown(changes, SHOP_FIELDS)
    shop = shop_profile()
    wanted = dict(changes)
    if logo_png is not None:
        wanted["logo"] = _stored_logo(logo_png)
    elif remove_logo:
        wanted["logo"] = ""
    _check(_with(shop, changes))
    changed = apply_changes(shop, seen_version=seen_version, changes=wanted, by=by)
    if changed:
        tell("shop profile changed", by=by, fields=sorted(changed))
    if "logo" in changed and changed["logo"][0]:
        before = str(changed["logo"][0])
        transaction.on_commit(lambda: default_storage.delete(before))
    return shop


def _stored_logo(png: bytes) -> str:
    """Keep the picture in the store; its name there."""
    return default_storage.save("logo.png", ContentFile(png))


def _refuse_unknown(changes: Mapping[str, Any], known: frozenset[str]) -> None:
    unknown = set(changes) - known
    if unknown:
        raise ValueError(f"not to be changed here: {', '.join(sorted(unknown))}")
