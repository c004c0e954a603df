"""How a case's log becomes evidence: what was found, on what, in which stretch."""

from . import checks, codes, entries, evidence
from .model import Model


def model_of(case, only=None):
    """The inference model of a folded case with all its evidence.

    ``only``: ids of the entries whose evidence counts (all when None); what moved where counts always.
    """
    model = Model(case)
    for moment, entry in _latest_findings(case):
        if only is None or entry["id"] in only:
            _take_check(model, case, moment, entry)
    for moment, entry in case.counted:
        if only is None or entry["id"] in only:
            if entry["kind"] == "complaint":
                _take_complaint(model, moment, entry)
            elif entry["kind"] == "road_test":
                _take_road_test(model, moment, entry)
    _take_codes(model, case, only)
    return model


def grade_of(check, body, cylinders):
    """The finding of a check: as given, or graded from its readings. None where there is nothing to grade."""
    if body.get("finding"):
        return body["finding"]
    if check == "drop" and body.get("rpm_before") and body.get("rpm_during") is not None:
        drop = (body["rpm_before"] - body["rpm_during"]) / body["rpm_before"]
        if drop < evidence.DROP_NONE_BELOW:
            return "none"
        return "full" if drop >= evidence.DROP_FULL_SHARE / cylinders else "small"
    if check == "misfire_counts" and body.get("count") is not None:
        count = body["count"]
        return "none" if count == 0 else "some" if count < 50 else "many"
    return None


def contradictions(case):
    """Findings of one check on one thing in one stretch that cannot both be: the later one is taken."""
    told = []
    seen = {}
    for moment, entry in case.of_kind("check"):
        key = finding_key(case, moment, entry)
        grade = grade_of(entry["body"]["check"], entry["body"], case.engine.cylinders)
        before = seen.get(key)
        if before and {before[1], grade} in ({"none", "full"}, {"present", "absent"}, {"strong", "none"}):
            told.append(
                {
                    "text": "%s was found '%s' and '%s' with nothing moved between; the later one counts."
                    % (
                        checks.BY_KEY[entry["body"]["check"]]["label"],
                        checks.finding_label(entry["body"]["check"], before[1]),
                        checks.finding_label(entry["body"]["check"], grade),
                    ),
                    "entries": [before[0], entry["id"]],
                }
            )
        seen[key] = (entry["id"], grade)
    return told


def finding_key(case, moment, entry):
    body = entry["body"]
    cylinder = body.get("cylinder")
    kind, position = entries.split_place(body.get("place"))
    if cylinder is None and kind:
        served = case.engine.served_by(kind, position) if position <= case.engine.positions(kind) else ()
        cylinder = served[0] if served else None
    stretch = case.trails.stretch(cylinder, moment) if cylinder in case.engine.numbers else 0
    return (body["check"], body.get("place"), cylinder, stretch, _condition(body, "idle"))


def _latest_findings(case):
    """Checks as (moment, entry); of a check repeated on the same thing in the same stretch only the latest."""
    latest = {}
    for moment, entry in case.of_kind("check"):
        latest[finding_key(case, moment, entry)] = (moment, entry)
    return sorted(latest.values(), key=lambda pair: pair[0])


def _condition(body, usual):
    conditions = body.get("conditions") or ()
    base = "load" if "load" in conditions else usual
    return base + "+wet" if "wet" in conditions else base


def _take_check(model, case, moment, entry):
    body = entry["body"]
    check = body["check"]
    grade = grade_of(check, body, case.engine.cylinders)
    kind, position = entries.split_place(body.get("place"))
    cylinder = body.get("cylinder")
    if kind and position > case.engine.positions(kind):
        return
    if cylinder is not None and cylinder not in case.engine.numbers:
        return
    if check in evidence.RUNNING and grade in evidence.RUNNING[check] and cylinder:
        model.runs(cylinder, moment, _condition(body, "idle"), evidence.RUNNING[check][grade], entry["id"])
    elif check == "rpm_effect" and grade in evidence.COUNTED:
        model.counted([moment], "load", evidence.COUNTED[grade], entry["id"])
    elif check == "fuel_trim":
        for finding, sign in evidence.TRIM_SIGNS:
            model.sign(sign, None, moment, 1 if grade == finding else 0, entry["id"])
    elif check in evidence.CHECK_SIGNS:
        sign, levels = evidence.CHECK_SIGNS[check]
        if grade in levels:
            model.sign(sign, cylinder or position, moment, levels[grade], entry["id"])
    for (looked, component), rows in sorted(evidence.LOOKS.items()):
        if looked == check and position:
            _take_look(model, component, position, moment, rows, grade, entry["id"])


def _take_look(model, component, position, moment, rows, grade, entry_id):
    if grade in rows:
        model.look(component, position, moment, rows[grade], entry_id)
    elif len(rows) == 1:
        # A look that would have shown this one defect and did not.
        [shown] = rows.values()
        model.look(component, position, moment, {state: 1.0 - p for state, p in shown.items()}, entry_id)


def _take_complaint(model, moment, entry):
    body = entry["body"]
    if body.get("lamp") != "flashing" and not any(
        s in evidence.SYMPTOMS_OF_MISSING for s in body.get("symptoms") or ()
    ):
        return
    circumstances = [c for c in body.get("circumstances") or () if c not in ("always", "sometimes")]
    always = "always" in (body.get("circumstances") or ())
    wet = "wet" in circumstances and not always
    model.counted([moment], "drive+wet" if wet else "drive", evidence.COUNTED["complaint"], entry["id"])
    if always:
        return
    # What is said of one condition speaks of its opposite too.
    if wet:
        model.counted([moment], "drive", evidence.COUNTED["not_then"], entry["id"])
    if "idle" in circumstances and "load" not in circumstances:
        model.counted([moment], "load", evidence.COUNTED["not_then"], entry["id"])
    if "load" in circumstances and "idle" not in circumstances:
        model.counted([moment], "idle", evidence.COUNTED["not_then"], entry["id"])


def _take_road_test(model, moment, entry):
    body = entry["body"]
    condition = "drive+wet" if "wet" in (body.get("conditions") or ()) else "drive"
    model.counted([moment], condition, evidence.COUNTED["felt_" + body["felt"]], entry["id"])
    for row in body.get("counts") or ():
        grade = grade_of("misfire_counts", row, 0)
        model.runs(row["cylinder"], moment, condition, evidence.RUNNING["misfire_counts"][grade], entry["id"])


def _take_codes(model, case, only):
    """Codes keep a memory: one speaks of every stretch since codes were last cleared."""
    since = 0  # moment from which the controller's memory reaches back
    since_absent = {}  # code -> moment of a reading that did not have it, since the last clear
    latched = set()
    disturbed = set()  # cylinders whose coil or injector we unplugged since the last clear
    driven = True  # whether the engine ran on the road since the last clear
    for moment, entry in case.counted:
        kind, body = entry["kind"], entry["body"]
        if kind == "codes_cleared":
            since, since_absent, latched, disturbed, driven = moment, {}, set(), set(), False
        elif kind == "road_test":
            driven = True
        elif kind == "check" and body["check"] == "drop" and body.get("disabled") in ("coil", "injector"):
            disturbed.add(body.get("cylinder"))
        elif kind == "codes_read":
            present = {}
            for read in body["codes"]:
                present[read["code"]] = read["status"]
            counts = only is None or entry["id"] in only
            for code in _codes_that_speak(case.engine):
                if code in latched:
                    continue
                if codes.cylinder_of(code) in disturbed and codes.kind_of(code) != "misfire_random":
                    continue
                if code in present:
                    start = 0 if present[code] == "permanent" else since_absent.get(code, since)
                    latched.add(code)
                elif body.get("complete") and driven:
                    start = since_absent.get(code, since)
                    since_absent[code] = moment
                else:
                    continue
                if counts:
                    _take_code(model, case, code, code in present, start, moment, entry["id"])


def _codes_that_speak(engine):
    """Codes whose presence or absence is evidence on such an engine, in a fixed order."""
    speaking = ["P0300"] + ["P03%02d" % c for c in engine.numbers] + ["P02%02d" % c for c in engine.numbers]
    speaking += ["P%04d" % (350 + n) for n in range(1, len(engine.coils) + 1)]
    speaking += ["P0171", "P0172"] + (["P0174", "P0175"] if len(engine.banks) > 1 else [])
    return speaking + ["P0313", "P0335", "P0340", "P0016"]


def _take_code(model, case, code, present, start, moment, entry_id):
    kind = codes.kind_of(code)
    where = codes.cylinder_of(code)
    if kind == "misfire":
        chances = evidence.MISFIRE_CODE if present else tuple(1.0 - p for p in evidence.MISFIRE_CODE)
        model.runs_over(where, start, moment, "drive", chances, "false_code", entry_id)
    elif kind == "misfire_random":
        chances = (
            evidence.COUNTED["random_code"] if present else tuple(1.0 - p for p in evidence.COUNTED["random_code"])
        )
        model.counted(model.segments(start, moment), "drive", chances, entry_id)
    elif kind == "coil_circuit":
        model.sign_over("circuit_code", where, start, moment, 1 if present else 0, entry_id)
    elif kind == "injector_circuit":
        model.sign_over("injector_code", where, start, moment, 1 if present else 0, entry_id)
    else:
        for code_kind, sign in evidence.ENGINE_CODES:
            if code_kind == kind:
                model.sign(sign, None, moment, 1 if present else 0, entry_id, code)
