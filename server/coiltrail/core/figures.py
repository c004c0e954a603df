"""What the groups of numbers that a verdict rests on are called (``trust``)."""

from . import checks, evidence, faults
from .tongue import phrase

PROFILE_WORDS = {
    "dead": "a dead part",
    "breaks_down": "a coil or boot that breaks down",
    "worn": "a worn plug or a broken lead",
    "contact": "poor contact",
    "meters_badly": "an injector that meters badly",
    "leaks_by": "low compression",
    "air_here": "an air leak at its runner",
    "unlisted": "something not listed",
    "air_everywhere": "unmetered air",
    "starved": "fuel starvation",
    "rough": "a fault of the whole engine",
    "flashes_over": "a flash-over at cap or rotor",
}
PRIOR_WORDS = {
    "gasket": "the head gasket",
    "unlisted": "something not listed",
    "unmetered_air": "unmetered air",
    "crossed": "crossed leads",
}
ENTRY_WORDS = {
    "complaint": "the complaint",
    "road_test": "a road test",
    "codes_read": "a misfire code",
    "part_fate": "a bench test",
}
# Signs that no check has to itself.
SIGN_WORDS = {
    "circuit_code": "a code of a coil's circuit",
    "injector_code": "a code of an injector's circuit",
    "false_code": "a misfire code that may be false",
    "oily_well": "oil in a plug well",
    "track": "a track of the spark along a boot",
    "tracked_plug": "a track of the spark along a plug",
    "wet_plug": "a plug wet with fuel",
    "oily_plug": "an oily plug",
    "damp_cap": "moisture in a distributor cap",
    "burnt_rotor": "burnt contacts of a distributor",
    "leak_across": "a leak to the next cylinder or the coolant",
    "lean_idle": "a mixture lean at idle",
    "lean_load": "a mixture lean under load",
    "lean_both": "a mixture lean at idle and at speed",
    "rich": "a rich mixture",
    "lean_code": "a lean code",
    "rich_code": "a rich code",
    "low_fuel_code": "a code of an empty tank",
    "cam_code": "a code of the cam timing",
    "fuel_code": "a code of the fuel delivery",
    "air_code": "a code of an air leak",
    "recirculation_code": "a code of recirculation or purge",
    "voltage_code": "a code of the system voltage",
    "crank_code": "a code of the crank signal",
}


def words(sort, name):
    """The group ``sort`` ("prior", "profile", "entry" or "sign") called ``name``, in words."""
    if sort == "prior":
        return phrase(
            "how often it is {part}", part=phrase(PRIOR_WORDS.get(name, "the " + faults.BY_KIND[name]["label"]))
        )
    if sort == "profile":
        return phrase("how a cylinder runs with {fault}", fault=phrase(PROFILE_WORDS.get(name, name.replace("_", " "))))
    if sort == "entry" and name in ENTRY_WORDS:
        return phrase("what {entries} is worth", entries=phrase(ENTRY_WORDS[name]))
    for check, (sign, _) in sorted(evidence.CHECK_SIGNS.items()):
        if sign == name:
            name = check
    if name in checks.BY_KEY:
        return phrase("what the check '{check}' is worth", check=phrase(checks.BY_KEY[name]["label"]))
    return phrase("what {entries} is worth", entries=phrase(SIGN_WORDS[name]))
