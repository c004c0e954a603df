"""One part or the whole set: what each is expected to cost over the owner's horizon.

Replacing only what failed leaves siblings that may fail in their turn, each with a second visit. A sibling's
lifetime is Weibull by kind and origin, from its age on; siblings share heat, oil and make, so that failures among
them raise the hazard of the rest (a Gamma frailty common to the set, of mean one before anything is seen). A crack or
a track is damage of one part: it is no such failure. Wear shows before it ends a life, in its last part (the delay time
of maintenance theory, Christer 1976, from memory), so that a part looked at and good will last some way yet. What is
replaced now or later is renewed: its own failures within the horizon count too. All in minutes; money is put in
minutes at the labour rate (``costs``). Origin of every number here: estimate, from memory.
"""

import math

from . import canonical, costs, faults, grading, seen, set_of_plugs
from .lifetimes import Lasting, Weibull
from .tongue import joined, phrase

HORIZON_MONTHS = 36
SURE_ENOUGH = 0.80  # posterior from which a part counts as failed
FRAILTY = 2.0  # weight of the prior of the common frailty, in failures
CAR_MONTHS = 144  # age of a car whose year is not known
BREAKDOWN = 120  # what a failure on the road costs the owner besides the visit: the day, towing, the catalyst
AGE_STEP = 6  # months between the ages tried where the age is not known
OF_ONE_PART = ("cracked", "tracked")  # damage (``seen``) that came from outside and says nothing of wear
# By kind: the checks that show wear, and the last part of a life in which it shows; a bad coil mostly looks good.
SHOWS_WEAR = {"plug": (("plug_look",), 0.4), "boot": (("coil_look",), 0.2)}

# Lifetimes in months: (kind, origin) -> shape and scale.
LIVES = {
    ("coil", "original"): (2.0, 240.0),
    ("coil", "other"): (1.4, 110.0),
    ("boot", "original"): (2.2, 260.0),
    ("boot", "other"): (1.6, 130.0),
    ("plug", "original"): (3.0, 130.0),
    ("plug", "other"): (3.0, 95.0),
    ("injector", "original"): (1.8, 420.0),
    ("injector", "other"): (1.3, 140.0),
}
PLURALS = {"coil": "coils", "boot": "boots or leads", "plug": "spark plugs", "injector": "injectors"}


def one_or_set(diagnosis, spent, horizon=None):
    """The comparison for the kind of part that failed, as DEVELOPERS.md describes; None where no part is to replace.

    ``spent``: a ``costs.Costs``. ``horizon``: months the owner means to keep the car. Raises ValueError for a horizon
    that cannot be.
    """
    if horizon is not None and not 1 <= horizon <= 240:
        raise ValueError(phrase("Horizon: give the months the owner means to keep the car, from 1 to 240."))
    failed = _failed(diagnosis)
    if not failed:
        return None
    kind = diagnosis.model.components[failed[0]].kind
    siblings = _siblings(diagnosis, kind, failed)
    if not siblings or (kind == "plug" and set_of_plugs.renew(diagnosis.case, spent)):
        return None  # nothing to compare, or all are renewed for what was seen on them
    months = int(horizon or HORIZON_MONTHS)
    laws = _laws(diagnosis.case.opened)
    aged = [_ages(diagnosis.case, part, laws) for part in siblings]
    exposures = [_exposure(ages) for ages in aged] + [
        _exposure(_ages(diagnosis.case, diagnosis.case.trails.get(diagnosis.model.components[i].part), laws))
        for i in failed
    ]
    worn = [index for index in failed if not _of_one_part(diagnosis, index)]
    frailty = (FRAILTY + len(worn)) / (FRAILTY + sum(exposures))
    good = [_looked_good(diagnosis.case, part) for part in siblings]
    aged = [_lasting(part.kind, ages) if well else ages for part, ages, well in zip(siblings, aged, good)]
    renewed = renewals(laws[(kind, "original")], months)
    told = [
        (sum([w * failures(law, age, frailty, renewed) for w, law, age in ages]), _fails(ages, frailty, months))
        for ages in aged
    ]
    places = [diagnosis.standing(index)[0] for index in failed], [part.place for part in siblings]
    sums = _sums(spent, kind, places[0], places[1], [n for n, _ in told], renewed[months])
    rows = [_row(diagnosis.case, part, ages, fails) for part, ages, (_, fails) in zip(siblings, aged, told)]
    return _told(spent, kind, months, sums, rows, [diagnosis.model.components[i].label for i in failed], not worn)


# Lifetimes


def _laws(opened):
    """{(kind, origin): Weibull}, as the case was opened with (``learning``), the usual ones where it says nothing."""
    told = (opened.get("table") or {}).get("lives") or {}
    laws = {}
    for key in LIVES:  # in any order
        law = told.get("%s/%s" % key)
        usable = isinstance(law, list) and len(law) == 2 and all(isinstance(x, (int, float)) and x > 0.0 for x in law)
        laws[key] = Weibull(*(law if usable else LIVES[key]))
    return laws


def failures(law, age, frailty, renewed):
    """Expected failures of a part of that age and of those that follow it; ``renewed`` as ``renewals`` gives it."""
    months = len(renewed) - 1
    total, alive = 0.0, 1.0
    for month in range(1, months + 1):
        survives = math.exp(-frailty * (law.hazard_until(age + month) - law.hazard_until(age)))
        total += (alive - survives) * (1.0 + renewed[months - month])
        alive = survives
    return total


def renewals(law, months):
    """Expected failures of a new part and of those that follow it within 0, 1, ... months (renewal equation)."""
    found = [0.0]
    for length in range(1, months + 1):
        total, alive = 0.0, 1.0
        for month in range(1, length + 1):
            survives = law.survives(month)
            total += (alive - survives) * (1.0 + (found[length - month] if month < length else 0.0))
            alive = survives
        found.append(total)
    return found


def _fails(ages, frailty, months):
    """Probability that a sibling fails within the horizon."""
    return 1.0 - sum(
        [w * math.exp(-frailty * (law.hazard_until(age + months) - law.hazard_until(age))) for w, law, age in ages]
    )


def _exposure(ages):
    return sum([w * law.hazard_until(age) for w, law, age in ages])


def _ages(case, part, laws):
    """What the part may be, as (weight, law, age in months); a part that runs at an age has survived so far."""
    noted = part.noted
    origins = {"original": ("original",), "other": ("other",)}.get(noted.get("origin"))
    if origins is None:
        origins = ("original", "other") if noted.get("origin") == "unknown" else ("original",)
    rows = []
    for origin in origins:
        law = laws[(part.kind, origin)]
        ages = _possible_ages(case, part, origin)
        rows += [(law.survives(age) / len(ages), law, age) for age in ages]
    total = sum([w for w, _, _ in rows])
    return [(w / total, law, age) for w, law, age in rows]


def _possible_ages(case, part, origin):
    if part.noted.get("age_months") is not None:
        return [part.noted["age_months"]]
    if part.fitted_by or part.noted.get("use") == "new":
        return [0]
    oldest = _car_months(case)
    if origin == "original" and part.noted.get("use") != "used":
        return [oldest]
    return list(range(AGE_STEP, max(oldest, AGE_STEP) + 1, AGE_STEP))


def _car_months(case):
    year = (case.opened.get("vehicle") or {}).get("year")
    if not year:
        return CAR_MONTHS
    opened = 1970.0 + case.log[0]["at"][0] / 31556952000.0  # mean Gregorian year in milliseconds
    return int(max(AGE_STEP, 12 * (opened - year)))


# Parts


def _failed(diagnosis):
    """Components that are parts, stand on the engine and failed as good as surely; all of the first one's kind."""
    rows = []
    for index, component in enumerate(diagnosis.model.components):
        if component.kind in PLURALS and component.part and diagnosis.standing(index)[0]:
            if diagnosis.fault(index) >= SURE_ENOUGH:
                rows.append((-diagnosis.fault(index), index))
    rows.sort()
    kinds = [diagnosis.model.components[index].kind for _, index in rows]
    return [index for (_, index), kind in zip(rows, kinds) if kind == kinds[0]]


def _siblings(diagnosis, kind, failed):
    gone = [diagnosis.model.components[index].part for index in failed]
    return [
        part
        for part in diagnosis.case.trails.in_order()
        if part.kind == kind and "." in part.place and part.id not in gone
    ]


def _of_one_part(diagnosis, index):
    """Whether what was seen on the part is damage of it alone."""
    found = [row["finding"] for row in seen.at(diagnosis.case, diagnosis.model.components[index].name)]
    return bool(found) and all(finding in OF_ONE_PART for finding in found)


def _looked_good(case, part):
    """Whether the latest look at the part for wear found none."""
    shown_by, found = SHOWS_WEAR.get(part.kind, ((), 0.0))[0], []
    for moment, entry in case.of_kind("check"):
        if entry["body"]["check"] in shown_by and case.trails.looked_at(part, entry["body"].get("place"), moment):
            found.append(grading.finding_of(case, entry))
    return found[-1:] == ["good"]


def _lasting(kind, ages):
    """The same ages with laws that know of the look: at an age without wear, a life has its last part before it."""
    last = SHOWS_WEAR[kind][1]
    return [(w, Lasting(law, age / (1.0 - last)), age) for w, law, age in ages]


# Sums


def _sums(spent, kind, failed, siblings, comebacks, renewed):
    """Cost of either way, and the price of a part at which they are equal.

    ``failed``, ``siblings``: places; ``comebacks``: expected failures at each sibling's place if it stays,
    ``renewed`` of a new part.
    """
    price = spent.price(kind)
    visit = costs.COMEBACK + BREAKDOWN + faults.BY_KIND[kind]["minutes"] + _mean_opening(spent, kind, failed + siblings)
    early = faults.NEW_PART_BAD
    every = len(failed) + len(siblings)
    one = {
        "work": _work(spent, kind, failed),
        "bought": len(failed),
        "comebacks": sum(comebacks) + len(failed) * (renewed + early),
    }
    all_ = {"work": _work(spent, kind, failed + siblings), "bought": every, "comebacks": every * (renewed + early)}
    for way in (one, all_):
        way["now"] = way["work"] + way["bought"] * price
        way["later"] = way["comebacks"] * (visit + price)
        way["total"] = way["now"] + way["later"]
        way["free"] = way["work"] + way["comebacks"] * visit  # with parts that cost nothing
        way["parts"] = way["bought"] + way["comebacks"]
    more = all_["parts"] - one["parts"]
    even = (one["free"] - all_["free"]) / more if more > 0 else None
    return {"one": one, "set": all_, "price": price, "even": even}


def _work(spent, kind, places):
    """Minutes to replace the parts at these places in one go: what covers several comes off once."""
    repairs = [spent.of_repair(kind, place) for place in places]
    ways = {way for _, _, way in repairs if way and way not in spent.opened}
    return sum([minutes for _, minutes, _ in repairs]) + costs.MINUTES_COVER * len(ways)


def _mean_opening(spent, kind, places):
    covered = [place for place in places if spent.of_repair(kind, place)[2]]
    return costs.MINUTES_COVER * len(covered) / len(places)


def _row(case, part, ages, fails):
    mean = sum([w * age for w, _, age in ages])
    return {
        "part": part.id,
        "place": part.place,
        "label": case.trails.describe(part),
        "age_months": int(mean + 0.5),
        "age_known": len(ages) == 1,
        "fails": fails,
    }


def _told(spent, kind, months, sums, rows, failed, of_one):
    money = spent.labour_rate is not None
    scale = spent.labour_rate / 60.0 if money else 1.0
    ways = {
        name: {
            "now": sums[name]["now"] * scale,
            "later": sums[name]["later"] * scale,
            "total": sums[name]["total"] * scale,
            "comebacks": sums[name]["comebacks"],
            "shown": _shown(sums[name], scale),
        }
        for name in ("one", "set")
    }
    advice = "set" if sums["set"]["total"] < sums["one"]["total"] else "one"
    even = max(0.0, sums["even"] * scale) if sums["even"] is not None else None
    return {
        "kind": kind,
        "advice": advice,
        "failed": failed,
        "siblings": rows,
        "horizon_months": months,
        "one": ways["one"],
        "set": ways["set"],
        "price": sums["price"] * scale,
        "break_even": even,
        "unit": "money" if money else "minutes",
        "text": _text(kind, advice, months, ways, even, money, of_one),
    }


def _shown(way, scale):
    """Now, later and their sum in whole numbers that add up; the text speaks of the same."""
    now, later = [int(canonical.fixed(way[name] * scale, 0)) for name in ("now", "later")]
    return {"now": now, "later": later, "total": now + later}


def _text(kind, advice, months, ways, even, money, of_one):
    dearer = ways["set"]["shown"]["now"] - ways["one"]["shown"]["now"]
    spared = ways["one"]["shown"]["later"] - ways["set"]["shown"]["later"]
    told = [
        phrase(
            "When what failed is replaced, all other {parts} in the same go cost {dearer} more and spare {spared} of "
            "later visits in {months} months: then replace the set."
            if advice == "set"
            else "When what failed is replaced, all other {parts} in the same go cost {dearer} more and spare {spared} "
            "of later visits in {months} months: then replace only what failed.",
            parts=phrase(PLURALS[kind]),
            dearer=_amount(dearer, money),
            spared=_amount(max(0, spared), money),
            months=months,
        )
    ]
    if of_one:
        told.append(phrase("A crack or a track is damage of one part: of the others only the age is counted."))
    if even is not None and even > 0:
        told.append(
            phrase("The set is worth it as long as a new part costs no more than {price}.", price=_amount(even, money))
            if advice == "set"
            else phrase("The set would be worth it if a new part cost less than {price}.", price=_amount(even, money))
        )
    return " ".join(told)


def _amount(value, money):
    whole = canonical.fixed(value, 0)
    return whole if money else joined(whole, "min")
