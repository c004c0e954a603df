"""A proposed step as plain data, in words (DEVELOPERS.md, "Shapes")."""

from . import checks, faults, moved_words, parts
from .tongue import phrase

CAUTION_TORQUE = "The maker's torque for this engine comes before any value shown here."
CAUTION_NO_FLAME = "No flame or spark near, an extinguisher at hand, open air."
CAUTION_WIRE = "Key off, and the battery's minus off before a wire is opened."
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


def check(key, place, cylinder, minutes, why, saves=None, case=None):
    """One check at a place, on a cylinder, or on the engine as a whole; ``case``: tells which parts were moved."""
    declared = checks.BY_KEY[key]
    body, title = {"check": key}, phrase(declared["label"])
    if place:
        body["place"] = place
        away = case.trails.away(place, len(case.log)) if case and key not in checks.OF_THE_CAR else ""
        title = parts.what_where(title, place, away)
    elif cylinder:
        body["cylinder"] = cylinder
        title = "%s, %s" % (title, phrase("cylinder {n}", n=cylinder))
    return step(
        "check/%s/%s" % (key, place or cylinder or "engine"),
        "check",
        title,
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
    title = phrase("{check} on every cylinder", check=phrase(checks.BY_KEY[key]["label"]))
    return _round("round/" + key, key, title, cylinders, why, {"check": key})


def round_on(key, cylinders, why):
    """The same check on some cylinders (their numbers), one after the other."""
    check, numbers = phrase(checks.BY_KEY[key]["label"]), listed(cylinders)
    if len(cylinders) == 1:
        title = phrase("{check}, cylinder {n}", check=check, n=numbers)
    else:
        title = phrase("{check}, cylinders {numbers}", check=check, numbers=numbers)
    body = {"check": key, "cylinders": list(cylinders)}
    name = "round/%s/%s" % (key, "-".join([str(cylinder) for cylinder in cylinders]))
    return _round(name, key, title, len(cylinders), why, body)


def listed(numbers):
    """Numbers in words: "1, 2 and 3"."""
    words = [str(number) for number in numbers]
    return phrase(" and ").join([", ".join(words[:-1]), words[-1]]) if words[1:] else words[0]


def _round(key, check, title, cylinders, why, body):
    declared = checks.BY_KEY[check]
    return step(
        key,
        "check",
        title,
        checks.minutes_of(check, cylinders),
        why,
        "check",
        body,
        [phrase(line) for line in declared["how"]],
        phrase(declared["needs"]) if declared["needs"] else "",
        declared["caution"],
        declared["tools"],
    )


def swap(engine, kind, one, other, minutes, why, saves=None, stored=False):
    """Two parts of a kind change places. ``stored``: codes of a miss stand that can be cleared."""
    places = "%s.%d" % (kind, one), "%s.%d" % (kind, other)
    return step(
        "swap/%s/%d/%d" % (kind, one, other),
        "swap",
        moved_words.swap(engine, kind, one, other),
        minutes,
        why,
        "parts_moved",
        {"moves": [{"from": places[0], "to": places[1]}, {"from": places[1], "to": places[0]}]},
        how=[phrase("Engine off."), _how_swapped(engine, kind)]
        + (
            [phrase("Note the codes and clear them before the engine runs again: an old code proves nothing.")]
            if stored
            else []
        )
        + [phrase("Test both cylinders again.")],
        caution=checks.CAUTION_FUEL if kind == "injector" else checks.CAUTION_HOT,
        saves=saves,
    )


def _how_swapped(engine, kind):
    words = "Swap the two parts, press the connectors on until they lock."
    if engine.boots_move_with_coil and kind == "coil":
        words = "Swap the two coils, each with its boot on it; press the connectors on until they lock."
    if engine.boots_move_with_coil and kind == "boot":
        words = "Pull the two boots off their coils and swap them; each coil goes back where it was."
    return phrase(words)


def repair(diagnosis, index, minutes, why):
    """Putting one component right where it stands now."""
    component = diagnosis.model.components[index]
    place, _ = diagnosis.standing(index)
    if place:
        body = {"work": "replaced", "place": place, "removed": component.part}
    else:
        body = {"work": "mended", "component": component.name.partition("/")[0]}
    title = "%s %s%s" % (phrase(faults.BY_KIND[component.kind]["mend"]), component.label, diagnosis.now_at(index))
    told = step("repair/" + component.name, "repair", title, minutes, why, "repair", body)
    return dict(told, caution=" ".join([phrase(words) for words in cautions_of(component.kind)]))


def cautions_of(kind):
    """What to mind when a component of ``kind`` is put right, the gravest first."""
    if kind in ("injector", "fuel_delivery", "bad_fuel"):
        return [checks.CAUTION_FUEL, CAUTION_NO_FLAME] + ([CAUTION_TORQUE] if kind == "injector" else [])
    if kind in ("coil_connector", "coil_wiring", "injector_circuit", "coil_supply", "system_voltage", "crank_signal"):
        return [CAUTION_WIRE]
    return [checks.CAUTION_HOT, CAUTION_TORQUE]


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


def clear(why):
    """Clearing the codes."""
    tools = (("code_reader", "scan_tool"),)
    title, body = phrase("Clear the codes"), {"how": "reader"}
    return ask("clear", title, 2, why, "codes_cleared", body, caution=CAUTION_READINESS, tools=tools)


def read_again(why):
    """Reading the codes once more."""
    return ask("read", phrase("Read the codes again"), 4, why, "codes_read", tools=(("code_reader", "scan_tool"),))


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
