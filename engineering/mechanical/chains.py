"""Chains: slack, and wear seen as elongation."""

from dataclasses import dataclass

from engineering.amounts import AmountProblem, exceeds, reaches, require_not_negative, require_positive, require_share

_MOST_ELONGATION = 0.03
_MOST_ON_FIXED_CENTERS = 0.015
_TEETH_RULE = 2.0


@dataclass(frozen=True, slots=True)
class ChainSlack:
    """A deflection against its limit: ``left_mm`` of it left, negative where it is passed."""

    needs_new_set: bool
    left_mm: float
    sentence: str


@dataclass(frozen=True, slots=True)
class ChainWear:
    """How much longer than new a chain has become, as a ``fraction``, against the most allowed."""

    fraction: float
    most: float
    needs_new_set: bool
    sentence: str


def judge_slack(*, deflection_mm: float, most_mm: float) -> ChainSlack:
    """The deflection of a chain in the middle of its span, in mm, against the manual's limit.

    More than the limit means a new set, chain and sprockets together; exactly the limit still passes. Raises
    ``AmountProblem`` for a negative deflection or a limit not above 0. Source: common practice, no source.
    """
    require_not_negative("deflection_mm", deflection_mm, "The deflection")
    require_positive("most_mm", most_mm, "The most deflection")
    beyond = exceeds(deflection_mm, most_mm)
    sentence = (
        "More slack than allowed: fit a new set, chain and sprockets together." if beyond else "Slack within its limit."
    )
    return ChainSlack(beyond, most_mm - deflection_mm, sentence)


def nominal_length_mm(*, pitch_mm: float, links: int) -> float:
    """The length of so many links when new, in mm. Raises ``AmountProblem`` for values not above 0. By definition."""
    require_positive("pitch_mm", pitch_mm, "The pitch")
    require_positive("links", links, "The number of links")
    return pitch_mm * links


def most_elongation(*, largest_sprocket_teeth: int, fixed_centers: bool = False) -> float:
    """The elongation at which a roller chain is worn out, as a fraction, where its maker says nothing else.

    3 %, or 200 / teeth in percent where the larger sprocket has more than about 67 teeth; 1.5 % on fixed centers,
    in parallel strands and where it must run smoothly. Raises ``AmountProblem`` for fewer than one tooth.
    Source: roller-chain makers' guides, which cite ANSI B29.1.
    """
    require_positive("largest_sprocket_teeth", largest_sprocket_teeth, "The number of teeth")
    most = min(_MOST_ELONGATION, _TEETH_RULE / largest_sprocket_teeth)
    return min(most, _MOST_ON_FIXED_CENTERS) if fixed_centers else most


def judge_elongation(*, measured_mm: float, nominal_mm: float, most: float) -> ChainWear:
    """The length of some links under tension, in mm, against their length when new.

    ``most`` is the fraction at which the chain is worn out: reaching it means a new set. A chain that measures shorter
    than new has been miscounted or misread. Raises ``AmountProblem`` for lengths not above 0, ``most`` not from 0 to
    100 %, and a measured length that is more than an eighth off the nominal one, which no chain that still runs is:
    common practice, no source. Source of the rest: roller-chain makers' guides, which cite ANSI B29.1.
    """
    require_positive("measured_mm", measured_mm, "The measured length")
    require_positive("nominal_mm", nominal_mm, "The length when new")
    require_share("most", most, "The most elongation")
    if abs(measured_mm - nominal_mm) > nominal_mm / 8:
        raise AmountProblem(
            "That is nowhere near the length when new: count the links again and compare the units.",
            field="measured_mm",
        )
    fraction = measured_mm / nominal_mm - 1
    worn = reaches(measured_mm, nominal_mm * (1 + most))
    if worn:
        sentence = "Worn out: fit a new set, chain and sprockets together."
    elif measured_mm < nominal_mm:
        sentence = "Shorter than new, which wear cannot do: count the links again, and pull the chain tight."
    else:
        sentence = "Wear within its limit."
    return ChainWear(fraction, most, worn, sentence)
