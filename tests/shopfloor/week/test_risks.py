"""Why a promised date is at risk: sentences by table, as a service manager would judge them."""

from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from shopfloor.week.risks import Facts, Planned, risks
from workorders.states import JobState

TODAY = date(2026, 11, 16)
WEDNESDAY, FRIDAY, NEXT_MONTH = date(2026, 11, 18), date(2026, 11, 20), date(2026, 12, 18)

TRIAL = "Sea trial is planned for Nov 20, 2026, 2 days after it."


@pytest.mark.parametrize(
    ("facts", "said"),
    [
        ({}, []),
        ({"state": JobState.READY, "promised_on": date(2026, 11, 1)}, []),
        ({"promised_on": date(2026, 11, 15)}, ["The day passed 1 day ago."]),
        ({"promised_on": date(2026, 11, 6)}, ["The day passed 10 days ago."]),
        # the day itself
        ({"promised_on": TODAY}, ["It is promised for today and is not ready."]),
        ({"promised_on": TODAY, "state": JobState.SEA_TRIAL}, ["It is promised for today and is not ready."]),
        (
            {"promised_on": TODAY, "state": JobState.WAITING_CUSTOMER},
            ["It is promised for today and is not ready.", "It waits for the customer."],
        ),
        ({"promised_on": TODAY, "state": JobState.READY}, []),
        ({"promised_on": TODAY, "state": JobState.CLOSED}, []),
        ({"promised_on": TODAY, "state": JobState.CANCELED}, []),
        # what is planned after it
        ({"planned": [Planned("sea-trial", FRIDAY, FRIDAY)]}, [TRIAL]),
        ({"planned": [Planned("sea-trial", WEDNESDAY, WEDNESDAY)]}, []),
        ({"planned": [Planned("sea-trial", TODAY, TODAY)]}, []),
        ({"planned": [Planned("sea-trial", FRIDAY, FRIDAY)], "state": JobState.READY}, []),
        ({"planned": [Planned("survey", TODAY, FRIDAY)]}, ["Survey is planned until Nov 20, 2026, 2 days after it."]),
        (
            {"planned": [Planned("arrival", date(2026, 11, 19), FRIDAY), Planned("sea-trial", FRIDAY, FRIDAY)]},
            ["Arrival is planned for Nov 19, 2026, 1 day after it.", TRIAL],
        ),
        # of a promise that is past, what was planned and not settled says nothing
        (
            {"promised_on": date(2026, 11, 13), "planned": [Planned("launch", date(2026, 11, 14), date(2026, 11, 14))]},
            ["The day passed 3 days ago."],
        ),
        (
            {"promised_on": date(2026, 11, 15), "planned": [Planned("launch", TODAY, TODAY)]},
            ["The day passed 1 day ago.", "Launch is planned for Nov 16, 2026, 1 day after it."],
        ),
        (
            {"promised_on": NEXT_MONTH, "planned": [Planned("sea-trial", date(2026, 12, 19), date(2026, 12, 19))]},
            ["Sea trial is planned for Dec 19, 2026, 1 day after it."],
        ),
        # parts
        ({"parts": [WEDNESDAY]}, []),
        ({"parts": [date(2026, 11, 19)]}, ["1 part is expected on Nov 19, 2026, 1 day after it."]),
        (
            {"parts": [date(2026, 11, 19), FRIDAY, TODAY]},
            ["2 parts are expected, the last on Nov 20, 2026, 2 days after it."],
        ),
        ({"parts": [date(2026, 11, 12)]}, ["1 part that was expected on Nov 12, 2026 is still to come."]),
        (
            {"parts": [date(2026, 11, 13), date(2026, 11, 12)]},
            ["2 parts that were expected, the first on Nov 12, 2026, are still to come."],
        ),
        ({"parts": [None]}, ["Of 1 part still to come the day is not known."]),
        ({"parts": [None, None]}, ["Of 2 parts still to come the day is not known."]),
        # a far promise: only what certainly comes after it is said
        ({"promised_on": NEXT_MONTH, "parts": [None], "state": JobState.ESTIMATE, "has_technician": False}, []),
        (
            {"promised_on": NEXT_MONTH, "parts": [date(2027, 1, 4)]},
            ["1 part is expected on Jan 4, 2027, 17 days after it."],
        ),
        # what holds it
        ({"state": JobState.ESTIMATE}, ["It still stands in Estimate."]),
        ({"state": JobState.WAITING_CUSTOMER}, ["It waits for the customer."]),
        ({"state": JobState.WAITING_WEATHER}, ["It waits for weather."]),
        ({"has_technician": False}, ["No technician is assigned."]),
        # hours left against days left: three days with today are 24 h for one person
        ({"estimated": Decimal(24)}, []),
        ({"estimated": Decimal(30), "worked": Decimal(6)}, []),
        (
            {"estimated": Decimal(30), "worked": Decimal("2.5")},
            [
                "27.5 h of the 30 h that the estimate names are left, and 3 days with today: more than 8 h a day "
                "for one person."
            ],
        ),
        (
            {"estimated": Decimal(9), "promised_on": TODAY, "is_all_estimated": False},
            [
                "It is promised for today and is not ready.",
                "At least 9 h of the 9 h that the estimate names are left, and 1 day with today: more than 8 h a day "
                "for one person.",
            ],
        ),
        ({"estimated": Decimal(9), "worked": Decimal(12)}, []),
        ({"estimated": Decimal(90), "promised_on": date(2026, 11, 15)}, ["The day passed 1 day ago."]),
    ],
)
def test_what_is_said_of_a_promise(facts: dict[str, Any], said: list[str]) -> None:
    assert risks(Facts(**{"state": JobState.IN_WORK, "promised_on": WEDNESDAY, **facts}), TODAY) == said
