"""What should be settled before a case is closed, each line told by the log: done by what is recorded, or what to do.

Nothing here forbids closing: a case is closed with points open where somebody says why.
"""

from . import (
    canonical,
    casefile,
    entries,
    left_over,
    measures,
    parts,
    plaintext,
    provoking,
    seen,
    shelf,
    still_moved,
    tags,
    torque,
    verification,
)
from .tongue import phrase

LAMP, OUT = "close/lamp/", "out"  # the question that a line asks, with the last repair; its answer
HOLDS = 0.95  # probability of being fixed from which a drive counts as proof; common practice, no source


def checklist(case, told=None, later=(), reader=True):
    """The lines, in the order of the work.

    ``told``: ``{"explanations", "fixed"}`` as the diagnosis gives them, or None; ``later``: what is to be left for
    later, as it stands on the form; ``reader``: whether codes can be read here today. Each line is ``{"key", "state",
    "text", "entry", "to", "words", "answer", "later", "later_words", "despite"}``: ``state`` "done", "do" or "watch" (a
    reminder, which leaves nothing open); ``entry``: what shows it, or None; ``to``: the screen of the case that it is
    done on, with ``words`` for its key; ``answer``: ``{"question", "answer", "words"}`` that settles it by a tap;
    ``later``: the row that leaves it for later; ``despite``: a reason to close with it open, or "".
    """
    lines = _Lines(case, told or {}, list(later), reader)
    if not lines.repairs:
        lines.repair()
    else:
        lines.of_codes()
    lines.lamp()
    lines.moved()
    lines.torques()
    lines.tags()
    lines.pressed_on()
    lines.not_mended()
    lines.left()
    if case.trails.questions:
        lines.do("questions", phrase("The case asks something that nobody has answered."), [], phrase("Answer it"))
    return lines.rows


def lamp_question(case):
    """The question whether the warning lamp is out, since the last repair."""
    repairs = case.repairs()
    return LAMP + (repairs[-1][1]["id"] if repairs else "")


def lamp_told(case):
    """What was said last of the warning lamp since the last repair: (whether it is out, the entry); (None, None)."""
    repairs = case.repairs()
    last, question = repairs[-1][0] if repairs else -1, lamp_question(case)
    told = None, None
    for moment, entry in case.counted:
        body = entry["body"]
        if entry["kind"] == "road_test" and moment > last and body.get("lamp"):
            told = body["lamp"] == "off", entry
        elif entry["kind"] == "answered" and body["question"] == question:
            told = body["answer"] == OUT, entry
    return told


def lamp_stands(case):
    """How the warning lamp is by what was noted last: "out", "on", or "" where nobody can know."""
    closed = case.last("case_closed") if case.status == "closed" else None
    if closed and any(row.get("what") == left_over.LAMP for row in closed["body"].get("later") or []):
        return "on"
    out, entry = lamp_told(case)
    if entry:
        return "out" if out else "on"
    complaint, repairs = case.last("complaint"), case.repairs()
    if not complaint or complaint["body"].get("lamp") not in entries.LAMP_ON:
        return ""
    last = repairs[-1][0] if repairs else -1
    return "" if any(moment > last for moment, _ in case.of_kind("codes_cleared")) else "on"


class _Lines:
    def __init__(self, case, told, later, reader):
        self.reader = reader
        self.case = case
        self.told = told
        self.later = later
        self.rows = []
        self.repairs = case.repairs()
        self.last = self.repairs[-1][0] if self.repairs else -1
        self.answers = {e["body"]["question"]: e for _, e in case.of_kind("answered")}

    def add(self, key, state, text, to=None, words="", **more):
        row = {"key": key, "state": state, "text": text, "entry": None, "to": to, "words": words, "answer": None}
        self.rows.append(dict(row, later=None, later_words="", despite="", **more))

    def done(self, key, text, entry=None):
        self.add(key, "done", text)
        self.rows[-1]["entry"] = entry["id"] if entry else None

    def do(self, key, text, to=None, words="", **more):
        self.add(key, "do", text, to, words)
        self.rows[-1].update(more)

    def watch(self, key, text, to=None, words="", **more):
        self.add(key, "watch", text, to, words)
        self.rows[-1].update(more)

    def since(self, kind, moment):
        """Entries of a kind after ``moment``, as (moment, entry)."""
        return [(m, entry) for m, entry in self.case.of_kind(kind) if m > moment]

    def leave(self, key, state, text, row, words, to=None, key_words="", **more):
        """A line that can be left for later by ``row``, unless it is left already."""
        if not any(left_over.same(row, left) for left in self.later):
            self.add(key, state, text, to, key_words)
            self.rows[-1].update(more, later=row, later_words=words)

    # The repair

    def repair(self):
        """No repair: what is wrong stays as it is, mostly since the owner wants it so."""
        declined = phrase("The owner declines the repair")
        row = {"what": left_over.UNREPAIRED, "why": "declined", "told": True}
        text = phrase("No repair is recorded.")
        self.leave("repair", "do", text, row, declined, ["repair"], phrase("Record the repair"), despite=declined)

    def torques(self):
        """The torque of each part that was fitted, and one that can hardly be meant."""
        for _, entry in self.repairs:
            body, key = entry["body"], "torque/" + entry["id"]
            where = parts.place_label(body.get("place") or "")
            answer = self.answers.get(torque.question(entry["id"]))
            read, source = torque.of(entry, answer)
            if not read and not torque.wanted(body):
                continue
            doubt = torque.doubt(dict(body, torque=read)) if read else None
            to = ["torque", entry["id"]]
            if answer and not read:
                self.done(key, phrase("Torque at {where}: not measured, as was said.", where=where), answer)
            elif not read:
                self.do(
                    key, phrase("The torque at {where} is not recorded.", where=where), to, phrase("Say the torque")
                )
            elif doubt and not source:
                self.do(key, doubt["text"], to, phrase("Say where it was read"))
            elif doubt:
                self.done(key, phrase("{doubt} Read in: {source}.", doubt=doubt["text"], source=source), entry)
            else:
                text = phrase("Torque at {where}: {torque}.", where=where, torque=measures.show(read))
                self.done(key, text, answer or entry)

    def of_codes(self):
        """Cleared, driven, read again, and what came of it."""
        before = [e for m, e in self.case.of_kind("codes_read") if m <= self.last and e["body"]["codes"]]
        cleared, drives = self.since("codes_cleared", self.last), self.since("road_test", self.last)
        if cleared:
            self.done("cleared", phrase("The codes were cleared after the repair."), cleared[-1][1])
        elif before:
            text = phrase("The codes were not cleared after the repair.")
            self.do("cleared", text, ["clear"], phrase("Clear codes"), despite=self.no_reader())
        self.drive([entry for _, entry in drives])
        latest = max([self.last] + [m for m, _ in cleared + drives])
        readings = self.since("codes_read", latest)
        if not self.case.of_kind("codes_read"):
            text = phrase("No codes were read in this case: without a code reader the drive alone proves the repair.")
            return self.watch("read", text, ["codes"], phrase("Read the codes"))
        if not readings:
            text = (
                phrase("The codes were not read again after the drive.")
                if drives
                else phrase("The codes were not read again after the repair.")
            )
            return self.do("read", text, ["codes"], phrase("Read the codes"), despite=phrase("No code reader at hand"))
        entry = readings[-1][1]
        self.done("read", phrase("The codes were read again: {codes}.", codes=casefile.row_text(entry)), entry)
        after = verification.codes_after(self.case)
        for row in entry["body"]["codes"]:
            self.of_code(row["code"], row["status"], after)

    def no_reader(self):
        """A reason to close with the codes as they are, where nothing here can read or clear them."""
        return "" if self.reader else phrase("No code reader at hand")

    def drive(self, drives):
        fixed = self.told.get("fixed")
        key = ["drive"], phrase("Road test")
        if any(not provoking.clean(entry["body"]) for entry in drives):
            self.do("drive", phrase("It missed on a drive after the repair: this was not it, or not all."), *key)
        elif drives and (not fixed or fixed["p"] >= HOLDS):
            counting, others = verification.clean_drives(self.case)
            n = sum([body["minutes"] for body in counting])
            text = phrase(
                "Driven for {minutes} minute after the repair, without a miss."
                "|Driven for {minutes} minutes after the repair, without a miss.",
                n=n,
                minutes=canonical.number(n),
            )
            apart = verification.not_counting(self.case, others)
            self.done("drive", left_over.sentences([text if counting else "", apart]), drives[-1])
        else:
            text = verification.in_words(self.case, fixed) if fixed else phrase("Not driven since the repair.")
            longer = phrase("No time for a longer drive today") if drives else phrase("No time for a drive today")
            self.do("drive", text, *key, despite=longer)

    def of_code(self, code, status, after):
        """One code that is there after the repair; what is left for later has a line of its own."""
        if any(row.get("code") == code for row in self.later):
            return
        key = "code/" + code
        leave = {"later": {"code": code}, "later_words": phrase("Leave it for later")}
        if code in after["returned"]:
            self.do(
                key,
                phrase("{code} came back: what it stands for is not mended.", code=code),
                [],
                phrase("See the next step"),
            )
        elif code in after["unclear"]:
            text = phrase("{code} may be there from before, or from a test: clear it, drive and read again.", code=code)
            self.do(key, text, ["clear"], phrase("Clear codes"))
        elif status == "permanent":
            text = phrase(
                "{code} is permanent: it goes by itself after some days of driving, if the fault is gone.", code=code
            )
            self.watch(key, text)
        elif status == "pending":
            text = phrase("{code} is pending: found once, stored if it is found again.", code=code)
            self.watch(key, text, ["codes"], phrase("Read the codes"), **leave)
        else:
            self.do(key, phrase("{code} is there and belongs to nothing that was mended.", code=code), **leave)

    def lamp(self):
        """The warning lamp, where it was on when the car came."""
        complaint = self.case.last("complaint")
        if not complaint or complaint["body"].get("lamp") in (None, "off"):
            return
        out, entry = lamp_told(self.case)
        if out:
            self.done("lamp", phrase("The warning lamp is out."), entry)
        else:
            text = (
                phrase("The warning lamp is on still: read the codes.") if entry else phrase("Is the warning lamp out?")
            )
            tap = {"question": lamp_question(self.case), "answer": OUT, "words": phrase("It is out")}
            row = {"what": left_over.LAMP} if self.reader else {"what": left_over.LAMP, "why": "no_reader"}
            words = (
                phrase("It is on: leave it for later")
                if self.reader
                else phrase("It is on, and no reader today: leave it for later")
            )
            read = phrase("It is on: read the codes")
            self.leave("lamp", "do", text, row, words, ["codes"], read, answer=tap, despite=self.no_reader())

    # Parts

    def moved(self):
        """Parts that were moved for a test and sit elsewhere than they came."""
        away = still_moved.parts(self.case)
        if not away:
            return
        told = ", ".join(
            [
                phrase(
                    "{part}, now at {place}", part=self.case.trails.describe(p), place=entries.split_place(p.place)[1]
                )
                for p in away
            ]
        )
        answer = still_moved.kept(self.case, away)
        if answer:
            self.done("moved", phrase("Left where it is on purpose: {parts}.", parts=told), answer)
        else:
            tap = {
                "question": still_moved.question(away),
                "answer": still_moved.KEPT,
                "words": phrase("It stays there on purpose"),
            }
            text = phrase("Moved and not put back: {parts}.", parts=told)
            self.do("moved", text, ["moves", "back"], phrase("Put it back"), answer=tap)

    def tags(self):
        """Parts that a repair took out, until they have a tag or somebody said where they are."""
        out = shelf.replaced(self.case)
        for part in self.case.trails.in_order():
            if part.id not in out or part.place not in parts.AWAY or still_moved.rides(self.case, part):
                continue
            key, name = "tag/" + part.id, plaintext.sentence(self.case.trails.describe(part))
            if part.tag:
                self.done(key, phrase("{part} has tag {tag}.", part=name, tag=tags.with_groups(part.tag)))
            elif part.fate:
                fate = casefile.choice_label("part_fate", "fate", part.fate["fate"])
                self.done(key, phrase("{part}: {fate}.", part=name, fate=fate.lower()))
            else:
                text = phrase("{part} came off and has no tag.", part=name)
                self.do(key, text, ["removed", part.id], phrase("Tag it"))

    def pressed_on(self):
        """Contacts that were only cleaned or pressed on again may fail again: to be watched."""
        names = [e["body"].get("component") for _, e in self.repairs if e["body"]["work"] == "cleaned"]
        for explanation in (self.told.get("explanations") or [])[:1]:
            gone = [fault["component"] for fault in explanation.get("faults") or [] if fault.get("gone")]
            names += [name.partition("/")[0] for name in gone]
        for name in sorted({name for name in names if name}):
            row = {"what": left_over.CLEANED, "component": name}
            text = phrase("{what}.", what=left_over.words(row))
            self.leave("pressed/" + name, "watch", text, row, phrase("Leave it to be watched"))

    def not_mended(self):
        """Damage that was found and that no repair is about."""
        for row in seen.not_mended(self.case):
            left = _damage_left(row)
            text = phrase("Found and not mended: {what}.", what=damage_text(row))
            key = "damage/%s/%s" % (row["component"], row["check"])
            known = [one.get("component") for one in self.later if not one.get("what")]  # of an older version
            if not left.get("component") or left["component"] not in known:
                self.leave(key, "watch", text, left, phrase("Leave it for later"))

    def left(self):
        """What is left for later: whether the owner knows."""
        said = [row for row in self.later if left_over.in_short(row).strip()]
        untold = [left_over.in_short(row) for row in said if not row.get("told")]
        if any(untold):
            what = "; ".join([one for one in untold if one])
            self.watch("left", phrase("Left for later, and the owner is not told yet: {what}", what=what))
        elif said:
            self.done("left", phrase("The owner knows what is left for later."))


def damage_text(row):
    """Damage (``seen``) in a line: "Coil connector 5: lock tab broken"."""
    return plaintext.sentence("%s: %s" % (seen.where(row), seen.words([row])))


def texts_of_damage(case):
    """How the lines tell all damage of a case, in the language spoken."""
    return [damage_text(row) for row in seen.damages(case)]


def _damage_left(row):
    """The row that leaves damage (``seen``) for later; of a part that is not where the car came with it, as text."""
    name = row["component"].partition("/")[0]
    if name.partition("@")[2] == "new":
        return {"text": damage_text(row)}
    return {"what": left_over.DAMAGE, "component": name, "found": "%s/%s" % (row["check"], row["finding"])}
