"""After a swap: did the miss go along with the part, or stay with the place?

A swap is half an experiment until every cylinder it touched has been looked at again: one that misses now may have
missed before, and one that is quiet may be so because its connector makes contact again. They are looked at in one go,
in the way that showed the miss before.
"""

from . import code_memory, codes, evidence, grading, how_it_shows, provoking, steps
from .tongue import phrase

SHOWN_BY = tuple(sorted(evidence.RUNNING)) + ("spray",)  # checks that show whether one cylinder misses


def look_again(case, spent):
    """The step that looks at the cylinders of a swap that nobody has looked at since; none where all are known.

    ``spent``: a ``costs.Costs``. A list of one step, or empty.
    """
    swaps = {moment for moment, entry in case.of_kind("parts_moved") if not _before_arrival(entry)}
    moved = [c for c in case.engine.numbers if case.trails.changes[c] and case.trails.changes[c][-1] in swaps]
    left = [c for c in moved if None not in _fitted(case, c, len(case.log)) and not _seen_as_it_is(case, c)]
    if not left:
        return _drive_what_is_quiet(case, moved)
    swap = max([case.trails.changes[c][-1] for c in left])
    numbers = steps.listed(left)
    if [c for c in moved if c not in left and case.trails.changes[c][-1] == swap]:
        why = phrase("One place alone does not tell whether the miss moved: see what {n} does now.", n=numbers)
    else:
        why = phrase("Did the miss go along with the part, or stay with the place? Both have to be seen.")
    seen_by = how_it_shows.seen_by(case, swap)
    looked = [
        e["body"]["check"] for m, e in case.of_kind("check") if m > swap and e["body"]["check"] in evidence.RUNNING
    ]
    if seen_by == "road" and not looked:
        return _on_the_road(case, swap, left, why, spent)
    seen_by = looked[-1] if looked else seen_by
    return [steps.round_on(seen_by if spent.feasible(seen_by) else "drop", left, why)]


def _drive_what_is_quiet(case, moved):
    """Quiet at both places is no repair: it is driven, once."""
    swap = max([case.trails.changes[c][-1] for c in moved] + [-1])
    later = [entry for moment, entry in case.counted if moment > swap]
    looked = [e for e in later if e["kind"] == "check" and e["body"]["check"] in evidence.RUNNING]
    driven = any(entry["kind"] == "road_test" for entry in later)
    if not moved or not looked or driven or provoking.shows_a_miss(case, later):
        return []
    why = phrase("It misses at neither place now: a contact that was pressed on again, or a fault that comes and goes.")
    return [
        steps.ask(
            "road",
            phrase("Drive it under what used to make it miss"),
            15,
            why,
            "road_test",
            how=provoking.drive_so(case),
            caution=steps.CAUTION_LAMP,
        )
    ]


def _before_arrival(entry):
    return "before_arrival" in (entry.get("when") or {})


def _fitted(case, cylinder, moment):
    """The parts that serve a cylinder at ``moment``; None for one that is off, or not known."""
    places = ["coil.%d" % case.engine.coil_of(cylinder)]
    places += ["%s.%d" % (kind, cylinder) for kind in ("boot", "plug", "injector")]
    return [case.trails.occupant(place, moment) for place in places]


def _seen_as_it_is(case, cylinder):
    """Whether it is known how the cylinder runs with the parts that it has now."""
    now = _fitted(case, cylinder, len(case.log))
    return any(_fitted(case, cylinder, moment) == now for moment in _looks(case, cylinder))


def _looks(case, cylinder):
    """The moments at which it was seen how a cylinder runs."""
    moments = []
    came = code_memory.misses_since(case, max(case.trails.changes[cylinder] + [-1]))
    blank, used = False, False  # no code of a miss is stored; and the engine was tried since
    for moment, entry in case.counted:
        kind, body = entry["kind"], entry["body"]
        if kind == "check" and body["check"] in SHOWN_BY and body.get("cylinder") == cylinder:
            if grading.finding_of(case, entry):
                moments.append(moment)
        elif kind == "road_test" and (body.get("counts") or body["felt"] == "none" or provoking.named(body)):
            moments.append(moment)
        elif kind == "codes_read" and blank and used and (body.get("complete") or _miss_stored(body)):
            moments.append(moment)  # what came back names the cylinder
        elif kind == "codes_read" and blank and moment in came:
            moments.append(moment)  # it ran since, whether anybody wrote that down or not
        if kind == "codes_cleared" or (kind == "codes_read" and not _miss_stored(body)):
            blank, used = True, False
        elif kind == "parts_moved":
            blank, used = blank and not used, False
        elif kind == "road_test":
            used = True
    return moments


def codes_stand(case, spent, since=-1):
    """Whether codes of a miss were read and not cleared since, with a tool at hand that clears them.

    ``since``: a moment; codes that came after a clearing later than that are news, and stand in nobody's way.
    """
    stand = False
    for moment, entry in case.counted:
        if entry["kind"] == "codes_cleared" and moment > since >= 0:
            return False
        if entry["kind"] in ("codes_read", "codes_cleared"):
            stand = entry["kind"] == "codes_read" and _miss_stored(entry["body"])
    return stand and _reader(spent)


def _miss_stored(body):
    """Whether this reading of codes names a cylinder that misses."""
    return any(codes.kind_of(row["code"]) == "misfire" for row in body["codes"] if row["status"] != "permanent")


def _reader(spent):
    return spent.has("code_reader") or spent.has("scan_tool")


def _on_the_road(case, swap, left, why, spent):
    """Clear what is stored, drive, read; what a drive did not tell is then looked for on the cylinders themselves."""
    stand = codes_stand(case, spent, swap)
    clear = [steps.clear(phrase("A code stored before the swap proves nothing after it: only what comes back counts."))]
    cleared = max([moment for moment, _ in case.of_kind("codes_cleared")] + [-1])
    drives = [(moment, entry["body"]) for moment, entry in case.of_kind("road_test") if moment > max(swap, cleared)]
    if not drives:
        return (clear if stand else []) + [_drive(case, steps.listed(left), why, spent)]
    check = "misfire_counts" if spent.feasible("misfire_counts") else "drop"
    one_by_one = [steps.round_on(check, left, phrase("The drive did not tell where it missed: try each of them."))]
    if drives[-1][1].get("untold"):
        return one_by_one
    if stand:
        return clear + one_by_one
    if _reader(spent) and not [1 for moment, _ in case.of_kind("codes_read") if moment > drives[-1][0]]:
        return [steps.read_again(phrase("The code that came back names the cylinder."))] + one_by_one
    return one_by_one


def _drive(case, numbers, why, spent):
    way = (
        phrase("Read the misfire counters of {n} right after, or while somebody else drives.", n=numbers)
        if spent.has("scan_tool")
        else phrase("Clear the codes before; the code that comes back names the cylinder.")
    )
    return steps.ask(
        "road",
        phrase("Drive it as it used to miss, and see where it is now"),
        15,
        why,
        "road_test",
        how=provoking.drive_so(case) + [way],
        caution=steps.CAUTION_LAMP,
    )
