"""What a customer signs on the screen, and the photo of a sheet that was signed: kept in the store by digest."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from io import BytesIO

from billing.authorizations.answers import Answer, Chosen, Offer, Piece
from billing.authorizations.limits import limit_of
from billing.authorizations.models import Authorization
from billing.authorizations.queries import Standing, agreed_of, tolerance
from billing.authorizations.sheet import Row, Sheet, digest_of, text_of
from billing.authorizations.strokes import strokes_of, svg_of
from commands.refusals import Refused
from files import store
from staff.queries import shop_profile
from web.pictures import PictureProblem, PictureRules, drawn_again

PHOTO = PictureRules("photo", most_megabytes=15, largest=(2400, 2400), kept_as="JPEG", too_small="too small to read")
Answered = tuple[Offer, Chosen]


def sheet_text(made: Authorization, standing: Standing, answered: Answered | None, answer: Answer | None = None) -> str:
    """The exact text that is signed for."""
    offer, found = answered if answered is not None else (None, None)
    safety = {one.key for one in answer.declined if one.is_safety} if answer is not None else set()
    percent, amount = tolerance()
    agreed = [*agreed_of(made.job), made]
    limit = limit_of(agreed, percent=percent, amount=amount, up_to=None, currency=standing.currency)

    def row(piece: Piece) -> Row:
        return Row(piece.words, is_option=piece.is_option, is_safety=piece.key in safety)

    return text_of(
        Sheet(
            shop=shop_profile().name,
            job=made.job.number,
            vessel=str(made.job.vessel),
            customer=made.job.customer.name,
            who=made.who,
            amount=made.amount,
            before=standing.limit.authorized,
            adds=made.adds,
            is_ceiling=made.is_ceiling,
            stops_at=limit.sum if limit.sum is not None else made.amount,
            currency=standing.currency,
            is_open=made.is_open,
            likely=made.likely,
            revision=found.revision if found is not None else None,
            digest=offer.estimate.sha256 if offer is not None else "",
            taken=[Row(one.words, one.amount, one.is_option) for one in found.rows] if found is not None else (),
            declined=[row(one) for one in found.declined] if found is not None else (),
            words=made.words,
        )
    )


def keep_signature(
    made: Authorization, strokes: str, seen_sheet: str, standing: Standing, *, answered: Answered | None,
    answer: Answer | None = None,
) -> None:  # fmt: skip
    """Keep the strokes and the text that they are for.

    Raises:
        Refused: nothing was drawn, or the text is not the one that was shown.
    """
    drawn = svg_of(strokes_of(strokes))
    made.sheet = sheet_text(made, standing, answered, answer)
    made.sheet_sha256 = digest_of(made.sheet)
    if made.sheet_sha256 != seen_sheet:
        sentence = "What is signed for changed since it was shown. Let the customer read it, and sign again."
        raise Refused(sentence, fields={"strokes": sentence})
    kept = store.keep_bytes(drawn)
    made.signature_sha256, made.signature_size = kept.digest, kept.size


def keep_picture(made: Authorization, picture: bytes) -> None:
    """Keep a photo of a sheet, drawn again without what its file said of place and camera; that file's digest stays.

    Raises:
        Refused: it cannot be read, or is too large.
    """
    try:
        clean = drawn_again(BytesIO(picture), len(picture), PHOTO)
    except PictureProblem as problem:
        raise Refused(str(problem), fields={"picture": str(problem)}) from problem
    made.picture_as_brought_sha256 = hashlib.sha256(picture).hexdigest()
    kept = store.keep_bytes(clean)
    made.picture_sha256, made.picture_size = kept.digest, kept.size


def kept_files() -> Iterator[tuple[str, int | None, str]]:
    """Signatures and photos, for ``files.references``."""
    rows = Authorization.objects.exclude(signature_sha256="", picture_sha256="").select_related("job").order_by("pk")
    for one in rows.iterator():
        if one.signature_sha256:
            yield one.signature_sha256, one.signature_size, f"the signature on an authorization of {one.job}"
        if one.picture_sha256:
            yield one.picture_sha256, one.picture_size, f"the photo of an authorization of {one.job}"
