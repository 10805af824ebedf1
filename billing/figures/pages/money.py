"""Open estimates, what is owed by age, and sales by week."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from django.urls import reverse

from billing.figures.pages import Asked
from billing.figures.period import week_words
from billing.figures.pictures import Bar, BarsPicture
from billing.figures.queries.estimates import AGES, UNPRICED, Aged, OpenEstimate, estimates_behind, open_estimates
from billing.figures.queries.money import Paper, SalesWeek, owed_behind, owed_by_age, sales_behind, sales_by_week
from billing.figures.shown import Cell, Column, Figure, Table, day_cell, moment_cell, money_cell
from engineering.plurals import counted
from vessels.wording import date_words
from workorders.money import money_words

NOTHING = Decimal(0)


def estimates(asked: Asked) -> Figure:
    """Estimates that wait for an answer, as of today."""
    found = {one.age: one for one in open_estimates(asked.period)}
    priced = [
        found.get(place, Aged(age=place, estimates=0, total=NOTHING, run_out=0, oldest=0)) for place in range(UNPRICED)
    ]
    return Figure(
        told=_estimates_told(priced, found.get(UNPRICED), asked),
        meaning=(
            "Open is the latest version that was given to the customer, as long as its job has not ended, no answer "
            "was noted on the job since, and the job was not moved to authorized since. An answer that nobody noted, "
            "or one that was withdrawn, is none.",
            "The sum is the estimate’s own, with tax, without its options. The age is counted from the day on which it "
            "was given; of jobs in the state Estimate of which none was given, from the day on which they "
            "were opened.",
        ),
        picture=_estimates_picture(priced, asked) if any(one.estimates for one in priced) else None,
        parts=[_by_age(priced, asked)] if any(one.estimates for one in priced) else [],
        rows=estimates_rows(asked),
    )


def estimates_rows(asked: Asked) -> Table:
    """Each of them."""
    columns = [
        Column("Job", "code"), Column("Customer"), Column("Vessel"), Column("Version", "num"), Column("Since"),
        Column("Days", "num"), Column("Valid until"), Column("Sum", "money"),
    ]  # fmt: skip
    made = [_estimate_row(one, asked) for one in estimates_behind(asked.period, asked.start, asked.most)]
    return Table("Each estimate", columns, made, key="rows", empty="No estimate waits for an answer.")


def _estimate_row(one: OpenEstimate, asked: Asked) -> list[Cell]:
    has_run_out = one.valid_until is not None and one.valid_until < asked.period.today
    valid = day_cell(one.valid_until)
    return [
        Cell(str(one.job), reverse("estimates:job", args=[one.job])),
        Cell(one.customer, reverse("vessels:customer", args=[one.customer_id])),
        Cell(one.vessel),
        Cell("" if one.revision is None else str(one.revision)),
        moment_cell(one.since, asked.period.zone),
        Cell(f"{one.days:,}"),
        Cell(valid.words, plain=valid.plain, note="run out" if has_run_out else ""),
        Cell("none given yet") if one.total is None else money_cell(one.total, asked.currency),
    ]


def _estimates_told(priced: Sequence[Aged], unpriced: Aged | None, asked: Asked) -> list[str]:
    count, total = sum(one.estimates for one in priced), sum((one.total for one in priced), NOTHING)
    told = ["No estimate with a price waits for an answer."]
    if count:
        oldest = max(one.oldest for one in priced)
        waits = "waits" if count == 1 else "wait"
        told = [
            f"{counted(count, 'estimate')} ({money_words(total, asked.currency)} in all) {waits} for an answer, "
            f"the oldest {_since(oldest)}."
        ]
        if run_out := sum(one.run_out for one in priced):
            told.append(f"{run_out:,} of them {'is' if run_out == 1 else 'are'} past the last day.")
    if unpriced:
        told.append(
            f"{counted(unpriced.estimates, 'job')} in the state Estimate "
            f"{'has' if unpriced.estimates == 1 else 'have'} no estimate that was given, the oldest "
            f"{_since(unpriced.oldest)}: not in the sum."
        )
    return told


def _since(days: int) -> str:
    return f"for {counted(days, 'day')}" if days else "since today"


def _by_age(priced: Sequence[Aged], asked: Asked) -> Table:
    columns = [Column("Age"), Column("Estimates", "num"), Column("Past the last day", "num"), Column("Sum", "money")]
    rows = [
        [
            Cell(AGES[one.age]),
            Cell(f"{one.estimates:,}"),
            Cell(f"{one.run_out:,}"),
            money_cell(one.total, asked.currency),
        ]
        for one in priced
    ]
    sums = [
        Cell("All"),
        Cell(f"{sum(one.estimates for one in priced):,}"),
        Cell(f"{sum(one.run_out for one in priced):,}"),
        money_cell(sum((one.total for one in priced), NOTHING), asked.currency),
    ]
    return Table("By age", columns, rows, sums, key="by-age")


def _estimates_picture(priced: Sequence[Aged], asked: Asked) -> BarsPicture:
    bars = [Bar(AGES[one.age], float(one.total), money_words(one.total, asked.currency)) for one in priced]
    said = "; ".join(f"{bar.name}: {bar.words}" for bar in bars)
    return BarsPicture("estimates", f"Open estimates by age. {said}.", bars)


def owed(asked: Asked) -> Figure:
    """What customers owe by age, as of today."""
    found = owed_by_age(asked.period.today, asked.currency)
    total, count = sum((one.open for one in found), NOTHING), sum(one.invoices for one in found)
    late = sum((one.open for one in found[1:]), NOTHING)
    told = "No invoice is open."
    if count:
        told = f"{money_words(total, asked.currency)} is open on {counted(count, 'invoice')}"
        told += (
            f", {money_words(late, asked.currency)} of it past the day on which it was due."
            if late
            else "; none is late."
        )
    columns = [Column("Past the due day"), Column("Invoices", "num"), Column("Open", "money")]
    rows = [[Cell(one.name), Cell(f"{one.invoices:,}"), money_cell(one.open, asked.currency)] for one in found]
    sums = [Cell("All"), Cell(f"{count:,}"), money_cell(total, asked.currency)]
    bars = [Bar(one.name, float(one.open), money_words(one.open, asked.currency)) for one in found]
    said = "; ".join(f"{bar.name}: {bar.words}" for bar in bars)
    return Figure(
        told=[told],
        meaning=(
            "Open is what an invoice comes to less payments, credit notes and what was written off, as on the page "
            "What is owed, which tells it by customer. What is held for customers is not subtracted. What they owe for "
            "money that was paid out to them, on no invoice, stands on that page and not here.",
        ),
        picture=BarsPicture("owed", f"What is owed by age. {said}.", bars) if count else None,
        parts=[Table("By age", columns, rows, sums, key="by-age")] if count else [],
        rows=owed_rows(asked),
    )


def owed_rows(asked: Asked) -> Table:
    """Each open invoice."""
    columns = [
        Column("Invoice", "code"), Column("Customer"), Column("Job", "code"), Column("Due"), Column("Days late", "num"),
        Column("Total", "money"), Column("Open", "money"),
    ]  # fmt: skip
    made = [
        [
            Cell(one.number, reverse("invoices:invoice", args=[one.pk])),
            Cell(one.customer.name, reverse("invoices:customer", args=[one.customer_id])),
            Cell(str(one.job.number), reverse("workorders:job", args=[one.job.number])),
            day_cell(one.due_on),
            Cell(f"{max((asked.period.today - one.due_on).days, 0):,}"),
            money_cell(one.total, one.currency),
            money_cell(one.open_sum, one.currency),
        ]
        for one in owed_behind(asked.currency, asked.start, asked.most)
    ]
    return Table("Each open invoice", columns, made, key="rows", empty="No invoice is open.")


def sales(asked: Asked) -> Figure:
    """What was invoiced, and credited, week by week."""
    weeks, others = sales_by_week(asked.period, asked.currency)
    total = SalesWeek(
        monday=asked.period.first,
        invoices=sum(one.invoices for one in weeks),
        net=sum((one.net for one in weeks), NOTHING),
        tax=sum((one.tax for one in weeks), NOTHING),
        credits=sum(one.credits for one in weeks),
        credit_net=sum((one.credit_net for one in weeks), NOTHING),
        credit_tax=sum((one.credit_tax for one in weeks), NOTHING),
    )
    told = ["Nothing was invoiced or credited on these days."]
    if total.invoices or total.credits:
        told = [
            f"{counted(total.invoices, 'invoice')} ({money_words(total.net, asked.currency)} in all before tax), "
            f"{counted(total.credits, 'credit note')} ({money_words(total.credit_net, asked.currency)} in all): "
            f"{money_words(total.left, asked.currency)} of sales."
        ]
    if others:
        told.append(f"{counted(others, 'paper')} in another currency {'is' if others == 1 else 'are'} in no sum.")
    return Figure(
        told=told,
        meaning=(
            "Sales are what invoices come to before tax on the day they were made, less credit notes on theirs: as in "
            "the journal. A payment, and what is written off, changes nothing here.",
            "Weeks begin on Monday and are numbered by ISO 8601, by the shop’s calendar. The first and the last week "
            "may lie only in part within the days.",
        ),
        picture=_sales_picture(weeks, asked) if total.invoices or total.credits else None,
        parts=[_by_week(weeks, total, asked)] if total.invoices or total.credits else [],
        rows=sales_rows(asked),
    )


def sales_rows(asked: Asked) -> Table:
    """Each invoice and credit note."""
    columns = [
        Column("Number", "code"), Column("What"), Column("Day"), Column("Week", "code"), Column("Customer"),
        Column("Job", "code"), Column("Net", "money"), Column("Tax", "money"), Column("Total", "money"),
        *(Column(f"Credited {name}", "money", is_kept_only=True) for name in ("net", "tax", "total")),
    ]  # fmt: skip
    made = [_paper_row(one, asked) for one in sales_behind(asked.period, asked.currency, asked.start, asked.most)]
    title = "Each invoice and credit note"
    return Table(title, columns, made, key="rows", empty="Nothing was invoiced or credited on these days.")


def _paper_row(one: Paper, asked: Asked) -> list[Cell]:
    sums = (one.net, one.tax, one.total)
    shown = [money_cell(sum_, asked.currency) for sum_ in sums]
    nothing = [Cell(plain="0.00")] * len(sums)
    if one.is_credit:
        signed = [money_cell(-sum_ if sum_ else sum_, asked.currency) for sum_ in sums]
        sums_cells = [*(Cell(cell.words, plain="0.00") for cell in signed), *shown]
    else:
        sums_cells = [*shown, *nothing]
    return [
        Cell(one.number, reverse("invoices:invoice", args=[one.invoice_id])),
        Cell("Credit note" if one.is_credit else "Invoice"),
        day_cell(one.day),
        Cell(week_words(one.day)),
        Cell(one.customer, reverse("invoices:customer", args=[one.customer_id])),
        Cell(str(one.job), reverse("workorders:job", args=[one.job])),
        *sums_cells,
    ]


def _by_week(weeks: Sequence[SalesWeek], total: SalesWeek, asked: Asked) -> Table:
    columns = [
        Column("Week", "code"), Column("From"), Column("Invoices", "num"), Column("Net", "money"),
        Column("Tax", "money"), Column("Credit notes", "num"), Column("Credited, net", "money"),
        Column("Credited, tax", "money"), Column("Sales", "money"),
    ]  # fmt: skip
    rows = [[Cell(week_words(one.monday)), day_cell(one.monday), *_week_cells(one, asked)] for one in weeks]
    return Table("By week", columns, rows, [Cell("All"), Cell(), *_week_cells(total, asked)], key="by-week")


def _week_cells(one: SalesWeek, asked: Asked) -> list[Cell]:
    def sum_(value: Decimal) -> Cell:
        return money_cell(value, asked.currency)

    credited = [sum_(one.credit_net), sum_(one.credit_tax)] if one.credits else [Cell(), Cell()]
    notes = Cell(f"{one.credits:,}" if one.credits else "")
    return [Cell(f"{one.invoices:,}"), sum_(one.net), sum_(one.tax), notes, *credited, sum_(one.left)]


def _sales_picture(weeks: Sequence[SalesWeek], asked: Asked) -> BarsPicture:
    bars = [
        Bar(
            date_words(one.monday).rsplit(",", 1)[0]
            if one.monday.year == asked.period.last.year
            else date_words(one.monday),
            float(one.net),
            money_words(one.left, asked.currency),
            float(one.credit_net) if one.credits else None,
        )
        for one in weeks
    ]
    said = "; ".join(f"week of {bar.name}: {bar.words}" for bar in bars[:27])
    more = f" The last 27 of {len(weeks)} weeks." if len(weeks) > 27 else ""
    return BarsPicture(
        "sales", f"Sales by week.{more} {said}.", bars, "invoiced before tax",
        "credited" if any(one.credits for one in weeks) else "",
    )  # fmt: skip
