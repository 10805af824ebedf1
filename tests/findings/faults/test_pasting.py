"""Logging a scan from an instrument's text."""

from __future__ import annotations

import re
import uuid
from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from engineering.codes import CodeStatus, CodeSystem, make_code
from findings.faults.models import Fault, Scan
from findings.faults.pasting import read_pasted
from tests.findings.story import scan, seen
from vessels.actions import log_hours

TEXT = "Read-out 3 PM\r\nSPN 110 FMI 0 active count 3\r\nP0217 stored\r\n94-1\r\n18FECA01#40FF5B000301FFFF\r\n"
CLEAN = "SPN 110 FMI 0 active\r\nSPN 110 FMI 0 active count 4\r\nP0217 stored"
ANSWERS = {"phase": "arrival", "hours": "", "text": "", "instrument": "Handheld reader"}


@pytest.fixture
def url(job):
    return f"/jobs/{job.number}/paste/"


@pytest.fixture
def send(tech, url, cast):
    def sender(text, do="read", **more):
        return tech.post(url, {**ANSWERS, "unit": cast.port_unit.pk, "pasted": text, "do": do, **more})

    return sender


def answers_of(page, **more):
    """What the preview would send when nothing is changed in it."""
    read = page.context["read"]
    sent = {"read_digest": read.digest, "extent": read.usual_extent, "entry_id": str(uuid.uuid4())}
    for one in read.codes:
        sent |= {
            f"code-{one.index}-take": "yes",
            f"code-{one.index}-status": one.status or "",
            f"code-{one.index}-unit": one.unit_id,
        }
    return sent | more


def test_the_preview_shows_every_line_and_writes_nothing(send, cast):
    page = send(TEXT)
    assert page.status_code == 200
    read = page.context["read"]
    assert [(one.label, one.status, one.count, one.unit_id) for one in read.codes] == [
        ("SPN 110 FMI 0", "active", 3, cast.port_unit.pk),
        ("P0217", "stored", None, cast.port_unit.pk),
        ("SPN 94 FMI 1", None, None, cast.port_unit.pk),
        ("SPN 91 FMI 3", "active", 1, cast.starboard_unit.pk),
    ]
    body = page.content.decode()
    assert "1 line was not understood" in body
    assert "Read-out 3 PM" in body
    assert not Scan.objects.exists()


def test_a_clean_text_is_logged_whole(send, job):
    page = send(CLEAN)
    assert page.context["form"]["extent"].value() == "all"
    assert send(CLEAN, "log", **answers_of(page)).status_code == 302
    made = Scan.objects.get()
    assert (made.raw, made.source, made.is_complete, made.not_understood) == (CLEAN, "paste", True, 0)
    assert (made.instrument, made.entry.job) == ("Handheld reader", job)
    assert [(str(row), row.count) for row in made.sightings.order_by("pk")] == [
        ("SPN 110 FMI 0 active", 4),
        ("P0217 stored", None),
    ]


def test_the_same_preview_sent_twice_is_logged_once(send):
    sent = answers_of(send(CLEAN))
    assert [send(CLEAN, "log", **sent).status_code for _ in range(2)] == [302, 302]
    assert Scan.objects.count() == 1


def test_codes_go_to_the_unit_that_sent_them(send, cast):
    sent = answers_of(send(TEXT), extent="some", status="stored")
    assert send(TEXT, "log", **sent).status_code == 302
    assert {scan.unit: scan.sightings.count() for scan in Scan.objects.all()} == {
        cast.port_unit: 3,
        cast.starboard_unit: 1,
    }
    assert {scan.raw for scan in Scan.objects.all()} == {TEXT}
    assert {scan.not_understood for scan in Scan.objects.all()} == {1}


def test_each_engine_has_hours_of_its_own(send, cast):
    page = send(TEXT)
    other = f"hours_of_{cast.starboard.pk}"
    assert other in page.content.decode()
    sent = answers_of(page, extent="some", status="stored", hours="1300", **{other: "1290,5"})
    assert send(TEXT, "log", **sent).status_code == 302
    assert {scan.unit: scan.entry.engine_hours for scan in Scan.objects.all()} == {
        cast.port_unit: Decimal("1300.0"),
        cast.starboard_unit: Decimal("1290.5"),
    }


def test_wrong_hours_of_the_other_engine_are_said_by_their_field(send, cast):
    other = f"hours_of_{cast.starboard.pk}"
    sent = answers_of(send(TEXT), extent="some", status="stored", hours="1300", **{other: "many"})
    refused = send(TEXT, "log", **sent)
    assert refused.status_code == 422
    assert list(refused.context["form"].errors) == [other]
    assert not Scan.objects.exists()


def test_hours_stay_with_their_engine_when_another_unit_is_chosen(send, cast):
    sent = answers_of(send(TEXT), hours="1300", **{f"hours_of_{cast.starboard.pk}": "1290.5"})
    page = send(TEXT, "", **sent, switch=cast.starboard_unit.pk)
    form = page.context["form"]
    assert (form["hours"].value(), form[f"hours_of_{cast.port.pk}"].value()) == ("1290.5", "1300")


def test_what_the_text_cannot_say_is_asked(send):
    page = send(TEXT)
    assert not page.context["form"]["extent"].value()
    refused = send(TEXT, "log", **answers_of(page))
    assert refused.status_code == 422
    assert "extent" in refused.context["form"].errors
    refused = send(TEXT, "log", **answers_of(page, extent="some"))
    assert refused.status_code == 422
    assert "status" in refused.context["form"].errors
    assert refused.context["form"]["pasted"].value() == TEXT
    assert not Scan.objects.exists()


def test_a_status_put_right_and_a_code_left_out(send):
    page = send(CLEAN)
    sent = answers_of(page, **{"code-0-status": "stored"})
    del sent["code-1-take"]
    assert send(CLEAN, "log", **sent, asked=questions_of(send(CLEAN, "log", **sent))).status_code == 302
    assert [str(row) for row in Scan.objects.get().sightings.all()] == ["SPN 110 FMI 0 stored"]


def questions_of(page):
    """What the page asks, for the form to send back."""
    assert page.status_code == 422
    return re.findall(r'name="asked"\s+value="([^"]*)"', page.content.decode())


@pytest.mark.parametrize(
    ("text", "codes_before", "ticked", "asked"),
    [
        (CLEAN, [], 2, None),  # all of it understood and taken
        (
            "SPN 110 FMI 0 active\r\nGateway hiccup seen",
            ["SPN 100 FMI 1"],
            1,
            "1 line was not understood and may hold a code. SPN 100 FMI 1 is open and would count as gone. "
            "Choose “some of it” unless you are sure.",
        ),
        (
            "SPN 110 FMI 0 active\r\nGateway hiccup seen\r\nzz top ∆∆",
            ["SPN 110 FMI 0"],
            1,
            "2 lines were not understood and may hold codes. Other codes of the same kind would count as gone. "
            "Choose “some of it” unless you are sure.",
        ),
        (
            "SPN 110 FMI 0 active\r\nP0217 stored",
            ["P0217"],
            1,
            "P0217 is in the text and not selected. Other codes of the same kind would count as gone. "
            "Choose “some of it” unless you are sure.",
        ),
        (
            "SPN 110 FMI 0 active\r\nGateway hiccup seen",
            ["P0100", *(f"SPN {number} FMI 1" for number in range(101, 107))],
            1,
            "1 line was not understood and may hold a code. SPN 101 FMI 1, SPN 102 FMI 1, SPN 103 FMI 1, SPN 104 FMI 1 "
            "and 2 more are open and would count as gone. Choose “some of it” unless you are sure.",
        ),
    ],
)
def test_a_text_not_wholly_understood_proves_no_code_gone_unasked(send, cast, text, codes_before, ticked, asked):
    systems = {"S": CodeSystem.SPN, "P": CodeSystem.OBD}
    before = [make_code(systems[one[0]], one) for one in codes_before]
    scan(cast, 0, None, [seen(one) for one in before])
    page = send(text)
    sent = answers_of(page, extent="all", happened_at="")
    for index in range(ticked, len(page.context["read"].codes)):
        del sent[f"code-{index}-take"]
    answer = send(text, "log", **sent)
    if asked is None:
        assert answer.status_code == 302
        return
    assert answer.context["form"].errors["extent"] == [f"{asked} To keep it, select it at the top and send this again."]
    assert Scan.objects.count() == 1
    assert Fault.objects.filter(is_open=True).count() == len(before)
    again = send(text, "log", **sent, asked=questions_of(answer))
    assert (again.status_code, Scan.objects.count()) == (302, 2)  # whoever is sure is taken at their word


def test_a_text_changed_after_it_was_read_is_read_again_first(send):
    sent = answers_of(send(CLEAN))
    changed = send(CLEAN + "\r\nSPN 94 FMI 1 active", "log", **sent)
    assert changed.status_code == 200
    assert len(changed.context["read"].codes) == 3
    assert not Scan.objects.exists()


@pytest.mark.parametrize("sign", ["∆", "✅", "\x1b", "\u202e", "�"])
def test_a_text_is_kept_with_every_sign_that_the_instrument_gave(send, sign):
    text = f"SPN 110 FMI 0 active\r\nGateway {sign} seen"
    assert send(text, "log", **answers_of(send(text), extent="some", happened_at="")).status_code == 302
    assert Scan.objects.get().raw == text


def test_a_line_that_is_not_understood_says_so_once(send):
    body = send("P0217\nhello world\n").content.decode()
    said = " ".join(re.sub(r"<[^>]+>", "", body).split())
    assert "hello world Not understood: no code, status, lamp or frame known here." in said
    assert "Not understood. Not understood" not in said


def test_codes_that_were_not_read_are_added_by_hand(send):
    text = "Engine hot, lamp on"
    page = send(text)
    refused = send(text, "log", **answers_of(page, extent="some"))
    assert (refused.status_code, "No code was read" in refused.content.decode()) == (422, True)
    refused = send(text, "log", **answers_of(page, extent="some", more_codes="110"))
    assert (refused.status_code, "more_codes" in refused.context["form"].errors) == (422, True)
    assert send(text, "log", **answers_of(page, extent="some", more_codes="110-0 stored, P0217")).status_code == 302
    assert sorted(str(row) for row in Scan.objects.get().sightings.all()) == ["P0217 active", "SPN 110 FMI 0 stored"]


def test_a_text_that_states_no_codes_is_a_scan_without_codes(send):
    assert send("No codes", "log", **answers_of(send("No codes"))).status_code == 302
    made = Scan.objects.get()
    assert (made.is_complete, made.sightings.count(), made.raw) == (True, 0, "No codes")


def test_nothing_pasted_is_said_beside_the_field(send):
    refused = send("  ")
    assert (refused.status_code, "pasted" in refused.context["form"].errors) == (422, True)


def test_wrong_hours_lose_nothing(send):
    sent = answers_of(send(CLEAN), hours="a lot")
    refused = send(CLEAN, "log", **sent)
    assert (refused.status_code, "hours" in refused.context["form"].errors) == (422, True)
    assert refused.context["form"]["pasted"].value() == CLEAN
    assert [one.is_taken for one in refused.context["read"].codes] == [True, True]


@pytest.mark.parametrize(
    ("text", "extent"),
    [
        ("SPN 110 FMI 0 active", "all"),
        ("No codes", "all"),
        ("Something else\nSPN 110 FMI 0 active", ""),
        ("18FECA00#40FF5B000301FFFF", ""),
        ("43 02 01 02 01 13", ""),
    ],
)
def test_only_a_plain_list_is_taken_for_everything(text, extent):
    assert read_pasted(text, unit_id=1, preferred=CodeSystem.SPN, unit_by_address={}).usual_extent == extent


@pytest.mark.parametrize(("text", "of_all"), [("No codes", True), ("No active codes", False), ("Stored:\nnone", False)])
def test_what_is_said_of_one_list_is_not_said_of_all(send, text, of_all):
    page = send(text).content.decode()
    assert ("The text says that there are no codes." in page) is of_all
    assert ("that there are none, and nothing of the others" in page) is not of_all


def test_an_address_of_no_unit_is_pointed_out():
    read = read_pasted("18FECA05#40FF5B000301FFFF", unit_id=1, preferred=CodeSystem.SPN, unit_by_address={0: 1})
    assert [(one.unit_id, one.status, "not a unit of this boat" in one.problem) for one in read.codes] == [
        (1, CodeStatus.ACTIVE, True)
    ]


def test_a_large_text_is_kept_whole(send):
    text = "\r\n".join(["x" * 60] * 4000 + ["SPN 110 FMI 0 active"])
    page = send(text)
    assert page.context["lines_left_out"] > 3000
    assert send(text, "log", **answers_of(page, extent="some")).status_code == 302
    assert Scan.objects.get().raw == text


DOUBTFUL = "P0217 stored\r\nOn the way home it showed P0118, the lamp went out later\r\nPO300 active"


def test_only_what_the_text_is_clear_about_is_ticked(send):
    page = send(DOUBTFUL)
    read = page.context["read"]
    assert [(one.label, one.is_taken) for one in read.codes] == [("P0217", True), ("P0118", False), ("P0300", False)]
    assert all(len(one.reason) > 20 for one in read.codes[1:])
    body = page.content.decode()
    assert "2 codes are not selected" in body
    assert read.codes[1].reason in body
    assert (body.count('value="yes" data-clear checked>'), body.count('value="yes">')) == (1, 2)
    assert read.usual_extent == ""


def test_many_are_ticked_at_once_and_nothing_is_written(send):
    sent = answers_of(send(DOUBTFUL))
    for ticks, taken in [("all", [True] * 3), ("none", [False] * 3), ("clear", [True, False, False])]:
        page = send(DOUBTFUL, "", **sent, ticks=ticks)
        assert page.status_code == 200
        assert [one.is_taken for one in page.context["read"].codes] == taken
    assert not Scan.objects.exists()


def test_what_was_not_ticked_is_not_logged(send):
    sent = answers_of(send(DOUBTFUL), extent="some")
    del sent["code-1-take"], sent["code-2-take"]
    assert send(DOUBTFUL, "log", **sent).status_code == 302
    assert [str(row) for row in Scan.objects.get().sightings.all()] == ["P0217 stored"]


def test_codes_under_an_engine_go_to_its_unit_or_are_only_offered(send, cast):
    read = send("Port engine\r\nP0217 active\r\nStarboard engine\r\nP0118 stored\r\nEngine 3\r\nP0300 active").context[
        "read"
    ]
    assert [(one.label, one.unit_id, one.is_taken) for one in read.codes] == [
        ("P0217", cast.port_unit.pk, True),
        ("P0118", cast.starboard_unit.pk, True),
        ("P0300", cast.port_unit.pk, False),
    ]
    assert "“Engine 3”" in read.codes[2].reason


@pytest.mark.parametrize(
    ("text", "extent"),
    [
        ("No active codes", ""),
        ("No codes", "all"),
        ("No codes last time", ""),
        ("Active codes:\nP0217\nP0118", ""),
        ("Active codes:\nnone", ""),
        ("Stored: P0217, P0118", ""),
        ("Active codes: none\nStored codes: none", ""),
        ("Active codes:\nP0217\nStored codes:\nnone", "all"),
        ("Active: P0217\nStored: P0118", "all"),
        ("Active: P0217; stored: P0118", "all"),
        ("Codes:\nP0217 active\nP0118 active", "all"),
        ("P0217: active", "all"),
        ("Status: active\nCode: P0217", "all"),
        ("DM1: SPN 110 FMI 0", ""),
        ("NO DATA", ""),
        ("7F 03 11", ""),
        ("codes?", ""),
        ("MIL on", ""),
        ("", ""),
        ("SPN 110 FMI 0 active\nNO DATA", ""),
        ("No codes\n7F 07 11", ""),
        ("MIL on\nP0217 stored", "all"),
        ("P0217 stored\nsaw P0118 as well", ""),
        ("Engine 1\nP0217 active\nEngine 2\nP0118 active", ""),
    ],
)
def test_what_a_text_leaves_open_is_not_taken_for_everything(text, extent):
    assert read_pasted(text, unit_id=1, preferred=CodeSystem.SPN, unit_by_address={}).usual_extent == extent


def test_what_a_text_leaves_open_and_its_hours_are_asked_at_once(send, cast):
    at = timezone.now()
    log_hours(by=cast.tech, engine=cast.port, shown=Decimal(100), happened_at=at - timedelta(hours=2))
    text = "SPN 110 FMI 0 active\r\nGateway hiccup seen"
    sent = answers_of(send(text), extent="all", happened_at="", hours="105")
    asked = send(text, "log", **sent)
    assert set(asked.context["form"].errors) == {"extent", "hours"}
    assert not Scan.objects.exists()
    assert "Hour meter shows (port)" in asked.content.decode()
    assert "Last 100 h" in asked.content.decode()
    keys = questions_of(asked)
    assert len(keys) == 2
    left = send(text, "log", **sent, asked=keys[:1])
    assert len(left.context["form"].errors) == 1
    assert send(text, "log", **sent, asked=questions_of(left)).status_code == 302
    assert Scan.objects.get().entry.engine_hours == 105
