"""Is it really fixed, and how much longer to drive.

Misses before the repair come as a Poisson stream of unknown rate with a Gamma posterior (shape: misses seen
plus one half, Jeffreys' prior; rate: minutes watched). If the repair did not hold, the chance of a clean
drive of t minutes is then (T / (T + t)) ** shape, the negative binomial's zero term. A fault that comes now and
then need not come on a drive at all, however long it is: of n drives it comes on k with the binomial chance of k, and
only their minutes count. That the repair hit the cause is judged by what was known before it was driven, so that no
clean minute counts twice.
"""

from . import canonical, code_memory, codes, entries, faults, grading, provoking, readings, whereabouts
from .gradually import finish
from .tongue import phrase

# What a drive without counts tells of the rate before, as (misses, minutes). Estimate, from memory.
FELT_AS = {"always": (60.0, 1.0), "sometimes": (2.0, 5.0)}
DEAD_CYLINDER_AS = (300.0, 1.0)  # a cylinder that does not work misses every time; 300 a minute at 600 rpm
COMPLAINT_AS = (1.0, 5.0)  # nothing but the complaint
# Drives with and without a miss, added to those before the repair, of a fault that comes now and then by the complaint:
# it shows on three drives of five. Estimate, from memory
SHOWS = (3.0, 2.0)
SUCH_A_DRIVE = 15.0  # minutes that a further drive is taken to last at least. Common practice, no source
MOST_DRIVES = 20  # no more are asked for
LEAST_DOUBT = 0.02  # a repair may have hit the wrong thing, however sure; estimate
LEAST_TRUST = 0.05  # a repair may have hit the right thing, however unlikely; estimate
# Water on the place where it made the engine miss before, and no miss: how often that is so although the repair did not
# hold. Estimate, from memory
DRY_BY_CHANCE = 0.1
MOST_SURE = 0.999  # no drive proves more, since misses come in spells; estimate

# Tests that clearing codes sets back (SAE J1979 / ISO 15031-5, from memory); those of misfire, fuel system and
# components run all the time and are back at once.
READINESS = ("catalyst", "evaporative system", "oxygen sensors", "sensor heaters", "exhaust gas recirculation")


def fixed(case, diagnosis):
    """How likely the repair holds; None before a repair.

    ``{"p", "driven", "drives", "uncounted", "sprayed", "to_95", "to_99", "shows", "more_95", "more_99", "text"}``:
    ``driven`` clean minutes under the condition that used to provoke the miss, on ``drives`` drives, ``uncounted``
    clean minutes under another, ``sprayed`` the cylinders where water made it miss before the repair and makes it miss
    no more, ``to_95`` minutes still to drive until the repair holds with 95 % (None: it still misses). Of a fault that
    comes now and then ``shows`` is the chance that it would have shown on a drive, and ``more_95`` how many more drives
    these minutes are; else None.
    """
    return finish(fixing(case, diagnosis))


def fixing(case, diagnosis):
    """The same in steps (``gradually``)."""
    repairs = case.repairs()
    if not repairs:
        return None
    first, last = repairs[0][0], repairs[-1][0]
    since = [e["body"] for m, e in case.of_kind("road_test") if m > last]
    clean = [m for m, e in case.of_kind("road_test") if m > last and provoking.clean(e["body"])]
    found = provoking.shows_a_miss(case, [e for m, e in case.of_kind("check") if clean and m > clean[-1]])
    found = found or code_memory.misses_since(case, last)
    provoked = provoking.provoking(case, first)
    counting, others = _counting(since, provoked)
    driven, uncounted = [sum([body["minutes"] for body in bodies]) for bodies in (counting, others)]
    told = {"driven": driven, "drives": len(counting), "uncounted": uncounted}
    told["sprayed"] = holds_water(case)
    told.update({"shows": None, "more_95": None, "more_99": None})
    if found or any(not provoking.clean(body) for body in since):
        told = dict(told, p=0.0, to_95=None, to_99=None)
        return dict(told, text=in_words(case, told))
    prior = yield from _prior(case, diagnosis, repairs)
    if told["sprayed"]:
        prior = prior / (prior + (1.0 - prior) * DRY_BY_CHANCE)
    misses, minutes = _before(case, first)
    shape = misses + 0.5
    if now_and_then(case):
        told["shows"] = _shows(case, first, provoked)
        each = max(SUCH_A_DRIVE, driven / max(1, len(counting)))
        p = holds(prior, shape, minutes, driven, len(counting), told["shows"])
        for name, sure in (("95", 0.95), ("99", 0.99)):
            told["more_" + name] = _drives_to(sure, prior, shape, minutes, driven, len(counting), told["shows"], each)
            told["to_" + name] = told["more_" + name] * each
        told["p"] = p
        return dict(told, text=in_words(case, told))
    to = [minutes_to(sure, prior, shape, minutes, driven) for sure in (0.95, 0.99)]
    told.update({"p": holds(prior, shape, minutes, driven), "to_95": to[0], "to_99": to[1]})
    return dict(told, text=in_words(case, told))


def clean_drives(case):
    """Bodies of the clean drives since the last repair: those that count, and those under another condition."""
    repairs = case.repairs()
    if not repairs:
        return [], []
    since = [entry["body"] for moment, entry in case.of_kind("road_test") if moment > repairs[-1][0]]
    return _counting(since, provoking.provoking(case, repairs[0][0]))


def _counting(bodies, provoked):
    clean = [body for body in bodies if provoking.clean(body)]
    return (
        [body for body in clean if not _other_condition(body, provoked)],
        [body for body in clean if _other_condition(body, provoked)],
    )


def not_counting(case, others):
    """That the clean minutes of drives under another condition do not count, and why; "" where there are none."""
    minutes = sum([body["minutes"] for body in others])
    if not minutes:
        return ""
    provoked = provoking.provoking(case, case.repairs()[0][0])
    driven = {each for body in others for each in body.get("conditions") or ()}
    how = [each for each in sorted(driven) if provoking.OPPOSITES.get(each) in provoked]
    return phrase(
        "The {minutes} minute {how} does not count: it used to miss {when}."
        "|The {minutes} minutes {how} do not count: it used to miss {when}.",
        n=minutes,
        minutes=canonical.number(minutes),
        how=provoking.listed(how),
        when=provoking.listed(provoked),
    )


def wetted(case):
    """Cylinders at which water made it miss before a repair there: {cylinder: finding when sprayed since, or None}."""
    repaired, found = {moment for moment, _ in case.repairs()}, {}
    for moment, entry in case.of_kind("check"):
        cylinder = entry["body"].get("cylinder")
        if entry["body"]["check"] == "spray" and cylinder in case.engine.numbers:
            found.setdefault(cylinder, []).append((moment, grading.finding_of(case, entry)))
    told = {}
    for cylinder in sorted(found):
        mended = [m for m in case.trails.changes[cylinder] if m in repaired]
        before = [finding for m, finding in found[cylinder] if mended and m < mended[-1]]
        since = [finding for m, finding in found[cylinder] if mended and m > mended[-1]]
        if before[-1:] == ["misses"]:
            told[cylinder] = since[-1] if since else None
    return told


def holds_water(case):
    """The cylinders at which water made it miss before the repair, and makes it miss no more."""
    found = wetted(case)
    return [cylinder for cylinder in sorted(found) if found[cylinder] == "steady"]


def now_and_then(case):
    """Whether the fault comes now and then by the latest complaint."""
    complaint = case.last("complaint")
    when = (complaint["body"].get("circumstances") or ()) if complaint else ()
    return "sometimes" in when and "always" not in when


def _shows(case, moment, provoked):
    """Chance that a fault which comes now and then shows on a drive under what provokes it."""
    missed, clean = SHOWS
    for m, entry in case.of_kind("road_test"):
        if m < moment and not _other_condition(entry["body"], provoked):
            if provoking.clean(entry["body"]):
                clean += 1.0
            else:
                missed += 1.0
    return missed / (missed + clean)


def in_words(case, told):
    """``text`` of what ``fixed`` gives, in the language spoken; what was kept without its numbers, in its own words."""
    if "to_95" not in told or "uncounted" not in told:
        return told["text"]
    if told["to_95"] is None:
        return phrase("It still misses: this repair was not it, or not all.")
    text = _text(told)
    if told.get("sprayed"):
        water = phrase(
            "Water where it made it miss before (cylinder {numbers}) does so no more: a repair that did not hold "
            "would have shown {n} times in 10 (estimate).",
            numbers=", ".join([str(cylinder) for cylinder in told["sprayed"]]),
            n=round(10 * (1.0 - DRY_BY_CHANCE)),
        )
        text = "%s %s" % (text, water)
    if not told["uncounted"]:
        return text
    return "%s %s" % (text, not_counting(case, clean_drives(case)[1]))


def holds(prior, shape, minutes, driven, drives=1, shows=1.0):
    """Probability that the repair holds after ``driven`` clean minutes on ``drives`` drives.

    ``prior``: that it hit the cause; ``shape``, ``minutes``: of the rate of misses before, see above; ``shows``: chance
    that it comes on a drive at all.
    """
    overlooked = 0.0
    chance = (1.0 - shows) ** drives if drives else 1.0  # that it came on none of them
    for came in range(drives + 1):
        overlooked += chance * (minutes / (minutes + driven * came / max(1, drives))) ** shape
        if shows >= 1.0:
            chance = 1.0 if came == drives - 1 else 0.0
        else:
            chance *= (drives - came) / (came + 1.0) * shows / (1.0 - shows)
    return min(MOST_SURE, prior / (prior + (1.0 - prior) * overlooked))


def _drives_to(sure, prior, shape, minutes, driven, drives, shows, each):
    """Clean drives of ``each`` minutes still to make until the repair holds with probability ``sure``."""
    for more in range(MOST_DRIVES):
        if holds(prior, shape, minutes, driven + more * each, drives + more, shows) >= sure:
            return more
    return MOST_DRIVES


def minutes_to(sure, prior, shape, minutes, driven):
    """Clean minutes still to drive until the repair holds with probability ``sure``; 0.0 when it does."""
    wanted = prior * (1.0 - sure) / ((1.0 - prior) * sure)
    if wanted >= 1.0:
        return 0.0
    return max(0.0, minutes * (wanted ** (-1.0 / shape) - 1.0) - driven)


def codes_after(case):
    """Codes once the repair stands, by what became of them.

    ``returned``: bear on the complaint, were there before and came back; ``unclear``: the same, but they may be there
    from before, or from our own unplugging; ``new``: were not there before; ``later``: were there before, are there
    again, and stand apart; ``permanent``: outlive clearing until the car has tested itself; ``gone``: looked for and
    not found. ``readiness``: what clearing set back, if codes were cleared.
    """
    repairs = case.repairs()
    last = repairs[-1][0] if repairs else -1
    before = {c["code"] for m, e in case.of_kind("codes_read") if m <= last for c in e["body"]["codes"]}
    cleared = [m for m, _ in case.of_kind("codes_cleared") if m > last]
    found, permanent, read = set(), set(), False
    for moment, entry in case.of_kind("codes_read"):
        if repairs and moment > (cleared[-1] if cleared else last):
            read = True
            for row in entry["body"]["codes"]:
                (permanent if row["status"] == "permanent" else found).add(row["code"])
    apart = {code for code in before & found if _stands_apart(code)}  # in any order
    came = code_memory.came_since(case, last)
    bearing = sorted((before & found) - apart)
    return {
        "returned": [code for code in bearing if code in came],
        "unclear": [code for code in bearing if code not in came],
        "new": sorted(found - before),
        "later": sorted(apart),
        "permanent": sorted(permanent - found),
        "gone": sorted(before - found - permanent) if read else [],
        "readiness": [phrase(test) for test in READINESS] if cleared else [],
    }


def _stands_apart(code):
    return codes.problem_of(code) is None and codes.bearing(code)["bearing"] == "apart"


def percent(p):
    """A probability in words that do not promise too much."""
    if p > 0.99:
        return phrase("more than 99 in 100")
    return phrase("about {n} in 100", n=round(100 * p))


# The record before the repair


def _before(case, moment):
    """Misses and minutes watched before the repair: the most telling record there is."""
    counted, told = [], []
    for m, entry in case.counted:
        body = entry["body"]
        if m >= moment:
            break
        if entry["kind"] == "road_test" and body.get("counts") and body["minutes"] > 0:
            counted.append((float(sum([row["count"] for row in body["counts"]])), float(body["minutes"])))
        elif entry["kind"] == "road_test" and body["felt"] in FELT_AS:
            told.append(FELT_AS[body["felt"]])
        elif entry["kind"] == "check" and body["check"] == "drop" and grading.finding_of(case, entry) == "none":
            told.append(DEAD_CYLINDER_AS)
    return (counted or told or [COMPLAINT_AS])[-1]


def _other_condition(body, provoked):
    """Whether a drive was under conditions that leave out what used to provoke the miss."""
    driven = body.get("conditions") or ()
    return any(provoking.OPPOSITES[c] in driven and c not in driven for c in provoked)


def _prior(case, diagnosis, repairs):
    """Chance that what was repaired was the fault and the repair is sound, by what was known until the last repair."""
    last = repairs[-1][0]
    known = {entry["id"] for moment, entry in case.counted if moment <= last}
    solved = diagnosis.posterior
    known = known & diagnosis.heard if diagnosis.heard else known
    if any(entry["id"] not in known for _, entry in case.counted):
        solved = whereabouts.posterior_of(case, readings.model_of(case, known), known)
        yield from solved.solving()
    components = solved.model.components  # a path may be left out of one model and not of the other
    worked_on = {i for moment, entry in repairs for i in _worked_on(case, diagnosis.model, moment, entry["body"])}
    sound_before = {i: [k for k, path in enumerate(components[i].paths) if path[0] == 0] for i in sorted(worked_on)}
    # Together: of two that explain the same, such as a coil and its boot, one is at fault or the other.
    missed = solved.jointly(sound_before) / solved.evidence if solved.evidence > 0.0 else 1.0
    sound = 1.0 - (faults.NEW_PART_BAD if repairs[-1][1]["body"]["work"] == "replaced" else faults.MENDED_BAD)
    return min(1.0 - LEAST_DOUBT, max(LEAST_TRUST, (1.0 - missed) * sound))


def _worked_on(case, model, moment, body):
    """Components that a repair put right: the part with its boot, or the place. None for a part not known."""
    kind, position = entries.split_place(body.get("place"))
    if kind:
        kinds = [kind] + (["boot"] if kind == "coil" and case.engine.boots_move_with_coil else [])
        known = [each for each in kinds if case.trails.occupant("%s.%d" % (each, position), moment)]
        return [model.at(each, str(position), moment)[0] for each in known]
    # What was mended is the component of that name; what it is like since has a name of its own.
    return [index for index, component in enumerate(model.components) if component.name == body.get("component")]


def _text(told):
    minutes, n = canonical.number(told["driven"]), told["driven"]
    if told["driven"] <= 0 and told["uncounted"]:
        return phrase("Driven, but not yet under what made it miss: only that proves the repair.")
    if told["driven"] <= 0:
        return phrase("Not driven yet: a repair is proved on the road.")
    if told["p"] >= 0.99:
        return phrase(
            "Clean for {minutes} minute: fixed, as far as can be told."
            "|Clean for {minutes} minutes: fixed, as far as can be told.",
            n=n,
            minutes=minutes,
        )
    if told.get("shows") is None:
        return phrase(
            "Clean for {minutes} minute: not proved yet; {to_95} more for 95 %, {to_99} for 99 %."
            "|Clean for {minutes} minutes: not proved yet; {to_95} more for 95 %, {to_99} for 99 %.",
            n=n,
            minutes=minutes,
            to_95=_up(told["to_95"]),
            to_99=_up(told["to_99"]),
        )
    clean = phrase(
        "Clean for {minutes} min on {n} drive.|Clean for {minutes} min on {n} drives.",
        minutes=minutes,
        n=told["drives"],
    )
    each = phrase(
        "A fault that comes now and then shows on about {n} drives in 10 (an estimate and the drives before).",
        n=round(10 * told["shows"]),
    )
    if not told["more_95"]:
        more = phrase(
            "It holds with 95 %; for 99 % drive it {n} more time.|"
            "It holds with 95 %; for 99 % drive it {n} more times.",
            n=told["more_99"],
        )
    else:
        more = phrase(
            "Not proved yet: {more_95} more such drives for 95 %, {more_99} for 99 %.",
            more_95=told["more_95"],
            more_99=told["more_99"],
        )
    return " ".join([clean, each, more])


def _up(minutes):
    return int(minutes) + (1 if minutes > int(minutes) else 0)
