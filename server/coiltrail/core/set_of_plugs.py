"""Spark plugs as a set: they run and wear alike, so that several spent ones tell of the others, and all are renewed."""

from . import checks, codes, grading, how_it_shows, provoking, steps
from .tongue import phrase

SPENT = ("worn", "ash")  # looks of a plug that has run its time
SPENT_SHARE = 0.5  # of the plugs, two at least, from which the set is renewed. Common practice, no source
# What costs less and tells more.
BEFORE_IT = ("codes", "round/misfire_counts", "round/drop", "check/fuel_trim/engine", "check/cap_look/engine")


def look(case, spent):
    """The round over all plugs, where most cylinders miss under load and nobody has looked at one; else nothing."""
    looked = [1 for _, entry in case.of_kind("check") if entry["body"]["check"] in ("plug_look", "plug_gap")]
    if not _most_miss(case) or looked or not _under_load(case) or not spent.feasible("plug_look") or _new(case):
        return []
    why = phrase("Most cylinders miss under load: plugs wear alike, and spent ones ask for more voltage than there is.")
    return [steps.round_of("plug_look", case.engine.cylinders, why)]


def placed(found, looks):
    """The steps with the look at the plugs put behind what costs less and tells more."""
    behind = [at + 1 for at, step in enumerate(found) if step["key"] in BEFORE_IT]
    at = max([place for place in behind if place <= 3] + [0])
    return found[:at] + looks + found[at:]


def renew(case, spent):
    """The step that renews all plugs, where so many of them were seen to be spent; a list of one or none."""
    seen = {}  # place -> (moment, finding) of the latest look at the plug that sits there
    for moment, entry in case.of_kind("check"):
        place = entry["body"].get("place")
        if entry["body"]["check"] == "plug_look" and place:
            seen[place] = (moment, grading.finding_of(case, entry))
    now = len(case.log)
    worn = [
        place
        for place in sorted(seen)
        if seen[place][1] in SPENT and case.trails.occupant(place, seen[place][0]) == case.trails.occupant(place, now)
    ]
    places = case.engine.positions("plug")
    if len(worn) < max(2, SPENT_SHARE * places):
        return []
    minutes = sum([spent.of_repair("plug", "plug.%d" % position)[1] for position in range(1, places + 1)])
    return [
        steps.step(
            "renew/plugs",
            "repair",
            phrase("Renew all {n} spark plugs", n=places),
            minutes,
            phrase(
                "{worn} of {n} are spent, and the others have run as long: the next would fail soon. Common practice: "
                "the whole set, at the maker's interval.",
                worn=len(worn),
                n=places,
            ),
            "repair",
            {"work": "replaced", "place": worn[0], "extent": "all"},
            how=[
                phrase("The maker's heat range; check the gap of each new plug before it goes in."),
                phrase("Engine cool, wells blown clean; start every thread by hand."),
                phrase("Tighten each to the maker's torque: a loose plug runs hot, one too tight spoils the thread."),
            ],
            caution="%s %s" % (phrase(checks.CAUTION_HOT), phrase(steps.CAUTION_TORQUE)),
        )
    ]


def concerns(diagnosis):
    """Whether the miss is about plugs, or on most cylinders at once: then the set comes first, else in passing."""
    leading = diagnosis.listed[0][0] if diagnosis.listed else ()
    kinds = [diagnosis.model.components[index].kind for index in leading]
    return "plug" in kinds or _most_miss(diagnosis.case)


def _most_miss(case):
    """Whether more than half of the cylinders miss, or a code says that several do and no other names one."""
    missing = _named(case)
    return 2 * len(missing) > max(2, case.engine.cylinders) or missing == {0}


def _named(case):
    """Cylinders that miss by codes, counters or a drop test; {0} where a code says that several do and names none."""
    found = set()
    for _, entry in case.counted:
        kind, body = entry["kind"], entry["body"]
        if kind == "codes_read":
            for row in body["codes"]:
                readable = codes.problem_of(row["code"]) is None
                if readable and codes.kind_of(row["code"]) in ("misfire", "misfire_random"):
                    found.add(codes.cylinder_of(row["code"]) or 0)
        elif kind == "road_test":
            most = max([row["count"] for row in body.get("counts") or ()] + [0])
            counted = [row for row in body.get("counts") or () if grading.misfires(row["count"], most) != "none"]
            found.update([row["cylinder"] for row in counted] + provoking.named(body))
        elif kind == "check" and (body["check"], grading.finding_of(case, entry)) in provoking.SHOWS_A_MISS:
            found.add(body.get("cylinder") or 0)
    return found if found == {0} else found - {0}


def _under_load(case):
    """Whether it misses under load, or may; a miss in the wet alone is of what leads the spark, not of worn plugs."""
    elsewhere = how_it_shows.water_tells(case) or "idle" in how_it_shows.circumstances(case)
    return "load" in provoking.provoking(case) or (how_it_shows.comes_and_goes(case) and not elsewhere)


def _new(case):
    """Whether all plugs were fitted not long ago, as far as anybody said."""
    at = [case.trails.get(case.trails.at_place.get("plug.%d" % n)) for n in range(1, case.engine.positions("plug") + 1)]
    return all(part is not None and (part.fitted_by or part.noted.get("use") == "new") for part in at)
