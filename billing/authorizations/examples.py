"""What the law of a place asks of authorizations, as worked examples with their citations. None of them is in force.

The wording is ours; what it restates was read in public copies of the code: sections 411 and 417 at self-law.org,
section 413 at california.public.law and search-california-law.com. The summary leaves things out.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Asked:
    """One thing that is asked for: where it stands, what it says, and what in this program answers it."""

    section: str
    says: str
    here: str


@dataclass(frozen=True)
class Example:
    """What one place asks for."""

    place: str
    citation: str
    asked: tuple[Asked, ...]


EXAMPLES = (
    Example(
        "California",
        "California Harbors and Navigation Code, §§ 410–418",
        (
            Asked(
                "§ 411",
                "It applies to work on a vessel with an estimated cost of $100 or more.",
                "The shop decides for which jobs it notes an authorization.",
            ),
            Asked(
                "§ 413 (a)",
                "Before work, the customer gets a written estimated price for labor and parts, or a written maximum "
                "that is not to be exceeded.",
                "Give an estimate; note the sum, or “not to exceed”, for which nothing is allowed on top.",
            ),
            Asked(
                "§ 413 (a)",
                "No work or part beyond the written estimate, or different from it, without the customer’s separate "
                "consent, by word or in writing.",
                "Charges past the sum are stopped until another answer is noted. Leave what is allowed on top empty.",
            ),
            Asked(
                "§ 413 (a)",
                "Of consent by word, date, time, name of who gave it and the telephone number called, if any, are "
                "noted, with the additional parts and labor and the total additional cost.",
                "By phone, all of these are asked for.",
            ),
            Asked(
                "§ 413 (b)",
                "Taking something apart in order to estimate is estimated first, with putting it together again.",
                "Give an estimate of that alone, and a new version afterwards.",
            ),
            Asked(
                "§ 417",
                "With the customer’s authorization, a job may be done on time and materials instead.",
                "Note it in person or by message with a sum of zero and what was agreed.",
            ),
        ),
    ),
)
