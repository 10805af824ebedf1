"""One job at the desk, from its estimate to what is left to pay: by the keys alone, without scripts, and by a finger.

An estimate with an option is given and answered line by line, the customer signs, work past the sum is stopped, more is
agreed by phone, and what was charged is invoiced with a deposit, paid in part, and credited in part by a manager.
"""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.utils import timezone
from playwright.sync_api import Locator, Page, expect

from billing.authorizations.models import Authorization, DeferredWork
from billing.estimates.actions import add_estimate_line, add_estimate_option, give_estimate, start_estimate
from billing.estimates.models import Estimate
from billing.invoices.models import CreditNote, Invoice, Payment
from billing.invoices.queries.balances import balance_now
from tests.browser.driving import DESK, PHONE, TABLET, Tablets, problems, said
from tests.browser.test_keyboard import press, tab_to
from tests.browser.test_without_scripts import touch
from tests.cast import Cast
from workorders.actions import open_job
from workorders.models import Charge, Job

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True), pytest.mark.timeout(600)]


@pytest.fixture
def job(cast: Cast) -> Job:
    return open_job(by=cast.desk, vessel=cast.vessel, concerns=["Runs hot"], technician=cast.tech)


def write_down(cast: Cast, job: Job) -> Estimate:
    """$400 of work and a fee of $50."""
    made = start_estimate(by=cast.desk, job=job)
    for words, price in [("Replace the pump", "400"), ("Haul-out", "50")]:
        told = {"kind": "fee", "description": words, "unit_price": Decimal(price)}
        add_estimate_line(by=cast.desk, estimate=made, told=told)
    return made


def give(cast: Cast, job: Job) -> Estimate:
    """The same with an option of $100."""
    made = write_down(cast, job)
    option = add_estimate_option(by=cast.desk, estimate=made, name="Wax the hull")
    told = {"kind": "fee", "description": "Wax", "unit_price": Decimal(100), "option": option}
    add_estimate_line(by=cast.desk, estimate=made, told=told)
    return give_estimate(by=cast.desk, estimate=made, how="shown", seen_total=Decimal(450))


def end_of(page: Page) -> Locator:
    """The main button of the page's form."""
    return page.locator(".form-end .btn-main")


def turn_to(page: Page, name: str, value: str) -> None:
    """Choose one of several by the arrow keys."""
    group, wanted = page.locator(f"[name={name}]"), page.locator(f"[name={name}][value={value}]")
    chosen = page.locator(f"[name={name}]:checked")
    tab_to(chosen if chosen.count() else group.first)
    for _ in range(group.count()):
        if wanted.is_checked():
            return
        page.keyboard.press("ArrowDown")
    expect(wanted).to_be_checked()


def tick(box: Locator) -> None:
    """Change a tick by the keys."""
    before = box.is_checked()
    tab_to(box)
    box.page.keyboard.press("Space")
    expect(box).to_be_checked(checked=not before)


def write(page: Page, name: str, words: str) -> None:
    """Type over what stands in a field, by the keys."""
    tab_to(page.locator(f"[name={name}]").first)
    page.keyboard.press("Control+a")
    page.keyboard.type(words)


def this_minute() -> str:
    return timezone.localtime().strftime("%Y-%m-%dT%H:%M")


def test_with_the_keys_alone(cast: Cast, job: Job, tablets: Tablets) -> None:
    write_down(cast, job)
    desk = tablets.hand_out(cast.desk, has_touch=False, viewport=DESK)
    estimate_by_keys(desk, job)
    choose_by_keys(desk, job)
    sign_by_keys(desk)
    stopped_by_keys(desk, job)
    agree_by_phone(desk, job)
    deposit_and_invoice(desk, job)
    pay_a_part(desk)
    credit_by_keys(tablets.hand_out(cast.manager, has_touch=False, viewport=DESK), job)


def estimate_by_keys(page: Page, job: Job) -> None:
    """The option is written and the estimate given."""
    page.goto(f"/jobs/{job.number}/estimate/")
    press(page.get_by_role("link", name="Add an option"))
    write(page, "name", "Wax the hull")
    press(end_of(page))
    press(page.get_by_role("link", name="Add a line to Wax the hull"))
    turn_to(page, "kind", "fee")
    write(page, "description", "Wax")
    write(page, "unit_price", "100")
    press(end_of(page))
    press(page.get_by_role("button", name="Give version 1"))
    assert Estimate.objects.get().total == Decimal(450)
    assert problems(page, TABLET, PHONE, DESK, axe_at=1) == []


def choose_by_keys(page: Page, job: Job) -> None:
    """One line is declined and the option taken."""
    page.goto(f"/jobs/{job.number}/authorization/")
    press(page.get_by_role("link", name="Answer to the estimate"))
    tick(page.get_by_label("Haul-out: $50.00"))
    tick(page.get_by_label("Wax the hull: $100.00"))
    press(page.get_by_role("button", name="Work out the sum"))
    expect(page.get_by_role("heading", name="What was chosen comes to $500.00 with tax")).to_be_visible()
    tab_to(page.get_by_label("Why not: Haul-out"))
    page.keyboard.type("Has a trailer")
    turn_to(page, "how", "drawn")
    assert problems(page, TABLET, PHONE, DESK, axe_at=1) == []
    press(end_of(page))
    assert not Authorization.objects.exists()


def sign_by_keys(page: Page) -> None:
    """The arrow keys draw; without a stroke nothing is noted."""
    press(page.get_by_role("button", name="Sign and note it"))
    expect(page.get_by_role("alert")).to_contain_text("Nothing was drawn")
    tab_to(page.locator("canvas"))
    page.keyboard.press("Space")
    for key in ["ArrowUp", "ArrowRight", "ArrowRight", "ArrowDown", "ArrowRight"]:
        page.keyboard.press(key)
    page.keyboard.press("Space")
    expect(page.locator("[data-signature-state]")).to_have_text("1 stroke is drawn. The pen is up.")
    assert problems(page, TABLET, PHONE, DESK) == []
    press(page.get_by_role("button", name="Sign and note it"))
    made = Authorization.objects.get()
    assert (made.amount, made.how) == (Decimal(500), "drawn")
    expect(page.get_by_role("img", name="Signature of")).to_be_visible()
    assert DeferredWork.objects.get().why == "Has a trailer"


def charge(page: Page, job: Job, words: str, price: str) -> None:
    """Type a fee, and send it."""
    page.goto(f"/jobs/{job.number}/charges/add/")
    turn_to(page, "kind", "fee")
    write(page, "description", words)
    write(page, "unit_price", price)
    press(end_of(page))


def stopped_by_keys(page: Page, job: Job) -> None:
    """What was agreed on is charged, and a seal of $60 more is not."""
    charge(page, job, "Pump", "440")
    charge(page, job, "Wax and seal", "100")
    expect(page.locator(".problems")).to_contain_text("This brings the job to $540.00 with tax")
    assert Charge.objects.get().description == "Pump"


def agree_by_phone(page: Page, job: Job) -> None:
    page.goto(f"/jobs/{job.number}/authorization/")
    expect(page.locator("main")).to_contain_text("ask the customer")
    write(page, "amount", "60")
    turn_to(page, "adds", "yes")
    turn_to(page, "how", "phone")
    write(page, "reached", "(555) 555-0123")
    page.locator("[name=said_at]").fill(this_minute())
    write(page, "words", "The seal as well")
    press(end_of(page))
    assert "It is noted" in said(page)
    assert problems(page, TABLET, PHONE, DESK, axe_at=1) == []
    charge(page, job, "Wax and seal", "100")
    assert [charge.unit_price for charge in Charge.objects.order_by("pk")] == [440, 100]


def deposit_and_invoice(page: Page, job: Job) -> None:
    page.goto(f"/jobs/{job.number}/invoices/")
    press(page.get_by_role("link", name="Note a deposit"))
    write(page, "amount", "50")
    turn_to(page, "means", "check")
    write(page, "reference", "1021")
    press(end_of(page))
    assert "$50.00 is held for job" in said(page)
    press(page.get_by_role("link", name="Invoice it…"))
    expect(page.locator("main")).to_contain_text("$50.00 of it is taken into this invoice")
    press(end_of(page))
    expect(page.locator(".problems")).to_contain_text("is still an estimate")  # nobody moved the job on
    tick(page.get_by_label("Keep it: The customer agreed to it"))
    press(end_of(page))
    expect(page.locator("main")).to_contain_text("$490.00 is open.")


def pay_a_part(page: Page) -> None:
    press(page.get_by_role("link", name="Note a payment"))
    expect(page.locator("[name=amount]")).to_have_value("490.00")
    write(page, "amount", "60")
    turn_to(page, "means", "cash")
    press(end_of(page))
    expect(page.locator("main")).to_contain_text("$430.00 is open.")
    expect(page.get_by_role("link", name="Credit this invoice")).to_have_count(0)  # a manager's
    assert problems(page, TABLET, PHONE, DESK, axe_at=1) == []


def credit_by_keys(page: Page, job: Job) -> None:
    """A manager credits a line, which is charged again in one touch."""
    invoice = Invoice.objects.get()
    page.goto(f"/invoices/{invoice.pk}/")
    press(page.get_by_role("link", name="Credit this invoice"))
    turn_to(page, "how", "lines")
    tick(page.get_by_label("Wax and seal"))
    write(page, "reason", "The seal was the maker’s")
    press(end_of(page))
    assert "Credit note CN-1001 of $100.00 is made." in said(page)
    assert (balance_now(invoice).open, CreditNote.objects.get().total) == (Decimal(330), Decimal(100))
    page.goto(f"/jobs/{job.number}/lines/")
    press(page.get_by_role("button", name="Charge again"))
    assert "is on the job again" in said(page)
    expect(page.locator("main")).to_contain_text("Not invoiced yet, 1 charge with tax")
    assert problems(page, TABLET, PHONE, DESK, axe_at=1) == []


def test_a_finger_draws_and_clears(cast: Cast, job: Job, tablets: Tablets) -> None:
    give(cast, job)
    page = tablets.hand_out(cast.desk)
    page.goto(f"/jobs/{job.number}/authorization/answer/")
    touch(page.get_by_role("button", name="Work out the sum"))
    page.locator("[name=how][value=drawn]").check(force=True)
    touch(end_of(page))
    page.locator("canvas").scroll_into_view_if_needed()
    box = page.locator("canvas").bounding_box()
    assert box is not None
    for _ in range(2):
        page.mouse.move(box["x"] + 40, box["y"] + 80)
        page.mouse.down()
        page.mouse.move(box["x"] + 200, box["y"] + 30, steps=6)
        page.mouse.up()
    expect(page.locator("[data-signature-state]")).to_have_text("2 strokes are drawn.")
    page.get_by_role("button", name="Clear").click()
    expect(page.locator("[data-signature-state]")).to_have_text("Nothing is drawn yet.")
    page.mouse.move(box["x"] + 40, box["y"] + 80)
    page.mouse.down()
    page.mouse.move(box["x"] + 300, box["y"] + 120, steps=6)
    page.mouse.up()
    touch(page.get_by_role("button", name="Sign and note it"))
    assert Authorization.objects.get().amount == Decimal(450)


def test_without_scripts(cast: Cast, job: Job, tablets: Tablets) -> None:
    write_down(cast, job)
    desk = tablets.hand_out(cast.desk, java_script_enabled=False)
    give_without_scripts(desk, job)
    agree_without_scripts(desk, job)
    more_without_scripts(desk, job)
    invoice_without_scripts(desk, job)
    manager = tablets.hand_out(cast.manager, java_script_enabled=False, viewport=PHONE)
    manager.goto(f"/invoices/{Invoice.objects.get().pk}/credit/")
    manager.locator("[name=how][value=sum]").check(force=True)
    manager.locator("[name=amount]").fill("6.80")
    manager.locator("[name=reason]").fill("Agreed")
    touch(end_of(manager))
    assert balance_now(Invoice.objects.get()).open == Decimal("393.2")


def give_without_scripts(page: Page, job: Job) -> None:
    page.goto(f"/jobs/{job.number}/estimate/")
    touch(page.get_by_role("link", name="Add an option"))
    page.locator("[name=name]").fill("Wax the hull")
    touch(end_of(page))
    touch(page.get_by_role("link", name="Add a line to Wax the hull"))
    page.locator("[name=kind][value=fee]").check(force=True)
    page.locator("[name=description]").fill("Wax")
    page.locator("[name=unit_price]").fill("100")
    touch(end_of(page))
    touch(page.get_by_role("button", name="Give version 1"))


def agree_without_scripts(page: Page, job: Job) -> None:
    """Nothing can be drawn, and the page says so; a word by phone is noted."""
    page.goto(f"/jobs/{job.number}/authorization/answer/")
    page.get_by_label("Haul-out: $50.00").uncheck()
    page.get_by_label("Wax the hull: $100.00").check()
    touch(page.get_by_role("button", name="Work out the sum"))
    page.locator("[name=how][value=drawn]").check(force=True)
    touch(end_of(page))
    expect(page.locator("main")).to_contain_text("This browser does not run scripts, so nothing can be signed here.")
    expect(page.get_by_role("button", name="Sign and note it")).to_be_hidden()
    touch(page.get_by_role("button", name="Back: agree in another way"))
    page.locator("[name=how][value=phone]").check(force=True)
    page.locator("[name=reached]").fill("(555) 555-0123")
    page.locator("[name=said_at]").fill(this_minute())
    touch(end_of(page))
    made = Authorization.objects.get()
    assert (made.amount, made.how) == (Decimal(500), "phone")


def more_without_scripts(page: Page, job: Job) -> None:
    """Work past the sum is stopped until more is agreed."""
    page.goto(f"/jobs/{job.number}/charges/add/")
    page.locator("[name=kind][value=fee]").check(force=True)
    page.locator("[name=description]").fill("Pump and seal")
    page.locator("[name=unit_price]").fill("510")
    touch(end_of(page), 422)
    assert not Charge.objects.exists()
    page.goto(f"/jobs/{job.number}/authorization/")
    page.locator("[name=amount]").fill("60")
    page.locator("[name=adds][value=yes]").check(force=True)
    page.locator("[name=how][value=phone]").check(force=True)
    page.locator("[name=reached]").fill("(555) 555-0123")
    page.locator("[name=said_at]").fill(this_minute())
    touch(end_of(page))
    page.goto(f"/jobs/{job.number}/charges/add/")
    page.locator("[name=kind][value=fee]").check(force=True)
    page.locator("[name=description]").fill("Pump and seal")
    page.locator("[name=unit_price]").fill("510")
    touch(end_of(page))


def invoice_without_scripts(page: Page, job: Job) -> None:
    page.goto(f"/jobs/{job.number}/deposit/")
    take(page, "50", "check")
    touch(page.get_by_role("link", name="Invoice it…"))
    touch(end_of(page), 422)
    page.get_by_label("Keep it: The customer agreed to it").check()
    touch(end_of(page))
    touch(page.get_by_role("link", name="Note a payment"))
    take(page, "60", "cash")
    assert [payment.amount for payment in Payment.objects.order_by("pk")] == [Decimal(50), Decimal(60)]
    expect(page.get_by_role("link", name="PDF")).to_have_count(1)


def take(page: Page, amount: str, means: str) -> None:
    """Note a sum that came in."""
    page.locator("[name=amount]").fill(amount)
    page.locator(f"[name=means][value={means}]").check(force=True)
    touch(end_of(page))
