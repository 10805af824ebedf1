"""What the numbers of tanks, places and gears mean.

Source: the open canboat database (Apache-2.0), docs/canboat.json, version 8.0.0-beta3 (2026), lookups TANK_TYPE,
TEMPERATURE_SOURCE, PRESSURE_SOURCE and GEAR_STATUS; the words are our own.
"""

FLUIDS: tuple[str, ...] = ("fuel", "fresh water", "gray water", "live well", "oil", "black water")
"""What is in a tank, by number."""

TEMPERATURE_PLACES: tuple[str, ...] = (
    "sea",
    "outside",
    "inside",
    "engine room",
    "main cabin",
    "live well",
    "bait well",
    "refrigerator",
    "heating system",
    "dew point",
    "apparent wind chill",
    "theoretical wind chill",
    "heat index",
    "freezer",
    "exhaust gas",
    "shaft seal",
)
"""Where a temperature is taken, by number."""

PRESSURE_KINDS: tuple[str, ...] = (
    "atmosphere",
    "water",
    "steam",
    "compressed air",
    "hydraulic",
    "filter",
    "altimeter setting",
    "oil",
    "fuel",
)
"""What a pressure is of, by number."""

GEARS: tuple[str, ...] = ("forward", "neutral", "reverse")
"""The gear of a transmission, by number; 3 says that it is not known."""
