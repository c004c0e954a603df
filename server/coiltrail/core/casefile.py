"""The fold: from a case's log to the state of the case.

``fold(entries)`` takes the entries of one case in any order, with or without duplicates, and gives the
same ``CaseFile`` for any permutation of them.
"""

from . import (
    calls,
    canonical,
    checks,
    codes,
    corrections,
    engine,
    entries,
    grading,
    left_over,
    measures,
    money,
    moved_words,
    parts,
    plaintext,
    provoking,
    shelf,
    tags,
    torque,
)
from .tongue import phrase


class CaseFile:
    """What the log of one case says.

    ``log`` holds every entry in order, ``struck`` the ids of those that do not count, ``erased`` of those that
    were blanked; ``counted`` those that do
    and that this version understands, as (moment, entry); ``trails`` the parts; ``status`` is "open" or "closed".
    ``readable``: how much of each entry by its id this version can read; given for those of which it is known.
    """

    damages = None  # what ``seen`` found, once it was asked

    def __init__(self, log, readable=None):
        if not log:
            raise ValueError(phrase("This case holds no entries."))
        self.log = entries.in_order(log)
        self.case = self.log[0]["case"]
        if any(entry["case"] != self.case for entry in self.log):
            raise ValueError(phrase("These entries belong to more than one case."))
        known = readable or {}
        self.readable = {e["id"]: known.get(e["id"]) or entries.understood(e) for e in self.log}
        self.struck = entries.struck([e for e in self.log if self.readable[e["id"]] != "nothing"])
        self.erased = entries.erased([e for e in self.log if self.readable[e["id"]] != "nothing"])
        self.log = [entries.blanked(e) if e["id"] in self.erased else e for e in self.log]
        self.counted = self._counted()
        self.opened = self._opening()["body"]
        laid_out = self.opened["engine"]
        self.engine = engine.Engine(
            laid_out["cylinders"],
            laid_out["layout"],
            laid_out["ignition"],
            laid_out.get("numbering"),
            laid_out.get("firing_order"),
        )
        answers = {e["body"]["question"]: e["body"]["answer"] for _, e in self.of_kind("answered")}
        self.trails = parts.Trails(self.case, self.engine, answers)
        self.status = "open"
        for moment, entry in self.counted:
            if not self.trails.arrived and "before_arrival" not in (entry.get("when") or {}):
                self.trails.arrive()
            self._take(entry, moment)
        if not self.trails.arrived:
            self.trails.arrive()

    def _counted(self):
        return [
            (moment, entry)
            for moment, entry in enumerate(self.log)
            if entry["id"] not in self.struck and self.readable[entry["id"]] != "nothing"
        ]

    def _opening(self):
        """The latest entry that opens the case; a struck one where there is no other, so that the case can be seen."""
        opening = self.last("case_opened")
        for entry in self.log:
            if opening is None and entry["kind"] == "case_opened" and self.readable[entry["id"]] != "nothing":
                opening = entry
        if opening is None and any(entry["kind"] == "case_opened" for entry in self.log):
            raise ValueError(phrase("This case was opened by a newer version; update this one to see it."))
        if opening is None:
            raise ValueError(phrase("This case has no entry that opens it; it may not have been synced yet."))
        return opening

    def _take(self, entry, moment):
        kind = entry["kind"]
        if kind == "part_noted":
            self.trails.note(entry, moment)
        elif kind == "parts_moved":
            self.trails.move(entry, moment)
        elif kind == "repair":
            self.trails.repair(entry, moment)
        elif kind == "tag_bound":
            self.trails.bind(entry)
        elif kind == "part_fate":
            self.trails.settle(entry)
        elif kind == "case_closed":
            self.status = "closed"
        elif kind == "case_reopened":
            self.status = "open"

    def of_kind(self, kind):
        """Counted entries of ``kind`` as (moment, entry), in order."""
        return [(moment, entry) for moment, entry in self.counted if entry["kind"] == kind]

    def with_thought(self, thought):
        """The same case with further entries at its end, which are only thought of."""
        return CaseFile(self.log + thought, self.readable)

    def repairs(self):
        """Repairs made here as (moment, entry), in order, without what others did before the car came."""
        return [row for row in self.of_kind("repair") if "before_arrival" not in (row[1].get("when") or {})]

    def photos(self):
        """Counted entries of pictures that were not erased, in order."""
        return [entry for _, entry in self.of_kind("photo") if entry["id"] not in self.erased]

    def marks_on(self, photo):
        """What is drawn over the photo of an entry's id, in order."""
        kept = ("sort", "x", "y", "to_x", "to_y", "text")
        return [
            dict({key: entry["body"].get(key) for key in kept}, entry=entry["id"], words=row_text(entry))
            for _, entry in self.of_kind("marked")
            if entry["body"]["of"] == photo
        ]

    def last(self, kind):
        """The latest counted entry of ``kind``, or None."""
        found = self.of_kind(kind)
        return found[-1][1] if found else None


def fold(log):
    """The case that this log tells. Raises ValueError with a message when it tells none."""
    return CaseFile(log)


def view(case):
    """The whole case, without the diagnosis, as plain data for screens."""
    complaint, left_now = case.last("complaint"), calls.left_before(case)
    return {
        "case": case.case,
        "title": title(case.opened),
        "status": case.status,
        "vehicle": case.opened.get("vehicle") or {},
        "customer": case.opened.get("customer") or {},
        "odometer": case.opened.get("odometer"),
        "orientation": case.opened["engine"].get("orientation") or "crosswise",
        "engine": case.engine.as_dict(),
        "complaint": complaint["body"] if complaint else None,
        "provoking": provoking.provoking(case),
        "cylinders": [_cylinder(case, c) for c in case.engine.numbers],
        "parts": [part_view(case, part) for part in case.trails.in_order() if _worth_showing(part)],
        "codes": _codes(case),
        "photos": [_photo(case, entry) for entry in case.photos()],
        "questions": case.trails.questions,
        "repairs": [{"entry": e["id"], "text": row_text(e)} for _, e in case.of_kind("repair")],
        "road_tests": [{"entry": e["id"], "text": row_text(e)} for _, e in case.of_kind("road_test")],
        "calls": calls.calls(case),
        "left": left_now,
        "left_words": [left_over.in_full(row) for row in left_now],
        "unrepaired": case.status == "closed" and not case.repairs(),
        "doubts": shelf.doubts(case),
        "closing": (case.last("case_closed") or {}).get("body") if case.status == "closed" else None,
        "timeline": _timeline(case),
    }


def title(opened):
    """A short name of the case: the vehicle as far as it is known."""
    vehicle = opened.get("vehicle") or {}
    words = [str(vehicle[key]) for key in ("year", "make", "model") if vehicle.get(key)]
    return " ".join(words) or vehicle.get("plate") or vehicle.get("vin") or phrase("Vehicle without a name")


NEWER = "Recorded by a newer version"


def row_text(entry, engine=None):
    """One entry in one line of plain words. ``engine``: of its case, where it is known; moves are then told by it."""
    return _words(entry, entries.understood(entry), engine)


def _words(entry, readable, engine):
    if readable == "nothing":
        return phrase(NEWER)
    if entry["kind"] == "parts_moved":
        return moved_words.told(engine, entry["body"]["moves"]) or phrase("Nothing moved")
    return _TEXTS[entry["kind"]](entry["body"])


def _timeline(case):
    photos = {}  # entry id -> pictures that belong to it
    for entry in case.photos():
        for shown in (entry["id"], entry["body"].get("of")):
            photos.setdefault(shown, []).append(entry["body"]["sha256"])
    followed = corrections.successors(case)
    moments = {entry["id"]: moment for moment, entry in case.counted}
    rows = []
    for entry in case.log:
        row = _row(case, entry, photos.get(entry["id"], []), followed.get(entry["id"]))
        rows.append(dict(row, text=told(case, moments[entry["id"]], entry)) if entry["id"] in moments else row)
    return rows


def told(case, moment, entry):
    """One entry in a line; a check of a part that was moved names the part."""
    body = entry["body"]
    place = body.get("place") if entry["kind"] == "check" and case.readable[entry["id"]] != "nothing" else None
    away = case.trails.away(place, moment) if place and body["check"] not in checks.OF_THE_CAR else ""
    return _check_text(body, away) if away else row_text(entry, case.engine)


def _row(case, entry, photos, instead):
    readable = case.readable[entry["id"]]
    body = entry["body"] if readable != "nothing" else {}
    return {
        "id": entry["id"],
        "kind": entry["kind"],
        "label": phrase(entries.BY_KIND[entry["kind"]]["label"] if readable != "nothing" else NEWER),
        "text": _words(entry, readable, case.engine),
        "note": body.get("note") or "",
        "told": _closing_told(body) if entry["kind"] == "case_closed" else {},
        "doubt": ((torque.doubt(body) if entry["kind"] == "repair" and body else None) or {}).get("text") or "",
        "at": entry["at"][0],
        "when": entry.get("when"),
        "by": entry["by"],
        "device": entry["device"],
        "cylinder": body.get("cylinder") or _only_cylinder(case, body.get("place")),
        "struck": entry["id"] in case.struck,
        "instead": instead,  # the entry in the place of this struck one
        "newer": readable != "whole",  # something in it, or all of it, was recorded by a newer version
        "photos": photos,
    }


def _closing_told(body):
    """Fields of a closing that hold names and data, in words."""
    return {
        "components": ", ".join([component_words(name) for name in body.get("components") or []]),
        "later": left_over.sentences([left_over.in_full(row) for row in body.get("later") or []]),
    }


def _only_cylinder(case, place):
    kind, position = entries.split_place(place)
    served = case.engine.served_by(kind, position) if kind else ()
    return served[0] if len(served) == 1 else None


def _cylinder(case, cylinder):
    trails = case.trails
    coil = case.engine.coil_of(cylinder)
    places = {"coil": "coil.%d" % coil, "boot": "boot.%d" % cylinder, "plug": "plug.%d" % cylinder}
    places["injector"] = "injector.%d" % cylinder
    latest = {}
    for moment, entry in case.of_kind("check"):
        body = entry["body"]
        kind, position = entries.split_place(body.get("place"))
        here = body.get("cylinder") == cylinder or (kind and cylinder in case.engine.served_by(kind, position))
        if here:
            now = trails.stretch(cylinder, moment) == trails.stretch(cylinder, len(case.log))
            finding = grading.finding_of(case, entry)
            latest[body["check"]] = {
                "check": body["check"],
                "finding": finding,
                "means": checks.finding_means(body["check"], finding),
                "text": finding_text(dict(body, finding=finding)),
                "entry": entry["id"],
                "now": now,  # false: found before something was moved or mended here
            }
    return {
        "cylinder": cylinder,
        "bank": case.engine.bank_of(cylinder),
        "coil_position": coil,
        "parts": {kind: trails.at_place.get(place) for kind, place in places.items()},
        "findings": [latest[check["key"]] for check in checks.CHECKS if check["key"] in latest],
    }


def part_view(case, part):
    """One part with its trail and what was found on it."""
    return {
        "part": part.id,
        "kind": part.kind,
        "label": case.trails.describe(part),
        "place": part.place,
        "place_label": parts.place_label(part.place),
        "noted": part.noted,
        "tag": part.tag,
        "fate": part.fate,
        "bench": shelf.bench(part),
        "next": shelf.next_step(case, part) if part.tag or part.fates else None,
        "deadline": shelf.deadline(case, part) if part.fates else None,
        "fitted_by": part.fitted_by,
        "trail": [
            {"place": place, "label": parts.place_label(place), "entry": entry} for _, place, entry in part.trail
        ],
        "findings": [
            {"entry": e["id"], "text": told(case, moment, e), "photos": photos_of(case, e)}
            for moment, e in case.of_kind("check")
            if _speaks_of(case, part, moment, e["body"])
        ],
    }


def photos_of(case, entry):
    """Pictures (SHA-256) that belong to an entry."""
    return [photo["body"]["sha256"] for photo in case.photos() if photo["body"].get("of") == entry["id"]]


def _speaks_of(case, part, moment, body):
    """Whether a check looked at this part, or at how a cylinder ran that it served then."""
    place = body.get("place")
    if place:
        sat = case.trails.occupant(place, moment) == part.id
        seen = body["check"] == "coil_look" and case.trails.looked_at(part, place, moment)  # a boot, with its coil
        return body["check"] not in checks.OF_THE_CAR and (sat or seen)
    kind, position = entries.split_place(part.place_at(moment))
    return bool(kind) and body.get("cylinder") in case.engine.served_by(kind, position)


def _worth_showing(part):
    return part.kind == "coil" or part.noted or part.tag or part.fate or part.fitted_by or len(part.trail) > 1


STATUSES = ("stored", "permanent", "pending")  # of two that one reading gives a code, the first is shown


def _codes(case):
    """Codes with what the readings say, and whether each was read before the last clearing, since, or both.

    ``absent``: a reading of the whole list, or the first since the clearing, had it no more. It stands beside no code
    that is there now.
    """
    readings = case.of_kind("codes_read")
    cleared = [moment for moment, _ in case.of_kind("codes_cleared")]
    last_clear = cleared[-1] if cleared else -1
    begins = -1  # from here on what was read may still be there
    for moment, entry in readings:
        if entry["body"].get("complete") or begins < last_clear < moment:
            begins = moment
    there = {read["code"] for moment, entry in readings if moment >= begins for read in entry["body"]["codes"]}
    told = {}
    for moment, entry in readings:
        for read in entry["body"]["codes"]:
            row = told.setdefault(
                read["code"], {"code": read["code"], "entries": [], "before_clear": False, "since_clear": False}
            )
            if entry["id"] not in row["entries"]:
                row["entries"].append(entry["id"])
                row["status"] = read["status"]
            elif STATUSES.index(read["status"]) < STATUSES.index(row["status"]):
                row["status"] = read["status"]
            row["since_clear" if moment > last_clear else "before_clear"] = True
    rows = []
    for code in sorted(told):
        row = told[code]
        known = codes.problem_of(code) is None
        unknown = {"bearing": "apart", "reason": phrase("Its form is not known here.")}
        bearing = codes.bearing(code, sorted(there if code in there else told)) if known else unknown
        row["text"] = codes.meaning(code)["text"] if known else phrase(NEWER)
        row["bearing"] = bearing["bearing"]
        row["reason"] = bearing["reason"]
        row["absent"] = code not in there
        rows.append(row)
    return {"rows": rows, "cleared": bool(cleared), "read_since_clear": any(m > last_clear for m, _ in readings)}


def _photo(case, entry):
    body = entry["body"]
    kept = ("sha256", "shows", "detail", "cylinder", "place", "part", "of", "caption", "width", "height")
    photo = {key: body.get(key) for key in kept}
    photo["entry"] = entry["id"]
    photo["marks"] = case.marks_on(entry["id"])
    return photo


# One line of words for each kind.


def _priced_text(body):
    return "%s: %s" % (choice_label("priced", "stage", body["stage"]), money.totals(body)["total_text"])


def finding_text(body):
    """What a check found, in words."""
    words = [checks.finding_label(body["check"], body["finding"])] if body.get("finding") else []
    if body.get("reading"):
        words.append(measures.show(body["reading"]))
    if body.get("count") is not None:
        words.append(phrase("misfires: {n}", n=body["count"]))
    if body.get("rpm_before") and body.get("rpm_during") is not None:
        speeds = (canonical.fixed(body["rpm_before"], 0), canonical.fixed(body["rpm_during"], 0))
        words.append(phrase("{before} to {during} rpm", before=speeds[0], during=speeds[1]))
    if body.get("measured"):
        words.append(phrase("measured by the phone"))
    for when, running in (("idle", phrase("at idle")), ("fast", phrase("at 2,500 rpm"))):
        trims = [body.get("%s_trim_%s" % (which, when)) for which in ("short", "long")]
        if trims != [None, None]:
            shown = ["-" if trim is None else canonical.number(trim) for trim in trims]
            words.append(phrase("trim {running}: {short} / {long} %", running=running, short=shown[0], long=shown[1]))
    return ", ".join(words)


def round_text(made):
    """Entries of one check, one after the other, in one line: "Drop test: cylinder 1, Full drop; cylinder 2, ..."."""
    if len(made) == 1:
        return row_text(made[0])
    told = [", ".join([part for part in (_where(e["body"]), finding_text(e["body"])) if part]) for e in made]
    return "%s: %s" % (phrase(checks.BY_KEY[made[0]["body"]["check"]]["label"]), "; ".join(told))


def _where(body):
    if body.get("place"):
        return parts.place_label(body["place"])
    if body.get("cylinder"):
        return phrase("cylinder {n}", n=body["cylinder"])
    return phrase("bank {n}", n=body["bank"]) if body.get("bank") else ""


def _check_text(body, away=""):
    head = phrase(checks.BY_KEY[body["check"]]["label"])
    if body.get("place"):
        head = parts.what_where(head, body["place"], away)
    elif body.get("cylinder"):
        head = "%s, %s" % (head, _where(body))
    elif body.get("bank"):
        head = "%s, %s" % (head, phrase("bank {n}", n=body["bank"]))
    found = finding_text(body)
    return "%s: %s" % (head, found) if found else head


def _photo_text(body):
    if body.get("caption"):
        return body["caption"]
    shown = choice_label("photo", "shows", body.get("shows")) or phrase("Photo")
    if body.get("place"):
        return parts.what_where(shown, body["place"])
    return "%s, %s" % (shown, _where(body)) if body.get("cylinder") else shown


def choice_label(kind, name, value):
    """The words for a value of a choice field of ``kind``."""
    for field in entries.BY_KIND[kind]["fields"]:
        if field["name"] == name:
            for choice in field["choices"]:
                if choice["value"] == value:
                    return phrase(choice["label"])
    return value or ""


def _complaint_text(body):
    words = [choice_label("complaint", "symptoms", s) for s in body.get("symptoms") or []]
    words = words[:1] + [word.lower() for word in words[1:]]
    if body.get("lamp"):
        words.append(phrase("lamp {state}", state=choice_label("complaint", "lamp", body["lamp"]).lower()))
    return ", ".join(words) or body.get("words") or phrase("No words")


def _codes_text(body):
    return ", ".join("%s %s" % (c["code"], phrase(c["status"])) for c in body["codes"]) or phrase("No codes")


def _noted_text(body):
    what = parts.place_label(body["place"]) if body.get("place") else phrase(dict(entries.PART_KINDS)[body["kind"]])
    return ", ".join([plaintext.sentence(what)] + [body[key] for key in ("brand", "part_number") if body.get(key)])


def _repair_text(body):
    words = [choice_label("repair", "work", body["work"])]
    if body.get("place"):
        words.append(parts.place_label(body["place"]))
    elif body.get("component"):
        words.append(component_words(body["component"]))
    if body.get("extent") == "all":
        words.append(phrase("with the whole set"))
    fitted = [body[key] for key in ("brand", "part_number") if body.get(key)]
    if fitted:
        words.append(" ".join(fitted))
    if body.get("torque"):
        words.append(
            phrase("torque {torque}, doubtful", torque=measures.show(body["torque"]))
            if torque.doubt(body)
            else phrase("torque {torque}", torque=measures.show(body["torque"]))
        )
    return ", ".join(words)


def _shake_text(body):
    words = [phrase("{rpm} rpm", rpm=canonical.fixed(body["rpm"], 0))]
    for name in ("shake", "half_order"):
        if body.get(name):
            words.append("%s %s" % (_field_label("shake_measured", name), measures.show(body[name])))
    return ", ".join(words)


def _field_label(kind, name):
    [label] = [field["label"] for field in entries.BY_KIND[kind]["fields"] if field["name"] == name]
    return phrase(label)


def _road_text(body):
    felt = choice_label("road_test", "felt", body["felt"]).lower()
    text = phrase("{minutes} min, misfire felt: {felt}", minutes=canonical.number(body["minutes"]), felt=felt)
    missed = ", ".join([str(cylinder) for cylinder in provoking.named(body)])
    if missed:
        return "%s, %s" % (text, phrase("missed: {numbers}", numbers=missed))
    return "%s, %s" % (text, phrase("could not tell where")) if body.get("untold") else text


def _answer_text(body):
    told = calls.answer_text(body) or torque.answer_text(body)
    if told:
        return told
    words = {"kept": phrase("Moved parts stay where they are"), "out": phrase("The warning lamp is out")}
    words.update({"move": phrase("As this entry says"), "leave": phrase("As it was before")})
    words.update({"here": phrase("The tag hangs here"), "there": phrase("The tag hangs where it hung before")})
    return words.get(body["answer"]) or plaintext.sentence(parts.place_label(body["answer"]))


# Why the phone itself strikes an entry; the log keeps these words, whatever language is spoken.
_OWN_REASONS = (corrections.FOUND_ANEW, "Rubbed out", corrections.PUT_RIGHT)


def component_words(name):
    kind, _, where = name.partition("@")
    return " ".join([phrase(kind.replace("_", " "))] + ([where] if where else []))


def _fate_text(body):
    bench = ": %s" % choice_label("part_fate", "bench", body["bench"]).lower() if body.get("bench") else ""
    return choice_label("part_fate", "fate", body["fate"]) + bench


_TEXTS = {
    "case_opened": title,
    "complaint": _complaint_text,
    "codes_read": _codes_text,
    "codes_cleared": lambda body: choice_label("codes_cleared", "how", body.get("how")) or phrase("Cleared"),
    "part_noted": _noted_text,
    "check": _check_text,
    "shake_measured": _shake_text,
    "photo": _photo_text,
    "marked": lambda body: body.get("text") or choice_label("marked", "sort", body["sort"]),
    "recording": lambda body: body.get("caption") or choice_label("recording", "form", body["form"]),
    "note": lambda body: body["text"],
    "agreed": lambda body: body["what"],
    "priced": _priced_text,
    "answered": _answer_text,
    "repair": _repair_text,
    "tag_bound": lambda body: tags.with_groups(body["code"]),
    "part_fate": _fate_text,
    "road_test": _road_text,
    "case_closed": lambda body: body["cause"],
    "case_reopened": lambda body: body["why"],
    "struck": lambda body: phrase(body["why"]) if body["why"] in _OWN_REASONS else body["why"],
    "erased": lambda body: phrase("Entries blanked: {n}", n=len(body["entries"])),
    "prices_set": lambda body: body["currency"],
}
