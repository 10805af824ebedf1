"""What fitting a part and waiting for one check alike."""

from __future__ import annotations

from decimal import Decimal

from commands.refusals import Refused
from parts.models import Part
from workorders.actions.checking import refuse_unsound
from workorders.jobparts.models import MOST, NamedPart
from workorders.models import Job, JobLine

NAMES = ("maker", "number", "description")


def name_it(record: NamedPart, *, part: Part | None, maker: str, number: str, description: str, was: str = "") -> None:
    """Write down what the part is: what was typed, and what the catalog says where nothing was.

    ``was`` is the number in what is corrected, which the catalog may have under another one since.

    Raises:
        Refused: it has no name, or the number typed is not the catalog part's.
    """
    typed = {"maker": maker.strip(), "number": number.strip(), "description": description.strip()}
    if part is not None and typed["number"].upper() not in {"", part.number.upper(), was.upper()}:
        sentence = f"{part.number} was chosen from the catalog. Choose another part, or leave the number out."
        raise Refused(sentence, fields={"number": sentence})
    record.part = part
    for name in NAMES:
        setattr(record, name, typed[name] or (getattr(part, name) if part is not None else ""))
    if not record.number and not record.description:
        sentence = "Choose a part of the catalog, or enter a number or a description."
        raise Refused(sentence, fields={"number": sentence})


def refuse_odd_quantity(quantity: Decimal) -> None:
    """Nothing, less than nothing, and heaps are slips of the finger.

    Raises:
        Refused: it is none of what one job takes.
    """
    if quantity <= 0:
        raise Refused("Enter how many.", fields={"quantity": "Enter how many: more than zero."})
    if quantity > MOST:
        sentence = f"At most {MOST} at once. Check the figure."
        raise Refused(sentence, fields={"quantity": sentence})
    if quantity != quantity.quantize(Decimal("0.01")):
        raise Refused(
            "At most two decimals are kept.", fields={"quantity": "At most 2 digits after the decimal point."}
        )


def refuse_strange_line(line: JobLine | None, job: Job) -> None:
    """A part is for a line of its own job.

    Raises:
        Refused: the line is on another job.
    """
    if line is not None and line.job_id != job.pk:
        raise Refused("This line is on another job.", fields={"line": "Choose a line of this job."})


def refuse_long_words(record: NamedPart, *more: str) -> None:
    """What the columns do not take is told by its field.

    Raises:
        Refused: with a sentence for each field.
    """
    refuse_unsound(record, [*NAMES, *more])
