"""Every physical part and its trail: where it sat, and when.

Moments are positions in the case's ordered log: moment ``k`` is the state of the car when entry ``k`` was
recorded. A move, a repair or a reseated connector takes effect *after* its own moment.
"""

from . import entries as kinds

KINDS_ON_ENGINE = ("coil", "boot", "plug", "injector")


class Part:
    """A physical part: ``id``, ``kind``, what was noted of it, and its trail of (moment, place, entry id)."""

    def __init__(self, id_, kind):
        self.id = id_
        self.kind = kind
        self.noted = {}
        self.trail = []
        self.tag = None
        self.fate = None
        self.fitted_by = None  # id of the repair that brought it; None: it came with the car

    @property
    def place(self):
        """Where it is now: a place, "off" or "unknown"."""
        return self.trail[-1][1]

    def place_at(self, moment):
        """Where it was at ``moment``; None before it came into the case."""
        place = None
        for since, where, _ in self.trail:
            if since > moment:
                break
            place = where
        return place


class Trails:
    """All parts of one case and where they sat through the log.

    ``questions`` holds what the log leaves open: a list of ``{"id", "text", "choices", "entries"}``.
    """

    def __init__(self, case, engine):
        self.case = case
        self.engine = engine
        self.parts = {}
        self.questions = []
        self.at_place = {}  # place -> part id, as the fold stands
        self.changes = {c: [] for c in engine.numbers}  # cylinder -> moments after which a new stretch begins
        self.mended = {}  # component name -> moments after which it is a mended one
        self.reseated = {}  # component name -> moments after which its connector was seated anew
        for kind in KINDS_ON_ENGINE:
            for position in range(1, engine.positions(kind) + 1):
                self._place(self._new(kinds.part_id(case, kind, position), kind), "%s.%d" % (kind, position), -1, None)

    def occupant(self, place, moment):
        """Id of the part that sat at ``place`` at ``moment``; None if the place was empty or it is not known."""
        for part_id in sorted(self.parts):
            if self.parts[part_id].place_at(moment) == place:
                return part_id
        return None

    def stretch(self, cylinder, moment):
        """Which stretch (0, 1, ...) of ``cylinder`` the moment falls in: changes so far to whatever serves it."""
        return len([m for m in self.changes[cylinder] if m < moment])

    def get(self, part_id):
        """The part of that id, or None."""
        return self.parts.get(part_id)

    def in_order(self):
        """All parts in an order that every device shares: by kind, first place, id."""
        return sorted(
            self.parts.values(), key=lambda p: (KINDS_ON_ENGINE.index(p.kind), _place_key(p.trail[0][1]), p.id)
        )

    # What entries do

    def note(self, entry):
        """Take over ``part_noted``: a noted part that sits where an unnoted one was is that one."""
        body = entry["body"]
        part = self.parts.get(body["part"])
        place = body.get("place")
        if part is None:
            sitting = self.at_place.get(place) if place else None
            if sitting and not self.parts[sitting].noted and self.parts[sitting].fitted_by is None:
                part = self.parts.pop(sitting)
                part.id = body["part"]
                self.parts[part.id] = part
                self.at_place[place] = part.id
            else:
                part = self._new(body["part"], body["kind"])
                part.trail.append((-1, "off", entry["id"]))
                if place:
                    self._ask_where(entry, self._displaced(place), part)
        part.noted = {k: body[k] for k in body if k not in ("part", "kind", "place")}

    def move(self, entry, moment, answers):
        """Take over ``parts_moved``; moves of one entry happen at once."""
        moves = []
        for wanted in entry["body"]["moves"]:
            from_, to = wanted["from"], wanted["to"]
            part_id = wanted.get("part") or self.at_place.get(from_)
            part = self.parts.get(part_id)
            if part is None:
                if from_ == "off" and wanted.get("part") and to != "unknown":
                    part = self._new(wanted["part"], to.split(".")[0])
                    part.trail.append((-1, "off", entry["id"]))
                else:
                    self._ask_which(entry, from_, to, answers)
                    continue
            if part.place != from_ and part.place != "unknown" and not self._stands(entry, part, from_, to, answers):
                continue
            if to not in ("off", "unknown") and to.split(".")[0] != part.kind:
                continue
            moves.append((part, to))
            boot = self._boot_of(part)
            if boot and not entry["body"].get("boot_stays"):
                moves.append((boot, to if to in ("off", "unknown") else "boot.%s" % to.split(".")[1]))
        moving = [part.id for part, _ in moves]
        for part, to in moves:
            self._leave(part, moment)
        for part, to in moves:
            if to == "unknown":
                to = self._ask_where(entry, part, None, answers)
            displaced = self.at_place.get(to)
            if displaced and displaced not in moving:
                other = self.parts[displaced]
                self._leave(other, moment)
                self._place(other, self._ask_where(entry, other, part, answers), moment, entry["id"])
            self._place(part, to, moment, entry["id"])

    def repair(self, entry, moment):
        """Take over ``repair``: a new part in a place, or a component mended."""
        body = entry["body"]
        place = body.get("place")
        kind, position = kinds.split_place(place)
        if body["work"] == "replaced" and kind and position <= self.engine.positions(kind):
            self._replace(entry, kind, position, moment)
        elif body.get("component"):
            name = body["component"]
            self.mended.setdefault(name, []).append(moment)
            for cylinder in self._cylinders_of(name):
                self._change(cylinder, moment)

    def bind(self, entry):
        """Take over ``tag_bound``; one tag hangs on one part, the later binding counts."""
        part = self.parts.get(entry["body"]["part"])
        if part is None:
            return
        for other in self.parts.values():
            if other.tag == entry["body"]["code"]:
                other.tag = None
        part.tag = entry["body"]["code"]

    def settle(self, entry):
        """Take over ``part_fate``."""
        part = self.parts.get(entry["body"]["part"])
        if part is not None:
            part.fate = entry["body"]

    # Inside

    def _new(self, part_id, kind):
        self.parts[part_id] = Part(part_id, kind)
        return self.parts[part_id]

    def _place(self, part, place, moment, entry_id):
        # A change counts from the next moment on; what came with the car was there from the start.
        part.trail.append((moment + 1 if entry_id else -1, place, entry_id))
        kind, position = kinds.split_place(place)
        if kind:
            self.at_place[place] = part.id
            if entry_id:
                self._touch(kind, position, moment)

    def _leave(self, part, moment):
        kind, position = kinds.split_place(part.place)
        if kind and self.at_place.get(part.place) == part.id:
            del self.at_place[part.place]
            self._touch(kind, position, moment)

    def _touch(self, kind, position, moment):
        """A part came to or left a place: a new stretch begins, and a plugged part's connector was seated anew."""
        if kind in ("coil", "injector"):
            moments = self.reseated.setdefault("%s_connector@%d" % (kind, position), [])
            if moment not in moments:
                moments.append(moment)
        for cylinder in self.engine.served_by(kind, position):
            self._change(cylinder, moment)

    def _change(self, cylinder, moment):
        if moment not in self.changes[cylinder]:
            self.changes[cylinder].append(moment)

    def _replace(self, entry, kind, position, moment):
        body = entry["body"]
        place = body["place"]
        new_parts = [(kind, position, body.get("installed") or entry["id"])]
        if kind == "coil" and self.engine.boots_move_with_coil:
            new_parts.append(("boot", position, "%s.boot.%d" % (entry["id"], position)))
        removed = self.parts.get(body.get("removed")) or self.parts.get(self.at_place.get(place))
        if removed is not None and removed.kind == kind:
            boot = self._boot_of(removed)
            for part in (removed, boot) if boot else (removed,):
                self._leave(part, moment)
                self._place(part, "off", moment, entry["id"])
        for new_kind, new_position, part_id in new_parts:
            where = "%s.%d" % (new_kind, new_position)
            sitting = self.parts.get(self.at_place.get(where))
            if sitting is not None:
                self._leave(sitting, moment)
                self._place(sitting, "off", moment, entry["id"])
            part = self.parts.get(part_id)
            if part is None:
                part = self._new(part_id, new_kind)
                part.fitted_by = entry["id"]
                part.noted = {key: body[key] for key in ("brand", "part_number", "use") if body.get(key)}
            else:
                self._leave(part, moment)
            self._place(part, where, moment, entry["id"])

    def _boot_of(self, part):
        """The boot that comes away with this coil, if boots do so on this engine."""
        if part.kind != "coil" or not self.engine.boots_move_with_coil:
            return None
        kind, position = kinds.split_place(part.place)
        return self.parts.get(self.at_place.get("boot.%d" % position)) if kind else None

    def _displaced(self, place):
        return self.parts[self.at_place[place]] if place in self.at_place else None

    def _cylinders_of(self, component):
        """Cylinders that a component named like coil_connector@3, gasket@2-3, supply@1 or fuel_delivery serves."""
        name, _, where = component.partition("@")
        if not where or name.endswith("_supply"):
            return list(self.engine.numbers)
        numbers = [int(text) for text in where.split("-")]
        if name.startswith("coil"):
            return [c for n in numbers if n <= len(self.engine.coils) for c in self.engine.coils[n - 1]]
        return [n for n in numbers if n in self.engine.numbers]

    # What the log leaves open

    def _ask_where(self, entry, part, newcomer, answers=None):
        """Where a part went that no entry accounts for: the answer if there is one, else "unknown" and a question."""
        if part is None:
            return "unknown"
        question = "where/%s/%s" % (entry["id"], part.id)
        answer = (answers or {}).get(question)
        if answer and (answer in ("off", "unknown") or kinds.split_place(answer)[0] == part.kind):
            return answer
        places = ["%s.%d" % (part.kind, p) for p in range(1, self.engine.positions(part.kind) + 1)]
        free = [p for p in places if p not in self.at_place]
        text = "Where did %s go%s?" % (self.describe(part), " when another took its place" if newcomer else "")
        self._ask(
            question,
            text,
            [(p, place_label(p)) for p in free] + [("off", "Off the engine"), ("unknown", "Not known")],
            entry,
        )
        return "unknown"

    def _ask_which(self, entry, from_, to, answers):
        question = "empty/%s/%s" % (entry["id"], from_)
        if not (answers or {}).get(question):
            self._ask(
                question,
                "A part was moved from %s to %s, but nothing is recorded there. Strike that move, or record where it came from."
                % (place_label(from_), place_label(to)),
                [("leave", "Leave it out")],
                entry,
            )

    def _stands(self, entry, part, from_, to, answers):
        """Whether a move counts whose "from" disagrees with where the fold has the part."""
        question = "stands/%s/%s" % (entry["id"], part.id)
        answer = (answers or {}).get(question)
        if not answer:
            self._ask(
                question,
                "%s was moved from %s to %s by this entry, but another had it at %s. How does the engine stand now?"
                % (self.describe(part), place_label(from_), place_label(to), place_label(part.place)),
                [("move", "It is at %s" % place_label(to)), ("leave", "It is at %s" % place_label(part.place))],
                entry,
            )
        return answer != "leave"

    def _ask(self, id_, text, choices, entry):
        self.questions.append(
            {
                "id": id_,
                "text": text,
                "choices": [{"value": value, "label": label} for value, label in choices],
                "entries": [entry["id"]],
            }
        )

    def describe(self, part):
        """A part in words: its kind and where it sat when the car arrived, or that it is the fitted one."""
        first = kinds.split_place(part.trail[0][1])[1] if part.trail else None
        name = dict(kinds.PART_KINDS)[part.kind].lower()
        if part.fitted_by:
            return "the new %s of place %d" % (name, first)
        return "the %s that came at %d" % (name, first) if first else "the %s" % name


def place_label(place):
    """A place in words."""
    kind, position = kinds.split_place(place)
    if kind is None:
        return {"off": "off the engine", "unknown": "a place not known"}.get(place, place)
    return "%s %d" % (dict(kinds.PART_KINDS)[kind].lower(), position)


def _place_key(place):
    kind, position = kinds.split_place(place)
    return (position or 99, place)
