"""What comes before anything is weighed: leaking fuel, an empty tank, what the log leaves open, codes not yet read."""

from . import checks, code_memory, faults, grading, provoking, steps
from .tongue import phrase

ALONE = ("stop_leak", "check/fuel_leak/engine", "fill")  # steps beside which no other is proposed
MINUTES_A_GAP = 3  # to set one, the plug being out. Estimate, from memory
SPENT_PLUGS = ("worn", "oiled", "ash", "cracked", "tracked")  # looks of a plug whose gap is not worth setting


def first_of_all(case):
    """Leaking fuel before anything sparks; fuel level where a code says so."""
    looked = _latest(case, "fuel_leak")
    if looked == "wet":
        return [
            steps.ask(
                "stop_leak",
                phrase("Stop the fuel leak"),
                30,
                phrase("Nothing else is safe before that."),
                "repair",
                {"work": "other", "note": phrase("Fuel leak")},
                caution=checks.CAUTION_LEAK,
            )
        ]
    found = []
    complaint = case.last("complaint")
    if complaint and "smell" in (complaint["body"].get("symptoms") or ()) and looked is None:
        why = phrase("It smells of fuel: see that none leaks before anything sparks or is cranked.")
        found.append(steps.check("fuel_leak", None, None, checks.minutes_of("fuel_leak"), why))
    told = [read["code"] for _, entry in case.of_kind("codes_read") for read in entry["body"]["codes"]]
    if "P0313" in told and _latest(case, "fuel_level") is None:
        why = phrase("A code says the fuel was low when it missed: settle that first.")
        found.append(steps.check("fuel_level", None, None, checks.minutes_of("fuel_level"), why))
    if _latest(case, "fuel_level") == "low" and not _driven_since(case, "fuel_level"):
        why = phrase("The tank is nearly empty: an engine that draws air misses without a fault.")
        found.append(steps.ask("fill", phrase("Fill up, then drive it"), 20, why, "road_test"))
    return found


def _driven_since(case, check):
    made = [m for m, entry in case.of_kind("check") if entry["body"]["check"] == check]
    return any(moment > made[-1] for moment, _ in case.of_kind("road_test"))


def _latest(case, check):
    """The latest finding of a check on the engine as a whole since the last repair, or None."""
    repaired = [moment for moment, _ in case.of_kind("repair")]
    found = [
        entry["body"].get("finding")
        for moment, entry in case.of_kind("check")
        if entry["body"]["check"] == check and (not repaired or moment > repaired[-1])
    ]
    return found[-1] if found else None


def unsafe(case):
    """Says of a check whether it must not be made now: over leaking fuel, or a smell of it not looked into."""
    first = [step["key"] for step in first_of_all(case)]
    vapour = "check/fuel_leak/engine" in first or "stop_leak" in first
    return lambda check: vapour and checks.BY_KEY[check]["sparks"]


def questions(case):
    """What the log leaves open is asked before anything is concluded from it."""
    return [
        steps.ask(
            "question",
            question["text"],
            1,
            phrase("What follows depends on it; not known is an answer too."),
            "answered",
            {"question": question["id"]},
        )
        for question in case.trails.questions[:1]
    ]


def gaps_to_set(case):
    """The step that sets plug gaps that were measured wrong: the plugs are out, and a gap costs nothing to set."""
    found = {}  # place -> (moment, finding) of what the latest look at that plug showed
    for moment, entry in case.of_kind("check"):
        place, finding = entry["body"].get("place"), grading.finding_of(case, entry)
        if entry["body"]["check"] == "plug_gap" or finding in SPENT_PLUGS:
            found[place] = (moment, finding)
    wrong = [
        place
        for place in sorted(found)
        if found[place][1] in ("wide", "narrow") and not _changed_since(case, place, found[place][0])
    ]
    if not wrong:
        return []
    numbers = steps.listed(sorted([int(place.partition(".")[2]) for place in wrong]))
    return [
        steps.ask(
            "gap/" + wrong[0],
            phrase("Set the plug gap: {numbers}", numbers=numbers),
            MINUTES_A_GAP * len(wrong),
            phrase("A wrong gap is put right before anything is judged by that plug; record it for each."),
            "repair",
            {"work": "mended", "place": wrong[0]},
            how=[
                phrase("To the maker's gap; bend the side electrode alone, never against the insulator."),
                phrase("Fine electrodes that cannot be set: replace the plug."),
            ],
            caution=steps.CAUTION_TORQUE,
        )
    ]


def _changed_since(case, place, moment):
    """Whether the plug at a place was worked on, or another came there, since."""
    repaired = [m for m, entry in case.of_kind("repair") if entry["body"].get("place") == place]
    now = case.trails.occupant(place, len(case.log))
    return any(m > moment for m in repaired) or case.trails.occupant(place, moment) != now


def missed_since_the_last_change(case):
    """Whether it has missed since something was last moved or repaired."""
    changed = [moment for moment, entry in case.counted if entry["kind"] in ("parts_moved", "repair")]
    if not changed:
        return False
    later = [entry for moment, entry in case.counted if moment > changed[-1]]
    return provoking.shows_a_miss(case, later) or bool(code_memory.misses_since(case, changed[-1]))


def see_whether_it_is_gone(diagnosis):
    """The part at fault is off the engine, or a connector makes contact since it was pressed on again."""
    drive = steps.ask(
        "road",
        phrase("Drive it under what used to make it miss"),
        15,
        phrase("The miss may be gone since something was taken off or pressed on again."),
        "road_test",
        how=provoking.drive_so(diagnosis.case),
        caution=steps.CAUTION_LAMP,
    )
    found = [drive]
    for blamed, _ in diagnosis.listed[:1]:
        for index in blamed:
            kind = faults.BY_KIND[diagnosis.model.components[index].kind]
            if diagnosis.standing(index)[1] and kind["mend"] and diagnosis.fault(index) < diagnosis.ever(index):
                why = phrase("It makes contact again for now; what was loose once comes loose again.")
                found.append(steps.repair(diagnosis, index, kind["minutes"], why))
    return found


def codes_unread(case, spent):
    """Whether codes can be read and were not. ``spent``: a ``costs.Costs``."""
    return not case.of_kind("codes_read") and (spent.has("code_reader") or spent.has("scan_tool"))


def read_codes():
    """The step that reads the codes."""
    return steps.ask(
        "codes",
        phrase("Read the codes and keep them"),
        4,
        phrase("They may name the cylinder; unplugging for a drop test sets others, clearing takes them away."),
        "codes_read",
        needs=phrase("code reader; without one go on"),
        tools=(("code_reader", "scan_tool"),),
    )
