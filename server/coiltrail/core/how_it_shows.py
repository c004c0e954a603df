"""How a miss shows: in the driveway, by the counters, or on the road alone."""

from . import evidence, grading, provoking
from .tongue import phrase

# Checks of the running engine that are made parked, at idle: a miss that comes only on the road need not show in them.
PARKED = ("drop", "misfire_counts", "wiggle", "spark", "injector_sound", "rpm_effect")
# Checks for air that leaks in, which shows at idle most (``faults.PROFILES``): not where it misses under load alone.
OF_A_LEAK = ("runner_leak", "runner_gas", "air_leak", "intake_gas")
NOT_AT_IDLE = ("sometimes", "load", "cold", "hot", "wet")  # circumstances of a miss that need not show in a driveway


def circumstances(case):
    """When it misses by the latest complaint."""
    complaint = case.last("complaint")
    return (complaint["body"].get("circumstances") or ()) if complaint else ()


def comes_and_goes(case):
    """Whether by the complaint it need not miss at idle."""
    when = circumstances(case)
    return any(w in when for w in NOT_AT_IDLE) and "always" not in when


def seen_by(case, before):
    """What showed the miss before that moment: "drop", "misfire_counts" or "road"; else what would by the complaint."""
    found = "road" if comes_and_goes(case) else "drop"
    for moment, entry in case.counted:
        if moment >= before:
            break
        if entry["kind"] == "road_test" and not provoking.clean(entry["body"]):
            found = "road"
        elif entry["kind"] == "check" and entry["body"]["check"] in evidence.RUNNING:
            if (entry["body"]["check"], grading.finding_of(case, entry)) in provoking.SHOWS_A_MISS:
                driven = "load" in (entry["body"].get("conditions") or ())
                found = "road" if driven else entry["body"]["check"]
    return found


def counts_for_little(case, check):
    """Whether a good result of a check, made parked, would say little of a miss that was seen on the road alone."""
    return check in PARKED and comes_and_goes(case) and seen_by(case, len(case.log)) == "road"


def water_tells(case):
    """Whether it misses in the wet, so that water on one place may show where."""
    return "wet" in circumstances(case) or "wet" in provoking.provoking(case)


def looks_elsewhere(case, check):
    """Whether a check is for what shows at idle most, where it misses under load alone."""
    return check in OF_A_LEAK and "load" in provoking.provoking(case)


def when_it_counts(case):
    """Under which condition such a check counts, in a sentence."""
    when = provoking.in_words(case)
    if not when:
        return phrase("It comes and goes: a good result while it does not miss counts for little.")
    return phrase("It misses {when}: a good result otherwise counts for little.", when=when)


def conditions_on_the_road(case):
    """Conditions of a drive under what provokes the miss, as far as the tables tell them apart."""
    return ("load", "wet") if "wet" in circumstances(case) else ("load",)
