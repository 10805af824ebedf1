"""The sheet: engines and conditions side by side, rows found by a word, what is judged as typed is what is stored."""

from __future__ import annotations

import html
import re
import uuid
from decimal import Decimal

import pytest
from django.urls import reverse

from engineering.measures import Kind
from findings.readings.actions import NewLimit, add_card, change_card, log_reading
from findings.readings.finding import found_of, matching, wanted_of
from findings.readings.models import Parameter, Reading, SpecCard
from findings.readings.queries import reading_row
from tests.asking import asked
from tests.cast import Cast
from workorders.actions import open_job
from workorders.models import Job

pytestmark = pytest.mark.django_db


def named(name: str) -> Parameter:
    return Parameter.objects.get(name=name)


@pytest.fixture
def job(cast: Cast) -> Job:
    return open_job(by=cast.desk, vessel=cast.vessel, concerns=[("Runs hot.", cast.port)])


@pytest.fixture
def card(cast: Cast) -> SpecCard:
    oil = named("Oil pressure")
    return add_card(
        by=cast.tech, family=cast.family, title="Warm", document="Invented manual, page 4",
        limits=[
            NewLimit(parameter=oil, unit="psi", condition="Idle, warm", low=Decimal(15), high=Decimal(45)),
            NewLimit(parameter=oil, unit="psi", condition="2000 rpm", low=Decimal(40), high=Decimal(70)),
            NewLimit(parameter=named("Charging voltage"), unit="V", low=Decimal("13.5"), high=Decimal("14.7")),
        ],
    )  # fmt: skip


def address(cast: Cast, job: Job, more: str = "") -> str:
    return f"{reverse('findings:job_readings', args=[job.number])}?engine={cast.port.pk}{more}"


def fields(page: object) -> list[str]:
    """The names of all value fields of the sheet, in their order."""
    return re.findall(r'<input type="(?:text|radio)" name="([^"]*-value)"', page.content.decode())  # type: ignore[attr-defined]


def test_two_engines_and_two_conditions_are_logged_each_as_what_it_is(
    cast: Cast, card: SpecCard, job: Job, client
) -> None:
    client.force_login(cast.tech)
    at = address(cast, job, f"&beside={cast.starboard.pk}&under=idle%2C++warm&under=2000+rpm")
    page = client.get(at)
    names = [one for one in fields(page) if one.startswith("line-")]
    assert len(names) == 8  # two parameters, two engines, two conditions
    typed = dict(zip(names, ["12", "60", "50", "30", "14", "14", "14", "15"], strict=True))
    sent = typed | {
        "phase": "arrival",
        "entry_id": str(uuid.uuid4()),
        "hours": "88",
        f"hours-{cast.starboard.pk}": "90",
    }
    for _ in range(2):
        assert client.post(at, sent).status_code == 302
    kept = [
        (one.entry.engine, one.parameter.name, one.condition, one.value, one.verdict, one.entry.engine_hours)
        for one in Reading.objects.select_related("entry__engine", "parameter").order_by("entry__position")
    ]
    port, starboard = (cast.port, Decimal(88)), (cast.starboard, Decimal(90))
    assert kept == [
        (engine, name, condition, value, verdict, hours)
        for (engine, hours), name, condition, value, verdict in [
            (port, "Oil pressure", "idle, warm", 12, "out"), (port, "Oil pressure", "2000 rpm", 60, "in range"),
            (starboard, "Oil pressure", "idle, warm", 50, "out"), (starboard, "Oil pressure", "2000 rpm", 30, "out"),
            (port, "Charging voltage", "idle, warm", 14, "in range"),
            (port, "Charging voltage", "2000 rpm", 14, "in range"),
            (starboard, "Charging voltage", "idle, warm", 14, "in range"),
            (starboard, "Charging voltage", "2000 rpm", 15, "out"),
        ]
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("value", "low", "high"),
    [
        ("14", "", ""), ("15", "", ""), ("15.4", "", ""), ("44", "", ""), ("30", "12", ""), ("30", "", "46"),
        ("2.06842 bar", "", ""), ("0", "", ""), ("45.00004", "", ""), ("3/4", "", ""),
    ],
)  # fmt: skip
@pytest.mark.parametrize("words", ["", "1"])
def test_what_is_said_while_typing_is_what_the_log_says(cast, card, job, client, value, low, high, words) -> None:
    client.force_login(cast.tech)
    limit = card.limits.get(condition="Idle, warm")
    row = f"limit-{limit.pk}"
    typed = {f"{row}-value": value, f"{row}-unit": "psi", f"{row}-minimum": low, f"{row}-maximum": high}
    judged = client.get(reverse("findings:judged", args=[limit.pk]), typed | {"cell": row, "words": words})
    answer = client.post(address(cast, job), typed | {"phase": "arrival"})
    if answer.status_code == 422:
        assert "errorlist" in judged.content.decode()
        assert not Reading.objects.exists()
        return
    stored = reading_row(Reading.objects.get())
    assert stored.verdict.value in judged.content.decode()
    assert html.escape(stored.sentence) in judged.content.decode()


def test_without_limits_nothing_is_said(cast: Cast, card: SpecCard, job: Job, client) -> None:
    client.force_login(cast.tech)
    boost = named("Boost pressure")
    page = client.post(
        address(cast, job, f"&line={boost.pk}"), {f"line-{boost.pk}-value": "12", "take": "first", "find": ""}
    )
    body = page.content.decode()
    row = body[body.index(f'id="row-line-{boost.pk}"') :]
    row = row[: row.index('id="id_find"')]
    assert 'value="12"' in row
    assert "hx-get" not in row
    assert re.search(r'class="judged" aria-live="polite">\s*</div>', row)


def test_a_row_is_found_by_a_few_letters_and_its_value_goes_into_it(
    cast: Cast, card: SpecCard, job: Job, client
) -> None:
    client.force_login(cast.tech)
    limit = card.limits.get(parameter=named("Charging voltage"))
    typed = {f"limit-{limit.pk}-value": "14.2", "text": "At the dock.", "hours": "88"}
    page = client.post(
        address(cast, job), typed | {"find": "coolant t 180", "take": "first"}, headers={"hx-request": "true"}
    )
    line = named("Coolant temperature").pk
    assert page.headers["HX-Replace-Url"].endswith(f"line={line}")
    body = page.content.decode()
    for kept in ('value="14.2"', "At the dock.", 'value="88"', 'value="180"'):
        assert kept in body
    # without scripts the key Enter in the finder adds the row, and logs nothing
    page = client.post(address(cast, job), typed | {"find": "boost", "enter": "yes"})
    assert f"line-{named('Boost pressure').pk}-value" in fields(page)
    # a row that is there is used
    page = client.post(address(cast, job), {"find": "charging 14.1", "take": "first"})
    assert f'name="limit-{limit.pk}-value" value="14.1"' in page.content.decode()
    page = client.post(address(cast, job), typed | {"find": "warp drive", "take": "first"})
    assert "Nothing here is called “warp drive”" in page.content.decode()
    assert not Reading.objects.exists()


@pytest.mark.parametrize(
    ("text", "name", "value"),
    [
        ("oil pr 45 psi", "Oil pressure", "45 psi"), ("oil pr", "Oil pressure", ""),
        ("OIL PRESSURE 4,5bar", "Oil pressure", "4,5bar"),
        ("pressure oil", "Oil pressure", ""), ("gear oil p 300", "Gear oil pressure", "300"),
        ("neutral on", "Neutral switch", "on"),
        ("egt 2", "EGT 2", ""), ("egt 2 1180 °F", "EGT 2", "1180 °F"), ("coolant te -5", "Coolant temperature", "-5"),
        ("charging v: 14.1", "Charging voltage", "14.1"), ("45", None, ""),
        ("", None, ""), ("  \0 ", None, ""), ("psi", None, ""),
        ("warp 9", None, "9"), ("oil ½", None, ""), ("%", None, ""),
    ],
)  # fmt: skip
def test_what_words_may_mean(text: str, name: str | None, value: str) -> None:
    Parameter.objects.create(name="EGT 2", kind=Kind.TEMPERATURE.value)
    found, typed = found_of(text)
    assert (found[0].name if found else None, typed if found else wanted_of(text).value or typed) == (name, value)


def test_among_hundreds_the_likeliest_stands_first() -> None:
    Parameter.objects.bulk_create(
        Parameter(name=f"Cylinder {index} oil pressure sensor", kind=Kind.PRESSURE.value, position=5)
        for index in range(400)
    )
    known = list(Parameter.objects.all())
    assert [one.name for one in matching("oil pressure", known)][:1] == ["Oil pressure"]
    assert matching("cylinder 377", known)[0].name == "Cylinder 377 oil pressure sensor"
    assert len(matching("oil", known)) == 12


def test_the_last_visit_stands_beside_and_this_one_does_not(cast: Cast, card: SpecCard, job: Job, client) -> None:
    client.force_login(cast.tech)
    oil = named("Oil pressure")
    shared = {"by": cast.tech, "vessel": cast.vessel, "parameter": oil, "unit": "psi"}
    log_reading(**shared, engine=cast.port, value=Decimal(41), condition="idle, WARM", minimum=Decimal(39))
    log_reading(**shared, engine=cast.starboard, value=Decimal(33), condition="Idle, warm")
    log_reading(**shared, engine=cast.port, value=Decimal(44), condition="Idle, warm", job=job)
    log_reading(**shared, engine=cast.port, value=Decimal(66), condition="2000 rpm", job=job)
    body = html.unescape(client.get(address(cast, job)).content.decode())
    assert re.findall(r">read ([0-9.]+ psi)<", body) == ["41 psi"]
    assert '-minimum" value="39"' not in body  # lowest and highest begin with nothing
    link = re.search(r'href="([^"]*)">read', body)
    assert link is not None
    assert client.get(link[1]).status_code == 200
    beside = html.unescape(client.get(address(cast, job, f"&beside={cast.starboard.pk}")).content.decode())
    assert re.findall(r">read ([0-9.]+ psi)<", beside) == ["41 psi", "33 psi"]


def test_what_was_typed_in_a_row_that_the_card_lost_is_not_lost(cast: Cast, card: SpecCard, job: Job, client) -> None:
    client.force_login(cast.tech)
    oil = named("Oil pressure")
    limit = card.limits.get(condition="2000 rpm")
    row = f"limit-{limit.pk}"
    typed = {f"{row}-value": "55", f"{row}-unit": "psi", f"{row}-of": f"{oil.pk}:2000 rpm", "phase": "arrival"}
    change_card(
        by=cast.manager, card=card, changes={},
        limits=[NewLimit(parameter=oil, unit="psi", condition="2000 rpm", low=Decimal(60))],
    )  # fmt: skip
    assert client.post(address(cast, job), typed).status_code == 302
    kept = Reading.objects.get()
    assert (kept.parameter, kept.value, kept.condition, kept.verdict) == (oil, 55, "2000 rpm", "out")


def test_a_switch_is_a_row_of_the_same_sheet(cast: Cast, job: Job, client) -> None:
    client.force_login(cast.tech)
    switch = named("Neutral switch")
    at = address(cast, job, f"&line={switch.pk}")
    assert fields(client.get(at)).count(f"line-{switch.pk}-value") == 3  # on, off, not read
    answer = client.post(at, {f"line-{switch.pk}-value": "off", f"line-{switch.pk}-unit": "on/off", "phase": "arrival"})
    assert answer.status_code == 302
    assert (Reading.objects.get().value, Reading.objects.get().unit) == (0, "on/off")
    assert client.post(at, {f"line-{switch.pk}-value": "perhaps", "phase": "arrival"}).status_code == 422


def test_a_row_that_is_refused_loses_nothing_of_the_others(cast: Cast, card: SpecCard, job: Job, client) -> None:
    client.force_login(cast.tech)
    boost = named("Boost pressure")
    at = address(cast, job, f"&beside={cast.starboard.pk}&line={boost.pk}&under=Key+on")
    names = fields(client.get(at))
    lines = [one for one in names if one.startswith("line-")]
    sent = dict.fromkeys(lines, "12") | {lines[1]: "about 12", "phase": "arrival", f"hours-{cast.starboard.pk}": "many"}
    page = client.post(at, sent)
    body = page.content.decode()
    assert page.status_code == 422
    assert body.count('-value" value="12"') == len(lines) - 1
    assert 'value="about 12"' in body
    assert 'value="many"' in body
    assert not Reading.objects.exists()


@pytest.mark.parametrize(
    "more",
    ["&beside=x", "&beside=99999", "&under=", "&under=%00", "&line=0", "&line=x&line=99999999", "&under=" + "x" * 400],
)
def test_an_address_that_makes_no_sense_shows_a_sheet(cast: Cast, card: SpecCard, job: Job, client, more: str) -> None:
    client.force_login(cast.tech)
    assert client.get(address(cast, job, more)).status_code == 200
    assert client.post(address(cast, job, more), {"take": "first", "find": more, "phase": "arrival"}).status_code == 200


@pytest.mark.parametrize("count", [1, 30])
def test_the_sheet_asks_the_same_however_much_is_on_it(
    cast: Cast, card: SpecCard, job: Job, client, count: int
) -> None:
    client.force_login(cast.tech)
    known = list(Parameter.objects.all()[:count])
    for index, one in enumerate(known):
        unit = {"pressure": "psi", "temperature": "degF"}.get(one.kind)
        if unit:
            log_reading(
                by=cast.tech, vessel=cast.vessel, engine=cast.port, parameter=one, unit=unit, value=Decimal(40 + index)
            )
    at = address(cast, job, f"&beside={cast.starboard.pk}" + "".join(f"&line={one.pk}" for one in known))
    client.get(at)
    with asked() as counted:
        assert client.get(at).status_code == 200
    assert counted.queries <= 24, counted
