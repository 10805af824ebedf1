"""A tax that stops at a sum, of each line or of the whole, and one that is due on another tax as well."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st

from billing.invoices.crediting import of_lines, parts_of
from commands.models import Command
from commands.refusals import Refused
from tests.billing.invoices.papers import credit, invoice
from tests.cast import Cast
from workorders.actions import add_charge
from workorders.models import Job
from workorders.queries import job_sum
from workorders.queries.sums import sums_of_jobs
from workorders.reckoning import CapPer, ChargeKind, Item, Tax, reckon
from workorders.taxes.actions import add_tax, add_tax_rate
from workorders.taxes.models import SalesTax
from workorders.taxes.queries import read_rules, tax_words, taxes_of, written_rules

D = Decimal
LABOR, PART, FEE = ChargeKind.LABOR, ChargeKind.PART, ChargeKind.FEE
LINE, WHOLE = CapPer.LINE, CapPer.DOCUMENT


def tax(percent: str, **more: Any) -> Tax:
    return Tax(more.pop("key", "t"), more.pop("name", "Tax"), D(percent), **more)


def parts(*prices: str) -> list[Item]:
    return [Item(PART, D(1), D(price)) for price in prices]


@pytest.mark.parametrize(
    ("prices", "per", "base", "due", "says"),
    [
        (("4999.99",), LINE, "4999.99", "50.00", ""),
        (("5000",), LINE, "5000", "50.00", ""),
        (("5000.01",), LINE, "5000", "50.00", " (on no more than $5,000.00 of each line)"),
        (("6000", "300"), LINE, "5300", "53.00", " (on no more than $5,000.00 of each line)"),
        (("4000", "3000"), LINE, "7000", "70.00", ""),
        (("4000", "3000"), WHOLE, "5000", "50.00", " (on no more than $5,000.00 in all)"),
        (("2000", "3000"), WHOLE, "5000", "50.00", ""),
        ((), WHOLE, "0", "0.00", ""),
        (("-6000",), LINE, "-5000", "-50.00", " (on no more than $5,000.00 of each line)"),
        (("6000", "-6000"), LINE, "0", "0.00", ""),
        (("9000", "-3000"), WHOLE, "5000", "50.00", " (on no more than $5,000.00 in all)"),
    ],
)
def test_where_it_stops(prices: tuple[str, ...], per: CapPer, base: str, due: str, says: str) -> None:
    (found,) = reckon(parts(*prices), taxes=[tax("1", cap=D(5000), cap_per=per)]).taxes
    assert (found.base, found.due) == (D(base), D(due))
    assert tax_words(found) == f"Tax{says}, 1 %"


def test_a_discount_comes_off_before_it_stops() -> None:
    from workorders.reckoning import Discount

    found = reckon(parts("6000"), taxes=[tax("1", cap=D(5000))], discount=Discount(amount=D(2000)))
    assert found.taxes[0].base == D(4000)


class TestOnAnotherTax:
    def test_only_as_far_as_both_are_due(self) -> None:
        """County tax on parts and labor, on the state tax of the parts: labor bears no state tax."""
        state = tax("6", key="s", name="State", kinds=frozenset({PART, FEE}))
        county = tax("2", key="c", name="County", kinds=frozenset({PART, LABOR}), on="s")
        found = reckon([Item(PART, D(1), D(100)), Item(LABOR, D(1), D(50)), Item(FEE, D(1), D(10))],
                       taxes=[county, state])  # fmt: skip
        assert [(one.base, one.due) for one in found.taxes] == [(D(156), D("3.12")), (D(110), D("6.60"))]
        assert tax_words(found.taxes[0]) == "County (on State as well), 2 %"

    def test_who_is_exempt_from_the_other_owes_this_on_the_price(self) -> None:
        taxes = [tax("6", key="s", name="State"), tax("2", key="c", name="County", on="s")]
        found = reckon(parts("100"), taxes=taxes, exempt=frozenset({"s"}))
        assert [(one.base, one.due, one.on) for one in found.taxes] == [(D(100), D(0), ""), (D(100), D(2), "")]

    def test_where_the_other_is_no_longer_in_force(self) -> None:
        (found,) = reckon(parts("100"), taxes=[tax("2", on="gone")]).taxes
        assert (found.base, found.due, tax_words(found)) == (D(100), D(2), "Tax, 2 %")

    def test_three_on_each_other_and_one_that_stops(self) -> None:
        first = tax("10", key="a", cap=D(50))
        found = reckon(parts("100"), taxes=[first, tax("10", key="b", on="a"), tax("10", key="c", on="b")]).taxes
        assert [one.due for one in found] == [D("5.00"), D("10.50"), D("11.05")]  # of 50, 105, 110.50

    def test_in_a_circle_or_with_a_cap_there_is_none(self) -> None:
        with pytest.raises(ValueError, match="due on itself"):
            reckon(parts("1"), taxes=[tax("1", key="a", on="b"), tax("1", key="b", on="a")])
        with pytest.raises(ValueError, match="and not both"):
            tax("1", cap=D(5), on="a")
        with pytest.raises(ValueError, match="is none"):
            tax("1", cap=D(0))


prices = st.lists(st.decimals(min_value="0", max_value="9000", places=2), min_size=1, max_size=5)
rules = st.sampled_from([
    (tax("6", cap=D(3000), cap_per=LINE),), (tax("6", cap=D(3000), cap_per=WHOLE),),
    (tax("6", key="a"), tax("3.5", key="b", on="a")),
    (tax("6", key="a", cap=D(500), cap_per=LINE), tax("9.975", key="b", on="a")),
])  # fmt: skip


@given(prices, rules)
def test_crediting_line_by_line_ends_at_what_was_invoiced(sums: list[Decimal], taxes: tuple[Tax, ...]) -> None:
    made = invoice([(0, PART, "Part", "1", str(one)) for one in sums], taxes=taxes, deposit="0")
    left, before = parts_of(made), set[int]()
    for place in range(len(sums)):
        for name, sum_ in of_lines(made, {place}, before).items():
            assert sum_ >= 0
            left[name] -= sum_
        before.add(place)
    assert set(left.values()) == {D(0)}


def test_a_credit_note_says_what_its_tax_is_of() -> None:
    made = invoice([(0, PART, "Gear", "1", "4000"), (0, PART, "Shaft", "1", "3000")],
                   taxes=(tax("1", cap=D(5000)),), deposit="0")  # fmt: skip
    assert made.taxes[0].about == "on no more than $5,000.00 in all"
    note = credit(made, charges={1})
    assert [(one.base, one.due, one.about) for one in note.taxes] == [(D(1000), D(10), "")]
    whole = credit(made)
    assert [(one.base, one.due) for one in whole.taxes] == [(D(5000), D(50))]


def test_the_base_of_a_tax_on_another_is_what_the_credit_note_itself_adds_up_to() -> None:
    """6 % on labor and parts, 10 % on parts and that: of 330.78 the note credits 19.85 at 6 %, and 10 % of 350.63."""
    labor, parts = ChargeKind.LABOR, ChargeKind.PART
    taxes = (Tax("a", "State", D(6), frozenset({labor, parts})), Tax("b", "County", D(10), frozenset({parts}), on="a"))
    for cents in range(0, 100, 7):
        made = invoice([(0, parts, "Gear", "1", "330.78"), (0, parts, "Shaft", "1", f"100.{cents:02}"),
                        (0, labor, "Fit", "1", f"55.{cents:02}")], taxes=taxes, deposit="0")  # fmt: skip
        note = credit(made, charges={0})
        state, county = note.taxes
        assert county.base == D("330.78") + state.due


# with a database


def today(days: int = 0) -> date:
    return timezone.localdate() + timedelta(days=days)


def begun(cast: Cast, name: str, percent: str, **more: Any) -> SalesTax:
    return add_tax(by=cast.owner, name=name, percent=D(percent), kinds=[PART], starts_on=today(-40), **more)


@pytest.mark.django_db
class TestOfTheShop:
    def test_a_job_has_it_and_lists_come_to_the_same(self, cast: Cast, job: Job) -> None:
        begun(cast, "Surtax", "1", cap=D(5000), cap_per=LINE)
        for price in ("6000", "300", "7000"):
            add_charge(by=cast.desk, job=job, kind=PART, description="Part", unit_price=D(price))
        found = job_sum(job, currency="USD")
        assert [(one.words, one.base) for one in found.taxes] == [
            ("Surtax (on no more than $5,000.00 of each line), 1 %", D(10300))
        ]
        assert sums_of_jobs([job])[job.pk] == found.totals.total == D(13403)

    def test_a_closed_job_keeps_it(self, cast: Cast, job: Job) -> None:
        state = begun(cast, "State", "6")
        begun(cast, "Surtax", "1", cap=D(5000), cap_per=LINE)
        begun(cast, "County", "2", on_tax=state)
        found = taxes_of(job)
        assert read_rules(written_rules(found)).taxes == found.taxes
        old = [{name: value for name, value in one.items() if name not in {"cap", "cap_per", "on"}}
               for one in written_rules(found)]  # fmt: skip
        assert [(one.cap, one.on) for one in read_rules(old).taxes] == [(None, "")] * 3

    def test_it_begins_on_a_day(self, cast: Cast, job: Job) -> None:
        state = begun(cast, "State", "6")
        add_tax_rate(by=cast.owner, tax=state, percent=D(6), kinds=[PART], starts_on=today(), cap=D(100))
        assert taxes_of(job).taxes[0].cap == 100
        assert Command.objects.filter(kind="add_tax_rate").latest("pk").told["rate"][1] == (
            f"6 % on parts, on no more than 100 of a whole invoice or estimate from {today().isoformat()}"
        )

    def test_what_is_refused(self, cast: Cast) -> None:
        state = begun(cast, "State", "6")
        county = begun(cast, "County", "2", on_tax=state)
        for more, field, words in [
            ({"on_tax": county}, "on_tax", "County is due on State, or was: neither can be in the other’s base."),
            ({"on_tax": state}, "on_tax", "A tax is not due on itself."),
            ({"cap": D(0)}, "cap", ""),
            ({"cap": D(-5)}, "cap", ""),
        ]:
            with pytest.raises(Refused) as refused:
                add_tax_rate(by=cast.owner, tax=state, percent=D(6), kinds=[PART], starts_on=today(), **more)
            assert list(refused.value.fields) == [field]
            assert words in refused.value.fields[field]
        with pytest.raises(Refused, match="Leave one of both empty"):
            begun(cast, "Both", "1", on_tax=state, cap=D(5))

    def test_its_page(self, cast: Cast) -> None:
        state = begun(cast, "State", "6")
        client = Client()
        client.force_login(cast.owner)
        told = {"name": "Surtax", "percent": "1", "kinds": ["part"], "cap": "5000", "cap_per": "line"}
        assert client.post(reverse("taxes:list"), told).status_code == 302
        told = {"name": "County", "percent": "2", "kinds": ["part"], "on_tax": str(state.pk)}
        assert client.post(reverse("taxes:list"), told).status_code == 302
        page = client.get(reverse("taxes:list")).content.decode()
        assert "on parts, on no more than $5,000.00 of each line" in page
        assert "on parts, and on State" in page
        surtax = SalesTax.objects.get(name="Surtax")
        assert 'value="5000.00"' in client.get(reverse("taxes:rate", args=[surtax.pk])).content.decode()
