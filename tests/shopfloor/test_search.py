"""The one search box: every way in, what is shown of what fits, and what it costs."""

import re
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from engineering.codes import Code, CodeSystem
from findings.faults.models import Fault
from findings.reports.models import IssuedReport, ReportDraft
from parts.actions import add_part
from shopfloor.search import search_everything, typed
from tests.asking import asked
from tests.cast import keep_to_the_office, make_cast
from tests.findings.story import COOLANT, LEAN, clear, scan, seen
from vessels.actions import write_note
from vessels.models import ControlUnit, Customer, Engine, Vessel
from workorders.models import Job

pytestmark = pytest.mark.django_db
TABLES = "vessels_(vessel|customer|engine)"
ROW_BY_ROW = re.compile(
    rf"Seq Scan on {TABLES} .*\n +Filter:| on {TABLES} .*\n( +Index Cond:.*\n)? +Filter: .*to_tsvector"
)


@pytest.fixture
def cast():
    made = make_cast()
    Vessel.objects.filter(pk=made.vessel.pk).update(berth="B-14", registration="FL 1234 AB")
    made.vessel.refresh_from_db()
    made.customer.emails.create(address="wes@example.com")
    add_part(by=made.manager, number="TW-4471-A", maker="Tidewright", description="Impeller kit", unit_price=Decimal(9))
    other = Customer.objects.create(name="Harbor Tours", kind="firm", contact="Ines Okoro")
    other.phones.create(number="555-0177", digits="+15555550177")
    Vessel.objects.create(name="Marguerite", owner=other, berth="C-2", kind="work")
    return made


def _job(cast, number, state="in-work"):
    return Job.objects.create(
        number=number,
        vessel=cast.vessel,
        customer=cast.customer,
        state=state,
        closed_at=timezone.now() if state == "closed" else None,
        opened_by=cast.desk,
    )


def _found(text):
    """Group label -> titles, the exact ones under "exactly"."""
    found = search_everything(text)
    shown = {group.label: [hit.title for hit in group.hits] for group in found.groups}
    return ({"exactly": [hit.title for hit in found.exact]} if found.exact else {}) | shown


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("second", {"Vessels": ["Second Wind"]}),
        ("WIND sec", {"Vessels": ["Second Wind"]}),
        ("wes har", {"Vessels": ["Second Wind"], "Customers": ["Wes Harrow"]}),
        ("har", {"Vessels": ["Marguerite", "Second Wind"], "Customers": ["Harbor Tours", "Wes Harrow"]}),
        ("okoro", {"Vessels": ["Marguerite"], "Customers": ["Harbor Tours"]}),
        ("wes@ex", {"Customers": ["Wes Harrow"]}),
        ("(555) 555-0123", {"Vessels": ["Second Wind"], "Customers": ["Wes Harrow"]}),
        ("555.555.0123", {"Vessels": ["Second Wind"], "Customers": ["Wes Harrow"]}),
        ("+1 555 555 0123", {"Vessels": ["Second Wind"], "Customers": ["Wes Harrow"]}),
        ("0123", {"Vessels": ["Second Wind"], "Customers": ["Wes Harrow"]}),
        ("B-14", {"Vessels": ["Second Wind"]}),
        ("b14", {"Vessels": ["Second Wind"]}),
        ("fl1234", {"Vessels": ["Second Wind"]}),
        ("GBD123", {"Vessels": ["Second Wind"]}),
        ("gbd12345a525", {"exactly": ["Second Wind"]}),
        ("GBD 12345 A5-25", {"exactly": ["Second Wind"]}),
        ("NL-204", {"Vessels": ["Second Wind"]}),
        ("nl20418", {"exactly": ["Second Wind"]}),
        ("TW-44", {"Parts": ["Impeller kit"]}),
        ("tw4471a", {"exactly": ["Impeller kit"]}),
        ("impeller", {"Parts": ["Impeller kit"]}),
        ("12345A", {"Vessels": ["Second Wind"]}),
        ("2345", {"Vessels": ["Second Wind"]}),
        ("slip B-14", {"Vessels": ["Second Wind"]}),
        ("HIN no. GBD12345", {"Vessels": ["Second Wind"]}),
        ("serial: NL-20418", {"exactly": ["Second Wind"]}),
        ("phone 555-0123", {"Vessels": ["Second Wind"], "Customers": ["Wes Harrow"]}),
        ("part TW-4471-A", {"exactly": ["Impeller kit"]}),
        ("slip b", {"Vessels": ["Second Wind"]}),
        ("slip", {}),
        ("xyzzy", {}),
        ("%%", {}),
        ("' OR 1=1 --", {}),
        ("& | !", {}),
        ("∆∆", {}),
    ],
)
def test_every_way_in(cast, text, expected):
    assert _found(text) == expected


@pytest.mark.parametrize("text", ["1032", "job 1032", "Job #1032", "#1032"])
def test_a_jobs_whole_number_comes_first(cast, text):
    _job(cast, 1032)
    _job(cast, 10320)
    assert _found(text)["exactly"] == ["Job 1032"]


def test_a_number_too_large_for_a_job_is_only_not_found(cast):
    assert _found("999999999") == {}
    assert _found("9" * 60) == {}


def test_prefixed_hin_is_found_with_and_without_its_country(cast):
    Vessel.objects.create(name="Abroad", hin="US-XYZ12345B525", owner=cast.customer)
    assert _found("US-XYZ12345B525") == {"exactly": ["Abroad"]}
    assert _found("XYZ12345B525") == {"exactly": ["Abroad"]}
    assert _found("XYZ1") == {"Vessels": ["Abroad"]}


@pytest.mark.parametrize(
    ("text", "codes"),
    [
        ("SPN 110 FMI 0", ["SPN 110 FMI 0"]),
        ("110-0", ["SPN 110 FMI 0"]),
        ("spn 110", ["SPN 110 FMI 0", "SPN 110 FMI 3"]),
        ("110/3", ["SPN 110 FMI 3"]),
        ("p0171", ["P0171"]),
        ("P0172", []),
        ("u0100", ["U0100-87"]),
        ("U0100-87", ["U0100-87"]),
        ("flash 23", ["Flash 23"]),
        ("ab 12", ["AB 12"]),
        ("ab 1", ["AB 12"]),
        ("code ab1", []),
        ("code ab 1", ["AB 12"]),
    ],
)
def test_fault_codes_in_every_notation(cast, text, codes):
    more = [
        Code(CodeSystem.SPN, "110-3"),
        Code(CodeSystem.OBD, "U0100-87"),
        Code(CodeSystem.FLASH, "23"),
        Code(CodeSystem.MAKER, "AB 12"),
    ]
    scan(cast, 0, 100, [seen(code) for code in [COOLANT, LEAN, *more]])
    assert sorted(_found(text).get("Faults", [])) == codes


def test_open_faults_come_before_closed_ones_and_wear_their_flag(cast, client):
    scan(cast, 0, 100, [seen(COOLANT)])
    clear(cast, 1, 101)
    scan(cast, 0.5, 100, [seen(COOLANT)], unit=cast.starboard_unit)
    found = search_everything("110-0")
    assert [hit.fault.state for hit in found.groups[0].hits] == ["active", "cleared"]
    client.force_login(cast.desk)
    assert reverse("findings:fault", args=[found.groups[0].hits[0].fault.pk]) in _html(client, "110-0")


def test_what_matched_is_shown(cast):
    matched = {}
    for text in ["b14", "NL-204", "0123", "gbd1", "fl 12", "5A52"]:
        matched[text] = search_everything(text).groups[0].hits[0].matched
    assert matched == {
        "b14": "berth B-14",
        "NL-204": "port engine, serial NL-20417, starboard engine, serial NL-20418",
        "0123": "phone (555) 555-0123",
        "gbd1": "HIN GBD12345A525",
        "fl 12": "registration FL 1234 AB",
        "5A52": "HIN GBD12345A525",
    }
    customers = search_everything("okoro").groups[-1].hits[0]
    assert customers.matched == "contact Ines Okoro"
    assert customers.facts == "Marguerite"


def test_an_engines_maker_and_model_lead_to_its_boat(cast):
    Engine.objects.filter(pk=cast.port.pk).update(maker="Corran", model="D6-300")
    for text in ["corran", "Corran D6"]:
        (hit,) = search_everything(text).groups[0].hits
        assert (hit.title, hit.matched) == ("Second Wind", "port engine Corran D6-300")


def _report(cast, job, sequence, **more):
    draft = ReportDraft.objects.create(job=job, state="issued", started_by=cast.tech, sequence=sequence)
    return IssuedReport.objects.create(
        entry=write_note(by=cast.tech, vessel=cast.vessel, text="signed"),
        draft=draft,
        job=job,
        sequence=sequence,
        number=f"{job.number}-{sequence}",
        pdf_sha256=str(sequence),
        pdf_size=1,
        pages=1,
        signer=cast.owner,
        signed_at=timezone.now(),
        **more,
    )


@pytest.mark.parametrize("text", ["1078-1", "report 1078-1", "Report #1078-1"])
def test_a_report_is_found_by_its_whole_number(cast, text):
    job = _job(cast, 1078)
    first = _report(cast, job, 1)
    _report(cast, job, 2, supersedes=first)
    (hit,) = search_everything(text).exact
    assert (hit.title, hit.url) == ("Report 1078-1", "/reports/1078-1/")
    assert (hit.facts, hit.tag) == ("Second Wind · job 1078", "superseded by 1078-2")
    assert not search_everything("1078-11").exact


def test_a_boat_shows_its_open_jobs(cast, client):
    _job(cast, 1032)
    _job(cast, 1033, "closed")
    hit = search_everything("second").groups[0].hits[0]
    assert [job.number for job in hit.jobs] == [1032]
    client.force_login(cast.desk)
    html = _html(client, "second")
    assert reverse("workorders:job", args=[1032]) in html
    assert reverse("workorders:job", args=[1033]) not in html


def _html(client, text, **headers):
    answer = client.get(reverse("search"), {"q": text}, headers=headers)
    assert answer.status_code == 200
    return answer.content.decode()


def test_many_are_cut_and_the_rest_is_a_list_away(cast, client):
    Vessel.objects.bulk_create(Vessel(name=f"Gull {number:02}", owner=cast.customer) for number in range(20))
    client.force_login(cast.tech)
    group = search_everything("gull").groups[0]
    assert (len(group.hits), group.has_more) == (8, True)
    assert 'href="/vessels/?q=gull"' in _html(client, "gull")


def test_nothing_found_says_what_to_do(cast, client):
    keep_to_the_office()
    client.force_login(cast.desk)
    html = _html(client, "xyzzy <b>")
    assert "Nothing found for “xyzzy &lt;b&gt;”" in html
    assert reverse("workorders:open") in html
    client.force_login(cast.tech)
    assert reverse("workorders:open") not in _html(client, "xyzzy")


def test_empty_and_short(cast, client):
    client.force_login(cast.tech)
    assert "What are you looking for?" in _html(client, "  ")
    assert "Type two characters or more." in _html(client, "a")


def test_the_box_repeats_what_was_asked(cast, client):
    client.force_login(cast.tech)
    assert 'value="se&quot;cond"' in _html(client, 'se"cond')


def test_as_one_types_only_the_part_comes_back(cast, client):
    client.force_login(cast.tech)
    whole = _html(client, "second")
    part = _html(client, "second", HX_Request="true", HX_Target="found")
    assert "<h1>" in whole
    assert "<h1>" not in part
    assert part.strip().startswith('<div id="found"')
    assert "Second Wind" in part
    assert 'data-say="1 found for second."' in part


def test_control_characters_and_length_are_no_trouble(cast, client):
    assert typed("a\x00b\n c" + "x" * 500) == ("a b c" + "x" * 500)[:100]
    client.force_login(cast.tech)
    for text in ["\x00\x00\x00", "x" * 5000, "\\", ":*", "a:*", "(((", "é\u0301é", "\u202eabc", "١٢٣٤٥"]:
        _html(client, text)


def test_same_queries_for_few_and_many(cast, client):
    client.force_login(cast.desk)
    texts = ["gull", "1032", "110-0", "0123", "nl20", "tidewright"]

    def cost():
        counts = []
        for text in texts:
            with asked() as counted:
                _html(client, text)
            counts.append(counted)
        return counts

    _fill(cast, range(30))  # more than is shown of any kind
    cost()
    few = cost()
    _fill(cast, range(30, 300))
    assert cost() == few
    assert max(counted.queries for counted in few) <= 18


def _fill(cast, numbers):
    for number in numbers:
        owner = Customer.objects.create(name=f"Gull {number}")
        owner.phones.create(number="555 0123", digits=f"+1555{number:03}0123")
        vessel = Vessel.objects.create(name=f"Gull {number}", owner=owner, maker="Tidewright")
        Engine.objects.create(vessel=vessel, serial=f"NL-20{number:03}")
        Job.objects.create(number=2000 + number, vessel=vessel, customer=owner, opened_by=cast.desk)
        add_part(by=cast.owner, number=f"G-{number}", maker="Tidewright", description="Gull", unit_price=Decimal(1))


def test_large_tables_are_met_by_index():
    """With 5,000 hulls no way in compares row by row what was typed."""
    Customer.objects.create(name="Wes Harrow")
    people = Customer.objects.bulk_create(Customer(name=f"Person {number}") for number in range(5000))
    for person in people[:2]:
        person.emails.create(address=f"p{person.pk}@example.com")
    boats = Vessel.objects.bulk_create(
        Vessel(name=f"Boat {number}", hin=f"GBD{number:05}A525", berth=f"Q-{number}", owner=person)
        for number, person in enumerate(people)
    )
    Engine.objects.bulk_create(Engine(vessel=boat, serial=f"NL-{boat.pk}") for boat in boats)
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE vessels_vessel, vessels_customer, vessels_engine")
        for text in ["harrow", "xyzzy", "gbd0417", "Q-491", "nl20417"]:
            with CaptureQueriesContext(connection) as queries:
                search_everything(text)
            for query in queries.captured_queries:
                if query["sql"].startswith("SELECT"):
                    cursor.execute(f"EXPLAIN {query['sql']}")
                    plan = "\n".join(row[0] for row in cursor.fetchall())
                    assert not ROW_BY_ROW.search(plan), (text, plan)


def test_a_code_that_many_engines_had_is_read_in_the_order_shown(cast):
    """Of thousands of faults with one code, only the few that are shown are read."""
    units = ControlUnit.objects.bulk_create(ControlUnit(vessel=cast.vessel) for _ in range(3000))
    Fault.objects.bulk_create(
        Fault(vessel=cast.vessel, unit=unit, system="spn", code="157-18", state="cleared", last_seen_at=timezone.now())
        for unit in units
    )
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE faults_fault, vessels_controlunit")
        with CaptureQueriesContext(connection) as queries:
            found = search_everything("SPN 157 FMI 18")
        (asked,) = (query["sql"] for query in queries.captured_queries if "FROM faults_fault" in query["sql"])
        cursor.execute(f"EXPLAIN (ANALYZE, TIMING OFF, BUFFERS OFF) {asked}")
        plan = "\n".join(row[0] for row in cursor.fetchall())

    assert [(group.label, len(group.hits), group.has_more) for group in found.groups] == [("Faults", 8, True)]
    assert "faults_by_code_open" in plan
    read = [int(float(rows)) for rows in re.findall(r"faults_fault .*actual rows=([\d.]+)", plan)]
    assert read, plan
    assert max(read) < 100, plan


@pytest.fixture
def billed(cast):
    """An invoice that is credited in part and paid by check, and an estimate that was given."""
    from billing.invoices.actions import credit_invoice, make_invoice, receive_payment
    from workorders.actions import add_charge, open_job

    job = open_job(by=cast.desk, vessel=cast.vessel, concerns=["Alarm"])
    add_charge(by=cast.desk, job=job, kind="fee", description="Launch", unit_price=Decimal("77.77"))
    invoice = make_invoice(by=cast.desk, job=job, seen_total=Decimal("77.77"))
    receive_payment(by=cast.desk, invoice=invoice, amount=Decimal("7.77"), means="check", reference="B-20417")
    credit_invoice(by=cast.manager, invoice=invoice, amount=Decimal(10), reason="Late")
    return invoice


def test_a_check_is_found_by_its_number_and_not_among_all_payments(cast, billed):
    with CaptureQueriesContext(connection) as queries, connection.cursor() as cursor:
        search_everything("b-20417", cast.desk)
        (asked,) = (query["sql"] for query in queries.captured_queries if "invoices_payment" in query["sql"])
        cursor.execute("SET LOCAL enable_seqscan = off")  # of a single payment the database would read the table
        cursor.execute(f"EXPLAIN {asked}")
        assert "payment_by_reference" in "\n".join(row[0] for row in cursor.fetchall())


@pytest.mark.parametrize(
    ("text", "title", "is_exact"),
    [
        ("INV-1001", "Invoice INV-1001", True),
        ("inv-1001", "Invoice INV-1001", True),
        ("invoice 1001", "Invoice INV-1001", False),
        ("1001", "Invoice INV-1001", False),
        ("CN-1001", "Credit note CN-1001", True),
        ("credit note 1001", "Credit note CN-1001", False),
        ("b-20417", "Check B-20417", True),
        ("check b-20417", "Check B-20417", True),
        ("INV-1002", "", False),
        ("INV-", "", False),
        ("99999999999999999999", "", False),
        ("' OR 1=1 --1", "", False),
    ],
)
def test_papers_about_money_are_found_by_their_number_without_a_sum(cast, billed, text, title, is_exact):
    """By those who may open them; a technician who may not learns neither that they are nor what they come to."""
    found = search_everything(text, cast.desk)
    exact, rest = [hit.title for hit in found.exact], [hit.title for group in found.groups for hit in group.hits]
    assert (title in exact, title in rest) == (is_exact, bool(title) and not is_exact)
    hits = [*found.exact, *(hit for group in found.groups for hit in group.hits)]
    assert not any("77" in f"{hit.title} {hit.facts} {hit.matched}" for hit in hits)
    of_tech = search_everything(text, cast.tech)
    seen = [hit.title for hit in [*of_tech.exact, *(one for group in of_tech.groups for one in group.hits)]]
    assert not title or title not in seen


def test_the_page_finds_for_the_one_who_asks(cast, billed, client):
    for person, sees in [(cast.desk, True), (cast.tech, False)]:
        client.force_login(person)
        page = client.get(reverse("search"), {"q": "INV-1001"}).content.decode()
        assert ("Invoice INV-1001" in page) is sees
