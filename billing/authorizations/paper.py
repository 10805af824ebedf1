"""What a customer authorized, on paper: as it was noted and as it stands on the day, signed by the shop."""

from __future__ import annotations

import base64
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.template.loader import render_to_string
from django.utils import timezone

from billing.authorizations.made_of import SumRow, made_of_then
from billing.authorizations.models import AnsweredPiece, Authorization
from commands.refusals import Refused
from files import store
from files.paper import signing
from files.paper.drawing import Drawn, Stationery, draw
from files.paper.letters import unprintable
from files.paper.pictures import png_address
from staff.models import ShopProfile

STYLES = ("css/billing/paper.css",)


@dataclass(frozen=True)
class Paper:
    """Everything that the paper says; pictures as data addresses, empty where there are none."""

    made: Authorization
    shop: ShopProfile
    signature: str = ""
    photo: str = ""

    @property
    def name(self) -> str:
        """What it is called."""
        return (
            f"Authorization of job {self.made.job.number}, noted {timezone.localdate(self.made.noted_at).isoformat()}"
        )


def paper_of(made: Authorization, shop: ShopProfile) -> Paper:
    """An authorization with the pictures that are kept of it.

    Raises:
        Refused: a kept picture is missing or damaged, or something cannot be printed.
    """
    if lacking := unprintable(_texts(made), "authorization", then="draw it"):
        raise Refused(lacking)
    return Paper(
        made,
        shop,
        _kept(made.signature_sha256, "image/svg+xml"),
        _kept(made.picture_sha256, "image/jpeg"),
    )


def signed_paper(made: Authorization, shop: ShopProfile, stationery: Stationery) -> signing.ShopPaper:
    """The PDF of the day, signed; without a signature where the shop has no certificate.

    Raises:
        Refused: it cannot be drawn or signed as things are.
    """
    paper = paper_of(made, shop)
    return signing.signed_where_possible(
        lambda is_signed: draw_paper(paper, stationery, is_signed=is_signed),
        shop=shop.name, contact=shop.email, reason=paper.name,
    )  # fmt: skip


def draw_paper(paper: Paper, stationery: Stationery, *, is_signed: bool = False) -> Drawn:
    """The PDF, with a place for the shop's signature where it will be signed."""
    title = f"Signature of {paper.shop.name} on the a{paper.name[1:]}"
    html = paper_html(paper, stationery, is_signed=is_signed)
    return draw(html, size=stationery.size, styles=STYLES, signature_title=title if is_signed else "")


def paper_html(paper: Paper, stationery: Stationery, *, is_signed: bool = False) -> str:
    """The whole document as HTML."""
    pieces = list(paper.made.pieces.all())
    context = {
        "paper": paper,
        "rows": rows_of(paper.made, pieces, paper.shop.currency),
        "taken": [one for one in pieces if one.is_taken],
        "declined": [one for one in pieces if not one.is_taken],
        "one": paper.made,
        "shop": paper.shop,
        "logo": png_address(stationery.logo_png),
        "today": timezone.localdate(),
        "is_signed": is_signed,
    }
    return render_to_string("billing/authorizations/paper.html", context)


def rows_of(made: Authorization, pieces: Sequence[AnsweredPiece], currency: str) -> tuple[SumRow, ...]:
    """What the sum of an answer is made of; nothing where it answers no estimate."""
    given = made.job.estimates.filter(revision=made.revision or 0, given_at__isnull=False)
    estimate = given.select_related("job__customer").first()
    taken = {one.key for one in pieces if one.is_taken}
    if estimate is None or not taken:
        return ()
    return made_of_then(estimate, taken, made.amount, currency=currency, taxes=made.taxes)


def _kept(digest: str, content_type: str) -> str:
    if not digest:
        return ""
    try:
        data = store.read(digest)
    except store.FileProblem as problem:
        raise Refused(problem.sentence) from problem
    return f"data:{content_type};base64,{base64.b64encode(data).decode()}"


def _texts(made: Authorization) -> dict[str, Any]:
    return {
        "customer": [made.job.customer.name, made.who, made.reached],
        "vessel": str(made.job.vessel),
        "words": [made.words, made.sheet, made.why_withdrawn],
        "lines": [one.words for one in made.pieces.all()],
    }
