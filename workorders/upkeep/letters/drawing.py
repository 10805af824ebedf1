"""A letter on paper: the shop's letterhead, an address for a window, and what was reckoned from what."""

from __future__ import annotations

from collections.abc import Iterator

from django.template.loader import render_to_string

from files import store
from files.paper import signing
from files.paper.drawing import AttachedFile, Drawn, Stationery, draw
from files.paper.kept import read_kept
from files.paper.pictures import png_address
from workorders.upkeep.letters.writing import Record, closing, opening, salutation
from workorders.upkeep.models import ReminderLetter

STYLES = ("css/workorders/letter.css",)


def letter_html(record: Record, stationery: Stationery, *, is_signed: bool) -> str:
    """The whole letter as HTML; with a place for a signature where it will be signed."""
    context = {
        "letter": record,
        "salutation": salutation(record),
        "opening": opening(record),
        "closing": closing(record),
        "logo": png_address(stationery.logo_png),
        "is_signed": is_signed,
    }
    return render_to_string("workorders/upkeep/paper/letter.html", context)


def draw_letter(record: Record, stationery: Stationery, *, data: bytes, is_signed: bool) -> Drawn:
    """The letter as a PDF; ``data`` is its record as it was frozen, which is inside."""
    shop, customer = record["shop"]["name"], record["customer"]["name"]
    return draw(
        letter_html(record, stationery, is_signed=is_signed),
        size=stationery.size,
        styles=STYLES,
        signature_title=f"Signature of {shop} on the letter to {customer} of {record['on_words']}" if is_signed else "",
        attachments=[AttachedFile("record.json", data, "The same letter as data")],
    )


def pdf_of(letter: ReminderLetter) -> bytes:
    """The file of a letter that was drawn.

    Raises:
        Refused: what is kept is missing or damaged.
    """
    return read_kept(letter.pdf_sha256, str(letter))


def kept_letters() -> Iterator[tuple[str, int | None, str]]:
    """The file of every letter that was drawn, for ``files.references``."""
    for letter in ReminderLetter.objects.exclude(pdf_sha256="").select_related("customer").order_by("pk"):
        yield letter.pdf_sha256, letter.pdf_size, str(letter)


def drawn_and_signed(letter: ReminderLetter, record: Record, stationery: Stationery) -> dict[str, object]:
    """What is known of a letter's file once it is drawn, signed where the shop has a certificate, and in the store."""
    data, shop = letter.record.encode(), record["shop"]
    made = signing.signed_where_possible(
        lambda is_signed: draw_letter(record, stationery, data=data, is_signed=is_signed),
        shop=shop["name"], contact=shop["email"],
        reason=f"Letter of {record['on_words']} to {record['customer']['name']}",
    )  # fmt: skip
    digest = store.keep_bytes(made.data).digest
    known: dict[str, object] = {
        "pdf_sha256": digest, "pdf_size": len(made.data), "pages": made.pages, "problem": "",
    }  # fmt: skip
    if made.signed is not None and made.certificate is not None:
        known |= {
            "signature_sha256": made.signed.signature_sha256,
            "certificate_sha256": made.certificate.sha256,
            "level": made.signed.level,
        }
    return known
