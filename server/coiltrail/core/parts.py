"""Every physical part and its trail: where it sat, and when.

Moments are positions in the case's ordered log: moment ``k`` is the state of the car when entry ``k`` was
recorded. A move, a repair or a reseated connector takes effect *after* its own moment.
"""

from . import entries as kinds
from . import plaintext, tags
from .tongue import phrase

KINDS_ON_ENGINE = ("coil", "boot", "plug", "injector")
AWAY = ("off", "unknown")


class Part:
    """A physical part: ``id``, ``kind``, what was noted of it, and its trail of (moment, place, entry id)."""

    def __init__(self, id_, kind, named):
        self.id = id_
        self.key = id_  # how questions call it: unlike the id, it stays when somebody notes the part
        self.kind = kind
        self.named = named  # whether an entry gave it its id
        self.noted = {}
        self.trail = []
        self.mended = []  # moments after which it was mended or cleaned
        self.tag = None
        self.fate = None  # body of the last part_fate, as long as it is off the engine
        self.fates = []  # every part_fate of it
        self.came_at = None  # position where it sat when the car arrived; None: it was not on the engine
        self.fitted_by = None  # id of the repair that brought it; None: it came with the car or on trial
        self.boot = None  # of a coil that went off the engine: the boot that went with it

    @property
    def place(self):
        """Where it is now: a place, "off" or "unknown"."""
        return self.trail[-1][1] if self.trail else "off"

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

    ``questions`` holds what the log leaves open: a list of ``{"id", "text", "choices", "entries"}``;
    ``answers`` maps such ids to the value chosen.
    """

    def __init__(self, case, engine, answers=None):
        self.case = case
        self.engine = engine
        self.answers = answers or {}
        self.arrived = False
        self.parts = {}  # id -> Part
        self.also_called = {}  # another id of a part -> its id
        self.questions = []
        self.unseen = []  # parts that went where nobody knows: (question, part id, where they may be)
        self.at_place = {}  # place -> part id, as the fold stands
        self.seats = {}  # place -> list of (moment from which, Part or None)
        self.changes = {c: [] for c in engine.numbers}  # cylinder -> moments after which a new stretch begins
        self.mended = {}  # component name -> moments after which it is a mended one
        self.reseated = {}  # component name -> moments after which its connector was seated anew
        for kind in KINDS_ON_ENGINE:
            for position in range(1, engine.positions(kind) + 1):
                part = self._new(kinds.part_id(case, kind, position), kind)
                self._sit(part, _place(kind, position), -1, None)

    def get(self, part_id):
        """The part of that id, or None."""
        return self.parts.get(self.also_called.get(part_id, part_id))

    def occupant(self, place, moment):
        """Id of the part that sat at ``place`` at ``moment``; None if the place was empty or it is not known."""
        for since, part in reversed(self.seats.get(place, [])):
            if since <= moment:
                return part.id if part else None
        return None

    def looked_at(self, part, place, moment):
        """Whether a look at ``place`` then was one at ``part``: it sat there, or is the boot of the coil that did."""
        if self.occupant(place, moment) == part.id:
            return True
        kind, position = kinds.split_place(place)
        served = self.engine.served_by(kind, position) if part.kind == "boot" and kind == "coil" else ()
        return len(served) == 1 and self.occupant(_place("boot", served[0]), moment) == part.id

    def stretch(self, cylinder, moment):
        """Which stretch (0, 1, ...) of ``cylinder`` the moment falls in: changes so far to whatever serves it."""
        return len([m for m in self.changes[cylinder] if m < moment])

    def in_order(self):
        """All parts in an order that every device shares: by kind, first place, id."""
        return sorted(
            self.parts.values(), key=lambda p: (KINDS_ON_ENGINE.index(p.kind), _place_key(p.trail[0][1]), p.id)
        )

    def with_names(self):
        """All parts in order, as (part, the name that the diagnosis gives it): coil@3, or coil@new if it came later."""
        found, seen = [], {}
        for part in self.in_order():
            name = "%s@%s" % (part.kind, part.came_at or "new")
            seen[name] = seen.get(name, 0) + 1
            found.append((part, "%s/%d" % (name, seen[name]) if seen[name] > 1 else name))
        return found

    def describe(self, part):
        """A part in words: its kind and where it sat when the car arrived, or where it was first fitted."""
        name = dict(kinds.PART_KINDS)[part.kind].lower()
        the = phrase("the " + name)
        if part.came_at:
            return phrase("{part} that came in at {position}", part=the, position=part.came_at)
        first = _first_position(part)
        if not first:
            return phrase("the spare " + name)
        if part.fitted_by:
            return phrase("{part} fitted at {position}", part=the, position=first)
        if part.trail[0][1] not in AWAY:
            return phrase("{part} that was at {position} before", part=the, position=first)
        return phrase("{part} brought in for {position}", part=the, position=first)

    def away(self, place, moment):
        """The part at ``place``, where it came in elsewhere: "the coil that came in at 2, now at 3"; else ""."""
        part, position = self.get(self.occupant(place, moment)), kinds.split_place(place)[1]
        if part is None or not part.came_at or part.came_at == position:
            return ""
        return phrase("{part}, now at {place}", part=self.describe(part), place=position)

    # What entries do

    def arrive(self):
        """What happened before arrival is told: parts get their names from where they sit now.

        A part nobody noted is named by its place *on arrival*, so that what was recorded of it keeps its
        meaning when the owner's swap of last week is told only afterwards.
        """
        self.arrived = True
        parts = self.in_order()
        self.also_called = {name: self.also_called[name] for name in self.also_called if "." not in name}
        for part in parts:
            part.came_at = kinds.split_place(part.place)[1]
            arrival_name = kinds.part_id(self.case, part.kind, part.came_at) if part.came_at else None
            if part.named and arrival_name:
                self.also_called[arrival_name] = part.id
            elif not part.named:
                part.id = arrival_name or kinds.part_id(part.trail[-1][2], part.kind, _first_position(part))
            part.key = part.id
        self.parts = {part.id: part for part in parts}
        self.at_place = {part.place: part.id for part in parts if part.came_at}

    def note(self, entry, moment):
        """Take over ``part_noted``. A note with a place is about the part that sits there, whatever it was called."""
        body = entry["body"]
        kind, place = body["kind"], body.get("place")
        if not self._can_hold(place, kind):
            place = None
        name = self._name(body["part"])
        part = self.get(name)
        if part is None and place in self.at_place:
            part = self.parts[self.at_place[place]]
            self._call(part, name)
        elif part is not None or name:
            if part is None:
                part = self._brought(entry, name, kind)
            if place and part.kind == kind and part.place != place:
                fits = part.place in AWAY or self._stands(entry, [(part, place)])
                self._carry_out(entry, moment, [(part, place)] if fits else [])
        for key in body if part else ():
            if key not in ("part", "kind", "place", "reach"):
                part.noted[key] = body[key]

    def move(self, entry, moment):
        """Take over ``parts_moved``; moves of one entry happen at once."""
        going = []
        disagrees = False
        for wanted in entry["body"]["moves"]:
            part = self._meant(entry, wanted)
            if part is not None and not any(part is other for other, _ in going):
                going.append((part, wanted["to"]))
                disagrees = disagrees or part.place not in (wanted["from"], wanted["to"], "unknown")
        if not disagrees or self._stands(entry, going):
            self._carry_out(entry, moment, going, boots_stay=bool(entry["body"].get("boot_stays")))

    def repair(self, entry, moment):
        """Take over ``repair``: a new part in a place, or a component mended."""
        body = entry["body"]
        name, place = body.get("component"), body.get("place")
        if name and name.partition("@")[0] not in KINDS_ON_ENGINE:
            self.mended.setdefault(name, []).append(moment)
            for cylinder in self._cylinders_of(name):
                self._change(cylinder, moment)
            return
        if name and not place:
            # The diagnosis names a part by where it came; the work is done where it sits now.
            part = self.get("%s.%s" % (self.case, name.replace("@", ".")))
            place = part.place if part else None
        kind, position = kinds.split_place(place)
        if not self._can_hold(place, kind):
            return
        if body["work"] == "replaced":
            self._replace(entry, kind, position, moment)
        else:
            if place in self.at_place:
                self.parts[self.at_place[place]].mended.append(moment)
            self._touch(kind, position, moment)

    def bind(self, entry):
        """Take over ``tag_bound``; one tag hangs on one part. Bound to another it is asked about; until then the later
        binding counts."""
        part, code = self.get(entry["body"]["part"]), entry["body"]["code"]
        if part is None:
            return
        for other in self.in_order():
            if other.tag == code and other is not part:
                question = "tag/%s/%s" % (code, part.key)
                if self.answers.get(question) == "there":
                    return
                if self.answers.get(question) != "here":
                    choices = [
                        ("here", plaintext.sentence(self.describe(part))),
                        ("there", plaintext.sentence(self.describe(other))),
                    ]
                    text = phrase(
                        "Tag {tag} was bound to two parts. On which does it hang?", tag=tags.with_groups(code)
                    )
                    self._ask(question, text, choices, entry)
                other.tag = None
        part.tag = code

    def settle(self, entry):
        """Take over ``part_fate``."""
        part = self.get(entry["body"]["part"])
        if part is not None:
            part.fate = entry["body"]
            part.fates.append(entry)

    # Names

    def _new(self, part_id, kind, named=False):
        self.parts[part_id] = Part(part_id, kind, named)
        return self.parts[part_id]

    def _brought(self, entry, part_id, kind):
        """A part that comes into the case by this entry, from off the engine."""
        part = self._new(part_id, kind, named=True)
        part.trail.append((-1, "off", entry["id"]))
        return part

    def _name(self, part_id):
        """The id by which an entry names a part; None where it names none, or by its place on arrival before that."""
        return part_id if part_id and (self.arrived or not part_id.startswith(self.case + ".")) else None

    def _call(self, part, name):
        """``part``, which sits on the engine, goes by ``name`` from now on; its earlier id still finds it."""
        if not name:
            return
        if part.named:
            self.also_called[name] = part.id
            return
        del self.parts[part.id]
        self.also_called[part.id] = name
        part.id, part.named = name, True
        self.parts[name] = part
        self.at_place[part.place] = name

    def _meant(self, entry, wanted):
        """The part that one move means, or None where the move cannot be followed."""
        from_, to, named = wanted["from"], wanted["to"], self._name(wanted.get("part"))
        part = self.get(named or self.at_place.get(from_))
        to_kind = kinds.split_place(to)[0]
        if part is None and named and from_ == "off" and to_kind:
            part = self._brought(entry, named, to_kind)
        if part is None or not (to in AWAY or self._can_hold(to, part.kind)):
            self._ask_cannot(entry, from_, to)
            return None
        return part

    # Parts leave and take places

    def _sit(self, part, place, moment, entry_id):
        """``part`` is at ``place`` (free, or away) from now on."""
        # A change counts from the next moment on; what came with the car was there from the start.
        since = moment + 1 if entry_id else -1
        part.trail.append((since, place, entry_id))
        if place in AWAY:
            return
        part.fate = None
        self.at_place[place] = part.id
        self.seats.setdefault(place, []).append((since, part))
        if entry_id:
            kind, position = kinds.split_place(place)
            self._touch(kind, position, moment)

    def _leave(self, part, moment):
        if self.at_place.get(part.place) == part.id:
            del self.at_place[part.place]
            self.seats[part.place].append((moment + 1, None))
            kind, position = kinds.split_place(part.place)
            self._touch(kind, position, moment)

    def _carry_out(self, entry, moment, going, boots_stay=False):
        """Parts leave all at once and then take their places; where a part has no place left is asked.

        ``going``: list of (part, where to). A boot goes with its coil where it sits on it, unless ``boots_stay``.
        """
        going = [(part, to) for part, to in going if to == "unknown" or part.place != to]
        listed = [part for part, _ in going]
        leaving = [(part, to, None if boots_stay else self._boot_of(part, listed)) for part, to in going]
        homeless = []  # (part, its boot, whether another took its place)
        for part, _, boot in leaving:
            self._leave_with_boot(part, boot, moment)
        for part, to, boot in leaving:
            if to == "unknown":
                homeless.append((part, boot, False))
            else:
                homeless += self._make_room(part, to, boot, moment, boots_stay)
                self._sit_with_boot(part, to, boot, moment, entry)
        while homeless:
            part, boot, ousted = homeless.pop(0)
            to = self._whereabouts(entry, part, ousted)
            homeless += self._make_room(part, to, boot, moment, boots_stay)
            self._sit_with_boot(part, to, boot, moment, entry)
        if self.engine.boots_move_with_coil:
            self._complete_boots(entry, moment)

    def _make_room(self, part, to, boot, moment, boots_stay):
        """Take away what sits where ``part`` and its boot go: list of (part, its boot, True)."""
        ousted = []
        for newcomer, place in ((part, to), (boot, _boot_place(to))):
            sitting = self.get(self.at_place.get(place)) if newcomer else None
            if sitting is not None:
                its_boot = None if boots_stay else self._boot_of(sitting, [])
                self._leave_with_boot(sitting, its_boot, moment)
                ousted.append((sitting, its_boot, True))
        return ousted

    def _leave_with_boot(self, part, boot, moment):
        self._leave(part, moment)
        if boot:
            self._leave(boot, moment)

    def _sit_with_boot(self, part, place, boot, moment, entry):
        self._sit(part, place, moment, entry["id"])
        if boot:
            self._sit(boot, _boot_place(place), moment, entry["id"])
        part.boot = boot if place in AWAY else None

    def _complete_boots(self, entry, moment):
        """A coil that came without a boot to a place that has none brought its own."""
        for position in range(1, len(self.engine.coils) + 1):
            coil = self.get(self.at_place.get(_place("coil", position)))
            if coil and coil.trail[-1][2] == entry["id"] and _place("boot", position) not in self.at_place:
                boot = self._new(kinds.part_id(entry["id"], "boot", position), "boot")
                boot.fitted_by = coil.fitted_by
                if coil.noted.get("use"):
                    boot.noted["use"] = coil.noted["use"]
                self._sit(boot, _place("boot", position), moment, entry["id"])

    def _replace(self, entry, kind, position, moment):
        body = entry["body"]
        place = _place(kind, position)
        sitting = self.get(self.at_place.get(place))
        removed = self.get(self._name(body.get("removed")))
        name = self._name(body.get("installed"))
        installed = self.get(name)
        going = []
        if removed and removed is not sitting and removed.kind == kind and removed.place != "off":
            if removed.place == "unknown" or self._stands(entry, [(removed, "off")]):
                going.append((removed, "off"))
        if sitting and sitting is not installed and not going:
            going.append((sitting, "off"))
        if installed is None:
            installed = self._new(name or entry["id"], kind, named=bool(name))
        elif installed.kind != kind:
            installed = self._new(entry["id"], kind)
        if not installed.came_at and not installed.fitted_by:
            installed.fitted_by = entry["id"]
        for key in ("brand", "part_number", "use"):
            if body.get(key):
                installed.noted.setdefault(key, body[key])
        going.append((installed, place))
        self._carry_out(entry, moment, going)

    def _boot_of(self, coil, listed):
        """The boot that comes along with this coil, unless it is ``listed`` by itself or boots do not ride."""
        if coil.kind != "coil" or not self.engine.boots_move_with_coil:
            return None
        boot = coil.boot
        if boot is None or boot.place != coil.place:
            boot = self.get(self.at_place.get(_boot_place(coil.place)))
        return None if boot is None or any(boot is part for part in listed) else boot

    def _can_hold(self, place, part_kind):
        """Whether ``place`` is one of this engine's for a part of that kind."""
        kind, position = kinds.split_place(place)
        return kind is not None and kind == part_kind and bool(self.engine.served_by(kind, position))

    # Stretches

    def _touch(self, kind, position, moment):
        """A part came to or left a place: a new stretch begins, and the connector in the way was seated anew.

        A plug or boot under its own coil is reached only when that coil, and so its connector, comes off.
        """
        under_coil = kind in ("boot", "plug") and self.engine.boots_move_with_coil
        if kind in ("coil", "injector") or under_coil:
            plugged = "coil" if under_coil else kind
            moments = self.reseated.setdefault("%s_connector@%d" % (plugged, position), [])
            if moment not in moments:
                moments.append(moment)
        for cylinder in self.engine.served_by(kind, position):
            self._change(cylinder, moment)

    def _change(self, cylinder, moment):
        if moment not in self.changes[cylinder]:
            self.changes[cylinder].append(moment)

    def _cylinders_of(self, component):
        """Cylinders that a component named like coil_connector@3, gasket@2-3, coil_supply@1 or fuel_delivery serves."""
        name, _, where = component.partition("@")
        numbers = [int(text) for text in where.split("-") if text and all(char in "0123456789" for char in text)]
        if not numbers:
            return list(self.engine.numbers)
        if name.endswith("_supply"):
            return [c for n in numbers if 1 <= n <= len(self.engine.supplies) for c in self.engine.supplies[n - 1]]
        kind = "coil" if name.startswith("coil") else "plug"
        return [c for n in numbers for c in self.engine.served_by(kind, n)]

    # What the log leaves open

    def _whereabouts(self, entry, part, ousted):
        """Where a part went that no entry accounts for: the answer if it can be, else "unknown" and a question."""
        question = "where/%s/%s" % (entry["id"], part.key)
        answer = self.answers.get(question)
        places = [_place(part.kind, p) for p in range(1, self.engine.positions(part.kind) + 1)]
        free = [place for place in places if place not in self.at_place]
        if answer == "off" or answer in free:
            return answer
        self.unseen.append((question, part.id, free + ["off"]))
        if answer == "unknown":
            return answer
        choices = [(place, place_label(place)) for place in free]
        self._ask(
            question,
            phrase(
                "Where did {part} go when another took its place?" if ousted else "Where did {part} go?",
                part=self.describe(part),
            ),
            choices + [("off", phrase("Off the engine")), ("unknown", phrase("Not known"))],
            entry,
        )
        return "unknown"

    def _stands(self, entry, going):
        """Whether an entry counts that has parts where the entries before it do not. Until answered it does."""
        question = "stands/%s" % entry["id"]
        answer = self.answers.get(question)
        if answer not in ("move", "leave"):
            after = ["%s: %s" % (self.describe(part), place_label(to)) for part, to in going]
            before = ["%s: %s" % (self.describe(part), place_label(part.place)) for part, _ in going]
            placed_by = {part.trail[-1][2] for part, _ in going if part.trail and part.trail[-1][2]}
            self._ask(
                question,
                phrase(
                    "This entry and those before it do not agree on where parts were. "
                    "Which is how the engine stands now?"
                ),
                [("move", ", ".join(after)), ("leave", ", ".join(before))],
                entry,
                sorted(placed_by - {entry["id"]}),
            )
        return answer != "leave"

    def _ask_cannot(self, entry, from_, to):
        question = "cannot/%s/%s" % (entry["id"], from_)
        if self.answers.get(question) != "leave":
            self._ask(
                question,
                phrase(
                    "A move from {from_} to {to} cannot be followed: no such part is recorded there, or it does not "
                    "fit. Strike that entry and record it anew, or leave the move out.",
                    from_=place_label(from_),
                    to=place_label(to),
                ),
                [("leave", phrase("Leave it out"))],
                entry,
            )

    def _ask(self, id_, text, choices, entry, earlier=()):
        if not any(question["id"] == id_ for question in self.questions):
            self.questions.append(
                {
                    "id": id_,
                    "text": text,
                    "choices": [{"value": value, "label": label} for value, label in choices],
                    "entries": list(earlier) + [entry["id"]],
                }
            )


def place_label(place):
    """A place in words."""
    kind, position = kinds.split_place(place)
    if kind is None:
        return {"off": phrase("off the engine"), "unknown": phrase("a place not known")}.get(place, place)
    return "%s %d" % (phrase(dict(kinds.PART_KINDS)[kind]).lower(), position)


def what_where(what, place, away=""):
    """What is done at a place: "Coil connector, coil 3"; a place that says all of it stands alone: "Spark plug 3".

    ``away``: the part there, where it came in elsewhere (``Trails.away``); it stands for the place.
    """
    if away:
        return plaintext.sentence(away) if what.lower() in away else "%s: %s" % (what, away)
    where = place_label(place)
    return plaintext.sentence(where) if where.startswith(what.lower() + " ") else "%s, %s" % (what, where)


def _place(kind, position):
    return "%s.%d" % (kind, position)


def _boot_place(coil_place):
    """Where the boot of a coil at that place is; away together with it."""
    return coil_place if coil_place in AWAY else _place("boot", kinds.split_place(coil_place)[1])


def _first_position(part):
    """The first position on the engine where a part sat, 0 if none."""
    for _, place, _ in part.trail:
        position = kinds.split_place(place)[1]
        if position:
            return position
    return 0


def _place_key(place):
    return (kinds.split_place(place)[1] or 99, place)
