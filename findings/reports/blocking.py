"""What stands in the way of signing a report, so that no page calls one ready that would be refused."""

from __future__ import annotations

from files.paper import signing
from files.paper.drawing import Stationery
from findings.reports.letters import unprintable
from findings.reports.record import Findings
from staff.models import ShopProfile
from staff.queries import shop_profile


def blocks_of_shop(shop: ShopProfile) -> list[str]:
    """A sentence for each thing that keeps the shop from signing any report."""
    _, of_paper = Stationery.for_looking(shop)
    return [said for said in (signing.why_no_certificate(), of_paper) if said]


def blocks(findings: Findings) -> list[str]:
    """A sentence for each thing that keeps a report with these findings from being signed, whoever signs."""
    lacking = unprintable(findings)
    return [*blocks_of_shop(shop_profile()), *([lacking] if lacking else [])]
