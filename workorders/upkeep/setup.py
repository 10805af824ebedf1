"""What service due adds to the rest of the house: a kind of entry, a tab, sections, and what is offered at arrival."""

from __future__ import annotations

from commands import background
from files import references
from staff.policy import Permission
from vessels import customer_sections, sections, tabs
from vessels.log.belonging import of_a_boat
from vessels.log.registry import LogKind
from vessels.log.registry import register as register_kind
from workorders import offered
from workorders.calendar import sources
from workorders.sections import LINES, Section
from workorders.sections import register as register_section
from workorders.upkeep import in_calendar, log_details, offering, shown
from workorders.upkeep.actions.doing import DONE
from workorders.upkeep.letters.drawing import kept_letters
from workorders.upkeep.letters.tasks import DRAW_LETTER
from workorders.upkeep.models import Adoption, LayUp


def set_up() -> None:
    """Called once from the app's ``ready``."""
    register_kind(
        LogKind(
            DONE,
            "Service done",
            icon="wrench",
            model="upkeep.ServiceDone",
            facts=log_details.DONE,
            draw=log_details.done,
            children=("services",),
            evidence=True,
            aboard=True,
        )
    )
    of_a_boat(Adoption, vessel=lambda one: one.engine.vessel_id, refused=lambda _: offering.STRANGE)
    of_a_boat(LayUp, vessel=lambda stay: stay.vessel_id, refused=lambda _: offering.STRANGE)
    tabs.register(tabs.Tab("Service", "upkeep:vessel", 35))
    sections.register("workorders/upkeep/on_vessel.html", shown.on_vessel, 30)
    customer_sections.register(
        customer_sections.Section(
            "workorders/upkeep/on_customer.html", shown.on_customer, 20, permission=Permission.REMIND_OWNERS
        )
    )
    sources.register(in_calendar.SOURCE)
    references.register("reminder letters", kept_letters)
    background.register(DRAW_LETTER)
    register_section(Section(LINES, "workorders/upkeep/on_lines.html", shown.on_lines, 10))
    offered.register(offered.Source("service due", offering.offers, 10))
