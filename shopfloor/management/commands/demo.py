"""``manage.py demo``: fill an empty database with the invented shop, and say how to sign in."""

from __future__ import annotations

from argparse import ArgumentParser
from datetime import date
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import transaction

from commands.background import done_in_this_process
from shopfloor.demo.play import play_scenario
from shopfloor.demo.reports import sign_demo_reports
from shopfloor.demo.shop import HANDS
from staff.models import Person
from vessels.models import Vessel


class Command(BaseCommand):
    """Play the demo scenario."""

    help = "Fills an empty database with four years of an invented shop, and prints a login for each role."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take the day on which the scenario ends, and whether a filled database is fine."""
        parser.add_argument("--if-empty", action="store_true", help="do nothing where there are people or vessels")
        parser.add_argument(
            "--on", type=date.fromisoformat, default=None, help="the scenario's last day; today if left out"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Fill the database, or say why not; print the logins of the demo's people."""
        if Person.objects.exists() or Vessel.objects.exists():
            if not options["if_empty"]:
                raise CommandError("This database is not empty. The demo scenario only ever fills an empty one.")
        else:
            with (
                done_in_this_process(),
                transaction.atomic(),
            ):  # all of it or nothing, so that an interrupted start is made good by the next
                stage = play_scenario(options["on"] or date.today(), self._tell)
                self._tell("The condition reports are made and signed.")
                sign_demo_reports(stage)
        self._print_logins()

    def _tell(self, sentence: str) -> None:
        """How far it has come, at once: a busy machine takes minutes."""
        self.stdout.write(sentence)
        self.stdout.flush()

    def _print_logins(self) -> None:
        """One line for each person of the scenario who can still sign in with the demo's password."""
        people = {person.username: person for person in Person.objects.filter(is_active=True)}
        for hand in HANDS:
            person = people.get(hand.username)
            if person is not None and person.check_password(hand.password):
                self.stdout.write(f"login: {person.role} {hand.username} {hand.password}")
