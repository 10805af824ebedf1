"""Hours that nobody read are not known: no page fills in old ones, and what a text gives itself is said to be read."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from engineering.hours import hours_said
from findings.bench.context import ToolContext
from findings.faults.models import Scan
from findings.readings.models import Reading
from tests.findings.story import COOLANT, fault, scan, seen
from vessels.actions import log_hours, replace_meter
from vessels.models import LogEntry

TEXT = "Engine control unit\nEngine hours: 810.6 h\nSPN 110 FMI 0 active\n"


@pytest.mark.parametrize(
    ("text", "hours"),
    [
        ("Engine hours: 1.204", None),
        ("Engine hours: 810.6 h", "810.6"), ("ENGINE HOURS 1,204.5", None), ("Total engine hours = 1,204.5", "1204.5"),
        ("Hour meter: 810.6", "810.6"), ("  Engine Total Hours:\t99 hrs", "99"), ("Operating hours (h): 12.5", "12.5"),
        ("Hours: 810,5", "810.5"), ('"Engine hours","810.6"', "810.6"), ("Engine run hours; 44", "44"),
        ("Hour meter reading: 810.6 h.", "810.6"), ("Engine hours: 810.6\nEngine hours: 810.6", "810.6"),
        # what are other hours, or no hours of this engine for sure
        ("Engine hours: 810.6\nEngine hours: 795.1", None), ("Idle hours: 80", None), ("Trip hours: 8", None),
        ("Hours since service: 12", None), ("Hours to service: 88", None), ("Labor hours: 2.5", None),
        ("110-0 active at 803.2 h", None), ("Engine hours: --", None), ("Engine hours: 0", None),
        ("Engine hours: 810 min", None), ("Engine speed: 810", None), ("Hours of operation 8 to 17", None),
        ("Shop hours: 8-17", None), ("Opening hours: 8", None), ("Not engine hours: 5", None), ("Hours", None),
        ("Max engine hours: 900", None), ("Engine hours at last fault: 700", None), ("Engine hours: 1.2.3", None),
        ("Engine hours: 65535", None), ("Total engine hours: 214748364.75", None), ("Engine hours: 65534", "65534"),
    ],
)  # fmt: skip
def test_hours_are_read_of_a_text_only_where_it_says_them_of_the_engine(text: str, hours: str | None) -> None:
    said = hours_said(text)
    assert (said.hours if said else None) == (Decimal(hours) if hours else None)


@pytest.fixture
def known(cast, job):
    """Hours read on this very job, on the scan that has a fault."""
    scan(cast, 0, 100, [seen(COOLANT)], job=job)
    return "Last 100 h, Apr 1, 2025."


PAGES = ["scan", "clear", "work", "job_readings", "paste"]


@pytest.mark.parametrize("page", PAGES)
def test_no_page_fills_in_hours(tech, job, known, page):
    body = tech.get(reverse(f"findings:{page}", args=[job.number])).content.decode()
    assert 'name="hours" value' not in body.replace("\n", " ")
    if page != "paste":  # the text is asked for first
        assert known in body
        assert "data-read-now" in body


def test_what_is_logged_without_hours_has_none(tech, cast, job, known):
    answers = {"phase": "after-repair", "extent": "all", "happened_at": "", "text": "", "entry_id": ""}
    unit = {"unit": cast.port_unit.pk}
    for page, more in [
        ("scan", {**unit, "do": "log", "listed": '[["spn","110-0","active",1]]', "status": "active"}),
        ("clear", unit),
        ("work", {"faults": [fault().pk], "text": "Replaced the sender."}),
    ]:
        answer = tech.post(reverse(f"findings:{page}", args=[job.number]), {**answers, **more, "hours": ""})
        assert answer.status_code == 302, page
    later = LogEntry.objects.exclude(position=1)
    assert set(later.values_list("engine_hours", flat=True)) == {None}
    assert later.count() == 3


def test_the_last_hours_stand_there_as_the_meter_shows_them(tech, cast, job):
    log_hours(by=cast.tech, engine=cast.port, shown=Decimal(800))
    replace_meter(by=cast.tech, engine=cast.port, old_shown=Decimal(800), new_shown=Decimal(0))
    log_hours(by=cast.tech, engine=cast.port, shown=Decimal("12.5"))
    assert "Last 12.5 h, " in tech.get(reverse("findings:scan", args=[job.number])).content.decode()


def paste(tech, job, text, **more):
    return tech.post(
        reverse("findings:paste", args=[job.number]),
        {"pasted": text, "phase": "arrival", "extent": "all", "status": "active", "entry_id": "", **more},
    )


def test_hours_of_a_pasted_text_are_offered_as_read_from_it(tech, cast, job):
    form = paste(tech, job, TEXT, unit=cast.port_unit.pk).context["form"]
    assert form["hours"].value() == "810.6"
    assert "Read from the text, line 2: “Engine hours: 810.6 h”." in form["hours"].help_text
    read = form["read_digest"].value()
    sent = {"code-0-take": "on", "do": "log", "read_digest": read, "hours": "810.6", "extent": "some"}
    logged = paste(tech, job, TEXT, unit=cast.port_unit.pk, **sent)
    assert logged.status_code == 302, logged.context["form"].errors
    assert Scan.objects.get().entry.engine_hours == Decimal("810.6")


def test_a_text_without_hours_offers_none(tech, cast, job, known):
    form = paste(tech, job, "SPN 110 FMI 0 active\n", unit=cast.port_unit.pk).context["form"]
    assert not form["hours"].value()
    assert form["hours"].help_text.startswith(known)


def test_hours_of_a_text_that_cannot_be_are_said_and_not_filled_in(tech, cast, job):
    log_hours(by=cast.tech, engine=cast.port, shown=Decimal(900))
    form = paste(tech, job, TEXT, unit=cast.port_unit.pk).context["form"]
    assert not form["hours"].value()
    assert "Line 2 of the text says 810.6 h. That is not filled in: The engine had 900 h" in form["hours"].help_text


def test_what_was_typed_is_not_replaced_by_what_was_read(tech, cast, job):
    form = paste(tech, job, TEXT, unit=cast.port_unit.pk, hours="811").context["form"]
    assert form["hours"].value() == "811"


def test_hours_of_no_engine_are_refused_and_not_dropped(tech, cast, job):
    cast.vessel.units.update(engine=None)
    answers = {
        "unit": cast.port_unit.pk,
        "phase": "arrival",
        "extent": "all",
        "do": "log",
        "hours": "12",
        "status": "active",
    }
    listed = '[["spn","110-0","active",1]]'
    answer = tech.post(reverse("findings:scan", args=[job.number]), {**answers, "listed": listed})
    assert answer.status_code == 422
    assert "Hours belong to an engine" in answer.context["form"].errors["hours"][0]
    assert not Reading.objects.exists()


class TestAMeterReplacedUnread:
    """What a new meter shows is not what the engine has run, and no page takes it for that."""

    @pytest.fixture
    def unread(self, cast):
        log_hours(by=cast.tech, engine=cast.port, shown=Decimal(800))
        replace_meter(by=cast.tech, engine=cast.port)

    @pytest.mark.parametrize("page", PAGES)
    def test_the_field_says_that_they_are_not_known(self, tech, job, unread, page):
        if page == "paste":
            return
        body = tech.get(reverse(f"findings:{page}", args=[job.number])).content.decode()
        assert "Last known 800 h, " in body
        assert "The engine’s hours are not known since" in body

    def test_hours_written_all_the_same_are_refused_and_kept(self, tech, cast, job, unread):
        answers = {"phase": "after-repair", "extent": "all", "entry_id": "", "do": "log", "status": "active"}
        answers |= {"unit": cast.port_unit.pk, "listed": '[["spn","110-0","active",1]]', "hours": "5"}
        answer = tech.post(reverse("findings:scan", args=[job.number]), answers)
        assert answer.status_code == 422
        body = answer.content.decode()
        assert "log what the meter shows on the engine’s page" in body
        assert 'value="5"' in body
        assert not Scan.objects.exists()

    def test_hours_of_a_text_are_not_filled_in(self, tech, cast, job, unread):
        form = paste(tech, job, TEXT, unit=cast.port_unit.pk).context["form"]
        assert not form["hours"].value()
        assert "That is not filled in: The engine’s hours are not known since" in form["hours"].help_text

    def test_a_bench_tool_has_none_at_hand(self, cast, job, unread):
        assert ToolContext(job, cast.port, "us", timezone.localdate()).hours is None

    def test_a_correction_of_an_earlier_scan_keeps_its_hours(self, tech, cast, job):
        wrong = scan(cast, 0, 100, [seen(COOLANT)], job=job)
        replace_meter(by=cast.tech, engine=cast.port)
        form = tech.get(reverse("findings:scan", args=[job.number]), {"corrects": wrong.pk}).context["form"]
        assert form["hours"].value() == "100"


@pytest.mark.parametrize(
    ("page", "sent"),
    [
        ("scan", {"do": "log", "listed": "", "phase": "arrival", "extent": "all", "status": "active"}),
        ("clear", {"which": "all"}),
        ("job_readings", {"phase": "arrival"}),
    ],
)
def test_after_an_error_the_hours_are_asked_of_the_same_engine(tech, cast, job, known, page, sent):
    address = reverse(f"findings:{page}", args=[job.number]) + f"?engine={cast.port.pk}&unit={cast.port_unit.pk}"
    answer = tech.post(address, {**sent, "unit": cast.port_unit.pk, "engine": cast.port.pk, "hours": "many"})
    assert answer.status_code == 422
    body = " ".join(answer.content.decode().split())
    assert "Hour meter shows (port)" in body
    assert "Hour meter shows: " not in body  # nor in the list of what is wrong
    assert known in body
    assert 'value="many"' in body
