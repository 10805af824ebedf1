"""Two owners at the same moment, each in a transaction of their own."""

import threading

import pytest
from django.db import connections

from commands.refusals import Refused
from staff.actions import change_person
from staff.models import Person
from staff.policy import Role


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("changes", [{"role": "manager"}, {"is_active": False}])
def test_two_owners_cannot_take_each_other_away_at_once(changes):
    owners = [
        Person.objects.create_person(username=f"race-{name}", name=name, role=Role.OWNER, password="x")
        for name in ["orla", "odin"]
    ]
    barrier, refused = threading.Barrier(2, timeout=60), []

    def take_away(by, person):
        try:
            barrier.wait()
            change_person(by=by, person=Person.objects.get(pk=person.pk), changes=changes)
        except Refused as refusal:
            refused.append(refusal.sentence)
        finally:
            connections.close_all()

    threads = [threading.Thread(target=take_away, args=pair) for pair in [owners, owners[::-1]]]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(60)
    assert Person.objects.filter(role="owner", is_active=True).count() == 1
    assert len(refused) == 1
    assert "only owner who can log in" in refused[0]
