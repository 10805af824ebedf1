"""The pages of an answer to the estimate: choosing, the sum told before it is noted, the signature, the photo."""

from __future__ import annotations

import io
import re
from decimal import Decimal
from typing import Any

import lxml.html
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone
from PIL import Image

from billing.authorizations.actions import note_authorization, withdraw_authorization
from billing.authorizations.models import Authorization, DeferredWork
from billing.authorizations.queries import standing_of
from files import store
from files.references import is_referenced
from tests.billing.authorizations.test_answers import give, note
from tests.billing.authorizations.test_authorizations import signed_in
from tests.billing.signing import SIGNED
from tests.cast import Cast
from workorders.actions import add_charge, open_job
from workorders.models import Job

pytestmark = pytest.mark.django_db


def fields_of(page: bytes) -> dict[str, Any]:
    """What a browser would send of the page's last form, without the button."""
    forms = [form for form in lxml.html.fromstring(page.decode()).forms if form.get("method") == "post"]
    form = max(forms, key=lambda one: len(list(one.inputs)))
    return {
        one.name: one.value for one in form.inputs
        if one.name and one.value is not None and getattr(one, "type", "") not in {"submit", "button", "file"}
    }  # fmt: skip


def test_from_the_choice_to_the_note_the_sum_is_told_first(cast: Cast, job: Job) -> None:
    given = give(cast, job)
    client, at = signed_in(cast.desk), reverse("authorizations:answer", args=[job.number])
    assert at in client.get(reverse("authorizations:job", args=[job.number])).content.decode()
    page = client.get(at)
    said = fields_of(page.content)
    wax, haul = f"option-{given.options['Wax'].key}", f"line-{given.lines['Haul-out'].key}"
    assert haul in said
    del said[haul]
    told = client.post(at, said | {wax: "on", "step": "look"})
    text = told.content.decode()
    assert "What was chosen comes to $665.00 with tax" in text
    assert not Authorization.objects.exists()
    why = f"why-{given.lines['Haul-out'].key}"
    more = {why: "Has a trailer", "how": "phone", "who": "Wes Harrow", "words": "", "step": "note"}
    refused = client.post(at, fields_of(told.content) | more)
    assert (refused.status_code, "Enter the number that was called" in refused.content.decode()) == (422, True)
    again = fields_of(refused.content)
    assert (again[why], again.get(haul, "")) == ("Has a trailer", "")
    now = timezone.localtime().strftime("%Y-%m-%dT%H:%M")
    sent = again | {"reached": "(555) 555-0123", "said_at": now, "step": "note"}
    assert client.post(at, sent).status_code == 302
    assert client.post(at, sent).status_code in {302, 422}  # sent twice
    made = Authorization.objects.get()
    assert (made.amount, made.how) == (Decimal("665.00"), "phone")
    assert DeferredWork.objects.get(what="Haul-out").why == "Has a trailer"
    shown = client.get(reverse("authorizations:job", args=[job.number])).content.decode()
    assert "<s>Haul-out</s>" in shown
    assert "Declined: deferred work" in shown
    assert shown.count("answer to the estimate, version 1") == 1
    version = reverse("estimates:given", args=[job.number, 1])
    assert "Wes Harrow agreed to $665.00 for it." in client.get(version).content.decode()
    assert "no price agreed on" not in client.get(version).content.decode()
    standing = standing_of(job)
    note_authorization(
        by=cast.desk, job=job, amount=Decimal(50), adds=True, how="phone", who="Wes Harrow", reached="(555) 555-0123",
        said_at=timezone.now(), words="Look at the bilge pump too.", seen_total=standing.total,
        seen_authorized=standing.limit.authorized,
    )  # fmt: skip
    shown = client.get(reverse("authorizations:job", args=[job.number])).content.decode()
    assert shown.count("answer to the estimate, version 1") == 1  # this one answers no estimate
    assert "Wes Harrow agreed to $665.00 for it." in client.get(version).content.decode()
    withdraw_authorization(by=cast.desk, authorization=made, reason="It was another boat")
    assert "It is no price agreed on until the customer authorizes it." in client.get(version).content.decode()


@pytest.mark.parametrize("said", ["junk", "-1", "99999999999999999999"])
def test_a_form_of_nonsense_is_answered_with_a_page(cast: Cast, job: Job, said: str) -> None:
    give(cast, job)
    client, at = signed_in(cast.desk), reverse("authorizations:answer", args=[job.number])
    page = client.post(at, {"step": said, "revision": said, "group-0": said, "seen_sum": said, "seen_total": said})
    assert page.status_code == 422
    assert not Authorization.objects.exists()


def test_without_an_estimate_there_is_nothing_to_answer(cast: Cast, job: Job) -> None:
    client, at = signed_in(cast.desk), reverse("authorizations:answer", args=[job.number])
    page = client.get(at, follow=True).content.decode()
    assert "No estimate was given for this job that could be answered." in page


def test_it_is_signed_on_the_screen_after_the_text_is_shown(cast: Cast, job: Job) -> None:
    give(cast, job)
    client, at = signed_in(cast.desk), reverse("authorizations:answer", args=[job.number])
    told = client.post(at, fields_of(client.get(at).content) | {"step": "look"})
    sheet = client.post(at, fields_of(told.content) | {"how": "drawn", "step": "note"})
    text = sheet.content.decode()
    assert sheet.status_code == 200
    assert "It comes to $609.00 with tax, in all." in text
    assert "Go back and note the answer by phone" in text
    assert not Authorization.objects.exists()
    unsigned = client.post(at, fields_of(sheet.content) | {"step": "sign"})
    assert (unsigned.status_code, "Nothing was drawn" in unsigned.content.decode()) == (422, True)
    back = client.post(at, fields_of(unsigned.content) | {"step": "back"})
    assert "What was chosen comes to $609.00" in back.content.decode()
    signed = client.post(at, fields_of(unsigned.content) | {"step": "sign", "strokes": SIGNED})
    assert signed.status_code == 302
    made = Authorization.objects.get()
    picture = client.get(reverse("authorizations:signature", args=[job.number, made.pk]))
    assert picture["Content-Type"] == "image/svg+xml"
    assert "sandbox" in picture["Content-Security-Policy"]
    assert is_referenced(made.signature_sha256)
    shown = client.get(reverse("authorizations:job", args=[job.number])).content.decode()
    assert "Signature of" in shown
    assert made.sheet_sha256 in shown


def test_a_charge_while_the_customer_reads_is_told_and_the_signature_is_not_taken(cast: Cast, job: Job) -> None:
    give(cast, job)
    client, at = signed_in(cast.desk), reverse("authorizations:answer", args=[job.number])
    told = client.post(at, fields_of(client.get(at).content) | {"step": "look"})
    sheet = client.post(at, fields_of(told.content) | {"how": "drawn", "step": "note"})
    add_charge(by=cast.desk, job=job, kind="fee", description="Launch", unit_price=Decimal(20))
    late = client.post(at, fields_of(sheet.content) | {"step": "sign", "strokes": SIGNED})
    assert (late.status_code, "it comes to $20.00 now" in late.content.decode()) == (422, True)
    assert not Authorization.objects.exists()
    signed = client.post(at, fields_of(late.content) | {"step": "sign", "strokes": SIGNED})  # it was looked at again
    assert signed.status_code == 302


def test_a_sum_alone_is_signed_too(cast: Cast, job: Job) -> None:
    client, at = signed_in(cast.desk), reverse("authorizations:job", args=[job.number])
    said = fields_of(client.get(at).content) | {
        "amount": "500", "adds": "no", "how": "drawn", "who": "Wes Harrow", "words": "Find the leak", "reached": "",
    }  # fmt: skip
    sheet = client.post(at, said)
    assert "It comes to $500.00 with tax, in all." in sheet.content.decode()
    assert client.post(at, fields_of(sheet.content) | {"step": "sign", "strokes": SIGNED}).status_code == 302
    assert "Find the leak" in Authorization.objects.get().sheet


def photo(side: int = 64) -> bytes:
    """A photo that says where it was taken, and that it lies on its side."""
    out = io.BytesIO()
    exif = Image.Exif()
    exif[0x0112] = 6
    exif.get_ifd(0x8825)[1] = "N"
    exif.get_ifd(0x8825)[2] = (43.0, 39.0, 33.0)
    Image.new("RGB", (side, side // 2), "white").save(out, "JPEG", exif=exif)
    return out.getvalue()


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (photo(), ""),
        (b"%PDF-1.7", "This is not a PNG, JPEG or WebP picture"),
        (photo()[:300], "damaged"),
        (photo(20), "20 × 10 pixels: too small to read"),
        (b"", "empty"),
    ],
)
def test_a_photo_of_the_sheet_is_kept_without_its_place(cast: Cast, job: Job, data: bytes, says: str) -> None:
    client, at = signed_in(cast.desk), reverse("authorizations:job", args=[job.number])
    said = fields_of(client.get(at).content) | {
        "amount": "500", "how": "paper", "who": "Wes Harrow", "words": "In the folder", "reached": "",
        "said_at": timezone.localtime().strftime("%Y-%m-%dT%H:%M"),
    }  # fmt: skip
    answer = client.post(at, said | {"picture": SimpleUploadedFile("sheet.jpg", data, "image/jpeg")})
    if says:
        assert (answer.status_code, bool(re.search(says, answer.content.decode()))) == (422, True)
        assert not Authorization.objects.exists()
        return
    assert answer.status_code == 302
    made = Authorization.objects.get()
    kept = Image.open(io.BytesIO(store.read(made.picture_sha256)))
    assert kept.size == (32, 64)
    assert not kept.getexif()
    address = reverse("authorizations:photo", args=[job.number, made.pk])
    assert client.get(address)["Content-Type"] == "image/jpeg"


def test_deferred_work_is_listed_filtered_saved_and_becomes_a_line(cast: Cast, job: Job) -> None:
    given = give(cast, job)
    note(cast, job, given, given.answer("Exchange", without=("Haul-out",), why="=cmd", safety=True))
    client, at = signed_in(cast.manager), reverse("authorizations:deferred")
    text = client.get(at).content.decode()
    assert "Haul-out" in text
    assert "touches safety" in text
    assert "Rebuild" not in text
    assert "No deferred work is of this kind" in client.get(at, {"q": "no such boat"}).content.decode()
    assert "Wax" not in client.get(at, {"safety": "on"}).content.decode()
    csv = client.get(reverse("authorizations:deferred_csv"), {"state": "all"})
    rows = b"".join(csv.streaming_content).decode().splitlines()  # type: ignore[attr-defined]
    assert len(rows) == 3
    assert "'=cmd" in rows[1]
    later = open_job(by=cast.desk, vessel=cast.vessel, concerns=["Back again"])
    lines = reverse("workorders:lines", args=[later.number])
    desk = signed_in(cast.desk)
    assert "Declined earlier" in desk.get(lines).content.decode()
    work = DeferredWork.objects.get(what="Haul-out")
    add = reverse("authorizations:deferred_add", args=[later.number, work.pk])
    assert desk.post(add).status_code == 302
    work.refresh_from_db()
    step = work.steps.get()
    assert (work.state, step.line.concern, step.job) == ("taken", "Deferred work: Haul-out", later)
    desk.post(add)
    assert later.lines.count() == 2
    page = desk.get(reverse("vessels:vessel", args=[cast.vessel.pk])).content.decode()
    assert "Wax" in page
    assert '<b class="row-title">Haul-out</b>' not in page


def test_it_is_offered_with_a_tick_where_a_job_is_opened_and_a_form_sent_twice_opens_one(cast: Cast, job: Job) -> None:
    given = give(cast, job)
    note(cast, job, given, given.answer("Exchange", without=("Haul-out",)))
    work = DeferredWork.objects.get(what="Haul-out")
    client, at = signed_in(cast.desk), reverse("workorders:open")
    page = client.get(at, {"vessel": cast.vessel.pk}).content
    assert f'name="offer-deferred-{work.pk}"' in page.decode()
    assert "$50" not in page.decode()
    said = fields_of(page) | {f"offer-deferred-{work.pk}": "on", "location": "slip", "step": "open"}
    before = Job.objects.count()
    assert client.post(at, said).status_code == 302
    assert client.post(at, said).status_code == 302
    assert Job.objects.count() == before + 1
    work.refresh_from_db()
    assert work.state == "taken"
    assert standing_of(work.steps.get().job).limit.authorized is None
