"""``manage.py reset_second_factor``: let somebody in again who lost their second factor."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from staff.doors.factors import reset_factors
from staff.models import Person


class Command(BaseCommand):
    """Removes all second factors of one person."""

    help = (
        "Removes all second factors of one person, who then logs in with the password alone. For an owner who lost "
        "the phone; an owner can do it for anybody else under People. The person sees afterwards that it was done."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        """Whose."""
        parser.add_argument("username", help="what the person types to log in")

    def handle(self, *args: Any, username: str, **options: Any) -> None:
        """Remove them and say how many there were."""
        person = Person.objects.filter(username=username.strip().lower()).first()
        if person is None:
            raise CommandError(f"Nobody has the user name {username}.")
        gone = reset_factors(by=None, person=person)
        if not gone:
            self.stdout.write(f"{person.name} had no second factor.")
        else:
            self.stdout.write(f"{person.name} logs in with the password alone now; {gone} removed, all sessions ended.")
