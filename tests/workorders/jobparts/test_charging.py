"""Fitted parts become charges, each at most once; where one lacks the other it is told."""

from __future__ import annotations

import uuid
from concurrent.futures import ThreadPoolExecutor
from decimal import Decimal

import pytest
from django.db import connections

from commands.models import Command
from commands.refusals import Refused
from parts.models import Part
from staff.queries import shop_profile
from tests.workorders.jobparts.test_fitting import refused
from vessels.actions import retract
from workorders.actions import add_charge, strike_charge
from workorders.jobparts.actions import charge_fitted, match_charge
from workorders.jobparts.models import FittedCharge, PartFitted
from workorders.jobparts.queries.fitted import parts_on
from workorders.models import Charge, Job
from workorders.money import ChargeKind
from workorders.queries import job_sum


def test_at_the_catalogs_price_on_its_line_with_its_serial(cast, job, fit):
    made = fit(quantity=Decimal(1), serial="RW 4411", condition="rebuilt")
    charge = charge_fitted(by=cast.desk, fitted=made)
    assert charge.description == "TW-150 Raw water impeller, rebuilt, serial RW 4411"
    assert (charge.quantity, charge.unit_price, charge.kind) == (Decimal(1), Decimal("46.80"), "part")
    assert (charge.part, charge.line, charge.taxable) == (made.part, made.line, True)
    assert Command.objects.get(kind="charge_fitted").told["job_total"] == ["0.00", "46.80"]
    assert parts_on(job).uncharged == []


def test_at_another_price_or_for_nothing(cast, fit):
    assert charge_fitted(by=cast.desk, fitted=fit(), unit_price=Decimal("40")).unit_price == 40
    assert charge_fitted(by=cast.desk, fitted=fit(), unit_price=Decimal("0")).unit_price == 0


def test_the_sum_is_of_the_quantity_that_was_fitted(cast, job, fit):
    charge_fitted(
        by=cast.desk, fitted=fit(quantity=Decimal("2.5"), part=None, description="Oil"), unit_price=Decimal("11.11")
    )
    totals = job_sum(job, currency=shop_profile().currency).totals
    assert totals.by_kind[ChargeKind.PART] == Decimal("27.78")  # 27.775, half up


@pytest.mark.parametrize("price", [None, Decimal(0)])
def test_no_price_is_made_up(cast, fit, impeller, price):
    """A catalog that says 0.00 has no price: to charge nothing takes a word."""
    if price is None:
        made = fit(part=None, number="ZX-9")
    else:
        Part.objects.filter(pk=impeller.pk).update(unit_price=price)
        made = fit(part=Part.objects.get(pk=impeller.pk))
    assert "Enter a price" in refused(lambda: charge_fitted(by=cast.desk, fitted=made)).fields["unit_price"]
    assert not Charge.objects.exists()


def test_a_price_below_zero_is_refused(cast, fit):
    assert "unit_price" in refused(lambda: charge_fitted(by=cast.desk, fitted=fit(), unit_price=Decimal(-1))).fields


def test_once_and_not_twice_and_a_voided_charge_frees_it(cast, job, fit):
    made, entry_id = fit(), uuid.uuid4()
    charges = [charge_fitted(by=cast.desk, fitted=made, entry_id=entry_id) for _ in range(2)]
    assert charges[0] == charges[1]
    assert "already charged" in refused(lambda: charge_fitted(by=cast.manager, fitted=made)).sentence
    strike_charge(by=cast.desk, charge=charges[0])
    assert [one.fitted for one in parts_on(job).uncharged] == [made]
    again = charge_fitted(by=cast.desk, fitted=made)
    assert parts_on(job).fitted[0].charge == again
    assert Charge.objects.filter(struck_at=None).count() == 1


def test_a_correction_is_the_same_part_and_is_not_charged_again(cast, job, fit):
    wrong = fit(quantity=Decimal(4))
    charge = charge_fitted(by=cast.desk, fitted=wrong)
    right = fit(quantity=Decimal(2), amends=wrong.entry)
    assert "already charged" in refused(lambda: charge_fitted(by=cast.desk, fitted=right)).sentence
    assert "was corrected by Tomas Reef, " in refused(lambda: charge_fitted(by=cast.desk, fitted=wrong)).sentence
    one = parts_on(job).fitted[0]
    assert (one.fitted, one.charge, one.remarks) == (right, charge, ["2 fitted, 4 charged"])
    third = fit(part=None, number="ZX-9", quantity=Decimal(4), amends=right.entry)
    assert parts_on(job).fitted[0].remarks == ["corrected after it was charged as “TW-150 Raw water impeller”"]
    strike_charge(by=cast.desk, charge=charge)
    charge_fitted(by=cast.desk, fitted=third, unit_price=Decimal(3))
    assert parts_on(job).fitted[0].remarks == []


def test_a_remark_that_was_corrected_changes_no_charge(cast, job, fit):
    wrong = fit(text="Vans were set.")
    charge_fitted(by=cast.desk, fitted=wrong)
    fit(text="Vanes were set.", amends=wrong.entry)
    assert parts_on(job).fitted[0].remarks == []


def test_what_was_voided_in_the_log_and_is_still_charged_is_told(cast, job, fit):
    made = fit()
    charge = charge_fitted(by=cast.desk, fitted=made)
    retract(by=cast.tech, entry=made.entry, reason="Other boat.")
    told = parts_on(job)
    assert (told.fitted, [link.charge for link in told.voided], told.unmatched) == ([], [charge], [])
    strike_charge(by=cast.desk, charge=charge)
    assert parts_on(job).voided == []


def test_what_is_charged_and_not_fitted_is_told_and_can_be_matched(cast, job, fit, impeller):
    by_hand = add_charge(by=cast.desk, job=job, kind="part", part=impeller)
    add_charge(by=cast.desk, job=job, kind="labor")
    made = fit()
    assert parts_on(job).unmatched == [by_hand]
    assert parts_on(job).uncharged[0].fitted == made
    match_charge(by=cast.desk, fitted=made, charge=by_hand)
    told = parts_on(job)
    assert (told.unmatched, told.uncharged, told.fitted[0].charge) == ([], [], by_hand)
    assert "already charged" in refused(lambda: charge_fitted(by=cast.desk, fitted=made)).sentence
    other = fit()
    assert "another fitted part" in refused(lambda: match_charge(by=cast.desk, fitted=other, charge=by_hand)).sentence


def test_what_is_matched_belongs_together(cast, job, fit, impeller):
    from workorders.actions import open_job

    made, other = fit(), open_job(by=cast.desk, vessel=cast.vessel, concerns=["Bilge pump"])
    strange = add_charge(by=cast.desk, job=other, kind="part", part=impeller)
    labor = add_charge(by=cast.desk, job=job, kind="labor")
    voided = strike_charge(by=cast.desk, charge=add_charge(by=cast.desk, job=job, kind="part", part=impeller))
    for charge in (strange, labor, voided):
        assert "charge" in refused(lambda charge=charge: match_charge(by=cast.desk, fitted=made, charge=charge)).fields
    assert not FittedCharge.objects.exists()


def test_it_takes_who_sets_prices_and_an_open_job(cast, job, fit):
    made = fit()
    assert "does not allow" in refused(lambda: charge_fitted(by=cast.tech, fitted=made)).sentence
    Job.objects.filter(pk=job.pk).update(state="closed", closed_at=made.entry.happened_at)
    assert "Open it again" in refused(lambda: charge_fitted(by=cast.desk, fitted=made)).sentence


def test_long_words_are_cut_and_the_serial_is_not(cast, fit):
    made = fit(part=None, number="N" * 40, description="D" * 160, serial="S" * 60, condition="reconditioned")
    words = charge_fitted(by=cast.desk, fitted=made, unit_price=Decimal(1)).description
    assert len(words) == 160
    assert words.endswith(f"reconditioned, serial {'S' * 60}")


def test_two_people_charge_one_part_at_once(committed_db):
    """Real transactions: one of them is told."""
    from tests.cast import make_cast
    from workorders.actions import open_job
    from workorders.jobparts.actions import fit_part

    cast = make_cast()
    job = open_job(by=cast.desk, vessel=cast.vessel, concerns=["Hot"])
    made = fit_part(by=cast.tech, job=job, quantity=Decimal(1), condition="new", description="Hose")

    def charge(person) -> str:
        try:
            return str(charge_fitted(by=person, fitted=PartFitted.objects.get(pk=made.pk), unit_price=Decimal(5)).pk)
        except Refused as refusal:
            return refusal.sentence
        finally:
            connections.close_all()

    with ThreadPoolExecutor(4) as several:
        said = list(several.map(charge, [cast.desk, cast.manager] * 4))
    assert Charge.objects.count() == 1
    assert sum("already charged" in one for one in said) == 7
