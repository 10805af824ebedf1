"""What the law of a place asks of authorizations, as worked examples with their citations. None of them is preset.

The wording is ours; what it restates was read in public copies of the code: sections 411, 415 and 417 at self-law.org,
section 413 at california.public.law and search-california-law.com, sections 410 and 412 at legalfina.com (a summary),
sections 416 and 418 in the state's boating law booklet (cld.bz). The summary leaves things out. Section 414 was read in
part only, and is left out.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Asked:
    """One thing that is asked for: where it stands, what it says, and what in this program answers it."""

    section: str
    says: str
    here: str
    rule: str = ""


@dataclass(frozen=True)
class Example:
    """What one place asks for."""

    place: str
    citation: str
    asked: tuple[Asked, ...]


def _in_order(*asked: Asked) -> tuple[Asked, ...]:
    return tuple(sorted(asked, key=lambda one: one.section))


EXAMPLES = (
    Example(
        "California",
        "California Harbors and Navigation Code, §§ 410–418",
        _in_order(
            Asked(
                "§ 411",
                "It applies to work on a vessel with an estimated cost of $100 or more.",
                "“For work from” says from which sum on an estimate comes first.",
                "estimate_from",
            ),
            Asked(
                "§ 413 (a)",
                "Before work, the customer gets a written estimated price for labor and parts, or a written maximum "
                "that is not to be exceeded.",
                "“A written estimate before work begins”: without one no work begins. “Not to exceed” is a maximum.",
                "estimate_first",
            ),
            Asked(
                "§ 413 (a)",
                "No work or part beyond the written estimate, or different from it, without the customer’s separate "
                "consent, by word or in writing.",
                "“Nothing beyond the sum without asking again”: charges past it stop until another answer is noted.",
                "nothing_on_top",
            ),
            Asked(
                "§ 413 (a)",
                "Of consent by word, date, time, name of who gave it and the telephone number called, if any, are "
                "noted, with the additional parts and labor and the total additional cost.",
                "By phone, date, time, name and number are asked for; what it is for where “Consent by word” is on.",
                "specify_more",
            ),
            Asked(
                "§ 413 (b)",
                "Taking something apart in order to estimate is estimated first, with putting it together again.",
                "Give an estimate of that alone, and a new version afterwards.",
            ),
            Asked(
                "§ 415",
                "The invoice describes all work done and parts supplied, work and parts apart with their subtotals and "
                "the tax on each, and says which parts are used, rebuilt or reconditioned.",
                "Every invoice tells work and parts apart. Note a part’s condition when it is fitted.",
            ),
            Asked("§ 416", "The invoice shows the shop’s name and address.", "They stand on every paper."),
            Asked(
                "§ 412",
                "No lien for work on a vessel where these rules were not followed.",
                "Nothing of it is decided here.",
            ),
            Asked(
                "§ 418",
                "They do not apply to a vessel in distress that needs work at once for its safety, where consent "
                "cannot be had in time.",
                "Note time and materials, and write that it is for the vessel’s safety and who decided.",
            ),
            Asked(
                "§ 417",
                "With the customer’s authorization, a job may be done on time and materials instead.",
                "Note it as time and materials. “Time and materials without a ceiling” says how it is agreed to.",
                "time_and_materials",
            ),
        ),
    ),
)
