"""Assembling a record from the database, by itself and in a fixed number of queries."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from zoneinfo import ZoneInfo

from django.utils import timezone

from engineering.canonical import canonical_json
from findings.reports.aboard import Aboard, aboard, owner_at, put_back_vessel
from findings.reports.cautions import CAUTIONS
from findings.reports.coverage import coverage_of
from findings.reports.differences import differences
from findings.reports.gather_codes import CodesOfJob
from findings.reports.gather_happenings import driven_facts, setting_facts, visual_facts, with_those_of_findings
from findings.reports.gather_readings import readings_of, results_of
from findings.reports.listed import turns_of
from findings.reports.models import ReportDraft
from findings.reports.record import (
    FORMAT,
    WORDING,
    CustomerFacts,
    EngineFacts,
    Findings,
    InspectionFacts,
    IssueFacts,
    JobFacts,
    LineFacts,
    PartFacts,
    PersonFacts,
    Recommendation,
    Record,
    RevisionFacts,
    ScanFacts,
    ShopFacts,
    UnitFacts,
    VesselFacts,
    from_json,
    plain_facts,
)
from findings.reports.source import Source
from staff.models import Person, ShopProfile
from staff.queries import shop_profile
from vessels.hours import unread_since
from vessels.identity import SerialRead, another_unit_words
from vessels.models import LogEntry
from vessels.queries.doubts import hours_in_doubt
from vessels.queries.serials import serials_of
from vessels.wording import label_of
from workorders.jobparts.queries.fitted import parts_on
from workorders.models import Job, JobChange, JobLine

CORRECTION = label_of(JobLine(), "correction")


def build_findings(draft: ReportDraft) -> Findings:
    """Everything the report says before it is signed: what the database holds now, in the words of the draft."""
    shop = shop_profile()
    with timezone.override(ZoneInfo(shop.time_zone)):  # a worker that draws it has no request with a zone
        return _build(draft, shop)


def _build(draft: ReportDraft, shop: ShopProfile) -> Findings:
    job = Job.objects.select_related("vessel", "customer").get(pk=draft.job_id)
    zone = ZoneInfo(shop.time_zone)
    there = aboard(job)
    source = Source(job=job, zone=zone, aboard=there)
    serials = serials_of(unit.pk for unit in there.units)
    codes = CodesOfJob(source, serials)
    engines = tuple(_engines(source))
    scans, readings, work = tuple(codes.scans()), tuple(readings_of(source)), tuple(codes.work())
    units, visual = tuple(_units(source, scans, serials)), tuple(visual_facts(source))
    tests, settings = tuple(driven_facts(source)), tuple(setting_facts(source))
    clears, parts = tuple(codes.clears()), parts_of(job, source)
    findings = Findings(
        wording=WORDING,
        shop=shop_facts(shop),
        customer=_customer(job),
        vessel=_vessel(job, there),
        job=_job(job, zone),
        reviewer=person_facts(draft.reviewed_by) if draft.reviewed_by else None,
        reviewed_at=in_zone(draft.reviewed_at, zone),
        summary=draft.summary.strip(),
        remarks=draft.remarks.strip(),
        engines=engines,
        units=units,
        scans=scans,
        faults=tuple(codes.faults()),
        readings=readings,
        lines=tuple(_lines(job, source, parts)),
        work=work,
        recommendations=tuple(with_those_of_findings(recommendations_of(draft), job)),
        not_inspected=lines_of(draft.not_inspected),
        cautions=CAUTIONS,
        coverage=tuple(coverage_of(engines, units, scans, readings, turns_of(units, work, clears, str(job.number)))),
        inspection=_inspection(
            draft,
            [one.at for kind in (scans, readings, work, visual, tests) for one in kind]
            + [one.at for one in settings if one.job == str(job.number)],
        ),
        other_parts=tuple(parts.get(None, [])),
        clears=clears,
        results=tuple(results_of(source)),
        visual=visual,
        tests=tests,
        settings=settings,
    )
    return replace(findings, revision=_revision(draft, findings, zone))


def _inspection(draft: ReportDraft, times: Sequence[datetime]) -> InspectionFacts:
    return InspectionFacts(
        place=draft.place.strip(),
        afloat=draft.get_afloat_display() if draft.afloat else "",
        attended=draft.attended.strip(),
        inspected_on=draft.inspected_on,
        first_at=min(times, default=None),
        last_at=max(times, default=None),
        hin_found=draft.hin_found,
    )


def _revision(draft: ReportDraft, findings: Findings, zone: ZoneInfo) -> RevisionFacts | None:
    """What this report takes the place of, with what is different, as worked out from the two records."""
    old = draft.supersedes
    if old is None:
        return None
    withdrawal = getattr(old, "withdrawal", None)
    return RevisionFacts(
        number=old.number,
        signed_at=old.signed_at.astimezone(zone),
        signed_by=old.signer.name,
        withdrawn_at=in_zone(withdrawal.entry.happened_at, zone) if withdrawal else None,
        withdrawal_reason=withdrawal.reason if withdrawal else "",
        why=draft.why_revised.strip(),
        changed=tuple(differences(from_json(old.record).findings, findings)),
    )


def draft_record(draft: ReportDraft) -> Record:
    """The record of a draft: everything but number, code and signer."""
    return Record(format=FORMAT, issue=None, findings=build_findings(draft))


def issued_record(findings: Findings, issue: IssueFacts) -> Record:
    """The record of what is about to be signed."""
    return Record(format=FORMAT, issue=issue, findings=findings)


def findings_digest(findings: Findings) -> str:
    """A digest by which a signer's page tells whether the findings are still those that were read."""
    return hashlib.sha256(canonical_json(plain_facts(findings))).hexdigest()


def review_digest(findings: Findings) -> str:
    """A digest of what a reviewer says to be correct: all that the report says but of the review itself."""
    return findings_digest(replace(findings, reviewer=None, reviewed_at=None))


def lines_of(text: str) -> tuple[str, ...]:
    """The lines of a text, one thing each."""
    return tuple(line.strip() for line in text.splitlines() if line.strip())


def recommendations_of(draft: ReportDraft) -> Iterable[Recommendation]:
    """The draft's recommendations, most urgent first."""
    for urgency, text in [("before next use", draft.before_next_use), ("soon", draft.soon), ("watch", draft.watch)]:
        for line in lines_of(text):
            yield Recommendation(urgency=urgency, text=line)


def in_zone(value: datetime | None, zone: ZoneInfo) -> datetime | None:
    """The time in the shop's zone."""
    return value.astimezone(zone) if value else None


def shop_facts(shop: ShopProfile) -> ShopFacts:
    """The shop's identity."""
    return ShopFacts(
        name=shop.name,
        address=shop.address.strip(),
        phone=shop.phone,
        email=shop.email,
        time_zone=shop.time_zone,
        units=shop.units,
    )


def person_facts(person: Person) -> PersonFacts:
    """A person as the report names them."""
    return PersonFacts(
        name=person.name,
        role=person.get_role_display(),
        qualification=person.qualification,
        license=person.license_number,
    )


def _customer(job: Job) -> CustomerFacts:
    customer = job.customer
    return CustomerFacts(name=customer.name, contact=customer.contact, address=customer.address.strip())


def _vessel(job: Job, there: Aboard) -> VesselFacts:
    vessel = job.vessel
    changed = put_back_vessel(vessel, job, there.end)
    return VesselFacts(
        name=vessel.name,
        hin=vessel.hin,
        hin_remark=vessel.hin_remark,
        registration=vessel.registration,
        kind=vessel.get_kind_display(),
        maker=vessel.maker,
        model=vessel.model,
        model_year=vessel.model_year,
        length_m=vessel.length_m,
        owner=owner_at(job, there.end),
        changed_since=changed,
    )


def _job(job: Job, zone: ZoneInfo) -> JobFacts:
    return JobFacts(
        number=str(job.number),
        opened_at=job.opened_at.astimezone(zone),
        condition_on_arrival=job.condition.strip(),
        ended_at=in_zone(job.closed_at, zone),
    )


def _engines(source: Source) -> Iterable[EngineFacts]:
    there = source.aboard
    last_read = there.last_hours()
    doubts = hours_in_doubt(there.names, until=there.end)
    for engine in there.engines:
        last, unread = last_read.get(engine.pk), unread_since(engine, there.end)
        entry = last if unread is None else None
        before = last if unread is not None and last is not None and last.happened_at < unread else None
        yield EngineFacts(
            position=there.names[engine.pk],
            maker=engine.maker,
            model=engine.model,
            family=str(engine.family) if engine.family else "",
            serial=engine.serial,
            year=engine.year,
            fuel=engine.get_fuel_display(),
            rated_power_kw=engine.rated_power_kw,
            rated_rpm_low=engine.rated_rpm_low,
            rated_rpm_high=engine.rated_rpm_high,
            gear_ratio=engine.gear_ratio,
            propeller=engine.propeller,
            hours=entry.engine_hours if entry else None,
            hours_at=in_zone(entry.happened_at, source.zone) if entry else None,
            meter_replaced=sum(1 for one in engine.meters.all() if there.end is None or one.fitted_at <= there.end) > 1,
            removed_on=there.taken_out.get(engine.pk),
            hours_in_doubt=tuple(doubts.get(engine.pk, ())),
            unread_since=in_zone(unread, source.zone),
            hours_before=before.engine_hours if before else None,
            hours_before_at=in_zone(before.happened_at, source.zone) if before else None,
            changed_since=there.changed_since.get(engine.pk, ()),
        )


def _units(
    source: Source, scans: Sequence[ScanFacts], serials: Mapping[int, Sequence[SerialRead]]
) -> Iterable[UnitFacts]:
    identified = source.aboard.identified()
    for unit in source.aboard.units:
        said, name = identified.get(unit.pk), source.aboard.unit_names[unit.pk]
        first = min((scan.at for scan in scans if scan.unit == name and scan.tells_codes), default=None)
        reads = serials.get(unit.pk, ())
        yield UnitFacts(
            name=name,
            engine=source.engine_name(unit.engine_id),
            code_system=unit.get_code_system_display(),
            serial=said.serial if said else "",
            hardware=said.hardware if said else "",
            software=said.software if said else "",
            calibration=said.calibration if said else "",
            identified_at=in_zone(said.at, source.zone) if said else None,
            read_earlier=tuple(said.earlier) if said else (),
            another_unit=another_unit_words(reads, since=first, until=source.aboard.end) if first else "",
        )


def _lines(job: Job, source: Source, parts: Mapping[int | None, Sequence[PartFacts]]) -> Iterable[LineFacts]:
    corrected = _corrected(job)
    for line in job.lines.prefetch_related("done_by"):
        entry = corrected.get(line.pk) if line.correction.strip() else None
        yield LineFacts(
            engine=source.engine_name(line.engine_id),
            concern=line.concern.strip(),
            cause=line.cause.strip(),
            correction=line.correction.strip(),
            corrected_by=entry.author.name if entry else "",
            corrected_at=in_zone(entry.happened_at, source.zone) if entry else None,
            parts=tuple(parts.get(line.pk, ())),
            done_by=tuple(person.name for person in sorted(line.done_by.all(), key=lambda person: person.name)),
            done_on=line.done_on,
        )


def _corrected(job: Job) -> dict[int, LogEntry]:
    """Of each line the entry that last changed its correction."""
    changes = JobChange.objects.filter(entry__job=job, line__isnull=False, changes__has_key=CORRECTION)
    ordered = changes.select_related("entry__author").order_by("entry__happened_at", "entry__position")
    return {change.line_id: change.entry for change in ordered if change.line_id}


def parts_of(job: Job, source: Source) -> dict[int | None, list[PartFacts]]:
    """The parts fitted on a job, by the line they belong to, and those of which there is a charge alone."""
    found: dict[int | None, list[PartFacts]] = {}
    beside = parts_on(job)
    for fitted in (one.fitted for one in beside.fitted):
        entry = fitted.entry
        maker = f" ({fitted.maker})" if fitted.maker and fitted.description else ""
        found.setdefault(fitted.line_id, []).append(
            PartFacts(
                number=fitted.number,
                description=f"{fitted.description}{maker}" or fitted.maker,
                quantity=fitted.quantity,
                by=entry.author.name,
                at=entry.happened_at.astimezone(source.zone),
                is_fitted=True,
                condition=fitted.condition,
                serial=fitted.serial,
                engine=source.engine_name(entry.engine_id),
                hours=entry.engine_hours,
                is_correction=fitted.first_id is not None,
            )
        )
    for charge in beside.unmatched:
        found.setdefault(charge.line_id, []).append(
            PartFacts(
                number=charge.part.number if charge.part else "",
                description=charge.description,
                quantity=charge.quantity,
                by=charge.added_by.name,
                at=charge.added_at.astimezone(source.zone),
            )
        )
    return found
