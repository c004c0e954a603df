"""Which checks, swaps and repairs come into question now: feasible, safe, not done already, and telling."""

from . import checks, entries, evidence, faults, grading, how_it_shows, readings
from .lookahead import Observation
from .repair_order import Repair
from .tongue import phrase

MOST_PLACES = 3  # cylinders, and coil positions, that are looked at closely
NEAR = 0.2  # share of the worst suspicion from which a place is looked at
LEAST_TELLING = 0.02  # a finding whose chance differs by less between worlds tells nothing
LEAST_EXPLAINED = 0.03  # a part at fault that explains less of what was found than this is not worth moving
REAL_RIVAL = 0.20  # posterior of a boot from which it is told apart before its coil is bought. Estimate, from memory
LOCATED = 0.4  # suspicion of a cylinder, or of a thing all share, from which the search is no longer for the cylinder
CONNECTOR_LOOKS = ("connector_look", "injector_connector")
AT_COIL = ("coil", "coil_connector", "coil_wiring", "coil_supply")
# The part by way of which a component that is no part itself is reached.
REACHED_BY = {
    "coil_connector": "coil",
    "coil_wiring": "coil",
    "injector_circuit": "injector",
    "compression": "plug",
}
OUTCOMES_OF_SWAP = {
    "follows": "moves to cylinder {there}",
    "stays": "stays at cylinder {here}",
    "gone": "is gone",
    "both": "is on both",
}
OF_SHARED_COILS = {"follows": "moves along to coil {there}", "stays": "stays at coil {here}"}


class Candidate:
    """A check or a swap: what it is, what it costs, and what it may show (labels beside the observation's outcomes)."""

    def __init__(self, what, labels, observation):
        self.what = what  # ("check", key, place, cylinder) or ("swap", kind, one, other)
        self.labels = labels
        self.observation = observation


def observations(diagnosis, worlds, seen, costs, unsafe):
    """Candidates one by one; None in between, where a candidate came to nothing, so that the caller can pause.

    ``seen``: an ``outlook.Outlook`` on the worlds. ``unsafe``: says of a check whether it must not be made now. While
    the cylinder is still looked for, only what looks at the engine as a whole comes into question.
    """
    done, handled = _done(diagnosis.case), _handled(diagnosis.case)
    suspicion = _suspicion(diagnosis, worlds)[1]
    coils, cylinders = _places(diagnosis, worlds) if located(diagnosis, worlds) else ([], [])
    for declared in checks.CHECKS:
        check = declared["key"]
        in_vain = check == "spray" and not how_it_shows.water_tells(diagnosis.case)
        in_vain = in_vain or not checks.fits(check, diagnosis.case.engine)
        if in_vain or not costs.feasible(check) or unsafe(check):
            continue
        single = check not in evidence.RUNNING or has_round(diagnosis.case, check)
        near = cylinders if single else [c for c in cylinders if suspicion[c] > LOCATED]
        for place, cylinder in _spots(declared["about"], coils, near):
            wanted = not declared["after"] or _led_to(diagnosis.case, declared["after"], cylinder)
            wanted = wanted and not (check in CONNECTOR_LOOKS and place in handled)
            if wanted and _key(diagnosis.case, check, place, cylinder) not in done:
                yield _check(seen, costs, check, place, cylinder)
    for kind in ("coil", "boot", "plug", "injector"):
        for position in coils if kind == "coil" else cylinders:
            yield _swap(diagnosis, worlds, seen, costs, kind, position)


def repairs(diagnosis, worlds, costs):
    """``(index of the component, minutes, Repair)`` for every fault of the worlds that can be put right here."""
    rows = []
    for index in worlds.faults:
        component = diagnosis.model.components[index]
        declared = faults.BY_KIND[component.kind]
        if declared["mend"] and not declared["workshop"]:
            cost, minutes, way = costs.of_repair(component.kind, place_of(diagnosis, index))
            mends = worlds.mask_of([index] + _taken_along(diagnosis, worlds, index))
            rows.append((index, minutes, Repair(mends, cost, way, costs.in_vain(component.kind))))
    return rows


def place_of(diagnosis, index):
    """The place by which a component is reached, or None."""
    component = diagnosis.model.components[index]
    place, cylinders = diagnosis.standing(index)
    if place is None and component.kind in REACHED_BY and cylinders:
        kind = REACHED_BY[component.kind]
        position = diagnosis.case.engine.coil_of(cylinders[0]) if kind == "coil" else cylinders[0]
        place = "%s.%d" % (kind, position)
    return place


def _taken_along(diagnosis, worlds, index):
    """Faults that go with a replaced part: the boot on its coil."""
    place, _ = diagnosis.standing(index)
    kind, position = entries.split_place(place)
    if kind != "coil" or not diagnosis.case.engine.boots_move_with_coil:
        return []
    return [i for i in worlds.faults if diagnosis.standing(i)[0] == "boot.%d" % position]


def has_round(case, check):
    """Whether a check has been made on more than one cylinder, so that there is something to compare with."""
    made = [entry for _, entry in case.of_kind("check") if entry["body"]["check"] == check]
    return len(made) >= min(2, case.engine.cylinders)


def located(diagnosis, worlds):
    """Whether it is known where to look: at one cylinder, or at one thing that the engine shares."""
    return _worst(diagnosis, worlds) > LOCATED


def _worst(diagnosis, worlds):
    """The largest suspicion of a cylinder, or of a thing that several share."""
    _, cylinders = _suspicion(diagnosis, worlds)
    whole = [worlds.chance(i) for i in worlds.faults if not _local(diagnosis, diagnosis.standing(i)[1])]
    return max([cylinders[number] for number in sorted(cylinders)] + whole + [0.0])


def _places(diagnosis, worlds):
    """Coil positions and cylinders that faults of the worlds belong to, the most suspect first."""
    worst = _worst(diagnosis, worlds)
    found = []
    for chances in _suspicion(diagnosis, worlds):
        near = [(-chances[number], number) for number in chances if chances[number] >= NEAR * worst]
        found.append([number for _, number in sorted(near)[:MOST_PLACES]])
    return found


def _suspicion(diagnosis, worlds):
    """Weight of the faults at each coil position, and at each cylinder."""
    engine = diagnosis.case.engine
    coils, cylinders = {}, {}
    for index in worlds.faults:
        kind, served, chance = (
            diagnosis.model.components[index].kind,
            diagnosis.standing(index)[1],
            worlds.chance(index),
        )
        if kind in AT_COIL:
            position = engine.coil_of(served[0])
            coils[position] = coils.get(position, 0.0) + chance
        if _local(diagnosis, served):
            for cylinder in served:
                cylinders[cylinder] = cylinders.get(cylinder, 0.0) + chance
                if kind not in AT_COIL:
                    position = engine.coil_of(cylinder)
                    coils[position] = coils.get(position, 0.0) + chance
    return coils, cylinders


def _local(diagnosis, served):
    return len(served) <= 2 and len(served) < max(2, diagnosis.case.engine.cylinders)


def _spots(about, coils, cylinders):
    """Where a check can be made, as (place, cylinder)."""
    if about == "engine":
        return [(None, None)]
    if about == "cylinder":
        return [(None, cylinder) for cylinder in cylinders]
    return [("%s.%d" % (about, position), None) for position in (coils if about == "coil" else cylinders)]


def _done(case):
    """Keys of the checks made already; those on the engine as a whole count until something is repaired."""
    repaired = [moment for moment, _ in case.of_kind("repair")]
    done = set()
    for moment, entry in case.of_kind("check"):
        whole = checks.BY_KEY[entry["body"]["check"]]["about"] == "engine"
        if not whole or not repaired or moment > repaired[-1]:
            done.add(readings.finding_key(case, moment, entry)[:4])
    return done


def _handled(case):
    """Places where a part was taken off or fitted since arrival: its connector was in hand and pressed on."""
    moved = [entry for _, entry in case.of_kind("parts_moved") if "before_arrival" not in (entry.get("when") or {})]
    return {move[end] for entry in moved for move in entry["body"]["moves"] for end in ("from", "to")}


def _led_to(case, after, cylinder):
    """Whether one of these findings, as (check, finding), was made on the cylinder as it stands now."""
    now = case.trails.stretch(cylinder, len(case.log))
    for moment, entry in case.of_kind("check"):
        body = entry["body"]
        if body.get("cylinder") == cylinder and case.trails.stretch(cylinder, moment) == now:
            if [body["check"], grading.finding_of(case, entry)] in after:
                return True
    return False


def _key(case, check, place, cylinder):
    body = {"check": check, "place": place, "cylinder": cylinder}
    return readings.finding_key(case, len(case.log), {"body": body})[:4]


def _check(seen, costs, check, place, cylinder):
    shown = seen.of_check(check, place, cylinder)
    if not _tells(shown):
        return None
    minutes, way = costs.of_check(check, place, cylinder)
    labels = [_label(check, alike) for alike, _ in shown]
    return Candidate(
        ("check", check, place, cylinder), labels, Observation(minutes, [chances for _, chances in shown], way)
    )


def _label(check, alike):
    words = [checks.finding_label(check, finding) for finding in alike]
    return phrase(" or ").join(words[:1] + [word[0].lower() + word[1:] for word in words[1:]])


def _tells(shown):
    return any(max(chances) - min(chances) > LEAST_TELLING for _, chances in shown)


def _swap(diagnosis, worlds, seen, costs, kind, here):
    """Moving a part to a cylinder that runs clean; None where that shows nothing or cannot be done."""
    case = diagnosis.case
    if kind == "boot" and not _boot_may_go(diagnosis, worlds, here):
        return None
    part = case.trails.get(case.trails.at_place.get("%s.%d" % (kind, here)))
    moved = part is not None and part.trail[-1][2] and not _rode_along(case, part)
    if part is None or moved or not _in_play(diagnosis, worlds, kind, here):
        return None  # nothing to learn, or it has been moved already
    donor = _clean_place(diagnosis, costs, kind, here)
    if donor is None:
        return None
    seen_by = how_it_shows.seen_by(case, len(case.log))
    clean = ("drop", "full") if seen_by == "drop" else ("misfire_counts", "none")
    conditions = how_it_shows.conditions_on_the_road(case) if seen_by == "road" else ()
    shown = seen.of_swap(kind, here, donor, clean, conditions)
    minutes, way = costs.of_swap(kind, here, donor, seen_by)
    shared = OF_SHARED_COILS if len(case.engine.served_by(kind, here)) > 1 else {}
    words = [shared.get(outcome, OUTCOMES_OF_SWAP[outcome]) for outcome, _ in shown]
    labels = [phrase(text, here=here, there=donor) for text in words]
    return Candidate(("swap", kind, here, donor), labels, Observation(minutes, [chances for _, chances in shown], way))


def _boot_may_go(diagnosis, worlds, here):
    """Whether moving a boot or lead alone comes into question.

    One that rides on a coil: where it is the likelier, or where it moved along with its coil and is a real rival.
    """
    case = diagnosis.case
    if case.engine.boots_move_with_coil:
        boot, coil = [
            sum([worlds.chance(i) for i in worlds.faults if diagnosis.standing(i)[0] == "%s.%d" % (kind, here)])
            for kind in ("boot", "coil")
        ]
        rides = case.trails.get(case.trails.at_place.get("boot.%d" % here))
        return boot > coil or (boot >= REAL_RIVAL and rides is not None and _rode_along(case, rides))
    # With a lead to each cylinder from one place, its length belongs to its place.
    return case.engine.ignition == "coil_near_plug"


def _rode_along(case, part):
    """Whether a boot was last moved on its coil, so that moving it alone would tell the two apart."""
    if part.kind != "boot" or not part.trail[-1][2]:
        return False
    [entry] = [entry for entry in case.log if entry["id"] == part.trail[-1][2]]
    if entry["kind"] != "parts_moved":
        return False
    return not [move for move in entry["body"]["moves"] if entries.split_place(move["from"])[0] == "boot"]


def _in_play(diagnosis, worlds, kind, here):
    places = ["%s.%d" % (kind, here)]
    if kind == "coil" and diagnosis.case.engine.boots_move_with_coil:
        places.append("boot.%d" % here)
    return any(diagnosis.standing(i)[0] in places and _explained(diagnosis, i) > LEAST_EXPLAINED for i in worlds.faults)


def _explained(diagnosis, index):
    """How much more probable a fault is than without any finding: one that is as likely without explains none."""
    prior = 1.0 - diagnosis.model.components[index].prior[0]
    return (diagnosis.fault(index) - prior) / (1.0 - prior)


def _clean_place(diagnosis, costs, kind, here):
    """The place of that kind to swap with: its cylinders run clean, it is easily reached, and it is near."""
    engine = diagnosis.case.engine
    misses = {row["cylinder"]: row["misses"] for row in diagnosis.cylinders()}
    ways = ("open", "tight", "covered")
    rated = []
    for place in range(1, engine.positions(kind) + 1):
        name = "%s.%d" % (kind, place)
        if place != here and name in diagnosis.case.trails.at_place:
            if max(misses[c] for c in engine.served_by(kind, place)) < 0.5:
                same_bank = _bank(engine, kind, place) == _bank(engine, kind, here)
                rated.append((ways.index(costs.reach(name)), 0 if same_bank else 1, abs(place - here), place))
    return min(rated)[3] if rated else None


def _bank(engine, kind, position):
    return engine.bank_of(engine.served_by(kind, position)[0])
