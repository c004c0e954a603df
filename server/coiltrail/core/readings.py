"""How a case's log becomes evidence: what was found, on what, in which stretch."""

from . import checks, codes, entries, evidence, grading, parts
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
    return "%s, %s" % (check, parts.place_label(body["place"])) if body.get("place") else check


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
    latest = {}
    for moment, entry, _ in _judged(case):
        latest[finding_key(case, moment, entry)] = (moment, entry)
    return sorted(latest.values(), key=lambda pair: pair[0])


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
    most = max([row["count"] for row in body.get("counts") or ()] + [0])
    for row in body.get("counts") or ():
        grade = grading.misfires(row["count"], most)
        if row["cylinder"] in model.engine.numbers:
            model.runs(row["cylinder"], moment, condition, evidence.RUNNING["misfire_counts"][grade], entry["id"])


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
    """Codes keep a memory: one speaks of every stretch since codes were last cleared.

    What speaks is a *subject*: a kind of code at a place, such as any circuit code of coil 3.
    """
    memory = _Memory()
    for moment, entry in case.counted:
        kind, body = entry["kind"], entry["body"]
        if kind == "codes_cleared":
            memory.clear(moment)
        elif kind == "road_test":
            memory.driven = True
        elif kind == "check" and body["check"] == "drop" and body.get("cylinder") in case.engine.numbers:
            memory.own_doing.update(_set_by_unplugging(body, case.engine))
        elif kind == "codes_read":
            for subject, present, start in memory.told_by(body, case.engine, moment):
                if only is None or entry["id"] in only:
                    condition = _frame_condition(body, subject, case.engine) if present else "drive"
                    _take_subject(model, subject, present, start, moment, condition, entry["id"])


class _Memory:
    """What the controller has kept since codes were last cleared, as far as we know it."""

    def __init__(self):
        self.permanent = set()  # subjects read as permanent alone: clearing leaves them, they say it only once
        self.clear(0)
        self.driven = True

    def clear(self, moment):
        """Codes were cleared at ``moment``; permanent ones outlive it."""
        self.since = moment  # from where it reaches back
        self.driven = False  # whether the engine ran on the road since
        self.latched = set()  # subjects read already: read again they say nothing new
        self.absent = {}  # subject -> moment of the last reading without it
        self.own_doing = set()  # subjects whose codes we may have set ourselves by unplugging

    def told_by(self, body, engine, moment):
        """What one reading tells, as (subject, present, moment from which it speaks)."""
        lasting = {}  # subject -> whether it was read as permanent alone
        for read in body["codes"]:
            for subject in _subjects_of(read["code"], engine):
                lasting[subject] = read["status"] == "permanent" and lasting.get(subject, True)
        told = []
        unnamed = ("misfire_random", 0) in lasting and not any(kind == "misfire" for kind, _ in lasting)
        for subject in _subjects(engine, lasting):
            if subject in self.latched or subject in self.own_doing:
                continue
            start = self.absent.get(subject, self.since)
            if lasting.get(subject):
                if subject not in self.permanent:
                    self.permanent.add(subject)
                    told.append((subject, True, 0))
            elif subject in lasting:
                self.latched.add(subject)
                told.append((subject, True, start))
            elif unnamed and subject[0] == "misfire":
                continue  # P0300 alone stands for cylinders it does not name (13 CCR 1968.2(e)(3.1.3))
            elif body.get("complete") and self.driven and subject[0] in ABSENCE_SPEAKS:
                self.absent[subject] = moment
                told.append((subject, False, start))
        return told


# A missing P0300 would say again what the missing codes of the cylinders say.
ABSENCE_SPEAKS = ("misfire", "coil_circuit", "injector_circuit", "lean_code", "rich_code")


def _set_by_unplugging(body, engine):
    """Subjects whose codes a drop test may have set itself, by what it unplugged."""
    cylinder, disabled = body["cylinder"], body.get("disabled")
    if disabled == "injector":
        return [("misfire", cylinder), ("injector_circuit", cylinder)]
    if disabled == "coil":
        position = engine.coil_of(cylinder)
        return [("misfire", c) for c in engine.coils[position - 1]] + [("coil_circuit", position)]
    return []


def _subjects_of(code, engine):
    """The subjects that a code speaks of on such an engine: a list of (kind or sign, place)."""
    kind = codes.kind_of(code)
    where = codes.cylinder_of(code)
    if kind in ("misfire", "injector_circuit"):
        return [(kind, where)] if where in engine.numbers else []
    if kind == "coil_circuit":
        return [(kind, where)] if where and where <= len(engine.coils) else []
    if kind == "misfire_random":
        return [(kind, 0)]
    return [(sign, 0) for sign, kinds in evidence.ENGINE_CODES if kind in kinds]


def _subjects(engine, present):
    """Subjects whose presence or absence is evidence on such an engine, in a fixed order."""
    found = {("lean_code", 0), ("rich_code", 0)}
    for cylinder in engine.numbers:
        found.update([("misfire", cylinder), ("injector_circuit", cylinder)])
    for position in range(1, len(engine.coils) + 1):
        found.add(("coil_circuit", position))
    return sorted(found | set(present))


def _frame_condition(body, subject, engine):
    """Under which condition a code was set: as its freeze frame shows, else somewhere on the drive."""
    frame = body.get("freeze_frame") or {}
    named = frame.get("code")
    if named and subject not in _subjects_of(named, engine):
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
