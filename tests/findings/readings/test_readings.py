"""Readings: judged at once, kept with what they were judged by, never lost."""

from __future__ import annotations

import uuid
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from commands.refusals import Refused
from findings.readings import queries
from findings.readings.actions import NewLimit, add_card, add_parameter, change_card, log_reading
from findings.readings.models import Parameter, Reading, SpecCard
from findings.readings.series import series_page
from tests.cast import Cast
from tests.findings.story import scan
from vessels.log.verify import broken_link
from vessels.models import LogEntry
from workorders.actions import open_job
from workorders.models import Job

pytestmark = pytest.mark.django_db


@pytest.fixture
def oil(cast: Cast) -> Parameter:
    return Parameter.objects.get(name="Oil pressure")


@pytest.fixture
def card(cast: Cast, oil: Parameter) -> SpecCard:
    return add_card(
        by=cast.tech,
        family=cast.family,
        title="Running checks",
        document="Norrland D6T workshop manual, 3rd edition, page 41",
        limits=[
            NewLimit(parameter=oil, unit="psi", condition="warm, 700 rpm", low=Decimal(15), high=Decimal(45)),
            NewLimit(parameter=oil, unit="psi", condition="warm, 2000 rpm", low=Decimal(40), high=Decimal(70)),
            NewLimit(
                parameter=Parameter.objects.get(name="Charging voltage"),
                unit="V",
                low=Decimal("13.5"),
                high=Decimal("14.7"),
            ),
        ],
    )


@pytest.fixture
def job(cast: Cast) -> Job:
    made = open_job(by=cast.desk, vessel=cast.vessel, concerns=["Oil pressure drops at idle"])
    made.lines.update(engine=cast.port)
    return made


def log_oil(cast: Cast, oil: Parameter, value: str, **more: object) -> Reading:
    given: dict[str, object] = {
        "by": cast.tech,
        "vessel": cast.vessel,
        "engine": cast.port,
        "parameter": oil,
        "value": Decimal(value),
        "unit": "psi",
        "condition": "warm, 2000 rpm",
        **more,
    }
    return log_reading(**given)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("value", "verdict"),
    [
        ("39.9", "out"),
        ("40", "near"),
        ("43", "near"),
        ("43.1", "in range"),
        ("66.9", "in range"),
        ("67", "near"),
        ("70.1", "out"),
    ],
)
def test_verdict_follows_the_spec_card(cast: Cast, oil: Parameter, card: SpecCard, value: str, verdict: str) -> None:
    assert log_oil(cast, oil, value).verdict == verdict


def test_the_condition_chooses_the_limit(cast: Cast, oil: Parameter, card: SpecCard) -> None:
    assert log_oil(cast, oil, "30", condition="Warm,  700 RPM").verdict == "in range"
    assert log_oil(cast, oil, "30", condition="cold").verdict == "no limits"


def test_another_unit_is_judged_by_the_same_limits(cast: Cast, oil: Parameter, card: SpecCard) -> None:
    reading = log_oil(cast, oil, "2.5", unit="bar")
    assert reading.verdict == "out"
    assert reading.low == Decimal("2.758")
    assert (reading.value, reading.unit) == (Decimal("2.5"), "bar")
    assert reading.value_si == Decimal(250000)


def test_a_minimum_below_the_band_is_out_though_the_value_is_in(cast: Cast, oil: Parameter, card: SpecCard) -> None:
    reading = log_oil(cast, oil, "50", minimum=Decimal(30), maximum=Decimal(55))
    assert reading.verdict == "out"
    row = queries.reading_row(reading)
    assert row.sentence == "50 psi, lowest 30 psi, below 40 psi, warm, 2000 rpm"
    assert reading.entry.summary == "Oil pressure 50 psi (warm, 2000 rpm): lowest 30 psi, below 40 psi: out"


def test_what_a_value_is_out_by_stands_on_every_page_that_tells_it(client, cast, oil, card, job) -> None:
    client.force_login(cast.tech)
    log_oil(cast, oil, "50", minimum=Decimal(30), maximum=Decimal(55), job=job)
    pages = {
        "job": reverse("findings:job", args=[job.number]),
        "boat": reverse("findings:vessel_readings", args=[cast.vessel.pk]),
    }
    for name, address in pages.items():
        page = client.get(address).content.decode()
        assert "out by its lowest" in page, name
        assert ">lowest 30 psi, highest 55 psi<" in page, name
    log = client.get(reverse("vessels:log", args=[cast.vessel.pk])).content.decode()
    assert "lowest 30 psi, below 40 psi: out" in log


@pytest.mark.parametrize(
    ("value", "lowest", "highest", "condition", "verdict", "by"),
    [
        ("190.4", "104", "192", "warm, 2000 rpm", "in range", ()),
        ("190.4", "104", "230", "warm, 2000 rpm", "in range", ()),
        ("160", "104", "192", "warm, 2000 rpm", "out", ()),
        ("190.4", "104", "192", "", "out", ("lowest",)),
        ("190.4", "170", "230", "", "out", ("highest",)),
        ("190.4", "170", "191", "", "in range", ()),
    ],
)
def test_extremes_of_a_whole_log_are_not_judged_under_a_condition(
    cast, value, lowest, highest, condition, verdict, by
) -> None:
    coolant = Parameter.objects.get(name="Coolant temperature")
    limits = [
        NewLimit(
            parameter=coolant,
            unit="degF",
            condition=words,
            low=Decimal(165),
            high=Decimal(194),
            near_percent=Decimal(5),
        )
        for words in ("", "warm, 2000 rpm")
    ]
    add_card(by=cast.tech, family=cast.family, title="Warm", document="Norrland D6T manual, page 41", limits=limits)
    reading = log_reading(
        by=cast.tech, vessel=cast.vessel, engine=cast.port, parameter=coolant, value=Decimal(value), unit="degF",
        minimum=Decimal(lowest), maximum=Decimal(highest), condition=condition, file_sha256="a" * 64,
    )  # fmt: skip
    row = queries.reading_row(reading)
    assert (reading.verdict, row.strip.by) == (verdict, by)
    assert row.strip.seen == "over the whole log"
    assert (reading.minimum, reading.maximum) == (Decimal(lowest), Decimal(highest))


def test_a_reading_of_a_log_that_was_judged_by_its_extremes_keeps_its_verdict_and_says_so(cast, oil, card) -> None:
    reading = log_oil(cast, oil, "50", minimum=Decimal(30), maximum=Decimal(55))
    reading.file_sha256 = "a" * 64  # as it was logged from a file before
    assert queries.reading_row(reading).sentence.startswith("50 psi, lowest 30 psi, below 40 psi")


def test_changing_the_card_leaves_the_reading_as_judged(cast: Cast, oil: Parameter, card: SpecCard) -> None:
    reading = log_oil(cast, oil, "50")
    change_card(
        by=cast.manager,
        card=card,
        changes={"title": "New edition"},
        limits=[NewLimit(parameter=oil, unit="psi", condition="warm, 2000 rpm", low=Decimal(60), high=Decimal(80))],
    )
    reading.refresh_from_db()
    assert (reading.low, reading.high, reading.verdict) == (Decimal(40), Decimal(70), "in range")
    assert "page 41" in reading.limits_from
    assert log_oil(cast, oil, "50").verdict == "out"


def test_the_same_reading_sent_twice_is_stored_once(cast: Cast, oil: Parameter, card: SpecCard) -> None:
    entry_id = uuid.uuid4()
    first, second = (log_oil(cast, oil, "50", entry_id=entry_id) for _ in range(2))
    assert first.pk == second.pk == entry_id
    assert Reading.objects.count() == 1
    assert broken_link(cast.vessel) is None


def test_a_corrected_reading_stays_but_no_longer_counts(cast: Cast, oil: Parameter, card: SpecCard) -> None:
    wrong = log_oil(cast, oil, "500")
    log_oil(cast, oil, "50", amends=wrong.entry)
    assert Reading.objects.count() == 2
    assert [row.latest.shown for row in series_page(cast.vessel).series] == ["50 psi"]


@pytest.mark.parametrize(
    ("more", "word"),
    [
        ({"unit": "V"}, "does not measure"),
        ({"minimum": Decimal(5), "maximum": Decimal(4)}, "above the highest"),
        ({"value": Decimal(10) ** 12}, "larger than anything"),
    ],
)
def test_nonsense_is_refused_with_a_sentence(cast: Cast, oil: Parameter, more: dict[str, object], word: str) -> None:
    with pytest.raises(Refused, match=word):
        log_oil(cast, oil, **({"value": "50"} | more))
    assert not LogEntry.objects.filter(kind="reading").exists()


def test_the_front_desk_does_not_log_readings(cast: Cast, oil: Parameter) -> None:
    with pytest.raises(Refused, match="role"):
        log_oil(cast, oil, "50", by=cast.desk)


def test_a_parameter_of_the_same_name_is_used_not_doubled(cast: Cast) -> None:
    made = add_parameter(by=cast.tech, name="  Seawater   strainer drop ", kind="pressure")
    assert add_parameter(by=cast.tech, name="seawater strainer drop", kind="pressure") == made
    with pytest.raises(Refused, match="is a pressure here"):
        add_parameter(by=cast.tech, name="Seawater strainer drop", kind="voltage")


def test_limits_that_contradict_each_other_write_nothing(cast: Cast, oil: Parameter) -> None:
    with pytest.raises(Refused, match="Row 1"):
        add_card(
            by=cast.tech,
            family=cast.family,
            title="x",
            document="y",
            limits=[NewLimit(oil, "psi", low=Decimal(9), high=Decimal(3))],
        )
    assert not SpecCard.objects.exists()


def sheet_data(card: SpecCard, **values: str) -> dict[str, str]:
    data = {"phase": "arrival", "hours": "", "instrument": "", "happened_at": "", "text": ""}
    for limit in card.limits.all():
        data[f"limit-{limit.pk}-value"] = ""
        data[f"limit-{limit.pk}-unit"] = limit.unit
    return data | values


def test_the_sheet_logs_all_filled_rows_and_no_other(client, cast: Cast, card: SpecCard, job: Job) -> None:
    client.force_login(cast.tech)
    limits = list(card.limits.order_by("pk"))
    data = sheet_data(
        card,
        **{f"limit-{limits[0].pk}-value": "12,5", f"limit-{limits[2].pk}-value": "14.1 V", "hours": "412.5"},
        entry_id=str(uuid.uuid4()),
    )
    address = reverse("findings:job_readings", args=[job.number]) + f"?engine={cast.port.pk}"
    for _ in range(2):
        answer = client.post(address, data)
        assert answer.status_code == 302
    logged = Reading.objects.order_by("entry__position")
    assert [(row.value, row.verdict) for row in logged] == [(Decimal("12.5"), "out"), (Decimal("14.1"), "in range")]
    assert {row.entry.engine_hours for row in logged} == {Decimal("412.5")}


def test_the_sheet_keeps_what_was_typed_and_says_what_is_wrong(client, cast: Cast, card: SpecCard, job: Job) -> None:
    client.force_login(cast.tech)
    first = card.limits.first()
    assert first is not None
    answer = client.post(
        reverse("findings:job_readings", args=[job.number]) + f"?engine={cast.port.pk}",
        sheet_data(card, **{f"limit-{first.pk}-value": "about 40", "text": "gauge was wet"}),
    )
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "about 40" in page
    assert "gauge was wet" in page
    assert "start with a number" in page
    assert not Reading.objects.exists()


@pytest.mark.parametrize(
    ("index", "typed", "quoted"),
    [
        (0, "1000000000", "1000000000 psi is beyond anything on a boat"),
        (0, "99999 bar", "99999 bar is beyond anything on a boat"),
        (2, "5000 V", "5000 V is beyond anything on a boat"),
    ],
)
def test_an_absurd_value_is_quoted_once_beside_its_own_field(client, cast, card, job, index, typed, quoted) -> None:
    client.force_login(cast.tech)
    limit = list(card.limits.order_by("pk"))[index]
    answer = client.post(
        reverse("findings:job_readings", args=[job.number]) + f"?engine={cast.port.pk}",
        sheet_data(card, **{f"limit-{limit.pk}-value": typed}),
    )
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "One thing to fix" in page
    assert page.count("Check the figure and its unit.") == 2  # in the summary, and beside the field
    assert page.count('aria-invalid="true"') == 1
    assert f'<a href="#id_limit-{limit.pk}-value">{limit.parameter.name}: {quoted}' in page
    assert 'href="#id_other-value"' not in page


def test_each_absurd_value_is_told_at_once(client, cast, card, job) -> None:
    client.force_login(cast.tech)
    first, _, third = card.limits.order_by("pk")
    temperature = Parameter.objects.get(name="Coolant temperature")
    answer = client.post(
        reverse("findings:job_readings", args=[job.number]) + f"?engine={cast.port.pk}",
        sheet_data(card, **{f"limit-{first.pk}-value": "40", f"limit-{first.pk}-maximum": "90000000"})
        | {f"limit-{third.pk}-value": "-4000"}
        | {"other-parameter": temperature.pk, "other-value": "99999", "other-unit": "degF"},
    )
    page = answer.content.decode()
    assert "3 things to fix" in page
    for words in ("90000000 psi is", "-4000 V is", "99999 °F is"):
        assert page.count(words) == 2
    assert not Reading.objects.exists()


def test_what_the_action_alone_refuses_is_said_in_its_row(client, cast, card, job, oil) -> None:
    client.force_login(cast.tech)
    answer = client.post(
        reverse("findings:job_readings", args=[job.number]) + f"?engine={cast.port.pk}",
        sheet_data(card) | {"other-parameter_name": "oil pressure", "other-value": "12", "other-unit": "V"},
    )
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "One thing to fix" in page
    assert "Oil pressure" in page
    assert not Reading.objects.exists()


def test_the_fragment_says_of_an_absurd_value_what_the_sheet_says(client, cast, card) -> None:
    client.force_login(cast.tech)
    limit = card.limits.filter(condition="warm, 2000 rpm").get()
    prefix = f"limit-{limit.pk}"
    address = reverse("findings:judged", args=[limit.pk])
    page = client.get(address, {f"{prefix}-value": "1000000000", f"{prefix}-unit": "psi"}).content.decode()
    assert "1000000000 psi is beyond anything on a boat" in page
    assert "<svg" not in page


def test_an_empty_sheet_is_refused(client, cast: Cast, card: SpecCard, job: Job) -> None:
    client.force_login(cast.tech)
    answer = client.post(reverse("findings:job_readings", args=[job.number]), sheet_data(card))
    assert answer.status_code == 422
    assert "Nothing is filled in" in answer.content.decode()


def test_the_judged_fragment_says_it_at_once(client, cast: Cast, card: SpecCard) -> None:
    client.force_login(cast.tech)
    limit = card.limits.filter(condition="warm, 2000 rpm").get()
    address = reverse("findings:judged", args=[limit.pk])
    prefix = f"limit-{limit.pk}"
    page = client.get(address, {f"{prefix}-value": "38", f"{prefix}-unit": "psi"}).content.decode()
    assert "<svg" in page
    assert "2 psi below" in page
    assert (
        "start with a number" in client.get(address, {f"{prefix}-value": "x", f"{prefix}-unit": "psi"}).content.decode()
    )


def test_something_new_is_measured_and_becomes_a_parameter(client, cast: Cast, card: SpecCard, job: Job) -> None:
    client.force_login(cast.tech)
    data = sheet_data(card) | {"other-parameter_name": "Strainer drop", "other-value": "3", "other-unit": "inHg"}
    answer = client.post(reverse("findings:job_readings", args=[job.number]) + f"?engine={cast.port.pk}", data)
    assert answer.status_code == 302
    assert Reading.objects.get().parameter.name == "Strainer drop"


@pytest.mark.parametrize("count", [1, 12])
def test_pages_need_the_same_queries_however_many_readings(
    client, cast: Cast, oil: Parameter, card: SpecCard, count: int, django_assert_max_num_queries
) -> None:
    client.force_login(cast.manager)
    for index in range(count):
        log_oil(cast, oil, str(40 + index), condition=f"point {index}")
    client.get(reverse("findings:vessel_readings", args=[cast.vessel.pk]))
    with django_assert_max_num_queries(16):
        page = client.get(reverse("findings:vessel_readings", args=[cast.vessel.pk]))
    assert page.content.decode().count("<tr>") == count + 1
    with django_assert_max_num_queries(16):
        history = client.get(
            reverse("findings:parameter_history", args=[cast.vessel.pk, oil.pk]) + f"?engine={cast.port.pk}"
        )
    assert history.status_code == 200


def test_the_boats_log_needs_the_same_queries_however_many_readings_are_of_a_file(
    client, cast: Cast, oil: Parameter, card: SpecCard
) -> None:
    client.force_login(cast.manager)
    address, needed = reverse("vessels:log", args=[cast.vessel.pk]), []
    for count in (2, 8):
        for value in range(count):
            condition = "warm, 2000 rpm" if value % 2 else ""
            extremes = {"minimum": Decimal(20), "maximum": Decimal(75)}
            log_oil(cast, oil, str(50 + value), condition=condition, file_sha256="a" * 64, **extremes)
        client.get(address)
        with CaptureQueriesContext(connection) as queries:
            page = client.get(address).content.decode()
        assert "lowest 20 psi, highest 75 psi over the whole log" in page
        assert "out by its lowest" not in page  # under the condition only the value is judged; there is no other limit
        needed.append(len(queries))
    assert needed[0] == needed[1]


def test_the_spec_card_form_makes_and_changes_a_card(client, cast: Cast, oil: Parameter) -> None:
    client.force_login(cast.tech)
    data = {
        "family": cast.family.pk,
        "title": "Idle",
        "document": "Manual p. 3",
        "limits-TOTAL_FORMS": "2",
        "limits-INITIAL_FORMS": "0",
        "limits-0-parameter": oil.name,
        "limits-0-low": "1 1/2",
        "limits-0-unit": "bar",
        "limits-0-near_percent": "10",
        "limits-1-near_percent": "10",
    }
    assert client.post(reverse("findings:card_add"), data).status_code == 302
    card = SpecCard.objects.get()
    assert card.limits.get().low == Decimal("1.5")
    wrong = data | {"limits-0-low": "9", "limits-0-high": "2"}
    answer = client.post(reverse("findings:card_change", args=[card.pk]), wrong)
    assert answer.status_code == 422
    assert "lower limit is above" in answer.content.decode()
    assert card.limits.get().low == Decimal("1.5")


@pytest.mark.parametrize(
    ("value", "unit", "said"),
    [
        ("6000", "bar", "beyond anything on a boat"),
        ("80000", "psi", "beyond anything on a boat"),
        ("-50", "psi", "below a perfect vacuum"),
    ],
)
def test_what_nothing_on_a_boat_reads_is_refused(cast: Cast, oil: Parameter, value: str, unit: str, said: str) -> None:
    with pytest.raises(Refused, match=said) as refusal:
        log_oil(cast, oil, value, unit=unit)
    assert "value" in refusal.value.fields
    assert not Reading.objects.exists()


def test_the_sheet_begins_with_the_engine_and_phase_the_job_is_about(client, cast: Cast, job: Job) -> None:
    client.force_login(cast.tech)
    address = reverse("findings:job_readings", args=[job.number])
    line = job.lines.get()
    line.engine = cast.starboard
    line.save()
    first = client.get(address).context
    assert (first["engine"], first["sheet"].common["phase"].value()) == (cast.starboard, "arrival")
    line.engine = cast.port
    line.save()
    scan(cast, 0, 100, [], job=job, phase="after-repair")
    later = client.get(address).context
    assert (later["engine"], later["sheet"].common["phase"].value()) == (cast.port, "")
    assert not later["sheet"].common["hours"].value()
    assert "Last 100 h, Apr 1, 2025" in later["sheet"].common["hours"].help_text


def test_other_figures_under_the_id_of_a_logged_reading_are_refused_and_not_lost_in_silence(
    cast: Cast, oil: Parameter
) -> None:
    entry_id = uuid.uuid4()
    log_oil(cast, oil, "81", entry_id=entry_id)
    assert log_oil(cast, oil, "81.0", entry_id=entry_id).value == 81
    with pytest.raises(Refused, match="already logged with other content"):
        log_oil(cast, oil, "82", entry_id=entry_id)
    assert [reading.value for reading in Reading.objects.all()] == [81]
