"""Names are found though they are misspelled, mistyped or only heard; and what is far off is not offered."""

from __future__ import annotations

import pytest

from tests.cast import Cast
from tests.workorders.counter import signed_in
from vessels import actions
from vessels.models import Customer, CustomerSpelling, Vessel, VesselSpelling
from vessels.queries import find_vessels, found_customers
from vessels.queries.lists import customer_list, vessel_list
from vessels.spelling import asked_keys, near_keys

SAME = [
    ("Harrow", "Harow"), ("Harrow", "Harrwo"), ("Harrow", "Hsrrow"), ("Harrow", "Harroww"), ("Smith", "Smyth"),
    ("John", "Jon"), ("Catherine", "Kathryn"), ("Stuart", "Stewart"), ("Philips", "Filips"), ("Thompson", "Thomson"),
    ("Reid", "Reed"), ("Wright", "Rite"), ("Phoenix", "Fenix"), ("Knight", "Night"), ("Núñez", "Nunez"),
    ("Müller", "Muller"), ("O’Brien", "OBrien"), ("O'Brien", "Obrein"), ("Second Wind", "Secnd Wnd"),
    ("Seagull", "Seegul"), ("Halcyon", "Halcion"), ("Kestrel IV", "Kestral IV"), ("Łódź", "Lódź"), ("Søren", "Sören"),
]  # fmt: skip
BY_EAR = [
    ("Brandvold", "Brandwald"), ("Brandvold", "Brandwolt"), ("Brandvold", "Brandvoldt"), ("Svensson", "Swenson"),
    ("Schmidt", "Schmitt"), ("Schmidt", "Schmid"), ("Schmidt", "Shmit"), ("Schmitz", "Shmits"),
    ("Thorvaldsen", "Torwaldsen"), ("Thiessen", "Tiesen"), ("Christensen", "Kristensen"), ("Lindqvist", "Lindkwist"),
    ("Lindquist", "Lindkvist"), ("Dijkstra", "Dykstra"), ("Schuyler", "Skyler"), ("Ekström", "Exstrom"),
    ("Hoffmann", "Hofman"), ("Zimmermann", "Simmerman"), ("Sørensen", "Sorensen"),
    ("Johansson", "Yohanson"), ("Möller", "Moeller"), ("Vanderberg", "Wanderberg"),
    ("Brandt", "Brant"), ("Knudsen", "Knutsen"), ("Wilhelmsen", "Vilhelmsen"), ("Kuyper", "Kuiper"),
]  # fmt: skip
FAR = [
    ("Brandvold", "Brandon"), ("Brandvold", "Brantley"), ("Brandvold", "Bradford"), ("Wood", "Foot"), ("Wade", "Fitt"),
    ("Schmidt", "Smart"), ("Svensson", "Samson"), ("Wolff", "Wells"), ("Meyer", "Moore"), ("Vance", "Wayne"),
    ("Thorvaldsen", "Torrance"), ("Winter", "Vendor 2"), ("Walker", "Volcker Isle"), ("Dijkstra", "Dexter"),
    ("Jordan", "Yard"), ("Hoffmann", "Hartman"), ("Carter", "Kramer"), ("West", "Fast"),
]  # fmt: skip
KIN = [
    ("Lindkwist", "Lindquist"),
    ("Lindkvist", "Lindkwist"),
    ("Lindkvist", "Lindqvist"),
    ("Lindqvist", "Lindquist"),
    ("Dexter", "Dijkstra"),
]
"""What comes along: spellings of one name that stand in different pairs, and one name that is another's by ear."""
OTHER = [
    ("Harrow", "Barlow"), ("Harrow", "Heron"), ("Smith", "Schultz"), ("Ibis", "Isis 2"), ("Wes", "Wilma"),
    ("Second Wind", "Second Chance"), ("Kestrel 4", "Kestrel 5"), ("Ann", "Bo"), ("", "Harrow"), ("Harrow", "12345"),
    ("Ann", "An"), ("Marsh Wren", "Marsh Hen"),
]  # fmt: skip


def fits(name: str, typed: str) -> bool:
    stored, words = set(near_keys(name)), asked_keys(typed)
    return bool(words) and all(stored & set(keys) for keys in words)


@pytest.mark.parametrize(("name", "typed"), SAME)
def test_another_spelling_comes_close(name: str, typed: str) -> None:
    assert fits(name, typed)
    assert fits(typed, name)


@pytest.mark.parametrize(("name", "typed"), BY_EAR)
def test_a_german_nordic_or_dutch_name_is_found_by_ear(name: str, typed: str) -> None:
    assert fits(name, typed)
    assert fits(typed, name)


def test_what_is_found_by_ear_drowns_nothing() -> None:
    """Of the names of these lists that do not belong together, hardly any are taken for each other."""
    groups: list[set[str]] = []
    for pair in (*SAME, *BY_EAR):
        joined = [group for group in groups if group & set(pair)]
        groups = [group for group in groups if group not in joined] + [set(pair).union(*joined)]
    names = sorted({name for pair in (*SAME, *BY_EAR, *FAR) for name in pair})
    pairs = [(one, other) for one in names for other in names if one < other]
    wrong = [pair for pair in pairs if fits(*pair) and not any(set(pair) <= group for group in groups)]
    assert {pair for pair in wrong if not near_as_written(*pair)} <= set(KIN)


def near_as_written(name: str, typed: str) -> bool:
    """Whether they share a key that needs no other letters."""
    stored = set(near_keys(name))
    return all(stored & set(near_keys(word)) for word in typed.split())


@pytest.mark.parametrize(("name", "typed"), [*OTHER, *FAR])
def test_another_name_does_not(name: str, typed: str) -> None:
    assert not fits(name, typed)


@pytest.mark.parametrize("text", ["", " ", "\0", "🛥", "%_'\"\\", "x" * 5000, "a " * 3000, "مرحبا", "港"])
def test_anything_may_be_typed(text: str) -> None:
    assert len(asked_keys(text)) <= 8
    near_keys(text)


def test_a_misspelled_name_is_found_everywhere_the_same(cast: Cast) -> None:
    actions.add_vessel(by=cast.desk, owner=actions.add_customer(by=cast.desk, name="Ann Reed"), name="Ibis")
    desk = signed_in(cast.desk)
    for typed in ("Secnd Wnd", "Harow", "wes harroe", "Tydewrite"):
        assert list(find_vessels(typed)) == [cast.vessel], typed
        assert list(vessel_list(text=typed, kind="")) == [cast.vessel]
        for address in ("/search/", "/jobs/open/", "/vessels/"):
            assert "Second Wind" in desk.get(address, {"q": typed}).content.decode(), (typed, address)
    for typed in ("Harow", "wes harroe"):
        assert [one.name for one in found_customers(typed, at_most=5)] == ["Wes Harrow"]
        assert [one.name for one in customer_list(text=typed)] == ["Wes Harrow"]
        assert "Wes Harrow" in desk.get("/customers/", {"q": typed}).content.decode()
    assert "These are close" in desk.get("/jobs/open/", {"q": "Harow"}).content.decode()
    assert "similar spelling" in desk.get("/search/", {"q": "Harow"}).content.decode()


def test_what_is_spelled_right_is_found_alone(cast: Cast) -> None:
    actions.add_customer(by=cast.desk, name="Wes Harro")
    assert [one.name for one in found_customers("Harrow", at_most=5)] == ["Wes Harrow"]
    assert not any(one.comes_close for one in found_customers("Harrow", at_most=5))
    assert "These are close" not in signed_in(cast.desk).get("/jobs/open/", {"q": "Harrow"}).content.decode()


def test_the_keys_follow_the_name(cast: Cast) -> None:
    customer = cast.vessel.owner
    actions.change_customer(by=cast.desk, customer=customer, seen_version=customer.version, changes={"name": "Bo Lind"})
    actions.change_vessel(
        by=cast.desk, vessel=cast.vessel, seen_version=cast.vessel.version, changes={"name": "Kittiwake"}
    )
    assert list(find_vessels("Kitiwake")) == [cast.vessel] == list(find_vessels("Bo Lynd"))
    assert not find_vessels("Secnd Wnd")
    assert CustomerSpelling.objects.count() == Customer.objects.count()
    assert VesselSpelling.objects.count() == Vessel.objects.count()


@pytest.mark.parametrize("typed", ["5555", "555555", "(555) 555-01", "555 555 0123", "1 555 555", "+1 555", "0123"])
def test_a_phone_is_found_by_its_first_digits_and_its_last(cast: Cast, typed: str) -> None:
    assert list(find_vessels(typed)) == [cast.vessel]
    assert [one.name for one in found_customers(typed, at_most=5)] == ["Wes Harrow"]
    assert [one.name for one in customer_list(text=typed)] == ["Wes Harrow"]


@pytest.mark.parametrize("typed", ["5550", "999", "012", "55512"])
def test_digits_in_the_middle_of_a_phone_find_nobody(cast: Cast, typed: str) -> None:
    assert found_customers(typed, at_most=5) == []
