"""The next step by expected cost.

Value of a check (Heckerman, Breese and Rommelse 1995): the expected cost of repair before it, minus after it
averaged over what it may find, minus its own cost. Repairs are tried in the order of probability over cost,
which is best for a single fault with independent costs (Kadane and Simon 1977). For the look ahead the
posterior's suspects are taken as one fault at a time; what has been found already is weighed exactly.

Costs are minutes; money is put in the same unit (faults.KINDS). Minutes of single steps: estimate, from memory.
"""

from . import checks, evidence, faults, parts, readings, verification

MINUTES_SWAP = {"coil": 8, "plug": 18, "injector": 80}
SHORT_NAMES = {"coil": "coil", "plug": "plug", "injector": "injector"}
MINUTES_TEST = 5  # to see whether the engine runs clean
MINUTES_GIVE_UP = 240  # of sending the car elsewhere
SURE_ENOUGH = 0.90  # posterior at which repairing is proposed first
PROVED = 0.95  # posterior at which a repair counts as proved by its drive
MOST_STEPS = 4
SWAP_TELLS = 0.94  # chance that moving a bad part shows it at its new place

# Checks that pay only on one cylinder or position.
LOCAL_CHECKS = (
    "connector_look",
    "wiggle",
    "coil_look",
    "plug_look",
    "spark",
    "coil_supply",
    "coil_pulse",
    "coil_primary",
    "injector_sound",
    "injector_pulse",
    "injector_resistance",
    "compression",
    "leak_down",
    "runner_leak",
)
WHOLE_CHECKS = ("fuel_level", "fuel_trim", "air_leak", "fuel_pressure", "voltage")


def steps(diagnosis):
    """The next steps, best first: a list of dicts as DEVELOPERS.md describes under "Shapes"."""
    case = diagnosis.case
    settled = _after_repair(case, diagnosis)
    if settled:
        return settled
    suspects = _suspects(diagnosis)
    found = _by_value(diagnosis, suspects) if suspects else []
    codes_step = [] if case.of_kind("codes_read") else [_read_codes()]
    if _low_fuel_told(case):
        why = "A code says the fuel was low when it missed: settle that first."
        found = [_check_step("fuel_level", None, None, why)] + found
    elif not _located(diagnosis):
        rounds = [] if _has_round(case, "drop") else [_round(case, "drop", "Shows which cylinder does not work.")]
        found = codes_step + rounds + found
    else:
        found = found[:1] + codes_step + found[1:]
    if not _has_round(case, "connector_look") and case.engine.ignition != "distributor":
        why = "Costs minutes and finds a good part of the faults."
        found.append(_round(case, "connector_look", why))
    return _without_doubles(found)[:MOST_STEPS]


def _without_doubles(found):
    kept = []
    for step in found:
        if step["key"] not in [other["key"] for other in kept]:
            kept.append(step)
    return kept


# Before and after


def _read_codes():
    return _step(
        "codes",
        "ask",
        "Read the codes and keep them",
        4,
        "They may name the cylinder; unplugging for a drop test sets others, clearing takes them away.",
        "codes_read",
        {},
        needs="code reader; without one go on",
    )


def _low_fuel_told(case):
    told = [c["code"] for _, e in case.of_kind("codes_read") for c in e["body"]["codes"]]
    looked = [e for _, e in case.of_kind("check") if e["body"]["check"] == "fuel_level"]
    return "P0313" in told and not looked


def _after_repair(case, diagnosis):
    """Once a repair stands, the next step is to prove it."""
    repaired = case.of_kind("repair")
    if case.status == "closed":
        return [_step("report", "ask", "Hand over the report", 2, "The case is closed.", "", {})]
    if not repaired:
        return []
    since = repaired[-1][0]
    later = [(m, e) for m, e in case.counted if m > since]
    kinds = [e["kind"] for _, e in later]
    had_codes = any(e["body"]["codes"] for _, e in case.of_kind("codes_read"))
    felt = [e["body"]["felt"] for _, e in later if e["kind"] == "road_test"]
    if any(f != "none" for f in felt):
        return []
    if had_codes and "codes_cleared" not in kinds:
        return [
            _step(
                "clear",
                "ask",
                "Clear the codes",
                2,
                "So that only what comes back counts.",
                "codes_cleared",
                {"how": "reader"},
                caution="Clearing also clears readiness, which an emissions inspection checks.",
            )
        ]
    if "road_test" not in kinds:
        return [
            _step(
                "road",
                "ask",
                "Drive it under what used to make it miss",
                15,
                "A repair is proved on the road, not in the driveway.",
                "road_test",
                {},
                caution="A flashing lamp means damage in progress: do not drive on.",
            )
        ]
    if had_codes and "codes_read" not in kinds[kinds.index("road_test") :]:
        return [
            _step(
                "read",
                "ask",
                "Read the codes again",
                4,
                "What stays away is fixed; what returns or is new is told apart.",
                "codes_read",
                {},
            )
        ]
    new = [e for m, e in later if e["kind"] == "codes_read"]
    returned = new and any(c["code"].startswith("P03") for c in new[-1]["body"]["codes"])
    if returned:
        return []
    proof = verification.fixed(case, diagnosis)
    if proof["p"] < PROVED:
        minutes = max(1, int(proof["to_95"]) + 1)
        return [
            _step("drive_on", "ask", "Drive on, %d minutes" % minutes, minutes, proof["text"], "road_test", {}),
            _close("Not proved yet; close it with that said."),
        ]
    return [_close("The drive was clean; note what is left for later.")]


def _close(why):
    return _step("close", "ask", "Close the case", 3, why, "case_closed", {})


def _located(diagnosis):
    return any(row["suspicion"] > 0.25 for row in diagnosis.cylinders())


def _has_round(case, check):
    return len([e for _, e in case.of_kind("check") if e["body"]["check"] == check]) >= min(2, case.engine.cylinders)


def _round(case, check, why):
    declared = checks.BY_KEY[check]
    minutes = declared["minutes"] * case.engine.cylinders
    return _step(
        "round/" + check,
        "check",
        declared["label"] + " on every cylinder",
        minutes,
        why,
        "check",
        {"check": check},
        how=declared["how"],
        needs=declared["needs"],
        caution=declared["caution"],
    )


# By value


def _suspects(diagnosis):
    """Suspects now as (index, probability), normalised as if one of them or something else were the fault."""
    rows = []
    for index in diagnosis.suspects:
        p = diagnosis.fault(index)
        if p > 0.01 and diagnosis.standing(index)[1]:
            rows.append((index, p))
    total = sum(p for _, p in rows)
    scale = max(1.0, total)
    return [(index, p / scale) for index, p in rows]


def _by_value(diagnosis, suspects):
    now = _cost_of_repair(diagnosis, suspects)
    rated = []
    for step, cost, outcomes in _candidates(diagnosis, suspects):
        after = 0.0
        for by_suspect, other in outcomes:
            p = sum(prior * chance for (_, prior), chance in zip(suspects, by_suspect)) + _rest(suspects) * other
            if p > 1e-9:
                posterior = [(i, prior * chance / p) for (i, prior), chance in zip(suspects, by_suspect)]
                after += p * _cost_of_repair(diagnosis, posterior)
        rated.append((now - after - cost, step))
    rated.sort(key=lambda pair: (-pair[0], pair[1]["key"]))
    useful = [step for value, step in rated if value > 0]
    sure = [(i, p) for i, p in suspects if diagnosis.fault(i) >= SURE_ENOUGH]
    if sure:
        return [_repair_step(diagnosis, i) for i, _ in sure] + useful
    if useful:
        return useful
    best = max(suspects, key=lambda pair: (_ratio(diagnosis, pair), -pair[0]))
    return [_repair_step(diagnosis, best[0])]


def _rest(suspects):
    return max(0.0, 1.0 - sum(p for _, p in suspects))


def _cost(diagnosis, index):
    kind = faults.BY_KIND[diagnosis.model.components[index].kind]
    return kind["minutes"] + kind["money"] + MINUTES_TEST


def _ratio(diagnosis, pair):
    return pair[1] / _cost(diagnosis, pair[0])


def _cost_of_repair(diagnosis, suspects):
    """Expected cost of repairing in the order of probability over cost until the engine runs clean."""
    total, left = 0.0, 1.0
    for index, p in sorted(suspects, key=lambda pair: (-_ratio(diagnosis, pair), pair[0])):
        total += left * _cost(diagnosis, index)
        left = max(0.0, left - p)
    return total + left * MINUTES_GIVE_UP


def _candidates(diagnosis, suspects):
    """(step, cost, outcomes): an outcome is (chance by suspect, chance if it is something else)."""
    case = diagnosis.case
    end = len(case.log)
    done = {readings.finding_key(case, moment, entry)[:4] for moment, entry in case.of_kind("check")}
    cylinders = sorted({c for i, _ in suspects for c in _blamed_cylinders(diagnosis, i)})
    for cylinder in cylinders:
        coil = case.engine.coil_of(cylinder)
        stretch = case.trails.stretch(cylinder, end)
        for check in LOCAL_CHECKS:
            about = checks.BY_KEY[check]["about"]
            place = None if about == "cylinder" else "%s.%d" % (about, coil if about == "coil" else cylinder)
            if (
                check,
                place,
                cylinder if place is None or about != "coil" else case.engine.coils[coil - 1][0],
                stretch,
            ) in done:
                continue
            outcomes = _outcomes(diagnosis, check, cylinder, suspects)
            if outcomes:
                yield (
                    _check_step(check, place, cylinder, _reason(diagnosis, suspects)),
                    checks.BY_KEY[check]["minutes"],
                    outcomes,
                )
        for kind in ("coil", "plug", "injector"):
            swap = _swap(diagnosis, kind, cylinder, suspects)
            if swap:
                yield swap
    for check in WHOLE_CHECKS:
        if (check, None, None, 0) not in done:
            outcomes = _outcomes(diagnosis, check, None, suspects)
            if outcomes:
                yield (
                    _check_step(check, None, None, _reason(diagnosis, suspects)),
                    checks.BY_KEY[check]["minutes"],
                    outcomes,
                )


def _blamed_cylinders(diagnosis, index):
    cylinders = diagnosis.standing(index)[1]
    return cylinders if len(cylinders) <= 2 and len(cylinders) < max(2, diagnosis.case.engine.cylinders) else []


def _outcomes(diagnosis, check, cylinder, suspects):
    """What the check may find, with its chance under each suspect; None where it tells none of them apart."""
    model = diagnosis.model
    serving = [i for i, _ in model.serving(cylinder, model.end)] if cylinder else None
    if check == "fuel_trim":
        sign = evidence.SIGNS["lean_idle"]
        levels = 2
    elif check in evidence.CHECK_SIGNS:
        sign = evidence.SIGNS[evidence.CHECK_SIGNS[check][0]]
        levels = sign["levels"]
    else:
        return _look_outcomes(diagnosis, check, serving, suspects)
    outcomes, told = [], False
    for level in range(levels):
        by_suspect = []
        for index, _ in suspects:
            here = serving is None or index in serving
            shares = (
                _mixed(diagnosis, index, lambda state, i=index: sign["sources"].get((model.components[i].kind, state)))
                if here
                else None
            )
            told = told or bool(shares)
            by_suspect.append(_largest(shares, sign["leak"])[level] if shares else sign["leak"][level])
        outcomes.append((by_suspect, sign["leak"][level]))
    return outcomes if told else None


def _look_outcomes(diagnosis, check, serving, suspects):
    tables = {
        component: rows for (looked, component), rows in evidence.LOOKS.items() if looked == check and len(rows) > 1
    }
    outcomes, told = [], False
    for component in sorted(tables):
        for finding in sorted(tables[component]):
            row = tables[component][finding]
            by_suspect = []
            for index, _ in suspects:
                concerned = diagnosis.model.components[index].kind == component and index in serving
                told = told or concerned
                chance = _mixed(diagnosis, index, lambda state, row=row: (row[state],))[0] if concerned else row["good"]
                by_suspect.append(chance)
            outcomes.append((by_suspect, row["good"]))
    return outcomes if told else None


def _mixed(diagnosis, index, shares_of):
    """Shares averaged over a component's fault states as the posterior has them; None where no state gives any."""
    component = diagnosis.model.components[index]
    total, sums = 0.0, None
    for p, path in zip(diagnosis.marginals[index], component.paths):
        if path[-1] == 0:
            continue
        shares = shares_of(component.states[path[-1]]["state"])
        if shares:
            sums = [a + p * b for a, b in zip(sums or [0.0] * len(shares), shares)]
            total += p
    return [value / total for value in sums] if sums and total > 0 else None


def _largest(shares, leak):
    """Shares of the larger of two independent draws."""
    before, found = 0.0, []
    a, b = faults.running_sum(shares), faults.running_sum(leak)
    for x, y in zip(a, b):
        found.append(x * y - before)
        before = x * y
    return found


def _swap(diagnosis, kind, cylinder, suspects):
    """Moving a part to a cylinder that runs clean, and looking where the miss goes."""
    case = diagnosis.case
    engine = case.engine
    if kind == "coil" and engine.positions("coil") < 2:
        return None
    here = engine.coil_of(cylinder) if kind == "coil" else cylinder
    part = case.trails.at_place.get("%s.%d" % (kind, here))
    moving = [i for i, _ in suspects if diagnosis.model.components[i].part == part and part]
    if kind == "coil" and engine.boots_move_with_coil:
        boot = case.trails.at_place.get("boot.%d" % here)
        moving += [i for i, _ in suspects if diagnosis.model.components[i].part == boot and boot]
    if not moving or case.trails.get(part).trail[-1][2]:
        return None  # nothing to learn, or it has been moved already
    donor = _clean_place(diagnosis, kind, here)
    if donor is None:
        return None
    follows = [SWAP_TELLS if i in moving else 0.02 for i, _ in suspects]
    gone = [_reseat_gain(diagnosis, i, here) if kind == "coil" else 0.0 for i, _ in suspects]
    stays = [max(0.0, 1.0 - f - g) for f, g in zip(follows, gone)]
    outcomes = [(follows, 0.02), (stays, 0.97), (gone, 0.01)]
    one, other = "%s.%d" % (kind, here), "%s.%d" % (kind, donor)
    name = SHORT_NAMES[kind]
    step = _step(
        "swap/%s/%d/%d" % (kind, here, donor),
        "swap",
        "Swap the %ss of %d and %d" % (name, here, donor),
        MINUTES_SWAP[kind],
        "If the miss moves to %d, it is the %s; if it stays, it is not. %s"
        % (donor, name, _reason(diagnosis, suspects)),
        "parts_moved",
        {"moves": [{"from": one, "to": other}, {"from": other, "to": one}]},
        how=[
            "Engine off.",
            "Swap the two parts, press the connectors on until they lock.",
            "Test both cylinders again.",
        ],
        caution=checks.CAUTION_FUEL if kind == "injector" else checks.CAUTION_HOT,
    )
    return step, MINUTES_SWAP[kind] + 2 * checks.BY_KEY["drop"]["minutes"], outcomes


def _reseat_gain(diagnosis, index, here):
    component = diagnosis.model.components[index]
    if component.kind != "coil_connector" or component.name.partition("@")[2].partition("/")[0] != str(here):
        return 0.0
    return _mixed(diagnosis, index, lambda state: (faults.RESEAT_MENDS.get(state, 0.0),))[0]


def _clean_place(diagnosis, kind, here):
    """The nearest place of that kind whose cylinders run clean, as far as is known."""
    engine = diagnosis.case.engine
    misses = {row["cylinder"]: row["misses"] for row in diagnosis.cylinders()}
    rated = []
    for place in range(1, engine.positions(kind) + 1):
        if place != here and "%s.%d" % (kind, place) in diagnosis.case.trails.at_place:
            worst = max(misses[c] for c in engine.served_by(kind, place))
            if worst < 0.5:
                rated.append((0 if _same_bank(engine, kind, place, here) else 1, abs(place - here), place))
    return min(rated)[2] if rated else None


def _same_bank(engine, kind, one, other):
    return engine.bank_of(engine.served_by(kind, one)[0]) == engine.bank_of(engine.served_by(kind, other)[0])


# Steps as data


def _reason(diagnosis, suspects):
    ranked = sorted(suspects, key=lambda pair: (-pair[1], pair[0]))[:3]
    names = ["%s %d %%" % (diagnosis.model.components[i].label, round(100 * diagnosis.fault(i))) for i, _ in ranked]
    return "In play: %s." % ", ".join(names)


def _check_step(check, place, cylinder, why):
    declared = checks.BY_KEY[check]
    body = {"check": check}
    where = ""
    if place:
        body["place"] = place
        where = ", " + parts.place_label(place)
    elif cylinder:
        body["cylinder"] = cylinder
        where = ", cylinder %d" % cylinder
    return _step(
        "check/%s/%s" % (check, place or cylinder or "engine"),
        "check",
        declared["label"] + where,
        declared["minutes"],
        why,
        "check",
        body,
        how=declared["how"],
        needs=declared["needs"],
        caution=declared["caution"],
    )


def _repair_step(diagnosis, index):
    component = diagnosis.model.components[index]
    kind = faults.BY_KIND[component.kind]
    place, _ = diagnosis.standing(index)
    body = (
        {"work": "replaced", "place": place, "removed": component.part}
        if place
        else {"work": "mended", "component": component.name.partition("/")[0]}
    )
    title = "%s %s" % (kind["mend"], component.label)
    title += diagnosis.now_at(index)
    return _step(
        "repair/" + component.name,
        "repair",
        title,
        kind["minutes"],
        "%d %% speak for it." % round(100 * diagnosis.fault(index)),
        "repair",
        body,
        caution="The maker's torque for this engine comes before any value shown here.",
    )


def _step(key, act, title, minutes, why, kind, body, how=(), needs="", caution=""):
    return {
        "key": key,
        "act": act,
        "title": title,
        "minutes": minutes,
        "why": why,
        "how": list(how),
        "needs": needs,
        "caution": caution,
        "kind": kind,
        "body": body,
    }
