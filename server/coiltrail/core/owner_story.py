"""What was found and done, as sentences for the owner: checks by their outcome, parts by what they do."""

from . import casefile, checks, corrections, entries, grading, lay_words, measures, plaintext, torque
from .tongue import phrase

TOLD = ("check", "parts_moved", "repair", "road_test", "note")


class Story:
    """The counted entries of a case as rows ``{"text", "photos"}``, split at the last repair.

    ``found``: how it was found; ``done``: the repairs; ``after``: what was tested once the repair stood.
    """

    def __init__(self, case):
        self.case = case
        self.found, self.done, self.after = [], [], []
        self._told = []  # checks that were told already: the next of them is the same test again
        self._round = []  # entries of one check in a row
        self._missing = None  # cylinders that did not work, by the last drop test
        self._moved = {}  # by kind of part: where what sat at a cylinder went since the last drop test
        self._back = False  # whether what was moved since then came home: no test of its own
        repairs = case.repairs()
        self._last = repairs[-1][0] if repairs else len(case.log)
        at = corrections.told_at(case)
        told = [(at.get(entry["id"], moment), moment, entry) for moment, entry in case.counted]
        for first, _, entry in sorted(told, key=lambda row: row[:2]):
            self._take(first, entry)
        self._end_round()

    def _take(self, moment, entry):
        kind = entry["kind"]
        if self._round and (kind != "check" or entry["body"]["check"] != self._round[0][1]["body"]["check"]):
            if kind in TOLD:
                self._end_round()
        if kind == "check":
            self._round.append((moment, entry))
        elif kind == "parts_moved":
            self._exchanged(moment, entry)
        elif kind == "repair" and "before_arrival" in (entry.get("when") or {}):
            text = repair_text(self.case, moment, entry)
            self.found.append({"text": phrase("Before the car came to us: {what}", what=text), "photos": []})
        elif kind == "repair":
            told = [repair_text(self.case, moment, entry), self._noted(entry)]
            photos = casefile.photos_of(self.case, entry)
            self.done.append({"text": " ".join([text for text in told if text]), "photos": photos})
        elif kind == "note" and self._noted(entry):
            self._put(moment, self._noted(entry), casefile.photos_of(self.case, entry))
        elif kind == "road_test" and moment <= self._last:
            self.found.append({"text": drive_text([entry]), "photos": []})

    def _noted(self, entry):
        """What somebody wrote with an entry and lets the owner read, as a sentence; "" where that is nothing."""
        body = entry["body"]
        note = (body.get("note") or body.get("text") or "").strip() if body.get("for_owner") else ""
        if not note:
            return ""
        return plaintext.sentence(note) if note[-1] in ".!?" else phrase("{what}.", what=plaintext.sentence(note))

    def _put(self, moment, text, photos):
        (self.found if moment <= self._last else self.after).append({"text": text, "photos": photos})

    def _end_round(self):
        if not self._round:
            return
        moment, first = self._round[0]
        key = first["body"]["check"]
        groups, photos = [], []
        for _, entry in self._round:
            finding = grading.finding_of(self.case, entry)
            group = [row for row in groups if row[0] == finding]
            if not group:
                group = [(finding, [])]
                groups += group
            group[0][1].append(entry)
            if finding and not checks.went_well(key, finding):
                photos += casefile.photos_of(self.case, entry)
        order = checks.findings_of(key)
        groups = [row for row in groups if row[0] in order]  # of a newer version's finding there are no words here
        # What stands out first.
        groups.sort(key=lambda row: (checks.went_well(key, row[0]), order.index(row[0])))
        again = key in self._told
        did = phrase(_did(key, again, len({_place(entry) for _, entry in self._round})))
        told = [self._outcome(key, finding, found, len(groups)) for finding, found in groups]
        if key == "drop":
            told.append(self._conclusion(groups))
        for _, entry in self._round:
            told += [note for note in [self._noted(entry)] if note not in told]
        self._told.append(key)
        self._round = []
        self._put(moment, " ".join([did] + [text for text in told if text]), photos)

    def _outcome(self, key, finding, found, groups):
        """One outcome of a check, with the places where it was found."""
        words = phrase(lay_words.FINDINGS.get("%s/%s" % (key, finding)) or lay_words.FINDINGS[finding])
        cylinders = sorted({c for entry in found for c in cylinders_of(self.case, entry["body"])})
        if not cylinders:
            return phrase("{what}.", what=plaintext.sentence(words))
        if groups > 1 and len(cylinders) > 2 and checks.went_well(key, finding):
            return phrase("The others: {what}.", what=words)
        return phrase("{where}: {what}.", where=plaintext.sentence(where(self.case, cylinders)), what=words)

    def _exchanged(self, moment, entry):
        """Parts that were moved: exchanged among each other, or another one put in for a test."""
        swapped, tried = {}, []  # kind -> cylinders; cylinders
        for move in entry["body"]["moves"]:
            (kind, from_), (to_kind, to) = entries.split_place(move["from"]), entries.split_place(move["to"])
            served = self.case.engine.served_by(to_kind, to) if to_kind else []
            if kind and kind == to_kind:
                swapped.setdefault(kind, []).extend([(list(self.case.engine.served_by(kind, from_)), list(served))])
            elif to_kind:
                tried += served
        for kind in sorted(swapped):
            self._follow(kind, swapped[kind])
            places = where(self.case, [c for pair in swapped[kind] for side in pair for c in side])
            home = self._comes_home(moment, entry, kind)
            self._back = home or self._back
            if "before_arrival" in (entry.get("when") or {}):
                text = phrase("Before the car came to us, parts had been exchanged between {where}.", where=places)
            else:
                text = phrase((lay_words.PUT_BACK if home else lay_words.EXCHANGED)[kind], where=places)
            self._put(moment, text, [])
        if tried:
            self._put(moment, phrase("We put in another part for a test: {where}.", where=where(self.case, tried)), [])

    def _comes_home(self, moment, entry, kind):
        """Whether all parts of ``kind`` that this entry moves and that came with the car end where they came in."""
        moved = [part for part in self.case.trails.in_order() if part.kind == kind and part.came_at]
        moved = [part for part in moved if any(by == entry["id"] for _, _, by in part.trail)]
        ends = [entries.split_place(part.place_at(moment + 1))[1] for part in moved]
        return bool(moved) and ends == [part.came_at for part in moved]

    def _follow(self, kind, moves):
        """Where the parts of ``kind`` are after these moves, which happen at once."""
        now = self._moved.get(kind) or {c: c for c in self.case.engine.numbers}
        went = {served[0][0]: served[1][0] for served in moves if len(served[0]) == len(served[1]) == 1}
        self._moved[kind] = {came: went.get(now[came], now[came]) for came in self.case.engine.numbers}

    def _conclusion(self, groups):
        """What a drop test after an exchange says: whether the fault went along. Nothing where two kinds were moved."""
        bad = [entry for finding, found in groups if not checks.went_well("drop", finding) for entry in found]
        missing = sorted({c for entry in bad for c in cylinders_of(self.case, entry["body"])})
        before, moves, back = self._missing, list(self._moved.values()), self._back  # in any order
        self._missing, self._moved, self._back = missing, {}, False
        if back or not before or not missing or len(moves) != 1:
            return ""
        along = sorted([moves[0][c] for c in before])
        if along == before:
            return ""
        if missing == along:
            return phrase("The fault went along with the part, so it is that part.")
        return phrase("The fault stayed where it was, so it is not that part.") if missing == before else ""


def _did(key, again, places):
    """That a check was made, by whether it was made before and at how many places."""
    if again and key in lay_words.AGAIN:
        return lay_words.AGAIN[key]
    return lay_words.ONE[key] if places == 1 and key in lay_words.ONE else lay_words.CHECKS[key]


def _place(entry):
    return entry["body"].get("place") or entry["body"].get("cylinder")


def where(case, cylinders):
    """ "cylinder 3", "cylinders 1 and 4", "cylinders 1, 2 and 4", "all cylinders"."""
    texts = [str(cylinder) for cylinder in sorted(set(cylinders))]
    if len(texts) == 1:
        return phrase("cylinder {n}", n=texts[0])
    if 2 < len(texts) == len(case.engine.numbers):
        return phrase("all cylinders")
    return phrase("cylinders {some} and {last}", some=", ".join(texts[:-1]), last=texts[-1])


def cylinders_of(case, body):
    """The cylinders that a check or a repair is about; none for one of the whole engine."""
    if body.get("cylinder"):
        return [body["cylinder"]]
    kind, position = entries.split_place(body.get("place"))
    return list(case.engine.served_by(kind, position)) if kind else []


def of_component(case, name):
    """(kind, cylinders) of a component by its name in the diagnosis: "coil@3", "gasket@2-3", "fuel_delivery"."""
    kind, _, position = name.partition("/")[0].partition("@")
    numbers = [int(text) for text in position.split("-") if text and all(char in "0123456789" for char in text)]
    if kind == "coil_supply" or not numbers:
        return kind, []
    if kind.startswith("coil"):
        return kind, [c for n in numbers for c in case.engine.served_by("coil", n)]
    return kind, numbers


def repair_text(case, moment, entry):
    """A repair in sentences: what, by what, and how tight."""
    body = entry["body"]
    kind = entries.split_place(body.get("place"))[0]
    if kind and body["work"] == "replaced":
        text = _replaced(case, moment, body, kind)
    else:
        if kind:
            cylinders = cylinders_of(case, body)
        else:
            kind, cylinders = of_component(case, body.get("component") or "")
        known = lay_words.WORKED_ON.get(kind)
        what = (
            phrase(known, where=where(case, cylinders) if cylinders else "")
            if known
            else body.get("note") or phrase("the engine")
        )
        text = phrase(lay_words.WORK[body["work"]], what=what.rstrip("."))
    fitted = [" ".join([body[key] for key in ("brand", "part_number") if body.get(key)])]
    fitted += [casefile.choice_label("repair", "use", body["use"]).lower()] if body.get("use") and fitted[0] else []
    if fitted[0]:
        text += " " + phrase("Fitted: {part}.", part=", ".join(fitted))
    told = [e for _, e in case.of_kind("answered") if e["body"]["question"] == torque.question(entry["id"])]
    read, source = torque.of(entry, told[-1] if told else None)
    if read and torque.doubt(dict(body, torque=read)) and not source:
        text += " " + phrase("Tightened to {torque}, a figure still to be checked.", torque=measures.show(read))
    elif read and source:
        text += " " + phrase("Tightened to {torque}, as given in: {source}.", torque=measures.show(read), source=source)
    elif read:
        text += " " + phrase("Tightened to {torque}.", torque=measures.show(read))
    return text


def _replaced(case, moment, body, kind):
    """A part replaced; it is called by the cylinders it came with, which the owner has read of."""
    here = cylinders_of(case, body)
    part = case.trails.get(body.get("removed")) or case.trails.get(case.trails.occupant(body["place"], moment))
    came = list(case.engine.served_by(kind, part.came_at)) if part and part.came_at else here
    text = phrase(lay_words.REPLACED[kind], where=where(case, came))
    if came != here:
        text += " " + phrase("For the test it had been moved to {where}.", where=where(case, here))
    return text


def drive_text(drives):
    """Test drives in one sentence."""
    minutes = sum([entry["body"]["minutes"] for entry in drives])
    felt = [entry["body"]["felt"] for entry in drives]
    missed = any(row["count"] for entry in drives for row in entry["body"].get("counts") or ())
    n = max(1, int(minutes + 0.5))
    if "always" in felt:
        return phrase(
            "We drove for {n} minute: it misfired all the time.|We drove for {n} minutes: it misfired all the time.",
            n=n,
        )
    if "sometimes" in felt or missed:
        return phrase(
            "We drove for {n} minute: it misfired now and then.|We drove for {n} minutes: it misfired now and then.",
            n=n,
        )
    return phrase(
        "We drove for {n} minute, and it did not misfire.|We drove for {n} minutes, and it did not misfire.", n=n
    )
