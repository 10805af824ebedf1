"""Notices as worked examples, with where each is from. None is in force: the shop adds its own, and local law decides.

The wording is ours. The two statutes are restated from memory of their text, and not in full.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class NoticeExample:
    """A notice that a shop may begin with; ``rests_on`` says what is known of its source."""

    key: str
    title: str
    text: str
    citation: str
    rests_on: str


EXAMPLES = (
    NoticeExample(
        "payment",
        "Payment",
        "Payment is due on the day that is named above. What is paid later may bear the charge that we agreed to in "
        "writing.",
        "our terms",
        "Common practice, no source. Whether and what may be charged for paying late, local law decides.",
    ),
    NoticeExample(
        "lien",
        "Lien",
        "Whoever provides repairs, supplies or other necessaries to a vessel on the order of its owner, or of a person "
        "whom the owner authorized, may have a maritime lien on the vessel for what is owed.",
        "46 U.S.C. § 31342",
        "The Commercial Instruments and Maritime Liens Act of the United States, from memory. States have laws of "
        "their own on liens and on what has to be told beforehand; local law decides.",
    ),
    NoticeExample(
        "warranty",
        "Limited warranty",
        "This is a limited warranty. We do again, without charge, work that does not hold for the time that is named "
        "here. Parts have the warranty of their maker. You may have other rights by law.",
        "15 U.S.C. § 2303",
        "The Magnuson–Moss Warranty Act of the United States, from memory: a written warranty on a consumer product is "
        "called full or limited. What else it has to say, and for how long it must hold, local law decides.",
    ),
)
BY_KEY = {one.key: one for one in EXAMPLES}
