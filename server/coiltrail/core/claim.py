"""What a supplier needs to judge a part under warranty: its trail, the findings, the dates. Nothing of the customer."""

from . import casefile, entries, report, tags
from .measures import show
from .tongue import phrase

OF_A_PART = ("coil", "plug", "part")  # what a photo taken at a place shows of the part there


def claim(case, part_id):
    """The claim for one part, as DEVELOPERS.md describes under "Shapes". Raises ValueError for a part not known."""
    part = case.trails.get(part_id)
    if part is None:
        raise ValueError(phrase("This case knows no such part."))
    told = casefile.part_view(case, part)
    by_id = {entry["id"]: entry for entry in case.log}
    closed = case.last("case_closed")
    return {
        "title": "%s, %s" % (phrase(dict(entries.PART_KINDS)[part.kind]), casefile.title(case.opened)),
        "vehicle": report.vehicle(dict(case.opened, odometer=None), personal=False),
        "part": _described(part),
        "fitted": _fitted(case, part, by_id),
        "removed": _removed(case, part, by_id),
        "trail": [{"text": row["label"], "ms": _ms(by_id.get(row["entry"]))} for row in told["trail"]],
        "found": [dict(row, ms=_ms(by_id[row["entry"]])) for row in told["findings"]],
        "cause": closed["body"]["cause"] if closed and case.status == "closed" else "",
        "fate": _fate(part),
        "photos": _photos(case, part),
    }


def _described(part):
    noted = part.noted
    rows = [(phrase("Part"), phrase(dict(entries.PART_KINDS)[part.kind]))]
    for key, label in (("brand", phrase("Brand")), ("part_number", phrase("Part number"))):
        if noted.get(key):
            rows.append((label, noted[key]))
    for key in ("use", "origin"):
        if noted.get(key) and noted[key] != "unknown":
            words = casefile.choice_label("part_noted", key, noted[key])
            rows.append((phrase("Condition when fitted") if key == "use" else phrase("Origin"), words))
    if part.tag:
        rows.append((phrase("Tag"), tags.with_groups(part.tag)))
    return [list(row) for row in rows]


def _fitted(case, part, by_id):
    """When it was fitted: by a repair of this case, else as somebody noted from a bill."""
    if part.fitted_by:
        return {"ms": _ms(by_id[part.fitted_by]), "date": "", "odometer": _odometer(case), "age_months": None}
    noted = part.noted
    odometer = noted.get("fitted_odometer")
    return {
        "ms": None,
        "date": noted.get("fitted_on") or "",
        "odometer": show(odometer) if odometer else "",
        "age_months": noted.get("age_months"),
    }


def _removed(case, part, by_id):
    """When it came off for good; None while it is on the engine."""
    if part.place != "off" or not part.trail[-1][2]:
        return None
    return {"ms": _ms(by_id[part.trail[-1][2]]), "odometer": _odometer(case)}


def _odometer(case):
    """As it stood when the case was opened: the drives since then are few."""
    return show(case.opened["odometer"]) if case.opened.get("odometer") else ""


def _photos(case, part):
    """Pictures of the part that no finding shows: named so, or taken of what sat at its place."""
    shown = []
    for moment, entry in case.of_kind("photo"):
        body = entry["body"]
        there = body.get("shows") in OF_A_PART and case.trails.looked_at(part, body.get("place"), moment)
        if entry["id"] in case.erased:
            continue
        if body.get("part") == part.id or (there and not body.get("part") and not body.get("of")):
            shown.append(body["sha256"])
    return shown


def _fate(part):
    fate = part.fate
    if not fate:
        return None
    words = casefile.choice_label("part_fate", "fate", fate["fate"])
    bench = casefile.choice_label("part_fate", "bench", fate["bench"]) if fate.get("bench") else ""
    return {"text": words, "bench": bench, "deadline": fate.get("deadline") or "", "note": fate.get("note") or ""}


def _ms(entry):
    """When it happened; None before arrival, whose date nobody knows."""
    if entry is None or "before_arrival" in (entry.get("when") or {}):
        return None
    return (entry.get("when") or {}).get("ms", entry["at"][0])
