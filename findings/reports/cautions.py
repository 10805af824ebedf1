"""The words that every report carries: what is not inspected unless somebody says so, and the usual cautions.

Common practice, no source: they remind, and defer to the maker's manual, the local codes and licensed people.
"""

NOT_INSPECTED = (
    "Hull, structure, through-hull fittings and underwater gear",
    "Inside of engines, gearboxes and fuel tanks: nothing was opened beyond what the work done says",
    "Electrical system beyond the circuits named in this report",
    "Fuel and exhaust systems beyond what is named in this report",
    "Steering, controls, bilge pumps, fire fighting and life-saving equipment",
)

CAUTIONS = (
    "Fuel vapor: before starting a gasoline engine, open the space, smell for fuel and run the bilge blower "
    "as the maker of the boat says.",
    "Carbon monoxide: it has no smell and kills. Keep exhausts clear and cabins aired, and people away from "
    "the transom while an engine runs.",
    "Rotating parts: stop the engine and take out the key before reaching near belts, shafts or propellers.",
    "Batteries: they give off explosive gas and hold enough current to burn. No sparks, no flames, tools "
    "insulated, negative off first.",
    "Fuel under pressure: lines stay under pressure after stopping, and a fine jet goes through skin. Relieve"
    " the pressure first.",
    "Hot coolant: do not open a cooling system before it has cooled down.",
    "Raised boats: never work under a boat that hangs from a hoist or stands on stands that were not set for "
    "its weight.",
    "Cleared codes are no repair, and a code that stays away is no proof that its cause is gone.",
    "The current manual of the maker, the local codes and the law come before this report. Leave fuel, gas, "
    "shore power and structure to people licensed for them.",
)
