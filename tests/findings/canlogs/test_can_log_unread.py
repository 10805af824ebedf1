"""What a CAN log holds and could not be read is said, and keeps it from proving that a code is gone."""

from __future__ import annotations

import pytest

from findings.faults.models import Fault, Scan
from findings.readings.models import Reading
from shopfloor.demo.network import Motor, run_of
from tests.findings.canlogs.samples import BEGIN, answers_of, page_of, read_log, run_text, send
from tests.findings.story import OIL, scan, seen

pytestmark = pytest.mark.usefixtures("can_log_world")

NONE = "18FECA00#00FF00000000FFFF"
ANNOUNCED, FIRST, SECOND = "1CECFF00#200E0002FFCAFE00", "1CEBFF00#0110FF6E00000364", "1CEBFF00#02000301BE000401"
FOUR = ["1CECFF00#20120003FFCAFE00", "1CEBFF00#0110FF6E00000364", "1CEBFF00#035E000604FFFFFF"]
SPEED = "0CF00400#FFFFFF803EFFFFFF"


def frames(*lines: str, step: float = 0.1) -> str:
    start = BEGIN.timestamp()
    return "".join(f"({start + at * step:.6f}) can0 {line}\n" for at, line in enumerate(lines))


def everything(client, log, **more):
    return send(client, log, answers_of(page_of(client, log), extent="all", **more))


CUT = [ANNOUNCED, FIRST, SPEED]


def test_active_codes_that_could_not_be_read_are_no_proof_that_none_is_there(tech, cast, job):
    scan(cast, 0, 1000, [seen(OIL)], job=job)
    before = Scan.objects.count()
    log = read_log(cast, job, frames(*[NONE] * 5, *CUT * 10))
    page = page_of(tech, log)
    body = page.content.decode()
    assert page.context["understood"].unread == [
        "Address 0 on can0: 10 messages of active codes (DM1) were incomplete and could not be read; the last one that "
        "could be read, which said that there is none, came before the last of them. By beginnings that were cut "
        "short, SPN 110 FMI 0 may be active and the red stop lamp may be on."
    ]
    assert (
        "Address 0 on can0: 5 messages of active codes were read, 5 of them said that there is none, the last of these "
        "too, but later ones could not be read." in body
    )
    assert not page.context["codes"]
    answer = everything(tech, log)
    (said,) = answer.context["form"].errors["extent"]
    assert answer.status_code == 422
    assert "10 messages of active codes (DM1) were incomplete" in said
    assert "To keep it" not in said
    assert everything(tech, log, asked=[f"extent {log.sha256}: "]).status_code == 422
    assert Scan.objects.count() == before
    assert Fault.objects.get().state == "active"


@pytest.mark.parametrize(
    ("lines", "refused", "asked"),
    [
        ([*[NONE] * 5], False, False),
        ([*CUT, *[NONE] * 5, SPEED], True, False),  # three codes were announced, and none was ever read
        ([ANNOUNCED, FIRST, SECOND, *CUT, ANNOUNCED, FIRST, SECOND], False, True),
        ([ANNOUNCED, FIRST, SECOND, ANNOUNCED, FIRST], True, False),
        ([NONE, "18FECB00#00FF00000000FFFF", "1CECFF00#200E0002FFCBFE00", FIRST, NONE], True, False),  # DM2
        ([NONE, FIRST, SECOND], True, False),  # the announcement is missing
        ([FIRST, NONE], False, True),
        ([NONE, "18FECA00#00FF0000"], True, False),  # too short to say anything
        ([NONE, "1CECFF00#200E0002FFE3FE00", FIRST], False, False),  # a long message of another kind
        ([NONE, "1CECFF05#200E0002FFCAFE00", "1CEBFF05#0110FF6E00000364"], False, False),  # another sender, left out
        ([NONE, "1CECFF00#20"], True, False),  # an announcement that is cut off
    ],
)
def test_what_was_not_read_is_refused_or_asked_about_where_the_log_is_everything(
    tech, cast, job, lines, refused, asked
):
    log = read_log(cast, job, frames(*lines))
    page = page_of(tech, log)
    sent = answers_of(page, extent="all")
    sent |= {f"{row.heard.key}-take": "yes" for row in page.context["codes"]}
    answer = send(tech, log, sent)
    if not refused and not asked:
        assert answer.status_code == 302
        assert Scan.objects.get().is_complete
        return
    (said,) = answer.context["form"].errors["extent"]
    assert ("To keep it" in said, "incomplete" in said or "announcement" in said) == (asked, True)
    assert not Scan.objects.exists()
    assert send(tech, log, sent | {"extent": "some"}).status_code == (
        302 if SPEED in lines or page.context["codes"] else 422
    )


def test_a_sender_none_of_whose_codes_could_be_read_is_named(tech, cast, job):
    log = read_log(cast, job, frames(*[*FOUR, SPEED] * 10))
    page = page_of(tech, log)
    assert (
        page.context["understood"]
        .unread[0]
        .startswith(
            "Address 0 on can0: 10 messages of active codes (DM1) were incomplete and could not be read; none of "
        )
    )
    assert [says for _, sender, says in page.context["senders"] if sender.source == 0] == ["1 value"]
    assert everything(tech, log).status_code == 422
    assert not Reading.objects.exists()
    assert send(tech, log, answers_of(page)).status_code == 302


def test_a_log_of_nothing_but_lost_messages_says_whose_they_are(tech, cast, job):
    page = page_of(tech, read_log(cast, job, frames(*FOUR * 3)))
    body = page.content.decode()
    assert "3 messages of active codes (DM1) were incomplete" in body
    assert "Log what is selected" not in body


def network(lost_frame: int | None = None, messages: int = 30) -> str:
    moments = [
        (Motor(0, 0, 2000, 300, 80, 14, 1000, 0), Motor(1, 1, 2000, 300, 81, 14, 900, 0)) for _ in range(messages)
    ]
    lines = run_of(BEGIN, moments, code=None).splitlines(keepends=True)
    engine = ["F20101#", "F20101#".lower()]

    def is_lost(line: str) -> bool:
        if not any(one in line for one in engine):
            return False
        return int(line.split("#")[1][:2], 16) & 31 == lost_frame

    return "".join(line for line in lines if not is_lost(line))


@pytest.mark.parametrize("lost_frame", [0, 1, 2, 3])
def test_an_engine_whose_message_always_lacks_a_frame_is_named_with_how_many(tech, cast, job, lost_frame):
    log = read_log(cast, job, network(lost_frame))
    (said,) = page_of(tech, log).context["understood"].unread
    who = "Address 1 on can0" if lost_frame == 0 else "Address 1 on can0, engine 1"
    count = 29 if lost_frame in {0, 3} else 30  # one may be cut off by the beginning or the end of the log alone
    assert said == (
        f"{who}: {count} messages “Engine parameters dynamic” (PGN 127489) were incomplete and could not be read; none "
        "of them could be read."
    )
    answer = everything(tech, log)
    assert answer.status_code == 422
    assert "Engine parameters dynamic" in answer.context["form"].errors["extent"][0]


def test_a_log_that_begins_and_ends_within_a_message_is_no_worse(tech, cast, job):
    lines = network().splitlines(keepends=True)
    frames_of_port = [at for at, line in enumerate(lines) if "F20100#" in line.upper()]
    log = read_log(cast, job, "".join(lines[frames_of_port[1] : frames_of_port[-1]]))
    assert page_of(tech, log).context["understood"].unread == []
    assert everything(tech, log).status_code == 302


def test_a_status_bit_is_not_off_at_the_end_where_the_end_was_not_read(tech, cast, job):
    lines = run_text(12, status=1 << 1, code=None).splitlines(keepends=True)
    mine = [at for at, line in enumerate(lines) if "F20100#" in line.upper()]
    last = {mine[-4 * back + frame] for back in (1, 2) for frame in (1,)}
    log = read_log(cast, job, "".join(line for at, line in enumerate(lines) if at not in last))
    (row,) = page_of(tech, log).context["statuses_heard"]
    assert (row.status, row.heard.problem) == (
        "active",
        "Off in the last message that was read; later ones could not be read. Check its status.",
    )


def test_a_code_is_not_called_gone_where_later_messages_could_not_be_read(tech, cast, job):
    log = read_log(cast, job, frames(ANNOUNCED, FIRST, SECOND, NONE, *CUT))
    rows = page_of(tech, log).context["codes"]
    assert {(row.status, row.heard.problem) for row in rows} == {
        ("active", "No longer in the last message that was read; later ones could not be read. Check its status.")
    }


def test_a_log_read_before_this_was_counted_says_that_it_is_not_known(tech, cast, job):
    log = read_log(cast, job, frames(*[NONE] * 5, *CUT * 10))
    for unit in log.summary["units"]:
        del unit["pgn"]
    del log.summary["incomplete"]
    log.save(update_fields=["summary"])
    page = page_of(tech, log)
    assert "whose they were is not known. Read it again to know." in page.content.decode()
    assert "Read it again" in page.content.decode()
    assert "but whether later ones were lost is not known" in page.content.decode()
    answer = everything(tech, log)
    assert "Read it again to know." in answer.context["form"].errors["extent"][0]
    assert not Scan.objects.exists()


def test_a_whole_log_read_before_this_was_counted_keeps_working(tech, cast, job):
    log = read_log(cast, job, frames(*[NONE] * 5))
    del log.summary["incomplete"], log.summary["units"][0]["pgn"]
    log.save(update_fields=["summary"])
    assert page_of(tech, log).context["understood"].unread == []
    assert everything(tech, log).status_code == 302
    assert Scan.objects.get().is_complete


def test_what_could_not_be_read_is_kept_with_what_is_logged(tech, cast, job):
    log = read_log(cast, job, frames(ANNOUNCED, FIRST, SECOND, *CUT))
    assert send(tech, log, answers_of(page_of(tech, log))).status_code == 302
    assert (
        "Could not be read: Address 0 on can0: 1 message of active codes (DM1) was incomplete" in Scan.objects.get().raw
    )
