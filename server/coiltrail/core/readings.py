"""How a case's log becomes evidence: what was found, on what, in which stretch."""

from . import checks, code_memory, entries, evidence, grading, parts, provoking
from .model import Model
from .tongue import phrase


def model_of(case, only=None):
    """The inference model of a folded case with all its evidence.

    ``only``: ids of the entries whose evidence counts (all when None); what moved where counts always.
    """
    model = Model(case)
    for moment, entry in _latest_findings(case):
        if only is None or entry["id"] in only:
            take_check(model, case, moment, entry)
    for moment, entry in case.counted:
        if only is None or entry["id"] in only:
            if entry["kind"] == "complaint":
                _take_complaint(model, moment, entry)
            elif entry["kind"] == "road_test":
                _take_road_test(model, moment, entry)
    for moment, entry in _bench_results(case):
        if only is None or entry["id"] in only:
            _take_bench(model, case, moment, entry)
    _take_codes(model, case, only)
    return model


def _judged(case):
    """Checks whose finding this version can judge, as (moment, entry, finding)."""
    found = []
    for moment, entry in case.of_kind("check"):
        body = entry["body"]
        finding = grading.finding_of(case, entry)
        if finding in checks.findings_of(body["check"]) and not entries.body_rules("check", body):
            found.append((moment, entry, finding))
    return found


# Findings of one check that cannot both be with nothing moved between.
OPPOSITES = (
    ("none", "full"),
    ("none", "strong"),
    ("none", "good"),
    ("present", "absent"),
    ("clicks", "silent"),
    ("tight", "leaks"),
    ("in_range", "open"),
    ("wide", "narrow"),
    ("low", "high"),
    ("less", "more"),
    ("rises", "same"),
    ("rises", "steady"),
    ("good", "high"),
    ("good", "intake"),
    ("good", "exhaust"),
    ("good", "crankcase"),
    ("good", "across"),
    ("good", "cracked"),
)


def contradictions(case):
    """What cannot both be: a list of ``{"text", "entries"}``, the earlier entry first.

    Opposite findings of one check on one thing in one stretch, of which the later is taken; and a part that two
    entries have in two places, which is asked as well.
    """
    told = []
    seen = {}
    for moment, entry, grade in _judged(case):
        key = finding_key(case, moment, entry)
        before = seen.get(key)
        if before and ((before[1], grade) in OPPOSITES or (grade, before[1]) in OPPOSITES):
            check = checks.BY_KEY[entry["body"]["check"]]
            text = phrase(
                "{check} was found '{earlier}' and '{later}' with nothing moved between; the later one counts. "
                "Strike the wrong one.",
                check=_where(phrase(check["label"]), entry["body"]),
                earlier=checks.finding_label(check["key"], before[1]),
                later=checks.finding_label(check["key"], grade),
            )
            told.append({"text": text, "entries": [before[0], entry["id"]]})
        seen[key] = (entry["id"], grade)
    for question in case.trails.questions:
        if question["id"].startswith("stands/"):
            told.append({"text": question["text"], "entries": question["entries"]})
    return told


def _where(check, body):
    if body.get("cylinder"):
        return "%s, %s" % (check, phrase("cylinder {n}", n=body["cylinder"]))
    return parts.what_where(check, body["place"]) if body.get("place") else check


def finding_key(case, moment, entry):
    body = entry["body"]
    cylinder = body.get("cylinder")
    kind, position = entries.split_place(body.get("place"))
    if cylinder is None and kind:
        served = case.engine.served_by(kind, position) if position <= case.engine.positions(kind) else ()
        cylinder = served[0] if served else None
    if kind == "coil" and cylinder is not None:
        stretch = sum([case.trails.stretch(c, moment) for c in case.engine.served_by(kind, position)])
    elif cylinder in case.engine.numbers:
        stretch = case.trails.stretch(cylinder, moment)
    else:
        stretch = _engine_stretch(case, body["check"], moment)
    return (body["check"], body.get("place"), cylinder, stretch, _condition(body, "idle"))


def _engine_stretch(case, check, moment):
    """How often what a check of the whole engine looks at changed so far."""
    if check == "rpm_effect":
        return sum([case.trails.stretch(c, moment) for c in case.engine.numbers])
    kinds = [kind for sign, _ in evidence.signs_of(check) for kind, _ in evidence.SIGNS[sign]["sources"]]
    mended = case.trails.mended
    return len([m for name in mended if name.partition("@")[0] in kinds for m in mended[name] if m < moment])


def _latest_findings(case):
    """Checks as (moment, entry); of a check repeated on the same thing in the same stretch only the latest.

    A check without a finding or a place, or with a finding of a newer version, says nothing and hides nothing.
    """
    latest = {}  # key -> {bank: (moment, entry, finding)}
    for moment, entry, finding in _judged(case):
        latest.setdefault(finding_key(case, moment, entry), {})[entry["body"].get("bank")] = (moment, entry, finding)
    return sorted([_of_banks(latest[key]) for key in latest], key=lambda pair: pair[0])  # in any order


def _of_banks(found):
    """Of one check on both banks what stands out, else the latest: what is out on one bank alone is out."""
    rows = sorted(found.values(), key=lambda row: row[0])  # in any order
    odd = [row for row in rows if not checks.went_well(row[1]["body"]["check"], row[2])]
    moment, entry, _ = (odd or rows)[-1]
    return moment, entry


def _condition(body, usual):
    conditions = body.get("conditions") or ()
    base = "load" if "load" in conditions else usual
    return base + "+wet" if "wet" in conditions else base


def take_check(model, case, moment, entry):
    """Put one check on ``model`` as evidence: a recorded one, or one that is only thought of."""
    body = entry["body"]
    check = body["check"]
    grade = grading.finding_of(case, entry)
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
    for sign, levels in evidence.signs_of(check):
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
    if body.get("lamp") not in entries.LAMPS_OF_MISSING and not any(
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
    most = max([row["count"] for row in body.get("counts") or ()] + [0])
    for row in body.get("counts") or ():
        grade = grading.misfires(row["count"], most)
        if row["cylinder"] in model.engine.numbers:
            model.runs(row["cylinder"], moment, condition, evidence.RUNNING["misfire_counts"][grade], entry["id"])
    counted = [row["cylinder"] for row in body.get("counts") or ()]
    for cylinder in provoking.named(body):
        if cylinder in model.engine.numbers and cylinder not in counted:
            model.runs(cylinder, moment, condition, evidence.MISFIRE_CODE, entry["id"])


def _bench_results(case):
    """Results of parts on the bench as (moment, entry); of a part tested again only the latest."""
    latest = {}
    for moment, entry in case.of_kind("part_fate"):
        part = case.trails.get(entry["body"]["part"])
        if part is not None and entry["body"].get("bench") in evidence.BENCH[part.kind]:
            latest[part.id] = (moment, entry)
    return sorted(latest.values(), key=lambda pair: pair[0])


def _take_bench(model, case, moment, entry):
    part = case.trails.get(entry["body"]["part"])
    model.look_at_part(part, moment, evidence.BENCH[part.kind][entry["body"]["bench"]], entry["id"])


def _take_codes(model, case, only):
    for moment, entry, subject, present, start in code_memory.told(case):
        if only is None or entry["id"] in only:
            condition = _frame_condition(entry["body"], subject, case.engine) if present else "drive"
            _take_subject(model, subject, present, start, moment, condition, entry["id"])


def _frame_condition(body, subject, engine):
    """Under which condition a code was set: as its freeze frame shows, else somewhere on the drive."""
    frame = body.get("freeze_frame") or {}
    named = frame.get("code")
    if named and subject not in code_memory.subjects_of(named, engine):
        return "drive"
    return grading.frame_condition(frame) or "drive"


def _take_subject(model, subject, present, start, moment, condition, entry_id):
    kind, where = subject
    if kind == "misfire":
        chances = _chances(evidence.MISFIRE_CODE, present)
        model.runs_over(where, start, moment, condition, chances, "false_code", entry_id)
    elif kind == "misfire_random":
        chances = _chances(evidence.COUNTED["random_code"], present)
        model.counted(model.segments(start, moment), condition, chances, entry_id)
    elif kind == "coil_circuit":
        model.sign_over("circuit_code", where, start, moment, 1 if present else 0, entry_id)
    elif kind == "injector_circuit":
        model.sign_over("injector_code", where, start, moment, 1 if present else 0, entry_id)
    else:
        model.sign(kind, None, moment, 1 if present else 0, entry_id)


def _chances(of_presence, present):
    return of_presence if present else tuple([1.0 - p for p in of_presence])
