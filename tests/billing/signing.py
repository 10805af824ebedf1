"""An answer to an estimate that is signed on the screen, as the page would send it."""

from __future__ import annotations

import json

from billing.authorizations.actions import note_authorization
from billing.authorizations.answers import Answer, Declined, chosen, offer_of
from billing.authorizations.models import Authorization
from billing.authorizations.queries import standing_of
from billing.authorizations.sheet import digest_of
from billing.authorizations.signing import sheet_text
from billing.estimates.models import Estimate
from staff.models import Person

SIGNED = json.dumps([[[10, 200], [300, 40], [500, 220]], [[520, 100], [640, 120]]])


def sign_answer(by: Person, estimate: Estimate, *, without: str = "Launch", who: str = "Wes Harrow") -> Authorization:
    """Everything of the work is taken but what is called ``without``, which touches safety; no option is."""
    offer = offer_of(estimate)
    left = next(one for one in offer.single if one.description == without)
    answer = Answer(estimate.revision, (), (Declined(left.key, "Not this year", True),))
    found, standing = chosen(offer, answer), standing_of(estimate.job)
    wished = Authorization(job=estimate.job, amount=found.total, how="drawn", who=who)
    return note_authorization(
        by=by,
        job=estimate.job,
        amount=found.total,
        how="drawn",
        who=who,
        seen_total=standing.total,
        seen_authorized=standing.limit.authorized,
        answer=answer,
        strokes=SIGNED,
        seen_sheet=digest_of(sheet_text(wished, standing, (offer, found), answer)),
    )
