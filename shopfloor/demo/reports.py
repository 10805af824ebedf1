"""The condition reports of the scenario: one issued and then revised, one reviewed and waiting for a signature."""

from __future__ import annotations

from files.paper.signing import certificate_path, make_certificate
from findings.reports.actions import draft_report, review_report, revise_report, sign_report, word_report
from findings.reports.build import build_findings, findings_digest
from findings.reports.issuing import issue
from findings.reports.models import IssuedReport, ReportDraft
from shopfloor.demo.shop import HANDS, PROFILE
from shopfloor.demo.stage import Stage
from staff.models import Person
from workorders.models import Job

SURVEY = {
    "summary": (
        "The port engine was scanned and measured at idle, at 2000 rpm and at full load. No codes are stored. Its "
        "overheating of earlier seasons has not come back since its heat exchanger was cleaned."
    ),
    "remarks": "Port raw water pump pressure is inside its limits, near the lower one.",
    "soon": "Fit a new impeller in the port raw water pump at the next service.",
    "hin_found": "matches",
    "watch": "Port raw water pump pressure: measure again within 50 engine hours.",
}
PILOTS = {
    "summary": "Port raw water pressure is near its lower limit; one code was stored on arrival.",
    "before_next_use": "Fit the water pump repair kit on the port engine.",
    "watch": "Shift position switch on starboard: its connector was sealed on an earlier job.",
}


def sign_demo_reports(stage: Stage) -> None:
    """Make the certificate and the reports. They are signed now, by the real clock, as a signature must be."""
    if not certificate_path().exists():
        make_certificate(str(PROFILE["name"]))
    tech, owner = stage.people["pim"], stage.people["otto"]
    job = stage.jobs["survey"]
    job.refresh_from_db()
    first = _sign(_reviewed(draft_report(by=tech, job=job), tech, SURVEY), owner)
    revised = revise_report(by=owner, report=first)
    words = {
        "remarks": f"{SURVEY['remarks']} The pump's cover plate was looked at after the first report: no wear.",
        "why_revised": "The pump's cover plate was looked at after the first report.",
    }
    _sign(_reviewed(revised, tech, words), owner)
    pilots = Job.objects.get(vessel=stage.boats["bellwether"][1], state="in-work")
    _reviewed(draft_report(by=stage.people["luz"], job=pilots), stage.people["luz"], PILOTS)


def _reviewed(draft: ReportDraft, by: Person, words: dict[str, str]) -> ReportDraft:
    worded = word_report(by=by, draft=draft, seen_version=draft.version, changes=words)
    return review_report(by=by, draft=worded, seen_version=worded.version)


def _sign(draft: ReportDraft, owner: Person) -> IssuedReport:
    password = next(hand.password for hand in HANDS if hand.username == owner.username)
    sign_report(by=owner, draft=draft, seen=findings_digest(build_findings(draft)), password=password)
    issue(draft.pk)  # now, as the next report is made of it; what was asked for finds it done
    return IssuedReport.objects.select_related("job").filter(job=draft.job).latest("sequence")
