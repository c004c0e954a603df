"""How it is now, as sentences for the owner: cleared, driven, read again, and whether that proves the repair."""

from . import closing, codes, entries, grading, lay_words, left_over, owner_story, still_moved, verification
from .tongue import phrase

HOLDS = closing.HOLDS
NOT_MENDED = "So the fault is not mended, or not all of it."


def proved(fixed):
    """How far the drives since confirm the cause; "" where nothing was driven."""
    if not fixed or not fixed["driven"]:
        return ""
    minutes = round(fixed["driven"])
    if fixed["p"] >= HOLDS:
        return phrase(
            "Confirmed by a drive of {n} minute after the repair."
            "|Confirmed by a drive of {n} minutes after the repair.",
            n=minutes,
        )
    return phrase(
        "Driven for {n} minute since, which is too short to be sure."
        "|Driven for {n} minutes since, which is too short to be sure.",
        n=minutes,
    )


def proof(case, fixed):
    """How it is now: cleared, driven, read again, and whether that is enough."""
    repairs = case.repairs()
    if not repairs:
        cleared = [phrase("We cleared the fault memory of the car.")] if case.of_kind("codes_cleared") else []
        return cleared + (_lamp(case) if case.status == "closed" else []) + _still_moved(case)
    last, rows = repairs[-1][0], []
    if any(moment > last for moment, _ in case.of_kind("codes_cleared")):
        rows.append(phrase("After the repair we cleared the fault memory of the car."))
    drives = [entry for moment, entry in case.of_kind("road_test") if moment > last]
    if drives:
        rows += _driven(case, drives)
    after = verification.codes_after(case)
    if any(moment > last for moment, _ in case.of_kind("codes_read")):
        rows.append(_read_again(after))
    rows += _lamp(case)
    if after["returned"]:
        rows.append(phrase(NOT_MENDED))
    elif fixed:
        rows.append(_enough(fixed))
    return [row for row in rows if row] + _still_moved(case)


def standing(case):
    """Of a case that was closed without a repair: that nothing was repaired, and what is wrong still; else nothing."""
    if case.status != "closed" or case.repairs():
        return []
    declined = any(row.get("why") == "declined" for row in _left(case))
    told = [phrase("Nothing was repaired: you decided against it.") if declined else phrase("Nothing was repaired.")]
    found = {}  # cylinder -> finding of its last drop test
    for _, entry in case.of_kind("check"):
        if entry["body"]["check"] == "drop":
            for cylinder in owner_story.cylinders_of(case, entry["body"]):
                found[cylinder] = grading.finding_of(case, entry)
    for finding in ("none", "small"):
        missing = [cylinder for cylinder in sorted(found) if found[cylinder] == finding]
        if missing:
            told.append(phrase(lay_words.STILL[finding], where=owner_story.where(case, missing)))
    drives = [entry for _, entry in case.of_kind("road_test")]
    if len(told) == 1 and drives:
        told.append(owner_story.drive_text(drives[-1:]))
    elif len(told) == 1 and not found:
        told.append(phrase("What was noticed is as it was."))
    return told


def _left(case):
    return (case.last("case_closed")["body"].get("later") or []) if case.status == "closed" else []


def _lamp(case):
    """How the warning lamp is, and where it is on still, what has to be done about it."""
    stands = closing.lamp_stands(case)
    if stands != "on":
        return [phrase("The warning lamp is out.")] if stands else []
    rows = [row for row in _left(case) if row.get("what") == left_over.LAMP]
    known = rows or closing.lamp_told(case)[1]
    on = (
        phrase("The warning lamp is still on.")
        if known
        else phrase("As far as is known, the warning lamp is still on.")
    )
    last = case.repairs()[-1][0] if case.repairs() else -1
    if any(row.get("why") == "no_reader" for row in rows):
        why = phrase("There was no code reader at hand: the codes have to be read and cleared.")
    elif rows and rows[0].get("why") in ("owner", "declined"):
        why = phrase("It was left so as you wished: the codes have to be read and cleared.")
    elif not case.of_kind("codes_read"):
        why = phrase("The codes were not read here: they have to be read and cleared.")
    elif any(moment > last for moment, _ in case.of_kind("codes_cleared")):
        why = phrase("It came on again after the codes were cleared: they have to be read again.")
    else:
        why = phrase("The codes have to be read and cleared.")
    return ["%s %s" % (on, why)]


def _driven(case, drives):
    """The drives since the repair. Minutes that prove nothing are told apart, so that the report has one number."""
    counting, others = verification.clean_drives(case)
    if len(counting) + len(others) < len(drives) or not others:
        return [owner_story.drive_text(drives)]
    told = [owner_story.drive_text([{"body": body} for body in counting])] if counting else []
    minutes = sum([body["minutes"] for body in others])
    apart = verification.not_counting(case, others)
    if counting:
        return told + [apart]
    return [owner_story.drive_text([{"body": body} for body in others]), apart] if minutes else told


def _still_moved(case):
    """What was moved for a test and is not where it came; a list of one sentence, or none."""
    away, told = still_moved.parts(case), []
    for part in away:
        there = owner_story.where(case, owner_story.cylinders_of(case, {"place": part.place}))
        came = owner_story.where(case, case.engine.served_by(part.kind, part.came_at))
        what = phrase(lay_words.WORKED_ON[part.kind], where=came)
        told.append(phrase("{what}, now at {there}", what=what, there=there))
    if not told:
        return []
    on_purpose = still_moved.kept(case, away)
    return [
        phrase("Moved for the test and left there on purpose: {parts}.", parts="; ".join(told))
        if on_purpose
        else phrase("Moved for the test and not put back: {parts}.", parts="; ".join(told))
    ]


def _read_again(after):
    if after["returned"]:
        return phrase("We read the memory again: {codes} came back.", codes=", ".join(after["returned"]))
    if after["gone"]:
        return phrase("We read the memory again: what this repair was about did not come back.")
    return phrase("We read the memory again.")


def _enough(fixed):
    """Whether the drive proves the repair; what an older version kept without numbers, in its own words."""
    if "to_95" not in fixed:
        return fixed["text"]
    if fixed["to_95"] is None:
        return phrase(NOT_MENDED)
    if not fixed["driven"]:
        return phrase("It was not driven yet; a repair like this is proved by driving.")
    if fixed["p"] >= HOLDS:
        return phrase("That is long enough for a fault like this: it is mended, as far as a drive can tell.")
    if fixed.get("more_95"):
        return phrase(
            "It came now and then: to be sure, {n} more drive without a miss is needed.|"
            "It came now and then: to be sure, {n} more drives without a miss are needed.",
            n=fixed["more_95"],
        )
    n = int(fixed["to_95"]) + 1
    return phrase(
        "To be sure, {n} more minute of driving without a miss is needed."
        "|To be sure, {n} more minutes of driving without a miss are needed.",
        n=n,
    )


def codes_told(case):
    """Codes before and after: ``{"code", "text", "before", "now"}``; ``now`` is "" as long as nothing was repaired."""
    repairs = case.repairs()
    last = repairs[-1][0] if repairs else len(case.log)
    after = verification.codes_after(case)
    read_again = any(moment > last for moment, _ in case.of_kind("codes_read"))
    now = {}
    for key, words in (
        ("returned", phrase("came back")),
        ("unclear", phrase("there; to be cleared and read again")),
        ("new", phrase("new")),
        ("permanent", phrase("goes by itself in some days of driving")),
        ("gone", phrase("gone")),
    ):
        now.update({code: words for code in after[key]})
    now.update({code: _apart(case, code, last) for code in after["later"]})
    stood, stands = _statuses(case, 0, last), _statuses(case, last + 1, len(case.log))
    now.update({code: _seen_once() for code in after["new"] if stands.get(code) == ["pending"]})
    closed = case.last("case_closed") if case.status == "closed" else None
    left = [row.get("code") for row in (closed["body"].get("later") or [])] if closed else []
    rows = []
    for code in sorted(set(stood) | set(after["new"] if repairs else [])):
        before = _seen_once() if stood.get(code) == ["pending"] else phrase("there")
        rows.append(
            {
                "code": code,
                "text": code_text(case, code, in_short=code in left),
                "before": before if code in stood else phrase("not there"),
                "now": (now.get(code, "") if read_again else phrase("not read again yet")) if repairs else "",
            }
        )
    return rows


def _statuses(case, first, last):
    """The statuses with which each code was read from one moment to another: {code: [status, ...]}, each once."""
    found = {}
    for moment, entry in case.of_kind("codes_read"):
        for row in entry["body"]["codes"] if first <= moment <= last else ():
            if row["status"] not in found.setdefault(row["code"], []):
                found[row["code"]].append(row["status"])
    return found


def _seen_once():
    """What "pending" is to an owner (SAE J1979, from memory: found in one drive, not confirmed by a second)."""
    return phrase("seen once; stored if it is seen again")


def _apart(case, code, last):
    """How a code stands that speaks of something else than the miss."""
    cleared = [moment for moment, _ in case.of_kind("codes_cleared") if moment > last]
    stands = _statuses(case, cleared[-1] if cleared else last + 1, len(case.log)).get(code)
    from_miss = of_the_miss(case, code)
    if stands == ["pending"]:
        return (
            phrase("seen once since; stored if it is seen again; it may come of the misfire")
            if from_miss
            else phrase("seen once since; stored if it is seen again; a separate matter")
        )
    if from_miss:
        return (
            phrase("came back; it may come of the misfire")
            if cleared
            else phrase("still there; it may come of the misfire")
        )
    return phrase("came back; a separate matter") if cleared else phrase("still there; a separate matter")


def of_the_miss(case, code):
    """Whether a code may be the consequence of the miss: unburnt fuel harms a catalyst. Common practice, no source."""
    if codes.problem_of(code) is not None or codes.kind_of(code) != "catalyst":
        return False
    read = [row["code"] for _, entry in case.of_kind("codes_read") for row in entry["body"]["codes"]]
    kinds = [codes.kind_of(each) for each in read if codes.problem_of(each) is None]
    complaint = case.last("complaint")
    flashed = complaint and complaint["body"].get("lamp") in entries.LAMPS_OF_MISSING
    return bool(flashed) or any(kind.startswith("misfire") for kind in kinds)


def code_text(case, code, in_short=False):
    """What a code says, for its owner; ``in_short``: without what follows from it, which stands elsewhere."""
    if codes.problem_of(code) is not None:
        return ""
    kind = codes.kind_of(code)
    plain_words = lay_words.CODES.get(kind) or (None if in_short else lay_words.CODE_MEANS.get(kind))
    if not plain_words:
        return codes.meaning(code)["text"]
    if kind in lay_words.CODE_MEANS and _statuses(case, 0, len(case.log)).get(code) == ["pending"]:
        return phrase("If it is confirmed: {meaning}", meaning=phrase(plain_words))
    return phrase(plain_words)
