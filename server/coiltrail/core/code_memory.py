"""The car's memory for codes over time: what each reading tells, and from which moment on it speaks.

What speaks is a *subject*: a kind of code at a place, such as any circuit code of coil 3.
"""

from . import codes, evidence


def told(case):
    """All that the readings of a case tell, as (moment, entry, subject, present, moment from which it speaks).

    A code speaks of every stretch since codes were last cleared, or were read without it.
    """
    memory, found = _Memory(), []
    for moment, entry in case.counted:
        kind, body = entry["kind"], entry["body"]
        if kind == "codes_cleared":
            memory.clear(moment)
        elif kind == "road_test":
            memory.driven = True
        elif _is_drop_test(entry, case.engine):
            memory.own_doing.update(_set_by_unplugging(body, case.engine))
        elif kind == "codes_read":
            for subject, present, start in memory.told_by(body, case.engine, moment):
                found.append((moment, entry, subject, present, start))
    return found


def came_since(case, since):
    """Codes that came after ``since``: read then, after a clearing or a reading without them, and none of our doing."""
    came, own_doing = set(), set()
    had = None  # codes that the memory held when it was last cleared or read as a whole; None: not known since then
    for moment, entry in case.counted:
        kind, body = entry["kind"], entry["body"]
        if moment <= since:
            continue
        if kind == "codes_cleared":
            had, own_doing = set(), set()
        elif _is_drop_test(entry, case.engine):
            own_doing.update(_set_by_unplugging(body, case.engine))
        elif kind == "codes_read":
            read = {row["code"] for row in body["codes"]}
            if had is not None:
                came.update([c for c in sorted(read - had) if not own_doing.intersection(subjects_of(c, case.engine))])
            had = read if body.get("complete") else had and had | read
    return came


def misses_since(case, since):
    """Moments at which codes of misfire were read that were not there at a moment after ``since``: it missed again."""
    return [
        moment
        for moment, _, (kind, _), present, start in told(case)
        if present and start > since and kind in ("misfire", "misfire_random")
    ]


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
            for subject in subjects_of(read["code"], engine):
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


def _is_drop_test(entry, engine):
    body = entry["body"]
    return entry["kind"] == "check" and body["check"] == "drop" and body.get("cylinder") in engine.numbers


def _set_by_unplugging(body, engine):
    """Subjects whose codes a drop test may have set itself, by what it unplugged."""
    cylinder, disabled = body["cylinder"], body.get("disabled")
    if disabled == "injector":
        return [("misfire", cylinder), ("misfire_random", 0), ("injector_circuit", cylinder)]
    if disabled == "coil":
        position = engine.coil_of(cylinder)
        missing = [("misfire", cylinder) for cylinder in engine.coils[position - 1]]
        return missing + [("misfire_random", 0), ("coil_circuit", position)]
    return []


def subjects_of(code, engine):
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
