"""The shelf: parts that hang on a tag or were laid aside, where each is now, and what should happen to it next.

A part is *blamed* where the closed case names it as its cause, and *cleared* where the bench found a blamed part
good: then it was not the cause, whatever the case says, and it counts as no failure (``learning``).
"""

from . import entries, parts, plaintext, seen
from .tongue import phrase

GONE = ("sent_back", "scrapped")
TO_RETURN = ("bench", "warranty", "core")  # what comes before a return, and the return
SEEN_AT_ONCE = ("plug", "boot")  # kinds of which a bench tells nothing more than a look. Common practice, no source


def blamed(case):
    """Ids of the parts that a closed case names as its cause, in the order of the parts."""
    closed = case.last("case_closed")
    named = (closed["body"].get("components") or []) if closed and case.status == "closed" else []
    # A part that was mended or cleaned is still the same part.
    named = [name.partition("/mended")[0] for name in named]
    return [part.id for part, name in case.trails.with_names() if name in named]


def cleared(case):
    """Ids of the blamed parts that the bench found good."""
    return [part_id for part_id in blamed(case) if bench(case.trails.get(part_id)) == "good"]


def bench(part):
    """What the bench said of a part at last: "good", "bad", "unclear", or None where it was not tested."""
    said = [fate["body"].get("bench") for fate in part.fates if fate["body"]["fate"] == "bench_tested"]
    return said[-1] or "unclear" if said else None


def next_step(case, part):
    """What should happen next to a part: a value of ``part_fate.next``, or None where nothing should.

    As somebody said with its last whereabouts, else as it follows from them.
    """
    if _fate(part) in GONE or part.place not in parts.AWAY:
        return None
    if part.fate and part.fate.get("next"):
        return part.fate["next"]
    found = bench(part)
    if found == "good":
        return "spare"
    if _return_by(part):
        return "warranty"
    if found == "bad":
        return "scrap"
    suspect = part.id in blamed(case) or part.id in replaced(case)
    if not found and (_damaged(case, part) or (suspect and part.kind in SEEN_AT_ONCE)):
        return "evidence" if part.tag else "scrap"  # nobody tags what is only thrown away
    return "bench" if found or suspect else "spare"


def deadline(case, part):
    """The day by which the part is to be returned, as said last; None where it shall not be returned (any more)."""
    return _return_by(part) if next_step(case, part) in TO_RETURN else None


def rows(case):
    """The parts of a case that belong on the shelf's list, in the order of the parts.

    Each ``{"part", "kind", "label", "tag", "brand", "part_number", "cylinders", "place", "place_label", "fate",
    "bench", "blamed", "cleared", "next", "deadline", "note", "photos"}``; ``cylinders``: those that it served, in turn.
    """
    suspects, innocent = blamed(case), cleared(case)
    return [
        {
            "part": part.id,
            "kind": part.kind,
            "label": case.trails.describe(part),
            "tag": part.tag,
            "brand": part.noted.get("brand"),
            "part_number": part.noted.get("part_number"),
            "cylinders": _cylinders(case, part),
            "place": part.place,
            "place_label": parts.place_label(part.place),
            "fate": _fate(part),
            "bench": bench(part),
            "blamed": part.id in suspects,
            "cleared": part.id in innocent,
            "next": next_step(case, part),
            "deadline": deadline(case, part),
            "note": (part.fate or {}).get("note") or "",
            "photos": _photos(case, part),
        }
        for part in case.trails.in_order()
        if part.tag or part.fates
    ]


def tallies(case):
    """What a closed case adds to the counts by brand and part number: one row for each part that has a brand.

    Each ``{"part", "kind", "brand", "part_number", "fitted", "failed", "months"}``; ``fitted``: this shop fitted it in
    this case; ``months``: its age when the case was closed, where it is known.
    """
    if case.status != "closed":
        return []
    failed = [part_id for part_id in blamed(case) if part_id not in cleared(case)]
    return [
        {
            "part": part.id,
            "kind": part.kind,
            "brand": part.noted["brand"],
            "part_number": part.noted.get("part_number") or "",
            "fitted": bool(part.fitted_by),
            "failed": part.id in failed,
            "months": part.noted.get("age_months"),
        }
        for part in case.trails.in_order()
        if part.noted.get("brand")
    ]


def doubts(case):
    """What the bench says against the cause that a closed case names: list of ``{"part", "entry", "text"}``."""
    return [
        {
            "part": part_id,
            "entry": _bench_entry(case.trails.get(part_id)),
            "text": phrase(
                "{part} was named as the cause, and the bench found it good. Look again for what mended the miss.",
                part=plaintext.sentence(case.trails.describe(case.trails.get(part_id))),
            ),
        }
        for part_id in cleared(case)
    ]


def _damaged(case, part):
    [name] = [name for other, name in case.trails.with_names() if other is part]
    return bool(seen.at(case, name))


def _return_by(part):
    said = [fate["body"]["deadline"] for fate in part.fates if fate["body"].get("deadline")]
    return said[-1] if said else None


def _bench_entry(part):
    return [fate["id"] for fate in part.fates if fate["body"]["fate"] == "bench_tested"][-1]


def _fate(part):
    return part.fate["fate"] if part.fate else None


def replaced(case):
    """Ids of the parts that a repair took out of their place for another."""
    out = []
    for _, entry in case.repairs():
        if entry["body"]["work"] == "replaced":
            sat = [p for p in case.trails.in_order() if any(e == entry["id"] and w == "off" for _, w, e in p.trail)]
            out += [part.id for part in sat]
    return out


def _cylinders(case, part):
    served = []
    for _, place, _ in part.trail:
        kind, position = entries.split_place(place)
        for cylinder in case.engine.served_by(kind, position) if kind else ():
            if cylinder not in served:
                served.append(cylinder)
    return served


def _photos(case, part):
    """Pictures of the part itself, or of its place while it sat there."""
    found = []
    for moment, entry in case.of_kind("photo"):
        body = entry["body"]
        named = case.trails.get(body.get("part"))
        at_place = case.trails.looked_at(part, body.get("place"), moment)
        if (named is part or (named is None and at_place)) and body["sha256"] not in found:
            found.append(body["sha256"])
    return found
