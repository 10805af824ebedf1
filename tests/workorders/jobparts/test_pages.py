"""The pages of parts on the job: what a technician fits, what the desk charges, what the shop waits for."""

from __future__ import annotations

import csv
import io
import re
import uuid
from datetime import timedelta
from decimal import Decimal
from typing import Any

import lxml.html
import pytest
from django.utils import timezone

from tests.asking import asked
from tests.cast import Cast
from tests.workorders.counter import signed_in
from vessels.actions import add_vessel, amend_text, log_hours, remove_engine, retract
from vessels.models import LogEntry
from workorders.actions import add_charge, add_line, move_job, open_job, return_core
from workorders.jobparts.actions import charge_fitted, part_arrived
from workorders.jobparts.models import AwaitedPart, FittedCharge, PartFitted
from workorders.models import Charge, Job

LAST_WEEK = timezone.now() - timedelta(days=7)


def text_of(page: Any) -> str:
    tree = lxml.html.fromstring(page.content.decode())
    return " ".join(tree.text_content().split())


def told(**more: Any) -> dict[str, Any]:
    return {"entry_id": str(uuid.uuid4()), "step": "log", "quantity": "1", "condition": "new", "number": "ZX-9", **more}


class TestFitting:
    def test_on_a_boat_with_two_engines_nothing_is_chosen(self, cast, job):
        job.lines.update(engine=None)
        page = signed_in(cast.tech).get(f"/jobs/{job.number}/parts/fit/")
        assert page.context["form"]["engine"].value() is None
        assert "checked" not in str(page.context["form"]["engine"])
        assert "checked" not in str(page.context["form"]["condition"])  # nobody says new for anybody

    def test_what_names_no_engine_is_refused_and_kept(self, cast, job):
        job.lines.update(engine=None)
        page = signed_in(cast.tech).post(f"/jobs/{job.number}/parts/fit/", told(serial="RW 4411"))
        assert page.status_code == 422
        assert "Say what it was fitted on" in text_of(page)
        assert page.context["form"]["serial"].value() == "RW 4411"
        assert not PartFitted.objects.exists()

    def test_the_line_of_the_link_names_the_engine(self, cast, job):
        add_line(by=cast.tech, job=job, concern="Starboard hose", engine=cast.starboard)
        form = signed_in(cast.tech).get(f"/jobs/{job.number}/parts/fit/?line=2").context["form"]
        assert (form["line"].value(), form["engine"].value()) == (job.lines.get(position=2).pk, cast.starboard.pk)

    def test_the_only_engine_leaves_no_choice(self, cast, job):
        job.lines.update(engine=None)
        remove_engine(by=cast.desk, engine=cast.starboard)
        form = signed_in(cast.tech).get(f"/jobs/{job.number}/parts/fit/").context["form"]
        assert form["engine"].value() == cast.port.pk

    def test_a_boat_without_engines(self, cast):
        boat = add_vessel(by=cast.desk, owner=cast.customer, name="Tern")
        job = open_job(by=cast.desk, vessel=boat, concerns=["Leak"])
        client = signed_in(cast.tech)
        assert "leave the hours empty" in text_of(client.get(f"/jobs/{job.number}/parts/fit/"))
        assert client.post(f"/jobs/{job.number}/parts/fit/", told(engine="boat")).status_code == 302
        assert PartFitted.objects.get().entry.engine is None

    def test_hours_are_never_filled_in_and_the_last_known_stand_beside(self, cast, job):
        log_hours(by=cast.tech, engine=cast.port, shown=Decimal("410.2"))
        page = signed_in(cast.tech).get(f"/jobs/{job.number}/parts/fit/")
        assert not page.context["form"]["hours"].value()
        assert "Port: Last 410.2 h" in text_of(page)
        assert "Starboard: No hours of this engine are on record yet." in text_of(page)

    def test_it_is_logged_and_stands_on_the_lines_tab(self, cast, job):
        client = signed_in(cast.tech)
        log_hours(by=cast.tech, engine=cast.port, shown=Decimal(410), happened_at=LAST_WEEK)
        sent = told(engine=cast.port.pk, hours="411,5", serial="RW 4411", old_fate="core", text="Vanes set.")
        answers = [client.post(f"/jobs/{job.number}/parts/fit/", sent) for _ in range(2)]
        made = PartFitted.objects.get()
        assert [one.status_code for one in answers] == [302, 302]
        assert answers[0]["Location"] == f"/jobs/{job.number}/lines/#fitted-{made.pk}"
        assert made.entry.engine_hours == Decimal("411.5")
        page = text_of(client.get(f"/jobs/{job.number}/lines/"))
        for words in ("ZX-9", "serial RW 4411", "sent back as a core", "Vanes set.", "411.5 h", "not charged"):
            assert words in page

    @pytest.mark.parametrize(
        ("more", "words"),
        [
            ({"quantity": "0"}, "more than zero"),
            ({"quantity": "-1"}, "more than zero"),
            ({"quantity": "10000"}, "At most 9999"),
            ({"quantity": "two"}, "two"),
            ({"quantity": "4", "serial": "RW 4411"}, "Log each piece by itself"),
            ({"condition": ""}, "new, used, rebuilt or reconditioned"),
            ({"number": ""}, "enter a number or a description"),
            ({"hours": "409"}, "is less"),
            ({"hours": "soon"}, "soon"),
            ({"engine": "boat", "hours": "411"}, "no engine is chosen"),
            ({"engine": "99999"}, "Fitted on: Choose one"),
            ({"line": "99999"}, "For line: Choose one"),
            ({"happened_at": "2999-01-01T08:00"}, "future"),
        ],
    )
    def test_each_mistake_is_told_and_what_was_typed_is_kept(self, cast, job, more, words):
        log_hours(by=cast.tech, engine=cast.port, shown=Decimal(410), happened_at=LAST_WEEK)
        sent = {**told(engine=cast.port.pk, text="As found."), **more}
        page = signed_in(cast.tech).post(f"/jobs/{job.number}/parts/fit/", sent)
        assert page.status_code == 422
        assert words in text_of(page)
        assert page.context["form"]["text"].value() == "As found."
        assert not PartFitted.objects.exists()

    def test_a_part_of_the_catalog_is_found_and_chosen_and_nothing_typed_is_lost(self, cast, job, impeller):
        client, address = signed_in(cast.tech), f"/jobs/{job.number}/parts/fit/"
        page = client.post(address, told(step="find", q="tw15", number="", serial="RW 4411", condition="rebuilt"))
        assert "Choose TW-150" in text_of(page)
        assert "$" not in lxml.html.fromstring(page.content.decode()).get_element_by_id("parts-found").text_content()
        page = client.post(address, told(step=f"part:{impeller.pk}", number="", serial="RW 4411", condition="rebuilt"))
        form = page.context["form"]
        assert (form["serial"].value(), form["condition"].value()) == ("RW 4411", "rebuilt")
        sent = told(part=impeller.pk, number="TW-150", description="Raw water impeller", engine=cast.port.pk)
        assert client.post(address, sent).status_code == 302
        assert PartFitted.objects.get().part == impeller

    def test_an_unusual_serial_is_asked_about_and_sent_again_kept(self, cast, job, fit):
        fit(part=None, number="ZX-9", serial="RW 4411")
        client, sent = signed_in(cast.tech), told(engine=cast.port.pk, serial="RW-4411")
        page = client.post(f"/jobs/{job.number}/parts/fit/", sent)
        assert "has this serial number on Second Wind already" in text_of(page)
        key = lxml.html.fromstring(page.content.decode()).xpath("//input[@name='asked']/@value")
        assert client.post(f"/jobs/{job.number}/parts/fit/", {**sent, "asked": key}).status_code == 302

    def test_the_desk_has_no_button_for_it(self, cast, job):
        page = signed_in(cast.desk).get(f"/jobs/{job.number}/lines/").content.decode()
        assert "/parts/fit/" not in page
        assert "/parts/wait/" in page
        assert signed_in(cast.desk).get(f"/jobs/{job.number}/parts/fit/").status_code == 403


class TestCorrecting:
    def test_the_form_holds_what_stands_there(self, cast, job, fit):
        log_hours(by=cast.tech, engine=cast.port, shown=Decimal(410), happened_at=LAST_WEEK)
        then = timezone.now() - timedelta(minutes=1)
        wrong = fit(quantity=Decimal(2), engine_hours=Decimal("411.5"), old_fate="core", happened_at=then)
        client, address = signed_in(cast.tech), f"/parts-fitted/{wrong.pk}/correct/"
        form = client.get(address).context["form"]
        sent = {name: form[name].value() for name in form.fields}
        assert (sent["quantity"], sent["hours"], sent["old_fate"], sent["number"]) == ("2", "411.5", "core", "TW-150")
        sent = {name: "" if value is None else value for name, value in sent.items()}
        right = {**sent, "quantity": "1", "serial": "RW 4411", "text": "One only.", "step": "log"}
        answer = client.post(address, right)
        assert answer.status_code == 302, text_of(answer)
        right = PartFitted.objects.exclude(pk=wrong.pk).get()
        assert (right.quantity, right.part, right.first_id) == (Decimal(1), wrong.part, wrong.pk)
        assert (right.entry.happened_at, right.entry.engine_hours) == (then, Decimal("411.5"))
        page = text_of(client.get(f"/jobs/{job.number}/lines/"))
        assert "corrected" in page
        assert page.count("TW-150 Raw water impeller (Tidewright)") >= 1
        assert "2 ×" not in page
        assert "It was corrected by Tomas Reef, " in text_of(client.get(address))

    def test_a_note_that_corrects_it_stands_beside_it_everywhere(self, cast, job, fit):
        made = fit(text="Housing scored.")
        amend_text(by=cast.manager, entry=made.entry, text="The housing of the other pump was.")
        client = signed_in(cast.tech)
        for path in (
            f"/jobs/{job.number}/lines/",
            f"/vessels/{cast.vessel.pk}/parts/",
            f"/parts-fitted/{made.pk}/correct/",
        ):
            assert re.search(r"Corrected by Mina Sparrow, \S+ \d+, \d+: The housing of the other pump was\.",
                             text_of(client.get(path))), path  # fmt: skip
        assert (
            "The housing of the other pump was." in client.get(f"/vessels/{cast.vessel.pk}/parts.csv").content.decode()
        )

    def test_charged_and_voided_says_who_voided_it(self, cast, job, fit):
        made = fit()
        charge_fitted(by=cast.desk, fitted=made)
        retract(by=cast.manager, entry=made.entry, reason="Other boat.")
        assert "the entry was voided by Mina Sparrow, " in text_of(
            signed_in(cast.desk).get(f"/jobs/{job.number}/lines/")
        )

    def test_the_newest_of_how_many(self, cast, fit, monkeypatch):
        monkeypatch.setattr("workorders.jobparts.queries.aboard.MOST", 2)
        for number in range(3):
            fit(serial=f"S-{number}")
        page = text_of(signed_in(cast.tech).get(f"/vessels/{cast.vessel.pk}/parts/"))
        assert "The newest 2 of 3 are shown; the file has all." in page

    def test_what_was_voided_is_not_corrected(self, cast, fit):
        wrong = fit()
        retract(by=cast.tech, entry=wrong.entry, reason="Other boat.")
        page = signed_in(cast.tech).post(f"/parts-fitted/{wrong.pk}/correct/", told(engine=cast.port.pk))
        assert page.status_code == 422
        assert "already voided by " in text_of(page)


class TestCharging:
    def test_the_page_of_lines_has_no_two_things_of_one_id(self, cast, job, fit):
        fit()
        page = signed_in(cast.desk).get(f"/jobs/{job.number}/lines/").content.decode()
        assert "Fitted, and not charged yet" in page
        ids = lxml.html.fromstring(page).xpath("//@id")
        assert sorted(ids) == sorted(set(ids))

    def test_in_one_touch(self, cast, job, fit):
        fit(quantity=Decimal(2))
        fit(part=None, number="ZX-9", description="Belt")
        client = signed_in(cast.desk)
        page = client.get(f"/jobs/{job.number}/lines/")
        form = next(
            form
            for form in lxml.html.fromstring(page.content.decode()).forms
            if (form.action or "").endswith("charge/")
        )
        values = [(field.name, field.value or "") for field in form.inputs if field.name]
        values = [(name, "on" if name.startswith("take-") else value) for name, value in values]
        assert [value for name, value in values if name.startswith("price-")] == ["46.80", ""]
        data: dict[str, Any] = {}
        for name, value in values:
            data.setdefault(name, []).append(value)
        page = client.post(f"/jobs/{job.number}/parts/charge/", data)
        assert page.status_code == 422
        assert "Enter a price: the catalog has none" in text_of(page)
        assert not Charge.objects.exists()  # all or none
        priced = next(name for name, value in values if name.startswith("price-") and not value)
        data[priced] = ["12.50"]
        answers = [client.post(f"/jobs/{job.number}/parts/charge/", data) for _ in range(2)]
        assert [one.status_code for one in answers] == [302, 302]
        assert sorted(Charge.objects.values_list("quantity", "unit_price")) == [
            (Decimal(1), Decimal("12.50")),
            (Decimal(2), Decimal("46.80")),
        ]
        page = text_of(client.get(f"/jobs/{job.number}/lines/"))
        assert "not charged" not in page
        assert "Charged, and not logged as fitted" not in page

    def test_what_is_not_selected_is_left_and_nothing_selected_is_told(self, cast, job, fit):
        made, other, client = fit(), fit(), signed_in(cast.desk)
        base = {"entry_id": str(uuid.uuid4()), "key": [str(made.pk), str(other.pk)]}
        page = client.post(f"/jobs/{job.number}/parts/charge/", base)
        assert "Select at least one part" in text_of(page)
        data = {**base, f"take-{made.pk}": "on", f"price-{made.pk}": "40"}
        assert client.post(f"/jobs/{job.number}/parts/charge/", data).status_code == 302
        assert [link.fitted for link in FittedCharge.objects.all()] == [made]

    def test_somebody_was_faster(self, cast, job, fit):
        made = fit()
        charge_fitted(by=cast.manager, fitted=made)
        data = {"entry_id": str(uuid.uuid4()), "key": str(made.pk), f"take-{made.pk}": "on", f"price-{made.pk}": "40"}
        page = signed_in(cast.desk).post(f"/jobs/{job.number}/parts/charge/", data)
        assert page.status_code == 422
        assert "is already charged" in text_of(page)
        assert Charge.objects.count() == 1

    def test_a_refusal_stands_beside_the_part_that_it_is_about(self, cast, job, fit):
        made, dear = fit(), fit(quantity=Decimal(9000))
        data = {"entry_id": str(uuid.uuid4()), "key": [str(made.pk), str(dear.pk)]}
        for one in (made, dear):
            data |= {f"take-{one.pk}": "on", f"price-{one.pk}": "99"}
        page = signed_in(cast.desk).post(f"/jobs/{job.number}/parts/charge/", data)
        assert page.status_code == 422
        assert "That comes to" in str(page.context["form"].errors[f"price-{dear.pk}"])
        assert not Charge.objects.exists()
        key = lxml.html.fromstring(page.content.decode()).xpath("//input[@name='asked']/@value")
        assert signed_in(cast.desk).post(f"/jobs/{job.number}/parts/charge/", {**data, "asked": key}).status_code == 302

    def test_a_core_is_no_part_to_fit(self, cast, job):
        deposit = {"description": "Alternator core", "quantity": Decimal(1), "unit_price": Decimal(185)}
        core = add_charge(by=cast.desk, job=job, kind="part", is_core=True, **deposit)
        return_core(by=cast.desk, charge=core)
        assert "Charged, and not logged as fitted" not in text_of(
            signed_in(cast.desk).get(f"/jobs/{job.number}/lines/")
        )

    def test_an_existing_charge_is_chosen(self, cast, job, fit, impeller):
        charge = add_charge(by=cast.desk, job=job, kind="part", part=impeller)
        made, client = fit(), signed_in(cast.desk)
        page = client.get(f"/jobs/{job.number}/lines/")
        assert "Charged, and not logged as fitted" in text_of(page)
        data = {"entry_id": str(uuid.uuid4()), "key": str(made.pk), f"take-{made.pk}": "on", f"price-{made.pk}": "",
                f"charge-{made.pk}": str(charge.pk)}  # fmt: skip
        assert client.post(f"/jobs/{job.number}/parts/charge/", data).status_code == 302
        assert Charge.objects.count() == 1
        assert FittedCharge.objects.get().charge == charge

    def test_parts_of_another_job_are_not_charged_here(self, cast, job, fit):
        other = open_job(by=cast.desk, vessel=cast.vessel, concerns=["Bilge"])
        made = fit(job=other, line=None)
        data = {"entry_id": str(uuid.uuid4()), "key": str(made.pk), f"take-{made.pk}": "on", f"price-{made.pk}": "4"}
        assert signed_in(cast.desk).post(f"/jobs/{job.number}/parts/charge/", data).status_code == 422
        assert not Charge.objects.exists()

    def test_what_was_corrected_or_voided_after_it_was_charged_is_told(self, cast, job, fit):
        made, gone = fit(quantity=Decimal(4)), fit()
        for one in (made, gone):
            charge_fitted(by=cast.desk, fitted=one)
        fit(quantity=Decimal(2), amends=made.entry)
        retract(by=cast.tech, entry=gone.entry, reason="Other boat.")
        page = text_of(signed_in(cast.desk).get(f"/jobs/{job.number}/lines/"))
        assert "2 fitted, 4 charged" in page
        assert "Charged, and voided in the log" in page

    def test_a_technician_sees_whether_and_no_form_for_prices(self, cast, job, fit):
        fit()
        page = signed_in(cast.tech).get(f"/jobs/{job.number}/lines/").content.decode()
        assert "not charged" in page
        assert "parts/charge/" not in page


class TestWaiting:
    def test_a_part_is_put_on_the_list(self, cast, job, impeller):
        client, address = signed_in(cast.tech), f"/jobs/{job.number}/parts/wait/"
        assert client.get(address).status_code == 200
        day = (timezone.localdate() + timedelta(days=4)).isoformat()
        sent = told(part=impeller.pk, number="TW-150", supplier="Harbor Supply", expected_on=day)
        assert [client.post(address, sent).status_code for _ in range(2)] == [302, 302]
        made = AwaitedPart.objects.get()
        assert (made.part, made.line, made.supplier) == (impeller, None, "Harbor Supply")
        for path in ("lines/", ""):
            page = text_of(client.get(f"/jobs/{job.number}/{path}"))
            assert "1 × TW-150 Raw water impeller (Tidewright)" in page
            assert "from Harbor Supply" in page

    @pytest.mark.parametrize(
        ("more", "words"),
        [
            ({"quantity": "0"}, "more than zero"),
            ({"number": ""}, "enter a number or a description"),
            ({"ordered_on": "2999-01-01"}, "Today, or a day before"),
            ({"expected_on": "2020-01-01"}, "Check the year"),
            ({"expected_on": "soon"}, "Enter a date"),
        ],
    )
    def test_each_mistake_is_told_and_what_was_typed_is_kept(self, cast, job, more, words):
        page = signed_in(cast.tech).post(f"/jobs/{job.number}/parts/wait/", told(supplier="Bay", **more))
        assert page.status_code == 422
        assert words in text_of(page)
        assert page.context["form"]["supplier"].value() == "Bay"

    def test_two_people_at_one_order_see_both(self, cast, job, wait_for):
        made = wait_for(supplier="Bay")
        client, address = signed_in(cast.desk), f"/jobs/{job.number}/parts/{made.pk}/"
        base = told(seen_version=1, number="TW-900")
        assert client.post(address, {**base, "supplier": "Harbor"}).status_code == 302
        page = client.post(address, {**base, "entry_id": str(uuid.uuid4()), "supplier": "Cove"})
        assert page.status_code == 409
        assert "Harbor" in text_of(page)

    def test_the_board_today_and_the_job_say_until_when(self, cast, job, wait_for):
        made = wait_for(expected_on=timezone.localdate() + timedelta(days=3))
        Job.objects.filter(pk=job.pk).update(state="authorized", technician=cast.tech)
        job.refresh_from_db()
        client = signed_in(cast.tech)
        moved = client.post(
            f"/jobs/{job.number}/move/",
            {"to": "waiting-parts", "seen_version": job.version, "seen_state": job.state, "reason": ""},
        )
        assert moved.status_code == 302
        for path in ("/jobs/", "/", f"/jobs/{job.number}/"):
            assert "1 part to come, expected" in text_of(client.get(path)), path
        AwaitedPart.objects.filter(pk=made.pk).update(expected_on=timezone.localdate() - timedelta(days=1))
        for path in ("/jobs/", "/", f"/jobs/{job.number}/"):
            assert "1 part to come, was expected" in text_of(client.get(path)), path
        for person in (cast.desk, cast.manager):
            page = text_of(signed_in(person).get("/"))
            assert "Parts past their day" in page
            assert "1 part to come, was expected" in page

    def test_the_last_one_leads_to_the_job_which_offers_to_go_on(self, cast, job, wait_for):
        first, last = wait_for(), wait_for("TW-901")
        Job.objects.filter(pk=job.pk).update(state="authorized", technician=cast.tech)
        job.refresh_from_db()
        move_job(by=cast.tech, job=job, to="waiting-parts", seen_version=job.version)
        client = signed_in(cast.desk)
        answer = client.post(f"/jobs/{job.number}/parts/{first.pk}/arrived/")
        assert answer["Location"].endswith(f"/lines/#awaited-{first.pk}")
        answer = client.post(f"/jobs/{job.number}/parts/{last.pk}/arrived/", follow=True)
        page = text_of(answer)
        assert "Every part is here" in page
        assert "Go on with the work" in page
        assert Job.objects.get(pk=job.pk).state == "waiting-parts"
        assert "Every part is here" in text_of(client.get("/jobs/"))
        assert "Parts are here" in text_of(client.get("/"))
        own = signed_in(cast.tech).get("/")
        assert "Every part is here: go on with the work" in text_of(own)
        assert 'value="in-work"' in own.content.decode()

    def test_without_a_list_the_question_is_asked_as_before(self, cast, job):
        Job.objects.filter(pk=job.pk).update(state="authorized")
        page = signed_in(cast.tech).get(f"/jobs/{job.number}/move/?to=waiting-parts")
        assert "Enter which parts the job is waiting for." in text_of(page)

    def test_another_jobs_part_is_not_here(self, cast, job, wait_for):
        other = open_job(by=cast.desk, vessel=cast.vessel, concerns=["Bilge"])
        assert signed_in(cast.desk).post(f"/jobs/{other.number}/parts/{wait_for().pk}/arrived/").status_code == 404


class TestWhatIsInThisEngine:
    def test_since_when_at_what_hours_and_what_came_out(self, cast: Cast, job: Job, fit: Any) -> None:
        log_hours(by=cast.tech, engine=cast.port, shown=Decimal(400), happened_at=timezone.now() - timedelta(days=90))
        first = fit(
            serial="RW-1", engine_hours=Decimal(401), happened_at=timezone.now() - timedelta(days=80), old_fate="core"
        )
        fit(part=None, number="ZX-9", engine=None, line=None)
        fit(engine=cast.starboard, line=None, serial="RW-7")
        log_hours(by=cast.tech, engine=cast.port, shown=Decimal(460), happened_at=timezone.now() - timedelta(days=2))
        client = signed_in(cast.desk)
        page = text_of(client.get(f"/vessels/{cast.vessel.pk}/parts/"))
        for words in ("RW-1", "ZX-9", "RW-7", "401 h", "59 h", "The boat itself", "old part: sent back as a core"):
            assert words in page
        only = text_of(client.get(f"/vessels/{cast.vessel.pk}/parts/?engine={cast.port.pk}"))
        assert "RW-1" in only
        assert "RW-7" not in only
        fit(serial="RW-2", engine_hours=Decimal(461), old_serial="rw 1")
        page = text_of(client.get(f"/vessels/{cast.vessel.pk}/parts/?engine={cast.port.pk}"))
        assert "removed" in page
        assert "59 h" not in page  # it is not in there any more
        fit(amends=first.entry, serial="RW-1", engine_hours=Decimal(402))
        page = text_of(client.get(f"/vessels/{cast.vessel.pk}/parts/?engine={cast.port.pk}"))
        assert "401 h" not in page
        assert "402 h" in page

    def test_the_table_to_keep_is_whole_and_harmless(self, cast, job, fit):
        fit(part=None, number="=1+1", serial="RW-1", engine_hours=Decimal(0), text="@home")
        answer = signed_in(cast.desk).get(f"/vessels/{cast.vessel.pk}/parts.csv")
        rows = list(csv.DictReader(io.StringIO(answer.content.decode())))
        assert len(rows) == 1
        row = rows[0]
        assert (row["part number"], row["remark"], row["serial"]) == ("'=1+1", "'@home", "RW-1")
        assert (row["engine hours"], row["job"], row["logged by"]) == ("0", str(job.number), "Tomas Reef")

    def test_nothing_yet(self, cast):
        assert "No part fitted yet" in text_of(signed_in(cast.desk).get(f"/vessels/{cast.vessel.pk}/parts/"))

    def test_it_is_found_by_number_serial_and_old_serial(self, cast, fit):
        made = fit(serial="RW-44117", old_serial="OLD-2090")
        client = signed_in(cast.desk)
        for text in ("rw44117", "RW-44117", "old 2090", "TW-150"):
            page = client.get("/search/", {"q": text}).content.decode()
            assert f"/log/{made.pk}/" in page or str(made.pk) in page, text
        retract(by=cast.tech, entry=made.entry, reason="Other boat.")
        assert str(made.pk) not in client.get("/search/", {"q": "RW-44117"}).content.decode()

    def test_as_many_questions_with_many_as_with_few(self, cast, job, fit, wait_for):
        client = signed_in(cast.desk)
        counts = []
        for more in (2, 12):
            for number in range(more):
                made = fit(serial=f"S{more}-{number}")
                if number % 2:
                    charge_fitted(by=cast.desk, fitted=made)
                part_arrived(by=cast.tech, awaited=wait_for(f"W{number}"))
                wait_for(f"X{number}")
            seen = []
            for path in (f"/jobs/{job.number}/lines/", f"/jobs/{job.number}/", f"/vessels/{cast.vessel.pk}/parts/"):
                client.get(path)
                with asked() as questions:
                    client.get(path)
                seen.append(questions.queries)
            counts.append(seen)
        assert counts[0] == counts[1]


def test_the_log_of_the_job_has_nothing_of_what_is_waited_for(wait_for):
    wait_for()
    assert not LogEntry.objects.filter(kind__contains="await").exists()
