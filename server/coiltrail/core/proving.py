"""After a repair: what is left to do until it counts as proved."""

from . import checks, code_memory, grading, provoking, steps, verification
from .tongue import phrase

PROVED = 0.95  # probability that the repair holds at which the case may be closed
STILL_AT_FAULT = 0.5  # a component above this is repaired before anything is proved


def steps_after_repair(diagnosis, fixed):
    """The steps that prove the repair, or that close the case; none while the search goes on.

    ``fixed``: what ``verification.fixed`` says.
    """
    case = diagnosis.case
    if case.status == "closed":
        closed = case.of_kind("case_closed")[-1][0]
        report = steps.ask("report", phrase("Hand over the report"), 2, phrase("The case is closed."), "")
        if _missed_since_closed(case, closed):
            why = phrase("It was found to miss since it was closed, which takes back that it is fixed.")
            return [steps.ask("reopen", phrase("Open the case again?"), 1, why, "case_reopened"), report]
        return [report]
    repaired = case.repairs()
    if not repaired:
        return []
    since = repaired[-1][0]
    later = [entry for moment, entry in case.counted if moment > since]
    after = verification.codes_after(case)
    # A set that was renewed is driven before anything else is looked for: of its parts none need have been suspected.
    renewed = repaired[-1][1]["body"].get("extent") == "all"
    if provoking.shows_a_miss(case, later) or after["returned"] or (not renewed and _more_to_repair(diagnosis)):
        return []
    kinds = [entry["kind"] for entry in later]
    had_codes = any(e["body"]["codes"] for _, e in case.of_kind("codes_read"))
    driven = "road_test" in kinds
    # Before codes are cleared rather than after: a cylinder that is unplugged sets one.
    parked = [] if driven else _still_dead(case, since)
    if (had_codes and "codes_cleared" not in kinds) or after["unclear"]:
        return parked + [steps.clear(phrase("So that only what comes back counts."))]
    if not driven:
        drive = steps.ask(
            "road",
            phrase("Drive it under what used to make it miss"),
            15,
            phrase("A repair is proved on the road, not in the driveway."),
            "road_test",
            how=provoking.drive_so(case),
            caution=steps.CAUTION_LAMP,
        )
        return parked + _still_wet(case) + [drive]
    if had_codes and "codes_read" not in kinds[kinds.index("road_test") :]:
        why = phrase(
            "A code that stays away speaks for the repair, the longer it was driven; one that returns, against."
        )
        return [steps.read_again(why)]
    if fixed["p"] < PROVED:
        minutes = max(1, int(fixed["to_95"]) + 1)
        if fixed["more_95"]:
            each = int(fixed["to_95"] / fixed["more_95"] + 0.5)
            again = phrase("Drive it again, on another occasion")
            how = provoking.drive_so(case) + [phrase("The owner may drive it: call back, and record what it did.")]
            drive = steps.ask("drive_on", again, each, fixed["text"], "road_test", how=how)
            return [drive, _close(phrase("Not proved yet; close it with that said."))]
        title = phrase("Drive on, {n} minute|Drive on, {n} minutes", n=minutes)
        drive = steps.ask("drive_on", title, minutes, fixed["text"], "road_test")
        return [drive, _close(phrase("Not proved yet; close it with that said."))]
    return [_close(phrase("The drive was clean; note what is left for later."))]


def _missed_since_closed(case, closed):
    repaired = case.repairs()
    codes_came = code_memory.misses_since(case, repaired[-1][0] if repaired else closed)
    later = [entry for moment, entry in case.counted if moment > closed]
    return provoking.shows_a_miss(case, later) or any(moment > closed for moment in codes_came)


def _still_dead(case, since):
    """The test of each cylinder that did not work before the repair: it shows parked, in a minute."""
    found = {}
    for moment, entry in case.of_kind("check"):
        body = entry["body"]
        if body["check"] == "drop" and body.get("cylinder") and grading.finding_of(case, entry):
            found[body["cylinder"]] = (moment, grading.finding_of(case, entry))
    again = [cylinder for cylinder in sorted(found) if found[cylinder][0] < since and found[cylinder][1] == "none"]
    why = phrase("It made no power before; whether it does now shows before anything is driven.")
    return [steps.check("drop", None, cylinder, checks.minutes_of("drop"), why) for cylinder in again]


def _still_wet(case):
    """The test of each place where water made it miss before the repair."""
    wetted = verification.wetted(case)
    why = phrase("Water made it miss there before: whether it still does is seen before anything is driven.")
    minutes = checks.minutes_of("spray")
    dry = [cylinder for cylinder in sorted(wetted) if wetted[cylinder] is None]
    return [steps.check("spray", None, cylinder, minutes, why) for cylinder in dry]


def _more_to_repair(diagnosis):
    return any(
        diagnosis.standing(index)[1] and diagnosis.fault(index) >= STILL_AT_FAULT
        for index in range(len(diagnosis.model.components))
    )


def _close(why):
    return steps.ask("close", phrase("Close the case"), 3, why, "case_closed")
