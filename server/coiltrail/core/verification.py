"""Is it really fixed, and how much longer to drive.

Misses before the repair come as a Poisson stream of unknown rate with a Gamma posterior (shape: misses seen
plus one half, Jeffreys' prior; rate: minutes watched). If the repair did not hold, the chance of a clean
drive of t minutes is then (T / (T + t)) ** shape, the negative binomial's zero term.
"""

from . import canonical, faults

# What a drive without counts tells of the rate before, as (misses, minutes). Estimate, from memory.
FELT_AS = {"always": (60.0, 1.0), "sometimes": (2.0, 5.0)}
DEAD_CYLINDER_AS = (300.0, 1.0)  # a cylinder that does not work misses every time; 300 a minute at 600 rpm
COMPLAINT_AS = (1.0, 5.0)  # nothing but the complaint
LEAST_DOUBT = 0.02  # a repair may have hit the wrong thing, however sure; estimate


def fixed(case, diagnosis):
    """How likely the repair holds: ``{"p", "driven", "to_95", "to_99", "text"}``, minutes; None before a repair."""
    repairs = case.of_kind("repair")
    if not repairs:
        return None
    last = repairs[-1][0]
    misses, minutes = _before(case, repairs[0][0])
    since = [e["body"] for m, e in case.of_kind("road_test") if m > last]
    driven = sum(body["minutes"] for body in since if clean(body))
    prior = _prior(case, diagnosis, repairs)
    if any(not clean(body) for body in since):
        return {
            "p": 0.0,
            "driven": driven,
            "to_95": None,
            "to_99": None,
            "text": "It still misses: this repair was not it, or not all.",
        }
    shape = misses + 0.5
    missed_it = (minutes / (minutes + driven)) ** shape
    p = prior / (prior + (1.0 - prior) * missed_it)
    to = [_minutes_to(sure, prior, shape, minutes, driven) for sure in (0.95, 0.99)]
    return {"p": p, "driven": driven, "to_95": to[0], "to_99": to[1], "text": _text(p, driven, to)}


def codes_after(case):
    """Codes once the repair stands: those that came back, those that are new, those left for later."""
    repairs = case.of_kind("repair")
    last = repairs[-1][0] if repairs else -1
    before = {c["code"] for m, e in case.of_kind("codes_read") if m <= last for c in e["body"]["codes"]}
    cleared = [m for m, _ in case.of_kind("codes_cleared") if m > last]
    after = set()
    for m, e in case.of_kind("codes_read"):
        if repairs and m > (cleared[-1] if cleared else last):
            after.update([c["code"] for c in e["body"]["codes"]])
    return {
        "returned": sorted(before & after),
        "new": sorted(after - before),
        "gone": sorted(before - after) if after or cleared else [],
    }


def clean(body):
    return body["felt"] == "none" and not any(row["count"] for row in body.get("counts") or ())


def _before(case, moment):
    """Misses and minutes watched before the repair: the most telling record there is."""
    found = []
    for m, entry in case.counted:
        body = entry["body"]
        if m >= moment:
            break
        if entry["kind"] == "road_test" and body.get("counts") and body["minutes"] > 0:
            found.append((float(sum(row["count"] for row in body["counts"])), float(body["minutes"])))
        elif entry["kind"] == "road_test" and body["felt"] in FELT_AS:
            found.append(FELT_AS[body["felt"]])
        elif entry["kind"] == "check" and body["check"] == "drop" and body.get("finding") == "none":
            found.append(DEAD_CYLINDER_AS)
    counted = [pair for pair in found if pair not in FELT_AS.values() and pair != DEAD_CYLINDER_AS]
    return (counted or found or [COMPLAINT_AS])[-1]


def _prior(case, diagnosis, repairs):
    """Chance that what was repaired was the fault and the repair is sound, by the posterior."""
    model = diagnosis.model
    missed = 1.0
    for at, entry in repairs:
        body = entry["body"]
        for index, component in enumerate(model.components):
            mended = component.name == body.get("component")
            removed = component.part is not None and component.part == _worked_on(case, at, entry)
            if mended or removed:
                missed *= 1.0 - diagnosis.ever(index)
    sound = 1.0 - (faults.NEW_PART_BAD if repairs[-1][1]["body"]["work"] == "replaced" else faults.MENDED_BAD)
    return min(1.0 - LEAST_DOUBT, max(0.05, (1.0 - missed) * sound))


def _worked_on(case, moment, entry):
    """The part that a repair cleaned or took out: as named, or the one whose trail ends there by this entry."""
    if entry["body"]["work"] != "replaced":
        return case.trails.occupant(entry["body"].get("place") or "", moment)
    if entry["body"].get("removed"):
        return entry["body"]["removed"]
    kind = (entry["body"].get("place") or "").partition(".")[0]
    for part in case.trails.in_order():
        for _, place, by in part.trail:
            if by == entry["id"] and place == "off" and part.kind == kind:
                return part.id
    return None


def _minutes_to(sure, prior, shape, minutes, driven):
    """Clean minutes still to drive until the repair holds with probability ``sure``; 0.0 when it does."""
    wanted = prior * (1.0 - sure) / ((1.0 - prior) * sure)
    if wanted >= 1.0:
        return 0.0
    return max(0.0, minutes * (wanted ** (-1.0 / shape) - 1.0) - driven)


def _text(p, driven, to):
    if driven <= 0:
        return "Not driven yet: a repair is proved on the road."
    if p >= 0.99:
        return "Clean for %s minutes: fixed, as far as can be told." % canonical.number(driven)
    return "Clean for %s minutes: not proved yet; %d more for 95 %%, %d for 99 %%." % (
        canonical.number(driven),
        _up(to[0]),
        _up(to[1]),
    )


def _up(minutes):
    return int(minutes) + (1 if minutes > int(minutes) else 0)


def percent(p):
    """A probability in words that do not promise too much."""
    if p > 0.99:
        return "more than 99 in 100"
    return "about %d in 100" % round(100 * p)
