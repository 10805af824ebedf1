"""Make the certificate that the shop signs its documents with."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from commands.refusals import Refused
from files.paper import signing
from staff.queries import shop_profile


class Command(BaseCommand):
    """Make the shop's certificate once."""

    help = "Make the self-signed certificate that the shop signs its documents with."

    def add_arguments(self, parser: CommandParser) -> None:
        """Say whether another one may take the place of the first."""
        parser.add_argument("--renew", action="store_true", help="make another one; the old one is kept beside it")
        parser.add_argument("--if-missing", action="store_true", help="be content with the one there is")

    def handle(self, *_: Any, renew: bool = False, if_missing: bool = False, **__: Any) -> None:
        """Make it and say where it is and how it is known."""
        try:
            if if_missing and signing.certificate_path().exists():
                certificate = signing.shop_certificate()
            else:
                certificate = signing.make_certificate(shop_profile().name, renew=renew)
        except Refused as refusal:
            raise CommandError(refusal.sentence) from refusal
        self.stdout.write(f"{certificate.subject}, valid until {certificate.not_after:%Y-%m-%d}")
        self.stdout.write(f"SHA-256 fingerprint: {certificate.sha256}")
        self.stdout.write(f"Kept in: {signing.certificate_path()}")
