"""What invoices add to the rest of the house."""

from __future__ import annotations

from billing.invoices import marking
from billing.invoices.filing import kept_papers
from billing.invoices.guarding import ask_about_money, keep_what_is_left, refuse_invoiced
from billing.invoices.queries.lists import on_customer
from billing.invoices.worth import as_invoiced, is_invoiced
from files import references
from staff.policy import Permission
from vessels.customer_sections import Section
from vessels.customer_sections import register as register_section
from workorders import guards, marks, tabs, worth


def set_up() -> None:
    """Called once from the app's ``ready``."""
    references.register("invoices", kept_papers)
    guards.before_striking(refuse_invoiced)
    guards.before_moving(ask_about_money)
    guards.before_moving(keep_what_is_left)
    worth.register(worth.Frozen(is_invoiced, as_invoiced))
    marks.register(
        marks.Marking(
            marking.COLUMNS,
            marking.mark,
            "billing/invoices/on_lines.html",
            marking.told,
            marking.total,
            Permission.SEE_MONEY,
        )
    )
    register_section(Section("billing/invoices/on_customer.html", on_customer, 10, permission=Permission.SEE_MONEY))
    tabs.register(
        tabs.Tab(
            "Invoices",
            "invoices:job",
            30,
            permission=Permission.SEE_MONEY,
            count="SELECT count(*) FROM invoices_invoice WHERE job_id = %(job)s",
        )
    )
