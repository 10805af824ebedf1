"""Customers: people and firms, their phones and mails, and those who are here already."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from commands.refusals import Conflict, Refused
from staff.queries import shop_profile
from tests.cast import Cast
from vessels import actions
from vessels.forms import IntakeCustomerForm
from vessels.models import Customer
from vessels.phones import dialed, shop_region, written
from vessels.queries import possible_duplicates


@pytest.fixture
def desk(cast: Cast, client: Client) -> Client:
    client.force_login(cast.desk)
    return client


def rows(phones: list[tuple[str, str]] = (), emails: list[tuple[str, str]] = (), **fields: str) -> dict[str, str]:  # type: ignore[assignment]
    """What the page of a customer sends."""
    sent = {"kind": "person", "name": "", "contact": "", "address": "", "notes": "", **fields}
    for prefix, name, pairs in [("phones", "number", phones), ("emails", "address", emails)]:
        sent |= {f"{prefix}-TOTAL_FORMS": str(len(pairs) + 2), f"{prefix}-INITIAL_FORMS": "0"}
        for index in range(len(pairs) + 2):
            value, label = pairs[index] if index < len(pairs) else ("", "")
            sent |= {f"{prefix}-{index}-{name}": value, f"{prefix}-{index}-label": label}
    return sent


def test_a_customer_with_several_phones_and_mails(desk: Client) -> None:
    answer = desk.post(
        reverse("vessels:customer-add"),
        rows(
            name="Harbor Towing", kind="firm", contact="Gil",
            phones=[("(555) 555-0144", "office"), ("+1 555 555 0145", "boat")], emails=[("tow@example.com", "")],
        ),
    )  # fmt: skip
    towing = Customer.objects.get(name="Harbor Towing")
    assert answer.url == reverse("vessels:customer", args=[towing.pk])
    assert [(phone.label, phone.digits) for phone in towing.phones.all()] == [
        ("office", "+15555550144"), ("boat", "+15555550145"),
    ]  # fmt: skip
    assert [email.address for email in towing.emails.all()] == ["tow@example.com"]
    page = desk.get(answer.url).content.decode()
    assert "(555) 555-0144" in page
    assert "tow@example.com" in page


@pytest.mark.parametrize(
    ("sent", "sentence"),
    [
        (rows(name=""), "Fill this in."),
        (rows(name="Ann Reed", phones=[("ask at the bar", "")]), "is not a phone number"),
        (rows(name="Ann Reed", phones=[("12", "")]), "is not a phone number"),
        (rows(name="Ann Reed", emails=[("ann@nowhere", "")]), "mail address such as"),
        (rows(name="Ann Reed", emails=[("", "home")]), "Enter the address as well"),
        (rows(name="Ann Reed", phones=[("", "mobile")]), "Enter the number as well"),
    ],
)
def test_bad_input_is_explained_and_nothing_is_lost(desk: Client, sent: dict[str, str], sentence: str) -> None:
    answer = desk.post(reverse("vessels:customer-add"), {**sent, "notes": "comes on Fridays"})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert sentence in page
    assert "comes on Fridays" in page
    assert Customer.objects.count() == 1


@pytest.mark.parametrize(
    "sent", [rows(name="wes HARROW"), rows(name="Somebody", phones=[("555.555.0123", "")])], ids=["name", "phone"]
)
def test_one_who_may_be_here_already_is_noticed(desk: Client, cast: Cast, sent: dict[str, str]) -> None:
    answer = desk.post(reverse("vessels:customer-add"), sent)
    assert answer.status_code == 422
    page = answer.content.decode()
    assert reverse("vessels:customer", args=[cast.customer.pk]) in page
    assert "This customer may already be on record" in page
    assert page.count("Add anyway: this is somebody else") == 1  # the box alone, not the summary of errors
    assert "One thing to fix" in page
    assert page.count("On record with this name or phone: ") == 2
    assert Customer.objects.count() == 1
    answer = desk.post(reverse("vessels:customer-add"), {**sent, "not_a_twin": "on"})
    assert answer.status_code == 302
    assert Customer.objects.count() == 2


def test_the_question_is_not_asked_without_need(desk: Client) -> None:
    assert "somebody else" not in desk.get(reverse("vessels:customer-add")).content.decode()


def test_changing_a_customer_replaces_the_lists(cast: Cast) -> None:
    wes = cast.customer
    actions.change_customer(
        by=cast.desk, customer=wes, seen_version=1, changes={"notes": "VHF 16"},
        phones=[("mobile", "(555) 555-0199")], emails=[("", "wes@example.com")],
    )  # fmt: skip
    assert [phone.digits for phone in wes.phones.all()] == ["+15555550199"]
    assert (wes.version, wes.notes) == (2, "VHF 16")
    actions.change_customer(by=cast.desk, customer=wes, seen_version=2, changes={}, emails=[])
    assert not wes.emails.exists()
    assert wes.phones.count() == 1
    wes.refresh_from_db()
    assert wes.version == 3


def test_phones_changed_by_two_are_a_conflict(cast: Cast) -> None:
    wes = cast.customer
    actions.change_customer(by=cast.desk, customer=wes, seen_version=1, changes={}, phones=[("", "(555) 555-0150")])
    with pytest.raises(Conflict) as conflict:
        actions.change_customer(by=cast.tech, customer=wes, seen_version=1, changes={}, phones=[("", "555 555 0151")])
    assert conflict.value.by == "Dora Quill"
    assert conflict.value.theirs == {"phones": "(555) 555-0150"}
    assert conflict.value.mine == {"phones": "(555) 555-0151"}
    assert [phone.number for phone in wes.phones.all()] == ["(555) 555-0150"]


def test_the_page_shows_both_versions_and_the_second_sending_saves(desk: Client, cast: Cast) -> None:
    wes = cast.customer
    url = reverse("vessels:customer-change", args=[wes.pk])
    assert 'value="1"' in desk.get(url).content.decode()
    actions.change_customer(
        by=cast.manager,
        customer=wes,
        seen_version=1,
        changes={"name": "Wesley Harrow"},
        phones=[("", "(555) 555-0150")],
    )
    sent = rows(name="Wes Harrow Jr.", phones=[("555 555 0151", "")], notes="mine", seen_version="1")
    answer = desk.post(url, sent)
    page = answer.content.decode()
    assert answer.status_code == 409
    for words in ["Mina Sparrow", "Wesley Harrow", "Wes Harrow Jr.", "(555) 555-0150", "555 555 0151", "mine"]:
        assert words in page
    wes.refresh_from_db()
    assert wes.name == "Wesley Harrow"
    assert 'name="seen_version" value="2"' in page
    assert desk.post(url, {**sent, "seen_version": "2"}).status_code == 302
    wes.refresh_from_db()
    assert (wes.name, wes.notes, wes.version) == ("Wes Harrow Jr.", "mine", 3)


def test_a_conflict_writes_nothing_at_all(cast: Cast) -> None:
    wes = cast.customer
    actions.change_customer(by=cast.desk, customer=wes, seen_version=1, changes={"notes": "theirs"})
    with pytest.raises(Conflict):
        actions.change_customer(
            by=cast.tech, customer=wes, seen_version=1, changes={"notes": "mine"}, phones=[("", "555 555 0151")]
        )
    assert [phone.digits for phone in wes.phones.all()] == ["+15555550123"]


def test_a_bad_phone_writes_nothing_at_all(cast: Cast) -> None:
    with pytest.raises(Refused, match="not a phone number"):
        actions.add_customer(by=cast.desk, name="Ann Reed", phones=[("", "none")])
    assert not Customer.objects.filter(name="Ann Reed").exists()


@pytest.mark.parametrize(
    ("number", "expected"),
    [
        ("(555) 555-0123", "+15555550123"),
        ("555.555.0123", "+15555550123"),
        ("+44 20 7946 0123", "+442079460123"),
        ("555-0123", "+15550123"),
    ],
)
def test_numbers_as_dialed(number: str, expected: str) -> None:
    assert dialed(number, region="US") == expected


@pytest.mark.parametrize(
    ("typed", "shown"),
    [
        ("5555550123", "(555) 555-0123"),
        ("555.555.0123", "(555) 555-0123"),
        ("+1 555 555 0123", "(555) 555-0123"),
        ("(555) 555-0123", "(555) 555-0123"),
        ("555 555 0123 x12", "(555) 555-0123 ext. 12"),
        ("(555) 555-0123 ext. 12", "(555) 555-0123 ext. 12"),
        ("555-0123", "555-0123"),
        ("+442079460123", "+44 20 7946 0123"),
        ("none", "none"),
    ],
)
def test_numbers_are_written_in_one_form(typed: str, shown: str) -> None:
    assert written(typed, region="US") == shown
    assert written(shown, region="US") == shown


def test_a_phone_is_shown_everywhere_in_the_same_form(desk: Client, cast: Cast) -> None:
    ann = actions.add_customer(by=cast.desk, name="Ann Reed", phones=[("", "5555550160 x7")])
    for address in (reverse("vessels:customer", args=[ann.pk]), reverse("vessels:customer-change", args=[ann.pk])):
        page = desk.get(address).content.decode()
        assert "(555) 555-0160 ext. 7" in page
        assert "5555550160 x7" not in page
    same = actions.change_customer(
        by=cast.desk, customer=ann, seen_version=ann.version, changes={}, phones=[("", "555.555.0160 ext 7")]
    )
    assert same.version == ann.version, "the same number otherwise typed is no change"


def test_the_region_is_that_of_the_shops_own_phone(db: None) -> None:
    assert shop_region() == "US"
    shop = shop_profile()
    shop.phone = "+44 20 7946 0123"
    shop.save()
    assert shop_region() == "GB"


def test_the_form_of_the_counter(cast: Cast) -> None:
    form = IntakeCustomerForm(
        {"c-kind": "person", "c-name": "Ann Reed", "c-phone": "555 555 0160", "c-email": "ann@example.com"}, prefix="c"
    )
    assert form.is_valid(), form.errors
    ann = actions.add_customer(by=cast.desk, **form.answers())
    assert [phone.digits for phone in ann.phones.all()] == ["+15555550160"]
    twin = IntakeCustomerForm({"c-kind": "person", "c-name": "A. Reed", "c-phone": "(555) 555-0160"}, prefix="c")
    assert not twin.is_valid()
    assert list(twin.twins) == [ann]


def test_twins_do_not_count_oneself(cast: Cast) -> None:
    assert list(possible_duplicates("Wes Harrow", ["+15555550123"])) == [cast.customer]
    assert not possible_duplicates("Wes Harrow", ["+15555550123"], but=cast.customer)


def test_customers_are_found_by_any_word_and_by_phone(desk: Client, cast: Cast) -> None:
    actions.add_customer(by=cast.desk, name="Harbor Towing", contact="Gil Ames")
    for text, found, missed in [
        ("harr", "Wes Harrow", "Harbor Towing"),
        ("gil", "Harbor Towing", "Wes Harrow"),
        ("0123", "Wes Harrow", "Harbor Towing"),
    ]:
        page = desk.get(reverse("vessels:customers"), {"q": text}).content.decode()
        assert found in page
        assert missed not in page
    assert "No customer found" in desk.get(reverse("vessels:customers"), {"q": "zzz"}).content.decode()


def test_after_a_customer_comes_the_boat(desk: Client) -> None:
    answer = desk.post(reverse("vessels:customer-add") + "?then=vessel", rows(name="Ann Reed"))
    ann = Customer.objects.get(name="Ann Reed")
    assert answer.url == f"{reverse('vessels:vessel-add')}?owner={ann.pk}"


@pytest.mark.parametrize(
    ("known", "said"),
    [
        ({"berth": "T-2"}, "T-2"),
        ({"maker": "Selmer", "berth": "T-2"}, "Selmer · T-2"),
        ({"model_year": 2014, "maker": "Selmer", "model": "31"}, "2014 Selmer 31"),
        ({"model_year": 2014, "model": "31", "berth": "Slip 4"}, "2014 31 · Slip 4"),
        ({}, ""),
    ],
)
def test_a_boat_says_what_is_known_of_it_and_no_more(
    desk: Client, cast: Cast, known: dict[str, str], said: str
) -> None:
    owner = Customer.objects.create(name="Ann Reed")
    actions.add_vessel(by=cast.desk, owner=owner, name="Wren", **known)
    page = desk.get(reverse("vessels:customer", args=[owner.pk])).content.decode()
    row = page[page.index("Wren</b>") :]
    row = row[: row.index("</li>")]
    assert (f"<small>{said}</small>" in row) if said else ("<small>" not in row)
