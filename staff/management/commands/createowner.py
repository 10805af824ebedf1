"""``manage.py createowner``: let the first owner in, or another one when nobody can log in any more."""

from __future__ import annotations

import getpass
import os
import sys
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from commands.refusals import Refused
from staff.actions import create_owner

LABELS = {"username": "User name", "name": "Name", "password": "Password", "email": "Email"}


class Command(BaseCommand):
    """Adds a person with the role of owner."""

    help = (
        "Add an owner who can log in. What is not given is asked for; without a terminal, give --username, --name and "
        "the password in the environment as OWNER_PASSWORD."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        """The owner's data, each also taken from the environment."""
        parser.add_argument("--username", help="what they type to log in; lowercase letters (or OWNER_USERNAME)")
        parser.add_argument("--name", help="first and last name, as printed under reports (or OWNER_NAME)")
        parser.add_argument("--email", help="email, may be left out (or OWNER_EMAIL)")
        parser.add_argument("--no-input", action="store_true", help="ask nothing; say what is missing instead")

    def handle(self, *args: Any, **options: Any) -> None:
        """Ask for what is missing, then add the owner."""
        asks = sys.stdin.isatty() and not options["no_input"]
        username = self._wanted("username", options["username"], asks=asks)
        name = self._wanted("name", options["name"], asks=asks)
        email = options["email"] or os.environ.get("OWNER_EMAIL", "")
        password = os.environ.get("OWNER_PASSWORD") or (self._asked_password() if asks else "")
        if not password:
            raise CommandError("Give the password in the environment as OWNER_PASSWORD, or run this in a terminal.")
        try:
            owner = create_owner(username=username, name=name, password=password, email=email)
        except Refused as refusal:
            sentences = [f"{LABELS.get(field, field)}: {sentence}" for field, sentence in refusal.fields.items()]
            raise CommandError(" ".join(sentences) or refusal.sentence) from refusal
        self.stdout.write(f"{owner.name} can log in now, with the user name {owner.username}.")

    def _wanted(self, field: str, given: str | None, *, asks: bool) -> str:
        value = given or os.environ.get(f"OWNER_{field.upper()}", "")
        while asks and not value.strip():
            value = input(f"{LABELS[field]}: ")
        if not value.strip():
            raise CommandError(f"Give --{field} or OWNER_{field.upper()}, or run this in a terminal.")
        return value

    def _asked_password(self) -> str:
        password = getpass.getpass("Password (ten characters or more): ")
        if getpass.getpass("The same again: ") != password:
            raise CommandError("The two passwords are not the same. Nothing was added; run the command again.")
        return password
