"""Drawing letters, which is left to a worker. What draws and signs is loaded when there is something to draw."""

from __future__ import annotations

from commands.background import Kind, Run
from files import room
from workorders.upkeep.models import ReminderLetter

WENT_WRONG = (
    "The letter could not be drawn. Nothing is lost: try again, and tell the person who runs Garboard if it fails "
    "again."
)


def draw_one(run: Run) -> None:
    """Draw, sign and keep one letter. Doing it twice, or at once, keeps the first."""
    from files.paper.drawing import Stationery
    from staff.queries import shop_profile
    from workorders.upkeep.letters.drawing import drawn_and_signed
    from workorders.upkeep.letters.writing import from_text

    letter = ReminderLetter.objects.get(pk=int(run.subject))
    if letter.pdf_sha256 or letter.discarded_at is not None:
        return
    known = drawn_and_signed(letter, from_text(letter.record), Stationery.of_shop(shop_profile()))
    with run.finishing():
        ReminderLetter.objects.filter(pk=letter.pk, pdf_sha256="").update(**known)


def note_problem(subject: str, sentence: str) -> None:
    """Say why there is no letter."""
    ReminderLetter.objects.filter(pk=int(subject), pdf_sha256="").update(problem=sentence)


DRAW_LETTER = Kind(
    "draw_letter",
    work=draw_one,
    went_wrong=room.or_full_disk(WENT_WRONG),
    broke_off=WENT_WRONG,
    fail=note_problem,
    longest=300,
)
