"""Nominal values of the electrical trade, with their sources: what a form starts with, to be edited.

No calculation imports this: tables and limits are handed in, and the maker's for the battery or engine come first.
"""

from engineering.electrical.charging import ChargingWindow
from engineering.electrical.load_test import LoadTable
from engineering.electrical.state_of_charge import GravityCorrection, GravityTable, RestTable

_FAHRENHEIT_80_C = (80 - 32) / 1.8
_FAHRENHEIT_77_C = (77 - 32) / 1.8
_PER_10_F = 0.18
"""From a correction per 10 °F to one per °C."""

FLOODED = RestTable(
    points=((12.65, 100), (12.45, 75), (12.24, 50), (12.06, 25), (11.89, 0)),
    reference_c=_FAHRENHEIT_80_C,
    volts_per_c=0.024 * _PER_10_F,
    source="battery makers' FAQ table, flooded, at 80 °F; ±0.024 V per 10 °F (common practice)",
)
AGM = RestTable(
    points=((12.85, 100), (12.55, 75), (12.25, 50), (11.95, 25), (11.65, 0)),
    reference_c=_FAHRENHEIT_77_C,
    volts_per_c=None,
    source="a battery maker's article, AGM",
)
AGM_HIGHER = RestTable(
    points=((13.0, 100), (12.7, 75), (12.45, 50), (12.15, 25)),
    reference_c=_FAHRENHEIT_77_C,
    volts_per_c=None,
    source="middle of the ranges in a power-sports battery maker's owner's manual, AGM",
)

FLOODED_GRAVITY = GravityTable(
    points=((1.265, 100), (1.225, 75), (1.190, 50), (1.155, 25), (1.120, 0)),
    source="battery makers' FAQ table, flooded, at 80 °F (common practice)",
)
GRAVITY_80_F = GravityCorrection(
    _FAHRENHEIT_80_C,
    0.004 * _PER_10_F,
    "0.004 per 10 °F from 80 °F: a vehicle maker's service manual table (2002), battery FAQ table (common practice)",
)
GRAVITY_77_F = GravityCorrection(
    _FAHRENHEIT_77_C, 0.003 * _PER_10_F, "0.003 per 10 °F from 77 °F: a traction-battery maker's support article"
)
CELL_SPREAD = 0.050
"""Between the cells of one battery, at most. Common practice, from memory."""

LOAD_TEST = LoadTable(
    points=((20, 9.6), (16, 9.5), (10, 9.4), (4, 9.3), (-1, 9.1), (-7, 8.9), (-12, 8.7), (-18, 8.5)),
    source="three vehicle makers' service manuals, 2003 to 2009 (common practice)",
)

CHARGING_12_V = ChargingWindow(
    13.8,
    14.8,
    25.0,
    -4.0,
    "13.8 to 14.8 V at 25 °C, −3 to −5 mV per °C and cell: from memory, the middle of the change",
)

CRANKING_POSITIVE_V = 0.5
"""Battery post to starter terminal, cranking, at most. US Army TM 5-3805-254-14P-2, and a truck maker's manual."""
CRANKING_GROUND_V = 0.2
"""Battery post to starter case, cranking, at most. Common practice: 0.2 to 0.3 V."""
CONNECTION_V = 0.1
"""One connection, at most. Common practice: 0.1 to 0.2 V, starter training text."""

CRITICAL_DROP_PERCENT = 3.0
"""Panel feeders, bilge blowers, navigation lights, electronics. Marine catalogs after ABYC E-11 (common practice)."""
OTHER_DROP_PERCENT = 10.0
"""Other circuits. Same source."""
