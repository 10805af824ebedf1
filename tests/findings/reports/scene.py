"""A job with findings, told through the actions of the house, and its report."""

from __future__ import annotations

from decimal import Decimal

from findings.readings.actions import NewLimit, add_card, log_reading
from findings.readings.models import Parameter
from findings.reports import actions
from findings.reports.build import build_findings, findings_digest
from findings.reports.models import IssuedReport, ReportDraft
from staff.models import Person
from staff.queries import shop_profile
from tests.cast import PASSWORD, Cast
from tests.findings import story
from workorders.models import Job


def dress_shop(**changes: object) -> None:
    """Give the shop a letterhead."""
    shop = shop_profile()
    facts = {
        "name": "Marlin Creek Marine",
        "address": "14 Slipway Lane\nPort Alder, FL 33999",
        "phone": "(555) 555-0110",
        "email": "office@marlincreek.example.com",
        **changes,
    }
    for name, value in facts.items():
        setattr(shop, name, value)
    shop.save()


def job_with_findings(cast: Cast) -> Job:
    """A job on which a code is seen, repaired, cleared and proven, with two readings against a spec card."""
    dress_shop()
    job = story.open_job(cast, day=10)
    story.scan(cast, 0, 700, [story.seen(story.COOLANT)])
    story.clear(cast, 1, 702)
    story.scan(
        cast,
        10,
        786,
        [story.seen(story.COOLANT, count=3), story.seen(story.OIL, "stored")],
        job=job,
        instrument="Reader R2",
    )
    story.work(cast, 11, 786.2, [story.fault(story.COOLANT)], text="Replaced the thermostat.", job=job)
    story.clear(cast, 11, 786.2, job=job)
    story.scan(cast, 12, 788, [], job=job, phase="sea-trial")
    pressure, _ = Parameter.objects.get_or_create(name="Oil pressure", defaults={"kind": "pressure", "position": 1})
    card = add_card(
        by=cast.tech,
        family=cast.family,
        title="D6T warm",
        document="Norrland D6T manual, ed. 4, p. 112",
        limits=[NewLimit(parameter=pressure, unit="psi", low=Decimal(40), high=Decimal(65))],
    )
    for engine, value in [(cast.port, "52.5"), (cast.starboard, "38")]:
        log_reading(
            by=cast.tech,
            vessel=cast.vessel,
            engine=engine,
            parameter=pressure,
            value=Decimal(value),
            unit="psi",
            limit=card.limits.get(),
            condition="warm, 2000 rpm",
            instrument="Gauge G-12",
            phase="sea-trial",
            job=job,
            engine_hours=Decimal("788"),
            happened_at=story.at(12),
        )
    line = job.lines.get()
    line.cause, line.correction = "Thermostat stuck.", "Replaced the thermostat, cleared the code, sea trial."
    line.done_on = story.at(12).date()
    line.save()
    line.done_by.set([cast.tech])
    return job


def drafted(cast: Cast, job: Job) -> ReportDraft:
    draft = actions.draft_report(by=cast.tech, job=job)
    return actions.word_report(
        by=cast.tech,
        draft=draft,
        seen_version=draft.version,
        changes={
            "summary": "The thermostat had stuck. It was replaced.",
            "soon": "Change the coolant.\nCheck the hoses.",
        },
    )


def reviewed(cast: Cast, job: Job) -> ReportDraft:
    draft = drafted(cast, job)
    return actions.review_report(by=cast.tech, draft=draft, seen_version=draft.version)


def sign(by: Person, draft: ReportDraft) -> ReportDraft:
    """Sign what the draft holds now; the task waits for the commit."""
    return actions.sign_report(by=by, draft=draft, seen=findings_digest(build_findings(draft)), password=PASSWORD)


def issued(cast: Cast, job: Job, capture) -> IssuedReport:
    """A report from draft to issue, with the tasks after the commit carried out."""
    draft = reviewed(cast, job)
    with capture(execute=True):
        sign(cast.owner, draft)
    return IssuedReport.objects.get(draft=draft)


def explained(cast: Cast, draft: ReportDraft, why: str = "Two hoses were looked at again.") -> ReportDraft:
    """A revision with its reason, reviewed."""
    worded = actions.word_report(by=cast.tech, draft=draft, seen_version=draft.version, changes={"why_revised": why})
    return actions.review_report(by=cast.tech, draft=worded, seen_version=worded.version)
