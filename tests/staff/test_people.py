"""Adding, changing and letting go of people."""

import pytest
from django.urls import reverse

from commands.refusals import Conflict, Refused
from staff.actions import add_person, change_person, create_owner, set_password
from staff.models import Person
from staff.policy import Role
from tests.cast import PASSWORD, make_cast

pytestmark = pytest.mark.django_db
GOOD = "tidal-lantern-88"


def test_owner_adds_a_person_who_can_log_in(client):
    cast = make_cast()
    client.force_login(cast.owner)
    answer = client.post(
        reverse("staff:add"),
        {
            "name": "Rosa Blom",
            "username": "Rosa",
            "role": "technician",
            "email": "",
            "qualification": "",
            "password": GOOD,
            "own_word": PASSWORD,
        },
    )
    assert answer.status_code == 302
    rosa = Person.objects.get(username="rosa")
    assert (rosa.name, rosa.role, rosa.changed_by) == ("Rosa Blom", "technician", cast.owner)
    assert rosa.check_password(GOOD)
    assert b"Rosa Blom can log in now" in client.get(reverse("staff:list")).content


@pytest.mark.parametrize(
    ("wrong", "field", "sentence"),
    [
        ({"username": "tomas"}, "username", "This user name is already taken"),
        ({"username": "Ro Sa"}, "username", "lowercase letters"),
        ({"password": "short"}, "password", "at least 10"),
        ({"password": "password1234"}, "password", "too common"),
        ({"role": "captain"}, "role", "Choose one from the list"),
        ({"name": ""}, "name", "Fill this in"),
        ({"email": "rosa"}, "email", "mail address such as"),
        ({"own_word": "wrong"}, "own_word", "not your password"),
        ({"own_word": ""}, "own_word", "Fill this in"),
    ],
)
def test_wrong_input_is_explained_by_the_field_and_what_was_typed_stays(client, wrong, field, sentence):
    client.force_login(make_cast().owner)
    typed = {"name": "Rosa Blom", "username": "rosa", "role": "technician", "password": GOOD, "own_word": PASSWORD} | {
        "qualification": "Master"
    }
    answer = client.post(reverse("staff:add"), typed | wrong)
    assert answer.status_code == 422
    assert sentence in " ".join(answer.context["form"].errors[field])
    assert answer.context["form"]["qualification"].value() == "Master"
    assert Person.objects.count() == 4


def test_actions_refuse_whoever_is_not_the_owner():
    cast = make_cast()
    for person in [cast.desk, cast.tech, cast.manager]:
        with pytest.raises(Refused, match="add people and set their roles"):
            add_person(by=person, username="rosa", name="Rosa", role=Role.OWNER, password=GOOD)
        with pytest.raises(Refused):
            change_person(by=person, person=person, changes={"role": Role.OWNER})
        with pytest.raises(Refused):
            set_password(by=person, person=cast.owner, password=GOOD)
    assert Person.objects.filter(role=Role.OWNER).count() == 1


@pytest.mark.parametrize(("changes", "field"), [({"is_active": False}, "is_active"), ({"role": "manager"}, "role")])
def test_last_owner_stays_owner(changes, field):
    cast = make_cast()
    with pytest.raises(Refused, match="only owner who can log in") as refusal:
        change_person(by=cast.owner, person=cast.owner, changes=changes)
    assert field in refusal.value.fields
    cast.owner.refresh_from_db()
    assert (cast.owner.role, cast.owner.is_active) == ("owner", True)


def test_an_owner_who_cannot_log_in_does_not_count():
    cast = make_cast()
    second = add_person(by=cast.owner, username="odin", name="Odin Vane", role=Role.OWNER, password=GOOD)
    change_person(by=cast.owner, person=second, changes={"is_active": False})
    with pytest.raises(Refused, match="only owner"):
        change_person(by=cast.owner, person=cast.owner, changes={"is_active": False})
    change_person(by=cast.owner, person=second, changes={"is_active": True})
    change_person(by=second, person=cast.owner, changes={"role": "manager"})
    assert list(Person.objects.filter(role="owner")) == [second]


def test_last_owner_is_told_on_the_page_and_nothing_typed_is_lost(client):
    cast = make_cast()
    client.force_login(cast.owner)
    typed = {"name": "Orla B. Brandt", "username": "orla", "role": "manager", "is_active": "on", "seen_version": 1} | {
        "own_word": PASSWORD
    }
    answer = client.post(reverse("staff:person", args=[cast.owner.pk]), typed)
    assert answer.status_code == 422
    assert "only owner" in answer.content.decode()
    assert answer.context["form"]["name"].value() == "Orla B. Brandt"


def test_two_owners_editing_one_person_see_both_versions(client):
    cast = make_cast()
    second = add_person(by=cast.owner, username="odin", name="Odin Vane", role=Role.OWNER, password=GOOD)
    change_person(by=second, person=cast.tech, changes={"name": "Tomas R. Reef"}, seen_version=1)
    client.force_login(cast.owner)
    typed = {"name": "Thomas Reef", "username": "tomas", "role": "technician", "is_active": "on", "seen_version": 1} | {
        "own_word": PASSWORD
    }
    address = reverse("staff:person", args=[cast.tech.pk])
    answer = client.post(address, typed)
    assert answer.status_code == 409
    page = answer.content.decode()
    assert "Odin Vane saved this" in page
    assert "Tomas R. Reef" in page
    assert "Thomas Reef" in page
    cast.tech.refresh_from_db()
    assert cast.tech.name == "Tomas R. Reef"
    again = typed | {"seen_version": answer.context["form"]["seen_version"].value()}
    assert client.post(address, again).status_code == 302
    cast.tech.refresh_from_db()
    assert (cast.tech.name, cast.tech.version) == ("Thomas Reef", 3)


def test_action_raises_conflict_and_writes_nothing():
    cast = make_cast()
    change_person(by=cast.owner, person=cast.tech, changes={"name": "Tomas R. Reef"}, seen_version=1)
    with pytest.raises(Conflict) as conflict:
        change_person(by=cast.owner, person=cast.tech, changes={"name": "T. Reef"}, seen_version=1)
    assert (conflict.value.theirs, conflict.value.mine) == ({"name": "Tomas R. Reef"}, {"name": "T. Reef"})


def test_somebody_who_left_is_logged_out_everywhere_and_stays_in_the_list(client):
    cast = make_cast()
    client.force_login(cast.tech)
    assert client.get(reverse("today")).status_code == 200
    change_person(by=cast.owner, person=cast.tech, changes={"is_active": False})
    assert client.get(reverse("today")).status_code == 302
    client.force_login(cast.owner)
    assert "No longer here" in client.get(reverse("staff:list")).content.decode()
    assert Person.objects.filter(pk=cast.tech.pk).exists()


def test_owner_sets_a_password_and_old_sessions_end(client):
    cast = make_cast()
    client.force_login(cast.tech)
    set_password(by=cast.owner, person=cast.tech, password=GOOD)
    assert client.get(reverse("today")).status_code == 302
    cast.tech.refresh_from_db()
    assert cast.tech.check_password(GOOD)


def test_owner_sets_the_own_password_and_stays_logged_in(client):
    cast = make_cast()
    client.force_login(cast.owner)
    address = reverse("staff:password", args=[cast.owner.pk])
    assert client.post(address, {"password": GOOD, "again": GOOD, "own_word": PASSWORD}).status_code == 302
    assert client.get(reverse("staff:list")).status_code == 200


def test_password_page_refuses_two_different_and_weak_ones(client):
    cast = make_cast()
    client.force_login(cast.owner)
    address = reverse("staff:password", args=[cast.tech.pk])
    for typed, field in [
        ({"password": GOOD, "again": "other"}, "again"),
        ({"password": "tomas", "again": "tomas"}, "password"),
    ]:
        answer = client.post(address, typed)
        assert answer.status_code == 422
        assert answer.context["form"].errors[field]
    cast.tech.refresh_from_db()
    assert cast.tech.check_password(PASSWORD)


def test_change_refuses_fields_that_are_not_a_persons():
    cast = make_cast()
    with pytest.raises(ValueError, match="password"):
        change_person(by=cast.owner, person=cast.tech, changes={"password": "x"})


def test_first_owner_needs_nobody():
    owner = create_owner(username="Orla", name="Orla Brandt", password=GOOD)
    assert (owner.username, owner.role) == ("orla", "owner")


def test_people_page_takes_the_same_queries_for_few_and_many(client, django_assert_num_queries):
    cast = make_cast()
    client.force_login(cast.owner)
    client.get(reverse("staff:list"))
    with django_assert_num_queries(4):
        client.get(reverse("staff:list"))
    for number in range(30):
        Person.objects.create_person(username=f"p{number}", name=f"P {number}", role=Role.TECHNICIAN, password="x")
    with django_assert_num_queries(4):
        client.get(reverse("staff:list"))
