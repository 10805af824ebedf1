"""Boats: their identity and HIN, doubles, changes, owners."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st

from commands.refusals import Conflict, Refused
from engineering.hin import check_hin
from staff.queries import shop_profile
from tests.cast import Cast
from vessels import actions
from vessels.actions.hulls import accepted_hin
from vessels.forms import VesselForm
from vessels.models import DetailsChange, Vessel


@pytest.fixture
def desk(cast: Cast, client: Client) -> Client:
    client.force_login(cast.desk)
    return client


def boat(**fields: str) -> dict[str, str]:
    """What the page of a boat sends."""
    return {"name": "Ibis", "kind": "outboard", "hin": "", "hin_remark": "", **fields}


def add_url(cast: Cast) -> str:
    return f"{reverse('vessels:vessel-add')}?owner={cast.customer.pk}"


def test_a_boat_is_added_with_its_log(desk: Client, cast: Cast) -> None:
    answer = desk.post(add_url(cast), boat(hin="gbd 54321 b626", length="21,5", length_unit="ft", berth="B-14"))
    ibis = Vessel.objects.get(name="Ibis")
    assert answer.url == reverse("vessels:engines", args=[ibis.pk])
    assert (ibis.hin, ibis.owner, ibis.berth) == ("GBD54321B626", cast.customer, "B-14")
    assert (ibis.length, ibis.length_unit, ibis.length_m) == (Decimal("21.50"), "ft", Decimal("6.553"))
    entry = ibis.log.get()
    assert entry.kind == "vessel-added"
    assert "GBD54321B626" in entry.summary
    assert ibis.ownerships.get().since == entry.happened_at


def test_the_unit_of_the_shop_is_offered_first(cast: Cast) -> None:
    assert VesselForm()["length_unit"].initial == "ft"
    shop = shop_profile()
    shop.units = "metric"
    shop.save()
    assert VesselForm()["length_unit"].initial == "m"


@pytest.mark.parametrize(
    ("hin", "sentence"),
    [
        ("GBD54321B62", "1 is missing"),
        ("GBD54O21B626", "letter O"),
        ("GBD54321Z626", "letter from A"),
        ("GBD54321B6!6", "Only the letters A to Z"),
    ],
)
def test_a_wrong_hin_is_explained_beside_the_field(desk: Client, cast: Cast, hin: str, sentence: str) -> None:
    answer = desk.post(add_url(cast), boat(hin=hin, color="sea green"))
    page = answer.content.decode()
    assert answer.status_code == 422
    assert sentence in page
    assert "as found on the hull" in page
    assert hin in page.replace("&quot;", '"')
    assert "sea green" in page
    assert not Vessel.objects.filter(name="Ibis").exists()


def test_a_wrong_hin_is_kept_with_a_remark(desk: Client, cast: Cast) -> None:
    answer = desk.post(add_url(cast), boat(hin="GBD54321B62", hin_remark="as found on the hull"))
    assert answer.status_code == 302
    ibis = Vessel.objects.get(name="Ibis")
    assert (ibis.hin, ibis.hin_remark) == ("GBD54321B62", "as found on the hull")
    page = desk.get(reverse("vessels:vessel", args=[ibis.pk])).content.decode()
    assert "Check the HIN" in page
    assert "1 is missing" in page


def test_an_old_boat_needs_no_hin(desk: Client, cast: Cast) -> None:
    assert desk.post(add_url(cast), boat(hin_remark="built 1968")).status_code == 302
    ibis = Vessel.objects.get(name="Ibis")
    assert "not known: built 1968" in desk.get(reverse("vessels:vessel", args=[ibis.pk])).content.decode()


def test_a_country_before_the_hin_may_stay(desk: Client, cast: Cast) -> None:
    desk.post(add_url(cast), boat(hin="us-gbd54321b626"))
    assert Vessel.objects.get(name="Ibis").hin == "US-GBD54321B626"


@given(st.text(max_size=40))
def test_no_text_breaks_the_check_of_a_hin(text: str) -> None:
    """Whatever is typed is either stored as one spelling, or refused by the field with a sentence."""
    try:
        kept = accepted_hin(text, "as found")
    except Refused as refusal:
        kept, sentence = None, refusal.fields["hin"]
    normalized = check_hin(text, today=timezone.localdate()).normalized
    if kept is None:
        assert len(normalized) > 20
        assert sentence
    else:
        assert kept in {"", normalized}


def test_a_boat_with_this_hin_is_already_here(desk: Client, cast: Cast) -> None:
    answer = desk.post(add_url(cast), boat(hin="GBD-12345-A525"))
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "A boat with this HIN is already on record: Second Wind, owned by Wes Harrow." in page
    assert reverse("vessels:vessel", args=[cast.vessel.pk]) in page
    with pytest.raises(Refused, match="already on record"):
        actions.add_vessel(by=cast.desk, owner=cast.customer, name="Ibis", hin="GBD12345A525")


def test_a_boat_is_known_by_something(desk: Client, cast: Cast) -> None:
    answer = desk.post(add_url(cast), boat(name=""))
    assert "at least one of name" in answer.content.decode()
    assert Vessel.objects.count() == 1


def test_the_owner_is_chosen_first(desk: Client, cast: Cast) -> None:
    page = desk.get(reverse("vessels:vessel-add"), {"q": "wes"}).content.decode()
    assert "Whose boat is it?" in page
    assert f"?owner={cast.customer.pk}" in page


def test_a_change_is_in_the_log_with_before_and_after(desk: Client, cast: Cast) -> None:
    url = reverse("vessels:vessel-change", args=[cast.vessel.pk])
    answer = desk.post(
        url,
        boat(name="Third Wind", kind="inboard", hin="GBD12345A525", maker="Tidewright", model="34 Express",
             length="10.4", length_unit="m", seen_version="1"),
    )  # fmt: skip
    assert answer.status_code == 302
    change = DetailsChange.objects.get(entry__vessel=cast.vessel)
    assert change.changes == {"Name": ["Second Wind", "Third Wind"], "Length as entered": ["", "10.4"],
                              "Length unit": ["ft", "m"]}  # fmt: skip
    cast.vessel.refresh_from_db()
    assert cast.vessel.length_m == Decimal("10.400")
    page = desk.get(reverse("vessels:log", args=[cast.vessel.pk])).content.decode()
    assert "Third Wind" in page
    assert "Second Wind" in page


def test_saving_without_a_change_logs_nothing(cast: Cast) -> None:
    actions.change_vessel(by=cast.desk, vessel=cast.vessel, seen_version=1, changes={"name": "Second Wind"})
    assert not cast.vessel.log.exists()
    assert cast.vessel.version == 1


def test_two_who_change_one_boat_see_both_versions(desk: Client, cast: Cast) -> None:
    url = reverse("vessels:vessel-change", args=[cast.vessel.pk])
    same = {"kind": "inboard", "hin": "GBD12345A525", "maker": "Tidewright", "model": "34 Express", "length_unit": "ft"}
    actions.change_vessel(by=cast.tech, vessel=cast.vessel, seen_version=1, changes={"berth": "C-1", "kind": "work"})
    sent = boat(name="Second Wind", berth="D-2", notes="batteries aft", seen_version="1", **same)
    answer = desk.post(url, sent)
    page = answer.content.decode()
    assert answer.status_code == 409
    for words in [
        "Tomas Reef saved this",
        "C-1",
        "D-2",
        "Work boat",
        "Inboard boat",
        "batteries aft",
        "Save my version",
    ]:
        assert words in page
    cast.vessel.refresh_from_db()
    assert cast.vessel.berth == "C-1"
    assert desk.post(url, {**sent, "seen_version": "2"}).status_code == 302
    cast.vessel.refresh_from_db()
    assert (cast.vessel.berth, cast.vessel.kind, cast.vessel.notes) == ("D-2", "inboard", "batteries aft")


def test_a_conflict_says_whose_and_writes_nothing(cast: Cast) -> None:
    actions.change_vessel(by=cast.tech, vessel=cast.vessel, seen_version=1, changes={"berth": "C-1"})
    with pytest.raises(Conflict) as conflict:
        actions.change_vessel(by=cast.desk, vessel=cast.vessel, seen_version=1, changes={"berth": "D-2"})
    assert (conflict.value.by, conflict.value.theirs, conflict.value.mine) == (
        "Tomas Reef", {"berth": "C-1"}, {"berth": "D-2"},
    )  # fmt: skip
    assert cast.vessel.log.count() == 1


def test_a_new_owner_keeps_the_history(desk: Client, cast: Cast) -> None:
    actions.write_note(by=cast.tech, vessel=cast.vessel, text="Before the sale.")
    buyer = actions.add_customer(by=cast.desk, name="Edda Ruiz")
    url = reverse("vessels:vessel-owner", args=[cast.vessel.pk]) + "?q=edda"
    assert "Edda Ruiz" in desk.get(url).content.decode()
    answer = desk.post(url, {"new_owner": buyer.pk, "text": "Sold at the show."})
    assert answer.url == reverse("vessels:vessel", args=[cast.vessel.pk])
    page = desk.get(answer.url).content.decode()
    assert "Edda Ruiz" in page
    assert "Wes Harrow" in page
    assert "Before the sale." in page
    assert [owned.customer.name for owned in cast.vessel.ownerships.order_by("since")] == ["Wes Harrow", "Edda Ruiz"]
    assert cast.vessel.ownerships.filter(until=None).get().customer == buyer
    former = desk.get(reverse("vessels:customer", args=[cast.customer.pk])).content.decode()
    assert "Former boats" in former


def test_an_owner_cannot_change_before_the_last_change(cast: Cast) -> None:
    buyer = actions.add_customer(by=cast.desk, name="Edda Ruiz")
    with pytest.raises(Refused, match="has owned it since") as refusal:
        actions.change_owner(
            by=cast.desk, vessel=cast.vessel, new_owner=buyer, happened_at=timezone.now() - timedelta(days=30)
        )
    assert "happened_at" in refusal.value.fields
    with pytest.raises(Refused, match="already owns this boat"):
        actions.change_owner(by=cast.desk, vessel=cast.vessel, new_owner=cast.customer)
    assert cast.vessel.ownerships.count() == 1


def test_a_choice_that_was_not_offered_is_not_taken(desk: Client, cast: Cast) -> None:
    buyer = actions.add_customer(by=cast.desk, name="Edda Ruiz")
    url = reverse("vessels:vessel-owner", args=[cast.vessel.pk])
    assert desk.post(url + "?q=nobody", {"new_owner": buyer.pk}).status_code == 422
    cast.vessel.refresh_from_db()
    assert cast.vessel.owner == cast.customer


def test_sending_a_page_twice_makes_one_boat(desk: Client, cast: Cast) -> None:
    page = desk.get(add_url(cast))
    key = str(page.context["form"]["entry_id"].value())
    for _ in range(2):
        assert desk.post(add_url(cast), boat(entry_id=key)).status_code == 302
    assert Vessel.objects.filter(name="Ibis").count() == 1


@pytest.mark.parametrize(("typed", "is_asked"), [(2005, True), (2004, False), ("", False)])
def test_a_model_year_that_is_not_the_one_in_the_hin_is_pointed_out(
    desk: Client, cast: Cast, typed: int | str, is_asked: bool
) -> None:
    desk.post(add_url(cast), boat(hin="ABC12345D404", model_year=typed, name="Ibis"))
    one = Vessel.objects.get(name="Ibis")
    page = desk.get(reverse("vessels:vessel", args=[one.pk])).content.decode()
    assert "model year 2004" in page
    assert ("The record says model year 2005, the HIN says 2004." in page) is is_asked
    assert ("Check the HIN" in page) is is_asked
