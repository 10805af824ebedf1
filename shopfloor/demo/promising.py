"""What was promised and agreed to: estimates with options, answers of every kind, and what was declined."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from io import BytesIO
from typing import Any

from PIL import Image, ImageDraw, ImageFont

from billing.authorizations.actions import note_authorization
from billing.authorizations.answers import Answer, Declined, chosen, offer_of
from billing.authorizations.models import Authorization
from billing.authorizations.queries import standing_of
from billing.authorizations.sheet import digest_of
from billing.authorizations.signing import sheet_text
from billing.estimates.actions import (
    add_estimate_line,
    add_estimate_option,
    change_estimate_terms,
    give_estimate,
    start_estimate,
)
from billing.estimates.models import Estimate
from billing.estimates.queries import worked_out
from shopfloor.demo.visit_day import VisitDay

# A line: "labor", "sublet" or "fee" or a part's number; what it is, how many (hours of labor), its price, its option.
Line = tuple[str, str, str, str, str]


@dataclass(frozen=True)
class Promise:
    """One estimate with what the customer answered; ``how`` is empty where nobody has answered yet.

    ``options`` are the names with what excludes what; ``no`` what was declined, with why and whether it is of safety.
    """

    given: str
    lines: tuple[Line, ...]
    options: tuple[tuple[str, str], ...] = ()
    taken: tuple[str, ...] = ()
    no: tuple[tuple[str, str, bool], ...] = ()
    how: str = ""
    reached: str = ""
    words: str = ""
    deposit: str = ""


@dataclass(frozen=True)
class Word:
    """A sum that was agreed to without an estimate, or on top of one."""

    amount: str
    reached: str
    words: str
    adds: bool = False


AT_THE_COUNTER: dict[tuple[str, int], Promise | Word] = {
    ("plover", 60): Promise(
        "printed",
        (
            ("labor", "Annual service", "2.5", "", ""),
            ("OIL-2540", "", "6", "", ""),
            ("H15-0606", "", "1", "", ""),
            ("labor", "Fuel pressure under load, with a gauge on the rail", "1.5", "", "Look into the hesitation"),
        ),
        (("Look into the hesitation", ""),),
        no=(("Look into the hesitation", "Wants to see how it runs after the service", False),),
        how=Authorization.PHONE,
        reached="(555) 555-0123",
    ),
    ("marguerite", 24): Promise(
        "printed", (("labor", "Inspection for a condition report", "4.5", "", ""),), how=Authorization.PAPER
    ),
    ("robin", 14): Promise(
        "shown",
        (
            ("labor", "Find why the exhaust runs hot, and clean the elbow", "5", "", ""),
            ("labor", "Fit the elbow", "1", "", "New mixing elbow"),
            ("fee", "Mixing elbow, ordered for this boat", "1", "268", "New mixing elbow"),
        ),
        (("New mixing elbow", ""),),
        no=(("New mixing elbow", "At the next lay-up", True),),
        how=Authorization.DRAWN,
        deposit="200",
    ),
    ("gadwall", 8): Word("350", "(555) 555-0134", "Find out what the alarm means. Call before any repair."),
    ("pintail", 6): Promise(
        "mailed",
        (("labor", "Scan both engines, with a written result", "2", "", ""),),
        how=Authorization.MESSAGE,
        words="Yes please go ahead with the check of both, and send me the result.",
    ),
    ("bellwether", 5): Promise(
        "mailed",
        (
            ("labor", "500-hour service, both engines", "6", "", ""),
            ("H25-0818", "", "2", "", ""),
            ("sublet", "Gear oil samples to the laboratory", "2", "34", ""),
        ),
        no=(("Gear oil samples to the laboratory", "Did them in spring", False),),
        how=Authorization.MESSAGE,
        words="All of it but the oil samples. Ansel Thorne",
    ),
    ("firefly", 1): Promise(
        "mailed",
        (
            ("labor", "Find why it cranks slowly: starter, cables, battery", "1.5", "", ""),
            ("BAT-0031", "", "1", "", "New battery"),
            ("labor", "Charge it and test it under load", "0.5", "", "Keep the battery"),
        ),
        (("New battery", "battery"), ("Keep the battery", "battery")),
    ),
}
"""What is promised before the work, by the boat and the days ago of its job."""
ASKED_AGAIN: dict[tuple[str, int], Promise | Word] = {
    ("gadwall", 8): Promise(
        "mailed",
        (
            ("labor", "Replace the vapor separator pump, and find what the first one died of", "2.5", "", ""),
            ("H15-0611", "", "1", "", "New pump"),
            ("sublet", "Pump rebuilt by a specialist, with freight", "1", "185", "Rebuilt pump"),
        ),
        (("New pump", "pump"), ("Rebuilt pump", "pump")),
    ),
    ("bellwether", 5): Word(
        "150", "(555) 555-0127", "Look at the water pickup on port, as the alarm came in fog.", adds=True
    ),
}
"""What is asked once the cause is known."""


def is_promised(day: VisitDay) -> bool:
    """Whether a sum stands behind the work of this visit."""
    said = AT_THE_COUNTER.get((day.visit.boat, day.visit.days_ago))
    return isinstance(said, Word) or (said is not None and bool(said.how))


def promise(day: VisitDay) -> None:
    """At the counter, before anybody begins."""
    _ask(day, AT_THE_COUNTER, day.clock.now() + timedelta(minutes=4))


def ask_again(day: VisitDay) -> None:
    """When the cause is known: the next estimate, or a call."""
    _ask(day, ASKED_AGAIN, day.clock.now() + timedelta(minutes=6))


def _ask(day: VisitDay, said: dict[tuple[str, int], Promise | Word], at: datetime) -> None:
    one = said.get((day.visit.boat, day.visit.days_ago))
    if one is None:
        return
    day.clock.turn(at)
    if isinstance(one, Word):
        day.clock.turn(at + timedelta(minutes=3))
        _note(day, amount=Decimal(one.amount), how=Authorization.PHONE, reached=one.reached, said_at=at,
              words=one.words, adds=one.adds, is_ceiling=not one.adds)  # fmt: skip
        return
    given = _give(day, one)
    if one.how:
        _answer(day, one, given, at + timedelta(minutes=12))


def _give(day: VisitDay, one: Promise) -> Estimate:
    """Write it and give it to the customer."""
    desk, named = day.stage.desk, f"estimate {day.clock.now():%H:%M}"
    made = start_estimate(by=desk, job=day.job, entry_id=day.named(named))
    options = {
        name: add_estimate_option(
            by=desk, estimate=made, name=name, alternatives=group, entry_id=day.named(named, "option", name)
        )
        for name, group in one.options
    }
    for index, (what, words, quantity, price, option) in enumerate(one.lines):
        part = day.stage.parts.get(what)
        told: dict[str, Any] = {"kind": "part" if part else what, "part": part, "quantity": Decimal(quantity),
                                "job_line": day.job.lines.get()}  # fmt: skip
        told |= {"description": words} if words else {}
        told |= {"unit_price": Decimal(price)} if price else {}
        told |= {"option": options[option]} if option else {}
        add_estimate_line(by=desk, estimate=made, told=told, entry_id=day.named(named, "line", index))
    if one.deposit:
        made.refresh_from_db()
        change_estimate_terms(
            by=desk, estimate=made, seen_version=made.version, changes={"deposit": Decimal(one.deposit)},
            entry_id=day.named(named, "terms"),
        )  # fmt: skip
    day.clock.turn(day.clock.now() + timedelta(minutes=5))
    worth = worked_out(made, currency="USD").figures.base.total
    return give_estimate(by=desk, estimate=made, how=one.given, seen_total=worth, entry_id=day.named(named, "given"))


def _answer(day: VisitDay, one: Promise, given: Estimate, at: datetime) -> None:
    """What the customer takes and declines of it."""
    offer = offer_of(given)
    keys = {option.name: option.key for option in offer.options} | {line.description: line.key for line in offer.single}
    answer = Answer(
        given.revision,
        [keys[name] for name in one.taken],
        [Declined(keys[name], why, is_safety) for name, why, is_safety in one.no],
    )
    found = chosen(offer, answer)
    day.clock.turn(at)
    told: dict[str, Any] = {
        "amount": found.total, "how": one.how, "reached": one.reached, "words": one.words, "said_at": at,
        "answer": answer,
    }  # fmt: skip
    if one.how == Authorization.DRAWN:
        wished = Authorization(job=day.job, amount=found.total, how=one.how, who=_who(day), words=one.words)
        told["strokes"] = json.dumps(SIGNATURE)
        told["seen_sheet"] = digest_of(sheet_text(wished, standing_of(day.job), (offer, found), answer))
    if one.how == Authorization.PAPER:
        told["picture"] = signed_sheet(f"Estimate {day.job.number}, version {given.revision}", _who(day))
    _note(day, **told)


def _note(day: VisitDay, **told: Any) -> None:
    standing = standing_of(day.job)
    note_authorization(
        by=day.stage.desk,
        job=day.job,
        who=_who(day),
        seen_total=standing.total,
        seen_authorized=standing.limit.authorized,
        entry_id=day.named("authorization", told["how"], f"{day.clock.now():%H:%M}"),
        **told,
    )


def _who(day: VisitDay) -> str:
    """Who speaks for the boat."""
    return day.job.customer.contact or day.job.customer.name


SIGNATURE = [
    [[120, 210], [150, 120], [185, 70], [200, 110], [180, 190], [210, 150], [245, 120], [260, 170], [290, 150]],
    [[300, 170], [330, 110], [345, 160], [375, 130], [400, 165], [440, 120], [470, 170], [560, 140], [700, 150]],
    [[110, 230], [300, 222], [640, 205]],
]


def signed_sheet(title: str, who: str) -> bytes:
    """The picture of a signed sheet, drawn: nothing of it was ever photographed."""
    sheet = Image.new("RGB", (900, 1200), "#f6f4ee")
    pen = ImageDraw.Draw(sheet)
    pen.text((80, 90), title, fill="#222", font=ImageFont.load_default(34))
    for row in range(9):
        pen.line([(80, 210 + 60 * row), (820 - 70 * (row % 3), 210 + 60 * row)], fill="#9a978e", width=5)
    for stroke in SIGNATURE:
        pen.line([(80 + int(x * 0.7), 820 + y // 2) for x, y in stroke], fill="#1b2a52", width=5, joint="curve")
    pen.line([(80, 980), (820, 980)], fill="#222", width=2)
    pen.text((80, 995), who, fill="#222", font=ImageFont.load_default(26))
    kept = BytesIO()
    sheet.save(kept, "PNG")
    return kept.getvalue()
