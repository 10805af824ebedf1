"""How often something fails, from figures that are typed. Trends of records have their own tests."""

from tests.findings.bench.cases.case import NOT_JUDGED, REFUSED, Case

NIST = "NIST/SEMATECH e-Handbook"
TWO = {
    "first_events": "3",
    "first_hours": "1000 h",
    "second_events": "0",
    "second_hours": "1000 h",
    "confidence": "95 %",
}
MEAN = {"what": "", "events": "2", "hours": "800 h", "confidence": "90 %"}

CASES = {
    "before-and-after": (
        Case(TWO, NOT_JUDGED, ["0.3 per 100 h"], never=["proven better", "fixed"], why="3 of 3 fall into the first half 1 time in 8: no proof"),
        Case({**TWO, "first_events": "12"}, NOT_JUDGED, ["less often"], why="12 of 12 by chance: 1 time in 4096"),
        Case({**TWO, "first_events": "0", "second_events": "12"}, NOT_JUDGED, ["more often"], why="the same the other way around"),
        Case({**TWO, "first_events": "5", "second_events": "5"}, NOT_JUDGED, ["0.5 per 100 h"], never=["less often than before.", "more often than before."], why="nothing changed"),
        Case({**TWO, "first_hours": "0 h"}, REFUSED, [], field="first_hours", why="nothing happens in no time"),
        Case({**TWO, "first_hours": "-5 h"}, REFUSED, [], field="first_hours"),
        Case({**TWO, "first_events": "-1"}, REFUSED, ["At least 0"], field="first_events"),
        Case({**TWO, "confidence": "150 %"}, REFUSED, [], field="confidence"),
        Case({**TWO, "first_events": "2.5"}, REFUSED, ["whole number"], field="first_events"),
    ),
    "mean-time-between": (
        Case(MEAN, NOT_JUDGED, ["400 h", "127.1 h"], why=f"{NIST} 8.4.5.1: 2 failures in 800 h, 90 % bounds"),
        Case({**MEAN, "events": "0"}, NOT_JUDGED, ["At least"], never=["400 h"], why=f"{NIST}: without failures only a lower bound"),
        Case({**MEAN, "events": "1"}, NOT_JUDGED, ["800 h"]),
        Case({**MEAN, "events": "10000", "hours": "1 h"}, REFUSED, ["so short a time"], field="events", why="one every third of a second is no record of an engine"),
        Case({**MEAN, "events": "20"}, NOT_JUDGED, ["40 h"]),
        Case({**MEAN, "hours": "0 h"}, REFUSED, [], field="hours"),
        Case({**MEAN, "hours": "-800 h"}, REFUSED, [], field="hours"),
        Case({**MEAN, "events": "-2"}, REFUSED, ["At least 0"], field="events"),
        Case({**MEAN, "confidence": "0 %"}, REFUSED, [], field="confidence"),
        Case({**MEAN, "events": "100000"}, REFUSED, ["At most"], field="events"),
    ),
}  # fmt: skip
