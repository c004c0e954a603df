"""Which coils are off now, so that what lies under them is at hand.

Only where a coil sits on its plug: there the plug, its boot and the cylinder are reached by way of the coil.
"""

from . import entries

# Checks for which the coil comes off. One coil after the other: the one before is taken to be back in its place.
COIL_COMES_OFF = (
    "coil_look",
    "boot_resistance",
    "coil_secondary",
    "spark",
    "plug_look",
    "plug_gap",
    "compression",
    "compression_wet",
    "leak_down",
)
# Checks that are made with a coil off as well as on. All others run the engine, so that every coil is back on.
EITHER_WAY = (
    "connector_look",
    "coil_primary",
    "coil_supply",
    "coil_pulse",
    "injector_connector",
    "injector_resistance",
    "injector_pulse",
    "fuel_level",
    "fuel_leak",
)
ENGINE_RUNS = ("road_test", "shake_measured", "repair")  # a repair is followed by its test


def coils_off(case):
    """Positions whose coil is off now: the one that was looked at last, and those that were moved off the engine."""
    off = []
    if not case.engine.boots_move_with_coil:
        return off
    for _, entry in case.counted:
        kind, body = entry["kind"], entry["body"]
        if kind in ENGINE_RUNS or (kind == "check" and body["check"] not in COIL_COMES_OFF + EITHER_WAY):
            off = []
        elif kind == "check" and body["check"] in COIL_COMES_OFF:
            off = [position_of(case.engine, body.get("place"), body.get("cylinder"))]
        elif kind == "parts_moved" and "before_arrival" not in (entry.get("when") or {}):
            taken = [entries.split_place(move["from"]) for move in body["moves"] if move["to"] == "off"]
            off = [position for kind_of_part, position in taken if kind_of_part == "coil"]
    return off


def position_of(engine, place, cylinder=None):
    """The coil position by which a place, or a cylinder, is reached; None where there is none."""
    kind, position = entries.split_place(place)
    if kind == "injector" or (kind is None and cylinder is None):
        return None
    return position if kind == "coil" else engine.coil_of(position or cylinder)
