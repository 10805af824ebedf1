"""``python -m benchmarks.money``: the pages of the money at 100,000 jobs, 1,000,000 charges, and at a tenth of it."""

from __future__ import annotations

from benchmarks.both_sizes import LIST, WHOLE, Bench, Looked
from benchmarks.money_filling import ended_of

PAGES = [
    Looked("board", "/jobs/", LIST),
    Looked("jobs list", "/jobs/list/", LIST),
    Looked("jobs list, by customer", "/jobs/list/?sort=customer", LIST),
    Looked("week", "/week/", LIST),
    Looked("call list", "/calls/", LIST),
    Looked("a job’s lines", "/jobs/{old}/lines/"),
    Looked("a job’s estimate", "/jobs/{old}/estimate/"),
    Looked("a job’s hours", "/jobs/{old}/hours/"),
    Looked("a job’s invoices", "/jobs/{old}/invoices/"),
    Looked("invoices: open", "/invoices/", LIST),
    Looked("invoices: all", "/invoices/?state=all", LIST),
    Looked("what is owed", "/invoices/aging/"),
    Looked("day book: two weeks", "/invoices/day-book/?first={from}&last={today}"),
    Looked("day book: a year", "/invoices/day-book/?first={year}&last={today}", WHOLE),
    Looked("journal of a year, as CSV", "/invoices/journal.csv?first={year}&last={today}", WHOLE),
    Looked("a customer’s money", "/customers/2/money/", LIST),
    Looked("deferred work", "/deferred/", LIST),
    Looked("service due", "/service/", LIST),
    Looked("service due: to call", "/service/reminders/"),
    Looked("search: an invoice’s number", "/search/?q=INV-1500"),
    Looked("search: a customer’s name", "/search/?q=Customer+77"),
    Looked("figures: hours sold", "/insight/shop/hours/"),
    Looked("figures: comebacks", "/insight/shop/comebacks/"),
    Looked("figures: days in each state", "/insight/shop/states/"),
    Looked("figures: open estimates", "/insight/shop/estimates/"),
    Looked("figures: owed by age", "/insight/shop/owed/"),
    Looked("figures: sales by week", "/insight/shop/sales/"),
]
BENCH = Bench(
    "Jobs and money", "jobs", "benchmarks.money_filling", ("bench_money_small", "bench_money_large"), PAGES, 100_000,
    ended_of,
)  # fmt: skip

if __name__ == "__main__":
    BENCH.main(__doc__)
