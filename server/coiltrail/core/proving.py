"""After a repair: what is left to do until it counts as proved."""

from . import steps, verification
from .tongue import phrase

PROVED = 0.95  # probability that the repair holds at which the case may be closed
LIKELY_TO_HOLD = 0.9  # probability from which the car is driven without another look at idle. Estimate, from memory
STILL_AT_FAULT = 0.5  # a component above this is repaired before anything is proved


def steps_after_repair(diagnosis, fixed):
    """The steps that prove the repair, or that close the case; none while the search goes on.

    ``fixed``: what ``verification.fixed`` says.
    """
    case = diagnosis.case
    if case.status == "closed":
        return [steps.ask("report", phrase("Hand over the report"), 2, phrase("The case is closed."), "")]
    repaired = case.of_kind("repair")
    if not repaired:
        return []
    since = repaired[-1][0]
    later = [entry for moment, entry in case.counted if moment > since]
    if shows_a_miss(later) or verification.codes_after(case)["returned"] or _more_to_repair(diagnosis):
        return []
    kinds = [entry["kind"] for entry in later]
    had_codes = any(e["body"]["codes"] for _, e in case.of_kind("codes_read"))
    if had_codes and "codes_cleared" not in kinds:
        return [
            steps.ask(
                "clear",
                phrase("Clear the codes"),
                2,
                phrase("So that only what comes back counts."),
                "codes_cleared",
                {"how": "reader"},
                caution=steps.CAUTION_READINESS,
                tools=(("code_reader", "scan_tool"),),
            )
        ]
    if "road_test" not in kinds:
        return _look_again(case, since, fixed) + [
            steps.ask(
                "road",
                phrase("Drive it under what used to make it miss"),
                15,
                phrase("A repair is proved on the road, not in the driveway."),
                "road_test",
                caution=steps.CAUTION_LAMP,
            )
        ]
    if had_codes and "codes_read" not in kinds[kinds.index("road_test") :]:
        return [
            steps.ask(
                "read",
                phrase("Read the codes again"),
                4,
                phrase("What stays away is fixed; what returns or is new is told apart."),
                "codes_read",
                tools=(("code_reader", "scan_tool"),),
            )
        ]
    if fixed["p"] < PROVED:
        minutes = max(1, int(fixed["to_95"]) + 1)
        drive = steps.ask("drive_on", phrase("Drive on, {n} minutes", n=minutes), minutes, fixed["text"], "road_test")
        return [drive, _close(phrase("Not proved yet; close it with that said."))]
    return [_close(phrase("The drive was clean; note what is left for later."))]


def shows_a_miss(later):
    """Whether one of these entries shows that the engine misses."""
    for entry in later:
        body = entry["body"]
        if entry["kind"] == "road_test" and not verification.clean(body):
            return True
        if entry["kind"] == "check" and (body["check"], body.get("finding")) in SHOWS_A_MISS:
            return True
    return False


SHOWS_A_MISS = (
    ("drop", "none"),
    ("drop", "small"),
    ("misfire_counts", "some"),
    ("misfire_counts", "many"),
    ("wiggle", "misses"),
)


def _look_again(case, since, fixed):
    """The drop test of a cylinder that did not work before a doubtful repair and was not tried after it."""
    if fixed["p"] >= LIKELY_TO_HOLD:
        return []
    found = {}
    for moment, entry in case.of_kind("check"):
        body = entry["body"]
        if body["check"] == "drop" and body.get("cylinder") and body.get("finding"):
            found[body["cylinder"]] = (moment, body["finding"])
    again = [cylinder for cylinder in sorted(found) if found[cylinder][0] < since and found[cylinder][1] == "none"]
    why = phrase("It did no work before; whether it does now shows before anything is driven.")
    return [steps.check("drop", None, cylinder, 1, why) for cylinder in again]


def _more_to_repair(diagnosis):
    return any(
        diagnosis.standing(index)[1] and diagnosis.fault(index) >= STILL_AT_FAULT
        for index in range(len(diagnosis.model.components))
    )


def _close(why):
    return steps.ask("close", phrase("Close the case"), 3, why, "case_closed")
