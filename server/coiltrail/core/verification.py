"""Is it really fixed, and how much longer to drive.

Misses before the repair come as a Poisson stream of unknown rate with a Gamma posterior (shape: misses seen
plus one half, Jeffreys' prior; rate: minutes watched). If the repair did not hold, the chance of a clean
drive of t minutes is then (T / (T + t)) ** shape, the negative binomial's zero term. That the repair hit the
cause is judged by what was known before it was driven, so that no clean minute counts twice.
"""

from . import canonical, codes, entries, faults, posterior, readings
from .gradually import finish
from .tongue import phrase

# What a drive without counts tells of the rate before, as (misses, minutes). Estimate, from memory.
FELT_AS = {"always": (60.0, 1.0), "sometimes": (2.0, 5.0)}
DEAD_CYLINDER_AS = (300.0, 1.0)  # a cylinder that does not work misses every time; 300 a minute at 600 rpm
COMPLAINT_AS = (1.0, 5.0)  # nothing but the complaint
LEAST_DOUBT = 0.02  # a repair may have hit the wrong thing, however sure; estimate
LEAST_TRUST = 0.05  # a repair may have hit the right thing, however unlikely; estimate
MOST_SURE = 0.999  # no drive proves more, since misses come in spells; estimate

# Of two opposite conditions a drive under one says nothing of a miss that comes under the other.
OPPOSITES = {"idle": "load", "load": "idle", "cold": "hot", "hot": "cold", "wet": "dry", "dry": "wet"}
CONDITION_WORDS = {
    "idle": "at idle",
    "load": "under load",
    "cold": "cold",
    "hot": "hot",
    "wet": "in the wet",
    "dry": "in the dry",
}
# Tests that clearing codes sets back (SAE J1979 / ISO 15031-5, from memory); those of misfire, fuel system and
# components run all the time and are back at once.
READINESS = ("catalyst", "evaporative system", "oxygen sensors", "sensor heaters", "exhaust gas recirculation")


def fixed(case, diagnosis):
    """How likely the repair holds; None before a repair.

    ``{"p", "driven", "uncounted", "to_95", "to_99", "text"}``: ``driven`` clean minutes under the condition that
    used to provoke the miss, ``uncounted`` clean minutes under another, ``to_95`` minutes still to drive until the
    repair holds with 95 % (None: it still misses).
    """
    return finish(fixing(case, diagnosis))


def fixing(case, diagnosis):
    """The same in steps (``gradually``)."""
    repairs = case.of_kind("repair")
    if not repairs:
        return None
    first, last = repairs[0][0], repairs[-1][0]
    since = [e["body"] for m, e in case.of_kind("road_test") if m > last]
    provoked = _provoking(case, first)
    counting = [body for body in since if clean(body) and not _other_condition(body, provoked)]
    driven = sum([body["minutes"] for body in counting])
    uncounted = sum([body["minutes"] for body in since if clean(body)]) - driven
    if any(not clean(body) for body in since):
        told = {"p": 0.0, "driven": driven, "uncounted": uncounted, "to_95": None, "to_99": None}
        return dict(told, text=in_words(case, told))
    prior = yield from _prior(case, diagnosis, repairs)
    misses, minutes = _before(case, first)
    shape = misses + 0.5
    p = holds(prior, shape, minutes, driven)
    to = [minutes_to(sure, prior, shape, minutes, driven) for sure in (0.95, 0.99)]
    told = {"p": p, "driven": driven, "uncounted": uncounted, "to_95": to[0], "to_99": to[1]}
    return dict(told, text=in_words(case, told))


def in_words(case, told):
    """``text`` of what ``fixed`` gives, in the language spoken; what was kept without its numbers, in its own words."""
    if "to_95" not in told or "uncounted" not in told:
        return told["text"]
    if told["to_95"] is None:
        return phrase("It still misses: this repair was not it, or not all.")
    text = _text(told["p"], told["driven"], (told["to_95"], told["to_99"]))
    if not told["uncounted"]:
        return text
    provoked = _provoking(case, case.of_kind("repair")[0][0])
    return "%s %s" % (
        text,
        phrase(
            "{minutes} more do not count: it used to miss {when}.",
            minutes=canonical.number(told["uncounted"]),
            when=phrase(" and ").join([phrase(CONDITION_WORDS[condition]) for condition in provoked]),
        ),
    )


def holds(prior, shape, minutes, driven):
    """Probability that the repair holds after ``driven`` clean minutes.

    ``prior``: that it hit the cause; ``shape``, ``minutes``: of the rate of misses before, see above.
    """
    overlooked = (minutes / (minutes + driven)) ** shape
    return min(MOST_SURE, prior / (prior + (1.0 - prior) * overlooked))


def minutes_to(sure, prior, shape, minutes, driven):
    """Clean minutes still to drive until the repair holds with probability ``sure``; 0.0 when it does."""
    wanted = prior * (1.0 - sure) / ((1.0 - prior) * sure)
    if wanted >= 1.0:
        return 0.0
    return max(0.0, minutes * (wanted ** (-1.0 / shape) - 1.0) - driven)


def codes_after(case):
    """Codes once the repair stands, by what became of them.

    ``returned``: bear on the complaint, were there before and came back; ``new``: were not there before; ``later``:
    were there before, are there again, and stand apart; ``permanent``: outlive clearing until the car has tested
    itself; ``gone``: looked for and not found. ``readiness``: what clearing set back, if codes were cleared.
    """
    repairs = case.of_kind("repair")
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
    return {
        "returned": sorted((before & found) - apart),
        "new": sorted(found - before),
        "later": sorted(apart),
        "permanent": sorted(permanent - found),
        "gone": sorted(before - found - permanent) if read else [],
        "readiness": [phrase(test) for test in READINESS] if cleared else [],
    }


def _stands_apart(code):
    return codes.problem_of(code) is None and codes.bearing(code)["bearing"] == "apart"


def clean(body):
    """Whether a road test went without a miss."""
    return body["felt"] == "none" and not any(row["count"] for row in body.get("counts") or ())


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
        elif entry["kind"] == "check" and body["check"] == "drop" and body.get("finding") == "none":
            told.append(DEAD_CYLINDER_AS)
    return (counted or told or [COMPLAINT_AS])[-1]


def _provoking(case, moment):
    """Conditions under which it used to miss: of the last drive that missed, else of the complaint."""
    told = ()
    for m, entry in case.counted:
        body = entry["body"]
        if m >= moment:
            break
        if entry["kind"] == "complaint" and "always" not in (body.get("circumstances") or ()):
            told = body.get("circumstances") or ()
        elif entry["kind"] == "road_test" and not clean(body) and body.get("conditions"):
            told = body["conditions"]
    # What is said of both sides of a pair provokes nothing.
    return [c for c in sorted(OPPOSITES) if c in told and OPPOSITES[c] not in told]


def _other_condition(body, provoked):
    """Whether a drive was under conditions that leave out what used to provoke the miss."""
    driven = body.get("conditions") or ()
    return any(OPPOSITES[c] in driven and c not in driven for c in provoked)


def _prior(case, diagnosis, repairs):
    """Chance that what was repaired was the fault and the repair is sound, by what was known until the last repair."""
    last = repairs[-1][0]
    known = {entry["id"] for moment, entry in case.counted if moment <= last}
    if all(entry["id"] in known for _, entry in case.counted):
        model, marginals = diagnosis.model, diagnosis.marginals
    else:
        model = readings.model_of(case, known)
        solved = posterior.Posterior(model, later=True)
        yield from solved.solving()
        marginals = yield from solved.marginal_steps()
    missed = 1.0
    for moment, entry in repairs:
        for index in _worked_on(case, model, moment, entry["body"]):
            missed *= sum([p for p, path in zip(marginals[index], model.components[index].paths) if path[0] == 0])
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


def _text(p, driven, to):
    if driven <= 0:
        return phrase("Not driven yet: a repair is proved on the road.")
    if p >= 0.99:
        return phrase("Clean for {minutes} minutes: fixed, as far as can be told.", minutes=canonical.number(driven))
    return phrase(
        "Clean for {minutes} minutes: not proved yet; {to_95} more for 95 %, {to_99} for 99 %.",
        minutes=canonical.number(driven),
        to_95=_up(to[0]),
        to_99=_up(to[1]),
    )


def _up(minutes):
    return int(minutes) + (1 if minutes > int(minutes) else 0)
