"""A note that corrects work, a clear or a scan stands beside what it corrects, wherever that shows."""

from __future__ import annotations

from types import SimpleNamespace
from typing import TYPE_CHECKING, Any

import pytest
from django.urls import reverse

from commands.refusals import Refused
from tests.findings.story import COOLANT, at, clear, fault, scan, seen, work
from vessels.actions import amend_text, retract

if TYPE_CHECKING:
    from django.test import Client

    from tests.cast import Cast
    from workorders.models import Job

WORK, RIGHT_WORK = "Replaced raw water impeller; three vanes broken.", "Two vanes were broken, not three."
CLEAR, RIGHT_CLEAR = "Cleared all codes", "Only SPN 110 FMI 0 was cleared."


@pytest.fixture
def told(cast: Cast, job: Job) -> Any:
    """A fault that was cured on a job and is back within the hold time; its work and its clear are corrected."""
    scan(cast, 0, 100, [seen(COOLANT)], job=job)
    done = work(cast, 0.1, 100, [fault()], WORK, job=job)
    cleared = clear(cast, 0.2, 100, job=job)
    job.state = "closed"
    job.closed_at = at(1)
    job.save()
    scan(cast, 5, 110, [seen(COOLANT)])
    return SimpleNamespace(
        work=amend_text(by=cast.desk, entry=done.entry, text=RIGHT_WORK),
        clear=amend_text(by=cast.desk, entry=cleared.entry, text=RIGHT_CLEAR),
        done=done,
        cleared=cleared,
    )


def pages(cast: Cast, job: Job) -> dict[str, tuple[str, bool, bool]]:
    """Each page with whether it shows the work, and the clear."""
    return {
        "findings": (reverse("findings:job", args=[job.number]), True, True),
        "fault": (reverse("findings:fault", args=[fault().pk]), True, True),
        "faults of the hull": (reverse("findings:vessel_faults", args=[cast.vessel.pk]), True, False),
        "comebacks": (reverse("findings:insight_comebacks"), True, False),
        "repairs": (reverse("findings:insight_repairs"), True, False),
        "log": (reverse("vessels:log", args=[cast.vessel.pk]), True, True),
    }


def test_the_right_words_stand_beside_the_wrong_ones_everywhere(
    cast: Cast, job: Job, told: Any, client: Client
) -> None:
    client.force_login(cast.manager)
    for name, (url, has_work, has_clear) in pages(cast, job).items():
        page = client.get(url).content.decode()
        assert WORK in page, name
        assert page.count(RIGHT_WORK) >= page.count(WORK) * has_work, name
        assert (RIGHT_CLEAR in page) is has_clear, name
        assert cast.desk.name in page, name


def test_a_correction_that_was_voided_corrects_nothing_any_more(
    cast: Cast, job: Job, told: Any, client: Client
) -> None:
    further = amend_text(by=cast.tech, entry=told.work, text="One vane, in fact.")
    client.force_login(cast.manager)
    url = reverse("findings:fault", args=[fault().pk])
    assert "One vane, in fact." in client.get(url).content.decode()
    retract(by=cast.manager, entry=told.work, reason="Other boat.")
    page = client.get(url).content.decode()
    assert RIGHT_WORK not in page
    assert further.text not in page
    log = client.get(reverse("vessels:entry", args=[told.done.pk])).content.decode()
    assert "(that correction was voided)" in log
    assert RIGHT_WORK not in log


def test_what_counts_no_more_says_whether_it_was_voided_or_corrected_by_whom_and_when(
    cast: Cast, job: Job, told: Any, client: Client
) -> None:
    first = told.done
    retract(by=cast.manager, entry=first.entry, reason="Other boat.")
    client.force_login(cast.manager)
    for url in (reverse("findings:job", args=[job.number]), reverse("findings:fault", args=[fault().pk])):
        page = client.get(url).content.decode()
        assert f"voided by {cast.manager.name}, " in page
        assert ": no longer counts" in page
        assert "corrected or voided" not in page


def test_a_sister_engine_is_told_of_with_the_right_words(cast: Cast, told: Any, job: Job, client: Client) -> None:
    from findings.faults.models import Episode
    from vessels.models import Engine, EngineFamily

    family = EngineFamily.objects.create(maker="Quillon", name="Q6")
    Engine.objects.filter(pk__in=[cast.port.pk, cast.starboard.pk]).update(family=family)
    scan(cast, 6, 50, [seen(COOLANT)], unit=cast.starboard_unit)
    Episode.objects.filter(fault=fault(unit=cast.port_unit)).update(outcome="held")
    client.force_login(cast.tech)
    page = client.get(reverse("findings:fault", args=[fault(unit=cast.starboard_unit).pk])).content.decode()
    assert WORK.rstrip(".") in page
    assert RIGHT_WORK in page
    assert f"{cast.vessel}, port engine" in page
    assert "this very engine" not in page


def test_an_engine_that_was_moved_is_no_sister_of_itself(cast: Cast, told: Any, client: Client) -> None:
    from vessels.models import Engine, EngineFamily, Vessel

    family = EngineFamily.objects.create(maker="Quillon", name="Q6")
    other = Vessel.objects.create(name="Elsewhere", owner=cast.customer)
    Engine.objects.filter(pk=cast.port.pk).update(family=family, serial="NL-20417")
    Engine.objects.filter(pk=cast.starboard.pk).update(
        family=family, serial="nl 20417", vessel=other, position="single"
    )
    scan(cast, 6, 50, [seen(COOLANT)], unit=cast.starboard_unit)
    address = reverse("findings:fault", args=[fault(unit=cast.starboard_unit).pk])
    client.force_login(cast.tech)
    assert "By its serial this very engine. " in client.get(address).content.decode()
    Engine.objects.update(serial="")
    assert "this very engine" not in client.get(address).content.decode()


# ---- a correction that is itself voided


def test_a_scan_whose_correction_was_voided_says_so_and_can_be_logged_again_once(
    cast: Cast, job: Job, client: Client
) -> None:
    wrong = scan(cast, 0, 100, [seen(COOLANT)], job=job)
    right = scan(cast, 0, 100, [seen(COOLANT, "stored")], job=job, amends=wrong.entry)
    client.force_login(cast.manager)
    form = client.get(reverse("vessels:void", args=[right.pk])).content.decode()
    assert "What it corrected does not count again" in form
    assert "log it again" in form
    retract(by=cast.manager, entry=right.entry, reason="It was active after all.")
    page = client.get(reverse("findings:job", args=[job.number])).content.decode()
    assert "(that correction was voided): no longer counts" in page
    entry = client.get(reverse("vessels:entry", args=[wrong.pk])).content.decode()
    assert "Neither this entry nor its correction counts" in entry
    assert "(that correction was voided)" in entry
    again = reverse("findings:scan", args=[job.number]) + f"?corrects={wrong.pk}"
    assert again in page
    scan_form = client.get(again)
    assert [row.listed.label for row in scan_form.context["rows"]] == ["SPN 110 FMI 0"]
    assert scan_form.context["form"]["corrects"].value() == str(wrong.pk)
    assert scan_form.context["corrected"] == wrong.entry
    third = scan(cast, 0, 100, [seen(COOLANT)], job=job, amends=wrong.entry)
    with pytest.raises(Refused, match="already corrected by"):
        scan(cast, 0, 100, [seen(COOLANT)], job=job, amends=wrong.entry)
    assert again not in client.get(reverse("findings:job", args=[job.number])).content.decode()
    told = client.get(reverse("vessels:entry", args=[wrong.pk])).content.decode()
    assert "Neither this entry nor its correction counts" not in told
    assert reverse("vessels:entry", args=[third.pk]) in told
    assert client.get(again).context["corrected"] is None


def test_a_note_whose_correction_was_voided_no_longer_says_it(cast: Cast, client: Client) -> None:
    from vessels.actions import write_note

    note = write_note(by=cast.desk, vessel=cast.vessel, text="It is the port tank that leaks.")
    correction = amend_text(by=cast.desk, entry=note, text="It is the starboard tank.")
    assert correction.summary == "Correction to “It is the port tank that leaks.”"
    client.force_login(cast.manager)
    before = client.get(reverse("vessels:entry", args=[note.pk])).content.decode()
    assert ": It is the starboard tank." in before
    assert "Corrects <a" in client.get(reverse("vessels:entry", args=[correction.pk])).content.decode()
    form = client.get(reverse("vessels:void", args=[correction.pk])).content.decode()
    assert "What it corrected then stands uncorrected" in form
    assert "It is the port tank that leaks." in form
    taken = retract(by=cast.manager, entry=correction, reason="The owner looked again.")
    assert taken.summary == "Voided: “It is the starboard tank.”"
    after = client.get(reverse("vessels:entry", args=[note.pk])).content.decode()
    assert "(that correction was voided)" in after
    assert "starboard tank" not in after
    assert "Voids <a" in client.get(reverse("vessels:entry", args=[taken.pk])).content.decode()


def test_voiding_what_corrects_nothing_says_nothing_of_it(cast: Cast, job: Job, client: Client) -> None:
    client.force_login(cast.manager)
    form = client.get(reverse("vessels:void", args=[scan(cast, 0, 100, [], job=job).pk])).content.decode()
    assert "What it corrected" not in form


def test_ones_own_latest_entries_say_which_was_corrected_and_which_was_voided(
    cast: Cast, job: Job, client: Client
) -> None:
    wrong = scan(cast, 0, 100, [], job=job)
    right = scan(cast, 0, 100, [seen(COOLANT)], job=job, amends=wrong.entry)
    client.force_login(cast.tech)

    def marks() -> str:
        page = client.get(reverse("today")).content.decode()
        return page.partition('id="log-title"')[2].partition("</section>")[0]

    assert marks().count(">corrected</span>") == 1
    assert ">voided</span>" not in marks()
    retract(by=cast.tech, entry=right.entry, reason="Other boat.")
    assert marks().count(">voided</span>") == 1
    assert marks().count("(that correction was voided)") == 1
    assert "voided or corrected" not in marks()
