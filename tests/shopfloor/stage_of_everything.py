"""One row at least of every table that keeps words, told through the house's actions where there are some."""

from __future__ import annotations

import contextlib
from decimal import Decimal

from django.test import Client
from django.utils import timezone

from billing.authorizations.actions import (
    change_authorization_rules,
    go_on,
    let_stopped_go,
    reopen_deferred,
    withdraw_authorization,
)
from billing.authorizations.queries import rules as authorization_rules
from billing.invoices.actions import change_billing, change_customer_billing, name_account
from billing.invoices.queries.shop import billing_profile
from commands.refusals import Refused
from engineering.codes import Code, CodeSystem
from findings.readings.actions import NewLimit, change_card, log_reading
from findings.reports.models import DraftState, ReportDraft, ReportWithdrawal
from staff.doors.models import AccountEvent
from staff.queries import shop_profile
from tests.cast import make_cast
from tests.findings import story
from tests.shopfloor.scene import Scene
from vessels.actions import change_vessel, identify_unit, write_note
from vessels.log.chain import NewEntry, append, lock_log
from workorders.actions import add_charge, change_intake, move_job
from workorders.appointments.actions import plan_appointment, settle_appointment
from workorders.calls.actions import note_call
from workorders.labor.actions import correct_hours, note_hours, pause_clock, start_clock, void_hours

MAKERS_CODE = Code(CodeSystem.MAKER, "A17")


def agree(scene: Scene) -> None:
    """What a customer agreed to and called off again, a manager's word beside it, and where the shop's rule is from."""
    own = authorization_rules()
    change_authorization_rules(by=scene.cast.owner, rules=own, seen_version=1, changes={"citation": "our terms"})
    agreed = scene.authorization
    with contextlib.suppress(Refused):
        add_charge(by=scene.cast.owner, job=agreed.job, kind="fee", description="New hull", unit_price=Decimal(99999))
    let_stopped_go(by=scene.cast.desk, job=agreed.job, reason="Nobody wants one")
    go_on(by=scene.cast.owner, job=agreed.job, up_to=Decimal(9000), reason="The boat is on the lift")
    withdraw_authorization(by=scene.cast.desk, authorization=agreed, reason="Called off")
    reopen_deferred(by=scene.cast.desk, deferred=scene.dropped, reason="It was another boat")


def full_stage() -> Scene:
    """A scene in which nothing is left out."""
    shop_profile()
    cast = make_cast()
    scene = Scene(cast)
    Client().force_login(cast.owner)
    AccountEvent.objects.create(person=cast.owner, kind="logged-in", by=cast.owner, address="192.0.2.7", detail="New")
    cast.customer.emails.create(label="office", address="wes@example.com")
    job = scene.job
    note_call(by=cast.desk, job=job, who="Wes Harrow", said="Comes on Friday")
    settle_appointment(by=cast.desk, appointment=scene.appointment, state="off", reason="Storm")
    plan_appointment(by=cast.desk, kind="arrival", day=timezone.localdate(), when="afternoon", name="The green one")
    scene.letter, scene.serviced, scene.stay, scene.reminder, scene.wish, scene.feed  # noqa: B018  (each is made when it is asked for)
    agree(scene)
    scene.kit, scene.estimate  # noqa: B018  (each is made when it is asked for)
    scene.estimate.words = "As we said on the phone."
    scene.estimate.save()
    scene.certificate.reason = "Commercial fishing"
    scene.certificate.save()
    scene.fitted, scene.awaited  # noqa: B018  (each is made when it is asked for)
    scene.charge, scene.part, scene.note, scene.can_log  # noqa: B018  (each is made when it is asked for)
    change_vessel(by=cast.owner, vessel=cast.vessel, seen_version=cast.vessel.version, changes={"color": "White"})
    identify_unit(by=cast.tech, unit=cast.port_unit, serial="S1", hardware="H1", software="W1", calibration="C1")
    change_intake(by=cast.desk, job=job, seen_version=job.version, changes={"keys": "Hook 4"})
    job.refresh_from_db()
    move_job(by=cast.manager, job=job, to="waiting-parts", reason="Sender is ordered", seen_version=job.version)
    codes = [story.seen(story.COOLANT), story.seen(MAKERS_CODE)]
    story.scan(cast, 1, 101, codes, job=job, instrument="Reader R2", registered=scene.instrument, raw="110-0 active")
    story.clear(cast, 2, 102, [story.fault(MAKERS_CODE)], job=job)
    story.work(cast, 2, 102, [story.fault(story.COOLANT), story.fault(MAKERS_CODE)], job=job, line=scene.line)
    story.scan(cast, 3, 140, [story.seen(MAKERS_CODE)], job=job)
    scene.card, scene.sheet, scene.learned  # noqa: B018  (each is made when it is asked for)
    limit = NewLimit(scene.parameter, "psi", low=Decimal(40), high=Decimal(65))
    change_card(by=cast.tech, card=scene.card, changes={"notes": "Checked by hand."}, limits=[limit])
    for hours, value in [(141, "52.5"), (160, "38")]:
        log_reading(
            by=cast.tech, vessel=cast.vessel, engine=cast.port, parameter=scene.parameter, value=Decimal(value),
            unit="psi", condition="", instrument="Gauge 3", registered=scene.instrument, phase="arrival", job=job,
            engine_hours=Decimal(hours), happened_at=story.at(hours / 24), worked_from=_WORKED,
        )  # fmt: skip
    write_note(by=cast.tech, vessel=cast.vessel, text="Bilge pump runs often", engine=cast.port, job_id=job.pk)
    worked = {"line": scene.line, "day": timezone.localdate(), "minutes": 60}
    wrong = note_hours(by=cast.tech, **worked, remark="At the dock")
    correct_hours(by=cast.tech, stretch=wrong, **{**worked, "minutes": 30}, reason="Lunch")
    void_hours(by=cast.tech, stretch=note_hours(by=cast.tech, **worked, remark="Twice"), reason="Noted twice")
    pause_clock(by=cast.owner, stretch=start_clock(by=cast.owner, line=scene.line), reason="Phone")
    scene.visual_finding, scene.function_test, scene.setting, scene.set_back  # noqa: B018  (each is made when it is asked for)
    _bill(scene)
    report = scene.report
    lock_log(cast.vessel, entry_id=None, kind="report-withdrawn")
    append(
        NewEntry(kind="report-withdrawn", vessel=cast.vessel, author=cast.owner, summary="Withdrawn", job_id=job.pk),
        detail=ReportWithdrawal(report=report, reason="The wrong engine"),
    )
    scene.__dict__["draft"] = ReportDraft.objects.create(
        job=job, state=DraftState.REVIEWED, started_by=cast.tech, reviewed_by=cast.tech, reviewed_at=timezone.now(),
        summary="It overheats.", remarks="As told.", before_next_use="Pump", soon="Hose", watch="Belt",
        not_inspected="Rigging",
    )  # fmt: skip
    return scene


def _bill(scene: Scene) -> None:
    """An invoice with all that may happen to one, and what the shop says of its invoices."""
    cast = scene.cast
    scene.notice, scene.payment, scene.write_off, scene.credit, scene.loose_write_off  # noqa: B018  (each is made when it is asked for)
    name_account(by=cast.owner, role="means:cash", code="1000", name="Till")
    said = {"how_to_pay": "To the desk", "registration": "R-1", "vat_id": "V-1"}
    change_billing(by=cast.owner, seen_version=billing_profile().version, changes=said)
    change_customer_billing(by=cast.owner, customer=cast.customer, seen_version=1, changes={"vat_id": "V-2"})


_WORKED = {
    "tool": "resistance-from-drop", "title": "Resistance of a circuit", "outcome": "It is high", "formula": "R = U / I",
    "inputs": [{"label": "Drop seen", "value": "0.4", "unit": "V"}], "figures": [{"label": "R of it", "value": "0.02"}],
    "source": "Ohm's law",
}  # fmt: skip
