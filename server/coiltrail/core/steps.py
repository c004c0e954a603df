"""A proposed step as plain data, in words (DEVELOPERS.md, "Shapes")."""

from . import checks, faults, parts
from .tongue import phrase

NAMES = {"coil": "coil", "boot": "boot", "plug": "plug", "injector": "injector"}
CAUTION_TORQUE = "The maker's torque for this engine comes before any value shown here."
CAUTION_READINESS = "Clearing also clears readiness, which an emissions inspection checks."
CAUTION_LAMP = "A flashing lamp means damage in progress: do not drive on."


def step(key, act, title, minutes, why, kind, body, how=(), needs="", caution="", tools=(), saves=None):
    """One step. ``kind`` and ``body``: the entry that recording it starts from. ``saves``: minutes it is expected to
    save against repairing at once; None where nothing was weighed. ``caution`` is put in the language spoken here."""
    return {
        "key": key,
        "act": act,
        "title": title,
        "minutes": _up(minutes),
        "why": why,
        "how": list(how),
        "needs": needs,
        "tools": [list(group) for group in tools],
        "caution": phrase(caution) if caution else "",
        "kind": kind,
        "body": body,
        "saves": saves,
    }


def check(key, place, cylinder, minutes, why, saves=None):
    """One check at a place, on a cylinder, or on the engine as a whole."""
    declared = checks.BY_KEY[key]
    body, where = {"check": key}, ""
    if place:
        body["place"] = place
        where = parts.place_label(place)
    elif cylinder:
        body["cylinder"] = cylinder
        where = phrase("cylinder {n}", n=cylinder)
    return step(
        "check/%s/%s" % (key, place or cylinder or "engine"),
        "check",
        ", ".join([phrase(declared["label"])] + ([where] if where else [])),
        minutes,
        why,
        "check",
        body,
        [phrase(line) for line in declared["how"]],
        phrase(declared["needs"]) if declared["needs"] else "",
        declared["caution"],
        declared["tools"],
        saves,
    )


def round_of(key, cylinders, why):
    """The same check on every cylinder, one after the other."""
    declared = checks.BY_KEY[key]
    return step(
        "round/" + key,
        "check",
        phrase("{check} on every cylinder", check=phrase(declared["label"])),
        declared["minutes"] * cylinders,
        why,
        "check",
        {"check": key},
        [phrase(line) for line in declared["how"]],
        phrase(declared["needs"]) if declared["needs"] else "",
        declared["caution"],
        declared["tools"],
    )


def swap(kind, one, other, minutes, why, saves=None):
    """Two parts of a kind change places."""
    places = "%s.%d" % (kind, one), "%s.%d" % (kind, other)
    return step(
        "swap/%s/%d/%d" % (kind, one, other),
        "swap",
        phrase("Swap the " + NAMES[kind] + "s of {one} and {other}", one=one, other=other),
        minutes,
        why,
        "parts_moved",
        {"moves": [{"from": places[0], "to": places[1]}, {"from": places[1], "to": places[0]}]},
        how=[
            phrase("Engine off."),
            phrase("Swap the two parts, press the connectors on until they lock."),
            phrase("Test both cylinders again."),
        ],
        caution=checks.CAUTION_FUEL if kind == "injector" else checks.CAUTION_HOT,
        saves=saves,
    )


def repair(diagnosis, index, minutes, why):
    """Putting one component right where it stands now."""
    component = diagnosis.model.components[index]
    place, _ = diagnosis.standing(index)
    if place:
        body = {"work": "replaced", "place": place, "removed": component.part}
    else:
        body = {"work": "mended", "component": component.name.partition("/")[0]}
    title = "%s %s%s" % (phrase(faults.BY_KIND[component.kind]["mend"]), component.label, diagnosis.now_at(index))
    return step("repair/" + component.name, "repair", title, minutes, why, "repair", body, caution=CAUTION_TORQUE)


def hand_over(label, minutes, why):
    """The car goes on to a workshop, with the cause named where there is one."""
    title = (
        phrase("Hand it on: {label} is work for a workshop", label=label)
        if label
        else phrase("Hand it on to a workshop")
    )
    return step("hand_over", "ask", title, minutes, why, "case_closed", {})


def ask(key, title, minutes, why, kind, body=None, **more):
    """Something to be done that is neither check, swap nor repair."""
    return step(key, "ask", title, minutes, why, kind, body or {}, **more)


def _up(minutes):
    whole = int(minutes)
    return whole + 1 if minutes > whole else whole


def without_doubles(steps):
    """The steps, each key once."""
    kept = []
    for one in steps:
        if one["key"] not in [other["key"] for other in kept]:
            kept.append(one)
    return kept
