"""Whether an instrument can have measured a quantity by itself: a remark, where it surely cannot. Pure.

Common practice, no source. Silence is the rule: only instruments that the trade knows under one name are judged, and
nothing is said where the words name anything beside it, such as a transducer, a clamp or a second gauge.
"""

from __future__ import annotations

import re

from engineering.measures import Kind

_ELECTRICAL = frozenset(
    (
        Kind.VOLTAGE, Kind.CURRENT, Kind.RESISTANCE, Kind.FREQUENCY, Kind.TEMPERATURE, Kind.ROTATION, Kind.POWER,
        Kind.CAPACITY, Kind.PERCENT, Kind.ANGLE,
    )
)  # fmt: skip
_EVERYWHERE = frozenset((Kind.COUNT, Kind.ON_OFF, Kind.HOURS))
_BY_NAME: tuple[tuple[str, str, frozenset[Kind]], ...] = (
    (r"(?:digital |clamp )?multi-?meter|dmm|dvom|dvm|vom", "multimeter", _ELECTRICAL),
    (r"(?:digital )?volt-?meter|am(?:p|pere)?-?meter|ohm-?meter", "meter", _ELECTRICAL),
    (
        r"(?:oil |fuel |boost |water |coolant |mechanical )?(?:pressure|vacuum) gau?ge|(?:compression|leak-?down) "
        r"(?:gau?ge|tester)",
        "pressure gauge",
        frozenset((Kind.PRESSURE, Kind.PERCENT)),
    ),
    (
        r"(?:infra-?red |ir |contact |digital )?(?:thermometer|temperature gun)|pyrometer",
        "thermometer",
        frozenset((Kind.TEMPERATURE,)),
    ),
    (
        r"(?:optical |photo |laser |digital )?tachometer|tach",
        "tachometer",
        frozenset((Kind.ROTATION, Kind.FREQUENCY, Kind.SPEED, Kind.LENGTH)),
    ),
    (
        r"(?:battery |coolant )?(?:hydrometer|refractometer)",
        "hydrometer",
        frozenset((Kind.SPECIFIC_GRAVITY, Kind.DENSITY, Kind.PERCENT, Kind.TEMPERATURE)),
    ),
    (r"(?:click(?:er)? |beam |dial )?torque wrench", "torque wrench", frozenset((Kind.TORQUE, Kind.ANGLE))),
    (
        r"feeler (?:gau?ges?|blades?)|(?:vernier |dial |digital )?cal[il]+pers?|micrometer|tape measure|depth gau?ge",
        "length gauge",
        frozenset((Kind.LENGTH,)),
    ),
)
_KNOWN = tuple((re.compile(words, re.IGNORECASE), what, kinds) for words, what, kinds in _BY_NAME)
_BESIDE = re.compile(
    r"[+&()]|(?<![0-9])/|\b(?:with|and|plus|via|through|using|on|at|of|from|by|transducer|transmitter|send(?:er|ing)|sensor|probe"
    r"|adapt[eo]r|module|kit|clamp|shunt|thermocouple|gau?ges?|scan|reader|logger|scope|display|unit|ecu|ecm|hose|tee)",
    re.IGNORECASE,
)
"""After an instrument's name: that something else may have done it."""


def cannot_measure(registered_kind: str, typed: str, kind: Kind) -> str:
    """The instrument that cannot have measured a quantity by itself, by its plain name; empty where nothing is sure.

    ``registered_kind`` is what the shop's register calls it ("Multimeter"), ``typed`` what a person wrote beside it or
    in its place. Whatever else was written may be the transducer or the second gauge that did it: then silence.
    """
    if kind in _EVERYWHERE:
        return ""
    named = [words.strip() for words in (registered_kind, typed) if words.strip()]
    found = [_known(words) for words in named]
    if not found or any(one is None or kind in one[1] for one in found):
        return ""
    return next(one[0] for one in found if one is not None)


def remark(name: str, kind: Kind) -> str:
    """The question that the shop answers by correcting the entry or by leaving it; empty for no name."""
    return f"A {name} measures no {kind} by itself: was another gauge or a transducer used?" if name else ""


def _known(words: str) -> tuple[str, frozenset[Kind]] | None:
    """The one instrument that the words name, with nothing beside it but its maker and number; else None."""
    for pattern, what, kinds in _KNOWN:
        match = pattern.match(words)
        if match and not words[match.end() : match.end() + 1].isalnum():
            return None if _BESIDE.search(words, match.end()) else (what, kinds)
    return None
