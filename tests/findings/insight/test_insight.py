"""What the shop's faults add up to."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from findings.faults.actions import clear_codes, log_scan, log_work
from findings.faults.models import Episode, Fault
from findings.faults.queries import returns_among
from findings.insight.queries import Scope, figures, holding, returned_faults
from tests.cast import keep_to_the_office, make_cast
from tests.findings.story import COOLANT, LEAN, OIL, open_job, seen
from vessels.models import ControlUnit, Engine, EngineFamily, Vessel


def boat(cast, name, family):
    vessel = Vessel.objects.create(name=name, owner=cast.customer)
    engine = Engine.objects.create(vessel=vessel, family=family, maker="Norrland", model="X")
    return ControlUnit.objects.create(vessel=vessel, engine=engine)


def repair(cast, unit, code, *, days_ago, hours, job=None, text="Replaced the sender."):
    """Seen, worked on, cleared; everything on one day."""
    then = timezone.now() - timedelta(days=days_ago)
    shared = {"by": cast.tech, "job": job, "engine_hours": None if hours is None else Decimal(hours)}
    log_scan(unit=unit, phase="arrival", is_complete=False, codes=[seen(code)], happened_at=then, **shared)
    one = Fault.objects.get(unit=unit, code=code.text)
    log_work(vessel=unit.vessel, faults=[one], text=text, happened_at=then + timedelta(hours=1), **shared)
    clear_codes(unit=unit, faults=[one], happened_at=then + timedelta(hours=2), **shared)


def look(cast, unit, codes, *, days_ago, hours):
    log_scan(
        by=cast.tech, unit=unit, phase="arrival", is_complete=True, codes=codes,
        engine_hours=None if hours is None else Decimal(hours),
        happened_at=timezone.now() - timedelta(days=days_ago),
    )  # fmt: skip


@pytest.mark.usefixtures("db")
class TestOneShop:
    """What no test changes for the others."""

    @pytest.fixture(scope="class")
    @classmethod
    def cast(cls, class_db):
        return make_cast()

    @pytest.fixture(scope="class")
    @classmethod
    def shop(cls, cast):
        """One comeback, one late return, one repair that held, one that is holding; one of another family."""
        other = EngineFamily.objects.create(maker="Ostwind", name="V8")
        quick, late, held, young = (boat(cast, name, cast.family) for name in ("Quick", "Late", "Held", "Young"))
        foreign = boat(cast, "Foreign", other)
        repair(cast, quick, COOLANT, days_ago=100, hours=100)
        look(cast, quick, [seen(COOLANT)], days_ago=90, hours=118)
        repair(cast, late, COOLANT, days_ago=900, hours=100)
        look(cast, late, [seen(COOLANT)], days_ago=800, hours=180)
        repair(cast, held, COOLANT, days_ago=100, hours=100)
        look(cast, held, [], days_ago=10, hours=160)
        repair(cast, young, OIL, days_ago=20, hours=100)
        look(cast, young, [], days_ago=10, hours=110)
        repair(cast, foreign, LEAN, days_ago=30, hours=10, text="Cleaned the injectors.")
        look(cast, foreign, [seen(LEAN)], days_ago=20, hours=12)
        return cast

    def test_figures(self, shop):
        everything = figures(Scope())
        assert (everything.returned, everything.comebacks, everything.repairs) == (3, 2, 5)
        assert (everything.held, everything.came_back, everything.settled) == (1, 3, 4)
        ours = figures(Scope(family_id=shop.family.pk))
        assert (ours.returned, ours.comebacks, ours.repairs) == (2, 1, 4)
        lately = figures(Scope(since=timezone.now() - timedelta(days=365)))
        assert (lately.returned, lately.comebacks, lately.repairs) == (2, 2, 4)

    def test_how_repairs_hold_by_code_and_family(self, shop):
        rows = {(row.label, row.family): row for row in holding(Scope(), 50)}
        coolant = rows["SPN 110 FMI 0", "Norrland D6T"]
        assert (coolant.repairs, coolant.held, coolant.came_back, coolant.open_ended) == (3, 1, 2, 0)
        assert (coolant.shortest, coolant.average) == (18, 49)
        oil = rows["SPN 100 FMI 1", "Norrland D6T"]
        assert (oil.repairs, oil.held, oil.came_back, oil.open_ended, oil.average) == (1, 0, 0, 1, None)

    def test_the_page_shows_figures_and_their_evidence(self, client, shop):
        client.force_login(shop.manager)
        body = client.get("/insight/").content.decode()
        for words in ("Quick", "Late", "18 h · ", "Cleaned the injectors.", "code=spn%3A110-0", "outcome=held"):
            assert words in body

    @pytest.mark.parametrize(
        ("path", "names"),
        [
            ("/insight/returned/", {"Quick", "Late", "Foreign"}),
            ("/insight/returned/?months=12", {"Quick", "Foreign"}),
            ("/insight/comebacks/", {"Quick", "Foreign"}),
            ("/insight/repairs/", {"Quick", "Late", "Held", "Young", "Foreign"}),
            ("/insight/repairs/?outcome=held", {"Held"}),
            ("/insight/repairs/?outcome=returned&code=spn:110-0", {"Quick", "Late"}),
            ("/insight/repairs/?outcome=holding", {"Young"}),
            (
                "/insight/repairs/?code=cut-off&outcome=x&months=3&family=0",
                {"Quick", "Late", "Held", "Young", "Foreign"},
            ),
        ],
    )
    def test_each_list_holds_what_its_figure_counts(self, client, shop, path, names):
        client.force_login(shop.manager)
        page = client.get(path)
        assert page.status_code == 200
        rows = page.context["rows"]
        assert {getattr(row, "seen", row).fault.vessel.name for row in rows} == names

    def test_a_family_narrows_every_list(self, client, shop):
        client.force_login(shop.owner)
        page = client.get("/insight/comebacks/", {"family": shop.family.pk})
        assert [(one.seen.fault.vessel.name, one.back.gap.split(" · ")[0]) for one in page.context["rows"]] == [
            ("Quick", "18 h")
        ]

    def test_lists_come_in_pages(self, client, shop, monkeypatch):
        monkeypatch.setattr("findings.insight.views.PAGE", 6)
        client.force_login(shop.manager)
        for number in range(4):
            unit = boat(shop, f"Boat {number}", shop.family)
            repair(shop, unit, OIL, days_ago=40, hours=10)
        first = client.get("/insight/repairs/").context
        second = client.get("/insight/repairs/" + first["next_url"]).context
        assert (len(first["rows"]), len(second["rows"])) == (6, 3)
        assert client.get("/insight/repairs/?from=-3").status_code == 200

    @pytest.mark.parametrize("path", ["/insight/", "/insight/returned/", "/insight/comebacks/", "/insight/repairs/"])
    def test_insight_costs_the_same_at_any_size(self, client, shop, path):
        client.force_login(shop.manager)

        def cost() -> int:
            client.get(path)
            with CaptureQueriesContext(connection) as spent:
                client.get(path)
            return len(spent)

        few = cost()
        for number in range(6):
            unit = boat(shop, f"Boat {number}", shop.family)
            job = open_job(shop)
            job.vessel = unit.vessel
            job.save()
            repair(shop, unit, OIL, days_ago=90, hours=10, job=job)
            look(shop, unit, [seen(OIL)], days_ago=80, hours=15)
        assert cost() == few


def test_one_piece_of_work_is_one_repair_however_many_codes_it_is_about(client, cast):
    unit = boat(cast, "Harness", cast.family)
    then = timezone.now() - timedelta(days=100)
    shared = {"by": cast.tech, "engine_hours": Decimal(100)}
    log_scan(unit=unit, phase="arrival", is_complete=True, codes=[seen(COOLANT), seen(OIL), seen(LEAN)],
             happened_at=then, **shared)  # fmt: skip
    faults = list(Fault.objects.filter(unit=unit))
    log_work(
        vessel=unit.vessel, faults=faults, text="Mended the harness.", happened_at=then + timedelta(hours=1), **shared
    )
    clear_codes(unit=unit, happened_at=then + timedelta(hours=2), **shared)
    look(cast, unit, [seen(OIL)], days_ago=90, hours=130)
    look(cast, unit, [seen(OIL), seen(LEAN)], days_ago=80, hours=170)
    found = figures(Scope())
    assert (found.repairs, found.came_back, found.held, found.comebacks) == (1, 1, 0, 1)
    assert {(row.label, row.repairs, row.came_back) for row in holding(Scope(), 50)} == {
        ("SPN 100 FMI 1", 1, 1), ("SPN 110 FMI 0", 1, 0), ("P0171", 1, 1),
    }  # fmt: skip
    client.force_login(cast.manager)
    page = client.get("/insight/repairs/")
    (row,) = page.context["rows"]
    assert (row.seen.fault.label, row.repaired.after.split(" · ")[0]) == ("SPN 100 FMI 1", "30 h")
    assert row.others == ["P0171", "SPN 110 FMI 0"]
    assert "the same work was also logged for P0171, SPN 110 FMI 0" in page.content.decode()


def test_what_is_not_fixed_yet_is_no_return_anywhere(client, cast):
    job = open_job(cast)
    then = timezone.now() - timedelta(days=3)
    shared = {"by": cast.tech, "unit": cast.port_unit, "job": job, "engine_hours": Decimal(100)}
    log_scan(phase="arrival", is_complete=True, codes=[seen(OIL)], happened_at=then, **shared)
    clear_codes(happened_at=then + timedelta(hours=1), **shared)
    log_scan(phase="sea-trial", is_complete=True, codes=[seen(OIL)], happened_at=then + timedelta(hours=2), **shared)
    one = Fault.objects.get()
    assert (one.state, one.returns, one.is_open) == ("not fixed yet", 0, True)
    assert not returned_faults(Scope()).exists()
    assert not returned_faults(Scope(since=then)).exists()
    assert not returns_among(Episode.objects.all()).exists()
    client.force_login(cast.tech)
    body = client.get(f"/jobs/{job.number}/findings/").content.decode()
    assert "is not fixed yet" in body
    assert "came back" not in body
    assert "notice-returned" not in body
    assert 'aria-label="Fault state: not fixed yet · active"' in body
    for address in (f"/faults/{one.pk}/", f"/vessels/{cast.vessel.pk}/faults/", "/search/?q=SPN+100+FMI+1"):
        shown = client.get(address, follow=True).content.decode()
        assert "not fixed yet · active" in shown, address
        assert "returned · active" not in shown, address
    assert "back on the same job" in client.get(f"/vessels/{cast.vessel.pk}/faults/", follow=True).content.decode()
    page = client.get(f"/faults/{one.pk}/").content.decode()
    assert "on the same job: not fixed yet, no return" in page
    assert "Not fixed yet · active: seen again 0 h" in page


def test_a_clear_alone_is_no_repair(cast):
    unit = boat(cast, "Cleared", cast.family)
    look(cast, unit, [seen(OIL)], days_ago=100, hours=100)
    clear_codes(
        by=cast.tech, unit=unit, job=None, engine_hours=Decimal(100), happened_at=timezone.now() - timedelta(days=99)
    )
    look(cast, unit, [seen(OIL)], days_ago=90, hours=110)
    found = figures(Scope())
    assert (found.repairs, found.comebacks, found.returned) == (0, 0, 1)


@pytest.mark.parametrize("path", ["/insight/", "/insight/returned/", "/insight/comebacks/", "/insight/repairs/"])
def test_only_manager_and_owner_see_it(client, cast, path):
    keep_to_the_office()
    for person, status in [(cast.desk, 403), (cast.tech, 403), (cast.manager, 200), (cast.owner, 200)]:
        client.force_login(person)
        assert client.get(path).status_code == status
