"""The next step by expected cost of repair.

Order: what must come first for safety or because it is lost otherwise (leaking fuel, codes), then finding the
cylinder, then the step of least expected cost (``lookahead``) among checks, swaps, repairs and handing the car over.
"""

from . import (
    candidates,
    checks,
    costs,
    faults,
    lookahead,
    outlook,
    proving,
    repair_order,
    steps,
    verification,
    worlds,
)
from .gradually import finish
from .tongue import phrase

MOST_STEPS = 4
SURE_ENOUGH = 0.90  # posterior at which a repair is shown beside a better step
LEAST_SAVING = 2.0  # minutes; a check that is expected to spare less than this is not worth the trouble. Estimate
DEPTH = 2  # steps looked ahead
WIDTH, DEEPER_WIDTH = 3, 8  # how many steps are looked at so deeply, in the first answer and in the deeper one
GONE = 0.5  # weight of "nothing left to repair" from which that is looked into before anything else
LEAST_SHOWN = 0.04  # chance below which an outcome is not told


def next_steps(diagnosis, tools=None, prices=None, labour_rate=None, width=WIDTH):
    """The next steps, best first: a list of dicts as DEVELOPERS.md describes under "Shapes".

    ``tools``, ``prices``, ``labour_rate``: see ``costs.Costs``. ``width``: how many steps are looked at
    deeply. Raises ValueError where they cannot be.
    """
    fixed = verification.fixed(diagnosis.case, diagnosis)
    spent = costs.Costs(diagnosis.case, tools, prices, labour_rate)
    return finish(stepping(diagnosis, fixed, spent, width))


def stepping(diagnosis, fixed, spent, width=WIDTH):
    """The same in steps (``gradually``). ``fixed``: see ``verification.fixed``; ``spent``: a ``costs.Costs``."""
    proving_steps = proving.steps_after_repair(diagnosis, fixed)
    if proving_steps:
        return proving_steps
    first = _first_of_all(diagnosis.case)
    if first and first[0]["key"] in ("stop_leak", "fill"):
        return first
    first = _questions(diagnosis.case) + first
    codes = [_read_codes()] if _codes_unread(diagnosis.case, spent) else []
    ways = worlds.of_diagnosis(diagnosis)
    if ways.gone > GONE and not _missed_since_the_last_change(diagnosis.case):
        return (first + _see_whether_it_is_gone(diagnosis) + codes)[:MOST_STEPS]
    weighed = yield from _weighed(diagnosis, ways, spent, width)
    located = weighed and candidates.located(diagnosis, ways)
    if located:
        found = first + weighed[:1] + codes + weighed[1:]
    else:
        rounds = _search_for_the_cylinder(diagnosis.case, spent)
        found = first + codes + rounds + [step for step in weighed if step["act"] in ("check", "swap") or not rounds]
    if not located or weighed[0]["act"] in ("check", "swap"):
        found += _look_at_connectors(diagnosis.case)
    return steps.without_doubles(found)[:MOST_STEPS]


# What comes first


def _first_of_all(case):
    """Leaking fuel before anything sparks; fuel level where a code says so."""
    looked = _latest(case, "fuel_leak")
    if looked == "wet":
        return [
            steps.ask(
                "stop_leak",
                phrase("Stop the fuel leak"),
                30,
                phrase("Nothing else is safe before that."),
                "repair",
                {"work": "other", "note": phrase("Fuel leak")},
                caution=checks.CAUTION_LEAK,
            )
        ]
    found = []
    complaint = case.last("complaint")
    if complaint and "smell" in (complaint["body"].get("symptoms") or ()) and looked is None:
        why = phrase("It smells of fuel: see that none leaks before anything sparks or is cranked.")
        found.append(steps.check("fuel_leak", None, None, checks.BY_KEY["fuel_leak"]["minutes"], why))
    told = [read["code"] for _, entry in case.of_kind("codes_read") for read in entry["body"]["codes"]]
    if "P0313" in told and _latest(case, "fuel_level") is None:
        why = phrase("A code says the fuel was low when it missed: settle that first.")
        found.append(steps.check("fuel_level", None, None, checks.BY_KEY["fuel_level"]["minutes"], why))
    if _latest(case, "fuel_level") == "low" and not _driven_since(case, "fuel_level"):
        why = phrase("The tank is nearly empty: an engine that draws air misses without a fault.")
        found.append(steps.ask("fill", phrase("Fill up, then drive it"), 20, why, "road_test"))
    return found


def _driven_since(case, check):
    made = [m for m, entry in case.of_kind("check") if entry["body"]["check"] == check]
    return any(moment > made[-1] for moment, _ in case.of_kind("road_test"))


def _latest(case, check):
    """The latest finding of a check on the engine as a whole since the last repair, or None."""
    repaired = [moment for moment, _ in case.of_kind("repair")]
    found = [
        entry["body"].get("finding")
        for moment, entry in case.of_kind("check")
        if entry["body"]["check"] == check and (not repaired or moment > repaired[-1])
    ]
    return found[-1] if found else None


def _unsafe(case):
    """Says of a check whether it must not be made now: over leaking fuel, or a smell of it not looked into."""
    first = [step["key"] for step in _first_of_all(case)]
    vapour = "check/fuel_leak/engine" in first or "stop_leak" in first
    return lambda check: vapour and checks.BY_KEY[check]["sparks"]


def _questions(case):
    """What the log leaves open is asked before anything is concluded from it."""
    return [
        steps.ask(
            "question",
            question["text"],
            1,
            phrase("What follows depends on it; not known is an answer too."),
            "answered",
            {"question": question["id"]},
        )
        for question in case.trails.questions[:1]
    ]


def _missed_since_the_last_change(case):
    changed = [moment for moment, entry in case.counted if entry["kind"] in ("parts_moved", "repair")]
    return bool(changed) and proving.shows_a_miss([entry for moment, entry in case.counted if moment > changed[-1]])


def _see_whether_it_is_gone(diagnosis):
    """The part at fault is off the engine, or a connector makes contact since it was pressed on again."""
    drive = steps.ask(
        "road",
        phrase("Drive it under what used to make it miss"),
        15,
        phrase("The miss may be gone since something was taken off or pressed on again."),
        "road_test",
        caution=steps.CAUTION_LAMP,
    )
    found = [drive]
    for blamed, _ in diagnosis.listed[:1]:
        for index in blamed:
            kind = faults.BY_KIND[diagnosis.model.components[index].kind]
            if diagnosis.standing(index)[1] and kind["mend"] and diagnosis.fault(index) < diagnosis.ever(index):
                why = phrase("It makes contact again for now; what was loose once comes loose again.")
                found.append(steps.repair(diagnosis, index, kind["minutes"], why))
    return found


def _codes_unread(case, spent):
    return not case.of_kind("codes_read") and (spent.has("code_reader") or spent.has("scan_tool"))


def _read_codes():
    return steps.ask(
        "codes",
        phrase("Read the codes and keep them"),
        4,
        phrase("They may name the cylinder; unplugging for a drop test sets others, clearing takes them away."),
        "codes_read",
        needs=phrase("code reader; without one go on"),
        tools=(("code_reader", "scan_tool"),),
    )


# Which cylinder


def _search_for_the_cylinder(case, spent):
    """Rounds that show which cylinder misses. A fault that comes and goes is looked for on the road."""
    complaint = case.last("complaint")
    when = (complaint["body"].get("circumstances") or ()) if complaint else ()
    comes_and_goes = any(w in when for w in ("sometimes", "load", "cold", "hot", "wet")) and "always" not in when
    counts, drop = candidates.has_round(case, "misfire_counts"), candidates.has_round(case, "drop")
    if counts or (drop and not comes_and_goes):
        return []
    if comes_and_goes and spent.feasible("misfire_counts"):
        why = phrase("It comes and goes: the counters show which cylinder misses when it does.")
        return [steps.round_of("misfire_counts", case.engine.cylinders, why)]
    if drop:
        return []
    return [steps.round_of("drop", case.engine.cylinders, phrase("Shows which cylinder does not work."))]


def _look_at_connectors(case):
    if case.engine.ignition == "distributor" or candidates.has_round(case, "connector_look"):
        return []
    return [
        steps.round_of(
            "connector_look", case.engine.cylinders, phrase("Costs minutes and finds a good part of the faults.")
        )
    ]


# By expected cost


def _weighed(diagnosis, ways, spent, width):
    """Steps by expected cost, cheapest first; of the repairs only those whose turn has come."""
    if len(ways.sets) < 2:
        return []
    yield
    fixes = candidates.repairs(diagnosis, ways, spent)
    seen = outlook.Outlook(diagnosis, ways)
    yield
    looks = []
    for candidate in candidates.observations(diagnosis, ways, seen, spent, _unsafe(diagnosis.case)):
        if candidate:
            looks.append(candidate)
        yield
    problem = lookahead.Problem(
        ways.masks, [fix for _, _, fix in fixes], [look.observation for look in looks], _terms(diagnosis, ways, spent)
    )
    state = repair_order.State(seen.weights, opened=spent.opened)
    yield
    ranked = yield from lookahead.ranking(problem, state)
    deep = yield from lookahead.ranking(problem, state, DEPTH, width)
    return _Chosen(diagnosis, ways, spent, problem, state, fixes, looks).steps(deep, ranked)


def _terms(diagnosis, ways, spent):
    spared = {}
    for index in ways.faults:
        if faults.BY_KIND[diagnosis.model.components[index].kind]["workshop"]:
            spared[ways.mask_of((index,))] = costs.NAMED_SPARES
    return repair_order.Terms(costs.GIVE_UP, spared, spent.ways(), costs.FALSE_ALARM, costs.OVERLOOKED, costs.COMEBACK)


class _Chosen:
    """Puts ranked acts in words."""

    def __init__(self, diagnosis, ways, spent, problem, state, fixes, looks):
        self.diagnosis = diagnosis
        self.ways = ways
        self.spent = spent
        self.problem = problem
        self.state = state
        self.fixes = fixes
        self.looks = looks
        self.at_once, self.order = repair_order.plan(problem.worlds, problem.repairs, problem.terms, state)

    def steps(self, deep, ranked):
        """The best act first, as the deep look has it; then what is as good as proved, and the checks that pay."""
        best = self._best(deep, ranked)
        told = [self._step(best)]
        if best[1] == "repair":
            for index in self.order:
                if self.diagnosis.fault(self.fixes[index][0]) >= SURE_ENOUGH:
                    told.append(self._repair(index))
        seen = [best[1:]]
        for act in deep + ranked:
            if act[1] == "observe" and act[0] < self.at_once and act[1:] not in seen:
                seen.append(act[1:])
                told.append(self._step(act))
        return told

    def _best(self, deep, ranked):
        """Of acts as good as alike, one that ends the search; else the one that costs least by itself."""
        ending = next(act for act in deep + ranked if act[1] != "observe")
        if ending[0] - deep[0][0] < LEAST_SAVING:
            return ending
        alike = [act for act in deep if act[1] == "observe" and act[0] - deep[0][0] < LEAST_SAVING]
        return min(alike, key=lambda act: (self._minutes(act[2]), act))

    def _minutes(self, index):
        """What a check costs by itself, with the way in."""
        look = self.problem.observations[index]
        return look.cost + repair_order.opening(self.problem.terms, self.state, look.way)

    def _step(self, ranked):
        cost, act, index = ranked
        if act == "repair":
            return self._repair(index)
        if act == "hand_over":
            return self._hand_over()
        look = self.looks[index]
        saves = max(0.0, self.at_once - cost)
        minutes = self._minutes(index)
        kind, what, where, cylinder = look.what
        if kind == "swap":
            return steps.swap(what, where, cylinder, minutes, self._told(index), saves)
        return steps.check(what, where, cylinder, minutes, self._told(index), saves)

    def _repair(self, index):
        component, minutes, fix = self.fixes[index]
        minutes += repair_order.opening(self.problem.terms, self.state, fix.way)
        return steps.repair(
            self.diagnosis, component, minutes, phrase("{share} speak for it.", share=self._percent(component))
        )

    def _hand_over(self):
        workshop = [
            (-self.ways.chance(i), i)
            for i in self.ways.faults
            if faults.BY_KIND[self.diagnosis.model.components[i].kind]["workshop"]
        ]
        if workshop and -min(workshop)[0] > 0.5:
            index = min(workshop)[1]
            why = phrase("{share} speak for it, and it is no work for a driveway.", share=self._percent(index))
            return steps.hand_over(self.diagnosis.model.components[index].label, 10, why)
        return steps.hand_over("", 10, phrase("Going on here would be expected to cost more than a workshop's search."))

    def _told(self, index):
        """What the likeliest outcomes would mean, in one sentence."""
        mass = self.state.mass()
        rows = []
        for label, after in zip(self.looks[index].labels, lookahead.outcomes(self.problem, self.state, index)):
            if after.mass() >= LEAST_SHOWN * mass:
                rows.append((-after.mass(), label, self._likeliest(after)))
        told = []
        for _, label, words in sorted(rows)[:2]:
            swap = self.looks[index].what[0] == "swap"
            told.append(
                phrase("If the miss {found}: {leads}", found=label, leads=words)
                if swap
                else "\u201c%s\u201d: %s" % (label, words)
            )
        return "; ".join([told[0]] + [words[0].lower() + words[1:] for words in told[1:]]) + "."

    def _likeliest(self, after):
        ranked = []
        for fault, index in enumerate(self.ways.faults):
            p = sum([w for mask, w in zip(self.ways.masks, after.weights) if mask & 1 << fault]) / after.mass()
            ranked.append((-p, index))
        p, index = min(ranked)
        return "%s %d %%" % (self.diagnosis.model.components[index].label, round(-100 * p))

    def _percent(self, index):
        return "%d %%" % round(100 * self.diagnosis.fault(index))
