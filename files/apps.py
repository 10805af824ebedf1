"""The files app: what is kept as a file, under its digest."""

from __future__ import annotations

from collections.abc import Iterator

from django.apps import AppConfig


class FilesConfig(AppConfig):
    """Set-up of the files app."""

    name = "files"

    def ready(self) -> None:
        """Name the one file of the floor below, which cannot do it itself."""
        from files.paper.letters import lacking_in
        from files.references import register
        from web.texts import ask_of_signs

        ask_of_signs(lacking_in)
        register("letterhead logo", _logo)


def _logo() -> Iterator[tuple[str, int | None, str]]:
    from files.storage import digest_of_name
    from staff.models import ShopProfile

    for name in ShopProfile.objects.exclude(logo="").values_list("logo", flat=True):
        if digest := digest_of_name(name):
            yield digest, None, "the letterhead logo"
