"""The usual cautions of work on engines and boats. Common practice, no source; the maker's manual comes first."""

MANUAL_FIRST = (
    "The maker's current manual comes first, then local codes; leave licensed work to those who hold the license."
)
BATTERIES = (
    "Batteries give off hydrogen and their acid burns: wear eye protection, take off rings, keep sparks away, and "
    "break the ground connection first."
)
FUEL = (
    "Run the blower and sniff for fuel vapor before you connect a meter or start an engine; keep sparks away from fuel."
)
FUEL_PRESSURE = "Fuel under pressure goes through skin: relieve it as the manual says before you open a line."
HOT_COOLANT = "Hot coolant and exhaust burn: let the engine cool before you open a cap or touch a sensor."
ROTATING = "Keep hands, hair and clothes clear of belts, shafts and propellers while the engine runs or can be turned."
CRANKING = "Disable ignition and fuel before you crank, and make sure that nobody is near propeller or shaft."
CARBON_MONOXIDE = "Never run an engine in a closed space: carbon monoxide kills."
SHORT_CIRCUIT = "A battery gives enough current to weld a tool: insulate the probes, and fuse what you connect."
TANKS = (
    "No hot work and no ordinary lamp near an open fuel tank; close the tank and air the space before power is put on."
)
RAISED_BOAT = "Work under a raised boat or lower unit only when it is blocked; lifting gear alone does not count."
COMPRESSED_AIR = "Compressed air can turn the engine: lock the crankshaft and stand clear of the propeller."
DRIVEN = (
    "What is driven may start, move, spray or arc at once: know how you stop it, tell everybody aboard, and keep "
    "people clear of it and of what it moves."
)
PROTECTION = (
    "Alarms, limits and shutdowns protect the engine and those aboard: change one only as the maker's current manual "
    "allows, and tell the owner what it no longer guards."
)
EMISSIONS = (
    "Settings of fuel, air, ignition and speed may be part of what the engine is certified with: local law decides."
)
UNDER_WAY = "One person steers and keeps the lookout, another reads; hold the speed only where it is allowed and safe."
