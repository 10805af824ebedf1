"""The parts catalog: adding, changing, finding, pages."""

from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from commands.refusals import Conflict, Refused
from parts.actions import add_part, change_part
from parts.models import Part
from parts.queries import BY_NUMBER, catalog, find_parts
from parts.sections import Section, _sections, register
from staff.policy import Role
from tests.cast import make_cast
from web.pager import page_of
from workorders.models import Job

pytestmark = pytest.mark.django_db
TYPED = {"number": "TW-4471-A", "maker": "Tidewright", "description": "Impeller kit, raw water", "unit_price": "84,50"}


def _part(cast, number="TW-4471-A", maker="Tidewright", description="Impeller kit, raw water", price="84.50"):
    return add_part(by=cast.manager, number=number, maker=maker, description=description, unit_price=Decimal(price))


def test_manager_adds_a_part(client):
    cast = make_cast()
    client.force_login(cast.manager)
    answer = client.post(reverse("parts:add"), TYPED)
    part = Part.objects.get()
    assert (answer.status_code, answer.url) == (302, reverse("parts:part", args=[part.pk]))
    assert (part.number, part.unit_price, part.is_active, part.changed_by) == (
        "TW-4471-A",
        Decimal("84.50"),
        True,
        cast.manager,
    )
    page = client.get(answer.url).content.decode()
    assert "Impeller kit, raw water" in page
    assert "84.50" in page


@pytest.mark.parametrize(
    ("wrong", "field", "sentence"),
    [
        ({"number": ""}, "number", "Fill this in"),
        ({"description": ""}, "description", "Fill this in"),
        ({"unit_price": "-1"}, "unit_price", "No less than 0"),
        ({"unit_price": "cheap"}, "unit_price", "is not a number"),
        ({"unit_price": "1.005"}, "unit_price", "At most 2 digits after the decimal point"),
        ({"unit_price": "99999999999"}, "unit_price", "At most 9 digits before the decimal point"),
        ({"number": "tw-4471-a", "maker": "TIDEWRIGHT"}, "number", "already in the catalog"),
    ],
)
def test_wrong_input_is_explained_and_kept(client, wrong, field, sentence):
    cast = make_cast()
    _part(cast)
    client.force_login(cast.manager)
    typed = TYPED | {"number": "TW-9"} | wrong
    answer = client.post(reverse("parts:add"), typed)
    assert answer.status_code == 422
    assert sentence in " ".join(answer.context["form"].errors[field])
    assert answer.context["form"]["maker"].value() == typed["maker"]
    assert Part.objects.count() == 1


def test_same_number_of_another_maker_is_another_part():
    cast = make_cast()
    _part(cast)
    assert _part(cast, maker="Norrland").pk


@pytest.mark.parametrize("role", [Role.FRONT_DESK, Role.TECHNICIAN])
def test_desk_and_technician_look_but_do_not_change(client, role):
    cast = make_cast()
    part = _part(cast)
    with pytest.raises(Refused, match="add and change catalog parts"):
        change_part(by=cast.person(role), part=part, changes={"unit_price": Decimal(1)})
    client.force_login(cast.person(role))
    page = client.get(reverse("parts:part", args=[part.pk])).content.decode()
    assert reverse("parts:change", args=[part.pk]) not in page
    assert client.get(reverse("parts:change", args=[part.pk])).status_code == 403
    assert client.post(reverse("parts:add"), TYPED).status_code == 403


def test_change_and_both_versions(client):
    cast = make_cast()
    part = _part(cast)
    address = reverse("parts:change", args=[part.pk])
    client.force_login(cast.owner)
    typed = TYPED | {"is_active": "on", "seen_version": 1}
    assert client.post(address, typed | {"unit_price": "90"}).status_code == 302
    answer = client.post(address, typed | {"unit_price": "95"})
    assert answer.status_code == 409
    page = answer.content.decode()
    assert "Orla Brandt saved this" in page
    assert "90.00" in page
    part.refresh_from_db()
    assert (part.unit_price, part.version) == (Decimal("90.00"), 2)
    assert client.post(address, typed | {"unit_price": "95", "seen_version": 2}).status_code == 302


def test_action_conflict_and_taken_number():
    cast = make_cast()
    part, other = _part(cast), _part(cast, number="TW-2")
    change_part(by=cast.manager, part=part, changes={"description": "Impeller"}, seen_version=1)
    with pytest.raises(Conflict):
        change_part(by=cast.owner, part=part, changes={"description": "Pump wheel"}, seen_version=1)
    with pytest.raises(Refused, match="already in the catalog") as refusal:
        change_part(by=cast.owner, part=other, changes={"number": "tw-4471-A"})
    assert "number" in refusal.value.fields
    other.refresh_from_db()
    assert other.number == "TW-2"
    with pytest.raises(ValueError, match="version"):
        change_part(by=cast.owner, part=other, changes={"version": 9})


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("TW-4471-A", ["TW-4471-A"]),
        ("tw4471", ["TW-4471-A"]),
        ("TW", ["TW-10", "TW-4471-A"]),
        ("impel", ["TW-4471-A"]),
        ("water raw", ["TW-4471-A"]),
        ("tidewright", ["TW-10", "TW-4471-A"]),
        ("norr filter", ["NL 88/2"]),
        ("nl88", ["NL 88/2"]),
        ("4471", []),
        ("%", []),
        ("_", []),
        ("  ", []),
        ("' OR 1=1 --", []),
    ],
)
def test_find_parts(text, found):
    cast = make_cast()
    _part(cast)
    _part(cast, number="TW-10", description="Anode")
    _part(cast, number="NL 88/2", maker="Norrland", description="Oil filter")
    assert [part.number for part in find_parts(text)] == found


def test_find_parts_can_leave_out_what_is_no_longer_sold():
    cast = make_cast()
    part = _part(cast)
    change_part(by=cast.manager, part=part, changes={"is_active": False})
    assert list(find_parts("impeller")) == [part]
    assert not find_parts("impeller", sold_only=True)


def test_pages_go_there_and_back_without_gap_or_repeat():
    cast = make_cast()
    for number in range(23):
        _part(cast, number=f"P-{number:02}", maker="A" if number % 2 else "B")
    _part(cast, number="P-07", maker="C")
    in_order = [part.pk for part in sorted(Part.objects.all(), key=lambda part: (part.number, part.pk))]
    page, seen = page_of(catalog(sold_only=True), BY_NUMBER, size=5), []
    assert page.before is None
    while True:
        seen += [part.pk for part in page.rows]
        if page.after is None:
            break
        page = page_of(catalog(sold_only=True), BY_NUMBER, size=5, after=page.after)
    assert seen == in_order
    back = [part.pk for part in page.rows]
    while page.before is not None:
        page = page_of(catalog(sold_only=True), BY_NUMBER, size=5, before=page.before)
        back = [part.pk for part in page.rows] + back
    assert back == in_order
    assert page_of(catalog(), BY_NUMBER, size=5, after=10**9).rows == page_of(catalog(), BY_NUMBER, size=5).rows


def test_catalog_page_filters_and_keeps_the_filter_in_its_links(client):
    cast = make_cast()
    client.force_login(cast.tech)
    for number in range(60):
        _part(cast, number=f"P-{number:02}", description="Anode")
    old = _part(cast, number="X-1", description="Gasket")
    change_part(by=cast.manager, part=old, changes={"is_active": False})
    page = client.get(reverse("parts:list"), {"q": "anode"})
    assert len(page.context["page"].rows) == 50
    assert page.context["next_url"].startswith("?q=anode&after=")
    assert "No part found" in client.get(reverse("parts:list"), {"q": "gasket"}).content.decode()
    assert "X-1" in client.get(reverse("parts:list"), {"q": "gasket", "all": "on"}).content.decode()
    assert client.get(reverse("parts:list"), {"after": "x", "before": "9" * 40}).status_code == 200


def test_empty_catalog_says_what_to_do_first(client):
    cast = make_cast()
    client.force_login(cast.manager)
    assert "Add the parts you sell most first" in client.get(reverse("parts:list")).content.decode()
    client.force_login(cast.tech)
    assert "A manager or the owner adds the parts" in client.get(reverse("parts:list")).content.decode()


def test_catalog_takes_the_same_queries_for_few_and_many(client, django_assert_num_queries):
    cast = make_cast()
    client.force_login(cast.tech)
    for number in range(3):
        _part(cast, number=f"P-{number}")
    client.get(reverse("parts:list"))
    with django_assert_num_queries(4):
        client.get(reverse("parts:list"))
    for number in range(3, 60):
        _part(cast, number=f"P-{number}")
    with django_assert_num_queries(4):
        client.get(reverse("parts:list"))


def test_floors_above_add_sections_to_a_parts_page(client, monkeypatch):
    cast = make_cast()
    part = _part(cast)
    monkeypatch.setattr(_sections, "_pieces", dict(_sections._pieces))
    register(Section("test", "components/empty.html", lambda shown: {"title": f"Seen {shown.number}", "text": ""}))
    client.force_login(cast.tech)
    assert "Seen TW-4471-A" in client.get(reverse("parts:part", args=[part.pk])).content.decode()


def test_searches_meet_their_indexes():
    from django.db import connection

    cast = make_cast()
    Part.objects.bulk_create(
        Part(number=f"Q-{number:05}", maker="Tidewright", description=f"Thing {number}") for number in range(3000)
    )
    _part(cast)
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE parts_part")
    plan = find_parts("impeller").explain()
    assert "part_words" in plan
    assert "part_number_start" in plan
    assert "Seq Scan" not in plan


def test_a_parts_page_shows_where_it_was_charged(client, django_assert_num_queries):
    cast = make_cast()
    part = _part(cast)
    address = reverse("parts:part", args=[part.pk])
    client.force_login(cast.tech)
    assert "It has not been charged on a job yet" in client.get(address).content.decode()

    def charge(number, **more):
        job = Job.objects.create(number=number, vessel=cast.vessel, customer=cast.customer, opened_by=cast.desk)
        return job.charges.create(
            kind="part", part=part, description="Impeller", quantity=2, unit_price=80, added_by=cast.desk, **more
        )

    charge(1032)
    charge(1033, struck_at=timezone.now(), struck_by=cast.desk)
    page = client.get(address).content.decode()
    assert reverse("workorders:job", args=[1032]) in page
    assert "2 × $80.00" in page
    assert reverse("workorders:job", args=[1033]) not in page
    with django_assert_num_queries(6):
        client.get(address)
    for number in range(2000, 2030):
        charge(number)
    with django_assert_num_queries(6):
        assert "The last 20 of 31." in client.get(address).content.decode()
