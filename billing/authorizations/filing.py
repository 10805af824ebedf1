"""The papers of authorizations in the store: drawn once as one stands, once as it was withdrawn, and kept for good."""

from __future__ import annotations

import zoneinfo
from collections.abc import Iterator

from django.db import transaction
from django.utils import timezone

from billing.authorizations.models import Authorization, AuthorizationPaper
from billing.authorizations.paper import signed_paper
from files import store
from files.paper import signing
from files.paper.drawing import Stationery
from files.paper.kept import read_kept
from files.paper.later import Finishing
from staff.queries import shop_profile


def kept_pdf(made: Authorization) -> bytes | None:
    """The paper of an authorization as it stands now; None where it was not drawn yet.

    Where the shop has no certificate, one without its signature serves.

    Raises:
        Refused: what is kept is missing or damaged.
    """
    kept = _kept(made)
    return None if kept is None else read_kept(kept.pdf_sha256, _called(kept))


def file_paper(made: Authorization, *, finishing: Finishing = transaction.atomic) -> None:
    """Draw, sign and keep it, unless it is kept already. ``finishing`` gives the transaction that stores it.

    Raises:
        Refused: it cannot be drawn or signed as things are.
    """
    if _kept(made) is not None:
        return
    shop = shop_profile()
    with timezone.override(zoneinfo.ZoneInfo(shop.time_zone)):
        drawn = signed_paper(made, shop, Stationery.of_shop(shop))
    digest = store.keep_bytes(drawn.data).digest
    with finishing():
        AuthorizationPaper.objects.bulk_create(
            [
                AuthorizationPaper(
                    authorization=made,
                    is_withdrawn=made.withdrawn_at is not None,
                    is_signed=drawn.signed is not None,
                    pdf_sha256=digest,
                    pdf_size=len(drawn.data),
                    pages=drawn.pages,
                )
            ],
            ignore_conflicts=True,  # somebody drew it at the same moment, and was first
        )


def kept_papers() -> Iterator[tuple[str, int | None, str]]:
    """The file of every paper that was drawn, for ``files.references``."""
    for one in AuthorizationPaper.objects.select_related("authorization__job").order_by("pk").iterator():
        yield one.pdf_sha256, one.pdf_size, _called(one)


def _kept(made: Authorization) -> AuthorizationPaper | None:
    papers = made.papers.filter(is_withdrawn=made.withdrawn_at is not None).order_by("-is_signed")
    kept = papers.first()
    return None if kept is None or (not kept.is_signed and not signing.why_no_certificate()) else kept


def _called(kept: AuthorizationPaper) -> str:
    return f"the authorization of job {kept.authorization.job.number}"
